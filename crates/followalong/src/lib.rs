//! Room `followalong`: a guided session as one HTML file that works offline on a phone.
//!
//! A [`FollowSession`] is plain data: exercises as timed phases with their figure, moves, rests, limits, warning
//! signs, whom to call, and every word in the patient's language. [`follow_html`] checks it and writes the page.
//! The page leads through all sets without a stop, counts each repetition and hold, and keeps a log; the clinic
//! reads that log back with [`parse_log`].
//!
//! [`compose`] makes that data of a plan and its session: entry by entry, the checked repetitions as pictures and
//! times, and the room `words` for every sentence. Nothing in this room checks a limit or solves an exercise: what is
//! told and drawn has been checked before it comes here.

mod check;
mod compose;
mod digest;
mod expect;
mod labels;
mod log;
mod pack;
mod page;
mod pictures;
mod session;

pub use check::{SessionFault, SessionFaults, check_session};
pub use compose::{compose, exercise_of, short_name};
pub use expect::expected_counts;
pub use labels::{Labels, ReasonLabel, StopReason};
pub use log::{ExerciseLog, LogError, SessionLog, parse_log, parse_logs};
pub use page::follow_html;
pub use session::{
    Clinic, Clip, Exercise, FollowSession, FollowStep, Frame, Move, MoveStage, Paint, Part, Phase, PhaseKind,
    Rest, Side, Urgency, WarnGroup,
};
