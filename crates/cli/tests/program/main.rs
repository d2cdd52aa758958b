//! The program from outside: every command, every way to end, streams, files and interruption.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

mod assemblies;
mod commands;
mod documents;
mod exits;
mod files;
mod interruption;
mod modification;
mod readme;
mod run;
mod serve;
mod streams;
