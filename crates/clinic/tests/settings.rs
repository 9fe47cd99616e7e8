//! The settings over the whole router: who may what, accounts, codes, numbers, audit, backups, near misses.

use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, StatusCode, header};
use handrail_clinic::people::CLINIC;
use handrail_clinic::routes::table;
use handrail_clinic::{App, Clock, Config, Listen, Right, Role, numbers, records, router, seed};
use handrail_episode::Fact;
use handrail_library::Library;
use handrail_store::accounts::{self, Account};
use handrail_store::journal::{self, Filter};
use handrail_store::{Config as StoreConfig, Key, Place, Store, backup};
use jiff::SignedDuration;
use jiff::civil::date;
use jiff::tz::TimeZone;

const HOST: &str = "clinic.example";
const MARTA: &str = "marta-okonjo";
/// A login of each role.
const ROLES: [(&str, Role); 5] = [
    ("ines", Role::Therapist),
    ("noel", Role::Assistant),
    ("petra", Role::FrontDesk),
    ("helena", Role::ClinicLead),
    ("joris", Role::Administrator),
];

struct Clinic {
    app: App,
    router: Router,
    /// Seconds added to the clock.
    later: Arc<AtomicI64>,
    key: Key,
    folder: tempfile::TempDir,
}

struct Answer {
    status: StatusCode,
    headers: axum::http::HeaderMap,
    body: String,
}

impl Answer {
    fn cookie(&self) -> Option<String> {
        let all = self.headers.get_all(header::SET_COOKIE).iter().filter_map(|it| it.to_str().ok());
        let found = all.filter_map(|it| it.strip_prefix("handrail-desk=")).next()?;
        Some(format!("handrail-desk={}", found.split(';').next().unwrap_or("")))
    }

    fn location(&self) -> &str {
        self.headers.get(header::LOCATION).and_then(|it| it.to_str().ok()).unwrap_or("")
    }
}

fn between<'a>(text: &'a str, before: &str, after: &str) -> Option<&'a str> {
    let from = text.find(before)? + before.len();
    Some(&text[from..from + text[from..].find(after)?])
}

/// A logged-in browser.
struct Browser<'a> {
    clinic: &'a Clinic,
    cookie: String,
    csrf: String,
}

impl Browser<'_> {
    async fn get(&self, path: &str) -> Answer {
        self.clinic.get(path, &self.cookie).await
    }

    async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let mut all = vec![("csrf", self.csrf.as_str())];
        all.extend_from_slice(fields);
        self.clinic.form(path, &self.cookie, &all).await
    }

    async fn is_in(&self) -> bool {
        self.get("/settings").await.status == StatusCode::OK
    }
}

fn encoded(fields: &[(&str, &str)]) -> String {
    let part = |text: &str| handrail_clinic::fault::url_encode(text);
    fields.iter().map(|(name, value)| format!("{}={}", part(name), part(value))).collect::<Vec<_>>().join("&")
}

impl Clinic {
    async fn open() -> Clinic {
        let folder = tempfile::tempdir().expect("folder");
        let key = Key::random().expect("key");
        let place = Place::Sqlite(folder.path().join("clinic.db"));
        let store = Store::open(&StoreConfig::new(place, Some(key.clone()))).expect("store");
        let library = Arc::new(Library::built_in().expect("library"));
        let today = date(2026, 11, 25);
        let start = today.at(9, 0, 0, 0).to_zoned_datetime(TimeZone::UTC).expect("time").timestamp();
        let clinic = handrail_demo::clinic(&library, today, 1).expect("demo");
        seed::fill(&store, &library, &clinic, today, &TimeZone::UTC, start).await.expect("seed");
        let later = Arc::new(AtomicI64::new(0));
        let shift = later.clone();
        let clock = Clock::of(move || start + SignedDuration::from_secs(shift.load(Ordering::SeqCst)));
        let config = Config { store, listen: Listen::loopback(0), clock, zone: TimeZone::UTC, content: None };
        let app = App::new(config).expect("app");
        let routes = table();
        let router = router(&app, routes);
        Clinic { app, router, later, key, folder }
    }

    fn wait(&self, seconds: i64) {
        self.later.fetch_add(seconds, Ordering::SeqCst);
    }

    async fn send(&self, request: Request<Body>) -> Answer {
        let answer = self.router.clone().oneshot_answer(request).await;
        let (parts, body) = answer.into_parts();
        let bytes = to_bytes(body, usize::MAX).await.expect("body");
        let body = String::from_utf8_lossy(&bytes).into_owned();
        assert!(!body.contains("[no words"), "{body}");
        Answer { status: parts.status, headers: parts.headers, body }
    }

    async fn get(&self, path: &str, cookie: &str) -> Answer {
        let request = Request::builder().uri(path).header(header::HOST, HOST).header(header::COOKIE, cookie);
        self.send(request.body(Body::empty()).expect("request")).await
    }

    async fn form(&self, path: &str, cookie: &str, fields: &[(&str, &str)]) -> Answer {
        let request = Request::builder()
            .method(Method::POST)
            .uri(path)
            .header(header::HOST, HOST)
            .header(header::ORIGIN, format!("https://{HOST}"))
            .header(header::COOKIE, cookie)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request.body(Body::from(encoded(fields))).expect("request")).await
    }

    /// Tries to log in; a code where the account has one-time codes.
    async fn try_log_in(&self, login: &str, password: &str, code: &str) -> Answer {
        self.form("/login", "", &[("name", login), ("password", password), ("code", code)]).await
    }

    async fn log_in_with(&self, login: &str, password: &str, code: &str) -> Browser<'_> {
        let answer = self.try_log_in(login, password, code).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{login}: {}", answer.body);
        self.browser(answer.cookie().expect("cookie")).await
    }

    async fn browser(&self, cookie: String) -> Browser<'_> {
        let page = self.get("/settings", &cookie).await;
        let csrf = between(&page.body, "name=\"csrf\" content=\"", "\"").expect("token").to_string();
        Browser { clinic: self, cookie, csrf }
    }

    async fn log_in(&self, login: &str) -> Browser<'_> {
        self.log_in_with(login, seed::PASSWORD, "").await
    }

    async fn account(&self, login: &str) -> Account {
        let login = login.to_string();
        let found = self.app.store().read(move |tx| accounts::by_login(tx, &login)).await;
        found.expect("read").expect("account")
    }

    /// Lines of the clinic's own journal, oldest first: kind and text.
    async fn audit(&self) -> Vec<(String, String)> {
        let read =
            self.app.store().read(|tx| journal::read(tx, CLINIC, Filter::default())).await.expect("read");
        read.into_iter().map(|it| (it.kind, it.payload)).collect()
    }

    async fn audited(&self, kind: &str, part: &str) -> usize {
        self.audit().await.iter().filter(|it| it.0 == kind && it.1.contains(part)).count()
    }

    /// The code of a secret at the clinic's moment, found by trying all of them; that they are those of RFC 6238 is
    /// tested where they are checked.
    fn code(&self, secret: &str) -> String {
        let seconds = self.app.now().as_second().unsigned_abs();
        let fits =
            |it: &String| handrail_clinic::passwords::totp_step(secret, it, seconds) == Some(seconds / 30);
        (0..1_000_000).map(|it| format!("{it:06}")).find(fits).expect("code")
    }
}

/// `oneshot` with the error, which cannot be, taken off.
trait OneshotAnswer {
    async fn oneshot_answer(self, request: Request<Body>) -> axum::response::Response;
}

impl OneshotAnswer for Router {
    async fn oneshot_answer(self, request: Request<Body>) -> axum::response::Response {
        tower::ServiceExt::oneshot(self, request).await.expect("answer")
    }
}

#[tokio::test]
async fn each_role_reaches_what_the_table_says_and_nothing_else() {
    let clinic = Clinic::open().await;
    let petra = clinic.account("petra").await.id;
    for (login, role) in ROLES {
        let browser = clinic.log_in(login).await;
        for route in handrail_clinic::settings::routes() {
            let path = route.path.replace("{account}", &petra).replace("{episode}", MARTA);
            let answer = if route.method == Method::GET {
                browser.get(&path).await
            } else if role.may(route.right) {
                // What the forms do has tests of its own; here only the door counts.
                continue;
            } else {
                browser.post(&path, &[]).await
            };
            let shut = answer.status == StatusCode::FORBIDDEN;
            assert_eq!(shut, !role.may(route.right), "{login} {} {path}: {}", route.method, answer.status);
            if !shut {
                let fine = answer.status == StatusCode::OK || answer.location() == "/settings";
                assert!(fine, "{login} {path}: {} {}", answer.status, answer.body);
            }
        }
    }
    for route in handrail_clinic::settings::routes() {
        let path = route.path.replace("{account}", &petra).replace("{episode}", MARTA);
        if route.method == Method::GET {
            let answer = clinic.get(&path, "").await;
            assert!(answer.location().starts_with("/login"), "{path}: {}", answer.status);
        }
        assert!(!matches!(route.right, Right::Anyone | Right::Patient), "{path}");
    }
}

#[tokio::test]
async fn a_form_without_its_token_changes_nothing() {
    let clinic = Clinic::open().await;
    let joris = clinic.log_in("joris").await;
    let ines = clinic.account("ines").await.id;
    let path = format!("/settings/people/{ines}/active");
    let answer = clinic.form(&path, &joris.cookie, &[("active", "no"), ("csrf", "x")]).await;
    assert_eq!(answer.status, StatusCode::FORBIDDEN);
    assert!(clinic.account("ines").await.active);
}

#[tokio::test]
async fn a_new_password_asks_for_the_old_one_and_ends_all_other_sessions() {
    let clinic = Clinic::open().await;
    let (here, there) = (clinic.log_in("ines").await, clinic.log_in("ines").await);
    let new = "maple orbit candle seven";
    let fields =
        |present: &'static str, again: &'static str| [("present", present), ("new", new), ("again", again)];
    for (present, again) in [("not the password", new), (seed::PASSWORD, "maple orbit candle eight")] {
        let answer = here.post("/settings/password", &fields(present, again)).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.body);
    }
    let short = [("present", seed::PASSWORD), ("new", "short"), ("again", "short")];
    assert_eq!(here.post("/settings/password", &short).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(there.is_in().await, "a refusal ends nothing");
    let answer = here.post("/settings/password", &fields(seed::PASSWORD, new)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert!(!there.is_in().await, "the other session has ended");
    assert!(!here.is_in().await, "the old secret of this session is worth nothing");
    let anew = clinic.browser(answer.cookie().expect("a new cookie")).await;
    assert!(anew.is_in().await);
    assert_eq!(clinic.try_log_in("ines", seed::PASSWORD, "").await.status, StatusCode::UNAUTHORIZED);
    assert_eq!(clinic.try_log_in("ines", new, "").await.status, StatusCode::SEE_OTHER);
    assert_eq!(clinic.audited("account", "own password changed; 1 other").await, 1);
    assert_eq!(clinic.audited("login_failed", "wrong present password").await, 1);
}

#[tokio::test]
async fn all_other_sessions_can_be_ended() {
    let clinic = Clinic::open().await;
    let (here, there) = (clinic.log_in("petra").await, clinic.log_in("petra").await);
    let answer = here.post("/settings/sessions/end", &[]).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert!(!there.is_in().await);
    assert!(clinic.browser(answer.cookie().expect("cookie")).await.is_in().await);
}

#[tokio::test]
async fn one_time_codes_count_from_the_first_code_on_and_each_code_once() {
    let clinic = Clinic::open().await;
    let ines = clinic.log_in("ines").await;
    let wrong = ines.post("/settings/codes/begin", &[("present", "not the password")]).await;
    assert_eq!(wrong.status, StatusCode::UNPROCESSABLE_ENTITY);
    let begun = ines.post("/settings/codes/begin", &[("present", seed::PASSWORD)]).await;
    assert_eq!(begun.location(), "/settings/codes");
    let page = ines.get("/settings/codes").await.body;
    assert!(page.contains("<svg"), "a picture to read");
    let secret = between(&page, "settings-secret\">", "<").expect("secret").replace(' ', "");
    assert!(clinic.account("ines").await.totp.is_none(), "nothing counts before the first code");
    assert_eq!(clinic.try_log_in("ines", seed::PASSWORD, "").await.status, StatusCode::SEE_OTHER);

    let first = clinic.code(&secret);
    let other = if first == "000000" { "111111" } else { "000000" };
    let refused = ines.post("/settings/codes/confirm", &[("code", other)]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(clinic.account("ines").await.totp.is_none());
    let confirmed = ines.post("/settings/codes/confirm", &[("code", &first)]).await;
    assert_eq!(confirmed.status, StatusCode::SEE_OTHER, "{}", confirmed.body);
    assert_eq!(clinic.account("ines").await.totp.as_deref(), Some(secret.as_str()));
    let ines = clinic.browser(confirmed.cookie().expect("another session")).await;
    assert_eq!(ines.get("/settings/codes").await.location(), "/settings", "the secret is not shown again");

    let log_in = |code: String| {
        let clinic = &clinic;
        async move { clinic.try_log_in("ines", seed::PASSWORD, &code).await.status }
    };
    assert_eq!(log_in(String::new()).await, StatusCode::UNAUTHORIZED, "without a code");
    assert_eq!(log_in(first).await, StatusCode::UNAUTHORIZED, "the code of the enrolment was used");
    clinic.wait(60);
    let second = clinic.code(&secret);
    assert_eq!(log_in(second.clone()).await, StatusCode::SEE_OTHER);
    assert_eq!(log_in(second).await, StatusCode::UNAUTHORIZED, "the same code again");

    // The phone is lost: the administrator turns the codes off, and only the password is asked for.
    let joris = clinic.log_in("joris").await;
    let id = clinic.account("ines").await.id;
    let off = joris.post(&format!("/settings/people/{id}/codes-off"), &[]).await;
    assert_eq!(off.status, StatusCode::SEE_OTHER, "{}", off.body);
    assert_eq!(log_in(String::new()).await, StatusCode::SEE_OTHER);
    assert_eq!(clinic.audited("account", "own one-time codes turned on").await, 1);
    assert_eq!(clinic.audited("account", "ines: one-time codes turned off").await, 1);
}

#[tokio::test]
async fn a_secret_that_waits_too_long_is_worth_nothing() {
    let clinic = Clinic::open().await;
    let ines = clinic.log_in("ines").await;
    ines.post("/settings/codes/begin", &[("present", seed::PASSWORD)]).await;
    let page = ines.get("/settings/codes").await.body;
    let secret = between(&page, "settings-secret\">", "<").expect("secret").replace(' ', "");
    clinic.wait(14 * 60);
    assert_eq!(ines.get("/settings/codes").await.status, StatusCode::OK);
    clinic.wait(2 * 60);
    assert_eq!(ines.get("/settings/codes").await.location(), "/settings");
    let late = ines.post("/settings/codes/confirm", &[("code", &clinic.code(&secret))]).await;
    assert_eq!(late.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(clinic.account("ines").await.totp.is_none());
}

#[tokio::test]
async fn a_person_is_added_logs_in_once_shown_and_is_taken_out_at_once() {
    let clinic = Clinic::open().await;
    let joris = clinic.log_in("joris").await;
    let fields = [("login", "Wanda"), ("name", "Wanda Felsenthal"), ("title", "PT"), ("role", "therapist")];
    let made = joris.post("/settings/people", &fields).await;
    assert_eq!(made.status, StatusCode::OK, "{}", made.body);
    let password = between(&made.body, "settings-secret\">", "<").expect("password").to_string();
    let twice = joris.post("/settings/people", &fields).await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY);
    let wanda = clinic.log_in_with("wanda", &password, "").await;
    let due = "Somebody else set your password";
    assert!(wanda.get("/settings").await.body.contains(due));

    let id = clinic.account("wanda").await.id;
    let out = joris.post(&format!("/settings/people/{id}/active"), &[("active", "no")]).await;
    assert_eq!(out.status, StatusCode::SEE_OTHER, "{}", out.body);
    assert!(!wanda.is_in().await, "out at once");
    assert_eq!(clinic.try_log_in("wanda", &password, "").await.status, StatusCode::UNAUTHORIZED);
    joris.post(&format!("/settings/people/{id}/active"), &[("active", "yes")]).await;
    let wanda = clinic.log_in_with("wanda", &password, "").await;

    let reset = joris.post(&format!("/settings/people/{id}/password"), &[]).await;
    let fresh = between(&reset.body, "settings-secret\">", "<").expect("password").to_string();
    assert_ne!(fresh, password);
    assert!(!wanda.is_in().await, "a new password ends the sessions");
    let wanda = clinic.log_in_with("wanda", &fresh, "").await;
    let own = "violet hammer ninety roof";
    let changed =
        wanda.post("/settings/password", &[("present", &fresh), ("new", own), ("again", own)]).await;
    let wanda = clinic.browser(changed.cookie().expect("cookie")).await;
    assert!(!wanda.get("/settings").await.body.contains(due), "the reminder goes with the change");
    for part in [
        "wanda created as therapist",
        "may no longer log in; 1 sessions",
        "may log in again",
        "password reset",
    ] {
        assert_eq!(clinic.audited("account", part).await, 1, "{part}");
    }
    let audit = clinic.audit().await;
    assert!(
        audit.iter().all(|it| !it.1.contains(&fresh) && !it.1.contains(&password)),
        "no password in the audit"
    );
}

#[tokio::test]
async fn the_last_who_looks_after_people_stays_and_nobody_raises_themselves() {
    let clinic = Clinic::open().await;
    let (joris, helena) = (clinic.log_in("joris").await, clinic.log_in("helena").await);
    let (j, h) = (clinic.account("joris").await, clinic.account("helena").await);
    let person = |it: &Account| format!("/settings/people/{}", it.id);
    let raise = [("name", "Joris Vandermolt"), ("title", ""), ("role", "clinic_lead")];
    assert_eq!(joris.post(&person(&j), &raise).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(clinic.account("joris").await.role, "administrator");
    let raise = [("name", "Helena Ostrowane"), ("title", "PT"), ("role", "administrator")];
    assert_eq!(helena.post(&person(&h), &raise).await.status, StatusCode::UNPROCESSABLE_ENTITY);

    // One of the two may go, and then the other must stay: neither access nor role is taken away.
    let out = helena.post(&format!("{}/active", person(&j)), &[("active", "no")]).await;
    assert_eq!(out.status, StatusCode::SEE_OTHER, "{}", out.body);
    assert!(!joris.is_in().await);
    let out = helena.post(&format!("{}/active", person(&h)), &[("active", "no")]).await;
    assert_eq!(out.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(out.body.contains("clinic lead or administrator first"), "{}", out.body);
    let lower = [("name", "Helena Ostrowane"), ("title", "PT"), ("role", "therapist")];
    assert_eq!(helena.post(&person(&h), &lower).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    let now = clinic.account("helena").await;
    assert!(now.active && now.role == "clinic_lead");
    assert!(helena.is_in().await);
    // With another one active the same is taken.
    helena.post(&format!("{}/active", person(&j)), &[("active", "yes")]).await;
    assert_eq!(helena.post(&person(&h), &lower).await.status, StatusCode::SEE_OTHER);
    assert_eq!(clinic.account("helena").await.role, "therapist");
    assert_eq!(helena.get("/settings/people").await.status, StatusCode::FORBIDDEN, "at once");
    assert_eq!(clinic.audited("account", "role: `clinic_lead` -> `therapist`").await, 1);
}

#[tokio::test]
async fn ones_own_password_and_codes_are_not_reset_without_the_old_password() {
    let clinic = Clinic::open().await;
    let joris = clinic.log_in("joris").await;
    let before = clinic.account("joris").await;
    for deed in ["password", "codes-off"] {
        let answer = joris.post(&format!("/settings/people/{}/{deed}", before.id), &[]).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{deed}");
    }
    assert_eq!(clinic.account("joris").await.password, before.password);
    assert_eq!(joris.get("/settings/people/nobody").await.status, StatusCode::NOT_FOUND);
    assert_eq!(joris.post("/settings/people/nobody/unlock", &[]).await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_lock_is_lifted_by_a_person() {
    let clinic = Clinic::open().await;
    let joris = clinic.log_in("joris").await;
    let id = clinic.account("noel").await.id;
    let (key, until) = (id.clone(), clinic.app.now() + SignedDuration::from_mins(15));
    clinic.app.store().write(move |tx| accounts::note_failure(tx, &key, Some(until))).await.expect("lock");
    assert_eq!(clinic.try_log_in("noel", seed::PASSWORD, "").await.status, StatusCode::UNAUTHORIZED);
    assert!(joris.get("/settings/people").await.body.contains("locked until"));
    assert_eq!(joris.post(&format!("/settings/people/{id}/unlock"), &[]).await.status, StatusCode::SEE_OTHER);
    assert_eq!(clinic.try_log_in("noel", seed::PASSWORD, "").await.status, StatusCode::SEE_OTHER);
}

#[tokio::test]
async fn new_numbers_reach_the_open_episodes_and_blank_ones_nobody() {
    let clinic = Clinic::open().await;
    let helena = clinic.log_in("helena").await;
    let good = [
        ("name", "Lindenhof (invented)"),
        ("phone", "555-0101"),
        ("out_of_hours", "555-0102"),
        ("emergency", "112"),
    ];
    let before = records::load(&clinic.app, MARTA).await.expect("episode");
    for at in 0..good.len() {
        let mut fields = good;
        fields[at].1 = "  ";
        let answer = helena.post("/settings/clinic", &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", good[at].0);
    }
    let same = records::load(&clinic.app, MARTA).await.expect("episode");
    assert_eq!(same.head, before.head, "a refusal writes nothing");
    assert_eq!(helena.post("/settings/clinic", &good).await.status, StatusCode::SEE_OTHER);
    let kept = clinic.app.store().read(numbers::read).await.expect("read").expect("numbers");
    assert_eq!((kept.phone.as_str(), kept.emergency.as_str()), ("555-0101", "112"));
    let open = clinic
        .app
        .store()
        .read(|tx| handrail_store::caseload::list(tx, None, true, 100, 0))
        .await
        .expect("list");
    assert!(open.len() >= 8, "{}", open.len());
    for it in &open {
        let loaded = records::load(&clinic.app, &it.episode).await.expect("episode");
        assert_eq!(loaded.episode.clinic.phone, "555-0101", "{}", it.episode);
        assert_eq!(loaded.episode.clinic.therapist, it.therapist, "the therapist stays");
        let clinics = loaded.entries.iter().filter(|it| matches!(it.fact, Fact::Clinic(_))).count();
        assert!(clinics >= 2, "an entry of its own");
    }
    let page = helena.get("/settings/clinic").await.body;
    assert!(page.contains(&format!("written into {} open episodes", open.len())), "{page}");
    assert_eq!(clinic.audited("setting", "phone: `555-0134` -> `555-0101`").await, 1);
    // Once more changes no episode.
    let head = records::load(&clinic.app, MARTA).await.expect("episode").head;
    helena.post("/settings/clinic/carry", &[]).await;
    assert_eq!(records::load(&clinic.app, MARTA).await.expect("episode").head, head);
}

#[tokio::test]
async fn a_therapist_with_a_new_name_keeps_the_patients() {
    let clinic = Clinic::open().await;
    let helena = clinic.log_in("helena").await;
    let count = |name: &'static str| {
        let store = clinic.app.store().clone();
        async move {
            store.read(move |tx| handrail_store::caseload::count(tx, Some(name), true)).await.expect("count")
        }
    };
    let before = count("Ines Brandvold, PT").await;
    assert!(before > 0);
    let id = clinic.account("ines").await.id;
    let fields = [("name", "Ines Brandvold-Aster"), ("title", "PT, DPT"), ("role", "therapist")];
    let answer = helena.post(&format!("/settings/people/{id}"), &fields).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert_eq!(count("Ines Brandvold, PT").await, 0);
    assert_eq!(count("Ines Brandvold-Aster, PT, DPT").await, before);
}

#[tokio::test]
async fn the_audit_is_filtered_exported_and_looking_at_a_patients_is_a_view() {
    let clinic = Clinic::open().await;
    clinic.try_log_in("noel", "not the password", "").await;
    let joris = clinic.log_in("joris").await;
    let noel = clinic.account("noel").await.id;
    let row = |body: &str| body.matches("class=\"settings-when\"").count();
    let all = joris.get("/settings/audit").await.body;
    let one = joris.get(&format!("/settings/audit?person={noel}&kind=login_failed")).await.body;
    assert_eq!(row(&one), 1);
    assert!(row(&all) > 1 && one.contains("Noel Tamworth-Reyes, PTA"));
    assert!(
        !all.contains("created as") && !all.contains("clinic_lead"),
        "no stored English, no role by its id"
    );
    assert!(all.contains("Clinic lead") && all.contains("<option value=\"signature\">"));
    assert_eq!(row(&joris.get("/settings/audit?from=2026-11-25&until=2026-11-25").await.body), row(&all));
    assert_eq!(row(&joris.get("/settings/audit?until=2026-11-24").await.body), 0);
    assert_eq!(row(&joris.get("/settings/audit?from=2026-11-26").await.body), 0);
    let bad = joris.get("/settings/audit?from=yesterday").await;
    assert_eq!(bad.status, StatusCode::UNPROCESSABLE_ENTITY);

    let views = |what: &'static str| {
        let store = clinic.app.store().clone();
        async move {
            let filter = Filter { only_kinds: &["view"], ..Filter::default() };
            let read = store.read(move |tx| journal::read(tx, MARTA, filter)).await.expect("read");
            read.iter().filter(|it| it.payload == format!("{{\"what\":\"{what}\"}}")).count()
        }
    };
    let found = joris.get("/settings/audit?patient=okonjo").await.body;
    assert!(found.contains("/settings/audit/patient/marta-okonjo"));
    assert_eq!(views("audit").await, 0);
    let page = joris.get("/settings/audit/patient/marta-okonjo").await.body;
    assert_eq!(views("audit").await, 1);
    assert!(page.contains("Joris Vandermolt"), "the look shows itself");
    assert!(!page.contains("/e/marta-okonjo"), "no way into the record for those who may not read it");
    let record = records::load(&clinic.app, MARTA).await.expect("episode");
    assert!(!page.contains(&record.episode.operation.surgeon), "who and when, not what");
    assert_eq!(joris.get("/settings/audit/patient/nobody").await.status, StatusCode::NOT_FOUND);

    let file = joris.get("/settings/audit.csv?kind=login_failed").await;
    assert!(file.headers[header::CONTENT_TYPE].to_str().expect("text").starts_with("text/csv"));
    assert!(file.headers[header::CONTENT_DISPOSITION].to_str().expect("text").starts_with("attachment"));
    assert_eq!(file.body.lines().count(), 2, "{}", file.body);
    assert_eq!(clinic.audited("view", "audit exported (kind=login_failed)").await, 1);
    joris.get("/settings/audit/patient/marta-okonjo/audit.csv").await;
    assert_eq!(views("audit export").await, 1);
}

#[tokio::test]
async fn no_cell_of_an_export_begins_a_formula() {
    let clinic = Clinic::open().await;
    for start in ["=", "+", "-", "@"] {
        let (text, now) = (format!("{start}1+1"), clinic.app.now());
        let write = move |tx: &mut dyn handrail_store::Tx| {
            handrail_clinic::people::audit(tx, now, "command line", "setting", &text)
        };
        clinic.app.store().write(write).await.expect("write");
    }
    let joris = clinic.log_in("joris").await;
    let file = joris.get("/settings/audit.csv?kind=setting").await.body;
    assert_eq!(file.lines().count(), 5, "{file}");
    for start in ["=", "+", "-", "@"] {
        assert!(file.contains(&format!(",\"'{start}1+1\"")), "{file}");
    }
}

#[tokio::test]
async fn pages_of_the_audit_lead_to_the_oldest_line() {
    let clinic = Clinic::open().await;
    let now = clinic.app.now();
    let fill = move |tx: &mut dyn handrail_store::Tx| {
        for at in 0..120 {
            handrail_clinic::people::audit(tx, now, "command line", "content", &format!("line {at}."))?;
        }
        Ok(())
    };
    clinic.app.store().write(fill).await.expect("fill");
    let joris = clinic.log_in("joris").await;
    let (mut path, mut seen) = ("/settings/audit?kind=content".to_string(), 0);
    for _ in 0..3 {
        let body = joris.get(&path).await.body;
        seen += body.matches("line ").count();
        match between(&body, "rel=\"next\" href=\"", "\"") {
            Some(next) => path = next.replace("&amp;", "&"),
            None => break,
        }
    }
    assert_eq!(seen, 120);
}

#[tokio::test]
async fn the_journal_is_verified_and_the_outcome_kept() {
    let clinic = Clinic::open().await;
    let joris = clinic.log_in("joris").await;
    let answer = joris.post("/settings/audit/verify", &[]).await;
    assert_eq!(answer.location(), "/settings/audit?done=verified");
    let page = joris.get("/settings/audit").await.body;
    assert!(page.contains("every chain is whole"), "{page}");
    assert_eq!(clinic.audited("verify", ", 0 faults, digest ").await, 1);
}

#[tokio::test]
async fn a_backup_is_made_listed_audited_and_opens() {
    let clinic = Clinic::open().await;
    let joris = clinic.log_in("joris").await;
    assert!(joris.get("/settings/backups").await.body.contains("There is none yet"));
    let answer = joris.post("/settings/backups", &[]).await;
    assert_eq!(answer.location(), "/settings/backups?done=backup", "{}", answer.body);
    let file = clinic.folder.path().join("backups").join("clinic-20261125-090000.db");
    let found = backup::verify_file(&file, &clinic.key).expect("whole");
    assert!(found.entries > 100, "{}", found.entries);
    let page = joris.get("/settings/backups").await.body;
    assert!(page.contains("clinic-20261125-090000.db") && page.contains(" MB"), "{page}");
    assert_eq!(clinic.audited("backup", "clinic-20261125-090000.db: ").await, 1);
    // The same second again: the name is taken, the first stays, and the attempt is on record.
    let again = joris.post("/settings/backups", &[]).await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", again.body);
    assert_eq!(clinic.audited("backup", "failed").await, 1);
    assert!(backup::verify_file(&file, &clinic.key).is_ok());
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        let mode = std::fs::metadata(&file).expect("file").permissions().mode();
        assert_eq!(mode & 0o077, 0, "for its owner alone: {mode:o}");
    }
}

#[tokio::test]
async fn a_near_miss_is_written_by_anybody_without_a_name_and_read_by_those_who_audit() {
    let clinic = Clinic::open().await;
    let petra = clinic.log_in("petra").await;
    let fields =
        [("kind", "stale_sheet"), ("what", "An old <sheet> was used."), ("caught", "The date on it.")];
    for missing in 0..3 {
        let mut fields = fields;
        fields[missing].1 = "";
        let answer = petra.post("/settings/incidents", &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    }
    assert_eq!(petra.post("/settings/incidents", &fields).await.status, StatusCode::SEE_OTHER);
    let page = petra.get("/settings/incidents").await.body;
    assert!(!page.contains("was used") && !page.contains("name=\"record\""), "{page}");
    let with_record = [&fields[..], &[("record", "okonjo")]].concat();
    assert_eq!(petra.post("/settings/incidents", &with_record).await.status, StatusCode::FORBIDDEN);

    let ines = clinic.log_in("ines").await;
    let several = [&fields[..], &[("record", "a")]].concat();
    assert_eq!(ines.post("/settings/incidents", &several).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    let named = [&with_record[..], &[("named", "yes")]].concat();
    assert_eq!(ines.post("/settings/incidents", &named).await.status, StatusCode::SEE_OTHER);

    let read =
        clinic.app.store().read(|tx| journal::read(tx, "incidents", Filter::default())).await.expect("read");
    let by: Vec<&str> = read.iter().map(|it| it.by.id.as_str()).collect();
    assert_eq!(by, ["unnamed", clinic.account("ines").await.id.as_str()]);
    let (joris, helena) = (clinic.log_in("joris").await, clinic.log_in("helena").await);
    let page = joris.get("/settings/incidents").await.body;
    assert!(page.contains("An old &lt;sheet&gt; was used."), "{page}");
    assert!(!page.contains("/e/marta-okonjo"), "no link for those who read no records");
    assert!(helena.get("/settings/incidents").await.body.contains("/e/marta-okonjo"));
}

#[tokio::test]
async fn pages_speak_spanish() {
    let clinic = Clinic::open().await;
    let joris = clinic.log_in("joris").await;
    let cookie = format!("{}; lang=es", joris.cookie);
    let id = clinic.account("noel").await.id;
    let pages = [
        ("/settings".to_string(), "Copias de seguridad"),
        ("/settings/people".to_string(), "Añadir una persona"),
        (format!("/settings/people/{id}"), "Retirar el acceso"),
        ("/settings/clinic".to_string(), "Zona horaria"),
        ("/settings/audit".to_string(), "Intento fallido"),
        ("/settings/audit/patient/marta-okonjo".to_string(), "Auditoría: Marta"),
        ("/settings/backups".to_string(), "Cómo recuperar"),
        ("/settings/incidents".to_string(), "Lado equivocado"),
    ];
    for (path, says) in pages {
        let body = clinic.get(&path, &cookie).await.body;
        assert!(body.contains("lang=\"es\"") && body.contains(says), "{path}");
    }
}
