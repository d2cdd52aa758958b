//! Gap of a ring roller against its angle from the crank: where the drive begins to carry.

use super::curvature::bounds;
use super::scale::{axis_over, degree_axis, shown};
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, Rule, Series, SeriesStyle};
use crate::markup::Markup;
use curves::math::wrap_angle;
use reducer::model::Drive;
use reducer::results::GeometryResult;
use reducer::units::degrees;

/// Gap and lever arm of a roller round the ring, disc in its ideal position.
#[must_use]
pub fn gap_curve(drive: &Drive, geometry: &GeometryResult) -> Figure {
    let mut points: Vec<(f64, f64, f64)> = geometry
        .gap_curve
        .iter()
        .map(|point| (degrees(wrap_angle(point.angle_rad)), point.gap_mm, point.lever_mm))
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let gaps: Vec<[f64; 2]> = points.iter().map(|point| [point.0, shown("gap_mm", point.1)]).collect();
    let levers: Vec<[f64; 2]> = points.iter().map(|point| [point.0, shown("lever_mm", point.2)]).collect();
    let least = bounds(geometry.gap_curve.iter().map(|point| point.gap_mm)).0;
    let nominal = drive.geometry.modification == no_modification();
    let words = if nominal {
        "Gap and lever arm of a ring roller against its angle from the crank. The profile is not modified: every gap is zero."
    } else {
        "Gap and lever arm of a ring roller against its angle from the crank, unloaded. Rollers with a small gap \
         and a long lever arm carry first."
    };
    Figure {
        id: "gap-curve".to_owned(),
        title: "Gaps at the ring rollers".to_owned(),
        caption: Markup::words(words),
        description: "Gap of a ring roller along the contact normal, and lever arm of its normal about the \
                      centre of the disc, over one turn from the crank."
            .to_owned(),
        key_numbers: vec![
            KeyNumber::new("gap_mm", "smallest gap", if least.is_finite() { least } else { 0.0 }),
            KeyNumber::new("largest_lever_mm", "longest lever arm", geometry.largest_lever_mm),
            KeyNumber::new("geometric_backlash_rad", "geometric backlash", geometry.geometric_backlash_rad),
        ],
        body: Body::Chart(Chart {
            x: degree_axis("angle_rad", "angle of the roller from the crank", (-180.0, 180.0)),
            panels: vec![
                panel("gap_mm", "gap along the normal", "gap", gaps),
                panel("lever_mm", "lever arm about the disc's centre", "lever", levers),
            ],
        }),
    }
}

fn panel(quantity: &str, words: &str, name: &str, points: Vec<[f64; 2]>) -> Panel {
    let (low, high) = bounds(points.iter().map(|point| point[1]).chain([0.0]));
    let high = if high - low < 1e-6 { low + 1.0 } else { high };
    Panel {
        height_paper_mm: 34.0,
        y: axis_over(quantity, words, (low, high), 4),
        series: vec![Series {
            name: name.to_owned(),
            label: Markup::words(words),
            style: SeriesStyle::First,
            pieces: vec![points],
        }],
        rules: vec![Rule { is_level: true, value: 0.0, label: Markup::default(), is_limit: false }],
        spans: Vec::new(),
        detail_x: None,
    }
}

fn no_modification() -> reducer::model::Modification {
    reducer::model::Modification {
        equidistant_offset_mm: 0.0,
        ring_radius_shift_mm: 0.0,
        flank_rotation_rad: 0.0,
    }
}
