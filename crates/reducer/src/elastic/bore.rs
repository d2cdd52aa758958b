//! Pressure on the wall of a bore as waves round it, and a bore in an endless plate in closed form.
//!
//! A wave is the outward pressure `cos kθ/(πa)` or `sin kθ/(πa)`. One wave is the bearing's own force and not among them.
//! A line load at one angle is half of the even pressure and all waves from the second on. What a wave gives is nearly
//! that of a bore of radius a in an endless plate,
//!
//! ```text
//! u_r = a p [κ/(k − 1) + 1/(k + 1)]/(4μ)
//! ```
//! whose sum over all waves is known; the table of a disc holds the rest, which fades as waves get higher.
//! **Source** Derivation 7, §6, from the complex potentials of `[muskhelishvili1963]`.

use super::boundary::Boundary;
use super::plane::PlaneMaterial;
use curves::math;
use curves::point::turned_left;
use nalgebra::DMatrix;
use std::f64::consts::PI;

/// Wave numbers in the order of all tables: 0, then from 2 on each twice, cosine and sine; none below a highest of 2.
pub fn wave_numbers(highest: usize) -> impl Iterator<Item = usize> {
    let even = (highest > 1).then_some(0);
    even.into_iter().chain((2..=highest).flat_map(|wave| [wave, wave]))
}

/// Highest wave of a table with this many of them.
#[must_use]
pub fn highest_wave(count: usize) -> usize {
    if count == 0 { 0 } else { count.div_ceil(2) }
}

/// Shares of the waves in a unit line load at an angle: ½, cos 2α, sin 2α, cos 3α, …
#[must_use]
pub fn wave_values(angle_rad: f64, highest: usize) -> Vec<f64> {
    let (sine, cosine) = math::sin_cos(angle_rad);
    let (mut own_sine, mut own_cosine) = (sine, cosine);
    let mut values = Vec::with_capacity(2 * highest);
    values.push(0.5);
    for _ in 2..=highest {
        (own_cosine, own_sine) =
            (own_cosine * cosine - own_sine * sine, own_sine * cosine + own_cosine * sine);
        values.extend([own_cosine, own_sine]);
    }
    values
}

/// Tractions of the waves at the points of a bore: pairs of rows for points, columns for waves.
#[must_use]
pub fn wave_tractions(bore: &Boundary, highest: usize) -> DMatrix<f64> {
    let count = wave_numbers(highest).count();
    let mut tractions = DMatrix::zeros(2 * bore.points.len(), count);
    for (index, point) in bore.points.iter().enumerate() {
        let outward = -point.normal;
        let even = 1.0 / (PI * radius_mm(bore));
        let angle = math::atan2(outward.y, outward.x);
        let values = wave_values(angle, highest);
        for column in 0..count {
            let value = if column == 0 { 1.0 } else { values[column] };
            tractions[(2 * index, column)] = outward.x * value * even;
            tractions[(2 * index + 1, column)] = outward.y * value * even;
        }
    }
    tractions
}

/// Tractions of one unit of force along x, along y, and of moment, as a bearing would bring them: pressure with the cosine,
/// even shear.
#[must_use]
pub fn bearing_tractions(bore: &Boundary) -> DMatrix<f64> {
    let mut tractions = DMatrix::zeros(2 * bore.points.len(), 3);
    for (index, point) in bore.points.iter().enumerate() {
        let radius = radius_mm(bore);
        let (outward, even) = (-point.normal, 1.0 / (PI * radius));
        let columns = [
            outward * (outward.x * even),
            outward * (outward.y * even),
            turned_left(outward) * (0.5 * even / radius),
        ];
        for (column, traction) in columns.iter().enumerate() {
            tractions[(2 * index, column)] = traction.x;
            tractions[(2 * index + 1, column)] = traction.y;
        }
    }
    tractions
}

fn radius_mm(bore: &Boundary) -> f64 {
    -1.0 / bore.points[0].curvature_per_mm
}

/// What a wave gives on itself in an endless plate: its work under a unit of it; nothing for the even pressure.
#[must_use]
pub fn endless_mm2_per_n(wave: usize, material: &PlaneMaterial) -> f64 {
    if wave < 2 {
        return 0.0;
    }
    let order = wave as f64;
    (material.kolosov / (order - 1.0) + 1.0 / (order + 1.0)) / (4.0 * PI * material.shear_modulus_mpa)
}

/// Radial displacement at one angle of a bore in an endless plate under a unit line load at another, waves from the second on.
///
/// ```text
/// Σ cos kΔ [κ/(k − 1) + 1/(k + 1)]/(4πμ)
///   = {κ [s − c L] − s − c L − 1 − ½ c}/(4πμ),   c = cos Δ, s = ½ (Δ − π) sin Δ, L = ln(2 sin ½Δ)
/// ```
/// `chord_share` is 2 sin ½Δ, or for the load itself the distance that it is spread over as a share of the radius.
#[must_use]
pub fn endless_sum_mm2_per_n(apart_rad: f64, chord_share: f64, material: &PlaneMaterial) -> f64 {
    let (sine, cosine) = math::sin_cos(apart_rad);
    let slope = 0.5 * (apart_rad - PI) * sine;
    let spread = cosine * math::ln(chord_share);
    let sum = material.kolosov * (slope - spread) - slope - spread - 1.0 - 0.5 * cosine;
    sum / (4.0 * PI * material.shear_modulus_mpa)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::elastic::plane::PlaneState;
    use crate::hertz::Elastic;

    /// The closed sum is the series.
    #[test]
    fn identity_sum_of_all_waves() {
        let steel = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };
        let material = PlaneMaterial::of(&steel, PlaneState::Strain);
        for apart in [0.3, 1.0, 2.0, 3.0, 5.0] {
            // Means of neighbouring partial sums, twice, settle the alternating tail.
            let mut sum = 0.0;
            let mut means = 0.0;
            let count = 400_000;
            for wave in 2..=count {
                sum += endless_mm2_per_n(wave, &material) * math::cos(wave as f64 * apart);
                means += sum;
            }
            let mean = means / (count - 1) as f64;
            let found = endless_sum_mm2_per_n(apart, 2.0 * math::sin(0.5 * apart), &material);
            assert!((found / mean - 1.0).abs() < 1e-4, "{apart}: {found} {mean}");
        }
    }

    #[test]
    fn identity_waves_in_their_order() {
        let values = wave_values(0.4, 4);
        let expected = [0.5, math::cos(0.8), math::sin(0.8), math::cos(1.2), math::sin(1.2), math::cos(1.6)];
        assert!(values.iter().zip(expected).all(|(found, expected)| (found - expected).abs() < 1e-14));
        assert_eq!(values.len(), wave_numbers(4).count());
        assert_eq!(highest_wave(values.len()), 4);
        assert_eq!(wave_numbers(0).count(), 0);
    }
}
