//! `make`: the shop files of the disc, one set for each differing disc.

use crate::arguments::Make;
use crate::exit::Exit;
use crate::failure::{Failure, parse_quantity};
use crate::job::Job;
use crate::output::{self, OutputFile, Overwrite};
use crate::terminal::Terminal;
use reducer::units::Dimension;

/// Finest and coarsest tolerance that a shop file is written with.
const TOLERANCE_MM: (f64, f64) = (1e-5, 1.0);

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Make, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let tolerance_mm = tolerance_mm(&arguments.tolerance)?;
    let job = Job::load(&arguments.file, terminal)?;
    let files = shop_files(&job, tolerance_mm)?;
    let names: Vec<String> = files.iter().map(|file| file.name.clone()).collect();
    let written = output::write_set(&arguments.out, &job.file.sha256, files, overwrite)?;
    job.tell_written(&names, &written, terminal)?;
    Ok(job.exit())
}

/// The tolerance that the flag asks for.
///
/// # Errors
/// [`Failure::Usage`] if it is no length, or out of range.
pub fn tolerance_mm(text: &str) -> Result<f64, Failure> {
    let tolerance_mm = parse_quantity("--tolerance", text, Dimension::Length)?;
    let (finest, coarsest) = TOLERANCE_MM;
    if (finest..=coarsest).contains(&tolerance_mm) {
        return Ok(tolerance_mm);
    }
    Err(Failure::Usage {
        message: format!("--tolerance is out of range: {text}"),
        hint: "from \"0.01 µm\" to \"1 mm\"".to_owned(),
    })
}

/// The shop files as output files.
///
/// # Errors
/// [`Failure::NoPart`] if the shape can not be made, which the checks of the drive then say too.
pub fn shop_files(job: &Job, tolerance_mm: f64) -> Result<Vec<OutputFile>, Failure> {
    let files = exchange::shop_files(&job.file, &job.assessment, tolerance_mm)?;
    Ok(files.into_iter().map(OutputFile::from).collect())
}
