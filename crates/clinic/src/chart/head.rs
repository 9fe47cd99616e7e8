//! What stands at the top of every page about a patient, so that nobody reads the wrong record: name, birth date,
//! record number, the side in words, operation, day and week after surgery.

use handrail_anatomy::Side;
use handrail_episode::Episode;
use handrail_protocol::{day_after_surgery, week_of_day};
use handrail_words::Words;
use jiff::civil::Date;
use maud::{Markup, html};

/// The side in words, as a strong mark: "LEFT".
pub fn side_mark(words: &Words, side: Side) -> Markup {
    html! { span class="side" { (words.text("c-today-side", &[("side", side.into())])) } }
}

/// "day 24 (week 4)".
pub fn day_and_week(words: &Words, surgery: Date, today: Date) -> String {
    let day = day_after_surgery(surgery, today);
    let args = [("day", f64::from(day).into()), ("week", f64::from(week_of_day(day)).into())];
    words.text("c-today-day", &args)
}

/// The band of a page about an episode. `title` stands in the heading after the name; blank on the episode's own
/// page.
pub fn band(words: &Words, episode: &Episode, title: &str, today: Date) -> Markup {
    let (patient, operation) = (&episode.patient, &episode.operation);
    let born =
        patient.born.map_or_else(|| words.text("c-today-not-recorded", &[]), |it| words.date_short(it));
    html! {
        header class="band" {
            h1 {
                @if title.is_empty() { (patient.name) }
                @else { a href={ "/e/" (episode.id) } { (patient.name) } ": " (title) }
            }
            p class="band-line" {
                (side_mark(words, operation.side)) " "
                strong { (words.operation_name(&operation.protocol)) }
                span { (day_and_week(words, operation.surgery, today)) }
                span { (words.text("c-today-born", &[("date", born.into())])) }
                @if let Some(record) = &patient.record {
                    span { (words.text("c-today-record", &[("record", record.as_str().into())])) }
                }
            }
        }
    }
}
