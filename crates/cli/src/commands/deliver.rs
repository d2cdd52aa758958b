//! `deliver`: the whole job, from the drive file to report, shop files, results and verdict.

use super::{check, make};
use crate::arguments::Make;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, OutputFile, Overwrite};
use crate::terminal::Terminal;
use server::delivery::deliver;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Make, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let tolerance_mm = make::tolerance_mm(&arguments.tolerance)?;
    let job = Job::load(&arguments.file, terminal)?;
    let delivery = deliver(&job.file, &job.assessment, tolerance_mm)?;
    for remark in &delivery.remarks {
        terminal.remark(remark);
    }
    let files: Vec<OutputFile> = delivery.files.into_iter().map(OutputFile::from).collect();
    let names: Vec<String> = files.iter().map(|file| file.name.clone()).collect();
    let written = output::write_set(&arguments.out, &job.file.sha256, files, overwrite)?;
    job.tell_written(&names, &written, terminal)?;
    if !terminal.json {
        terminal.data(&check::verdict(&job, terminal))?;
    }
    Ok(job.exit())
}
