//! The encrypted way to PostgreSQL, on the server that tests/outside/postgres.py starts.

mod common;

use handrail_store::{Config, Place, Store, StoreError};

/// The store at the test server, its host and parameters replaced; `None` without a server.
fn open_at(host: &str, query: &str) -> Option<(common::Fresh, Result<Store, StoreError>)> {
    let fresh = common::postgres()?;
    let Place::Postgres(url) = &fresh.config.place else { panic!("not a URL") };
    let folder = std::env::var("HANDRAIL_TEST_POSTGRES_AUTHORITIES").expect("the authorities of the server");
    let url = format!("{}?{}", url.replace("127.0.0.1", host), query.replace("AUTHORITIES", &folder));
    let config = Config::new(Place::Postgres(url), fresh.config.key.clone());
    let opened = Store::open(&config);
    Some((fresh, opened))
}

/// How many connections of the store the server calls encrypted, and how many there are.
fn encrypted(store: &Store) -> (i64, i64) {
    let asked = store.read_blocking(|tx| {
        let sql = "SELECT count(*) FILTER (WHERE s.ssl) AS encrypted, count(*) AS all_of_them \
                   FROM pg_stat_activity a JOIN pg_stat_ssl s USING (pid) \
                   WHERE a.application_name = 'handrail' AND a.datname = current_database()";
        let rows = tx.query(sql, &[])?;
        Ok((rows[0].int("encrypted")?, rows[0].int("all_of_them")?))
    });
    asked.expect("the server tells")
}

fn untrusted(opened: Result<Store, StoreError>) -> String {
    match opened {
        Err(error @ StoreError::Untrusted { .. }) => {
            assert!(error.mend().contains("sslrootcert=FILE"));
            error.message()
        }
        Err(error) => panic!("another error: {error:?}"),
        Ok(_) => panic!("the connection was made"),
    }
}

#[test]
fn every_connection_is_encrypted_where_the_url_asks_for_it() {
    let Some((_fresh, opened)) = open_at("localhost", "sslmode=verify-full&sslrootcert=AUTHORITIES/own.pem")
    else {
        return;
    };
    let (with, all) = encrypted(&opened.expect("it opens"));
    assert!(all > 0);
    assert_eq!(with, all);
}

#[test]
fn on_this_machine_nothing_is_encrypted_unasked() {
    let Some((_fresh, opened)) = open_at("127.0.0.1", "") else { return };
    let (with, all) = encrypted(&opened.expect("it opens"));
    assert!(all > 0);
    assert_eq!(with, 0);
}

#[test]
fn a_server_of_another_authority_is_refused() {
    let Some((_fresh, opened)) = open_at("localhost", "sslrootcert=AUTHORITIES/other.pem") else { return };
    let said = untrusted(opened);
    assert!(said.contains("certificate"), "{said}");
}

#[test]
fn a_server_of_another_name_is_refused_even_where_the_url_asks_for_less() {
    let Some((_fresh, opened)) = open_at("127.0.0.1", "sslmode=require&sslrootcert=AUTHORITIES/own.pem")
    else {
        return;
    };
    let said = untrusted(opened);
    assert!(said.contains("certificate"), "{said}");
}

#[test]
fn the_machines_own_authorities_do_not_vouch_for_the_test_server() {
    let Some((_fresh, opened)) = open_at("localhost", "sslmode=require") else { return };
    untrusted(opened);
}

#[test]
fn a_database_that_is_not_there_says_where_to_look() {
    let Some(fresh) = common::postgres() else { return };
    let Place::Postgres(url) = &fresh.config.place else { panic!("not a URL") };
    let config = Config::new(Place::Postgres(format!("{url}_not")), fresh.config.key.clone());
    let Err(error) = Store::open(&config) else { panic!("it opened") };
    assert!(matches!(error, StoreError::Denied { .. }), "{error:?}");
    assert!(error.mend().contains("database's name"), "{}", error.mend());
}
