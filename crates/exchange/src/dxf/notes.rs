//! The notes on the drawing: what the part is, how exact the outline is, and a table of holes.

use super::{HoleGroup, groups};
use crate::{ExportOptions, fixed};
use curves::arcs::ArcOutline;
use curves::plate::{Plate, RoundHole};
use curves::point::angle_of;
use reducer::units::degrees;

/// All note lines, top to bottom, in letters that every reader of the format knows.
pub(super) fn lines(plate: &Plate, options: &ExportOptions, outline: &ArcOutline) -> Vec<String> {
    plain_lines(plate, options, outline).iter().map(|line| in_drawing_signs(line)).collect()
}

/// Degree, diameter and plus-minus as the format's own codes; what is left beyond ASCII the library escapes.
fn in_drawing_signs(line: &str) -> String {
    line.replace('°', "%%d").replace(['Ø', 'ø', '⌀'], "%%c").replace('±', "%%p")
}

fn plain_lines(plate: &Plate, options: &ExportOptions, outline: &ArcOutline) -> Vec<String> {
    let mut lines = vec![title(plate, options)];
    lines.push(format!("thickness {:.3} mm; all lengths in mm; scale 1:1", plate.thickness_mm));
    if !options.material.is_empty() {
        lines.push(format!("material {}", options.material));
    }
    lines.push(format!(
        "outline: {} tangent arcs within {} mm of the exact profile (largest distance found {:.6} mm)",
        outline.arcs.len(),
        options.tolerance_mm,
        outline.worst_deviation_mm
    ));
    lines.extend(options.notes.iter().cloned());
    for group in groups(&plate.holes) {
        lines.push(summary(&group));
        if group.holes.len() > 1 {
            lines.extend(group.holes.iter().map(|hole| place(hole)));
        }
    }
    lines
}

fn title(plate: &Plate, options: &ExportOptions) -> String {
    if options.revision.is_empty() {
        plate.name.clone()
    } else {
        format!("{}   revision {}", plate.name, options.revision)
    }
}

fn summary(group: &HoleGroup<'_>) -> String {
    let diameter_mm = 2.0 * group.radius_mm();
    match group.holes.as_slice() {
        [only] if only.centre_mm.coords.norm() < 1e-9 => {
            format!("{} Ø{diameter_mm:.4} at centre", only.name)
        }
        [only] => format!("{}, Ø{diameter_mm:.4}", place(only)),
        several => format!(
            "{} holes Ø{diameter_mm:.4} through on hole circle Ø{:.4}, first at {}° from the x axis",
            several.len(),
            2.0 * group.circle_radius_mm(),
            fixed(degrees(angle_of(several[0].centre_mm.coords)), 4)
        ),
    }
}

fn place(hole: &RoundHole) -> String {
    format!("  {}: x {}  y {}", hole.name, fixed(hole.centre_mm.x, 4), fixed(hole.centre_mm.y, 4))
}
