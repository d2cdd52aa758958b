//! What the tests of this crate share: the drive files of the repository.

use std::path::{Path, PathBuf};

/// Paths of the drive files of a folder under the root of the repository, in order of name.
pub fn drive_files(folder: &str) -> Vec<PathBuf> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").join(folder);
    let entries = std::fs::read_dir(root).unwrap().map(|entry| entry.unwrap().path());
    let mut paths: Vec<_> =
        entries.filter(|path| path.extension().is_some_and(|kind| kind == "toml")).collect();
    paths.sort();
    assert!(!paths.is_empty());
    paths
}

/// Name of a file without its folders, as tests give it to the reader: no path of the machine.
pub fn file_name(path: &Path) -> String {
    path.file_name().unwrap().to_str().unwrap().to_owned()
}

/// Bytes of an example of the repository.
pub fn example(name: &str) -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name)).unwrap()
}
