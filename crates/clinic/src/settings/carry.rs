//! Brings a change of the clinic's numbers, or of a therapist's name, to the open episodes.
//!
//! Each gets a new fact `clinic`, so that sheets made from now on carry it. Sheets that patients hold are as they were
//! printed. Episodes that say the same already are left alone, so that the work can be done again after a stop.

use std::sync::Arc;

use crate::App;
use crate::fault::Fault;
use crate::numbers::Numbers;
use crate::records::{self, New};
use handrail_episode::{Clinic, Fact};
use handrail_store::journal::Author;
use handrail_store::{StoreError, Tx, caseload, settings};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// Setting with how far the last change has come.
const NAME: &str = "clinic-carried";
/// Kind of work, for the turn.
pub(crate) const WORK: &str = "carry";

/// What changes.
#[derive(Clone, Debug)]
pub(crate) enum Change {
    /// Name and numbers of the clinic.
    Numbers(Numbers),
    /// A therapist is called otherwise.
    Therapist {
        /// As before.
        was: String,
        /// From now on.
        is: String,
    },
}

impl Change {
    /// The clinic of an episode after the change.
    fn of(&self, clinic: &Clinic) -> Clinic {
        match self {
            Change::Numbers(numbers) => numbers.fact(&clinic.therapist),
            Change::Therapist { was, is } if clinic.therapist == *was => {
                Clinic { therapist: is.clone(), ..clinic.clone() }
            }
            Change::Therapist { .. } => clinic.clone(),
        }
    }

    fn therapist(&self) -> Option<String> {
        match self {
            Change::Numbers(_) => None,
            Change::Therapist { was, .. } => Some(was.clone()),
        }
    }
}

/// How far a change of the numbers has come.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(crate) struct Carried {
    /// When it began.
    pub began: Timestamp,
    /// When it was through; `None` while it is under way, or when it was stopped.
    pub ended: Option<Timestamp>,
    /// Episodes that got the change.
    pub changed: u64,
    /// Episodes that could not be written.
    pub failed: u64,
}

/// The last change of the numbers.
///
/// # Errors
/// Database errors.
pub(crate) fn last(tx: &mut dyn Tx) -> Result<Option<Carried>, StoreError> {
    settings::get_json(tx, NAME)
}

/// Notes in the transaction of the change itself that the episodes have still to follow.
///
/// # Errors
/// Database errors.
pub(crate) fn begin(tx: &mut dyn Tx, now: Timestamp) -> Result<(), StoreError> {
    settings::put_json(tx, NAME, &Carried { began: now, ended: None, changed: 0, failed: 0 })
}

/// Writes the change into the open episodes.
///
/// # Errors
/// Database errors before the first episode; those of single episodes are counted.
pub(crate) async fn carry(app: &App, by: &Author, change: &Change) -> Result<Carried, Fault> {
    let (began, whose) = (app.now(), change.therapist());
    let episodes = app.store().read(move |tx| caseload::open_episodes(tx, whose.as_deref())).await?;
    let mut carried = Carried { began, ended: None, changed: 0, failed: 0 };
    for id in episodes {
        match carry_one(app, by, &id, change).await {
            Ok(written) => carried.changed += u64::from(written),
            Err(fault) => {
                tracing::warn!("{id}: the clinic's data were not written: {fault:?}");
                carried.failed += 1;
            }
        }
    }
    carried.ended = Some(app.now());
    if matches!(change, Change::Numbers(_)) {
        let done = carried.clone();
        app.store().write(move |tx| settings::put_json(tx, NAME, &done)).await?;
    }
    Ok(carried)
}

/// One episode; answers whether anything was written.
async fn carry_one(app: &App, by: &Author, id: &str, change: &Change) -> Result<bool, Fault> {
    let loaded = records::load(app, id).await?;
    let before = loaded.episode.clinic.clone();
    let after = change.of(&before);
    if after == before {
        return Ok(false);
    }
    // Somebody may hand the patient to another therapist at this moment: theirs stays.
    let check: records::Check = Arc::new(move |now| {
        if now.episode.clinic == before {
            return Ok(());
        }
        Err(StoreError::refused("the episode was changed meanwhile", "write the numbers again"))
    });
    records::write(app, id, by.clone(), vec![New::fact(app.today(), Fact::Clinic(after))], Some(check))
        .await?;
    Ok(true)
}
