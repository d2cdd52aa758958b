//! Charts as SVG: panels under each other over one common axis.

use super::WIDTH_PAPER_MM;
use super::field::{FOOT_MM, Field, GAP_MM, HEAD_MM, TICK_MM, widest_label_mm};
use super::paper::{Paper, SMALL_MM, TEXT_MM, Type, width_mm};
use crate::figure::{Anchor, Chart, Panel, Rule, Series, SeriesStyle, Span};
use crate::markup::Markup;

/// Room right of the field, for half a tick label.
const RIGHT_MM: f64 = 5.0;
/// Length of a line in the legend.
const SAMPLE_MM: f64 = 8.0;

/// Draws a chart.
pub fn draw(paper: &mut Paper, chart: &Chart) {
    let widest = chart.panels.iter().map(|panel| widest_label_mm(&panel.y.ticks)).fold(0.0, f64::max);
    let left = 3.0 + TICK_MM + widest;
    let width = WIDTH_PAPER_MM - left - RIGHT_MM;
    let mut top = 0.0;
    for (index, panel) in chart.panels.iter().enumerate() {
        let head = HEAD_MM + if legend_shares_line(panel, width) { 0.0 } else { 4.5 };
        let x = panel.detail_x.as_ref().unwrap_or(&chart.x);
        let field = Field { left, top: top + head, width, height: panel.height_paper_mm, x, y: &panel.y };
        // A panel shares its axis with the next one, unless either is a detail.
        let next = chart.panels.get(index + 1);
        let has_foot = next.is_none_or(|next| next.detail_x.is_some() || panel.detail_x.is_some());
        draw_panel(paper, &field, panel, top, has_foot);
        top = field.bottom() + GAP_MM;
        if has_foot {
            let middle = left + 0.5 * width;
            paper.text(Type::Text, [middle, field.bottom() + FOOT_MM - 1.5], Anchor::Middle, &x.label);
            paper.height_mm = field.bottom() + FOOT_MM;
            top = field.bottom() + FOOT_MM + GAP_MM;
        }
    }
}

fn legend_width(panel: &Panel) -> f64 {
    panel.series.iter().map(|series| SAMPLE_MM + 1.5 + 5.0 + width_mm(&series.label, SMALL_MM)).sum()
}

fn legend_shares_line(panel: &Panel, width: f64) -> bool {
    panel.series.len() < 2 || legend_width(panel) + width_mm(&panel.y.label, TEXT_MM) + 4.0 < width
}

fn draw_panel(paper: &mut Paper, field: &Field<'_>, panel: &Panel, top: f64, has_x_labels: bool) {
    paper.text(Type::Text, [0.0, top + 3.6], Anchor::Start, &panel.y.label);
    if panel.series.len() > 1 {
        draw_legend(paper, field, panel);
    }
    draw_grid(paper, field, has_x_labels);
    for rule in panel.rules.iter().filter(|rule| !rule.is_limit) {
        draw_rule(paper, field, rule);
    }
    for series in &panel.series {
        draw_series(paper, field, series);
    }
    for rule in panel.rules.iter().filter(|rule| rule.is_limit) {
        draw_rule(paper, field, rule);
    }
    for span in &panel.spans {
        draw_span(paper, field, span);
    }
}

/// Length of a dimension's arrowheads.
const HEAD_LENGTH_MM: f64 = 2.0;
/// How far extension lines go beyond the dimension line.
const BEYOND_MM: f64 = 1.0;

/// Extension lines from both points to the dimension line, the line, and its text beside it in the middle.
fn draw_span(paper: &mut Paper, field: &Field<'_>, span: &Span) {
    let x = field.x(span.x);
    let [low, high] = [field.y(span.from[1]), field.y(span.to[1])];
    for (point, y) in [(span.from, low), (span.to, high)] {
        let start = field.x(point[0]);
        let beyond = if x > start { BEYOND_MM } else { -BEYOND_MM };
        paper.line("f-dimension", [start, y], [x + beyond, y]);
    }
    if low - high > 2.0 * HEAD_LENGTH_MM {
        paper.line("f-dimension", [x, low], [x, high]);
        paper.arrowhead("f-dimension-head", [x, low], [0.0, 1.0], HEAD_LENGTH_MM);
        paper.arrowhead("f-dimension-head", [x, high], [0.0, -1.0], HEAD_LENGTH_MM);
    } else {
        // Too short for arrowheads inside: they point at it from both sides.
        paper.line("f-dimension", [x, low + 2.0 * HEAD_LENGTH_MM], [x, high - 2.0 * HEAD_LENGTH_MM]);
        paper.arrowhead("f-dimension-head", [x, low], [0.0, -1.0], HEAD_LENGTH_MM);
        paper.arrowhead("f-dimension-head", [x, high], [0.0, 1.0], HEAD_LENGTH_MM);
    }
    let label: &Markup = &span.label;
    paper.text_on_patch(Type::Label, [x + 1.2, 0.5 * (low + high) + 0.9], Anchor::Start, label);
}

fn draw_legend(paper: &mut Paper, field: &Field<'_>, panel: &Panel) {
    let y = field.top - 2.6;
    let mut x = field.right() - legend_width(panel) + 5.0;
    for series in &panel.series {
        paper.line(series_class(series.style), [x, y - 0.9], [x + SAMPLE_MM, y - 0.9]);
        paper.text(Type::Small, [x + SAMPLE_MM + 1.5, y], Anchor::Start, &series.label);
        x += SAMPLE_MM + 1.5 + 5.0 + width_mm(&series.label, SMALL_MM);
    }
}

fn draw_grid(paper: &mut Paper, field: &Field<'_>, has_x_labels: bool) {
    for tick in &field.y.ticks {
        paper.line("f-grid", [field.left, field.y(tick.value)], [field.right(), field.y(tick.value)]);
    }
    for tick in &field.x.ticks {
        paper.line("f-grid", [field.x(tick.value), field.top], [field.x(tick.value), field.bottom()]);
    }
    field.draw_ticks(paper, has_x_labels);
    let corners = [[field.left, field.top], [field.left, field.bottom()], [field.right(), field.bottom()]];
    paper.polyline("f-axis", &corners);
}

fn draw_rule(paper: &mut Paper, field: &Field<'_>, rule: &Rule) {
    let range = if rule.is_level { field.y.range } else { field.x.range };
    if rule.value < range[0] || rule.value > range[1] {
        return;
    }
    let (class, kind) = if rule.is_limit { ("f-limit", Type::Limit) } else { ("f-rule", Type::Small) };
    if rule.is_level {
        let y = field.y(rule.value);
        paper.line(class, [field.left, y], [field.right(), y]);
        // Below the line where there is no room above it.
        let place = if y - field.top > 4.0 { y - 1.1 } else { y + 3.0 };
        paper.text_on_patch(kind, [field.right() - 1.0, place], Anchor::End, &rule.label);
    } else {
        let x = field.x(rule.value);
        paper.line(class, [x, field.top], [x, field.bottom()]);
        let is_left = field.right() - x > width_mm(&rule.label, SMALL_MM) + 2.0;
        let (place, anchor) = if is_left { (x + 1.0, Anchor::Start) } else { (x - 1.0, Anchor::End) };
        paper.text_on_patch(kind, [place, field.top + 3.0], anchor, &rule.label);
    }
}

/// Draws a curve, cut off where it leaves the field upwards or downwards.
fn draw_series(paper: &mut Paper, field: &Field<'_>, series: &Series) {
    for piece in &series.pieces {
        for run in runs_inside(piece, field.y.range) {
            let points: Vec<[f64; 2]> =
                run.iter().map(|point| [field.x(point[0]), field.y(point[1])]).collect();
            paper.polyline(series_class(series.style), &simplified(&points));
        }
    }
}

/// The pieces of a curve between two levels, with the crossings of the levels added.
fn runs_inside(piece: &[[f64; 2]], range: [f64; 2]) -> Vec<Vec<[f64; 2]>> {
    let mut runs: Vec<Vec<[f64; 2]>> = Vec::new();
    let mut run: Vec<[f64; 2]> = Vec::new();
    let slack = 1e-9 * (range[1] - range[0]);
    let is_inside = |value: f64| value >= range[0] - slack && value <= range[1] + slack;
    for (index, &point) in piece.iter().enumerate() {
        if let Some(&previous) = index.checked_sub(1).and_then(|before| piece.get(before)) {
            let mut crossings: Vec<[f64; 2]> = range
                .iter()
                .filter(|&&level| (previous[1] - level) * (point[1] - level) < 0.0)
                .map(|&level| {
                    let share = (level - previous[1]) / (point[1] - previous[1]);
                    [previous[0] + share * (point[0] - previous[0]), level]
                })
                .collect();
            crossings.sort_by(|a, b| a[0].total_cmp(&b[0]));
            run.extend(crossings);
        }
        if is_inside(point[1]) {
            run.push(point);
        } else if !run.is_empty() {
            runs.push(std::mem::take(&mut run));
        }
    }
    runs.push(run);
    runs.retain(|run| run.len() > 1);
    runs
}

/// Points without those that lie within a hundredth of a millimetre of the line between their neighbours.
fn simplified(points: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let mut kept: Vec<[f64; 2]> = Vec::with_capacity(points.len());
    for (index, &point) in points.iter().enumerate() {
        let is_end = index == 0 || index + 1 == points.len();
        let is_straight = !is_end && {
            let (before, after) = (kept[kept.len() - 1], points[index + 1]);
            let span = [after[0] - before[0], after[1] - before[1]];
            let offset = [point[0] - before[0], point[1] - before[1]];
            let cross = span[0] * offset[1] - span[1] * offset[0];
            let length = curves::math::hypot(span[0], span[1]);
            length < 2.0 && (cross.abs() < 0.003 * length || length == 0.0)
        };
        if !is_straight {
            kept.push(point);
        }
    }
    kept
}

/// Class of a curve.
pub fn series_class(style: SeriesStyle) -> &'static str {
    match style {
        SeriesStyle::First => "f-first",
        SeriesStyle::Second => "f-second",
        SeriesStyle::Third => "f-third",
        SeriesStyle::Quiet => "f-quiet",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_curves_are_cut_at_the_edge_of_their_field() {
        let runs = runs_inside(&[[0.0, 0.5], [1.0, 2.5], [2.0, 0.5], [3.0, 0.0]], [0.0, 1.5]);
        assert_eq!(runs.len(), 2);
        assert_eq!(runs[0], [[0.0, 0.5], [0.5, 1.5]]);
        assert_eq!(runs[1], [[1.5, 1.5], [2.0, 0.5], [3.0, 0.0]]);
    }

    #[test]
    fn identity_straight_runs_keep_their_ends() {
        let points: Vec<[f64; 2]> = (0..=10).map(|index| [0.1 * f64::from(index), 1.0]).collect();
        assert_eq!(simplified(&points), [[0.0, 1.0], [1.0, 1.0]]);
    }
}
