//! `GET /content`: all exercises and protocols with their state; `GET /content/waiting`: what nobody has signed.

use std::collections::BTreeSet;

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::Desk;
use crate::layout::{Place, fold_wide, page};
use crate::rights::Right;
use axum::extract::RawQuery;
use axum::response::{IntoResponse, Response};
use handrail_anatomy::Side;
use handrail_motion::Motion;
use handrail_motion::compile::REGIONS;
use handrail_protocol::Protocol;
use handrail_store::caseload::fold;
use handrail_words::{Words, capital};
use maud::{Markup, html};

use crate::content::exercise::region;
use crate::content::figure::query_of;
use crate::content::library::{Kind, Origin, Shelf};
use crate::content::parts::{notices, origin_word, path, say, state, style, tell};

/// Exercises that stand in one list; more of them stand by the part of the body.
const FEW: usize = 24;
/// States that the list can be narrowed to.
const STATES: [&str; 4] = ["draft", "signed", "own", "built-in"];

/// What the list is narrowed to.
struct Wanted<'a> {
    find: String,
    region: Option<&'a str>,
    goal: Option<&'a str>,
    posture: Option<&'a str>,
    state: Option<&'a str>,
}

impl<'a> Wanted<'a> {
    fn read(query: &'a Fields) -> Wanted<'a> {
        Wanted {
            find: fold(query.opt("find").unwrap_or_default()),
            region: query.opt("region"),
            goal: query.opt("goal"),
            posture: query.opt("posture"),
            state: query.opt("state"),
        }
    }

    fn holds_words(&self, text: &str) -> bool {
        let text = fold(text);
        self.find.split_whitespace().all(|it| text.contains(it))
    }

    fn holds_state(&self, shelf: &Shelf, kind: Kind, id: &str) -> bool {
        let own = shelf.layers.of(kind).get(id).is_some_and(|it| it.origin != Origin::BuiltIn);
        let signed = shelf.signed(kind, id).is_some();
        match self.state {
            Some("draft") => !signed,
            Some("signed") => signed,
            Some("own") => own,
            Some("built-in") => !own,
            _ => true,
        }
    }

    fn holds(&self, shelf: &Shelf, words: &Words, it: &Motion) -> bool {
        let goals: Vec<String> = it.trains.iter().map(|it| words.goal_by_id(it)).collect();
        let text = format!(
            "{} {} {} {} {}",
            words.exercise_title(&it.id, Side::Left),
            it.id.replace('-', " "),
            goals.join(" "),
            words.posture_name(&it.posture.id),
            region(words, &it.region)
        );
        self.region.is_none_or(|wanted| it.region == wanted)
            && self.goal.is_none_or(|wanted| it.trains.iter().any(|it| it == wanted))
            && self.posture.is_none_or(|wanted| it.posture.id == wanted)
            && self.holds_state(shelf, Kind::Exercise, &it.id)
            && self.holds_words(&text)
    }

    fn narrows_exercises(&self) -> bool {
        self.region.is_some() || self.goal.is_some() || self.posture.is_some()
    }
}

/// The list.
pub async fn list(desk: Desk, RawQuery(query): RawQuery) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let shelf = &in_use.shelf;
    let words = shelf.words(desk.lang);
    let query = query_of(query);
    let wanted = Wanted::read(&query);
    let mut exercises: Vec<(String, &Motion)> = shelf
        .library
        .exercises
        .values()
        .filter(|it| wanted.holds(shelf, words, it))
        .map(|it| (words.exercise_title(&it.id, Side::Left), it.as_ref()))
        .collect();
    exercises.sort_by_key(|it| fold(&it.0));
    let protocols: Vec<&Protocol> = shelf
        .library
        .protocols
        .values()
        .filter(|it| !wanted.narrows_exercises() && wanted.holds_state(shelf, Kind::Protocol, &it.id))
        .filter(|it| wanted.holds_words(&format!("{} {} {}", words.operation_name(&it.id), it.title, it.id)))
        .collect();
    let title = say(words, "title");
    let waiting = waiting_count(shelf);
    let body = html! {
        (style())
        div class="row apart" {
            h1 { (title) }
            div class="row" {
                a href="/content/waiting" { (tell(words, "waiting-link", &[("n", (waiting as f64).into())])) }
                @if desk.may(Right::WriteContent) {
                    a class="button" href="/content/exercise/new" { (say(words, "new-exercise")) }
                    a class="button" href="/content/protocol/new" { (say(words, "new-protocol")) }
                }
            }
        }
        (notices(&desk, words, in_use.refused().as_deref()))
        (filter(words, shelf, &query))
        @if !protocols.is_empty() {
            section class="card" aria-labelledby="protocols-title" {
                h2 id="protocols-title" { (tell(words, "protocols", &[("n", (protocols.len() as f64).into())])) }
                ul class="shelf" { @for it in &protocols { (protocol_line(words, shelf, it)) } }
            }
        }
        section class="card" aria-labelledby="exercises-title" {
            h2 id="exercises-title" { (tell(words, "exercises", &[("n", (exercises.len() as f64).into())])) }
            @if exercises.is_empty() { p { (say(words, "none-found")) } }
            @if exercises.len() <= FEW { (exercise_list(words, shelf, &exercises)) }
        }
        @if exercises.len() > FEW {
            @for it in REGIONS { (of_region(words, shelf, it, &exercises)) }
        }
    };
    Ok(page(&desk, Place::Content, &title, body).into_response())
}

fn filter(words: &Words, shelf: &Shelf, query: &Fields) -> Markup {
    let goals: BTreeSet<&String> = shelf.library.exercises.values().flat_map(|it| &it.trains).collect();
    let postures: BTreeSet<&String> = shelf.library.exercises.values().map(|it| &it.posture.id).collect();
    let sorted = |ids: Vec<&String>, name: &dyn Fn(&str) -> String| {
        let mut all: Vec<(String, String)> = ids.into_iter().map(|it| (it.clone(), name(it))).collect();
        all.sort_by_key(|it| fold(&it.1));
        all
    };
    let select = |name: &str, label: String, choices: Vec<(String, String)>| {
        html! {
            div {
                label for=(name) { (label) }
                select id=(name) name=(name) {
                    option value="" { (say(words, "any")) }
                    @for (id, text) in &choices { option value=(id) selected[query.opt(name) == Some(id)] { (text) } }
                }
            }
        }
    };
    let regions = REGIONS.iter().map(|it| (it.to_string(), region(words, it))).collect();
    let states = STATES
        .iter()
        .map(|it| (it.to_string(), say(words, if *it == "own" { "own-any" } else { it })))
        .collect();
    html! {
        form method="get" action="/content" class="card" role="search" aria-label=(say(words, "search")) {
            div class="fields filter" {
                div { label for="find" { (say(words, "find")) } input id="find" name="find" type="search" value=(query.opt("find").unwrap_or_default()); }
                (select("region", say(words, "region"), regions))
                (select("goal", say(words, "trains"), sorted(goals.into_iter().collect(), &|it| words.goal_by_id(it))))
                (select("posture", say(words, "posture"), sorted(postures.into_iter().collect(), &|it| words.posture_name(it))))
                (select("state", say(words, "state"), states))
                div class="end" { button class="main" { (say(words, "filter")) } " " a href="/content" { (say(words, "all")) } }
            }
        }
    }
}

fn exercise_list(words: &Words, shelf: &Shelf, of: &[(String, &Motion)]) -> Markup {
    html! { ul class="shelf" { @for (title, it) in of { (exercise_line(words, shelf, title, it)) } } }
}

/// The exercises of a part of the body; their names are seen before it is opened.
fn of_region(words: &Words, shelf: &Shelf, wanted: &str, all: &[(String, &Motion)]) -> Markup {
    let of: Vec<(String, &Motion)> = all.iter().filter(|it| it.1.region == wanted).cloned().collect();
    let names: Vec<&str> = of.iter().map(|it| it.0.as_str()).collect();
    let title = format!("{} ({})", capital(&region(words, wanted)), of.len());
    html! {
        @if !of.is_empty() {
            (fold_wide(&format!("region-{wanted}"), &title, &names.join(" · "), &exercise_list(words, shelf, &of)))
        }
    }
}

fn exercise_line(words: &Words, shelf: &Shelf, title: &str, it: &Motion) -> Markup {
    let hash = shelf.hash(Kind::Exercise, &it.id);
    let goals: Vec<String> = it.trains.iter().map(|it| words.goal_by_id(it)).collect();
    html! {
        li {
            img src={ (path(Kind::Exercise, &it.id)) "/still?v=" (&hash[..12]) } alt="" width="140" height="100" loading="lazy";
            div {
                a class="name" href=(path(Kind::Exercise, &it.id)) { (title) }
                div class="small" { (region(words, &it.region)) " · " (words.posture_name(&it.posture.id)) }
                div class="small quiet" { (goals.join(", ")) }
                div class="row" { (state(words, shelf, Kind::Exercise, &it.id)) span class="small quiet" { (origin(words, shelf, Kind::Exercise, &it.id)) } }
            }
        }
    }
}

fn protocol_line(words: &Words, shelf: &Shelf, it: &Protocol) -> Markup {
    html! {
        li class="flat" {
            div {
                a class="name" href=(path(Kind::Protocol, &it.id)) { (words.operation_name(&it.id)) }
                div class="small" { (tell(words, "protocol-line", &[("phases", (it.phases.len() as f64).into()), ("limits", (it.restrictions.len() as f64).into())])) }
                div class="row" { (state(words, shelf, Kind::Protocol, &it.id)) span class="small quiet" { (origin(words, shelf, Kind::Protocol, &it.id)) " · " (tell(words, "version", &[("v", it.version.as_str().into())])) } }
            }
        }
    }
}

fn origin(words: &Words, shelf: &Shelf, kind: Kind, id: &str) -> String {
    shelf.layers.of(kind).get(id).map_or_else(String::new, |it| origin_word(words, &it.origin))
}

/// Texts that no signature counts for.
fn unsigned(shelf: &Shelf, kind: Kind) -> Vec<&String> {
    let ids = shelf.hashes.keys().filter(|it| it.0 == kind).map(|it| &it.1);
    ids.filter(|it| shelf.signed(kind, it).is_none()).collect()
}

/// How many texts wait for a signature.
pub fn waiting_count(shelf: &Shelf) -> usize {
    Kind::ALL.into_iter().map(|it| unsigned(shelf, it).len()).sum()
}

/// What waits for a signature: protocols first, then what was signed in an earlier text, then the rest by name.
pub async fn waiting(desk: Desk) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let shelf = &in_use.shelf;
    let words = shelf.words(desk.lang);
    let title = say(words, "waiting");
    let rows = |kind: Kind| {
        let mut rows: Vec<(bool, String, &String)> = unsigned(shelf, kind)
            .into_iter()
            .map(|id| {
                let name = match kind {
                    Kind::Exercise => words.exercise_title(id, Side::Left),
                    Kind::Protocol => words.operation_name(id),
                };
                (shelf.signatures(kind, id).is_empty(), name, id)
            })
            .collect();
        rows.sort_by_key(|it| (it.0, fold(&it.1)));
        rows
    };
    let table = |kind: Kind, caption: &str| {
        let rows = rows(kind);
        html! {
            @if !rows.is_empty() {
                div class="scroll card" {
                    table class="stacked short" {
                        caption { (tell(words, caption, &[("n", (rows.len() as f64).into())])) }
                        thead { tr {
                            th scope="col" { (say(words, "name")) } th scope="col" { (say(words, "version-heading")) }
                            th scope="col" { (say(words, "from-heading")) } th scope="col" { (say(words, "state")) }
                        } }
                        tbody { @for (_, name, id) in &rows { tr {
                            th scope="row" { a href={ (path(kind, id)) "#sign" } { (name) } }
                            td data-name=(say(words, "version-heading")) { (shelf.version(kind, id).unwrap_or_default()) }
                            td data-name=(say(words, "from-heading")) { (origin(words, shelf, kind, id)) }
                            td data-name=(say(words, "state")) { (state(words, shelf, kind, id)) }
                        } } }
                    }
                }
            }
        }
    };
    let count = waiting_count(shelf);
    let body = html! {
        (style())
        nav class="crumbs" aria-label=(say(words, "crumbs")) { a href="/content" { (say(words, "title")) } }
        h1 { (title) }
        (notices(&desk, words, in_use.refused().as_deref()))
        p { (tell(words, "waiting-count", &[("n", (count as f64).into())])) }
        (table(Kind::Protocol, "protocols"))
        (table(Kind::Exercise, "exercises"))
    };
    Ok(page(&desk, Place::Content, &title, body).into_response())
}
