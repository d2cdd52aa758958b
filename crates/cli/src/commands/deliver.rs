//! `deliver`: the whole job, from the drive file to report, shop files, results and verdict.

use super::{assemblies, check, make};
use crate::arguments::{Deliver, Lot};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, OutputFile, Overwrite};
use crate::terminal::Terminal;
use reducer::assembly::study::StudyError;
use reducer::assembly::summary::YieldResult;
use server::delivery::deliver;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Deliver, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let tolerance_mm = make::tolerance_mm(&arguments.make.tolerance)?;
    let mut job = Job::load(&arguments.make.file, terminal)?;
    let study = match study(&job, &arguments.lot, terminal)? {
        Some((_, true)) => {
            terminal.talk(&format!("interrupted; nothing was written to {}", arguments.make.out.display()));
            return Ok(Exit::Interrupted);
        }
        study => study.map(|(result, _)| result),
    };
    if let Some(study) = &study {
        study.judge(&mut job.assessment.findings);
    }
    let delivery = deliver(&job.file, &job.assessment, study.as_ref(), tolerance_mm)?;
    for remark in &delivery.remarks {
        terminal.remark(remark);
    }
    let files: Vec<OutputFile> = delivery.files.into_iter().map(OutputFile::from).collect();
    let names: Vec<String> = files.iter().map(|file| file.name.clone()).collect();
    let written = output::write_set(&arguments.make.out, &job.file.sha256, files, overwrite)?;
    job.tell_written(&names, &written, terminal)?;
    if !terminal.json {
        terminal.data(&check::verdict(&job, terminal))?;
    }
    Ok(job.exit())
}

/// The study of assembled drives, and whether somebody asked to end it; none where nothing meshes, which the checks say too.
fn study(job: &Job, lot: &Lot, terminal: Terminal) -> Result<Option<(YieldResult, bool)>, Failure> {
    match assemblies::of_lot(&job.file.drive, lot) {
        Err(reason @ StudyError::NoMesh) if job.exit() == Exit::CheckFails => {
            terminal.remark(&format!("no assemblies: {}", Failure::from(reason)));
            Ok(None)
        }
        study => Ok(study?),
    }
}
