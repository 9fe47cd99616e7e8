//! The clinic that is asked, what is there in it, and the laws that each answer keeps.

use std::collections::BTreeMap;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use axum::body::Body as HttpBody;
use axum::extract::ConnectInfo;
use axum::http::{HeaderName, HeaderValue, Method, Request, Uri, header};
use handrail_clinic::routes::{Route, table};
use handrail_clinic::{Right, Role, records};
use serde_json::{Map, Value, json};

use crate::asked::{Asked, Body, Change, Piece, WHO, odd};
use crate::common::{Answer, Desk, Person};
use crate::forms::{Field, Form, collect, plain};

/// The patient whose phone asks.
const OWN: &str = "marta-okonjo";

pub struct World {
    pub desk: Desk,
    routes: Vec<Route>,
    /// Sessions by the place in [`WHO`]; made anew when a request ended one.
    people: Mutex<BTreeMap<usize, Person>>,
    /// Forms by the path that takes them.
    forms: BTreeMap<String, Vec<Form>>,
    /// What stands for the pieces of a path, by their names in the table of routes.
    real: BTreeMap<&'static str, Vec<String>>,
    /// Names of fields and of parts of a query.
    names: Vec<String>,
    /// Parts of other patients' names, which must not be shown to this one.
    strangers: Vec<String>,
    diary: Value,
    seen: Mutex<BTreeMap<u16, usize>>,
    /// Forms that were taken: a redirect after a post, to a page.
    written: AtomicUsize,
    asked: AtomicUsize,
}

/// Parts of queries that pages read.
const QUERY: &[&str] = &[
    "page", "whose", "find", "closed", "paper", "large", "lang", "back", "person", "kind", "from", "until",
    "before", "patient", "done", "already", "side", "view", "text", "region", "goal", "posture", "state",
    "height", "mass", "sex", "v", "t", "seed", "variant", "week", "day", "on", "number", "show", "all",
    "sort", "months", "copy", "as",
];

impl World {
    pub async fn new() -> World {
        let desk = Desk::with_patients().await;
        let lead = desk.person(Role::ClinicLead).await;
        let admin = desk.person(Role::Administrator).await;
        let episodes = desk
            .store
            .read(|tx| {
                let rows = tx.query("SELECT id FROM stream WHERE id <> 'clinic' ORDER BY id", &[])?;
                rows.iter().map(|it| it.text("id")).collect::<Result<Vec<String>, _>>()
            })
            .await
            .expect("episodes");
        let accounts = desk
            .store
            .read(|tx| {
                let rows = tx.query("SELECT id FROM account ORDER BY login", &[])?;
                rows.iter().map(|it| it.text("id")).collect::<Result<Vec<String>, _>>()
            })
            .await
            .expect("accounts");
        let library = desk.app.content().library().clone();
        let mut ids: Vec<String> = library.exercises.keys().take(12).map(ToString::to_string).collect();
        ids.extend(library.protocols.keys().map(ToString::to_string));
        let mut forms = BTreeMap::new();
        let mut pages: Vec<String> = [
            "/login",
            "/new",
            "/patients",
            "/settings",
            "/settings/people",
            "/settings/clinic",
            "/settings/backups",
            "/settings/incidents",
            "/settings/audit",
            "/content",
            "/content/exercise/new",
            "/content/protocol/new",
            "/content/waiting",
        ]
        .map(String::from)
        .to_vec();
        for episode in episodes.iter().take(2).map(String::as_str).chain([OWN]) {
            for end in ["", "/record", "/restrictions", "/program", "/home", "/program/issued"] {
                pages.push(format!("/e/{episode}{end}"));
            }
            let loaded = records::load(&desk.app, episode).await.expect("episode");
            for record in loaded.records.iter().rev().take(8) {
                pages.push(format!("/e/{episode}/record/correct/{}", record.number));
            }
            for record in loaded.of_kind("diary").rev().take(3) {
                pages.push(format!("/e/{episode}/record/call/{}", record.number));
            }
        }
        for id in ids.iter().take(3) {
            pages.push(format!("/content/exercise/{id}/edit"));
        }
        for id in ids.iter().rev().take(2) {
            pages.push(format!("/content/protocol/{id}"));
            pages.push(format!("/content/protocol/{id}/edit"));
        }
        pages.extend(accounts.iter().take(3).map(|it| format!("/settings/people/{it}")));
        for page in &pages {
            let who = if page == "/settings/backups" { &admin } else { &lead };
            let answer = desk.get(Some(who), page).await;
            collect(&answer.text, &mut forms);
        }
        let patient = desk.patient(OWN).await;
        let home = desk.get(Some(&patient), "/home").await;
        collect(&home.text, &mut forms);
        let door = desk.get(None, "/p/nobodys").await;
        collect(&door.text, &mut forms);
        let assets: Vec<(String, String)> = home
            .text
            .split("/assets/")
            .skip(1)
            .filter_map(|it| it.split('"').next()?.split_once('/').map(|(a, b)| (a.into(), b.into())))
            .collect();
        let mut strangers = Vec::new();
        for episode in episodes.iter().filter(|it| *it != OWN) {
            let name = records::load(&desk.app, episode).await.expect("episode").episode.patient.name.clone();
            // The whole name, and the family names alone: first names may be a therapist's, too.
            strangers.extend(name.split(' ').skip(1).filter(|it| it.len() > 4).map(String::from));
            strangers.push(name);
        }
        let diary = Self::diary_of(&home.text);
        let mut names: Vec<String> = QUERY.iter().map(ToString::to_string).collect();
        names.extend(forms.values().flatten().flat_map(|it: &Form| &it.fields).map(|it| it.name.clone()));
        names.sort();
        names.dedup();
        let real = BTreeMap::from([
            ("{episode}", episodes),
            ("{account}", accounts),
            ("{id}", ids),
            ("{number}", ["1", "2", "3", "10", "25", "40", "60"].map(String::from).to_vec()),
            ("{what}", vec![format!("program-{OWN}"), "new-episode".into()]),
            ("{secret}", vec!["nobodys".into()]),
            ("{hash}", assets.iter().map(|it| it.0.clone()).collect()),
            ("{name}", assets.iter().map(|it| it.1.clone()).collect()),
        ]);
        assert!(forms.len() > 40, "{:?}", forms.keys());
        let (people, seen) = (Mutex::default(), Mutex::default());
        let (written, asked) = (AtomicUsize::new(0), AtomicUsize::new(0));
        World { desk, routes: table(), people, forms, real, names, strangers, diary, seen, written, asked }
    }

    /// A diary as the phone of this patient sends it.
    fn diary_of(home: &str) -> Value {
        let from = home.find("id=\"home-data\">").expect("data") + 15;
        let data: Value =
            serde_json::from_str(home[from..].split("</script>").next().expect("end")).expect("JSON");
        let exercise = home.split("data-exercise=\"").nth(1).and_then(|it| it.split('"').next()).map(plain);
        json!({ "key": "page-00112233445566778899aabbccddeeff", "tag": data["tag"], "message": "Hello",
            "diary": { "on": "2026-11-25", "version": data["version"], "guided": false,
                "done": [{ "exercise": exercise, "sets": 2, "reps": 20 }], "extra": null, "left_out": "no time",
                "note": "well", "pain_before": 1, "pain_during": 3, "pain_after": 2, "morning": "usual",
                "swelling": "same", "signs": [{ "urgency": "same_day", "says": "hot and red" }] } })
    }

    /// Statuses and how often each was answered.
    pub fn seen(&self) -> BTreeMap<u16, usize> {
        self.seen.lock().expect("lock").clone()
    }

    /// Forms that were taken: a redirect after a post, to a page.
    pub fn written(&self) -> usize {
        self.written.load(Ordering::Relaxed)
    }

    /// Every stream that is an episode still makes one.
    pub async fn every_episode_folds(&self) {
        let streams = self
            .desk
            .store
            .read(|tx| {
                let rows = tx.query("SELECT id FROM stream WHERE id <> 'clinic'", &[])?;
                rows.iter().map(|it| it.text("id")).collect::<Result<Vec<String>, _>>()
            })
            .await
            .expect("streams");
        for id in streams {
            assert!(records::load(&self.desk.app, &id).await.is_ok(), "{id} does not fold any more");
        }
    }

    async fn person(&self, who: usize) -> Option<Person> {
        if WHO[who] == "nobody" {
            return None;
        }
        let known = self.people.lock().expect("lock").get(&who).cloned();
        if known.is_some() {
            return known;
        }
        let made = match Role::of(WHO[who]) {
            Some(role) => self.desk.person(role).await,
            None => self.desk.patient(OWN).await,
        };
        self.people.lock().expect("lock").insert(who, made.clone());
        Some(made)
    }

    fn piece(&self, name: &str, piece: &Piece) -> String {
        match piece {
            Piece::Real(at) => match self.real.get(name) {
                Some(list) if !list.is_empty() => list[usize::from(*at) % list.len()].clone(),
                _ => self.names[usize::from(*at) % self.names.len()].clone(),
            },
            Piece::Odd(at) => odd(*at),
            Piece::Text(text) => text.clone(),
        }
    }

    /// The path, and whether the piece is written as it is: what stands in a path is percent-encoded, but the odd
    /// ones also come in bytes that are no text.
    fn path(&self, route: &Route, asked: &Asked) -> String {
        let mut pieces = asked.pieces.iter();
        let path: Vec<String> = route
            .path
            .split('/')
            .map(|it| {
                if !it.starts_with('{') {
                    return it.to_string();
                }
                match pieces.next().unwrap_or(&Piece::Real(0)) {
                    Piece::Odd(at) if at % 11 == 0 => "%ff%fe%c0%80".into(),
                    Piece::Odd(at) if at % 11 == 1 => "..".into(),
                    Piece::Odd(at) if at % 11 == 2 => "%2e%2e%2f%2e%2e".into(),
                    piece => encode(&self.piece(it, piece)),
                }
            })
            .collect();
        let mut path = path.join("/");
        if !asked.query.is_empty() {
            let part = |(name, value): &(Piece, Piece)| {
                format!("{}={}", encode(&self.piece("", name)), encode(&self.piece("", value)))
            };
            path.push('?');
            path.push_str(&asked.query.iter().map(part).collect::<Vec<_>>().join("&"));
        }
        path
    }

    /// A form for a route: one that a page sends to the very path, else to a path of this shape, else any.
    fn form(&self, route: &Route, path: &str, at: u16) -> Form {
        let bare = path.split('?').next().unwrap_or_default();
        let shape = |it: &str| {
            let (a, b): (Vec<&str>, Vec<&str>) = (it.split('/').collect(), route.path.split('/').collect());
            a.len() == b.len() && a.iter().zip(&b).all(|(x, y)| x == y || y.starts_with('{'))
        };
        let of_shape = || self.forms.iter().filter(|it| shape(it.0)).flat_map(|it| it.1).collect::<Vec<_>>();
        let exact: Vec<&Form> = self.forms.get(bare).into_iter().flatten().collect();
        let list = if exact.is_empty() { of_shape() } else { exact };
        let list = if list.is_empty() { self.forms.values().flatten().collect() } else { list };
        list[usize::from(at) % list.len()].clone()
    }

    fn changed(&self, form: &Form, changes: &[Change]) -> Vec<(String, String)> {
        let mut fields: Vec<Field> = form.fields.clone();
        fields.retain(|it| it.name != "csrf");
        let mut twice = Vec::new();
        for change in changes {
            let many = fields.len().max(1);
            let at = |n: u16| usize::from(n) % many;
            match change {
                Change::Put(n, piece) => {
                    if let Some(it) = fields.get_mut(at(*n)) {
                        (it.value, it.set) = (self.piece("", piece), true);
                    }
                }
                Change::Choose(n, which) => {
                    if let Some(it) = fields.get_mut(at(*n)).filter(|it| !it.offers.is_empty()) {
                        (it.value, it.set) = (it.offers[usize::from(*which) % it.offers.len()].clone(), true);
                    }
                }
                Change::Drop(n) if !fields.is_empty() => drop(fields.remove(at(*n))),
                Change::Drop(_) => {}
                Change::Twice(n, piece) => {
                    if let Some(it) = fields.get(at(*n)) {
                        twice.push((it.name.clone(), self.piece("", piece)));
                    }
                }
                Change::Add(name, piece) => twice.push((self.piece("", name), self.piece("", piece))),
            }
        }
        let sent = fields.into_iter().filter(|it| it.set).map(|it| (it.name, it.value));
        sent.chain(twice).collect()
    }

    /// The JSON that a script would send to this route, with the changes.
    fn json(&self, route: &Route, path: &str, at: u16, changes: &[Change]) -> Value {
        let mut value = match route.path {
            "/home/diary" => self.diary.clone(),
            "/drafts" => json!({ "what": format!("program-{OWN}"), "text": "[[\"a\",\"b\"]]" }),
            "/content/check" => json!({ "kind": "exercise", "id": self.real["{id}"][usize::from(at) % 12],
                "text": self.text_of_exercise(), "words": { "en": "", "es": "" } }),
            _ => {
                let fields = self.changed(&self.form(route, path, at), changes);
                Value::Object(fields.into_iter().map(|(name, value)| (name, Value::from(value))).collect())
            }
        };
        // Each report gets a key of its own, or most would be the same one again.
        if let Some(key) = value.get_mut("key") {
            *key = format!("page-{:032}", self.asked.load(Ordering::Relaxed)).into();
        }
        for change in changes {
            let target = match value.get_mut("diary") {
                Some(Value::Object(diary)) if !matches!(change, Change::Drop(_)) => diary,
                _ => match &mut value {
                    Value::Object(all) => all,
                    _ => continue,
                },
            };
            alter(target, change, |piece| self.piece("", piece));
        }
        value
    }

    fn text_of_exercise(&self) -> String {
        let forms = self.forms.iter().filter(|it| it.0.starts_with("/content/exercise/")).flat_map(|it| it.1);
        let fields = forms.flat_map(|it| &it.fields).filter(|it| it.name == "text");
        fields.map(|it| it.value.clone()).max_by_key(String::len).unwrap_or_default()
    }

    /// Sends a request and holds the answer to the laws.
    pub async fn ask(&self, asked: &Asked) -> Result<(), String> {
        self.asked.fetch_add(1, Ordering::Relaxed);
        let route = &self.routes[asked.route];
        let person = self.person(asked.who).await;
        let path = self.path(route, asked);
        let Ok(uri) = path.parse::<Uri>() else { return Ok(()) };
        let method = match asked.method {
            0 => route.method.clone(),
            n => {
                let odd = ["GET", "POST", "HEAD", "PUT", "DELETE", "OPTIONS", "PATCH", "TRACE", "BREW"];
                Method::from_bytes(odd[usize::from(n) % odd.len()].as_bytes()).expect("a method")
            }
        };
        let mut request = Request::builder().method(method.clone()).uri(uri);
        let headers = request.headers_mut().expect("headers");
        headers.insert(header::HOST, HeaderValue::from_static("clinic.test"));
        headers.insert(header::ORIGIN, HeaderValue::from_static("https://clinic.test"));
        headers.insert("sec-fetch-site", HeaderValue::from_static("same-origin"));
        let (kind, mut body) = self.body(route, &path, &asked.body);
        if let Some(it) = &person {
            headers.insert(header::COOKIE, it.cookie.parse().expect("cookie"));
            match asked.token {
                0 if kind == FORM && asked.route.is_multiple_of(2) => {
                    body.splice(0..0, format!("csrf={}&", it.csrf).into_bytes());
                }
                0 => drop(headers.insert("x-csrf", it.csrf.parse().expect("token"))),
                1 => drop(headers.insert("x-csrf", HeaderValue::from_static("guess"))),
                _ => {}
            }
        }
        let kinds = [
            kind,
            FORM,
            "application/json",
            "text/plain",
            "multipart/form-data; boundary=x",
            "",
            "a/b;;;=",
            "application/x-www-form-urlencoded; charset=utf-16",
        ];
        headers.insert(
            header::CONTENT_TYPE,
            kinds[usize::from(asked.kind) % kinds.len()].parse().expect("kind"),
        );
        let languages = ["en", "es", "es-MX,es;q=0.9", "xx,,;;q=,*", "en;q=abc", "\u{ff}"];
        if let Ok(it) = HeaderValue::from_bytes(languages[usize::from(asked.language) % 6].as_bytes()) {
            headers.insert(header::ACCEPT_LANGUAGE, it);
        }
        for (which, value) in &asked.headers {
            let (name, value) = odd_header(*which, *value);
            // A second cookie line beside the right one: browsers send one, others may not.
            headers.append(HeaderName::from_static(name), value);
        }
        // Another address each time: limits on tries are tested elsewhere.
        let n = self.asked.load(Ordering::Relaxed) as u32;
        let address = std::net::SocketAddr::from((std::net::Ipv4Addr::from(0x0a00_0000 + n), 4000));
        let mut request = request.body(HttpBody::from(body.clone())).expect("a request");
        request.extensions_mut().insert(ConnectInfo(address));
        let answer = self.desk.ask(request).await;
        *self.seen.lock().expect("lock").entry(answer.status.as_u16()).or_default() += 1;
        let redirected = answer.status == 303 && !answer.location().starts_with("/login");
        if method == Method::POST && redirected {
            self.written.fetch_add(1, Ordering::Relaxed);
        }
        let ended =
            answer.location().starts_with("/login") || ENDING.iter().any(|it| route.path.starts_with(it));
        if ended || (answer.status == 404 && route.right == Right::Patient) {
            self.people.lock().expect("lock").remove(&asked.who);
        }
        let told = |law: &str| {
            let sent = String::from_utf8_lossy(&body);
            let cut = |text: &str| text.chars().take(700).collect::<String>();
            format!(
                "{} {}: {law}\nas {} {path:.200} -> {} {}\nbody: {}",
                method,
                route.path,
                WHO[asked.who],
                answer.status,
                cut(&answer.text),
                cut(&sent)
            )
        };
        self.laws(asked, &answer).map_err(|law| told(&law))
    }

    fn laws(&self, asked: &Asked, answer: &Answer) -> Result<(), String> {
        if answer.status.is_server_error() {
            return Err(format!("{}", answer.status));
        }
        let policy = answer.headers.get(header::CONTENT_SECURITY_POLICY).and_then(|it| it.to_str().ok());
        if !policy.is_some_and(|it| it.contains("default-src 'none'") && !it.contains("unsafe")) {
            return Err(format!("no content policy with {}", answer.status));
        }
        if answer.headers.get("x-content-type-options").is_none_or(|it| it != "nosniff") {
            return Err("no nosniff".into());
        }
        if answer.text.contains("[no words") {
            return Err("words are missing".into());
        }
        if ["patient", "nobody"].contains(&WHO[asked.who])
            && let Some(name) = self.strangers.iter().find(|it| answer.text.contains(it.as_str()))
        {
            return Err(format!("shows {name}"));
        }
        Ok(())
    }

    fn body(&self, route: &Route, path: &str, body: &Body) -> (&'static str, Vec<u8>) {
        let encoded = |fields: Vec<(String, String)>| {
            let mut out = form_urlencoded::Serializer::new(String::new());
            out.extend_pairs(fields);
            out.finish().into_bytes()
        };
        match body {
            Body::Form(at, changes) if !SCRIPTS.contains(&route.path) => {
                (FORM, encoded(self.changed(&self.form(route, path, *at), changes)))
            }
            Body::Form(at, changes) | Body::Json(at, changes) => {
                ("application/json", self.json(route, path, *at, changes).to_string().into_bytes())
            }
            Body::Bytes(bytes) => (FORM, bytes.clone()),
            Body::Large(at, kb) => {
                let mut fields = self.changed(&self.form(route, path, *at), &[]);
                let many = fields.len().max(1);
                if let Some(it) = fields.get_mut(usize::from(*at) % many) {
                    it.1 = "é".repeat(usize::from(*kb) * 200);
                }
                (FORM, encoded(fields))
            }
            Body::Nested(deep) => {
                let (open, shut) = ("[".repeat(usize::from(*deep)), "]".repeat(usize::from(*deep)));
                ("application/json", format!("{{\"text\":{open}{shut}}}").into_bytes())
            }
        }
    }
}

const FORM: &str = "application/x-www-form-urlencoded";
/// Routes that take JSON.
const SCRIPTS: &[&str] = &["/home/diary", "/drafts", "/content/check"];
/// Routes that may end sessions, also of others.
const ENDING: &[&str] = &["/logout", "/settings/sessions", "/settings/p", "/home/leave", "/login"];

/// Changes one entry of an object.
fn alter(object: &mut Map<String, Value>, change: &Change, text: impl Fn(&Piece) -> String) {
    let names: Vec<String> = object.keys().cloned().collect();
    let name = |n: u16| names.get(usize::from(n) % names.len().max(1)).cloned().unwrap_or_default();
    match change {
        Change::Put(n, piece) => {
            let text = text(piece);
            // What reads as JSON goes in as that: numbers out of range, nulls, lists.
            let value = serde_json::from_str(&text).unwrap_or(Value::from(text));
            object.insert(name(*n), value);
        }
        Change::Choose(n, which) => {
            let values = [
                json!(null),
                json!([]),
                json!({}),
                json!(-1),
                json!(1e300),
                json!(256),
                json!(true),
                json!(""),
            ];
            object.insert(name(*n), values[usize::from(*which) % values.len()].clone());
        }
        Change::Drop(n) => drop(object.remove(&name(*n))),
        Change::Twice(n, piece) => {
            let list = vec![Value::from(text(piece)); 300];
            object.insert(name(*n), list.into());
        }
        Change::Add(it, value) => drop(object.insert(text(it), text(value).into())),
    }
}

fn encode(text: &str) -> String {
    handrail_clinic::fault::url_encode(text).replace('/', "%2F")
}

fn odd_header(which: u8, value: u8) -> (&'static str, HeaderValue) {
    const NAMES: [&str; 12] = [
        "cookie",
        "origin",
        "sec-fetch-site",
        "host",
        "accept-language",
        "x-forwarded-for",
        "range",
        "if-none-match",
        "accept-encoding",
        "x-csrf",
        "x-ahead",
        "content-type",
    ];
    let values: [&[u8]; 8] = [
        b"",
        b"null",
        b"cross-site",
        b"https://elsewhere.test",
        b"handrail-desk=x; handrail-home=%ff; lang=xx; ;;==;",
        b"\xff\xfe\x80",
        b"bytes=0-1,5-,-3",
        b"gzip, br;q=x, *;q=0",
    ];
    let value = HeaderValue::from_bytes(values[usize::from(value) % 8]).expect("a value");
    (NAMES[usize::from(which) % 12], value)
}
