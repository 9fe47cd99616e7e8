//! The screens over an invented clinic: forms followed as a browser would, wrong input that changes nothing, and
//! persons who may not.

use std::sync::Arc;

use axum::Router;
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode, header};
use handrail_clinic::records::{self, Loaded};
use handrail_clinic::routes::table;
use handrail_clinic::{App, Clock, Config, Listen, router, seed};
use handrail_episode::{DiarySource, Fact};
use handrail_library::Library;
use handrail_protocol::{Status, envelope};
use handrail_store::{Config as StoreConfig, Key, Place, Store};
use jiff::Timestamp;
use jiff::tz::TimeZone;
use tower::ServiceExt as _;

const HOST: &str = "127.0.0.1:8471";
const KNEE: &str = "ruben-castellanos-vega";

struct Clinic {
    app: App,
    router: Router,
    _folder: tempfile::TempDir,
}

struct Person<'a> {
    clinic: &'a Clinic,
    cookie: String,
    csrf: String,
}

struct Answer {
    status: StatusCode,
    to: String,
    text: String,
}

async fn clinic() -> Clinic {
    let folder = tempfile::tempdir().unwrap();
    let place = Place::Sqlite(folder.path().join("clinic.db"));
    let store = Store::open(&StoreConfig::new(place, Some(Key::random().unwrap()))).unwrap();
    let library = Arc::new(Library::built_in().unwrap());
    let (zone, now) = (TimeZone::UTC, Timestamp::now());
    let today = now.to_zoned_datetime(zone.clone()).date();
    let made = handrail_demo::clinic(&library, today, 1).unwrap();
    seed::fill(&store, &library, &made, today, &zone, now).await.unwrap();
    let config =
        Config { store, listen: Listen::loopback(8471), clock: Clock::system(), zone, content: None };
    let app = App::new(config).unwrap();
    Clinic { router: router(&app, table()), app, _folder: folder }
}

fn encoded(fields: &[(&str, &str)]) -> String {
    let one = |(name, value): &(&str, &str)| {
        let escape = |text: &str| text.bytes().map(|b| format!("%{b:02X}")).collect::<String>();
        format!("{}={}", escape(name), escape(value))
    };
    fields.iter().map(one).collect::<Vec<_>>().join("&")
}

impl Clinic {
    async fn send(&self, method: &str, path: &str, cookie: &str, body: String) -> Answer {
        let request = Request::builder()
            .method(method)
            .uri(path)
            .header(header::HOST, HOST)
            .header(header::ORIGIN, format!("http://{HOST}"))
            .header(header::COOKIE, cookie)
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded")
            .body(Body::from(body))
            .unwrap();
        let answer = self.router.clone().oneshot(request).await.unwrap();
        let head =
            |name| answer.headers().get(name).and_then(|it| it.to_str().ok()).unwrap_or("").to_string();
        let (status, to, set) = (answer.status(), head(header::LOCATION), head(header::SET_COOKIE));
        let bytes = to_bytes(answer.into_body(), 8_000_000).await.unwrap();
        let text = if set.is_empty() { String::from_utf8_lossy(&bytes).into_owned() } else { set };
        Answer { status, to, text }
    }

    async fn log_in(&self, login: &str) -> Person<'_> {
        let fields = [("name", login), ("password", seed::PASSWORD)];
        let answer = self.send("POST", "/login", "", encoded(&fields)).await;
        assert_eq!(answer.status, StatusCode::SEE_OTHER, "{login}");
        let cookie = answer.text.split(';').next().unwrap().to_string();
        // A page that the person may see carries the token; the front desk sees none of these.
        let page = self.send("GET", &format!("/e/{KNEE}/record"), &cookie, String::new()).await.text;
        let mark = r#"name="csrf" content=""#;
        let csrf = page.split_once(mark).and_then(|it| it.1.split('"').next()).unwrap_or("").to_string();
        Person { clinic: self, cookie, csrf }
    }

    async fn loaded(&self, id: &str) -> Arc<Loaded> {
        records::load(&self.app, id).await.unwrap()
    }

    async fn head(&self, id: &str) -> u64 {
        self.loaded(id).await.head
    }
}

impl Person<'_> {
    async fn get(&self, path: &str) -> Answer {
        self.clinic.send("GET", path, &self.cookie, String::new()).await
    }

    async fn post(&self, path: &str, fields: &[(&str, &str)]) -> Answer {
        let all: Vec<_> = fields.iter().copied().chain([("csrf", self.csrf.as_str())]).collect();
        self.clinic.send("POST", path, &self.cookie, encoded(&all)).await
    }
}

#[tokio::test]
async fn a_measurement_is_written_once_and_a_slip_of_typing_changes_nothing() {
    let clinic = clinic().await;
    let ines = clinic.log_in("ines").await;
    let path = format!("/e/{KNEE}/record/measure");
    let page = ines.get(&format!("/e/{KNEE}/record")).await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(!page.text.contains("[no words"), "a text is missing");
    let before = clinic.head(KNEE).await;
    let slip = [("value-knee_extension_passive.right", "950"), ("on", "")];
    let refused = ines.post(&path, &slip).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.text.contains("cannot be") && refused.text.contains("950"), "what was typed is gone");
    assert_eq!(clinic.head(KNEE).await, before);
    let bare = [("what-free0", "knee_flexion"), ("side-free0", "right"), ("value-free0", "90")];
    let refused = ines.post(&path, &bare).await;
    assert!(refused.text.contains("how the joint was moved"), "an angle without its way of moving is taken");
    // Nobody chooses beforehand: an angle is not "not an angle" because a list begins with that.
    let none = [bare.to_vec(), vec![("drive-free0", "none")]].concat();
    assert!(ines.post(&path, &none).await.text.contains("how the joint was moved"));
    assert!(page.text.contains("<option value=\"\">choose how</option>"));
    assert!(!page.text.contains("<option value=\"\">not an angle</option>"));
    let good = [
        ("what-free0", "knee_flexion"),
        ("side-free0", "right"),
        ("value-free0", "90,5"),
        ("drive-free0", "passive"),
        ("once", "a1"),
    ];
    let done = ines.post(&path, &good).await;
    assert_eq!(done.status, StatusCode::SEE_OTHER);
    assert!(ines.get(&done.to).await.text.contains("90.5°"));
    let after = clinic.head(KNEE).await;
    ines.post(&path, &good).await;
    assert_eq!(clinic.head(KNEE).await, after, "the same form twice is written once");
    let measure =
        clinic.loaded(KNEE).await.episode.course.measures.iter().find(|it| it.number == after).cloned();
    assert_eq!(measure.unwrap().fact.value, 90.5);
    let judged = [("what-free0", "gait"), ("side-free0", "none"), ("value-free0", "0")];
    let done = ines.post(&path, &judged).await;
    let page = ines.get(&done.to).await.text;
    assert!(page.contains("<dd>no</dd>") && !page.contains("<dd>0</dd>"), "what is judged is yes or no");
}

#[tokio::test]
async fn one_sign_leads_to_the_call_page_and_stays_open_until_somebody_was_told() {
    let clinic = clinic().await;
    let ines = clinic.log_in("ines").await;
    let told = [("source", "told"), ("sign", "same_day:0"), ("sign", "emergency:2"), ("pain_during", "3")];
    let done = ines.post(&format!("/e/{KNEE}/record/diary"), &told).await;
    assert!(done.to.starts_with(&format!("/e/{KNEE}/record/call/")), "{}", done.to);
    let call = ines.get(&done.to).await.text;
    let at = |says: &str| call.find(says).unwrap_or_else(|| panic!("{says}"));
    assert!(call.contains("Nobody on record was told yet"));
    // The clinician is told what a clinician does. What speaks to the patient, and the clinic's own number, come after
    // the heading that says whose words they are.
    let patient_page = at("What the patient’s page tells the patient");
    assert!(at("Have emergency services") < at("Whom to inform") && at("Whom to inform") < patient_page);
    assert!(at("Emergency number") < at("phone: not on record") && at("phone: not on record") < patient_page);
    for words in ["Do not drive yourself", "555-0134"] {
        assert!(at(words) > patient_page, "{words} stands as if it were for the clinician");
    }
    let number: u64 = done.to.rsplit('/').next().unwrap().parse().unwrap();
    let withdraw = [("do", "withdraw"), ("why", "typed in the wrong record")];
    let refused = ines.post(&format!("/e/{KNEE}/record/correct/{number}"), &withdraw).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "a sign went away without a call");
    let nobody = ines.post(&done.to, &[("how", "phone"), ("outcome", "seen")]).await;
    assert_eq!(nobody.status, StatusCode::UNPROCESSABLE_ENTITY);
    let answer = [("told", "surgeon"), ("how", "phone"), ("at", "14:20"), ("outcome", "seen today")];
    assert_eq!(ines.post(&done.to, &answer).await.status, StatusCode::SEE_OTHER);
    let loaded = clinic.loaded(KNEE).await;
    let contact =
        loaded.episode.course.contacts.iter().find(|it| it.fact.about == number).expect("a contact");
    assert!(contact.fact.told.contains("Fairweather") && contact.fact.how.contains("14:20"), "{contact:?}");
    assert!(!ines.get(&done.to).await.text.contains("Nobody on record was told yet"));
}

#[tokio::test]
async fn a_code_is_counted_once_and_not_for_somebody_else() {
    let clinic = clinic().await;
    let ines = clinic.log_in("ines").await;
    let loaded = clinic.loaded(KNEE).await;
    let program = loaded.episode.programs.last().unwrap();
    let (version, exercise, today) = (program.version, &program.exercises[0].exercise, clinic.app.today());
    let log = |session: &str, after: &str| {
        format!(
            r#"{{"hr":1,"s":"{session}-v{version}","v":{version},"d":"{}","t":"{today}T08:31:02","a":640,"p":[2,4,{after}],"e":[{{"i":"{exercise}","n":[10,10]}}]}}"#,
            program.issued
        )
    };
    let path = format!("/e/{KNEE}/record/code");
    let before = loaded.head;
    let other = ines.post(&path, &[("code", &log("marta-okonjo", "null"))]).await;
    assert_eq!(other.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(other.text.contains("another patient"));
    assert_eq!(ines.post(&path, &[("code", "{\"hr\":1}")]).await.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(clinic.head(KNEE).await, before);
    let guided = |loaded: &Loaded| {
        let all = loaded.episode.course.diaries.iter();
        all.filter(|it| it.fact.source == DiarySource::Guided && it.fact.on == today).count()
    };
    assert_eq!(ines.post(&path, &[("code", &log(KNEE, "null"))]).await.status, StatusCode::SEE_OTHER);
    assert_eq!(guided(&*clinic.loaded(KNEE).await), 1);
    let again = ines.post(&path, &[("code", &log(KNEE, "null"))]).await;
    assert!(again.to.contains("already=1"), "{}", again.to);
    // The same run read later, with the pain after: it takes the place of the first reading.
    ines.post(&path, &[("code", &log(KNEE, "3"))]).await;
    let loaded = clinic.loaded(KNEE).await;
    assert_eq!(guided(&loaded), 1);
    assert_eq!(
        loaded
            .episode
            .course
            .diaries
            .iter()
            .filter(|it| it.fact.pain_after == Some(3) && it.fact.on == today)
            .count(),
        1
    );
    assert!(ines.post(&path, &[("code", &log(KNEE, "null"))]).await.to.contains("already=1"));
}

#[tokio::test]
async fn a_correction_keeps_the_old_text_and_a_withdrawal_needs_a_reason() {
    let clinic = clinic().await;
    let ines = clinic.log_in("ines").await;
    let note = ines.post(&format!("/e/{KNEE}/record/note"), &[("says", "left knee warm")]).await;
    let number: u64 = note.to.rsplit('=').next().unwrap().parse().unwrap();
    let path = format!("/e/{KNEE}/record/correct/{number}");
    assert_eq!(
        ines.post(&path, &[("do", "change"), ("says", "right knee warm")]).await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let change = [("do", "change"), ("says", "right knee warm"), ("why", "side")];
    assert_eq!(ines.post(&path, &change).await.status, StatusCode::SEE_OTHER);
    let old = ines.get(&path).await.text;
    assert!(old.contains("left knee warm") && old.contains("no longer counts"));
    let twice = ines.post(&path, &[("do", "withdraw"), ("why", "again")]).await;
    assert_eq!(twice.status, StatusCode::UNPROCESSABLE_ENTITY, "an entry was superseded twice");
    let loaded = clinic.loaded(KNEE).await;
    assert!(loaded.episode.course.notes.iter().all(|it| it.fact.1.says != "left knee warm"));
    assert!(loaded.episode.course.notes.iter().any(|it| it.fact.1.says == "right knee warm"));
    assert_eq!(
        ines.get(&format!("/e/marta-okonjo/record/correct/{}", 999_999)).await.status,
        StatusCode::NOT_FOUND
    );
}

#[tokio::test]
async fn all_assumed_restrictions_are_confirmed_with_one_document() {
    let clinic = clinic().await;
    let ines = clinic.log_in("ines").await;
    let path = format!("/e/{KNEE}/restrictions");
    let assumed = |loaded: &Loaded| {
        let library = clinic.app.content().library().clone();
        let protocol = &library.protocols[&loaded.episode.operation.protocol];
        let today = envelope(protocol, &loaded.episode.orders, clinic.app.today()).unwrap();
        today
            .in_force
            .iter()
            .filter(|it| it.status == Status::Assumed)
            .map(|it| it.id.clone())
            .collect::<Vec<_>>()
    };
    let open = assumed(&*clinic.loaded(KNEE).await);
    assert!(open.len() > 2);
    let shown: Vec<(&str, &str)> = open.iter().map(|it| ("shown", it.as_str())).collect();
    let form = |rest: &[(&'static str, &'static str)]| [shown.clone(), rest.to_vec()].concat();
    let bare =
        ines.post(&format!("{path}/confirm"), &form(&[("all", "1"), ("by", "Dr. Ayana Fairweather")])).await;
    assert_eq!(bare.status, StatusCode::UNPROCESSABLE_ENTITY, "no document");
    let good = form(&[("all", "1"), ("by", "Dr. Ayana Fairweather"), ("document", "letter")]);
    assert_eq!(ines.post(&format!("{path}/confirm"), &good).await.status, StatusCode::SEE_OTHER);
    assert!(assumed(&*clinic.loaded(KNEE).await).is_empty());
    assert!(ines.get(&path).await.text.contains("The sheet at home is out of date"));
}

#[tokio::test]
async fn what_becomes_looser_is_shown_before_it_is_written() {
    let clinic = clinic().await;
    let ines = clinic.log_in("ines").await;
    let path = format!("/e/{KNEE}/restrictions");
    let before = clinic.head(KNEE).await;
    let weight = [
        ("kind", "weight"),
        ("limb", "leg"),
        ("replaces", "weight-tolerated"),
        ("by", "Dr. Ayana Fairweather"),
        ("document", "letter"),
    ];
    let order = |rest: &[(&'static str, &'static str)]| [weight.to_vec(), rest.to_vec()].concat();
    for amount in ["kg", "percent", "partial"] {
        let partial = ines.post(&format!("{path}/order"), &order(&[("amount", amount)])).await;
        assert_eq!(partial.status, StatusCode::UNPROCESSABLE_ENTITY, "{amount}");
        assert!(partial.text.contains("without a number"));
    }
    let shown = ines.post(&format!("{path}/order"), &order(&[("amount", "full")])).await;
    assert_eq!((shown.status, clinic.head(KNEE).await), (StatusCode::OK, before), "it was written unseen");
    assert!(shown.text.contains(">looser<"));
    let seen = shown
        .text
        .split(r#"name="seen" value=""#)
        .filter_map(|it| it.split('"').next())
        .find(|it| it.len() == 16);
    let look = ines.post(&format!("{path}/preview"), &order(&[("amount", "full"), ("act", "order")])).await;
    let data: serde_json::Value = serde_json::from_str(&look.text).unwrap();
    assert_eq!(data["seen"].as_str(), seen, "{data}");
    let seen = seen.unwrap().to_string();
    let with_seen: Vec<(&str, &str)> =
        order(&[("amount", "full")]).into_iter().chain([("seen", seen.as_str())]).collect();
    assert_eq!(ines.post(&format!("{path}/order"), &with_seen).await.status, StatusCode::SEE_OTHER);
    let stale: Vec<(&str, &str)> =
        vec![("release", "no-driving"), ("by", "Dr. X"), ("reason", "r"), ("head", "1"), ("seen", "x")];
    let head = clinic.head(KNEE).await;
    let release = ines.post(&format!("{path}/release"), &stale).await;
    let seen = release
        .text
        .split(r#"name="seen" value=""#)
        .filter_map(|it| it.split('"').next())
        .find(|it| it.len() == 16)
        .unwrap()
        .to_string();
    let conflict: Vec<(&str, &str)> =
        stale.iter().copied().filter(|it| it.0 != "seen").chain([("seen", seen.as_str())]).collect();
    let refused = ines.post(&format!("{path}/release"), &conflict).await;
    assert_eq!((refused.status, clinic.head(KNEE).await), (StatusCode::UNPROCESSABLE_ENTITY, head));
    assert!(refused.text.contains("Ines Brandvold"), "who changed it is not told");
    let nobody = ines.post(&format!("{path}/release"), &[("release", "no-driving"), ("reason", "r")]).await;
    assert_eq!(nobody.status, StatusCode::UNPROCESSABLE_ENTITY);
    let typed = order(&[("kind", "text")]);
    let typed: Vec<(&str, &str)> = typed
        .into_iter()
        .skip(1)
        .chain([(
            "text",
            "motion = { joint = \"knee\",\n direction = \"twist\", max_deg = 5, drives = [\"passive\"] }",
        )])
        .collect();
    let wrong = ines.post(&format!("{path}/order"), &typed).await;
    assert!(wrong.text.contains("Line 2"), "the line of the mistake is not told");
    // Lifted long before its day: the preview says so, and the notice names what was lifted.
    let lift = [("release", "no-driving"), ("by", "Dr. X"), ("reason", "r"), ("act", "release")];
    let look = ines.post(&format!("{path}/preview"), &lift).await;
    let data: serde_json::Value = serde_json::from_str(&look.text).unwrap();
    let planned = {
        let loaded = clinic.loaded(KNEE).await;
        let library = clinic.app.content().library().clone();
        let protocol = &library.protocols[&loaded.episode.operation.protocol];
        let today = envelope(protocol, &loaded.episode.orders, clinic.app.today()).unwrap();
        let limit = today.in_force.iter().find(|it| it.id == "no-driving").unwrap();
        limit.until.earliest.filter(|it| *it > clinic.app.today())
    };
    assert_eq!(data["html"].as_str().unwrap().contains("Planned not before"), planned.is_some(), "{data}");
    let seen = data["seen"].as_str().unwrap();
    let lift: Vec<(&str, &str)> = lift.into_iter().chain([("seen", seen)]).collect();
    let lifted = ines.post(&format!("{path}/release"), &lift).await;
    assert_eq!(lifted.status, StatusCode::SEE_OTHER);
    let page = ines.get(&lifted.to).await.text;
    assert!(page.contains("Lifted by Dr. X on") && page.contains("driving"), "what was lifted has no name");
    assert!(!page.contains("no-driving"), "a restriction is told by its identifier");

    let phase = ines
        .post(&format!("{path}/phase"), &[("phase", "motion"), ("by", "Dr. X"), ("document", "letter")])
        .await;
    assert!(phase.text.contains("Not every criterion is met"));
}

#[tokio::test]
async fn who_may_not_is_refused_and_nothing_changes() {
    let clinic = clinic().await;
    let before = clinic.head(KNEE).await;
    let noel = clinic.log_in("noel").await;
    let confirm = [("restriction", "no-driving"), ("by", "Dr. X"), ("document", "letter")];
    for path in ["confirm", "order", "release", "phase", "answers", "visit", "look", "preview"] {
        let answer = noel.post(&format!("/e/{KNEE}/restrictions/{path}"), &confirm).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "assistant, {path}");
    }
    assert_eq!(
        noel.post(&format!("/e/{KNEE}/record/decision"), &[("kind", "advance"), ("reason", "r")])
            .await
            .status,
        StatusCode::FORBIDDEN
    );
    let report =
        noel.post(&format!("/e/{KNEE}/record/report"), &[("kind", "progress"), ("to", "payer")]).await;
    assert!(report.text.contains("not by an assistant"));
    let loaded = clinic.loaded(KNEE).await;
    let order = loaded
        .entries
        .iter()
        .find(|it| matches!(it.fact, Fact::Confirmation(_) | Fact::Order(_) | Fact::Act(_)));
    if let Some(order) = order {
        let path = format!("/e/{KNEE}/record/correct/{}", order.number);
        assert_eq!(noel.post(&path, &[("do", "withdraw"), ("why", "x")]).await.status, StatusCode::FORBIDDEN);
    }
    let petra = clinic.log_in("petra").await;
    for path in ["record", "restrictions"] {
        assert_eq!(
            petra.get(&format!("/e/{KNEE}/{path}")).await.status,
            StatusCode::FORBIDDEN,
            "front desk, {path}"
        );
    }
    let ines = clinic.log_in("ines").await;
    assert_eq!(ines.get("/e/nobody/record").await.status, StatusCode::NOT_FOUND);
    let forged = clinic
        .send(
            "POST",
            &format!("/e/{KNEE}/record/note"),
            &ines.cookie,
            encoded(&[("says", "x"), ("csrf", "y")]),
        )
        .await;
    assert_eq!(forged.status, StatusCode::FORBIDDEN);
    assert_eq!(clinic.head(KNEE).await, before);
}

#[tokio::test]
async fn visits_messages_reports_and_decisions_are_written_as_typed() {
    let clinic = clinic().await;
    let ines = clinic.log_in("ines").await;
    let path = |form: &str| format!("/e/{KNEE}/record/{form}");
    let wrong = ines.post(&path("visit"), &[("minutes", "30"), ("timed", "38"), ("says", "x")]).await;
    assert!(wrong.text.contains("More timed minutes"));
    let visit = [("minutes", "45"), ("timed", "38"), ("says", "bend, lift"), ("teach_back", "yes")];
    assert_eq!(ines.post(&path("visit"), &visit).await.status, StatusCode::SEE_OTHER);
    assert_eq!(
        ines.post(&path("message"), &[("says", "Please call us.")]).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        ines.post(&path("report"), &[("kind", "letter"), ("to", "Dr. Fairweather")]).await.status,
        StatusCode::SEE_OTHER
    );
    assert_eq!(
        ines.post(&path("decision"), &[("kind", "hold")]).await.status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let decision = [("kind", "hold"), ("criterion", "extension-full"), ("reason", "not yet straight")];
    assert_eq!(ines.post(&path("decision"), &decision).await.status, StatusCode::SEE_OTHER);
    let course = &clinic.loaded(KNEE).await.episode.course;
    assert_eq!(course.visits.last().unwrap().fact.teach_back, Some(true));
    assert_eq!(course.messages.last().unwrap().fact.1.says, "Please call us.");
    assert_eq!(course.reports.last().unwrap().fact.1.kind, "letter before the visit");
    assert_eq!(course.decisions.last().unwrap().fact.criteria, ["extension-full"]);
    assert!(course.decisions.last().unwrap().fact.by.contains("Brandvold"));
}
