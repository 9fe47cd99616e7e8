//! The parts of the search, each against all sets: a good start hides what they would get wrong together.

use fastrand::Rng;

use super::mip::{Found, Question, find};
use super::narrow::{Left, Narrow};
use super::price::Prices;
use super::{DoseOption, Problem, Target, USUAL_RETURNS};

/// Seven exercises in two doses, five places whose costs break the triangle inequality.
fn problem(seed: u64) -> Problem {
    let mut rng = Rng::with_seed(seed);
    let target = |it: u32| Target { name: String::new(), weight: f64::from(it), weekly: 100.0 };
    let costs = |rng: &mut Rng| (0..5).map(|_| f64::from(rng.u32(0..100))).collect::<Vec<f64>>();
    let mut options = Vec::new();
    for exercise in 0..7 {
        let (place, to, more) = (rng.usize(0..5), rng.usize(0..3), rng.usize(0..3));
        for sets in 1..=2 {
            let amount = f64::from(sets * rng.u32(10..60));
            options.push(DoseOption {
                exercise,
                place,
                seconds_per_day: f64::from(sets * rng.u32(20..100)),
                weekly: vec![(to, amount), (more, 0.5 * amount)],
                exposure: vec![f64::from(sets * rng.u32(0..40))],
                bonus: if rng.u32(0..4) == 0 { 0.3 } else { 0.0 },
            });
        }
    }
    Problem {
        targets: (1..=3).map(target).collect(),
        options,
        exercises: 7,
        most: 4,
        returns: USUAL_RETURNS.to_vec(),
        share: vec![0.0, 0.9, 0.9, 0.8, 0.7],
        seconds: f64::from(rng.u32(150..600)),
        place_cost: (0..5).map(|_| costs(&mut rng)).collect(),
        start_cost: costs(&mut rng),
        end_cost: costs(&mut rng),
        ceilings: vec![f64::from(rng.u32(30..150))],
        pins: if rng.bool() { vec![rng.usize(0..7)] } else { Vec::new() },
        bans: Vec::new(),
        move_charge: 0.005,
    }
}

/// All sets of `n` exercises that keep the limits, with their values.
fn all_sets(prices: &Prices<'_>, n: usize) -> Vec<(Vec<usize>, f64)> {
    let count = prices.problem.options.len();
    let sets = (0..1u32 << count).filter(|mask| mask.count_ones() as usize == n);
    sets.filter_map(|mask| {
        let set: Vec<usize> = (0..count).filter(|it| mask & (1 << it) != 0).collect();
        prices.price(&set).map(|value| (set, value))
    })
    .collect()
}

/// All usable options, each with all others of other exercises.
fn everything(prices: &Prices<'_>) -> Left {
    let options = prices.usable.clone();
    let exercise = |it: usize| prices.option(it).exercise;
    let others = |one: usize| options.iter().copied().filter(|&it| exercise(it) != exercise(one)).collect();
    let partners = options.iter().map(|&it| others(it)).collect();
    Left { partners, tolls: vec![0.0; options.len()], options }
}

/// The solver's answer with rings excluded as they turn up.
fn answer(prices: &Prices<'_>, mut question: Question) -> Option<(Vec<usize>, f64)> {
    loop {
        match find(prices, &everything(prices), &question).expect("the solver answers") {
            Found::Nothing => return None,
            Found::Rings(rings) => question.rings.extend(rings),
            Found::Set(set) => {
                let value = prices.price(&set).expect("the answer keeps the limits");
                return Some((set, value));
            }
        }
    }
}

#[test]
fn the_solver_finds_the_best_set_of_each_number() {
    let mut answered = 0;
    for seed in 0..60 {
        let problem = problem(seed);
        let prices = Prices::new(&problem);
        for n in 1..=4 {
            let sets = all_sets(&prices, n);
            let best = sets.iter().map(|it| it.1).reduce(f64::max);
            let question = Question { n, floor: f64::NEG_INFINITY, ..Question::default() };
            let found = answer(&prices, question.clone());
            assert_eq!(found.is_some(), best.is_some(), "seed {seed}, {n} exercises");
            let (Some((set, value)), Some(best)) = (found, best) else { continue };
            assert!((value - best).abs() < 1e-6, "seed {seed}, {n} exercises: {value} is not {best}");
            answered += 1;

            let not = Question { not: vec![set.clone()], ..question.clone() };
            let second = sets.iter().filter(|it| it.0 != set).map(|it| it.1).reduce(f64::max);
            let found = answer(&prices, not).map(|it| it.1);
            assert_eq!(found.is_some(), second.is_some(), "seed {seed}, {n} exercises, the second");
            assert!(found.zip(second).is_none_or(|it| (it.0 - it.1).abs() < 1e-6));

            let floor = best - 0.5;
            let before = Question { before: Some(set.clone()), floor, ..question.clone() };
            let earlier =
                sets.iter().filter(|it| it.0 < set && it.1 >= floor).map(|it| it.1).reduce(f64::max);
            let found = answer(&prices, before);
            assert_eq!(found.is_some(), earlier.is_some(), "seed {seed}, {n} exercises, an earlier one");
            if let Some((first, value)) = found {
                assert!(first < set && (value - earlier.expect("there is one")).abs() < 1e-6);
            }
            let above = Question { floor: best + 1e-4, ..question };
            assert_eq!(answer(&prices, above), None, "seed {seed}, {n} exercises, a better one");
        }
    }
    assert!(answered > 150, "only {answered} questions had an answer");
}

#[test]
fn narrowing_keeps_every_set_that_is_good_enough() {
    let (mut dropped, mut kept) = (0, 0);
    for seed in 0..200 {
        let problem = problem(seed);
        let prices = Prices::new(&problem);
        let narrow = Narrow::new(&prices);
        for n in 1..=4 {
            let mut sets = all_sets(&prices, n);
            sets.sort_by(|a, b| b.1.total_cmp(&a.1));
            for good in [0, 3, 10] {
                // The search asks a grain beside a known value, never at the value itself.
                let Some(floor) = sets.get(good).map(|it| it.1 - prices.grain) else { continue };
                let left = narrow.left(&prices, n, floor);
                dropped += prices.usable.len() - left.options.len();
                for (set, _) in sets.iter().filter(|it| it.1 >= floor) {
                    kept += 1;
                    for one in set {
                        let at = left.options.iter().position(|it| it == one);
                        let at = at.unwrap_or_else(|| panic!("seed {seed}: {one} of {set:?} is crossed out"));
                        let apart = set.iter().find(|it| *it != one && !left.partners[at].contains(it));
                        assert_eq!(apart, None, "seed {seed}: {one} of {set:?} has lost a partner");
                    }
                }
            }
        }
    }
    assert!(dropped > 1000 && kept > 1000, "{dropped} dropped, {kept} kept");
}
