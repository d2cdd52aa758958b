//! Does it carry, does it last: pressures, pins and bearing against what their materials bear.
//!
//! Each allowable belongs to one way of computing the force. The trade's limit of continuous pressure was
//! drawn from forces that are shared as designed, without gaps or errors, so it is compared with those.
//! The real peaks, with gaps, are compared with the static limit.

pub mod bearing_rollers;
pub mod bearings;
pub mod conformal;
pub mod contact_stress;
pub mod disc_webs;
mod pin_checks;
pub mod ring_pins;
pub mod sliding;
pub mod surface;

use crate::bearing_loads::BearingResults;
use crate::contact::ContactModel;
use crate::contact::build::{ContactMaterials, pin_contact_length_mm, roller_contact_length_mm};
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::hertz::{LineGeometry, contact_modulus_mpa};
use crate::loads::pin_forces_n;
use crate::materials::Material;
use crate::model::{Drive, HeldMember};
use crate::part::{hole_radius_mm, pin_outside_radius_mm};
use crate::pin::{Pin, PinSafety};
use crate::registry;
use crate::results::{Extreme, LoadCase, LoadExtremes};
use crate::units::degrees;
use curves::math::{self, square};
use pin_checks::PinChecks;
use std::f64::consts::TAU;

/// Every strength and life check; those that could not be made are findings that say why.
///
/// `steady_k` is the temperature that the losses lead to.
#[must_use]
pub fn strength_checks(
    drive: &Drive,
    model: &ContactModel,
    materials: &ContactMaterials,
    load_cases: &[LoadCase],
    bearings: &BearingResults,
    steady_k: Option<f64>,
) -> Vec<Finding> {
    if load_cases.is_empty() {
        return not_loaded();
    }
    let mut findings =
        vec![nominal_roller_pressure(drive, model, materials), nominal_pin_pressure(drive, materials)];
    let webs = disc_webs::disc_webs(drive, materials);
    for case in load_cases.iter().filter(|case| is_stated(&case.id)) {
        findings.push(greatest_pressure(&AT_ROLLERS, &[&materials.roller, &materials.disc], case));
        findings.push(greatest_pressure(&AT_PINS, &[&materials.pin_surface, &materials.disc], case));
        findings.extend(pin_safety(drive, materials, case));
        findings.extend(ring_pins::ring_pin_safety(drive, materials, case));
        findings.extend(conformal::fitted_pressures(drive, materials, case));
        findings.extend(disc_webs::disc_web_safety(drive, materials, webs.as_ref(), case));
    }
    findings.extend(surface::surface_checks(drive, materials, load_cases));
    findings.extend(sliding::sliding_checks(drive, materials, load_cases, steady_k));
    findings.extend(bearings::static_safeties(bearings));
    findings.extend(bearing_rollers::roller_pressure(drive, load_cases));
    findings
}

/// Cases that stand in the requirement by name; duty steps lie within them.
fn is_stated(case: &str) -> bool {
    !case.starts_with("duty")
}

fn not_loaded() -> Vec<Finding> {
    let reason = "the geometry does not mesh; mend the geometry findings first";
    [
        ("roller-pressure-nominal", "Hertz pressure at the ring rollers"),
        ("pin-pressure-nominal", "Hertz pressure at the output pins"),
        ("pin-fatigue-rated", "output pins against fatigue"),
    ]
    .into_iter()
    .map(|(id, title)| {
        Finding::not_assessed(id, Subject::Strength, title, None, "geometry.eccentricity", reason)
    })
    .collect()
}

/// Continuous limit of a pair: the stated one, or the smaller of the two materials'.
fn continuous_limit_mpa(drive: &Drive, a_mpa: f64, b_mpa: f64) -> f64 {
    drive.model.contact_pressure_limit_mpa.unwrap_or_else(|| a_mpa.min(b_mpa))
}

/// Torque on one disc about its centre when all carry alike: T/n_d, times z_l/z_r where the ring is the output.
fn shared_disc_torque_n_mm(drive: &Drive, output_torque_n_mm: f64) -> f64 {
    let rollers = drive.geometry.ring_roller_count as f64;
    let to_plate = match drive.geometry.held_member {
        HeldMember::Ring => 1.0,
        HeldMember::Plate => (rollers - 1.0) / rollers,
    };
    output_torque_n_mm * to_plate / drive.geometry.disc_count as f64
}

/// Greatest pressure when the forces are shared as the ideal profile does: `Q_i = Q_max l_i/l_max`.
///
/// **Source** `[kudryavtsev1966]`, from memory; the discrete sum replaces its continuum value of Q_max.
fn nominal_roller_pressure(drive: &Drive, model: &ContactModel, materials: &ContactMaterials) -> Finding {
    let torque = shared_disc_torque_n_mm(drive, drive.requirement.rated_torque_n_mm);
    let modulus = contact_modulus_mpa(&materials.roller.elastic(), &materials.disc.elastic());
    let trochoid = model.profile.trochoid;
    let rollers = model.ring_roller_count as f64;
    let (mut worst, mut place) = (0.0, String::new());
    for phase in (0..NOMINAL_PHASES).map(|step| TAU / rollers * step as f64 / NOMINAL_PHASES as f64) {
        let levers: Vec<(f64, f64)> = (0..model.ring_roller_count)
            .map(|roller| phase + TAU * roller as f64 / rollers)
            .map(|angle| (angle, nominal_lever_mm(model, angle)))
            .filter(|(_, lever)| *lever > 0.0)
            .collect();
        let sum: f64 = levers.iter().map(|(_, lever)| square(*lever)).sum();
        for (angle, lever) in levers {
            let base = trochoid.curvature_per_mm(angle);
            let profile = base / (1.0 - model.profile.generating_radius_mm * base);
            let pressure = LineGeometry {
                length_mm: roller_contact_length_mm(drive),
                relative_curvature_per_mm: 1.0 / model.roller_radius_mm + profile,
                contact_modulus_mpa: modulus,
            }
            .pressure_mpa(torque * lever / sum);
            if pressure > worst {
                (worst, place) = (pressure, format!("roller {:.1}° from the crank", degrees(angle)));
            }
        }
    }
    pressure_check(
        "roller-pressure-nominal",
        "pressure at the ring rollers, rated torque shared as designed",
        "ring_roller_pressure_mpa",
        worst,
        continuous_limit_mpa(
            drive,
            materials.roller.contact_pressure_limit_mpa,
            materials.disc.contact_pressure_limit_mpa,
        ),
        place,
        "widen the discs, enlarge ring_radius, or add a disc",
        "geometry.disc_width",
    )
}

/// Phases of the roller pitch at which nominal forces are taken.
const NOMINAL_PHASES: usize = 24;

/// l = e z_l sin θ/S: lever of the force of a roller at θ from the crank, ideal profile.
fn nominal_lever_mm(model: &ContactModel, angle_rad: f64) -> f64 {
    let shortening = model.eccentricity_mm * model.ring_roller_count as f64 / model.ring_radius_mm;
    let (sine, cosine) = math::sin_cos(angle_rad);
    model.lever_scale_mm() * sine / (1.0 + square(shortening) - 2.0 * shortening * cosine).sqrt()
}

/// `P_max = 4 T_disc/(w R_w)`: classical, exact for even counts with a pin square to the crank.
///
/// **Source** classical, `[kudryavtsev1966]` from memory.
fn nominal_pin_pressure(drive: &Drive, materials: &ContactMaterials) -> Finding {
    let geometry = &drive.geometry;
    let torque = shared_disc_torque_n_mm(drive, drive.requirement.rated_torque_n_mm);
    let force = 4.0 * torque / (geometry.pin_count as f64 * geometry.pin_circle_radius_mm);
    let pressure = LineGeometry {
        length_mm: pin_contact_length_mm(drive),
        relative_curvature_per_mm: 1.0 / pin_outside_radius_mm(drive) - 1.0 / hole_radius_mm(drive),
        contact_modulus_mpa: contact_modulus_mpa(&materials.pin_surface.elastic(), &materials.disc.elastic()),
    }
    .pressure_mpa(force);
    pressure_check(
        "pin-pressure-nominal",
        "pressure at the output pins, rated torque shared as designed",
        "output_pin_pressure_mpa",
        pressure,
        continuous_limit_mpa(
            drive,
            materials.pin_surface.contact_pressure_limit_mpa,
            materials.disc.contact_pressure_limit_mpa,
        ),
        "pin square to the crank".to_owned(),
        "widen the discs, enlarge pin_circle_radius or the pins, or add pins",
        "geometry.pin_count",
    )
}

/// One kind of contact whose greatest pressure with gaps is compared with the static limit.
struct Pressed {
    /// Ids and titles under rated, peak and emergency torque.
    checks: [(&'static str, &'static str); 3],
    quantity: &'static str,
    /// What presses on the disc, in a word.
    body: &'static str,
    greatest: fn(&LoadExtremes) -> Extreme,
    hint: &'static str,
    key: &'static str,
}

const AT_ROLLERS: Pressed = Pressed {
    checks: [
        ("roller-pressure-rated", "greatest pressure at a ring roller, rated torque, with gaps"),
        ("roller-pressure-peak", "greatest pressure at a ring roller, peak torque, with gaps"),
        ("roller-pressure-emergency", "greatest pressure at a ring roller, emergency torque, with gaps"),
    ],
    quantity: "ring_roller_pressure_mpa",
    body: "roller",
    greatest: |extremes| extremes.ring_roller_pressure,
    hint: "reduce the clearance of the lobe profile, widen the discs, or add a disc",
    key: "geometry.disc_width",
};
const AT_PINS: Pressed = Pressed {
    checks: [
        ("pin-pressure-rated", "greatest pressure at an output pin, rated torque, with gaps"),
        ("pin-pressure-peak", "greatest pressure at an output pin, peak torque, with gaps"),
        ("pin-pressure-emergency", "greatest pressure at an output pin, emergency torque, with gaps"),
    ],
    quantity: "output_pin_pressure_mpa",
    body: "pin",
    greatest: |extremes| extremes.output_pin_pressure,
    hint: "reduce hole_clearance, widen the discs, enlarge the pins or add some",
    key: "geometry.pin_count",
};

/// Which of three things belongs to a stated load case: that of rated, peak or emergency torque.
fn of_case<T: Copy>(case: &LoadCase, choices: &[T; 3]) -> T {
    match case.id.as_str() {
        "peak" => choices[1],
        "emergency" => choices[2],
        _ => choices[0],
    }
}

/// The greatest pressure of a load case against the smaller static limit of the two materials.
fn greatest_pressure(pressed: &Pressed, materials: &[&Material; 2], case: &LoadCase) -> Finding {
    let limit = materials.map(|material| material.static_contact_pressure_limit_mpa);
    let (id, title) = of_case(case, &pressed.checks);
    let extreme = (pressed.greatest)(&case.extremes);
    pressure_check(
        id,
        title,
        pressed.quantity,
        extreme.value,
        limit[0].min(limit[1]),
        at_contact(pressed.body, &extreme),
        pressed.hint,
        pressed.key,
    )
}

#[expect(clippy::too_many_arguments, reason = "one line of the verdict, each part named where it is called")]
fn pressure_check(
    id: &'static str,
    title: &'static str,
    quantity: &'static str,
    value: f64,
    limit: f64,
    place: String,
    hint: &str,
    key: &'static str,
) -> Finding {
    Check {
        id,
        subject: Subject::Strength,
        title,
        quantity,
        value,
        limit,
        sense: Sense::AtMost,
        scale: limit,
        when_broken: Standing::Fails,
        place,
        formula: "line-pressure",
        hint: hint.to_owned(),
        key,
    }
    .finding()
}

/// A stress in words: whole from ten on, else with one digit, so that soft materials show theirs too.
fn stress_in_words(stress_mpa: f64) -> String {
    let digits = usize::from(stress_mpa < 10.0);
    format!("{} MPa", registry::format_number(stress_mpa, digits))
}

/// Contact and crank angle of an extreme in words; people count from one.
fn at_contact(contact: &str, extreme: &Extreme) -> String {
    format!(
        "{contact} {} of disc {} at a crank angle of {:.1}°",
        extreme.contact + 1,
        extreme.disc + 1,
        degrees(extreme.crank_angle_rad)
    )
}

/// Output pins: fatigue under the rated torque, yield under peak and emergency.
fn pin_safety(drive: &Drive, materials: &ContactMaterials, case: &LoadCase) -> Option<Finding> {
    let pin = Pin::output(&drive.geometry, &materials.pin);
    let (safety, place) = worst_pin(&pin, materials, case)?;
    Some(OUTPUT_PINS.finding(drive, case, safety, place))
}

/// Checks of the output pins.
const OUTPUT_PINS: PinChecks = PinChecks {
    ids: ["pin-fatigue-rated", "pin-yield-peak", "pin-yield-emergency"],
    titles: [
        "output pins against fatigue, rated torque",
        "output pins against yield, peak torque",
        "output pins against yield, emergency torque",
    ],
    hint: "enlarge pin_radius, shorten pin_free_length, add pins, or hold them at both ends",
    key: "geometry.pin_radius",
};

/// The least safe pin at the crank angle of the greatest bending.
fn worst_pin(pin: &Pin, materials: &ContactMaterials, case: &LoadCase) -> Option<(PinSafety, String)> {
    let extreme = &case.extremes.output_pin_bending;
    let pose = case.poses.iter().find(|pose| pose.crank_angle_rad == extreme.crank_angle_rad)?;
    let forces = pin_forces_n(pose, extreme.contact);
    let place =
        format!("pin {} at a crank angle of {:.1}°", extreme.contact + 1, degrees(extreme.crank_angle_rad));
    Some((pin.safety(&forces, &materials.pin), place))
}
