//! Play and kinematic error of a modified profile: closed forms, exact gaps, and under load.

use super::drive::{FirstOrderLoad, PLAIN_STIFFNESS_N_PER_MM, Pins, Shape};
use super::{Inputs, ModelError, Outputs};
use curves::math;
use reducer::accuracy::modification::closed_form::ClosedForm;
use reducer::accuracy::modification::exact;
use reducer::contact::equilibrium::EquilibriumError;
use reducer::line_contact::LineContact;
use reducer::model::Modification;
use reducer::units::Dimension as D;
use std::f64::consts::TAU;

fn modification(shape: &Shape) -> Modification {
    Modification {
        equidistant_offset_mm: shape.offset_mm,
        ring_radius_shift_mm: -shape.shift_mm,
        flank_rotation_rad: 0.0,
    }
}

fn closed_form(shape: &Shape) -> ClosedForm {
    let ideal = Shape { offset_mm: 0.0, shift_mm: 0.0, ..*shape };
    ClosedForm::of(&ideal.profile().trochoid)
}

/// Gap in the ideal position and after the first contact, and play, by the closed forms of the program; and the offset without play for
/// the shift, on closed form and on exact gaps.
///
/// # Errors
/// If inputs do not read.
pub fn closed_forms(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let (form, made) = (closed_form(&shape), modification(&shape));
    let pins = Pins { count: 6, circle_radius_mm: 0.6 * shape.ring_radius_mm, phase_rad: 0.0 };
    let model = shape.contact(&pins, LineContact::linear(PLAIN_STIFFNESS_N_PER_MM));
    let without_play = exact::without_play(&model);
    let outputs = Outputs::default()
        .with("play", form.play_rad(&made), D::Angle)
        .with("offset_without_play", form.offset_without_play_mm(made.ring_radius_shift_mm), D::Length)
        .with("exact_offset_without_play", without_play.equidistant_offset_mm, D::Length)
        .with("clearance_without_play", without_play.clearance_mm, D::Length);
    let Some(angle_rad) = inputs.optional("roller_angle", D::Angle)? else { return Ok(outputs) };
    Ok(outputs.with("gap", form.gap_mm(&made, angle_rad), D::Length).with(
        "gap_after_contact",
        form.gap_after_contact_mm(&made, angle_rad),
        D::Length,
    ))
}

/// Difference of the greatest and smallest value of a function over one roller pitch of the crank.
fn peak_to_peak(
    shape: &Shape,
    rotation_rad: impl Fn(f64) -> Result<f64, EquilibriumError>,
) -> Result<f64, EquilibriumError> {
    let pitch = TAU / shape.ring_roller_count as f64;
    let values: Vec<f64> = (0..STEPS)
        .map(|step| rotation_rad(pitch * f64::from(step) / f64::from(STEPS)))
        .collect::<Result<_, _>>()?;
    let end = |greatest: bool| {
        let signed = |value: f64| if greatest { -value } else { value };
        let best =
            (0..STEPS).min_by(|a, b| signed(values[*a as usize]).total_cmp(&signed(values[*b as usize])));
        let (centre, width) =
            (pitch * f64::from(best.unwrap_or(0)) / f64::from(STEPS), pitch / f64::from(STEPS));
        let sought = |angle: f64| rotation_rad(angle).map_or(f64::INFINITY, signed);
        signed(curves::root::golden_minimum(sought, centre - width, centre + width, 1e-7).1)
    };
    Ok(end(true) - end(false))
}

/// Crank angles over a roller pitch before ends are found to the last digit.
const STEPS: u32 = 120;

/// Kinematic error of a disc without load, peak to peak: on exact gaps, and of first order.
///
/// # Errors
/// If inputs do not read.
pub fn unloaded(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let pins = Pins { count: 6, circle_radius_mm: 0.6 * shape.ring_radius_mm, phase_rad: 0.0 };
    let model = shape.contact(&pins, LineContact::linear(PLAIN_STIFFNESS_N_PER_MM));
    let exact = peak_to_peak(&shape, |crank_rad| Ok(model.touch(crank_rad, 1.0).disc_rad[0]))?;
    let (form, made) = (closed_form(&shape), modification(&shape));
    let first_order = peak_to_peak(&shape, |crank_rad| {
        let angles = (0..shape.ring_roller_count)
            .map(|roller| math::wrap_angle(TAU * roller as f64 / shape.ring_roller_count as f64 - crank_rad));
        let reaches = angles
            .map(|angle| (form.gap_mm(&made, angle), form.lever_mm(angle)))
            .filter(|(_, lever)| *lever > 1e-9)
            .map(|(gap, lever)| gap / lever);
        Ok(reaches.fold(f64::INFINITY, f64::min))
    })?;
    Ok(Outputs::default().with("kinematic_error", exact, D::Angle).with(
        "kinematic_error_first_order",
        first_order,
        D::Angle,
    ))
}

/// Rotation of a disc under a torque, peak to peak over a roller pitch: on exact gaps, and of first order.
///
/// # Errors
/// If inputs do not read or nothing carries.
pub fn loaded(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let law = LineContact::linear(inputs.quantity("stiffness", D::LinearStiffness)?);
    let torque_n_mm = inputs.quantity("torque", D::Torque)?;
    let pins = Pins { count: 12, circle_radius_mm: 0.6 * shape.ring_radius_mm, phase_rad: 0.0 };
    let model = shape.contact(&pins, law);
    let exact = peak_to_peak(&shape, |crank_rad| {
        let position = model.position(crank_rad, 1.0);
        Ok(model.solve(&position, torque_n_mm, None)?.displacements.discs[0].z)
    })?;
    let first_order = peak_to_peak(&shape, |crank_rad| {
        Ok(FirstOrderLoad::solve(&shape, law, torque_n_mm, crank_rad)?.rotation_rad)
    })?;
    Ok(Outputs::default().with("kinematic_error", exact, D::Angle).with(
        "kinematic_error_first_order",
        first_order,
        D::Angle,
    ))
}
