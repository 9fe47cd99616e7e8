//! A correction: the old entry stays readable, a new value takes its place or it is taken back, with a reason.

use std::sync::Arc;

use crate::Right;
use crate::assets::asset;
use crate::chart::reasons::Teller;
use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, page_with};
use crate::records::{self, Loaded, New};
use axum::extract::Path;
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use handrail_anatomy::Side;
use handrail_episode::{Diary, Entry, Fact, Measure, Note, Withdrawn};
use handrail_measures::{Kind as Of, quantity};
use maud::{Markup, html};

use crate::record::asked::{Asked, Wrong};
use crate::record::parts::{Kind, choose, field, hidden, options, radios, refusal, typed, typed_or};
use crate::record::{describe, diary, head, measures, names, write};

/// Right that a change of this kind of entry needs; `None`: it is not corrected here, because an episode cannot be
/// without it or because it is no statement about the patient.
fn right(fact: &Fact) -> Option<Right> {
    match fact {
        Fact::Measure(_)
        | Fact::Diary(_)
        | Fact::Visit(_)
        | Fact::Note(_)
        | Fact::Message(_)
        | Fact::Contact(_)
        | Fact::Report(_)
        | Fact::Done(_) => Some(Right::Report),
        Fact::Confirmation(_) | Fact::Order(_) => Some(Right::Restrict),
        Fact::Act(_) | Fact::Decision(_) | Fact::Closed(_) => Some(Right::Release),
        Fact::Waiver(_) => Some(Right::Override),
        Fact::Issued(_) | Fact::Jump(_) => Some(Right::Plan),
        Fact::Patient(_)
        | Fact::Clinic(_)
        | Fact::Body(..)
        | Fact::Home(_)
        | Fact::Operation(_)
        | Fact::Program(_)
        | Fact::View(_)
        | Fact::Withdrawn(_) => None,
    }
}

/// Whether a new value can be typed; the others are taken back and written anew.
fn can_change(fact: &Fact) -> bool {
    matches!(fact, Fact::Measure(_) | Fact::Diary(_) | Fact::Visit(_) | Fact::Note(_))
}

fn entry_of(loaded: &Loaded, number: u64) -> Result<&Entry, Fault> {
    loaded.entries.iter().map(Arc::as_ref).find(|it| it.number == number).ok_or(Fault::NotFound)
}

/// The page.
///
/// # Errors
/// No such entry.
pub async fn page(desk: Desk, Path((id, number)): Path<(String, u64)>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "correct").await?;
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
    let entry = entry_of(loaded, number)?;
    let record = loaded.record(number).ok_or(Fault::NotFound)?;
    let teller = Teller::of(words, desk.library(), &loaded.episode, desk.app.today());
    let later = loaded.entries.iter().find(|it| it.supersedes == Some(number));
    let may = right(&entry.fact).is_some_and(|it| desk.may(it));
    let title = words.text("c-record-correct-title", &[("number", (number as f64).into())]);
    let recorded = record.recorded.to_zoned_datetime(desk.app.config().zone.clone());
    let args = [("who", record.by.name.clone().into()), ("date", words.date_long(recorded.date()).into())];
    Ok(page_with(
        desk,
        Place::None,
        &format!("{title}: {}", loaded.episode.patient.name),
        &["record.js"],
        html! {
            link rel="stylesheet" href=(asset("record.css"));
            (head::band(words, &loaded.episode, &title, desk.app.today()))
            section class="card" {
                h2 { (desk.say("c-record-as-written")) }
                p class="quiet" { (words.text("c-record-written-by", &args)) }
                (describe::list(&teller, loaded, &entry.fact))
                @if let Some(before) = entry.supersedes {
                    p { a href={ "/e/" (loaded.id) "/record/correct/" (before) } { (words.text("c-record-in-place-of", &[("number", (before as f64).into())])) } }
                }
            }
            (refusal(wrong))
            @if let Some(later) = later {
                p class="alert care" { (desk.say("c-record-no-longer-counts")) " "
                    a href={ "/e/" (loaded.id) "/record/correct/" (later.number) } { (words.text("c-record-see-entry", &[("number", (later.number as f64).into())])) } }
            } @else if !may {
                p class="alert care" { (desk.say("c-record-not-corrected-here")) }
            } @else {
                @if can_change(&entry.fact) {
                    section class="card" id="change" tabindex="-1" {
                        h2 { (desk.say("c-record-new-value")) }
                        form class="stack" method="post" action={ "/e/" (loaded.id) "/record/correct/" (number) } {
                            (hidden(desk, fields)) input type="hidden" name="do" value="change";
                            (inputs(desk, loaded, &entry.fact, fields))
                            (field(&desk.say("c-record-why-corrected"), "why", Kind::Text, typed(fields, "why"), true))
                            div { button class="main" { (desk.say("c-record-correct-do")) } }
                        }
                    }
                }
                section class="card" id="withdraw" tabindex="-1" {
                    h2 { (desk.say("c-record-withdraw")) }
                    p class="quiet" { (desk.say("c-record-withdraw-hint")) }
                    form class="stack" method="post" action={ "/e/" (loaded.id) "/record/correct/" (number) } {
                        (hidden(desk, fields)) input type="hidden" name="do" value="withdraw";
                        (field(&desk.say("c-record-why-withdrawn"), "why", Kind::Text, typed(fields, "why"), true))
                        div { button class="stop" { (desk.say("c-record-withdraw-do")) } }
                    }
                }
            }
            p { a href={ "/e/" (loaded.id) } { (desk.say("c-record-back")) } }
        },
    ))
}

/// Fields of a kind, with the old values in them.
fn inputs(desk: &Desk, loaded: &Loaded, fact: &Fact, fields: &Fields) -> Markup {
    let words = desk.words();
    match fact {
        Fact::Measure(it) => {
            let sides: Vec<(String, String)> = [Side::Left, Side::Right]
                .map(|side| (side.word().to_string(), words.text("c-record-side", &[("side", side.into())])))
                .into();
            let (value, on) = (words.number(it.value, 3), it.on.to_string());
            let side = it.side.map_or("none", Side::word);
            let drives = options(desk, "c-drive", &["active", "passive", "assisted"]);
            html! {
                input type="hidden" name="what-new" value=(it.what);
                div class="fields" {
                    label { (names::measure(words, &it.what)) " (" (names::unit(words, &it.unit)) ")"
                        input name="value-new" inputmode="decimal" required value=(typed_or(fields, "value-new", &value)); }
                    (choose(&desk.say("c-record-side-of"), "side-new", typed_or(fields, "side-new", side), Some(&desk.say("c-record-side-none")), &sides))
                    @if matches!(quantity(&it.what).map(|it| it.kind), Some(Of::Angle { drive: "", .. })) {
                        (choose(&desk.say("c-record-drive"), "drive-new", typed_or(fields, "drive-new", it.drive.map_or("", |it| it.id())), Some(&desk.say("c-record-drive-choose")), &drives))
                    }
                    (field(&desk.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &on), true))
                    (field(&desk.say("c-record-method"), "method", Kind::Text, typed_or(fields, "method", it.method.as_deref().unwrap_or("")), false))
                }
            }
        }
        Fact::Diary(it) => diary_inputs(desk, loaded, it, fields),
        Fact::Visit(it) => {
            let (on, minutes, timed) =
                (it.on.to_string(), it.minutes.to_string(), it.timed_minutes.to_string());
            let back = match it.teach_back {
                Some(true) => "yes",
                Some(false) => "no",
                None => "not_asked",
            };
            html! {
                div class="fields" {
                    (field(&desk.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &on), true))
                    (field(&desk.say("c-record-minutes"), "minutes", Kind::Count, typed_or(fields, "minutes", &minutes), true))
                    (field(&desk.say("c-record-timed"), "timed", Kind::Count, typed_or(fields, "timed", &timed), true))
                }
                (field(&desk.say("c-record-visit-says"), "says", Kind::Long, typed_or(fields, "says", &it.says), true))
                (radios(&desk.say("c-record-teach-back"), "teach_back", typed_or(fields, "teach_back", back), &options(desk, "c-record-teach-back", &["yes", "no", "not_asked"])))
            }
        }
        Fact::Note(it) => {
            field(&desk.say("c-record-note"), "says", Kind::Long, typed_or(fields, "says", &it.says), true)
        }
        _ => html! {},
    }
}

/// A diary's numbers and texts. Its warning signs stay as they were reported: a correction adds, it never clears.
fn diary_inputs(desk: &Desk, loaded: &Loaded, it: &Diary, fields: &Fields) -> Markup {
    let words = desk.words();
    let pains: Vec<(String, String)> = (0..=10).map(|it| (it.to_string(), it.to_string())).collect();
    let pain = |label: &str, name: &str, old: Option<u8>| {
        let old = old.map_or_else(String::new, |it| it.to_string());
        choose(
            &desk.say(label),
            name,
            typed_or(fields, name, &old),
            Some(&desk.say("c-record-not-told")),
            &pains,
        )
    };
    let morning = serde_json::to_value(it.morning).unwrap_or_default();
    let swelling = serde_json::to_value(it.swelling).unwrap_or_default();
    let text = |label: &str, name: &str, old: &Option<String>| {
        field(&desk.say(label), name, Kind::Long, typed_or(fields, name, old.as_deref().unwrap_or("")), false)
    };
    html! {
        @if !it.signs.is_empty() { p class="alert care" { (desk.say("c-record-signs-stay")) } }
        @for (index, done) in it.done.iter().enumerate() {
            @let name = diary::exercise(words, &loaded.episode, &done.exercise);
            @let (sets, reps) = (done.sets.to_string(), done.reps.to_string());
            fieldset { legend { (name) } div class="fields" {
                (field(&desk.say("c-record-sets"), &format!("sets-{index}"), Kind::Count, typed_or(fields, &format!("sets-{index}"), &sets), true))
                (field(&desk.say("c-record-reps"), &format!("reps-{index}"), Kind::Count, typed_or(fields, &format!("reps-{index}"), &reps), true))
            } }
        }
        div class="fields" {
            (pain("c-record-pain-before", "pain_before", it.pain_before))
            (pain("c-record-pain-during", "pain_during", it.pain_during))
            (pain("c-record-pain-after", "pain_after", it.pain_after))
            (choose(&desk.say("c-record-morning"), "morning", typed_or(fields, "morning", morning.as_str().unwrap_or("")), Some(&desk.say("c-record-not-told")), &options(desk, "c-record-morning", &["usual", "worse"])))
            (choose(&desk.say("c-record-swelling"), "swelling", typed_or(fields, "swelling", swelling.as_str().unwrap_or("")), Some(&desk.say("c-record-not-told")), &options(desk, "c-record-swelling", &["less", "same", "more"])))
        }
        div class="fields" {
            (text("c-record-extra", "extra", &it.extra))
            (text("c-record-left-out", "left_out", &it.left_out))
            (text("c-record-note", "note", &it.note))
        }
    }
}

/// The fact in whose place the old one goes.
fn read(desk: &Desk, loaded: &Loaded, old: &Fact, fields: &Fields) -> Result<Fact, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let surgery = loaded.episode.operation.surgery;
    match old {
        Fact::Measure(old) => {
            let on = asked.day("on", "c-record-on", surgery);
            asked.text("value-new", "c-record-value");
            let read = measures::read_row(&mut asked, "new", on);
            if read.as_ref().is_some_and(|it| it.what != old.what) {
                asked.refuse("c-record-unknown-measure", "c-record-look-again");
            }
            let new = read.map_or_else(|| Fact::Measure(old.clone()), |it| Fact::Measure(Measure { ..it }));
            asked.or(new)
        }
        Fact::Diary(old) => {
            let mut new = old.clone();
            for (index, done) in new.done.iter_mut().enumerate() {
                done.sets = asked.count(&format!("sets-{index}"), "c-record-sets", 40).unwrap_or(done.sets);
                done.reps =
                    asked.count(&format!("reps-{index}"), "c-record-reps", 2_000).unwrap_or(done.reps);
            }
            diary::read_response(&mut asked, &mut new);
            asked.or(Fact::Diary(new))
        }
        Fact::Visit(_) => {
            let facts = crate::record::texts::visit(desk, &loaded.episode, fields)?;
            facts.into_iter().next().map(|it| it.fact).ok_or_else(Vec::new)
        }
        Fact::Note(_) => {
            let says = asked.text("says", "c-record-note");
            asked.or(Fact::Note(Note { says, by: desk.staff.name.clone() }))
        }
        _ => {
            asked.refuse("c-record-not-corrected-here", "c-record-look-again");
            asked.or(old.clone())
        }
    }
}

/// Facts of a correction: the new value or the withdrawal, and a note with the reason.
fn facts(desk: &Desk, loaded: &Loaded, entry: &Entry, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let withdraws = fields.opt("do") == Some("withdraw");
    let why = asked.text("why", if withdraws { "c-record-why-withdrawn" } else { "c-record-why-corrected" });
    let told = loaded.episode.course.contacts.iter().any(|it| it.fact.about == entry.number);
    if let Fact::Diary(diary) = &entry.fact
        && withdraws
        && !diary.signs.is_empty()
        && !told
    {
        asked.refuse("c-record-sign-not-answered", "c-record-sign-not-answered-mend");
    }
    let today = desk.app.today();
    let by = desk.staff.name.clone();
    if withdraws {
        let fact = Fact::Withdrawn(Withdrawn { reason: why, by });
        return asked.or(vec![New { on: today, fact, supersedes: Some(entry.number), key: None }]);
    }
    let words = desk.words();
    let says = words
        .text("c-record-correction-note", &[("number", (entry.number as f64).into()), ("why", why.into())]);
    let wrong = asked.or(()).err().unwrap_or_default();
    match read(desk, loaded, &entry.fact, fields) {
        Ok(fact) if wrong.is_empty() => {
            let on = match &fact {
                Fact::Measure(it) => it.on,
                Fact::Diary(it) => it.on,
                Fact::Visit(it) => it.on,
                _ => entry.on,
            };
            let new = New { on, fact, supersedes: Some(entry.number), key: None };
            Ok(vec![new, New::fact(today, Fact::Note(Note { says, by }))])
        }
        Ok(_) => Err(wrong),
        Err(more) => Err(wrong.into_iter().chain(more).collect()),
    }
}

/// Writes a correction.
///
/// # Errors
/// No such entry; a kind of entry that the person may not change.
pub async fn change(
    desk: Desk,
    Path((id, number)): Path<(String, u64)>,
    fields: Fields,
) -> Result<Response, Fault> {
    let loaded = records::load(&desk.app, &id).await?;
    let entry = entry_of(&loaded, number)?;
    match right(&entry.fact) {
        Some(right) if desk.may(right) => {}
        _ => return Err(Fault::Forbidden),
    }
    let wrong = match facts(&desk, &loaded, entry, &fields) {
        Ok(facts) => {
            let facts = write::keyed(fields.opt("once"), facts)?;
            match write::add(&desk, &id, facts.clone(), None, None).await {
                Ok(after) => {
                    let entry = write::number_of(&after, &facts);
                    return Ok(see_other(&format!("/e/{id}/record/correct/{entry}")));
                }
                Err(fault) => write::as_wrong(&desk, fault)?,
            }
        }
        Err(wrong) => wrong,
    };
    let loaded = records::open(&desk, &id, "correct").await?;
    let page = shown(&desk, &loaded, number, &fields, &wrong)?;
    Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response())
}
