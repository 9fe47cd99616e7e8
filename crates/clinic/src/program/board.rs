//! The chosen exercises as the storyboard of a session: places in order, the moves between them, and for each
//! exercise its picture, its verdict, its fields and what it does to the protected tissue.

use crate::gate::Desk;
use crate::layout::svg;
use handrail_anatomy::{Device, Interval, LoadUnit, Side};
use handrail_figures::exercise::{Captions, Drawing};
use handrail_motion::Load;
use handrail_motion::load::tissue_load;
use handrail_program::moves::{MoveOver, Over};
use handrail_program::session::Item;
use handrail_program::{Entry, Kind, MoveRules, Reason};
use handrail_words::Words;
use maud::{Markup, html};

use crate::program::form::{Form, Mistake, Row, Wrong, shown};
use crate::program::study::{Base, Problem, Studied, Study};

/// An entry of the board, in order.
pub enum Piece {
    /// A heading with the moves to the next place, or the end.
    Way(Markup),
    /// The card of a row.
    Card(usize),
}

/// A part of a card that changes while its fields stay.
pub struct Part {
    /// Id of the element that holds it.
    pub id: String,
    /// Short name of its state: equal names, equal content. Blank: the content comes later.
    pub hash: String,
    /// Content.
    pub html: Markup,
}

impl Part {
    fn new(id: String, html: Markup) -> Part {
        let hash = blake3::hash(html.0.as_bytes()).to_hex()[..16].to_string();
        Part { id, hash, html }
    }

    /// Its element.
    pub fn element(&self) -> Markup {
        html! { div class="part" id=(self.id) data-hash=(self.hash) { (self.html) } }
    }
}

/// The pieces of the board in the order of the session; what has no place in it comes last.
pub fn pieces(desk: &Desk, form: &Form, study: &Study) -> Vec<Piece> {
    let words = desk.words();
    let mut out = Vec::new();
    if let Some(session) = &study.session {
        let mut seen = vec![false; session.items.len()];
        let mut steps: Vec<String> = Vec::new();
        let mut place: Option<&handrail_program::Place> = None;
        for entry in &session.entries {
            match entry {
                Entry::Move(step) => steps.push(words.move_title(&step.kind)),
                Entry::Rest(_) => {}
                Entry::Set { item, .. } if seen[*item] => {}
                Entry::Set { item, .. } => {
                    seen[*item] = true;
                    let here = &session.items[*item].place;
                    let same =
                        place.is_some_and(|it| it.posture == here.posture && it.device_on == here.device_on);
                    if !same || !steps.is_empty() {
                        out.push(Piece::Way(way(words, Next::of(here, same), &steps)));
                    }
                    place = Some(here);
                    steps.clear();
                    out.extend(study.order.get(*item).map(|&n| Piece::Card(n)));
                }
            }
        }
        if !session.items.is_empty() {
            out.push(Piece::Way(way(words, Next::End, &steps)));
        }
    }
    let rest: Vec<usize> = form.rows.iter().map(|it| it.n).filter(|n| !study.order.contains(n)).collect();
    if !rest.is_empty() {
        out.push(Piece::Way(html! { p class="place out" { (desk.say("c-program-not-in-session")) } }));
        out.extend(rest.into_iter().map(Piece::Card));
    }
    out
}

/// Where a way leads.
enum Next<'a> {
    /// To a place of its own heading.
    Place(&'a handrail_program::Place),
    /// It stays where it is; something was fetched or put away.
    Same,
    /// To the end of the session.
    End,
}

impl<'a> Next<'a> {
    fn of(place: &'a handrail_program::Place, same: bool) -> Next<'a> {
        if same { Next::Same } else { Next::Place(place) }
    }
}

/// The heading of a place with the moves that lead there.
fn way(words: &Words, next: Next<'_>, steps: &[String]) -> Markup {
    let say = |key: &str| words.text(key, &[]);
    html! {
        @if !steps.is_empty() {
            ol class="steps" aria-label=(say("c-program-moves")) { @for it in steps { li { (it) } } }
        }
        @match next {
            Next::Place(place) => h3 class="place" { (words.posture_name(&place.posture))
                @if place.device_on { span class="tag" { (say("c-program-device-on")) } }
            },
            Next::Same => {},
            Next::End => p class="place out" { (say("c-program-end")) },
        }
    }
}

/// The card of a row.
pub fn card(desk: &Desk, study: &Study, row: &Row, draw: bool) -> Markup {
    let words = desk.words();
    let side = row.side.unwrap_or(study.base.envelope.side);
    let title = words.exercise_title(&row.exercise, side);
    let parts = parts(desk, study, row, draw);
    let part = |name: &str| parts.iter().find(|it| it.id == format!("{name}-{}", row.n));
    html! {
        li class="shot" id=(format!("card-{}", row.n)) data-row=(row.n) {
            @if let Some(it) = part("still") { (it.element()) }
            div class="script" {
                div class="row apart" {
                    h4 id=(format!("title-{}", row.n)) { (title) }
                    div class="row" {
                        button class="plain" name="do" value={ "remove:" (row.n) } aria-label={ (desk.say("c-program-remove")) ": " (title) } { (desk.say("c-program-remove")) }
                    }
                }
                @if let Some(it) = part("verdict") { (it.element()) }
                (fields(desk, study, row, side))
                @if let Some(it) = part("detail") { (it.element()) }
                @if !row.why.is_empty() {
                    p class="small why" { strong { (desk.say("c-program-why")) " " } (row.why) }
                    input type="hidden" name=(row.name("why")) value=(row.why);
                }
                div class="row after" {
                    label class="tick small" { input type="checkbox" name=(row.name("keep")) value="1" checked[row.keep]; (desk.say("c-program-keep")) }
                    button class="plain small" name="do" value={ "without:" (row.n) } { (desk.say("c-program-leave-out")) }
                }
                (override_field(desk, study, row))
            }
        }
    }
}

fn fields(desk: &Desk, study: &Study, row: &Row, side: Side) -> Markup {
    let words = desk.words();
    let found = study.row(row.n);
    let dose = found.map(|it| &it.line.dose);
    let amount = dose.map(|it| it.amount);
    let (reps, seconds) = match amount {
        Some(handrail_program::Amount::Reps(it)) => (it.to_string(), String::new()),
        Some(handrail_program::Amount::Seconds(it)) => (String::new(), words.number(it, 0)),
        None => Default::default(),
    };
    let sets = dose.map_or_else(String::new, |it| it.sets.to_string());
    let rest = dose.map_or_else(String::new, |it| words.number(it.rest, 0));
    let motion = study.base.library().exercises.get(&row.exercise);
    html! {
        div class="dose" role="group" aria-labelledby=(format!("title-{}", row.n)) {
            input type="hidden" name=(row.name("id")) value=(row.exercise);
            (number(desk, row, "sets", "c-program-sets", &row.sets, &sets, "numeric"))
            (number(desk, row, "reps", "c-program-reps", &row.reps, &reps, "numeric"))
            (number(desk, row, "seconds", "c-program-seconds", &row.seconds, &seconds, "decimal"))
            (number(desk, row, "rest", "c-program-rest", &row.rest, &rest, "decimal"))
            label class="wide" { (desk.say("c-program-side"))
                select name=(row.name("side")) {
                    @for it in Side::BOTH { option value=(it.word()) selected[it == side && row.side.is_some()] { (words.side_word(it)) } }
                }
            }
            @for it in motion.iter().flat_map(|it| &it.parameters) {
                @let (factor, unit) = shown(it);
                @let typed = row.parameters.get(&it.name).map_or("", String::as_str);
                label { (parameter_name(words, &it.name)) " (" (unit_name(desk, unit)) ")"
                    input name=(row.name(&format!("p.{}", it.name))) value=(typed) inputmode="decimal" autocomplete="off"
                        placeholder=(words.number(it.usual * factor, 1));
                    (usual(desk, "c-program-usual-exercise"))
                    span class="hint" { (words.text("c-bounds", &[("low", words.number(it.low * factor, 1).into()), ("high", words.number(it.high * factor, 1).into())])) " " (unit_name(desk, unit)) }
                }
            }
        }
    }
}

/// Says, while a field is blank, where the figure in it comes from: its look alone must not tell.
pub fn usual(desk: &Desk, key: &str) -> Markup {
    html! { span class="hint usual" { (desk.say(key)) } }
}

fn number(desk: &Desk, row: &Row, field: &str, key: &str, value: &str, figure: &str, mode: &str) -> Markup {
    html! {
        label { (desk.say(key))
            input name=(row.name(field)) value=(value) placeholder=(figure) inputmode=(mode) autocomplete="off" maxlength="6";
            (usual(desk, "c-program-usual-phase"))
        }
    }
}

/// The field for the reason of an override. It is there as long as something was typed, so that nothing is lost.
fn override_field(desk: &Desk, study: &Study, row: &Row) -> Markup {
    let may = study.row(row.n).is_some_and(|it| it.waivable);
    html! {
        div class="override" hidden[!may && row.waive.is_empty()] data-override {
            label { (desk.say("c-program-override"))
                span class="hint" { " " (desk.say("c-program-override-hint")) }
                textarea name=(row.name("waive")) rows="2" maxlength="2000" { (row.waive) }
            }
        }
    }
}

/// Name of a parameter; those of a clinic's own content stand as they were written.
pub fn parameter_name(words: &Words, name: &str) -> String {
    let key = format!("c-program-parameter-{}", name.replace('_', "-"));
    words.try_text(&key, &[]).unwrap_or_else(|| name.replace('_', " "))
}

/// A unit as it stands after a figure.
pub fn unit_name(desk: &Desk, unit: &str) -> String {
    if unit == "deg" { desk.say("c-unit-deg") } else { unit.into() }
}

/// What of a card changes without its fields: picture, verdict, what follows from it.
pub fn parts(desk: &Desk, study: &Study, row: &Row, draw: bool) -> Vec<Part> {
    let n = row.n;
    let found = study.row(n);
    let item = study.order.iter().position(|it| *it == n);
    let item = item.and_then(|at| Some((at, study.session.as_ref()?.items.get(at)?)));
    let picture = match found {
        Some(it) => still(desk, study, it, item.map(|it| it.1), draw),
        None => Some(Markup::default()),
    };
    let name = format!("still-{n}");
    vec![
        match picture {
            Some(html) => Part::new(name, html),
            None => Part {
                id: name,
                hash: String::new(),
                html: html! { p class="no-picture small" { (desk.say("c-program-drawing")) } },
            },
        },
        Part::new(format!("verdict-{n}"), verdict(desk, study, n, found, item.map(|it| it.0))),
        Part::new(format!("detail-{n}"), found.map_or_else(Markup::default, |it| detail(desk, study, it))),
    ]
}

/// Stands for the row in the ids of a picture that several rows may show.
const ID: &str = "still-of-row";

/// The picture of a row; `None` when it was not drawn yet and shall not be drawn now.
fn still(desk: &Desk, study: &Study, row: &Studied, item: Option<&Item>, draw: bool) -> Option<Markup> {
    let verdict = &row.line.verdict;
    if verdict.repetition.is_none() {
        return Some(html! { p class="no-picture small" { (desk.say("c-program-no-picture")) } });
    }
    let (lang, on) = (desk.words().lang().id(), item.is_some_and(|it| it.place.device_on));
    let picture = match draw {
        true => row.solved.still(lang, on, || drawn(desk, study, row, on)),
        false => row.solved.known_still(lang, on)?,
    };
    Some(svg(&picture.replace(ID, &format!("still-svg-{}", row.n))))
}

fn drawn(desk: &Desk, study: &Study, row: &Studied, device_on: bool) -> String {
    let (words, verdict) = (desk.words(), &row.line.verdict);
    let Some(repetition) = verdict.repetition.as_deref() else { return String::new() };
    let rules = MoveRules::of(&study.base.envelope);
    let worn: Option<(Device, Side)> =
        Some(rules).filter(|_| device_on).and_then(|it| Some((it.device?, it.side)));
    let text = words.exercise(&verdict.exercise, verdict.side);
    let (title, alt) =
        text.map_or_else(|| (verdict.exercise.clone(), String::new()), |it| (it.title, it.alt));
    let drawing = Drawing::new(&row.line.motion, repetition, &study.base.body, worn);
    let mark = verdict.limit.as_ref().and_then(|_| drawing.limit_mark());
    let captions = Captions { title, alt, not: String::new() };
    drawing.end(ID, &captions, mark.as_ref())
}

fn verdict(desk: &Desk, study: &Study, n: usize, found: Option<&Studied>, item: Option<usize>) -> Markup {
    let words = desk.words();
    let mistakes: Vec<&Mistake> = study
        .problems
        .iter()
        .filter_map(|it| if let Problem::Mistake(it) = it { Some(it) } else { None })
        .filter(|it| it.field.starts_with(&format!("r{n}.")))
        .collect();
    let Some(row) = found else {
        return html! {
            p { span class="verdict tag stop" { (kind(desk, Kind::Refused)) } }
            @for it in mistakes { p class="wrong" { (wrong(desk, it)) } }
        };
    };
    let verdict = &row.line.verdict;
    let teller = study.base.teller(words);
    html! {
        p class="row" {
            @if verdict.waived.is_empty() {
                span class={ "verdict tag " (verdict.kind.id()) @if verdict.kind == Kind::Refused { " stop" } } { (kind(desk, verdict.kind)) }
            } @else {
                // It passes a limit, whoever answers for it: never the sign of what keeps the limits.
                span class="verdict tag waived" { (desk.say("c-program-waived")) }
            }
            span class="side" { (words.text("c-program-side-words", &[("side", verdict.side.into())])) }
            @if let Some(robust) = row.solved.robustness().filter(|it| it.is_tight()) {
                span class="tag assumed" { (desk.say("c-program-tight")) }
                span class="small" { (words.tight_clinician(robust.share())) }
            }
            @if item.is_some_and(|it| study.in_turns(it)) { span class="tag" { (desk.say("c-program-in-turns")) } }
        }
        @for it in mistakes { p class="wrong" { (wrong(desk, it)) } }
        @for it in &row.line.over { p class="wrong" { (over(desk, it)) } }
        @if verdict.kind == Kind::Refused {
            ul class="reasons" { @for it in &verdict.reasons { li { (reason(desk, &study.base, it)) } } }
        }
        @if let Some(it) = &verdict.limit { p class="cue" { strong { (desk.say("c-program-up-to")) " " } (words.limit_cue(it, verdict)) } }
        @for it in &verdict.waived {
            p class="small" { (words.text("c-program-waived-by", &[("limit", teller.limit_text(&it.restriction).into()), ("by", it.by.as_str().into()), ("reason", it.reason.as_str().into())])) }
        }
        @if !row.line.missing_equipment.is_empty() {
            p class="care" { (words.text("c-program-missing", &[("what", words.equipment_list(&row.line.missing_equipment).into())])) }
        }
    }
}

/// A verdict in words that stand alone.
pub fn kind(desk: &Desk, it: Kind) -> String {
    desk.say(&format!("c-program-kind-{}", it.id()))
}

fn detail(desk: &Desk, study: &Study, row: &Studied) -> Markup {
    let (words, verdict) = (desk.words(), &row.line.verdict);
    let Some(repetition) = verdict.repetition.as_deref() else { return Markup::default() };
    let dose: Vec<String> = words.dose_lines(&row.line.dose, repetition).into_iter().map(|it| it.1).collect();
    let tissues = study.plan().protected_tissues();
    let side = study.base.envelope.side;
    html! {
        p class="small" { (dose.join(" · ")) }
        @for tissue in tissues {
            div class="small load" {
                @match tissue_load(&row.line.motion, &study.base.body, repetition, tissue, side) {
                    Load::Known(load) => (with_source(desk, &words.tissue_name_on_side(tissue, side), &format!("{}, {}", load_words(desk, load.peak, load.unit()), words.basis_name(load.basis)), &load.source, load.known)),
                    Load::Order { above, below, source, known, .. } => (with_source(desk, &words.tissue_name_on_side(tissue, side), &words.load_order(&above, &below, side), &source, known)),
                    Load::NotKnown(why) => p { strong { (words.tissue_name_on_side(tissue, side)) ": " } (words.text("c-load-not-known", &[("why", words.load_not_known(why).into())])) },
                }
            }
        }
    }
}

/// A load with both bounds; nothing is said in words, not as a figure of noughts.
pub fn load_words(desk: &Desk, load: Interval, unit: LoadUnit) -> String {
    match load.high < 1e-6 {
        true => desk.say("c-program-not-loaded"),
        false => desk.words().load_bounds(load, unit),
    }
}

/// A reason of a refusal in words, the limit by its name.
pub fn reason(desk: &Desk, base: &Base, it: &Reason) -> String {
    let words = desk.words();
    let mut named = it.clone();
    if !it.restriction.is_empty() {
        named.restriction = base.teller(words).limit_name(&it.restriction);
    }
    words.reason_sentence(&named, base.envelope.side)
}

/// A load, with its source one step away.
fn with_source(
    desk: &Desk,
    tissue: &str,
    says: &str,
    source: &str,
    known: handrail_protocol::Known,
) -> Markup {
    html! {
        details {
            summary { strong { (tissue) ": " } (says) }
            p { (desk.say("c-program-source")) " " (source) " (" (desk.words().known_word(known)) ")" }
        }
    }
}

/// A dose over the phase's ceiling, in words.
pub fn over(desk: &Desk, it: &handrail_program::dose::OverCeiling) -> String {
    let what = desk.say(&format!("c-program-over-{}", it.what.replace('_', "-")));
    let args = [("what", what.into()), ("asked", it.asked.into()), ("ceiling", it.ceiling.into())];
    desk.words().text("c-program-over", &args)
}

/// A mistake in words.
pub fn wrong(desk: &Desk, it: &Mistake) -> String {
    let words = desk.words();
    let name = it.field.rsplit('.').next().unwrap_or(&it.field);
    let field = words
        .try_text(&format!("c-program-field-{name}"), &[])
        .unwrap_or_else(|| parameter_name(words, name));
    let mut args = vec![("field", field.into())];
    let key = match &it.what {
        Wrong::Count(most) => {
            args.push(("most", (*most).into()));
            "c-program-wrong-count"
        }
        Wrong::Range(low, high, unit) => {
            args.push(("low", words.number(*low, 1).into()));
            args.push(("high", words.number(*high, 1).into()));
            args.push(("unit", unit_name(desk, unit).into()));
            "c-program-wrong-range"
        }
        Wrong::Both => "c-program-wrong-both",
        Wrong::NotADate => "c-program-wrong-date",
        Wrong::Until(first, last) => {
            args.push(("first", words.date_short(*first).into()));
            args.push(("last", words.date_short(*last).into()));
            "c-program-wrong-until"
        }
        Wrong::NoExercise(id) => {
            args.push(("id", id.as_str().into()));
            "c-program-wrong-exercise"
        }
        Wrong::NoSide => "c-program-wrong-side",
        Wrong::TooManyRows => "c-program-wrong-rows",
    };
    words.text(key, &args)
}

/// A problem in words.
pub fn problem(desk: &Desk, form: &Form, study: &Study, it: &Problem) -> String {
    let words = desk.words();
    let side = study.base.envelope.side;
    let title = |n: usize| {
        let row = form.rows.iter().find(|it| it.n == n);
        row.map_or_else(String::new, |it| words.exercise_title(&it.exercise, it.side.unwrap_or(side)))
    };
    let of_row = |n: usize, what: String| {
        words.text("c-program-of-exercise", &[("title", title(n).into()), ("what", what.into())])
    };
    match it {
        Problem::Empty => desk.say("c-program-empty"),
        Problem::Mistake(it) => match row_of(&it.field) {
            Some(n) => of_row(n, wrong(desk, it)),
            None => wrong(desk, it),
        },
        Problem::Refused(n) => {
            let reasons = study.row(*n).map(|it| it.line.verdict.reasons.as_slice()).unwrap_or_default();
            let all: Vec<String> = reasons.iter().map(|it| reason(desk, &study.base, it)).collect();
            of_row(*n, format!("{}. {}", words.kind_name(Kind::Refused), all.join(" ")))
        }
        Problem::TooMany { asked, ceiling } => {
            words.text("c-program-too-many", &[("asked", (*asked).into()), ("ceiling", (*ceiling).into())])
        }
        Problem::Dose(n, it) => of_row(*n, over(desk, it)),
        Problem::Exposure(it) => match it.sum {
            Some(sum) => words.exposure_reason(it.tissue, it.of, sum, it.ceiling, side),
            None => {
                let args = [
                    ("tissue", words.tissue_name_on_side(it.tissue, side).into()),
                    ("limit", words.exposure_amount(it.ceiling, it.tissue, it.of).into()),
                    ("name", study.base.teller(words).limit_name(&it.restriction).into()),
                ];
                words.text("c-program-exposure-not-known", &args)
            }
        },
        Problem::Move(it) => move_over(desk, study, it),
        Problem::VisitPassed(date) => {
            words.text("c-program-visit-passed", &[("date", words.date_short(*date).into())])
        }
    }
}

fn row_of(field: &str) -> Option<usize> {
    field.strip_prefix('r')?.split_once('.')?.0.parse().ok()
}

fn move_over(desk: &Desk, study: &Study, it: &MoveOver) -> String {
    let (words, side) = (desk.words(), study.base.envelope.side);
    let what = match &it.what {
        Over::Angle { joint, motion, limit, computed } => {
            let args = [
                ("what", words.motion_on_side(*joint, motion, side).into()),
                ("computed", words.number(computed.ceil(), 0).into()),
                ("limit", words.number(*limit, 0).into()),
            ];
            words.text("c-program-move-angle", &args)
        }
        Over::Combination => desk.say("c-program-move-combination"),
        Over::Position(position) => {
            words.text("c-program-move-position", &[("position", words.position_name(*position).into())])
        }
        Over::NotChecked => desk.say("c-program-move-not-checked"),
    };
    let args = [
        ("move", words.move_title(&it.kind).into()),
        ("what", what.into()),
        ("limit", study.base.teller(words).limit_text(&it.restriction).into()),
    ];
    words.text(
        if it.restriction.is_empty() { "c-program-move-over-plain" } else { "c-program-move-over" },
        &args,
    )
}

/// The exercises that pass a limit by an override: each with the limits and by whose word.
fn passed(desk: &Desk, study: &Study) -> Vec<String> {
    let words = desk.words();
    let teller = study.base.teller(words);
    let waived = study.rows.iter().map(|it| &it.line.verdict).filter(|it| !it.waived.is_empty());
    waived
        .map(|verdict| {
            let mut limits: Vec<String> =
                verdict.waived.iter().map(|it| teller.limit_text(&it.restriction)).collect();
            limits.dedup();
            let by = verdict.waived.first().map_or("", |it| it.by.as_str());
            let args = [
                ("title", words.exercise_title(&verdict.exercise, verdict.side).into()),
                ("limit", words.all_of(&limits).into()),
                ("by", by.into()),
            ];
            words.text("c-program-waived-of", &args)
        })
        .collect()
}

/// How many exercises keep the limits: all of them, or all but those of an override.
fn within(desk: &Desk, study: &Study) -> String {
    let total = study.rows.len();
    match study.rows.iter().filter(|it| !it.line.verdict.waived.is_empty()).count() {
        0 => desk.say("c-program-all-within"),
        n => {
            let args = [("n", ((total - n) as u32).into()), ("total", (total as u32).into())];
            desk.words().text("c-program-some-within", &args)
        }
    }
}

/// The whole in one or two sentences: for the card on which it is issued, and for those who hear the page.
/// `late`: somebody changed program or limits meanwhile.
pub fn state(desk: &Desk, study: &Study, late: bool) -> String {
    if !study.problems.is_empty() {
        let n = study.problems.len() as u32;
        return desk.words().text("c-program-stands-against-above", &[("n", n.into())]);
    }
    if late {
        return desk.say("c-program-late");
    }
    let mut out = vec![within(desk, study)];
    let waived = passed(desk, study);
    if !waived.is_empty() {
        let n = waived.len() as u32;
        out.push(desk.words().text("c-program-waived-count", &[("n", n.into())]) + ":");
        out.push(waived.join(" "));
    }
    out.join(" ")
}

/// Minutes, number, and everything that stands against issuing.
pub fn totals(desk: &Desk, form: &Form, study: &Study) -> Markup {
    let words = desk.words();
    let phase = study.base.phase();
    let (asked, ceiling) = (study.rows.len() as u32, phase.ceiling.max_exercises);
    let times = study.rows.first().map_or(phase.dosage.times_a_day, |it| it.line.dose.times_a_day);
    let days = study.rows.first().map_or(phase.dosage.days_a_week, |it| it.line.dose.days_a_week);
    let minutes = study.session.as_ref().map(|it| it.minutes());
    let stand_ups = study.session.as_ref().map_or(0, |it| it.stand_ups() as u32);
    let about =
        |it: Option<f64>| it.map_or_else(|| desk.say("c-program-not-known"), |it| words.minutes_about(it));
    html! {
        dl class="totals" {
            div { dt { (desk.say("c-program-minutes-session")) } dd { (about(minutes)) } }
            div { dt { (desk.say("c-program-minutes-day")) } dd { (about(minutes.map(|it| it * f64::from(times)))) } }
            div { dt { (desk.say("c-program-number")) } dd { (words.text("c-program-number-of", &[("n", asked.into()), ("most", ceiling.into())])) } }
            div { dt { (desk.say("c-program-rhythm")) } dd { (words.text("c-program-rhythm-of", &[("times", times.into()), ("days", days.into())])) } }
            div { dt { (desk.say("c-program-stand-ups")) } dd { (stand_ups) } }
        }
        p class="small quiet" { (words.text("c-program-ceiling-basis", &[("sets", phase.ceiling.sets.into()), ("reps", phase.ceiling.reps.into()), ("times", phase.ceiling.times_a_day.into()), ("days", phase.ceiling.days_a_week.into())])) }
        @if study.problems.is_empty() {
            @let waived = passed(desk, study);
            div class={ "alert" @if !waived.is_empty() { " care" } } {
                p class="verdict" { strong { (within(desk, study)) } }
                @if !waived.is_empty() {
                    p class="verdict" { span class="tag waived" { (words.text("c-program-waived-count", &[("n", (waived.len() as u32).into())])) } }
                    ul { @for it in &waived { li { (it) } } }
                }
                p class="small" { (desk.say("c-program-all-within-but")) }
            }
        } @else {
            div class="alert stop" {
                p { strong { (words.text("c-program-stands-against", &[("n", (study.problems.len() as u32).into())])) } }
                ul { @for it in &study.problems { li { (problem(desk, form, study, it)) } } }
            }
        }
    }
}
