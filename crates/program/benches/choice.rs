//! Time to choose a program from 80 exercises in up to three doses each, with the order of its places and its
//! reasons. Each sample is another problem, so median and slowest are over problems.

mod choices;

use divan::{Bencher, counter::ItemsCount};
use handrail_program::choice::{Problem, choose};
use std::sync::atomic::{AtomicU64, Ordering};

fn main() {
    divan::main();
}

fn bench(bencher: Bencher, make: fn(u64, usize) -> Problem) {
    let seed = AtomicU64::new(1);
    bencher
        .counter(ItemsCount::new(80_usize))
        .with_inputs(|| make(seed.fetch_add(1, Ordering::Relaxed), 80))
        .bench_refs(|problem| choose(problem));
}

/// At most four exercises, done less the more there are.
#[divan::bench(sample_count = 60, sample_size = 1)]
fn n80_typical(bencher: Bencher) {
    bench(bencher, choices::typical);
}

/// At most four exercises, done alike however many there are: nothing but the limits keeps the program short.
#[divan::bench(sample_count = 60, sample_size = 1)]
fn n80_even_share(bencher: Bencher) {
    bench(bencher, choices::even_share);
}

/// Exercises of which many are worth the same.
#[divan::bench(sample_count = 60, sample_size = 1)]
fn n80_alike(bencher: Bencher) {
    bench(bencher, choices::alike);
}
