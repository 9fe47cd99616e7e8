//! The law of the product, checked by a second way.
//!
//! For random persons, homes, dates, orders and exercises: no sample of an allowed repetition, nor of the
//! moves of its session, passes any limit in force. Verdicts read joint angles from the solver's
//! coordinates; here the angles are measured on the solved segments' orientations, four times as finely, and
//! held against the limits by a plain loop that shares no code with the verdicts.
#![forbid(unsafe_code)]

pub mod cases;
pub mod dynamics;
pub mod measured;
pub mod mjcf;
pub mod run;

pub use run::{Report, run};
