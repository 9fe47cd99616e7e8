//! Protocols as text files, surgeon's orders laid over them, and the envelope of a date.
//!
//! A protocol file ([`read_protocol`]) holds phases, restrictions, criteria and their sources. What the
//! surgeon has ordered for one patient, what was confirmed and what was lifted by whom are [`Orders`].
//! [`envelope()`] lays them over each other for one date: what is limited, on whose word, since when, until what
//! act, and what changes next. A restriction ends by a person's act, never by the calendar alone; a blank is
//! not "no limit"; an order beats the protocol; of contradictory limits the stricter holds.
//!
//! Days and weeks are counted in [`calendar`]. The room holds data only: sentences are made elsewhere. Never:
//! files, clock, exercises, motions of a whole body.
#![forbid(unsafe_code)]

pub mod calendar;
mod check;
pub mod envelope;
mod fold;
pub mod goals;
pub mod limit_spec;
pub mod limits;
pub mod model;
pub mod orders;
pub mod spec;
mod strictness;

pub use calendar::{DateText, day_after_surgery, days_of_week, week_of_day, weeks_complete};
pub use check::read_protocol;
pub use envelope::{
    ActNeeded, Blocked, Change, ChangeWhat, Envelope, EnvelopeError, InForce, Lifted, Need, Note, PhaseRef,
    Status, Superseded, Until, Why, envelope,
};
pub use goals::Goal;
pub use handrail_anatomy::Known;
pub use limit_spec::LimitSpec;
pub use limits::{Beyond, ExposureOf, Limit, Loading, WeightBearing};
pub use model::{
    Basis, Ceiling, Condition, Criterion, Dosage, Ends, Milestone, Phase, Precaution, Protocol, Restriction,
    Review, Spread, SpreadStatement, Threshold, Variant,
};
pub use orders::{
    Act, ActKind, ActSpec, Confirmation, ConfirmationSpec, Order, OrderSpec, Orders, OrdersEntry,
    OrdersMistake, check_orders,
};
pub use spec::ProtocolSpec;
