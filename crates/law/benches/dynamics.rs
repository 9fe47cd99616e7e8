//! Speed of inverse dynamics and of what is built on it. Bars: inverse dynamics of the whole tree no slower
//! than Pinocchio's on the same tree and at least twice as fast as MuJoCo's (`cargo xtask bench dynamics`
//! prints the ratios); a repetition with loads <= 1 ms; 1,000 executions of one exercise <= 150 ms on two
//! cores. The allocator counts: inverse dynamics and the sharing of contact forces allocate nothing.

use divan::{AllocProfiler, Bencher};
use handrail_anatomy::tree::{ALL_SEGMENTS, Twists};
use handrail_anatomy::{Body, Kinematics, Pose, SegmentTable, Sex, Side, Tissue};
use handrail_law::dynamics::{person, random_pose};
use handrail_library::Library;
use handrail_motion::dynamics::Dynamics;
use handrail_motion::load::tissue_load;
use handrail_motion::statics::{Support, share};
use handrail_motion::{Home, Parameters, solve};
use handrail_program::{Case, Margins, robustness};
use handrail_protocol::{Orders, envelope};
use jiff::civil::date;
use nalgebra::Vector3;

#[global_allocator]
static ALLOCATOR: AllocProfiler = AllocProfiler::system();

fn main() {
    divan::main();
}

fn body() -> Body {
    person(1.72, 74.0, Sex::Female, SegmentTable::Winter)
}

fn states() -> Vec<[Pose; 3]> {
    let mut random = fastrand::Rng::with_seed(3);
    (0..64)
        .map(|_| {
            [
                random_pose(&mut random, 2.0, 1.0),
                random_pose(&mut random, 4.0, 2.0),
                random_pose(&mut random, 20.0, 8.0),
            ]
        })
        .collect()
}

/// 64 poses of the whole tree of 44 segments: net moments of all joints.
#[divan::bench(sample_count = 500)]
fn inverse_dynamics_64_poses(bencher: Bencher) {
    let (body, states) = (body(), states());
    let mut dynamics = Dynamics::default();
    bencher.bench_local(|| {
        for [q, v, a] in &states {
            dynamics.solve(&body, q, v, a, &[], ALL_SEGMENTS);
            divan::black_box(&dynamics.by_coordinate);
        }
    });
}

/// The same poses, kinematics only.
#[divan::bench(sample_count = 500)]
fn kinematics_64_poses(bencher: Bencher) {
    let (body, states) = (body(), states());
    let mut kinematics = Kinematics::default();
    bencher.bench_local(|| {
        for [q, _, _] in &states {
            kinematics.update(&body, q, ALL_SEGMENTS, Twists::Skip);
            divan::black_box(&kinematics.origin);
        }
    });
}

/// Two feet of three points each share a force and a moment.
#[divan::bench(sample_count = 500)]
fn share_among_six_supports(bencher: Bencher) {
    let supports: Vec<Support> =
        [(0.0, -0.1), (0.17, -0.12), (0.15, -0.06), (0.0, 0.1), (0.17, 0.12), (0.15, 0.06)]
            .map(|(x, z)| Support { place: Vector3::new(x, 0.0, z), normal: Vector3::y() })
            .to_vec();
    let mut out = vec![Vector3::zeros(); 6];
    let force = Vector3::new(8.0, 740.0, 3.0);
    let moment = Vector3::new(0.08, 1.0, 0.02).cross(&force);
    bencher.bench_local(|| share(&supports, force, divan::black_box(moment), &mut out));
}

/// One repetition solved, with contact forces, joint moments and the load on a tissue.
#[divan::bench(args = ["straight-leg-raise", "seated-heel-raise", "single-leg-heel-raise", "bridge", "step-down", "wall-slide"], sample_count = 200)]
fn repetition_with_loads(bencher: Bencher, exercise: &str) {
    let library = Library::built_in().unwrap_or_else(|problems| panic!("{problems}"));
    let body = body();
    let home = Home::usual(body.stature());
    let motion = &library.exercises[exercise];
    bencher.bench_local(|| {
        let repetition = solve(motion, &motion.core, &body, &home, Side::Left, &Parameters::new())?;
        let load = tissue_load(motion, &body, &repetition, Tissue::AchillesTendon, Side::Left);
        Ok::<_, handrail_motion::SolveError>((repetition, load))
    });
}

/// 1,000 simulated executions of one exercise against the limits of a day.
#[divan::bench(args = ["seated-heel-slide", "seated-heel-raise", "single-leg-heel-raise", "long-arc-quad"], sample_count = 5)]
fn thousand_executions(bencher: Bencher, exercise: &str) {
    let library = Library::built_in().unwrap_or_else(|problems| panic!("{problems}"));
    let body = body();
    let home = Home::usual(body.stature());
    let motion = &library.exercises[exercise];
    let protocol = &library.protocols["achilles-repair"];
    let mut orders = Orders::new(date(2026, 11, 6), Side::Left);
    for variant in &protocol.variants {
        orders.variants.insert(variant.name.clone(), variant.choices[0].clone());
    }
    let envelope = envelope(protocol, &orders, date(2026, 11, 25)).expect("orders fit the protocol");
    let case = Case { body: &body, home: &home, envelope: &envelope, margins: Margins::STATED };
    bencher.bench_local(|| robustness(motion, Side::Left, &case, &Parameters::new(), 1000, 1));
}
