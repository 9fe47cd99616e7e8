//! The clinic's own content texts, and who signed which text. A change adds a version; the newest one counts.

use jiff::Timestamp;
use jiff::civil::Date;

use crate::StoreError;
use crate::journal::Author;
use crate::value::{Row, Tx, Value, query_one, query_opt};

/// One version of one text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Content {
    /// What sort (`exercise`, `protocol`, `words`).
    pub kind: String,
    /// Its identifier within the kind.
    pub id: String,
    /// 1, 2, 3, ...
    pub version: u64,
    /// The text.
    pub body: String,
    /// In the caller's words (`draft`, `in use`, `withdrawn`).
    pub state: String,
    /// Who saved this version.
    pub by: Author,
    /// When it was saved.
    pub saved: Timestamp,
}

/// A clinician's signature under a text, whether the clinic's own or built in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SignOff {
    /// What sort of text.
    pub kind: String,
    /// Its identifier.
    pub id: String,
    /// The version as the text names it.
    pub version: String,
    /// The hash of the text that was read.
    pub text_hash: [u8; 32],
    /// Who signed.
    pub by: Author,
    /// On which day.
    pub on: Date,
    /// When it was recorded.
    pub recorded: Timestamp,
}

const COLUMNS: &str = "kind, id, version, body, state, by_id, by_name, saved";

/// Adds a version and answers its number. `expected` is the version that the writer had before them (0 = none).
///
/// # Errors
/// [`StoreError::Conflict`] when somebody saved another version meanwhile.
pub fn save(
    tx: &mut dyn Tx,
    (kind, id): (&str, &str),
    expected: u64,
    (body, state): (&str, &str),
    by: &Author,
    now: Timestamp,
) -> Result<u64, StoreError> {
    let newest = "SELECT COALESCE(max(version), 0) AS n FROM content WHERE kind = $1 AND id = $2";
    let head = query_one(tx, newest, &[kind.into(), id.into()])?.count("n")?;
    if head != expected {
        return Err(StoreError::Conflict { stream: format!("{kind} {id}"), expected, head });
    }
    let version = head + 1;
    let values: [Value; 8] = [
        kind.into(),
        id.into(),
        version.into(),
        body.into(),
        state.into(),
        by.id.as_str().into(),
        by.name.as_str().into(),
        now.into(),
    ];
    let sql = "INSERT INTO content (kind, id, version, body, state, by_id, by_name, saved) VALUES ($1, $2, $3, $4, $5, $6, $7, $8)";
    tx.execute(sql, &values)?;
    Ok(version)
}

/// The newest version of a text.
///
/// # Errors
/// Errors of the database, also below.
pub fn newest(tx: &mut dyn Tx, kind: &str, id: &str) -> Result<Option<Content>, StoreError> {
    let sql =
        format!("SELECT {COLUMNS} FROM content WHERE kind = $1 AND id = $2 ORDER BY version DESC LIMIT 1");
    query_opt(tx, &sql, &[kind.into(), id.into()])?.as_ref().map(content_of).transpose()
}

/// All versions of a text, newest first.
pub fn versions(tx: &mut dyn Tx, kind: &str, id: &str) -> Result<Vec<Content>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM content WHERE kind = $1 AND id = $2 ORDER BY version DESC");
    tx.query(&sql, &[kind.into(), id.into()])?.iter().map(content_of).collect()
}

/// The newest version of every text, by kind and identifier.
pub fn all_newest(tx: &mut dyn Tx) -> Result<Vec<Content>, StoreError> {
    let sql = format!(
        "SELECT {COLUMNS} FROM content c
         WHERE version = (SELECT max(version) FROM content d WHERE d.kind = c.kind AND d.id = c.id) ORDER BY kind, id"
    );
    tx.query(&sql, &[])?.iter().map(content_of).collect()
}

/// Kind, identifier and newest version of every text, without the texts: enough to see whether something changed.
pub fn heads(tx: &mut dyn Tx) -> Result<Vec<(String, String, u64)>, StoreError> {
    let sql = "SELECT kind, id, max(version) AS version FROM content GROUP BY kind, id ORDER BY kind, id";
    let of = |row: &Row| Ok((row.text("kind")?, row.text("id")?, row.count("version")?));
    tx.query(sql, &[])?.iter().map(of).collect()
}

/// Keeps a signature; signing the same text again changes nothing.
pub fn sign(tx: &mut dyn Tx, s: &SignOff) -> Result<(), StoreError> {
    let values: [Value; 8] = [
        s.kind.as_str().into(),
        s.id.as_str().into(),
        s.version.as_str().into(),
        s.text_hash.into(),
        s.by.id.as_str().into(),
        s.by.name.as_str().into(),
        s.on.into(),
        s.recorded.into(),
    ];
    let sql = "INSERT INTO signoff (kind, id, version, text_hash, by_id, by_name, on_day, recorded)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8) ON CONFLICT DO NOTHING";
    tx.execute(sql, &values).map(drop)
}

/// All signatures, by kind, identifier and time.
pub fn signoffs(tx: &mut dyn Tx) -> Result<Vec<SignOff>, StoreError> {
    let sql = "SELECT kind, id, version, text_hash, by_id, by_name, on_day, recorded FROM signoff
         ORDER BY kind, id, recorded, by_id";
    tx.query(sql, &[])?.iter().map(signoff_of).collect()
}

/// The signatures under one text, of any version, oldest first.
pub fn signoffs_of(tx: &mut dyn Tx, kind: &str, id: &str) -> Result<Vec<SignOff>, StoreError> {
    let sql = "SELECT kind, id, version, text_hash, by_id, by_name, on_day, recorded FROM signoff
         WHERE kind = $1 AND id = $2 ORDER BY recorded, by_id";
    tx.query(sql, &[kind.into(), id.into()])?.iter().map(signoff_of).collect()
}

/// The hash of a text as signatures name it.
pub fn text_hash(text: &str) -> [u8; 32] {
    blake3::derive_key("handrail 2026-11 text of content v1", text.as_bytes())
}

fn content_of(row: &Row) -> Result<Content, StoreError> {
    Ok(Content {
        kind: row.text("kind")?,
        id: row.text("id")?,
        version: row.count("version")?,
        body: row.text("body")?,
        state: row.text("state")?,
        by: Author { id: row.text("by_id")?, name: row.text("by_name")? },
        saved: row.moment("saved")?,
    })
}

fn signoff_of(row: &Row) -> Result<SignOff, StoreError> {
    Ok(SignOff {
        kind: row.text("kind")?,
        id: row.text("id")?,
        version: row.text("version")?,
        text_hash: row.hash("text_hash")?,
        by: Author { id: row.text("by_id")?, name: row.text("by_name")? },
        on: row.day("on_day")?,
        recorded: row.moment("recorded")?,
    })
}
