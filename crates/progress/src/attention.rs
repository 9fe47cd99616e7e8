//! Who needs attention, and why: windows of days, so that they are stored once with a write and asked for any
//! later day.
//!
//! A window is open from its first day up to, but not including, its end; without an end it stays until somebody
//! acts and the windows are made anew. Windows reach to the end of the protocol's calendar, so that what begins in
//! the future (a diary that fails to come, a restriction that is about to change) is there without another run.
//!
//! What is never done: a warning sign is never closed by time, and nothing is left out because something worse
//! exists.

use handrail_episode::{Episode, Sign, SignUrgency};
use handrail_protocol::{Protocol, Threshold};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::phases::Phases;
use crate::response::Rule;
use crate::{duties, limits, reported};

/// Why somebody must look; [`Reason::rank`] has the order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// A diary reports a warning sign, and no contact about it is on record.
    WarningSign(SignUrgency),
    /// Pain, stiffness or swelling beyond the rules of response, and nobody has acted since.
    PainResponse,
    /// The restrictions of the day cannot be computed: the record does not fit the protocol.
    RestrictionsNotKnown,
    /// A restriction starts, steps or may end within a week, or is past its planned day without an act.
    RestrictionChanges,
    /// Restrictions are only assumed from the protocol, or a question about the operation is open.
    RestrictionToConfirm,
    /// A criterion of the next phase was newly met, and no decision names it.
    CriterionMet,
    /// No diary for three planned days.
    NoDiary,
    /// A report is due: to the surgeon before a visit, or a progress report.
    ReportDue,
    /// The sheet in the patient's hands is out of date.
    SheetOutOfDate,
    /// The patient has no program.
    NoProgram,
    /// The patient wrote and nobody has answered.
    MessageWaiting,
}

impl Reason {
    /// Place in the list, worst first; fixed.
    pub fn rank(self) -> u8 {
        match self {
            Reason::WarningSign(SignUrgency::Emergency) => 0,
            Reason::WarningSign(SignUrgency::SameDay) => 1,
            Reason::WarningSign(SignUrgency::NextVisit) => 2,
            Reason::PainResponse => 3,
            Reason::RestrictionsNotKnown => 4,
            Reason::RestrictionChanges => 5,
            Reason::RestrictionToConfirm => 6,
            Reason::CriterionMet => 7,
            Reason::NoDiary => 8,
            Reason::ReportDue => 9,
            Reason::SheetOutOfDate => 10,
            Reason::NoProgram => 11,
            Reason::MessageWaiting => 12,
        }
    }

    /// Name used in keys and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Reason::WarningSign(SignUrgency::Emergency) => "warning-sign-emergency",
            Reason::WarningSign(SignUrgency::SameDay) => "warning-sign-same-day",
            Reason::WarningSign(SignUrgency::NextVisit) => "warning-sign-next-visit",
            Reason::PainResponse => "pain-response",
            Reason::RestrictionsNotKnown => "restrictions-not-known",
            Reason::RestrictionChanges => "restriction-changes",
            Reason::RestrictionToConfirm => "restriction-to-confirm",
            Reason::CriterionMet => "criterion-met",
            Reason::NoDiary => "no-diary",
            Reason::ReportDue => "report-due",
            Reason::SheetOutOfDate => "sheet-out-of-date",
            Reason::NoProgram => "no-program",
            Reason::MessageWaiting => "message-waiting",
        }
    }
}

/// What a restriction does on its planned day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "change", rename_all = "snake_case")]
pub enum ChangeKind {
    /// It starts.
    Starts {
        /// Restriction or order.
        id: String,
    },
    /// A ladder goes to its next stage.
    Steps {
        /// Present stage.
        from: String,
        /// Next stage.
        to: String,
    },
    /// It may end.
    Ends {
        /// Restriction or order.
        id: String,
    },
    /// A phase is planned to begin.
    Phase {
        /// Phase.
        id: String,
    },
}

/// What a change still needs.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Needed {
    /// A criterion is met.
    Criterion(String),
    /// A release of this restriction or order.
    Release(String),
    /// The beginning of this phase.
    BeginPhase(String),
}

/// Why a sheet is out of date.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(tag = "why", rename_all = "snake_case")]
pub enum SheetWhy {
    /// A newer program version exists.
    NewerVersion {
        /// That version.
        version: u32,
    },
    /// The operation, an order, a confirmation or an act was put on record after it was given.
    OrdersChanged {
        /// Number of the last such entry.
        entry: u64,
    },
    /// A limit began after it was given.
    LimitBegan {
        /// Restriction or order.
        id: String,
    },
    /// Its last valid day has passed.
    Expired,
}

/// One cause for which a sheet is out of date.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SheetCause {
    /// First day it is so.
    pub since: Date,
    /// Why.
    #[serde(flatten)]
    pub why: SheetWhy,
}

/// What a criterion asks of its value.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ReachedValue {
    /// At least this was asked.
    AtLeast(f64),
    /// At most this was asked.
    AtMost(f64),
    /// A clinician answered yes.
    Judged,
}

impl From<Threshold> for ReachedValue {
    fn from(it: Threshold) -> ReachedValue {
        match it {
            Threshold::AtLeast(value) => ReachedValue::AtLeast(value),
            Threshold::AtMost(value) => ReachedValue::AtMost(value),
            Threshold::Judged => ReachedValue::Judged,
        }
    }
}

/// What a sentence about it needs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Detail {
    /// Warning signs of one diary, the most urgent first.
    Signs {
        /// Day the diary is about.
        on: Date,
        /// The signs.
        signs: Vec<Sign>,
    },
    /// Responses beyond the rules that one act would answer.
    Pain {
        /// Entries of the diaries, oldest first.
        entries: Vec<u64>,
        /// Day of the last of them.
        last: Date,
        /// Worst pain in them, 0 to 10.
        worst: Option<u8>,
        /// Rules that were passed.
        rules: Vec<Rule>,
    },
    /// Why there are no restrictions to show.
    NotKnown {
        /// Fields and entries that do not fit, as the protocol's check names them.
        mistakes: Vec<String>,
    },
    /// A change.
    Change {
        /// What changes.
        change: ChangeKind,
        /// Planned day; past it the change is overdue.
        planned: Date,
        /// What it needs; empty: it happens on its day.
        needs: Vec<Needed>,
    },
    /// Restrictions that stand on the protocol alone.
    Assumed {
        /// Restrictions, in the order of the protocol.
        restrictions: Vec<String>,
    },
    /// A question about the operation that is not answered.
    Variant {
        /// Question's name.
        variant: String,
        /// Restrictions and criteria that hang on it.
        depends: Vec<String>,
    },
    /// A criterion that is met.
    Criterion {
        /// Phase it opens.
        begins: String,
        /// Measured value; 1 for a judged yes.
        value: f64,
        /// Unit of it.
        unit: String,
        /// What was asked.
        asked: ReachedValue,
        /// True when the value is within the measurement error of the threshold; `None` where no error is known.
        within_error: Option<bool>,
        /// Day of the measurement.
        on: Date,
    },
    /// No diary.
    NoDiary {
        /// Day of the last diary.
        last: Option<Date>,
        /// First day counted.
        since: Date,
        /// Planned days that passed without one when the window opened.
        planned_days: u32,
    },
    /// A report to the surgeon.
    SurgeonReport {
        /// Day of the visit.
        visit: Date,
        /// To whom.
        surgeon: String,
    },
    /// A progress report.
    ProgressReport {
        /// Treatment days since the last one (or the first visit).
        treatment_days: u32,
        /// Treatment days by which it is to be written.
        by_treatment_day: u32,
    },
    /// The sheet in hand.
    Sheet {
        /// Version in hand.
        held: u32,
        /// Last valid day on it.
        valid_until: Date,
        /// Why, earliest first; only those whose day has come hold.
        causes: Vec<SheetCause>,
    },
    /// No program on record.
    NoProgram,
    /// A program is on record and was never given to the patient.
    NotGiven {
        /// Its version.
        version: u32,
    },
    /// Messages without an answer.
    Messages {
        /// How many.
        count: u32,
    },
}

/// One reason to look at a patient, with its days.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Attention {
    /// Why.
    pub reason: Reason,
    /// [`Reason::rank`] of it, for sorting where it is stored.
    pub rank: u8,
    /// First day.
    pub from: Date,
    /// First day on which it is over; `None`: until somebody acts.
    pub until: Option<Date>,
    /// Journal entry it is about.
    pub entry: Option<u64>,
    /// What it is about, machine readable: restriction, criterion, variant, phase; the text of a sign.
    pub about: String,
    /// Data for the sentence.
    pub detail: Detail,
}

impl Attention {
    pub(crate) fn new(reason: Reason, from: Date, until: Option<Date>, detail: Detail) -> Attention {
        Attention { reason, rank: reason.rank(), from, until, entry: None, about: String::new(), detail }
    }

    pub(crate) fn entry(self, entry: u64) -> Attention {
        Attention { entry: Some(entry), ..self }
    }

    pub(crate) fn about(self, about: impl Into<String>) -> Attention {
        Attention { about: about.into(), ..self }
    }

    /// True when it holds on a day.
    pub fn holds_on(&self, on: Date) -> bool {
        self.from <= on && self.until.is_none_or(|until| on < until)
    }
}

/// The worst rank on a day; `None` when nothing is known to need attention (which says nothing about health).
pub fn worst_on(list: &[Attention], on: Date) -> Option<u8> {
    list.iter().filter(|it| it.holds_on(on)).map(|it| it.rank).min()
}

/// All windows that are open on or after a day, worst first, then by their first day.
///
/// `from` is the day of writing. The windows are right for that day and every later one as long as no entry is
/// added. Earlier days are not answered.
pub fn attention(episode: &Episode, protocol: &Protocol, from: Date) -> Vec<Attention> {
    let phases = Phases::of(protocol, &episode.orders);
    let mut out = Vec::new();
    reported::signs(episode, &mut out);
    reported::messages(episode, &mut out);
    let heard = out.len();
    reported::pain(episode, &mut out);
    limits::windows(episode, protocol, from, &mut out);
    limits::criteria_met(episode, protocol, &phases, &mut out);
    duties::no_diary(episode, protocol, &phases, from, &mut out);
    duties::reports(episode, &mut out);
    duties::program(episode, &mut out);
    // The end of an episode ends its tasks; a sign or a message that nobody answered outlives it.
    if let Some(closed) = &episode.course.closed {
        for it in &mut out[heard..] {
            it.until = Some(it.until.map_or(closed.fact.0, |until| until.min(closed.fact.0)));
        }
    }
    out.retain(|it| it.until.is_none_or(|until| until > it.from && until > from));
    out.sort_by(|a, b| (a.rank, a.from, a.entry, &a.about).cmp(&(b.rank, b.from, b.entry, &b.about)));
    out
}
