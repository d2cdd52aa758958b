//! Integrals: periodic functions, and the complete elliptic integrals that trochoids lead to.

/// Complete elliptic integrals of the first and second kind, K(m) and E(m), by the
/// arithmetic–geometric mean.
///
/// The argument is the parameter m = k². Valid for 0 ≤ m < 1; for m = 1 the first is infinite
/// and the second is one.
///
/// Source: `[dlmf]` 19.8.
#[must_use]
pub fn complete_elliptic(parameter: f64) -> (f64, f64) {
    if parameter >= 1.0 {
        return (f64::INFINITY, 1.0);
    }
    let (mut a, mut b) = (1.0_f64, (1.0 - parameter).sqrt());
    let mut c = parameter.sqrt();
    let (mut sum, mut weight) = (0.5 * c * c, 0.5);
    while c.abs() > f64::EPSILON * a {
        let mean = 0.5 * (a + b);
        c = 0.5 * (a - b);
        b = (a * b).sqrt();
        a = mean;
        weight *= 2.0;
        sum += weight * c * c;
    }
    let first = std::f64::consts::FRAC_PI_2 / a;
    (first, first * (1.0 - sum))
}

/// Integral of a smooth periodic function over one period, by equal steps.
///
/// The error falls faster than any power of the step for a function that is analytic on the period.
pub fn periodic_integral(function: impl Fn(f64) -> f64, period: f64, step_count: usize) -> f64 {
    let step = period / step_count as f64;
    (0..step_count).map(|index| function(index as f64 * step)).sum::<f64>() * step
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn independent_elliptic_integrals_match_direct_quadrature() {
        for parameter in [0.0, 0.3, 0.75, 0.983_673_469] {
            let (first, second) = complete_elliptic(parameter);
            let under_root = |t: f64| (1.0 - parameter * crate::math::square(crate::math::sin(t))).sqrt();
            let half_turn = std::f64::consts::PI;
            let direct_first = 0.5 * periodic_integral(|t| 1.0 / under_root(t), half_turn, 4000);
            let direct_second = 0.5 * periodic_integral(under_root, half_turn, 4000);
            assert!((first - direct_first).abs() < 1e-12 * first);
            assert!((second - direct_second).abs() < 1e-12);
        }
    }
}
