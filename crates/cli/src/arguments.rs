//! The command line: commands, flags, and the help that goes with them.

use crate::exit;
use clap::{Args, Parser, Subcommand, ValueEnum};

/// Cycloidal speed reducers from one text file: check, loads, shop files and report.
#[derive(Debug, Parser)]
#[command(name = "lobewright", version, after_help = exit::HELP, max_term_width = 100)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
    /// Settings that every command takes.
    #[command(flatten)]
    pub common: Common,
}

/// Settings that every command takes.
#[derive(Clone, Copy, Debug, Args)]
pub struct Common {
    /// Print JSON with documented fields (see `schema --results`), errors too
    #[arg(long, global = true)]
    pub json: bool,
    /// When to use colour; `auto` means on a terminal, unless NO_COLOR is set
    #[arg(long, global = true, value_name = "WHEN", default_value = "auto")]
    pub color: ColorChoice,
    /// Overwrite files that lobewright did not write or that were changed since
    #[arg(long, global = true)]
    pub force: bool,
}

/// When to use colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ColorChoice {
    /// On a terminal, unless NO_COLOR is set.
    Auto,
    /// In files and pipes too.
    Always,
    /// Nowhere.
    Never,
}

/// The verbs of the job.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Say what a check, formula, quantity, drive-file key or source means
    #[command(after_help = "Example:\n  lobewright explain geometry.eccentricity")]
    Explain(Explain),
}

/// Arguments of `explain`.
#[derive(Debug, Args)]
pub struct Explain {
    /// Name of a check, formula, quantity, drive-file key or source; without it all are listed
    pub name: Option<String>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn identity_every_command_has_an_example_that_parses() {
        let command = Arguments::command();
        for verb in command.get_subcommands() {
            let help = verb.get_after_help().unwrap_or_else(|| panic!("{} has no example", verb.get_name()));
            let example = help.to_string().lines().nth(1).unwrap().trim().to_owned();
            let words = example.split('"').enumerate().flat_map(|(index, piece)| {
                if index % 2 == 1 { vec![piece] } else { piece.split_whitespace().collect() }
            });
            let words: Vec<&str> = words.take_while(|word| *word != ">").collect();
            Arguments::try_parse_from(words).unwrap_or_else(|error| panic!("{example}: {error}"));
        }
    }
}
