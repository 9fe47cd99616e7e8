//! Which days are planned, and what became of each: the small timeline of a patient.

use handrail_episode::{Diary, Episode, Issued, Program, SignUrgency};
use handrail_program::week_days;
use handrail_protocol::Protocol;
use jiff::civil::{Date, Weekday};
use serde::{Deserialize, Serialize};

use crate::days_after;
use crate::phases::Phases;
use crate::response::worst_pain;

/// Days that the small timeline shows.
pub const TINY_DAYS: i64 = 14;

/// A program version with its days, from the day it is in force.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Planned {
    pub from: Date,
    pub version: u32,
    pub times_a_day: u32,
    /// Days of the week; bit 0 is Monday.
    week: u8,
}

impl Planned {
    fn is_planned(&self, on: Date) -> bool {
        self.week & bit(on.weekday()) != 0
    }
}

fn bit(day: Weekday) -> u8 {
    1 << day.to_monday_zero_offset()
}

/// What is planned on which day. Nothing is planned before the day after the patient was first given a program.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Schedule {
    /// First planned day at the earliest.
    pub begins: Option<Date>,
    /// Stretches of days under one version and one phase, in order.
    versions: Vec<Planned>,
}

impl Schedule {
    pub(crate) fn of(episode: &Episode, protocol: &Protocol, phases: &Phases) -> Schedule {
        let begins = episode.course.issued.iter().map(|it| days_after(it.fact.0, 1)).min();
        // What a program leaves open follows the phase of the day, as in the plan of that day.
        let mut turns: Vec<Date> = episode.programs.iter().map(|it| it.issued).collect();
        turns.extend(phases.stretches().map(|it| it.0));
        turns.sort_unstable();
        turns.dedup();
        let planned = turns.into_iter().filter_map(|from| {
            let program = episode.program_on(from)?;
            let phase = &protocol.phases[phases.on(from)];
            let (usual, most) = (&phase.dosage, &phase.ceiling);
            let days = program.days_a_week.unwrap_or(usual.days_a_week.min(most.days_a_week));
            let times = program.times_a_day.unwrap_or(usual.times_a_day.min(most.times_a_day));
            Some(Planned {
                from,
                version: program.version,
                times_a_day: times.max(1),
                week: week_days(days).into_iter().fold(0, |week, day| week | bit(day)),
            })
        });
        let versions = planned.collect();
        Schedule { begins, versions }
    }

    /// The version in force on a day, when the patient has been given any.
    pub(crate) fn in_force(&self, on: Date) -> Option<&Planned> {
        self.begins.filter(|it| *it <= on)?;
        self.versions.iter().rev().find(|it| it.from <= on)
    }

    /// Sessions planned on a day.
    pub(crate) fn sessions(&self, on: Date) -> u32 {
        self.in_force(on).filter(|it| it.is_planned(on)).map_or(0, |it| it.times_a_day)
    }

    /// The n-th planned day from a day on; `None` where none comes within 60 days.
    pub(crate) fn nth_planned(&self, from: Date, n: u32) -> Option<Date> {
        let mut left = n;
        for offset in 0..60 {
            let day = days_after(from, offset);
            if self.sessions(day) > 0 {
                left -= 1;
                if left == 0 {
                    return Some(day);
                }
            }
        }
        None
    }
}

/// What became of a day.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DayState {
    /// Every exercise that the diary speaks of, and every one of the program, was done.
    Done,
    /// Some of it.
    Partly,
    /// A diary says that nothing was done.
    NotDone,
    /// A diary came and does not say which exercises were done.
    Told,
    /// Planned, the day is over, and no diary came: not known, which is neither done nor not done.
    Missing,
    /// Planned for the very day that is asked for, no diary yet.
    Due,
    /// Nothing was planned.
    NotPlanned,
    /// Something was done on a day without a plan.
    Extra,
}

/// A day in the small timeline.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TinyDay {
    /// Day.
    pub on: Date,
    /// What became of it.
    pub state: DayState,
    /// Worst pain told.
    pub pain: Option<u8>,
    /// Most urgent sign reported.
    pub sign: Option<SignUrgency>,
    /// Version given to the patient on this day.
    pub version: Option<u32>,
}

/// What a day's diaries and handouts say, whatever the plan.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct DayFacts {
    on: Date,
    told: Option<DayState>,
    pain: Option<u8>,
    sign: Option<SignUrgency>,
    version: Option<u32>,
}

/// Enough to draw the small timeline of any day from that of writing on.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct TinyData {
    schedule: Schedule,
    days: Vec<DayFacts>,
}

impl TinyData {
    /// Collects the days that a timeline asked for on `from` or later can show.
    pub fn of(episode: &Episode, protocol: &Protocol, from: Date) -> TinyData {
        let schedule = Schedule::of(episode, protocol, &Phases::of(protocol, &episode.orders));
        let first = days_after(from, 1 - TINY_DAYS);
        let mut days: Vec<DayFacts> = Vec::new();
        for it in episode.course.diaries.iter().filter(|it| it.fact.on >= first) {
            add_diary(at(&mut days, it.fact.on), &it.fact, episode.program_on(it.fact.on));
        }
        for it in episode.course.issued.iter().filter(|it| it.fact.0 >= first) {
            let (on, Issued { version, .. }) = &it.fact;
            let day = at(&mut days, *on);
            day.version = day.version.max(Some(*version));
        }
        days.sort_by_key(|it| it.on);
        TinyData { schedule, days }
    }

    /// The timeline that ends with a day.
    pub fn on(&self, on: Date) -> Vec<TinyDay> {
        (1 - TINY_DAYS..=0).map(|offset| self.day(days_after(on, offset), on)).collect()
    }

    fn day(&self, day: Date, today: Date) -> TinyDay {
        let facts = self.days.binary_search_by_key(&day, |it| it.on).ok().map(|index| &self.days[index]);
        let planned = self.schedule.sessions(day) > 0;
        let state = match (facts.and_then(|it| it.told), planned) {
            (Some(DayState::Done | DayState::Partly), false) => DayState::Extra,
            (Some(told), _) => told,
            (None, true) if day >= today => DayState::Due,
            (None, true) => DayState::Missing,
            (None, false) => DayState::NotPlanned,
        };
        TinyDay {
            on: day,
            state,
            pain: facts.and_then(|it| it.pain),
            sign: facts.and_then(|it| it.sign),
            version: facts.and_then(|it| it.version),
        }
    }
}

fn at(days: &mut Vec<DayFacts>, on: Date) -> &mut DayFacts {
    let index = days.iter().position(|it| it.on == on).unwrap_or_else(|| {
        days.push(DayFacts { on, told: None, pain: None, sign: None, version: None });
        days.len() - 1
    });
    &mut days[index]
}

fn add_diary(day: &mut DayFacts, diary: &Diary, program: Option<&Program>) {
    let told = told(diary, program);
    day.told = Some(match (day.told, told) {
        (None, it) => it,
        (Some(before), it) => together(before, it),
    });
    day.pain = day.pain.max(worst_pain(diary));
    // The most urgent one; `None` sorts first and must not win.
    day.sign = day.sign.into_iter().chain(diary.worst_sign().map(|it| it.urgency)).min();
}

/// Two diaries of one day: sessions of which one was done in full and one in part make a day done in part.
fn together(one: DayState, other: DayState) -> DayState {
    match (one, other) {
        (a, b) if a == b => a,
        (DayState::Told, it) | (it, DayState::Told) => it,
        _ => DayState::Partly,
    }
}

fn told(diary: &Diary, program: Option<&Program>) -> DayState {
    let done = |exercise: &str| diary.done.iter().any(|it| it.exercise == exercise && did(it));
    if diary.done.is_empty() {
        return DayState::Told;
    }
    if !diary.done.iter().any(did) {
        return DayState::NotDone;
    }
    let all_told = diary.done.iter().all(did);
    let all_planned = program.is_none_or(|it| it.exercises.iter().all(|line| done(&line.exercise)));
    if all_told && all_planned { DayState::Done } else { DayState::Partly }
}

/// True when any of it was done.
pub(crate) fn did(it: &handrail_episode::DiaryDone) -> bool {
    it.sets > 0 || it.reps > 0
}

/// The small timeline: fourteen days that end with a day.
pub fn tiny(episode: &Episode, protocol: &Protocol, on: Date) -> Vec<TinyDay> {
    TinyData::of(episode, protocol, on).on(on)
}
