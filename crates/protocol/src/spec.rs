//! A protocol file as it is written. [`crate::read_protocol`] checks it.

use std::collections::BTreeMap;
use std::fmt;

use handrail_anatomy::{Drive, Joint, Known, Position, Tissue};
use handrail_spans::Spanned;
use serde::{Deserialize, Deserializer, Serialize, de};

use crate::calendar::DateText;
use crate::goals::Goal;
use crate::limit_spec::{
    BeyondSpec, DeviceSpec, DriveSpec, ExposureSpec, LimitSpec, MotionSpec, MuscleSpec, ResistanceSpec,
    TissueLoadSpec, WeightBearingSpec,
};

/// Defines an entry that carries exactly one limit next to its own fields. The limit's fields are repeated in
/// each such entry, because `flatten` would lose the places of mistakes.
macro_rules! entry_with_limit {
    (
        $(#[$meta:meta])*
        pub struct $name:ident { $($(#[$field_meta:meta])* pub $field:ident: $type:ty,)* }
    ) => {
        $(#[$meta])*
        #[derive(Clone, Debug, serde::Serialize, serde::Deserialize, schemars::JsonSchema)]
        #[serde(deny_unknown_fields)]
        pub struct $name {
            $($(#[$field_meta])* pub $field: $type,)*
            /// Weight through the operated limb.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<WeightBearingSpec>")]
            pub weight_bearing: Option<Spanned<WeightBearingSpec>>,
            /// A motion that may not pass an angle.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<MotionSpec>")]
            pub motion: Option<Spanned<MotionSpec>>,
            /// Ways of moving that are not allowed.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<DriveSpec>")]
            pub drive: Option<Spanned<DriveSpec>>,
            /// Muscles not to be tensed.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<MuscleSpec>")]
            pub muscle: Option<Spanned<MuscleSpec>>,
            /// A device that is worn.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<DeviceSpec>")]
            pub device: Option<Spanned<DeviceSpec>>,
            /// A position not to be taken.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<Position>")]
            pub position: Option<Spanned<Position>>,
            /// Motions that are forbidden only together.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<Vec<BeyondSpec>>")]
            pub combination: Option<Spanned<Vec<BeyondSpec>>>,
            /// Outside resistance.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<ResistanceSpec>")]
            pub resistance: Option<Spanned<ResistanceSpec>>,
            /// `true`: no running, hopping, jumping.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<bool>")]
            pub no_impact: Option<Spanned<bool>>,
            /// An activity that is not allowed, e.g. `driving`.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<String>")]
            pub activity: Option<Spanned<String>>,
            /// Ceiling on the load of a tissue in one repetition.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<TissueLoadSpec>")]
            pub tissue_load: Option<Spanned<TissueLoadSpec>>,
            /// Ceiling on the load of a tissue summed over one week.
            #[serde(default, skip_serializing_if = "Option::is_none")]
            #[schemars(with = "Option<ExposureSpec>")]
            pub exposure: Option<Spanned<ExposureSpec>>,
        }

        impl $name {
            /// The limit of this entry alone.
            pub fn limit_spec(&self) -> LimitSpec {
                LimitSpec {
                    weight_bearing: self.weight_bearing.clone(),
                    motion: self.motion.clone(),
                    drive: self.drive.clone(),
                    muscle: self.muscle.clone(),
                    device: self.device.clone(),
                    position: self.position.clone(),
                    combination: self.combination.clone(),
                    resistance: self.resistance.clone(),
                    no_impact: self.no_impact.clone(),
                    activity: self.activity.clone(),
                    tissue_load: self.tissue_load.clone(),
                    exposure: self.exposure.clone(),
                }
            }
        }
    };
}
pub(crate) use entry_with_limit;

/// One accepted answer or a list of them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, schemars::JsonSchema)]
#[serde(transparent)]
#[schemars(with = "OneOrMore")]
pub struct Answers(pub Vec<String>);

/// Schema of [`Answers`] only.
#[derive(schemars::JsonSchema)]
#[schemars(untagged)]
#[allow(dead_code)]
enum OneOrMore {
    One(String),
    More(Vec<String>),
}

impl<'de> Deserialize<'de> for Answers {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct AnswersVisitor;
        impl<'de> de::Visitor<'de> for AnswersVisitor {
            type Value = Answers;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an answer such as \"large\", or a list of them")
            }

            fn visit_str<E: de::Error>(self, text: &str) -> Result<Answers, E> {
                Ok(Answers(vec![text.to_string()]))
            }

            fn visit_seq<A: de::SeqAccess<'de>>(self, mut seq: A) -> Result<Answers, A::Error> {
                let mut answers = Vec::new();
                while let Some(answer) = seq.next_element()? {
                    answers.push(answer);
                }
                Ok(Answers(answers))
            }
        }
        deserializer.deserialize_any(AnswersVisitor)
    }
}

/// Variant conditions: `only_if = { tear_size = ["large", "massive"] }`. Several variants must all fit.
pub type ConditionSpec = BTreeMap<String, Spanned<Answers>>;

/// A protocol file.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProtocolSpec {
    /// Name in small letters, digits and `-`.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Title for clinicians.
    #[schemars(with = "String")]
    pub title: Spanned<String>,
    /// Version of this file; a signature holds for one version only.
    #[schemars(with = "String")]
    pub version: Spanned<String>,
    /// Signature of a clinician. Left out: draft.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub review: Option<ReviewSpec>,
    /// Tissues that heal and whose load is shown, the most important one first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub protects: Vec<Tissue>,
    /// Sources by a short key, which every statement's `source` names.
    pub sources: BTreeMap<String, String>,
    /// Facts about the operation that must be known.
    #[serde(default, rename = "variant")]
    pub variants: Vec<VariantSpec>,
    /// Phases in order.
    #[serde(rename = "phase")]
    pub phases: Vec<PhaseSpec>,
    /// Restrictions.
    #[serde(default, rename = "restriction")]
    pub restrictions: Vec<RestrictionSpec>,
    /// Criteria for beginning a phase.
    #[serde(default, rename = "criterion")]
    pub criteria: Vec<CriterionSpec>,
    /// Ranges that are expected by a week.
    #[serde(default, rename = "milestone")]
    pub milestones: Vec<MilestoneSpec>,
    /// Warnings for clinicians that no limit can express.
    #[serde(default, rename = "precaution")]
    pub precautions: Vec<PrecautionSpec>,
    /// Topics on which sources differ.
    #[serde(default, rename = "spread")]
    pub spreads: Vec<SpreadSpec>,
}

/// A clinician's signature.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviewSpec {
    /// Who has read and accepted this version.
    #[schemars(with = "String")]
    pub signed_by: Spanned<String>,
    /// When.
    pub on: DateText,
    /// Version that was signed.
    #[schemars(with = "String")]
    pub version: Spanned<String>,
}

/// A fact about the operation that must be known.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct VariantSpec {
    /// Name, e.g. `graft`.
    #[schemars(with = "String")]
    pub name: Spanned<String>,
    /// What to ask the surgeon's office.
    #[schemars(with = "String")]
    pub question: Spanned<String>,
    /// Possible answers.
    #[schemars(with = "Vec<String>")]
    pub choices: Spanned<Vec<String>>,
    /// Key of the source.
    #[schemars(with = "String")]
    pub source: Spanned<String>,
    /// How well it is known.
    pub known: Known,
}

/// A part of the recovery.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PhaseSpec {
    /// Name.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Short title for clinicians.
    #[schemars(with = "String")]
    pub title: Spanned<String>,
    /// Completed weeks after surgery at which it begins at the earliest (2 = day 14).
    #[schemars(with = "u32")]
    pub from_week: Spanned<u32>,
    /// Completed weeks at which the next phase is planned; left out in the last phase.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<u32>")]
    pub to_week: Option<Spanned<u32>>,
    /// What is trained.
    #[schemars(with = "Vec<Goal>")]
    pub goals: Spanned<Vec<Goal>>,
    /// Exercise choices by id; left out: by the goals.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub exercises: Vec<String>,
    /// Default dosage.
    pub dosage: DosageSpec,
    /// Largest dosage.
    pub ceiling: CeilingSpec,
}

/// How much is done by default.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DosageSpec {
    /// Sets of one exercise in one session.
    #[schemars(with = "u32")]
    pub sets: Spanned<u32>,
    /// Repetitions of one set.
    #[schemars(with = "u32")]
    pub reps: Spanned<u32>,
    /// Sessions a day.
    #[schemars(with = "u32")]
    pub times_a_day: Spanned<u32>,
    /// Days a week.
    #[schemars(with = "u32")]
    pub days_a_week: Spanned<u32>,
    /// Key of the source.
    #[schemars(with = "String")]
    pub source: Spanned<String>,
    /// How well it is known.
    pub known: Known,
}

/// How much is done at most.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CeilingSpec {
    /// Sets of one exercise in one session.
    #[schemars(with = "u32")]
    pub sets: Spanned<u32>,
    /// Repetitions of one set.
    #[schemars(with = "u32")]
    pub reps: Spanned<u32>,
    /// Sessions a day.
    #[schemars(with = "u32")]
    pub times_a_day: Spanned<u32>,
    /// Days a week.
    #[schemars(with = "u32")]
    pub days_a_week: Spanned<u32>,
    /// Exercises in the program.
    #[schemars(with = "u32")]
    pub max_exercises: Spanned<u32>,
    /// Key of the source.
    #[schemars(with = "String")]
    pub source: Spanned<String>,
    /// How well it is known.
    pub known: Known,
}

/// What ends a restriction besides a release, which always ends it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum EndsBy {
    /// Only a release by a named person.
    Release,
    /// A stage of a ladder: weeks passed and the phase of the next stage begun by a named person.
    Week,
    /// Weeks passed and `until_phase` begun by a named person.
    Phase,
}

entry_with_limit! {
    /// One restriction: what is limited, from when, until what act, and who says so.
    pub struct RestrictionSpec {
        /// Name.
        #[schemars(with = "String")]
        pub id: Spanned<String>,
        /// Phase it belongs to.
        #[schemars(with = "String")]
        pub phase: Spanned<String>,
        /// Completed weeks at which it starts (2 = day 14).
        #[schemars(with = "u32")]
        pub from_week: Spanned<u32>,
        /// Completed weeks at which it may end at the earliest; left out: no time is named.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Option<u32>")]
        pub to_week: Option<Spanned<u32>>,
        /// What ends it.
        #[schemars(with = "EndsBy")]
        pub ends_by: Spanned<EndsBy>,
        /// Phase whose beginning ends it; only with `ends_by = "phase"`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Option<String>")]
        pub until_phase: Option<Spanned<String>>,
        /// Ladder it is a stage of; stages follow each other by `from_week`.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Option<String>")]
        pub ladder: Option<Spanned<String>>,
        /// When it applies; left out: always.
        #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
        #[schemars(with = "BTreeMap<String, Answers>")]
        pub only_if: ConditionSpec,
        /// Key of the source.
        #[schemars(with = "String")]
        pub source: Spanned<String>,
        /// How well it is known.
        pub known: Known,
        /// Why this value was taken where sources differ.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pub basis: Option<String>,
        /// Remark for clinicians.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

/// Something that must be true before a phase begins.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CriterionSpec {
    /// Name.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Phase that it opens.
    #[schemars(with = "String")]
    pub begins: Spanned<String>,
    /// In words, for clinicians.
    #[schemars(with = "String")]
    pub says: Spanned<String>,
    /// Name of the measurement, in small letters and underscores.
    #[schemars(with = "String")]
    pub measure: Spanned<String>,
    /// The measured value must be at least this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least: Option<f64>,
    /// The measured value must be at most this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_most: Option<f64>,
    /// Unit of `at_least` or `at_most`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// When it applies; left out: always.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(with = "BTreeMap<String, Answers>")]
    pub only_if: ConditionSpec,
    /// Key of the source.
    #[schemars(with = "String")]
    pub source: Spanned<String>,
    /// How well it is known.
    pub known: Known,
    /// Why this value was taken where sources differ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<String>,
}

/// A range that is expected by a week.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MilestoneSpec {
    /// Name.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Joint.
    pub joint: Joint,
    /// Clinical name of the direction.
    #[schemars(with = "String")]
    pub direction: Spanned<String>,
    /// How it is measured.
    pub drive: Drive,
    /// Degrees in that direction.
    #[schemars(with = "f64")]
    pub at_least_deg: Spanned<f64>,
    /// Completed weeks by which it is expected.
    pub by_week: u32,
    /// When it applies; left out: always.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(with = "BTreeMap<String, Answers>")]
    pub only_if: ConditionSpec,
    /// Key of the source.
    #[schemars(with = "String")]
    pub source: Spanned<String>,
    /// How well it is known.
    pub known: Known,
    /// Why this value was taken where sources differ.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub basis: Option<String>,
}

/// A warning for clinicians that no limit can express.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PrecautionSpec {
    /// Name.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Completed weeks at which it starts.
    #[schemars(with = "u32")]
    pub from_week: Spanned<u32>,
    /// Completed weeks at which it ends; left out: it stays.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<u32>")]
    pub to_week: Option<Spanned<u32>>,
    /// In words, for clinicians.
    #[schemars(with = "String")]
    pub says: Spanned<String>,
    /// When it applies; left out: always.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    #[schemars(with = "BTreeMap<String, Answers>")]
    pub only_if: ConditionSpec,
    /// Key of the source.
    #[schemars(with = "String")]
    pub source: Spanned<String>,
    /// How well it is known.
    pub known: Known,
}

/// A topic on which sources differ.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SpreadSpec {
    /// Topic.
    #[schemars(with = "String")]
    pub topic: Spanned<String>,
    /// Restrictions and criteria whose value was chosen among these statements.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(with = "Vec<String>")]
    pub concerns: Vec<Spanned<String>>,
    /// What was taken and why.
    #[schemars(with = "String")]
    pub taken: Spanned<String>,
    /// The statements, two or more.
    #[schemars(with = "Vec<StatementSpec>")]
    pub statements: Spanned<Vec<StatementSpec>>,
}

/// One of several differing statements.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct StatementSpec {
    /// What the source says.
    pub says: String,
    /// Key of the source.
    #[schemars(with = "String")]
    pub source: Spanned<String>,
    /// How well it is known.
    pub known: Known,
}
