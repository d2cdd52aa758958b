//! Text that is not saved yet, kept beside the drive file so that a power cut takes nothing.

use super::{Desk, values};
use crate::disk;
use crate::folder::Root;
use schema::{DriveFile, LARGEST_FILE_BYTES, read};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::fs;
use std::path::PathBuf;
use std::sync::Arc;
use std::time::{Duration, Instant};

/// How long a draft waits for further edits.
const PATIENCE: Duration = Duration::from_millis(200);
/// How long a draft waits that could not be written; a full disk may have room again.
const PAUSE: Duration = Duration::from_secs(2);
/// Number of the format of drafts.
const FORMAT: u32 = 1;

/// What a draft holds.
#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    format: u32,
    /// What the file is, for people who find it.
    remark: String,
    /// The text of the drive file that the edits began from.
    began_from: String,
    /// The text with the edits.
    text: String,
    /// Values that were changed both here and on the disk, and not yet chosen between.
    #[serde(default)]
    conflicts: BTreeSet<String>,
}

/// The draft of one drive file.
#[derive(Debug)]
pub struct Draft {
    root: Root,
    name: String,
    /// When it is to be written; nothing while it holds what is on the desk.
    due: Option<Instant>,
}

impl Draft {
    pub(super) fn of(root: &Root, name: &str) -> Self {
        Self { root: root.clone(), name: name.to_owned(), due: None }
    }

    /// The text changed.
    pub(super) fn touch(&mut self) {
        self.due.get_or_insert_with(|| Instant::now() + PATIENCE);
    }

    fn write(&mut self, began_from: &str, text: &str, conflicts: &BTreeSet<String>) {
        let kept = Kept {
            format: FORMAT,
            remark: "edits of lobewright that were not saved; they are taken up when the drive is opened, and this file goes when it is saved".to_owned(),
            began_from: began_from.to_owned(),
            text: text.to_owned(),
            conflicts: conflicts.clone(),
        };
        let is_kept = self.is_put(&kept);
        self.settle(is_kept);
    }

    /// What could not be done is tried again.
    fn settle(&mut self, is_done: bool) {
        self.due = (!is_done).then(|| Instant::now() + PAUSE);
    }

    fn is_put(&self, kept: &Kept) -> bool {
        let (Some(path), Ok(bytes)) = (self.path(), serde_json::to_vec_pretty(kept)) else { return false };
        let is_in_place = || self.root.in_place().is_ok();
        matches!(disk::replace_quietly(&path, &bytes, &is_in_place), Ok(true))
    }

    pub(super) fn remove(&mut self) {
        let Some(path) = self.path() else { return self.settle(false) };
        let is_there = fs::symlink_metadata(&path).is_ok();
        let is_removed = is_there && fs::remove_file(&path).is_ok();
        if is_removed {
            disk::sync_folder(path.parent().unwrap_or(&path));
        }
        self.settle(!is_there || is_removed);
    }

    /// Where it is kept, as long as the folder is in its place.
    fn path(&self) -> Option<PathBuf> {
        self.root.draft_path(&self.name).ok()
    }

    fn read(&self) -> Option<Kept> {
        let bytes = disk::read_plain(&self.path()?, 4 * LARGEST_FILE_BYTES as u64).ok()?;
        serde_json::from_slice::<Kept>(&bytes).ok().filter(|kept| kept.format == FORMAT)
    }

    fn is_there(&self) -> bool {
        self.path().is_some_and(|path| fs::symlink_metadata(path).is_ok())
    }

    /// Puts a draft aside that nobody can take up, so that it is not written over.
    fn put_aside(&self) {
        let Some(path) = self.path() else { return };
        let mut aside = path.clone().into_os_string();
        aside.push("-unread");
        let _ = fs::rename(path, aside);
    }
}

impl Desk {
    /// Whether there are edits that are neither saved nor kept in the draft.
    #[must_use]
    pub fn has_unkept_edits(&self) -> bool {
        self.has_edits() && self.draft.due.is_some()
    }

    /// Writes the draft if edits have rested long enough, or whatever rests where it is urgent; removes it where there is nothing to keep.
    pub fn keep_draft(&mut self, is_urgent: bool) {
        if !self.draft.due.is_some_and(|due| is_urgent || due <= Instant::now()) {
            return;
        }
        if self.has_edits() {
            self.draft.write(&self.saved.text, &self.history.file().text, &self.conflicts);
        } else {
            self.draft.remove();
        }
    }

    /// Whether the text is another one than that of the file, which may be gone.
    pub(super) fn has_edits(&self) -> bool {
        self.file().text != self.saved.text
    }

    /// Takes up edits of an earlier run that were not saved.
    pub(super) fn take_up_draft(&mut self) {
        if !self.draft.is_there() {
            return;
        }
        let Some((base, text, conflicts)) = self.kept() else {
            self.draft.put_aside();
            return;
        };
        if text.text == self.saved.text {
            self.draft.remove();
            return;
        }
        let words = "edits that were not saved, taken up again".to_owned();
        self.conflicts = conflicts;
        if base.text == self.saved.text {
            self.history.step(Arc::new(text), words);
        } else {
            let merged = values::merge(&base, &text, &self.saved);
            self.history.step(Arc::new(merged.file), words);
            self.conflicts.extend(merged.conflicts);
        }
        self.moved();
    }

    /// What the edits in the draft began from, the text with them, and what was not chosen between.
    fn kept(&self) -> Option<(DriveFile, DriveFile, BTreeSet<String>)> {
        let kept = self.draft.read()?;
        let drive = |text: &str| read(&self.name, text.as_bytes()).ok();
        Some((drive(&kept.began_from)?, drive(&kept.text)?, kept.conflicts))
    }
}
