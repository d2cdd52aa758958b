//! Whether what another machine says it has counted can be what its tasks count: parts of a study come from files that anybody can change.

use super::grades::GradesCounted;
use super::loaded::LoadedCounted;
use super::study::Counted;
use super::tally::Tally;
use super::work::{Tallied, TaskCounts, Work};

/// What is wrong with a part of a study, in words that follow its name.
pub type Unsound = &'static str;

/// Looks at a part of a study before it is added, and tells whether all tasks of the shard are in it.
///
/// # Errors
/// The first thing that cannot be: other measures, tolerances or histograms than those of the study, and counts that no tasks of the shard give.
pub fn check(work: &Work, tallied: &Tallied, shard: u64, shard_count: u64) -> Result<bool, Unsound> {
    is_like(&work.nothing(), tallied)?;
    let planned = work.counts_of(&work.tasks(shard, shard_count));
    let counted = counts(tallied);
    let pairs = [
        (counted.tasks, planned.tasks),
        (counted.unloaded, planned.unloaded),
        (counted.loaded, planned.loaded),
        (counted.share_rows, planned.share_rows),
        (counted.graded, planned.graded),
    ];
    if pairs.iter().any(|(counted, planned)| counted > planned) {
        return Err("has counted more than its tasks do");
    }
    let is_whole = counted.tasks == planned.tasks;
    if is_whole && counted != planned {
        return Err("has counted less than its tasks do");
    }
    adds_up(tallied, shard_count).ok_or("has counts that do not add up")?;
    Ok(is_whole)
}

/// The same measures, tolerances and histograms.
fn is_like(nothing: &Tallied, tallied: &Tallied) -> Result<(), Unsound> {
    let alike = |mine: &[Tally], others: &[Tally]| {
        mine.len() == others.len() && mine.iter().zip(others).all(|(mine, other)| mine.is_like(other))
    };
    let loaded = match (&nothing.loaded, &tallied.loaded) {
        (Some(mine), Some(others)) => alike(&mine.tallies, &others.tallies),
        (None, None) => true,
        _ => false,
    };
    let is_like = loaded
        && alike(&nothing.unloaded.tallies, &tallied.unloaded.tallies)
        && nothing.grades.changed.len() == tallied.grades.changed.len()
        && nothing.shares.is_like(&tallied.shares);
    if is_like { Ok(()) } else { Err("does not fit the drive file") }
}

fn counts(tallied: &Tallied) -> TaskCounts {
    TaskCounts {
        tasks: tallied.task_count,
        unloaded: tallied.unloaded.count,
        loaded: tallied.loaded.as_ref().map_or(0, LoadedCounted::count),
        share_rows: tallied.shares.rows,
        graded: tallied.grades.count,
    }
}

/// Something where all parts of the counts agree with each other and no sum over the shards can overflow.
fn adds_up(tallied: &Tallied, shard_count: u64) -> Option<()> {
    let Counted { tallies, meets_all, blocked, count } = &tallied.unloaded;
    let mut holds = tallies.iter().all(|tally| tally.count == *count && tally.adds_up(shard_count));
    holds &= meets_all.checked_add(*blocked)? <= *count;
    if let Some(loaded) = &tallied.loaded {
        let solved = loaded.tallies.first().map_or(0, |tally| tally.count);
        holds &= loaded.tallies.iter().all(|tally| tally.count == solved && tally.adds_up(shard_count));
        holds &= loaded.meets_all <= solved;
    }
    let GradesCounted { count, meets, changed } = &tallied.grades;
    holds &= meets <= count;
    holds &= changed
        .iter()
        .flatten()
        .all(|changed| changed.lost <= *meets && changed.gained <= count.saturating_sub(*meets));
    holds &= tallied.shares.adds_up(shard_count);
    holds.then_some(())
}
