//! What goes wrong in a request, as a page that says what happened and what to do.

use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};
use handrail_store::StoreError;

/// Why a request is not answered as asked.
#[derive(Debug)]
pub enum Fault {
    /// Not logged in: to the login page, and back here afterwards.
    LogIn {
        /// Path to come back to.
        back: String,
    },
    /// The person still has the password that somebody else gave them: to the page where they change it.
    PasswordDue,
    /// The person may not.
    Forbidden,
    /// There is no such thing, or not for this person.
    NotFound,
    /// The form's token, or where it came from, is not right.
    Forged,
    /// What was typed cannot be taken: what was expected and how to mend it.
    Refused {
        /// What is wrong.
        message: String,
        /// How to mend it.
        mend: String,
    },
    /// Somebody else changed the same thing meanwhile.
    Conflict(String),
    /// Too many tries.
    TooMany {
        /// Seconds to wait.
        wait: u64,
    },
    /// More than the server takes.
    TooLarge,
    /// The database answers with an error; nothing was written, unless the error says that this is not known.
    Store(StoreError),
    /// The answer took too long; what was begun may still be finished.
    Slow,
    /// The clinic's clock stands behind what was recorded, and the request cannot be judged by it.
    Clock,
    /// The address or what was sent cannot be read.
    Unreadable,
    /// An error of this program; nothing was written.
    Internal(String),
}

impl Fault {
    /// A refusal with how to mend it.
    pub fn refused(message: impl Into<String>, mend: impl Into<String>) -> Fault {
        Fault::Refused { message: message.into(), mend: mend.into() }
    }

    /// Status line.
    pub fn status(&self) -> StatusCode {
        match self {
            Fault::LogIn { .. } | Fault::PasswordDue => StatusCode::SEE_OTHER,
            Fault::Forbidden | Fault::Forged => StatusCode::FORBIDDEN,
            Fault::NotFound => StatusCode::NOT_FOUND,
            Fault::Refused { .. } => StatusCode::UNPROCESSABLE_ENTITY,
            Fault::Conflict(_) => StatusCode::CONFLICT,
            Fault::TooMany { .. } => StatusCode::TOO_MANY_REQUESTS,
            Fault::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Fault::Store(StoreError::Full { .. }) => StatusCode::INSUFFICIENT_STORAGE,
            Fault::Store(_) | Fault::Slow | Fault::Clock => StatusCode::SERVICE_UNAVAILABLE,
            Fault::Unreadable => StatusCode::BAD_REQUEST,
            Fault::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// Key of the sentence (`c-fault-...`) and its values.
    fn told(&self) -> Told {
        let key = match self {
            Fault::LogIn { .. } | Fault::PasswordDue => "c-fault-log-in",
            Fault::Forbidden => "c-fault-forbidden",
            Fault::NotFound => "c-fault-not-found",
            Fault::Forged => "c-fault-forged",
            Fault::Refused { message, mend } => {
                return Told { what: message.clone(), mend: mend.clone(), ..Told::only("c-fault-refused") };
            }
            Fault::Conflict(what) => return Told { what: what.clone(), ..Told::only("c-fault-conflict") },
            Fault::TooMany { wait } => {
                return Told { what: wait.to_string(), ..Told::only("c-fault-too-many") };
            }
            Fault::TooLarge => "c-fault-too-large",
            Fault::Store(error) => {
                let detail = Some(error.message());
                return Told { passing: true, detail, ..Told::only(key_of(error)) };
            }
            Fault::Slow => return Told { passing: true, ..Told::only("c-fault-slow") },
            Fault::Clock => return Told { passing: true, ..Told::only("c-fault-clock-behind") },
            Fault::Unreadable => "c-fault-unreadable",
            Fault::Internal(_) => "c-fault-internal",
        };
        Told::only(key)
    }
}

/// What the database's error means for who asked.
fn key_of(error: &StoreError) -> &'static str {
    match error {
        StoreError::Full { .. } => "c-fault-store-full",
        StoreError::ReadOnly { .. } => "c-fault-store-read-only",
        StoreError::Corrupt { .. } | StoreError::WrongKey { .. } | StoreError::NotADatabase { .. } => {
            "c-fault-store-damaged"
        }
        StoreError::Away { unsure: true, .. } => "c-fault-store-unsure",
        StoreError::Away { .. } | StoreError::CannotOpen { .. } | StoreError::Closed => "c-fault-store-away",
        StoreError::Busy { .. } | StoreError::Met { .. } => "c-fault-store-busy",
        StoreError::Disk { .. } | StoreError::File { .. } => "c-fault-store-disk",
        _ => "c-fault-store-other",
    }
}

impl From<StoreError> for Fault {
    fn from(error: StoreError) -> Self {
        match error {
            // What the database was asked for cannot be: the person can mend it.
            StoreError::Refused { .. } => Fault::Refused { message: error.message(), mend: error.mend() },
            other => Fault::Store(other),
        }
    }
}

/// A fault on its way out; the gate turns it into a page in the reader's language.
#[derive(Clone, Debug)]
pub struct Told {
    /// Key of the sentence; `...-mend` says how to mend it, where `mend` is blank.
    pub key: &'static str,
    /// What is wrong.
    pub what: String,
    /// How to mend it, when that is not a fixed sentence.
    pub mend: String,
    /// The request may well be answered later: what was sent is worth keeping.
    pub passing: bool,
    /// In the database's words, for people of the clinic.
    pub detail: Option<String>,
}

impl Told {
    fn only(key: &'static str) -> Told {
        Told { key, what: String::new(), mend: String::new(), passing: false, detail: None }
    }
}

/// Seconds after which a browser or a proxy may ask again.
const ASK_AGAIN_S: u64 = 10;

impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        if let Fault::LogIn { back } = &self {
            let back: String = url_encode(back);
            return Redirect::to(&format!("/login?back={back}")).into_response();
        }
        if let Fault::PasswordDue = &self {
            return Redirect::to("/settings").into_response();
        }
        match &self {
            Fault::Internal(message) => tracing::error!("{message}"),
            Fault::Store(error) => tracing::error!("{}; {}", error.message(), error.mend()),
            _ => {}
        }
        let told = self.told();
        let mut response = self.status().into_response();
        let wait = match &self {
            Fault::TooMany { wait } => Some(*wait),
            _ => told.passing.then_some(ASK_AGAIN_S),
        };
        if let Some(value) = wait.and_then(|it| it.to_string().parse().ok()) {
            response.headers_mut().insert(header::RETRY_AFTER, value);
        }
        response.extensions_mut().insert(told);
        response
    }
}

/// Percent-encodes everything but letters, digits, `-`, `_`, `.` and `/`.
pub fn url_encode(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'_' | b'.' | b'/' => out.push(byte as char),
            _ => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}
