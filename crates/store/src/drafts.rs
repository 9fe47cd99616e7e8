//! What somebody had typed and not yet sent: kept through an idle lock or a lost connection.

use jiff::Timestamp;

use crate::StoreError;
use crate::value::{Tx, Value, query_opt};

/// Keeps a text under an account and a name of the form; replaces the one before.
///
/// # Errors
/// Errors of the database, also below.
pub fn put(tx: &mut dyn Tx, account: &str, what: &str, body: &str, now: Timestamp) -> Result<(), StoreError> {
    let values: [Value; 4] = [account.into(), what.into(), body.into(), now.into()];
    let sql = "INSERT INTO draft (account, what, body, saved) VALUES ($1, $2, $3, $4)
         ON CONFLICT (account, what) DO UPDATE SET body = excluded.body, saved = excluded.saved";
    tx.execute(sql, &values).map(drop)
}

/// The kept text and when it was kept.
pub fn get(tx: &mut dyn Tx, account: &str, what: &str) -> Result<Option<(String, Timestamp)>, StoreError> {
    let sql = "SELECT body, saved FROM draft WHERE account = $1 AND what = $2";
    let row = query_opt(tx, sql, &[account.into(), what.into()])?;
    row.map(|r| Ok((r.text("body")?, r.moment("saved")?))).transpose()
}

/// The names of an account's kept texts and when they were kept, newest first.
pub fn list(tx: &mut dyn Tx, account: &str) -> Result<Vec<(String, Timestamp)>, StoreError> {
    let rows = tx.query(
        "SELECT what, saved FROM draft WHERE account = $1 ORDER BY saved DESC, what",
        &[account.into()],
    )?;
    rows.iter().map(|r| Ok((r.text("what")?, r.moment("saved")?))).collect()
}

/// Drops a kept text.
pub fn discard(tx: &mut dyn Tx, account: &str, what: &str) -> Result<(), StoreError> {
    tx.execute("DELETE FROM draft WHERE account = $1 AND what = $2", &[account.into(), what.into()])?;
    Ok(())
}
