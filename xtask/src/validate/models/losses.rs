//! Losses and heat: friction of bearings, closed forms and sums of the mesh, heat balance.

use super::drive::{PLAIN_STIFFNESS_N_PER_MM, Pins, Shape};
use super::{Inputs, ModelError, Outputs};
use curves::point::polar;
use reducer::line_contact::LineContact;
use reducer::losses::bearing::BearingFriction;
use reducer::losses::{closed_form, heat};
use reducer::units::{Dimension as D, power_w};

/// Friction torque and power of a bearing; `friction` is the coefficient at the mean radius, twice f1.
///
/// # Errors
/// If inputs do not read.
pub fn bearing_friction(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let load_factor = match inputs.optional("friction", D::Plain)? {
        Some(friction) => 0.5 * friction,
        None => inputs.quantity("load_factor", D::Plain)?,
    };
    let bearing = BearingFriction {
        free_factor: inputs.optional("free_factor", D::Plain)?.unwrap_or_default(),
        load_factor,
        mean_diameter_mm: inputs.quantity("mean_diameter", D::Length)?,
    };
    let speed = inputs.quantity("speed", D::AngularSpeed)?;
    let viscosity = inputs.optional("viscosity", D::Viscosity)?.unwrap_or_default();
    let free = bearing.free_torque_n_mm(viscosity, speed);
    let loaded = bearing.load_torque_n_mm(inputs.quantity("load", D::Force)?);
    Ok(Outputs::default()
        .with("free_torque", free, D::Torque)
        .with("load_torque", loaded, D::Torque)
        .with("torque", free + loaded, D::Torque)
        .with("power", power_w(free + loaded, speed), D::Power))
}

/// Closed forms of the losses; with `pin_share` those of turning rollers and sleeves too.
///
/// # Errors
/// If inputs do not read.
pub fn ideal_losses(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let (pitch, ring_pitch) =
        (shape.eccentricity_mm * shape.lobe_count(), shape.eccentricity_mm * shape.ring_roller_count as f64);
    let friction = inputs.optional("friction", D::Plain)?.unwrap_or(1.0);
    let rollers =
        closed_form::roller_loss_ratio(friction, shape.ring_radius_mm, shape.roller_radius_mm, pitch);
    let outputs = Outputs::default().with("roller_loss", rollers, D::Plain);
    let Some(torque) = inputs.optional("torque", D::Torque)? else { return Ok(outputs) };
    let distance =
        closed_form::roller_force_distance_n_mm(torque, shape.ring_radius_mm, shape.roller_radius_mm, pitch);
    let outputs = outputs.with("force_distance", distance, D::Torque);
    let Some(circle) = inputs.optional("pin_circle_radius", D::Length)? else { return Ok(outputs) };
    let pins = closed_form::pin_loss_ratio(friction, ring_pitch, circle);
    let bearing_torque = inputs.quantity("bearing_friction", D::Plain)?
        * inputs.quantity("bearing_force", D::Force)?
        * inputs.quantity("bearing_radius", D::Length)?;
    let bearing = closed_form::bearing_loss_ratio(bearing_torque, shape.ring_roller_count, torque);
    let turning = inputs.quantity("turning_share", D::Plain)?;
    Ok(outputs
        .with("pin_loss", pins, D::Plain)
        .with("bearing_loss", bearing, D::Plain)
        .with("efficiency", closed_form::efficiency(rollers + pins + bearing), D::Plain)
        .with("efficiency_turning", closed_form::efficiency(turning * (rollers + pins) + bearing), D::Plain))
}

/// Σ Q_i (R S_i − r_r) over the rollers of the ideal profile with equal contacts, from the solver of the loaded drive.
///
/// # Errors
/// If inputs do not read or nothing carries.
pub fn roller_sliding(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let crank_rad = shape.crank_angle_rad(inputs)?;
    let pins = Pins { count: 12, circle_radius_mm: 0.6 * shape.ring_radius_mm, phase_rad: 0.0 };
    let model = shape.contact(&pins, LineContact::linear(PLAIN_STIFFNESS_N_PER_MM));
    let loaded = model.solve(&model.position(crank_rad, 1.0), inputs.quantity("torque", D::Torque)?, None)?;
    let pitch_point = polar(shape.eccentricity_mm * shape.ring_roller_count as f64, crank_rad);
    let sum = loaded.discs[0]
        .rollers
        .iter()
        .zip(&loaded.forces[0].roller_n)
        .map(|(contact, force)| force * (contact.place_mm - pitch_point).norm())
        .sum();
    Ok(Outputs::default().with("force_distance", sum, D::Torque))
}

/// Heat balance: the rise from an input power, or the input power that a rise allows.
///
/// # Errors
/// If inputs do not read.
pub fn heat_balance(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let conductance =
        inputs.quantity("cooling_area", D::Area)? * inputs.quantity("heat_transfer", D::HeatTransfer)?;
    let lost = 1.0 - inputs.quantity("efficiency", D::Plain)?;
    let ambient_k = 293.15;
    let loss_w = match inputs.optional("input_power", D::Power)? {
        Some(power) => power * lost,
        None => conductance * inputs.quantity("temperature_rise", D::Temperature)?,
    };
    let steady = heat::steady_temperature_k(conductance, ambient_k, |_| loss_w);
    Ok(Outputs::default()
        .with("loss_power", loss_w, D::Power)
        .with("input_power", loss_w / lost, D::Power)
        .with("temperature_rise", steady - ambient_k, D::Temperature))
}
