//! Dynamics: shaking of discs on a crank, balance grade.

use super::{Inputs, ModelError, Outputs};
use reducer::dynamics::balance::{Unbalance, permissible_unbalance_kg_mm, plane_shares};
use reducer::units::{Dimension as D, rotating_force_n};

/// Force and couple of discs evenly spread round the crank.
///
/// # Errors
/// If inputs do not read.
pub fn shaking(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let unbalance = inputs.quantity("disc_mass", D::Mass)? * inputs.quantity("eccentricity", D::Length)?;
    let pitch = inputs.optional("disc_pitch", D::Length)?.unwrap_or_default();
    let places: Vec<f64> = (0..inputs.count("disc_count")?).map(|disc| disc as f64 * pitch).collect();
    let speed = inputs.quantity("speed", D::AngularSpeed)?;
    let sum = Unbalance::of_discs(&places, unbalance);
    let couple = rotating_force_n(1.0, sum.couple_kg_mm2.norm(), speed);
    let outputs = Outputs::default()
        .with("disc_unbalance", unbalance, D::Unbalance)
        .with("unbalance", sum.force_kg_mm.norm(), D::Unbalance)
        .with("couple_unbalance", sum.couple_kg_mm2.norm(), D::Inertia)
        .with("shaking_force", rotating_force_n(1.0, sum.force_kg_mm.norm(), speed), D::Force)
        .with("shaking_couple", couple, D::Torque);
    let Some(span) = inputs.optional("bearing_span", D::Length)? else { return Ok(outputs) };
    let (first, _) = sum.in_planes_kg_mm((0.0, span));
    Ok(outputs.with("bearing_reaction", rotating_force_n(1.0, first.norm(), speed), D::Force))
}

/// Permissible unbalance for a grade; with the distances of the bearings from the centre of mass, shared between them.
///
/// # Errors
/// If inputs do not read.
pub fn balance_grade(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let grade = inputs.quantity("balance_grade", D::Speed)?;
    let mass = inputs.quantity("rotor_mass", D::Mass)?;
    let speed = inputs.quantity("speed", D::AngularSpeed)?;
    let permissible = permissible_unbalance_kg_mm(grade, mass, speed);
    let outputs = Outputs::default().with("permissible_unbalance", permissible, D::Unbalance).with(
        "permissible_eccentricity",
        permissible / mass,
        D::Length,
    );
    let first = inputs.optional("first_bearing_distance", D::Length)?;
    let second = inputs.optional("second_bearing_distance", D::Length)?;
    let Some((first, second)) = first.zip(second) else { return Ok(outputs) };
    let (share, other) = plane_shares((-first, second), 0.0);
    Ok(outputs.with("first_unbalance", share * permissible, D::Unbalance).with(
        "second_unbalance",
        other * permissible,
        D::Unbalance,
    ))
}
