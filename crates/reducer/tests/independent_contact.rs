//! Gaps, lost motion and loaded contact beside the solved cases of an independent program.
//!
//! The cases (`validation/independent_program`, drives invented) were computed from first principles by a
//! separate numerical program with gaps re-evaluated at the solved position; nothing there is published.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use curves::point::{Point, rotated};
use reducer::contact::{ContactModel, RollerLaw};
use reducer::line_contact::LineContact;
use reducer::profile::{LobeOutline, LobeProfile, Trochoid};
use serde_json::Value;
use std::f64::consts::TAU;

const CASES: [&str; 4] = ["A1", "A2", "A3", "A4"];

fn read(case: &str) -> Value {
    let path = format!("{}/../../validation/independent_program/{case}.json", env!("CARGO_MANIFEST_DIR"));
    serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().unwrap().iter().map(number).collect()
}

struct Inputs(Value);

impl Inputs {
    fn get(&self, key: &str) -> f64 {
        number(&self.0[key])
    }

    fn count(&self, key: &str) -> usize {
        self.0[key].as_u64().unwrap() as usize
    }
}

/// The model of a case such as `2disc_palmgren_kb`.
fn model(inputs: &Inputs, name: &str) -> ContactModel {
    let disc_count = if name.starts_with('2') { 2 } else { 1 };
    let length = inputs.get("palmgren_length_mm");
    let (roller, pin) = if name.contains("palmgren") {
        (LineContact::palmgren(length), LineContact::palmgren(length))
    } else {
        (
            LineContact::linear(inputs.get("k_roller_linear_N_per_mm")),
            LineContact::linear(inputs.get("k_pin_linear_N_per_mm")),
        )
    };
    ContactModel {
        profile: profile(inputs),
        ring_roller_count: inputs.count("n_rollers"),
        ring_radius_mm: inputs.get("R_mm"),
        roller_radius_mm: inputs.get("r_roller_mm"),
        eccentricity_mm: inputs.get("e_mm"),
        disc_count,
        pin_count: inputs.count("n_pins"),
        pin_circle_radius_mm: inputs.get("R_pins_mm"),
        pin_phase_rad: 0.0,
        pin_play_radius_mm: inputs.get("e_mm") + 0.5 * inputs.get("pin_diametral_clearance_mm"),
        roller_law: RollerLaw::Uniform(roller),
        roller_compliance_mm_per_n: vec![0.0; disc_count],
        pin_laws: vec![pin; disc_count],
        bearing_stiffness_n_per_mm: name.ends_with("kb").then(|| inputs.get("k_bearing_N_per_mm")),
        re_evaluates_gaps: true,
        compliance: None,
    }
}

fn profile(inputs: &Inputs) -> LobeProfile {
    let trochoid = Trochoid {
        ring_roller_count: inputs.count("n_rollers"),
        ring_radius_mm: inputs.get("R_mm") + inputs.get("d_R_mm"),
        eccentricity_mm: inputs.get("e_mm"),
    };
    LobeProfile::new(trochoid, inputs.get("r_roller_mm") + inputs.get("d_rr_mm"), 0.0)
}

#[test]
fn independent_exact_gaps_at_given_poses() {
    for case in CASES {
        let data = read(case);
        let inputs = Inputs(data["inputs"].clone());
        let profile = profile(&inputs);
        for pose in data["gaps"]["poses"].as_array().unwrap() {
            let centre = Point::new(number(&pose["x_mm"]), number(&pose["y_mm"]));
            let turn = number(&pose["rotation_rad"]);
            for (roller, expected) in numbers(&pose["gap_mm"]).into_iter().enumerate() {
                let angle = TAU * roller as f64 / inputs.get("n_rollers");
                let place = curves::point::polar(inputs.get("R_mm"), angle);
                let in_disc = Point::from(rotated(place - centre, -turn));
                let start = angle - turn;
                let contact = profile.contact_with_circle(in_disc, inputs.get("r_roller_mm"), start);
                let difference = (contact.gap_mm - expected).abs();
                // The poses are printed to ten digits, which moves the gaps by up to 2e-9.
                assert!(difference < 2e-9, "{case} roller {roller}: {} against {expected}", contact.gap_mm);
            }
        }
    }
}

/// Every case and model, every crank angle of the sweep: forces to 1e-6 of the largest, angles to 1e-6 of the wind-up.
#[test]
fn independent_loaded_contact_with_re_evaluated_gaps() {
    let mut compared = 0;
    for case in CASES {
        let data = read(case);
        let inputs = Inputs(data["inputs"].clone());
        let torque = 1e3 * inputs.get("T_out_Nm");
        for (name, results) in data["contact"].as_object().unwrap() {
            let model = model(&inputs, name);
            for pose in results["sweep"].as_array().unwrap() {
                compared += 1;
                let position = model.position(number(&pose["phi_rad"]), 1.0);
                let loaded = model.solve(&position, torque, None).unwrap();
                let place = format!("{case} {name} {}", pose["phi_rad"]);
                let gamma = number(&pose["gamma_rad"]);
                close(loaded.displacements.plate_rad, gamma, 1e-6 * gamma, &place, "plate rotation");
                let unloaded = position.touch.plate_rad;
                close(unloaded, number(&pose["gamma0_unloaded_rad"]), 1e-11, &place, "unloaded rotation");
                let holding = number(&pose["T_hold_Nm"]) * 1e3;
                close(loaded.holding_torque_n_mm, holding, 1e-6 * holding.abs(), &place, "holding torque");
                let largest = numbers(&pose["Qmax_roller_N"]);
                for (disc, forces) in loaded.forces.iter().enumerate() {
                    let top = forces.roller_n.iter().copied().fold(0.0, f64::max);
                    close(top, largest[disc], 1e-6 * largest[disc], &place, "largest roller force");
                    let top = forces.pin_n.iter().copied().fold(0.0, f64::max);
                    let expected = numbers(&pose["Qmax_pin_N"])[disc];
                    close(top, expected, 1e-6 * expected, &place, "largest pin force");
                    let expected = numbers(&pose["F_bearing_on_disc_N"][disc]);
                    let scale = 1e-6 * number(&pose["F_bearing_abs_N"][disc]);
                    close(forces.bearing_n.x, expected[0], scale, &place, "bearing force x");
                    close(forces.bearing_n.y, expected[1], scale, &place, "bearing force y");
                }
            }
        }
    }
    assert_eq!(compared, 4 * 8 * 12);
}

/// Free rotation of the disc in both senses with its centre held, and the play between them.
#[test]
fn independent_lost_motion_of_the_profile() {
    for case in CASES {
        let data = read(case);
        let inputs = Inputs(data["inputs"].clone());
        let model = model(&inputs, "1disc_linear_rigid");
        let expected = &data["lost_motion"];
        let angles = numbers(&expected["phi_rad"]);
        for (index, crank_angle) in angles.into_iter().enumerate() {
            for (sense, key) in [(1.0, "beta_hi_rad"), (-1.0, "beta_lo_rad")] {
                let turned = model.touch(crank_angle, sense).disc_rad[0];
                close(turned, numbers(&expected[key])[index], 2e-12, case, key);
            }
        }
    }
}

/// Gaps linear in the displacements: within one per cent of the exact ones for the largest force.
#[test]
fn independent_loaded_contact_with_linear_gaps() {
    let mut worst: f64 = 0.0;
    for case in CASES {
        let data = read(case);
        let inputs = Inputs(data["inputs"].clone());
        let torque = 1e3 * inputs.get("T_out_Nm");
        for (name, results) in data["contact"].as_object().unwrap() {
            let model = ContactModel { re_evaluates_gaps: false, compliance: None, ..model(&inputs, name) };
            for pose in results["sweep"].as_array().unwrap() {
                let position = model.position(number(&pose["phi_rad"]), 1.0);
                let loaded = model.solve(&position, torque, None).unwrap();
                for (disc, forces) in loaded.forces.iter().enumerate() {
                    let expected = numbers(&pose["Qmax_roller_N"])[disc];
                    let top = forces.roller_n.iter().copied().fold(0.0, f64::max);
                    worst = worst.max((top / expected - 1.0).abs());
                }
            }
        }
    }
    assert!(worst < 0.01, "largest roller force differs by {worst}");
}

fn close(actual: f64, expected: f64, tolerance: f64, place: &str, what: &str) {
    assert!((actual - expected).abs() <= tolerance, "{place}: {what} {actual} against {expected}");
}
