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

/// Entries of folded episodes that are kept, so many that the server stays under 300 MB (`cargo xtask bench clinic`).
/// The least recently used episodes go first.
const KEPT: usize = 30_000;

/// The server's state; cheap to clone.
#[derive(Clone)]
pub struct App(Arc<Inner>);

struct Inner {
    config: Config,
    content: RwLock<Arc<InUse>>,
    /// Held while content is read, so that one change is read once.
    reading: tokio::sync::Mutex<()>,
    limits: Limits,
    episodes: Mutex<Kept<Arc<Loaded>>>,
}

/// What is kept of episodes, until it is too much: the least recently used goes first.
struct Kept<T> {
    by_id: BTreeMap<String, KeptOne<T>>,
    uses: u64,
    /// Entries of all of them.
    entries: usize,
}

struct KeptOne<T> {
    used: u64,
    head: u64,
    entries: usize,
    value: T,
}

impl<T> Default for Kept<T> {
    fn default() -> Self {
        Kept { by_id: BTreeMap::new(), uses: 0, entries: 0 }
    }
}

impl<T: Clone> Kept<T> {
    fn get(&mut self, id: &str) -> Option<T> {
        self.uses += 1;
        let found = self.by_id.get_mut(id)?;
        found.used = self.uses;
        Some(found.value.clone())
    }

    /// Keeps `value`, which holds `entries` up to number `head`, unless a newer one is there.
    fn put(&mut self, id: &str, head: u64, entries: usize, value: T) {
        self.uses += 1;
        if self.by_id.get(id).is_some_and(|it| it.head > head) {
            return;
        }
        self.entries += entries;
        let new = KeptOne { used: self.uses, head, entries, value };
        if let Some(before) = self.by_id.insert(id.to_owned(), new) {
            self.entries -= before.entries;
        }
        if self.entries > KEPT {
            self.let_go(KEPT / 2);
        }
    }

    /// Lets the least recently used go until `most` entries are left; the last used stays, whatever its size. Halving
    /// now and then costs less than an order kept at each use.
    fn let_go(&mut self, most: usize) {
        let mut ages: Vec<(u64, String)> = self.by_id.iter().map(|(id, it)| (it.used, id.clone())).collect();
        ages.sort_unstable();
        ages.pop();
        for (_, id) in ages {
            if self.entries <= most {
                break;
            }
            if let Some(gone) = self.by_id.remove(&id) {
                self.entries -= gone.entries;
            }
        }
    }
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
        self.0.episodes.lock().unwrap_or_else(|it| it.into_inner()).get(id)
    }

    /// Keeps a folded episode, unless a newer one is there.
    pub fn keep(&self, loaded: Arc<Loaded>) {
        let mut kept = self.0.episodes.lock().unwrap_or_else(|it| it.into_inner());
        kept.put(&loaded.id, loaded.head, loaded.entries.len(), loaded.clone());
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_least_recently_used_go_and_the_sum_holds() {
        let mut kept = Kept::default();
        for n in 0..8 {
            kept.put(&n.to_string(), 1, KEPT / 8, n);
        }
        assert_eq!(kept.entries, KEPT);
        assert_eq!(kept.get("0"), Some(0));
        kept.put("8", 1, 1, 8);
        assert!(kept.entries <= KEPT / 2);
        assert_eq!(kept.entries, kept.by_id.values().map(|it| it.entries).sum::<usize>());
        assert_eq!((kept.get("1"), kept.get("0"), kept.get("8")), (None, Some(0), Some(8)));
    }

    #[test]
    fn a_newer_episode_is_never_replaced_by_an_older_one() {
        let mut kept = Kept::default();
        kept.put("a", 7, 70, "new");
        kept.put("a", 5, 50, "old");
        assert_eq!((kept.get("a"), kept.entries), (Some("new"), 70));
        kept.put("a", 9, 90, "newer");
        assert_eq!((kept.get("a"), kept.entries), (Some("newer"), 90));
    }

    #[test]
    fn one_that_is_too_large_alone_is_kept_until_the_next() {
        let mut kept = Kept::default();
        kept.put("a", 1, 10, 'a');
        kept.put("b", 1, KEPT + 1, 'b');
        assert_eq!((kept.get("a"), kept.get("b")), (None, Some('b')));
        kept.put("c", 1, 1, 'c');
        assert_eq!((kept.get("b"), kept.get("c"), kept.entries), (None, Some('c'), 1));
    }
}
