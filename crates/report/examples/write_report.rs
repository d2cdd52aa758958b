//! Writes the report of a drive file: `write_report drive.toml report.pdf`.

use std::error::Error;

fn main() -> Result<(), Box<dyn Error>> {
    let mut arguments = std::env::args().skip(1);
    let (Some(from), Some(to)) = (arguments.next(), arguments.next()) else {
        return Err("usage: write_report drive.toml report.pdf".into());
    };
    let file =
        schema::read(&from, &std::fs::read(&from)?).map_err(|error| error.render(schema::Colour::Plain))?;
    let assessment = reducer::assess::assess(&file.drive)?;
    let accuracy = reducer::accuracy::summary::accuracy(&file.drive, &assessment, Default::default()).ok();
    let input = report::ReportInput {
        file: &file,
        assessment: &assessment,
        accuracy: accuracy.as_ref(),
        study: None,
        program_version: env!("CARGO_PKG_VERSION"),
    };
    std::fs::write(to, report::pdf(&input)?)?;
    Ok(())
}
