//! Laws of the session order: it is the best one, precedence never makes it cheaper, labels do not matter.

use handrail_program::order::{
    Block, MAX_COST, NO_REGION, OrderError, Problem, SetsError, SetsItem, Way, sets_plan, solve,
};
use proptest::prelude::*;

#[path = "../benches/instances/mod.rs"]
mod instances;

/// All orders of `n` items, the smallest first.
fn all_orders(n: usize) -> Vec<Vec<usize>> {
    fn extend(order: &mut Vec<usize>, n: usize, all: &mut Vec<Vec<usize>>) {
        if order.len() == n {
            all.push(order.clone());
            return;
        }
        for item in 0..n {
            if !order.contains(&item) {
                order.push(item);
                extend(order, n, all);
                order.pop();
            }
        }
    }
    let mut all = Vec::new();
    extend(&mut Vec::new(), n, &mut all);
    all
}

fn keeps_precedence(problem: &Problem, order: &[usize]) -> bool {
    let place = |item| order.iter().position(|&i| i == item);
    problem.before.iter().all(|&(a, b)| place(a) < place(b))
}

/// Cost and order by trying all; written out anew, without the functions of the room.
fn brute_force(problem: &Problem) -> (u64, Vec<usize>) {
    let cost = |order: &[usize]| {
        let mut cost = u64::from(problem.start[order[0]]) + u64::from(problem.end[order[order.len() - 1]]);
        for pair in order.windows(2) {
            cost += u64::from(problem.step[pair[0]][pair[1]]);
            let (a, b) = (problem.region[pair[0]], problem.region[pair[1]]);
            if a == b && a != NO_REGION {
                cost += u64::from(problem.same_region_penalty);
            }
        }
        cost
    };
    let orders = all_orders(problem.n).into_iter().filter(|order| keeps_precedence(problem, order));
    orders.map(|order| (cost(&order), order)).min().expect("an acyclic problem has an order")
}

/// Items in a few places, costs between places: many ties and many items that cannot be told apart.
fn in_places(n: usize) -> impl Strategy<Value = Problem> {
    let place_costs = prop::collection::vec(prop::collection::vec(0_u32..30, 4), 4);
    (place_costs, prop::collection::vec(0_usize..4, n), extras(n)).prop_map(
        move |(costs, place, (region, penalty, before))| Problem {
            n,
            start: place.iter().map(|&p| costs[0][p]).collect(),
            end: place.iter().map(|&p| costs[p][0]).collect(),
            step: place
                .iter()
                .map(|&a| place.iter().map(|&b| if a == b { 0 } else { costs[a][b] }).collect())
                .collect(),
            before,
            region,
            same_region_penalty: penalty,
        },
    )
}

/// Costs of any kind, in a range that makes ties either common or rare.
fn without_structure(n: usize) -> impl Strategy<Value = Problem> {
    prop::sample::select(vec![2_u32, 20, 1000, MAX_COST]).prop_flat_map(move |top| {
        let list = || prop::collection::vec(0..=top, n);
        (list(), list(), prop::collection::vec(list(), n), extras(n)).prop_map(
            move |(start, end, step, (region, penalty, before))| Problem {
                n,
                start,
                end,
                step,
                before,
                region,
                same_region_penalty: penalty,
            },
        )
    })
}

/// Regions, penalty, and pairs without a cycle: each pair goes the way of a random ranking.
fn extras(n: usize) -> impl Strategy<Value = (Vec<u8>, u32, Vec<(usize, usize)>)> {
    let regions = prop::collection::vec(prop::sample::select(vec![0_u8, 1, 2, NO_REGION]), n);
    let ranking = Just((0..n).collect::<Vec<usize>>()).prop_shuffle();
    let pairs = prop::collection::vec((0..n, 0..n), 0..6);
    (regions, 0_u32..40, ranking, pairs).prop_map(|(regions, penalty, ranking, pairs)| {
        let pairs = pairs.into_iter().filter(|(a, b)| a != b);
        let ranked = pairs.map(|(a, b)| if ranking[a] < ranking[b] { (a, b) } else { (b, a) }).collect();
        (regions, penalty, ranked)
    })
}

fn any_problem(most: usize) -> impl Strategy<Value = Problem> {
    (1..=most).prop_flat_map(|n| prop_oneof![in_places(n).boxed(), without_structure(n).boxed()])
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn is_the_first_of_the_best(problem in any_problem(7)) {
        let (cost, order) = brute_force(&problem);
        let found = solve(&problem).unwrap();
        prop_assert_eq!(found.cost, cost);
        prop_assert_eq!(found.order, order);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn is_the_best_of_eight(problem in prop_oneof![in_places(8).boxed(), without_structure(8).boxed()]) {
        let (cost, order) = brute_force(&problem);
        let found = solve(&problem).unwrap();
        prop_assert_eq!((found.cost, found.order), (cost, order));
    }

    #[test]
    fn one_pair_more_never_costs_less(problem in any_problem(14), a in 0_usize..14, b in 0_usize..14) {
        let without = solve(&problem).unwrap();
        prop_assert!(keeps_precedence(&problem, &without.order));
        let mut more = problem.clone();
        more.before.push((a % problem.n, b % problem.n));
        match solve(&more) {
            Ok(with) => {
                prop_assert!(with.cost >= without.cost);
                prop_assert!(keeps_precedence(&more, &with.order));
            }
            Err(error) => {
                let cycle = matches!(error, OrderError::Cycle { .. });
                prop_assert!(cycle, "{}", error);
            }
        }
    }

    #[test]
    fn a_pair_that_holds_already_changes_nothing(problem in any_problem(14), k in 0_usize..13) {
        let found = solve(&problem).unwrap();
        let mut more = problem.clone();
        for pair in found.order.windows(2).skip(k).take(1) {
            more.before.push((pair[0], pair[1]));
        }
        prop_assert_eq!(solve(&more).unwrap(), found);
    }

    #[test]
    fn labels_do_not_matter(
        (problem, label) in any_problem(14).prop_flat_map(|p| {
            let labels = Just((0..p.n).collect::<Vec<usize>>()).prop_shuffle();
            (Just(p), labels)
        })
    ) {
        let n = problem.n;
        let mut renamed = problem.clone();
        for i in 0..n {
            renamed.start[label[i]] = problem.start[i];
            renamed.end[label[i]] = problem.end[i];
            renamed.region[label[i]] = problem.region[i];
            for j in 0..n {
                renamed.step[label[i]][label[j]] = problem.step[i][j];
            }
        }
        renamed.before = problem.before.iter().map(|&(a, b)| (label[a], label[b])).collect();
        prop_assert_eq!(solve(&renamed).unwrap().cost, solve(&problem).unwrap().cost);
    }

    #[test]
    fn thirteen_items_cost_what_a_plain_table_says(seed in 0_u64..1_000_000, typical in any::<bool>()) {
        let n = 13;
        let problem = if typical { instances::typical(seed, n) } else { instances::random(seed, n) };
        let found = solve(&problem).unwrap();
        prop_assert_eq!(found.cost, plain_table(&problem));
        prop_assert_eq!(found.cost, problem.cost_of(&found.order));
    }
}

/// Held and Karp's table over all sets, without any thought of speed.
fn plain_table(problem: &Problem) -> u64 {
    let n = problem.n;
    let all = (1_usize << n) - 1;
    let mut table = vec![vec![u64::MAX; n]; 1 << n];
    for set in 1..=all {
        for last in (0..n).filter(|&last| set >> last & 1 == 1) {
            let ahead = set & !(1 << last);
            if problem.before.iter().any(|&(a, b)| b == last && ahead >> a & 1 == 0) {
                continue;
            }
            table[set][last] = if ahead == 0 {
                u64::from(problem.start[last])
            } else {
                let from = (0..n).filter(|&i| ahead >> i & 1 == 1 && table[ahead][i] < u64::MAX);
                from.map(|i| table[ahead][i] + problem.step_cost(i, last)).min().unwrap_or(u64::MAX)
            };
        }
    }
    (0..n)
        .filter(|&i| table[all][i] < u64::MAX)
        .map(|i| table[all][i] + u64::from(problem.end[i]))
        .min()
        .unwrap()
}

fn free(n: usize) -> Problem {
    Problem {
        n,
        start: vec![0; n],
        end: vec![0; n],
        step: vec![vec![0; n]; n],
        before: vec![],
        region: vec![NO_REGION; n],
        same_region_penalty: 0,
    }
}

#[test]
fn no_items_no_order() {
    let none = solve(&free(0)).unwrap();
    assert_eq!((none.order, none.cost), (vec![], 0));
}

#[test]
fn free_items_stay_as_given() {
    assert_eq!(solve(&free(20)).unwrap().order, (0..20).collect::<Vec<_>>());
}

#[test]
fn one_item_costs_its_way_in_and_out() {
    let mut one = free(1);
    (one.start[0], one.end[0]) = (30, 12);
    assert_eq!(solve(&one).unwrap().cost, 42);
}

#[test]
fn two_places_are_visited_once_each() {
    // Items 0, 2, 4 on the bed, 1, 3, 5 standing; the session starts and ends standing.
    let mut p = free(6);
    for a in 0..6 {
        for b in 0..6 {
            p.step[a][b] = if a % 2 == b % 2 { 0 } else { 150 };
        }
        p.start[a] = if a % 2 == 1 { 0 } else { 150 };
        p.end[a] = p.start[a];
    }
    let found = solve(&p).unwrap();
    assert_eq!((found.order, found.cost), (vec![0, 2, 4, 1, 3, 5], 300));
}

#[test]
fn a_cycle_is_named() {
    let mut p = free(6);
    p.before = vec![(0, 1), (4, 2), (2, 3), (3, 4), (1, 2)];
    assert_eq!(solve(&p), Err(OrderError::Cycle { items: vec![2, 3, 4] }));
    assert_eq!(
        solve(&p).unwrap_err().to_string(),
        "these items must each come before the next, so none can come first: 2 before 3 before 4 before 2"
    );
    p.before = vec![(5, 5)];
    assert_eq!(solve(&p), Err(OrderError::Cycle { items: vec![5] }));
}

#[test]
fn what_cannot_be_solved_is_refused() {
    assert_eq!(solve(&free(21)), Err(OrderError::TooMany { n: 21 }));
    let mut p = free(3);
    p.before = vec![(0, 3)];
    assert_eq!(solve(&p), Err(OrderError::UnknownItem { item: 3, n: 3 }));
    let mut p = free(3);
    p.step[1].pop();
    assert_eq!(solve(&p), Err(OrderError::Shape { field: "step", expected: 3, found: 2 }));
    let mut p = free(3);
    p.end[2] = MAX_COST + 1;
    assert_eq!(solve(&p), Err(OrderError::TooDear { field: "end", cost: MAX_COST + 1 }));
}

#[test]
fn the_dearest_problem_does_not_overflow() {
    let mut p = free(20);
    p.start = vec![MAX_COST; 20];
    p.end = vec![MAX_COST; 20];
    p.step = vec![vec![MAX_COST; 20]; 20];
    p.region = vec![1; 20];
    p.same_region_penalty = MAX_COST;
    assert_eq!(solve(&p).unwrap().cost, 40 * u64::from(MAX_COST));
    p.step[3][7] = 0;
    assert_eq!(solve(&p).unwrap().cost, 39 * u64::from(MAX_COST));
}

fn item(place: u32, region: u8, sets: u32, work_seconds: u32, rest_seconds: u32) -> SetsItem {
    SetsItem { place, region, sets, work_seconds, rest_seconds }
}

#[test]
fn two_regions_take_turns() {
    // 3 x 30 s with 60 s of rest each: in place 210 s + 210 s, in rounds work 1, work 2, wait 30 s.
    let items = [item(0, 1, 3, 30, 60), item(0, 2, 3, 30, 60)];
    let plan = sets_plan(&items, &[0], 4).unwrap();
    assert_eq!((plan.seconds, plan.seconds_in_place), (240, 420));
    assert_eq!(plan.blocks, vec![Block { items: 0..2, way: Way::InRounds }]);
}

#[test]
fn one_region_gains_nothing_by_turns() {
    let items = [item(0, 1, 3, 30, 60), item(0, 1, 3, 30, 60)];
    let plan = sets_plan(&items, &[0], 4).unwrap();
    assert_eq!((plan.seconds, plan.seconds_in_place), (480, 480));
    assert!(plan.blocks.iter().all(|block| block.way == Way::InPlace));
}

#[test]
fn rounds_never_add_a_move() {
    let elsewhere = [item(0, 1, 3, 30, 60), item(1, 2, 3, 30, 60)];
    assert_eq!(sets_plan(&elsewhere, &[20], 4).unwrap().seconds, 440);
    let other_side = [item(0, 1, 3, 30, 60), item(0, 2, 3, 30, 60)];
    assert_eq!(sets_plan(&other_side, &[20], 4).unwrap().blocks.len(), 2);
}

#[test]
fn sets_are_refused_if_they_make_no_sense() {
    assert_eq!(sets_plan(&[], &[1], 4), Err(SetsError::Moves { expected: 0, found: 1 }));
    assert_eq!(sets_plan(&[item(0, 1, 0, 30, 60)], &[], 4), Err(SetsError::NoSets { item: 0 }));
    assert_eq!(sets_plan(&[], &[], 4).unwrap().seconds, 0);
}

/// Seconds of a plan, set by set on one clock.
fn time_of(items: &[SetsItem], moves: &[u32], blocks: &[std::ops::Range<usize>]) -> u64 {
    let mut clock = 0_u64;
    let mut last_end: Vec<(usize, u64)> = Vec::new();
    for block in blocks {
        if block.start > 0 {
            clock += u64::from(moves[block.start - 1]);
        }
        for round in 0..items[block.clone()].iter().map(|i| i.sets).max().unwrap() {
            for k in block.clone().filter(|&k| items[k].sets > round) {
                let rested = |&&(other, _): &&(usize, u64)| {
                    other == k || (items[other].region == items[k].region && items[k].region != NO_REGION)
                };
                let waits =
                    last_end.iter().filter(rested).map(|&(o, end)| end + u64::from(items[o].rest_seconds));
                clock = waits.max().unwrap_or(0).max(clock) + u64::from(items[k].work_seconds);
                last_end.push((k, clock));
            }
        }
    }
    clock
}

/// All ways to cut `0..n` into blocks of at most `most` items.
fn all_blocks(n: usize, most: usize) -> Vec<Vec<std::ops::Range<usize>>> {
    let mut all = Vec::new();
    for cuts in 0_u32..1 << (n - 1) {
        let mut blocks = Vec::new();
        let mut begin = 0;
        for end in 1..=n {
            if end == n || cuts >> (end - 1) & 1 == 1 {
                blocks.push(begin..end);
                begin = end;
            }
        }
        if blocks.iter().all(|block| block.len() <= most) {
            all.push(blocks);
        }
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_plan_of_sets_is_the_shortest(
        raw in prop::collection::vec((0_u32..2, 0_u8..4, 1_u32..4, 5_u32..60, 0_u32..120, 0_u32..2), 1..8),
        most in 1_usize..5,
    ) {
        let region = |r| if r == 3 { NO_REGION } else { r };
        let items: Vec<SetsItem> =
            raw.iter().map(|&(place, r, sets, work, rest, _)| item(place, region(r), sets, work, rest)).collect();
        let moves: Vec<u32> = raw.windows(2).map(|w| if w[0].0 == w[1].0 { w[0].5 * 7 } else { 25 }).collect();
        let plan = sets_plan(&items, &moves, most).unwrap();
        let may = |block: &std::ops::Range<usize>| {
            (block.start..block.end - 1).all(|k| items[k].place == items[k + 1].place && moves[k] == 0)
        };
        let in_rounds = |blocks: &[std::ops::Range<usize>]| -> usize {
            blocks.iter().map(|b| b.len()).filter(|&len| len > 1).sum()
        };
        let best = all_blocks(items.len(), most)
            .into_iter()
            .filter(|blocks| blocks.iter().all(may))
            .map(|blocks| (time_of(&items, &moves, &blocks), in_rounds(&blocks)))
            .min()
            .unwrap();
        let blocks: Vec<_> = plan.blocks.iter().map(|block| block.items.clone()).collect();
        prop_assert_eq!((plan.seconds, in_rounds(&blocks)), best);
        prop_assert_eq!(time_of(&items, &moves, &blocks), plan.seconds);
        prop_assert!(plan.seconds <= plan.seconds_in_place);
    }
}
