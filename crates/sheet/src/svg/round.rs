//! Values over a whole turn as SVG: frames side by side with rings at round values and spokes every 30°, the scale as a ruler beside them.

use super::WIDTH_PAPER_MM;
use super::paper::{Paper, SMALL_MM, Type, pair, width_mm};
use crate::figure::{Anchor, RoundChart, RoundCurve};
use crate::markup::Markup;
use curves::math::sin_cos;
use reducer::units::radians;
use std::f64::consts::TAU;

/// Largest radius of a rim.
const LARGEST_RADIUS_MM: f64 = 46.0;
/// Room above the rim for titles and the label of the upright spoke.
const HEAD_MM: f64 = 15.0;
/// Room under the rim for the label of the downward spoke.
const FOOT_MM: f64 = 6.0;
/// Room between rim and labels of the spokes.
const RIM_MM: f64 = 1.6;
/// Room left and right of a rim for the labels of the spokes.
const SIDE_MM: f64 = 9.0;
/// Place of the ruler, with its labels left of it.
const RULER_MM: f64 = 12.0;
/// Spokes.
const SPOKE_COUNT: usize = 12;

/// Where a frame lies on paper.
pub struct Frame<'a> {
    centre: [f64; 2],
    rim_mm: f64,
    chart: &'a RoundChart,
}

impl Frame<'_> {
    fn radius_mm(&self, value: f64) -> f64 {
        let [low, high] = self.chart.radius.range;
        self.rim_mm * (value - low) / (high - low)
    }

    fn towards(&self, angle_rad: f64, distance_mm: f64) -> [f64; 2] {
        let (sine, cosine) = sin_cos(angle_rad);
        [self.centre[0] + distance_mm * cosine, self.centre[1] - distance_mm * sine]
    }

    fn at(&self, angle_deg: f64, value: f64) -> [f64; 2] {
        self.towards(radians(angle_deg), self.radius_mm(value))
    }

    /// The square round the rim: left, top, width, height.
    pub fn square(&self) -> [f64; 4] {
        super::square_round(self.centre, self.rim_mm)
    }
}

/// Draws values over a whole turn.
pub fn draw(paper: &mut Paper, chart: &RoundChart) {
    paper.text(Type::Text, [0.0, 3.6], Anchor::Start, &chart.radius.label);
    paper.text(Type::Text, [WIDTH_PAPER_MM, 3.6], Anchor::End, &chart.scale);
    let frames = frames(chart);
    if let Some(first) = frames.first() {
        draw_ruler(paper, first);
    }
    for (frame, curve) in frames.iter().zip(&chart.curves) {
        paper.open_group(&curve.name);
        draw_frame(paper, frame, &curve.label);
        draw_curve(paper, frame, curve);
        paper.close_group();
    }
    let rim_mm = frames.first().map_or(LARGEST_RADIUS_MM, |frame| frame.rim_mm);
    paper.height_mm = HEAD_MM + 2.0 * rim_mm + FOOT_MM;
}

/// The frames from left to right.
pub fn frames(chart: &RoundChart) -> Vec<Frame<'_>> {
    let share = (WIDTH_PAPER_MM - RULER_MM) / chart.curves.len().max(1) as f64;
    let rim_mm = (0.5 * share - SIDE_MM).min(LARGEST_RADIUS_MM);
    let centre = |index: usize| [RULER_MM + (index as f64 + 0.5) * share, HEAD_MM + rim_mm];
    (0..chart.curves.len()).map(|index| Frame { centre: centre(index), rim_mm, chart }).collect()
}

fn draw_frame(paper: &mut Paper, frame: &Frame<'_>, title: &Markup) {
    let radius = &frame.chart.radius;
    paper.text(Type::Text, [frame.centre[0], HEAD_MM - 6.0], Anchor::Middle, title);
    for tick in &radius.ticks {
        let class = if tick.value < radius.range[1] { "f-grid" } else { "f-axis" };
        paper.circle(class, frame.centre, frame.radius_mm(tick.value));
    }
    let innermost = radius.ticks.first().map_or(0.0, |tick| frame.radius_mm(tick.value));
    for spoke in 0..SPOKE_COUNT {
        let angle_rad = TAU * spoke as f64 / SPOKE_COUNT as f64;
        paper.line("f-grid", frame.towards(angle_rad, innermost), frame.towards(angle_rad, frame.rim_mm));
        let label = Markup::words(format!("{}°", spoke * 360 / SPOKE_COUNT));
        // The label touches a circle round the rim with the side that faces it.
        let [x, y] = frame.towards(angle_rad, frame.rim_mm + RIM_MM);
        let (sine, cosine) = sin_cos(angle_rad);
        let at = [x + 0.5 * width_mm(&label, SMALL_MM) * cosine, y + 0.85 - 1.1 * sine];
        paper.text(Type::Small, at, Anchor::Middle, &label);
    }
    paper.text(
        Type::Small,
        [frame.centre[0], frame.centre[1] + 0.9],
        Anchor::Middle,
        &frame.chart.angle.label,
    );
}

/// The band between least and greatest values, and its edges; one line where they are the same.
fn draw_curve(paper: &mut Paper, frame: &Frame<'_>, curve: &RoundCurve) {
    if curve.points.is_empty() {
        return;
    }
    let closed = |which: usize| -> String {
        let points: Vec<String> =
            curve.points.iter().map(|point| pair(frame.at(point[0], point[which]))).collect();
        format!("M{}Z", points.join("L"))
    };
    let (least, greatest) = (closed(1), closed(2));
    if least == greatest {
        paper.path("f-first", &least);
    } else {
        paper.even_odd_path("f-fill-deep-tint", &format!("{greatest}{least}"));
        paper.path("f-first-fine", &least);
        paper.path("f-first-fine", &greatest);
    }
}

/// The scale along the upright spoke of the first frame, drawn left of it where it covers nothing.
fn draw_ruler(paper: &mut Paper, frame: &Frame<'_>) {
    let ticks = &frame.chart.radius.ticks;
    let y = |value: f64| frame.centre[1] - frame.radius_mm(value);
    if let (Some(first), Some(last)) = (ticks.first(), ticks.last()) {
        paper.line("f-axis", [RULER_MM, y(first.value)], [RULER_MM, y(last.value)]);
    }
    for tick in ticks {
        paper.line("f-axis", [RULER_MM - 1.2, y(tick.value)], [RULER_MM, y(tick.value)]);
        let label = Markup::words(tick.label.as_str());
        paper.text(Type::Small, [RULER_MM - 2.0, y(tick.value) + 0.85], Anchor::End, &label);
    }
}
