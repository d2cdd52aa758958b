//! The command line: commands, flags, and the help that goes with them.

use crate::exit;
use crate::output::Overwrite;
use ::schema::DocumentKind;
use clap::{Args, Parser, Subcommand, ValueEnum};
use std::net::IpAddr;
use std::path::PathBuf;

/// Most assemblies of a study: ten million tasks.
pub const MOST_ASSEMBLIES: u64 = 10_000_000_000;
/// Most crank angles of a study.
pub const MOST_CRANK_ANGLES: u32 = 100_000;

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
    #[arg(
        long,
        global = true,
        value_name = "auto|always|never",
        default_value = "auto",
        hide_default_value = true,
        hide_possible_values = true
    )]
    pub color: ColorChoice,
    /// Overwrite files that lobewright did not write or that were changed since
    #[arg(long, global = true)]
    pub force: bool,
}

impl Common {
    /// What the flags allow to be overwritten.
    #[must_use]
    pub fn overwrite(self) -> Overwrite {
        if self.force { Overwrite::Forced } else { Overwrite::OwnFiles }
    }
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

/// What stands below the help of `fit`: its example in the second line.
const FIT_HELP: &str = "Example:
  lobewright fit 25k5 H7/m6 8H7/m6 25bearing/k5 62K7/bearing

Held are shafts g h js k m n p and holes G H JS K M N P from 1 mm to 250 mm: h, js, H and JS in the
grades 4 to 11, g, k, m, n, p and G in 4 to 7, K, M and N in 5 to 8, P in 5 to 7. Up to 315 mm there
are h, js, H and JS in 5 to 7. `bearing` is a rolling bearing of the normal class.";

/// What stands below the help of `serve`: its example in the second line.
const SERVE_HELP: &str = "Example:
  lobewright serve examples --port 8047

The address is printed once and the page stays there until Ctrl-C, which ends with exit code 0. Edits
that are not saved are kept beside the drive file, hidden, and are there again the next time. Only this
machine can reach the page; with --listen others can too, if they have the token in the printed address.";

/// The verbs of the job.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Start a drive file with every key explained
    #[command(after_help = "Example:\n  lobewright new sorting-table-index --out sorting-table-index.toml")]
    New(New),
    /// Check a drive against its requirement and print the verdict
    #[command(after_help = "Example:\n  lobewright check examples/orchard-arm-shoulder.toml")]
    Check(DriveFileOnly),
    /// Print the forces and pressures at rollers, pins and bearings
    #[command(
        after_help = "Example:\n  lobewright loads examples/orchard-arm-shoulder.toml --load-case peak --crank-angle \"30 deg\""
    )]
    Loads(Loads),
    /// Print backlash, transmission error and its orders over a whole output turn
    #[command(
        after_help = "Example:\n  lobewright accuracy examples/orchard-arm-shoulder.toml --assembly 17 --seed 7"
    )]
    Accuracy(Accuracy),
    /// Propose profile modifications for a wanted backlash that share the load best
    #[command(
        after_help = "Example:\n  lobewright modification examples/orchard-arm-shoulder.toml --backlash \"1.2 arcmin\""
    )]
    Modification(Modification),
    /// Assemble many drives within the tolerances and count how many meet the requirement
    #[command(
        after_help = "Example:\n  lobewright yield examples/orchard-arm-shoulder.toml --assemblies 100000 --seed 7"
    )]
    Yield(Yield),
    /// Put the shards of one `yield` run together
    #[command(
        after_help = "Example:\n  lobewright merge examples/orchard-arm-shoulder.toml shard-1.json shard-2.json"
    )]
    Merge(Merge),
    /// Write the shop files of the disc: DXF, STEP and a table of points
    #[command(
        after_help = "Example:\n  lobewright make examples/orchard-arm-shoulder.toml --out shop/ --tolerance \"2 µm\""
    )]
    Make(Make),
    /// Write the report as PDF
    #[command(
        after_help = "Example:\n  lobewright report examples/orchard-arm-shoulder.toml --out shoulder.pdf"
    )]
    Report(Report),
    /// Do the whole job: report, shop files, results and the verdict
    #[command(after_help = "Example:\n  lobewright deliver examples/orchard-arm-shoulder.toml --out out/")]
    Deliver(Deliver),
    /// Write one figure of the report as SVG, or its numbers as CSV
    #[command(
        after_help = "Example:\n  lobewright figure examples/orchard-arm-shoulder.toml --name section --out section.svg"
    )]
    Figure(Figure),
    /// Open the drives of a folder on a page of this machine, to see, change and save them
    #[command(after_help = SERVE_HELP)]
    Serve(Serve),
    /// Print limits of size and fits: what 25k5 or 8H7/m6 allows
    #[command(after_help = FIT_HELP)]
    Fit(Fit),
    /// Print the JSON Schema of the drive file, for editors
    #[command(after_help = "Example:\n  lobewright schema > drive-file.schema.json")]
    Schema(Schema),
    /// Say what a check, formula, quantity, drive-file key or source means
    #[command(after_help = "Example:\n  lobewright explain geometry.eccentricity")]
    Explain(Explain),
}

/// Arguments of `new`.
#[derive(Debug, Args)]
pub struct New {
    /// Short name of the drive: letters, digits, hyphens
    pub name: String,
    /// File to write, `-` for standard output [default: NAME.toml]
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// Arguments of commands that take a drive file and nothing else.
#[derive(Debug, Args)]
pub struct DriveFileOnly {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
}

/// Arguments of `loads`.
#[derive(Debug, Args)]
pub struct Loads {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
    /// Load case: rated, peak, emergency, duty-1 …
    #[arg(long, value_name = "NAME", default_value = "rated")]
    pub load_case: String,
    /// Crank angle at which every contact is listed [default: that of the greatest roller force]
    #[arg(long, value_name = "ANGLE", allow_hyphen_values = true)]
    pub crank_angle: Option<String>,
    /// Write every crank angle and contact as CSV into a file, `-` for standard output, instead of printing tables
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
}

/// Arguments of `modification`.
#[derive(Debug, Args)]
pub struct Modification {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
    /// Backlash of nominal parts to aim at [default: a share of that required, or the present one]
    #[arg(long, value_name = "ANGLE")]
    pub backlash: Option<String>,
    /// Share of the required backlash to aim at, 0 to 1, the rest being for tolerances [default: 0.8]
    #[arg(long, value_name = "SHARE", conflicts_with = "backlash")]
    pub backlash_share: Option<f64>,
    /// Least clearance at tips and roots of lobes [default: the usual one of the process, or what 99 % of the assemblies within the tolerances need]
    #[arg(long, value_name = "LENGTH")]
    pub tip_clearance: Option<String>,
    /// Directory for the figure as SVG: force and clearance along the modifications that hold the backlash
    #[arg(long, value_name = "DIR")]
    pub figures: Option<PathBuf>,
}

/// Arguments of `accuracy`.
#[derive(Debug, Args)]
pub struct Accuracy {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
    /// Directory for the figures as SVG
    #[arg(long, value_name = "DIR")]
    pub figures: Option<PathBuf>,
    /// One of the drives that `yield` assembles, by its number from 0, instead of the drive as drawn
    #[arg(long, value_name = "NUMBER")]
    pub assembly: Option<u64>,
    /// Seed of that `yield` run
    #[arg(long, value_name = "NUMBER", default_value_t = 1, requires = "assembly")]
    pub seed: u64,
    /// That `yield` run spreads its drives evenly
    #[arg(long, requires = "assembly")]
    pub quasi_random: bool,
    /// Write the error at every position as CSV into a file, `-` for standard output, instead of printing tables
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
}

/// What to make of a study, whole or merged.
#[derive(Debug, Args)]
pub struct StudyOutput {
    /// Directory for the figures as SVG
    #[arg(long, value_name = "DIR")]
    pub figures: Option<PathBuf>,
    /// Search the loosest tolerances, by whole grades and their cost weights, that reach the wanted yield without load
    #[arg(long)]
    pub propose: bool,
}

/// A study of assembled drives beside other work.
#[derive(Debug, Args)]
pub struct Lot {
    /// Also assemble so many drives within the tolerances; the check of the lot's yield and the report take what comes of it
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u64).range(1..=MOST_ASSEMBLIES))]
    pub assemblies: Option<u64>,
    /// Of these, drives to load
    #[arg(long, value_name = "COUNT", default_value_t = 0, requires = "assemblies")]
    pub loaded: u64,
    /// Seed of the draws, as in `yield`
    #[arg(long, value_name = "NUMBER", default_value_t = 1, requires = "assemblies")]
    pub seed: u64,
}

/// Arguments of `yield`.
#[derive(Debug, Args)]
pub struct Yield {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
    /// Figures and a proposal.
    #[command(flatten)]
    pub output: StudyOutput,
    /// Drives to assemble
    #[arg(long, value_name = "COUNT", default_value_t = 100_000, value_parser = clap::value_parser!(u64).range(1..=MOST_ASSEMBLIES))]
    pub assemblies: u64,
    /// Of these, drives to load
    #[arg(long, value_name = "COUNT", default_value_t = 10_000)]
    pub loaded: u64,
    /// Seed of the draws; the same one gives the same drives, whatever the threads
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Spread the drives evenly over the tolerances instead of by chance; means settle sooner
    #[arg(long)]
    pub quasi_random: bool,
    /// Crank angles over an output turn, at least, from which extremes are followed [default: 192 to 640, by the number of rollers]
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u32).range(8..=i64::from(MOST_CRANK_ANGLES)))]
    pub crank_angles: Option<u32>,
    /// Threads to use [default: as many as the machine has]
    #[arg(long, value_name = "COUNT", value_parser = clap::value_parser!(u16).range(1..=1024))]
    pub threads: Option<u16>,
    /// Do one part of the work, such as 2/5, for `merge`
    #[arg(long, value_name = "K/N", requires = "out", conflicts_with_all = ["figures", "propose"])]
    pub shard: Option<String>,
    /// File for what a shard has counted, `-` for standard output; an interrupted one is written as far as it came
    #[arg(long, value_name = "FILE", requires = "shard")]
    pub out: Option<PathBuf>,
}

/// Arguments of `merge`.
#[derive(Debug, Args)]
pub struct Merge {
    /// Drive file that the shards were made with
    pub file: PathBuf,
    /// Shards of one run
    #[arg(required = true)]
    pub shards: Vec<PathBuf>,
    /// Figures and a proposal.
    #[command(flatten)]
    pub output: StudyOutput,
}

/// Arguments of `deliver`.
#[derive(Debug, Args)]
pub struct Deliver {
    /// Drive file, directory and tolerance of the shop files.
    #[command(flatten)]
    pub make: Make,
    /// A study beside it, which yield.json holds.
    #[command(flatten)]
    pub lot: Lot,
}

/// Arguments of `make`.
#[derive(Debug, Args)]
pub struct Make {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
    /// Directory to write into; it is created if need be
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// Greatest distance of the written curves from the exact profile
    #[arg(long, value_name = "LENGTH", default_value = "1 µm")]
    pub tolerance: String,
}

/// Arguments of `report`.
#[derive(Debug, Args)]
pub struct Report {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
    /// File to write
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// A study beside it.
    #[command(flatten)]
    pub lot: Lot,
}

/// Arguments of `figure`.
#[derive(Debug, Args)]
pub struct Figure {
    /// Drive file, `-` for standard input
    pub file: PathBuf,
    /// Which figure; a wrong name lists them all
    #[arg(long, value_name = "FIGURE")]
    pub name: String,
    /// File to write, `-` for standard output; a name that ends in `.csv` gets the numbers
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
}

/// Arguments of `serve`.
#[derive(Debug, Args)]
pub struct Serve {
    /// Drive file, or folder of drive files
    #[arg(value_name = "FILE or FOLDER", default_value = ".")]
    pub path: PathBuf,
    /// Port to listen at [default: a free one]
    #[arg(long, value_name = "NUMBER")]
    pub port: Option<u16>,
    /// Address to listen at for other machines, such as 0.0.0.0; they need the token that is printed
    #[arg(long, value_name = "ADDRESS")]
    pub listen: Option<IpAddr>,
}

/// Arguments of `fit`.
#[derive(Debug, Args)]
pub struct Fit {
    /// Nominal size in mm with the class of a hole, a shaft or both: 25k5, 25H7, 8H7/m6; without a size it is that of the callout before; a rolling bearing is 25bearing/k5 on a shaft and 62K7/bearing in a housing
    #[arg(required = true, value_name = "CALLOUT")]
    pub callouts: Vec<String>,
}

/// Arguments of `schema`.
#[derive(Debug, Args)]
pub struct Schema {
    /// The schema of what `--json` prints, instead of the drive file's [without a word: results]
    #[arg(long, value_name = "DOCUMENT", num_args = 0..=1, default_missing_value = "results")]
    pub results: Option<ResultsKind>,
}

/// Documents with a schema of their own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ResultsKind {
    /// Of `check`, `loads` and in `results.json`.
    Results,
    /// Of `accuracy`.
    Accuracy,
    /// Of `modification`.
    Modification,
    /// Of `yield` and `merge`.
    Yield,
    /// Of `fit`.
    Fits,
}

impl ResultsKind {
    /// The kind of document.
    #[must_use]
    pub fn kind(self) -> DocumentKind {
        match self {
            Self::Results => DocumentKind::Results,
            Self::Accuracy => DocumentKind::Accuracy,
            Self::Modification => DocumentKind::Modification,
            Self::Yield => DocumentKind::Yield,
            Self::Fits => DocumentKind::Fits,
        }
    }
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
