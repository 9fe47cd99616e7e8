//! Published loads of an exercise: read from its file, checked, never computed.

use handrail_anatomy::{Interval, Known, LoadClass, LoadUnit, Tissue};
use handrail_spans::{Problems, SourceText};

use crate::spec::{Limbs, MeasuredSpec};

/// What was published.
#[derive(Clone, Debug, PartialEq)]
pub enum Published {
    /// Bounds in the tissue's unit.
    Range(Interval),
    /// A band of muscle activity.
    Class(LoadClass),
    /// Only an order: more than in each exercise of `above`, less than in each of `below`.
    Order {
        /// Exercises that load it less.
        above: Vec<String>,
        /// Exercises that load it more.
        below: Vec<String>,
    },
}

/// A published load on one tissue in one exercise.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Tissue.
    pub tissue: Tissue,
    /// Whose.
    pub limb: Limbs,
    /// Load.
    pub load: Published,
    /// Source.
    pub source: String,
    /// How well the figure is known to come from it.
    pub known: Known,
    /// How the bounds follow from what is printed, and what differs from the exercise.
    pub why: Option<String>,
}

impl Measured {
    /// Bounds in the tissue's unit; `None` where only an order is known.
    pub fn interval(&self) -> Option<Interval> {
        match &self.load {
            Published::Range(range) => Some(*range),
            Published::Class(class) => Some(class.percent_mvic()),
            Published::Order { .. } => None,
        }
    }
}

/// Checks the rows of one exercise; every mistake is reported at its row.
pub(crate) fn check_measured(
    source: &SourceText,
    exercise: &str,
    rows: &[MeasuredSpec],
    problems: &mut Problems,
) -> Vec<Measured> {
    let mut out: Vec<Measured> = Vec::new();
    for row in rows {
        let mut report = |field: &str, message: &str, mend: &str| {
            problems.0.push(source.problem(row.tissue.span(), format!("measured.{field}"), message, mend));
        };
        let tissue = *row.tissue.get_ref();
        if row.source.trim().is_empty() || row.known == Known::Practice {
            report("source", "a published load has a source", "name the publication, or leave the row out");
        }
        let meets = |limb| limb == row.limb || limb == Limbs::Both || row.limb == Limbs::Both;
        if out.iter().any(|it| it.tissue == tissue && meets(it.limb)) {
            report("tissue", "this tissue has a row above", "join the figures into one row");
        }
        let named = || row.above.iter().chain(&row.below);
        if named().any(|it| it == exercise) || row.above.iter().any(|it| row.below.contains(it)) {
            report(
                "above",
                "an exercise stands above or below itself, or another one on both sides",
                "correct the order",
            );
        }
        match published(row, tissue) {
            Ok(load) => out.push(Measured {
                tissue,
                limb: row.limb,
                load,
                source: row.source.clone(),
                known: row.known,
                why: row.why.clone(),
            }),
            Err((field, message, mend)) => report(field, message, mend),
        }
    }
    out
}

/// Field, what is wrong with it and how to mend it.
type Mistake = (&'static str, &'static str, &'static str);

fn published(row: &MeasuredSpec, tissue: Tissue) -> Result<Published, Mistake> {
    const ONE_OF: &str = "give low and high, or a class, or an order, and only one of these";
    let order = !row.above.is_empty() || !row.below.is_empty();
    match (row.low, row.high, row.class, order) {
        (Some(low), Some(high), None, false) => {
            if 0.0 <= low && low <= high && high.is_finite() {
                Ok(Published::Range(Interval { low, high }))
            } else {
                Err(("low", "0 <= low <= high must hold", "correct the bounds"))
            }
        }
        (None, None, Some(class), false) => {
            if tissue.unit() == LoadUnit::PercentMvic {
                Ok(Published::Class(class))
            } else {
                Err(("class", "only muscle activity has classes", "give low and high in the tissue's unit"))
            }
        }
        (None, None, None, true) => {
            Ok(Published::Order { above: row.above.clone(), below: row.below.clone() })
        }
        (Some(_), None, None, false) | (None, Some(_), None, false) => {
            Err(("low", "one bound is missing", "give low and high; 0 where only an upper bound is printed"))
        }
        (None, None, None, false) => Err(("low", "nothing is stated", ONE_OF)),
        _ => Err(("low", "more than one kind of statement", ONE_OF)),
    }
}
