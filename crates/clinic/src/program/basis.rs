//! Which entries a program is planned on, and who wrote new ones since.

use std::sync::Arc;

use crate::records::Loaded;
use handrail_episode::{Entry, Fact};

/// Number of the newest entry that can change a verdict: body, home, operation, orders, acts, overrides, and
/// whatever was corrected or taken back.
pub fn limits_number(loaded: &Loaded) -> u64 {
    newest(loaded, is_about_limits)
}

/// Number of the newest entry that a form about the program is based on: the same, and program versions.
pub fn plan_number(loaded: &Loaded) -> u64 {
    newest(loaded, is_about_plan)
}

/// Entries about program or limits after the one that a form is based on, oldest first.
pub fn since(loaded: &Loaded, seen: u64) -> Vec<&Entry> {
    loaded.entries.iter().map(Arc::as_ref).filter(|it| it.number > seen && is_about_plan(it)).collect()
}

fn newest(loaded: &Loaded, which: impl Fn(&Entry) -> bool) -> u64 {
    loaded.entries.iter().rev().find(|it| which(it)).map_or(0, |it| it.number)
}

fn is_about_plan(entry: &Entry) -> bool {
    matches!(entry.fact, Fact::Program(_)) || is_about_limits(entry)
}

fn is_about_limits(entry: &Entry) -> bool {
    // Whatever takes the place of another entry may have taken an order or a program away.
    entry.supersedes.is_some()
        || matches!(
            entry.fact,
            Fact::Body(..)
                | Fact::Home(_)
                | Fact::Operation(_)
                | Fact::Confirmation(_)
                | Fact::Order(_)
                | Fact::Act(_)
                | Fact::Waiver(_)
                | Fact::Withdrawn(_)
        )
}
