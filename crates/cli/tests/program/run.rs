//! Runs the program and keeps what it printed.

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The drive that most tests use.
pub const SHOULDER: &str = "examples/orchard-arm-shoulder.toml";

/// What a run printed and how it ended.
pub struct Run {
    pub code: Option<i32>,
    pub data: String,
    pub talk: String,
}

impl Run {
    /// Both streams and the exit code, for snapshots of the whole.
    pub fn whole(&self) -> String {
        format!("exit code {:?}\n--- data\n{}--- talk\n{}", self.code.unwrap_or(-1), self.data, self.talk)
    }

    /// Standard output as JSON.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_str(&self.data).unwrap_or_else(|error| panic!("{error}: {}", self.whole()))
    }
}

/// The root of the repository.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// The program, to be run at the root of the repository without a word from the environment about colour.
pub fn program(arguments: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_lobewright"));
    command.args(arguments).current_dir(root()).env_remove("NO_COLOR").stdin(Stdio::null());
    command
}

/// Runs the program to its end.
pub fn run(arguments: &[&str]) -> Run {
    finish(program(arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap())
}

/// Runs the program with a text on its standard input.
pub fn run_with_input(arguments: &[&str], input: &str) -> Run {
    let mut command = program(arguments);
    let mut child =
        command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
    // A program that refuses its flags does not read; the pipe is then closed on us, which is no matter.
    let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
    finish(child)
}

fn finish(child: std::process::Child) -> Run {
    let output = child.wait_with_output().unwrap();
    Run {
        code: output.status.code(),
        data: String::from_utf8(output.stdout).unwrap(),
        talk: String::from_utf8(output.stderr).unwrap(),
    }
}

/// The text of the shoulder drive with one value changed; the line must be there.
pub fn shoulder_with(line: &str, changed: &str) -> String {
    let text = std::fs::read_to_string(root().join(SHOULDER)).unwrap();
    assert!(text.contains(line), "{SHOULDER} has no line {line}");
    text.replace(line, changed)
}

/// All drive files of a folder of the repository, as paths from its root.
pub fn drive_files(folder: &str) -> Vec<String> {
    let entries = std::fs::read_dir(root().join(folder)).unwrap();
    let names = entries.map(|entry| entry.unwrap().file_name().into_string().unwrap());
    let mut paths: Vec<String> =
        names.filter(|name| name.ends_with(".toml")).map(|name| format!("{folder}/{name}")).collect();
    paths.sort();
    paths
}
