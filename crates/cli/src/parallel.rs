//! Tasks spread over threads, with a line of progress and an early end on request.

use crate::interrupt::Watch;
use std::io::{self, IsTerminal, Write};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;
use std::time::{Duration, Instant};

/// How often progress is shown and a request to end is looked for.
const BEAT: Duration = Duration::from_millis(200);

/// What the tasks come to that were done before the end or a request to end.
pub struct Outcome<T> {
    /// One part for each thread.
    pub parts: Vec<T>,
    /// Whether somebody asked to end.
    pub is_interrupted: bool,
}

/// Threads that this machine has for us.
#[must_use]
pub fn usual_thread_count() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get)
}

/// Runs all tasks; `size` tells how many units a task counts in the line of progress, of which there are `unit`s.
pub fn run<T: Send>(
    tasks: &[u64],
    thread_count: usize,
    nothing: impl Fn() -> T + Sync,
    work: impl Fn(u64, &mut T) + Sync,
    size: impl Fn(u64) -> u64 + Sync,
    unit: &str,
) -> Outcome<T> {
    let watch = Watch::begin();
    let (next, done, stop) = (AtomicUsize::new(0), AtomicU64::new(0), AtomicBool::new(false));
    let total: u64 = tasks.iter().map(|task| size(*task)).sum();
    let (finished, all_finished) = mpsc::channel::<()>();
    let each = |finished: mpsc::Sender<()>| {
        let mut part = nothing();
        while !stop.load(Ordering::Relaxed) {
            let Some(task) = tasks.get(next.fetch_add(1, Ordering::Relaxed)) else { break };
            work(*task, &mut part);
            done.fetch_add(size(*task), Ordering::Relaxed);
        }
        drop(finished);
        part
    };
    let each = &each;
    thread::scope(|scope| {
        let threads: Vec<_> = (0..thread_count.max(1))
            .map(|_| {
                let finished = finished.clone();
                scope.spawn(move || each(finished))
            })
            .collect();
        drop(finished);
        let mut progress = Progress::begin(total, unit);
        while all_finished.recv_timeout(BEAT) == Err(mpsc::RecvTimeoutError::Timeout) {
            if watch.is_asked() {
                stop.store(true, Ordering::Relaxed);
            }
            progress.show(done.load(Ordering::Relaxed));
        }
        progress.end();
        let parts = threads
            .into_iter()
            .map(|thread| thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
            .collect();
        Outcome { parts, is_interrupted: watch.is_asked() }
    })
}

/// A line on standard error that is written over and over; none where nobody sees it.
struct Progress<'a> {
    total: u64,
    unit: &'a str,
    begun: Instant,
    is_seen: bool,
    is_begun: bool,
}

impl<'a> Progress<'a> {
    fn begin(total: u64, unit: &'a str) -> Self {
        let is_seen = io::stderr().is_terminal();
        Self { total, unit, begun: Instant::now(), is_seen, is_begun: false }
    }

    fn show(&mut self, done: u64) {
        if !self.is_seen || done == 0 {
            return;
        }
        self.is_begun = true;
        let rate = done as f64 / self.begun.elapsed().as_secs_f64().max(1e-9);
        let left_s = self.total.saturating_sub(done) as f64 / rate;
        let (unit, total) = (self.unit, self.total);
        let _ = write!(
            io::stderr().lock(),
            "\r{done} of {total} {unit}, {rate:.0} a second, {left_s:.0} s left\u{1b}[K"
        );
    }

    fn end(&self) {
        if self.is_begun {
            let _ = write!(io::stderr().lock(), "\r\u{1b}[K");
        }
    }
}
