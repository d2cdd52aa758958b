//! Bars to both sides of zero as SVG: one a row, its end shaped by the standing of the check.

use super::WIDTH_PAPER_MM;
use super::paper::{Paper, SMALL_MM, Type, pair, width_mm};
use crate::figure::{Anchor, Bar, Bars};
use crate::markup::Markup;
use crate::metrics;
use reducer::finding::Standing;

/// Height of a row whose label has one line.
const ROW_MM: f64 = 4.9;
/// Further height for each further line of a label.
const LINE_MM: f64 = 3.1;
/// Height of a bar.
const BAR_MM: f64 = 2.4;
/// Widest label before it is broken into lines.
const LABEL_MM: f64 = 76.0;
/// Room under the bars for ticks and the name of the axis.
const FOOT_MM: f64 = 11.0;

/// Draws a set of bars.
pub fn draw(paper: &mut Paper, bars: &Bars) {
    let label_lines: Vec<Vec<String>> =
        bars.rows.iter().map(|row| metrics::broken_into_lines(&row.label, LABEL_MM / SMALL_MM)).collect();
    let text_width = bars.rows.iter().map(|row| width_mm(&row.text, SMALL_MM)).fold(0.0, f64::max);
    let (left, right) = (LABEL_MM + 6.0, WIDTH_PAPER_MM - text_width - 4.0);
    let at = |value: f64| {
        left + (right - left) * (value - bars.axis.range[0]) / (bars.axis.range[1] - bars.axis.range[0])
    };
    let heights: Vec<f64> =
        label_lines.iter().map(|lines| ROW_MM + LINE_MM * (lines.len() - 1) as f64).collect();
    let bottom = 1.0 + heights.iter().sum::<f64>();
    for tick in &bars.axis.ticks {
        let class = if tick.value == 0.0 { "f-axis" } else { "f-grid" };
        paper.line(class, [at(tick.value), 0.0], [at(tick.value), bottom + 1.0]);
        let label = Markup::words(tick.label.as_str());
        paper.text(Type::Small, [at(tick.value), bottom + 4.2], Anchor::Middle, &label);
    }
    let mut top = 1.0;
    for ((row, lines), height) in bars.rows.iter().zip(&label_lines).zip(&heights) {
        let middle = top + 0.5 * height;
        for (index, line) in lines.iter().enumerate() {
            let base = middle + 1.0 + (index as f64 - 0.5 * (lines.len() - 1) as f64) * LINE_MM;
            paper.text(Type::Label, [LABEL_MM + 0.5, base], Anchor::End, &Markup::words(line.as_str()));
        }
        draw_bar(paper, bars, row, middle, &at);
        paper.text(Type::Small, [WIDTH_PAPER_MM, middle + 0.9], Anchor::End, &row.text);
        top += height;
    }
    paper.text(Type::Text, [0.5 * (left + right), bottom + 8.6], Anchor::Middle, &bars.axis.label);
    paper.height_mm = bottom + FOOT_MM;
}

/// A bar from zero to its value; broken short of the edge where the value lies beyond the axis.
fn draw_bar(paper: &mut Paper, bars: &Bars, row: &Bar, middle: f64, at: &dyn Fn(f64) -> f64) {
    let class = match row.standing {
        Standing::Holds => "f-holds",
        Standing::Doubtful => "f-doubtful",
        Standing::Fails => "f-fails",
        Standing::NoLimit | Standing::NotAssessed => "f-not-assessed",
    };
    let clipped = row.value.clamp(bars.axis.range[0], bars.axis.range[1]);
    let (zero, end) = (at(0.0), at(clipped));
    let (top, bottom) = (middle - 0.5 * BAR_MM, middle + 0.5 * BAR_MM);
    paper.rectangle(class, [zero.min(end), top], (end - zero).abs().max(0.5), BAR_MM);
    if clipped != row.value {
        let gap = if end > zero { -4.0 } else { 4.0 };
        let slash =
            |shift: f64| [[end + gap + shift - 0.6, bottom + 0.5], [end + gap + shift + 0.6, top - 0.5]];
        let ([a, b], [d, c]) = (slash(-0.5), slash(0.5));
        let data = format!("M{}L{}L{}L{}Z", pair(a), pair(b), pair(c), pair(d));
        paper.path("f-fill-sheet", &data);
    }
    let x = if row.value < 0.0 { end - 2.6 } else { end + 2.6 };
    draw_end_mark(paper, row.standing, class, [x, middle]);
}

/// The shape that tells the standing without colour: cross, triangle, or nothing.
fn draw_end_mark(paper: &mut Paper, standing: Standing, class: &str, [x, y]: [f64; 2]) {
    match standing {
        Standing::Fails => {
            let arm = 1.1;
            let bar = |from: [f64; 2], to: [f64; 2]| format!("M{}L{}", pair(from), pair(to));
            let cross =
                bar([x - arm, y - arm], [x + arm, y + arm]) + &bar([x - arm, y + arm], [x + arm, y - arm]);
            paper.path("f-cross", &cross);
        }
        Standing::Doubtful => {
            let data =
                format!("M{}L{}L{}Z", pair([x, y - 1.3]), pair([x + 1.3, y + 1.0]), pair([x - 1.3, y + 1.0]));
            paper.path(class, &data);
        }
        Standing::Holds | Standing::NoLimit | Standing::NotAssessed => {}
    }
}
