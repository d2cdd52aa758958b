//! Line contact: modulus, pressure, approach.

use super::{Inputs, ModelError, Outputs};
use reducer::hertz::{Elastic, LineGeometry, contact_modulus_mpa, relative_curvature_per_mm};
use reducer::line_contact::LineContact;
use reducer::units::Dimension as D;

/// Two bodies: `elastic_modulus` and `poisson_ratio` for both, or with `_a` and `_b` for each.
pub(super) fn bodies(inputs: &Inputs) -> Result<(Elastic, Elastic), ModelError> {
    if let Some(elastic_modulus_mpa) = inputs.optional("elastic_modulus", D::Stress)? {
        let body =
            Elastic { elastic_modulus_mpa, poisson_ratio: inputs.quantity("poisson_ratio", D::Plain)? };
        return Ok((body, body));
    }
    let body = |modulus, ratio| {
        let elastic_modulus_mpa = inputs.quantity(modulus, D::Stress)?;
        Ok::<_, ModelError>(Elastic { elastic_modulus_mpa, poisson_ratio: inputs.quantity(ratio, D::Plain)? })
    };
    Ok((body("elastic_modulus_a", "poisson_ratio_a")?, body("elastic_modulus_b", "poisson_ratio_b")?))
}

/// Curvature from `relative_radius`, or `radius_a` with `radius_b` (convex positive), `radius_b_concave_positive`, or nothing for a flat.
fn curvature_per_mm(inputs: &Inputs) -> Result<f64, ModelError> {
    if let Some(radius_mm) = inputs.optional("relative_radius", D::Length)? {
        return Ok(1.0 / radius_mm);
    }
    let radius_a_mm = inputs.quantity("radius_a", D::Length)?;
    let stated = inputs.optional("radius_b", D::Length)?;
    let turned = inputs.optional("radius_b_concave_positive", D::Length)?;
    let radius_b_mm = stated.or(turned.map(|radius| -radius)).unwrap_or(f64::INFINITY);
    Ok(relative_curvature_per_mm(radius_a_mm, radius_b_mm))
}

/// E*.
///
/// # Errors
/// If inputs do not read.
pub fn modulus(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let (a, b) = bodies(inputs)?;
    Ok(Outputs::default().with("contact_modulus", contact_modulus_mpa(&a, &b), D::Stress))
}

/// Two cylinders side by side.
pub(super) fn line_geometry(inputs: &Inputs) -> Result<LineGeometry, ModelError> {
    let (a, b) = bodies(inputs)?;
    Ok(LineGeometry {
        length_mm: inputs.quantity("length", D::Length)?,
        relative_curvature_per_mm: curvature_per_mm(inputs)?,
        contact_modulus_mpa: contact_modulus_mpa(&a, &b),
    })
}

/// Hertz pressure and what goes with it.
///
/// # Errors
/// If inputs do not read.
pub fn pressure(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let geometry = line_geometry(inputs)?;
    let state = geometry.under(inputs.quantity("force", D::Force)?);
    Ok(Outputs::default()
        .with("relative_radius", 1.0 / geometry.relative_curvature_per_mm, D::Length)
        .with("pressure", state.pressure_mpa, D::Stress)
        .with("half_width", state.half_width_mm, D::Length)
        .with("shear", state.shear_mpa, D::Stress)
        .with("shear_depth", state.shear_depth_mm, D::Length))
}

/// Palmgren's approach, and its way back.
///
/// # Errors
/// If inputs do not read.
pub fn palmgren(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let contact = LineContact::palmgren(inputs.quantity("length", D::Length)?);
    approach(contact, inputs.quantity("force", D::Force)?)
}

/// Approach after Brändlein.
///
/// # Errors
/// If inputs do not read.
pub fn brandlein(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let contact = LineContact::brandlein(inputs.quantity("length", D::Length)?);
    approach(contact, inputs.quantity("force", D::Force)?)
}

/// Approach of two cylinders, each to its depth.
///
/// # Errors
/// If inputs do not read.
pub fn two_cylinders(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let (a, b) = bodies(inputs)?;
    let length_mm = inputs.quantity("length", D::Length)?;
    let (depth_a_mm, depth_b_mm) =
        (inputs.quantity("depth_a", D::Length)?, inputs.quantity("depth_b", D::Length)?);
    let contact =
        LineContact::two_cylinders(length_mm, &a, &b, curvature_per_mm(inputs)?, depth_a_mm, depth_b_mm);
    approach(contact, inputs.quantity("force", D::Force)?)
}

/// The approach, found by going there and back.
fn approach(contact: LineContact, force_n: f64) -> Result<Outputs, ModelError> {
    let approach_mm = contact.approach_mm(force_n);
    let (back_n, _) = contact.force_and_stiffness(approach_mm);
    if (back_n / force_n - 1.0).abs() > 1e-9 {
        return Err(ModelError::Refused(format!("force of the approach is {back_n} N, not {force_n} N")));
    }
    Ok(Outputs::default().with("approach", approach_mm, D::Length))
}
