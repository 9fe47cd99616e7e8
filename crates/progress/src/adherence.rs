//! What was done of what was planned.
//!
//! A day without a diary is neither done nor not done: it stands apart and widens the bounds. Work beyond the plan
//! never makes up for missed sessions; it is shown as too much.

use std::collections::{BTreeMap, BTreeSet};

use handrail_episode::{Diary, Episode, Prescription, Program};
use handrail_protocol::{Known, Protocol};
use jiff::civil::Date;
use serde::Serialize;

use crate::days::{Schedule, did};
use crate::days_after;
use crate::phases::Phases;

/// By how much diaries say more than was done.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct OverReport {
    /// Diary over what a hidden sensor counted.
    pub factor: f64,
    /// Source.
    pub source: &'static str,
    /// How well it is known.
    pub known: Known,
}

/// To be shown beside every figure from diaries.
pub const OVER_REPORT: OverReport = OverReport {
    factor: 1.25,
    source: "Nicolson 2018, JOSPT: paper diaries, median 220 against 176 by a hidden accelerometer in 12 weeks",
    known: Known::Read,
};

/// One day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct AdherenceDay {
    /// Day.
    pub on: Date,
    /// Sessions planned.
    pub planned: u32,
    /// Sessions told as done; `None` without a diary.
    pub done: Option<u32>,
    /// Exercises of the program that a diary says were left out.
    pub left_out: Vec<String>,
}

/// What was done in some days.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Adherence {
    /// First day.
    pub from: Date,
    /// Day after the last.
    pub until: Date,
    /// Each day.
    pub days: Vec<AdherenceDay>,
    /// Sessions planned.
    pub planned: u32,
    /// Sessions told as done, at most as many as planned on each day.
    pub counted: u32,
    /// Sessions told as done beyond the plan of their day: too much, not better.
    pub beyond: u32,
    /// Planned sessions of days without a diary: not known.
    pub not_known: u32,
    /// Days on which each exercise was told as left out.
    pub left_out: BTreeMap<String, u32>,
    /// What diaries over-report.
    pub over_report: OverReport,
}

impl Adherence {
    /// Lower and upper bound of the share of planned sessions that were done, 0 to 1: days without a diary count
    /// as not done below and as done above. `None` when nothing was planned.
    pub fn share(&self) -> Option<(f64, f64)> {
        let planned = f64::from(self.planned);
        let share = |sessions: u32| f64::from(sessions) / planned;
        (self.planned > 0).then(|| (share(self.counted), share(self.counted + self.not_known)))
    }
}

/// Planned and done sessions from a day up to, but not including, another.
pub fn adherence(episode: &Episode, protocol: &Protocol, from: Date, until: Date) -> Adherence {
    let phases = Phases::of(protocol, &episode.orders);
    let schedule = Schedule::of(episode, protocol, &phases);
    let mut out = Adherence {
        from,
        until,
        days: Vec::new(),
        planned: 0,
        counted: 0,
        beyond: 0,
        not_known: 0,
        left_out: BTreeMap::new(),
        over_report: OVER_REPORT,
    };
    let mut on = from;
    while on < until {
        let program = schedule
            .in_force(on)
            .and_then(|it| episode.programs.iter().find(|program| program.version == it.version));
        let diaries = episode.course.diaries.iter().filter(|it| it.fact.on == on).map(|it| &it.fact);
        let sets = protocol.phases[phases.on(on)].dosage.sets;
        out.add(day(on, schedule.sessions(on), diaries.collect(), program, sets));
        on = days_after(on, 1);
    }
    out
}

impl Adherence {
    fn add(&mut self, day: AdherenceDay) {
        self.planned += day.planned;
        match day.done {
            Some(done) => {
                self.counted += done.min(day.planned);
                self.beyond += done.saturating_sub(day.planned);
            }
            None => self.not_known += day.planned,
        }
        for exercise in &day.left_out {
            *self.left_out.entry(exercise.clone()).or_default() += 1;
        }
        self.days.push(day);
    }
}

fn day(
    on: Date,
    planned: u32,
    diaries: Vec<&Diary>,
    program: Option<&Program>,
    usual_sets: u32,
) -> AdherenceDay {
    let lines: &[Prescription] = program.map_or(&[], |it| &it.exercises);
    let sessions = |diary: &&Diary| sessions_told(diary, lines, usual_sets);
    let done = (!diaries.is_empty()).then(|| diaries.iter().map(sessions).sum());
    let mut left_out = BTreeSet::new();
    for line in lines {
        let told = || diaries.iter().flat_map(|it| &it.done).filter(|it| it.exercise == line.exercise);
        if told().next().is_some() && !told().any(did) {
            left_out.insert(line.exercise.clone());
        }
    }
    AdherenceDay { on, planned, done, left_out: left_out.into_iter().collect() }
}

/// Sessions that one diary tells: one, or more where it tells the sets of a whole day. A diary with nothing done
/// tells none; one that does not speak of exercises tells none that can be counted.
fn sessions_told(diary: &Diary, lines: &[Prescription], usual_sets: u32) -> u32 {
    let whole = |it: &handrail_episode::DiaryDone| {
        let line = lines.iter().find(|line| line.exercise == it.exercise);
        let sets = line.map_or(usual_sets, |it| it.sets.unwrap_or(usual_sets));
        it.sets / sets.max(1)
    };
    let most = diary.done.iter().filter(|it| did(it)).map(|it| whole(it).max(1));
    most.max().unwrap_or(0)
}
