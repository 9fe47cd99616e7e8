//! `GET /content/protocol/{id}`: phases, restrictions over the weeks, criteria, and where sources differ.

use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{self, Place, fold, fold_wide, page, said};
use crate::rights::Right;
use axum::extract::{Path, RawQuery};
use axum::response::{IntoResponse, Response};
use handrail_anatomy::Side;
use handrail_protocol::{Basis, Ceiling, Condition, Dosage, Ends, Phase, Protocol, Restriction, Threshold};
use handrail_words::{Words, capital};
use maud::{Markup, html};

use crate::content::figure::query_of;
use crate::content::library::{Kind, Origin, Shelf};
use crate::content::parts::{basis, notices, origin_word, path, say, state, style, tell};
use crate::content::weeks::{timeline, weeks};
use crate::content::{affected, sign};

/// The page.
pub async fn page_of(
    desk: Desk,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let shelf = &in_use.shelf;
    let words = shelf.words(desk.lang);
    let protocol = shelf.protocol(&id).ok_or(Fault::NotFound)?;
    let title = words.operation_name(&id);
    let saved = query_of(query).ticked("saved");
    let open = if saved { affected::open(&desk.app, &id).await? } else { Vec::new() };
    let body = html! {
        (style())
        (head(&desk, shelf, protocol, &title))
        (notices(&desk, words, in_use.refused().as_deref()))
        @if saved { (affected::after_saving(&desk, words, &open)) }
        (variants(words, protocol))
        (phases(shelf, words, protocol))
        (fold_wide("restrictions-title", &say(words, "restrictions"), &counted(protocol.restrictions.len()), &html! {
            (timeline(words, protocol))
            (restrictions(words, protocol))
        }))
        (criteria(words, protocol))
        (milestones(words, protocol))
        (precautions(words, protocol))
        (spreads(words, protocol))
        (sources(words, protocol))
        (sign::part(&desk, shelf, Kind::Protocol, &id))
        details class="card" {
            summary { (say(words, "as-written")) }
            @if let Some(it) = shelf.layers.protocols.get(&id) { pre lang="en" tabindex="0" { (it.source.text) } }
        }
    };
    Ok(page(&desk, Place::Content, &title, body).into_response())
}

fn head(desk: &Desk, shelf: &Shelf, protocol: &Protocol, title: &str) -> Markup {
    let words = shelf.words(desk.lang);
    let id = &protocol.id;
    let origin = shelf.layers.protocols.get(id).map_or(&Origin::BuiltIn, |it| &it.origin);
    let protects: Vec<String> = protocol.protects.iter().map(|it| words.tissue_name(*it)).collect();
    html! {
        nav class="crumbs" aria-label=(say(words, "crumbs")) { a href="/content" { (say(words, "title")) } }
        div class="row apart" {
            h1 { (title) }
            @if desk.may(Right::WriteContent) {
                div class="row" {
                    a class="button" href={ (path(Kind::Protocol, id)) "/edit" } { (say(words, "change")) }
                    a class="button" href={ "/content/protocol/new?from=" (id) } { (say(words, "new-from")) }
                }
            }
        }
        p class="row" {
            (state(words, shelf, Kind::Protocol, id))
            span class="quiet" { code { (id) } " · " (tell(words, "version", &[("v", protocol.version.as_str().into())])) " · " (origin_word(words, origin)) }
        }
        @if !protects.is_empty() { p { b { (say(words, "protects")) } " " (words.all_of(&protects)) } }
        @if shelf.signed(Kind::Protocol, id).is_none() {
            (layout::alert("care", html! { p { (say(words, "draft-notice")) } }))
        }
    }
}

/// "only if graft: hamstring or allograft".
fn condition(words: &Words, only_if: &Condition) -> Markup {
    let name = |prefix: &str, id: &str| {
        words
            .try_text(&format!("{prefix}-{}", id.replace('_', "-")), &[])
            .unwrap_or_else(|| id.replace('_', " "))
    };
    html! {
        @for (variant, answers) in only_if {
            @let answers: Vec<String> = answers.iter().map(|it| name("c-choice", it)).collect();
            div class="small" { b { (tell(words, "only-if", &[("variant", name("c-variant", variant).into()), ("answers", answers.join(" / ").into())])) } }
        }
    }
}

/// "12", the essential of a list that is folded.
fn counted(n: usize) -> String {
    n.to_string()
}

fn variants(words: &Words, protocol: &Protocol) -> Markup {
    let name = |prefix: &str, id: &str| words.try_text(&format!("{prefix}-{}", id.replace('_', "-")), &[]);
    html! {
        @if !protocol.variants.is_empty() {
            (fold("variants-title", &say(words, "variants"), &counted(protocol.variants.len()), &html! {
                ul { @for it in &protocol.variants { li {
                    b { (name("c-question", &it.name).unwrap_or_else(|| it.question.clone())) } " "
                    @let choices: Vec<String> = it.choices.iter().map(|it| name("c-choice", it).unwrap_or_else(|| it.replace('_', " "))).collect();
                    (choices.join(" / ")) ". " (basis(words, &it.basis))
                } } }
            }))
        }
    }
}

fn amount(words: &Words, sets: u32, reps: u32, times: u32, days: u32) -> String {
    tell(
        words,
        "amount",
        &[("sets", sets.into()), ("reps", reps.into()), ("times", times.into()), ("days", days.into())],
    )
}

fn dosage(words: &Words, it: &Dosage) -> Markup {
    html! { (amount(words, it.sets, it.reps, it.times_a_day, it.days_a_week)) div class="small" { (basis(words, &it.basis)) } }
}

fn ceiling(words: &Words, it: &Ceiling) -> Markup {
    html! {
        (amount(words, it.sets, it.reps, it.times_a_day, it.days_a_week)) ", "
        (tell(words, "most-exercises", &[("n", it.max_exercises.into())]))
        div class="small" { (basis(words, &it.basis)) }
    }
}

fn phases(shelf: &Shelf, words: &Words, protocol: &Protocol) -> Markup {
    let exercise = |id: &String| {
        let title = words.exercise_title(id, Side::Left);
        html! { @if shelf.library.exercises.contains_key(id) { a href=(path(Kind::Exercise, id)) { (title) } } @else { (title) } }
    };
    let names: Vec<String> =
        protocol.phases.iter().map(|it| words.phase_name(&protocol.id, &it.id)).collect();
    let one = |index: usize, it: &Phase| {
        let goals: Vec<String> = it.goals.iter().map(|it| words.goal_name(*it)).collect();
        html! {
            li class="card" {
                h3 { (index + 1) ". " (words.phase_name(&protocol.id, &it.id)) " " span class="small quiet" { (said(words, &it.title)) } }
                p { b { (weeks(words, it.from_week, it.to_week)) } " " span class="small quiet" { (say(words, "begins-by-act")) } }
                dl class="facts" {
                    div { dt { (say(words, "goals")) } dd { (words.all_of(&goals)) } }
                    div { dt { (say(words, "dosage")) } dd { (dosage(words, &it.dosage)) } }
                    div { dt { (say(words, "ceiling")) } dd { (ceiling(words, &it.ceiling)) } }
                    @if !it.exercises.is_empty() {
                        div { dt { (say(words, "first-choices")) } dd { @for (n, id) in it.exercises.iter().enumerate() { @if n > 0 { " · " } (exercise(id)) } } }
                    }
                }
            }
        }
    };
    html! {
        (fold_wide("phases-title", &say(words, "phases"), &names.join(" · "), &html! {
            ol class="cards plain" { @for (index, it) in protocol.phases.iter().enumerate() { (one(index, it)) } }
        }))
    }
}

fn ends(words: &Words, protocol: &Protocol, it: &Restriction) -> String {
    match it.ends {
        Ends::Release => say(words, "ends-release"),
        Ends::Week => say(words, "ends-week"),
        Ends::Phase(index) => {
            let phase =
                protocol.phases.get(index).map_or(String::new(), |it| words.phase_name(&protocol.id, &it.id));
            let args = [("n", (index as f64 + 1.0).into()), ("phase", words.quoted(&phase).into())];
            tell(words, "ends-phase", &args)
        }
    }
}

fn restrictions(words: &Words, protocol: &Protocol) -> Markup {
    html! {
        div class="scroll" tabindex="0" role="group" aria-label=(say(words, "restrictions")) {
            table class="wide stacked" {
                caption { (say(words, "restrictions-caption")) }
                thead { tr {
                    th scope="col" { (say(words, "limit")) } th scope="col" { (say(words, "when")) }
                    th scope="col" { (say(words, "ends")) } th scope="col" { (say(words, "source")) }
                } }
                tbody { @for it in &protocol.restrictions { tr id={ "r-" (it.id) } {
                    th scope="row" { (capital(&words.limit_on(&it.limit))) ": " (words.limit_value(&it.limit)) div class="small quiet" { code { (it.id) } } (condition(words, &it.only_if)) }
                    td data-name=(say(words, "when")) { (weeks(words, it.from_week, it.to_week)) }
                    td data-name=(say(words, "ends")) { (ends(words, protocol, it)) }
                    td class="small" data-name=(say(words, "source")) {
                        (basis(words, &it.basis))
                        @if let Some(note) = &it.note { div { b { (say(words, "note")) } " " (said(words, note)) } }
                        @if protocol.spreads_of(&it.id).next().is_some() { div { a href="#spreads-title" { (say(words, "differ")) } } }
                    }
                } } }
            }
        }
    }
}

fn criteria(words: &Words, protocol: &Protocol) -> Markup {
    let threshold = |it: &handrail_protocol::Criterion| match it.threshold {
        Threshold::AtLeast(n) => {
            tell(words, "at-least", &[("n", words.number(n, 2).into()), ("unit", it.unit.as_str().into())])
        }
        Threshold::AtMost(n) => {
            tell(words, "at-most", &[("n", words.number(n, 2).into()), ("unit", it.unit.as_str().into())])
        }
        Threshold::Judged => say(words, "judged"),
    };
    html! {
        (fold("criteria-title", &say(words, "criteria"), &counted(protocol.criteria.len()), &html! {
            div class="scroll" tabindex="0" role="group" aria-labelledby="criteria-title" {
                table class="wide stacked" {
                    caption { (say(words, "criteria-caption")) }
                    thead { tr {
                        th scope="col" { (say(words, "opens")) } th scope="col" { (say(words, "criterion")) }
                        th scope="col" { (say(words, "threshold")) } th scope="col" { (say(words, "source")) }
                    } }
                    tbody { @for it in &protocol.criteria { tr {
                        th scope="row" { (it.begins + 1) ". " @if let Some(phase) = protocol.phases.get(it.begins) { (words.phase_name(&protocol.id, &phase.id)) } }
                        td data-name=(say(words, "criterion")) { (said(words, &it.says)) div class="small quiet" { code { (it.id) } } (condition(words, &it.only_if)) }
                        td data-name=(say(words, "threshold")) { (threshold(it)) }
                        td class="small" data-name=(say(words, "source")) { (basis(words, &it.basis)) }
                    } } }
                }
            }
        }))
    }
}

fn milestones(words: &Words, protocol: &Protocol) -> Markup {
    html! {
        @if !protocol.milestones.is_empty() {
            (fold("milestones-title", &say(words, "milestones"), &counted(protocol.milestones.len()), &html! {
                div class="scroll" tabindex="0" role="group" aria-labelledby="milestones-title" {
                    table class="wide stacked" {
                        caption { (say(words, "milestones-caption")) }
                        thead { tr {
                            th scope="col" { (say(words, "motion")) } th scope="col" { (say(words, "driven")) } th scope="col" { (say(words, "reaches")) }
                            th scope="col" { (say(words, "by-week")) } th scope="col" { (say(words, "source")) }
                        } }
                        tbody { @for it in &protocol.milestones { tr {
                            th scope="row" { (words.motion_name(it.joint, it.direction)) (condition(words, &it.only_if)) }
                            td data-name=(say(words, "driven")) { (words.drive_name(it.drive)) }
                            td data-name=(say(words, "reaches")) { (tell(words, "at-least", &[("n", words.number(it.at_least_deg, 1).into()), ("unit", words.text("c-unit-deg", &[]).into())])) }
                            td data-name=(say(words, "by-week")) { (it.by_week) }
                            td class="small" data-name=(say(words, "source")) { (basis(words, &it.basis)) }
                        } } }
                    }
                }
            }))
        }
    }
}

fn precautions(words: &Words, protocol: &Protocol) -> Markup {
    html! {
        @if !protocol.precautions.is_empty() {
            (fold("precautions-title", &say(words, "precautions"), &counted(protocol.precautions.len()), &html! {
                ul { @for it in &protocol.precautions { li {
                    b { (weeks(words, it.from_week, it.to_week)) } ": " (said(words, &it.says)) " " (condition(words, &it.only_if))
                    div class="small" { (basis(words, &it.basis)) }
                } } }
            }))
        }
    }
}

fn spreads(words: &Words, protocol: &Protocol) -> Markup {
    let concerns = |id: &str| {
        html! { @if protocol.restriction(id).is_some() { a href={ "#r-" (id) } { (id) } } @else { (id) } " " }
    };
    html! {
        (fold("spreads-title", &say(words, "spreads"), &counted(protocol.spreads.len()), &html! {
            p { (say(words, "spreads-lead")) }
            @for it in &protocol.spreads {
                div class="card" {
                    h3 { (said(words, &it.topic)) }
                    ul class="statements" { @for one in &it.statements { li {
                        p { (said(words, &one.says)) }
                        p class="small" { (source_of(words, &one.basis)) }
                    } } }
                    p { b { (say(words, "taken")) } " " (said(words, &it.taken)) }
                    p class="small quiet" { (say(words, "concerns")) " " @for id in &it.concerns { (concerns(id)) } }
                }
            }
        }))
    }
}

fn source_of(words: &Words, it: &Basis) -> Markup {
    basis(words, it)
}

fn sources(words: &Words, protocol: &Protocol) -> Markup {
    html! {
        details class="card" {
            summary { (say(words, "sources")) }
            dl class="facts" { @for (key, source) in &protocol.sources { div { dt { code { (key) } } dd lang="en" { (source) } } } }
        }
    }
}
