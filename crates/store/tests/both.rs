//! What the store promises, on both databases.

mod common;

use std::sync::Arc;
use std::sync::atomic::{AtomicU32, Ordering};

use common::{Fresh, at, keyed, record, write};
use handrail_store::caseload::{self, AttentionRow, Summary};
use handrail_store::journal::{self, Filter, NewRecord};
use handrail_store::{
    Store, StoreError, Value, accounts, content, drafts, links, query_one, sessions, settings, tokens,
};

on_both!(
    entries_are_numbered_and_read_back,
    a_key_is_written_once,
    two_at_once_are_told,
    entries_cannot_be_changed_or_deleted,
    a_correction_names_an_earlier_entry,
    filters_choose_entries,
    a_clock_set_back_is_a_remark,
    a_job_that_fails_leaves_nothing,
    an_ignored_failure_is_still_one,
    a_panic_hurts_nobody_else,
    one_bad_job_does_not_hurt_its_batch,
    reading_cannot_write,
    values_come_back_as_they_went,
    a_zero_character_is_refused_not_failed_on,
    columns_name_themselves_in_errors,
    today_agrees_with_a_plain_count,
    patients_are_found,
    accounts_lock_and_change,
    sessions_end,
    links_open_one_episode,
    drafts_contents_and_settings,
    a_newer_database_is_refused,
    jobs_of_many_threads_are_all_written,
);

fn entries_are_numbered_and_read_back(fresh: &Fresh) {
    let store = fresh.open();
    let new = NewRecord { key: Some("k".into()), form: 7, ..record("{\"pain\": 3} ñ 漢") };
    let sent = new.clone();
    let done = write(&store, move |tx| journal::append(tx, "e1", at(1), &[sent.clone(), record("b")]));
    assert_eq!(done.iter().map(|d| (d.number, d.already)).collect::<Vec<_>>(), [(1, false), (2, false)]);
    let found = store.read_blocking(|tx| journal::read(tx, "e1", Filter::default())).expect("read");
    let first = &found[0];
    assert_eq!((first.stream.as_str(), first.number, first.recorded), ("e1", 1, at(1)));
    let back = NewRecord {
        on: first.on,
        by: first.by.clone(),
        kind: first.kind.clone(),
        form: first.form,
        payload: first.payload.clone(),
        supersedes: first.supersedes,
        key: first.key.clone(),
    };
    assert_eq!(back, new);
    assert_eq!((first.prev, found[1].prev), ([0; 32], first.hash));
    let (head, none, streams) = store
        .read_blocking(|tx| {
            Ok((journal::head(tx, "e1")?, journal::head(tx, "other")?, journal::streams(tx)?))
        })
        .expect("read");
    assert_eq!((head.number, head.hash, none.number), (2, found[1].hash, 0));
    assert_eq!(streams, [("e1".to_owned(), head)]);
    drop(store);
    if let handrail_store::Place::Sqlite(path) = &fresh.config.place {
        let log = path.with_file_name("clinic.db-wal");
        assert!(path.exists() && !log.exists(), "closed, the file stands alone");
    }
    let again = Store::open_existing(&fresh.config).expect("opens again");
    assert_eq!(again.read_blocking(|tx| journal::read(tx, "e1", Filter::default())).expect("read"), found);
}

fn a_key_is_written_once(fresh: &Fresh) {
    let store = fresh.open();
    for round in 0..3 {
        let done = write(&store, |tx| journal::append(tx, "e1", at(1), &[keyed("a"), keyed("b")]));
        assert_eq!(
            done.iter().map(|d| (d.number, d.already)).collect::<Vec<_>>(),
            [(1, round > 0), (2, round > 0)]
        );
    }
    let done = write(&store, |tx| journal::append(tx, "e1", at(1), &[keyed("b"), keyed("c"), keyed("c")]));
    let done: Vec<_> = done.iter().map(|d| (d.number, d.already)).collect();
    assert_eq!(done, [(2, true), (3, false), (3, true)]);
    // The same key in another stream is another entry.
    let done = write(&store, |tx| journal::append(tx, "e2", at(1), &[keyed("a")]));
    assert_eq!((done[0].number, done[0].already), (1, false));
    let verified = store.read_blocking(journal::verify).expect("verified");
    assert_eq!((verified.streams, verified.entries, verified.fault_count), (2, 4, 0));
}

fn two_at_once_are_told(fresh: &Fresh) {
    let store = fresh.open();
    write(&store, |tx| journal::append_expecting(tx, "e1", 0, at(1), &[keyed("a")]));
    write(&store, |tx| journal::append_expecting(tx, "e1", 1, at(2), &[keyed("b")]));
    let late = store.write_blocking(|tx| journal::append_expecting(tx, "e1", 1, at(3), &[keyed("c")]));
    assert_eq!(late, Err(StoreError::Conflict { stream: "e1".into(), expected: 1, head: 2 }));
    // Sent a second time it is no conflict.
    let again = write(&store, |tx| journal::append_expecting(tx, "e1", 1, at(4), &[keyed("b")]));
    assert_eq!((again[0].number, again[0].already), (2, true));
    let next = write(&store, |tx| journal::append_expecting(tx, "e1", 2, at(5), &[keyed("c")]));
    assert_eq!((next[0].number, next[0].already), (3, false));
}

fn entries_cannot_be_changed_or_deleted(fresh: &Fresh) {
    let store = fresh.open();
    write(&store, |tx| journal::append(tx, "e1", at(1), &[record("a")]));
    for sql in ["DELETE FROM entry", "UPDATE entry SET payload = 'b'", "UPDATE entry SET number = number + 1"]
    {
        let refused = store.write_blocking(move |tx| tx.execute(sql, &[]));
        assert!(matches!(refused, Err(StoreError::Rule { .. })), "{sql}: {refused:?}");
    }
    assert!(store.read_blocking(journal::verify).expect("verified").is_whole());
}

fn a_correction_names_an_earlier_entry(fresh: &Fresh) {
    let store = fresh.open();
    let correct = |n| NewRecord { supersedes: Some(n), ..record("x") };
    write(&store, move |tx| journal::append(tx, "e1", at(1), &[record("a"), correct(1)]));
    for wrong in [0, 3, 99] {
        let refused = store.write_blocking(move |tx| journal::append(tx, "e1", at(2), &[correct(wrong)]));
        assert!(matches!(refused, Err(StoreError::Refused { .. })), "{refused:?}");
    }
    let nobody = NewRecord { kind: String::new(), ..record("x") };
    assert!(
        store
            .write_blocking(move |tx| journal::append(tx, "e1", at(2), std::slice::from_ref(&nobody)))
            .is_err()
    );
    assert!(store.write_blocking(|tx| journal::append(tx, "e1", at(2), &[record("a\0b")])).is_err());
    assert_eq!(store.read_blocking(|tx| journal::head(tx, "e1")).expect("read").number, 2);
}

fn filters_choose_entries(fresh: &Fresh) {
    let store = fresh.open();
    let kinds = ["note", "view", "diary", "view", "note"];
    write(&store, move |tx| {
        let new: Vec<_> = kinds.iter().map(|k| NewRecord { kind: (*k).into(), ..record("x") }).collect();
        journal::append(tx, "e1", at(1), &new)
    });
    let numbers = |filter: Filter<'static>| -> Vec<u64> {
        let found = store.read_blocking(move |tx| journal::read(tx, "e1", filter)).expect("read");
        found.iter().map(|r| r.number).collect()
    };
    assert_eq!(numbers(Filter { after: Some(2), ..Filter::default() }), [3, 4, 5]);
    assert_eq!(numbers(Filter { without_kinds: &["view", "diary"], ..Filter::default() }), [1, 5]);
    assert_eq!(numbers(Filter { only_kinds: &["view"], newest_first: true, ..Filter::default() }), [4, 2]);
    assert_eq!(numbers(Filter { limit: Some(2), newest_first: true, ..Filter::default() }), [5, 4]);
    assert_eq!(
        store.read_blocking(|tx| journal::entry(tx, "e1", 3)).expect("read").map(|r| r.kind),
        Some("diary".into())
    );
    assert_eq!(store.read_blocking(|tx| journal::entry(tx, "e1", 6)).expect("read"), None);
}

fn a_clock_set_back_is_a_remark(fresh: &Fresh) {
    let store = fresh.open();
    for (i, ms) in [10_000_000, 10_000_001, 9_999_000, 1_000, 2_000].into_iter().enumerate() {
        let done = write(&store, move |tx| journal::append(tx, "e1", at(ms), &[record("x")]));
        assert_eq!(done[0].number, i as u64 + 1);
    }
    let verified = store.read_blocking(journal::verify).expect("verified");
    assert!(verified.is_whole());
    // One second back is two clocks that differ; hours are a clock that was set back.
    assert_eq!(verified.remarks.iter().map(|r| r.number).collect::<Vec<_>>(), [4]);
    let kept = store.read_blocking(|tx| journal::entry(tx, "e1", 4)).expect("read").expect("there");
    assert_eq!(kept.recorded, at(1_000));
}

fn a_job_that_fails_leaves_nothing(fresh: &Fresh) {
    let store = fresh.open();
    let failed: Result<(), _> = store.write_blocking(|tx| {
        journal::append(tx, "e1", at(1), &[record("a")])?;
        settings::put(tx, "clinic", "{}")?;
        Err(StoreError::refused("no", "yes"))
    });
    assert_eq!(failed.expect_err("refused").mend(), "yes");
    let (head, setting) =
        store.read_blocking(|tx| Ok((journal::head(tx, "e1")?, settings::get(tx, "clinic")?))).expect("read");
    assert_eq!((head.number, setting), (0, None));
}

fn an_ignored_failure_is_still_one(fresh: &Fresh) {
    let store = fresh.open();
    let ended = store.write_blocking(|tx| {
        settings::put(tx, "clinic", "{}")?;
        let _ = tx.execute("INSERT INTO setting (name, body) VALUES ('clinic', '{}')", &[]);
        Ok(())
    });
    assert!(matches!(ended, Err(StoreError::Rule { .. })), "{ended:?}");
    assert_eq!(store.read_blocking(|tx| settings::get(tx, "clinic")).expect("read"), None);
}

fn a_panic_hurts_nobody_else(fresh: &Fresh) {
    let store = fresh.open();
    let ended: Result<(), _> = store.write_blocking(|tx| {
        settings::put(tx, "clinic", "{}")?;
        panic!("on purpose, for a test");
    });
    assert!(
        matches!(&ended, Err(StoreError::Panicked { detail }) if detail.contains("on purpose")),
        "{ended:?}"
    );
    let ended: Result<(), _> = store.read_blocking(|_| panic!("on purpose, for a test"));
    assert!(matches!(ended, Err(StoreError::Panicked { .. })));
    assert_eq!(store.read_blocking(|tx| settings::get(tx, "clinic")).expect("read"), None);
    write(&store, |tx| settings::put(tx, "clinic", "{}"));
}

/// Holds the writer, lets jobs gather behind it, and looks that only the bad ones fail.
fn one_bad_job_does_not_hurt_its_batch(fresh: &Fresh) {
    let store = fresh.open();
    let begun = Arc::new(AtomicU32::new(0));
    std::thread::scope(|threads| {
        let (store, holds) = (&store, begun.clone());
        threads.spawn(move || {
            write(store, move |_| {
                holds.store(1, Ordering::SeqCst);
                std::thread::sleep(std::time::Duration::from_millis(200));
                Ok(())
            });
        });
        while begun.load(Ordering::SeqCst) == 0 {
            std::thread::yield_now();
        }
        for n in 0..40u32 {
            threads.spawn(move || {
                let ended = store.write_blocking(move |tx| {
                    let done = journal::append(tx, "e1", at(1), &[keyed(&format!("k{n}"))])?;
                    match n % 4 {
                        1 => Err(StoreError::refused("on purpose", "")),
                        2 => tx.execute("INSERT INTO session (token) VALUES (NULL)", &[]).map(|_| done),
                        3 if n < 20 => panic!("on purpose, for a test"),
                        _ => Ok(done),
                    }
                });
                match n % 4 {
                    1 => assert!(matches!(ended, Err(StoreError::Refused { .. })), "{ended:?}"),
                    2 => assert!(matches!(ended, Err(StoreError::Rule { .. })), "{ended:?}"),
                    3 if n < 20 => assert!(matches!(ended, Err(StoreError::Panicked { .. })), "{ended:?}"),
                    _ => assert!(ended.is_ok(), "{ended:?}"),
                }
            });
        }
    });
    let found = store.read_blocking(|tx| journal::read(tx, "e1", Filter::default())).expect("read");
    assert_eq!(found.len(), 15);
    assert!(store.read_blocking(journal::verify).expect("verified").is_whole());
}

fn reading_cannot_write(fresh: &Fresh) {
    let store = fresh.open();
    let ended = store.read_blocking(|tx| settings::put(tx, "clinic", "{}"));
    assert!(matches!(ended, Err(StoreError::ReadOnly { .. })), "{ended:?}");
}

fn values_come_back_as_they_went(fresh: &Fresh) {
    let store = fresh.open();
    let token = [255; 32];
    write(&store, move |tx| {
        let values: [Value; 3] = [i64::MIN.into(), "a'\"ñ\u{1f600}\n".into(), token.into()];
        // The order of appearance is not the order of the numbers, and one appears twice.
        tx.execute("INSERT INTO stream (hash, id, head) VALUES ($3, $2, $1)", &values)?;
        tx.execute(
            "UPDATE stream SET head = $1 WHERE id = $2 AND $1 < 1",
            &[(-5i64).into(), values[1].clone()],
        )
    });
    let row = store
        .read_blocking(|tx| {
            query_one(tx, "SELECT id, head, hash, CAST($1 AS TEXT) AS none FROM stream", &[Value::Null])
        })
        .expect("read");
    assert_eq!(row.text("id").expect("text"), "a'\"ñ\u{1f600}\n");
    assert_eq!(row.int("head").expect("int"), -5);
    assert_eq!(row.hash("hash").expect("hash"), token);
    assert_eq!(row.text_opt("none").expect("null"), None);
}

fn a_zero_character_is_refused_not_failed_on(fresh: &Fresh) {
    let store = fresh.open();
    let read = store.read_blocking(|tx| journal::head(tx, "e\0"));
    assert!(matches!(read, Err(StoreError::Refused { .. })), "{read:?}");
    let wrote = store.write_blocking(|tx| settings::put(tx, "name", "a\0b"));
    assert!(matches!(wrote, Err(StoreError::Refused { .. })), "{wrote:?}");
    write(&store, |tx| settings::put(tx, "name", "ab"));
}

fn columns_name_themselves_in_errors(fresh: &Fresh) {
    let store = fresh.open();
    let row = store.read_blocking(|tx| query_one(tx, "SELECT count(*) AS n FROM stream", &[])).expect("read");
    assert!(row.text("n").expect_err("a number").message().contains("`n`"));
    assert!(row.int("m").expect_err("missing").message().contains("`m`"));
    let wrong = store.read_blocking(|tx| tx.query("SELEKT 1", &[]).map(drop));
    assert!(matches!(wrong, Err(StoreError::Sql { .. })), "{wrong:?}");
    let few = store.read_blocking(|tx| {
        tx.query("SELECT id FROM stream WHERE id = $1 AND head = $2", &["a".into()]).map(drop)
    });
    assert!(matches!(few, Err(StoreError::Sql { .. })), "{few:?}");
}

fn summary(n: u64, random: &mut fastrand::Rng) -> (Summary, Vec<AttentionRow>) {
    let names = ["Álvarez", "Brandt", "Çelik", "Dvořák", "Égalité", "Fischer", "García", "O'Hara"];
    let name = format!("{} {}", names[random.usize(..8)], n % 97);
    let day = |random: &mut fastrand::Rng| format!("2026-11-{:02}", random.u32(1..=30));
    let attention = (0..random.usize(..5)).map(|_| {
        let from_day = day(random);
        AttentionRow {
            reason: ["warning sign", "pain", "restriction"][random.usize(..3)].into(),
            rank: random.i64(1..=4) * 10,
            until_day: random.bool().then(|| day(random)),
            from_day,
            detail: "{}".into(),
            entry: random.bool().then_some(n),
        }
    });
    let attention = attention.collect();
    let summary = Summary {
        episode: format!("e{n:05}"),
        therapist: format!("t{}", n % 7),
        name,
        born: (!n.is_multiple_of(3)).then(|| format!("19{:02}-04-{:02}", n % 90 + 10, n % 28 + 1)),
        record: Some(format!("MR-{n:05}")),
        protocol: "acl".into(),
        open: !n.is_multiple_of(5),
        updated: at(n as i64),
        head: n,
        body: format!("{{\"n\": {n}}}"),
    };
    (summary, attention)
}

fn today_agrees_with_a_plain_count(fresh: &Fresh) {
    let store = fresh.open();
    let mut random = fastrand::Rng::with_seed(4);
    let mut all: Vec<_> = (0..400).map(|n| summary(n, &mut random)).collect();
    // A second `put` replaces the first.
    let first: Vec<_> = (0..400).map(|n| summary(n, &mut random)).collect();
    for cases in [first, all.clone()] {
        write(&store, move |tx| cases.iter().try_for_each(|(s, a)| caseload::put(tx, s, a)));
    }
    let day = "2026-11-15";
    let in_force =
        |a: &AttentionRow| a.from_day.as_str() <= day && a.until_day.as_deref().is_none_or(|u| day < u);
    for (_, reasons) in &mut all {
        reasons.retain(in_force);
        reasons.sort_by(|a, b| b.rank.cmp(&a.rank).then_with(|| a.from_day.cmp(&b.from_day)));
    }
    all.retain(|(_, a)| !a.is_empty());
    all.sort_by_cached_key(|(s, a)| {
        (-a[0].rank, a[0].from_day.clone(), caseload::fold(&s.name), s.episode.clone())
    });
    assert!(all.len() > 100);
    for therapist in [None, Some("t3")] {
        let expected: Vec<_> =
            all.iter().filter(|(s, _)| therapist.is_none_or(|t| s.therapist == t)).cloned().collect();
        for (limit, offset) in [(1000, 0), (10, 0), (7, 13), (5, 900)] {
            let found = store
                .read_blocking(move |tx| caseload::today(tx, day, therapist, limit, offset))
                .expect("read");
            let part: Vec<_> = expected.iter().skip(offset as usize).take(limit as usize).cloned().collect();
            assert_eq!(found, part, "{therapist:?} {limit} {offset}");
        }
        let count = store.read_blocking(move |tx| caseload::count_today(tx, day, therapist)).expect("read");
        assert_eq!(count, expected.len() as u64);
        let reasons =
            store.read_blocking(move |tx| caseload::count_reasons(tx, day, therapist)).expect("read");
        for (reason, n) in reasons {
            assert_eq!(
                n,
                expected.iter().filter(|(_, a)| a.iter().any(|r| r.reason == reason)).count() as u64
            );
        }
    }
}

fn patients_are_found(fresh: &Fresh) {
    let store = fresh.open();
    let mut random = fastrand::Rng::with_seed(5);
    let cases: Vec<_> = (0..60).map(|n| summary(n, &mut random)).collect();
    let mut odd = cases[0].clone();
    (odd.0.episode, odd.0.name) = ("odd".into(), "Per_cent 100%".into());
    let put = [cases.clone(), vec![odd]].concat();
    write(&store, move |tx| put.iter().try_for_each(|(s, a)| caseload::put(tx, s, a)));
    let found = |text: &'static str| -> Vec<String> {
        let found = store.read_blocking(move |tx| caseload::search(tx, text, 100)).expect("read");
        found.into_iter().map(|s| s.episode).collect()
    };
    let expected = |word: &str| {
        let mut hits: Vec<_> =
            cases.iter().map(|(s, _)| s).filter(|s| caseload::fold(&s.name).contains(word)).collect();
        hits.sort_by_key(|s| (caseload::fold(&s.name), s.episode.clone()));
        hits.iter().map(|s| s.episode.clone()).collect::<Vec<_>>()
    };
    assert!(!expected("alvarez").is_empty());
    assert_eq!(found("ALVÁREZ"), expected("alvarez"));
    assert_eq!(found("mr-00042"), ["e00042"]);
    assert!(found("1953-04").contains(&"e00043".to_owned()));
    assert_eq!(found("00042 nobody"), [] as [&str; 0]);
    assert_eq!(found("%"), ["odd"]);
    assert_eq!(found("per_c"), ["odd"]);
    assert_eq!(found("  "), [] as [&str; 0]);
    let listed = store.read_blocking(|tx| caseload::list(tx, Some("t2"), true, 100, 0)).expect("read");
    let count = store.read_blocking(|tx| caseload::count(tx, Some("t2"), true)).expect("read");
    assert_eq!(listed.len() as u64, count);
    assert_eq!(count, cases.iter().filter(|(s, _)| s.therapist == "t2" && s.open).count() as u64);
    assert!(listed.is_sorted_by_key(|s| (caseload::fold(&s.name), s.episode.clone())));
}

fn new_account(login: &str) -> accounts::NewAccount {
    accounts::NewAccount {
        login: login.into(),
        name: "Ines Abad".into(),
        role: "therapist".into(),
        title: "PT".into(),
        password: "$argon2id$x".into(),
    }
}

fn accounts_lock_and_change(fresh: &Fresh) {
    let store = fresh.open();
    let made = write(&store, |tx| accounts::create(tx, &new_account("Inés"), at(0)));
    let taken = store.write_blocking(|tx| accounts::create(tx, &new_account(" INES "), at(0)));
    assert!(matches!(taken, Err(StoreError::Refused { .. })));
    let id = made.id.clone();
    let failed = write(&store, move |tx| {
        accounts::note_failure(tx, &id, None)?;
        accounts::note_failure(tx, &id, Some(at(60_000)))
    });
    assert_eq!(failed, 2);
    let found = store.read_blocking(|tx| accounts::by_login(tx, "ines")).expect("read").expect("there");
    assert_eq!((found.failed, found.locked_until, found.created), (2, Some(at(60_000)), at(0)));
    let id = made.id.clone();
    let change = accounts::Change {
        role: Some("lead".into()),
        totp: Some(Some("s".into())),
        active: Some(false),
        ..Default::default()
    };
    let changed = write(&store, move |tx| {
        accounts::note_success(tx, &id)?;
        accounts::update(tx, &id, &change)
    });
    assert_eq!(
        (changed.role.as_str(), changed.totp.as_deref(), changed.active, changed.failed),
        ("lead", Some("s"), false, 0)
    );
    assert_eq!(store.read_blocking(accounts::list).expect("read"), [changed]);
    assert!(store.write_blocking(|tx| accounts::update(tx, "nobody", &accounts::Change::default())).is_err());
}

fn sessions_end(fresh: &Fresh) {
    let store = fresh.open();
    let account = write(&store, |tx| accounts::create(tx, &new_account("a"), at(0))).id;
    let session = |n: u8, ends| sessions::Session {
        token: [n; 32],
        account: account.clone(),
        kind: "full".into(),
        csrf: "c".into(),
        created: at(0),
        last_seen: at(0),
        ends: at(ends),
    };
    let all = [session(1, 100), session(2, 200), session(3, 300)];
    let kept = all.clone();
    write(&store, move |tx| kept.iter().try_for_each(|s| sessions::create(tx, s)));
    let find =
        |n: u8, now| store.read_blocking(move |tx| sessions::find(tx, &[n; 32], at(now))).expect("read");
    assert_eq!(find(1, 99), Some(all[0].clone()));
    assert_eq!(find(1, 100), None);
    write(&store, |tx| sessions::touch(tx, &[1; 32], at(99), at(199)));
    assert_eq!(find(1, 100).map(|s| s.last_seen), Some(at(99)));
    assert_eq!(write(&store, |tx| sessions::sweep(tx, at(199))), 1);
    write(&store, |tx| sessions::end(tx, &[2; 32]));
    assert_eq!((find(2, 0), find(3, 0).is_some()), (None, true));
    assert_eq!(write(&store, move |tx| sessions::end_all_of(tx, &account)), 1);
}

fn links_open_one_episode(fresh: &Fresh) {
    let store = fresh.open();
    let secret = tokens::new_secret().expect("random");
    let link = links::Link {
        id: "l1".into(),
        token: tokens::secret_hash(&secret),
        episode: "e1".into(),
        created_by: "t1".into(),
        created: at(0),
        expires: at(1000),
        revoked: None,
        tries: 0,
        last_try: None,
    };
    let session = links::PatientSession {
        token: [9; 32],
        link: "l1".into(),
        csrf: "c".into(),
        created: at(1),
        ends: at(5000),
    };
    let (l, s) = (link.clone(), session.clone());
    write(&store, move |tx| {
        links::create(tx, &l)?;
        links::begin_session(tx, &s)
    });
    let hash = tokens::secret_hash(&secret);
    assert_eq!(store.read_blocking(move |tx| links::find(tx, &hash)).expect("read"), Some(link.clone()));
    let forged = tokens::secret_hash(&format!("{secret}x"));
    assert_eq!(store.read_blocking(move |tx| links::find(tx, &forged)).expect("read"), None);
    let behind =
        |now| store.read_blocking(move |tx| links::find_session(tx, &[9; 32], at(now))).expect("read");
    assert_eq!(behind(999), Some((session, link)));
    assert_eq!(behind(1000), None, "the link is over before its session is");
    assert_eq!(write(&store, |tx| links::note_wrong(tx, "l1", at(2))), 1);
    assert_eq!(write(&store, |tx| links::note_wrong(tx, "l1", at(3))), 2);
    write(&store, |tx| links::reset_tries(tx, "l1"));
    assert!(write(&store, |tx| links::revoke(tx, "l1", at(4))));
    assert!(!write(&store, |tx| links::revoke(tx, "l1", at(5))));
    assert_eq!(behind(6), None);
    let of = store.read_blocking(|tx| links::of_episode(tx, "e1")).expect("read");
    assert_eq!(of.iter().map(|l| (l.tries, l.revoked)).collect::<Vec<_>>(), [(0, Some(at(4)))]);
}

fn drafts_contents_and_settings(fresh: &Fresh) {
    let store = fresh.open();
    write(&store, |tx| drafts::put(tx, "t1", "note e1", "half a", at(1)));
    write(&store, |tx| drafts::put(tx, "t1", "note e1", "half a sentence", at(2)));
    let read =
        |who: &'static str| store.read_blocking(move |tx| drafts::get(tx, who, "note e1")).expect("read");
    assert_eq!((read("t1"), read("t2")), (Some(("half a sentence".into(), at(2))), None));
    write(&store, |tx| drafts::discard(tx, "t1", "note e1"));
    assert_eq!(store.read_blocking(|tx| drafts::list(tx, "t1")).expect("read"), []);

    let by = journal::Author { id: "t1".into(), name: "Ines Abad".into() };
    let save = |expected, body: &'static str| {
        let by = by.clone();
        store.write_blocking(move |tx| {
            content::save(tx, ("exercise", "heel-slide"), expected, (body, "draft"), &by, at(1))
        })
    };
    assert_eq!((save(0, "one"), save(1, "two")), (Ok(1), Ok(2)));
    assert!(matches!(save(1, "three"), Err(StoreError::Conflict { head: 2, .. })));
    let newest = store.read_blocking(content::all_newest).expect("read");
    assert_eq!(newest.iter().map(|c| (c.version, c.body.as_str())).collect::<Vec<_>>(), [(2, "two")]);
    assert_eq!(
        store.read_blocking(|tx| content::versions(tx, "exercise", "heel-slide")).expect("read").len(),
        2
    );
    let signed = content::SignOff {
        kind: "exercise".into(),
        id: "heel-slide".into(),
        version: "2".into(),
        text_hash: content::text_hash("two"),
        by,
        on: jiff::civil::date(2026, 11, 25),
        recorded: at(3),
    };
    let s = signed.clone();
    write(&store, move |tx| content::sign(tx, &s).and_then(|()| content::sign(tx, &s)));
    assert_eq!(store.read_blocking(content::signoffs).expect("read"), std::slice::from_ref(&signed));
    assert_eq!(
        store.read_blocking(|tx| content::signoffs_of(tx, "exercise", "heel-slide")).expect("read"),
        [signed]
    );

    write(&store, |tx| settings::put_json(tx, "retention", &vec![8u32, 25]));
    assert_eq!(
        store.read_blocking(|tx| settings::get_json::<Vec<u32>>(tx, "retention")).expect("read"),
        Some(vec![8, 25])
    );
    assert!(store.read_blocking(|tx| settings::get_json::<String>(tx, "retention")).is_err());
    assert_eq!(store.read_blocking(settings::all).expect("read").len(), 1);
}

fn a_newer_database_is_refused(fresh: &Fresh) {
    let store = fresh.open();
    write(&store, |tx| tx.execute("INSERT INTO migration (number, name, done) VALUES (99, 'later', 0)", &[]));
    drop(store);
    let refused = Store::open(&fresh.config).expect_err("newer");
    assert!(matches!(&refused, StoreError::Newer { found: 99, .. }), "{refused:?}");
    assert!(refused.mend().contains("newer program"));
}

fn jobs_of_many_threads_are_all_written(fresh: &Fresh) {
    let store = fresh.open();
    std::thread::scope(|threads| {
        for t in 0..16u32 {
            let store = &store;
            threads.spawn(move || {
                for n in 0..25 {
                    let (own, key) = (format!("e{}", t % 5), format!("{t}-{n}"));
                    write(store, move |tx| {
                        journal::append(tx, &own, at(1), &[keyed(&key)])?;
                        journal::append(tx, journal::CLINIC, at(1), &[keyed(&key)])
                    });
                }
            });
        }
    });
    let verified = store.read_blocking(journal::verify).expect("verified");
    assert_eq!((verified.streams, verified.entries, verified.fault_count), (6, 800, 0));
}
