//! lobewright: one text file per cycloidal drive through the whole job, on the command line.

mod arguments;
mod commands;
mod exit;
mod failure;
mod interrupt;
mod output;
mod terminal;

use arguments::{Arguments, Command};
use clap::Parser;
use exit::Exit;
use failure::Failure;
use std::process::ExitCode;
use terminal::Terminal;

fn main() -> ExitCode {
    interrupt::install();
    let arguments = match Arguments::try_parse() {
        Ok(arguments) => arguments,
        Err(error) => return failure::show_usage(&error).into(),
    };
    let terminal = Terminal::new(arguments.common);
    run(&arguments, terminal).unwrap_or_else(|failure| failure.show(terminal)).into()
}

/// The whole program as a table of contents.
fn run(arguments: &Arguments, terminal: Terminal) -> Result<Exit, Failure> {
    match &arguments.command {
        Command::Explain(explain) => commands::explain::run(explain, terminal),
    }
}
