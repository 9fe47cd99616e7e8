//! The gate that every request passes: where it came from, who sends it, what they may, the token of the form; and
//! the headers that every answer carries.

use std::sync::Arc;
use std::time::Duration;

use axum::body::{Body, Bytes, to_bytes};
use axum::extract::{ConnectInfo, FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use handrail_library::Library;
use handrail_store::tokens::{new_secret, secret_hash};
use handrail_store::{accounts, links, sessions};
use handrail_words::{Lang, Words};
use maud::{Markup, html};
use subtle::ConstantTimeEq as _;

use crate::app::App;
use crate::content::state::{self, InUse};
use crate::fault::{Fault, Told};
use crate::fields::Fields;
use crate::layout;
use crate::rights::{Right, Role};
use crate::settings::password_due;

/// Cookie with the language.
pub const LANG_COOKIE: &str = "lang";
/// Minutes without a request after which a session of the clinic ends. What was typed is kept as a draft.
pub const IDLE_MINUTES: i64 = 15;
/// Hours after which a session of the clinic ends in any case.
pub const LONGEST_HOURS: i64 = 12;

/// Longest time for one answer.
pub const LONGEST: Duration = Duration::from_secs(30);

/// Paths that stay open while somebody still has the password that another person gave them.
const OPEN_WHILE_DUE: [&str; 4] = ["/settings", "/settings/password", "/logout", "/language"];

/// What the gate knows of the route.
#[derive(Clone)]
pub struct Door {
    /// Server.
    pub app: App,
    /// Right.
    pub right: Right,
    /// Errors come as JSON.
    pub data: bool,
    /// Most bytes of a body.
    pub most: usize,
    /// Longest time of an answer.
    pub longest: Duration,
}

/// A person of the clinic, logged in.
#[derive(Clone, Debug)]
pub struct Staff {
    /// Account.
    pub account: String,
    /// Name with title, as it stands under entries: "Ines Brandvold, PT".
    pub name: String,
    /// Role.
    pub role: Role,
    /// Hash of the session's secret.
    pub session: [u8; 32],
    /// Token of its forms.
    pub csrf: String,
}

/// A patient's session: sees one episode.
#[derive(Clone, Debug)]
pub struct PatientSession {
    /// Episode.
    pub episode: String,
    /// Link it came by.
    pub link: String,
    /// Token of its forms.
    pub csrf: String,
}

/// Who asks, and in which language: what pages are made with.
#[derive(Clone)]
pub struct Desk {
    /// Server.
    pub app: App,
    /// Content in use when the request came.
    pub content: Arc<InUse>,
    /// Person.
    pub staff: Staff,
    /// Language.
    pub lang: Lang,
    /// Path with its query, to come back to.
    pub path: String,
}

impl Desk {
    /// Words of the language, the clinic's own included.
    pub fn words(&self) -> &Words {
        self.content.words(self.lang)
    }

    /// Exercises, postures and protocols; of the same content as the words.
    pub fn library(&self) -> &Arc<Library> {
        self.content.library()
    }

    /// A short text without values.
    pub fn say(&self, key: &str) -> String {
        self.words().text(key, &[])
    }

    /// Whether the person has a right.
    pub fn may(&self, right: Right) -> bool {
        self.staff.role.may(right)
    }
}

/// The same for pages that need nobody: the login page, the door of the patient's page.
#[derive(Clone)]
pub struct Visitor {
    /// Server.
    pub app: App,
    /// Content in use when the request came.
    pub content: Arc<InUse>,
    /// Language.
    pub lang: Lang,
    /// Network address, for limits on tries.
    pub address: String,
    /// Token that a form without a session must carry: of browsers alone that do not say where a form came from.
    pub form: Option<String>,
}

impl Visitor {
    /// The hidden token of a form without a session, where one is needed.
    pub fn token(&self) -> Markup {
        html! { @if let Some(token) = &self.form { input type="hidden" name="csrf" value=(token); } }
    }
}

impl Visitor {
    /// Words of the language, the clinic's own included.
    pub fn words(&self) -> &Words {
        self.content.words(self.lang)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Desk {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Fault> {
        parts.extensions.get::<Desk>().cloned().ok_or(Fault::Forbidden)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for Visitor {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Fault> {
        parts.extensions.get::<Visitor>().cloned().ok_or(Fault::Forbidden)
    }
}

impl<S: Send + Sync> FromRequestParts<S> for PatientSession {
    type Rejection = Fault;

    async fn from_request_parts(parts: &mut Parts, _: &S) -> Result<Self, Fault> {
        parts.extensions.get::<PatientSession>().cloned().ok_or(Fault::Forbidden)
    }
}

/// What the gate learns of a request on its way in, for the answer on its way out.
#[derive(Default)]
struct Learned {
    staff: Option<Staff>,
    /// The form as it was sent, so that a page that cannot take it now can offer to send it again.
    sent: Option<Bytes>,
    /// Secret of a form without a session, when the browser has none yet.
    new_form: Option<String>,
}

/// Lets a request through, or answers in its place.
pub async fn gate(State(door): State<Arc<Door>>, mut request: Request, next: Next) -> Response {
    let lang = language(request.headers());
    let path = request.uri().path_and_query().map_or("/", |it| it.as_str()).to_string();
    let cacheable = request.uri().path().starts_with("/assets/");
    name_host(&mut request);
    let content = door.app.content();
    let mut learned = Learned::default();
    let answered = async {
        match pass(&door, request, &content, lang, &path, &mut learned).await {
            Ok(request) => next.run(request).await,
            Err(fault) => fault.into_response(),
        }
    };
    let answer = tokio::time::timeout(door.longest, answered).await;
    let answer = answer.unwrap_or_else(|_| Fault::Slow.into_response());
    let mut answer = finish(&door, answer, &learned, &content, lang, &path);
    if let Some(secret) = learned.new_form.filter(|_| is_page(&answer)) {
        let line = cookie(&door.app, &cookie_name(&door.app, "form"), Some(&secret), FORM_COOKIE_S, true);
        if let Ok(value) = HeaderValue::from_str(&line) {
            answer.headers_mut().append(header::SET_COOKIE, value);
        }
    }
    with_headers(answer, &door.app, cacheable)
}

/// HTTP/2 names the host in the address alone; everything behind the gate looks for it in the header.
fn name_host(request: &mut Request) {
    if request.headers().contains_key(header::HOST) {
        return;
    }
    let named = request.uri().authority().and_then(|it| HeaderValue::from_str(it.as_str()).ok());
    if let Some(host) = named {
        request.headers_mut().insert(header::HOST, host);
    }
}

fn is_page(answer: &Response) -> bool {
    let kind = answer.headers().get(header::CONTENT_TYPE).and_then(|it| it.to_str().ok());
    kind.is_some_and(|it| it.starts_with("text/html"))
}

/// An answer that the framework gave in its own words: what it could not read, or a method that is not there.
fn unreadable(answer: &Response) -> bool {
    let status = answer.status();
    let kind = answer.headers().get(header::CONTENT_TYPE).and_then(|it| it.to_str().ok());
    status.is_client_error() && kind.is_none_or(|it| it.starts_with("text/plain"))
}

/// Makes a page, or JSON, of an error on its way out.
fn finish(
    door: &Door,
    mut answer: Response,
    learned: &Learned,
    content: &Arc<InUse>,
    lang: Lang,
    path: &str,
) -> Response {
    let told = match answer.extensions_mut().remove::<Told>() {
        Some(told) => told,
        None if unreadable(&answer) => {
            let mut plain = Fault::Unreadable.into_response();
            *plain.status_mut() = answer.status();
            for (name, value) in answer.headers() {
                if name == header::ALLOW {
                    plain.headers_mut().insert(name, value.clone());
                }
            }
            answer = plain;
            match answer.extensions_mut().remove::<Told>() {
                Some(told) => told,
                None => return answer,
            }
        }
        None => return answer,
    };
    let status = answer.status();
    let words = content.words(lang);
    let is_patient = door.right == Right::Patient || path.starts_with("/p/");
    let says =
        words.text(told.key, &[("what", told.what.as_str().into()), ("mend", told.mend.as_str().into())]);
    let mend = match told.passing {
        true => words.text(&format!("{}-mend", told.key), &[]),
        false => told.mend,
    };
    let mut out = if door.data {
        let (says, mend) = if is_patient && told.passing {
            (words.text("p-fault-store", &[]), words.text("p-fault-store-mend", &[]))
        } else {
            (says, mend)
        };
        (status, axum::Json(serde_json::json!({ "error": says, "mend": mend }))).into_response()
    } else if is_patient && told.passing {
        (status, layout::patient_fault_page(words)).into_response()
    } else if door.right == Right::Patient && status == StatusCode::NOT_FOUND {
        (status, layout::patient_closed_page(words)).into_response()
    } else {
        let desk = learned.staff.as_ref().map(|staff| Desk {
            app: door.app.clone(),
            content: content.clone(),
            staff: staff.clone(),
            lang,
            path: path.to_string(),
        });
        let fault = layout::FaultPage {
            says: &says,
            mend: &mend,
            // Where the files are is nothing for somebody who is not logged in.
            detail: told.detail.as_deref().filter(|_| desk.is_some()),
            again: learned.sent.as_deref().filter(|_| told.passing).map(|it| (path, Fields::read(it))),
        };
        (status, layout::fault_page(words, desk.as_ref(), &fault)).into_response()
    };
    for (name, value) in answer.headers() {
        if name == header::RETRY_AFTER || name == header::ALLOW {
            out.headers_mut().insert(name, value.clone());
        }
    }
    out
}

async fn pass(
    door: &Door,
    mut request: Request,
    content: &Arc<InUse>,
    lang: Lang,
    path: &str,
    learned: &mut Learned,
) -> Result<Request, Fault> {
    let changes = request.method() != Method::GET && request.method() != Method::HEAD;
    let came = came_from(request.headers(), door.app.config().listen.is_secure());
    let mut bytes = Bytes::new();
    if changes {
        if came == Came::FromElsewhere {
            return Err(Fault::Forged);
        }
        let (parts, body) = request.into_parts();
        bytes = to_bytes(body, door.most).await.map_err(|_| Fault::TooLarge)?;
        let kind = parts.headers.get(header::CONTENT_TYPE).and_then(|it| it.to_str().ok());
        let is_form = kind.is_some_and(|it| it.starts_with("application/x-www-form-urlencoded"));
        learned.sent = (is_form && !door.data).then(|| bytes.clone());
        request = Request::from_parts(parts, Body::from(bytes.clone()));
    }
    let mut visitor = Visitor {
        app: door.app.clone(),
        content: content.clone(),
        lang,
        address: address_of(door, &request),
        form: None,
    };
    let csrf = match door.right {
        Right::Anyone => {
            let form = form_secret(door, request.headers(), learned)?;
            visitor.form = form.as_deref().map(form_token);
            // Without a session nobody's rights can be misused, but a browser could be logged in as somebody else.
            visitor.form.clone().filter(|_| came == Came::Unsaid)
        }
        Right::Patient => {
            let patient = patient_of(door, request.headers()).await?;
            let csrf = patient.csrf.clone();
            request.extensions_mut().insert(patient);
            Some(csrf)
        }
        right => {
            let back = if changes { "/" } else { path };
            let staff = staff_of(door, request.headers(), request.uri().path(), back).await?;
            if !staff.role.may(right) {
                return Err(Fault::Forbidden);
            }
            // Who works on content sees what the database holds at this moment, not what was read last.
            let content =
                if right.is_of_content() { state::in_use(&door.app).await? } else { content.clone() };
            let desk =
                Desk { app: door.app.clone(), content, staff: staff.clone(), lang, path: path.to_string() };
            request.extensions_mut().insert(desk);
            let csrf = staff.csrf.clone();
            learned.staff = Some(staff);
            Some(csrf)
        }
    };
    request.extensions_mut().insert(visitor);
    if let Some(csrf) = csrf.filter(|_| changes) {
        check_token(request.headers(), &bytes, &csrf)?;
    }
    Ok(request)
}

/// Where a form came from, as far as the browser says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Came {
    /// From our own page.
    FromHere,
    /// From another site, or from where there is no saying which.
    FromElsewhere,
    /// The browser says nothing.
    Unsaid,
}

/// Browsers say where a form came from in `Sec-Fetch-Site`, `Origin` or `Referer`, which no script can set. One that
/// names another site ends the matter. One that names ours is believed. Older browsers name none: our pages ask for
/// no referrer, and with that some send `Origin: null`. Their forms pass by a token alone, which another site cannot
/// read: the session's, or without a session one that is bound to a cookie of its own.
fn came_from(headers: &HeaderMap, secure: bool) -> Came {
    let Some(host) = headers.get(header::HOST).and_then(|it| it.to_str().ok()) else {
        return Came::FromElsewhere;
    };
    let is_ours = |url: &str| {
        let rest = url.strip_prefix("https://").or_else(|| url.strip_prefix("http://").filter(|_| !secure));
        rest.and_then(|it| it.split('/').next()).is_some_and(|it| it.eq_ignore_ascii_case(host))
    };
    let mut came = Came::Unsaid;
    for name in [HeaderName::from_static("sec-fetch-site"), header::ORIGIN, header::REFERER] {
        for value in headers.get_all(&name) {
            let text = value.to_str().unwrap_or("?");
            let here = match name.as_str() {
                "sec-fetch-site" => text == "same-origin",
                "origin" if text == "null" => continue,
                _ => is_ours(text),
            };
            if !here {
                return Came::FromElsewhere;
            }
            came = Came::FromHere;
        }
    }
    came
}

/// Seconds for which a form without a session can be sent.
const FORM_COOKIE_S: i64 = 12 * 3600;
/// Letters of a secret of ours, at most.
const MOST_SECRET: usize = 64;

/// The secret behind the token of a form without a session; `None` for browsers that say where a form came from.
fn form_secret(door: &Door, headers: &HeaderMap, learned: &mut Learned) -> Result<Option<String>, Fault> {
    if headers.contains_key("sec-fetch-site") {
        return Ok(None);
    }
    let known = cookie_value(headers, &cookie_name(&door.app, "form"));
    if let Some(secret) = known.filter(|it| !it.is_empty() && it.len() <= MOST_SECRET) {
        return Ok(Some(secret));
    }
    let secret = new_secret()?;
    learned.new_form = Some(secret.clone());
    Ok(Some(secret))
}

fn form_token(secret: &str) -> String {
    blake3::derive_key("handrail 2026-11 token of a form without a session", secret.as_bytes())
        .iter()
        .map(|it| format!("{it:02x}"))
        .collect()
}

fn check_token(headers: &HeaderMap, body: &[u8], expected: &str) -> Result<(), Fault> {
    let given = match headers.get("x-csrf").and_then(|it| it.to_str().ok()) {
        Some(it) => it.to_string(),
        None => Fields::read(body).opt("csrf").unwrap_or_default().to_string(),
    };
    if bool::from(given.as_bytes().ct_eq(expected.as_bytes())) { Ok(()) } else { Err(Fault::Forged) }
}

/// Name of the cookie of a session; with https the browser ties it to this host.
pub fn cookie_name(app: &App, kind: &str) -> String {
    let host = if app.config().listen.is_secure() { "__Host-" } else { "" };
    format!("{host}handrail-{kind}")
}

/// A `Set-Cookie` value; without a secret it takes the cookie back.
pub fn cookie(app: &App, name: &str, secret: Option<&str>, max_age_s: i64, http_only: bool) -> String {
    let secure = if app.config().listen.is_secure() { "; Secure" } else { "" };
    let hidden = if http_only { "; HttpOnly" } else { "" };
    let (value, age) = secret.map_or(("", 0), |it| (it, max_age_s));
    format!("{name}={value}; Path=/; Max-Age={age}; SameSite=Lax{hidden}{secure}")
}

/// Value of a cookie.
pub fn cookie_value(headers: &HeaderMap, name: &str) -> Option<String> {
    let all = headers.get_all(header::COOKIE).iter().filter_map(|it| it.to_str().ok());
    all.flat_map(|it| it.split(';'))
        .filter_map(|it| it.trim().split_once('='))
        .find(|(key, _)| *key == name)
        .map(|(_, value)| value.to_string())
}

async fn staff_of(door: &Door, headers: &HeaderMap, path: &str, back: &str) -> Result<Staff, Fault> {
    let log_in = || Fault::LogIn { back: back.to_string() };
    let secret = cookie_value(headers, &cookie_name(&door.app, "desk")).ok_or_else(log_in)?;
    let hash = secret_hash(&secret);
    let now = door.app.now();
    let found = door
        .app
        .store()
        .read(move |tx| {
            let Some(session) = sessions::find(tx, &hash, now)? else { return Ok(None) };
            let account = accounts::by_id(tx, &session.account)?;
            let due = password_due(tx, &session.account)?;
            Ok(account.map(|it| (session, it, due)))
        })
        .await?;
    let (session, account, due) = found.ok_or_else(log_in)?;
    let idle = now.as_second() - session.last_seen.as_second();
    if idle > IDLE_MINUTES * 60 || !account.active {
        return Err(log_in());
    }
    if due && !OPEN_WHILE_DUE.contains(&path) {
        return Err(Fault::PasswordDue);
    }
    let role = Role::of(&account.role).ok_or(Fault::Forbidden)?;
    // Once a minute is often enough to know when somebody was last here.
    if idle >= 60 {
        let ends = session.ends;
        door.app.store().write(move |tx| sessions::touch(tx, &hash, now, ends)).await?;
    }
    let name = match account.title.as_str() {
        "" => account.name.clone(),
        title => format!("{}, {title}", account.name),
    };
    Ok(Staff { account: account.id, name, role, session: hash, csrf: session.csrf })
}

async fn patient_of(door: &Door, headers: &HeaderMap) -> Result<PatientSession, Fault> {
    let secret = cookie_value(headers, &cookie_name(&door.app, "home")).ok_or(Fault::NotFound)?;
    let hash = secret_hash(&secret);
    let now = door.app.now();
    let found = door.app.store().read(move |tx| links::find_session(tx, &hash, now)).await?;
    let (session, link) = found.ok_or(Fault::NotFound)?;
    Ok(PatientSession { episode: link.episode, link: link.id, csrf: session.csrf })
}

/// The language of a cookie, else the first known one of the browser's, else English.
fn language(headers: &HeaderMap) -> Lang {
    if let Some(lang) = cookie_value(headers, LANG_COOKIE).and_then(|it| it.parse().ok()) {
        return lang;
    }
    let accepted = headers.get(header::ACCEPT_LANGUAGE).and_then(|it| it.to_str().ok()).unwrap_or("");
    let tags = accepted.split(',').map(|it| it.split([';', '-']).next().unwrap_or("").trim());
    tags.filter_map(|it| it.parse().ok()).next().unwrap_or(Lang::En)
}

fn address_of(door: &Door, request: &Request) -> String {
    let forwarded = request.headers().get("x-forwarded-for").and_then(|it| it.to_str().ok());
    if let Some(list) = forwarded.filter(|_| door.app.config().listen.behind_proxy) {
        // The last one was added by our own proxy; the ones before it are the client's to invent.
        return list.rsplit(',').next().unwrap_or("").trim().to_string();
    }
    let peer = request.extensions().get::<ConnectInfo<std::net::SocketAddr>>();
    peer.map_or_else(|| "unknown".into(), |it| it.0.ip().to_string())
}

/// Content policy of all pages: nothing from elsewhere, nothing inline.
pub const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; \
                          font-src 'self'; connect-src 'self'; manifest-src 'self'; worker-src 'self'; \
                          form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

fn with_headers(mut answer: Response, app: &App, cacheable: bool) -> Response {
    let headers = answer.headers_mut();
    let mut set = |name: HeaderName, value: &'static str| {
        // A route may have set its own, stricter for what it sends.
        headers.entry(name).or_insert(HeaderValue::from_static(value));
    };
    set(header::CONTENT_SECURITY_POLICY, POLICY);
    set(header::X_CONTENT_TYPE_OPTIONS, "nosniff");
    set(header::REFERRER_POLICY, "no-referrer");
    set(HeaderName::from_static("cross-origin-opener-policy"), "same-origin");
    set(HeaderName::from_static("permissions-policy"), "camera=(self), microphone=(), geolocation=()");
    if app.config().listen.tls.is_some() {
        set(header::STRICT_TRANSPORT_SECURITY, "max-age=31536000");
    }
    if !cacheable {
        set(header::CACHE_CONTROL, "no-store");
    }
    answer
}

/// A redirect after a form.
pub fn see_other(to: &str) -> Response {
    let mut answer = StatusCode::SEE_OTHER.into_response();
    if let Ok(value) = HeaderValue::from_str(to) {
        answer.headers_mut().insert(header::LOCATION, value);
    }
    answer
}
