//! Parts as they go to the shop: the disc with its bore and output holes.

use crate::model::Drive;
use crate::phase;
use crate::profile::LobeProfile;
use curves::plate::{Plate, RoundHole};
use curves::point::{Point, polar};
use std::f64::consts::TAU;

/// Disc `disc` (from zero) of a drive: lobes with a valley on the x axis, bore, and output holes at its own phase.
///
/// Two discs of one part number give the same plate; [`phase::one_part`] says whether they do.
#[must_use]
pub fn disc_plate(drive: &Drive, disc: usize) -> Plate {
    let geometry = &drive.geometry;
    let phase_rad = phase::hole_phase_rad(geometry, disc);
    let mut holes = vec![RoundHole {
        name: "bore".to_owned(),
        centre_mm: Point::origin(),
        radius_mm: geometry.bore_radius_mm,
    }];
    holes.extend((0..geometry.pin_count).map(|pin| RoundHole {
        name: format!("output hole {}", pin + 1),
        centre_mm: polar(
            geometry.pin_circle_radius_mm,
            phase_rad + TAU * pin as f64 / geometry.pin_count as f64,
        ),
        radius_mm: hole_radius_mm(drive),
    }));
    Plate {
        name: format!("{}-disc-{}", drive.identity.name, disc + 1),
        outline: Box::new(LobeProfile::of(geometry)),
        holes,
        thickness_mm: geometry.disc_width_mm,
    }
}

/// r_w: outside radius of an output pin, or of its sleeve where it has one.
#[must_use]
pub fn pin_outside_radius_mm(drive: &Drive) -> f64 {
    drive.geometry.sleeve_radius_mm.unwrap_or(drive.geometry.pin_radius_mm)
}

/// r_h: radius of an output hole, `r_w + e + clearance/2`. Source: common practice (hole = pin + 2e).
#[must_use]
pub fn hole_radius_mm(drive: &Drive) -> f64 {
    let geometry = &drive.geometry;
    hole_radius_about_mm(pin_outside_radius_mm(drive), geometry.eccentricity_mm, geometry.hole_clearance_mm)
}

/// Radius of a hole about a pin of a radius, see [`hole_radius_mm`]. Source: common practice (hole = pin + 2e).
#[must_use]
pub fn hole_radius_about_mm(pin_radius_mm: f64, eccentricity_mm: f64, clearance_mm: f64) -> f64 {
    pin_radius_mm + eccentricity_mm + 0.5 * clearance_mm
}
