//! The append-only journal: streams of entries, each chained by hash to the one before.
//!
//! One stream for each episode, and [`CLINIC`] for what the clinic itself does. Nothing is edited or deleted (the
//! tables refuse it); a correction is a new entry that supersedes an older one of its stream.
//!
//! **Exactly once.** A record may carry a key (made by the sender). A key that the stream has seen is answered with
//! the number of the entry it became, and nothing is written: whoever is unsure sends again.
//!
//! **Time.** `number` gives the order, not `recorded`. `recorded` is what the clock said, also when it had been set
//! back: a corrected time would be a false record. [`verify`] reports a clock that went back by more than a minute
//! as a remark, not as a break (two servers may differ by seconds).
//!
//! **Chain.** `hash` covers every field of the entry, the stream's name, the number and the hash before; the first
//! entry follows 32 zero bytes. `stream.head` and `stream.hash` say what the last entry must be. Who can write the
//! file *and* has the key could build a whole new chain; [`Verified::digest`], kept elsewhere, shows that too.

use std::collections::BTreeMap;

use jiff::Timestamp;
use jiff::civil::Date;

use crate::value::{Dialect, Row, Tx, Value, query_opt};
use crate::{StoreError, tokens};

/// The stream of what the clinic itself did. Kinds in use: `login`, `login_failed`, `logout`, `account`, `setting`,
/// `link`, `view`, `signoff`, `content`, `backup`, `restore`.
pub const CLINIC: &str = "clinic";

/// Who entered something.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Author {
    /// The account's identifier, or what stands for one (`patient`, `command line`).
    pub id: String,
    /// The name as it was shown then; it stays when the account is renamed.
    pub name: String,
}

/// An entry to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewRecord {
    /// The day on which it was true.
    pub on: Date,
    /// Who entered it.
    pub by: Author,
    /// What sort of fact it is.
    pub kind: String,
    /// The version of the payload's form.
    pub form: u32,
    /// The fact itself, usually JSON. The store does not look inside.
    pub payload: String,
    /// The number of an earlier entry of the same stream that this one corrects.
    pub supersedes: Option<u64>,
    /// The sender's key; the same key is written once.
    pub key: Option<String>,
}

/// An entry as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Record {
    /// The stream.
    pub stream: String,
    /// 1, 2, 3, ... without gaps.
    pub number: u64,
    /// When it was recorded, to the millisecond.
    pub recorded: Timestamp,
    /// The day on which it was true.
    pub on: Date,
    /// Who entered it.
    pub by: Author,
    /// What sort of fact it is.
    pub kind: String,
    /// The version of the payload's form.
    pub form: u32,
    /// The fact itself.
    pub payload: String,
    /// The entry that this one corrects.
    pub supersedes: Option<u64>,
    /// The sender's key.
    pub key: Option<String>,
    /// The hash of the entry before; zeros for the first.
    pub prev: [u8; 32],
    /// The hash of this entry.
    pub hash: [u8; 32],
}

/// What became of one record.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Appended {
    /// The entry's number.
    pub number: u64,
    /// True when its key had been seen: it is the entry of then, and nothing was written now.
    pub already: bool,
}

/// The last entry of a stream. A stream without entries has number 0 and a hash of zeros.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Head {
    /// The last entry's number.
    pub number: u64,
    /// The last entry's hash.
    pub hash: [u8; 32],
}

const EMPTY: Head = Head { number: 0, hash: [0; 32] };

/// Appends records to a stream, in order.
///
/// # Errors
/// [`StoreError::Refused`] for a record that supersedes what is not there, or a field that is empty.
pub fn append(
    tx: &mut dyn Tx,
    stream: &str,
    at: Timestamp,
    records: &[NewRecord],
) -> Result<Vec<Appended>, StoreError> {
    let head = lock(tx, stream)?;
    append_after(tx, stream, at, records, head)
}

/// Appends only if the stream's last entry is still `expected` (0 = no entry yet).
///
/// Records whose keys were all seen before are answered as in [`append`] whatever the head is: sending the same
/// again is no conflict.
///
/// # Errors
/// [`StoreError::Conflict`] with the present head; those of [`append`].
pub fn append_expecting(
    tx: &mut dyn Tx,
    stream: &str,
    expected: u64,
    at: Timestamp,
    records: &[NewRecord],
) -> Result<Vec<Appended>, StoreError> {
    let head = lock(tx, stream)?;
    if head.number != expected {
        let mut seen = Vec::with_capacity(records.len());
        for record in records {
            match with_key(tx, stream, record.key.as_deref())? {
                Some(number) => seen.push(Appended { number, already: true }),
                None => {
                    return Err(StoreError::Conflict { stream: stream.into(), expected, head: head.number });
                }
            }
        }
        return Ok(seen);
    }
    append_after(tx, stream, at, records, head)
}

/// The stream's head, held until the transaction ends; makes the stream when there is none.
fn lock(tx: &mut dyn Tx, stream: &str) -> Result<Head, StoreError> {
    if stream.is_empty() {
        return Err(StoreError::refused("a stream without a name", "name the episode"));
    }
    // Writers take turns on both databases; the row lock also holds off a writer that is not Handrail.
    let sql = match tx.dialect() {
        Dialect::Sqlite => "SELECT head, hash FROM stream WHERE id = $1",
        Dialect::Postgres => "SELECT head, hash FROM stream WHERE id = $1 FOR UPDATE",
    };
    if let Some(row) = query_opt(tx, sql, &[stream.into()])? {
        return head_of(&row);
    }
    let new: [Value; 3] = [stream.into(), 0.into(), EMPTY.hash.into()];
    tx.execute("INSERT INTO stream (id, head, hash) VALUES ($1, $2, $3) ON CONFLICT DO NOTHING", &new)?;
    match query_opt(tx, sql, &[stream.into()])? {
        Some(row) => head_of(&row),
        None => Ok(EMPTY),
    }
}

fn head_of(row: &Row) -> Result<Head, StoreError> {
    Ok(Head { number: row.count("head")?, hash: row.hash("hash")? })
}

fn with_key(tx: &mut dyn Tx, stream: &str, key: Option<&str>) -> Result<Option<u64>, StoreError> {
    let Some(key) = key else { return Ok(None) };
    let row = query_opt(
        tx,
        "SELECT number FROM entry WHERE stream = $1 AND key = $2",
        &[stream.into(), key.into()],
    )?;
    row.map(|r| r.count("number")).transpose()
}

fn append_after(
    tx: &mut dyn Tx,
    stream: &str,
    at: Timestamp,
    records: &[NewRecord],
    mut head: Head,
) -> Result<Vec<Appended>, StoreError> {
    let before = head;
    let mut appended = Vec::with_capacity(records.len());
    for new in records {
        if let Some(number) = with_key(tx, stream, new.key.as_deref())? {
            appended.push(Appended { number, already: true });
            continue;
        }
        check(new, head.number)?;
        let record = following(stream, at, new, head);
        insert(tx, &record)?;
        head = Head { number: record.number, hash: record.hash };
        appended.push(Appended { number: record.number, already: false });
    }
    if head != before {
        let now: [Value; 3] = [head.number.into(), head.hash.into(), stream.into()];
        tx.execute("UPDATE stream SET head = $1, hash = $2 WHERE id = $3", &now)?;
    }
    Ok(appended)
}

fn check(new: &NewRecord, head: u64) -> Result<(), StoreError> {
    if new.kind.is_empty() || new.by.id.is_empty() {
        return Err(StoreError::refused(
            "an entry without a kind or without an author",
            "every entry says what it is and who entered it",
        ));
    }
    let texts = [&new.kind, &new.by.id, &new.by.name, &new.payload, new.key.as_ref().unwrap_or(&new.kind)];
    if texts.iter().any(|t| t.contains('\0')) {
        // PostgreSQL keeps no such text; refusing it everywhere keeps both databases alike.
        return Err(StoreError::refused(
            "a text with a zero character",
            "remove the character and send again",
        ));
    }
    match new.supersedes {
        Some(n) if n == 0 || n > head => Err(StoreError::refused(
            format!("entry {n} is to be superseded, but the last entry is {head}"),
            "name an earlier entry of the same stream",
        )),
        _ => Ok(()),
    }
}

/// The entry that a record becomes after a head: what [`append`] would write, without writing it.
pub fn following(stream: &str, at: Timestamp, new: &NewRecord, head: Head) -> Record {
    // The hash covers what is kept, and kept are milliseconds.
    let recorded = Timestamp::from_millisecond(at.as_millisecond()).unwrap_or(at);
    let mut record = Record {
        stream: stream.to_owned(),
        number: head.number + 1,
        recorded,
        on: new.on,
        by: new.by.clone(),
        kind: new.kind.clone(),
        form: new.form,
        payload: new.payload.clone(),
        supersedes: new.supersedes,
        key: new.key.clone(),
        prev: head.hash,
        hash: [0; 32],
    };
    record.hash = hash(&record);
    record
}

fn insert(tx: &mut dyn Tx, r: &Record) -> Result<(), StoreError> {
    let values: [Value; 13] = [
        r.stream.as_str().into(),
        r.number.into(),
        r.recorded.into(),
        r.on.into(),
        r.by.id.as_str().into(),
        r.by.name.as_str().into(),
        r.kind.as_str().into(),
        r.form.into(),
        r.payload.as_str().into(),
        r.supersedes.into(),
        r.key.as_deref().into(),
        r.prev.into(),
        r.hash.into(),
    ];
    let sql = "INSERT INTO entry (stream, number, recorded, on_day, by_id, by_name, kind, form, payload, supersedes, key, prev, hash)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13)";
    tx.execute(sql, &values).map(drop)
}

/// The hash of an entry: every field, each with its length before it, so that no two entries read alike.
fn hash(r: &Record) -> [u8; 32] {
    let mut hasher = blake3::Hasher::new_derive_key("handrail 2026-11 journal entry v1");
    let mut field = |bytes: &[u8]| {
        hasher.update(&(bytes.len() as u64).to_le_bytes());
        hasher.update(bytes);
    };
    field(r.stream.as_bytes());
    field(&r.number.to_le_bytes());
    field(&r.recorded.as_millisecond().to_le_bytes());
    field(r.on.to_string().as_bytes());
    field(r.by.id.as_bytes());
    field(r.by.name.as_bytes());
    field(r.kind.as_bytes());
    field(&r.form.to_le_bytes());
    field(r.payload.as_bytes());
    // An absent value has length 0; a present one begins with a byte that says so.
    match r.supersedes {
        None => field(&[]),
        Some(n) => field(&[&[1], n.to_le_bytes().as_slice()].concat()),
    }
    match &r.key {
        None => field(&[]),
        Some(key) => field(&[&[1], key.as_bytes()].concat()),
    }
    field(&r.prev);
    *hasher.finalize().as_bytes()
}

/// The latest moment at which something was recorded, as the lines of the caseload and the clinic's own stream have it;
/// `None` before the first entry. To notice a clock that was set back while no server ran.
///
/// # Errors
/// Errors of the database.
pub fn latest(tx: &mut dyn Tx) -> Result<Option<Timestamp>, StoreError> {
    let row = query_opt(tx, "SELECT max(updated) AS latest FROM summary", &[])?;
    let of_episodes = row.map(|r| r.moment_opt("latest")).transpose()?.flatten();
    let newest = Filter { limit: Some(1), newest_first: true, ..Filter::default() };
    let of_clinic = read(tx, CLINIC, newest)?.first().map(|it| it.recorded);
    Ok(of_episodes.max(of_clinic))
}

/// Which entries of a stream to read.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Filter<'a> {
    /// Only entries after this number.
    pub after: Option<u64>,
    /// Only entries before this number.
    pub before: Option<u64>,
    /// Only what this account entered.
    pub by: Option<&'a str>,
    /// Only entries recorded at this moment or later.
    pub from: Option<Timestamp>,
    /// Only entries recorded before this moment.
    pub until: Option<Timestamp>,
    /// Leaves out entries of these kinds.
    pub without_kinds: &'a [&'a str],
    /// Only entries of these kinds; empty = all.
    pub only_kinds: &'a [&'a str],
    /// At most so many, in the order asked for.
    pub limit: Option<u64>,
    /// The newest first.
    pub newest_first: bool,
}

const COLUMNS: &str =
    "stream, number, recorded, on_day, by_id, by_name, kind, form, payload, supersedes, key, prev, hash";

/// Reads entries of a stream, oldest first unless asked otherwise.
///
/// # Errors
/// Errors of the database; [`StoreError::Column`] for a row that does not read (see [`verify`]).
pub fn read(tx: &mut dyn Tx, stream: &str, filter: Filter<'_>) -> Result<Vec<Record>, StoreError> {
    let mut params: Vec<Value> = vec![stream.into(), filter.after.unwrap_or(0).into()];
    let mut sql = format!("SELECT {COLUMNS} FROM entry WHERE stream = $1 AND number > $2");
    for (word, kinds) in [("NOT IN", filter.without_kinds), ("IN", filter.only_kinds)] {
        if !kinds.is_empty() {
            let mut places = Vec::with_capacity(kinds.len());
            for kind in kinds {
                params.push((*kind).into());
                places.push(format!("${}", params.len()));
            }
            sql.push_str(&format!(" AND kind {word} ({})", places.join(", ")));
        }
    }
    let conditions: [(&str, Option<Value>); 4] = [
        ("number <", filter.before.map(Value::from)),
        ("by_id =", filter.by.map(Value::from)),
        ("recorded >=", filter.from.map(Value::from)),
        ("recorded <", filter.until.map(Value::from)),
    ];
    for (condition, value) in conditions {
        if let Some(value) = value {
            params.push(value);
            sql.push_str(&format!(" AND {condition} ${}", params.len()));
        }
    }
    sql.push_str(if filter.newest_first { " ORDER BY number DESC" } else { " ORDER BY number" });
    if let Some(limit) = filter.limit {
        params.push(limit.into());
        sql.push_str(&format!(" LIMIT ${}", params.len()));
    }
    tx.query(&sql, &params)?.iter_mut().map(record_of).collect()
}

/// How many entries of each kind a stream has, recorded at a moment or later.
///
/// # Errors
/// Errors of the database.
pub fn count_kinds(
    tx: &mut dyn Tx,
    stream: &str,
    from: Timestamp,
) -> Result<BTreeMap<String, u64>, StoreError> {
    let sql = "SELECT kind, count(*) AS n FROM entry WHERE stream = $1 AND recorded >= $2 GROUP BY kind";
    let rows = tx.query(sql, &[stream.into(), from.into()])?;
    rows.iter().map(|it| Ok((it.text("kind")?, it.count("n")?))).collect()
}

/// One entry.
///
/// # Errors
/// As [`read`].
pub fn entry(tx: &mut dyn Tx, stream: &str, number: u64) -> Result<Option<Record>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM entry WHERE stream = $1 AND number = $2");
    query_opt(tx, &sql, &[stream.into(), number.into()])?.as_mut().map(record_of).transpose()
}

fn record_of(row: &mut Row) -> Result<Record, StoreError> {
    let form = row.count("form")?;
    Ok(Record {
        stream: row.take_text("stream")?,
        number: row.count("number")?,
        recorded: row.moment("recorded")?,
        on: row.day("on_day")?,
        by: Author { id: row.take_text("by_id")?, name: row.take_text("by_name")? },
        kind: row.take_text("kind")?,
        form: u32::try_from(form).map_err(|_| StoreError::Column {
            column: "form".into(),
            expected: "a version number",
            found: form.to_string(),
        })?,
        payload: row.take_text("payload")?,
        supersedes: row.count_opt("supersedes")?,
        key: row.text_opt("key")?,
        prev: row.hash("prev")?,
        hash: row.hash("hash")?,
    })
}

/// The stream's last entry; number 0 for a stream that is not there.
///
/// # Errors
/// Errors of the database.
pub fn head(tx: &mut dyn Tx, stream: &str) -> Result<Head, StoreError> {
    let row = query_opt(tx, "SELECT head, hash FROM stream WHERE id = $1", &[stream.into()])?;
    row.as_ref().map_or(Ok(EMPTY), head_of)
}

/// The names of all streams and their last entries, by name.
///
/// # Errors
/// Errors of the database.
pub fn streams(tx: &mut dyn Tx) -> Result<Vec<(String, Head)>, StoreError> {
    let rows = tx.query("SELECT id, head, hash FROM stream ORDER BY id", &[])?;
    rows.iter().map(|r| Ok((r.text("id")?, head_of(r)?))).collect()
}

/// What is wrong at one place of the journal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// The stream.
    pub stream: String,
    /// The entry.
    pub number: u64,
    /// What was expected and found.
    pub what: String,
}

/// The outcome of [`verify`].
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Verified {
    /// Streams walked.
    pub streams: u64,
    /// Entries walked.
    pub entries: u64,
    /// Breaks of the chain, at most [`MOST_FAULTS`].
    pub faults: Vec<Fault>,
    /// Breaks in all.
    pub fault_count: u64,
    /// What is worth knowing but breaks nothing: a clock that went back. At most [`MOST_FAULTS`].
    pub remarks: Vec<Fault>,
    /// One hash over all heads, 64 hexadecimal digits. Written down elsewhere it shows later whether whole streams or
    /// last entries are missing: read the journal as of then and compare.
    pub digest: String,
}

impl Verified {
    /// True when no break was found.
    pub fn is_whole(&self) -> bool {
        self.fault_count == 0
    }

    fn fault(&mut self, stream: &str, number: u64, what: impl Into<String>) {
        self.fault_count += 1;
        if self.faults.len() < MOST_FAULTS {
            self.faults.push(Fault { stream: stream.into(), number, what: what.into() });
        }
    }
}

/// Faults and remarks that are listed; the rest is counted.
pub const MOST_FAULTS: usize = 1000;
/// Entries read at a time.
const PAGE: i64 = 1000;
/// A clock that went back by less than this is not remarked on.
const CLOCK_SLACK_MS: i64 = 60_000;

/// Walks every chain from its first entry to its head, in pages: memory does not grow with the journal.
///
/// Finds entries that were changed, are missing, were put in another order or added outside of [`append`], and heads
/// that do not fit.
///
/// # Errors
/// Errors of the database. A row that does not read is a fault, not an error.
pub fn verify(tx: &mut dyn Tx) -> Result<Verified, StoreError> {
    let mut found = Verified::default();
    let mut digest = blake3::Hasher::new_derive_key("handrail 2026-11 journal digest v1");
    let mut walk = Walk::default();
    // As the table has them, whatever they are: a name that was damaged must not stop the walk.
    let mut after: [Value; 3] = ["".into(), 0.into(), PAGE.into()];
    loop {
        let sql = format!(
            "SELECT {COLUMNS} FROM entry WHERE (stream, number) > ($1, $2) ORDER BY stream, number LIMIT $3"
        );
        let mut rows = tx.query(&sql, &after)?;
        for row in &mut rows {
            after[..2].clone_from_slice(&row.values()[..2]);
            let stream = row.text("stream").unwrap_or_else(|_| format!("{:?}", row.values()[0]));
            let number = row.count("number").unwrap_or(0);
            if stream != walk.stream {
                walk.end(tx, &mut found, &mut digest)?;
                walk = Walk { stream, ..Walk::default() };
            }
            walk.step(row, number, &mut found);
        }
        if (rows.len() as i64) < PAGE {
            break;
        }
    }
    walk.end(tx, &mut found, &mut digest)?;
    // Streams whose entries are all gone were not met on the walk.
    let sql = "SELECT id, head FROM stream WHERE head > 0
               AND NOT EXISTS (SELECT 1 FROM entry WHERE entry.stream = stream.id) ORDER BY id";
    for row in tx.query(sql, &[])? {
        let (id, head) = (row.text("id")?, row.count("head")?);
        found.fault(&id, 1, format!("expected {head} entries, found none"));
    }
    found.digest = tokens::hex(digest.finalize().as_bytes());
    Ok(found)
}

/// Where [`verify`] stands.
#[derive(Default)]
struct Walk {
    stream: String,
    /// The entry that was passed last.
    at: Head,
    recorded: Option<i64>,
}

impl Walk {
    fn step(&mut self, row: &mut Row, number: u64, found: &mut Verified) {
        found.entries += 1;
        let expected = self.at.number + 1;
        if number != expected {
            found.fault(&self.stream, expected, format!("expected entry {expected}, found entry {number}"));
        }
        self.at.number = number;
        match record_of(row) {
            Err(error) => {
                found.fault(&self.stream, number, format!("the entry does not read: {error}"));
                // What it should have been is not known; the next entry is compared with what this row claims.
                self.at.hash = row.hash("hash").unwrap_or([0; 32]);
            }
            Ok(record) => {
                if hash(&record) != record.hash {
                    found.fault(
                        &self.stream,
                        number,
                        "the entry was changed: its hash does not fit its text",
                    );
                }
                if number == expected && record.prev != self.at.hash {
                    found.fault(&self.stream, number, "the entry does not follow the one before it");
                }
                if record.supersedes.is_some_and(|n| n == 0 || n >= number) {
                    found.fault(&self.stream, number, "the entry supersedes one that is not before it");
                }
                self.clock(&record, found);
                self.at.hash = record.hash;
            }
        }
    }

    fn clock(&mut self, record: &Record, found: &mut Verified) {
        let now = record.recorded.as_millisecond();
        if let Some(before) = self.recorded
            && before - now > CLOCK_SLACK_MS
            && found.remarks.len() < MOST_FAULTS
        {
            found.remarks.push(Fault {
                stream: self.stream.clone(),
                number: record.number,
                what: format!(
                    "the clock had been set back: {} s before the entry before it",
                    (before - now) / 1000
                ),
            });
        }
        self.recorded = Some(now);
    }

    fn end(
        &self,
        tx: &mut dyn Tx,
        found: &mut Verified,
        digest: &mut blake3::Hasher,
    ) -> Result<(), StoreError> {
        if self.stream.is_empty() {
            return Ok(());
        }
        found.streams += 1;
        digest.update(&(self.stream.len() as u64).to_le_bytes());
        digest.update(self.stream.as_bytes());
        digest.update(&self.at.number.to_le_bytes());
        digest.update(&self.at.hash);
        let head = head(tx, &self.stream)?;
        if head.number != self.at.number {
            let (expected, last) = (head.number, self.at.number);
            found.fault(
                &self.stream,
                expected.max(last),
                format!("expected entry {expected} to be the last, found {last}"),
            );
        } else if head.hash != self.at.hash {
            found.fault(&self.stream, head.number, "the last entry is not the one that was written last");
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn record() -> Record {
        Record {
            stream: "e1".into(),
            number: 3,
            recorded: Timestamp::from_millisecond(1_700_000_000_123).expect("a moment"),
            on: jiff::civil::date(2026, 11, 25),
            by: Author { id: "a".into(), name: "Ana".into() },
            kind: "note".into(),
            form: 1,
            payload: "{}".into(),
            supersedes: None,
            key: None,
            prev: [7; 32],
            hash: [0; 32],
        }
    }

    #[test]
    fn every_field_changes_the_hash() {
        let one = record();
        let changes: [fn(&mut Record); 13] = [
            |r| r.stream = "e2".into(),
            |r| r.number = 4,
            |r| r.recorded = Timestamp::from_millisecond(1_700_000_000_124).expect("a moment"),
            |r| r.on = jiff::civil::date(2026, 11, 26),
            |r| r.by.id = "b".into(),
            |r| r.by.name = "Anb".into(),
            |r| r.kind = "notf".into(),
            |r| r.form = 2,
            |r| r.payload = "{} ".into(),
            |r| r.supersedes = Some(0),
            |r| r.key = Some(String::new()),
            |r| r.prev[31] = 8,
            // A text that moves from one field into the next is another entry.
            |r| (r.by.id, r.by.name) = ("aA".into(), "na".into()),
        ];
        for (i, change) in changes.iter().enumerate() {
            let mut other = one.clone();
            change(&mut other);
            assert_ne!(hash(&one), hash(&other), "change {i}");
        }
        assert_eq!(hash(&one), hash(&Record { hash: [9; 32], ..one.clone() }));
    }
}
