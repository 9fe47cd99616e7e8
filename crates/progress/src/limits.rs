//! What follows from the restrictions: changes, what is only assumed, open questions, criteria newly met, and limits
//! that began after a sheet was given.
//!
//! The envelope is constant between the days on which something can happen by itself (weeks of the protocol, days
//! of orders) or on which an act, order or confirmation takes effect. It is asked on each of those days only.

use std::collections::BTreeSet;

use handrail_episode::Episode;
use handrail_protocol::{
    ActNeeded, Change, ChangeWhat, Envelope, EnvelopeError, Need, Protocol, Status, envelope, weeks_complete,
};
use jiff::civil::Date;

use crate::attention::{Attention, ChangeKind, Detail, Needed, Reason, SheetCause, SheetWhy};
use crate::criteria::{Reading, applies, near, reaches, series};
use crate::days_after;
use crate::phases::Phases;

/// Days before a planned change on which it asks for attention ("this week").
const AHEAD: i64 = 7;

/// A stretch of days with one envelope.
struct Stretch {
    from: Date,
    until: Option<Date>,
    envelope: Envelope,
}

/// Days from `start` on, on which the envelope can become another one; `start` is the first.
fn turning_days(episode: &Episode, protocol: &Protocol, start: Date) -> Vec<Date> {
    let orders = &episode.orders;
    let mut weeks: BTreeSet<u32> = protocol.phases.iter().map(|it| it.from_week).collect();
    weeks.extend(protocol.restrictions.iter().flat_map(|it| [Some(it.from_week), it.to_week]).flatten());
    let mut days: BTreeSet<Date> = weeks.into_iter().map(|it| weeks_complete(orders.surgery, it)).collect();
    days.extend(orders.orders.iter().map(|it| it.from));
    days.extend(orders.orders.iter().filter_map(|it| it.until).map(|it| days_after(it, 1)));
    days.extend(orders.acts.iter().map(|it| it.on));
    days.extend(orders.confirmed.iter().map(|it| it.on));
    days.retain(|it| *it > start);
    days.insert(start);
    days.into_iter().collect()
}

fn stretches(episode: &Episode, protocol: &Protocol, start: Date) -> Result<Vec<Stretch>, EnvelopeError> {
    let days = turning_days(episode, protocol, start);
    let ends = days.iter().skip(1).map(|it| Some(*it)).chain([None]);
    let each = days.iter().zip(ends).map(|(from, until)| {
        let envelope = envelope(protocol, &episode.orders, *from)?;
        Ok(Stretch { from: *from, until, envelope })
    });
    each.collect()
}

/// Windows of all that follows from the envelope.
pub(crate) fn windows(episode: &Episode, protocol: &Protocol, from: Date, out: &mut Vec<Attention>) {
    let surgery = episode.operation.surgery;
    let start = from.max(surgery);
    // A sheet is older than a limit that began between its day and today, even where that has ended again.
    let given = episode.held().map(|it| it.fact.0);
    let stretches = match stretches(episode, protocol, given.map_or(start, |it| it.clamp(surgery, start))) {
        Ok(it) => it,
        Err(error) => {
            let detail = Detail::NotKnown { mistakes: mistakes(&error) };
            out.push(Attention::new(Reason::RestrictionsNotKnown, surgery, None, detail));
            sheet(episode, &[], out);
            return;
        }
    };
    let first = stretches.iter().rposition(|it| it.from <= start).unwrap_or(0);
    changes(protocol, &stretches[first..], out);
    assumed(&stretches[first..], out);
    variants(&stretches[first].envelope, surgery, out);
    sheet(episode, &stretches, out);
}

fn mistakes(error: &EnvelopeError) -> Vec<String> {
    match error {
        EnvelopeError::Orders(all) => all.iter().map(|it| format!("{}: {}", it.field, it.message)).collect(),
        EnvelopeError::BeforeSurgery { .. } => vec![error.to_string()],
    }
}

/// One window per change, from a week before its planned day until it is gone from the list of changes. A change
/// whose needs become others is told anew.
fn changes(protocol: &Protocol, stretches: &[Stretch], out: &mut Vec<Attention>) {
    let begin = out.len();
    for stretch in stretches {
        for change in &stretch.envelope.next {
            let (planned, since) = planned(protocol, stretch, change);
            let from = days_after(planned, -AHEAD).max(since);
            let detail = Detail::Change { change: kind(&change.what), planned, needs: needs(&change.needs) };
            let goes_on =
                out[begin..].iter_mut().find(|it| it.until == Some(stretch.from) && it.detail == detail);
            if let Some(before) = goes_on {
                before.until = stretch.until;
                continue;
            }
            // Of the first stretch the beginning is known; a later one begins with itself.
            let from = if stretch.from == stretches[0].from { from } else { from.max(stretch.from) };
            let it = Attention::new(Reason::RestrictionChanges, from, stretch.until, detail);
            out.push(it.about(about(&change.what)));
        }
    }
}

fn about(what: &ChangeWhat) -> &str {
    match what {
        ChangeWhat::Starts { id, .. } | ChangeWhat::Ends { id } | ChangeWhat::Phase { id } => id,
        ChangeWhat::Steps { from, .. } => from,
    }
}

fn kind(what: &ChangeWhat) -> ChangeKind {
    match what {
        ChangeWhat::Starts { id, .. } => ChangeKind::Starts { id: id.clone() },
        ChangeWhat::Steps { from, to, .. } => ChangeKind::Steps { from: from.clone(), to: to.clone() },
        ChangeWhat::Ends { id } => ChangeKind::Ends { id: id.clone() },
        ChangeWhat::Phase { id } => ChangeKind::Phase { id: id.clone() },
    }
}

fn needs(all: &[Need]) -> Vec<Needed> {
    let each = all.iter().filter_map(|it| match it {
        Need::Criterion(id) => Some(Needed::Criterion(id.clone())),
        Need::Act(ActNeeded::Release(id)) => Some(Needed::Release(id.clone())),
        Need::Act(ActNeeded::BeginPhase(id)) => Some(Needed::BeginPhase(id.clone())),
        Need::Act(ActNeeded::None) => None,
    });
    each.collect()
}

/// Planned day of a change, and since when what changes is there. The envelope gives a due change its own day,
/// so the planned one is looked up.
fn planned(protocol: &Protocol, stretch: &Stretch, change: &Change) -> (Date, Date) {
    let surgery = stretch.envelope.on.saturating_sub(jiff::Span::new().days(i64::from(stretch.envelope.day)));
    let week = |week: u32| weeks_complete(surgery, week);
    let item = |id: &str| stretch.envelope.in_force.iter().find(|it| it.id == id);
    let found = match &change.what {
        ChangeWhat::Starts { .. } => None,
        ChangeWhat::Ends { id } => item(id).and_then(|it| Some((it.until.earliest?, it.since))),
        ChangeWhat::Steps { from, to, .. } => {
            let since = item(from).map_or(surgery, |it| it.since);
            protocol.restriction(to).map(|it| (week(it.from_week), since))
        }
        ChangeWhat::Phase { id } => {
            protocol.phase(id).map(|(_, it)| (week(it.from_week), stretch.envelope.phase.since))
        }
    };
    found.unwrap_or((change.on, surgery))
}

/// Restrictions that stand on the protocol alone, all of a stretch in one window. Those kept because of an open
/// question are told by that question.
fn assumed(stretches: &[Stretch], out: &mut Vec<Attention>) {
    let begin = out.len();
    for stretch in stretches {
        let open = stretch.envelope.in_force.iter();
        let open = open.filter(|it| it.status == Status::Assumed && it.unanswered.is_empty());
        let restrictions: Vec<String> = open.clone().map(|it| it.id.clone()).collect();
        let Some(since) = open.map(|it| it.since).min() else { continue };
        let detail = Detail::Assumed { restrictions };
        if let Some(before) = out[begin..].last_mut()
            && before.until == Some(stretch.from)
            && before.detail == detail
        {
            before.until = stretch.until;
            continue;
        }
        let from = if stretch.from == stretches[0].from { since } else { stretch.from };
        out.push(Attention::new(Reason::RestrictionToConfirm, from, stretch.until, detail));
    }
}

/// Open questions about the operation: they block from the surgery on, and no day answers them.
fn variants(envelope: &Envelope, surgery: Date, out: &mut Vec<Attention>) {
    for it in &envelope.blocked {
        let detail = Detail::Variant { variant: it.variant.clone(), depends: it.depends.clone() };
        let window = Attention::new(Reason::RestrictionToConfirm, surgery, None, detail);
        out.push(window.about(it.variant.clone()));
    }
}

/// The sheet in hand against the newest version, the record of orders, limits that began since, and its own day.
fn sheet(episode: &Episode, stretches: &[Stretch], out: &mut Vec<Attention>) {
    let Some(held) = episode.held() else { return };
    let (given, sheet) = &held.fact;
    let mut causes: Vec<SheetCause> = Vec::new();
    if let Some(newer) =
        episode.programs.iter().filter(|it| it.version > sheet.version).min_by_key(|it| it.issued)
    {
        causes
            .push(SheetCause { since: newer.issued, why: SheetWhy::NewerVersion { version: newer.version } });
    }
    if let Some((entry, on)) = episode.orders_changed.filter(|(entry, _)| *entry > held.number) {
        causes.push(SheetCause { since: on, why: SheetWhy::OrdersChanged { entry } });
    }
    let expired = days_after(sheet.valid_until, 1);
    causes.push(SheetCause { since: expired, why: SheetWhy::Expired });
    for item in stretches.iter().flat_map(|it| &it.envelope.in_force) {
        let cause = SheetCause { since: item.since, why: SheetWhy::LimitBegan { id: item.id.clone() } };
        if item.since > *given && item.since < expired && !causes.contains(&cause) {
            causes.push(cause);
        }
    }
    for it in &mut causes {
        it.since = it.since.max(*given);
    }
    causes.sort_by(|a, b| (a.since, &a.why).cmp(&(b.since, &b.why)));
    let (since, held_version) = (causes[0].since, sheet.version);
    let detail = Detail::Sheet { held: held_version, valid_until: sheet.valid_until, causes };
    out.push(Attention::new(Reason::SheetOutOfDate, since, None, detail).entry(held.number));
}

/// Criteria of the next phase that a measurement meets: from that day until a decision names the criterion, the
/// phase begins, or a later measurement does not meet it.
pub(crate) fn criteria_met(
    episode: &Episode,
    protocol: &Protocol,
    phases: &Phases,
    out: &mut Vec<Attention>,
) {
    for criterion in &protocol.criteria {
        if applies(&episode.orders, &criterion.only_if).is_none() {
            continue;
        }
        for run in runs_of_met(&series(criterion, episode), criterion.threshold) {
            let decided = episode.course.decisions.iter().filter(|it| {
                let named = it.fact.criteria.contains(&criterion.id);
                named && it.number > run.first.entry && it.fact.on >= run.first.on
            });
            let end = decided.map(|it| it.fact.on).chain(run.until).min();
            for (begun, next, index) in phases.stretches().filter(|it| it.2 + 1 == criterion.begins) {
                let from = run.first.on.max(begun);
                let until = [end, next].into_iter().flatten().min();
                if until.is_some_and(|it| it <= from) {
                    continue;
                }
                let detail = Detail::Criterion {
                    begins: protocol.phases[index + 1].id.clone(),
                    value: run.first.value,
                    unit: criterion.unit.clone(),
                    asked: criterion.threshold.into(),
                    within_error: near(criterion, run.first.value).within(),
                    on: run.first.on,
                };
                let it = Attention::new(Reason::CriterionMet, from, until, detail);
                out.push(it.entry(run.first.entry).about(criterion.id.clone()));
            }
        }
    }
}

/// Measurements in a row that meet a threshold.
struct Run {
    first: Reading,
    /// Day of the next measurement that does not meet it.
    until: Option<Date>,
}

fn runs_of_met(readings: &[Reading], threshold: handrail_protocol::Threshold) -> Vec<Run> {
    let mut out: Vec<Run> = Vec::new();
    let mut open = false;
    for it in readings {
        let met = reaches(threshold, it.value);
        match (open, met) {
            (false, true) => out.push(Run { first: *it, until: None }),
            (true, false) => {
                if let Some(run) = out.last_mut() {
                    run.until = Some(it.on);
                }
            }
            _ => {}
        }
        open = met;
    }
    out
}
