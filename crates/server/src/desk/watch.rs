//! Changes of the file on the disk by others: taken over, put together with those of the desk, or asked about.

use super::values::{self, merge};
use super::{Desk, OnDisk};
use crate::folder::FolderError;
use schema::DriveFile;
use std::sync::Arc;

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
            let is_back = !matches!(self.on_disk, OnDisk::Known);
            self.on_disk = OnDisk::Known;
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
        Some("the file on the disk is gone")
    }

    /// The file was changed by somebody else.
    fn take_over(&mut self, disk: Arc<DriveFile>) -> &'static str {
        let base = std::mem::replace(&mut self.saved, disk.clone());
        self.on_disk = OnDisk::Known;
        if self.file().text == base.text {
            self.history.step(disk, "changed on the disk".to_owned());
            self.moved();
            return "changed on the disk by somebody else";
        }
        if self.file().text != disk.text {
            let merged = merge(&base, self.file(), &disk);
            if merged.file.text != self.file().text {
                self.history.step(Arc::new(merged.file), "changes on the disk taken over".to_owned());
            }
            // Earlier conflicts are not settled by a further change.
            self.conflicts.extend(merged.conflicts);
        }
        self.moved();
        "changed on the disk by somebody else, and put together with what is not saved"
    }

    /// Conflicts in which both sides say the same by now are none.
    pub(super) fn drop_settled_conflicts(&mut self) {
        let (file, saved) = (self.file().clone(), self.saved.clone());
        let is_open = |unit: &String| match values::reading(&file, unit) {
            // Lists of one length may still differ inside.
            Some(text) if text.ends_with("items") || text.ends_with("item") => file.text != saved.text,
            reading => reading != values::reading(&saved, unit),
        };
        self.conflicts.retain(is_open);
    }
}
