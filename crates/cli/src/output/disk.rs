//! The few things a transaction asks of a file system, so that tests can make each of them fail.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write};
use std::path::Path;

/// What a transaction asks of a file system.
pub trait Disk {
    /// Writes a file that must not exist yet, and waits until the bytes are on the disk.
    ///
    /// # Errors
    /// Whatever the file system answers; the file may then exist in part.
    fn write_new(&mut self, path: &Path, bytes: &[u8]) -> io::Result<()>;

    /// Gives a file a second name, as a copy where the file system has no second names.
    ///
    /// # Errors
    /// Whatever the file system answers.
    fn keep_as(&mut self, path: &Path, second: &Path) -> io::Result<()>;

    /// Puts a file in the place of another in one step.
    ///
    /// # Errors
    /// Whatever the file system answers; both files are then as before.
    fn replace(&mut self, from: &Path, to: &Path) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// Whatever the file system answers.
    fn remove(&mut self, path: &Path) -> io::Result<()>;

    /// Waits until the names in a directory are on the disk, where a system can do that.
    fn settle(&mut self, directory: &Path);
}

/// The file system itself.
#[derive(Clone, Copy, Debug, Default)]
pub struct RealDisk;

impl Disk for RealDisk {
    fn write_new(&mut self, path: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
        file.write_all(bytes)?;
        file.sync_all()
    }

    fn keep_as(&mut self, path: &Path, second: &Path) -> io::Result<()> {
        if fs::hard_link(path, second).is_ok() {
            return Ok(());
        }
        let mut part = second.as_os_str().to_owned();
        part.push(".part");
        self.write_new(Path::new(&part), &fs::read(path)?)?;
        fs::rename(&part, second)
    }

    fn replace(&mut self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    fn remove(&mut self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn settle(&mut self, directory: &Path) {
        if let Ok(handle) = File::open(directory) {
            let _ = handle.sync_all();
        }
    }
}
