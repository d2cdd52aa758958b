//! DXF drawing of a flat part: outline in true arcs, holes as circles, centre marks, notes.
//!
//! Release R2000, millimetres. The outline is one closed polyline whose bulges are arcs within the
//! tolerance of the exact profile; the notes state that tolerance and what was measured.

mod layout;
mod notes;

use crate::soundness::check_plate;
use crate::{Export, ExportError, ExportOptions, tidy};
use curves::arcs::{ArcOutline, fit_arcs};
use curves::plate::{Plate, RoundHole};
use dxf::entities::{Circle, Entity, EntityType, Line, LwPolyline, Text};
use dxf::enums::{AcadVersion, DrawingUnits, Units};
use dxf::tables::{Layer, LineType};
use dxf::{Color, Drawing, LwPolylineVertex, Point};
use layout::Extent;

/// The DXF writer.
pub struct Dxf;

/// Layer of the outline.
pub const OUTLINE_LAYER: &str = "outline";
/// Layer of bore and holes.
pub const HOLES_LAYER: &str = "holes";
/// Layer of centre marks and hole circles.
pub const CENTRE_LAYER: &str = "centre-lines";
/// Layer of the text.
pub const NOTES_LAYER: &str = "notes";
/// Name of the dash-dot line.
const CENTRE_LINE_TYPE: &str = "centre-line";

impl Export for Dxf {
    fn format(&self) -> &'static str {
        "DXF"
    }

    fn extension(&self) -> &'static str {
        "dxf"
    }

    fn write(&self, plate: &Plate, options: &ExportOptions) -> Result<Vec<u8>, ExportError> {
        check_plate(plate)?;
        let outline = fit_arcs(plate.outline.as_ref(), options.tolerance_mm)
            .map_err(|source| ExportError::Fit { part: plate.name.clone(), source })?;
        let extent = Extent::of(&outline, &plate.holes);
        let mut drawing = empty_drawing(&extent);
        add(&mut drawing, OUTLINE_LAYER, polyline(&outline));
        for hole in &plate.holes {
            add(&mut drawing, HOLES_LAYER, circle(hole.centre_mm, hole.radius_mm));
        }
        for mark in layout::centre_marks(&plate.holes, &extent) {
            add(&mut drawing, CENTRE_LAYER, mark);
        }
        for text in layout::text_block(&notes::lines(plate, options, &outline), &extent) {
            add(&mut drawing, NOTES_LAYER, text);
        }
        bytes_of(&drawing)
    }
}

fn empty_drawing(extent: &Extent) -> Drawing {
    let mut drawing = Drawing::new();
    drawing.header.version = AcadVersion::R2000;
    drawing.header.default_drawing_units = Units::Millimeters;
    drawing.header.drawing_units = DrawingUnits::Metric;
    drawing.header.line_type_scale = 1.0;
    drawing.header.minimum_drawing_extents = Point::new(extent.low.x, extent.low.y, 0.0);
    drawing.header.maximum_drawing_extents = Point::new(extent.high.x, extent.high.y, 0.0);
    // Both identifiers are random by default, which would make every file differ.
    drawing.header.fingerprint_guid = Default::default();
    drawing.header.version_guid = Default::default();
    drawing.add_line_type(centre_line_type(extent));
    for (name, colour_index, line_type) in [
        (OUTLINE_LAYER, 7, "CONTINUOUS"),
        (HOLES_LAYER, 5, "CONTINUOUS"),
        (CENTRE_LAYER, 1, CENTRE_LINE_TYPE),
        (NOTES_LAYER, 8, "CONTINUOUS"),
    ] {
        drawing.add_layer(Layer {
            name: name.to_owned(),
            color: Color::from_index(colour_index),
            line_type_name: line_type.to_owned(),
            ..Layer::default()
        });
    }
    drawing
}

/// Long dash, gap, short dash, gap, in proportion to the part.
fn centre_line_type(extent: &Extent) -> LineType {
    let unit = tidy((0.01 * extent.size_mm()).round().max(0.5));
    let pattern = vec![4.0 * unit, -unit, unit, -unit];
    LineType {
        name: CENTRE_LINE_TYPE.to_owned(),
        description: "centre line: long dash, short dash".to_owned(),
        alignment_code: 'A' as i32,
        element_count: 4,
        total_pattern_length: 7.0 * unit,
        dash_dot_space_lengths: pattern,
        ..LineType::default()
    }
}

fn add(drawing: &mut Drawing, layer: &str, specific: EntityType) {
    let mut entity = Entity::new(specific);
    entity.common.layer = layer.to_owned();
    drawing.add_entity(entity);
}

fn polyline(outline: &ArcOutline) -> EntityType {
    let vertices = outline
        .arcs
        .iter()
        .map(|arc| LwPolylineVertex {
            x: tidy(arc.start_mm.x),
            y: tidy(arc.start_mm.y),
            bulge: (arc.bulge * 1e12).round() / 1e12 + 0.0,
            ..LwPolylineVertex::default()
        })
        .collect();
    let mut polyline = LwPolyline { vertices, ..LwPolyline::default() };
    polyline.set_is_closed(true);
    EntityType::LwPolyline(polyline)
}

fn circle(centre_mm: curves::Point, radius_mm: f64) -> EntityType {
    let centre = Point::new(tidy(centre_mm.x), tidy(centre_mm.y), 0.0);
    EntityType::Circle(Circle::new(centre, tidy(radius_mm)))
}

fn line(from_mm: curves::Point, to_mm: curves::Point) -> EntityType {
    let [from, to] = [from_mm, to_mm].map(|end| Point::new(tidy(end.x), tidy(end.y), 0.0));
    EntityType::Line(Line::new(from, to))
}

fn text(value: &str, place_mm: curves::Point, height_mm: f64) -> EntityType {
    EntityType::Text(Text {
        value: value.to_owned(),
        location: Point::new(tidy(place_mm.x), tidy(place_mm.y), 0.0),
        text_height: tidy(height_mm),
        ..Text::default()
    })
}

/// Header variables that the library fills from the clock, and the fixed time (Julian day) put in their place.
const CLOCK_VARIABLES: [&str; 4] = ["$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"];
const FIXED_JULIAN_DAY: &str = "2451545.0";

/// The file, with the times that hang on clock and time zone overwritten in the text.
fn bytes_of(drawing: &Drawing) -> Result<Vec<u8>, ExportError> {
    let failed = |detail: String| ExportError::Writer { format: "DXF", detail };
    let mut bytes = Vec::new();
    drawing.save(&mut bytes).map_err(|error| failed(error.to_string()))?;
    let text = String::from_utf8(bytes).map_err(|error| failed(error.to_string()))?;
    let mut lines: Vec<&str> = text.split("\r\n").collect();
    for index in 2..lines.len() {
        if CLOCK_VARIABLES.contains(&lines[index - 2]) {
            lines[index] = FIXED_JULIAN_DAY;
        }
    }
    Ok(lines.join("\r\n").into_bytes())
}

/// Holes of one size on one circle about the origin, as a drawing lists them.
struct HoleGroup<'a> {
    holes: Vec<&'a RoundHole>,
}

impl HoleGroup<'_> {
    fn radius_mm(&self) -> f64 {
        self.holes[0].radius_mm
    }

    fn circle_radius_mm(&self) -> f64 {
        self.holes[0].centre_mm.coords.norm()
    }
}

/// Groups holes by size and hole circle, in the order in which they come.
fn groups(holes: &[RoundHole]) -> Vec<HoleGroup<'_>> {
    let mut groups: Vec<HoleGroup<'_>> = Vec::new();
    for hole in holes {
        let belongs = |group: &&mut HoleGroup<'_>| {
            (group.radius_mm() - hole.radius_mm).abs() < 1e-9
                && (group.circle_radius_mm() - hole.centre_mm.coords.norm()).abs() < 1e-9
        };
        match groups.iter_mut().find(belongs) {
            Some(group) => group.holes.push(hole),
            None => groups.push(HoleGroup { holes: vec![hole] }),
        }
    }
    groups
}
