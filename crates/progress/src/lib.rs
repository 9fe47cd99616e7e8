//! How the recovery goes: who needs attention and why, what was done of what was planned, how the body responded,
//! which criteria are met.
//!
//! Everything takes its day as an argument and is computed from the facts of an [`handrail_episode::Episode`] and
//! its protocol. The room raises; it never clears: nothing here says that a sign is harmless or that a restriction
//! has ended. It holds typed data only; sentences are made elsewhere. Never: files, clock, languages.
#![forbid(unsafe_code)]

pub mod adherence;
pub mod attention;
pub mod compare;
pub mod criteria;
pub mod days;
mod duties;
mod limits;
mod phases;
mod reported;
pub mod response;
pub mod summary;

pub use adherence::{Adherence, AdherenceDay, OVER_REPORT, OverReport, adherence};
pub use attention::{
    Attention, ChangeKind, Detail, Needed, ReachedValue, Reason, SheetCause, SheetWhy, attention, worst_on,
};
pub use compare::{DoseSet, ProgramChange, compare_programs};
pub use criteria::{CriterionState, Near, NotUsable, State, criteria};
pub use days::{DayState, TinyData, TinyDay, tiny};
pub use duties::{
    LETTER_BEFORE_VISIT, PROGRESS_REPORT, PROGRESS_REPORT_BASIS, PROGRESS_REPORT_EVERY, SILENT_DAYS,
};
pub use phases::Phases;
pub use response::{PainLimits, Response, Rule, RuleBasis, response};
pub use summary::{Held, Summary, summary};

use jiff::civil::Date;

/// The day so many days later (earlier, when negative).
pub(crate) fn days_after(date: Date, days: i64) -> Date {
    date.saturating_add(jiff::Span::new().days(days))
}
