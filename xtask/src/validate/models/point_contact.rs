//! Point contact, and line contact with friction.

use super::contact::{bodies, line_geometry};
use super::{Inputs, ModelError, Outputs};
use reducer::hertz::contact_modulus_mpa;
use reducer::hertz::ellipse::{EllipseGeometry, greatest_shear};
use reducer::hertz::friction::sliding_shares;
use reducer::units::Dimension as D;

/// Two bodies by radii along and across (convex positive, a flat left out; `…_concave_positive` turned round), the second turned by `angle`.
///
/// # Errors
/// If inputs do not read, or the bodies do not touch at a point.
pub fn pressure(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let (a, b) = bodies(inputs)?;
    let curvature = |name: &str, turned: &str| -> Result<f64, ModelError> {
        let stated = inputs.optional(name, D::Length)?;
        let concave = inputs.optional(turned, D::Length)?;
        Ok(stated.or(concave.map(|radius| -radius)).map_or(0.0, |radius| 1.0 / radius))
    };
    let first = [
        curvature("radius_a_along", "radius_a_along_concave_positive")?,
        curvature("radius_a_across", "radius_a_across_concave_positive")?,
    ];
    let second = [
        curvature("radius_b_along", "radius_b_along_concave_positive")?,
        curvature("radius_b_across", "radius_b_across_concave_positive")?,
    ];
    let angle_rad = inputs.optional("angle", D::Angle)?.unwrap_or(0.0);
    let geometry = EllipseGeometry::of(first, second, angle_rad, contact_modulus_mpa(&a, &b));
    let refused = || ModelError::Refused("the bodies do not touch at a point".to_owned());
    let state = geometry.under(inputs.quantity("force", D::Force)?).ok_or_else(refused)?;
    let (shear, depth) = greatest_shear(state.half_width_mm / state.half_length_mm, a.poisson_ratio);
    Ok(Outputs::default()
        .with("smaller_gap_coefficient", geometry.smaller_gap_per_mm, D::Curvature)
        .with("larger_gap_coefficient", geometry.larger_gap_per_mm, D::Curvature)
        .with("half_length", state.half_length_mm, D::Length)
        .with("half_width", state.half_width_mm, D::Length)
        .with("pressure", state.pressure_mpa, D::Stress)
        .with("approach", state.approach_mm, D::Length)
        .with("shear", shear * state.pressure_mpa, D::Stress)
        .with("shear_depth", depth * state.half_width_mm, D::Length))
}

/// Extremes of the stresses of a line contact that slides; `stress_poisson_ratio` is that of the stresses along it.
///
/// # Errors
/// If inputs do not read.
pub fn sliding(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let pressure_mpa = line_geometry(inputs)?.pressure_mpa(inputs.quantity("force", D::Force)?);
    let poisson_ratio = inputs.quantity("stress_poisson_ratio", D::Plain)?;
    let shares = sliding_shares(inputs.quantity("friction", D::Plain)?, poisson_ratio);
    Ok(Outputs::default()
        .with("pressure", pressure_mpa, D::Stress)
        .with("tension", shares.tension * pressure_mpa, D::Stress)
        .with("compression", -shares.compression * pressure_mpa, D::Stress)
        .with("shear", shares.shear * pressure_mpa, D::Stress)
        .with("octahedral_shear", shares.octahedral * pressure_mpa, D::Stress))
}
