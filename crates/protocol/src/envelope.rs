//! What is allowed on one date, why, since when and until what act; and what changes next.
//!
//! The rules, in the order in which they are applied:
//!
//! 1. A restriction of the protocol starts on its day by itself. It ends by a person's act only, and not
//!    before its weeks have passed unless a release names it. Past its weeks it stays in force, overdue.
//! 2. Of a ladder exactly one stage holds. A stricter next stage takes over on its day by itself; a looser one
//!    (or one that cannot be compared) only after a release of the present stage, or, where the file says so,
//!    once its phase was begun by a named person and its weeks have passed.
//! 3. A restriction that depends on an unanswered variant is kept as if it applied, and the variant is listed
//!    as blocking.
//! 4. An order takes the place of what it `replaces`, and of every protocol value for the same quantity as far
//!    as it speaks of it. Prohibitions add up: an order loosens one only by replacing it. An order past its
//!    last day loosens nothing any more, but what it forbids stays until released.
//! 5. Of two limits of which one implies the other, the stricter holds and says which it supersedes. Orders
//!    that contradict each other are noted.

use handrail_anatomy::{Joint, Known, Side};
use jiff::civil::Date;
use serde::Serialize;

use crate::calendar::day_after_surgery;
use crate::fold::Fold;
use crate::limits::Limit;
use crate::model::{Precaution, Protocol};
use crate::orders::{Orders, OrdersMistake, check_orders};

/// On whose word a limit stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Ordered by the surgeon for this patient.
    Ordered,
    /// From the protocol, confirmed for this patient.
    Confirmed,
    /// From the protocol, not confirmed yet.
    Assumed,
}

/// The act by a named person that a change needs.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ActNeeded {
    /// None: the change makes things stricter, or the act is on record already.
    None,
    /// A release of this restriction or order.
    Release(String),
    /// The beginning of this phase.
    BeginPhase(String),
}

impl ActNeeded {
    /// Key of the sentence that tells it.
    pub fn key(&self) -> &'static str {
        match self {
            ActNeeded::None => "act-none",
            ActNeeded::Release(_) => "act-release",
            ActNeeded::BeginPhase(_) => "act-begin-phase",
        }
    }

    /// Restriction, order or phase that the act is about.
    pub fn about(&self) -> Option<&str> {
        match self {
            ActNeeded::None => None,
            ActNeeded::Release(id) | ActNeeded::BeginPhase(id) => Some(id),
        }
    }
}

/// Until when a limit holds.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Until {
    /// First day on which it may end; `None` when no time is named.
    pub earliest: Option<Date>,
    /// What must happen besides.
    pub act: ActNeeded,
    /// Criteria (ids) that must be met before that act.
    pub criteria: Vec<String>,
}

/// Why a limit gave way to another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Why {
    /// An order names it in `replaces`.
    Replaced,
    /// An order gives a value to the same quantity.
    OrderBeatsProtocol,
    /// The same, for a part of what it spoke of; the rest is still in force.
    OrderBeatsProtocolInPart,
    /// The other one is stricter.
    StricterHolds,
    /// Both say the same.
    SameLimit,
}

/// A limit that gave way.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Superseded {
    /// Its restriction or order.
    pub id: String,
    /// What it said.
    pub limit: Limit,
    /// Why it gave way.
    pub why: Why,
    /// Where it came from.
    pub source: String,
}

/// A limit in force.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct InForce {
    /// Restriction or order.
    pub id: String,
    /// What it limits.
    pub limit: Limit,
    /// On whose word.
    pub status: Status,
    /// First day.
    pub since: Date,
    /// Until when.
    pub until: Until,
    /// True when its planned time has passed and nobody has lifted it: due for review.
    pub overdue: bool,
    /// Where it comes from: the protocol's source, or the document of the order.
    pub source: String,
    /// How well the source is known; `None` for an order.
    pub known: Option<Known>,
    /// Why the protocol takes this value where sources differ.
    pub basis: Option<String>,
    /// Who ordered or confirmed it.
    pub by: Option<String>,
    /// Document of the order or confirmation.
    pub document: Option<String>,
    /// Remark for clinicians.
    pub note: Option<String>,
    /// What it superseded.
    pub superseded: Vec<Superseded>,
    /// Unanswered variants because of which it is kept: it may not apply to this patient.
    pub unanswered: Vec<String>,
}

/// A restriction or order that a person has lifted.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Lifted {
    /// Restriction or order.
    pub id: String,
    /// By what act.
    pub by: String,
    /// When.
    pub on: Date,
    /// Document of the act.
    pub document: Option<String>,
    /// Reason of the act.
    pub reason: Option<String>,
}

/// The present phase.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct PhaseRef {
    /// Name.
    pub id: String,
    /// Position, from 0.
    pub index: usize,
    /// Title for clinicians.
    pub title: String,
    /// Day it was begun; the first phase begins with the surgery.
    pub since: Date,
    /// Phase that the calendar alone would have.
    pub by_calendar: String,
}

/// A fact that must be known and is not.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Blocked {
    /// Variant.
    pub variant: String,
    /// What to ask.
    pub question: String,
    /// Possible answers.
    pub choices: Vec<String>,
    /// Restrictions and criteria that depend on it.
    pub depends: Vec<String>,
    /// Joints that those restrictions are about.
    pub joints: Vec<Joint>,
}

/// Something a clinician must see.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case", tag = "note")]
pub enum Note {
    /// The protocol is not signed in this version.
    Draft,
    /// The calendar is ahead: that phase waits for its act.
    PhaseWaits {
        /// Phase of the calendar.
        by_calendar: String,
    },
    /// The phase was begun before its planned week; the limits keep their weeks.
    PhaseEarly {
        /// Present phase.
        phase: String,
        /// Planned day.
        planned: Date,
    },
    /// Two orders give different values to one quantity; the stricter holds.
    Contradiction {
        /// Order that holds.
        holds: String,
        /// Order that does not.
        yields: String,
    },
    /// Two limits on one quantity cannot be compared; both hold.
    BothHold {
        /// One.
        one: String,
        /// The other.
        other: String,
    },
    /// An order allows more than the protocol.
    OrderLooser {
        /// Order.
        order: String,
        /// Restriction of the protocol.
        restriction: String,
    },
    /// The protocol is stricter than an order that does not replace it; the stricter holds.
    ProtocolStricter {
        /// Order.
        order: String,
        /// Restriction of the protocol.
        restriction: String,
    },
    /// A release has no effect on this day.
    ReleaseWithoutEffect {
        /// Restriction it names.
        restriction: String,
    },
}

/// What a change does.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ChangeWhat {
    /// A limit starts.
    Starts {
        /// Restriction or order.
        id: String,
        /// What it limits.
        limit: Limit,
    },
    /// A ladder goes to its next stage.
    Steps {
        /// Present stage.
        from: String,
        /// Next stage.
        to: String,
        /// What the next stage limits.
        limit: Limit,
    },
    /// A limit ends.
    Ends {
        /// Restriction or order.
        id: String,
    },
    /// A phase begins.
    Phase {
        /// Phase.
        id: String,
    },
}

/// What a change still needs.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Need {
    /// A criterion (id) is met.
    Criterion(String),
    /// An act by a named person.
    Act(ActNeeded),
}

/// One of the next changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// Earliest day, not before the envelope's own date.
    pub on: Date,
    /// True when the planned day is past or today.
    pub due: bool,
    /// What changes.
    pub what: ChangeWhat,
    /// What it needs; empty: nothing more, it happens on its day.
    pub needs: Vec<Need>,
}

/// What is allowed on one date.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Envelope {
    /// Date.
    pub on: Date,
    /// Days after surgery.
    pub day: i32,
    /// Week after surgery: day 0 is in week 1, week 3 is days 14 to 20.
    pub week: i32,
    /// Operated side.
    pub side: Side,
    /// Protocol and its version.
    pub protocol: (String, String),
    /// Present phase.
    pub phase: PhaseRef,
    /// Limits in force: first the orders in their order, then the protocol's in the order of its file.
    pub in_force: Vec<InForce>,
    /// What a person has lifted.
    pub lifted: Vec<Lifted>,
    /// Missing facts.
    pub blocked: Vec<Blocked>,
    /// Warnings for clinicians on this day.
    pub precautions: Vec<Precaution>,
    /// What a clinician must see.
    pub notes: Vec<Note>,
    /// Next changes, earliest first.
    pub next: Vec<Change>,
}

/// Why there is no envelope.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EnvelopeError {
    /// The date is before the surgery.
    #[error("{on} is before the surgery on {surgery}: there is no day after surgery to plan for")]
    BeforeSurgery {
        /// Day of the surgery.
        surgery: Date,
        /// Date asked for.
        on: Date,
    },
    /// The orders do not fit the protocol.
    #[error("the orders do not fit the protocol: {}", list(.0))]
    Orders(Vec<OrdersMistake>),
}

fn list(mistakes: &[OrdersMistake]) -> String {
    let texts: Vec<String> = mistakes.iter().map(|it| format!("{} ({})", it.message, it.mend)).collect();
    texts.join("; ")
}

/// What is allowed on a date; the module's documentation states the rules.
///
/// Acts, confirmations and orders dated after `on` are not looked at, except that orders starting later are
/// listed among the next changes.
///
/// # Errors
/// A date before the surgery; orders that do not fit the protocol.
pub fn envelope(protocol: &Protocol, orders: &Orders, on: Date) -> Result<Envelope, EnvelopeError> {
    let day = day_after_surgery(orders.surgery, on);
    if day < 0 {
        return Err(EnvelopeError::BeforeSurgery { surgery: orders.surgery, on });
    }
    let mistakes = check_orders(protocol, orders);
    if !mistakes.is_empty() {
        return Err(EnvelopeError::Orders(mistakes));
    }
    Ok(Fold::new(protocol, orders, on).envelope(day))
}
