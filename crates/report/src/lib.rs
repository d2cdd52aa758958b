//! The engineering report of a drive as a PDF: verdict first, then everything that led to it.
//!
//! [`content`] gathers what the report says as plain data; the template `report.typ` says how it
//! looks. Text of the drive file reaches the template only as data, never as markup. The same
//! input gives the same bytes: no clock, no path, no random identifier.

pub mod content;
#[cfg(feature = "pdf")]
mod typeset;

use reducer::accuracy::summary::{AccuracyResult, Which, accuracy};
use reducer::assembly::summary::YieldResult;
use reducer::results::Assessment;
use schema::DriveFile;

/// What a report is made from.
#[derive(Clone, Copy, Debug)]
pub struct ReportInput<'a> {
    /// The drive file, for its values as written and its hash.
    pub file: &'a DriveFile,
    /// What was computed from it.
    pub assessment: &'a Assessment,
    /// Its accuracy over an output turn; without it the report says nothing about accuracy.
    pub accuracy: Option<&'a AccuracyResult>,
    /// A study of drives assembled within the tolerances, if there was one.
    pub study: Option<&'a YieldResult>,
    /// Version of the program, such as `0.1.0`.
    pub program_version: &'a str,
}

/// Why there is no report.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ReportError {
    /// The program was built without the typesetter.
    #[error("this program was built without PDF reports")]
    BuiltWithoutPdf,
    /// The template did not take its data; a defect of this program.
    #[error("the report could not be set: {message}")]
    Typesetting {
        /// What the typesetter says, with its place in the template.
        message: String,
    },
}

/// The report of a drive as a PDF, with its accuracy as drawn, and with a study of assembled drives if there was one.
///
/// # Errors
/// As [`pdf`].
pub fn pdf_of(
    file: &DriveFile,
    assessment: &Assessment,
    study: Option<&YieldResult>,
) -> Result<Vec<u8>, ReportError> {
    if !cfg!(feature = "pdf") {
        return Err(ReportError::BuiltWithoutPdf);
    }
    // Without a mesh there is no accuracy, and the checks say so.
    let accuracy = accuracy(&file.drive, assessment, Which::default()).ok();
    let program_version = env!("CARGO_PKG_VERSION");
    pdf(&ReportInput { file, assessment, accuracy: accuracy.as_ref(), study, program_version })
}

/// The report as a PDF.
///
/// # Errors
/// [`ReportError::Typesetting`] if template and data do not fit, [`ReportError::BuiltWithoutPdf`] if the
/// feature `pdf` is off.
pub fn pdf(input: &ReportInput<'_>) -> Result<Vec<u8>, ReportError> {
    let content = content::gather(input);
    #[cfg(feature = "pdf")]
    return typeset::pdf(&content);
    #[cfg(not(feature = "pdf"))]
    {
        let _ = content;
        Err(ReportError::BuiltWithoutPdf)
    }
}
