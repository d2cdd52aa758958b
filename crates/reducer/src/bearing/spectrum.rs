//! The force on an eccentric bearing seen from the crank: how large, which way, and how still it stands.

use crate::results::BearingSpectrum;
use crate::units::degrees;
use curves::math;
use std::f64::consts::{PI, TAU};

/// Share above which a force counts as standing still against the crank: its direction then stays within some 25°.
const STILL: f64 = 0.95;
/// Share below which a force counts as going round against the crank too.
const ROUND: f64 = 0.5;

/// The spectrum of forces on a disc over a period, each with the direction of the eccentricity at that crank angle.
///
/// The mean force is the vector mean in the frame that turns with the crank. Where it is about as large as the mean of the
/// magnitudes, the force stands still against the inner ring, which sits on the crank, and goes round against the outer one.
///
/// **Source** geometry; which ring needs the tight fit is common practice.
#[must_use]
pub fn spectrum(disc: usize, forces_n: &[([f64; 2], f64)]) -> BearingSpectrum {
    let turned: Vec<(f64, f64)> = forces_n
        .iter()
        .map(|&([x, y], eccentric_rad)| {
            let (sine, cosine) = math::sin_cos(eccentric_rad);
            (x * cosine + y * sine, y * cosine - x * sine)
        })
        .collect();
    let count = turned.len().max(1) as f64;
    let mean =
        turned.iter().fold((0.0, 0.0), |sum, force| (sum.0 + force.0 / count, sum.1 + force.1 / count));
    let magnitudes = || turned.iter().map(|force| math::hypot(force.0, force.1));
    let mean_force_n = magnitudes().sum::<f64>() / count;
    let mean_force_angle_rad = math::atan2(mean.1, mean.0);
    let force_angle_spread_rad = turned
        .iter()
        .map(|force| {
            let difference = math::atan2(force.1, force.0) - mean_force_angle_rad;
            (difference - TAU * (difference / TAU).round()).abs().min(PI)
        })
        .fold(0.0, f64::max);
    let direction_constancy =
        if mean_force_n > 0.0 { math::hypot(mean.0, mean.1) / mean_force_n } else { 0.0 };
    BearingSpectrum {
        disc,
        mean_force_n,
        force_range_n: (magnitudes().fold(f64::INFINITY, f64::min), magnitudes().fold(0.0, f64::max)),
        mean_force_angle_rad,
        force_angle_spread_rad,
        direction_constancy,
        ring_loads: ring_loads(direction_constancy, force_angle_spread_rad),
    }
}

/// What the rings see, in words.
fn ring_loads(constancy: f64, spread_rad: f64) -> String {
    let spread = degrees(spread_rad);
    if constancy >= STILL {
        format!(
            "the force stands still against the crank (within ±{spread:.1}°): point load on the inner ring, which wears one place of the crank and may sit loosely; load all round on the outer ring or the disc's bore, which needs the tight fit"
        )
    } else if constancy >= ROUND {
        format!(
            "the force swings by ±{spread:.1}° against the crank: the load on the inner ring is neither still nor all round; give both rings a tight fit"
        )
    } else {
        "the force goes round against the crank: load all round on the inner ring, which needs the tight fit"
            .to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn turning(relative: impl Fn(f64) -> (f64, f64)) -> Vec<([f64; 2], f64)> {
        (0..90)
            .map(|step| {
                let crank = TAU * f64::from(step) / 90.0;
                let (magnitude, angle) = relative(crank);
                let (sine, cosine) = math::sin_cos(crank + angle);
                ([magnitude * cosine, magnitude * sine], crank)
            })
            .collect()
    }

    #[test]
    fn identity_a_force_that_turns_with_the_crank_is_a_point_load_on_the_inner_ring() {
        let found = spectrum(0, &turning(|_| (800.0, 2.0)));
        assert!((found.mean_force_n - 800.0).abs() < 1e-9);
        assert!((found.mean_force_angle_rad - 2.0).abs() < 1e-12);
        assert!((found.direction_constancy - 1.0).abs() < 1e-12 && found.force_angle_spread_rad < 1e-9);
        assert!(found.ring_loads.contains("point load on the inner ring"));
    }

    #[test]
    fn identity_a_force_that_stands_in_space_goes_round_against_the_crank() {
        let found = spectrum(1, &turning(|crank| (500.0, -crank)));
        assert!(found.direction_constancy < 1e-9);
        assert!(found.ring_loads.contains("goes round"));
    }

    #[test]
    fn identity_spread_is_the_greatest_swing_even_across_the_half_turn() {
        let found = spectrum(0, &turning(|crank| (300.0, PI + 0.4 * math::sin(crank))));
        assert!((found.force_angle_spread_rad - 0.4).abs() < 2e-3, "{}", found.force_angle_spread_rad);
        assert!((found.mean_force_angle_rad.abs() - PI).abs() < 1e-9);
    }
}
