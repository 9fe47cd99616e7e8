//! The built-in exercises, bodies to solve them on, and places of points in a solved repetition.
#![allow(dead_code)] // each test file uses a part of it

use std::sync::{Arc, LazyLock};

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Coord, Dof, Kinematics, Landmark, Person, SegmentTable, Sex, Side};
use handrail_library::Library;
use handrail_motion::{Home, Motion, Parameters, Repetition, Sample, solve};
use nalgebra::Vector3;

pub static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().unwrap_or_else(|problems| panic!("{problems}")));

pub fn exercise(id: &str) -> &'static Arc<Motion> {
    LIBRARY.exercises.get(id).unwrap_or_else(|| panic!("there is no exercise `{id}`"))
}

pub fn body(stature: f64, mass: f64, sex: Sex) -> Body {
    let person = Person { stature, mass, sex, measured: MeasuredLengths::default() };
    Body::new(person, SegmentTable::Winter).unwrap()
}

/// A small woman, a middle-sized man, a tall man.
pub fn bodies() -> [Body; 3] {
    [body(1.54, 55.0, Sex::Female), body(1.70, 75.0, Sex::Male), body(1.90, 98.0, Sex::Male)]
}

pub fn solved(motion: &Motion, body: &Body, side: Side) -> Repetition {
    solved_with(motion, body, side, &[])
}

pub fn solved_with(motion: &Motion, body: &Body, side: Side, set: &[(&str, f64)]) -> Repetition {
    let home = Home::usual(body.stature());
    let parameters: Parameters = set.iter().map(|(name, value)| (name.to_string(), *value)).collect();
    solve(motion, &motion.core, body, &home, side, &parameters)
        .unwrap_or_else(|error| panic!("{} on {} m: {error}", motion.id, body.stature()))
}

/// Place of a landmark in a sample, worked out from the pose alone.
pub fn place(body: &Body, sample: &Sample, side: Side, landmark: Landmark) -> Vector3<f64> {
    landmark.place(body, &Kinematics::of(body, &sample.pose), side)
}

/// Places of a landmark in every sample.
pub fn track(body: &Body, repetition: &Repetition, side: Side, landmark: Landmark) -> Vec<Vector3<f64>> {
    repetition.samples.iter().map(|it| place(body, it, side, landmark)).collect()
}

/// Farthest that a point is ever from its first place, m.
pub fn drift(track: &[Vector3<f64>]) -> f64 {
    track.iter().map(|it| (it - track[0]).norm()).fold(0.0, f64::max)
}

/// Least and greatest of a value over the samples.
pub fn range(repetition: &Repetition, read: impl Fn(&Sample) -> f64) -> (f64, f64) {
    repetition
        .samples
        .iter()
        .map(read)
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| (low.min(it), high.max(it)))
}

/// Coordinates of the middle of the body that change sign in a mirror.
pub const SIDEWAYS: [Coord; 7] = [
    Coord::ROOT_Z,
    Coord::ROOT_TURN,
    Coord::ROOT_LIST,
    Coord::TRUNK_SIDE_BEND,
    Coord::TRUNK_ROTATION,
    Coord::NECK_SIDE_BEND,
    Coord::NECK_ROTATION,
];

/// The coordinate that a mirror shows in the place of this one, and its sign there.
pub fn mirrored(coord: Coord) -> (Coord, f64) {
    match coord.limb() {
        Some((side, dof)) => (Coord::of(side.other(), dof), 1.0),
        None if SIDEWAYS.contains(&coord) => (coord, -1.0),
        None => (coord, 1.0),
    }
}

pub fn ankle(sample: &Sample, side: Side) -> f64 {
    sample.pose.deg(side, Dof::AnkleDorsiflexion)
}
