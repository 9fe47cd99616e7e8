//! What is made of an episode on paper and for the phone: handout, calendar, guided session. Made of the plan of
//! today or not at all: what is out of date or refused is told in words, with how to mend it.

use crate::assets::asset;
use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{Place, page as frame};
use crate::records::{self, Loaded};
use axum::body::{Body, to_bytes};
use axum::extract::{Path, Query};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use handrail_episode::{Plan, PlanError, plan};
use handrail_exchange::calendar::{CalendarError, ProgramCalendar, calendar as calendar_file};
use handrail_library::Library;
use handrail_papers::{Paper, Print};
use handrail_program::{Dose, Session, week_days};
use handrail_words::{Lang, Words};
use jiff::Timestamp;
use jiff::civil::{Date, Time, Weekday, time};
use maud::{Markup, html};
use serde::Deserialize;

use crate::chart::head::band;
use crate::chart::reasons::{Act, Teller};

/// How a document is wanted.
#[derive(Clone, Debug, Default, Deserialize)]
pub(crate) struct Wanted {
    /// `a4` or `letter`; Letter unless asked otherwise.
    paper: Option<String>,
    /// Present: large print.
    large: Option<String>,
    /// Language; the patient's unless asked otherwise.
    lang: Option<String>,
}

/// Why there is no document.
#[derive(Debug)]
enum NotMade {
    /// The day's plan does not allow it.
    Plan(PlanError),
    /// The texts or pictures do not hold together.
    Content(String),
}

impl From<PlanError> for NotMade {
    fn from(error: PlanError) -> Self {
        NotMade::Plan(error)
    }
}

pub(crate) async fn handout(
    desk: Desk,
    Path(id): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, Fault> {
    let paper = if wanted.paper.as_deref() == Some("a4") { Paper::A4 } else { Paper::Letter };
    let print = if wanted.large.is_some() { Print::Large } else { Print::Normal };
    answer(&desk, &id, "handout", wanted.lang.as_deref(), "application/pdf", "pdf", move |of| {
        let ladder = of.plan.protected_tissues().first().map(|&it| of.plan.ladder(&of.library.exercises, it));
        let sheet = handrail_papers::compose(of.plan, of.session, ladder.as_ref(), of.words, paper, print);
        handrail_papers::handout_pdf(&sheet).map_err(|error| NotMade::Content(error.to_string()))
    })
    .await
}

pub(crate) async fn calendar(
    desk: Desk,
    Path(id): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, Fault> {
    let stamp = desk.app.now();
    answer(&desk, &id, "calendar", wanted.lang.as_deref(), "text/calendar; charset=utf-8", "ics", move |of| {
        let text = calendar_of(of.plan, of.session, of.words, stamp);
        text.map(String::into_bytes).map_err(|error| NotMade::Content(error.to_string()))
    })
    .await
}

pub(crate) async fn follow(
    desk: Desk,
    Path(id): Path<String>,
    Query(wanted): Query<Wanted>,
) -> Result<Response, Fault> {
    let kind = "text/html; charset=utf-8";
    let mut made = answer(&desk, &id, "follow", wanted.lang.as_deref(), kind, "html", |of| {
        let page = handrail_followalong::compose(of.plan, of.session, of.words, &of.library.postures);
        let text = handrail_followalong::follow_html(&page);
        text.map(String::into_bytes).map_err(|error| NotMade::Content(error.to_string()))
    })
    .await?;
    if made.status() != StatusCode::OK {
        return Ok(made);
    }
    // The page has its script and style within; its policy names them by their digests and lets nothing else run.
    let (parts, body) = made.into_parts();
    let page =
        to_bytes(body, usize::MAX).await.map_err(|error| Fault::Internal(format!("guided page: {error}")))?;
    let policy = crate::home::policy(&String::from_utf8_lossy(&page)).and_then(|it| it.parse().ok());
    let policy = policy.ok_or_else(|| Fault::Internal("the guided page has no script or style".into()))?;
    made = Response::from_parts(parts, Body::from(page));
    made.headers_mut().insert(header::CONTENT_SECURITY_POLICY, policy);
    Ok(made)
}

/// What a document is made of.
struct Made<'a> {
    plan: &'a Plan<'a>,
    session: &'a Session,
    words: &'a Words,
    library: &'a Library,
}

/// Opens the record, makes the document on a thread of its own, and answers with it or with why there is none.
async fn answer(
    desk: &Desk,
    id: &str,
    what: &'static str,
    lang: Option<&str>,
    kind: &'static str,
    extension: &'static str,
    make: impl FnOnce(Made<'_>) -> Result<Vec<u8>, NotMade> + Send + 'static,
) -> Result<Response, Fault> {
    let loaded = records::open(desk, id, what).await?;
    let lang: Lang = match lang {
        Some(text) => text.parse().map_err(|_| Fault::refused(text, "en, es"))?,
        None => loaded.episode.patient.language.parse().unwrap_or(Lang::En),
    };
    let (content, today, from) = (desk.content.clone(), desk.app.today(), loaded.clone());
    let made = tokio::task::spawn_blocking(move || {
        let library = content.library();
        let plan = plan_of(&from, library, today)?;
        let session = plan.session(&library.postures)?;
        make(Made { plan: &plan, session: &session, words: content.words(lang), library })
    })
    .await
    .map_err(|error| Fault::Internal(format!("{what} of {id}: {error}")))?;
    match made {
        Ok(bytes) => {
            let version = loaded.episode.program_on(today).map_or(0, |it| it.version);
            let name = format!("inline; filename=\"{what}-{id}-v{version}-{}.{extension}\"", lang.id());
            Ok(([(header::CONTENT_TYPE, kind.to_string()), (header::CONTENT_DISPOSITION, name)], bytes)
                .into_response())
        }
        Err(why) => {
            Ok((StatusCode::UNPROCESSABLE_ENTITY, not_made(desk, &loaded, what, &why)).into_response())
        }
    }
}

/// The plan of an episode on a day.
///
/// # Errors
/// Those of [`plan()`]; a protocol that the library does not have.
pub fn plan_of<'a>(loaded: &'a Loaded, library: &'a Library, on: Date) -> Result<Plan<'a>, PlanError> {
    let episode = &loaded.episode;
    let name = &episode.operation.protocol;
    match library.protocols.get(name) {
        Some(protocol) => plan(episode, protocol, &library.exercises, on),
        None => Err(PlanError::Refused(vec![name.clone()])),
    }
}

/// The page in place of a document.
fn not_made(desk: &Desk, loaded: &Loaded, what: &str, why: &NotMade) -> Markup {
    let words = desk.words();
    let library = desk.library();
    let episode = &loaded.episode;
    let today = desk.app.today();
    let title = words.text(&format!("c-today-document-{what}"), &[]);
    let teller = Teller::of(words, library, episode, today);
    let told = match why {
        NotMade::Plan(error) => told(&teller, error, episode.operation.side),
        NotMade::Content(message) => Told {
            says: vec![message.clone()],
            mend: words.text("c-today-plan-content-mend", &[]),
            act: Act::Program,
        },
    };
    frame(
        desk,
        Place::None,
        &title,
        html! {
            link rel="stylesheet" href=(asset("today.css"));
            (band(words, episode, &title, today))
            (refusal(words, &episode.id, &told))
        },
    )
}

/// The box that says why nothing is handed out, and where to mend it.
pub(crate) fn refusal(words: &Words, episode: &str, told: &Told) -> Markup {
    html! {
        div class="alert stop" role="alert" {
            p { strong { (words.text("c-today-no-document", &[])) } }
            ul { @for it in &told.says { li { (it) } } }
            p { (told.mend) " " a href=(told.act.path(episode)) { (words.text("c-today-mend-here", &[])) } }
        }
    }
}

/// Why there is no document, in words, and how to mend it.
#[derive(Clone, Debug)]
pub(crate) struct Told {
    /// Reasons.
    pub says: Vec<String>,
    /// How to mend it.
    pub mend: String,
    /// Where.
    pub act: Act,
}

/// A plan's error in the reader's language.
pub(crate) fn told(teller: &Teller<'_>, error: &PlanError, side: handrail_anatomy::Side) -> Told {
    let words = teller.words;
    let exercise = |id: &String| words.exercise(id, side).map_or_else(|| id.replace('_', " "), |it| it.title);
    let (key, says, act) = match error {
        PlanError::Envelope(error) => ("envelope", teller.no_envelope(error), Act::Restrictions),
        PlanError::Body(error) => ("body", vec![error.to_string()], Act::Record),
        PlanError::NoProgram(_) => ("none", vec![words.text("c-today-says-no-program", &[])], Act::Program),
        PlanError::Expired(until) => {
            let args = [("date", words.date_short(*until).into())];
            ("expired", vec![words.text("c-today-plan-expired", &args)], Act::Program)
        }
        PlanError::Refused(list) => {
            let one = |it: &String| words.text("c-today-plan-refused", &[("exercise", exercise(it).into())]);
            ("refused", list.iter().map(one).collect(), Act::Program)
        }
        PlanError::OverCeiling(list) => {
            let one = |(name, over): &(String, handrail_program::dose::OverCeiling)| {
                let what = words.text(&format!("c-today-over-{}", over.what.replace('_', "-")), &[]);
                let of =
                    if name == "program" { words.text("c-today-the-program", &[]) } else { exercise(name) };
                let args = [
                    ("of", of.into()),
                    ("what", what.into()),
                    ("asked", over.asked.into()),
                    ("ceiling", over.ceiling.into()),
                ];
                words.text("c-today-plan-over", &args)
            };
            ("over", list.iter().map(one).collect(), Act::Program)
        }
        PlanError::VisitPassed(visit) => {
            let args = [("date", words.date_short(*visit).into())];
            ("visit", vec![words.text("c-today-plan-visit", &args)], Act::Record)
        }
        PlanError::Exposure(list) => {
            let one = |it: &handrail_episode::OverExposure| {
                let unit = it.of.unit(it.tissue);
                let amount = |value: f64| format!("{} {unit}", words.number((value * 10.0).ceil() / 10.0, 1));
                let computed = it.sum.map_or_else(|| words.text("c-exposure-not-known", &[]), amount);
                let args = [
                    ("tissue", words.tissue_name(it.tissue).into()),
                    ("computed", computed.into()),
                    ("limit", format!("{} {unit}", words.number(it.ceiling, 1)).into()),
                ];
                words.text(&format!("c-reason-exposure-{}", it.of.id()), &args)
            };
            ("exposure", list.iter().map(one).collect(), Act::Program)
        }
        PlanError::Move(list) => ("move", list.clone(), Act::Program),
        PlanError::Order(error) => ("order", vec![error.to_string()], Act::Program),
    };
    Told { says, mend: words.text(&format!("c-today-plan-{key}-mend"), &[]), act }
}

/// Starting times for so many sessions a day (set by this program; the patient moves them).
fn times_of_day(times: u32) -> Vec<Time> {
    match times {
        1 => vec![time(9, 0, 0, 0)],
        2 => vec![time(9, 0, 0, 0), time(17, 0, 0, 0)],
        3 => vec![time(9, 0, 0, 0), time(13, 0, 0, 0), time(18, 0, 0, 0)],
        _ => vec![time(8, 0, 0, 0), time(12, 0, 0, 0), time(16, 0, 0, 0), time(20, 0, 0, 0)],
    }
}

/// The program in the patient's own calendar, as iCalendar text.
///
/// # Errors
/// Texts or days that no calendar can hold.
pub fn calendar_of(
    plan: &Plan<'_>,
    session: &Session,
    words: &Words,
    stamp: Timestamp,
) -> Result<String, CalendarError> {
    let program = plan.program.as_ref();
    let most = |read: fn(&Dose) -> u32| session.items.iter().map(|it| read(&it.dose)).max().unwrap_or(1);
    // Training days count from the day of the sheet, as on its week chart.
    let first = i32::from(plan.on().weekday().to_monday_zero_offset());
    let days = week_days(most(|it| it.days_a_week))
        .into_iter()
        .map(|it| {
            let offset = (i32::from(it.to_monday_zero_offset()) + first).rem_euclid(7) as i8;
            Weekday::from_monday_zero_offset(offset).unwrap_or(it)
        })
        .collect();
    calendar_file(&ProgramCalendar {
        uid: format!("{}@handrail", plan.episode.id),
        sequence: program.map_or(0, |it| it.version),
        stamp,
        language: words.lang().id().into(),
        summary: words.text("handout-title", &[]),
        description: calendar_text_of(plan, words),
        days,
        times: times_of_day(most(|it| it.times_a_day)),
        former_times: Vec::new(),
        first: plan.on(),
        last: plan.valid_until(),
        minutes: session.minutes().ceil() as u32,
        zone: None,
        alarm_minutes_before: Some(5),
        cancelled: false,
        product_id: "-//Handrail//Home program//EN".into(),
    })
}

/// What a calendar entry says: the surgeon first, when to stop, whom to call.
fn calendar_text_of(plan: &Plan<'_>, words: &Words) -> String {
    let clinic = &plan.episode.clinic;
    let mut lines = vec![words.surgeon_first()];
    lines.extend(words.stop_rules());
    lines.push(words.text("handout-foot-emergency", &[]));
    lines.push(words.text("handout-foot-clinic", &[]));
    lines.join("\n").replace("{emergency}", &clinic.emergency).replace("{phone}", &clinic.phone)
}
