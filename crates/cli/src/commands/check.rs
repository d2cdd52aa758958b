//! `check`: the verdict on a drive, worst margin first.

use crate::arguments::DriveFileOnly;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::job::Job;
use crate::terminal::Terminal;
use ::schema::Poses;
use sheet::Markup;

/// Runs the command.
///
/// # Errors
/// What is wrong with the file, or could not be computed.
pub fn run(arguments: &DriveFileOnly, terminal: Terminal) -> Result<Exit, Failure> {
    let job = Job::load(&arguments.file, terminal)?;
    if terminal.json {
        terminal.data(&job.results_json(Poses::RatedCase)?)?;
    } else {
        terminal.data(&verdict(&job, terminal))?;
    }
    Ok(job.exit())
}

/// The verdict for people: the table, what to do, and the counts in the last line.
#[must_use]
pub fn verdict(job: &Job, terminal: Terminal) -> String {
    let written = |markup: &Markup| if terminal.data_coloured { markup.ansi() } else { markup.plain() };
    let findings = &job.assessment.findings;
    let mut text = heading(job);
    text.push_str(&sheet::verdict_table(&job.assessment).text(terminal.width, terminal.data_coloured));
    let hints = sheet::hints(findings);
    if !hints.is_empty() {
        text.push('\n');
    }
    for hint in hints {
        for (index, line) in sheet::table::wrap(&hint, terminal.width - 2).iter().enumerate() {
            let indent = if index == 0 { "" } else { "  " };
            text.push_str(&format!("{indent}{}\n", written(line)));
        }
    }
    text.push_str(&format!("\n{}\n", written(&sheet::verdict_line(findings))));
    text
}

fn heading(job: &Job) -> String {
    let identity = &job.file.drive.identity;
    let title = identity.title.as_ref().map_or_else(String::new, |title| format!(": {title}"));
    let revision =
        identity.revision.as_ref().map_or_else(String::new, |revision| format!(", revision {revision}"));
    format!("{}{title}{revision}\n\n", identity.name)
}
