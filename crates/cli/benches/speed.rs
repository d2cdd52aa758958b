//! How long things take on the shoulder drive, as ratios to one evaluation of its geometry.
//!
//! `cargo bench` prints one line a thing. The figures are for reading, never for passing or failing.
#![allow(
    clippy::print_stdout,
    clippy::unwrap_used,
    reason = "a benchmark talks, and stops at the first error"
)]

use reducer::assess::{assess, model_of, preview};
use reducer::fit::fit_checks;
use reducer::loads::pose_at;
use reducer::profile::LobeProfile;
use reducer::shape;
use std::hint::black_box;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

/// The drive that is measured.
const DRIVE: &str = "examples/orchard-arm-shoulder.toml";
/// Points of the profile that is sampled.
const POINT_COUNT: usize = 10_000;
/// Batches, of which the median counts.
const BATCH_COUNT: usize = 9;
/// Least time of a batch, so that the clock's step does not matter.
const LEAST_BATCH: Duration = Duration::from_millis(60);

fn main() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let bytes = std::fs::read(root.join(DRIVE)).unwrap();
    let drive = schema::read(DRIVE, &bytes).unwrap().drive;
    let (model, materials) = model_of(&drive).unwrap();
    let density = materials.disc.density_kg_per_mm3;
    let profile = LobeProfile::of(&drive.geometry);
    let torque = drive.requirement.rated_torque_n_mm;

    let geometry = median(|| {
        let geometry = shape::shape(&drive, Some((&model, &model)), density);
        black_box(fit_checks(&drive, &geometry));
    });
    let rows = [
        ("one evaluation of the geometry with its checks", geometry),
        (
            "profile with 10,000 points",
            median(|| {
                black_box(
                    curves::sampling::by_count(&profile, POINT_COUNT)
                        .into_iter()
                        .fold(0.0, |sum, parameter| {
                            sum + curves::ClosedCurve::at(&profile, parameter).position_mm.x
                        }),
                );
            }),
        ),
        (
            "loads at one crank angle",
            median(|| {
                black_box(pose_at(&drive, &model, &materials, torque, 0.5).unwrap());
            }),
        ),
        (
            "reading the drive file",
            median(|| {
                black_box(schema::read(DRIVE, &bytes).unwrap());
            }),
        ),
        (
            "preview, as the page answers an edit",
            median(|| {
                black_box(preview(&drive).unwrap());
            }),
        ),
        (
            "the whole assessment",
            median(|| {
                black_box(assess(&drive).unwrap());
            }),
        ),
        ("`lobewright check`, start of the program included", median(|| run_check(&root))),
    ];
    println!("{:<52} {:>12} {:>10}", "what", "time, ms", "ratio");
    for (what, time) in rows {
        println!(
            "{what:<52} {:>12.3} {:>10.2}",
            time.as_secs_f64() * 1e3,
            time.as_secs_f64() / geometry.as_secs_f64()
        );
    }
}

fn run_check(root: &Path) {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lobewright"));
    let status = command.args(["check", DRIVE]).current_dir(root).stdout(Stdio::null()).status().unwrap();
    assert!(status.success());
}

/// Median time of one call over batches that are long enough to measure.
fn median(mut call: impl FnMut()) -> Duration {
    let begun = Instant::now();
    call();
    let one = begun.elapsed().max(Duration::from_nanos(1));
    let calls = u32::try_from(LEAST_BATCH.as_nanos() / one.as_nanos()).unwrap_or(u32::MAX).max(1);
    let mut batches: Vec<Duration> = (0..BATCH_COUNT)
        .map(|_| {
            let begun = Instant::now();
            (0..calls).for_each(|_| call());
            begun.elapsed() / calls
        })
        .collect();
    batches.sort();
    batches[BATCH_COUNT / 2]
}
