//! Requests of every kind to every route as everybody: none is answered with an error of the server, each answer
//! carries the content policy, no patient is shown another one's name, and the journal verifies afterwards.
//!
//! The first requests walk every route as every person once; the rest are drawn. Forms are those of the rendered
//! pages, with some of their values changed. `HANDRAIL_FUZZ_CASES=20000 cargo test --release -p handrail-clinic --test
//! fuzz` runs longer than usual; `HANDRAIL_FUZZ_SEED` takes another seed.

#[path = "fuzz/asked.rs"]
mod asked;
mod common;
#[path = "fuzz/forms.rs"]
mod forms;
#[path = "fuzz/world.rs"]
mod world;

use std::collections::BTreeMap;
use std::time::{Duration, Instant};

use asked::{Asked, WHO, asked};
use handrail_clinic::routes::table;
use handrail_store::journal;
use proptest::strategy::Strategy as _;
use proptest::test_runner::{Config, RngAlgorithm, RngSeed, TestRunner};
use world::World;

/// Requests of a usual run, which ends earlier on a slow machine, but not before two have walked. A run whose length is asked for goes to its end.
const USUAL: u32 = 1500;
const LONGEST: Duration = Duration::from_secs(25);
/// The order in which everybody walks the routes: those first who get furthest.
const WALK: [usize; WHO.len()] = [3, 6, 0, 5, 4, 1, 2];

fn number(name: &str, usual: u32) -> u32 {
    std::env::var(name).map_or(usual, |it| it.parse().unwrap_or_else(|_| panic!("{name} is a number")))
}

#[test]
fn no_request_brings_the_server_to_an_error() {
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().expect("threads");
    let world = runtime.block_on(World::new());
    let wanted = number("HANDRAIL_FUZZ_CASES", USUAL) as usize;
    let is_usual = std::env::var("HANDRAIL_FUZZ_CASES").is_err();
    let (begun, mut cases) = (Instant::now(), 0);
    let seed = RngSeed::Fixed(number("HANDRAIL_FUZZ_SEED", 1).into());
    let config = Config {
        failure_persistence: None,
        max_shrink_iters: 400,
        rng_algorithm: RngAlgorithm::ChaCha,
        rng_seed: seed,
        ..Config::default()
    };
    let mut runner = TestRunner::new(config);
    let routes = table().len();
    let mut faults: BTreeMap<String, String> = BTreeMap::new();
    for case in 0..wanted {
        if is_usual && case >= routes * 2 && begun.elapsed() > LONGEST {
            break;
        }
        cases += 1;
        let drawn = asked(routes);
        let walked = (case < routes * WHO.len()).then(|| (case % routes, WALK[case / routes]));
        let strategy = drawn.prop_map(move |it| match walked {
            Some((route, who)) => Asked { route, who, ..it },
            None => it,
        });
        let tree = strategy.new_tree(&mut runner).expect("a request");
        let failed = runner.run_one(tree, |it| {
            // Only the first fault of a kind is worth its lines.
            let known = |told: &str| faults.keys().any(|it| told.starts_with(it.as_str()));
            match runtime.block_on(world.ask(&it)) {
                Err(told) if !known(&told) => Err(proptest::test_runner::TestCaseError::fail(told)),
                _ => Ok(()),
            }
        });
        if let Err(error) = failed {
            let told = error.to_string();
            let kind = told.split('\n').next().unwrap_or_default().trim_start_matches("Test failed: ");
            eprintln!("case {case}: {told}\n");
            faults.insert(kind.to_string(), told.clone());
        }
    }
    let seen = world.seen();
    eprintln!("{cases} requests: {seen:?}");
    let verified = runtime.block_on(world.desk.store.read(journal::verify)).expect("verified");
    eprintln!("{} entries in {} streams", verified.entries, verified.streams);
    assert!(faults.is_empty(), "{} faults: {:#?}", faults.len(), faults.keys());
    assert!(verified.is_whole(), "{:?}", verified.faults);
    runtime.block_on(world.every_episode_folds());
    // A walk that is refused at the gate each time would prove nothing.
    let share = |least: usize, statuses: &[u16]| {
        let found: usize = statuses.iter().filter_map(|it| seen.get(it)).sum();
        assert!(found * 100 >= cases * least, "too few of {statuses:?}: {seen:?}");
    };
    share(10, &[200, 204]);
    share(5, &[422, 400, 409]);
    share(1, &[303]);
    assert!(world.written() * 50 > cases, "forms are taken too: {} entries", world.written());
}
