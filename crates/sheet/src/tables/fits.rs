//! Limits of size of holes and shafts, and what they make of each other.

use super::{number_cell, quantity_column};
use crate::markup::{Markup, Tag};
use crate::table::{Align, Column, Table};
use reducer::iso286::callout::{Callout, Toleranced};
use reducer::registry;

/// Deviations and limits of size of every part of every callout.
#[must_use]
pub fn limits_table(callouts: &[Callout]) -> Table {
    let row = |callout: &Callout, part: Toleranced| {
        vec![
            Markup::words(callout.to_string()),
            Markup::words(part.part.words()),
            Markup::words(part.tolerance.to_string()),
            deviation(part.limits.upper_mm),
            deviation(part.limits.lower_mm),
            number_cell("limit_of_size_mm", callout.size_mm + part.limits.upper_mm),
            number_cell("limit_of_size_mm", callout.size_mm + part.limits.lower_mm),
            Markup::words(part.basis.words()),
        ]
    };
    Table {
        title: "Limits of size".to_owned(),
        columns: vec![
            Column::new("callout", Align::Left),
            Column::new("part", Align::Left),
            Column::new("class", Align::Left),
            quantity_column("deviation_mm", "upper"),
            quantity_column("deviation_mm", "lower"),
            quantity_column("limit_of_size_mm", "largest"),
            quantity_column("limit_of_size_mm", "smallest"),
            Column::new("limits are", Align::Left),
        ],
        rows: callouts.iter().flat_map(|callout| callout.parts().map(|part| row(callout, part))).collect(),
    }
}

/// Kind, loosest and tightest pair of every callout that has two parts; `None` where none has.
#[must_use]
pub fn fits_table(callouts: &[Callout]) -> Option<Table> {
    let row = |callout: &Callout| {
        let fit = callout.fit()?;
        Some(vec![
            Markup::words(callout.to_string()),
            Markup::words(fit.kind().words()),
            clearance(fit.greatest_clearance_mm()),
            clearance(fit.least_clearance_mm()),
        ])
    };
    let rows: Vec<_> = callouts.iter().filter_map(row).collect();
    (!rows.is_empty()).then(|| Table {
        title: "Fits".to_owned(),
        columns: vec![
            Column::new("callout", Align::Left),
            Column::new("fit", Align::Left),
            Column::new("largest hole, smallest shaft", Align::Left),
            Column::new("smallest hole, largest shaft", Align::Left),
        ],
        rows,
    })
}

/// A deviation with its sign, which drawings always write.
fn deviation(value_mm: f64) -> Markup {
    let plus = if value_mm > 0.0 { "+" } else { "" };
    Markup::tagged(Tag::Value, plus).then(number_cell("deviation_mm", value_mm))
}

/// Clearance or interference in words, without a sign.
fn clearance(value_mm: f64) -> Markup {
    let words = match value_mm {
        value if value < 0.0 => " interference",
        value if value > 0.0 => " clearance",
        _ => "",
    };
    Markup::tagged(Tag::Value, registry::display("fit_clearance_mm", value_mm.abs())).and(Tag::Words, words)
}
