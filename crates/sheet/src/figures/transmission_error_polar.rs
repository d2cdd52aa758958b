//! The error of the output angle over a whole output turn, as it runs round, one curve for each flank.

use super::curvature::bounds;
use super::scale::{axis_over, shown};
use crate::figure::{Axis, Body, Figure, KeyNumber, RoundChart, RoundCurve};
use crate::markup::{Markup, Tag};
use reducer::registry;
use reducer::units::degrees;
use std::f64::consts::TAU;

const QUANTITY: &str = "output_error_rad";
/// Points of a curve; more positions than these are taken together.
const MOST_POINTS: usize = 720;
/// Part of the radius that stays empty inside the smallest error.
const HOLLOW: f64 = 0.4;

/// Error of the output on one flank.
#[derive(Clone, Copy, Debug)]
pub struct FlankError<'a> {
    /// Angles of the output over one turn.
    pub output_angle_rad: &'a [f64],
    /// Error at each of them.
    pub error_rad: &'a [f64],
}

/// Angles of so many positions in equal steps over one output turn.
#[must_use]
pub fn angles_over_turn(count: usize) -> Vec<f64> {
    (0..count).map(|position| TAU * position as f64 / count as f64).collect()
}

/// Error of the output angle of a drive, named in words, over a whole output turn, its load acting anticlockwise (ahead) and clockwise (behind).
#[must_use]
pub fn transmission_error_polar(drive: &str, ahead: FlankError<'_>, behind: FlankError<'_>) -> Figure {
    let curves = vec![curve("ahead", "load anticlockwise", ahead), curve("behind", "load clockwise", behind)];
    let (low, high) =
        bounds(curves.iter().flat_map(|curve| &curve.points).flat_map(|point| [point[1], point[2]]));
    let (radius, step) = radius_axis(low, high);
    let count = ahead.error_rad.len();
    let taken_together = if count > MOST_POINTS {
        format!(
            " Of the {} positions those within half a degree are drawn as a band from the least to the greatest.",
            registry::format_number(count as f64, 0)
        )
    } else {
        String::new()
    };
    let show = |value: f64| registry::display("transmission_error_rad", value);
    let errors = [ahead, behind].map(|flank| peak_to_peak(flank.error_rad));
    Figure {
        id: "transmission-error-polar".to_owned(),
        title: "Transmission error over an output turn".to_owned(),
        caption: Markup::words(format!(
            "Error of the output angle of {drive} over a whole output turn without load, on both flanks. One ring is {step}; the centre is not zero. The difference of both \
             at an angle is the backlash, which is nothing where parts press on each other.{taken_together}"
        )),
        description: format!(
            "Peak to peak the error is {} with the load anticlockwise and {} with it clockwise.",
            show(errors[0]),
            show(errors[1])
        ),
        key_numbers: vec![
            KeyNumber::new("transmission_error_rad", "peak to peak, load anticlockwise", errors[0]),
            KeyNumber::new("transmission_error_rad", "peak to peak, load clockwise", errors[1]),
        ],
        body: Body::Round(RoundChart {
            angle: Axis {
                quantity: "output_angle_rad".to_owned(),
                label: Markup::tagged(Tag::Quantity, "output angle"),
                range: [0.0, 360.0],
                ticks: Vec::new(),
            },
            radius,
            scale: Markup::words(format!("one ring is {step}")),
            curves,
        }),
    }
}

/// An axis with room inside the smallest error, and the step between its rings in words.
fn radius_axis(low: f64, high: f64) -> (Axis, String) {
    let mut radius = axis_over(QUANTITY, "error of the output angle", (low, high), 5);
    let [first, last] = radius.range;
    radius.range[0] = first - HOLLOW / (1.0 - HOLLOW) * (last - first);
    let unit = registry::quantity(QUANTITY).map_or("", |quantity| quantity.unit.as_str());
    // The second label less the first would be rounded twice, so the step is worded like the labels are.
    let step = match radius.ticks[..] {
        [ref a, ref b, ..] => b.value - a.value,
        _ => last - first,
    };
    let text = registry::format_number(step, super::scale::decimals_of(step));
    (radius, format!("{text} {unit}"))
}

fn curve(name: &str, label: &str, flank: FlankError<'_>) -> RoundCurve {
    RoundCurve { name: name.to_owned(), label: Markup::words(label), points: points(flank) }
}

/// Angle, least and greatest error of every position, or of neighbouring ones where there are too many to tell apart.
fn points(flank: FlankError<'_>) -> Vec<[f64; 3]> {
    let count = flank.output_angle_rad.len().min(flank.error_rad.len());
    let places = count.min(MOST_POINTS);
    (0..places)
        .map(|place| {
            let range = place * count / places..(place + 1) * count / places;
            let (low, high) =
                bounds(flank.error_rad[range.clone()].iter().map(|&value| shown(QUANTITY, value)));
            let middle = 0.5 * (flank.output_angle_rad[range.start] + flank.output_angle_rad[range.end - 1]);
            [degrees(middle), low, high]
        })
        .collect()
}

fn peak_to_peak(errors: &[f64]) -> f64 {
    let (low, high) = bounds(errors.iter().copied());
    if low > high { 0.0 } else { high - low }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn round(figure: &Figure) -> &RoundChart {
        let Body::Round(chart) = &figure.body else { panic!("{} does not go round", figure.id) };
        chart
    }

    #[test]
    fn identity_positions_taken_together_keep_their_extremes() {
        let count = 7 * MOST_POINTS + 5;
        let angles = angles_over_turn(count);
        let ripple: Vec<f64> =
            angles.iter().map(|angle| 1e-5 * curves::math::sin(1_234.0 * angle) + 2e-5 * angle).collect();
        let flank = FlankError { output_angle_rad: &angles, error_rad: &ripple };
        let figure = transmission_error_polar("the drive as drawn", flank, flank);
        let points = &round(&figure).curves[0].points;
        assert_eq!(points.len(), MOST_POINTS);
        let (low, high) = bounds(ripple.iter().map(|&value| shown(QUANTITY, value)));
        assert_eq!(points.iter().map(|point| point[1]).fold(f64::INFINITY, f64::min), low);
        assert_eq!(points.iter().map(|point| point[2]).fold(f64::NEG_INFINITY, f64::max), high);
        assert!(points.is_sorted_by(|a, b| a[0] < b[0]));
        let [low, high] = round(&figure).radius.range;
        assert!(points.iter().all(|point| low < point[1] && point[1] <= point[2] && point[2] <= high));
    }

    #[test]
    fn identity_few_positions_are_drawn_as_they_are() {
        let angles = angles_over_turn(36);
        let errors: Vec<f64> = angles.iter().map(|angle| 1e-4 * curves::math::cos(*angle)).collect();
        let behind: Vec<f64> = errors.iter().map(|error| error - 3e-4).collect();
        let figure = transmission_error_polar(
            "the drive as drawn",
            FlankError { output_angle_rad: &angles, error_rad: &errors },
            FlankError { output_angle_rad: &angles, error_rad: &behind },
        );
        let points = &round(&figure).curves[1].points;
        assert_eq!(points.len(), 36);
        assert!(points.iter().all(|point| point[1] == point[2]));
        assert_eq!(points[9][0], 90.0);
        // 2e-4 rad are 0.6875 arcmin.
        assert_eq!(figure.key_numbers[0].display, "0.69 arcmin");
        assert_eq!(figure.key_numbers[1].display, "0.69 arcmin");
    }
}
