//! The log of near misses: what happened and what caught it, without blame.
//!
//! A name is kept only when the writer asks for it. What was written is appended to a stream of its own; who reads the
//! audit reads it. A link to a record is for those who may read records.

use crate::Right;
use crate::fault::{Fault, url_encode};
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::csrf;
use crate::records::author;
use axum::extract::Query;
use axum::response::Response;
use handrail_store::journal::{self, Author, NewRecord, Record};
use handrail_store::{StoreError, caseload};
use jiff::ToSpan as _;
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use crate::settings::lines::Wanted;
use crate::settings::parts::{Told, moment, refused, refused_with, sheet};

/// Stream of the log.
const STREAM: &str = "incidents";
/// Version of the payload's form.
const FORM: u32 = 1;
/// Entries of a page.
const PAGE: u64 = 30;
/// Longest text, letters.
const LONGEST: usize = 4_000;
/// Days that the summary looks back.
const DAYS: i32 = 90;

/// Kinds, as the journal and the form name them.
const KINDS: [&str; 5] = ["wrong_side", "stale_sheet", "wrong_load", "fall", "other"];

/// What was written.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Incident {
    /// What happened.
    what: String,
    /// What caught it before harm, or what kept it small.
    caught: String,
    /// Record that it is about.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    episode: Option<String>,
}

/// What was asked for, as it stands in the address.
#[derive(Debug, Default, Deserialize)]
pub(crate) struct Asked {
    before: Option<String>,
    /// A record that the entry is to point to.
    episode: Option<String>,
}

fn kind_name(desk: &Desk, kind: &str) -> String {
    desk.words()
        .try_text(&format!("c-settings-incident-{}", kind.replace('_', "-")), &[])
        .unwrap_or_else(|| kind.to_string())
}

pub(crate) async fn page(
    desk: Desk,
    Query(asked): Query<Asked>,
    Query(told): Query<Told>,
) -> Result<Markup, Fault> {
    let title = desk.say("c-settings-incidents");
    let log = if desk.may(Right::Audit) { Some(log(&desk, &asked).await?) } else { None };
    let record = match asked.episode.clone().filter(|_| desk.may(Right::Record)) {
        None => None,
        Some(id) => desk.app.store().read(move |tx| caseload::get(tx, &id)).await?,
    };
    let body = html! {
        (told.line(&desk))
        section class="card settings-narrow" aria-labelledby="write-title" {
            h2 id="write-title" { (desk.say("c-settings-incident-write")) }
            p { (desk.say("c-settings-incident-why")) }
            form class="stack" method="post" action="/settings/incidents" {
                (csrf(&desk))
                fieldset {
                    legend { (desk.say("c-settings-incident-kind")) }
                    @for kind in KINDS {
                        label class="tick" { input type="radio" name="kind" value=(kind) required; (kind_name(&desk, kind)) }
                    }
                }
                label { (desk.say("c-settings-incident-what")) " " span class="hint" { (desk.say("c-settings-incident-what-hint")) }
                    textarea name="what" rows="4" maxlength=(LONGEST) required {} }
                label { (desk.say("c-settings-incident-caught")) " " span class="hint" { (desk.say("c-settings-incident-caught-hint")) }
                    textarea name="caught" rows="3" maxlength=(LONGEST) required {} }
                @if desk.may(Right::Record) {
                    label { (desk.say("c-settings-incident-record")) " " span class="hint" { (desk.say("c-settings-incident-record-hint")) }
                        input name="record" autocomplete="off" value=[record.as_ref().map(|it| it.record.as_deref().unwrap_or(&it.name))]; }
                }
                label class="tick" { input type="checkbox" name="named" value="yes"; (desk.say("c-settings-incident-named")) }
                p { button class="main" { (desk.say("c-settings-incident-go")) } }
            }
            p class="quiet small" { (desk.say("c-settings-incident-duty")) }
        }
        @if let Some(log) = log { (log) }
    };
    Ok(sheet(&desk, &title, body))
}

/// What was written, for those who read the audit.
async fn log(desk: &Desk, asked: &Asked) -> Result<Markup, Fault> {
    let before: Option<u64> = asked.before.as_deref().and_then(|it| it.parse().ok());
    let wanted = Wanted { before, ..Wanted::default() };
    let since = desk.app.today().checked_sub(DAYS.days()).unwrap_or(desk.app.today());
    let since = since
        .at(0, 0, 0, 0)
        .to_zoned_datetime(desk.app.config().zone.clone())
        .map_err(|error| Fault::Internal(format!("day: {error}")))?
        .timestamp();
    let (mut list, counts) = desk
        .app
        .store()
        .read(move |tx| Ok((wanted.read(tx, STREAM, PAGE + 1)?, journal::count_kinds(tx, STREAM, since)?)))
        .await?;
    let more = list.len() as u64 > PAGE;
    list.truncate(PAGE as usize);
    let last = list.last().map_or(0, |it| it.number);
    let count = |kind: &str| counts.get(kind).copied().unwrap_or(0);
    let caption = desk.words().text("c-settings-incident-counts", &[("n", f64::from(DAYS).into())]);
    Ok(html! {
        section class="stack" aria-labelledby="log-title" {
            h2 id="log-title" { (desk.say("c-settings-incident-log")) }
            table class="settings-table settings-counts" {
                caption { (caption) }
                thead { tr { th scope="col" { (desk.say("c-settings-incident-kind")) } th scope="col" class="number" { (desk.say("c-settings-incident-count")) } } }
                tbody { @for kind in KINDS { tr { th scope="row" { (kind_name(desk, kind)) } td class="number" { (count(kind)) } } } }
            }
            @if list.is_empty() { p class="card" { (desk.say("c-settings-incident-none")) } }
            ol class="settings-incidents" { @for it in &list { (entry(desk, it)) } }
            @if more || before.is_some() {
                nav class="row" aria-label=(desk.say("c-today-pages")) {
                    @if before.is_some() { a class="button" href="/settings/incidents" { (desk.say("c-settings-newest")) } }
                    @if more { a class="button" rel="next" href={ "/settings/incidents?before=" (last) } { (desk.say("c-settings-older")) } }
                }
            }
        }
    })
}

fn entry(desk: &Desk, line: &Record) -> Markup {
    let incident: Option<Incident> = serde_json::from_str(&line.payload).ok();
    html! {
        li class="card" {
            p class="row" {
                strong { (kind_name(desk, &line.kind)) }
                span class="quiet small" { (moment(desk, line.recorded)) @if !line.by.name.is_empty() { " · " (line.by.name) } }
            }
            @match incident {
                None => p { (line.payload) },
                Some(it) => {
                    p { (it.what) }
                    p { strong { (desk.say("c-settings-incident-caught")) ":" } " " (it.caught) }
                    @if let Some(id) = it.episode.filter(|_| desk.may(Right::Record)) {
                        p { a href={ "/e/" (url_encode(&id)) } { (desk.say("c-settings-incident-open")) } }
                    }
                }
            }
        }
    }
}

/// A text of the form, with its limits.
fn text(desk: &Desk, fields: &Fields, name: &str, key: &str) -> Result<String, Fault> {
    let field = || [("field", desk.say(key).into()), ("n", (LONGEST as f64).into())];
    let text = fields.opt(name).ok_or_else(|| refused_with(desk, "c-settings-incident-blank", &field()))?;
    if text.chars().count() > LONGEST || text.contains('\0') {
        return Err(refused_with(desk, "c-settings-incident-long", &field()));
    }
    Ok(text.to_string())
}

/// The record that was named: exactly one must fit.
async fn record(desk: &Desk, fields: &Fields) -> Result<Option<String>, Fault> {
    let Some(find) = fields.opt("record").map(str::to_string) else { return Ok(None) };
    if !desk.may(Right::Record) {
        return Err(Fault::Forbidden);
    }
    let found = desk.app.store().read(move |tx| caseload::search(tx, &find, 2)).await?;
    match found.as_slice() {
        [one] => Ok(Some(one.episode.clone())),
        [] => Err(refused(desk, "c-settings-incident-no-record")),
        _ => Err(refused(desk, "c-settings-incident-many-records")),
    }
}

pub(crate) async fn write(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    let kind = fields.opt("kind").filter(|it| KINDS.contains(it));
    let kind = kind.ok_or_else(|| refused(&desk, "c-settings-incident-no-kind"))?.to_string();
    let incident = Incident {
        what: text(&desk, &fields, "what", "c-settings-incident-what")?,
        caught: text(&desk, &fields, "caught", "c-settings-incident-caught")?,
        episode: record(&desk, &fields).await?,
    };
    let payload =
        serde_json::to_string(&incident).map_err(|error| Fault::Internal(format!("near miss: {error}")))?;
    let nobody = || Author { id: "unnamed".into(), name: String::new() };
    let by = if fields.ticked("named") { author(&desk) } else { nobody() };
    let new = NewRecord { on: desk.app.today(), by, kind, form: FORM, payload, supersedes: None, key: None };
    let now = desk.app.now();
    desk.app
        .store()
        .write(move |tx| journal::append(tx, STREAM, now, std::slice::from_ref(&new)).map(drop))
        .await
        .map_err(|it: StoreError| Fault::from(it))?;
    Ok(see_other("/settings/incidents?done=incident"))
}
