//! How much: sets, repetitions or seconds, rest, times a day, days a week; held against the phase's ceiling.

use handrail_anatomy::Drive;
use handrail_motion::{Motion, Repetition};
use handrail_protocol::Phase;

/// A breath after each repetition, in which it is counted aloud, s (set by this program).
pub const BREATH: f64 = 1.2;

/// Repetitions, or seconds of continuous work.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Amount {
    /// Repetitions in a set.
    Reps(u32),
    /// Seconds in a set.
    Seconds(f64),
}

/// Dose of one exercise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dose {
    /// Sets in a session.
    pub sets: u32,
    /// Size of a set.
    pub amount: Amount,
    /// Rest between sets, s.
    pub rest: f64,
    /// Sessions a day.
    pub times_a_day: u32,
    /// Days a week.
    pub days_a_week: u32,
}

/// What a dose asks beyond the phase's ceiling.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OverCeiling {
    /// sets, reps, times_a_day, days_a_week.
    pub what: &'static str,
    /// Asked.
    pub asked: u32,
    /// Ceiling.
    pub ceiling: u32,
}

/// Rest between sets by drive, s (set by this program; DOSAGE tables give 1-2 min for strength work of
/// single joints, common practice is shorter for range work).
pub fn usual_rest(drive: Drive) -> f64 {
    match drive {
        Drive::Passive | Drive::Assisted | Drive::Isometric => 20.0,
        Drive::Active => 30.0,
        Drive::Resisted => 60.0,
    }
}

impl Dose {
    /// The phase's default, adapted to an exercise that has a dose of its own, within the ceiling.
    pub fn usual(motion: &Motion, phase: &Phase) -> Dose {
        let (default, ceiling) = (&phase.dosage, &phase.ceiling);
        let amount = match (motion.dose.seconds, motion.dose.reps) {
            (Some(seconds), _) => Amount::Seconds(seconds),
            (None, Some(reps)) => Amount::Reps(reps.min(default.reps).min(ceiling.reps)),
            (None, None) => Amount::Reps(default.reps.min(ceiling.reps)),
        };
        Dose {
            sets: motion.dose.sets.unwrap_or(default.sets).min(default.sets).min(ceiling.sets),
            amount,
            rest: usual_rest(motion.drive),
            times_a_day: default.times_a_day.min(ceiling.times_a_day),
            days_a_week: default.days_a_week.min(ceiling.days_a_week),
        }
    }

    /// Everything in which the dose passes the ceiling; empty when nothing.
    pub fn over(&self, phase: &Phase) -> Vec<OverCeiling> {
        let ceiling = &phase.ceiling;
        let reps = match self.amount {
            Amount::Reps(reps) => reps,
            Amount::Seconds(_) => 0,
        };
        [
            ("sets", self.sets, ceiling.sets),
            ("reps", reps, ceiling.reps),
            ("times_a_day", self.times_a_day, ceiling.times_a_day),
            ("days_a_week", self.days_a_week, ceiling.days_a_week),
        ]
        .into_iter()
        .filter(|(_, asked, ceiling)| asked > ceiling)
        .map(|(what, asked, ceiling)| OverCeiling { what, asked, ceiling })
        .collect()
    }

    /// Repetitions of a set as they are counted aloud; continuous work counts whole repetitions that fit.
    pub fn reps(&self, repetition: &Repetition) -> u32 {
        match self.amount {
            Amount::Reps(reps) => reps,
            Amount::Seconds(seconds) => ((seconds / (repetition.duration() + BREATH)).round() as u32).max(1),
        }
    }

    /// Seconds of work in one set: the solved tempo, and a breath after each repetition.
    pub fn set_seconds(&self, repetition: &Repetition) -> f64 {
        f64::from(self.reps(repetition)) * (repetition.duration() + BREATH)
    }
}
