//! Loads as comma-separated values: one row a crank angle and disc, with every contact in columns of its own.

use crate::csv::one_line;
use crate::{ExportError, csv};
use reducer::registry;
use reducer::results::{Assessment, DiscState, LoadCase, ModelUsed, Pose};
use schema::{DriveFile, rounded};

/// What a table of loads says about where it comes from.
#[derive(Clone, Copy, Debug)]
pub struct LoadsOrigin<'a> {
    /// Name of the drive.
    pub drive: &'a str,
    /// SHA-256 of the drive file.
    pub sha256: &'a str,
    /// How the loads were modelled.
    pub model: &'a ModelUsed,
}

/// All computed crank angles of a load case of a drive file.
///
/// # Errors
/// As [`loads_csv`].
pub fn case_csv(file: &DriveFile, assessment: &Assessment, case: &LoadCase) -> Result<Vec<u8>, ExportError> {
    let origin =
        LoadsOrigin { drive: &file.drive.identity.name, sha256: &file.sha256, model: &assessment.model };
    loads_csv(&origin, case)
}

/// All computed crank angles of a load case.
///
/// Core units; numbers with nine significant digits as in JSON. Discs, rollers and pins count from one. Lines that begin
/// with `#` say what the table belongs to.
///
/// # Errors
/// [`ExportError::Writer`], which is a defect.
pub fn loads_csv(origin: &LoadsOrigin<'_>, case: &LoadCase) -> Result<Vec<u8>, ExportError> {
    let mut writer = ::csv::Writer::from_writer(heading(origin, case).into_bytes());
    if let Some(first) = case.poses.iter().find_map(|pose| pose.discs.first()) {
        writer.write_record(columns(first)).map_err(csv::writer_error)?;
    }
    for pose in &case.poses {
        for (disc, state) in pose.discs.iter().enumerate() {
            writer.write_record(record(pose, disc, state)).map_err(csv::writer_error)?;
        }
    }
    writer.into_inner().map_err(|error| csv::writer_error(error.into_error().into()))
}

fn heading(origin: &LoadsOrigin<'_>, case: &LoadCase) -> String {
    let model = origin.model;
    let torque = registry::display("output_torque_n_mm", case.output_torque_n_mm);
    let lines = [
        format!("drive: {}", one_line(origin.drive)),
        format!("drive file sha-256 {}", origin.sha256),
        format!("load case: {}, {} on the output", one_line(&case.title), torque),
        format!("ring rollers: {}", model.roller_contact_law),
        format!("output pins: {}", model.pin_contact_law),
        format!("gaps: {}", model.gaps),
        format!("what gives way: {}", model.compliance),
        "forces are those on the disc, x and y in the frame of the ring, anticlockwise positive".to_owned(),
        "disc, ring rollers, output pins and rollers of the eccentric bearing count from 1".to_owned(),
    ];
    lines.iter().map(|line| format!("# {line}\n")).collect()
}

/// Columns that are the same for every drive.
const COMMON: [&str; 12] = [
    "crank_angle_rad",
    "disc",
    "plate_rotation_rad",
    "unloaded_plate_rotation_rad",
    "holding_torque_n_mm",
    "residual_ratio",
    "bearing_force_n_x",
    "bearing_force_n_y",
    "displacement_mm_x",
    "displacement_mm_y",
    "rotation_rad",
    "torque_n_mm",
];

/// Loads of every contact, by the name of their quantity.
fn contacts(disc: &DiscState) -> [(&'static str, &[f64]); 6] {
    [
        ("ring_roller_force_n", &disc.ring_roller_force_n),
        ("ring_roller_pressure_mpa", &disc.ring_roller_pressure_mpa),
        ("output_pin_force_n", &disc.output_pin_force_n),
        ("output_pin_pressure_mpa", &disc.output_pin_pressure_mpa),
        ("bearing_element_force_n", &disc.bearing_element_force_n),
        ("bearing_element_pressure_mpa", &disc.bearing_element_pressure_mpa),
    ]
}

fn columns(disc: &DiscState) -> Vec<String> {
    let numbered = |(name, values): (&str, &[f64])| {
        (1..=values.len()).map(|number| format!("{name}_{number}")).collect()
    };
    let of_contacts = contacts(disc).into_iter().flat_map(|list| -> Vec<String> { numbered(list) });
    COMMON.iter().map(|name| (*name).to_owned()).chain(of_contacts).collect()
}

fn record(pose: &Pose, disc: usize, state: &DiscState) -> Vec<String> {
    let common = [
        pose.plate_rotation_rad,
        pose.unloaded_plate_rotation_rad,
        pose.holding_torque_n_mm,
        pose.residual_ratio,
        state.bearing_force_n[0],
        state.bearing_force_n[1],
        state.displacement_mm[0],
        state.displacement_mm[1],
        state.rotation_rad,
        state.torque_n_mm,
    ];
    let values =
        common.into_iter().chain(contacts(state).into_iter().flat_map(|(_, values)| values.iter().copied()));
    [number(pose.crank_angle_rad), (disc + 1).to_string()].into_iter().chain(values.map(number)).collect()
}

/// A number with nine significant digits, empty where it is not finite.
pub(crate) fn number(value: f64) -> String {
    if value.is_finite() { rounded(value).to_string() } else { String::new() }
}
