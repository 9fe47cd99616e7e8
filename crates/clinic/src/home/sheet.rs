//! What a patient is shown on a day: computed from the record as it is, with the same plan and session as every
//! other output. Kept until the record, the day or the content changes.
//!
//! The entry of a program names exercises and doses, the entry of a handout the version, its language and its last day.
//! Neither keeps texts, so a version has no words of its own: the page shows the words in use, which belong to the
//! motion that was checked and drawn. Earlier words beside a changed motion would tell what nobody checked. Paper and
//! file stay as they were given. A change under a version is not silent: the clinic's page of what the patient holds
//! names the exercises whose texts were saved after it was given
//! ([`changed_after`](crate::content::affected::changed_after)), and the page's [mark](Sheet::mark) changes, so that a
//! phone fetches the guided session again.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, Mutex};

use crate::App;
use crate::content::library::Kind;
use crate::content::state::InUse;
use crate::fault::Fault;
use crate::records::Loaded;
use handrail_episode::{Episode, Medium, Plan, PlanError, plan};
use handrail_followalong::{compose, follow_html};
use handrail_program::{Amount, Item, Session, week_days};
use handrail_protocol::{Limit, Protocol, Status};
use handrail_words::{Lang, WarnGroup, Words};
use jiff::civil::{Date, Weekday};

/// Sheets kept; all of them go when there are more.
const KEPT: usize = 256;

/// One exercise of the session.
#[derive(Clone, Debug)]
pub(crate) struct SheetItem {
    /// Exercise.
    pub id: String,
    /// Name with the patient's words.
    pub title: String,
    /// Limb and side in words.
    pub side: String,
    /// Sets, amount, hold.
    pub dose: String,
    /// Planned sets.
    pub sets: u32,
    /// Planned count of one set; continuous work counts as one.
    pub reps: u32,
    /// Repetitions that the guided session counts in one set.
    pub counted: u32,
}

/// The session of today.
#[derive(Clone, Debug)]
pub(crate) struct SheetSession {
    /// Exercises in the order of the session.
    pub items: Vec<SheetItem>,
    /// About how long it takes.
    pub minutes: String,
    /// Times a day and days a week.
    pub often: String,
    /// What must be at hand.
    pub needs: String,
    /// Days that are planned.
    pub days: Vec<Weekday>,
}

/// Whether there is something to do today.
#[derive(Clone, Debug)]
pub(crate) enum State {
    /// A session that was checked against today's limits.
    Ready(SheetSession),
    /// Nobody has made a program yet.
    NoProgram,
    /// Its last day is past, or the surgeon's visit.
    OutOfDate,
    /// Something in it does not fit today; a clinician must look.
    Stopped,
    /// The episode has ended.
    Ended,
}

/// A limit in the patient's words.
#[derive(Clone, Debug)]
pub(crate) struct SheetLimit {
    /// What must not be done, or what is worn.
    pub says: String,
    /// It asks for something to be worn; all others name what to leave out.
    pub worn: bool,
    /// On whose word.
    pub status: String,
    /// Nobody has confirmed it.
    pub assumed: bool,
    /// What ends it.
    pub until: String,
}

/// Everything on the patient's page that follows from plan and limits.
#[derive(Clone, Debug)]
pub(crate) struct Sheet {
    /// Language.
    pub lang: Lang,
    /// Day.
    pub on: Date,
    /// Version of the program; 0: none.
    pub version: u32,
    /// Day it was made.
    pub issued: Option<Date>,
    /// Last day on which the page shows it.
    pub until: Date,
    /// Who signed it.
    pub signed: Option<String>,
    /// Something in it was signed by nobody.
    pub draft: bool,
    /// Limb and side in words.
    pub side: String,
    /// What is planned in this part of the recovery.
    pub phase: Option<(String, Vec<String>)>,
    /// What to wear and what to leave out.
    pub limits: Vec<SheetLimit>,
    /// Warning signs with the numbers filled in.
    pub warnings: Vec<WarnGroup>,
    /// When to stop.
    pub stop: Vec<String>,
    /// Today's session.
    pub state: State,
    /// Names the texts that the session is made from.
    texts: String,
}

impl Sheet {
    /// Names what is shown: when it changes, what a phone keeps for later is out of date.
    pub fn mark(&self) -> String {
        format!("{}-{}-{}-{}-{}", self.version, self.on, self.until, self.lang.id(), self.texts)
    }

    /// The session, where there is one.
    pub fn session(&self) -> Option<&SheetSession> {
        match &self.state {
            State::Ready(session) => Some(session),
            _ => None,
        }
    }
}

/// A sheet with what it was made of.
struct KeptSheet {
    head: u64,
    on: Date,
    edition: u64,
    sheet: Arc<Sheet>,
    guided: Option<Arc<str>>,
}

static SHEETS: LazyLock<Mutex<BTreeMap<(String, Lang), KeptSheet>>> = LazyLock::new(Mutex::default);

/// The sheet of an episode today.
pub(crate) async fn sheet(
    app: &App,
    content: &Arc<InUse>,
    loaded: &Arc<Loaded>,
    lang: Lang,
) -> Result<Arc<Sheet>, Fault> {
    made(app, content, loaded, lang, false).await.map(|it| it.0)
}

/// The guided session of an episode today as one HTML file; `None` when there is no session.
pub(crate) async fn guided(
    app: &App,
    content: &Arc<InUse>,
    loaded: &Arc<Loaded>,
    lang: Lang,
) -> Result<(Arc<Sheet>, Option<Arc<str>>), Fault> {
    made(app, content, loaded, lang, true).await
}

async fn made(
    app: &App,
    content: &Arc<InUse>,
    loaded: &Arc<Loaded>,
    lang: Lang,
    with_guided: bool,
) -> Result<(Arc<Sheet>, Option<Arc<str>>), Fault> {
    let (on, edition) = (app.today(), content.edition());
    let name = (loaded.id.clone(), lang);
    {
        let kept = SHEETS.lock().unwrap_or_else(|it| it.into_inner());
        if let Some(it) =
            kept.get(&name).filter(|it| it.head == loaded.head && it.on == on && it.edition == edition)
            && (!with_guided || it.guided.is_some() || it.sheet.session().is_none())
        {
            return Ok((it.sheet.clone(), it.guided.clone()));
        }
    }
    let (content, loaded) = (content.clone(), loaded.clone());
    let head = loaded.head;
    // Solving and drawing take tens of milliseconds: not on a thread that answers others.
    let (sheet, guided) =
        tokio::task::spawn_blocking(move || compute(&loaded.episode, &content, lang, on, with_guided))
            .await
            .map_err(|error| Fault::Internal(format!("sheet: {error}")))??;
    let (sheet, guided) = (Arc::new(sheet), guided.map(Arc::from));
    let mut kept = SHEETS.lock().unwrap_or_else(|it| it.into_inner());
    if kept.len() >= KEPT {
        kept.clear();
    }
    kept.insert(name, KeptSheet { head, on, edition, sheet: sheet.clone(), guided: guided.clone() });
    Ok((sheet, guided))
}

/// Last day on which a version may be followed: what follows from the record today, and never later than what was
/// told when it was given.
fn until(plan: &Plan<'_>, version: u32) -> Date {
    let given = plan.episode.course.issued.iter().filter(|it| it.fact.1.version == version);
    let told = given.max_by_key(|it| it.number).map(|it| it.fact.1.valid_until);
    told.map_or(plan.valid_until(), |it| it.min(plan.valid_until()))
}

fn compute(
    episode: &Episode,
    content: &InUse,
    lang: Lang,
    on: Date,
    with_guided: bool,
) -> Result<(Sheet, Option<String>), Fault> {
    let (library, words) = (content.library(), content.words(lang));
    let name = &episode.operation.protocol;
    let protocol = library
        .protocols
        .get(name)
        .ok_or_else(|| Fault::Internal(format!("there is no protocol `{name}`")))?;
    let mut sheet = Sheet {
        lang: words.lang(),
        on,
        version: 0,
        issued: None,
        until: on,
        signed: None,
        draft: true,
        side: words.limb_title(is_leg(protocol), episode.operation.side),
        phase: None,
        limits: Vec::new(),
        warnings: warnings(words, episode),
        stop: words.stop_rules().iter().map(|it| fill(it, episode)).collect(),
        state: State::Stopped,
        texts: content.text_mark(Kind::Protocol, name),
    };
    // Without limits nothing is shown as planned: the page then says to call.
    let Ok(plan) = plan(episode, protocol, &library.exercises, on) else { return Ok((sheet, None)) };
    sheet.limits = limits(&plan, words);
    let phase = plan.phase();
    sheet.phase = Some((
        words.phase_name(name, &phase.id),
        phase.goals.iter().map(|it| words.goal_name(*it)).collect(),
    ));
    if let Some(program) = &plan.program {
        sheet.version = program.version;
        sheet.issued = Some(program.issued);
        sheet.signed = program.signed_by.clone();
        sheet.until = until(&plan, program.version);
    }
    if episode.course.closed.is_some() {
        sheet.state = State::Ended;
        return Ok((sheet, None));
    }
    let session = match plan.session(&library.postures) {
        _ if plan.program.is_some() && sheet.until < on => {
            sheet.state = State::OutOfDate;
            return Ok((sheet, None));
        }
        Ok(session) => session,
        Err(error) => {
            sheet.state = match error {
                PlanError::NoProgram(_) => State::NoProgram,
                PlanError::Expired(_) | PlanError::VisitPassed(_) => State::OutOfDate,
                _ => State::Stopped,
            };
            return Ok((sheet, None));
        }
    };
    let unsigned =
        |it: &Item| it.motion.review.as_ref().is_none_or(|review| review.version != it.motion.version);
    sheet.draft = sheet.signed.is_none() || protocol.is_draft() || session.items.iter().any(unsigned);
    for it in &session.items {
        sheet.texts.push_str(&content.text_mark(Kind::Exercise, &it.motion.id));
    }
    let leg = is_leg(protocol);
    sheet.state = State::Ready(session_words(&session, words, leg));
    let guided = if with_guided {
        let mut follow = compose(&plan, &session, words, &library.postures);
        follow.valid_until = sheet.until;
        // Content of a clinic's own may lack words in one language: then there is no guided page, and the list stays.
        follow_html(&follow)
            .map_err(|error| tracing::error!("guided session of {}: {error}", episode.id))
            .ok()
    } else {
        None
    };
    Ok((sheet, guided))
}

fn session_words(session: &Session, words: &Words, leg: bool) -> SheetSession {
    let items = session.items.iter().map(|it| item_words(it, words, leg)).collect();
    let times = session.items.iter().map(|it| it.dose.times_a_day).max().unwrap_or(1);
    let days = session.items.iter().map(|it| it.dose.days_a_week).max().unwrap_or(1);
    let mut needs: Vec<String> = Vec::new();
    for thing in session.items.iter().flat_map(|it| &it.motion.equipment) {
        if !needs.contains(thing) {
            needs.push(thing.clone());
        }
    }
    SheetSession {
        items,
        minutes: words.minutes_about(session.minutes()),
        often: format!(
            "{}, {}",
            words.text("dose-day", &[("n", times.into())]),
            words.text("dose-week", &[("n", days.into())])
        ),
        needs: words.equipment_list(&needs),
        days: week_days(days),
    }
}

fn item_words(item: &Item, words: &Words, leg: bool) -> SheetItem {
    let verdict = item.checked.verdict();
    // The first lines are the dose within a session; how often in a day or week is told for the whole session.
    let told = ["sets", "amount", "hold"].map(|it| words.text(&format!("dose-title-{it}"), &[]));
    let lines = words.dose_lines(&item.dose, item.checked.repetition());
    let dose: Vec<String> = lines.into_iter().filter(|it| told.contains(&it.0)).map(|it| it.1).collect();
    let reps = match item.dose.amount {
        Amount::Reps(reps) => reps,
        Amount::Seconds(_) => 1,
    };
    SheetItem {
        id: item.motion.id.clone(),
        title: words.exercise(&item.motion.id, verdict.side).map_or(item.motion.id.clone(), |it| it.title),
        side: words.limb_title(leg, verdict.side),
        dose: dose.join(", "),
        sets: item.dose.sets,
        reps,
        counted: item.dose.reps(item.checked.repetition()),
    }
}

/// The limits in force, ordered and confirmed ones first, each sentence once.
fn limits(plan: &Plan<'_>, words: &Words) -> Vec<SheetLimit> {
    let mut in_force: Vec<_> = plan.envelope.in_force.iter().collect();
    in_force.sort_by_key(|it| it.status);
    let mut out: Vec<SheetLimit> = Vec::new();
    for it in in_force {
        let says = words.limit_sentence(&it.limit, plan.episode.operation.side);
        if out.iter().any(|known| known.says == says) {
            continue;
        }
        out.push(SheetLimit {
            says,
            worn: matches!(it.limit, Limit::Device { .. }),
            status: words.status_word(it.status),
            assumed: it.status == Status::Assumed,
            until: words.until_sentence(&it.until),
        });
    }
    out
}

fn warnings(words: &Words, episode: &Episode) -> Vec<WarnGroup> {
    let mut groups = words.warnings(&episode.operation.protocol);
    for group in &mut groups {
        group.action = fill(&group.action, episode);
        for item in &mut group.items {
            *item = fill(item, episode);
        }
    }
    groups
}

/// Puts the numbers to call into a text.
fn fill(text: &str, episode: &Episode) -> String {
    text.replace("{emergency}", &episode.clinic.emergency).replace("{phone}", &episode.clinic.phone)
}

/// Whether a leg was operated: the first restriction of the protocol that speaks of a limb decides.
pub(crate) fn is_leg(protocol: &Protocol) -> bool {
    let limb = protocol.restrictions.iter().find_map(|it| match &it.limit {
        Limit::LegWeightBearing(_) => Some(true),
        Limit::ArmWeightBearing(_) => Some(false),
        limit => limit.joints().into_iter().find(|it| !it.is_axial()).map(|it| it.is_leg()),
    });
    limb.unwrap_or(true)
}

/// Language of a tag; English where there are no texts in it.
pub(crate) fn lang_of(tag: &str) -> Lang {
    tag.parse().unwrap_or(Lang::En)
}

/// Name of a medium in keys of texts.
pub(crate) fn medium_id(medium: Medium) -> &'static str {
    match medium {
        Medium::Paper => "paper",
        Medium::Page => "page",
        Medium::File => "file",
    }
}
