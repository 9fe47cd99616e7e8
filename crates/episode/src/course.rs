//! What happens after the operation: sheets issued, diaries, measurements, decisions, calls, visits, notes and
//! messages.

use handrail_anatomy::{Drive, Side};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// How a program reached the patient.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Medium {
    /// Printed handout.
    Paper,
    /// The patient's page, by link.
    Page,
    /// The guided session as one file.
    File,
}

/// A program version that the patient was given.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Issued {
    /// Program version.
    pub version: u32,
    /// How.
    pub medium: Medium,
    /// Language, e.g. `en`.
    pub language: String,
    /// Last valid day printed on it.
    pub valid_until: Date,
    /// Who gave it.
    pub by: String,
}

/// Swelling compared with the day before, as the patient sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Swelling {
    /// Less.
    Less,
    /// The same.
    Same,
    /// More.
    More,
}

/// The morning after the last session, compared with the patient's usual.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Morning {
    /// Back to usual.
    Usual,
    /// More pain or stiffness than usual.
    Worse,
}

/// How a diary came in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DiarySource {
    /// Written on the patient's page.
    Page,
    /// Code of a guided session.
    Guided,
    /// Paper, typed in at the clinic.
    Paper,
    /// Told by the patient at a visit or on the phone.
    Told,
}

impl DiarySource {
    /// Name as in files.
    pub fn id(self) -> &'static str {
        match self {
            DiarySource::Page => "page",
            DiarySource::Guided => "guided session",
            DiarySource::Paper => "paper",
            DiarySource::Told => "told",
        }
    }
}

/// What was done of one exercise in one session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct DiaryDone {
    /// Exercise.
    pub exercise: String,
    /// Sets done; 0: not done.
    pub sets: u32,
    /// Repetitions done in all sets together; seconds of work count as one repetition a set.
    pub reps: u32,
}

/// How fast a reported sign asks for a call. Three levels and never more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SignUrgency {
    /// Emergency number now.
    Emergency,
    /// The team the same day.
    SameDay,
    /// At the next visit.
    NextVisit,
}

/// A warning sign that the patient reported.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sign {
    /// How fast it asks for a call.
    pub urgency: SignUrgency,
    /// The sign in the words in which it was asked, or that the patient wrote.
    pub says: String,
}

/// A patient's report on one session or one day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Diary {
    /// Day it is about.
    pub on: Date,
    /// Program version it follows; 0: none in hand.
    pub version: u32,
    /// What was done of each exercise; one that is missing was not spoken of.
    pub done: Vec<DiaryDone>,
    /// What was done beyond the program, in the patient's words.
    pub extra: Option<String>,
    /// Why something was left out, in the patient's words.
    pub left_out: Option<String>,
    /// Pain before, 0 to 10.
    pub pain_before: Option<u8>,
    /// Worst pain during, 0 to 10.
    pub pain_during: Option<u8>,
    /// Pain right after, 0 to 10.
    pub pain_after: Option<u8>,
    /// The morning after the session before this one.
    pub morning: Option<Morning>,
    /// Swelling.
    pub swelling: Option<Swelling>,
    /// Warning signs reported. Empty is not "none": it means that none was reported.
    pub signs: Vec<Sign>,
    /// Anything else.
    pub note: Option<String>,
    /// How it came in.
    pub source: DiarySource,
}

impl Diary {
    /// Nothing but the day and the source.
    pub fn new(on: Date, source: DiarySource) -> Diary {
        Diary {
            on,
            version: 0,
            done: Vec::new(),
            extra: None,
            left_out: None,
            pain_before: None,
            pain_during: None,
            pain_after: None,
            morning: None,
            swelling: None,
            signs: Vec::new(),
            note: None,
            source,
        }
    }

    /// What it counts of each exercise that was done.
    pub fn counted(&self) -> impl Iterator<Item = crate::fold::Done> + '_ {
        self.done.iter().filter(|it| it.reps > 0).map(|it| crate::fold::Done {
            on: self.on,
            exercise: it.exercise.clone(),
            reps: it.reps,
            from: format!("diary ({})", self.source.id()),
        })
    }

    /// Most urgent sign in it.
    pub fn worst_sign(&self) -> Option<&Sign> {
        self.signs.iter().min_by_key(|it| it.urgency)
    }
}

/// One measured value.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Measure {
    /// Day.
    pub on: Date,
    /// Name of the measurement, as in the criteria of protocols: `knee_flexion`, `single_leg_stance`.
    pub what: String,
    /// Side it was taken on; `None` where it has none (a questionnaire score).
    pub side: Option<Side>,
    /// Value in `unit`. For what is judged with yes or no: 1 or 0.
    pub value: f64,
    /// Unit; empty where it is judged or has none.
    pub unit: String,
    /// How the joint was moved, for angles: an angle without it cannot be held against a limit.
    pub drive: Option<Drive>,
    /// Instrument and position: "goniometer, lying".
    pub method: Option<String>,
    /// Who took it.
    pub by: String,
}

/// What was decided.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DecisionKind {
    /// Go on to what comes next.
    Advance,
    /// Stay.
    Hold,
    /// Go back.
    StepBack,
    /// Ask the surgeon.
    AskSurgeon,
}

/// A decision by a named person. It records; a phase begins and a restriction ends by an act of its own.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Decision {
    /// Day.
    pub on: Date,
    /// What.
    pub kind: DecisionKind,
    /// Criteria (ids) it rests on.
    pub criteria: Vec<String>,
    /// Who.
    pub by: String,
    /// Why.
    pub reason: String,
}

/// Who was told of something that must not stay unheard: a warning sign, a pain response.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Contact {
    /// Day.
    pub on: Date,
    /// Number of the entry it answers.
    pub about: u64,
    /// Who was told or asked: "Dr. ...", "patient".
    pub told: String,
    /// By phone, in person, letter.
    pub how: String,
    /// What came of it.
    pub outcome: String,
    /// Who did it.
    pub by: String,
}

/// A treatment visit at the clinic.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Visit {
    /// Day.
    pub on: Date,
    /// Minutes of treatment that are timed.
    pub timed_minutes: u32,
    /// Minutes of treatment in all.
    pub minutes: u32,
    /// What was done, and how the patient responded.
    pub says: String,
    /// Whether the patient showed the exercises back and said the limits back.
    pub teach_back: Option<bool>,
    /// Who.
    pub by: String,
}

/// A remark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Note {
    /// Text.
    pub says: String,
    /// Who.
    pub by: String,
}

/// Direction of a message.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum MessageFrom {
    /// The patient wrote it.
    Patient,
    /// The clinic wrote it.
    Clinic,
}

/// A message between patient and clinic.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Message {
    /// Who wrote it.
    pub from: MessageFrom,
    /// Text.
    pub says: String,
    /// Name of the writer.
    pub by: String,
}

/// Somebody looked at the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct View {
    /// Which page or document.
    pub what: String,
}

/// A report that is owed: to the surgeon before a visit, to the payer by its date.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Report {
    /// To whom it went.
    pub to: String,
    /// What kind: "progress report", "letter before the visit".
    pub kind: String,
    /// Who wrote it.
    pub by: String,
}

/// The end of the episode.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Closed {
    /// Why: discharged, moved away, did not come back.
    pub reason: String,
    /// Who.
    pub by: String,
}

/// An entry taken back without another in its place; the old one stays readable.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Withdrawn {
    /// Why.
    pub reason: String,
    /// Who.
    pub by: String,
}
