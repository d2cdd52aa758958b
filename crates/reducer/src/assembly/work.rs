//! All of a study as one list of tasks, and what they come to when they are put together again.

use super::grades::{GRADES_TASK_ASSEMBLIES, Grades, GradesCounted};
use super::loaded::{LOADED_TASK_ASSEMBLIES, LoadedCounted, LoadedStudy};
use super::shares::{Accuracy, SHARES_TASK_ROWS, SharesCounted, add_rows};
use super::study::{Counted, Measure, Request, Study, StudyError, TASK_ASSEMBLIES};
use super::tally::Tally;
use crate::model::Drive;
use serde::{Deserialize, Serialize};

/// Rows of the sample for variance shares.
pub const SHARES_ROWS: u64 = 8_192;
/// Assemblies for which tolerances are changed by one grade.
pub const GRADES_ASSEMBLIES: u64 = 8_192;

/// A study with everything that its tasks need.
#[derive(Clone, Debug)]
pub struct Work {
    /// Assemblies without load.
    pub study: Study,
    /// Those under load; absent where none are asked for.
    pub loaded: Option<LoadedStudy>,
    grades: Grades,
    /// Number near the mean of backlash and transmission error, from the pilot assemblies.
    middle_rad: [f64; 2],
    kinds: Vec<(Kind, u64)>,
    is_lost_motion_required: bool,
}

/// What a task does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Unloaded,
    Loaded,
    Shares,
    Grades,
}

/// What tasks have counted: the whole of a study, or a part of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Tallied {
    /// Without load.
    pub unloaded: Counted,
    /// Under load.
    pub loaded: Option<LoadedCounted>,
    /// For variance shares.
    pub shares: SharesCounted,
    /// For changes of grade.
    pub grades: GradesCounted,
    /// Tasks done.
    pub task_count: u64,
}

impl Tallied {
    /// Whether what others have counted can be added: the same measures, tolerances and histograms.
    #[must_use]
    pub fn is_like(&self, other: &Self) -> bool {
        let alike = |mine: &[Tally], others: &[Tally]| {
            let same = |(a, b): (&Tally, &Tally)| {
                (a.grid.first, a.grid.width, a.bins.len()) == (b.grid.first, b.grid.width, b.bins.len())
            };
            mine.len() == others.len() && mine.iter().zip(others).all(same)
        };
        let loaded = match (&self.loaded, &other.loaded) {
            (Some(mine), Some(others)) => alike(&mine.tallies, &others.tallies),
            (None, None) => true,
            _ => false,
        };
        loaded
            && alike(&self.unloaded.tallies, &other.unloaded.tallies)
            && self.grades.changed.len() == other.grades.changed.len()
            && self.shares.group_count() == other.shares.group_count()
    }

    /// Adds what other tasks have counted.
    pub fn merge(&mut self, other: &Self) {
        self.unloaded.merge(&other.unloaded);
        if let (Some(mine), Some(more)) = (&mut self.loaded, &other.loaded) {
            mine.merge(more);
        }
        self.shares.merge(&other.shares);
        self.grades.merge(&other.grades);
        self.task_count += other.task_count;
    }
}

impl Work {
    /// Sets a study up with all its parts.
    ///
    /// # Errors
    /// [`StudyError`] where the drive has no tolerances, does not mesh, or names what is not known.
    pub fn new(drive: &Drive, request: Request) -> Result<Self, StudyError> {
        let study = Study::new(drive, request)?;
        let loaded = (request.loaded_count > 0).then(|| LoadedStudy::new(drive, &study)).transpose()?;
        let small = |most: u64| most.min(request.assembly_count);
        let kinds = vec![
            (Kind::Unloaded, request.assembly_count.div_ceil(TASK_ASSEMBLIES)),
            (Kind::Loaded, request.loaded_count.div_ceil(LOADED_TASK_ASSEMBLIES)),
            (Kind::Shares, small(SHARES_ROWS).div_ceil(SHARES_TASK_ROWS)),
            (Kind::Grades, small(GRADES_ASSEMBLIES).div_ceil(GRADES_TASK_ASSEMBLIES)),
        ];
        let nothing = study.nothing();
        let centre = |measure: Measure| {
            let place = Measure::ALL.iter().position(|other| *other == measure).unwrap_or(0);
            nothing.tallies[place].grid.middle()
        };
        let middle_rad = [centre(Measure::Backlash), centre(Measure::TransmissionError)];
        let is_lost_motion_required = drive.requirement.lost_motion_rad.is_some();
        Ok(Self { grades: Grades::new(&study), study, loaded, middle_rad, kinds, is_lost_motion_required })
    }

    /// Whether a requirement of lost motion is stated, loaded assemblies or not.
    #[must_use]
    pub fn is_lost_motion_required(&self) -> bool {
        self.is_lost_motion_required
    }

    /// Number of tasks.
    #[must_use]
    pub fn task_count(&self) -> u64 {
        self.kinds.iter().map(|(_, count)| count).sum()
    }

    /// Nothing counted yet.
    #[must_use]
    pub fn nothing(&self) -> Tallied {
        let group_count = self.study.plan.groups.len();
        Tallied {
            unloaded: self.study.nothing(),
            loaded: self.loaded.as_ref().map(LoadedStudy::nothing),
            shares: SharesCounted::new(group_count),
            grades: GradesCounted::new(group_count),
            task_count: 0,
        }
    }

    /// Tasks of one shard of several, in the order in which they are best done; kinds take turns, so that an early stop has some of each.
    #[must_use]
    pub fn tasks(&self, shard: u64, shard_count: u64) -> Vec<u64> {
        let total = self.task_count() as f64;
        let mut tasks: Vec<(f64, u64)> = Vec::new();
        let mut first = 0;
        for (_, count) in &self.kinds {
            tasks.extend((0..*count).map(|task| (total * (task as f64 + 0.5) / *count as f64, first + task)));
            first += count;
        }
        tasks.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let mine =
            |(place, (_, task)): (usize, (f64, u64))| (place as u64 % shard_count == shard).then_some(task);
        tasks.into_iter().enumerate().filter_map(mine).collect()
    }

    /// Assemblies that a task looks at without load, for the rate that people are shown.
    #[must_use]
    pub fn assemblies_of(&self, task: u64) -> u64 {
        let assembly_count = self.study.request.assembly_count;
        let first = task * TASK_ASSEMBLIES;
        assembly_count.saturating_sub(first).min(TASK_ASSEMBLIES)
    }

    /// Does one task.
    pub fn run(&self, task: u64, tallied: &mut Tallied) {
        let mut task = task;
        let request = &self.study.request;
        for (kind, count) in &self.kinds {
            if task >= *count {
                task -= count;
                continue;
            }
            match kind {
                Kind::Unloaded => self.study.run(task, &mut tallied.unloaded),
                Kind::Loaded => {
                    if let (Some(loaded), Some(counted)) = (&self.loaded, &mut tallied.loaded) {
                        loaded.run(&self.study, task, counted);
                    }
                }
                Kind::Shares => {
                    let last = SHARES_ROWS.min(request.assembly_count);
                    let first = task * SHARES_TASK_ROWS;
                    let rows = first..(first + SHARES_TASK_ROWS).min(last);
                    let function = Accuracy { plan: &self.study.plan, drive: &self.study.drawn };
                    add_rows(&function, request.seed, rows, self.middle_rad, &mut tallied.shares);
                }
                Kind::Grades => {
                    let last = GRADES_ASSEMBLIES.min(request.assembly_count);
                    self.grades.run(&self.study, task, last, &mut tallied.grades);
                }
            }
            tallied.task_count += 1;
            return;
        }
    }
}
