//! `deliver`: the whole job, from the drive file to report, shop files, results and verdict.

use super::{check, loads, make, report};
use crate::arguments::Make;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, OutputFile, Overwrite};
use crate::terminal::Terminal;
use ::report::ReportError;
use ::schema::Poses;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Make, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let tolerance_mm = make::tolerance_mm(&arguments.tolerance)?;
    let job = Job::load(&arguments.file, terminal)?;
    let mut files = Vec::new();
    match report::pdf(&job, None) {
        Ok(bytes) => files.push(OutputFile { name: "report.pdf".to_owned(), bytes }),
        Err(error @ ReportError::BuiltWithoutPdf) => {
            terminal.remark(&format!("caution: no report.pdf: {error}"));
        }
        Err(error) => return Err(error.into()),
    }
    match make::shop_files(&job, tolerance_mm) {
        Ok(shop_files) => files.extend(shop_files),
        // A shape that can not be made is a failed check, and the report says which.
        Err(Failure::NoPart(reason)) if job.exit() == Exit::CheckFails => {
            terminal.remark(&format!("no shop files: {reason}"));
        }
        Err(failure) => return Err(failure),
    }
    files.push(OutputFile {
        name: "results.json".to_owned(),
        bytes: job.results_json(Poses::RatedCase)?.into_bytes(),
    });
    if let Some(rated) = job.assessment.load_cases.iter().position(|case| case.id == "rated") {
        files.push(OutputFile { name: "loads.csv".to_owned(), bytes: loads::csv(&job, rated)? });
    }
    let names: Vec<String> = files.iter().map(|file| file.name.clone()).collect();
    let written = output::write_set(&arguments.out, &job.file.sha256, files, overwrite)?;
    job.tell_written(&names, &written, terminal)?;
    if !terminal.json {
        terminal.data(&check::verdict(&job, terminal))?;
    }
    Ok(job.exit())
}
