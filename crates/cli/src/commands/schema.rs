//! `schema`: the JSON Schema of the drive file or of the results.

use crate::arguments::Schema;
use crate::exit::Exit;
use crate::failure::{Failure, message_text};
use crate::terminal::Terminal;

/// Runs the command.
///
/// # Errors
/// [`Failure::Print`].
pub fn run(arguments: &Schema, terminal: Terminal) -> Result<Exit, Failure> {
    let schema = if arguments.results { ::schema::results_schema() } else { ::schema::json_schema() };
    terminal.data(&message_text(&schema))?;
    Ok(Exit::AllHold)
}
