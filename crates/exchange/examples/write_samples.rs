//! Writes sample discs in every format, with the numbers to check them by, into a directory.
//!
//! `cargo run -p exchange --example write_samples -- DIR` makes `DIR/<disc>/disc.dxf`, `disc.step`,
//! `profile.csv` and `expected.json` for each sample; `validation/readback/run_all.py DIR` reads them back.

#[path = "../tests/support/mod.rs"]
mod support;

use exchange::Export;
use std::error::Error;
use std::path::{Path, PathBuf};

fn main() -> Result<(), Box<dyn Error>> {
    let Some(directory) = std::env::args_os().nth(1).map(PathBuf::from) else {
        return Err("name the directory to write to".into());
    };
    for sample in support::SAMPLES {
        write_sample(&sample, &directory.join(sample.name))?;
    }
    Ok(())
}

fn write_sample(sample: &support::SampleDisc, directory: &Path) -> Result<(), Box<dyn Error>> {
    std::fs::create_dir_all(directory)?;
    let (plate, options) = (sample.plate(), sample.options());
    std::fs::write(directory.join("disc.dxf"), exchange::Dxf.write(&plate, &options)?)?;
    std::fs::write(directory.join("disc.step"), exchange::Step.write(&plate, &options)?)?;
    std::fs::write(directory.join("profile.csv"), exchange::Csv.write(&plate, &options)?)?;
    let expected = serde_json::to_string_pretty(&sample.expected_json())?;
    std::fs::write(directory.join("expected.json"), expected + "\n")?;
    Ok(())
}
