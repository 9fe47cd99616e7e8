//! Serves the invented clinic on loopback, for looking at pages: `cargo run --release -p handrail-clinic --example
//! desk -- PORT`. The records live in a temporary folder and are gone afterwards.

use std::sync::Arc;

use handrail_clinic::routes::table;
use handrail_clinic::{Clock, Config, Listen, seed, serve};
use handrail_library::Library;
use handrail_store::{Config as StoreConfig, Key, Place, Store};
use jiff::Timestamp;
use jiff::tz::TimeZone;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let port = std::env::args().nth(1).and_then(|it| it.parse().ok()).unwrap_or(8471);
    let folder = tempfile::tempdir()?;
    let place = Place::Sqlite(folder.path().join("clinic.db"));
    let store = Store::open(&StoreConfig::new(place, Some(Key::random().map_err(|it| it.message())?)))
        .map_err(|it| it.message())?;
    let library = Arc::new(Library::built_in()?);
    let (zone, now) = (TimeZone::UTC, Timestamp::now());
    let today = now.to_zoned_datetime(zone.clone()).date();
    let clinic = handrail_demo::clinic(&library, today, 1)?;
    tokio::runtime::Runtime::new()?.block_on(async {
        seed::fill(&store, &library, &clinic, today, &zone, now).await.map_err(|it| format!("{it:?}"))?;
        let config =
            Config { store, listen: Listen::loopback(port), clock: Clock::system(), zone, content: None };
        let routes = table();
        println!("http://127.0.0.1:{port}/  login ines, password {}", seed::PASSWORD);
        serve(config, routes, |_| {}, async { tokio::signal::ctrl_c().await.unwrap_or(()) })
            .await
            .map_err(|it| it.to_string())
    })?;
    Ok(())
}
