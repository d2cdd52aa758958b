//! `deliver`: the whole job, from the drive file to report, shop files, results and verdict.

use super::{assemblies, check, loads, make, report};
use crate::arguments::Deliver;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, OutputFile, Overwrite};
use crate::terminal::Terminal;
use ::report::ReportError;
use ::schema::{DocumentKind, Poses, ResultDocument};
use reducer::assembly::study::StudyError;
use reducer::assembly::summary::YieldResult;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Deliver, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let tolerance_mm = make::tolerance_mm(&arguments.make.tolerance)?;
    let job = Job::load(&arguments.make.file, terminal)?;
    let study = match arguments.assemblies.map(|count| study(&job, count, terminal)).transpose()? {
        Some((_, true)) => {
            terminal.talk(&format!("interrupted; nothing was written to {}", arguments.make.out.display()));
            return Ok(Exit::Interrupted);
        }
        Some((result, false)) => result,
        None => None,
    };
    let mut files = Vec::new();
    match report::pdf(&job, study.as_ref()) {
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
    if let Some(result) = &study {
        let document = ResultDocument::new(&job.file, DocumentKind::Yield.word(), result).to_json()?;
        files.push(OutputFile { name: "yield.json".to_owned(), bytes: document.into_bytes() });
    }
    if let Some(rated) = job.assessment.load_cases.iter().position(|case| case.id == "rated") {
        files.push(OutputFile { name: "loads.csv".to_owned(), bytes: loads::csv(&job, rated)? });
    }
    let names: Vec<String> = files.iter().map(|file| file.name.clone()).collect();
    let written = output::write_set(&arguments.make.out, &job.file.sha256, files, overwrite)?;
    job.tell_written(&names, &written, terminal)?;
    if !terminal.json {
        terminal.data(&check::verdict(&job, terminal))?;
    }
    Ok(job.exit())
}

/// The study of assembled drives, and whether somebody asked to end it; none where nothing meshes, which the checks say too.
fn study(job: &Job, count: u64, terminal: Terminal) -> Result<(Option<YieldResult>, bool), Failure> {
    match assemblies::study_without_load(&job.file.drive, count) {
        Ok((result, is_interrupted)) => Ok((Some(result), is_interrupted)),
        Err(reason @ StudyError::NoMesh) if job.exit() == Exit::CheckFails => {
            terminal.remark(&format!("no assemblies: {}", Failure::from(reason)));
            Ok((None, false))
        }
        Err(error) => Err(error.into()),
    }
}
