//! One's own account: password, one-time codes, sessions.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, LONGEST_HOURS, Visitor, cookie, cookie_name, see_other};
use crate::layout::csrf;
use crate::login::set_cookie;
use crate::passwords;
use crate::people::audit;
use axum::response::{IntoResponse, Response};
use handrail_store::accounts::{self, Change};
use handrail_store::sessions::{self, Session};
use handrail_store::tokens::{new_secret, secret_hash};
use handrail_store::{StoreError, Tx, settings};
use jiff::Timestamp;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use crate::settings::parts::{moment, refused, sheet};
use crate::settings::secrets;

/// Minutes in which a new secret must be confirmed by a code.
const CONFIRM_MINUTES: i64 = 15;

/// A secret that does not count yet.
#[derive(Clone, Serialize, Deserialize)]
struct Pending {
    secret: String,
    made: Timestamp,
}

fn pending_name(account: &str) -> String {
    format!("totp-pending:{account}")
}

fn due_name(account: &str) -> String {
    format!("password-due:{account}")
}

/// Notes that the password of an account was set by somebody else, or that its owner has changed it.
///
/// # Errors
/// Database errors.
pub(crate) fn set_password_due(tx: &mut dyn Tx, account: &str, due: bool) -> Result<(), StoreError> {
    settings::put_json(tx, &due_name(account), &due)
}

/// Whether the password of an account was set by somebody else and waits to be changed by its owner.
///
/// # Errors
/// Database errors.
pub fn password_due(tx: &mut dyn Tx, account: &str) -> Result<bool, StoreError> {
    Ok(settings::get_json(tx, &due_name(account))?.unwrap_or(false))
}

/// The last step (30 s) whose code was taken, under the name that the login page looks at: one code, one use.
fn take_step(tx: &mut dyn Tx, account: &str, step: u64) -> Result<bool, StoreError> {
    let key = format!("totp-step:{account}");
    let last: u64 = settings::get(tx, &key)?.and_then(|it| it.parse().ok()).unwrap_or(0);
    if step <= last {
        return Ok(false);
    }
    settings::put(tx, &key, &step.to_string())?;
    Ok(true)
}

/// Asks for the present password: a desk that was left open is not enough to take an account over.
async fn check_present(desk: &Desk, visitor: &Visitor, fields: &Fields) -> Result<(), Fault> {
    let given = fields.all("present").first().cloned().unwrap_or_default();
    let id = desk.staff.account.clone();
    desk.app.limits().try_once(&visitor.address, &format!("present:{id}"))?;
    let account = desk.app.store().read(move |tx| accounts::by_id(tx, &id)).await?.ok_or(Fault::NotFound)?;
    let fits = tokio::task::spawn_blocking(move || passwords::fits(&given, Some(&account.password)))
        .await
        .map_err(|error| Fault::Internal(format!("password: {error}")))?;
    if fits {
        return Ok(());
    }
    let (id, now, address) = (desk.staff.account.clone(), desk.app.now(), visitor.address.clone());
    desk.app
        .store()
        .write(move |tx| audit(tx, now, &id, "login_failed", &format!("{address}: wrong present password")))
        .await?;
    Err(refused(desk, "c-settings-present-wrong"))
}

/// A field of a form for a password.
fn password_field(desk: &Desk, name: &str, key: &str, complete: &str) -> Markup {
    html! { label { (desk.say(key)) input name=(name) type="password" autocomplete=(complete) required; } }
}

/// The form for a new password.
pub(crate) fn password_card(desk: &Desk, login: &str) -> Markup {
    let least = desk.words().text("c-settings-password-least", &[("n", (passwords::SHORTEST as f64).into())]);
    html! {
        section class="card" aria-labelledby="password-title" {
            h3 id="password-title" { (desk.say("c-settings-password")) }
            form class="stack" method="post" action="/settings/password" {
                (csrf(desk))
                input type="hidden" name="name" autocomplete="username" value=(login);
                (password_field(desk, "present", "c-settings-password-present", "current-password"))
                label {
                    (desk.say("c-settings-password-new")) " " span class="hint" { (least) }
                    input name="new" type="password" autocomplete="new-password" minlength=(passwords::SHORTEST) required;
                }
                (password_field(desk, "again", "c-settings-password-again", "new-password"))
                p class="quiet small" { (desk.say("c-settings-password-ends")) }
                p { button class="main" { (desk.say("c-settings-password-go")) } }
            }
        }
    }
}

/// Whether one-time codes are asked for, and the way to change that.
pub(crate) fn codes_card(desk: &Desk, on: bool) -> Markup {
    html! {
        section class="card" aria-labelledby="codes-title" {
            h3 id="codes-title" { (desk.say("c-settings-codes")) }
            @if on {
                p { strong { (desk.say("c-settings-codes-on")) } }
                form class="stack" method="post" action="/settings/codes/off" {
                    (csrf(desk))
                    (password_field(desk, "present", "c-settings-password-present", "current-password"))
                    p { button class="stop" { (desk.say("c-settings-codes-end")) } }
                }
            } @else {
                p { strong { (desk.say("c-settings-codes-off")) } }
                form class="stack" method="post" action="/settings/codes/begin" {
                    (csrf(desk))
                    (password_field(desk, "present", "c-settings-password-present", "current-password"))
                    p { button { (desk.say("c-settings-codes-begin")) } }
                }
            }
            p class="quiet small" { (desk.say("c-settings-codes-lost")) }
        }
    }
}

/// Where one is logged in.
pub(crate) fn sessions_card(desk: &Desk, all: &[Session]) -> Markup {
    html! {
        section class="card" aria-labelledby="sessions-title" {
            h3 id="sessions-title" { (desk.say("c-settings-sessions")) }
            ul class="settings-sessions" {
                @for it in all {
                    li {
                        (desk.words().text("c-settings-session", &[
                            ("began", moment(desk, it.created).into()),
                            ("seen", moment(desk, it.last_seen).into()),
                            ("ends", moment(desk, it.ends).into()),
                        ]))
                        @if it.token == desk.staff.session { " " span class="tag" { (desk.say("c-settings-session-this")) } }
                    }
                }
            }
            @if all.len() > 1 {
                form method="post" action="/settings/sessions/end" {
                    (csrf(desk))
                    button { (desk.say("c-settings-sessions-end")) }
                }
            }
        }
    }
}

/// Ends all sessions of the person and begins a new one in place of this: its secret for the cookie.
///
/// The new one ends when the old one would have ended.
fn begin_anew(tx: &mut dyn Tx, desk: &Desk, fresh: &Fresh) -> Result<u64, StoreError> {
    let now = desk.app.now();
    let ends = sessions::find(tx, &desk.staff.session, now)?.map(|it| it.ends);
    let ended = sessions::end_all_of(tx, &desk.staff.account)?;
    let session = Session {
        token: secret_hash(&fresh.secret),
        account: desk.staff.account.clone(),
        kind: "desk".into(),
        csrf: fresh.csrf.clone(),
        created: now,
        last_seen: now,
        ends: ends.unwrap_or(now + jiff::SignedDuration::from_hours(LONGEST_HOURS)),
    };
    sessions::create(tx, &session)?;
    Ok(ended.saturating_sub(1))
}

/// Secrets of a session that is about to begin.
#[derive(Clone)]
struct Fresh {
    secret: String,
    csrf: String,
}

impl Fresh {
    fn new() -> Result<Fresh, Fault> {
        Ok(Fresh { secret: new_secret()?, csrf: new_secret()? })
    }

    /// A redirect that hands the browser the new session.
    fn answer(&self, desk: &Desk, to: &str) -> Response {
        let mut answer = see_other(to);
        let name = cookie_name(&desk.app, "desk");
        set_cookie(&mut answer, cookie(&desk.app, &name, Some(&self.secret), LONGEST_HOURS * 3600, true));
        answer
    }
}

pub(crate) async fn change_password(desk: Desk, visitor: Visitor, fields: Fields) -> Result<Response, Fault> {
    // Passwords are taken as typed: a blank at either end is part of one.
    let text = |name: &str| fields.all(name).first().cloned().unwrap_or_default();
    let new = text("new");
    if new.chars().count() < passwords::SHORTEST {
        let args = [("n", (passwords::SHORTEST as f64).into())];
        return Err(crate::settings::parts::refused_with(&desk, "c-settings-password-short", &args));
    }
    if new != text("again") {
        return Err(refused(&desk, "c-settings-password-differs"));
    }
    if new == text("present") {
        return Err(refused(&desk, "c-settings-password-same"));
    }
    check_present(&desk, &visitor, &fields).await?;
    let phc = tokio::task::spawn_blocking(move || passwords::hash(&new))
        .await
        .map_err(|error| Fault::Internal(format!("password: {error}")))??;
    let fresh = Fresh::new()?;
    let (at, secrets) = (desk.clone(), fresh.clone());
    desk.app
        .store()
        .write(move |tx| {
            let id = &at.staff.account;
            accounts::update(tx, id, &Change { password: Some(phc.clone()), ..Change::default() })?;
            set_password_due(tx, id, false)?;
            let ended = begin_anew(tx, &at, &secrets)?;
            audit(
                tx,
                at.app.now(),
                id,
                "account",
                &format!("own password changed; {ended} other sessions ended"),
            )
        })
        .await?;
    Ok(fresh.answer(&desk, "/settings?done=password"))
}

pub(crate) async fn end_other_sessions(desk: Desk) -> Result<Response, Fault> {
    let fresh = Fresh::new()?;
    let (at, secrets) = (desk.clone(), fresh.clone());
    desk.app
        .store()
        .write(move |tx| {
            let ended = begin_anew(tx, &at, &secrets)?;
            audit(tx, at.app.now(), &at.staff.account, "logout", &format!("{ended} other sessions ended"))
        })
        .await?;
    Ok(fresh.answer(&desk, "/settings?done=sessions"))
}

pub(crate) async fn begin_codes(desk: Desk, visitor: Visitor, fields: Fields) -> Result<Response, Fault> {
    check_present(&desk, &visitor, &fields).await?;
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    let pending = Pending { secret: passwords::new_totp_secret()?, made: now };
    let on = desk
        .app
        .store()
        .write(move |tx| {
            if accounts::by_id(tx, &id)?.is_none_or(|it| it.totp.is_some()) {
                return Ok(true);
            }
            settings::put_json(tx, &pending_name(&id), &Some(pending.clone()))?;
            Ok(false)
        })
        .await?;
    if on {
        return Err(refused(&desk, "c-settings-codes-already"));
    }
    Ok(see_other("/settings/codes"))
}

/// The secret that waits for its first code, if it is not too old.
fn pending(tx: &mut dyn Tx, account: &str, now: Timestamp) -> Result<Option<Pending>, StoreError> {
    let found: Option<Option<Pending>> = settings::get_json(tx, &pending_name(account))?;
    let oldest = now - jiff::SignedDuration::from_mins(CONFIRM_MINUTES);
    Ok(found.flatten().filter(|it| it.made >= oldest))
}

pub(crate) async fn codes_page(desk: Desk) -> Result<Response, Fault> {
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    let found =
        desk.app.store().read(move |tx| Ok((pending(tx, &id, now)?, accounts::by_id(tx, &id)?))).await?;
    let (Some(pending), Some(account)) = found else { return Ok(see_other("/settings")) };
    let address = passwords::totp_address(&pending.secret, &account.login)
        .ok_or_else(|| Fault::Internal("a secret without an address".into()))?;
    let title = desk.say("c-settings-codes-title");
    let body = html! {
        section class="card settings-narrow" {
            ol class="stack" {
                li { (desk.say("c-settings-codes-step-1")) }
                li {
                    (desk.say("c-settings-codes-step-2"))
                    (secrets::code(&address, &desk.say("c-settings-codes-picture"))?)
                    p { (desk.say("c-settings-codes-typed")) }
                    p class="settings-secret" { (secrets::in_fours(&pending.secret)) }
                }
                li { (desk.say("c-settings-codes-step-3")) }
            }
            form class="stack" method="post" action="/settings/codes/confirm" {
                (csrf(&desk))
                label { (desk.say("c-login-code"))
                    input name="code" inputmode="numeric" autocomplete="one-time-code" maxlength="8" required; }
                p { button class="main" { (desk.say("c-settings-codes-confirm")) } }
            }
            p class="quiet small" {
                (desk.words().text("c-settings-codes-minutes", &[("n", (CONFIRM_MINUTES as f64).into())]))
                " " (desk.say("c-settings-codes-lost"))
            }
        }
    };
    Ok(sheet(&desk, &title, body).into_response())
}

pub(crate) async fn confirm_codes(desk: Desk, visitor: Visitor, fields: Fields) -> Result<Response, Fault> {
    let code = fields.opt("code").unwrap_or_default().replace(' ', "");
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    desk.app.limits().try_once(&visitor.address, &format!("code:{id}"))?;
    // Sessions that began with the password alone end; this one goes on under another secret.
    let fresh = Fresh::new()?;
    let (at, secrets) = (desk.clone(), fresh.clone());
    let fits = desk
        .app
        .store()
        .write(move |tx| {
            let Some(pending) = pending(tx, &id, now)? else { return Ok(false) };
            let Some(step) = passwords::totp_step(&pending.secret, &code, now.as_second().unsigned_abs())
            else {
                return Ok(false);
            };
            // The code that turned them on does not open a session as well.
            if !take_step(tx, &id, step)? {
                return Ok(false);
            }
            accounts::update(tx, &id, &Change { totp: Some(Some(pending.secret)), ..Change::default() })?;
            settings::put_json(tx, &pending_name(&id), &None::<Pending>)?;
            let ended = begin_anew(tx, &at, &secrets)?;
            let says = format!("own one-time codes turned on; {ended} other sessions ended");
            audit(tx, now, &id, "account", &says)?;
            Ok(true)
        })
        .await?;
    if !fits {
        return Err(refused(&desk, "c-settings-codes-wrong"));
    }
    Ok(fresh.answer(&desk, "/settings?done=codes-on"))
}

pub(crate) async fn end_codes(desk: Desk, visitor: Visitor, fields: Fields) -> Result<Response, Fault> {
    check_present(&desk, &visitor, &fields).await?;
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    desk.app
        .store()
        .write(move |tx| {
            accounts::update(tx, &id, &Change { totp: Some(None), ..Change::default() })?;
            audit(tx, now, &id, "account", "own one-time codes turned off")
        })
        .await?;
    Ok(see_other("/settings?done=codes-off"))
}
