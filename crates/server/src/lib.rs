//! The local page of lobewright and its interface for programs: HTTP and JSON over the same core.

pub mod api;
mod ask;
mod card;
pub mod compute;
pub mod desk;
mod disk;
pub mod folder;
mod guard;
mod listen;
pub mod office;
pub mod openapi;
mod page;
mod picture;
mod refusal;
mod routes;
mod verdict;
pub mod view;

pub use folder::{FolderError, Root};
pub use listen::{Listen, ServeError, Server};
