//! The accuracy of one drive in all: without load over a whole output turn, and under load.

use super::turn::{TurnResult, turn};
use crate::assembly::random::{Sampling, Source};
use crate::assembly::study::{StudyError, draw_plan};
use crate::contact::ContactModel;
use crate::contact::build::{ContactMaterials, contact_model};
use crate::model::Drive;
use crate::results::{Assessment, LoadCase};
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
    Ok(AccuracyResult {
        which,
        turn: turn(drive, &model),
        loaded_error_rad: assessment.load_cases.first().and_then(loaded_error_rad),
    })
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
