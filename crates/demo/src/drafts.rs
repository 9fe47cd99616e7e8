//! Entries on their way: they refer to each other before their numbers are known.

use handrail_episode::{Entry, Episode, Fact, fold};
use jiff::civil::{Date, DateTime};

use crate::{DemoEntry, Who};

/// A draft, by the order in which it was written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Key(usize);

struct Draft {
    entry: DemoEntry,
    supersedes: Option<Key>,
    about: Option<Key>,
}

/// The drafts of one episode.
#[derive(Default)]
pub(crate) struct Drafts(Vec<Draft>);

impl Drafts {
    /// Adds an entry.
    pub fn add(&mut self, on: Date, recorded: DateTime, by: Who, fact: Fact) -> Key {
        self.0.push(Draft {
            entry: DemoEntry { on, recorded, by, fact, supersedes: None },
            supersedes: None,
            about: None,
        });
        Key(self.0.len() - 1)
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Says that an entry stands in the place of another.
    pub fn supersede(&mut self, new: Key, old: Key) {
        self.0[new.0].supersedes = Some(old);
    }

    /// Says what a contact is about.
    pub fn about(&mut self, contact: Key, entry: Key) {
        self.0[contact.0].about = Some(entry);
    }

    /// The episode as it stands so far; `None` while facts are missing.
    pub fn episode(&self) -> Option<Episode> {
        let entries: Vec<Entry> = self.finish().into_iter().zip(1u64..).map(numbered).collect();
        fold("", &entries).ok()
    }

    /// The entries in the order recorded, with their numbers put in.
    pub fn finish(&self) -> Vec<DemoEntry> {
        let mut order: Vec<usize> = (0..self.0.len()).collect();
        order.sort_by_key(|&it| (self.0[it].entry.recorded, it));
        let mut numbers = vec![0u64; self.0.len()];
        for (number, &at) in (1u64..).zip(&order) {
            numbers[at] = number;
        }
        let number = |key: Option<Key>| key.map(|it| numbers[it.0]);
        let finished = order.iter().map(|&at| {
            let draft = &self.0[at];
            let mut entry = draft.entry.clone();
            entry.supersedes = number(draft.supersedes);
            if let (Fact::Contact(contact), Some(about)) = (&mut entry.fact, number(draft.about)) {
                contact.about = about;
            }
            entry
        });
        finished.collect()
    }
}

fn numbered((it, number): (DemoEntry, u64)) -> Entry {
    Entry { number, on: it.on, fact: it.fact, supersedes: it.supersedes }
}
