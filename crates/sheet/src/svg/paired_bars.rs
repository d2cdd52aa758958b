//! Bars in columns side by side as SVG: an outlined bar for the whole, a dark narrower one in it for the part.

use super::WIDTH_PAPER_MM;
use super::paper::{Paper, SMALL_MM, Type, width_mm};
use crate::figure::{Anchor, Axis, PairedBars, PartBar};
use crate::markup::Markup;
use crate::metrics::{self, STAND_IN_STRETCH};

/// Height of a row whose label has one line, and for each further line.
const ROW_MM: f64 = 5.2;
const LINE_MM: f64 = 3.1;
/// Heights of the whole bar and of the part in it.
const WHOLE_MM: f64 = 3.2;
const PART_MM: f64 = 1.5;
/// Widest label before it is broken into lines, whatever the face.
const LABEL_MM: f64 = 56.0;
/// Shortest confidence interval that can be told from the end of its bar.
const LEAST_BOUND_MM: f64 = 0.6;
/// Room above the rows for the titles of the columns.
const HEAD_MM: f64 = 6.0;
/// Room under the rows for ticks, the name of the axis and the legend.
const FOOT_MM: f64 = 16.0;
/// Room between columns.
const GAP_MM: f64 = 5.0;

/// Bars of one column on paper.
struct Field<'a> {
    left: f64,
    right: f64,
    axis: &'a Axis,
}

impl Field<'_> {
    fn x(&self, value: f64) -> f64 {
        let [low, high] = self.axis.range;
        self.left + (self.right - self.left) * (value.clamp(low, high) - low) / (high - low)
    }
}

/// Draws bars in columns.
pub fn draw(paper: &mut Paper, bars: &PairedBars) {
    let label_lines: Vec<Vec<String>> = bars
        .rows
        .iter()
        .map(|row| metrics::broken_into_lines(&row.label, LABEL_MM / (SMALL_MM * STAND_IN_STRETCH)))
        .collect();
    let heights: Vec<f64> =
        label_lines.iter().map(|lines| ROW_MM + LINE_MM * (lines.len() - 1) as f64).collect();
    let bottom = HEAD_MM + heights.iter().sum::<f64>();
    let lines = label_lines.iter().flatten();
    let widest_mm = lines.map(|line| SMALL_MM * metrics::width_ratio(line)).fold(0.0, f64::max);
    let label_mm = STAND_IN_STRETCH * widest_mm + 1.0;
    let fields = fields(bars, label_mm);
    for (field, column) in fields.iter().zip(&bars.columns) {
        draw_axis(paper, field, &column.title, bottom);
    }
    let mut top = HEAD_MM;
    for ((row, lines), height) in bars.rows.iter().zip(&label_lines).zip(&heights) {
        let middle = top + 0.5 * height;
        for (index, line) in lines.iter().enumerate() {
            let base = middle + 0.9 + (index as f64 - 0.5 * (lines.len() - 1) as f64) * LINE_MM;
            paper.text(Type::Label, [label_mm, base], Anchor::End, &Markup::words(line.as_str()));
        }
        for (field, bar) in fields.iter().zip(&row.bars) {
            draw_bar(paper, field, bar, middle);
        }
        top += height;
    }
    draw_legend(paper, bars, bottom + FOOT_MM - 2.0);
    paper.height_mm = bottom + FOOT_MM;
}

/// Columns of one width, each with room for its widest text behind the bars.
fn fields(bars: &PairedBars, label_mm: f64) -> Vec<Field<'_>> {
    let start = label_mm + 2.0;
    let width = (WIDTH_PAPER_MM - start + GAP_MM) / bars.columns.len().max(1) as f64 - GAP_MM;
    bars.columns
        .iter()
        .enumerate()
        .map(|(index, column)| {
            let texts = bars.rows.iter().filter_map(|row| row.bars.get(index));
            let text_mm =
                STAND_IN_STRETCH * texts.map(|bar| width_mm(&bar.text, SMALL_MM)).fold(0.0, f64::max);
            let left = start + index as f64 * (width + GAP_MM);
            Field { left, right: left + width - text_mm - 2.5, axis: &column.axis }
        })
        .collect()
}

fn draw_axis(paper: &mut Paper, field: &Field<'_>, title: &Markup, bottom: f64) {
    paper.text(Type::Text, [field.left, 3.6], Anchor::Start, title);
    for tick in &field.axis.ticks {
        let x = field.x(tick.value);
        let class = if tick.value == field.axis.range[0] { "f-axis" } else { "f-grid" };
        paper.line(class, [x, HEAD_MM - 0.5], [x, bottom + 1.0]);
        let label = Markup::words(tick.label.as_str());
        paper.text(Type::Small, [x, bottom + 3.9], Anchor::Middle, &label);
    }
    let middle = 0.5 * (field.left + field.right);
    paper.text(Type::Text, [middle, bottom + 8.3], Anchor::Middle, &field.axis.label);
}

fn draw_bar(paper: &mut Paper, field: &Field<'_>, bar: &PartBar, middle: f64) {
    let zero = field.x(0.0);
    draw_both(paper, [zero, field.x(bar.whole)], field.x(bar.part), middle);
    let [low, high] = [bar.whole - bar.whole_bound, bar.whole + bar.whole_bound].map(|x| field.x(x));
    if high - low > LEAST_BOUND_MM {
        draw_bound(paper, [low, high], middle);
    }
    let behind = field.right + 2.0;
    paper.text(Type::Small, [behind, middle + 0.9], Anchor::Start, &bar.text);
}

/// The whole from one place to another, and the part from the same place.
fn draw_both(paper: &mut Paper, [from, whole]: [f64; 2], part: f64, middle: f64) {
    for class in ["f-fill-deep-tint", "f-fine-edge"] {
        paper.rectangle(class, [from, middle - 0.5 * WHOLE_MM], whole - from, WHOLE_MM);
    }
    if part > from {
        paper.rectangle("f-fill-first", [from, middle - 0.5 * PART_MM], part - from, PART_MM);
    }
}

/// A confidence interval: a level line with short upright ends.
fn draw_bound(paper: &mut Paper, [low, high]: [f64; 2], middle: f64) {
    paper.line("f-edge", [low, middle], [high, middle]);
    for end in [low, high] {
        paper.line("f-edge", [end, middle - 0.7], [end, middle + 0.7]);
    }
}

fn draw_legend(paper: &mut Paper, bars: &PairedBars, y: f64) {
    let sample_mm = 7.0;
    let labels = [&bars.whole_label, &bars.part_label, &bars.bound_label];
    let widths = labels.map(|label| sample_mm + 1.5 + STAND_IN_STRETCH * width_mm(label, SMALL_MM) + 6.0);
    let mut x = 0.5 * (WIDTH_PAPER_MM + 6.0 - widths.iter().sum::<f64>());
    for (index, (label, width)) in labels.into_iter().zip(widths).enumerate() {
        let middle = y - 0.9;
        match index {
            0 => draw_both(paper, [x, x + sample_mm], x, middle),
            1 => paper.rectangle("f-fill-first", [x, middle - 0.5 * PART_MM], sample_mm, PART_MM),
            _ => draw_bound(paper, [x, x + sample_mm], middle),
        }
        paper.text(Type::Small, [x + sample_mm + 1.5, y], Anchor::Start, label);
        x += width;
    }
}
