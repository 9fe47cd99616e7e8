//! One episode on one page: what asks for attention, what is allowed over time, restrictions, program, diary and
//! response, measures, course, documents.

mod chart;
mod course;
mod diary;
mod measures;
mod program;
mod restrictions;

pub(crate) use restrictions::{next as next_changes, until as until_words};

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, Mutex};

use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{self, Place, page_with};
use crate::records::{self, Loaded};
use crate::{Right, Role};
use axum::extract::Path;
use handrail_episode::{Episode, Plan, PlanError};
use handrail_library::Library;
use handrail_progress::Attention;
use handrail_protocol::{Protocol, Status};
use handrail_store::caseload;
use handrail_words::{Lang, Words, capital};
use jiff::civil::Date;
use maud::{Markup, html};

use crate::chart::documents::{plan_of, refusal, told};
use crate::chart::facts::language;
use crate::chart::head::{band, day_and_week};
use crate::chart::reasons::{Teller, mark, tag, to_do};

/// Pages kept rendered.
const KEPT: usize = 200;

/// What is kept rendered.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Part {
    /// The page.
    Page,
    /// How tight the exercises are.
    Tight,
}

/// What a rendered page depends on.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    part: Part,
    id: String,
    head: u64,
    day: Date,
    lang: &'static str,
    role: Role,
    /// Other content makes other pages.
    edition: u64,
}

/// Rendered pages. A page of one head and day is the same for everybody of a role: nothing in it is of the person who
/// looks. Dropped all at once when full, which is rarer than it is simple.
static PAGES: LazyLock<Mutex<BTreeMap<Key, String>>> = LazyLock::new(Mutex::default);

/// Everything that the parts of the page are made of.
struct Case<'a> {
    words: &'a Words,
    library: &'a Library,
    episode: &'a Episode,
    protocol: Option<&'a Protocol>,
    plan: &'a Result<Plan<'a>, PlanError>,
    attention: &'a [Attention],
    today: Date,
    role: Role,
}

impl<'a> Case<'a> {
    fn say(&self, key: &str) -> String {
        self.words.text(key, &[])
    }

    fn teller(&self) -> Teller<'a> {
        let orders = &self.episode.orders.orders;
        Teller { words: self.words, protocol: self.protocol, orders, today: self.today }
    }

    fn id(&self) -> &str {
        &self.episode.id
    }
}

pub(crate) async fn page(desk: Desk, Path(id): Path<String>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "episode").await?;
    let title = format!("{} · {}", loaded.episode.patient.name, desk.say("c-today-episode"));
    let body = rendered(&desk, loaded).await?;
    Ok(page_with(
        &desk,
        Place::Patients,
        &title,
        &["today.js"],
        html! {
            link rel="stylesheet" href=(asset("today.css"));
            (maud::PreEscaped(body))
        },
    ))
}

impl Key {
    fn of(desk: &Desk, loaded: &Loaded, part: Part) -> Key {
        Key {
            part,
            id: loaded.id.clone(),
            head: loaded.head,
            day: desk.app.today(),
            lang: desk.lang.id(),
            role: desk.staff.role,
            edition: desk.content.edition(),
        }
    }
}

fn kept(key: &Key) -> Option<String> {
    PAGES.lock().unwrap_or_else(|it| it.into_inner()).get(key).cloned()
}

fn keep(key: Key, body: String) {
    let mut pages = PAGES.lock().unwrap_or_else(|it| it.into_inner());
    if pages.len() >= KEPT {
        pages.clear();
    }
    pages.insert(key, body);
}

async fn rendered(desk: &Desk, loaded: Arc<Loaded>) -> Result<String, Fault> {
    let key = Key::of(desk, &loaded, Part::Page);
    if let Some(body) = kept(&key) {
        return Ok(body);
    }
    let (today, role, lang) = (desk.app.today(), desk.staff.role, desk.lang);
    let (stream, day) = (loaded.id.clone(), today.to_string());
    let rows = desk.app.store().read(move |tx| caseload::in_force(tx, &stream, &day)).await?;
    let attention: Vec<Attention> =
        rows.iter().filter_map(|it| serde_json::from_str(&it.detail).ok()).collect();
    let content = desk.content.clone();
    let body = tokio::task::spawn_blocking(move || {
        body(content.words(lang), content.library(), &loaded, &attention, today, role).into_string()
    })
    .await
    .map_err(|error| Fault::Internal(format!("episode page: {error}")))?;
    keep(key, body.clone());
    Ok(body)
}

fn body(
    words: &Words,
    library: &Library,
    loaded: &Loaded,
    attention: &[Attention],
    today: Date,
    role: Role,
) -> Markup {
    let episode = &loaded.episode;
    let plan = plan_of(loaded, library, today);
    let protocol = library.protocols.get(&episode.operation.protocol);
    let case = Case { words, library, episode, protocol, plan: &plan, attention, today, role };
    html! {
        (band(words, episode, "", today))
        (facts(&case))
        (links(&case))
        (open_items(&case))
        (drafts(&case))
        (chart::section(&case))
        (restrictions::section(&case))
        (program::section(&case))
        (diary::section(&case))
        (measures::section(&case))
        (course::section(&case))
        (documents(&case))
    }
}

/// Facts of the operation and whom it concerns.
fn facts(case: &Case<'_>) -> Markup {
    let (words, episode) = (case.words, case.episode);
    let operation = &episode.operation;
    let date =
        |it: Option<Date>| it.map_or_else(|| case.say("c-today-not-recorded"), |it| words.date_short(it));
    let name = |id: &str| words.phase_name(&operation.protocol, id);
    let language = language(&episode.patient.language);
    let held = match episode.held() {
        Some(it) => words.text(
            "c-today-holds-version",
            &[
                ("version", it.fact.1.version.into()),
                ("date", words.date_short(it.fact.1.valid_until).into()),
            ],
        ),
        None => case.say("c-today-holds-none"),
    };
    html! {
        dl class="facts head-facts" {
            div { dt { (case.say("c-today-surgeon")) } dd { (operation.surgeon) } }
            div { dt { (case.say("c-today-surgery")) } dd { (words.date_short(operation.surgery)) ", " (day_and_week(words, operation.surgery, case.today)) } }
            @if let Ok(plan) = case.plan {
                @let phase = &plan.envelope.phase;
                div { dt { (case.say("c-today-phase")) } dd {
                    (name(&phase.id)) " " span class="quiet" { (words.text("c-today-phase-since", &[("date", words.date_short(phase.since).into())])) }
                    @if phase.by_calendar != phase.id {
                        br; span class="tag assumed" { (words.text("c-today-phase-calendar", &[("phase", name(&phase.by_calendar).into())])) }
                    }
                } }
            }
            div { dt { (case.say("c-today-next-visit")) } dd { (date(operation.next_visit)) } }
            div { dt { (case.say("c-today-col-therapist")) } dd { (episode.clinic.therapist) } }
            div { dt { (case.say("c-today-language")) } dd { (language) } }
            div { dt { (case.say("c-today-holds")) } dd { (held) } }
            @for (variant, answer) in &operation.variants {
                @let text = crate::chart::facts::variant(words, variant, answer);
                @let (name, answer) = text.split_once(": ").unwrap_or((text.as_str(), ""));
                div { dt { (capital(name)) } dd { (answer) } }
            }
        }
    }
}

/// Parts of the page: where they begin and their names.
const PARTS: [(&str, &str); 7] = [
    ("allowed", "c-today-allowed"),
    ("restrictions", "c-today-restrictions"),
    ("program", "c-today-program"),
    ("diary", "c-today-diary"),
    ("measures", "c-today-measures"),
    ("course", "c-today-course"),
    ("documents", "c-today-documents"),
];

/// Where to act, and the parts of this page.
fn links(case: &Case<'_>) -> Markup {
    let id = case.id();
    let act = |page: &str, key: &str, main: bool| {
        html! { a class={ "button" @if main { " main" } } href={ "/e/" (id) "/" (page) } { (case.say(key)) } }
    };
    html! {
        nav class="row acts" aria-label=(case.say("c-today-acts")) {
            (act("limits", "c-today-limits", true))
            (act("record", "c-today-go-record", false))
            (act("restrictions", "c-today-go-restrictions", false))
            @if case.role.may(Right::Plan) { (act("program", "c-today-go-program", false)) }
            @if case.role.may(Right::Intake) { (act("home", "c-today-go-home", false)) }
            (act("journal", "c-today-journal", false))
        }
        nav class="parts small" aria-label=(case.say("c-today-parts")) {
            @for (at, key) in PARTS { a href={ "#" (at) } { (case.say(key)) } }
        }
        @if let Some(closed) = &case.episode.course.closed {
            p class="alert" { (case.words.text("c-today-closed-on", &[
                ("date", case.words.date_short(closed.fact.0).into()), ("reason", closed.fact.1.reason.as_str().into()),
            ])) }
        }
    }
}

/// What asks for attention, with what to do.
fn open_items(case: &Case<'_>) -> Markup {
    let (words, teller) = (case.words, case.teller());
    html! {
        section class="card" aria-labelledby="open" {
            h2 id="open" { (case.say("c-today-open")) }
            @if case.attention.is_empty() {
                p { (case.say("c-today-open-none")) }
            } @else {
                ol class="open-items" {
                    @for of in teller.by_act(case.attention) {
                        @let it = of[0];
                        @let (key, act) = to_do(it);
                        li class={ "line " (mark(it.reason)) } {
                            p { strong { (tag(words, it.reason.id())) ": " } (teller.together(&of)) }
                            @if case.role.may(act.right()) {
                                a class="button" href=(act.path(case.id())) { (words.text(key, &[])) }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// What is a draft, not known or to be seen before anything else is read.
fn drafts(case: &Case<'_>) -> Markup {
    html! {
        @match case.plan {
            Err(error) => {
                @let told = told(&case.teller(), error, case.episode.operation.side);
                div class="alert stop" role="alert" {
                    p { strong { (case.say("c-today-limits-not-known")) } }
                    ul { @for it in &told.says { li { (it) } } }
                    p { (told.mend) " " a href=(told.act.path(case.id())) { (case.say("c-today-mend-here")) } }
                }
            },
            Ok(plan) => {
                @let notes: Vec<String> = plan.envelope.notes.iter().map(|it| case.teller().note(it)).collect();
                @if !notes.is_empty() {
                    div class="alert care" { @for it in &notes { p { (it) } } }
                }
                @if !plan.envelope.blocked.is_empty() {
                    div class="alert stop" {
                        @for it in &plan.envelope.blocked { p { (case.teller().blocked(it)) } }
                        p { a href={ "/e/" (case.id()) "/restrictions" } { (case.say("c-today-do-answer")) } }
                    }
                }
            },
        }
    }
}

/// What can be printed and sent, or why nothing can.
fn documents(case: &Case<'_>) -> Markup {
    let id = case.id();
    let problem = match case.plan {
        Ok(plan) => plan.session(&case.library.postures).err(),
        // Told at the top of the page.
        Err(_) => return html! {},
    };
    let essential = match &problem {
        Some(error) => told(&case.teller(), error, case.episode.operation.side).says.join(" "),
        None => ["c-today-paper-letter", "c-today-document-follow", "c-today-document-calendar"]
            .map(|it| case.say(it))
            .join(" · "),
    };
    html! {
        (layout::fold("documents", &case.say("c-today-documents"), &essential, &html! {
            @if let Some(error) = &problem {
                (refusal(case.words, id, &told(&case.teller(), error, case.episode.operation.side)))
            } @else {
                ul class="documents" {
                    @for lang in Lang::ALL {
                        li {
                            strong { (lang.own_name()) ": " }
                            @for (paper, key) in [("letter", "c-today-paper-letter"), ("a4", "c-today-paper-a4")] {
                                a href={ "/e/" (id) "/handout.pdf?paper=" (paper) "&lang=" (lang.id()) } { (case.say(key)) } " · "
                                a href={ "/e/" (id) "/handout.pdf?paper=" (paper) "&large=1&lang=" (lang.id()) } { (case.say(key)) ", " (case.say("c-today-large")) } " · "
                            }
                            a href={ "/e/" (id) "/follow.html?lang=" (lang.id()) } { (case.say("c-today-document-follow")) } " · "
                            a href={ "/e/" (id) "/calendar.ics?lang=" (lang.id()) } { (case.say("c-today-document-calendar")) }
                        }
                    }
                }
                p class="quiet small" { (case.say("c-today-documents-hint")) }
            }
            p class="quiet small" { (case.say("c-today-not-checked")) ": " (case.words.not_checked_clinician().join(" ")) }
        }))
    }
}

/// On whose word something stands, as a mark.
pub(crate) fn status_tag(words: &Words, status: Status) -> Markup {
    let class = if status == Status::Assumed { "tag assumed" } else { "tag" };
    html! { span class=(class) { (words.status_clinician(status)) } }
}

/// How sure each exercise of the program keeps its limits, by simulated executions; asked for by a script after the
/// page is there, because it takes longer than a page may.
pub(crate) async fn tight(desk: Desk, Path(id): Path<String>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "tightness").await?;
    let key = Key::of(&desk, &loaded, Part::Tight);
    if let Some(body) = kept(&key) {
        return Ok(maud::PreEscaped(body));
    }
    let (content, today, lang) = (desk.content.clone(), desk.app.today(), desk.lang);
    let list = tokio::task::spawn_blocking(move || match plan_of(&loaded, content.library(), today) {
        Ok(plan) => program::tight(content.words(lang), &plan),
        Err(_) => html! {},
    })
    .await
    .map_err(|error| Fault::Internal(format!("tightness of {id}: {error}")))?;
    keep(key, list.clone().into_string());
    Ok(list)
}
