//! Pins as short beams under one force.

use super::{Inputs, ModelError, Outputs};
use reducer::hertz::Elastic;
use reducer::pin::{Patch, Pin, Support};
use reducer::units::Dimension as D;

/// Length of a pin of which only the shear is asked, which does not depend on it.
const UNSTATED_MM: f64 = 1.0;

/// One force at the end of a cantilever or in the middle of a span.
///
/// # Errors
/// If inputs do not read.
pub fn pin(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let word = inputs.word("support")?;
    let (support, length_mm) = match word {
        "cantilever" => (Support::Cantilever, inputs.optional("arm", D::Length)?.unwrap_or(UNSTATED_MM)),
        "pinned" => (Support::Pinned, inputs.optional("span", D::Length)?.unwrap_or(UNSTATED_MM)),
        "built-in" => (Support::BuiltIn, inputs.quantity("span", D::Length)?),
        _ => return Err(ModelError::Bad { name: "support".to_owned(), message: format!("is `{word}`") }),
    };
    let position_mm = if support == Support::Cantilever { length_mm } else { 0.5 * length_mm };
    let pin = Pin {
        radius_mm: 0.5 * inputs.quantity("diameter", D::Length)?,
        length_mm,
        support,
        elastic: Elastic {
            elastic_modulus_mpa: inputs.optional("elastic_modulus", D::Stress)?.unwrap_or(f64::NAN),
            poisson_ratio: inputs.optional("poisson_ratio", D::Plain)?.unwrap_or(f64::NAN),
        },
        patches: vec![Patch { position_mm, width_mm: 0.0 }],
    };
    let force_n = inputs.quantity("force", D::Force)?;
    let stress = pin.stress(&[[force_n, 0.0]]);
    let clamped = if support == Support::Pinned { 0.0 } else { stress.clamped_bending_mpa };
    let (bending, shear) = pin.influence_mm_per_n(0, 0);
    Ok(Outputs::default()
        .with("bending_stress", stress.bending_mpa, D::Stress)
        .with("clamped_bending_stress", clamped, D::Stress)
        .with("mean_shear", stress.mean_shear_mpa, D::Stress)
        .with("peak_shear", stress.peak_shear_mpa, D::Stress)
        .with("bending_deflection", bending * force_n, D::Length)
        .with("shear_deflection", shear * force_n, D::Length))
}
