//! Writing and changing content as text: the form, and what saving does.

use std::collections::BTreeMap;

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::{self, Place, csrf, page_with};
use crate::people::audit;
use crate::records::author;
use axum::extract::{Path, RawQuery};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use handrail_spans::Problem;
use handrail_store::content::{self, Content};
use handrail_store::{StoreError, drafts};
use handrail_words::{Lang, Words};
use maud::{Markup, PreEscaped, html};

use crate::content::affected::{self, Effect, Open};
use crate::content::check::{Found, Typed, entry, look, pictures, raised, whole, words_field};
use crate::content::figure::query_of;
use crate::content::library::{Kind, Shelf, WORDS_KIND, words_id};
use crate::content::parts::{lang_name, notices, path, place, say, style, tell};
use crate::content::state::{self, InUse};

/// What a new exercise begins with where none is named.
const FIRST_EXERCISE: &str = "quad-set";
/// The same for protocols.
const FIRST_PROTOCOL: &str = "achilles-repair";

/// The form as it is shown.
struct Form {
    kind: Kind,
    /// Identifier of a change.
    id: Option<String>,
    /// Identifier of the text that a new one began with.
    from: Option<String>,
    text: String,
    words: BTreeMap<Lang, String>,
    /// Versions in the database that it is based on: text, words by language.
    based_on: BTreeMap<String, u64>,
}

/// What is shown above the form.
#[derive(Default)]
struct Above {
    problems: Vec<(&'static str, Problem)>,
    pictures: Option<serde_json::Value>,
    /// What somebody else saved meanwhile, by field.
    others: Vec<(&'static str, Content)>,
    /// What would change today in open episodes.
    effects: Vec<(Open, Effect)>,
    /// Own drafts of an earlier text.
    earlier: Vec<(String, String)>,
    open: Vec<Open>,
}

impl Form {
    /// Name under which the draft is kept: one for each text that it is based on, or that a new one began with.
    fn draft(&self) -> String {
        let based = match &self.id {
            Some(_) => self.based_on.values().map(u64::to_string).collect::<Vec<_>>().join("-"),
            None => self.from.clone().unwrap_or_default(),
        };
        format!("{}{based}", self.draft_prefix())
    }

    /// How the names of all drafts begin that could be meant.
    fn draft_prefix(&self) -> String {
        // No identifier has a blank.
        format!("content-{}-{}-", self.kind.id(), self.id.as_deref().unwrap_or("new from"))
    }

    fn typed(&self) -> Typed {
        Typed { kind: self.kind, id: self.id.clone(), text: self.text.clone(), words: self.words.clone() }
    }

    fn read(kind: Kind, id: Option<String>, fields: &Fields) -> Form {
        // Untrimmed: what was typed comes back as it was; line ends as files have them.
        let raw = |name: &str| fields.all(name).first().cloned().unwrap_or_default().replace("\r\n", "\n");
        let words = match kind {
            Kind::Exercise => Lang::ALL.into_iter().map(|it| (it, raw(words_field(it)))).collect(),
            Kind::Protocol => BTreeMap::new(),
        };
        let based_on = names_of(kind)
            .into_iter()
            .map(|it| {
                let typed = fields.count_opt(&format!("based-{it}")).ok().flatten().unwrap_or(0);
                (it.to_string(), u64::from(typed))
            })
            .collect();
        // Only a text that could be one's identifier: it becomes a part of a name.
        let from = fields.opt("from").filter(|it| id.is_none() && it.len() <= 80).map(str::to_string);
        Form { kind, id, from, text: raw("text"), words, based_on }
    }
}

/// Fields of the form that hold texts.
fn names_of(kind: Kind) -> Vec<&'static str> {
    match kind {
        Kind::Exercise => std::iter::once("text").chain(Lang::ALL.map(words_field)).collect(),
        Kind::Protocol => vec!["text"],
    }
}

fn based_on(shelf: &Shelf, kind: Kind, id: Option<&str>) -> BTreeMap<String, u64> {
    let of = |name: &str| {
        let id = id?;
        let lang = Lang::ALL.into_iter().find(|it| words_field(*it) == name);
        Some(lang.map_or_else(|| shelf.stored(kind, id), |it| shelf.stored_words(it, id)))
    };
    names_of(kind).into_iter().map(|it| (it.to_string(), of(it).unwrap_or(0))).collect()
}

fn words_in_use(shelf: &Shelf, kind: Kind, id: &str) -> BTreeMap<Lang, String> {
    match kind {
        Kind::Exercise => Lang::ALL
            .into_iter()
            .map(|it| (it, shelf.layers.words_of(it, id).map_or_else(String::new, |it| it.0)))
            .collect(),
        Kind::Protocol => BTreeMap::new(),
    }
}

/// `GET /content/exercise/{id}/edit`
pub async fn edit_exercise(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    edit(desk, Kind::Exercise, id).await
}

/// `GET /content/protocol/{id}/edit`
pub async fn edit_protocol(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    edit(desk, Kind::Protocol, id).await
}

async fn edit(desk: Desk, kind: Kind, id: String) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let shelf = &in_use.shelf;
    let text = shelf.layers.of(kind).get(&id).ok_or(Fault::NotFound)?;
    let form = Form {
        kind,
        text: raised(&text.source.text),
        words: words_in_use(shelf, kind, &id),
        based_on: based_on(shelf, kind, Some(&id)),
        from: None,
        id: Some(id.clone()),
    };
    let found = look(shelf, &form.typed());
    let mut above = Above { pictures: pictures_of(&found), ..Above::default() };
    above.earlier = earlier(&desk, &form).await?;
    above.open = if kind == Kind::Protocol { affected::open(&desk.app, &id).await? } else { Vec::new() };
    Ok(shown(&desk, &in_use, &form, &above, StatusCode::OK))
}

/// `GET /content/exercise/new?from=`
pub async fn new_exercise(desk: Desk, RawQuery(query): RawQuery) -> Result<Response, Fault> {
    new(desk, Kind::Exercise, query).await
}

/// `GET /content/protocol/new?from=`
pub async fn new_protocol(desk: Desk, RawQuery(query): RawQuery) -> Result<Response, Fault> {
    new(desk, Kind::Protocol, query).await
}

async fn new(desk: Desk, kind: Kind, query: Option<String>) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let shelf = &in_use.shelf;
    let query = query_of(query);
    let first = match kind {
        Kind::Exercise => FIRST_EXERCISE,
        Kind::Protocol => FIRST_PROTOCOL,
    };
    let from = query.opt("from").unwrap_or(first);
    let text = shelf.layers.of(kind).get(from).ok_or(Fault::NotFound)?;
    let id = free_id(shelf, kind, from);
    let mut form = Form {
        kind,
        id: None,
        from: Some(from.to_string()),
        text: with_id(&text.source.text, &id),
        words: words_in_use(shelf, kind, from),
        based_on: based_on(shelf, kind, None),
    };
    for text in form.words.values_mut() {
        *text = text.replace(&format!("[exercise.{from}"), &format!("[exercise.{id}"));
    }
    let found = look(shelf, &form.typed());
    let above =
        Above { pictures: pictures_of(&found), earlier: earlier(&desk, &form).await?, ..Above::default() };
    Ok(shown(&desk, &in_use, &form, &above, StatusCode::OK))
}

fn free_id(shelf: &Shelf, kind: Kind, from: &str) -> String {
    let there = shelf.layers.of(kind);
    (2..).map(|n| format!("{from}-{n}")).find(|it| !there.contains_key(it)).unwrap_or_default()
}

/// The text under another identifier, as its first version and signed by nobody.
fn with_id(text: &str, id: &str) -> String {
    let Some((at, before)) = entry(text, "id") else { return text.to_string() };
    let line = text[at.clone()].replacen(before, id, 1);
    let text = format!("{}{line}{}", &text[..at.start], &text[at.end..]);
    match entry(&text, "version") {
        Some((at, version)) if version.parse::<u64>().is_ok() => {
            let line = text[at.clone()].replacen(version, "1", 1);
            format!("{}{line}{}", &text[..at.start], &text[at.end..])
        }
        _ => text,
    }
}

fn pictures_of(found: &Found) -> Option<serde_json::Value> {
    let (motion, solved) = found.motion.as_ref()?;
    Some(pictures(motion, solved.as_ref().ok()?))
}

/// Own drafts that were begun on another text than the one shown.
async fn earlier(desk: &Desk, form: &Form) -> Result<Vec<(String, String)>, Fault> {
    let (account, shown) = (desk.staff.account.clone(), form.draft());
    let (prefix, is_new) = (form.draft_prefix(), form.id.is_none());
    let found = desk
        .app
        .store()
        .read(move |tx| {
            let mut out = Vec::new();
            for (what, _) in drafts::list(tx, &account)? {
                // An identifier may begin like another one: what follows the whole one are versions.
                let versions = |rest: &str| rest.chars().all(|it| it.is_ascii_digit() || it == '-');
                let fits = what.strip_prefix(&prefix).is_some_and(|rest| is_new || versions(rest));
                if fits && what != shown {
                    let body = drafts::get(tx, &account, &what)?.map_or_else(String::new, |it| it.0);
                    out.push((what, body));
                }
            }
            Ok(out)
        })
        .await?;
    let text = |(what, body): (String, String)| {
        let fields: Vec<(String, String)> = serde_json::from_str(&body).unwrap_or_default();
        let text = fields.into_iter().filter(|it| it.0 == "text" || it.0.starts_with("words-"));
        (what, text.map(|it| it.1).collect::<Vec<_>>().join("\n\n"))
    };
    Ok(found.into_iter().map(text).collect())
}

fn shown(desk: &Desk, in_use: &InUse, form: &Form, above: &Above, status: StatusCode) -> Response {
    let words = in_use.shelf.words(desk.lang);
    let name = match (&form.id, form.kind) {
        (Some(id), Kind::Exercise) => tell(
            words,
            "change-of",
            &[("name", words.exercise_title(id, handrail_anatomy::Side::Left).into())],
        ),
        (Some(id), Kind::Protocol) => tell(words, "change-of", &[("name", words.operation_name(id).into())]),
        (None, Kind::Exercise) => say(words, "new-exercise"),
        (None, Kind::Protocol) => say(words, "new-protocol"),
    };
    let action = match &form.id {
        Some(id) => path(form.kind, id),
        None => path(form.kind, "new"),
    };
    let back = form.id.as_ref().map_or_else(|| "/content".to_string(), |it| path(form.kind, it));
    let breaks = above.effects.iter().any(|it| matches!(it.1, Effect::Breaks(_)));
    let body = html! {
        (style())
        nav class="crumbs" aria-label=(say(words, "crumbs")) { a href="/content" { (say(words, "title")) } " › " a href=(back) { (say(words, "back")) } }
        h1 { (name) }
        (notices(desk, words, in_use.refused().as_deref()))
        p { (say(words, "edit-lead")) }
        (others(words, above))
        (earlier_drafts(words, above))
        form method="post" action=(action) class="stack" data-draft=(form.draft()) data-check="/content/check"
            data-kind=(form.kind.id()) data-id=(form.id.as_deref().unwrap_or("")) {
            (csrf(desk))
            (layout::put_back(words))
            @if let Some(it) = &form.from { input type="hidden" name="from" value=(it); }
            @for (name, version) in &form.based_on { input type="hidden" name={ "based-" (name) } value=(version); }
            div class="two edit" {
                div class="stack" {
                    (area(words, "text", &say(words, "text-label"), &form.text, 34, "en"))
                    @for (lang, text) in &form.words {
                        (area(words, words_field(*lang), &tell(words, "words-label", &[("lang", lang_name(*lang).into())]), text, 16, lang.id()))
                    }
                }
                div class="stack beside" tabindex="0" role="group" aria-label=(say(words, "check")) {
                    section class="card" aria-labelledby="check-title" {
                        h2 id="check-title" { (say(words, "check")) }
                        p data-says role="status" { (says(words, above)) }
                        ol class="errors" data-errors { @for (field, it) in &above.problems { li { (mistake(words, field, it)) } } }
                    }
                    @if form.kind == Kind::Exercise {
                        section class="card" aria-labelledby="typed-title" {
                            h2 id="typed-title" { (say(words, "as-typed")) }
                            div class="stills one" data-pictures {
                                figure { div data-still="start" { (still(above, "start")) } figcaption { (say(words, "start")) } }
                                figure { div data-still="end" { (still(above, "end")) } figcaption { (say(words, "end")) } }
                            }
                            p class="small quiet" { (say(words, "typed-body")) }
                        }
                    }
                }
            }
            @if form.kind == Kind::Protocol && form.id.is_some() {
                @if above.effects.is_empty() { (affected::before_saving(desk, words, &above.open)) }
                @else {
                    section class="card" id="effects" aria-labelledby="effects-title" {
                        h2 id="effects-title" { (say(words, "effects")) }
                        p { (say(words, "effects-lead")) }
                        (affected::effect_list(words, &above.effects))
                        @if breaks { (layout::alert("stop", html! { p { (say(words, "effects-break")) } })) }
                        @else { label class="tick" { input type="checkbox" name="seen" value=(above.effects.len()); (say(words, "effects-seen")) } }
                    }
                }
            }
            div class="row" {
                button class="main" { (say(words, "save")) }
                a href=(back) { (say(words, "leave")) }
                (layout::kept(words))
            }
            p class="small quiet" { (say(words, "save-lead")) }
        }
    };
    let page = page_with(desk, Place::Content, &name, &["content.js"], body);
    (status, page).into_response()
}

fn says(words: &Words, above: &Above) -> String {
    match above.problems.len() {
        0 => say(words, "not-checked-yet"),
        n => tell(words, "mistakes", &[("n", (n as f64).into())]),
    }
}

fn still(above: &Above, name: &str) -> Markup {
    let svg = above.pictures.as_ref().and_then(|it| it[name].as_str()).unwrap_or("");
    html! { (PreEscaped(svg.to_string())) }
}

fn area(words: &Words, name: &str, label: &str, text: &str, rows: u32, lang: &str) -> Markup {
    html! {
        div class="lined" {
            label for=(name) { (label) }
            div class="lined-box" data-lined {
                pre class="gutter" aria-hidden="true" data-gutter {}
                textarea id=(name) name=(name) rows=(rows) wrap="off" spellcheck="false" autocapitalize="off" autocomplete="off" lang=(lang) aria-describedby={ (name) "-at" } {
                    // A first line end is swallowed by the parser of HTML.
                    "\n" (text)
                }
            }
            p class="small quiet" id={ (name) "-at" } data-at=(say(words, "line")) {}
        }
    }
}

/// A mistake as a link to its line; the script follows it into the textarea.
fn mistake(words: &Words, field: &str, it: &Problem) -> Markup {
    html! {
        @if field.is_empty() { (place(words, it)) }
        @else {
            @let at = [("line", it.line.to_string().into()), ("column", it.column.to_string().into())];
            a href={ "#" (field) } data-line=(it.line) data-column=(it.column) data-in=(field) { (tell(words, "at", &at)) @if field != "text" { " (" (field.trim_start_matches("words-")) ")" } } " "
            @if !it.field.is_empty() { code { (it.field) } ": " }
            span lang="en" { (it.message) ". " (it.mend) "." }
        }
    }
}

fn others(words: &Words, above: &Above) -> Markup {
    html! {
        @if !above.others.is_empty() {
            (layout::alert("stop", html! {
                h2 { (say(words, "conflict")) }
                p { (say(words, "conflict-lead")) }
                @for (field, it) in &above.others {
                    p { b { (tell(words, "conflict-by", &[("by", it.by.name.as_str().into()), ("n", (it.version as f64).into())])) } }
                    label for={ "other-" (field) } { (say(words, "conflict-text")) " (" (field) ")" }
                    textarea id={ "other-" (field) } rows="12" wrap="off" readonly lang="en" { "\n" (it.body) }
                }
            }))
        }
    }
}

fn earlier_drafts(words: &Words, above: &Above) -> Markup {
    html! {
        @for (what, text) in above.earlier.iter().filter(|it| !it.1.is_empty()) {
            details class="card" {
                summary { (say(words, "earlier-draft")) }
                textarea rows="10" readonly wrap="off" aria-label=(what) { "\n" (text) }
            }
        }
    }
}

/// `POST /content/exercise/{id}`; `new` stands for a new one.
pub async fn save_exercise(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    save(desk, Kind::Exercise, id, fields).await
}

/// `POST /content/exercise/new`
pub async fn save_new_exercise(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    save(desk, Kind::Exercise, "new".into(), fields).await
}

/// `POST /content/protocol/new`
pub async fn save_new_protocol(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    save(desk, Kind::Protocol, "new".into(), fields).await
}

/// `POST /content/protocol/{id}`
pub async fn save_protocol(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    save(desk, Kind::Protocol, id, fields).await
}

async fn save(desk: Desk, kind: Kind, id: String, fields: Fields) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let id = (id != "new").then_some(id);
    if id.as_ref().is_some_and(|it| !in_use.shelf.layers.of(kind).contains_key(it)) {
        return Err(Fault::NotFound);
    }
    let form = Form::read(kind, id, &fields);
    let typed = form.typed();
    let seen = in_use.clone();
    let (found, made) = tokio::task::spawn_blocking(move || {
        let mut found = look(&seen.shelf, &typed);
        if !found.problems.is_empty() {
            return (found, None);
        }
        match whole(&seen.shelf, &typed, &found.id) {
            Ok(made) => (found, Some(made)),
            Err(problems) => {
                found.problems = problems.0.into_iter().map(|it| ("", it)).collect();
                (found, None)
            }
        }
    })
    .await
    .map_err(|error| Fault::Internal(format!("check: {error}")))?;
    let mut above = Above { pictures: pictures_of(&found), ..Above::default() };
    if kind == Kind::Protocol && form.id.is_some() {
        above.open = affected::open(&desk.app, &found.id).await?;
    }
    let Some(made) = made else {
        above.problems = found.problems;
        return Ok(shown(&desk, &in_use, &form, &above, StatusCode::UNPROCESSABLE_ENTITY));
    };
    if let (Some(before), Some(after)) = (in_use.shelf.protocol(&found.id), made.protocol(&found.id))
        && kind == Kind::Protocol
    {
        let effects = affected::effects(&desk.app, &above.open, before, after).await?;
        let breaks = effects.iter().any(|it| matches!(it.1, Effect::Breaks(_)));
        let number = effects.len().to_string();
        if breaks || (!effects.is_empty() && fields.opt("seen") != Some(number.as_str())) {
            above.effects = effects;
            return Ok(shown(&desk, &in_use, &form, &above, StatusCode::UNPROCESSABLE_ENTITY));
        }
    }
    match write(&desk, &form, &found.id).await {
        Ok(()) => {
            state::in_use(&desk.app).await?;
            Ok(see_other(&format!("{}?saved=1", path(kind, &found.id))))
        }
        Err(StoreError::Conflict { .. }) => conflict(&desk, form, above, &found.id).await,
        Err(error) => Err(error.into()),
    }
}

/// Texts of the form as the database holds them: kind, identifier, version they are based on, text.
fn parts(form: &Form, id: &str) -> Vec<(&'static str, &'static str, String, u64, String)> {
    let based = |name: &str| form.based_on.get(name).copied().unwrap_or(0);
    let text = ("text", form.kind.id(), id.to_string(), based("text"), form.text.clone());
    let words = form.words.iter().map(|(lang, text)| {
        let name = words_field(*lang);
        (name, WORDS_KIND, words_id(*lang, id), based(name), text.clone())
    });
    std::iter::once(text).chain(words).collect()
}

/// All texts in one transaction: either all are saved or none.
async fn write(desk: &Desk, form: &Form, id: &str) -> Result<(), StoreError> {
    let (by, now, parts) = (author(desk), desk.app.now(), parts(form, id));
    let (draft, account) = (form.draft(), desk.staff.account.clone());
    let what = format!("{} {id} saved by {}", form.kind.id(), by.name);
    desk.app
        .store()
        .write(move |tx| {
            for (_, kind, id, based, text) in &parts {
                content::save(tx, (kind, id), *based, (text, "in use"), &by, now)?;
            }
            drafts::discard(tx, &account, &draft)?;
            audit(tx, now, &by.id, "content", &what)
        })
        .await
}

/// Somebody saved first: their text beside one's own, which is kept as it was typed and can be saved over theirs.
async fn conflict(desk: &Desk, mut form: Form, mut above: Above, id: &str) -> Result<Response, Fault> {
    let asked = parts(&form, id);
    let newest = desk
        .app
        .store()
        .read(move |tx| {
            let mut out = Vec::new();
            for (name, kind, id, based, _) in &asked {
                let it = content::newest(tx, kind, id)?;
                out.push((*name, *based, it));
            }
            Ok(out)
        })
        .await?;
    for (name, based, it) in newest {
        let Some(it) = it.filter(|it| it.version != based) else { continue };
        form.based_on.insert(name.to_string(), it.version);
        above.others.push((name, it));
    }
    // A new text whose identifier was taken meanwhile becomes a change of the other's.
    form.id = Some(id.to_string());
    let in_use = state::in_use(&desk.app).await?;
    Ok(shown(desk, &in_use, &form, &above, StatusCode::CONFLICT))
}
