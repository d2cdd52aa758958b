//! A lobed outline with a parameter that runs slower in the valleys, where the flank turns fast.
//!
//! The trochoid's own parameter has a singularity `ln(1/K1)` beside the valley in the complex plane: where that is less than
//! the step, no polynomial through even steps follows the flank. A Möbius map of the lobe's circle,
//! `tan(θ'/2) = m tan(θ/2)` with `m = (1 + c)/(1 − c)`, moves it off; with `c = (1 − √(1 − K1²))/K1` as far as the map's own
//! singularity, beside the tip, comes near. Source: Derivation 7, §4.

use curves::{ClosedCurve, CurvePoint, math};
use std::f64::consts::PI;

/// An outline whose lobes are alike, valleys at whole lobes of the parameter.
pub struct Crowded<'a> {
    /// The outline in its own parameter.
    pub curve: &'a dyn ClosedCurve,
    /// Lobes in one period.
    pub lobe_count: usize,
    /// c, from 0 (even) to below 1.
    pub crowding: f64,
}

/// Crowding that puts the two singularities equally far from the lobe's circle, for a shortening K1.
#[must_use]
pub fn crowding_of(shortening: f64) -> f64 {
    shortening / (1.0 + (1.0 - math::square(shortening)).max(0.0).sqrt())
}

/// Place among the crowded lobes, in lobes, for one counted in the outline's own parameter.
#[must_use]
pub fn crowded_place(lobes: f64, crowding: f64) -> f64 {
    stretched(lobes, (1.0 + crowding) / (1.0 - crowding))
}

/// The map of every lobe, valleys and tips staying where they are.
fn stretched(lobes: f64, factor: f64) -> f64 {
    let valley = lobes.round();
    let (sine, cosine) = math::sin_cos(PI * (lobes - valley));
    valley + math::atan2(factor * sine, cosine) / PI
}

impl ClosedCurve for Crowded<'_> {
    fn period(&self) -> f64 {
        self.curve.period()
    }

    fn at(&self, parameter: f64) -> CurvePoint {
        let lobe = self.curve.period() / self.lobe_count as f64;
        let factor = (1.0 + self.crowding) / (1.0 - self.crowding);
        let place = parameter / lobe;
        let (sine, cosine) = math::sin_cos(PI * place);
        let speed = factor / (math::square(factor * cosine) + math::square(sine));
        let point = self.curve.at(stretched(place, 1.0 / factor) * lobe);
        CurvePoint { speed_mm: point.speed_mm * speed, ..point }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::{LobeProfile, Trochoid};

    #[test]
    fn identity_the_crowded_outline_is_the_same_curve() {
        let trochoid = Trochoid { ring_roller_count: 40, ring_radius_mm: 62.0, eccentricity_mm: 1.25 };
        let profile = LobeProfile::new(trochoid, 2.75, 0.0);
        let crowded = Crowded { curve: &profile, lobe_count: 39, crowding: crowding_of(0.806) };
        for index in 0..200 {
            let parameter = 0.0317 * f64::from(index);
            let place = crowded_place(parameter / profile.period() * 39.0, crowded.crowding);
            let (own, found) = (profile.at(parameter), crowded.at(place * profile.period() / 39.0));
            assert!((own.position_mm - found.position_mm).norm() < 1e-10);
            let step = 1e-6;
            let by = |side: f64| crowded.at(parameter + side * step).position_mm;
            let slope = (by(1.0) - by(-1.0)).norm() / (2.0 * step);
            assert!((slope / crowded.at(parameter).speed_mm - 1.0).abs() < 1e-6);
        }
    }

    #[test]
    fn identity_no_crowding_changes_nothing() {
        assert_eq!(crowding_of(0.0), 0.0);
        for place in [-1.3, 0.0, 0.2, 0.5, 7.9] {
            assert!((crowded_place(place, 0.0) - place).abs() < 1e-12);
        }
    }
}
