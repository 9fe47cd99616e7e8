//! What all requests share.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, RwLock};

use handrail_spans::Problems;
use handrail_store::Store;
use jiff::Timestamp;
use jiff::civil::Date;

use crate::access::Limits;
use crate::config::Config;
use crate::content::state::InUse;
use crate::records::Loaded;

/// Episodes kept folded; the least recently used goes first.
const KEPT: usize = 2_000;

/// The server's state; cheap to clone.
#[derive(Clone)]
pub struct App(Arc<Inner>);

struct Inner {
    config: Config,
    content: RwLock<Arc<InUse>>,
    /// Held while content is read, so that one change is read once.
    reading: tokio::sync::Mutex<()>,
    limits: Limits,
    episodes: Mutex<Kept>,
}

/// Folded episodes with the moment of their last use.
#[derive(Default)]
struct Kept {
    by_id: BTreeMap<String, (u64, Arc<Loaded>)>,
    uses: u64,
}

impl App {
    /// A server with the built-in content. What the clinic itself wrote comes with
    /// [`in_use`](crate::content::state::in_use), which [`serve`](crate::serve()) calls before the first page.
    ///
    /// # Errors
    /// Mistakes in content files.
    pub fn new(config: Config) -> Result<App, Problems> {
        let content = RwLock::new(Arc::new(InUse::built_in()?));
        let (reading, limits, episodes) = Default::default();
        Ok(App(Arc::new(Inner { config, content, reading, limits, episodes })))
    }

    /// Settings of the start.
    pub fn config(&self) -> &Config {
        &self.0.config
    }

    /// Records.
    pub fn store(&self) -> &Store {
        &self.0.config.store
    }

    /// Now.
    pub fn now(&self) -> Timestamp {
        self.0.config.clock.now()
    }

    /// Today at the clinic.
    pub fn today(&self) -> Date {
        self.now().to_zoned_datetime(self.0.config.zone.clone()).date()
    }

    /// Content in use at this moment: library, words, and what was refused. A request asks once, at the gate, and uses
    /// what it got to its end ([`Desk`](crate::gate::Desk) and [`Visitor`](crate::gate::Visitor) carry it): asking again
    /// could give words that are not those of the library.
    pub fn content(&self) -> Arc<InUse> {
        self.0.content.read().unwrap_or_else(|it| it.into_inner()).clone()
    }

    /// Puts other content in its place; requests under way keep what they have.
    pub(crate) fn use_content(&self, content: Arc<InUse>) {
        *self.0.content.write().unwrap_or_else(|it| it.into_inner()) = content;
    }

    /// Lets one at a time read content.
    pub(crate) async fn reading(&self) -> tokio::sync::MutexGuard<'_, ()> {
        self.0.reading.lock().await
    }

    /// Limits on tries.
    pub fn limits(&self) -> &Limits {
        &self.0.limits
    }

    /// An episode as it was folded last.
    pub fn kept(&self, id: &str) -> Option<Arc<Loaded>> {
        let mut kept = self.0.episodes.lock().unwrap_or_else(|it| it.into_inner());
        kept.uses += 1;
        let uses = kept.uses;
        let found = kept.by_id.get_mut(id)?;
        found.0 = uses;
        Some(found.1.clone())
    }

    /// Keeps a folded episode, unless a newer one is there.
    pub fn keep(&self, loaded: Arc<Loaded>) {
        let mut kept = self.0.episodes.lock().unwrap_or_else(|it| it.into_inner());
        kept.uses += 1;
        let uses = kept.uses;
        if kept.by_id.get(&loaded.id).is_some_and(|(_, it)| it.head > loaded.head) {
            return;
        }
        kept.by_id.insert(loaded.id.clone(), (uses, loaded));
        if kept.by_id.len() > KEPT {
            // Halving now and then costs less than an order kept at each use.
            let mut ages: Vec<u64> = kept.by_id.values().map(|it| it.0).collect();
            ages.sort_unstable();
            let middle = ages[ages.len() / 2];
            kept.by_id.retain(|_, it| it.0 > middle);
        }
    }
}
