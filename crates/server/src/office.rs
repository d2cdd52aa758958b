//! Everything behind the interface: the folder, the desks, the computations, long work, and who is told.

use crate::api::Event;
use crate::compute::{Compute, Urgency};
use crate::desk::{Desk, DeskError};
use crate::folder::{FolderError, Root, Stamp};
use crate::jobs::Jobs;
use crate::picture::small_section;
use schema::DriveFile;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, SystemTime, UNIX_EPOCH};
use tokio::sync::{broadcast, watch};

/// How often drafts are looked after.
const BEAT: Duration = Duration::from_millis(50);
/// Beats between two looks at the disk.
const BEATS_A_LOOK: u32 = 10;
/// Events that a slow listener may lag behind.
const MOST_EVENTS: usize = 256;

/// Where a count begins that must go on growing when the program is started anew, as a page that was open before goes by it:
/// milliseconds since 1970, which JSON numbers hold exactly.
#[must_use]
pub fn first_count() -> u64 {
    let since = SystemTime::now().duration_since(UNIX_EPOCH).unwrap_or_default();
    u64::try_from(since.as_millis()).unwrap_or(u64::MAX >> 12)
}

/// The folder with everything that goes on in it.
#[derive(Debug)]
pub struct Office {
    /// The folder.
    pub root: Root,
    /// The computations.
    pub compute: Compute,
    /// Long work.
    pub jobs: Jobs,
    desks: Mutex<BTreeMap<String, Arc<Mutex<Desk>>>>,
    /// Small pictures with the hash of the text that they show, by name.
    pictures: Mutex<BTreeMap<String, (String, String)>>,
    events: broadcast::Sender<Event>,
    closing: watch::Sender<bool>,
    keeper: Mutex<Option<JoinHandle<()>>>,
}

impl Office {
    /// Opens a folder for work.
    #[must_use]
    pub fn open(root: Root) -> Arc<Self> {
        let (events, _) = broadcast::channel(MOST_EVENTS);
        let office = Arc::new(Self {
            compute: Compute::start(events.clone()),
            root,
            jobs: Jobs::default(),
            desks: Mutex::default(),
            pictures: Mutex::default(),
            events,
            closing: watch::Sender::new(false),
            keeper: Mutex::default(),
        });
        office.jobs.start(Arc::downgrade(&office));
        let kept = office.clone();
        let keeper = thread::Builder::new().name("keeper".to_owned()).spawn(move || kept.look_after());
        *lock(&office.keeper) = keeper.ok();
        office
    }

    /// What happens from now on.
    #[must_use]
    pub fn listen(&self) -> broadcast::Receiver<Event> {
        self.events.subscribe()
    }

    /// How every open drive and all long work stand, as events: what a listener must know that came just before it listened.
    #[must_use]
    pub fn standing(&self) -> Vec<Event> {
        let mut events = Vec::new();
        for (file, desk) in self.open_desks() {
            let (generation, text) = {
                let desk = lock(&desk);
                (desk.generation(), desk.file().clone())
            };
            events.push(Event::Desk { file: file.clone(), generation, cause: String::new() });
            if let Some(computed) = self.compute.newest(&text.sha256) {
                events.push(Event::Verdict { file, generation, stage: computed.stage });
            }
        }
        events.extend(self.jobs.all().into_iter().map(|job| Event::Job { job }));
        events
    }

    /// Turns true when the office closes.
    #[must_use]
    pub fn closing(&self) -> watch::Receiver<bool> {
        self.closing.subscribe()
    }

    /// Tells everybody who listens.
    pub fn tell(&self, event: Event) {
        let _ = self.events.send(event);
    }

    /// The desk of a drive file, opened if it is not yet.
    ///
    /// # Errors
    /// Where the file cannot be had or is no drive file.
    pub fn desk(&self, name: &str) -> Result<Arc<Mutex<Desk>>, DeskError> {
        // A name that is not served any more must not be reached through an open desk.
        let mut desks = lock(&self.desks);
        if let Some(desk) = desks.get(name) {
            return Ok(desk.clone());
        }
        let desk = Desk::open(&self.root, name)?;
        self.compute.want(name, desk.generation(), desk.file(), Urgency::Card);
        let desk = Arc::new(Mutex::new(desk));
        desks.insert(name.to_owned(), desk.clone());
        Ok(desk)
    }

    /// Small picture of a drive, drawn anew only where its text changed.
    #[must_use]
    pub fn picture(&self, name: &str, file: &DriveFile) -> String {
        if let Some((sha256, picture)) = lock(&self.pictures).get(name)
            && *sha256 == file.sha256
        {
            return picture.clone();
        }
        let picture = small_section(&file.drive, name);
        lock(&self.pictures).insert(name.to_owned(), (file.sha256.clone(), picture.clone()));
        picture
    }

    /// Looks at a desk.
    ///
    /// # Errors
    /// As [`Self::desk`].
    pub fn look<T>(&self, name: &str, at: impl FnOnce(&Desk) -> T) -> Result<T, DeskError> {
        let desk = self.desk(name)?;
        let desk = lock(&desk);
        Ok(at(&desk))
    }

    /// Changes a desk; everybody is told where it moved.
    ///
    /// # Errors
    /// As [`Self::desk`], and those of the change.
    pub fn change(
        &self,
        name: &str,
        cause: &str,
        change: impl FnOnce(&mut Desk) -> Result<(), DeskError>,
    ) -> Result<crate::api::Desk, DeskError> {
        let desk = self.desk(name)?;
        let mut desk = lock(&desk);
        let before = desk.generation();
        let done = change(&mut desk);
        // Even a refused save may have found that the disk changed.
        self.moved(name, &desk, before, cause, done.is_ok());
        done.map(|()| desk.page())
    }

    fn moved(&self, name: &str, desk: &Desk, before: u64, cause: &str, is_told: bool) {
        if desk.generation() != before {
            self.compute.want(name, desk.generation(), desk.file(), Urgency::Desk);
        }
        if is_told || desk.generation() != before {
            let event =
                Event::Desk { file: name.to_owned(), generation: desk.generation(), cause: cause.to_owned() };
            self.tell(event);
        }
    }

    /// Drafts, and changes on the disk by others, until the office closes.
    fn look_after(&self) {
        let mut beat = 0;
        let mut files = self.stamped();
        while !*self.closing.borrow() {
            thread::sleep(BEAT);
            beat += 1;
            let looks = beat % BEATS_A_LOOK == 0;
            for (name, desk) in self.open_desks() {
                let mut desk = lock(&desk);
                if looks {
                    let before = desk.generation();
                    if let Some(cause) = desk.check_disk() {
                        self.moved(&name, &desk, before, cause, true);
                    }
                }
                desk.keep_draft(false);
            }
            if looks {
                let now = self.stamped();
                self.compare(&files, &now);
                files = now;
            }
        }
    }

    /// Names of the drive files, each with what shows that it changed.
    fn stamped(&self) -> Vec<(String, Option<Stamp>)> {
        let names = self.root.names().unwrap_or_default();
        names.into_iter().map(|name| (name.clone(), self.root.stamp(&name).ok())).collect()
    }

    /// Tells of files that came or went, and of changed ones that are on no desk, such as broken ones: they may be whole now.
    fn compare(&self, before: &[(String, Option<Stamp>)], now: &[(String, Option<Stamp>)]) {
        let changed: Vec<&str> = now
            .iter()
            .filter(|file| !before.contains(file))
            .map(|(name, _)| name.as_str())
            .filter(|name| !lock(&self.desks).contains_key(*name))
            .collect();
        for name in &changed {
            if let Ok(generation) = self.look(name, Desk::generation) {
                let cause = "changed on the disk by somebody else".to_owned();
                self.tell(Event::Desk { file: (*name).to_owned(), generation, cause });
            }
        }
        let names = |files: &[(String, Option<Stamp>)]| -> Vec<String> {
            files.iter().map(|(name, _)| name.clone()).collect()
        };
        if !changed.is_empty() || names(before) != names(now) {
            self.tell(Event::Folder {});
        }
    }

    fn open_desks(&self) -> Vec<(String, Arc<Mutex<Desk>>)> {
        lock(&self.desks).iter().map(|(name, desk)| (name.clone(), desk.clone())).collect()
    }

    /// Names of the drive files.
    ///
    /// # Errors
    /// Where the folder cannot be read.
    pub fn names(&self) -> Result<Vec<String>, FolderError> {
        self.root.names()
    }

    /// Listeners are let go; everything else goes on until [`Self::close`].
    pub fn begin_closing(&self) {
        self.closing.send_replace(true);
    }

    /// Ends everything: drafts are written, computations called off. Returns the drives with edits that could not be kept.
    pub fn close(&self) -> Vec<String> {
        self.closing.send_replace(true);
        let is_lost = |desk: &Mutex<Desk>| {
            let mut desk = lock(desk);
            desk.keep_draft(true);
            desk.has_unkept_edits()
        };
        let lost = self.open_desks().into_iter().filter(|(_, desk)| is_lost(desk));
        let lost = lost.map(|(name, _)| name).collect();
        if let Some(keeper) = lock(&self.keeper).take() {
            let _ = keeper.join();
        }
        self.jobs.close();
        self.compute.close();
        lost
    }
}

/// A lock that a defect elsewhere does not close for ever.
pub(crate) fn lock<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}
