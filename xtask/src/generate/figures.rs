//! The figures of the first example, for the README and the documentation.

use super::Generated;
use crate::repository::root;
use reducer::assess::assess;
use reducer::profile::LobeProfile;
use sheet::svg::{self, Theme};
use std::fs;

/// The drive that the documentation shows.
const EXAMPLE: &str = "examples/orchard-arm-shoulder.toml";

/// `docs/figures/*.svg`: every figure of the shoulder drive.
///
/// # Errors
/// What is wrong with the example.
pub fn of_the_shoulder() -> Result<Vec<Generated>, String> {
    let bytes = fs::read(root().join(EXAMPLE)).map_err(|error| format!("{EXAMPLE}: {error}"))?;
    let file = schema::read(EXAMPLE, &bytes).map_err(|wrong| wrong.to_string())?;
    let assessment = assess(&file.drive).map_err(|error| format!("{EXAMPLE}: {error}"))?;
    let outline = LobeProfile::of(&file.drive.geometry);
    let figures = sheet::figures::all(&file.drive, &outline, &assessment);
    let generated = figures.iter().map(|figure| Generated {
        path: format!("docs/figures/{}.svg", figure.id),
        content: svg::render(figure, Theme::Light),
    });
    Ok(generated.collect())
}
