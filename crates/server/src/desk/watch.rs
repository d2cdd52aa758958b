//! Changes of the file on the disk by others: taken over, put together with those of the desk, or asked about.

use super::values::{self, merge};
use super::{Desk, OnDisk};
use crate::folder::FolderError;
use schema::DriveFile;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Open conflicts, or none.
pub(super) fn conflict(units: BTreeSet<String>) -> OnDisk {
    if units.is_empty() { OnDisk::Known } else { OnDisk::Conflict(units) }
}

impl Desk {
    /// Looks at the disk; whether anything is other than before, with what happened in words.
    pub fn check_disk(&mut self) -> Option<&'static str> {
        let Ok(stamp) = self.root.stamp(&self.name) else { return self.is_gone() };
        if self.stamp == Some(stamp) {
            return None;
        }
        let found = match self.root.read(&self.name) {
            Ok(found) => found,
            Err(FolderError::Missing { .. }) => return self.is_gone(),
            Err(_) => return None,
        };
        self.stamp = Some(found.stamp);
        if found.bytes == self.saved.text.as_bytes() {
            let is_back = matches!(self.on_disk, OnDisk::Gone | OnDisk::Unreadable(_));
            if is_back {
                self.on_disk = OnDisk::Known;
            }
            return is_back.then_some("the file is as it was again");
        }
        match schema::read(&self.name, &found.bytes) {
            Ok(disk) => Some(self.take_over(Arc::new(disk))),
            Err(problems) => {
                self.on_disk = OnDisk::Unreadable(Box::new(problems));
                Some("the file on the disk is no drive file now")
            }
        }
    }

    fn is_gone(&mut self) -> Option<&'static str> {
        if matches!(self.on_disk, OnDisk::Gone) {
            return None;
        }
        self.on_disk = OnDisk::Gone;
        self.stamp = None;
        self.draft.touch();
        Some("the file on the disk is gone")
    }

    /// The file was changed by somebody else.
    fn take_over(&mut self, disk: Arc<DriveFile>) -> &'static str {
        let base = std::mem::replace(&mut self.saved, disk.clone());
        let earlier = match std::mem::replace(&mut self.on_disk, OnDisk::Known) {
            OnDisk::Conflict(units) => units,
            _ => BTreeSet::new(),
        };
        if self.file().text == base.text {
            self.history.step(disk, "changed on the disk".to_owned());
            self.moved();
            return "changed on the disk by somebody else";
        }
        if self.file().text != disk.text {
            let merged = merge(&base, self.file(), &disk);
            let units: BTreeSet<String> = merged.conflicts.into_iter().chain(earlier).collect();
            if merged.file.text != self.file().text {
                self.history.step(Arc::new(merged.file), "changes on the disk taken over".to_owned());
            }
            self.on_disk = conflict(units);
        }
        self.moved();
        "changed on the disk by somebody else, and put together with what is not saved"
    }

    /// Conflicts in which both sides say the same by now are none.
    pub(super) fn drop_settled_conflicts(&mut self) {
        let OnDisk::Conflict(units) = &self.on_disk else { return };
        let (file, saved) = (self.file(), &self.saved);
        let is_open = |unit: &&String| match values::reading(file, unit) {
            // Lists of one length may still differ inside.
            Some(text) if text.ends_with("items") || text.ends_with("item") => true,
            reading => reading != values::reading(saved, unit),
        };
        let open = units.iter().filter(is_open).cloned().collect();
        self.on_disk = conflict(open);
    }
}
