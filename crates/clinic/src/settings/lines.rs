//! Questions to the records that the settings ask: sessions of an account, entries of a stream by person, kind and
//! time, open episodes.

use handrail_store::sessions::Session;
use handrail_store::{Row, StoreError, Tx, Value};
use jiff::Timestamp;
use jiff::civil::Date;

/// Sessions of an account that have not ended, the newest first.
///
/// # Errors
/// Database errors, also below.
pub(crate) fn sessions_of(
    tx: &mut dyn Tx,
    account: &str,
    now: Timestamp,
) -> Result<Vec<Session>, StoreError> {
    let sql = "SELECT token, account, kind, csrf, created, last_seen, ends FROM session
               WHERE account = $1 AND ends > $2 ORDER BY created DESC, token";
    let session = |row: &Row| {
        Ok(Session {
            token: row.hash("token")?,
            account: row.text("account")?,
            kind: row.text("kind")?,
            csrf: row.text("csrf")?,
            created: row.moment("created")?,
            last_seen: row.moment("last_seen")?,
            ends: row.moment("ends")?,
        })
    };
    tx.query(sql, &[account.into(), now.into()])?.iter().map(session).collect()
}

/// Which entries.
#[derive(Clone, Debug, Default)]
pub(crate) struct Wanted {
    /// Entered by this account.
    pub person: Option<String>,
    /// Of this kind.
    pub kind: Option<String>,
    /// Recorded at this moment or later.
    pub from: Option<Timestamp>,
    /// Recorded before this moment.
    pub until: Option<Timestamp>,
    /// With a lower number than this.
    pub before: Option<u64>,
}

/// An entry, as far as the audit shows it.
#[derive(Clone, Debug)]
pub(crate) struct Line {
    /// Number in its stream.
    pub number: u64,
    /// When it was recorded.
    pub recorded: Timestamp,
    /// The day on which it was true.
    pub on: Date,
    /// Account.
    pub by_id: String,
    /// Name as it was then.
    pub by_name: String,
    /// Kind.
    pub kind: String,
    /// What was written.
    pub payload: String,
    /// The entry in whose place it stands.
    pub supersedes: Option<u64>,
}

impl Line {
    /// The text field `what` of an audit line or of a view.
    pub fn what(&self) -> String {
        let json: Option<serde_json::Value> = serde_json::from_str(&self.payload).ok();
        json.and_then(|it| it.get("what")?.as_str().map(str::to_string)).unwrap_or_default()
    }
}

/// Entries of a stream, the newest first, at most `most`.
pub(crate) fn entries(
    tx: &mut dyn Tx,
    stream: &str,
    wanted: &Wanted,
    most: u64,
) -> Result<Vec<Line>, StoreError> {
    let mut params: Vec<Value> = vec![stream.into(), most.into()];
    let mut sql = "SELECT number, recorded, on_day, by_id, by_name, kind, payload, supersedes FROM entry \
                   WHERE stream = $1"
        .to_string();
    let conditions: [(&str, Option<Value>); 5] = [
        ("by_id =", wanted.person.as_deref().map(Value::from)),
        ("kind =", wanted.kind.as_deref().map(Value::from)),
        ("recorded >=", wanted.from.map(Value::from)),
        ("recorded <", wanted.until.map(Value::from)),
        ("number <", wanted.before.map(Value::from)),
    ];
    for (condition, value) in conditions {
        if let Some(value) = value {
            params.push(value);
            sql.push_str(&format!(" AND {condition} ${}", params.len()));
        }
    }
    sql.push_str(" ORDER BY number DESC LIMIT $2");
    let line = |row: &Row| {
        Ok(Line {
            number: row.count("number")?,
            recorded: row.moment("recorded")?,
            on: row.day("on_day")?,
            by_id: row.text("by_id")?,
            by_name: row.text("by_name")?,
            kind: row.text("kind")?,
            payload: row.text("payload")?,
            supersedes: row.count_opt("supersedes")?,
        })
    };
    tx.query(&sql, &params)?.iter().map(line).collect()
}

/// How many entries of each kind a stream has, recorded at a moment or later, by kind.
pub(crate) fn count_kinds(
    tx: &mut dyn Tx,
    stream: &str,
    from: Timestamp,
) -> Result<Vec<(String, u64)>, StoreError> {
    let sql = "SELECT kind, count(*) AS n FROM entry WHERE stream = $1 AND recorded >= $2 GROUP BY kind ORDER BY kind";
    let rows = tx.query(sql, &[stream.into(), from.into()])?;
    rows.iter().map(|it| Ok((it.text("kind")?, it.count("n")?))).collect()
}

/// Open episodes, those of one therapist (name as printed) or all.
pub(crate) fn open_episodes(tx: &mut dyn Tx, therapist: Option<&str>) -> Result<Vec<String>, StoreError> {
    let mut params: Vec<Value> = vec![true.into()];
    let mut sql = "SELECT episode FROM summary WHERE open = $1".to_string();
    if let Some(name) = therapist {
        params.push(name.into());
        sql.push_str(" AND therapist = $2");
    }
    sql.push_str(" ORDER BY episode");
    tx.query(&sql, &params)?.iter().map(|it| it.text("episode")).collect()
}
