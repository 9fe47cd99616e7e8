//! The journal against a plain model, and against whoever changes it behind its back.

mod common;

use std::cell::Cell;
use std::collections::BTreeMap;

use common::{Fresh, at, keyed, write};
use handrail_store::journal::{self, NewRecord, Verified};
use handrail_store::{Dialect, Store, StoreError, Tx, Value, query_one};
use proptest::prelude::*;
use proptest::test_runner::{Config as Cases, TestRunner};

on_both!(
    random_appends_agree_with_a_model,
    any_changed_byte_is_found,
    missing_added_and_exchanged_entries_are_found,
    whole_streams_that_vanish_change_the_digest,
);

/// One call: a stream, keys (`None` = without), and what head the caller believes in.
#[derive(Debug, Clone)]
struct Call {
    stream: u8,
    keys: Vec<Option<u8>>,
    expected: Option<u8>,
    corrects: Option<u8>,
}

fn call() -> impl Strategy<Value = Call> {
    let keys = proptest::collection::vec(proptest::option::weighted(0.7, 0u8..12), 1..4);
    (0u8..3, keys, proptest::option::weighted(0.4, 0u8..10), proptest::option::weighted(0.2, 0u8..14))
        .prop_map(|(stream, keys, expected, corrects)| Call { stream, keys, expected, corrects })
}

/// A stream as the model has it: the key of each entry.
type Model = BTreeMap<u8, Vec<Option<u8>>>;

/// What must come of a call; `Err` holds the head.
fn model(streams: &mut Model, call: &Call) -> Result<Vec<(u64, bool)>, Option<u64>> {
    let stream = streams.entry(call.stream).or_default();
    let head = stream.len() as u64;
    let place = |s: &[Option<u8>], k: Option<u8>| {
        k.and_then(|k| s.iter().position(|x| *x == Some(k)).map(|i| i as u64 + 1))
    };
    if call.expected.is_some_and(|e| u64::from(e) != head) {
        return call.keys.iter().map(|k| place(stream, *k).map(|n| (n, true)).ok_or(Some(head))).collect();
    }
    let mut next = stream.clone();
    let mut done = Vec::new();
    for key in &call.keys {
        if let Some(number) = place(&next, *key) {
            done.push((number, true));
            continue;
        }
        if call.corrects.is_some_and(|n| n == 0 || u64::from(n) > next.len() as u64) {
            return Err(None);
        }
        next.push(*key);
        done.push((next.len() as u64, false));
    }
    *stream = next;
    Ok(done)
}

fn random_appends_agree_with_a_model(fresh: &Fresh) {
    let store = fresh.open();
    let round = Cell::new(0u32);
    let written = Cell::new(0u64);
    let mut runner = TestRunner::new(Cases { cases: 48, failure_persistence: None, ..Cases::default() });
    let calls = proptest::collection::vec(call(), 1..30);
    runner
        .run(&calls, |calls| {
            round.set(round.get() + 1);
            let mut streams = Model::new();
            for call in &calls {
                let expected = model(&mut streams, call);
                let (name, wanted) = (format!("r{}-s{}", round.get(), call.stream), call.clone());
                let found = store.write_blocking(move |tx| {
                    let records: Vec<NewRecord> = wanted
                        .keys
                        .iter()
                        .map(|k| NewRecord {
                            key: k.map(|k| format!("k{k}")),
                            supersedes: wanted.corrects.map(u64::from),
                            ..keyed("x")
                        })
                        .collect();
                    match wanted.expected {
                        Some(e) => journal::append_expecting(tx, &name, e.into(), at(0), &records),
                        None => journal::append(tx, &name, at(0), &records),
                    }
                });
                match (expected, found) {
                    (Ok(expected), Ok(found)) => {
                        let found: Vec<_> = found.iter().map(|d| (d.number, d.already)).collect();
                        prop_assert_eq!(expected, found);
                    }
                    (Err(Some(head)), Err(StoreError::Conflict { head: found, .. })) => {
                        prop_assert_eq!(head, found)
                    }
                    (Err(None), Err(StoreError::Refused { .. })) => {}
                    (expected, found) => prop_assert!(false, "expected {:?}, found {:?}", expected, found),
                }
            }
            let entries = written.get() + streams.values().map(|s| s.len() as u64).sum::<u64>();
            written.set(entries);
            let verified = store.read_blocking(journal::verify).expect("verified");
            prop_assert!(verified.is_whole());
            prop_assert_eq!(verified.entries, entries);
            Ok(())
        })
        .expect("the store does what the model does");
    assert!(written.get() > 500);
}

const COLUMNS: [&str; 13] = [
    "stream",
    "number",
    "recorded",
    "on_day",
    "by_id",
    "by_name",
    "kind",
    "form",
    "payload",
    "supersedes",
    "key",
    "prev",
    "hash",
];

/// Takes the tables' own guards off, as whoever has the key and the file could.
fn unguard(tx: &mut dyn Tx) -> Result<(), StoreError> {
    let guards: &[&str] = match tx.dialect() {
        Dialect::Sqlite => &["DROP TRIGGER entry_kept", "DROP TRIGGER entry_unchanged"],
        Dialect::Postgres => &["DROP TRIGGER entry_kept ON entry", "DROP TRIGGER entry_all_kept ON entry"],
    };
    guards.iter().try_for_each(|sql| tx.execute(sql, &[]).map(drop))
}

fn fill(store: &Store) {
    write(store, |tx| {
        for stream in ["e1", "e2", "e3"] {
            for n in 0..6u64 {
                let correction =
                    NewRecord { supersedes: (n == 4).then_some(2), ..keyed(&format!("key-{n}")) };
                journal::append(tx, stream, at(n as i64 * 1000), &[correction])?;
            }
        }
        unguard(tx)
    });
}

/// Runs changes, verifies, and takes the changes back: all in one transaction that is given up at the end.
fn verified_after(
    store: &Store,
    change: impl FnMut(&mut dyn Tx) -> Result<(), StoreError> + Send + 'static,
) -> Verified {
    try_verified_after(store, change).expect("the tables let it pass")
}

/// The same; `None` when the tables' own rules (a number or key that is taken) refuse the change.
fn try_verified_after(
    store: &Store,
    mut change: impl FnMut(&mut dyn Tx) -> Result<(), StoreError> + Send + 'static,
) -> Option<Verified> {
    let (send, receive) = std::sync::mpsc::channel();
    let ended: Result<(), _> = store.write_blocking(move |tx| {
        change(tx)?;
        send.send(journal::verify(tx)?).expect("somebody listens");
        Err(StoreError::refused("taken back", ""))
    });
    match ended.expect_err("taken back") {
        StoreError::Rule { .. } => None,
        other => {
            assert_eq!(other.message(), "taken back");
            Some(receive.recv().expect("verified"))
        }
    }
}

/// Another value of the same type, one bit or one character away.
fn spoiled(value: &Value, random: &mut fastrand::Rng) -> Option<Value> {
    Some(match value {
        Value::Null => return None,
        Value::Int(v) => Value::Int(v ^ (1 << random.u32(0..31))),
        Value::Blob(v) => {
            let mut v = v.clone();
            let i = random.usize(..v.len());
            v[i] ^= 1 << random.u32(0..8);
            Value::Blob(v)
        }
        Value::Text(v) => {
            let mut v = v.clone().into_bytes();
            let i = random.usize(..v.len());
            // Stays ASCII text, which both databases keep; the flipped bit is one of the lowest three.
            v[i] ^= 1 << random.u32(0..3);
            Value::Text(String::from_utf8(v).expect("ASCII"))
        }
    })
}

fn any_changed_byte_is_found(fresh: &Fresh) {
    let store = fresh.open();
    fill(&store);
    assert!(verified_after(&store, |_| Ok(())).is_whole());
    let mut random = fastrand::Rng::with_seed(9);
    let mut tried = BTreeMap::new();
    for _ in 0..10 {
        for column in COLUMNS {
            let (stream, number) = (format!("e{}", random.u8(1..=3)), random.u64(1..=6));
            let (s, n) = (stream.clone(), number);
            let old = store
                .read_blocking(move |tx| {
                    let sql = format!("SELECT {column} AS v FROM entry WHERE stream = $1 AND number = $2");
                    query_one(tx, &sql, &[s.as_str().into(), n.into()])?.value("v").cloned()
                })
                .expect("read");
            // What was absent gets a value, which is a change too.
            let new = spoiled(&old, &mut random).unwrap_or(if column == "key" {
                "k".into()
            } else {
                Value::Int(1)
            });
            assert_ne!(old, new);
            let (s, v) = (stream.clone(), new.clone());
            let verified = try_verified_after(&store, move |tx| {
                let sql = format!("UPDATE entry SET {column} = $1 WHERE stream = $2 AND number = $3");
                tx.execute(&sql, &[v.clone(), s.as_str().into(), number.into()]).map(drop)
            });
            if let Some(verified) = verified {
                assert!(!verified.is_whole(), "{stream} {number} {column}: {old:?} to {new:?}");
                *tried.entry(column).or_insert(0) += 1;
            }
        }
    }
    assert_eq!(tried.len(), COLUMNS.len());
    assert!(tried.values().sum::<u32>() > 100, "{tried:?}");
    assert!(verified_after(&store, |_| Ok(())).is_whole());
}

fn missing_added_and_exchanged_entries_are_found(fresh: &Fresh) {
    let store = fresh.open();
    fill(&store);
    let changes: [&[&str]; 9] = [
        &["DELETE FROM entry WHERE stream = 'e2' AND number = 1"],
        &["DELETE FROM entry WHERE stream = 'e2' AND number = 3"],
        &["DELETE FROM entry WHERE stream = 'e2' AND number = 6"],
        &["DELETE FROM entry WHERE stream = 'e2'"],
        &["DELETE FROM stream WHERE id = 'e2'"],
        &["UPDATE stream SET head = 5 WHERE id = 'e2'"],
        &["UPDATE stream SET hash = prev FROM entry WHERE id = 'e2' AND entry.stream = 'e2' AND number = 6"],
        // The third and the fourth change places.
        &[
            "UPDATE entry SET number = 99 WHERE stream = 'e2' AND number = 3",
            "UPDATE entry SET number = 3 WHERE stream = 'e2' AND number = 4",
            "UPDATE entry SET number = 4 WHERE stream = 'e2' AND number = 99",
        ],
        // A copy at the end.
        &["INSERT INTO entry SELECT stream, 7, recorded, on_day, by_id, by_name, kind, form, payload, supersedes, NULL, prev, hash
           FROM entry WHERE stream = 'e2' AND number = 6"],
    ];
    for change in changes {
        let verified = verified_after(&store, move |tx| {
            change.iter().try_for_each(|sql| tx.execute(sql, &[]).map(drop))
        });
        assert!(!verified.is_whole(), "{change:?}");
        assert!(verified.faults.iter().all(|f| f.stream == "e2"), "{change:?}: {:?}", verified.faults);
    }
    assert!(verified_after(&store, |_| Ok(())).is_whole());
}

fn whole_streams_that_vanish_change_the_digest(fresh: &Fresh) {
    let store = fresh.open();
    fill(&store);
    let before = verified_after(&store, |_| Ok(()));
    let after = verified_after(&store, |tx| {
        tx.execute("DELETE FROM entry WHERE stream = 'e2'", &[])?;
        tx.execute("DELETE FROM stream WHERE id = 'e2'", &[]).map(drop)
    });
    assert!(after.is_whole(), "the chain alone cannot show it");
    assert_ne!(before.digest, after.digest);
    assert_eq!(before.digest, verified_after(&store, |_| Ok(())).digest);
}
