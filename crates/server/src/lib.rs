//! The local page of lobewright and its interface for programs: HTTP and JSON over the same core.

pub mod api;
pub mod openapi;
pub mod view;
