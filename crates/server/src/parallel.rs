//! Tasks spread over threads, watched while they run and ended early on request.

use reducer::registry::format_number;
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;
use std::time::Duration;

/// How often somebody looks at the progress and may ask to end.
const BEAT: Duration = Duration::from_millis(200);

/// What the tasks come to that were done before the end or a request to end.
#[derive(Debug)]
pub struct Outcome<T> {
    /// One part for each thread.
    pub parts: Vec<T>,
    /// Whether somebody asked to end.
    pub is_interrupted: bool,
}

/// How far background work stands back, of 19.
#[cfg(target_os = "linux")]
const BACK: i32 = 10;

/// Lets quick answers, and the browser on the same machine, go before this thread and those that it starts.
///
/// Only Linux knows this of a single thread; elsewhere nothing is done, and where it is not allowed nothing is lost.
pub fn stand_back() {
    #[cfg(target_os = "linux")]
    let _ = rustix::process::nice(BACK);
}

/// Threads that this machine has for us.
#[must_use]
pub fn usual_thread_count() -> usize {
    thread::available_parallelism().map_or(1, NonZero::get)
}

/// Runs all tasks; `size` tells how many units a task counts in the progress.
///
/// Every beat `watch` is told how many units are done of how many, and says whether to end.
pub fn run<T: Send>(
    tasks: &[u64],
    thread_count: usize,
    nothing: impl Fn() -> T + Sync,
    work: impl Fn(u64, &mut T) + Sync,
    size: impl Fn(u64) -> u64 + Sync,
    mut watch: impl FnMut(u64, u64) -> bool,
) -> Outcome<T> {
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
        let mut is_interrupted = false;
        while all_finished.recv_timeout(BEAT) == Err(mpsc::RecvTimeoutError::Timeout) {
            is_interrupted |= watch(done.load(Ordering::Relaxed), total);
            stop.store(is_interrupted, Ordering::Relaxed);
        }
        is_interrupted |= watch(done.load(Ordering::Relaxed), total);
        let parts = threads
            .into_iter()
            .map(|thread| thread.join().unwrap_or_else(|panic| std::panic::resume_unwind(panic)))
            .collect();
        Outcome { parts, is_interrupted }
    })
}

/// Progress in words: how many of how many, the rate and the time left.
#[must_use]
pub fn progress_words(done: u64, total: u64, unit: &str, elapsed: Duration) -> String {
    let rate = done as f64 / elapsed.as_secs_f64().max(1e-9);
    let [done_words, total_words] = [done, total].map(|count| format_number(count as f64, 0));
    if done == 0 {
        return format!("0 of {total_words} {unit}");
    }
    let left_s = total.saturating_sub(done) as f64 / rate;
    let [rate, left_s] = [rate, left_s].map(|value| format_number(value, 0));
    format!("{done_words} of {total_words} {unit}, {rate} a second, {left_s} s left")
}
