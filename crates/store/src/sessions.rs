//! Signed-in staff. The cookie's secret is not kept, only its hash ([`crate::tokens::secret_hash`]).

use jiff::Timestamp;

use crate::StoreError;
use crate::value::{Row, Tx, Value, query_opt};

/// A session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session {
    /// The hash of the cookie's secret.
    pub token: [u8; 32],
    /// Whose.
    pub account: String,
    /// What sort, in the caller's words (`full`, `second factor due`).
    pub kind: String,
    /// What forms must carry back.
    pub csrf: String,
    /// When it began.
    pub created: Timestamp,
    /// The last request.
    pub last_seen: Timestamp,
    /// When it ends by itself.
    pub ends: Timestamp,
}

const COLUMNS: &str = "token, account, kind, csrf, created, last_seen, ends";

/// Keeps a new session.
///
/// # Errors
/// Errors of the database, also below.
pub fn create(tx: &mut dyn Tx, session: &Session) -> Result<(), StoreError> {
    let values: [Value; 7] = [
        session.token.into(),
        session.account.as_str().into(),
        session.kind.as_str().into(),
        session.csrf.as_str().into(),
        session.created.into(),
        session.last_seen.into(),
        session.ends.into(),
    ];
    let sql = "INSERT INTO session (token, account, kind, csrf, created, last_seen, ends) VALUES ($1, $2, $3, $4, $5, $6, $7)";
    tx.execute(sql, &values).map(drop)
}

/// The session of a secret's hash, unless it has ended by `now`.
pub fn find(tx: &mut dyn Tx, token: &[u8; 32], now: Timestamp) -> Result<Option<Session>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM session WHERE token = $1 AND ends > $2");
    query_opt(tx, &sql, &[(*token).into(), now.into()])?.as_ref().map(session_of).transpose()
}

/// The sessions of an account that have not ended by `now`, the newest first.
pub fn of_account(tx: &mut dyn Tx, account: &str, now: Timestamp) -> Result<Vec<Session>, StoreError> {
    let sql = format!(
        "SELECT {COLUMNS} FROM session WHERE account = $1 AND ends > $2 ORDER BY created DESC, token"
    );
    tx.query(&sql, &[account.into(), now.into()])?.iter().map(session_of).collect()
}

/// Notes a request and moves the end.
pub fn touch(tx: &mut dyn Tx, token: &[u8; 32], now: Timestamp, ends: Timestamp) -> Result<(), StoreError> {
    let values: [Value; 3] = [now.into(), ends.into(), (*token).into()];
    tx.execute("UPDATE session SET last_seen = $1, ends = $2 WHERE token = $3", &values).map(drop)
}

/// Ends one session.
pub fn end(tx: &mut dyn Tx, token: &[u8; 32]) -> Result<(), StoreError> {
    tx.execute("DELETE FROM session WHERE token = $1", &[(*token).into()]).map(drop)
}

/// Ends all sessions of an account; answers how many.
pub fn end_all_of(tx: &mut dyn Tx, account: &str) -> Result<u64, StoreError> {
    tx.execute("DELETE FROM session WHERE account = $1", &[account.into()])
}

/// Forgets sessions that have ended, of staff and of patients; answers how many.
pub fn sweep(tx: &mut dyn Tx, now: Timestamp) -> Result<u64, StoreError> {
    let staff = tx.execute("DELETE FROM session WHERE ends <= $1", &[now.into()])?;
    Ok(staff + tx.execute("DELETE FROM patient_session WHERE ends <= $1", &[now.into()])?)
}

fn session_of(row: &Row) -> Result<Session, StoreError> {
    Ok(Session {
        token: row.hash("token")?,
        account: row.text("account")?,
        kind: row.text("kind")?,
        csrf: row.text("csrf")?,
        created: row.moment("created")?,
        last_seen: row.moment("last_seen")?,
        ends: row.moment("ends")?,
    })
}
