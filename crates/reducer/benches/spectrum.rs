//! Speed of the spectrum of an output turn beside its sums as they are defined; figures, never pass or fail.
//!
//! `cargo bench -p reducer --bench spectrum`

#![allow(clippy::unwrap_used, reason = "a benchmark that cannot read its data must stop")]
#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]

use curves::math;
use reducer::accuracy::spectrum::amplitudes;
use reducer::accuracy::turn::turn;
use reducer::contact::build::{ContactMaterials, contact_model};
use reducer::thermal::Expansion;
use std::f64::consts::TAU;
use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

/// A turn whose sums as defined still take less than a minute.
const EXAMPLES: [&str; 3] = ["wrist-printed", "sorting-table-index", "orchard-arm-shoulder"];
const REPEATS: usize = 5;

fn main() {
    for name in EXAMPLES {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../../examples/{name}.toml"));
        let drive = schema::read(name, &std::fs::read(path).unwrap()).unwrap().drive;
        let model = contact_model(&drive, &ContactMaterials::of(&drive).unwrap(), Expansion::NONE);
        let signal = turn(&drive, &model).ahead_rad;
        let (fast, fast_s) = timed(REPEATS, || amplitudes(&signal));
        let (plain, plain_s) = timed(1, || plain_amplitudes(&signal));
        let apart = fast.iter().zip(&plain).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let greatest = plain.iter().copied().fold(0.0, f64::max);
        println!(
            "{name}, {} positions: {:.2} ms by factors, {:.1} ms by plain sums: ratio {:.0}; apart by {:.0e} of the greatest amplitude",
            signal.len(),
            1e3 * fast_s,
            1e3 * plain_s,
            plain_s / fast_s,
            apart / greatest
        );
    }
}

/// The sums as defined, every wave from one table: a number of steps that grows with the square of the positions.
fn plain_amplitudes(signal: &[f64]) -> Vec<f64> {
    let count = signal.len();
    let table: Vec<(f64, f64)> =
        (0..count).map(|step| math::sin_cos(TAU * step as f64 / count as f64)).collect();
    let mean = signal.iter().sum::<f64>() / count as f64;
    let amplitude = |order: usize| {
        let (mut real, mut imaginary, mut place) = (0.0, 0.0, 0);
        for value in signal {
            let (sine, cosine) = table[place];
            real += (value - mean) * cosine;
            imaginary -= (value - mean) * sine;
            place += order;
            if place >= count {
                place -= count;
            }
        }
        let is_highest = 2 * order == count;
        math::hypot(real, imaginary) * if is_highest { 1.0 } else { 2.0 } / count as f64
    };
    (1..=count / 2).map(amplitude).collect()
}

/// What a run gives, and the shortest time of several.
fn timed<R>(repeats: usize, run: impl Fn() -> R) -> (R, f64) {
    let once = || {
        let start = Instant::now();
        let result = black_box(run());
        (result, start.elapsed().as_secs_f64())
    };
    let (result, mut shortest_s) = once();
    for _ in 1..repeats {
        shortest_s = shortest_s.min(once().1);
    }
    (result, shortest_s)
}
