//! Who may sign in. Passwords come here as PHC texts; hashing and checking them is the caller's.

use jiff::Timestamp;

use crate::caseload::fold;
use crate::value::{Row, Tx, Value, query_opt};
use crate::{StoreError, tokens};

/// An account.
#[derive(Clone, PartialEq, Eq)]
pub struct Account {
    /// Its identifier; never used again.
    pub id: String,
    /// The name typed to sign in; capitals and accents do not matter.
    pub login: String,
    /// The name shown.
    pub name: String,
    /// The role, in the caller's words.
    pub role: String,
    /// Credentials after the name ("PT, DPT"); may be empty.
    pub title: String,
    /// The password's PHC text.
    pub password: String,
    /// The secret of the second factor.
    pub totp: Option<String>,
    /// False when it may not sign in any more.
    pub active: bool,
    /// Failed sign-ins since the last good one.
    pub failed: u32,
    /// Until when sign-ins are refused.
    pub locked_until: Option<Timestamp>,
    /// When it was made.
    pub created: Timestamp,
}

impl std::fmt::Debug for Account {
    /// Leaves out the password and the second factor.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Account({} {} {})", self.id, self.login, self.role)
    }
}

/// What a new account needs.
#[derive(Clone)]
pub struct NewAccount {
    /// The name typed to sign in.
    pub login: String,
    /// The name shown.
    pub name: String,
    /// The role.
    pub role: String,
    /// Credentials after the name.
    pub title: String,
    /// The password's PHC text.
    pub password: String,
}

/// What to change; `None` leaves as it is.
#[derive(Clone, Default)]
pub struct Change {
    /// The name shown.
    pub name: Option<String>,
    /// The role.
    pub role: Option<String>,
    /// Credentials after the name.
    pub title: Option<String>,
    /// The password's PHC text. Also clears failures and the lock.
    pub password: Option<String>,
    /// The second factor: `Some(None)` takes it off.
    pub totp: Option<Option<String>>,
    /// Whether it may sign in.
    pub active: Option<bool>,
}

const COLUMNS: &str = "id, login, name, role, title, password, totp, active, failed, locked_until, created";

/// Makes an account and answers it.
///
/// # Errors
/// [`StoreError::Refused`] when the login name is empty or taken.
pub fn create(tx: &mut dyn Tx, new: &NewAccount, now: Timestamp) -> Result<Account, StoreError> {
    let login = new.login.trim();
    if login.is_empty() || login.chars().any(char::is_control) {
        return Err(StoreError::refused(
            "a login name is empty or has control characters",
            "choose another login name",
        ));
    }
    if by_login(tx, login)?.is_some() {
        return Err(StoreError::refused(
            format!("the login name `{login}` is taken"),
            "choose another login name",
        ));
    }
    let id = tokens::new_id()?;
    let values: [Value; 9] = [
        id.as_str().into(),
        login.into(),
        fold(login).into(),
        new.name.as_str().into(),
        new.role.as_str().into(),
        new.title.as_str().into(),
        new.password.as_str().into(),
        true.into(),
        now.into(),
    ];
    tx.execute(
        "INSERT INTO account (id, login, login_folded, name, role, title, password, active, failed, created)
         VALUES ($1, $2, $3, $4, $5, $6, $7, $8, 0, $9)",
        &values,
    )?;
    by_id(tx, &id)?.ok_or_else(|| missing(&id))
}

fn missing(id: &str) -> StoreError {
    StoreError::refused(format!("there is no account `{id}`"), "choose an account from the list of people")
}

/// The account of a login name.
///
/// # Errors
/// Errors of the database, also below.
pub fn by_login(tx: &mut dyn Tx, login: &str) -> Result<Option<Account>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM account WHERE login_folded = $1");
    query_opt(tx, &sql, &[fold(login).into()])?.as_ref().map(account_of).transpose()
}

/// The account of an identifier.
pub fn by_id(tx: &mut dyn Tx, id: &str) -> Result<Option<Account>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM account WHERE id = $1");
    query_opt(tx, &sql, &[id.into()])?.as_ref().map(account_of).transpose()
}

/// All accounts by login name, also inactive ones.
pub fn list(tx: &mut dyn Tx) -> Result<Vec<Account>, StoreError> {
    let sql = format!("SELECT {COLUMNS} FROM account ORDER BY login_folded");
    tx.query(&sql, &[])?.iter().map(account_of).collect()
}

/// Changes an account and answers it.
///
/// # Errors
/// [`StoreError::Refused`] when there is none.
pub fn update(tx: &mut dyn Tx, id: &str, change: &Change) -> Result<Account, StoreError> {
    let mut account = by_id(tx, id)?.ok_or_else(|| missing(id))?;
    let c = change.clone();
    if let Some(password) = c.password {
        (account.password, account.failed, account.locked_until) = (password, 0, None);
    }
    account.name = c.name.unwrap_or(account.name);
    account.role = c.role.unwrap_or(account.role);
    account.title = c.title.unwrap_or(account.title);
    account.totp = c.totp.unwrap_or(account.totp);
    account.active = c.active.unwrap_or(account.active);
    let values: [Value; 9] = [
        account.name.as_str().into(),
        account.role.as_str().into(),
        account.title.as_str().into(),
        account.password.as_str().into(),
        account.totp.as_deref().into(),
        account.active.into(),
        account.failed.into(),
        account.locked_until.into(),
        id.into(),
    ];
    tx.execute(
        "UPDATE account SET name = $1, role = $2, title = $3, password = $4, totp = $5, active = $6, failed = $7,
           locked_until = $8 WHERE id = $9",
        &values,
    )?;
    Ok(account)
}

/// Counts a failed sign-in and locks the account until `lock` when given; answers the failures so far.
///
/// # Errors
/// [`StoreError::Refused`] when there is no such account.
pub fn note_failure(tx: &mut dyn Tx, id: &str, lock: Option<Timestamp>) -> Result<u32, StoreError> {
    let values: [Value; 2] = [lock.into(), id.into()];
    tx.execute(
        "UPDATE account SET failed = failed + 1, locked_until = COALESCE($1, locked_until) WHERE id = $2",
        &values,
    )?;
    Ok(by_id(tx, id)?.ok_or_else(|| missing(id))?.failed)
}

/// Clears failures and the lock after a good sign-in.
pub fn note_success(tx: &mut dyn Tx, id: &str) -> Result<(), StoreError> {
    tx.execute("UPDATE account SET failed = 0, locked_until = NULL WHERE id = $1", &[id.into()]).map(drop)
}

fn account_of(row: &Row) -> Result<Account, StoreError> {
    Ok(Account {
        id: row.text("id")?,
        login: row.text("login")?,
        name: row.text("name")?,
        role: row.text("role")?,
        title: row.text("title")?,
        password: row.text("password")?,
        totp: row.text_opt("totp")?,
        active: row.flag("active")?,
        failed: u32::try_from(row.count("failed")?).unwrap_or(u32::MAX),
        locked_until: row.moment_opt("locked_until")?,
        created: row.moment("created")?,
    })
}
