//! The patient's own page: one document whose screens are shown one at a time, so that all of it is there when the
//! network is not.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{LANG_COOKIE, PatientSession, Visitor, cookie, cookie_name, cookie_value, see_other};
use crate::records::{self, Loaded, New};
use crate::{App, Right, Route};
use axum::Json;
use axum::http::{HeaderMap, HeaderName, HeaderValue, header};
use axum::response::{IntoResponse, Response};
use handrail_episode::{Diary, Episode, Fact, Issued, Medium, MessageFrom, View};
use handrail_followalong::short_name;
use handrail_store::tokens::secret_hash;
use handrail_store::{journal, links};
use handrail_words::{Lang, Urgency, WarnGroup, Words, capital};
use maud::{Markup, PreEscaped, html};
use serde_json::json;

use crate::home::door::LANG_S;
use crate::home::frame::{self, call};
use crate::home::sheet::{self, Sheet, SheetLimit, SheetSession, State};

/// Header of requests that the phone makes to have a page at hand for later: nobody looks at their answers yet.
pub(crate) const AHEAD: &str = "x-ahead";
/// Header that names what a page shows (see [`Sheet::mark`]).
pub(crate) const MARK: HeaderName = HeaderName::from_static("x-sheet");
/// Diaries shown.
const SHOWN_DIARIES: usize = 5;
/// Messages shown.
const SHOWN_MESSAGES: usize = 30;

/// Routes.
pub(crate) fn routes() -> Vec<Route> {
    vec![
        Route::get("/home", Right::Patient, home),
        Route::get("/home/state", Right::Patient, state).data(),
        Route::post("/home/language", Right::Patient, choose_language),
        Route::post("/home/leave", Right::Patient, leave),
    ]
}

/// Names a patient's page on the phone without telling whose it is.
pub(crate) fn tag(episode: &str) -> String {
    let hash =
        blake3::derive_key("handrail 2026-11 name of a patient's page on a phone v1", episode.as_bytes());
    blake3::Hash::from(hash).to_hex()[..16].to_string()
}

/// Writes down that the patient looked; once an hour, so that a page left open does not fill the record.
pub(crate) async fn note_view(
    app: &App,
    session: &PatientSession,
    loaded: &Loaded,
    what: &str,
) -> Result<(), Fault> {
    let hour = app.now().as_second() / 3600;
    let view = New {
        key: Some(format!("view:{}:{what}:{hour}", session.link)),
        ..New::fact(app.today(), Fact::View(View { what: what.into() }))
    };
    let by = records::patient_author(session, &loaded.episode);
    let (record, stream, now) = (records::to_record(&by, &view)?, loaded.id.clone(), app.now());
    app.store().write(move |tx| journal::append(tx, &stream, now, std::slice::from_ref(&record))).await?;
    Ok(())
}

/// Writes down that the patient has a version on the page, when it is shown for the first time. Not where an order
/// came after the version had been given: what the clinic is told about that must not be silenced by this.
async fn note_issued(
    app: &App,
    session: &PatientSession,
    loaded: &std::sync::Arc<Loaded>,
    sheet: &Sheet,
) -> Result<(), Fault> {
    if sheet.session().is_none() {
        return Ok(());
    }
    let episode = &loaded.episode;
    let given: Vec<_> =
        episode.course.issued.iter().filter(|it| it.fact.1.version == sheet.version).collect();
    let on_page = given.iter().any(|it| it.fact.1.medium == Medium::Page);
    let first = given.iter().map(|it| it.number).min();
    let changed = episode.orders_changed.is_some_and(|(at, _)| first.is_some_and(|it| at > it));
    if on_page || changed {
        return Ok(());
    }
    let program = episode.programs.iter().find(|it| it.version == sheet.version);
    let by = program.map_or_else(String::new, |it| it.signed_by.clone().unwrap_or_else(|| it.by.clone()));
    let issued = Issued {
        version: sheet.version,
        medium: Medium::Page,
        language: sheet.lang.id().into(),
        valid_until: sheet.until,
        by,
    };
    let new =
        New { key: Some(format!("page:{}", sheet.version)), ..New::fact(app.today(), Fact::Issued(issued)) };
    let author = records::patient_author(session, episode);
    records::write(app, &loaded.id, author, vec![new], None).await?;
    Ok(())
}

async fn home(visitor: Visitor, session: PatientSession, headers: HeaderMap) -> Result<Response, Fault> {
    let app = &visitor.app;
    let loaded = records::load(app, &session.episode).await?;
    let sheet = sheet::sheet(app, &visitor.content, &loaded, visitor.lang).await?;
    if !headers.contains_key(AHEAD) {
        note_view(app, &session, &loaded, "patient page").await?;
        note_issued(app, &session, &loaded, &sheet).await?;
    }
    let view = Home { words: visitor.words(), episode: &loaded.episode, sheet: &sheet, session: &session };
    let mut answer = view.page().into_response();
    if let Ok(mark) = HeaderValue::from_str(&sheet.mark()) {
        answer.headers_mut().insert(MARK, mark);
    }
    Ok(answer)
}

/// What the phone asks before it sends: the token of this session, and whose it is.
async fn state(visitor: Visitor, session: PatientSession) -> Response {
    let body = json!({ "csrf": session.csrf, "tag": tag(&session.episode), "today": visitor.app.today().to_string() });
    Json(body).into_response()
}

async fn choose_language(visitor: Visitor, _: PatientSession, fields: Fields) -> Result<Response, Fault> {
    let lang: Lang = fields.text("lang")?.parse().map_err(|_| Fault::NotFound)?;
    let mut answer = see_other("/home");
    set_cookie(&mut answer, &cookie(&visitor.app, LANG_COOKIE, Some(lang.id()), LANG_S, true));
    Ok(answer)
}

/// Ends the session on this phone. The script has emptied what the phone kept.
async fn leave(visitor: Visitor, _: PatientSession, headers: HeaderMap) -> Result<Response, Fault> {
    let app = &visitor.app;
    let name = cookie_name(app, "home");
    if let Some(secret) = cookie_value(&headers, &name) {
        let hash = secret_hash(&secret);
        app.store().write(move |tx| links::end_session(tx, &hash)).await?;
    }
    let words = visitor.words();
    let title = words.text("p-left-title", &[]);
    let page = frame::page(
        words,
        &title,
        &[],
        None,
        false,
        html! {
            main class="door" { h1 { (title) } p { (words.text("p-left", &[])) } }
        },
    );
    let mut answer = page.into_response();
    set_cookie(&mut answer, &cookie(app, &name, None, 0, true));
    let clear = HeaderValue::from_static("\"cache\", \"storage\"");
    answer.headers_mut().insert(HeaderName::from_static("clear-site-data"), clear);
    Ok(answer)
}

fn set_cookie(answer: &mut Response, line: &str) {
    if let Ok(value) = HeaderValue::from_str(line) {
        answer.headers_mut().append(header::SET_COOKIE, value);
    }
}

/// Texts that the script shows by itself.
const SCRIPT_TEXTS: [&str; 27] = [
    "offline",
    "unsent-one",
    "unsent-many",
    "again",
    "out-of-date",
    "date-wrong",
    "sent",
    "kept",
    "sign-sent",
    "sign-kept",
    "sign-sent-later",
    "sign-kept-later",
    "not-kept",
    "refused",
    "remove",
    "try-again",
    "rest-day",
    "guided-found",
    "sending",
    "waiting",
    "missing",
    "missing-counts",
    "leave-unsent",
    "day-today",
    "day-yesterday",
    "no-other",
    "guided-sign",
];

struct Home<'a> {
    words: &'a Words,
    episode: &'a Episode,
    sheet: &'a Sheet,
    session: &'a PatientSession,
}

impl Home<'_> {
    fn say(&self, key: &str) -> String {
        self.words.text(&format!("p-{key}"), &[])
    }

    fn page(&self) -> Markup {
        let title = self.say("app-name");
        frame::page(
            self.words,
            &title,
            &["patient.js"],
            Some(&self.session.csrf),
            true,
            html! {
                (self.head())
                main id="main" {
                    (self.notices())
                    (self.today())
                    (self.diary())
                    (self.signs())
                    (self.messages())
                    @for group in &self.sheet.warnings { (self.call_screen(group)) }
                    (self.saved())
                }
                (self.tabs())
                (self.data())
            },
        )
    }

    /// On every screen: which limb, whose sheet, which version, until when, and the emergency number.
    fn head(&self) -> Markup {
        let sheet = self.sheet;
        html! {
            header class="head" {
                p class="whose" {
                    span class="side" { (sheet.side) } " "
                    span { (short_name(&self.episode.patient.name, &self.episode.patient.language)) }
                }
                p class="stamp" { (self.stamp()) }
                p class="head-call" { (self.say("emergency")) " " (call(&self.episode.clinic.emergency)) }
            }
        }
    }

    fn stamp(&self) -> String {
        let sheet = self.sheet;
        let Some(issued) = sheet.issued else { return self.say("stamp-none") };
        self.words.text(
            "p-stamp",
            &[
                ("version", sheet.version.to_string().into()),
                ("date", self.words.date_short(issued).into()),
                ("until", self.words.date_short(sheet.until).into()),
            ],
        )
    }

    /// What the phone finds out by itself; filled by the script.
    fn notices(&self) -> Markup {
        html! {
            noscript { p class="notice" { (self.say("no-script")) } }
            div id="notices" role="status" {
                p id="note-again" class="notice care" hidden {}
                p id="note-offline" class="notice" hidden {}
                p id="note-unsent" class="notice" hidden {}
            }
            div id="note-date" class="notice stop" role="alert" hidden {
                p {}
                p { (call(&self.episode.clinic.phone)) }
            }
        }
    }

    /// That content is a draft; who signed the program is told beside it.
    fn draft_notice(&self) -> String {
        if self.sheet.signed.is_some() { self.say("draft-content") } else { self.words.draft_notice() }
    }

    // ------------------------------------------------------------------ today

    fn today(&self) -> Markup {
        let sheet = self.sheet;
        html! {
            section id="today" class="screen" aria-labelledby="today-title" {
                h1 id="today-title" tabindex="-1" { (self.say("today")) }
                @if sheet.draft && sheet.session().is_some() { p class="notice draft" { (self.draft_notice()) } }
                @match &sheet.state {
                    State::Ready(session) => (self.session_card(session)),
                    State::NoProgram => (self.no_session("no-program")),
                    State::OutOfDate => (self.no_session("sheet-out-of-date")),
                    State::Stopped => (self.no_session("stopped")),
                    State::Ended => (self.no_session("ended")),
                }
                (self.limits())
                @if let Some((phase, goals)) = &sheet.phase {
                    section class="card" {
                        h2 { (self.say("planned-title")) }
                        p { strong { (phase) } }
                        @if !goals.is_empty() {
                            p { (self.say("planned-goals")) }
                            ul { @for goal in goals { li { (goal) } } }
                        }
                    }
                }
                section class="card stop-card" {
                    h2 { (self.say("stop-title")) }
                    ul { @for rule in &sheet.stop { li { (self.unbroken(rule)) } } }
                    (self.numbers())
                }
                (self.about())
            }
        }
    }

    fn session_card(&self, session: &SheetSession) -> Markup {
        let days: Vec<String> = session.days.iter().map(|it| self.words.weekday_long(*it)).collect();
        html! {
            section class="card" id="session-card" {
                h2 { (self.say("session-title")) }
                p { (capital(&session.minutes)) ", " (session.often) "." }
                a class="button main big" href="/home/session" { (self.say("session-start")) }
                @if session.days.len() < 7 { p { (self.say("session-days")) " " (self.words.all_of(&days)) "." } }
                p id="rest-day" class="notice" hidden {}
                @if !session.needs.is_empty() { p { (self.say("session-needs")) " " (session.needs) "." } }
                ol class="exercises" {
                    @for item in &session.items {
                        li { strong { (item.title) } br; span class="quiet" { (item.side) ". " (item.dose) "." } }
                    }
                }
                p class="quiet" { (self.say("session-not-more")) }
                a class="button big" href="#diary" { (self.say("session-diary")) }
            }
        }
    }

    fn no_session(&self, key: &str) -> Markup {
        html! {
            section class="card" id="session-card" {
                h2 { (self.say("no-session-title")) }
                p { (self.say(key)) }
                p { (self.say("no-session-old")) }
                p { (call(&self.episode.clinic.phone)) }
            }
        }
    }

    /// The limits in force: what to wear, then what to leave out. Until when each stays is one tap away.
    fn limits(&self) -> Markup {
        let limits = &self.sheet.limits;
        let (worn, left_out): (Vec<&SheetLimit>, Vec<&SheetLimit>) = limits.iter().partition(|it| it.worn);
        html! {
            @if !worn.is_empty() {
                section class="card" id="wear" {
                    h2 { (self.say("wear-title")) }
                    (by_word(&worn))
                }
            }
            section class="card" id="limits" {
                @if limits.is_empty() || !left_out.is_empty() { h2 { (self.say("limits-title")) } }
                @if limits.is_empty() { p { (self.say("limits-none")) } }
                (by_word(&left_out))
                p class="quiet" { (self.words.surgeon_first()) }
                @if !limits.is_empty() {
                    details {
                        summary { (self.say("limits-until")) }
                        ul { @for it in limits { li { strong { (it.says) } " " (it.until) } } }
                    }
                }
            }
        }
    }

    /// Who made and signed it, what nobody checked, language, leaving.
    fn about(&self) -> Markup {
        let sheet = self.sheet;
        let clinic = &self.episode.clinic;
        html! {
            section class="card" {
                h2 { (self.say("about-title")) }
                p { (clinic.name) }
                @match (&sheet.signed, sheet.issued) {
                    (Some(name), Some(on)) => p {
                        (self.words.text("signed-by", &[("name", name.as_str().into()), ("date", self.words.date_long(on).into())]))
                    },
                    _ => p { (self.words.draft_notice()) },
                }
                p { (self.words.text("checked-against", &[("date", self.words.date_long(sheet.on).into())])) }
                details {
                    summary { (self.say("not-checked-title")) }
                    ul { @for it in self.words.not_checked() { li { (it) } } }
                }
                details {
                    summary { (self.say("install-title")) }
                    p { (self.say("install")) }
                    button id="install" type="button" hidden { (self.say("install-button")) }
                }
                form method="post" action="/home/language" class="row" {
                    input type="hidden" name="csrf" value=(self.session.csrf);
                    @for lang in Lang::ALL.into_iter().filter(|it| *it != self.words.lang()) {
                        button name="lang" value=(lang.id()) lang=(lang.id()) { (lang.own_name()) }
                    }
                }
                form method="post" action="/home/leave" id="leave" {
                    input type="hidden" name="csrf" value=(self.session.csrf);
                    p class="quiet" { (self.say("leave-hint")) }
                    button { (self.say("leave")) }
                }
            }
        }
    }

    /// A sentence whose numbers to call do not break at the end of a line.
    fn unbroken(&self, text: &str) -> Markup {
        let clinic = &self.episode.clinic;
        let numbers = [clinic.phone.as_str(), clinic.emergency.as_str()];
        let found = numbers.into_iter().filter(|it| !it.is_empty());
        let first = found.filter_map(|it| Some((text.find(it)?, it))).min();
        html! {
            @match first {
                Some((at, number)) => {
                    (&text[..at]) span class="whole" { (number) } (self.unbroken(&text[at + number.len()..]))
                },
                None => (text),
            }
        }
    }

    // ------------------------------------------------------------------ warning signs

    fn signs(&self) -> Markup {
        html! {
            section id="signs" class="screen" aria-labelledby="signs-title" {
                h1 id="signs-title" tabindex="-1" { (self.say("signs-title")) }
                p { (self.words.warnings_intro()) }
                (self.sign_list())
                (self.numbers())
            }
        }
    }

    /// All signs; a tap on one leads to whom to call. It works without the script too.
    fn sign_list(&self) -> Markup {
        html! {
            p { (self.say("signs-tap")) }
            @for group in &self.sheet.warnings {
                section class={ "card group " (group.urgency.id()) } {
                    h2 { (group.title) }
                    p { (self.unbroken(&group.action)) }
                    p class="row" { @for number in self.numbers_of(group.urgency) { (call(number)) } }
                    ul class="signs" {
                        @for sign in &group.items {
                            li { a href={ "#call-" (group.urgency.id()) } data-sign=(group.urgency.id()) { (sign) } }
                        }
                    }
                }
            }
        }
    }

    fn numbers_of(&self, urgency: Urgency) -> Vec<&str> {
        let clinic = &self.episode.clinic;
        match urgency {
            Urgency::Emergency => vec![&clinic.emergency],
            Urgency::SameDay => vec![&clinic.phone, &clinic.out_of_hours],
            Urgency::NextVisit => vec![&clinic.phone],
        }
    }

    /// Where a tap on a sign leads.
    fn call_screen(&self, group: &WarnGroup) -> Markup {
        let id = group.urgency.id();
        // A sign that can wait for a visit: "call now" beside it would say two things at once.
        let later = group.urgency == Urgency::NextVisit;
        html! {
            section id={ "call-" (id) } class={ "screen call " (id) } aria-labelledby={ "call-title-" (id) } {
                h1 id={ "call-title-" (id) } tabindex="-1" { (group.title) }
                p class="picked" data-picked="" {}
                p class="call-words" { (self.unbroken(&group.action)) }
                @for number in self.numbers_of(group.urgency) { p class="call-number" { (call(number)) } }
                p { (self.say(if later { "call-no-exercise-until-told" } else { "call-no-exercise" })) }
                p class="notice" role="status" data-sign-state="" data-later=[later.then_some("")] hidden {}
                p { (self.say(if later { "call-later" } else { "call-not-watched" })) }
                (self.numbers())
                a class="button" href="#diary" { (self.say("call-back")) }
            }
        }
    }

    fn numbers(&self) -> Markup {
        let clinic = &self.episode.clinic;
        let rows = [
            ("emergency", clinic.emergency.as_str()),
            ("clinic", clinic.phone.as_str()),
            ("out-of-hours", clinic.out_of_hours.as_str()),
        ];
        html! {
            dl class="numbers-list" {
                @for (key, number) in rows { div { dt { (self.say(key)) } dd { (call(number)) } } }
            }
        }
    }

    // ------------------------------------------------------------------ diary

    fn diary(&self) -> Markup {
        html! {
            section id="diary" class="screen" aria-labelledby="diary-title" {
                h1 id="diary-title" tabindex="-1" { (self.say("diary-title")) }
                div id="ask-signs" class="stack" {
                    p class="question" { (self.say("diary-signs")) }
                    (self.sign_list())
                    button id="no-signs" type="button" class="main big" { (self.say("diary-no-signs")) }
                }
                (self.diary_form())
                (self.earlier())
            }
        }
    }

    fn diary_form(&self) -> Markup {
        html! {
            form id="diary-form" class="stack" hidden novalidate {
                p class="quiet" { (self.say("diary-still-call")) }
                p id="guided-found" class="notice" hidden {}
                label class="card" { (self.say("diary-day")) select name="on" id="diary-day" {} }
                @if let Some(session) = self.sheet.session() { (self.exercises(session)) }
                @for when in ["before", "during", "after"] { (self.pain(when)) }
                (self.choice("morning", &["usual", "worse"]))
                (self.choice("swelling", &["less", "same", "more"]))
                div class="card" {
                    (self.words_field("left_out", "left-out"))
                    (self.words_field("extra", "extra"))
                    (self.words_field("note", "note"))
                    (self.words_field("message", "message"))
                }
                p id="diary-missing" class="notice stop" role="alert" hidden {}
                button class="main big" { (self.say("diary-save")) }
            }
        }
    }

    fn words_field(&self, name: &str, key: &str) -> Markup {
        html! { label { (self.say(&format!("diary-{key}"))) textarea name=(name) rows="2" maxlength="2000" {} } }
    }

    fn exercises(&self, session: &SheetSession) -> Markup {
        html! {
            section class="card" {
                h2 { (self.say("diary-exercises")) }
                button type="button" id="all-done" { (self.say("diary-all-done")) }
                @for item in &session.items {
                    fieldset class="exercise" data-exercise=(item.id) data-sets=(item.sets) data-reps=(item.reps) data-counted=(item.counted) {
                        legend { (item.title) }
                        p class="quiet" { (item.side) ". " (item.dose) "." }
                        div class="answers three" {
                            @for answer in ["all", "part", "none"] {
                                label class="answer" {
                                    input type="radio" name={ "done-" (item.id) } value=(answer);
                                    span { (self.say(&format!("diary-{answer}"))) }
                                }
                            }
                        }
                        div class="counts" hidden {
                            (self.counter(&item.id, "sets"))
                            (self.counter(&item.id, "reps"))
                        }
                    }
                }
            }
        }
    }

    /// A number between two buttons; blank, so that nothing is told that nobody wrote. `reps` are counted over all sets.
    fn counter(&self, exercise: &str, what: &str) -> Markup {
        let label = self.say(&format!("diary-{what}"));
        let button = |step: &str, key: &str, sign: &str| {
            html! {
                button type="button" data-step=(step) aria-label={ (self.say(key)) ": " (label) } { (sign) }
            }
        };
        html! {
            div class="counter" {
                label for={ (what) "-" (exercise) } { (label) }
                div class="counter-row" {
                    (button("-1", "fewer", "−"))
                    input id={ (what) "-" (exercise) } data-count=(what) inputmode="numeric" pattern="[0-9]*" maxlength="4";
                    (button("1", "more", "+"))
                }
            }
        }
    }

    fn pain(&self, when: &str) -> Markup {
        html! {
            fieldset class="card" {
                legend { (self.say(&format!("diary-pain-{when}"))) }
                div class="numbers" {
                    @for n in 0..=10 {
                        label class="answer" { input type="radio" name={ "pain_" (when) } value=(n); span { (n) } }
                    }
                }
                p class="ends" {
                    span { "0: " (self.words.text("follow-pain-none", &[])) }
                    span { "10: " (self.words.text("follow-pain-worst", &[])) }
                }
            }
        }
    }

    fn choice(&self, name: &str, answers: &[&str]) -> Markup {
        html! {
            fieldset class="card" {
                legend { (self.say(&format!("diary-{name}"))) }
                div class="answers" {
                    @for answer in answers {
                        label class="answer" {
                            input type="radio" name=(name) value=(answer);
                            span { (self.say(&format!("diary-{name}-{answer}"))) }
                        }
                    }
                }
            }
        }
    }

    /// The last diaries as the clinic has them; what the phone has not sent yet stands above them.
    fn earlier(&self) -> Markup {
        let diaries: Vec<&Diary> =
            self.episode.course.diaries.iter().rev().take(SHOWN_DIARIES).map(|it| &it.fact).collect();
        html! {
            section class="card" {
                h2 { (self.say("earlier-title")) }
                ul id="waiting" class="waiting" {}
                @if diaries.is_empty() { p { (self.say("earlier-none")) } }
                ul class="earlier" { @for diary in diaries { li { (self.earlier_line(diary)) } } }
            }
        }
    }

    fn earlier_line(&self, diary: &Diary) -> Markup {
        let done = diary.done.iter().filter(|it| it.reps > 0).count() as u32;
        html! {
            strong { (self.words.date_short(diary.on)) }
            @if !diary.done.is_empty() {
                br; (self.words.text("p-earlier-done", &[("n", done.into()), ("total", (diary.done.len() as u32).into())]))
            }
            @if let Some(pain) = diary.pain_during {
                br; (self.words.text("p-earlier-pain", &[("n", u32::from(pain).into())]))
            }
            @for sign in &diary.signs { br; (sign.says) }
        }
    }

    // ------------------------------------------------------------------ messages

    fn messages(&self) -> Markup {
        let messages = self.episode.course.messages.iter().rev().take(SHOWN_MESSAGES);
        html! {
            section id="messages" class="screen" aria-labelledby="messages-title" {
                h1 id="messages-title" tabindex="-1" { (self.say("messages-title")) }
                p class="notice care" { (self.say("messages-not-watched")) }
                p class="row" { (call(&self.episode.clinic.phone)) }
                form id="message-form" class="card" novalidate {
                    label { (self.say("messages-write")) textarea name="message" rows="3" maxlength="2000" {} }
                    p id="message-missing" class="notice stop" role="alert" hidden {}
                    button class="main" { (self.say("messages-send")) }
                    p id="message-state" role="status" {}
                }
                @if self.episode.course.messages.is_empty() { p { (self.say("messages-none")) } }
                ol class="messages" {
                    @for it in messages {
                        @let (on, message) = &it.fact;
                        @let own = message.from == MessageFrom::Patient;
                        li class=(if own { "card own" } else { "card" }) {
                            p class="quiet" {
                                @if own { (self.say("messages-you")) } @else { (message.by) }
                                ", " (self.words.date_short(*on))
                            }
                            p class="as-written" { (message.says) }
                        }
                    }
                }
            }
        }
    }

    fn saved(&self) -> Markup {
        html! {
            section id="saved" class="screen" aria-labelledby="saved-title" {
                h1 id="saved-title" tabindex="-1" { (self.say("saved-title")) }
                p id="saved-state" class="notice" role="status" {}
                p { (self.say("saved-call")) }
                (self.numbers())
                a class="button main big" href="#today" { (self.say("saved-back")) }
            }
        }
    }

    // ------------------------------------------------------------------ frame

    fn tabs(&self) -> Markup {
        html! {
            nav class="tabs" aria-label=(self.say("tabs")) {
                ul {
                    @for id in ["today", "diary", "signs", "messages"] {
                        li { a href={ "#" (id) } { (icon(id)) span { (self.say(&format!("tab-{id}"))) } } }
                    }
                }
            }
        }
    }

    /// What the script needs to know; a data block runs nothing.
    fn data(&self) -> Markup {
        let sheet = self.sheet;
        let texts: serde_json::Map<String, serde_json::Value> =
            SCRIPT_TEXTS.iter().map(|it| ((*it).to_string(), self.say(it).into())).collect();
        let groups: serde_json::Map<String, serde_json::Value> =
            sheet.warnings.iter().map(|it| (it.urgency.id().to_string(), it.title.clone().into())).collect();
        let data = json!({
            "tag": tag(&self.session.episode),
            "version": if sheet.session().is_some() { sheet.version } else { 0 },
            "on": sheet.on.to_string(),
            "until": sheet.until.to_string(),
            "ready": sheet.session().is_some(),
            "days": sheet.session().map(|it| it.days.iter().map(|it| it.to_sunday_zero_offset()).collect::<Vec<_>>()),
            "surgery": self.episode.operation.surgery.to_string(),
            "guided": format!("{}-v{}", self.episode.id, sheet.version),
            "lang": self.words.lang().id(),
            "groups": groups,
            "words": texts,
        });
        // `<` could end the element.
        let text = data.to_string().replace('<', "\\u003c");
        html! { script type="application/json" id="home-data" { (PreEscaped(text)) } }
    }
}

/// Limits under the words of those on whose word they stand.
fn by_word(limits: &[&SheetLimit]) -> Markup {
    let mut words: Vec<(&str, bool)> = limits.iter().map(|it| (it.status.as_str(), it.assumed)).collect();
    words.dedup();
    html! {
        @for (status, assumed) in words {
            h3 class=@if assumed { "assumed" } { (capital(status)) }
            ul class=(if assumed { "limits assumed" } else { "limits" }) {
                @for it in limits.iter().filter(|it| it.status == status) { li { (it.says) } }
            }
        }
    }
}

/// Small pictures above the names of the screens; the names carry the meaning.
fn icon(id: &str) -> Markup {
    let path = match id {
        "today" => "M4 19h4v-5h4V9h4V4h4M4 12 15 3",
        "diary" => "M6 3h12v18H6zM9 8h6M9 12h6M9 16h4",
        "signs" => "M12 3 22 20H2zM12 9v5M12 17v.6",
        _ => "M3 5h18v12H9l-5 4v-4H3z",
    };
    html! {
        svg viewBox="0 0 24 24" aria-hidden="true" width="24" height="24" {
            path d=(path) fill="none" stroke="currentColor" stroke-width="2" stroke-linejoin="round" stroke-linecap="round";
        }
    }
}
