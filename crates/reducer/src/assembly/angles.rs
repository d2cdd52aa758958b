//! The crank angles at which every assembly is looked at: few, and spread over all that repeats.
//!
//! Backlash and transmission error depend on three angles: that of the crank in the ring, which meets the ring's errors; that of the crank
//! in the disc, which meets those of holes and pins; and the phase of the mesh. Equal steps over a whole output turn make each of
//! them a lattice, and a good number of steps spreads the points evenly over all three together. Source: Derivation 14, §4.

use crate::model::Drive;
use crate::phase::greatest_common_divisor;
use std::f64::consts::TAU;

/// Step counts tried beyond the least one, as a share of it; there is always one without a common divisor among them.
const COUNTS_TRIED_RATIO: f64 = 0.3;
const LEAST_COUNTS_TRIED: usize = 16;

/// Crank angles at which assemblies are looked at unless others are asked for: one for every few passes of a lobe over a roller, within bounds.
///
/// With extremes followed from there, the transmission error of the examples is then within 3 % of that at all places of the turn on the mean.
///
/// **Source** own choice; Derivation 14, §4.
#[must_use]
pub fn usual_crank_angle_count(drive: &Drive) -> usize {
    let roller_count = drive.geometry.ring_roller_count;
    (roller_count * roller_count.saturating_sub(1) / PASSES_PER_ANGLE).clamp(LEAST_USUAL, MOST_USUAL)
}

const PASSES_PER_ANGLE: usize = 3;
const LEAST_USUAL: usize = 192;
const MOST_USUAL: usize = 640;

/// Equal steps over a whole output turn, at least `least_count` of them, whose number has no divisor in common
/// with lobes and rollers and spreads them best over crank, disc and mesh.
///
/// **Source** rank-1 lattices, `[sloan1994]`, from memory; the measure of spread is the shortest distance between two points.
#[must_use]
pub fn crank_angles_rad(lobe_count: usize, least_count: usize) -> Vec<f64> {
    let least_count = least_count.max(1);
    let mut best = (least_count, 0.0);
    let tried = LEAST_COUNTS_TRIED.max((COUNTS_TRIED_RATIO * least_count as f64) as usize);
    let meets_all = |count: &usize| greatest_common_divisor(*count, lobe_count * (lobe_count + 1)) == 1;
    for count in (least_count..least_count + tried).filter(meets_all) {
        // In units of the mean distance, so that larger counts have no handicap.
        let spread = shortest_distance(lobe_count, count) * curves::math::cbrt(count as f64);
        if spread > best.1 * (1.0 + 1e-9) {
            best = (count, spread);
        }
    }
    let turn = TAU * lobe_count as f64;
    (0..best.0).map(|step| turn * step as f64 / best.0 as f64).collect()
}

/// Shortest distance between two points of the lattice, on the torus of crank, disc and mesh angles in turns.
fn shortest_distance(lobe_count: usize, count: usize) -> f64 {
    let roller_count = lobe_count + 1;
    let rates = [lobe_count, roller_count, lobe_count * roller_count];
    let distance = |step: usize| {
        rates
            .iter()
            .map(|rate| {
                let rest = (rate * step) % count;
                let turns = rest.min(count - rest) as f64 / count as f64;
                turns * turns
            })
            .sum::<f64>()
    };
    (1..count).map(distance).fold(f64::INFINITY, f64::min).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_every_crank_disc_and_mesh_angle_is_met() {
        for lobe_count in [11, 19, 39, 87] {
            let angles = crank_angles_rad(lobe_count, 192);
            assert!(angles.len() >= 192 && angles.len() < 250);
            let roller_count = lobe_count + 1;
            for rate in [lobe_count, roller_count, lobe_count * roller_count] {
                let mut turns: Vec<f64> = angles
                    .iter()
                    .map(|angle| (angle * rate as f64 / (TAU * lobe_count as f64)).rem_euclid(1.0))
                    .collect();
                turns.sort_by(f64::total_cmp);
                let widest = turns.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
                assert!(widest < 1.5 / angles.len() as f64, "{lobe_count} {rate} {widest}");
            }
        }
    }
}
