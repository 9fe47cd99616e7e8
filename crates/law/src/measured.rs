//! Clinical angles measured on segment orientations: the inverse of the turn table, written independently.

use handrail_anatomy::joints::{ClinicalMotion, Coord, Dof, Measure};
use handrail_anatomy::tree::SegmentKind as K;
use handrail_anatomy::{Kinematics, SegmentId, Side};
use nalgebra::{Matrix3, Vector3};

/// Orientation of a segment against its parent.
fn relative(kinematics: &Kinematics, kind: K, side: Side) -> Matrix3<f64> {
    let segment = SegmentId::of(kind, side);
    let parent = segment.parent().map_or(Matrix3::identity(), |it| kinematics.rotation[it.index()]);
    parent.transpose() * kinematics.rotation[segment.index()]
}

/// Angles of R = Rz(a) Rx(b) Ry(c).
fn zxy(r: &Matrix3<f64>) -> (f64, f64, f64) {
    let a = libm::atan2(-r[(0, 1)], r[(1, 1)]);
    let b = libm::asin(r[(2, 1)].clamp(-1.0, 1.0));
    let c = libm::atan2(-r[(2, 0)], r[(2, 2)]);
    (a, b, c)
}

/// Angles of R = Ry(a) Rz(b) Rx(c).
fn yzx(r: &Matrix3<f64>) -> (f64, f64, f64) {
    let a = libm::atan2(-r[(2, 0)], r[(0, 0)]);
    let b = libm::asin(r[(1, 0)].clamp(-1.0, 1.0));
    let c = libm::atan2(-r[(1, 2)], r[(1, 1)]);
    (a, b, c)
}

/// Angles of R = Rz(a) Rx(b).
fn zx(r: &Matrix3<f64>) -> (f64, f64) {
    (libm::atan2(r[(1, 0)], r[(0, 0)]), libm::atan2(r[(2, 1)], r[(2, 2)]))
}

/// Angles of R = Rz(a) Ry(b).
fn zy(r: &Matrix3<f64>) -> (f64, f64) {
    (libm::atan2(-r[(0, 1)], r[(1, 1)]), libm::atan2(-r[(2, 0)], r[(2, 2)]))
}

/// Angles of R = Ry(a) Rx(b).
fn yx(r: &Matrix3<f64>) -> (f64, f64) {
    (libm::atan2(-r[(2, 0)], r[(0, 0)]), libm::atan2(-r[(1, 2)], r[(1, 1)]))
}

fn z(r: &Matrix3<f64>) -> f64 {
    libm::atan2(r[(1, 0)], r[(0, 0)])
}

/// Swing of the arm as (flexion, abduction, external rotation), radians: where the humerus points, and how
/// it is turned about itself beyond the shortest way there.
fn shoulder(r: &Matrix3<f64>, side: Side) -> (f64, f64, f64) {
    let down = Vector3::new(0.0, -1.0, 0.0);
    let points = r * down;
    let axis = down.cross(&points);
    let sine = axis.norm();
    let angle = libm::atan2(sine, down.dot(&points));
    let swing = if sine > 1e-9 { axis * (angle / sine) } else { Vector3::zeros() };
    let undone = nalgebra::Rotation3::new(swing).matrix().transpose() * r;
    let twist = libm::atan2(undone[(0, 2)], undone[(0, 0)]);
    let out = side.outward();
    (swing.z, -swing.x * out, -twist * out)
}

/// Value of a clinical motion, degrees, measured on the segments.
pub fn measure(kinematics: &Kinematics, motion: &ClinicalMotion, side: Side) -> f64 {
    let radians = match motion.measure {
        Measure::Limb(dof) => limb(kinematics, dof, side),
        Measure::Axial(coord) => axial(kinematics, coord),
        Measure::ShoulderElevation => {
            let r = relative(kinematics, K::UpperArm, side);
            let points = r * Vector3::new(0.0, -1.0, 0.0);
            libm::acos((-points.y).clamp(-1.0, 1.0))
        }
    };
    radians.to_degrees() * f64::from(motion.sign)
}

/// Angle of a joint, radians, measured on the segments.
pub(crate) fn limb(kinematics: &Kinematics, dof: Dof, side: Side) -> f64 {
    let rel = |kind| relative(kinematics, kind, side);
    let out = side.outward();
    match dof {
        Dof::HipFlexion => zxy(&rel(K::Thigh)).0,
        Dof::HipAbduction => -zxy(&rel(K::Thigh)).1 * out,
        Dof::HipExternalRotation => -zxy(&rel(K::Thigh)).2 * out,
        Dof::KneeFlexion => -z(&rel(K::Shank)),
        Dof::AnkleDorsiflexion => zx(&rel(K::Hindfoot)).0,
        Dof::AnkleInversion => zx(&rel(K::Hindfoot)).1 * out,
        Dof::ArchLift => -z(&rel(K::Forefoot)),
        Dof::GreatToeExtension => zy(&rel(K::GreatToe)).0,
        Dof::GreatToeAbduction => zy(&rel(K::GreatToe)).1 * out,
        Dof::LesserToesExtension => zy(&rel(K::Toe3)).0,
        Dof::LesserToesSpread => -zy(&rel(K::Toe5)).1 * out,
        Dof::LesserToesCurl => -z(&rel(K::Tip3)),
        Dof::GirdleElevation => -yx(&rel(K::Girdle)).1 * out,
        Dof::GirdleProtraction => yx(&rel(K::Girdle)).0 * out,
        Dof::ShoulderFlexion => shoulder(&rel(K::UpperArm), side).0,
        Dof::ShoulderAbduction => shoulder(&rel(K::UpperArm), side).1,
        Dof::ShoulderExternalRotation => shoulder(&rel(K::UpperArm), side).2,
        Dof::ElbowFlexion => z(&rel(K::Forearm)),
        Dof::ForearmSupination => std::f64::consts::FRAC_PI_2 - yzx(&rel(K::Hand)).0 * out,
        Dof::WristFlexion => yzx(&rel(K::Hand)).1,
        Dof::WristUlnarDeviation => yzx(&rel(K::Hand)).2 * out,
        Dof::FingersFlexion => z(&rel(K::Fingers)),
        Dof::ThumbFlexion => z(&rel(K::Thumb)),
    }
}

fn axial(kinematics: &Kinematics, coord: Coord) -> f64 {
    let side = Side::Right;
    let head = zxy(&relative(kinematics, K::Head, side));
    let (low, high) =
        (zxy(&relative(kinematics, K::Abdomen, side)), zxy(&relative(kinematics, K::Thorax, side)));
    match coord {
        Coord::TRUNK_FLEXION => -(low.0 + high.0),
        Coord::TRUNK_SIDE_BEND => low.1 + high.1,
        Coord::TRUNK_ROTATION => low.2 + high.2,
        Coord::NECK_FLEXION => -head.0,
        Coord::NECK_SIDE_BEND => head.1,
        Coord::NECK_ROTATION => head.2,
        _ => f64::NAN,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use handrail_anatomy::{Body, N_COORDS, Person, Pose, SegmentTable, Sex, clinical_motions};

    #[test]
    fn measuring_gives_back_what_was_turned() {
        let person = Person { stature: 1.7, mass: 70.0, sex: Sex::Female, measured: Default::default() };
        let body = Body::new(person, SegmentTable::DeLeva).unwrap();
        let mut random = fastrand::Rng::with_seed(7);
        for _ in 0..500 {
            let mut pose = Pose::default();
            for c in 3..N_COORDS {
                pose.0[c] = (random.f64() - 0.5) * 1.2;
            }
            let kinematics = Kinematics::of(&body, &pose);
            for motion in clinical_motions() {
                for side in Side::BOTH {
                    let (read, measured) = (motion.read(&pose, side), measure(&kinematics, &motion, side));
                    let gap = (read - measured).abs();
                    assert!(gap < 1e-7, "{:?} {}: {read} {measured}", motion.joint, motion.motion);
                }
            }
        }
    }
}
