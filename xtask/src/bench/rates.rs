//! Acknowledged durable posts against a bare loop.
//!
//! **The bare loop**: `BEGIN IMMEDIATE`, one `INSERT` of a row of an integer key and a text as long as a diary's
//! payload, `COMMIT`; statements prepared once, nothing else, on one connection of this process to an encrypted file
//! of its own in the same folder, with the pragmas of the product (key, WAL, synchronous FULL, foreign keys, size of
//! the page cache, pages of the log). Its rows go to the end of one table, whose last page stays in memory.
//!
//! A **post** is what the product does for one diary: chain, entry, index of keys, head of the stream, line of the
//! caseload. Both run in turns of less than half a second, because what a flush costs on a shared disk changes within
//! seconds; the median of the turns' ratios counts.

use std::path::Path;
use std::rc::Rc;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use handrail_store::journal::{self, Author, Filter, NewRecord};
use handrail_store::{Config, Key, Place, Store, StoreError, Tx, caseload};
use rusqlite::Connection;

use super::clinic::{Bars, Phones};
use super::load::{Failed, closed_loop};

const SPAN: Duration = Duration::from_millis(400);
const TURNS: usize = 15;
const CALLERS: [usize; 3] = [1, 8, 64];
/// Bytes of a diary's payload, about those of the posts.
const PAYLOAD: usize = 420;
const BAR: f64 = 0.7;

/// The key of the clinic of a folder.
fn key(run: &Path) -> Result<Key, StoreError> {
    Key::from_file(&run.join("clinic.key"))
}

/// The connection of the bare loop, see above.
fn bare_connection(run: &Path) -> Result<Connection, Failed> {
    let conn = Connection::open(run.join("bare.db"))?;
    let digits = std::fs::read_to_string(run.join("clinic.key"))?;
    conn.pragma_update_and_check(None, "key", format!("x'{}'", digits.trim()), |_| Ok(()))?;
    conn.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(()))?;
    conn.pragma_update(None, "synchronous", "FULL")?;
    conn.pragma_update(None, "foreign_keys", "ON")?;
    conn.pragma_update(None, "cache_size", -64 * 1024)?;
    conn.pragma_update(None, "temp_store", "MEMORY")?;
    conn.pragma_update_and_check(None, "wal_autocheckpoint", 4_000, |_| Ok(()))?;
    conn.pragma_update_and_check(None, "journal_size_limit", 64 * 1024 * 1024, |_| Ok(()))?;
    conn.execute_batch("CREATE TABLE IF NOT EXISTS line (id INTEGER PRIMARY KEY, body TEXT NOT NULL)")?;
    Ok(conn)
}

/// Transactions of one row each second.
fn bare(conn: &Connection) -> Result<f64, rusqlite::Error> {
    let begun = Instant::now();
    let payload = "x".repeat(PAYLOAD);
    let mut done = 0u64;
    while begun.elapsed() < SPAN {
        conn.prepare_cached("BEGIN IMMEDIATE")?.execute([])?;
        conn.prepare_cached("INSERT INTO line (body) VALUES ($1)")?.execute([&payload])?;
        conn.prepare_cached("COMMIT")?.execute([])?;
        done += 1;
    }
    Ok(done as f64 / begun.elapsed().as_secs_f64())
}

/// Rates of both sides of each turn.
#[derive(Default)]
struct Turns(Vec<(f64, f64)>);

impl Turns {
    fn judge(&self, name: &str, callers: usize, bars: &mut Bars) {
        let median = |of: fn(&(f64, f64)) -> f64| {
            let mut all: Vec<f64> = self.0.iter().map(of).collect();
            all.sort_by(f64::total_cmp);
            (all[0], all[all.len() / 2], all[all.len() - 1])
        };
        let (low, ratio, high) = median(|it| it.1 / it.0);
        let (bare, ours) = (median(|it| it.0).1, median(|it| it.1).1);
        let who = if callers == 1 { "1 caller".to_string() } else { format!("{callers} callers") };
        println!("  {name}, {who}: {ours:.0} a second, bare loop {bare:.0} (ratio {low:.2} to {high:.2})");
        bars.at_least(&format!("{name} against the bare loop, {who}"), ratio, BAR, "");
    }
}

/// Diaries posted over HTTP to the running server, which acknowledges them.
pub async fn through_server(run: &Path, phones: &Rc<Phones>, bars: &mut Bars) -> Result<(), Failed> {
    let conn = bare_connection(run)?;
    for callers in CALLERS {
        let mut turns = Turns::default();
        for _ in 0..TURNS {
            let plain = bare(&conn)?;
            let phones = phones.clone();
            let (ours, failed) = closed_loop(callers, SPAN, move || phones.post()).await;
            if let Some(why) = failed.first() {
                return Err(format!("a post failed: {why}").into());
            }
            turns.0.push((plain, ours));
        }
        turns.judge("diaries over HTTP", callers, bars);
    }
    Ok(())
}

/// A line of the caseload with its reasons.
type Case = (caseload::Summary, Vec<caseload::AttentionRow>);

/// The same records without HTTP, sessions and folding: entry and line of the caseload through `Store::write`.
pub fn in_process(run: &Path, bars: &mut Bars) -> Result<(), Failed> {
    let conn = bare_connection(run)?;
    let store = Store::open(&Config::new(Place::Sqlite(run.join("clinic.db")), Some(key(run)?)))?;
    let cases = Arc::new(store.read_blocking(cases)?);
    let next = AtomicU64::new(0);
    for callers in CALLERS {
        let mut turns = Turns::default();
        for _ in 0..TURNS {
            turns.0.push((bare(&conn)?, through_store(&store, &cases, callers, &next)?));
        }
        turns.judge("transactions of a post through the store", callers, bars);
    }
    Ok(())
}

/// All open episodes.
fn cases(tx: &mut dyn Tx) -> Result<Vec<Case>, StoreError> {
    let lines = caseload::list(tx, None, true, 100_000, 0)?;
    lines.into_iter().map(|it| Ok((it.clone(), caseload::reasons(tx, &it.episode)?))).collect()
}

fn through_store(
    store: &Store,
    cases: &Arc<Vec<Case>>,
    callers: usize,
    next: &AtomicU64,
) -> Result<f64, StoreError> {
    let begun = Instant::now();
    let caller = || -> Result<u64, StoreError> {
        let mut done = 0;
        while begun.elapsed() < SPAN {
            let (number, cases) = (next.fetch_add(1, Ordering::Relaxed), cases.clone());
            store.write_blocking(move |tx| post(tx, number, &cases))?;
            done += 1;
        }
        Ok(done)
    };
    let done: Result<u64, StoreError> = std::thread::scope(|threads| {
        let all: Vec<_> = (0..callers).map(|_| threads.spawn(caller)).collect();
        all.into_iter().map(|it| it.join().unwrap_or(Err(StoreError::Closed))).sum()
    });
    Ok(done? as f64 / begun.elapsed().as_secs_f64())
}

/// One diary of one of all episodes: the line is written anew, and one reason moves to another day, as the day does
/// from which a diary is missed.
fn post(tx: &mut dyn Tx, number: u64, cases: &[Case]) -> Result<(), StoreError> {
    let (mut line, mut reasons) = cases[(number * 7919) as usize % cases.len()].clone();
    let record = NewRecord {
        on: jiff::civil::date(2026, 11, 25),
        by: Author { id: "patient:bench".into(), name: line.name.clone() },
        kind: "view".into(),
        form: 1,
        payload: format!("{{\"what\":\"{}\"}}", "x".repeat(PAYLOAD - 11)),
        supersedes: None,
        key: Some(format!("bench-store-{number:08}")),
    };
    let now = jiff::Timestamp::now();
    let done = journal::append(tx, &line.episode, now, &[record])?;
    (line.head, line.updated) = (done[0].number, now);
    if let Some(last) = reasons.last_mut() {
        last.from_day = format!("2027-01-{:02}", 1 + number % 28);
        last.until_day = None;
    }
    caseload::put(tx, &line, &reasons)
}

/// How many acknowledged diaries are not in the journal under the number that was told.
pub fn missing(run: &Path, taken: &[(String, String, u64)]) -> Result<usize, Failed> {
    let store = Store::open(&Config::new(Place::Sqlite(run.join("clinic.db")), Some(key(run)?)))?;
    let mut missing = 0;
    for (episode, key, number) in taken {
        let (stream, after) = (episode.clone(), number - 1);
        let filter = move |tx: &mut dyn Tx| {
            journal::read(tx, &stream, Filter { after: Some(after), limit: Some(1), ..Filter::default() })
        };
        let found = store.read_blocking(filter)?;
        let same = |it: &journal::Record| {
            it.number == *number && it.key.as_deref() == Some(key) && it.kind == "diary"
        };
        missing += usize::from(!found.first().is_some_and(same));
    }
    Ok(missing)
}
