//! The patient's side over the whole router: links, the door, what a phone sends, and what it may not.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, StatusCode, header};
use handrail_clinic::records::{self, Loaded};
use handrail_clinic::routes::table;
use handrail_clinic::{App, Clock, Config, Listen, router, seed};
use handrail_episode::{DiarySource, Fact, Medium, MessageFrom};
use handrail_library::Library;
use handrail_store::links;
use handrail_store::tokens::secret_hash;
use handrail_store::{Config as StoreConfig, Key, Place, Store};
use jiff::Span;
use jiff::civil::{Date, date};
use jiff::tz::TimeZone;
use serde_json::{Value, json};
use tower::ServiceExt;

const HOST: &str = "clinic.example";
/// An Achilles repair and an ACL reconstruction: their exercises differ.
const MARTA: &str = "marta-okonjo";
const RUBEN: &str = "ruben-castellanos-vega";

struct Clinic {
    app: App,
    router: Router,
    /// Seconds added to the clock.
    later: Arc<AtomicI64>,
    /// Cookie and token of the therapist who makes links; logging in again and again would be slowed down.
    therapist: tokio::sync::OnceCell<(String, String)>,
    _folder: tempfile::TempDir,
}

struct Answer {
    status: StatusCode,
    headers: axum::http::HeaderMap,
    body: String,
}

impl Answer {
    fn cookie(&self, name: &str) -> Option<String> {
        let all = self.headers.get_all(header::SET_COOKIE).iter().filter_map(|it| it.to_str().ok());
        let start = format!("{name}=");
        all.filter_map(|it| it.strip_prefix(&start))
            .map(|it| it.split(';').next().unwrap_or("").to_string())
            .next()
    }

    fn location(&self) -> &str {
        self.headers.get(header::LOCATION).and_then(|it| it.to_str().ok()).unwrap_or("")
    }
}

impl Clinic {
    async fn open() -> Clinic {
        let folder = tempfile::tempdir().expect("folder");
        let place = Place::Sqlite(folder.path().join("clinic.db"));
        let store = Store::open(&StoreConfig::new(place, Some(Key::random().expect("key")))).expect("store");
        let library = Arc::new(Library::built_in().expect("library"));
        let today = date(2026, 11, 25);
        let start = today.at(9, 0, 0, 0).to_zoned_datetime(TimeZone::UTC).expect("time").timestamp();
        let clinic = handrail_demo::clinic(&library, today, 1).expect("demo");
        seed::fill(&store, &library, &clinic, today, &TimeZone::UTC, start).await.expect("seed");
        let later = Arc::new(AtomicI64::new(0));
        let shift = later.clone();
        let clock = Clock::of(move || start + jiff::SignedDuration::from_secs(shift.load(Ordering::SeqCst)));
        let config = Config { store, listen: Listen::loopback(0), clock, zone: TimeZone::UTC, content: None };
        let app = App::new(config).expect("app");
        let router = router(&app, table());
        Clinic { app, router, later, therapist: tokio::sync::OnceCell::new(), _folder: folder }
    }

    fn wait_days(&self, days: i64) {
        self.later.fetch_add(days * 24 * 3600, Ordering::SeqCst);
    }

    async fn send(&self, request: Request<Body>) -> Answer {
        let answer = self.router.clone().oneshot(request).await.expect("answer");
        let (parts, body) = answer.into_parts();
        let bytes = to_bytes(body, usize::MAX).await.expect("body");
        Answer {
            status: parts.status,
            headers: parts.headers,
            body: String::from_utf8_lossy(&bytes).into_owned(),
        }
    }

    async fn get(&self, path: &str, cookies: &str) -> Answer {
        let request = Request::builder()
            .uri(path)
            .header(header::HOST, HOST)
            .header("sec-fetch-site", "none")
            .header(header::COOKIE, cookies);
        self.send(request.body(Body::empty()).expect("request")).await
    }

    async fn post(&self, path: &str, cookies: &str, kind: &str, csrf: Option<&str>, body: String) -> Answer {
        let mut request = Request::builder()
            .method(Method::POST)
            .uri(path)
            .header(header::HOST, HOST)
            .header(header::ORIGIN, format!("https://{HOST}"))
            .header("sec-fetch-site", "same-origin")
            .header(header::COOKIE, cookies)
            .header(header::CONTENT_TYPE, kind);
        if let Some(csrf) = csrf {
            request = request.header("x-csrf", csrf);
        }
        self.send(request.body(Body::from(body)).expect("request")).await
    }

    async fn form(&self, path: &str, cookies: &str, body: &str) -> Answer {
        self.post(path, cookies, "application/x-www-form-urlencoded", None, body.into()).await
    }

    /// Logs a person of the clinic in: cookie and token of forms.
    async fn log_in(&self, login: &str) -> (String, String) {
        let body = format!("name={login}&password={}", seed::PASSWORD.replace(' ', "+"));
        let answer = self.form("/login", "", &body).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
        let cookie = format!("handrail-desk={}", answer.cookie("handrail-desk").expect("cookie"));
        let page = self.get(&format!("/e/{MARTA}/home"), &cookie).await;
        let csrf = between(&page.body, "name=\"csrf\" content=\"", "\"").unwrap_or_default().to_string();
        (cookie, csrf)
    }

    /// Makes a link; answers its secret.
    async fn link(&self, episode: &str) -> String {
        let (cookie, csrf) = self.therapist.get_or_init(|| self.log_in("ines")).await;
        let until = self.app.today().saturating_add(Span::new().days(20));
        let path = format!("/e/{episode}/home/link");
        let answer = self.form(&path, cookie, &format!("csrf={csrf}&expires={until}")).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        between(&answer.body, &format!("http://{HOST}/p/"), "<").expect("link").to_string()
    }

    async fn loaded(&self, episode: &str) -> Arc<Loaded> {
        records::load(&self.app, episode).await.expect("episode")
    }

    async fn born(&self, episode: &str) -> Date {
        self.loaded(episode).await.episode.patient.born.expect("birth date")
    }

    async fn knock(&self, secret: &str, born: Date) -> Answer {
        let body = format!("day={}&month={}&year={}", born.day(), born.month(), born.year());
        self.form(&format!("/p/{secret}"), "", &body).await
    }

    /// A phone with the patient's page open.
    async fn phone(&self, episode: &str) -> Phone<'_> {
        let secret = self.link(episode).await;
        let answer = self.knock(&secret, self.born(episode).await).await;
        assert_eq!((answer.status, answer.location()), (StatusCode::SEE_OTHER, "/home"));
        let cookie = format!("handrail-home={}", answer.cookie("handrail-home").expect("cookie"));
        let state = self.get("/home/state", &cookie).await;
        let state: Value = serde_json::from_str(&state.body).expect("state");
        let text = |name: &str| state[name].as_str().expect("text").to_string();
        Phone { clinic: self, episode: episode.into(), secret, csrf: text("csrf"), tag: text("tag"), cookie }
    }

    fn today(&self) -> Date {
        self.app.today()
    }
}

struct Phone<'a> {
    clinic: &'a Clinic,
    episode: String,
    secret: String,
    cookie: String,
    csrf: String,
    tag: String,
}

impl Phone<'_> {
    async fn home(&self) -> Answer {
        self.clinic.get("/home", &self.cookie).await
    }

    async fn report(&self, body: &Value) -> Answer {
        let kind = "application/json";
        self.clinic.post("/home/diary", &self.cookie, kind, Some(&self.csrf), body.to_string()).await
    }

    /// A diary of today with everything done as planned.
    async fn diary(&self, key: &str) -> Value {
        let page = self.home().await;
        let data = page_data(&page.body);
        let done: Vec<Value> = exercises(&page.body)
            .into_iter()
            .map(|(id, sets, reps)| json!({ "exercise": id, "sets": sets, "reps": sets * reps }))
            .collect();
        assert!(!done.is_empty(), "{}", page.body);
        json!({
            "key": key, "tag": self.tag,
            "diary": { "on": self.clinic.today(), "version": data["version"], "done": done, "pain_during": 3,
                "morning": "usual", "swelling": "same", "note": " Went well.\u{0}\n" },
        })
    }

    async fn diaries(&self) -> usize {
        self.clinic.loaded(&self.episode).await.episode.course.diaries.len()
    }
}

fn between<'a>(text: &'a str, open: &str, close: &str) -> Option<&'a str> {
    let from = text.find(open)? + open.len();
    Some(&text[from..from + text[from..].find(close)?])
}

fn page_data(page: &str) -> Value {
    let text = between(page, "id=\"home-data\">", "</script>").expect("data");
    serde_json::from_str(text).expect("JSON")
}

/// Exercises of the diary's form with planned sets and counts.
fn exercises(page: &str) -> Vec<(String, u64, u64)> {
    page.split("data-exercise=\"")
        .skip(1)
        .map(|it| {
            let number =
                |name: &str| between(it, &format!("{name}=\""), "\"").expect(name).parse().expect(name);
            (it.split('"').next().expect("id").to_string(), number("data-sets"), number("data-reps"))
        })
        .collect()
}

const KEY: &str = "page-00112233445566778899aabbccddeeff";

#[tokio::test]
async fn a_link_opens_one_page_with_the_right_date_of_birth_and_its_secret_is_not_kept() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone(MARTA).await;
    assert_eq!(phone.secret.len(), 32);
    let hash = secret_hash(&phone.secret);
    let found = clinic.app.store().read(move |tx| links::find(tx, &hash)).await.expect("read").expect("link");
    assert_eq!(found.episode, MARTA);
    let page = phone.home().await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(!page.body.contains(&phone.secret) && !page.body.contains("Castellanos"));
    assert!(!page.body.contains("[no words"), "{}", page.body);
    let (cookie, _) = clinic.log_in("ines").await;
    let list = clinic.get(&format!("/e/{MARTA}/home"), &cookie).await;
    assert!(!list.body.contains(&phone.secret) && !list.body.contains("[no words"));
    let manifest = clinic.get("/home/manifest.webmanifest?lang=es", "").await;
    let manifest: Value = serde_json::from_str(&manifest.body).expect("JSON");
    assert_eq!((manifest["start_url"].as_str(), manifest["lang"].as_str()), (Some("/home"), Some("es")));
}

#[tokio::test]
async fn looking_at_the_door_changes_nothing_and_shows_nobody() {
    let clinic = Clinic::open().await;
    let secret = clinic.link(MARTA).await;
    let hash = secret_hash(&secret);
    let page = clinic.get(&format!("/p/{secret}"), "").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(
        !page.body.contains("Marta")
            && !page.body.contains("Lindenhof")
            && page.headers.get(header::SET_COOKIE).is_none()
    );
    assert_eq!(page.headers[header::REFERRER_POLICY], "no-referrer");
    let other = clinic.get("/p/00000000000000000000000000000000", "").await;
    assert_eq!(other.body.replace("00000000000000000000000000000000", ""), page.body.replace(&secret, ""));
    let link = clinic.app.store().read(move |tx| links::find(tx, &hash)).await.expect("read").expect("link");
    assert_eq!((link.tries, link.last_try), (0, None));
}

#[tokio::test]
async fn unknown_expired_and_revoked_links_answer_alike() {
    let clinic = Clinic::open().await;
    let born = clinic.born(MARTA).await;
    let (revoked, expired) = (clinic.link(MARTA).await, clinic.link(MARTA).await);
    let (cookie, csrf) = clinic.log_in("ines").await;
    let hash = secret_hash(&revoked);
    let id = clinic.app.store().read(move |tx| links::find(tx, &hash)).await.expect("read").expect("link").id;
    let body = format!("csrf={csrf}&link={id}");
    // A link of another patient's page is not found there.
    let other = clinic.form(&format!("/e/{RUBEN}/home/revoke"), &cookie, &body).await;
    assert_eq!(other.status, StatusCode::NOT_FOUND);
    let answer = clinic.form(&format!("/e/{MARTA}/home/revoke"), &cookie, &body).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    let unknown = "0".repeat(32);
    let wrong = clinic.knock(&clinic.link(MARTA).await, date(1950, 1, 1)).await;
    let first = clinic.knock(&revoked, born).await;
    clinic.wait_days(21);
    let mut bodies =
        vec![first.body.replace(&revoked, ""), wrong.body.split("/p/").next().expect("head").into()];
    for secret in [&expired, &unknown] {
        let answer = clinic.knock(secret, born).await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED);
        bodies.push(answer.body.replace(secret.as_str(), ""));
    }
    assert_eq!(first.status, StatusCode::UNAUTHORIZED);
    assert!(bodies[0] == bodies[2] && bodies[2] == bodies[3]);
    assert!(bodies[0].starts_with(&bodies[1]), "a wrong date looks like an unknown link");
}

#[tokio::test]
async fn five_wrong_dates_take_the_link_back_and_the_clinic_sees_it() {
    let clinic = Clinic::open().await;
    let (secret, born) = (clinic.link(MARTA).await, clinic.born(MARTA).await);
    let blank = clinic.form(&format!("/p/{secret}"), "", "day=31&month=2&year=1980").await;
    assert_eq!(blank.status, StatusCode::UNPROCESSABLE_ENTITY);
    for _ in 0..5 {
        assert_eq!(clinic.knock(&secret, date(1901, 1, 1)).await.status, StatusCode::UNAUTHORIZED);
    }
    assert_eq!(clinic.knock(&secret, born).await.status, StatusCode::UNAUTHORIZED);
    let (cookie, _) = clinic.log_in("ines").await;
    let list = clinic.get(&format!("/e/{MARTA}/home"), &cookie).await;
    assert!(list.body.contains("locked after wrong tries"), "{}", list.body);
    // Many tries in quick succession are slowed down, whatever the link.
    let mut last = StatusCode::OK;
    for _ in 0..10 {
        last = clinic.knock(&secret, born).await.status;
    }
    assert_eq!(last, StatusCode::TOO_MANY_REQUESTS);
}

#[tokio::test]
async fn a_forged_or_ended_session_sees_nothing() {
    let clinic = Clinic::open().await;
    for cookie in ["", "handrail-home=0000000000000000000000000000000x"] {
        for path in ["/home", "/home/session", "/home/state"] {
            let answer = clinic.get(path, cookie).await;
            assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}");
            assert!(!answer.body.contains("Marta"));
        }
    }
    // A session of the clinic is no patient's session.
    let (cookie, _) = clinic.log_in("ines").await;
    assert_eq!(clinic.get("/home", &cookie).await.status, StatusCode::NOT_FOUND);
    let phone = clinic.phone(MARTA).await;
    let body = phone.diary(KEY).await;
    let without = clinic.post("/home/diary", &phone.cookie, "application/json", None, body.to_string()).await;
    assert_eq!(without.status, StatusCode::FORBIDDEN);
    clinic.wait_days(21);
    assert_eq!(phone.home().await.status, StatusCode::NOT_FOUND);
    assert_eq!(phone.report(&body).await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn leaving_ends_the_session_of_this_phone() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone(MARTA).await;
    let answer = clinic.form("/home/leave", &phone.cookie, &format!("csrf={}", phone.csrf)).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(phone.home().await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_diary_sent_again_is_written_once_and_answered_the_same() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone(MARTA).await;
    let before = phone.diaries().await;
    let body = phone.diary(KEY).await;
    let first = phone.report(&body).await;
    assert_eq!(first.status, StatusCode::OK, "{}", first.body);
    for _ in 0..3 {
        let again = phone.report(&body).await;
        assert_eq!((again.status, &again.body), (first.status, &first.body));
    }
    let (left, right) = tokio::join!(phone.report(&body), phone.report(&body));
    assert_eq!((left.body.as_str(), right.body.as_str()), (first.body.as_str(), first.body.as_str()));
    assert_eq!(phone.diaries().await, before + 1);
    let loaded = clinic.loaded(MARTA).await;
    let diary = &loaded.episode.course.diaries.last().expect("diary").fact;
    assert_eq!((diary.source, diary.pain_during), (DiarySource::Page, Some(3)));
    assert_eq!(diary.note.as_deref(), Some("Went well."));
    let record = loaded.of_kind("diary").next_back().expect("record");
    assert!(record.by.id.starts_with("patient:") && record.by.name == loaded.episode.patient.name);
    // A new session on the same phone sends what the old one kept: still once.
    let second = clinic.phone(MARTA).await;
    assert_eq!(second.report(&body).await.body, first.body);
    assert_eq!(phone.diaries().await, before + 1);
}

#[tokio::test]
async fn what_cannot_be_is_refused_and_nothing_is_written() {
    let clinic = Clinic::open().await;
    let (phone, other) = (clinic.phone(MARTA).await, clinic.phone(RUBEN).await);
    let good = phone.diary(KEY).await;
    let foreign = other.diary(KEY).await;
    let before = (phone.diaries().await, other.diaries().await);
    let change = |at: &str, value: Value| {
        let mut body = good.clone();
        *body.pointer_mut(at).expect("place") = value;
        body
    };
    let tomorrow = clinic.today().saturating_add(Span::new().days(1));
    let surgery = clinic.loaded(MARTA).await.episode.operation.surgery;
    let eve = surgery.saturating_sub(Span::new().days(1));
    let first = good["diary"]["done"][0].clone();
    let cases = [
        ("another patient's exercise", change("/diary/done", foreign["diary"]["done"].clone())),
        ("another patient's page", change("/tag", foreign["tag"].clone())),
        ("an invented exercise", change("/diary/done/0/exercise", json!("moon-walk"))),
        ("a version never given", change("/diary/version", json!(99))),
        ("exercises without a version", change("/diary/version", json!(0))),
        ("tomorrow", change("/diary/on", json!(tomorrow))),
        ("before the surgery", change("/diary/on", json!(eve))),
        ("no date", change("/diary/on", json!("2026-02-30"))),
        ("pain of 11", change("/diary/pain_during", json!(11))),
        ("too many repetitions", change("/diary/done/0/reps", json!(5000))),
        ("too many sets", change("/diary/done/0/sets", json!(31))),
        ("repetitions in no set", change("/diary/done/0/sets", json!(0))),
        ("the same exercise twice", change("/diary/done", json!([first, first]))),
        ("a short key", change("/key", json!("1"))),
        ("a key with other signs", change("/key", json!("page-0011223344/../x y z"))),
        ("a long note", change("/diary/note", json!("x".repeat(3000)))),
        ("an episode in the body", {
            let mut it = good.clone();
            it["episode"] = json!(RUBEN);
            it
        }),
        ("nothing", json!({ "key": KEY, "tag": phone.tag })),
        (
            "an empty diary",
            json!({ "key": KEY, "tag": phone.tag, "diary": { "on": clinic.today(), "version": 0 } }),
        ),
    ];
    for (name, body) in cases {
        let answer = phone.report(&body).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}: {}", answer.body);
        let told: Value = serde_json::from_str(&answer.body).expect("JSON");
        assert!(
            told["error"].as_str().is_some_and(|it| it.len() > 10 && !it.contains("[no words")),
            "{name}"
        );
    }
    assert_eq!((phone.diaries().await, other.diaries().await), before);
    assert_eq!(phone.report(&good).await.status, StatusCode::OK);
}

#[tokio::test]
async fn a_warning_sign_is_taken_whatever_the_phones_clock_says() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone(MARTA).await;
    let far = clinic.today().saturating_add(Span::new().days(400));
    for (key, on) in [("a", far), ("b", date(2001, 1, 1))] {
        let body = json!({ "key": format!("{KEY}{key}"), "tag": phone.tag, "diary": { "on": on, "version": 77,
            "signs": [{ "urgency": "emergency", "says": "You are suddenly short of breath." }] } });
        let answer = phone.report(&body).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    }
    let loaded = clinic.loaded(MARTA).await;
    let signed: Vec<Date> = loaded
        .episode
        .course
        .diaries
        .iter()
        .filter(|it| !it.fact.signs.is_empty())
        .map(|it| it.fact.on)
        .collect();
    assert!(
        signed.contains(&clinic.today()) && signed.contains(&loaded.episode.operation.surgery),
        "{signed:?}"
    );
    let summary = handrail_progress::attention(
        &loaded.episode,
        &clinic.app.content().library().protocols["achilles-repair"],
        clinic.today(),
    );
    assert_eq!(summary[0].rank, summary.iter().map(|it| it.rank).min().expect("rank"));
    assert!(summary[0].entry.is_some_and(|it| loaded.record(it).is_some_and(|it| it.kind == "diary")));
}

#[tokio::test]
async fn a_message_goes_with_a_diary_or_alone() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone(MARTA).await;
    let before = clinic.loaded(MARTA).await.episode.course.messages.len();
    let mut body = phone.diary(KEY).await;
    body["message"] = json!("May I shower?");
    for _ in 0..2 {
        assert_eq!(phone.report(&body).await.status, StatusCode::OK);
    }
    let alone = json!({ "key": format!("{KEY}2"), "tag": phone.tag, "message": "<b>Thanks</b>" });
    assert_eq!(phone.report(&alone).await.status, StatusCode::OK);
    let loaded = clinic.loaded(MARTA).await;
    let messages = &loaded.episode.course.messages;
    assert_eq!(messages.len(), before + 2);
    assert!(messages[before..].iter().all(|it| it.fact.1.from == MessageFrom::Patient));
    let page = phone.home().await;
    assert!(page.body.contains("&lt;b&gt;Thanks&lt;/b&gt;") && !page.body.contains("<b>Thanks"));
}

#[tokio::test]
async fn opening_is_written_down_and_a_version_counts_as_given_once() {
    let clinic = Clinic::open().await;
    // The sheet of this patient is in order: an order that came later would keep it from being written.
    let episode = "philippa-rennard";
    let phone = clinic.phone(episode).await;
    let count = |loaded: &Loaded| {
        loaded
            .entries
            .iter()
            .filter(|it| matches!(&it.fact, Fact::Issued(it) if it.medium == Medium::Page))
            .count()
    };
    let version = page_data(&phone.home().await.body)["version"].as_u64().expect("version") as u32;
    phone.home().await;
    let loaded = clinic.loaded(episode).await;
    let of_version = |it: &Loaded| {
        it.episode
            .course
            .issued
            .iter()
            .filter(|it| it.fact.1.version == version && it.fact.1.medium == Medium::Page)
            .count()
    };
    assert_eq!(of_version(&loaded), 1);
    let all = count(&loaded);
    phone.home().await;
    assert_eq!(count(&*clinic.loaded(episode).await), all);
    let views = clinic
        .app
        .store()
        .read(move |tx| {
            let filter = handrail_store::journal::Filter { only_kinds: &["view"], ..Default::default() };
            handrail_store::journal::read(tx, episode, filter)
        })
        .await
        .expect("views");
    assert!(views.iter().any(|it| it.by.id.starts_with("patient:") && it.payload.contains("patient page")));
}

#[tokio::test]
async fn an_order_after_the_sheet_is_not_silenced_by_opening_the_page() {
    let clinic = Clinic::open().await;
    // An order was written down after this patient's sheet had been given.
    let episode = "greta-holloway";
    let protocol = clinic.app.content().library().protocols["rotator-cuff-repair"].clone();
    let out_of_date = |loaded: &Loaded| {
        handrail_progress::attention(&loaded.episode, &protocol, clinic.today())
            .iter()
            .any(|it| it.reason == handrail_progress::Reason::SheetOutOfDate && it.holds_on(clinic.today()))
    };
    assert!(out_of_date(&*clinic.loaded(episode).await));
    let phone = clinic.phone(episode).await;
    phone.home().await;
    assert!(out_of_date(&*clinic.loaded(episode).await));
}

#[tokio::test]
async fn a_program_past_its_last_day_shows_no_session_and_says_to_call() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone(MARTA).await;
    let first = phone.home().await;
    assert!(first.body.contains("href=\"/home/session\""));
    let until: Date = page_data(&first.body)["until"].as_str().expect("date").parse().expect("date");
    let guided = clinic.get("/home/session", &phone.cookie).await;
    assert_eq!(guided.status, StatusCode::OK);
    let policy = guided.headers[header::CONTENT_SECURITY_POLICY].to_str().expect("text").to_string();
    assert!(policy.contains("script-src 'sha256-") && !policy.contains("unsafe"), "{policy}");
    let mut days = 0;
    while clinic.today() <= until {
        clinic.wait_days(1);
        days += 1;
        assert!(days < 20, "the sheet never ends");
    }
    let page = phone.home().await;
    assert_eq!(page.status, StatusCode::OK, "the link outlives the sheet");
    assert!(!page.body.contains("href=\"/home/session\"") && page.body.contains("out of date"));
    assert!(page.body.contains("tel:911") && page.body.contains("tel:5550134"));
    assert_eq!(clinic.get("/home/session", &phone.cookie).await.location(), "/home");
    // What was done yesterday, by the version that was still valid, is taken.
    let yesterday = clinic.today().saturating_sub(Span::new().days(1));
    let version = page_data(&first.body)["version"].clone();
    let (id, sets, reps) = exercises(&first.body).remove(0);
    let late = json!({ "key": KEY, "tag": phone.tag, "diary": { "on": yesterday, "version": version,
        "done": [{ "exercise": id, "sets": sets, "reps": sets * reps }] } });
    assert_eq!(phone.report(&late).await.status, StatusCode::OK);
}

#[tokio::test]
async fn the_page_is_whole_in_both_languages_for_every_patient() {
    let clinic = Clinic::open().await;
    let library = Library::built_in().expect("library");
    let all = handrail_demo::clinic(&library, clinic.today(), 1).expect("demo");
    let mut sessions = 0;
    for episode in &all.episodes {
        if clinic.loaded(&episode.id).await.episode.course.closed.is_some() {
            continue;
        }
        let phone = clinic.phone(&episode.id).await;
        for lang in ["en", "es"] {
            let cookies = format!("{}; lang={lang}", phone.cookie);
            let page = clinic.get("/home", &cookies).await;
            assert_eq!(page.status, StatusCode::OK, "{}", episode.id);
            assert!(!page.body.contains("[no words"), "{} {lang}", episode.id);
            assert!(page.body.contains(&format!("<html lang=\"{lang}\"")));
            if page.body.contains("href=\"/home/session\"") {
                sessions += 1;
                let guided = clinic.get("/home/session", &cookies).await;
                assert_eq!(guided.status, StatusCode::OK, "{} {lang}", episode.id);
            }
        }
    }
    assert!(sessions >= 10, "{sessions}");
}

#[tokio::test]
async fn roles_see_what_is_theirs() {
    let clinic = Clinic::open().await;
    let path = format!("/e/{MARTA}/home");
    let (front, csrf) = clinic.log_in("petra").await;
    let page = clinic.get(&path, &front).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(
        page.body.contains("Marta") && !page.body.contains("Achilles"),
        "the front desk sees no clinical content"
    );
    let file = clinic.form(&format!("{path}/file"), &front, &format!("csrf={csrf}")).await;
    assert_eq!(file.status, StatusCode::FORBIDDEN);
    for (login, sees) in [("noel", false), ("joris", false), ("helena", true)] {
        let body = format!("name={login}&password={}", seed::PASSWORD.replace(' ', "+"));
        let cookie = clinic.form("/login", "", &body).await.cookie("handrail-desk").expect("cookie");
        let status = clinic.get(&path, &format!("handrail-desk={cookie}")).await.status;
        assert_eq!(status == StatusCode::OK, sees, "{login}");
    }
    let (ines, csrf) = clinic.log_in("ines").await;
    for (expires, why) in [("2026-11-01", "past"), ("2030-01-01", "far")] {
        let answer =
            clinic.form(&format!("{path}/link"), &ines, &format!("csrf={csrf}&expires={expires}")).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{why}");
    }
    let file = clinic.form(&format!("{path}/file"), &ines, &format!("csrf={csrf}")).await;
    assert_eq!(file.status, StatusCode::OK);
    assert!(file.headers[header::CONTENT_DISPOSITION].to_str().expect("text").starts_with("attachment"));
    let loaded = clinic.loaded(MARTA).await;
    assert_eq!(loaded.episode.course.issued.last().expect("issued").fact.1.medium, Medium::File);
    assert_eq!(clinic.get("/e/nobody-here/home", &ines).await.status, StatusCode::NOT_FOUND);
    assert_eq!(clinic.get(&format!("{path}/paper"), &ines).await.status, StatusCode::OK);
}

#[tokio::test]
async fn one_run_of_a_guided_session_counts_once_and_its_sign_stays_raised() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone(MARTA).await;
    let before = phone.diaries().await;
    let run = format!("{MARTA}-v1:{}T07:05:00", clinic.today());
    let sign = json!({ "key": format!("guided-sign:{run}"), "tag": phone.tag, "diary": { "on": clinic.today(),
        "version": 1, "guided": true, "signs": [{ "urgency": "same_day", "says": "Call the same day" }] } });
    assert_eq!(phone.report(&sign).await.status, StatusCode::OK);
    let mut diary = phone.diary(&format!("guided:{run}")).await;
    diary["diary"]["guided"] = json!(true);
    let first = phone.report(&diary).await;
    assert_eq!(first.status, StatusCode::OK, "{}", first.body);
    assert_eq!(phone.report(&diary).await.body, first.body);
    assert_eq!(phone.diaries().await, before + 1);
    let loaded = clinic.loaded(MARTA).await;
    let kept = &loaded.episode.course.diaries.last().expect("diary").fact;
    assert_eq!((kept.source, kept.signs.len(), kept.pain_during), (DiarySource::Guided, 1, Some(3)));
}

#[tokio::test]
async fn a_version_carries_one_date_on_the_page_and_in_its_guided_session() {
    let clinic = Clinic::open().await;
    let phone = clinic.phone("philippa-rennard").await;
    let loaded = clinic.loaded("philippa-rennard").await;
    let page = phone.home().await.body;
    let version = page_data(&page)["version"].as_u64().expect("version") as u32;
    let program = loaded.episode.programs.iter().find(|it| it.version == version).expect("program");
    assert!(program.issued < clinic.today(), "an older issue date, or the test shows nothing");
    let guided = clinic.get("/home/session", &phone.cookie).await.body;
    assert!(guided.contains(&format!("\"issued\":\"{}\"", program.issued)), "{}", program.issued);
}

#[tokio::test]
async fn what_is_worn_has_its_own_heading_and_a_sign_for_the_visit_does_not_say_to_call_now() {
    let clinic = Clinic::open().await;
    let page = clinic.phone("marta-okonjo").await.home().await.body;
    let section =
        |id: &str| between(&page, &format!("id=\"{id}\""), "</section>").expect("section").to_string();
    assert!(section("wear").contains("Wear your boot"));
    assert!(!section("limits").split("<details").next().expect("list").contains("Wear your boot"));
    let visit = section("call-next_visit");
    assert!(!visit.contains("Do not exercise now") && !visit.contains("So call"), "{visit}");
    assert!(visit.contains("until you have told your therapist") && visit.contains("data-picked"));
    assert!(section("call-same_day").contains("Do not exercise now"));
    // Blank counts: nothing is told that nobody wrote.
    assert!(page.contains("data-count=\"sets\"") && !page.contains("maxlength=\"4\" value"));
}
