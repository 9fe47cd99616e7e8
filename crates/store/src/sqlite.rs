//! Connections to an encrypted SQLite file, and what SQLite's codes mean.

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::types::{ToSqlOutput, ValueRef};
use rusqlite::{Connection, ErrorCode, OpenFlags, Statement, ToSql};

use crate::engine::{Link, Mode};
use crate::value::{Dialect, Row, Tx, Value};
use crate::{Key, StoreError};

/// How long a connection waits for another process before it answers [`StoreError::Busy`].
const PATIENCE: Duration = Duration::from_secs(10);
/// Statements kept prepared in each connection.
const PREPARED: usize = 128;
/// Page cache of the writer and of each reader, KiB (the pragma takes KiB as a negative number). The writer's stays
/// filled from commit to commit; a reader's is emptied by every commit of others.
const WRITER_CACHE_KIB: i64 = 64 * 1024;
const READER_CACHE_KIB: i64 = 16 * 1024;
/// SQLCipher's page size; every database file is a multiple of it.
const PAGE: u64 = 4096;

/// Who a connection is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Use {
    /// The lane that writes; makes the file when there is none.
    Write,
    /// Reading, beside a writer.
    Read,
    /// Reading a file that nobody writes (a backup).
    Rest,
}

/// One connection; opened when first needed.
pub(crate) struct SqliteLink {
    path: PathBuf,
    key: Key,
    usage: Use,
    conn: Option<Connection>,
}

impl SqliteLink {
    pub(crate) fn new(path: &Path, key: &Key, usage: Use) -> Self {
        SqliteLink { path: path.to_owned(), key: key.clone(), usage, conn: None }
    }

    /// Ends writing for good: the log is worked in, the file stands alone.
    pub(crate) fn rest(mut self) -> Result<(), StoreError> {
        let Some(conn) = self.conn.take() else { return Ok(()) };
        let ended = conn.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()));
        ended.and_then(|()| conn.close().map_err(|(_, e)| e)).map_err(|e| self.failed(e))
    }

    fn conn(&self) -> Result<&Connection, StoreError> {
        self.conn.as_ref().ok_or(StoreError::Closed)
    }

    fn failed(&self, error: rusqlite::Error) -> StoreError {
        explain(&self.path, error)
    }

    /// A statement without parameters and answer, prepared once.
    fn run(&self, sql: &str) -> Result<(), StoreError> {
        let run = |conn: &Connection| conn.prepare_cached(sql)?.execute([]);
        run(self.conn()?).map(drop).map_err(|e| self.failed(e))
    }
}

impl Link for SqliteLink {
    fn ready(&mut self) -> Result<(), StoreError> {
        if self.conn.is_none() {
            self.conn = Some(connect(&self.path, &self.key, self.usage)?);
        }
        Ok(())
    }

    fn begin(&mut self, mode: Mode) -> Result<(), StoreError> {
        self.run(match mode {
            Mode::Read => "BEGIN",
            Mode::Write => "BEGIN IMMEDIATE",
        })
    }

    fn commit(&mut self) -> Result<(), StoreError> {
        self.run("COMMIT")
    }

    fn rollback(&mut self) {
        if self.open() {
            // A rollback that fails leaves a transaction open, which a new connection does not have.
            if self.run("ROLLBACK").is_err() {
                self.conn = None;
            }
        }
    }

    fn control(&mut self, sql: &'static str) -> Result<(), StoreError> {
        self.run(sql)
    }

    fn open(&mut self) -> bool {
        self.conn.as_ref().is_some_and(|c| !c.is_autocommit())
    }
}

impl ToSql for Value {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(ToSqlOutput::Borrowed(match self {
            Value::Null => ValueRef::Null,
            Value::Int(v) => ValueRef::Integer(*v),
            Value::Text(v) => ValueRef::Text(v.as_bytes()),
            Value::Blob(v) => ValueRef::Blob(v),
        }))
    }
}

/// Binds by name: SQLite numbers `$n` in order of appearance, which need not be the order of the numbers.
fn bind(statement: &mut Statement<'_>, params: &[Value]) -> rusqlite::Result<()> {
    if statement.parameter_count() != params.len() {
        return Err(rusqlite::Error::InvalidParameterCount(params.len(), statement.parameter_count()));
    }
    for place in 1..=params.len() {
        let name = statement.parameter_name(place).unwrap_or_default();
        let number: Option<usize> = name.strip_prefix('$').and_then(|it| it.parse().ok());
        let value = number.and_then(|it| params.get(it.checked_sub(1)?));
        let value = value.ok_or_else(|| rusqlite::Error::InvalidParameterName(name.to_owned()))?;
        statement.raw_bind_parameter(place, value)?;
    }
    Ok(())
}

impl Tx for SqliteLink {
    fn execute(&mut self, sql: &str, params: &[Value]) -> Result<u64, StoreError> {
        let run = |conn: &Connection| -> rusqlite::Result<usize> {
            let mut statement = conn.prepare_cached(sql)?;
            bind(&mut statement, params)?;
            statement.raw_execute()
        };
        run(self.conn()?).map(|n| n as u64).map_err(|e| self.failed(e))
    }

    fn query(&mut self, sql: &str, params: &[Value]) -> Result<Vec<Row>, StoreError> {
        let run = |conn: &Connection| -> rusqlite::Result<Vec<Row>> {
            let mut statement = conn.prepare_cached(sql)?;
            bind(&mut statement, params)?;
            let columns: Arc<[String]> = statement.column_names().map(str::to_owned).collect();
            let mut rows = statement.raw_query();
            let mut found = Vec::new();
            while let Some(row) = rows.next()? {
                let values = (0..columns.len())
                    .map(|i| Ok(owned(row.get_ref(i)?)))
                    .collect::<rusqlite::Result<_>>()?;
                found.push(Row::new(columns.clone(), values));
            }
            Ok(found)
        };
        run(self.conn()?).map_err(|e| self.failed(e))
    }

    fn dialect(&self) -> Dialect {
        Dialect::Sqlite
    }
}

fn owned(value: ValueRef<'_>) -> Value {
    match value {
        ValueRef::Null => Value::Null,
        ValueRef::Integer(v) => Value::Int(v),
        // No column of ours holds a fraction; a foreign one is shown as text and refused by the typed getter.
        ValueRef::Real(v) => Value::Text(v.to_string()),
        ValueRef::Text(v) => match std::str::from_utf8(v) {
            Ok(text) => Value::Text(text.to_owned()),
            Err(_) => Value::Blob(v.to_vec()),
        },
        ValueRef::Blob(v) => Value::Blob(v.to_vec()),
    }
}

/// One key at a time.
static KEYING: std::sync::Mutex<()> = std::sync::Mutex::new(());

/// Opens a connection with key and pragmas, and proves that the key fits.
pub(crate) fn connect(path: &Path, key: &Key, usage: Use) -> Result<Connection, StoreError> {
    look_at(path, usage)?;
    let access = match usage {
        Use::Write => OpenFlags::SQLITE_OPEN_READ_WRITE,
        Use::Read | Use::Rest => OpenFlags::SQLITE_OPEN_READ_ONLY,
    };
    let failed = |e| explain(path, e);
    // The cipher sets itself up at the first key of a process, and two first keys at once meet it half made.
    let _alone = KEYING.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
    let conn = Connection::open_with_flags(path, access | OpenFlags::SQLITE_OPEN_NO_MUTEX).map_err(failed)?;
    conn.set_prepared_statement_cache_capacity(PREPARED);
    conn.busy_timeout(PATIENCE).map_err(failed)?;
    // SQLCipher would write its own lines to standard error; what went wrong is said once, by us.
    conn.pragma_update_and_check(None, "cipher_log_level", "NONE", |_| Ok(())).map_err(failed)?;
    conn.pragma_update_and_check(None, "key", key.pragma(), |_| Ok(())).map_err(failed)?;
    let place = || path.display().to_string();
    conn.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get::<_, i64>(0)).map_err(|e| {
        match e.sqlite_error_code() {
            Some(ErrorCode::NotADatabase) => StoreError::WrongKey { place: place() },
            // The file itself could be opened for writing, so it is the log beside it that could not be made.
            Some(ErrorCode::CannotOpen) if usage == Use::Write => StoreError::ReadOnly {
                place: place(),
                detail: "the log beside the file cannot be made".into(),
            },
            _ => failed(e),
        }
    })?;
    let cache = if usage == Use::Write { WRITER_CACHE_KIB } else { READER_CACHE_KIB };
    conn.pragma_update(None, "cache_size", -cache).map_err(failed)?;
    conn.pragma_update(None, "temp_store", "MEMORY").map_err(failed)?;
    // Plans may not depend on values: SQLite would prepare such a statement anew each time its values change.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true).map_err(failed)?;
    if usage == Use::Write {
        pragmas(&conn).map_err(|e| match failed(e) {
            StoreError::CannotOpen { place, detail } => StoreError::ReadOnly { place, detail },
            other => other,
        })?;
    }
    Ok(conn)
}

/// Pages in the log after which they are worked into the file. Most posts touch pages that the posts before them
/// touched too: worked in less often, those are written once for many.
const LOG_PAGES: i64 = 4_000;

/// What makes a commit last: write-ahead log, flushed at each commit.
pub(crate) fn pragmas(conn: &Connection) -> rusqlite::Result<()> {
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
    conn.pragma_update(None, "synchronous", "FULL")?;
    conn.pragma_update(None, "foreign_keys", "ON")?;
    conn.pragma_update_and_check(None, "wal_autocheckpoint", LOG_PAGES, |_| Ok(()))?;
    // After a burst the log is cut back to this many bytes.
    conn.pragma_update_and_check(None, "journal_size_limit", 64 * 1024 * 1024, |_| Ok(()))
}

/// Looks at the file before SQLite does, to tell "not ours" from "wrong key", and makes it when it is to be written.
fn look_at(path: &Path, usage: Use) -> Result<(), StoreError> {
    use std::io::{ErrorKind, Read};
    let place = || path.display().to_string();
    if usage == Use::Write {
        make_private(path)?;
    }
    let opened = std::fs::File::open(path).and_then(|file| Ok((file.metadata()?, file)));
    let (meta, mut file) = opened.map_err(|e| match e.kind() {
        ErrorKind::StorageFull => StoreError::Full { place: place() },
        _ => StoreError::CannotOpen { place: place(), detail: e.to_string() },
    })?;
    let not_ours = |found: &str| Err(StoreError::NotADatabase { place: place(), found: found.into() });
    if meta.is_dir() {
        return not_ours("a folder");
    }
    if meta.len() == 0 {
        return if usage == Use::Write { Ok(()) } else { not_ours("an empty file") };
    }
    let mut head = vec![0; PAGE as usize];
    let read =
        file.read(&mut head).map_err(|e| StoreError::Disk { place: place(), detail: e.to_string() })?;
    head.truncate(read);
    if head.starts_with(b"SQLite format 3\0") {
        return not_ours("an SQLite file that is not encrypted");
    }
    if meta.len() < PAGE || !looks_random(&head) {
        return not_ours("a file of another kind");
    }
    Ok(())
}

/// An encrypted page holds nearly all 256 byte values; texts, programs and most pictures' heads do not.
fn looks_random(page: &[u8]) -> bool {
    let mut seen = [false; 256];
    for byte in page {
        seen[usize::from(*byte)] = true;
    }
    seen.iter().filter(|s| **s).count() > 240
}

/// Makes an empty file that only its owner may read, when there is none; SQLite gives its log the same rights.
/// A file that is there must let itself be written: SQLite would open it for reading and fail later.
pub(crate) fn make_private(path: &Path) -> Result<(), StoreError> {
    use std::io::ErrorKind;
    let mut options = std::fs::OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let made = options.open(path).or_else(|e| match e.kind() {
        ErrorKind::AlreadyExists if path.is_file() => std::fs::OpenOptions::new().append(true).open(path),
        ErrorKind::AlreadyExists => std::fs::File::open(path),
        _ => Err(e),
    });
    let place = path.display().to_string();
    made.map(drop).map_err(|e| match e.kind() {
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            StoreError::ReadOnly { place, detail: e.to_string() }
        }
        ErrorKind::StorageFull => StoreError::Full { place },
        _ => StoreError::CannotOpen { place, detail: e.to_string() },
    })
}

/// What an error of SQLite means here. SQLite's texts name tables and columns, never values.
pub(crate) fn explain(path: &Path, error: rusqlite::Error) -> StoreError {
    let place = path.display().to_string();
    let detail = error.to_string();
    match error.sqlite_error_code() {
        Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => StoreError::Busy { place },
        Some(ErrorCode::DiskFull) => StoreError::Full { place },
        Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => StoreError::ReadOnly { place, detail },
        Some(ErrorCode::CannotOpen) => StoreError::CannotOpen { place, detail },
        Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => StoreError::Corrupt { place, detail },
        Some(ErrorCode::SystemIoFailure) => StoreError::Disk { place, detail },
        Some(ErrorCode::ConstraintViolation) => StoreError::Rule { place, detail },
        _ => StoreError::Sql { place, detail },
    }
}
