//! From a form's facts into the journal: checked before and inside the transaction, so that what does not fit
//! changes nothing.

use std::sync::Arc;

use crate::fault::Fault;
use crate::gate::Desk;
use crate::records::{self, Check, Loaded, New};
use handrail_episode::{Entry, Episode, fold};
use handrail_library::Library;
use handrail_protocol::check_orders;
use handrail_store::StoreError;
use handrail_store::tokens::new_id;

/// The episode as it would be with facts added; every mistake in the restrictions is refused.
///
/// # Errors
/// What does not fit the protocol, with how to mend it.
pub fn with(library: &Library, before: &Loaded, facts: &[New]) -> Result<Episode, StoreError> {
    let mut entries = before.entries.clone();
    for (number, new) in (before.head + 1..).zip(facts) {
        let (fact, supersedes) = (new.fact.clone(), new.supersedes);
        entries.push(Arc::new(Entry { number, on: new.on, fact, supersedes }));
    }
    let after = fold(&before.id, &entries).map_err(|missing| {
        let what = format!("the record would lack: {}", missing.0.join(", "));
        StoreError::refused(what, "write the right facts first, then take the wrong ones back")
    })?;
    let Some(protocol) = library.protocols.get(&after.operation.protocol) else {
        let what = format!("there is no protocol `{}`", after.operation.protocol);
        return Err(StoreError::refused(what, "put the protocol back into the clinic's content"));
    };
    match check_orders(protocol, &after.orders).into_iter().next() {
        None => Ok(after),
        Some(it) => Err(StoreError::refused(format!("`{}`: {}", it.field, it.message), it.mend)),
    }
}

/// Gives facts the keys of their form, so that the same form sent twice is written once.
pub fn keyed(once: Option<&str>, mut facts: Vec<New>) -> Result<Vec<New>, Fault> {
    let once = match once.filter(|it| it.len() <= 64) {
        Some(it) => it.to_string(),
        None => new_id()?,
    };
    for (index, new) in facts.iter_mut().enumerate() {
        if new.key.is_none() {
            new.key = Some(format!("desk:{once}:{index}"));
        }
    }
    Ok(facts)
}

fn written(before: &Loaded, facts: &[New]) -> bool {
    let has = |key: &str| before.records.iter().any(|it| it.key.as_deref() == Some(key));
    facts.iter().all(|new| new.key.as_deref().is_some_and(has))
}

/// What else must hold inside the transaction.
pub type Also = Arc<dyn Fn(&Loaded) -> Result<(), StoreError> + Send + Sync>;

/// Writes facts. `seen` is the number of the last entry about restrictions that the writer saw, where it matters.
///
/// # Errors
/// What does not fit the protocol; somebody else changed the restrictions or corrected the same entry meanwhile;
/// what `also` refuses.
pub async fn add(
    desk: &Desk,
    id: &str,
    facts: Vec<New>,
    seen: Option<u64>,
    also: Option<Also>,
) -> Result<Arc<Loaded>, Fault> {
    let (library, planned) = (desk.library().clone(), facts.clone());
    let check: Check = Arc::new(move |before: &Loaded| {
        if written(before, &planned) {
            return Ok(());
        }
        let changed = before.episode.orders_changed.map_or(0, |it| it.0);
        if let Some(seen) = seen
            && seen != changed
        {
            return Err(StoreError::Conflict { stream: before.id.clone(), expected: seen, head: changed });
        }
        for number in planned.iter().filter_map(|it| it.supersedes) {
            if before.entries.iter().any(|it| it.supersedes == Some(number)) {
                return Err(StoreError::Conflict {
                    stream: before.id.clone(),
                    expected: number,
                    head: before.head,
                });
            }
        }
        if let Some(also) = &also {
            also(before)?;
        }
        with(&library, before, &planned).map(|_| ())
    });
    match records::write(&desk.app, id, records::author(desk), facts, Some(check)).await {
        Err(Fault::Store(StoreError::Conflict { head, .. })) => {
            let loaded = records::load(&desk.app, id).await?;
            let who = loaded.record(head).map_or_else(String::new, |it| it.by.name.clone());
            let args = [("number", (head as f64).into()), ("who", who.into())];
            Err(Fault::Conflict(desk.words().text("c-record-changed-by", &args)))
        }
        other => other,
    }
}

/// A fault of the writing as sentences on the form; others stay faults.
///
/// # Errors
/// Everything that is not about what was typed.
pub fn as_wrong(desk: &Desk, fault: Fault) -> Result<Vec<(String, String)>, Fault> {
    match fault {
        Fault::Refused { message, mend } => Ok(vec![(message, mend)]),
        Fault::Conflict(what) => Ok(vec![(
            desk.words().text("c-fault-conflict", &[("what", what.into())]),
            desk.say("c-record-look-again"),
        )]),
        other => Err(other),
    }
}

/// Number of the first of the written facts.
pub fn number_of(loaded: &Loaded, facts: &[New]) -> u64 {
    let key = facts.first().and_then(|it| it.key.as_deref());
    loaded.records.iter().rev().find(|it| it.key.as_deref() == key).map_or(loaded.head, |it| it.number)
}

/// Whether a form with this key has been written already.
pub fn is_written(loaded: &Loaded, once: Option<&str>) -> bool {
    let Some(once) = once else { return false };
    let key = format!("desk:{once}:0");
    loaded.records.iter().any(|it| it.key.as_deref() == Some(&key))
}
