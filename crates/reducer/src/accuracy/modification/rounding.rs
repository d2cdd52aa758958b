//! Modifications in the steps of a drawing, rounded so that all that was wished for still holds.

use super::search::{LEAST_INTERFERENCE_MM, Search};
use crate::model::Modification;
use crate::results::ModificationFamily;
use std::f64::consts::PI;

/// Steps in which a proposal is written on a drawing. Own choice: finer than any shop holds.
pub(super) const LENGTH_STEP_MM: f64 = 1e-4;
const ANGLE_STEP_RAD: f64 = 0.01 * PI / 10_800.0;
/// Steps that a rounded value may lie off the exact one.
const REACH_STEPS: i64 = 3;
/// Weight of the distance from the exact modification against a lack of backlash.
const DISTANCE_WEIGHT: f64 = 0.2;
/// Excess of backlash, and lack of clearance, that is rounding of the computation.
const LEAST_EXCESS_RAD: f64 = 1e-11;
const LEAST_LACK_MM: f64 = 1e-9;

impl Search<'_> {
    /// The steps near an exact modification that keep clearance and backlash and let nothing interfere; otherwise the least backlash of those
    /// that keep the rest, where there are any.
    ///
    /// Each place of the lattice of steps is tried on exact gaps, in the order of how near it is: by its predicted lack of backlash where
    /// there is no rotation to make it up, by its distance alone otherwise. The rotation is rounded down to the backlash.
    ///
    /// **Source** Derivation 12, §7.
    pub(super) fn rounded(
        &mut self,
        family: ModificationFamily,
        exact: &Modification,
    ) -> Result<Modification, Option<f64>> {
        let mut least_backlash_rad: Option<f64> = None;
        for place in self.lattice(family, exact) {
            let made = self.turned_down(family, exact, place);
            if !self.keeps_gaps(&made) {
                continue;
            }
            let backlash_rad = self.trial.play_rad(&made);
            if backlash_rad <= self.backlash_rad + LEAST_EXCESS_RAD {
                return Ok(made);
            }
            least_backlash_rad =
                Some(least_backlash_rad.map_or(backlash_rad, |least| least.min(backlash_rad)));
        }
        Err(least_backlash_rad)
    }

    /// Offsets and shifts round an exact modification, nearest first.
    fn lattice(&self, family: ModificationFamily, exact: &Modification) -> Vec<[f64; 2]> {
        let near = |value: f64| {
            let middle = (value / LENGTH_STEP_MM).round() as i64;
            (middle - REACH_STEPS..=middle + REACH_STEPS).map(|steps| steps as f64 * LENGTH_STEP_MM)
        };
        let mut places: Vec<(f64, [f64; 2])> = Vec::new();
        for shift in near(exact.ring_radius_shift_mm) {
            if family == ModificationFamily::OffsetAndRotation && shift != 0.0 {
                continue;
            }
            for offset in near(exact.equidistant_offset_mm) {
                let by_offset = offset - exact.equidistant_offset_mm;
                let by_shift = shift - exact.ring_radius_shift_mm;
                let excess = by_offset - self.form.flank_share() * by_shift;
                let distance = by_offset.abs() + by_shift.abs();
                let rank = match family {
                    // Too much backlash is of no use but to tell how near it comes.
                    ModificationFamily::OffsetAndShift if excess > 0.0 => 1.0 + excess,
                    ModificationFamily::OffsetAndShift => DISTANCE_WEIGHT * distance - excess,
                    ModificationFamily::OffsetAndRotation | ModificationFamily::All => distance,
                };
                places.push((rank, [offset, shift]));
            }
        }
        places.sort_by(|one, other| one.0.total_cmp(&other.0));
        places.into_iter().map(|(_, place)| place).collect()
    }

    /// The modification at a place; a rotation takes up the backlash that is left, and no more.
    fn turned_down(
        &mut self,
        family: ModificationFamily,
        exact: &Modification,
        [offset, shift]: [f64; 2],
    ) -> Modification {
        let made = |flank_rotation_rad: f64| Modification {
            equidistant_offset_mm: offset,
            ring_radius_shift_mm: shift,
            flank_rotation_rad,
        };
        if family == ModificationFamily::OffsetAndShift {
            return made(0.0);
        }
        let left = self.backlash_rad - self.trial.play_rad(&made(exact.flank_rotation_rad));
        let steps = ((exact.flank_rotation_rad + left) / ANGLE_STEP_RAD + 1e-6).floor();
        made(steps.max(0.0) * ANGLE_STEP_RAD)
    }

    fn keeps_gaps(&mut self, made: &Modification) -> bool {
        self.trial.meshes(made)
            && self.trial.clearance_mm(made) >= self.clearance_mm - LEAST_LACK_MM
            && self.trial.least_gap_mm(made) >= -LEAST_INTERFERENCE_MM
    }
}
