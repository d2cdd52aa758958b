//! Every check as a bar: how far it stands from its limit, and on which side.

use super::scale::axis_over;
use crate::figure::{Bar, Bars, Body, Figure, KeyNumber};
use crate::margin::margin_with_unit;
use crate::markup::{Markup, Tag};
use reducer::finding::{Finding, Standing};
use reducer::results::Assessment;

/// Margins beyond these are drawn as broken bars.
const SHOWN: (f64, f64) = (-1.0, 1.5);

/// Margins of all checks that were made, in the order of the findings.
#[must_use]
pub fn margins(assessment: &Assessment) -> Figure {
    let rows: Vec<Bar> = assessment.findings.iter().filter_map(bar).collect();
    let caption = format!("Margin of every check that was made: {HOW_TO_READ}");
    figure("margins", "Margins of all checks", &caption, rows)
}

/// The smallest margins of an assessment, at most so many.
#[must_use]
pub fn smallest_margins(assessment: &Assessment, count: usize) -> Figure {
    let rows: Vec<Bar> = assessment.findings.iter().filter_map(bar).take(count).collect();
    let caption = format!("The {} smallest margins: {HOW_TO_READ}", rows.len());
    figure("smallest-margins", "Smallest margins", &caption, rows)
}

const HOW_TO_READ: &str = "distance from the limit as a share of it, to the right where the limit holds. A cross marks \
                           a check that fails, a triangle one that is doubtful; broken bars are longer than shown.";

fn figure(id: &str, title: &str, caption: &str, rows: Vec<Bar>) -> Figure {
    let count = |standing: Standing| rows.iter().filter(|row| row.standing == standing).count();
    let low = rows.iter().map(|row| row.value).fold(0.0_f64, f64::min).max(SHOWN.0 * 100.0);
    let high = rows.iter().map(|row| row.value).fold(10.0_f64, f64::max).min(SHOWN.1 * 100.0);
    let mut axis = axis_over("margin", "margin", (low, high), 6);
    axis.label = Markup::tagged(Tag::Quantity, "margin").and(Tag::Unit, ", %");
    let (fails, doubtful, holds) =
        (count(Standing::Fails), count(Standing::Doubtful), count(Standing::Holds));
    let key_numbers = rows
        .first()
        .map(|row| KeyNumber {
            // As beside the bars, in per cent like the axis.
            display: margin_with_unit(0.01 * row.value).unwrap_or_default(),
            ..KeyNumber::new("margin", "smallest margin", 0.01 * row.value)
        })
        .into_iter()
        .collect();
    Figure {
        id: id.to_owned(),
        title: title.to_owned(),
        caption: Markup::words(caption),
        description: format!("{holds} of these checks hold, {doubtful} are doubtful, {fails} fail."),
        key_numbers,
        body: Body::Bars(Bars { axis, rows }),
    }
}

fn bar(finding: &Finding) -> Option<Bar> {
    let margin = finding.margin.filter(|margin| margin.is_finite())?;
    let words = margin_with_unit(margin)?;
    let is_plain = words.starts_with(|first: char| first.is_ascii_digit());
    let sign = if is_plain && margin >= 0.0005 { "+" } else { "" };
    Some(Bar {
        label: finding.title.clone(),
        value: 100.0 * margin,
        text: Markup::words(format!("{sign}{words}")),
        standing: finding.standing,
    })
}
