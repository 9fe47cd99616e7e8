//! The clinic's side: what the patient holds at home, the link to the patient's page, and the file for those who
//! never go online.

use crate::assets::asset;
use crate::chart::head::{day_and_week, side_mark};
use crate::content::affected::changed_after;
use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, csrf, page, svg};
use crate::people::audit;
use crate::records::{self, Loaded, New};
use crate::{App, Right, Route};
use axum::extract::Path;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Response};
use handrail_episode::{Episode, Fact, Issued, Medium};
use handrail_followalong::short_name;
use handrail_store::journal::{self, Filter};
use handrail_store::links::{self, Link};
use handrail_store::tokens::{new_id, new_secret, secret_hash};
use handrail_words::Words;
use jiff::civil::Date;
use jiff::{Span, Timestamp};
use maud::{Markup, html};
use qrcode::{EcLevel, QrCode};

use crate::home::door::TRIES;
use crate::home::frame::call;
use crate::home::sheet::{self, Sheet, lang_of, medium_id};

/// Days after the program's last day for which a link stays open unless another day is chosen.
const LINK_DAYS: i64 = 14;
/// Longest time for which a link can be made.
const MOST_LINK_DAYS: i64 = 180;
/// Letters of a link that still give a code which a phone reads from paper at arm's length.
const MOST_LETTERS: usize = 80;
/// Views looked through for the last use of a link.
const VIEWS_READ: u64 = 500;

/// Routes.
pub(crate) fn routes() -> Vec<Route> {
    vec![
        Route::get("/e/{episode}/home", Right::Intake, overview),
        Route::post("/e/{episode}/home/link", Right::Intake, make_link),
        Route::post("/e/{episode}/home/revoke", Right::Intake, revoke),
        Route::post("/e/{episode}/home/file", Right::Report, file),
        Route::get("/e/{episode}/home/paper", Right::Intake, paper),
    ]
}

/// A link with what the clinic wants to know of it.
struct LinkLine {
    link: Link,
    last_use: Option<Timestamp>,
}

async fn overview(desk: Desk, Path(id): Path<String>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "home").await?;
    screen(&desk, &loaded, None).await
}

/// The screen; with a new link it shows the link's secret this once.
async fn screen(
    desk: &Desk,
    loaded: &std::sync::Arc<Loaded>,
    new: Option<&NewLink>,
) -> Result<Markup, Fault> {
    let episode = &loaded.episode;
    let sheet = sheet::sheet(&desk.app, &desk.content, loaded, lang_of(&episode.patient.language)).await?;
    let lines = link_lines(&desk.app, &loaded.id).await?;
    let title = desk.say("c-patient-title");
    Ok(page(
        desk,
        Place::None,
        &title,
        html! {
            link rel="stylesheet" href=(asset("patient-clinic.css"));
            (head(desk, loaded))
            h1 class="no-print" { (title) }
            @if let Some(new) = new { (new_link(desk, episode, new)) }
            div class="cards no-print" {
                (held(desk, loaded, &sheet))
                (make_form(desk, loaded, &sheet))
                (without_network(desk, loaded, &sheet))
            }
            (list(desk, &loaded.id, &lines))
        },
    ))
}

/// Whose record it is. Who may not read records sees name and birth date alone.
fn head(desk: &Desk, loaded: &Loaded) -> Markup {
    let (words, episode) = (desk.words(), &loaded.episode);
    let operation = &episode.operation;
    html! {
        section class="card no-print" aria-label=(desk.say("c-patient-who")) {
            p class="row" {
                strong { (episode.patient.name) }
                @if let Some(born) = episode.patient.born {
                    span { (words.text("c-patient-born", &[("date", words.date_short(born).into())])) }
                }
                @if desk.may(Right::Record) {
                    @if let Some(record) = &episode.patient.record {
                        span { (words.text("c-today-record", &[("record", record.as_str().into())])) }
                    }
                    (side_mark(words, operation.side))
                    span { (words.operation_name(&operation.protocol)) }
                    span { (day_and_week(words, operation.surgery, desk.app.today())) }
                    a href={ "/e/" (loaded.id) } { (desk.say("c-patient-record")) }
                }
            }
        }
    }
}

/// Names of the exercises whose texts are not those any more that the patient was given.
fn changed_since_given(desk: &Desk, loaded: &Loaded) -> Vec<String> {
    let Some(given) = loaded.episode.held() else { return Vec::new() };
    let issued = &given.fact.1;
    let program = loaded.episode.programs.iter().find(|it| it.version == issued.version);
    let (Some(program), Some(record)) = (program, loaded.record(given.number)) else { return Vec::new() };
    let changed = changed_after(&desk.content, program, lang_of(&issued.language), record.recorded);
    changed.iter().map(|it| desk.words().exercise_title(&it.exercise, it.side)).collect()
}

/// The version in the patient's hands.
fn held(desk: &Desk, loaded: &Loaded, sheet: &Sheet) -> Markup {
    let (words, episode) = (desk.words(), &loaded.episode);
    let changed = changed_since_given(desk, loaded);
    let newest = episode.program_on(desk.app.today()).map(|it| it.version);
    html! {
        section class="card" {
            h2 { (desk.say("c-patient-held")) }
            @match episode.held() {
                None => p { (desk.say("c-patient-held-none")) },
                Some(it) => {
                    @let (since, issued) = &it.fact;
                    p { strong { (words.text("c-patient-version", &[("version", issued.version.to_string().into())])) } }
                    dl class="facts" {
                        dt { (desk.say("c-patient-since")) } dd { (words.date_long(*since)) }
                        dt { (desk.say("c-patient-medium")) } dd { (desk.say(&format!("c-patient-medium-{}", medium_id(issued.medium)))) }
                        dt { (desk.say("c-patient-until")) } dd { (words.date_long(issued.valid_until)) }
                        dt { (desk.say("c-patient-given-by")) } dd { (issued.by) }
                    }
                    @if issued.valid_until < desk.app.today() { p class="alert care" { (desk.say("c-patient-expired")) } }
                    @if newest.is_some_and(|it| it > issued.version) { p class="alert care" { (desk.say("c-patient-newer")) } }
                    @if !changed.is_empty() { p class="alert care" { (words.text("c-patient-changed", &[("what", changed.join("; ").into())])) } }
                },
            }
            @if sheet.session().is_none() { p class="alert care" { (desk.say("c-patient-no-session")) } }
        }
    }
}

fn default_expiry(desk: &Desk, sheet: &Sheet) -> Date {
    sheet.until.max(desk.app.today()).saturating_add(Span::new().days(LINK_DAYS))
}

fn make_form(desk: &Desk, loaded: &Loaded, sheet: &Sheet) -> Markup {
    let today = desk.app.today();
    let episode = &loaded.episode;
    html! {
        section class="card" {
            h2 { (desk.say("c-patient-make")) }
            p { (desk.say("c-patient-make-lead")) }
            @if episode.patient.born.is_none() {
                p class="alert care" { (desk.say("c-patient-no-birth-date")) }
            } @else if episode.course.closed.is_some() {
                p class="alert care" { (desk.say("c-patient-closed")) }
            } @else {
                form class="stack" method="post" action={ "/e/" (loaded.id) "/home/link" } {
                    (csrf(desk))
                    label { (desk.say("c-patient-expires"))
                        input type="date" name="expires" required value=(default_expiry(desk, sheet))
                            min=(today) max=(today.saturating_add(Span::new().days(MOST_LINK_DAYS)));
                    }
                    button class="main" { (desk.say("c-patient-make-go")) }
                }
            }
        }
    }
}

fn without_network(desk: &Desk, loaded: &Loaded, sheet: &Sheet) -> Markup {
    html! {
        section class="card" {
            h2 { (desk.say("c-patient-file")) }
            p { (desk.say("c-patient-file-lead")) }
            @if desk.may(Right::Report) {
                @if sheet.session().is_some() {
                    form method="post" action={ "/e/" (loaded.id) "/home/file" } {
                        (csrf(desk)) button { (desk.say("c-patient-file-go")) }
                    }
                } @else { p class="quiet" { (desk.say("c-patient-no-session")) } }
                a href={ "/e/" (loaded.id) "/home/paper" } { (desk.say("c-patient-file-paper")) }
                a href={ "/e/" (loaded.id) "/record#code" } { (desk.say("c-patient-code")) }
            } @else { p class="quiet" { (desk.say("c-patient-file-who")) } }
        }
    }
}

fn list(desk: &Desk, id: &str, lines: &[LinkLine]) -> Markup {
    let now = desk.app.now();
    html! {
        section class="card no-print" {
            h2 { (desk.say("c-patient-links")) }
            @if lines.is_empty() { p { (desk.say("c-patient-links-none")) } }
            @else {
                div class="scroll" tabindex="0" role="region" aria-label=(desk.say("c-patient-links")) {
                    table {
                        caption class="unseen" { (desk.say("c-patient-links")) }
                        thead { tr {
                            @for key in ["made", "expires", "state", "last-use", "tries", "act"] {
                                th scope="col" { (desk.say(&format!("c-patient-links-{key}"))) }
                            }
                        } }
                        tbody { @for line in lines { (row(desk, id, line, now)) } }
                    }
                }
            }
        }
    }
}

fn row(desk: &Desk, id: &str, line: &LinkLine, now: Timestamp) -> Markup {
    let link = &line.link;
    let moment =
        |it: Timestamp| desk.words().date_short(it.to_zoned_datetime(desk.app.config().zone.clone()).date());
    let made = moment(link.created);
    let state = match link.revoked {
        Some(_) if link.tries >= TRIES => "locked",
        Some(_) => "revoked",
        None if now >= link.expires => "expired",
        None => "open",
    };
    html! {
        tr {
            th scope="row" { (made) }
            // A link ends at the beginning of a day: the day before is its last.
            td { (moment(link.expires - jiff::SignedDuration::from_secs(1))) }
            td { span class=(if state == "locked" { "tag stop" } else { "tag" }) { (desk.say(&format!("c-patient-link-{state}"))) } }
            td { @match line.last_use { Some(at) => (moment(at)), None => (desk.say("c-patient-links-never")) } }
            td class="number" { (link.tries) }
            td {
                @if state == "open" {
                    form method="post" action={ "/e/" (id) "/home/revoke" } {
                        (csrf(desk))
                        input type="hidden" name="link" value=(link.id);
                        button class="stop" aria-label={ (desk.say("c-patient-revoke")) ": " (made) } { (desk.say("c-patient-revoke")) }
                    }
                }
            }
        }
    }
}

/// Links of an episode, newest first, with the day the patient was last on the page by each.
async fn link_lines(app: &App, id: &str) -> Result<Vec<LinkLine>, Fault> {
    let stream = id.to_string();
    let (all, views) = app
        .store()
        .read(move |tx| {
            let filter = Filter {
                only_kinds: &["view"],
                newest_first: true,
                limit: Some(VIEWS_READ),
                ..Filter::default()
            };
            Ok((links::of_episode(tx, &stream)?, journal::read(tx, &stream, filter)?))
        })
        .await?;
    let last_use = |link: &Link| {
        let author = format!("patient:{}", link.id);
        views.iter().find(|it| it.by.id == author).map(|it| it.recorded)
    };
    Ok(all.into_iter().map(|link| LinkLine { last_use: last_use(&link), link }).collect())
}

// ---------------------------------------------------------------------- a new link

struct NewLink {
    url: String,
    expires: Date,
    code: Option<String>,
}

async fn make_link(
    desk: Desk,
    Path(id): Path<String>,
    headers: HeaderMap,
    fields: Fields,
) -> Result<Response, Fault> {
    let loaded = records::open(&desk, &id, "home").await?;
    let words = desk.words();
    let refuse = |key: &str| {
        let mend = format!("{key}-mend");
        Fault::refused(words.text(key, &[]), words.text(&mend, &[]))
    };
    if loaded.episode.patient.born.is_none() {
        return Err(refuse("c-patient-refused-birth-date"));
    }
    if loaded.episode.course.closed.is_some() {
        return Err(refuse("c-patient-refused-closed"));
    }
    let (today, expires) = (desk.app.today(), fields.date("expires")?);
    if expires < today || expires > today.saturating_add(Span::new().days(MOST_LINK_DAYS)) {
        return Err(refuse("c-patient-refused-expires"));
    }
    let end = expires
        .saturating_add(Span::new().days(1))
        .at(0, 0, 0, 0)
        .to_zoned_datetime(desk.app.config().zone.clone())
        .map_err(|error| Fault::Internal(format!("time: {error}")))?
        .timestamp();
    let secret = new_secret()?;
    let link = Link {
        id: new_id()?,
        token: secret_hash(&secret),
        episode: loaded.id.clone(),
        created_by: desk.staff.account.clone(),
        created: desk.app.now(),
        expires: end,
        revoked: None,
        tries: 0,
        last_try: None,
    };
    let says = format!("{} made for {}, until {expires}", link.id, loaded.id);
    let (now, by) = (desk.app.now(), desk.staff.account.clone());
    desk.app
        .store()
        .write(move |tx| {
            links::create(tx, &link)?;
            audit(tx, now, &by, "link", &says)
        })
        .await?;
    let url = format!("{}/p/{secret}", origin(&desk.app, &headers));
    let new = NewLink { code: code(&url), url, expires };
    Ok(screen(&desk, &loaded, Some(&new)).await?.into_response())
}

/// Address of this server as the browser of the clinic reaches it. The gate has compared it with the page's origin.
fn origin(app: &App, headers: &HeaderMap) -> String {
    let scheme = if app.config().listen.is_secure() { "https" } else { "http" };
    let host = headers.get(header::HOST).and_then(|it| it.to_str().ok()).unwrap_or("localhost");
    format!("{scheme}://{host}")
}

/// The link as a QR code, one unit a module, with the quiet zone that readers need; `None` when it is too long.
fn code(url: &str) -> Option<String> {
    let code =
        (url.len() <= MOST_LETTERS).then(|| QrCode::with_error_correction_level(url, EcLevel::Q).ok())??;
    let (width, quiet) = (code.width(), 4);
    let mut path = String::new();
    for (at, color) in code.to_colors().into_iter().enumerate() {
        if color == qrcode::Color::Dark {
            path.push_str(&format!("M{} {}h1v1h-1z", at % width + quiet, at / width + quiet));
        }
    }
    let all = width + 2 * quiet;
    Some(format!(
        "<svg class=\"code\" xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {all} {all}\" role=\"img\" \
         aria-labelledby=\"code-title\" shape-rendering=\"crispEdges\"><rect width=\"{all}\" height=\"{all}\" \
         fill=\"#fff\"/><path d=\"{path}\" fill=\"#000\"/></svg>"
    ))
}

/// The link, shown once: for the screen and for the paper that the patient takes home, in the patient's language.
fn new_link(desk: &Desk, episode: &Episode, new: &NewLink) -> Markup {
    let own = desk.content.words(lang_of(&episode.patient.language));
    html! {
        section class="card made" aria-labelledby="made-title" {
            div class="no-print stack" {
                h2 id="made-title" { (desk.say("c-patient-made")) }
                p class="alert care" { (desk.say("c-patient-made-once")) }
                p { button type="button" class="main" data-print="" { (desk.say("c-patient-print")) } }
            }
            (hand_over(own, episode, new))
        }
    }
}

fn hand_over(own: &Words, episode: &Episode, new: &NewLink) -> Markup {
    let clinic = &episode.clinic;
    html! {
        div class="hand-over" lang=(own.lang().id()) {
            h3 id="code-title" { (own.text("p-paper-title", &[])) }
            p { (clinic.name) " · " (short_name(&episode.patient.name, &episode.patient.language)) }
            @if let Some(code) = &new.code { (svg(code)) }
            p class="link" { (new.url) }
            ol {
                @for key in ["p-paper-1", "p-paper-2", "p-paper-3", "p-paper-4"] { li { (own.text(key, &[])) } }
            }
            p { (own.text("p-paper-until", &[("date", own.date_long(new.expires).into())])) }
            p { (own.text("p-paper-keep", &[])) }
            p { (own.text("p-clinic", &[])) " " (call(&clinic.phone)) ". " (own.text("p-emergency", &[])) " " (call(&clinic.emergency)) "." }
        }
    }
}

async fn revoke(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    let loaded = records::open(&desk, &id, "home").await?;
    let link = fields.text("link")?.to_string();
    let (episode, now, by) = (loaded.id.clone(), desk.app.now(), desk.staff.account.clone());
    let found = desk
        .app
        .store()
        .write(move |tx| {
            // A link of another patient is not found here.
            let Some(link) = links::by_id(tx, &link)?.filter(|it| it.episode == episode) else {
                return Ok(false);
            };
            if links::revoke(tx, &link.id, now)? {
                audit(tx, now, &by, "link", &format!("{} taken back", link.id))?;
            }
            Ok(true)
        })
        .await?;
    if found { Ok(see_other(&format!("/e/{}/home", loaded.id))) } else { Err(Fault::NotFound) }
}

/// The guided session as one file for a phone without a network. Giving it is written down before it is given.
async fn file(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    let loaded = records::open(&desk, &id, "guided session file").await?;
    let lang = lang_of(&loaded.episode.patient.language);
    let (sheet, page) = sheet::guided(&desk.app, &desk.content, &loaded, lang).await?;
    let Some(page) = page else {
        let words = desk.words();
        let key = "c-patient-refused-session";
        return Err(Fault::refused(words.text(key, &[]), words.text(&format!("{key}-mend"), &[])));
    };
    let issued = Issued {
        version: sheet.version,
        medium: Medium::File,
        language: lang.id().into(),
        valid_until: sheet.until,
        by: desk.staff.name.clone(),
    };
    let new = New::fact(desk.app.today(), Fact::Issued(issued));
    records::write(&desk.app, &loaded.id, records::author(&desk), vec![new], None).await?;
    let name = format!("attachment; filename=\"home-program-v{}-{}.html\"", sheet.version, lang.id());
    let mut answer = page.to_string().into_response();
    let headers = answer.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("text/html; charset=utf-8"));
    if let Ok(name) = HeaderValue::from_str(&name) {
        headers.insert(header::CONTENT_DISPOSITION, name);
    }
    Ok(answer)
}

/// The instruction that goes with the file, in the patient's language.
async fn paper(desk: Desk, Path(id): Path<String>) -> Result<Markup, Fault> {
    let loaded = records::open(&desk, &id, "home").await?;
    let episode = &loaded.episode;
    let lang = lang_of(&episode.patient.language);
    let sheet = sheet::sheet(&desk.app, &desk.content, &loaded, lang).await?;
    let own = desk.content.words(lang);
    let title = desk.say("c-patient-file-paper");
    Ok(page(
        &desk,
        Place::None,
        &title,
        html! {
            link rel="stylesheet" href=(asset("patient-clinic.css"));
            (head(&desk, &loaded))
            h1 class="no-print" { (title) }
            p class="no-print" { button type="button" class="main" data-print="" { (desk.say("c-patient-print")) } }
            section class="card hand-over" lang=(own.lang().id()) {
                h2 { (own.text("p-file-title", &[])) }
                p { (episode.clinic.name) " · " (short_name(&episode.patient.name, &episode.patient.language)) }
                ol { @for key in ["p-file-1", "p-file-2", "p-file-3", "p-file-4"] { li { (own.text(key, &[])) } } }
                p { (own.text("p-file-until", &[("date", own.date_long(sheet.until).into())])) }
                p { (own.text("p-clinic", &[])) " " (call(&episode.clinic.phone)) ". " (own.text("p-emergency", &[])) " " (call(&episode.clinic.emergency)) "." }
            }
        },
    ))
}
