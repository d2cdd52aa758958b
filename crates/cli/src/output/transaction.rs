//! Putting a set of files in place so that at every moment either the old or the new set can be had.
//!
//! Hidden names beside a file `x`: `.lobewright-x.part` is the new content, `.lobewright-x.old` the
//! old content kept aside, `.lobewright-x.new` an empty marker that there was no old content. The
//! marker of the manifest is made last and removed first: as long as it is there, the old set holds.

use super::disk::Disk;
use super::manifest;
use super::{OutputError, OutputFile};
use crate::interrupt;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

const PREFIX: &str = ".lobewright-";
const PART: &str = ".part";
const OLD: &str = ".old";
const NEW: &str = ".new";

/// Writing into one directory, begun by clearing up after a run that was cut off.
pub struct Transaction<'a> {
    directory: &'a Path,
    disk: &'a mut dyn Disk,
}

impl<'a> Transaction<'a> {
    /// Begins in a directory that this run has locked.
    ///
    /// # Errors
    /// [`OutputError::Disk`] if what an earlier run left can not be cleared up.
    pub fn begin(directory: &'a Path, disk: &'a mut dyn Disk) -> Result<Self, OutputError> {
        let mut transaction = Self { directory, disk };
        let _list = interrupt::unfinished();
        match transaction.restore() {
            Ok(()) => Ok(transaction),
            Err(source) => Err(OutputError::Disk { path: directory.to_owned(), source }),
        }
    }

    /// Writes the set, its last file being the manifest.
    ///
    /// # Errors
    /// [`OutputError::Disk`]; the directory then holds the old set.
    pub fn write_set(&mut self, files: &[OutputFile]) -> Result<(), OutputError> {
        self.write_parts(files)?;
        let _list = interrupt::unfinished();
        let placed = files.iter().try_for_each(|file| self.keep_old(&file.name));
        let placed = placed.and_then(|()| files.iter().try_for_each(|file| self.place(&file.name)));
        placed.and_then(|()| self.forget_old(files)).inspect_err(|_| self.give_up())?;
        Ok(())
    }

    /// Writes a file without a manifest.
    ///
    /// # Errors
    /// [`OutputError::Disk`]; the file is then as it was.
    pub fn write_single(&mut self, file: &OutputFile) -> Result<(), OutputError> {
        self.write_parts(std::slice::from_ref(file))?;
        let _list = interrupt::unfinished();
        self.place(&file.name).inspect_err(|_| self.give_up())?;
        self.disk.settle(self.directory);
        Ok(())
    }

    /// Writes the new content of all files beside the old.
    fn write_parts(&mut self, files: &[OutputFile]) -> Result<(), OutputError> {
        for file in files {
            let part = self.hidden(&file.name, PART);
            let mut list = interrupt::unfinished();
            list.add_file(&part);
            if let Err(source) = self.disk.write_new(&part, &file.bytes) {
                self.give_up();
                return Err(OutputError::Disk { path: self.directory.join(&file.name), source });
            }
        }
        Ok(())
    }

    /// Keeps the old content of a file aside, or a marker that there was none.
    fn keep_old(&mut self, name: &str) -> Result<(), OutputError> {
        let path = self.directory.join(name);
        let kept = if path.exists() {
            let old = self.hidden(name, OLD);
            self.disk.keep_as(&path, &old)
        } else {
            let marker = self.hidden(name, NEW);
            self.disk.write_new(&marker, b"")
        };
        kept.map_err(|source| OutputError::Disk { path, source })
    }

    /// Puts the new content in the place of the old.
    fn place(&mut self, name: &str) -> Result<(), OutputError> {
        let path = self.directory.join(name);
        self.disk
            .replace(&self.hidden(name, PART), &path)
            .map_err(|source| OutputError::Disk { path, source })
    }

    /// Drops the old set, the manifest's first: from then on the new set holds.
    fn forget_old(&mut self, files: &[OutputFile]) -> Result<(), OutputError> {
        self.disk.settle(self.directory);
        let kept = |name: &str| {
            [OLD, NEW].map(|ending| self.hidden(name, ending)).into_iter().find(|path| path.exists())
        };
        let mut left: Vec<PathBuf> = files.iter().rev().filter_map(|file| kept(&file.name)).collect();
        let marker = left.remove(0);
        self.disk.remove(&marker).map_err(|source| OutputError::Disk { path: marker, source })?;
        self.disk.settle(self.directory);
        // What can not be removed now is removed by the next run; the new set holds already.
        for path in left {
            let _ = self.disk.remove(&path);
        }
        Ok(())
    }

    /// Puts the old set back as far as the disk lets us; the next run does the rest.
    fn give_up(&mut self) {
        let _ = self.restore();
    }

    /// Puts the old set back if a run was cut off before its new set held, and removes what is left over.
    fn restore(&mut self) -> io::Result<()> {
        let mut left = self.left_over();
        let names_manifest = |path: &PathBuf| {
            [OLD, NEW].iter().any(|ending| *path == self.hidden(manifest::FILE_NAME, ending))
        };
        let holds_old = left.iter().any(names_manifest);
        // The manifest's marker goes last, so that being cut off here again changes nothing.
        left.sort_by_key(|path| (names_manifest(path), path.clone()));
        left.iter().try_for_each(|path| self.restore_one(path, holds_old))
    }

    fn restore_one(&mut self, path: &Path, holds_old: bool) -> io::Result<()> {
        let Some((name, ending)) = parse_hidden(path) else {
            return Ok(());
        };
        let target = self.directory.join(name);
        match ending {
            OLD if holds_old => {
                self.disk.replace(path, &target)?;
                // Two names of one file stay as they are when one replaces the other.
                if path.exists() { self.disk.remove(path) } else { Ok(()) }
            }
            NEW if holds_old && target.exists() => {
                self.disk.remove(&target)?;
                self.disk.remove(path)
            }
            _ => self.disk.remove(path),
        }
    }

    /// The hidden files of the directory.
    fn left_over(&self) -> Vec<PathBuf> {
        let Ok(entries) = fs::read_dir(self.directory) else {
            return Vec::new();
        };
        let paths = entries.filter_map(|entry| Some(entry.ok()?.path()));
        paths.filter(|path| parse_hidden(path).is_some()).collect()
    }

    fn hidden(&self, name: &str, ending: &str) -> PathBuf {
        self.directory.join(format!("{PREFIX}{name}{ending}"))
    }
}

/// The visible name and the ending of a hidden file of ours.
fn parse_hidden(path: &Path) -> Option<(&str, &'static str)> {
    let rest = path.file_name()?.to_str()?.strip_prefix(PREFIX)?;
    [PART, OLD, NEW].iter().find_map(|ending| Some((rest.strip_suffix(ending)?, *ending)))
}
