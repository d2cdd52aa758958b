//! Free play and lost motion: that of mesh and pins, what bearings add, what temperature changes.

#![allow(clippy::unwrap_used, reason = "a test that cannot read its data must stop")]

use reducer::assess::model_of;
use reducer::contact::build::{ContactMaterials, expansion_in_operation};
use reducer::contact::centre::operating_play_mm;
use reducer::loads::play::play;
use reducer::model::{BearingModel, DiscModel, Drive};
use reducer::results::PlayResult;
use reducer::shape::crank_angles;

fn example(name: &str) -> Drive {
    let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive
}

fn play_of(drive: &Drive) -> PlayResult {
    let (model, materials) = model_of(drive).unwrap();
    play(drive, &model, &materials).unwrap()
}

/// With rigid bearings the free play is the difference of the places where the discs touch, which the backlash is made of.
#[test]
fn identity_free_play_with_rigid_bearings_is_the_backlash() {
    for name in ["orchard-arm-shoulder", "sorting-table-index", "sluice-gate-lift"] {
        let mut drive = example(name);
        drive.model.eccentric_bearing = BearingModel::Rigid;
        let (model, _) = model_of(&drive).unwrap();
        let touch = |angle: f64, sense: f64| model.touch(angle, sense).plate_rad;
        let backlash = crank_angles(&drive, 12)
            .into_iter()
            .map(|angle| touch(angle, 1.0) - touch(angle, -1.0))
            .fold(0.0, f64::max);
        let found = play_of(&drive);
        let ratio = found.free_play.value / backlash;
        // A held plate sees the ring turn by z_l/z_r of what the plate would.
        let held = if drive.geometry.held_member == reducer::model::HeldMember::Ring {
            1.0
        } else {
            (drive.geometry.ring_roller_count as f64 - 1.0) / drive.geometry.ring_roller_count as f64
        };
        assert!((ratio / held - 1.0).abs() < 1e-9, "{name}: {ratio}");
        assert!(found.lost_motion.value > found.free_play.value, "{name}");
    }
}

/// Turned to its touch, a disc meets a roller and overlaps none, and so do the pins; both ways at once give the same.
#[test]
fn identity_touch_is_where_the_first_gap_closes() {
    for name in ["orchard-arm-shoulder", "sorting-table-index", "sluice-gate-lift", "wrist-printed"] {
        let drive = example(name);
        let (model, _) = model_of(&drive).unwrap();
        for angle in crank_angles(&drive, 7) {
            let both = model.touch_both_ways(angle);
            for (sense, of_both) in [1.0, -1.0].into_iter().zip(&both) {
                assert_eq!(*of_both, model.touch(angle, sense), "{name}");
                let position = model.position(angle, sense);
                for disc in &position.discs {
                    let rollers =
                        disc.rollers.iter().map(|contact| contact.gap_mm).zip(&disc.roller_lever_mm);
                    let pins = disc.pin_gap_mm.iter().copied().zip(&disc.pin_lever_mm);
                    let stopping = |(gap, lever): (f64, &f64)| (sense * lever > 1e-3).then_some(gap);
                    let least_roller = rollers.filter_map(stopping).fold(f64::INFINITY, f64::min);
                    let least_pin = pins.filter_map(stopping).fold(f64::INFINITY, f64::min);
                    assert!(least_roller.abs() < 1e-6, "{name}: {least_roller} mm at rollers");
                    assert!(least_pin.abs() < 1e-6, "{name}: {least_pin} mm at pins");
                }
            }
        }
    }
}

/// The clearance of the bearings adds to the free play as discs shift across the crank: by c/(e z_l) at least, either way.
#[test]
fn identity_clearance_of_bearings_adds_to_the_play() {
    let mut drive = example("orchard-arm-shoulder");
    drive.model.eccentric_bearing = BearingModel::Rigid;
    let rigid = play_of(&drive);
    drive.model.eccentric_bearing = BearingModel::Rollers;
    let mut last = 0.0;
    for clearance_mm in [0.0, 0.004, 0.008, 0.016] {
        drive.bearings.eccentric.radial_clearance_mm = clearance_mm;
        let found = play_of(&drive);
        let added = found.free_play.value - rigid.free_play.value;
        println!(
            "{clearance_mm} mm: {:.3e} + {added:.3e} rad free, {:.3e} at 3 %",
            rigid.free_play.value, found.lost_motion.value
        );
        let pitch_radius_mm = drive.geometry.eccentricity_mm * 39.0;
        // Each disc shifts by half the clearance towards either side.
        let least = clearance_mm / pitch_radius_mm;
        assert!(added >= 0.9 * least - 1e-9, "{clearance_mm}: {added} {least}");
        assert!(found.free_play.value >= last);
        assert!(found.lost_motion.value > rigid.lost_motion.value);
        last = found.free_play.value;
    }
}

/// A disc of another expansion than steel changes the clearance of its bearing by 2 r Δα Δϑ; a steel one does not.
#[test]
fn identity_clearance_in_operation() {
    let mut drive = example("orchard-arm-shoulder");
    let cold = 0.5 * drive.bearings.eccentric.radial_clearance_mm;
    let at_work = |drive: &Drive| {
        let materials = ContactMaterials::of(drive).unwrap();
        operating_play_mm(drive, expansion_in_operation(drive, &materials))
    };
    assert!((at_work(&drive) - cold).abs() < 1e-9);
    drive.materials.disc = "pla-printed".to_owned();
    let materials = ContactMaterials::of(&drive).unwrap();
    let rise = drive.requirement.disc_temperature_k - 293.15;
    let apart = materials.disc.thermal_expansion_per_k - 11.5e-6;
    let expected = cold + drive.geometry.bore_radius_mm * apart * rise;
    let found = at_work(&drive);
    assert!((found - expected).abs() < 1e-9 && found > cold + 0.01, "{found} {expected}");
}

/// Every pair of disc and bearing models carries a drive through its whole verdict; input, output and friction work balance.
#[test]
fn identity_every_disc_and_bearing_model_is_assessed() {
    for disc in [DiscModel::Rigid, DiscModel::Elastic] {
        for bearing in [BearingModel::Rigid, BearingModel::Stiffness, BearingModel::Rollers] {
            let mut drive = example("orchard-arm-shoulder");
            drive.bearings.eccentric.stiffness_n_per_mm = Some(3e5);
            drive.model.disc = disc;
            drive.model.eccentric_bearing = bearing;
            drive.model.crank_angle_count = 24;
            let assessment = reducer::assess::assess(&drive).unwrap();
            let feedback = assessment.losses.unwrap().friction_feedback.unwrap();
            println!("{disc:?} {bearing:?} {feedback:?}");
            assert!(feedback.work_balance_ratio.abs() < 0.02, "{disc:?} {bearing:?}: {feedback:?}");
            assert!((feedback.efficiency_in_equilibrium - 0.9).abs() < 0.1);
        }
    }
}

/// Discs that expand by tenths of a millimetre swing between two places as their gaps are taken anew; what the unloaded position
/// follows from instead stands in the assumptions and beside the lost motion, and nowhere else.
#[test]
fn identity_linear_gaps_of_the_unloaded_position_are_said() {
    let said = |disc: &str| {
        let mut drive = example("orchard-arm-shoulder");
        drive.materials.disc = disc.to_owned();
        drive.model.disc = DiscModel::Rigid;
        drive.model.crank_angle_count = 24;
        let assessment = reducer::assess::assess(&drive).unwrap();
        let poses = &assessment.load_cases[0].poses;
        let count = poses.iter().filter(|pose| pose.unloaded_has_linear_gaps).count();
        let sentence = assessment.model.assumptions.into_iter().find(|text| text.contains("swing between"));
        let lost_motion =
            assessment.findings.into_iter().find(|finding| finding.id == "lost-motion").unwrap();
        let in_play = assessment.play.unwrap().has_linear_gaps;
        (count, poses.len(), in_play, sentence, lost_motion.place.contains("with linear gaps"))
    };
    let (count, _, in_play, sentence, beside_value) = said("bearing-steel");
    assert_eq!((count, in_play, sentence, beside_value), (0, false, None, false));
    let (count, all, in_play, sentence, beside_value) = said("pla-printed");
    assert!(count > 0 && in_play && beside_value, "{count} of {all}");
    assert!(sentence.unwrap().starts_with(&format!("At {count} of {all} crank angles the discs")));
}
