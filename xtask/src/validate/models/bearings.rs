//! Rolling bearings: ratings, life, mean load.

use super::{Inputs, ModelError, Outputs};
use curves::point::Vector;
use reducer::bearing::life::{self, DutyLoad, LifeExponent};
use reducer::bearing::{BearingError, Internals, ball, roller};
use reducer::contact::support::{BearingLaw, CentreSupport, RollerBearing};
use reducer::hertz::{Elastic, LineGeometry, contact_modulus_mpa, relative_curvature_per_mm};
use reducer::line_contact::LineContact;
use reducer::units::Dimension as D;

impl From<BearingError> for ModelError {
    fn from(error: BearingError) -> Self {
        Self::Refused(error.to_string())
    }
}

fn internals(inputs: &Inputs, element_length_mm: f64) -> Result<Internals, ModelError> {
    Ok(Internals {
        contact_angle_rad: inputs.optional("contact_angle", D::Angle)?.unwrap_or(0.0),
        row_count: 1,
        element_count: inputs.count("element_count")?,
        element_diameter_mm: inputs.quantity("element_diameter", D::Length)?,
        element_length_mm,
        pitch_diameter_mm: inputs.quantity("pitch_diameter", D::Length)?,
    })
}

/// Balls or rollers.
///
/// # Errors
/// If the word is neither.
pub fn exponent(inputs: &Inputs) -> Result<LifeExponent, ModelError> {
    match inputs.word("elements")? {
        "balls" => Ok(LifeExponent::Ball),
        "rollers" => Ok(LifeExponent::Roller),
        other => Err(ModelError::Bad { name: "elements".to_owned(), message: format!("is `{other}`") }),
    }
}

/// Force over count and greatest roller force, and its inverse, of a bearing of many rollers in the load model at a load zone.
///
/// # Errors
/// If inputs do not read, or the law is not known.
pub fn load_distribution(inputs: &Inputs) -> Result<Outputs, ModelError> {
    const DISPLACEMENT_MM: f64 = 0.02;
    let element_count = inputs.count("element_count")?;
    let law = match inputs.word("law")? {
        "palmgren" => LineContact::palmgren(10.0),
        "brandlein" => LineContact::brandlein(10.0),
        other => return Err(ModelError::Bad { name: "law".to_owned(), message: format!("is `{other}`") }),
    };
    // The load zone is ½ (1 − play/displacement); beyond a half there is preload.
    let load_zone = inputs.quantity("load_zone", D::Plain)?;
    let bearing = RollerBearing {
        element_count,
        row_count: 1,
        contact: law.between_races(1),
        race_depth_mm: 1.0,
        play_mm: DISPLACEMENT_MM * (1.0 - 2.0 * load_zone),
        diameter_ratio: 0.1,
        cage_phase_rad: 0.0,
    };
    let law = CentreSupport { bearing: BearingLaw::Rollers(bearing), ..CentreSupport::default() };
    let support = law.at(0.0, 1, 0.0);
    // Against the first roller.
    let displacement = Vector::new(-DISPLACEMENT_MM, 0.0);
    let force_n = support.slopes(displacement).gradient.norm();
    let most_n = support.bore_forces_n(displacement, &[]).into_iter().fold(0.0, f64::max);
    let integral = force_n / (element_count as f64 * most_n);
    Ok(Outputs::default().with("integral", integral, D::Plain).with("factor", 1.0 / integral, D::Plain))
}

/// Ratings of a radial roller bearing; with only `ratio`, the factor.
///
/// # Errors
/// If inputs do not read or lie outside the standard.
pub fn roller(inputs: &Inputs) -> Result<Outputs, ModelError> {
    if let Some(ratio) = inputs.optional("ratio", D::Plain)? {
        return Ok(factors(roller::factor_iso281_2007(ratio)?, roller::factor_closed_form(ratio)));
    }
    let internals = internals(inputs, inputs.quantity("element_length", D::Length)?)?;
    let quality = match inputs.word("rings")? {
        "machined" => roller::MACHINED_RINGS_FACTOR,
        "drawn-cup" => roller::DRAWN_CUP_FACTOR,
        other => return Err(ModelError::Bad { name: "rings".to_owned(), message: format!("is `{other}`") }),
    };
    let ratio = internals.diameter_ratio();
    let static_rating_n = roller::static_rating_iso76_2006_n(&internals);
    Ok(factors(roller::factor_iso281_2007(ratio)?, roller::factor_closed_form(ratio))
        .with("diameter_ratio", ratio, D::Plain)
        .with("dynamic_rating", roller::dynamic_rating_iso281_2007_n(&internals, quality)?, D::Force)
        .with("static_rating", static_rating_n, D::Force)
        .with("pressure_at_static_rating", pressure_at(&internals, static_rating_n), D::Stress))
}

fn factors(factor: f64, closed_form: f64) -> Outputs {
    Outputs::default().with("factor", factor, D::Plain).with("factor_closed_form", closed_form, D::Plain)
}

/// Pressure at the inner race of the roller that carries 5/Z of a load; steel of 206 GPa and 0.3.
fn pressure_at(internals: &Internals, load_n: f64) -> f64 {
    let steel = Elastic { elastic_modulus_mpa: 206_000.0, poisson_ratio: 0.3 };
    let inner_race_mm = 0.5 * (internals.pitch_diameter_mm - internals.element_diameter_mm);
    let contact = LineGeometry {
        length_mm: internals.element_length_mm,
        relative_curvature_per_mm: relative_curvature_per_mm(
            0.5 * internals.element_diameter_mm,
            inner_race_mm,
        ),
        contact_modulus_mpa: contact_modulus_mpa(&steel, &steel),
    };
    contact.pressure_mpa(5.0 * load_n / internals.element_count as f64)
}

/// Ratings of a deep-groove ball bearing; with only `ratio`, the factors.
///
/// # Errors
/// If inputs do not read or lie outside the standard.
pub fn ball(inputs: &Inputs) -> Result<Outputs, ModelError> {
    if let Some(ratio) = inputs.optional("ratio", D::Plain)? {
        return ball_factors(ratio);
    }
    let internals = internals(inputs, 0.0)?;
    Ok(ball_factors(internals.diameter_ratio())?
        .with("diameter_ratio", internals.diameter_ratio(), D::Plain)
        .with("dynamic_rating", ball::dynamic_rating_iso281_2007_n(&internals)?, D::Force)
        .with("static_rating", ball::static_rating_iso76_2006_n(&internals)?, D::Force))
}

/// f_c for one and two rows where the table reaches, and f₀.
fn ball_factors(ratio: f64) -> Result<Outputs, ModelError> {
    let outputs = Outputs::default().with("static_factor", ball::static_factor_iso76_2006(ratio)?, D::Plain);
    let (Ok(single), Ok(double)) = (ball::factor_iso281_2007(ratio, 1), ball::factor_iso281_2007(ratio, 2))
    else {
        return Ok(outputs);
    };
    Ok(outputs
        .with("factor", single, D::Plain)
        .with("double_row_factor", double, D::Plain)
        .with("factor_closed_form", ball::factor_closed_form(ratio, 0.95), D::Plain)
        .with("double_row_factor_closed_form", ball::factor_closed_form(ratio, 0.90), D::Plain))
}

/// Life of a rating under a load, or the rating that a life needs.
///
/// # Errors
/// If inputs do not read.
pub fn life(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let exponent = exponent(inputs)?;
    let load_n = inputs.quantity("load", D::Force)?;
    let million_turns = match inputs.optional("life_million_turns", D::Plain)? {
        Some(stated) => stated,
        None => {
            let rating_n = inputs.quantity("dynamic_rating", D::Force)?;
            life::basic_rating_life_million_turns(rating_n, load_n, exponent)
        }
    };
    let speed = inputs.optional("speed", D::AngularSpeed)?.unwrap_or(f64::NAN);
    Ok(Outputs::default()
        .with("life_million_turns", million_turns, D::Plain)
        .with("life", life::life_s(million_turns, speed), D::Time)
        .with("required_rating", life::required_rating_n(million_turns, load_n, exponent), D::Force))
}

/// The steps of a duty cycle.
///
/// # Errors
/// If inputs do not read.
pub fn duty(inputs: &Inputs) -> Result<Vec<DutyLoad>, ModelError> {
    let loads = inputs.list("loads", D::Force)?;
    let speeds = inputs.list("speeds", D::AngularSpeed)?;
    let shares = inputs.list("time_shares", D::Plain)?;
    Ok(loads
        .into_iter()
        .zip(speeds)
        .zip(shares)
        .map(|((load_n, speed_rad_per_s), time_share)| DutyLoad { load_n, speed_rad_per_s, time_share })
        .collect())
}

/// Equivalent load and mean speed of a duty cycle, with what a running time then needs.
///
/// # Errors
/// If inputs do not read or the duty is empty.
pub fn mean_load(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let exponent = exponent(inputs)?;
    let duty = duty(inputs)?;
    let mean = life::mean_load(&duty, exponent)
        .ok_or_else(|| ModelError::Refused("the duty is empty".to_owned()))?;
    let mut outputs = Outputs::default().with("mean_load", mean.load_n, D::Force).with(
        "mean_speed",
        mean.speed_rad_per_s,
        D::AngularSpeed,
    );
    if let Some(rating_n) = inputs.optional("dynamic_rating", D::Force)? {
        let million_turns = life::basic_rating_life_million_turns(rating_n, mean.load_n, exponent);
        outputs = outputs.with("life", life::life_s(million_turns, mean.speed_rad_per_s), D::Time);
    }
    let Some(time_s) = inputs.optional("running_time", D::Time)? else { return Ok(outputs) };
    let million_turns = time_s * mean.speed_rad_per_s / std::f64::consts::TAU / 1e6;
    Ok(outputs.with("life_million_turns", million_turns, D::Plain).with(
        "required_rating",
        life::required_rating_n(million_turns, mean.load_n, exponent),
        D::Force,
    ))
}
