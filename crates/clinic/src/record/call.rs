//! After a warning sign: whom to call, before anything else, and then who was told, when and how.

use crate::assets::asset;
use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, page_with};
use crate::records::{self, Loaded, New};
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use handrail_episode::{Contact, Diary, Episode, Fact, Numbered, SignUrgency};
use handrail_words::WarnGroup;
use maud::{Markup, html};

use crate::record::asked::{Asked, Wrong};
use crate::record::parts::{Kind, field, hidden, options, radios, refusal, typed, typed_or};
use crate::record::{diary, head, write};

/// A diary of an episode by its entry.
fn diary_of(episode: &Episode, number: u64) -> Result<&Numbered<Diary>, Fault> {
    episode.course.diaries.iter().find(|it| it.number == number).ok_or(Fault::NotFound)
}

fn group_of(desk: &Desk, episode: &Episode, urgency: SignUrgency) -> Option<WarnGroup> {
    let groups = desk.words().warnings(&episode.operation.protocol);
    groups.into_iter().find(|it| diary::urgency(it.urgency) == urgency)
}

/// Whom the clinician informs, first things first. The record holds no phone numbers of people: that is said, so that
/// nobody takes the clinic's own number for theirs.
fn whom(desk: &Desk, episode: &Episode, urgency: Option<SignUrgency>) -> Markup {
    let person = |key: &str, name: &str, first: bool| {
        html! {
            li class=[first.then_some("first")] {
                span { (desk.say(key)) } strong { (name) } span class="small" { (desk.say("c-record-call-no-phone")) }
            }
        }
    };
    let number = |first: bool| {
        html! {
            li class=[first.then_some("first")] {
                span { (desk.say("c-record-call-emergency")) } strong { (episode.clinic.emergency) }
            }
        }
    };
    let (surgeon, patient) = (episode.operation.surgeon.as_str(), episode.patient.name.as_str());
    let emergency = urgency == Some(SignUrgency::Emergency);
    let today = urgency == Some(SignUrgency::SameDay);
    html! {
        h3 { (desk.say("c-record-call-whom")) }
        ol class="rec-numbers" {
            @if emergency { (number(true)) }
            @if today { (person("c-record-call-surgeon", surgeon, true)) }
            (person("c-record-call-patient", patient, !emergency && !today))
            @if !today { (person("c-record-call-surgeon", surgeon, false)) }
            @if urgency.is_some() && !emergency { (number(false)) }
        }
    }
}

/// What the patient was told, marked as such: it speaks to the patient, and the numbers in it are the patient's to call.
fn told_to_patient(desk: &Desk, episode: &Episode, group: &WarnGroup) -> Markup {
    let clinic = &episode.clinic;
    let numbers = [
        ("c-record-call-emergency", &clinic.emergency),
        ("c-record-call-clinic", &clinic.phone),
        ("c-record-call-night", &clinic.out_of_hours),
    ];
    html! {
        section class="rec-told" aria-labelledby="told-patient" {
            h3 id="told-patient" { (desk.say("c-record-call-patient-page")) }
            blockquote {
                p { strong { (group.title) } }
                p { (diary::action(group, episode)) }
                ul class="small" { @for (key, number) in &numbers { li { (desk.say(key)) ": " (number) } } }
            }
        }
    }
}

/// What was reported, for which day and how it came in.
fn reported(desk: &Desk, diary: &Diary) -> Markup {
    let words = desk.words();
    let source = desk.say(&format!("c-record-source-{}", diary.source.id().replace(' ', "-")));
    let args = [("date", words.date_long(diary.on).into()), ("source", source.into())];
    html! {
        p { (words.text("c-record-call-reported", &args)) }
        ul { @for sign in &diary.signs { li { strong { (sign.says) } " (" (diary::urgency_name(desk, sign.urgency)) ")" } } }
    }
}

/// The fields of a contact.
pub fn fields_of(desk: &Desk, episode: &Episode, fields: &Fields, urgent: bool) -> Markup {
    let today = desk.app.today().to_string();
    let surgeon = episode.operation.surgeon.clone();
    let mut told: Vec<(String, String)> = Vec::new();
    if urgent {
        told.push(("emergency".into(), desk.say("c-record-told-emergency")));
    }
    told.push(("surgeon".into(), surgeon));
    told.extend(options(desk, "c-record-told", &["team", "patient", "other"]));
    html! {
        (radios(&desk.say("c-record-told"), "told", typed(fields, "told"), &told))
        (field(&desk.say("c-record-told-name"), "told_name", Kind::Text, typed(fields, "told_name"), false))
        (radios(&desk.say("c-record-how"), "how", typed_or(fields, "how", "phone"), &options(desk, "c-record-how", &["phone", "in_person", "letter"])))
        div class="fields" {
            (field(&desk.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &today), true))
            (field(&desk.say("c-record-at"), "at", Kind::Time, typed(fields, "at"), false))
        }
        (field(&desk.say("c-record-outcome"), "outcome", Kind::Text, typed(fields, "outcome"), true))
    }
}

/// A contact of a form.
///
/// # Errors
/// What is missing.
pub fn read(desk: &Desk, episode: &Episode, about: u64, fields: &Fields) -> Result<New, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let on = asked.day("on", "c-record-on", episode.operation.surgery);
    let name = asked.text_opt("told_name");
    let who = asked.text("told", "c-record-told");
    let told = match who.as_str() {
        "surgeon" => Some(episode.operation.surgeon.clone()),
        "emergency" | "team" | "patient" => Some(desk.say(&format!("c-record-told-{who}"))),
        "other" if name.is_none() => {
            asked.refuse("c-record-told-nobody", "c-record-fill-in");
            None
        }
        "other" => None,
        "" => None,
        _ => {
            asked.refuse("c-record-told-nobody", "c-record-choose");
            None
        }
    };
    let told = match (told, name) {
        (Some(told), Some(name)) => format!("{told}: {name}"),
        (told, name) => told.or(name).unwrap_or_default(),
    };
    let ways = [("phone", "phone"), ("in_person", "in-person"), ("letter", "letter")];
    let how = asked
        .one_of("how", "c-record-how", &ways)
        .map_or_else(String::new, |it| desk.say(&format!("c-record-how-{it}")));
    let how = asked.text_opt("at").map_or(how.clone(), |at| format!("{how}, {at}"));
    let outcome = asked.text("outcome", "c-record-outcome");
    let by = desk.staff.name.clone();
    asked.or(New::fact(on, Fact::Contact(Contact { on, about, told, how, outcome, by })))
}

/// The page.
///
/// # Errors
/// No such diary.
pub async fn page(desk: Desk, Path((id, number)): Path<(String, u64)>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "call").await?;
    shown(&desk, &loaded, number, &Fields::default(), &[])
}

fn shown(
    desk: &Desk,
    loaded: &Loaded,
    number: u64,
    fields: &Fields,
    wrong: &[(String, String)],
) -> Result<Markup, Fault> {
    let words = desk.words();
    let episode = &loaded.episode;
    let entry = &diary_of(episode, number)?.fact;
    let worst = entry.worst_sign().map(|it| it.urgency);
    let urgency = worst.unwrap_or(SignUrgency::NextVisit);
    let group = group_of(desk, episode, urgency);
    let title = match worst {
        Some(worst) => desk.say(&format!("c-record-call-urgency-{}", diary::urgency_key(worst))),
        None => desk.say("c-record-call-pain"),
    };
    let library = desk.library();
    let protocol = crate::record::forms::protocol(library, loaded)?;
    let envelope = crate::record::forms::today(desk, loaded, protocol)?;
    let done: Vec<_> = episode.course.contacts.iter().filter(|it| it.fact.about == number).collect();
    Ok(page_with(
        desk,
        Place::None,
        &format!("{title}: {}", episode.patient.name),
        &["record.js"],
        html! {
            link rel="stylesheet" href=(asset("record.css"));
            (head::band(words, episode, &desk.say("c-record-call-title"), desk.app.today()))
            section class="card rec-alarm" {
                h2 { (title) }
                @match worst {
                    Some(worst) => {
                        (reported(desk, entry))
                        p class="rec-do" { (diary::to_do(desk, episode, worst)) }
                    },
                    None => p { (desk.say("c-record-call-pain-hint")) },
                }
                (whom(desk, episode, worst))
                @if worst.is_some_and(|it| it != SignUrgency::NextVisit) { p { strong { (desk.say("c-record-call-stop")) } } }
                p class="quiet" { (desk.say("c-record-call-still")) }
                @if let (Some(group), Some(_)) = (&group, worst) { (told_to_patient(desk, episode, group)) }
            }
            section class="card" id="contact" tabindex="-1" {
                h2 { (desk.say("c-record-who-was-told")) }
                @if done.is_empty() { p class="alert care" { (desk.say("c-record-open-item")) } }
                @for it in &done {
                    p { (words.date_short(it.fact.on)) ": " (it.fact.told) ", " (it.fact.how) ". " (it.fact.outcome) " (" (it.fact.by) ")" }
                }
                (refusal(wrong))
                form class="stack" method="post" action={ "/e/" (loaded.id) "/record/call/" (number) } {
                    (hidden(desk, fields))
                    (fields_of(desk, episode, fields, urgency == SignUrgency::Emergency))
                    div { button class="main" { (desk.say("c-record-write")) } }
                }
            }
            (head::uncertain(desk, episode, protocol, &envelope))
            p { a href={ "/e/" (loaded.id) } { (desk.say("c-record-back")) } }
        },
    ))
}

/// Writes down who was told.
///
/// # Errors
/// No such diary; what cannot be written.
pub async fn answer(
    desk: Desk,
    Path((id, number)): Path<(String, u64)>,
    fields: Fields,
) -> Result<Response, Fault> {
    let loaded = records::load(&desk.app, &id).await?;
    diary_of(&loaded.episode, number)?;
    let wrong = match read(&desk, &loaded.episode, number, &fields) {
        Ok(new) => {
            let facts = write::keyed(fields.opt("once"), vec![new])?;
            match write::add(&desk, &id, facts.clone(), None, None).await {
                Ok(after) => {
                    let entry = write::number_of(&after, &facts);
                    return Ok(see_other(&format!("/e/{id}/record?done={entry}")));
                }
                Err(fault) => write::as_wrong(&desk, fault)?,
            }
        }
        Err(wrong) => wrong,
    };
    let loaded = records::open(&desk, &id, "call").await?;
    let page = shown(&desk, &loaded, number, &fields, &wrong)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}
