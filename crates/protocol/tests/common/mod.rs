//! Protocols of the content folder, patients in common situations, and an envelope as compact text.
#![allow(dead_code)] // each test file uses a part of it

use std::fmt::Write;

use handrail_anatomy::{ClinicalMotion, Side};
use handrail_protocol::*;
use handrail_spans::SourceText;
use jiff::ToSpan;
use jiff::civil::{Date, date};

pub const SURGERY: Date = date(2026, 11, 2);

pub fn day(day: i64) -> Date {
    SURGERY.checked_add(day.days()).unwrap()
}

pub fn read(name: &str, text: &str) -> Protocol {
    read_protocol(&SourceText::new(name, text)).unwrap_or_else(|problems| panic!("{problems}"))
}

pub fn achilles() -> Protocol {
    read("achilles-repair.toml", include_str!("../../../../content/protocols/achilles-repair.toml"))
}

pub fn acl() -> Protocol {
    read("acl-reconstruction.toml", include_str!("../../../../content/protocols/acl-reconstruction.toml"))
}

pub fn cuff() -> Protocol {
    read("rotator-cuff-repair.toml", include_str!("../../../../content/protocols/rotator-cuff-repair.toml"))
}

pub fn patient(variants: &[(&str, &str)]) -> Orders {
    let mut orders = Orders::new(SURGERY, Side::Left);
    orders.variants = variants.iter().map(|(name, answer)| (name.to_string(), answer.to_string())).collect();
    orders
}

pub fn act(kind: ActKind, on: Date) -> Act {
    Act { kind, by: "R. Example".into(), on, document: None, reason: Some("as planned".into()) }
}

pub fn release(id: &str, on: Date) -> Act {
    act(ActKind::Release { restriction: id.into() }, on)
}

pub fn begin(phase: &str, on: Date) -> Act {
    act(ActKind::BeginPhase { phase: phase.into() }, on)
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

/// Every phase begun and every restriction that may apply released on its planned day.
pub fn as_planned(protocol: &Protocol, orders: &mut Orders) {
    for phase in &protocol.phases[1..] {
        orders.acts.push(begin(&phase.id, weeks_complete(SURGERY, phase.from_week)));
    }
    for restriction in &protocol.restrictions {
        let answered_otherwise =
            |(variant, answers): (&String, &std::collections::BTreeSet<String>)| match orders.answer(variant)
            {
                Some(answer) => !answers.contains(answer),
                None => false,
            };
        if restriction.only_if.iter().any(answered_otherwise) {
            continue;
        }
        if let (Ends::Release, Some(week)) = (restriction.ends, restriction.to_week) {
            orders.acts.push(release(&restriction.id, weeks_complete(SURGERY, week)));
        }
    }
}

fn directions(motions: &[ClinicalMotion]) -> String {
    if motions.is_empty() {
        return "any direction".into();
    }
    motions.iter().map(|it| it.motion).collect::<Vec<_>>().join("/")
}

pub fn limit(limit: &Limit) -> String {
    let drives = |drives: &[handrail_anatomy::Drive]| {
        if drives.len() == 5 {
            return "any drive".to_string();
        }
        drives.iter().map(|it| it.id()).collect::<Vec<_>>().join("/")
    };
    match limit {
        Limit::LegWeightBearing(weight) => format!("leg weight {weight:?}"),
        Limit::ArmWeightBearing(weight) => format!("arm weight {weight:?}"),
        Limit::Motion { motion, max_deg, drives: by, loading } => {
            let loading = if *loading == Loading::Any { String::new() } else { format!(", {loading:?}") };
            format!("{} {} <= {max_deg} ({}{loading})", motion.joint.id(), motion.motion, drives(by))
        }
        Limit::Drive { joint, motions, forbidden } => {
            format!("{} {}: not {}", joint.id(), directions(motions), drives(forbidden))
        }
        Limit::Muscle { muscles, allowed } => {
            let names: Vec<&str> = muscles.iter().map(|it| it.id()).collect();
            let but = if allowed.is_empty() { String::new() } else { format!(" but {}", drives(allowed)) };
            format!("do not tense {}{but}", names.join(", "))
        }
        Limit::Device { device, holds, off_for_exercise, worn_asleep, setting } => {
            let holds: String =
                holds.iter().map(|(motion, deg)| format!(", {} {deg}", motion.motion)).collect();
            let off = if *off_for_exercise { "off" } else { "on" };
            let asleep = if *worn_asleep { "on" } else { "off" };
            format!("{} ({setting}{holds}), {off} for exercise, {asleep} asleep", device.id())
        }
        Limit::Position(position) => format!("not {position:?}"),
        Limit::Combination(edges) => {
            let edges = edges.iter().map(|edge| format!("{} > {}", edge.motion.motion, edge.deg));
            format!("not together: {}", edges.collect::<Vec<_>>().join(" + "))
        }
        Limit::Resistance { joint, motions, max_kg } => {
            format!("{} {}: <= {max_kg} kg", joint.id(), directions(motions))
        }
        Limit::Impact => "no impact".into(),
        Limit::Activity(name) => format!("not {name}"),
        Limit::TissueLoad { tissue, max, class } => {
            let class = class.map_or(String::new(), |it| format!(" ({})", it.id()));
            format!("load {} <= {max} {}{class}", tissue.id(), tissue.unit().id())
        }
        Limit::Exposure { tissue, per_week, of } => {
            format!("{} of {} <= {per_week} {} a week", of.id(), tissue.id(), of.unit(*tissue))
        }
    }
}

fn act_text(act: &ActNeeded) -> String {
    match act {
        ActNeeded::None => "by itself".into(),
        ActNeeded::Release(id) => format!("release {id}"),
        ActNeeded::BeginPhase(id) => format!("begin {id}"),
    }
}

/// The envelope in a few lines, days counted from the surgery.
pub fn compact(envelope: &Envelope) -> String {
    let day_of = |date: Date| day_after_surgery(SURGERY, date);
    let mut text = String::new();
    let phase = &envelope.phase;
    let _ = write!(
        text,
        "day {} week {}: {} since day {}",
        envelope.day,
        envelope.week,
        phase.id,
        day_of(phase.since)
    );
    let _ = writeln!(text, ", by calendar {}", phase.by_calendar);
    for item in &envelope.in_force {
        let earliest = item.until.earliest.map_or("open".into(), |date| format!("day {}", day_of(date)));
        let overdue = if item.overdue { " OVERDUE" } else { "" };
        let _ = write!(
            text,
            "  {}: {} [{:?}] since day {}",
            item.id,
            limit(&item.limit),
            item.status,
            day_of(item.since)
        );
        let _ = write!(text, ", until {earliest} and {}{overdue}", act_text(&item.until.act));
        for gone in &item.superseded {
            let _ = write!(text, "; {:?} {} ({})", gone.why, gone.id, limit(&gone.limit));
        }
        if !item.unanswered.is_empty() {
            let _ = write!(text, "; unanswered {}", item.unanswered.join(", "));
        }
        text.push('\n');
    }
    for it in &envelope.lifted {
        let _ = writeln!(text, "  lifted {} on day {} by {}", it.id, day_of(it.on), it.by);
    }
    for it in &envelope.blocked {
        let _ =
            writeln!(text, "  BLOCKED {} ({}): {}", it.variant, it.choices.join("/"), it.depends.join(", "));
    }
    for note in &envelope.notes {
        let _ = writeln!(text, "  note {note:?}");
    }
    for change in &envelope.next {
        let what = match &change.what {
            ChangeWhat::Starts { id, limit: it } => format!("starts {id}: {}", limit(it)),
            ChangeWhat::Steps { from, to, limit: it } => format!("{from} -> {to}: {}", limit(it)),
            ChangeWhat::Ends { id } => format!("ends {id}"),
            ChangeWhat::Phase { id } => format!("phase {id}"),
        };
        let needs = change.needs.iter().map(|need| match need {
            Need::Criterion(id) => id.clone(),
            Need::Act(act) => act_text(act),
        });
        let needs: Vec<String> = needs.collect();
        let due = if change.due { " (due)" } else { "" };
        let _ = writeln!(text, "  next day {}{due}: {what}; needs: {}", day_of(change.on), needs.join(", "));
    }
    text
}
