//! Interactive answers: a preview at once and the whole verdict after it, newest first, never for a text that nobody wants any more.
//!
//! One thread looks at drives quickly, another one thoroughly, so that a thorough look never keeps a
//! slider waiting. What was computed is kept by the hash of its text. A defect in a computation ends
//! that computation alone and becomes words.

use crate::api::{Event, Stage, VerdictLine};
use crate::parallel;
use crate::verdict::verdict_line;
use reducer::assess::{AssessError, assess_watched, preview};
use reducer::results::Assessment;
use schema::DriveFile;
use std::any::Any;
use std::collections::{BTreeMap, VecDeque};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, OnceLock, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};
use tokio::sync::{broadcast, watch};

/// Texts whose results are kept.
const MOST_KEPT: usize = 24;
/// Texts of which the verdict is kept in one line, so that every card of a full folder has one and edits do not push it out.
const MOST_LINES: usize = 4 * crate::folder::MOST_DRIVES;
/// How long a text must stand before it is looked at thoroughly: while a slider moves, that would only take time from the preview.
const CALM: Duration = Duration::from_millis(120);
/// Room on the stack of a thread that computes.
const STACK_BYTES: usize = 16 << 20;

/// What was computed from a text.
#[derive(Debug)]
pub struct Computed {
    /// The drive file.
    pub file: Arc<DriveFile>,
    /// How far it was looked at.
    pub stage: Stage,
    /// What came of it, or why nothing did.
    pub outcome: Result<Arc<Assessment>, String>,
    /// Findings of a preview that the whole will not change.
    pub settled: Vec<&'static str>,
    /// What is made from it when somebody asks, once.
    pub made: Made,
}

/// What is made from results when somebody asks.
#[derive(Debug, Default)]
pub struct Made {
    /// Figures that come from the assessment alone.
    pub figures: OnceLock<Vec<sheet::Figure>>,
    /// Figures of load cases other than the first, by the case.
    pub of_cases: Mutex<BTreeMap<String, Arc<Vec<sheet::Figure>>>>,
    /// The accuracy over an output turn, or why there is none.
    pub accuracy: OnceLock<Result<reducer::accuracy::summary::AccuracyResult, String>>,
}

impl Computed {
    fn new(
        file: Arc<DriveFile>,
        stage: Stage,
        outcome: Result<(Assessment, Vec<&'static str>), String>,
    ) -> Self {
        let (outcome, settled) = match outcome {
            Ok((assessment, settled)) => (Ok(Arc::new(assessment)), settled),
            Err(problem) => (Err(problem), Vec::new()),
        };
        Self { file, stage, outcome, settled, made: Made::default() }
    }

    /// Whether the number of a finding may still change.
    #[must_use]
    pub fn is_computing(&self, finding: &str) -> bool {
        self.stage == Stage::Preview && !self.settled.contains(&finding)
    }
}

/// How soon somebody wants to know.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// Some time: the card of a drive.
    Card,
    /// Now: a drive that is being worked on.
    Desk,
}

/// A text that is to be looked at.
#[derive(Clone, Debug)]
struct Wanted {
    name: String,
    generation: u64,
    file: Arc<DriveFile>,
    urgency: Urgency,
    since: Instant,
    /// Whether another text of the drive took its place while it was looked at.
    is_outdated: bool,
}

impl Wanted {
    fn is_same(&self, other: &Self) -> bool {
        self.name == other.name && self.file.sha256 == other.file.sha256
    }
}

/// What the card of a drive says of its text.
#[derive(Clone, Debug)]
pub struct Line {
    sha256: String,
    /// The verdict, where there is one.
    pub verdict: Option<VerdictLine>,
    /// Why there is none; otherwise empty.
    pub problem: String,
}

impl Line {
    fn of(computed: &Computed) -> Self {
        Self {
            sha256: computed.file.sha256.clone(),
            verdict: verdict_line(computed),
            problem: computed.outcome.as_ref().err().cloned().unwrap_or_default(),
        }
    }
}

/// What is known of a text.
#[derive(Debug)]
struct Known {
    sha256: String,
    preview: Option<Arc<Computed>>,
    full: Option<Arc<Computed>>,
}

#[derive(Debug, Default)]
struct Queue {
    quick: Vec<Wanted>,
    thorough: Vec<Wanted>,
    in_hand: [Option<Wanted>; 2],
    known: VecDeque<Known>,
    lines: VecDeque<Line>,
    is_closed: bool,
}

impl Queue {
    /// What is known of a text, which thereby stays known longer.
    fn known(&mut self, sha256: &str) -> Option<&mut Known> {
        let place = self.known.iter().position(|known| known.sha256 == sha256)?;
        let known = self.known.remove(place)?;
        self.known.push_back(known);
        self.known.back_mut()
    }

    fn keep(&mut self, computed: Arc<Computed>) {
        let sha256 = computed.file.sha256.clone();
        self.lines.retain(|line| line.sha256 != sha256);
        self.lines.push_back(Line::of(&computed));
        if self.lines.len() > MOST_LINES {
            self.lines.pop_front();
        }
        if self.known(&sha256).is_none() {
            self.known.push_back(Known { sha256: sha256.clone(), preview: None, full: None });
            if self.known.len() > MOST_KEPT {
                self.known.pop_front();
            }
        }
        if let Some(known) = self.known(&sha256) {
            match computed.stage {
                Stage::Preview => known.preview = Some(computed),
                Stage::Full => known.full = Some(computed),
            }
        }
    }

    fn newest(&mut self, sha256: &str) -> Option<Arc<Computed>> {
        let known = self.known(sha256)?;
        known.full.clone().or_else(|| known.preview.clone())
    }

    fn is_coming(&self, sha256: &str) -> bool {
        let waiting = self.quick.iter().chain(&self.thorough).chain(self.in_hand.iter().flatten());
        waiting.into_iter().any(|wanted| wanted.file.sha256 == sha256)
    }

    fn list(&mut self, stage: Stage) -> &mut Vec<Wanted> {
        match stage {
            Stage::Preview => &mut self.quick,
            Stage::Full => &mut self.thorough,
        }
    }

    /// The most urgent of what waits, the newest of these; not yet where it is to stand for a while.
    fn take(&mut self, stage: Stage) -> Option<Wanted> {
        let list = self.list(stage);
        let (place, first) =
            list.iter().enumerate().max_by_key(|(place, wanted)| (wanted.urgency, *place))?;
        if stage == Stage::Full && first.since.elapsed() < CALM {
            return None;
        }
        let wanted = list.remove(place);
        self.in_hand[stage as usize] = Some(wanted.clone());
        Some(wanted)
    }
}

#[derive(Debug)]
struct Shared {
    queue: Mutex<Queue>,
    wake: Condvar,
    /// Whether the thorough look in hand is to be ended.
    is_called_off: AtomicBool,
    changed: watch::Sender<u64>,
    events: broadcast::Sender<Event>,
}

/// The two threads that look at drives, and what they found.
#[derive(Debug)]
pub struct Compute {
    shared: Arc<Shared>,
    threads: Mutex<Vec<JoinHandle<()>>>,
}

impl Compute {
    /// Starts the threads; events tell when something is done.
    #[must_use]
    pub fn start(events: broadcast::Sender<Event>) -> Self {
        let shared = Arc::new(Shared {
            queue: Mutex::default(),
            wake: Condvar::new(),
            is_called_off: AtomicBool::new(false),
            changed: watch::Sender::new(0),
            events,
        });
        let threads = [Stage::Preview, Stage::Full].map(|stage| {
            let shared = shared.clone();
            let work = move || {
                if stage == Stage::Full {
                    parallel::stand_back();
                }
                shared.work(stage);
            };
            thread::Builder::new().name(format!("{stage:?}")).stack_size(STACK_BYTES).spawn(work)
        });
        Self { shared, threads: Mutex::new(threads.into_iter().flatten().collect()) }
    }

    /// Asks for a look at a text; another text of the same drive that waits or is in hand is dropped for it.
    pub fn want(&self, name: &str, generation: u64, file: &Arc<DriveFile>, urgency: Urgency) {
        let since = Instant::now();
        let (name, file) = (name.to_owned(), file.clone());
        let wanted = Wanted { name, generation, file, urgency, since, is_outdated: false };
        let mut queue = self.shared.lock();
        let (has_preview, has_full) = queue
            .known(&wanted.file.sha256)
            .map_or((false, false), |known| (known.preview.is_some(), known.full.is_some()));
        for (stage, is_known) in [(Stage::Preview, has_preview || has_full), (Stage::Full, has_full)] {
            let list = queue.list(stage);
            let since = list.iter().find(|other| other.is_same(&wanted)).map_or(since, |other| other.since);
            list.retain(|other| other.name != wanted.name || (is_known && other.is_same(&wanted)));
            let in_hand = queue.in_hand[stage as usize].as_mut().filter(|other| other.is_same(&wanted));
            let is_in_hand = in_hand.is_some();
            if let Some(other) = in_hand {
                // Begun as a card, it no longer gives way once somebody waits for it; called off for another text, it is wanted again. What is told
                // of it belongs to the state that wants it now.
                other.generation = generation;
                other.urgency = other.urgency.max(urgency);
                other.is_outdated = false;
            }
            if !is_known && !is_in_hand {
                queue.list(stage).push(Wanted { since, ..wanted.clone() });
            }
        }
        if let Some(other) = queue.in_hand[Stage::Full as usize].as_mut() {
            other.is_outdated |= other.name == wanted.name && !other.is_same(&wanted);
            if other.is_outdated || other.urgency < wanted.urgency && !other.is_same(&wanted) {
                self.shared.is_called_off.store(true, Ordering::Relaxed);
            }
        }
        drop(queue);
        self.shared.wake.notify_all();
    }

    /// The most that is known of a text.
    #[must_use]
    pub fn newest(&self, sha256: &str) -> Option<Arc<Computed>> {
        self.shared.lock().newest(sha256)
    }

    /// What the card of a drive with this text says.
    #[must_use]
    pub fn line(&self, sha256: &str) -> Option<Line> {
        self.shared.lock().lines.iter().find(|line| line.sha256 == sha256).cloned()
    }

    /// Waits until a text was looked at so far; nothing where it was dropped for a newer one, or it takes too long.
    pub async fn wait(&self, sha256: &str, stage: Stage, most: Duration) -> Option<Arc<Computed>> {
        let mut changed = self.shared.changed.subscribe();
        let look = async {
            loop {
                changed.mark_unchanged();
                {
                    let mut queue = self.shared.lock();
                    match queue.newest(sha256) {
                        Some(computed) if computed.stage >= stage => return Some(computed),
                        _ if !queue.is_coming(sha256) => return None,
                        _ => {}
                    }
                }
                if changed.changed().await.is_err() {
                    return None;
                }
            }
        };
        tokio::time::timeout(most, look).await.ok().flatten()
    }

    /// The whole of a text, if it is known.
    #[must_use]
    pub fn newest_full(&self, sha256: &str) -> Option<Arc<Computed>> {
        self.newest(sha256).filter(|computed| computed.stage == Stage::Full)
    }

    /// Keeps what somebody else computed.
    pub fn keep(&self, file: &Arc<DriveFile>, assessment: Assessment) -> Arc<Computed> {
        let computed = Arc::new(Computed::new(file.clone(), Stage::Full, Ok((assessment, Vec::new()))));
        self.shared.lock().keep(computed.clone());
        self.shared.changed.send_modify(|count| *count += 1);
        computed
    }

    /// Ends the threads; what is in hand is called off.
    pub fn close(&self) {
        self.shared.lock().is_closed = true;
        self.shared.is_called_off.store(true, Ordering::Relaxed);
        self.shared.wake.notify_all();
        let threads = std::mem::take(&mut *self.threads.lock().unwrap_or_else(PoisonError::into_inner));
        for thread in threads {
            let _ = thread.join();
        }
    }
}

impl Shared {
    fn lock(&self) -> MutexGuard<'_, Queue> {
        self.queue.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The life of one of the threads.
    fn work(&self, stage: Stage) {
        while let Some(wanted) = self.next(stage) {
            let done = self.look(stage, &wanted);
            let mut queue = self.lock();
            let wanted = queue.in_hand[stage as usize].take().unwrap_or(wanted);
            let is_told = match done {
                Some(computed) => {
                    queue.keep(Arc::new(computed));
                    true
                }
                None => {
                    // What had to give way to another drive is looked at later.
                    if !queue.is_closed && !wanted.is_outdated {
                        queue.list(stage).insert(0, wanted.clone());
                    }
                    false
                }
            };
            drop(queue);
            self.changed.send_modify(|count| *count += 1);
            if is_told {
                let Wanted { name, generation, .. } = wanted;
                let _ = self.events.send(Event::Verdict { file: name, generation, stage });
            }
        }
    }

    fn next(&self, stage: Stage) -> Option<Wanted> {
        let mut queue = self.lock();
        loop {
            if queue.is_closed {
                return None;
            }
            if let Some(wanted) = queue.take(stage) {
                if stage == Stage::Full {
                    self.is_called_off.store(false, Ordering::Relaxed);
                }
                return Some(wanted);
            }
            queue = if queue.list(stage).is_empty() {
                self.wake.wait(queue).unwrap_or_else(PoisonError::into_inner)
            } else {
                self.wake.wait_timeout(queue, CALM).unwrap_or_else(PoisonError::into_inner).0
            };
        }
    }

    /// Looks at a drive; nothing where it was called off.
    fn look(&self, stage: Stage, wanted: &Wanted) -> Option<Computed> {
        let drive = &wanted.file.drive;
        let is_called_off = || self.is_called_off.load(Ordering::Relaxed);
        let outcome = guarded(|| match stage {
            Stage::Preview => preview(drive).map(|preview| (preview.assessment, preview.settled)),
            Stage::Full => assess_watched(drive, &is_called_off).map(|assessment| (assessment, Vec::new())),
        });
        let outcome = match outcome {
            Ok(Err(AssessError::CalledOff(_))) => return None,
            Ok(Err(error)) => Err(error.to_string()),
            Ok(Ok(both)) => Ok(both),
            Err(defect) => Err(defect),
        };
        Some(Computed::new(wanted.file.clone(), stage, outcome))
    }
}

/// Runs a computation; a defect in it becomes words.
///
/// # Errors
/// The words.
pub fn guarded<T>(work: impl FnOnce() -> T) -> Result<T, String> {
    catch_unwind(AssertUnwindSafe(work)).map_err(|panic| {
        format!("a defect of this program, please report it with the drive file: {}", panic_words(&*panic))
    })
}

/// What a panic says.
fn panic_words(panic: &(dyn Any + Send)) -> &str {
    let text = panic.downcast_ref::<&str>().copied();
    text.or_else(|| panic.downcast_ref::<String>().map(String::as_str)).unwrap_or("no words")
}
