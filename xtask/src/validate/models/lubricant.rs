//! Lubricant: viscosity over temperature.

use super::{Inputs, ModelError, Outputs};
use reducer::units::Dimension as D;
use reducer::viscosity::Oil;

/// Kinematic viscosity at a temperature.
///
/// # Errors
/// If inputs do not read.
pub fn viscosity(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let oil = Oil {
        viscosity_40_mm2_per_s: inputs.quantity("viscosity_40", D::Viscosity)?,
        viscosity_100_mm2_per_s: inputs.quantity("viscosity_100", D::Viscosity)?,
    };
    let temperature_k = inputs.quantity("temperature", D::Temperature)?;
    Ok(Outputs::default().with("viscosity", oil.viscosity_astm_d341_mm2_per_s(temperature_k), D::Viscosity))
}
