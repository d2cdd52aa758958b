//! The local page of lobewright and its interface for programs: HTTP and JSON over the same core.

pub mod api;
mod ask;
mod card;
mod compare;
pub mod compute;
pub mod delivery;
pub mod desk;
mod disk;
mod figures;
pub mod folder;
mod guard;
mod hold;
pub mod jobs;
mod listen;
mod meaning;
pub mod office;
pub mod openapi;
mod page;
pub mod parallel;
mod patient;
mod picture;
mod refusal;
mod routes;
mod verdict;
pub mod view;

pub use folder::{FolderError, Root};
pub use listen::{Listen, ServeError, Server};
