//! The drive itself: lobe profile, gaps, backlash, forces at rollers and pins.
//!
//! The cases turn some signs round: their radii are positive where concave, their ring-radius shift is positive where
//! it makes the disc smaller. Both are turned back here, and nowhere else.

use super::{Inputs, ModelError, Outputs};
use curves::ClosedCurve;
use curves::math;
use curves::point::{Point, cross, polar, rotated, unit};
use nalgebra::Vector3;
use reducer::contact::equilibrium::{Contact, DiscContacts, EquilibriumError, Problem, Workspace};
use reducer::contact::flank::LightGive;
use reducer::contact::support::CentreSupport;
use reducer::contact::{ContactModel, DiscGeometry, RollerLaw};
use reducer::hertz::{Elastic, LineGeometry, contact_modulus_mpa};
use reducer::line_contact::LineContact;
use reducer::profile::{LobeOutline, LobeProfile, Trochoid};
use reducer::units::Dimension as D;
use std::f64::consts::{FRAC_PI_2, PI, TAU};

impl From<EquilibriumError> for ModelError {
    fn from(error: EquilibriumError) -> Self {
        Self::Refused(error.to_string())
    }
}

/// The numbers that shape a drive in the cases.
#[derive(Clone, Copy)]
pub(super) struct Shape {
    pub(super) ring_roller_count: usize,
    pub(super) ring_radius_mm: f64,
    pub(super) roller_radius_mm: f64,
    pub(super) eccentricity_mm: f64,
    /// Equidistant offset, positive makes the disc smaller.
    pub(super) offset_mm: f64,
    /// Shift of the generating ring radius as the cases state it: positive makes the disc smaller.
    pub(super) shift_mm: f64,
}

impl Shape {
    pub(super) fn of(inputs: &Inputs) -> Result<Self, ModelError> {
        Ok(Self {
            ring_roller_count: inputs.count("ring_roller_count")?,
            ring_radius_mm: inputs.quantity("ring_radius", D::Length)?,
            roller_radius_mm: inputs.quantity("roller_radius", D::Length)?,
            eccentricity_mm: inputs.quantity("eccentricity", D::Length)?,
            offset_mm: inputs.optional("equidistant_offset", D::Length)?.unwrap_or_default(),
            shift_mm: inputs.optional("inward_ring_shift", D::Length)?.unwrap_or_default(),
        })
    }

    pub(super) fn lobe_count(&self) -> f64 {
        (self.ring_roller_count - 1) as f64
    }

    pub(super) fn profile(&self) -> LobeProfile {
        let trochoid = Trochoid {
            ring_roller_count: self.ring_roller_count,
            ring_radius_mm: self.ring_radius_mm - self.shift_mm,
            eccentricity_mm: self.eccentricity_mm,
        };
        LobeProfile::new(trochoid, self.roller_radius_mm + self.offset_mm, 0.0)
    }

    /// Gap of a roller at an angle from the crank and the lever of its normal, disc in its ideal position.
    fn gap_and_lever_mm(&self, angle_rad: f64) -> (f64, f64) {
        // The roller on the x axis, the crank behind it by the angle, the disc turned by −φ/z_l.
        let (crank_rad, turn_rad) = (-angle_rad, angle_rad / self.lobe_count());
        let in_disc =
            rotated(polar(self.ring_radius_mm, 0.0) - polar(self.eccentricity_mm, crank_rad), -turn_rad);
        let contact =
            self.profile().contact_with_circle(Point::from(in_disc), self.roller_radius_mm, -turn_rad);
        (contact.gap_mm, cross(contact.place_mm.coords, contact.normal))
    }

    /// One disc with a rigid bearing, contacts of constant stiffness.
    pub(super) fn contact(&self, pins: &Pins, roller: LineContact) -> ContactModel {
        ContactModel {
            profile: self.profile(),
            ring_roller_count: self.ring_roller_count,
            ring_radius_mm: self.ring_radius_mm,
            roller_radius_mm: self.roller_radius_mm,
            eccentricity_mm: self.eccentricity_mm,
            disc_count: 1,
            pin_count: pins.count,
            pin_circle_radius_mm: pins.circle_radius_mm,
            pin_phase_rad: pins.phase_rad,
            pin_play_radius_mm: self.eccentricity_mm,
            roller_law: RollerLaw::Uniform(roller),
            roller_compliance_mm_per_n: vec![0.0],
            pin_laws: vec![LineContact::linear(PLAIN_STIFFNESS_N_PER_MM)],
            support: CentreSupport::default(),
            re_evaluates_gaps: false,
            compliance: None,
            deviations: None,
            light_give: LightGive::default(),
        }
    }

    /// Crank angle at which a roller stands at an angle from the crank that is a whole or half number of pitches.
    pub(super) fn crank_angle_rad(&self, inputs: &Inputs) -> Result<f64, ModelError> {
        match inputs.word("phase")? {
            "roller-on-crank-line" => Ok(0.0),
            "between-rollers" => Ok(-PI / self.ring_roller_count as f64),
            other => Err(ModelError::Bad { name: "phase".to_owned(), message: format!("is `{other}`") }),
        }
    }
}

/// Stiffness where the case does not depend on it.
pub(super) const PLAIN_STIFFNESS_N_PER_MM: f64 = 1e5;

pub(super) struct Pins {
    pub(super) count: usize,
    pub(super) circle_radius_mm: f64,
    pub(super) phase_rad: f64,
}

/// Points, area, length, curvature and limits of a lobe profile; with `lobe_angle` the point there.
///
/// # Errors
/// If inputs do not read.
pub fn profile(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let profile = shape.profile();
    let (tip, root) = profile.tip_and_root_radius_mm();
    let (limit, limit_angle) = profile.trochoid.undercut_limit();
    let inflection = curves::root::brent(|angle| profile.trochoid.curvature_per_mm(angle), 1e-3, PI, 1e-14);
    let outputs = Outputs::default()
        .with("shortening", profile.trochoid.shortening(), D::Plain)
        .with("profile_length", profile.length_mm(), D::Length)
        .with("profile_area", profile.area_mm2(), D::Area)
        .with("tip_radius", tip, D::Length)
        .with("root_radius", root, D::Length)
        .with("undercut_limit", limit, D::Length)
        .with("undercut_angle", limit_angle, D::Angle)
        .with("least_convex_radius", profile.least_convex_radius_mm(), D::Length)
        .with("valley_radius_concave_positive", -1.0 / profile.at(0.0).curvature_per_mm, D::Length)
        .with("inflection_angle", inflection.unwrap_or(f64::NAN), D::Angle);
    let Some(lobe_angle_rad) = inputs.optional("lobe_angle", D::Angle)? else { return Ok(outputs) };
    let point = profile.at(lobe_angle_rad / shape.lobe_count());
    Ok(outputs
        .with("x", point.position_mm.x, D::Length)
        .with("y", point.position_mm.y, D::Length)
        .with("radius", point.position_mm.coords.norm(), D::Length)
        .with("profile_radius_concave_positive", -1.0 / point.curvature_per_mm, D::Length))
}

/// Exact gap of a roller at an angle from the crank, disc in its ideal position.
///
/// # Errors
/// If inputs do not read.
pub fn gap(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let angle_rad = inputs.quantity("roller_angle", D::Angle)?;
    Ok(Outputs::default().with("gap", shape.gap_and_lever_mm(angle_rad).0, D::Length))
}

/// Gap of a roller at an angle from the crank, the disc turned until a roller anywhere on that side would touch; exact gaps, linear in the rotation.
///
/// # Errors
/// If inputs do not read.
pub fn touched_gap(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let angle_rad = inputs.quantity("roller_angle", D::Angle)?;
    // The contact of a cut profile wanders far where it wraps the roller, so levers are those of the ideal one.
    let ideal = Shape { offset_mm: 0.0, shift_mm: 0.0, ..shape };
    let lever_mm = |angle: f64| ideal.gap_and_lever_mm(angle).1;
    let reach = |angle: f64| shape.gap_and_lever_mm(angle).0 / lever_mm(angle);
    let steps = 360;
    let near = (1..steps)
        .map(|step| PI * f64::from(step) / f64::from(steps))
        .min_by(|a, b| reach(*a).total_cmp(&reach(*b)))
        .unwrap_or(FRAC_PI_2);
    let width = PI / f64::from(steps);
    let turned_rad = curves::root::golden_minimum(reach, near - width, near + width, 1e-9).1;
    let gap_mm = shape.gap_and_lever_mm(angle_rad).0 - turned_rad * lever_mm(angle_rad);
    Ok(Outputs::default().with("gap", gap_mm, D::Length))
}

/// Force on the eccentric bearing along and across the crank, mean over the turn; many pins stand for an even ring of them.
///
/// # Errors
/// If inputs do not read or nothing carries.
pub fn bearing_force(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let torque_n_mm = inputs.quantity("torque", D::Torque)?;
    let circle_radius_mm = inputs.quantity("pin_circle_radius", D::Length)?;
    let steps = 24;
    let (mut along_n, mut across_n) = (0.0, 0.0);
    for step in 0..steps {
        let crank_rad = TAU / shape.ring_roller_count as f64 * f64::from(step) / f64::from(steps);
        let phase_rad = TAU / MANY_PINS as f64 * f64::from(step) / f64::from(steps);
        let pins = Pins { count: MANY_PINS, circle_radius_mm, phase_rad };
        let model = shape.contact(&pins, LineContact::linear(PLAIN_STIFFNESS_N_PER_MM));
        let loaded = model.solve(&model.position(crank_rad, 1.0), torque_n_mm, None)?;
        let force = loaded.forces[0].bearing_n;
        along_n += force.dot(&unit(crank_rad)).abs() / f64::from(steps);
        across_n += force.dot(&unit(crank_rad + FRAC_PI_2)).abs() / f64::from(steps);
    }
    Ok(Outputs::default()
        .with("force_along_crank", along_n, D::Force)
        .with("force_across_crank", across_n, D::Force)
        .with("bearing_force", (math::square(along_n) + math::square(across_n)).sqrt(), D::Force))
}

/// Pins that stand for an even ring of them.
const MANY_PINS: usize = 60;

/// Play of a disc with its centre held, the flanks taken each at its best crank angle.
///
/// # Errors
/// If inputs do not read.
pub fn backlash(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let pins = Pins { count: 6, circle_radius_mm: 0.6 * shape.ring_radius_mm, phase_rad: 0.0 };
    let model = shape.contact(&pins, LineContact::linear(PLAIN_STIFFNESS_N_PER_MM));
    let (mut forwards, mut backwards) = (f64::INFINITY, f64::NEG_INFINITY);
    let count = 120;
    for step in 0..count {
        let crank_rad = TAU / shape.ring_roller_count as f64 * f64::from(step) / f64::from(count);
        forwards = forwards.min(model.touch(crank_rad, 1.0).disc_rad[0]);
        backwards = backwards.max(model.touch(crank_rad, -1.0).disc_rad[0]);
    }
    Ok(Outputs::default().with("backlash", forwards - backwards, D::Angle))
}

/// Forces of the ideal profile with equal contacts; with `length` and `elastic_modulus` the pressure too.
///
/// # Errors
/// If inputs do not read or nothing carries.
pub fn roller_forces(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let crank_rad = shape.crank_angle_rad(inputs)?;
    let pins = Pins { count: 12, circle_radius_mm: 0.6 * shape.ring_radius_mm, phase_rad: 0.0 };
    let model = shape.contact(&pins, LineContact::linear(PLAIN_STIFFNESS_N_PER_MM));
    let position = model.position(crank_rad, 1.0);
    let loaded = model.solve(&position, inputs.quantity("torque", D::Torque)?, None)?;
    let (disc, forces) = (&loaded.discs[0], &loaded.forces[0].roller_n);
    let outputs = sums(disc, forces, crank_rad);
    let Some(angle_rad) = inputs.optional("roller_angle", D::Angle)? else { return Ok(outputs) };
    let roller = carrying_roller(&shape, forces, crank_rad, angle_rad)?;
    let outputs = outputs.with("lever", disc.roller_lever_mm[roller].abs(), D::Length).with(
        "force",
        forces[roller],
        D::Force,
    );
    let Some(length_mm) = inputs.optional("length", D::Length)? else { return Ok(outputs) };
    let steel = Elastic {
        elastic_modulus_mpa: inputs.quantity("elastic_modulus", D::Stress)?,
        poisson_ratio: inputs.quantity("poisson_ratio", D::Plain)?,
    };
    let contact = LineGeometry {
        length_mm,
        relative_curvature_per_mm: 1.0 / shape.roller_radius_mm + disc.rollers[roller].curvature_per_mm,
        contact_modulus_mpa: contact_modulus_mpa(&steel, &steel),
    };
    Ok(outputs.with("pressure", contact.pressure_mpa(forces[roller]), D::Stress))
}

/// Sum of the forces, and of their components along and across the crank.
fn sums(disc: &DiscGeometry, forces: &[f64], crank_rad: f64) -> Outputs {
    let along = unit(crank_rad);
    let sum = disc
        .rollers
        .iter()
        .zip(forces)
        .fold(along * 0.0, |sum, (contact, force)| sum + contact.normal * *force);
    Outputs::default()
        .with("force_along_crank", sum.dot(&along).abs(), D::Force)
        .with("force_across_crank", sum.dot(&unit(crank_rad + FRAC_PI_2)).abs(), D::Force)
        .with("sum_of_forces", forces.iter().sum(), D::Force)
        .with("greatest_force", forces.iter().copied().fold(0.0, f64::max), D::Force)
        .with("loaded_count", forces.iter().filter(|force| **force > 0.0).count() as f64, D::Plain)
}

/// The roller at an angle from the crank on whichever side carries.
fn carrying_roller(
    shape: &Shape,
    forces: &[f64],
    crank_rad: f64,
    angle_rad: f64,
) -> Result<usize, ModelError> {
    let pitch = TAU / shape.ring_roller_count as f64;
    let stands_there = |roller: &usize| {
        let from_crank = math::wrap_angle(*roller as f64 * pitch - crank_rad).abs();
        (from_crank - angle_rad).abs() < 1e-6
    };
    let standing = (0..shape.ring_roller_count).filter(stands_there);
    standing.max_by(|a, b| forces[*a].total_cmp(&forces[*b])).ok_or_else(|| ModelError::Bad {
        name: "roller_angle".to_owned(),
        message: "no roller stands there".to_owned(),
    })
}

/// Forces with clearances of first order and one stiffness, through the solver of the loaded drive.
///
/// # Errors
/// If inputs do not read or nothing carries.
pub fn clearance_forces(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape::of(inputs)?;
    let crank_rad = shape.crank_angle_rad(inputs)?;
    let law = LineContact::linear(inputs.quantity("stiffness", D::LinearStiffness)?);
    let torque_n_mm = inputs.quantity("torque", D::Torque)?;
    let loaded = FirstOrderLoad::solve(&shape, law, torque_n_mm, crank_rad)?;
    let outputs =
        sums(&loaded.disc, &loaded.force_n, crank_rad).with("rotation", loaded.rotation_rad, D::Angle);
    let Some(angle_rad) = inputs.optional("roller_angle", D::Angle)? else { return Ok(outputs) };
    let roller = carrying_roller(&shape, &loaded.force_n, crank_rad, angle_rad)?;
    Ok(outputs.with("force", loaded.force_n[roller], D::Force))
}

/// One disc under a torque, its rollers at gaps of first order.
pub(super) struct FirstOrderLoad {
    /// Contacts of the ideal profile.
    disc: DiscGeometry,
    /// Forces at the rollers.
    force_n: Vec<f64>,
    /// Rotation of the disc.
    pub(super) rotation_rad: f64,
}

impl FirstOrderLoad {
    /// ```text
    /// gap = Δr + ΔR (1 − K cos θ)/S
    /// ```
    pub(super) fn solve(
        shape: &Shape,
        law: LineContact,
        torque_n_mm: f64,
        crank_rad: f64,
    ) -> Result<Self, EquilibriumError> {
        let pins = Pins { count: 12, circle_radius_mm: 0.6 * shape.ring_radius_mm, phase_rad: 0.0 };
        let ideal = Shape { offset_mm: 0.0, shift_mm: 0.0, ..*shape };
        let mut position = ideal.contact(&pins, law).position(crank_rad, 1.0);
        let disc = position.discs.swap_remove(0);
        let shortening = ideal.profile().trochoid.shortening();
        let mut contacts: Vec<Contact> = disc
            .rollers
            .iter()
            .enumerate()
            .map(|(roller, contact)| {
                let angle = TAU * roller as f64 / ideal.ring_roller_count as f64 - crank_rad;
                let cosine = math::cos(angle);
                let spread = (1.0 + shortening * shortening - 2.0 * shortening * cosine).sqrt();
                Contact {
                    disc_row: Vector3::new(contact.normal.x, contact.normal.y, disc.roller_lever_mm[roller]),
                    plate_row_mm: 0.0,
                    gap_mm: shape.offset_mm + shape.shift_mm * (1.0 - shortening * cosine) / spread,
                    law,
                }
            })
            .collect();
        // One stiff contact passes the torque from disc to plate.
        let radius_mm = pins.circle_radius_mm;
        let passing = Contact {
            disc_row: Vector3::new(0.0, 0.0, -radius_mm),
            plate_row_mm: radius_mm,
            gap_mm: 0.0,
            law,
        };
        contacts.push(passing);
        let discs = [DiscContacts { contacts, ..DiscContacts::default() }];
        let lever_scale_mm = ideal.eccentricity_mm * ideal.lobe_count();
        let solved = Problem { discs: &discs, plate_torque_n_mm: torque_n_mm, lever_scale_mm }
            .solve(None, &mut Workspace::default())?;
        let force_n = discs[0].contacts[..ideal.ring_roller_count]
            .iter()
            .map(|contact| contact.force_n(&solved.discs[0], solved.plate_rad))
            .collect();
        Ok(Self { disc, force_n, rotation_rad: solved.discs[0].z })
    }
}

/// Forces at output pins in holes without clearance.
///
/// # Errors
/// If inputs do not read or nothing carries.
pub fn pin_forces(inputs: &Inputs) -> Result<Outputs, ModelError> {
    let shape = Shape {
        ring_roller_count: 40,
        ring_radius_mm: 77.5,
        roller_radius_mm: 4.0,
        eccentricity_mm: 1.5,
        offset_mm: 0.0,
        shift_mm: 0.0,
    };
    let count = inputs.count("pin_count")?;
    let phase_rad = match inputs.word("phase")? {
        "pin-at-right-angle" => FRAC_PI_2,
        "pins-astride-right-angle" => FRAC_PI_2 + PI / count as f64,
        "pin-on-crank-line" => 0.0,
        other => return Err(ModelError::Bad { name: "phase".to_owned(), message: format!("is `{other}`") }),
    };
    let pins = Pins { count, circle_radius_mm: inputs.quantity("pin_circle_radius", D::Length)?, phase_rad };
    let model = shape.contact(&pins, LineContact::linear(PLAIN_STIFFNESS_N_PER_MM));
    let torque_n_mm = inputs.quantity("torque", D::Torque)?;
    // Which half of the circle carries depends on the sense; the phase names the half with its first pin.
    let solve = |sense: f64| model.solve(&model.position(0.0, sense), sense * torque_n_mm, None);
    let (one, other) = (solve(1.0)?, solve(-1.0)?);
    let forces = [&one, &other].map(|loaded| &loaded.forces[0].pin_n);
    let forces = if forces[0][0] >= forces[1][0] { forces[0] } else { forces[1] };
    Ok(Outputs::default().with("greatest_force", forces.iter().copied().fold(0.0, f64::max), D::Force).with(
        "sum_of_forces",
        forces.iter().sum(),
        D::Force,
    ))
}
