//! Measurements: rows for what the next criteria need, with the limits in force beside them.

use crate::fields::Fields;
use crate::gate::Desk;
use crate::layout::put_back;
use crate::records::{Loaded, New};
use handrail_anatomy::{Drive, Side, clinical_motion};
use handrail_episode::{Episode, Fact, Measure};
use handrail_measures::{Kind as Of, Quantity, all, quantity};
use handrail_progress::{CriterionState, State};
use handrail_protocol::{Envelope, InForce, Limit, Protocol, Threshold};
use handrail_words::{Words, capital};
use maud::{Markup, html};

use crate::record::asked::{Asked, Wrong};
use crate::record::names;
use crate::record::parts::{Kind, field, hidden, typed, typed_or};

/// Rows that are free for anything, below those for the next criteria.
const FREE: usize = 2;
/// Most rows of one form.
const MOST: usize = 24;

/// A row of the form.
#[derive(Clone, Debug, PartialEq)]
struct Row {
    what: String,
    side: Side,
    asked: Option<String>,
}

/// A criterion in words: what is measured, and the value asked for.
pub fn criterion(words: &Words, protocol: &Protocol, it: &CriterionState) -> String {
    let of = protocol.criteria.iter().find(|other| other.id == it.criterion);
    let name = of.map_or_else(|| it.criterion.clone(), |of| names::measure(words, &of.measure));
    let asked = |key: &str, value: f64| {
        let value = names::value(words, value, &it.unit);
        words.text(key, &[("what", name.clone().into()), ("value", value.into())])
    };
    match it.threshold {
        Threshold::AtLeast(value) => asked("c-record-at-least", value),
        Threshold::AtMost(value) => asked("c-record-at-most", value),
        Threshold::Judged => words.text("c-record-judged", &[("what", name.into())]),
    }
}

/// The rows that the criteria of the next phase need; a comparison of sides needs both.
fn rows(
    episode: &Episode,
    protocol: &Protocol,
    states: &[CriterionState],
    phase: usize,
    words: &Words,
) -> Vec<Row> {
    let own = episode.operation.side;
    let mut out: Vec<Row> = Vec::new();
    for state in states.iter().filter(|it| it.begins_index == phase + 1 && it.state != State::NotApplicable) {
        let Some(of) = protocol.criteria.iter().find(|it| it.id == state.criterion) else { continue };
        let asked = Some(criterion(words, protocol, state));
        let base = quantity(&of.measure).and_then(|it| it.derived).map(|it| it.of());
        let what = base.unwrap_or(&of.measure).to_string();
        let mut add = |side: Side, asked: Option<String>| {
            if !out.iter().any(|it| it.what == what && it.side == side) {
                out.push(Row { what: what.clone(), side, asked });
            }
        };
        add(own, asked.clone());
        if base.is_some() {
            add(own.other(), asked);
        }
    }
    out
}

/// Limits in force that a measurement of this quantity could pass, and the largest value within each. `drive` is how
/// the joint is moved where that is known; without it every way counts.
fn bounds<'a>(it: &Quantity, drive: Option<Drive>, envelope: &'a Envelope) -> Vec<(&'a InForce, Bound)> {
    let Of::Angle { joint, motion, drive: fixed } = it.kind else { return Vec::new() };
    let Some(motion) = names::joint(joint).and_then(|joint| clinical_motion(joint, motion)) else {
        return Vec::new();
    };
    let drive = Drive::ALL.into_iter().find(|it| it.id() == fixed).or(drive);
    let bound = |in_force: &'a InForce| {
        let Limit::Motion { motion: limited, max_deg, drives, .. } = &in_force.limit else { return None };
        if limited.joint != motion.joint || limited.measure != motion.measure {
            return None;
        }
        if drive.is_some_and(|drive| !drives.is_empty() && !drives.contains(&drive)) {
            return None;
        }
        // A limit on bending is a limit on straightening read the other way round.
        let bound = if limited.sign == motion.sign { Bound::Most(*max_deg) } else { Bound::Least(-*max_deg) };
        Some((in_force, bound))
    };
    envelope.in_force.iter().filter_map(bound).collect()
}

/// One side of what a measurement may come to.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Bound {
    Most(f64),
    Least(f64),
}

impl Bound {
    fn passed(self, value: f64) -> bool {
        match self {
            Bound::Most(most) => value > most + 1e-9,
            Bound::Least(least) => value < least - 1e-9,
        }
    }

    fn says(self, words: &Words) -> String {
        let (key, value) = match self {
            Bound::Most(it) => ("c-record-limit-most", it),
            Bound::Least(it) => ("c-record-limit-least", it),
        };
        words.text(key, &[("value", names::value(words, value, "deg").into())])
    }
}

/// Limits that a measurement on record has passed: each as a sentence.
pub fn passed(words: &Words, measure: &Measure, operated: Side, envelope: &Envelope) -> Vec<String> {
    let Some(it) = quantity(&measure.what).filter(|_| measure.side.is_none_or(|side| side == operated))
    else {
        return Vec::new();
    };
    let passed =
        bounds(it, measure.drive, envelope).into_iter().filter(|(_, bound)| bound.passed(measure.value));
    passed
        .map(|(limit, _)| {
            let args = [
                ("what", names::measure(words, &measure.what).into()),
                ("value", names::value(words, measure.value, &measure.unit).into()),
                (
                    "limit",
                    format!("{}: {}", words.limit_on(&limit.limit), words.limit_value(&limit.limit)).into(),
                ),
            ];
            words.text("c-record-measure-passes", &args)
        })
        .collect()
}

fn side_select(words: &Words, key: &str, chosen: &str) -> Markup {
    html! {
        select name={ "side-" (key) } aria-label=(words.text("c-record-side-of", &[])) {
            @for side in [Side::Left, Side::Right] {
                option value=(side.word()) selected[side.word() == chosen] { (words.text("c-record-side", &[("side", side.into())])) }
            }
            option value="none" selected[chosen == "none"] { (words.text("c-record-side-none", &[])) }
        }
    }
}

/// How the joint was moved: nobody's choice beforehand, as an angle without it cannot be held against a limit. `other`:
/// the row may also be no angle.
fn drive_select(words: &Words, key: &str, chosen: &str, other: bool) -> Markup {
    html! {
        select name={ "drive-" (key) } aria-label=(words.text("c-record-drive", &[])) {
            option value="" { (words.text("c-record-drive-choose", &[])) }
            @if other { option value="none" selected[chosen == "none"] { (words.text("c-record-drive-blank", &[])) } }
            @for drive in [Drive::Active, Drive::Passive, Drive::Assisted] {
                option value=(drive.id()) selected[drive.id() == chosen] { (words.drive_name(drive)) }
            }
        }
    }
}

/// Value of one row: a number, or yes and no for what is judged.
fn value_input(
    words: &Words,
    key: &str,
    of: Option<&Quantity>,
    name: &str,
    typed: &str,
    described: &str,
) -> Markup {
    html! {
        @if of.is_some_and(|it| it.kind == Of::Judged) {
            select name={ "value-" (key) } aria-label=(name) {
                option value="" { "–" }
                option value="1" selected[typed == "1"] { (words.text("c-choice-yes", &[])) }
                option value="0" selected[typed == "0"] { (words.text("c-choice-no", &[])) }
            }
        } @else {
            input name={ "value-" (key) } inputmode="decimal" autocomplete="off" aria-label=(name) value=(typed)
                aria-describedby=[(!described.is_empty()).then_some(described)];
        }
    }
}

/// The form.
pub fn form(
    desk: &Desk,
    loaded: &Loaded,
    protocol: &Protocol,
    envelope: &Envelope,
    states: &[CriterionState],
    fields: &Fields,
) -> Markup {
    let words = desk.words();
    let episode = &loaded.episode;
    let rows = rows(episode, protocol, states, envelope.phase.index, words);
    let today = desk.app.today().to_string();
    let own = episode.operation.side.word();
    html! {
        form class="stack" method="post" action={ "/e/" (loaded.id) "/record/measure" } data-draft={ "measure-" (loaded.id) } {
            (hidden(desk, fields))
            (put_back(desk.words()))
            p class="quiet" { (desk.say("c-record-measure-hint")) }
            table class="rec-rows" {
                caption { (desk.say("c-record-measure-next")) }
                thead { tr {
                    th scope="col" { (desk.say("c-record-what")) }
                    th scope="col" { (desk.say("c-record-side-of")) }
                    th scope="col" { (desk.say("c-record-value")) }
                    th scope="col" { (desk.say("c-record-drive")) }
                } }
                tbody {
                    @for row in &rows { (fixed_row(desk, envelope, row, fields)) }
                    @for index in 0..FREE { (free_row(desk, envelope, &format!("free{index}"), own, fields)) }
                }
            }
            div class="fields" {
                (field(&desk.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &today), true))
                (field(&desk.say("c-record-method"), "method", Kind::Text, typed(fields, "method"), false))
            }
            div { button class="main" { (desk.say("c-record-write")) } }
        }
    }
}

fn fixed_row(desk: &Desk, envelope: &Envelope, row: &Row, fields: &Fields) -> Markup {
    let words = desk.words();
    let of = quantity(&row.what);
    let name = names::measure(words, &row.what);
    let unit = of.map_or("", |it| it.unit);
    let operated = row.side == envelope.side;
    let near = of.filter(|_| operated).map_or_else(Vec::new, |it| bounds(it, None, envelope));
    // The row is named by what it measures, so that what was kept as a draft comes back to the same quantity.
    let key = format!("{}.{}", row.what, row.side.word());
    let hint = format!("limit-{key}");
    let side = words.text("c-record-side", &[("side", row.side.into())]);
    let free_drive = of.is_some_and(|it| matches!(it.kind, Of::Angle { drive: "", .. }));
    html! {
        tr data-row data-most=[near.iter().find_map(|it| if let Bound::Most(most) = it.1 { Some(most.to_string()) } else { None })]
            data-least=[near.iter().find_map(|it| if let Bound::Least(least) = it.1 { Some(least.to_string()) } else { None })] {
            th scope="row" {
                (name)
                @if let Some(asked) = &row.asked { span class="hint rec-block" { (desk.say("c-record-for")) " " (asked) } }
            }
            td data-label=(desk.say("c-record-side-of")) { (side) }
            td data-label=(desk.say("c-record-value")) {
                span class="rec-value" {
                    (value_input(words, &key, of, &format!("{name}, {side}"), typed(fields, &format!("value-{key}")), if near.is_empty() { "" } else { &hint }))
                    span { (names::unit(words, unit)) }
                }
                @if !near.is_empty() {
                    p class="rec-limit" id=(hint) {
                        @for (_, bound) in &near { (bound.says(words)) " " }
                        (desk.say("c-record-do-not-pass"))
                    }
                }
            }
            td data-label=(desk.say("c-record-drive")) {
                @if free_drive { (drive_select(words, &key, typed(fields, &format!("drive-{key}")), false)) }
                @else if let Some(Of::Angle { drive, .. }) = of.map(|it| it.kind) { (names::term(words, "c-drive", drive)) }
                @else { "–" }
            }
        }
    }
}

fn free_row(desk: &Desk, envelope: &Envelope, key: &str, own: &str, fields: &Fields) -> Markup {
    let words = desk.words();
    let chosen = typed(fields, &format!("what-{key}"));
    let mut groups: Vec<(String, Vec<&'static Quantity>)> = Vec::new();
    for it in all() {
        let group = names::group(words, it);
        match groups.iter_mut().find(|(name, _)| *name == group) {
            Some((_, list)) => list.push(it),
            None => groups.push((group, vec![it])),
        }
    }
    // Joints under a limit come first: they are what is measured most.
    let limited: Vec<String> = envelope
        .in_force
        .iter()
        .flat_map(|it| it.limit.joints())
        .map(|it| capital(&words.joint_name(it)))
        .collect();
    groups.sort_by_key(|(name, _)| !limited.contains(name));
    html! {
        tr {
            td {
                select name={ "what-" (key) } aria-label=(desk.say("c-record-what")) {
                    option value="" { (desk.say("c-record-anything-else")) }
                    @for (group, list) in &groups {
                        optgroup label=(group) {
                            @for it in list { option value=(it.id) selected[it.id == chosen] { (names::measure(words, it.id)) @if !it.unit.is_empty() { " (" (names::unit(words, it.unit)) ")" } } }
                        }
                    }
                }
            }
            td data-label=(desk.say("c-record-side-of")) { (side_select(words, key, typed_or(fields, &format!("side-{key}"), own))) }
            td data-label=(desk.say("c-record-value")) {
                (value_input(words, key, None, &desk.say("c-record-value"), typed(fields, &format!("value-{key}")), ""))
            }
            td data-label=(desk.say("c-record-drive")) { (drive_select(words, key, typed(fields, &format!("drive-{key}")), true)) }
        }
    }
}

/// One measurement of a form's row; `None` where no value was given.
pub fn read_row(asked: &mut Asked<'_>, key: &str, on: jiff::civil::Date) -> Option<Measure> {
    let value = asked.number(&format!("value-{key}"), "c-record-value")?;
    let (what, side) = match key.split_once('.') {
        Some((what, side)) => (what.to_string(), side.to_string()),
        None => {
            let side = asked.text_opt(&format!("side-{key}")).unwrap_or_default();
            (asked.text(&format!("what-{key}"), "c-record-what"), side)
        }
    };
    let Some(of) = quantity(&what) else {
        if !what.is_empty() {
            asked.refuse("c-record-unknown-measure", "c-record-choose");
        }
        return None;
    };
    let words = asked.desk.words();
    if !of.is_plausible(value) {
        let (low, high) = of.plausible;
        let args = [
            ("what", names::measure(words, &what).into()),
            ("value", names::value(words, value, of.unit).into()),
            ("low", names::value(words, low, of.unit).into()),
            ("high", names::value(words, high, of.unit).into()),
        ];
        let mend = if of.kind == Of::Judged { "c-record-yes-or-no" } else { "c-record-implausible-mend" };
        asked.wrong.push((words.text("c-record-implausible", &args), words.text(mend, &args)));
        return None;
    }
    let side = match side.as_str() {
        "left" => Some(Side::Left),
        "right" => Some(Side::Right),
        _ => None,
    };
    let given = asked.fields.opt(&format!("drive-{key}"));
    let drive = match of.kind {
        Of::Angle { drive: "", .. } => Drive::ALL.into_iter().find(|it| Some(it.id()) == given),
        Of::Angle { drive, .. } => Drive::ALL.into_iter().find(|it| it.id() == drive),
        _ => None,
    };
    if matches!(of.kind, Of::Angle { .. }) && drive.is_none() {
        let name = names::measure(words, &what);
        let says = words.text("c-record-drive-missing", &[("what", name.into())]);
        asked.wrong.push((says, asked.desk.say("c-record-drive-missing-mend")));
    }
    if matches!(of.kind, Of::Angle { .. }) && side.is_none() {
        let name = names::measure(words, &what);
        let says = words.text("c-record-side-missing", &[("what", name.into())]);
        asked.wrong.push((says, asked.desk.say("c-record-choose")));
    }
    Some(Measure {
        on,
        what,
        side,
        value,
        unit: of.unit.into(),
        drive,
        method: asked.text_opt("method"),
        by: asked.desk.staff.name.clone(),
    })
}

/// Measurements of a form.
///
/// # Errors
/// What is implausible or missing.
pub fn read(desk: &Desk, episode: &Episode, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let on = asked.day("on", "c-record-on", episode.operation.surgery);
    let keys = fields.0.keys().filter_map(|it| it.strip_prefix("value-")).take(MOST);
    let found: Vec<Measure> = keys.filter_map(|key| read_row(&mut asked, key, on)).collect();
    if found.is_empty() && asked.wrong.is_empty() {
        asked.refuse("c-record-nothing-measured", "c-record-nothing-measured-mend");
    }
    asked.or(found.into_iter().map(|it| New::fact(it.on, Fact::Measure(it))).collect())
}
