//! Count everything: for each protocol and each of the days 0 to 180 how many exercises of the library are
//! within, limited and refused, and refused for what. The files in `counts/` are reviewed; one difference
//! shows what a change did to the whole rule set. `UPDATE_COUNTS=1` writes them anew.
//!
//! One body (1.70 m, 75 kg), usual furniture, left side operated, phases begun on their planned day, no orders.
//! `<protocol>.txt`: nothing is ever released. `<protocol>-as-planned.txt`: every restriction with a planned
//! last week is released on the first day after it.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::PathBuf;

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Person, SegmentTable, Sex, Side};
use handrail_library::Library;
use handrail_motion::Home;
use handrail_program::{Case, Kind, Margins, verdict};
use handrail_protocol::{Act, ActKind, Envelope, Orders, Protocol, envelope, weeks_complete};
use jiff::ToSpan;
use jiff::civil::{Date, date};

const SURGERY: Date = date(2026, 1, 5);
const LAST_DAY: i64 = 180;

/// Fixed answers to the variants of each protocol.
fn answers(protocol: &str) -> &'static [(&'static str, &'static str)] {
    match protocol {
        "acl-reconstruction" => &[("graft", "hamstring"), ("meniscus", "none")],
        "rotator-cuff-repair" => {
            &[("tear_size", "small_medium"), ("subscapularis", "no"), ("biceps_tenodesis", "no")]
        }
        _ => &[],
    }
}

fn orders(protocol: &Protocol, released: bool) -> Orders {
    let mut orders = Orders::new(SURGERY, Side::Left);
    let given = answers(&protocol.id);
    for variant in &protocol.variants {
        if let Some((_, answer)) = given.iter().find(|it| it.0 == variant.name) {
            orders.variants.insert(variant.name.clone(), (*answer).into());
        }
    }
    for phase in &protocol.phases[1..] {
        orders.acts.push(Act {
            kind: ActKind::BeginPhase { phase: phase.id.clone() },
            by: "as planned".into(),
            on: weeks_complete(SURGERY, phase.from_week),
            document: None,
            reason: Some("as planned".into()),
        });
    }
    for restriction in protocol.restrictions.iter().filter(|_| released) {
        let Some(week) = restriction.to_week else { continue };
        orders.acts.push(Act {
            kind: ActKind::Release { restriction: restriction.id.clone() },
            by: "as planned".into(),
            on: weeks_complete(SURGERY, week),
            document: None,
            reason: Some("as planned".into()),
        });
    }
    orders
}

/// What verdicts depend on; equal keys give equal counts.
fn key(envelope: &Envelope) -> String {
    let limits: Vec<_> = envelope.in_force.iter().map(|it| (&it.id, &it.limit)).collect();
    format!("{limits:?} {:?}", envelope.blocked)
}

/// Exercises by verdict, with the names of the allowed ones.
#[derive(Clone, Default, PartialEq)]
struct Counts {
    within: Vec<String>,
    limited: Vec<String>,
    refused: usize,
    /// Refusals with at least one reason of this kind; one exercise may stand under several.
    by_kind: BTreeMap<&'static str, usize>,
}

fn count(library: &Library, body: &Body, home: &Home, envelope: &Envelope) -> Counts {
    let case = Case { body, home, envelope, margins: Margins::STATED };
    let mut counts = Counts::default();
    for motion in library.exercises.values() {
        let verdict = verdict(motion, envelope.side, &case);
        match verdict.kind {
            Kind::Within => counts.within.push(motion.id.clone()),
            Kind::Limited => counts.limited.push(motion.id.clone()),
            Kind::Refused => {
                counts.refused += 1;
                let mut kinds: Vec<&'static str> = verdict.reasons.iter().map(|it| it.kind.id()).collect();
                kinds.sort_unstable();
                kinds.dedup();
                for kind in kinds {
                    *counts.by_kind.entry(kind).or_default() += 1;
                }
            }
        }
    }
    counts
}

fn write_counts(out: &mut String, counts: &Counts) {
    let kinds: Vec<String> = counts.by_kind.iter().map(|(kind, n)| format!("{kind} {n}")).collect();
    let _ = write!(
        out,
        "within {}, limited {}, refused {}",
        counts.within.len(),
        counts.limited.len(),
        counts.refused
    );
    let _ = writeln!(out, "{}{}", if kinds.is_empty() { "" } else { " for " }, kinds.join(", "));
}

/// Exercises that came and went against the days before.
fn write_changes(out: &mut String, before: Option<&Counts>, now: &Counts) {
    let Some(before) = before else {
        for (word, list) in [("within", &now.within), ("limited", &now.limited)] {
            if !list.is_empty() {
                let _ = writeln!(out, "    {word}: {}", list.join(", "));
            }
        }
        return;
    };
    let state = |counts: &Counts, id: &String| {
        if counts.within.contains(id) {
            "within"
        } else if counts.limited.contains(id) {
            "limited"
        } else {
            "refused"
        }
    };
    let mut changes: BTreeMap<String, Vec<&str>> = BTreeMap::new();
    let mut all: Vec<&String> =
        [&before.within, &before.limited, &now.within, &now.limited].into_iter().flatten().collect();
    all.sort_unstable();
    all.dedup();
    for id in all {
        let (was, is) = (state(before, id), state(now, id));
        if was != is {
            changes.entry(format!("{was} -> {is}")).or_default().push(id);
        }
    }
    for (change, list) in changes {
        let _ = writeln!(out, "    {change}: {}", list.join(", "));
    }
}

fn counts_of(library: &Library, protocol: &Protocol, released: bool) -> String {
    let person = Person { stature: 1.70, mass: 75.0, sex: Sex::Male, measured: MeasuredLengths::default() };
    let body = Body::new(person, SegmentTable::Winter).unwrap();
    let home = Home::usual(1.70);
    let orders = orders(protocol, released);
    let mut out = format!("{}, {} exercises", protocol.id, library.exercises.len());
    for (name, answer) in &orders.variants {
        let _ = write!(out, ", {name} = {answer}");
    }
    out.push_str(if released { ", released as planned\n" } else { ", nothing released\n" });
    let mut known: BTreeMap<String, Counts> = BTreeMap::new();
    let mut runs: Vec<(i64, i64, Counts, Vec<String>)> = Vec::new();
    for day in 0..=LAST_DAY {
        let on = SURGERY.checked_add(day.days()).unwrap();
        let today = envelope(protocol, &orders, on).unwrap();
        let counts = known.entry(key(&today)).or_insert_with(|| count(library, &body, &home, &today)).clone();
        let limits: Vec<String> = today.in_force.iter().map(|it| it.id.clone()).collect();
        match runs.last_mut() {
            Some(run) if run.2 == counts && run.3 == limits => run.1 = day,
            _ => runs.push((day, day, counts, limits)),
        }
    }
    let mut before: Option<(&Counts, &Vec<String>)> = None;
    for (from, to, counts, limits) in &runs {
        let _ = write!(out, "\ndays {from}-{to}: ");
        write_counts(&mut out, counts);
        match before {
            None => {
                let _ = writeln!(out, "    in force: {}", limits.join(", "));
            }
            Some((_, old)) => {
                let gone: Vec<&str> =
                    old.iter().filter(|it| !limits.contains(it)).map(String::as_str).collect();
                let new: Vec<&str> =
                    limits.iter().filter(|it| !old.contains(it)).map(String::as_str).collect();
                let or_none = |list: &[&str]| if list.is_empty() { "-".to_string() } else { list.join(", ") };
                let _ = writeln!(out, "    ended: {}; begun: {}", or_none(&gone), or_none(&new));
            }
        }
        write_changes(&mut out, before.map(|it| it.0), counts);
        before = Some((counts, limits));
    }
    out
}

#[test]
fn counts_are_as_reviewed() {
    let library = Library::built_in().unwrap_or_else(|problems| panic!("{problems}"));
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/counts");
    let update = std::env::var("UPDATE_COUNTS").is_ok();
    let mut differ = Vec::new();
    let runs = library.protocols.values().flat_map(|it| [(it, "", false), (it, "-as-planned", true)]);
    for (protocol, suffix, released) in runs {
        let found = counts_of(&library, protocol, released);
        let path = folder.join(format!("{}{suffix}.txt", protocol.id));
        if update {
            std::fs::write(&path, &found).unwrap();
            continue;
        }
        let reviewed = std::fs::read_to_string(&path).unwrap_or_default();
        if found != reviewed {
            let first = found.lines().zip(reviewed.lines()).find(|(a, b)| a != b);
            differ.push(format!("{}: first difference (now, reviewed): {first:?}", path.display()));
        }
    }
    assert!(differ.is_empty(), "{}\nrun with UPDATE_COUNTS=1 and review the difference", differ.join("\n"));
}
