//! Long work: a short queue, one job at a time on threads of its own, progress in words, and an end on request that keeps what is there.

use crate::api::{Event, Job, JobResult, JobState, ShopFile, Stage, Work};
use crate::compute::{Computed, guarded};
use crate::delivery::{deliver, doc};
use crate::figures::figure_page;
use crate::office::{Office, first_count, lock};
use crate::parallel::{self, progress_words, usual_thread_count};
use exchange::{NamedFile, USUAL_TOLERANCE_MM};
use reducer::assembly::angles::usual_crank_angle_count;
use reducer::assembly::random::Sampling;
use reducer::assembly::study::{Request, StudyError};
use reducer::assembly::summary::YieldResult;
use reducer::assembly::work::Work as Study;
use reducer::assess::{AssessError, assess_watched};
use reducer::finding::Standing;
use reducer::model::Drive;
use reducer::registry::format_number;
use reducer::results::Assessment;
use schema::DriveFile;
use sheet::{Figure, Table};
use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, PoisonError, Weak};
use std::thread::{self, JoinHandle};
use std::time::Instant;

/// Jobs that may wait behind the one in hand.
pub const MOST_WAITING: usize = 4;
/// Ended jobs whose results are kept.
const MOST_KEPT: usize = 8;
/// Most assemblies of a study that the page asks for.
const MOST_ASSEMBLIES: u64 = 10_000_000;
/// Seed of the study in a delivery, as the command line takes it.
const DELIVERY_SEED: u64 = 1;
/// Room on the stack of the thread that works.
const STACK_BYTES: usize = 16 << 20;

/// Why a job is not begun.
#[derive(Debug, thiserror::Error)]
pub enum JobError {
    /// Enough waits already.
    #[error("{MOST_WAITING} jobs are waiting already")]
    Full,
    /// The numbers make no sense.
    #[error("{0}")]
    Wrong(String),
}

/// A job with all that comes of it.
#[derive(Debug)]
struct Entry {
    job: Job,
    work: Work,
    file: Arc<DriveFile>,
    is_ended: Arc<AtomicBool>,
    found: Option<Found>,
}

/// What came of a job.
#[derive(Clone, Debug, Default)]
struct Found {
    is_partial: bool,
    sentences: Vec<String>,
    tables: Vec<Table>,
    figures: Vec<Figure>,
    files: Vec<NamedFile>,
}

impl Found {
    /// Ended before anything came of it.
    fn ended() -> Self {
        Self { is_partial: true, ..Self::default() }
    }
}

#[derive(Debug, Default)]
struct List {
    entries: VecDeque<Entry>,
    begun: u64,
    is_closed: bool,
}

impl List {
    fn get(&mut self, id: u64) -> Option<&mut Entry> {
        self.entries.iter_mut().find(|entry| entry.job.id == id)
    }

    fn count(&self, state: JobState) -> usize {
        self.entries.iter().filter(|entry| entry.job.state == state).count()
    }

    /// Lets the oldest ended jobs go where there are many.
    fn forget(&mut self) {
        let is_ended = |entry: &Entry| !matches!(entry.job.state, JobState::Waiting | JobState::Running);
        let mut surplus =
            self.entries.iter().filter(|entry| is_ended(entry)).count().saturating_sub(MOST_KEPT);
        self.entries.retain(|entry| {
            let goes = surplus > 0 && is_ended(entry);
            surplus -= usize::from(goes);
            !goes
        });
    }
}

/// All jobs of an office.
#[derive(Debug, Default)]
pub struct Jobs {
    list: Arc<(Mutex<List>, Condvar)>,
    thread: Mutex<Option<JoinHandle<()>>>,
}

impl Jobs {
    /// Starts the thread that works.
    pub fn start(&self, office: Weak<Office>) {
        let list = self.list.clone();
        let work = move || {
            parallel::stand_back();
            work_through(&list, &office);
        };
        let thread = thread::Builder::new().name("jobs".to_owned()).stack_size(STACK_BYTES).spawn(work);
        *lock(&self.thread) = thread.ok();
    }

    /// Puts work into the queue.
    ///
    /// # Errors
    /// [`JobError`].
    pub fn begin(
        &self,
        name: &str,
        generation: u64,
        file: &Arc<DriveFile>,
        work: Work,
    ) -> Result<Job, JobError> {
        let title = title(name, &work)?;
        let mut list = lock(&self.list.0);
        if list.count(JobState::Waiting) >= MOST_WAITING {
            return Err(JobError::Full);
        }
        list.begun = (list.begun + 1).max(first_count());
        let job = Job {
            id: list.begun,
            file: name.to_owned(),
            generation,
            sha256: file.sha256.clone(),
            work: work.clone(),
            title,
            state: JobState::Waiting,
            share: 0.0,
            progress: "waiting".to_owned(),
        };
        list.entries.push_back(Entry {
            job: job.clone(),
            work,
            file: file.clone(),
            is_ended: Arc::new(AtomicBool::new(false)),
            found: None,
        });
        list.forget();
        self.list.1.notify_all();
        Ok(job)
    }

    /// All jobs that are remembered, oldest first.
    #[must_use]
    pub fn all(&self) -> Vec<Job> {
        lock(&self.list.0).entries.iter().map(|entry| entry.job.clone()).collect()
    }

    /// A job with what came of it so far.
    #[must_use]
    pub fn result(&self, id: u64) -> Option<JobResult> {
        let (job, found) = {
            let mut list = lock(&self.list.0);
            let entry = list.get(id)?;
            (entry.job.clone(), entry.found.clone().unwrap_or_default())
        };
        let generation = job.generation;
        let page = |figure: Figure| figure_page(figure, generation, Stage::Full);
        let file = |file: &NamedFile| ShopFile {
            name: file.name.clone(),
            doc: doc(&file.name).to_owned(),
            is_slow: false,
        };
        Some(JobResult {
            is_partial: found.is_partial,
            sentences: found.sentences,
            tables: found.tables,
            files: found.files.iter().map(file).collect(),
            figures: found.figures.into_iter().map(page).collect(),
            job,
        })
    }

    /// A figure of a job, with the generation of the text that it belongs to.
    #[must_use]
    pub fn figure(&self, id: u64, name: &str) -> Option<(Figure, u64)> {
        let mut list = lock(&self.list.0);
        let entry = list.get(id)?;
        let figure = entry.found.as_ref()?.figures.iter().find(|figure| figure.id == name)?;
        Some((figure.clone(), entry.job.generation))
    }

    /// A file of a delivery.
    #[must_use]
    pub fn file(&self, id: u64, name: &str) -> Option<Vec<u8>> {
        let mut list = lock(&self.list.0);
        let files = &list.get(id)?.found.as_ref()?.files;
        files.iter().find(|file| file.name == name).map(|file| file.bytes.clone())
    }

    /// Ends a job; one that waits is gone at once, one in hand keeps what it has. An ended one stays as it is.
    #[must_use]
    pub fn end(&self, id: u64) -> Option<Job> {
        let mut list = lock(&self.list.0);
        let entry = list.get(id)?;
        entry.is_ended.store(true, Ordering::Relaxed);
        if entry.job.state == JobState::Waiting {
            entry.job.state = JobState::Cancelled;
            entry.job.progress = "ended before it began".to_owned();
            entry.found = Some(Found::ended());
        }
        Some(entry.job.clone())
    }

    /// Ends all jobs and the thread.
    pub fn close(&self) {
        {
            let mut list = lock(&self.list.0);
            list.is_closed = true;
            for entry in &list.entries {
                entry.is_ended.store(true, Ordering::Relaxed);
            }
        }
        self.list.1.notify_all();
        if let Some(thread) = lock(&self.thread).take() {
            let _ = thread.join();
        }
    }
}

fn title(name: &str, work: &Work) -> Result<String, JobError> {
    let within = |assemblies: u64| {
        if (1..=MOST_ASSEMBLIES).contains(&assemblies) {
            return Ok(format_number(assemblies as f64, 0));
        }
        let most = format_number(MOST_ASSEMBLIES as f64, 0);
        Err(JobError::Wrong(format!("assemblies are from 1 to {most}, not {assemblies}")))
    };
    match *work {
        Work::Deliver { assemblies: None } => Ok(format!("report and shop files of {name}")),
        Work::Deliver { assemblies: Some(count) } => {
            Ok(format!("report and shop files of {name}, with {} assemblies", within(count)?))
        }
        Work::Yield { assemblies, loaded, .. } => {
            let count = within(assemblies)?;
            if loaded > assemblies {
                return Err(JobError::Wrong(format!(
                    "{loaded} drives under load are more than {assemblies} in all"
                )));
            }
            Ok(format!("{count} assemblies of {name}"))
        }
    }
}

/// An error whose hint follows in the same line.
fn in_one_line(error: &dyn std::fmt::Display) -> String {
    error.to_string().replace("\n\nhint: ", "; ")
}

fn has_failed(assessment: &Assessment) -> bool {
    assessment.findings.iter().any(|finding| finding.standing == Standing::Fails)
}

/// The life of the thread that works: one job after the other.
fn work_through(shared: &(Mutex<List>, Condvar), office: &Weak<Office>) {
    loop {
        let (id, file, work, is_ended) = {
            let mut list = lock(&shared.0);
            loop {
                if list.is_closed {
                    return;
                }
                let waiting = list.entries.iter_mut().find(|entry| entry.job.state == JobState::Waiting);
                if let Some(entry) = waiting {
                    entry.job.state = JobState::Running;
                    "begun".clone_into(&mut entry.job.progress);
                    break (entry.job.id, entry.file.clone(), entry.work.clone(), entry.is_ended.clone());
                }
                list = shared.1.wait(list).unwrap_or_else(PoisonError::into_inner);
            }
        };
        let Some(office) = office.upgrade() else { return };
        let hand = Hand { id, shared, office: &office, is_ended: &is_ended };
        hand.tell(|_| {});
        let found = guarded(|| match work {
            Work::Yield { assemblies, loaded, seed } => hand.study(&file, [assemblies, loaded, seed]),
            Work::Deliver { assemblies } => hand.deliver(&file, assemblies),
        });
        hand.finish(found.and_then(|found| found));
    }
}

/// The job in hand.
struct Hand<'a> {
    id: u64,
    shared: &'a (Mutex<List>, Condvar),
    office: &'a Office,
    is_ended: &'a AtomicBool,
}

impl Hand<'_> {
    fn is_ended(&self) -> bool {
        self.is_ended.load(Ordering::Relaxed)
    }

    /// Changes what is said of the job and tells everybody.
    fn tell(&self, change: impl FnOnce(&mut Entry)) {
        let job = {
            let mut list = lock(&self.shared.0);
            let Some(entry) = list.get(self.id) else { return };
            change(entry);
            entry.job.clone()
        };
        self.office.tell(Event::Job { job });
    }

    fn progress(&self, share: f64, words: String) {
        self.tell(|entry| {
            entry.job.share = share;
            entry.job.progress = words;
        });
    }

    fn finish(&self, found: Result<Found, String>) {
        self.tell(|entry| match found {
            Ok(found) => {
                // What has ended has no rate and no time left.
                if found.is_partial {
                    entry.job.state = JobState::Cancelled;
                    "ended early".clone_into(&mut entry.job.progress);
                } else {
                    entry.job.state = JobState::Done;
                    entry.job.share = 1.0;
                    "done".clone_into(&mut entry.job.progress);
                }
                entry.found = Some(found);
            }
            Err(problem) => {
                entry.job.state = JobState::Failed;
                entry.job.progress = problem;
            }
        });
        lock(&self.shared.0).forget();
    }

    /// Assembles drives; when it is ended early, what was counted until then is the result, and nothing if that is none.
    fn assembled(
        &self,
        drive: &Drive,
        [assembly_count, loaded_count, seed]: [u64; 3],
    ) -> Result<Option<(YieldResult, bool)>, StudyError> {
        let sampling = Sampling::Random;
        let crank_angle_count = usual_crank_angle_count(drive);
        let study =
            Study::new(drive, Request { assembly_count, loaded_count, seed, sampling, crank_angle_count })?;
        let begun = Instant::now();
        let outcome = parallel::run(
            &study.tasks(0, 1),
            // Somebody works at the page meanwhile.
            usual_thread_count().saturating_sub(1).max(1),
            || study.nothing(),
            |task, tallied| study.run(task, tallied),
            |task| study.assemblies_of(task),
            |done, total| {
                let share = done as f64 / total.max(1) as f64;
                self.progress(share, progress_words(done, total, "assemblies", begun.elapsed()));
                self.is_ended()
            },
        );
        let mut tallied = study.nothing();
        for part in &outcome.parts {
            tallied.merge(part);
        }
        let result = || YieldResult::new(&study, &tallied, drive.tolerances.wanted_yield);
        Ok((tallied.unloaded.count > 0).then(|| (result(), outcome.is_interrupted)))
    }

    fn study(&self, file: &DriveFile, numbers: [u64; 3]) -> Result<Found, String> {
        let assembled = self.assembled(&file.drive, numbers).map_err(|error| in_one_line(&error))?;
        let Some((result, is_partial)) = assembled else { return Ok(Found::ended()) };
        Ok(Found {
            is_partial,
            sentences: sheet::yield_sentences(&result),
            tables: vec![sheet::distribution_table(&result), sheet::tolerance_table(&result)],
            figures: sheet::figures::of_study(&result),
            files: Vec::new(),
        })
    }

    /// Makes all files; there is no half of it.
    fn deliver(&self, file: &Arc<DriveFile>, assemblies: Option<u64>) -> Result<Found, String> {
        self.progress(0.0, "computing".to_owned());
        let Some(computed) = self.assessed(file)? else { return Ok(Found::ended()) };
        let assessment = computed.outcome.as_ref().map_err(Clone::clone)?;
        let mut remarks = Vec::new();
        let mut study = None;
        if let Some(count) = assemblies {
            match self.assembled(&file.drive, [count, 0, DELIVERY_SEED]) {
                Ok(Some((result, false))) => study = Some(result),
                Ok(_) => return Ok(Found::ended()),
                // That nothing meshes is what a check says too.
                Err(reason @ StudyError::NoMesh) if has_failed(assessment) => {
                    remarks.push(format!("no assemblies: {}", in_one_line(&reason)));
                }
                Err(error) => return Err(in_one_line(&error)),
            }
        }
        if self.is_ended() {
            return Ok(Found::ended());
        }
        self.progress(0.9, "writing report and shop files".to_owned());
        let delivery = deliver(file, assessment, study.as_ref(), USUAL_TOLERANCE_MM)
            .map_err(|error| in_one_line(&error))?;
        remarks.extend(delivery.remarks);
        Ok(Found { sentences: remarks, files: delivery.files, ..Found::default() })
    }

    /// The whole assessment, known or computed here; nothing where the job is ended.
    fn assessed(&self, file: &Arc<DriveFile>) -> Result<Option<Arc<Computed>>, String> {
        let compute = &self.office.compute;
        if let Some(computed) = compute.newest_full(&file.sha256) {
            return Ok(Some(computed));
        }
        match assess_watched(&file.drive, &|| self.is_ended()) {
            Err(AssessError::CalledOff(_)) => Ok(None),
            Err(error) => Err(in_one_line(&error)),
            Ok(assessment) => Ok(Some(compute.keep(file, assessment))),
        }
    }
}
