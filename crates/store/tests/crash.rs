//! Processes killed under load: whatever was acknowledged is there, and the chain verifies.
//!
//! `HANDRAIL_KILLS=200 cargo test --release -p handrail-store --test crash` kills 200 times; usual are 20.

mod common;

use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use common::{Fresh, keyed};
use handrail_store::{Config, Key, Place, Store, journal};

/// Databases are begun anew after so many kills, so that verifying stays short.
const KILLS_OF_ONE: u32 = 10;
const THREADS: u32 = 6;

/// Appends as fast as it can and prints what was acknowledged. Runs only as a child of the tests below.
#[test]
#[ignore = "a part of the tests of this file"]
fn child_appends() {
    let var = |name: &str| std::env::var(name).expect("given by the parent");
    let place = Place::parse(&var("HANDRAIL_LOAD_PLACE"));
    let key = Key::from_file(Path::new(&var("HANDRAIL_LOAD_KEY"))).expect("a key");
    let name = var("HANDRAIL_LOAD_NAME");
    let time = Duration::from_millis(var("HANDRAIL_LOAD_MS").parse().expect("a number"));
    let store = Store::open(&Config::new(place, Some(key))).expect("opens");
    let until = Instant::now() + time;
    println!("ready");
    let next = AtomicU64::new(0);
    std::thread::scope(|threads| {
        for _ in 0..THREADS {
            threads.spawn(|| {
                while Instant::now() < until {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    let (stream, key) = (format!("e{}", n % 5), format!("{name}-{n}"));
                    let (s, k) = (stream.clone(), key.clone());
                    let done = store.write_blocking(move |tx| {
                        journal::append(tx, &s, jiff::Timestamp::now(), &[keyed(&k)])
                    });
                    println!("done {stream} {} {key}", done.expect("written")[0].number);
                }
            });
        }
    });
}

struct Load {
    child: Child,
    said: JoinHandle<Vec<String>>,
    acknowledged: Receiver<()>,
}

impl Load {
    fn start(fresh: &Fresh, key_file: &Path, name: &str, ms: u64) -> Load {
        let place = match &fresh.config.place {
            Place::Sqlite(path) => path.to_string_lossy().into_owned(),
            Place::Postgres(url) => url.clone(),
        };
        let mut child = Command::new(std::env::current_exe().expect("this program"))
            .args(["--ignored", "--exact", "child_appends", "--nocapture"])
            .env("HANDRAIL_LOAD_PLACE", place)
            .env("HANDRAIL_LOAD_KEY", key_file)
            .env("HANDRAIL_LOAD_NAME", name)
            .env("HANDRAIL_LOAD_MS", ms.to_string())
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .expect("starts");
        let out = child.stdout.take().expect("piped");
        let (tell, acknowledged) = channel();
        let said = std::thread::spawn(move || {
            let mut lines = Vec::new();
            let mut out = BufReader::new(out);
            let mut line = String::new();
            // A line without its end was cut off by the kill and promises nothing.
            while out.read_line(&mut line).is_ok_and(|n| n > 0) && line.ends_with('\n') {
                if line.contains("done ") {
                    // Nobody listens after the wait; that is no reason to stop reading.
                    let _ = tell.send(());
                }
                lines.push(std::mem::take(&mut line));
            }
            lines
        });
        Load { child, said, acknowledged }
    }

    /// Waits until something was acknowledged, however slow or busy the machine is.
    fn is_under_load(&self) {
        self.acknowledged
            .recv_timeout(Duration::from_secs(60))
            .expect("something is acknowledged within a minute");
    }

    /// What it acknowledged: stream, number, key.
    fn end(mut self, kill: bool) -> Vec<(String, u64, String)> {
        if kill {
            self.child.kill().expect("killed");
        }
        let status = self.child.wait().expect("ended");
        assert!(kill || status.success(), "the child that was not killed ends well");
        let lines = self.said.join().expect("no panic");
        let done = lines.iter().filter_map(|line| {
            // libtest may have begun a line of its own before the first one.
            let line = line.split_once("done ").map(|(_, rest)| rest.trim())?;
            let mut words = line.split(' ');
            let (stream, number, key) = (words.next()?, words.next()?, words.next()?);
            Some((stream.to_owned(), number.parse().expect("a number"), key.to_owned()))
        });
        done.collect()
    }
}

fn all_there(fresh: &Fresh, acknowledged: &[(String, u64, String)]) -> u64 {
    let store = Store::open_existing(&fresh.config).expect("opens after the kill");
    let verified = store.read_blocking(journal::verify).expect("verified");
    assert!(verified.is_whole(), "{:?}", verified.faults);
    let wanted = acknowledged.to_vec();
    let missing = store
        .read_blocking(move |tx| {
            let mut missing = Vec::new();
            for (stream, number, key) in &wanted {
                let found = journal::entry(tx, stream, *number)?;
                if found.and_then(|r| r.key).as_ref() != Some(key) {
                    missing.push(key.clone());
                }
            }
            Ok(missing)
        })
        .expect("read");
    assert_eq!(missing, [] as [&str; 0], "acknowledged and lost");
    verified.entries
}

fn kills() -> u32 {
    std::env::var("HANDRAIL_KILLS").map_or(20, |n| n.parse().expect("HANDRAIL_KILLS is a number"))
}

fn key_file(fresh: &Fresh) -> std::path::PathBuf {
    fresh.folder.path().join("key")
}

/// A place whose key is in a file, for the children.
fn with_key(mut fresh: Fresh) -> Fresh {
    fresh.config.key = Some(Key::new_file(&key_file(&fresh)).expect("made"));
    fresh
}

#[test]
fn a_killed_process_loses_nothing_acknowledged() {
    let mut random = fastrand::Rng::new();
    let (mut acknowledged, mut entries, mut under_load) = (0, 0, 0);
    let mut fresh = with_key(common::sqlite());
    for kill in 0..kills() {
        if kill % KILLS_OF_ONE == 0 {
            fresh = with_key(common::sqlite());
            entries = 0;
        }
        let load = Load::start(&fresh, &key_file(&fresh), &format!("k{kill}"), 60_000);
        // Every second one surely under load; the others from before the database is open on.
        if kill % 2 == 0 {
            load.is_under_load();
        }
        std::thread::sleep(Duration::from_millis(random.u64(1..300)));
        let done = load.end(true);
        under_load += u32::from(!done.is_empty());
        acknowledged += done.len();
        if fresh.path().exists() {
            let now = all_there(&fresh, &done);
            assert!(now >= entries + done.len() as u64, "nothing of earlier rounds is lost either");
            entries = now;
        }
    }
    eprintln!(
        "{} kills, {under_load} of them after the first of {acknowledged} acknowledged entries: none lost",
        kills()
    );
    assert!(under_load >= kills() / 2);
}

fn one_of_two_is_killed(fresh: &Fresh) {
    let mut random = fastrand::Rng::new();
    let (mut lost, mut kept) = (0, 0);
    fresh.open();
    let rounds = (kills() / 5).max(3);
    for round in 0..rounds {
        let key = key_file(fresh);
        let stays = Load::start(fresh, &key, &format!("a{round}"), 700);
        let goes = Load::start(fresh, &key, &format!("b{round}"), 60_000);
        goes.is_under_load();
        std::thread::sleep(Duration::from_millis(random.u64(1..400)));
        let before = goes.end(true);
        let other = stays.end(false);
        all_there(fresh, &[before.clone(), other.clone()].concat());
        lost += before.len();
        kept += other.len();
    }
    eprintln!("killed processes had {lost} entries acknowledged, the others {kept}: all there");
    assert!(lost >= rounds as usize && kept > 0);
}

#[test]
fn one_of_two_processes_on_one_file_is_killed() {
    one_of_two_is_killed(&with_key(common::sqlite()));
}

#[test]
fn one_of_two_processes_on_one_server_is_killed() {
    if let Some(fresh) = common::postgres() {
        one_of_two_is_killed(&with_key(fresh));
    }
}
