//! Pictures of drives for the page: small sections without dimensions, with ids that differ between drives.

use crate::compute::guarded;
use reducer::model::Drive;
use reducer::profile::LobeProfile;
use sheet::figure::{Body, Mark};
use sheet::figures::{SECTION_CRANK_ANGLE_RAD, section};
use sheet::svg::{self, Theme};

/// Section of a drive without dimensions, as SVG in the page's colours; empty where it cannot be drawn.
///
/// The name keeps the ids of several pictures on one page apart.
#[must_use]
pub fn small_section(drive: &Drive, name: &str) -> String {
    guarded(|| {
        let mut figure = section(drive, &LobeProfile::of(&drive.geometry), SECTION_CRANK_ANGLE_RAD);
        figure.id = format!("section-{}", id_part(name));
        if let Body::Drawing(drawing) = &mut figure.body {
            drawing.marks.retain(|mark| !matches!(mark, Mark::Dimension(_) | Mark::Label { .. }));
            drawing.callouts.clear();
            drawing.legend.clear();
            drawing.margin_paper_mm = [1.0; 4];
        }
        svg::render(&figure, Theme::Page)
    })
    .unwrap_or_default()
}

/// A name as a part of an id: letters, digits and hyphens, and different for different names.
fn id_part(name: &str) -> String {
    let letter = |byte: u8| match byte {
        b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' => char::from(byte).to_string(),
        other => format!("_{other:02x}"),
    };
    name.bytes().map(letter).collect()
}
