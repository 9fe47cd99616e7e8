//! The page: who the patient is, the conflict if there is one, the board, what may be chosen, and the issue.

use crate::assets::asset;
use crate::gate::Desk;
use crate::layout::{Place, csrf, kept, page_with};
use crate::records::Loaded;
use handrail_anatomy::Side;
use handrail_protocol::Status;
use maud::{Markup, html};

use crate::program::board::{Piece, card, pieces, state, totals, usual};
use crate::program::changes::{against_last, conflict};
use crate::program::form::Form;
use crate::program::shelf::shelf;
use crate::program::study::Study;

/// Name of the draft of an episode's program.
pub fn draft_name(episode: &str) -> String {
    format!("program-{episode}")
}

/// Path of the screen.
pub fn path(episode: &str) -> String {
    format!("/e/{episode}/program")
}

/// Who the patient is and what stands on the day, as on every page about a patient.
pub fn head(desk: &Desk, loaded: &Loaded, study: &Study) -> Markup {
    let (words, episode) = (desk.words(), &loaded.episode);
    let envelope = &study.base.envelope;
    let teller = study.base.teller(words);
    let born =
        episode.patient.born.map_or_else(|| desk.say("c-program-not-known"), |it| words.date_short(it));
    let assumed: Vec<String> = envelope
        .in_force
        .iter()
        .filter(|it| it.status == Status::Assumed)
        .map(|it| format!("{}: {}", words.limit_on(&it.limit), words.limit_value(&it.limit)))
        .collect();
    let day = [
        ("date", words.date_short(envelope.on).into()),
        ("day", envelope.day.to_string().into()),
        ("week", envelope.week.to_string().into()),
    ];
    html! {
        header class="patient card" {
            div class="row" {
                a href={ "/e/" (loaded.id) } { strong { (episode.patient.name) } }
                span { (words.text("c-program-born", &[("date", born.into())])) }
                span class="side" { (side_words(desk, episode.operation.side)) }
                span { (words.operation_name(&episode.operation.protocol)) }
                span { (words.text("c-day", &day)) }
                span { (words.phase_name(&episode.operation.protocol, &envelope.phase.id)) }
            }
            @for it in &envelope.blocked { p class="small wrong" { (teller.blocked(it)) } }
            @if study.base.protocol().is_draft() { p class="small" { span class="tag assumed" { (desk.say("c-program-draft-protocol")) } " " (words.draft_notice()) } }
            details class="small" {
                summary {
                    @if !assumed.is_empty() { span class="tag assumed" { (words.text("c-program-assumed", &[("n", (assumed.len() as u32).into())])) } }
                    (desk.say("c-program-all-limits"))
                }
                @if !assumed.is_empty() {
                    p { strong { (words.text("c-program-assumed", &[("n", (assumed.len() as u32).into())])) } }
                    ul { @for it in assumed { li { (it) } } }
                }
                ul { @for it in &envelope.in_force { li { (teller.limit_line(it)) } } }
                p { strong { (desk.say("c-program-not-checked")) } }
                ul { @for it in words.not_checked_clinician() { li { (it) } } }
            }
        }
    }
}

/// The operated side in words.
pub fn side_words(desk: &Desk, side: Side) -> String {
    desk.words().text("c-program-side-words", &[("side", side.into())])
}

/// What stands above the form once: an answer to what was just done.
#[derive(Default)]
pub struct Notice {
    /// Markup.
    pub html: Markup,
    /// What was typed earlier and not sent is in the form.
    pub restored: Option<String>,
}

/// The whole page.
pub fn page(desk: &Desk, loaded: &Loaded, form: &Form, study: &Study, notice: &Notice) -> Markup {
    let words = desk.words();
    let title = words.text("c-program-title", &[("name", loaded.episode.patient.name.as_str().into())]);
    let here = path(&loaded.id);
    let body = html! {
        link rel="stylesheet" href=(asset("program.css"));
        h1 { (title) }
        (head(desk, loaded, study))
        (notice.html)
        @if let Some(at) = &notice.restored {
            div class="alert row apart" role="status" {
                p { (words.text("c-program-restored", &[("at", at.as_str().into())])) }
            }
        }
        form id="program" method="post" action=(here) data-draft=(draft_name(&loaded.id)) data-check={ (here) "/check" } data-tight={ (here) "/tight" }
            data-busy=(desk.say("c-program-checking")) data-failed=(desk.say("c-program-check-failed")) {
            (csrf(desk))
            // The first button of a form is the one that the Enter key presses.
            button class="unseen" name="do" value="check" tabindex="-1" { (desk.say("c-program-check")) }
            input type="hidden" name="seen" value=(form.seen);
            input type="hidden" name="kept" value=(form.kept);
            div id="conflict-place" { (conflict(desk, loaded, study, form.seen).unwrap_or_default()) }
            @if !form.kept.is_empty() {
                div class="alert row apart" {
                    p { (desk.say("c-program-own-kept")) }
                    button name="do" value="back" { (desk.say("c-program-own-back")) }
                }
            }
            div class="desk" {
                section class="stage" aria-labelledby="stage" {
                    div class="row apart" {
                        h2 id="stage" { (desk.say("c-program-session")) }
                        a class="to-shelf" href="#shelf" { (desk.say("c-program-to-shelf")) }
                    }
                    (propose_box(desk, &here, form, study))
                    (rhythm(desk, form, study))
                    ol id="board" class="board" aria-live="off" {
                        @for piece in pieces(desk, form, study) {
                            @match piece {
                                Piece::Way(way) => li class="way" { (way) },
                                Piece::Card(n) => @for row in form.rows.iter().filter(|it| it.n == n) { (card(desk, study, row, true)) },
                            }
                        }
                    }
                    div class="card" id="totals" aria-live="polite" { (totals(desk, form, study)) }
                    (issue_box(desk, loaded, &here, form, study))
                    (versions(desk, loaded))
                }
                aside class="shelf" aria-labelledby="shelf" {
                    h2 id="shelf" tabindex="-1" { (desk.say("c-program-shelf")) }
                    div class="find" data-find-box hidden {
                        label { (desk.say("c-program-find")) input type="search" data-find autocomplete="off"; }
                        p class="small quiet" role="status" data-found=(words.text("c-program-found", &[("n", "{n}".into())])) {}
                    }
                    div id="picks" { (shelf(desk, &study.base, form)) }
                }
            }
        }
        p class="small quiet" { (words.closing()) }
    };
    page_with(desk, Place::Patients, &title, &["program.js"], body)
}

fn rhythm(desk: &Desk, form: &Form, study: &Study) -> Markup {
    let dosage = &study.base.phase().dosage;
    html! {
        div class="dose card" role="group" aria-label=(desk.say("c-program-rhythm")) {
            label { (desk.say("c-program-times")) input name="times" value=(form.times) placeholder=(dosage.times_a_day) inputmode="numeric" maxlength="3" autocomplete="off"; (usual(desk, "c-program-usual-phase")) }
            label { (desk.say("c-program-days")) input name="days" value=(form.days) placeholder=(dosage.days_a_week) inputmode="numeric" maxlength="3" autocomplete="off"; (usual(desk, "c-program-usual-phase")) }
            p class="hint" { (desk.say("c-program-blank")) }
        }
    }
}

fn propose_box(desk: &Desk, here: &str, form: &Form, study: &Study) -> Markup {
    let words = desk.words();
    html! {
        details class="card propose" open[form.rows.is_empty()] {
            summary { (desk.say("c-program-propose-title")) }
            div class="fields" {
                label { (desk.say("c-program-propose-minutes")) input name="minutes" value=(form.minutes) inputmode="decimal" maxlength="5" autocomplete="off"; }
                label { (desk.say("c-program-propose-most")) input name="most" value=(form.most) placeholder=(study.base.phase().ceiling.max_exercises) inputmode="numeric" maxlength="3" autocomplete="off"; }
            }
            @if !form.without.is_empty() {
                fieldset { legend { (desk.say("c-program-propose-without")) }
                    @for id in &form.without { label class="tick" { input type="checkbox" name="without" value=(id) checked; (words.exercise_title(id, study.base.envelope.side)) } }
                }
            }
            p class="hint" { (desk.say("c-program-propose-hint")) }
            div { button formaction={ (here) "/propose" } { (desk.say("c-program-propose")) } }
        }
    }
}

fn issue_box(desk: &Desk, loaded: &Loaded, here: &str, form: &Form, study: &Study) -> Markup {
    let words = desk.words();
    let last = loaded.episode.valid_until(study.base.envelope.on, None);
    let until = if form.until.is_empty() { last.to_string() } else { form.until.clone() };
    let held = loaded.episode.held().map(|it| it.fact.1.version);
    html! {
        section class="card issue" aria-labelledby="issue" {
            h2 id="issue" { (words.text("c-program-issue-title", &[("n", study.program.version.into())])) }
            div id="changes" { (against_last(desk, loaded, study)) }
            label { (desk.say("c-program-until"))
                input type="date" name="until" value=(until) min=(study.base.envelope.on) max=(last);
                span class="hint" { (words.text("c-program-until-hint", &[("date", words.date_short(last).into())])) }
            }
            label class="tick" { input type="checkbox" name="sign" value="1" checked[form.sign]; (words.text("c-program-sign", &[("name", desk.staff.name.as_str().into())])) }
            p class="hint" { (desk.say("c-program-sign-hint")) }
            @if let Some(held) = held { p class="small" { (words.text("c-program-held", &[("n", held.into())])) } }
            p id="state" class="small" role="status" { (state(desk, study, is_late(loaded, form))) }
            div class="row" {
                button id="issue-button" class="main" formaction={ (here) "/issue" } disabled[!ready(loaded, form, study)] { (words.text("c-program-issue", &[("n", study.program.version.into())])) }
                button name="do" value="check" { (desk.say("c-program-check")) }
                button class="plain" name="do" value="discard" { (desk.say("c-program-discard")) }
                (kept(desk.words()))
            }
        }
    }
}

/// Whether the form may be issued as it stands.
pub fn ready(loaded: &Loaded, form: &Form, study: &Study) -> bool {
    study.problems.is_empty() && !is_late(loaded, form)
}

/// Whether program or limits were changed since the form was begun.
pub fn is_late(loaded: &Loaded, form: &Form) -> bool {
    !crate::program::basis::since(loaded, form.seen).is_empty()
}

/// All versions, newest first; all but the newest are marked superseded.
fn versions(desk: &Desk, loaded: &Loaded) -> Markup {
    let words = desk.words();
    let list = &loaded.episode.programs;
    let held = loaded.episode.held().map(|it| it.fact.1.version);
    html! {
        @if !list.is_empty() {
            details class="card" {
                summary { (words.text("c-program-versions", &[("n", (list.len() as u32).into())])) }
                div class="scroll" tabindex="0" role="region" aria-labelledby="versions" {
                    table {
                        caption id="versions" class="unseen" { (desk.say("c-program-versions-caption")) }
                        thead { tr { th scope="col" { (desk.say("c-program-version")) } th scope="col" { (desk.say("c-program-issued-on")) } th scope="col" { (desk.say("c-program-signed")) } th scope="col" { (desk.say("c-program-until")) } } }
                        tbody {
                            @for (index, it) in list.iter().enumerate().rev() {
                                tr {
                                    th scope="row" { (it.version)
                                        span class="small quiet state" {
                                            @match list.get(index + 1) { Some(next) => (words.text("c-program-superseded", &[("n", next.version.into())])), None => (desk.say("c-program-newest")) }
                                            @if held == Some(it.version) { " · " (desk.say("c-program-is-held")) }
                                        }
                                    }
                                    td { (words.date_short(it.issued)) ", " (it.by) }
                                    td { @match &it.signed_by { Some(by) => (by), None => span class="tag assumed" { (desk.say("c-program-draft")) } } }
                                    td { @if let Some(until) = it.valid_until { (words.date_short(until)) } }
                                }
                            }
                        }
                    }
                }
            }
        }
    }
}
