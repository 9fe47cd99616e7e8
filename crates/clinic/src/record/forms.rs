//! One page with a short form for everything that is added to a record; `#measure`, `#diary` and so on lead to one
//! of them, and only that one is then shown.

use std::sync::Arc;

use crate::Right;
use crate::assets::asset;
use crate::chart::reasons::Teller;
use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, page_with};
use crate::records::{self, Loaded, New};
use axum::extract::{Path, Query};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use handrail_episode::Fact;
use handrail_library::Library;
use handrail_progress::{PainLimits, criteria};
use handrail_protocol::{Envelope, Protocol, envelope};
use maud::{Markup, html};
use serde::Deserialize;

use crate::record::asked::Wrong;
use crate::record::parts::refusal;
use crate::record::{code, describe, diary, head, measures, texts, write};

/// Forms of the page, in the order in which they are needed most.
const FORMS: [&str; 9] =
    ["measure", "diary", "code", "visit", "contact", "decision", "message", "note", "report"];

/// Protocol of an episode.
///
/// # Errors
/// It is not in the library.
pub fn protocol<'a>(library: &'a Library, loaded: &Loaded) -> Result<&'a Protocol, Fault> {
    let name = &loaded.episode.operation.protocol;
    library.protocols.get(name).ok_or_else(|| {
        Fault::refused(
            format!("there is no protocol `{name}`"),
            "put the protocol back into the clinic's content",
        )
    })
}

/// Limits of today.
///
/// # Errors
/// Orders that do not fit the protocol; a surgery that lies ahead.
pub fn today(desk: &Desk, loaded: &Loaded, protocol: &Protocol) -> Result<Envelope, Fault> {
    let day = desk.app.today().max(loaded.episode.operation.surgery);
    envelope(protocol, &loaded.episode.orders, day)
        .map_err(|error| Fault::refused(error.to_string(), "correct the restrictions on record"))
}

/// What was written a moment ago.
#[derive(Debug, Default, Deserialize)]
pub struct Asking {
    /// Entry.
    #[serde(default)]
    done: Option<u64>,
    /// True when all of it was on record already.
    #[serde(default)]
    already: Option<u8>,
}

/// The page.
///
/// # Errors
/// No such episode.
pub async fn page(desk: Desk, Path(id): Path<String>, Query(asking): Query<Asking>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "record").await?;
    shown(&desk, &loaded, None, &Fields::default(), &[], &asking)
}

/// A form that was refused.
fn shown(
    desk: &Desk,
    loaded: &Loaded,
    chosen: Option<&str>,
    fields: &Fields,
    wrong: &[(String, String)],
    asking: &Asking,
) -> Result<Markup, Fault> {
    let words = desk.words();
    let library = desk.library();
    let protocol = protocol(library, loaded)?;
    let envelope = today(desk, loaded, protocol)?;
    let states = criteria(&loaded.episode, protocol, desk.app.today());
    let blank = Fields::default();
    let typed = |form: &str| if chosen == Some(form) { fields } else { &blank };
    let body = |form: &str| match form {
        "measure" => measures::form(desk, loaded, protocol, &envelope, &states, typed(form)),
        "diary" => diary::form(desk, loaded, protocol, typed(form)),
        "code" => code::form(desk, &loaded.id, typed(form)),
        "visit" => texts::visit_form(desk, &loaded.id, typed(form)),
        "contact" => texts::contact_form(desk, loaded, typed(form)),
        "decision" => {
            texts::decision_form(desk, loaded, protocol, &states, envelope.phase.index, typed(form))
        }
        "message" => texts::message_form(desk, &loaded.id, typed(form)),
        "note" => texts::note_form(desk, &loaded.id, typed(form)),
        _ => texts::report_form(desk, loaded, typed(form)),
    };
    let forms: Vec<&str> =
        FORMS.into_iter().filter(|it| *it != "decision" || desk.may(Right::Release)).collect();
    let title = desk.say("c-record-title");
    Ok(page_with(
        desk,
        Place::None,
        &format!("{title}: {}", loaded.episode.patient.name),
        &["record.js"],
        html! {
            link rel="stylesheet" href=(asset("record.css"));
            (head::band(words, &loaded.episode, &title, desk.app.today()))
            (head::uncertain(desk, &loaded.episode, protocol, &envelope))
            (done(desk, loaded, &envelope, asking))
            (head::sheet_notice(words, &loaded.episode))
            nav class="rec-tabs" aria-label=(desk.say("c-record-forms")) {
                ul { @for form in &forms { li { a href={ "#" (form) } { (desk.say(&format!("c-record-form-{form}"))) } } } }
            }
            div class={ "rec-acts" (if chosen.is_some() { " has-chosen" } else if asking.done.is_some() { " rec-closed" } else { "" }) } {
                @for form in &forms {
                    section class={ "card rec-act" (if chosen == Some(form) { " chosen" } else { "" }) } id=(form) tabindex="-1" {
                        h2 { (desk.say(&format!("c-record-form-{form}"))) }
                        @if chosen == Some(form) { (refusal(wrong)) }
                        (body(form))
                    }
                }
            }
            (head::not_checked(words))
        },
    ))
}

/// Says what was written, and what to look at because of it.
fn done(desk: &Desk, loaded: &Loaded, envelope: &Envelope, asking: &Asking) -> Markup {
    let words = desk.words();
    if asking.already.is_some() {
        return html! { div class="alert" role="status" { p { (desk.say("c-record-already")) } } };
    }
    let Some(entry) = asking.done.and_then(|done| loaded.entries.iter().find(|it| it.number == done)) else {
        return html! {};
    };
    // One form can write several measurements; they follow each other.
    let together: Vec<_> = loaded
        .entries
        .iter()
        .filter(|it| it.number >= entry.number && matches!(it.fact, Fact::Measure(_)))
        .filter(|_| matches!(entry.fact, Fact::Measure(_)))
        .collect();
    let entries = if together.is_empty() { vec![entry] } else { together };
    let warned: Vec<String> = entries
        .iter()
        .filter_map(|it| if let Fact::Measure(measure) = &it.fact { Some(measure) } else { None })
        .flat_map(|it| measures::passed(words, it, loaded.episode.operation.side, envelope))
        .collect();
    let teller = Teller::of(words, desk.library(), &loaded.episode, desk.app.today());
    let response = match &entry.fact {
        Fact::Diary(diary) => PainLimits::STATED.passed(diary),
        _ => Vec::new(),
    };
    html! {
        @for says in &warned {
            div class="alert stop" role="alert" { p { strong { (says) } } p { (desk.say("c-record-measure-passes-do")) } }
        }
        @if !response.is_empty() {
            div class="alert care" role="status" {
                p { strong { (desk.say("c-record-call-pain")) } }
                ul { @for rule in &response { li { (desk.say(&format!("c-record-rule-{}", rule.id()))) " " span class="hint" { (rule.basis().source) } } } }
                p { a href={ "/e/" (loaded.id) "/record/call/" (entry.number) } { (desk.say("c-record-who-was-told")) } }
            }
        }
        div class="alert" role="status" {
            @for it in &entries {
                p { strong { (words.text("c-record-written", &[("number", (it.number as f64).into())])) } " "
                    a href={ "/e/" (loaded.id) "/record/correct/" (it.number) } { (desk.say("c-record-correct")) } }
                (describe::list(&teller, loaded, &it.fact))
            }
        }
    }
}

/// Writes the facts of a form and answers with the page that follows.
async fn take(
    desk: &Desk,
    id: &str,
    form: &str,
    fields: &Fields,
    read: impl FnOnce(&Loaded, &Protocol) -> Result<Vec<New>, Wrong>,
) -> Result<Response, Fault> {
    let loaded = records::load(&desk.app, id).await?;
    let library = desk.library();
    let facts = read(&loaded, protocol(library, &loaded)?);
    let wrong = match facts {
        Ok(facts) if facts.is_empty() => return Ok(see_other(&format!("/e/{id}/record?already=1#{form}"))),
        Ok(facts) => {
            let facts = write::keyed(fields.opt("once"), facts)?;
            match write::add(desk, id, facts.clone(), None, None).await {
                Ok(after) => {
                    let draft = match form {
                        "diary" => diary::draft(id, diary::held(&loaded.episode)),
                        _ => format!("{form}-{id}"),
                    };
                    desk.forget_draft(&draft).await?;
                    return Ok(see_other(&next(id, &after, &facts)));
                }
                Err(fault) => write::as_wrong(desk, fault)?,
            }
        }
        Err(wrong) => wrong,
    };
    let loaded: Arc<Loaded> = records::open(desk, id, "record").await?;
    let page = shown(desk, &loaded, Some(form), fields, &wrong, &Asking::default())?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}

/// After a warning sign the page with whom to call, otherwise this page with what was written.
fn next(id: &str, after: &Loaded, facts: &[New]) -> String {
    for (index, new) in facts.iter().enumerate() {
        if let Fact::Diary(diary) = &new.fact
            && !diary.signs.is_empty()
        {
            return format!("/e/{id}/record/call/{}", write::number_of(after, &facts[index..]));
        }
    }
    format!("/e/{id}/record?done={}", write::number_of(after, facts))
}

/// Forgets what was typed, once it is written.
trait ForgetDraft {
    async fn forget_draft(&self, what: &str) -> Result<(), Fault>;
}

impl ForgetDraft for Desk {
    async fn forget_draft(&self, what: &str) -> Result<(), Fault> {
        let (account, what) = (self.staff.account.clone(), what.to_string());
        let discard =
            move |tx: &mut dyn handrail_store::Tx| handrail_store::drafts::discard(tx, &account, &what);
        self.app.store().write(discard).await.map_err(Fault::from)
    }
}

macro_rules! forms {
    ($($(#[doc = $doc:literal])+ $name:ident: |$desk:ident, $loaded:ident, $protocol:ident, $fields:ident| $read:expr;)*) => {
        $(
            $(#[doc = $doc])+
            ///
            /// # Errors
            /// No such episode; the database.
            pub async fn $name(
                desk: Desk,
                Path(id): Path<String>,
                fields: Fields,
            ) -> Result<Response, Fault> {
                let ($desk, $fields) = (&desk, &fields);
                take($desk, &id, stringify!($name), $fields, |$loaded, $protocol| $read).await
            }
        )*
    };
}

forms! {
    /// Writes measurements.
    measure: |desk, loaded, _protocol, fields| measures::read(desk, &loaded.episode, fields);
    /// Writes a diary.
    diary: |desk, loaded, protocol, fields| {
        diary::read(desk, &loaded.episode, protocol, fields).map(|it| vec![diary::fact(it)])
    };
    /// Writes the diaries of codes.
    code: |desk, loaded, _protocol, fields| code::read(desk, loaded, fields);
    /// Writes who was told.
    contact: |desk, loaded, _protocol, fields| texts::contact(desk, &loaded.episode, fields);
    /// Writes a message to the patient.
    message: |desk, _loaded, _protocol, fields| texts::message(desk, fields);
    /// Writes a note.
    note: |desk, _loaded, _protocol, fields| texts::note(desk, fields);
    /// Writes a visit.
    visit: |desk, loaded, _protocol, fields| texts::visit(desk, &loaded.episode, fields);
    /// Writes a report that was sent.
    report: |desk, loaded, _protocol, fields| texts::report(desk, &loaded.episode, fields);
    /// Writes a decision.
    decision: |desk, _loaded, protocol, fields| texts::decision(desk, protocol, fields);
}
