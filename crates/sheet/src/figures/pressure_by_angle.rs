//! Force and pressure of the ring rollers against their angle from the crank, over all crank angles.

use super::curvature::bounds;
use super::outline;
use super::scale::{axis_over, degree_axis, shown};
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, Series, SeriesStyle};
use crate::markup::Markup;
use curves::math::wrap_angle;
use reducer::model::Drive;
use reducer::results::{DiscState, LoadCase};
use reducer::units::degrees;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// Greatest and least force and pressure of a ring roller at each angle from the crank.
#[must_use]
pub fn pressure_by_angle(drive: &Drive, case: &LoadCase) -> Figure {
    let extremes = &case.extremes;
    let (fewest, most) = extremes.carrying_roller_count;
    Figure {
        id: format!("pressure-by-angle-{}", case.id),
        title: format!("Loads round the ring, {}", case.title),
        caption: Markup::words(format!(
            "Force and pressure of the ring rollers against their angle from the crank, {}: greatest and least \
             over all discs and crank angles. At any time {fewest} to {most} rollers of a disc carry.",
            case.title,
        )),
        description: format!(
            "Rollers on one side of the crank carry; the greatest force is {}.",
            reducer::registry::display("ring_roller_force_n", extremes.ring_roller_force.value),
        ),
        key_numbers: vec![
            KeyNumber::new("ring_roller_force_n", "greatest force", extremes.ring_roller_force.value),
            KeyNumber::new(
                "ring_roller_pressure_mpa",
                "greatest pressure",
                extremes.ring_roller_pressure.value,
            ),
        ],
        body: Body::Chart(Chart {
            x: degree_axis("angle_rad", "angle of the roller from the crank", (-180.0, 180.0)),
            panels: vec![
                panel(drive, case, "ring_roller_force_n", "force at a ring roller", |disc| {
                    &disc.ring_roller_force_n
                }),
                panel(drive, case, "ring_roller_pressure_mpa", "pressure at a ring roller", |disc| {
                    &disc.ring_roller_pressure_mpa
                }),
            ],
        }),
    }
}

fn panel(
    drive: &Drive,
    case: &LoadCase,
    quantity: &str,
    words: &str,
    values: fn(&DiscState) -> &Vec<f64>,
) -> Panel {
    // Angles repeat from pose to pose; equal ones are told by a ten-thousandth of a degree.
    let mut ranges: BTreeMap<i64, (f64, f64)> = BTreeMap::new();
    for pose in &case.poses {
        for (index, disc) in pose.discs.iter().enumerate() {
            let throw = pose.crank_angle_rad + TAU * index as f64 / pose.discs.len() as f64;
            for (roller, &value) in values(disc).iter().enumerate() {
                let angle = wrap_angle(outline::roller_angle_rad(&drive.geometry, roller) - throw);
                let key = (degrees(angle) * 1e4).round() as i64;
                let range = ranges.entry(key).or_insert((f64::INFINITY, f64::NEG_INFINITY));
                *range = (range.0.min(value), range.1.max(value));
            }
        }
    }
    let curve = |pick: fn(&(f64, f64)) -> f64| -> Vec<[f64; 2]> {
        ranges.iter().map(|(key, range)| [*key as f64 * 1e-4, shown(quantity, pick(range))]).collect()
    };
    let (greatest, least) = (curve(|range| range.1), curve(|range| range.0));
    let spread = greatest.iter().zip(&least).map(|(most, few)| most[1] - few[1]).fold(0.0, f64::max);
    let high = bounds(greatest.iter().map(|point| point[1])).1.max(1e-9);
    let series = |name: &str, label: &str, style: SeriesStyle, points: Vec<[f64; 2]>| Series {
        name: format!("{quantity}-{name}"),
        label: Markup::words(label),
        style,
        pieces: vec![points],
    };
    Panel {
        height_paper_mm: 36.0,
        y: axis_over(quantity, words, (0.0, high), 4),
        // One curve says it all where discs and crank angles differ by less than a line's width.
        series: if spread < 0.02 * high {
            vec![series("greatest", "all", SeriesStyle::First, greatest)]
        } else {
            vec![
                series("greatest", "greatest", SeriesStyle::First, greatest),
                series("least", "least", SeriesStyle::Second, least),
            ]
        },
        rules: Vec::new(),
    }
}
