//! The law of the product, checked by a second way.
//!
//! For random persons, homes, dates, orders and exercises: no sample of an allowed repetition, nor of the
//! moves of its session, passes any limit in force. Verdicts read joint angles from the solver's
//! coordinates; here the angles are measured on the solved segments' orientations, four times as finely, and
//! held against the limits by a plain loop that shares no code with the verdicts. Loads under a ceiling are
//! found again by free bodies and a table of least arms of their own; simulated executions are asked whether
//! they answer the same twice and never worse for a looser limit.
#![forbid(unsafe_code)]

pub mod cases;
pub mod dynamics;
pub mod executions;
pub mod freebody;
pub mod loads;
pub mod measured;
pub mod mjcf;
pub mod run;

pub use run::{Report, run};
