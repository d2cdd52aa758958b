//! What the greatest force and the clearance come to along the modifications that hold a wanted backlash: for a figure.

use super::search::{Search, Thorough};
use crate::results::{ModificationCurve, ModificationFamily, ModificationPoint};

/// Points of a curve.
const POINTS: usize = 25;
/// Clearances shown, as shares of the wanted one.
const CLEARANCE_SHARES: (f64, f64) = (0.1, 2.5);

impl Search<'_> {
    /// Curves of the families that have a shift: of one cut over the clearance, of all three over the shift at the wanted clearance.
    ///
    /// **Source** Derivation 12, §7.
    pub(super) fn curves(&mut self) -> Vec<ModificationCurve> {
        let along = |low: f64, high: f64| {
            (0..POINTS).map(move |index| low + (high - low) * index as f64 / (POINTS - 1) as f64)
        };
        let (least, most) = CLEARANCE_SHARES;
        let wanted = self.clearance_mm;
        let one_cut = along(least * wanted, most * wanted).map(|clearance| [clearance, 0.0]).collect();
        let (low, high) = self.shift_range_mm(wanted);
        let all = along(low, high).map(|shift| [wanted, shift]).collect();
        vec![
            self.curve(ModificationFamily::OffsetAndShift, one_cut),
            self.curve(ModificationFamily::All, all),
        ]
    }

    /// The places of a family that can be had; what interferes or does not mesh is left out.
    fn curve(&mut self, family: ModificationFamily, places: Vec<[f64; 2]>) -> ModificationCurve {
        let mut points: Vec<ModificationPoint> = Vec::new();
        for [clearance, shift] in places {
            let Some(made) = self.settled(family, clearance, shift, Thorough::AllAngles) else { continue };
            let force_n = self.trial.greatest_force_n(&made);
            if force_n.is_finite() {
                points.push(ModificationPoint {
                    equidistant_offset_mm: made.equidistant_offset_mm,
                    ring_radius_shift_mm: made.ring_radius_shift_mm,
                    flank_rotation_rad: made.flank_rotation_rad,
                    operating_clearance_mm: clearance,
                    ring_roller_force_n: force_n,
                });
            }
        }
        points.sort_by(|one, other| one.ring_radius_shift_mm.total_cmp(&other.ring_radius_shift_mm));
        ModificationCurve { family, points }
    }
}
