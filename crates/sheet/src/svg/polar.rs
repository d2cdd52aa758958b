//! Polar plots as SVG: frames side by side, rings at round lengths, spokes every 30°, paths of vectors.

use super::paper::{Paper, SMALL_MM, Type, width_mm};
use super::{WIDTH_PAPER_MM, chart};
use crate::figure::{Anchor, Polar, PolarDetail, PolarPanel, Series};
use crate::markup::Markup;
use curves::math::{hypot, sin_cos};
use std::f64::consts::TAU;

/// Room above the rims for title and the label of the upright spoke.
const HEAD_MM: f64 = 11.0;
/// Room under the rims for the label of the downward spoke and the legend.
const FOOT_MM: f64 = 14.0;
/// Room between rim and labels of the spokes.
const RIM_MM: f64 = 1.6;
/// Room left and right of the rims for the labels of the spokes.
const SIDE_MM: f64 = 9.0;
/// Largest radius of a rim.
const LARGEST_RADIUS_MM: f64 = 33.0;
/// Radius of the circle in which a part is drawn larger, and least radius of the one that shows which part.
const DETAIL_MM: f64 = 11.0;
const DETAIL_MARK_MM: f64 = 1.8;
/// Spokes of a frame.
const SPOKE_COUNT: usize = 12;
/// Length of a line in the legend.
const SAMPLE_MM: f64 = 8.0;

/// Where a frame lies on paper.
pub struct Frame<'a> {
    centre: [f64; 2],
    radius_mm: f64,
    panel: &'a PolarPanel,
}

impl Frame<'_> {
    fn at(&self, [x, y]: [f64; 2]) -> [f64; 2] {
        let scale = self.radius_mm / self.panel.radius.range[1];
        [self.centre[0] + scale * x, self.centre[1] - scale * y]
    }

    fn towards(&self, angle_rad: f64, distance_mm: f64) -> [f64; 2] {
        let (sine, cosine) = sin_cos(angle_rad);
        [self.centre[0] + distance_mm * cosine, self.centre[1] - distance_mm * sine]
    }

    /// The square round the rim: left, top, width, height.
    pub fn square(&self) -> [f64; 4] {
        super::square_round(self.centre, self.radius_mm)
    }

    /// The square round the circle in which a part is drawn larger, where there is one.
    pub fn detail_square(&self) -> Option<[f64; 4]> {
        let detail = self.panel.detail.as_ref()?;
        Some(super::square_round(self.at(detail_place(self, detail)), DETAIL_MM))
    }
}

/// Draws a polar plot.
pub fn draw(paper: &mut Paper, polar: &Polar) {
    let frames = frames(polar);
    for frame in &frames {
        paper.open_group(&frame.panel.name);
        draw_frame(paper, frame);
        paper.close_group();
    }
    let bottom = HEAD_MM + 2.0 * radius_mm(polar);
    if let Some(panel) = polar.panels.first() {
        draw_legend(paper, &panel.series, bottom + FOOT_MM - 2.0);
    }
    paper.height_mm = bottom + FOOT_MM;
}

/// Width of paper for each frame.
fn share_mm(polar: &Polar) -> f64 {
    WIDTH_PAPER_MM / polar.panels.len().max(1) as f64
}

fn radius_mm(polar: &Polar) -> f64 {
    (0.5 * share_mm(polar) - SIDE_MM).min(LARGEST_RADIUS_MM)
}

/// The frames from left to right.
pub fn frames(polar: &Polar) -> Vec<Frame<'_>> {
    let (share, radius_mm) = (share_mm(polar), radius_mm(polar));
    let centre = |index: usize| [(index as f64 + 0.5) * share, HEAD_MM + radius_mm];
    polar
        .panels
        .iter()
        .enumerate()
        .map(|(index, panel)| Frame { centre: centre(index), radius_mm, panel })
        .collect()
}

fn draw_frame(paper: &mut Paper, frame: &Frame<'_>) {
    let panel = frame.panel;
    paper.text(Type::Text, [frame.centre[0], 3.6], Anchor::Middle, &panel.title);
    for tick in panel.radius.ticks.iter().filter(|tick| tick.value > 0.0) {
        let class = if tick.value < panel.radius.range[1] { "f-grid" } else { "f-axis" };
        paper.circle(class, frame.centre, frame.radius_mm * tick.value / panel.radius.range[1]);
    }
    for spoke in 0..SPOKE_COUNT {
        draw_spoke(paper, frame, spoke);
    }
    for series in &panel.series {
        for piece in &series.pieces {
            let points: Vec<[f64; 2]> = piece.iter().map(|&point| frame.at(point)).collect();
            paper.polyline(chart::series_class(series.style), &points);
        }
    }
    for arrow in &panel.arrows {
        let (tail, tip) = (frame.at([0.0, 0.0]), frame.at(arrow.tip));
        paper.line("f-edge", tail, tip);
        paper.arrowhead("f-dimension-head", tip, [tip[0] - tail[0], tip[1] - tail[1]], 2.6);
    }
    draw_lengths(paper, frame);
    if let Some(detail) = &panel.detail {
        draw_detail(paper, frame, detail);
    }
    for arrow in &panel.arrows {
        let middle = frame.at([0.5 * arrow.tip[0], 0.5 * arrow.tip[1]]);
        paper.text_on_patch(Type::Small, [middle[0], middle[1] + 0.9], Anchor::Middle, &arrow.label);
    }
}

fn draw_spoke(paper: &mut Paper, frame: &Frame<'_>, spoke: usize) {
    let angle_rad = TAU * spoke as f64 / SPOKE_COUNT as f64;
    paper.line("f-grid", frame.centre, frame.towards(angle_rad, frame.radius_mm));
    let label = Markup::words(format!("{}°", spoke * 360 / SPOKE_COUNT));
    // The label touches a circle round the rim with the side that faces it.
    let [x, y] = frame.towards(angle_rad, frame.radius_mm + RIM_MM);
    let (sine, cosine) = sin_cos(angle_rad);
    let half = 0.5 * width_mm(&label, SMALL_MM);
    let at = [x + half * cosine, y + 0.85 - 1.1 * sine];
    paper.text(Type::Small, at, Anchor::Middle, &label);
}

/// Lengths of the rings along the direction, between two spokes, from which the paths keep farthest.
fn draw_lengths(paper: &mut Paper, frame: &Frame<'_>) {
    let panel = frame.panel;
    let points = || panel.series.iter().flat_map(|series| &series.pieces).flatten().copied();
    let along = |tip: [f64; 2]| (1..=10).map(move |part| tip.map(|value| 0.1 * f64::from(part) * value));
    let arrows = || panel.arrows.iter().flat_map(move |arrow| along(arrow.tip));
    let details = || {
        panel.detail.iter().flat_map(move |detail| along(detail_place(frame, detail).map(|part| 1.8 * part)))
    };
    let taken: Vec<[f64; 2]> = points().chain(arrows()).chain(details()).collect();
    let lengths = || panel.radius.ticks.iter().map(|tick| tick.value).filter(|value| *value > 0.0);
    let room = |angle_rad: f64| {
        let (sine, cosine) = sin_cos(angle_rad);
        let place = |length: f64| [length * cosine, length * sine];
        let away =
            |place: [f64; 2]| taken.iter().map(move |point| hypot(point[0] - place[0], point[1] - place[1]));
        lengths().map(place).flat_map(away).fold(f64::INFINITY, f64::min)
    };
    let between = |spoke: usize| TAU * (spoke as f64 + 0.5) / SPOKE_COUNT as f64;
    let best = (0..SPOKE_COUNT).map(between).max_by(|a, b| room(*a).total_cmp(&room(*b))).unwrap_or(0.0);
    for tick in panel.radius.ticks.iter().filter(|tick| tick.value > 0.0) {
        let [x, y] = frame.towards(best, frame.radius_mm * tick.value / panel.radius.range[1]);
        let label = Markup::words(tick.label.as_str());
        paper.text_on_patch(Type::Small, [x, y + 0.85], Anchor::Middle, &label);
    }
}

/// Where the enlarged circle lies in the unit shown: across the origin from what it shows.
fn detail_place(frame: &Frame<'_>, detail: &PolarDetail) -> [f64; 2] {
    let distance = 0.5 * frame.panel.radius.range[1];
    let length = hypot(detail.centre[0], detail.centre[1]).max(f64::MIN_POSITIVE);
    detail.centre.map(|part| -part / length * distance)
}

/// The paths round a place once more, larger, in a circle with a length to compare.
fn draw_detail(paper: &mut Paper, frame: &Frame<'_>, detail: &PolarDetail) {
    let centre = frame.at(detail_place(frame, detail));
    paper.circle("f-fill-sheet", centre, DETAIL_MM);
    paper.circle("f-axis", centre, DETAIL_MM);
    let own_mm = frame.radius_mm * detail.radius / frame.panel.radius.range[1];
    paper.circle("f-axis", frame.at(detail.centre), own_mm.max(DETAIL_MARK_MM));
    let scale = DETAIL_MM / detail.radius;
    for series in &frame.panel.series {
        for piece in &series.pieces {
            let larger = |point: &[f64; 2]| {
                [
                    centre[0] + scale * (point[0] - detail.centre[0]),
                    centre[1] - scale * (point[1] - detail.centre[1]),
                ]
            };
            let points: Vec<[f64; 2]> = piece.iter().map(larger).collect();
            paper.polyline(chart::series_class(series.style), &points);
        }
    }
    let half = 0.5 * scale * detail.bar.value;
    // In the lower part of the circle, where it stays clear of the rim wherever the circle lies.
    let y = centre[1] + 0.5 * DETAIL_MM;
    paper.line("f-edge", [centre[0] - half, y], [centre[0] + half, y]);
    for end in [-half, half] {
        paper.line("f-edge", [centre[0] + end, y - 0.8], [centre[0] + end, y + 0.8]);
    }
    let label = Markup::words(detail.bar.label.as_str());
    paper.text_on_patch(Type::Small, [centre[0], y + 3.4], Anchor::Middle, &label);
}

/// One line under all frames.
fn draw_legend(paper: &mut Paper, series: &[Series], y: f64) {
    let width = |series: &Series| SAMPLE_MM + 1.5 + width_mm(&series.label, SMALL_MM) + 6.0;
    let mut x = 0.5 * (WIDTH_PAPER_MM + 6.0 - series.iter().map(width).sum::<f64>());
    for one in series {
        paper.line(chart::series_class(one.style), [x, y - 0.9], [x + SAMPLE_MM, y - 0.9]);
        paper.text(Type::Small, [x + SAMPLE_MM + 1.5, y], Anchor::Start, &one.label);
        x += width(one);
    }
}
