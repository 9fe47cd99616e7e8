//! People: the list, and a new account.

use crate::fault::{Fault, url_encode};
use crate::fields::Fields;
use crate::gate::Desk;
use crate::layout::csrf;
use crate::people::audit;
use crate::{Role, passwords};
use axum::extract::Query;
use axum::response::{IntoResponse, Response};
use handrail_store::accounts::{self, Account, NewAccount};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::settings::own::set_password_due;
use crate::settings::parts::{
    Told, moment, refused, refused_with, role_name, role_name_of, sheet, signature, under,
};
use crate::settings::secrets::one_time_password;

/// Longest name, title or login name.
const LONGEST: usize = 80;

pub(crate) async fn page(desk: Desk, Query(told): Query<Told>) -> Result<Markup, Fault> {
    let mut all = desk.app.store().read(accounts::list).await?;
    // Those who have left stand below; the order is otherwise that of the names.
    all.sort_by(|a, b| b.active.cmp(&a.active).then_with(|| a.name.cmp(&b.name)));
    let now = desk.app.now();
    let title = desk.say("c-settings-people");
    let heads = [
        "c-settings-person-name",
        "c-login-name",
        "c-settings-person-role",
        "c-settings-person-state",
        "c-settings-codes",
    ]
    .map(|it| desk.say(it));
    let body = html! {
        (told.line(&desk))
        div class="card" {
            table class="settings-table settings-people" {
                caption class="unseen" { (title) }
                thead { tr {
                    @for head in &heads { th scope="col" { (head) } }
                } }
                tbody {
                    @for it in &all {
                        tr {
                            th scope="row" { a href={ "/settings/people/" (url_encode(&it.id)) } { (signature(&it.name, &it.title)) } }
                            td data-name=(heads[1]) { (it.login) }
                            td data-name=(heads[2]) { (role_name_of(desk.words(), &it.role)) }
                            td data-name=(heads[3]) { (state(&desk, it, now)) }
                            td data-name=(heads[4]) { (desk.say(if it.totp.is_some() { "c-settings-yes" } else { "c-settings-no" })) }
                        }
                    }
                }
            }
        }
        section class="card settings-narrow" aria-labelledby="add-title" {
            h2 id="add-title" { (desk.say("c-settings-person-add")) }
            form class="stack" method="post" action="/settings/people" {
                (csrf(&desk))
                label { (desk.say("c-login-name")) " " span class="hint" { (desk.say("c-settings-login-hint")) }
                    input name="login" autocomplete="off" maxlength=(LONGEST) required; }
                (name_fields(&desk, "", ""))
                (role_choice(&desk, None))
                p class="quiet small" { (desk.say("c-settings-password-once-about")) }
                p { button class="main" { (desk.say("c-settings-person-add-go")) } }
            }
        }
    };
    Ok(sheet(&desk, &title, body))
}

/// In words whether a person can log in.
pub(crate) fn state(desk: &Desk, it: &Account, now: Timestamp) -> Markup {
    html! {
        @if !it.active {
            span class="tag" { (desk.say("c-settings-state-out")) }
        } @else if let Some(until) = it.locked_until.filter(|it| *it > now) {
            span class="tag stop" { (desk.words().text("c-settings-state-locked", &[("until", moment(desk, until).into())])) }
        } @else {
            (desk.say("c-settings-state-in"))
        }
    }
}

/// Fields for name and title.
pub(crate) fn name_fields(desk: &Desk, name: &str, title: &str) -> Markup {
    html! {
        label { (desk.say("c-settings-person-name")) " " span class="hint" { (desk.say("c-settings-person-name-hint")) }
            input name="name" value=(name) autocomplete="off" maxlength=(LONGEST) required; }
        label { (desk.say("c-settings-person-title")) " " span class="hint" { (desk.say("c-settings-person-title-hint")) }
            input name="title" value=(title) autocomplete="off" maxlength=(LONGEST); }
    }
}

/// A choice among the roles, with what each may.
pub(crate) fn role_choice(desk: &Desk, now: Option<Role>) -> Markup {
    html! {
        fieldset class="settings-roles" {
            legend { (desk.say("c-settings-person-role")) }
            @for role in Role::ALL {
                label class="tick" {
                    input type="radio" name="role" value=(role.id()) checked[now == Some(role)] required;
                    span {
                        strong { (role_name(desk.words(), role)) }
                        span class="quiet small" { " " (desk.say(&format!("c-settings-role-{}-about", role.id().replace('_', "-")))) }
                    }
                }
            }
        }
    }
}

/// Name and title as typed; both stand under entries and on sheets.
pub(crate) fn read_names(desk: &Desk, fields: &Fields) -> Result<(String, String), Fault> {
    let name = fields.opt("name").ok_or_else(|| refused(desk, "c-settings-person-no-name"))?;
    let title = fields.opt("title").unwrap_or_default();
    for text in [name, title] {
        if text.chars().count() > LONGEST || text.chars().any(char::is_control) {
            return Err(refused_with(desk, "c-settings-person-long", &[("n", (LONGEST as f64).into())]));
        }
    }
    Ok((name.to_string(), title.to_string()))
}

/// The role of a form.
pub(crate) fn read_role(desk: &Desk, fields: &Fields) -> Result<Role, Fault> {
    fields.opt("role").and_then(Role::of).ok_or_else(|| refused(desk, "c-settings-person-no-role"))
}

pub(crate) async fn add(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    let (name, title) = read_names(&desk, &fields)?;
    let role = read_role(&desk, &fields)?;
    let login = fields.opt("login").unwrap_or_default().to_lowercase();
    if login.is_empty()
        || login.chars().count() > LONGEST
        || login.chars().any(|it| it.is_control() || it.is_whitespace())
    {
        return Err(refused(&desk, "c-settings-login-bad"));
    }
    let password = one_time_password()?;
    let typed = password.clone();
    let phc = tokio::task::spawn_blocking(move || passwords::hash(&typed))
        .await
        .map_err(|error| Fault::Internal(format!("password: {error}")))??;
    let new = NewAccount { login, name, title, role: role.id().into(), password: phc };
    let (id, now, wanted) = (desk.staff.account.clone(), desk.app.now(), new.clone());
    let made = desk
        .app
        .store()
        .write(move |tx| {
            if accounts::by_login(tx, &wanted.login)?.is_some() {
                return Ok(None);
            }
            let made = accounts::create(tx, &wanted, now)?;
            set_password_due(tx, &made.id, true)?;
            let says =
                format!("{} created as {}: {}", made.login, made.role, signature(&made.name, &made.title));
            audit(tx, now, &id, "account", &says)?;
            Ok(Some(made))
        })
        .await?;
    let Some(made) = made else {
        return Err(refused_with(&desk, "c-settings-login-taken", &[("login", new.login.into())]));
    };
    Ok(once_page(&desk, &made, &password))
}

/// The page that shows a one-time password, this once.
pub(crate) fn once_page(desk: &Desk, account: &Account, password: &str) -> Response {
    let title = desk.say("c-settings-password-once");
    let up = format!("/settings/people/{}", url_encode(&account.id));
    let name = signature(&account.name, &account.title);
    let body = html! {
        section class="card settings-narrow" {
            dl class="settings-once" {
                dt { (desk.say("c-settings-person-name")) } dd { (name) }
                dt { (desk.say("c-login-name")) } dd { (account.login) }
                dt { (desk.say("c-login-password")) } dd class="settings-secret" { (password) }
            }
            p class="alert care" { (desk.say("c-settings-password-once-shown")) }
            p { (desk.say("c-settings-password-once-say")) }
            p { a class="button" href=(up) { (desk.say("c-settings-password-once-done")) } }
        }
    };
    under(desk, "/settings/people", &desk.say("c-settings-people"), &title, body).into_response()
}
