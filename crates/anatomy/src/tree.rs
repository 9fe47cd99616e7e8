//! The joint tree from the pelvis to head, fingertips and toes, and its kinematics.
//!
//! **The table of clinical angles and rotations** is [`turns`]: each segment turns against its parent about
//! its own successive axes (intrinsic order as listed), by the clinical angle times the gain. Gains are
//! written for the right side; on the left, turns about X and Y change sign, turns about Z do not (the Z axis
//! points to the person's right on both sides). Orders follow ISB: pelvis in the world Y-X-Z; hip, knee,
//! ankle, spine and wrist Z-X-Y as far as the joint has those motions.
//!
//! The shoulder has no clinical order that is free of gimbal lock with the arm hanging, so it is a *swing*
//! (rotation vector with flexion about Z and abduction about X) followed by the *twist* (external rotation
//! about the humerus). In pure flexion or pure abduction these equal the clinical angles; elevation is the
//! length of the swing, plane of elevation its direction. ISB's Y-X-Y triplet of the right arm is
//! (plane, -elevation, -external_rotation - plane) with plane = atan2(flexion, abduction).

use nalgebra::{Matrix3, Vector3};

use crate::body::Body;
use crate::joints::{Coord, Dof, N_COORDS, Pose};
use crate::side::Side;

/// Rotation axis of a turn, in the turning segment's own frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// Forward.
    X,
    /// Up.
    Y,
    /// To the right.
    Z,
}

/// Which coordinate drives a turn.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Driver {
    /// Pelvis, trunk or neck.
    Axial(Coord),
    /// A limb's degree of freedom, of the segment's own side.
    Limb(Dof),
}

/// One turn of a segment against its parent.
#[derive(Clone, Copy, Debug)]
pub struct Turn {
    /// Axis.
    pub axis: Axis,
    /// Coordinate.
    pub driver: Driver,
    /// Factor from the clinical angle to the right-hand rotation, right side.
    pub gain: f64,
    /// Constant added to the rotation, radians, right side.
    pub offset: f64,
}

const fn axial(axis: Axis, coord: Coord, gain: f64) -> Turn {
    Turn { axis, driver: Driver::Axial(coord), gain, offset: 0.0 }
}

const fn limb(axis: Axis, dof: Dof, gain: f64) -> Turn {
    Turn { axis, driver: Driver::Limb(dof), gain, offset: 0.0 }
}

/// Number of segments that exist once.
pub const N_AXIAL_SEGMENTS: usize = 4;
/// Number of segments per side.
pub const N_SIDE_SEGMENTS: usize = 20;
/// Number of all segments.
pub const N_SEGMENTS: usize = N_AXIAL_SEGMENTS + 2 * N_SIDE_SEGMENTS;

/// Kind of a segment, without its side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
#[allow(missing_docs)]
#[repr(u8)]
pub enum SegmentKind {
    Pelvis,
    Abdomen,
    Thorax,
    Head,
    Girdle,
    UpperArm,
    Forearm,
    Hand,
    Fingers,
    Fingertips,
    Thumb,
    Thigh,
    Shank,
    Hindfoot,
    Forefoot,
    GreatToe,
    Toe2,
    Toe3,
    Toe4,
    Toe5,
    Tip2,
    Tip3,
    Tip4,
    Tip5,
}

use SegmentKind as K;

/// Kinds in tree order: a parent always comes before its children.
pub const KINDS: [SegmentKind; N_AXIAL_SEGMENTS + N_SIDE_SEGMENTS] = [
    K::Pelvis,
    K::Abdomen,
    K::Thorax,
    K::Head,
    K::Girdle,
    K::UpperArm,
    K::Forearm,
    K::Hand,
    K::Fingers,
    K::Fingertips,
    K::Thumb,
    K::Thigh,
    K::Shank,
    K::Hindfoot,
    K::Forefoot,
    K::GreatToe,
    K::Toe2,
    K::Toe3,
    K::Toe4,
    K::Toe5,
    K::Tip2,
    K::Tip3,
    K::Tip4,
    K::Tip5,
];

/// Index of one segment: 0-3 axial, then 20 of the left, then 20 of the right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct SegmentId(pub u8);

impl SegmentId {
    /// A segment that exists once.
    ///
    /// # Panics
    /// When given a sided kind (a mistake in the program, not in data).
    pub fn axial(kind: SegmentKind) -> SegmentId {
        assert!((kind as usize) < N_AXIAL_SEGMENTS);
        SegmentId(kind as u8)
    }

    /// A segment of one side; axial kinds ignore the side.
    pub fn of(kind: SegmentKind, side: Side) -> SegmentId {
        let k = kind as usize;
        if k < N_AXIAL_SEGMENTS {
            return SegmentId(k as u8);
        }
        match side {
            Side::Left => SegmentId(k as u8),
            Side::Right => SegmentId((k + N_SIDE_SEGMENTS) as u8),
        }
    }

    /// All segments; parents come before children.
    pub fn all() -> impl Iterator<Item = SegmentId> {
        (0..N_SEGMENTS as u8).map(SegmentId)
    }

    /// Storage index.
    pub fn index(self) -> usize {
        self.0 as usize
    }

    /// Kind.
    pub fn kind(self) -> SegmentKind {
        let i = self.index();
        KINDS[if i < N_AXIAL_SEGMENTS + N_SIDE_SEGMENTS { i } else { i - N_SIDE_SEGMENTS }]
    }

    /// Side, `None` for axial segments.
    pub fn side(self) -> Option<Side> {
        let i = self.index();
        if i < N_AXIAL_SEGMENTS {
            None
        } else if i < N_AXIAL_SEGMENTS + N_SIDE_SEGMENTS {
            Some(Side::Left)
        } else {
            Some(Side::Right)
        }
    }

    /// Parent segment; `None` for the pelvis.
    pub fn parent(self) -> Option<SegmentId> {
        let parent = match self.kind() {
            K::Pelvis => return None,
            K::Abdomen => K::Pelvis,
            K::Thorax => K::Abdomen,
            K::Head => K::Thorax,
            K::Girdle => K::Thorax,
            K::UpperArm => K::Girdle,
            K::Forearm => K::UpperArm,
            K::Hand => K::Forearm,
            K::Fingers => K::Hand,
            K::Fingertips => K::Fingers,
            K::Thumb => K::Hand,
            K::Thigh => K::Pelvis,
            K::Shank => K::Thigh,
            K::Hindfoot => K::Shank,
            K::Forefoot => K::Hindfoot,
            K::GreatToe | K::Toe2 | K::Toe3 | K::Toe4 | K::Toe5 => K::Forefoot,
            K::Tip2 => K::Toe2,
            K::Tip3 => K::Toe3,
            K::Tip4 => K::Toe4,
            K::Tip5 => K::Toe5,
        };
        Some(match self.side() {
            Some(side) => SegmentId::of(parent, side),
            None => SegmentId::axial(parent),
        })
    }

    /// Bit set of this segment and all its ancestors.
    pub fn chain_mask(self) -> u64 {
        let mut mask = 1u64 << self.index();
        let mut at = self;
        while let Some(parent) = at.parent() {
            mask |= 1u64 << parent.index();
            at = parent;
        }
        mask
    }

    /// Short name for exports and messages, e.g. `left_shank`.
    pub fn name(self) -> String {
        let kind = format!("{:?}", self.kind()).to_lowercase();
        match self.side() {
            Some(side) => format!("{}_{kind}", side.word()),
            None => kind,
        }
    }
}

/// The turns of a segment against its parent, in intrinsic order (the documented mapping table).
/// The upper arm is the exception: see the module text.
pub fn turns(kind: SegmentKind) -> &'static [Turn] {
    const PELVIS: [Turn; 3] = [
        axial(Axis::Y, Coord::ROOT_TURN, 1.0),
        axial(Axis::X, Coord::ROOT_LIST, 1.0),
        axial(Axis::Z, Coord::ROOT_TILT, 1.0),
    ];
    // Half of the trunk's motion at the lumbar joint, half at the thoracolumbar joint (own split).
    const HALF_TRUNK: [Turn; 3] = [
        axial(Axis::Z, Coord::TRUNK_FLEXION, -0.5),
        axial(Axis::X, Coord::TRUNK_SIDE_BEND, 0.5),
        axial(Axis::Y, Coord::TRUNK_ROTATION, 0.5),
    ];
    const HEAD: [Turn; 3] = [
        axial(Axis::Z, Coord::NECK_FLEXION, -1.0),
        axial(Axis::X, Coord::NECK_SIDE_BEND, 1.0),
        axial(Axis::Y, Coord::NECK_ROTATION, 1.0),
    ];
    const GIRDLE: [Turn; 2] =
        [limb(Axis::Y, Dof::GirdleProtraction, 1.0), limb(Axis::X, Dof::GirdleElevation, -1.0)];
    const FOREARM: [Turn; 1] = [limb(Axis::Z, Dof::ElbowFlexion, 1.0)];
    // ISB pronation 0 is full supination; the clinic's 0 is the thumb-up mid position, 90 degrees further.
    const HAND: [Turn; 3] = [
        Turn {
            axis: Axis::Y,
            driver: Driver::Limb(Dof::ForearmSupination),
            gain: -1.0,
            offset: std::f64::consts::FRAC_PI_2,
        },
        limb(Axis::Z, Dof::WristFlexion, 1.0),
        limb(Axis::X, Dof::WristUlnarDeviation, 1.0),
    ];
    const FINGERS: [Turn; 1] = [limb(Axis::Z, Dof::FingersFlexion, 1.0)];
    const FINGERTIPS: [Turn; 1] = [limb(Axis::Z, Dof::FingersFlexion, 1.1)];
    const THUMB: [Turn; 1] = [limb(Axis::Z, Dof::ThumbFlexion, 1.0)];
    const THIGH: [Turn; 3] = [
        limb(Axis::Z, Dof::HipFlexion, 1.0),
        limb(Axis::X, Dof::HipAbduction, -1.0),
        limb(Axis::Y, Dof::HipExternalRotation, -1.0),
    ];
    const SHANK: [Turn; 1] = [limb(Axis::Z, Dof::KneeFlexion, -1.0)];
    const HINDFOOT: [Turn; 2] =
        [limb(Axis::Z, Dof::AnkleDorsiflexion, 1.0), limb(Axis::X, Dof::AnkleInversion, 1.0)];
    // A lifted arch brings the ball of the foot down against the heel.
    const FOREFOOT: [Turn; 1] = [limb(Axis::Z, Dof::ArchLift, -1.0)];
    const GREAT_TOE: [Turn; 2] =
        [limb(Axis::Z, Dof::GreatToeExtension, 1.0), limb(Axis::Y, Dof::GreatToeAbduction, 1.0)];
    const TOE2: [Turn; 2] =
        [limb(Axis::Z, Dof::LesserToesExtension, 1.0), limb(Axis::Y, Dof::LesserToesSpread, 0.2)];
    const TOE3: [Turn; 2] =
        [limb(Axis::Z, Dof::LesserToesExtension, 1.0), limb(Axis::Y, Dof::LesserToesSpread, -0.15)];
    const TOE4: [Turn; 2] =
        [limb(Axis::Z, Dof::LesserToesExtension, 1.0), limb(Axis::Y, Dof::LesserToesSpread, -0.55)];
    const TOE5: [Turn; 2] =
        [limb(Axis::Z, Dof::LesserToesExtension, 1.0), limb(Axis::Y, Dof::LesserToesSpread, -1.0)];
    const TIP: [Turn; 1] = [limb(Axis::Z, Dof::LesserToesCurl, -1.0)];
    match kind {
        K::Pelvis => &PELVIS,
        K::Abdomen | K::Thorax => &HALF_TRUNK,
        K::Head => &HEAD,
        K::Girdle => &GIRDLE,
        K::UpperArm => &[],
        K::Forearm => &FOREARM,
        K::Hand => &HAND,
        K::Fingers => &FINGERS,
        K::Fingertips => &FINGERTIPS,
        K::Thumb => &THUMB,
        K::Thigh => &THIGH,
        K::Shank => &SHANK,
        K::Hindfoot => &HINDFOOT,
        K::Forefoot => &FOREFOOT,
        K::GreatToe => &GREAT_TOE,
        K::Toe2 => &TOE2,
        K::Toe3 => &TOE3,
        K::Toe4 => &TOE4,
        K::Toe5 => &TOE5,
        K::Tip2 | K::Tip3 | K::Tip4 | K::Tip5 => &TIP,
    }
}

/// Rotation about one axis, right-handed.
fn about(axis: Axis, angle: f64) -> Matrix3<f64> {
    let (s, c) = libm::sincos(angle);
    match axis {
        Axis::X => Matrix3::new(1.0, 0.0, 0.0, 0.0, c, -s, 0.0, s, c),
        Axis::Y => Matrix3::new(c, 0.0, s, 0.0, 1.0, 0.0, -s, 0.0, c),
        Axis::Z => Matrix3::new(c, -s, 0.0, s, c, 0.0, 0.0, 0.0, 1.0),
    }
}

/// `base` turned about its own `axis`: two columns mix, the third stays.
fn turned(base: &Matrix3<f64>, axis: Axis, angle: f64) -> Matrix3<f64> {
    let (s, c) = libm::sincos(angle);
    let (i, j) = match axis {
        Axis::X => (1, 2),
        Axis::Y => (2, 0),
        Axis::Z => (0, 1),
    };
    let mut out = *base;
    let (a, b) = (base.column(i), base.column(j));
    let (new_i, new_j) = (a * c + b * s, b * c - a * s);
    out.set_column(i, &new_i);
    out.set_column(j, &new_j);
    out
}

fn cross_matrix(v: &Vector3<f64>) -> Matrix3<f64> {
    Matrix3::new(0.0, -v.z, v.y, v.z, 0.0, -v.x, -v.y, v.x, 0.0)
}

/// Rotation of a rotation vector, and its left Jacobian (rotation-vector rate to angular velocity).
fn exp_and_jacobian(v: &Vector3<f64>) -> (Matrix3<f64>, Matrix3<f64>) {
    let square = v.norm_squared();
    let angle = libm::sqrt(square);
    // Series below 1e-4 rad: the closed forms lose digits there.
    let (a, b, c) = if angle < 1e-4 {
        (1.0 - square / 6.0, 0.5 - square / 24.0, 1.0 / 6.0 - square / 120.0)
    } else {
        let (s, co) = libm::sincos(angle);
        (s / angle, (1.0 - co) / square, (angle - s) / (square * angle))
    };
    let k = cross_matrix(v);
    let kk = k * k;
    (Matrix3::identity() + k * a + kk * b, Matrix3::identity() + k * b + kk * c)
}

/// Rate of the left Jacobian times the rotation vector's own rate: the part of the angular acceleration that
/// a rotation vector `v` changing at the steady rate `u` has, in the frame it is written in.
fn jacobian_rate_times(v: &Vector3<f64>, u: &Vector3<f64>) -> Vector3<f64> {
    let square = v.norm_squared();
    let angle = libm::sqrt(square);
    // b = (1 - cos) / angle^2, c = (angle - sin) / angle^3; `db`, `dc` are their slopes over angle^2 / 2.
    let (c, db, dc) = if angle < 1e-2 {
        (1.0 / 6.0 - square / 120.0, -1.0 / 12.0 + square / 180.0, -1.0 / 60.0 + square / 1260.0)
    } else {
        let (s, co) = libm::sincos(angle);
        (
            (angle - s) / (square * angle),
            (angle * s - 2.0 * (1.0 - co)) / (square * square),
            (angle * (1.0 - co) - 3.0 * (angle - s)) / (square * square * angle),
        )
    };
    let vu = v.cross(u);
    let vvu = v.cross(&vu);
    let along = v.dot(u);
    vu * (db * along) + vvu * (dc * along) + u.cross(&vu) * c
}

/// Angular acceleration of the upper arm against the girdle, in the girdle's frame, that is left when the
/// swing's coordinates change at steady rates (its axes turn with the pose). `velocity` in rad/s.
pub fn swing_bias(pose: &Pose, velocity: &Pose, side: Side) -> Vector3<f64> {
    jacobian_rate_times(&swing_vector(pose, side), &swing_vector(velocity, side))
}

fn swing_vector(pose: &Pose, side: Side) -> Vector3<f64> {
    Vector3::new(
        -pose[Coord::of(side, Dof::ShoulderAbduction)] * side.outward(),
        0.0,
        pose[Coord::of(side, Dof::ShoulderFlexion)],
    )
}

fn coord_of(driver: Driver, side: Option<Side>) -> Coord {
    match (driver, side) {
        (Driver::Axial(coord), _) => coord,
        (Driver::Limb(dof), Some(side)) => Coord::of(side, dof),
        (Driver::Limb(_), None) => unreachable!("an axial segment has no limb turn"),
    }
}

/// Sign of a turn on this side: turns about X and Y mirror.
fn mirror(axis: Axis, side: Option<Side>) -> f64 {
    match axis {
        Axis::Z => 1.0,
        Axis::X | Axis::Y => side.map_or(1.0, Side::outward),
    }
}

/// Right-hand rotation angle of a turn for this pose, radians.
pub fn turn_angle(turn: &Turn, side: Option<Side>, pose: &Pose) -> f64 {
    let (coord, gain, constant) = turn_line(turn, side);
    gain * pose[coord] + constant
}

/// Coordinate of a turn on this side, and gain and constant of its right-hand rotation angle:
/// angle = gain * coordinate + constant.
pub fn turn_line(turn: &Turn, side: Option<Side>) -> (Coord, f64, f64) {
    let mirror = mirror(turn.axis, side);
    (coord_of(turn.driver, side), turn.gain * mirror, turn.offset * mirror)
}

/// Rotation of a segment against its parent.
pub fn joint_rotation(segment: SegmentId, pose: &Pose) -> Matrix3<f64> {
    let side = segment.side();
    if segment.kind() == K::UpperArm {
        let side = side.unwrap_or(Side::Right);
        let (swing, _) = exp_and_jacobian(&swing_vector(pose, side));
        let twist = -pose[Coord::of(side, Dof::ShoulderExternalRotation)] * side.outward();
        return swing * about(Axis::Y, twist);
    }
    turns(segment.kind())
        .iter()
        .fold(Matrix3::identity(), |base, turn| turned(&base, turn.axis, turn_angle(turn, side, pose)))
}

/// How one coordinate moves everything from one segment outwards.
#[derive(Clone, Copy, Debug)]
pub struct Twist {
    /// Coordinate.
    pub coord: Coord,
    /// First segment that it moves.
    pub segment: SegmentId,
    /// World rotation axis times the gain (rad of rotation per rad of coordinate).
    pub axis: Vector3<f64>,
    /// World point on the axis.
    pub origin: Vector3<f64>,
}

/// Which twists an update records.
#[derive(Clone, Copy, Debug)]
pub enum Twists<'a> {
    /// None.
    Skip,
    /// All of the computed segments.
    All,
    /// Those of the coordinates marked `true`, by index.
    Of(&'a [bool; N_COORDS]),
}

impl Twists<'_> {
    fn wants(&self, coord: Coord) -> bool {
        match self {
            Twists::Skip => false,
            Twists::All => true,
            Twists::Of(marked) => marked[coord.0],
        }
    }
}

/// Positions and orientations of the segments of one pose, with what moves them.
#[derive(Clone, Debug)]
pub struct Kinematics {
    /// World orientation of each segment (columns: its X, Y, Z axes).
    pub rotation: [Matrix3<f64>; N_SEGMENTS],
    /// World position of each segment's proximal joint, m.
    pub origin: [Vector3<f64>; N_SEGMENTS],
    /// One entry per turn of the computed segments.
    pub twists: Vec<Twist>,
}

impl Default for Kinematics {
    fn default() -> Self {
        Self {
            rotation: [Matrix3::identity(); N_SEGMENTS],
            origin: [Vector3::zeros(); N_SEGMENTS],
            twists: Vec::with_capacity(96),
        }
    }
}

/// Mask of all segments.
pub const ALL_SEGMENTS: u64 = (1u64 << N_SEGMENTS) - 1;

impl Kinematics {
    /// Kinematics of all segments.
    pub fn of(body: &Body, pose: &Pose) -> Kinematics {
        let mut kinematics = Kinematics::default();
        kinematics.update(body, pose, ALL_SEGMENTS, Twists::All);
        kinematics
    }

    /// Computes the segments in `mask` (which must hold the ancestors of its members), and the twists asked for.
    pub fn update(&mut self, body: &Body, pose: &Pose, mask: u64, twists: Twists<'_>) {
        self.twists.clear();
        for segment in SegmentId::all() {
            if mask & (1u64 << segment.index()) == 0 {
                continue;
            }
            self.place(body, pose, segment, twists);
        }
    }

    fn place(&mut self, body: &Body, pose: &Pose, segment: SegmentId, twists: Twists<'_>) {
        let i = segment.index();
        let (base, origin) = match segment.parent() {
            None => (
                Matrix3::identity(),
                Vector3::new(pose[Coord::ROOT_X], pose[Coord::ROOT_Y], pose[Coord::ROOT_Z]),
            ),
            Some(parent) => {
                let p = parent.index();
                (self.rotation[p], self.origin[p] + self.rotation[p] * body.joint_offset(segment))
            }
        };
        self.origin[i] = origin;
        self.rotation[i] = if segment.kind() == K::UpperArm {
            self.turn_shoulder(pose, segment, &base, origin, twists)
        } else {
            self.turn_hinges(pose, segment, base, origin, twists)
        };
    }

    fn turn_hinges(
        &mut self,
        pose: &Pose,
        segment: SegmentId,
        base: Matrix3<f64>,
        origin: Vector3<f64>,
        twists: Twists<'_>,
    ) -> Matrix3<f64> {
        let side = segment.side();
        let mut rotation = base;
        for turn in turns(segment.kind()) {
            let coord = coord_of(turn.driver, side);
            if twists.wants(coord) {
                let column = rotation.column(turn.axis as usize).into_owned();
                self.twists.push(Twist {
                    coord,
                    segment,
                    axis: column * (turn.gain * mirror(turn.axis, side)),
                    origin,
                });
            }
            let angle = turn_angle(turn, side, pose);
            // Most coordinates of most poses rest at zero, which turns nothing.
            if angle != 0.0 {
                rotation = turned(&rotation, turn.axis, angle);
            }
        }
        rotation
    }

    fn turn_shoulder(
        &mut self,
        pose: &Pose,
        segment: SegmentId,
        base: &Matrix3<f64>,
        origin: Vector3<f64>,
        twists: Twists<'_>,
    ) -> Matrix3<f64> {
        let side = segment.side().unwrap_or(Side::Right);
        let (swing, jacobian) = exp_and_jacobian(&swing_vector(pose, side));
        let swung = base * swing;
        let twist_gain = -side.outward();
        if !matches!(twists, Twists::Skip) {
            let world = base * jacobian;
            let entries = [
                (Dof::ShoulderAbduction, world.column(0) * -side.outward()),
                (Dof::ShoulderFlexion, world.column(2).into_owned()),
                (Dof::ShoulderExternalRotation, swung.column(1) * twist_gain),
            ];
            for (dof, axis) in entries {
                let coord = Coord::of(side, dof);
                if twists.wants(coord) {
                    self.twists.push(Twist { coord, segment, axis, origin });
                }
            }
        }
        turned(&swung, Axis::Y, twist_gain * pose[Coord::of(side, Dof::ShoulderExternalRotation)])
    }

    /// World position of a point given in a segment's frame.
    pub fn point(&self, segment: SegmentId, local: &Vector3<f64>) -> Vector3<f64> {
        self.origin[segment.index()] + self.rotation[segment.index()] * local
    }
}
