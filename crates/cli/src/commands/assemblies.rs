//! `yield`, and the study of assembled drives that other commands take from it.

pub use super::shards::merge;

use super::shards;
use crate::arguments::{Lot, StudyOutput, Yield};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::interrupt::Watch;
use crate::job::read_drive;
use crate::output::Overwrite;
use crate::parallel;
use crate::terminal::Terminal;
use ::schema::{DriveFile, ResultDocument};
use reducer::assembly::angles::usual_crank_angle_count;
use reducer::assembly::proposal::propose;
use reducer::assembly::random::Sampling;
use reducer::assembly::study::{Request, StudyError};
use reducer::assembly::summary::YieldResult;
use reducer::assembly::work::{Tallied, Work};
use reducer::model::Drive;
use sheet::Table;

/// Runs `yield`.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Yield, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let shard = arguments.shard.as_deref().map(shards::parse).transpose()?;
    if shard.is_some() != arguments.out.is_some() {
        return Err(Failure::Usage {
            message: "`--shard` and `--out` go together".to_owned(),
            hint: "`--shard 1/4 --out shard-1.json` on the first of four machines, then `lobewright merge`"
                .to_owned(),
        });
    }
    let file = read_drive(&arguments.file, terminal)?;
    let output = &arguments.output;
    refuse_vain_proposal(&file, output)?;
    let request = Request {
        assembly_count: arguments.assemblies,
        loaded_count: arguments.loaded.min(arguments.assemblies),
        seed: arguments.seed,
        sampling: Sampling::of(arguments.quasi_random),
        crank_angle_count: arguments
            .crank_angles
            .map_or_else(|| usual_crank_angle_count(&file.drive), |count| count as usize),
    };
    let work = Work::new(&file.drive, request)?;
    let (number, count) = shard.unwrap_or((0, 1));
    let watch = Watch::begin();
    let (tallied, is_interrupted) = count_up(&work, &work.tasks(number, count), arguments.threads);
    match &arguments.out {
        Some(path) => {
            drop(watch);
            let shard = shards::ShardFile::new(&file, &work, (number, count), tallied);
            shards::write(path, &file, &shard, overwrite, terminal)?;
            Ok(if is_interrupted { Exit::Interrupted } else { Exit::AllHold })
        }
        None => finish(&file, &work, &tallied, (watch, is_interrupted), output, overwrite, terminal),
    }
}

/// Shows what a study came to, with a proposal of tolerances and figures where they are asked for; the study is shown even where the
/// search is interrupted.
///
/// # Errors
/// What could not be written.
pub(super) fn finish(
    file: &DriveFile,
    work: &Work,
    tallied: &Tallied,
    (watch, mut is_interrupted): (Watch, bool),
    output: &StudyOutput,
    overwrite: Overwrite,
    terminal: Terminal,
) -> Result<Exit, Failure> {
    let mut result = YieldResult::new(work, tallied, file.drive.tolerances.wanted_yield);
    if output.propose && !is_interrupted {
        terminal.remark("searching for the loosest tolerances");
        if let Ok(proposal) = propose(&file.drive, &work.study, work.loaded.as_ref(), &|| watch.is_asked()) {
            result.proposal = proposal;
        } else {
            is_interrupted = true;
            terminal.talk("interrupted: the study is whole, but no tolerances are proposed");
        }
    }
    drop(watch);
    let exit = show(file, &result, terminal)?;
    if let Some(directory) = &output.figures {
        let figures = sheet::figures::of_study(&result);
        super::figure::write_all(directory, &file.sha256, &figures, overwrite, terminal)?;
    }
    Ok(if is_interrupted { Exit::Interrupted } else { exit })
}

/// Tolerances can only be proposed for a requirement that they decide.
pub(super) fn refuse_vain_proposal(file: &DriveFile, output: &StudyOutput) -> Result<(), Failure> {
    let requirement = &file.drive.requirement;
    let limits = [requirement.geometric_backlash_rad, requirement.transmission_error_rad];
    if !output.propose || limits.iter().any(Option::is_some) {
        return Ok(());
    }
    Err(Failure::Usage {
        message: "`--propose` searches tolerances for a requirement of backlash or transmission error, and the drive file states neither".to_owned(),
        hint: "state `geometric_backlash` or `transmission_error` in [requirement]".to_owned(),
    })
}

/// The study of a lot as `yield` does it when nothing else is said, and whether somebody asked to end it; nothing where none is asked for.
///
/// # Errors
/// What is wrong with the tolerances.
pub(super) fn of_lot(drive: &Drive, lot: &Lot) -> Result<Option<(YieldResult, bool)>, StudyError> {
    let Some(assembly_count) = lot.assemblies else { return Ok(None) };
    let request = Request {
        assembly_count,
        loaded_count: lot.loaded.min(assembly_count),
        seed: lot.seed,
        sampling: Sampling::Random,
        crank_angle_count: usual_crank_angle_count(drive),
    };
    let work = Work::new(drive, request)?;
    let (tallied, is_interrupted) = count_up(&work, &work.tasks(0, 1), None);
    Ok(Some((YieldResult::new(&work, &tallied, drive.tolerances.wanted_yield), is_interrupted)))
}

fn count_up(work: &Work, tasks: &[u64], threads: Option<u16>) -> (Tallied, bool) {
    let thread_count = threads.map_or_else(parallel::usual_thread_count, usize::from);
    let outcome = parallel::run(
        tasks,
        thread_count,
        || work.nothing(),
        |task, tallied| work.run(task, tallied),
        |task| work.assemblies_of(task),
        "assemblies",
    );
    let mut tallied = work.nothing();
    for part in &outcome.parts {
        tallied.merge(part);
    }
    (tallied, outcome.is_interrupted)
}

fn show(file: &DriveFile, result: &YieldResult, terminal: Terminal) -> Result<Exit, Failure> {
    if terminal.json {
        terminal.data(&ResultDocument::new(file, "yield", result).to_json()?)?;
    } else {
        let text = |table: &Table| {
            format!("{}\n\n{}\n", table.title, table.text(terminal.width, terminal.data_coloured))
        };
        let mut page = text(&sheet::distribution_table(result)) + &text(&sheet::tolerance_table(result));
        if let Some(proposal) = &result.proposal {
            page.push_str(&text(&sheet::proposal_table(proposal)));
        }
        for sentence in sheet::yield_sentences(result) {
            for (index, line) in
                sheet::table::wrap(&sheet::Markup::words(sentence), terminal.width - 2).iter().enumerate()
            {
                let indent = if index == 0 { "" } else { "  " };
                page.push_str(&format!("{indent}{}\n", line.plain()));
            }
        }
        terminal.data(&page)?;
    }
    Ok(if result.holds() { Exit::AllHold } else { Exit::CheckFails })
}
