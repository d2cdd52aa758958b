//! A drive on the desk: its text with undo and redo, edits, what is unsaved, and how the disk stands to it.

mod draft;
mod form;
mod step;
#[cfg(test)]
mod tests;
mod values;
mod watch;

pub use draft::Draft;
pub use values::{differences, values};

use crate::api;
use crate::disk::{self, Point};
use crate::folder::{FolderError, Root, Stamp};
use crate::office::first_count;
use schema::{Diagnostics, DriveFile, Edit};
use std::collections::BTreeSet;
use std::sync::Arc;
use step::History;

/// Why the desk did not do what was asked.
#[derive(Debug, thiserror::Error)]
pub enum DeskError {
    /// The file cannot be had.
    #[error(transparent)]
    Folder(#[from] FolderError),
    /// The text would be, or is, no drive file.
    #[error("{0}")]
    Refused(Box<Diagnostics>),
    /// There is nothing to take back, or to do again.
    #[error("there is nothing to {what}")]
    Nothing {
        /// `undo` or `redo`.
        what: &'static str,
    },
    /// The file on the disk is another one than the desk knows.
    #[error("`{name}` was changed on the disk meanwhile; nothing was written")]
    DiskChanged {
        /// Its name.
        name: String,
    },
    /// The file on the disk is no drive file now, and may be somebody's work all the same.
    #[error("`{name}` on the disk is no drive file now; nothing was written")]
    Unreadable {
        /// Its name.
        name: String,
    },
    /// Keys that both sides changed are not settled yet.
    #[error("{count} values were changed both here and on the disk; choose which hold, then save")]
    Conflict {
        /// How many.
        count: usize,
    },
    /// The file could not be written.
    #[error("`{name}` could not be written: {source}")]
    NotWritten {
        /// Its name.
        name: String,
        /// What the file system answered.
        source: std::io::Error,
    },
}

impl From<Diagnostics> for DeskError {
    fn from(diagnostics: Diagnostics) -> Self {
        Self::Refused(Box::new(diagnostics))
    }
}

/// How the file on the disk stands to the one that the text began from.
#[derive(Debug)]
enum OnDisk {
    /// As the desk knows it.
    Known,
    /// It is no drive file now.
    Unreadable(Box<Diagnostics>),
    /// It cannot be had at all.
    Gone,
}

/// A drive that is being worked on.
#[derive(Debug)]
pub struct Desk {
    root: Root,
    name: String,
    history: History,
    generation: u64,
    /// The file on the disk, as far as the desk knows it.
    saved: Arc<DriveFile>,
    stamp: Option<Stamp>,
    on_disk: OnDisk,
    /// Values that both sides changed; those of the desk are in the text. They outlast a file that cannot be read for a while.
    conflicts: BTreeSet<String>,
    draft: Draft,
}

impl Desk {
    /// Opens a drive file; a draft of earlier edits that were not saved is taken up again.
    ///
    /// # Errors
    /// Where the file cannot be had, or is no drive file.
    pub fn open(root: &Root, name: &str) -> Result<Self, DeskError> {
        let found = root.read(name)?;
        disk::clear_unfinished(&found.path);
        let saved = Arc::new(schema::read(name, &found.bytes)?);
        let mut desk = Self {
            root: root.clone(),
            name: name.to_owned(),
            history: History::begin(saved.clone()),
            generation: first_count(),
            saved,
            stamp: Some(found.stamp),
            on_disk: OnDisk::Known,
            conflicts: BTreeSet::new(),
            draft: Draft::of(root, name),
        };
        desk.take_up_draft();
        Ok(desk)
    }

    /// The drive as it stands.
    #[must_use]
    pub fn file(&self) -> &Arc<DriveFile> {
        self.history.file()
    }

    /// Counts the states of the text.
    #[must_use]
    pub fn generation(&self) -> u64 {
        self.generation
    }

    /// Whether the text is that of the file on the disk.
    #[must_use]
    pub fn is_saved(&self) -> bool {
        !self.has_edits() && !matches!(self.on_disk, OnDisk::Gone)
    }

    /// Everything that a page shows of the desk.
    #[must_use]
    pub fn page(&self) -> api::Desk {
        let file = self.file();
        let identity = &file.drive.identity;
        api::Desk {
            file: self.name.clone(),
            generation: self.generation,
            sha256: file.sha256.clone(),
            title: identity.title.clone().unwrap_or_else(|| identity.name.clone()),
            is_saved: self.is_saved(),
            undo: self.history.undo_words(),
            redo: self.history.redo_words(),
            unsaved: differences(&self.saved, file),
            disk: self.disk_state(),
            cautions: file.cautions.located(),
            form: form::form(file, &self.saved),
        }
    }

    fn disk_state(&self) -> api::DiskState {
        match &self.on_disk {
            OnDisk::Unreadable(problems) => api::DiskState::Unreadable { problems: problems.located() },
            OnDisk::Gone => api::DiskState::Gone,
            OnDisk::Known if self.conflicts.is_empty() => api::DiskState::Unchanged,
            OnDisk::Known => api::DiskState::Conflict {
                values: self
                    .conflicts
                    .iter()
                    .map(|path| api::ConflictingValue {
                        path: path.clone(),
                        desk: values::reading(self.file(), path),
                        disk: values::reading(&self.saved, path),
                    })
                    .collect(),
            },
        }
    }

    /// Makes all changes, or none.
    ///
    /// # Errors
    /// [`DeskError::Refused`] with what is wrong; the desk is then as it was.
    pub fn edit(&mut self, changes: &[Edit], continues: bool) -> Result<(), DeskError> {
        let changed = self.file().edited(changes)?;
        if changed.text == self.file().text {
            return Ok(());
        }
        let paths: Vec<String> = changes.iter().map(|edit| edit.path().to_owned()).collect();
        self.history.edit(Arc::new(changed), paths, continues);
        self.moved();
        Ok(())
    }

    /// Takes the last step back.
    ///
    /// # Errors
    /// [`DeskError::Nothing`].
    pub fn undo(&mut self) -> Result<(), DeskError> {
        if !self.history.undo() {
            return Err(DeskError::Nothing { what: "undo" });
        }
        self.moved();
        Ok(())
    }

    /// Does the step again that was taken back last.
    ///
    /// # Errors
    /// [`DeskError::Nothing`].
    pub fn redo(&mut self) -> Result<(), DeskError> {
        if !self.history.redo() {
            return Err(DeskError::Nothing { what: "redo" });
        }
        self.moved();
        Ok(())
    }

    /// Goes back to the file on the disk, as a step that can be taken back.
    ///
    /// # Errors
    /// Where that file cannot be had, or is no drive file.
    pub fn revert(&mut self) -> Result<(), DeskError> {
        let found = self.root.read(&self.name)?;
        let disk = Arc::new(schema::read(&self.name, &found.bytes)?);
        self.stamp = Some(found.stamp);
        self.saved = disk.clone();
        self.on_disk = OnDisk::Known;
        self.conflicts.clear();
        if disk.text == self.file().text {
            self.draft.touch();
        } else {
            self.history.step(disk, "back to the file on the disk".to_owned());
            self.moved();
        }
        Ok(())
    }

    /// Ends a conflict: of the values that both sides changed those named hold as on the desk, the others as on the disk.
    ///
    /// # Errors
    /// What is wrong with the whole that comes of it; the desk is then as it was.
    pub fn resolve(&mut self, keep_desk: &[String]) -> Result<(), DeskError> {
        if self.conflicts.is_empty() {
            return Ok(());
        }
        let resolved = values::resolved(self.file(), &self.saved, &self.conflicts, keep_desk)?;
        self.conflicts.clear();
        if resolved.text != self.file().text {
            self.history.step(Arc::new(resolved), "choice between desk and disk".to_owned());
        }
        self.moved();
        Ok(())
    }

    /// Writes the text to the disk; whatever happens, the file there is the old or the new one.
    ///
    /// # Errors
    /// Where the disk changed meanwhile, conflicts are open, or it could not be written.
    pub fn save(&mut self) -> Result<(), DeskError> {
        disk::pass(Point::Begun);
        self.root.in_place()?;
        let (known, was_gone) = (self.saved.sha256.clone(), matches!(self.on_disk, OnDisk::Gone));
        // Time and size may be the same by chance, so this time the text itself is compared.
        self.stamp = None;
        self.check_disk();
        let is_gone_now = !was_gone && matches!(self.on_disk, OnDisk::Gone);
        if is_gone_now || self.saved.sha256 != known {
            return Err(DeskError::DiskChanged { name: self.name.clone() });
        }
        match &self.on_disk {
            OnDisk::Unreadable(_) => return Err(DeskError::Unreadable { name: self.name.clone() }),
            OnDisk::Known if !self.conflicts.is_empty() => {
                return Err(DeskError::Conflict { count: self.conflicts.len() });
            }
            // A file that is known to be gone holds no value of others that could be lost.
            OnDisk::Known | OnDisk::Gone => {}
        }
        if self.is_saved() {
            self.draft.remove();
            return Ok(());
        }
        self.put()
    }

    /// Puts the text in the place of the file as the desk knows it.
    fn put(&mut self) -> Result<(), DeskError> {
        // Until the new file is in place the draft holds what would be lost.
        self.draft.touch();
        self.keep_draft(true);
        let path = match self.on_disk {
            OnDisk::Gone => self.root.place(&self.name)?,
            // One that cannot be read may hold anything, and the answer says why it cannot.
            _ => self.root.read(&self.name)?.path,
        };
        let file = self.file().clone();
        let is_as_known = || self.root.in_place().is_ok() && self.root.stamp(&self.name).ok() == self.stamp;
        match disk::replace(&path, file.text.as_bytes(), &is_as_known) {
            Ok(true) => {}
            Ok(false) => return Err(DeskError::DiskChanged { name: self.name.clone() }),
            Err(source) => return Err(DeskError::NotWritten { name: self.name.clone(), source }),
        }
        self.saved = file;
        self.on_disk = OnDisk::Known;
        self.conflicts.clear();
        // Somebody else may have saved directly after us, so the next look compares the text itself.
        self.stamp = None;
        self.draft.remove();
        disk::pass(Point::DraftRemoved);
        Ok(())
    }

    /// A new state of the text.
    fn moved(&mut self) {
        self.generation += 1;
        self.drop_settled_conflicts();
        self.draft.touch();
    }
}
