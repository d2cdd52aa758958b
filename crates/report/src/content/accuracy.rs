//! What the report says about accuracy: one drive over an output turn, and many drives within their tolerances.

use super::table_data;
use crate::ReportInput;
use reducer::assembly::summary::{Distribution, YieldResult};
use serde_json::{Value, json};
use sheet::{Figure, Markup, figures};

/// Distributions that are drawn whether or not they have a limit.
const ALWAYS_DRAWN: [&str; 2] = ["backlash", "transmission-error"];

/// Tables and sentences; null where the drive was not looked at.
pub(super) fn accuracy(input: &ReportInput<'_>) -> Value {
    let Some(result) = input.accuracy else { return Value::Null };
    json!({
        "values": table_data(&sheet::accuracy_table(result)),
        "under_torque": table_data(&sheet::under_torque_table(result)),
        "orders": table_data(&sheet::orders_table(result)),
        "study": input.study.map_or(Value::Null, study),
    })
}

fn study(result: &YieldResult) -> Value {
    let drawn = result.distributions.iter().filter(|each| is_drawn(each));
    json!({
        "sentences": sheet::yield_sentences(result),
        "sampling": result.sampling,
        "seed": result.seed,
        "distributions": table_data(&sheet::distribution_table(result)),
        "tolerances": table_data(&sheet::tolerance_table(result)),
        "histograms": drawn.map(|each| figures::yield_histogram(each).id).collect::<Vec<_>>(),
        "assumptions": result.assumptions.iter().map(|text| Markup::with_symbols(text)).collect::<Vec<_>>(),
    })
}

fn is_drawn(distribution: &Distribution) -> bool {
    let is_wanted = distribution.limit.is_some() || ALWAYS_DRAWN.contains(&distribution.id.as_str());
    distribution.count > 0 && is_wanted
}

/// Figures of accuracy, those of a study only where they have a limit or are always drawn.
pub(super) fn draw(input: &ReportInput<'_>) -> Vec<Figure> {
    let Some(result) = input.accuracy else { return Vec::new() };
    let mut list = figures::of_accuracy(result);
    if let Some(study) = input.study {
        let drawn = study.distributions.iter().filter(|each| is_drawn(each));
        list.extend(drawn.map(figures::yield_histogram));
        list.extend(figures::tolerance_pareto(study));
    }
    list
}
