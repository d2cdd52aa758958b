//! All of a study as one list of tasks, and what they come to when they are put together again.

use super::grades::{GRADES_TASK_ASSEMBLIES, Grades, GradesCounted};
use super::loaded::{LOADED_TASK_ASSEMBLIES, LoadedCounted, LoadedStudy};
use super::shares::{Accuracy, SHARES_TASK_ROWS, SharesCounted, add_rows};
use super::study::{Counted, Measure, Request, Study, StudyError, TASK_ASSEMBLIES};
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

impl Kind {
    /// Tasks of all kinds from one of this kind to the next, at most, in the order in which they are best done.
    fn longest_wait(self) -> f64 {
        match self {
            Self::Unloaded => f64::INFINITY,
            Self::Loaded => 16.0,
            Self::Shares | Self::Grades => 4.0,
        }
    }
}

/// How much tasks count.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct TaskCounts {
    /// Tasks.
    pub tasks: u64,
    /// Assemblies without load.
    pub unloaded: u64,
    /// Loaded assemblies.
    pub loaded: u64,
    /// Rows for variance shares.
    pub share_rows: u64,
    /// Assemblies for changes of grade.
    pub graded: u64,
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

    /// Tasks of one shard of several, in the order in which they are best done.
    ///
    /// Kinds take turns, and the few tasks of a long study's smaller samples come early, so that an early stop has some of each. Every shard gets
    /// its part of every kind.
    #[must_use]
    pub fn tasks(&self, shard: u64, shard_count: u64) -> Vec<u64> {
        let total = self.task_count() as f64;
        let mut tasks: Vec<(f64, u64)> = Vec::new();
        let mut first = 0;
        for (number, (kind, count)) in self.kinds.iter().enumerate() {
            let step = (total / (*count).max(1) as f64).min(kind.longest_wait());
            let mine = (0..*count).filter(|task| (task + number as u64) % shard_count == shard);
            tasks.extend(mine.map(|task| (step * (task as f64 + 0.5), first + task)));
            first += count;
        }
        tasks.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        tasks.into_iter().map(|(_, task)| task).collect()
    }

    /// What tasks count when all of them are done.
    #[must_use]
    pub fn counts_of(&self, tasks: &[u64]) -> TaskCounts {
        let mut counts = TaskCounts { tasks: tasks.len() as u64, ..TaskCounts::default() };
        for task in tasks {
            let mut task = *task;
            for (kind, count) in &self.kinds {
                if task >= *count {
                    task -= count;
                    continue;
                }
                let (size, last, counted) = match kind {
                    Kind::Unloaded => {
                        (TASK_ASSEMBLIES, self.study.request.assembly_count, &mut counts.unloaded)
                    }
                    Kind::Loaded => {
                        (LOADED_TASK_ASSEMBLIES, self.study.request.loaded_count, &mut counts.loaded)
                    }
                    Kind::Shares => (SHARES_TASK_ROWS, self.at_most(SHARES_ROWS), &mut counts.share_rows),
                    Kind::Grades => {
                        (GRADES_TASK_ASSEMBLIES, self.at_most(GRADES_ASSEMBLIES), &mut counts.graded)
                    }
                };
                *counted += last.saturating_sub(task * size).min(size);
                break;
            }
        }
        counts
    }

    fn at_most(&self, count: u64) -> u64 {
        count.min(self.study.request.assembly_count)
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
