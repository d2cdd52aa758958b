//! `yield` and `merge`: many assembled drives from the tolerances of one drawing.

use crate::arguments::{Merge, Yield};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::read_drive;
use crate::output::{self, Overwrite};
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
use serde::{Deserialize, Serialize};
use sheet::Table;
use std::fs;
use std::path::Path;

/// Number of the format of shard files.
const SHARD_FORMAT: u32 = 1;

/// What one machine of several has counted.
#[derive(Debug, Serialize, Deserialize)]
struct ShardFile {
    format: u32,
    kind: String,
    program: String,
    drive_file_sha256: String,
    request: Request,
    shard: u64,
    shard_count: u64,
    tallied: Tallied,
}

const SHARD_KIND: &str = "yield-shard";

/// Runs `yield`.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Yield, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let shard = arguments.shard.as_deref().map(parse_shard).transpose()?;
    if shard.is_some() != arguments.out.is_some() {
        return Err(Failure::Usage {
            message: "`--shard` and `--out` go together".to_owned(),
            hint: "`--shard 1/4 --out shard-1.json` on the first of four machines, then `lobewright merge`"
                .to_owned(),
        });
    }
    let file = read_drive(&arguments.file, terminal)?;
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
    let (tallied, is_interrupted) = count_up(&work, &work.tasks(number, count), arguments.threads);
    match &arguments.out {
        Some(path) if !is_interrupted => {
            let shard = ShardFile {
                format: SHARD_FORMAT,
                kind: SHARD_KIND.to_owned(),
                program: env!("CARGO_PKG_VERSION").to_owned(),
                drive_file_sha256: file.sha256.clone(),
                request,
                shard: number,
                shard_count: count,
                tallied,
            };
            let text = serde_json::to_string(&shard)? + "\n";
            output::write_result(path, &file.sha256, text.into_bytes(), overwrite)?;
            terminal.talk(&format!("wrote {}", path.display()));
            Ok(Exit::AllHold)
        }
        Some(path) => {
            terminal.talk(&format!("interrupted; {} was not written", path.display()));
            Ok(Exit::Interrupted)
        }
        None => {
            let mut result = YieldResult::new(&work, &tallied, file.drive.tolerances.wanted_yield);
            if arguments.propose && !is_interrupted {
                terminal.remark("searching for the loosest tolerances");
                result.proposal = propose(&file.drive, &work.study, work.loaded.as_ref());
            }
            let exit = show(&file, &result, terminal)?;
            if let Some(directory) = &arguments.figures {
                let figures = sheet::figures::of_study(&result);
                super::figure::write_all(directory, &file.sha256, &figures, overwrite, terminal)?;
            }
            Ok(if is_interrupted { Exit::Interrupted } else { exit })
        }
    }
}

/// Runs `merge`.
///
/// # Errors
/// What is wrong with the files, or could not be computed.
pub fn merge(arguments: &Merge, terminal: Terminal) -> Result<Exit, Failure> {
    let file = read_drive(&arguments.file, terminal)?;
    let mut shards = Vec::new();
    for path in &arguments.shards {
        shards.push((path.as_path(), read_shard(path, &file)?));
    }
    let Some((first_path, first)) = shards.first() else { return Ok(Exit::AllHold) };
    let (request, count) = (first.request, first.shard_count);
    let mut seen: Vec<u64> = Vec::new();
    for (path, shard) in &shards {
        if shard.request != request || shard.shard_count != count || shard.program != first.program {
            return Err(wrong_shard(
                path,
                &format!("belongs to another study than `{}`", first_path.display()),
            ));
        }
        if seen.contains(&shard.shard) {
            return Err(wrong_shard(path, &format!("is shard {} once more", shard.shard + 1)));
        }
        seen.push(shard.shard);
    }
    let missing: Vec<String> = (0..count)
        .filter(|shard| !seen.contains(shard))
        .map(|shard| format!("{}/{count}", shard + 1))
        .collect();
    if !missing.is_empty() {
        return Err(Failure::Usage {
            message: format!("shards are missing: {}", missing.join(", ")),
            hint: "run `lobewright yield` with `--shard` for each of them".to_owned(),
        });
    }
    let work = Work::new(&file.drive, request)?;
    let mut tallied = work.nothing();
    for (path, shard) in &shards {
        if !tallied.is_like(&shard.tallied) {
            return Err(wrong_shard(path, "does not fit the drive file"));
        }
        tallied.merge(&shard.tallied);
    }
    let result = YieldResult::new(&work, &tallied, file.drive.tolerances.wanted_yield);
    show(&file, &result, terminal)
}

/// A study without load as `yield` does it when nothing else is said, and whether somebody asked to end it.
///
/// # Errors
/// What is wrong with the tolerances.
pub(super) fn study_without_load(
    drive: &Drive,
    assembly_count: u64,
) -> Result<(YieldResult, bool), StudyError> {
    let request = Request {
        assembly_count,
        loaded_count: 0,
        seed: 1,
        sampling: Sampling::Random,
        crank_angle_count: usual_crank_angle_count(drive),
    };
    let work = Work::new(drive, request)?;
    let (tallied, is_interrupted) = count_up(&work, &work.tasks(0, 1), None);
    Ok((YieldResult::new(&work, &tallied, drive.tolerances.wanted_yield), is_interrupted))
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

/// `2/5` as the shard's number from zero and the number of shards.
fn parse_shard(text: &str) -> Result<(u64, u64), Failure> {
    let numbers = text.split_once('/').and_then(|(number, count)| {
        let (number, count) = (number.parse::<u64>().ok()?, count.parse::<u64>().ok()?);
        (number >= 1 && number <= count).then_some((number - 1, count))
    });
    numbers.ok_or_else(|| Failure::Usage {
        message: format!("--shard: `{text}` is not a part of a whole"),
        hint: "write 1/4 for the first of four".to_owned(),
    })
}

fn read_shard(path: &Path, file: &DriveFile) -> Result<ShardFile, Failure> {
    let text =
        fs::read_to_string(path).map_err(|source| Failure::NotRead { path: path.to_owned(), source })?;
    let shard: ShardFile = serde_json::from_str(&text)
        .map_err(|error| wrong_shard(path, &format!("is no shard of a study: {error}")))?;
    if shard.kind != SHARD_KIND || shard.format != SHARD_FORMAT {
        return Err(wrong_shard(path, "is no shard of a study that this program reads"));
    }
    if shard.drive_file_sha256 != file.sha256 {
        return Err(wrong_shard(path, "belongs to another drive file, or to another state of it"));
    }
    Ok(shard)
}

fn wrong_shard(path: &Path, what: &str) -> Failure {
    Failure::Usage {
        message: format!("`{}` {what}", path.display()),
        hint:
            "give all shards of one run of `lobewright yield --shard`, and the drive file they were made with"
                .to_owned(),
    }
}
