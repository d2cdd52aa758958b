//! `make`: the shop files of the disc, one set for each differing disc.

use crate::arguments::Make;
use crate::exit::Exit;
use crate::failure::{Failure, parse_quantity};
use crate::job::Job;
use crate::output::{self, OutputFile, Overwrite};
use crate::terminal::Terminal;
use curves::plate::Plate;
use exchange::{Csv, Dxf, Export, ExportError, ExportOptions, PointSpacing, Step};
use reducer::part::disc_plate;
use reducer::results::OnePart;
use reducer::units::{Dimension, degrees};

/// Finest and coarsest tolerance that a shop file is written with.
const TOLERANCE_MM: (f64, f64) = (1e-5, 1.0);

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Make, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    let tolerance_mm = tolerance_mm(&arguments.tolerance)?;
    let job = Job::load(&arguments.file, terminal)?;
    let files = shop_files(&job, tolerance_mm)?;
    let names: Vec<String> = files.iter().map(|file| file.name.clone()).collect();
    let written = output::write_set(&arguments.out, &job.file.sha256, files, overwrite)?;
    job.tell_written(&names, &written, terminal)?;
    Ok(job.exit())
}

/// The tolerance that the flag asks for.
///
/// # Errors
/// [`Failure::Usage`] if it is no length, or out of range.
pub fn tolerance_mm(text: &str) -> Result<f64, Failure> {
    let tolerance_mm = parse_quantity("--tolerance", text, Dimension::Length)?;
    let (finest, coarsest) = TOLERANCE_MM;
    if (finest..=coarsest).contains(&tolerance_mm) {
        return Ok(tolerance_mm);
    }
    Err(Failure::Usage {
        message: format!("--tolerance is out of range: {text}"),
        hint: "from \"0.01 µm\" to \"1 mm\"".to_owned(),
    })
}

/// The shop files: drawing and solid of each differing disc, and one table of the profile that all share.
///
/// # Errors
/// [`Failure::NoPart`] if the shape can not be made, which the checks of the drive then say too.
pub fn shop_files(job: &Job, tolerance_mm: f64) -> Result<Vec<OutputFile>, Failure> {
    let drive = &job.file.drive;
    let all_same = job.assessment.geometry.one_part != OnePart::Different;
    let mut files = Vec::new();
    for disc in 0..if all_same { 1 } else { drive.geometry.disc_count } {
        let stem = if all_same { "disc".to_owned() } else { format!("disc-{}", disc + 1) };
        let mut plate = disc_plate(drive, disc);
        plate.name = format!("{}-{stem}", drive.identity.name);
        let options = options(job, disc, tolerance_mm);
        files.push(written(&Dxf, &stem, &plate, &options)?);
        files.push(written(&Step, &stem, &plate, &options)?);
        if disc == 0 {
            files.push(written(&Csv, "profile", &plate, &options)?);
        }
    }
    Ok(files)
}

fn written(
    format: &dyn Export,
    stem: &str,
    plate: &Plate,
    options: &ExportOptions,
) -> Result<OutputFile, ExportError> {
    Ok(OutputFile { name: format!("{stem}.{}", format.extension()), bytes: format.write(plate, options)? })
}

fn options(job: &Job, disc: usize, tolerance_mm: f64) -> ExportOptions {
    let drive = &job.file.drive;
    ExportOptions {
        tolerance_mm,
        revision: drive.identity.revision.clone().unwrap_or_default(),
        material: drive.materials.disc.clone(),
        notes: notes(job, disc),
        spacing: PointSpacing::ChordTolerance,
    }
}

/// What the shop must know beside the shape.
fn notes(job: &Job, disc: usize) -> Vec<String> {
    let geometry = &job.assessment.geometry;
    let disc_count = job.file.drive.geometry.disc_count;
    let phase_deg = geometry.disc_phases.get(disc).map_or(0.0, |phase| degrees(phase.hole_phase_rad));
    let made = match geometry.one_part {
        OnePart::SameWayUp => format!("one part number for all {disc_count} discs, laid the same way up"),
        OnePart::TurnedOver => format!("one part number for all {disc_count} discs, some turned over"),
        OnePart::Different => format!("disc {} of {disc_count}, the discs differ", disc + 1),
    };
    let mut notes = vec![made, format!("lobe valley to nearest output hole: {phase_deg:.4} deg")];
    if job.exit() == Exit::CheckFails {
        notes.insert(0, "NOT TO BE MADE: a check of the drive fails".to_owned());
    }
    notes.push(format!("drive file sha-256 {}", job.file.sha256));
    notes
}
