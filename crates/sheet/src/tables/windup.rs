//! Where the wind-up comes from, and how the rollers of the eccentric bearings share their force.

use super::{number_cell, quantity_column};
use crate::figures::nearest_pose;
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::registry::{self, format_number};
use reducer::results::LoadCase;

/// Sources of the wind-up of a load case, mean over the period; what is taken as rigid or absent has no row.
#[must_use]
pub fn windup_table(case: &LoadCase) -> Table {
    let split = &case.extremes.windup_split;
    let total = split.total_rad();
    let row = |words: &str, share: f64| {
        let part = if total > 0.0 { share / total } else { 0.0 };
        vec![
            Markup::words(words),
            number_cell("windup_rad", share),
            Markup::tagged(Tag::Value, format_number(100.0 * part, 1)),
        ]
    };
    let words = |quantity: &str| {
        let entry = registry::quantity(quantity).map_or(quantity, |entry| entry.words.as_str());
        entry.trim_start_matches("wind-up from ").to_owned()
    };
    let mut rows: Vec<_> = split
        .shares_rad()
        .iter()
        .filter(|(_, share)| share.abs() > LEAST_SHARE * total)
        .map(|(quantity, share)| row(&words(quantity), *share))
        .collect();
    rows.push(row("in all", total));
    Table {
        title: format!("Where the wind-up comes from, {}, mean over one period", case.title),
        columns: vec![
            Column::new("source", Align::Left),
            quantity_column("windup_rad", "wind-up"),
            Column::numbers(Markup::words("share"), "%"),
        ],
        rows,
    }
}

/// Shares below this are none.
const LEAST_SHARE: f64 = 1e-6;

/// Force and pressure of every roller of the eccentric bearings that carries at a crank angle; `None` where the load model has none.
#[must_use]
pub fn bearing_rollers_table(case: &LoadCase, crank_angle_rad: f64) -> Option<Table> {
    let discs = nearest_pose(case, crank_angle_rad).map(|pose| &pose.discs[..])?;
    let count = discs.iter().map(|disc| disc.bearing_element_force_n.len()).max()?;
    let mut columns = vec![Column::new("roller of the bearing", Align::Right)];
    for disc in 1..=discs.len() {
        columns.push(quantity_column("bearing_element_force_n", &format!("disc {disc}: force")));
        columns.push(quantity_column("bearing_element_pressure_mpa", "pressure"));
    }
    let carries = |roller: &usize| {
        discs.iter().any(|disc| disc.bearing_element_force_n.get(*roller).is_some_and(|force| *force > 0.0))
    };
    let cell = |quantity: &str, value: Option<f64>| match value.filter(|value| *value > 0.0) {
        Some(value) => number_cell(quantity, value),
        None => Markup::words("–"),
    };
    let row = |roller: usize| {
        let mut row = vec![Markup::tagged(Tag::Value, format!("{}", roller + 1))];
        for disc in discs {
            let force = disc.bearing_element_force_n.get(roller).copied();
            row.push(cell("bearing_element_force_n", force));
            let pressure = disc.bearing_element_pressure_mpa.get(roller).copied();
            row.push(cell("bearing_element_pressure_mpa", pressure));
        }
        row
    };
    (count > 0).then(|| Table {
        title: format!("Rollers of the eccentric bearings that carry, each row, {}", case.title),
        columns,
        rows: (0..count).filter(carries).map(row).collect(),
    })
}
