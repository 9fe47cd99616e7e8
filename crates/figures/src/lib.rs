//! Pictures of a motion: stills, do / do-not pairs and frames for a page's player, from one 3-D pose.
//!
//! The figure is a list of parts, each the convex hull of one to four balls, projected orthographically; parts
//! are drawn layer by layer from far to near, in each layer all outlines first, then all fills, so that joints
//! have no seams. Charts of load (the ladder of exercises, the weeks) are drawn with the same ink. Everything is
//! pure: equal input gives equal text on every machine.
//!
//! ```
//! use handrail_anatomy::body::MeasuredLengths;
//! use handrail_anatomy::{Body, Person, Pose, SegmentTable, Sex, Side};
//! use handrail_figures::{Accent, Crop, Frame, Framing, Picture, Subject, View};
//! let person = Person { stature: 1.70, mass: 70.0, sex: Sex::Female, measured: MeasuredLengths::default() };
//! let body = Body::new(person, SegmentTable::Winter).unwrap();
//! let subject = Subject { body: &body, working: Side::Left, accent: Accent::Leg };
//! let pose = Pose::default();
//! let frame = Frame { pose: &pose, props: &[], time: 0.0 };
//! let framing = Framing::fit(View::Front, Crop::Whole, &subject, &[frame], [420.0, 280.0]);
//! let picture = Picture::new(framing, frame, "Standing", "A person stands, seen from the front.");
//! let svg = handrail_figures::svg("p1", &picture, &subject);
//! assert!(svg.starts_with("<svg") && svg.contains("role=\"img\""));
//! ```
#![forbid(unsafe_code)]

pub mod camera;
pub mod chart;
pub mod clip;
pub mod envelope;
pub mod exercise;
pub mod exposure;
pub mod figure;
pub mod hull;
pub mod ladder;
pub mod marks;
pub mod order;
pub mod palette;
pub mod picture;
pub mod props;
mod scene;
pub mod svg;
pub mod timeline;

pub use camera::{Camera, Crop, Framing, View};
pub use chart::{CeilingLine, ChartError};
pub use clip::{Clip, ClipFrame, Part, clip};
pub use exposure::{ExposureChart, ExposureWords, WeekBar};
pub use figure::Worn;
pub use ladder::{LadderChart, LadderWords, OrderedRung, Rung, Standing, UnknownRung};
pub use marks::{Arrow, LimitMark};
pub use palette::Paint;
pub use picture::{Picture, svg};
pub use props::Prop;

use handrail_anatomy::{Body, Pose, Side};

/// Which part of the body carries the accent colour, on the working side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Accent {
    /// Thigh to toes.
    Leg,
    /// Ankle to toes.
    Foot,
    /// Upper arm to fingers.
    Arm,
    /// Wrist to fingers.
    Hand,
    /// Chest and waist.
    Trunk,
    /// Neck and head.
    Neck,
    /// Both shoulder blades, as far as the back is seen.
    Blades,
    /// None.
    Nothing,
}

/// Who is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// Body.
    pub body: &'a Body,
    /// Working side.
    pub working: Side,
    /// What is emphasised.
    pub accent: Accent,
}

/// One instant.
#[derive(Clone, Copy, Debug)]
pub struct Frame<'a> {
    /// Pose.
    pub pose: &'a Pose,
    /// Furniture and tools at this instant. All frames of a clip list the same things in the same order.
    pub props: &'a [Prop],
    /// Seconds since the repetition began.
    pub time: f64,
}
