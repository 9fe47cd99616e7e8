//! A fresh store on each database. PostgreSQL is used when HANDRAIL_TEST_POSTGRES holds a URL whose account may make
//! databases: `python tests/outside/postgres.py cargo test --release -p handrail-store`.
#![allow(dead_code)]

use handrail_store::journal::{Author, NewRecord};
use handrail_store::{Config, Key, Place, Store, StoreError, Tx};
use jiff::Timestamp;

/// A place that has nothing yet; removed at the end of the test.
pub struct Fresh {
    pub config: Config,
    pub folder: tempfile::TempDir,
    made: Option<(String, String)>,
}

impl Fresh {
    pub fn open(&self) -> Store {
        Store::open(&self.config).expect("the fresh place opens")
    }

    pub fn key(&self) -> Key {
        self.config.key.clone().expect("every test place has a key")
    }

    /// The file of an SQLite place.
    pub fn path(&self) -> std::path::PathBuf {
        match &self.config.place {
            Place::Sqlite(path) => path.clone(),
            Place::Postgres(_) => panic!("not a file"),
        }
    }
}

impl Drop for Fresh {
    fn drop(&mut self) {
        if let Some((admin, name)) = &self.made {
            let mut client = postgres::Client::connect(admin, postgres::NoTls).expect("the server is there");
            client.batch_execute(&format!("DROP DATABASE {name} WITH (FORCE)")).expect("dropped");
        }
    }
}

pub fn sqlite() -> Fresh {
    let folder = tempfile::tempdir().expect("a folder");
    let place = Place::Sqlite(folder.path().join("clinic.db"));
    Fresh { config: Config::new(place, Some(Key::random().expect("random"))), folder, made: None }
}

/// A new database on the server that the environment names; none says so and leaves the test out.
pub fn postgres() -> Option<Fresh> {
    let Ok(admin) = std::env::var("HANDRAIL_TEST_POSTGRES") else {
        eprintln!("left out: HANDRAIL_TEST_POSTGRES is not set (see tests/outside/postgres.py)");
        return None;
    };
    let name = format!("test_{}", handrail_store::tokens::new_id().expect("random"));
    let mut client = postgres::Client::connect(&admin, postgres::NoTls).expect("the server is there");
    client.batch_execute(&format!("CREATE DATABASE {name}")).expect("made");
    let (front, _) = admin.rsplit_once('/').expect("a URL with a database");
    let place = Place::Postgres(format!("{front}/{name}"));
    let config = Config::new(place, Some(Key::random().expect("random")));
    Some(Fresh { config, folder: tempfile::tempdir().expect("a folder"), made: Some((admin, name)) })
}

/// Makes of `fn name(fresh: &Fresh)` one test for each database.
#[macro_export]
macro_rules! on_both {
    ($($name:ident),* $(,)?) => {
        mod sqlite { $( #[test] fn $name() { super::$name(&super::common::sqlite()); } )* }
        mod postgres { $( #[test] fn $name() { if let Some(fresh) = super::common::postgres() { super::$name(&fresh); } } )* }
    };
}

pub fn record(payload: &str) -> NewRecord {
    NewRecord {
        on: jiff::civil::date(2026, 11, 25),
        by: Author { id: "t1".into(), name: "Ines Abad, PT".into() },
        kind: "note".into(),
        form: 1,
        payload: payload.into(),
        supersedes: None,
        key: None,
    }
}

pub fn keyed(key: &str) -> NewRecord {
    NewRecord { key: Some(key.into()), ..record(key) }
}

pub fn at(ms: i64) -> Timestamp {
    Timestamp::from_millisecond(1_795_000_000_000 + ms).expect("a moment")
}

/// Writes with a closure that only borrows.
pub fn write<T: Send + 'static>(
    store: &Store,
    job: impl FnMut(&mut dyn Tx) -> Result<T, StoreError> + Send + 'static,
) -> T {
    store.write_blocking(job).expect("written")
}
