//! Whether a closed curve can bound a part: finite, closed, without reversal and without crossing itself.

use crate::curve::ClosedCurve;
use crate::fit::pieces;
use crate::math;
use crate::point::{Point, Vector, cross};

/// Why a curve cannot be the outline of a part.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum OutlineFault {
    /// A place, direction or speed is not a finite number.
    #[error("outline has no finite place and direction at parameter {parameter}")]
    NotFinite {
        /// Parameter of the bad point.
        parameter: f64,
    },
    /// The end of the period is not where it began.
    #[error("outline does not close: {gap_mm} mm between its ends")]
    Open {
        /// Distance between the ends (mm).
        gap_mm: f64,
    },
    /// The curve runs backwards for a while, as an undercut profile does between two cusps.
    #[error("outline turns back on itself at x {:.4} mm, y {:.4} mm, as an undercut profile does", place_mm.x, place_mm.y)]
    TurnsBack {
        /// Where it turns (mm).
        place_mm: Point,
    },
    /// Two parts of the curve cross.
    #[error("outline crosses itself at x {:.4} mm, y {:.4} mm", place_mm.x, place_mm.y)]
    CrossesItself {
        /// Where they cross (mm).
        place_mm: Point,
    },
    /// The curve does not go round once, anticlockwise.
    #[error("outline winds {turn_count} times anticlockwise instead of once")]
    WrongWinding {
        /// Turns of the tangent over one period.
        turn_count: i64,
    },
}

/// Checks that a curve bounds a region once, anticlockwise.
///
/// The check is on points: at least 96 for each stretch between breaks. A loop much smaller than
/// their distance escapes it, so the limits that a profile's own formulas give are to be checked as well.
///
/// # Errors
/// The first fault found, with its place.
pub fn check_outline(curve: &dyn ClosedCurve) -> Result<(), OutlineFault> {
    let samples = samples(curve)?;
    check_closed(curve)?;
    check_runs_forward(&samples)?;
    check_winding(&samples)?;
    let points: Vec<Point> = samples.iter().map(|sample| sample.place_mm).collect();
    match first_crossing(&points) {
        Some(place_mm) => Err(OutlineFault::CrossesItself { place_mm }),
        None => Ok(()),
    }
}

/// How often a closed chain of points goes round a place, anticlockwise positive.
#[must_use]
pub fn winding_count(points_mm: &[Point], place_mm: Point) -> i64 {
    let next = points_mm.iter().cycle().skip(1);
    let sum_rad: f64 = points_mm
        .iter()
        .zip(next)
        .map(|(a, b)| {
            let (a, b) = (a - place_mm, b - place_mm);
            math::atan2(cross(a, b), a.dot(&b))
        })
        .sum();
    (sum_rad / std::f64::consts::TAU).round() as i64
}

#[derive(Clone, Copy)]
struct Sample {
    place_mm: Point,
    tangent: Vector,
}

const SAMPLES_PER_PIECE: usize = 96;
/// Ends farther apart than this share of the outline's size are a gap.
const CLOSURE_SHARE: f64 = 1e-9;

fn samples(curve: &dyn ClosedCurve) -> Result<Vec<Sample>, OutlineFault> {
    let parameters = pieces(curve).into_iter().flat_map(|piece| {
        (0..SAMPLES_PER_PIECE).map(move |index| piece.at_fraction(index as f64 / SAMPLES_PER_PIECE as f64))
    });
    parameters
        .map(|parameter| {
            let at = curve.at(parameter);
            let values = [at.position_mm.x, at.position_mm.y, at.tangent.x, at.tangent.y, at.speed_mm];
            if values.iter().all(|value| value.is_finite()) {
                Ok(Sample { place_mm: at.position_mm, tangent: at.tangent })
            } else {
                Err(OutlineFault::NotFinite { parameter })
            }
        })
        .collect()
}

fn check_closed(curve: &dyn ClosedCurve) -> Result<(), OutlineFault> {
    let start = curve.natural_breaks().first().copied().unwrap_or(0.0);
    let (first, last) = (curve.at(start).position_mm, curve.at(start + curve.period()).position_mm);
    let gap_mm = (first - last).norm();
    if gap_mm <= CLOSURE_SHARE * first.coords.norm().max(1.0) {
        Ok(())
    } else {
        Err(OutlineFault::Open { gap_mm })
    }
}

fn check_runs_forward(samples: &[Sample]) -> Result<(), OutlineFault> {
    for (here, next) in samples.iter().zip(samples.iter().cycle().skip(1)) {
        let step = next.place_mm - here.place_mm;
        let forward = step.dot(&here.tangent) > 0.0 && step.dot(&next.tangent) > 0.0;
        if !forward || here.tangent.dot(&next.tangent) <= 0.0 {
            return Err(OutlineFault::TurnsBack { place_mm: here.place_mm });
        }
    }
    Ok(())
}

fn check_winding(samples: &[Sample]) -> Result<(), OutlineFault> {
    let turned_rad: f64 = samples
        .iter()
        .zip(samples.iter().cycle().skip(1))
        .map(|(here, next)| math::atan2(cross(here.tangent, next.tangent), here.tangent.dot(&next.tangent)))
        .sum();
    let turn_count = (turned_rad / std::f64::consts::TAU).round() as i64;
    if turn_count == 1 { Ok(()) } else { Err(OutlineFault::WrongWinding { turn_count }) }
}

/// First crossing of two chords that are not neighbours, by a sweep along x.
fn first_crossing(points: &[Point]) -> Option<Point> {
    let count = points.len();
    let chord = |index: usize| (points[index], points[(index + 1) % count]);
    let low_x = |index: usize| chord(index).0.x.min(chord(index).1.x);
    let high_x = |index: usize| chord(index).0.x.max(chord(index).1.x);
    let mut order: Vec<usize> = (0..count).collect();
    order.sort_by(|&a, &b| low_x(a).total_cmp(&low_x(b)).then(a.cmp(&b)));
    let mut open: Vec<usize> = Vec::new();
    for index in order {
        open.retain(|&other| high_x(other) >= low_x(index));
        for &other in &open {
            let gap = index.abs_diff(other);
            let neighbours = gap <= 1 || gap == count - 1;
            if !neighbours && let Some(place) = crossing(chord(index), chord(other)) {
                return Some(place);
            }
        }
        open.push(index);
    }
    None
}

fn crossing((a, b): (Point, Point), (c, d): (Point, Point)) -> Option<Point> {
    let (first, second, between) = (b - a, d - c, c - a);
    let determinant = cross(first, second);
    if determinant == 0.0 {
        return None;
    }
    let along_first = cross(between, second) / determinant;
    let along_second = cross(between, first) / determinant;
    let both_inside = (0.0..=1.0).contains(&along_first) && (0.0..=1.0).contains(&along_second);
    both_inside.then(|| a + first * along_first)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::curve::CurvePoint;
    use crate::testing::{Circle, Trochoid};

    #[test]
    fn identity_sound_profiles_pass() {
        for curve in Trochoid::CASES {
            assert_eq!(check_outline(&curve), Ok(()));
        }
        assert_eq!(check_outline(&Circle::new(3.0)), Ok(()));
    }

    /// Case C is undercut from a roller radius of 11.765575 mm on (closed form for its shortening).
    #[test]
    fn independent_undercut_is_found_just_past_its_closed_form_limit() {
        let sound = Trochoid { roller_radius_mm: 11.76, ..Trochoid::CASE_C };
        let undercut = Trochoid { roller_radius_mm: 11.77, ..Trochoid::CASE_C };
        assert_eq!(check_outline(&sound), Ok(()));
        assert!(matches!(check_outline(&undercut), Err(OutlineFault::TurnsBack { .. })));
    }

    /// A figure of eight, and a circle run clockwise.
    struct Lissajous {
        vertical_frequency: f64,
    }

    impl ClosedCurve for Lissajous {
        fn period(&self) -> f64 {
            std::f64::consts::TAU
        }

        fn at(&self, parameter: f64) -> CurvePoint {
            let velocity = Vector::new(
                -math::sin(parameter),
                self.vertical_frequency * math::cos(self.vertical_frequency * parameter),
            );
            CurvePoint {
                position_mm: Point::new(math::cos(parameter), math::sin(self.vertical_frequency * parameter)),
                tangent: velocity.normalize(),
                speed_mm: velocity.norm(),
                curvature_per_mm: 0.0,
            }
        }
    }

    #[test]
    fn identity_wrong_windings_are_refused() {
        let eight = check_outline(&Lissajous { vertical_frequency: 2.0 });
        assert_eq!(eight, Err(OutlineFault::WrongWinding { turn_count: 0 }));
        let clockwise = check_outline(&Lissajous { vertical_frequency: -1.0 });
        assert_eq!(clockwise, Err(OutlineFault::WrongWinding { turn_count: -1 }));
    }

    #[test]
    fn identity_crossing_chords_are_found() {
        let square_with_twist =
            [(0.0, 0.0), (2.0, 0.0), (0.0, 2.0), (2.0, 2.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(first_crossing(&square_with_twist), Some(Point::new(1.0, 1.0)));
        let square = [(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (0.0, 2.0)].map(|(x, y)| Point::new(x, y));
        assert_eq!(first_crossing(&square), None);
        assert_eq!(winding_count(&square, Point::new(1.0, 1.0)), 1);
        assert_eq!(winding_count(&square, Point::new(3.0, 1.0)), 0);
    }

    #[test]
    fn identity_a_profile_that_is_not_finite_is_refused() {
        let broken = Trochoid { ring_radius_mm: f64::NAN, ..Trochoid::CASE_C };
        assert!(matches!(check_outline(&broken), Err(OutlineFault::NotFinite { .. })));
    }
}
