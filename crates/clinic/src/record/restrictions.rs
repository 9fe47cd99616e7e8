//! The restrictions of one patient: what is in force on whose word, and the acts by named persons that confirm,
//! order, lift or begin a phase. What becomes looser is shown before it is written, and only what was shown is written.

use crate::Right;
use crate::assets::asset;
use crate::chart::reasons::Teller;
use crate::chart::{next_changes, until_words};
use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, page_with, said};
use crate::records::{self, Loaded};
use axum::Json;
use axum::extract::{Path, RawQuery};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use handrail_anatomy::ACTIVITIES;
use handrail_progress::{CriterionState, State, criteria};
use handrail_protocol::{Act, ActKind, Envelope, InForce, Protocol, Status};
use handrail_store::StoreError;
use handrail_words::Words;
use maud::{Markup, html};

use crate::record::asked::Wrong;
use crate::record::compare::{Comparison, compare};
use crate::record::orders::{self, Planned};
use crate::record::parts::{
    Kind, choose, field, hidden, hinted, options, radios, refusal, tick, typed, typed_or,
};
use crate::record::{forms, head, names, texts, write};

/// Forms below the list.
const FORMS: [&str; 5] = ["order", "release", "phase", "answers", "visit"];

/// What a form came back with.
#[derive(Default)]
struct Back {
    form: String,
    fields: Fields,
    wrong: Wrong,
    seen: Option<Comparison>,
}

/// Everything that the page is made of.
struct Shown<'a> {
    desk: &'a Desk,
    loaded: &'a Loaded,
    protocol: &'a Protocol,
    envelope: &'a Envelope,
    states: &'a [CriterionState],
    back: &'a Back,
}

/// The page. A form's values may come with the address: then it is filled in and its effect is shown.
///
/// # Errors
/// No such episode.
pub async fn page(desk: Desk, Path(id): Path<String>, RawQuery(query): RawQuery) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "restrictions").await?;
    let fields = Fields::read(query.unwrap_or_default().as_bytes());
    let mut back = Back::default();
    if let Some(form) = fields.opt("act").filter(|it| *it == "confirm" || FORMS.contains(it)) {
        back.form = form.to_string();
        match look_at(&desk, &loaded, form, &fields) {
            Ok((_, seen)) => back.seen = seen,
            Err(Asks::Wrong(wrong)) => back.wrong = wrong,
            Err(Asks::Fault(fault)) => return Err(fault),
        }
        back.fields = fields;
    } else {
        let library = desk.library();
        let protocol = forms::protocol(library, &loaded)?;
        let envelope = forms::today(&desk, &loaded, protocol)?;
        back.fields = first_fields(&envelope, &fields);
        back.form = back.fields.opt("act").unwrap_or("").to_string();
    }
    shown(&desk, &loaded, &back)
}

/// Fields of a form that was asked for by a link beside a restriction.
fn first_fields(envelope: &Envelope, asked: &Fields) -> Fields {
    let in_force = |id: &str| envelope.in_force.iter().find(|it| it.id == id);
    let mut fields = Fields::default();
    if let Some(limit) = asked.opt("replace").and_then(in_force) {
        fields = orders::fields_of(&limit.limit);
        fields.0.insert("replaces".into(), vec![limit.id.clone()]);
        fields.0.insert("act".into(), vec!["order".into()]);
    } else if let Some(limit) = asked.opt("release").and_then(in_force) {
        fields.0.insert("release".into(), vec![limit.id.clone()]);
        fields.0.insert("act".into(), vec!["release".into()]);
    }
    for name in ["done", "n"] {
        if let Some(value) = asked.opt(name) {
            fields.0.insert(name.into(), vec![value.into()]);
        }
    }
    fields
}

/// Why a form is not written.
enum Asks {
    Wrong(Wrong),
    Fault(Fault),
}

impl From<Fault> for Asks {
    fn from(fault: Fault) -> Asks {
        Asks::Fault(fault)
    }
}

/// Facts of a form.
fn plan(
    desk: &Desk,
    loaded: &Loaded,
    protocol: &Protocol,
    envelope: &Envelope,
    form: &str,
    fields: &Fields,
) -> Result<Planned, Wrong> {
    match form {
        "confirm" => orders::confirm(desk, loaded, envelope, fields),
        "order" => orders::order(desk, loaded, protocol, fields),
        "release" => orders::release(desk, loaded, envelope, fields),
        "phase" => {
            let states = criteria(&loaded.episode, protocol, desk.app.today());
            let open = |phase: usize| {
                let of =
                    |it: &&CriterionState| it.begins_index > envelope.phase.index && it.begins_index <= phase;
                let met = |it: &CriterionState| matches!(it.state, State::Met { .. } | State::NotApplicable);
                states.iter().filter(of).any(|it| !met(it))
            };
            orders::phase(desk, loaded, protocol, open, fields)
        }
        "answers" => orders::answers(desk, loaded, protocol, fields),
        _ => orders::visit(desk, loaded, fields),
    }
}

/// What a form would write, and what that changes; for a visit to the surgeon nothing.
fn look_at(
    desk: &Desk,
    loaded: &Loaded,
    form: &str,
    fields: &Fields,
) -> Result<(Planned, Option<Comparison>), Asks> {
    let library = desk.library();
    let protocol = forms::protocol(library, loaded)?;
    let envelope = forms::today(desk, loaded, protocol)?;
    let planned = plan(desk, loaded, protocol, &envelope, form, fields).map_err(Asks::Wrong)?;
    let after = match write::with(library, loaded, &planned.facts) {
        Ok(after) => after,
        Err(StoreError::Refused { what, mend }) => return Err(Asks::Wrong(vec![(what, mend)])),
        Err(other) => return Err(Asks::Fault(Fault::Store(other))),
    };
    if form == "visit" {
        return Ok((planned, None));
    }
    let seen = compare(protocol, &loaded.episode.orders, &after.orders, planned.day)
        .map_err(|error| Asks::Wrong(vec![(error.to_string(), desk.say("c-record-look-again"))]))?;
    Ok((planned, Some(seen)))
}

/// Takes a form: shows what becomes looser first, then writes.
async fn take(desk: &Desk, id: &str, form: &str, fields: Fields) -> Result<Response, Fault> {
    let loaded = records::load(&desk.app, id).await?;
    let changed = loaded.episode.orders_changed.map_or(0, |it| it.0);
    let again = |back: Back| async move {
        let loaded = records::open(desk, id, "restrictions").await?;
        let status = if back.wrong.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
        Ok::<Response, Fault>((status, shown(desk, &loaded, &back)?).into_response())
    };
    let sent = write::is_written(&loaded, fields.opt("once"));
    if sent {
        return Ok(see_other(&format!("/e/{id}/restrictions?done={form}&n=0")));
    }
    let seen_head: Option<u64> = fields.opt("head").and_then(|it| it.parse().ok());
    let (planned, comparison) = match look_at(desk, &loaded, form, &fields) {
        Ok(it) => it,
        Err(Asks::Wrong(wrong)) => return again(Back { form: form.into(), fields, wrong, seen: None }).await,
        Err(Asks::Fault(fault)) => return Err(fault),
    };
    if let Some(seen) = comparison.filter(Comparison::loosens)
        && fields.opt("seen") != Some(seen.digest().as_str())
    {
        return again(Back { form: form.into(), fields, wrong: Vec::new(), seen: Some(seen) }).await;
    }
    let count = planned.facts.len();
    let facts = write::keyed(fields.opt("once"), planned.facts)?;
    match write::add(desk, id, facts, Some(seen_head.unwrap_or(changed)), None).await {
        Ok(_) => Ok(see_other(&format!("/e/{id}/restrictions?done={form}&n={count}"))),
        Err(fault) => {
            let wrong = write::as_wrong(desk, fault)?;
            again(Back { form: form.into(), fields, wrong, seen: None }).await
        }
    }
}

macro_rules! forms {
    ($($(#[doc = $doc:literal])+ $name:ident;)*) => {
        $(
            $(#[doc = $doc])+
            ///
            /// # Errors
            /// No such episode; the database.
            pub async fn $name(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
                take(&desk, &id, stringify!($name), fields).await
            }
        )*
    };
}

forms! {
    /// Confirms restrictions of the protocol.
    confirm;
    /// Writes an order.
    order;
    /// Lifts a restriction or an order.
    release;
    /// Begins a phase.
    phase;
    /// Answers questions about the operation.
    answers;
    /// Writes the next visit to the surgeon.
    visit;
}

fn may(desk: &Desk, form: &str) -> bool {
    desk.may(if matches!(form, "release" | "phase") { Right::Release } else { Right::Restrict })
}

/// Shows what a form would change, and writes nothing.
///
/// # Errors
/// No such episode; a form that does not exist.
pub async fn look(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let form =
        fields.opt("act").filter(|it| *it == "confirm" || FORMS.contains(it)).ok_or(Fault::NotFound)?;
    let form = form.to_string();
    if !may(&desk, &form) {
        return Err(Fault::Forbidden);
    }
    let loaded = records::open(&desk, &id, "restrictions").await?;
    let mut back = Back { form, ..Back::default() };
    match look_at(&desk, &loaded, &back.form, &fields) {
        Ok((_, seen)) => back.seen = seen,
        Err(Asks::Wrong(wrong)) => back.wrong = wrong,
        Err(Asks::Fault(fault)) => return Err(fault),
    }
    back.fields = fields;
    let status = if back.wrong.is_empty() { StatusCode::OK } else { StatusCode::UNPROCESSABLE_ENTITY };
    Ok((status, shown(&desk, &loaded, &back)?).into_response())
}

/// The same for a script: the table, and the name of what was seen.
///
/// # Errors
/// No such episode; a form that does not exist.
pub async fn preview(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let form =
        fields.opt("act").filter(|it| *it == "confirm" || FORMS.contains(it)).ok_or(Fault::NotFound)?;
    if !may(&desk, form) {
        return Err(Fault::Forbidden);
    }
    // The page that asks was opened a moment ago, and its view is on record.
    let loaded = records::load(&desk.app, &id).await?;
    let answer = match look_at(&desk, &loaded, form, &fields) {
        Ok((_, Some(seen))) => {
            let html = seen.shown(desk.words(), &loaded.episode.operation.protocol).into_string();
            serde_json::json!({ "html": html, "seen": seen.digest(), "looser": seen.loosens() })
        }
        Ok((_, None)) => serde_json::json!({ "html": "", "seen": "", "looser": false }),
        Err(Asks::Wrong(wrong)) => {
            let html =
                html! { ul { @for (what, mend) in &wrong { li { (what) " " (mend) } } } }.into_string();
            serde_json::json!({ "html": html, "seen": "", "looser": false, "wrong": true })
        }
        Err(Asks::Fault(fault)) => return Err(fault),
    };
    Ok(Json(answer).into_response())
}

fn shown(desk: &Desk, loaded: &Loaded, back: &Back) -> Result<Markup, Fault> {
    let library = desk.library();
    let protocol = forms::protocol(library, loaded)?;
    let envelope = forms::today(desk, loaded, protocol)?;
    let states = criteria(&loaded.episode, protocol, desk.app.today());
    let page = Shown { desk, loaded, protocol, envelope: &envelope, states: &states, back };
    Ok(page.page())
}

impl Shown<'_> {
    fn say(&self, key: &str) -> String {
        self.desk.say(key)
    }

    fn words(&self) -> &Words {
        self.desk.words()
    }

    fn page(&self) -> Markup {
        let (words, episode) = (self.words(), &self.loaded.episode);
        let title = self.say("c-record-restrictions-title");
        let forms: Vec<&str> = FORMS.into_iter().filter(|it| may(self.desk, it)).collect();
        let chosen = FORMS.contains(&self.back.form.as_str());
        page_with(
            self.desk,
            Place::None,
            &format!("{title}: {}", episode.patient.name),
            &["record.js"],
            html! {
                link rel="stylesheet" href=(asset("record.css"));
                (head::band(words, episode, &title, self.desk.app.today()))
                (head::uncertain(self.desk, episode, self.protocol, self.envelope))
                (self.done())
                @if !self.back.wrong.is_empty() || self.back.seen.is_some() {
                    p class="alert stop" { (self.say(if self.back.wrong.is_empty() { "c-record-look-looser" } else { "c-record-not-written" })) " "
                        a href={ "#" (self.back.form) } { (self.say("c-record-to-form")) } }
                }
                (head::sheet_notice(words, episode))
                (self.notes())
                (self.in_force())
                @if !forms.is_empty() {
                    nav class="rec-tabs" aria-label=(self.say("c-record-forms")) {
                        ul { @for form in &forms { li { a href={ "#" (form) } { (self.say(&format!("c-record-tab-{form}"))) } } } }
                    }
                    div class={ "rec-acts rec-closed" (if chosen { " has-chosen" } else { "" }) } {
                        @for form in &forms {
                            section class={ "card rec-act" (if self.back.form == **form { " chosen" } else { "" }) } id=(form) tabindex="-1" {
                                h2 { (self.say(&format!("c-record-tab-{form}"))) }
                                (self.form(form))
                            }
                        }
                    }
                }
                (self.coming())
                (head::not_checked(words))
            },
        )
    }

    fn done(&self) -> Markup {
        let Some(done) = self.back.fields.opt("done").filter(|it| *it == "confirm" || FORMS.contains(it))
        else {
            return html! {};
        };
        let n: f64 = self.back.fields.opt("n").and_then(|it| it.parse().ok()).unwrap_or(0.0);
        let mut args = vec![("n", n.into())];
        let says = match self.last_act(done) {
            Some(act) => {
                let what = match &act.kind {
                    ActKind::Release { restriction } => self.teller().limit_text(restriction),
                    ActKind::BeginPhase { phase } => self.words().quoted(&self.teller().phase(phase)),
                };
                args.push(("what", what.into()));
                args.push(("by", act.by.as_str().into()));
                args.push(("date", self.words().date_short(act.on).into()));
                self.words().text(&format!("c-record-done-{done}-of"), &args)
            }
            None => self.words().text(&format!("c-record-done-{done}"), &args),
        };
        html! { div class="alert" role="status" { p { strong { (says) } } } }
    }

    /// The newest act of the kind that a form writes.
    fn last_act(&self, form: &str) -> Option<&Act> {
        let of = |it: &&Act| match it.kind {
            ActKind::Release { .. } => form == "release",
            ActKind::BeginPhase { .. } => form == "phase",
        };
        self.loaded.episode.orders.acts.iter().rev().find(of)
    }

    fn notes(&self) -> Markup {
        html! {
            @if !self.envelope.notes.is_empty() || !self.envelope.blocked.is_empty() {
                section class="alert care" aria-label=(self.say("c-record-to-see")) {
                    @for it in &self.envelope.blocked { p { (self.teller().blocked(it)) } }
                    @for it in &self.envelope.notes { p { (self.teller().note(it)) } }
                }
            }
        }
    }

    /// The list; with boxes to confirm where something is only assumed.
    fn in_force(&self) -> Markup {
        let (words, episode) = (self.words(), &self.loaded.episode);
        let open: Vec<&InForce> = orders::assumed(self.envelope).collect();
        let confirms = !open.is_empty() && self.desk.may(Right::Restrict);
        let blank = Fields::default();
        let fields = if self.back.form == "confirm" { &self.back.fields } else { &blank };
        let (phase, today) = (&self.envelope.phase, self.desk.app.today());
        let list = html! {
            ul class="rec-limits" { @for it in &self.envelope.in_force { (self.limit(it, confirms, fields)) } }
        };
        html! {
            section class="card" id="confirm" tabindex="-1" {
                h2 { (words.text("c-record-in-force", &[("date", words.date_long(today).into())])) }
                p { (words.text("c-record-phase-now", &[("phase", words.phase_name(&episode.operation.protocol, &phase.id).into()), ("date", words.date_short(phase.since).into())])) }
                @if self.envelope.in_force.is_empty() { p { (self.say("c-record-none-in-force")) } }
                @if confirms {
                    @if self.back.form == "confirm" { (refusal(&self.back.wrong)) }
                    form class="stack" method="post" action={ "/e/" (self.loaded.id) "/restrictions/confirm" } {
                        (hidden(self.desk, fields)) (self.head())
                        input type="hidden" name="act" value="confirm";
                        @for it in &open { input type="hidden" name="shown" value=(it.id); }
                        label class="tick rec-all" {
                            input type="checkbox" name="all" value="1" data-all="restriction" checked[fields.ticked("all")];
                            strong { (words.text("c-record-all", &[("n", (open.len() as f64).into())])) }
                        }
                        (list)
                        div class="fields" {
                            (field(&self.say("c-record-confirmed-by"), "by", Kind::Text, typed_or(fields, "by", &episode.operation.surgeon), true))
                            (field(&self.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &today.to_string()), true))
                            (hinted(&self.say("c-record-document"), &self.say("c-record-document-hint"), "document", Kind::Text, typed(fields, "document"), true))
                        }
                        div { button class="main" { (self.say("c-record-confirm-do")) } }
                    }
                } @else { (list) }
            }
        }
    }

    fn limit(&self, it: &InForce, confirms: bool, fields: &Fields) -> Markup {
        let words = self.words();
        let there = format!("/e/{}/restrictions", self.loaded.id);
        let name = format!("{}: {}", words.limit_on(&it.limit), words.limit_value(&it.limit));
        let assumed = it.status == Status::Assumed;
        html! {
            li {
                div class="rec-limit-head" {
                    @if confirms && assumed {
                        label class="tick" { input type="checkbox" name="restriction" value=(it.id) checked[fields.all("restriction").contains(&it.id)]; strong { (name) } }
                    } @else { p class="rec-name" { strong { (name) } } }
                }
                p class="small" {
                    span class={ "tag" (if assumed { " assumed" } else { "" }) } { (self.say(status_key(it.status))) } " "
                    @if it.overdue { span class="tag stop" { (self.say("c-record-overdue")) } " " }
                    (until_words(&self.teller(), it)) "."
                }
                div class="rec-foot" {
                details {
                    summary { (self.say("c-record-source-of")) span class="unseen" { ": " (name) } }
                    p class="small" { (self.teller().limit_line(it)) } p class="small quiet" { code { (it.id) } @if let Some(note) = &it.note { " " (said(words, note)) } }
                }
                @if self.desk.may(Right::Restrict) || self.desk.may(Right::Release) {
                    p class="row small rec-acts-of" {
                        @if self.desk.may(Right::Restrict) { a href={ (there) "?replace=" (it.id) "#order" } { (self.say("c-record-replace")) span class="unseen" { ": " (name) } } }
                        @if self.desk.may(Right::Release) { a href={ (there) "?release=" (it.id) "#release" } { (self.say("c-record-release")) span class="unseen" { ": " (name) } } }
                    }
                }
                }
            }
        }
    }

    /// The number of the last entry about restrictions: what the person has before them.
    fn head(&self) -> Markup {
        html! { input type="hidden" name="head" value=(self.loaded.episode.orders_changed.map_or(0, |it| it.0)); }
    }

    fn form(&self, form: &str) -> Markup {
        let blank = Fields::default();
        let back = self.back.form == form;
        let fields = if back { &self.back.fields } else { &blank };
        let body = match form {
            "order" => self.order(fields),
            "release" => self.release(fields),
            "phase" => self.phase(fields),
            "answers" => self.answers(fields),
            _ => self.visit(fields),
        };
        let seen = self.back.seen.as_ref().filter(|_| back);
        let looks = form != "visit";
        html! {
            @if back { (refusal(&self.back.wrong)) }
            form class="stack" method="post" action={ "/e/" (self.loaded.id) "/restrictions/" (form) } data-look=[looks.then(|| format!("/e/{}/restrictions/preview", self.loaded.id))] {
                (hidden(self.desk, fields)) (self.head())
                input type="hidden" name="act" value=(form);
                input type="hidden" name="seen" value=(seen.map_or_else(String::new, Comparison::digest));
                (body)
                @if looks {
                    div class="rec-look" data-looked aria-live="polite" tabindex="-1" data-wrong[seen.is_some()] {
                        @if let Some(seen) = seen {
                            @if seen.loosens() { p class="alert stop" { (self.say("c-record-look-looser")) } }
                            (seen.shown(self.words(), &self.loaded.episode.operation.protocol))
                        }
                    }
                }
                div class="row" {
                    button class="main" { (self.say(if seen.is_some() { "c-record-write-seen" } else { "c-record-write" })) }
                    @if looks { button formaction={ "/e/" (self.loaded.id) "/restrictions/look" } formnovalidate { (self.say("c-record-look")) } }
                }
            }
        }
    }

    /// Who, when, in which document; for what loosens nobody is filled in.
    fn who(&self, fields: &Fields, by: &str, document: bool, reason: bool) -> Markup {
        let today = self.desk.app.today().to_string();
        html! {
            div class="fields" {
                label { (self.say("c-record-by-whom"))
                    input name="by" list="rec-people" autocomplete="off" value=(typed_or(fields, "by", by)) required; }
                (field(&self.say("c-record-on"), "on", Kind::Date, typed_or(fields, "on", &today), true))
                (hinted(&self.say("c-record-document"), &self.say("c-record-document-hint"), "document", Kind::Text, typed(fields, "document"), document))
                @if reason { (hinted(&self.say("c-record-reason"), &self.say("c-record-reason-hint"), "reason", Kind::Text, typed(fields, "reason"), false)) }
            }
            datalist id="rec-people" { option value=(self.loaded.episode.operation.surgeon) {} option value=(self.desk.staff.name) {} }
        }
    }

    fn in_force_list(&self) -> Vec<(String, String)> {
        let words = self.words();
        let name = |it: &InForce| format!("{}: {}", words.limit_on(&it.limit), words.limit_value(&it.limit));
        self.envelope.in_force.iter().map(|it| (it.id.clone(), name(it))).collect()
    }

    fn order(&self, fields: &Fields) -> Markup {
        let (words, episode) = (self.words(), &self.loaded.episode);
        let kinds = options(
            self.desk,
            "c-record-kind",
            &["weight", "motion", "device", "position", "activity", "text"],
        );
        let kind = typed_or(fields, "kind", "weight");
        let yes_no =
            [("yes".to_string(), self.say("c-choice-yes")), ("no".to_string(), self.say("c-choice-no"))];
        let positions: Vec<(String, String)> =
            orders::POSITIONS.iter().map(|&it| (orders::position_id(it), words.position_name(it))).collect();
        let activities: Vec<(String, String)> =
            ACTIVITIES.iter().map(|it| ((*it).to_string(), names::term(words, "c-activity", it))).collect();
        let devices: Vec<(String, String)> =
            orders::DEVICES.iter().map(|&it| (it.id().to_string(), words.device_name(it))).collect();
        let blank = self.say("c-record-choose-one");
        html! {
            (choose(&self.say("c-record-replaces"), "replaces", typed(fields, "replaces"), Some(&self.say("c-record-replaces-nothing")), &self.in_force_list()))
            (radios(&self.say("c-record-order-kind"), "kind", kind, &kinds))
            fieldset class="rec-part weight" { legend { (self.say("c-record-kind-weight")) } div class="fields" {
                (choose(&self.say("c-record-limb"), "limb", typed_or(fields, "limb", self.limb()), None, &options(self.desk, "c-record-limb", &["leg", "arm"])))
                (choose(&self.say("c-record-order-amount"), "amount", typed(fields, "amount"), Some(&blank), &options(self.desk, "c-record-amount", &["none", "kg", "percent", "as_tolerated", "full"])))
                (hinted(&self.say("c-record-order-number"), &self.say("c-record-order-number-hint"), "number", Kind::Number, typed(fields, "number"), false))
            } }
            fieldset class="rec-part motion" { legend { (self.say("c-record-kind-motion")) } div class="fields" {
                (self.motions("c-record-order-motion", "motion", fields))
                (hinted(&self.say("c-record-order-deg"), &self.say("c-record-order-deg-hint"), "deg", Kind::Number, typed(fields, "deg"), false))
                (choose(&self.say("c-record-order-loading"), "loading", typed_or(fields, "loading", "any"), None, &options(self.desk, "c-record-loading", &["any", "loaded", "unloaded"])))
                }
                p class="label" { (self.say("c-record-order-drives")) }
                div class="row" { @for it in orders::DRIVES { (tick(&words.drive_name(it), "drives", it.id(), fields.all("drives").iter().any(|id| id == it.id()))) } }
            }
            fieldset class="rec-part device" { legend { (self.say("c-record-kind-device")) } div class="fields" {
                (choose(&self.say("c-record-order-device"), "device", typed(fields, "device"), Some(&blank), &devices))
                (hinted(&self.say("c-record-order-setting"), &self.say("c-record-order-setting-hint"), "setting", Kind::Text, typed(fields, "setting"), false))
                (choose(&self.say("c-record-order-off"), "off", typed(fields, "off"), Some(&blank), &yes_no))
                (choose(&self.say("c-record-order-asleep"), "asleep", typed(fields, "asleep"), Some(&blank), &yes_no))
                (self.motions("c-record-order-hold-motion", "hold_motion", fields))
                (field(&self.say("c-record-order-hold"), "hold_deg", Kind::Number, typed(fields, "hold_deg"), false))
            } }
            fieldset class="rec-part position" { legend { (self.say("c-record-kind-position")) }
                (choose(&self.say("c-record-order-position"), "position", typed(fields, "position"), Some(&blank), &positions)) }
            fieldset class="rec-part activity" { legend { (self.say("c-record-kind-activity")) }
                (choose(&self.say("c-record-order-activity"), "activity", typed(fields, "activity"), Some(&blank), &activities)) }
            fieldset class="rec-part text" { legend { (self.say("c-record-kind-text")) }
                label { (self.say("c-record-order-text")) span class="hint" { " " (self.say("c-record-order-text-hint")) }
                    textarea class="rec-code" name="text" rows="6" spellcheck="false" { (typed(fields, "text")) } } }
            (self.who(fields, &episode.operation.surgeon, true, false))
            div class="fields" {
                (field(&self.say("c-record-from-day"), "from", Kind::Date, typed_or(fields, "from", &self.desk.app.today().to_string()), true))
                (hinted(&self.say("c-record-until-day"), &self.say("c-record-until-hint"), "until", Kind::Date, typed(fields, "until"), false))
                (field(&self.say("c-record-note"), "note", Kind::Text, typed(fields, "note"), false))
            }
        }
    }

    fn teller(&self) -> Teller<'_> {
        let orders = &self.loaded.episode.orders.orders;
        Teller { words: self.words(), protocol: Some(self.protocol), orders, today: self.desk.app.today() }
    }

    /// The limb that the protocol is about.
    fn limb(&self) -> &'static str {
        let arm = |it: &InForce| matches!(it.limit, handrail_protocol::Limit::ArmWeightBearing(_));
        if self.envelope.in_force.iter().any(arm) { "arm" } else { "leg" }
    }

    fn motions(&self, label: &str, name: &str, fields: &Fields) -> Markup {
        let chosen = typed(fields, name);
        html! {
            label { (self.say(label))
                select name=(name) {
                    option value="" { (self.say("c-record-choose-one")) }
                    @for (joint, motions) in orders::motions(self.words(), self.envelope) {
                        optgroup label=(joint) { @for (value, says) in &motions { option value=(value) selected[value == chosen] { (says) } } }
                    }
                }
            }
        }
    }

    fn release(&self, fields: &Fields) -> Markup {
        html! {
            p class="quiet" { (self.say("c-record-release-hint")) }
            (choose(&self.say("c-record-restriction"), "release", typed(fields, "release"), Some(&self.say("c-record-choose-one")), &self.in_force_list()))
            (self.who(fields, "", false, true))
        }
    }

    fn phase(&self, fields: &Fields) -> Markup {
        let (words, id) = (self.words(), &self.loaded.episode.operation.protocol);
        let next = self.envelope.phase.index + 1;
        let phases: Vec<(String, String)> =
            self.protocol.phases.iter().map(|it| (it.id.clone(), words.phase_name(id, &it.id))).collect();
        let first = self.protocol.phases.get(next).map_or("", |it| it.id.as_str());
        html! {
            p class="quiet" { (self.say("c-record-phase-hint")) }
            (choose(&self.say("c-record-phase"), "phase", typed_or(fields, "phase", first), None, &phases))
            @if !first.is_empty() {
                h3 { (words.text("c-record-criteria-of", &[("phase", words.phase_name(id, first).into())])) }
                (texts::criteria(words, self.protocol, self.states, next, None))
            }
            (self.who(fields, "", false, true))
        }
    }

    fn answers(&self, fields: &Fields) -> Markup {
        let words = self.words();
        html! {
            @if self.protocol.variants.is_empty() { p { (self.say("c-record-no-variants")) } }
            @for it in &self.protocol.variants {
                @let name = format!("variant-{}", it.name);
                @let choices: Vec<(String, String)> = it.choices.iter().map(|id| (id.clone(), names::choice(words, id))).collect();
                @let old = self.loaded.episode.orders.answer(&it.name).unwrap_or("");
                (choose(&names::question(words, &it.name, &it.question), &name, typed_or(fields, &name, old), Some(&self.say("c-record-not-known")), &choices))
            }
            (self.who(fields, "", true, false))
        }
    }

    fn visit(&self, fields: &Fields) -> Markup {
        let next = self.loaded.episode.operation.next_visit.map_or_else(String::new, |it| it.to_string());
        html! {
            p class="quiet" { (self.say("c-record-next-visit-hint")) }
            (field(&self.say("c-record-next-visit"), "next_visit", Kind::Date, typed_or(fields, "next_visit", &next), false))
        }
    }

    fn coming(&self) -> Markup {
        let words = self.words();
        html! {
            section class="card" {
                h2 { (self.say("c-record-coming")) }
                @if self.envelope.next.is_empty() { p { (self.say("c-record-nothing-coming")) } }
                (next_changes(&self.teller(), &self.envelope.next))
                @if !self.envelope.lifted.is_empty() {
                    h3 { (self.say("c-record-was-lifted")) }
                    ul {
                        @for it in &self.envelope.lifted {
                            li { strong { (self.teller().limit_text(&it.id)) } " " (words.date_short(it.on)) ", " (it.by)
                                @if let Some(document) = &it.document { ", " (document) } @if let Some(reason) = &it.reason { ": " (reason) } }
                        }
                    }
                }
            }
        }
    }
}

fn status_key(status: Status) -> &'static str {
    match status {
        Status::Ordered => "c-record-status-ordered",
        Status::Confirmed => "c-record-status-confirmed",
        Status::Assumed => "c-record-status-assumed",
    }
}
