//! The queue between callers and connections: one lane that writes, several that read.
//!
//! Writing: jobs wait in a bounded queue. The writer begins a transaction, runs the waiting jobs in it, commits once,
//! and only then answers them all. The longer a commit takes, the more jobs share the next one. When a job of a batch
//! fails, the batch is rolled back and run again with a savepoint around each, so that the one takes no other with it.
//!
//! A job may be run again: when another of its batch failed, when two processes met, or when the connection was lost
//! before the commit was sent. That is why a job is `FnMut`: it must give the same answer from the same database each
//! time, and keep no effects outside of the transaction. A job whose statement failed cannot succeed, even if it
//! ignores the error: PostgreSQL would otherwise turn its commit into a silent rollback.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use tokio::sync::{mpsc, oneshot};

use crate::StoreError;
use crate::value::{Dialect, Row, Tx, Value};

/// How a transaction is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mode {
    /// Reads one unchanging state.
    Read,
    /// Reads and writes; no two at a time on one database.
    Write,
}

/// A connection, as the lanes see it.
pub(crate) trait Link: Tx + Send {
    /// Connects when there is no live connection.
    fn ready(&mut self) -> Result<(), StoreError>;
    /// Begins a transaction.
    fn begin(&mut self, mode: Mode) -> Result<(), StoreError>;
    /// Ends the transaction; after `Ok` it is on disk.
    fn commit(&mut self) -> Result<(), StoreError>;
    /// Drops the transaction, if there is one.
    fn rollback(&mut self);
    /// Runs a fixed statement without parameters (savepoints).
    fn control(&mut self, sql: &'static str) -> Result<(), StoreError>;
    /// Whether the transaction that was begun is still open.
    fn open(&mut self) -> bool;
}

/// Something to do in a transaction, with whoever waits for its answer.
pub(crate) trait Job: Send {
    /// Does it and keeps the outcome.
    fn run(&mut self, tx: &mut dyn Tx) -> Result<(), StoreError>;
    /// Answers with the outcome, or with why it did not come to last.
    fn answer(self: Box<Self>, ended: Result<(), StoreError>);
}

/// A caller's closure and its answer.
pub(crate) struct Asked<T, F> {
    work: F,
    outcome: Option<T>,
    answer: oneshot::Sender<Result<T, StoreError>>,
}

impl<T, F> Asked<T, F> {
    pub(crate) fn new(work: F) -> (Self, oneshot::Receiver<Result<T, StoreError>>) {
        let (answer, wait) = oneshot::channel();
        (Asked { work, outcome: None, answer }, wait)
    }
}

impl<T: Send, F: FnMut(&mut dyn Tx) -> Result<T, StoreError> + Send> Job for Asked<T, F> {
    fn run(&mut self, tx: &mut dyn Tx) -> Result<(), StoreError> {
        self.outcome = None;
        self.outcome = Some((self.work)(tx)?);
        Ok(())
    }

    fn answer(self: Box<Self>, ended: Result<(), StoreError>) {
        let Asked { outcome, answer, .. } = *self;
        // Whoever asked may have stopped waiting (a browser that went away); the work stands all the same.
        let _ = answer.send(ended.and_then(|()| outcome.ok_or(StoreError::Closed)));
    }
}

/// Jobs that wait; shared by the threads of one lane.
pub(crate) struct Queue(Mutex<mpsc::Receiver<Box<dyn Job>>>);

impl Queue {
    pub(crate) fn new(jobs: mpsc::Receiver<Box<dyn Job>>) -> Self {
        Queue(Mutex::new(jobs))
    }

    /// Waits for a job; `None` when the store is closed and nothing waits any more.
    fn next(&self) -> Option<Box<dyn Job>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).blocking_recv()
    }

    /// A job that waits already. When another thread stands at the queue there is none: that thread takes it.
    fn waiting(&self) -> Option<Box<dyn Job>> {
        self.0.try_lock().ok()?.try_recv().ok()
    }

    fn is_empty(&self) -> bool {
        self.0.try_lock().map_or(true, |jobs| jobs.is_empty())
    }
}

/// Remembers a failed statement, see the module's text.
struct Watched<'a> {
    tx: &'a mut dyn Tx,
    failed: Option<StoreError>,
}

impl Tx for Watched<'_> {
    fn execute(&mut self, sql: &str, params: &[Value]) -> Result<u64, StoreError> {
        let done = without_zeros(params).and_then(|()| self.tx.execute(sql, params));
        done.inspect_err(|e| self.failed = Some(e.clone()))
    }

    fn query(&mut self, sql: &str, params: &[Value]) -> Result<Vec<Row>, StoreError> {
        let found = without_zeros(params).and_then(|()| self.tx.query(sql, params));
        found.inspect_err(|e| self.failed = Some(e.clone()))
    }

    fn dialect(&self) -> Dialect {
        self.tx.dialect()
    }
}

/// PostgreSQL keeps no text with a zero character and asks for none; refusing it everywhere keeps both databases alike.
fn without_zeros(params: &[Value]) -> Result<(), StoreError> {
    let has_zero = |it: &Value| matches!(it, Value::Text(text) if text.contains('\0'));
    if params.iter().any(has_zero) {
        return Err(StoreError::refused(
            "a text with a zero character",
            "remove the character and send again",
        ));
    }
    Ok(())
}

/// Runs a job; a panic becomes an error.
fn run(job: &mut dyn Job, tx: &mut dyn Tx) -> Result<(), StoreError> {
    let mut watched = Watched { tx, failed: None };
    let outcome = catch_unwind(AssertUnwindSafe(|| job.run(&mut watched)));
    match (watched.failed, outcome) {
        (Some(failed), Ok(Ok(()))) => Err(failed),
        (_, Ok(outcome)) => outcome,
        (_, Err(panic)) => Err(StoreError::Panicked { detail: words_of(&*panic) }),
    }
}

fn words_of(panic: &(dyn std::any::Any + Send)) -> String {
    let text = panic.downcast_ref::<&str>().map(|s| (*s).to_owned());
    text.or_else(|| panic.downcast_ref::<String>().cloned()).unwrap_or_else(|| "without words".into())
}

/// No more jobs than this share a commit.
const BATCH: usize = 256;
/// No job is added to a batch that has worked for this long.
const BATCH_SPAN: Duration = Duration::from_millis(20);
/// How often a job is run again before its error is answered.
const TRIES: u32 = 6;
/// The first wait before another try; doubled each time: about 3 s in all.
const FIRST_WAIT: Duration = Duration::from_millis(50);

/// True for errors after which the same job may well succeed.
fn passing(error: &StoreError) -> bool {
    matches!(error, StoreError::Met { .. } | StoreError::Away { unsure: false, .. })
}

/// The life of a thread that writes.
pub(crate) fn write_lane(link: &mut dyn Link, queue: &Queue) {
    while let Some(first) = queue.next() {
        batch(link, first, queue);
    }
}

/// The life of a thread that reads.
pub(crate) fn read_lane(link: &mut dyn Link, queue: &Queue) {
    while let Some(job) = queue.next() {
        alone(link, job, Mode::Read);
    }
}

/// A job that ran, and how.
type Ran = (Box<dyn Job>, Result<(), StoreError>);

/// Runs a job and those that wait behind it with one commit.
fn batch(link: &mut dyn Link, first: Box<dyn Job>, queue: &Queue) {
    if queue.is_empty() {
        return alone(link, first, Mode::Write);
    }
    if link.ready().and_then(|()| link.begin(Mode::Write)).is_err() {
        // The way of one job alone knows how to wait and what to answer.
        link.rollback();
        return alone(link, first, Mode::Write);
    }
    let begun = Instant::now();
    let mut ran: Vec<Ran> = Vec::new();
    let mut next = Some(first);
    while let Some(mut job) = next {
        // Without a savepoint: in SQLite each would cost another encryption of every page that the job touches.
        let ended = run(&mut *job, link);
        let failed = ended.is_err() || !link.open();
        ran.push((job, ended));
        if failed {
            link.rollback();
            return carefully(link, ran);
        }
        next = if ran.len() < BATCH && begun.elapsed() < BATCH_SPAN { queue.waiting() } else { None };
    }
    finish(link, ran);
}

/// Runs the jobs of a batch again of which one failed, each in a savepoint, so that this one takes no other with it.
fn carefully(link: &mut dyn Link, mut jobs: Vec<Ran>) {
    let mut lost = link.ready().and_then(|()| link.begin(Mode::Write)).is_err();
    for (job, ended) in &mut jobs {
        if lost {
            break;
        }
        *ended = in_savepoint(link, &mut **job);
        lost = !link.open() || ended.as_ref().is_err_and(passing);
    }
    if lost {
        link.rollback();
        for (job, _) in jobs {
            alone(link, job, Mode::Write);
        }
    } else {
        finish(link, jobs);
    }
}

/// Commits and answers. When the commit fails, everybody gets its error.
fn finish(link: &mut dyn Link, ran: Vec<Ran>) {
    let committed = link.commit();
    if committed.is_err() {
        link.rollback();
    }
    for (job, ended) in ran {
        job.answer(committed.clone().and(ended));
    }
}

fn in_savepoint(link: &mut dyn Link, job: &mut dyn Job) -> Result<(), StoreError> {
    link.control("SAVEPOINT job")?;
    let ended = run(job, link);
    if ended.is_err() && link.open() {
        link.control("ROLLBACK TO SAVEPOINT job")?;
    }
    if link.open() {
        link.control("RELEASE SAVEPOINT job")?;
    }
    ended
}

/// Runs a job in a transaction of its own, again when that may help, and answers.
fn alone(link: &mut dyn Link, mut job: Box<dyn Job>, mode: Mode) {
    let mut wait = FIRST_WAIT;
    let mut tried = 1;
    let ended = loop {
        let ended = once(link, &mut *job, mode);
        match &ended {
            Err(error) if passing(error) && tried < TRIES => {
                tried += 1;
                std::thread::sleep(wait);
                wait *= 2;
            }
            _ => break ended,
        }
    };
    job.answer(ended);
}

fn once(link: &mut dyn Link, job: &mut dyn Job, mode: Mode) -> Result<(), StoreError> {
    link.ready()?;
    let ended = link.begin(mode).and_then(|()| run(job, link)).and_then(|()| link.commit());
    if ended.is_err() {
        link.rollback();
    }
    ended
}
