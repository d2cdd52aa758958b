//! The verbs of the command line, one file each.

pub mod explain;
