//! Curvature over half a lobe: how far the profile is from undercut, and where it wraps the roller.

use super::scale::{axis_over, degree_axis};
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, Rule, Series, SeriesStyle};
use crate::markup::{Markup, Tag};
use curves::ClosedCurve;
use reducer::kinematics;
use reducer::model::Drive;
use reducer::results::GeometryResult;
use reducer::units::degrees;
use std::f64::consts::PI;

/// Samples over half a lobe.
const SAMPLE_COUNT: usize = 360;
/// The radius axis reaches this many times the largest of the radii that matter.
const RADIUS_REACH: f64 = 4.0;

/// Curvature along half a lobe, from valley to tip, with the undercut limit.
#[must_use]
pub fn curvature(drive: &Drive, outline: &dyn ClosedCurve, geometry: &GeometryResult) -> Figure {
    let generating = drive.geometry.roller_radius_mm + drive.geometry.modification.equidistant_offset_mm;
    let lobes = kinematics::lobe_count(&drive.geometry) as f64;
    let half_lobe = 0.5 * outline.period() / lobes;
    let samples: Vec<(f64, f64)> = (0..=SAMPLE_COUNT)
        .map(|index| {
            let share = index as f64 / SAMPLE_COUNT as f64;
            (share * PI, outline.at(share * half_lobe).curvature_per_mm)
        })
        .collect();
    let x = degree_axis("lobe_angle_rad", "angle along the lobe, from valley to tip", (0.0, 180.0));
    Figure {
        id: "curvature".to_owned(),
        title: "Curvature of the lobe profile".to_owned(),
        caption: Markup::words(
            "Above: radius of the generating roller over the radius of curvature of the curve ",
        )
        .and(
            Tag::Words,
            "on which its centre runs; undercut starts at one. Below: radius of curvature of the ",
        )
        .and(Tag::Words, "profile itself, positive where convex."),
        description: format!(
            "The smallest convex radius of the profile is {} at {}° along the lobe; in the valley it is {}.",
            reducer::registry::display("profile_radius_mm", geometry.least_convex_radius_mm),
            reducer::registry::format_number(degrees(geometry.least_convex_angle_rad), 0),
            reducer::registry::display("profile_radius_mm", geometry.valley_radius_mm),
        ),
        key_numbers: vec![
            KeyNumber::new(
                "undercut_limit_mm",
                "roller radius at which undercut starts",
                geometry.undercut_limit_mm,
            ),
            KeyNumber::new(
                "least_convex_radius_mm",
                "smallest convex radius",
                geometry.least_convex_radius_mm,
            ),
            KeyNumber::new("valley_radius_mm", "radius in the valley", geometry.valley_radius_mm),
        ],
        body: Body::Chart(Chart {
            x,
            panels: vec![undercut_panel(&samples, generating), radius_panel(&samples, geometry)],
        }),
    }
}

fn undercut_panel(samples: &[(f64, f64)], generating_mm: f64) -> Panel {
    // The centre curve lies the generating radius outside the profile: 1/κ0 = 1/κ + r.
    let ratio = |curvature: f64| generating_mm * curvature / (1.0 + generating_mm * curvature);
    let points: Vec<[f64; 2]> =
        samples.iter().map(|&(angle, curvature)| [degrees(angle), ratio(curvature)]).collect();
    let (low, high) = bounds(points.iter().map(|point| point[1]));
    Panel {
        height_paper_mm: 36.0,
        y: axis_over(
            "curvature_ratio",
            "generating radius × curvature of the centre curve",
            (low.clamp(-1.0, 0.0), high.clamp(1.2, 3.0)),
            5,
        ),
        series: vec![Series {
            name: "curvature-ratio".to_owned(),
            label: Markup::words("centre curve"),
            style: SeriesStyle::First,
            pieces: vec![points],
        }],
        rules: vec![
            Rule {
                is_level: true,
                value: 1.0,
                label: Markup::words("undercut from here upwards"),
                is_limit: true,
            },
            Rule { is_level: true, value: 0.0, label: Markup::default(), is_limit: false },
        ],
        spans: Vec::new(),
        detail_x: None,
    }
}

fn radius_panel(samples: &[(f64, f64)], geometry: &GeometryResult) -> Panel {
    let largest = geometry.least_convex_radius_mm.abs().max(geometry.valley_radius_mm.abs());
    let reach = RADIUS_REACH * largest.clamp(0.1, 1e4);
    let y = axis_over("profile_radius_mm", "radius of curvature of the profile", (-reach, reach), 4);
    // The radius jumps from one infinity to the other where the profile is straight: a new piece starts there.
    let mut pieces: Vec<Vec<[f64; 2]>> = vec![Vec::new()];
    let mut sign = 0.0;
    for &(angle, curvature) in samples {
        if sign * curvature < 0.0 {
            pieces.push(Vec::new());
        }
        sign = curvature;
        if let Some(piece) = pieces.last_mut().filter(|_| curvature != 0.0) {
            piece.push([degrees(angle), (1.0 / curvature).clamp(-20.0 * reach, 20.0 * reach)]);
        }
    }
    let least = degrees(geometry.least_convex_angle_rad);
    let words = reducer::registry::display("profile_radius_mm", geometry.least_convex_radius_mm);
    Panel {
        height_paper_mm: 44.0,
        y,
        series: vec![Series {
            name: "profile-radius".to_owned(),
            label: Markup::words("profile"),
            style: SeriesStyle::First,
            pieces,
        }],
        rules: vec![
            Rule { is_level: true, value: 0.0, label: Markup::default(), is_limit: false },
            Rule {
                is_level: false,
                value: least,
                label: Markup::words(format!("smallest convex radius {words}")),
                is_limit: false,
            },
        ],
        spans: Vec::new(),
        detail_x: None,
    }
}

/// Smallest and largest of finite values.
pub(super) fn bounds(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values
        .filter(|value| value.is_finite())
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| (low.min(value), high.max(value)))
}
