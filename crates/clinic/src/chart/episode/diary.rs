//! What the patient told: sessions against the plan, the response of the last weeks, the latest diaries in words.

use handrail_episode::{Diary, Morning, Numbered, Swelling};
use handrail_figures::timeline::{MorningMark, ResponseDay, ResponseStrip, ResponseWords, SwellingMark};
use handrail_progress::{Adherence, PainLimits, Rule, adherence};
use handrail_protocol::day_after_surgery;
use jiff::civil::Date;
use maud::{Markup, html};

use super::Case;
use crate::chart::facts::{diary as told, exercise};
use crate::layout::{fold, svg};

/// Days of the strip on a wide and on a narrow page.
const DAYS: i64 = 28;
const NARROW_DAYS: usize = 14;
/// Diaries shown in words at once.
const LATEST: usize = 5;

pub(super) fn section(case: &Case<'_>) -> Markup {
    let Some(protocol) = case.protocol else { return html! {} };
    let diaries = &case.episode.course.diaries;
    // Before the patient had a program there is nothing to tell of.
    let given = case.episode.course.issued.iter().map(|it| it.fact.0).min();
    let told_of = diaries.first().map(|it| it.fact.on);
    let begins = given.into_iter().chain(told_of).min().unwrap_or(case.today);
    let from = case.today.saturating_sub(jiff::Span::new().days(DAYS)).max(begins);
    let done = adherence(case.episode, protocol, from, case.today);
    let words = case.words;
    let latest = diaries.last().map_or_else(
        || case.say("c-today-no-diary-yet"),
        |it| {
            let lines = told(words, &it.fact, case.episode.operation.side);
            format!("{}: {}", words.date_short(it.fact.on), lines.join(" · "))
        },
    );
    fold(
        "diary",
        &case.say("c-today-diary"),
        &latest,
        &html! {
            p { a class="button" href={ "/e/" (case.id()) "/record#diary" } { (case.say("c-today-do-paper-diary")) } }
            (shares(case, &done))
            @if diaries.is_empty() { p { (case.say("c-today-no-diary-yet")) } }
            @else {
                (strips(case, &done))
                (passed(case))
                h3 { (case.say("c-today-latest-diaries")) }
                ul class="diaries" { @for it in diaries.iter().rev().take(LATEST) { (entry(case, it)) } }
                @if diaries.len() > LATEST {
                    p { a href={ "/e/" (case.id()) "/journal" } { (case.words.text("c-today-all-diaries", &[("n", (diaries.len() as u32).into())])) } }
                }
            }
        },
    )
}

/// Sessions told as done of those planned, with what is not known and that diaries tell too much.
fn shares(case: &Case<'_>, done: &Adherence) -> Markup {
    let words = case.words;
    let mut left: Vec<(&String, u32)> = done.left_out.iter().map(|(id, n)| (id, *n)).collect();
    left.sort_by_key(|it| std::cmp::Reverse(it.1));
    html! {
        @if let Some((low, high)) = done.share() {
            p {
                (words.text("c-today-adherence", &[
                    ("counted", done.counted.into()), ("planned", done.planned.into()),
                    ("unknown", done.not_known.into()),
                    ("low", words.number((low * 100.0).floor(), 0).into()),
                    ("high", words.number((high * 100.0).ceil(), 0).into()),
                    ("from", words.date_short(done.from).into()),
                ]))
                @if done.beyond > 0 { " " (words.text("c-today-beyond", &[("n", done.beyond.into())])) }
            }
            p class="quiet small" { (words.text("c-today-over-report", &[("source", done.over_report.source.into())])) }
            @if !left.is_empty() {
                p { (case.say("c-today-left-out")) ": "
                    @for (at, (id, n)) in left.iter().take(3).enumerate() {
                        @if at > 0 { "; " }
                        (exercise(words, id, case.episode.operation.side)) " ("
                        (words.text("c-today-days", &[("n", (*n).into())])) ")"
                    }
                }
            }
        } @else { p { (case.say("c-today-nothing-planned")) } }
    }
}

/// Rules on the response, with where they come from: what passes them raises; nothing clears.
fn passed(case: &Case<'_>) -> Markup {
    let from = case.today.saturating_sub(jiff::Span::new().days(DAYS));
    let words = case.words;
    let recent = case.episode.course.diaries.iter().filter(|it| it.fact.on >= from);
    let over: Vec<(&Diary, Vec<Rule>)> = recent
        .map(|it| (&it.fact, PainLimits::STATED.passed(&it.fact)))
        .filter(|it| !it.1.is_empty())
        .collect();
    html! {
        @if !over.is_empty() {
            p { strong { (words.text("c-today-rules-passed", &[("n", (over.len() as u32).into()), ("days", (DAYS as f64).into())])) } }
            ul { @for (diary, rules) in over.iter().rev().take(LATEST) {
                @let names: Vec<String> = rules.iter().map(|it| words.text(&format!("c-today-rule-{}", it.id()), &[])).collect();
                li { (words.date_short(diary.on)) ": " (words.all_of(&names)) }
            } }
        }
        details class="small" {
            summary { (case.say("c-today-rules-basis")) }
            ul { @for rule in Rule::ALL {
                @let basis = rule.basis();
                li { (words.text(&format!("c-today-rule-{}", rule.id()), &[])) ": " (basis.source) " (" (words.known_word(basis.known)) ")" }
            } }
        }
    }
}

fn entry(case: &Case<'_>, it: &Numbered<Diary>) -> Markup {
    let words = case.words;
    html! {
        li {
            p { strong { (words.date_short(it.fact.on)) } " "
                span class="quiet small" { (words.text("c-today-diary-of-version", &[("version", it.fact.version.into())])) } }
            @for line in told(words, &it.fact, case.episode.operation.side) { p class="small" { (line) } }
        }
    }
}

fn strips(case: &Case<'_>, done: &Adherence) -> Markup {
    let days: Vec<ResponseDay> = done.days.iter().map(|it| day(case, it.on, it.planned, it.done)).collect();
    let strip = |days: Vec<ResponseDay>| {
        let words = case.words;
        let last = days.last().map_or_else(String::new, |it| it.date.clone());
        let first = days.first().map_or_else(String::new, |it| it.date.clone());
        ResponseStrip {
            title: words
                .text("c-today-response-title", &[("name", case.episode.patient.name.as_str().into())]),
            subtitle: words.text("c-today-response-subtitle", &[("from", first.into()), ("to", last.into())]),
            days,
            words: strip_words(case),
        }
    };
    let narrow = strip(days[days.len().saturating_sub(NARROW_DAYS)..].to_vec());
    let wide = strip(days);
    let rows = wide.rows();
    html! {
        // A strip that cannot be drawn is left out; its table and the diaries say the same.
        @if let Ok(picture) = wide.svg("response-wide", 1140.0) { figure class="chart wide-only" { (svg(&picture)) } }
        @if let Ok(picture) = narrow.svg("response-narrow", 390.0) { figure class="chart narrow-only" { (svg(&picture)) } }
        details {
            summary { (case.say("c-today-response-table")) }
            div class="scroll" tabindex="0" role="region" aria-label=(case.say("c-today-response-table")) {
                table {
                    caption class="unseen" { (wide.title) }
                    thead { tr {
                        @for text in [case.say("c-today-col-day"), format!("{}: {}, {}, {}", wide.words.pain, wide.words.before, wide.words.during, wide.words.after), wide.words.morning.clone(), wide.words.swelling.clone(), wide.words.done.clone(), wide.words.planned.clone(), wide.words.warning.clone()] {
                            th scope="col" { (text) }
                        }
                    } }
                    tbody { @for row in rows.iter().rev() { tr {
                        th scope="row" { (row.date) }
                        td { (row.pain.map(|it| it.map_or_else(|| "–".to_string(), |it| it.to_string())).join(" / ")) }
                        td { (row.morning) } td { (row.swelling) } td { (row.done) } td { (row.planned) } td { (row.warning) }
                    } } }
                }
            }
        }
    }
}

fn day(case: &Case<'_>, on: Date, planned: u32, done: Option<u32>) -> ResponseDay {
    let diaries: Vec<&Diary> =
        case.episode.course.diaries.iter().map(|it| &it.fact).filter(|it| it.on == on).collect();
    let most =
        |of: fn(&Diary) -> Option<u8>| diaries.iter().filter_map(|it| of(it)).max().map(|it| it.min(10));
    let sessions = |it: u32| it.min(12) as u8;
    let version = case.episode.course.issued.iter().rev().find(|it| it.fact.0 == on);
    ResponseDay {
        day: day_after_surgery(case.episode.operation.surgery, on),
        date: case.words.date_short(on),
        pain_before: most(|it| it.pain_before),
        pain_during: most(|it| it.pain_during),
        pain_after: most(|it| it.pain_after),
        morning: match diaries.iter().filter_map(|it| it.morning).max_by_key(|it| *it == Morning::Worse) {
            Some(Morning::Worse) => Some(MorningMark::Worse),
            Some(Morning::Usual) => Some(MorningMark::Usual),
            None => None,
        },
        swelling: diaries.iter().filter_map(|it| it.swelling).max_by_key(|it| *it as u8).map(|it| match it {
            Swelling::Less => SwellingMark::Less,
            Swelling::Same => SwellingMark::Same,
            Swelling::More => SwellingMark::More,
        }),
        planned: sessions(planned),
        done: done.map(sessions),
        warning: diaries.iter().any(|it| !it.signs.is_empty()),
        version: version.map(|it| format!("v{}", it.fact.1.version)),
    }
}

fn strip_words(case: &Case<'_>) -> ResponseWords {
    let say = |id: &str| case.say(&format!("c-today-strip-{id}"));
    ResponseWords {
        weeks: case.say("c-today-env-weeks"),
        pain: say("word-pain"),
        before: say("before"),
        during: say("during"),
        after: say("after"),
        morning: say("morning"),
        usual: say("usual"),
        worse: say("worse"),
        swelling: say("swelling"),
        less: say("less"),
        same: say("same"),
        more: say("more"),
        sessions: say("sessions"),
        planned: say("planned"),
        done: say("done"),
        extra: say("extra"),
        missing: say("missing"),
        warning: say("word-warning"),
        version: say("version"),
    }
}
