//! Load on a tissue summed over a week: the peaks of all repetitions, and their impulses.
//!
//! No injury threshold for such sums, or for their change from week to week, is established; a ceiling on
//! them is somebody's order or setting, never this program's.

use handrail_anatomy::{Body, Interval, Side, Tissue};
use handrail_motion::load::tissue_load;
use handrail_motion::{Load, Motion, NotKnown, Repetition, TissueLoad};
use handrail_protocol::limits::ExposureOf;

use crate::dose::Dose;

/// What some repetitions add up to.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Exposure {
    /// Sum of the peaks, in the tissue's unit.
    pub peaks: Interval,
    /// Sum of the impulses, unit times seconds; of the repetitions whose course over time is known.
    pub impulse: Interval,
    /// Exercises whose impulse is not known: the sum of impulses lacks them.
    pub no_impulse: Vec<String>,
    /// Exercises whose load is not known, with the reason: both sums lack them.
    pub not_known: Vec<(String, NotKnown)>,
}

impl Exposure {
    /// Adds so many repetitions of an exercise.
    pub fn add(&mut self, exercise: &str, load: &Load, repetitions: f64) {
        let note = |list: &mut Vec<(String, NotKnown)>, why| {
            if !list.iter().any(|it| it.0 == exercise) {
                list.push((exercise.to_string(), why));
            }
        };
        match load {
            Load::Known(load) => self.add_known(exercise, load, repetitions),
            Load::Order { .. } => note(&mut self.not_known, NotKnown::NotPublished),
            Load::NotKnown(why) => note(&mut self.not_known, *why),
        }
    }

    fn add_known(&mut self, exercise: &str, load: &TissueLoad, repetitions: f64) {
        let sum = |a: Interval, b: Interval| Interval { low: a.low + b.low, high: a.high + b.high };
        self.peaks = sum(self.peaks, load.peak.times(repetitions));
        match load.impulse {
            Some(impulse) => self.impulse = sum(self.impulse, impulse.times(repetitions)),
            None if !self.no_impulse.iter().any(|it| it == exercise) => self.no_impulse.push(exercise.into()),
            None => {}
        }
    }

    /// The sum that a ceiling speaks of, by its upper bound; `None` where something in it is not known.
    pub fn upper(&self, of: ExposureOf) -> Option<f64> {
        let whole = self.not_known.is_empty();
        match of {
            ExposureOf::Peaks => whole.then_some(self.peaks.high),
            ExposureOf::Impulse => (whole && self.no_impulse.is_empty()).then_some(self.impulse.high),
        }
    }
}

/// Repetitions that a dose asks for in one week.
pub fn repetitions_a_week(dose: &Dose, repetition: &Repetition) -> f64 {
    let session = f64::from(dose.sets * dose.reps(repetition));
    session * f64::from(dose.times_a_day * dose.days_a_week)
}

/// What a week of these exercises puts on a tissue of one side; without a repetition the body cannot do one.
pub fn planned<'a>(
    lines: impl IntoIterator<Item = (&'a Motion, Option<&'a Repetition>, &'a Dose)>,
    body: &Body,
    tissue: Tissue,
    side: Side,
) -> Exposure {
    let mut out = Exposure::default();
    for (motion, repetition, dose) in lines {
        match repetition {
            Some(it) => {
                let load = tissue_load(motion, body, it, tissue, side);
                out.add(&motion.id, &load, repetitions_a_week(dose, it));
            }
            None => out.add(&motion.id, &Load::NotKnown(NotKnown::CannotBeDone), 0.0),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use handrail_anatomy::Known;
    use handrail_motion::LoadBasis;

    fn load(high: f64, impulse: Option<f64>) -> Load {
        Load::Known(TissueLoad {
            tissue: Tissue::AchillesTendon,
            side: Side::Left,
            basis: LoadBasis::Computed,
            peak: Interval::new(high / 2.0, high),
            at: None,
            impulse: impulse.map(|it| Interval::new(it / 2.0, it)),
            source: String::new(),
            known: Known::Read,
        })
    }

    #[test]
    fn repetitions_add_up_and_gaps_are_named() {
        let mut sum = Exposure::default();
        sum.add("a", &load(1.0, Some(3.0)), 20.0);
        sum.add("b", &load(2.0, None), 10.0);
        assert_eq!((sum.peaks.low, sum.peaks.high), (20.0, 40.0));
        assert_eq!(sum.upper(ExposureOf::Peaks), Some(40.0));
        assert_eq!(sum.upper(ExposureOf::Impulse), None);
        assert_eq!(sum.no_impulse, ["b"]);
        sum.add("c", &Load::NotKnown(NotKnown::Isometric), 5.0);
        sum.add("c", &Load::NotKnown(NotKnown::Isometric), 5.0);
        assert_eq!(sum.not_known.len(), 1);
        assert_eq!(sum.upper(ExposureOf::Peaks), None);
    }
}
