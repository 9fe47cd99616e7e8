//! What the routes of the form answer.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, Mutex};

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::Desk;
use crate::records::{self, Loaded};
use axum::Json;
use axum::extract::Path;
use axum::response::{IntoResponse, Response};
use handrail_program::{Bound, Kind, Proposal, Wish};
use handrail_store::drafts;
use jiff::Timestamp;
use maud::{Markup, html};
use serde_json::{Map, Value, json};

use crate::program::basis::plan_number;
use crate::program::board::{Piece, card, parts, pieces, state, totals};
use crate::program::changes::{against_last, conflict};
use crate::program::form::{Do, Form, Row};
use crate::program::page::{Notice, draft_name, is_late, page, ready};
use crate::program::shelf::shelf;
use crate::program::study::{Base, Study};

/// Minutes for which one look at an episode stands for the checks of its form.
const ONE_LOOK_MINUTES: i64 = 15;
/// Looks kept.
const MOST_LOOKS: usize = 500;

/// Moment of the last look by session and episode.
type Looks = BTreeMap<([u8; 32], String), Timestamp>;

/// When a session last opened an episode here: each check of a form is not a new look, but the first one is.
static LOOKS: LazyLock<Mutex<Looks>> = LazyLock::new(Mutex::default);

/// Opens the episode for the form, and writes the look down.
pub async fn look(desk: &Desk, id: &str) -> Result<Arc<Loaded>, Fault> {
    let loaded = records::open(desk, id, "program").await?;
    let mut looks = LOOKS.lock().unwrap_or_else(|it| it.into_inner());
    if looks.len() >= MOST_LOOKS {
        let now = desk.app.now();
        looks.retain(|_, at| now.duration_since(*at).as_mins() < ONE_LOOK_MINUTES);
        if looks.len() >= MOST_LOOKS {
            looks.clear();
        }
    }
    looks.insert((desk.staff.session, id.to_string()), desk.app.now());
    Ok(loaded)
}

/// The episode for a check; a look is written down unless one stands already.
async fn look_again(desk: &Desk, id: &str) -> Result<Arc<Loaded>, Fault> {
    let known = {
        let looks = LOOKS.lock().unwrap_or_else(|it| it.into_inner());
        looks.get(&(desk.staff.session, id.to_string())).copied()
    };
    let fresh = known.is_some_and(|at| desk.app.now().duration_since(at).as_mins() < ONE_LOOK_MINUTES);
    if fresh { records::load(&desk.app, id).await } else { look(desk, id).await }
}

/// The form of the newest version.
fn newest(desk: &Desk, loaded: &Loaded) -> Form {
    let last = loaded.episode.programs.iter().max_by_key(|it| it.version);
    Form::of_program(last, desk.library(), desk.words(), plan_number(loaded))
}

/// Solving is work for a thread of its own.
pub async fn aside<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Fault> {
    tokio::task::spawn_blocking(work).await.map_err(|error| Fault::Internal(format!("program: {error}")))
}

/// Holds a form against the day.
pub async fn study(desk: &Desk, loaded: &Arc<Loaded>, form: &Form) -> Result<Study, Fault> {
    let (content, today) = (desk.content.clone(), desk.app.today());
    let (loaded, form, by) = (loaded.clone(), form.clone(), desk.staff.name.clone());
    aside(move || Ok(Study::of(Base::of(&content, today, &loaded)?, &loaded, &form, &by))).await?
}

async fn show(desk: Desk, loaded: Arc<Loaded>, form: Form, notice: Notice) -> Result<Response, Fault> {
    let study = study(&desk, &loaded, &form).await?;
    let html = aside(move || page(&desk, &loaded, &form, &study, &notice)).await?;
    Ok(html.into_response())
}

/// Keeps the form as the draft of the person, so that the page and its script begin from the same.
pub async fn keep(desk: &Desk, id: &str, form: &Form) -> Result<(), Fault> {
    let (account, what, text, now) =
        (desk.staff.account.clone(), draft_name(id), form.draft(), desk.app.now());
    desk.app.store().write(move |tx| drafts::put(tx, &account, &what, &text, now)).await?;
    Ok(())
}

/// Drops the draft.
pub async fn forget(desk: &Desk, id: &str) -> Result<(), Fault> {
    let (account, what) = (desk.staff.account.clone(), draft_name(id));
    desk.app.store().write(move |tx| drafts::discard(tx, &account, &what)).await?;
    Ok(())
}

/// `GET`: the draft, if there is one, else the newest version.
pub async fn open(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    let loaded = look(&desk, &id).await?;
    let (account, what) = (desk.staff.account.clone(), draft_name(&id));
    let kept = desk.app.store().read(move |tx| drafts::get(tx, &account, &what)).await?;
    let newest = newest(&desk, &loaded);
    let draft = kept.and_then(|(text, at)| Some((Form::of_draft(&text)?, at)));
    // What was issued meanwhile and is the same is no draft any more.
    let (form, notice) = match draft.filter(|(form, _)| !form.same_program(&newest) || !form.kept.is_empty())
    {
        Some((mut form, at)) => {
            // A signature is not kept: who comes back looks at the version again.
            if form.sign {
                form.sign = false;
                keep(&desk, &id, &form).await?;
            }
            let at = at.to_zoned_datetime(desk.app.config().zone.clone());
            let at = format!("{}, {}", desk.words().date_short(at.date()), at.strftime("%H:%M"));
            (form, Notice { restored: Some(at), ..Notice::default() })
        }
        None => {
            forget(&desk, &id).await?;
            (newest, Notice::default())
        }
    };
    show(desk, loaded, form, notice).await
}

/// `POST`: the same page with what a button did; for browsers without scripts, and for larger steps.
pub async fn again(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let loaded = look(&desk, &id).await?;
    let what = Do::read(fields.opt("do").unwrap_or_default());
    let side = loaded.episode.operation.side;
    let form = Form::read(&fields).apply(&what, &newest(&desk, &loaded), side);
    match what {
        Do::Discard => forget(&desk, &id).await?,
        _ => keep(&desk, &id, &form).await?,
    }
    show(desk, loaded, form, Notice::default()).await
}

/// `POST check`: the pieces of the page that follow from the form, for the script.
pub async fn check(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let loaded = look_again(&desk, &id).await?;
    let what = Do::read(fields.opt("do").unwrap_or_default());
    let before = Form::read(&fields);
    let known: Vec<usize> = before.rows.iter().map(|it| it.n).collect();
    let have: Vec<String> = fields.all("have").to_vec();
    let form = before.apply(&what, &newest(&desk, &loaded), loaded.episode.operation.side);
    let study = study(&desk, &loaded, &form).await?;
    let draw = fields.ticked("draw");
    let body = aside(move || {
        let mut not_drawn = false;
        let order: Vec<Value> = pieces(&desk, &form, &study)
            .into_iter()
            .map(|it| match it {
                Piece::Way(html) => json!({ "way": html.0 }),
                Piece::Card(n) => json!({ "row": n }),
            })
            .collect();
        let mut cards = Map::new();
        let mut changed = Map::new();
        for row in &form.rows {
            let all = parts(&desk, &study, row, draw);
            not_drawn |= all.iter().any(|it| it.hash.is_empty());
            if !known.contains(&row.n) {
                cards.insert(row.n.to_string(), card(&desk, &study, row, draw).0.into());
                continue;
            }
            for part in all {
                if !have.contains(&format!("{}={}", part.id, part.hash)) {
                    changed.insert(part.id.clone(), json!([part.hash, part.html.0]));
                }
            }
        }
        let waivable: Vec<usize> = study.rows.iter().filter(|it| it.waivable).map(|it| it.n).collect();
        let rough: Vec<usize> = study
            .rows
            .iter()
            .filter(|it| it.line.verdict.kind != Kind::Refused && it.solved.robustness().is_none())
            .map(|it| it.n)
            .collect();
        // The shelf changes only when the set of exercises does.
        let picks = (what != Do::Check || fields.ticked("picks")).then(|| shelf(&desk, &study.base, &form).0);
        json!({
            "order": order,
            "cards": cards,
            "parts": changed,
            "totals": totals(&desk, &form, &study).0,
            "changes": against_last(&desk, &loaded, &study).0,
            "conflict": conflict(&desk, &loaded, &study, form.seen).unwrap_or_default().0,
            "picks": picks,
            "without": form.without,
            "waivable": waivable,
            "not_drawn": not_drawn,
            "not_simulated": rough,
            "ready": ready(&loaded, &form, &study),
            "says": state(&desk, &study, is_late(&loaded, &form)),
        })
    })
    .await?;
    Ok(Json(body).into_response())
}

/// `POST tight`: simulates what was not simulated yet, which takes longer than a verdict may; then as `check`.
pub async fn tight(desk: Desk, path: Path<String>, fields: Fields) -> Result<Response, Fault> {
    let loaded = look_again(&desk, &path.0).await?;
    let found = study(&desk, &loaded, &Form::read(&fields)).await?;
    aside(move || simulate(&found)).await?;
    let mut fields = fields;
    fields.0.insert("draw".into(), vec!["1".into()]);
    check(desk, path, fields).await
}

fn simulate(study: &Study) {
    for row in study.rows.iter().filter(|it| it.line.verdict.kind != Kind::Refused) {
        study.base.robustness(&row.solved);
    }
}

/// `POST propose`: fills the form with a proposal and says why each exercise is in.
pub async fn propose(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let loaded = look(&desk, &id).await?;
    let form = Form::read(&fields);
    let base = {
        let (content, today, loaded) = (desk.content.clone(), desk.app.today(), loaded.clone());
        aside(move || Base::of(&content, today, &loaded)).await??
    };
    let ceiling = base.phase().ceiling.max_exercises;
    let minutes = fields.number_opt("minutes").ok().flatten().filter(|it| (1.0..=180.0).contains(it));
    let most = match form.most.as_str() {
        "" => Some(ceiling),
        text => text.parse().ok().filter(|it| *it >= 1).map(|it: u32| it.min(ceiling)),
    };
    let (Some(minutes), Some(most)) = (minutes, most) else {
        let notice = refused(&desk.say("c-program-propose-wrong"));
        keep(&desk, &id, &form).await?;
        return show(desk, loaded, form, notice).await;
    };
    let mut wish = Wish::new(minutes, most as usize);
    wish.keep = form.rows.iter().filter(|it| it.keep).map(|it| it.exercise.clone()).collect();
    wish.without.clone_from(&form.without);
    let asked = {
        let base = base.clone();
        aside(move || {
            let plan = base.plan(None, Vec::new());
            let candidates = plan.candidates(&base.library().exercises);
            handrail_program::propose(
                &candidates,
                plan.phase(),
                &plan.case(),
                &base.library().postures,
                &wish,
            )
        })
        .await?
    };
    let (form, notice) = match asked {
        Ok(proposal) => {
            let html = why_whole(&desk, &base, &proposal);
            (filled(&desk, &base, form, &proposal), Notice { html, restored: None })
        }
        Err(error) => (form, refused(&not_proposed(&desk, &base, &error))),
    };
    keep(&desk, &id, &form).await?;
    show(desk, loaded, form, notice).await
}

fn refused(says: &str) -> Notice {
    Notice { html: html! { div class="alert stop" role="alert" { p { (says) } } }, restored: None }
}

fn not_proposed(desk: &Desk, base: &Base, error: &handrail_program::ProposeError) -> String {
    use handrail_program::ProposeError::{Choice, Moves, NotAllowed, Order};
    match error {
        NotAllowed(id) => {
            let title = desk.words().exercise_title(id, base.envelope.side);
            desk.words().text("c-program-propose-not-allowed", &[("title", title.into())])
        }
        Moves => desk.say("c-program-propose-moves"),
        Choice(_) | Order(_) => desk.say("c-program-propose-none"),
    }
}

/// The form with the proposal in it; exercises that stay keep what was typed for them.
fn filled(desk: &Desk, base: &Base, form: Form, proposal: &Proposal) -> Form {
    let side = base.envelope.side;
    let mut next = form.rows.iter().map(|it| it.n + 1).max().unwrap_or(0);
    let rows = proposal
        .session
        .items
        .iter()
        .zip(&proposal.why)
        .map(|(item, why)| {
            let known = form.rows.iter().find(|it| it.exercise == item.motion.id && it.keep);
            let mut row = known.cloned().unwrap_or_else(|| {
                next += 1;
                Row { sets: item.dose.sets.to_string(), ..Row::new(next - 1, &item.motion.id, Some(side)) }
            });
            row.why = why_one(desk, why);
            row
        })
        .collect();
    Form { rows, ..form }
}

fn why_one(desk: &Desk, why: &handrail_program::propose::Why) -> String {
    let words = desk.words();
    let goals: Vec<String> = why
        .serves
        .iter()
        .map(|it| {
            let args = [
                ("goal", words.goal_by_id(&it.goal).into()),
                ("percent", words.number(it.part * 100.0, 0).into()),
            ];
            words.text("c-program-why-goal", &args)
        })
        .collect();
    let mut out = words.text(
        "c-program-why-worth",
        &[("goals", goals.join(", ").into()), ("value", words.number(why.marginal, 2).into())],
    );
    if why.kept {
        out = format!("{out} {}", desk.say("c-program-why-kept"));
    }
    out
}

fn why_whole(desk: &Desk, base: &Base, proposal: &Proposal) -> Markup {
    let words = desk.words();
    let title = |id: &str| words.exercise_title(id, base.envelope.side);
    let bound = |it: &Bound| match it {
        Bound::Minutes => desk.say("c-program-bound-minutes"),
        Bound::Number => desk.say("c-program-bound-number"),
        Bound::Ceiling(id) => {
            words.text("c-program-bound-ceiling", &[("id", base.teller(words).limit_name(id).into())])
        }
    };
    let count = |n: usize| (n as u32).into();
    html! {
        section class="alert" aria-labelledby="proposed" {
            h2 id="proposed" { (desk.say("c-program-proposed")) }
            p { (words.text("c-program-proposed-share", &[("n", count(proposal.session.items.len())), ("percent", words.number(proposal.share * 100.0, 0).into())])) }
            ul {
                @for (goal, part) in &proposal.goals {
                    li { (words.text("c-program-why-goal", &[("goal", words.goal_by_id(goal).into()), ("percent", words.number(part * 100.0, 0).into())])) }
                }
                @if !proposal.untrained.is_empty() {
                    @let names: Vec<String> = proposal.untrained.iter().map(|it| words.goal_by_id(it)).collect();
                    li { (words.text("c-program-untrained", &[("goals", names.join(", ").into())])) }
                }
                @if let Some(it) = &proposal.left_out {
                    li { (words.text("c-program-left-out", &[("title", title(&it.exercise).into()), ("change", words.number(it.change, 2).into())]))
                        @if !it.passes.is_empty() { " " (words.text("c-program-passes", &[("bounds", it.passes.iter().map(bound).collect::<Vec<_>>().join(", ").into())])) }
                    }
                }
                @for it in &proposal.binds { li { (words.text("c-program-binds", &[("bound", bound(&it.bound).into()), ("title", title(&it.exercise).into()), ("gain", words.number(it.gain, 2).into())])) } }
            }
        }
    }
}
