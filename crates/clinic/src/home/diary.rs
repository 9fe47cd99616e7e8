//! What the phone sends: diaries, warning signs, messages. Each report has a key made on the phone; the same key is
//! written once, however often it comes, and is answered the same.

use std::collections::BTreeSet;
use std::sync::Arc;

use crate::fault::Fault;
use crate::gate::{PatientSession, Visitor};
use crate::records::{self, Loaded, New};
use crate::{App, Right, Route};
use axum::Json;
use axum::body::Bytes;
use axum::response::{IntoResponse, Response};
use handrail_episode::{Diary, DiaryDone, DiarySource, Fact, Message, MessageFrom, Morning, Sign, Swelling};
use handrail_store::StoreError;
use handrail_words::Words;
use jiff::civil::Date;
use serde::Deserialize;
use serde_json::json;

use crate::home::page::tag;

/// Bytes of one report.
const MOST_BYTES: usize = 64 * 1024;
/// Letters of one text.
const MOST_LETTERS: usize = 2000;
/// Signs in one report.
const MOST_SIGNS: usize = 40;
/// Sets and counts that a person can do in one session; more is a slip of the finger.
const MOST_SETS: u32 = 30;
const MOST_REPS: u32 = 1000;
/// Reports for one day; more is no diary.
const MOST_A_DAY: usize = 200;

/// Routes.
pub(crate) fn routes() -> Vec<Route> {
    vec![Route::post("/home/diary", Right::Patient, take).data().most(MOST_BYTES)]
}

/// A report as the phone sends it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Sent {
    /// Key made on the phone.
    key: String,
    /// Whose page wrote it: a phone that two patients use must not mix them up.
    tag: String,
    /// Diary or warning sign.
    #[serde(default)]
    diary: Option<SentDiary>,
    /// Message to the clinic.
    #[serde(default)]
    message: Option<String>,
}

/// A diary as the phone sends it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct SentDiary {
    on: Date,
    version: u32,
    /// The counts come from the guided session.
    #[serde(default)]
    guided: bool,
    #[serde(default)]
    done: Vec<DiaryDone>,
    #[serde(default)]
    extra: Option<String>,
    #[serde(default)]
    left_out: Option<String>,
    #[serde(default)]
    pain_before: Option<u8>,
    #[serde(default)]
    pain_during: Option<u8>,
    #[serde(default)]
    pain_after: Option<u8>,
    #[serde(default)]
    morning: Option<Morning>,
    #[serde(default)]
    swelling: Option<Swelling>,
    #[serde(default)]
    signs: Vec<Sign>,
    #[serde(default)]
    note: Option<String>,
}

/// Why a report is not taken: end of a key of the patient's texts (`p-refused-...`).
type Wrong = &'static str;

async fn take(visitor: Visitor, session: PatientSession, body: Bytes) -> Result<Response, Fault> {
    let app = &visitor.app;
    let words = visitor.words();
    let sent: Sent = serde_json::from_slice(&body).map_err(|_| refused(words, "form"))?;
    check_key(&sent.key).map_err(|it| refused(words, it))?;
    if sent.tag != tag(&session.episode) {
        return Err(refused(words, "other-person"));
    }
    let loaded = records::load(app, &session.episode).await?;
    let run = run_of(&sent.key);
    let kept_key = run.as_ref().map_or_else(|| sent.key.clone(), |(start, end)| format!("{start}{end}"));
    if let Some(number) = number_of(&loaded, &kept_key) {
        return Ok(taken(number));
    }
    let (today, behind) = (last_day(app), app.config().clock.behind().is_some());
    let mut facts = Vec::new();
    if let Some(sent_diary) = &sent.diary {
        let checked = to_diary(sent_diary, &loaded, today);
        if behind && checked == Err("future") {
            // The clinic's clock is wrong, not the phone's: the phone keeps the diary and sends it again.
            return Err(Fault::Clock);
        }
        let mut diary = checked.map_err(|it| refused(words, it))?;
        let before = run.as_ref().and_then(|(start, _)| earlier(&loaded, start));
        if let Some((_, old)) = before {
            // The newer report of the same session takes its place; a sign in the old one stays raised.
            diary
                .signs
                .extend(old.signs.iter().filter(|it| !diary.signs.contains(it)).cloned().collect::<Vec<_>>());
        }
        let supersedes = before.map(|it| it.0);
        facts.push(New { on: diary.on, fact: Fact::Diary(diary), supersedes, key: Some(kept_key.clone()) });
    }
    if let Some(says) = text(sent.message.as_deref()).map_err(|it| refused(words, it))? {
        let by = loaded.episode.patient.name.clone();
        let fact = Fact::Message(Message { from: MessageFrom::Patient, says, by });
        let key = if facts.is_empty() { kept_key.clone() } else { format!("{kept_key}.message") };
        facts.push(New { on: today, fact, supersedes: None, key: Some(key) });
    }
    if facts.is_empty() {
        return Err(refused(words, "empty"));
    }
    // What was checked above is checked again where nobody can change the record in between.
    let known = kept_key.clone();
    let check: records::Check = Arc::new(move |now: &Loaded| match &sent.diary {
        Some(it) if number_of(now, &known).is_none() => to_diary(it, now, today)
            .map(drop)
            .map_err(|wrong| StoreError::refused(format!("diary: {wrong}"), "send it again")),
        _ => Ok(()),
    });
    let key = facts[0].key.clone().unwrap_or_default();
    let by = records::patient_author(&session, &loaded.episode);
    let written = records::write(app, &session.episode, by, facts, Some(check)).await?;
    let number = number_of(&written, &key).ok_or_else(|| Fault::Internal("a report got no number".into()))?;
    Ok(taken(number))
}

/// Today; while the clinic's clock stands behind what was recorded, the day of the latest record.
fn last_day(app: &App) -> Date {
    let latest = app.config().clock.behind().map(|it| it.to_zoned_datetime(app.config().zone.clone()).date());
    latest.map_or(app.today(), |it| it.max(app.today()))
}

/// The answer to a report, also to one that had been taken before.
fn taken(number: u64) -> Response {
    Json(json!({ "taken": true, "entry": number })).into_response()
}

fn number_of(loaded: &Loaded, key: &str) -> Option<u64> {
    loaded.records.iter().rev().find(|it| it.key.as_deref() == Some(key)).map(|it| it.number)
}

/// Beginning of the keys of all reports of one run of a guided session, and the end for this one: a code that the
/// clinic reads has the same beginning, so that one session is not counted twice.
fn run_of(key: &str) -> Option<(String, &'static str)> {
    let (kind, run) = key.split_once(':')?;
    let end = match kind {
        "guided" => "page",
        "guided-sign" => "sign",
        _ => return None,
    };
    let (session, started) = run.split_once(':')?;
    let named = blake3::hash(format!("{session}\n{started}").as_bytes()).to_hex();
    Some((format!("guided:{}:", &named[..20]), end))
}

/// The report of the same run that counts at present.
fn earlier<'a>(loaded: &'a Loaded, start: &str) -> Option<(u64, &'a Diary)> {
    let of_run = |number: u64| {
        let key = loaded.record(number).and_then(|it| it.key.as_deref());
        key.is_some_and(|it| it.starts_with(start))
    };
    let diaries = loaded.episode.course.diaries.iter().filter(|it| of_run(it.number));
    diaries.max_by_key(|it| it.number).map(|it| (it.number, &it.fact))
}

fn refused(words: &Words, why: Wrong) -> Fault {
    Fault::refused(words.text(&format!("p-refused-{why}"), &[]), words.text("p-refused-mend", &[]))
}

fn check_key(key: &str) -> Result<(), Wrong> {
    let fits = (16..=120).contains(&key.len())
        && key.bytes().all(|it| it.is_ascii_alphanumeric() || b"-:._".contains(&it));
    if fits { Ok(()) } else { Err("form") }
}

/// A text as it is kept: trimmed, without control characters but line ends; `None` when nothing is left.
fn text(given: Option<&str>) -> Result<Option<String>, Wrong> {
    let Some(given) = given else { return Ok(None) };
    let kept: String = given.chars().filter(|it| *it == '\n' || !it.is_control()).collect();
    let kept = kept.trim();
    if kept.chars().count() > MOST_LETTERS {
        return Err("long");
    }
    Ok((!kept.is_empty()).then(|| kept.to_string()))
}

/// The checked diary. A warning sign is never refused for a wrong date: the phone's clock may be off, and somebody
/// must hear of it; its day is then moved to the nearest that can be.
fn to_diary(sent: &SentDiary, loaded: &Loaded, today: Date) -> Result<Diary, Wrong> {
    let episode = &loaded.episode;
    let surgery = episode.operation.surgery;
    let has_sign = !sent.signs.is_empty();
    let on = if has_sign { sent.on.min(today).max(surgery.min(today)) } else { sent.on };
    if on > today {
        return Err("future");
    }
    if on < surgery && !has_sign {
        return Err("before-surgery");
    }
    if !has_sign && episode.course.diaries.iter().filter(|it| it.fact.on == on).count() >= MOST_A_DAY {
        return Err("too-many");
    }
    let version = match is_given(sent.version, loaded) {
        // Nor for a version that nobody knows of.
        false if has_sign && sent.done.is_empty() => 0,
        _ => sent.version,
    };
    check_done(sent, version, loaded)?;
    for pain in [sent.pain_before, sent.pain_during, sent.pain_after].into_iter().flatten() {
        if pain > 10 {
            return Err("pain");
        }
    }
    if sent.signs.len() > MOST_SIGNS {
        return Err("form");
    }
    let signs: Result<Vec<Sign>, Wrong> = sent
        .signs
        .iter()
        .map(|it| {
            let says = text(Some(&it.says))?.ok_or("form")?;
            Ok(Sign { urgency: it.urgency, says })
        })
        .collect();
    let mut diary = Diary::new(on, if sent.guided { DiarySource::Guided } else { DiarySource::Page });
    diary.version = version;
    diary.done = sent.done.clone();
    diary.extra = text(sent.extra.as_deref())?;
    diary.left_out = text(sent.left_out.as_deref())?;
    diary.note = text(sent.note.as_deref())?;
    (diary.pain_before, diary.pain_during, diary.pain_after) =
        (sent.pain_before, sent.pain_during, sent.pain_after);
    (diary.morning, diary.swelling, diary.signs) = (sent.morning, sent.swelling, signs?);
    let says_nothing = diary == Diary { version: diary.version, ..Diary::new(on, diary.source) };
    if says_nothing { Err("empty") } else { Ok(diary) }
}

/// Whether the patient was given this version.
fn is_given(version: u32, loaded: &Loaded) -> bool {
    loaded.episode.course.issued.iter().any(|it| it.fact.1.version == version)
}

/// Exercises must stand in the version that the page showed, a version that this patient was given; and counts must
/// be such as a person can do.
fn check_done(sent: &SentDiary, version: u32, loaded: &Loaded) -> Result<(), Wrong> {
    if sent.done.is_empty() && version == 0 {
        return Ok(());
    }
    let programs = &loaded.episode.programs;
    let program = programs.iter().find(|it| it.version == version).filter(|_| is_given(version, loaded));
    let Some(program) = program else { return Err("version") };
    let mut seen = BTreeSet::new();
    for it in &sent.done {
        if !program.exercises.iter().any(|planned| planned.exercise == it.exercise) {
            return Err("exercise");
        }
        if !seen.insert(&it.exercise) || it.sets > MOST_SETS || it.reps > MOST_REPS {
            return Err("counts");
        }
        if (it.sets == 0) != (it.reps == 0) {
            return Err("counts");
        }
    }
    Ok(())
}
