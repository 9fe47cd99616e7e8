//! One patient's course after one operation: the facts on record, and the state that follows from them.
//!
//! Every fact is an [`Entry`] with the day it is true from and who is behind it; an [`Episode`] is a fold over
//! entries, so that the state of any earlier day can be made again. The episode file (TOML) is one way to
//! write the entries down. Never: files, clock, drawings.
#![forbid(unsafe_code)]

pub mod course;
pub mod exposures;
pub mod fold;
pub mod journal;
pub mod plan;
pub mod read;
pub mod spec;

pub use course::{
    Closed, Contact, Decision, DecisionKind, Diary, DiaryDone, DiarySource, Issued, Measure, Medium, Message,
    MessageFrom, Morning, Note, Report, Sign, SignUrgency, Swelling, View, Visit, Withdrawn,
};
pub use exposures::{Exposures, Week, exposures};
pub use fold::{
    Clinic, Course, Done, Entry, Episode, Fact, HomeFacts, Jump, Numbered, Operation, Patient, Prescription,
    Program, WaiverFact, as_of, fold,
};
pub use plan::{Line, OverExposure, Plan, PlanError, plan};
pub use read::{Content, read_entries, read_episode};
pub use spec::EpisodeSpec;
