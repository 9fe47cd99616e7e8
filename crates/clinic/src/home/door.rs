//! The door of a patient's page: shows nothing of anybody, asks the date of birth, limits the tries. Unknown, expired
//! and revoked links get the same answers as one whose date of birth was wrong.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{LANG_COOKIE, Visitor, cookie, cookie_name, see_other};
use crate::people::audit;
use crate::{App, Right, Route, records};
use axum::extract::{Path, Query};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use handrail_store::links::{self, Link, PatientSession};
use handrail_store::tokens::{new_secret, secret_hash};
use handrail_store::{StoreError, Tx};
use handrail_words::Lang;
use jiff::civil::Date;
use maud::{Markup, html};
use serde::Deserialize;

use crate::home::frame;
use crate::home::sheet::lang_of;

/// Wrong dates in a row after which a link is taken back.
pub(crate) const TRIES: u32 = 5;
/// Longest session of a phone; a link that ends earlier ends it too.
const SESSION_DAYS: i64 = 90;
/// Seconds for which a chosen language is kept.
pub(crate) const LANG_S: i64 = 365 * 24 * 3600;

/// Routes.
pub(crate) fn routes() -> Vec<Route> {
    vec![
        Route::get("/p/{secret}", Right::Anyone, door_page),
        Route::post("/p/{secret}", Right::Anyone, knock),
    ]
}

/// A language chosen at the door.
#[derive(Debug, Default, Deserialize)]
struct Chosen {
    #[serde(default)]
    lang: Option<String>,
}

async fn door_page(visitor: Visitor, Path(secret): Path<String>, Query(chosen): Query<Chosen>) -> Markup {
    let picked: Option<Lang> = chosen.lang.as_deref().and_then(|it| it.parse().ok());
    form(&visitor, &secret, picked, None)
}

/// The form. What was typed is not shown again: the next person at this phone need not see it.
fn form(visitor: &Visitor, secret: &str, picked: Option<Lang>, wrong: Option<&str>) -> Markup {
    let words = visitor.content.words(picked.unwrap_or(visitor.lang));
    let say = |key: &str| words.text(key, &[]);
    let title = say("p-door-title");
    // Only letters and digits are ever made; anything else in the address is nobody's secret.
    let action = format!("/p/{}", crate::fault::url_encode(secret).replace('/', "%2F"));
    let month = html! {
        label { (say("p-door-month"))
            select name="month" autocomplete="bday-month" required {
                option value="" { (say("p-door-choose")) }
                @for month in 1..=12 { option value=(month) { (words.text(&format!("month-{month}"), &[])) } }
            }
        }
    };
    let number = |name: &str, most: &str, complete: &str| {
        html! {
            label { (say(&format!("p-door-{name}")))
                input name=(name) inputmode="numeric" pattern="[0-9]*" maxlength=(most) autocomplete=(complete) required;
            }
        }
    };
    let day = number("day", "2", "bday-day");
    let year = number("year", "4", "bday-year");
    frame::page(
        words,
        &title,
        &["patient-door.js"],
        None,
        false,
        html! {
            main class="door" {
                h1 { (title) }
                p { (say("p-door-lead")) }
                @if let Some(key) = wrong { div class="notice stop" role="alert" { p { (say(key)) } } }
                form method="post" action=(action) class="card" data-door="" {
                    (visitor.token())
                    @if let Some(lang) = picked { input type="hidden" name="lang" value=(lang.id()); }
                    fieldset class="birth" {
                        legend { (say("p-door-born")) }
                        div class="birth-fields" {
                            @if words.lang() == Lang::En { (month) (day) } @else { (day) (month) }
                            (year)
                        }
                    }
                    button class="main big" { (say("p-door-go")) }
                }
                p class="quiet" { (say("p-door-help")) }
                nav class="row" aria-label=(say("p-language")) {
                    @for lang in Lang::ALL.into_iter().filter(|it| *it != words.lang()) {
                        a class="plain" href={ (action) "?lang=" (lang.id()) } lang=(lang.id()) { (lang.own_name()) }
                    }
                }
            }
        },
    )
}

/// The date of three fields, or `None` where they make no date.
fn born(fields: &Fields) -> Option<Date> {
    let number = |name: &str| fields.count_opt(name).ok().flatten();
    let (year, month, day) = (number("year")?, number("month")?, number("day")?);
    Date::new(year.try_into().ok()?, month.try_into().ok()?, day.try_into().ok()?).ok()
}

async fn knock(visitor: Visitor, Path(secret): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let app = &visitor.app;
    let hash = secret_hash(&secret);
    let picked: Option<Lang> = fields.opt("lang").and_then(|it| it.parse().ok());
    // The hash, not the secret, names the link in memory.
    let name = blake3::Hash::from(hash).to_hex();
    app.limits().try_once(&visitor.address, &format!("door:{}", &name[..16]))?;
    let Some(given) = born(&fields) else {
        let page = form(&visitor, &secret, picked, Some("p-door-blank"));
        return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
    };
    let Some((cookie_secret, session, language)) = enter(app, hash, given).await? else {
        let page = form(&visitor, &secret, picked, Some("p-door-wrong"));
        return Ok((StatusCode::UNAUTHORIZED, page).into_response());
    };
    let lasts = session.ends.as_second() - session.created.as_second();
    let lang = picked.unwrap_or(language);
    let mut answer = see_other("/home");
    for line in [
        cookie(app, &cookie_name(app, "home"), Some(&cookie_secret), lasts, true),
        cookie(app, LANG_COOKIE, Some(lang.id()), LANG_S, true),
    ] {
        if let Ok(value) = HeaderValue::from_str(&line) {
            answer.headers_mut().append(header::SET_COOKIE, value);
        }
    }
    Ok(answer)
}

/// Begins a session when link and date of birth fit; counts a wrong date and takes the link back after too many.
async fn enter(
    app: &App,
    hash: [u8; 32],
    given: Date,
) -> Result<Option<(String, PatientSession, Lang)>, Fault> {
    let now = app.now();
    let found = app.store().read(move |tx| links::find(tx, &hash)).await?;
    let Some(link) = found.filter(|it| it.is_open(now)) else { return Ok(None) };
    let loaded = records::load(app, &link.episode).await?;
    let patient = &loaded.episode.patient;
    let fits = patient.born == Some(given);
    let secret = new_secret()?;
    let longest = now + jiff::SignedDuration::from_hours(SESSION_DAYS * 24);
    let session = PatientSession {
        token: secret_hash(&secret),
        link: link.id.clone(),
        csrf: new_secret()?,
        created: now,
        ends: link.expires.min(longest),
    };
    let lang = lang_of(&patient.language);
    let begun = session.clone();
    let opened = app.store().write(move |tx| judge(tx, &link, fits, &begun)).await?;
    Ok(opened.then_some((secret, session, lang)))
}

/// The decision in one transaction: two tries at the same moment count as two.
fn judge(tx: &mut dyn Tx, link: &Link, fits: bool, session: &PatientSession) -> Result<bool, StoreError> {
    let now = session.created;
    let Some(link) = links::by_id(tx, &link.id)?.filter(|it| it.is_open(now)) else { return Ok(false) };
    let by = format!("patient:{}", link.id);
    if fits {
        links::reset_tries(tx, &link.id)?;
        links::begin_session(tx, session)?;
        audit(tx, now, &by, "link", &format!("{} opened {}", link.id, link.episode))?;
        return Ok(true);
    }
    let tries = links::note_wrong(tx, &link.id, now)?;
    audit(tx, now, &by, "link", &format!("{}: wrong date of birth, {tries} in a row", link.id))?;
    if tries >= TRIES {
        links::revoke(tx, &link.id, now)?;
        audit(tx, now, &by, "link", &format!("{} taken back after {tries} wrong dates", link.id))?;
    }
    Ok(false)
}
