//! All patients: search and list. The front desk sees names, birth dates, therapist and operation, and no more.

use crate::Right;
use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{Place, page as frame};
use axum::extract::Query;
use handrail_progress::Summary;
use handrail_store::caseload;
use maud::{Markup, html};
use serde::Deserialize;

use crate::chart::head::{day_and_week, side_mark};
use crate::chart::today::{PAGE, is_clinical, pages};

/// What was asked for.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    /// Words of a name, record number or birth date.
    find: Option<String>,
    /// Page, from 0.
    page: Option<u64>,
    /// Present: those whose episode has ended.
    closed: Option<String>,
}

pub(crate) async fn page(desk: Desk, Query(asked): Query<Asked>) -> Result<Markup, Fault> {
    let find = asked.find.unwrap_or_default().trim().chars().take(100).collect::<String>();
    let (number, open) = (asked.page.unwrap_or(0).min(100_000), asked.closed.is_none());
    let text = find.clone();
    let mut found = desk
        .app
        .store()
        .read(move |tx| match text.as_str() {
            "" => caseload::list(tx, None, open, PAGE + 1, number * PAGE),
            text => caseload::search(tx, text, PAGE + 1),
        })
        .await?;
    let more = found.len() as u64 > PAGE;
    found.truncate(PAGE as usize);
    let words = desk.words();
    let title = desk.say("c-menu-patients");
    let path = if open { "/patients?" } else { "/patients?closed=1" };
    Ok(frame(
        &desk,
        Place::Patients,
        &title,
        html! {
            link rel="stylesheet" href=(asset("today.css"));
            h1 { (title) }
            form class="find" method="get" action="/patients" role="search" {
                label for="find" { (desk.say("c-today-find")) span class="hint" { " " (desk.say("c-today-find-hint")) } }
                div class="row" {
                    input id="find" type="search" name="find" value=(find) autofocus[find.is_empty()] maxlength="100";
                    button class="main" { (desk.say("c-today-find-go")) }
                }
            }
            @if find.is_empty() {
                nav class="choice" aria-label=(desk.say("c-today-which")) {
                    a href="/patients" aria-current=[open.then_some("true")] { (desk.say("c-today-open-episodes")) }
                    a href="/patients?closed=1" aria-current=[(!open).then_some("true")] { (desk.say("c-today-closed-episodes")) }
                }
            }
            @if found.is_empty() {
                p class="card" { (words.text("c-today-found-none", &[("find", find.as_str().into())])) }
            } @else {
                (table(&desk, &found))
            }
            @if find.is_empty() { (pages(&desk, path, number, more)) }
            @else if more { p class="alert care" { (words.text("c-today-found-many", &[("n", (PAGE as f64).into())])) } }
            @if !find.is_empty() { p { a href={ "/patients" } { (desk.say("c-today-find-all")) } } }
        },
    ))
}

fn table(desk: &Desk, found: &[caseload::Summary]) -> Markup {
    let words = desk.words();
    let (clinical, today) = (is_clinical(desk), desk.app.today());
    html! {
        table class="people" {
            caption class="unseen" { (desk.say("c-menu-patients")) }
            thead { tr {
                th scope="col" { (desk.say("c-today-col-name")) }
                th scope="col" { (desk.say("c-today-col-born")) }
                th scope="col" { (desk.say("c-today-col-operation")) }
                th scope="col" { (desk.say("c-today-col-therapist")) }
                th scope="col" { (desk.say("c-today-col-links")) }
            } }
            tbody { @for it in found { @let whole: Option<Summary> = serde_json::from_str(&it.body).ok(); tr {
                th scope="row" {
                    @if clinical { a href={ "/e/" (it.episode) } { (it.name) } } @else { (it.name) }
                    @if let Some(record) = &it.record { span class="quiet small block" { (record) } }
                }
                td data-name=(desk.say("c-today-col-born")) {
                    @if let Some(born) = it.born.as_deref().and_then(|it| it.parse().ok()) { (words.date_short(born)) }
                    @else { (desk.say("c-today-not-recorded")) }
                }
                td data-name=(desk.say("c-today-col-operation")) {
                    @if let Some(whole) = &whole { (side_mark(words, whole.side)) " " }
                    (words.operation_name(&it.protocol))
                    @if let Some(whole) = whole.as_ref().filter(|_| clinical) {
                        span class="quiet small block" { (day_and_week(words, whole.surgery, today)) }
                    }
                }
                td data-name=(desk.say("c-today-col-therapist")) { (it.therapist) }
                td class="links" {
                    @if clinical {
                        a class="button" href={ "/e/" (it.episode) "/limits" } {
                            (desk.say("c-today-limits")) span class="unseen" { ": " (it.name) }
                        }
                    }
                    @if desk.may(Right::Intake) {
                        a class="button" href={ "/e/" (it.episode) "/home" } {
                            (desk.say("c-today-patient-link")) span class="unseen" { ": " (it.name) }
                        }
                    }
                }
            } } }
        }
    }
}
