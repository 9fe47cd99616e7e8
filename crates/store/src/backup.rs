//! Backups: one encrypted file for both databases, made while the clinic works, restored into an empty place.
//!
//! A backup is a Handrail SQLite file under the clinic's key. From SQLite it is copied page by page, from PostgreSQL
//! table by table out of one snapshot; so a backup also moves a clinic from one database to the other. It is written
//! beside its name, verified, flushed and only then given the name: a file with the name is a whole backup.

use std::path::{Path, PathBuf};
use std::time::Duration;

use jiff::Timestamp;
use rusqlite::Connection;
use rusqlite::backup::StepResult;

use crate::engine::{Link, Mode};
use crate::journal::{self, Verified};
use crate::sqlite::{self, SqliteLink, Use};
use crate::store::{link, prepare};
use crate::value::{Tx, Value, query_one};
use crate::{Config, Key, Place, Store, StoreError, migrate, tokens};

/// Makes a backup of an open store and answers what its journal holds. Blocks the caller, never the writers: it reads
/// one unchanging state.
///
/// # Errors
/// [`StoreError::Exists`] when the file is there; [`StoreError::NoKey`] when a PostgreSQL store was opened without
/// one; [`StoreError::NotVerified`] when the copy's journal does not verify (the copy is removed).
pub fn backup(store: &Store, to: &Path) -> Result<Verified, StoreError> {
    let key = store.key().ok_or_else(|| StoreError::NoKey { place: to.display().to_string() })?;
    let partial = Partial::beside(to)?;
    match store.place() {
        Place::Sqlite(from) => copy_pages(from, key, &partial.path, Use::Read)?,
        Place::Postgres(_) => {
            let mut source = link(store.config(), Use::Read)?;
            source.ready()?;
            fill_file(&mut *source, key, &partial.path)?;
        }
    }
    let verified = verify_file(&partial.path, key)?;
    partial.keep(to)?;
    Ok(verified)
}

/// Restores a backup into a place that has nothing yet: a file that does not exist, or an empty PostgreSQL database.
/// The backup's journal is verified first. Everybody has to sign in again.
///
/// # Errors
/// [`StoreError::Exists`], [`StoreError::NotEmpty`], [`StoreError::NotVerified`]; those of opening either place.
/// Nothing is left behind at the place.
pub fn restore(from: &Path, key: &Key, to: &Config) -> Result<Verified, StoreError> {
    if let Place::Sqlite(path) = &to.place
        && path.exists()
    {
        return Err(StoreError::Exists { path: path.clone() });
    }
    let verified = verify_file(from, key)?;
    match &to.place {
        Place::Sqlite(path) => {
            let new = to.key.as_ref().ok_or_else(|| StoreError::NoKey { place: to.place.to_string() })?;
            let partial = Partial::beside(path)?;
            if new == key {
                copy_pages(from, key, &partial.path, Use::Rest)?;
            } else {
                let mut source = SqliteLink::new(from, key, Use::Rest);
                source.ready()?;
                fill_file(&mut source, new, &partial.path)?;
            }
            bring_up(&partial.path, new)?;
            partial.keep(path)?;
        }
        Place::Postgres(_) => {
            let mut source = SqliteLink::new(from, key, Use::Rest);
            source.ready()?;
            let mut target = link(to, Use::Write)?;
            prepare(&mut *target, &to.place.to_string())?;
            fill_empty(&mut source, &mut *target, &to.place.to_string())?;
        }
    }
    Ok(verified)
}

/// Reads every page of an SQLite file and of its indexes; answers what is wrong in the database's words. Empty = good.
///
/// # Errors
/// Those of opening the file.
pub fn check_pages(path: &Path, key: &Key) -> Result<Vec<String>, StoreError> {
    let conn = sqlite::connect(path, key, Use::Read)?;
    let failed = |e| sqlite::explain(path, e);
    let mut wrong = Vec::new();
    for pragma in ["cipher_integrity_check", "integrity_check"] {
        let sql = format!("PRAGMA {pragma}");
        let mut statement = conn.prepare(&sql).map_err(failed)?;
        let lines = statement.query_map([], |row| row.get::<_, String>(0)).map_err(failed)?;
        for line in lines {
            match line {
                Ok(text) if text == "ok" => {}
                Ok(text) => wrong.push(text),
                Err(error) => wrong.push(error.to_string()),
            }
        }
    }
    Ok(wrong)
}

/// Verifies the journal of a file that nobody writes.
///
/// # Errors
/// [`StoreError::NotVerified`] with the first fault; [`StoreError::Newer`]; those of opening the file.
pub fn verify_file(path: &Path, key: &Key) -> Result<Verified, StoreError> {
    let mut file = SqliteLink::new(path, key, Use::Rest);
    file.ready()?;
    let place = path.display().to_string();
    let found = migrate::found(&mut file)?;
    if found > migrate::newest() {
        return Err(StoreError::Newer { place, found, known: migrate::newest() });
    }
    if found == 0 {
        return Err(StoreError::NotADatabase {
            place,
            found: "an encrypted file without the tables of a clinic".into(),
        });
    }
    file.begin(Mode::Read)?;
    let verified = journal::verify(&mut file)?;
    match verified.faults.first() {
        None => Ok(verified),
        Some(fault) => Err(StoreError::NotVerified {
            place,
            detail: format!("{} entry {}: {}", fault.stream, fault.number, fault.what),
        }),
    }
}

/// Pages copied at a time; between them the disk is left to others for a moment.
const PAGES: i32 = 2000;
const PAUSE: Duration = Duration::from_millis(1);

/// Copies an SQLite file page by page out of one state. In WAL mode a reader holds up nobody.
fn copy_pages(from: &Path, key: &Key, to: &Path, usage: Use) -> Result<(), StoreError> {
    let source = sqlite::connect(from, key, usage)?;
    let failed_source = |e| sqlite::explain(from, e);
    let failed = |e| sqlite::explain(to, e);
    let mut target = Connection::open(to).map_err(failed)?;
    target.pragma_update_and_check(None, "cipher_log_level", "NONE", |_| Ok(())).map_err(failed)?;
    target.pragma_update_and_check(None, "key", key.pragma(), |_| Ok(())).map_err(failed)?;
    // Flushed once at the end, by `Partial::keep`.
    target.pragma_update(None, "synchronous", "OFF").map_err(failed)?;
    // The open read transaction keeps the state; without it a write meanwhile would begin the copy anew.
    source.execute_batch("BEGIN; SELECT count(*) FROM sqlite_schema;").map_err(failed_source)?;
    {
        let copy = rusqlite::backup::Backup::new(&source, &mut target).map_err(failed)?;
        loop {
            match copy.step(PAGES).map_err(failed_source)? {
                StepResult::Done => break,
                StepResult::More => std::thread::sleep(PAUSE),
                _ => std::thread::sleep(PAUSE * 20),
            }
        }
    }
    // A file at rest has no log beside it, so that it can be read from a medium that cannot be written.
    target.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(())).map_err(failed)?;
    target.close().map_err(|(_, e)| failed(e))
}

/// Brings a restored file to the newest form and ends all sessions in it.
fn bring_up(path: &Path, key: &Key) -> Result<(), StoreError> {
    let mut file = SqliteLink::new(path, key, Use::Write);
    prepare(&mut file, &path.display().to_string())?;
    file.begin(Mode::Write)?;
    end_sessions(&mut file)?;
    file.commit()
}

fn end_sessions(tx: &mut dyn Tx) -> Result<(), StoreError> {
    tx.execute("DELETE FROM patient_session", &[])?;
    tx.execute("DELETE FROM session", &[]).map(drop)
}

/// A table as it is copied: parents before children, `key` first so that pages follow it.
struct Table {
    name: &'static str,
    key: &'static [&'static str],
    rest: &'static [&'static str],
}

const TABLES: &[Table] = &[
    Table { name: "stream", key: &["id"], rest: &["head", "hash"] },
    Table {
        name: "entry",
        key: &["stream", "number"],
        rest: &[
            "recorded",
            "on_day",
            "by_id",
            "by_name",
            "kind",
            "form",
            "payload",
            "supersedes",
            "key",
            "prev",
            "hash",
        ],
    },
    Table {
        name: "summary",
        key: &["episode"],
        rest: &[
            "therapist",
            "name",
            "name_folded",
            "find",
            "born",
            "record",
            "protocol",
            "open",
            "updated",
            "head",
            "body",
        ],
    },
    Table {
        name: "attention",
        key: &["episode", "place"],
        rest: &["therapist", "name_folded", "reason", "rank", "from_day", "until_day", "detail", "entry"],
    },
    Table {
        name: "account",
        key: &["id"],
        rest: &[
            "login",
            "login_folded",
            "name",
            "role",
            "title",
            "password",
            "totp",
            "active",
            "failed",
            "locked_until",
            "created",
        ],
    },
    Table {
        name: "session",
        key: &["token"],
        rest: &["account", "kind", "csrf", "created", "last_seen", "ends"],
    },
    Table {
        name: "link",
        key: &["token"],
        rest: &["id", "episode", "created_by", "created", "expires", "revoked", "tries", "last_try"],
    },
    Table { name: "patient_session", key: &["token"], rest: &["link", "csrf", "created", "ends"] },
    Table { name: "draft", key: &["account", "what"], rest: &["body", "saved"] },
    Table {
        name: "content",
        key: &["kind", "id", "version"],
        rest: &["body", "state", "by_id", "by_name", "saved"],
    },
    Table {
        name: "signoff",
        key: &["kind", "id", "version", "text_hash", "by_id"],
        rest: &["by_name", "on_day", "recorded"],
    },
    Table { name: "setting", key: &["name"], rest: &["body"] },
];

/// Rows read at a time, and put into one transaction of a file that is being filled.
const ROWS: u64 = 2000;
/// Rows written by one statement.
const TOGETHER: usize = 40;

/// Makes a file with all rows of the source, out of one snapshot of it.
fn fill_file(source: &mut dyn Link, key: &Key, to: &Path) -> Result<(), StoreError> {
    let mut target = SqliteLink::new(to, key, Use::Write);
    prepare(&mut target, &to.display().to_string())?;
    source.begin(Mode::Read)?;
    same_form(source)?;
    for table in TABLES {
        copy_table(table, source, |rows| {
            target.begin(Mode::Write)?;
            insert(table, rows, &mut target)?;
            target.commit()
        })?;
    }
    source.rollback();
    target.rest()
}

/// Fills an empty database in one transaction.
fn fill_empty(source: &mut dyn Link, target: &mut dyn Link, place: &str) -> Result<(), StoreError> {
    let filled = (|| {
        source.begin(Mode::Read)?;
        same_form(source)?;
        target.begin(Mode::Write)?;
        for table in TABLES {
            let sql = format!("SELECT count(*) AS n FROM {}", table.name);
            let n = query_one(target, &sql, &[])?.count("n")?;
            if n > 0 {
                return Err(StoreError::NotEmpty {
                    place: place.to_owned(),
                    found: format!("{n} rows in {}", table.name),
                });
            }
        }
        for table in TABLES {
            copy_table(table, source, |rows| insert(table, rows, target))?;
        }
        end_sessions(target)?;
        target.commit()
    })();
    if filled.is_err() {
        target.rollback();
    }
    filled
}

/// Tables are copied between equal forms only.
fn same_form(source: &mut dyn Tx) -> Result<(), StoreError> {
    let found = migrate::found(source)?;
    if found == migrate::newest() {
        return Ok(());
    }
    Err(StoreError::refused(
        format!("the backup has form {found}, the tables to fill have form {}", migrate::newest()),
        "restore the backup into a file with its own key first, which brings it up to date, and back that up",
    ))
}

/// Hands all rows of a table over in pages.
fn copy_table(
    table: &Table,
    source: &mut dyn Tx,
    mut put: impl FnMut(&[Vec<Value>]) -> Result<(), StoreError>,
) -> Result<(), StoreError> {
    let columns = [table.key, table.rest].concat().join(", ");
    let key = table.key.join(", ");
    let width = table.key.len();
    let places = (1..=width).map(|i| format!("${i}")).collect::<Vec<_>>().join(", ");
    let name = table.name;
    let first = format!("SELECT {columns} FROM {name} ORDER BY {key} LIMIT $1");
    let next = format!(
        "SELECT {columns} FROM {name} WHERE ({key}) > ({places}) ORDER BY {key} LIMIT ${}",
        width + 1
    );
    let mut rows = source.query(&first, &[ROWS.into()])?;
    while let Some(last) = rows.last() {
        let mut after = last.values()[..width].to_vec();
        after.push(ROWS.into());
        let page: Vec<Vec<Value>> = rows.iter().map(|r| r.values().to_vec()).collect();
        put(&page)?;
        rows = source.query(&next, &after)?;
    }
    Ok(())
}

fn insert(table: &Table, rows: &[Vec<Value>], target: &mut dyn Tx) -> Result<(), StoreError> {
    for some in rows.chunks(TOGETHER) {
        // Two shapes of the statement only: full chunks, and single rows for the rest.
        let together = if some.len() == TOGETHER { TOGETHER } else { 1 };
        let sql = insert_text(table, together);
        for part in some.chunks(together) {
            target.execute(&sql, &part.concat())?;
        }
    }
    Ok(())
}

fn insert_text(table: &Table, rows: usize) -> String {
    let columns = [table.key, table.rest].concat();
    let width = columns.len();
    let row = |i: usize| {
        let places = (1..=width).map(|c| format!("${}", i * width + c)).collect::<Vec<_>>();
        format!("({})", places.join(", "))
    };
    let values = (0..rows).map(row).collect::<Vec<_>>().join(", ");
    format!("INSERT INTO {} ({}) VALUES {values}", table.name, columns.join(", "))
}

/// A file in the making, beside the one it will be; removed unless kept.
struct Partial {
    path: PathBuf,
}

impl Partial {
    fn beside(to: &Path) -> Result<Partial, StoreError> {
        if to.exists() {
            return Err(StoreError::Exists { path: to.to_owned() });
        }
        let failed = |detail: String| StoreError::File { path: to.to_owned(), detail };
        let name = to.file_name().ok_or_else(|| failed("expected the name of a file".into()))?;
        let mut partial = std::ffi::OsString::from(".");
        partial.push(name);
        partial.push(format!(".{}.partial", tokens::new_id()?));
        let path = to.with_file_name(partial);
        sqlite::make_private(&path)?;
        Ok(Partial { path })
    }

    /// Flushes the file and gives it its name, unless something has it by now.
    fn keep(self, to: &Path) -> Result<(), StoreError> {
        let failed = |e: std::io::Error| match e.kind() {
            std::io::ErrorKind::AlreadyExists => StoreError::Exists { path: to.to_owned() },
            std::io::ErrorKind::StorageFull => StoreError::Full { place: to.display().to_string() },
            _ => StoreError::File { path: to.to_owned(), detail: e.to_string() },
        };
        std::fs::File::open(&self.path).and_then(|f| f.sync_all()).map_err(failed)?;
        // A second name for the same file, because renaming would overwrite; some media know no second names.
        match std::fs::hard_link(&self.path, to) {
            Ok(()) => {}
            Err(e) if e.kind() == std::io::ErrorKind::AlreadyExists || to.exists() => return Err(failed(e)),
            Err(_) => std::fs::rename(&self.path, to).map_err(failed)?,
        }
        let folder = match to.parent() {
            Some(parent) if !parent.as_os_str().is_empty() => parent,
            _ => Path::new("."),
        };
        std::fs::File::open(folder).and_then(|f| f.sync_all()).map_err(failed)
    }
}

impl Drop for Partial {
    fn drop(&mut self) {
        for end in ["", "-wal", "-shm", "-journal"] {
            let mut path = self.path.clone().into_os_string();
            path.push(end);
            let _ = std::fs::remove_file(path);
        }
    }
}

/// When a backup was made, for its usual name: `handrail-2026-11-25T170501Z.backup`.
pub fn usual_name(now: Timestamp) -> String {
    format!("handrail-{}.backup", now.strftime("%Y-%m-%dT%H%M%SZ"))
}
