//! The frame of every page, and the parts that several pages use.

use handrail_words::Words;
use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::assets::asset;
use crate::fields::Fields;
use crate::gate::Desk;
use crate::rights::Right;
use crate::settings::moment;

/// Places of the main menu.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Who needs attention.
    Today,
    /// All patients.
    Patients,
    /// New episode.
    New,
    /// Exercises and protocols.
    Content,
    /// Settings.
    Settings,
    /// None of them.
    None,
}

/// Main menu: place, path, key of its name, right.
const MENU: [(Place, &str, &str, Right); 5] = [
    (Place::Today, "/", "c-menu-today", Right::Record),
    (Place::Patients, "/patients", "c-menu-patients", Right::Names),
    (Place::New, "/new", "c-menu-new", Right::Intake),
    (Place::Content, "/content", "c-menu-content", Right::Content),
    (Place::Settings, "/settings", "c-menu-settings", Right::Account),
];

/// A page of the clinic.
pub fn page(desk: &Desk, place: Place, title: &str, body: Markup) -> Markup {
    page_with(desk, place, title, &[], body)
}

/// The same with scripts of its own (names of assets).
pub fn page_with(desk: &Desk, place: Place, title: &str, scripts: &[&str], body: Markup) -> Markup {
    let words = desk.words();
    let head = html! {
        header class="mast" {
            a class="skip" href="#main" { (words.text("c-skip", &[])) }
            nav aria-label=(words.text("c-menu", &[])) {
                ul class="menu" {
                    @for (it, path, key, right) in MENU {
                        @if desk.may(right) {
                            li { a href=(path) aria-current=[(it == place).then_some("page")] { (words.text(key, &[])) } }
                        }
                    }
                }
            }
            div class="who" {
                span class="who-name" { (desk.staff.name) }
                (language_form(desk))
                form method="post" action="/logout" { (csrf(desk)) button class="plain" { (words.text("c-log-out", &[])) } }
            }
        }
    };
    let scripts: Vec<&str> = ["clinic.js"].iter().chain(scripts).copied().collect();
    frame(
        words,
        title,
        &scripts,
        Some(&desk.staff.csrf),
        html! {
            (head)
            main id="main" tabindex="-1" { (clock_alert(desk)) (body) }
            footer class="foot" { p { (words.text("c-foot-surgeon", &[])) " " (words.text("c-foot-licensed", &[])) } }
        },
    )
}

/// A sentence of a protocol in the reader's language; where it has no translation, as it was written and marked so.
pub fn said(words: &Words, written: &str) -> Markup {
    let it = words.said(written);
    html! { span lang=[(it.lang != words.lang()).then(|| it.lang.id())] { (it.text) } }
}

/// A part of a page that opens on demand; its name and the essential of it are always there.
pub fn fold(id: &str, title: &str, essential: &str, body: &Markup) -> Markup {
    folding(id, title, essential, body, false)
}

/// The same, open where the page is wide.
pub fn fold_wide(id: &str, title: &str, essential: &str, body: &Markup) -> Markup {
    folding(id, title, essential, body, true)
}

fn folding(id: &str, title: &str, essential: &str, body: &Markup, wide: bool) -> Markup {
    html! {
        section class="card" aria-labelledby=(id) {
            details class="fold" data-wide[wide] {
                summary {
                    h2 id=(id) { (title) }
                    @if !essential.is_empty() { span class="small essential" { (essential) } }
                }
                div class="folded" { (body) }
            }
        }
    }
}

/// At the head of a form whose text is kept while it is typed: said when something kept was put back, with the way to
/// begin anew.
pub fn put_back(words: &Words) -> Markup {
    html! {
        div class="alert care" data-draft-back role="status" hidden {
            p { (words.text("c-kept-back", &[])) }
            button type="button" data-draft-drop { (words.text("c-kept-drop", &[])) }
        }
    }
}

/// Beside the button of such a form.
pub fn kept(words: &Words) -> Markup {
    html! { span class="small quiet" data-draft-kept hidden { (words.text("c-kept", &[])) } }
}

/// A clock that was set back gives wrong days and so wrong limits: it is said on every page.
fn clock_alert(desk: &Desk) -> Markup {
    let Some(last) = desk.app.config().clock.behind() else { return html! {} };
    let at = [("now", moment(desk, desk.app.now()).into()), ("last", moment(desk, last).into())];
    html! {
        div class="alert stop" role="alert" {
            p { (desk.words().text("c-fault-clock", &at)) }
            @if desk.may(Right::Clinic) { p { a href="/settings/clinic#clock-title" { (desk.say("c-settings-clock")) } } }
        }
    }
}

/// A page for somebody who is not logged in.
pub fn bare_page(words: &Words, title: &str, body: Markup) -> Markup {
    frame(words, title, &[], None, html! { main id="main" class="bare" { (body) } })
}

/// The frame: head, style, scripts.
pub fn frame(words: &Words, title: &str, scripts: &[&str], csrf: Option<&str>, body: Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang=(words.lang().id()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                @if let Some(csrf) = csrf { meta name="csrf" content=(csrf); }
                title { (title) }
                link rel="icon" href=(asset("icon.svg")) type="image/svg+xml";
                link rel="stylesheet" href=(asset("clinic.css"));
                @for name in scripts { script src=(asset(name)) defer {} }
            }
            body { (body) }
        }
    }
}

/// The hidden token of a form.
pub fn csrf(desk: &Desk) -> Markup {
    html! { input type="hidden" name="csrf" value=(desk.staff.csrf); }
}

/// Buttons for the other languages.
fn language_form(desk: &Desk) -> Markup {
    html! {
        form method="post" action="/language" class="languages" {
            (csrf(desk))
            input type="hidden" name="back" value=(desk.path);
            @for lang in handrail_words::Lang::ALL {
                @if lang != desk.lang {
                    button class="plain" name="lang" value=(lang.id()) lang=(lang.id()) { (name_of(lang)) }
                }
            }
        }
    }
}

/// A language's name in itself.
pub fn name_of(lang: handrail_words::Lang) -> &'static str {
    match lang {
        handrail_words::Lang::En => "English",
        handrail_words::Lang::Es => "Español",
    }
}

/// An SVG made by the room `figures`.
pub fn svg(text: &str) -> Markup {
    PreEscaped(text.to_string())
}

/// A sentence that must be seen: what is wrong and how to mend it, or a warning.
pub fn alert(kind: &str, body: Markup) -> Markup {
    html! { div class={ "alert " (kind) } role="status" { (body) } }
}

/// What went wrong, as a page says it.
pub struct FaultPage<'a> {
    /// What is so.
    pub says: &'a str,
    /// How to mend it.
    pub mend: &'a str,
    /// In the machine's words.
    pub detail: Option<&'a str>,
    /// Where a form was to go, and its fields: the page keeps them, to be sent again.
    pub again: Option<(&'a str, Fields)>,
}

/// Fields that no page repeats.
const SECRETS: [&str; 2] = ["password", "present"];

/// A page that says what went wrong.
pub fn fault_page(words: &Words, desk: Option<&Desk>, fault: &FaultPage<'_>) -> Markup {
    let title = words.text("c-fault-title", &[]);
    let again = fault.again.as_ref().filter(|(_, fields)| !SECRETS.iter().any(|it| fields.ticked(it)));
    let body = html! {
        h1 { (title) }
        div class="alert stop" role="alert" {
            p { (fault.says) }
            @if !fault.mend.is_empty() { p { (fault.mend) } }
        }
        @if let Some((path, fields)) = again {
            form class="card" method="post" action=(path) {
                @for (name, values) in &fields.0 {
                    @for value in values { input type="hidden" name=(name) value=(value); }
                }
                p { (words.text("c-fault-again", &[])) }
                p { button class="main" { (words.text("c-fault-again-go", &[])) } }
            }
        }
        @if let Some(detail) = fault.detail { p class="quiet small" lang="en" { (detail) } }
        p { a href="/" { (words.text("c-fault-back", &[])) } }
    };
    match desk {
        Some(desk) => page(desk, Place::None, &title, body),
        None => bare_page(words, &title, body),
    }
}

/// What a patient sees while the clinic's server cannot read or write: what becomes of what was typed, and that a
/// warning sign does not wait for it.
pub fn patient_fault_page(words: &Words) -> Markup {
    let title = words.text("p-fault-title", &[]);
    let body = html! {
        h1 { (title) }
        div class="alert stop" role="alert" { p { (words.text("p-fault-store", &[])) } }
        p { (words.text("p-fault-store-mend", &[])) }
        p { (words.text("p-fault-call", &[])) }
        p { a href="/home" { (words.text("p-session-back", &[])) } }
    };
    bare_page(words, &title, body)
}

/// What a patient sees whose session is over: nothing of anybody, and how to come back.
pub fn patient_closed_page(words: &Words) -> Markup {
    let title = words.text("p-closed-title", &[]);
    bare_page(words, &title, html! { h1 { (title) } p { (words.text("p-closed", &[])) } })
}
