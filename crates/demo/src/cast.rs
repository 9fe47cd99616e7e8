//! Who the twelve invented patients are, and what their record shows on the morning of `today`.

use handrail_anatomy::{Sex, Side};

use crate::files::{self, File};

/// What the end of a record shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Story {
    /// The patient's last message has no answer.
    MessageWaiting,
    /// The last sessions hurt more than the rules allow, and nobody has acted.
    PainResponse,
    /// An order was written down after the sheet was given; restrictions are only assumed.
    SheetOutOfDate,
    /// Three days after surgery: no program, most of it assumed.
    Fresh,
    /// A same-day sign of yesterday without an answer.
    SameDaySign,
    /// An emergency sign that was answered by a call.
    EmergencyAnswered,
    /// Restrictions change within a week.
    RestrictionChanges,
    /// The last measurements meet a criterion, and nobody has decided.
    CriterionMet,
    /// No diary any more.
    NoDiary,
    /// The surgeon's visit is near, and no letter was written.
    ReportDue,
    /// Nothing asks for anybody.
    Quiet,
    /// Discharged.
    Closed,
}

/// One invented patient.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Role {
    pub id: &'static str,
    /// Name; that of the file where there is one.
    pub name: &'static str,
    pub language: &'static str,
    /// Year of birth, less the year of surgery.
    pub age: i16,
    pub sex: Sex,
    /// m and kg.
    pub body: (f64, f64),
    pub protocol: &'static str,
    pub variants: &'static [(&'static str, &'static str)],
    /// True where another protocol of the library may take the place of `protocol`.
    pub flexible: bool,
    pub side: Side,
    pub surgeon: &'static str,
    /// Days from the surgery to `today`; a surgery that would fall on a weekend is earlier.
    pub day: i64,
    /// Therapist, by index into the people.
    pub therapist: usize,
    pub helper: Option<&'static str>,
    pub stairs: Option<u32>,
    pub story: Story,
    /// Share of the planned days with a diary.
    pub diaries: f64,
    /// How fast the recovery goes.
    pub pace: f64,
    /// True where everything overdue is released and everything assumed is confirmed.
    pub tidy: bool,
    /// Days from `today` to the next visit to the surgeon.
    pub next_visit: Option<i64>,
    /// Days from the last visit at the clinic to `today`.
    pub last_seen: i64,
    /// File of the content folder that the record begins with.
    pub file: Option<File>,
}

const ASPINALL: &str = "Dr. Teodor Aspinall";
const FAIRWEATHER: &str = "Dr. Ayana Fairweather";
const ORROWBY: &str = "Dr. Lucien Orrowby";

const HAMSTRING: &[(&str, &str)] = &[("graft", "hamstring"), ("meniscus", "none")];
const PATELLAR: &[(&str, &str)] = &[("graft", "patellar_tendon"), ("meniscus", "resection")];
const SMALL_TEAR: &[(&str, &str)] =
    &[("tear_size", "small_medium"), ("subscapularis", "no"), ("biceps_tenodesis", "no")];

/// What most have in common; the roles say what differs.
const USUAL: Role = Role {
    id: "",
    name: "",
    language: "en",
    age: 40,
    sex: Sex::Female,
    body: (1.68, 68.0),
    protocol: "achilles-repair",
    variants: &[],
    flexible: false,
    side: Side::Left,
    surgeon: ASPINALL,
    day: 20,
    therapist: 0,
    helper: None,
    stairs: None,
    story: Story::Quiet,
    diaries: 0.8,
    pace: 1.0,
    tidy: false,
    next_visit: Some(24),
    last_seen: 3,
    file: None,
};

/// The twelve.
pub(crate) static CAST: [Role; 12] = [
    Role {
        id: "marta-okonjo",
        age: 44,
        story: Story::MessageWaiting,
        helper: Some("Her sister, in the evenings"),
        stairs: Some(12),
        file: Some(files::ACHILLES),
        ..USUAL
    },
    Role {
        id: "ruben-castellanos-vega",
        language: "es",
        age: 27,
        sex: Sex::Male,
        protocol: "acl-reconstruction",
        variants: HAMSTRING,
        surgeon: FAIRWEATHER,
        story: Story::PainResponse,
        helper: Some("His mother"),
        last_seen: 4,
        file: Some(files::ACL),
        ..USUAL
    },
    Role {
        id: "greta-holloway",
        age: 61,
        protocol: "rotator-cuff-repair",
        variants: SMALL_TEAR,
        surgeon: FAIRWEATHER,
        story: Story::SheetOutOfDate,
        helper: Some("Her husband"),
        last_seen: 3,
        file: Some(files::CUFF),
        ..USUAL
    },
    Role {
        id: "yusuf-dankworth",
        name: "Yusuf Dankworth",
        age: 52,
        sex: Sex::Male,
        body: (1.81, 93.0),
        flexible: true,
        side: Side::Right,
        day: 3,
        therapist: 1,
        stairs: Some(3),
        story: Story::Fresh,
        next_visit: Some(11),
        ..USUAL
    },
    Role {
        id: "ilse-vanterpoole",
        name: "Ilse Vanterpoole",
        age: 31,
        body: (1.72, 64.0),
        protocol: "acl-reconstruction",
        variants: PATELLAR,
        flexible: true,
        surgeon: ORROWBY,
        day: 33,
        therapist: 1,
        helper: Some("Her flatmate"),
        stairs: Some(40),
        story: Story::SameDaySign,
        diaries: 0.85,
        last_seen: 3,
        ..USUAL
    },
    Role {
        id: "osric-pellington",
        name: "Osric Pellington",
        age: 58,
        sex: Sex::Male,
        body: (1.76, 88.0),
        protocol: "rotator-cuff-repair",
        variants: SMALL_TEAR,
        surgeon: FAIRWEATHER,
        day: 64,
        helper: Some("His wife"),
        story: Story::EmergencyAnswered,
        diaries: 0.75,
        tidy: true,
        last_seen: 2,
        ..USUAL
    },
    Role {
        id: "nkechi-abernathy-lund",
        name: "Nkechi Abernathy-Lund",
        age: 36,
        body: (1.65, 61.0),
        side: Side::Right,
        day: 38,
        therapist: 2,
        helper: Some("Her partner"),
        stairs: Some(0),
        story: Story::RestrictionChanges,
        diaries: 0.9,
        tidy: true,
        next_visit: Some(9),
        last_seen: 2,
        ..USUAL
    },
    Role {
        id: "caspian-thornquist",
        name: "Caspian Thornquist",
        age: 39,
        sex: Sex::Male,
        body: (1.84, 84.0),
        day: 108,
        therapist: 2,
        story: Story::CriterionMet,
        diaries: 0.7,
        tidy: true,
        next_visit: Some(20),
        last_seen: 1,
        ..USUAL
    },
    Role {
        id: "lucia-montoya-iriarte",
        name: "Lucía Montoya Iriarte",
        language: "es",
        age: 55,
        body: (1.58, 70.0),
        protocol: "rotator-cuff-repair",
        variants: SMALL_TEAR,
        flexible: true,
        side: Side::Right,
        surgeon: ORROWBY,
        day: 78,
        therapist: 1,
        helper: Some("Su hija"),
        story: Story::NoDiary,
        diaries: 0.65,
        tidy: true,
        last_seen: 6,
        ..USUAL
    },
    Role {
        id: "bertrand-ashgrove",
        name: "Bertrand Ashgrove",
        age: 24,
        sex: Sex::Male,
        body: (1.88, 90.0),
        protocol: "acl-reconstruction",
        variants: HAMSTRING,
        flexible: true,
        surgeon: FAIRWEATHER,
        day: 80,
        story: Story::ReportDue,
        diaries: 0.75,
        tidy: true,
        next_visit: Some(4),
        last_seen: 2,
        ..USUAL
    },
    Role {
        id: "philippa-rennard",
        name: "Philippa Rennard",
        age: 29,
        body: (1.70, 63.0),
        protocol: "acl-reconstruction",
        variants: HAMSTRING,
        side: Side::Right,
        surgeon: ORROWBY,
        day: 126,
        story: Story::Quiet,
        diaries: 0.9,
        tidy: true,
        next_visit: Some(26),
        last_seen: 3,
        ..USUAL
    },
    Role {
        id: "anselm-wetherby-cole",
        name: "Anselm Wetherby-Cole",
        age: 47,
        sex: Sex::Male,
        body: (1.79, 81.0),
        day: 236,
        therapist: 2,
        story: Story::Closed,
        diaries: 0.7,
        tidy: true,
        next_visit: None,
        last_seen: 12,
        ..USUAL
    },
];
