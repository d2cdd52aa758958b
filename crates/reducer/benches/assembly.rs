//! Speed of a study of assemblies: many at once against one at a time, and two threads against one.
#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a benchmark prints its figures and stops at what is missing"
)]

#[path = "../tests/one_by_one/mod.rs"]
mod one_by_one;

use one_by_one::PlainDrive;
use reducer::assembly::linear::{LANES, Outcome};
use reducer::assembly::random::Sampling;
use reducer::assembly::study::{Block, Request, Study};
use std::hint::black_box;
use std::path::Path;
use std::thread;
use std::time::Instant;

const ASSEMBLIES: u64 = 8_192;
const ROUNDS: usize = 5;

fn main() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/orchard-arm-shoulder.toml");
    let drive = schema::read("shoulder", &std::fs::read(path).unwrap()).unwrap().drive;
    let request = Request {
        assembly_count: ASSEMBLIES,
        loaded_count: 0,
        seed: 7,
        sampling: Sampling::Random,
        crank_angle_count: 192,
    };
    let study = Study::new(&drive, request).unwrap();
    let angles = study.drawn.crank_angles_rad().len();
    println!(
        "40 rollers, two discs, {angles} crank angles, {ASSEMBLIES} assemblies, backlash and transmission error"
    );
    layouts(&study);
    threads(&study);
    extremes(&study);
}

/// What following the extremes of every assembly costs, and what it finds of those at all places.
fn extremes(study: &Study) {
    let mut block = Block::new(&study.plan);
    block.draw(&study.plan, &study.source(), 0, LANES);
    let deviations = &block.deviations;
    let dense = study.drawn.densely(usize::MAX);
    let error = |outcome: &Outcome| -> f64 {
        (0..LANES).map(|lane| f64::from(outcome.transmission_error_rad(lane))).sum()
    };
    let whole = error(&dense.scan(deviations));
    for (name, run) in [
        ("scan", Box::new(|| study.drawn.scan(deviations)) as Box<dyn Fn() -> Outcome>),
        ("scan and climb", Box::new(|| study.drawn.outcome(deviations))),
        ("all places", Box::new(|| dense.scan(deviations))),
    ] {
        let seconds = best(|| {
            black_box(run());
        });
        println!(
            "{name}: {:.1} µs an assembly, transmission error {:.2} % short",
            seconds / LANES as f64 * 1e6,
            100.0 * (1.0 - error(&run()) / whole)
        );
    }
}

/// The same gaps for the same assemblies: a block at a time, and one at a time.
fn layouts(study: &Study) {
    let plain = PlainDrive::new(&study.model, &study.drawn.crank_angles_rad());
    let mut block = Block::new(&study.plan);
    let blocks = 8;
    let drawn: Vec<_> = (0..blocks)
        .map(|index| {
            block.draw(&study.plan, &study.source(), index * LANES as u64, LANES);
            block.deviations.clone()
        })
        .collect();
    let made: Vec<_> = drawn
        .iter()
        .flat_map(|block| (0..LANES).map(move |lane| (block, lane)))
        .map(|(block, lane)| {
            let values: Vec<f64> = block.iter().map(|slot| f64::from(slot[lane])).collect();
            study.plan.slots.deviations(&values, study.model.eccentricity_mm)
        })
        .collect();
    let at_once = best(|| {
        for block in &drawn {
            black_box(study.drawn.scan(block));
        }
    });
    let one_by_one = best(|| {
        for made in &made {
            black_box(plain.outcome(made));
        }
    });
    let per = |seconds: f64| seconds / made.len() as f64 * 1e6;
    println!(
        "one core: {:.1} µs an assembly at once, {:.1} µs one by one: ratio {:.1}",
        per(at_once),
        per(one_by_one),
        one_by_one / at_once
    );
}

/// Whole tasks, draws and counts with them, on one thread and on two.
fn threads(study: &Study) {
    let on = |count: u64| {
        best(|| {
            thread::scope(|scope| {
                for first in 0..count {
                    scope.spawn(move || {
                        let mut counted = study.nothing();
                        for task in (first..study.task_count()).step_by(count as usize) {
                            study.run(task, &mut counted);
                        }
                        black_box(counted);
                    });
                }
            });
        })
    };
    let (one, two) = (on(1), on(2));
    println!(
        "whole study: {:.1} µs an assembly on one thread, {:.1} µs on two: ratio {:.2}; a million in {:.0} s",
        one / ASSEMBLIES as f64 * 1e6,
        two / ASSEMBLIES as f64 * 1e6,
        one / two,
        two / ASSEMBLIES as f64 * 1e6
    );
}

/// Shortest of a few runs: what else the machine does only adds time.
fn best(mut run: impl FnMut()) -> f64 {
    (0..ROUNDS)
        .map(|_| {
            let started = Instant::now();
            run();
            started.elapsed().as_secs_f64()
        })
        .fold(f64::INFINITY, f64::min)
}
