//! The result of solving: one repetition, sampled over time. Constant once made.

use handrail_anatomy::{
    ClinicalMotion, Coord, Drive, Joint, Landmark, Muscle, N_COORDS, N_SEGMENTS, Pose, Side,
};
use nalgebra::Vector3;

use crate::compile::Role;
use crate::posture::Surface;
use crate::spec::{Bears, Hold};

/// One repetition of an exercise by one body, from the start pose back to it.
#[derive(Clone, Debug)]
pub struct Repetition {
    /// Side that works.
    pub side: Side,
    /// Instants, in time order; at least 60.
    pub samples: Vec<Sample>,
    /// Moves and holds in order.
    pub spans: Vec<Span>,
    /// Contacts with their places and forces at each sample.
    pub contacts: Vec<ContactTrack>,
    /// Index of the sample at which each key pose is reached.
    pub key_samples: Vec<usize>,
    /// Muscles with their effort at each sample.
    pub muscles: Vec<MuscleTrack>,
    /// Where the furniture is.
    pub room: Room,
    /// Resistance in kg, `None` without one; body weight counts as `Some(0)` with `body_weight` true.
    pub resistance_kg: Option<f64>,
    /// True when own body weight is the resistance.
    pub body_weight: bool,
    /// Radius of the ball, m.
    pub ball_radius: Option<f64>,
    /// How each joint of each side is driven; joints that rest are absent. Axial joints stand under both.
    pub drives: Vec<(Side, Joint, Drive)>,
    /// What the joints carry at each sample.
    pub joints: Vec<Joints>,
    /// False when size or direction of the resistance is not known (another hand): then what the joints carry
    /// lacks it.
    pub resistance_is_known: bool,
    /// Stiffness of the band, N/m, from its pull and its stretch.
    pub band_stiffness: Option<f64>,
}

/// What the joints carry at one instant: inverse dynamics of the whole body. Net joint moments and joint
/// reactions are neither muscle forces nor the force with which joint surfaces press on each other.
#[derive(Clone, Debug, PartialEq)]
pub struct Joints {
    /// Net joint moment by coordinate, N m: positive pushes the coordinate up (flexion, dorsiflexion, ...).
    pub by_coordinate: [f64; N_COORDS],
    /// How far each of these may be off, N m: two feet on the floor may rub against each other, which no balance
    /// of forces tells ([`crate::statics`]).
    pub spread: [f64; N_COORDS],
    /// Joint reaction by segment: net force that the parent gives it at its proximal joint, world, N.
    pub reaction: [Vector3<f64>; N_SEGMENTS],
    /// Net moment of the lumbar joint (pelvis on trunk) in the pelvis frame, N m: about Z positive pushes the
    /// trunk into extension.
    pub lumbar_moment: Vector3<f64>,
    /// Reaction of the lumbar joint in the pelvis frame, N; along Y it presses.
    pub lumbar_reaction: Vector3<f64>,
    /// Moment that the supports cannot give, body weights times metres: near 0 where the pose is balanced.
    pub unbalanced: f64,
}

/// One instant.
#[derive(Clone, Debug)]
pub struct Sample {
    /// Seconds from the start.
    pub time: f64,
    /// All coordinates.
    pub pose: Pose,
    /// Share of body weight that the ground carries through the lower leg and foot: the force a scale under
    /// them would show, inertia of the movement included. A contact that only rests the limb itself does not count. Left, right.
    pub leg_load: [f64; 2],
    /// The same for forearm and hand.
    pub arm_load: [f64; 2],
    /// Centre of mass, m.
    pub com: Vector3<f64>,
    /// Distance of the centre of mass inside the edge of the supports, m; negative outside.
    pub com_margin: f64,
    /// Centre of the ball, m.
    pub ball: Option<Vector3<f64>>,
}

/// Kind of a stretch of time.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpanKind {
    /// From one key pose to the next.
    Move,
    /// Holding a key pose.
    Hold,
}

/// A stretch of time.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// Kind.
    pub kind: SpanKind,
    /// Key pose at its end.
    pub key: usize,
    /// What is done.
    pub verb: String,
    /// Start, s.
    pub start: f64,
    /// End, s.
    pub end: f64,
}

/// A contact over time.
#[derive(Clone, Debug)]
pub struct ContactTrack {
    /// Side.
    pub side: Side,
    /// Point.
    pub landmark: Landmark,
    /// Surface; `None` for a contact with another body point.
    pub on: Option<Surface>,
    /// How it is held.
    pub hold: Hold,
    /// What it carries.
    pub bears: Bears,
    /// Place at each sample, m.
    pub place: Vec<Vector3<f64>>,
    /// Contact force on the body at each sample, world, body weights.
    pub force: Vec<Vector3<f64>>,
}

/// What a muscle does at an instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Contraction {
    /// It shortens.
    Shortening,
    /// It lengthens.
    Lengthening,
    /// Its joint does not move.
    Holding,
}

/// Effort of a muscle over the repetition. Basis: set by the author (role and drive), not computed from
/// forces; only the kind of contraction is computed.
#[derive(Clone, Debug)]
pub struct MuscleTrack {
    /// Muscle, of the working side.
    pub muscle: Muscle,
    /// Role.
    pub role: Role,
    /// Share 0-1 of the author's effort at each sample.
    pub effort: Vec<f64>,
    /// Kind of contraction at each sample.
    pub contraction: Vec<Contraction>,
}

/// Where the furniture is, m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Room {
    /// Seat height.
    pub seat: f64,
    /// Bed height.
    pub bed: f64,
    /// Table height.
    pub table: f64,
    /// Step height.
    pub step: f64,
    /// Forward place of the wall.
    pub wall: Option<f64>,
}

/// A thing and its place, for drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct PropPlace {
    /// Kind.
    pub kind: String,
    /// First point, m.
    pub at: Vector3<f64>,
    /// Second point, m.
    pub to: Option<Vector3<f64>>,
}

/// Largest value of a clinical motion in a repetition.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// Degrees in the motion's direction.
    pub deg: f64,
    /// Seconds from the start.
    pub at: f64,
    /// Sample.
    pub sample: usize,
}

impl Repetition {
    /// Seconds of one repetition.
    pub fn duration(&self) -> f64 {
        self.spans.last().map_or(0.0, |it| it.end)
    }

    /// Largest value of a motion on a side.
    pub fn extreme(&self, motion: &ClinicalMotion, side: Side) -> Extreme {
        let mut best = Extreme { deg: f64::NEG_INFINITY, at: 0.0, sample: 0 };
        for (index, sample) in self.samples.iter().enumerate() {
            let deg = motion.read(&sample.pose, side);
            if deg > best.deg {
                best = Extreme { deg, at: sample.time, sample: index };
            }
        }
        best
    }

    /// Range a coordinate runs through, degrees.
    pub fn range(&self, coord: Coord) -> (f64, f64) {
        self.samples.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), sample| {
            let deg = sample.pose[coord].to_degrees();
            (low.min(deg), high.max(deg))
        })
    }

    /// How a joint is driven; `None` when it rests.
    pub fn drive(&self, side: Side, joint: Joint) -> Option<Drive> {
        self.drives.iter().find(|it| it.0 == side && it.1 == joint).map(|it| it.2)
    }

    /// Greatest load through a leg, body weights, with its sample.
    pub fn peak_leg_load(&self, side: Side) -> (f64, usize) {
        self.peak(|it| it.leg_load[side as usize])
    }

    /// Greatest load through an arm, body weights, with its sample.
    pub fn peak_arm_load(&self, side: Side) -> (f64, usize) {
        self.peak(|it| it.arm_load[side as usize])
    }

    fn peak(&self, read: impl Fn(&Sample) -> f64) -> (f64, usize) {
        let mut best = (0.0, 0);
        for (index, sample) in self.samples.iter().enumerate() {
            if read(sample) > best.0 {
                best = (read(sample), index);
            }
        }
        best
    }
}
