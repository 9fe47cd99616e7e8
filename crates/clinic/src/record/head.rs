//! What stands at the top of every page about a patient, so that nobody writes into the wrong record.

use crate::gate::Desk;
use handrail_episode::{Episode, Issued};
use handrail_protocol::{Envelope, Protocol, Status, day_after_surgery, week_of_day};
use handrail_words::Words;
use jiff::civil::Date;
use maud::{Markup, html};

/// Name, birth date, record number, side in words, operation, day and week after surgery.
pub fn band(words: &Words, episode: &Episode, title: &str, today: Date) -> Markup {
    let (patient, operation) = (&episode.patient, &episode.operation);
    let born =
        patient.born.map_or_else(|| words.text("c-record-not-recorded", &[]), |it| words.date_short(it));
    let day = day_after_surgery(operation.surgery, today);
    let counted = [("day", f64::from(day).into()), ("week", f64::from(week_of_day(day)).into())];
    html! {
        header class="rec-band" {
            h1 { a href={ "/e/" (episode.id) } { (patient.name) } ": " (title) }
            p class="rec-band-line" {
                span class="side" { (words.text("c-record-side", &[("side", operation.side.into())])) }
                strong { (words.operation_name(&operation.protocol)) }
                span { (words.text("c-record-day", &counted)) }
                span { (words.text("c-record-born", &[("date", born.into())])) }
                @if let Some(record) = &patient.record {
                    span { (words.text("c-record-number", &[("record", record.as_str().into())])) }
                }
            }
        }
    }
}

/// What is uncertain about the limits: assumed ones, open questions, a draft protocol.
pub fn uncertain(desk: &Desk, episode: &Episode, protocol: &Protocol, envelope: &Envelope) -> Markup {
    let words = desk.words();
    let assumed = envelope.in_force.iter().filter(|it| it.status == Status::Assumed).count();
    let there = format!("/e/{}/restrictions", episode.id);
    html! {
        @if assumed > 0 || !envelope.blocked.is_empty() || protocol.is_draft() {
            ul class="rec-marks" {
                @if assumed > 0 {
                    li { a class="tag assumed" href=(there) { (words.text("c-record-assumed", &[("n", (assumed as f64).into())])) } }
                }
                @for it in &envelope.blocked {
                    li { a class="tag assumed" href={ (there) "#answers" } { (crate::record::names::question(words, &it.variant, &it.question)) } }
                }
                @if protocol.is_draft() { li { span class="tag assumed" { (desk.say("c-record-draft")) } } }
            }
        }
    }
}

/// The sheet in the patient's hands, where restrictions were changed after it was given.
pub fn stale_sheet(episode: &Episode) -> Option<(Date, &Issued)> {
    let held = episode.held()?;
    let (changed, _) = episode.orders_changed?;
    (changed > held.number).then_some((held.fact.0, &held.fact.1))
}

/// A notice that the sheet at home is out of date.
pub fn sheet_notice(words: &Words, episode: &Episode) -> Markup {
    let Some((given, sheet)) = stale_sheet(episode) else { return html! {} };
    let args = [("version", sheet.version.into()), ("date", words.date_short(given).into())];
    html! {
        div class="alert care" role="status" {
            p { strong { (words.text("c-record-sheet-stale", &args)) } }
            p { a href={ "/e/" (episode.id) "/program" } { (words.text("c-record-sheet-new", &[])) } }
        }
    }
}

/// What was not checked, closed until somebody wants it.
pub fn not_checked(words: &Words) -> Markup {
    html! {
        details class="card" {
            summary { (words.text("c-record-not-checked", &[])) }
            ul { @for it in words.not_checked_clinician() { li { (it) } } }
        }
    }
}
