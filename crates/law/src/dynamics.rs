//! Bodies, random states and their inverse dynamics as JSON, for general physics engines to compute again.

use std::sync::Arc;

use fastrand::Rng;
use handrail_anatomy::body::SegmentMass;
use handrail_anatomy::tree::{ALL_SEGMENTS, Axis, SegmentKind, joint_rotation, turn_line, turns};
use handrail_anatomy::{Body, Coord, Dof, Person, Pose, SegmentId, SegmentTable, Sex, Side};
use handrail_library::Library;
use handrail_motion::dynamics::{Dynamics, External, GRAVITY};
use handrail_motion::solve::solve_watched;
use handrail_motion::{Detail, Home, Motion, Parameters};
use nalgebra::{Matrix3, Vector3};
use serde_json::{Value, json};

/// A person's body from a table.
pub fn person(stature: f64, mass: f64, sex: Sex, table: SegmentTable) -> Body {
    let person = Person { stature, mass, sex, measured: Default::default() };
    Body::new(person, table).unwrap_or_else(|error| panic!("{error}"))
}

/// A sagittal chain of shank, thigh and head-arms-trunk on a fixed ankle: lengths 0.43 and 0.43 m, masses
/// 3.255, 7.0 and 47.46 kg, centres of mass 0.25, 0.24 and 0.31 m above the lower joint, inertias 0.0556,
/// 0.137 and 2.9 kg m^2. Its moments are known from three engines (own vectors, reference section 4).
pub fn three_link() -> Body {
    let body = person(1.72, 70.0, Sex::Male, SegmentTable::Winter);
    let none =
        SegmentId::all().map(|it| (it, body.joint_offset(it), SegmentMass::default())).collect::<Vec<_>>();
    let link = |mass: f64, com: f64, inertia: f64| SegmentMass {
        mass,
        com: Vector3::new(0.0, com, 0.0),
        inertia: Matrix3::from_diagonal(&Vector3::new(inertia, inertia * 0.1, inertia)),
    };
    let right = |kind| SegmentId::of(kind, Side::Right);
    body.with_parts(none).with_parts([
        (SegmentId::axial(SegmentKind::Pelvis), Vector3::zeros(), link(47.46, 0.31, 2.9)),
        (right(SegmentKind::Thigh), Vector3::zeros(), link(7.0, 0.24 - 0.43, 0.137)),
        (right(SegmentKind::Shank), Vector3::new(0.0, -0.43, 0.0), link(3.255, 0.25 - 0.43, 0.0556)),
        (right(SegmentKind::Hindfoot), Vector3::new(0.0, -0.43, 0.0), SegmentMass::default()),
    ])
}

/// State of the chain from angles of its links against the lower link (first: against the upright, forward
/// positive), rates and accelerations: our pose, velocity and acceleration with the ankle at the origin.
pub fn three_link_state(q: [f64; 3], qd: [f64; 3], qdd: [f64; 3]) -> [Pose; 3] {
    let total = |it: [f64; 3]| [it[0], it[0] + it[1], it[0] + it[1] + it[2]];
    let (angle, rate, growth) = (total(q), total(qd), total(qdd));
    let mut out = [Pose::default(); 3];
    for (pose, (own, sum)) in out.iter_mut().zip([(q, angle), (qd, rate), (qdd, growth)]) {
        pose[Coord::ROOT_TILT] = -sum[2];
        pose[Coord::of(Side::Right, Dof::HipFlexion)] = own[2];
        pose[Coord::of(Side::Right, Dof::KneeFlexion)] = -own[1];
    }
    for link in 0..2 {
        let (s, c) = libm::sincos(angle[link]);
        let (w, a) = (rate[link], growth[link]);
        let terms = [(s, c), (c * w, -s * w), (c * a - s * w * w, -s * a - c * w * w)];
        for (pose, (x, y)) in out.iter_mut().zip(terms) {
            pose[Coord::ROOT_X] += 0.43 * x;
            pose[Coord::ROOT_Y] += 0.43 * y;
        }
    }
    out
}

/// Exercises whose solved repetitions are told, and instants of each.
const REPETITIONS: usize = 60;
const INSTANTS: usize = 3;

/// Bodies with random states, a chain whose moments are published, and bodies doing the library's exercises.
pub fn dump(library: &Library, states: usize, seed: u64) -> Value {
    let mut random = Rng::with_seed(seed);
    let people = [
        ("winter", person(1.72, 74.0, Sex::Female, SegmentTable::Winter)),
        ("de_leva_tall", person(1.94, 98.0, Sex::Male, SegmentTable::DeLeva)),
        ("de_leva_small", person(1.52, 51.0, Sex::Female, SegmentTable::DeLeva)),
    ];
    let mut bodies = Vec::new();
    for (name, body) in &people {
        let list: Vec<Value> = (0..states).map(|_| random_state(body, &mut random)).collect();
        bodies.push(json!({ "name": name, "segments": segments(body), "states": list }));
    }
    let chain = three_link();
    let list = [[[0.0; 3]; 2], [[0.5, -1.0, 0.7], [1.0, -2.0, 1.5]]].map(|[qd, qdd]| {
        let [q, v, a] = three_link_state([0.3, -0.9, 0.8], qd, qdd);
        state(&chain, &q, &v, &a, &[])
    });
    bodies.push(json!({ "name": "three_link", "segments": segments(&chain), "states": list }));
    // Every so-manieth exercise, the bodies and sides taking turns.
    let exercises: Vec<&Arc<Motion>> = library.exercises.values().collect();
    let chosen: Vec<&Arc<Motion>> =
        (0..REPETITIONS).map(|it| exercises[it * exercises.len() / REPETITIONS]).collect();
    for (turn, (name, body)) in people.iter().enumerate() {
        let mine = chosen.iter().skip(turn).step_by(people.len()).enumerate();
        let list: Vec<Value> =
            mine.flat_map(|(it, motion)| repetition_states(body, motion, Side::BOTH[it % 2])).collect();
        let name = format!("{name}, repetitions");
        bodies.push(json!({ "name": name, "segments": segments(body), "states": list }));
    }
    json!({ "gravity": GRAVITY, "bodies": bodies })
}

fn triple(v: &Vector3<f64>) -> Value {
    json!([v.x, v.y, v.z])
}

fn rows(m: &Matrix3<f64>) -> Value {
    json!((0..3).map(|r| (0..3).map(|c| m[(r, c)]).collect()).collect::<Vec<Vec<f64>>>())
}

fn segments(body: &Body) -> Vec<Value> {
    SegmentId::all()
        .map(|segment| {
            let mass = body.segment_mass(segment);
            let turns: Vec<Value> = turns(segment.kind())
                .iter()
                .map(|turn| {
                    let (coord, gain, constant) = turn_line(turn, segment.side());
                    let axis = match turn.axis {
                        Axis::X => "x",
                        Axis::Y => "y",
                        Axis::Z => "z",
                    };
                    json!({ "axis": axis, "coord": coord.0, "gain": gain, "constant": constant })
                })
                .collect();
            json!({
                "name": segment.name(),
                "parent": segment.parent().map_or(-1, |it| it.index() as i64),
                "offset": triple(&body.joint_offset(segment)),
                "turns": turns,
                "ball": segment.kind() == SegmentKind::UpperArm,
                "mass": mass.mass,
                "com": triple(&mass.com),
                "inertia": rows(&mass.inertia),
            })
        })
        .collect()
}

/// A pose whose angles lie within half of `turn` (rad) and whose place within half of `place` (m).
pub fn random_pose(random: &mut Rng, turn: f64, place: f64) -> Pose {
    let mut pose = Pose::default();
    for (index, slot) in pose.0.iter_mut().enumerate() {
        *slot = (random.f64() - 0.5) * if index < 3 { place } else { turn };
    }
    pose
}

fn random_vector(random: &mut Rng, size: f64) -> Vector3<f64> {
    Vector3::new(random.f64() - 0.5, random.f64() - 0.5, random.f64() - 0.5) * size
}

fn random_state(body: &Body, random: &mut Rng) -> Value {
    let q = random_pose(random, 2.4, 2.0);
    let (v, a) = (random_pose(random, 6.0, 2.0), random_pose(random, 30.0, 8.0));
    let kinematics = handrail_anatomy::Kinematics::of(body, &q);
    let externals: Vec<External> = (0..random.usize(0..6))
        .map(|_| {
            let segment =
                SegmentId::all().nth(random.usize(0..44)).unwrap_or(SegmentId::axial(SegmentKind::Pelvis));
            External {
                segment,
                point: kinematics.origin[segment.index()] + random_vector(random, 0.3),
                force: random_vector(random, 900.0),
                moment: random_vector(random, 40.0),
            }
        })
        .collect();
    state(body, &q, &v, &a, &externals)
}

/// Angular velocity and acceleration of the upper arm against the girdle, in its frame, by central
/// differences of the pose's own rotation: no formula of the dynamics is used.
fn ball(segment: SegmentId, q: &Pose, v: &Pose, a: &Pose) -> Value {
    let at = |t: f64| {
        let mut pose = *q;
        for i in 0..pose.0.len() {
            pose.0[i] += v.0[i] * t + 0.5 * a.0[i] * t * t;
        }
        joint_rotation(segment, &pose)
    };
    let now = at(0.0);
    let spin = |m: &Matrix3<f64>| {
        Vector3::new(m[(2, 1)] - m[(1, 2)], m[(0, 2)] - m[(2, 0)], m[(1, 0)] - m[(0, 1)]) / 2.0
    };
    // Richardson's extrapolation of the central difference.
    let slope = |h: f64| (at(h) - at(-h)) / (2.0 * h);
    let curve = |h: f64| (at(h) - now * 2.0 + at(-h)) / (h * h);
    let (h, k) = (1e-3, 4e-3);
    let first = (slope(h) * 4.0 - slope(2.0 * h)) / 3.0;
    let second = (curve(k) * 64.0 - curve(2.0 * k) * 20.0 + curve(4.0 * k)) / 45.0;
    let omega = spin(&(first * now.transpose()));
    let alpha = spin(&(second * now.transpose()));
    json!({ "rotation": rows(&now), "omega": triple(&omega), "alpha": triple(&alpha) })
}

fn state(body: &Body, q: &Pose, v: &Pose, a: &Pose, externals: &[External]) -> Value {
    let mut dynamics = Dynamics::default();
    dynamics.solve(body, q, v, a, externals, ALL_SEGMENTS);
    let outside: Vec<Value> = externals
        .iter()
        .map(|it| {
            json!({ "segment": it.segment.index(), "point": triple(&it.point), "force": triple(&it.force),
                "moment": triple(&it.moment) })
        })
        .collect();
    let balls: serde_json::Map<String, Value> = Side::BOTH
        .into_iter()
        .map(|side| SegmentId::of(SegmentKind::UpperArm, side))
        .map(|it| (it.name(), ball(it, q, v, a)))
        .collect();
    json!({
        "q": q.0.to_vec(), "qd": v.0.to_vec(), "qdd": a.0.to_vec(), "ball": balls, "external": outside,
        "joint_moment": dynamics.moment.iter().map(triple).collect::<Vec<_>>(),
        "joint_reaction": dynamics.reaction.iter().map(triple).collect::<Vec<_>>(),
        "coord_moment": dynamics.by_coordinate.to_vec(),
    })
}

/// Instants of a solved repetition: what inverse dynamics was given there, and the moments and reactions that
/// the repetition carries and its loads are made of. The instants lie within moves where there are any.
fn repetition_states(body: &Body, motion: &Motion, side: Side) -> Vec<Value> {
    let home = Home::usual(body.stature());
    let (mut moving, mut resting) = (Vec::new(), Vec::new());
    let solved = solve_watched(
        motion,
        body,
        &home,
        side,
        &Parameters::new(),
        Detail::Full,
        &mut |it| match it.rates {
            Some((velocity, acceleration)) => {
                moving.push((it.sample, *velocity, *acceleration, it.externals.to_vec()));
            }
            None => {
                resting.push((it.sample, Pose::default(), Pose::default(), it.externals.to_vec()));
            }
        },
    );
    // Not every body can do every exercise in its usual home.
    let Ok(repetition) = solved else { return Vec::new() };
    let from = if moving.is_empty() { &resting } else { &moving };
    (0..INSTANTS.min(from.len()))
        .map(|it| {
            let (sample, velocity, acceleration, externals) =
                &from[(2 * it + 1) * from.len() / (2 * INSTANTS.min(from.len()))];
            let joints = &repetition.joints[*sample];
            let mut out = state(body, &repetition.samples[*sample].pose, velocity, acceleration, externals);
            out["exercise"] = json!(motion.id);
            out["impact"] = json!(motion.impact);
            out["time"] = json!(repetition.samples[*sample].time);
            out["joint_reaction"] = joints.reaction.iter().map(triple).collect();
            out["coord_moment"] = json!(joints.by_coordinate.to_vec());
            out["lumbar"] =
                json!({ "moment": triple(&joints.lumbar_moment), "force": triple(&joints.lumbar_reaction) });
            out["unbalanced"] = json!(joints.unbalanced);
            out
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ankle, knee and hip moment of the chain, forward positive, as the lower link feels them.
    fn moments(qd: [f64; 3], qdd: [f64; 3]) -> [f64; 3] {
        let body = three_link();
        let [q, v, a] = three_link_state([0.3, -0.9, 0.8], qd, qdd);
        let mut dynamics = Dynamics::default();
        dynamics.outward(&body, &q, Some((&v, &a)), ALL_SEGMENTS);
        // The ground holds the ankle: it gives the whole force at the ankle (the origin) and what moment is
        // left.
        let (force, moment) = dynamics.demand();
        let foot = SegmentId::of(SegmentKind::Hindfoot, Side::Right);
        dynamics.inward(&[External { segment: foot, point: Vector3::zeros(), force, moment }], ALL_SEGMENTS);
        assert!(dynamics.moment[0].norm() < 1e-9);
        [SegmentKind::Hindfoot, SegmentKind::Shank, SegmentKind::Thigh]
            .map(|kind| dynamics.moment[SegmentId::of(kind, Side::Right).index()].z)
    }

    /// Reference section 4: static and moving vectors, on which three engines agree to 1e-6.
    #[test]
    fn the_three_link_chain_has_its_published_moments() {
        for (found, expected) in [
            (moments([0.0; 3], [0.0; 3]), [23.424857, 93.673410, -28.674065]),
            (moments([0.5, -1.0, 0.7], [1.0, -2.0, 1.5]), [36.227246, 97.018375, -22.079781]),
        ] {
            for (a, b) in found.iter().zip(expected) {
                assert!((a - b).abs() < 1e-6, "{found:?} {expected:?}");
            }
        }
    }
}
