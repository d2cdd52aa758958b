//! `new`: a drive file to start from.

use crate::arguments::New;
use crate::exit::Exit;
use crate::failure::{Failure, MESSAGE_FORMAT, message_text};
use crate::output::{self, Overwrite};
use crate::terminal::Terminal;
use serde_json::json;
use std::path::{Path, PathBuf};

/// Runs the command.
///
/// # Errors
/// A name that can not be one, or what could not be written.
pub fn run(arguments: &New, overwrite: Overwrite, terminal: Terminal) -> Result<Exit, Failure> {
    if !::schema::is_valid_name(&arguments.name) {
        return Err(Failure::Usage {
            message: format!("`{}` can not be the name of a drive", arguments.name),
            hint: "letters, digits and hyphens, as it becomes part of file names".to_owned(),
        });
    }
    let text = ::schema::template(&arguments.name);
    let path = arguments.out.clone().unwrap_or_else(|| PathBuf::from(format!("{}.toml", arguments.name)));
    if path == Path::new("-") {
        terminal.data(&text)?;
        return Ok(Exit::AllHold);
    }
    output::write_alone(&path, text.as_bytes(), overwrite)?;
    let name = path.display().to_string();
    if terminal.json {
        let document = json!({ "format": MESSAGE_FORMAT, "kind": "files", "files": [name], "outdated": [] });
        terminal.data(&message_text(&document))?;
    } else {
        terminal.talk(&format!("wrote {name}"));
    }
    Ok(Exit::AllHold)
}
