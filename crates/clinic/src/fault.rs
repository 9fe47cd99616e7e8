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
    /// The database answers with an error; nothing was written.
    Store(StoreError),
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
            Fault::Store(_) => StatusCode::SERVICE_UNAVAILABLE,
            Fault::Internal(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// Key of the sentence (`c-fault-...`) and its values.
    fn told(&self) -> (&'static str, String, String) {
        match self {
            Fault::LogIn { .. } | Fault::PasswordDue => ("c-fault-log-in", String::new(), String::new()),
            Fault::Forbidden => ("c-fault-forbidden", String::new(), String::new()),
            Fault::NotFound => ("c-fault-not-found", String::new(), String::new()),
            Fault::Forged => ("c-fault-forged", String::new(), String::new()),
            Fault::Refused { message, mend } => ("c-fault-refused", message.clone(), mend.clone()),
            Fault::Conflict(what) => ("c-fault-conflict", what.clone(), String::new()),
            Fault::TooMany { wait } => ("c-fault-too-many", wait.to_string(), String::new()),
            Fault::TooLarge => ("c-fault-too-large", String::new(), String::new()),
            Fault::Store(error) => ("c-fault-store", error.message(), error.mend()),
            Fault::Internal(_) => ("c-fault-internal", String::new(), String::new()),
        }
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
    /// Key of the sentence.
    pub key: &'static str,
    /// What is wrong.
    pub what: String,
    /// How to mend it.
    pub mend: String,
}

impl IntoResponse for Fault {
    fn into_response(self) -> Response {
        if let Fault::LogIn { back } = &self {
            let back: String = url_encode(back);
            return Redirect::to(&format!("/login?back={back}")).into_response();
        }
        if let Fault::PasswordDue = &self {
            return Redirect::to("/settings").into_response();
        }
        if let Fault::Internal(message) = &self {
            tracing::error!("{message}");
        }
        let (key, what, mend) = self.told();
        let mut response = self.status().into_response();
        if let Fault::TooMany { wait } = &self
            && let Ok(value) = wait.to_string().parse()
        {
            response.headers_mut().insert(header::RETRY_AFTER, value);
        }
        response.extensions_mut().insert(Told { key, what, mend });
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
