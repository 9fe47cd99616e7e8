//! Who needs attention and why, worst first: one line each, and nothing else.
//!
//! Reads the caseload only; no episode is folded here.

use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, page as frame, svg};
use crate::{Right, Role};
use axum::extract::Query;
use axum::response::{IntoResponse as _, Response};
use handrail_figures::timeline::{DiaryMark, SmallDay, SmallSize, SmallTimeline};
use handrail_progress::{Attention, DayState, Summary, TinyDay};
use handrail_protocol::{day_after_surgery, week_of_day};
use handrail_store::caseload::{self, AttentionRow};
use handrail_words::Words;
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Deserialize;

use crate::chart::head::side_mark;
use crate::chart::reasons::{Teller, mark, tag, to_do};

/// Lines on one page.
pub(crate) const PAGE: u64 = 50;

/// What was asked for.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    /// `mine` or `all`; without it, those of the person who asks, if the person treats.
    whose: Option<String>,
    /// Page, from 0.
    page: Option<u64>,
}

/// A line of the list.
struct Line {
    id: String,
    name: String,
    /// `None` when the line was written by another version of the program: the name and the reasons still show.
    whole: Option<Summary>,
    rows: Vec<AttentionRow>,
}

/// The first page; who reads no records is sent to what they may see.
pub(crate) async fn first(desk: Desk, asked: Query<Asked>) -> Result<Response, Fault> {
    if desk.may(Right::Record) {
        return Ok(page(desk, asked).await?.into_response());
    }
    Ok(see_other(if desk.may(Right::Names) { "/patients" } else { "/settings" }))
}

async fn page(desk: Desk, Query(asked): Query<Asked>) -> Result<Markup, Fault> {
    let treats = matches!(desk.staff.role, Role::Therapist | Role::ClinicLead);
    let mine = asked.whose.as_deref().map_or(treats, |it| it == "mine");
    let number = asked.page.unwrap_or(0).min(100_000);
    let (today, whose) = (desk.app.today(), mine.then(|| desk.staff.name.clone()));
    let day = today.to_string();
    // One more than a page tells whether there is another.
    let mut found = desk
        .app
        .store()
        .read(move |tx| caseload::today(tx, &day, whose.as_deref(), PAGE + 1, number * PAGE))
        .await?;
    let more = found.len() as u64 > PAGE;
    found.truncate(PAGE as usize);
    let lines: Vec<Line> = found
        .into_iter()
        .map(|(it, rows)| Line {
            whole: serde_json::from_str(&it.body).ok(),
            id: it.episode,
            name: it.name,
            rows,
        })
        .collect();
    let words = desk.words();
    let title = desk.say("c-today-title");
    let heading = format!("{title}, {}", words.date_long(today));
    Ok(frame(
        &desk,
        Place::Today,
        &title,
        html! {
            link rel="stylesheet" href=(asset("today.css"));
            div class="row apart" {
                h1 { (heading) }
                (choice(&desk, mine))
            }
            @if lines.is_empty() {
                p class="card" { (desk.say(if mine { "c-today-none-mine" } else { "c-today-none" })) }
            } @else {
                (strip_key(words))
                ol class="lines" start=(number * PAGE + 1) {
                    @for (at, it) in lines.iter().enumerate() { (line(&desk, it, at, today)) }
                }
            }
            @if !more && !lines.is_empty() { p class="quiet" { (desk.say("c-today-nothing-else")) } }
            (pages(&desk, &format!("/?whose={}", if mine { "mine" } else { "all" }), number, more))
        },
    ))
}

/// Whose patients.
fn choice(desk: &Desk, mine: bool) -> Markup {
    html! {
        nav class="choice" aria-label=(desk.say("c-today-whose")) {
            a href="/?whose=mine" aria-current=[mine.then_some("true")] { (desk.say("c-today-mine")) }
            a href="/?whose=all" aria-current=[(!mine).then_some("true")] { (desk.say("c-today-all")) }
        }
    }
}

/// Links to the page before and after.
pub(crate) fn pages(desk: &Desk, path: &str, number: u64, more: bool) -> Markup {
    html! {
        @if number > 0 || more {
            nav class="row" aria-label=(desk.say("c-today-pages")) {
                @if let Some(before) = number.checked_sub(1) {
                    a class="button" href={ (path) "&page=" (before) } rel="prev" { (desk.say("c-today-page-before")) }
                }
                @if more {
                    a class="button" href={ (path) "&page=" (number + 1) } rel="next" { (desk.say("c-today-page-next")) }
                }
            }
        }
    }
}

fn line(desk: &Desk, it: &Line, at: usize, today: Date) -> Markup {
    let words = desk.words();
    let library = desk.library();
    let protocol = it.whole.as_ref().map_or("", |it| it.protocol.as_str());
    let teller = Teller::new(words, library, protocol, today);
    let reasons: Vec<Attention> =
        it.rows.iter().filter_map(|row| serde_json::from_str(&row.detail).ok()).collect();
    let mut others: Vec<&str> = it.rows.iter().skip(1).map(|it| it.reason.as_str()).collect();
    others.dedup();
    others.retain(|id| it.rows.first().is_none_or(|first| first.reason != *id));
    html! {
        li class={ "line " (reasons.first().map_or("plain", |it| mark(it.reason))) } {
            div class="line-who" {
                a class="line-name" href={ "/e/" (it.id) } { (it.name) }
                @if let Some(whole) = &it.whole { (who(words, whole, today)) }
            }
            div class="line-why" {
                @if let Some(worst) = reasons.first() {
                    p { strong { (tag(words, worst.reason.id())) ": " } (teller.sentence(worst)) }
                } @else if let Some(row) = it.rows.first() {
                    p { strong { (tag(words, &row.reason)) } }
                }
                @if !others.is_empty() {
                    ul class="tags" aria-label=(words.text("c-today-also", &[])) {
                        @for id in &others { li class="tag" { (tag(words, id)) } }
                    }
                }
            }
            div class="line-strip" { @if let Some(whole) = &it.whole { (strip(words, whole, at, today)) } }
            div class="line-do" {
                @if let Some(worst) = reasons.first() {
                    @let (key, act) = to_do(worst);
                    @if desk.may(act.right()) {
                        a class="button main" href=(act.path(&it.id)) {
                            (words.text(key, &[])) span class="unseen" { ": " (it.name) }
                        }
                    }
                }
                a class="button" href={ "/e/" (it.id) "/limits" } {
                    (words.text("c-today-limits", &[])) span class="unseen" { ": " (it.name) }
                }
            }
        }
    }
}

/// Side, operation, day and week.
fn who(words: &Words, whole: &Summary, today: Date) -> Markup {
    let day = day_after_surgery(whole.surgery, today);
    html! {
        span class="line-what" {
            (side_mark(words, whole.side)) " " (words.operation_name(&whole.protocol))
        }
        span class="quiet small" {
            (words.text("c-today-day", &[("day", f64::from(day).into()), ("week", f64::from(week_of_day(day)).into())]))
            @if whole.closed.is_some_and(|it| it <= today) { " · " (words.text("c-today-closed", &[])) }
        }
    }
}

/// The small timeline of the last two weeks.
pub(crate) fn strip(words: &Words, whole: &Summary, at: usize, today: Date) -> Markup {
    let days = whole.tiny_on(today);
    let visit_in = whole.next_visit.map(|it| day_after_surgery(today, it)).filter(|it| (0..=7).contains(it));
    let mut picture = SmallTimeline {
        title: words.text("c-today-strip-title", &[("name", whole.name.as_str().into())]),
        description: String::new(),
        days: days.iter().map(small_day).collect(),
        visit_in: visit_in.map(|it| it as u8),
    };
    picture.description = description(words, &picture);
    // A strip that cannot be drawn is left out; the line says in words why the patient is on it.
    picture.svg(&format!("strip-{at}"), SmallSize::Wide).map_or_else(|_| html! {}, |it| svg(&it))
}

fn small_day(it: &TinyDay) -> SmallDay {
    SmallDay {
        diary: match it.state {
            DayState::Done | DayState::Extra => DiaryMark::Done,
            // A diary that does not say what was done is not counted as all of it.
            DayState::Partly | DayState::NotDone | DayState::Told => DiaryMark::Partly,
            DayState::Missing => DiaryMark::Missing,
            DayState::NotPlanned | DayState::Due => DiaryMark::NonePlanned,
        },
        pain: it.pain.map(|it| it.min(10)),
        warning: it.sign.is_some(),
        new_version: it.version.is_some(),
    }
}

fn description(words: &Words, picture: &SmallTimeline) -> String {
    let counts = picture.counts();
    let number = |it: usize| handrail_words::Arg::from(it as f64);
    let mut out = vec![words.text(
        "c-today-strip-days",
        &[
            ("days", number(counts.days)),
            ("done", number(counts.done)),
            ("partly", number(counts.partly)),
            ("missing", number(counts.missing)),
        ],
    )];
    if let (Some(latest), Some(highest), Some(ago)) =
        (counts.pain_latest, counts.pain_highest, counts.pain_latest_days_ago)
    {
        let args = [
            ("latest", f64::from(latest).into()),
            ("highest", f64::from(highest).into()),
            ("ago", number(ago)),
        ];
        out.push(words.text("c-today-strip-pain", &args));
    }
    if let Some(ago) = counts.last_warning_days_ago {
        out.push(words.text("c-today-strip-warning", &[("ago", number(ago))]));
    }
    if let Some(visit) = counts.visit_in {
        out.push(words.text("c-today-strip-visit", &[("in", f64::from(visit).into())]));
    }
    out.join(" ")
}

/// What the signs of the small timeline mean.
fn strip_key(words: &Words) -> Markup {
    html! {
        details class="strip-key small" {
            summary { (words.text("c-today-key", &[])) }
            p { (words.text("c-today-key-text", &[])) }
        }
    }
}

/// Rights by which a line shows clinical content.
pub(crate) fn is_clinical(desk: &Desk) -> bool {
    desk.may(Right::Record)
}
