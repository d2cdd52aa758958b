//! Modified life of rolling bearings, pairs under tilting moment, shafts on two bearings.

use super::bearings::{duty, exponent};
use super::{Inputs, ModelError, Outputs};
use reducer::bearing::Ratings;
use reducer::bearing::life::LifeExponent;
use reducer::bearing::modified::{self, Loading, Surroundings};
use reducer::bearing::pair::{self, OutsideLoad, PairFactors};
use reducer::bearing::shaft::TwoBearings;
use reducer::model::record::{FromValue, Value};
use reducer::model::{Bearing, BearingKind, Cleanliness, LubricantKind};
use reducer::units::Dimension as D;
use reducer::viscosity::Oil;

/// A word of a choice of the drive file.
fn chosen<T: FromValue>(inputs: &Inputs, name: &str) -> Result<T, ModelError> {
    let word = inputs.word(name)?;
    T::from_value(Some(Value::Text(word.to_owned())))
        .ok_or_else(|| ModelError::Bad { name: name.to_owned(), message: format!("is `{word}`") })
}

/// a₁ by table and closed form.
///
/// # Errors
/// If inputs do not read.
pub fn reliability(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let reliability = inputs.quantity("reliability", D::Plain)?;
    Ok(Outputs::default()
        .with("factor", modified::reliability_factor_iso281_2007(reliability), D::Plain)
        .with("closed_form", modified::reliability_factor_closed_form(reliability), D::Plain))
}

/// ν₁.
///
/// # Errors
/// If inputs do not read.
pub fn reference_viscosity(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let speed = inputs.quantity("speed", D::AngularSpeed)?;
    let pitch_diameter_mm = inputs.quantity("pitch_diameter", D::Length)?;
    let viscosity = modified::reference_viscosity_iso281_2007_mm2_per_s(speed, pitch_diameter_mm);
    Ok(Outputs::default().with("reference_viscosity", viscosity, D::Viscosity))
}

/// a_ISO of a radial bearing; for `loading = "thrust"` of a thrust bearing.
///
/// # Errors
/// If inputs do not read or the film is too thin.
pub fn life_factor(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let kappa = inputs.quantity("viscosity_ratio", D::Plain)?;
    let limit = inputs.quantity("relative_limit", D::Plain)?;
    factor(kappa, limit, exponent(inputs)?)
        .map(|factor| Outputs::default().with("life_factor", factor, D::Plain))
}

fn factor(kappa: f64, limit: f64, elements: LifeExponent) -> Result<f64, ModelError> {
    modified::life_factor_iso281_2007(kappa, limit, elements, Loading::Radial)
        .ok_or_else(|| ModelError::Refused(format!("viscosity ratio {kappa} is below the method")))
}

/// C_u, and a_ISO under a load.
///
/// # Errors
/// If inputs do not read.
pub fn fatigue_limit(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let elements = exponent(inputs)?;
    let static_rating_n = inputs.quantity("static_rating", D::Force)?;
    let pitch_diameter_mm = inputs.quantity("pitch_diameter", D::Length)?;
    let limit_n = modified::fatigue_load_limit_iso281_2007_n(static_rating_n, pitch_diameter_mm, elements);
    let outputs = Outputs::default().with("fatigue_limit", limit_n, D::Force);
    let Some(load_n) = inputs.optional("load", D::Force)? else { return Ok(outputs) };
    let kappa = inputs.quantity("viscosity_ratio", D::Plain)?;
    let contamination = inputs.quantity("contamination_factor", D::Plain)?;
    Ok(outputs.with("life_factor", factor(kappa, contamination * limit_n / load_n, elements)?, D::Plain))
}

/// e_C by the equations of the annex.
///
/// # Errors
/// If inputs do not read or there is no lubricant.
pub fn contamination(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let factor = modified::contamination_factor_iso281_2007(
        chosen::<LubricantKind>(inputs, "lubricant")?,
        chosen::<Cleanliness>(inputs, "cleanliness")?,
        inputs.quantity("viscosity_ratio", D::Plain)?,
        inputs.quantity("pitch_diameter", D::Length)?,
    )
    .ok_or_else(|| ModelError::Refused("it runs dry".to_owned()))?;
    Ok(Outputs::default().with("contamination_factor", factor, D::Plain))
}

/// L_nm over a duty cycle.
///
/// # Errors
/// If inputs do not read or the method gives no life.
pub fn life(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let kind = match exponent(inputs)? {
        LifeExponent::Roller => BearingKind::CylindricalRoller,
        LifeExponent::Ball => BearingKind::DeepGrooveBall,
    };
    let oil = Oil {
        viscosity_40_mm2_per_s: inputs.quantity("viscosity_40", D::Viscosity)?,
        viscosity_100_mm2_per_s: inputs.quantity("viscosity_100", D::Viscosity)?,
    };
    let temperature_k = inputs.quantity("temperature", D::Temperature)?;
    let surroundings = Surroundings {
        reliability: inputs.quantity("reliability", D::Plain)?,
        temperature_k,
        viscosity_mm2_per_s: oil.viscosity_astm_d341_mm2_per_s(temperature_k),
        lubricant: chosen(inputs, "lubricant")?,
        cleanliness: chosen(inputs, "cleanliness")?,
    };
    let ratings = Ratings {
        dynamic_rating_n: inputs.quantity("dynamic_rating", D::Force)?,
        static_rating_n: Some(inputs.quantity("static_rating", D::Force)?),
        origin: String::new(),
        cautions: Vec::new(),
    };
    let bearing = bearing(kind, inputs.quantity("pitch_diameter", D::Length)?);
    let life = modified::modified_life(&bearing, &ratings, &duty(inputs)?, &surroundings)
        .map_err(|error| ModelError::Refused(error.to_string()))?;
    Ok(Outputs::default()
        .with("viscosity", life.viscosity_mm2_per_s, D::Viscosity)
        .with("life_million_turns", life.life_million_turns, D::Plain)
        .with("life", life.life_s, D::Time))
}

/// A bearing of which only kind and pitch diameter are known.
fn bearing(kind: BearingKind, pitch_diameter_mm: f64) -> Bearing {
    Bearing {
        kind,
        designation: None,
        dynamic_rating_n: None,
        static_rating_n: None,
        element_count: None,
        row_count: 1,
        element_diameter_mm: None,
        element_length_mm: None,
        pitch_diameter_mm: Some(pitch_diameter_mm),
        contact_angle_rad: None,
        row_distance_mm: 0.0,
        bore_diameter_mm: None,
        outside_diameter_mm: None,
        width_mm: None,
        radial_clearance_mm: 0.0,
        stiffness_n_per_mm: None,
        speed_limit_rad_per_s: None,
    }
}

/// P and P₀ of a pair or of crossed rollers.
///
/// # Errors
/// If inputs do not read.
pub fn pair_load(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let contact_angle_rad = inputs.quantity("contact_angle", D::Angle)?;
    let spread_mm = pair::effective_spread_mm(
        inputs.optional("row_distance", D::Length)?.unwrap_or(0.0),
        inputs.quantity("pitch_diameter", D::Length)?,
        contact_angle_rad,
    );
    let axial_n = inputs.quantity("axial", D::Force)?;
    let load = OutsideLoad {
        radial_n: inputs.quantity("radial", D::Force)?,
        axial_n,
        moment_n_mm: inputs.quantity("moment", D::Torque)?,
    };
    let factors = PairFactors::iso281_2007(exponent(inputs)?, contact_angle_rad);
    let radial_n = pair::effective_radial_n(&load, spread_mm);
    Ok(Outputs::default()
        .with("effective_radial", radial_n, D::Force)
        .with("equivalent_load", factors.equivalent_load_n(radial_n, axial_n), D::Force)
        .with("static_equivalent_load", factors.static_equivalent_load_n(radial_n, axial_n), D::Force))
}

/// Reactions of a shaft on two bearings.
///
/// # Errors
/// If inputs do not read.
pub fn shaft(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shaft = TwoBearings {
        first_mm: inputs.quantity("first", D::Length)?,
        second_mm: inputs.quantity("second", D::Length)?,
    };
    let forces: Vec<(f64, [f64; 2])> = inputs
        .list("places", D::Length)?
        .into_iter()
        .zip(inputs.list("forces_x", D::Force)?)
        .zip(inputs.list("forces_y", D::Force)?)
        .map(|((place, x), y)| (place, [x, y]))
        .collect();
    let [first, second] = shaft.reactions_n(&forces);
    Ok(Outputs::default()
        .with("first_x", first[0], D::Force)
        .with("first_y", first[1], D::Force)
        .with("second_x", second[0], D::Force)
        .with("second_y", second[1], D::Force))
}
