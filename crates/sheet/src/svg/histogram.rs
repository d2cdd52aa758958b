//! Histograms as SVG: bins as one stepped area, hatched beyond the limit, with named lines at limit and percentiles.

use super::WIDTH_PAPER_MM;
use super::field::{FOOT_MM, Field, TICK_MM, widest_label_mm};
use super::label_row::{self, Label, ROW_MM, SLANT_MM};
use super::paper::{Paper, Type, pair};
use crate::figure::{Anchor, Histogram};

/// Room above the row of labels for the name of the upright axis and the note.
const HEAD_MM: f64 = 5.0;
/// Room right of the field, for half a tick label.
const RIGHT_MM: f64 = 5.0;
/// Height of the field.
const HEIGHT_MM: f64 = 52.0;
/// Labels of limits stay before those of percentiles.
const WEIGHT_OF_LIMIT: f64 = 2.0;

/// Draws a histogram.
pub fn draw(paper: &mut Paper, histogram: &Histogram) {
    let field = field_of(histogram);
    paper.text(Type::Text, [0.0, 3.6], Anchor::Start, &histogram.y.label);
    paper.text(Type::Text, [field.right(), 3.6], Anchor::End, &histogram.note);
    for tick in &field.y.ticks {
        paper.line("f-grid", [field.left, field.y(tick.value)], [field.right(), field.y(tick.value)]);
    }
    draw_bins(paper, &field, histogram);
    field.draw_ticks(paper, true);
    let corners = [[field.left, field.top], [field.left, field.bottom()], [field.right(), field.bottom()]];
    paper.polyline("f-axis", &corners);
    draw_flags(paper, &field, histogram);
    let middle = field.left + 0.5 * field.width;
    paper.text(Type::Text, [middle, field.bottom() + FOOT_MM - 1.5], Anchor::Middle, &histogram.x.label);
    paper.height_mm = field.bottom() + FOOT_MM;
}

/// Where the bins lie.
pub fn field_of(histogram: &Histogram) -> Field<'_> {
    let left = 3.0 + TICK_MM + widest_label_mm(&histogram.y.ticks);
    Field {
        left,
        top: HEAD_MM + ROW_MM + SLANT_MM,
        width: WIDTH_PAPER_MM - left - RIGHT_MM,
        height: HEIGHT_MM,
        x: &histogram.x,
        y: &histogram.y,
    }
}

/// Bins that hold as a filled area, the others hatched, and the outline of both.
fn draw_bins(paper: &mut Paper, field: &Field<'_>, histogram: &Histogram) {
    let areas = |wanted: bool| -> String {
        let bin = |(index, share): (usize, &f64)| {
            let from = histogram.first_edge + index as f64 * histogram.bin_width;
            (holds(histogram, from + 0.5 * histogram.bin_width) == wanted && *share > 0.0).then(|| {
                let (low, high) = (field.bottom(), field.y(*share));
                let (from, to) = (field.x(from), field.x(from + histogram.bin_width));
                let corners = [[from, low], [from, high], [to, high], [to, low]].map(pair);
                format!("M{}Z", corners.join("L"))
            })
        };
        histogram.shares.iter().enumerate().filter_map(bin).collect()
    };
    let (holding, failing) = (areas(true), areas(false));
    if !holding.is_empty() {
        paper.path("f-fill-deep-tint", &holding);
    }
    if !failing.is_empty() {
        paper.hatched_path("hatch-left", &failing);
    }
    paper.polyline("f-edge", &outline(field, histogram));
}

/// Whether the middle of a bin keeps to the limit, and so the whole bin: the limit lies on an edge.
fn holds(histogram: &Histogram, middle: f64) -> bool {
    histogram.limit.as_ref().is_none_or(|limit| (middle <= limit.value) == limit.is_upper)
}

/// The upper edge of all bins from the base line and back to it.
fn outline(field: &Field<'_>, histogram: &Histogram) -> Vec<[f64; 2]> {
    let edge = |index: usize| field.x(histogram.first_edge + index as f64 * histogram.bin_width);
    let mut points = vec![[edge(0), field.bottom()]];
    for (index, share) in histogram.shares.iter().enumerate() {
        let y = field.y(*share);
        points.extend([[edge(index), y], [edge(index + 1), y]]);
    }
    points.push([edge(histogram.shares.len()), field.bottom()]);
    points
}

fn draw_flags(paper: &mut Paper, field: &Field<'_>, histogram: &Histogram) {
    let labels: Vec<Label<'_>> = histogram
        .flags
        .iter()
        .map(|flag| Label {
            x: field.x(flag.x),
            from_y: field.bottom(),
            lines: &flag.label,
            kind: if flag.is_limit { Type::Limit } else { Type::Label },
            class: if flag.is_limit { "f-limit" } else { "f-rule" },
            weight: if flag.is_limit { WEIGHT_OF_LIMIT } else { 1.0 },
        })
        .collect();
    label_row::draw(paper, &labels, [0.0, WIDTH_PAPER_MM], HEAD_MM);
}
