//! Logging in and out, the language, drafts of forms.

use axum::Json;
use axum::extract::{Path, Query, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Response};
use handrail_store::sessions::Session;
use handrail_store::tokens::{new_secret, secret_hash};
use handrail_store::{StoreError, Tx, accounts, drafts, sessions, settings};
use handrail_words::Lang;
use maud::{Markup, html};
use serde::Deserialize;

use crate::app::App;
use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, LANG_COOKIE, LONGEST_HOURS, Visitor, cookie, cookie_name, see_other};
use crate::layout::{bare_page, name_of};
use crate::passwords;
use crate::people::audit;
use crate::rights::Right;
use crate::routes::Route;

/// Wrong passwords in a row after which an account waits.
const TRIES: u32 = 10;
/// How long it waits, s.
const WAIT_S: i64 = 15 * 60;
/// Most bytes of a draft.
const DRAFT: usize = 64 * 1024;

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![
        Route::get("/login", Right::Anyone, login_page),
        Route::post("/login", Right::Anyone, log_in),
        Route::post("/logout", Right::Account, log_out),
        Route::post("/language", Right::Account, choose_language),
        Route::post("/drafts", Right::Account, keep_draft).data().most(DRAFT),
        Route::get("/drafts/{what}", Right::Account, read_draft).data(),
    ]
}

/// Where to go afterwards.
#[derive(Debug, Default, Deserialize)]
pub struct Back {
    /// Path.
    #[serde(default)]
    pub back: Option<String>,
}

/// A path of this server and nothing else: `//host` and `/\host` would leave it.
pub fn local(path: Option<&str>) -> &str {
    path.filter(|it| {
        it.starts_with('/')
            && !it.starts_with("//")
            && !it.contains('\\')
            && !it.chars().any(char::is_control)
    })
    .unwrap_or("/")
}

async fn login_page(visitor: Visitor, Query(back): Query<Back>) -> Markup {
    form(&visitor, local(back.back.as_deref()), None)
}

fn form(visitor: &Visitor, back: &str, wrong: Option<&str>) -> Markup {
    let words = visitor.words();
    let title = words.text("c-login-title", &[]);
    bare_page(
        words,
        &title,
        html! {
            h1 { (title) }
            @if let Some(key) = wrong { div class="alert stop" role="alert" { (words.text(key, &[])) } }
            form class="stack card" method="post" action="/login" {
                (visitor.token())
                input type="hidden" name="back" value=(back);
                label { (words.text("c-login-name", &[])) input name="name" autocomplete="username" required autofocus; }
                label { (words.text("c-login-password", &[])) input name="password" type="password" autocomplete="current-password" required; }
                label { (words.text("c-login-code", &[])) span class="hint" { " " (words.text("c-login-code-hint", &[])) }
                    input name="code" inputmode="numeric" autocomplete="one-time-code" maxlength="8"; }
                button class="main" { (words.text("c-login-go", &[])) }
            }
            p class="quiet small" { (words.text("c-login-help", &[])) }
        },
    )
}

async fn log_in(visitor: Visitor, fields: Fields) -> Result<Response, Fault> {
    let app = &visitor.app;
    let (name, password) = (fields.text("name")?.to_lowercase(), fields.text("password")?.to_string());
    let back = local(fields.opt("back")).to_string();
    app.limits().try_once(&visitor.address, &format!("login:{name}"))?;
    let (lookup, now) = (name.clone(), app.now());
    let account = app.store().read(move |tx| accounts::by_login(tx, &lookup)).await?;
    let waits = account.as_ref().and_then(|it| it.locked_until).is_some_and(|it| it > now);
    let phc = account.as_ref().filter(|it| it.active && !waits).map(|it| it.password.clone());
    // Hashing is work for a thread of its own.
    let fits = tokio::task::spawn_blocking(move || passwords::fits(&password, phc.as_deref()))
        .await
        .map_err(|error| Fault::Internal(format!("password: {error}")))?;
    let step = account.as_ref().and_then(|it| {
        let secret = it.totp.as_deref()?;
        passwords::totp_step(secret, fields.opt("code").unwrap_or_default(), now.as_second() as u64)
    });
    let needs_code = account.as_ref().is_some_and(|it| it.totp.is_some());
    let Some(account) = account.filter(|_| fits && (!needs_code || step.is_some())) else {
        refuse(app, &name, &visitor.address).await?;
        let page = form(&visitor, &back, Some("c-login-wrong"));
        return Ok((StatusCode::UNAUTHORIZED, page).into_response());
    };
    let secret = new_secret()?;
    let (hash, csrf) = (secret_hash(&secret), new_secret()?);
    let ends = now + jiff::SignedDuration::from_hours(LONGEST_HOURS);
    let session = Session {
        token: hash,
        account: account.id.clone(),
        kind: "desk".into(),
        csrf,
        created: now,
        last_seen: now,
        ends,
    };
    let entered = app.store().write(move |tx| enter(tx, &session, step)).await?;
    if !entered {
        refuse(app, &name, &visitor.address).await?;
        let page = form(&visitor, &back, Some("c-login-wrong"));
        return Ok((StatusCode::UNAUTHORIZED, page).into_response());
    }
    let mut answer = see_other(&back);
    set_cookie(
        &mut answer,
        cookie(app, &cookie_name(app, "desk"), Some(&secret), LONGEST_HOURS * 3600, true),
    );
    Ok(answer)
}

/// Begins a session, unless its one-time code was used before.
fn enter(tx: &mut dyn Tx, session: &Session, step: Option<u64>) -> Result<bool, StoreError> {
    if let Some(step) = step {
        let key = format!("totp-step:{}", session.account);
        let last: u64 = settings::get(tx, &key)?.and_then(|it| it.parse().ok()).unwrap_or(0);
        if step <= last {
            return Ok(false);
        }
        settings::put(tx, &key, &step.to_string())?;
    }
    accounts::note_success(tx, &session.account)?;
    sessions::create(tx, session)?;
    audit(tx, session.created, &session.account, "login", "")?;
    Ok(true)
}

/// Counts a wrong try; after too many in a row the account waits.
async fn refuse(app: &App, name: &str, address: &str) -> Result<(), Fault> {
    let (name, address, now) = (name.to_string(), address.to_string(), app.now());
    let until = now + jiff::SignedDuration::from_secs(WAIT_S);
    app.store()
        .write(move |tx| {
            if let Some(account) = accounts::by_login(tx, &name)? {
                let lock = (account.failed + 1 >= TRIES).then_some(until);
                accounts::note_failure(tx, &account.id, lock)?;
                return audit(tx, now, &account.id, "login_failed", &address);
            }
            Ok::<(), StoreError>(())
        })
        .await?;
    Ok(())
}

async fn log_out(desk: Desk) -> Result<Response, Fault> {
    let (hash, now, id) = (desk.staff.session, desk.app.now(), desk.staff.account.clone());
    desk.app
        .store()
        .write(move |tx| {
            sessions::end(tx, &hash)?;
            audit(tx, now, &id, "logout", "")
        })
        .await?;
    let mut answer = see_other("/login");
    set_cookie(&mut answer, cookie(&desk.app, &cookie_name(&desk.app, "desk"), None, 0, true));
    Ok(answer)
}

async fn choose_language(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    let text = fields.text("lang")?;
    let known: Vec<&str> = Lang::ALL.into_iter().map(name_of).collect();
    let lang: Lang = text
        .parse()
        .map_err(|_| Fault::refused(format!("there are no words in `{text}`"), known.join(", ")))?;
    let mut answer = see_other(local(fields.opt("back")));
    set_cookie(&mut answer, cookie(&desk.app, LANG_COOKIE, Some(lang.id()), 365 * 86_400, false));
    Ok(answer)
}

/// Adds a cookie to an answer.
pub fn set_cookie(answer: &mut Response, cookie: String) {
    if let Ok(value) = HeaderValue::from_str(&cookie) {
        answer.headers_mut().append(header::SET_COOKIE, value);
    }
}

/// A draft as a script sends it; without a text it is dropped.
#[derive(Debug, Deserialize)]
struct Draft {
    what: String,
    text: String,
}

async fn keep_draft(desk: Desk, Json(draft): Json<Draft>) -> Result<StatusCode, Fault> {
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    let keep = move |tx: &mut dyn Tx| match draft.text.as_str() {
        "" => drafts::discard(tx, &id, &draft.what),
        text => drafts::put(tx, &id, &draft.what, text, now),
    };
    desk.app.store().write(keep).await?;
    Ok(StatusCode::NO_CONTENT)
}

async fn read_draft(desk: Desk, State(app): State<App>, Path(what): Path<String>) -> Result<Response, Fault> {
    let id = desk.staff.account;
    let text = app.store().read(move |tx| drafts::get(tx, &id, &what)).await?;
    Ok(match text {
        Some(draft) => Json(serde_json::json!({ "text": draft.0 })).into_response(),
        None => StatusCode::NO_CONTENT.into_response(),
    })
}
