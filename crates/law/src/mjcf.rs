//! The joint tree as an MJCF text, for a general physics engine to compute the same kinematics.
//!
//! The shoulder is written as the ISB Y-X-Y chain, so that its swing and twist are checked by another form.

use std::fmt::Write as _;

use handrail_anatomy::tree::{Axis, SegmentKind, turn_angle, turns};
use handrail_anatomy::{Body, Coord, Dof, Pose, SegmentId, Side};
use nalgebra::Vector3;

/// The tree of a body.
pub fn model(body: &Body) -> String {
    let mut out = String::from(
        "<mujoco model=\"body\"><compiler angle=\"radian\" autolimits=\"true\"/><option gravity=\"0 0 0\"/><worldbody>",
    );
    write_segment(&mut out, body, SegmentId::axial(SegmentKind::Pelvis));
    out.push_str("</worldbody></mujoco>");
    out
}

fn write_segment(out: &mut String, body: &Body, segment: SegmentId) {
    let at = body.joint_offset(segment);
    let name = segment.name();
    let _ = write!(out, "<body name=\"{name}\" pos=\"{:.17} {:.17} {:.17}\">", at.x, at.y, at.z);
    if segment.parent().is_none() {
        for (axis, text) in [("x", "1 0 0"), ("y", "0 1 0"), ("z", "0 0 1")] {
            let _ = write!(out, "<joint name=\"root_{axis}\" type=\"slide\" axis=\"{text}\"/>");
        }
    }
    let axes: Vec<Axis> = if segment.kind() == SegmentKind::UpperArm {
        vec![Axis::Y, Axis::X, Axis::Y]
    } else {
        turns(segment.kind()).iter().map(|it| it.axis).collect()
    };
    for (index, axis) in axes.iter().enumerate() {
        let text = match axis {
            Axis::X => "1 0 0",
            Axis::Y => "0 1 0",
            Axis::Z => "0 0 1",
        };
        let _ = write!(out, "<joint name=\"{name}_{index}\" type=\"hinge\" axis=\"{text}\"/>");
    }
    // A body without mass needs some for the engine; kinematics do not depend on it.
    out.push_str("<inertial pos=\"0 0 0\" mass=\"1\" diaginertia=\"1 1 1\"/>");
    for child in SegmentId::all().filter(|it| it.parent() == Some(segment)) {
        write_segment(out, body, child);
    }
    out.push_str("</body>");
}

/// Joint positions of a pose in the model's order (depth first, as written).
pub fn positions(pose: &Pose) -> Vec<f64> {
    let mut out = vec![pose[Coord::ROOT_X], pose[Coord::ROOT_Y], pose[Coord::ROOT_Z]];
    push_segment(&mut out, pose, SegmentId::axial(SegmentKind::Pelvis));
    out
}

fn push_segment(out: &mut Vec<f64>, pose: &Pose, segment: SegmentId) {
    if let (SegmentKind::UpperArm, Some(side)) = (segment.kind(), segment.side()) {
        out.extend(isb_shoulder(pose, side));
    } else {
        out.extend(turns(segment.kind()).iter().map(|it| turn_angle(it, segment.side(), pose)));
    }
    for child in SegmentId::all().filter(|it| it.parent() == Some(segment)) {
        push_segment(out, pose, child);
    }
}

/// ISB triplet Y-X-Y as right-hand rotations: plane of elevation, minus elevation, twist less plane.
pub fn isb_shoulder(pose: &Pose, side: Side) -> [f64; 3] {
    let out = side.outward();
    let flexion = pose[Coord::of(side, Dof::ShoulderFlexion)];
    let abduction = pose[Coord::of(side, Dof::ShoulderAbduction)];
    let twist = -pose[Coord::of(side, Dof::ShoulderExternalRotation)] * out;
    // Swing axis (-abduction * out, 0, flexion) = Ry(plane) applied to -X, times the elevation.
    let elevation = libm::hypot(flexion, abduction);
    let plane = libm::atan2(flexion, abduction * out);
    [plane, -elevation, twist - plane]
}

/// World places of all segments' proximal joints, in the order of [`SegmentId::all`].
pub fn places(body: &Body, pose: &Pose) -> Vec<(String, Vector3<f64>)> {
    let kinematics = handrail_anatomy::Kinematics::of(body, pose);
    SegmentId::all().map(|it| (it.name(), kinematics.origin[it.index()])).collect()
}
