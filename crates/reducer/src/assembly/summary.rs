//! What a study came to: distributions, yield, and what each tolerance has to do with it.

use super::draw::{Acts, Group};
use super::grades::Changed;
use super::linear::LANES;
use super::loaded::{LoadedAngleCheck, LoadedMeasure};
use super::proposal::Proposal;
use super::random::Sampling;
use super::shares::VarianceShare;
use super::study::{Block, Measure, Study};
use super::tally::{BIN_COUNT, SHOWN_BIN, ShareWithBounds, Tally, Z_95};
use super::work::{Tallied, Work};
use crate::contact::support::BearingLaw;
use crate::finding::{Check, Finding, Sense, Standing, Subject, sort_by_margin};
use crate::registry;
use schemars::JsonSchema;
use serde::Serialize;

/// Crank angles against which those of the study are checked: so many times theirs, within bounds that keep the check cheap beside a study,
/// and never fewer than so many times theirs.
const MOST_DENSE_ANGLES: usize = 40_000;
/// Rows and assemblies below which variance shares and changes of grade say nothing.
pub const LEAST_SAMPLE: u64 = 200;

/// Distribution of one quantity over the assemblies.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct Distribution {
    /// Short name.
    pub id: String,
    /// Name for people.
    pub title: String,
    /// Name of the quantity, which gives unit and digits.
    pub quantity: String,
    /// Values seen.
    pub count: u64,
    /// Mean.
    pub mean: f64,
    /// Half width of its confidence interval at 95 %.
    pub mean_bound: f64,
    /// Standard deviation.
    pub standard_deviation: f64,
    /// Least value seen.
    pub least: f64,
    /// Greatest value seen.
    pub greatest: f64,
    /// Values below which 1, 5, 50, 95 and 99 of a hundred lie.
    pub percentiles: [f64; 5],
    /// Limit of the requirement, if there is one.
    pub limit: Option<f64>,
    /// Whether values must be at most the limit, not at least; absent where there is none.
    pub limit_is_upper: Option<bool>,
    /// Share of assemblies that keep to the limit.
    pub within: Option<ShareWithBounds>,
    /// Whether the limit is a requirement of the axis.
    pub is_required: bool,
    /// Lower end of the first bin; a limit within reach lies on an edge between bins.
    pub first_edge: f64,
    /// Width of a bin.
    pub bin_width: f64,
    /// Values in each bin.
    pub bins: Vec<u64>,
}

/// What one tolerance has to do with the spread and the yield.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct ToleranceEffect {
    /// What deviates, with its callout.
    pub name: String,
    /// Lower limit; of a temperature in kelvin.
    pub lower_mm: f64,
    /// Upper limit.
    pub upper_mm: f64,
    /// Standard deviation of what is drawn.
    pub standard_deviation_mm: f64,
    /// Where it shows; shares and changes are nothing where not without load.
    pub acts: Acts,
    /// Share of the variance of the backlash.
    pub of_backlash: VarianceShare,
    /// Share of the variance of the transmission error.
    pub of_transmission_error: VarianceShare,
    /// Change of the yield with this tolerance one grade tighter.
    pub one_grade_tighter: YieldChange,
    /// Change of the yield with it one grade looser.
    pub one_grade_looser: YieldChange,
}

/// Change of a yield, for the same assemblies.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct YieldChange {
    /// Change of the share.
    pub change: f64,
    /// Half width of its confidence interval at 95 %.
    pub bound: f64,
}

/// How far the crank angles of the study see less than many more would.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AngleCheck {
    /// Crank angles of the study.
    pub angle_count: usize,
    /// Crank angles of the check.
    pub dense_angle_count: usize,
    /// Assemblies that were looked at twice.
    pub assembly_count: usize,
    /// Mean shortfall of the greatest backlash.
    pub mean_backlash_shortfall_rad: f64,
    /// Mean shortfall of the transmission error.
    pub mean_error_shortfall_rad: f64,
    /// Largest shortfall of either.
    pub largest_shortfall_rad: f64,
    /// Mean shortfall of the transmission error over its mean at the crank angles of the check.
    pub error_shortfall_share: f64,
    /// Largest shortfall of one assembly's transmission error over that error.
    pub largest_error_shortfall_share: f64,
}

/// A study as a result.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct YieldResult {
    /// Seed of the draws.
    pub seed: u64,
    /// How deviations are spread over the assemblies.
    pub sampling: String,
    /// Assemblies asked for.
    pub assembly_count: u64,
    /// Assemblies computed.
    pub computed_count: u64,
    /// Whether the study ended before all of it was computed.
    pub is_partial: bool,
    /// Share of assemblies that meet every requirement without load; absent where there is none.
    pub required: Option<ShareWithBounds>,
    /// Of the loaded assemblies, how many meet those of backlash, transmission error and lost motion; none without a limit of lost motion or without loaded assemblies.
    pub required_under_load: Option<ShareWithBounds>,
    /// Assemblies whose parts press on each other without load at some crank angle.
    pub pressing: ShareWithBounds,
    /// Assemblies whose parts do so at every crank angle; they count as meeting nothing.
    pub blocked: ShareWithBounds,
    /// Whether a requirement of lost motion is stated.
    pub is_lost_motion_required: bool,
    /// Yield that is wanted.
    pub wanted_yield: f64,
    /// Distributions without load, then those of the loaded assemblies.
    pub distributions: Vec<Distribution>,
    /// Loaded assemblies without an equilibrium.
    pub unsolved_count: u64,
    /// Whether the crank angles at which assemblies are loaded suffice; none without loaded assemblies.
    pub loaded_angle_check: Option<LoadedAngleCheck>,
    /// Whether the crank angles suffice.
    pub angle_check: AngleCheck,
    /// Rows of the sample for variance shares.
    pub share_row_count: u64,
    /// Assemblies for the changes of grade.
    pub grade_assembly_count: u64,
    /// Tolerances, the largest share of the backlash's or the transmission error's variance first.
    pub tolerances: Vec<ToleranceEffect>,
    /// The loosest tolerances that reach the wanted yield, where they were asked for.
    pub proposal: Option<Proposal>,
    /// What the study takes for granted.
    pub assumptions: Vec<String>,
}

/// How a yield stands to the wanted one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum YieldStanding {
    /// The whole confidence interval is at least the wanted yield.
    Reached,
    /// The wanted yield lies within the confidence interval.
    Open,
    /// The whole confidence interval is below the wanted yield.
    NotReached,
}

impl YieldResult {
    /// How a share stands to the wanted yield.
    #[must_use]
    pub fn standing_of(&self, share: &ShareWithBounds) -> YieldStanding {
        if share.lower >= self.wanted_yield {
            YieldStanding::Reached
        } else if share.upper < self.wanted_yield {
            YieldStanding::NotReached
        } else {
            YieldStanding::Open
        }
    }

    /// Whether no yield falls short: without load the share seen counts, of the few loaded assemblies what they can tell.
    #[must_use]
    pub fn holds(&self) -> bool {
        let is_short_under_load =
            |share: &ShareWithBounds| self.standing_of(share) == YieldStanding::NotReached;
        self.required.is_none_or(|share| share.share >= self.wanted_yield)
            && !self.required_under_load.as_ref().is_some_and(is_short_under_load)
    }

    /// Whether there are enough rows for variance shares to say something.
    #[must_use]
    pub fn has_shares(&self) -> bool {
        self.share_row_count >= LEAST_SAMPLE
    }

    /// Whether there are enough assemblies for changes by a grade to say something, and a yield that they change.
    #[must_use]
    pub fn has_changes(&self) -> bool {
        self.grade_assembly_count >= LEAST_SAMPLE && self.required.is_some()
    }

    /// Assemblies that were loaded; nothing where none were asked for.
    #[must_use]
    pub fn loaded_count(&self) -> Option<u64> {
        self.distributions.iter().find(|each| each.id == LOST_MOTION).map(|each| each.count)
    }

    /// Puts what the study says of the lot in place of the check that waits for it.
    pub fn judge(&self, findings: &mut [Finding]) {
        let Some(share) = self.governing() else { return };
        let Some(lot) = findings.iter_mut().find(|finding| finding.id == "quantity") else { return };
        let load = match self.loaded_count() {
            Some(count) => format!("{} of them loaded", registry::format_number(count as f64, 0)),
            None => "none of them loaded".to_owned(),
        };
        let display = |share| registry::display("assembly_share", share);
        *lot = Check {
            id: "quantity",
            subject: Subject::Requirement,
            title: "",
            quantity: "assembly_share",
            value: share.share,
            limit: self.wanted_yield,
            sense: Sense::AtLeast,
            scale: self.wanted_yield,
            when_broken: if self.holds() { Standing::Doubtful } else { Standing::Fails },
            place: format!(
                "{} assemblies of seed {}, {load}; {} to {} at 95 % confidence",
                registry::format_number(self.computed_count as f64, 0),
                self.seed,
                display(share.lower),
                display(share.upper)
            ),
            formula: "",
            hint: "tighten the tolerances of the largest shares; `lobewright yield --propose` says how far"
                .to_owned(),
            key: "tolerances.wanted_yield",
        }
        .finding_titled(&lot.title);
        sort_by_margin(findings);
    }

    /// The yield that decides: that with lost motion where it is surely too low or the only one, else that without load.
    fn governing(&self) -> Option<&ShareWithBounds> {
        let is_short = |share: &&ShareWithBounds| self.standing_of(share) == YieldStanding::NotReached;
        let under_load = self.required_under_load.as_ref();
        under_load.filter(is_short).or(self.required.as_ref()).or(under_load)
    }

    /// The result of what tasks have counted.
    #[must_use]
    pub fn new(work: &Work, tallied: &Tallied, wanted_yield: f64) -> Self {
        let request = work.study.request;
        let unloaded = Measure::ALL.iter().zip(&tallied.unloaded.tallies).filter(|(measure, _)| {
            // Without heat there is nothing to tell beside the parts as drawn.
            work.study.hot.is_some() || !matches!(measure, Measure::HotBacklash | Measure::LeastHotPlay)
        });
        let mut distributions: Vec<_> = unloaded
            .map(|(measure, tally)| {
                let (id, title, quantity) = words(*measure);
                distribution(id, title, quantity, measure.is_required(), tally)
            })
            .collect();
        if let Some(loaded) = &tallied.loaded {
            distributions.extend(LoadedMeasure::ALL.iter().zip(&loaded.tallies).map(|(measure, tally)| {
                let (id, title, quantity) = loaded_words(*measure);
                distribution(id, title, quantity, tally.limit().is_some(), tally)
            }));
        }
        let unloaded = &tallied.unloaded;
        let free = &unloaded.tallies[Measure::LeastPlay as usize];
        let loaded = work.loaded.as_ref().zip(tallied.loaded.as_ref());
        Self {
            seed: request.seed,
            sampling: sampling_words(request.sampling).to_owned(),
            assembly_count: request.assembly_count,
            computed_count: unloaded.count,
            is_partial: tallied.task_count < work.task_count(),
            required: work
                .study
                .has_requirement()
                .then(|| ShareWithBounds::of(unloaded.meets_all, unloaded.count)),
            required_under_load: loaded
                .filter(|(study, _)| study.is_lost_motion_required())
                .map(|(_, counted)| ShareWithBounds::of(counted.meets_all, counted.count())),
            pressing: ShareWithBounds::of(unloaded.count - free.meets.min(unloaded.count), unloaded.count),
            blocked: ShareWithBounds::of(unloaded.blocked, unloaded.count),
            is_lost_motion_required: work.is_lost_motion_required(),
            wanted_yield,
            distributions,
            unsolved_count: tallied.loaded.as_ref().map_or(0, |loaded| loaded.unsolved),
            loaded_angle_check: work.loaded.as_ref().map(|loaded| loaded.angle_check(&work.study)),
            angle_check: angle_check(&work.study),
            share_row_count: tallied.shares.rows,
            grade_assembly_count: tallied.grades.count,
            tolerances: effects(work, tallied),
            proposal: None,
            assumptions: assumptions(request.sampling),
        }
    }
}

fn words(measure: Measure) -> (&'static str, &'static str, &'static str) {
    match measure {
        Measure::Backlash => ("backlash", "greatest backlash over the output turn", "geometric_backlash_rad"),
        Measure::LeastPlay => {
            ("least-play", "least play; below nothing, parts press", "geometric_backlash_rad")
        }
        Measure::TransmissionError => {
            ("transmission-error", "transmission error over the output turn", "transmission_error_rad")
        }
        Measure::TipGap => ("tip-gap", "least gap at lobe tips and roots", "gap_mm"),
        Measure::HotBacklash => ("hot-backlash", "greatest backlash in operation", "geometric_backlash_rad"),
        Measure::LeastHotPlay => (
            "least-hot-play",
            "least play in operation; below nothing, parts press",
            "geometric_backlash_rad",
        ),
    }
}

const LOST_MOTION: &str = "lost-motion";

fn loaded_words(measure: LoadedMeasure) -> (&'static str, &'static str, &'static str) {
    match measure {
        LoadedMeasure::LostMotion => {
            (LOST_MOTION, "lost motion at ±3 % of the rated torque", "lost_motion_rad")
        }
        LoadedMeasure::RollerForceRatio => (
            "roller-force-ratio",
            "greatest roller force at the rated torque over that of parts as drawn",
            "roller_force_ratio",
        ),
        LoadedMeasure::RollerPressure => (
            "roller-pressure",
            "greatest pressure at a ring roller at the rated torque",
            "ring_roller_pressure_mpa",
        ),
        LoadedMeasure::DiscShareRatio => (
            "disc-share-ratio",
            "greatest share of a disc at the rated torque over an even one",
            "disc_share_ratio",
        ),
    }
}

fn sampling_words(sampling: Sampling) -> &'static str {
    match sampling {
        Sampling::Random => "independent random numbers",
        Sampling::Quasi => "scrambled Sobol points",
    }
}

fn distribution(id: &str, title: &str, quantity: &str, is_required: bool, tally: &Tally) -> Distribution {
    let (least, greatest) = tally.extremes();
    let bins: Vec<u64> = tally.bins.chunks(SHOWN_BIN).map(|bins| bins.iter().sum()).collect();
    let first = bins.iter().position(|count| *count > 0).unwrap_or(0);
    let last = bins.iter().rposition(|count| *count > 0).unwrap_or(0);
    Distribution {
        id: id.to_owned(),
        title: title.to_owned(),
        quantity: quantity.to_owned(),
        count: tally.count,
        mean: tally.mean(),
        mean_bound: tally.mean_bound(),
        standard_deviation: tally.deviation(),
        least,
        greatest,
        percentiles: [0.01, 0.05, 0.5, 0.95, 0.99].map(|share| tally.quantile(share)),
        limit: tally.limit().map(|limit| limit.value),
        limit_is_upper: tally.limit().map(|limit| limit.at_most),
        within: tally.share(),
        is_required,
        first_edge: tally.grid.edge(first * SHOWN_BIN),
        bin_width: tally.grid.edge(SHOWN_BIN) - tally.grid.edge(0),
        bins: bins[first..=last].to_vec(),
    }
}

/// Number of bins that a histogram has at most.
pub const MOST_SHOWN_BINS: usize = BIN_COUNT / SHOWN_BIN;

fn effects(work: &Work, tallied: &Tallied) -> Vec<ToleranceEffect> {
    let (backlash, error) = (tallied.shares.shares(0), tallied.shares.shares(1));
    let count = tallied.grades.count;
    let is_rigid = work.study.model.support.bearing == BearingLaw::Rigid;
    let acts = |group: &Group| match group.acts() {
        Acts::UnderLoad if is_rigid => Acts::Nowhere,
        acts => acts,
    };
    let mut effects: Vec<ToleranceEffect> = work
        .study
        .plan
        .groups
        .iter()
        .enumerate()
        .map(|(index, group)| {
            let spread = group.spread();
            let [tighter, looser] = tallied.grades.changed[index].map(|changed| yield_change(changed, count));
            ToleranceEffect {
                name: group.name.clone(),
                lower_mm: spread.lower_mm,
                upper_mm: spread.upper_mm,
                standard_deviation_mm: spread.moments_mm().1.sqrt(),
                acts: acts(group),
                of_backlash: backlash[index],
                of_transmission_error: error[index],
                one_grade_tighter: tighter,
                one_grade_looser: looser,
            }
        })
        .collect();
    let rank = |effect: &ToleranceEffect| effect.of_backlash.total.max(effect.of_transmission_error.total);
    if tallied.shares.rows >= LEAST_SAMPLE {
        effects.sort_by(|a, b| rank(b).total_cmp(&rank(a)));
    }
    effects
}

/// Change of a yield from the assemblies whose verdict changes: the others tell nothing about it.
fn yield_change(changed: Changed, count: u64) -> YieldChange {
    let n = count.max(1) as f64;
    let (gained, lost) = (changed.gained as f64, changed.lost as f64);
    let change = (gained - lost) / n;
    let variance = ((gained + lost) / n - change * change).max(0.0) / n;
    YieldChange { change, bound: Z_95 * variance.sqrt() }
}

/// Looks at some assemblies at many more crank angles than the study does.
#[must_use]
pub fn angle_check(study: &Study) -> AngleCheck {
    let dense = study.drawn.densely(MOST_DENSE_ANGLES);
    let ratio = study.output_ratio();
    let mut block = Block::new(&study.plan);
    block.draw(&study.plan, &study.source(), 0, LANES);
    let (seen, all) = (study.drawn.outcome(&block.deviations), dense.scan(&block.deviations));
    let mut check = AngleCheck {
        angle_count: study.drawn.crank_angles_rad().len(),
        dense_angle_count: dense.crank_angles_rad().len(),
        assembly_count: LANES,
        mean_backlash_shortfall_rad: 0.0,
        mean_error_shortfall_rad: 0.0,
        largest_shortfall_rad: 0.0,
        error_shortfall_share: 0.0,
        largest_error_shortfall_share: 0.0,
    };
    let mut mean_error_rad = 0.0;
    for lane in 0..LANES {
        let backlash = ratio * f64::from(all.greatest_backlash_rad[lane] - seen.greatest_backlash_rad[lane]);
        let whole_error = ratio * f64::from(all.transmission_error_rad(lane));
        let error = whole_error - ratio * f64::from(seen.transmission_error_rad(lane));
        mean_error_rad += whole_error / LANES as f64;
        if whole_error > 0.0 {
            check.largest_error_shortfall_share =
                check.largest_error_shortfall_share.max(error / whole_error);
        }
        check.mean_backlash_shortfall_rad += backlash / LANES as f64;
        check.mean_error_shortfall_rad += error / LANES as f64;
        check.largest_shortfall_rad = check.largest_shortfall_rad.max(backlash).max(error);
    }
    if mean_error_rad > 0.0 {
        check.error_shortfall_share = check.mean_error_shortfall_rad / mean_error_rad;
    }
    check
}

fn assumptions(sampling: Sampling) -> Vec<String> {
    let quasi = "Intervals are those of independent draws; evenly spread ones settle sooner, so for them they are too wide, most for means.";
    let quasi = (sampling == Sampling::Quasi).then_some(quasi);
    [
        "Backlash and transmission error are those of rigid parts with the bearings' centres held; gaps are linear in the deviations, which is good to about a hundredth of them, and to a tenth where parts overlap by several hundredths of a millimetre.",
        "Where parts press on each other without load, the output is taken to stand half-way between the two limits.",
        "A contact with less than half of the greatest lever stops the output only as far as 3 % of the rated torque presses it aside; at a quarter of the lever, near tips and roots of lobes, what is left of a roller's gap is told by itself.",
        "Variance shares and changes by one grade are those at the crank angles of the scan.",
        "The plain key profile stands for size, common form and pitch of the lobes with equal variances.",
        "One grade is the step of the standard where a class of ISO 286 gives the limits; on plain limits, and beyond the classes that are held, it is a factor of 1.6 on the width.",
        "A bearing clearance drawn below nothing, beyond its limits, is preload of a bearing's own rollers; a bearing of stated stiffness then has no clearance.",
        "Loaded assemblies leave friction out; their lost motion is the width between ±3 % of the rated torque.",
        "Tolerances are independent of each other, unless a callout says what comes out alike.",
    ]
    .into_iter()
    .chain(quasi)
    .map(str::to_owned)
    .collect()
}
