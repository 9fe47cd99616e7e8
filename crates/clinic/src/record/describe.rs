//! An entry in words: what it says, for the page that confirms it and the page that corrects it.

use crate::chart::reasons::Teller;
use crate::records::Loaded;
use handrail_episode::{DecisionKind, Diary, Fact, MessageFrom, Morning, Swelling};
use handrail_protocol::ActKind;
use handrail_words::Words;
use maud::{Markup, html};

use crate::record::{diary, names};

/// Key of the name of a decision.
pub fn decision(it: DecisionKind) -> &'static str {
    match it {
        DecisionKind::Advance => "c-record-decision-advance",
        DecisionKind::Hold => "c-record-decision-hold",
        DecisionKind::StepBack => "c-record-decision-step-back",
        DecisionKind::AskSurgeon => "c-record-decision-ask-surgeon",
    }
}

fn side(words: &Words, it: handrail_anatomy::Side) -> String {
    words.text("c-record-side", &[("side", it.into())])
}

/// Labels and values of a fact; limits, phases and criteria by their names.
pub fn lines(teller: &Teller<'_>, loaded: &Loaded, fact: &Fact) -> Vec<(String, String)> {
    let words = teller.words;
    let say = |key: &str| words.text(key, &[]);
    let mut out: Vec<(String, String)> = Vec::new();
    let mut add = |key: &str, value: String| {
        if !value.is_empty() {
            out.push((say(key), value));
        }
    };
    match fact {
        Fact::Measure(it) => {
            add("c-record-what", names::measure(words, &it.what));
            add("c-record-side-of", it.side.map_or_else(String::new, |it| side(words, it)));
            add("c-record-value", names::measured(words, &it.what, it.value, &it.unit));
            add("c-record-drive", it.drive.map_or_else(String::new, |it| words.drive_name(it)));
            add("c-record-method", it.method.clone().unwrap_or_default());
            add("c-record-on", words.date_short(it.on));
            add("c-record-by", it.by.clone());
        }
        Fact::Diary(it) => return diary_lines(words, loaded, it),
        Fact::Visit(it) => {
            add("c-record-on", words.date_short(it.on));
            add("c-record-minutes", it.minutes.to_string());
            add("c-record-timed", it.timed_minutes.to_string());
            add("c-record-visit-says", it.says.clone());
            let back = it.teach_back.map(|it| say(if it { "c-choice-yes" } else { "c-choice-no" }));
            add("c-record-teach-back", back.unwrap_or_default());
            add("c-record-by", it.by.clone());
        }
        Fact::Note(it) => {
            add("c-record-note", it.says.clone());
            add("c-record-by", it.by.clone());
        }
        Fact::Message(it) => {
            let from = if it.from == MessageFrom::Patient {
                "c-record-from-patient"
            } else {
                "c-record-from-clinic"
            };
            add("c-record-from", say(from));
            add("c-record-message", it.says.clone());
            add("c-record-by", it.by.clone());
        }
        Fact::Contact(it) => {
            add("c-record-on", words.date_short(it.on));
            add("c-record-told", it.told.clone());
            add("c-record-how", it.how.clone());
            add("c-record-outcome", it.outcome.clone());
            add("c-record-about", it.about.to_string());
            add("c-record-by", it.by.clone());
        }
        Fact::Report(it) => {
            add("c-record-report-kind", it.kind.clone());
            add("c-record-report-to", it.to.clone());
            add("c-record-by", it.by.clone());
        }
        Fact::Decision(it) => {
            add("c-record-on", words.date_short(it.on));
            add("c-record-decision", say(decision(it.kind)));
            let names: Vec<String> = it.criteria.iter().map(|id| teller.criterion_name(id)).collect();
            add("c-record-criteria", names.join("; "));
            add("c-record-reason", it.reason.clone());
            add("c-record-by", it.by.clone());
        }
        Fact::Confirmation(it) => {
            add("c-record-restriction", teller.limit_text(&it.restriction));
            add("c-record-by-whom", it.by.clone());
            add("c-record-on", words.date_short(it.on));
            add("c-record-document", it.document.clone());
        }
        Fact::Order(it) => {
            add("c-record-limit", format!("{}: {}", words.limit_on(&it.limit), words.limit_value(&it.limit)));
            add(
                "c-record-replaces",
                it.replaces.as_ref().map_or_else(String::new, |id| teller.limit_text(id)),
            );
            add("c-record-by-whom", it.by.clone());
            add("c-record-document", it.document.clone());
            add("c-record-from-day", words.date_short(it.from));
            add("c-record-until-day", it.until.map_or_else(String::new, |it| words.date_short(it)));
        }
        Fact::Act(it) => {
            match &it.kind {
                ActKind::Release { restriction } => add("c-record-lifted", teller.limit_text(restriction)),
                ActKind::BeginPhase { phase } => {
                    add("c-record-begun", words.phase_name(&loaded.episode.operation.protocol, phase));
                }
            }
            add("c-record-by-whom", it.by.clone());
            add("c-record-on", words.date_short(it.on));
            add("c-record-document", it.document.clone().unwrap_or_default());
            add("c-record-reason", it.reason.clone().unwrap_or_default());
        }
        Fact::Program(it) => add("c-record-version", it.version.to_string()),
        Fact::Issued(it) => {
            add("c-record-version", it.version.to_string());
            add("c-record-by", it.by.clone());
        }
        Fact::Waiver(it) => {
            add("c-record-exercise", diary::exercise(words, &loaded.episode, &it.exercise));
            add("c-record-restriction", teller.limit_text(&it.restriction));
            add("c-record-reason", it.reason.clone());
            add("c-record-by", it.by.clone());
        }
        Fact::Withdrawn(it) => {
            add("c-record-reason", it.reason.clone());
            add("c-record-by", it.by.clone());
        }
        Fact::Done(it) => {
            add("c-record-exercise", diary::exercise(words, &loaded.episode, &it.exercise));
            add("c-record-reps", it.reps.to_string());
        }
        Fact::Patient(_)
        | Fact::Clinic(_)
        | Fact::Body(..)
        | Fact::Home(_)
        | Fact::Operation(_)
        | Fact::Jump(_)
        | Fact::View(_)
        | Fact::Closed(_) => {}
    }
    out
}

fn diary_lines(words: &Words, loaded: &Loaded, it: &Diary) -> Vec<(String, String)> {
    let say = |key: &str| words.text(key, &[]);
    let pain = |it: Option<u8>| it.map_or_else(|| say("c-record-not-told"), |it| it.to_string());
    let mut out = vec![
        (say("c-record-diary-day"), words.date_short(it.on)),
        (
            say("c-record-source"),
            words.text(&format!("c-record-source-{}", it.source.id().replace(' ', "-")), &[]),
        ),
    ];
    for sign in &it.signs {
        out.push((say("c-record-sign"), sign.says.clone()));
    }
    for done in &it.done {
        let name = diary::exercise(words, &loaded.episode, &done.exercise);
        let args = [("sets", done.sets.into()), ("reps", done.reps.into())];
        let says =
            if done.sets == 0 { say("c-record-done-none") } else { words.text("c-record-done-so", &args) };
        out.push((name, says));
    }
    let pains = [pain(it.pain_before), pain(it.pain_during), pain(it.pain_after)];
    out.push((say("c-record-pains"), pains.join(" / ")));
    let morning = it.morning.map(|it| if it == Morning::Usual { "usual" } else { "worse" });
    out.extend(morning.map(|it| (say("c-record-morning"), say(&format!("c-record-morning-{it}")))));
    let swelling = it.swelling.map(|it| match it {
        Swelling::Less => "less",
        Swelling::Same => "same",
        Swelling::More => "more",
    });
    out.extend(swelling.map(|it| (say("c-record-swelling"), say(&format!("c-record-swelling-{it}")))));
    for (key, text) in
        [("c-record-extra", &it.extra), ("c-record-left-out", &it.left_out), ("c-record-note", &it.note)]
    {
        out.extend(text.as_ref().map(|it| (say(key), it.clone())));
    }
    out
}

/// A fact as a list.
pub fn list(teller: &Teller<'_>, loaded: &Loaded, fact: &Fact) -> Markup {
    html! {
        dl class="rec-facts" {
            @for (label, value) in lines(teller, loaded, fact) { div { dt { (label) } dd { (value) } } }
        }
    }
}
