//! The three invented episodes of the content folder, moved in time so that each keeps its day after surgery.

use std::sync::Arc;

use handrail_episode::{Content, Entry, read_entries};
use handrail_library::Library;
use handrail_spans::SourceText;
use jiff::civil::{Date, date};

use crate::{DemoError, days_after, days_between};

/// Day on which the files were told to be read: the morning after the last thing they tell.
const READ_ON: Date = date(2026, 11, 26);
/// Languages that the files are written in.
const LANGUAGES: [&str; 2] = ["en", "es"];

/// A file of the content folder.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct File {
    pub name: &'static str,
    text: &'static str,
}

pub(crate) const ACHILLES: File =
    File { name: "achilles.toml", text: include_str!("../../../content/demo/achilles.toml") };
pub(crate) const ACL: File = File { name: "acl.toml", text: include_str!("../../../content/demo/acl.toml") };
pub(crate) const CUFF: File =
    File { name: "cuff.toml", text: include_str!("../../../content/demo/cuff.toml") };

/// Entries of a file as if it had been written for `today`.
pub(crate) fn entries(file: File, library: &Library, today: Date) -> Result<Vec<Entry>, DemoError> {
    let text: Arc<str> = moved(file.text, days_between(READ_ON, today)).into();
    let content =
        Content { protocols: &library.protocols, exercises: &library.exercises, languages: &LANGUAGES };
    read_entries(&SourceText::new(file.name, text), content).map(|(_, entries)| entries).map_err(|problems| {
        let messages: Vec<&str> = problems.0.iter().map(|it| it.message.as_str()).collect();
        DemoError::File { file: file.name, message: messages.join("; ") }
    })
}

/// Moves every date in a text (also those in names of documents) by so many days.
fn moved(text: &str, days: i64) -> String {
    const LENGTH: usize = "2026-11-26".len();
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(first) = rest.chars().next() {
        let found = rest.get(..LENGTH).filter(|it| it.as_bytes()[4] == b'-' && it.as_bytes()[7] == b'-');
        if let Some(on) = found.and_then(|it| it.parse::<Date>().ok()) {
            out.push_str(&days_after(on, days).to_string());
            rest = &rest[LENGTH..];
        } else {
            out.push(first);
            rest = &rest[first.len_utf8()..];
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_date_moves_and_nothing_else() {
        let text = "on = \"2026-11-28\" # note of 2026-12-31, 555-0134, é";
        assert_eq!(moved(text, 3), "on = \"2026-12-01\" # note of 2027-01-03, 555-0134, é");
        assert_eq!(moved(ACL.text, 0), ACL.text);
    }
}
