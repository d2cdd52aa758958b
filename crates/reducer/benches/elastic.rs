//! Cost of elastic discs beside rigid ones on the shipped examples; figures, never pass or fail.
//!
//! `cargo bench -p reducer --bench elastic`

#![allow(clippy::unwrap_used, reason = "a benchmark that cannot read its data must stop")]
#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]

use reducer::assess::model_of;
use reducer::contact::{ContactModel, Position};
use reducer::model::{ContactLaw, DiscModel};
use std::time::Instant;

const EXAMPLES: [&str; 4] =
    ["wrist-printed", "sorting-table-index", "orchard-arm-shoulder", "sluice-gate-lift"];
const POSITIONS: u32 = 40;
const REPEATS: u32 = 20;

/// Shortest mean time of a warm-started solution along neighbouring crank angles, in µs.
fn solve_us(model: &ContactModel, positions: &[Position], torque_n_mm: f64) -> f64 {
    let along = || {
        let start = Instant::now();
        let mut known = None;
        for position in positions {
            known = Some(model.solve(position, torque_n_mm, known.as_ref()).unwrap().displacements);
        }
        start.elapsed().as_secs_f64() / f64::from(POSITIONS) * 1e6
    };
    (0..REPEATS).map(|_| along()).fold(f64::INFINITY, f64::min)
}

fn main() {
    for name in EXAMPLES {
        let path = format!("{}/../../examples/{name}.toml", env!("CARGO_MANIFEST_DIR"));
        let mut drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
        let mut rigid_us = 0.0;
        for (disc, law) in [
            (DiscModel::Rigid, ContactLaw::TwoCylinders),
            (DiscModel::Rigid, ContactLaw::Auto),
            (DiscModel::Elastic, ContactLaw::Auto),
        ] {
            drive.model.disc = disc;
            drive.model.contact_law = law;
            let start = Instant::now();
            let (model, _) = model_of(&drive).unwrap();
            let prepared_s = start.elapsed().as_secs_f64();
            let place = |step: u32| model.position(0.01 * f64::from(step), 1.0);
            let start = Instant::now();
            let positions: Vec<_> = (0..POSITIONS).map(place).collect();
            let position_us = start.elapsed().as_secs_f64() / f64::from(POSITIONS) * 1e6;
            let solve_us = solve_us(&model, &positions, drive.requirement.rated_torque_n_mm);
            if law == ContactLaw::TwoCylinders {
                rigid_us = solve_us;
            }
            let reciprocity = model.compliance.as_ref().map_or(0.0, |bodies| bodies.asymmetry());
            println!(
                "{name}, {disc:?} {law:?}: prepared in {prepared_s:.2} s, position {position_us:.0} µs, solution {solve_us:.1} µs ({:.1} times rigid two-cylinders), reciprocity {reciprocity:.4}",
                solve_us / rigid_us
            );
        }
    }
}
