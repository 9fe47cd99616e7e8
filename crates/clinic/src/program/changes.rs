//! What changed, in words: from one version to the next, and by whom since a form was begun.

use crate::chart::reasons::Teller;
use crate::gate::Desk;
use crate::records::Loaded;
use handrail_episode::{Entry, Fact, Program};
use handrail_library::Library;
use handrail_progress::compare::{DoseSet, ProgramChange, compare_programs};
use handrail_words::Words;
use maud::{Markup, html};

use crate::program::basis::since;
use crate::program::board::{parameter_name, unit_name};
use crate::program::form::shown;
use crate::program::study::Study;

/// Changes from one program to another, one sentence each.
pub fn sentences(desk: &Desk, library: &Library, old: &Program, new: &Program) -> Vec<String> {
    compare_programs(old, new).iter().map(|it| sentence(desk, library, it)).collect()
}

fn sentence(desk: &Desk, library: &Library, change: &ProgramChange) -> String {
    let words = desk.words();
    let count = |it: &Option<u32>| it.map_or_else(|| desk.say("c-program-as-phase"), |it| it.to_string());
    let date = |it: &Option<jiff::civil::Date>| {
        it.map_or_else(|| desk.say("c-program-not-set"), |it| words.date_short(it))
    };
    let pair =
        |key: &str, old: String, new: String| words.text(key, &[("old", old.into()), ("new", new.into())]);
    match change {
        ProgramChange::TimesADay { old, new } => pair("c-program-change-times", count(old), count(new)),
        ProgramChange::DaysAWeek { old, new } => pair("c-program-change-days", count(old), count(new)),
        ProgramChange::ValidUntil { old, new } => pair("c-program-change-until", date(old), date(new)),
        ProgramChange::Removed { exercise, side } => {
            words.text("c-program-change-removed", &[("title", words.exercise_title(exercise, *side).into())])
        }
        ProgramChange::Added { exercise, side, dose } => {
            let args = [
                ("title", words.exercise_title(exercise, *side).into()),
                ("dose", dose_words(desk, dose).into()),
            ];
            words.text("c-program-change-added", &args)
        }
        ProgramChange::Dose { exercise, side, old, new } => {
            let args = [
                ("title", words.exercise_title(exercise, *side).into()),
                ("old", dose_words(desk, old).into()),
                ("new", dose_words(desk, new).into()),
            ];
            words.text("c-program-change-of", &args)
        }
        ProgramChange::Parameters { exercise, side, old, new } => {
            let args = [
                ("title", words.exercise_title(exercise, *side).into()),
                ("old", parameters_words(desk, library, exercise, old).into()),
                ("new", parameters_words(desk, library, exercise, new).into()),
            ];
            words.text("c-program-change-of", &args)
        }
        ProgramChange::Order { .. } => desk.say("c-program-change-order"),
    }
}

fn dose_words(desk: &Desk, dose: &DoseSet) -> String {
    let words = desk.words();
    let mut out = Vec::new();
    out.extend(dose.sets.map(|it| words.text("dose-sets", &[("n", it.into())])));
    out.extend(dose.reps.map(|it| words.text("dose-reps", &[("n", it.into())])));
    out.extend(dose.seconds.map(|it| words.text("dose-seconds", &[("seconds", words.seconds(it).into())])));
    out.extend(dose.rest.map(|it| words.text("dose-rest", &[("seconds", words.seconds(it).into())])));
    if out.is_empty() { desk.say("c-program-as-phase") } else { out.join(", ") }
}

fn parameters_words(
    desk: &Desk,
    library: &Library,
    exercise: &str,
    parameters: &handrail_motion::Parameters,
) -> String {
    let words = desk.words();
    let one = |(name, value): (&String, &f64)| {
        let known =
            library.exercises.get(exercise).and_then(|it| it.parameters.iter().find(|it| it.name == *name));
        let (factor, unit) = known.map_or((1.0, ""), shown);
        format!(
            "{} {} {}",
            parameter_name(words, name),
            words.number(value * factor, 1),
            unit_name(desk, unit)
        )
    };
    let all: Vec<String> = parameters.iter().map(one).collect();
    if all.is_empty() { desk.say("c-program-as-exercise") } else { all.join(", ") }
}

/// What the form changes against the newest version.
pub fn against_last(desk: &Desk, loaded: &Loaded, study: &Study) -> Markup {
    let words = desk.words();
    let Some(last) = loaded.episode.programs.iter().max_by_key(|it| it.version) else {
        return html! { p { (desk.say("c-program-first-version")) } };
    };
    let list = sentences(desk, study.base.library(), last, &study.program);
    html! {
        p { (words.text("c-program-against", &[("n", last.version.into()), ("date", words.date_short(last.issued).into())])) }
        @if list.is_empty() { p { (desk.say("c-program-no-change")) } }
        @else { ul { @for it in list { li { (it) } } } }
    }
}

/// What others, or this person elsewhere, wrote since the form was begun; `None` when nothing.
pub fn conflict(desk: &Desk, loaded: &Loaded, study: &Study, seen: u64) -> Option<Markup> {
    let new = since(loaded, seen);
    if new.is_empty() {
        return None;
    }
    let words = desk.words();
    let theirs =
        new.iter().rev().find_map(|it| if let Fact::Program(it) = &it.fact { Some(it) } else { None });
    let zone = &desk.app.config().zone;
    let when = |it: &Entry| {
        let record = loaded.record(it.number)?;
        let at = record.recorded.to_zoned_datetime(zone.clone());
        let date = words.date_short(at.date());
        let args = [
            ("who", record.by.name.as_str().into()),
            ("date", date.into()),
            ("time", at.strftime("%H:%M").to_string().into()),
            ("what", did(words, &study.base.teller(words), &it.fact).into()),
        ];
        Some(words.text("c-program-changed-by", &args))
    };
    Some(html! {
        section class="alert care conflict" role="alert" aria-labelledby="conflict" {
            h2 id="conflict" { (desk.say("c-program-conflict")) }
            ul { @for it in new.iter().filter_map(|it| when(it)) { li { (it) } } }
            p { (desk.say("c-program-conflict-kept")) }
            @if let Some(theirs) = theirs {
                (side_by_side(desk, study, theirs))
                div class="row" {
                    button name="do" value="theirs" { (words.text("c-program-take-theirs", &[("n", theirs.version.into())])) }
                    button name="do" value="mine" { (desk.say("c-program-take-mine")) }
                }
            } @else {
                p { (desk.say("c-program-checked-anew")) }
                div class="row" { button name="do" value="mine" { (desk.say("c-program-go-on")) } }
            }
        }
    })
}

/// Both programs exercise by exercise, and the differences in words.
fn side_by_side(desk: &Desk, study: &Study, theirs: &Program) -> Markup {
    let (words, mine, library) = (desk.words(), &study.program, study.base.library());
    let mut keys: Vec<(&str, handrail_anatomy::Side)> = Vec::new();
    for it in theirs.exercises.iter().chain(&mine.exercises) {
        let key = (it.exercise.as_str(), it.side);
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    let cell = |program: &Program, key: (&str, handrail_anatomy::Side)| {
        let found = program.exercises.iter().find(|it| (it.exercise.as_str(), it.side) == key)?;
        let mut out = dose_words(desk, &DoseSet::from(found));
        if !found.parameters.is_empty() {
            out = format!("{out}; {}", parameters_words(desk, library, key.0, &found.parameters));
        }
        Some(out)
    };
    let absent = desk.say("c-program-not-in");
    let rhythm = |it: &Program| {
        let count = |it: Option<u32>| it.map_or_else(|| desk.say("c-program-as-phase"), |it| it.to_string());
        let until = it.valid_until.map_or_else(|| desk.say("c-program-not-set"), |it| words.date_short(it));
        words.text(
            "c-program-row-rhythm",
            &[
                ("times", count(it.times_a_day).into()),
                ("days", count(it.days_a_week).into()),
                ("until", until.into()),
            ],
        )
    };
    let row = |name: String, a: String, b: String| {
        html! {
            tr class=[(a != b).then_some("differs")] {
                th scope="row" { (name) @if a != b { " " span class="tag" { (desk.say("c-program-differs")) } } }
                td { (a) } td { (b) }
            }
        }
    };
    html! {
        div class="scroll" tabindex="0" role="region" aria-labelledby="both" {
            table {
                caption id="both" { (desk.say("c-program-both")) }
                thead { tr {
                    th scope="col" { (desk.say("c-program-exercise")) }
                    th scope="col" { (words.text("c-program-theirs", &[("n", theirs.version.into()), ("by", theirs.by.as_str().into())])) }
                    th scope="col" { (desk.say("c-program-yours")) }
                } }
                tbody {
                    (row(desk.say("c-program-rhythm"), rhythm(theirs), rhythm(mine)))
                    @for key in keys {
                        (row(words.exercise_title(key.0, key.1), cell(theirs, key).unwrap_or_else(|| absent.clone()), cell(mine, key).unwrap_or_else(|| absent.clone())))
                    }
                }
            }
        }
        @let list = sentences(desk, library, theirs, mine);
        @if !list.is_empty() {
            p { strong { (desk.say("c-program-yours-differs")) } }
            ul { @for it in list { li { (it) } } }
        }
    }
}

/// What an entry does, as the end of "who, when: ...".
fn did(words: &Words, teller: &Teller<'_>, fact: &Fact) -> String {
    let limit = |key: &str, id: &str| words.text(key, &[("limit", teller.limit_text(id).into())]);
    match fact {
        Fact::Program(it) => words.text("c-program-did-program", &[("n", it.version.into())]),
        Fact::Order(it) => {
            let says = format!("{}: {}", words.limit_on(&it.limit), words.limit_value(&it.limit));
            words.text("c-program-did-order", &[("limit", says.into())])
        }
        Fact::Confirmation(it) => limit("c-program-did-confirmed", &it.restriction),
        Fact::Act(_) => words.text("c-program-did-act", &[]),
        Fact::Operation(_) => words.text("c-program-did-operation", &[]),
        Fact::Body(..) => words.text("c-program-did-body", &[]),
        Fact::Home(_) => words.text("c-program-did-home", &[]),
        Fact::Waiver(it) => limit("c-program-did-waiver", &it.restriction),
        Fact::Withdrawn(_) => words.text("c-program-did-withdrawn", &[]),
        _ => words.text("c-program-did-corrected", &[]),
    }
}
