//! `explain`: what a check, formula, quantity, drive-file key or source means.

use crate::arguments::Explain;
use crate::exit::Exit;
use crate::failure::{Failure, MESSAGE_FORMAT, message_text};
use crate::terminal::Terminal;
use serde_json::json;
use sheet::explain::{all, find, in_words, nearest};
use std::fmt::Write;

/// Runs the command.
///
/// # Errors
/// [`Failure::Usage`] if nothing has that name.
pub fn run(arguments: &Explain, terminal: Terminal) -> Result<Exit, Failure> {
    match &arguments.name {
        None => list_all(terminal)?,
        Some(name) => explain(name, terminal)?,
    }
    Ok(Exit::AllHold)
}

fn explain(name: &str, terminal: Terminal) -> Result<(), Failure> {
    let found = find(name);
    if found.is_empty() {
        return Err(unknown(name));
    }
    if terminal.json {
        let document = json!({ "format": MESSAGE_FORMAT, "kind": "explanation", "entries": found });
        return terminal.data(&message_text(&document));
    }
    let texts: Vec<String> = found.iter().map(|entry| in_words(entry, terminal.width)).collect();
    terminal.data(&texts.join("\n"))
}

fn unknown(name: &str) -> Failure {
    let hint = match nearest(name) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "`lobewright explain` without a name lists all".to_owned(),
    };
    Failure::Usage { message: format!("nothing is called `{name}`"), hint }
}

fn list_all(terminal: Terminal) -> Result<(), Failure> {
    let entries = all();
    if terminal.json {
        let document = json!({ "format": MESSAGE_FORMAT, "kind": "explanation", "entries": entries });
        return terminal.data(&message_text(&document));
    }
    let mut text = String::new();
    let mut before = "";
    for entry in &entries {
        if entry.what != before {
            let gap = if before.is_empty() { "" } else { "\n" };
            let _ = writeln!(text, "{gap}{}", plural(entry.what));
            before = entry.what;
        }
        let title = entry.title.split('?').next().unwrap_or(&entry.title);
        let mark = if title.len() < entry.title.len() { "?" } else { "" };
        let _ = writeln!(text, "  {:<44} {title}{mark}", entry.name);
    }
    terminal.data(&text)
}

fn plural(what: &str) -> &'static str {
    match what {
        "check" => "Checks",
        "formula" => "Formulas",
        "quantity" => "Quantities",
        "key" => "Keys of the drive file",
        _ => "Sources",
    }
}
