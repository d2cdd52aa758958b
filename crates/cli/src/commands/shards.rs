//! Parts of a study that several machines count: the files of `yield --shard`, and `merge`, which puts them together.

use super::assemblies::{finish, refuse_vain_proposal};
use crate::arguments::{MOST_ASSEMBLIES, MOST_CRANK_ANGLES, Merge};
use crate::exit::Exit;
use crate::failure::Failure;
use crate::interrupt::Watch;
use crate::job::read_drive;
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;
use ::schema::DriveFile;
use reducer::assembly::shard::check;
use reducer::assembly::study::Request;
use reducer::assembly::work::{Tallied, Work};
use serde::{Deserialize, Serialize};
use std::fs;
use std::path::Path;

/// Number of the format of shard files.
const SHARD_FORMAT: u32 = 2;
const SHARD_KIND: &str = "yield-shard";

/// What one machine of several has counted.
#[derive(Debug, Serialize, Deserialize)]
pub(super) struct ShardFile {
    format: u32,
    kind: String,
    program: String,
    drive_file_sha256: String,
    request: Request,
    shard: u64,
    shard_count: u64,
    /// Whether it was interrupted before all of its tasks were done.
    is_partial: bool,
    tallied: Tallied,
}

impl ShardFile {
    /// What one shard of a study, by its number from zero and the number of shards, has counted.
    pub(super) fn new(
        file: &DriveFile,
        work: &Work,
        (shard, shard_count): (u64, u64),
        tallied: Tallied,
    ) -> Self {
        Self {
            format: SHARD_FORMAT,
            kind: SHARD_KIND.to_owned(),
            program: env!("CARGO_PKG_VERSION").to_owned(),
            drive_file_sha256: file.sha256.clone(),
            request: work.study.request,
            shard,
            shard_count,
            is_partial: tallied.task_count < work.tasks(shard, shard_count).len() as u64,
            tallied,
        }
    }

    /// Whether its study and its place among the shards are such as `yield` makes.
    fn is_possible(&self) -> bool {
        let request = &self.request;
        self.shard < self.shard_count
            && (1..=MOST_ASSEMBLIES).contains(&request.assembly_count)
            && request.loaded_count <= request.assembly_count
            && (1..=MOST_CRANK_ANGLES as usize).contains(&request.crank_angle_count)
    }
}

/// Writes a shard to a file, or to standard output if that is called `-`.
///
/// # Errors
/// What could not be written.
pub(super) fn write(
    path: &Path,
    file: &DriveFile,
    shard: &ShardFile,
    overwrite: Overwrite,
    terminal: Terminal,
) -> Result<(), Failure> {
    let text = serde_json::to_string(shard)? + "\n";
    if path == Path::new("-") {
        terminal.data(&text)?;
    } else {
        output::write_result(path, &file.sha256, text.into_bytes(), overwrite)?;
    }
    let what = if shard.is_partial { "interrupted; wrote what was counted to" } else { "wrote" };
    let name = if path == Path::new("-") { "standard output".to_owned() } else { path.display().to_string() };
    if shard.is_partial || path != Path::new("-") {
        terminal.talk(&format!("{what} {name}"));
    }
    Ok(())
}

/// Runs `merge`.
///
/// # Errors
/// What is wrong with the files, or could not be computed.
pub fn merge(arguments: &Merge, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let file = read_drive(&arguments.file, terminal)?;
    refuse_vain_proposal(&file, &arguments.output)?;
    let mut shards = Vec::new();
    for path in &arguments.shards {
        shards.push((path.as_path(), read_shard(path, &file)?));
    }
    let Some((_, first)) = shards.first() else { return Ok(Exit::AllHold) };
    are_all_of_one_study(&shards)?;
    let work = Work::new(&file.drive, first.request)?;
    let mut tallied = work.nothing();
    for (path, shard) in &shards {
        let is_whole = check(&work, &shard.tallied, shard.shard, shard.shard_count)
            .map_err(|what| wrong_shard(path, what))?;
        if is_whole == shard.is_partial {
            return Err(wrong_shard(path, "has counted more or less than it says"));
        }
        if shard.is_partial {
            terminal.remark(&format!("caution: {} was interrupted, so the study is partial", path.display()));
        }
        tallied.merge(&shard.tallied);
    }
    finish(&file, &work, &tallied, (Watch::begin(), false), &arguments.output, overwrite, terminal)
}

/// Every shard of one study once, and none missing.
fn are_all_of_one_study(shards: &[(&Path, ShardFile)]) -> Result<(), Failure> {
    let Some((first_path, first)) = shards.first() else { return Ok(()) };
    let mut seen: Vec<u64> = Vec::new();
    for (path, shard) in shards {
        let is_like = (shard.request, shard.shard_count, &shard.program)
            == (first.request, first.shard_count, &first.program);
        if !is_like {
            let what = format!("belongs to another study than `{}`", first_path.display());
            return Err(wrong_shard(path, &what));
        }
        if seen.contains(&shard.shard) {
            return Err(wrong_shard(path, &format!("is shard {} once more", shard.shard + 1)));
        }
        seen.push(shard.shard);
    }
    let count = first.shard_count;
    let missing = (0..count).filter(|shard| !seen.contains(shard));
    let named: Vec<String> = missing.take(MOST_NAMED).map(|shard| format!("{}/{count}", shard + 1)).collect();
    let missing_count = count - seen.len() as u64;
    if missing_count == 0 {
        return Ok(());
    }
    let more = match missing_count - named.len() as u64 {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Err(Failure::Usage {
        message: format!("shards are missing: {}{more}", named.join(", ")),
        hint: "run `lobewright yield` with `--shard` for each of them".to_owned(),
    })
}

/// Missing shards that are named.
const MOST_NAMED: usize = 8;

/// `2/5` as the shard's number from zero and the number of shards.
pub(super) fn parse(text: &str) -> Result<(u64, u64), Failure> {
    let numbers = text.split_once('/').and_then(|(number, count)| {
        let (number, count) = (number.parse::<u64>().ok()?, count.parse::<u64>().ok()?);
        (1..=count).contains(&number).then(|| (number - 1, count))
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
    if shard.program != env!("CARGO_PKG_VERSION") {
        return Err(wrong_shard(path, &format!("was counted by version {} of the program", shard.program)));
    }
    if shard.drive_file_sha256 != file.sha256 {
        return Err(wrong_shard(path, "belongs to another drive file, or to another state of it"));
    }
    if !shard.is_possible() {
        return Err(wrong_shard(path, "says of itself what no shard can be"));
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
