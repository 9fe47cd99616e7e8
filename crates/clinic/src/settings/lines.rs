//! Entries as audit and near misses list them.

use handrail_store::journal::{self, Filter, Record};
use handrail_store::{StoreError, Tx};
use jiff::Timestamp;

/// Which entries; the newest come first.
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

impl Wanted {
    /// Entries of a stream that fit, at most `most`.
    ///
    /// # Errors
    /// Database errors.
    pub fn read(&self, tx: &mut dyn Tx, stream: &str, most: u64) -> Result<Vec<Record>, StoreError> {
        let kind = self.kind.as_deref();
        let filter = Filter {
            by: self.person.as_deref(),
            only_kinds: kind.as_slice(),
            from: self.from,
            until: self.until,
            before: self.before,
            limit: Some(most),
            newest_first: true,
            ..Filter::default()
        };
        journal::read(tx, stream, filter)
    }
}

/// The text field `what` of an audit line or of a view.
pub(crate) fn what(it: &Record) -> String {
    let json: Option<serde_json::Value> = serde_json::from_str(&it.payload).ok();
    json.and_then(|it| it.get("what")?.as_str().map(str::to_string)).unwrap_or_default()
}
