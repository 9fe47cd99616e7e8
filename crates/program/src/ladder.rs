//! The load ladder: exercises as rungs, from the least to the most load on one tissue.
//!
//! Easier and harder neighbours of an exercise follow from it; they are not typed by anybody.

use std::collections::BTreeSet;
use std::sync::Arc;

use handrail_anatomy::{Joint, Side, Tissue};
use handrail_motion::load::tissue_load;
use handrail_motion::{Load, Motion, NotKnown, Role, TissueLoad};
use handrail_protocol::{InForce, Limit};

use crate::verdict::{Case, Kind, Verdict, is_over, verdict};

/// Upper bounds closer than this share are one rung: neither is easier (own choice; the arms alone leave more).
const SAME: f64 = 0.02;

/// One exercise whose load is stated.
#[derive(Clone, Debug)]
pub struct Rung {
    /// Exercise.
    pub exercise: String,
    /// Load of one repetition on the operated side.
    pub load: TissueLoad,
    /// Today's answer, all limits together.
    pub kind: Kind,
    /// The upper bound passes today's ceiling.
    pub over: bool,
    /// It is in the program.
    pub in_program: bool,
}

/// An exercise of which only an order is known.
#[derive(Clone, Debug)]
pub struct OrderedRung {
    /// Exercise.
    pub exercise: String,
    /// Exercises that load the tissue less.
    pub above: Vec<String>,
    /// Exercises that load it more.
    pub below: Vec<String>,
    /// Source of the order.
    pub source: String,
    /// It is in the program.
    pub in_program: bool,
}

/// An exercise whose load is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownRung {
    /// Exercise.
    pub exercise: String,
    /// Why.
    pub why: NotKnown,
    /// It is in the program.
    pub in_program: bool,
}

/// The ladder of one tissue on one day.
#[derive(Clone, Debug)]
pub struct Ladder {
    /// Tissue.
    pub tissue: Tissue,
    /// Operated side.
    pub side: Side,
    /// The strictest ceiling in force, with its restriction.
    pub ceiling: Option<(f64, InForce)>,
    /// Rungs by upper bound, then lower bound, then name.
    pub rungs: Vec<Rung>,
    /// Exercises of which only an order is known.
    pub ordered: Vec<OrderedRung>,
    /// Exercises whose load is not known.
    pub unknown: Vec<UnknownRung>,
}

/// The strictest ceiling on a tissue's peak load.
pub fn ceiling_of(case: &Case<'_>, tissue: Tissue) -> Option<(f64, InForce)> {
    case.envelope
        .in_force
        .iter()
        .filter_map(|it| match it.limit {
            Limit::TissueLoad { tissue: of, max, .. } if of == tissue => Some((max, it.clone())),
            _ => None,
        })
        .min_by(|a, b| a.0.total_cmp(&b.0))
}

/// Makes the ladder of a tissue from these exercises: those of the body region the tissue belongs to, those whose
/// prime muscles act on its joint, and all that are in the program.
pub fn ladder<'a>(
    exercises: impl IntoIterator<Item = &'a Arc<Motion>>,
    tissue: Tissue,
    case: &Case<'_>,
    program: &BTreeSet<String>,
) -> Ladder {
    let side = case.envelope.side;
    let ceiling = ceiling_of(case, tissue);
    let mut out =
        Ladder { tissue, side, ceiling, rungs: Vec::new(), ordered: Vec::new(), unknown: Vec::new() };
    for motion in exercises {
        let in_program = program.contains(&motion.id);
        if in_program || belongs(motion, tissue) {
            let found = verdict(motion, side, case);
            out.place(motion, &found, case, in_program);
        }
    }
    out.rungs.sort_by(|a, b| {
        let key = |it: &Rung| (it.load.peak.high, it.load.peak.low);
        let (a_key, b_key) = (key(a), key(b));
        a_key.0.total_cmp(&b_key.0).then(a_key.1.total_cmp(&b_key.1)).then(a.exercise.cmp(&b.exercise))
    });
    out
}

/// True when an exercise's region is that of the tissue, or a muscle it is for acts on the tissue's joint.
fn belongs(motion: &Motion, tissue: Tissue) -> bool {
    let joint = tissue.joints()[0];
    let acts = motion
        .muscles
        .iter()
        .filter(|it| it.1 == Role::Prime)
        .any(|(muscle, _)| muscle.actions().iter().any(|it| it.0 == joint));
    acts || of_region(motion, joint)
}

fn of_region(motion: &Motion, joint: Joint) -> bool {
    let regions: &[&str] = match joint {
        Joint::Ankle => &["ankle", "foot"],
        Joint::Knee => &["knee"],
        Joint::Hip => &["hip"],
        Joint::Trunk => &["trunk"],
        Joint::Shoulder => &["shoulder"],
        Joint::Elbow => &["elbow"],
        _ => &[],
    };
    regions.contains(&motion.region.as_str())
}

impl Ladder {
    fn place(&mut self, motion: &Motion, found: &Verdict, case: &Case<'_>, in_program: bool) {
        let exercise = motion.id.clone();
        let Some(repetition) = &found.repetition else {
            self.unknown.push(UnknownRung { exercise, why: NotKnown::CannotBeDone, in_program });
            return;
        };
        match tissue_load(motion, case.body, repetition, self.tissue, self.side) {
            Load::Known(load) => {
                let over = self.ceiling.as_ref().is_some_and(|(max, _)| is_over(&load, *max));
                self.rungs.push(Rung { exercise, load, kind: found.kind, over, in_program });
            }
            Load::Order { above, below, source, .. } => {
                self.ordered.push(OrderedRung { exercise, above, below, source, in_program });
            }
            Load::NotKnown(why) => self.unknown.push(UnknownRung { exercise, why, in_program }),
        }
    }

    /// The next easier and the next harder exercise of the same region: the nearest rungs that load the tissue
    /// less and more.
    pub fn neighbours(&self, exercise: &str) -> (Option<&Rung>, Option<&Rung>) {
        let Some(at) = self.rungs.iter().position(|it| it.exercise == exercise) else { return (None, None) };
        let high = |it: &Rung| it.load.peak.high;
        let own = high(&self.rungs[at]);
        (
            self.rungs[..at].iter().rev().find(|it| high(it) < own * (1.0 - SAME)),
            self.rungs[at + 1..].iter().find(|it| high(it) > own * (1.0 + SAME)),
        )
    }

    /// The next rung: the lowest one that is allowed today and loads more than everything in the program;
    /// where there is none, the lowest one that waits for a higher ceiling.
    pub fn next(&self) -> Option<&Rung> {
        let reached =
            self.rungs.iter().filter(|it| it.in_program).map(|it| it.load.peak.high).fold(0.0, f64::max);
        let above = |it: &&Rung| !it.in_program && it.load.peak.high > reached;
        self.rungs
            .iter()
            .filter(above)
            .find(|it| it.kind != Kind::Refused)
            .or_else(|| self.rungs.iter().filter(above).find(|it| it.over))
    }
}
