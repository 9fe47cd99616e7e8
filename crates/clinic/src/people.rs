//! Accounts, and the audit: the journal's stream of the clinic itself.

use handrail_store::journal::{Author, NewRecord};
use handrail_store::{StoreError, Tx, accounts, journal};
use jiff::Timestamp;
use jiff::tz::TimeZone;

use crate::app::App;
use crate::fault::Fault;
use crate::passwords;
use crate::rights::Role;

/// Stream of the clinic's own journal: logins, accounts, settings, signatures, backups.
pub const CLINIC: &str = "clinic";

/// A new account.
#[derive(Clone, Debug)]
pub struct NewAccount {
    /// Name to log in with.
    pub login: String,
    /// Name as printed.
    pub name: String,
    /// Title after the name, e.g. PT.
    pub title: String,
    /// Role.
    pub role: Role,
    /// Password.
    pub password: String,
}

/// Makes an account; `by` is the account that does it, or the name of the command.
///
/// # Errors
/// A login that is taken or blank, a password that is too short.
pub async fn create(app: &App, by: &str, new: NewAccount) -> Result<String, Fault> {
    create_in(app.store(), by, new, app.now()).await
}

/// The same without a running server: for the command line.
///
/// # Errors
/// As [`create`].
pub async fn create_in(
    store: &handrail_store::Store,
    by: &str,
    new: NewAccount,
    now: Timestamp,
) -> Result<String, Fault> {
    if new.login.trim().is_empty() || new.name.trim().is_empty() {
        return Err(Fault::refused("an account needs a login name and a name", "fill in both"));
    }
    let phc = passwords::hash(&new.password)?;
    let by = by.to_string();
    let account = accounts::NewAccount {
        login: new.login.trim().to_lowercase(),
        name: new.name.trim().into(),
        title: new.title.trim().into(),
        role: new.role.id().into(),
        password: phc,
    };
    store
        .write(move |tx| {
            let made = accounts::create(tx, &account, now)?;
            audit(tx, now, &by, "account", &format!("{} created as {}", account.login, account.role))?;
            Ok(made.id)
        })
        .await
        .map_err(Fault::from)
}

/// Writes into the clinic's own journal, in the caller's transaction.
///
/// # Errors
/// Database errors.
pub fn audit(tx: &mut dyn Tx, now: Timestamp, by: &str, kind: &str, what: &str) -> Result<(), StoreError> {
    let record = NewRecord {
        on: now.to_zoned_datetime(TimeZone::UTC).date(),
        by: Author { id: by.into(), name: by.into() },
        kind: kind.into(),
        form: 1,
        payload: serde_json::json!({ "what": what }).to_string(),
        supersedes: None,
        key: None,
    };
    journal::append(tx, CLINIC, now, std::slice::from_ref(&record)).map(|_| ())
}
