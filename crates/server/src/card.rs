//! The folder as cards: each drive with a few words, a small picture and its verdict.

use crate::api::{DriveCard, Folder};
use crate::compute::Line;
use crate::desk::DeskError;
use crate::office::{Office, lock};
use reducer::kinematics::kinematics;
use reducer::registry::{display, format_number};
use schema::DriveFile;

/// All drives of the folder.
///
/// # Errors
/// Where the folder cannot be read.
pub fn folder(office: &Office) -> Result<Folder, crate::folder::FolderError> {
    let names = office.names()?;
    Ok(Folder {
        name: office.root.name(),
        program_version: env!("CARGO_PKG_VERSION").to_owned(),
        drives: names.iter().map(|name| card(office, name)).collect(),
    })
}

fn card(office: &Office, name: &str) -> DriveCard {
    match office.desk(name) {
        Ok(desk) => {
            let desk = lock(&desk);
            let line = office.compute.line(&desk.file().sha256);
            let card = whole(name, desk.file(), !desk.is_saved(), line);
            DriveCard { picture_svg: office.picture(name, desk.file()), ..card }
        }
        Err(error) => DriveCard {
            file: name.to_owned(),
            name: name.trim_end_matches(".toml").to_owned(),
            title: String::new(),
            summary: String::new(),
            picture_svg: String::new(),
            verdict: None,
            problem: in_short(&error),
            has_unsaved_changes: false,
        },
    }
}

/// The card of a drive, without its picture.
fn whole(name: &str, file: &DriveFile, has_unsaved_changes: bool, line: Option<Line>) -> DriveCard {
    let identity = &file.drive.identity;
    let (verdict, problem) = line.map_or_else(Default::default, |line| (line.verdict, line.problem));
    DriveCard {
        file: name.to_owned(),
        name: identity.name.clone(),
        title: identity.title.clone().unwrap_or_default(),
        summary: summary(file),
        picture_svg: String::new(),
        verdict,
        problem,
        has_unsaved_changes,
    }
}

/// Ratio, rated torque and outside diameter.
fn summary(file: &DriveFile) -> String {
    let drive = &file.drive;
    let ratio = kinematics(drive).ratio.abs();
    let digits = if (ratio - ratio.round()).abs() < 1e-9 { 0 } else { 2 };
    let mut parts = vec![
        format!("{}:1", format_number(ratio, digits)),
        display("rated_torque_n_mm", drive.requirement.rated_torque_n_mm),
    ];
    if let Some(radius_mm) = drive.geometry.housing_radius_mm {
        parts.push(format!("⌀ {}", display("outside_diameter_mm", 2.0 * radius_mm)));
    }
    parts.join(", ")
}

/// The first thing that is wrong, one with a line if there is one.
fn in_short(error: &DeskError) -> String {
    match error {
        DeskError::Refused(diagnostics) => {
            let located = diagnostics.located();
            let placed = located.iter().find(|problem| problem.line.is_some());
            let Some(first) = placed.or(located.first()) else { return error.to_string() };
            let line = first.line.map_or_else(String::new, |line| format!("line {line}: "));
            let more = match located.len() {
                1 => String::new(),
                count => format!(" (and {} more)", count - 1),
            };
            format!("{line}{}{more}", first.message)
        }
        other => other.to_string(),
    }
}
