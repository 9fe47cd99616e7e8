//! The first page of the settings: where to go, and one's own account.

use crate::Right;
use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{Place, page as frame};
use axum::extract::Query;
use handrail_store::{accounts, sessions};
use maud::{Markup, html};

use crate::settings::own;
use crate::settings::parts::{Told, role_name};

/// Path, key of its name (`KEY-about` says what is there), right.
const PLACES: [(&str, &str, Right); 6] = [
    ("/settings/clinic", "c-settings-clinic", Right::Clinic),
    ("/settings/people", "c-settings-people", Right::People),
    ("/settings/audit", "c-settings-audit", Right::Audit),
    ("/settings/backups", "c-settings-backups", Right::Backup),
    ("/content/waiting", "c-settings-waiting", Right::SignContent),
    ("/settings/incidents", "c-settings-incidents", Right::Account),
];

pub(crate) async fn page(desk: Desk, Query(told): Query<Told>) -> Result<Markup, Fault> {
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    let (account, open, due) = desk
        .app
        .store()
        .read(move |tx| {
            Ok((accounts::by_id(tx, &id)?, sessions::of_account(tx, &id, now)?, own::password_due(tx, &id)?))
        })
        .await?;
    let account = account.ok_or(Fault::NotFound)?;
    let title = desk.say("c-menu-settings");
    Ok(frame(
        &desk,
        Place::Settings,
        &title,
        html! {
            link rel="stylesheet" href=(asset("settings.css"));
            h1 { (title) }
            (told.line(&desk))
            @if due { div class="alert care" role="status" { p { (desk.say("c-settings-password-due")) } } }
            nav aria-label=(desk.say("c-settings-places")) {
                ul class="settings-places" {
                    @for (path, key, _) in PLACES.into_iter().filter(|it| desk.may(it.2)) {
                        li {
                            a href=(path) { (desk.say(key)) }
                            p class="quiet small" { (desk.say(&format!("{key}-about"))) }
                        }
                    }
                }
            }
            section class="settings-own" aria-labelledby="own-title" {
                h2 id="own-title" { (desk.say("c-settings-own")) }
                p { strong { (desk.staff.name) } " · " (role_name(desk.words(), desk.staff.role)) " · " (desk.say("c-login-name")) ": " (account.login) }
                div class="cards" {
                    (own::password_card(&desk, &account.login))
                    (own::codes_card(&desk, account.totp.is_some()))
                    (own::sessions_card(&desk, &open))
                }
            }
        },
    ))
}
