//! What several pages of the settings use: their frame, what was done, refusals in the reader's language, moments.

use crate::Role;
use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{Place, page};
use handrail_words::{Arg, Words};
use jiff::Timestamp;
use maud::{Markup, html};
use serde::Deserialize;

/// What was done, told after the redirect.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Told {
    /// One of [`DONE`].
    done: Option<String>,
}

/// What can have been done: `?done=` takes nothing else.
const DONE: [&str; 14] = [
    "password",
    "codes-on",
    "codes-off",
    "sessions",
    "changed",
    "taken-out",
    "let-in",
    "unlocked",
    "person-codes-off",
    "numbers",
    "backup",
    "incident",
    "verified",
    "running",
];

impl Told {
    /// The sentence, if there is one to say.
    pub fn line(&self, desk: &Desk) -> Markup {
        let known = self.done.as_deref().filter(|it| DONE.contains(it));
        html! {
            @if let Some(id) = known {
                div class="alert" role="status" { p { (desk.say(&format!("c-settings-done-{id}"))) } }
            }
        }
    }
}

/// A page of the settings: a way back, its title, its body.
pub(crate) fn sheet(desk: &Desk, title: &str, body: Markup) -> Markup {
    under(desk, "/settings", &desk.say("c-menu-settings"), title, body)
}

/// The same under another page.
pub(crate) fn under(desk: &Desk, up: &str, up_name: &str, title: &str, body: Markup) -> Markup {
    page(
        desk,
        Place::Settings,
        title,
        html! {
            link rel="stylesheet" href=(asset("settings.css"));
            div class="settings-head" {
                p { a class="up" href=(up) { (up_name) } }
                h1 { (title) }
            }
            (body)
        },
    )
}

/// A refusal by the key of its sentence; `KEY-mend` says how to mend it.
pub(crate) fn refused(desk: &Desk, key: &str) -> Fault {
    refused_with(desk, key, &[])
}

/// The same with values.
pub(crate) fn refused_with(desk: &Desk, key: &str, args: &[(&str, Arg)]) -> Fault {
    let words = desk.words();
    Fault::refused(words.text(key, args), words.text(&format!("{key}-mend"), args))
}

/// A moment in the clinic's zone: day and time of day.
pub(crate) fn moment(desk: &Desk, at: Timestamp) -> String {
    let local = at.to_zoned_datetime(desk.app.config().zone.clone()).datetime();
    format!("{} {:02}:{:02}", desk.words().date_short(local.date()), local.hour(), local.minute())
}

/// Name of a role.
pub(crate) fn role_name(words: &Words, role: Role) -> String {
    words.text(&format!("c-settings-role-{}", role.id().replace('_', "-")), &[])
}

/// Name of the role with this identifier; one that this program does not know is shown as it is.
pub(crate) fn role_name_of(words: &Words, id: &str) -> String {
    Role::of(id).map_or_else(|| id.to_string(), |it| role_name(words, it))
}

/// Name and title as they stand under entries.
pub(crate) fn signature(name: &str, title: &str) -> String {
    if title.is_empty() { name.to_string() } else { format!("{name}, {title}") }
}
