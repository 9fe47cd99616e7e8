//! One account: name, title, role, whether it may log in, password, one-time codes, lock.

use crate::fault::{Fault, url_encode};
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::csrf;
use crate::people::audit;
use crate::records::author;
use crate::{Right, Role, passwords};
use axum::extract::{Path, Query};
use axum::response::Response;
use handrail_store::accounts::{self, Account, Change};
use handrail_store::{StoreError, Tx, caseload, sessions};
use maud::{Markup, html};

use crate::settings::carry::{self, Change as Carry};
use crate::settings::job::{self, Turn};
use crate::settings::own::{password_due, set_password_due};
use crate::settings::parts::{Told, moment, refused, signature, under};
use crate::settings::people::{name_fields, once_page, read_names, read_role, role_choice, state};
use crate::settings::secrets::one_time_password;

/// What a transaction answers: done, or the key of why not; a refusal is found before anything is written.
type Answer<T> = Result<Result<T, &'static str>, StoreError>;

/// There is no such account.
const NOBODY: &str = "c-settings-no-person";
/// Without this person nobody could look after the accounts.
const LAST: &str = "c-settings-last-people";

pub(crate) async fn page(
    desk: Desk,
    Path(id): Path<String>,
    Query(told): Query<Told>,
) -> Result<Markup, Fault> {
    let now = desk.app.now();
    let found = desk
        .app
        .store()
        .read(move |tx| {
            let Some(account) = accounts::by_id(tx, &id)? else { return Ok(None) };
            let name = signature(&account.name, &account.title);
            let open = caseload::count(tx, Some(&name), true)?;
            let sessions = sessions::of_account(tx, &id, now)?.len();
            let due = password_due(tx, &id)?;
            Ok(Some((account, open, sessions, due)))
        })
        .await?;
    let (account, open, sessions, due) = found.ok_or(Fault::NotFound)?;
    let own = account.id == desk.staff.account;
    let title = signature(&account.name, &account.title);
    let words = desk.words();
    let body = html! {
        (told.line(&desk))
        section class="card" aria-labelledby="state-title" {
            h2 id="state-title" { (desk.say("c-settings-person-state")) }
            dl class="settings-facts" {
                div { dt { (desk.say("c-login-name")) } dd { (account.login) } }
                div { dt { (desk.say("c-settings-person-state")) } dd { (state(&desk, &account, now)) } }
                div { dt { (desk.say("c-settings-sessions")) } dd { (sessions) } }
                div { dt { (desk.say("c-settings-codes")) } dd { (desk.say(if account.totp.is_some() { "c-settings-yes" } else { "c-settings-no" })) } }
                div { dt { (desk.say("c-settings-person-since")) } dd { (moment(&desk, account.created)) } }
                div { dt { (desk.say("c-settings-person-patients")) } dd { (open) } }
            }
            @if due { p class="quiet" { (desk.say("c-settings-person-due")) } }
            @if !account.active && open > 0 {
                p class="alert care" { (words.text("c-settings-person-orphans", &[("n", (open as f64).into())])) }
            }
        }
        div class="cards" {
            (names_card(&desk, &account, own))
            (access_card(&desk, &account, own, open))
        }
    };
    Ok(under(&desk, "/settings/people", &desk.say("c-settings-people"), &title, body))
}

fn path(account: &Account, then: &str) -> String {
    format!("/settings/people/{}{then}", url_encode(&account.id))
}

fn names_card(desk: &Desk, account: &Account, own: bool) -> Markup {
    html! {
        section class="card" aria-labelledby="names-title" {
            h2 id="names-title" { (desk.say("c-settings-person-names")) }
            form class="stack" method="post" action=(path(account, "")) {
                (csrf(desk))
                (name_fields(desk, &account.name, &account.title))
                (role_choice(desk, Role::of(&account.role)))
                p class="quiet small" { (desk.say("c-settings-person-rename")) @if own { " " (desk.say("c-settings-own-role-about")) } }
                p { button class="main" { (desk.say("c-settings-person-save")) } }
            }
        }
    }
}

fn access_card(desk: &Desk, account: &Account, own: bool, open: u64) -> Markup {
    let button = |then: &str, class: &str, key: &str, about: &str| {
        html! {
            form class="settings-deed" method="post" action=(path(account, then)) {
                (csrf(desk))
                @if then == "/active" { input type="hidden" name="active" value=(if account.active { "no" } else { "yes" }); }
                button class=(class) { (desk.say(key)) }
                p class="quiet small" { (desk.say(about)) }
            }
        }
    };
    let locked = account.locked_until.is_some_and(|it| it > desk.app.now());
    html! {
        section class="card" aria-labelledby="access-title" {
            h2 id="access-title" { (desk.say("c-settings-person-access")) }
            @if locked { (button("/unlock", "", "c-settings-unlock", "c-settings-unlock-about")) }
            @if own {
                p { (desk.say("c-settings-person-own")) " " a href="/settings" { (desk.say("c-settings-own")) } }
            } @else {
                (button("/password", "", "c-settings-reset", "c-settings-reset-about"))
                @if account.totp.is_some() { (button("/codes-off", "", "c-settings-codes-take", "c-settings-codes-take-about")) }
            }
            @if account.active {
                (button("/active", "stop", "c-settings-take-out", "c-settings-take-out-about"))
                @if open > 0 { p class="alert care" { (desk.words().text("c-settings-take-out-patients", &[("n", (open as f64).into())])) } }
            } @else {
                (button("/active", "", "c-settings-let-in", "c-settings-let-in-about"))
            }
        }
    }
}

/// Whether the account, as it would be, or another active one may look after accounts.
fn somebody_keeps_people(
    tx: &mut dyn Tx,
    account: &str,
    role: &str,
    active: bool,
) -> Result<bool, StoreError> {
    let keeps = |role: &str, active: bool| active && Role::of(role).is_some_and(|it| it.may(Right::People));
    if keeps(role, active) {
        return Ok(true);
    }
    Ok(accounts::list(tx)?.iter().any(|it| it.id != account && keeps(&it.role, it.active)))
}

/// Whether a role has a right that the other has not.
fn raises(from: &str, to: Role) -> bool {
    let Some(from) = Role::of(from) else { return true };
    to.rights().iter().any(|it| !from.may(*it))
}

/// A refusal of a transaction, told.
fn told_refusal(desk: &Desk, key: &str) -> Fault {
    if key == NOBODY { Fault::NotFound } else { refused(desk, key) }
}

pub(crate) async fn change(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let (name, title) = read_names(&desk, &fields)?;
    let role = read_role(&desk, &fields)?;
    let own = id == desk.staff.account;
    // Renaming a therapist goes on into the episodes; two such changes at once would meet there.
    let Some(turn) = Turn::take(&desk.app, carry::WORK) else {
        return Err(refused(&desk, "c-settings-running-already"));
    };
    let (by, now, key, is) =
        (desk.staff.account.clone(), desk.app.now(), id.clone(), signature(&name, &title));
    let done: Result<String, &str> = desk
        .app
        .store()
        .write(move |tx| -> Answer<String> {
            let Some(before) = accounts::by_id(tx, &key)? else { return Ok(Err(NOBODY)) };
            if own && raises(&before.role, role) {
                return Ok(Err("c-settings-own-role"));
            }
            if !somebody_keeps_people(tx, &key, role.id(), before.active)? {
                return Ok(Err(LAST));
            }
            let change = Change {
                name: Some(name.clone()),
                title: Some(title.clone()),
                role: Some(role.id().into()),
                ..Change::default()
            };
            let after = accounts::update(tx, &key, &change)?;
            audit(tx, now, &by, "account", &difference(&before, &after))?;
            Ok(Ok(signature(&before.name, &before.title)))
        })
        .await?;
    let was = done.map_err(|it| told_refusal(&desk, it))?;
    if was != is {
        let (app, by) = (desk.app.clone(), author(&desk));
        job::run(turn, async move { carry::carry(&app, &by, &Carry::Therapist { was, is }).await }).await?;
    }
    Ok(see_other(&format!("/settings/people/{}?done=changed", url_encode(&id))))
}

/// What was changed, for the audit.
fn difference(before: &Account, after: &Account) -> String {
    let pairs = [
        ("name", &before.name, &after.name),
        ("title", &before.title, &after.title),
        ("role", &before.role, &after.role),
    ];
    let changed: Vec<String> = pairs
        .into_iter()
        .filter(|(_, a, b)| a != b)
        .map(|(what, a, b)| format!("{what}: `{a}` -> `{b}`"))
        .collect();
    if changed.is_empty() {
        return format!("{}: saved without a change", after.login);
    }
    format!("{}: {}", after.login, changed.join(", "))
}

pub(crate) async fn set_active(
    desk: Desk,
    Path(id): Path<String>,
    fields: Fields,
) -> Result<Response, Fault> {
    let active = match fields.text("active")? {
        "yes" => true,
        "no" => false,
        other => return Err(Fault::refused(format!("`active`: `{other}`"), "send `yes` or `no`")),
    };
    let (by, now, key) = (desk.staff.account.clone(), desk.app.now(), id.clone());
    let done = desk
        .app
        .store()
        .write(move |tx| -> Answer<()> {
            let Some(before) = accounts::by_id(tx, &key)? else { return Ok(Err(NOBODY)) };
            if !somebody_keeps_people(tx, &key, &before.role, active)? {
                return Ok(Err(LAST));
            }
            accounts::update(tx, &key, &Change { active: Some(active), ..Change::default() })?;
            let says = if active {
                format!("{}: may log in again", before.login)
            } else {
                let ended = sessions::end_all_of(tx, &key)?;
                format!("{}: may no longer log in; {ended} sessions ended", before.login)
            };
            audit(tx, now, &by, "account", &says)?;
            Ok(Ok(()))
        })
        .await?;
    done.map_err(|it| told_refusal(&desk, it))?;
    if !active && id == desk.staff.account {
        return Ok(see_other("/login"));
    }
    let what = if active { "let-in" } else { "taken-out" };
    Ok(see_other(&format!("/settings/people/{}?done={what}", url_encode(&id))))
}

pub(crate) async fn reset_password(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    // One's own password is changed with the old one: a desk that was left open is not enough.
    if id == desk.staff.account {
        return Err(refused(&desk, "c-settings-reset-own"));
    }
    let password = one_time_password()?;
    let typed = password.clone();
    let phc = tokio::task::spawn_blocking(move || passwords::hash(&typed))
        .await
        .map_err(|error| Fault::Internal(format!("password: {error}")))??;
    let (by, now) = (desk.staff.account.clone(), desk.app.now());
    let done = desk
        .app
        .store()
        .write(move |tx| -> Answer<Account> {
            if accounts::by_id(tx, &id)?.is_none() {
                return Ok(Err(NOBODY));
            }
            let change = Change { password: Some(phc.clone()), ..Change::default() };
            let after = accounts::update(tx, &id, &change)?;
            set_password_due(tx, &id, true)?;
            let ended = sessions::end_all_of(tx, &id)?;
            let says = format!("{}: password reset; {ended} sessions ended", after.login);
            audit(tx, now, &by, "account", &says)?;
            Ok(Ok(after))
        })
        .await?;
    let account = done.map_err(|it| told_refusal(&desk, it))?;
    Ok(once_page(&desk, &account, &password))
}

pub(crate) async fn codes_off(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    if id == desk.staff.account {
        return Err(refused(&desk, "c-settings-reset-own"));
    }
    let (by, now, key) = (desk.staff.account.clone(), desk.app.now(), id.clone());
    let done = desk
        .app
        .store()
        .write(move |tx| -> Answer<()> {
            if accounts::by_id(tx, &key)?.is_none() {
                return Ok(Err(NOBODY));
            }
            let after = accounts::update(tx, &key, &Change { totp: Some(None), ..Change::default() })?;
            audit(tx, now, &by, "account", &format!("{}: one-time codes turned off", after.login))?;
            Ok(Ok(()))
        })
        .await?;
    done.map_err(|it| told_refusal(&desk, it))?;
    Ok(see_other(&format!("/settings/people/{}?done=person-codes-off", url_encode(&id))))
}

pub(crate) async fn unlock(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    let (by, now, key) = (desk.staff.account.clone(), desk.app.now(), id.clone());
    let done = desk
        .app
        .store()
        .write(move |tx| -> Answer<()> {
            let Some(account) = accounts::by_id(tx, &key)? else { return Ok(Err(NOBODY)) };
            accounts::note_success(tx, &key)?;
            let says = format!("{}: lock lifted after {} wrong tries", account.login, account.failed);
            audit(tx, now, &by, "account", &says)?;
            Ok(Ok(()))
        })
        .await?;
    done.map_err(|it| told_refusal(&desk, it))?;
    Ok(see_other(&format!("/settings/people/{}?done=unlocked", url_encode(&id))))
}
