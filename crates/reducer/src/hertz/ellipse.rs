//! Hertz contact over an ellipse: balls in grooves, crossed cylinders, any two curved bodies.

use super::Elastic;
use curves::math::{self, power, square};
use curves::quadrature::complete_elliptic;
use curves::root::{brent, golden_minimum};
use std::f64::consts::{FRAC_PI_2, TAU};

/// Two bodies that touch at a point, curved differently in two directions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EllipseGeometry {
    /// A: the smaller coefficient of the gap A x² + B y², half the relative curvature along the longer axis of the contact.
    pub smaller_gap_per_mm: f64,
    /// B: the larger one.
    pub larger_gap_per_mm: f64,
    /// E*: modulus of the contact.
    pub contact_modulus_mpa: f64,
}

/// A point contact under a force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EllipsePressure {
    /// a: half the longer axis.
    pub half_length_mm: f64,
    /// b: half the shorter axis.
    pub half_width_mm: f64,
    /// p₀: greatest pressure, in the middle.
    pub pressure_mpa: f64,
    /// δ: approach of the two bodies.
    pub approach_mm: f64,
}

/// Largest relative difference of A and B that counts as a circle.
const ROUND: f64 = 1e-9;

impl EllipseGeometry {
    /// Two bodies by their curvatures in two directions square to each other (convex positive), the second body turned.
    ///
    /// ```text
    /// A + B = ½ (κ₁ + κ₁' + κ₂ + κ₂')
    /// B − A = ½ sqrt((κ₁ − κ₁')² + (κ₂ − κ₂')² + 2 (κ₁ − κ₁')(κ₂ − κ₂') cos 2ψ)
    /// ```
    /// ψ is the angle between the directions of κ₁ and κ₂.
    /// **Source** `[johnson1985]` §4.1, from memory.
    #[must_use]
    pub fn of(
        first_per_mm: [f64; 2],
        second_per_mm: [f64; 2],
        angle_rad: f64,
        contact_modulus_mpa: f64,
    ) -> Self {
        let sum = 0.5 * (first_per_mm.iter().sum::<f64>() + second_per_mm.iter().sum::<f64>());
        let (one, other) = (first_per_mm[0] - first_per_mm[1], second_per_mm[0] - second_per_mm[1]);
        let squares = square(one) + square(other) + 2.0 * one * other * math::cos(2.0 * angle_rad);
        let difference = 0.5 * squares.max(0.0).sqrt();
        Self {
            smaller_gap_per_mm: 0.5 * (sum - difference),
            larger_gap_per_mm: 0.5 * (sum + difference),
            contact_modulus_mpa,
        }
    }

    /// b/a: shape of the ellipse; `None` where the bodies do not touch at a point.
    ///
    /// ```text
    /// B/A = [(a/b)² E(m) − K(m)] / [K(m) − E(m)],   m = 1 − (b/a)²
    /// ```
    /// **Source** `[johnson1985]` eq. 4.28, from memory.
    #[must_use]
    pub fn axis_ratio(&self) -> Option<f64> {
        let wanted = self.larger_gap_per_mm / self.smaller_gap_per_mm;
        if !wanted.is_finite() || self.smaller_gap_per_mm <= 0.0 {
            return None;
        }
        if wanted < 1.0 + ROUND {
            return Some(1.0);
        }
        let excess = |log_ratio: f64| {
            let ratio = math::exp(log_ratio);
            let (first, second) = complete_elliptic(1.0 - square(ratio));
            math::log10((second / square(ratio) - first) / (first - second)) - math::log10(wanted)
        };
        brent(excess, LOWEST_LOG_RATIO, -1e-7, 1e-13).ok().map(math::exp)
    }

    /// Axes, pressure and approach under a force; `None` where the bodies do not touch at a point.
    ///
    /// ```text
    /// a³ = 3 F E(m) / (2π (b/a)² E* (A + B)),   p₀ = 3F/(2π a b),   δ = 3 F K(m)/(2π a E*)
    /// ```
    /// **Valid for** elastic bodies, an ellipse small against all radii, no friction.
    /// **Source** `[johnson1985]` eq. 4.26 to 4.30, from memory.
    /// **Checked by** `validation/boresi-schmidt/17-1.toml`, `17-2.toml`, `validation/computed/point-contact-*.toml`.
    #[must_use]
    pub fn under(&self, force_n: f64) -> Option<EllipsePressure> {
        let ratio = self.axis_ratio()?;
        let (first, second) = complete_elliptic(1.0 - square(ratio));
        let sum = self.smaller_gap_per_mm + self.larger_gap_per_mm;
        let cube = 3.0 * force_n * second / (TAU * square(ratio) * self.contact_modulus_mpa * sum);
        let half_length_mm = math::pow(cube, 1.0 / 3.0);
        let half_width_mm = ratio * half_length_mm;
        Some(EllipsePressure {
            half_length_mm,
            half_width_mm,
            pressure_mpa: 3.0 * force_n / (TAU * half_length_mm * half_width_mm),
            approach_mm: 3.0 * force_n * first / (TAU * half_length_mm * self.contact_modulus_mpa),
        })
    }
}

/// Natural logarithm of the slenderest ellipse that is looked for, 1 : 22 000.
const LOWEST_LOG_RATIO: f64 = -10.0;
/// Steps over the radius and over a quarter turn when point loads are added up.
const RADIUS_STEPS: u32 = 160;
/// See [`RADIUS_STEPS`].
const ANGLE_STEPS: u32 = 48;

/// Greatest shear below the middle of an elliptic contact: its share of p₀, and its depth over b.
///
/// ```text
/// τ = max over z of (largest − smallest of σx, σy, σz)/2 on the axis
/// ```
/// The stresses are those of point loads added up over the pressure.
/// **Valid for** no friction; b/a from about 0.05 on, below which a line contact serves.
/// **Source** point load on a half-space, `[timoshenko1970]`, from memory; the sum is our own.
/// **Checked by** the shares and depths of `[johnson1985]` table 4.1, from memory.
#[must_use]
pub fn greatest_shear(axis_ratio: f64, poisson_ratio: f64) -> (f64, f64) {
    let shear = |depth: f64| -shear_on_axis(axis_ratio, poisson_ratio, depth);
    let (depth, negative) = golden_minimum(shear, 0.2, 1.2, 1e-5);
    (-negative, depth)
}

/// Shear on the axis at a depth over b, for p₀ = 1.
fn shear_on_axis(axis_ratio: f64, poisson_ratio: f64, depth: f64) -> f64 {
    let mut stress = [0.0_f64; 3];
    for turn in 0..ANGLE_STEPS {
        let angle = FRAC_PI_2 * (f64::from(turn) + 0.5) / f64::from(ANGLE_STEPS);
        let (sine, cosine) = math::sin_cos(angle);
        // Radius of the ellipse there, for b = 1 along y.
        let reach = 1.0 / (square(cosine * axis_ratio) + square(sine)).sqrt();
        for step in 0..RADIUS_STEPS {
            // r = reach sin t takes the root of the pressure's edge away.
            let (share, root) = math::sin_cos(FRAC_PI_2 * (f64::from(step) + 0.5) / f64::from(RADIUS_STEPS));
            let radius = reach * share;
            let area =
                radius * reach * root * FRAC_PI_2 / f64::from(RADIUS_STEPS) * TAU / f64::from(ANGLE_STEPS);
            let at = point_load_stress(radius, [cosine, sine], depth, poisson_ratio);
            for (sum, value) in stress.iter_mut().zip(at) {
                *sum += value * root * area;
            }
        }
    }
    let most = stress.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = stress.iter().copied().fold(f64::INFINITY, f64::min);
    0.5 * (most - least)
}

/// σx, σy, σz at a depth on the axis under a unit load at a radius in a direction.
fn point_load_stress(radius: f64, [cosine, sine]: [f64; 2], depth: f64, poisson_ratio: f64) -> [f64; 3] {
    let distance = (square(radius) + square(depth)).sqrt();
    let side = (1.0 - 2.0 * poisson_ratio) / square(radius) * (1.0 - depth / distance);
    let ring = (1.0 - 2.0 * poisson_ratio) * depth / power(distance, 3);
    let pull = 3.0 * depth * square(radius) / power(distance, 5);
    let along = |this: f64, other: f64| {
        (side * (square(this) - square(other)) + ring * square(other) - pull * square(this)) / TAU
    };
    [along(cosine, sine), along(sine, cosine), -3.0 * power(depth, 3) / (TAU * power(distance, 5))]
}

/// Ball in the groove of a ring: curvatures across and along the way it rolls.
///
/// `conformity` is the groove's radius over the ball's diameter, `race_radius_mm` the radius of the raceway where the
/// ball rolls, negative for an outer ring.
/// **Source** geometry of the contact.
#[must_use]
pub fn ball_in_groove(
    ball_diameter_mm: f64,
    conformity: f64,
    race_radius_mm: f64,
    ball: &Elastic,
    race: &Elastic,
) -> EllipseGeometry {
    let own = 2.0 / ball_diameter_mm;
    let groove = -1.0 / (conformity * ball_diameter_mm);
    let modulus = super::contact_modulus_mpa(ball, race);
    EllipseGeometry::of([own, own], [groove, 1.0 / race_radius_mm], 0.0, modulus)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Shares and depths for ν = 0.3 as printed, from memory of the table.
    #[test]
    fn published_shear_below_ellipses() {
        let table = [
            (0.2, 0.745, 0.322),
            (0.4, 0.665, 0.325),
            (0.6, 0.590, 0.323),
            (0.8, 0.530, 0.317),
            (1.0, 0.480, 0.310),
        ];
        for (ratio, depth, share) in table {
            let (own_share, own_depth) = greatest_shear(ratio, 0.3);
            println!("{ratio}: {own_share:.4} ({share}) at {own_depth:.4} ({depth})");
            assert!((own_share - share).abs() < 1.5e-3, "{ratio}: {own_share} {share}");
            assert!((own_depth - depth).abs() < 0.01, "{ratio}: {own_depth} {depth}");
        }
    }

    /// Below a circle the stresses are known in closed form: σz = −1/(1 + z²), σr = −(1 + ν)(1 − z atan(1/z)) + ½/(1 + z²).
    #[test]
    fn independent_shear_below_a_circle_is_that_of_the_closed_form() {
        for depth in [0.3, 0.481, 0.8, 1.1] {
            let inverse = math::atan2(1.0, depth);
            let across = -1.3 * (1.0 - depth * inverse) + 0.5 / (1.0 + square(depth));
            let expected = 0.5 * (across + 1.0 / (1.0 + square(depth)));
            let own = shear_on_axis(1.0, 0.3, depth);
            assert!((own - expected).abs() < 1e-4, "{depth}: {own} {expected}");
        }
    }

    #[test]
    fn identity_slender_ellipses_near_a_line_contact() {
        let (share, depth) = greatest_shear(0.05, 0.3);
        assert!((share - super::super::SHEAR_SHARE).abs() < 0.012, "{share}");
        assert!((depth - super::super::SHEAR_DEPTH_SHARE).abs() < 0.03, "{depth}");
    }

    #[test]
    fn identity_pressure_over_the_ellipse_carries_the_force() {
        let geometry = EllipseGeometry::of([0.2, 0.2], [-0.19, 0.05], 0.0, 113_000.0);
        let state = geometry.under(500.0).unwrap();
        let carried = 2.0 / 3.0 * PI * state.half_length_mm * state.half_width_mm * state.pressure_mpa;
        assert!((carried - 500.0).abs() < 1e-9);
        assert!(EllipseGeometry::of([0.2, 0.2], [-0.2, 0.05], 0.0, 1e5).under(1.0).is_none());
    }
}
