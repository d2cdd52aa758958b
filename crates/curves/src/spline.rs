//! Closed curves as cubic B-splines, one per piece, for solids with smooth flanks.
//!
//! A piece is interpolated at knots with continuous second derivative and the exact first
//! derivatives at both ends, so that neighbouring pieces join without a corner. Knots are added where
//! the spline is farther from the curve than the tolerance; the stated deviation is measured on a
//! dense set of points.

use crate::curve::ClosedCurve;
use crate::fit::{FitError, Piece, check_tolerance, finite_point, piece_ends, pieces};
use crate::point::{Point, Vector};
use crate::sampling::distance_mm;

/// A clamped cubic B-spline with simple inner knots.
#[derive(Clone, Debug, PartialEq)]
pub struct CubicSpline {
    /// Distinct knots in ascending order; the first and last count four times.
    pub knots: Vec<f64>,
    /// Control points, two more than there are knots.
    pub controls_mm: Vec<Point>,
}

/// A spline that stands in for one piece of a curve.
#[derive(Clone, Debug, PartialEq)]
pub struct SplineFit {
    /// The spline; its parameter is that of the curve.
    pub spline: CubicSpline,
    /// Largest normal distance between spline and curve found by the dense check (mm).
    pub worst_deviation_mm: f64,
}

impl CubicSpline {
    /// Point of the spline at a parameter between the first and the last knot.
    #[must_use]
    pub fn at(&self, parameter: f64) -> Point {
        let span = self.span_of(parameter);
        let weights = basis(&self.knots, span, parameter);
        let sum = weights
            .iter()
            .zip(&self.controls_mm[span..])
            .fold(Vector::zeros(), |sum, (&weight, control)| sum + control.coords * weight);
        Point::from(sum)
    }

    /// The same shape with its parameter scaled and moved to run from zero to a given length.
    #[must_use]
    pub fn with_parameter_from_zero_to(mut self, end: f64) -> Self {
        let first = self.knots[0];
        let scale = end / (self.knots[self.knots.len() - 1] - first);
        let last = self.knots.len() - 1;
        for knot in &mut self.knots {
            *knot = (*knot - first) * scale;
        }
        self.knots[last] = end;
        self
    }

    fn span_of(&self, parameter: f64) -> usize {
        let inner = &self.knots[1..self.knots.len() - 1];
        inner.partition_point(|&knot| knot <= parameter)
    }
}

/// Fits every piece of a closed curve between its breaks, in order.
///
/// # Errors
/// As for [`fit_piece`].
pub fn fit_splines(curve: &dyn ClosedCurve, tolerance_mm: f64) -> Result<Vec<SplineFit>, FitError> {
    pieces(curve).into_iter().map(|piece| fit_piece(curve, piece, tolerance_mm)).collect()
}

/// Fits one piece by a cubic spline whose largest normal deviation is within a tolerance.
///
/// # Errors
/// A tolerance that is no positive length, a point that is not finite, or a piece that takes more
/// than 4096 spans.
pub fn fit_piece(curve: &dyn ClosedCurve, piece: Piece, tolerance_mm: f64) -> Result<SplineFit, FitError> {
    check_tolerance(tolerance_mm)?;
    let mut knots: Vec<f64> = (0..=FIRST_SPAN_COUNT)
        .map(|index| piece.at_fraction(index as f64 / FIRST_SPAN_COUNT as f64))
        .collect();
    loop {
        let spline = interpolate(curve, &knots)?;
        let deviations_mm: Vec<f64> = knots
            .windows(2)
            .map(|pair| span_deviation_mm(curve, &spline, Piece { start: pair[0], end: pair[1] }))
            .collect();
        let worst_deviation_mm = deviations_mm.iter().copied().fold(0.0, f64::max);
        if worst_deviation_mm <= tolerance_mm {
            return Ok(SplineFit { spline, worst_deviation_mm });
        }
        if deviations_mm.len() > MAX_SPAN_COUNT || !worst_deviation_mm.is_finite() {
            let span_count = deviations_mm.len();
            return Err(FitError::NotReached { deviation_mm: worst_deviation_mm, tolerance_mm, span_count });
        }
        knots = halve_where(&knots, |span| deviations_mm[span] > tolerance_mm);
    }
}

/// Spans of the first try.
const FIRST_SPAN_COUNT: usize = 3;
/// Spans after which a fit is given up.
const MAX_SPAN_COUNT: usize = 4096;
/// Points per span at which the deviation is measured.
const CHECK_COUNT: usize = 12;

fn halve_where(knots: &[f64], is_coarse: impl Fn(usize) -> bool) -> Vec<f64> {
    let mut finer = vec![knots[0]];
    for (span, pair) in knots.windows(2).enumerate() {
        if is_coarse(span) {
            finer.push(0.5 * (pair[0] + pair[1]));
        }
        finer.push(pair[1]);
    }
    finer
}

/// The clamped cubic spline through the curve's points at the knots, with the curve's first
/// derivatives at both ends.
fn interpolate(curve: &dyn ClosedCurve, knots: &[f64]) -> Result<CubicSpline, FitError> {
    let last = knots.len() - 1;
    let points = knots
        .iter()
        .map(|&knot| finite_point(curve, knot).map(|at| at.position_mm))
        .collect::<Result<Vec<Point>, FitError>>()?;
    let [start, end] = piece_ends(curve, Piece { start: knots[0], end: knots[last] })?;
    let start_handle = start.tangent * (start.speed_mm * (knots[1] - knots[0]) / 3.0);
    let end_handle = end.tangent * (end.speed_mm * (knots[last] - knots[last - 1]) / 3.0);

    let mut controls_mm = vec![points[0], points[0] + start_handle];
    controls_mm.resize(last + 1, Point::origin());
    controls_mm.extend([points[last] - end_handle, points[last]]);
    solve_inner_controls(knots, &points, &mut controls_mm);
    Ok(CubicSpline { knots: knots.to_vec(), controls_mm })
}

/// Solves the tridiagonal system for the controls between the two at either end.
///
/// The system is diagonally dominant, so elimination needs no pivots.
fn solve_inner_controls(knots: &[f64], points: &[Point], controls_mm: &mut [Point]) {
    let last = knots.len() - 1;
    let mut upper = vec![0.0; last + 1];
    // Row i says that the spline passes through point i; it ties controls i, i + 1 and i + 2.
    for row in 1..last {
        let [before, own, after, _] = basis(knots, row, knots[row]);
        let known_after =
            if row == last - 1 { controls_mm[last + 1].coords * after } else { Vector::zeros() };
        let pivot = own - before * upper[row - 1];
        let right = points[row].coords - controls_mm[row].coords * before - known_after;
        upper[row] = after / pivot;
        controls_mm[row + 1] = Point::from(right / pivot);
    }
    for row in (1..last.saturating_sub(1)).rev() {
        let next = controls_mm[row + 2].coords;
        controls_mm[row + 1] -= next * upper[row];
    }
}

/// The four cubic basis functions that act on one span, by the Cox–de Boor recurrence.
///
/// Source: `[deboor1978]` ch. X, from memory.
fn basis(knots: &[f64], span: usize, parameter: f64) -> [f64; 4] {
    let last = knots.len() - 1;
    let knot = |index: isize| knots[index.clamp(0, last as isize) as usize];
    let span = span as isize;
    let mut weights = [1.0, 0.0, 0.0, 0.0];
    for degree in 1..=3_usize {
        let mut carried = 0.0;
        for (index, weight) in weights.iter_mut().enumerate().take(degree) {
            let right = knot(span + 1 + index as isize);
            let left = knot(span + 1 + index as isize - degree as isize);
            let share = *weight / (right - left);
            *weight = carried + (right - parameter) * share;
            carried = (parameter - left) * share;
        }
        weights[degree] = carried;
    }
    weights
}

fn span_deviation_mm(curve: &dyn ClosedCurve, spline: &CubicSpline, span: Piece) -> f64 {
    (0..CHECK_COUNT)
        .map(|index| {
            let parameter = span.at_fraction((index as f64 + 0.5) / CHECK_COUNT as f64);
            let deviation_mm = distance_mm(curve, spline.at(parameter), parameter);
            if deviation_mm.is_finite() { deviation_mm } else { f64::INFINITY }
        })
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{Circle, Trochoid};

    #[test]
    fn identity_basis_functions_sum_to_one() {
        let knots = [0.0, 0.3, 1.0, 1.5, 2.5];
        for span in 0..4 {
            for fraction in [0.0, 0.3, 0.9] {
                let parameter = knots[span] + fraction * (knots[span + 1] - knots[span]);
                let weights = basis(&knots, span, parameter);
                assert!((weights.iter().sum::<f64>() - 1.0).abs() < 1e-15);
                assert!(weights.iter().all(|&weight| weight >= 0.0));
            }
        }
    }

    #[test]
    fn identity_spline_passes_through_its_points_with_the_end_tangents() {
        let curve = Trochoid::CASE_C;
        let piece = pieces(&curve)[0];
        let fit = fit_piece(&curve, piece, 1e-4).unwrap();
        for &knot in &fit.spline.knots {
            assert!((fit.spline.at(knot) - curve.at(knot).position_mm).norm() < 1e-12);
        }
        let controls = &fit.spline.controls_mm;
        let first_leg = (controls[1] - controls[0]).normalize();
        let last_leg = (controls[controls.len() - 1] - controls[controls.len() - 2]).normalize();
        assert!((first_leg - curve.at(piece.start).tangent).norm() < 1e-8);
        assert!((last_leg - curve.at(piece.end).tangent).norm() < 1e-8);
    }

    #[test]
    fn identity_second_derivative_is_continuous_at_inner_knots() {
        let curve = Trochoid::CASE_C;
        let spline = fit_piece(&curve, pieces(&curve)[0], 1e-3).unwrap().spline;
        let step = 1e-3 * (spline.knots[1] - spline.knots[0]);
        let second = |at: f64| {
            (spline.at(at + step).coords - spline.at(at).coords * 2.0 + spline.at(at - step).coords)
                / (step * step)
        };
        for &knot in &spline.knots[1..spline.knots.len() - 1] {
            let (before, after) = (second(knot - 1.01 * step), second(knot + 1.01 * step));
            assert!((before - after).norm() < 0.02 * before.norm().max(after.norm()));
        }
    }

    #[test]
    fn identity_splines_keep_the_tolerance_on_twice_as_many_points() {
        for curve in Trochoid::CASES {
            for fit in fit_splines(&curve, 0.001).unwrap() {
                let (first, last) = (fit.spline.knots[0], fit.spline.knots[fit.spline.knots.len() - 1]);
                for index in 0..=500 {
                    let parameter = first + (last - first) * f64::from(index) / 500.0;
                    let deviation_mm = distance_mm(&curve, fit.spline.at(parameter), parameter);
                    assert!(deviation_mm <= 0.001 * 1.02, "{curve:?} {parameter}: {deviation_mm}");
                }
            }
        }
    }

    #[test]
    fn identity_error_falls_with_the_fourth_power_of_the_knot_distance() {
        let curve = Circle::new(10.0);
        let worst_mm = |span_count: usize| {
            let knots: Vec<f64> = (0..=span_count).map(|index| index as f64 / span_count as f64).collect();
            let spline = interpolate(&curve, &knots).unwrap();
            (0..=400)
                .map(|index| f64::from(index) / 400.0)
                .map(|parameter| (spline.at(parameter) - curve.at(parameter).position_mm).norm())
                .fold(0.0, f64::max)
        };
        let order = crate::math::ln(worst_mm(8) / worst_mm(16)) / crate::math::ln(2.0);
        assert!((order - 4.0).abs() < 0.2, "{order}");
    }

    #[test]
    fn identity_scaled_parameter_leaves_the_shape() {
        let curve = Trochoid::CASE_D;
        let spline = fit_piece(&curve, pieces(&curve)[0], 1e-3).unwrap().spline;
        let (first, last) = (spline.knots[0], spline.knots[spline.knots.len() - 1]);
        let scaled = spline.clone().with_parameter_from_zero_to(7.0);
        for fraction in [0.0, 0.2, 0.7, 1.0] {
            assert!(
                (scaled.at(7.0 * fraction) - spline.at(first + fraction * (last - first))).norm() < 1e-12
            );
        }
    }

    #[test]
    fn identity_a_curve_that_is_not_finite_is_refused() {
        let broken = Trochoid { eccentricity_mm: f64::INFINITY, ..Trochoid::CASE_C };
        assert!(matches!(fit_splines(&broken, 1e-3), Err(FitError::NotFinite { .. })));
    }
}
