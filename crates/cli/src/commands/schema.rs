//! `schema`: the JSON Schema of the drive file or of a document that `--json` prints.

use crate::arguments::Schema;
use crate::exit::Exit;
use crate::failure::{Failure, message_text};
use crate::terminal::Terminal;

/// Runs the command.
///
/// # Errors
/// [`Failure::Print`].
pub fn run(arguments: &Schema, terminal: Terminal) -> Result<Exit, Failure> {
    let schema = arguments.results.map_or_else(::schema::json_schema, |document| document.kind().schema());
    terminal.data(&message_text(&schema))?;
    Ok(Exit::AllHold)
}
