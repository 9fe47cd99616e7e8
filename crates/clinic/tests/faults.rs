//! What people are told when something fails behind the page, what becomes of what they typed, and a clock that was
//! set back.

mod common;

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use axum::Router;
use axum::body::Body;
use axum::http::{HeaderMap, Request, StatusCode, header};
use common::{Answer, Desk, Person, now};
use handrail_clinic::fault::Fault;
use handrail_clinic::routes::{Route, table};
use handrail_clinic::{App, Clock, Config, Listen, Right, Role, router, router_within};
use handrail_store::{StoreError, journal};
use jiff::civil::date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};

const MARTA: &str = "marta-okonjo";
const FILE: &str = "/srv/records/clinic.db";

/// Every way in which the database fails, and what a clinician reads of it.
fn failures() -> Vec<(StoreError, [&'static str; 2])> {
    let (place, detail) = (|| FILE.to_string(), || "disk I/O error".to_string());
    vec![
        (StoreError::Full { place: place() }, ["full", "lleno"]),
        (
            StoreError::ReadOnly { place: place(), detail: detail() },
            ["cannot be written", "no se puede escribir"],
        ),
        (StoreError::Corrupt { place: place(), detail: detail() }, ["damaged", "dañada"]),
        (StoreError::WrongKey { place: place() }, ["damaged", "dañada"]),
        (
            StoreError::Away { place: place(), detail: detail(), unsure: false },
            ["cannot be reached", "No se llega"],
        ),
        (StoreError::Away { place: place(), detail: detail(), unsure: true }, ["is not known", "No se sabe"]),
        (StoreError::Busy { place: place() }, ["Another program", "Otro programa"]),
        (StoreError::Disk { place: place(), detail: detail() }, ["disk of the clinic", "disco del servidor"]),
        (StoreError::Sql { place: place(), detail: detail() }, ["could not be read", "No se pudo leer"]),
        (StoreError::Panicked { detail: place() }, ["could not be read", "No se pudo leer"]),
    ]
}

/// The routes of the program, and for each failure one that answers with it: as a page of the clinic, as a form, as data,
/// and as a page of a patient.
fn with_failures(app: &App) -> Router {
    let mut routes = table();
    for (n, (error, _)) in failures().into_iter().enumerate() {
        let fails = move || {
            let error = error.clone();
            async move { Err::<(), Fault>(Fault::Store(error)) }
        };
        let path = |kind: &str| -> &'static str { Box::leak(format!("/fails/{kind}/{n}").into_boxed_str()) };
        routes.push(Route::get(path("page"), Right::Record, fails.clone()));
        routes.push(Route::post(path("form"), Right::Record, fails.clone()));
        routes.push(Route::post(path("data"), Right::Record, fails.clone()).data());
        routes.push(Route::get(path("home"), Right::Patient, fails.clone()));
        routes.push(Route::post(path("report"), Right::Patient, fails.clone()).data());
        routes.push(Route::get(path("anyone"), Right::Anyone, fails));
    }
    async fn breaks() -> Result<(), Fault> {
        panic!("a hole in the floor")
    }
    routes.push(Route::get("/breaks", Right::Record, breaks));
    router(app, routes)
}

async fn failing() -> Desk {
    let mut desk = Desk::with_patients().await;
    desk.router = with_failures(&desk.app);
    desk
}

async fn get_in(desk: &Desk, who: Option<&Person>, path: &str, lang: &str) -> Answer {
    let mut request = Request::get(path).header(header::HOST, "clinic.test").header("accept-language", lang);
    if let Some(who) = who {
        request = request.header(header::COOKIE, &who.cookie);
    }
    desk.ask(request.body(Body::empty()).expect("a request")).await
}

fn is_ours(headers: &HeaderMap) -> bool {
    headers.contains_key(header::CONTENT_SECURITY_POLICY) && headers.contains_key("x-content-type-options")
}

#[tokio::test(flavor = "multi_thread")]
async fn each_failure_of_the_database_is_a_page_in_the_persons_language_that_says_how_to_mend_it() {
    let desk = failing().await;
    let (ines, marta) = (desk.person(Role::Therapist).await, desk.patient(MARTA).await);
    for (n, (error, says)) in failures().into_iter().enumerate() {
        let status = match error {
            StoreError::Full { .. } => StatusCode::INSUFFICIENT_STORAGE,
            _ => StatusCode::SERVICE_UNAVAILABLE,
        };
        for (lang, says) in [("en", says[0]), ("es", says[1])] {
            let page = get_in(&desk, Some(&ines), &format!("/fails/page/{n}"), lang).await;
            let name = format!("{error:?} in {lang}: {}", page.text);
            assert_eq!(page.status, status, "{name}");
            assert!(
                page.text.contains(says) && page.text.contains(&format!("<html lang=\"{lang}\"")),
                "{name}"
            );
            assert!(page.text.matches("<p>").count() >= 3 && !page.text.contains("[no words"), "{name}");
            assert!(is_ours(&page.headers) && page.headers.contains_key(header::RETRY_AFTER), "{name}");
            // Where the records are helps those who work here; nobody else is told.
            assert!(page.text.contains(FILE), "{name}");
            let visitor = get_in(&desk, None, &format!("/fails/anyone/{n}"), lang).await;
            assert!(visitor.status == status && visitor.text.contains(says), "{name}");
            assert!(!visitor.text.contains("/srv"), "{}", visitor.text);
            let home = get_in(&desk, Some(&marta), &format!("/fails/home/{n}"), lang).await;
            let kept = if lang == "en" { "stays on your phone" } else { "sigue en su teléfono" };
            let call = if lang == "en" { "emergency number" } else { "número de emergencias" };
            assert_eq!(home.status, status);
            assert!(home.text.contains(kept) && home.text.contains(call), "{}", home.text);
            assert!(!home.text.contains("/srv") && !home.text.contains("disk"), "{}", home.text);
        }
        let report = desk.post(Some(&marta), &format!("/fails/report/{n}"), &[]).await;
        let told: Value = serde_json::from_str(&report.text).expect("JSON");
        assert!(
            report.status == status && told["mend"].as_str().is_some_and(|it| it.contains("your phone")),
            "{told}"
        );
        let data = desk.post(Some(&ines), &format!("/fails/data/{n}"), &[]).await;
        let told: Value = serde_json::from_str(&data.text).expect("JSON");
        assert!(told["error"].as_str().is_some_and(|it| it.contains(says[0])), "{told}");
        assert!(told["mend"].as_str().is_some_and(|it| it.len() > 20), "{told}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_typed_comes_back_to_be_sent_again_but_no_password() {
    let desk = failing().await;
    let ines = desk.person(Role::Therapist).await;
    let fields = [("says", "1 < 2 & \"so on\"\nnext"), ("pick", "a"), ("pick", "b"), ("csrf", &ines.csrf)];
    let page = desk.post(Some(&ines), "/fails/form/0?draft=1", &fields).await;
    for part in [
        "method=\"post\" action=\"/fails/form/0?draft=1\"",
        "name=\"says\" value=\"1 &lt; 2 &amp; &quot;so on&quot;\nnext\"",
        "name=\"pick\" value=\"a\"",
        "name=\"pick\" value=\"b\"",
        &format!("name=\"csrf\" value=\"{}\"", ines.csrf),
        "Send it again",
    ] {
        assert!(page.text.contains(part), "{part}: {}", page.text);
    }
    for secret in ["password", "present"] {
        let page =
            desk.post(Some(&ines), "/fails/form/0", &[(secret, "wade tulip"), ("new", "oblong nine")]).await;
        assert!(!page.text.contains("tulip") && !page.text.contains("oblong"), "{}", page.text);
    }
    // What a form from elsewhere says is not repeated.
    let request = Request::post("/fails/form/0")
        .header(header::HOST, "clinic.test")
        .header(header::ORIGIN, "https://elsewhere.test")
        .header(header::COOKIE, &ines.cookie)
        .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    let page = desk.ask(request.body(Body::from("says=planted")).expect("a request")).await;
    assert!(page.status == StatusCode::FORBIDDEN && !page.text.contains("planted"), "{}", page.text);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_request_that_breaks_off_or_cannot_be_read_is_told_on_a_page_of_ours() {
    let desk = failing().await;
    let ines = desk.person(Role::Therapist).await;
    let broken = get_in(&desk, Some(&ines), "/breaks", "es").await;
    assert_eq!(broken.status, StatusCode::INTERNAL_SERVER_ERROR);
    assert!(
        broken.text.contains("Un error del programa") && !broken.text.contains("hole"),
        "{}",
        broken.text
    );
    assert!(is_ours(&broken.headers));
    for (path, status) in [
        ("/e/%ff%fe", StatusCode::BAD_REQUEST),
        ("/e/marta-okonjo/record/correct/many", StatusCode::BAD_REQUEST),
        ("/?page=many", StatusCode::BAD_REQUEST),
        ("/logout", StatusCode::METHOD_NOT_ALLOWED),
    ] {
        let answer = get_in(&desk, Some(&ines), path, "es").await;
        assert_eq!(answer.status, status, "{path}");
        assert!(answer.text.contains("No se puede leer"), "{path}: {}", answer.text);
        assert!(is_ours(&answer.headers), "{path}");
    }
}

/// What is still under way after the longest time is told as a page that keeps what was sent, and is no answer of success.
#[tokio::test(flavor = "multi_thread")]
async fn what_takes_too_long_is_told_and_keeps_what_was_typed() {
    async fn never() -> Result<(), Fault> {
        std::future::pending().await
    }
    let mut desk = Desk::with_patients().await;
    let ines = desk.person(Role::Therapist).await;
    let routes = vec![
        Route::get("/slow", Right::Record, never),
        Route::post("/slow", Right::Record, never),
        Route::post("/slow/data", Right::Record, never).data(),
    ];
    desk.router = router_within(&desk.app, routes, Duration::from_millis(400));
    for (lang, says) in [("en", "took too long"), ("es", "tardó demasiado")] {
        let page = get_in(&desk, Some(&ines), "/slow", lang).await;
        assert_eq!(page.status, StatusCode::SERVICE_UNAVAILABLE);
        assert!(page.text.contains(says) && page.text.contains(&format!("lang=\"{lang}\"")), "{}", page.text);
        assert!(is_ours(&page.headers));
    }
    let form = desk.post(Some(&ines), "/slow", &[("says", "what was typed")]).await;
    assert_eq!(form.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(form.text.contains("what was typed"), "{}", form.text);
    let data = desk.post(Some(&ines), "/slow/data", &[("says", "x")]).await;
    assert_eq!(data.status, StatusCode::SERVICE_UNAVAILABLE);
    assert!(serde_json::from_str::<Value>(&data.text).is_ok(), "{}", data.text);
}

/// A clinic whose clock can be turned, on the records of another.
fn turned(desk: &Desk) -> (Desk2, Arc<AtomicI64>) {
    let shift = Arc::new(AtomicI64::new(0));
    let shown = shift.clone();
    let clock = Clock::of(move || now() + SignedDuration::from_secs(shown.load(Ordering::SeqCst)));
    let store = desk.store.clone();
    let config = Config { store, listen: Listen::loopback(0), clock, zone: TimeZone::UTC, content: None };
    let app = App::new(config).unwrap_or_else(|problems| panic!("{problems}"));
    (Desk2 { router: router(&app, table()), app }, shift)
}

struct Desk2 {
    app: App,
    router: Router,
}

const DAY_S: i64 = 24 * 3600;

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_that_was_set_back_is_told_and_no_diary_is_lost_by_it() {
    let mut desk = Desk::with_patients().await;
    let (ines, marta) = (desk.person(Role::Therapist).await, desk.patient(MARTA).await);
    let (other, shift) = turned(&desk);
    desk.router = other.router;
    let page = |lang: &'static str| get_in(&desk, Some(&ines), "/", lang);
    let alert = ["clock of the clinic", "reloj del servidor"];
    assert!(!page("en").await.text.contains(alert[0]), "a clock that goes right is not spoken of");
    let state: Value = serde_json::from_str(&desk.get(Some(&marta), "/home/state").await.text).expect("JSON");
    let version = {
        let loaded = handrail_clinic::records::load(&other.app, MARTA).await.expect("episode");
        loaded.episode.course.issued.last().expect("a sheet").fact.1.version
    };
    let diary = |n: u32, on: &str| {
        json!({ "key": format!("page-{n:032}"), "tag": state["tag"],
            "diary": { "on": on, "version": version, "pain_during": 3 } })
    };
    let desk_ = &desk;
    let send = |body: Value| {
        let marta = &marta;
        async move {
            let request = Request::post("/home/diary")
                .header(header::HOST, "clinic.test")
                .header("sec-fetch-site", "same-origin")
                .header(header::COOKIE, &marta.cookie)
                .header("x-csrf", &marta.csrf)
                .header(header::CONTENT_TYPE, "application/json");
            desk_.ask(request.body(Body::from(body.to_string())).expect("a request")).await
        }
    };
    assert_eq!(send(diary(1, "2026-11-25")).await.status, StatusCode::OK);
    assert_eq!(send(diary(2, "2026-11-26")).await.status, StatusCode::UNPROCESSABLE_ENTITY, "tomorrow");

    // Five days back, and another server on the same records that begins only now.
    shift.store(-5 * DAY_S, Ordering::SeqCst);
    for (lang, says) in [("en", alert[0]), ("es", alert[1])] {
        assert!(page(lang).await.text.contains(says), "{lang}");
    }
    let latest = desk.store.read(journal::latest).await.expect("read").expect("a moment");
    assert!(latest >= now() && latest < now() + SignedDuration::from_secs(60), "{latest}");
    let fresh = Clock::of(|| now() - SignedDuration::from_hours(5 * 24));
    assert_eq!(fresh.behind(), None::<Timestamp>);
    fresh.saw(latest);
    assert_eq!(fresh.behind(), Some(latest));

    // The day of the last record is known to have come; a later one is kept by the phone until the clock is right.
    assert_eq!(send(diary(3, "2026-11-25")).await.status, StatusCode::OK);
    let waits = send(diary(4, "2026-11-26")).await;
    assert_eq!(waits.status, StatusCode::SERVICE_UNAVAILABLE, "{}", waits.text);
    assert!(waits.text.contains("your phone"), "{}", waits.text);
    let note =
        desk.post(Some(&ines), &format!("/e/{MARTA}/record/note"), &[("says", "written meanwhile")]).await;
    assert_eq!(note.status, StatusCode::SEE_OTHER, "{}", note.text);

    shift.store(DAY_S, Ordering::SeqCst);
    let cookie_is_old = get_in(&desk, Some(&ines), "/", "en").await;
    assert!(!cookie_is_old.text.contains(alert[0]), "the clock is right again");
    for _ in 0..2 {
        assert_eq!(send(diary(4, "2026-11-26")).await.status, StatusCode::OK);
    }
    let loaded = handrail_clinic::records::load(&other.app, MARTA).await.expect("episode");
    for n in [1, 3, 4] {
        let key = format!("page-{n:032}");
        assert_eq!(loaded.records.iter().filter(|it| it.key.as_deref() == Some(&key)).count(), 1, "{key}");
    }
    let verified = desk.store.read(journal::verify).await.expect("verified");
    assert!(verified.is_whole(), "{:?}", verified.faults);
    assert!(!verified.remarks.is_empty(), "the walk remarks that the clock went back");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_clock_that_was_ahead_once_is_put_right_by_a_person_who_knows_the_day() {
    let mut desk = Desk::with_patients().await;
    let (ines, lead) = (desk.person(Role::Therapist).await, desk.person(Role::Administrator).await);
    let (other, shift) = turned(&desk);
    desk.router = other.router;
    let alert = "clock of the clinic";
    // A year ahead, for one entry.
    shift.store(365 * DAY_S, Ordering::SeqCst);
    let by = handrail_store::journal::Author { id: "test".into(), name: "Test".into() };
    let says = handrail_episode::Note { says: "written ahead".into(), by: "Test".into() };
    let new = handrail_clinic::records::New::fact(date(2027, 11, 25), handrail_episode::Fact::Note(says));
    handrail_clinic::records::write(&other.app, MARTA, by, vec![new], None).await.expect("written");

    shift.store(0, Ordering::SeqCst);
    assert!(get_in(&desk, Some(&ines), "/", "en").await.text.contains(alert));
    let page = desk.get(Some(&lead), "/settings/clinic").await;
    assert!(page.text.contains("action=\"/settings/clock\""), "{}", page.text);
    assert_eq!(
        desk.post(Some(&ines), "/settings/clock", &[("today", "2026-11-25")]).await.status,
        StatusCode::FORBIDDEN
    );
    for wrong in ["2027-11-25", "2026-11-24", ""] {
        let refused = desk.post(Some(&lead), "/settings/clock", &[("today", wrong)]).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{wrong}");
        assert!(get_in(&desk, Some(&ines), "/", "en").await.text.contains(alert), "{wrong}");
    }
    let right = desk.post(Some(&lead), "/settings/clock", &[("today", "2026-11-25")]).await;
    assert_eq!(right.status, StatusCode::SEE_OTHER, "{}", right.text);
    assert!(!get_in(&desk, Some(&ines), "/", "en").await.text.contains(alert));

    // A server that begins later knows it too, and still notices a clock that is set back after that.
    let known = desk.store.read(handrail_clinic::settings::latest).await.expect("read").expect("a moment");
    assert!(known < now() + SignedDuration::from_secs(60), "{known}");
    shift.store(-DAY_S, Ordering::SeqCst);
    assert!(get_in(&desk, Some(&ines), "/", "en").await.text.contains(alert), "set back after that");
}
