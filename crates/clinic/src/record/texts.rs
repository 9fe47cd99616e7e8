//! Short forms: calls, messages, notes, visits, reports, decisions.

use crate::Role;
use crate::fields::Fields;
use crate::gate::Desk;
use crate::layout::{kept, put_back};
use crate::records::{Loaded, New};
use handrail_episode::{Decision, DecisionKind, Episode, Fact, Message, MessageFrom, Note, Report, Visit};
use handrail_progress::{
    CriterionState, LETTER_BEFORE_VISIT, Near, NotUsable, PROGRESS_REPORT, PainLimits, State,
};
use handrail_protocol::{Protocol, Threshold};
use handrail_words::Words;
use maud::{Markup, html};

use crate::record::asked::{Asked, Wrong};
use crate::record::parts::{Kind, choose, field, hidden, hinted, options, radios, typed, typed_or};
use crate::record::{call, measures, names};

/// Most minutes of a visit.
const MOST_MINUTES: u32 = 480;
/// Days of diaries that a contact can be about.
const RECENT: i64 = 30;

/// What somebody may be told about: an entry, and how it reads.
pub struct Open {
    /// Entry.
    pub number: u64,
    /// In words.
    pub says: String,
    /// True when nobody was told yet.
    pub open: bool,
}

/// Diaries with a sign or a response beyond a rule, and messages of the patient; those without an answer first.
pub fn open_items(words: &Words, episode: &Episode, today: jiff::civil::Date) -> Vec<Open> {
    let told = |number: u64| episode.course.contacts.iter().any(|it| it.fact.about == number);
    let since = today.saturating_sub(jiff::Span::new().days(RECENT));
    let mut out = Vec::new();
    for it in &episode.course.diaries {
        let diary = &it.fact;
        let open = !told(it.number);
        let what = match diary.worst_sign() {
            // A sign that nobody was told of stays in the list, however old it is.
            Some(sign) if open || diary.on >= since => sign.says.clone(),
            None if diary.on >= since && !PainLimits::STATED.passed(diary).is_empty() => {
                words.text("c-record-call-pain", &[])
            }
            _ => continue,
        };
        let says = format!("{}: {what}", words.date_short(diary.on));
        out.push(Open { number: it.number, says, open });
    }
    for it in episode.course.messages.iter().filter(|it| it.fact.1.from == MessageFrom::Patient) {
        if it.fact.0 >= since {
            let text: String = it.fact.1.says.chars().take(60).collect();
            let args = [("date", words.date_short(it.fact.0).into()), ("text", text.into())];
            let says = words.text("c-record-message-of", &args);
            out.push(Open { number: it.number, says, open: !told(it.number) });
        }
    }
    out.sort_by_key(|it| (!it.open, std::cmp::Reverse(it.number)));
    out
}

fn post(desk: &Desk, id: &str, kind: &str, fields: &Fields, body: Markup) -> Markup {
    html! {
        form class="stack" method="post" action={ "/e/" (id) "/record/" (kind) } data-draft={ (kind) "-" (id) } {
            (hidden(desk, fields))
            (put_back(desk.words()))
            (body)
            div class="row" { button class="main" { (desk.say("c-record-write")) } (kept(desk.words())) }
        }
    }
}

/// The form of a call.
pub fn contact_form(desk: &Desk, loaded: &Loaded, fields: &Fields) -> Markup {
    let items = open_items(desk.words(), &loaded.episode, desk.app.today());
    if items.is_empty() {
        return html! { p class="quiet" { (desk.say("c-record-nothing-open")) } };
    }
    let list: Vec<(String, String)> = items
        .iter()
        .map(|it| {
            let mark = if it.open { "c-record-not-answered" } else { "c-record-answered" };
            (it.number.to_string(), format!("{} ({})", it.says, desk.say(mark)))
        })
        .collect();
    post(
        desk,
        &loaded.id,
        "contact",
        fields,
        html! {
            (choose(&desk.say("c-record-about"), "about", typed(fields, "about"), None, &list))
            (call::fields_of(desk, &loaded.episode, fields, true))
        },
    )
}

/// A call of a form.
///
/// # Errors
/// What is missing; an entry that nobody can be told about.
pub fn contact(desk: &Desk, episode: &Episode, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let about: Option<u64> = asked.text("about", "c-record-about").parse().ok();
    let known = open_items(desk.words(), episode, desk.app.today());
    let about = about.filter(|number| known.iter().any(|it| it.number == *number));
    match about {
        Some(about) => call::read(desk, episode, about, fields).map(|it| vec![it]),
        None => {
            asked.refuse("c-record-about-nothing", "c-record-choose");
            asked.or(Vec::new())
        }
    }
}

/// The form of a message to the patient.
pub fn message_form(desk: &Desk, id: &str, fields: &Fields) -> Markup {
    post(
        desk,
        id,
        "message",
        fields,
        html! {
            (hinted(&desk.say("c-record-message"), &desk.say("c-record-message-hint"), "says", Kind::Long, typed(fields, "says"), true))
        },
    )
}

/// A message of a form.
///
/// # Errors
/// It is blank.
pub fn message(desk: &Desk, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let says = asked.text("says", "c-record-message");
    let message = Message { from: MessageFrom::Clinic, says, by: desk.staff.name.clone() };
    asked.or(vec![New::fact(desk.app.today(), Fact::Message(message))])
}

/// The form of a note.
pub fn note_form(desk: &Desk, id: &str, fields: &Fields) -> Markup {
    post(
        desk,
        id,
        "note",
        fields,
        html! {
            (hinted(&desk.say("c-record-note"), &desk.say("c-record-note-hint"), "says", Kind::Long, typed(fields, "says"), true))
        },
    )
}

/// A note of a form.
///
/// # Errors
/// It is blank.
pub fn note(desk: &Desk, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let says = asked.text("says", "c-record-note");
    let note = Note { says, by: desk.staff.name.clone() };
    asked.or(vec![New::fact(desk.app.today(), Fact::Note(note))])
}

/// Fields of a visit.
pub fn visit_fields(desk: &Desk, fields: &Fields) -> Markup {
    let today = desk.app.today().to_string();
    html! {
        div class="fields" {
            (field(&desk.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &today), true))
            (field(&desk.say("c-record-minutes"), "minutes", Kind::Count, typed(fields, "minutes"), true))
            (hinted(&desk.say("c-record-timed"), &desk.say("c-record-timed-hint"), "timed", Kind::Count, typed(fields, "timed"), true))
        }
        (field(&desk.say("c-record-visit-says"), "says", Kind::Long, typed(fields, "says"), true))
        (radios(&desk.say("c-record-teach-back"), "teach_back", typed(fields, "teach_back"), &options(desk, "c-record-teach-back", &["yes", "no", "not_asked"])))
    }
}

/// The form of a visit.
pub fn visit_form(desk: &Desk, id: &str, fields: &Fields) -> Markup {
    post(desk, id, "visit", fields, visit_fields(desk, fields))
}

/// A visit of a form.
///
/// # Errors
/// What is missing; more timed minutes than minutes.
pub fn visit(desk: &Desk, episode: &Episode, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let on = asked.day("on", "c-record-on", episode.operation.surgery);
    asked.text("minutes", "c-record-minutes");
    asked.text("timed", "c-record-timed");
    let minutes = asked.count("minutes", "c-record-minutes", MOST_MINUTES).unwrap_or(0);
    let timed_minutes = asked.count("timed", "c-record-timed", MOST_MINUTES).unwrap_or(0);
    if timed_minutes > minutes && asked.wrong.is_empty() {
        asked.refuse("c-record-timed-more", "c-record-timed-more-mend");
    }
    let says = asked.text("says", "c-record-visit-says");
    let teach_back = match asked.fields.opt("teach_back") {
        Some("yes") => Some(true),
        Some("no") => Some(false),
        _ => None,
    };
    let visit = Visit { on, timed_minutes, minutes, says, teach_back, by: desk.staff.name.clone() };
    asked.or(vec![New::fact(on, Fact::Visit(visit))])
}

/// Kinds of reports, as forms name them and as they stand on record.
const REPORTS: [(&str, &str); 2] = [("letter", LETTER_BEFORE_VISIT), ("progress", PROGRESS_REPORT)];

/// The form of a report that was sent.
pub fn report_form(desk: &Desk, loaded: &Loaded, fields: &Fields) -> Markup {
    let today = desk.app.today().to_string();
    post(
        desk,
        &loaded.id,
        "report",
        fields,
        html! {
            (radios(&desk.say("c-record-report-kind"), "kind", typed_or(fields, "kind", "letter"), &options(desk, "c-record-report", &["letter", "progress"])))
            div class="fields" {
                (field(&desk.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &today), true))
                (field(&desk.say("c-record-report-to"), "to", Kind::Text, typed_or(fields, "to", &loaded.episode.operation.surgeon), true))
            }
        },
    )
}

/// A report of a form.
///
/// # Errors
/// What is missing; a progress report by an assistant.
pub fn report(desk: &Desk, episode: &Episode, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let on = asked.day("on", "c-record-on", episode.operation.surgery);
    let kind = asked.one_of("kind", "c-record-report-kind", &REPORTS).unwrap_or_default();
    let to = asked.text("to", "c-record-report-to");
    if kind == PROGRESS_REPORT && desk.staff.role == Role::Assistant {
        asked.refuse("c-record-report-assistant", "c-record-report-assistant-mend");
    }
    let report = Report { to, kind: kind.into(), by: desk.staff.name.clone() };
    asked.or(vec![New::fact(on, Fact::Report(report))])
}

/// Where a criterion stands, in words.
pub fn state(words: &Words, it: &CriterionState) -> String {
    let measured = |key: &str, value: f64, on: jiff::civil::Date| {
        // Whole per cent, rounded away from the threshold: 89.6 is not shown as the 90 that was asked for.
        let shown = match it.threshold {
            Threshold::Judged => words.text(if value > 0.5 { "c-choice-yes" } else { "c-choice-no" }, &[]),
            Threshold::AtLeast(_) if it.unit == "%" => names::value(words, value.floor(), &it.unit),
            Threshold::AtMost(_) if it.unit == "%" => names::value(words, value.ceil(), &it.unit),
            _ => names::value(words, value, &it.unit),
        };
        words.text(key, &[("value", shown.into()), ("date", words.date_short(on).into())])
    };
    let near = |near: Near| match near {
        Near::WithinError { error } => {
            let error = names::value(words, error, &it.unit);
            format!(" {}", words.text("c-record-near-within", &[("error", error.into())]))
        }
        Near::Beyond { .. } => String::new(),
        Near::ErrorNotKnown => format!(" {}", words.text("c-record-near-unknown", &[])),
    };
    match it.state {
        State::Met { value, on, near: how, .. } => measured("c-record-met", value, on) + &near(how),
        State::NotMet { value, on, near: how, .. } => measured("c-record-not-met", value, on) + &near(how),
        State::Stale { value, on, .. } => measured("c-record-stale", value, on),
        State::NotMeasured => words.text("c-record-not-measured", &[]),
        State::NeedsPerson => words.text("c-record-needs-person", &[]),
        State::NeedsBothSides => words.text("c-record-needs-both-sides", &[]),
        State::NotComparable { why, .. } => words.text(
            match why {
                NotUsable::OtherSide => "c-record-not-usable-side",
                NotUsable::Unit => "c-record-not-usable-unit",
                NotUsable::Drive => "c-record-not-usable-drive",
                NotUsable::Implausible => "c-record-not-usable-value",
            },
            &[],
        ),
        State::NotApplicable => words.text("c-record-not-applicable", &[]),
    }
}

/// The criteria that open a phase, each with where it stands; with boxes to tick where `name` is given.
pub fn criteria(
    words: &Words,
    protocol: &Protocol,
    states: &[CriterionState],
    phase: usize,
    name: Option<(&str, &Fields)>,
) -> Markup {
    let of: Vec<&CriterionState> =
        states.iter().filter(|it| it.begins_index == phase && it.state != State::NotApplicable).collect();
    html! {
        @if of.is_empty() { p class="quiet" { (words.text("c-record-no-criteria", &[])) } }
        @else {
            ul class="rec-criteria" {
                @for it in of {
                    @let met = matches!(it.state, State::Met { .. });
                    li {
                        @if let Some((name, fields)) = name {
                            label class="tick" {
                                input type="checkbox" name=(name) value=(it.criterion) checked[if fields.0.is_empty() { met } else { fields.all(name).contains(&it.criterion) }];
                                span { strong { (measures::criterion(words, protocol, it)) } " " (state(words, it)) }
                            }
                        } @else {
                            span class={ "tag " (if met { "" } else { "assumed" }) } { (words.text(if met { "c-record-tag-met" } else { "c-record-tag-open" }, &[])) }
                            " " strong { (measures::criterion(words, protocol, it)) } " " (state(words, it))
                        }
                        @if !it.unanswered.is_empty() { " " span class="hint" { (words.text("c-record-criterion-may-not-apply", &[])) } }
                    }
                }
            }
        }
    }
}

const DECISIONS: [(&str, DecisionKind); 4] = [
    ("advance", DecisionKind::Advance),
    ("hold", DecisionKind::Hold),
    ("step_back", DecisionKind::StepBack),
    ("ask_surgeon", DecisionKind::AskSurgeon),
];

/// The form of a decision.
pub fn decision_form(
    desk: &Desk,
    loaded: &Loaded,
    protocol: &Protocol,
    states: &[CriterionState],
    phase: usize,
    fields: &Fields,
) -> Markup {
    let words = desk.words();
    let kinds = options(desk, "c-record-decision", &DECISIONS.map(|it| it.0));
    post(
        desk,
        &loaded.id,
        "decision",
        fields,
        html! {
            (radios(&desk.say("c-record-decision"), "kind", typed(fields, "kind"), &kinds))
            fieldset {
                legend { (desk.say("c-record-criteria-rests-on")) }
                (criteria(words, protocol, states, phase + 1, Some(("criterion", fields))))
            }
            (field(&desk.say("c-record-reason"), "reason", Kind::Long, typed(fields, "reason"), true))
            p class="quiet" { (desk.say("c-record-decision-hint")) " " a href={ "/e/" (loaded.id) "/restrictions#phase" } { (desk.say("c-record-phase-begin")) } }
        },
    )
}

/// A decision of a form.
///
/// # Errors
/// What is missing; a criterion that the protocol does not have.
pub fn decision(desk: &Desk, protocol: &Protocol, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let kind = asked.one_of("kind", "c-record-decision", &DECISIONS).unwrap_or(DecisionKind::Hold);
    let criteria = asked.fields.all("criterion").to_vec();
    if criteria.iter().any(|id| !protocol.criteria.iter().any(|it| it.id == *id)) {
        asked.refuse("c-record-unknown-criterion", "c-record-look-again");
    }
    let reason = asked.text("reason", "c-record-reason");
    let on = desk.app.today();
    let decision = Decision { on, kind, criteria, by: desk.staff.name.clone(), reason };
    asked.or(vec![New::fact(on, Fact::Decision(decision))])
}
