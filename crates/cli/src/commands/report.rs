//! `report`: the report of a drive as PDF.

use crate::arguments::Report;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file, or could not be computed or written.
pub fn run(arguments: &Report, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let job = Job::load(&arguments.file, terminal)?;
    let Some(bytes) = pdf(&job)? else {
        return Err(Failure::Usage {
            message: "this program was built without the report".to_owned(),
            hint: "build it with its default features".to_owned(),
        });
    };
    let written = output::write_result(&arguments.out, &job.file.sha256, bytes, overwrite)?;
    job.tell_written(&[arguments.out.display().to_string()], &written, terminal)?;
    Ok(job.exit())
}

/// The report; `None` if the program was built without it.
///
/// # Errors
/// [`Failure::Report`] if it can not be typeset.
pub fn pdf(_job: &Job) -> Result<Option<Vec<u8>>, Failure> {
    Ok(None)
}
