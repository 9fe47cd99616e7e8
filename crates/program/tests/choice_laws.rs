//! Laws of the choice: it is the best one, limits never help, pins are in, bans are out, reasons hold.

use handrail_program::choice::{
    Choice, ChoiceError, DoseOption, Limit, Problem, Return, Target, choose, without,
};
use proptest::prelude::*;

#[path = "../benches/choices/mod.rs"]
mod choices;

/// Values closer than this count as equal; the values of these problems are of the order of 1 to 10.
const NEAR: f64 = 1e-5;

/// Value of a set by trying all orders of its places, or none where a limit is passed; written out anew,
/// without the functions of the room.
fn brute_value(p: &Problem, set: &[usize]) -> Option<f64> {
    let options: Vec<&DoseOption> = set.iter().map(|&it| &p.options[it]).collect();
    let seconds = brute_moves(p, &options) + options.iter().map(|it| it.seconds_per_day).sum::<f64>();
    let exposed = (0..p.ceilings.len())
        .any(|c| options.iter().map(|it| it.exposure[c]).sum::<f64>() > p.ceilings[c] + 1e-6);
    let banned = options.iter().any(|it| p.bans.contains(&it.exercise));
    let pinned = p.pins.iter().all(|pin| options.iter().any(|it| it.exercise == *pin));
    if seconds > p.seconds + 1e-6 || exposed || banned || !pinned {
        return None;
    }
    let mut value = 0.0;
    for (t, target) in p.targets.iter().enumerate() {
        let amount: f64 =
            options.iter().flat_map(|it| &it.weekly).filter(|it| it.0 == t).map(|it| it.1).sum();
        let mut from = 0.0;
        for Return { up_to, slope } in &p.returns {
            let in_stretch = (amount / target.weekly).clamp(from, *up_to) - from;
            value += target.weight * slope * in_stretch;
            from = *up_to;
        }
    }
    value += options.iter().map(|it| it.bonus).sum::<f64>();
    let share = if set.is_empty() { 0.0 } else { p.share[set.len()] };
    Some(share * value - p.move_charge * brute_moves(p, &options))
}

fn brute_moves(p: &Problem, options: &[&DoseOption]) -> f64 {
    fn go(p: &Problem, last: Option<usize>, left: &[usize]) -> f64 {
        let end = |place: usize| p.end_cost.get(place).copied().unwrap_or(0.0);
        if left.is_empty() {
            return last.map_or(0.0, end);
        }
        let step = |next: usize| match last {
            None => p.start_cost.get(next).copied().unwrap_or(0.0),
            Some(last) => p.place_cost[last][next],
        };
        left.iter()
            .map(|&next| {
                let rest: Vec<usize> = left.iter().copied().filter(|&it| it != next).collect();
                step(next) + go(p, Some(next), &rest)
            })
            .fold(f64::INFINITY, f64::min)
    }
    let mut places: Vec<usize> = options.iter().map(|it| it.place).collect();
    places.sort_unstable();
    places.dedup();
    go(p, None, &places)
}

/// All sets with at most `most` exercises and one dose of each, each with its value.
fn brute_sets(p: &Problem) -> Vec<(Vec<usize>, f64)> {
    fn go(p: &Problem, from: usize, set: &mut Vec<usize>, out: &mut Vec<(Vec<usize>, f64)>) {
        if let Some(value) = brute_value(p, set) {
            out.push((set.clone(), value));
        }
        if set.len() < p.most {
            for next in from..p.options.len() {
                if set.iter().all(|&it| p.options[it].exercise != p.options[next].exercise) {
                    set.push(next);
                    go(p, next + 1, set, out);
                    set.pop();
                }
            }
        }
    }
    let mut out = Vec::new();
    go(p, 0, &mut Vec::new(), &mut out);
    out
}

/// The best set: of those within `NEAR` of the highest value the smallest, and the first of these.
fn brute_force(p: &Problem) -> Option<(Vec<usize>, f64)> {
    let sets = brute_sets(p);
    let top = sets.iter().map(|it| it.1).fold(f64::NEG_INFINITY, f64::max);
    let best = sets.into_iter().filter(|it| it.1 > top - NEAR);
    best.min_by(|a, b| a.0.len().cmp(&b.0.len()).then(a.0.cmp(&b.0)))
}

fn sorted(choice: &Choice) -> Vec<usize> {
    let mut set = choice.options.clone();
    set.sort_unstable();
    set
}

/// Small problems in which every limit may bind, with costs that may break the triangle inequality, several
/// places for one exercise, and many equal values.
fn small() -> impl Strategy<Value = Problem> {
    let shape = (any::<u64>(), 0_usize..=8, 0_usize..3, 1_usize..=5);
    let limits = (1_u32..=20, 1_u32..=10, 0_u32..3, any::<bool>());
    let wishes = (prop::collection::vec(0_usize..8, 0..3), prop::collection::vec(0_usize..8, 0..3));
    (shape, limits, wishes).prop_map(
        |((seed, n, kind, most), (minutes, ceiling, shares, open), (pins, bans))| {
            let make = [choices::typical, choices::even_share, choices::alike][kind];
            let mut p = make(seed, n);
            p.most = most;
            p.seconds = f64::from(minutes) * 60.0;
            p.ceilings.fill(f64::from(ceiling) * 100.0);
            if shares == 2 {
                p.share = (0..=8).map(|it| 0.1 * f64::from(it)).collect();
            }
            if open {
                p.start_cost.clear();
                p.end_cost.clear();
                p.move_charge = 0.02;
            }
            // One exercise may be done elsewhere.
            let places = p.place_cost.len();
            if let Some(option) = p.options.last_mut() {
                option.place = (option.place + 1) % places;
            }
            p.bans = bans.into_iter().filter(|it| *it < n).collect();
            p.pins = pins.into_iter().filter(|it| *it < n && !p.bans.contains(it)).collect();
            p.pins.truncate(most);
            p
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn it_is_the_first_of_the_best_of_all_sets(p in small()) {
        match (choose(&p), brute_force(&p)) {
            (Ok(choice), Some((set, value))) => {
                prop_assert!((choice.value - value).abs() < NEAR, "{} is not {value}", choice.value);
                prop_assert_eq!(sorted(&choice), set);
            }
            (Err(error), None) => prop_assert!(
                matches!(
                    error,
                    ChoiceError::PinsTooLong { .. }
                        | ChoiceError::PinsOverCeiling { .. }
                        | ChoiceError::PinsTogether
                ),
                "{error}"
            ),
            (choice, brute) => prop_assert!(false, "{choice:?} where trying all gives {brute:?}"),
        }
    }

    #[test]
    fn the_same_problem_has_the_same_answer(p in small()) {
        prop_assert_eq!(choose(&p), choose(&p));
    }

    #[test]
    fn the_order_of_its_places_is_the_shortest(p in small()) {
        if let Ok(choice) = choose(&p) {
            let options: Vec<&DoseOption> = choice.options.iter().map(|&it| &p.options[it]).collect();
            let mut way: Vec<usize> = options.iter().map(|it| it.place).collect();
            way.dedup();
            let at = |list: &[f64], place: Option<&usize>| {
                place.and_then(|&it| list.get(it)).copied().unwrap_or(0.0)
            };
            let steps: f64 = way.windows(2).map(|it| p.place_cost[it[0]][it[1]]).sum();
            let seconds = at(&p.start_cost, way.first()) + steps + at(&p.end_cost, way.last());
            prop_assert!((seconds - choice.move_seconds).abs() < 1e-6);
            prop_assert!((seconds - brute_moves(&p, &options)).abs() < 1e-6);
            let mut once = way.clone();
            once.sort_unstable();
            once.dedup();
            prop_assert_eq!(once.len(), way.len());
        }
    }

    #[test]
    fn another_exercise_never_lowers_the_value(p in small()) {
        if let Some(last) = p.exercises.checked_sub(1).filter(|it| !p.pins.contains(it)) {
            let mut fewer = p.clone();
            fewer.bans.push(last);
            if let Ok(before) = choose(&fewer) {
                let after = choose(&Problem { bans: p.bans.iter().copied().filter(|it| *it != last).collect(), ..p });
                prop_assert!(after.expect("what could be chosen before can be chosen now").value > before.value - NEAR);
            }
        }
    }

    #[test]
    fn a_tighter_limit_never_raises_the_value(p in small(), limit in 0_usize..3) {
        let mut tighter = p.clone();
        match limit {
            2 => tighter.seconds *= 0.8,
            it => tighter.ceilings[it] *= 0.8,
        }
        if let Ok(tight) = choose(&tighter) {
            prop_assert!(choose(&p).expect("wider limits").value > tight.value - NEAR);
        }
    }

    #[test]
    fn pins_are_in_and_never_raise_the_value(p in small()) {
        if let Ok(choice) = choose(&p) {
            let exercises: Vec<usize> = choice.options.iter().map(|&it| p.options[it].exercise).collect();
            prop_assert!(p.pins.iter().all(|it| exercises.contains(it)));
            prop_assert!(!p.bans.iter().any(|it| exercises.contains(it)));
            let free = choose(&Problem { pins: Vec::new(), ..p }).expect("fewer conditions");
            prop_assert!(free.value > choice.value - NEAR);
        }
    }

    #[test]
    fn reasons_hold(p in small()) {
        let Ok(choice) = choose(&p) else { return Ok(()) };
        let value = |set: &[usize]| brute_value(&Problem { pins: Vec::new(), ..p.clone() }, set);
        for reason in &choice.reasons {
            let rest: Vec<usize> = sorted(&choice).into_iter().filter(|it| *it != reason.option).collect();
            // Without the triangle inequality a shorter program can take longer, and so have no value.
            if let Some(rest) = value(&rest) {
                prop_assert!((choice.value - rest - reason.marginal).abs() < NEAR);
                prop_assert!(reason.pinned || reason.marginal > -NEAR);
            }
        }
        for binding in &choice.binding {
            let mut lifted = p.clone();
            match binding.limit {
                Limit::Minutes => lifted.seconds = f64::INFINITY,
                Limit::Number => lifted.most += 1,
                Limit::Ceiling(it) => lifted.ceilings[it] = f64::INFINITY,
            }
            let better = choose(&lifted).expect("wider limits").value;
            prop_assert!(better > choice.value + binding.gain - NEAR);
            let least = without(&p, binding.limit).expect("wider limits").value;
            prop_assert!(least > choice.value + binding.gain - NEAR);
        }
        if let Some(left) = &choice.left_out {
            let mut with = sorted(&choice);
            with.push(left.option);
            let room = Problem { seconds: f64::INFINITY, ceilings: vec![f64::INFINITY; 2], ..p.clone() };
            let with = brute_value(&room, &with).expect("no limit is left");
            prop_assert!((with - choice.value - left.change).abs() < NEAR);
            // The best program with room for it would have it, or it is not worth it.
            prop_assert!(!left.passes.is_empty() || left.change < NEAR);
        }
    }
}

/// Exercise `exercise` at place 0 that takes `seconds` and does `amount` for target 0.
fn option(exercise: usize, seconds: f64, amount: f64, exposure: f64) -> DoseOption {
    DoseOption {
        exercise,
        place: 0,
        seconds_per_day: seconds,
        weekly: vec![(0, amount)],
        exposure: vec![exposure],
        bonus: 0.0,
    }
}

fn plain(options: Vec<DoseOption>) -> Problem {
    let target = |name: &str| Target { name: name.into(), weight: 1.0, weekly: 100.0 };
    Problem {
        targets: vec![target("knee extension"), target("calf")],
        exercises: options.iter().map(|it| it.exercise + 1).max().unwrap_or(0),
        options,
        most: 4,
        returns: vec![Return { up_to: 1.0, slope: 1.0 }],
        share: vec![0.0, 0.8, 0.8, 0.8, 0.8],
        seconds: 600.0,
        place_cost: vec![vec![0.0]],
        start_cost: Vec::new(),
        end_cost: Vec::new(),
        ceilings: vec![100.0],
        pins: Vec::new(),
        bans: Vec::new(),
        move_charge: 0.0,
    }
}

#[test]
fn minutes_bind_and_say_by_how_much() {
    let choice =
        choose(&plain(vec![option(0, 400.0, 60.0, 0.0), option(1, 300.0, 40.0, 0.0)])).expect("a choice");
    assert_eq!(choice.options, [0]);
    assert!((choice.value - 0.48).abs() < 1e-12);
    let [binding] = choice.binding.as_slice() else { panic!("{:?}", choice.binding) };
    assert_eq!((binding.limit, binding.change.into, binding.over), (Limit::Minutes, 1, 100.0));
    assert!((binding.gain - 0.32).abs() < 1e-12);
    let left = choice.left_out.expect("one is left out");
    assert_eq!((left.option, left.passes.as_slice()), (1, [Limit::Minutes].as_slice()));
    assert_eq!(choice.untrained, [1], "nothing trains the calf");
}

#[test]
fn among_equals_the_first_and_fewest_are_taken() {
    let same = vec![option(0, 60.0, 50.0, 0.0), option(1, 60.0, 100.0, 0.0), option(2, 60.0, 100.0, 0.0)];
    assert_eq!(
        choose(&plain(same)).expect("a choice").options,
        [1],
        "0 adds nothing to 1, and 1 comes before 2"
    );
}

#[test]
fn nothing_to_choose_from_is_an_empty_program() {
    let choice = choose(&plain(Vec::new())).expect("an empty program");
    assert_eq!((choice.options.len(), choice.value, choice.seconds), (0, 0.0, 0.0));
    assert_eq!(choice.untrained, [0, 1]);
}

#[test]
fn pins_that_do_not_fit_are_named_by_their_limit() {
    let two = |seconds: f64, exposure: f64| {
        let mut p = plain(vec![
            option(0, seconds, 10.0, exposure),
            option(0, 2.0 * seconds, 20.0, 2.0 * exposure),
            option(1, seconds, 10.0, exposure),
        ]);
        p.pins = vec![1, 0, 1];
        p
    };
    assert!(choose(&two(300.0, 50.0)).is_ok());
    assert_eq!(choose(&two(301.0, 50.0)), Err(ChoiceError::PinsTooLong { least: 602.0, allowed: 600.0 }));
    let over = ChoiceError::PinsOverCeiling { ceiling: 0, least: 102.0, allowed: 100.0 };
    assert_eq!(choose(&two(1.0, 51.0)), Err(over));
    let unknown = choose(&two(1.0, f64::INFINITY)).expect_err("a load that is not known is refused");
    assert!(unknown.to_string().contains("not known"), "{unknown}");

    let mut split = two(300.0, 0.0);
    split.options[0].exposure = vec![101.0];
    split.options[1].exposure = vec![0.0];
    assert_eq!(choose(&split), Err(ChoiceError::PinsTogether));

    let mut both = two(1.0, 0.0);
    both.bans = vec![0];
    assert_eq!(choose(&both), Err(ChoiceError::PinnedAndBanned { exercise: 0 }));
    both.bans.clear();
    both.most = 1;
    assert_eq!(choose(&both), Err(ChoiceError::TooManyPins { pins: 2, most: 1 }));
}

#[test]
fn a_load_that_is_not_known_is_refused_by_a_ceiling_only() {
    let mut p = plain(vec![option(0, 60.0, 50.0, f64::INFINITY)]);
    let choice = choose(&p).expect("an empty program");
    assert!(choice.options.is_empty());
    assert_eq!(choice.left_out.expect("it is left out").passes, [Limit::Ceiling(0)]);
    p.ceilings = vec![f64::INFINITY];
    assert_eq!(choose(&p).expect("no ceiling").options, [0]);
}

#[test]
fn problems_that_are_not_well_formed_are_refused() {
    let refused = |change: fn(&mut Problem)| {
        let mut p = plain(vec![option(0, 60.0, 50.0, 0.0)]);
        change(&mut p);
        choose(&p).expect_err("it is not well formed").to_string()
    };
    assert!(refused(|p| p.share.truncate(3)).contains("`share` has 3 entries where 5"));
    assert!(refused(|p| p.options[0].place = 1).contains("`place` names number 1"));
    assert!(refused(|p| p.options[0].exposure.clear()).contains("`exposure` has 0 entries"));
    assert!(refused(|p| p.targets[0].weekly = 0.0).contains("above zero"));
    assert!(refused(|p| p.seconds = f64::NAN).contains("`seconds` is NaN"));
    assert!(
        refused(|p| p.returns.push(Return { up_to: 2.0, slope: 1.5 })).contains("no more than the slope")
    );
    assert!(refused(|p| p.most = 13).contains("at most 12"));
    assert!(refused(|p| p.pins = vec![7]).contains("`pins` names number 7"));
}
