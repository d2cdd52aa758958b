//! Tasks of the repository, run as `cargo xtask TASK`.
#![allow(clippy::print_stdout, reason = "a task talks to the person who runs it")]

mod debian;
mod generate;
mod page;
mod python;
mod repository;
mod test;
mod validate;

use clap::{Parser, Subcommand};
use std::process::ExitCode;

/// Tasks of the repository.
#[derive(Debug, Parser)]
#[command(name = "cargo xtask")]
struct Arguments {
    /// What to do.
    #[command(subcommand)]
    task: Task,
}

/// What can be done.
#[derive(Debug, Subcommand)]
enum Task {
    /// Run every check, as continuous integration does
    Test {
        /// Leave out what is slow: the documentation build and the checks with Python programs
        #[arg(long)]
        quick: bool,
    },
    /// Write the generated files: key reference, formulas, schemas, figures
    Generate {
        /// Only say which files are not as they would be generated
        #[arg(long)]
        check: bool,
    },
    /// Run every published and computed case and write VALIDATION.md
    Validate {
        /// Only say whether VALIDATION.md is as it would be written
        #[arg(long)]
        check: bool,
    },
}

fn main() -> ExitCode {
    let done = match Arguments::parse().task {
        Task::Test { quick } => test::run(quick),
        Task::Generate { check } => generate::run(check),
        Task::Validate { check } => validate::run(check),
    };
    match done {
        Ok(()) => ExitCode::SUCCESS,
        Err(problem) => {
            eprintln!("error: {problem}");
            ExitCode::FAILURE
        }
    }
}
