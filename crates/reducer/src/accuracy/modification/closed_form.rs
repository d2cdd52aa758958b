//! A modified profile to first order, in closed form: gaps, play, and the combination without play.

use crate::model::Modification;
use crate::profile::Trochoid;
use curves::math::{self, square};

/// What the closed forms need of a drive: shape of the nominal trochoid and the longest lever.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClosedForm {
    /// K: shortening coefficient.
    pub shortening: f64,
    /// e z_l: longest lever of a roller force about the disc's centre, at cos θ = K.
    pub longest_lever_mm: f64,
}

impl ClosedForm {
    /// The closed forms of a drive by its nominal trochoid.
    #[must_use]
    pub fn of(nominal: &Trochoid) -> Self {
        Self {
            shortening: nominal.shortening(),
            longest_lever_mm: nominal.eccentricity_mm * nominal.lobe_count() as f64,
        }
    }

    /// q = sqrt(1 − K²): share of a ring-radius shift that is left as a gap where the lever is longest.
    ///
    /// **Valid for** 0 < K < 1. **Source** Derivation 12, §2.
    #[must_use]
    pub fn flank_share(&self) -> f64 {
        (1.0 - square(self.shortening)).max(0.0).sqrt()
    }

    /// S = sqrt(1 + K² − 2 K cos θ): distance of the roller from the pitch point over the ring radius.
    fn spread(&self, angle_rad: f64) -> f64 {
        (1.0 + square(self.shortening) - 2.0 * self.shortening * math::cos(angle_rad)).sqrt()
    }

    /// l: lever of the normal at a roller about the disc's centre, by the roller's angle from the crank.
    ///
    /// ```text
    /// l = e z_l sin θ/S
    /// ```
    ///
    /// **Source** Derivation 1, §2.
    #[must_use]
    pub fn lever_mm(&self, angle_rad: f64) -> f64 {
        self.longest_lever_mm * math::sin(angle_rad) / self.spread(angle_rad)
    }

    /// Gap of a roller with the disc in its ideal position.
    ///
    /// ```text
    /// g = δr − δR (1 − K cos θ)/S + (δα/2) |l|
    /// ```
    ///
    /// **Valid for** modifications small against the radii of curvature: some tens of micrometres.
    /// **Source** Derivation 12, §1.
    #[must_use]
    pub fn gap_mm(&self, modification: &Modification, angle_rad: f64) -> f64 {
        let along_normal = (1.0 - self.shortening * math::cos(angle_rad)) / self.spread(angle_rad);
        modification.equidistant_offset_mm - modification.ring_radius_shift_mm * along_normal
            + 0.5 * modification.flank_rotation_rad * self.lever_mm(angle_rad).abs()
    }

    /// j: play of a disc between its two flanks with its centre held, each flank at its best crank angle.
    ///
    /// ```text
    /// j = 2 (δr − δR sqrt(1 − K²))/(e z_l) + δα
    /// ```
    ///
    /// **Valid for** as [`Self::gap_mm`], and combinations whose smallest gap over lever lies at cos θ = K: all with δR ≤ 0 that do not
    /// interfere, and all without a shift. **Source** `[kudryavtsev1966]`, from memory; Derivation 12, §2.
    #[must_use]
    pub fn play_rad(&self, modification: &Modification) -> f64 {
        let at_flank_mm =
            modification.equidistant_offset_mm - modification.ring_radius_shift_mm * self.flank_share();
        2.0 * at_flank_mm / self.longest_lever_mm + modification.flank_rotation_rad
    }

    /// Gap of a roller once the disc has been turned towards positive θ until a roller anywhere there touches.
    ///
    /// ```text
    /// Δ = g − (j/2) l;   for 0 < θ < π:  Δ = δr (1 − sin θ/S) − δR (1 − cos(θ − θ0))/S,   cos θ0 = K
    /// ```
    ///
    /// **Valid for** as [`Self::play_rad`]. **Source** `[kudryavtsev1966]`, from memory; Derivation 12, §3.
    #[must_use]
    pub fn gap_after_contact_mm(&self, modification: &Modification, angle_rad: f64) -> f64 {
        self.gap_mm(modification, angle_rad) - 0.5 * self.play_rad(modification) * self.lever_mm(angle_rad)
    }

    /// The offset that takes all play from a ring-radius shift.
    ///
    /// ```text
    /// δr = δR sqrt(1 − K²)
    /// ```
    /// With δR < 0 no roller interferes, and tip and root keep a gap of −δR (1 − sqrt(1 − K²)).
    ///
    /// **Valid for** δR ≤ 0. **Source** Derivation 12, §4.
    #[must_use]
    pub fn offset_without_play_mm(&self, ring_radius_shift_mm: f64) -> f64 {
        ring_radius_shift_mm * self.flank_share()
    }

    /// The ring-radius shift that leaves a clearance at tip and root and a play between the flanks without flank rotation.
    ///
    /// ```text
    /// δr − δR = c,   δr − δR q = j e z_l/2   →   δR = (j e z_l/2 − c)/(1 − q)
    /// ```
    ///
    /// **Valid for** as [`Self::play_rad`]. **Source** Derivation 12, §4.
    #[must_use]
    pub fn shift_for_mm(&self, clearance_mm: f64, play_rad: f64) -> f64 {
        (0.5 * play_rad * self.longest_lever_mm - clearance_mm) / (1.0 - self.flank_share())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> ClosedForm {
        ClosedForm::of(&Trochoid { ring_roller_count: 12, ring_radius_mm: 40.0, eccentricity_mm: 2.0 })
    }

    fn modification(offset_mm: f64, shift_mm: f64, rotation_rad: f64) -> Modification {
        Modification {
            equidistant_offset_mm: offset_mm,
            ring_radius_shift_mm: shift_mm,
            flank_rotation_rad: rotation_rad,
        }
    }

    /// The play is twice the smallest gap over lever of a dense search, and the gap left after contact is nowhere negative.
    #[test]
    fn identity_play_is_the_smallest_gap_over_lever() {
        let form = sample();
        for (offset, shift, rotation) in [
            (0.01, 0.0, 0.0),
            (0.0, -0.01, 0.0),
            (0.01, -0.02, 0.0),
            (-0.02, -0.03, 1e-4),
            (0.003, 0.0, 5e-4),
        ] {
            let made = modification(offset, shift, rotation);
            let angles = || (1..20_000).map(|step| std::f64::consts::PI * f64::from(step) / 20_000.0);
            let least = angles()
                .map(|angle| form.gap_mm(&made, angle) / form.lever_mm(angle))
                .fold(f64::INFINITY, f64::min);
            assert!((2.0 * least - form.play_rad(&made)).abs() < 1e-11, "{made:?}");
            assert!(angles().all(|angle| form.gap_after_contact_mm(&made, angle) > -1e-12));
        }
    }

    /// Rotation of the flanks leaves no gap after contact; the other two terms are the two brackets of the trade's formula.
    #[test]
    fn identity_gap_after_contact_is_the_sum_of_two_brackets() {
        let form = sample();
        let best = math::acos(form.shortening);
        for step in 0..180 {
            let angle = std::f64::consts::PI * f64::from(step) / 180.0;
            let spread = form.spread(angle);
            let offset = 0.007 * (1.0 - math::sin(angle) / spread);
            let shift = 0.004 * (1.0 - math::cos(angle - best)) / spread;
            let found = form.gap_after_contact_mm(&modification(0.007, -0.004, 3e-4), angle);
            assert!((found - offset - shift).abs() < 1e-15, "{angle}");
        }
    }

    /// The combination without play: nothing interferes, the flank touches where its lever is longest, tip and root stay free.
    #[test]
    fn identity_combination_without_play() {
        let form = sample();
        let made = modification(form.offset_without_play_mm(-0.03), -0.03, 0.0);
        assert!(form.play_rad(&made).abs() < 1e-18);
        let free = 0.03 * (1.0 - form.flank_share());
        for end in [0.0, std::f64::consts::PI] {
            assert!((form.gap_mm(&made, end) - free).abs() < 1e-15);
        }
        let angles = (0..=3600).map(|step| std::f64::consts::PI * f64::from(step) / 3600.0);
        assert!(angles.map(|angle| form.gap_mm(&made, angle)).fold(f64::INFINITY, f64::min) > -1e-15);
        assert!(form.gap_mm(&made, math::acos(form.shortening)).abs() < 1e-15);
        assert!((form.shift_for_mm(free, 0.0) + 0.03).abs() < 1e-15);
    }
}
