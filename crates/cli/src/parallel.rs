//! A line of progress on standard error while tasks run over threads.

use crate::interrupt::Watch;
use server::parallel::{self, Outcome, progress_words};
use std::io::{self, IsTerminal, Write};
use std::time::Instant;

pub use server::parallel::usual_thread_count;

/// Runs all tasks with a line of progress in `unit`s, until the end or a request to end.
pub fn run<T: Send>(
    tasks: &[u64],
    thread_count: usize,
    nothing: impl Fn() -> T + Sync,
    work: impl Fn(u64, &mut T) + Sync,
    size: impl Fn(u64) -> u64 + Sync,
    unit: &str,
) -> Outcome<T> {
    let watch = Watch::begin();
    let mut progress = Progress::begin(unit);
    let outcome = parallel::run(tasks, thread_count, nothing, work, size, |done, total| {
        progress.show(done, total);
        watch.is_asked()
    });
    progress.end();
    outcome
}

/// A line on standard error that is written over and over; none where nobody sees it.
struct Progress<'a> {
    unit: &'a str,
    begun: Instant,
    is_seen: bool,
    is_begun: bool,
}

impl<'a> Progress<'a> {
    fn begin(unit: &'a str) -> Self {
        Self { unit, begun: Instant::now(), is_seen: io::stderr().is_terminal(), is_begun: false }
    }

    fn show(&mut self, done: u64, total: u64) {
        if !self.is_seen || done == 0 {
            return;
        }
        self.is_begun = true;
        let words = progress_words(done, total, self.unit, self.begun.elapsed());
        let _ = write!(io::stderr().lock(), "\r{words}\u{1b}[K");
    }

    fn end(&self) {
        if self.is_begun {
            let _ = write!(io::stderr().lock(), "\r\u{1b}[K");
        }
    }
}
