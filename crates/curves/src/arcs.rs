//! Closed curves as tangent-continuous circular arcs, for drawings and machines that know only arcs.
//!
//! Each span of the curve becomes a pair of arcs (a biarc) that starts and ends at exact points with
//! the exact tangents, so the fitted outline has no corners where the curve has none. Spans are as long as the tolerance
//! allows and then evened out, so that all spans of a piece deviate by the same amount. The stated
//! deviation is measured on a dense set of points, and the tolerance is met by that measurement.
//! Not guaranteed: that no arc chain with fewer arcs exists.

use crate::curve::{ClosedCurve, CurvePoint};
use crate::fit::{FitError, Likeness, Piece, Signature, check_tolerance, finite_point, piece_ends, pieces};
use crate::point::{Point, Vector, cross, turned_left};

/// A circular arc, or a straight line where its curvature is zero.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Where the arc starts.
    pub start_mm: Point,
    /// Where the arc ends.
    pub end_mm: Point,
    /// Unit tangent at the start.
    pub start_tangent: Vector,
    /// Signed curvature, positive where the arc runs anticlockwise.
    pub curvature_per_mm: f64,
    /// Tangent of a quarter of the included angle, positive anticlockwise.
    pub bulge: f64,
}

impl Arc {
    /// The arc from one point with a given unit tangent to another point.
    #[must_use]
    pub fn from_tangent(start_mm: Point, start_tangent: Vector, end_mm: Point) -> Self {
        let chord = end_mm - start_mm;
        let turn = cross(start_tangent, chord);
        Self {
            start_mm,
            end_mm,
            start_tangent,
            curvature_per_mm: 2.0 * turn / chord.norm_squared(),
            bulge: turn / (chord.norm() + start_tangent.dot(&chord)),
        }
    }

    /// Signed distance of a point from the circle of the arc (mm), positive outside an anticlockwise arc.
    ///
    /// Written so that it stays exact as the arc goes over into a straight line.
    #[must_use]
    pub fn distance_mm(&self, point_mm: Point) -> f64 {
        let offset = point_mm - self.start_mm;
        let q = self.curvature_per_mm * offset.norm_squared()
            - 2.0 * offset.dot(&turned_left(self.start_tangent));
        q / (1.0 + (1.0 + self.curvature_per_mm * q).max(0.0).sqrt())
    }

    /// Centre of the circle; none for a straight line.
    #[must_use]
    pub fn centre_mm(&self) -> Option<Point> {
        (self.curvature_per_mm != 0.0)
            .then(|| self.start_mm + turned_left(self.start_tangent) / self.curvature_per_mm)
    }

    /// Unit tangent at the end.
    #[must_use]
    pub fn end_tangent(&self) -> Vector {
        let chord = (self.end_mm - self.start_mm).normalize();
        chord * (2.0 * chord.dot(&self.start_tangent)) - self.start_tangent
    }
}

/// A closed chain of arcs that stands in for a curve.
#[derive(Clone, Debug, PartialEq)]
pub struct ArcOutline {
    /// The arcs, anticlockwise round the outline; each starts where the one before ends.
    pub arcs: Vec<Arc>,
    /// Largest normal distance between curve and arcs found by the dense check (mm).
    pub worst_deviation_mm: f64,
}

/// Fits a closed curve by tangent-continuous arcs within a tolerance normal to the curve.
///
/// Breaks of the curve are ends of arcs. Pieces of the same shape, mirrored or not, are cut at the
/// same places, so that symmetric lobes get symmetric arcs.
///
/// # Errors
/// A tolerance that is no positive length, a point that is not finite, or a curve that cannot be
/// followed within the tolerance.
pub fn fit_arcs(curve: &dyn ClosedCurve, tolerance_mm: f64) -> Result<ArcOutline, FitError> {
    check_tolerance(tolerance_mm)?;
    let mut known: Vec<(Signature, Vec<f64>)> = Vec::new();
    let mut outline = ArcOutline { arcs: Vec::new(), worst_deviation_mm: 0.0 };
    for piece in pieces(curve) {
        finite_point(curve, piece.start)?;
        let cuts = cuts_of_like_piece(curve, piece, tolerance_mm, &mut known)?;
        for span in piece.split_at(&cuts) {
            append_verified(curve, span, tolerance_mm, MAX_HALVINGS, &mut outline)?;
        }
    }
    Ok(outline)
}

/// Points per span while cuts are sought; odd and prime, so that it does not beat with lobe counts.
const PROBE_COUNT: usize = 17;
/// Points per span of the final check.
const CHECK_COUNT: usize = 97;
/// Share of the tolerance that the search uses; the rest covers what lies between its probes.
const SEARCH_SHARE: f64 = 0.985;
/// Halvings of a span that failed the final check before the fit is given up.
const MAX_HALVINGS: u32 = 12;
/// Spans in one piece before the fit is given up.
const MAX_SPANS: usize = 20_000;

/// Fractions at which a piece is cut, taken from an earlier piece of the same shape if there is one.
fn cuts_of_like_piece(
    curve: &dyn ClosedCurve,
    piece: Piece,
    tolerance_mm: f64,
    known: &mut Vec<(Signature, Vec<f64>)>,
) -> Result<Vec<f64>, FitError> {
    let signature = Signature::of(curve, piece);
    for (other, cuts) in known.iter() {
        match signature.likeness(other) {
            Some(Likeness::Same) => return Ok(cuts.clone()),
            Some(Likeness::Mirrored) => {
                return Ok(cuts.iter().rev().map(|cut| 1.0 - cut).collect());
            }
            None => {}
        }
    }
    let cuts = evened_cuts(curve, piece, SEARCH_SHARE * tolerance_mm)?;
    known.push((signature, cuts.clone()));
    Ok(cuts)
}

/// Cuts with the fewest spans that a greedy walk finds, then with the smallest deviation for that number.
fn evened_cuts(curve: &dyn ClosedCurve, piece: Piece, tolerance_mm: f64) -> Result<Vec<f64>, FitError> {
    let mut best = greedy_cuts(curve, piece, tolerance_mm, MAX_SPANS).ok_or(FitError::NotReached {
        deviation_mm: span_deviation_mm(curve, piece, PROBE_COUNT),
        tolerance_mm,
        span_count: MAX_SPANS,
    })?;
    let cut_count = best.len();
    let (mut too_small_mm, mut enough_mm) = (0.0, tolerance_mm);
    for _ in 0..14 {
        let middle_mm = 0.5 * (too_small_mm + enough_mm);
        match greedy_cuts(curve, piece, middle_mm, cut_count) {
            Some(cuts) => {
                best = cuts;
                enough_mm = middle_mm;
            }
            None => too_small_mm = middle_mm,
        }
    }
    Ok(best)
}

/// Cuts of a walk whose every span is as long as the tolerance allows; none if it needs too many.
fn greedy_cuts(
    curve: &dyn ClosedCurve,
    piece: Piece,
    tolerance_mm: f64,
    max_cut_count: usize,
) -> Option<Vec<f64>> {
    let mut cuts = Vec::new();
    let mut start = 0.0;
    loop {
        let reached = furthest_fraction(curve, piece, start, tolerance_mm)?;
        if reached >= 1.0 {
            return Some(cuts);
        }
        if cuts.len() == max_cut_count {
            return None;
        }
        cuts.push(reached);
        start = reached;
    }
}

fn furthest_fraction(curve: &dyn ClosedCurve, piece: Piece, start: f64, tolerance_mm: f64) -> Option<f64> {
    let fits = |end: f64| {
        let span = Piece { start: piece.at_fraction(start), end: piece.at_fraction(end) };
        span_deviation_mm(curve, span, PROBE_COUNT) <= tolerance_mm
    };
    if fits(1.0) {
        return Some(1.0);
    }
    let (mut low, mut high) = (start, 1.0);
    for _ in 0..26 {
        let middle = 0.5 * (low + high);
        if fits(middle) { low = middle } else { high = middle }
    }
    (low > start).then_some(low)
}

/// Two arcs with a common tangent between two points with given tangents.
struct Biarc {
    arcs: [Arc; 2],
}

impl Biarc {
    fn over(curve: &dyn ClosedCurve, span: Piece) -> Option<Self> {
        let [start, end] = piece_ends(curve, span).ok()?;
        Self::between(&start, &end)
    }

    /// The biarc whose two end tangents have equal length, which is its own mirror image when run backwards.
    ///
    /// None where chord and tangents point apart, so that the arcs would turn back.
    fn between(start: &CurvePoint, end: &CurvePoint) -> Option<Self> {
        let chord = end.position_mm - start.position_mm;
        if !(chord.dot(&start.tangent) > 0.0 && chord.dot(&end.tangent) > 0.0) {
            return None;
        }
        let along = chord.dot(&(start.tangent + end.tangent));
        // 2 (1 − t0·t1) written as |t0 − t1|² keeps its digits for nearly parallel tangents.
        let spread = (start.tangent - end.tangent).norm_squared();
        let reach = chord.norm_squared() / (along + (along * along + spread * chord.norm_squared()).sqrt());
        let joint = start.position_mm + (chord + (start.tangent - end.tangent) * reach) * 0.5;
        let first = Arc::from_tangent(start.position_mm, start.tangent, joint);
        let second = Arc::from_tangent(joint, first.end_tangent(), end.position_mm);
        Some(Self { arcs: [first, second] })
    }

    /// Distance of a point from the arc on its side of the joint (mm).
    fn distance_mm(&self, point_mm: Point) -> f64 {
        let [first, second] = &self.arcs;
        let beyond = (point_mm - second.start_mm).dot(&second.start_tangent) > 0.0;
        (if beyond { second } else { first }).distance_mm(point_mm).abs()
    }
}

/// Largest distance of the curve from the biarc over a span (mm); infinite where there is no biarc.
fn span_deviation_mm(curve: &dyn ClosedCurve, span: Piece, probe_count: usize) -> f64 {
    let Some(biarc) = Biarc::over(curve, span) else { return f64::INFINITY };
    let distance_at = |index: usize| {
        let fraction = (index as f64 + 0.5) / probe_count as f64;
        let distance_mm = biarc.distance_mm(curve.at(span.at_fraction(fraction)).position_mm);
        if distance_mm.is_finite() { distance_mm } else { f64::INFINITY }
    };
    (0..probe_count).map(distance_at).fold(0.0, f64::max)
}

/// Adds the arcs of a span after the dense check, halving the span as long as the check fails.
fn append_verified(
    curve: &dyn ClosedCurve,
    span: Piece,
    tolerance_mm: f64,
    halvings_left: u32,
    outline: &mut ArcOutline,
) -> Result<(), FitError> {
    let deviation_mm = span_deviation_mm(curve, span, CHECK_COUNT);
    if deviation_mm <= tolerance_mm {
        outline.arcs.extend(Biarc::over(curve, span).into_iter().flat_map(|biarc| biarc.arcs));
        outline.worst_deviation_mm = outline.worst_deviation_mm.max(deviation_mm);
        return Ok(());
    }
    if halvings_left == 0 {
        let span_count = outline.arcs.len() / 2;
        return Err(FitError::NotReached { deviation_mm, tolerance_mm, span_count });
    }
    for half in span.split_at(&[0.5]) {
        append_verified(curve, half, tolerance_mm, halvings_left - 1, outline)?;
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sampling::distance_mm;
    use crate::testing::{Circle, Lens, Trochoid};
    use proptest::prelude::*;

    /// Area inside the arcs: the polygon of their ends and the segments between arcs and chords.
    fn area_mm2(outline: &ArcOutline) -> f64 {
        let of_arc = |arc: &Arc| {
            let quarter = crate::math::atan(arc.bulge);
            let included = 4.0 * quarter;
            let segment = if arc.curvature_per_mm == 0.0 {
                0.0
            } else {
                0.5 * (included - crate::math::sin(included)) / crate::math::square(arc.curvature_per_mm)
            };
            0.5 * cross(arc.start_mm.coords, arc.end_mm.coords) + segment
        };
        outline.arcs.iter().map(of_arc).sum()
    }

    fn point_on(arc: &Arc, fraction: f64) -> Point {
        let Some(centre) = arc.centre_mm() else {
            return arc.start_mm + (arc.end_mm - arc.start_mm) * fraction;
        };
        let included = 4.0 * crate::math::atan(arc.bulge);
        centre + crate::point::rotated(arc.start_mm - centre, fraction * included)
    }

    #[test]
    fn independent_arcs_lie_within_tolerance_of_the_curve_point_by_point() {
        for curve in Trochoid::CASES {
            let outline = fit_arcs(&curve, 0.001).unwrap();
            let mut guess = 0.0;
            let mut worst_mm = 0.0_f64;
            for arc in &outline.arcs {
                for step in 0..8 {
                    let point = point_on(arc, f64::from(step) / 8.0);
                    guess = crate::sampling::foot_parameter(&curve, point, guess);
                    worst_mm = worst_mm.max(distance_mm(&curve, point, guess));
                }
            }
            assert!(worst_mm <= 0.001 && worst_mm > 0.0005, "{curve:?}: {worst_mm}");
            assert!(worst_mm <= outline.worst_deviation_mm * 1.01);
        }
    }

    #[test]
    fn identity_area_inside_the_arcs_is_the_closed_form() {
        for curve in Trochoid::CASES {
            let outline = fit_arcs(&curve, 0.0001).unwrap();
            let length_mm: f64 = outline.arcs.iter().map(|arc| (arc.end_mm - arc.start_mm).norm()).sum();
            let difference_mm2 = (area_mm2(&outline) - curve.area_mm2()).abs();
            assert!(difference_mm2 < 0.0001 * length_mm, "{curve:?}: {difference_mm2}");
        }
    }

    #[test]
    fn identity_neighbouring_arcs_share_their_tangent() {
        let arcs = fit_arcs(&Trochoid::CASE_A, 0.001).unwrap().arcs;
        for (arc, next) in arcs.iter().zip(arcs.iter().cycle().skip(1)) {
            assert!((arc.end_mm - next.start_mm).norm() < 1e-11);
            assert!(cross(arc.end_tangent(), next.start_tangent).abs() < 1e-8);
        }
    }

    #[test]
    fn identity_flanks_of_a_lobe_get_mirrored_arcs() {
        let curve = Trochoid::CASE_C;
        let arcs = fit_arcs(&curve, 0.001).unwrap().arcs;
        let per_lobe = arcs.len() / curve.lobe_count() as usize;
        assert_eq!(arcs.len(), per_lobe * curve.lobe_count() as usize);
        for (arc, mirrored) in arcs[..per_lobe].iter().zip(arcs[..per_lobe].iter().rev()) {
            assert!((arc.bulge - mirrored.bulge).abs() < 1e-7, "{} {}", arc.bulge, mirrored.bulge);
        }
    }

    #[test]
    fn identity_a_circle_needs_no_more_than_its_pieces() {
        let outline = fit_arcs(&Circle::new(20.0), 0.001).unwrap();
        assert!(outline.worst_deviation_mm < 1e-6);
        assert!(outline.arcs.len() <= 8, "{}", outline.arcs.len());
        for arc in outline.arcs {
            assert!((arc.curvature_per_mm - 0.05).abs() < 1e-9);
        }
    }

    #[test]
    fn identity_corners_at_breaks_are_kept() {
        let lens = Lens { radius_mm: 10.0, shift_mm: 4.0 };
        let outline = fit_arcs(&lens, 0.001).unwrap();
        assert!(outline.worst_deviation_mm < 1e-6);
        for arc in &outline.arcs {
            assert!((arc.curvature_per_mm - 0.1).abs() < 1e-6, "{}", arc.curvature_per_mm);
        }
    }

    #[test]
    fn locked_arc_counts_of_the_check_cases_at_one_micrometre() {
        let counts = Trochoid::CASES.map(|curve| fit_arcs(&curve, 0.001).unwrap().arcs.len());
        assert_eq!(counts, [780, 936, 264, 220]);
    }

    #[test]
    fn identity_bad_curves_and_tolerances_are_refused() {
        let broken = Trochoid { eccentricity_mm: f64::NAN, ..Trochoid::CASE_C };
        assert!(fit_arcs(&broken, 0.001).is_err());
        assert!(matches!(fit_arcs(&Trochoid::CASE_C, 0.0), Err(FitError::ToleranceNotPositive { .. })));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(12))]
        #[test]
        fn identity_arcs_of_any_sound_profile_keep_the_tolerance(
            roller_count in 8_u32..60,
            shortening in 0.2_f64..0.92,
            roller_share in 0.1_f64..0.9,
            tolerance_exponent in 2_u32..5,
        ) {
            let ring_radius_mm = 60.0;
            let count = f64::from(roller_count);
            let tip_limit = ring_radius_mm * (1.0 + shortening) * (1.0 + shortening) / (1.0 + count * shortening);
            let k = shortening;
            let flank_limit = ring_radius_mm
                * (27.0 * (count - 1.0) * (1.0 - k * k) / crate::math::power(count + 1.0, 3)).sqrt();
            let limit = if k > (count - 2.0) / (2.0 * count - 1.0) { flank_limit } else { tip_limit };
            let curve = Trochoid::new(ring_radius_mm, roller_share * limit, k * ring_radius_mm / count, roller_count);
            let tolerance_mm = 1.0 / crate::math::power(10.0, tolerance_exponent);
            let outline = fit_arcs(&curve, tolerance_mm).unwrap();
            prop_assert!(outline.worst_deviation_mm <= tolerance_mm);
            let mut guess = 0.0;
            for arc in &outline.arcs {
                for fraction in [0.0, 0.29, 0.5, 0.83] {
                    let point = point_on(arc, fraction);
                    guess = crate::sampling::foot_parameter(&curve, point, guess);
                    let distance = distance_mm(&curve, point, guess);
                    prop_assert!(distance <= tolerance_mm * 1.005, "{} > {}", distance, tolerance_mm);
                }
            }
        }
    }
}
