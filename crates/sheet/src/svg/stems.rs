//! Stems as SVG: upright lines over a logarithmic axis, the tallest named in a row above the field.

use super::WIDTH_PAPER_MM;
use super::field::{FOOT_MM, GAP_MM, TICK_MM, widest_label_mm};
use super::label_row::{self, Label, ROW_MM, SLANT_MM};
use super::paper::{Paper, Type};
use crate::figure::{Anchor, Axis, StemPanel, Stems};
use crate::markup::Markup;
use curves::math::log10;

/// Room above a row of labels for the name of the upright axis and the panel's title.
const HEAD_MM: f64 = 5.0;
/// Room right of the field, for half a tick label.
const RIGHT_MM: f64 = 5.0;
/// Radius of the dot on a stem.
const DOT_MM: f64 = 0.6;

/// Where a panel lies on paper.
pub struct Field<'a> {
    left: f64,
    right: f64,
    top: f64,
    height: f64,
    x: &'a Axis,
    y: &'a Axis,
}

impl Field<'_> {
    fn x(&self, value: f64) -> f64 {
        let [low, high] = self.x.range.map(log10);
        self.left + (self.right - self.left) * (log10(value) - low) / (high - low)
    }

    fn y(&self, value: f64) -> f64 {
        self.bottom() - self.height * (value - self.y.range[0]) / (self.y.range[1] - self.y.range[0])
    }

    fn bottom(&self) -> f64 {
        self.top + self.height
    }

    /// Left, top, width, height.
    pub fn sides(&self) -> [f64; 4] {
        [self.left, self.top, self.right - self.left, self.height]
    }
}

/// Draws stems.
pub fn draw(paper: &mut Paper, stems: &Stems) {
    let fields = fields(stems);
    for (index, (panel, field)) in stems.panels.iter().zip(&fields).enumerate() {
        let row_top = field.top - SLANT_MM - ROW_MM;
        let base = row_top - HEAD_MM + 3.6;
        paper.open_group(&panel.name);
        paper.text(Type::Text, [0.0, base], Anchor::Start, &panel.y.label);
        paper.text(Type::Text, [field.right, base], Anchor::End, &panel.title);
        draw_axes(paper, field, index + 1 == stems.panels.len());
        draw_panel(paper, field, panel, row_top);
        paper.close_group();
    }
    let Some(last) = fields.last() else { return };
    let middle = 0.5 * (last.left + last.right);
    paper.text(Type::Text, [middle, last.bottom() + FOOT_MM - 1.5], Anchor::Middle, &stems.x.label);
    paper.height_mm = last.bottom() + FOOT_MM;
}

/// The fields of the panels, one under another.
pub fn fields(stems: &Stems) -> Vec<Field<'_>> {
    let widest = stems.panels.iter().map(|panel| widest_label_mm(&panel.y.ticks)).fold(0.0, f64::max);
    let left = 3.0 + TICK_MM + widest;
    let right = WIDTH_PAPER_MM - RIGHT_MM;
    let mut top = 0.0;
    let mut fields = Vec::new();
    for panel in &stems.panels {
        let height = panel.height_paper_mm;
        let field =
            Field { left, right, top: top + HEAD_MM + ROW_MM + SLANT_MM, height, x: &stems.x, y: &panel.y };
        top = field.bottom() + GAP_MM;
        fields.push(field);
    }
    fields
}

fn draw_axes(paper: &mut Paper, field: &Field<'_>, has_x_labels: bool) {
    for tick in &field.y.ticks {
        let y = field.y(tick.value);
        paper.line("f-grid", [field.left, y], [field.right, y]);
        paper.line("f-axis", [field.left - TICK_MM, y], [field.left, y]);
        let label = Markup::words(tick.label.as_str());
        paper.text(Type::Small, [field.left - TICK_MM - 0.8, y + 0.85], Anchor::End, &label);
    }
    for tick in &field.x.ticks {
        let x = field.x(tick.value);
        paper.line("f-grid", [x, field.top], [x, field.bottom()]);
        paper.line("f-axis", [x, field.bottom()], [x, field.bottom() + TICK_MM]);
        if has_x_labels {
            let label = Markup::words(tick.label.as_str());
            paper.text(Type::Small, [x, field.bottom() + TICK_MM + 2.6], Anchor::Middle, &label);
        }
    }
    let corners = [[field.left, field.top], [field.left, field.bottom()], [field.right, field.bottom()]];
    paper.polyline("f-axis", &corners);
}

fn draw_panel(paper: &mut Paper, field: &Field<'_>, panel: &StemPanel, row_top: f64) {
    let labels: Vec<Label<'_>> = panel
        .stems
        .iter()
        .filter(|stem| !stem.label.is_empty())
        .map(|stem| Label {
            x: field.x(stem.x),
            from_y: field.y(stem.value) - DOT_MM,
            lines: &stem.label,
            kind: Type::Label,
            class: "f-construction",
            weight: stem.value,
        })
        .collect();
    label_row::draw(paper, &labels, [0.0, WIDTH_PAPER_MM], row_top);
    for stem in &panel.stems {
        let (x, y) = (field.x(stem.x), field.y(stem.value));
        paper.line("f-first", [x, field.bottom()], [x, y]);
        paper.circle("f-fill-first", [x, y], DOT_MM);
    }
}
