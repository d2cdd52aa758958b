//! Parameters at which a closed curve is sampled, and the place on it nearest to a point.

use crate::curve::ClosedCurve;
use crate::fit::{FitError, Piece, check_tolerance, finite_point, pieces};
use crate::point::{Point, Vector, cross};

/// Parameters of points whose chords stay within a tolerance of the curve, in ascending order over one period.
///
/// Pieces between breaks are halved until the curve is nowhere farther from its chord than
/// `tolerance_mm`; breaks are always among the points, and pieces that are alike are cut alike.
///
/// # Errors
/// A tolerance that is no positive length, a point that is not finite, or more than 2²⁰ points in one piece.
pub fn by_chord_tolerance(curve: &dyn ClosedCurve, tolerance_mm: f64) -> Result<Vec<f64>, FitError> {
    check_tolerance(tolerance_mm)?;
    let mut parameters = Vec::new();
    for piece in pieces(curve) {
        halve_until_flat(curve, piece, tolerance_mm, MAX_HALVINGS, &mut parameters)?;
    }
    Ok(parameters)
}

/// Parameters of a fixed number of points, evenly spaced in the parameter from the first natural break on.
#[must_use]
pub fn by_count(curve: &dyn ClosedCurve, point_count: usize) -> Vec<f64> {
    let first = curve.natural_breaks().first().copied().unwrap_or(0.0);
    let step = curve.period() / point_count.max(1) as f64;
    (0..point_count).map(|index| first + index as f64 * step).collect()
}

/// Parameter of the curve point nearest to a given point, from a guess that is already close.
///
/// Newton's method on the angle between tangent and connecting line; five steps, each held to the
/// distance that is left, so that a poor guess cannot throw it round the curve.
#[must_use]
pub fn foot_parameter(curve: &dyn ClosedCurve, point_mm: Point, guess: f64) -> f64 {
    let mut parameter = guess;
    for _ in 0..5 {
        let at = curve.at(parameter);
        let gap: Vector = at.position_mm - point_mm;
        let slope = 1.0 + at.curvature_per_mm * cross(at.tangent, gap);
        let step_mm = gap.dot(&at.tangent) / if slope > 0.25 { slope } else { 1.0 };
        let reach_mm = gap.norm();
        if !(step_mm.is_finite() && at.speed_mm > 0.0) {
            break;
        }
        parameter -= step_mm.clamp(-reach_mm, reach_mm) / at.speed_mm;
    }
    parameter
}

/// Distance of a point from the curve near a guessed parameter (mm).
#[must_use]
pub fn distance_mm(curve: &dyn ClosedCurve, point_mm: Point, guess: f64) -> f64 {
    (curve.at(foot_parameter(curve, point_mm, guess)).position_mm - point_mm).norm()
}

/// Halvings of one piece before a chord fit is given up: a million points.
const MAX_HALVINGS: u32 = 20;
/// Inner points at which the distance from a chord is taken.
const CHORD_PROBE_COUNT: usize = 8;

fn halve_until_flat(
    curve: &dyn ClosedCurve,
    piece: Piece,
    tolerance_mm: f64,
    halvings_left: u32,
    parameters: &mut Vec<f64>,
) -> Result<(), FitError> {
    let deviation_mm = chord_deviation_mm(curve, piece)?;
    if deviation_mm <= tolerance_mm {
        parameters.push(piece.start);
        return Ok(());
    }
    if halvings_left == 0 {
        return Err(FitError::NotReached { deviation_mm, tolerance_mm, span_count: 1 << MAX_HALVINGS });
    }
    for half in piece.split_at(&[0.5]) {
        halve_until_flat(curve, half, tolerance_mm, halvings_left - 1, parameters)?;
    }
    Ok(())
}

/// Largest distance of the curve from the straight line between the ends of a piece (mm).
fn chord_deviation_mm(curve: &dyn ClosedCurve, piece: Piece) -> Result<f64, FitError> {
    let start = finite_point(curve, piece.start)?.position_mm;
    let chord = finite_point(curve, piece.end)?.position_mm - start;
    let mut worst_mm = 0.0_f64;
    for index in 1..=CHORD_PROBE_COUNT {
        let fraction = index as f64 / (CHORD_PROBE_COUNT + 1) as f64;
        let offset = finite_point(curve, piece.at_fraction(fraction))?.position_mm - start;
        let along = (offset.dot(&chord) / chord.norm_squared().max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        worst_mm = worst_mm.max((offset - chord * along).norm());
    }
    Ok(worst_mm)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{Circle, Trochoid};

    #[test]
    fn identity_chords_of_a_circle_have_the_sagitta_asked_for() {
        let parameters = by_chord_tolerance(&Circle::new(10.0), 0.01).unwrap();
        let widest = parameters.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
        let sagitta_mm = 10.0 * (1.0 - crate::math::cos(0.5 * widest));
        assert!(sagitta_mm <= 0.01 * 1.02 && sagitta_mm > 0.0025, "{sagitta_mm}");
    }

    #[test]
    fn independent_chord_points_stay_within_tolerance_of_the_curve() {
        let curve = Trochoid::CASE_A;
        let mut parameters = by_chord_tolerance(&curve, 0.001).unwrap();
        parameters.push(parameters[0] + curve.period());
        let mut worst_mm = 0.0_f64;
        for pair in parameters.windows(2) {
            let (a, b) = (curve.at(pair[0]).position_mm, curve.at(pair[1]).position_mm);
            for step in 1..20 {
                let fraction = f64::from(step) / 20.0;
                let on_chord = a + (b - a) * fraction;
                worst_mm =
                    worst_mm.max(distance_mm(&curve, on_chord, pair[0] + fraction * (pair[1] - pair[0])));
            }
        }
        assert!(worst_mm < 0.001 * 1.02, "{worst_mm}");
    }

    #[test]
    fn identity_foot_of_a_point_off_the_curve_is_where_it_was_lifted() {
        let curve = Trochoid::CASE_C;
        for index in 0..50 {
            let parameter = 0.1 * f64::from(index);
            let at = curve.at(parameter);
            let lifted = at.position_mm + at.outward_normal() * 0.05;
            let foot = foot_parameter(&curve, lifted, parameter + 0.003);
            assert!((foot - parameter).abs() < 1e-9, "{foot} {parameter}");
        }
    }

    #[test]
    fn identity_counted_points_are_even() {
        let parameters = by_count(&Circle::new(1.0), 8);
        assert_eq!(parameters.len(), 8);
        assert!((parameters[7] - 7.0 * std::f64::consts::FRAC_PI_4).abs() < 1e-15);
    }
}
