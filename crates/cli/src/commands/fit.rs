//! `fit`: limits of size of holes and shafts, and clearance or interference of fits.

use crate::arguments::Fit;
use crate::exit::Exit;
use crate::failure::Failure;
use crate::terminal::Terminal;
use ::schema::FitsDocument;
use reducer::iso286::callout::Callout;
use sheet::Table;

/// Runs the command.
///
/// # Errors
/// [`Failure::Usage`] where a callout can not be read or its limits are not held.
pub fn run(arguments: &Fit, terminal: Terminal) -> Result<Exit, Failure> {
    let callouts = Callout::read_all(arguments.callouts.iter().map(String::as_str))
        .map_err(|error| Failure::Usage { message: error.to_string(), hint: error.hint() })?;
    if terminal.json {
        terminal.data(&FitsDocument::new(&callouts).to_json()?)?;
    } else {
        let mut tables = vec![sheet::limits_table(&callouts)];
        tables.extend(sheet::fits_table(&callouts));
        let text = |table: &Table| {
            format!("{}\n\n{}", table.title, table.text(terminal.width, terminal.data_coloured))
        };
        terminal.data(&tables.iter().map(text).collect::<Vec<_>>().join("\n"))?;
    }
    Ok(Exit::AllHold)
}
