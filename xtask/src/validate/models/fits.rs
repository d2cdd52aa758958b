//! Limits and fits: standard tolerances, limits of classes and bearings, clearances.

use super::{Inputs, ModelError, Outputs};
use reducer::iso286::callout::Callout;
use reducer::iso286::rolling_bearing::limits_normal_class_iso492;
use reducer::iso286::{Class, Limits, LimitsError, Part, standard_tolerance_mm};
use reducer::units::Dimension as D;

fn refused(error: impl std::fmt::Display) -> ModelError {
    ModelError::Refused(error.to_string())
}

/// Standard tolerances of all grades that are held at a size.
///
/// # Errors
/// If inputs do not read or the size has none.
pub fn standard_tolerances(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let size_mm = inputs.quantity("size", D::Length)?;
    let grades =
        [("it4", 4), ("it5", 5), ("it6", 6), ("it7", 7), ("it8", 8), ("it9", 9), ("it10", 10), ("it11", 11)];
    let held = grades.into_iter().filter_map(|(name, grade)| {
        standard_tolerance_mm(grade, size_mm).ok().map(|tolerance_mm| (name, tolerance_mm))
    });
    Ok(held.fold(Outputs::default(), |outputs, (name, value)| outputs.with(name, value, D::Length)))
}

fn limits_of(found: Result<Limits, LimitsError>) -> Result<Outputs, ModelError> {
    let limits = found.map_err(refused)?;
    Ok(Outputs::default().with("upper", limits.upper_mm, D::Length).with("lower", limits.lower_mm, D::Length))
}

/// Limits of a class at a size.
///
/// # Errors
/// If inputs do not read or no limits are held.
pub fn limits(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let class: Class = inputs.word("class")?.parse().map_err(refused)?;
    limits_of(class.limits(inputs.quantity("size", D::Length)?))
}

/// Limits of the bore or the outside of a rolling bearing of the normal class.
///
/// # Errors
/// If inputs do not read or no limits are held.
pub fn bearing_limits(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let part = match inputs.word("part")? {
        "bore" => Part::Hole,
        "outside" => Part::Shaft,
        other => return Err(ModelError::Bad { name: "part".to_owned(), message: format!("is `{other}`") }),
    };
    limits_of(limits_normal_class_iso492(part, inputs.quantity("size", D::Length)?))
}

/// Greatest and least clearance of a fit, negative where there is interference.
///
/// # Errors
/// If inputs do not read or no limits are held.
pub fn fit(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let callout = Callout::read(inputs.word("fit")?).map_err(refused)?;
    let fit = callout.fit().ok_or_else(|| refused("has one part only"))?;
    Ok(Outputs::default().with("greatest_clearance", fit.greatest_clearance_mm(), D::Length).with(
        "least_clearance",
        fit.least_clearance_mm(),
        D::Length,
    ))
}
