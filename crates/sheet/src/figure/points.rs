//! Outlines as points, for those who can draw nothing but straight lines.

use super::{Contour, Step};
use curves::math::{acos, atan2, cos, hypot, sin};
use std::f64::consts::{PI, TAU};

/// Chords of a cubic piece; pieces are short.
const CUBIC_CHORDS: u32 = 4;
/// Points closer than this are one.
const SAME_MM: f64 = 1e-9;

impl Contour {
    /// Points round the outline, none twice; chords of arcs stand off them by no more than the tolerance.
    #[must_use]
    pub fn points_mm(&self, tolerance_mm: f64) -> Vec<[f64; 2]> {
        let mut points = vec![self.start_mm];
        for step in &self.steps {
            let from = points.last().copied().unwrap_or(self.start_mm);
            match *step {
                Step::Line { to_mm } => points.push(to_mm),
                Step::Arc { to_mm, radius_mm, large, anticlockwise } => {
                    let arc = Arc::through(from, to_mm, radius_mm, large, anticlockwise);
                    points.extend(arc.chord_ends(tolerance_mm));
                    points.push(to_mm);
                }
                Step::Cubic { first_mm, second_mm, to_mm } => {
                    let at = |chord| cubic([from, first_mm, second_mm, to_mm], f64::from(chord));
                    points.extend((1..=CUBIC_CHORDS).map(at));
                }
            }
        }
        let is_back = |[x, y]: [f64; 2]| hypot(x - self.start_mm[0], y - self.start_mm[1]) < SAME_MM;
        if self.closed && points.len() > 1 && points.last().copied().is_some_and(is_back) {
            points.pop();
        }
        points
    }
}

fn cubic(handles_mm: [[f64; 2]; 4], chord: f64) -> [f64; 2] {
    let t = chord / f64::from(CUBIC_CHORDS);
    let s = 1.0 - t;
    let weights = [s * s * s, 3.0 * s * s * t, 3.0 * s * t * t, t * t * t];
    [0, 1].map(|axis| weights.iter().zip(handles_mm).map(|(weight, handle)| weight * handle[axis]).sum())
}

/// An arc about its centre.
struct Arc {
    centre_mm: [f64; 2],
    radius_mm: f64,
    from_rad: f64,
    turn_rad: f64,
}

impl Arc {
    fn through(from: [f64; 2], to: [f64; 2], radius_mm: f64, large: bool, anticlockwise: bool) -> Self {
        let half = [0.5 * (to[0] - from[0]), 0.5 * (to[1] - from[1])];
        let half_square = half[0] * half[0] + half[1] * half[1];
        // The centre is on the left of an anticlockwise arc that is less than half a turn.
        let side = if large == anticlockwise { -1.0 } else { 1.0 };
        let off = side * (radius_mm * radius_mm / half_square - 1.0).max(0.0).sqrt();
        let centre = [from[0] + half[0] - off * half[1], from[1] + half[1] + off * half[0]];
        let angle = |point: [f64; 2]| atan2(point[1] - centre[1], point[0] - centre[0]);
        let turn = (angle(to) - angle(from)).rem_euclid(TAU);
        let turn_rad = if anticlockwise { turn } else { turn - TAU };
        Self { centre_mm: centre, radius_mm, from_rad: angle(from), turn_rad }
    }

    /// The points between its ends.
    fn chord_ends(&self, tolerance_mm: f64) -> impl Iterator<Item = [f64; 2]> {
        let widest = 2.0 * acos((1.0 - tolerance_mm / self.radius_mm).clamp(-1.0, 1.0));
        let count = (self.turn_rad.abs() / widest.clamp(TAU / 1024.0, 0.5 * PI)).ceil().max(1.0);
        (1..count as usize).map(move |chord| {
            let angle = self.from_rad + self.turn_rad * chord as f64 / count;
            [self.centre_mm[0] + self.radius_mm * cos(angle), self.centre_mm[1] + self.radius_mm * sin(angle)]
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::figures::outline::circle_contour;
    use curves::point::Point;

    fn area(points: &[[f64; 2]]) -> f64 {
        let next = points.iter().cycle().skip(1);
        points.iter().zip(next).map(|(a, b)| 0.5 * (a[0] * b[1] - b[0] * a[1])).sum()
    }

    #[test]
    fn identity_a_circle_stays_within_the_tolerance() {
        let points = circle_contour(Point::new(3.0, -2.0), 20.0).points_mm(0.01);
        assert!(points.iter().all(|[x, y]| (hypot(x - 3.0, y + 2.0) - 20.0).abs() < 1e-9));
        let middle = |a: &[f64; 2], b: &[f64; 2]| hypot(0.5 * (a[0] + b[0]) - 3.0, 0.5 * (a[1] + b[1]) + 2.0);
        assert!(points.windows(2).all(|pair| middle(&pair[0], &pair[1]) > 20.0 - 0.01));
        assert!((area(&points) / (PI * 400.0) - 1.0).abs() < 1e-3, "anticlockwise and whole");
    }

    #[test]
    fn identity_the_four_arcs_between_two_points_bulge_as_told() {
        // Half the chord is 3 and the radius 5: the centre stands 4 off, and an arc rises by 1 or by 9.
        for (large, anticlockwise, height) in
            [(false, true, -1.0), (true, true, -9.0), (false, false, 1.0), (true, false, 9.0)]
        {
            let step = Step::Arc { to_mm: [3.0, 0.0], radius_mm: 5.0, large, anticlockwise };
            let contour = Contour { start_mm: [-3.0, 0.0], steps: vec![step], closed: false };
            let points = contour.points_mm(0.001);
            assert_eq!((points.first(), points.last()), (Some(&[-3.0, 0.0]), Some(&[3.0, 0.0])));
            let far = points.iter().map(|point| point[1]).max_by(|a, b| a.abs().total_cmp(&b.abs()));
            assert!((far.unwrap() - height).abs() < 0.01, "{far:?} against {height}");
        }
    }

    #[test]
    fn identity_a_square_keeps_its_corners() {
        let corner = |to_mm| Step::Line { to_mm };
        let steps = vec![corner([1.0, 0.0]), corner([1.0, 1.0]), corner([0.0, 1.0]), corner([0.0, 0.0])];
        let square = Contour { start_mm: [0.0, 0.0], steps, closed: true };
        assert_eq!(square.points_mm(0.1).len(), 4);
        assert!((area(&square.points_mm(0.1)) - 1.0).abs() < 1e-12);
    }
}
