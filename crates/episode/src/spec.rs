//! The episode file as written (TOML).

use std::collections::BTreeMap;

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{SegmentTable, Sex, Side};
use handrail_protocol::{ActSpec, ConfirmationSpec, DateText, OrderSpec};
use handrail_spans::Spanned;
use serde::Deserialize;

/// An episode as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct EpisodeSpec {
    /// Name of the episode: small letters, digits, hyphens.
    pub id: String,
    /// Patient.
    pub patient: PatientSpec,
    /// Clinic.
    pub clinic: ClinicSpec,
    /// Body.
    #[schemars(with = "BodySpec")]
    pub body: Spanned<BodySpec>,
    /// Home.
    #[serde(default)]
    pub home: HomeSpec,
    /// Operation.
    pub operation: OperationSpec,
    /// Confirmed restrictions of the protocol.
    #[serde(default)]
    pub confirmed: Vec<ConfirmationSpec>,
    /// Surgeon's orders.
    #[serde(default)]
    pub order: Vec<OrderSpec>,
    /// Releases and beginnings of phases.
    #[serde(default)]
    pub act: Vec<ActSpec>,
    /// Program versions.
    #[serde(default)]
    pub program: Vec<ProgramSpec>,
    /// Overrides by a therapist.
    #[serde(default)]
    pub waiver: Vec<WaiverSpec>,
    /// What was done at home, as the diary or the guided session says.
    #[serde(default)]
    pub done: Vec<DoneSpec>,
    /// Change of the planned load from one week to the next from which on the therapist wants to be told.
    #[serde(default)]
    pub jump: Option<JumpSpec>,
}

/// What was done of one exercise on one day, as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DoneSpec {
    /// Day.
    #[schemars(with = "DateText")]
    pub on: Spanned<DateText>,
    /// Exercise.
    #[schemars(with = "String")]
    pub exercise: Spanned<String>,
    /// Repetitions of the whole day.
    pub reps: u32,
    /// Where it is from: diary, guided session, told by the patient.
    pub from: String,
}

/// A therapist's threshold for the change of load from week to week, as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct JumpSpec {
    /// Percent more than in the week before.
    #[schemars(with = "f64")]
    pub percent: Spanned<f64>,
    /// Who set it.
    pub by: String,
}

/// Patient as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PatientSpec {
    /// Name as printed.
    pub name: String,
    /// `en` or `es`.
    #[schemars(with = "String")]
    pub language: Spanned<String>,
    /// Date of birth.
    #[serde(default)]
    #[schemars(with = "Option<DateText>")]
    pub born: Option<Spanned<DateText>>,
    /// Number in the clinic's own files.
    #[serde(default)]
    pub record: Option<String>,
    /// Who helps at home.
    #[serde(default)]
    pub helper: Option<String>,
}

/// Clinic as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClinicSpec {
    /// Name.
    pub name: String,
    /// Therapist who plans.
    pub therapist: String,
    /// Phone in opening hours.
    pub phone: String,
    /// Phone at other times.
    pub out_of_hours: String,
    /// Emergency number.
    pub emergency: String,
}

/// Body as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BodySpec {
    /// Stature, m.
    pub stature: f64,
    /// Mass, kg.
    pub mass: f64,
    /// Sex.
    pub sex: Sex,
    /// Segment table; `winter` when left out.
    #[serde(default)]
    pub table: Option<SegmentTable>,
    /// Measured segment lengths, m.
    #[serde(default)]
    pub measured: MeasuredLengths,
}

/// Home as written; heights in m.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct HomeSpec {
    /// Chair seat.
    #[schemars(with = "Option<f64>")]
    pub seat_height: Option<Spanned<f64>>,
    /// Bed surface.
    #[schemars(with = "Option<f64>")]
    pub bed_height: Option<Spanned<f64>>,
    /// Table top.
    #[schemars(with = "Option<f64>")]
    pub table_height: Option<Spanned<f64>>,
    /// Step.
    #[schemars(with = "Option<f64>")]
    pub step_height: Option<Spanned<f64>>,
    /// Equipment at hand. Left out: nobody asked.
    pub equipment: Option<Vec<String>>,
    /// Stairs between bed and street. Left out: nobody asked.
    pub stairs: Option<u32>,
}

/// Operation as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct OperationSpec {
    /// Protocol.
    #[schemars(with = "String")]
    pub protocol: Spanned<String>,
    /// Operated side.
    pub side: Side,
    /// Date of the operation.
    #[schemars(with = "DateText")]
    pub surgery: Spanned<DateText>,
    /// Surgeon.
    pub surgeon: String,
    /// Next visit to the surgeon.
    #[serde(default)]
    #[schemars(with = "Option<DateText>")]
    pub next_visit: Option<Spanned<DateText>>,
    /// Answers to the protocol's variants.
    #[serde(default)]
    #[schemars(with = "BTreeMap<String, String>")]
    pub variants: BTreeMap<String, Spanned<String>>,
}

/// Program version as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ProgramSpec {
    /// Version.
    pub version: u32,
    /// Day it was issued.
    #[schemars(with = "DateText")]
    pub issued: Spanned<DateText>,
    /// Who planned it.
    pub by: String,
    /// Who signed it.
    #[serde(default)]
    pub signed_by: Option<String>,
    /// Last valid day.
    #[serde(default)]
    #[schemars(with = "Option<DateText>")]
    pub valid_until: Option<Spanned<DateText>>,
    /// Times a day.
    #[serde(default)]
    pub times_a_day: Option<u32>,
    /// Days a week.
    #[serde(default)]
    pub days_a_week: Option<u32>,
    /// Exercises.
    #[serde(default)]
    pub exercise: Vec<PrescriptionSpec>,
}

/// Prescribed exercise as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PrescriptionSpec {
    /// Exercise.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Working side; the operated one when left out.
    #[serde(default)]
    pub side: Option<Side>,
    /// Sets.
    #[serde(default)]
    pub sets: Option<u32>,
    /// Repetitions.
    #[serde(default)]
    pub reps: Option<u32>,
    /// Seconds of continuous work.
    #[serde(default)]
    pub seconds: Option<f64>,
    /// Rest between sets, s.
    #[serde(default)]
    pub rest: Option<f64>,
    /// Parameters.
    #[serde(default)]
    pub parameters: BTreeMap<String, f64>,
}

/// Override as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WaiverSpec {
    /// Exercise.
    #[schemars(with = "String")]
    pub exercise: Spanned<String>,
    /// Restriction of the protocol that is overridden for it; an order cannot be.
    pub restriction: String,
    /// Who.
    pub by: String,
    /// When.
    #[schemars(with = "DateText")]
    pub on: Spanned<DateText>,
    /// Why.
    pub reason: String,
}
