//! Issuing a version, and what comes after it: print, phone, and the word that the patient got it.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use crate::assets::asset;
use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, csrf, name_of, page};
use crate::records::{self, Check, Loaded, New};
use crate::rights::Right;
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use handrail_episode::{Fact, Issued, Medium, plan};
use handrail_store::StoreError;
use handrail_words::Lang;
use maud::{Markup, html};

use crate::program::answers::{aside, forget, keep, look, study};
use crate::program::basis::plan_number;
use crate::program::form::Form;
use crate::program::page::{Notice, head, path};
use crate::program::study::Study;

/// `POST issue`: writes the version and its overrides in one transaction, unless somebody was there before.
pub async fn issue(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let loaded = look(&desk, &id).await?;
    let form = Form::read(&fields);
    keep(&desk, &id, &form).await?;
    let found = study(&desk, &loaded, &form).await?;
    if plan_number(&loaded) > form.seen {
        return again(desk, loaded, form, StatusCode::CONFLICT, None).await;
    }
    let waivers = found.waivers();
    if !waivers.is_empty() && !desk.may(Right::Override) {
        return Err(Fault::Forbidden);
    }
    let other = if found.problems.is_empty() { refusal(&desk, &loaded, &found).await? } else { None };
    if !found.problems.is_empty() || other.is_some() {
        return again(desk, loaded, form, StatusCode::UNPROCESSABLE_ENTITY, other).await;
    }
    let today = desk.app.today();
    let mut facts: Vec<New> = waivers.into_iter().map(|it| New::fact(today, Fact::Waiver(it))).collect();
    facts.push(New::fact(today, Fact::Program(found.program.clone())));
    let (late, seen) = (Arc::new(AtomicBool::new(false)), form.seen);
    let noted = late.clone();
    let check: Check = Arc::new(move |now: &Loaded| {
        let is_late = plan_number(now) > seen;
        noted.store(is_late, Ordering::SeqCst);
        match is_late {
            true => {
                Err(StoreError::refused("program or orders were changed meanwhile", "look at what changed"))
            }
            false => Ok(()),
        }
    });
    match records::write(&desk.app, &id, records::author(&desk), facts, Some(check)).await {
        Ok(_) => {
            forget(&desk, &id).await?;
            Ok(see_other(&format!("{}/issued", path(&id))))
        }
        Err(_) if late.load(Ordering::SeqCst) => {
            let loaded = records::load(&desk.app, &id).await?;
            again(desk, loaded, form, StatusCode::CONFLICT, None).await
        }
        Err(fault) => Err(fault),
    }
}

/// Asks the room `episode` once more, with nothing taken from what was kept: the last word is the one that every
/// output asks.
async fn refusal(desk: &Desk, loaded: &Arc<Loaded>, found: &Study) -> Result<Option<String>, Fault> {
    let mut episode = loaded.episode.as_ref().clone();
    episode.programs.push(found.program.clone());
    episode.waivers.extend(found.waivers());
    let (library, today) = (desk.library().clone(), desk.app.today());
    aside(move || {
        let protocol = library.protocols.get(&episode.operation.protocol)?;
        let planned = plan(&episode, protocol, &library.exercises, today);
        planned.and_then(|it| it.session(&library.postures)).err().map(|it| it.to_string())
    })
    .await
}

/// The page with everything typed, and why it was not issued.
async fn again(
    desk: Desk,
    loaded: Arc<Loaded>,
    form: Form,
    status: StatusCode,
    other: Option<String>,
) -> Result<Response, Fault> {
    let found = study(&desk, &loaded, &form).await?;
    let notice = if status == StatusCode::CONFLICT {
        Notice::default()
    } else {
        let own = found.problems.iter().map(|it| crate::program::board::problem(&desk, &form, &found, it));
        let list: Vec<String> = own.chain(other).collect();
        Notice {
            html: html! {
                div class="alert stop" role="alert" {
                    p { strong { (desk.say("c-program-not-issued")) } }
                    ul { @for it in &list { li { (it) } } }
                }
            },
            restored: None,
        }
    };
    let html = aside(move || crate::program::page::page(&desk, &loaded, &form, &found, &notice)).await?;
    Ok((status, html).into_response())
}

/// `GET issued`: the newest version on its way to the patient.
pub async fn issued_page(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    let loaded = look(&desk, &id).await?;
    Ok(issued(&desk, &loaded).await?.into_response())
}

async fn issued(desk: &Desk, loaded: &Arc<Loaded>) -> Result<Markup, Fault> {
    let words = desk.words();
    let newest = loaded.episode.programs.iter().max_by_key(|it| it.version).ok_or(Fault::NotFound)?;
    let found = study(desk, loaded, &Form::default()).await?;
    let held = loaded.episode.held();
    let has_it = held.is_some_and(|it| it.fact.1.version == newest.version);
    let here = format!("/e/{}", loaded.id);
    let title = words.text("c-program-issued-title", &[("n", newest.version.into())]);
    let body = html! {
        link rel="stylesheet" href=(asset("program.css"));
        h1 { (title) }
        (head(desk, loaded, &found))
        section class="card" {
            p {
                (words.text("c-program-issued-by", &[("by", newest.by.as_str().into()), ("date", words.date_short(newest.issued).into())])) " "
                @match &newest.signed_by {
                    Some(by) => (words.text("c-program-signed-by", &[("by", by.as_str().into())])),
                    None => span class="tag assumed" { (desk.say("c-program-draft")) },
                }
                @if let Some(until) = newest.valid_until { " " (words.text("c-program-valid", &[("date", words.date_short(until).into())])) }
            }
            @if let Some(old) = loaded.episode.programs.iter().filter(|it| it.version < newest.version).max_by_key(|it| it.version) {
                p { (words.text("c-program-old-superseded", &[("old", old.version.into()), ("n", newest.version.into())])) }
            }
            ol { @for it in &newest.exercises { li { (words.exercise_title(&it.exercise, it.side)) } } }
            div class="row" {
                a class="button main" href={ (here) "/handout.pdf" } { (desk.say("c-program-print")) }
                a class="button" href={ (here) "/home" } { (desk.say("c-program-phone")) }
                a class="button" href={ (here) "/program" } { (desk.say("c-program-back")) }
            }
        }
        section class="card" aria-labelledby="given" {
            h2 id="given" { (desk.say("c-program-given")) }
            @match held {
                Some(it) if has_it => div class="alert" role="status" { p { (words.text("c-program-has-it", &[("n", newest.version.into()), ("date", words.date_short(it.fact.0).into()), ("by", it.fact.1.by.as_str().into()), ("medium", medium_words(desk, it.fact.1.medium).into()), ("language", it.fact.1.language.parse::<Lang>().map_or("", name_of).into())])) } },
                Some(it) => div class="alert care" role="status" { p { (words.text("c-program-still-holds", &[("n", it.fact.1.version.into()), ("new", newest.version.into())])) } },
                None => div class="alert care" role="status" { p { (desk.say("c-program-holds-none")) } },
            }
            form class="stack" method="post" action={ (here) "/program/issued" } {
                (csrf(desk))
                input type="hidden" name="version" value=(newest.version);
                div class="fields" {
                    label { (desk.say("c-program-medium"))
                        select name="medium" { @for it in MEDIA { option value=(medium_id(it)) { (medium_words(desk, it)) } } }
                    }
                    label { (desk.say("c-program-language"))
                        select name="language" { @for it in Lang::ALL { option value=(it.id()) selected[it.id() == loaded.episode.patient.language] { (name_of(it)) } } }
                    }
                }
                div { button class="main" { (words.text("c-program-record-given", &[("n", newest.version.into())])) } }
            }
        }
    };
    Ok(page(desk, Place::Patients, &title, body))
}

const MEDIA: [Medium; 3] = [Medium::Paper, Medium::Page, Medium::File];

fn medium_id(it: Medium) -> &'static str {
    match it {
        Medium::Paper => "paper",
        Medium::Page => "page",
        Medium::File => "file",
    }
}

fn medium_words(desk: &Desk, it: Medium) -> String {
    desk.say(&format!("c-program-medium-{}", medium_id(it)))
}

/// `POST issued`: the patient got the version.
pub async fn record_issued(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let loaded = look(&desk, &id).await?;
    let version = fields.count_opt("version")?;
    let program = loaded.episode.programs.iter().find(|it| Some(it.version) == version);
    let program = program.ok_or_else(|| {
        Fault::refused(
            "there is no such version of the program",
            "load the page again and choose the newest one",
        )
    })?;
    let medium = MEDIA.into_iter().find(|it| Some(medium_id(*it)) == fields.opt("medium"));
    let medium =
        medium.ok_or_else(|| Fault::refused("`medium` is not known", "choose paper, page or file"))?;
    let language: Lang = fields
        .text("language")?
        .parse()
        .map_err(|_| Fault::refused("there are no words in this language", "choose another language"))?;
    let today = desk.app.today();
    let fact = Issued {
        version: program.version,
        medium,
        language: language.id().into(),
        valid_until: program.valid_until.unwrap_or_else(|| loaded.episode.valid_until(today, None)),
        by: desk.staff.name.clone(),
    };
    let facts = vec![New::fact(today, Fact::Issued(fact))];
    records::write(&desk.app, &id, records::author(&desk), facts, None).await?;
    Ok(see_other(&format!("{}/issued", path(&id))))
}
