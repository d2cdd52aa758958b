//! The angle error of a drive over an output turn as comma-separated values.

use crate::csv::one_line;
use crate::{ExportError, csv};
use reducer::accuracy::summary::AccuracyResult;
use schema::rounded;
use std::f64::consts::TAU;

/// Error of the output at every position of an output turn, load either way, and the backlash there.
///
/// Core units, numbers with nine significant digits. Lines that begin with `#` say what the table belongs to.
///
/// # Errors
/// [`ExportError::Writer`], which is a defect.
pub fn accuracy_csv(drive: &str, sha256: &str, result: &AccuracyResult) -> Result<Vec<u8>, ExportError> {
    let which = match result.which.assembly {
        None => "parts as drawn".to_owned(),
        Some(assembly) => format!("assembly {assembly} of seed {}", result.which.seed),
    };
    let lines = [
        format!("drive: {}", one_line(drive)),
        format!("drive file sha-256 {sha256}"),
        which,
        "without load, centres of the eccentric bearings held; anticlockwise positive".to_owned(),
    ];
    let heading: String = lines.iter().map(|line| format!("# {line}\n")).collect();
    let mut writer = ::csv::Writer::from_writer(heading.into_bytes());
    let columns = ["output_angle_rad", "error_ahead_rad", "error_behind_rad", "backlash_rad"];
    writer.write_record(columns).map_err(csv::writer_error)?;
    let turn = &result.turn;
    for (position, (ahead, behind)) in turn.ahead_rad.iter().zip(&turn.behind_rad).enumerate() {
        let angle = TAU * position as f64 / turn.position_count as f64;
        let numbers = [angle, *ahead, *behind, ahead - behind].map(|number| rounded(number).to_string());
        writer.write_record(numbers).map_err(csv::writer_error)?;
    }
    writer.into_inner().map_err(|error| csv::writer_error(error.into_error().into()))
}
