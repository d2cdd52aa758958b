//! Ctrl-C: nothing half written is left behind, and files already complete stay complete.
//!
//! The signal arrives on a thread of its own. Whoever writes holds the list of unfinished files
//! while it takes a step that must not be cut in two; the handler waits for that lock, removes what
//! is on the list and ends the program.

use crate::exit::Exit;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Long computations, one within another, that are running and end by themselves when they are asked to.
static WATCH_COUNT: AtomicUsize = AtomicUsize::new(0);
/// Whether it was asked to.
static IS_ASKED: AtomicBool = AtomicBool::new(false);

static UNFINISHED: Mutex<Unfinished> = Mutex::new(Unfinished { files: Vec::new(), directories: Vec::new() });

/// Files and directories that are to go if the run is interrupted now.
#[derive(Debug)]
pub struct Unfinished {
    files: Vec<PathBuf>,
    directories: Vec<PathBuf>,
}

impl Unfinished {
    /// Puts a file on the list.
    pub fn add_file(&mut self, path: &Path) {
        self.files.push(path.to_owned());
    }

    /// Puts directories on the list, outermost first; only empty ones will be removed.
    pub fn add_directories(&mut self, paths: &[PathBuf]) {
        self.directories.extend_from_slice(paths);
    }

    /// Takes everything off the list: what it named is finished, or already gone.
    pub fn clear(&mut self) {
        self.files.clear();
        self.directories.clear();
    }

    fn remove(&mut self) {
        for file in self.files.drain(..) {
            let _ = fs::remove_file(file);
        }
        for directory in self.directories.drain(..).rev() {
            let _ = fs::remove_dir(directory);
        }
    }
}

/// The list, locked; while the guard lives the run can not be interrupted.
pub fn unfinished() -> MutexGuard<'static, Unfinished> {
    UNFINISHED.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Makes Ctrl-C, a hang-up or a request to end clean up and end with exit code 130.
///
/// A system that refuses the handler ends the program in its own way, and the next run clears up.
pub fn install() {
    let _ = ctrlc::set_handler(|| {
        // A second request does not wait.
        if WATCH_COUNT.load(Ordering::SeqCst) > 0 && !IS_ASKED.swap(true, Ordering::SeqCst) {
            return;
        }
        let mut list = unfinished();
        list.remove();
        std::process::exit(i32::from(Exit::Interrupted.code()));
    });
}

/// A long computation that shows what it has when it is interrupted: while this lives, the first request is only noted.
#[derive(Debug)]
pub struct Watch(());

impl Watch {
    /// From here on requests are noted.
    #[must_use]
    pub fn begin() -> Self {
        WATCH_COUNT.fetch_add(1, Ordering::SeqCst);
        Self(())
    }

    /// Whether there was a request to end.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        IS_ASKED.load(Ordering::SeqCst)
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        WATCH_COUNT.fetch_sub(1, Ordering::SeqCst);
    }
}
