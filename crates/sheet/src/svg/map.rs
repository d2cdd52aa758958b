//! Maps as SVG: coloured cells in panels under each other over one common axis, each with its scale of colours.

use super::WIDTH_PAPER_MM;
use super::colour_scale::{LEVEL_COUNT, class, level, text_class};
use super::field::{FOOT_MM, Field, GAP_MM, HEAD_MM, TICK_MM, widest_label_mm};
use super::paper::{Paper, Type, number};
use crate::figure::{Anchor, Axis, Map, MapPanel};
use crate::markup::Markup;

/// From the field to the bar of colours.
const BAR_GAP_MM: f64 = 5.0;
/// Width of the bar of colours.
const BAR_MM: f64 = 3.6;
/// By how much a cell reaches over its neighbours, so that no seam shows.
const OVERLAP_MM: f64 = 0.04;

/// Draws a map.
pub fn draw(paper: &mut Paper, map: &Map) {
    let fields = fields(map);
    for (index, (panel, field)) in map.panels.iter().zip(&fields).enumerate() {
        paper.open_group(&panel.name);
        draw_panel(paper, field, panel, index + 1 == map.panels.len());
        paper.close_group();
    }
    let Some(last) = fields.last() else { return };
    let below = last.bottom() + FOOT_MM;
    paper.text(Type::Text, [last.left + 0.5 * last.width, below - 1.5], Anchor::Middle, &map.x.label);
    paper.height_mm = below;
}

/// The fields of the panels, one under another.
pub fn fields(map: &Map) -> Vec<Field<'_>> {
    let widest = |of: fn(&MapPanel) -> &Axis| {
        map.panels.iter().map(move |panel| widest_label_mm(&of(panel).ticks)).fold(0.0, f64::max)
    };
    let left = 2.0 + TICK_MM + widest(|panel| &panel.y);
    let right = BAR_GAP_MM + BAR_MM + TICK_MM + 1.0 + widest(|panel| &panel.scale);
    let width = WIDTH_PAPER_MM - left - right;
    let mut top = 0.0;
    let mut fields = Vec::new();
    for panel in &map.panels {
        let height = panel.height_paper_mm;
        let field = Field { left, top: top + HEAD_MM, width, height, x: &map.x, y: &panel.y };
        top = field.bottom() + GAP_MM;
        fields.push(field);
    }
    fields
}

fn draw_panel(paper: &mut Paper, field: &Field<'_>, panel: &MapPanel, has_x_labels: bool) {
    paper.text(Type::Text, [0.0, field.top - 2.9], Anchor::Start, &panel.y.label);
    paper.text(Type::Text, [WIDTH_PAPER_MM, field.top - 2.9], Anchor::End, &panel.scale.label);
    draw_cells(paper, field, panel);
    for guide in &panel.guides {
        for piece in &guide.pieces {
            let points: Vec<[f64; 2]> =
                piece.iter().map(|point| [field.x(point[0]), field.y(point[1])]).collect();
            paper.polyline("f-guide", &points);
        }
    }
    draw_cell_labels(paper, field, panel);
    field.draw_ticks(paper, has_x_labels);
    frame(paper, [field.left, field.top], field.width, field.height);
    draw_scale(paper, field, &panel.scale);
}

/// All cells of a level in one path; neighbours of the same level in a row as one rectangle.
fn draw_cells(paper: &mut Paper, field: &Field<'_>, panel: &MapPanel) {
    let mut paths = vec![String::new(); LEVEL_COUNT];
    for (row, cells) in panel.cells.iter().enumerate() {
        let levels: Vec<Option<usize>> =
            cells.iter().map(|cell| cell.map(|value| level(value, panel.scale.range))).collect();
        let (low, high) = (field.y(panel.y_edges[row]), field.y(panel.y_edges[row + 1]));
        let mut start = 0;
        while start < levels.len() {
            let own = levels[start];
            let end = (start..levels.len()).find(|&index| levels[index] != own).unwrap_or(levels.len());
            if let Some(own) = own {
                let (from, to) = (field.x(panel.x_edges[start]), field.x(panel.x_edges[end]));
                // Over the neighbours by a hair, but never out of the field.
                let (left, right) =
                    ((from - OVERLAP_MM).max(field.left), (to + OVERLAP_MM).min(field.right()));
                let (top, bottom) =
                    ((high - OVERLAP_MM).max(field.top), (low + OVERLAP_MM).min(field.bottom()));
                let (x, y) = (number(left), number(top));
                let (width, height) = (number(right - left), number(bottom - top));
                paths[own].push_str(&format!("M{x} {y}h{width}v{height}h-{width}z"));
            }
            start = end;
        }
    }
    for (level, path) in paths.iter().enumerate().filter(|(_, path)| !path.is_empty()) {
        paper.path(&class(level), path);
    }
}

fn draw_cell_labels(paper: &mut Paper, field: &Field<'_>, panel: &MapPanel) {
    for (row, labels) in panel.cell_labels.iter().enumerate() {
        let middle = 0.5 * (field.y(panel.y_edges[row]) + field.y(panel.y_edges[row + 1]));
        for (column, label) in labels.iter().enumerate() {
            let Some(value) = panel.cells[row][column] else { continue };
            let centre = 0.5 * (field.x(panel.x_edges[column]) + field.x(panel.x_edges[column + 1]));
            let class = text_class(level(value, panel.scale.range));
            paper.classed_text(class, [centre, middle + 0.9], Anchor::Middle, &Markup::words(label.as_str()));
        }
    }
}

fn frame(paper: &mut Paper, [left, top]: [f64; 2], width: f64, height: f64) {
    let (right, bottom) = (left + width, top + height);
    paper.polyline("f-axis", &[[left, top], [right, top], [right, bottom], [left, bottom], [left, top]]);
}

/// The bar of colours in its steps, as high as the field, with its ticks.
fn draw_scale(paper: &mut Paper, field: &Field<'_>, scale: &Axis) {
    let left = field.right() + BAR_GAP_MM;
    let step = field.height / LEVEL_COUNT as f64;
    for level in 0..LEVEL_COUNT {
        let bottom = field.bottom() - level as f64 * step;
        let below = if level == 0 { 0.0 } else { OVERLAP_MM };
        paper.rectangle(&class(level), [left, bottom - step], BAR_MM, step + below);
    }
    frame(paper, [left, field.top], BAR_MM, field.height);
    let at = |value: f64| {
        field.bottom() - field.height * (value - scale.range[0]) / (scale.range[1] - scale.range[0])
    };
    for tick in &scale.ticks {
        let y = at(tick.value);
        paper.line("f-axis", [left + BAR_MM, y], [left + BAR_MM + TICK_MM, y]);
        let label = Markup::words(tick.label.as_str());
        paper.text(Type::Small, [left + BAR_MM + TICK_MM + 0.8, y + 0.85], Anchor::Start, &label);
    }
}
