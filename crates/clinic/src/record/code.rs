//! The code of a guided session, pasted or scanned: it becomes a diary. One session is counted once, however often
//! and however late its code is read.

use crate::fields::Fields;
use crate::gate::Desk;
use crate::records::{Loaded, New};
use handrail_episode::{Diary, DiaryDone, DiarySource, Fact, Sign};
use handrail_followalong::{SessionLog, exercise_of, parse_logs};
use maud::{Markup, html};

use crate::record::asked::{Asked, Wrong};
use crate::record::diary;
use crate::record::parts::{Kind, hidden, hinted, typed};

/// Start of the key of every code.
const KEY: &str = "guided:";

/// The form.
pub fn form(desk: &Desk, id: &str, fields: &Fields) -> Markup {
    html! {
        form class="stack" method="post" action={ "/e/" (id) "/record/code" } {
            (hidden(desk, fields))
            (hinted(&desk.say("c-record-code"), &desk.say("c-record-code-hint"), "code", Kind::Long, typed(fields, "code"), true))
            div { button class="main" { (desk.say("c-record-write")) } }
        }
    }
}

/// Names a run of a session: its program and its start. The same run read again, with an answer more, is the same.
fn run(log: &SessionLog) -> String {
    let named = format!("{}\n{}", log.session_id, log.started);
    blake3::hash(named.as_bytes()).to_hex()[..20].to_string()
}

fn digest(line: &str) -> String {
    blake3::hash(line.trim().as_bytes()).to_hex()[..20].to_string()
}

/// What a log tells, as a diary.
fn to_diary(desk: &Desk, loaded: &Loaded, log: &SessionLog) -> Diary {
    let words = desk.words();
    let mut diary = Diary::new(log.started.date(), DiarySource::Guided);
    diary.version = log.version;
    let mut left_out = Vec::new();
    for it in &log.exercises {
        let id = exercise_of(&it.id);
        let sets = it.reps_per_set.iter().filter(|it| **it > 0).count() as u32;
        let reps: u32 = it.reps_per_set.iter().map(|it| u32::from(*it)).sum();
        match diary.done.iter_mut().find(|other| other.exercise == id) {
            Some(other) => {
                other.sets += sets;
                other.reps += reps;
            }
            None => diary.done.push(DiaryDone { exercise: id.into(), sets, reps }),
        }
        if let Some(reason) = it.reason {
            let name = diary::exercise(words, &loaded.episode, id);
            let why = desk.say(&format!("c-record-stopped-{}", reason.id().replace('_', "-")));
            left_out.push(format!("{name}: {why}"));
        }
    }
    diary.left_out = (!left_out.is_empty()).then(|| left_out.join("; "));
    diary.pain_before = log.pain_before;
    diary.pain_during = log.exercises.iter().filter_map(|it| it.pain).chain(log.pain_during).max();
    diary.pain_after = log.pain_after;
    diary.note = log.stopped.then(|| desk.say("c-record-stopped-by-patient"));
    let groups = words.warnings(&loaded.episode.operation.protocol);
    for id in &log.warnings {
        // A group that nobody knows any more is raised as the most urgent one, never dropped.
        let known = groups.iter().find(|it| it.urgency.id() == id).or(groups.first());
        diary.signs.extend(known.map(|it| Sign {
            urgency: diary::urgency(it.urgency),
            says: words.text(
                "c-record-sign-of-group",
                &[("group", diary::urgency_name(desk, diary::urgency(it.urgency)).into())],
            ),
        }));
    }
    diary.signs.sort_by_key(|it| it.urgency);
    diary
}

/// How much a diary tells: which of two readings of one session is the fuller one.
fn told(diary: &Diary) -> (usize, u32, usize) {
    let pains = [diary.pain_before, diary.pain_during, diary.pain_after].iter().flatten().count();
    (diary.signs.len(), diary.done.iter().map(|it| it.reps).sum(), pains)
}

/// The earlier reading of the same run that counts at present.
fn earlier<'a>(loaded: &'a Loaded, run: &str) -> Option<(u64, &'a Diary)> {
    let prefix = format!("{KEY}{run}:");
    let number = loaded
        .records
        .iter()
        .rev()
        .find(|it| it.key.as_deref().is_some_and(|it| it.starts_with(&prefix)))?
        .number;
    loaded.episode.course.diaries.iter().find(|it| it.number == number).map(|it| (it.number, &it.fact))
}

/// Diaries of the codes of a form; empty when all of them are on record already.
///
/// # Errors
/// A text that is no code; a session of another record; a program version or an exercise that is not on record.
pub fn read(desk: &Desk, loaded: &Loaded, fields: &Fields) -> Result<Vec<New>, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let words = desk.words();
    let text = asked.text("code", "c-record-code");
    let logs = match parse_logs(&text) {
        Ok(logs) => logs,
        Err(error) => {
            let what = words.text("c-record-code-unreadable", &[("why", error.to_string().into())]);
            asked.wrong.push((what, desk.say("c-record-code-unreadable-mend")));
            Vec::new()
        }
    };
    let mut facts: Vec<New> = Vec::new();
    let today = desk.app.today();
    for (log, line) in logs.iter().zip(text.trim().lines()) {
        if log.session_id != format!("{}-v{}", loaded.id, log.version) {
            asked.refuse("c-record-code-other-patient", "c-record-code-other-patient-mend");
            continue;
        }
        let Some(program) = loaded.episode.programs.iter().find(|it| it.version == log.version) else {
            asked.refuse("c-record-unknown-version", "c-record-code-unreadable-mend");
            continue;
        };
        let known = |id: &str| program.exercises.iter().any(|it| it.exercise == id);
        if let Some(it) = log.exercises.iter().find(|it| !known(exercise_of(&it.id))) {
            let what = words.text("c-record-code-unknown-exercise", &[("exercise", it.id.as_str().into())]);
            asked.wrong.push((what, desk.say("c-record-code-unreadable-mend")));
            continue;
        }
        // A phone set to another zone may be a day ahead.
        if log.started.date() > today.tomorrow().unwrap_or(today) {
            asked.refuse("c-record-in-future", "c-record-in-future-mend");
            continue;
        }
        let (run, diary) = (run(log), to_diary(desk, loaded, log));
        let key = format!("{KEY}{run}:{}", digest(line));
        let seen = loaded.records.iter().any(|it| it.key.as_deref() == Some(&key));
        let before = earlier(loaded, &run);
        if seen || before.is_some_and(|(_, old)| told(old) >= told(&diary)) {
            continue;
        }
        let supersedes = before.map(|it| it.0);
        facts.push(New { on: diary.on, fact: Fact::Diary(diary), supersedes, key: Some(key) });
    }
    asked.or(facts)
}
