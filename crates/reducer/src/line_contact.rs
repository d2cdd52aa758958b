//! Force and approach of a line contact, with an elastic seat or a bending pin in series.
//!
//! One [`LineContact`] is built per contact geometry and then asked millions of times for the force
//! at an approach, so it is small, copied freely and allocates nothing. Every law is the inverse
//! of an approach that grows with the force and bends downwards; the force therefore grows with the approach and
//! bends upwards, which is what makes the stored energy of a loaded drive convex.

use crate::hertz::{Elastic, contact_modulus_mpa};
use curves::math;
use std::f64::consts::PI;

/// A law fitted to rollers: δ = coefficient · F^force / L^length (mm, N), one contact of two steel bodies.
#[derive(Clone, Copy, Debug)]
struct Fitted {
    coefficient: f64,
    force_exponent: f64,
    length_exponent: f64,
    words: &'static str,
}

/// **Source** `[palmgren1959]`, from memory.
const PALMGREN: Fitted = Fitted {
    coefficient: 3.84e-5,
    force_exponent: 0.9,
    length_exponent: 0.8,
    words: "Palmgren's line contact, steel on steel",
};
/// **Source** `[brandlein1999]`, from memory.
const BRANDLEIN: Fitted = Fitted {
    coefficient: 4.05e-5,
    force_exponent: 0.925,
    length_exponent: 0.85,
    words: "Brändlein's line contact, steel on steel",
};
/// Relative curvature, times the smaller reference depth, below which the two-cylinder law stays.
///
/// Closer fits are no line contact: the band would be as wide as the part. A larger value makes
/// close fits softer than Hertz says, a smaller one lets their stiffness run off without limit.
/// Own choice; a drive whose half width stays below the reference depth never meets it.
pub const LEAST_RELATIVE_CURVATURE: f64 = 1e-3;
/// Steps after which the inverse is taken as found; it needs two to five.
const MOST_STEPS: usize = 40;
/// Relative change of the force after which the inverse is found: the error of Newton's method squares with each
/// step, so what is left lies below rounding, and the stiffness, taken before the step, is right to as many digits.
const LAST_STEP: f64 = 1e-9;

/// A line contact: force from approach, approach from force.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LineContact {
    law: Law,
    /// Approach per force of whatever gives way linearly behind the contact.
    series_compliance_mm_per_n: f64,
}

/// The law between force and approach of the contact itself.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Law {
    /// δ = coefficient · F^exponent, and its inverse F = inverse · δ^(1/exponent).
    Fitted { coefficient: f64, inverse: f64, force_exponent: f64, words: &'static str },
    /// F = k δ.
    Linear { stiffness_n_per_mm: f64 },
    /// The sum of two half-planes, each to its own depth.
    TwoCylinders(TwoCylinders),
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct TwoCylinders {
    /// 2/(π L E'): approach per force and unit of the depth function, for both bodies.
    scale_mm_per_n: [f64; 2],
    /// ν/(1 − ν) of both bodies.
    lateral: [f64; 2],
    /// Depth over half width at a force of 1 N; it falls with the root of the force.
    depth_ratio_at_one_newton: [f64; 2],
    /// Force near which approach is nearly proportional to force, to start from.
    typical_secant_mm_per_n: f64,
}

impl LineContact {
    /// Palmgren's law for one contact of two steel bodies of any radii.
    ///
    /// ```text
    /// δ = 3.84e-5 F^0.9 / L^0.8      (mm, N)
    /// ```
    /// **Valid for** steel on steel; fitted to rollers in bearings, so it holds some give of the bodies
    /// behind the contact and does not go with a disc that is elastic by itself.
    /// **Source** `[palmgren1959]`, from memory. **Checked by** `validation/computed/palmgren-approach.toml`.
    #[must_use]
    pub fn palmgren(length_mm: f64) -> Self {
        Self::fitted(length_mm, PALMGREN)
    }

    /// Brändlein's law for one contact of two steel bodies of any radii.
    ///
    /// ```text
    /// δ = 4.05e-5 F^0.925 / L^0.85      (mm, N)
    /// ```
    /// **Valid for** as [`LineContact::palmgren`]. **Source** `[brandlein1999]`, from memory.
    /// **Checked by** `validation/computed/brandlein-approach.toml`.
    #[must_use]
    pub fn brandlein(length_mm: f64) -> Self {
        Self::fitted(length_mm, BRANDLEIN)
    }

    fn fitted(length_mm: f64, fit: Fitted) -> Self {
        let coefficient = fit.coefficient / math::pow(length_mm, fit.length_exponent);
        let inverse = math::pow(coefficient, -1.0 / fit.force_exponent);
        let (force_exponent, words) = (fit.force_exponent, fit.words);
        let law = Law::Fitted { coefficient, inverse, force_exponent, words };
        Self { law, series_compliance_mm_per_n: 0.0 }
    }

    /// A constant stiffness, to compare with calculations that use one.
    ///
    /// **Source** definition.
    #[must_use]
    pub fn linear(stiffness_n_per_mm: f64) -> Self {
        Self { law: Law::Linear { stiffness_n_per_mm }, series_compliance_mm_per_n: 0.0 }
    }

    /// Two long cylinders of any material, each compressed down to a depth that is stated with the result.
    ///
    /// ```text
    /// δ = 2F/(π L) Σ (1 − ν²)/E · [ asinh(d/b) − ν/(1 − ν) · (d sqrt(b² + d²) − d²)/b² ],   b = sqrt(4FR/(π L E*))
    /// ```
    /// The bracket is the exact strain below a Hertz pressure on a half-plane, added up from the
    /// surface to depth d; for d ≫ b it is the textbook's ln(2d/b) − ν/(2(1 − ν)). It stays positive
    /// and growing for any d/b, which the textbook's form does not. The depth is a convention:
    /// roller radius for a roller, and for the disc the depth at which something else takes over
    /// (its own body, or the seat); doubling one depth adds 2 ln 2 F (1 − ν²)/(π E L).
    ///
    /// `relative_curvature_per_mm` is positive where the bodies touch in one line. Where it falls below
    /// [`LEAST_RELATIVE_CURVATURE`] over the smaller depth, that value is used.
    ///
    /// **Valid for** half width well below both depths; long contacts. **Source** `[johnson1985]` §5.6,
    /// from memory, and `docs/derivations/02-line-contact.md`.
    #[must_use]
    pub fn two_cylinders(
        length_mm: f64,
        body_a: &Elastic,
        body_b: &Elastic,
        relative_curvature_per_mm: f64,
        depth_a_mm: f64,
        depth_b_mm: f64,
    ) -> Self {
        let least = LEAST_RELATIVE_CURVATURE / depth_a_mm.min(depth_b_mm);
        let curvature_per_mm = relative_curvature_per_mm.max(least);
        let modulus_mpa = contact_modulus_mpa(body_a, body_b);
        let half_width_at_one_newton_mm = (4.0 / (PI * length_mm * modulus_mpa * curvature_per_mm)).sqrt();
        let scale = |body: &Elastic| 2.0 / (PI * length_mm * body.plane_strain_modulus_mpa());
        let lateral = |body: &Elastic| body.poisson_ratio / (1.0 - body.poisson_ratio);
        let mut law = TwoCylinders {
            scale_mm_per_n: [scale(body_a), scale(body_b)],
            lateral: [lateral(body_a), lateral(body_b)],
            depth_ratio_at_one_newton: [depth_a_mm, depth_b_mm]
                .map(|depth| depth / half_width_at_one_newton_mm),
            typical_secant_mm_per_n: 0.0,
        };
        // A load at which b is a hundredth of the smaller depth lies in the middle of what drives see.
        let smaller = law.depth_ratio_at_one_newton[0].min(law.depth_ratio_at_one_newton[1]);
        let typical_force_n = math::square(smaller / 100.0);
        law.typical_secant_mm_per_n = law.approach_and_compliance(typical_force_n).0 / typical_force_n;
        Self { law: Law::TwoCylinders(law), series_compliance_mm_per_n: 0.0 }
    }

    /// The same contact with a linear spring behind it, such as a bending pin.
    ///
    /// **Source** springs in series: one force, approaches added.
    #[must_use]
    pub fn with_series_compliance(self, compliance_mm_per_n: f64) -> Self {
        let series_compliance_mm_per_n = self.series_compliance_mm_per_n + compliance_mm_per_n;
        Self { series_compliance_mm_per_n, ..self }
    }

    /// Two such contacts one behind the other, as a roller has between its races, and several of these pairs side by side.
    ///
    /// ```text
    /// δ(F) = 2 δ_one(F/n)
    /// ```
    /// **Source** one force, approaches added; one approach, forces added.
    #[must_use]
    pub fn between_races(self, row_count: usize) -> Self {
        let rows = row_count as f64;
        let law = match self.law {
            Law::Fitted { coefficient, force_exponent, words, .. } => {
                let coefficient = 2.0 * coefficient / math::pow(rows, force_exponent);
                let inverse = math::pow(coefficient, -1.0 / force_exponent);
                Law::Fitted { coefficient, inverse, force_exponent, words }
            }
            Law::Linear { stiffness_n_per_mm } => {
                Law::Linear { stiffness_n_per_mm: 0.5 * rows * stiffness_n_per_mm }
            }
            Law::TwoCylinders(one) => Law::TwoCylinders(TwoCylinders {
                scale_mm_per_n: one.scale_mm_per_n.map(|scale| 2.0 * scale / rows),
                depth_ratio_at_one_newton: one.depth_ratio_at_one_newton.map(|ratio| ratio * rows.sqrt()),
                typical_secant_mm_per_n: 2.0 * one.typical_secant_mm_per_n / rows,
                ..one
            }),
        };
        Self { law, series_compliance_mm_per_n: 2.0 * self.series_compliance_mm_per_n / rows }
    }

    /// Force at an approach, and its derivative; both zero while the bodies are apart.
    ///
    /// The derivative is that of the same function, to rounding. **Source** the chosen law,
    /// [`Self::approach_mm`], solved for the force.
    #[must_use]
    pub fn force_and_stiffness(&self, approach_mm: f64) -> (f64, f64) {
        if approach_mm <= 0.0 {
            return (0.0, 0.0);
        }
        match self.law {
            Law::Linear { stiffness_n_per_mm } => {
                let stiffness = 1.0 / (1.0 / stiffness_n_per_mm + self.series_compliance_mm_per_n);
                (stiffness * approach_mm, stiffness)
            }
            Law::Fitted { inverse, force_exponent, .. } => {
                let alone_n = inverse * math::pow(approach_mm, 1.0 / force_exponent);
                if self.series_compliance_mm_per_n == 0.0 {
                    return (alone_n, alone_n / (force_exponent * approach_mm));
                }
                self.solve(
                    approach_mm,
                    approach_mm / (approach_mm / alone_n + self.series_compliance_mm_per_n),
                )
            }
            Law::TwoCylinders(law) => {
                let secant = law.typical_secant_mm_per_n + self.series_compliance_mm_per_n;
                self.solve(approach_mm, approach_mm / secant)
            }
        }
    }

    /// Approach per force of what gives way behind the contact, such as a bending pin.
    #[must_use]
    pub fn series_compliance_mm_per_n(&self) -> f64 {
        self.series_compliance_mm_per_n
    }

    /// Approach under a force; zero without one.
    #[must_use]
    pub fn approach_mm(&self, force_n: f64) -> f64 {
        if force_n <= 0.0 { 0.0 } else { self.approach_and_compliance(force_n).0 }
    }

    /// What the law says in words, for the statement of the model that goes with every result.
    #[must_use]
    pub fn words(&self) -> &'static str {
        match self.law {
            Law::Fitted { words, .. } => words,
            Law::Linear { .. } => "constant stiffness",
            Law::TwoCylinders(_) => "two cylinders in plane strain, each to its reference depth",
        }
    }

    /// Approach and its derivative with respect to the force.
    pub(crate) fn approach_and_compliance(&self, force_n: f64) -> (f64, f64) {
        let (approach_mm, compliance) = match self.law {
            Law::Linear { stiffness_n_per_mm } => (force_n / stiffness_n_per_mm, 1.0 / stiffness_n_per_mm),
            Law::Fitted { coefficient, force_exponent, .. } => {
                let approach_mm = coefficient * math::pow(force_n, force_exponent);
                (approach_mm, force_exponent * approach_mm / force_n)
            }
            Law::TwoCylinders(law) => law.approach_and_compliance(force_n),
        };
        let series = self.series_compliance_mm_per_n;
        (approach_mm + series * force_n, compliance + series)
    }

    /// Newton's method for the force.
    ///
    /// The approach bends downwards as the force grows, so the tangent lies above it: after the first step every
    /// iterate is at or below the answer and climbs to it. Only the first step can overshoot to nothing; it is then cut to a tenth.
    fn solve(&self, approach_mm: f64, start_n: f64) -> (f64, f64) {
        let mut force_n = start_n;
        let mut compliance = 1.0;
        for _ in 0..MOST_STEPS {
            let (reached_mm, slope) = self.approach_and_compliance(force_n);
            compliance = slope;
            let next_n = (force_n + (approach_mm - reached_mm) / slope).max(0.1 * force_n);
            let settled = (next_n - force_n).abs() <= LAST_STEP * next_n;
            force_n = next_n;
            if settled {
                break;
            }
        }
        (force_n, 1.0 / compliance)
    }
}

impl TwoCylinders {
    fn approach_and_compliance(&self, force_n: f64) -> (f64, f64) {
        let root = force_n.sqrt();
        let (mut secant, mut compliance) = (0.0, 0.0);
        for body in 0..2 {
            let ratio = self.depth_ratio_at_one_newton[body] / root;
            let (value, slope) = depth_function(ratio, self.lateral[body]);
            secant += self.scale_mm_per_n[body] * value;
            // δ = scale F f(s) with s ∝ F^(−1/2), hence dδ/dF = scale (f − s f'/2).
            compliance += self.scale_mm_per_n[body] * (value - 0.5 * ratio * slope);
        }
        (secant * force_n, compliance)
    }
}

/// Strain below a Hertz pressure on a half-plane, added up to a depth of `ratio` half widths, and its
/// derivative.
///
/// ```text
/// f(s) = asinh s − ν/(1 − ν) (s sqrt(1 + s²) − s²),   f'(s) = (1 − ν/(1 − ν)/(s + sqrt(1 + s²))²)/sqrt(1 + s²)
/// ```
/// The second term is written as s/(s + sqrt(1 + s²)), which loses no digits for large s.
/// **Source** `docs/derivations/02-line-contact.md`.
fn depth_function(ratio: f64, lateral: f64) -> (f64, f64) {
    let hypotenuse = (1.0 + ratio * ratio).sqrt();
    let sum = ratio + hypotenuse;
    (math::ln(sum) - lateral * ratio / sum, (1.0 - lateral / (sum * sum)) / hypotenuse)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const STEEL: Elastic = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };
    const NYLON: Elastic = Elastic { elastic_modulus_mpa: 1_700.0, poisson_ratio: 0.4 };

    fn contacts() -> Vec<LineContact> {
        let bare = [
            LineContact::palmgren(14.0),
            LineContact::brandlein(14.0),
            LineContact::linear(2e5),
            LineContact::two_cylinders(14.0, &STEEL, &STEEL, 1.0 / 1.3616, 4.0, 6.0),
            LineContact::two_cylinders(10.0, &STEEL, &NYLON, 1.0 / 75.0, 4.0, 8.0),
            LineContact::two_cylinders(10.0, &NYLON, &NYLON, -0.1, 4.0, 8.0),
        ];
        bare.iter().flat_map(|&contact| [contact, contact.with_series_compliance(2e-5)]).collect()
    }

    /// Strain on the axis below a Hertz pressure, added up by Simpson's rule in the square root of the depth.
    fn strain_added_up(body: &Elastic, force_per_length: f64, half_width: f64, depth: f64) -> f64 {
        let peak = 2.0 * force_per_length / (PI * half_width);
        let strain = |z: f64| {
            let root = (half_width * half_width + z * z).sqrt();
            let down = -peak * half_width / root;
            let across = -peak / half_width * ((half_width * half_width + 2.0 * z * z) / root - 2.0 * z);
            let nu = body.poisson_ratio;
            -(1.0 - nu * nu) / body.elastic_modulus_mpa * (down - nu / (1.0 - nu) * across)
        };
        let count = 20_000;
        let step = depth.sqrt() / f64::from(count);
        let value = |index: i32| {
            let root = f64::from(index) * step;
            2.0 * root * strain(root * root)
        };
        let inner: f64 = (1..count).map(|index| value(index) * if index % 2 == 1 { 4.0 } else { 2.0 }).sum();
        (value(0) + inner + value(count)) * step / 3.0
    }

    #[test]
    fn independent_approach_is_the_strain_added_up() {
        let (length, force, curvature) = (10.0, 700.0, 1.0 / 1.3616);
        let half_width =
            (4.0 * force / (PI * length * contact_modulus_mpa(&STEEL, &NYLON) * curvature)).sqrt();
        let expected = strain_added_up(&STEEL, force / length, half_width, 4.0)
            + strain_added_up(&NYLON, force / length, half_width, 8.0);
        let contact = LineContact::two_cylinders(length, &STEEL, &NYLON, curvature, 4.0, 8.0);
        let relative = contact.approach_mm(force) / expected - 1.0;
        assert!(relative.abs() < 1e-9, "{relative:e}");
    }

    #[test]
    fn identity_deep_reference_gives_the_textbook_logarithm() {
        let contact = LineContact::two_cylinders(10.0, &STEEL, &STEEL, 0.1, 50.0, 50.0);
        let half_width = (4.0 * 10.0 / (PI * 10.0 * contact_modulus_mpa(&STEEL, &STEEL) * 0.1)).sqrt();
        let bracket = math::ln(2.0 * 50.0 / half_width) - 0.3 / (2.0 * 0.7);
        let textbook = 2.0 * 2.0 * 10.0 / (PI * 10.0) * (1.0 - 0.09) / 206_000.0 * bracket;
        assert!((contact.approach_mm(10.0) / textbook - 1.0).abs() < 1e-6);
    }

    #[test]
    fn identity_no_force_while_apart() {
        for contact in contacts() {
            assert_eq!(contact.force_and_stiffness(0.0), (0.0, 0.0));
            assert_eq!(contact.force_and_stiffness(-1.0), (0.0, 0.0));
            assert_eq!(contact.approach_mm(-1.0), 0.0);
        }
    }

    #[test]
    fn identity_springs_in_series_share_the_force() {
        for pair in contacts().chunks(2) {
            let force = 321.0;
            let expected = pair[0].approach_mm(force) + 2e-5 * force;
            assert!((pair[1].approach_mm(force) - expected).abs() < 1e-15);
        }
    }

    #[test]
    fn identity_pairs_of_contacts_side_by_side() {
        for contact in contacts() {
            let pairs = contact.between_races(3);
            let expected = 2.0 * contact.approach_mm(107.0);
            assert!((pairs.approach_mm(321.0) / expected - 1.0).abs() < 1e-12);
            assert!((pairs.force_and_stiffness(expected).0 / 321.0 - 1.0).abs() < 1e-12);
        }
    }

    proptest! {
        #[test]
        fn identity_force_and_approach_are_inverse(index in 0_usize..10, exponent in -12.0_f64..0.5) {
            let contact = contacts()[index];
            let approach = math::pow(10.0, exponent);
            let (force, stiffness) = contact.force_and_stiffness(approach);
            prop_assert!(force > 0.0 && force.is_finite() && stiffness > 0.0);
            prop_assert!((contact.approach_mm(force) / approach - 1.0).abs() < 1e-12);
        }

        #[test]
        fn identity_stiffness_is_the_derivative_and_grows(index in 0_usize..10, exponent in -9.0_f64..0.0) {
            let contact = contacts()[index];
            let approach = math::pow(10.0, exponent);
            let step = 1e-4 * approach;
            let (above, stiffness_above) = contact.force_and_stiffness(approach + step);
            let (below, stiffness_below) = contact.force_and_stiffness(approach - step);
            let (_, stiffness) = contact.force_and_stiffness(approach);
            prop_assert!(((above - below) / (2.0 * step) / stiffness - 1.0).abs() < 1e-7);
            prop_assert!(stiffness_above >= stiffness_below * (1.0 - 1e-12));
        }
    }
}
