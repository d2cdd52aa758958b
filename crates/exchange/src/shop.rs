//! The shop files of a drive: drawing and solid of each differing disc, and one table of the profile that all share.

use crate::{Csv, Dxf, Export, ExportError, ExportOptions, PointSpacing, Step};
use curves::plate::Plate;
use reducer::finding::Standing;
use reducer::part::disc_plate;
use reducer::results::{Assessment, OnePart};
use reducer::units::degrees;
use schema::DriveFile;

/// Greatest distance of written curves from the exact profile where nobody says otherwise.
pub const USUAL_TOLERANCE_MM: f64 = 0.001;

/// A file with its name.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedFile {
    /// Its name, without a folder.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

/// What a shop file is, before it is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Format {
    Dxf,
    Step,
    Profile,
}

/// The files that the shop gets for a drive: name, disc and format of each.
fn list(file: &DriveFile, assessment: &Assessment) -> Vec<(String, usize, Format)> {
    let all_same = assessment.geometry.one_part != OnePart::Different;
    let mut files = Vec::new();
    for disc in 0..if all_same { 1 } else { file.drive.geometry.disc_count } {
        let stem = if all_same { "disc".to_owned() } else { format!("disc-{}", disc + 1) };
        files.push((format!("{stem}.{}", Dxf.extension()), disc, Format::Dxf));
        files.push((format!("{stem}.{}", Step.extension()), disc, Format::Step));
        if disc == 0 {
            files.push((format!("profile.{}", Csv.extension()), disc, Format::Profile));
        }
    }
    files
}

/// Names of the shop files of a drive.
#[must_use]
pub fn shop_file_names(file: &DriveFile, assessment: &Assessment) -> Vec<String> {
    list(file, assessment).into_iter().map(|(name, ..)| name).collect()
}

/// One shop file by its name; nothing where the drive has none of that name.
///
/// # Errors
/// [`ExportError`] if the shape cannot be made, which the checks of the drive then say too.
pub fn shop_file(
    file: &DriveFile,
    assessment: &Assessment,
    tolerance_mm: f64,
    name: &str,
) -> Option<Result<NamedFile, ExportError>> {
    let (name, disc, format) = list(file, assessment).into_iter().find(|(known, ..)| known == name)?;
    Some(written(file, assessment, tolerance_mm, name, disc, format))
}

/// All shop files of a drive.
///
/// # Errors
/// As [`shop_file`].
pub fn shop_files(
    file: &DriveFile,
    assessment: &Assessment,
    tolerance_mm: f64,
) -> Result<Vec<NamedFile>, ExportError> {
    list(file, assessment)
        .into_iter()
        .map(|(name, disc, format)| written(file, assessment, tolerance_mm, name, disc, format))
        .collect()
}

fn written(
    file: &DriveFile,
    assessment: &Assessment,
    tolerance_mm: f64,
    name: String,
    disc: usize,
    format: Format,
) -> Result<NamedFile, ExportError> {
    let plate = plate(file, assessment, disc);
    let options = options(file, assessment, disc, tolerance_mm);
    let writer: &dyn Export = match format {
        Format::Dxf => &Dxf,
        Format::Step => &Step,
        Format::Profile => &Csv,
    };
    Ok(NamedFile { name, bytes: writer.write(&plate, &options)? })
}

fn plate(file: &DriveFile, assessment: &Assessment, disc: usize) -> Plate {
    let drive = &file.drive;
    let mut plate = disc_plate(drive, disc);
    plate.name = match assessment.geometry.one_part {
        OnePart::Different => format!("{}-disc-{}", drive.identity.name, disc + 1),
        _ => format!("{}-disc", drive.identity.name),
    };
    plate
}

fn options(file: &DriveFile, assessment: &Assessment, disc: usize, tolerance_mm: f64) -> ExportOptions {
    ExportOptions {
        tolerance_mm,
        revision: file.drive.identity.revision.clone().unwrap_or_default(),
        material: file.drive.materials.disc.clone(),
        notes: notes(file, assessment, disc),
        spacing: PointSpacing::ChordTolerance,
    }
}

/// What the shop must know beside the shape.
fn notes(file: &DriveFile, assessment: &Assessment, disc: usize) -> Vec<String> {
    let geometry = &assessment.geometry;
    let disc_count = file.drive.geometry.disc_count;
    let phase_deg = geometry.disc_phases.get(disc).map_or(0.0, |phase| degrees(phase.hole_phase_rad));
    let made = match geometry.one_part {
        OnePart::SameWayUp => format!("one part number for all {disc_count} discs, laid the same way up"),
        OnePart::TurnedOver => format!("one part number for all {disc_count} discs, some turned over"),
        OnePart::Different => format!("disc {} of {disc_count}, the discs differ", disc + 1),
    };
    let mut notes = vec![made, format!("lobe valley to nearest output hole: {phase_deg:.4}°")];
    if assessment.findings.iter().any(|finding| finding.standing == Standing::Fails) {
        notes.insert(0, "NOT TO BE MADE: a check of the drive fails".to_owned());
    }
    notes.push(format!("drive file sha-256 {}", file.sha256));
    notes
}
