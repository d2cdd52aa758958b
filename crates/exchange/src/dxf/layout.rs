//! Where marks and text stand on the drawing: nothing of it touches the part.

use super::{HoleGroup, circle, groups, line, text};
use curves::arcs::ArcOutline;
use curves::plate::RoundHole;
use curves::point::{Point, Vector};
use dxf::entities::EntityType;

/// Smallest upright rectangle round the part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Extent {
    pub(super) low: Point,
    pub(super) high: Point,
}

impl Extent {
    /// Extent of the arcs' ends and the holes; arcs may bulge past it by less than a text line.
    pub(super) fn of(outline: &ArcOutline, holes: &[RoundHole]) -> Self {
        let ends = outline.arcs.iter().map(|arc| arc.start_mm);
        let corners = holes.iter().flat_map(|hole| {
            let reach = Vector::new(hole.radius_mm, hole.radius_mm);
            [hole.centre_mm - reach, hole.centre_mm + reach]
        });
        let empty = Self {
            low: Point::new(f64::INFINITY, f64::INFINITY),
            high: Point::new(f64::NEG_INFINITY, f64::NEG_INFINITY),
        };
        ends.chain(corners)
            .fold(empty, |extent, point| Self { low: extent.low.inf(&point), high: extent.high.sup(&point) })
    }

    /// Larger side (mm).
    pub(super) fn size_mm(&self) -> f64 {
        (self.high - self.low).max()
    }
}

/// The axes of the part, a cross at every other hole, and the circle on which a group of holes lies.
pub(super) fn centre_marks(holes: &[RoundHole], extent: &Extent) -> Vec<EntityType> {
    let eccentric = holes.iter().filter(|hole| hole.centre_mm.coords.norm() > 0.0);
    let circles = groups(holes).into_iter().filter_map(|group| hole_circle(&group));
    axes(extent).into_iter().chain(eccentric.flat_map(cross_at)).chain(circles).collect()
}

/// Share of the part's size by which its axes reach past the outline.
const AXIS_OVERHANG: f64 = 0.04;
/// Share of a hole's radius by which its centre lines reach past the edge.
const CROSS_OVERHANG: f64 = 0.2;

fn axes(extent: &Extent) -> [EntityType; 2] {
    let overhang_mm = AXIS_OVERHANG * extent.size_mm();
    [
        line(Point::new(extent.low.x - overhang_mm, 0.0), Point::new(extent.high.x + overhang_mm, 0.0)),
        line(Point::new(0.0, extent.low.y - overhang_mm), Point::new(0.0, extent.high.y + overhang_mm)),
    ]
}

fn cross_at(hole: &RoundHole) -> [EntityType; 2] {
    let reach_mm = (1.0 + CROSS_OVERHANG) * hole.radius_mm;
    [Vector::x(), Vector::y()]
        .map(|direction| line(hole.centre_mm - direction * reach_mm, hole.centre_mm + direction * reach_mm))
}

fn hole_circle(group: &HoleGroup<'_>) -> Option<EntityType> {
    (group.holes.len() > 1).then(|| circle(Point::origin(), group.circle_radius_mm()))
}

/// Text below the part, left-aligned with it, line by line.
pub(super) fn text_block(lines: &[String], extent: &Extent) -> Vec<EntityType> {
    let height_mm = (0.02 * extent.size_mm()).max(0.5);
    let pitch_mm = 1.7 * height_mm;
    lines
        .iter()
        .enumerate()
        .map(|(index, value)| {
            let drop_mm = pitch_mm * (index as f64 + 4.5);
            text(value, Point::new(extent.low.x, extent.low.y - drop_mm), height_mm)
        })
        .collect()
}
