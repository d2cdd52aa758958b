//! Cost of the loaded contact beside that of its contact laws, and how it scales; figures, never pass or fail.
//!
//! `cargo bench -p reducer --bench equilibrium`

#![allow(clippy::unwrap_used, reason = "a benchmark that cannot read its data must stop")]
#![allow(clippy::print_stdout, reason = "a benchmark prints its figures")]

use reducer::assess::model_of;
use reducer::contact::equilibrium::{Displacements, Problem, Workspace};
use reducer::contact::{ContactModel, Position};
use reducer::model::{ContactLaw, DiscModel, Drive};
use reducer::shape::crank_angles;
use std::hint::black_box;
use std::time::Instant;

/// Two discs, 40 rollers, 8 pins.
const EXAMPLE: &str = "orchard-arm-shoulder";
/// Crank angles over the period of pins and bearings.
const ANGLES: usize = 120;
/// Steps of the crank from one warm start to the next, as shares of those between them.
const FINER: usize = 10;
const REPEATS: usize = 30;
/// Steps of a chain of operations that each wait for the last, by which the processor's clock is measured.
const CHAIN: u32 = 2_000_000;
/// Operations of one cycle each in a step of the chain.
const CHAIN_CYCLES: f64 = 6.0;

/// Time that this thread has had a processor for, in s, so that other programs do not count.
#[cfg(unix)]
fn own_time_s() -> f64 {
    use nix::time::{ClockId, clock_gettime};
    let time = clock_gettime(ClockId::CLOCK_THREAD_CPUTIME_ID).unwrap();
    time.tv_sec() as f64 + 1e-9 * time.tv_nsec() as f64
}

/// Time since the first call, in s, where the system has no other.
#[cfg(not(unix))]
fn own_time_s() -> f64 {
    static BEGUN: std::sync::LazyLock<Instant> = std::sync::LazyLock::new(Instant::now);
    BEGUN.elapsed().as_secs_f64()
}

/// Time of one run, in s.
fn time_s(run: impl FnOnce()) -> f64 {
    let begun = own_time_s();
    run();
    own_time_s() - begun
}

/// Shortest of some runs, in s.
fn shortest(mut run: impl FnMut()) -> f64 {
    (0..REPEATS).map(|_| time_s(&mut run)).fold(f64::INFINITY, f64::min)
}

/// Cycles in a second: a chain of shifts and exclusive ors, each of which takes one cycle on common processors.
fn cycles_per_s() -> f64 {
    let chain = || {
        let mut state = black_box(0x9e37_79b9_7f4a_7c15_u64);
        for _ in 0..CHAIN {
            state ^= state << 13;
            state ^= state >> 7;
            state ^= state << 17;
        }
        black_box(state);
    };
    CHAIN_CYCLES * f64::from(CHAIN) / shortest(chain)
}

struct Prepared {
    model: ContactModel,
    positions: Vec<Position>,
    torque_n_mm: f64,
}

impl Prepared {
    fn new(drive: &Drive, angles: &[f64]) -> Self {
        let (model, _) = model_of(drive).unwrap();
        let positions = angles.iter().map(|&angle| model.position(angle, 1.0)).collect();
        Self { model, positions, torque_n_mm: drive.requirement.rated_torque_n_mm }
    }

    fn problem<'a>(&self, position: &'a Position) -> Problem<'a> {
        Problem {
            discs: &position.contacts,
            plate_torque_n_mm: self.torque_n_mm,
            lever_scale_mm: self.model.lever_scale_mm(),
        }
    }

    /// Solutions at all positions, one after the other, without warm start.
    fn solved(&self) -> Vec<Displacements> {
        let mut workspace = Workspace::default();
        self.positions
            .iter()
            .map(|position| self.problem(position).solve(None, &mut workspace).unwrap())
            .collect()
    }

    /// Force and stiffness of every contact at every solved position; returns how many there are.
    fn evaluate(&self, solved: &[Displacements]) -> usize {
        let mut count = 0;
        for (position, at) in self.positions.iter().zip(solved) {
            for (disc, place) in position.contacts.iter().zip(&at.discs) {
                for contact in &disc.contacts {
                    let approach = contact.approach_mm(place, at.plate_rad);
                    black_box(contact.law.force_and_stiffness(approach));
                }
                count += disc.contacts.len();
            }
        }
        count
    }

    /// Warm-started solutions along the crank; returns the mean count of Newton steps.
    fn follow(&self, start: &Displacements) -> f64 {
        let mut workspace = Workspace::default();
        let mut at = start.clone();
        let mut steps = 0;
        for position in &self.positions {
            self.problem(position).descend(&mut at, &mut workspace).unwrap();
            steps += at.step_count;
        }
        black_box(&at);
        steps as f64 / self.positions.len() as f64
    }
}

/// One law: evaluation, warm and cold solution.
fn compare(drive: &Drive, law: &str, clock: f64) {
    let angles = crank_angles(drive, ANGLES);
    let step = angles[1];
    let fine: Vec<f64> = (0..ANGLES).map(|index| step * index as f64 / FINER as f64).collect();
    for (words, angles) in [("steps of the crank as in a load case", angles), ("a tenth of them", fine)] {
        let prepared = Prepared::new(drive, &angles);
        let solved = prepared.solved();
        let position_count = prepared.positions.len() as f64;
        let contact_count = prepared.evaluate(&solved) as f64;
        let evaluation_s = shortest(|| {
            prepared.evaluate(&solved);
        }) / position_count;
        let pressing: usize = prepared
            .positions
            .iter()
            .zip(&solved)
            .flat_map(|(position, at)| {
                position.contacts.iter().zip(&at.discs).map(move |(disc, place)| (disc, place, at.plate_rad))
            })
            .map(|(disc, place, plate)| {
                disc.contacts.iter().filter(|contact| contact.approach_mm(place, plate) > 0.0).count()
            })
            .sum();
        let mut step_count = 0.0;
        let warm_s = shortest(|| step_count = prepared.follow(&solved[0])) / position_count;
        let cold_s = shortest(|| {
            black_box(prepared.solved());
        }) / position_count;
        println!(
            "{law}, {words} ({:.2}°): all laws {:.2} µs ({:.0} cycles a contact, {:.0} a pressing one of {:.0}), warm solution {:.2} µs = {:.1} times that in {step_count:.1} steps, cold {:.1} times",
            reducer::units::degrees(angles[1]),
            1e6 * evaluation_s,
            evaluation_s * clock * position_count / contact_count,
            evaluation_s * clock * position_count / pressing as f64,
            pressing as f64 / position_count,
            1e6 * warm_s,
            warm_s / evaluation_s,
            cold_s / evaluation_s,
        );
    }
}

/// One period of the rated load, gaps included, each solution from the last, on one and on two threads.
fn period(drive: &Drive) {
    let (model, _) = model_of(drive).unwrap();
    let angles = crank_angles(drive, ANGLES);
    let torque = drive.requirement.rated_torque_n_mm;
    let part = |angles: &[f64]| {
        let mut known = None;
        for &angle in angles {
            let position = model.position(angle, 1.0);
            known = Some(model.solve(&position, torque, known.as_ref()).unwrap().displacements);
        }
        black_box(known);
    };
    let geometry_s = shortest(|| {
        for &angle in &angles {
            black_box(model.position(angle, 1.0));
        }
    });
    println!(
        "of one crank angle, gaps and laws without load: {:.0} µs",
        1e6 * geometry_s / angles.len() as f64
    );
    let one_s = shortest(|| part(&angles));
    let (front, back) = angles.split_at(angles.len() / 2);
    // The longer of both threads counts; the shortest of the runs is the least disturbed one.
    let on_two = || {
        let begun = Instant::now();
        let longer_s = std::thread::scope(|scope| {
            let other = scope.spawn(|| time_s(|| part(front)));
            time_s(|| part(back)).max(other.join().unwrap())
        });
        (longer_s, begun.elapsed().as_secs_f64())
    };
    let runs: Vec<_> = (0..REPEATS).map(|_| on_two()).collect();
    let two_s = runs.iter().map(|run| run.0).fold(f64::INFINITY, f64::min);
    let wall_s = runs.iter().map(|run| run.1).fold(f64::INFINITY, f64::min);
    println!(
        "one period of {} crank angles: {:.2} ms on one thread, {:.2} ms on two, {:.2} times as fast by the threads' own time ({:.2} ms by the clock)",
        angles.len(),
        1e3 * one_s,
        1e3 * two_s,
        one_s / two_s,
        1e3 * wall_s,
    );
}

fn main() {
    let path = format!("{}/../../examples/{EXAMPLE}.toml", env!("CARGO_MANIFEST_DIR"));
    let mut drive = schema::read(EXAMPLE, &std::fs::read(path).unwrap()).unwrap().drive;
    drive.model.disc = DiscModel::Rigid;
    let clock = cycles_per_s();
    println!("{EXAMPLE}, rigid discs; the processor runs at about {:.2} GHz", 1e-9 * clock);
    for (law, words) in [(ContactLaw::Palmgren, "Palmgren"), (ContactLaw::TwoCylinders, "two cylinders")] {
        drive.model.contact_law = law;
        compare(&drive, words, clock);
    }
    period(&drive);
}
