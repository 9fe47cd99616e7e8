//! Facts of the journal in words, for clinicians.

use handrail_anatomy::{Side, clinical_motions};
use handrail_episode::{Diary, DiaryDone, Fact, Measure, Morning, Operation, Swelling};
use handrail_measures::{Kind, quantity};
use handrail_protocol::{ActKind, Order};
use handrail_words::{Arg, Lang, Words, capital};

use crate::chart::reasons::{Teller, unit_word};

/// A short text without values.
fn say(words: &Words, key: &str) -> String {
    words.text(key, &[])
}

/// A language by its own name; one that is none of this product's by its code.
pub(crate) fn language(code: &str) -> String {
    code.parse::<Lang>().map_or_else(|_| code.to_string(), |it| it.own_name().to_string())
}

/// A usual entry ("in person", "progress report") in the reader's language; any other as it was written.
fn entered(words: &Words, text: &str) -> String {
    let key = text.trim().to_lowercase().replace(' ', "-");
    words.try_text(&format!("c-today-entered-{key}"), &[]).unwrap_or_else(|| text.to_string())
}

/// A fact in a few lines, without who and when.
pub(crate) fn says(teller: &Teller<'_>, fact: &Fact, side: Side) -> Vec<String> {
    let words = teller.words;
    let line = |key: &str, args: &[(&str, Arg)]| vec![words.text(key, args)];
    match fact {
        Fact::Patient(it) => {
            let blank = || say(words, "c-today-not-recorded");
            line(
                "c-today-fact-patient",
                &[
                    ("name", it.name.as_str().into()),
                    ("born", it.born.map_or_else(blank, |it| words.date_short(it)).into()),
                    ("record", it.record.clone().unwrap_or_else(blank).into()),
                    ("language", language(&it.language).into()),
                    ("helper", it.helper.clone().unwrap_or_else(blank).into()),
                ],
            )
        }
        Fact::Clinic(it) => line(
            "c-today-fact-clinic",
            &[
                ("name", it.name.as_str().into()),
                ("therapist", it.therapist.as_str().into()),
                ("phone", it.phone.as_str().into()),
                ("late", it.out_of_hours.as_str().into()),
                ("emergency", it.emergency.as_str().into()),
            ],
        ),
        Fact::Body(person, _) => line(
            "c-today-fact-body",
            &[
                ("cm", words.number(person.stature * 100.0, 1).into()),
                ("kg", words.number(person.mass, 1).into()),
            ],
        ),
        Fact::Home(it) => {
            let cm = |it: Option<f64>| {
                it.map_or_else(|| "?".to_string(), |it| format!("{} cm", words.number(it * 100.0, 0)))
            };
            let things = it.equipment.as_ref().map_or_else(
                || say(words, "c-today-not-asked"),
                |it| words.equipment_list(&it.iter().cloned().collect::<Vec<_>>()),
            );
            let stairs = it.stairs.map_or_else(|| say(words, "c-today-not-asked"), |it| it.to_string());
            line(
                "c-today-fact-home",
                &[
                    ("seat", cm(it.seat_height).into()),
                    ("bed", cm(it.bed_height).into()),
                    ("table", cm(it.table_height).into()),
                    ("step", cm(it.step_height).into()),
                    ("stairs", stairs.into()),
                    ("things", things.into()),
                ],
            )
        }
        Fact::Operation(it) => operation(words, it),
        Fact::Confirmation(it) => line(
            "c-today-fact-confirmation",
            &[
                ("limit", teller.limit_name(&it.restriction).into()),
                ("by", it.by.as_str().into()),
                ("document", it.document.as_str().into()),
            ],
        ),
        Fact::Order(it) => order(teller, it),
        Fact::Act(it) => {
            let mut out = match &it.kind {
                ActKind::Release { restriction } => {
                    line("c-today-fact-release", &[("limit", teller.limit_name(restriction).into())])
                }
                ActKind::BeginPhase { phase } => {
                    line("c-today-fact-phase", &[("phase", teller.phase(phase).into())])
                }
            };
            out.extend(by(words, &it.by));
            out.extend(it.document.iter().chain(&it.reason).cloned());
            out
        }
        Fact::Program(it) => {
            let names: Vec<String> =
                it.exercises.iter().map(|it| exercise(words, &it.exercise, it.side)).collect();
            let until =
                it.valid_until.map_or_else(|| say(words, "c-today-until-visit"), |it| words.date_short(it));
            let signed = signed(words, it);
            line(
                "c-today-fact-program",
                &[
                    ("version", it.version.into()),
                    ("by", it.by.as_str().into()),
                    ("signed", signed.into()),
                    ("until", until.into()),
                    ("names", names.join("; ").into()),
                ],
            )
        }
        Fact::Waiver(it) => line(
            "c-today-fact-waiver",
            &[
                ("exercise", exercise(words, &it.exercise, side).into()),
                ("limit", teller.limit_name(&it.restriction).into()),
                ("by", it.by.as_str().into()),
                ("reason", it.reason.as_str().into()),
            ],
        ),
        Fact::Done(it) => line(
            "c-today-fact-done",
            &[
                ("exercise", exercise(words, &it.exercise, side).into()),
                ("reps", it.reps.into()),
                ("from", it.from.as_str().into()),
            ],
        ),
        Fact::Jump(it) => line(
            "c-today-fact-jump",
            &[("percent", words.number(it.percent, 1).into()), ("by", it.by.as_str().into())],
        ),
        Fact::Issued(it) => line(
            "c-today-fact-issued",
            &[
                ("version", it.version.into()),
                ("medium", say(words, medium_key(it.medium)).into()),
                ("language", language(&it.language).into()),
                ("date", words.date_short(it.valid_until).into()),
                ("by", it.by.as_str().into()),
            ],
        ),
        Fact::Diary(it) => diary(words, it, side),
        Fact::Measure(it) => {
            let mut out = vec![format!("{}: {}", measure_name(words, it), measure_value(words, it))];
            out.extend(it.method.clone());
            out.extend(by(words, &it.by));
            out
        }
        Fact::Decision(it) => decision(teller, it),
        Fact::Contact(it) => line(
            "c-today-fact-contact",
            &[
                ("told", capital(&entered(words, &it.told)).into()),
                ("how", entered(words, &it.how).into()),
                ("outcome", it.outcome.as_str().into()),
                ("n", (it.about as f64).into()),
                ("by", it.by.as_str().into()),
            ],
        ),
        Fact::Visit(it) => visit(words, it),
        Fact::Note(it) => [vec![it.says.clone()], by(words, &it.by)].concat(),
        Fact::Message(it) => {
            let from = match it.from {
                handrail_episode::MessageFrom::Patient => "c-today-from-patient",
                handrail_episode::MessageFrom::Clinic => "c-today-from-clinic",
            };
            let args = [("from", say(words, from).into()), ("says", it.says.as_str().into())];
            line("c-today-fact-message", &args)
        }
        Fact::View(it) => line("c-today-fact-view", &[("what", it.what.as_str().into())]),
        Fact::Report(it) => line(
            "c-today-fact-report",
            &[
                ("kind", capital(&entered(words, &it.kind)).into()),
                ("to", entered(words, &it.to).into()),
                ("by", it.by.as_str().into()),
            ],
        ),
        Fact::Closed(it) => line(
            "c-today-fact-closed",
            &[("reason", it.reason.as_str().into()), ("by", it.by.as_str().into())],
        ),
        Fact::Withdrawn(it) => line(
            "c-today-fact-withdrawn",
            &[("reason", it.reason.as_str().into()), ("by", it.by.as_str().into())],
        ),
    }
}

fn by(words: &Words, name: &str) -> Vec<String> {
    if name.is_empty() { Vec::new() } else { vec![words.text("c-today-by", &[("by", name.into())])] }
}

/// Key of how a program reached the patient.
pub(crate) fn medium_key(it: handrail_episode::Medium) -> &'static str {
    match it {
        handrail_episode::Medium::Paper => "c-today-medium-paper",
        handrail_episode::Medium::Page => "c-today-medium-page",
        handrail_episode::Medium::File => "c-today-medium-file",
    }
}

fn operation(words: &Words, it: &Operation) -> Vec<String> {
    let visit = it.next_visit.map_or_else(|| say(words, "c-today-not-recorded"), |it| words.date_short(it));
    let mut out = vec![words.text(
        "c-today-fact-operation",
        &[
            ("operation", words.operation_name(&it.protocol).into()),
            ("side", it.side.into()),
            ("date", words.date_short(it.surgery).into()),
            ("surgeon", it.surgeon.as_str().into()),
            ("visit", visit.into()),
        ],
    )];
    out.extend(it.variants.iter().map(|(name, answer)| variant(words, name, answer)));
    out
}

/// A variant with its answer.
pub(crate) fn variant(words: &Words, name: &str, answer: &str) -> String {
    let term = |prefix: &str, id: &str| {
        words
            .try_text(&format!("{prefix}-{}", id.replace('_', "-")), &[])
            .unwrap_or_else(|| id.replace('_', " "))
    };
    let answer =
        if answer.trim().is_empty() { say(words, "c-today-not-answered") } else { term("c-choice", answer) };
    format!("{}: {answer}", term("c-variant", name))
}

fn order(teller: &Teller<'_>, it: &Order) -> Vec<String> {
    let words = teller.words;
    let mut out = vec![
        format!("{}: {}", words.limit_on(&it.limit), words.limit_value(&it.limit)),
        words.text(
            "c-today-fact-order",
            &[
                ("by", it.by.as_str().into()),
                ("date", words.date_short(it.on).into()),
                ("document", it.document.as_str().into()),
                ("from", words.date_short(it.from).into()),
            ],
        ),
    ];
    if let Some(until) = it.until {
        out.push(words.text("c-today-fact-order-until", &[("date", words.date_short(until).into())]));
    }
    if let Some(other) = &it.replaces {
        out.push(words.text("c-today-fact-order-replaces", &[("limit", teller.limit_name(other).into())]));
    }
    out.extend(it.note.clone());
    out
}

/// Title of an exercise.
pub(crate) fn exercise(words: &Words, id: &str, side: Side) -> String {
    words.exercise(id, side).map_or_else(|| id.replace('_', " "), |it| it.title)
}

/// What a diary says, line by line.
pub(crate) fn diary(words: &Words, it: &Diary, side: Side) -> Vec<String> {
    let mut out = Vec::new();
    for sign in &it.signs {
        let key = match sign.urgency {
            handrail_episode::SignUrgency::Emergency => "c-today-reason-warning-sign-emergency",
            handrail_episode::SignUrgency::SameDay => "c-today-reason-warning-sign-same-day",
            handrail_episode::SignUrgency::NextVisit => "c-today-reason-warning-sign-next-visit",
        };
        out.push(format!(
            "{}: {}",
            say(words, key),
            words.text("c-quoted", &[("what", sign.says.as_str().into())])
        ));
    }
    if !it.done.is_empty() {
        let one = |it: &DiaryDone| {
            let name = exercise(words, &it.exercise, side);
            match it.sets == 0 && it.reps == 0 {
                true => words.text("c-today-diary-left", &[("exercise", name.into())]),
                false => words.text(
                    "c-today-diary-done",
                    &[("exercise", name.into()), ("sets", it.sets.into()), ("reps", it.reps.into())],
                ),
            }
        };
        out.push(it.done.iter().map(one).collect::<Vec<_>>().join("; "));
    } else {
        out.push(say(words, "c-today-diary-nothing-told"));
    }
    let pain = |it: Option<u8>| it.map_or_else(|| "–".to_string(), |it| it.to_string());
    if it.pain_before.or(it.pain_during).or(it.pain_after).is_some() {
        out.push(words.text(
            "c-today-diary-pain",
            &[
                ("before", pain(it.pain_before).into()),
                ("during", pain(it.pain_during).into()),
                ("after", pain(it.pain_after).into()),
            ],
        ));
    }
    if let Some(morning) = it.morning {
        out.push(say(
            words,
            match morning {
                Morning::Usual => "c-today-diary-morning-usual",
                Morning::Worse => "c-today-diary-morning-worse",
            },
        ));
    }
    if let Some(swelling) = it.swelling {
        out.push(say(
            words,
            match swelling {
                Swelling::Less => "c-today-diary-swelling-less",
                Swelling::Same => "c-today-diary-swelling-same",
                Swelling::More => "c-today-diary-swelling-more",
            },
        ));
    }
    for (key, text) in [
        ("c-today-diary-extra", &it.extra),
        ("c-today-diary-why-left", &it.left_out),
        ("c-today-diary-note", &it.note),
    ] {
        if let Some(text) = text {
            out.push(words.text(key, &[("says", text.as_str().into())]));
        }
    }
    out
}

/// Name of what was measured, with its side.
pub(crate) fn measure_name(words: &Words, it: &Measure) -> String {
    let name = quantity_name(words, &it.what);
    match it.side {
        Some(side) => words.text("c-today-measure-on-side", &[("what", name.into()), ("side", side.into())]),
        None => name,
    }
}

/// Name of a quantity: its own text, the clinical name of its motion, or its id with spaces.
pub(crate) fn quantity_name(words: &Words, id: &str) -> String {
    let dashed = id.replace('_', "-");
    // What is judged with yes or no is named here by its subject alone; its answer is said in full.
    let subject = || words.try_text(&format!("c-today-judged-{dashed}"), &[]);
    let own = subject().or_else(|| words.try_text(&format!("c-record-q-{dashed}"), &[]));
    if let Some(own) = own {
        return own;
    }
    if let Some(Kind::Angle { joint, motion, drive }) = quantity(id).map(|it| it.kind)
        && let Some(joint) = handrail_anatomy::Joint::ALL.into_iter().find(|it| it.id() == joint)
    {
        let name = words.motion_name(joint, motion);
        let drive = match drive {
            "active" => Some("c-drive-active"),
            "passive" => Some("c-drive-passive"),
            _ => None,
        };
        return drive.map_or(name.clone(), |key| format!("{name}, {}", say(words, key)));
    }
    id.replace('_', " ")
}

/// Value with its unit; where it is judged, what was found.
pub(crate) fn measure_value(words: &Words, it: &Measure) -> String {
    if quantity(&it.what).is_some_and(|it| it.kind == Kind::Judged) {
        let answer = if it.value == 1.0 { "yes" } else { "no" };
        let found = words.try_text(&format!("c-today-judged-{}-{answer}", it.what.replace('_', "-")), &[]);
        return found.unwrap_or_else(|| say(words, &format!("c-today-judged-{answer}")));
    }
    if let Some(Kind::Angle { joint, motion, .. }) = quantity(&it.what).map(|it| it.kind)
        && it.value < 0.0
        && let Some(other) = opposite(joint, motion)
    {
        return angle_of(words, -it.value, other);
    }
    format!("{} {}", words.number(it.value, 1), unit_word(words, &it.unit)).trim().to_string()
}

/// The motion against a motion; `None` where it has no name.
pub(crate) fn opposite(joint: &str, motion: &str) -> Option<&'static str> {
    let all = clinical_motions();
    let this = all.iter().find(|it| it.joint.id() == joint && it.motion == motion)?;
    all.iter()
        .find(|it| it.joint == this.joint && it.measure == this.measure && it.sign == -this.sign)
        .map(|it| it.motion)
}

/// Degrees of a motion, with its name in place of a sign.
pub(crate) fn angle_of(words: &Words, degrees: f64, motion: &str) -> String {
    let name = words
        .try_text(&format!("c-motion-{}", motion.replace('_', "-")), &[])
        .unwrap_or_else(|| motion.replace('_', " "));
    let degrees = words.number(degrees, 1);
    words.text("c-today-angle-of", &[("degrees", degrees.into()), ("motion", name.into())])
}

/// A decision.
pub(crate) fn decision(teller: &Teller<'_>, it: &handrail_episode::Decision) -> Vec<String> {
    let words = teller.words;
    let key = match it.kind {
        handrail_episode::DecisionKind::Advance => "c-today-decision-advance",
        handrail_episode::DecisionKind::Hold => "c-today-decision-hold",
        handrail_episode::DecisionKind::StepBack => "c-today-decision-step-back",
        handrail_episode::DecisionKind::AskSurgeon => "c-today-decision-ask-surgeon",
    };
    let mut out = vec![format!("{}. {}", say(words, key), it.reason)];
    if !it.criteria.is_empty() {
        let names: Vec<String> = it.criteria.iter().map(|it| teller.criterion_name(it)).collect();
        out.push(words.text("c-today-decision-criteria", &[("criteria", names.join("; ").into())]));
    }
    out.extend(by(words, &it.by));
    out
}

/// A visit.
pub(crate) fn visit(words: &Words, it: &handrail_episode::Visit) -> Vec<String> {
    let taught = match it.teach_back {
        Some(true) => "c-today-teach-back-yes",
        Some(false) => "c-today-teach-back-no",
        None => "c-today-teach-back-not-asked",
    };
    vec![
        it.says.clone(),
        words.text(
            "c-today-fact-visit",
            &[
                ("minutes", it.minutes.into()),
                ("timed", it.timed_minutes.into()),
                ("taught", say(words, taught).into()),
                ("by", it.by.as_str().into()),
            ],
        ),
    ]
}

/// Who signed a program, or that nobody did.
pub(crate) fn signed(words: &Words, it: &handrail_episode::Program) -> String {
    match &it.signed_by {
        Some(by) => words.text("c-today-signed", &[("by", by.as_str().into())]),
        None => say(words, "c-today-draft"),
    }
}
