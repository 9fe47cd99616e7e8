//! Room `followalong`: a guided session as one HTML file that works offline on a phone.
//!
//! A [`FollowSession`] is plain data: exercises as timed phases with their figure, moves, rests, limits, warning
//! signs, whom to call, and every word in the patient's language. [`follow_html`] checks it and writes the page.
//! The page leads through all sets without a stop, counts each repetition and hold, and keeps a log; the clinic
//! reads that log back with [`parse_log`].
//!
//! The room knows nothing of protocols or motions: what is told and drawn has been checked before it comes here.

mod check;
mod digest;
mod labels;
mod log;
mod pack;
mod page;
mod session;

pub use check::{SessionFault, SessionFaults, check_session};
pub use labels::{Labels, ReasonLabel, StopReason};
pub use log::{ExerciseLog, LogError, SessionLog, parse_log, parse_logs};
pub use page::follow_html;
pub use session::{
    Clinic, Clip, Exercise, FollowSession, FollowStep, Frame, Move, MoveStage, Paint, Part, Phase, PhaseKind,
    Rest, Side, Urgency, WarnGroup,
};
