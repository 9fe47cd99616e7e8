//! `GET /content/exercise/{id}`: an exercise as it moves, what it asks of the body, its words and sources.

use std::collections::BTreeMap;

use crate::fault::Fault;
use crate::gate::Desk;
use crate::layout::{self, Place, page_with};
use crate::rights::Right;
use axum::extract::{Path, RawQuery};
use axum::response::{IntoResponse, Response};
use handrail_anatomy::{Body, Joint, Measure, Sex, Side, Tissue, clinical_motions};
use handrail_figures::exercise::{Captions, Drawing};
use handrail_motion::load::tissue_load;
use handrail_motion::solve::MOVES_DEG;
use handrail_motion::{Load, Motion, NotKnown, Repetition, Role};
use handrail_protocol::Known;
use handrail_words::{Lang, Words, capital};
use maud::{Markup, html};

use crate::content::body::{Choice, Solved, VIEWS, solved};
use crate::content::figure::{drawing, query_of};
use crate::content::library::{Kind, Origin, Shelf};
use crate::content::neighbours::{Ladders, ladders};
use crate::content::parts::{fact, known, lang_name, notices, origin_word, path, say, state, style, tell};
use crate::content::sign;

/// Loads under this are not listed, in the tissue's unit.
const LISTED: f64 = 0.005;

/// The page.
pub async fn page(desk: Desk, Path(id): Path<String>, RawQuery(query): RawQuery) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let (shelf, lang) = (&in_use.shelf, desk.lang);
    let motion = shelf.library.exercises.get(&id).ok_or(Fault::NotFound)?.clone();
    let choice = Choice::read(&query_of(query));
    let words = shelf.words(lang);
    let (library, today) = (shelf.library.clone(), desk.app.today());
    let neighbours = tokio::task::spawn_blocking(move || ladders(&library, today))
        .await
        .map_err(|error| Fault::Internal(format!("ladders: {error}")))?;
    let solved = match choice.body() {
        Ok(body) => solved(&motion, body, choice.side).map_err(|it| it.to_string()),
        Err(message) => Err(message),
    };
    let title = words.exercise_title(&id, choice.side);
    let body = html! {
        (style())
        (head(&desk, shelf, &motion, &title))
        (notices(&desk, words, in_use.refused().as_deref()))
        div class="two" {
            section class="card figure-card" aria-labelledby="figure-title" {
                h2 id="figure-title" { (say(words, "figure")) }
                @match &solved {
                    Ok(it) => (figure(words, &motion, it, &choice, &title)),
                    Err(error) => (layout::alert("stop", html! { p { (say(words, "cannot")) } p lang="en" { (error) } })),
                }
                (body_form(words, &motion, &choice))
            }
            section class="card" aria-labelledby="facts-title" {
                h2 id="facts-title" { (say(words, "facts")) }
                (facts(words, &motion))
            }
        }
        (texts(shelf, words, &id, choice.side))
        @if let Ok(it) = &solved {
            (ranges(words, &it.repetition))
            (loads(words, &motion, &it.body, &it.repetition))
            (contacts(words, &it.repetition))
            (faults(words, &motion, it, &choice))
        }
        (parameters(words, &motion))
        (uses(shelf, words, &motion))
        (easier_and_harder(words, &motion, &neighbours, choice.side))
        (sources(words, &motion))
        (sign::part(&desk, shelf, Kind::Exercise, &id))
        (as_written(words, shelf, &id))
    };
    let scripts = ["figure.js", "content.js"];
    Ok(page_with(&desk, Place::Content, &title, &scripts, body).into_response())
}

fn head(desk: &Desk, shelf: &Shelf, motion: &Motion, title: &str) -> Markup {
    let words = shelf.words(desk.lang);
    let origin = shelf.layers.exercises.get(&motion.id).map_or(&Origin::BuiltIn, |it| &it.origin);
    html! {
        nav class="crumbs" aria-label=(say(words, "crumbs")) { a href="/content" { (say(words, "title")) } }
        div class="row apart" {
            h1 { (title) }
            @if desk.may(Right::WriteContent) {
                div class="row" {
                    a class="button" href={ (path(Kind::Exercise, &motion.id)) "/edit" } { (say(words, "change")) }
                    a class="button" href={ "/content/exercise/new?from=" (motion.id) } { (say(words, "new-from")) }
                }
            }
        }
        p class="row" {
            (state(words, shelf, Kind::Exercise, &motion.id))
            span class="quiet" { code { (motion.id) } " · " (tell(words, "version", &[("v", motion.version.to_string().into())])) " · " (origin_word(words, origin)) }
        }
        @if shelf.signed(Kind::Exercise, &motion.id).is_none() {
            (layout::alert("care", html! { p { (say(words, "draft-notice")) } }))
        }
    }
}

fn figure(words: &Words, motion: &Motion, solved: &Solved, choice: &Choice, title: &str) -> Markup {
    let alt = words.exercise(&motion.id, choice.side).map_or_else(|| title.to_string(), |it| it.alt);
    let captions = Captions { title: title.into(), alt: alt.clone(), not: String::new() };
    let drawing = drawing(motion, solved, choice);
    let clip = serde_json::to_string(&drawing.clip(&alt, None)).unwrap_or_default();
    let shown = choice.view.unwrap_or(&motion.camera.view);
    let side = tell(words, "works", &[("side", choice.side.into())]);
    html! {
        p { span class="side" { (side) } }
        div class="stage" data-stage data-path={ (path(Kind::Exercise, &motion.id)) "/figure" } hidden {
            div class="figure-box" data-figure {}
            script type="application/json" data-clip { (maud::PreEscaped(clip.replace('<', "\\u003c"))) }
            p class="row" {
                button type="button" data-pause data-play=(say(words, "play")) data-stop=(say(words, "pause")) { (say(words, "pause")) }
                span class="small quiet" { (tell(words, "seconds", &[("n", words.number(solved.repetition.duration(), 1).into())])) }
            }
        }
        div class="stills" {
            figure { div data-still="start" { (layout::svg(&drawing.start("still-start", &captions))) } figcaption { (say(words, "start")) } }
            figure { div data-still="end" { (layout::svg(&drawing.end("still-end", &captions, None))) } figcaption { (say(words, "end")) } }
        }
        nav class="views" aria-label=(say(words, "views")) {
            ul {
                @for view in VIEWS {
                    li { a href={ "?" (choice.query(view)) } data-view=(view) aria-current=[(view == shown).then_some("true")] { (view_name(words, view)) } }
                }
            }
        }
    }
}

fn view_name(words: &Words, view: &str) -> String {
    say(words, &format!("view-{}", view.replace('_', "-")))
}

fn body_form(words: &Words, motion: &Motion, choice: &Choice) -> Markup {
    let wrong = |name: &str| choice.wrong.get(name);
    let number = |name: &'static str, value: f64, step: &str, low: &str, high: &str| {
        html! {
            div {
                label for={ "body-" (name) } { (say(words, name)) }
                input id={ "body-" (name) } name=(name) type="number" step=(step) min=(low) max=(high) value=(value)
                    aria-invalid=[wrong(name).map(|_| "true")] aria-describedby=[wrong(name).map(|_| format!("wrong-{name}"))];
                @if let Some(typed) = wrong(name) {
                    p class="wrong" id={ "wrong-" (name) } { (tell(words, "not-taken", &[("typed", typed.as_str().into()), ("low", low.into()), ("high", high.into())])) }
                }
            }
        }
    };
    html! {
        form method="get" class="stack body-form" {
            fieldset class="stack" {
                legend { (say(words, "on-body")) }
                @if let Some(view) = choice.view { input type="hidden" name="view" value=(view); }
                div class="fields" {
                    div {
                        label for="body-side" { (say(words, "side")) }
                        select id="body-side" name="side" {
                            @for side in Side::BOTH { option value=(side.word()) selected[side == choice.side] { (words.side_word(side)) } }
                        }
                    }
                    (number("stature", choice.stature, "0.01", "1.3", "2.2"))
                    (number("mass", choice.mass, "1", "35", "200"))
                    div {
                        label for="body-sex" { (say(words, "sex")) }
                        select id="body-sex" name="sex" {
                            option value="female" selected[choice.sex == Sex::Female] { (say(words, "female")) }
                            option value="male" selected[choice.sex == Sex::Male] { (say(words, "male")) }
                        }
                    }
                }
                @if motion.camera.close_up.is_some() {
                    label class="tick" { input type="checkbox" name="whole" value="1" checked[choice.whole]; (say(words, "whole")) }
                }
                div { button { (say(words, "show")) } }
                p class="hint" { (say(words, "usual-furniture")) }
            }
        }
    }
}

fn facts(words: &Words, motion: &Motion) -> Markup {
    let muscles = |role: Role| {
        let names: Vec<String> =
            motion.muscles.iter().filter(|it| it.1 == role).map(|it| words.muscle_name(it.0)).collect();
        words.all_of(&names)
    };
    let goals: Vec<String> = motion.trains.iter().map(|it| words.goal_by_id(it)).collect();
    let devices: Vec<String> = motion.device_off.iter().map(|it| words.device_name(*it)).collect();
    let positions: Vec<String> = motion.positions.iter().map(|it| words.position_name(*it)).collect();
    let drives: BTreeMap<Joint, String> =
        motion.drives.iter().map(|((_, joint), drive)| (*joint, words.drive_name(*drive))).collect();
    let drives: Vec<String> =
        drives.iter().map(|(joint, drive)| format!("{}: {drive}", words.joint_name(*joint))).collect();
    let equipment = if motion.equipment.is_empty() {
        say(words, "nothing")
    } else {
        words.equipment_list(&motion.equipment)
    };
    html! {
        dl class="facts" {
            (fact(&say(words, "region"), &region(words, &motion.region)))
            (fact(&say(words, "trains"), &words.all_of(&goals)))
            (fact(&say(words, "posture"), &words.posture_name(&motion.posture.id)))
            (fact(&say(words, "positions"), &words.all_of(&positions)))
            (fact(&say(words, "driven"), &words.drive_name(motion.drive)))
            (fact(&say(words, "driven-else"), &drives.join(", ")))
            (fact(&say(words, "prime"), &muscles(Role::Prime)))
            (fact(&say(words, "helping"), &muscles(Role::Helping)))
            (fact(&say(words, "holding"), &muscles(Role::Holding)))
            (fact(&say(words, "equipment"), &equipment))
            (fact(&say(words, "device-off"), &words.all_of(&devices)))
            @if motion.impact { (fact(&say(words, "impact"), &say(words, "yes"))) }
            @if motion.warm_up { (fact(&say(words, "warm-up"), &say(words, "yes"))) }
            (fact(&say(words, "dose"), &dose(words, motion)))
        }
        p class="small quiet" { (words.text("c-not-checked-8", &[])) }
    }
}

fn dose(words: &Words, motion: &Motion) -> String {
    let number = |n: Option<u32>| n.map_or_else(|| "–".to_string(), |it| it.to_string());
    match (motion.dose.seconds, motion.dose.sets, motion.dose.reps) {
        (None, None, None) => say(words, "dose-by-phase"),
        (Some(seconds), sets, _) => {
            let args = [("sets", number(sets).into()), ("n", words.number(seconds, 0).into())];
            tell(words, "dose-seconds", &args)
        }
        (None, sets, reps) => {
            tell(words, "dose-reps", &[("sets", number(sets).into()), ("n", number(reps).into())])
        }
    }
}

/// Name of a body region; an unknown one as it is written.
pub fn region(words: &Words, id: &str) -> String {
    words.try_text(&format!("c-content-region-{id}"), &[]).unwrap_or_else(|| id.to_string())
}

fn texts(shelf: &Shelf, words: &Words, id: &str, side: Side) -> Markup {
    html! {
        section class="stack" aria-labelledby="texts-title" {
            h2 id="texts-title" { (say(words, "texts")) }
            div class="cards" {
                @for lang in Lang::ALL {
                    div class="card" lang=(lang.id()) {
                        h3 { (lang_name(lang)) }
                        @match shelf.words(lang).exercise(id, side) {
                            None => p { (say(words, "no-words")) },
                            Some(text) => {
                                p { b { (text.title) } }
                                p { (text.start) }
                                ol { @for step in &text.steps { li { (step) } } }
                                p { (text.why) }
                                p { (text.feel) }
                                @for fault in text.faults.values() { p class="not" { "✗ " (fault) } }
                                p class="small quiet" { (text.alt) }
                            },
                        }
                    }
                }
            }
        }
    }
}

/// Degrees of a coordinate in the clinical direction that they go to: "25 deg plantarflexion".
fn clinical(words: &Words, deg: f64, positive: &str, negative: &str) -> String {
    let shown = words.number(deg.abs(), 0);
    if shown == "0" {
        return say(words, "neutral");
    }
    let direction = if deg > 0.0 { positive } else { negative };
    let direction = words.text(&format!("c-motion-{}", direction.replace('_', "-")), &[]);
    tell(words, "deg-of", &[("n", shown.into()), ("motion", direction.into())])
}

fn ranges(words: &Words, repetition: &Repetition) -> Markup {
    let motions = clinical_motions();
    let mut rows = Vec::new();
    for pair in motions.chunks(2).filter(|it| it.len() == 2) {
        let (up, down) = (&pair[0], &pair[1]);
        let sides: &[Side] = match up.measure {
            Measure::Axial(_) => &[Side::Left],
            _ => &Side::BOTH,
        };
        for &side in sides {
            let (low, high) = (-repetition.extreme(down, side).deg, repetition.extreme(up, side).deg);
            if high - low < MOVES_DEG {
                continue;
            }
            let joint = match up.measure {
                Measure::Axial(_) => words.joint_name(up.joint),
                _ => words.text(
                    "c-with-side",
                    &[("what", words.joint_name(up.joint).into()), ("side", side.into())],
                ),
            };
            let way = |deg| clinical(words, deg, up.motion, down.motion);
            let drive = repetition
                .drive(side, up.joint)
                .map_or_else(|| say(words, "rests"), |it| words.drive_name(it));
            let works = side == repetition.side && sides.len() == 2;
            rows.push((works, joint, way(low), way(high), words.number(high - low, 0), drive));
        }
    }
    // The working side first; the order of joints stays.
    rows.sort_by_key(|it| !it.0);
    html! {
        section class="card" aria-labelledby="ranges-title" {
            h2 id="ranges-title" { (say(words, "ranges")) }
            div class="scroll" tabindex="0" role="group" aria-labelledby="ranges-title" {
                table class="stacked" {
                    caption { (say(words, "ranges-caption")) }
                    thead { tr {
                        th scope="col" { (say(words, "joint")) } th scope="col" { (say(words, "from")) } th scope="col" { (say(words, "to")) }
                        th scope="col" class="number" { (say(words, "arc")) } th scope="col" { (say(words, "driven")) }
                    } }
                    tbody { @for (works, joint, from, to, arc, drive) in &rows { tr class=[works.then_some("works")] {
                        th scope="row" { (joint) } td data-name=(say(words, "from")) { (from) } td data-name=(say(words, "to")) { (to) }
                        td class="number" data-name=(say(words, "arc")) { (arc) } td data-name=(say(words, "driven")) { (drive) }
                    } } }
                }
            }
        }
    }
}

fn loads(words: &Words, motion: &Motion, body: &Body, repetition: &Repetition) -> Markup {
    let mut stated = Vec::new();
    let mut sources: Vec<String> = Vec::new();
    // Sources stand once, under the table.
    let mut number_of = |source: String| match sources.iter().position(|it| *it == source) {
        Some(at) => at + 1,
        None => {
            sources.push(source);
            sources.len()
        }
    };
    let mut none = Vec::new();
    let mut unknown: BTreeMap<&'static str, (NotKnown, Vec<String>)> = BTreeMap::new();
    for &tissue in Tissue::ALL {
        for side in [repetition.side, repetition.side.other()] {
            let working = side == repetition.side;
            if !working && tissue.joints().iter().all(|it| it.is_axial()) {
                continue;
            }
            let name = words.tissue_name_on_side(tissue, side);
            match tissue_load(motion, body, repetition, tissue, side) {
                Load::Known(it) if it.peak.high < LISTED => none.push(name),
                Load::Known(it) => {
                    let at = it.at.map(|it| tell(words, "at-second", &[("n", words.number(it, 1).into())]));
                    let impulse = it.impulse.map(|sum| {
                        words.exposure_bounds(
                            sum,
                            tissue.unit(),
                            handrail_protocol::limits::ExposureOf::Impulse,
                        )
                    });
                    let value = words.load_bounds(it.peak, tissue.unit());
                    stated.push((
                        working,
                        name,
                        value,
                        at,
                        impulse,
                        words.basis_name(it.basis),
                        number_of(it.source),
                        it.known,
                    ));
                }
                Load::Order { above, below, source, known, .. } => {
                    let value = words.load_order(&above, &below, repetition.side);
                    stated.push((
                        working,
                        name,
                        value,
                        None,
                        None,
                        say(words, "order"),
                        number_of(source),
                        known,
                    ));
                }
                Load::NotKnown(why) if working => {
                    unknown.entry(why.id()).or_insert((why, Vec::new())).1.push(name)
                }
                Load::NotKnown(_) => {}
            }
        }
    }
    html! {
        section class="card" aria-labelledby="loads-title" {
            h2 id="loads-title" { (say(words, "loads")) }
            @if !stated.is_empty() {
                div class="scroll" tabindex="0" role="group" aria-labelledby="loads-title" {
                    table class="stacked" {
                        caption { (say(words, "loads-caption")) }
                        thead { tr {
                            th scope="col" { (say(words, "tissue")) } th scope="col" { (say(words, "bounds")) } th scope="col" { (say(words, "impulse")) }
                            th scope="col" { (say(words, "basis")) } th scope="col" { (say(words, "source")) }
                        } }
                        tbody { @for (working, name, value, at, impulse, on, source, how) in &stated { tr class=[working.then_some("works")] {
                            th scope="row" { (name) }
                            td data-name=(say(words, "bounds")) { (value) @if let Some(at) = at { div class="small quiet" { (at) } } }
                            td data-name=(say(words, "impulse")) { (impulse.as_deref().unwrap_or("–")) }
                            td data-name=(say(words, "basis")) { (on) }
                            td data-name=(say(words, "source")) { a href={ "#load-source-" (source) } { "[" (source) "]" } " " (known(words, *how)) }
                        } } }
                    }
                }
                ol class="small" lang="en" { @for (n, source) in sources.iter().enumerate() { li id={ "load-source-" (n + 1) } { (source) } } }
            }
            @if !none.is_empty() { p { b { (say(words, "no-load")) } " " (words.all_of(&none)) "." } }
            @if !unknown.is_empty() {
                h3 { (say(words, "not-known")) }
                ul { @for (why, names) in unknown.values() { li { (words.all_of(names)) ": " (words.load_not_known(*why)) "." } } }
            }
            p class="small quiet" { (words.closing()) }
        }
    }
}

/// Points of the trunk and head that are on one side of it, though their name does not tell which.
const LATERAL: [&str; 3] = ["seat", "rib_side", "head_side"];

/// A point of the body in a clinician's words, with its side.
fn point(words: &Words, id: &str, side: Side) -> String {
    let name = tell(words, &format!("point-{}", id.replace('_', "-")), &[("side", side.into())]);
    let name = match LATERAL.contains(&id) {
        true => words.text("c-with-side", &[("what", name.into()), ("side", side.into())]),
        false => name,
    };
    capital(&name)
}

fn contacts(words: &Words, repetition: &Repetition) -> Markup {
    // Contacts of one name on one thing are one row: what they carry is added at each moment.
    let mut rows: Vec<(String, String, String, Vec<f64>)> = Vec::new();
    for it in &repetition.contacts {
        let point = point(words, it.landmark.id(), it.side);
        let on =
            it.on.map_or_else(|| say(words, "on-body-part"), |it| say(words, &format!("on-{}", it.id())));
        let hold = say(words, &format!("hold-{}", format!("{:?}", it.hold).to_lowercase()));
        let force: Vec<f64> = it.force.iter().map(|it| it.norm()).collect();
        match rows.iter_mut().find(|row| (&row.0, &row.1, &row.2) == (&point, &on, &hold)) {
            Some(row) => row.3.iter_mut().zip(&force).for_each(|(sum, more)| *sum += more),
            None => rows.push((point, on, hold, force)),
        }
    }
    let carries = |force: &[f64]| {
        let most = force.iter().copied().fold(0.0, f64::max);
        if most < 0.005 {
            say(words, "carries-none")
        } else {
            tell(words, "carries", &[("n", words.number(most * 100.0, 0).into())])
        }
    };
    html! {
        section class="card" aria-labelledby="contacts-title" {
            h2 id="contacts-title" { (say(words, "contacts")) }
            div class="scroll" tabindex="0" role="group" aria-labelledby="contacts-title" {
                table class="stacked" {
                    caption { (say(words, "contacts-caption")) }
                    thead { tr {
                        th scope="col" { (say(words, "point")) } th scope="col" { (say(words, "on")) }
                        th scope="col" { (say(words, "held")) } th scope="col" { (say(words, "most")) }
                    } }
                    tbody { @for (point, on, hold, force) in &rows { tr {
                        th scope="row" { (point) } td data-name=(say(words, "on")) { (on) } td data-name=(say(words, "held")) { (hold) }
                        td data-name=(say(words, "most")) { (carries(force)) }
                    } } }
                }
            }
        }
    }
}

fn faults(words: &Words, motion: &Motion, solved: &Solved, choice: &Choice) -> Markup {
    if solved.faults.is_empty() {
        return html! {};
    }
    let text = words.exercise(&motion.id, choice.side);
    let not = words.text("handout-not-like-this", &[]);
    let drawing: Drawing<'_> = drawing(motion, solved, choice);
    let said =
        |id: &str| text.as_ref().and_then(|it| it.faults.get(id)).cloned().unwrap_or_else(|| id.to_string());
    html! {
        section class="card" aria-labelledby="faults-title" {
            h2 id="faults-title" { (say(words, "faults")) }
            div class="stills" {
                @for (id, repetition) in &solved.faults {
                    figure {
                        @match repetition {
                            Ok(it) => {
                                @let captions = Captions { title: not.clone(), alt: said(id), not: not.clone() };
                                (layout::svg(&drawing.not_like_this(&format!("fault-{id}"), it, &captions)))
                            },
                            Err(error) => p class="small" lang="en" { (error.to_string()) },
                        }
                        figcaption { b { (not) ": " } (said(id)) " " code { (id) } }
                    }
                }
            }
        }
    }
}

fn parameters(words: &Words, motion: &Motion) -> Markup {
    if motion.parameters.is_empty() {
        return html! {};
    }
    let unit = |unit: &str| if unit == "deg" { words.text("c-unit-deg", &[]) } else { unit.to_string() };
    html! {
        section class="card" aria-labelledby="parameters-title" {
            h2 id="parameters-title" { (say(words, "parameters")) }
            div class="scroll" tabindex="0" role="group" aria-labelledby="parameters-title" {
                table class="stacked" {
                    caption { (say(words, "parameters-caption")) }
                    thead { tr {
                        th scope="col" { (say(words, "name")) } th scope="col" { (say(words, "unit")) } th scope="col" class="number" { (say(words, "least")) }
                        th scope="col" class="number" { (say(words, "usual")) } th scope="col" class="number" { (say(words, "greatest")) } th scope="col" class="number" { (say(words, "tolerance")) }
                    } }
                    tbody { @for it in &motion.parameters { tr {
                        th scope="row" { code { (it.name) } } td data-name=(say(words, "unit")) { (unit(&it.unit)) }
                        td class="number" data-name=(say(words, "least")) { (words.number(it.low, 3)) }
                        td class="number" data-name=(say(words, "usual")) { (words.number(it.usual, 3)) }
                        td class="number" data-name=(say(words, "greatest")) { (words.number(it.high, 3)) }
                        td class="number" data-name=(say(words, "tolerance")) { "±" (words.number(it.tolerance, 3)) }
                    } } }
                }
            }
        }
    }
}

fn uses(shelf: &Shelf, words: &Words, motion: &Motion) -> Markup {
    let mut by_name = Vec::new();
    let mut by_goal = Vec::new();
    for protocol in shelf.library.protocols.values() {
        for phase in &protocol.phases {
            let row = (protocol, phase.title.clone());
            if phase.exercises.contains(&motion.id) {
                by_name.push(row);
            } else if phase.goals.iter().any(|it| motion.trains.iter().any(|own| own == it.id())) {
                by_goal.push(row);
            }
        }
    }
    let list = |rows: &[(&handrail_protocol::Protocol, String)]| {
        html! {
            ul { @for (protocol, phase) in rows { li {
                a href=(path(Kind::Protocol, &protocol.id)) { (words.operation_name(&protocol.id)) } ": " (layout::said(words, phase))
            } } }
        }
    };
    html! {
        section class="card" aria-labelledby="uses-title" {
            h2 id="uses-title" { (say(words, "uses")) }
            @if by_name.is_empty() && by_goal.is_empty() { p { (say(words, "no-uses")) } }
            @if !by_name.is_empty() { h3 { (say(words, "uses-name")) } (list(&by_name)) }
            @if !by_goal.is_empty() { h3 { (say(words, "uses-goal")) } (list(&by_goal)) }
        }
    }
}

fn easier_and_harder(words: &Words, motion: &Motion, ladders: &Ladders, side: Side) -> Markup {
    let mut rows = Vec::new();
    for (tissue, ladder) in ladders {
        if !ladder.rungs.iter().any(|it| it.exercise == motion.id) {
            continue;
        }
        let (easier, harder) = ladder.neighbours(&motion.id);
        let cell = |it: Option<&handrail_program::Rung>| {
            it.map(|it| {
                (
                    it.exercise.clone(),
                    words.exercise_title(&it.exercise, side),
                    words.load_bounds(it.load.peak, tissue.unit()),
                )
            })
        };
        rows.push((words.tissue_name(*tissue), cell(easier), cell(harder)));
    }
    let cell = |key: &str, it: &Option<(String, String, String)>| {
        html! { td data-name=(say(words, key)) {
            @match it {
                Some((id, title, load)) => { a href=(path(Kind::Exercise, id)) { (title) } div class="small quiet" { (load) } },
                None => "–",
            }
        } }
    };
    html! {
        @if !rows.is_empty() {
            section class="card" aria-labelledby="next-title" {
                h2 id="next-title" { (say(words, "next")) }
                div class="scroll" tabindex="0" role="group" aria-labelledby="next-title" {
                    table class="stacked" {
                        caption { (say(words, "next-caption")) }
                        thead { tr { th scope="col" { (say(words, "tissue")) } th scope="col" { (say(words, "easier")) } th scope="col" { (say(words, "harder")) } } }
                        tbody { @for (tissue, easier, harder) in &rows { tr { th scope="row" { (tissue) } (cell("easier", easier)) (cell("harder", harder)) } } }
                    }
                }
            }
        }
    }
}

fn sources(words: &Words, motion: &Motion) -> Markup {
    html! {
        section class="card" aria-labelledby="sources-title" {
            h2 id="sources-title" { (say(words, "sources")) }
            ul {
                @for source in &motion.sources {
                    li {
                        span lang="en" { (source) } " "
                        @if source.contains("no source") { (known(words, Known::Practice)) } @else { span class="small quiet" { (say(words, "known-not-stated")) } }
                    }
                }
                @for row in &motion.measured {
                    li {
                        (words.tissue_name(row.tissue)) ": " span lang="en" { (row.source) } " " (known(words, row.known))
                        @if let Some(why) = &row.why { div class="small quiet" lang="en" { (why) } }
                    }
                }
            }
        }
    }
}

fn as_written(words: &Words, shelf: &Shelf, id: &str) -> Markup {
    html! {
        details class="card" {
            summary { (say(words, "as-written")) }
            @if let Some(it) = shelf.layers.exercises.get(id) { pre lang="en" tabindex="0" { (it.source.text) } }
        }
    }
}
