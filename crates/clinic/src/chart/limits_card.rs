//! "Limits today" on one sheet, for whoever covers: what is limited and on whose word, what must not be done, device,
//! positions, what was not checked, whom to call. Valid on its day only.

use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{Place, page_with, said};
use crate::records;
use axum::extract::Path;
use handrail_anatomy::Drive;
use handrail_protocol::{Envelope, InForce, Limit, Status, envelope};
use handrail_words::Words;
use maud::{Markup, html};

use crate::chart::episode::status_tag;
use crate::chart::head::band;
use crate::chart::reasons::Teller;

pub(crate) async fn page(desk: Desk, Path(id): Path<String>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "limits today").await?;
    let (words, library, today) = (desk.words(), desk.library(), desk.app.today());
    let episode = &loaded.episode;
    let title = desk.say("c-today-limits");
    let teller = Teller::of(words, library, episode, today);
    let known = library
        .protocols
        .get(&episode.operation.protocol)
        .ok_or_else(|| vec![format!("`{}`", episode.operation.protocol)])
        .and_then(|it| {
            Ok((it, envelope(it, &episode.orders, today).map_err(|error| teller.no_envelope(&error))?))
        });
    let now = desk.app.now().to_zoned_datetime(desk.app.config().zone.clone()).datetime();
    let made = format!("{} {:02}:{:02}", words.date_long(now.date()), now.hour(), now.minute());
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
                            @for it in why { p { (it) } }
                            p { a href={ "/e/" (id) "/restrictions" } { (words.text("c-today-mend-here", &[])) } }
                        }
                    },
                    Ok((protocol, envelope)) => {
                        @if protocol.is_draft() { p class="small" { (words.text("c-note-draft", &[])) } }
                        (unanswered(&teller, envelope))
                        div class="sheet-parts" {
                            div class="sheet-part" {
                                (section(words, envelope, Part::Weight, "c-today-part-weight"))
                                (section(words, envelope, Part::Device, "c-today-part-device"))
                                (section(words, envelope, Part::Joints, "c-today-part-joints"))
                            }
                            div class="sheet-part" {
                                (section(words, envelope, Part::MustNot, "c-today-part-must-not"))
                                @if envelope.in_force.iter().any(|it| part(&it.limit) == Part::Load) {
                                    (section(words, envelope, Part::Load, "c-today-part-load"))
                                }
                            }
                        }
                        @if !envelope.precautions.is_empty() {
                            section { h2 { (words.text("c-today-precautions", &[])) }
                                ul { @for it in &envelope.precautions { li { (said(words, &it.says)) } } } }
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
fn unanswered(teller: &Teller<'_>, envelope: &Envelope) -> Markup {
    html! {
        @if !envelope.blocked.is_empty() {
            div class="alert stop" {
                @for it in &envelope.blocked { p { (teller.blocked(it)) } }
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
    /// At most so much load or resistance.
    Load,
    /// Not at all.
    MustNot,
}

fn part(limit: &Limit) -> Part {
    match limit {
        Limit::LegWeightBearing(_) | Limit::ArmWeightBearing(_) => Part::Weight,
        Limit::Motion { .. } => Part::Joints,
        Limit::Device { .. } => Part::Device,
        Limit::TissueLoad { .. } | Limit::Exposure { .. } => Part::Load,
        Limit::Resistance { max_kg, .. } if *max_kg > 0.0 => Part::Load,
        _ => Part::MustNot,
    }
}

/// One part: its limits, apart for each word they stand on, the strongest word first.
fn section(words: &Words, envelope: &Envelope, which: Part, key: &str) -> Markup {
    let of = |status: Status| {
        let in_part = |it: &&InForce| part(&it.limit) == which && it.status == status;
        lines(words, envelope, &envelope.in_force.iter().filter(in_part).collect::<Vec<_>>())
    };
    let groups: Vec<(Status, Vec<Told>)> = [Status::Ordered, Status::Confirmed, Status::Assumed]
        .into_iter()
        .map(|status| (status, of(status)))
        .filter(|it| !it.1.is_empty())
        .collect();
    html! {
        section class=[(which == Part::MustNot).then_some("must-not")] {
            h2 { (words.text(key, &[])) }
            @if groups.is_empty() { p { (words.text("c-today-nothing-recorded", &[])) } }
            @for (status, list) in &groups {
                p { (status_tag(words, *status)) }
                ul { @for it in list { li {
                    strong { (it.says) }
                    @if it.idle { " " span class="block small" { (words.text("c-today-way-not-allowed", &[])) } }
                    @if it.overdue { " " span class="tag" { (words.text("c-today-overdue", &[])) } }
                } } }
            }
        }
    }
}

/// A line of the sheet.
struct Told {
    says: String,
    overdue: bool,
    /// True when every way of moving it speaks of is not allowed at all today.
    idle: bool,
}

/// Limits as lines; positions and activities of one kind stand on one line.
fn lines(words: &Words, envelope: &Envelope, list: &[&InForce]) -> Vec<Told> {
    let mut out: Vec<Told> = Vec::new();
    for overdue in [false, true] {
        let these = || list.iter().filter(|it| it.overdue == overdue);
        let positions: Vec<String> = these()
            .filter_map(|it| match it.limit {
                Limit::Position(position) => Some(words.position_name(position)),
                _ => None,
            })
            .collect();
        let activities: Vec<String> = these()
            .filter_map(|it| match &it.limit {
                Limit::Activity(name) => Some(activity(words, name)),
                _ => None,
            })
            .collect();
        for it in these().filter(|it| !matches!(it.limit, Limit::Position(_) | Limit::Activity(_))) {
            out.push(Told { says: says(words, &it.limit), overdue, idle: is_idle(envelope, &it.limit) });
        }
        for (key, names) in [("c-today-positions", positions), ("c-today-activities", activities)] {
            if !names.is_empty() {
                let says = words.text(key, &[("names", names.join(", ").into())]);
                out.push(Told { says, overdue, idle: false });
            }
        }
    }
    out
}

/// A limit under the heading of its part. What stands under "must not be done" is named without a "none" or a "not
/// allowed": with the heading that would be a double negative.
fn says(words: &Words, limit: &Limit) -> String {
    let on = words.limit_on(limit);
    let names = |drives: &[Drive]| {
        let all: Vec<String> = drives.iter().map(|&it| words.drive_name(it)).collect();
        words.all_of(&all)
    };
    match limit {
        Limit::Drive { forbidden, .. } => format!("{on}: {}", names(forbidden)),
        Limit::Muscle { allowed, .. } if !allowed.is_empty() => {
            words.text("c-today-not-except", &[("what", on.into()), ("drives", names(allowed).into())])
        }
        Limit::Muscle { .. } | Limit::Impact => on,
        Limit::Resistance { max_kg, .. } if *max_kg <= 0.0 => on,
        Limit::Combination(edges) => {
            let each: Vec<String> = edges
                .iter()
                .map(|it| {
                    let motion = words.motion_name(it.motion.joint, it.motion.motion);
                    let deg = words.number(it.deg, 1);
                    words.text("c-beyond", &[("motion", motion.into()), ("deg", deg.into())])
                })
                .collect();
            words.text("c-today-not-together", &[("all", words.all_of(&each).into())])
        }
        _ => format!("{on}: {}", words.limit_value(limit)),
    }
}

/// True for a limit on ways of moving of which none is allowed today; read alone it would seem to allow them.
fn is_idle(envelope: &Envelope, limit: &Limit) -> bool {
    let Limit::Motion { motion, drives, .. } = limit else { return false };
    let forbidden = |drive: &Drive| {
        envelope.in_force.iter().any(|it| match &it.limit {
            Limit::Drive { joint, motions, forbidden } => {
                *joint == motion.joint
                    && (motions.is_empty() || motions.contains(motion))
                    && forbidden.contains(drive)
            }
            _ => false,
        })
    };
    !drives.is_empty() && drives.iter().all(forbidden)
}

fn activity(words: &Words, name: &str) -> String {
    let key = format!("c-activity-{}", name.replace('_', "-"));
    words.try_text(&key, &[]).unwrap_or_else(|| name.replace('_', " "))
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
