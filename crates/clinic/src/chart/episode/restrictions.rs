//! Restrictions as a table: limit in words, on whose word, source, since when, until what act; what changes next.

use handrail_protocol::{ActNeeded, Change, ChangeWhat, InForce, Need, Status};
use maud::{Markup, html};

use super::{Case, status_tag};
use crate::chart::reasons::Teller;
use crate::layout::{fold_wide, said};
use handrail_words::capital;

pub(super) fn section(case: &Case<'_>) -> Markup {
    let Ok(plan) = case.plan else { return html! {} };
    let (words, envelope) = (case.words, &plan.envelope);
    let limits: Vec<String> = envelope
        .in_force
        .iter()
        .map(|it| {
            // What is assumed or overdue is seen without opening.
            let assumed = (it.status == Status::Assumed).then(|| words.status_clinician(it.status));
            let marks: Vec<String> =
                assumed.into_iter().chain(it.overdue.then(|| case.say("c-today-overdue"))).collect();
            let marks = if marks.is_empty() { String::new() } else { format!(" ({})", marks.join("; ")) };
            format!("{}: {}{marks}", words.limit_on(&it.limit), words.limit_value(&it.limit))
        })
        .collect();
    let body = html! {
            p class="quiet small" { (said(case.words, &plan.protocol.title)) ", " (words.text("c-today-version", &[("version", plan.protocol.version.as_str().into())])) }
            @if envelope.in_force.is_empty() { p { (case.say("c-today-nothing-recorded")) } }
            @else {
                table class="stacked restrictions" {
                    caption class="unseen" { (case.say("c-today-restrictions")) }
                    thead { tr {
                        th scope="col" { (case.say("c-today-col-limit")) }
                        th scope="col" { (case.say("c-today-col-status")) }
                        th scope="col" { (case.say("c-today-col-since")) }
                        th scope="col" { (case.say("c-today-col-until")) }
                    } }
                    tbody { @for it in &envelope.in_force { (row(case, it)) } }
                }
            }
            @if !envelope.lifted.is_empty() {
                details {
                    summary { (words.text("c-today-lifted", &[("n", (envelope.lifted.len() as u32).into())])) }
                    ul { @for it in &envelope.lifted { li {
                        (capital(&case.teller().limit_name(&it.id))) ": " (words.date_short(it.on)) ", " (it.by)
                        @for more in it.document.iter().chain(&it.reason) { ", " (more) }
                    } } }
                }
            }
            @if !envelope.next.is_empty() {
                h3 { (case.say("c-today-next")) }
                (next(&case.teller(), &envelope.next))
            }
            @if !envelope.precautions.is_empty() {
                h3 { (case.say("c-today-precautions")) }
                ul { @for it in &envelope.precautions { li { (said(case.words, &it.says)) } } }
                details class="small source" {
                    summary { (case.say("c-record-source-of")) span class="unseen" { ": " (case.say("c-today-precautions")) } }
                    ul { @for it in &envelope.precautions { li {
                        (said(case.words, &it.says)) " (" (it.basis.source) "; " (words.known_word(it.basis.known)) ")"
                    } } }
                }
            }
    };
    fold_wide("restrictions", &case.say("c-today-restrictions"), &limits.join(" · "), &body)
}

fn row(case: &Case<'_>, it: &InForce) -> Markup {
    let words = case.words;
    html! {
        tr class=[it.overdue.then_some("overdue")] {
            th scope="row" {
                (words.limit_on(&it.limit)) ": " (words.limit_value(&it.limit))
                @for gone in &it.superseded {
                    span class="block quiet small" {
                        (words.text("c-today-in-place-of", &[("limit", words.limit_value(&gone.limit).into())]))
                    }
                }
                @if !it.unanswered.is_empty() {
                    span class="block" { span class="tag assumed" { (case.say("c-today-kept-unanswered")) } }
                }
            }
            td data-name=(case.say("c-today-col-status")) {
                (status_tag(words, it.status))
                @if let Some(by) = &it.by { " " span class="small" { (by) } }
                details class="small source" {
                    summary { (case.say("c-record-source-of")) span class="unseen" { ": " (words.limit_on(&it.limit)) } }
                    p {
                        (it.source)
                        @if let Some(known) = it.known { " (" (words.known_word(known)) ")" }
                        @if let Some(document) = it.document.as_ref().filter(|other| **other != it.source) { "; " (document) }
                        @if let Some(basis) = &it.basis { "; " (said(words, basis)) }
                    }
                    @if let Some(note) = &it.note { p class="quiet" { (said(words, note)) } }
                }
            }
            td data-name=(case.say("c-today-col-since")) { (words.date_short(it.since)) }
            td data-name=(case.say("c-today-col-until")) {
                (until(&case.teller(), it))
                @if it.overdue { span class="block" { span class="tag stop" { (case.say("c-today-overdue")) } } }
            }
        }
    }
}

/// Until what act, with the names of things instead of their ids.
pub(crate) fn until(teller: &Teller<'_>, it: &InForce) -> String {
    let words = teller.words;
    let mut out = vec![match &it.until.act {
        ActNeeded::None => words.text("c-today-until-day", &[]),
        ActNeeded::Release(_) => words.text("c-today-until-release", &[]),
        ActNeeded::BeginPhase(id) => words.text("c-today-until-phase", &[("phase", teller.phase(id).into())]),
    }];
    if let Some(date) = it.until.earliest {
        out.push(words.text("c-not-before", &[("date", words.date_short(date).into())]));
    }
    if !it.until.criteria.is_empty() {
        out.push(words.text("c-today-and-criteria", &[("n", (it.until.criteria.len() as u32).into())]));
    }
    capital(&out.join(", "))
}

/// The next changes; those of one day that need the same stand together.
pub(crate) fn next(teller: &Teller<'_>, all: &[Change]) -> Markup {
    let words = teller.words;
    let mut groups: Vec<(&Change, Vec<String>)> = Vec::new();
    for it in all {
        let says = change(teller, it);
        match groups
            .iter_mut()
            .find(|(first, _)| (first.on, first.due, &first.needs) == (it.on, it.due, &it.needs))
        {
            Some((_, list)) => list.push(says),
            None => groups.push((it, vec![says])),
        }
    }
    html! {
        ul class="next" { @for (first, list) in &groups {
            li {
                strong {
                    @if first.due { (words.text("c-today-due-now", &[])) }
                    @else { (words.text("c-today-from", &[("date", words.date_short(first.on).into())])) }
                } " "
                @if first.needs.is_empty() { (words.text("c-needs-nothing", &[])) }
                @else {
                    @let needs: Vec<String> = first.needs.iter().map(|it| need(teller, it)).collect();
                    (words.text("c-needs", &[("needs", words.all_of(&needs).into())]))
                }
                ul { @for it in list { li { (it) } } }
            }
        } }
    }
}

fn change(teller: &Teller<'_>, it: &Change) -> String {
    let words = teller.words;
    capital(&match &it.what {
        ChangeWhat::Starts { limit, .. } => {
            let limit = format!("{} ({})", words.limit_on(limit), words.limit_value(limit));
            words.text("c-today-change-starts", &[("limit", limit.into())])
        }
        ChangeWhat::Steps { from, limit, .. } => {
            let args = [("from", teller.limit_text(from).into()), ("to", words.limit_value(limit).into())];
            words.text("c-today-change-steps", &args)
        }
        ChangeWhat::Ends { id } => {
            words.text("c-today-change-ends", &[("limit", teller.limit_text(id).into())])
        }
        ChangeWhat::Phase { id } => words.text("c-today-change-phase", &[("phase", teller.phase(id).into())]),
    })
}

fn need(teller: &Teller<'_>, it: &Need) -> String {
    let words = teller.words;
    match it {
        Need::Criterion(id) => {
            words.text("c-today-need-criterion", &[("criterion", teller.criterion_name(id).into())])
        }
        Need::Act(ActNeeded::Release(_)) => words.text("c-today-need-release", &[]),
        Need::Act(ActNeeded::BeginPhase(id)) => {
            words.text("c-today-need-phase", &[("phase", teller.phase(id).into())])
        }
        Need::Act(ActNeeded::None) => words.text("c-need-act-none", &[("about", "".into())]),
    }
}
