//! The verdict: everything computed, and every check and requirement as a finding.

use crate::accuracy::hysteresis::{HysteresisError, hysteresis};
use crate::bearing_loads::{BearingResults, bearings};
use crate::contact::ContactModel;
use crate::contact::build::{
    ContactMaterials, contact_model, expansion_in_operation, model_in_words, with_elastic_bodies,
};
use crate::dynamics;
use crate::dynamics::check::dynamics_findings;
use crate::finding::{self, Finding};
use crate::fit::fit_checks;
use crate::kinematics::kinematics;
use crate::loads::{self, LoadCasesError, LoadError};
use crate::losses;
use crate::losses::check::loss_findings;
use crate::losses::sweep::sweep;
use crate::mass;
use crate::materials::MaterialError;
use crate::model::{BearingModel, DiscModel, Drive};
use crate::results::{Assessment, GeometryResult, LoadCase};
use crate::shape::{self, ShapePlay};
use crate::thermal::Expansion;
use crate::watch::{CalledOff, Watch, to_the_end};
use crate::{requirement, strength};

/// A drive could not be assessed.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum AssessError {
    /// A part names a material that is not known.
    #[error(transparent)]
    Material(#[from] MaterialError),
    /// A load case has no equilibrium.
    #[error(transparent)]
    Load(#[from] LoadError),
    /// Nobody wants the result any more.
    #[error(transparent)]
    CalledOff(#[from] CalledOff),
}

impl From<LoadCasesError> for AssessError {
    fn from(error: LoadCasesError) -> Self {
        match error {
            LoadCasesError::Load(load) => Self::Load(load),
            LoadCasesError::CalledOff(called_off) => Self::CalledOff(called_off),
        }
    }
}

/// Everything about a drive: geometry, kinematics, loads, bearing life, and all findings sorted by margin.
///
/// A geometry that cannot mesh is no error: its findings say so, and what needs a mesh is not assessed.
///
/// # Errors
/// [`AssessError`] where a material is unknown or an equilibrium is not found.
pub fn assess(drive: &Drive) -> Result<Assessment, AssessError> {
    assess_watched(drive, &to_the_end)
}

/// [`assess`] that can be called off between two crank angles.
///
/// # Errors
/// As [`assess`], and [`AssessError::CalledOff`].
pub fn assess_watched(drive: &Drive, watch: Watch<'_>) -> Result<Assessment, AssessError> {
    let start = Start::of(drive)?;
    let geometry = shape::shape(drive, start.models(), start.density_kg_per_mm3());
    let Start { materials, drawn, model, meshes } = start;
    let model = if meshes { with_elastic_bodies(model, drive, &materials) } else { model };
    let load_cases = if meshes { loads::load_cases(drive, &model, &materials, watch)? } else { Vec::new() };
    let play = meshes.then(|| loads::play::play(drive, &model, &materials).ok()).flatten();
    let mut model_used = model_in_words(drive, &model);
    model_used.assumptions.extend(loads::linear_gaps_in_words(&load_cases, play.as_ref()));
    let mass = meshes.then(|| mass::masses(drive, &materials));
    let twist_loop = mass.as_ref().map(|mass| hysteresis(drive, &model, &materials, mass, watch));
    match &twist_loop {
        Some(Err(HysteresisError::CalledOff(called_off))) => return Err((*called_off).into()),
        Some(Err(error)) => {
            model_used.assumptions.push(format!("There is no torque–twist loop with friction: {error}."));
        }
        Some(Ok(_)) | None => {}
    }
    let carried_kg = mass.as_ref().map_or(0.0, |mass| mass.carried_mass_kg);
    let (losses, dynamics) = match mass {
        Some(mass) => {
            let sweep = sweep(drive, &model, &materials, &load_cases, watch)?;
            let losses = losses::losses(drive, &model, &materials, &mass, &sweep);
            (Some(losses), Some(dynamics::dynamics(drive, mass, &sweep, &load_cases)))
        }
        None => (None, None),
    };
    let heat = losses.as_ref().and_then(|losses| losses.heat.as_ref());
    let steady_k = heat.map(|heat| heat.steady_temperature_k);
    let bearings = bearings(drive, &load_cases, carried_kg, steady_k);
    let mut findings = fit_checks(drive, &geometry);
    let strength = strength::strength_checks(drive, &drawn, &materials, &load_cases, &bearings, steady_k);
    findings.extend(requirement::requirement_lines(drive, &geometry, &strength, &bearings));
    findings.extend(requirement::lost_motion(drive, play.as_ref(), twist_loop.as_ref(), &model));
    findings.extend(loss_findings(drive, losses.as_ref()));
    findings.extend(dynamics_findings(drive, dynamics.as_ref(), load_cases.first()));
    findings.extend(strength);
    let known = Known { geometry, load_cases, bearings };
    Ok(Assessment {
        model: model_used,
        contact_stresses: strength::contact_stress::contact_stresses(drive, &materials, &known.load_cases),
        play,
        torque_twist_loop: twist_loop.and_then(Result::ok),
        dynamics,
        losses,
        ..known.assessment(drive, &model, findings)
    })
}

/// What every look at a drive ends with.
struct Known {
    geometry: GeometryResult,
    load_cases: Vec<LoadCase>,
    bearings: BearingResults,
}

impl Known {
    /// Sorts the findings and puts all together; what a preview does not know is absent.
    fn assessment(self, drive: &Drive, model: &ContactModel, mut findings: Vec<Finding>) -> Assessment {
        finding::sort_by_margin(&mut findings);
        Assessment {
            name: drive.identity.name.clone(),
            model: model_in_words(drive, model),
            kinematics: kinematics(drive),
            geometry: self.geometry,
            contact_stresses: Vec::new(),
            load_cases: self.load_cases,
            play: None,
            torque_twist_loop: None,
            eccentric_bearing: self.bearings.eccentric.ok(),
            eccentric_bearing_spectrum: self.bearings.spectrum,
            output_bearing: self.bearings.output.ok(),
            input_bearings: self.bearings.input.unwrap_or_default(),
            dynamics: None,
            losses: None,
            cautions: cautions(drive),
            findings,
        }
    }
}

/// What every look at a drive begins with: its materials, and its contacts as drawn and in operation, bodies still rigid.
struct Start {
    materials: ContactMaterials,
    drawn: ContactModel,
    model: ContactModel,
    meshes: bool,
}

impl Start {
    fn of(drive: &Drive) -> Result<Self, MaterialError> {
        let materials = ContactMaterials::of(drive)?;
        let drawn = contact_model(drive, &materials, Expansion::NONE);
        let model = contact_model(drive, &materials, expansion_in_operation(drive, &materials));
        Ok(Self { materials, drawn, model, meshes: shape::meshes(drive) })
    }

    /// Both models where the geometry meshes, as the shape takes them.
    fn models(&self) -> Option<(&ContactModel, &ContactModel)> {
        self.meshes.then_some((&self.drawn, &self.model))
    }

    fn density_kg_per_mm3(&self) -> f64 {
        self.materials.disc.density_kg_per_mm3
    }

    /// Loads of these models and what they do, without heat; nothing where the geometry does not mesh.
    fn loaded(&self, drive: &Drive) -> Result<Loaded, AssessError> {
        let Self { materials, drawn, model, meshes } = self;
        let load_cases =
            if *meshes { loads::load_cases(drive, model, materials, &to_the_end)? } else { Vec::new() };
        let carried_kg = if *meshes { mass::masses(drive, materials).carried_mass_kg } else { 0.0 };
        let bearings = bearings(drive, &load_cases, carried_kg, None);
        let strength = strength::strength_checks(drive, drawn, materials, &load_cases, &bearings, None);
        Ok(Loaded { load_cases, bearings, strength })
    }
}

/// Loads of a preview and what they do.
struct Loaded {
    load_cases: Vec<LoadCase>,
    bearings: BearingResults,
    strength: Vec<Finding>,
}

/// A quick look at a drive: geometry as in [`assess`], and the loads of rigid discs on rigid bearings at a few crank angles.
#[derive(Clone, Debug)]
pub struct Preview {
    /// What is known; torque–twist loop, losses and dynamics are absent, and no finding speaks of them.
    pub assessment: Assessment,
    /// Ids of the findings that the whole assessment will not change.
    pub settled: Vec<&'static str>,
}

/// Crank angles of a preview.
const PREVIEW_ANGLES: usize = 24;

/// What can be said at once, before [`assess`] has found the loads of the file's own model.
///
/// # Errors
/// As [`assess`].
pub fn preview(drive: &Drive) -> Result<Preview, AssessError> {
    let mut quick = drive.clone();
    quick.model.disc = DiscModel::Rigid;
    quick.model.eccentric_bearing = BearingModel::Rigid;
    quick.model.crank_angle_count = PREVIEW_ANGLES;
    let drive = &quick;
    let start = Start::of(drive)?;
    let (play, loaded) = std::thread::scope(|scope| {
        let play = scope.spawn(|| ShapePlay::of(drive, start.models()));
        let loaded = start.loaded(drive);
        (play.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)), loaded)
    });
    let Loaded { load_cases, bearings, strength } = loaded?;
    let geometry =
        play.put_into(shape::shape_without_play(drive, start.models(), start.density_kg_per_mm3()));
    let lines = requirement::requirement_lines(drive, &geometry, &strength, &bearings);
    let of_shape = fit_checks(drive, &geometry);
    let settled = of_shape.iter().map(|finding| finding.id).chain(settled_lines(drive, &geometry, &lines));
    let settled = settled.collect();
    let mut findings = of_shape;
    findings.extend(lines);
    findings.extend(strength);
    let assessment = Known { geometry, load_cases, bearings }.assessment(drive, &start.model, findings);
    Ok(Preview { assessment, settled })
}

/// The checks of geometry alone, which take no loads.
///
/// # Errors
/// [`MaterialError`] where a material is unknown.
pub fn shape_findings(drive: &Drive) -> Result<Vec<Finding>, MaterialError> {
    let start = Start::of(drive)?;
    let geometry = shape::shape_without_play(drive, start.models(), start.density_kg_per_mm3());
    Ok(fit_checks(drive, &geometry))
}

/// Ids of the lines of the requirement that are the same without any loads.
fn settled_lines<'a>(
    drive: &Drive,
    geometry: &GeometryResult,
    lines: &'a [Finding],
) -> impl Iterator<Item = &'static str> + 'a {
    let no_bearings = bearings(drive, &[], 0.0, None);
    let bare = requirement::requirement_lines(drive, geometry, &[], &no_bearings);
    lines.iter().filter(move |line| bare.contains(line)).map(|line| line.id)
}

/// Model in operation and materials of a drive, for callers that ask for single crank angles.
///
/// # Errors
/// [`MaterialError`] where a material is unknown.
pub fn model_of(drive: &Drive) -> Result<(ContactModel, ContactMaterials), MaterialError> {
    let materials = ContactMaterials::of(drive)?;
    let expansion = expansion_in_operation(drive, &materials);
    let model = contact_model(drive, &materials, expansion);
    Ok((with_elastic_bodies(model, drive, &materials), materials))
}

/// The trade's cautions that apply to every drive, and those that this one calls for.
fn cautions(drive: &Drive) -> Vec<String> {
    let mut cautions = Vec::new();
    if drive.requirement.holds_load {
        cautions.push(
            "The load can move or fall: a cycloidal drive is not self-locking and can be driven back. Hold the load with a brake of its own, sized and tested for it."
                .to_owned(),
        );
    } else {
        cautions.push(
            "A cycloidal drive is not self-locking; do not rely on it to hold a load, or use it as a brake."
                .to_owned(),
        );
    }
    cautions.extend(
        [
            "Limit torque and speed at the machine: an overload can break pins or burst a disc without warning.",
            "Guard the drive and what it moves; keep hands out of the mesh, and block the axis before work on it.",
            "Rollers must be held axially, and in their seats when nothing presses them.",
            "Numbers here come from models of parts as drawn. Test a prototype under the whole duty cycle, with overload, before release.",
            "Local codes and the review of a qualified engineer decide; this calculation replaces neither.",
        ]
        .map(str::to_owned),
    );
    cautions
}
