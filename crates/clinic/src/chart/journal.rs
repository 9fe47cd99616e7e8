//! The journal of an episode: every entry, who wrote it, when it was recorded, when it was true. What was taken back
//! or replaced stays readable.

use std::collections::BTreeMap;

use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{Place, page as frame};
use crate::records;
use axum::extract::{Path, Query};
use handrail_episode::journal::decode;
use handrail_store::journal::{self, Filter, Record};
use jiff::tz::TimeZone;
use maud::{Markup, html};
use serde::Deserialize;

use crate::chart::facts::says;
use crate::chart::head::band;
use crate::chart::reasons::Teller;
use crate::chart::today::pages;
use handrail_words::capital;

/// Entries on one page.
const PAGE: u64 = 50;

/// What was asked for.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    /// Page, from 0, the newest first.
    page: Option<u64>,
    /// An entry: the page that it stands on.
    at: Option<u64>,
    /// Present: with who looked.
    views: Option<String>,
}

pub(crate) async fn page(
    desk: Desk,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "journal").await?;
    let views = asked.views.is_some();
    let newer = asked.at.map(|at| loaded.records.iter().filter(|it| it.number > at).count() as u64 / PAGE);
    let number = newer.or(asked.page).unwrap_or(0).min(100_000);
    let stream = id.clone();
    let mut list = desk
        .app
        .store()
        .read(move |tx| {
            let without: &[&str] = if views { &[] } else { &["view"] };
            // The newest entries up to the end of this page; the page is their last part.
            let limit = Some((number + 1) * PAGE + 1);
            journal::read(
                tx,
                &stream,
                Filter { without_kinds: without, newest_first: true, limit, ..Filter::default() },
            )
        })
        .await?;
    let more = list.len() as u64 > (number + 1) * PAGE;
    list.truncate(((number + 1) * PAGE) as usize);
    let list: Vec<Record> = list.into_iter().skip((number * PAGE) as usize).collect();
    // A correction may stand on another page than what it corrects.
    let gone: BTreeMap<u64, u64> =
        loaded.records.iter().filter_map(|it| Some((it.supersedes?, it.number))).collect();
    let words = desk.words();
    let title = desk.say("c-today-journal");
    let episode = &loaded.episode;
    let today = desk.app.today();
    Ok(frame(
        &desk,
        Place::None,
        &format!("{}: {title}", episode.patient.name),
        html! {
            link rel="stylesheet" href=(asset("today.css"));
            (band(words, episode, &title, today))
            p class="quiet" { (desk.say("c-today-journal-about")) }
            nav class="choice" aria-label=(desk.say("c-today-which-entries")) {
                a href={ "/e/" (id) "/journal" } aria-current=[(!views).then_some("true")] { (desk.say("c-today-journal-facts")) }
                a href={ "/e/" (id) "/journal?views=1" } aria-current=[views.then_some("true")] { (desk.say("c-today-journal-views")) }
            }
            ol class="journal" { @for it in &list { (entry(&desk, it, &gone, episode)) } }
            (pages(&desk, &format!("/e/{id}/journal?{}", if views { "views=1" } else { "" }), number, more))
        },
    ))
}

fn entry(desk: &Desk, it: &Record, gone: &BTreeMap<u64, u64>, episode: &handrail_episode::Episode) -> Markup {
    let words = desk.words();
    let library = desk.library();
    let teller = Teller::of(words, library, episode, desk.app.today());
    let lines = match decode(&it.kind, it.form, &it.payload) {
        Ok(fact) => says(&teller, &fact, episode.operation.side),
        Err(error) => vec![format!("{error:?}"), it.payload.clone()],
    };
    let zone: TimeZone = desk.app.config().zone.clone();
    let at = it.recorded.to_zoned_datetime(zone).datetime();
    let recorded = format!("{} {:02}:{:02}", words.date_short(at.date()), at.hour(), at.minute());
    let by = gone.get(&it.number);
    html! {
        li id={ "entry-" (it.number) } class=[by.map(|_| "gone")] {
            p class="entry-head" {
                strong { (it.number) ". " (words.text(&format!("c-today-kind-{}", it.kind), &[])) }
                span { (words.text("c-today-true-on", &[("date", words.date_short(it.on).into())])) }
                span class="quiet" {
                    (words.text("c-today-recorded-at", &[("at", recorded.into()), ("by", it.by.name.as_str().into())]))
                }
                @if let Some(other) = it.supersedes {
                    a href={ "?at=" (other) "#entry-" (other) } { (words.text("c-today-replaces", &[("n", (other as f64).into())])) }
                }
                @if let Some(other) = by {
                    a class="tag" href={ "?at=" (other) "#entry-" (other) } { (words.text("c-today-replaced-by", &[("n", (*other as f64).into())])) }
                }
            }
            @for line in &lines { p class="entry-says" { (capital(line)) } }
        }
    }
}
