//! Durable appends against a bare loop, and the caseload with 10,000 episodes.
//!
//! `cargo bench -p handrail-store`. The ratio is printed first: acknowledged appends (one entry, its stream's head,
//! the summary, two reasons for attention) through `Store::write` with 1, 8 and 64 waiting callers, against a loop of
//! transactions of one row each on one connection with the same key and pragmas; both in turns, in the same run.

use std::sync::LazyLock;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use divan::Bencher;
use handrail_store::caseload::{self, AttentionRow, Summary};
use handrail_store::journal::{self, Author, NewRecord};
use handrail_store::{Config, Key, Place, Store, StoreError, Tx};
use jiff::Timestamp;

const EPISODES: u64 = 10_000;
const DAY: &str = "2026-11-25";
const PAYLOAD: usize = 300;

fn main() {
    ratios();
    divan::main();
}

fn moment() -> Timestamp {
    Timestamp::from_millisecond(1_795_000_000_000).expect("a moment")
}

fn record(n: u64) -> NewRecord {
    NewRecord {
        on: jiff::civil::date(2026, 11, 25),
        by: Author { id: "patient".into(), name: "the patient".into() },
        kind: "diary".into(),
        form: 1,
        payload: "x".repeat(PAYLOAD),
        supersedes: None,
        key: Some(format!("phone-{n}")),
    }
}

fn case(n: u64, head: u64) -> (Summary, Vec<AttentionRow>) {
    let summary = Summary {
        episode: format!("episode-{n:06}"),
        therapist: format!("t{}", n % 12),
        name: format!("Name{:03} Given{:04}", n % 613, n % 1009),
        born: Some(format!("19{:02}-{:02}-{:02}", 30 + n % 70, 1 + n % 12, 1 + n % 28)),
        record: Some(format!("MR-{n:06}")),
        protocol: "acl".into(),
        open: !n.is_multiple_of(3),
        updated: moment(),
        head,
        body: "y".repeat(PAYLOAD),
    };
    // Two thirds of the rows are in force on the day, the rest is to come or over.
    let attention = (0..2u64).map(|i| AttentionRow {
        reason: ["warning sign", "pain", "restriction", "no diary"][((n + i) % 4) as usize].into(),
        rank: ((n * 7 + i * 3) % 9) as i64,
        from_day: format!("2026-{:02}-{:02}", 9 + (n + i) % 4, 1 + (n * 5) % 28),
        until_day: n.is_multiple_of(5).then(|| format!("2026-11-{:02}", 1 + n % 28)),
        detail: "z".repeat(80),
        entry: Some(head),
    });
    (summary, attention.collect())
}

fn post(tx: &mut dyn Tx, n: u64) -> Result<(), StoreError> {
    let episode = n * 7919 % EPISODES;
    let done = journal::append(tx, &format!("episode-{episode:06}"), moment(), &[record(n)])?;
    let (summary, attention) = case(episode, done[0].number);
    caseload::put(tx, &summary, &attention)
}

/// A store with all episodes and some entries each, on the disk where the build is.
fn filled() -> (tempfile::TempDir, Config) {
    let folder = tempfile::tempdir_in(env!("CARGO_TARGET_TMPDIR")).expect("a folder");
    let place = Place::Sqlite(folder.path().join("clinic.db"));
    let config = Config::new(place, Some(Key::from_text(&"5a".repeat(32)).expect("a key")));
    let store = Store::open(&config).expect("opens");
    for from in (0..EPISODES).step_by(500) {
        let fill = move |tx: &mut dyn Tx| {
            for n in from..from + 500 {
                let (summary, attention) = case(n, 4);
                let records: Vec<_> = (0..4).map(|k| NewRecord { key: None, ..record(k) }).collect();
                journal::append(tx, &summary.episode, moment(), &records)?;
                caseload::put(tx, &summary, &attention)?;
            }
            Ok(())
        };
        store.write_blocking(fill).expect("filled");
    }
    (folder, config)
}

/// One turn of either side. Short, because what a flush costs on a shared disk changes within seconds.
const SPAN: Duration = Duration::from_millis(400);
/// Turns of each side; medians are printed, and the median of the turns' ratios.
const TURNS: usize = 15;

/// Acknowledged appends each second with so many callers that each wait for their answer.
fn through_store(store: &Store, callers: u64, next: &AtomicU64) -> f64 {
    let begun = Instant::now();
    let done = AtomicU64::new(0);
    std::thread::scope(|threads| {
        for _ in 0..callers {
            threads.spawn(|| {
                while begun.elapsed() < SPAN {
                    let n = next.fetch_add(1, Ordering::Relaxed);
                    store.write_blocking(move |tx| post(tx, n)).expect("written");
                    done.fetch_add(1, Ordering::Relaxed);
                }
            });
        }
    });
    done.into_inner() as f64 / begun.elapsed().as_secs_f64()
}

/// Transactions of one row each second on a bare connection.
fn bare(conn: &rusqlite::Connection) -> f64 {
    let begun = Instant::now();
    let payload = "x".repeat(PAYLOAD);
    let mut done = 0u64;
    while begun.elapsed() < SPAN {
        let run = |sql: &str| conn.prepare_cached(sql).and_then(|mut s| s.execute([])).expect("runs");
        run("BEGIN IMMEDIATE");
        conn.prepare_cached("INSERT INTO line (body) VALUES ($1)")
            .and_then(|mut s| s.execute([&payload]))
            .expect("inserted");
        run("COMMIT");
        done += 1;
    }
    done as f64 / begun.elapsed().as_secs_f64()
}

fn bare_connection(folder: &std::path::Path) -> rusqlite::Connection {
    let conn = rusqlite::Connection::open(folder.join("bare.db")).expect("opens");
    conn.pragma_update_and_check(None, "key", format!("x'{}'", "5a".repeat(32)), |_| Ok(())).expect("keyed");
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).expect("set");
    conn.pragma_update(None, "synchronous", "FULL").expect("set");
    conn.pragma_update(None, "foreign_keys", "ON").expect("set");
    conn.execute_batch("CREATE TABLE line (id INTEGER PRIMARY KEY, body TEXT NOT NULL)").expect("made");
    conn
}

/// The median; sorts the values.
fn median(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

fn ratios() {
    let (folder, config) = filled();
    let store = Store::open(&config).expect("opens");
    let conn = bare_connection(folder.path());
    let next = AtomicU64::new(0);
    println!(
        "durable appends each second        bare loop     store     ratio   (lowest and highest of a turn)"
    );
    for callers in [1, 8, 64] {
        let (mut plain, mut ours, mut ratios) = (Vec::new(), Vec::new(), Vec::new());
        for _ in 0..TURNS {
            let (a, b) = (bare(&conn), through_store(&store, callers, &next));
            plain.push(a);
            ours.push(b);
            ratios.push(b / a);
        }
        let (plain, ours, ratio) = (median(&mut plain), median(&mut ours), median(&mut ratios));
        println!(
            "{callers:>3} waiting callers {plain:>24.0} {ours:>9.0} {ratio:>9.2}   ({:.2} to {:.2})",
            ratios[0],
            ratios[TURNS - 1]
        );
    }
    if let Ok(url) = std::env::var("HANDRAIL_BENCH_POSTGRES") {
        let server = Store::open(&Config::new(Place::parse(&url), None)).expect("an empty database");
        for callers in [1, 8, 64] {
            println!(
                "{callers:>3} waiting callers, PostgreSQL {:>23.0}",
                through_store(&server, callers, &next)
            );
        }
    }
}

static CASELOAD: LazyLock<(tempfile::TempDir, Store)> = LazyLock::new(|| {
    let (folder, config) = filled();
    (folder, Store::open(&config).expect("opens"))
});

#[divan::bench(args = [0, 200])]
fn today(bencher: Bencher, offset: u64) {
    let store = &CASELOAD.1;
    bencher
        .bench(|| store.read_blocking(move |tx| caseload::today(tx, DAY, None, 40, offset)).expect("read"));
}

#[divan::bench]
fn today_of_one_therapist(bencher: Bencher) {
    let store = &CASELOAD.1;
    bencher.bench(|| store.read_blocking(|tx| caseload::today(tx, DAY, Some("t3"), 40, 0)).expect("read"));
}

#[divan::bench]
fn count_today(bencher: Bencher) {
    let store = &CASELOAD.1;
    bencher.bench(|| store.read_blocking(|tx| caseload::count_today(tx, DAY, None)).expect("read"));
}

#[divan::bench(args = ["given0042", "mr-00421", "1953-04"])]
fn search(bencher: Bencher, text: &'static str) {
    let store = &CASELOAD.1;
    bencher.bench(|| store.read_blocking(move |tx| caseload::search(tx, text, 20)).expect("read"));
}

/// Today while every read finds the page cache emptied by a write before it.
#[divan::bench]
fn today_after_a_write(bencher: Bencher) {
    let store = &CASELOAD.1;
    let next = AtomicU64::new(1_000_000_000);
    bencher
        .with_inputs(|| {
            let n = next.fetch_add(1, Ordering::Relaxed);
            store.write_blocking(move |tx| post(tx, n)).expect("written");
        })
        .bench_values(|()| store.read_blocking(|tx| caseload::today(tx, DAY, None, 40, 0)).expect("read"));
}

/// The same for the count.
#[divan::bench]
fn count_today_after_a_write(bencher: Bencher) {
    let store = &CASELOAD.1;
    let next = AtomicU64::new(2_000_000_000);
    bencher
        .with_inputs(|| {
            let n = next.fetch_add(1, Ordering::Relaxed);
            store.write_blocking(move |tx| post(tx, n)).expect("written");
        })
        .bench_values(|()| store.read_blocking(|tx| caseload::count_today(tx, DAY, None)).expect("read"));
}
