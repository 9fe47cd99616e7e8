//! Entries, and the fold that makes an episode of them.

use std::borrow::Borrow;
use std::collections::{BTreeMap, BTreeSet};

use handrail_anatomy::{Person, SegmentTable, Side};
use handrail_motion::{Home, Parameters};
use handrail_protocol::{Act, Confirmation, Order, Orders};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::course::{
    Closed, Contact, Decision, Diary, Issued, Measure, Message, Note, Report, View, Visit, Withdrawn,
};

/// Who the patient is, as far as outputs need it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Patient {
    /// Name as printed.
    pub name: String,
    /// Language of the outputs, e.g. `en`.
    pub language: String,
    /// Date of birth: second identifier, and what the patient's page asks for.
    #[serde(default)]
    pub born: Option<Date>,
    /// Number in the clinic's own files.
    #[serde(default)]
    pub record: Option<String>,
    /// Who helps at home; `None` when nobody asked, blank when nobody does.
    #[serde(default)]
    pub helper: Option<String>,
}

/// Whom to call.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Clinic {
    /// Name of the clinic.
    pub name: String,
    /// Therapist who plans.
    pub therapist: String,
    /// Phone in opening hours.
    pub phone: String,
    /// Phone at other times.
    pub out_of_hours: String,
    /// Emergency number of the country.
    pub emergency: String,
}

/// The home.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct HomeFacts {
    /// Heights; `None` where not measured.
    pub seat_height: Option<f64>,
    /// Bed surface.
    pub bed_height: Option<f64>,
    /// Table top.
    pub table_height: Option<f64>,
    /// Step.
    pub step_height: Option<f64>,
    /// Equipment at hand; `None` when nobody asked.
    pub equipment: Option<BTreeSet<String>>,
    /// Stairs between bed and street; `None` when nobody asked.
    #[serde(default)]
    pub stairs: Option<u32>,
}

/// Plausible heights of furniture, m: name, lowest, highest.
pub const HEIGHTS: [(&str, f64, f64); 4] = [
    ("seat_height", 0.25, 0.75),
    ("bed_height", 0.15, 0.95),
    ("table_height", 0.5, 1.1),
    ("step_height", 0.05, 0.35),
];

impl HomeFacts {
    /// Heights for a person, with usual ones where none was measured.
    pub fn home(&self, stature: f64) -> Home {
        let usual = Home::usual(stature);
        Home {
            seat_height: self.seat_height.unwrap_or(usual.seat_height),
            bed_height: self.bed_height.unwrap_or(usual.bed_height),
            table_height: self.table_height.unwrap_or(usual.table_height),
            step_height: self.step_height.unwrap_or(usual.step_height),
        }
    }
}

/// The operation.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Operation {
    /// Protocol id.
    pub protocol: String,
    /// Operated side.
    pub side: Side,
    /// Day 0.
    pub surgery: Date,
    /// Surgeon.
    pub surgeon: String,
    /// Next visit to the surgeon; a program does not outlive it.
    pub next_visit: Option<Date>,
    /// Answers to the protocol's variants.
    pub variants: BTreeMap<String, String>,
}

/// One prescribed exercise.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Prescription {
    /// Exercise.
    pub exercise: String,
    /// Working side.
    pub side: Side,
    /// Sets, where the therapist set them.
    pub sets: Option<u32>,
    /// Repetitions.
    pub reps: Option<u32>,
    /// Seconds of continuous work.
    pub seconds: Option<f64>,
    /// Rest between sets, s.
    pub rest: Option<f64>,
    /// Parameters set by the therapist.
    pub parameters: Parameters,
}

/// One version of the home program.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Program {
    /// Version, counted up.
    pub version: u32,
    /// Day it was issued.
    pub issued: Date,
    /// Who planned it.
    pub by: String,
    /// Who signed it; `None` means draft.
    pub signed_by: Option<String>,
    /// Last day it is valid, at most until the next visit or 14 days; `None`: until then.
    pub valid_until: Option<Date>,
    /// Times a day, where set.
    pub times_a_day: Option<u32>,
    /// Days a week, where set.
    pub days_a_week: Option<u32>,
    /// Exercises.
    pub exercises: Vec<Prescription>,
}

/// A therapist's override of one reason, on record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct WaiverFact {
    /// Exercise.
    pub exercise: String,
    /// Restriction that is overridden for it.
    pub restriction: String,
    /// Who.
    pub by: String,
    /// When.
    pub on: Date,
    /// Why.
    pub reason: String,
}

/// What was done of one exercise on one day.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Done {
    /// Day.
    pub on: Date,
    /// Exercise.
    pub exercise: String,
    /// Repetitions of the whole day.
    pub reps: u32,
    /// Where it is from.
    pub from: String,
}

/// A therapist's threshold for the change of load from week to week.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Jump {
    /// Percent more than in the week before.
    pub percent: f64,
    /// Who set it.
    pub by: String,
}

/// What an entry records.
#[derive(Clone, Debug, PartialEq)]
pub enum Fact {
    /// Patient.
    Patient(Patient),
    /// Clinic.
    Clinic(Clinic),
    /// Body.
    Body(Person, SegmentTable),
    /// Home.
    Home(HomeFacts),
    /// Operation.
    Operation(Operation),
    /// A restriction of the protocol confirmed.
    Confirmation(Confirmation),
    /// An order.
    Order(Order),
    /// A release or the beginning of a phase.
    Act(Act),
    /// A program version.
    Program(Program),
    /// An override.
    Waiver(WaiverFact),
    /// What was done.
    Done(Done),
    /// Threshold for the change of load.
    Jump(Jump),
    /// A program given to the patient.
    Issued(Issued),
    /// A diary.
    Diary(Diary),
    /// A measured value.
    Measure(Measure),
    /// A decision.
    Decision(Decision),
    /// Who was told of what must not stay unheard.
    Contact(Contact),
    /// A visit.
    Visit(Visit),
    /// A remark.
    Note(Note),
    /// A message.
    Message(Message),
    /// Somebody looked.
    View(View),
    /// A report that was sent.
    Report(Report),
    /// The end.
    Closed(Closed),
    /// An entry taken back.
    Withdrawn(Withdrawn),
}

impl Fact {
    /// Whether it changes what a restriction may say: a sheet made before it is out of date.
    fn is_about_orders(&self) -> bool {
        matches!(self, Fact::Operation(_) | Fact::Confirmation(_) | Fact::Order(_) | Fact::Act(_))
    }
}

/// A fact with the day from which it is true.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry {
    /// Number in the journal, from 1.
    pub number: u64,
    /// Day.
    pub on: Date,
    /// Fact.
    pub fact: Fact,
    /// Entry in whose place this one stands; the old one stays in the journal and no longer counts.
    pub supersedes: Option<u64>,
}

/// A fact of the episode with the number of its entry.
#[derive(Clone, Debug, PartialEq)]
pub struct Numbered<T> {
    /// Number of the entry.
    pub number: u64,
    /// Fact.
    pub fact: T,
}

/// What happened since the operation, oldest first.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Course {
    /// Programs given to the patient.
    pub issued: Vec<Numbered<(Date, Issued)>>,
    /// Diaries, by the day they are about.
    pub diaries: Vec<Numbered<Diary>>,
    /// Diaries with warning signs that a correction took the place of: a sign that was reported stays reported
    /// until somebody has spoken with the patient.
    pub corrected_signs: Vec<Numbered<Diary>>,
    /// Measured values, by day.
    pub measures: Vec<Numbered<Measure>>,
    /// Decisions.
    pub decisions: Vec<Numbered<Decision>>,
    /// Who was told.
    pub contacts: Vec<Numbered<Contact>>,
    /// Visits.
    pub visits: Vec<Numbered<Visit>>,
    /// Remarks.
    pub notes: Vec<Numbered<(Date, Note)>>,
    /// Messages.
    pub messages: Vec<Numbered<(Date, Message)>>,
    /// Reports sent.
    pub reports: Vec<Numbered<(Date, Report)>>,
    /// The end, where it came.
    pub closed: Option<Numbered<(Date, Closed)>>,
}

/// The state that follows from the entries.
#[derive(Clone, Debug, PartialEq)]
pub struct Episode {
    /// Name of the episode.
    pub id: String,
    /// Patient.
    pub patient: Patient,
    /// Clinic.
    pub clinic: Clinic,
    /// Body.
    pub person: Person,
    /// Segment table.
    pub table: SegmentTable,
    /// Home.
    pub home: HomeFacts,
    /// Operation.
    pub operation: Operation,
    /// Orders, confirmations and acts.
    pub orders: Orders,
    /// Program versions, oldest first.
    pub programs: Vec<Program>,
    /// Overrides.
    pub waivers: Vec<WaiverFact>,
    /// What was done, by day.
    pub done: Vec<Done>,
    /// Threshold for the change of load from week to week, where the therapist set one.
    pub jump: Option<Jump>,
    /// What happened since.
    pub course: Course,
    /// Number and day of the last entry about restrictions (orders, confirmations, acts) or the operation: a
    /// sheet made before it is out of date.
    pub orders_changed: Option<(u64, Date)>,
}

impl Episode {
    /// The program version that the patient holds: the newest that was given.
    pub fn held(&self) -> Option<&Numbered<(Date, Issued)>> {
        self.course.issued.iter().max_by_key(|it| (it.fact.1.version, it.number))
    }

    /// The newest program issued on or before a day.
    pub fn program_on(&self, on: Date) -> Option<&Program> {
        self.programs.iter().filter(|it| it.issued <= on).max_by_key(|it| it.version)
    }

    /// Last day a program made or checked on a day is valid: what was set, at most the day before the next
    /// visit to the surgeon, and at most 14 days on.
    pub fn valid_until(&self, on: Date, set: Option<Date>) -> Date {
        let days = |n: i64| on.saturating_add(jiff::Span::new().days(n));
        let mut last = set.map_or(days(13), |it| it.min(days(13)));
        if let Some(visit) = self.operation.next_visit.filter(|it| *it > on) {
            last = last.min(visit.saturating_sub(jiff::Span::new().days(1)));
        }
        last.max(on)
    }
}

/// Which facts are still missing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Missing(pub Vec<&'static str>);

/// Makes an episode of its entries; later entries of one kind take the place of earlier ones, orders,
/// confirmations, acts, programs, overrides and what happened add up. A superseded entry does not count.
///
/// # Errors
/// The facts without which there is no episode.
pub fn fold<E: Borrow<Entry>>(id: &str, entries: &[E]) -> Result<Episode, Missing> {
    let gone: BTreeSet<u64> = entries.iter().filter_map(|it| it.borrow().supersedes).collect();
    let (mut patient, mut clinic, mut body, mut home, mut operation) = (None, None, None, None, None);
    let (mut confirmed, mut orders, mut acts) = (Vec::new(), Vec::new(), Vec::new());
    let (mut programs, mut waivers, mut done, mut jump) = (Vec::new(), Vec::new(), Vec::new(), None);
    let (mut course, mut orders_changed) = (Course::default(), None);
    for entry in entries.iter().map(E::borrow) {
        let number = entry.number;
        if gone.contains(&number) {
            if let Fact::Diary(it) = &entry.fact
                && !it.signs.is_empty()
            {
                course.corrected_signs.push(Numbered { number, fact: it.clone() });
            }
            continue;
        }
        let takes_back = |it: &Entry| entry.supersedes == Some(it.number) && it.fact.is_about_orders();
        if entry.fact.is_about_orders()
            || (entry.supersedes.is_some() && entries.iter().map(E::borrow).any(takes_back))
        {
            orders_changed = Some((number, entry.on));
        }
        match &entry.fact {
            Fact::Patient(it) => patient = Some(it.clone()),
            Fact::Clinic(it) => clinic = Some(it.clone()),
            Fact::Body(person, table) => body = Some((*person, *table)),
            Fact::Home(it) => home = Some(it.clone()),
            Fact::Operation(it) => operation = Some(it.clone()),
            Fact::Confirmation(it) => confirmed.push(it.clone()),
            Fact::Order(it) => orders.push(it.clone()),
            Fact::Act(it) => acts.push(it.clone()),
            Fact::Program(it) => programs.push(it.clone()),
            Fact::Waiver(it) => waivers.push(it.clone()),
            Fact::Done(it) => done.push(it.clone()),
            Fact::Jump(it) => jump = Some(it.clone()),
            Fact::Issued(it) => course.issued.push(Numbered { number, fact: (entry.on, it.clone()) }),
            Fact::Diary(it) => {
                done.extend(it.counted());
                course.diaries.push(Numbered { number, fact: it.clone() });
            }
            Fact::Measure(it) => course.measures.push(Numbered { number, fact: it.clone() }),
            Fact::Decision(it) => course.decisions.push(Numbered { number, fact: it.clone() }),
            Fact::Contact(it) => course.contacts.push(Numbered { number, fact: it.clone() }),
            Fact::Visit(it) => course.visits.push(Numbered { number, fact: it.clone() }),
            Fact::Note(it) => course.notes.push(Numbered { number, fact: (entry.on, it.clone()) }),
            Fact::Message(it) => course.messages.push(Numbered { number, fact: (entry.on, it.clone()) }),
            Fact::Report(it) => course.reports.push(Numbered { number, fact: (entry.on, it.clone()) }),
            Fact::Closed(it) => course.closed = Some(Numbered { number, fact: (entry.on, it.clone()) }),
            Fact::View(_) | Fact::Withdrawn(_) => {}
        }
    }
    let missing: Vec<&'static str> = [
        ("patient", patient.is_none()),
        ("clinic", clinic.is_none()),
        ("body", body.is_none()),
        ("home", home.is_none()),
        ("operation", operation.is_none()),
    ]
    .into_iter()
    .filter_map(|(name, missing)| missing.then_some(name))
    .collect();
    let (Some(patient), Some(clinic), Some((person, table)), Some(home), Some(operation)) =
        (patient, clinic, body, home, operation)
    else {
        return Err(Missing(missing));
    };
    programs.sort_by_key(|it: &Program| it.version);
    done.sort_by_key(|it: &Done| it.on);
    course.diaries.sort_by_key(|it| (it.fact.on, it.number));
    course.measures.sort_by_key(|it| (it.fact.on, it.number));
    let all = Orders {
        surgery: operation.surgery,
        side: operation.side,
        variants: operation.variants.clone(),
        confirmed,
        orders,
        acts,
    };
    Ok(Episode {
        id: id.into(),
        patient,
        clinic,
        person,
        table,
        home,
        operation,
        orders: all,
        programs,
        waivers,
        done,
        jump,
        course,
        orders_changed,
    })
}

/// Entries that were true on or before a day.
pub fn as_of(entries: &[Entry], day: Date) -> Vec<Entry> {
    entries.iter().filter(|it| it.on <= day).cloned().collect()
}
