//! Where the contacts of discs as made stop the output, centres held: the base of backlash and transmission error.
//!
//! Near tip and root of a lobe, and where a pin stands across the way it is driven, the contact normal passes close by the centre. Parts
//! without room there push each other aside and hardly stop the turning: a rigid body with its centre held would see one micrometre as
//! a hundred. So a contact with a short lever stops the output only as far as the light torque at which the trade measures
//! play presses it aside. Source: Derivation 14, §1.

use super::{ContactModel, DiscGeometry, MAX_ROUNDS, SETTLED_RAD};
use crate::line_contact::LineContact;
use crate::profile::LobeOutline;
use nalgebra::Vector3;
use std::f64::consts::TAU;

/// Share of the rated torque at which the trade measures lost motion. **Source** `[common-practice]`.
pub const LOST_MOTION_SHARE: f64 = 0.03;
/// Share of the greatest lever from which on a contact stops the output without giving way. Own choice: flanks that carry have more.
pub const FIRM_LEVER_RATIO: f64 = 0.5;
/// Share of the greatest lever below which a roller counts as standing at tip or root. Own choice: at a quarter, a force presses the
/// disc four times as hard aside as it turns it.
pub const TIP_LEVER_RATIO: f64 = 0.25;
/// Share of the greatest lever below which a contact stops nothing. It would take an overlap of ten times what the light torque gives.
pub const LEAST_LEVER_RATIO: f64 = 0.1;
/// Rounds of a search that take whole steps; they settle in about five where they settle.
const WHOLE_STEPS: usize = 8;
/// Turn, in pitches of the lobes, beyond which a search has lost its way.
const MOST_TURN_IN_PITCHES: f64 = 0.25;

/// How far the light torque presses parts aside at a contact that has the greatest lever: the contact itself and what holds the parts
/// behind it. Nothing where contacts are to stop the output as rigid bodies do.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct LightGive {
    /// At a ring roller.
    pub roller_mm: f64,
    /// At an output pin.
    pub pin_mm: f64,
}

impl LightGive {
    /// What the contacts of a model give under a torque on the plate, all of it on one contact; play of the bearing is left out, as centres are held.
    ///
    /// **Source** Derivation 14, §1.
    #[must_use]
    pub fn of<P: LobeOutline>(model: &ContactModel<P>, plate_torque_n_mm: f64) -> Self {
        let most = |laws: &mut dyn Iterator<Item = LineContact>, lever_mm: f64| {
            let force_n = plate_torque_n_mm.abs() / lever_mm;
            laws.map(|law| law.approach_mm(force_n)).fold(0.0, f64::max) + model.support.pressed_mm(force_n)
        };
        // Flanks are all but straight where the lever is greatest.
        let on_flank = model.roller_law.at(0.0);
        let mut rollers =
            model.roller_compliance_mm_per_n.iter().map(|give| on_flank.with_series_compliance(*give));
        let mut pins = model.pin_laws.iter().copied();
        Self {
            roller_mm: most(&mut rollers, model.lever_scale_mm()),
            pin_mm: most(&mut pins, model.pin_circle_radius_mm),
        }
    }
}

/// How far a gap lets the output turn until a contact stops it, by its lever in the sense of turning and the greatest one.
///
/// ```text
/// x = g/l + (c/L) max(0, (L/l)² − (L/l_f)²)
/// ```
/// The force of a torque grows as 1/l, so what it presses aside does, and the turn that this takes as 1/l²: c is what it gives at L.
/// From l_f = L/2 on, a contact stops at once.
///
/// **Source** Derivation 14, §1.
#[must_use]
pub fn limit_rad(gap_mm: f64, lever_mm: f64, greatest_mm: f64, give_mm: f64) -> f64 {
    gap_mm / lever_mm + give_rad(lever_mm, greatest_mm, give_mm)
}

/// The part of [`limit_rad`] that does not depend on the gap.
#[must_use]
pub fn give_rad(lever_mm: f64, greatest_mm: f64, give_mm: f64) -> f64 {
    let ratio = greatest_mm / lever_mm;
    give_mm / greatest_mm * (ratio * ratio - 1.0 / (FIRM_LEVER_RATIO * FIRM_LEVER_RATIO)).max(0.0)
}

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
    /// Least gap of the rollers at tips and roots; infinite where every roller stands on a flank.
    #[must_use]
    pub fn tip_and_root_gap_mm(&self, tip_lever_mm: f64) -> f64 {
        let rollers = self.geometry.rollers.iter().zip(&self.geometry.roller_lever_mm);
        rollers
            .filter(|(_, lever)| lever.abs() < tip_lever_mm)
            .map(|(contact, _)| contact.gap_mm)
            .fold(f64::INFINITY, f64::min)
    }
}

impl<P: LobeOutline> ContactModel<P> {
    /// Lever below which a roller stands at tip or root.
    #[must_use]
    pub fn tip_lever_mm(&self) -> f64 {
        TIP_LEVER_RATIO * self.lever_scale_mm()
    }

    /// How far a roller's gap lets a disc turn, by its lever in the sense of turning; none where it stops nothing.
    #[must_use]
    pub fn roller_limit_rad(&self, gap_mm: f64, lever_mm: f64) -> Option<f64> {
        let greatest_mm = self.lever_scale_mm();
        let stops = lever_mm >= LEAST_LEVER_RATIO * greatest_mm;
        stops.then(|| limit_rad(gap_mm, lever_mm, greatest_mm, self.light_give.roller_mm))
    }

    /// How far a pin's gap lets the plate turn, by its lever in the sense of turning; none where it stops nothing.
    #[must_use]
    pub fn pin_limit_rad(&self, gap_mm: f64, lever_mm: f64) -> Option<f64> {
        let greatest_mm = self.pin_circle_radius_mm;
        let stops = lever_mm >= LEAST_LEVER_RATIO * greatest_mm;
        stops.then(|| limit_rad(gap_mm, lever_mm, greatest_mm, self.light_give.pin_mm))
    }

    /// One disc and the plate where they stop each other, gaps taken anew until nothing moves.
    ///
    /// Rotations against the sense mean that parts overlap in the ideal position. Parts that overlap by a good part of a lobe may be stopped at more than
    /// one place, or at none that the search comes to rest at; the one nearest the ideal position is meant, so the search always starts there, and where it
    /// does not come to rest the gaps are taken as linear from there.
    ///
    /// **Source** Derivation 14, §1.
    #[must_use]
    pub fn flank_touch(&self, crank_angle_rad: f64, disc: usize, sense: f64) -> FlankTouch {
        let ideal = self.disc_geometry(crank_angle_rad, disc, &turned(0.0), 0.0, None);
        let first = self.next_touch(ideal, [0.0; 2], sense);
        let most_rad = MOST_TURN_IN_PITCHES * TAU / self.lobe_count() as f64;
        let mut touch = first.clone();
        for round in 0..MAX_ROUNDS {
            let moved_rad =
                [touch.disc_rad - touch.geometry_disc_rad, touch.plate_rad - touch.geometry_plate_rad];
            if moved_rad.iter().map(|moved| moved.abs()).sum::<f64>() < SETTLED_RAD {
                return touch;
            }
            if !(touch.disc_rad.abs() < most_rad && touch.plate_rad.abs() < most_rad) {
                break;
            }
            // Levers in a narrow valley change with the turn itself, and whole steps may swing about the stop.
            let share = if round < WHOLE_STEPS { 1.0 } else { 0.5 };
            let next_rad = [
                touch.geometry_disc_rad + share * moved_rad[0],
                touch.geometry_plate_rad + share * moved_rad[1],
            ];
            let geometry = self.disc_geometry(
                crank_angle_rad,
                disc,
                &turned(next_rad[0]),
                next_rad[1],
                Some(&touch.geometry),
            );
            touch = self.next_touch(geometry, next_rad, sense);
        }
        first
    }

    /// Where disc and plate stop with gaps that are linear from where the geometry was taken, given by the rotations there of disc and plate.
    fn next_touch(&self, geometry: DiscGeometry, at_rad: [f64; 2], sense: f64) -> FlankTouch {
        let turn = self.disc_reach(&geometry, sense);
        let plate_turn = self.plate_reach(&geometry, sense, turn);
        let [geometry_disc_rad, geometry_plate_rad] = at_rad;
        FlankTouch {
            disc_rad: geometry_disc_rad + sense * turn,
            plate_rad: geometry_plate_rad + sense * plate_turn,
            geometry,
            geometry_disc_rad,
            geometry_plate_rad,
        }
    }

    fn disc_reach(&self, geometry: &DiscGeometry, sense: f64) -> f64 {
        let rollers = geometry.rollers.iter().zip(&geometry.roller_lever_mm);
        rollers
            .filter_map(|(contact, lever)| self.roller_limit_rad(contact.gap_mm, sense * lever))
            .fold(f64::INFINITY, f64::min)
    }

    fn plate_reach(&self, geometry: &DiscGeometry, sense: f64, disc_turn_rad: f64) -> f64 {
        let pins = geometry.pin_gap_mm.iter().zip(geometry.pin_lever_mm.iter().zip(&geometry.hole_lever_mm));
        pins.filter_map(|(gap, (lever, hole))| {
            self.pin_limit_rad(gap + sense * hole * disc_turn_rad, sense * lever)
        })
        .fold(f64::INFINITY, f64::min)
    }
}

fn turned(rotation_rad: f64) -> Vector3<f64> {
    Vector3::new(0.0, 0.0, rotation_rad)
}
