//! A clinic in a temporary folder, asked without a network.
#![allow(dead_code)] // each test file uses a part of it

use std::sync::{Arc, LazyLock};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode, header};
use handrail_clinic::gate::cookie_name;
use handrail_clinic::routes::table;
use handrail_clinic::{App, Clock, Config, Listen, Role, router, seed};
use handrail_library::Library;
use handrail_store::links::{self, Link, PatientSession};
use handrail_store::sessions::Session;
use handrail_store::tokens::{new_secret, secret_hash};
use handrail_store::{Config as StoreConfig, Key, Place, Store, accounts, sessions};
use jiff::civil::{Date, date};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use tower::ServiceExt as _;

/// Day on which all tests take place.
pub const TODAY: Date = date(2026, 11, 25);

pub static LIBRARY: LazyLock<Arc<Library>> =
    LazyLock::new(|| Arc::new(Library::built_in().unwrap_or_else(|problems| panic!("{problems}"))));

/// Noon of the day.
pub fn now() -> Timestamp {
    TODAY.at(12, 0, 0, 0).to_zoned_datetime(TimeZone::UTC).expect("noon").timestamp()
}

/// A clinic with the invented patients.
pub struct Desk {
    pub app: App,
    pub router: Router,
    pub store: Store,
    _folder: tempfile::TempDir,
}

/// A person's session.
#[derive(Clone)]
pub struct Person {
    pub cookie: String,
    pub csrf: String,
}

/// An answer.
pub struct Answer {
    pub status: StatusCode,
    pub headers: HeaderMap,
    pub text: String,
}

impl Answer {
    pub fn location(&self) -> &str {
        self.headers.get(header::LOCATION).and_then(|it| it.to_str().ok()).unwrap_or_default()
    }
}

impl Desk {
    /// With the twelve invented patients.
    pub async fn with_patients() -> Desk {
        let desk = Desk::empty().await;
        let clinic = handrail_demo::clinic(&LIBRARY, TODAY, 1).expect("the invented clinic");
        seed::fill(&desk.store, &LIBRARY, &clinic, TODAY, &TimeZone::UTC, now()).await.expect("filled");
        desk
    }

    /// Without anybody.
    pub async fn empty() -> Desk {
        let folder = tempfile::tempdir().expect("a folder");
        let place = Place::Sqlite(folder.path().join("clinic.db"));
        let key = Some(Key::random().expect("randomness"));
        let store = Store::open(&StoreConfig::new(place, key)).expect("a store");
        let config = Config {
            store: store.clone(),
            listen: Listen::loopback(0),
            clock: Clock::of(now),
            zone: TimeZone::UTC,
            content: None,
        };
        let app = App::new(config).unwrap_or_else(|problems| panic!("{problems}"));
        Desk { router: router(&app, table()), app, store, _folder: folder }
    }

    /// A session of somebody in a role, without the password.
    pub async fn person(&self, role: Role) -> Person {
        let (secret, csrf) = (new_secret().expect("random"), new_secret().expect("random"));
        let new = accounts::NewAccount {
            login: format!("{}-{}", role.id(), &secret[..6]),
            name: format!("Invented {}", role.id()),
            title: String::new(),
            role: role.id().into(),
            password: "$none".into(),
        };
        let (hash, token) = (secret_hash(&secret), csrf.clone());
        self.store
            .write(move |tx| {
                let account = accounts::create(tx, &new, now())?;
                let session = Session {
                    token: hash,
                    account: account.id,
                    kind: "desk".into(),
                    csrf: token.clone(),
                    created: now(),
                    last_seen: now(),
                    ends: now() + SignedDuration::from_hours(2),
                };
                sessions::create(tx, &session)
            })
            .await
            .expect("a session");
        Person { cookie: format!("{}={secret}", cookie_name(&self.app, "desk")), csrf }
    }

    /// A session of a patient's link, without the door.
    pub async fn patient(&self, episode: &str) -> Person {
        let (secret, csrf) = (new_secret().expect("random"), new_secret().expect("random"));
        let id = handrail_store::tokens::new_id().expect("random");
        let ends = now() + SignedDuration::from_hours(24 * 30);
        let link = Link {
            id: id.clone(),
            token: secret_hash(&new_secret().expect("random")),
            episode: episode.into(),
            created_by: "test".into(),
            created: now(),
            expires: ends,
            revoked: None,
            tries: 0,
            last_try: None,
        };
        let session = PatientSession {
            token: secret_hash(&secret),
            link: id,
            csrf: csrf.clone(),
            created: now(),
            ends,
        };
        let begin = move |tx: &mut dyn handrail_store::Tx| {
            links::create(tx, &link)?;
            links::begin_session(tx, &session)
        };
        self.store.write(begin).await.expect("a session");
        Person { cookie: format!("{}={secret}", cookie_name(&self.app, "home")), csrf }
    }

    /// Sends a request.
    pub async fn ask(&self, request: Request<Body>) -> Answer {
        let answer = self.router.clone().oneshot(request).await.expect("an answer");
        let (parts, body) = answer.into_parts();
        let bytes = to_bytes(body, usize::MAX).await.expect("a body");
        let text = String::from_utf8_lossy(&bytes).into_owned();
        Answer { status: parts.status, headers: parts.headers, text }
    }

    /// Gets a page.
    pub async fn get(&self, who: Option<&Person>, path: &str) -> Answer {
        let mut request = Request::get(path).header(header::HOST, "clinic.test");
        if let Some(who) = who {
            request = request.header(header::COOKIE, &who.cookie);
        }
        self.ask(request.body(Body::empty()).expect("a request")).await
    }

    /// Sends a form as its own page would.
    pub async fn post(&self, who: Option<&Person>, path: &str, form: &[(&str, &str)]) -> Answer {
        let mut body = form_urlencoded::Serializer::new(String::new());
        body.extend_pairs(form);
        let mut request = Request::post(path)
            .header(header::HOST, "clinic.test")
            .header(header::ORIGIN, "https://clinic.test")
            .header("sec-fetch-site", "same-origin")
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        if let Some(who) = who {
            request = request.header(header::COOKIE, &who.cookie).header("x-csrf", &who.csrf);
        }
        self.ask(request.body(Body::from(body.finish())).expect("a request")).await
    }
}
