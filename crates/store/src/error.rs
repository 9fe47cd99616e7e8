//! What can go wrong between a closure and the disk, said so that the reader knows where and what to do.

use std::path::PathBuf;

/// Why the store refused, failed or is away.
///
/// The text ([`std::fmt::Display`], [`StoreError::message`]) says what is so, in one sentence in lower case;
/// [`StoreError::mend`] says what to do about it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum StoreError {
    /// SQLite was asked for without a key: records are never written unencrypted.
    #[error("{place}: records are kept encrypted, and no key was given")]
    NoKey {
        /// The database file.
        place: String,
    },
    /// The key file could not be read, or holds nothing usable.
    #[error("the key file {} cannot be used: {cause}", path.display())]
    KeyFile {
        /// The key file.
        path: PathBuf,
        /// What is wrong with it.
        cause: String,
    },
    /// The file does not open with this key. A damaged first page looks the same: the file tells no difference.
    #[error("{place}: this key does not open the file (or its first page is damaged)")]
    WrongKey {
        /// The database file.
        place: String,
    },
    /// The file is something else.
    #[error("{place}: expected a Handrail database, found {found}")]
    NotADatabase {
        /// The database file.
        place: String,
        /// What the file seems to be.
        found: String,
    },
    /// A page or a row is not what was once written.
    #[error("{place}: the database is damaged: {detail}")]
    Corrupt {
        /// The database.
        place: String,
        /// What was noticed.
        detail: String,
    },
    /// The file, its folder or the server does not accept writing.
    #[error("{place}: cannot be written: {detail}")]
    ReadOnly {
        /// The database.
        place: String,
        /// What was noticed.
        detail: String,
    },
    /// The file cannot be opened or made.
    #[error("{place}: cannot be opened: {detail}")]
    CannotOpen {
        /// The database.
        place: String,
        /// What was noticed.
        detail: String,
    },
    /// The database server let nobody in: unknown account, password or database.
    #[error("{place}: the database server refused the connection: {detail}")]
    Denied {
        /// The server, without password.
        place: String,
        /// What the server said.
        detail: String,
    },
    /// The encrypted connection was not made: the server's certificate is missing, wrong or unknown.
    #[error("{place}: the database server did not prove who it is: {detail}")]
    Untrusted {
        /// The server, without password.
        place: String,
        /// What was noticed.
        detail: String,
    },
    /// No room is left on the disk. Nothing of the job was written.
    #[error("{place}: the disk is full, nothing was written")]
    Full {
        /// The database.
        place: String,
    },
    /// The disk failed in reading or writing.
    #[error("{place}: the disk failed: {detail}")]
    Disk {
        /// The database.
        place: String,
        /// What was noticed.
        detail: String,
    },
    /// The database server cannot be reached, or was lost on the way.
    #[error("{place}: the database is away: {detail}{}", if *.unsure { "; whether the last change was recorded is not known" } else { "" })]
    Away {
        /// The server, without password.
        place: String,
        /// What was noticed.
        detail: String,
        /// True when the connection was lost after the commit was sent: it may or may not have been recorded.
        unsure: bool,
    },
    /// Another process held the database for too long.
    #[error("{place}: another process holds the database")]
    Busy {
        /// The database.
        place: String,
    },
    /// Two transactions met; only PostgreSQL. The engine runs the job again, so it is seen only when that failed often.
    #[error("{place}: the change met others at the same time, several times over: {detail}")]
    Met {
        /// The database.
        place: String,
        /// What was noticed.
        detail: String,
    },
    /// The database was written by a newer program.
    #[error("{place}: the database has form {found}, this program knows forms up to {known}")]
    Newer {
        /// The database.
        place: String,
        /// The form found.
        found: i64,
        /// The newest form this program knows.
        known: i64,
    },
    /// The place is neither a file path nor a usable URL.
    #[error("{place}: {detail}")]
    BadPlace {
        /// The place as given, without password.
        place: String,
        /// What is wrong with it.
        detail: String,
    },
    /// A file stands where one would be written.
    #[error("{}: exists already, nothing was written", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// A database that must be empty has content.
    #[error("{place}: expected an empty database, found {found}")]
    NotEmpty {
        /// The database.
        place: String,
        /// What is in it.
        found: String,
    },
    /// A backup whose journal does not verify is not restored.
    #[error("{place}: the journal in this file does not verify: {detail}")]
    NotVerified {
        /// The backup.
        place: String,
        /// The first fault.
        detail: String,
    },
    /// Somebody else appended first.
    #[error("{stream}: expected entry {expected} to be the last, found {head}")]
    Conflict {
        /// The stream.
        stream: String,
        /// The head that the caller had seen.
        expected: u64,
        /// The head that the stream has.
        head: u64,
    },
    /// What was asked for cannot be done; the caller's data, not the database.
    #[error("{what}")]
    Refused {
        /// What is so.
        what: String,
        /// What would make it acceptable.
        mend: String,
    },
    /// A column is missing or has another type than asked for: a mistake in the program or a foreign database.
    #[error("column `{column}`: expected {expected}, found {found}")]
    Column {
        /// The column's name.
        column: String,
        /// The type asked for.
        expected: &'static str,
        /// What was found.
        found: String,
    },
    /// A rule of the tables refused the change (unique, not null, foreign key, append only).
    #[error("{place}: the tables refuse the change: {detail}")]
    Rule {
        /// The database.
        place: String,
        /// The rule, in the database's words.
        detail: String,
    },
    /// The database did not understand a statement, or anything not named above.
    #[error("{place}: {detail}")]
    Sql {
        /// The database.
        place: String,
        /// The database's words.
        detail: String,
    },
    /// A job panicked. Nothing of it was written; the store goes on.
    #[error("a job of the store broke off: {detail}")]
    Panicked {
        /// The panic's message.
        detail: String,
    },
    /// A file beside the database (backup, key) failed.
    #[error("{}: {detail}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What was noticed.
        detail: String,
    },
    /// The store has been closed.
    #[error("the store is closed")]
    Closed,
}

impl StoreError {
    /// A refusal of the caller's data.
    pub fn refused(what: impl Into<String>, mend: impl Into<String>) -> Self {
        StoreError::Refused { what: what.into(), mend: mend.into() }
    }

    /// What is so, in one sentence.
    pub fn message(&self) -> String {
        self.to_string()
    }

    /// What to do about it.
    pub fn mend(&self) -> String {
        match self {
            StoreError::NoKey { .. } => "make a key file once with `handrail key new FILE`, name it with `--key-file FILE`, and keep a copy \
                 away from the database: without the key nothing can be read"
                .into(),
            StoreError::KeyFile { .. } => "a key file holds one line: 64 hexadecimal digits or a passphrase of at least 12 characters; \
                 restore it from your copy, or name another with `--key-file`"
                .into(),
            StoreError::WrongKey { .. } => "use the key file that belongs to this database; if the key is surely right, the file is \
                 damaged: restore the last backup with `handrail restore`"
                .into(),
            StoreError::NotADatabase { .. } => {
                "check the path given with `--database`; to begin a new database, name a file that does not exist yet".into()
            }
            StoreError::Corrupt { .. } => "stop the server, keep the damaged file, restore the last backup with `handrail restore` into a new \
                 file, and check the disk"
                .into(),
            StoreError::ReadOnly { .. } => {
                "give the account that runs Handrail the right to write the file and its folder, or mount the disk for writing"
                    .into()
            }
            StoreError::CannotOpen { .. } => "check that the folder exists and that the account that runs Handrail may enter it".into(),
            StoreError::Denied { .. } => "check the account, the password and the database's name in the URL, and that the server's \
                 pg_hba.conf lets this machine in"
                .into(),
            StoreError::Untrusted { .. } => "use the host name that stands in the server's certificate, and name the certificate of the \
                 authority that signed it: `sslrootcert=FILE` in the URL; `sslmode=disable` only where the \
                 network between the machines is encrypted already"
                .into(),
            StoreError::Full { .. } => "make room on the disk; the next change is tried as usual, no restart is needed".into(),
            StoreError::Disk { .. } => "check the disk and its cables or mount; then run `handrail journal verify`".into(),
            StoreError::Away { unsure: true, .. } => "send the change again with the same key once the database is back: it is recorded once".into(),
            StoreError::Away { .. } => {
                "check that the database server runs and can be reached; Handrail connects again by itself".into()
            }
            StoreError::Busy { .. } => "wait for the other process (a backup, a long report) to end, or stop it, and try again".into(),
            StoreError::Met { .. } => "try again".into(),
            StoreError::Newer { .. } => "use the newer program, or restore a backup made before it was installed".into(),
            StoreError::BadPlace { .. } => {
                "name a file, or a URL such as `postgres://user@127.0.0.1:5432/handrail`".into()
            }
            StoreError::Exists { .. } => "name a file that does not exist yet, or move the old one away".into(),
            StoreError::NotEmpty { .. } => "restore into a database that was just created".into(),
            StoreError::NotVerified { .. } => "use an older backup, and keep this one to find out what happened".into(),
            StoreError::Conflict { .. } => "read what was added since, then decide again".into(),
            StoreError::Refused { mend, .. } => mend.clone(),
            StoreError::Column { .. } | StoreError::Sql { .. } | StoreError::Rule { .. } | StoreError::Panicked { .. } => {
                "this is a mistake in the program: please report it with this message".into()
            }
            StoreError::File { .. } => "check the path, the room on the disk and the rights of the account that runs Handrail".into(),
            StoreError::Closed => "start the program again".into(),
        }
    }
}
