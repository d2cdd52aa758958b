//! The notes on the drawing: what the part is, how exact the outline is, and a table of holes.

use super::{HoleGroup, groups};
use crate::{ExportOptions, tidy};
use curves::arcs::ArcOutline;
use curves::plate::{Plate, RoundHole};
use curves::point::angle_of;
use reducer::units::degrees;

/// All note lines, top to bottom.
///
/// `%%c` and `%%d` are the drawing format's own signs for diameter and degree, so that the lines stay ASCII.
pub(super) fn lines(plate: &Plate, options: &ExportOptions, outline: &ArcOutline) -> Vec<String> {
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
            format!("{} %%c{diameter_mm:.4} at centre", only.name)
        }
        [only] => format!("{}, %%c{diameter_mm:.4}", place(only)),
        several => format!(
            "{} holes %%c{diameter_mm:.4} through on hole circle %%c{:.4}, first at {:.4}%%d from the x axis",
            several.len(),
            2.0 * group.circle_radius_mm(),
            angle_deg(several[0])
        ),
    }
}

fn place(hole: &RoundHole) -> String {
    format!("  {}: x {:.4}  y {:.4}", hole.name, tidy(hole.centre_mm.x), tidy(hole.centre_mm.y))
}

fn angle_deg(hole: &RoundHole) -> f64 {
    tidy(degrees(angle_of(hole.centre_mm.coords)))
}
