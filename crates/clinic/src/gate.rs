//! The gate that every request passes: where it came from, who sends it, what they may, the token of the form; and
//! the headers that every answer carries.

use std::sync::Arc;

use axum::body::{Body, to_bytes};
use axum::extract::{ConnectInfo, FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderName, HeaderValue, Method, StatusCode, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use handrail_library::Library;
use handrail_store::tokens::secret_hash;
use handrail_store::{accounts, links, sessions};
use handrail_words::{Lang, Words};
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

/// Lets a request through, or answers in its place.
pub async fn gate(State(door): State<Arc<Door>>, request: Request, next: Next) -> Response {
    let lang = language(request.headers());
    let path = request.uri().path_and_query().map_or("/", |it| it.as_str()).to_string();
    let cacheable = request.uri().path().starts_with("/assets/");
    let content = door.app.content();
    let answer = match pass(&door, request, &content, lang, &path).await {
        Ok((request, staff)) => {
            let answer = next.run(request).await;
            finish(&door, answer, staff.as_ref(), content, lang, &path)
        }
        Err(fault) => finish(&door, fault.into_response(), None, content, lang, &path),
    };
    with_headers(answer, &door.app, cacheable)
}

/// Makes a page, or JSON, of an error on its way out.
fn finish(
    door: &Door,
    mut answer: Response,
    staff: Option<&Staff>,
    content: Arc<InUse>,
    lang: Lang,
    path: &str,
) -> Response {
    let Some(told) = answer.extensions_mut().remove::<Told>() else { return answer };
    let status = answer.status();
    let words = content.words(lang);
    let args = [("what", told.what.as_str().into()), ("mend", told.mend.as_str().into())];
    let says = words.text(told.key, &args);
    let over = door.right == Right::Patient && status == StatusCode::NOT_FOUND;
    let mut out = if over && !door.data {
        (status, layout::patient_closed_page(words)).into_response()
    } else if door.data {
        let body = serde_json::json!({ "error": says, "mend": told.mend });
        (status, axum::Json(body)).into_response()
    } else {
        let desk = staff.map(|staff| Desk {
            app: door.app.clone(),
            content: content.clone(),
            staff: staff.clone(),
            lang,
            path: path.to_string(),
        });
        (status, layout::fault_page(words, desk.as_ref(), &says, &told.mend)).into_response()
    };
    for (name, value) in answer.headers() {
        if name == header::RETRY_AFTER {
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
) -> Result<(Request, Option<Staff>), Fault> {
    let changes = request.method() != Method::GET && request.method() != Method::HEAD;
    if changes && !same_origin(request.headers()) {
        return Err(Fault::Forged);
    }
    let visitor = Visitor {
        app: door.app.clone(),
        content: content.clone(),
        lang,
        address: address_of(door, &request),
    };
    request.extensions_mut().insert(visitor);
    let (staff, csrf) = match door.right {
        Right::Anyone => (None, None),
        Right::Patient => {
            let patient = patient_of(door, request.headers()).await?;
            let csrf = patient.csrf.clone();
            request.extensions_mut().insert(patient);
            (None, Some(csrf))
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
            (Some(staff), Some(csrf))
        }
    };
    if changes {
        let (parts, body) = request.into_parts();
        let bytes = to_bytes(body, door.most).await.map_err(|_| Fault::TooLarge)?;
        if let Some(csrf) = csrf {
            check_token(&parts.headers, &bytes, &csrf)?;
        }
        request = Request::from_parts(parts, Body::from(bytes));
    }
    Ok((request, staff))
}

/// A form comes from our own page: the browser says so in `Sec-Fetch-Site` or in `Origin`, which no script can set.
/// Where the policy on referrers is `no-referrer`, as on our pages, browsers send forms with `Origin: null`; then
/// `Sec-Fetch-Site` alone must say it.
fn same_origin(headers: &HeaderMap) -> bool {
    let text = |name: HeaderName| headers.get(name).and_then(|it| it.to_str().ok());
    let site = text(HeaderName::from_static("sec-fetch-site"));
    if site.is_some_and(|it| it != "same-origin") {
        return false;
    }
    let Some(host) = text(header::HOST) else { return false };
    match text(header::ORIGIN) {
        None | Some("null") => site.is_some(),
        Some(origin) => origin
            .strip_prefix("https://")
            .or_else(|| origin.strip_prefix("http://"))
            .is_some_and(|it| it == host),
    }
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
