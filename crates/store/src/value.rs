//! Values, rows and the one trait through which all SQL goes.

use std::sync::Arc;

use jiff::Timestamp;
use jiff::civil::Date;

use crate::StoreError;

/// Which database is behind a [`Tx`]. Only for the few texts that differ (row locks).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Dialect {
    /// SQLite with SQLCipher.
    Sqlite,
    /// PostgreSQL.
    Postgres,
}

/// A value of a parameter or a column. Days are ISO text, moments are milliseconds since 1970 in UTC, flags are 0 or 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Value {
    /// No value.
    Null,
    /// A whole number.
    Int(i64),
    /// A text.
    Text(String),
    /// Bytes.
    Blob(Vec<u8>),
}

impl Value {
    fn kind(&self) -> &'static str {
        match self {
            Value::Null => "nothing",
            Value::Int(_) => "a number",
            Value::Text(_) => "a text",
            Value::Blob(_) => "bytes",
        }
    }
}

macro_rules! from_int {
    ($($t:ty),*) => { $(impl From<$t> for Value { fn from(v: $t) -> Self { Value::Int(i64::from(v)) } })* };
}
from_int!(i64, i32, u32, u8, u16, bool);

impl From<u64> for Value {
    /// Entry numbers and counts; a number beyond `i64::MAX` cannot occur and is held there.
    fn from(v: u64) -> Self {
        Value::Int(i64::try_from(v).unwrap_or(i64::MAX))
    }
}

impl From<&str> for Value {
    fn from(v: &str) -> Self {
        Value::Text(v.to_owned())
    }
}

impl From<String> for Value {
    fn from(v: String) -> Self {
        Value::Text(v)
    }
}

impl From<&String> for Value {
    fn from(v: &String) -> Self {
        Value::Text(v.clone())
    }
}

impl From<Vec<u8>> for Value {
    fn from(v: Vec<u8>) -> Self {
        Value::Blob(v)
    }
}

impl From<&[u8]> for Value {
    fn from(v: &[u8]) -> Self {
        Value::Blob(v.to_vec())
    }
}

impl From<[u8; 32]> for Value {
    fn from(v: [u8; 32]) -> Self {
        Value::Blob(v.to_vec())
    }
}

impl From<Timestamp> for Value {
    fn from(v: Timestamp) -> Self {
        Value::Int(v.as_millisecond())
    }
}

impl From<Date> for Value {
    fn from(v: Date) -> Self {
        Value::Text(v.to_string())
    }
}

impl<T: Into<Value>> From<Option<T>> for Value {
    fn from(v: Option<T>) -> Self {
        v.map_or(Value::Null, Into::into)
    }
}

/// One row of an answer. Columns are read by the name that the statement gives them (`SELECT count(*) AS n`).
#[derive(Debug, Clone)]
pub struct Row {
    columns: Arc<[String]>,
    values: Vec<Value>,
}

impl Row {
    pub(crate) fn new(columns: Arc<[String]>, values: Vec<Value>) -> Self {
        Row { columns, values }
    }

    /// All values, in the order of the columns.
    pub fn values(&self) -> &[Value] {
        &self.values
    }

    /// The value of a column.
    ///
    /// # Errors
    /// [`StoreError::Column`] when the answer has no such column.
    pub fn value(&self, column: &str) -> Result<&Value, StoreError> {
        match self.columns.iter().position(|c| c == column) {
            Some(i) => Ok(&self.values[i]),
            None => Err(StoreError::Column {
                column: column.into(),
                expected: "such a column",
                found: format!("only {}", self.columns.join(", ")),
            }),
        }
    }

    fn wrong<T>(column: &str, expected: &'static str, found: &Value) -> Result<T, StoreError> {
        Err(StoreError::Column { column: column.into(), expected, found: found.kind().into() })
    }

    /// A number. Errors name the column (also in the getters below).
    pub fn int(&self, column: &str) -> Result<i64, StoreError> {
        match self.value(column)? {
            Value::Int(v) => Ok(*v),
            other => Self::wrong(column, "a number", other),
        }
    }

    /// A number or nothing.
    pub fn int_opt(&self, column: &str) -> Result<Option<i64>, StoreError> {
        match self.value(column)? {
            Value::Null => Ok(None),
            _ => self.int(column).map(Some),
        }
    }

    /// A number that is not negative.
    pub fn count(&self, column: &str) -> Result<u64, StoreError> {
        let v = self.int(column)?;
        u64::try_from(v).map_err(|_| StoreError::Column {
            column: column.into(),
            expected: "a number not below 0",
            found: v.to_string(),
        })
    }

    /// A number that is not negative, or nothing.
    pub fn count_opt(&self, column: &str) -> Result<Option<u64>, StoreError> {
        match self.value(column)? {
            Value::Null => Ok(None),
            _ => self.count(column).map(Some),
        }
    }

    /// A flag, kept as 0 or 1.
    pub fn flag(&self, column: &str) -> Result<bool, StoreError> {
        Ok(self.int(column)? != 0)
    }

    /// A text, taken out of the row without a copy: the column is empty afterwards.
    pub(crate) fn take_text(&mut self, column: &str) -> Result<String, StoreError> {
        let at = self.columns.iter().position(|it| it == column);
        match at.map(|it| &mut self.values[it]) {
            Some(Value::Text(text)) => Ok(std::mem::take(text)),
            _ => self.text(column),
        }
    }

    /// A text.
    pub fn text(&self, column: &str) -> Result<String, StoreError> {
        match self.value(column)? {
            Value::Text(v) => Ok(v.clone()),
            other => Self::wrong(column, "a text", other),
        }
    }

    /// A text or nothing.
    pub fn text_opt(&self, column: &str) -> Result<Option<String>, StoreError> {
        match self.value(column)? {
            Value::Null => Ok(None),
            _ => self.text(column).map(Some),
        }
    }

    /// Bytes.
    pub fn blob(&self, column: &str) -> Result<Vec<u8>, StoreError> {
        match self.value(column)? {
            Value::Blob(v) => Ok(v.clone()),
            other => Self::wrong(column, "bytes", other),
        }
    }

    /// 32 bytes: a hash.
    pub fn hash(&self, column: &str) -> Result<[u8; 32], StoreError> {
        let v = match self.value(column)? {
            Value::Blob(v) => v,
            other => return Self::wrong(column, "bytes", other),
        };
        v.as_slice().try_into().map_err(|_| StoreError::Column {
            column: column.into(),
            expected: "32 bytes",
            found: format!("{} bytes", v.len()),
        })
    }

    /// A moment, kept as milliseconds since 1970 in UTC.
    pub fn moment(&self, column: &str) -> Result<Timestamp, StoreError> {
        let v = self.int(column)?;
        Timestamp::from_millisecond(v).map_err(|_| StoreError::Column {
            column: column.into(),
            expected: "a moment in milliseconds",
            found: v.to_string(),
        })
    }

    /// A moment or nothing.
    pub fn moment_opt(&self, column: &str) -> Result<Option<Timestamp>, StoreError> {
        match self.value(column)? {
            Value::Null => Ok(None),
            _ => self.moment(column).map(Some),
        }
    }

    /// A day, kept as ISO text.
    pub fn day(&self, column: &str) -> Result<Date, StoreError> {
        let v = match self.value(column)? {
            Value::Text(v) => v,
            other => return Self::wrong(column, "a text", other),
        };
        v.parse().map_err(|_| StoreError::Column {
            column: column.into(),
            expected: "a day such as 2026-11-25",
            found: v.clone(),
        })
    }

    /// A day or nothing.
    pub fn day_opt(&self, column: &str) -> Result<Option<Date>, StoreError> {
        match self.value(column)? {
            Value::Null => Ok(None),
            _ => self.day(column).map(Some),
        }
    }
}

/// One running transaction.
///
/// Placeholders are `$1`, `$2`, ...; `$n` is the n-th value of `params`, and may appear more than once. Where the
/// database cannot guess a placeholder's type (`$1 IS NULL`) write `CAST($1 AS TEXT)` or `CAST($1 AS BIGINT)`.
/// Statements are prepared once for each connection, so build texts from few shapes, never with values inside.
pub trait Tx {
    /// Runs a statement that changes rows; answers how many.
    fn execute(&mut self, sql: &str, params: &[Value]) -> Result<u64, StoreError>;
    /// Runs a statement that answers rows.
    fn query(&mut self, sql: &str, params: &[Value]) -> Result<Vec<Row>, StoreError>;
    /// Which database this is.
    fn dialect(&self) -> Dialect;
}

/// The only row of an answer, or none.
///
/// # Errors
/// Those of [`Tx::query`]; more than one row is an error too.
pub fn query_opt(tx: &mut dyn Tx, sql: &str, params: &[Value]) -> Result<Option<Row>, StoreError> {
    let mut rows = tx.query(sql, params)?;
    match rows.len() {
        0 | 1 => Ok(rows.pop()),
        n => Err(StoreError::Sql {
            place: "store".into(),
            detail: format!("expected one row, found {n}: {sql}"),
        }),
    }
}

/// The only row of an answer.
///
/// # Errors
/// Those of [`Tx::query`]; none or more than one row is an error too.
pub fn query_one(tx: &mut dyn Tx, sql: &str, params: &[Value]) -> Result<Row, StoreError> {
    query_opt(tx, sql, params)?.ok_or_else(|| StoreError::Sql {
        place: "store".into(),
        detail: format!("expected one row, found none: {sql}"),
    })
}
