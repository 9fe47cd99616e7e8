//! A checked protocol. Every reference in it is known to lead somewhere; see [`crate::read_protocol`].

use std::collections::{BTreeMap, BTreeSet};

use handrail_anatomy::{Drive, Joint, Known, Tissue};
use jiff::civil::Date;
use serde::Serialize;

use crate::goals::Goal;
use crate::limits::Limit;

/// Where a statement comes from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Basis {
    /// Key in the file's list of sources.
    pub key: String,
    /// The source in words.
    pub source: String,
    /// How well it is known.
    pub known: Known,
    /// Why this value was taken where sources differ.
    pub why: Option<String>,
}

/// A fact about the operation that must be known, because restrictions depend on it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Variant {
    /// Name, e.g. `graft`.
    pub name: String,
    /// What to ask the surgeon's office.
    pub question: String,
    /// Possible answers.
    pub choices: Vec<String>,
    /// Why it matters.
    pub basis: Basis,
}

/// For each variant named here the answer must be one of these.
pub type Condition = BTreeMap<String, BTreeSet<String>>;

/// How much is done by default.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Dosage {
    /// Sets of one exercise in one session.
    pub sets: u32,
    /// Repetitions of one set.
    pub reps: u32,
    /// Sessions a day.
    pub times_a_day: u32,
    /// Days a week.
    pub days_a_week: u32,
    /// Where it comes from.
    pub basis: Basis,
}

/// How much is done at most: doing too much is as real as doing too little.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Ceiling {
    /// Sets of one exercise in one session.
    pub sets: u32,
    /// Repetitions of one set.
    pub reps: u32,
    /// Sessions a day.
    pub times_a_day: u32,
    /// Days a week.
    pub days_a_week: u32,
    /// Exercises in the program.
    pub max_exercises: u32,
    /// Where it comes from.
    pub basis: Basis,
}

/// A part of the recovery. Its weeks are the earliest plan; it begins by a person's act.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Phase {
    /// Name in files and acts.
    pub id: String,
    /// Short title for clinicians.
    pub title: String,
    /// Completed weeks after surgery at which it begins at the earliest.
    pub from_week: u32,
    /// Completed weeks at which the next phase is planned; `None` for the last phase.
    pub to_week: Option<u32>,
    /// What is trained.
    pub goals: Vec<Goal>,
    /// Default dosage.
    pub dosage: Dosage,
    /// Largest dosage.
    pub ceiling: Ceiling,
    /// Exercise choices by id; empty leaves the choice to the goals.
    pub exercises: Vec<String>,
}

/// What ends a restriction besides a release, which always ends it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Ends {
    /// Only a release by a named person.
    Release,
    /// Its weeks have passed and a named person has begun the phase of the ladder's next stage, which then
    /// holds instead.
    Week,
    /// Its weeks have passed and a named person has begun this phase (index) or a later one.
    Phase(usize),
}

/// One restriction of the protocol.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Restriction {
    /// Name in files, confirmations, orders and acts.
    pub id: String,
    /// Index of the phase it belongs to.
    pub phase: usize,
    /// Completed weeks at which it starts.
    pub from_week: u32,
    /// Completed weeks at which it may end at the earliest; `None` when the protocol names no time.
    pub to_week: Option<u32>,
    /// What ends it.
    pub ends: Ends,
    /// Name of the ladder it is a stage of.
    pub ladder: Option<String>,
    /// When it applies.
    pub only_if: Condition,
    /// What it limits.
    pub limit: Limit,
    /// Where it comes from.
    pub basis: Basis,
    /// Remark for clinicians.
    pub note: Option<String>,
}

/// How a criterion's value is compared.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Threshold {
    /// The measured value must be at least this.
    AtLeast(f64),
    /// The measured value must be at most this.
    AtMost(f64),
    /// Answered with yes or no by a clinician.
    Judged,
}

/// Something that must be true before a phase begins.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Criterion {
    /// Name in files and acts.
    pub id: String,
    /// Index of the phase it opens.
    pub begins: usize,
    /// In words, for clinicians.
    pub says: String,
    /// Name of the measurement.
    pub measure: String,
    /// Comparison.
    pub threshold: Threshold,
    /// Unit of the threshold, empty for judged criteria.
    pub unit: String,
    /// When it applies.
    pub only_if: Condition,
    /// Where it comes from.
    pub basis: Basis,
}

/// A range that is expected to be reached: less is a reason to look, not a limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Milestone {
    /// Name in files.
    pub id: String,
    /// Joint.
    pub joint: Joint,
    /// Direction.
    pub direction: &'static str,
    /// How it is measured.
    pub drive: Drive,
    /// Degrees in that direction.
    pub at_least_deg: f64,
    /// Completed weeks by which it is expected.
    pub by_week: u32,
    /// When it applies.
    pub only_if: Condition,
    /// Where it comes from.
    pub basis: Basis,
}

/// A warning for clinicians that no limit can express.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Precaution {
    /// Name in files.
    pub id: String,
    /// Completed weeks at which it starts.
    pub from_week: u32,
    /// Completed weeks at which it ends; `None` when it stays.
    pub to_week: Option<u32>,
    /// In words, for clinicians.
    pub says: String,
    /// When it applies.
    pub only_if: Condition,
    /// Where it comes from.
    pub basis: Basis,
}

/// One of several differing statements.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SpreadStatement {
    /// What the source says.
    pub says: String,
    /// Where it comes from.
    pub basis: Basis,
}

/// A topic on which sources differ.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Spread {
    /// Topic.
    pub topic: String,
    /// Restrictions and criteria whose value was chosen among these statements.
    pub concerns: Vec<String>,
    /// What was taken and why.
    pub taken: String,
    /// The statements.
    pub statements: Vec<SpreadStatement>,
}

/// A clinician's signature under one version of the file.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Review {
    /// Who.
    pub signed_by: String,
    /// When.
    pub on: Date,
    /// Version that was signed.
    pub version: String,
}

/// A checked protocol.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Protocol {
    /// Name.
    pub id: String,
    /// Title for clinicians.
    pub title: String,
    /// Version of the file.
    pub version: String,
    /// Signature, if any; see [`Protocol::is_draft`].
    pub review: Option<Review>,
    /// Facts that must be known.
    pub variants: Vec<Variant>,
    /// Phases in order; never empty.
    pub phases: Vec<Phase>,
    /// Restrictions in the order of the file.
    pub restrictions: Vec<Restriction>,
    /// Criteria in the order of the file.
    pub criteria: Vec<Criterion>,
    /// Expected ranges.
    pub milestones: Vec<Milestone>,
    /// Warnings for clinicians.
    pub precautions: Vec<Precaution>,
    /// Differences between sources.
    pub spreads: Vec<Spread>,
    /// Tissues that heal and whose load is shown, the most important one first.
    pub protects: Vec<Tissue>,
    /// Sources by key.
    pub sources: BTreeMap<String, String>,
}

impl Protocol {
    /// True when no clinician has signed this version: every output must show it.
    pub fn is_draft(&self) -> bool {
        self.review.as_ref().is_none_or(|review| review.version != self.version)
    }

    /// Index and phase of this id.
    pub fn phase(&self, id: &str) -> Option<(usize, &Phase)> {
        self.phases.iter().enumerate().find(|(_, phase)| phase.id == id)
    }

    /// Restriction of this id.
    pub fn restriction(&self, id: &str) -> Option<&Restriction> {
        self.restrictions.iter().find(|it| it.id == id)
    }

    /// Variant of this name.
    pub fn variant(&self, name: &str) -> Option<&Variant> {
        self.variants.iter().find(|it| it.name == name)
    }

    /// Everything it says to clinicians in sentences of its own, which a translation needs: titles, reasons, remarks,
    /// criteria, warnings, differences between sources. Sources and the questions about the operation are not among
    /// them: the first are quoted, the second have texts in each language.
    pub fn sentences(&self) -> BTreeSet<&str> {
        let mut out = vec![self.title.as_str()];
        out.extend(self.phases.iter().map(|it| it.title.as_str()));
        out.extend(self.restrictions.iter().filter_map(|it| it.note.as_deref()));
        out.extend(self.criteria.iter().map(|it| it.says.as_str()));
        out.extend(self.precautions.iter().map(|it| it.says.as_str()));
        for it in &self.spreads {
            out.extend([it.topic.as_str(), &it.taken]);
            out.extend(it.statements.iter().map(|it| it.says.as_str()));
        }
        out.extend(self.bases().filter_map(|it| it.why.as_deref()));
        out.into_iter().collect()
    }

    fn bases(&self) -> impl Iterator<Item = &Basis> {
        let of_phases = self.phases.iter().flat_map(|it| [&it.dosage.basis, &it.ceiling.basis]);
        let of_spreads = self.spreads.iter().flat_map(|it| it.statements.iter().map(|it| &it.basis));
        (self.variants.iter().map(|it| &it.basis))
            .chain(of_phases)
            .chain(self.restrictions.iter().map(|it| &it.basis))
            .chain(self.criteria.iter().map(|it| &it.basis))
            .chain(self.milestones.iter().map(|it| &it.basis))
            .chain(self.precautions.iter().map(|it| &it.basis))
            .chain(of_spreads)
    }

    /// Criteria that open a phase (index), in the order of the file.
    pub fn criteria_for(&self, phase: usize) -> impl Iterator<Item = &Criterion> {
        self.criteria.iter().filter(move |it| it.begins == phase)
    }

    /// Differences between sources that concern a restriction or criterion.
    pub fn spreads_of<'a>(&'a self, id: &'a str) -> impl Iterator<Item = &'a Spread> {
        self.spreads.iter().filter(move |it| it.concerns.iter().any(|other| other == id))
    }
}
