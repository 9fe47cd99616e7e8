//! "Limits today" on one sheet, for whoever covers: what is limited and on whose word, what must not be done, device,
//! positions, what was not checked, whom to call. Valid on its day only.

use axum::extract::Path;
use handrail_clinic::assets::asset;
use handrail_clinic::fault::Fault;
use handrail_clinic::gate::Desk;
use handrail_clinic::layout::{Place, page_with};
use handrail_clinic::records;
use handrail_protocol::{Envelope, InForce, Limit, Status, envelope};
use handrail_words::Words;
use maud::{Markup, html};

use crate::episode::status_tag;
use crate::head::band;
use crate::reasons::Teller;

pub(crate) async fn page(desk: Desk, Path(id): Path<String>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "limits today").await?;
    let (words, library, today) = (desk.words(), desk.app.library(), desk.app.today());
    let episode = &loaded.episode;
    let title = desk.say("c-today-limits");
    let known = library
        .protocols
        .get(&episode.operation.protocol)
        .ok_or_else(|| format!("`{}`", episode.operation.protocol))
        .and_then(|it| Ok((it, envelope(it, &episode.orders, today).map_err(|error| error.to_string())?)));
    let now = desk.app.now().to_zoned_datetime(desk.app.config().zone.clone()).datetime();
    let made = format!("{} {:02}:{:02}", words.date_long(now.date()), now.hour(), now.minute());
    let teller = Teller::new(words, &library, &episode.operation.protocol, today);
    Ok(page_with(
        &desk,
        Place::None,
        &format!("{}: {title}", episode.patient.name),
        &[],
        html! {
            link rel="stylesheet" href=(asset("today.css"));
            article class="sheet" {
                (band(words, episode, &title, today))
                p class="sheet-valid" {
                    strong { (words.text("c-today-card-valid", &[("date", words.date_long(today).into())])) }
                    " " (words.text("c-today-card-made", &[("at", made.into()), ("by", desk.staff.name.as_str().into())]))
                }
                @match &known {
                    Err(why) => {
                        div class="alert stop" role="alert" {
                            p { strong { (words.text("c-today-limits-not-known", &[])) } }
                            p { (why) }
                            p { a href={ "/e/" (id) "/restrictions" } { (words.text("c-today-mend-here", &[])) } }
                        }
                    },
                    Ok((protocol, envelope)) => {
                        @if protocol.is_draft() { p class="small" { (words.text("c-note-draft", &[])) } }
                        (unanswered(words, envelope))
                        (limits(words, envelope))
                        @if !envelope.precautions.is_empty() {
                            section { h2 { (words.text("c-today-precautions", &[])) }
                                ul { @for it in &envelope.precautions { li lang="en" { (it.says) } } } }
                        }
                    },
                }
                section { h2 { (words.text("c-today-not-checked", &[])) }
                    p class="small" { (words.not_checked_clinician().join(" ")) } }
                (whom(words, &teller, episode))
                p class="small" { (words.text("c-foot-surgeon", &[])) " " (words.text("c-today-card-stop", &[])) }
            }
            p class="row no-print" {
                button type="button" class="main" data-print="" { (words.text("c-today-print", &[])) }
                a class="button" href={ "/e/" (id) } { (words.text("c-today-whole-record", &[])) }
            }
        },
    ))
}

/// What is not known about the operation, and what hangs on it.
fn unanswered(words: &Words, envelope: &Envelope) -> Markup {
    html! {
        @if !envelope.blocked.is_empty() {
            div class="alert stop" {
                @for it in &envelope.blocked { p { (words.blocked_sentence(it)) } }
            }
        }
    }
}

/// Which part of the sheet a limit stands in.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Part {
    Weight,
    Joints,
    Device,
    MustNot,
}

fn part(limit: &Limit) -> Part {
    match limit {
        Limit::LegWeightBearing(_) | Limit::ArmWeightBearing(_) => Part::Weight,
        Limit::Motion { .. } => Part::Joints,
        Limit::Device { .. } => Part::Device,
        _ => Part::MustNot,
    }
}

fn limits(words: &Words, envelope: &Envelope) -> Markup {
    let parts = [
        (Part::Weight, "c-today-part-weight"),
        (Part::Device, "c-today-part-device"),
        (Part::Joints, "c-today-part-joints"),
        (Part::MustNot, "c-today-part-must-not"),
    ];
    html! {
        div class="sheet-parts" {
            @for (which, key) in parts {
                @let list: Vec<&InForce> = envelope.in_force.iter().filter(|it| part(&it.limit) == which).collect();
                section class=[(which == Part::MustNot).then_some("must-not")] {
                    h2 { (words.text(key, &[])) }
                    @if list.is_empty() { p { (words.text("c-today-nothing-recorded", &[])) } }
                    @else { ul { @for it in list { (limit(words, it)) } } }
                }
            }
        }
    }
}

fn limit(words: &Words, it: &InForce) -> Markup {
    html! {
        li {
            strong { (words.limit_on(&it.limit)) ": " (words.limit_value(&it.limit)) } " "
            (status_tag(words, it.status))
            @if it.overdue { " " span class="tag" { (words.text("c-today-overdue", &[])) } }
            @if let Some(by) = it.by.as_ref().filter(|_| it.status != Status::Assumed) { " " span class="small" { (by) } }
        }
    }
}

/// Whom to call.
fn whom(words: &Words, teller: &Teller<'_>, episode: &handrail_episode::Episode) -> Markup {
    let (clinic, operation) = (&episode.clinic, &episode.operation);
    let visit =
        operation.next_visit.map_or_else(|| words.text("c-today-not-recorded", &[]), |it| teller.date(it));
    html! {
        section { h2 { (words.text("c-today-whom", &[])) }
            dl class="facts" {
                div { dt { (clinic.name) } dd { (clinic.phone) " · " (clinic.therapist) } }
                div { dt { (words.text("c-today-late", &[])) } dd { (clinic.out_of_hours) } }
                div { dt { (words.text("c-today-emergency", &[])) } dd { (clinic.emergency) } }
                div { dt { (words.text("c-today-surgeon", &[])) } dd { (operation.surgeon) " · " (words.text("c-today-surgeon-phone-unknown", &[])) } }
                div { dt { (words.text("c-today-next-visit", &[])) } dd { (visit) } }
            }
        }
    }
}
