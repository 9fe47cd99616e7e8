//! Refuses a session that could not be led through, with all its faults at once.

use crate::labels::{Labels, StopReason};
use crate::session::{Clip, Exercise, FollowSession, FollowStep, Move, Rest};

/// One thing wrong with a session.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{place}: {problem}")]
pub struct SessionFault {
    /// Where, such as `steps[2].phases[0].seconds`.
    pub place: String,
    /// What is wrong and what was expected.
    pub problem: String,
}

/// All faults of a session; never empty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionFaults(pub Vec<SessionFault>);

impl std::fmt::Display for SessionFaults {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "the guided session cannot be made:")?;
        self.0.iter().try_for_each(|fault| write!(f, "\n  {fault}"))
    }
}

impl std::error::Error for SessionFaults {}

/// Whether a text is an id: 1 to `longest` of `a-z A-Z 0-9 . _ -`.
pub(crate) fn is_id(text: &str, longest: usize) -> bool {
    (1..=longest).contains(&text.len())
        && text.bytes().all(|byte| byte.is_ascii_alphanumeric() || b"._-".contains(&byte))
}

/// Collects faults.
struct Faults(Vec<SessionFault>);

impl Faults {
    fn need(&mut self, holds: bool, place: &str, problem: impl Into<String>) {
        if !holds {
            self.0.push(SessionFault { place: place.into(), problem: problem.into() });
        }
    }

    fn words(&mut self, text: &str, place: &str) {
        self.need(!text.trim().is_empty(), place, "has no words");
        self.need(text.len() <= 400, place, "is longer than 400 bytes");
    }

    fn all_words(&mut self, texts: &[String], place: &str) {
        for (i, text) in texts.iter().enumerate() {
            self.words(text, &format!("{place}[{i}]"));
        }
    }

    fn seconds(&mut self, value: f32, least: f32, most: f32, place: &str) {
        let holds = value.is_finite() && (least..=most).contains(&value);
        self.need(holds, place, format!("is {value} s; expected {least} to {most} s"));
    }
}

/// Markup that could run or load something, or that the page's policy would silently drop.
fn forbidden_markup(svg: &str) -> Option<&'static str> {
    let lower = svg.to_ascii_lowercase();
    let listed = [
        "<script",
        "<style",
        "<image",
        "<foreignobject",
        "<iframe",
        "<a ",
        "href",
        "javascript:",
        "http:",
        "https:",
    ];
    // An attribute name is the run of letters before "=", whatever stands before it.
    let handler = || {
        let mut names = lower.split('=').map(str::trim_end);
        names.any(|before| {
            let name = before.rsplit(|c: char| !c.is_ascii_alphabetic()).next().unwrap_or_default();
            name.len() > 2 && name.starts_with("on")
        })
    };
    listed.into_iter().find(|word| lower.contains(word)).or_else(|| handler().then_some("an event handler"))
}

fn check_clip(faults: &mut Faults, clip: &Clip, place: &str) {
    faults.words(&clip.alt, &format!("{place}.alt"));
    let [left, top, width, height] = clip.view_box;
    let good_box = [left, top, width, height].iter().all(|n| n.is_finite()) && width > 0.0 && height > 0.0;
    faults.need(good_box, &format!("{place}.view_box"), "needs finite numbers, a width and a height");
    for (name, svg) in [("back_svg", &clip.back_svg), ("front_svg", &clip.front_svg)] {
        if let Some(found) = forbidden_markup(svg) {
            faults.need(
                false,
                &format!("{place}.{name}"),
                format!("holds {found}; only drawn shapes are taken"),
            );
        }
    }
    let drawn =
        !clip.parts.is_empty() || !clip.back_svg.trim().is_empty() || !clip.front_svg.trim().is_empty();
    faults.need(drawn, place, "shows nothing");
    faults.need(
        clip.parts.is_empty() == clip.frames.is_empty(),
        place,
        "needs both parts and frames, or neither for a still picture",
    );
    for (i, part) in clip.parts.iter().enumerate() {
        let holds = (1..=4).contains(&part.circles);
        faults.need(
            holds,
            &format!("{place}.parts[{i}]"),
            format!("has {} circles; expected 1 to 4", part.circles),
        );
    }
    let numbers = 3 * clip.parts.iter().map(|part| usize::from(part.circles)).sum::<usize>();
    for (k, frame) in clip.frames.iter().enumerate() {
        let here = format!("{place}.frames[{k}]");
        let length = frame.v.len();
        faults.need(length == numbers, &here, format!("has {length} numbers; its parts need {numbers}"));
        let radii = frame.v.iter().skip(2).step_by(3).all(|r| *r > 0);
        faults.need(radii, &here, "has a circle without a radius");
        let later = if k == 0 { frame.t == 0.0 } else { frame.t > clip.frames[k - 1].t };
        faults.need(later && frame.t.is_finite(), &here, "is not in order of time from 0 s");
        let layers = frame.order.as_ref().is_none_or(|order| order.len() == clip.parts.len());
        faults.need(layers, &here, "needs one layer for each part in `order`");
    }
}

fn check_exercise(faults: &mut Faults, session: &FollowSession, exercise: &Exercise, place: &str) {
    let at = |field: &str| format!("{place}.{field}");
    faults.need(is_id(&exercise.id, 40), &at("id"), "needs 1 to 40 letters, digits, dots or dashes");
    let side = exercise.side == session.side;
    faults.need(side, &at("side"), format!("is {:?}; the session is for {:?}", exercise.side, session.side));
    for (field, text) in [
        ("title", &exercise.title),
        ("side_words", &exercise.side_words),
        ("dose_words", &exercise.dose_words),
    ] {
        faults.words(text, &at(field));
    }
    faults.all_words(&exercise.instructions, &at("instructions"));
    faults.all_words(&exercise.cues, &at("cues"));
    if let Some(limit) = &exercise.limit {
        faults.words(limit, &at("limit"));
    }
    faults.need((1..=10).contains(&exercise.sets), &at("sets"), "expected 1 to 10 sets");
    let among = exercise.first_set >= 1
        && u16::from(exercise.first_set) - 1 + u16::from(exercise.sets) <= u16::from(exercise.all_sets);
    faults.need(among, &at("first_set"), "its sets must lie among `all_sets`");
    faults.need((1..=100).contains(&exercise.reps), &at("reps"), "expected 1 to 100 repetitions");
    faults.seconds(exercise.breath_s, 0.0, 60.0, &at("breath_s"));
    faults.seconds(exercise.rest_s, 0.0, 600.0, &at("rest_s"));
    faults.need(!exercise.phases.is_empty(), &at("phases"), "a repetition needs at least one phase");
    for (i, phase) in exercise.phases.iter().enumerate() {
        faults.words(&phase.say, &at(&format!("phases[{i}].say")));
        faults.seconds(phase.seconds, 0.3, 120.0, &at(&format!("phases[{i}].seconds")));
    }
    check_clip(faults, &exercise.clip, &at("clip"));
}

fn check_move(faults: &mut Faults, change: &Move, place: &str) {
    faults.words(&change.title, &format!("{place}.title"));
    faults.words(&change.side_words, &format!("{place}.side_words"));
    if let Some(limit) = &change.limit {
        faults.words(limit, &format!("{place}.limit"));
    }
    faults.need(!change.stages.is_empty(), &format!("{place}.stages"), "a move needs at least one stage");
    faults.need(
        change.stages.iter().any(|stage| stage.picture.is_some()),
        &format!("{place}.stages"),
        "a move needs at least one picture",
    );
    for (i, stage) in change.stages.iter().enumerate() {
        faults.words(&stage.say, &format!("{place}.stages[{i}].say"));
        faults.seconds(stage.seconds, 0.0, 120.0, &format!("{place}.stages[{i}].seconds"));
        if let Some(picture) = &stage.picture {
            check_clip(faults, picture, &format!("{place}.stages[{i}].picture"));
        }
    }
}

fn check_rest(faults: &mut Faults, rest: &Rest, place: &str) {
    faults.words(&rest.title, &format!("{place}.title"));
    faults.seconds(rest.seconds, 4.0, 600.0, &format!("{place}.seconds"));
    if let Some(say) = &rest.say {
        faults.words(say, &format!("{place}.say"));
    }
}

fn check_labels(faults: &mut Faults, labels: &Labels) {
    for (name, text, holes) in labels.each() {
        let place = format!("labels.{name}");
        faults.words(text, &place);
        for hole in holes {
            faults.need(
                text.contains(&format!("{{{hole}}}")),
                &place,
                format!("lacks the placeholder {{{hole}}}"),
            );
        }
    }
    for reason in StopReason::ALL {
        let count = labels.reasons.iter().filter(|label| label.code == reason).count();
        faults.need(
            count == 1,
            "labels.reasons",
            format!("needs {reason:?} once; it is there {count} times"),
        );
    }
    for (i, label) in labels.reasons.iter().enumerate() {
        faults.words(&label.text, &format!("labels.reasons[{i}]"));
    }
}

/// Longest log that this session can leave, in bytes: it must fit in one code.
fn longest_log(session: &FollowSession) -> usize {
    let head =
        160 + session.session_id.len() + session.warnings.iter().map(|w| w.id.len() + 3).sum::<usize>();
    let exercise = |e: &Exercise| 60 + e.id.len() + 4 * usize::from(e.sets);
    head + session
        .steps
        .iter()
        .map(|step| if let FollowStep::Exercise(e) = step { exercise(e) } else { 0 })
        .sum::<usize>()
}

/// Checks a session as [`crate::follow_html`] does.
///
/// # Errors
/// All faults at once, each with its place.
pub fn check_session(session: &FollowSession) -> Result<(), SessionFaults> {
    let mut faults = Faults(Vec::new());
    faults.need(
        is_id(&session.session_id, 64),
        "session_id",
        "needs 1 to 64 letters, digits, dots or dashes",
    );
    let lang = (2..=35).contains(&session.lang.len())
        && session.lang.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'-');
    faults.need(lang, "lang", "is not a language tag such as `en`");
    for (place, text) in [
        ("title", &session.title),
        ("patient_label", &session.patient_label),
        ("side_words", &session.side_words),
        ("clinic.name", &session.clinic.name),
        ("clinic.phone", &session.clinic.phone),
        ("clinic.out_of_hours", &session.clinic.out_of_hours),
        ("clinic.emergency", &session.clinic.emergency),
    ] {
        faults.words(text, place);
    }
    faults.need(session.date >= session.issued, "date", "lies before `issued`");
    faults.need(session.valid_until >= session.date, "valid_until", "lies before `date`");
    faults.need(session.pain_limit.is_none_or(|n| n <= 10), "pain_limit", "expected 0 to 10");
    faults.need(!session.stop_rules.is_empty(), "stop_rules", "the page must say when to stop");
    faults.need(!session.warnings.is_empty(), "warnings", "the page must ask for warning signs");
    faults.need(!session.after.is_empty(), "after", "the page must say when to call after the session");
    faults.all_words(&session.limits, "limits");
    faults.all_words(&session.limits_assumed, "limits_assumed");
    faults.all_words(&session.after, "after");
    faults.all_words(&session.stop_rules, "stop_rules");
    for (i, group) in session.warnings.iter().enumerate() {
        let place = format!("warnings[{i}]");
        let once = session.warnings[..i].iter().all(|other| other.id != group.id);
        faults.need(is_id(&group.id, 40) && once, &format!("{place}.id"), "needs an id of its own");
        faults.words(&group.question, &format!("{place}.question"));
        faults.words(&group.call, &format!("{place}.call"));
        faults.need(!group.signs.is_empty(), &format!("{place}.signs"), "names no sign");
        faults.all_words(&group.signs, &format!("{place}.signs"));
    }
    check_labels(&mut faults, &session.labels);
    let mut ids: Vec<&str> = Vec::new();
    for (i, step) in session.steps.iter().enumerate() {
        let place = format!("steps[{i}]");
        match step {
            FollowStep::Exercise(exercise) => {
                check_exercise(&mut faults, session, exercise, &place);
                let once = !ids.contains(&exercise.id.as_str());
                faults.need(once, &format!("{place}.id"), "is there twice; a log could not tell them apart");
                ids.push(&exercise.id);
            }
            FollowStep::Move(change) => check_move(&mut faults, change, &place),
            FollowStep::Rest(rest) => check_rest(&mut faults, rest, &place),
        }
    }
    faults.need((1..=32).contains(&ids.len()), "steps", "expected 1 to 32 exercises");
    let log = longest_log(session);
    faults.need(
        log <= 1800,
        "steps",
        format!("the log may reach {log} bytes; a phone shows at most 1800 well"),
    );
    if faults.0.is_empty() { Ok(()) } else { Err(SessionFaults(faults.0)) }
}
