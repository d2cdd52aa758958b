//! Pressure, width and greatest shear with its depth at every kind of rolling and sliding contact of the discs.

use crate::contact::build::{ContactMaterials, pin_contact_length_mm, roller_contact_length_mm};
use crate::contact::centre::BEARING_STEEL;
use crate::contact::support::LARGEST_SHARE;
use crate::hertz::ellipse::{ball_in_groove, greatest_shear};
use crate::hertz::friction::sliding_shares;
use crate::hertz::{LineGeometry, relative_curvature_per_mm};
use crate::losses::{sliding_friction, turning};
use crate::model::{BearingKind, Drive, RollerTurning};
use crate::results::{ContactStress, Extreme, LoadCase};
use std::f64::consts::PI;

/// Radius of a ball's groove over the ball's diameter. **Source** `[iso76-2006]`, from memory.
const GROOVE_CONFORMITY: f64 = 0.52;

/// Stresses where each kind of contact is pressed most, load case by load case.
///
/// The contacts of input and output bearings are left out: their static safety stands for them.
/// **Source** [`crate::hertz`] and its parts.
#[must_use]
pub fn contact_stresses(
    drive: &Drive,
    materials: &ContactMaterials,
    load_cases: &[LoadCase],
) -> Vec<ContactStress> {
    load_cases
        .iter()
        .flat_map(|case| {
            [
                at_roller(drive, materials, case),
                at_pin(drive, materials, case),
                at_eccentric_bearing(drive, case),
            ]
        })
        .flatten()
        .collect()
}

fn at_roller(drive: &Drive, materials: &ContactMaterials, case: &LoadCase) -> Option<ContactStress> {
    let extreme = &case.extremes.ring_roller_pressure;
    let pose = case.poses.iter().find(|pose| pose.crank_angle_rad == extreme.crank_angle_rad)?;
    let force_n = pose.discs[extreme.disc].ring_roller_force_n[extreme.contact];
    let slides = turning(drive) == RollerTurning::Fixed;
    Some(
        Line {
            contact: "ring roller on lobe",
            extreme: *extreme,
            force_n,
            length_mm: roller_contact_length_mm(drive),
            friction: if slides { sliding_friction(drive, drive.losses.roller_friction) } else { 0.0 },
            poisson_ratio: materials.disc.poisson_ratio,
        }
        .stress(case),
    )
}

fn at_pin(drive: &Drive, materials: &ContactMaterials, case: &LoadCase) -> Option<ContactStress> {
    let extreme = &case.extremes.output_pin_pressure;
    let pose = case.poses.iter().find(|pose| pose.crank_angle_rad == extreme.crank_angle_rad)?;
    let has_sleeve = drive.geometry.sleeve_radius_mm.is_some();
    Some(
        Line {
            contact: if has_sleeve { "sleeve in output hole" } else { "output pin in its hole" },
            extreme: *extreme,
            force_n: pose.discs[extreme.disc].output_pin_force_n[extreme.contact],
            length_mm: pin_contact_length_mm(drive),
            friction: if has_sleeve { 0.0 } else { sliding_friction(drive, drive.losses.pin_friction) },
            poisson_ratio: materials.disc.poisson_ratio,
        }
        .stress(case),
    )
}

/// The most loaded element on the inner raceway, where the inside of the bearing is known: by the load model where that has
/// the elements, by 5 F/Z otherwise.
fn at_eccentric_bearing(drive: &Drive, case: &LoadCase) -> Option<ContactStress> {
    let bearing = &drive.bearings.eccentric;
    let force = case.extremes.bearing_element_force.as_ref().unwrap_or(&case.extremes.bearing_force);
    let diameter_mm = bearing.element_diameter_mm?;
    let race_mm = 0.5 * (bearing.pitch_diameter_mm? - diameter_mm);
    let elements = (bearing.element_count? * bearing.row_count) as f64;
    let element_n = match &case.extremes.bearing_element_force {
        Some(own) => own.value,
        None => LARGEST_SHARE * force.value / elements,
    };
    let modulus = crate::hertz::contact_modulus_mpa(&BEARING_STEEL, &BEARING_STEEL);
    match bearing.kind {
        BearingKind::CylindricalRoller | BearingKind::Needle | BearingKind::DrawnCupNeedle => {
            let geometry = LineGeometry {
                length_mm: bearing.element_length_mm?,
                relative_curvature_per_mm: relative_curvature_per_mm(0.5 * diameter_mm, race_mm),
                contact_modulus_mpa: modulus,
            };
            let extreme = Extreme { value: geometry.pressure_mpa(element_n), ..*force };
            let line = Line {
                contact: "roller on the crank's raceway",
                extreme,
                force_n: element_n,
                length_mm: geometry.length_mm,
                friction: 0.0,
                poisson_ratio: BEARING_STEEL.poisson_ratio,
            };
            Some(line.stress(case))
        }
        BearingKind::DeepGrooveBall => {
            let geometry =
                ball_in_groove(diameter_mm, GROOVE_CONFORMITY, race_mm, &BEARING_STEEL, &BEARING_STEEL);
            let state = geometry.under(element_n)?;
            let ratio = state.half_width_mm / state.half_length_mm;
            let (share, depth) = greatest_shear(ratio, BEARING_STEEL.poisson_ratio);
            Some(ContactStress {
                load_case: case.id.clone(),
                contact: "ball on the inner ring of the eccentric bearing".to_owned(),
                place: *force,
                contact_force_n: element_n,
                hertz_pressure_mpa: state.pressure_mpa,
                half_width_mm: state.half_width_mm,
                half_length_mm: Some(state.half_length_mm),
                greatest_shear_mpa: share * state.pressure_mpa,
                shear_depth_mm: depth * state.half_width_mm,
                friction: 0.0,
            })
        }
        BearingKind::AngularContactPair | BearingKind::TaperedRollerPair | BearingKind::CrossedRoller => None,
    }
}

/// A line contact whose pressure is known.
struct Line {
    contact: &'static str,
    /// The pressure, and where it is.
    extreme: Extreme,
    force_n: f64,
    length_mm: f64,
    friction: f64,
    poisson_ratio: f64,
}

impl Line {
    /// Width from force and pressure, `b = 2 F/(π L p₀)`, and the greatest shear with friction.
    fn stress(&self, case: &LoadCase) -> ContactStress {
        let pressure_mpa = self.extreme.value.max(0.0);
        let half_width_mm =
            if pressure_mpa > 0.0 { 2.0 * self.force_n / (PI * self.length_mm * pressure_mpa) } else { 0.0 };
        let (share, depth) = if self.friction > 0.0 {
            let shares = sliding_shares(self.friction, self.poisson_ratio);
            (shares.shear, shares.shear_depth)
        } else {
            (crate::hertz::SHEAR_SHARE, crate::hertz::SHEAR_DEPTH_SHARE)
        };
        ContactStress {
            load_case: case.id.clone(),
            contact: self.contact.to_owned(),
            place: Extreme { value: pressure_mpa, ..self.extreme },
            contact_force_n: self.force_n,
            hertz_pressure_mpa: pressure_mpa,
            half_width_mm,
            half_length_mm: None,
            greatest_shear_mpa: share * pressure_mpa,
            shear_depth_mm: depth * half_width_mm,
            friction: self.friction,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identity_width_follows_from_force_and_pressure() {
        let geometry =
            LineGeometry { length_mm: 11.0, relative_curvature_per_mm: 0.6, contact_modulus_mpa: 1.1e5 };
        let state = geometry.under(400.0);
        let half_width_mm = 2.0 * 400.0 / (PI * 11.0 * state.pressure_mpa);
        assert!((half_width_mm / state.half_width_mm - 1.0).abs() < 1e-12);
    }
}
