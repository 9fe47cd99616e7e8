//! Backups of both databases, restored into both.

mod common;

use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

use common::{Fresh, at, keyed, write};
use handrail_store::caseload::{self, Summary};
use handrail_store::{
    Config, Key, Place, Store, StoreError, accounts, backup, content, journal, links, sessions, settings,
};

on_both!(
    a_backup_restores_into_a_file,
    a_backup_restores_into_the_other_database,
    a_backup_is_made_while_others_write,
    nothing_is_overwritten,
    a_damaged_backup_is_not_restored,
);

fn fill(store: &Store) {
    write(store, |tx| {
        for n in 0..57u64 {
            let episode = format!("e{n}");
            let keys: Vec<_> = (0..n % 7 + 1).map(|k| keyed(&format!("k{k}"))).collect();
            let done = journal::append(tx, &episode, at(1), &keys)?;
            let summary = Summary {
                episode,
                therapist: "t1".into(),
                name: format!("Name {n}"),
                born: None,
                record: None,
                protocol: "acl".into(),
                open: true,
                updated: at(2),
                head: done.len() as u64,
                body: "{}".into(),
            };
            let row = caseload::AttentionRow {
                reason: "pain".into(),
                rank: 3,
                from_day: "2026-11-01".into(),
                until_day: None,
                detail: "{}".into(),
                entry: Some(1),
            };
            caseload::put(tx, &summary, &[row])?;
        }
        let new = accounts::NewAccount {
            login: "ines".into(),
            name: "Ines Abad".into(),
            role: "lead".into(),
            title: "PT".into(),
            password: "$x".into(),
        };
        let account = accounts::create(tx, &new, at(0))?.id;
        let session = sessions::Session {
            token: [1; 32],
            account,
            kind: "full".into(),
            csrf: "c".into(),
            created: at(0),
            last_seen: at(0),
            ends: at(1_000_000),
        };
        sessions::create(tx, &session)?;
        let link = links::Link {
            id: "l1".into(),
            token: [2; 32],
            episode: "e1".into(),
            created_by: "t1".into(),
            created: at(0),
            expires: at(9),
            revoked: None,
            tries: 2,
            last_try: None,
        };
        links::create(tx, &link)?;
        let by = journal::Author { id: "t1".into(), name: "Ines".into() };
        content::save(tx, ("exercise", "x"), 0, ("text", "draft"), &by, at(1))?;
        settings::put(tx, "clinic", "{\"name\": \"Clínica\"}")
    });
}

/// What a restored clinic must agree in, as text.
fn facts(store: &Store) -> String {
    store
        .read_blocking(|tx| {
            let verified = journal::verify(tx)?;
            let today = caseload::today(tx, "2026-11-25", None, 100, 0)?;
            Ok(format!(
                "{verified:?} {:?} {today:?} {:?} {:?} {:?} {:?}",
                journal::streams(tx)?,
                accounts::list(tx)?
                    .iter()
                    .map(|a| (a.id.clone(), a.password.clone(), a.created))
                    .collect::<Vec<_>>(),
                links::of_episode(tx, "e1")?,
                content::all_newest(tx)?,
                settings::all(tx)?,
            ))
        })
        .expect("read")
}

fn a_backup_restores_into_a_file(fresh: &Fresh) {
    let store = fresh.open();
    fill(&store);
    let file = fresh.folder.path().join("one.backup");
    let made = backup::backup(&store, &file).expect("made");
    assert_eq!(made, store.read_blocking(journal::verify).expect("verified"));
    assert_eq!(backup::check_pages(&file, &fresh.key()), Ok(Vec::new()));
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        assert_eq!(
            std::fs::metadata(&file).expect("there").permissions().mode() & 0o077,
            0,
            "only its owner reads it"
        );
    }
    let left = |folder: &std::path::Path| {
        let names = std::fs::read_dir(folder)
            .expect("read")
            .map(|e| e.expect("entry").file_name().into_string().expect("text"));
        names.filter(|n| n.contains("partial") || n.starts_with("one.backup-")).collect::<Vec<_>>()
    };
    assert_eq!(left(fresh.folder.path()), [] as [&str; 0]);
    // Under the same key and under another one.
    for (name, key) in [("same", fresh.key()), ("other", Key::random().expect("random"))] {
        let to = Config::new(Place::Sqlite(fresh.folder.path().join(name)), Some(key));
        assert_eq!(backup::restore(&file, &fresh.key(), &to), Ok(made.clone()));
        let restored = Store::open_existing(&to).expect("opens");
        assert_eq!(facts(&restored), facts(&store));
        let session = restored.read_blocking(|tx| sessions::find(tx, &[1; 32], at(1))).expect("read");
        assert_eq!(session, None, "everybody signs in again");
        // It goes on where the backup was made.
        let next = write(&restored, |tx| journal::append(tx, "e0", at(5), &[keyed("k0"), keyed("new")]));
        assert_eq!(next.iter().map(|d| (d.number, d.already)).collect::<Vec<_>>(), [(1, true), (2, false)]);
        let guarded = restored.write_blocking(|tx| tx.execute("DELETE FROM entry", &[]));
        assert!(matches!(guarded, Err(StoreError::Rule { .. })));
    }
}

fn a_backup_restores_into_the_other_database(fresh: &Fresh) {
    let Some(server) = common::postgres() else { return };
    let store = fresh.open();
    fill(&store);
    let file = fresh.folder.path().join("one.backup");
    let made = backup::backup(&store, &file).expect("made");
    assert_eq!(backup::restore(&file, &fresh.key(), &server.config), Ok(made.clone()));
    let restored = server.open();
    assert_eq!(facts(&restored), facts(&store));
    // And back again.
    let second = fresh.folder.path().join("two.backup");
    assert_eq!(backup::backup(&restored, &second).expect("made"), made);
    let full = backup::restore(&file, &fresh.key(), &server.config);
    assert!(matches!(full, Err(StoreError::NotEmpty { .. })), "{full:?}");
}

fn a_backup_is_made_while_others_write(fresh: &Fresh) {
    let store = fresh.open();
    fill(&store);
    let stop = AtomicBool::new(false);
    let mut slowest = Duration::ZERO;
    let mut written = 0u64;
    std::thread::scope(|threads| {
        let writer = threads.spawn(|| {
            let (mut slowest, mut n) = (Duration::ZERO, 0u64);
            while !stop.load(Ordering::SeqCst) {
                let begun = Instant::now();
                write(&store, move |tx| journal::append(tx, "busy", at(1), &[keyed(&format!("b{n}"))]));
                slowest = slowest.max(begun.elapsed());
                n += 1;
            }
            (slowest, n)
        });
        let mut last = 0;
        for n in 0..5 {
            let file = fresh.folder.path().join(format!("busy-{n}"));
            let made = backup::backup(&store, &file).expect("made");
            assert!(made.is_whole());
            assert!(made.entries >= last, "a later backup has no less");
            last = made.entries;
            std::thread::sleep(Duration::from_millis(30));
        }
        stop.store(true, Ordering::SeqCst);
        (slowest, written) = writer.join().expect("no panic");
    });
    eprintln!("{written} entries while 5 backups were made, the slowest took {slowest:?}");
    assert!(written > 20);
    assert!(slowest < Duration::from_secs(2));
}

fn nothing_is_overwritten(fresh: &Fresh) {
    let store = fresh.open();
    fill(&store);
    let file = fresh.folder.path().join("one.backup");
    std::fs::write(&file, "precious").expect("written");
    assert_eq!(backup::backup(&store, &file), Err(StoreError::Exists { path: file.clone() }));
    assert_eq!(std::fs::read_to_string(&file).expect("read"), "precious");
    let good = fresh.folder.path().join("good.backup");
    backup::backup(&store, &good).expect("made");
    let to = Config::new(Place::Sqlite(file.clone()), Some(fresh.key()));
    assert_eq!(backup::restore(&good, &fresh.key(), &to), Err(StoreError::Exists { path: file.clone() }));
    assert_eq!(std::fs::read_to_string(&file).expect("read"), "precious");
    let nowhere = backup::backup(&store, &fresh.folder.path().join("no/such/folder"));
    assert!(matches!(nowhere, Err(StoreError::CannotOpen { .. })), "{nowhere:?}");
}

fn a_damaged_backup_is_not_restored(fresh: &Fresh) {
    let store = fresh.open();
    fill(&store);
    let file = fresh.folder.path().join("one.backup");
    backup::backup(&store, &file).expect("made");
    let to = Config::new(Place::Sqlite(fresh.folder.path().join("new")), Some(fresh.key()));
    let wrong = backup::restore(&file, &Key::random().expect("random"), &to);
    assert!(matches!(wrong, Err(StoreError::WrongKey { .. })), "{wrong:?}");

    // An entry changed by somebody with the key.
    let changed = fresh.folder.path().join("changed");
    std::fs::copy(&file, &changed).expect("copied");
    let other = Store::open(&Config::new(Place::Sqlite(changed.clone()), Some(fresh.key()))).expect("opens");
    write(&other, |tx| {
        tx.execute("DROP TRIGGER entry_unchanged", &[])?;
        tx.execute("UPDATE entry SET payload = 'nothing happened' WHERE stream = 'e9' AND number = 2", &[])
    });
    drop(other);
    let refused = backup::restore(&changed, &fresh.key(), &to).expect_err("changed");
    assert!(
        matches!(&refused, StoreError::NotVerified { detail, .. } if detail.contains("e9 entry 2")),
        "{refused:?}"
    );

    // A page damaged by the disk.
    let mut bytes = std::fs::read(&file).expect("read");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 1;
    let torn = fresh.folder.path().join("torn");
    std::fs::write(&torn, &bytes).expect("written");
    let refused = backup::restore(&torn, &fresh.key(), &to);
    assert!(matches!(refused, Err(StoreError::Corrupt { .. })), "{refused:?}");

    // Cut off.
    std::fs::write(&torn, &bytes[..bytes.len() / 3]).expect("written");
    let refused = backup::restore(&torn, &fresh.key(), &to);
    assert!(refused.is_err(), "{refused:?}");
    let names: Vec<_> = std::fs::read_dir(fresh.folder.path())
        .expect("read")
        .map(|e| e.expect("entry").file_name())
        .collect();
    assert!(!names.iter().any(|n| n == "new" || n.to_string_lossy().contains("partial")), "{names:?}");
}
