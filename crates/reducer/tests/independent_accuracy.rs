//! Backlash and transmission error of one drive beside the solved cases of an independent program.
#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

#[allow(dead_code, reason = "forces belong to another test")]
mod independent_cases;

use independent_cases::{CASES, Case, Gaps, number, numbers};
use reducer::accuracy::turn::turn;
use reducer::contact::ContactModel;
use reducer::model::{Drive, HeldMember};
use std::path::Path;

fn root() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// One disc of a case on pins without play, which the other program left out of its backlash.
fn disc_alone(case: &Case) -> ContactModel {
    let model = case.models().into_iter().find(|name| name.starts_with('1')).unwrap();
    ContactModel { pin_play_radius_mm: case.get("e_mm"), ..case.model(model, Gaps::ReEvaluated) }
}

/// A drive with the counts of a case; nothing else of it matters to the play of a given model.
fn drive_of(case: &Case) -> Drive {
    let path = root().join("examples/orchard-arm-shoulder.toml");
    let mut drive = schema::read("shoulder", &std::fs::read(path).unwrap()).unwrap().drive;
    drive.geometry.ring_roller_count = case.count("n_rollers");
    drive.geometry.pin_count = case.count("n_pins");
    drive.geometry.held_member = HeldMember::Ring;
    drive
}

/// At every crank angle of the file, both flanks. Its angles are printed to ten digits.
#[test]
fn independent_limits_of_the_output_at_given_crank_angles() {
    for case in CASES.map(|name| Case::read(&root(), name)) {
        let model = disc_alone(&case);
        let expected = &case.data["lost_motion"];
        let (ahead, behind) = (numbers(&expected["beta_hi_rad"]), numbers(&expected["beta_lo_rad"]));
        for (index, angle) in numbers(&expected["phi_rad"]).into_iter().enumerate() {
            for (sense, limit) in [(1.0, ahead[index]), (-1.0, behind[index])] {
                let found = model.flank_touch(angle, 0, sense).plate_rad;
                assert!((found - limit).abs() < 1e-10, "{} at {angle}: {found} {limit}", case.name);
            }
        }
    }
}

/// Extremes of backlash and the error of both flanks over the whole turn. The file has 25 crank angles over a roller pitch and the turn 24, which meet
/// the sharp ends of a change at other places: up to a fortieth of the change of the backlash, and a fiftieth of the error.
#[test]
fn independent_backlash_and_error_over_an_output_turn() {
    for case in CASES.map(|name| Case::read(&root(), name)) {
        let result = turn(&drive_of(&case), &disc_alone(&case));
        let expected = |key: &str| number(&case.data["lost_motion"][key]);
        let (least, greatest) = (expected("backlash_min_rad"), expected("backlash_max_rad"));
        let mean = expected("backlash_mean_rad");
        let within = 0.025 * (greatest - least) + 1e-10;
        for (found, expected) in [
            (result.greatest_backlash.backlash_rad, greatest),
            (result.least_backlash.backlash_rad, least),
            (result.mean_backlash_rad, mean),
        ] {
            assert!((found - expected).abs() < within, "{}: {found} {expected}", case.name);
        }
        for (found, expected) in [
            (result.error_ahead_rad, expected("te_hi_peak_to_peak_rad")),
            (result.error_behind_rad, expected("te_lo_peak_to_peak_rad")),
        ] {
            let is_seen = (found - expected).abs() < 0.02 * expected + 1e-10;
            assert!(is_seen, "{}: {found} {expected}", case.name);
        }
    }
}
