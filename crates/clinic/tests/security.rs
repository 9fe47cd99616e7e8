//! Attacks by name: a planted session, a forged link, a report sent again with other words, another patient's numbers,
//! another session's token, an ended session's cookie, a form from a browser that does not say where it came from.

mod common;

use axum::body::Body;
use axum::http::{HeaderMap, Method, Request, StatusCode, header};
use common::{Answer, Desk, Person, now};
use handrail_clinic::routes::table;
use handrail_clinic::{Right, Role, records, seed};
use handrail_store::links::{self, Link};
use handrail_store::tokens::{new_id, new_secret, secret_hash};
use handrail_store::{accounts, journal, sessions};
use jiff::SignedDuration;
use serde_json::{Value, json};

const MARTA: &str = "marta-okonjo";
const RUBEN: &str = "ruben-castellanos-vega";
const HOST: &str = "clinic.test";

/// The value of a cookie that an answer sets.
fn cookie_of(answer: &Answer, name: &str) -> Option<String> {
    let all = answer.headers.get_all(header::SET_COOKIE).iter().filter_map(|it| it.to_str().ok());
    let start = format!("{name}=");
    all.filter_map(|it| it.strip_prefix(&start)).map(|it| it.split(';').next().unwrap_or("").into()).next()
}

fn between<'a>(text: &'a str, open: &str, close: &str) -> Option<&'a str> {
    let from = text.find(open)? + open.len();
    Some(&text[from..from + text[from..].find(close)?])
}

/// A post with exactly these headers beside the host.
async fn send(desk: &Desk, path: &str, headers: &[(&str, &str)], body: &str) -> Answer {
    let mut request = Request::post(path).header(header::HOST, HOST);
    if !headers.iter().any(|it| it.0 == "content-type") {
        request = request.header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
    }
    for (name, value) in headers {
        request = request.header(*name, *value);
    }
    desk.ask(request.body(Body::from(body.to_string())).expect("a request")).await
}

const OURS: (&str, &str) = ("origin", "https://clinic.test");

async fn log_in(desk: &Desk, login: &str, cookie: &str) -> Answer {
    let body = format!("name={login}&password={}", seed::PASSWORD.replace(' ', "+"));
    send(desk, "/login", &[OURS, ("cookie", cookie)], &body).await
}

/// Somebody who logged in with a password.
async fn logged_in(desk: &Desk, login: &str) -> Person {
    let answer = log_in(desk, login, "").await;
    let cookie = format!("handrail-desk={}", cookie_of(&answer, "handrail-desk").expect("a cookie"));
    person_of(desk, cookie).await
}

async fn person_of(desk: &Desk, cookie: String) -> Person {
    let person = Person { cookie, csrf: String::new() };
    let page = desk.get(Some(&person), "/settings").await;
    let csrf = between(&page.text, "name=\"csrf\" content=\"", "\"").expect("a token").to_string();
    Person { csrf, ..person }
}

async fn is_in(desk: &Desk, person: &Person) -> bool {
    desk.get(Some(person), "/settings").await.status == StatusCode::OK
}

/// A link with these properties; answers its secret.
async fn link(desk: &Desk, episode: &str, expires_in: SignedDuration, revoked: bool) -> String {
    let secret = new_secret().expect("random");
    let link = Link {
        id: new_id().expect("random"),
        token: secret_hash(&secret),
        episode: episode.into(),
        created_by: "test".into(),
        created: now() - SignedDuration::from_hours(48),
        expires: now() + expires_in,
        revoked: revoked.then(now),
        tries: 0,
        last_try: None,
    };
    desk.store.write(move |tx| links::create(tx, &link)).await.expect("a link");
    secret
}

async fn knock(desk: &Desk, secret: &str, cookie: &str) -> Answer {
    let born = records::load(&desk.app, MARTA).await.expect("episode").episode.patient.born.expect("born");
    let body = format!("day={}&month={}&year={}", born.day(), born.month(), born.year());
    send(desk, &format!("/p/{secret}"), &[OURS, ("cookie", cookie)], &body).await
}

/// Entries of an episode, views too.
async fn entries(desk: &Desk, episode: &str) -> u64 {
    let id = episode.to_string();
    desk.store.read(move |tx| journal::head(tx, &id)).await.expect("head").number
}

#[tokio::test(flavor = "multi_thread")]
async fn a_planted_session_is_never_taken_over_by_a_login() {
    let desk = Desk::with_patients().await;
    let planted = "handrail-desk=0123456789abcdef0123456789abcdef";
    let answer = log_in(&desk, "ines", planted).await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER, "{}", answer.text);
    let own = cookie_of(&answer, "handrail-desk").expect("a cookie");
    assert!(!planted.contains(&own));
    let planted = Person { cookie: planted.into(), csrf: String::new() };
    assert!(!is_in(&desk, &planted).await, "whoever planted it is not in");
    // Nor does a login take over a session that somebody else has open.
    let other = logged_in(&desk, "helena").await;
    let again = log_in(&desk, "ines", &other.cookie).await;
    assert!(!other.cookie.ends_with(&cookie_of(&again, "handrail-desk").expect("a cookie")));
    let page = desk.get(Some(&other), "/settings").await.text;
    assert!(page.contains("Helena") && !page.contains("who-name\">Ines"), "{page:.400}");
    // The same at a patient's door.
    let planted = "handrail-home=0123456789abcdef0123456789abcdef";
    let secret = link(&desk, MARTA, SignedDuration::from_hours(24), false).await;
    let opened = knock(&desk, &secret, planted).await;
    assert_eq!(opened.location(), "/home", "{}", opened.text);
    let planted = Person { cookie: planted.into(), csrf: String::new() };
    assert_eq!(desk.get(Some(&planted), "/home").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test(flavor = "multi_thread")]
async fn the_session_changes_when_a_password_changes_and_when_codes_begin_to_count() {
    let desk = Desk::with_patients().await;
    let (first, elsewhere) = (logged_in(&desk, "ines").await, logged_in(&desk, "ines").await);
    let fields =
        [("present", seed::PASSWORD), ("new", "wade tulip oblong nine"), ("again", "wade tulip oblong nine")];
    let changed = desk.post(Some(&first), "/settings/password", &fields).await;
    assert_eq!(changed.status, StatusCode::SEE_OTHER, "{}", changed.text);
    let second = format!("handrail-desk={}", cookie_of(&changed, "handrail-desk").expect("another session"));
    assert_ne!(second, first.cookie);
    assert!(!is_in(&desk, &first).await && !is_in(&desk, &elsewhere).await);
    let second = person_of(&desk, second).await;
    assert_ne!(second.csrf, first.csrf, "the token of forms changes too");

    let begin = [("present", "wade tulip oblong nine")];
    desk.post(Some(&second), "/settings/codes/begin", &begin).await;
    let page = desk.get(Some(&second), "/settings/codes").await.text;
    let secret = between(&page, "settings-secret\">", "<").expect("a secret").replace(' ', "");
    let seconds = now().as_second().unsigned_abs();
    let fits = |it: &String| handrail_clinic::passwords::totp_step(&secret, it, seconds).is_some();
    let code = (0..1_000_000).map(|it| format!("{it:06}")).find(fits).expect("a code");
    let confirmed = desk.post(Some(&second), "/settings/codes/confirm", &[("code", &code)]).await;
    assert_eq!(confirmed.status, StatusCode::SEE_OTHER, "{}", confirmed.text);
    let third = cookie_of(&confirmed, "handrail-desk").expect("another session");
    assert!(!is_in(&desk, &second).await, "a session that knew the password alone is over");
    assert!(is_in(&desk, &Person { cookie: format!("handrail-desk={third}"), csrf: String::new() }).await);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_link_that_was_changed_by_a_letter_opens_nothing_and_tells_nothing() {
    let desk = Desk::with_patients().await;
    let secret = link(&desk, MARTA, SignedDuration::from_hours(24), false).await;
    let expired = link(&desk, MARTA, SignedDuration::from_secs(0), false).await;
    let revoked = link(&desk, MARTA, SignedDuration::from_hours(24), true).await;
    let last = if secret.ends_with('a') { 'b' } else { 'a' };
    let whole = secret.len();
    let forged = [
        ("truncated", secret[..whole - 1].to_string()),
        ("without its beginning", secret[1..].to_string()),
        ("a letter longer", format!("{secret}0")),
        ("another last letter", format!("{}{last}", &secret[..whole - 1])),
        ("in capitals", secret.to_uppercase()),
        ("with a zero", format!("{secret}%00")),
        ("with a blank", format!("%20{secret}")),
        ("its hash", secret_hash(&secret).iter().map(|it| format!("{it:02x}")).collect()),
        ("expired", expired),
        ("revoked", revoked),
        ("of another sort", "marta-okonjo".into()),
    ];
    let mut told = Vec::new();
    for (what, forged) in forged {
        if forged == secret {
            continue; // capitals of digits alone
        }
        let answer = knock(&desk, &forged, "").await;
        assert_eq!(answer.status, StatusCode::UNAUTHORIZED, "{what}");
        assert!(cookie_of(&answer, "handrail-home").is_none() && !answer.text.contains("Marta"), "{what}");
        told.push(between(&answer.text, "role=\"alert\">", "</div>").expect("a sentence").to_string());
    }
    assert!(told.iter().all(|it| *it == told[0]), "all are told the same: {told:?}");
    assert_eq!(knock(&desk, &secret, "").await.location(), "/home", "the right one opens");
}

/// What the phone of a patient sends.
async fn report(desk: &Desk, who: &Person, body: &Value) -> Answer {
    let headers =
        [OURS, ("cookie", &who.cookie), ("x-csrf", &who.csrf), ("content-type", "application/json")];
    send(desk, "/home/diary", &headers, &body.to_string()).await
}

async fn state(desk: &Desk, who: &Person) -> Value {
    serde_json::from_str(&desk.get(Some(who), "/home/state").await.text).expect("JSON")
}

#[tokio::test(flavor = "multi_thread")]
async fn a_report_sent_again_with_other_words_changes_nothing() {
    let desk = Desk::with_patients().await;
    let (marta, ruben) = (desk.patient(MARTA).await, desk.patient(RUBEN).await);
    let key = "page-00112233445566778899aabbccddeeff";
    let tag = |state: &Value| state["tag"].clone();
    let (own, other) = (tag(&state(&desk, &marta).await), tag(&state(&desk, &ruben).await));
    let first = report(&desk, &marta, &json!({ "key": key, "tag": own, "message": "It went well" })).await;
    assert_eq!(first.status, StatusCode::OK, "{}", first.text);
    let before = entries(&desk, MARTA).await;
    let again = report(&desk, &marta, &json!({ "key": key, "tag": own, "message": "It went badly" })).await;
    assert_eq!(
        (again.status, &again.text),
        (first.status, &first.text),
        "answered with the entry that stands"
    );
    assert_eq!(entries(&desk, MARTA).await, before, "nothing is written");
    let loaded = records::load(&desk.app, MARTA).await.expect("episode");
    let last = &loaded.episode.course.messages.last().expect("a message").fact.1;
    assert_eq!(last.says, "It went well");
    // The same report on the phone of somebody else: refused, whosever tag it carries, or written once as their own.
    let replayed = report(&desk, &ruben, &json!({ "key": key, "tag": own, "message": "It went well" })).await;
    assert_eq!(replayed.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", replayed.text);
    let rubens = entries(&desk, RUBEN).await;
    let own_words = report(&desk, &ruben, &json!({ "key": key, "tag": other, "message": "Hello" })).await;
    assert_eq!(own_words.status, StatusCode::OK, "a key counts within one record only");
    assert_eq!((entries(&desk, RUBEN).await, entries(&desk, MARTA).await), (rubens + 1, before));
}

#[tokio::test(flavor = "multi_thread")]
async fn a_patients_session_reaches_no_record_of_anybody() {
    let desk = Desk::with_patients().await;
    let marta = desk.patient(MARTA).await;
    let before = (entries(&desk, MARTA).await, entries(&desk, RUBEN).await);
    let mut asked = 0;
    for route in table().iter().filter(|it| it.right != Right::Anyone && it.right != Right::Patient) {
        for episode in [RUBEN, MARTA] {
            let path = route
                .path
                .replace("{episode}", episode)
                .replace("{number}", "3")
                .replace("{id}", "heel-slide-supine")
                .replace("{account}", "1")
                .replace("{what}", "x");
            let answer = match route.method {
                Method::GET => desk.get(Some(&marta), &path).await,
                _ => desk.post(Some(&marta), &path, &[]).await,
            };
            assert!(
                answer.location().starts_with("/login"),
                "{path}: {} {:.300}",
                answer.status,
                answer.text
            );
            assert!(!answer.text.contains("Castellanos"), "{path}");
            asked += 1;
        }
    }
    assert!(asked > 100, "{asked}");
    assert_eq!((entries(&desk, MARTA).await, entries(&desk, RUBEN).await), before);
    // The patient's own routes take no id at all: whose page it is follows from the session alone.
    assert!(table().iter().filter(|it| it.right == Right::Patient).all(|it| !it.path.contains('{')));
    for path in ["/home", "/home/session", "/home/state"] {
        for query in ["?episode=ruben-castellanos-vega", "?id=ruben-castellanos-vega&tag=x"] {
            let answer = desk.get(Some(&marta), &format!("{path}{query}")).await;
            assert_eq!(answer.status, StatusCode::OK, "{path}");
            assert!(!answer.text.contains("Castellanos"), "{path}");
        }
    }
    // Another patient's exercise and version are not taken into this one's diary.
    let ruben = records::load(&desk.app, RUBEN).await.expect("episode");
    let program = ruben.episode.programs.last().expect("a program");
    let own = state(&desk, &marta).await;
    let foreign = json!({ "key": "page-00112233445566778899aabbccddee01", "tag": own["tag"],
        "diary": { "on": "2026-11-25", "version": program.version,
            "done": [{ "exercise": program.exercises[0].exercise, "sets": 1, "reps": 5 }] } });
    let answer = report(&desk, &marta, &foreign).await;
    assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", answer.text);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_form_of_one_episode_does_not_reach_into_another() {
    let desk = Desk::with_patients().await;
    let lead = desk.person(Role::ClinicLead).await;
    // A link of another patient is not taken back.
    let secret = link(&desk, RUBEN, SignedDuration::from_hours(24), false).await;
    let hash = secret_hash(&secret);
    let find = move |tx: &mut dyn handrail_store::Tx| links::find(tx, &hash);
    let id = desk.store.read(find).await.expect("read").expect("a link").id;
    let path = format!("/e/{MARTA}/home/revoke");
    let answer = desk.post(Some(&lead), &path, &[("link", &id)]).await;
    assert_eq!(answer.status, StatusCode::NOT_FOUND, "{}", answer.text);
    assert!(desk.store.read(find).await.expect("read").expect("a link").revoked.is_none());
    // Numbers of entries count within one record: what is a diary there is another entry here, or none.
    let (marta, ruben) = (
        records::load(&desk.app, MARTA).await.expect("episode"),
        records::load(&desk.app, RUBEN).await.expect("episode"),
    );
    let is_diary = |number: u64| marta.record(number).is_some_and(|it| it.kind == "diary");
    let foreign: Vec<u64> = ruben.of_kind("diary").map(|it| it.number).filter(|it| !is_diary(*it)).collect();
    assert!(foreign.len() > 3, "{foreign:?}");
    let before = (entries(&desk, MARTA).await, entries(&desk, RUBEN).await);
    for number in foreign.iter().take(20) {
        let path = format!("/e/{MARTA}/record/call/{number}");
        let fields = [("who", "surgeon"), ("says", "told"), ("how", "phone")];
        for answer in [desk.get(Some(&lead), &path).await, desk.post(Some(&lead), &path, &fields).await] {
            assert_eq!(answer.status, StatusCode::NOT_FOUND, "{path}: {:.300}", answer.text);
        }
    }
    let beyond = ruben.records.iter().map(|it| it.number).max().expect("entries") + 100_000;
    let path = format!("/e/{MARTA}/record/correct/{beyond}");
    let fields = [("do", "withdraw"), ("why", "a mistake")];
    assert_eq!(desk.post(Some(&lead), &path, &fields).await.status, StatusCode::NOT_FOUND);
    // A restriction of another protocol cannot be confirmed or lifted here.
    for (end, field) in [("confirm", "confirm"), ("release", "release"), ("order", "replaces")] {
        let fields = [
            (field, "no-such-restriction"),
            ("by", "Dr Invented"),
            ("document", "letter"),
            ("on", "2026-11-24"),
        ];
        let answer = desk.post(Some(&lead), &format!("/e/{MARTA}/restrictions/{end}"), &fields).await;
        assert!(
            answer.status.is_client_error() || answer.status == StatusCode::OK,
            "{end}: {}",
            answer.status
        );
    }
    let after = (entries(&desk, MARTA).await, entries(&desk, RUBEN).await);
    assert_eq!(after.1, before.1, "nothing in the other record");
    let facts = records::load(&desk.app, MARTA).await.expect("episode").head;
    assert_eq!(facts, marta.head, "nothing but views in this one");
    // Two sessions of accounts: one's own draft is not another's.
    let (ines, helena) = (logged_in(&desk, "ines").await, logged_in(&desk, "helena").await);
    let headers = [
        OURS,
        ("cookie", ines.cookie.as_str()),
        ("x-csrf", &ines.csrf),
        ("content-type", "application/json"),
    ];
    send(&desk, "/drafts", &headers, "{\"what\":\"note\",\"text\":\"private words\"}").await;
    assert!(desk.get(Some(&ines), "/drafts/note").await.text.contains("private words"));
    assert_eq!(desk.get(Some(&helena), "/drafts/note").await.status, StatusCode::NO_CONTENT);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_token_of_another_session_is_worth_nothing() {
    let desk = Desk::with_patients().await;
    let (here, there) = (logged_in(&desk, "ines").await, logged_in(&desk, "ines").await);
    let (helena, marta) = (logged_in(&desk, "helena").await, desk.patient(MARTA).await);
    assert_ne!(here.csrf, there.csrf);
    for token in [&there.csrf, &helena.csrf, &marta.csrf, &String::new(), &here.csrf[1..].to_string()] {
        let forged = Person { cookie: here.cookie.clone(), csrf: token.clone() };
        let answer = desk.post(Some(&forged), "/language", &[("lang", "es")]).await;
        assert_eq!(answer.status, StatusCode::FORBIDDEN, "{token}");
        let forged = Person { cookie: marta.cookie.clone(), csrf: there.csrf.clone() };
        assert_eq!(
            desk.post(Some(&forged), "/home/language", &[("lang", "es")]).await.status,
            StatusCode::FORBIDDEN
        );
    }
    assert_eq!(desk.post(Some(&here), "/language", &[("lang", "es")]).await.status, StatusCode::SEE_OTHER);
    assert_eq!(
        desk.post(Some(&marta), "/home/language", &[("lang", "es")]).await.status,
        StatusCode::SEE_OTHER
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn the_cookie_of_an_ended_session_opens_nothing() {
    let desk = Desk::with_patients().await;
    let page = format!("/e/{MARTA}");
    let out = logged_in(&desk, "ines").await;
    let stale = logged_in(&desk, "ines").await;
    let taken_out = desk.person(Role::Therapist).await;
    for person in [&out, &stale, &taken_out] {
        assert_eq!(desk.get(Some(person), &page).await.status, StatusCode::OK);
    }
    desk.post(Some(&out), "/logout", &[]).await;
    let secret = stale.cookie.split_once('=').expect("a cookie").1;
    let (hash, long_ago) = (secret_hash(secret), now() - SignedDuration::from_mins(16));
    let ends = now() + SignedDuration::from_hours(1);
    desk.store.write(move |tx| sessions::touch(tx, &hash, long_ago, ends)).await.expect("aged");
    let hash = secret_hash(taken_out.cookie.split_once('=').expect("a cookie").1);
    desk.store
        .write(move |tx| {
            let account = sessions::find(tx, &hash, now())?.expect("a session").account;
            accounts::update(tx, &account, &accounts::Change { active: Some(false), ..Default::default() })
        })
        .await
        .expect("taken out");
    for (why, person) in [("logged out", &out), ("idle", &stale), ("taken out", &taken_out)] {
        let answer = desk.get(Some(person), &page).await;
        assert!(answer.location().starts_with("/login"), "{why}: {}", answer.status);
        assert!(!answer.text.contains("Okonjo"), "{why}");
        let answer = desk.post(Some(person), &format!("{page}/record/note"), &[("says", "x")]).await;
        assert!(answer.location().starts_with("/login"), "{why}: {}", answer.status);
    }
    let marta = desk.patient(MARTA).await;
    desk.post(Some(&marta), "/home/leave", &[]).await;
    assert_eq!(desk.get(Some(&marta), "/home").await.status, StatusCode::NOT_FOUND);
    let late = json!({ "key": "page-00112233445566778899aabbccddee02", "tag": "x", "message": "late" });
    assert_eq!(report(&desk, &marta, &late).await.status, StatusCode::NOT_FOUND);
}

/// Headers of browsers that do not say where a form came from: nothing at all, or an origin that is withheld.
const SILENT: [&[(&str, &str)]; 2] = [&[], &[("origin", "null")]];

#[tokio::test(flavor = "multi_thread")]
async fn a_browser_that_does_not_say_where_a_form_came_from_needs_the_token_of_its_session() {
    let desk = Desk::with_patients().await;
    let ines = logged_in(&desk, "ines").await;
    let marta = desk.patient(MARTA).await;
    let body = |person: &Person| format!("lang=es&csrf={}", person.csrf);
    for (path, person) in [("/language", &ines), ("/home/language", &marta)] {
        for silent in SILENT {
            let with = |more: &[(&'static str, &'static str)]| -> Vec<(&str, &str)> {
                silent.iter().chain(more).copied().chain([("cookie", person.cookie.as_str())]).collect()
            };
            let taken = send(&desk, path, &with(&[]), &body(person)).await;
            assert_eq!(taken.status, StatusCode::SEE_OTHER, "{path} {silent:?}: {:.300}", taken.text);
            let forged = send(&desk, path, &with(&[]), "lang=es&csrf=guess").await;
            assert_eq!(forged.status, StatusCode::FORBIDDEN, "{path} {silent:?} with a guess");
            let none = send(&desk, path, &with(&[]), "lang=es").await;
            assert_eq!(none.status, StatusCode::FORBIDDEN, "{path} {silent:?} without a token");
            // What a browser does say counts, whatever the token.
            for elsewhere in [
                ("referer", "https://elsewhere.test/page"),
                ("referer", "https://clinic.test.elsewhere.test/"),
                ("sec-fetch-site", "cross-site"),
                ("sec-fetch-site", "same-site"),
                ("sec-fetch-site", "none"),
                ("origin", "https://elsewhere.test"),
                ("origin", "https://clinic.test.elsewhere.test"),
                ("origin", "file://"),
            ] {
                let answer = send(&desk, path, &with(&[elsewhere]), &body(person)).await;
                assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path} {silent:?} {elsewhere:?}");
            }
            let ours =
                send(&desk, path, &with(&[("referer", "https://clinic.test/e/x")]), &body(person)).await;
            assert_eq!(ours.status, StatusCode::SEE_OTHER);
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn without_a_session_such_a_browser_needs_the_token_that_belongs_to_its_cookie() {
    let desk = Desk::with_patients().await;
    let secret = link(&desk, MARTA, SignedDuration::from_hours(24), false).await;
    let door = format!("/p/{secret}");
    let born = records::load(&desk.app, MARTA).await.expect("episode").episode.patient.born.expect("born");
    let birth = format!("day={}&month={}&year={}", born.day(), born.month(), born.year());
    let password = format!("name=ines&password={}", seed::PASSWORD.replace(' ', "+"));
    for (path, fields, cookie, to) in
        [("/login", password, "handrail-desk", "/"), (&door, birth, "handrail-home", "/home")]
    {
        let page = desk.get(None, path).await;
        let form = cookie_of(&page, "handrail-form").expect("a cookie for the form");
        let token = between(&page.text, "name=\"csrf\" value=\"", "\"").expect("a token").to_string();
        assert!(!token.contains(&form) && !form.contains(&token));
        let other = cookie_of(&desk.get(None, path).await, "handrail-form").expect("a cookie");
        let signed = format!("{fields}&csrf={token}");
        for silent in SILENT {
            let with = |cookie: &str| {
                let line = format!("handrail-form={cookie}");
                let headers: Vec<(String, String)> = silent
                    .iter()
                    .map(|it| (it.0.into(), it.1.into()))
                    .chain([("cookie".into(), line)])
                    .collect();
                headers
            };
            let refused = [
                (with(&form), fields.clone()),
                (with(&other), signed.clone()),
                (with(""), signed.clone()),
                (with(&form), format!("{fields}&csrf={form}")),
            ];
            for (headers, body) in refused {
                let headers: Vec<(&str, &str)> =
                    headers.iter().map(|it| (it.0.as_str(), it.1.as_str())).collect();
                let answer = send(&desk, path, &headers, &body).await;
                assert_eq!(answer.status, StatusCode::FORBIDDEN, "{path} {headers:?} {body}");
                assert!(cookie_of(&answer, cookie).is_none());
            }
            let headers = with(&form);
            let headers: Vec<(&str, &str)> =
                headers.iter().map(|it| (it.0.as_str(), it.1.as_str())).collect();
            let taken = send(&desk, path, &headers, &signed).await;
            assert_eq!(taken.location(), to, "{path} {headers:?}: {} {:.300}", taken.status, taken.text);
            assert!(cookie_of(&taken, cookie).is_some());
        }
    }
    // A browser that does say where a form comes from is not given a cookie for nothing.
    let mut request = Request::get("/login").body(Body::empty()).expect("a request");
    let headers: &mut HeaderMap = request.headers_mut();
    headers.insert(header::HOST, HOST.parse().expect("a host"));
    headers.insert("sec-fetch-site", "none".parse().expect("a value"));
    assert!(desk.ask(request).await.headers.get(header::SET_COOKIE).is_none());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_host_that_is_named_in_the_address_alone_counts_as_named() {
    let desk = Desk::with_patients().await;
    let ines = logged_in(&desk, "ines").await;
    // As HTTP/2 has it: no Host header.
    let request = Request::post("https://clinic.test/language")
        .header("origin", "https://clinic.test")
        .header("cookie", &ines.cookie)
        .header("x-csrf", &ines.csrf)
        .body(Body::from("lang=es"))
        .expect("a request");
    assert_eq!(desk.ask(request).await.status, StatusCode::SEE_OTHER);
    let request = Request::post(format!("https://clinic.test/e/{MARTA}/home/link"))
        .header("origin", "https://clinic.test")
        .header("cookie", &ines.cookie)
        .header("x-csrf", &ines.csrf)
        .body(Body::from("expires=2026-12-10"))
        .expect("a request");
    let made = desk.ask(request).await;
    assert!(made.text.contains("://clinic.test/p/"), "{:.600}", made.text);
}
