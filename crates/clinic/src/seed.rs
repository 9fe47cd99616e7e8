//! Puts the invented clinic of the room `demo` into empty records.

use handrail_demo::{Clinic as DemoClinic, DemoEntry, DemoEpisode, Person, Who};
use handrail_library::Library;
use handrail_store::accounts::NewAccount;
use handrail_store::journal::{self, Author, NewRecord};
use handrail_store::{Store, accounts};
use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;

use crate::fault::Fault;
use crate::numbers::{self, Numbers};
use crate::passwords;
use crate::people::audit;
use crate::records::{self, New};

/// Password of every invented account; it opens nothing but invented records.
pub const PASSWORD: &str = "four calm blue herons";

/// Writes accounts and episodes; `store` must be empty.
///
/// # Errors
/// Database errors; a record that does not fold.
pub async fn fill(
    store: &Store,
    library: &std::sync::Arc<Library>,
    clinic: &DemoClinic,
    today: Date,
    zone: &TimeZone,
    now: Timestamp,
) -> Result<(), Fault> {
    let password = passwords::hash(PASSWORD)?;
    let mut ids = Vec::new();
    for person in &clinic.people {
        let account = NewAccount {
            login: person.login.clone(),
            name: person.name.clone(),
            title: person.title.clone(),
            role: person.role.clone(),
            password: password.clone(),
        };
        let made = store
            .write(move |tx| {
                let made = accounts::create(tx, &account, now)?;
                audit(tx, now, "demo", "account", &format!("{} created as {}", account.login, account.role))?;
                Ok(made.id)
            })
            .await?;
        ids.push(made);
    }
    // The numbers of the first patient's sheets are the clinic's.
    let first = clinic.episodes.iter().flat_map(|it| it.entries()).find_map(|it| match it.fact {
        handrail_episode::Fact::Clinic(clinic) => Some(clinic),
        _ => None,
    });
    if let Some(it) = first {
        let numbers = Numbers {
            name: it.name,
            phone: it.phone,
            out_of_hours: it.out_of_hours,
            emergency: it.emergency,
        };
        store.write(move |tx| numbers::write(tx, &numbers)).await?;
    }
    for episode in &clinic.episodes {
        fill_episode(store, library.clone(), episode, &clinic.people, &ids, today, zone).await?;
    }
    Ok(())
}

/// Writes one episode and its line of the caseload.
///
/// # Errors
/// As [`fill`].
pub async fn fill_episode(
    store: &Store,
    library: std::sync::Arc<Library>,
    episode: &DemoEpisode,
    people: &[Person],
    ids: &[String],
    today: Date,
    zone: &TimeZone,
) -> Result<(), Fault> {
    let patient = episode.entries().into_iter().find_map(|it| match it.fact {
        handrail_episode::Fact::Patient(patient) => Some(patient.name),
        _ => None,
    });
    let patient = patient.unwrap_or_default();
    let author = |who: Who| match who {
        Who::Person(at) => Author { id: ids[at].clone(), name: people[at].signature() },
        Who::Patient => Author { id: "patient:demo".into(), name: patient.clone() },
    };
    let record = |it: &DemoEntry| -> Result<(Timestamp, NewRecord), Fault> {
        let at = it
            .recorded
            .to_zoned_datetime(zone.clone())
            .map_err(|error| Fault::Internal(format!("time: {error}")))?
            .timestamp();
        let new = New { on: it.on, fact: it.fact.clone(), supersedes: it.supersedes, key: None };
        Ok((at, records::to_record(&author(it.by), &new)?))
    };
    let entries: Vec<(Timestamp, NewRecord)> =
        episode.entries.iter().map(record).collect::<Result<_, _>>()?;
    let id = episode.id.clone();
    store
        .write(move |tx| {
            for (at, record) in &entries {
                journal::append(tx, &id, *at, std::slice::from_ref(record))?;
            }
            let loaded = records::current(tx, &id, None)?;
            records::put_summary(tx, &loaded, &library, today)
        })
        .await
        .map_err(Fault::from)
}
