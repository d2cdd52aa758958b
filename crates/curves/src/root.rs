//! Roots and extremes of functions of one variable, bracketed so that they cannot run away.

/// A bracketed search that found no sign change or did not settle.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RootError {
    /// The function has one sign at both ends of the bracket.
    #[error("no sign change between {low} and {high}")]
    NoSignChange {
        /// Lower end of the bracket.
        low: f64,
        /// Upper end of the bracket.
        high: f64,
    },
    /// The bracket did not shrink to the tolerance in the allowed number of steps.
    #[error("root not settled after {iterations} steps: best {best}, residual {residual}")]
    NotSettled {
        /// Steps made.
        iterations: usize,
        /// Best argument found.
        best: f64,
        /// Function value there.
        residual: f64,
    },
}

const MAX_STEPS: usize = 200;

/// Root of a continuous function inside a bracket, by Brent's method.
///
/// Stops when the bracket is narrower than `tolerance` or the function is exactly zero.
///
/// Source: `[brent1973]` ch. 4, from memory.
///
/// # Errors
/// [`RootError::NoSignChange`] if both ends have one sign; [`RootError::NotSettled`] after 200 steps.
pub fn brent(
    mut function: impl FnMut(f64) -> f64,
    low: f64,
    high: f64,
    tolerance: f64,
) -> Result<f64, RootError> {
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (function(a), function(b));
    if fa == 0.0 {
        return Ok(a);
    }
    if fb == 0.0 {
        return Ok(b);
    }
    if fa.signum() == fb.signum() || fa.is_nan() || fb.is_nan() {
        return Err(RootError::NoSignChange { low, high });
    }
    let (mut c, mut fc) = (a, fa);
    let mut step = b - a;
    let mut previous_step = step;
    for _ in 0..MAX_STEPS {
        if fc.abs() < fb.abs() {
            (a, b, c) = (b, c, b);
            (fa, fb, fc) = (fb, fc, fb);
        }
        let limit = 2.0 * f64::EPSILON * b.abs() + 0.5 * tolerance;
        let half = 0.5 * (c - b);
        if half.abs() <= limit || fb == 0.0 {
            return Ok(b);
        }
        if previous_step.abs() >= limit && fa.abs() > fb.abs() {
            let ratio = fb / fa;
            let (mut numerator, mut denominator) = if a == c {
                (2.0 * half * ratio, 1.0 - ratio)
            } else {
                let (q, r) = (fa / fc, fb / fc);
                (
                    ratio * (2.0 * half * q * (q - r) - (b - a) * (r - 1.0)),
                    (q - 1.0) * (r - 1.0) * (ratio - 1.0),
                )
            };
            if numerator > 0.0 {
                denominator = -denominator;
            } else {
                numerator = -numerator;
            }
            let inside = (3.0 * half * denominator - (limit * denominator).abs())
                .min((previous_step * denominator).abs());
            if 2.0 * numerator < inside {
                previous_step = step;
                step = numerator / denominator;
            } else {
                step = half;
                previous_step = half;
            }
        } else {
            step = half;
            previous_step = half;
        }
        (a, fa) = (b, fb);
        b += if step.abs() > limit { step } else { limit.copysign(half) };
        fb = function(b);
        if fb.signum() == fc.signum() {
            (c, fc) = (a, fa);
            step = b - a;
            previous_step = step;
        }
    }
    Err(RootError::NotSettled { iterations: MAX_STEPS, best: b, residual: fb })
}

/// Place and value of a minimum inside a bracket that holds just one, by golden-section search.
///
/// The place is good to about the square root of the machine precision, as for every method that
/// compares function values only.
#[must_use]
pub fn golden_minimum(
    mut function: impl FnMut(f64) -> f64,
    low: f64,
    high: f64,
    tolerance: f64,
) -> (f64, f64) {
    let shrink = 0.5 * (5.0_f64.sqrt() - 1.0);
    let (mut a, mut b) = (low, high);
    let (mut x1, mut x2) = (b - shrink * (b - a), a + shrink * (b - a));
    let (mut f1, mut f2) = (function(x1), function(x2));
    while (b - a).abs() > tolerance {
        if f1 < f2 {
            (b, x2, f2) = (x2, x1, f1);
            x1 = b - shrink * (b - a);
            f1 = function(x1);
        } else {
            (a, x1, f1) = (x1, x2, f2);
            x2 = a + shrink * (b - a);
            f2 = function(x2);
        }
        if x1 >= x2 {
            break;
        }
    }
    if f1 < f2 { (x1, f1) } else { (x2, f2) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_brent_finds_the_root_of_a_cubic() {
        let root = brent(|x| x * x * x - 2.0 * x - 5.0, 2.0, 3.0, 1e-14).unwrap();
        assert!((root * root * root - 2.0 * root - 5.0).abs() < 1e-12);
    }

    #[test]
    fn identity_brent_refuses_a_bracket_without_a_sign_change() {
        assert_eq!(
            brent(|x| x * x + 1.0, -1.0, 2.0, 1e-12),
            Err(RootError::NoSignChange { low: -1.0, high: 2.0 })
        );
    }

    #[test]
    fn identity_golden_minimum_of_a_parabola() {
        let (place, value) = golden_minimum(|x| (x - 0.7) * (x - 0.7) + 2.0, -3.0, 5.0, 1e-10);
        assert!((place - 0.7).abs() < 1e-7);
        assert!((value - 2.0).abs() < 1e-14);
    }
}
