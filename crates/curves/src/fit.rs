//! What arc and spline fits share: pieces of a closed curve between its breaks, and how a fit fails.

use crate::curve::{ClosedCurve, CurvePoint};
use crate::math;
use crate::point::{Vector, cross};

/// A fit that could not be made.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FitError {
    /// The tolerance is zero, negative or not a number.
    #[error("fit tolerance must be a positive length: {tolerance_mm} mm")]
    ToleranceNotPositive {
        /// Tolerance asked for (mm).
        tolerance_mm: f64,
    },
    /// The curve itself gives no usable place or direction.
    #[error("curve has no finite place and direction at parameter {parameter}")]
    NotFinite {
        /// Parameter of the bad point.
        parameter: f64,
    },
    /// The limit of pieces was reached before the tolerance.
    #[error(
        "fit is {deviation_mm} mm off after {span_count} spans: more than the tolerance of {tolerance_mm} mm"
    )]
    NotReached {
        /// Best deviation reached (mm).
        deviation_mm: f64,
        /// Tolerance asked for (mm).
        tolerance_mm: f64,
        /// Spans used.
        span_count: usize,
    },
}

/// A stretch of a closed curve between two parameters, free of breaks inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// Parameter at the start.
    pub start: f64,
    /// Parameter at the end, greater than the start.
    pub end: f64,
}

impl Piece {
    /// Growth of the parameter along the piece.
    #[must_use]
    pub fn extent(&self) -> f64 {
        self.end - self.start
    }

    /// Parameter at a fraction of the piece; the ends come out exactly.
    #[must_use]
    pub fn at_fraction(&self, fraction: f64) -> f64 {
        if fraction == 1.0 { self.end } else { self.start + fraction * self.extent() }
    }

    /// The pieces between inner fractions given in ascending order.
    #[must_use]
    pub fn split_at(&self, fractions: &[f64]) -> Vec<Self> {
        let mut borders = vec![self.start];
        borders.extend(fractions.iter().map(|&fraction| self.at_fraction(fraction)));
        borders.push(self.end);
        borders.windows(2).map(|pair| Self { start: pair[0], end: pair[1] }).collect()
    }
}

/// The two ends of a piece: places on its borders, directions as they are just inside.
///
/// A curve with relieved flanks has slight corners at its breaks; each piece then ends with its own
/// direction, and a smooth curve is not changed by more than a billionth of its turn.
///
/// # Errors
/// [`FitError::NotFinite`] with the parameter.
pub fn piece_ends(curve: &dyn ClosedCurve, piece: Piece) -> Result<[CurvePoint; 2], FitError> {
    let inside = 1e-9 * piece.extent();
    let end_at = |border: f64, inner: f64| -> Result<CurvePoint, FitError> {
        let position_mm = finite_point(curve, border)?.position_mm;
        Ok(CurvePoint { position_mm, ..finite_point(curve, inner)? })
    };
    Ok([end_at(piece.start, piece.start + inside)?, end_at(piece.end, piece.end - inside)?])
}

/// Pieces of a curve between its natural breaks, cut further where one would turn by more than half a turn.
///
/// Two tangents and a chord say nothing about what a curve does in between once it may wind, so
/// no fit starts from a longer piece. Lobes of a disc keep their natural breaks.
#[must_use]
pub fn pieces(curve: &dyn ClosedCurve) -> Vec<Piece> {
    let mut breaks = curve.natural_breaks();
    if breaks.is_empty() {
        breaks.push(0.0);
    }
    let first = breaks[0];
    breaks.push(first + curve.period());
    let sample_count = (4096 / (breaks.len() - 1)).max(32);
    breaks
        .windows(2)
        .map(|pair| Piece { start: pair[0], end: pair[1] })
        .filter(|piece| piece.extent() > 0.0)
        .flat_map(|piece| {
            let turning_rad = absolute_turning_rad(curve, piece, sample_count);
            let part_count = (turning_rad / std::f64::consts::PI).ceil().clamp(1.0, 4096.0) as usize;
            let cuts: Vec<f64> = (1..part_count).map(|part| part as f64 / part_count as f64).collect();
            piece.split_at(&cuts)
        })
        .collect()
}

fn absolute_turning_rad(curve: &dyn ClosedCurve, piece: Piece, sample_count: usize) -> f64 {
    let tangents: Vec<Vector> = (0..=sample_count)
        .map(|index| curve.at(piece.at_fraction(index as f64 / sample_count as f64)).tangent)
        .collect();
    tangents.windows(2).map(|pair| math::atan2(cross(pair[0], pair[1]), pair[0].dot(&pair[1])).abs()).sum()
}

/// The point at a parameter, refused unless all of its place and direction is finite.
///
/// # Errors
/// [`FitError::NotFinite`] with the parameter.
pub fn finite_point(curve: &dyn ClosedCurve, parameter: f64) -> Result<CurvePoint, FitError> {
    let point = curve.at(parameter);
    let values = [point.position_mm.x, point.position_mm.y, point.tangent.x, point.tangent.y, point.speed_mm];
    if values.iter().all(|value| value.is_finite()) {
        Ok(point)
    } else {
        Err(FitError::NotFinite { parameter })
    }
}

pub(crate) fn check_tolerance(tolerance_mm: f64) -> Result<(), FitError> {
    if tolerance_mm > 0.0 && tolerance_mm.is_finite() {
        Ok(())
    } else {
        Err(FitError::ToleranceNotPositive { tolerance_mm })
    }
}

/// Shape of a piece apart from where it lies: speed and curvature at fixed fractions.
///
/// Two pieces with the same signature are the same up to a motion of the plane, so that a cut
/// found for one lobe serves all of them, and all lobes come out alike.
pub(crate) struct Signature(Vec<[f64; 2]>);

/// How two pieces are alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Likeness {
    /// One is the other, turned and moved.
    Same,
    /// One is the mirror image of the other, run backwards.
    Mirrored,
}

impl Signature {
    /// An odd number, so that the middle is one of the fractions.
    const SAMPLE_COUNT: usize = 33;
    /// Curvature of a sharp lobe loses about seven digits to cancellation near its valley.
    const RELATIVE_TOLERANCE: f64 = 1e-8;

    pub(crate) fn of(curve: &dyn ClosedCurve, piece: Piece) -> Self {
        let last = (Self::SAMPLE_COUNT - 1) as f64;
        let samples = (0..Self::SAMPLE_COUNT).map(|index| {
            let point = curve.at(piece.at_fraction(index as f64 / last));
            [point.speed_mm * piece.extent(), point.curvature_per_mm]
        });
        Self(samples.collect())
    }

    pub(crate) fn likeness(&self, other: &Self) -> Option<Likeness> {
        if self.matches(other.0.iter()) {
            Some(Likeness::Same)
        } else if self.matches(other.0.iter().rev()) {
            Some(Likeness::Mirrored)
        } else {
            None
        }
    }

    fn matches<'a>(&self, other: impl Iterator<Item = &'a [f64; 2]>) -> bool {
        let scale = |column: usize| {
            self.0.iter().map(|sample| sample[column].abs()).fold(f64::MIN_POSITIVE, f64::max)
        };
        let scales = [scale(0), scale(1)];
        self.0.iter().zip(other).all(|(mine, theirs)| {
            (0..2).all(|column| {
                (mine[column] - theirs[column]).abs() <= Self::RELATIVE_TOLERANCE * scales[column]
            })
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{Circle, Trochoid};

    #[test]
    fn identity_pieces_cover_one_period_without_gaps() {
        for curve in [&Trochoid::CASE_A as &dyn ClosedCurve, &Circle::new(5.0)] {
            let pieces = pieces(curve);
            let extent: f64 = pieces.iter().map(Piece::extent).sum();
            assert!((extent - curve.period()).abs() < 1e-12);
            assert!(pieces.windows(2).all(|pair| pair[0].end == pair[1].start));
        }
    }

    #[test]
    fn identity_a_circle_without_breaks_is_cut_into_half_turns() {
        assert_eq!(pieces(&Circle::new(5.0)).len(), 2);
    }

    #[test]
    fn identity_flanks_of_a_lobe_are_mirror_images() {
        let curve = Trochoid::CASE_C;
        let signatures: Vec<Signature> =
            pieces(&curve).iter().map(|&piece| Signature::of(&curve, piece)).collect();
        assert_eq!(signatures[0].likeness(&signatures[1]), Some(Likeness::Mirrored));
        assert_eq!(signatures[0].likeness(&signatures[2]), Some(Likeness::Same));
        let other = Signature::of(&Trochoid::CASE_A, pieces(&Trochoid::CASE_A)[0]);
        assert_eq!(signatures[0].likeness(&other), None);
    }

    #[test]
    fn identity_bad_tolerances_are_refused() {
        for tolerance_mm in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(check_tolerance(tolerance_mm).is_err());
        }
    }
}
