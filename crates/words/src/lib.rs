//! Sentences for patients and clinicians, in each language.
//!
//! Short texts live in `content/words/<lang>/*.ftl` (Fluent), the words of exercises in
//! `content/words/<lang>/exercises-*.toml`, and what protocols say to clinicians in `protocols.toml`. This room puts
//! them together: limits, reasons, cues, doses, moves, warnings. A patient's sentence is short, says what must not
//! be done, and is never looser than the limit behind it: numbers are rounded to the stricter side, an uncertain
//! wording takes the wider prohibition.
//!
//! Keys that begin with `c-` are for clinicians; all others are read by patients and are held to the reading
//! level that [`reading`] measures. Never: files, clock, drawings, layout.
#![forbid(unsafe_code)]

mod amounts;
mod bundle;
mod cues;
mod dose;
pub mod exercises;
mod lang;
mod limits;
mod loads;
mod moves;
mod names;
pub mod reading;
mod reasons;
mod sayings;
mod standing;
pub mod taboo;
mod warnings;

pub use bundle::{Arg, Words, built_in_exercises, built_in_ui};
pub use exercises::{ExerciseText, check_all};
pub use lang::Lang;
pub use names::{capital, uncapital};
pub use sayings::Said;
pub use warnings::{Urgency, WarnGroup};
