//! The handle that the rest of the program holds.

use std::sync::Arc;
use std::thread::JoinHandle;

use jiff::Timestamp;
use tokio::sync::{mpsc, oneshot};

use crate::engine::{Asked, Job, Link, Mode, Queue, read_lane, write_lane};
use crate::pg::PostgresLink;
use crate::sqlite::{SqliteLink, Use};
use crate::value::Tx;
use crate::{Config, Key, Place, StoreError, migrate};

/// Jobs that may wait before callers wait to hand in theirs.
const WAITING: usize = 1024;

/// An open store. Cheap to clone; the last clone that is dropped finishes the waiting jobs and closes the database.
#[derive(Clone)]
pub struct Store {
    inner: Arc<Inner>,
}

struct Inner {
    config: Config,
    write: Lane,
    read: Lane,
}

/// The way to some threads that work off jobs.
struct Lane {
    jobs: Option<mpsc::Sender<Box<dyn Job>>>,
    threads: Vec<JoinHandle<()>>,
}

impl Lane {
    fn jobs(&self) -> Result<&mpsc::Sender<Box<dyn Job>>, StoreError> {
        self.jobs.as_ref().ok_or(StoreError::Closed)
    }

    /// Takes no more jobs, and waits until those that wait are done and the threads have ended.
    fn end(&mut self) {
        self.jobs = None;
        for thread in self.threads.drain(..) {
            // A job that held the last clone drops it on a lane's own thread, which cannot wait for itself.
            if thread.thread().id() != std::thread::current().id() {
                let _ = thread.join();
            }
        }
    }
}

impl Store {
    /// Opens the records, making the database when there is none and bringing its tables up to date.
    ///
    /// # Errors
    /// Every way in which a place or key can be wrong, see [`StoreError`].
    pub fn open(config: &Config) -> Result<Store, StoreError> {
        let mut writer = link(config, Use::Write)?;
        prepare(&mut *writer, &config.place.to_string())?;
        let cores = std::thread::available_parallelism().map_or(2, usize::from);
        let readers = config.readers.unwrap_or_else(|| cores.clamp(2, 8)).max(1);
        let (write, writes) = mpsc::channel(WAITING);
        let (read, reads) = mpsc::channel(WAITING);
        let writes = Queue::new(writes);
        let writer = spawn("store-write", move || write_lane(&mut *writer, &writes))?;
        let reads = Arc::new(Queue::new(reads));
        let mut threads = Vec::new();
        for _ in 0..readers {
            let mut reader = link(config, Use::Read)?;
            let reads = reads.clone();
            threads.push(spawn("store-read", move || read_lane(&mut *reader, &reads))?);
        }
        let write = Lane { jobs: Some(write), threads: vec![writer] };
        let read = Lane { jobs: Some(read), threads };
        Ok(Store { inner: Arc::new(Inner { config: config.clone(), write, read }) })
    }

    /// Like [`Store::open`], but refuses a file that does not exist, for commands that must not begin a clinic.
    ///
    /// # Errors
    /// Those of [`Store::open`], and [`StoreError::CannotOpen`] when there is no file.
    pub fn open_existing(config: &Config) -> Result<Store, StoreError> {
        match &config.place {
            Place::Sqlite(path) if !path.exists() => Err(StoreError::CannotOpen {
                place: config.place.to_string(),
                detail: "there is no such file".into(),
            }),
            _ => Store::open(config),
        }
    }

    /// Runs a job that writes, in one transaction. `Ok` means: it is on disk.
    ///
    /// Jobs of one database run one after the other, also those of other processes. A job that answers an error
    /// leaves nothing behind. A job may be run again (another of its batch failed, connection lost before the commit), hence
    /// `FnMut`: it must not have effects outside of the transaction. When the caller stops waiting the job still runs.
    ///
    /// # Errors
    /// The job's own; that of the commit; [`StoreError::Panicked`]; [`StoreError::Closed`].
    pub async fn write<T, F>(&self, job: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: FnMut(&mut dyn Tx) -> Result<T, StoreError> + Send + 'static,
    {
        let (asked, answer) = Asked::new(job);
        hand_in(self.inner.write.jobs()?, Box::new(asked), answer).await
    }

    /// Runs a job that only reads; it sees one unchanging state of the database.
    ///
    /// # Errors
    /// As [`Store::write`]; a statement that writes is refused.
    pub async fn read<T, F>(&self, job: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: FnMut(&mut dyn Tx) -> Result<T, StoreError> + Send + 'static,
    {
        let (asked, answer) = Asked::new(job);
        hand_in(self.inner.read.jobs()?, Box::new(asked), answer).await
    }

    /// [`Store::write`] for callers outside of an async runtime; inside of one it panics.
    ///
    /// # Errors
    /// As [`Store::write`].
    pub fn write_blocking<T, F>(&self, job: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: FnMut(&mut dyn Tx) -> Result<T, StoreError> + Send + 'static,
    {
        let (asked, answer) = Asked::new(job);
        hand_in_blocking(self.inner.write.jobs()?, Box::new(asked), answer)
    }

    /// [`Store::read`] for callers outside of an async runtime; inside of one it panics.
    ///
    /// # Errors
    /// As [`Store::read`].
    pub fn read_blocking<T, F>(&self, job: F) -> Result<T, StoreError>
    where
        T: Send + 'static,
        F: FnMut(&mut dyn Tx) -> Result<T, StoreError> + Send + 'static,
    {
        let (asked, answer) = Asked::new(job);
        hand_in_blocking(self.inner.read.jobs()?, Box::new(asked), answer)
    }

    /// Where the records are.
    pub fn place(&self) -> &Place {
        &self.inner.config.place
    }

    pub(crate) fn config(&self) -> &Config {
        &self.inner.config
    }

    pub(crate) fn key(&self) -> Option<&Key> {
        self.inner.config.key.as_ref()
    }
}

impl Drop for Inner {
    fn drop(&mut self) {
        // The connection that writes is closed last: only it can work SQLite's log into the file and remove it.
        self.read.end();
        self.write.end();
    }
}

impl std::fmt::Debug for Store {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Store({})", self.inner.config.place)
    }
}

/// A connection to the place, not yet open.
pub(crate) fn link(config: &Config, usage: Use) -> Result<Box<dyn Link>, StoreError> {
    match &config.place {
        Place::Sqlite(path) => {
            let key =
                config.key.as_ref().ok_or_else(|| StoreError::NoKey { place: config.place.to_string() })?;
            Ok(Box::new(SqliteLink::new(path, key, usage)))
        }
        Place::Postgres(url) => Ok(Box::new(PostgresLink::new(url, &config.place.to_string())?)),
    }
}

/// Opens the connection and brings the tables up to date.
pub(crate) fn prepare(link: &mut dyn Link, place: &str) -> Result<(), StoreError> {
    link.ready()?;
    link.begin(Mode::Write)?;
    let done = migrate::migrate(link, place, Timestamp::now()).and_then(|()| link.commit());
    if done.is_err() {
        link.rollback();
    }
    done
}

fn spawn(name: &str, life: impl FnOnce() + Send + 'static) -> Result<JoinHandle<()>, StoreError> {
    std::thread::Builder::new().name(name.into()).spawn(life).map_err(|e| {
        StoreError::refused(
            format!("the system gives no thread: {e}"),
            "raise the limit of threads for this account",
        )
    })
}

async fn hand_in<T>(
    lane: &mpsc::Sender<Box<dyn Job>>,
    job: Box<dyn Job>,
    answer: oneshot::Receiver<Result<T, StoreError>>,
) -> Result<T, StoreError> {
    lane.send(job).await.map_err(|_| StoreError::Closed)?;
    answer.await.map_err(|_| StoreError::Closed)?
}

fn hand_in_blocking<T>(
    lane: &mpsc::Sender<Box<dyn Job>>,
    job: Box<dyn Job>,
    answer: oneshot::Receiver<Result<T, StoreError>>,
) -> Result<T, StoreError> {
    lane.blocking_send(job).map_err(|_| StoreError::Closed)?;
    answer.blocking_recv().map_err(|_| StoreError::Closed)?
}
