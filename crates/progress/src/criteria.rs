//! Criteria of the next phases, held against what was measured.
//!
//! Only what was measured on the operated side counts; a comparison of sides is taken from a value on record or
//! from both sides measured within two weeks of each other. A criterion that is met opens nothing: a phase begins
//! by a person's act.

use handrail_episode::{Episode, Measure, Numbered};
use handrail_measures::{Kind, quantity};
use handrail_protocol::{Criterion, Orders, Protocol, Threshold};
use jiff::civil::Date;
use serde::Serialize;

use crate::days_after;
use crate::response::worst_pain;

/// Days after which a measurement is too old to decide on (this program's own choice, no source). The same span
/// bounds how far apart the two sides of a comparison may be measured.
pub const STALE_AFTER: i64 = 14;

/// A value that a criterion can be held against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Reading {
    pub entry: u64,
    /// Day it was complete.
    pub on: Date,
    /// Day of the oldest measurement in it.
    pub oldest: Date,
    pub value: f64,
}

/// How a value lies to its threshold, seen with the measurement error.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "near", rename_all = "snake_case")]
pub enum Near {
    /// Not further from the threshold than the error: another measurement may fall on the other side of it.
    WithinError {
        /// Size of the error, in the unit of the criterion.
        error: f64,
    },
    /// Further from it.
    Beyond {
        /// Size of the error.
        error: f64,
    },
    /// No error is known for this measurement.
    ErrorNotKnown,
}

impl Near {
    /// True within the error, false beyond, `None` where no error is known.
    pub fn within(self) -> Option<bool> {
        match self {
            Near::WithinError { .. } => Some(true),
            Near::Beyond { .. } => Some(false),
            Near::ErrorNotKnown => None,
        }
    }
}

/// Why a measurement of the right name cannot be held against the criterion.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NotUsable {
    /// It is of the side that was not operated.
    OtherSide,
    /// Its unit is not that of the criterion.
    Unit,
    /// The joint was not moved as the criterion asks (active, passive).
    Drive,
    /// The value is outside of what can be measured.
    Implausible,
}

/// Where a criterion stands on a day.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "state", rename_all = "snake_case")]
pub enum State {
    /// The last measurement meets it.
    Met {
        /// Entry of the measurement.
        entry: u64,
        /// Value.
        value: f64,
        /// Day.
        on: Date,
        /// Against the measurement error.
        near: Near,
    },
    /// The last measurement does not meet it.
    NotMet {
        /// Entry of the measurement.
        entry: u64,
        /// Value.
        value: f64,
        /// Day.
        on: Date,
        /// Against the measurement error.
        near: Near,
    },
    /// Nothing was measured.
    NotMeasured,
    /// A clinician must judge it, and nobody has.
    NeedsPerson,
    /// Only one side was measured, or the sides too far apart in time.
    NeedsBothSides,
    /// There are measurements, but none that can be held against it.
    NotComparable {
        /// Entry of the last one.
        entry: u64,
        /// Why.
        why: NotUsable,
    },
    /// The last measurement is older than [`STALE_AFTER`] days.
    Stale {
        /// Entry of the measurement.
        entry: u64,
        /// Value.
        value: f64,
        /// Day.
        on: Date,
        /// It met the criterion then.
        met_then: bool,
    },
    /// It does not apply to this operation.
    NotApplicable,
}

/// A criterion with where it stands.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CriterionState {
    /// Criterion.
    pub criterion: String,
    /// Phase it opens.
    pub begins: String,
    /// Position of that phase.
    pub begins_index: usize,
    /// What is asked.
    pub threshold: Threshold,
    /// Unit.
    pub unit: String,
    /// Unanswered questions because of which it is kept: it may not apply to this patient.
    pub unanswered: Vec<String>,
    /// Where it stands.
    #[serde(flatten)]
    pub state: State,
}

/// All criteria of the protocol on a day, in the order of its file.
pub fn criteria(episode: &Episode, protocol: &Protocol, on: Date) -> Vec<CriterionState> {
    let one = |criterion: &Criterion| {
        let applies = applies(&episode.orders, &criterion.only_if);
        let state = if applies.is_some() { state(criterion, episode, on) } else { State::NotApplicable };
        CriterionState {
            criterion: criterion.id.clone(),
            begins: protocol.phases[criterion.begins].id.clone(),
            begins_index: criterion.begins,
            threshold: criterion.threshold,
            unit: criterion.unit.clone(),
            unanswered: applies.unwrap_or_default(),
            state,
        }
    };
    protocol.criteria.iter().map(one).collect()
}

/// `None` when a condition rules it out; otherwise the questions that are not answered.
pub(crate) fn applies(orders: &Orders, condition: &handrail_protocol::Condition) -> Option<Vec<String>> {
    let mut unanswered = Vec::new();
    for (variant, answers) in condition {
        match orders.answer(variant) {
            Some(answer) if answers.contains(answer) => {}
            Some(_) => return None,
            None => unanswered.push(variant.clone()),
        }
    }
    Some(unanswered)
}

/// True when a value reaches a threshold; a judged yes is 1.
pub(crate) fn reaches(threshold: Threshold, value: f64) -> bool {
    match threshold {
        Threshold::AtLeast(limit) => value >= limit - 1e-9,
        Threshold::AtMost(limit) => value <= limit + 1e-9,
        Threshold::Judged => value == 1.0,
    }
}

/// How a value lies to the threshold of its criterion.
pub(crate) fn near(criterion: &Criterion, value: f64) -> Near {
    let limit = match criterion.threshold {
        Threshold::AtLeast(limit) | Threshold::AtMost(limit) => limit,
        Threshold::Judged => return Near::ErrorNotKnown,
    };
    let known = quantity(&criterion.measure).and_then(|it| Some((it, it.error?)));
    let Some(error) = known.map(|(it, error)| error.of_change(it, value)) else { return Near::ErrorNotKnown };
    if (value - limit).abs() <= error + 1e-9 { Near::WithinError { error } } else { Near::Beyond { error } }
}

fn state(criterion: &Criterion, episode: &Episode, on: Date) -> State {
    let readings = series(criterion, episode);
    let Some(last) = readings.iter().rev().find(|it| it.on <= on) else {
        return without_reading(criterion, episode, on);
    };
    let met = reaches(criterion.threshold, last.value);
    let Reading { entry, value, .. } = *last;
    if days_after(last.oldest, STALE_AFTER) < on {
        return State::Stale { entry, value, on: last.oldest, met_then: met };
    }
    let near = near(criterion, value);
    if met {
        State::Met { entry, value, on: last.on, near }
    } else {
        State::NotMet { entry, value, on: last.on, near }
    }
}

fn without_reading(criterion: &Criterion, episode: &Episode, on: Date) -> State {
    let until_now = || episode.course.measures.iter().filter(|it| it.fact.on <= on);
    let of_base = |it: &&Numbered<Measure>| base_of(criterion).is_some_and(|base| it.fact.what == base);
    if until_now().any(|it| of_base(&it)) {
        return State::NeedsBothSides;
    }
    let named = until_now().rfind(|it| it.fact.what == criterion.measure);
    let refused = named.and_then(|it| Some((it.number, usable(criterion, episode, &it.fact).err()?)));
    match refused {
        Some((entry, why)) => State::NotComparable { entry, why },
        None if criterion.threshold == Threshold::Judged => State::NeedsPerson,
        None => State::NotMeasured,
    }
}

fn base_of(criterion: &Criterion) -> Option<&'static str> {
    quantity(&criterion.measure)?.derived.map(|it| it.of())
}

/// Whether a measurement of the criterion's name can be held against it.
fn usable(criterion: &Criterion, episode: &Episode, measure: &Measure) -> Result<(), NotUsable> {
    if measure.side.is_some_and(|it| it != episode.operation.side) {
        return Err(NotUsable::OtherSide);
    }
    if criterion.threshold != Threshold::Judged && measure.unit != criterion.unit {
        return Err(NotUsable::Unit);
    }
    fits(&criterion.measure, measure)
}

/// Whether drive and value fit what the name of the quantity says.
fn fits(name: &str, measure: &Measure) -> Result<(), NotUsable> {
    let Some(quantity) = quantity(name) else {
        // A clinic's own name: nothing is known of it but that it must be a number.
        return if measure.value.is_finite() { Ok(()) } else { Err(NotUsable::Implausible) };
    };
    if let (Kind::Angle { drive, .. }, Some(measured)) = (quantity.kind, measure.drive)
        && !drive.is_empty()
        && measured.id() != drive
    {
        return Err(NotUsable::Drive);
    }
    if quantity.is_plausible(measure.value) { Ok(()) } else { Err(NotUsable::Implausible) }
}

/// Everything a criterion was ever held against, oldest first.
pub(crate) fn series(criterion: &Criterion, episode: &Episode) -> Vec<Reading> {
    let mut out: Vec<Reading> = Vec::new();
    for it in episode.course.measures.iter().filter(|it| it.fact.what == criterion.measure) {
        if usable(criterion, episode, &it.fact).is_ok() {
            let (on, value) = (it.fact.on, it.fact.value);
            out.push(Reading { entry: it.number, on, oldest: on, value });
        }
    }
    both_sides(criterion, episode, &mut out);
    pain_of_diaries(criterion, episode, &mut out);
    out.sort_by_key(|it| (it.on, it.entry));
    out
}

/// Comparisons of sides from measurements of both: each new one with the latest of the other side, when that is not
/// too old.
fn both_sides(criterion: &Criterion, episode: &Episode, out: &mut Vec<Reading>) {
    let Some(derived) = quantity(&criterion.measure).and_then(|it| it.derived) else { return };
    let operated = episode.operation.side;
    let (mut own, mut other): (Option<&Numbered<Measure>>, Option<&Numbered<Measure>>) = (None, None);
    for it in episode.course.measures.iter().filter(|it| it.fact.what == derived.of()) {
        if fits(derived.of(), &it.fact).is_err() {
            continue;
        }
        match it.fact.side {
            Some(side) if side == operated => own = Some(it),
            Some(_) => other = Some(it),
            None => continue,
        }
        let (Some(a), Some(b)) = (own, other) else { continue };
        let oldest = a.fact.on.min(b.fact.on);
        let comparable = a.fact.unit == b.fact.unit
            && a.fact.drive == b.fact.drive
            && days_after(oldest, STALE_AFTER) >= it.fact.on;
        if let Some(value) = derived.value(a.fact.value, b.fact.value).filter(|_| comparable) {
            out.push(Reading { entry: it.number, on: it.fact.on, oldest, value });
        }
    }
}

/// Pain that a diary tells can fail a criterion on pain; it never meets one.
fn pain_of_diaries(criterion: &Criterion, episode: &Episode, out: &mut Vec<Reading>) {
    if criterion.measure != "pain" {
        return;
    }
    for it in &episode.course.diaries {
        let Some(value) = worst_pain(&it.fact).map(f64::from) else { continue };
        if !reaches(criterion.threshold, value) {
            out.push(Reading { entry: it.number, on: it.fact.on, oldest: it.fact.on, value });
        }
    }
}
