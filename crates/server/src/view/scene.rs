//! The parts of a drive as they are drawn, each in its own frame.

use super::clearances::exaggeration;
use super::{rounded_mm, rounded_point};
use crate::api::{BearingRollers, Scene, SceneDisc};
use curves::point::{Point, polar};
use reducer::kinematics;
use reducer::model::{Drive, Geometry, HeldMember};
use reducer::part::hole_radius_mm;
use reducer::profile::LobeProfile;
use sheet::figures::outline::{
    DiscPose, circle_contour, lobe_contour, ring_inside_contour, ring_outside_radius_mm, roller_angle_rad,
};
use sheet::svg::contour_data_mm;
use std::f64::consts::TAU;

/// The scene of a drive.
#[must_use]
pub fn scene(drive: &Drive, generation: u64) -> Scene {
    let geometry = &drive.geometry;
    let bearing = &drive.bearings.eccentric;
    let outside = ring_outside_radius_mm(geometry);
    let ring = circle_contour(Point::origin(), outside);
    let pins = 0..geometry.pin_count;
    let pin_angle = |pin: usize| geometry.hole_phase_rad + TAU * pin as f64 / geometry.pin_count as f64;
    let crank_radius = geometry.crank_radius_mm.or(bearing.bore_diameter_mm.map(|bore| 0.5 * bore));
    Scene {
        generation,
        outside_radius_mm: outside,
        ring_path: contour_data_mm(&ring) + &contour_data_mm(&ring_inside_contour(geometry)),
        roller_centres_mm: (0..geometry.ring_roller_count)
            .map(|roller| rounded_point(polar(geometry.ring_radius_mm, roller_angle_rad(geometry, roller))))
            .collect(),
        roller_radius_mm: geometry.roller_radius_mm,
        roller_pin_radius_mm: geometry.roller_pin_radius_mm,
        lobe_path: lobe_path(geometry),
        discs: (0..geometry.disc_count).map(|disc| scene_disc(drive, disc)).collect(),
        pin_centres_mm: pins
            .map(|pin| rounded_point(polar(geometry.pin_circle_radius_mm, pin_angle(pin))))
            .collect(),
        pin_radius_mm: geometry.pin_radius_mm,
        sleeve_radius_mm: geometry.sleeve_radius_mm,
        eccentric_radius_mm: crank_radius.filter(|&radius| radius < geometry.bore_radius_mm),
        bearing_rollers: bearing_rollers(drive),
        ring_pitch_radius_mm: rounded_mm(geometry.eccentricity_mm * geometry.ring_roller_count as f64),
        disc_pitch_radius_mm: rounded_mm(geometry.eccentricity_mm * kinematics::lobe_count(geometry) as f64),
        ring_radius_mm: geometry.ring_radius_mm,
        pin_circle_radius_mm: geometry.pin_circle_radius_mm,
        eccentricity_mm: geometry.eccentricity_mm,
        exaggeration: exaggeration(drive),
        description: description(geometry),
    }
}

/// Rollers of the eccentric bearing that find room between eccentric and bore.
pub(super) fn bearing_rollers(drive: &Drive) -> Option<BearingRollers> {
    let bearing = &drive.bearings.eccentric;
    let (count, diameter) = (bearing.element_count?, bearing.element_diameter_mm?);
    let pitch_radius_mm = 0.5 * bearing.pitch_diameter_mm?;
    let radius_mm = 0.5 * diameter;
    let is_inside = pitch_radius_mm + radius_mm < drive.geometry.bore_radius_mm + 1e-6;
    is_inside.then_some(BearingRollers { pitch_radius_mm, radius_mm, count })
}

fn description(geometry: &Geometry) -> String {
    format!(
        "{} ring rollers around {} with {} lobes each, whose centre the crank leads round; {} output pins stand in the holes. The {} is held.",
        geometry.ring_roller_count,
        if geometry.disc_count == 1 { "a disc".to_owned() } else { format!("{} discs", geometry.disc_count) },
        kinematics::lobe_count(geometry),
        geometry.pin_count,
        match geometry.held_member {
            HeldMember::Ring => "ring",
            HeldMember::Plate => "plate with the pins",
        }
    )
}

pub(super) fn lobe_path(geometry: &Geometry) -> String {
    let own_frame = DiscPose { centre_mm: Point::origin(), turn_rad: 0.0 };
    contour_data_mm(&lobe_contour(&LobeProfile::of(geometry), kinematics::lobe_count(geometry), own_frame))
}

fn scene_disc(drive: &Drive, disc: usize) -> SceneDisc {
    let geometry = &drive.geometry;
    let centres = hole_centres(geometry, disc);
    SceneDisc {
        opening_path: opening_path(geometry, &centres, hole_radius_mm(drive)),
        bore_radius_mm: geometry.bore_radius_mm,
        hole_centres_mm: centres.iter().map(|&centre| rounded_point(centre)).collect(),
        hole_radius_mm: hole_radius_mm(drive),
    }
}

/// Bore and holes of a disc.
pub(super) fn opening_path(geometry: &Geometry, hole_centres: &[Point], hole_radius_mm: f64) -> String {
    let bore = circle_contour(Point::origin(), geometry.bore_radius_mm);
    let holes = hole_centres.iter().map(|&centre| circle_contour(centre, hole_radius_mm));
    std::iter::once(bore).chain(holes).map(|contour| contour_data_mm(&contour)).collect()
}

/// Centres of a disc's output holes in its own frame, in the order of the pins that stand in them.
///
/// The pins' own order is that of the plate, so the phase is not reduced by whole holes here.
pub(super) fn hole_centres(geometry: &Geometry, disc: usize) -> Vec<Point> {
    let lobes = kinematics::lobe_count(geometry) as f64;
    let turned = TAU * disc as f64 * geometry.tooth_difference as f64 / (geometry.disc_count as f64 * lobes);
    let first_rad = geometry.hole_phase_rad + turned;
    (0..geometry.pin_count)
        .map(|pin| {
            polar(geometry.pin_circle_radius_mm, first_rad + TAU * pin as f64 / geometry.pin_count as f64)
        })
        .collect()
}
