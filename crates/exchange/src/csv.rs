//! Profile points as comma-separated values: place, normal and radius of curvature along the outline.

use crate::soundness::check_plate;
use crate::{Export, ExportError, ExportOptions, PointSpacing, fixed};
use curves::plate::Plate;
use curves::{CurvePoint, sampling};

/// Table of points on the outline, with a few comment lines that begin with `#`.
pub struct Csv;

impl Export for Csv {
    fn format(&self) -> &'static str {
        "CSV"
    }

    fn extension(&self) -> &'static str {
        "csv"
    }

    fn write(&self, plate: &Plate, options: &ExportOptions) -> Result<Vec<u8>, ExportError> {
        check_plate(plate)?;
        let parameters = parameters(plate, options)?;
        let mut writer = csv::Writer::from_writer(heading(plate, options, parameters.len()).into_bytes());
        writer.write_record(COLUMNS).map_err(writer_error)?;
        for parameter in parameters {
            writer.write_record(record(parameter, &plate.outline.at(parameter))).map_err(writer_error)?;
        }
        writer.into_inner().map_err(|error| writer_error(error.into_error().into()))
    }
}

/// Column names; those without a unit are direction cosines.
pub const COLUMNS: [&str; 6] =
    ["parameter_rad", "x_mm", "y_mm", "normal_x", "normal_y", "radius_of_curvature_mm"];

/// Curvature below which the outline counts as straight (1/mm); a radius over a kilometre says nothing.
const STRAIGHT_PER_MM: f64 = 1e-6;

fn parameters(plate: &Plate, options: &ExportOptions) -> Result<Vec<f64>, ExportError> {
    let outline = plate.outline.as_ref();
    match options.spacing {
        PointSpacing::Count(point_count) if point_count < 3 => Err(ExportError::TooFewPoints { point_count }),
        PointSpacing::Count(point_count) => Ok(sampling::by_count(outline, point_count)),
        PointSpacing::ChordTolerance => sampling::by_chord_tolerance(outline, options.tolerance_mm)
            .map_err(|source| ExportError::Fit { part: plate.name.clone(), source }),
    }
}

fn heading(plate: &Plate, options: &ExportOptions, point_count: usize) -> String {
    let spacing = match options.spacing {
        PointSpacing::ChordTolerance => {
            format!("chords within {} mm of the exact profile", options.tolerance_mm)
        }
        PointSpacing::Count(_) => "even in the parameter".to_owned(),
    };
    let mut lines = vec![format!("part: {}", one_line(&plate.name))];
    if !options.revision.is_empty() {
        lines.push(format!("revision: {}", one_line(&options.revision)));
    }
    lines.push(format!("points: {point_count}, {spacing}; anticlockwise, closed by the first point"));
    lines.extend(options.notes.iter().map(|note| one_line(note)));
    lines.push("frame: disc centre at the origin; normal points out of the material".to_owned());
    lines.push("radius of curvature: positive convex, negative concave, empty where straight".to_owned());
    lines.iter().map(|line| format!("# {line}\n")).collect()
}

/// Text without line ends, which would break out of a comment line.
pub(crate) fn one_line(text: &str) -> String {
    text.chars().map(|letter| if letter.is_control() { ' ' } else { letter }).collect()
}

fn record(parameter: f64, at: &CurvePoint) -> [String; 6] {
    let normal = at.outward_normal();
    let radius = if at.curvature_per_mm.abs() > STRAIGHT_PER_MM {
        fixed(at.radius_of_curvature_mm(), 6)
    } else {
        String::new()
    };
    [
        fixed(parameter, 12),
        fixed(at.position_mm.x, 9),
        fixed(at.position_mm.y, 9),
        fixed(normal.x, 12),
        fixed(normal.y, 12),
        radius,
    ]
}

#[expect(clippy::needless_pass_by_value, reason = "shape that map_err asks for")]
pub(crate) fn writer_error(error: csv::Error) -> ExportError {
    ExportError::Writer { format: "CSV", detail: error.to_string() }
}
