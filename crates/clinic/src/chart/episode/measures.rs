//! What was measured, how, and whether a change is larger than the error; where each criterion stands.

use handrail_anatomy::Side;
use handrail_episode::{Measure, Numbered};
use handrail_measures::{Change, Kind, Quantity, change, quantity};
use handrail_progress::{CriterionState, Near, NotUsable, State, criteria};
use handrail_protocol::Threshold;
use maud::{Markup, html};

use super::Case;
use crate::chart::facts::{measure_name, measure_value, quantity_name};
use crate::chart::reasons::unit_word;
use crate::layout::fold;
use handrail_words::capital;

/// Measurements of one quantity on one side in one manner, oldest first.
type Series<'a> = Vec<&'a Numbered<Measure>>;

pub(super) fn section(case: &Case<'_>) -> Markup {
    let all = series(&case.episode.course.measures, case.episode.operation.side);
    fold(
        "measures",
        &case.say("c-today-measures"),
        &essential(case, &all),
        &html! {
            p { a class="button" href={ "/e/" (case.id()) "/record#measure" } { (case.say("c-today-do-measure")) } }
            @if all.is_empty() { p { (case.say("c-today-no-measures")) } }
            @else {
                table class="stacked measures" {
                    caption class="unseen" { (case.say("c-today-measures")) }
                    thead { tr {
                        @for key in ["c-today-col-measure", "c-today-col-last", "c-today-col-change", "c-today-col-method"] {
                            th scope="col" { (case.say(key)) }
                        }
                    } }
                    tbody { @for it in &all { (row(case, it)) } }
                }
            }
            (sources(case, &all))
            (criteria_list(case))
        },
    )
}

/// Last values of the operated side, and where the criteria of the next phase stand.
fn essential(case: &Case<'_>, all: &[Series<'_>]) -> String {
    let words = case.words;
    let operated = Some(case.episode.operation.side);
    let last = all.iter().filter_map(|it| it.last()).map(|it| &it.fact);
    let mut out: Vec<String> = last
        .filter(|it| it.side.is_none() || it.side == operated)
        .map(|it| format!("{}: {}", capital(&quantity_name(words, &it.what)), measure_value(words, it)))
        .collect();
    if out.is_empty() {
        out.push(case.say("c-today-no-measures"));
    }
    out.extend(coming(case).iter().map(|it| {
        let state = words.text(&format!("c-today-state-{}", state_id(&it.state)), &[]);
        format!("{}: {}", capital(&state), words.quoted(&case.teller().criterion_name(&it.criterion)))
    }));
    out.join(" · ")
}

fn series(all: &[Numbered<Measure>], operated: Side) -> Vec<Series<'_>> {
    let mut out: Vec<Series<'_>> = Vec::new();
    for it in all {
        let same = |other: &Measure| {
            (&other.what, other.side, other.drive, &other.unit)
                == (&it.fact.what, it.fact.side, it.fact.drive, &it.fact.unit)
        };
        match out.iter_mut().find(|list| list.first().is_some_and(|first| same(&first.fact))) {
            Some(list) => list.push(it),
            None => out.push(vec![it]),
        }
    }
    // The operated side comes first.
    out.sort_by_key(|it| (it[0].fact.what.clone(), it[0].fact.side.map(|side| side != operated)));
    out
}

fn row(case: &Case<'_>, list: &Series<'_>) -> Markup {
    let words = case.words;
    let (Some(first), Some(last)) = (list.first(), list.last()) else { return html! {} };
    let (first, last) = (&first.fact, &last.fact);
    // Where the name of the quantity says how the joint was moved, it is not said again.
    let named = quantity(&last.what)
        .is_some_and(|it| matches!(it.kind, Kind::Angle { drive, .. } if !drive.is_empty()));
    let drive = last.drive.filter(|_| !named).map(|it| words.drive_name(it));
    html! {
        tr {
            th scope="row" {
                (capital(&measure_name(words, last)))
                @if let Some(drive) = drive { span class="block quiet small" { (drive) } }
            }
            td data-name=(case.say("c-today-col-last")) {
                strong { (measure_value(words, last)) } " " span class="quiet" { (words.date_short(last.on)) }
            }
            td data-name=(case.say("c-today-col-change")) {
                @if list.len() > 1 { (changed(case, first, last)) } @else { span class="quiet" { (case.say("c-today-measured-once")) } }
            }
            td data-name=(case.say("c-today-col-method")) class="small" {
                @if let Some(method) = &last.method { (method) ", " } (last.by)
                @if let Some(error) = quantity(&last.what).and_then(|it| it.error) {
                    span class="block quiet" {
                        (words.text("c-today-error", &[
                            ("error", words.number(error.value, 1).into()), ("unit", unit_word(words, error.unit).into()),
                            ("known", words.text(&format!("c-known-{}", error.known.id()), &[]).into()),
                        ]))
                    }
                } @else { span class="block quiet" { (case.say("c-today-error-none")) } }
            }
        }
    }
}

/// Where the errors come from.
fn sources(case: &Case<'_>, all: &[Series<'_>]) -> Markup {
    let mut list: Vec<(String, &str, String)> = Vec::new();
    for it in all.iter().filter_map(|it| it.first()) {
        let Some(error) = quantity(&it.fact.what).and_then(|it| it.error) else { continue };
        let known = case.words.text(&format!("c-known-{}", error.known.id()), &[]);
        let row = (capital(&quantity_name(case.words, &it.fact.what)), error.source, known);
        if !list.contains(&row) {
            list.push(row);
        }
    }
    html! {
        @if !list.is_empty() {
            details class="small" {
                summary { (case.say("c-today-error-sources")) }
                ul { @for (name, source, known) in &list { li { (name) ": " (source) " (" (known) ")" } } }
            }
        }
    }
}

/// The change since the first measurement, held against the error.
fn changed(case: &Case<'_>, first: &Measure, last: &Measure) -> String {
    let words = case.words;
    let since = words.date_short(first.on);
    if quantity(&last.what).is_some_and(|it| it.kind == Kind::Judged) {
        let args = [("value", measure_value(words, first).into()), ("since", since.into())];
        return words.text("c-today-was", &args);
    }
    let by = |by: f64| {
        let sign = if by > 0.0 { "+" } else { "" };
        format!("{sign}{} {}", words.number(by, 1), unit_word(words, &last.unit)).trim().to_string()
    };
    let found = quantity(&last.what).map(|it: &Quantity| change(it, first.value, last.value));
    let (key, size) = match found {
        Some(Change::WithinError { by, .. }) => ("c-today-change-within", by),
        Some(Change::Larger { by, .. }) => ("c-today-change-larger", by),
        Some(Change::ErrorNotKnown { by }) => ("c-today-change-unknown", by),
        None => ("c-today-change-unknown", last.value - first.value),
    };
    words.text(key, &[("by", by(size).into()), ("since", since.into())])
}

/// Criteria of the next phase that apply.
fn coming(case: &Case<'_>) -> Vec<CriterionState> {
    let (Ok(plan), Some(protocol)) = (case.plan, case.protocol) else { return Vec::new() };
    let next = plan.envelope.phase.index + 1;
    let mut all = criteria(case.episode, protocol, case.today);
    all.retain(|it| it.begins_index == next && it.state != State::NotApplicable);
    all
}

/// The end of the key of a state's name.
fn state_id(state: &State) -> &'static str {
    match state {
        State::Met { .. } => "met",
        State::NotMet { .. } => "not-met",
        State::Stale { .. } => "stale",
        State::NotMeasured => "not-measured",
        State::NeedsPerson => "needs-person",
        State::NeedsBothSides => "needs-both-sides",
        State::NotComparable { why, .. } => match why {
            NotUsable::OtherSide => "other-side",
            NotUsable::Unit => "other-unit",
            NotUsable::Drive => "other-drive",
            NotUsable::Implausible => "implausible",
        },
        State::NotApplicable => "not-applicable",
    }
}

/// Criteria of the phases to come. Meeting one opens nothing; a phase begins by a person's act.
fn criteria_list(case: &Case<'_>) -> Markup {
    let (Ok(plan), Some(protocol)) = (case.plan, case.protocol) else { return html! {} };
    let next = plan.envelope.phase.index + 1;
    let coming = coming(case);
    html! {
        @if let Some(phase) = protocol.phases.get(next) {
            h3 { (case.words.text("c-today-criteria-of", &[("phase", case.teller().phase(&phase.id).into())])) }
            @if coming.is_empty() { p { (case.say("c-today-criteria-none")) } }
            @else { ul class="criteria" { @for it in &coming { (criterion(case, it)) } } }
            p class="quiet small" { (case.say("c-today-criteria-act")) }
        }
    }
}

fn criterion(case: &Case<'_>, it: &CriterionState) -> Markup {
    let words = case.words;
    // Of what is judged the state says all; a "yes" beside a sentence with "no" in it can be read both ways.
    let amount = |value: f64| match it.threshold {
        Threshold::Judged => String::new(),
        _ => {
            let unit = unit_word(words, &it.unit);
            format!("{}, ", format!("{} {unit}", words.number(value, 1)).trim())
        }
    };
    let id = state_id(&it.state);
    let found = match &it.state {
        State::Met { value, on, near, .. } | State::NotMet { value, on, near, .. } => {
            Some((*value, *on, Some(*near)))
        }
        State::Stale { value, on, .. } => Some((*value, *on, None)),
        _ => None,
    };
    html! {
        li {
            span class="tag" { (words.text(&format!("c-today-state-{id}"), &[])) ":" } " "
            (case.teller().criterion_name(&it.criterion))
            @if let Some((value, on, near)) = found {
                " " span class="quiet" { "(" (amount(value)) (words.date_short(on)) ")" }
                @if matches!(near, Some(Near::WithinError { .. })) { " " (case.say("c-today-within-error")) }
            }
            @if !it.unanswered.is_empty() { " " span class="tag assumed" { (case.say("c-today-kept-unanswered")) } }
        }
    }
}
