//! Content over the whole router: looking, signing, writing, and what happens when two write at once.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};
use std::time::Duration;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Method, Request, StatusCode, header};
use handrail_clinic::content::library::{Kind, library_of};
use handrail_clinic::content::state;
use handrail_clinic::program::basis::plan_number;
use handrail_clinic::program::form::Form;
use handrail_clinic::records;
use handrail_clinic::routes::table;
use handrail_clinic::{App, Clock, Config, Listen, router, seed};
use handrail_library::Library;
use handrail_store::{Config as StoreConfig, Key, Place, Store};
use handrail_words::Lang;
use jiff::civil::date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Span};
use serde_json::{Value, json};
use tower::ServiceExt;

const HOST: &str = "clinic.example";
const MARTA: &str = "marta-okonjo";
const SQUAT: &str = "/content/exercise/mini-squat";
const ACHILLES: &str = "/content/protocol/achilles-repair";

struct Clinic {
    app: App,
    router: Router,
    /// Seconds added to the clock.
    later: Arc<AtomicI64>,
    folder: tempfile::TempDir,
}

struct Answer {
    status: StatusCode,
    headers: axum::http::HeaderMap,
    body: String,
}

/// A person who is logged in.
struct Person<'a> {
    clinic: &'a Clinic,
    cookie: String,
    csrf: String,
}

impl Clinic {
    /// `write` puts files into the clinic's content folder.
    async fn open(write: impl Fn(&Path)) -> Clinic {
        let folder = tempfile::tempdir().expect("folder");
        let place = Place::Sqlite(folder.path().join("clinic.db"));
        let store = Store::open(&StoreConfig::new(place, Some(Key::random().expect("key")))).expect("store");
        let library = Arc::new(Library::built_in().expect("library"));
        let today = date(2026, 11, 25);
        let now = today.at(9, 0, 0, 0).to_zoned_datetime(TimeZone::UTC).expect("time").timestamp();
        let clinic = handrail_demo::clinic(&library, today, 1).expect("demo");
        seed::fill(&store, &library, &clinic, today, &TimeZone::UTC, now).await.expect("seed");
        write(folder.path());
        let later = Arc::new(AtomicI64::new(0));
        let shift = later.clone();
        let clock = Clock::of(move || now + SignedDuration::from_secs(shift.load(Ordering::SeqCst)));
        let content = Some(folder.path().to_path_buf());
        let config = Config { store, listen: Listen::loopback(0), clock, zone: TimeZone::UTC, content };
        let app = App::new(config).expect("app");
        Clinic { router: router(&app, table()), app, later, folder }
    }

    async fn send(&self, request: Request<Body>) -> Answer {
        let (parts, body) = self.router.clone().oneshot(request).await.expect("answer").into_parts();
        let bytes = to_bytes(body, usize::MAX).await.expect("body");
        let body = String::from_utf8_lossy(&bytes).into_owned();
        Answer { status: parts.status, headers: parts.headers, body }
    }

    async fn log_in(&self, login: &str) -> Person<'_> {
        let body = format!("name={login}&password={}", seed::PASSWORD.replace(' ', "+"));
        let request =
            post("/login", "", "application/x-www-form-urlencoded").body(Body::from(body)).expect("request");
        let answer = self.send(request).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
        let cookie = answer.headers.get_all(header::SET_COOKIE).iter().find_map(|it| {
            let it = it.to_str().ok()?;
            it.starts_with("handrail-desk=").then(|| it.split(';').next().unwrap_or("").to_string())
        });
        let mut person = Person { clinic: self, cookie: cookie.expect("cookie"), csrf: String::new() };
        person.csrf =
            between(&person.get("/settings").await.body, "name=\"csrf\" content=\"", "\"").to_string();
        person
    }

    async fn get(&self, path: &str, cookie: &str) -> Answer {
        let request = Request::builder().uri(path).header(header::HOST, HOST).header(header::COOKIE, cookie);
        self.send(request.body(Body::empty()).expect("request")).await
    }

    /// The form of Marta's newest program.
    async fn program(&self) -> Form {
        let loaded = records::load(&self.app, MARTA).await.expect("episode");
        let last = loaded.episode.programs.iter().max_by_key(|it| it.version);
        let content = self.app.content();
        Form::of_program(last, content.library(), content.words(Lang::En), plan_number(&loaded))
    }

    fn wait(&self, seconds: i64) {
        self.later.fetch_add(seconds, Ordering::SeqCst);
    }

    async fn in_use(&self) -> Arc<state::InUse> {
        state::in_use(&self.app).await.expect("content")
    }
}

fn post(path: &str, cookie: &str, kind: &str) -> axum::http::request::Builder {
    Request::builder()
        .method(Method::POST)
        .uri(path)
        .header(header::HOST, HOST)
        .header(header::ORIGIN, format!("https://{HOST}"))
        .header(header::COOKIE, cookie)
        .header(header::CONTENT_TYPE, kind)
}

impl Person<'_> {
    async fn get(&self, path: &str) -> Answer {
        self.clinic.get(path, &self.cookie).await
    }

    async fn form(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let mut body = form(&[("csrf", &self.csrf)]);
        body.push('&');
        body.push_str(&form(fields));
        let request = post(path, &self.cookie, "application/x-www-form-urlencoded");
        self.clinic.send(request.body(Body::from(body)).expect("request")).await
    }

    async fn get_in(&self, lang: Lang, path: &str) -> String {
        self.clinic.get(path, &format!("{}; lang={}", self.cookie, lang.id())).await.body
    }

    /// Signs the text that the page of an exercise or protocol shows.
    async fn sign(&self, path: &str) {
        let mut fields = signing(&self.get(path).await.body);
        fields.push(("read".into(), "1".into()));
        let fields: Vec<(&str, &str)> = fields.iter().map(|it| (it.0.as_str(), it.1.as_str())).collect();
        let answer = self.form(&format!("{path}/sign"), &fields).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    }

    /// Issues the newest program of Marta again, with an exercise in the place of another.
    async fn issue(&self, instead: (&str, &str)) {
        let mut form = self.clinic.program().await;
        let row = form.rows.iter_mut().find(|it| it.exercise == instead.0).expect("row");
        row.exercise = instead.1.to_string();
        let pairs = form.pairs();
        let pairs: Vec<(&str, &str)> = pairs.iter().map(|it| (it.0.as_str(), it.1.as_str())).collect();
        let answer = self.form(&format!("/e/{MARTA}/program/issue"), &pairs).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    }

    /// Marta's phone with her page open: its cookie.
    async fn phone(&self) -> String {
        let until = self.clinic.app.today().saturating_add(Span::new().days(20)).to_string();
        let answer = self.form(&format!("/e/{MARTA}/home/link"), &[("expires", &until)]).await;
        let secret = between(&answer.body, &format!("http://{HOST}/p/"), "<").to_string();
        let loaded = records::load(&self.clinic.app, MARTA).await.expect("episode");
        let born = loaded.episode.patient.born.expect("birth date");
        let body = format!("day={}&month={}&year={}", born.day(), born.month(), born.year());
        let request = post(&format!("/p/{secret}"), "", "application/x-www-form-urlencoded");
        let answer = self.clinic.send(request.body(Body::from(body)).expect("request")).await;
        let cookies = answer.headers.get_all(header::SET_COOKIE).iter().filter_map(|it| it.to_str().ok());
        let own = cookies.filter_map(|it| it.split(';').next()).find(|it| it.starts_with("handrail-home="));
        own.expect("cookie").to_string()
    }

    async fn check(&self, body: Value) -> Value {
        let request = post("/content/check", &self.cookie, "application/json").header("x-csrf", &self.csrf);
        let answer = self.clinic.send(request.body(Body::from(body.to_string())).expect("request")).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        serde_json::from_str(&answer.body).expect("JSON")
    }

    /// The form of a change as the page shows it.
    async fn typed(&self, path: &str) -> Typed {
        let page = self.get(path).await;
        assert_eq!(page.status, StatusCode::OK, "{path}: {}", page.body);
        Typed::of(&page.body)
    }

    async fn save(&self, path: &str, typed: &Typed) -> Answer {
        let fields: Vec<(&str, &str)> = typed.0.iter().map(|it| (it.0.as_str(), it.1.as_str())).collect();
        self.form(path, &fields).await
    }
}

/// Fields of the form for texts.
#[derive(Clone)]
struct Typed(Vec<(String, String)>);

impl Typed {
    fn of(page: &str) -> Typed {
        let mut fields = Vec::new();
        for it in page.split("name=\"based-").skip(1) {
            let name = it.split('"').next().expect("name");
            fields.push((format!("based-{name}"), between(it, "value=\"", "\"").to_string()));
        }
        for name in ["text", "words-en", "words-es"] {
            if let Some(at) = page.find(&format!("<textarea id=\"{name}\"")) {
                let inside = between(&page[at..], ">\n", "</textarea>");
                fields.push((name.to_string(), unescape(inside)));
            }
        }
        Typed(fields)
    }

    fn get(&self, name: &str) -> &str {
        &self.0.iter().find(|it| it.0 == name).expect("field").1
    }

    fn with(mut self, name: &str, from: &str, to: &str) -> Typed {
        let field = self.0.iter_mut().find(|it| it.0 == name).expect("field");
        assert!(field.1.contains(from), "`{from}` is not in {}", field.1);
        field.1 = field.1.replacen(from, to, 1);
        self
    }

    /// The same with the first text in quotes after `key =` replaced.
    fn says(mut self, name: &str, key: &str, text: &str) -> Typed {
        let field = &mut self.0.iter_mut().find(|it| it.0 == name).expect("field").1;
        let at = field.find(&format!("{key} =")).expect("key");
        let from = at + field[at..].find('"').expect("quote") + 1;
        let to = from + field[from..].find('"').expect("quote");
        field.replace_range(from..to, text);
        self
    }

    fn and(mut self, name: &str, value: &str) -> Typed {
        self.0.push((name.into(), value.into()));
        self
    }
}

fn form(fields: &[(&str, &str)]) -> String {
    let encode = |text: &str| handrail_clinic::fault::url_encode(text);
    fields
        .iter()
        .map(|(name, value)| format!("{}={}", encode(name), encode(value)))
        .collect::<Vec<_>>()
        .join("&")
}

fn unescape(text: &str) -> String {
    text.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&")
}

fn between<'a>(text: &'a str, open: &str, close: &str) -> &'a str {
    let from = text.find(open).unwrap_or_else(|| panic!("`{open}` is not in {text}")) + open.len();
    &text[from..from + text[from..].find(close).expect("end")]
}

/// The fields of the form under a text's signatures.
fn signing(page: &str) -> Vec<(String, String)> {
    let part = &page[page.find("id=\"sign\"").expect("signatures")..];
    ["version", "hash"]
        .map(|it| (it.to_string(), between(part, &format!("name=\"{it}\" value=\""), "\"").to_string()))
        .to_vec()
}

#[tokio::test]
async fn every_role_sees_and_does_what_its_rights_allow() {
    let clinic = Clinic::open(|_| {}).await;
    let forms =
        [SQUAT.to_string(), ACHILLES.to_string(), format!("{SQUAT}/sign"), format!("{ACHILLES}/sign")];
    let writing = [format!("{SQUAT}/edit"), "/content/exercise/new".into(), "/content/protocol/new".into()];
    for (login, reads, writes) in [
        ("ines", true, true),
        ("helena", true, true),
        ("noel", true, false),
        ("joris", true, false),
        ("petra", false, false),
    ] {
        let person = clinic.log_in(login).await;
        for path in ["/content", "/content/waiting", SQUAT, ACHILLES] {
            let status = person.get(path).await.status;
            assert_eq!(status, if reads { StatusCode::OK } else { StatusCode::FORBIDDEN }, "{login} {path}");
        }
        for path in &writing {
            let status = person.get(path).await.status;
            assert_eq!(status, if writes { StatusCode::OK } else { StatusCode::FORBIDDEN }, "{login} {path}");
        }
        for path in &forms {
            // Those who may are refused for the blank form, not for their role.
            let status = person.form(path, &[]).await.status;
            let expected = if writes { StatusCode::UNPROCESSABLE_ENTITY } else { StatusCode::FORBIDDEN };
            assert_eq!(status, expected, "{login} {path}");
        }
        let page = person.get(SQUAT).await.body;
        assert_eq!(page.contains("/edit\""), writes, "{login}");
    }
    assert!(clinic.in_use().await.shelf.signatures.is_empty());
}

#[tokio::test]
async fn every_exercise_and_protocol_has_its_page_in_both_languages() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let shelf = clinic.in_use().await;
    let mut pages: Vec<String> = shelf
        .shelf
        .library
        .exercises
        .keys()
        .map(|it| format!("/content/exercise/{it}?side=right&view=front"))
        .collect();
    pages.extend(shelf.shelf.library.protocols.keys().map(|it| format!("/content/protocol/{it}")));
    pages.extend(
        ["/content", "/content/waiting", "/content/exercise/new", "/content/protocol/new"].map(String::from),
    );
    let mut seen = 0;
    for lang in Lang::ALL {
        let person = Person {
            clinic: &clinic,
            cookie: format!("{}; lang={}", ines.cookie, lang.id()),
            csrf: ines.csrf.clone(),
        };
        for path in &pages {
            let page = person.get(path).await;
            assert_eq!(page.status, StatusCode::OK, "{path}");
            assert!(!page.body.contains("[no words"), "{path}: {}", between(&page.body, "[no words", "]"));
            seen += 1;
        }
    }
    println!("{seen} pages");
    for path in [
        "/content/exercise/nothing",
        "/content/protocol/nothing",
        "/content/exercise/nothing/edit",
        "/content/exercise/nothing/still",
    ] {
        assert_eq!(ines.get(path).await.status, StatusCode::NOT_FOUND, "{path}");
    }
    for path in ["/content/exercise/nothing", "/content/protocol/nothing/sign"] {
        assert_eq!(ines.form(path, &[("text", "x")]).await.status, StatusCode::NOT_FOUND, "{path}");
    }
    assert_eq!(ines.get("/content/exercise/new?from=nothing").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn the_list_is_narrowed_by_words_region_goal_posture_and_state() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let found = async |query: &str| {
        let page = ines.get(&format!("/content?{query}")).await.body;
        page.matches("class=\"name\" href=\"/content/exercise/").count()
    };
    let all = found("").await;
    let library = clinic.app.content().library().clone();
    assert_eq!(all, library.exercises.len());
    assert_eq!(
        found("region=ankle").await,
        library.exercises.values().filter(|it| it.region == "ankle").count()
    );
    let goal = library.exercises.values().filter(|it| it.trains.iter().any(|it| it == "balance")).count();
    assert_eq!(found("goal=balance").await, goal);
    assert_eq!(
        found("posture=supine").await,
        library.exercises.values().filter(|it| it.posture.id == "supine").count()
    );
    assert_eq!(
        (found("state=draft").await, found("state=signed").await, found("state=own").await),
        (all, 0, 0)
    );
    assert!(
        (1..10).contains(&found("find=heel+raise+foot").await),
        "{}",
        found("find=heel+raise+foot").await
    );
    assert_eq!(found("find=no+such+thing").await, 0);
}

#[tokio::test]
async fn a_figure_turns_and_takes_another_body_and_refuses_what_is_no_body() {
    let clinic = Clinic::open(|_| {}).await;
    let noel = clinic.log_in("noel").await;
    let clip = async |query: &str| {
        let answer = noel.get(&format!("{SQUAT}/figure?{query}")).await;
        assert_eq!(answer.status, StatusCode::OK);
        serde_json::from_str::<Value>(&answer.body).expect("JSON")
    };
    let (side, front, tall) =
        (clip("view=side").await, clip("view=front").await, clip("view=side&stature=1.95").await);
    assert!(side["clip"]["frames"].as_array().is_some_and(|it| it.len() > 10));
    assert!(side != front && side != tall && side["start"] != side["end"]);
    assert_ne!(side["clip"], clip("view=side&side=right").await["clip"]);
    let page = noel.get(&format!("{SQUAT}?stature=9&mass=x")).await;
    assert_eq!(page.body.matches("aria-invalid=\"true\"").count(), 2);
}

#[tokio::test]
async fn mistakes_are_told_at_their_line_and_the_figure_follows_the_text() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let typed = ines.typed(&format!("{SQUAT}/edit")).await;
    let asked = |typed: &Typed| {
        let words = json!({ "en": typed.get("words-en"), "es": typed.get("words-es") });
        json!({ "kind": "exercise", "id": "mini-squat", "text": typed.get("text"), "words": words })
    };
    let fine = ines.check(asked(&typed)).await;
    assert_eq!((fine["ok"].as_bool(), &fine["problems"]), (Some(true), &json!([])), "{fine}");
    let deeper = ines.check(asked(&typed.clone().with("text", "usual = 0.08", "usual = 0.15"))).await;
    assert_ne!(fine["pictures"]["end"], deeper["pictures"]["end"]);
    for (field, from, to, says) in [
        ("text", "region = \"knee\"", "region = \"tail\"", "tail"),
        ("text", "posture = \"standing_at_wall\"", "posture = \"flying\"", "flying"),
        ("text", "usual = 0.08", "usaul = 0.08", "usaul"),
        ("text", "version = 2", "version = 1", "another version"),
        ("text", "id = \"mini-squat\"", "id = \"squat\"", "keeps the identifier"),
        ("text", "above = [\"step-up\"]", "above = [\"step-upp\"]", "step-upp"),
        ("text", "verb = \"bend_knees\"", "verb = \"fly\"", "fly"),
        ("text", "equipment = [\"wall\"]", "equipment = [\"rocket\"]", "rocket"),
        ("words-en", "Bend your knees.", "It is safe.", "must not be said"),
        ("words-en", "knee_falls_in", "knee_falls_out", "knee_falls_in"),
        ("words-es", "{side_f}", "{side}", "{side}"),
    ] {
        let changed = typed.clone().with(field, from, to);
        let line =
            1 + changed.get(field)[..changed.get(field).find(to).expect("place")].matches('\n').count();
        let found = ines.check(asked(&changed)).await;
        let all = found["problems"].as_array().expect("problems");
        let it = all.iter().find(|it| it["message"].as_str().is_some_and(|it| it.contains(says)));
        let it = it.unwrap_or_else(|| panic!("{to}: {found}"));
        assert_eq!(it["in"], field, "{to}: {it}");
        // Words of a fault that are missing stand where the exercise's words begin.
        if says != "knee_falls_in" {
            assert_eq!(it["line"], line, "{to}: {it}");
        }
        assert!(it["mend"].as_str().is_some_and(|it| !it.is_empty()));
    }
    // What no body can do is said at the key pose.
    let far = typed.clone().with("text", "high = 0.16\nusual = 0.08", "high = 1.60\nusual = 1.50");
    let found = ines.check(asked(&far)).await;
    assert!(
        found["problems"][0]["message"].as_str().is_some_and(|it| it.contains("cannot be done")),
        "{found}"
    );
    let protocol =
        ines.typed(&format!("{ACHILLES}/edit")).await.with("text", "\"toe-wiggle\"", "\"toe-wigle\"");
    let asked = json!({ "kind": "protocol", "id": "achilles-repair", "text": protocol.get("text") });
    let found = ines.check(asked).await;
    assert!(found["problems"][0]["message"].as_str().is_some_and(|it| it.contains("toe-wigle")), "{found}");
}

#[tokio::test]
async fn what_does_not_check_is_not_taken_and_what_was_typed_comes_back() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let before = clinic.in_use().await;
    let library = clinic.app.content().library().clone();
    let typed =
        ines.typed(&format!("{SQUAT}/edit")).await.with("text", "drive = \"resisted\"", "drive = \"magic\"");
    let answer = ines.save(SQUAT, &typed).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.body.contains("data-line=\"6\""), "{}", answer.body);
    assert_eq!(Typed::of(&answer.body).get("text"), typed.get("text"));
    assert!(
        Arc::ptr_eq(&clinic.in_use().await, &before) && Arc::ptr_eq(clinic.app.content().library(), &library)
    );
}

#[tokio::test]
async fn a_saved_change_is_in_use_at_once_with_its_words() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let typed = ines.typed(&format!("{SQUAT}/edit")).await.with("text", "usual = 0.08", "usual = 0.06").with(
        "words-en",
        "title = \"Small knee bend\"",
        "title = \"Tiny knee bend\"",
    );
    let answer = ines.save(SQUAT, &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let motion = clinic.app.content().library().exercises["mini-squat"].clone();
    assert_eq!((motion.version, motion.parameters[0].usual), (2, 0.06));
    let list = ines.get("/content?state=own").await.body;
    assert!(list.contains("Tiny knee bend") && list.contains("1 exercise<"), "{list}");
    // The next change begins with it.
    let again = ines.typed(&format!("{SQUAT}/edit")).await;
    assert!(
        again.get("text").contains("version = 3") && again.get("based-text") == "1",
        "{}",
        again.get("text")
    );
}

#[tokio::test]
async fn a_new_exercise_needs_its_words_and_a_name_of_its_own() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let typed = ines.typed("/content/exercise/new?from=quad-set").await;
    assert!(
        typed.get("text").contains("id = \"quad-set-2\"")
            && typed.get("words-es").contains("[exercise.quad-set-2]")
    );
    let mut wordless = typed.clone();
    wordless.0.iter_mut().filter(|it| it.0 == "words-es").for_each(|it| it.1 = String::new());
    let answer = ines.save("/content/exercise/new", &wordless).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(answer.body.contains("has no words in Español"), "{}", answer.body);
    let taken = typed.clone().with("text", "quad-set-2", "heel-prop");
    let answer = ines.save("/content/exercise/new", &taken).await;
    assert!(answer.body.contains("there is already one called `heel-prop`"), "{}", answer.body);
    for name in ["Quad Set", "new", "../x", ""] {
        let answer =
            ines.save("/content/exercise/new", &typed.clone().with("text", "quad-set-2", name)).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{name}");
    }
    let answer = ines.save("/content/exercise/new", &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let in_use = clinic.in_use().await;
    assert!(clinic.app.content().library().exercises.contains_key("quad-set-2"));
    for lang in Lang::ALL {
        let text =
            |id: &str| in_use.shelf.words(lang).exercise(id, handrail_anatomy::Side::Right).expect("words");
        assert_eq!(text("quad-set-2"), text("quad-set"));
    }
    assert_eq!(ines.get("/content/exercise/quad-set-2").await.status, StatusCode::OK);
}

#[tokio::test]
async fn of_two_at_once_the_second_sees_the_first_ones_text_and_loses_nothing() {
    let clinic = Clinic::open(|_| {}).await;
    let (ines, helena) = (clinic.log_in("ines").await, clinic.log_in("helena").await);
    let page = format!("{SQUAT}/edit");
    let first = ines.typed(&page).await.with("text", "reps = 10", "reps = 11");
    let second = helena.typed(&page).await.with("text", "reps = 10", "reps = 12");
    assert_eq!(ines.save(SQUAT, &first).await.status, StatusCode::SEE_OTHER);
    // The version that the second one wrote is not higher than the first one's any more: that is told first.
    let answer = helena.save(SQUAT, &second.clone().with("text", "version = 2", "version = 3")).await;
    assert_eq!(answer.status, StatusCode::CONFLICT, "{}", answer.body);
    assert!(answer.body.contains("Ines Brandvold, PT") && answer.body.contains("reps = 11"));
    let shown = Typed::of(&answer.body);
    assert!(shown.get("text").contains("reps = 12") && shown.get("based-text") == "1");
    assert_eq!(clinic.app.content().library().exercises["mini-squat"].dose.reps, Some(11));
    assert_eq!(helena.save(SQUAT, &shown).await.status, StatusCode::SEE_OTHER);
    assert_eq!(clinic.app.content().library().exercises["mini-squat"].dose.reps, Some(12));
}

#[tokio::test]
async fn a_signature_counts_for_exactly_the_text_it_was_given_under() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let page = ines.get(SQUAT).await.body;
    let fields = signing(&page);
    let fields: Vec<(&str, &str)> = fields.iter().map(|it| (it.0.as_str(), it.1.as_str())).collect();
    let path = format!("{SQUAT}/sign");
    assert_eq!(ines.form(&path, &fields).await.status, StatusCode::UNPROCESSABLE_ENTITY, "not read");
    let ticked = [fields.as_slice(), &[("read", "1")]].concat();
    assert_eq!(ines.form(&path, &ticked).await.status, StatusCode::SEE_OTHER);
    let review = clinic.app.content().library().exercises["mini-squat"].review.clone().expect("signed");
    assert_eq!(
        (review.signed_by.as_str(), review.on.as_str(), review.version),
        ("Ines Brandvold, PT", "2026-11-25", 1)
    );
    let page = ines.get(SQUAT).await.body;
    assert!(
        page.contains("by Ines Brandvold, PT")
            && !page.contains("not yet reviewed")
            && !page.contains("name=\"hash\"")
    );
    assert!(ines.get("/content?state=signed").await.body.contains("1 exercise<"));
    // Words belong to what was signed: with other words it is a draft again.
    let typed = ines.typed(&format!("{SQUAT}/edit")).await.with("words-es", "Mantenga.", "Espere.");
    assert_eq!(ines.save(SQUAT, &typed).await.status, StatusCode::SEE_OTHER);
    assert!(clinic.app.content().library().exercises["mini-squat"].review.is_none());
    let page = ines.get(SQUAT).await.body;
    assert!(page.contains("not yet reviewed") && page.contains("it does not count for this one"));
    // A form that shows the earlier text signs nothing.
    assert_eq!(ines.form(&path, &ticked).await.status, StatusCode::CONFLICT);
    assert!(clinic.in_use().await.shelf.signed(Kind::Exercise, "mini-squat").is_none());
    let waiting = ines.get("/content/waiting").await.body;
    let all = clinic.app.content().library().clone();
    assert!(
        waiting.contains(&format!("{} texts in use are drafts", all.exercises.len() + all.protocols.len()))
    );
}

#[tokio::test]
async fn a_protocol_is_signed_too() {
    let clinic = Clinic::open(|_| {}).await;
    let helena = clinic.log_in("helena").await;
    let fields = signing(&helena.get(ACHILLES).await.body);
    let mut fields: Vec<(&str, &str)> = fields.iter().map(|it| (it.0.as_str(), it.1.as_str())).collect();
    fields.push(("read", "1"));
    assert_eq!(helena.form(&format!("{ACHILLES}/sign"), &fields).await.status, StatusCode::SEE_OTHER);
    let library = clinic.app.content().library().clone();
    assert!(
        !library.protocols["achilles-repair"].is_draft()
            && library.protocols["acl-reconstruction"].is_draft()
    );
}

#[tokio::test]
async fn a_protocol_changes_open_episodes_only_after_each_effect_was_seen() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let typed = ines.typed(&format!("{ACHILLES}/edit")).await;
    let edit = ines.get(&format!("{ACHILLES}/edit")).await.body;
    assert!(
        edit.contains("open episodes use this protocol") && edit.contains("Marta"),
        "open episodes are listed"
    );
    let longer = typed.clone().with(
        "text",
        "id = \"no-impact\"\nphase = \"protect\"\nfrom_week = 0\nto_week = 16",
        "id = \"no-impact\"\nphase = \"protect\"\nfrom_week = 0\nto_week = 20",
    );
    let answer = ines.save(ACHILLES, &longer).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.body.contains("What this text changes today") && answer.body.contains("other limits"),
        "{}",
        answer.body
    );
    assert_eq!(clinic.app.content().library().protocols["achilles-repair"].version, "0.1.0");
    let number = between(&answer.body, "name=\"seen\" value=\"", "\"").to_string();
    let answer = ines.save(ACHILLES, &longer.clone().and("seen", &number)).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    assert_eq!(clinic.app.content().library().protocols["achilles-repair"].version, "0.1.1");
    let saved = ines.get(&format!("{ACHILLES}?saved=1")).await.body;
    assert!(saved.contains("Saved and in use") && saved.contains("Marta"));
    // A name that orders of open episodes speak of cannot go.
    let gone = ines.typed(&format!("{ACHILLES}/edit")).await;
    let renamed = Typed(
        gone.0.iter().map(|it| (it.0.clone(), it.1.replace("\"weight-none\"", "\"weight-nil\""))).collect(),
    );
    let answer = ines.save(ACHILLES, &renamed.and("seen", &number)).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        answer.body.contains("orders no longer fit") && !answer.body.contains("name=\"seen\""),
        "{}",
        answer.body
    );
}

fn with_file(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    std::fs::create_dir_all(path.parent().expect("parent")).expect("folder");
    std::fs::write(path, text).expect("file");
}

fn squat(reps: u32) -> String {
    let text = include_str!("../../../content/exercises/mini-squat.toml");
    text.replace("reps = 10", &format!("reps = {reps}"))
}

#[tokio::test]
async fn the_database_lies_over_the_folder_and_the_folder_over_what_is_built_in() {
    let clinic = Clinic::open(|folder| {
        with_file(folder, "exercises/mini-squat.toml", &squat(20));
        with_file(
            folder,
            "exercises/wall-sit.toml",
            include_str!("../../../content/exercises/wall-sit.toml"),
        );
    })
    .await;
    let reps = || clinic.app.content().library().exercises["mini-squat"].dose.reps;
    assert_eq!(reps(), Some(10), "before the content is read");
    clinic.in_use().await;
    assert_eq!(reps(), Some(20));
    let ines = clinic.log_in("ines").await;
    let typed = ines.typed(&format!("{SQUAT}/edit")).await.with("text", "reps = 20", "reps = 30");
    assert_eq!(ines.save(SQUAT, &typed).await.status, StatusCode::SEE_OTHER);
    assert_eq!(reps(), Some(30));
    // A file that changes is read again; what the database holds stays above it.
    with_file(clinic.folder.path(), "exercises/mini-squat.toml", &squat(2));
    with_file(clinic.folder.path(), "exercises/heel-prop-2.toml", "id = \"heel-prop-2\"\n");
    let in_use = clinic.in_use().await;
    assert_eq!(reps(), Some(30));
    let refused = in_use.refused().expect("refused");
    assert!(
        refused
            .0
            .iter()
            .any(|it| it.file.ends_with("heel-prop-2.toml") && it.message.contains("missing field")),
        "{refused}"
    );
    assert!(ines.get("/content").await.body.contains("was not taken"));
    std::fs::remove_file(clinic.folder.path().join("exercises/heel-prop-2.toml")).expect("remove");
    assert!(clinic.in_use().await.refused().is_none());
}

#[test]
fn a_file_cannot_sign_itself_and_words_of_the_folder_take_the_place_of_built_in_ones() {
    let folder = tempfile::tempdir().expect("folder");
    let signed =
        format!("{}\n[review]\nsigned_by = \"Nobody\"\non = \"2026-01-01\"\nversion = 1\n", squat(10));
    with_file(folder.path(), "exercises/mini-squat.toml", &signed);
    let words = "[exercise.mini-squat]\ntitle = \"Own\"\nstart = \"Stand.\"\nsteps = [\"Bend.\"]\nwhy = \"Legs.\"\nfeel = \"Stop if it hurts.\"\nalt = \"A person.\"\n[exercise.mini-squat.faults]\nknee_falls_in = \"No.\"\nback_rounds = \"No.\"\n";
    with_file(folder.path(), "words/en/ours.toml", words);
    let shelf = library_of(Some(folder.path()), &[], &[]).unwrap_or_else(|it| panic!("{it}"));
    assert!(shelf.library.exercises["mini-squat"].review.is_none());
    let title = |lang: Lang| {
        shelf.words(lang).exercise("mini-squat", handrail_anatomy::Side::Left).expect("words").title
    };
    assert_eq!((title(Lang::En).as_str(), title(Lang::Es).as_str()), ("Own", "Doblar un poco las rodillas"));
    with_file(folder.path(), "words/en/ours.toml", &words.replace("back_rounds = \"No.\"\n", ""));
    let Err(problems) = library_of(Some(folder.path()), &[], &[]) else { panic!("taken") };
    assert!(problems.to_string().contains("the fault `back_rounds` has no words in English"), "{problems}");
}

/// Title and first step of the clinic's own exercise.
struct Said(&'static str, &'static str);

const FIRST: [(Lang, Said); 2] = [
    (Lang::En, Said("Lantern press", "Hold up the lantern.")),
    (Lang::Es, Said("Apretar el farol", "Levante el farol.")),
];
const SECOND: [(Lang, Said); 2] = [
    (Lang::En, Said("Candle press", "Hold up the candle.")),
    (Lang::Es, Said("Apretar la vela", "Levante la vela.")),
];

fn said(mut typed: Typed, by_lang: &[(Lang, Said)]) -> Typed {
    for (lang, Said(title, step)) in by_lang {
        let name = format!("words-{}", lang.id());
        typed = typed.says(&name, "title", title).says(&name, "steps", step);
    }
    typed
}

/// Every page and paper that names an exercise of Marta's program shows these words and not the others, in the language
/// of the reader.
async fn shown_everywhere(ines: &Person<'_>, phone: &str, these: &[(Lang, Said)], others: &[(Lang, Said)]) {
    let clinic = ines.clinic;
    for ((lang, Said(title, step)), (_, Said(other, _))) in these.iter().zip(others) {
        let here = format!("/e/{MARTA}");
        let phone = format!("{phone}; lang={}", lang.id());
        let tag = lang.id();
        for (place, page, has_steps) in [
            ("episode", ines.get_in(*lang, &here).await, false),
            ("program", ines.get_in(*lang, &format!("{here}/program")).await, false),
            ("issued", ines.get_in(*lang, &format!("{here}/program/issued")).await, false),
            ("follow", ines.get(&format!("{here}/follow.html?lang={tag}")).await.body, true),
            ("home", clinic.get("/home", &phone).await.body, false),
            ("session", clinic.get("/home/session", &phone).await.body, true),
        ] {
            assert!(page.contains(title) && !page.contains(other), "{place} {tag}: {page}");
            assert!(!has_steps || page.contains(step), "{place} {tag}: {page}");
        }
        let printed = ines.get(&format!("{here}/handout.pdf?lang={tag}")).await;
        assert_eq!(printed.status, StatusCode::OK, "{}", printed.body);
        let sheet = handout(clinic, *lang).await;
        assert!(sheet.contains(title) && sheet.contains(step) && !sheet.contains(other), "{sheet}");
    }
}

/// What the handout is set from.
async fn handout(clinic: &Clinic, lang: Lang) -> String {
    let (content, today) = (clinic.app.content(), clinic.app.today());
    let (library, loaded) = (content.library(), records::load(&clinic.app, MARTA).await.expect("episode"));
    let protocol = &library.protocols[&loaded.episode.operation.protocol];
    let plan = handrail_episode::plan(&loaded.episode, protocol, &library.exercises, today).expect("plan");
    let session = plan.session(&library.postures).expect("session");
    let (paper, print) = (handrail_papers::Paper::A4, handrail_papers::Print::Normal);
    format!("{:?}", handrail_papers::compose(&plan, &session, None, content.words(lang), paper, print))
}

#[tokio::test(flavor = "multi_thread")]
async fn own_words_reach_program_papers_and_the_patients_page_in_both_languages() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let from = clinic.program().await.rows[0].exercise.clone();
    let own = format!("{from}-2");
    let typed = said(ines.typed(&format!("/content/exercise/new?from={from}")).await, &FIRST);
    let answer = ines.save("/content/exercise/new", &typed).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.body);
    let page = format!("/content/exercise/{own}");
    ines.sign(&page).await;
    ines.issue((&from, &own)).await;
    let phone = ines.phone().await;
    shown_everywhere(&ines, &phone, &FIRST, &SECOND).await;
    let changed = "Texts of this version were changed";
    assert!(!ines.get(&format!("/e/{MARTA}/home")).await.body.contains(changed));

    // Changed under a version that the patient holds: the page goes with what is checked, and the clinic is told.
    let before = clinic.app.content();
    let mark = |it: &Answer| it.headers.get("x-sheet").expect("mark").clone();
    let old = mark(&clinic.get("/home", &phone).await);
    clinic.wait(60);
    let typed = said(ines.typed(&format!("{page}/edit")).await, &SECOND);
    assert_eq!(ines.save(&page, &typed).await.status, StatusCode::SEE_OTHER);
    shown_everywhere(&ines, &phone, &SECOND, &FIRST).await;
    assert_ne!(mark(&clinic.get("/home", &phone).await), old);
    let told = ines.get(&format!("/e/{MARTA}/home")).await.body;
    assert!(told.contains(changed) && told.contains("Candle press"), "{told}");
    // A request that began before has words and library of one time to its end.
    let title = |it: &state::InUse| it.words(Lang::En).exercise_title(&own, handrail_anatomy::Side::Left);
    assert_eq!(title(&before), "Lantern press");
    assert!(before.library().exercises[&own].review.is_some(), "signed with its words");
    assert_eq!(title(&clinic.app.content()), "Candle press");
    assert!(clinic.app.content().library().exercises[&own].review.is_none());

    // A new version in the patient's hands has nothing under it that was changed since.
    clinic.wait(60);
    ines.issue((&own, &own)).await;
    shown_everywhere(&ines, &phone, &SECOND, &FIRST).await;
    assert!(!ines.get(&format!("/e/{MARTA}/home")).await.body.contains(changed));
}

#[tokio::test(flavor = "multi_thread")]
async fn another_server_on_the_same_database_comes_to_use_what_was_saved() {
    let clinic = Clinic::open(|_| {}).await;
    let config = clinic.app.config();
    let second = App::new(Config {
        store: config.store.clone(),
        listen: Listen::loopback(0),
        clock: config.clock.clone(),
        zone: TimeZone::UTC,
        content: config.content.clone(),
    })
    .expect("second");
    let read = state::in_use(&second).await.expect("content");
    assert!(Arc::ptr_eq(&read, &state::in_use(&second).await.expect("content")), "nothing changed");
    let timer = tokio::spawn(state::keep_current(second.clone(), Duration::from_millis(20)));
    let ines = clinic.log_in("ines").await;
    let typed = said(ines.typed("/content/exercise/new?from=quad-set").await, &FIRST);
    assert_eq!(ines.save("/content/exercise/new", &typed).await.status, StatusCode::SEE_OTHER);
    let mut tries = 0;
    while !second.content().library().exercises.contains_key("quad-set-2") {
        tries += 1;
        assert!(tries < 500, "not in use after 10 s");
        tokio::time::sleep(Duration::from_millis(20)).await;
    }
    for (lang, Said(title, _)) in FIRST {
        let words = second.content();
        assert_eq!(words.words(lang).exercise_title("quad-set-2", handrail_anatomy::Side::Left), title);
    }
    assert_ne!(second.content().edition(), read.edition());
    assert_ne!(second.content().edition(), clinic.app.content().edition(), "one number for one content");
    // A signature is seen too.
    ines.sign("/content/exercise/quad-set-2").await;
    let signed = state::in_use(&second).await.expect("content");
    assert!(signed.library().exercises["quad-set-2"].review.is_some());
    timer.abort();
}

#[tokio::test]
async fn tables_name_their_columns_for_a_phone_and_contacts_speak_to_a_clinician() {
    let clinic = Clinic::open(|_| {}).await;
    let ines = clinic.log_in("ines").await;
    let exercise = ines.get("/content/exercise/wall-push-up").await.body;
    let protocol = ines.get(ACHILLES).await.body;
    let waiting = ines.get("/content/waiting").await.body;
    for page in [&exercise, &protocol, &waiting] {
        let tables: Vec<&str> = page.split("<table").skip(1).collect();
        assert!(!tables.is_empty());
        for table in tables {
            let table = table.split("</table>").next().expect("table");
            assert!(table.starts_with(" class=\"") && table.contains("stacked"), "{table}");
            assert_eq!(table.matches("<td").count(), table.matches(" data-name=").count(), "{table}");
        }
    }
    let contacts = between(&exercise, "id=\"contacts-title\"", "</section>");
    assert!(!contacts.to_lowercase().contains("your ") && contacts.contains("palm"), "{contacts}");
    assert!(exercise.contains("facing the wall") && !exercise.contains("back against the wall"));
    // The weeks have the whole width: no column of names beside them.
    assert!(protocol.contains("class=\"weeks\" viewBox=\"-10 0 770 "), "{protocol}");
}
