//! How the lobes and the output holes of each disc must stand to each other, and whether one part serves all.
//!
//! Disc k sits at the crank angle φ + 2πk/n_d, so its lobes have turned by 2πk/(n_d z_l) less than those
//! of the first disc, while its holes must fall on the same pins. Derivation in
//! `docs/derivations/05-kinematics-and-phase.md`.

use crate::model::Geometry;
use crate::results::{DiscPhase, OnePart};
use std::f64::consts::TAU;

/// Angle from the nearest lobe valley to the nearest output hole on disc `disc`, in the disc's frame.
///
/// ```text
/// h_k = h_0 + 2π k Δ / (n_d z_l)   modulo 2π/lcm(w, z_l)
/// ```
///
/// **Valid for** a tooth difference of one. **Source**: Derivation 5. The representative of least
/// magnitude is returned, so that equal parts give equal numbers.
#[must_use]
pub fn hole_phase_rad(geometry: &Geometry, disc: usize) -> f64 {
    let lobes = (geometry.ring_roller_count - geometry.tooth_difference) as f64;
    let raw = geometry.hole_phase_rad + TAU * disc as f64 / (geometry.disc_count as f64 * lobes);
    reduced(raw, phase_period_rad(geometry))
}

/// Phases of all discs.
#[must_use]
pub fn disc_phases(geometry: &Geometry) -> Vec<DiscPhase> {
    (0..geometry.disc_count)
        .map(|disc| DiscPhase { disc, hole_phase_rad: hole_phase_rad(geometry, disc) })
        .collect()
}

/// Whether all discs are one part, perhaps with some turned over.
#[must_use]
pub fn one_part(geometry: &Geometry) -> OnePart {
    let period = phase_period_rad(geometry);
    let first = hole_phase_rad(geometry, 0);
    let matches = |disc: usize, sign: f64| {
        reduced(hole_phase_rad(geometry, disc) - sign * first, period).abs() < PHASE_TOLERANCE_RAD
    };
    if (0..geometry.disc_count).all(|disc| matches(disc, 1.0)) {
        OnePart::SameWayUp
    } else if (0..geometry.disc_count).all(|disc| matches(disc, 1.0) || matches(disc, -1.0)) {
        OnePart::TurnedOver
    } else {
        OnePart::Different
    }
}

/// Hole phase that makes both of two discs one part if one is turned over; none for other disc counts.
///
/// With two discs the needed difference is π/z_l; half of it, taken off the lobe axis, turns into its
/// own mirror image. Source: Derivation 5.
#[must_use]
pub fn turning_over_phase_rad(geometry: &Geometry) -> Option<f64> {
    let lobes = (geometry.ring_roller_count - geometry.tooth_difference) as f64;
    (geometry.disc_count == 2).then(|| reduced(-0.25 * TAU / lobes, phase_period_rad(geometry)).abs())
}

/// Fewer output pins than these are not proposed: they would leave the load to one or two.
const LEAST_PROPOSED_PIN_COUNT: usize = 3;

/// The next smaller and the next larger number of output pins with which all discs are one part the same way up, the nearer one first.
#[must_use]
pub fn pin_counts_for_one_part(geometry: &Geometry) -> Vec<usize> {
    let present = geometry.pin_count;
    let most = present + geometry.disc_count * geometry.ring_roller_count;
    let makes_one = |pin_count: &usize| {
        let other = Geometry { pin_count: *pin_count, ..geometry.clone() };
        one_part(&other) == OnePart::SameWayUp
    };
    let smaller = (LEAST_PROPOSED_PIN_COUNT..present).rev().find(makes_one);
    let larger = (present + 1..=most).find(makes_one);
    let mut counts: Vec<usize> = smaller.into_iter().chain(larger).collect();
    counts.sort_by_key(|count| count.abs_diff(present));
    counts
}

/// Two phases nearer than this are the same part; a thousandth of an arc second.
const PHASE_TOLERANCE_RAD: f64 = 5e-9;

/// The holes repeat after 2π/w and the lobes after 2π/z_l, so the phase between them counts modulo 2π/lcm.
fn phase_period_rad(geometry: &Geometry) -> f64 {
    let lobes = geometry.ring_roller_count - geometry.tooth_difference;
    TAU / least_common_multiple(geometry.pin_count, lobes) as f64
}

/// The angle of least magnitude that differs by whole periods; within rounding of zero it is zero.
fn reduced(angle_rad: f64, period_rad: f64) -> f64 {
    let rest = angle_rad - (angle_rad / period_rad).round() * period_rad;
    if rest.abs() < PHASE_TOLERANCE_RAD { 0.0 } else { rest }
}

/// Greatest common divisor.
#[must_use]
pub fn greatest_common_divisor(a: usize, b: usize) -> usize {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}

fn least_common_multiple(a: usize, b: usize) -> usize {
    a / greatest_common_divisor(a, b) * b
}
