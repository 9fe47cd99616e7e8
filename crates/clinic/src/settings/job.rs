//! Work that may take longer than an answer may: it goes on when the browser is gone, and one of a kind at a time.

use std::collections::BTreeSet;
use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use crate::App;
use crate::fault::Fault;

/// How long an answer waits for the work; shorter than the server's own limit.
const PATIENCE: Duration = Duration::from_secs(15);

/// What is being worked on, by place of the records and kind of work.
static UNDER_WAY: Mutex<BTreeSet<String>> = Mutex::new(BTreeSet::new());

/// The turn to do one kind of work; given back when dropped.
pub(crate) struct Turn(String);

impl Turn {
    /// Takes the turn, or `None` when the same work is under way in this process.
    pub fn take(app: &App, kind: &str) -> Option<Turn> {
        let name = format!("{kind} {}", app.store().place());
        let mut under_way = UNDER_WAY.lock().unwrap_or_else(PoisonError::into_inner);
        under_way.insert(name.clone()).then_some(Turn(name))
    }

    /// Whether the work is under way.
    pub fn is_taken(app: &App, kind: &str) -> bool {
        let under_way = UNDER_WAY.lock().unwrap_or_else(PoisonError::into_inner);
        under_way.contains(&format!("{kind} {}", app.store().place()))
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        UNDER_WAY.lock().unwrap_or_else(PoisonError::into_inner).remove(&self.0);
    }
}

/// Does the work and waits for it a while; `None` when it goes on by itself.
///
/// # Errors
/// Those of the work, as long as somebody waits; later ones are in the server's log.
pub(crate) async fn run<T: Send + 'static>(
    turn: Turn,
    work: impl Future<Output = Result<T, Fault>> + Send + 'static,
) -> Result<Option<T>, Fault> {
    let task = tokio::spawn(async move {
        let done = work.await;
        if let Err(fault) = &done {
            tracing::warn!("{}: {fault:?}", turn.0);
        }
        drop(turn);
        done
    });
    match tokio::time::timeout(PATIENCE, task).await {
        Ok(Ok(done)) => done.map(Some),
        Ok(Err(error)) => Err(Fault::Internal(format!("work: {error}"))),
        Err(_) => Ok(None),
    }
}
