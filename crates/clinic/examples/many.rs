//! Makes a clinic of mass data for `cargo xtask bench clinic`: `many FOLDER EPISODES ENTRIES PATIENTS`.
//!
//! Accounts as in the invented clinic, so many episodes with so many entries each, written as the server writes them
//! (one transaction an episode: entries chained, then the line of the caseload), and links for some of the patients.
//! `patients.json` says what those patients know: secret of the link, date of birth, version in their hands.

use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use handrail_clinic::seed;
use handrail_demo::{Clinic, DemoEpisode, many, people};
use handrail_episode::{Episode, fold};
use handrail_library::Library;
use handrail_store::links::{self, Link};
use handrail_store::tokens::{new_id, new_secret, secret_hash};
use handrail_store::{Config, Key, Place, Store, accounts};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use serde_json::{Value, json};
use tokio::task::JoinSet;

const SEED: u64 = 20_261_128;
/// Episodes on their way to the store at a time: they share commits.
const AT_ONCE: usize = 16;

type Any = Box<dyn std::error::Error>;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let numbers: Option<Vec<usize>> = arguments.iter().skip(1).map(|it| it.parse().ok()).collect();
    let (Some(folder), Some([episodes, entries, patients])) = (arguments.first(), numbers.as_deref()) else {
        eprintln!("usage: many FOLDER EPISODES ENTRIES PATIENTS");
        return ExitCode::from(2);
    };
    match fill(Path::new(folder), *episodes, *entries, *patients) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{error}");
            ExitCode::from(1)
        }
    }
}

#[tokio::main]
async fn fill(folder: &Path, episodes: usize, entries: usize, patients: usize) -> Result<(), Any> {
    std::fs::create_dir_all(folder)?;
    let key = Key::new_file(&folder.join("clinic.key"))?;
    let store = Store::open(&Config::new(Place::Sqlite(folder.join("clinic.db")), Some(key)))?;
    let library = Arc::new(Library::built_in().map_err(|it| it.to_string())?);
    let (zone, now) = (TimeZone::system(), Timestamp::now());
    let today = now.to_zoned_datetime(zone.clone()).date();
    let people = Arc::new(people());
    let mut of_link = Vec::new();
    let mut ids = Arc::new(Vec::new());
    let mut writing = JoinSet::new();
    let every = episodes / patients.max(1);
    for (at, episode) in many(&library, today, SEED, episodes, entries).enumerate() {
        if at == 0 {
            let clinic = Clinic { people: people.to_vec(), episodes: vec![episode.clone()] };
            seed::fill(&store, &library, &clinic, today, &zone, now).await.map_err(told)?;
            ids = Arc::new(accounts_of(&store, &people).await?);
            continue;
        }
        // The one of each stretch that can write a diary.
        if of_link.len() < at / every.max(1)
            && let Some(patient) = patient_of(&episode)
        {
            of_link.push(patient);
        }
        if writing.len() >= AT_ONCE
            && let Some(done) = writing.join_next().await
        {
            done??;
        }
        let (store, library, people, ids, zone) =
            (store.clone(), library.clone(), people.clone(), ids.clone(), zone.clone());
        writing.spawn(async move {
            seed::fill_episode(&store, library, &episode, &people, &ids, today, &zone).await.map_err(told)
        });
    }
    while let Some(done) = writing.join_next().await {
        done??;
    }
    let written = with_links(&store, of_link, now).await?;
    std::fs::write(folder.join("patients.json"), serde_json::to_string(&written)?)?;
    println!("{episodes} episodes of {entries} entries, {} patients with a link", written.len());
    Ok(())
}

fn told(fault: handrail_clinic::fault::Fault) -> String {
    format!("{fault:?}")
}

/// Account ids in the order of the people.
async fn accounts_of(store: &Store, people: &[handrail_demo::Person]) -> Result<Vec<String>, Any> {
    let logins: Vec<String> = people.iter().map(|it| it.login.clone()).collect();
    let found = store
        .read(move |tx| logins.iter().map(|it| accounts::by_login(tx, it)).collect::<Result<Vec<_>, _>>())
        .await?;
    found.into_iter().map(|it| it.map(|it| it.id).ok_or_else(|| "an account is missing".into())).collect()
}

/// What a patient knows who holds a program and has a date of birth to answer with.
fn patient_of(episode: &DemoEpisode) -> Option<Value> {
    let it: Episode = fold(&episode.id, &episode.entries()).ok()?;
    let version = it.held()?.fact.1.version;
    let program = it.programs.iter().find(|it| it.version == version)?;
    let exercises: Vec<&str> = program.exercises.iter().map(|it| it.exercise.as_str()).collect();
    let born = it.patient.born.filter(|_| it.course.closed.is_none())?;
    Some(json!({ "episode": it.id, "born": born, "version": version, "exercises": exercises }))
}

/// Makes the links; adds the secrets.
async fn with_links(store: &Store, mut patients: Vec<Value>, now: Timestamp) -> Result<Vec<Value>, Any> {
    let mut made = Vec::with_capacity(patients.len());
    for patient in &mut patients {
        let secret = new_secret()?;
        let episode = patient["episode"].as_str().unwrap_or_default().to_string();
        made.push(Link {
            id: new_id()?,
            token: secret_hash(&secret),
            episode,
            created_by: "demo".into(),
            created: now,
            expires: now + SignedDuration::from_hours(90 * 24),
            revoked: None,
            tries: 0,
            last_try: None,
        });
        patient["secret"] = secret.into();
    }
    store.write(move |tx| made.iter().try_for_each(|it| links::create(tx, it))).await?;
    Ok(patients)
}
