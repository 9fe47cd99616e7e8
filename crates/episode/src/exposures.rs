//! Load on a tissue over the weeks: what the programs plan and, with a diary, what was done.
//!
//! The jump from week to week is shown beside it. No injury threshold for such ratios is established; a
//! threshold is the therapist's, and every output says so.

use std::collections::BTreeMap;
use std::sync::Arc;

use handrail_anatomy::Tissue;
use handrail_motion::load::tissue_load;
use handrail_motion::{Load, Motion, NotKnown};
use handrail_program::Exposure;
use handrail_program::exposure::planned;
use handrail_protocol::limits::ExposureOf;
use handrail_protocol::{Limit, Protocol, days_of_week};
use jiff::civil::Date;

use crate::fold::Episode;
use crate::plan::{Plan, PlanError, plan};

/// One week after surgery.
#[derive(Clone, Debug, PartialEq)]
pub struct Week {
    /// Week 1 is days 0 to 6.
    pub number: i32,
    /// Its first day.
    pub from: Date,
    /// What the programs plan; `None` without a program in it.
    pub planned: Option<Exposure>,
    /// What was done, as the diary says; `None` without an entry. Diaries over-report by about a quarter
    /// (Nicolson 2018).
    pub done: Option<Exposure>,
    /// Change of the planned peaks against the week before, percent, by upper bounds; `None` where one of the
    /// two is missing, not fully known or zero.
    pub jump_percent: Option<f64>,
    /// The change is beyond the therapist's threshold.
    pub flagged: bool,
    /// Ceiling on the sum over this week, the strictest in force on its first day (or the day of surgery).
    pub ceiling: Option<(ExposureOf, f64)>,
}

/// The weeks up to a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Exposures {
    /// Tissue on the operated side.
    pub tissue: Tissue,
    /// Weeks from the first to the one of the day.
    pub weeks: Vec<Week>,
}

/// Computes planned and done load per week, up to the week of a day.
///
/// # Errors
/// A day before the surgery, orders that do not fit the protocol, an impossible body.
pub fn exposures(
    episode: &Episode,
    protocol: &Protocol,
    exercises: &BTreeMap<String, Arc<Motion>>,
    tissue: Tissue,
    on: Date,
) -> Result<Exposures, PlanError> {
    let surgery = episode.operation.surgery;
    let days = (on - surgery).get_days().max(0);
    let mut weeks: Vec<Week> = Vec::new();
    for number in 1..=handrail_protocol::week_of_day(days) {
        let (first, _) = days_of_week(number);
        let from = surgery.saturating_add(jiff::Span::new().days(i64::from(first)));
        let week = one_week(episode, protocol, exercises, tissue, (number, from, on))?;
        weeks.push(week);
    }
    for index in 1..weeks.len() {
        let upper = |it: &Week| it.planned.as_ref().and_then(|it| it.upper(ExposureOf::Peaks));
        if let (Some(before), Some(now)) = (upper(&weeks[index - 1]), upper(&weeks[index]))
            && before > 0.0
        {
            let percent = (now / before - 1.0) * 100.0;
            weeks[index].jump_percent = Some(percent);
            weeks[index].flagged = episode.jump.as_ref().is_some_and(|it| percent > it.percent);
        }
    }
    Ok(Exposures { tissue, weeks })
}

fn one_week(
    episode: &Episode,
    protocol: &Protocol,
    exercises: &BTreeMap<String, Arc<Motion>>,
    tissue: Tissue,
    (number, from, on): (i32, Date, Date),
) -> Result<Week, PlanError> {
    let mut week =
        Week { number, from, planned: None, done: None, jump_percent: None, flagged: false, ceiling: None };
    // Days under one program version, in the order of the week.
    let mut stretches: Vec<(Plan<'_>, u32)> = Vec::new();
    for day in 0..7 {
        let date = from.saturating_add(jiff::Span::new().days(day));
        let version = episode.program_on(date).map(|it| it.version);
        match stretches.last_mut() {
            Some((plan, days)) if plan.program.as_ref().map(|it| it.version) == version => *days += 1,
            _ => stretches.push((plan(episode, protocol, exercises, date.min(on))?, 1)),
        }
    }
    week.ceiling = stretches.first().and_then(|(plan, _)| ceiling(plan, tissue));
    for (plan, days) in &stretches {
        if plan.program.is_none() {
            continue;
        }
        let share = f64::from(*days) / 7.0;
        let whole = planned_week(plan, tissue);
        let sum = week.planned.get_or_insert_default();
        sum.peaks.low += whole.peaks.low * share;
        sum.peaks.high += whole.peaks.high * share;
        sum.impulse.low += whole.impulse.low * share;
        sum.impulse.high += whole.impulse.high * share;
        merge(&mut sum.no_impulse, whole.no_impulse);
        merge(&mut sum.not_known, whole.not_known);
    }
    let until = from.saturating_add(jiff::Span::new().days(7));
    for entry in episode.done.iter().filter(|it| (from..until).contains(&it.on) && it.on <= on) {
        let Some((plan, _)) = stretches.first() else { continue };
        let Some(motion) = exercises.get(&entry.exercise) else { continue };
        let sum = week.done.get_or_insert_default();
        let line = stretches.iter().flat_map(|(it, _)| &it.lines).find(|it| it.motion.id == entry.exercise);
        let side = episode.operation.side;
        // What was done outside the program is taken as the exercise is written.
        let found = match line {
            Some(line) => line.verdict.clone(),
            None => handrail_program::verdict(motion, side, &plan.case()),
        };
        let load = found.repetition.as_ref().map_or(Load::NotKnown(NotKnown::CannotBeDone), |it| {
            tissue_load(motion, &plan.body, it, tissue, side)
        });
        sum.add(&entry.exercise, &load, f64::from(entry.reps));
    }
    Ok(week)
}

fn merge<T: PartialEq>(into: &mut Vec<T>, from: Vec<T>) {
    for it in from {
        if !into.contains(&it) {
            into.push(it);
        }
    }
}

/// What one whole week of a plan's program puts on a tissue of the operated side.
pub fn planned_week(plan: &Plan<'_>, tissue: Tissue) -> Exposure {
    let lines = plan.lines.iter().map(|it| (&*it.motion, it.verdict.repetition.as_deref(), &it.dose));
    planned(lines, &plan.body, tissue, plan.episode.operation.side)
}

/// The strictest ceiling on a tissue's week, of the kind that comes first.
fn ceiling(plan: &Plan<'_>, tissue: Tissue) -> Option<(ExposureOf, f64)> {
    plan.envelope
        .in_force
        .iter()
        .filter_map(|it| match it.limit {
            Limit::Exposure { tissue: of, per_week, of: kind } if of == tissue => Some((kind, per_week)),
            _ => None,
        })
        .min_by(|a, b| a.1.total_cmp(&b.1))
}
