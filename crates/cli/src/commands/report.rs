//! `report`: the report of a drive as PDF.

use super::assemblies;
use crate::arguments::Report;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;
use ::report::{self as report, ReportError};

/// Runs the command.
///
/// # Errors
/// What is wrong with the file, or could not be computed or written.
pub fn run(arguments: &Report, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let mut job = Job::load(&arguments.file, terminal)?;
    if !cfg!(feature = "pdf") {
        // A study for nothing would take its time.
        return Err(ReportError::BuiltWithoutPdf.into());
    }
    let study = assemblies::of_lot(&job.file.drive, &arguments.lot)?;
    if matches!(study, Some((_, true))) {
        terminal.talk(&format!("interrupted; {} was not written", arguments.out.display()));
        return Ok(Exit::Interrupted);
    }
    let study = study.map(|(result, _)| result);
    if let Some(study) = &study {
        study.judge(&mut job.assessment.findings);
    }
    let bytes = report::pdf_of(&job.file, &job.assessment, study.as_ref())?;
    let written = output::write_result(&arguments.out, &job.file.sha256, bytes, overwrite)?;
    job.tell_written(&[arguments.out.display().to_string()], &written, terminal)?;
    Ok(job.exit())
}
