//! `accuracy`: backlash, transmission error and its orders over a whole output turn.

use crate::arguments::Accuracy;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;
use ::schema::ResultDocument;
use exchange::accuracy_csv;
use reducer::accuracy::summary::{AccuracyResult, Which, accuracy};
use reducer::assembly::random::Sampling;
use reducer::finding::Standing;
use sheet::Table;
use std::path::Path;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file or the flags, or could not be computed or written.
pub fn run(arguments: &Accuracy, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    output::refuse_two_streams(terminal.json, arguments.csv.as_deref())?;
    let job = Job::load(&arguments.file, terminal)?;
    let sampling = Sampling::of(arguments.quasi_random);
    let which = Which { assembly: arguments.assembly, seed: arguments.seed, sampling };
    let result = accuracy(&job.file.drive, &job.assessment, which)?;
    if let Some(path) = &arguments.csv {
        let table = accuracy_csv(&job.file.drive.identity.name, &job.file.sha256, &result)?;
        if path == Path::new("-") {
            terminal.raw_data(&table)?;
        } else {
            let written = output::write_result(path, &job.file.sha256, table, overwrite)?;
            job.tell_written(&[path.display().to_string()], &written, terminal)?;
        }
    } else if terminal.json {
        terminal.data(&ResultDocument::new(&job.file, "accuracy", &result).to_json()?)?;
    } else {
        terminal.data(&tables(&result, terminal))?;
    }
    if let Some(directory) = &arguments.figures {
        let figures = sheet::figures::of_accuracy(&result);
        super::figure::write_all(directory, &job.file.sha256, &figures, overwrite, terminal)?;
    }
    let fails = result.requirements.iter().any(|finding| finding.standing == Standing::Fails);
    Ok(if fails { Exit::CheckFails } else { Exit::AllHold })
}

fn tables(result: &AccuracyResult, terminal: Terminal) -> String {
    let text =
        |table: &Table| format!("{}\n\n{}", table.title, table.text(terminal.width, terminal.data_coloured));
    let tables =
        [sheet::accuracy_table(result), sheet::under_torque_table(result), sheet::orders_table(result)];
    let told = tables.iter().filter(|table| !table.rows.is_empty()).map(text);
    told.collect::<Vec<_>>().join("\n")
}
