//! The example drives: each must read without a word.

#![allow(clippy::unwrap_used, reason = "a test may stop where it stands")]

use schema::{Colour, read};
use std::path::{Path, PathBuf};

/// Paths of the drive files of a folder under the root of the repository, in order of name.
fn drive_files(folder: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(folder);
    let entries = std::fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path());
    let mut paths: Vec<_> =
        entries.filter(|path| path.extension().is_some_and(|kind| kind == "toml")).collect();
    paths.sort();
    paths
}

#[test]
fn identity_every_example_reads_without_error_or_caution() {
    let paths = drive_files("examples");
    assert!(!paths.is_empty());
    for path in paths {
        let name = path.file_name().unwrap().to_str().unwrap().to_owned();
        let file = read(&name, &std::fs::read(&path).unwrap()).unwrap_or_else(|wrong| panic!("\n{wrong}"));
        assert!(file.cautions.is_empty(), "\n{}", file.cautions.render(Colour::Plain));
        assert_eq!(name, format!("{}.toml", file.drive.identity.name));
    }
}
