//! One patient's line in the caseload: made with each write, stored with it, asked for any later day. The reasons to
//! look ([`crate::attention()`]) stand beside it in rows of their own, so that a line is small and each is written once.

use handrail_anatomy::Side;
use handrail_episode::{Episode, Medium};
use handrail_protocol::Protocol;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::days::{TinyData, TinyDay};
use crate::phases::Phases;

/// The program version in the patient's hands.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Held {
    /// Version.
    pub version: u32,
    /// Day it was given.
    pub given: Date,
    /// Last valid day printed on it.
    pub valid_until: Date,
    /// How it was given.
    pub medium: Medium,
}

/// Everything the caseload shows of one patient. Right from the day of writing on, until the next entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Summary {
    /// Episode.
    pub episode: String,
    /// Patient's name.
    pub name: String,
    /// Number in the clinic's own files.
    pub record: Option<String>,
    /// Date of birth.
    pub born: Option<Date>,
    /// Language of the patient's outputs.
    pub language: String,
    /// Therapist who plans.
    pub therapist: String,
    /// Protocol.
    pub protocol: String,
    /// Operated side.
    pub side: Side,
    /// Day 0.
    pub surgery: Date,
    /// Surgeon.
    pub surgeon: String,
    /// Next visit to the surgeon.
    pub next_visit: Option<Date>,
    /// Phases with the day on which each began, in the order of days.
    pub phases: Vec<(Date, String)>,
    /// Newest program version on record.
    pub newest_version: Option<u32>,
    /// What the patient holds.
    pub held: Option<Held>,
    /// Day of the last diary.
    pub last_diary: Option<Date>,
    /// Day the episode was closed.
    pub closed: Option<Date>,
    /// Day of writing: earlier days are not answered.
    pub from: Date,
    /// Data of the small timeline.
    pub tiny: TinyData,
}

impl Summary {
    /// The small timeline that ends with a day.
    pub fn tiny_on(&self, on: Date) -> Vec<TinyDay> {
        self.tiny.on(on)
    }

    /// Phase on a day.
    pub fn phase_on(&self, on: Date) -> Option<&str> {
        self.phases.iter().rev().find(|it| it.0 <= on).map(|it| it.1.as_str())
    }
}

/// Makes the summary of an episode on the day of writing.
pub fn summary(episode: &Episode, protocol: &Protocol, from: Date) -> Summary {
    let (patient, operation) = (&episode.patient, &episode.operation);
    let phases = Phases::of(protocol, &episode.orders);
    let held = episode.held().map(|it| Held {
        version: it.fact.1.version,
        given: it.fact.0,
        valid_until: it.fact.1.valid_until,
        medium: it.fact.1.medium,
    });
    Summary {
        episode: episode.id.clone(),
        name: patient.name.clone(),
        record: patient.record.clone(),
        born: patient.born,
        language: patient.language.clone(),
        therapist: episode.clinic.therapist.clone(),
        protocol: operation.protocol.clone(),
        side: operation.side,
        surgery: operation.surgery,
        surgeon: operation.surgeon.clone(),
        next_visit: operation.next_visit,
        phases: phases.stretches().map(|(on, _, index)| (on, protocol.phases[index].id.clone())).collect(),
        newest_version: episode.programs.last().map(|it| it.version),
        held,
        last_diary: episode.course.diaries.last().map(|it| it.fact.on),
        closed: episode.course.closed.as_ref().map(|it| it.fact.0),
        from,
        tiny: TinyData::of(episode, protocol, from),
    }
}
