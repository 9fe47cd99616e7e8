//! From limits and motions to a program: verdicts, dose, choice, the order of a session, the week.
//!
//! Never: files, clock, drawings, languages.
#![forbid(unsafe_code)]

pub mod choice;
pub mod dose;
pub mod exposure;
pub mod ladder;
pub mod moves;
pub mod order;
pub mod propose;
pub mod robustness;
pub mod session;
pub mod verdict;
pub mod week;

pub use dose::{Amount, Dose};
pub use exposure::{Exposure, repetitions_a_week};
pub use ladder::{Ladder, Rung, ladder};
pub use moves::{Care, MoveKind, MoveRules, MoveStep, Place};
pub use propose::{Bound, Candidate, Proposal, ProposeError, Wish, expected_share, propose};
pub use robustness::{Robustness, robustness};
pub use session::{Entry, Item, Session, session};
pub use verdict::{
    Case, Checked, Kind, Margins, Reason, ReasonKind, Refusal, SolvedLimit, Verdict, verdict, verdict_from,
};
pub use week::week_days;
