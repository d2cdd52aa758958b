//! The accuracy of one drive in all: without load over a whole output turn, and under load.

use super::turn::{AtAngle, TurnResult, turn};
use crate::assembly::random::{Sampling, Source};
use crate::assembly::study::{StudyError, draw_plan};
use crate::contact::ContactModel;
use crate::contact::build::{ContactMaterials, contact_model};
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::model::Drive;
use crate::registry;
use crate::results::{Assessment, Extreme, LoadCase, LoopReading};
use crate::thermal::Expansion;
use schemars::JsonSchema;
use serde::Serialize;
use std::sync::Arc;

/// Which drive: as drawn, or one of a study.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Which {
    /// Number of the assembly in the study, from nothing; the drive as drawn where absent.
    pub assembly: Option<u64>,
    /// Seed of the study.
    pub seed: u64,
    /// How the study spreads its deviations over the assemblies.
    pub sampling: Sampling,
}

/// Accuracy of one drive.
#[derive(Clone, Debug, PartialEq, Serialize, JsonSchema)]
pub struct AccuracyResult {
    /// Which drive.
    pub which: Which,
    /// Without load, over a whole output turn.
    pub turn: TurnResult,
    /// Peak to peak of the output's angle under the rated torque, parts as drawn; absent without loads.
    pub loaded_error_rad: Option<f64>,
    /// Under torque with the crank held, parts as drawn at their temperatures in operation.
    pub under_torque: UnderTorque,
    /// How this drive stands to what is required of its accuracy; lost motion and stiffness are those of parts as drawn.
    pub requirements: Vec<Finding>,
}

/// What gives, plays and rubs under torque with the crank held: once with friction, off the torque–twist loop, and once without.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, JsonSchema)]
pub struct UnderTorque {
    /// With friction: least slope of torque over the loading branches of the loop between half and full rated torque; absent without a loop.
    pub loading_stiffness_n_mm_per_rad: Option<f64>,
    /// With friction: the same slope of the mid-line, whose ends are the tips of the loop.
    pub mid_line_stiffness_n_mm_per_rad: Option<f64>,
    /// Without friction: slope of torque over the mean elastic wind-up between half and full rated torque.
    pub secant_stiffness_n_mm_per_rad: Option<f64>,
    /// With friction: greatest lost motion at ±3 % of the rated torque on the mid-line of the loop.
    pub lost_motion: Option<Extreme>,
    /// Without friction: greatest twist between ±3 % of the rated torque.
    pub frictionless_lost_motion: Option<Extreme>,
    /// With friction: greatest width of the loop at no torque, play in it.
    pub hysteresis_width: Option<Extreme>,
    /// Without friction: greatest play with that of bearings.
    pub free_play: Option<Extreme>,
}

impl UnderTorque {
    /// Of an assessment; nothing of what it lacks.
    #[must_use]
    pub fn of(assessment: &Assessment) -> Self {
        let twist_loop = assessment.torque_twist_loop.as_ref();
        let least = |stiffness: fn(&LoopReading) -> Option<f64>| {
            let readings = twist_loop?.readings.iter();
            readings.filter_map(|at| stiffness(&at.reading)).min_by(f64::total_cmp)
        };
        Self {
            loading_stiffness_n_mm_per_rad: least(|reading| reading.loading_stiffness_n_mm_per_rad),
            mid_line_stiffness_n_mm_per_rad: least(|reading| reading.mid_line_stiffness_n_mm_per_rad),
            secant_stiffness_n_mm_per_rad: assessment
                .dynamics
                .as_ref()
                .and_then(|dynamics| dynamics.secant_stiffness_n_mm_per_rad),
            lost_motion: twist_loop.map(|twist_loop| twist_loop.lost_motion),
            frictionless_lost_motion: assessment.play.map(|play| play.lost_motion),
            hysteresis_width: twist_loop.map(|twist_loop| twist_loop.hysteresis_width),
            free_play: assessment.play.map(|play| play.free_play),
        }
    }
}

/// Accuracy of a drive as drawn, or of one assembly of the study with a seed.
///
/// # Errors
/// [`StudyError`] where the geometry does not mesh, or an assembly is asked for and there are no tolerances.
pub fn accuracy(drive: &Drive, assessment: &Assessment, which: Which) -> Result<AccuracyResult, StudyError> {
    if !crate::shape::meshes(drive) {
        return Err(StudyError::NoMesh);
    }
    let drawn = contact_model(drive, &ContactMaterials::of(drive)?, Expansion::NONE);
    let model = match which.assembly {
        None => drawn,
        Some(assembly) => {
            let plan = draw_plan(drive)?;
            let source = Source { seed: which.seed, sampling: which.sampling, sample: 0 };
            let values = plan.deviations_mm(&source, assembly);
            let made = plan.slots.deviations(&values, drive.geometry.eccentricity_mm);
            ContactModel { deviations: Some(Arc::new(made)), ..drawn }
        }
    };
    let turn = turn(drive, &model);
    Ok(AccuracyResult {
        which,
        requirements: requirements(drive, &turn, assessment),
        turn,
        loaded_error_rad: assessment.load_cases.first().and_then(loaded_error_rad),
        under_torque: UnderTorque::of(assessment),
    })
}

/// Findings of an assessment about parts as drawn under torque that are requirements of accuracy.
const AS_DRAWN: [&str; 2] = ["lost-motion", "torsional-stiffness"];

/// Every requirement of accuracy that the drive file states, against this drive.
fn requirements(drive: &Drive, turn: &TurnResult, assessment: &Assessment) -> Vec<Finding> {
    let AtAngle { backlash_rad, crank_angle_rad } = turn.greatest_backlash;
    let over_the_turn = [
        drive.requirement.geometric_backlash_rad.map(|limit| Check {
            id: "geometric-backlash",
            title: "greatest backlash over an output turn",
            quantity: "geometric_backlash_rad",
            place: format!("crank at {}", registry::display("crank_angle_rad", crank_angle_rad)),
            formula: "geometric-backlash",
            hint: "reduce equidistant_offset or hole_clearance, or tighten tolerances".to_owned(),
            key: "requirement.geometric_backlash",
            ..check(backlash_rad, limit)
        }),
        drive.requirement.transmission_error_rad.map(|limit| Check {
            id: "transmission-error",
            title: "transmission error over an output turn",
            quantity: "transmission_error_rad",
            place: "the worse flank".to_owned(),
            hint: "the strongest orders of the error say which tolerance to tighten".to_owned(),
            key: "requirement.transmission_error",
            ..check(turn.transmission_error_rad(), limit)
        }),
    ];
    let as_drawn = assessment.findings.iter().filter(|finding| AS_DRAWN.contains(&finding.id));
    over_the_turn.into_iter().flatten().map(Check::finding).chain(as_drawn.cloned()).collect()
}

/// A value that must not pass above a limit of the requirement.
fn check(value: f64, limit: f64) -> Check {
    Check {
        id: "",
        subject: Subject::Requirement,
        title: "",
        quantity: "",
        value,
        limit,
        sense: Sense::AtMost,
        scale: if limit == 0.0 { 1.0 } else { limit },
        when_broken: Standing::Fails,
        place: String::new(),
        formula: "",
        hint: String::new(),
        key: "",
    }
}

/// Peak to peak of the output's angle under a load case, over the crank angles at which it was computed.
///
/// **Source** `[common-practice]`: the error of the loaded drive is what its angle does beside the ratio.
#[must_use]
pub fn loaded_error_rad(case: &LoadCase) -> Option<f64> {
    let angles = || case.poses.iter().map(|pose| pose.plate_rotation_rad);
    let (least, most) = angles().fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)));
    (!case.poses.is_empty()).then_some(most - least)
}
