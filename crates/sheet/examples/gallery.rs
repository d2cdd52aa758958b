//! Draws the figures of a drive file as SVG into a folder: `gallery drive.toml folder`.

use reducer::profile::LobeProfile;
use sheet::{figures, svg};
use std::error::Error;
use std::path::Path;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let (Some(file), Some(folder)) = (arguments.next(), arguments.next()) else {
        return Err("usage: gallery drive.toml folder".into());
    };
    let drive = schema::read(&file, &std::fs::read(&file)?)
        .map_err(|error| error.render(schema::Colour::Plain))?
        .drive;
    let outline = LobeProfile::of(&drive.geometry);
    for (name, angle) in [("section", figures::SECTION_CRANK_ANGLE_RAD), ("section-oblique", 0.6)] {
        let figure = figures::section(&drive, &outline, angle);
        let path = Path::new(&folder).join(format!("{name}.svg"));
        std::fs::write(path, svg::render(&figure, svg::Theme::Print))?;
    }
    let assessment = reducer::assess::assess(&drive)?;
    for figure in figures::all(&drive, &outline, &assessment) {
        let path = Path::new(&folder).join(format!("{}.svg", figure.id));
        std::fs::write(path, svg::render(&figure, svg::Theme::Print))?;
    }
    Ok(())
}
