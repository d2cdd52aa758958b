//! Elastic discs and rollers beside a finite-element solution of two drives by an independent program.
//!
//! `validation/finite_element`: plane stress, one disc, rigid bearing, torque through a rigid bore, rollers
//! bonded to their seats over ±75° or ±40°, or rigid, with and without output holes; nothing there is published.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use curves::point::{Vector, cross, unit};
use nalgebra::Vector3;
use reducer::contact::equilibrium::{Contact, DiscContacts, Problem, Workspace};
use reducer::contact::flank::LightGive;
use reducer::contact::support::{CentreSupport, DiscSupport};
use reducer::contact::{ContactModel, RollerLaw};
use reducer::elastic::disc::{BoreSupport, DiscShape};
use reducer::elastic::plane::PlaneState;
use reducer::elastic::{ComplianceData, DiscCompliance, Site};
use reducer::hertz::Elastic;
use reducer::line_contact::LineContact;
use reducer::profile::{LobeProfile, Trochoid};
use serde_json::Value;
use std::f64::consts::TAU;

fn read(path: &str) -> Value {
    let path = format!("{}/../../validation/{path}", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// A variant of a drive of the comparison.
struct Variant {
    inputs: Value,
    has_holes: bool,
    half_wrap_rad: Option<f64>,
}

/// Wind-up and forces of the rollers.
struct Solution {
    windup_rad: f64,
    roller_n: Vec<f64>,
    residual_ratio: f64,
}

impl Variant {
    fn get(&self, key: &str) -> f64 {
        number(&self.inputs[key])
    }

    fn count(&self, key: &str) -> usize {
        self.inputs[key].as_u64().unwrap() as usize
    }

    fn steel(&self) -> Elastic {
        Elastic { elastic_modulus_mpa: self.get("E_MPa"), poisson_ratio: self.get("nu") }
    }

    fn rollers(&self) -> Elastic {
        let stiffer = if self.half_wrap_rad.is_some() { 1.0 } else { 1e9 };
        let steel = self.steel();
        Elastic { elastic_modulus_mpa: steel.elastic_modulus_mpa * stiffer, ..steel }
    }

    fn geometry(&self) -> ContactModel {
        let trochoid = Trochoid {
            ring_roller_count: self.count("n_rollers"),
            ring_radius_mm: self.get("R_mm") + self.get("d_R_mm"),
            eccentricity_mm: self.get("e_mm"),
        };
        let law = LineContact::palmgren(self.get("width_mm"));
        ContactModel {
            profile: LobeProfile::new(trochoid, self.get("r_roller_mm") + self.get("d_rr_mm"), 0.0),
            ring_roller_count: self.count("n_rollers"),
            ring_radius_mm: self.get("R_mm"),
            roller_radius_mm: self.get("r_roller_mm"),
            eccentricity_mm: self.get("e_mm"),
            disc_count: 1,
            pin_count: self.count("n_pins"),
            pin_circle_radius_mm: self.get("R_pins_mm"),
            pin_phase_rad: 0.0,
            pin_play_radius_mm: self.get("e_mm"),
            roller_law: RollerLaw::Uniform(law),
            roller_compliance_mm_per_n: vec![0.0],
            pin_laws: vec![law],
            support: CentreSupport::default(),
            re_evaluates_gaps: false,
            compliance: None,
            deviations: None,
            light_give: LightGive::default(),
        }
    }

    fn compliance(&self, profile: &LobeProfile) -> DiscCompliance {
        let roller_radius_mm = self.get("r_roller_mm");
        let shape = DiscShape {
            lobe_count: self.count("n_lobes"),
            roller_radius_mm,
            hole_count: if self.has_holes { self.count("n_pins") } else { 0 },
            hole_circle_radius_mm: self.get("R_pins_mm"),
            hole_radius_mm: self.get("r_pin_mm") + self.get("e_mm"),
            hole_phase_rad: 0.0,
            bore_radius_mm: self.get("r_bore_mm"),
            valley_crowding: 0.0,
            lobe_depth_mm: roller_radius_mm,
            hole_depth_mm: self.get("r_pin_mm"),
        };
        let data = ComplianceData {
            shape,
            disc_count: 1,
            width_mm: self.get("width_mm"),
            roller_length_mm: self.get("width_mm"),
            disc: self.steel(),
            roller: self.rollers(),
            seat_half_wrap_rad: self.half_wrap_rad,
            state: PlaneState::Stress,
            support: BoreSupport::Clamped,
        };
        DiscCompliance::of(profile, data).unwrap()
    }

    /// Solutions at several torques, with a stiff coupling from the bore to the plate in place of output pins.
    fn solve(&self, torques_n_mm: &[f64]) -> Vec<Solution> {
        let model = self.geometry();
        let position = model.position(0.05, 1.0);
        let free_rad = position.touch.disc_rad[0];
        let geometry = &position.discs[0];
        let disc = PlaneState::Stress.plane_strain_equivalent(&self.steel());
        let roller = PlaneState::Stress.plane_strain_equivalent(&self.rollers());
        let depth = model.roller_radius_mm;
        let mut contacts: Vec<Contact> = geometry
            .rollers
            .iter()
            .zip(&geometry.roller_lever_mm)
            .map(|(place, &lever)| {
                let disc_row = Vector3::new(place.normal.x, place.normal.y, lever);
                let curvature = 1.0 / model.roller_radius_mm + place.curvature_per_mm;
                let law =
                    LineContact::two_cylinders(self.get("width_mm"), &roller, &disc, curvature, depth, depth);
                Contact { disc_row, plate_row_mm: 0.0, gap_mm: place.gap_mm + lever * free_rad, law }
            })
            .collect();
        contacts.push(Contact {
            disc_row: Vector3::new(0.0, 0.0, -1.0),
            plate_row_mm: 1.0,
            gap_mm: 0.0,
            law: LineContact::linear(1e15),
        });
        let sites: Vec<Site> = geometry
            .rollers
            .iter()
            .enumerate()
            .map(|(index, place)| {
                let radial = unit(TAU * index as f64 / model.ring_roller_count as f64);
                let aside = cross(radial, place.normal);
                let seat_angle_rad = curves::point::angle_of(Vector::new(radial.dot(&place.normal), aside));
                Site::Lobe { parameter: place.parameter, seat_angle_rad }
            })
            .collect();
        let bodies = self.compliance(&model.profile).coefficients_mm_per_n(0, &sites);
        let (inner, count) = (sites.len(), contacts.len());
        let mut bulk = vec![0.0; count * count];
        for row in 0..inner {
            bulk[row * count..row * count + inner].copy_from_slice(&bodies[row * inner..(row + 1) * inner]);
        }
        let discs = [DiscContacts {
            contacts,
            centre: DiscSupport::default(),
            given: Vector3::zeros(),
            bulk: bulk.into(),
        }];
        torques_n_mm
            .iter()
            .map(|&plate_torque_n_mm| {
                let problem =
                    Problem { discs: &discs, plate_torque_n_mm, lever_scale_mm: model.lever_scale_mm() };
                let solved = problem.solve(None, &mut Workspace::default()).unwrap();
                Solution {
                    windup_rad: solved.discs[0].z - free_rad,
                    roller_n: discs[0].forces_n(&solved.discs[0], solved.plate_rad),
                    residual_ratio: solved.residual_ratio,
                }
            })
            .collect()
    }
}

/// Deviation of wind-up, and the worst deviation of a force as a share of the largest.
fn deviations(solution: &Solution, expected: &Value) -> (f64, f64) {
    let windup = solution.windup_rad / number(&expected["windup_rad"]) - 1.0;
    let forces = expected["Q_N"].as_object().unwrap();
    let largest = forces.values().map(number).fold(0.0, f64::max);
    let worst = forces
        .iter()
        .map(|(roller, force)| (solution.roller_n[roller.parse::<usize>().unwrap()] - number(force)).abs())
        .fold(0.0, f64::max);
    (windup, worst / largest)
}

/// Every variant of both drives: wind-up within 1 %, every roller force within 2 % of the largest.
#[test]
fn independent_finite_elements_of_disc_and_rollers() {
    let cases = read("finite_element/finite_element_A1_A2.json");
    for case in cases.as_array().unwrap() {
        let name = case["case"].as_str().unwrap();
        let inputs = read(&format!("independent_program/{name}.json"))["inputs"].clone();
        let torque = 1e3 * number(&case["T_Nm"]);
        let degrees = |angle: f64| Some(angle / 360.0 * TAU);
        let variants = [
            ("as drawn", &case["fe"][2], true, degrees(75.0)),
            ("without holes", &case["fe_no_holes"], false, degrees(75.0)),
            ("rigid rollers", &case["fe_rigid_rollers"], true, None),
            ("seats of ±40°", &case["fe_roller_clamp_40deg"], true, degrees(40.0)),
        ];
        for (title, expected, has_holes, half_wrap_rad) in variants {
            let variant = Variant { inputs: inputs.clone(), has_holes, half_wrap_rad };
            let solution = variant.solve(&[torque]).remove(0);
            let (windup, force) = deviations(&solution, expected);
            println!(
                "{name} {title}: wind-up {:+.2} %, forces {:.2} % of the largest",
                1e2 * windup,
                1e2 * force
            );
            assert!(solution.residual_ratio < 1e-9);
            assert!(windup.abs() < 0.01, "{name} {title}: {windup}");
            assert!(force < 0.02, "{name} {title}: {force}");
        }
    }
}

/// The wind-up over the torque, from a tenth of the load on: within 1 % everywhere.
#[test]
fn independent_windup_over_the_torque() {
    let cases = read("finite_element/finite_element_A1_A2.json");
    for case in cases.as_array().unwrap() {
        let name = case["case"].as_str().unwrap();
        let inputs = read(&format!("independent_program/{name}.json"))["inputs"].clone();
        let curve = case["torque_curve"].as_array().unwrap();
        let torques: Vec<f64> = curve.iter().map(|point| 1e3 * number(&point["T_Nm"])).collect();
        let half_wrap_rad = Some(75.0 / 360.0 * TAU);
        let variant = Variant { inputs, has_holes: true, half_wrap_rad };
        for (solution, point) in variant.solve(&torques).iter().zip(curve) {
            let deviation = solution.windup_rad / number(&point["windup_fe_rad"]) - 1.0;
            println!("{name} {} N·m: wind-up {:+.2} %", point["T_Nm"], 1e2 * deviation);
            assert!(deviation.abs() < 0.01, "{name} {}: {deviation}", point["T_Nm"]);
        }
    }
}
