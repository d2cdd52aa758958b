//! Pictures of drives for the page: small sections without dimensions, with ids that differ between drives.

use crate::compute::guarded;
use reducer::model::Drive;
use reducer::profile::LobeProfile;
use sheet::Figure;
use sheet::figure::{Body, Mark};
use sheet::figures::{SECTION_CRANK_ANGLE_RAD, section};
use sheet::svg::{self, Theme};

/// Section of a drive without dimensions, as SVG in the page's colours; empty where it cannot be drawn.
///
/// The name keeps the ids of several pictures on one page apart.
#[must_use]
pub fn small_section(drive: &Drive, name: &str) -> String {
    let [picture] = small_sections([(drive, name)]);
    picture
}

/// Sections as those of [`small_section`], all to one scale: each has the room of the largest.
#[must_use]
pub fn small_sections<const COUNT: usize>(drives: [(&Drive, &str); COUNT]) -> [String; COUNT] {
    let mut figures = drives.map(|(drive, name)| guarded(|| bare_section(drive, name)).ok());
    let drawings = || {
        figures.iter().flatten().filter_map(|figure| match &figure.body {
            Body::Drawing(drawing) => Some(drawing),
            _ => None,
        })
    };
    let lowest = |axis: usize| drawings().map(|drawing| drawing.min_mm[axis]).fold(f64::INFINITY, f64::min);
    let highest =
        |axis: usize| drawings().map(|drawing| drawing.max_mm[axis]).fold(f64::NEG_INFINITY, f64::max);
    let (min_mm, max_mm) = ([0, 1].map(lowest), [0, 1].map(highest));
    for figure in figures.iter_mut().flatten() {
        if let Body::Drawing(drawing) = &mut figure.body {
            (drawing.min_mm, drawing.max_mm) = (min_mm, max_mm);
        }
    }
    figures.map(|figure| {
        figure.and_then(|figure| guarded(|| svg::render(&figure, Theme::Page)).ok()).unwrap_or_default()
    })
}

fn bare_section(drive: &Drive, name: &str) -> Figure {
    let mut figure = section(drive, &LobeProfile::of(&drive.geometry), SECTION_CRANK_ANGLE_RAD);
    figure.id = format!("section-{}", id_part(name));
    if let Body::Drawing(drawing) = &mut figure.body {
        drawing.marks.retain(|mark| !matches!(mark, Mark::Dimension(_) | Mark::Label { .. }));
        drawing.callouts.clear();
        drawing.legend.clear();
        drawing.margin_paper_mm = [1.0; 4];
    }
    figure
}

/// A name as a part of an id: letters, digits and hyphens, and different for different names.
fn id_part(name: &str) -> String {
    let letter = |byte: u8| match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' => char::from(byte).to_string(),
        other => format!("_{other:02x}"),
    };
    name.bytes().map(letter).collect()
}
