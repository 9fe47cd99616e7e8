//! The form.

use crate::assets::asset;
use crate::chart::reasons::Teller;
use crate::chart::until_words;
use crate::fields::Fields;
use crate::gate::Desk;
use crate::layout::{Place, csrf, kept, page_with, put_back};
use crate::rights::Right;
use handrail_anatomy::Side;
use handrail_library::Library;
use handrail_protocol::{Envelope, InForce, Orders, Protocol, envelope};
use handrail_words::Lang;
use jiff::civil::Date;
use maud::{Markup, html};

use crate::intake::facts::Mistakes;

/// Equipment that exercises use, as the content names it.
const EQUIPMENT: [&str; 12] =
    ["bed", "chair", "table", "wall", "towel", "pillow", "band", "weight", "stick", "step", "ball", "pulley"];
/// What most homes have: ticked at first, to be unticked.
const USUAL: [&str; 6] = ["bed", "chair", "table", "wall", "towel", "pillow"];

/// What was typed, and what is wrong with it.
#[derive(Debug, Default)]
pub struct Typed {
    /// Fields.
    pub fields: Fields,
    /// Mistakes.
    pub mistakes: Mistakes,
    /// Whether there is an open episode of somebody with this name and birth date.
    pub twin: bool,
}

impl Typed {
    fn value(&self, name: &str) -> &str {
        self.fields.opt(name).unwrap_or_default()
    }

    fn is_new(&self) -> bool {
        self.fields.0.is_empty()
    }

    fn mistake(&self, name: &str) -> Option<&str> {
        self.mistakes.iter().find(|it| it.0 == name).map(|it| it.1.as_str())
    }
}

/// The whole page.
pub fn page(desk: &Desk, typed: &Typed, people: &[String]) -> Markup {
    let title = desk.say("c-new-title");
    let body = html! {
        link rel="stylesheet" href=(asset("new.css"));
        h1 { (title) }
        @if !typed.mistakes.is_empty() { (mistakes(desk, typed)) }
        form method="post" action="/new" class="new-form" data-draft="new-episode" id="new" novalidate {
            (csrf(desk))
            (put_back(desk.words()))
            (operation(desk, typed))
            div id="orders" class="new-orders" aria-live="polite" { (orders(desk, typed)) }
            (patient(desk, typed, people))
            (body_and_home(desk, typed))
            div class="row new-end" {
                button class="main" { (desk.say("c-new-go")) }
                span class="quiet" { (desk.say("c-new-then")) }
                (kept(desk.words()))
            }
        }
    };
    page_with(desk, Place::New, &title, &["new.js"], body)
}

fn mistakes(desk: &Desk, typed: &Typed) -> Markup {
    html! {
        div class="alert stop" role="alert" {
            p { strong { (desk.say("c-new-mistakes")) } }
            ul { @for (field, says) in &typed.mistakes {
                li { a href={ "#f-" (field) } { @if let Some(key) = label_of(field) { (desk.say(key)) ": " } (says) } }
            } }
            @if typed.twin {
                label class="tick" { input type="checkbox" name="anyway" value="1" form="new"; (desk.say("c-new-anyway")) }
            }
        }
    }
}

/// Key of a field's label.
fn label_of(field: &str) -> Option<&'static str> {
    LABELS.iter().find(|it| it.0 == field).map(|it| it.1)
}

/// Fields with the keys of their labels.
const LABELS: [(&str, &str); 19] = [
    ("protocol", "c-new-protocol"),
    ("side", "c-new-which-side"),
    ("surgery", "c-new-surgery"),
    ("surgeon", "c-new-surgeon"),
    ("next_visit", "c-new-visit"),
    ("document", "c-new-document"),
    ("document_on", "c-new-document-on"),
    ("patient_name", "c-new-name"),
    ("born", "c-new-born"),
    ("record", "c-new-record"),
    ("therapist", "c-new-who-plans"),
    ("stature_cm", "c-new-stature"),
    ("mass_kg", "c-new-mass"),
    ("sex", "c-new-sex"),
    ("seat_cm", "c-new-seat"),
    ("bed_cm", "c-new-bed"),
    ("table_cm", "c-new-table"),
    ("step_cm", "c-new-step"),
    ("stairs", "c-new-stairs"),
];

/// A field with its label, hint and mistake.
fn field(desk: &Desk, typed: &Typed, name: &str, key: &str, input: &str, extra: &[(&str, &str)]) -> Markup {
    let wrong = typed.mistake(name);
    let id = format!("f-{name}");
    let attribute = |wanted: &str| extra.iter().find(|it| it.0 == wanted).map(|it| it.1);
    let hint = desk.words().try_text(&format!("{key}-hint"), &[]);
    html! {
        div class="field" {
            label for=(id) { (desk.say(key)) @if let Some(hint) = hint { " " span class="hint" { (hint) } } }
            input id=(id) name=(name) type=(input) value=(typed.value(name))
                inputmode=[attribute("inputmode")] autocomplete="off" min=[attribute("min")] max=[attribute("max")]
                required[attribute("required").is_some()] aria-invalid=[wrong.map(|_| "true")]
                aria-describedby=[wrong.map(|_| format!("{id}-wrong"))];
            @if let Some(wrong) = wrong { p class="wrong" id={ (id) "-wrong" } { (wrong) } }
        }
    }
}

/// A choice by buttons; one interaction each.
fn choice(
    desk: &Desk,
    typed: &Typed,
    name: &str,
    key: &str,
    options: &[(String, String)],
    usual: &str,
) -> Markup {
    let wrong = typed.mistake(name);
    let chosen = if typed.is_new() { usual } else { typed.value(name) };
    html! {
        fieldset class="field" id={ "f-" (name) } aria-describedby=[wrong.map(|_| format!("f-{name}-wrong"))] {
            legend { (desk.say(key)) }
            div class="choices" {
                @for (value, says) in options {
                    label class="choice" { input type="radio" name=(name) value=(value) checked[chosen == value]; span { (says) } }
                }
            }
            @if let Some(wrong) = wrong { p class="wrong" id={ "f-" (name) "-wrong" } { (wrong) } }
        }
    }
}

fn operation(desk: &Desk, typed: &Typed) -> Markup {
    let words = desk.words();
    let library = desk.library();
    let protocols: Vec<(String, String)> =
        library.protocols.keys().map(|it| (it.clone(), words.operation_name(it))).collect();
    let sides: Vec<(String, String)> = Side::BOTH
        .iter()
        .map(|&it| (it.word().to_string(), desk.say(&format!("c-new-side-{}", it.word()))))
        .collect();
    let today = desk.app.today().to_string();
    html! {
        section class="card" aria-labelledby="new-operation" {
            h2 id="new-operation" { (desk.say("c-new-operation")) }
            (choice(desk, typed, "protocol", "c-new-protocol", &protocols, ""))
            (choice(desk, typed, "side", "c-new-which-side", &sides, ""))
            div class="fields" {
                (field(desk, typed, "surgery", "c-new-surgery", "date", &[("max", &today), ("required", "")]))
                (field(desk, typed, "surgeon", "c-new-surgeon", "text", &[("required", "")]))
                (field(desk, typed, "next_visit", "c-new-visit", "date", &[("min", &today)]))
            }
        }
    }
}

/// What must be asked, and what the protocol assumes: needs operation, side and date.
pub fn orders(desk: &Desk, typed: &Typed) -> Markup {
    let library = desk.library();
    let Some(protocol) = library.protocols.get(typed.value("protocol")) else {
        return html! { p class="quiet" { (desk.say("c-new-orders-later")) } };
    };
    let words = desk.words();
    html! {
        section class="card" aria-labelledby="new-orders-title" {
            h2 id="new-orders-title" { (desk.say("c-new-orders")) }
            @if protocol.is_draft() { p class="alert care" { (words.draft_notice()) } }
            @for it in protocol.variants.iter().filter(|it| is_open(desk, typed, protocol, &it.name)) {
                @let name = format!("variant.{}", it.name);
                @let options: Vec<(String, String)> = it.choices.iter()
                    .map(|choice| (choice.clone(), variant_choice(desk, choice))).collect();
                fieldset class="field" {
                    legend { (variant_question(desk, &it.name, &it.question)) " " span class="hint" { (desk.say("c-new-open-refused")) } }
                    div class="choices" {
                        @for (value, says) in &options {
                            label class="choice" { input type="radio" name=(name) value=(value) checked[typed.value(&name) == value]; span { (says) } }
                        }
                        label class="choice" { input type="radio" name=(name) value="" checked[typed.value(&name).is_empty()]; span { (desk.say("c-new-not-known")) } }
                    }
                }
            }
            @match day_limits(desk, typed, protocol) {
                Some(limits) => (restrictions(desk, typed, &limits, library)),
                None => p class="quiet" { (desk.say("c-new-orders-date")) },
            }
        }
    }
}

fn slug(text: &str) -> String {
    text.to_lowercase().replace(['_', ' '], "-")
}

fn variant_question(desk: &Desk, name: &str, otherwise: &str) -> String {
    desk.words().try_text(&format!("c-question-{}", slug(name)), &[]).unwrap_or_else(|| otherwise.into())
}

fn variant_choice(desk: &Desk, choice: &str) -> String {
    desk.words().try_text(&format!("c-choice-{}", slug(choice)), &[]).unwrap_or_else(|| choice.into())
}

/// What would be in force today with nothing but the protocol and the answers given so far.
fn day_limits(desk: &Desk, typed: &Typed, protocol: &Protocol) -> Option<Envelope> {
    let surgery: Date = typed.value("surgery").parse().ok()?;
    let side = match typed.value("side") {
        "right" => Side::Right,
        "left" => Side::Left,
        _ => return None,
    };
    let orders = answered(typed, protocol, Orders::new(surgery, side));
    envelope(protocol, &orders, desk.app.today()).ok()
}

/// The orders with the answers given so far.
fn answered(typed: &Typed, protocol: &Protocol, mut orders: Orders) -> Orders {
    for it in &protocol.variants {
        let answer = typed.value(&format!("variant.{}", it.name));
        if it.choices.iter().any(|choice| choice == answer) {
            orders.variants.insert(it.name.clone(), answer.into());
        }
    }
    orders
}

/// Whether a question about the operation is still one: not where the answers to others leave nothing that depends on
/// it, as the kind of a tear when nothing was repaired. A question on which nothing depends at all is asked.
fn is_open(desk: &Desk, typed: &Typed, protocol: &Protocol, variant: &str) -> bool {
    let today = desk.app.today();
    // What depends on an answer does not depend on side and date.
    let depends = |orders: &Orders| {
        envelope(protocol, orders, today).map_or(true, |it| it.blocked.iter().any(|it| it.variant == variant))
    };
    let nothing = Orders::new(today, Side::Left);
    let mut others = answered(typed, protocol, nothing.clone());
    others.variants.remove(variant);
    !depends(&nothing) || depends(&others)
}

fn restrictions(desk: &Desk, typed: &Typed, limits: &Envelope, library: &Library) -> Markup {
    let words = desk.words();
    let teller = Teller::new(words, library, typed.value("protocol"), desk.app.today());
    let ticked = typed.fields.all("confirm");
    let args = [("day", f64::from(limits.day).into()), ("week", f64::from(limits.week).into())];
    let limit =
        |it: &InForce| html! { strong { (words.limit_on(&it.limit)) } ": " (words.limit_value(&it.limit)) };
    html! {
        p { (words.text("c-new-assumed", &args)) @if desk.may(Right::Restrict) { " " (desk.say("c-new-tick")) } }
        div class="scroll" {
            table class="new-limits" {
                caption class="unseen" { (desk.say("c-new-limits")) }
                thead { tr {
                    th scope="col" { (desk.say("c-new-limit")) }
                    th scope="col" { (desk.say("c-new-until")) }
                    th scope="col" { (desk.say("c-new-source")) }
                } }
                tbody { @for it in &limits.in_force {
                    tr {
                        td {
                            @if desk.may(Right::Restrict) {
                                label class="tick" {
                                    input type="checkbox" name="confirm" value=(it.id) checked[ticked.contains(&it.id)];
                                    span { (limit(it)) span class="unseen" { ", " (desk.say("c-new-confirmed")) } }
                                }
                            } @else { (limit(it)) }
                        }
                        td { (until_words(&teller, it)) }
                        td class="small" { (it.source) @if let Some(known) = it.known { " (" (words.known_word(known)) ")" } }
                    }
                } }
            }
        }
        @if desk.may(Right::Restrict) {
            div class="fields" {
                label class="tick" { input type="checkbox" data-all="confirm"; (desk.say("c-new-confirm-all")) }
                (field(desk, typed, "document", "c-new-document", "text", &[]))
                (field(desk, typed, "document_on", "c-new-document-on", "date", &[("max", &desk.app.today().to_string())]))
            }
            p class="hint" { (desk.say("c-new-changed")) }
        }
    }
}

fn patient(desk: &Desk, typed: &Typed, people: &[String]) -> Markup {
    let languages: Vec<(String, String)> =
        Lang::ALL.iter().map(|it| (it.id().to_string(), it.own_name().to_string())).collect();
    let helpers: Vec<(String, String)> = ["somebody", "nobody", "unknown"]
        .iter()
        .map(|it| (it.to_string(), desk.say(&format!("c-new-helper-{it}"))))
        .collect();
    let own = people.iter().find(|it| **it == desk.staff.name).map_or("", String::as_str);
    let chosen = if typed.is_new() { own } else { typed.value("therapist") };
    html! {
        section class="card" aria-labelledby="new-patient" {
            h2 id="new-patient" { (desk.say("c-new-patient")) }
            div class="fields" {
                (field(desk, typed, "patient_name", "c-new-name", "text", &[("required", "")]))
                (field(desk, typed, "born", "c-new-born", "date", &[("max", &desk.app.today().to_string()), ("required", "")]))
                (field(desk, typed, "record", "c-new-record", "text", &[]))
                div class="field" {
                    label for="f-therapist" { (desk.say("c-new-who-plans")) }
                    select id="f-therapist" name="therapist" {
                        @if own.is_empty() { option value="" { (desk.say("c-new-choose")) } }
                        @for it in people { option value=(it) selected[it == chosen] { (it) } }
                    }
                    @if let Some(wrong) = typed.mistake("therapist") { p class="wrong" { (wrong) } }
                }
            }
            (choice(desk, typed, "language", "c-new-language", &languages, desk.lang.id()))
            (choice(desk, typed, "helper", "c-new-helper", &helpers, "unknown"))
        }
    }
}

fn body_and_home(desk: &Desk, typed: &Typed) -> Markup {
    let words = desk.words();
    let sexes: Vec<(String, String)> =
        ["female", "male"].iter().map(|it| (it.to_string(), desk.say(&format!("c-new-{it}")))).collect();
    let has = |name: &str| {
        if typed.is_new() {
            USUAL.contains(&name)
        } else {
            typed.fields.all("equipment").iter().any(|it| it == name)
        }
    };
    let number = [("inputmode", "decimal")];
    html! {
        section class="card" aria-labelledby="new-body" {
            h2 id="new-body" { (desk.say("c-new-body")) }
            p class="hint" { (desk.say("c-new-body-why")) }
            div class="fields" {
                (field(desk, typed, "stature_cm", "c-new-stature", "text", &number))
                (field(desk, typed, "mass_kg", "c-new-mass", "text", &number))
                (choice(desk, typed, "sex", "c-new-sex", &sexes, ""))
            }
            h3 { (desk.say("c-new-home")) }
            div class="fields" {
                (field(desk, typed, "seat_cm", "c-new-seat", "text", &number))
                (field(desk, typed, "bed_cm", "c-new-bed", "text", &number))
                (field(desk, typed, "table_cm", "c-new-table", "text", &number))
                (field(desk, typed, "step_cm", "c-new-step", "text", &number))
                (field(desk, typed, "stairs", "c-new-stairs", "text", &[("inputmode", "numeric")]))
            }
            fieldset class="field" {
                legend { (desk.say("c-new-equipment")) }
                input type="hidden" name="equipment_asked" value="1";
                div class="choices" {
                    @for it in EQUIPMENT {
                        label class="choice" { input type="checkbox" name="equipment" value=(it) checked[has(it)]; span { (words.equipment_name(it)) } }
                    }
                }
            }
        }
    }
}
