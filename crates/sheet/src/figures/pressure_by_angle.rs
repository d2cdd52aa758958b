//! Force and pressure of the ring rollers against their angle from the crank, over all crank angles.

use super::contact_load::ContactLoad;
use super::outline;
use super::scale::degree_axis;
use crate::figure::{Body, Chart, Figure, KeyNumber, Panel, SeriesStyle};
use crate::markup::Markup;
use curves::math::wrap_angle;
use reducer::model::Drive;
use reducer::results::LoadCase;
use reducer::units::degrees;
use std::collections::BTreeMap;
use std::f64::consts::TAU;

/// Width over which rollers count as standing at the same angle.
const BIN_DEG: f64 = 2.0;

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
                panel(drive, case, ContactLoad::RollerForce),
                panel(drive, case, ContactLoad::RollerPressure),
            ],
        }),
    }
}

/// Greatest and least of a load over all discs and crank angles, at each angle from the crank.
fn panel(drive: &Drive, case: &LoadCase, load: ContactLoad) -> Panel {
    // Rollers pass every such width at many crank angles: only so do greatest and least mean something.
    let mut ranges: BTreeMap<i64, (f64, f64)> = BTreeMap::new();
    for pose in &case.poses {
        for (index, disc) in pose.discs.iter().enumerate() {
            let throw = pose.crank_angle_rad + TAU * index as f64 / pose.discs.len() as f64;
            for (roller, &value) in load.values(disc).iter().enumerate() {
                let angle = wrap_angle(outline::roller_angle_rad(&drive.geometry, roller) - throw);
                let key = (degrees(angle) / BIN_DEG).round() as i64;
                let range = ranges.entry(key).or_insert((f64::INFINITY, f64::NEG_INFINITY));
                *range = (range.0.min(value), range.1.max(value));
            }
        }
    }
    let curve = |pick: fn(&(f64, f64)) -> f64| -> Vec<[f64; 2]> {
        ranges.iter().map(|(key, range)| [*key as f64 * BIN_DEG, load.shown(pick(range))]).collect()
    };
    let (greatest, least) = (curve(|range| range.1), curve(|range| range.0));
    let spread = greatest.iter().zip(&least).map(|(most, few)| most[1] - few[1]).fold(0.0, f64::max);
    let high = greatest.iter().map(|point| point[1]).fold(0.0, f64::max);
    // One curve says it all where discs and crank angles differ by less than a line's width.
    let is_one_curve = spread < 0.02 * high;
    let label = if is_one_curve { "all" } else { "greatest" };
    let mut curves = vec![("greatest", label.to_owned(), SeriesStyle::First, greatest)];
    if !is_one_curve {
        curves.push(("least", "least".to_owned(), SeriesStyle::Second, least));
    }
    load.panel(36.0, curves, None)
}
