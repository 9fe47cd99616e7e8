//! An exercise is a motion, and there is one model of it.
//!
//! Three stages, three types: [`MotionSpec`] as an author wrote it -> checked [`Motion`], constant -> solved
//! [`Repetition`] on one body, in one home, for one side. All mistakes of an author are found in the first
//! step, with their lines. Angles are degrees in files and results at the boundary, radians inside.
//! Never: files, clock, protocols, drawings, languages.
#![forbid(unsafe_code)]

pub mod compile;
pub mod dynamics;
mod forces;
pub mod load;
pub mod measured;
pub mod posture;
pub mod quantity;
pub mod repetition;
pub mod solve;
pub mod spec;
pub mod statics;

pub use compile::{Motion, Parameter, Role, compile};
pub use load::{Load, LoadBasis, NotKnown, TissueLoad};
pub use measured::{Measured, Published};
pub use posture::{Posture, PostureSpec, read_posture};
pub use repetition::{Contraction, Joints, PropPlace, Repetition, Sample, Span, SpanKind};
pub use solve::{Detail, Home, Parameters, SolveError, solve, solve_in};
pub use spec::{Along, Bears, MotionSpec};
