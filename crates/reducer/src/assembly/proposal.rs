//! The loosest tolerances that still reach a wanted yield: each moved by whole grades, weighed by what it costs.

use super::draw::{Acts, DrawPlan, Group};
use super::linear::{Growth, LANES, Lane, LinearDrive, Outcome, Places};
use super::loaded::LoadedStudy;
use super::random::{Sampling, Source};
use super::study::{Block, Study};
use super::tally::ShareWithBounds;
use crate::model::Drive;
use crate::watch::{CalledOff, Watch, look};
use schemars::JsonSchema;
use serde::Serialize;

/// Assemblies by which the search compares; all candidates see the same ones.
const SEARCH_ASSEMBLIES: u64 = 1_536;
/// Assemblies of another sample, by which the end is judged.
const CHECK_ASSEMBLIES: u64 = 4_096;
/// Assemblies of the study that are loaded for it, where lost motion is required.
const CHECK_LOADED: u64 = 96;
/// Grades by which a tolerance may move either way.
const MOST_GRADES: i32 = 4;
/// The stated grade and those to either side.
const GRADE_COUNT: usize = 2 * MOST_GRADES as usize + 1;
/// Weight of how far assemblies miss their limits beside how many do: it shows the way where hardly any meets them.
const MISS_WEIGHT: f64 = 0.2;
/// Loss of merit below which tolerances are loosened by what they save alone.
const LEAST_TAKEN: f64 = 1e-3;

/// One tolerance of a proposal.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ProposedTolerance {
    /// What deviates, with its callout.
    pub name: String,
    /// Grades looser than stated; negative where tighter.
    pub grades_looser: i32,
    /// Stated limits.
    pub stated_mm: [f64; 2],
    /// Proposed limits.
    pub proposed_mm: [f64; 2],
    /// Cost against that of the stated one.
    pub cost_ratio: f64,
    /// Weight of its cost.
    pub cost_weight: f64,
}

/// The loosest set of tolerances that was found.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Proposal {
    /// Yield that is wanted.
    pub wanted_yield: f64,
    /// Yield as stated, by the assemblies of the check.
    pub stated_yield: ShareWithBounds,
    /// Yield as proposed, by the same assemblies.
    pub proposed_yield: ShareWithBounds,
    /// Share of assemblies in which nothing presses without load, as stated and as proposed.
    pub free_shares: [f64; 2],
    /// Share of assemblies whose tips and roots have room, as stated and as proposed.
    pub tips_free_shares: [f64; 2],
    /// Share of loaded assemblies that meet every requirement, as stated and as proposed; none without a requirement of lost motion or without loaded assemblies.
    pub yields_under_load: Option<[ShareWithBounds; 2]>,
    /// Whether the search reached the wanted yield, and loaded assemblies do not fall short of it.
    pub is_reached: bool,
    /// Cost of all tolerances against that as stated.
    pub cost_ratio: f64,
    /// Tolerances in the order of the drive file.
    pub tolerances: Vec<ProposedTolerance>,
}

/// Searches the loosest tolerances; `None` where no requirement of backlash or transmission error is stated.
///
/// ```text
/// cost = Σ weight · stated width/width, widths by whole grades
/// ```
/// First the tolerance that gains most for its cost is tightened until the yield is reached, then those that save most for what they take are loosened,
/// as long as it holds and parts press on each other, or rollers at tips and roots, in no more assemblies than as stated: pressing parts have no play, and would else
/// pass for exact. Loaded assemblies take too long to search by; a hundred of them judge the end.
///
/// **Source** cost in inverse proportion to the width: `[common-practice]`; greedy search: own choice.
///
/// # Errors
/// [`CalledOff`] where `watch` says that nobody waits for it.
pub fn propose(
    drive: &Drive,
    study: &Study,
    loaded: Option<&LoadedStudy>,
    watch: Watch<'_>,
) -> Result<Option<Proposal>, CalledOff> {
    let requirement = &drive.requirement;
    let limits = [requirement.geometric_backlash_rad, requirement.transmission_error_rad];
    if limits.iter().all(Option::is_none) {
        return Ok(None);
    }
    Search::new(drive, study, limits, watch).run(loaded).map(Some)
}

struct Search<'a> {
    study: &'a Study,
    watch: Watch<'a>,
    linear: LinearDrive,
    limits: [Option<f64>; 2],
    wanted: f64,
    weights: Vec<f64>,
    /// Width of each tolerance over the stated one, from the tightest grade to the loosest.
    width_ratios: Vec<[f64; GRADE_COUNT]>,
    /// Tolerances that can move: not temperatures, and not what acts under load only, of which the yield without load knows nothing.
    movable: Vec<usize>,
}

/// How a set of tolerances does.
#[derive(Clone, Copy)]
struct Score {
    meets: u64,
    /// Assemblies in which nothing presses without load.
    free: u64,
    /// Assemblies whose tips and roots have room.
    tips_free: u64,
    count: u64,
    /// Mean of how far the worst value is beyond its limit, as a share of it.
    miss: f64,
}

impl Score {
    fn share(&self) -> f64 {
        self.meets as f64 / self.count.max(1) as f64
    }

    fn free_share(&self) -> f64 {
        self.free as f64 / self.count.max(1) as f64
    }

    fn tips_free_share(&self) -> f64 {
        self.tips_free as f64 / self.count.max(1) as f64
    }

    fn merit(&self) -> f64 {
        self.share() - MISS_WEIGHT * self.miss
    }
}

impl<'a> Search<'a> {
    fn new(drive: &Drive, study: &'a Study, limits: [Option<f64>; 2], watch: Watch<'a>) -> Self {
        let plan = &study.plan;
        let mut largest = largest_mm(plan);
        largest[plan.slots.ring_temperature()..].fill(0.0);
        let angles = (study.request.crank_angle_count, Places::Close);
        let weight = |index: usize| plan.groups[index].tolerance.as_ref().map_or(0.0, |t| t.cost_weight);
        Self {
            linear: LinearDrive::new(&study.model, Growth::default(), plan.slots, angles, &largest),
            study,
            watch,
            limits,
            wanted: drive.tolerances.wanted_yield,
            weights: (0..plan.groups.len()).map(weight).collect(),
            width_ratios: plan.groups.iter().map(width_ratios).collect(),
            movable: (0..plan.groups.len())
                .filter(|index| plan.groups[*index].acts() == Acts::WithoutLoad)
                .collect(),
        }
    }

    fn run(&self, loaded: Option<&LoadedStudy>) -> Result<Proposal, CalledOff> {
        let mut grades = vec![0; self.study.plan.groups.len()];
        let mut score = self.searched(&grades)?;
        let as_stated = score;
        while score.share() < self.wanted {
            let Some((index, better)) = self.best_tightened(&grades, &score)? else { break };
            grades[index] -= 1;
            score = better;
        }
        let is_reached = score.share() >= self.wanted;
        if is_reached {
            self.loosen(&mut grades, score, &as_stated)?;
        }
        self.proposal(&grades, is_reached, loaded)
    }

    /// The tolerance whose tightening gains most for its cost; none where nothing gains.
    fn best_tightened(&self, grades: &[i32], now: &Score) -> Result<Option<(usize, Score)>, CalledOff> {
        let mut best: Option<(usize, Score, f64)> = None;
        for &index in self.movable.iter().filter(|index| grades[**index] > -MOST_GRADES) {
            let mut tried = grades.to_vec();
            tried[index] -= 1;
            let score = self.searched(&tried)?;
            let extra = self.cost(&tried) - self.cost(grades);
            let gain = (score.merit() - now.merit()) / extra.max(1e-9);
            if gain > 0.0 && best.as_ref().is_none_or(|(_, _, most)| gain > *most) {
                best = Some((index, score, gain));
            }
        }
        Ok(best.map(|(index, score, _)| (index, score)))
    }

    /// Loosens what saves most for what it takes, as long as the yield holds and no more assemblies press. What fails once fails for good,
    /// as everything else only gets looser.
    fn loosen(&self, grades: &mut [i32], now: Score, as_stated: &Score) -> Result<(), CalledOff> {
        let mut open = self.movable.clone();
        let mut now = now;
        loop {
            let mut best: Option<(usize, Score, f64)> = None;
            let mut still_open = Vec::new();
            for &index in open.iter().filter(|index| grades[**index] < MOST_GRADES) {
                let mut tried = grades.to_vec();
                tried[index] += 1;
                let score = self.searched(&tried)?;
                let presses_more = score.free < as_stated.free || score.tips_free < as_stated.tips_free;
                if score.share() < self.wanted || presses_more {
                    continue;
                }
                let taken = (now.merit() - score.merit()) + (now.free_share() - score.free_share()).max(0.0);
                let worth = (self.cost(grades) - self.cost(&tried)) / taken.max(LEAST_TAKEN);
                if best.as_ref().is_none_or(|(_, _, most)| worth > *most) {
                    best = Some((index, score, worth));
                }
                still_open.push(index);
            }
            open = still_open;
            let Some((index, score, _)) = best else { return Ok(()) };
            grades[index] += 1;
            now = score;
        }
    }

    /// Cost of all tolerances; as stated it is the sum of the weights.
    fn cost(&self, grades: &[i32]) -> f64 {
        (0..grades.len()).map(|index| self.weights[index] / self.width_ratio(index, grades[index])).sum()
    }

    fn width_ratio(&self, index: usize, grades: i32) -> f64 {
        self.width_ratios[index][(grades + MOST_GRADES) as usize]
    }

    /// The score by the assemblies of the search, at the crank angles of the scan.
    fn searched(&self, grades: &[i32]) -> Result<Score, CalledOff> {
        self.score(&self.plan(grades), 3, SEARCH_ASSEMBLIES, |deviations| self.linear.scan(deviations))
    }

    fn score(
        &self,
        plan: &DrawPlan,
        sample: u32,
        assembly_count: u64,
        outcome_of: impl Fn(&[Lane]) -> Outcome,
    ) -> Result<Score, CalledOff> {
        let source = Source { seed: self.study.request.seed, sampling: Sampling::Random, sample };
        let mut block = Block::new(plan);
        let mut score = Score { meets: 0, free: 0, tips_free: 0, count: 0, miss: 0.0 };
        for start in (0..assembly_count).step_by(LANES) {
            look(self.watch)?;
            block.draw(plan, &source, start, LANES);
            let outcome = outcome_of(&block.deviations);
            for lane in 0..LANES {
                let miss = self.miss(&outcome, lane);
                score.count += 1;
                score.meets += u64::from(miss <= 0.0);
                score.free += u64::from(outcome.least_backlash_rad[lane] >= 0.0);
                score.tips_free += u64::from(outcome.tip_gap_mm[lane] >= 0.0);
                score.miss += miss.max(0.0) / assembly_count as f64;
            }
        }
        Ok(score)
    }

    fn miss(&self, outcome: &Outcome, lane: usize) -> f64 {
        let values = [outcome.greatest_backlash_rad[lane], outcome.transmission_error_rad(lane)];
        let beyond = |(value, limit): (f32, Option<f64>)| {
            let limit = limit?;
            Some(self.study.output_ratio() * f64::from(value) / limit.max(f64::MIN_POSITIVE) - 1.0)
        };
        let worst = values.into_iter().zip(self.limits).filter_map(beyond).fold(f64::NEG_INFINITY, f64::max);
        // Parts that press at every crank angle meet nothing.
        if outcome.greatest_backlash_rad[lane] < 0.0 { worst.max(1.0) } else { worst }
    }

    fn plan(&self, grades: &[i32]) -> DrawPlan {
        let mut plan = self.study.plan.clone();
        for (index, grade) in grades.iter().enumerate().filter(|(_, grade)| **grade != 0) {
            plan.grade(index, *grade);
        }
        plan
    }

    fn proposal(
        &self,
        grades: &[i32],
        is_reached: bool,
        loaded: Option<&LoadedStudy>,
    ) -> Result<Proposal, CalledOff> {
        let none = vec![0; grades.len()];
        let followed = |deviations: &[Lane]| self.linear.outcome(deviations);
        let check = |grades: &[i32]| self.score(&self.plan(grades), 4, CHECK_ASSEMBLIES, followed);
        let (as_stated, as_proposed) = (check(&none)?, check(grades)?);
        let of = |value: fn(&Score) -> f64| [value(&as_stated), value(&as_proposed)];
        let yields_under_load = loaded.filter(|loaded| loaded.is_lost_motion_required()).map(|loaded| {
            [&none[..], grades].map(|grades| {
                let study = self.study.with(self.plan(grades), self.linear.clone());
                loaded.share_that_meets_all(&study, CHECK_LOADED)
            })
        });
        look(self.watch)?;
        let is_short = yields_under_load.is_some_and(|[_, proposed]| proposed.upper < self.wanted);
        let stated = &self.study.plan.groups;
        let proposed = self.plan(grades);
        let tolerance = |&index: &usize| {
            let limits = |plan: &DrawPlan| {
                let spread = plan.groups[index].spread();
                [spread.lower_mm, spread.upper_mm]
            };
            ProposedTolerance {
                name: stated[index].name.clone(),
                grades_looser: grades[index],
                stated_mm: limits(&self.study.plan),
                proposed_mm: limits(&proposed),
                cost_ratio: 1.0 / self.width_ratio(index, grades[index]),
                cost_weight: self.weights[index],
            }
        };
        Ok(Proposal {
            wanted_yield: self.wanted,
            stated_yield: ShareWithBounds::of(as_stated.meets, as_stated.count),
            proposed_yield: ShareWithBounds::of(as_proposed.meets, as_proposed.count),
            free_shares: of(Score::free_share),
            tips_free_shares: of(Score::tips_free_share),
            yields_under_load,
            is_reached: is_reached && !is_short,
            cost_ratio: self.cost(grades) / self.cost(&none).max(f64::MIN_POSITIVE),
            tolerances: self.movable.iter().map(tolerance).collect(),
        })
    }
}

/// Width of a tolerance in each grade over its stated one; that of a temperature, or of no width, stays.
fn width_ratios(group: &Group) -> [f64; GRADE_COUNT] {
    std::array::from_fn(|place| {
        let Some(tolerance) = &group.tolerance else { return 1.0 };
        let ratio = tolerance.graded(place as i32 - MOST_GRADES).width_mm() / tolerance.spread.width_mm();
        if ratio.is_finite() { ratio } else { 1.0 }
    })
}

/// Largest size of every deviation in the stated grades and in the outermost ones.
fn largest_mm(plan: &DrawPlan) -> Vec<f32> {
    let at = |grades: i32| {
        let mut moved = plan.clone();
        (0..plan.groups.len()).for_each(|index| moved.grade(index, grades));
        moved.largest_mm()
    };
    let larger = |a: Vec<f32>, b: Vec<f32>| a.into_iter().zip(b).map(|(a, b)| a.max(b)).collect();
    [0, MOST_GRADES].into_iter().fold(at(-MOST_GRADES), |largest, grades| larger(largest, at(grades)))
}
