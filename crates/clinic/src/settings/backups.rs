//! Backups: made now, listed, and how to restore one. No download: each holds all patients.

use std::path::{Path, PathBuf};
use std::time::SystemTime;

use crate::fault::Fault;
use crate::gate::{Desk, see_other};
use crate::layout::csrf;
use crate::people::audit;
use axum::extract::Query;
use axum::response::Response;
use handrail_store::{Place, backup};
use jiff::Timestamp;
use maud::{Markup, html};

use crate::settings::job::{self, Turn};
use crate::settings::parts::{Told, moment, refused, refused_with, sheet};

/// Kind of work, for the turn.
const WORK: &str = "backup";

/// A backup that lies in the folder.
struct Found {
    name: String,
    bytes: u64,
    made: Option<Timestamp>,
}

/// Folder of the backups: beside the file with the records; `None` where the records are in PostgreSQL.
fn folder(place: &Place) -> Option<PathBuf> {
    match place {
        Place::Sqlite(file) => Some(file.parent().unwrap_or(Path::new(".")).join("backups")),
        Place::Postgres(_) => None,
    }
}

/// Whole backups in a folder, the newest first. Files in the making have other names.
fn list(folder: &Path) -> std::io::Result<Vec<Found>> {
    let mut found = Vec::new();
    let files = match std::fs::read_dir(folder) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(found),
        other => other?,
    };
    for file in files {
        let file = file?;
        let name = file.file_name().to_string_lossy().into_owned();
        if !(name.starts_with("clinic-") && name.ends_with(".db")) {
            continue;
        }
        let about = file.metadata()?;
        let made = about.modified().ok().and_then(|it: SystemTime| Timestamp::try_from(it).ok());
        found.push(Found { name, bytes: about.len(), made });
    }
    // The names tell the moment, so their order is that of time.
    found.sort_by(|a, b| b.name.cmp(&a.name));
    Ok(found)
}

/// A size in the unit that leaves one to three digits before the point.
fn size(desk: &Desk, bytes: u64) -> String {
    let mb = bytes as f64 / 1e6;
    let (key, value) = if mb < 1000.0 { ("c-settings-mb", mb) } else { ("c-settings-gb", mb / 1000.0) };
    desk.words().text(key, &[("n", ((value * 10.0).ceil() / 10.0).into())])
}

pub(crate) async fn page(desk: Desk, Query(told): Query<Told>) -> Result<Markup, Fault> {
    let title = desk.say("c-settings-backups");
    let body = match folder(desk.app.store().place()) {
        None => server_body(&desk),
        Some(folder) => {
            let at = folder.clone();
            let found = tokio::task::spawn_blocking(move || list(&at))
                .await
                .map_err(|error| Fault::Internal(format!("list of backups: {error}")))?;
            file_body(&desk, &folder, found)
        }
    };
    Ok(sheet(
        &desk,
        &title,
        html! {
            (told.line(&desk))
            (body)
            (restore_card(&desk))
        },
    ))
}

/// Records in PostgreSQL are copied from the command line.
fn server_body(desk: &Desk) -> Markup {
    html! {
        section class="card" aria-labelledby="make-title" {
            h2 id="make-title" { (desk.say("c-settings-backup-make")) }
            p { (desk.say("c-settings-backup-server")) }
            pre tabindex="0" { "handrail backup FILE --database postgres://... --key-file KEY" }
        }
    }
}

fn file_body(desk: &Desk, folder: &Path, found: std::io::Result<Vec<Found>>) -> Markup {
    html! {
        section class="card" aria-labelledby="make-title" {
            h2 id="make-title" { (desk.say("c-settings-backup-make")) }
            p { (desk.say("c-settings-backup-about")) }
            p class="small" { (desk.say("c-settings-backup-where")) " " code class="settings-path" { (folder.display()) } }
            p { strong { (desk.say("c-settings-backup-elsewhere")) } }
            @if Turn::is_taken(&desk.app, WORK) { p class="alert" { (desk.say("c-settings-done-running")) } }
            form method="post" action="/settings/backups" { (csrf(desk)) button class="main" { (desk.say("c-settings-backup-go")) } }
        }
        section class="card" {
            h2 { (desk.say("c-settings-backup-list")) }
            @match found {
                Err(error) => div class="alert stop" { p { (desk.words().text("c-settings-backup-unreadable", &[("what", error.to_string().into())])) } },
                Ok(list) if list.is_empty() => p { (desk.say("c-settings-backup-none")) },
                Ok(list) => { (table(desk, &list)) },
            }
        }
    }
}

fn table(desk: &Desk, list: &[Found]) -> Markup {
    let all: u64 = list.iter().map(|it| it.bytes).sum();
    let args = [("n", (list.len() as f64).into()), ("size", size(desk, all).into())];
    let [file, when, of_size] =
        ["c-settings-backup-file", "c-settings-col-when", "c-settings-backup-size"].map(|it| desk.say(it));
    html! {
        div {
            table class="settings-table" {
                caption class="unseen" { (desk.say("c-settings-backup-list")) }
                thead { tr {
                    th scope="col" { (file) }
                    th scope="col" { (when) }
                    th scope="col" class="number" { (of_size) }
                } }
                tbody {
                    @for it in list {
                        tr {
                            th scope="row" class="settings-file" { (it.name) }
                            td class="settings-when" data-name=(when) { @if let Some(made) = it.made { (moment(desk, made)) } }
                            td class="number" data-name=(of_size) { (size(desk, it.bytes)) }
                        }
                    }
                }
            }
        }
        p class="quiet small" { (desk.words().text("c-settings-backup-all", &args)) }
    }
}

fn restore_card(desk: &Desk) -> Markup {
    html! {
        section class="card" aria-labelledby="restore-title" {
            h2 id="restore-title" { (desk.say("c-settings-restore")) }
            ol class="stack" {
                li { (desk.say("c-settings-restore-1")) }
                li { (desk.say("c-settings-restore-2")) pre tabindex="0" { "handrail restore BACKUP --data NEW-FOLDER --key-file KEY" } }
                li { (desk.say("c-settings-restore-3")) pre tabindex="0" { "handrail serve --data NEW-FOLDER --key-file KEY" } }
            }
            p { (desk.say("c-settings-restore-key")) }
            p { (desk.say("c-settings-restore-try")) }
        }
    }
}

/// Makes a folder that only its owner may look into.
fn private_folder(folder: &Path) -> std::io::Result<()> {
    let mut make = std::fs::DirBuilder::new();
    make.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut make, 0o700);
    make.create(folder)
}

pub(crate) async fn make(desk: Desk) -> Result<Response, Fault> {
    let Some(folder) = folder(desk.app.store().place()) else {
        return Err(refused(&desk, "c-settings-backup-by-command"));
    };
    let Some(turn) = Turn::take(&desk.app, WORK) else {
        return Err(refused(&desk, "c-settings-running-already"));
    };
    let local = desk.app.now().to_zoned_datetime(desk.app.config().zone.clone());
    let name = format!("clinic-{}.db", local.strftime("%Y%m%d-%H%M%S"));
    let at = desk.clone();
    let done = job::run(turn, async move { copy(&at, folder, name).await }).await?;
    let what = if done.is_some() { "backup" } else { "running" };
    Ok(see_other(&format!("/settings/backups?done={what}")))
}

/// Makes the copy and writes down that it was made, or that it failed.
async fn copy(desk: &Desk, folder: PathBuf, name: String) -> Result<(), Fault> {
    let (store, to) = (desk.app.store().clone(), folder.join(&name));
    let copied = tokio::task::spawn_blocking(move || {
        private_folder(&folder).map_err(|error| format!("{}: {error}", folder.display()))?;
        backup::backup(&store, &to).map_err(|error| error.message())
    })
    .await
    .map_err(|error| Fault::Internal(format!("backup: {error}")))?;
    let says = match &copied {
        Ok(found) => format!("{name}: {} entries, digest {}", found.entries, found.digest),
        Err(error) => format!("{name} failed: {error}"),
    };
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    desk.app.store().write(move |tx| audit(tx, now, &id, "backup", &says)).await?;
    copied
        .map(drop)
        .map_err(|error| refused_with(desk, "c-settings-backup-failed", &[("what", error.into())]))
}
