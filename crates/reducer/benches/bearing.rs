//! Cost of eccentric bearings that give beside rigid ones on the shipped examples; figures, never pass or fail.
//!
//! `cargo bench -p reducer --bench bearing`

#![allow(clippy::unwrap_used, reason = "a benchmark that cannot read its data must stop")]
#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]

use reducer::assess::model_of;
use reducer::contact::{ContactModel, Position};
use reducer::model::{BearingModel, DiscModel};
use std::time::Instant;

const EXAMPLES: [&str; 3] = ["sorting-table-index", "orchard-arm-shoulder", "sluice-gate-lift"];
const POSITIONS: u32 = 40;
const REPEATS: u32 = 20;

/// Shortest mean time of a task for each position, in µs.
fn shortest_us(mut task: impl FnMut()) -> f64 {
    let mut once = || {
        let start = Instant::now();
        task();
        start.elapsed().as_secs_f64() / f64::from(POSITIONS) * 1e6
    };
    (0..REPEATS).map(|_| once()).fold(f64::INFINITY, f64::min)
}

fn solve(model: &ContactModel, positions: &[Position], torque_n_mm: f64) {
    let mut known = None;
    for position in positions {
        known = Some(model.solve(position, torque_n_mm, known.as_ref()).unwrap().displacements);
    }
}

fn main() {
    for name in EXAMPLES {
        let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let mut drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
        let torque = drive.requirement.rated_torque_n_mm;
        drive.bearings.eccentric.stiffness_n_per_mm = Some(3e5);
        for disc in [DiscModel::Rigid, DiscModel::Elastic] {
            drive.model.disc = disc;
            for bearing in [BearingModel::Rigid, BearingModel::Stiffness, BearingModel::Rollers] {
                drive.model.eccentric_bearing = bearing;
                let (model, _) = model_of(&drive).unwrap();
                let positions: Vec<_> = (0..POSITIONS)
                    .map(|step| {
                        let position = model.position(0.01 * f64::from(step), 1.0);
                        model.at_rest(position, torque, None).unwrap().0
                    })
                    .collect();
                let solve_us = shortest_us(|| solve(&model, &positions, torque));
                let rest_us = shortest_us(|| {
                    for position in &positions {
                        model.at_rest(position.clone(), torque, None).unwrap();
                    }
                });
                println!(
                    "{name}, {disc:?} disc, {bearing:?} bearing: warm solution {solve_us:.1} µs, play used up in {rest_us:.0} µs"
                );
            }
        }
    }
}
