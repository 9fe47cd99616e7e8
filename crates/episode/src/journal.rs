//! Facts as the journal keeps them: a kind, a version of its form, and JSON.
//!
//! A form that changes gets a new version; [`decode`] reads all versions that were ever written.

use handrail_anatomy::{Person, SegmentTable};
use serde::{Deserialize, Serialize};

use crate::fold::Fact;

/// Version of the forms that [`encode`] writes.
pub const FORM: u32 = 1;

/// A body as the journal keeps it.
#[derive(Serialize, Deserialize)]
struct BodyForm {
    person: Person,
    table: SegmentTable,
}

/// A fact that cannot be read back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unreadable {
    /// Kind as written.
    pub kind: String,
    /// Version as written.
    pub form: u32,
    /// What is wrong.
    pub message: String,
}

impl std::fmt::Display for Unreadable {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "an entry of kind `{}`, form {}, cannot be read: {}", self.kind, self.form, self.message)
    }
}

impl std::error::Error for Unreadable {}

macro_rules! kinds {
    ($($variant:ident $name:literal,)*) => {
        /// Names of all kinds, as the journal writes them.
        pub const KINDS: &[&str] = &["body", $($name,)*];

        /// Kind of a fact.
        pub fn kind(fact: &Fact) -> &'static str {
            match fact {
                Fact::Body(..) => "body",
                $(Fact::$variant(_) => $name,)*
            }
        }

        /// The JSON of a fact.
        ///
        /// # Errors
        /// A number that JSON cannot hold (not finite).
        pub fn encode(fact: &Fact) -> Result<String, serde_json::Error> {
            match fact {
                Fact::Body(person, table) => {
                    serde_json::to_string(&BodyForm { person: *person, table: *table })
                }
                $(Fact::$variant(it) => serde_json::to_string(it),)*
            }
        }

        /// Reads a fact back.
        ///
        /// # Errors
        /// An unknown kind or form, or JSON that does not fit it.
        pub fn decode(kind: &str, form: u32, json: &str) -> Result<Fact, Unreadable> {
            let unreadable = |message: String| Unreadable { kind: kind.into(), form, message };
            if form != FORM {
                return Err(unreadable(format!("this program knows form {FORM}; use a newer one")));
            }
            let wrong = |error: serde_json::Error| unreadable(error.to_string());
            Ok(match kind {
                "body" => {
                    let it: BodyForm = serde_json::from_str(json).map_err(wrong)?;
                    Fact::Body(it.person, it.table)
                }
                $($name => Fact::$variant(serde_json::from_str(json).map_err(wrong)?),)*
                _ => return Err(unreadable("this program knows no such kind".into())),
            })
        }
    };
}

kinds! {
    Patient "patient",
    Clinic "clinic",
    Home "home",
    Operation "operation",
    Confirmation "confirmation",
    Order "order",
    Act "act",
    Program "program",
    Waiver "override",
    Done "done",
    Jump "jump",
    Issued "issued",
    Diary "diary",
    Measure "measure",
    Decision "decision",
    Contact "contact",
    Visit "visit",
    Note "note",
    Message "message",
    View "view",
    Report "report",
    Closed "closed",
    Withdrawn "withdrawn",
}
