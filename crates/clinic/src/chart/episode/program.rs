//! The program: each exercise with its verdict, the reasons, the dose, and what is tight.

use crate::Right;
use handrail_anatomy::ClinicalMotion;
use handrail_episode::{Line, Plan};
use handrail_program::Kind;
use handrail_protocol::Limit;
use handrail_words::Words;
use maud::{Markup, html};

use super::Case;
use crate::chart::facts::{angle_of, exercise, opposite};
use crate::chart::reasons::unit_word;

/// Closer than this to a limit is told, degrees (this program's own choice).
const CLOSE_DEG: f64 = 10.0;

pub(super) fn section(case: &Case<'_>) -> Markup {
    let Ok(plan) = case.plan else { return html! {} };
    let words = case.words;
    html! {
        section class="card" aria-labelledby="program" {
            div class="row apart" {
                h2 id="program" { (case.say("c-today-program")) }
                @if case.role.may(Right::Plan) {
                    a class="button" href={ "/e/" (case.id()) "/program" } { (case.say("c-today-go-program")) }
                }
            }
            (versions(case, plan))
            @if plan.lines.is_empty() { p { (case.say("c-today-says-no-program")) } }
            @else {
                ol class="exercises" data-tight={ "/e/" (case.id()) "/tight" } {
                    @for it in &plan.lines { (line(words, plan, it)) }
                }
            }
            @let over = plan.over_exposure();
            @if !over.is_empty() {
                @let error = handrail_episode::PlanError::Exposure(over);
                @let told = crate::chart::documents::told(&case.teller(), &error, plan.envelope.side);
                div class="alert stop" { @for it in &told.says { p { (it) } } p { (told.mend) } }
            }
        }
    }
}

/// Which version is in force, who signed it, and which one the patient holds.
fn versions(case: &Case<'_>, plan: &Plan<'_>) -> Markup {
    let words = case.words;
    html! {
        p {
            @if let Some(it) = &plan.program {
                @let signed = crate::chart::facts::signed(words, it);
                (words.text("c-today-version-line", &[
                    ("version", it.version.into()), ("issued", words.date_short(it.issued).into()),
                    ("by", it.by.as_str().into()), ("signed", signed.into()),
                    ("until", words.date_short(plan.valid_until()).into()),
                ]))
                " "
            }
            @match case.episode.held() {
                Some(held) => {
                    @let (on, issued) = &held.fact;
                    (words.text("c-today-holds-line", &[
                        ("version", issued.version.into()), ("date", words.date_short(*on).into()),
                        ("medium", case.say(crate::chart::facts::medium_key(issued.medium)).into()),
                        ("until", words.date_short(issued.valid_until).into()),
                    ]))
                    @if plan.program.as_ref().is_some_and(|it| it.version != issued.version) {
                        " " span class="tag stop" { (case.say("c-today-holds-older")) }
                    }
                },
                None => { (case.say("c-today-holds-none")) },
            }
        }
    }
}

fn line(words: &Words, plan: &Plan<'_>, it: &Line) -> Markup {
    let (verdict, operated) = (&it.verdict, plan.envelope.side);
    let title = exercise(words, &it.prescription.exercise, it.prescription.side);
    let dose = verdict.repetition.as_ref().map(|repetition| words.dose_lines(&it.dose, repetition));
    html! {
        li class={ "exercise " (verdict.kind.id()) } data-exercise=(it.prescription.exercise) {
            p class="row" {
                strong { (title) }
                span class={ "tag" @if verdict.kind == Kind::Refused { " stop" } } {
                    (words.text(&format!("c-kind-{}", verdict.kind.id()), &[]))
                }
                @for waived in &verdict.waived {
                    span class="tag assumed" { (words.text("c-today-waived", &[("by", waived.by.as_str().into()), ("reason", waived.reason.as_str().into())])) }
                }
            }
            @if let Some(dose) = &dose {
                p class="small" { (dose.iter().map(|it| it.1.as_str()).collect::<Vec<_>>().join(" · ")) }
            }
            @if let Some(limit) = &verdict.limit { p class="small" { (words.limit_cue(limit, verdict)) } }
            @if let Some(close) = closest(words, plan, it) { p class="small" { (close) } }
            @if verdict.kind == Kind::Refused {
                ul class="small" { @for reason in &verdict.reasons { li { (words.reason_sentence(reason, operated)) } } }
            } @else if !verdict.reasons.is_empty() {
                details class="small" {
                    summary { (words.text("c-today-why-limited", &[("n", (verdict.reasons.len() as u32).into())])) }
                    ul { @for reason in &verdict.reasons { li { (words.reason_sentence(reason, operated)) } } }
                }
            }
            @for over in &it.over {
                p class="small" { span class="tag stop" {
                    (words.text("c-today-over", &[
                        ("what", words.text(&format!("c-today-over-{}", over.what.replace('_', "-")), &[]).into()),
                        ("asked", over.asked.into()), ("ceiling", over.ceiling.into()),
                    ]))
                } }
            }
            @if !it.missing_equipment.is_empty() {
                p class="small" { span class="tag assumed" {
                    (words.text("c-today-missing-things", &[("things", words.equipment_list(&it.missing_equipment).into())]))
                } }
            }
        }
    }
}

/// The limit of a joint motion that an exercise comes closest to, when it comes close.
fn closest(words: &Words, plan: &Plan<'_>, it: &Line) -> Option<String> {
    let repetition = it.verdict.repetition.as_deref()?;
    let side = plan.envelope.side;
    let near = plan.envelope.in_force.iter().filter_map(|limit| match &limit.limit {
        Limit::Motion { motion, max_deg, drives, .. } => {
            let drive = repetition.drive(side, motion.joint)?;
            let speaks = drives.is_empty() || drives.contains(&drive);
            let reached = repetition.extreme(motion, side).deg;
            speaks.then_some((max_deg - reached, motion, reached, *max_deg))
        }
        _ => None,
    });
    let (room, motion, reached, max) =
        near.min_by(|a, b| a.0.total_cmp(&b.0)).filter(|it| (0.0..CLOSE_DEG).contains(&it.0))?;
    let args = [
        ("motion", words.motion_on_side(motion.joint, motion.motion, side).into()),
        // Rounded outwards, so that less room is never told as more.
        ("reached", angle(words, motion, (reached * 10.0).ceil() / 10.0).into()),
        ("limit", angle(words, motion, max).into()),
        ("room", words.number((room * 10.0).floor() / 10.0, 1).into()),
    ];
    Some(words.text("c-today-closest", &args))
}

/// Degrees in a direction; short of neutral they are told in the direction in which they are.
fn angle(words: &Words, motion: &ClinicalMotion, degrees: f64) -> String {
    match opposite(motion.joint.id(), motion.motion).filter(|_| degrees < 0.0) {
        Some(other) => angle_of(words, -degrees, other),
        None => format!("{} {}", words.number(degrees, 1), unit_word(words, "deg")),
    }
}

/// Shares of simulated executions that pass a limit, one item for each exercise; the script puts them in place.
pub(super) fn tight(words: &Words, plan: &Plan<'_>) -> Markup {
    html! {
        ul {
            @for it in plan.lines.iter().filter(|it| it.verdict.kind != Kind::Refused) {
                @let found = plan.robustness(it);
                @if found.is_tight() {
                    li data-exercise=(it.prescription.exercise) { (words.tight_clinician(found.share())) }
                }
            }
        }
    }
}
