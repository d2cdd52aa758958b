//! A request that is not done: its status and what is wrong, in words.

use crate::api::{Problem, Refused};
use crate::desk::DeskError;
use crate::folder::FolderError;
use axum::Json;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use schema::Diagnostics;

/// Why a request is not done.
#[derive(Debug)]
pub enum Refusal {
    /// Something is wrong with it, or with the server.
    Problem(StatusCode, Problem),
    /// The drive file does not take it.
    Refused(Refused),
}

impl Refusal {
    /// A problem with its status.
    #[must_use]
    pub fn new(status: StatusCode, message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::Problem(status, Problem { message: message.into(), hint: hint.into() })
    }

    /// An error whose words may end with a hint of their own.
    #[must_use]
    pub fn told(status: StatusCode, error: &dyn std::fmt::Display) -> Self {
        let words = error.to_string();
        let (message, hint) = words.split_once("\n\nhint: ").unwrap_or((&words, ""));
        Self::new(status, message, hint)
    }

    /// Something that is not there.
    #[must_use]
    pub fn not_found(message: impl Into<String>) -> Self {
        Self::new(StatusCode::NOT_FOUND, message, "")
    }

    /// A request that makes no sense.
    #[must_use]
    pub fn bad(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, message, hint)
    }

    /// What cannot be had now.
    #[must_use]
    pub fn later(message: impl Into<String>) -> Self {
        Self::new(StatusCode::SERVICE_UNAVAILABLE, message, "ask again")
    }
}

impl From<Diagnostics> for Refusal {
    fn from(diagnostics: Diagnostics) -> Self {
        Self::Refused(Refused { problems: diagnostics.located() })
    }
}

impl From<FolderError> for Refusal {
    fn from(error: FolderError) -> Self {
        let status = match &error {
            FolderError::Name { .. } => StatusCode::BAD_REQUEST,
            FolderError::Moved { .. } => {
                let hint = "put the folder back, or end the server and open the folder where it is now";
                return Self::new(StatusCode::CONFLICT, error.to_string(), hint);
            }
            FolderError::Missing { .. } | FolderError::Nothing { .. } => StatusCode::NOT_FOUND,
            FolderError::NotServed { .. } => {
                let hint = "to work on the others too, serve their folder";
                return Self::new(StatusCode::NOT_FOUND, error.to_string(), hint);
            }
            FolderError::Outside { .. } | FolderError::NotPlain { .. } | FolderError::Disk { .. } => {
                StatusCode::FORBIDDEN
            }
        };
        Self::new(status, error.to_string(), "")
    }
}

impl From<DeskError> for Refusal {
    fn from(error: DeskError) -> Self {
        let message = error.to_string();
        match error {
            DeskError::Folder(error) => error.into(),
            DeskError::Refused(diagnostics) => (*diagnostics).into(),
            DeskError::Nothing { .. } | DeskError::Conflict { .. } => {
                Self::new(StatusCode::CONFLICT, message, "")
            }
            DeskError::DiskChanged { .. } => {
                Self::new(StatusCode::CONFLICT, message, "look at what came from the disk, then save again")
            }
            DeskError::Unreadable { .. } => Self::new(
                StatusCode::CONFLICT,
                message,
                "mend the file on the disk or remove it, then save again",
            ),
            DeskError::NotWritten { .. } => Self::new(
                StatusCode::INSUFFICIENT_STORAGE,
                message,
                "the edits are still on the desk; see to the disk, then save again",
            ),
        }
    }
}

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        match self {
            Self::Problem(status, problem) => (status, Json(problem)).into_response(),
            Self::Refused(refused) => (StatusCode::UNPROCESSABLE_ENTITY, Json(refused)).into_response(),
        }
    }
}
