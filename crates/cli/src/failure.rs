//! What ends a run without a verdict, in words for people and in JSON for programs.

use crate::exit::Exit;
use crate::output::OutputError;
use crate::terminal::Terminal;
use ::schema::{Colour, Diagnostics};
use clap::error::ErrorKind;
use exchange::ExportError;
use reducer::accuracy::modification::ModificationError;
use reducer::assembly::study::StudyError;
use reducer::assess::AssessError;
use reducer::units::{self, Dimension};
use report::ReportError;
use serde_json::{Value, json};
use server::delivery::DeliveryError;
use server::{FolderError, ServeError};
use std::io::{self, Write};
use std::path::PathBuf;

/// Number of the format of JSON messages other than results.
pub const MESSAGE_FORMAT: u32 = 1;

/// What ends a run without a verdict.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    /// The drive file could not be read at all.
    #[error("could not read `{}`: {source}", .path.display())]
    NotRead {
        /// The file, as it was named.
        path: PathBuf,
        /// What the file system answered.
        source: io::Error,
    },
    /// The drive file is wrong.
    #[error("{}", .0.render(Colour::Plain))]
    DriveFile(Box<Diagnostics>),
    /// The command asks for something that there is not.
    #[error("{message}")]
    Usage {
        /// What is wrong, with the value.
        message: String,
        /// The change likely to help.
        hint: String,
    },
    /// The files could not be written.
    #[error(transparent)]
    Output(#[from] OutputError),
    /// The drive could not be computed.
    #[error(transparent)]
    Assess(#[from] AssessError),
    /// No profile modification could be proposed.
    #[error(transparent)]
    Modification(#[from] ModificationError),
    /// Assemblies can not be computed.
    #[error("{}", .0.to_string().split("\n\nhint: ").next().unwrap_or_default())]
    Study(#[from] StudyError),
    /// The shape can not be made, or not be written within the tolerance.
    #[error(transparent)]
    NoPart(#[from] ExportError),
    /// The report can not be made.
    #[error(transparent)]
    Report(#[from] ReportError),
    /// The folder can not be opened.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// The page can not be served.
    #[error(transparent)]
    Serve(#[from] ServeError),
    /// The results can not be JSON.
    #[error("the results can not be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// Standard output could not be written.
    #[error("could not write to standard output: {source}")]
    Print {
        /// What the system answered.
        source: io::Error,
    },
}

impl Failure {
    /// How the run ends.
    #[must_use]
    pub fn exit(&self) -> Exit {
        match self {
            Self::NotRead { .. }
            | Self::DriveFile(_)
            | Self::Usage { .. }
            | Self::Study(StudyError::Tolerance(_) | StudyError::Material(_) | StudyError::NoTolerances)
            | Self::Folder(_)
            | Self::Report(ReportError::BuiltWithoutPdf) => Exit::InputWrong,
            Self::Study(StudyError::NoMesh)
            | Self::Modification(ModificationError::DoesNotMesh | ModificationError::HolesPlayMore { .. }) => {
                Exit::CheckFails
            }
            Self::Modification(ModificationError::Load(_)) => Exit::NotDone,
            Self::Modification(_) => Exit::InputWrong,
            Self::NoPart(
                ExportError::Outline { .. }
                | ExportError::HoleBreaksOut { .. }
                | ExportError::HolesMeet { .. },
            ) => Exit::CheckFails,
            Self::Assess(_)
            | Self::Study(StudyError::NoEquilibrium(_))
            | Self::NoPart(_)
            | Self::Report(_)
            | Self::Json(_)
            | Self::Serve(_)
            | Self::Output(_)
            | Self::Print { .. } => Exit::NotDone,
        }
    }

    /// The change likely to help, empty where there is none.
    #[must_use]
    pub fn hint(&self) -> String {
        match self {
            Self::Usage { hint, .. } => hint.clone(),
            Self::Modification(error) => error.hint().to_owned(),
            Self::Study(error) => error
                .to_string()
                .split_once("\n\nhint: ")
                .map_or_else(String::new, |(_, hint)| hint.to_owned()),
            Self::Report(ReportError::BuiltWithoutPdf) => "build it with its default features".to_owned(),
            Self::Output(OutputError::Refused { obstacles }) => {
                if obstacles.iter().all(|(_, obstacle)| obstacle.yields_to_force()) {
                    "use --force to overwrite them, or another --out".to_owned()
                } else {
                    "use another --out; links and directories are not overwritten even with --force"
                        .to_owned()
                }
            }
            Self::Folder(FolderError::Nothing { .. } | FolderError::Name { .. }) => {
                "name a folder with drive files, or one drive file; `lobewright new` writes one".to_owned()
            }
            Self::Serve(ServeError::PortTaken { .. }) => {
                "leave --port out for a free one, or choose another".to_owned()
            }
            Self::Serve(ServeError::Served { .. }) => {
                "open the address that it printed, or end it first".to_owned()
            }
            Self::Output(OutputError::Busy { .. }) => {
                "wait for the other run, or use another --out".to_owned()
            }
            _ => String::new(),
        }
    }

    /// Tells people, or programs if they asked, and gives the exit.
    pub fn show(&self, terminal: Terminal) -> Exit {
        if terminal.json {
            // Standard output may be what failed; there is nobody left to tell.
            let _ = terminal.data(&message_text(&self.to_json()));
        } else if let Self::DriveFile(diagnostics) = self {
            terminal.talk(&diagnostics.render(terminal.talk_colour()));
        } else {
            terminal.talk(&in_words(&self.to_string(), &self.hint(), terminal.talk_coloured));
        }
        self.exit()
    }

    fn to_json(&self) -> Value {
        match self {
            Self::DriveFile(diagnostics) => {
                let message = format!("the drive file `{}` is wrong", diagnostics.file_name());
                error_json(self.exit(), &message, "", &json!(diagnostics.located()))
            }
            _ => error_json(self.exit(), &self.to_string(), &self.hint(), &json!([])),
        }
    }
}

/// A quantity from a flag of the command line, in core units.
///
/// # Errors
/// [`Failure::Usage`] with the flag and what was expected.
pub fn parse_quantity(flag: &str, text: &str, dimension: Dimension) -> Result<f64, Failure> {
    units::parse_quantity(text, dimension).map_err(|error| Failure::Usage {
        message: format!("{flag}: {error}"),
        hint: {
            let spellings: Vec<&str> = dimension.units().map(|unit| unit.spellings[0]).collect();
            format!("{} with its unit as text; units are {}", dimension.words(), spellings.join(", "))
        },
    })
}

/// Shows help, version, or what is wrong with the command line, and gives the exit.
pub fn show_usage(error: &clap::Error) -> Exit {
    let is_answer = matches!(error.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion);
    if !is_answer && std::env::args().any(|word| word == "--json") {
        let text = error.to_string();
        let message = text.trim_start_matches("error: ").trim_end();
        let document = error_json(Exit::InputWrong, message, "", &json!([]));
        let _ = io::stdout().lock().write_all(message_text(&document).as_bytes());
    } else {
        // A closed pipe is the only thing that can go wrong here, and no error.
        let _ = error.print();
    }
    if is_answer { Exit::AllHold } else { Exit::InputWrong }
}

/// A JSON document as the text that is printed.
#[must_use]
pub fn message_text(document: &Value) -> String {
    format!("{document:#}\n")
}

impl From<DeliveryError> for Failure {
    fn from(error: DeliveryError) -> Self {
        match error {
            DeliveryError::NoPart(error) => error.into(),
            DeliveryError::Report(error) => error.into(),
            DeliveryError::Json(error) => error.into(),
        }
    }
}

fn error_json(exit: Exit, message: &str, hint: &str, diagnostics: &Value) -> Value {
    json!({
        "format": MESSAGE_FORMAT,
        "kind": "error",
        "exit_code": exit.code(),
        "message": message,
        "hint": hint,
        "diagnostics": diagnostics,
    })
}

fn in_words(message: &str, hint: &str, coloured: bool) -> String {
    let (red, plain) = if coloured { ("\u{1b}[1;31m", "\u{1b}[0m") } else { ("", "") };
    let hint = if hint.is_empty() { String::new() } else { format!("\n\nhint: {hint}") };
    format!("{red}error:{plain} {message}{hint}")
}
