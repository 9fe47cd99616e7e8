//! An invented clinic with invented patients: for `handrail demo`, for tests and for benchmarks.
//!
//! [`clinic`] makes twelve patients at different days after different operations, with the months of records that
//! lead up to `today`. [`many`] makes mass data quickly. Both come from a seed, and the same seed gives the same
//! records. Nothing in them is from a real person; the clinic's name says that it is invented.
//!
//! The programs are not invented: each was asked of the rooms `program` and `episode` on the day it was issued, with
//! the limits of that day. Nothing is recorded on `today` or later; only planned visits lie ahead.
//!
//! Never: files, clock.
#![forbid(unsafe_code)]

mod cast;
mod course;
mod drafts;
mod files;
mod many;
mod planner;
mod recovery;
mod staff;
mod texts;

use handrail_episode::{Entry, Fact};
use handrail_library::Library;
use jiff::civil::{Date, DateTime};
use rayon::prelude::*;

pub use many::many;
pub use staff::{CLINIC_NAME, Person, people};

/// Who entered a fact.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Who {
    /// A person of the clinic: index into [`Clinic::people`].
    Person(usize),
    /// The patient, on the patient's page.
    Patient,
}

/// An entry of an invented record.
#[derive(Clone, Debug, PartialEq)]
pub struct DemoEntry {
    /// Day from which it is true.
    pub on: Date,
    /// When it was recorded, local time of the clinic; never before the entry ahead of it.
    pub recorded: DateTime,
    /// Who entered it.
    pub by: Who,
    /// Fact. The numbers in it (what a contact is about) count the entries of the episode from 1.
    pub fact: Fact,
    /// Number of the entry in whose place it stands, counted from 1.
    pub supersedes: Option<u64>,
}

/// An invented episode.
#[derive(Clone, Debug, PartialEq)]
pub struct DemoEpisode {
    /// Name of the episode: small letters, digits, hyphens.
    pub id: String,
    /// Entries in the order recorded.
    pub entries: Vec<DemoEntry>,
}

impl DemoEpisode {
    /// The entries as the fold takes them, numbered from 1.
    pub fn entries(&self) -> Vec<Entry> {
        let numbered = (1u64..).zip(&self.entries);
        let entry = |(number, it): (u64, &DemoEntry)| Entry {
            number,
            on: it.on,
            fact: it.fact.clone(),
            supersedes: it.supersedes,
        };
        numbered.map(entry).collect()
    }
}

/// The invented clinic.
#[derive(Clone, Debug, PartialEq)]
pub struct Clinic {
    /// Its people.
    pub people: Vec<Person>,
    /// Its patients.
    pub episodes: Vec<DemoEpisode>,
}

/// Why there is no invented clinic.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum DemoError {
    /// The library has no such protocol.
    #[error("the library has no protocol `{0}`; the invented patients need it")]
    NoProtocol(String),
    /// One of the built-in episode files does not fit the library.
    #[error("the invented episode `{file}` does not fit the library: {message}")]
    File {
        /// File.
        file: &'static str,
        /// What is wrong.
        message: String,
    },
    /// A record that was made does not hold together.
    #[error("the invented episode `{id}` does not hold together on {on}: {message}")]
    Record {
        /// Episode.
        id: String,
        /// Day.
        on: Date,
        /// What is wrong.
        message: String,
    },
}

/// Makes the clinic as it stands in the morning of `today`.
///
/// # Errors
/// A library without the protocols of the invented patients, or with one that their records do not fit.
pub fn clinic(library: &Library, today: Date, seed: u64) -> Result<Clinic, DemoError> {
    let episodes: Result<Vec<DemoEpisode>, DemoError> =
        cast::CAST.par_iter().map(|role| course::record(library, role, today, seed)).collect();
    Ok(Clinic { people: people(), episodes: episodes? })
}

/// The day so many days later (earlier, when negative).
pub(crate) fn days_after(date: Date, days: i64) -> Date {
    date.saturating_add(jiff::Span::new().days(days))
}

/// Days from one date to another; negative when it is earlier.
pub(crate) fn days_between(from: Date, to: Date) -> i64 {
    i64::from(handrail_protocol::day_after_surgery(from, to))
}
