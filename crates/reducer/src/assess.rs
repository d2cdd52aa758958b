//! The verdict: everything computed, and every check and requirement as a finding.

use crate::bearing::{self, life};
use crate::contact::ContactModel;
use crate::contact::build::{ContactMaterials, contact_model, expansion_in_operation, model_in_words};
use crate::finding;
use crate::fit::fit_checks;
use crate::kinematics::{self, kinematics};
use crate::loads::{self, LoadError};
use crate::materials::MaterialError;
use crate::model::Drive;
use crate::results::{Assessment, BearingResult, LoadCase};
use crate::shape;
use crate::thermal::Expansion;
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
}

/// Everything about a drive: geometry, kinematics, loads, bearing life, and all findings sorted by margin.
///
/// A geometry that cannot mesh is no error: its findings say so, and what needs a mesh is not assessed.
///
/// # Errors
/// [`AssessError`] where a material is unknown or an equilibrium is not found.
pub fn assess(drive: &Drive) -> Result<Assessment, AssessError> {
    let materials = ContactMaterials::of(drive)?;
    let drawn = contact_model(drive, &materials, Expansion::NONE);
    let model = contact_model(drive, &materials, expansion_in_operation(drive, &materials));
    let meshes = shape::meshes(drive);
    let models = meshes.then_some((&drawn, &model));
    let geometry = shape::shape(drive, models, materials.disc.density_kg_per_mm3);
    let load_cases = if meshes { loads::load_cases(drive, &model, &materials)? } else { Vec::new() };
    let bearing = eccentric_bearing(drive, &load_cases);
    let mut findings = fit_checks(drive, &geometry);
    let strength = strength::strength_checks(drive, &drawn, &materials, &load_cases, &bearing);
    findings.extend(requirement::requirement_lines(drive, &geometry, &strength, bearing.as_ref().ok()));
    findings.extend(strength);
    finding::sort_by_margin(&mut findings);
    Ok(Assessment {
        name: drive.identity.name.clone(),
        model: model_in_words(drive, &model),
        kinematics: kinematics(drive),
        geometry,
        load_cases,
        eccentric_bearing: bearing.ok(),
        cautions: cautions(drive),
        findings,
    })
}

/// Model in operation and materials of a drive, for callers that ask for single crank angles.
///
/// # Errors
/// [`MaterialError`] where a material is unknown.
pub fn model_of(drive: &Drive) -> Result<(ContactModel, ContactMaterials), MaterialError> {
    let materials = ContactMaterials::of(drive)?;
    let expansion = expansion_in_operation(drive, &materials);
    Ok((contact_model(drive, &materials, expansion), materials))
}

/// Life and safety of the eccentric bearing that carries most, or why there are none.
fn eccentric_bearing(drive: &Drive, load_cases: &[LoadCase]) -> Result<BearingResult, String> {
    if load_cases.is_empty() {
        return Err("the geometry does not mesh, so there are no loads".to_owned());
    }
    let exponent = bearing::life_exponent(drive.bearings.eccentric.kind);
    let in_duty = || load_cases.iter().filter_map(|case| case.time_share.map(|share| (case, share)));
    let duty_of = |disc: usize| -> Vec<life::DutyLoad> {
        in_duty()
            .map(|(case, time_share)| life::DutyLoad {
                load_n: life::mean_over_turn_n(
                    case.poses.iter().map(|pose| {
                        let [x, y] = pose.discs[disc].bearing_force_n;
                        (x * x + y * y).sqrt()
                    }),
                    exponent,
                ),
                speed_rad_per_s: kinematics::eccentric_bearing_speed_rad_per_s(
                    &drive.geometry,
                    case.input_speed_rad_per_s,
                ),
                time_share,
            })
            .collect()
    };
    let greatest_force_n =
        load_cases.iter().map(|case| case.extremes.bearing_force.value).fold(0.0, f64::max);
    (0..drive.geometry.disc_count)
        .map(|disc| bearing::assess(&drive.bearings.eccentric, &duty_of(disc), greatest_force_n))
        .collect::<Result<Vec<_>, _>>()
        .map_err(|error| error.to_string())?
        .into_iter()
        .flatten()
        .min_by(|a, b| a.life_s.total_cmp(&b.life_s))
        .ok_or_else(|| "nothing in the duty cycle turns and loads the bearing".to_owned())
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
