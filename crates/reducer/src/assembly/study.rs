//! A Monte Carlo of assembled drives, cut into tasks that any thread or machine may take in any order.

use super::draw::DrawPlan;
use super::linear::{Growth, LANES, Lane, LinearDrive, Outcome, Places};
use super::random::{Sampling, Source};
use super::tally::{Grid, Limit, Tally};
use crate::contact::ContactModel;
use crate::contact::build::{ContactMaterials, contact_model, expansion_in_operation};
use crate::kinematics;
use crate::materials::MaterialError;
use crate::model::{DistributionKind, Drive};
use crate::shape;
use crate::thermal::{Expansion, STEEL_PER_K};
use crate::tolerance::callout::ToleranceError;
use crate::tolerance::tolerances;
use serde::{Deserialize, Serialize};

/// What a study is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Request {
    /// Assemblies of the study.
    pub assembly_count: u64,
    /// Of these, how many are also loaded.
    pub loaded_count: u64,
    /// Seed: the same one gives the same assemblies.
    pub seed: u64,
    /// How deviations are spread over the assemblies.
    pub sampling: Sampling,
    /// Least number of crank angles over an output turn.
    pub crank_angle_count: usize,
}

/// Assemblies of one task.
pub const TASK_ASSEMBLIES: u64 = 1024;
/// Assemblies that set the histograms' range; every shard works them out.
const PILOT_ASSEMBLIES: u64 = 512;
/// Wider than any deviation drawn, so that tolerances one grade looser keep the same contacts.
const ROOM_FOR_LOOSER: f64 = 2.0;
/// Largest normal number that a uniform number of 24 bits stands for, in standard deviations.
const LARGEST_NORMAL: f64 = 5.5;
/// Quantum of angles: a millionth of a microradian.
const ANGLE_QUANTUM_RAD: f64 = 1e-12;
/// Quantum of lengths: a picometre.
const LENGTH_QUANTUM_MM: f64 = 1e-9;

/// A study could not be set up.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum StudyError {
    /// A callout makes no sense.
    #[error("{}\n\nhint: {}", .0, .0.mistake.hint())]
    Tolerance(#[from] ToleranceError),
    /// A material is unknown.
    #[error(transparent)]
    Material(#[from] MaterialError),
    /// The geometry does not mesh.
    #[error(
        "the geometry does not mesh, so there is nothing to assemble\n\nhint: `lobewright check` says why"
    )]
    NoMesh,
    /// Parts as drawn have no equilibrium under load.
    #[error("parts as drawn: {0}")]
    NoEquilibrium(String),
    /// Nothing has a tolerance.
    #[error("the drive has no tolerances, so all assemblies are alike\n\nhint: state them in `[tolerances]`")]
    NoTolerances,
}

/// What is counted for every assembly, without load.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Measure {
    /// Greatest play over the output turn.
    Backlash,
    /// Least play over the output turn; below nothing where discs and ring block each other.
    LeastPlay,
    /// Peak to peak of the output's angle, the worse flank.
    TransmissionError,
    /// Least gap of rollers at tips and roots.
    TipGap,
    /// Greatest play at the temperatures in operation.
    HotBacklash,
    /// Least play at the temperatures in operation.
    LeastHotPlay,
}

impl Measure {
    /// All of them, in order.
    pub const ALL: [Self; 6] = [
        Self::Backlash,
        Self::LeastPlay,
        Self::TransmissionError,
        Self::TipGap,
        Self::HotBacklash,
        Self::LeastHotPlay,
    ];

    /// Whether its limit is a requirement of the axis; that nothing presses is told beside.
    #[must_use]
    pub fn is_required(self) -> bool {
        matches!(self, Self::Backlash | Self::TransmissionError)
    }

    fn quantum(self) -> f64 {
        if self == Self::TipGap { LENGTH_QUANTUM_MM } else { ANGLE_QUANTUM_RAD }
    }

    /// Value of an assembly, rotations being those of the plate.
    fn of(self, drawn: &Outcome, hot: Option<&Outcome>, lane: usize) -> f64 {
        let hot = hot.unwrap_or(drawn);
        f64::from(match self {
            Self::Backlash => drawn.greatest_backlash_rad[lane],
            Self::LeastPlay => drawn.least_backlash_rad[lane],
            Self::TransmissionError => drawn.transmission_error_rad(lane),
            Self::TipGap => drawn.tip_gap_mm[lane],
            Self::HotBacklash => hot.greatest_backlash_rad[lane],
            Self::LeastHotPlay => hot.least_backlash_rad[lane],
        })
    }
}

/// A study set up: nominal rows, plan of the draws, grids of the histograms.
#[derive(Clone, Debug)]
pub struct Study {
    /// What was asked.
    pub request: Request,
    /// How numbers become deviations.
    pub plan: DrawPlan,
    /// The drive as drawn, at 20 °C.
    pub drawn: LinearDrive,
    /// The drive at its temperatures in operation, where they change gaps.
    pub hot: Option<LinearDrive>,
    /// Model as drawn.
    pub model: ContactModel,
    places: Places,
    /// Size of the output's rotation for one of the plate.
    output_ratio: f64,
    grids: Vec<Grid>,
    limits: Vec<Option<Limit>>,
}

/// What tasks of a study have counted so far.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Counted {
    /// One tally for each measure.
    pub tallies: Vec<Tally>,
    /// Assemblies that meet every requirement without load.
    pub meets_all: u64,
    /// Assemblies whose parts press on each other without load at every crank angle.
    pub blocked: u64,
    /// Assemblies seen.
    pub count: u64,
}

impl Counted {
    /// Adds what other tasks have counted.
    pub fn merge(&mut self, other: &Self) {
        for (tally, more) in self.tallies.iter_mut().zip(&other.tallies) {
            tally.merge(more);
        }
        self.meets_all += other.meets_all;
        self.blocked += other.blocked;
        self.count += other.count;
    }
}

impl Study {
    /// Sets a study up of parts as drawn alone, whose extremes are those of the scan: enough for gaps at tips and roots, and a rough play.
    ///
    /// # Errors
    /// As [`Self::new`].
    pub fn rough(drive: &Drive, request: Request) -> Result<Self, StudyError> {
        Self::at(drive, request, Places::Wide)
    }

    /// Sets a study up.
    ///
    /// # Errors
    /// [`StudyError`] where the drive has no tolerances, does not mesh, or names what is not known.
    pub fn new(drive: &Drive, request: Request) -> Result<Self, StudyError> {
        Self::at(drive, request, Places::Close)
    }

    fn at(drive: &Drive, request: Request, places: Places) -> Result<Self, StudyError> {
        let materials = ContactMaterials::of(drive)?;
        let plan = draw_plan(drive)?;
        if !shape::meshes(drive) {
            return Err(StudyError::NoMesh);
        }
        let model = contact_model(drive, &materials, Expansion::NONE);
        let angles = (request.crank_angle_count, places);
        let mut largest = plan.largest_mm();
        largest.iter_mut().for_each(|value| *value *= ROOM_FOR_LOOSER as f32);
        let (warm, cold) = (plan.slots.ring_temperature(), &mut largest.clone());
        cold[warm..].fill(0.0);
        let drawn = LinearDrive::new(&model, Growth::default(), plan.slots, angles, cold);
        let expansion = expansion_in_operation(drive, &materials);
        let has_band = largest[warm..].iter().any(|band| *band > 0.0);
        let tells_heat = places == Places::Close && (has_band || grows_unevenly(&expansion, drive));
        let hot = tells_heat.then(|| {
            let hot = contact_model(drive, &materials, expansion);
            LinearDrive::new(&hot, growth(&materials), plan.slots, angles, &largest)
        });
        let output_ratio = kinematics::plate_to_output(&drive.geometry).abs();
        let limits = limits(drive);
        let mut study =
            Self { request, plan, drawn, hot, model, places, output_ratio, grids: Vec::new(), limits };
        study.grids = study.pilot();
        Ok(study)
    }

    /// The same study with other deviations, and rows that leave room for them.
    #[must_use]
    pub fn with(&self, plan: DrawPlan, drawn: LinearDrive) -> Self {
        Self { plan, drawn, ..self.clone() }
    }

    /// Tasks without load.
    #[must_use]
    pub fn task_count(&self) -> u64 {
        self.request.assembly_count.div_ceil(TASK_ASSEMBLIES)
    }

    /// Nothing counted yet.
    #[must_use]
    pub fn nothing(&self) -> Counted {
        let tally = |(grid, limit): (&Grid, &Option<Limit>)| Tally::new(*grid, *limit);
        let tallies = self.grids.iter().zip(&self.limits).map(tally).collect();
        Counted { tallies, meets_all: 0, blocked: 0, count: 0 }
    }

    /// Counts the assemblies of one task.
    pub fn run(&self, task: u64, counted: &mut Counted) {
        let first = task * TASK_ASSEMBLIES;
        let last = (first + TASK_ASSEMBLIES).min(self.request.assembly_count);
        let mut memory = Block::new(&self.plan);
        for start in (first..last).step_by(LANES) {
            let lanes = (last - start).min(LANES as u64) as usize;
            memory.draw(&self.plan, &self.source(), start, lanes);
            let (drawn, hot) = self.outcomes(&memory.deviations);
            for lane in 0..lanes {
                self.count(&drawn, hot.as_ref(), lane, counted);
            }
        }
    }

    fn count(&self, drawn: &Outcome, hot: Option<&Outcome>, lane: usize, counted: &mut Counted) {
        for (measure, tally) in Measure::ALL.iter().zip(&mut counted.tallies) {
            tally.add(self.value(*measure, drawn, hot, lane));
        }
        counted.meets_all += u64::from(self.holds(drawn, lane));
        counted.blocked += u64::from(drawn.greatest_backlash_rad[lane] < 0.0);
        counted.count += 1;
    }

    /// Size of the output's rotation for one of the plate.
    #[must_use]
    pub fn output_ratio(&self) -> f64 {
        self.output_ratio
    }

    /// Value of an assembly at the output.
    fn value(&self, measure: Measure, drawn: &Outcome, hot: Option<&Outcome>, lane: usize) -> f64 {
        let ratio = if measure == Measure::TipGap { 1.0 } else { self.output_ratio };
        ratio * measure.of(drawn, hot, lane)
    }

    /// What deviations come to, as drawn and in operation.
    #[must_use]
    pub fn outcomes(&self, deviations: &[Lane]) -> (Outcome, Option<Outcome>) {
        let of = |drive: &LinearDrive| match self.places {
            Places::Close => drive.outcome(deviations),
            Places::Wide => drive.scan(deviations),
        };
        (of(&self.drawn), self.hot.as_ref().map(of))
    }

    /// Whether the assemblies of a block meet every requirement without load at the crank angles of the scan, which are all for parts as drawn.
    ///
    /// What the scan misses of the extremes it misses before and after a change of grade alike.
    #[must_use]
    pub fn scanned_verdicts(&self, deviations: &[Lane], lanes: usize) -> Vec<bool> {
        let drawn = self.drawn.scan(deviations);
        (0..lanes).map(|lane| self.holds(&drawn, lane)).collect()
    }

    /// Whether one assembly, given by the deviations of all slots, meets every requirement without load.
    #[must_use]
    pub fn verdict(&self, deviations_mm: &[f64]) -> bool {
        let alone: Vec<Lane<1>> = deviations_mm.iter().map(|value| [*value as f32]).collect();
        self.holds(&self.drawn.outcome(&alone), 0)
    }

    /// Whether an assembly meets every requirement without load; one whose parts press on each other at every angle meets none.
    fn holds<const L: usize>(&self, drawn: &Outcome<L>, lane: usize) -> bool {
        let ratio = self.output_ratio;
        let within = |measure: Measure, value: f32| {
            self.limits[measure as usize].is_none_or(|limit| limit.holds(ratio * f64::from(value)))
        };
        let backlash_rad = drawn.greatest_backlash_rad[lane];
        backlash_rad >= 0.0
            && within(Measure::Backlash, backlash_rad)
            && within(Measure::TransmissionError, drawn.transmission_error_rad(lane))
    }

    /// Whether a requirement of backlash or transmission error is stated.
    #[must_use]
    pub fn has_requirement(&self) -> bool {
        Measure::ALL.iter().any(|measure| measure.is_required() && self.limits[*measure as usize].is_some())
    }

    /// The source of the study's numbers.
    #[must_use]
    pub fn source(&self) -> Source {
        Source { seed: self.request.seed, sampling: self.request.sampling, sample: 0 }
    }

    /// Deviations of one assembly.
    #[must_use]
    pub fn deviations_mm(&self, assembly: u64) -> Vec<f64> {
        self.plan.deviations_mm(&self.source(), assembly)
    }

    fn pilot(&self) -> Vec<Grid> {
        let mut values = vec![Vec::new(); Measure::ALL.len()];
        let mut memory = Block::new(&self.plan);
        for start in (0..PILOT_ASSEMBLIES).step_by(LANES) {
            memory.draw(&self.plan, &self.source(), start, LANES);
            let (drawn, hot) = self.outcomes(&memory.deviations);
            for lane in 0..LANES {
                for (measure, values) in Measure::ALL.iter().zip(&mut values) {
                    values.push(self.value(*measure, &drawn, hot.as_ref(), lane));
                }
            }
        }
        let grid = |((measure, values), limit): ((&Measure, Vec<f64>), &Option<Limit>)| {
            Grid::around(&values, measure.quantum()).with_edge_at(*limit)
        };
        Measure::ALL.iter().zip(values).zip(&self.limits).map(grid).collect()
    }
}

/// How the tolerances of a drive are drawn.
///
/// # Errors
/// [`StudyError`] where a callout makes no sense or nothing has a tolerance.
pub fn draw_plan(drive: &Drive) -> Result<DrawPlan, StudyError> {
    let plan = DrawPlan::new(drive, &tolerances(drive)?);
    if plan.groups.is_empty() { Err(StudyError::NoTolerances) } else { Ok(plan) }
}

/// Memory for the deviations of a block of assemblies.
pub struct Block {
    numbers: Vec<f32>,
    /// Deviations by slot, then assembly.
    pub deviations: Vec<Lane>,
}

impl Block {
    /// Memory for a plan.
    #[must_use]
    pub fn new(plan: &DrawPlan) -> Self {
        Self { numbers: vec![0.0; plan.number_count], deviations: vec![[0.0; LANES]; plan.slots.count()] }
    }

    /// Draws assemblies from a number on.
    pub fn draw(&mut self, plan: &DrawPlan, source: &Source, first: u64, lanes: usize) {
        let flat = self.deviations.as_flattened_mut();
        flat.fill(0.0);
        for lane in 0..lanes {
            source.fill(first + lane as u64, &mut self.numbers);
            plan.add(&self.numbers, flat, LANES, lane);
        }
    }
}

/// Whether parts grow so differently that gaps change by more than a tenth of a micrometre.
fn grows_unevenly(expansion: &Expansion, drive: &Drive) -> bool {
    let parts = [expansion.ring, expansion.roller, expansion.disc, expansion.crank];
    let range = parts
        .iter()
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), part| (low.min(*part), high.max(*part)));
    (range.1 - range.0) * drive.geometry.ring_radius_mm > LEAST_GROWTH_MM
}

/// Growth that gaps notice.
const LEAST_GROWTH_MM: f64 = 1e-4;

/// Requirements that tallies are held against, in the order of the measures.
fn limits(drive: &Drive) -> Vec<Option<Limit>> {
    let at_most = |value: Option<f64>| value.map(|value| Limit { value, at_most: true });
    let at_least_nothing = Some(Limit { value: 0.0, at_most: false });
    Measure::ALL
        .iter()
        .map(|measure| match measure {
            Measure::Backlash => at_most(drive.requirement.geometric_backlash_rad),
            Measure::TransmissionError => at_most(drive.requirement.transmission_error_rad),
            Measure::LeastPlay | Measure::LeastHotPlay | Measure::TipGap => at_least_nothing,
            Measure::HotBacklash => None,
        })
        .collect()
}

fn growth(materials: &ContactMaterials) -> Growth {
    Growth {
        ring_per_k: materials.ring.thermal_expansion_per_k,
        roller_per_k: materials.roller.thermal_expansion_per_k,
        disc_per_k: materials.disc.thermal_expansion_per_k,
        crank_per_k: STEEL_PER_K,
    }
}

/// Largest value of a spread, as a multiple of its limits or of its deviation.
pub(super) fn largest_mm(spread: &crate::tolerance::Spread) -> f64 {
    let limits = spread.lower_mm.abs().max(spread.upper_mm.abs());
    match spread.shape {
        DistributionKind::Normal => {
            let middle = 0.5 * (spread.lower_mm + spread.upper_mm);
            middle.abs() + spread.off_centre_mm() + LARGEST_NORMAL * spread.process_deviation_mm()
        }
        DistributionKind::TruncatedNormal | DistributionKind::Uniform => limits,
    }
}
