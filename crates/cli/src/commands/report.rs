//! `report`: the report of a drive as PDF.

use crate::arguments::Report;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;
use ::report::{ReportError, ReportInput};

/// Runs the command.
///
/// # Errors
/// What is wrong with the file, or could not be computed or written.
pub fn run(arguments: &Report, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let job = Job::load(&arguments.file, terminal)?;
    let bytes = pdf(&job)?;
    let written = output::write_result(&arguments.out, &job.file.sha256, bytes, overwrite)?;
    job.tell_written(&[arguments.out.display().to_string()], &written, terminal)?;
    Ok(job.exit())
}

/// The report.
///
/// # Errors
/// [`ReportError`] if it can not be typeset, or the program was built without it.
pub fn pdf(job: &Job) -> Result<Vec<u8>, ReportError> {
    ::report::pdf(&ReportInput {
        file: &job.file,
        assessment: &job.assessment,
        program_version: env!("CARGO_PKG_VERSION"),
    })
}
