//! The audit: what the clinic's own journal says, and for one patient who looked and who changed.
//!
//! Looking at a patient's audit is a view like any other. What an entry of a record says is not shown here: whoever
//! may read records reads it in the record's own journal.

use crate::fault::{Fault, url_encode};
use crate::gate::{Desk, see_other};
use crate::layout::csrf;
use crate::people::{CLINIC, audit};
use crate::{Right, records};
use axum::extract::{Path, Query};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use handrail_episode::journal::KINDS;
use handrail_store::accounts::{self, Account};
use handrail_store::journal::{self, Record, Verified};
use handrail_store::{StoreError, caseload, settings};
use jiff::civil::Date;
use jiff::{Timestamp, ToSpan as _};
use maud::{Markup, html};
use serde::{Deserialize, Serialize};

use crate::settings::csv;
use crate::settings::job::{self, Turn};
use crate::settings::lines::{Wanted, what};
use crate::settings::parts::{Told, moment, refused, refused_with, sheet, signature, under};
use crate::settings::sentence::Names;

/// Lines of a page.
const PAGE: u64 = 50;
/// Lines read at a time for an export.
const BATCH: u64 = 5_000;
/// Most lines of an export.
const MOST: usize = 200_000;
/// Patients shown for a search.
const FOUND: u64 = 20;
/// Setting with the outcome of the last walk through the journal.
const VERIFIED: &str = "journal-verified";

/// Kinds of the clinic's own journal.
const CLINIC_KINDS: [&str; 12] = [
    "login",
    "login_failed",
    "logout",
    "account",
    "setting",
    "link",
    "view",
    "signature",
    "content",
    "backup",
    "restore",
    "verify",
];

/// What was asked for, as it stands in the address.
#[derive(Clone, Debug, Default, Deserialize)]
pub(crate) struct Asked {
    person: Option<String>,
    kind: Option<String>,
    from: Option<String>,
    until: Option<String>,
    before: Option<String>,
    /// Name of a patient to look for.
    patient: Option<String>,
}

fn filled(text: &Option<String>) -> Option<&str> {
    text.as_deref().map(str::trim).filter(|it| !it.is_empty())
}

impl Asked {
    fn day(&self, desk: &Desk, text: &Option<String>) -> Result<Option<Date>, Fault> {
        let Some(text) = filled(text) else { return Ok(None) };
        let wrong = |_| refused_with(desk, "c-settings-no-day", &[("text", text.into())]);
        text.parse().map(Some).map_err(wrong)
    }

    /// The days as moments of the clinic's zone; the last day counts whole.
    fn wanted(&self, desk: &Desk) -> Result<Wanted, Fault> {
        let zone = desk.app.config().zone.clone();
        let start =
            |day: Date| day.at(0, 0, 0, 0).to_zoned_datetime(zone.clone()).map(|it| it.timestamp()).ok();
        let until = self.day(desk, &self.until)?.and_then(|it| it.checked_add(1.day()).ok());
        Ok(Wanted {
            person: filled(&self.person).map(str::to_string),
            kind: filled(&self.kind).map(str::to_string),
            from: self.day(desk, &self.from)?.and_then(start),
            until: until.and_then(start),
            before: self.before(),
        })
    }

    /// The page: entries before this one. What is no number asks for the newest.
    fn before(&self) -> Option<u64> {
        filled(&self.before)?.parse().ok()
    }

    /// The filter as a query, without the page.
    fn query(&self) -> String {
        let parts =
            [("person", &self.person), ("kind", &self.kind), ("from", &self.from), ("until", &self.until)];
        let set: Vec<String> = parts
            .into_iter()
            .filter_map(|(name, text)| Some(format!("{name}={}", url_encode(filled(text)?))))
            .collect();
        set.join("&")
    }
}

/// Which journal is shown.
enum Shown<'a> {
    Clinic,
    Patient { id: &'a str, name: &'a str },
}

impl Shown<'_> {
    fn stream(&self) -> String {
        match self {
            Shown::Clinic => CLINIC.to_string(),
            Shown::Patient { id, .. } => (*id).to_string(),
        }
    }

    fn path(&self) -> String {
        match self {
            Shown::Clinic => "/settings/audit".to_string(),
            Shown::Patient { id, .. } => format!("/settings/audit/patient/{}", url_encode(id)),
        }
    }

    fn export(&self) -> String {
        match self {
            Shown::Clinic => "/settings/audit.csv".to_string(),
            Shown::Patient { .. } => format!("{}/audit.csv", self.path()),
        }
    }

    fn kinds(&self) -> &'static [&'static str] {
        match self {
            Shown::Clinic => &CLINIC_KINDS,
            Shown::Patient { .. } => KINDS,
        }
    }

    fn kind_name(&self, desk: &Desk, kind: &str) -> String {
        let key = match self {
            Shown::Clinic => format!("c-settings-kind-{}", kind.replace('_', "-")),
            Shown::Patient { .. } => format!("c-today-kind-{kind}"),
        };
        desk.words().try_text(&key, &[]).unwrap_or_else(|| kind.to_string())
    }

    /// What a line says, without what an entry of a record says.
    fn says(&self, desk: &Desk, line: &Record, names: &Names) -> Markup {
        let words = desk.words();
        let as_written = || html! { span lang="en" { (what(line)) } };
        let known = match self {
            Shown::Clinic => names.sentence(words, line),
            Shown::Patient { .. } if line.kind == "view" => {
                words.try_text(&format!("c-settings-view-{}", what(line).replace(' ', "-")), &[])
            }
            Shown::Patient { .. } => Some(line.supersedes.map_or_else(String::new, |n| {
                words.text("c-settings-in-place-of", &[("n", (n as f64).into())])
            })),
        };
        known.map_or_else(as_written, |it| html! { (it) })
    }
}

pub(crate) async fn page(
    desk: Desk,
    Query(asked): Query<Asked>,
    Query(told): Query<Told>,
) -> Result<Markup, Fault> {
    let wanted = asked.wanted(&desk)?;
    let find = filled(&asked.patient).map(str::to_string);
    let search = find.clone();
    let (list, names, found, verified) = desk
        .app
        .store()
        .read(move |tx| {
            let found = search.as_deref().map(|it| caseload::search(tx, it, FOUND)).transpose()?;
            let verified: Option<Outcome> = settings::get_json(tx, VERIFIED)?;
            let list = wanted.read(tx, CLINIC, PAGE + 1)?;
            let names = Names::with_patients(accounts::list(tx)?, &list, tx)?;
            Ok((list, names, found, verified))
        })
        .await?;
    let title = desk.say("c-settings-audit");
    let body = html! {
        (told.line(&desk))
        div class="cards" {
            section class="card" aria-labelledby="patient-title" {
                h2 id="patient-title" { (desk.say("c-settings-audit-patient")) }
                form class="stack" method="get" action="/settings/audit" {
                    label { (desk.say("c-settings-audit-find")) input name="patient" value=[find.as_deref()] required; }
                    p { button { (desk.say("c-settings-find")) } }
                }
                @if let Some(found) = &found { (matches(&desk, found)) }
                p class="quiet small" { (desk.say("c-settings-audit-is-view")) }
            }
            (verified_card(&desk, verified.as_ref(), &names))
        }
        section class="stack" {
            h2 { (desk.say("c-settings-audit-clinic")) }
            (listing(&desk, &Shown::Clinic, &asked, list, &names))
        }
    };
    Ok(sheet(&desk, &title, body))
}

/// Patients that a search found.
fn matches(desk: &Desk, found: &[caseload::Summary]) -> Markup {
    html! {
        @if found.is_empty() { p { (desk.say("c-settings-none-found")) } }
        ul class="settings-found" {
            @for it in found {
                li {
                    a href={ "/settings/audit/patient/" (url_encode(&it.episode)) } { (it.name) }
                    @if let Some(born) = it.born.as_deref().and_then(|it| it.parse::<Date>().ok()) {
                        span class="quiet" {
                            " " (desk.words().text("c-today-born", &[("date", desk.words().date_short(born).into())]))
                        }
                    }
                }
            }
        }
    }
}

pub(crate) async fn patient_page(
    desk: Desk,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Markup, Fault> {
    let wanted = asked.wanted(&desk)?;
    let loaded = records::open(&desk, &id, "audit").await?;
    let stream = id.clone();
    let (list, names) = desk
        .app
        .store()
        .read(move |tx| Ok((wanted.read(tx, &stream, PAGE + 1)?, accounts::list(tx)?)))
        .await?;
    let names = Names::of(names);
    let patient = &loaded.episode.patient;
    let born = patient.born.map(|it| desk.words().date_short(it));
    let shown = Shown::Patient { id: &id, name: &patient.name };
    let title = desk.words().text("c-settings-audit-of", &[("name", patient.name.as_str().into())]);
    let body = html! {
        @if let Some(born) = born { p { (desk.words().text("c-today-born", &[("date", born.into())])) } }
        p class="quiet" {
            (desk.say("c-settings-audit-is-view")) " " (desk.say("c-settings-audit-no-content"))
            @if desk.may(Right::Record) { " " a href={ "/e/" (url_encode(&id)) "/journal?views=1" } { (desk.say("c-settings-audit-journal")) } }
        }
        (listing(&desk, &shown, &asked, list, &names))
    };
    Ok(under(&desk, "/settings/audit", &desk.say("c-settings-audit"), &title, body))
}

/// Filter, export, lines, older lines.
fn listing(desk: &Desk, shown: &Shown<'_>, asked: &Asked, mut list: Vec<Record>, names: &Names) -> Markup {
    let more = list.len() as u64 > PAGE;
    list.truncate(PAGE as usize);
    let (path, query) = (shown.path(), asked.query());
    let last = list.last().map_or(0, |it| it.number);
    let caption = match shown {
        Shown::Clinic => desk.say("c-settings-audit-clinic"),
        Shown::Patient { name, .. } => desk.words().text("c-settings-audit-of", &[("name", (*name).into())]),
    };
    let heads = ["number", "when", "who", "kind", "what"].map(|it| desk.say(&format!("c-settings-col-{it}")));
    html! {
        (filter(desk, shown, asked, names))
        div class="row apart" {
            p class="quiet small" { (desk.say("c-settings-newest-first")) }
            a class="button" href={ (shown.export()) "?" (query) } download { (desk.say("c-settings-export")) }
        }
        @if list.is_empty() {
            p class="card" { (desk.say("c-settings-no-lines")) }
        } @else {
            div class="card" {
                table class="settings-table settings-lines" {
                    caption class="unseen" { (caption) }
                    thead { tr {
                        @for (at, head) in heads.iter().enumerate() { th scope="col" class=[(at == 0).then_some("number")] { (head) } }
                    } }
                    tbody {
                        @for it in &list {
                            tr {
                                td class="number" data-name=(heads[0]) { (it.number) }
                                td class="settings-when" data-name=(heads[1]) { (moment(desk, it.recorded)) }
                                td data-name=(heads[2]) { (names.name(desk.words(), it)) }
                                td data-name=(heads[3]) { (shown.kind_name(desk, &it.kind)) }
                                td class="settings-what" data-name=(heads[4]) { (shown.says(desk, it, names)) }
                            }
                        }
                    }
                }
            }
        }
        @if more || asked.before().is_some() {
            nav class="row" aria-label=(desk.say("c-today-pages")) {
                @if asked.before().is_some() { a class="button" href={ (path) "?" (query) } { (desk.say("c-settings-newest")) } }
                @if more { a class="button" rel="next" href={ (path) "?" (query) "&before=" (last) } { (desk.say("c-settings-older")) } }
            }
        }
    }
}

fn filter(desk: &Desk, shown: &Shown<'_>, asked: &Asked, names: &Names) -> Markup {
    let (person, kind) = (filled(&asked.person), filled(&asked.kind));
    let mut people: Vec<&Account> = names.accounts.values().collect();
    people.sort_by(|a, b| a.name.cmp(&b.name));
    html! {
        form class="settings-filter card" method="get" action=(shown.path()) {
            label { (desk.say("c-settings-col-who"))
                select name="person" {
                    option value="" { (desk.say("c-settings-everybody")) }
                    @for it in people { option value=(it.id) selected[person == Some(it.id.as_str())] { (signature(&it.name, &it.title)) } }
                }
            }
            label { (desk.say("c-settings-col-kind"))
                select name="kind" {
                    option value="" { (desk.say("c-settings-every-kind")) }
                    @for it in shown.kinds() { option value=(it) selected[kind == Some(*it)] { (shown.kind_name(desk, it)) } }
                }
            }
            label { (desk.say("c-settings-from")) input type="date" name="from" value=[filled(&asked.from)]; }
            label { (desk.say("c-settings-until")) input type="date" name="until" value=[filled(&asked.until)]; }
            button { (desk.say("c-settings-show")) }
        }
    }
}

pub(crate) async fn export(desk: Desk, Query(asked): Query<Asked>) -> Result<Response, Fault> {
    let text = table_of(&desk, &Shown::Clinic, &asked).await?;
    let (id, now, query) = (desk.staff.account.clone(), desk.app.now(), asked.query());
    desk.app
        .store()
        .write(move |tx| audit(tx, now, &id, "view", &format!("audit exported ({query})")))
        .await?;
    Ok(download(&desk, text))
}

pub(crate) async fn patient_export(
    desk: Desk,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Fault> {
    let loaded = records::open(&desk, &id, "audit export").await?;
    let shown = Shown::Patient { id: &id, name: &loaded.episode.patient.name };
    let text = table_of(&desk, &shown, &asked).await?;
    Ok(download(&desk, text))
}

fn download(desk: &Desk, text: String) -> Response {
    let name = format!("attachment; filename=\"audit-{}.csv\"", desk.app.today());
    (
        [(header::CONTENT_TYPE, "text/csv; charset=utf-8".to_string()), (header::CONTENT_DISPOSITION, name)],
        text,
    )
        .into_response()
}

/// All lines that the filter lets through, as CSV; the columns' names do not change with the language.
async fn table_of(desk: &Desk, shown: &Shown<'_>, asked: &Asked) -> Result<String, Fault> {
    let mut wanted = asked.wanted(desk)?;
    let zone = desk.app.config().zone.clone();
    // The mark tells spreadsheets that the text is UTF-8.
    let mut out = String::from("\u{feff}");
    csv::line(&mut out, &["number", "recorded", "day", "person", "account", "kind", "what"]);
    let mut count = 0;
    loop {
        let (stream, next) = (shown.stream(), wanted.clone());
        let (batch, names) = desk
            .app
            .store()
            .read(move |tx| {
                let batch = next.read(tx, &stream, BATCH)?;
                let names = Names::with_patients(accounts::list(tx)?, &batch, tx)?;
                Ok((batch, names))
            })
            .await?;
        for it in &batch {
            let recorded =
                it.recorded.to_zoned_datetime(zone.clone()).strftime("%Y-%m-%dT%H:%M:%S%:z").to_string();
            let (number, day) = (it.number.to_string(), it.on.to_string());
            let says = match shown {
                Shown::Patient { .. } if it.kind != "view" => {
                    it.supersedes.map_or_else(String::new, |n| format!("in place of {n}"))
                }
                _ => what(it),
            };
            csv::line(
                &mut out,
                &[&number, &recorded, &day, &names.name(desk.words(), it), &it.by.id, &it.kind, &says],
            );
        }
        count += batch.len();
        if count > MOST {
            return Err(refused_with(desk, "c-settings-export-most", &[("n", (MOST as f64).into())]));
        }
        match batch.last() {
            Some(last) if batch.len() as u64 == BATCH => wanted.before = Some(last.number),
            _ => return Ok(out),
        }
    }
}

/// The outcome of a walk through the journal, as it is kept and shown.
#[derive(Clone, Debug, Serialize, Deserialize)]
struct Outcome {
    at: Timestamp,
    by: String,
    streams: u64,
    entries: u64,
    fault_count: u64,
    /// The first faults: stream, entry, what.
    faults: Vec<(String, u64, String)>,
    remarks: u64,
    digest: String,
}

/// Faults that are kept for the page.
const KEPT_FAULTS: usize = 20;

impl Outcome {
    fn of(found: &Verified, at: Timestamp, by: &str) -> Outcome {
        let faults = found.faults.iter().take(KEPT_FAULTS);
        Outcome {
            at,
            by: by.into(),
            streams: found.streams,
            entries: found.entries,
            fault_count: found.fault_count,
            faults: faults.map(|it| (it.stream.clone(), it.number, it.what.clone())).collect(),
            remarks: found.remarks.len() as u64,
            digest: found.digest.clone(),
        }
    }
}

fn verified_card(desk: &Desk, last: Option<&Outcome>, names: &Names) -> Markup {
    let words = desk.words();
    let number = |n: u64| -> handrail_words::Arg { (n as f64).into() };
    html! {
        section class="card" aria-labelledby="verify-title" {
            h2 id="verify-title" { (desk.say("c-settings-verify")) }
            p { (desk.say("c-settings-verify-about")) }
            @if Turn::is_taken(&desk.app, VERIFIED) { p class="alert" { (desk.say("c-settings-done-running")) } }
            @if let Some(it) = last {
                @let by = names.accounts.get(&it.by).map_or_else(|| it.by.clone(), |who| signature(&who.name, &who.title));
                p { (words.text("c-settings-verify-last", &[("at", moment(desk, it.at).into()), ("by", by.into())])) }
                p { (words.text("c-settings-verify-walked", &[("streams", number(it.streams)), ("entries", number(it.entries))])) }
                @if it.fault_count == 0 {
                    p { strong { (desk.say("c-settings-verify-whole")) } }
                } @else {
                    div class="alert stop" {
                        p { strong { (words.text("c-settings-verify-faults", &[("n", number(it.fault_count))])) } }
                        ul { @for (stream, entry, what) in &it.faults { li { (stream) " " (entry) ": " (what) } } }
                        p { (desk.say("c-settings-verify-mend")) }
                    }
                }
                @if it.remarks > 0 { p { (words.text("c-settings-verify-remarks", &[("n", number(it.remarks))])) } }
                p class="small" { (desk.say("c-settings-verify-digest")) " " code class="settings-digest" { (it.digest) } }
            } @else {
                p class="quiet" { (desk.say("c-settings-verify-never")) }
            }
            form method="post" action="/settings/audit/verify" { (csrf(desk)) button { (desk.say("c-settings-verify-go")) } }
        }
    }
}

pub(crate) async fn verify(desk: Desk) -> Result<Response, Fault> {
    let Some(turn) = Turn::take(&desk.app, VERIFIED) else {
        return Err(refused(&desk, "c-settings-running-already"));
    };
    let at = desk.clone();
    let done = job::run(turn, async move {
        let store = at.app.store();
        let found = store.read(journal::verify).await?;
        let (now, id) = (at.app.now(), at.staff.account.clone());
        let outcome = Outcome::of(&found, now, &id);
        let says = format!(
            "{} entries in {} streams, {} faults, digest {}",
            found.entries, found.streams, found.fault_count, found.digest
        );
        store
            .write(move |tx| {
                settings::put_json(tx, VERIFIED, &outcome)?;
                audit(tx, now, &id, "verify", &says)
            })
            .await
            .map_err(|it: StoreError| Fault::from(it))
    })
    .await?;
    let what = if done.is_some() { "verified" } else { "running" };
    Ok(see_other(&format!("/settings/audit?done={what}")))
}
