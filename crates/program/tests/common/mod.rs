//! Patients on real protocols, one body, and a short way to ask for a verdict.
#![allow(dead_code)] // each test file uses a part of it

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock};

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{
    Body, ClinicalMotion, Drive, Joint, Person, SegmentTable, Sex, Side, clinical_motion,
};
use handrail_library::Library;
use handrail_motion::{Home, Motion, Parameters};
use handrail_program::{Case, Kind, Margins, Verdict, verdict, verdict_from};
use handrail_protocol::*;
use jiff::ToSpan;
use jiff::civil::{Date, date};

pub const SURGERY: Date = date(2026, 11, 2);

pub static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().unwrap_or_else(|problems| panic!("{problems}")));

pub fn exercise(id: &str) -> &'static Arc<Motion> {
    LIBRARY.exercises.get(id).unwrap_or_else(|| panic!("there is no exercise `{id}`"))
}

pub fn protocol(id: &str) -> &'static Protocol {
    &LIBRARY.protocols[id]
}

pub fn day(day: i64) -> Date {
    SURGERY.checked_add(day.days()).unwrap()
}

pub fn body() -> Body {
    let person = Person { stature: 1.70, mass: 75.0, sex: Sex::Male, measured: MeasuredLengths::default() };
    Body::new(person, SegmentTable::Winter).unwrap()
}

pub fn home() -> Home {
    Home::usual(1.70)
}

pub fn patient(variants: &[(&str, &str)]) -> Orders {
    let mut orders = Orders::new(SURGERY, Side::Left);
    orders.variants = variants.iter().map(|(name, answer)| (name.to_string(), answer.to_string())).collect();
    orders
}

pub const CUFF: [(&str, &str); 3] =
    [("tear_size", "small_medium"), ("subscapularis", "no"), ("biceps_tenodesis", "no")];
pub const ACL: [(&str, &str); 2] = [("graft", "hamstring"), ("meniscus", "none")];

pub fn act(kind: ActKind, on: Date) -> Act {
    Act { kind, by: "R. Example, PT".into(), on, document: None, reason: Some("as planned".into()) }
}

pub fn order(id: &str, limit: Limit, from: Date) -> Order {
    Order {
        id: id.into(),
        limit,
        replaces: None,
        by: "Dr. Sample".into(),
        on: from,
        document: "letter 1".into(),
        from,
        until: None,
        note: None,
    }
}

/// Envelope of a day, phases begun as planned.
pub fn envelope_on(protocol: &Protocol, mut orders: Orders, on: i64) -> Envelope {
    for phase in &protocol.phases[1..] {
        let begins = weeks_complete(SURGERY, phase.from_week);
        orders.acts.push(act(ActKind::BeginPhase { phase: phase.id.clone() }, begins));
    }
    envelope(protocol, &orders, day(on)).unwrap()
}

/// Every restriction of the protocol lifted and only these orders in force: one clinical question at a time,
/// by the same fold as everything else.
pub fn only(limits: &[(&str, Limit)]) -> Envelope {
    only_on(protocol("achilles-repair"), &[], limits)
}

pub fn only_on(protocol: &Protocol, variants: &[(&str, &str)], limits: &[(&str, Limit)]) -> Envelope {
    let mut orders = patient(variants);
    for restriction in &protocol.restrictions {
        let kind = ActKind::Release { restriction: restriction.id.clone() };
        orders.acts.push(act(kind, day(399)));
    }
    for (id, limit) in limits {
        orders.orders.push(order(id, limit.clone(), day(399)));
    }
    let envelope = envelope_on(protocol, orders, 400);
    let names: Vec<&str> = envelope.in_force.iter().map(|it| it.id.as_str()).collect();
    let wanted: Vec<&str> = limits.iter().map(|it| it.0).collect();
    assert_eq!(names, wanted, "only the orders given are in force");
    envelope
}

pub fn clinical(joint: Joint, motion: &str) -> ClinicalMotion {
    clinical_motion(joint, motion).unwrap()
}

/// A joint motion that may not pass so many degrees, however it is driven.
pub fn at_most(joint: Joint, motion: &str, max_deg: f64) -> Limit {
    Limit::Motion {
        motion: clinical(joint, motion),
        max_deg,
        drives: Drive::ALL.to_vec(),
        loading: Loading::Any,
    }
}

pub fn muscles(group: &str) -> Limit {
    let muscles = handrail_anatomy::muscles::muscle_group(group).unwrap();
    Limit::Muscle { muscles, allowed: Vec::new() }
}

/// A body and a home to hold an envelope against.
pub struct Setting {
    pub body: Body,
    pub home: Home,
}

impl Default for Setting {
    fn default() -> Self {
        Setting { body: body(), home: home() }
    }
}

impl Setting {
    pub fn case<'a>(&'a self, envelope: &'a Envelope) -> Case<'a> {
        Case { body: &self.body, home: &self.home, envelope, margins: Margins::STATED }
    }

    pub fn ask(&self, envelope: &Envelope, id: &str) -> Verdict {
        verdict(exercise(id), envelope.side, &self.case(envelope))
    }

    pub fn ask_side(&self, envelope: &Envelope, id: &str, side: Side) -> Verdict {
        verdict(exercise(id), side, &self.case(envelope))
    }

    pub fn ask_with(&self, envelope: &Envelope, id: &str, set: &[(&str, f64)]) -> Verdict {
        let set: Parameters = set.iter().map(|(name, value)| (name.to_string(), *value)).collect();
        verdict_from(exercise(id), envelope.side, &self.case(envelope), &set)
    }
}

/// What is expected of an exercise.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Expect {
    Within,
    Limited,
    /// Refused, for exactly these kinds of reasons.
    Refused(&'static [&'static str]),
}

/// Kinds of the reasons, each once, in alphabetical order.
pub fn kinds(verdict: &Verdict) -> Vec<&'static str> {
    let set: BTreeMap<&str, ()> = verdict.reasons.iter().map(|it| (it.kind.id(), ())).collect();
    set.into_keys().collect()
}

/// Asks for the verdict on the operated side, on the usual body at the usual chair.
#[track_caller]
pub fn check(envelope: &Envelope, id: &str, expect: Expect) -> Verdict {
    let verdict = Setting::default().ask(envelope, id);
    let found = format!("{id}: {} {:?} {:?}", verdict.kind.id(), verdict.reasons, verdict.limit);
    match expect {
        Expect::Within => assert!(verdict.kind == Kind::Within && verdict.reasons.is_empty(), "{found}"),
        Expect::Limited => assert!(verdict.kind == Kind::Limited && verdict.limit.is_some(), "{found}"),
        Expect::Refused(reasons) => {
            assert!(verdict.kind == Kind::Refused && verdict.limit.is_none(), "{found}");
            assert_eq!(kinds(&verdict), reasons, "{found}");
        }
    }
    verdict
}
