//! `figure`: one figure of the report as SVG.

use crate::arguments::Figure;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;
use reducer::profile::LobeProfile;
use sheet::svg::Theme;
use sheet::{figures, svg};
use std::path::Path;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Figure, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let job = Job::load(&arguments.file, terminal)?;
    let drive = &job.file.drive;
    let all = figures::all(drive, &LobeProfile::of(&drive.geometry), &job.assessment);
    let Some(figure) = all.iter().find(|figure| figure.id == arguments.name) else {
        let names: Vec<&str> = all.iter().map(|figure| figure.id.as_str()).collect();
        return Err(Failure::Usage {
            message: format!("there is no figure `{}`", arguments.name),
            hint: format!("this drive has {}", names.join(", ")),
        });
    };
    let image = svg::render(figure, Theme::Light);
    if arguments.out == Path::new("-") {
        terminal.data(&image)?;
    } else {
        let written = output::write_result(&arguments.out, &job.file.sha256, image.into_bytes(), overwrite)?;
        job.tell_written(&[arguments.out.display().to_string()], &written, terminal)?;
    }
    Ok(job.exit())
}
