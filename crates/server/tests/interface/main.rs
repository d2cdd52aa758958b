//! The server from outside, over loopback: what it answers, whom it refuses, and that nothing makes it fall.
#![allow(clippy::unwrap_used, reason = "a test stops at the first thing that is not there")]

mod common;
mod crowd;
mod drives;
mod long_work;
mod noise;
mod safety;
