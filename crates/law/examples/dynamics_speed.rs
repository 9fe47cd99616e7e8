//! Time of inverse dynamics and of kinematics, as JSON: microseconds per pose for the whole tree and for the
//! tree without the segments beyond which there is no mass. The counterpart of
//! `tests/outside/dynamics_speed.py`: sixteen states in turn, medians over rounds of calls.

use std::time::Instant;

use handrail_anatomy::tree::{ALL_SEGMENTS, SegmentKind, Twists, turns};
use handrail_anatomy::{Body, Kinematics, Pose, SegmentId, SegmentTable, Sex};
use handrail_law::dynamics::{person, random_pose};
use handrail_motion::dynamics::Dynamics;
use serde_json::{Value, json};

/// Rounds, and calls in each.
const ROUNDS: usize = 200;
const CALLS: usize = 1000;

fn main() {
    let body = person(1.72, 74.0, Sex::Female, SegmentTable::Winter);
    let mut random = fastrand::Rng::with_seed(3);
    let states: Vec<[Pose; 3]> = (0..16)
        .map(|_| {
            [(2.4, 2.0), (6.0, 2.0), (30.0, 8.0)].map(|(turn, place)| random_pose(&mut random, turn, place))
        })
        .collect();
    let out = json!({
        "method": "median of rounds; states take turns",
        "rounds": ROUNDS,
        "calls": CALLS,
        "whole": times(&body, &states, ALL_SEGMENTS),
        "massive": times(&body, &states, massive(&body)),
    });
    println!("{out:#}");
}

/// Segments with mass and their ancestors.
fn massive(body: &Body) -> u64 {
    let heavy = SegmentId::all().filter(|it| body.segment_mass(*it).mass > 0.0);
    heavy.fold(0, |mask, it| mask | it.chain_mask())
}

fn times(body: &Body, states: &[[Pose; 3]], mask: u64) -> Value {
    let (mut dynamics, mut kinematics) = (Dynamics::default(), Kinematics::default());
    let mut inverse = |it: usize| {
        let [q, v, a] = &states[it % states.len()];
        dynamics.solve(body, q, v, a, &[], mask);
        std::hint::black_box(&dynamics.by_coordinate);
    };
    let mut places = |it: usize| {
        kinematics.update(body, &states[it % states.len()][0], mask, Twists::Skip);
        std::hint::black_box(&kinematics.origin);
    };
    let (mut of_inverse, mut of_places) = (Vec::new(), Vec::new());
    // The first round warms up.
    for round in 0..=ROUNDS {
        let (first, second) = (seconds(&mut inverse), seconds(&mut places));
        if round > 0 {
            of_inverse.push(first);
            of_places.push(second);
        }
    }
    let segments = || SegmentId::all().filter(|it| mask & (1 << it.index()) != 0);
    json!({
        "segments": segments().count(),
        "freedoms": 3 + segments().map(freedoms).sum::<usize>(),
        "inverse_us": median(of_inverse) * 1e6,
        "kinematics_us": median(of_places) * 1e6,
    })
}

/// Turns of a segment's joint; the shoulder is a ball.
fn freedoms(segment: SegmentId) -> usize {
    if segment.kind() == SegmentKind::UpperArm { 3 } else { turns(segment.kind()).len() }
}

/// Seconds per call.
fn seconds(call: &mut impl FnMut(usize)) -> f64 {
    let begin = Instant::now();
    (0..CALLS).for_each(call);
    begin.elapsed().as_secs_f64() / CALLS as f64
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}
