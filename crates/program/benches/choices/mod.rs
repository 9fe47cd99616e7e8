//! Random problems of choice for benches, laws and the outside check; the same seed gives the same problem.
//!
//! All numbers are whole or short decimals, so that an outside solver can work in whole numbers.

use fastrand::Rng;
use handrail_program::choice::{DoseOption, Problem, Target, USUAL_RETURNS};
use handrail_program::expected_share;

/// A phase with 8 to 12 targets in 5 to 8 places; each exercise serves up to three targets in up to three
/// doses; two ceilings; 10 to 20 minutes; at most four exercises, done less the more there are.
pub fn typical(seed: u64, exercises: usize) -> Problem {
    let mut rng = Rng::with_seed(seed);
    let places = rng.usize(5..=8);
    let targets: Vec<Target> = (0..rng.usize(8..=12))
        .map(|it| Target {
            name: format!("target {it}"),
            weight: rng.u32(1..=4).into(),
            weekly: pick(&mut rng, &[60.0, 120.0, 180.0, 240.0]),
        })
        .collect();
    let options = (0..exercises).flat_map(|it| doses(&mut rng, it, places, targets.len())).collect();
    let between = |rng: &mut Rng, a: usize, b: usize| if a == b { 0.0 } else { rng.u32(5..=60).into() };
    Problem {
        options,
        exercises,
        most: 4,
        returns: USUAL_RETURNS.to_vec(),
        share: (0..=8).map(expected_share).collect(),
        seconds: pick(&mut rng, &[600.0, 900.0, 1200.0]),
        place_cost: (0..places).map(|a| (0..places).map(|b| between(&mut rng, a, b)).collect()).collect(),
        start_cost: (0..places).map(|_| rng.u32(0..=30).into()).collect(),
        end_cost: (0..places).map(|_| rng.u32(0..=30).into()).collect(),
        ceilings: (0..2).map(|_| rng.u32(400..=900).into()).collect(),
        pins: Vec::new(),
        bans: Vec::new(),
        move_charge: 0.002,
        targets,
    }
}

/// As [`typical`], but a program of any length is done alike, so that only the limits keep it short.
pub fn even_share(seed: u64, exercises: usize) -> Problem {
    let mut problem = typical(seed, exercises);
    problem.share.fill(0.8);
    problem
}

/// As [`typical`], but doses, times and amounts come from a few values, so that many programs are equal.
pub fn alike(seed: u64, exercises: usize) -> Problem {
    let mut problem = typical(seed, exercises);
    let mut rng = Rng::with_seed(!seed);
    for option in &mut problem.options {
        option.seconds_per_day = 120.0;
        option.exposure.fill(100.0);
        option.bonus = 0.0;
        option.weekly = vec![(rng.usize(..problem.targets.len()), 60.0)];
    }
    problem
}

fn pick(rng: &mut Rng, list: &[f64]) -> f64 {
    list[rng.usize(..list.len())]
}

/// One, two, three sets of an exercise.
fn doses(rng: &mut Rng, exercise: usize, places: usize, targets: usize) -> Vec<DoseOption> {
    let place = rng.usize(..places);
    let reps = pick(rng, &[8.0, 10.0, 12.0, 15.0]);
    let days = f64::from(rng.u32(3..=7));
    let mut serves: Vec<(usize, f64)> = vec![(rng.usize(..targets), 1.0)];
    for _ in 0..rng.usize(0..=2) {
        let target = rng.usize(..targets);
        if serves.iter().all(|it| it.0 != target) {
            serves.push((target, pick(rng, &[0.5, 0.25])));
        }
    }
    let (tempo, rest) = (f64::from(rng.u32(3..=8)), pick(rng, &[20.0, 30.0, 60.0]));
    let loads: Vec<f64> = (0..2).map(|_| rng.u32(0..=30).into()).collect();
    let bonus = if rng.u32(0..5) == 0 { 0.2 } else { 0.0 };
    (1..=rng.u32(1..=3))
        .map(f64::from)
        .map(|sets| DoseOption {
            exercise,
            place,
            seconds_per_day: sets * reps * tempo + (sets - 1.0) * rest,
            weekly: serves.iter().map(|&(it, part)| (it, (sets * reps * days * part).floor())).collect(),
            exposure: loads.iter().map(|it| it * sets * days).collect(),
            bonus,
        })
        .collect()
}
