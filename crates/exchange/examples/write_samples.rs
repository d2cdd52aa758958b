//! Writes sample discs and the discs of the shipped examples in every format, with the numbers to check them by, into a directory.
//!
//! `cargo run -p exchange --example write_samples -- DIR` makes `DIR/<disc>/disc.dxf`, `disc.step`,
//! `profile.csv` and `expected.json` for each sample; `validation/readback/run_all.py DIR` reads them back.

#[path = "../tests/support/mod.rs"]
mod support;

use curves::plate::Plate;
use exchange::Export;
use std::error::Error;
use std::path::{Path, PathBuf};
use support::SampleDisc;

fn main() -> Result<(), Box<dyn Error>> {
    let Some(directory) = std::env::args_os().nth(1).map(PathBuf::from) else {
        return Err("name the directory to write to".into());
    };
    for sample in support::SAMPLES {
        write_part(&sample, &sample.plate(), &directory.join(sample.name))?;
    }
    let examples = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    for entry in std::fs::read_dir(examples)? {
        let path = entry?.path();
        if path.extension().is_some_and(|extension| extension == "toml") {
            write_discs_of(&path, &directory)?;
        }
    }
    Ok(())
}

/// The discs of a shipped example, as the program makes them.
fn write_discs_of(drive_file: &Path, directory: &Path) -> Result<(), Box<dyn Error>> {
    let name = drive_file.to_string_lossy();
    let file = schema::read(&name, &std::fs::read(drive_file)?).map_err(|errors| {
        let first = errors.items().first().map(|error| error.message.clone()).unwrap_or_default();
        format!("{name}: {first}")
    })?;
    for disc in 0..file.drive.geometry.disc_count {
        let plate = reducer::part::disc_plate(&file.drive, disc);
        let sample = SampleDisc::of_drive(&plate.name, &file.drive.geometry, disc);
        write_part(&sample, &plate, &directory.join(&plate.name))?;
    }
    Ok(())
}

fn write_part(sample: &SampleDisc<'_>, plate: &Plate, directory: &Path) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(directory)?;
    let options = sample.options();
    std::fs::write(directory.join("disc.dxf"), exchange::Dxf.write(plate, &options)?)?;
    std::fs::write(directory.join("disc.step"), exchange::Step.write(plate, &options)?)?;
    std::fs::write(directory.join("profile.csv"), exchange::Csv.write(plate, &options)?)?;
    let expected = serde_json::to_string_pretty(&sample.expected_json())?;
    std::fs::write(directory.join("expected.json"), expected + "\n")?;
    Ok(())
}
