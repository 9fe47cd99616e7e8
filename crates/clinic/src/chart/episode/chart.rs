//! The envelope chart of an episode: spans of every limit out of the envelopes of the days on which something can
//! change, up to today as it was, from today on as it is planned.
//!
//! What is to come is asked of the same fold: six weeks are played through in which every act that a change needs is
//! done on its earliest day. What is due already is left as it is: it ends by an act, and nobody knows when. A limit
//! that would end in that play, and that no other limit of the same quantity follows, is shown as going on past that
//! day: without the act the fold keeps it, and its end is nothing to count on.

use std::collections::BTreeSet;

use handrail_anatomy::{ClinicalMotion, Drive, Joint, Measure, Side, clinical_motions};
use handrail_episode::{Line, Plan};
use handrail_figures::envelope::{
    AxisLimit, AxisPanel, EnvelopeChart, EnvelopeRow, EnvelopeWords, Lane, Manner, Measured, PhaseStart,
    Reach, RowKind, Segment, Span, Status as Word, Toward, Visit,
};
use handrail_measures::{Kind as QuantityKind, quantity};
use handrail_motion::Repetition;
use handrail_progress::Phases;
use handrail_protocol::{
    Act, ActKind, ActNeeded, Change, ChangeWhat, Envelope, EnvelopeError, InForce, Limit, Loading, Need,
    Orders, Protocol, Status, day_after_surgery, envelope, weeks_complete,
};
use handrail_words::{Lang, Words, capital};
use jiff::civil::Date;
use maud::{Markup, html};

use super::Case;
use crate::layout::svg;

/// Days shown after today.
const AHEAD: i64 = 42;
/// Above this load a limb counts as loaded, body weights; as in the verdict.
const LOADED: f64 = 0.02;
/// Widths of the two drawings, picture units; the narrow one is about as wide as a card on a phone, so that its text is
/// not made smaller there.
const WIDE: f64 = 1140.0;
const NARROW: f64 = 340.0;

pub(super) fn section(case: &Case<'_>) -> Markup {
    let (Ok(plan), Some(protocol)) = (case.plan, case.protocol) else { return html! {} };
    let drawn = chart(case, plan, protocol).map_err(|error| error.to_string()).and_then(|chart| {
        let wide = chart.svg("envelope-wide", WIDE).map_err(|error| error.to_string())?;
        let narrow = chart.svg("envelope-narrow", NARROW).map_err(|error| error.to_string())?;
        Ok((chart, wide, narrow))
    });
    html! {
        section class="card" aria-labelledby="allowed" {
            h2 id="allowed" { (case.say("c-today-allowed")) }
            @match drawn {
                Ok((chart, wide, narrow)) => {
                    figure class="chart wide-only" { (svg(&wide)) }
                    figure class="chart narrow-only" { (svg(&narrow)) }
                    (table(case, &chart))
                },
                // The table of restrictions below says all of it; a chart in part would not.
                Err(error) => { p class="alert care" { (case.say("c-today-no-chart")) " " (error) } },
            }
        }
    }
}

/// Everything the chart shows, as a table.
fn table(case: &Case<'_>, chart: &EnvelopeChart) -> Markup {
    let surgery = case.episode.operation.surgery;
    let date = |day: i32| case.words.date_short(on(surgery, day));
    let heads =
        ["subject", "what", "from", "to", "state", "status"].map(|it| case.say(&format!("c-today-col-{it}")));
    let rows = chart.rows();
    let (measured, told): (Vec<&EnvelopeRow>, Vec<&EnvelopeRow>) =
        rows.iter().partition(|it| it.kind == RowKind::Measured);
    html! {
        details {
            summary { (case.say("c-today-chart-table")) }
            div class="scroll" tabindex="0" role="region" aria-label=(case.say("c-today-chart-table")) {
                table class="stacked told" {
                    caption class="unseen" { (case.say("c-today-allowed")) }
                    thead { tr { @for it in &heads { th scope="col" { (it) } } } }
                    tbody { @for row in told { tr {
                        th scope="row" { (row.subject) }
                        td data-name=(heads[1]) {
                            (row.what)
                            @if !row.note.is_empty() { span class="block quiet small" { (row.note) } }
                        }
                        td data-name=(heads[2]) { (date(row.from)) }
                        td data-name=(heads[3]) { (until(case, row)) }
                        td data-name=(heads[4]) { (row.state) }
                        td data-name=(heads[5]) { (row.status) }
                    } } }
                }
            }
            @if !measured.is_empty() { ul class="measured small" { @for it in &measured {
                li { (it.subject) ": " (it.what) }
            } } }
        }
    }
}

/// Until when a row of the table holds: a limit ends on a day only where somebody has ended it.
fn until(case: &Case<'_>, row: &EnvelopeRow) -> String {
    let surgery = case.episode.operation.surgery;
    let last = |day: i32| case.words.date_short(on(surgery, day - 1));
    let planned = |key: &str, day: i32| case.words.text(key, &[("date", last(day).into())]);
    match (row.kind, row.until, row.planned_end) {
        (RowKind::Program | RowKind::Measured, ..) => String::new(),
        (RowKind::Lane | RowKind::Limit, Some(end), Some(day)) if end == day => {
            planned("c-today-planned-until", day)
        }
        (RowKind::Lane | RowKind::Limit, None, Some(day)) => planned("c-today-planned-until-act", day),
        (RowKind::Lane | RowKind::Limit, None, None) => case.say("c-today-until-act"),
        (_, Some(end), _) => last(end),
        (_, None, _) => String::new(),
    }
}

/// The date so many days after the surgery.
fn on(surgery: Date, day: i32) -> Date {
    surgery.saturating_add(jiff::Span::new().days(i64::from(day)))
}

/// A limit with the days on which it held or is planned to hold.
struct Track {
    item: InForce,
    from: i32,
    ended: Option<i32>,
    planned_end: Option<i32>,
    /// True when no other limit of the same quantity begins on its planned end.
    lingers: bool,
}

impl Track {
    fn span(&self) -> Span {
        Span { from: self.from, planned_end: self.planned_end, ended: self.ended, lingers: self.lingers }
    }
}

fn chart(case: &Case<'_>, plan: &Plan<'_>, protocol: &Protocol) -> Result<EnvelopeChart, EnvelopeError> {
    let (words, episode) = (case.words, case.episode);
    let (surgery, side) = (episode.operation.surgery, episode.operation.side);
    let day = |it: Date| day_after_surgery(surgery, it);
    let today = day(case.today);
    let horizon = case.today.saturating_add(jiff::Span::new().days(AHEAD));
    let past = past(protocol, &episode.orders, case.today)?;
    let (orders, coming) = coming(protocol, &episode.orders, case.today, horizon)?;
    let tracks = tracks(&past, &coming, today, surgery);
    let visits = episode.operation.next_visit.filter(|it| (surgery..=horizon).contains(it));
    let phases = Phases::of(protocol, &orders);
    Ok(EnvelopeChart {
        title: words.text("c-today-chart-title", &[("side", side.into())]),
        today_label: words.text(
            "c-day",
            &[
                ("date", words.date_short(case.today).into()),
                ("day", f64::from(today).into()),
                ("week", f64::from(plan.envelope.week).into()),
            ],
        ),
        subtitle: words.text(
            "c-today-chart-subtitle",
            &[
                ("name", episode.patient.name.as_str().into()),
                ("operation", words.operation_name(&protocol.id).into()),
                ("side", side.into()),
                ("version", protocol.version.as_str().into()),
            ],
        ),
        today,
        days: day(horizon) + 1,
        phases: phases
            .stretches()
            .map(|(from, _, index)| PhaseStart {
                day: day(from),
                label: words.phase_name(&protocol.id, &protocol.phases[index].id),
            })
            .filter(|it| (0..=day(horizon)).contains(&it.day))
            .collect(),
        visits: visits.map(|it| Visit { day: day(it), label: words.date_short(it) }).into_iter().collect(),
        lanes: lanes(case, &tracks),
        panels: panels(case, plan, &tracks),
        notes: vec![case.say("c-today-chart-note-planned"), case.say("c-today-chart-note-usual")],
        words: chart_words(words),
    })
}

/// Days on which the envelope can become another one.
fn turning_days(protocol: &Protocol, orders: &Orders) -> BTreeSet<Date> {
    let mut weeks: BTreeSet<u32> = protocol.phases.iter().map(|it| it.from_week).collect();
    weeks.extend(protocol.restrictions.iter().flat_map(|it| [Some(it.from_week), it.to_week]).flatten());
    let mut days: BTreeSet<Date> = weeks.into_iter().map(|it| weeks_complete(orders.surgery, it)).collect();
    days.extend(orders.orders.iter().map(|it| it.from));
    days.extend(
        orders.orders.iter().filter_map(|it| it.until).map(|it| it.saturating_add(jiff::Span::new().days(1))),
    );
    days.extend(orders.acts.iter().map(|it| it.on));
    days.extend(orders.confirmed.iter().map(|it| it.on));
    days
}

/// The envelopes from the surgery to today, one for each stretch of days.
fn past(protocol: &Protocol, orders: &Orders, today: Date) -> Result<Vec<Envelope>, EnvelopeError> {
    let mut days = turning_days(protocol, orders);
    days.retain(|it| (orders.surgery..=today).contains(it));
    days.extend([orders.surgery, today]);
    days.into_iter().map(|it| envelope(protocol, orders, it)).collect()
}

/// What a change is about.
fn about(change: &Change) -> &str {
    match &change.what {
        ChangeWhat::Starts { id, .. } | ChangeWhat::Ends { id } | ChangeWhat::Phase { id } => id,
        ChangeWhat::Steps { from, .. } => from,
    }
}

/// The envelopes after today, with every act that a change needs done on its earliest day; and those acts.
fn coming(
    protocol: &Protocol,
    orders: &Orders,
    today: Date,
    horizon: Date,
) -> Result<(Orders, Vec<Envelope>), EnvelopeError> {
    let mut orders = orders.clone();
    let now = envelope(protocol, &orders, today)?;
    let waiting: Vec<String> = now.next.iter().filter(|it| it.due).map(|it| about(it).to_string()).collect();
    let mut days = turning_days(protocol, &orders);
    days.extend(now.next.iter().map(|it| it.on));
    days.retain(|it| *it > today && *it <= horizon);
    let mut out = Vec::new();
    for on in days {
        let mut reached = envelope(protocol, &orders, on)?;
        // The beginning of a phase can make further changes due on the same day.
        for _ in 0..protocol.phases.len() + 2 {
            let due = reached.next.iter().filter(|it| it.due && !waiting.iter().any(|id| id == about(it)));
            let acts: Vec<Act> = due.flat_map(|it| &it.needs).filter_map(|it| act(it, on)).collect();
            let mut new: Vec<Act> = Vec::new();
            for it in acts {
                if !orders.acts.contains(&it) && !new.contains(&it) {
                    new.push(it);
                }
            }
            if new.is_empty() {
                break;
            }
            orders.acts.extend(new);
            reached = envelope(protocol, &orders, on)?;
        }
        out.push(reached);
    }
    Ok((orders, out))
}

fn act(need: &Need, on: Date) -> Option<Act> {
    let kind = match need {
        Need::Act(ActNeeded::Release(id)) => ActKind::Release { restriction: id.clone() },
        Need::Act(ActNeeded::BeginPhase(id)) => ActKind::BeginPhase { phase: id.clone() },
        Need::Act(ActNeeded::None) | Need::Criterion(_) => return None,
    };
    Some(Act { kind, by: "plan".into(), on, document: None, reason: Some("as planned".into()) })
}

/// From when until when each limit holds.
fn tracks(past: &[Envelope], coming: &[Envelope], today: i32, surgery: Date) -> Vec<Track> {
    let mut done: Vec<Track> = Vec::new();
    let mut open: Vec<Track> = Vec::new();
    for reached in past.iter().chain(coming) {
        let same = |it: &InForce, track: &Track| it.id == track.item.id && it.limit == track.item.limit;
        let (stay, gone): (Vec<Track>, Vec<Track>) =
            open.drain(..).partition(|track| reached.in_force.iter().any(|it| same(it, track)));
        open = stay;
        let begins = |it: &&InForce| !open.iter().any(|track| same(it, track));
        let begun: Vec<&InForce> = reached.in_force.iter().filter(begins).collect();
        done.extend(gone.into_iter().map(|mut it| {
            if reached.day <= today {
                it.ended = Some(reached.day);
            } else {
                it.planned_end = Some(reached.day);
                it.lingers = !begun.iter().any(|new| new.limit.same_quantity(&it.item.limit));
            }
            it
        }));
        for item in &reached.in_force {
            match open.iter_mut().find(|track| same(item, track)) {
                // Who stands for it, and until when, may have changed since; the plan does not change who does.
                Some(track) if reached.day <= today => track.item = item.clone(),
                Some(_) => {}
                None => {
                    let item = item.clone();
                    open.push(Track {
                        item,
                        from: reached.day,
                        ended: None,
                        planned_end: None,
                        lingers: false,
                    });
                }
            }
        }
    }
    for mut it in open {
        let earliest = it.item.until.earliest.map(|it| day_after_surgery(surgery, it));
        it.planned_end = earliest.filter(|end| *end >= it.from);
        it.lingers = it.item.until.act != ActNeeded::None;
        done.push(it);
    }
    done.sort_by_key(|it| it.from);
    done
}

fn word(status: Status) -> Word {
    match status {
        Status::Ordered => Word::Ordered,
        Status::Confirmed => Word::Confirmed,
        Status::Assumed => Word::Assumed,
    }
}

fn lanes(case: &Case<'_>, tracks: &[Track]) -> Vec<Lane> {
    let words = case.words;
    let lane = |name: &str, text: &dyn Fn(&Limit) -> Option<String>| Lane {
        name: case.say(name),
        segments: tracks
            .iter()
            .filter_map(|it| {
                let text = text(&it.item.limit)?;
                Some(Segment {
                    text,
                    span: it.span(),
                    status: word(it.item.status),
                    note: case.teller().source_and_until(&it.item),
                })
            })
            .collect(),
    };
    let leg = |limit: &Limit| matches!(limit, Limit::LegWeightBearing(_)).then(|| words.limit_value(limit));
    let arm = |limit: &Limit| matches!(limit, Limit::ArmWeightBearing(_)).then(|| words.limit_value(limit));
    let device = |limit: &Limit| match limit {
        Limit::Device { device, setting, .. } if setting.trim().is_empty() => {
            Some(words.device_name(*device))
        }
        Limit::Device { device, setting, .. } => {
            Some(format!("{}: {}", words.device_name(*device), words.setting(setting)))
        }
        _ => None,
    };
    let all = [
        lane("c-today-lane-leg", &leg),
        lane("c-today-lane-arm", &arm),
        lane("c-today-lane-device", &device),
    ];
    all.into_iter().filter(|it| !it.segments.is_empty()).collect()
}

/// One axis of a joint: both directions of one measure.
struct Axis {
    joint: Joint,
    measure: Measure,
    up: ClinicalMotion,
    down: Option<ClinicalMotion>,
}

impl Axis {
    fn of(motion: &ClinicalMotion) -> Option<Axis> {
        let all = clinical_motions();
        let find = |sign: i8| {
            all.iter()
                .find(|it| it.joint == motion.joint && it.measure == motion.measure && it.sign == sign)
                .copied()
        };
        Some(Axis { joint: motion.joint, measure: motion.measure, up: find(1)?, down: find(-1) })
    }

    fn toward(&self, direction: &str) -> Option<Toward> {
        if self.up.motion == direction {
            return Some(Toward::Up);
        }
        self.down.filter(|it| it.motion == direction).map(|_| Toward::Down)
    }
}

fn panels(case: &Case<'_>, plan: &Plan<'_>, tracks: &[Track]) -> Vec<AxisPanel> {
    let mut axes: Vec<Axis> = Vec::new();
    for it in tracks {
        if let Limit::Motion { motion, .. } = &it.item.limit
            && !axes.iter().any(|axis| axis.joint == motion.joint && axis.measure == motion.measure)
        {
            axes.extend(Axis::of(motion));
        }
    }
    axes.sort_by_key(|it| it.joint);
    axes.iter().map(|axis| panel(case, plan, tracks, axis)).collect()
}

fn panel(case: &Case<'_>, plan: &Plan<'_>, tracks: &[Track], axis: &Axis) -> AxisPanel {
    let (words, side) = (case.words, case.episode.operation.side);
    let direction = |it: &ClinicalMotion| {
        let key = format!("c-motion-{}", it.motion.replace('_', "-"));
        words.try_text(&key, &[]).unwrap_or_else(|| it.motion.replace('_', " "))
    };
    let limits: Vec<AxisLimit> = tracks
        .iter()
        .filter_map(|it| match &it.item.limit {
            Limit::Motion { motion, max_deg, drives, loading }
                if motion.joint == axis.joint && motion.measure == axis.measure =>
            {
                Some(AxisLimit {
                    toward: axis.toward(motion.motion)?,
                    max_deg: *max_deg,
                    way: way(words, drives, *loading),
                    span: it.span(),
                    status: word(it.item.status),
                    note: case.teller().source_and_until(&it.item),
                })
            }
            _ => None,
        })
        .collect();
    let (up, down) =
        (direction(&axis.up), axis.down.as_ref().map_or_else(|| case.say("c-today-lowering"), direction));
    let joint = words.joint_name(axis.joint);
    let joint = match axis.joint.is_axial() {
        true => joint,
        false => words.text("c-with-side", &[("what", joint.into()), ("side", side.into())]),
    };
    AxisPanel {
        title: format!("{}: {up} / {down}", capital(&joint)),
        usual: usual(axis),
        reach: reach(words, plan, axis),
        measured: measured(case, axis),
        limits,
        up,
        down,
    }
}

/// The way of moving that a limit speaks of; empty: every way.
fn way(words: &Words, drives: &[Drive], loading: Loading) -> String {
    let every = drives.is_empty() || Drive::ALL.iter().all(|it| drives.contains(it));
    let mut parts = Vec::new();
    if !every {
        let names: Vec<String> = drives.iter().map(|&it| words.drive_name(it)).collect();
        parts.push(words.all_of(&names));
    }
    match loading {
        Loading::Any => {}
        Loading::Loaded => parts.push(words.text("c-loaded", &[])),
        Loading::Unloaded => parts.push(words.text("c-unloaded", &[])),
    }
    parts.join(", ")
}

/// How far the program of today moves the joint, apart for each way of moving that limits of today speak of.
fn reach(words: &Words, plan: &Plan<'_>, axis: &Axis) -> Vec<Reach> {
    let side = plan.envelope.side;
    let ways: Vec<(String, Vec<Drive>, Loading)> = plan
        .envelope
        .in_force
        .iter()
        .filter_map(|it| match &it.limit {
            Limit::Motion { motion, drives, loading, .. }
                if motion.joint == axis.joint && motion.measure == axis.measure =>
            {
                let name = way(words, drives, *loading);
                (!name.is_empty()).then(|| (name, drives.clone(), *loading))
            }
            _ => None,
        })
        .collect();
    let mut out: Vec<Reach> = Vec::new();
    let mut add = |way: String, low: f64, high: f64| match out.iter_mut().find(|it| it.way == way) {
        Some(it) => (it.low, it.high) = (it.low.min(low), it.high.max(high)),
        None => out.push(Reach { low, high, way }),
    };
    for line in &plan.lines {
        let Some((drive, low, high)) = moved(line, axis, side) else { continue };
        let loaded = line.verdict.repetition.as_deref().is_some_and(|it| is_loaded(it, side, axis.joint));
        let speaks = |it: &&(String, Vec<Drive>, Loading)| {
            let of_drive = it.1.is_empty() || it.1.contains(&drive) || drive == Drive::Isometric;
            of_drive && (it.2 == Loading::Any || (it.2 == Loading::Loaded) == loaded)
        };
        let spoken_of: Vec<&str> = ways.iter().filter(speaks).map(|it| it.0.as_str()).collect();
        match (ways.is_empty(), spoken_of.as_slice()) {
            (true, _) => add(String::new(), low, high),
            (false, []) => add(words.drive_name(drive), low, high),
            (false, ways) => ways.iter().for_each(|it| add((*it).to_string(), low, high)),
        }
    }
    out
}

/// How an exercise moves the joint, and from where to where, degrees on the axis; `None` where the joint rests.
fn moved(line: &Line, axis: &Axis, side: Side) -> Option<(Drive, f64, f64)> {
    let repetition = line.verdict.repetition.as_deref()?;
    let drive = repetition.drive(side, axis.joint)?;
    let values = repetition.samples.iter().map(|it| axis.up.read(&it.pose, side));
    let (low, high) =
        values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| (low.min(it), high.max(it)));
    (low <= high).then_some((drive, low, high))
}

/// As in the verdict: weight through the limb, or resistance on the joint.
fn is_loaded(repetition: &Repetition, side: Side, joint: Joint) -> bool {
    let load =
        if joint.is_leg() { repetition.peak_leg_load(side).0 } else { repetition.peak_arm_load(side).0 };
    repetition.drive(side, joint) == Some(Drive::Resisted) || (!joint.is_axial() && load > LOADED)
}

fn measured(case: &Case<'_>, axis: &Axis) -> Vec<Measured> {
    let operation = &case.episode.operation;
    let all = case.episode.course.measures.iter().map(|it| &it.fact);
    all.filter_map(|it| {
        let QuantityKind::Angle { joint, motion, drive } = quantity(&it.what)?.kind else { return None };
        let of_side = it.side.is_none_or(|side| side == operation.side);
        if joint != axis.joint.id() || !of_side || !it.value.is_finite() || it.value.abs() > 360.0 {
            return None;
        }
        let manner = match it.drive.map(Drive::id).unwrap_or(drive) {
            "active" => Manner::Active,
            "passive" => Manner::Passive,
            _ => Manner::Unstated,
        };
        Some(Measured {
            day: day_after_surgery(operation.surgery, it.on),
            date: case.words.date_short(it.on),
            toward: axis.toward(motion)?,
            degrees: it.value,
            manner,
        })
    })
    .filter(|it| it.day >= 0)
    .collect()
}

/// Usual ends of a joint's range in adults, degrees: reference values of the AAOS as quoted in goniometry handbooks
/// (arm: secondary; leg: from memory). Knee and elbow extension and shoulder adduction: neutral.
const USUAL: &[(Joint, &str, f64)] = &[
    (Joint::Hip, "flexion", 120.0),
    (Joint::Hip, "extension", 20.0),
    (Joint::Hip, "abduction", 45.0),
    (Joint::Hip, "adduction", 30.0),
    (Joint::Hip, "internal_rotation", 45.0),
    (Joint::Hip, "external_rotation", 45.0),
    (Joint::Knee, "flexion", 135.0),
    (Joint::Ankle, "dorsiflexion", 20.0),
    (Joint::Ankle, "plantarflexion", 50.0),
    (Joint::Ankle, "inversion", 35.0),
    (Joint::Ankle, "eversion", 15.0),
    (Joint::GreatToe, "extension", 70.0),
    (Joint::GreatToe, "flexion", 45.0),
    (Joint::Shoulder, "flexion", 180.0),
    (Joint::Shoulder, "extension", 60.0),
    (Joint::Shoulder, "abduction", 180.0),
    (Joint::Shoulder, "internal_rotation", 70.0),
    (Joint::Shoulder, "external_rotation", 90.0),
    (Joint::Shoulder, "elevation", 180.0),
    (Joint::Elbow, "flexion", 150.0),
    (Joint::Forearm, "pronation", 80.0),
    (Joint::Forearm, "supination", 80.0),
    (Joint::Wrist, "flexion", 80.0),
    (Joint::Wrist, "extension", 70.0),
    (Joint::Wrist, "radial_deviation", 20.0),
    (Joint::Wrist, "ulnar_deviation", 30.0),
];

/// Usual ends on an axis; neutral where none is on record.
fn usual(axis: &Axis) -> [f64; 2] {
    let end = |it: &ClinicalMotion| {
        USUAL.iter().find(|row| row.0 == it.joint && row.1 == it.motion).map_or(0.0, |row| row.2)
    };
    [-axis.down.as_ref().map_or(0.0, end), end(&axis.up)]
}

fn chart_words(words: &Words) -> EnvelopeWords {
    let say = |id: &str| words.text(&format!("c-today-env-{id}"), &[]);
    EnvelopeWords {
        today: say("today"),
        weeks: say("weeks"),
        days: say("days"),
        phases: say("phases"),
        visits: say("visits"),
        visit_past: say("visit-past"),
        visit_planned: say("visit-planned"),
        in_force: say("in-force"),
        goes_on: say("goes-on"),
        planned: say("planned"),
        ended: say("ended"),
        lingers: say("lingers"),
        overdue: say("overdue"),
        ordered: say("ordered"),
        confirmed: say("confirmed"),
        assumed: say("assumed"),
        every_way: say("every-way"),
        other_limit: say("other-limit"),
        open_side: say("open-side"),
        nothing: say("nothing"),
        contradiction: say("contradiction"),
        allowed_today: say("allowed-today"),
        program: say("program"),
        no_program: say("no-program"),
        beyond: say("beyond"),
        to: say("to"),
        measured: say("measured"),
        last_measured: say("last-measured"),
        not_measured: say("not-measured"),
        active: say("active"),
        passive: say("passive"),
        unstated: say("unstated"),
        decimal_mark: if words.lang() == Lang::Es { ',' } else { '.' },
    }
}
