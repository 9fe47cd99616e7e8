//! Links that open a patient's own page, and the sessions behind them. Secrets are kept as hashes.

use jiff::Timestamp;

use crate::StoreError;
use crate::value::{Row, Tx, Value, query_opt};

/// A link.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Link {
    /// Its identifier, for lists and the audit; not a secret.
    pub id: String,
    /// The hash of the link's secret.
    pub token: [u8; 32],
    /// The episode it opens, and no other.
    pub episode: String,
    /// The account that made it.
    pub created_by: String,
    /// When it was made.
    pub created: Timestamp,
    /// When it ends by itself.
    pub expires: Timestamp,
    /// When it was taken back.
    pub revoked: Option<Timestamp>,
    /// Wrong answers since the last right one.
    pub tries: u32,
    /// The last wrong answer.
    pub last_try: Option<Timestamp>,
}

impl Link {
    /// Whether it opens anything at `now`.
    pub fn is_open(&self, now: Timestamp) -> bool {
        self.revoked.is_none() && now < self.expires
    }
}

/// A patient who answered right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PatientSession {
    /// The hash of the cookie's secret.
    pub token: [u8; 32],
    /// The link's identifier.
    pub link: String,
    /// What forms must carry back.
    pub csrf: String,
    /// When it began.
    pub created: Timestamp,
    /// When it ends.
    pub ends: Timestamp,
}

const COLUMNS: &str = "id, token, episode, created_by, created, expires, revoked, tries, last_try";

/// Keeps a new link (`tries`, `last_try` and `revoked` as given).
///
/// # Errors
/// Errors of the database, also below.
pub fn create(tx: &mut dyn Tx, link: &Link) -> Result<(), StoreError> {
    let values: [Value; 9] = [
        link.id.as_str().into(),
        link.token.into(),
        link.episode.as_str().into(),
        link.created_by.as_str().into(),
        link.created.into(),
        link.expires.into(),
        link.revoked.into(),
        link.tries.into(),
        link.last_try.into(),
    ];
    let sql = "INSERT INTO link (id, token, episode, created_by, created, expires, revoked, tries, last_try)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)";
    tx.execute(sql, &values).map(drop)
}

/// The link of a secret's hash, also one that is over: ask [`Link::is_open`].
pub fn find(tx: &mut dyn Tx, token: &[u8; 32]) -> Result<Option<Link>, StoreError> {
    query_opt(tx, &format!("SELECT {COLUMNS} FROM link WHERE token = $1"), &[(*token).into()])?
        .as_ref()
        .map(link_of)
        .transpose()
}

/// The link of an identifier.
pub fn by_id(tx: &mut dyn Tx, id: &str) -> Result<Option<Link>, StoreError> {
    query_opt(tx, &format!("SELECT {COLUMNS} FROM link WHERE id = $1"), &[id.into()])?
        .as_ref()
        .map(link_of)
        .transpose()
}

/// The links of an episode, newest first.
pub fn of_episode(tx: &mut dyn Tx, episode: &str) -> Result<Vec<Link>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM link WHERE episode = $1 ORDER BY created DESC, id");
    tx.query(&sql, &[episode.into()])?.iter().map(link_of).collect()
}

/// Takes a link back and ends its sessions; false when there is none or it was taken back before.
pub fn revoke(tx: &mut dyn Tx, id: &str, now: Timestamp) -> Result<bool, StoreError> {
    tx.execute("DELETE FROM patient_session WHERE link = $1", &[id.into()])?;
    let changed = tx.execute(
        "UPDATE link SET revoked = $1 WHERE id = $2 AND revoked IS NULL",
        &[now.into(), id.into()],
    )?;
    Ok(changed > 0)
}

/// Counts a wrong answer; answers how many there are since the last right one.
pub fn note_wrong(tx: &mut dyn Tx, id: &str, now: Timestamp) -> Result<u32, StoreError> {
    tx.execute("UPDATE link SET tries = tries + 1, last_try = $1 WHERE id = $2", &[now.into(), id.into()])?;
    Ok(by_id(tx, id)?.map_or(0, |l| l.tries))
}

/// Forgets wrong answers after a right one.
pub fn reset_tries(tx: &mut dyn Tx, id: &str) -> Result<(), StoreError> {
    tx.execute("UPDATE link SET tries = 0, last_try = NULL WHERE id = $1", &[id.into()]).map(drop)
}

/// Keeps a patient's session.
pub fn begin_session(tx: &mut dyn Tx, session: &PatientSession) -> Result<(), StoreError> {
    let values: [Value; 5] = [
        session.token.into(),
        session.link.as_str().into(),
        session.csrf.as_str().into(),
        session.created.into(),
        session.ends.into(),
    ];
    let sql = "INSERT INTO patient_session (token, link, csrf, created, ends) VALUES ($1, $2, $3, $4, $5)";
    tx.execute(sql, &values).map(drop)
}

/// The session of a secret's hash with its link, unless either is over by `now`.
pub fn find_session(
    tx: &mut dyn Tx,
    token: &[u8; 32],
    now: Timestamp,
) -> Result<Option<(PatientSession, Link)>, StoreError> {
    let sql = "SELECT token, link, csrf, created, ends FROM patient_session WHERE token = $1 AND ends > $2";
    let Some(row) = query_opt(tx, sql, &[(*token).into(), now.into()])? else { return Ok(None) };
    let session = PatientSession {
        token: row.hash("token")?,
        link: row.text("link")?,
        csrf: row.text("csrf")?,
        created: row.moment("created")?,
        ends: row.moment("ends")?,
    };
    let link = by_id(tx, &session.link)?.filter(|l| l.is_open(now));
    Ok(link.map(|l| (session, l)))
}

/// Ends a patient's session.
pub fn end_session(tx: &mut dyn Tx, token: &[u8; 32]) -> Result<(), StoreError> {
    tx.execute("DELETE FROM patient_session WHERE token = $1", &[(*token).into()]).map(drop)
}

fn link_of(row: &Row) -> Result<Link, StoreError> {
    Ok(Link {
        id: row.text("id")?,
        token: row.hash("token")?,
        episode: row.text("episode")?,
        created_by: row.text("created_by")?,
        created: row.moment("created")?,
        expires: row.moment("expires")?,
        revoked: row.moment_opt("revoked")?,
        tries: u32::try_from(row.count("tries")?).unwrap_or(u32::MAX),
        last_try: row.moment_opt("last_try")?,
    })
}
