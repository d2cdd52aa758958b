//! lobewright: one text file per cycloidal drive through the whole job, on the command line.

mod arguments;
mod commands;
mod exit;
mod failure;
mod interrupt;
mod job;
mod output;
mod parallel;
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
    let overwrite = arguments.common.overwrite();
    match &arguments.command {
        Command::New(new) => commands::new::run(new, overwrite, terminal),
        Command::Check(check) => commands::check::run(check, terminal),
        Command::Loads(loads) => commands::loads::run(loads, overwrite, terminal),
        Command::Make(make) => commands::make::run(make, overwrite, terminal),
        Command::Report(report) => commands::report::run(report, overwrite, terminal),
        Command::Deliver(deliver) => commands::deliver::run(deliver, overwrite, terminal),
        Command::Figure(figure) => commands::figure::run(figure, overwrite, terminal),
        Command::Accuracy(accuracy) => commands::accuracy::run(accuracy, overwrite, terminal),
        Command::Modification(modification) => commands::modification::run(modification, overwrite, terminal),
        Command::Yield(study) => commands::assemblies::run(study, overwrite, terminal),
        Command::Merge(merge) => commands::assemblies::merge(merge, overwrite, terminal),
        Command::Serve(serve) => commands::serve::run(serve, terminal),
        Command::Fit(fit) => commands::fit::run(fit, terminal),
        Command::Schema(schema) => commands::schema::run(schema, terminal),
        Command::Explain(explain) => commands::explain::run(explain, terminal),
    }
}
