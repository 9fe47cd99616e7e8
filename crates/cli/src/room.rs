//! Printing to a pipe that may be closed, and errors as a person reads them.

use std::io::Write as _;

use handrail_spans::Problems;

/// Why a command stopped.
pub enum Stop {
    /// Mistakes in files, with their lines.
    Problems(Problems),
    /// Anything else, with how to mend it.
    Plain { message: String, mend: String },
}

impl From<Problems> for Stop {
    fn from(problems: Problems) -> Self {
        Stop::Problems(problems)
    }
}

impl Stop {
    /// A message with a hint.
    pub fn new(message: impl Into<String>, mend: impl Into<String>) -> Stop {
        Stop::Plain { message: message.into(), mend: mend.into() }
    }

    /// Prints to standard error.
    pub fn print(self) {
        match self {
            Stop::Problems(problems) => {
                let count = problems.0.len();
                for problem in problems.0 {
                    eprintln!("{:?}", miette::Report::new(problem));
                }
                eprintln!("{count} problem{}; nothing was written", if count == 1 { "" } else { "s" });
            }
            Stop::Plain { message, mend } => {
                eprintln!("error: {message}\n\nhint: {mend}");
            }
        }
    }
}

/// Prints a text; a closed pipe ends quietly.
pub fn print(text: &str) {
    let mut out = std::io::stdout().lock();
    let _ = out.write_all(text.as_bytes());
    if !text.ends_with('\n') {
        let _ = out.write_all(b"\n");
    }
}

/// Prints a JSON value.
pub fn print_json(value: &serde_json::Value) {
    print(&serde_json::to_string_pretty(value).unwrap_or_default());
}

/// A number to so many digits; no negative zero in an output.
pub fn round(value: f64, digits: i32) -> f64 {
    let factor = 10f64.powi(digits);
    (value * factor).round() / factor + 0.0
}

/// The text with its first letter large.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
