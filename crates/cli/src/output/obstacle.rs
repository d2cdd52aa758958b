//! What may stand where a file is to be written, and whether it may be overwritten.

use super::OutputFile;
use super::manifest::{self, Manifest};
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};

/// Why a file must not be overwritten.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// A file of that name exists, and the manifest does not know it.
    NotOurs,
    /// This program wrote the file, and somebody changed it since.
    Changed,
    /// A link, which may lead anywhere.
    Link,
    /// A directory.
    Directory,
    /// A device, pipe or the like, or a file that can not be read.
    Special,
}

impl Obstacle {
    /// Whether `--force` overwrites it.
    #[must_use]
    pub fn yields_to_force(self) -> bool {
        matches!(self, Self::NotOurs | Self::Changed)
    }

    /// The obstacle in words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::NotOurs => "exists and is not on the manifest",
            Self::Changed => "was changed since it was written",
            Self::Link => "is a symbolic link",
            Self::Directory => "is a directory",
            Self::Special => "is not an ordinary file that can be read",
        }
    }
}

/// What stands in the way of a file; a file with the very same bytes does not.
pub fn find(path: &Path, file: &OutputFile, earlier: Option<&Manifest>) -> Option<Obstacle> {
    let kind = fs::symlink_metadata(path).ok()?.file_type();
    if kind.is_symlink() {
        return Some(Obstacle::Link);
    }
    if kind.is_dir() {
        return Some(Obstacle::Directory);
    }
    if !kind.is_file() {
        return Some(Obstacle::Special);
    }
    let Ok(present) = fs::read(path) else {
        return Some(Obstacle::Special);
    };
    if present == file.bytes {
        return None;
    }
    if file.name == manifest::FILE_NAME {
        return if Manifest::parse(&present).is_some() { None } else { Some(Obstacle::NotOurs) };
    }
    match earlier.and_then(|manifest| manifest.entry(&file.name)) {
        None => Some(Obstacle::NotOurs),
        Some(entry) if entry.sha256 != manifest::sha256_hex(&present) => Some(Obstacle::Changed),
        Some(_) => None,
    }
}

/// The message about all obstacles.
pub fn list(obstacles: &[(PathBuf, Obstacle)]) -> String {
    let mut text = "nothing was written, because these stand in the way:".to_owned();
    for (path, obstacle) in obstacles {
        let _ = write!(text, "\n  `{}` {}", path.display(), obstacle.words());
    }
    text
}
