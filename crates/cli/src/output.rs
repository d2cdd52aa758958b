//! Output files: all of a run appear whole or none does, and nothing that is not ours is overwritten.
//!
//! A run writes its files under hidden names, waits until they are on the disk, and only then puts
//! them in place, the manifest last. Until the marker of the manifest is gone, the older files stay
//! beside the new ones, so that a failure, or the next run after a power cut, can put them back.

pub mod disk;
pub mod manifest;
mod obstacle;
mod transaction;

use crate::failure::Failure;
use crate::interrupt;
use disk::{Disk, RealDisk};
use manifest::{Entry, Manifest};
pub use obstacle::Obstacle;
use std::fs::{self, File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};
use transaction::Transaction;

/// Program and version, as the manifest names them.
const PROGRAM: &str = concat!("lobewright ", env!("CARGO_PKG_VERSION"));

/// A file to be written.
#[derive(Clone, Debug)]
pub struct OutputFile {
    /// Its name within the directory.
    pub name: String,
    /// Its bytes.
    pub bytes: Vec<u8>,
}

impl From<exchange::NamedFile> for OutputFile {
    fn from(file: exchange::NamedFile) -> Self {
        Self { name: file.name, bytes: file.bytes }
    }
}

/// What may be overwritten.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Overwrite {
    /// Files that this program wrote and nobody changed since.
    OwnFiles,
    /// Any file; links and directories are still refused.
    Forced,
}

/// What a run left in the directory.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Written {
    /// Files of earlier runs, made from another state of the drive file, that this run did not write anew.
    pub outdated: Vec<String>,
}

/// Why nothing was written.
#[derive(Debug, thiserror::Error)]
pub enum OutputError {
    /// Files stand in the way.
    #[error("{}", obstacle::list(.obstacles))]
    Refused {
        /// Each file that stands in the way, and why.
        obstacles: Vec<(PathBuf, Obstacle)>,
    },
    /// Another run writes into the same directory.
    #[error("another run is writing into `{}`", .directory.display())]
    Busy {
        /// The directory.
        directory: PathBuf,
    },
    /// The file system refused.
    #[error("could not write `{}`: {source}", .path.display())]
    Disk {
        /// The file or directory that was to be written.
        path: PathBuf,
        /// What the file system answered.
        source: io::Error,
    },
}

/// Standard output takes one document, not results as JSON and a table as CSV.
///
/// # Errors
/// [`Failure::Usage`] where both are asked for.
pub fn refuse_two_streams(json: bool, csv: Option<&Path>) -> Result<(), Failure> {
    if !json || csv != Some(Path::new("-")) {
        return Ok(());
    }
    Err(Failure::Usage {
        message: "`--json` and `--csv -` both print to standard output".to_owned(),
        hint: "leave `--json` out, or name a file after `--csv`".to_owned(),
    })
}

/// Writes the files of a run and the manifest that lists them, all or none.
///
/// # Errors
/// [`OutputError`]; the directory is then as it was before.
pub fn write_set(
    directory: &Path,
    drive_file_sha256: &str,
    files: Vec<OutputFile>,
    overwrite: Overwrite,
) -> Result<Written, OutputError> {
    write_set_on(&mut RealDisk, directory, drive_file_sha256, files, overwrite)
}

/// Writes one file that the user named, whole or not at all.
///
/// In a directory with a manifest the file goes on it; elsewhere no manifest is begun.
///
/// # Errors
/// [`OutputError`]; the directory is then as it was before.
pub fn write_result(
    path: &Path,
    drive_file_sha256: &str,
    bytes: Vec<u8>,
    overwrite: Overwrite,
) -> Result<Written, OutputError> {
    let (directory, name) = split(path)?;
    if read_manifest(&directory).is_some() {
        return write_set(&directory, drive_file_sha256, vec![OutputFile { name, bytes }], overwrite);
    }
    write_alone(path, &bytes, overwrite).map(|()| Written::default())
}

/// Writes one file that the user will edit, whole or not at all; no manifest knows of it.
///
/// # Errors
/// [`OutputError`]; the directory is then as it was before.
pub fn write_alone(path: &Path, bytes: &[u8], overwrite: Overwrite) -> Result<(), OutputError> {
    let (directory, name) = split(path)?;
    let created = create_directory(&directory)?;
    let file = OutputFile { name, bytes: bytes.to_vec() };
    let done = (|| {
        let _lock = lock(&directory)?;
        let mut disk = RealDisk;
        let mut transaction = Transaction::begin(&directory, &mut disk)?;
        refuse_obstacles(&directory, std::slice::from_ref(&file), None, overwrite)?;
        transaction.write_single(&file)
    })();
    finish(&created, done)
}

/// [`write_set`] on a file system that tests can make fail.
fn write_set_on(
    disk: &mut dyn Disk,
    directory: &Path,
    drive_file_sha256: &str,
    files: Vec<OutputFile>,
    overwrite: Overwrite,
) -> Result<Written, OutputError> {
    let created = create_directory(directory)?;
    let done = (|| {
        let _lock = lock(directory)?;
        let mut transaction = Transaction::begin(directory, disk)?;
        let earlier = read_manifest(directory);
        let (set, written) = complete_set(directory, earlier.as_ref(), drive_file_sha256, files);
        refuse_obstacles(directory, &set, earlier.as_ref(), overwrite)?;
        transaction.write_set(&set)?;
        Ok(written)
    })();
    finish(&created, done)
}

/// The files with the manifest behind them, and what stays of earlier runs.
fn complete_set(
    directory: &Path,
    earlier: Option<&Manifest>,
    drive_file_sha256: &str,
    files: Vec<OutputFile>,
) -> (Vec<OutputFile>, Written) {
    let mut manifest = earlier.cloned().unwrap_or_else(Manifest::new);
    manifest.files.retain(|entry| directory.join(&entry.name).is_file());
    for file in &files {
        manifest.put(Entry {
            name: file.name.clone(),
            bytes: file.bytes.len() as u64,
            sha256: manifest::sha256_hex(&file.bytes),
            drive_file_sha256: drive_file_sha256.to_owned(),
            program: PROGRAM.to_owned(),
        });
    }
    let outdated = manifest.files.iter().filter(|entry| entry.drive_file_sha256 != drive_file_sha256);
    let written = Written { outdated: outdated.map(|entry| entry.name.clone()).collect() };
    let manifest_file = OutputFile { name: manifest::FILE_NAME.to_owned(), bytes: manifest.to_bytes() };
    let mut set = files;
    set.push(manifest_file);
    (set, written)
}

/// Refuses all files that stand in the way at once.
fn refuse_obstacles(
    directory: &Path,
    files: &[OutputFile],
    earlier: Option<&Manifest>,
    overwrite: Overwrite,
) -> Result<(), OutputError> {
    let in_the_way = |file: &OutputFile| {
        let path = directory.join(&file.name);
        let obstacle = obstacle::find(&path, file, earlier)?;
        (overwrite == Overwrite::OwnFiles || !obstacle.yields_to_force()).then_some((path, obstacle))
    };
    let obstacles: Vec<(PathBuf, Obstacle)> = files.iter().filter_map(in_the_way).collect();
    if obstacles.is_empty() { Ok(()) } else { Err(OutputError::Refused { obstacles }) }
}

/// Directory and name of a path.
fn split(path: &Path) -> Result<(PathBuf, String), OutputError> {
    let no_name = || {
        let source = io::Error::new(io::ErrorKind::InvalidInput, "the path does not end in a file name");
        OutputError::Disk { path: path.to_owned(), source }
    };
    let name = path.file_name().and_then(|name| name.to_str()).ok_or_else(no_name)?;
    let directory = match path.parent() {
        Some(parent) if parent != Path::new("") => parent.to_owned(),
        _ => PathBuf::from("."),
    };
    Ok((directory, name.to_owned()))
}

/// Creates a directory with those above it; returns the ones that were not there, outermost first.
fn create_directory(directory: &Path) -> Result<Vec<PathBuf>, OutputError> {
    let missing = directory.ancestors().take_while(|path| *path != Path::new("") && !path.exists());
    let mut created: Vec<PathBuf> = missing.map(Path::to_owned).collect();
    created.reverse();
    let mut list = interrupt::unfinished();
    list.add_directories(&created);
    fs::create_dir_all(directory).map_err(|source| {
        remove_directories(&created);
        OutputError::Disk { path: directory.to_owned(), source }
    })?;
    Ok(created)
}

fn remove_directories(created: &[PathBuf]) {
    for directory in created.iter().rev() {
        let _ = fs::remove_dir(directory);
    }
}

/// Takes the run off the list of unfinished ones; a failed run takes its directories with it.
fn finish<T>(created: &[PathBuf], done: Result<T, OutputError>) -> Result<T, OutputError> {
    let mut list = interrupt::unfinished();
    if done.is_err() {
        remove_directories(created);
    }
    list.clear();
    done
}

/// The lock of a directory, so that two runs do not mix their files; `None` where a system has no such lock.
fn lock(directory: &Path) -> Result<Option<File>, OutputError> {
    let Ok(handle) = File::open(directory) else {
        return Ok(None);
    };
    match handle.try_lock() {
        Ok(()) => Ok(Some(handle)),
        Err(TryLockError::WouldBlock) => Err(OutputError::Busy { directory: directory.to_owned() }),
        Err(TryLockError::Error(_)) => Ok(None),
    }
}

fn read_manifest(directory: &Path) -> Option<Manifest> {
    Manifest::parse(&fs::read(directory.join(manifest::FILE_NAME)).ok()?)
}

#[cfg(test)]
mod tests;
