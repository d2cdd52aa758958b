//! `figure`: one figure of the report as SVG, or its numbers as CSV.

use crate::arguments::Figure;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, OutputFile, Overwrite};
use crate::terminal::Terminal;
use exchange::figure_csv;
use reducer::accuracy::summary::{Which, accuracy};
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
    let mut all = figures::all(drive, &LobeProfile::of(&drive.geometry), &job.assessment);
    // These take a whole output turn, so they are made only where no other figure is meant.
    if !all.iter().any(|figure| figure.id == arguments.name)
        && let Ok(result) = accuracy(drive, &job.assessment, Which::default())
    {
        all.extend(figures::of_accuracy(&result));
    }
    let Some(figure) = all.iter().find(|figure| figure.id == arguments.name) else {
        let names: Vec<&str> = all.iter().map(|figure| figure.id.as_str()).collect();
        return Err(Failure::Usage {
            message: format!("there is no figure `{}`", arguments.name),
            hint: format!("this drive has {}", names.join(", ")),
        });
    };
    if arguments.out.extension().is_some_and(|extension| extension.eq_ignore_ascii_case("csv")) {
        let Some(table) = figure_csv(figure) else {
            return Err(Failure::Usage {
                message: format!("the figure `{}` is a drawing and has no table of numbers", arguments.name),
                hint: "choose a name that ends in .svg".to_owned(),
            });
        };
        let written = output::write_result(&arguments.out, &job.file.sha256, table?, overwrite)?;
        job.tell_written(&[arguments.out.display().to_string()], &written, terminal)?;
        return Ok(job.exit());
    }
    let image = svg::render(figure, Theme::Light);
    if arguments.out == Path::new("-") {
        terminal.data(&image)?;
    } else {
        let written = output::write_result(&arguments.out, &job.file.sha256, image.into_bytes(), overwrite)?;
        job.tell_written(&[arguments.out.display().to_string()], &written, terminal)?;
    }
    Ok(job.exit())
}

/// Writes figures as SVG into a directory, all or none, and tells people so.
///
/// # Errors
/// What could not be written.
pub fn write_all(
    directory: &Path,
    sha256: &str,
    all: &[sheet::Figure],
    overwrite: Overwrite,
    terminal: Terminal,
) -> Result<(), Failure> {
    let file = |figure: &sheet::Figure| OutputFile {
        name: format!("{}.svg", figure.id),
        bytes: svg::render(figure, Theme::Light).into_bytes(),
    };
    output::write_set(directory, sha256, all.iter().map(file).collect(), overwrite)?;
    for figure in all {
        terminal.remark(&format!("wrote {}", directory.join(format!("{}.svg", figure.id)).display()));
    }
    Ok(())
}
