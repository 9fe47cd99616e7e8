//! What may be chosen: the load ladder of the protected tissue, the other exercises of the library that are allowed
//! today, and the refused ones with all their reasons.

use std::collections::BTreeSet;

use crate::gate::Desk;
use handrail_anatomy::{Interval, LoadUnit};
use handrail_episode::Plan;
use handrail_motion::NotKnown;
use handrail_program::{Kind, Ladder, Rung};
use maud::{Markup, PreEscaped, html};

use crate::program::board::{self, kind};
use crate::program::form::Form;
use crate::program::study::{Base, Solved};

/// Rungs above the ceiling that are shown at once: the next ones.
const NEAR: usize = 2;
/// Width of a bar, picture units.
const WIDE: f64 = 320.0;

/// The whole left column.
pub fn shelf(desk: &Desk, base: &Base, form: &Form) -> Markup {
    let chosen: BTreeSet<&str> = form.rows.iter().map(|it| it.exercise.as_str()).collect();
    let key = chosen.iter().map(|it| it.to_string()).collect();
    let made = base.shelf(desk.words().lang().id(), key, || make(desk, base, &chosen).0);
    PreEscaped(made.to_string())
}

fn make(desk: &Desk, base: &Base, chosen: &BTreeSet<&str>) -> Markup {
    let ladders: Vec<Ladder> = base.ladders().iter().map(|it| with_chosen(it, chosen)).collect();
    let on_ladder: BTreeSet<&str> =
        ladders.first().into_iter().flat_map(|it| &it.rungs).map(|it| it.exercise.as_str()).collect();
    let (refused, allowed): (Vec<&Solved>, Vec<&Solved>) =
        base.all().iter().map(AsRef::as_ref).partition(|it| it.verdict.kind == Kind::Refused);
    let mut others: Vec<&Solved> =
        allowed.iter().copied().filter(|it| !on_ladder.contains(it.verdict.exercise.as_str())).collect();
    // What the phase names comes first, then what serves its goals.
    let (phase, plan) = (base.phase(), base.plan(None, Vec::new()));
    others.sort_by_key(|it| {
        let named = phase.exercises.iter().position(|id| *id == it.verdict.exercise);
        let serves = it.motion.trains.iter().any(|tag| phase.goals.iter().any(|goal| goal.id() == tag));
        (named.unwrap_or(usize::MAX), !serves, it.motion.posture.id.clone())
    });
    let for_phase = |it: &&Solved| {
        let serves = it.motion.trains.iter().any(|tag| phase.goals.iter().any(|goal| goal.id() == tag));
        serves || phase.exercises.contains(&it.verdict.exercise)
    };
    let (others, beyond): (Vec<&Solved>, Vec<&Solved>) = others.into_iter().partition(for_phase);
    let count = |n: usize| (n as u32).into();
    html! {
        @for (index, it) in ladders.iter().enumerate() { (ladder(desk, base, it, chosen, index)) }
        @if ladders.is_empty() { p class="quiet" { (desk.say("c-program-no-ladder")) } }
        section aria-labelledby="others" {
            h3 id="others" { (desk.words().text(if ladders.is_empty() { "c-program-allowed" } else { "c-program-others" }, &[("n", count(others.len()))])) }
            ul class="picks" { @for it in others { (pick(desk, base, &plan, it, chosen)) } }
        }
        @if !beyond.is_empty() {
            details {
                summary { (desk.words().text("c-program-beyond", &[("n", count(beyond.len()))])) }
                ul class="picks" { @for it in beyond { (pick(desk, base, &plan, it, chosen)) } }
            }
        }
        details class="refused" {
            summary { (desk.words().text("c-program-refused", &[("n", count(refused.len()))])) }
            ul class="picks" { @for it in refused { (refusal(desk, base, it)) } }
        }
    }
}

fn with_chosen(ladder: &Ladder, chosen: &BTreeSet<&str>) -> Ladder {
    let mut out = ladder.clone();
    for rung in &mut out.rungs {
        rung.in_program = chosen.contains(rung.exercise.as_str());
    }
    out
}

fn title(desk: &Desk, base: &Base, id: &str) -> String {
    desk.words().exercise_title(id, base.envelope.side)
}

fn add(desk: &Desk, title: &str, id: &str, chosen: bool) -> Markup {
    html! {
        @if chosen { span class="tag" { (desk.say("c-program-chosen")) } }
        @else { button class="add" name="do" value={ "add:" (id) } aria-label={ (desk.say("c-program-add")) ": " (title) } { (desk.say("c-program-add")) } }
    }
}

/// One ladder, heaviest rung on top, today's ceiling as a line between the rungs.
fn ladder(desk: &Desk, base: &Base, ladder: &Ladder, chosen: &BTreeSet<&str>, index: usize) -> Markup {
    let (words, unit) = (desk.words(), ladder.tissue.unit());
    let next = ladder.next().map(|it| it.exercise.clone());
    let scale = Scale::of(ladder);
    let sources: Vec<String> = sources(ladder);
    let place = |rung: &Rung| sources.iter().position(|it| *it == rung.load.source).map_or(0, |it| it + 1);
    let rung = |it: &Rung| {
        let name = title(desk, base, &it.exercise);
        let is_next = next.as_deref() == Some(it.exercise.as_str());
        html! {
            li class={ "rung" @if it.over { " over" } @if it.in_program { " in" } } data-name=(name.to_lowercase()) {
                div class="row apart" {
                    span class="rung-name" { (name) }
                    @if it.kind == Kind::Refused { a class="tag stop" href={ "#why-" (it.exercise) } aria-label={ (words.kind_name(it.kind)) ": " (name) } { (words.kind_name(it.kind)) } }
                    @else { (add(desk, &name, &it.exercise, it.in_program)) }
                }
                (scale.bar(it.load.peak, it.over, it.in_program))
                p class="small" {
                    (board::load_words(desk, it.load.peak, unit)) ", " (words.basis_name(it.load.basis)) " [" (place(it)) "]"
                    @if it.over { " · " (desk.say("c-ladder-over")) }
                    @else if it.kind == Kind::Refused { " · " (desk.say("c-ladder-refused")) }
                    @else if it.kind == Kind::Limited { " · " (desk.say("c-ladder-limited")) }
                    @if is_next { " · " strong { (desk.say(if it.over { "c-ladder-opens" } else { "c-ladder-next" })) } }
                }
            }
        }
    };
    let (over, below): (Vec<&Rung>, Vec<&Rung>) = ladder.rungs.iter().rev().partition(|it| it.over);
    let tissue = words.tissue_name_on_side(ladder.tissue, ladder.side);
    let ceiling = match &ladder.ceiling {
        Some((value, by)) => words.text(
            "c-ladder-ceiling",
            &[
                ("value", words.load_amount(*value, unit).into()),
                ("id", base.teller(words).limit_name(&by.id).into()),
                ("status", words.status_clinician(by.status).into()),
            ],
        ),
        None => desk.say("c-ladder-no-ceiling"),
    };
    let axis = match unit {
        LoadUnit::BodyWeights => "c-ladder-axis-body-weights",
        LoadUnit::PercentStrain => "c-ladder-axis-percent-strain",
        LoadUnit::PercentMvic => "c-ladder-axis-percent-mvic",
    };
    html! {
        details class="ladder" open[index == 0] {
            summary { h3 { (words.text("c-ladder-title", &[("tissue", tissue.into())])) } }
            p class="small quiet" { (desk.say(axis)) ". " (desk.say("c-program-heaviest-first")) }
            @if ladder.rungs.is_empty() { p { (desk.say("c-ladder-none")) } }
            @if over.len() > NEAR {
                details {
                    summary { (words.text("c-program-far-above", &[("n", ((over.len() - NEAR) as u32).into())])) }
                    ol class="rungs" reversed { @for it in &over[..over.len() - NEAR] { (rung(it)) } }
                }
            }
            @if !over.is_empty() { ol class="rungs" reversed { @for it in &over[over.len().saturating_sub(NEAR)..] { (rung(it)) } } }
            p class={ "ceiling" @if ladder.ceiling.is_none() { " none" } } { (ceiling) }
            p class="small" { (desk.say("c-ladder-all-limits")) }
            @if !below.is_empty() { ol class="rungs" reversed { @for it in below { (rung(it)) } } }
            @if !ladder.ordered.is_empty() {
                h4 { (desk.say("c-program-order-heading")) }
                ul class="small" { @for it in &ladder.ordered { li { (title(desk, base, &it.exercise)) ": " (words.load_order(&it.above, &it.below, ladder.side)) " (" (it.source) ")" } } }
            }
            @if !ladder.unknown.is_empty() {
                h4 { (desk.say(if ladder.ceiling.is_some() { "c-ladder-unknown-heading-ceiling" } else { "c-ladder-unknown-heading" })) }
                ul class="small" {
                    @for why in NotKnown::ALL {
                        @let names: Vec<String> = ladder.unknown.iter().filter(|it| it.why == why).map(|it| title(desk, base, &it.exercise)).collect();
                        @if !names.is_empty() { li { (words.load_not_known(why)) ": " (names.join("; ")) } }
                    }
                }
            }
            @if !sources.is_empty() {
                details { summary { (desk.say("c-ladder-sources")) } ol class="small" { @for it in &sources { li { (it) } } } }
            }
        }
        // A ladder that is not open is out of the way of its chosen exercises.
        @if chosen.is_empty() && index == 0 { p class="small quiet" { (desk.say("c-program-choose")) } }
    }
}

fn sources(ladder: &Ladder) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for it in ladder.rungs.iter().rev() {
        if !out.contains(&it.load.source) {
            out.push(it.load.source.clone());
        }
    }
    out
}

/// A log scale over all loads of a ladder and its ceiling.
struct Scale {
    low: f64,
    high: f64,
    ceiling: Option<f64>,
}

impl Scale {
    fn of(ladder: &Ladder) -> Scale {
        let ceiling = ladder.ceiling.as_ref().map(|it| it.0);
        let highs = ladder.rungs.iter().map(|it| it.load.peak.high).chain(ceiling);
        let high = highs.fold(0.0, f64::max).max(1e-3);
        let lows = ladder.rungs.iter().map(|it| it.load.peak.low).filter(|it| *it > 0.0);
        // Three decades are enough to tell rungs apart; what lies below begins at the edge.
        let low = lows.fold(high, f64::min).max(high / 1000.0) * 0.9;
        Scale { low, high: high * 1.05, ceiling }
    }

    fn x(&self, value: f64) -> f64 {
        let share = (value.max(self.low) / self.low).ln() / (self.high / self.low).ln();
        share.clamp(0.0, 1.0) * WIDE
    }

    /// A bar from the lower to the upper bound, and the ceiling as a line. The figures stand beside it in words.
    fn bar(&self, load: Interval, over: bool, chosen: bool) -> Markup {
        let (left, right) = (self.x(load.low), self.x(load.high));
        let left = left.min(right - 4.0).max(0.0);
        let fill = if over {
            "#fdecea"
        } else if chosen {
            "#0c4a5b"
        } else {
            "#7fb0bc"
        };
        let stroke = if over { "#9b1c1c" } else { "#16262e" };
        html! {
            svg class="bar" viewBox={ "0 0 " (WIDE) " 14" } preserveAspectRatio="none" aria-hidden="true" focusable="false" {
                line x1="0" y1="7" x2=(WIDE) y2="7" stroke="#d5dbdd" stroke-width="1" {}
                rect x=(round(left)) y="2.5" width=(round((right - left).max(4.0))) height="9" fill=(fill) stroke=(stroke) stroke-width="1" stroke-dasharray=[over.then_some("3 2")] {}
                @if let Some(it) = self.ceiling {
                    line x1=(round(self.x(it))) y1="0" x2=(round(self.x(it))) y2="14" stroke="#9b1c1c" stroke-width="2" {}
                }
            }
        }
    }
}

fn round(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn pick(desk: &Desk, base: &Base, plan: &Plan<'_>, it: &Solved, chosen: &BTreeSet<&str>) -> Markup {
    let (words, id) = (desk.words(), &it.verdict.exercise);
    let name = title(desk, base, id);
    let goals: Vec<String> = it.motion.trains.iter().map(|it| words.goal_by_id(it)).collect();
    let missing = plan.missing_equipment(&it.motion);
    html! {
        li class="pick" data-name={ (name.to_lowercase()) " " (goals.join(" ").to_lowercase()) } {
            div class="row apart" {
                span class="rung-name" { (name) }
                (add(desk, &name, id, chosen.contains(id.as_str())))
            }
            p class="small quiet" {
                (kind(desk, it.verdict.kind)) " · " (words.posture_name(&it.motion.posture.id)) " · " (goals.join(", "))
                @if base.phase().exercises.contains(id) { " · " (desk.say("c-program-named")) }
                @if !missing.is_empty() { " · " (words.text("c-program-missing", &[("what", words.equipment_list(&missing).into())])) }
            }
        }
    }
}

fn refusal(desk: &Desk, base: &Base, it: &Solved) -> Markup {
    let id = &it.verdict.exercise;
    let name = title(desk, base, id);
    let waivable = crate::program::study::may_be_waived(&it.verdict);
    html! {
        li class="pick" id={ "why-" (id) } data-name=(name.to_lowercase()) {
            div class="row apart" {
                span class="rung-name" { (name) }
                @if waivable { (add(desk, &name, id, false)) }
            }
            @if waivable { p class="small" { (desk.say("c-program-may-override")) } }
            ul class="small reasons" { @for reason in &it.verdict.reasons { li { (board::reason(desk, base, reason)) } } }
        }
    }
}
