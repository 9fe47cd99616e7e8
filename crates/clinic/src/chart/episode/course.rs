//! What was decided, who was told, visits, notes, messages, reports: to read; written on the pages of the record.

use handrail_episode::{Fact, Numbered};
use jiff::civil::Date;
use maud::{Markup, html};

use super::Case;
use crate::chart::facts::says;
use crate::layout::fold;

/// Entries of a kind shown at once; the rest is behind a fold.
const SHOWN: usize = 4;

/// One entry as it is listed.
struct Item {
    number: u64,
    on: Date,
    fact: Fact,
}

fn dated<T: Clone>(list: &[Numbered<(Date, T)>], fact: fn(T) -> Fact) -> Vec<Item> {
    list.iter().map(|it| Item { number: it.number, on: it.fact.0, fact: fact(it.fact.1.clone()) }).collect()
}

fn plain<T: Clone>(list: &[Numbered<T>], on: fn(&T) -> Date, fact: fn(T) -> Fact) -> Vec<Item> {
    list.iter().map(|it| Item { number: it.number, on: on(&it.fact), fact: fact(it.fact.clone()) }).collect()
}

pub(super) fn section(case: &Case<'_>) -> Markup {
    let course = &case.episode.course;
    let parts = [
        ("c-today-decisions", plain(&course.decisions, |it| it.on, Fact::Decision)),
        ("c-today-contacts", plain(&course.contacts, |it| it.on, Fact::Contact)),
        ("c-today-visits", plain(&course.visits, |it| it.on, Fact::Visit)),
        ("c-today-messages", dated(&course.messages, Fact::Message)),
        ("c-today-notes", dated(&course.notes, Fact::Note)),
        ("c-today-reports", dated(&course.reports, Fact::Report)),
    ];
    let counts: Vec<String> =
        parts.iter().map(|(key, list)| format!("{} ({})", case.say(key), list.len())).collect();
    fold(
        "course",
        &case.say("c-today-course"),
        &counts.join(" · "),
        &html! {
            p { a class="button" href={ "/e/" (case.id()) "/record" } { (case.say("c-today-go-record")) } }
            div class="course" {
                @for (key, list) in &parts {
                    div {
                        h3 { (case.say(key)) " " span class="quiet" { "(" (list.len()) ")" } }
                        @if list.is_empty() { p class="quiet" { (case.say("c-today-none-on-record")) } }
                        @else {
                            ul class="entries" { @for it in list.iter().rev().take(SHOWN) { (item(case, it)) } }
                            @if list.len() > SHOWN {
                                details { summary { (case.words.text("c-today-earlier", &[("n", ((list.len() - SHOWN) as u32).into())])) }
                                    ul class="entries" { @for it in list.iter().rev().skip(SHOWN) { (item(case, it)) } }
                                }
                            }
                        }
                    }
                }
            }
        },
    )
}

fn item(case: &Case<'_>, it: &Item) -> Markup {
    html! {
        li {
            span class="quiet small" { (case.words.date_short(it.on)) " · " a href={ "/e/" (case.id()) "/journal?at=" (it.number) "#entry-" (it.number) } { "#" (it.number) } }
            @for line in says(&case.teller(), &it.fact, case.episode.operation.side) { p { (line) } }
        }
    }
}
