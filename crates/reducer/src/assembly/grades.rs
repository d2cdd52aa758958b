//! What one grade does: the yield with each tolerance one IT grade tighter, and one looser, for the very same draws.

use super::draw::DrawPlan;
use super::linear::LANES;
use super::study::{Block, Study};
use serde::{Deserialize, Serialize};

/// Assemblies in one task.
pub const GRADES_TASK_ASSEMBLIES: u64 = 256;

/// Assemblies whose verdict changes with one tolerance.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Changed {
    /// They meet the requirements where they did not.
    pub gained: u64,
    /// They do not any more.
    pub lost: u64,
}

/// What tasks have counted so far.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct GradesCounted {
    /// Assemblies seen.
    pub count: u64,
    /// Of these, how many meet the requirements as drawn.
    pub meets: u64,
    /// By tolerance: one grade tighter, one grade looser.
    pub changed: Vec<[Changed; 2]>,
}

impl GradesCounted {
    /// Nothing counted yet.
    #[must_use]
    pub fn new(group_count: usize) -> Self {
        Self { count: 0, meets: 0, changed: vec![Default::default(); group_count] }
    }

    /// Adds what other tasks have counted.
    pub fn merge(&mut self, other: &Self) {
        self.count += other.count;
        self.meets += other.meets;
        for (mine, more) in self.changed.iter_mut().flatten().zip(other.changed.iter().flatten()) {
            mine.gained += more.gained;
            mine.lost += more.lost;
        }
    }
}

/// The plans of a study with one tolerance changed each.
#[derive(Clone, Debug)]
pub struct Grades {
    plans: Vec<[DrawPlan; 2]>,
}

impl Grades {
    /// Every tolerance one grade tighter, and one looser.
    #[must_use]
    pub fn new(study: &Study) -> Self {
        let plan = &study.plan;
        let changed = |group| [-1, 1].map(|grades| plan.graded(group, grades));
        Self { plans: (0..plan.groups.len()).map(changed).collect() }
    }

    /// Counts the assemblies of one task.
    pub fn run(&self, study: &Study, task: u64, assembly_count: u64, counted: &mut GradesCounted) {
        let first = task * GRADES_TASK_ASSEMBLIES;
        let last = (first + GRADES_TASK_ASSEMBLIES).min(assembly_count);
        let mut memory = Block::new(&study.plan);
        for start in (first..last).step_by(LANES) {
            let lanes = (last - start).min(LANES as u64) as usize;
            let mut verdict = |plan: &DrawPlan| {
                memory.draw(plan, &study.source(), start, lanes);
                study.scanned_verdicts(&memory.deviations, lanes)
            };
            let drawn = verdict(&study.plan);
            counted.count += lanes as u64;
            counted.meets += drawn.iter().filter(|meets| **meets).count() as u64;
            for (plans, changed) in self.plans.iter().zip(&mut counted.changed) {
                for (plan, changed) in plans.iter().zip(changed) {
                    for (before, after) in drawn.iter().zip(verdict(plan)) {
                        changed.gained += u64::from(!before && after);
                        changed.lost += u64::from(*before && !after);
                    }
                }
            }
        }
    }
}
