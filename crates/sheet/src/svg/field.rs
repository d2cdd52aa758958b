//! The field of a chart or map on paper: what its axes map to where, and its ticks.

use super::paper::{Paper, SMALL_MM, Type};
use crate::figure::{Anchor, Axis, Tick};
use crate::markup::Markup;
use crate::metrics;

/// Room for the name of the upright axis above a field.
pub const HEAD_MM: f64 = 6.5;
/// Room between fields under each other.
pub const GAP_MM: f64 = 4.0;
/// Room for ticks and the name of the common axis under the last field.
pub const FOOT_MM: f64 = 10.5;
/// Length of a tick.
pub const TICK_MM: f64 = 1.2;

/// A field on paper and the ranges that it maps.
pub struct Field<'a> {
    pub left: f64,
    pub top: f64,
    pub width: f64,
    pub height: f64,
    pub x: &'a Axis,
    pub y: &'a Axis,
}

impl Field<'_> {
    pub fn x(&self, value: f64) -> f64 {
        self.left + self.width * (value - self.x.range[0]) / (self.x.range[1] - self.x.range[0])
    }

    pub fn y(&self, value: f64) -> f64 {
        self.top + self.height * (1.0 - (value - self.y.range[0]) / (self.y.range[1] - self.y.range[0]))
    }

    pub fn bottom(&self) -> f64 {
        self.top + self.height
    }

    pub fn right(&self) -> f64 {
        self.left + self.width
    }

    /// Left, top, width, height.
    pub fn sides(&self) -> [f64; 4] {
        [self.left, self.top, self.width, self.height]
    }

    /// Ticks and labels on the left, ticks below, and labels there too if the field is the last one.
    pub fn draw_ticks(&self, paper: &mut Paper, has_x_labels: bool) {
        for tick in &self.y.ticks {
            let y = self.y(tick.value);
            paper.line("f-axis", [self.left - TICK_MM, y], [self.left, y]);
            let label = Markup::words(tick.label.as_str());
            paper.text(Type::Small, [self.left - TICK_MM - 0.8, y + 0.85], Anchor::End, &label);
        }
        for tick in &self.x.ticks {
            let x = self.x(tick.value);
            paper.line("f-axis", [x, self.bottom()], [x, self.bottom() + TICK_MM]);
            if has_x_labels {
                let label = Markup::words(tick.label.as_str());
                paper.text(Type::Small, [x, self.bottom() + TICK_MM + 2.6], Anchor::Middle, &label);
            }
        }
    }
}

/// Width of the widest label.
pub fn widest_label_mm(ticks: &[Tick]) -> f64 {
    ticks.iter().map(|tick| SMALL_MM * metrics::width_ratio(&tick.label)).fold(0.0, f64::max)
}
