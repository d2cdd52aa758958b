//! Cylinders that fit into each other: ring rollers in their seats, sleeves on their output pins.

use super::{at_contact, of_case, stress_in_words};
use crate::contact::build::{ContactMaterials, pin_contact_length_mm, roller_contact_length_mm};
use crate::finding::{Check, Finding, Sense, Standing, Subject};
use crate::materials::Material;
use crate::model::{Drive, RollerSupport};
use crate::results::{Extreme, LoadCase};
use curves::math;
use std::f64::consts::FRAC_PI_2;

/// Greatest pressure between a cylinder and a seat that fits round it.
///
/// ```text
/// p = F / (r L (α + sin α cos α)),   2α ≤ π the angle of the seat that bears
/// ```
/// It falls off as the cosine of the angle from the force. Over half a turn it is 4/π of the usual F/(d L).
/// **Valid for** a seat without play and a force that points to its middle; with play the pressure nears that of a line contact,
/// and the edge of the seat sees more where it ends under the force. **Source** integral of the cosine; F/(d L) is common practice.
#[must_use]
pub fn fitted_pressure_mpa(force_n: f64, radius_mm: f64, length_mm: f64, half_wrap_rad: f64) -> f64 {
    let half = half_wrap_rad.min(FRAC_PI_2);
    let (sine, cosine) = math::sin_cos(half);
    force_n / (radius_mm * length_mm * (half + sine * cosine))
}

/// One kind of fitting pair.
struct Fitted<'a> {
    /// Ids and titles under rated, peak and emergency torque.
    checks: [(&'static str, &'static str); 3],
    /// What presses, in a word.
    body: &'static str,
    /// Where the greatest pressure is, in words.
    middle: &'static str,
    radius_mm: f64,
    length_mm: f64,
    half_wrap_rad: f64,
    materials: [&'a Material; 2],
    hint: &'static str,
    key: &'static str,
}

/// Pressure of rollers in seats and of sleeves on pins under a load case; only where the drive has them.
///
/// **Source** [`fitted_pressure_mpa`] against yield; under the rated torque against what lasts of it.
#[must_use]
pub fn fitted_pressures(drive: &Drive, materials: &ContactMaterials, case: &LoadCase) -> Vec<Finding> {
    let in_seats = (drive.geometry.roller_support == RollerSupport::Seat)
        .then(|| finding(drive, &seats(drive, materials), case, &case.extremes.ring_roller_force));
    let on_pins = drive
        .geometry
        .sleeve_radius_mm
        .map(|_| finding(drive, &sleeves(drive, materials), case, &case.extremes.output_pin_force));
    in_seats.into_iter().chain(on_pins).collect()
}

fn seats<'a>(drive: &Drive, materials: &'a ContactMaterials) -> Fitted<'a> {
    Fitted {
        checks: [
            ("seat-pressure-rated", "ring rollers in their seats against lasting pressure, rated torque"),
            ("seat-yield-peak", "ring rollers in their seats against yield, peak torque"),
            ("seat-yield-emergency", "ring rollers in their seats against yield, emergency torque"),
        ],
        body: "roller",
        middle: "in the middle of its seat",
        radius_mm: drive.geometry.roller_radius_mm,
        length_mm: roller_contact_length_mm(drive),
        half_wrap_rad: 0.5 * drive.geometry.seat_wrap_angle_rad,
        materials: [&materials.roller, &materials.ring],
        hint: "take a stronger ring, wrap the rollers further, or enlarge roller_radius or disc_width",
        key: "materials.ring",
    }
}

fn sleeves<'a>(drive: &Drive, materials: &'a ContactMaterials) -> Fitted<'a> {
    Fitted {
        checks: [
            ("sleeve-pressure-rated", "sleeves on output pins against lasting pressure, rated torque"),
            ("sleeve-yield-peak", "sleeves on output pins against yield, peak torque"),
            ("sleeve-yield-emergency", "sleeves on output pins against yield, emergency torque"),
        ],
        body: "pin",
        middle: "between sleeve and pin",
        radius_mm: drive.geometry.pin_radius_mm,
        length_mm: pin_contact_length_mm(drive),
        half_wrap_rad: FRAC_PI_2,
        materials: [&materials.pin_surface, &materials.pin],
        hint: "enlarge pin_radius or disc_width, add pins, or take a stronger sleeve",
        key: "materials.sleeve",
    }
}

/// Share of the yield strength that lasts under a pressure that comes and goes: what the material's own limits of Hertz pressure leave.
///
/// **Source** own choice, so that plastics, which creep, and hardened steel keep the same distance as in their other contacts.
fn lasting_share(material: &Material) -> f64 {
    material.contact_pressure_limit_mpa / material.static_contact_pressure_limit_mpa
}

fn finding(drive: &Drive, fitted: &Fitted, case: &LoadCase, force: &Extreme) -> Finding {
    let (id, title) = of_case(case, &fitted.checks);
    let lasts = case.id == "rated";
    let pressure_mpa =
        fitted_pressure_mpa(force.value, fitted.radius_mm, fitted.length_mm, fitted.half_wrap_rad);
    let bears = fitted
        .materials
        .map(|material| material.yield_strength_mpa * if lasts { lasting_share(material) } else { 1.0 });
    let limit = if case.id == "emergency" { 1.0 } else { drive.model.least_pin_safety };
    let place = at_contact(fitted.body, force);
    Check {
        id,
        subject: Subject::Strength,
        title,
        quantity: "pressure_safety",
        value: bears[0].min(bears[1]) / pressure_mpa,
        limit,
        sense: Sense::AtLeast,
        scale: limit,
        when_broken: Standing::Fails,
        place: format!("{place}, {} {}", stress_in_words(pressure_mpa), fitted.middle),
        formula: "fitted-pressure",
        hint: fitted.hint.to_owned(),
        key: fitted.key,
    }
    .finding()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_half_a_turn_has_four_over_pi_of_the_projected_pressure() {
        let pressure = fitted_pressure_mpa(1000.0, 5.0, 10.0, FRAC_PI_2);
        assert!((pressure - 4.0 / std::f64::consts::PI * 10.0).abs() < 1e-12);
        // More than half a turn bears no more.
        assert_eq!(pressure, fitted_pressure_mpa(1000.0, 5.0, 10.0, 2.0));
    }

    #[test]
    fn identity_pressure_over_the_seat_carries_the_force() {
        let half = 1.1;
        let pressure = fitted_pressure_mpa(700.0, 4.0, 12.0, half);
        let steps = 2000;
        let carried: f64 = (0..steps)
            .map(|step| half * (2.0 * (f64::from(step) + 0.5) / f64::from(steps) - 1.0))
            .map(|angle| {
                let along = math::cos(angle);
                pressure * along * along * 4.0 * 12.0 * 2.0 * half / f64::from(steps)
            })
            .sum();
        assert!((carried / 700.0 - 1.0).abs() < 1e-6, "{carried}");
    }
}
