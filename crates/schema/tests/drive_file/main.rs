//! Drive files from bytes to messages and back: the examples, the faulty files, and no files at all.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

mod common;
mod edits;
mod examples;
mod faulty_files;
mod no_panic;
mod results;
