//! The drive file and the JSON of results: reading with every error at its place, editing, schemas.
//!
//! The reader is driven by the field table of [`reducer::model`] alone, as are the JSON Schema and
//! the starter file, so a key is described once. Nothing here knows what follows from the values.

mod diagnostic;
mod documents;
mod edit;
mod envelope;
mod fits;
mod json_schema;
mod nearest;
mod places;
mod read;
mod render;
mod rules;
mod scalar;
mod syntax;
mod template;
mod walk;

pub use diagnostic::{Diagnostic, Diagnostics, LocatedDiagnostic, Severity};
pub use documents::DocumentKind;
pub use edit::Edit;
pub use envelope::{DriveStamp, Poses, Program, ResultDocument, ResultsDocument, Verdict, rounded};
pub use fits::{CalloutLimits, FitsDocument, PartLimits, Play};
pub use json_schema::json_schema;
pub use places::{Place, Places, field_of};
pub use read::{DriveFile, LARGEST_FILE_BYTES, read};
pub use render::Colour;
pub use rules::{is_valid_name, known_materials};
pub use template::template;

use reducer::model::Drive;
use reducer::model::record::{Section, Tabled};

/// The field table of the whole drive file.
pub(crate) static DRIVE: &Section = &const { Drive::SECTION };
