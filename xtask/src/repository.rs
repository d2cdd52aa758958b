//! Where the repository is, and running programs in it.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The root of the repository.
#[must_use]
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().map_or_else(|| PathBuf::from("."), Path::to_owned)
}

/// A program that runs at the root of the repository.
#[must_use]
pub fn program(name: impl AsRef<std::ffi::OsStr>, arguments: &[&str]) -> Command {
    let mut command = Command::new(name);
    command.args(arguments).current_dir(root());
    command
}

/// Cargo, the same one that runs this task.
#[must_use]
pub fn cargo(arguments: &[&str]) -> Command {
    program(std::env::var_os("CARGO").unwrap_or_else(|| "cargo".into()), arguments)
}

/// Runs a program and gives what it printed, on both streams.
///
/// # Errors
/// What it printed, if it can not be started or ends with an error.
pub fn printed(command: &mut Command) -> Result<String, String> {
    let name = command.get_program().to_string_lossy().into_owned();
    let output = command.output().map_err(|error| format!("could not start {name}: {error}"))?;
    let text = both_streams(&output);
    if output.status.success() { Ok(text) } else { Err(text) }
}

fn both_streams(output: &Output) -> String {
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).trim_end().to_owned();
    let (out, talk) = (text(&output.stdout), text(&output.stderr));
    if out.is_empty() || talk.is_empty() { out + &talk } else { format!("{out}\n{talk}") }
}
