//! Net joint moments of one leg along a measured motion in the sagittal plane.
//!
//!     cargo run --release -p handrail-motion --example gait -- IN.json OUT.json
//!
//! IN holds the person and, by frame, where the right hip joint is, the angles of the right leg with the pelvis
//! upright, and the ground's force on the foot with its moment about the world's origin. Masses of the right leg
//! may be given, so that another analysis can be repeated with its own; they are Winter's otherwise. OUT holds the
//! net joint moments of hip, knee and ankle (N m; positive pushes flexion, dorsiflexion at the ankle). Velocities
//! and accelerations are central differences of the frames, which are expected to be smooth; the first and last
//! frame have none and are left out. The check is `tests/outside/gait_cycle.py`.
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a tool for checks from outside, not part of the room"
)]
use handrail_anatomy::body::{MeasuredLengths, SegmentMass};
use handrail_anatomy::tree::{ALL_SEGMENTS, SegmentKind};
use handrail_anatomy::{Body, Coord, Dof, Person, Pose, SegmentId, SegmentTable, Sex, Side};
use handrail_motion::dynamics::{Dynamics, External};
use nalgebra::{Matrix3, Vector3};
use serde::{Deserialize, Serialize};

#[derive(Deserialize)]
struct Input {
    /// m.
    stature: f64,
    /// kg.
    mass: f64,
    sex: Sex,
    /// Hip to knee and knee to ankle, m.
    thigh: f64,
    shank: f64,
    /// Masses of thigh, shank and foot, where not Winter's.
    leg: Option<[Mass; 3]>,
    frames: Vec<Frame>,
}

#[derive(Deserialize)]
struct Mass {
    /// kg.
    mass: f64,
    /// In the segment's frame (X forward, Y up, at the proximal joint), m.
    com: [f64; 2],
    /// About the centre of mass, kg m^2.
    inertia: f64,
}

#[derive(Deserialize)]
struct Frame {
    /// s.
    time: f64,
    /// Forward and up, m.
    hip: [f64; 2],
    hip_flexion_deg: f64,
    knee_flexion_deg: f64,
    ankle_dorsiflexion_deg: f64,
    /// Of the ground on the foot, forward and up, N.
    force: [f64; 2],
    /// Of the ground on the foot about the world's origin, right-handed about Z (to the right), N m.
    moment: f64,
}

#[derive(Serialize)]
struct Moments {
    time: f64,
    hip_flexion: f64,
    knee_flexion: f64,
    ankle_dorsiflexion: f64,
}

const LEG: [Dof; 3] = [Dof::HipFlexion, Dof::KneeFlexion, Dof::AnkleDorsiflexion];

fn pose(frame: &Frame) -> Pose {
    let mut pose = Pose::default();
    pose[Coord::ROOT_X] = frame.hip[0];
    pose[Coord::ROOT_Y] = frame.hip[1];
    let angles = [frame.hip_flexion_deg, frame.knee_flexion_deg, frame.ankle_dorsiflexion_deg];
    for (dof, angle) in LEG.into_iter().zip(angles) {
        pose[Coord::of(Side::Right, dof)] = angle.to_radians();
    }
    pose
}

/// Velocity and acceleration in the middle of three frames.
fn rates(frames: &[Frame]) -> (Pose, Pose) {
    let [before, now, after] = [0, 1, 2].map(|i| pose(&frames[i]));
    let (h, k) = (frames[1].time - frames[0].time, frames[2].time - frames[1].time);
    let (mut velocity, mut acceleration) = (Pose::default(), Pose::default());
    for i in 0..now.0.len() {
        let (first, second) = ((now.0[i] - before.0[i]) / h, (after.0[i] - now.0[i]) / k);
        velocity.0[i] = (first * k + second * h) / (h + k);
        acceleration.0[i] = 2.0 * (second - first) / (h + k);
    }
    (velocity, acceleration)
}

/// The body with these masses in its right leg.
fn with_leg(body: Body, leg: &[Mass; 3]) -> Body {
    let kinds = [SegmentKind::Thigh, SegmentKind::Shank, SegmentKind::Hindfoot];
    let parts: Vec<_> = kinds
        .into_iter()
        .zip(leg)
        .map(|(kind, it)| {
            let segment = SegmentId::of(kind, Side::Right);
            let mass = SegmentMass {
                mass: it.mass,
                com: Vector3::new(it.com[0], it.com[1], 0.0),
                inertia: Matrix3::identity() * it.inertia,
            };
            (segment, body.joint_offset(segment), mass)
        })
        .collect();
    body.with_parts(parts)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut words = std::env::args().skip(1);
    let (Some(from), Some(to)) = (words.next(), words.next()) else {
        return Err("usage: gait IN.json OUT.json".into());
    };
    let input: Input = serde_json::from_str(&std::fs::read_to_string(from)?)?;
    let measured =
        MeasuredLengths { thigh: Some(input.thigh), shank: Some(input.shank), ..Default::default() };
    let person = Person { stature: input.stature, mass: input.mass, sex: input.sex, measured };
    let mut body = Body::new(person, SegmentTable::Winter)?;
    if let Some(leg) = &input.leg {
        body = with_leg(body, leg);
    }
    let foot = SegmentId::of(SegmentKind::Hindfoot, Side::Right);
    let across = body.joint_offset(SegmentId::of(SegmentKind::Thigh, Side::Right)).z;

    let mut dynamics = Dynamics::default();
    let moments: Vec<Moments> = input
        .frames
        .windows(3)
        .map(|frames| {
            let now = &frames[1];
            let (velocity, acceleration) = rates(frames);
            let ground = External {
                segment: foot,
                point: Vector3::new(0.0, 0.0, across),
                force: Vector3::new(now.force[0], now.force[1], 0.0),
                moment: Vector3::new(0.0, 0.0, now.moment),
            };
            dynamics.solve(&body, &pose(now), &velocity, &acceleration, &[ground], ALL_SEGMENTS);
            let [hip_flexion, knee_flexion, ankle_dorsiflexion] =
                LEG.map(|dof| dynamics.by_coordinate[Coord::of(Side::Right, dof).0]);
            Moments { time: now.time, hip_flexion, knee_flexion, ankle_dorsiflexion }
        })
        .collect();
    std::fs::write(to, serde_json::to_string(&moments)?)?;
    Ok(())
}
