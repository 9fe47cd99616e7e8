//! Time to order a session of 20 items. Each sample is another session, so the median is over sessions.

mod instances;

use divan::{Bencher, counter::ItemsCount};
use handrail_program::order::{Problem, solve};
use std::sync::atomic::{AtomicU64, Ordering};

fn main() {
    divan::main();
}

fn bench(bencher: Bencher, make: fn(u64, usize) -> Problem) {
    let seed = AtomicU64::new(1);
    bencher
        .counter(ItemsCount::new(20_usize))
        .with_inputs(|| make(seed.fetch_add(1, Ordering::Relaxed), 20))
        .bench_refs(|problem| solve(problem));
}

/// 3 to 8 places, three sides, device on or off, warm-up first, up to three pairs in a set order.
#[divan::bench(sample_count = 300, sample_size = 1)]
fn n20_typical(bencher: Bencher) {
    bench(bencher, instances::typical);
}

/// Each cost drawn by itself, up to four pairs in a set order.
#[divan::bench(sample_count = 300, sample_size = 1)]
fn n20_random(bencher: Bencher) {
    bench(bencher, instances::random);
}
