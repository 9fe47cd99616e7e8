//! `cargo xtask bench clinic`: the server under load, with 10,000 episodes of 200 entries in an encrypted SQLite file.
//!
//! What is measured is the product's own binary, `handrail serve`, in a process of its own. The load comes from one
//! thread of this process over kept-alive HTTP/1.1 connections on loopback, on the same cores; what it uses of them
//! is printed. Every run begins with a fresh copy of the same records (`target/bench-clinic`, made once a day: the
//! data end yesterday). At the end each acknowledged diary is looked up in the journal, and every chain is walked.
//!
//! Patients come in by the real door (link and date of birth), each from an address of their own, and post what the
//! page on the phone posts.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::process::{Command, ExitCode};
use std::rc::Rc;
use std::time::{Duration, Instant};

use serde_json::{Value, json};
use tokio::task::LocalSet;

use super::load::{Ask, Client, Failed, Times, open_loop};
use super::rates;
use super::server::{BINARY, Server, processor_of};

const EPISODES: usize = 10_000;
const ENTRIES: usize = 200;
/// Patients with a link.
const PATIENTS: usize = 2_000;
/// Where the records are made and used.
const FOLDER: &str = "target/bench-clinic";
/// Changes when the records have to be made anew for another reason than the day.
const FORM: u32 = 2;
/// Person of the invented clinic who looks, and her password.
const LOGIN: (&str, &str) = ("ines", "four+calm+blue+herons");

const TODAY_RATE: f64 = 100.0;
const POST_RATE: f64 = 50.0;
/// Episode pages a second: more than a full clinic opens, few enough that one does not wait for another.
const PAGE_RATE: f64 = 8.0;
const SPAN: Duration = Duration::from_secs(40);
const PAGE_SPAN: Duration = Duration::from_secs(40);

/// The bars; which one was missed is remembered.
#[derive(Default)]
pub struct Bars {
    missed: bool,
}

impl Bars {
    /// Prints a number that must not be above its bar.
    pub fn at_most(&mut self, name: &str, value: f64, bar: f64, unit: &str) {
        self.judge(name, value, value <= bar, format!("at most {bar}{unit}"), unit);
    }

    /// Prints a number that must not be below its bar.
    pub fn at_least(&mut self, name: &str, value: f64, bar: f64, unit: &str) {
        self.judge(name, value, value >= bar, format!("at least {bar}{unit}"), unit);
    }

    /// Prints how many requests failed, and why the first did; none may.
    pub fn all_answered(&mut self, name: &str, all: &[&Times]) {
        let failed: Vec<&String> = all.iter().flat_map(|it| &it.failed).collect();
        if let Some(why) = failed.first() {
            println!("  {name}: the first request that failed: {why}");
            self.at_most(&format!("{name}: failed requests"), failed.len() as f64, 0.0, "");
        }
    }

    fn judge(&mut self, name: &str, value: f64, kept: bool, bar: String, unit: &str) {
        self.missed |= !kept;
        println!("  {name}: {value:.2}{unit}; {bar} asked: {}", if kept { "kept" } else { "MISSED" });
    }
}

/// A patient whose phone has a session.
pub struct Patient {
    pub episode: String,
    cookies: String,
    address: String,
    csrf: String,
    tag: String,
    today: String,
    version: u64,
    exercises: Vec<String>,
}

/// The phones of all patients, and the keys of the diaries that the server took: episode, key, entry.
pub struct Phones {
    client: Client,
    patients: Vec<Patient>,
    next: RefCell<usize>,
    pub taken: RefCell<Vec<(String, String, u64)>>,
}

/// Runs the benchmark.
pub fn clinic() -> ExitCode {
    match measured() {
        Ok(bars) => ExitCode::from(u8::from(bars.missed)),
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(1)
        }
    }
}

fn measured() -> Result<Bars, Failed> {
    let base = records()?;
    let run = PathBuf::from(FOLDER).join("run");
    copied(&base, &run)?;
    let load = std::fs::read_to_string("/proc/loadavg")?;
    let cores = std::thread::available_parallelism()?;
    println!(
        "  {EPISODES} episodes, {} entries, {cores} cores, load average {}",
        EPISODES * ENTRIES,
        load.trim()
    );
    let mut bars = Bars::default();
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    let taken = runtime.block_on(LocalSet::new().run_until(served(&run, &mut bars)))?;
    rates::in_process(&run, &mut bars)?;
    looked_up(&run, &taken)?;
    println!("  load average at the end {}", std::fs::read_to_string("/proc/loadavg")?.trim());
    Ok(bars)
}

/// The folder with the records, made when there are none of today.
fn records() -> Result<PathBuf, Failed> {
    // As one whole, as the tests are built: a package alone asks for other features of the same dependencies.
    let build = "build --release --workspace --bins --examples";
    let built = Command::new("cargo").args(build.split(' ')).status()?;
    if !built.success() {
        return Err(format!("cargo {build} failed").into());
    }
    let base = PathBuf::from(FOLDER).join("base");
    let day = Command::new("date").arg("+%F").output()?.stdout;
    let stamp = format!("{FORM} {EPISODES} {ENTRIES} {PATIENTS} {}", String::from_utf8(day)?.trim());
    if std::fs::read_to_string(base.join("stamp")).is_ok_and(|it| it == stamp) {
        return Ok(base);
    }
    let _ = std::fs::remove_dir_all(&base);
    let begun = Instant::now();
    println!("  making the records of the clinic (once a day)");
    let counts = [EPISODES, ENTRIES, PATIENTS].map(|it| it.to_string());
    let made = Command::new("target/release/examples/many").arg(&base).args(counts).status()?;
    if !made.success() {
        return Err("the records were not made".into());
    }
    std::fs::write(base.join("stamp"), stamp)?;
    println!("  made in {:.0} s", begun.elapsed().as_secs_f64());
    Ok(base)
}

fn copied(from: &Path, to: &Path) -> Result<(), Failed> {
    let _ = std::fs::remove_dir_all(to);
    std::fs::create_dir_all(to)?;
    for it in std::fs::read_dir(from)? {
        let it = it?;
        std::fs::copy(it.path(), to.join(it.file_name()))?;
    }
    // What the system has still to write would slow down the measurement.
    Command::new("sync").status()?;
    Ok(())
}

/// Everything that goes through the server. Answers the diaries that it acknowledged.
async fn served(run: &Path, bars: &mut Bars) -> Result<Vec<(String, String, u64)>, Failed> {
    let cookies = cold_starts(run, bars).await?;
    let server = Server::start(run)?;
    let client = Client::new(server.port);
    let started = server.memory("VmHWM")?;
    let begun = Instant::now();
    let phones = Rc::new(Phones::come_in(&client, run).await?);
    println!(
        "  {} patients came in by their links in {:.1} s",
        phones.patients.len(),
        begun.elapsed().as_secs_f64()
    );

    today_under_posts(&server, &client, &cookies, &phones, bars).await?;
    episodes_under_posts(&client, &cookies, &phones, bars).await?;
    let (most, now) = (server.memory("VmHWM")?, server.memory("VmRSS")?);
    println!("  memory: {started:.0} MB after the start, {now:.0} MB now");
    bars.at_most("most memory of the server", most, 300.0, " MB");
    rates::through_server(run, &phones, bars).await?;
    bars.at_most("most memory of the server after that", server.memory("VmHWM")?, 300.0, " MB");
    server.stop()?;
    Ok(phones.taken.take())
}

/// Process start to the first page read, with a session from before: the file in the system's memory, and not.
/// Answers the session's cookies.
async fn cold_starts(run: &Path, bars: &mut Bars) -> Result<String, Failed> {
    let server = Server::start(run)?;
    let cookies = logged_in(&Client::new(server.port)).await?;
    server.stop()?;
    let mut worst: f64 = 0.0;
    for forgotten in [true, false, true, false, true, false] {
        if forgotten {
            // Asks the system to drop its copy of the file.
            let file = format!("if={}", run.join("clinic.db").display());
            Command::new("dd").args([&file, "iflag=nocache", "count=0", "status=none"]).status()?;
        }
        let begun = Instant::now();
        let server = Server::start(run)?;
        let said = begun.elapsed().as_secs_f64();
        let page = Client::new(server.port).ask(&today(&cookies)).await?;
        let seconds = begun.elapsed().as_secs_f64();
        expect(&page.status.as_u16().to_string(), "200")?;
        let file = if forgotten { "file read from disk" } else { "file in memory" };
        println!("  start to first page, {file}: {seconds:.2} s ({said:.2} s until it listens)");
        worst = worst.max(seconds);
        server.stop()?;
    }
    bars.at_most("start to first page, longest", worst, 1.0, " s");
    Ok(cookies)
}

async fn logged_in(client: &Client) -> Result<String, Failed> {
    let (name, password) = LOGIN;
    let body = format!("name={name}&password={password}");
    let post = Some((body, "application/x-www-form-urlencoded", String::new()));
    let answer = client.ask(&Ask { path: "/login".into(), post, ..Ask::default() }).await?;
    expect(&answer.status.as_u16().to_string(), "303")?;
    Ok(answer.cookies())
}

fn today(cookies: &str) -> Ask {
    Ask { path: "/".into(), cookies: cookies.into(), packed: true, ..Ask::default() }
}

fn expect(found: &str, expected: &str) -> Result<(), Failed> {
    if found == expected { Ok(()) } else { Err(format!("expected {expected}, found {found}").into()) }
}

/// A page that must be there and be of some size.
fn page(client: &Client, ask: Ask) -> impl Future<Output = Result<(), Failed>> + use<> {
    let client = client.clone();
    async move {
        let answer = client.ask(&ask).await?;
        expect(&answer.status.as_u16().to_string(), "200")?;
        // A page of ours is never this small, also compressed.
        if answer.body.len() < 2_000 {
            return Err(format!("{}: a page of {} bytes", ask.path, answer.body.len()).into());
        }
        Ok(())
    }
}

async fn today_under_posts(
    server: &Server,
    client: &Client,
    cookies: &str,
    phones: &Rc<Phones>,
    bars: &mut Bars,
) -> Result<(), Failed> {
    // The first pages fill caches that a server in use has.
    for _ in 0..20 {
        page(client, today(cookies)).await?;
    }
    let alone = open_loop(TODAY_RATE, SPAN / 4, |_| page(client, today(cookies))).await;
    println!("  Today, {TODAY_RATE} a second, nothing else: {}", alone.told());
    let used = (server.processor()?, processor_of("self")?, Instant::now());
    let pages = open_loop(TODAY_RATE, SPAN, |_| page(client, today(cookies)));
    let posts = open_loop(POST_RATE, SPAN, |_| phones.post());
    let (pages, posts) = tokio::join!(pages, posts);
    let span = used.2.elapsed().as_secs_f64() / 100.0;
    println!("  Today, {TODAY_RATE} a second, beside {POST_RATE} diaries a second: {}", pages.told());
    println!("  those diaries, until acknowledged: {}", posts.told());
    println!(
        "  processor (of 200 %): server {:.0} %, this generator {:.0} %",
        (server.processor()? - used.0) / span,
        (processor_of("self")? - used.1) / span
    );
    bars.all_answered("Today and diaries", &[&alone, &pages, &posts]);
    bars.at_most("Today p99", pages.percentile(99.0), 60.0, " ms");
    let rate = posts.count() as f64 / SPAN.as_secs_f64();
    bars.at_least("diaries acknowledged a second meanwhile", rate, POST_RATE * 0.99, "");
    Ok(())
}

/// Episode pages while diaries land: first views (nobody opened the episode since the server started) in English and
/// in Spanish, then the same again.
async fn episodes_under_posts(
    client: &Client,
    cookies: &str,
    phones: &Rc<Phones>,
    bars: &mut Bars,
) -> Result<(), Failed> {
    let fresh = phones.others();
    let count = (PAGE_RATE * PAGE_SPAN.as_secs_f64()) as usize;
    let half = fresh.len() / 2;
    for (name, lang, from, again) in [
        ("first view", "en", 0, false),
        ("first view in Spanish", "es", half, false),
        ("seen before", "en", count - 100, true),
    ] {
        let span = if again { PAGE_SPAN / 4 } else { PAGE_SPAN };
        let view = |at: usize| {
            let id = &fresh[from + if again { at % 100 } else { at }];
            let (path, cookies) = (format!("/e/{id}"), cookies.into());
            page(client, Ask { path, cookies, lang, packed: true, ..Ask::default() })
        };
        let pages = open_loop(PAGE_RATE, span, view);
        let posts = open_loop(POST_RATE, span, |_| phones.post());
        let (pages, posts) = tokio::join!(pages, posts);
        println!("  episode page, {name}, {PAGE_RATE} a second beside {POST_RATE} diaries: {}", pages.told());
        bars.all_answered(&format!("episode page, {name}, and diaries"), &[&pages, &posts]);
        bars.at_most(&format!("episode page p99, {name}"), pages.percentile(99.0), 100.0, " ms");
    }
    Ok(())
}

impl Phones {
    /// Opens each patient's door, and asks what the phone asks before it sends.
    async fn come_in(client: &Client, run: &Path) -> Result<Phones, Failed> {
        let listed: Vec<Value> = serde_json::from_str(&std::fs::read_to_string(run.join("patients.json"))?)?;
        let mut patients = Vec::with_capacity(listed.len());
        for (at, it) in listed.iter().enumerate() {
            let text = |name: &str| it[name].as_str().unwrap_or_default().to_string();
            let born: Vec<String> = text("born").split('-').map(str::to_string).collect();
            let [year, month, day] = born.as_slice() else { return Err("a date of birth is missing".into()) };
            let address = format!("10.{}.{}.1", at / 256, at % 256);
            let form = format!("year={year}&month={month}&day={day}");
            let answer = client
                .ask(&Ask {
                    path: format!("/p/{}", text("secret")),
                    post: Some((form, "application/x-www-form-urlencoded", String::new())),
                    from: Some(address.clone()),
                    ..Ask::default()
                })
                .await?;
            expect(&answer.status.as_u16().to_string(), "303")?;
            let cookies = answer.cookies();
            let asked = Ask { path: "/home/state".into(), cookies: cookies.clone(), ..Ask::default() };
            let asked = Ask { from: Some(address.clone()), ..asked };
            let state = client.ask(&asked).await?.json()?;
            let said = |name: &str| state[name].as_str().unwrap_or_default().to_string();
            let exercises = it["exercises"].as_array().into_iter().flatten();
            patients.push(Patient {
                episode: text("episode"),
                cookies,
                address,
                csrf: said("csrf"),
                tag: said("tag"),
                today: said("today"),
                version: it["version"].as_u64().unwrap_or_default(),
                exercises: exercises.filter_map(|it| it.as_str().map(str::to_string)).collect(),
            });
        }
        let (next, taken) = Default::default();
        Ok(Phones { client: client.clone(), patients, next, taken })
    }

    /// Episodes of no patient here, so that no post has opened them.
    fn others(&self) -> Vec<String> {
        let known: std::collections::BTreeSet<&str> =
            self.patients.iter().map(|it| it.episode.as_str()).collect();
        let all = (1..EPISODES).map(|it| format!("mass-{it:06}"));
        all.filter(|it| !known.contains(it.as_str())).collect()
    }

    /// The next patient posts a diary; done when the server has said that it took it.
    pub fn post(self: &Rc<Phones>) -> impl Future<Output = Result<(), Failed>> + use<> {
        let number = self.next.replace_with(|it| *it + 1);
        let phones = self.clone();
        async move {
            let patient = &phones.patients[number % phones.patients.len()];
            let key = format!("bench-diary-{number:08}");
            let ask = Ask {
                path: "/home/diary".into(),
                cookies: patient.cookies.clone(),
                from: Some(patient.address.clone()),
                post: Some((patient.diary(&key, number), "application/json", patient.csrf.clone())),
                ..Ask::default()
            };
            let answer = phones.client.ask(&ask).await?;
            if answer.status != 200 {
                return Err(format!("{}: {}", answer.status, String::from_utf8_lossy(&answer.body)).into());
            }
            let entry = answer.json()?["entry"].as_u64().ok_or("no number of an entry")?;
            phones.taken.borrow_mut().push((patient.episode.clone(), key, entry));
            Ok(())
        }
    }
}

impl Patient {
    /// A diary as the page on the phone sends it.
    fn diary(&self, key: &str, number: usize) -> String {
        let done = self.exercises.iter().map(|it| json!({ "exercise": it, "sets": 3, "reps": 30 }));
        let diary = json!({
            "on": self.today,
            "version": self.version,
            "done": done.collect::<Vec<_>>(),
            "pain_before": number % 3,
            "pain_during": number % 4,
            "pain_after": number % 3,
            "morning": "usual",
            "swelling": "same",
            "note": "Went as planned. (invented)",
        });
        json!({ "key": key, "tag": self.tag, "diary": diary }).to_string()
    }
}

/// Finds each acknowledged diary in its journal, under its number, and walks every chain.
fn looked_up(run: &Path, taken: &[(String, String, u64)]) -> Result<(), Failed> {
    let begun = Instant::now();
    let missing = rates::missing(run, taken)?;
    if missing > 0 {
        return Err(
            format!("{missing} of {} acknowledged diaries are not in the journal", taken.len()).into()
        );
    }
    println!(
        "  {} acknowledged diaries: each is in the journal, under the number that was told",
        taken.len()
    );
    let verified = Command::new(BINARY).args(["journal", "verify", "--data"]).arg(run).output()?;
    let says = String::from_utf8_lossy(&verified.stdout);
    let says: Vec<&str> =
        says.lines().filter(|it| !it.starts_with("remark") && !it.starts_with("digest")).collect();
    println!("  journal verify: {} ({:.0} s)", says.join(", "), begun.elapsed().as_secs_f64());
    if verified.status.success() { Ok(()) } else { Err("a chain is broken".into()) }
}
