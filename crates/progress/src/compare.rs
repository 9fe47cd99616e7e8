//! What changed from one program version to the next.

use handrail_anatomy::Side;
use handrail_episode::{Prescription, Program};
use handrail_motion::Parameters;
use jiff::civil::Date;
use serde::Serialize;

/// The dose of one exercise as the therapist set it; `None` leaves it to the phase.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DoseSet {
    /// Sets.
    pub sets: Option<u32>,
    /// Repetitions.
    pub reps: Option<u32>,
    /// Seconds of continuous work.
    pub seconds: Option<f64>,
    /// Rest between sets, s.
    pub rest: Option<f64>,
}

impl From<&Prescription> for DoseSet {
    fn from(it: &Prescription) -> DoseSet {
        DoseSet { sets: it.sets, reps: it.reps, seconds: it.seconds, rest: it.rest }
    }
}

/// One change.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "change", rename_all = "snake_case")]
pub enum ProgramChange {
    /// Sessions a day.
    TimesADay {
        /// Before.
        old: Option<u32>,
        /// Now.
        new: Option<u32>,
    },
    /// Days a week.
    DaysAWeek {
        /// Before.
        old: Option<u32>,
        /// Now.
        new: Option<u32>,
    },
    /// Last valid day.
    ValidUntil {
        /// Before.
        old: Option<Date>,
        /// Now.
        new: Option<Date>,
    },
    /// An exercise is gone.
    Removed {
        /// Exercise.
        exercise: String,
        /// Side that works.
        side: Side,
    },
    /// An exercise is new.
    Added {
        /// Exercise.
        exercise: String,
        /// Side that works.
        side: Side,
        /// Its dose.
        dose: DoseSet,
    },
    /// The dose of an exercise.
    Dose {
        /// Exercise.
        exercise: String,
        /// Side that works.
        side: Side,
        /// Before.
        old: DoseSet,
        /// Now.
        new: DoseSet,
    },
    /// How an exercise is set up (range, hold, resistance, ...).
    Parameters {
        /// Exercise.
        exercise: String,
        /// Side that works.
        side: Side,
        /// Before.
        old: Parameters,
        /// Now.
        new: Parameters,
    },
    /// The same exercises in another order.
    Order {
        /// Exercises that stayed, in their new order.
        exercises: Vec<String>,
    },
}

/// Everything in which a program differs from an earlier one: times and days, what is gone, what is new, then what
/// changed of what stayed, in the order of the new program. An exercise on the other side is another exercise.
pub fn compare_programs(old: &Program, new: &Program) -> Vec<ProgramChange> {
    let mut out = Vec::new();
    if old.times_a_day != new.times_a_day {
        out.push(ProgramChange::TimesADay { old: old.times_a_day, new: new.times_a_day });
    }
    if old.days_a_week != new.days_a_week {
        out.push(ProgramChange::DaysAWeek { old: old.days_a_week, new: new.days_a_week });
    }
    if old.valid_until != new.valid_until {
        out.push(ProgramChange::ValidUntil { old: old.valid_until, new: new.valid_until });
    }
    let (pairs, removed, added) = pair(&old.exercises, &new.exercises);
    out.extend(
        removed.into_iter().map(|it| ProgramChange::Removed { exercise: it.exercise.clone(), side: it.side }),
    );
    out.extend(added.into_iter().map(|it| ProgramChange::Added {
        exercise: it.exercise.clone(),
        side: it.side,
        dose: it.into(),
    }));
    for (_, before, after) in &pairs {
        let (exercise, side) = (after.exercise.clone(), after.side);
        let (old, new) = (DoseSet::from(*before), DoseSet::from(*after));
        if old != new {
            out.push(ProgramChange::Dose { exercise: exercise.clone(), side, old, new });
        }
        if before.parameters != after.parameters {
            let (old, new) = (before.parameters.clone(), after.parameters.clone());
            out.push(ProgramChange::Parameters { exercise, side, old, new });
        }
    }
    if !pairs.is_sorted_by_key(|it| it.0) {
        let exercises = pairs.iter().map(|it| it.2.exercise.clone()).collect();
        out.push(ProgramChange::Order { exercises });
    }
    out
}

type Pair<'a> = (usize, &'a Prescription, &'a Prescription);

/// Exercises that stayed (with their old place), those gone, those new. One that stands twice is paired in order.
fn pair<'a>(
    old: &'a [Prescription],
    new: &'a [Prescription],
) -> (Vec<Pair<'a>>, Vec<&'a Prescription>, Vec<&'a Prescription>) {
    let mut taken = vec![false; old.len()];
    let (mut pairs, mut added) = (Vec::new(), Vec::new());
    for it in new {
        let same = |other: &Prescription| other.exercise == it.exercise && other.side == it.side;
        match (0..old.len()).find(|index| !taken[*index] && same(&old[*index])) {
            Some(index) => {
                taken[index] = true;
                pairs.push((index, &old[index], it));
            }
            None => added.push(it),
        }
    }
    let removed = old.iter().zip(taken).filter_map(|(it, taken)| (!taken).then_some(it)).collect();
    (pairs, removed, added)
}
