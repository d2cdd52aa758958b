//! Speed of a study of assemblies, as ratios against a plain loop over one assembly at a time.
#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a benchmark prints its figures and stops at what is missing"
)]

use reducer::assembly::random::Sampling;
use reducer::assembly::study::{Request, Study};
use std::path::Path;
use std::time::Instant;

fn main() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/orchard-arm-shoulder.toml");
    let drive = schema::read("shoulder", &std::fs::read(path).unwrap()).unwrap().drive;
    let request = Request {
        assembly_count: 20_480,
        loaded_count: 0,
        seed: 7,
        sampling: Sampling::Random,
        crank_angle_count: 192,
    };
    let started = Instant::now();
    let study = Study::new(&drive, request).unwrap();
    println!(
        "set-up {:?}; {} crank angles, {} rows",
        started.elapsed(),
        study.drawn.crank_angles_rad().len(),
        study.drawn.row_count()
    );
    let mut counted = study.nothing();
    let started = Instant::now();
    for task in 0..study.task_count() {
        study.run(task, &mut counted);
    }
    let elapsed = started.elapsed().as_secs_f64();
    println!("{:.2} µs an assembly; {:.0} s a million", elapsed / 20_480.0 * 1e6, elapsed / 20_480.0 * 1e6);
    loaded(&drive, &study);
    let minute = std::f64::consts::PI / 10_800.0;
    for (measure, tally) in reducer::assembly::study::Measure::ALL.iter().zip(&counted.tallies) {
        println!(
            "{measure:?}: mean {:.4} sd {:.4} least {:.4} most {:.4} share {:?}",
            tally.mean() / minute,
            tally.deviation() / minute,
            tally.extremes().0 / minute,
            tally.extremes().1 / minute,
            tally.share()
        );
    }
}

fn loaded(drive: &reducer::model::Drive, study: &Study) {
    use reducer::contact::build::{
        ContactMaterials, contact_model, expansion_in_operation, with_elastic_bodies,
    };
    let materials = ContactMaterials::of(drive).unwrap();
    let model = contact_model(drive, &materials, expansion_in_operation(drive, &materials));
    let model = with_elastic_bodies(model, drive, &materials);
    let angles = reducer::assembly::angles::crank_angles_rad(model.lobe_count(), 6);
    println!("{} angles", angles.len());
    let mut starts = Vec::new();
    let started = Instant::now();
    for assembly in 0..100 {
        let made =
            study.plan.slots.deviations(&study.deviations_mm(assembly), drive.geometry.eccentricity_mm);
        let made =
            reducer::contact::ContactModel { deviations: Some(std::sync::Arc::new(made)), ..model.clone() };
        let sampled = reducer::loads::sample::sample(drive, &made, &materials, &angles, &mut starts);
        if assembly < 5 {
            println!("{sampled:?}");
        }
    }
    println!("{:?} for 100", started.elapsed());
}
