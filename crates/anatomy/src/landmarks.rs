//! Named points on the body: what rests on a chair, touches a wall, or can be seen and named by a patient.

use nalgebra::Vector3;
use serde::{Deserialize, Serialize};

use crate::body::{Body, shape};
use crate::side::Side;
use crate::tree::{Kinematics, SegmentId, SegmentKind as K};

macro_rules! landmarks {
    ($($name:ident $id:literal $doc:literal;)*) => {
        /// A named point of the body surface or a joint centre, one per side (axial ones ignore the side).
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, schemars::JsonSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum Landmark { $(#[doc = $doc] $name),* }

        impl Landmark {
            /// All landmarks.
            pub const ALL: &'static [Landmark] = &[$(Landmark::$name),*];
            /// Name used in files and JSON.
            pub fn id(self) -> &'static str { match self { $(Landmark::$name => $id),* } }
        }
    };
}

landmarks! {
    Heel "heel" "Under the heel.";
    HeelBack "heel_back" "Back of the heel.";
    HeelInner "heel_inner" "Inner side of the heel.";
    BallInner "ball_inner" "Under the head of the first metatarsal.";
    BallOuter "ball_outer" "Under the head of the fifth metatarsal.";
    Ball "ball" "Under the ball of the foot, middle.";
    Midsole "midsole" "Middle of the sole, under the arch.";
    ToeTip "toe_tip" "Tip of the great toe.";
    GreatToePad "great_toe_pad" "Under the tip of the great toe.";
    LesserToePad "lesser_toe_pad" "Under the tip of the third toe.";
    AnkleCentre "ankle_centre" "Ankle joint centre.";
    AnkleInner "ankle_inner" "Inner ankle bone.";
    AnkleOuter "ankle_outer" "Outer ankle bone.";
    AnkleFront "ankle_front" "Front of the ankle.";
    CalfBack "calf_back" "Back of the calf, a third down.";
    ShinFront "shin_front" "Front of the shin, middle.";
    KneeCentre "knee_centre" "Knee joint centre.";
    KneeFront "knee_front" "Knee cap.";
    KneeInner "knee_inner" "Inner side of the knee.";
    KneeOuter "knee_outer" "Outer side of the knee.";
    KneeBack "knee_back" "Hollow of the knee.";
    ThighBack "thigh_back" "Back of the thigh, middle.";
    ThighOuter "thigh_outer" "Outer side of the thigh, middle.";
    HipCentre "hip_centre" "Hip joint centre.";
    HipOuter "hip_outer" "Greater trochanter.";
    Seat "seat" "Ischial seat.";
    Sacrum "sacrum" "Back of the pelvis.";
    Belly "belly" "Front of the pelvis.";
    LowBack "low_back" "Back of the waist.";
    UpperBack "upper_back" "Back of the chest, between the shoulder blades.";
    Chest "chest" "Front of the chest.";
    RibSide "rib_side" "Side of the chest.";
    HeadBack "head_back" "Back of the head.";
    HeadSide "head_side" "Side of the head.";
    Forehead "forehead" "Forehead.";
    Chin "chin" "Chin.";
    ShoulderCentre "shoulder_centre" "Shoulder joint centre.";
    ShoulderTop "shoulder_top" "Top of the shoulder.";
    ShoulderOuter "shoulder_outer" "Outer side of the shoulder.";
    ElbowCentre "elbow_centre" "Elbow joint centre.";
    ElbowTip "elbow_tip" "Tip of the elbow.";
    ElbowInner "elbow_inner" "Inner side of the elbow.";
    ForearmUnder "forearm_under" "Little-finger side of the forearm, middle.";
    ForearmFront "forearm_front" "Palm side of the forearm, middle.";
    WristCentre "wrist_centre" "Wrist joint centre.";
    Palm "palm" "Middle of the palm.";
    HandEdge "hand_edge" "Little-finger edge of the hand.";
    Grip "grip" "Where a held stick runs through the hand.";
    Fingertip "fingertip" "Tip of the middle finger.";
}

impl Landmark {
    /// True when the landmark lies on thigh, shank or foot.
    pub fn is_on_leg(self) -> bool {
        use Landmark as L;
        matches!(
            self,
            L::Heel
                | L::HeelBack
                | L::HeelInner
                | L::BallInner
                | L::BallOuter
                | L::Ball
                | L::Midsole
                | L::ToeTip
                | L::GreatToePad
                | L::LesserToePad
                | L::AnkleCentre
                | L::AnkleInner
                | L::AnkleOuter
                | L::AnkleFront
                | L::CalfBack
                | L::ShinFront
                | L::KneeCentre
                | L::KneeFront
                | L::KneeInner
                | L::KneeOuter
                | L::KneeBack
                | L::ThighBack
                | L::ThighOuter
                | L::HipCentre
        )
    }

    /// Segment and local position (x forward, y up, z to the right) of this landmark.
    pub fn local(self, body: &Body, side: Side) -> (SegmentId, Vector3<f64>) {
        use Landmark as L;
        let p = &body.proportions;
        let heel = p.foot * shape::HEEL_SHARE;
        let sole = p.ankle_height;
        let ball_x = p.foot * (shape::BALL_SHARE - shape::HEEL_SHARE);
        let fore_x = p.foot * 0.165;
        let fore_y = p.ankle_height * 0.48;
        let palm = p.hand * shape::PALM_SHARE;
        let toe = |kind| body.toe_length(kind) / body.stature();
        // z is "outward" here and mirrored at the end.
        let (kind, x, y, z) = match self {
            L::Heel => (K::Hindfoot, -heel * 0.72, -sole, 0.0),
            L::HeelBack => (K::Hindfoot, -heel, -sole * 0.55, 0.0),
            L::HeelInner => (K::Hindfoot, -heel * 0.7, -sole * 0.55, -0.017),
            L::BallInner => (K::Forefoot, ball_x - fore_x, -fore_y, -0.016),
            L::BallOuter => (K::Forefoot, ball_x - fore_x - p.foot * 0.09, -fore_y, 0.018),
            L::Ball => (K::Forefoot, ball_x - fore_x - p.foot * 0.02, -fore_y, 0.0),
            L::Midsole => (K::Hindfoot, p.foot * 0.18, -sole, 0.0),
            L::ToeTip => (K::GreatToe, toe(K::GreatToe) + shape::TOE_RADIUS, 0.0, 0.0),
            L::GreatToePad => (K::GreatToe, toe(K::GreatToe) * 0.8, -shape::TOE_RADIUS, 0.0),
            L::LesserToePad => (K::Tip3, toe(K::Toe3) * 0.45, -shape::TOE_RADIUS, 0.0),
            L::AnkleCentre => (K::Hindfoot, 0.0, 0.0, 0.0),
            L::AnkleInner => (K::Shank, 0.0, -p.shank, -shape::ANKLE_RADIUS),
            L::AnkleOuter => (K::Shank, -0.004, -p.shank, shape::ANKLE_RADIUS),
            L::AnkleFront => (K::Shank, shape::ANKLE_RADIUS, -p.shank * 0.97, 0.0),
            L::CalfBack => (K::Shank, -shape::CALF_RADIUS * 1.2, -p.shank * 0.33, 0.0),
            L::ShinFront => (K::Shank, 0.024, -p.shank * 0.5, 0.0),
            L::KneeCentre => (K::Shank, 0.0, 0.0, 0.0),
            L::KneeFront => (K::Shank, shape::KNEE_RADIUS, 0.0, 0.0),
            L::KneeInner => (K::Thigh, 0.0, -p.thigh, -shape::KNEE_RADIUS),
            L::KneeOuter => (K::Thigh, 0.0, -p.thigh, shape::KNEE_RADIUS),
            L::KneeBack => (K::Shank, -shape::KNEE_RADIUS, -0.012, 0.0),
            L::ThighBack => (K::Thigh, -shape::THIGH_RADIUS * 0.9, -p.thigh * 0.5, 0.0),
            L::ThighOuter => (K::Thigh, 0.0, -p.thigh * 0.5, shape::THIGH_RADIUS * 0.9),
            L::HipCentre => (K::Thigh, 0.0, 0.0, 0.0),
            L::HipOuter => (K::Pelvis, 0.0, 0.0, shape::PELVIS_HALF),
            L::Seat => (K::Pelvis, -0.012, -shape::SEAT_DOWN, shape::HIP_HALF * 0.9),
            L::Sacrum => (K::Pelvis, -shape::SACRUM_BACK, 0.010, 0.0),
            L::Belly => (K::Pelvis, shape::BELLY_FRONT, 0.010, 0.0),
            L::LowBack => (K::Abdomen, -0.050, 0.030, 0.0),
            L::UpperBack => (K::Thorax, -shape::BACK_BACK, 0.070, 0.0),
            L::Chest => (K::Thorax, shape::CHEST_FRONT, 0.080, 0.0),
            L::RibSide => (K::Thorax, 0.0, 0.050, 0.085),
            L::HeadBack => (K::Head, -0.050, 0.085, 0.0),
            L::HeadSide => (K::Head, 0.010, 0.085, 0.045),
            L::Forehead => (K::Head, 0.062, 0.100, 0.0),
            L::Chin => (K::Head, 0.056, 0.022, 0.0),
            L::ShoulderCentre => (K::UpperArm, 0.0, 0.0, 0.0),
            L::ShoulderTop => (K::Girdle, -0.016, 0.034, shape::SHOULDER_HALF - 0.012),
            L::ShoulderOuter => (K::Girdle, -0.016, 0.0, shape::SHOULDER_HALF + 0.018),
            L::ElbowCentre => (K::Forearm, 0.0, 0.0, 0.0),
            L::ElbowTip => (K::UpperArm, -shape::ELBOW_RADIUS, -p.upper_arm, 0.0),
            L::ElbowInner => (K::UpperArm, 0.0, -p.upper_arm, -shape::ELBOW_RADIUS),
            L::ForearmUnder => (K::Forearm, -shape::ELBOW_RADIUS * 0.9, -p.forearm * 0.5, 0.0),
            L::ForearmFront => (K::Forearm, 0.0, -p.forearm * 0.5, -shape::ELBOW_RADIUS * 0.9),
            L::WristCentre => (K::Hand, 0.0, 0.0, 0.0),
            L::Palm => (K::Hand, shape::FINGER_RADIUS * 1.4, -palm * 0.6, 0.0),
            L::HandEdge => (K::Hand, 0.0, -palm * 0.6, -0.022),
            L::Grip => (K::Hand, shape::FINGER_RADIUS * 2.6, -palm * 0.85, 0.0),
            L::Fingertip => (K::Fingertips, 0.0, -(p.hand - palm) * 0.45, 0.0),
        };
        let h = body.stature();
        (SegmentId::of(kind, side), Vector3::new(x * h, y * h, z * h * side.outward()))
    }

    /// World position in a solved pose, m.
    pub fn place(self, body: &Body, kinematics: &Kinematics, side: Side) -> Vector3<f64> {
        let (segment, local) = self.local(body, side);
        kinematics.point(segment, &local)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Person, SegmentTable, Sex};

    #[test]
    fn leg_landmarks_are_those_on_the_leg_s_segments() {
        let person = Person { stature: 1.7, mass: 70.0, sex: Sex::Male, measured: Default::default() };
        let body = Body::new(person, SegmentTable::Winter).unwrap();
        let thigh = 1 << SegmentId::of(K::Thigh, Side::Left).index();
        for &landmark in Landmark::ALL {
            let (segment, _) = landmark.local(&body, Side::Left);
            assert_eq!(landmark.is_on_leg(), segment.chain_mask() & thigh != 0, "{}", landmark.id());
        }
    }
}
