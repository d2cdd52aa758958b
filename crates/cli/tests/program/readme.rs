//! The README's session shows what the program really prints.

use crate::run::{program, root};

/// The words of a text with single blanks, so that the width of a column is no difference.
fn words(text: &str) -> String {
    text.split_whitespace().filter(|word| !word.starts_with('─')).collect::<Vec<_>>().join(" ")
}

/// Runs each `$ lobewright …` line of the README; the lines below it must appear in what it prints, in order.
#[test]
fn identity_the_session_in_the_readme_is_real() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let session = readme.split("```console\n").nth(1).and_then(|rest| rest.split("```").next()).unwrap();
    let mut printed = String::new();
    let mut commands = 0;
    for line in session.lines() {
        if let Some(command) = line.strip_prefix("$ lobewright ") {
            let arguments: Vec<&str> = command.split_whitespace().collect();
            let output = program(&arguments).output().unwrap();
            printed = words(&String::from_utf8(output.stdout).unwrap());
            commands += 1;
        } else if !line.trim().is_empty() && line.trim() != "…" {
            let line = words(line);
            let at = printed.find(&line).unwrap_or_else(|| panic!("not printed: {line}"));
            printed.drain(..at + line.len());
        }
    }
    assert!(commands >= 2);
}
