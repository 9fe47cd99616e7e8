//! The frame of the pages that a patient sees: no menu of the clinic, nothing of other patients.

use crate::assets::asset;
use handrail_words::Words;
use maud::{DOCTYPE, Markup, html};

/// Color of the browser's bar above the page; equals `--deep` of the style sheet.
pub(crate) const BAR_COLOR: &str = "#0c4a5b";

/// A page for patients. `csrf` is the token of its forms, where it has a session; `installs` says whether it may be
/// put on the home screen.
pub(crate) fn page(
    words: &Words,
    title: &str,
    scripts: &[&str],
    csrf: Option<&str>,
    installs: bool,
    body: Markup,
) -> Markup {
    let lang = words.lang().id();
    html! {
        (DOCTYPE)
        html lang=(lang) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover";
                meta name="description" content=(words.text("p-description", &[]));
                meta name="format-detection" content="telephone=no";
                meta name="theme-color" content=(BAR_COLOR);
                @if let Some(csrf) = csrf { meta name="csrf" content=(csrf); }
                title { (title) }
                link rel="icon" href=(asset("icon.svg")) type="image/svg+xml";
                link rel="stylesheet" href=(asset("patient.css"));
                @if installs {
                    link rel="apple-touch-icon" href=(asset("icon-192.png"));
                    link rel="manifest" href={ "/home/manifest.webmanifest?lang=" (lang) };
                }
                @for name in scripts { script src=(asset(name)) defer {} }
            }
            body { (body) }
        }
    }
}

/// A number that a phone can call becomes a link; other words stay words.
pub(crate) fn call(number: &str) -> Markup {
    let dialled: String = number.chars().filter(|it| it.is_ascii_digit() || *it == '+').collect();
    let is_number =
        number.chars().all(|it| it.is_ascii_digit() || " +().-".contains(it)) && dialled.len() >= 3;
    html! {
        @if is_number { a class="tel" href={ "tel:" (dialled) } { (number) } } @else { span class="number" { (number) } }
    }
}
