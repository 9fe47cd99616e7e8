//! The body of one person: lengths, joint places, masses and inertias from stature, mass and sex.
//!
//! Lengths are fractions of stature: Drillis & Contini as printed in Winter 2009 (known: secondary), with
//! heights inside the trunk and the foot from the US Army 2012 survey's mean fractions (heel to ball 0.114,
//! biacromial 0.237, cervicale 0.864; known: read) or, where no source gives a joint place, our own geometry
//! (marked `own`). Masses, centres of mass and radii of gyration come from one [`SegmentTable`], laid between
//! that table's own end points.

use nalgebra::{Matrix3, Vector3};
use serde::{Deserialize, Serialize};

use crate::side::Side;
use crate::table::{MassSegment, SegmentTable};
use crate::tree::{Kinematics, N_SEGMENTS, SegmentId, SegmentKind as K};

/// Sex, as far as segment tables differ by it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Sex {
    Female,
    Male,
}

/// What is known of a person's body.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Person {
    /// Stature, m.
    pub stature: f64,
    /// Mass, kg.
    pub mass: f64,
    /// Sex.
    pub sex: Sex,
    /// Measured segment lengths, m; `None` where not measured.
    pub measured: MeasuredLengths,
}

/// Segment lengths measured on the person, m.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct MeasuredLengths {
    /// Hip centre (greater trochanter) to knee centre.
    pub thigh: Option<f64>,
    /// Knee centre to ankle centre.
    pub shank: Option<f64>,
    /// Heel to tip of the longest toe.
    pub foot: Option<f64>,
    /// Shoulder to elbow.
    pub upper_arm: Option<f64>,
    /// Elbow to wrist.
    pub forearm: Option<f64>,
    /// Wrist to fingertip.
    pub hand: Option<f64>,
}

/// Why a person cannot be built.
#[derive(Clone, Debug, PartialEq)]
pub struct BodyError {
    /// Field name as in the episode file.
    pub field: &'static str,
    /// What was found and expected.
    pub message: String,
}

impl std::fmt::Display for BodyError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "`{}`: {}", self.field, self.message)
    }
}

impl std::error::Error for BodyError {}

/// Fractions of stature used for lengths (see the module text for sources).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proportions {
    /// Hip centre to knee centre.
    pub thigh: f64,
    /// Knee centre to ankle centre.
    pub shank: f64,
    /// Heel to toe tip.
    pub foot: f64,
    /// Ankle centre above the sole.
    pub ankle_height: f64,
    /// Shoulder to elbow.
    pub upper_arm: f64,
    /// Elbow to wrist.
    pub forearm: f64,
    /// Wrist to fingertip.
    pub hand: f64,
}

impl Proportions {
    /// Drillis & Contini.
    pub const MEAN: Proportions = Proportions {
        thigh: 0.245,
        shank: 0.246,
        foot: 0.152,
        ankle_height: 0.039,
        upper_arm: 0.186,
        forearm: 0.146,
        hand: 0.108,
    };

    /// Standard deviation of a leg segment's fraction of stature: that of popliteal height, US Army 2012
    /// survey (men 0.0079, women 0.0089; known: read). The larger one is used for both sexes.
    pub const LEG_SD: f64 = 0.0089;

    /// Standard deviation of an arm segment's fraction. No own row in the survey extract: taken as that of
    /// the leg scaled by length (own estimate, 0.0065).
    pub const ARM_SD: f64 = 0.0065;
}

/// Mass properties of one segment in its own frame.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SegmentMass {
    /// kg.
    pub mass: f64,
    /// Centre of mass in the segment frame, m.
    pub com: Vector3<f64>,
    /// Inertia about the centre of mass in the segment frame, kg m^2.
    pub inertia: Matrix3<f64>,
}

impl Default for SegmentMass {
    fn default() -> Self {
        Self { mass: 0.0, com: Vector3::zeros(), inertia: Matrix3::zeros() }
    }
}

/// The body of one person: everything that does not change while it moves.
#[derive(Clone, Debug, PartialEq)]
pub struct Body {
    /// What it was built from.
    pub person: Person,
    /// Table of the masses.
    pub table: SegmentTable,
    /// Fractions of stature in use.
    pub proportions: Proportions,
    offsets: [Vector3<f64>; N_SEGMENTS],
    masses: [SegmentMass; N_SEGMENTS],
}

/// Body shape constants, fractions of stature, `own` geometry unless a source is named.
pub mod shape {
    /// Half the distance between the hip centres.
    pub const HIP_HALF: f64 = 0.050;
    /// Half the distance between the shoulder centres (biacromial breadth 0.237, US Army 2012 survey).
    pub const SHOULDER_HALF: f64 = 0.1085;
    /// Half the breadth of the pelvis at the trochanters (Drillis & Contini hip breadth 0.191).
    pub const PELVIS_HALF: f64 = 0.0955;
    /// Pelvis origin (hip centres) to the lumbar joint.
    pub const LUMBAR_UP: f64 = 0.060;
    /// Lumbar joint to thoracolumbar joint.
    pub const THORACOLUMBAR_UP: f64 = 0.100;
    /// Thoracolumbar joint to the base of the neck.
    pub const NECK_UP: f64 = 0.160;
    /// Base of the neck to the vertex.
    pub const HEAD_UP: f64 = 0.150;
    /// Thoracolumbar joint up to the shoulder centre height (0.818 - 0.690).
    pub const SHOULDER_UP: f64 = 0.128;
    /// Ischial seat below the hip centres.
    pub const SEAT_DOWN: f64 = 0.052;
    /// Back of the pelvis behind the hip centres.
    pub const SACRUM_BACK: f64 = 0.062;
    /// Front of the pelvis before the hip centres.
    pub const BELLY_FRONT: f64 = 0.058;
    /// Back of the thorax behind its axis.
    pub const BACK_BACK: f64 = 0.062;
    /// Front of the chest before its axis.
    pub const CHEST_FRONT: f64 = 0.062;
    /// Radius of the thigh at the hip, mid, knee.
    pub const THIGH_RADIUS: f64 = 0.046;
    /// Radius of the knee.
    pub const KNEE_RADIUS: f64 = 0.031;
    /// Radius of the calf.
    pub const CALF_RADIUS: f64 = 0.032;
    /// Radius of the ankle.
    pub const ANKLE_RADIUS: f64 = 0.019;
    /// Radius of the shoulder.
    pub const SHOULDER_RADIUS: f64 = 0.032;
    /// Radius of the elbow.
    pub const ELBOW_RADIUS: f64 = 0.022;
    /// Radius of the wrist.
    pub const WRIST_RADIUS: f64 = 0.016;
    /// Half the thickness of a hand or finger.
    pub const FINGER_RADIUS: f64 = 0.008;
    /// Radius of the head.
    pub const HEAD_RADIUS: f64 = 0.060;
    /// Share of the foot's length behind the ankle centre.
    pub const HEEL_SHARE: f64 = 0.27;
    /// Share of the foot's length from heel to ball (heel to ball 0.114 of 0.152, US Army 2012 survey).
    pub const BALL_SHARE: f64 = 0.75;
    /// Radius of a toe.
    pub const TOE_RADIUS: f64 = 0.0065;
    /// Share of the hand's length that is palm.
    pub const PALM_SHARE: f64 = 0.51;
}

fn check(field: &'static str, value: f64, low: f64, high: f64, unit: &str) -> Result<(), BodyError> {
    if value.is_finite() && (low..=high).contains(&value) {
        return Ok(());
    }
    Err(BodyError { field, message: format!("{value} {unit} is outside {low}..{high} {unit}") })
}

impl Body {
    /// Builds the body of a person with mean proportions (and measured lengths where given).
    ///
    /// # Errors
    /// Stature, mass or a measured length outside what a grown person can have (stature 1.20-2.30 m, mass
    /// 30-300 kg; measured lengths within 25 % of the mean for the stature).
    pub fn new(person: Person, table: SegmentTable) -> Result<Body, BodyError> {
        check("stature", person.stature, 1.20, 2.30, "m")?;
        check("mass", person.mass, 30.0, 300.0, "kg")?;
        let mut p = Proportions::MEAN;
        let measured = person.measured;
        for (field, length, slot) in [
            ("measured.thigh", measured.thigh, &mut p.thigh),
            ("measured.shank", measured.shank, &mut p.shank),
            ("measured.foot", measured.foot, &mut p.foot),
            ("measured.upper_arm", measured.upper_arm, &mut p.upper_arm),
            ("measured.forearm", measured.forearm, &mut p.forearm),
            ("measured.hand", measured.hand, &mut p.hand),
        ] {
            if let Some(length) = length {
                let mean = *slot * person.stature;
                check(field, length, mean * 0.75, mean * 1.25, "m")?;
                *slot = length / person.stature;
            }
        }
        Ok(Self::with_proportions(person, table, p))
    }

    /// The same person with other proportions (for tolerance bands).
    pub fn with_proportions(person: Person, table: SegmentTable, proportions: Proportions) -> Body {
        let mut body = Body {
            person,
            table,
            proportions,
            offsets: [Vector3::zeros(); N_SEGMENTS],
            masses: [SegmentMass::default(); N_SEGMENTS],
        };
        for segment in SegmentId::all() {
            body.offsets[segment.index()] = body.offset_of(segment);
        }
        body.lay_masses();
        body
    }

    /// The same body with other joint places and masses, e.g. a chain whose moments are published.
    pub fn with_parts(
        mut self,
        parts: impl IntoIterator<Item = (SegmentId, Vector3<f64>, SegmentMass)>,
    ) -> Body {
        for (segment, offset, mass) in parts {
            self.offsets[segment.index()] = offset;
            self.masses[segment.index()] = mass;
        }
        self
    }

    /// Stature, m.
    pub fn stature(&self) -> f64 {
        self.person.stature
    }

    /// Whole mass, kg.
    pub fn mass(&self) -> f64 {
        self.person.mass
    }

    /// Proximal joint of a segment in its parent's frame, m.
    pub fn joint_offset(&self, segment: SegmentId) -> Vector3<f64> {
        self.offsets[segment.index()]
    }

    /// Mass properties of a segment; zero for those that no table gives (toes, fingers, girdle).
    pub fn segment_mass(&self, segment: SegmentId) -> &SegmentMass {
        &self.masses[segment.index()]
    }

    /// Length of a body part in metres by the name that content files may use.
    pub fn length(&self, name: &str) -> Option<f64> {
        let p = &self.proportions;
        let fraction = match name {
            "stature" => 1.0,
            "thigh" => p.thigh,
            "shank" => p.shank,
            "foot" => p.foot,
            "upper_arm" => p.upper_arm,
            "forearm" => p.forearm,
            "hand" => p.hand,
            "knee_height" => p.shank + p.ankle_height,
            "shoulder_height_sitting" => {
                shape::SEAT_DOWN + shape::LUMBAR_UP + shape::THORACOLUMBAR_UP + shape::SHOULDER_UP
            }
            _ => return None,
        };
        Some(fraction * self.stature())
    }

    fn offset_of(&self, segment: SegmentId) -> Vector3<f64> {
        let h = self.stature();
        let p = &self.proportions;
        let side = segment.side().unwrap_or(Side::Right);
        // x forward, y up, z outward (mirrored below), as fractions of stature.
        let foot_front = p.foot * (shape::BALL_SHARE - shape::HEEL_SHARE);
        let forefoot_x = p.foot * 0.165;
        let toe = |back: f64, out: f64| {
            Vector3::new(
                foot_front - forefoot_x - p.foot * back,
                -p.ankle_height + shape::TOE_RADIUS * 1.25 + p.ankle_height * 0.52,
                out * p.foot / Proportions::MEAN.foot,
            )
        };
        let palm = p.hand * shape::PALM_SHARE;
        let v = match segment.kind() {
            K::Pelvis => Vector3::zeros(),
            K::Abdomen => Vector3::new(-0.012, shape::LUMBAR_UP, 0.0),
            K::Thorax => Vector3::new(0.0, shape::THORACOLUMBAR_UP, 0.0),
            K::Head => Vector3::new(0.004, shape::NECK_UP, 0.0),
            K::Girdle => Vector3::new(0.020, shape::SHOULDER_UP - 0.004, 0.012),
            K::UpperArm => Vector3::new(-0.016, 0.004, shape::SHOULDER_HALF - 0.012),
            K::Forearm => Vector3::new(0.0, -p.upper_arm, 0.0),
            K::Hand => Vector3::new(0.0, -p.forearm, 0.0),
            K::Fingers => Vector3::new(0.0, -palm, 0.0),
            K::Fingertips => Vector3::new(0.0, -(p.hand - palm) * 0.55, 0.0),
            K::Thumb => Vector3::new(0.004, -palm * 0.30, 0.016),
            K::Thigh => Vector3::new(0.0, 0.0, shape::HIP_HALF),
            K::Shank => Vector3::new(0.0, -p.thigh, 0.0),
            K::Hindfoot => Vector3::new(0.0, -p.shank, 0.0),
            K::Forefoot => Vector3::new(forefoot_x, -p.ankle_height * 0.52, 0.0),
            K::GreatToe => toe(0.0, -0.0150),
            K::Toe2 => toe(-0.010, -0.0045),
            K::Toe3 => toe(0.020, 0.0040),
            K::Toe4 => toe(0.060, 0.0115),
            K::Toe5 => toe(0.110, 0.0180),
            K::Tip2 => Vector3::new(self.toe_length(K::Toe2) / h * 0.52, 0.0, 0.0),
            K::Tip3 => Vector3::new(self.toe_length(K::Toe3) / h * 0.52, 0.0, 0.0),
            K::Tip4 => Vector3::new(self.toe_length(K::Toe4) / h * 0.52, 0.0, 0.0),
            K::Tip5 => Vector3::new(self.toe_length(K::Toe5) / h * 0.52, 0.0, 0.0),
        };
        Vector3::new(v.x * h, v.y * h, v.z * h * side.outward())
    }

    /// Length of a toe from its base joint to its tip, m.
    pub fn toe_length(&self, toe: K) -> f64 {
        let share = match toe {
            K::GreatToe => 1.0 - shape::BALL_SHARE,
            K::Toe2 => 0.235,
            K::Toe3 => 0.215,
            K::Toe4 => 0.190,
            _ => 0.160,
        };
        (share * self.proportions.foot - shape::TOE_RADIUS) * self.stature()
    }

    /// End points of a table row in our segment frames: (segment, first end point, second end point).
    fn end_points(&self, part: MassSegment, side: Side) -> (SegmentId, Vector3<f64>, Vector3<f64>) {
        let h = self.stature();
        let p = &self.proportions;
        let winter = self.table == SegmentTable::Winter;
        let up = |y: f64| Vector3::new(0.0, y * h, 0.0);
        match part {
            MassSegment::HeadNeck => {
                let head = SegmentId::axial(K::Head);
                // Winter: C7 to ear canal; de Leva: vertex to cervicale.
                if winter {
                    (head, up(0.0), up(shape::HEAD_UP * 0.62))
                } else {
                    (head, up(shape::HEAD_UP), up(0.0))
                }
            }
            // Both tables count the upper trunk from the neck down to about the thoracolumbar junction
            // (Winter C7-T1 to T12-L1; de Leva suprasternale to xiphion, about two thirds of that way).
            MassSegment::UpperTrunk => {
                let bottom = if winter { 0.0 } else { shape::NECK_UP * 0.25 };
                (SegmentId::axial(K::Thorax), up(shape::NECK_UP), up(bottom))
            }
            MassSegment::MiddleTrunk => {
                let top = shape::THORACOLUMBAR_UP + if winter { 0.0 } else { shape::NECK_UP * 0.25 };
                let bottom = if winter { 0.0 } else { 0.010 };
                (SegmentId::axial(K::Abdomen), up(top), up(bottom))
            }
            MassSegment::LowerTrunk => (
                SegmentId::axial(K::Pelvis),
                up(shape::LUMBAR_UP + if winter { 0.0 } else { 0.010 }),
                Vector3::zeros(),
            ),
            MassSegment::UpperArm => (SegmentId::of(K::UpperArm, side), up(0.0), up(-p.upper_arm)),
            MassSegment::Forearm => (SegmentId::of(K::Forearm, side), up(0.0), up(-p.forearm)),
            // Winter: wrist to knuckle of the middle finger; de Leva: wrist to third metacarpale. Same place.
            MassSegment::Hand => (SegmentId::of(K::Hand, side), up(0.0), up(-p.hand * shape::PALM_SHARE)),
            MassSegment::Thigh => (SegmentId::of(K::Thigh, side), up(0.0), up(-p.thigh)),
            MassSegment::Shank => (SegmentId::of(K::Shank, side), up(0.0), up(-p.shank)),
            MassSegment::Foot => {
                let heel = Vector3::new(-p.foot * shape::HEEL_SHARE * h, -p.ankle_height * 0.7 * h, 0.0);
                let toe = heel + Vector3::new(p.foot * h, 0.0, 0.0);
                let ball = heel + Vector3::new(p.foot * shape::BALL_SHARE * h, 0.0, 0.0);
                let foot = SegmentId::of(K::Hindfoot, side);
                if winter { (foot, Vector3::zeros(), ball) } else { (foot, heel, toe) }
            }
        }
    }

    /// Half axes (forward, sideways) of the elliptical cylinder that stands in where a table has no radius.
    fn half_axes(part: MassSegment) -> (f64, f64) {
        match part {
            MassSegment::HeadNeck => (shape::HEAD_RADIUS, shape::HEAD_RADIUS * 0.8),
            MassSegment::UpperTrunk => (shape::CHEST_FRONT, 0.090),
            MassSegment::MiddleTrunk => (0.058, 0.080),
            MassSegment::LowerTrunk => (0.060, shape::PELVIS_HALF),
            MassSegment::UpperArm => (0.026, 0.026),
            MassSegment::Forearm => (0.021, 0.021),
            MassSegment::Hand => (0.010, 0.024),
            MassSegment::Thigh => (shape::THIGH_RADIUS, shape::THIGH_RADIUS),
            MassSegment::Shank => (shape::CALF_RADIUS, shape::CALF_RADIUS),
            MassSegment::Foot => (0.020, 0.025),
        }
    }

    fn lay_masses(&mut self) {
        for part in MassSegment::ALL {
            let sides: &[Side] = if part.count() > 1.5 { &Side::BOTH } else { &[Side::Right] };
            for &side in sides {
                let (segment, mass) = self.part_mass(part, side);
                self.masses[segment.index()] = mass;
            }
        }
    }

    fn part_mass(&self, part: MassSegment, side: Side) -> (SegmentId, SegmentMass) {
        let row = self.table.row(part, self.person.sex);
        let (segment, first, second) = self.end_points(part, side);
        let mass = row.mass_fraction * self.mass();
        let along = second - first;
        let length = along.norm();
        let (a, b) = Self::half_axes(part);
        let (a, b) = (a * self.stature(), b * self.stature());
        let square = |radius: Option<f64>, solid: f64| radius.map_or(solid, |it| it * it * length * length);
        // Solid elliptical cylinder where the table is silent.
        let about_z = mass * square(row.gyration_transverse, a * a / 4.0 + length * length / 12.0);
        let about_x = mass * square(row.gyration_sagittal, b * b / 4.0 + length * length / 12.0);
        let about_long = mass * square(row.gyration_longitudinal, (a * a + b * b) / 4.0);
        let inertia = if part == MassSegment::Foot {
            // The foot's long axis points forward.
            Matrix3::from_diagonal(&Vector3::new(about_long, about_z, about_z))
        } else {
            Matrix3::from_diagonal(&Vector3::new(about_x, about_long, about_z))
        };
        (segment, SegmentMass { mass, com: first + along * row.com_fraction, inertia })
    }

    /// Centre of mass of the whole body in a pose, m.
    pub fn centre_of_mass(&self, kinematics: &Kinematics) -> Vector3<f64> {
        let mut sum = Vector3::zeros();
        let mut total = 0.0;
        for segment in SegmentId::all() {
            let part = self.segment_mass(segment);
            if part.mass > 0.0 {
                sum += kinematics.point(segment, &part.com) * part.mass;
                total += part.mass;
            }
        }
        sum / total
    }

    /// Mass of a leg from the hip down, or of an arm from the shoulder down, kg.
    pub fn limb_mass(&self, leg: bool, side: Side) -> f64 {
        let kinds: &[K] =
            if leg { &[K::Thigh, K::Shank, K::Hindfoot] } else { &[K::UpperArm, K::Forearm, K::Hand] };
        kinds.iter().map(|&kind| self.segment_mass(SegmentId::of(kind, side)).mass).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::joints::{Coord, Dof, Pose};
    use crate::landmarks::Landmark;

    fn person() -> Person {
        Person { stature: 1.72, mass: 70.0, sex: Sex::Male, measured: MeasuredLengths::default() }
    }

    #[test]
    fn segment_masses_sum_to_body_mass() {
        for table in [SegmentTable::Winter, SegmentTable::DeLeva] {
            let body = Body::new(person(), table).unwrap();
            let sum: f64 = SegmentId::all().map(|it| body.segment_mass(it).mass).sum();
            assert!((sum - 70.0).abs() < 0.02, "{table:?}: {sum}");
        }
    }

    #[test]
    fn standing_heights_are_the_published_fractions() {
        let body = Body::new(person(), SegmentTable::Winter).unwrap();
        let kinematics = Kinematics::of(&body, &Pose::default());
        let sole = Landmark::Heel.place(&body, &kinematics, Side::Right).y;
        let height = |kind, side| kinematics.origin[SegmentId::of(kind, side).index()].y - sole;
        assert!((height(K::Thigh, Side::Right) / 1.72 - 0.530).abs() < 1e-9);
        assert!((height(K::Shank, Side::Left) / 1.72 - 0.285).abs() < 1e-9);
        assert!((height(K::UpperArm, Side::Left) / 1.72 - 0.818).abs() < 1e-9);
        let vertex = kinematics.origin[SegmentId::axial(K::Head).index()].y - sole + shape::HEAD_UP * 1.72;
        assert!((vertex / 1.72 - 1.0).abs() < 1e-9, "{vertex}");
    }

    #[test]
    fn impossible_bodies_are_refused_with_their_field() {
        let error = Body::new(Person { stature: 17.0, ..person() }, SegmentTable::Winter).unwrap_err();
        assert_eq!(error.field, "stature");
        let mut long = person();
        long.measured.shank = Some(0.9);
        assert_eq!(Body::new(long, SegmentTable::Winter).unwrap_err().field, "measured.shank");
    }

    #[test]
    fn the_left_is_the_mirror_of_the_right() {
        let body = Body::new(person(), SegmentTable::DeLeva).unwrap();
        let mut pose = Pose::default();
        for (n, &dof) in Dof::ALL.iter().enumerate() {
            for side in Side::BOTH {
                pose.set_deg(side, dof, 7.0 + 3.0 * n as f64);
            }
        }
        let kinematics = Kinematics::of(&body, &pose);
        for &kind in &crate::tree::KINDS[4..] {
            let left = kinematics.origin[SegmentId::of(kind, Side::Left).index()];
            let right = kinematics.origin[SegmentId::of(kind, Side::Right).index()];
            let mirrored = Vector3::new(right.x, right.y, -right.z);
            assert!((left - mirrored).norm() < 1e-12, "{kind:?}");
        }
    }

    #[test]
    fn twists_are_the_derivatives_of_positions() {
        let body = Body::new(person(), SegmentTable::Winter).unwrap();
        let mut pose = Pose::default();
        for (i, q) in pose.0.iter_mut().enumerate() {
            *q = 0.3 * libm::sin(i as f64 * 1.7);
        }
        let kinematics = Kinematics::of(&body, &pose);
        let local = Vector3::new(0.02, -0.05, 0.01);
        for segment in SegmentId::all() {
            let point = kinematics.point(segment, &local);
            let chain = segment.chain_mask();
            for c in 3..crate::joints::N_COORDS {
                let analytic: Vector3<f64> = kinematics
                    .twists
                    .iter()
                    .filter(|it| it.coord == Coord(c) && chain & (1 << it.segment.index()) != 0)
                    .map(|it| it.axis.cross(&(point - it.origin)))
                    .sum();
                let step = 1e-6;
                let at = |delta: f64| {
                    let mut moved = pose;
                    moved.0[c] += delta;
                    Kinematics::of(&body, &moved).point(segment, &local)
                };
                let numeric = (at(step) - at(-step)) / (2.0 * step);
                assert!((analytic - numeric).norm() < 1e-7, "{} coord {c}", segment.name());
            }
        }
    }
}
