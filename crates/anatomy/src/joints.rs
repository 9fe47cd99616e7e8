//! Degrees of freedom, their clinical names and signs, and the pose of a whole body.
//!
//! Positive is the first-named motion (flexion, abduction, external rotation, dorsiflexion, inversion,
//! supination from the thumb-up mid position, ulnar deviation, extension for the toes).

use serde::{Deserialize, Serialize};

use crate::side::Side;

/// Joints named as clinicians name them.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema,
)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Joint {
    Trunk,
    Neck,
    Hip,
    Knee,
    Ankle,
    Arch,
    GreatToe,
    LesserToes,
    ShoulderGirdle,
    Shoulder,
    Elbow,
    Forearm,
    Wrist,
    Fingers,
    Thumb,
}

impl Joint {
    /// Every joint, from the trunk outwards.
    pub const ALL: [Joint; 15] = [
        Joint::Trunk,
        Joint::Neck,
        Joint::Hip,
        Joint::Knee,
        Joint::Ankle,
        Joint::Arch,
        Joint::GreatToe,
        Joint::LesserToes,
        Joint::ShoulderGirdle,
        Joint::Shoulder,
        Joint::Elbow,
        Joint::Forearm,
        Joint::Wrist,
        Joint::Fingers,
        Joint::Thumb,
    ];

    /// Name used in files and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Joint::Trunk => "trunk",
            Joint::Neck => "neck",
            Joint::Hip => "hip",
            Joint::Knee => "knee",
            Joint::Ankle => "ankle",
            Joint::Arch => "arch",
            Joint::GreatToe => "great_toe",
            Joint::LesserToes => "lesser_toes",
            Joint::ShoulderGirdle => "shoulder_girdle",
            Joint::Shoulder => "shoulder",
            Joint::Elbow => "elbow",
            Joint::Forearm => "forearm",
            Joint::Wrist => "wrist",
            Joint::Fingers => "fingers",
            Joint::Thumb => "thumb",
        }
    }

    /// True for the joints that exist once, not per side.
    pub fn is_axial(self) -> bool {
        matches!(self, Joint::Trunk | Joint::Neck)
    }

    /// True for the joints of the leg.
    pub fn is_leg(self) -> bool {
        matches!(
            self,
            Joint::Hip | Joint::Knee | Joint::Ankle | Joint::Arch | Joint::GreatToe | Joint::LesserToes
        )
    }
}

macro_rules! dofs {
    ($($name:ident $id:literal $joint:ident $positive:literal $negative:literal $low:literal $high:literal;)*) => {
        /// Degrees of freedom of a limb, in clinical terms. Trunk and neck have their own [`Coord`]s.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        #[allow(missing_docs)]
        pub enum Dof { $($name),* }

        impl Dof {
            /// All degrees of freedom of a limb pair, in storage order.
            pub const ALL: &'static [Dof] = &[$(Dof::$name),*];

            /// Name used in files, e.g. `hip_flexion`.
            pub fn id(self) -> &'static str { match self { $(Dof::$name => $id),* } }

            /// Joint this belongs to.
            pub fn joint(self) -> Joint { match self { $(Dof::$name => Joint::$joint),* } }

            /// Clinical names of the positive and the negative direction.
            pub fn directions(self) -> (&'static str, &'static str) {
                match self { $(Dof::$name => ($positive, $negative)),* }
            }

            /// Widest range a content author may write, degrees (own bounds against slips of the pen, wider
            /// than the normal range; not a clinical limit).
            pub fn plausible(self) -> (f64, f64) { match self { $(Dof::$name => ($low, $high)),* } }
        }
    };
}

dofs! {
    HipFlexion "hip_flexion" Hip "flexion" "extension" -40.0 150.0;
    HipAbduction "hip_abduction" Hip "abduction" "adduction" -50.0 90.0;
    HipExternalRotation "hip_external_rotation" Hip "external_rotation" "internal_rotation" -65.0 90.0;
    KneeFlexion "knee_flexion" Knee "flexion" "extension" -15.0 165.0;
    AnkleDorsiflexion "ankle_dorsiflexion" Ankle "dorsiflexion" "plantarflexion" -75.0 50.0;
    AnkleInversion "ankle_inversion" Ankle "inversion" "eversion" -40.0 60.0;
    ArchLift "arch_lift" Arch "lift" "drop" -15.0 25.0;
    GreatToeExtension "great_toe_extension" GreatToe "extension" "flexion" -60.0 100.0;
    GreatToeAbduction "great_toe_abduction" GreatToe "abduction" "adduction" -40.0 40.0;
    LesserToesExtension "lesser_toes_extension" LesserToes "extension" "flexion" -60.0 90.0;
    LesserToesSpread "lesser_toes_spread" LesserToes "spread" "closing" -10.0 30.0;
    LesserToesCurl "lesser_toes_curl" LesserToes "curl" "uncurl" -5.0 90.0;
    GirdleElevation "girdle_elevation" ShoulderGirdle "elevation" "depression" -20.0 45.0;
    GirdleProtraction "girdle_protraction" ShoulderGirdle "protraction" "retraction" -35.0 40.0;
    ShoulderFlexion "shoulder_flexion" Shoulder "flexion" "extension" -80.0 185.0;
    ShoulderAbduction "shoulder_abduction" Shoulder "abduction" "adduction" -80.0 185.0;
    ShoulderExternalRotation "shoulder_external_rotation" Shoulder "external_rotation" "internal_rotation" -110.0 120.0;
    ElbowFlexion "elbow_flexion" Elbow "flexion" "extension" -15.0 160.0;
    ForearmSupination "forearm_supination" Forearm "supination" "pronation" -95.0 95.0;
    WristFlexion "wrist_flexion" Wrist "flexion" "extension" -90.0 90.0;
    WristUlnarDeviation "wrist_ulnar_deviation" Wrist "ulnar_deviation" "radial_deviation" -35.0 55.0;
    FingersFlexion "fingers_flexion" Fingers "flexion" "extension" -30.0 110.0;
    ThumbFlexion "thumb_flexion" Thumb "flexion" "extension" -40.0 80.0;
}

/// Number of degrees of freedom per side.
pub const N_SIDE: usize = 23;
/// Root (6), trunk (3), neck (3).
pub const N_AXIAL: usize = 12;
/// Length of a [`Pose`]: root, trunk, neck, left limb pair, right limb pair.
pub const N_COORDS: usize = N_AXIAL + 2 * N_SIDE;

/// Index of one coordinate in a [`Pose`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Coord(pub usize);

impl Coord {
    /// Pelvis position forward, m.
    pub const ROOT_X: Coord = Coord(0);
    /// Pelvis position up, m.
    pub const ROOT_Y: Coord = Coord(1);
    /// Pelvis position to the right, m.
    pub const ROOT_Z: Coord = Coord(2);
    /// Pelvis rotation about the vertical first (turn to the left positive).
    pub const ROOT_TURN: Coord = Coord(3);
    /// Then about the pelvis' forward axis (list to the right positive).
    pub const ROOT_LIST: Coord = Coord(4);
    /// Then about its sideways axis (lean back positive, ISB sign).
    pub const ROOT_TILT: Coord = Coord(5);
    /// Trunk flexion (forward positive), shared by the lumbar and thoracolumbar joints.
    pub const TRUNK_FLEXION: Coord = Coord(6);
    /// Trunk side bend, to the right positive.
    pub const TRUNK_SIDE_BEND: Coord = Coord(7);
    /// Trunk rotation, to the left positive.
    pub const TRUNK_ROTATION: Coord = Coord(8);
    /// Neck flexion (forward positive).
    pub const NECK_FLEXION: Coord = Coord(9);
    /// Neck side bend, to the right positive.
    pub const NECK_SIDE_BEND: Coord = Coord(10);
    /// Neck rotation, to the left positive.
    pub const NECK_ROTATION: Coord = Coord(11);

    /// Names of the axial coordinates in storage order.
    pub const AXIAL_IDS: [&'static str; N_AXIAL] = [
        "root_forward",
        "root_up",
        "root_right",
        "root_turn",
        "root_list",
        "root_tilt",
        "trunk_flexion",
        "trunk_side_bend",
        "trunk_rotation",
        "neck_flexion",
        "neck_side_bend",
        "neck_rotation",
    ];

    /// Coordinate of a limb's degree of freedom.
    pub fn of(side: Side, dof: Dof) -> Coord {
        let block = match side {
            Side::Left => 0,
            Side::Right => 1,
        };
        Coord(N_AXIAL + block * N_SIDE + dof as usize)
    }

    /// True for the three positions of the root (metres); all others are angles (radians).
    pub fn is_position(self) -> bool {
        self.0 < 3
    }

    /// Side and degree of freedom, or `None` for an axial coordinate.
    pub fn limb(self) -> Option<(Side, Dof)> {
        let rest = self.0.checked_sub(N_AXIAL)?;
        let side = if rest < N_SIDE { Side::Left } else { Side::Right };
        Some((side, Dof::ALL[rest % N_SIDE]))
    }

    /// Joint of this coordinate; `None` for the root.
    pub fn joint(self) -> Option<Joint> {
        match self.0 {
            0..=5 => None,
            6..=8 => Some(Joint::Trunk),
            9..=11 => Some(Joint::Neck),
            _ => self.limb().map(|(_, dof)| dof.joint()),
        }
    }
}

/// All coordinates of a body: metres for the root position, radians for all angles. Order: see [`Coord`].
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pose(pub [f64; N_COORDS]);

impl Default for Pose {
    /// Anatomical position with the thumbs forward (mid position of the forearm), pelvis at the origin.
    fn default() -> Self {
        Pose([0.0; N_COORDS])
    }
}

impl std::ops::Index<Coord> for Pose {
    type Output = f64;
    fn index(&self, coord: Coord) -> &f64 {
        &self.0[coord.0]
    }
}

impl std::ops::IndexMut<Coord> for Pose {
    fn index_mut(&mut self, coord: Coord) -> &mut f64 {
        &mut self.0[coord.0]
    }
}

impl Pose {
    /// Angle of a limb's degree of freedom, degrees.
    pub fn deg(&self, side: Side, dof: Dof) -> f64 {
        self[Coord::of(side, dof)].to_degrees()
    }

    /// Sets the angle of a limb's degree of freedom, degrees.
    pub fn set_deg(&mut self, side: Side, dof: Dof, deg: f64) {
        self[Coord::of(side, dof)] = deg.to_radians();
    }

    /// Elevation of the arm in whatever plane, degrees: the angle of the swing (see `tree`).
    pub fn shoulder_elevation(&self, side: Side) -> f64 {
        let flexion = self[Coord::of(side, Dof::ShoulderFlexion)];
        let abduction = self[Coord::of(side, Dof::ShoulderAbduction)];
        libm::sqrt(flexion * flexion + abduction * abduction).to_degrees()
    }
}

/// What a clinical motion is read from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Measure {
    /// One degree of freedom of a limb.
    Limb(Dof),
    /// An axial coordinate (trunk, neck).
    Axial(Coord),
    /// Elevation of the arm in any plane.
    ShoulderElevation,
}

/// A joint motion in one direction, as a limit names it ("ankle dorsiflexion").
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ClinicalMotion {
    /// Joint.
    pub joint: Joint,
    /// Clinical name of the direction.
    pub motion: &'static str,
    /// What is read.
    pub measure: Measure,
    /// +1 when the direction is the positive one of the measure, -1 otherwise.
    pub sign: i8,
}

impl ClinicalMotion {
    /// Value in this direction, degrees; negative means short of neutral. `side` is ignored for axial joints.
    pub fn read(&self, pose: &Pose, side: Side) -> f64 {
        let value = match self.measure {
            Measure::Limb(dof) => pose.deg(side, dof),
            Measure::Axial(coord) => pose[coord].to_degrees(),
            Measure::ShoulderElevation => pose.shoulder_elevation(side),
        };
        value * f64::from(self.sign)
    }
}

/// Every clinical motion that a restriction may name.
pub fn clinical_motions() -> Vec<ClinicalMotion> {
    let mut all = Vec::new();
    let axial = [
        (Joint::Trunk, Coord::TRUNK_FLEXION, "flexion", "extension"),
        (Joint::Trunk, Coord::TRUNK_SIDE_BEND, "side_bend_right", "side_bend_left"),
        (Joint::Trunk, Coord::TRUNK_ROTATION, "rotation_left", "rotation_right"),
        (Joint::Neck, Coord::NECK_FLEXION, "flexion", "extension"),
        (Joint::Neck, Coord::NECK_SIDE_BEND, "side_bend_right", "side_bend_left"),
        (Joint::Neck, Coord::NECK_ROTATION, "rotation_left", "rotation_right"),
    ];
    for (joint, coord, positive, negative) in axial {
        for (motion, sign) in [(positive, 1), (negative, -1)] {
            all.push(ClinicalMotion { joint, motion, measure: Measure::Axial(coord), sign });
        }
    }
    for &dof in Dof::ALL {
        let (positive, negative) = dof.directions();
        for (motion, sign) in [(positive, 1), (negative, -1)] {
            all.push(ClinicalMotion { joint: dof.joint(), motion, measure: Measure::Limb(dof), sign });
        }
    }
    all.push(ClinicalMotion {
        joint: Joint::Shoulder,
        motion: "elevation",
        measure: Measure::ShoulderElevation,
        sign: 1,
    });
    all
}

/// Looks a clinical motion up by joint and direction name; `None` when the joint has no such motion.
pub fn clinical_motion(joint: Joint, motion: &str) -> Option<ClinicalMotion> {
    clinical_motions().into_iter().find(|it| it.joint == joint && it.motion == motion)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn storage_has_one_place_for_each_coordinate() {
        assert_eq!(Dof::ALL.len(), N_SIDE);
        let mut seen = std::collections::BTreeSet::new();
        for side in Side::BOTH {
            for &dof in Dof::ALL {
                let coord = Coord::of(side, dof);
                assert!(seen.insert(coord) && coord.0 < N_COORDS);
                assert_eq!(coord.limb(), Some((side, dof)));
            }
        }
    }

    #[test]
    fn a_deficit_reads_negative_in_its_direction() {
        let mut pose = Pose::default();
        pose.set_deg(Side::Left, Dof::AnkleDorsiflexion, -20.0);
        let dorsiflexion = clinical_motion(Joint::Ankle, "dorsiflexion").unwrap();
        let plantarflexion = clinical_motion(Joint::Ankle, "plantarflexion").unwrap();
        assert!((dorsiflexion.read(&pose, Side::Left) + 20.0).abs() < 1e-12);
        assert!((plantarflexion.read(&pose, Side::Left) - 20.0).abs() < 1e-12);
        assert!(clinical_motion(Joint::Knee, "dorsiflexion").is_none());
    }
}
