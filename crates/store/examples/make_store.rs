//! Makes an encrypted store for checks from outside: `make_store DATABASE KEY_FILE ENTRIES`. The key file is made too.

use std::path::Path;

use handrail_store::journal::{self, Author, NewRecord};
use handrail_store::{Config, Key, Place, Store, StoreError};
use jiff::Timestamp;

fn main() -> Result<(), StoreError> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [database, key_file, entries] = arguments.as_slice() else {
        eprintln!("usage: make_store DATABASE KEY_FILE ENTRIES");
        std::process::exit(2);
    };
    let entries: u64 = entries.parse().expect("a number of entries");
    let key = Key::new_file(Path::new(key_file))?;
    let store = Store::open(&Config::new(Place::parse(database), Some(key)))?;
    store.write_blocking(move |tx| {
        for n in 0..entries {
            let new = NewRecord {
                on: jiff::civil::date(2026, 11, 25),
                by: Author { id: "t1".into(), name: "Ines Abad, PT".into() },
                kind: "note".into(),
                form: 1,
                payload: format!("{{\"text\": \"an invented note, number {n}\"}}"),
                supersedes: None,
                key: Some(format!("key-{n}")),
            };
            journal::append(tx, &format!("e{}", n % 10), Timestamp::now(), &[new])?;
        }
        Ok(())
    })?;
    let verified = store.read_blocking(journal::verify)?;
    println!("{} streams, {} entries, digest {}", verified.streams, verified.entries, verified.digest);
    Ok(())
}
