//! Parts that several pages of content share.

use crate::assets::asset;
use crate::gate::Desk;
use crate::layout;
use crate::rights::Right;
use handrail_protocol::{Basis, Known};
use handrail_spans::{Problem, Problems};
use handrail_words::{Arg, Lang, Words};
use jiff::Timestamp;
use jiff::civil::Date;
use maud::{Markup, html};

use crate::content::library::{Kind, Origin, Shelf};

/// The style sheet of these pages.
pub fn style() -> Markup {
    html! { link rel="stylesheet" href=(asset("content.css")); }
}

/// A text of this room without values: `say(words, "title")` is `c-content-title`.
pub fn say(words: &Words, key: &str) -> String {
    words.text(&format!("c-content-{key}"), &[])
}

/// The same with values.
pub fn tell(words: &Words, key: &str, args: &[(&str, Arg)]) -> String {
    words.text(&format!("c-content-{key}"), args)
}

/// `c-content-state-draft` and the like: a tag whose meaning is in its words.
pub fn tag(kind: &str, text: &str) -> Markup {
    html! { span class={ "tag " (kind) } { (text) } }
}

/// Built in, or the clinic's own.
pub fn origin_word(words: &Words, origin: &Origin) -> String {
    match origin {
        Origin::BuiltIn => say(words, "built-in"),
        Origin::Folder => say(words, "folder"),
        Origin::Database { version, .. } => tell(words, "own", &[("n", (*version as f64).into())]),
    }
}

/// Draft, or signed by whom and when.
pub fn state(words: &Words, shelf: &Shelf, kind: Kind, id: &str) -> Markup {
    match shelf.signed(kind, id) {
        Some(it) => {
            let args = [("by", it.by.name.as_str().into()), ("date", words.date_short(it.on).into())];
            html! { (tag("signed", &say(words, "signed"))) " " span class="small" { (tell(words, "signed-by", &args)) } }
        }
        None if shelf.signatures(kind, id).is_empty() => tag("assumed", &say(words, "draft")),
        None => html! {
            (tag("assumed", &say(words, "draft"))) " " span class="small" { (say(words, "changed-since")) }
        },
    }
}

/// The day of a moment at the clinic.
pub fn day(desk: &Desk, at: Timestamp) -> Date {
    at.to_zoned_datetime(desk.app.config().zone.clone()).date()
}

/// How well a source is known, as a tag.
pub fn known(words: &Words, known: Known) -> Markup {
    tag(if known == Known::Read { "" } else { "assumed" }, &words.known_word(known))
}

/// Source, how well it is known, and why this value.
pub fn basis(words: &Words, basis: &Basis) -> Markup {
    html! {
        span lang="en" { (basis.source) } " " (known(words, basis.known))
        @if let Some(why) = &basis.why { div class="small quiet" { (layout::said(words, why)) } }
    }
}

/// What stands on every page of content: that a draft is a draft, and what waits outside because of mistakes.
pub fn notices(desk: &Desk, words: &Words, refused: Option<&Problems>) -> Markup {
    html! {
        @if let Some(problems) = refused {
            (layout::alert("stop", html! {
                p { (say(words, "refused")) }
                @if desk.may(Right::WriteContent) {
                    ul class="errors" { @for it in &problems.0 { li { (place(words, it)) } } }
                }
            }))
        }
    }
}

/// A mistake: where it stands, what is wrong, how to mend it.
pub fn place(words: &Words, it: &Problem) -> Markup {
    let at = [
        ("file", it.file.as_str().into()),
        ("line", it.line.to_string().into()),
        ("column", it.column.to_string().into()),
    ];
    html! {
        b { (tell(words, "at-line", &at)) } " "
        @if !it.field.is_empty() { code { (it.field) } ": " }
        span lang="en" { (it.message) ". " (it.mend) "." }
    }
}

/// "en", "es" with the language's own name as a heading.
pub fn lang_name(lang: Lang) -> &'static str {
    layout::name_of(lang)
}

/// Path of an exercise or protocol.
pub fn path(kind: Kind, id: &str) -> String {
    format!("/content/{}/{id}", kind.id())
}

/// A pair of a list of facts; nothing when there is no text.
pub fn fact(term: &str, text: &str) -> Markup {
    html! { @if !text.is_empty() { div { dt { (term) } dd { (text) } } } }
}
