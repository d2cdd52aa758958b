//! Shop files of flat parts: one trait, one file per format; and tables of loads and of the numbers of a figure.
//!
//! Every writer takes a [`Plate`] and gives the bytes of a whole file, the same bytes for the same
//! part on every machine: no clock, no path, no random number. A part that cannot be made as it is
//! described (undercut outline, holes that break out) is refused by all of them.

pub mod accuracy;
pub mod csv;
pub mod dxf;
pub mod figure_data;
pub mod loads;
pub mod shop;
pub mod soundness;
pub mod step;

use curves::fit::FitError;
use curves::outline::OutlineFault;
use curves::plate::Plate;

pub use crate::accuracy::accuracy_csv;
pub use crate::csv::Csv;
pub use crate::dxf::Dxf;
pub use crate::figure_data::figure_csv;
pub use crate::loads::{LoadsOrigin, case_csv, loads_csv};
pub use crate::shop::{NamedFile, USUAL_TOLERANCE_MM, shop_file, shop_file_names, shop_files};
pub use crate::step::Step;

/// A file format that a flat part can be written in.
pub trait Export {
    /// Name of the format as the trade writes it.
    fn format(&self) -> &'static str;

    /// File-name extension, without a dot.
    fn extension(&self) -> &'static str;

    /// The whole file.
    ///
    /// # Errors
    /// A part that is unsound, a tolerance that cannot be met, or a writer that fails; never half a file.
    fn write(&self, plate: &Plate, options: &ExportOptions) -> Result<Vec<u8>, ExportError>;
}

/// All formats, in the order in which they are offered.
#[must_use]
pub fn formats() -> [&'static dyn Export; 3] {
    [&Dxf, &Step, &Csv]
}

/// What the writers need to know beyond the part itself.
#[derive(Clone, Debug, PartialEq)]
pub struct ExportOptions {
    /// Largest normal distance that arcs, splines or chords may have from the exact outline (mm).
    pub tolerance_mm: f64,
    /// Revision of the design, as the drawing office counts; empty if there is none.
    pub revision: String,
    /// Material and condition; empty if not stated.
    pub material: String,
    /// Notes for the drawing, one line each, such as the angle between lobes and holes.
    pub notes: Vec<String>,
    /// Points that a profile table takes.
    pub spacing: PointSpacing,
}

impl Default for ExportOptions {
    /// One micrometre, no revision, no notes.
    fn default() -> Self {
        Self {
            tolerance_mm: USUAL_TOLERANCE_MM,
            revision: String::new(),
            material: String::new(),
            notes: Vec::new(),
            spacing: PointSpacing::ChordTolerance,
        }
    }
}

/// How the points of a profile table are spaced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointSpacing {
    /// As wide as the tolerance allows between outline and chord.
    ChordTolerance,
    /// A fixed number of points, even in the parameter.
    Count(usize),
}

/// Why a file could not be written.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The outline cannot bound a part.
    #[error(
        "{part}: {fault}\n\nhint: the profile is not one closed line; check undercut and shortening first"
    )]
    Outline {
        /// Name of the part.
        part: String,
        /// What is wrong with its outline.
        fault: OutlineFault,
    },
    /// A number of the part is not finite, or a size is not positive.
    #[error("{part}: {quantity} is not a usable length: {value_mm} mm")]
    Length {
        /// Name of the part.
        part: String,
        /// What the number is.
        quantity: String,
        /// The number (mm).
        value_mm: f64,
    },
    /// A hole breaks through the outline.
    #[error(
        "{part}: {hole} breaks out of the outline: wall {wall_mm:.4} mm\n\nhint: move the holes inward or make them smaller"
    )]
    HoleBreaksOut {
        /// Name of the part.
        part: String,
        /// Name of the hole.
        hole: String,
        /// Distance between hole and outline, not positive (mm).
        wall_mm: f64,
    },
    /// Two holes run into each other.
    #[error(
        "{part}: {first} and {second} run into each other: wall {wall_mm:.4} mm\n\nhint: fewer or smaller holes, or a larger hole circle"
    )]
    HolesMeet {
        /// Name of the part.
        part: String,
        /// Name of one hole.
        first: String,
        /// Name of the other hole.
        second: String,
        /// Distance between the holes, not positive (mm).
        wall_mm: f64,
    },
    /// Fewer points asked for than make an outline.
    #[error("a profile table needs at least 3 points: {point_count} asked for")]
    TooFewPoints {
        /// Points asked for.
        point_count: usize,
    },
    /// The outline could not be fitted within the tolerance.
    #[error("{part}: {source}")]
    Fit {
        /// Name of the part.
        part: String,
        /// What went wrong.
        source: FitError,
    },
    /// The library that lays out a format reported an error.
    #[error("{format} writer: {detail}")]
    Writer {
        /// Format being written.
        format: &'static str,
        /// What the library said.
        detail: String,
    },
}

/// A number rounded to a picometre, with no negative zero, so that bytes do not hang on the last bit.
fn tidy(value: f64) -> f64 {
    (value * 1e9).round() / 1e9 + 0.0
}

/// A number with fixed decimals and no negative zero.
fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|digit| matches!(digit, '0' | '.')) => digits.to_owned(),
        _ => text,
    }
}
