//! The clinic's name and the numbers to call.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::csrf;
use crate::numbers::{self, Numbers};
use crate::people::audit;
use crate::records::author;
use axum::extract::Query;
use axum::response::Response;
use handrail_store::caseload;
use maud::{Markup, html};

use crate::settings::carry::{self, Carried, Change};
use crate::settings::clock;
use crate::settings::job::{self, Turn};
use crate::settings::parts::{Told, moment, refused, refused_with, sheet};

/// Longest text of a field: it must fit on a sheet.
const LONGEST: usize = 120;

/// Field, key of its name (`KEY-hint` says more).
const FIELDS: [(&str, &str); 4] = [
    ("name", "c-settings-clinic-name"),
    ("phone", "c-settings-clinic-phone"),
    ("out_of_hours", "c-settings-clinic-late"),
    ("emergency", "c-settings-clinic-emergency"),
];

pub(crate) async fn page(desk: Desk, Query(told): Query<Told>) -> Result<Markup, Fault> {
    let (numbers, open, carried) = desk
        .app
        .store()
        .read(|tx| Ok((numbers::read(tx)?, caseload::count(tx, None, true)?, carry::last(tx)?)))
        .await?;
    let missing = numbers.as_ref().is_none_or(|it| !it.is_whole());
    let it = numbers.unwrap_or_default();
    let values = [&it.name, &it.phone, &it.out_of_hours, &it.emergency];
    let title = desk.say("c-settings-clinic");
    let zone = desk.app.config().zone.clone();
    let zone = zone.iana_name().map_or_else(|| format!("{zone:?}"), str::to_string);
    let body = html! {
        (told.line(&desk))
        (clock::part(&desk))
        @if missing { div class="alert stop" role="status" { p { (desk.say("c-settings-clinic-missing")) } } }
        div class="cards" {
            section class="card" aria-labelledby="numbers-title" {
                h2 id="numbers-title" { (desk.say("c-settings-clinic-numbers")) }
                form class="stack" method="post" action="/settings/clinic" {
                    (csrf(&desk))
                    @for ((name, key), value) in FIELDS.into_iter().zip(values) {
                        label { (desk.say(key)) " " span class="hint" { (desk.say(&format!("{key}-hint"))) }
                            input name=(name) value=(value) maxlength=(LONGEST) autocomplete="off" required; }
                    }
                    p { button class="main" { (desk.say("c-settings-clinic-save")) } }
                }
            }
            section class="card" aria-labelledby="sheets-title" {
                h2 id="sheets-title" { (desk.say("c-settings-clinic-sheets")) }
                p { (desk.words().text("c-settings-clinic-open", &[("n", (open as f64).into())])) }
                p { (desk.say("c-settings-clinic-old")) }
                @if let Some(it) = &carried { (progress(&desk, it)) }
            }
            section class="card" aria-labelledby="zone-title" {
                h2 id="zone-title" { (desk.say("c-settings-clinic-zone")) }
                p { strong { (zone) } }
                p class="quiet small" { (desk.say("c-settings-clinic-zone-about")) }
            }
        }
    };
    Ok(sheet(&desk, &title, body))
}

/// How far the last change has come.
fn progress(desk: &Desk, it: &Carried) -> Markup {
    let args = [
        ("at", moment(desk, it.began).into()),
        ("changed", (it.changed as f64).into()),
        ("failed", (it.failed as f64).into()),
    ];
    let under_way = Turn::is_taken(&desk.app, carry::WORK);
    html! {
        @if it.ended.is_none() && under_way {
            p class="alert" { (desk.words().text("c-settings-carry-running", &args[..1])) }
        } @else if it.ended.is_none() || it.failed > 0 {
            div class="alert care" {
                p { (desk.words().text(if it.ended.is_none() { "c-settings-carry-stopped" } else { "c-settings-carry-failed" }, &args)) }
                form method="post" action="/settings/clinic/carry" { (csrf(desk)) button { (desk.say("c-settings-carry-again")) } }
            }
        } @else {
            p { (desk.words().text("c-settings-carry-done", &args[..2])) }
        }
    }
}

/// The numbers of a form.
fn read(desk: &Desk, fields: &Fields) -> Result<Numbers, Fault> {
    let text = |at: usize| -> Result<String, Fault> {
        let (name, key) = FIELDS[at];
        let field = || [("field", desk.say(key).into())];
        let value =
            fields.opt(name).ok_or_else(|| refused_with(desk, "c-settings-clinic-blank", &field()))?;
        if value.chars().count() > LONGEST || value.chars().any(char::is_control) {
            return Err(refused_with(desk, "c-settings-clinic-long", &field()));
        }
        Ok(value.to_string())
    };
    let read = Numbers { name: text(0)?, phone: text(1)?, out_of_hours: text(2)?, emergency: text(3)? };
    for (at, number) in [(1, &read.phone), (3, &read.emergency)] {
        if !number.chars().any(|it| it.is_ascii_digit()) {
            let field = [("field", desk.say(FIELDS[at].1).into())];
            return Err(refused_with(desk, "c-settings-clinic-no-digit", &field));
        }
    }
    Ok(read)
}

pub(crate) async fn save(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    let new = read(&desk, &fields)?;
    let Some(turn) = Turn::take(&desk.app, carry::WORK) else {
        return Err(refused(&desk, "c-settings-running-already"));
    };
    let (id, now, numbers) = (desk.staff.account.clone(), desk.app.now(), new.clone());
    desk.app
        .store()
        .write(move |tx| {
            let before = numbers::read(tx)?.unwrap_or_default();
            numbers::write(tx, &numbers)?;
            carry::begin(tx, now)?;
            audit(tx, now, &id, "setting", &difference(&before, &numbers))
        })
        .await?;
    follow(&desk, turn, new).await
}

/// What was changed, for the audit.
fn difference(before: &Numbers, after: &Numbers) -> String {
    let pairs = [
        ("name", &before.name, &after.name),
        ("phone", &before.phone, &after.phone),
        ("out of hours", &before.out_of_hours, &after.out_of_hours),
        ("emergency", &before.emergency, &after.emergency),
    ];
    let changed: Vec<String> = pairs
        .into_iter()
        .filter(|(_, a, b)| a != b)
        .map(|(what, a, b)| format!("{what}: `{a}` -> `{b}`"))
        .collect();
    if changed.is_empty() {
        "clinic: saved without a change".into()
    } else {
        format!("clinic: {}", changed.join(", "))
    }
}

/// Brings the numbers that are on record to the open episodes once more.
pub(crate) async fn carry_again(desk: Desk) -> Result<Response, Fault> {
    let Some(numbers) = desk.app.store().read(numbers::read).await? else {
        return Err(refused(&desk, "c-settings-clinic-none"));
    };
    let Some(turn) = Turn::take(&desk.app, carry::WORK) else {
        return Err(refused(&desk, "c-settings-running-already"));
    };
    let now = desk.app.now();
    desk.app.store().write(move |tx| carry::begin(tx, now)).await?;
    follow(&desk, turn, numbers).await
}

async fn follow(desk: &Desk, turn: Turn, numbers: Numbers) -> Result<Response, Fault> {
    let (app, by) = (desk.app.clone(), author(desk));
    job::run(turn, async move { carry::carry(&app, &by, &Change::Numbers(numbers)).await }).await?;
    Ok(see_other("/settings/clinic?done=numbers"))
}
