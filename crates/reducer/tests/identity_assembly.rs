//! Assemblies: linear gaps against exact ones, moments against closed forms, and answers that depend on nothing but the seed.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

use reducer::assembly::angles::crank_angles_rad;
use reducer::assembly::draw::DrawPlan;
use reducer::assembly::linear::{Growth, LANES, Lane, LinearDrive};
use reducer::assembly::plain::PlainDrive;
use reducer::assembly::random::{Sampling, Source};
use reducer::contact::ContactModel;
use reducer::contact::build::{ContactMaterials, contact_model};
use reducer::model::Drive;
use reducer::thermal::Expansion;
use reducer::tolerance::tolerances;
use std::path::Path;
use std::sync::Arc;

fn example(name: &str) -> Drive {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive
}

fn drawn_model(drive: &Drive) -> ContactModel {
    contact_model(drive, &ContactMaterials::of(drive).unwrap(), Expansion::NONE)
}

/// A drive whose tips and roots have room for all its tolerances.
fn shoulder() -> Drive {
    let mut drive = example("orchard-arm-shoulder.toml");
    drive.geometry.modification.equidistant_offset_mm = 0.012;
    drive.geometry.hole_clearance_mm = 0.03;
    drive
}

fn block(plan: &DrawPlan, source: &Source) -> Vec<Lane> {
    let mut deviations = vec![[0.0; LANES]; plan.slots.count()];
    let mut numbers = vec![0.0; plan.number_count];
    let flat = deviations.as_flattened_mut();
    for lane in 0..LANES {
        source.fill(lane as u64, &mut numbers);
        plan.add(&numbers, flat, LANES, lane);
    }
    deviations
}

/// Rotation of the plate of parts as made, gaps exact.
fn exact_rad(model: &ContactModel, angle_rad: f64, sense: f64) -> f64 {
    let discs = (0..model.disc_count).map(|disc| model.flank_touch(angle_rad, disc, sense, None));
    sense * discs.map(|touch| sense * touch.plate_rad).fold(f64::INFINITY, f64::min)
}

#[test]
fn identity_linear_rotations_are_those_of_exact_gaps_to_a_hundredth() {
    let drive = shoulder();
    let plan = DrawPlan::new(&drive, &tolerances(&drive).unwrap());
    let model = drawn_model(&drive);
    let angles = crank_angles_rad(39, 24);
    let largest = vec![0.1; plan.slots.count()];
    let linear = LinearDrive::new(&model, Growth::default(), plan.slots, &angles, &largest);
    let deviations = block(&plan, &Source { seed: 3, sampling: Sampling::Random, sample: 0 });
    for lane in [0, 7] {
        let values: Vec<f64> = deviations.iter().map(|slot| f64::from(slot[lane])).collect();
        let made = plan.slots.deviations(&values, drive.geometry.eccentricity_mm);
        let made = ContactModel { deviations: Some(Arc::new(made)), ..model.clone() };
        let (mut most, mut worst) = (0.0_f64, 0.0_f64);
        for (angle, fast) in angles.iter().zip(linear.rotations_rad(&deviations, lane)) {
            for (sense, fast) in [1.0, -1.0].into_iter().zip(fast) {
                let exact = exact_rad(&made, *angle, sense);
                let nominal = exact_rad(&model, *angle, sense);
                most = most.max((exact - nominal).abs());
                worst = worst.max((exact - f64::from(fast)).abs());
            }
        }
        println!("{lane}: {most:e} {worst:e}");
        assert!(worst < 0.01 * most, "{worst:e} of {most:e}");
    }
}

#[test]
fn identity_many_at_once_are_the_same_as_one_by_one() {
    for name in ["orchard-arm-shoulder.toml", "sluice-gate-lift.toml", "wrist-printed.toml"] {
        let drive = example(name);
        let plan = DrawPlan::new(&drive, &tolerances(&drive).unwrap());
        let model = drawn_model(&drive);
        let angles = crank_angles_rad(model.lobe_count(), 48);
        let linear = LinearDrive::new(&model, Growth::default(), plan.slots, &angles, &plan.largest_mm());
        let everything =
            LinearDrive::new(&model, Growth::default(), plan.slots, &angles, &vec![1.0; plan.slots.count()]);
        assert!(linear.row_count() <= everything.row_count());
        let plain = PlainDrive::new(&model, &angles);
        let deviations = block(&plan, &Source { seed: 5, sampling: Sampling::Random, sample: 0 });
        let outcome = linear.outcome(&deviations);
        for lane in 0..LANES {
            let values: Vec<f64> = deviations.iter().map(|slot| f64::from(slot[lane])).collect();
            let made = plan.slots.deviations(&values, drive.geometry.eccentricity_mm);
            let one = plain.outcome(&made);
            let close = |fast: f32, slow: f64| (f64::from(fast) - slow).abs() < 3e-5 * slow.abs().max(1e-4);
            assert!(
                close(outcome.greatest_backlash_rad[lane], one.greatest_backlash_rad),
                "{name} {lane}: {} {}",
                outcome.greatest_backlash_rad[lane],
                one.greatest_backlash_rad
            );
            assert!(
                close(outcome.transmission_error_rad(lane), one.transmission_error_rad),
                "{name} {lane}: {} {}",
                outcome.transmission_error_rad(lane),
                one.transmission_error_rad
            );
        }
    }
}
