//! Gaps, lost motion and loaded contact beside the solved cases of an independent program.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

mod independent_cases;

use curves::point::{Point, rotated};
use independent_cases::{CASES, Case, Gaps, number, numbers};
use reducer::profile::LobeOutline;
use std::f64::consts::TAU;
use std::path::Path;

fn cases() -> impl Iterator<Item = Case> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    CASES.into_iter().map(move |name| Case::read(&root, name))
}

#[test]
fn independent_exact_gaps_at_given_poses() {
    for case in cases() {
        let profile = case.profile();
        for pose in case.data["gaps"]["poses"].as_array().unwrap() {
            let centre = Point::new(number(&pose["x_mm"]), number(&pose["y_mm"]));
            let turn = number(&pose["rotation_rad"]);
            for (roller, expected) in numbers(&pose["gap_mm"]).into_iter().enumerate() {
                let angle = TAU * roller as f64 / case.get("n_rollers");
                let place = curves::point::polar(case.get("R_mm"), angle);
                let in_disc = Point::from(rotated(place - centre, -turn));
                let start = angle - turn;
                let contact = profile.contact_with_circle(in_disc, case.get("r_roller_mm"), start);
                let (gap, name) = (contact.gap_mm, case.name);
                // The poses are printed to ten digits, which moves the gaps by up to 2e-9.
                assert!((gap - expected).abs() < 2e-9, "{name} roller {roller}: {gap} against {expected}");
            }
        }
    }
}

/// Every drive, model, crank angle and torque: forces to 1e-6 of the largest, wind-up to 1e-6 of itself.
#[test]
fn independent_loaded_contact_with_re_evaluated_gaps() {
    let (mut position_count, mut torque_count) = (0, 0);
    for case in cases() {
        let worst = case.deviations(Gaps::ReEvaluated);
        let shares = worst.shares();
        assert!(shares.iter().all(|share| *share < 1e-6), "{}: {worst:?}", case.name);
        assert!(worst.unloaded_rad < 1e-11, "{}: {worst:?}", case.name);
        position_count += worst.position_count;
        torque_count += worst.torque_count;
    }
    // Four drives with eight models each at twelve crank angles, and six torques at the first of them.
    assert_eq!((position_count, torque_count), (4 * 8 * 12, 4 * 8 * 6));
}

/// Gaps linear in the displacements: the largest roller force and the wind-up within one per cent of the exact ones,
/// any force within three per cent of the largest.
#[test]
fn independent_loaded_contact_with_linear_gaps() {
    for case in cases() {
        let worst = case.deviations(Gaps::Linear);
        assert!(worst.largest_roller_force < 0.01 && worst.windup < 0.01, "{}: {worst:?}", case.name);
        assert!(worst.roller_force < 0.03 && worst.pin_force < 0.03, "{}: {worst:?}", case.name);
    }
}

/// Free rotation of the disc in both senses with its centre held, and the play between them.
#[test]
fn independent_lost_motion_of_the_profile() {
    for case in cases() {
        let model = case.model("1disc_linear_rigid", Gaps::ReEvaluated);
        let expected = &case.data["lost_motion"];
        for (index, crank_angle) in numbers(&expected["phi_rad"]).into_iter().enumerate() {
            for (sense, key) in [(1.0, "beta_hi_rad"), (-1.0, "beta_lo_rad")] {
                let (turned, expected) =
                    (model.touch(crank_angle, sense).disc_rad[0], numbers(&expected[key])[index]);
                assert!(
                    (turned - expected).abs() < 2e-12,
                    "{} {key}: {turned} against {expected}",
                    case.name
                );
            }
        }
    }
}
