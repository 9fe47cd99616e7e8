//! The clinic's settings: a name and a JSON text. Who changed what is in the journal ([`crate::journal::CLINIC`]).

use std::collections::BTreeMap;

use serde::Serialize;
use serde::de::DeserializeOwned;

use crate::StoreError;
use crate::value::{Tx, Value, query_opt};

/// Keeps a setting; replaces the one before.
///
/// # Errors
/// Errors of the database, also below.
pub fn put(tx: &mut dyn Tx, name: &str, body: &str) -> Result<(), StoreError> {
    let values: [Value; 2] = [name.into(), body.into()];
    let sql = "INSERT INTO setting (name, body) VALUES ($1, $2) ON CONFLICT (name) DO UPDATE SET body = excluded.body";
    tx.execute(sql, &values).map(drop)
}

/// A setting's text.
pub fn get(tx: &mut dyn Tx, name: &str) -> Result<Option<String>, StoreError> {
    let row = query_opt(tx, "SELECT body FROM setting WHERE name = $1", &[name.into()])?;
    row.map(|r| r.text("body")).transpose()
}

/// All settings.
pub fn all(tx: &mut dyn Tx) -> Result<BTreeMap<String, String>, StoreError> {
    let rows = tx.query("SELECT name, body FROM setting ORDER BY name", &[])?;
    rows.iter().map(|r| Ok((r.text("name")?, r.text("body")?))).collect()
}

/// Keeps a value as a setting.
pub fn put_json<T: Serialize>(tx: &mut dyn Tx, name: &str, value: &T) -> Result<(), StoreError> {
    let body = serde_json::to_string(value).map_err(|e| {
        StoreError::refused(format!("the setting `{name}` cannot be written: {e}"), "report this message")
    })?;
    put(tx, name, &body)
}

/// A setting as a value.
///
/// # Errors
/// [`StoreError::Refused`] when the text is not such a value.
pub fn get_json<T: DeserializeOwned>(tx: &mut dyn Tx, name: &str) -> Result<Option<T>, StoreError> {
    let Some(body) = get(tx, name)? else { return Ok(None) };
    serde_json::from_str(&body).map(Some).map_err(|e| {
        StoreError::refused(
            format!("the setting `{name}` does not read: {e}"),
            "save the setting again on its page",
        )
    })
}
