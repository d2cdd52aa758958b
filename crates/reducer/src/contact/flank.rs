//! Where the flanks of discs as made stop the output, centres held and nothing pressed: the base of backlash and transmission error.
//!
//! Near tip and root of a lobe the contact normal passes close by the disc's centre. A roller there that has no room pushes the disc aside and
//! does not stop its turning, which a rigid disc with its centre held cannot show. So only rollers with a lever stop a disc here; the others' gaps
//! are given beside. Source: Derivation 14.

use super::{ContactModel, DiscGeometry, MAX_ROUNDS, SETTLED_RAD};
use crate::profile::LobeOutline;
use nalgebra::Vector3;

/// Share of the greatest lever from which on a roller counts as standing on a flank. Own choice: at a quarter, a force presses the
/// disc four times as hard aside as it turns it.
pub const LEAST_FLANK_LEVER_RATIO: f64 = 0.25;
/// Share of the pin circle's radius from which on a pin stops the plate; the others slide along their holes.
const LEAST_PIN_LEVER_RATIO: f64 = 0.05;

/// A disc turned until a flank stops it, and the plate until a pin of this disc stops it.
#[derive(Clone, Debug)]
pub struct FlankTouch {
    /// Rotation of the disc from the ideal position.
    pub disc_rad: f64,
    /// Rotation of the plate from the ideal position.
    pub plate_rad: f64,
    /// Contacts at the rotations it was last taken at, next to these.
    pub geometry: DiscGeometry,
    /// Rotation of the disc that the geometry belongs to.
    pub geometry_disc_rad: f64,
    /// Rotation of the plate that the geometry belongs to.
    pub geometry_plate_rad: f64,
}

impl FlankTouch {
    /// Least gap of the rollers at tips and roots, which stop nothing; infinite where every roller stands on a flank.
    #[must_use]
    pub fn tip_and_root_gap_mm(&self, least_lever_mm: f64) -> f64 {
        let rollers = self.geometry.rollers.iter().zip(&self.geometry.roller_lever_mm);
        rollers
            .filter(|(_, lever)| lever.abs() < least_lever_mm)
            .map(|(contact, _)| contact.gap_mm)
            .fold(f64::INFINITY, f64::min)
    }
}

impl<P: LobeOutline> ContactModel<P> {
    /// Lever from which on a roller stops a disc.
    #[must_use]
    pub fn least_flank_lever_mm(&self) -> f64 {
        LEAST_FLANK_LEVER_RATIO * self.lever_scale_mm()
    }

    /// Lever from which on a pin stops the plate.
    #[must_use]
    pub fn least_pin_lever_mm(&self) -> f64 {
        LEAST_PIN_LEVER_RATIO * self.pin_circle_radius_mm
    }

    /// One disc and the plate where they stop each other, gaps taken anew until nothing moves.
    ///
    /// Rotations against the sense mean that parts overlap in the ideal position.
    ///
    /// **Source** Derivation 14, §1.
    #[must_use]
    pub fn flank_touch(
        &self,
        crank_angle_rad: f64,
        disc: usize,
        sense: f64,
        near: Option<&FlankTouch>,
    ) -> FlankTouch {
        let (disc_rad, plate_rad) = near.map_or((0.0, 0.0), |near| (near.disc_rad, near.plate_rad));
        let geometry = self.disc_geometry(crank_angle_rad, disc, &turned(disc_rad), plate_rad, None);
        let mut touch = FlankTouch {
            disc_rad,
            plate_rad,
            geometry,
            geometry_disc_rad: disc_rad,
            geometry_plate_rad: plate_rad,
        };
        for _ in 0..MAX_ROUNDS {
            let turn = self.disc_reach(&touch.geometry, sense);
            let plate_turn = self.plate_reach(&touch.geometry, sense, turn);
            touch.disc_rad = touch.geometry_disc_rad + sense * turn;
            touch.plate_rad = touch.geometry_plate_rad + sense * plate_turn;
            if turn.abs() + plate_turn.abs() < SETTLED_RAD || !(turn + plate_turn).is_finite() {
                break;
            }
            let known = &touch.geometry;
            let geometry = self.disc_geometry(
                crank_angle_rad,
                disc,
                &turned(touch.disc_rad),
                touch.plate_rad,
                Some(known),
            );
            touch = FlankTouch {
                geometry,
                geometry_disc_rad: touch.disc_rad,
                geometry_plate_rad: touch.plate_rad,
                ..touch
            };
        }
        touch
    }

    fn disc_reach(&self, geometry: &DiscGeometry, sense: f64) -> f64 {
        let least = self.least_flank_lever_mm();
        let rollers = geometry.rollers.iter().zip(&geometry.roller_lever_mm);
        rollers
            .filter(|(_, lever)| sense * **lever >= least)
            .map(|(contact, lever)| contact.gap_mm / (sense * lever))
            .fold(f64::INFINITY, f64::min)
    }

    fn plate_reach(&self, geometry: &DiscGeometry, sense: f64, disc_turn_rad: f64) -> f64 {
        let least = self.least_pin_lever_mm();
        let pins = geometry.pin_gap_mm.iter().zip(geometry.pin_lever_mm.iter().zip(&geometry.hole_lever_mm));
        pins.filter(|(_, (lever, _))| sense * **lever >= least)
            .map(|(gap, (lever, hole))| (gap + sense * hole * disc_turn_rad) / (sense * lever))
            .fold(f64::INFINITY, f64::min)
    }
}

fn turned(rotation_rad: f64) -> Vector3<f64> {
    Vector3::new(0.0, 0.0, rotation_rad)
}
