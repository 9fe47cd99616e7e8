//! How long a handout of 8 exercises with 3 pictures each takes in a warm process.
//!
//! `warm` is the daily case: each sheet is for another patient, with other limits and other pictures. `again` prints the
//! same sheet once more. `cold` throws the compiler's cache away each time, as a new process would.

#![allow(missing_docs)]

#[path = "../tests/sample/mod.rs"]
mod sample;

use std::sync::atomic::{AtomicU32, Ordering};

use divan::Bencher;
use handrail_papers::{Handout, Paper, Print, handout_pdf, page_count};
use sample::Language;

static PATIENT: AtomicU32 = AtomicU32::new(0);

fn main() {
    divan::main();
}

fn next(print: Print) -> Handout {
    let number = PATIENT.fetch_add(1, Ordering::Relaxed);
    sample::for_patient(sample::handout(Language::English, Paper::A4, print), number)
}

#[divan::bench(args = [Print::Normal, Print::Large], sample_count = 40, sample_size = 1)]
fn warm(bencher: Bencher<'_, '_>, print: Print) {
    for _ in 0..3 {
        handout_pdf(&next(print)).expect("the sample can be set");
    }
    bencher.with_inputs(|| next(print)).bench_values(|handout| handout_pdf(&handout));
}

#[divan::bench(sample_count = 40, sample_size = 1)]
fn warm_pages_only(bencher: Bencher<'_, '_>) {
    bencher.with_inputs(|| next(Print::Normal)).bench_values(|handout| page_count(&handout));
}

#[divan::bench(sample_count = 20, sample_size = 1)]
fn again(bencher: Bencher<'_, '_>) {
    let handout = sample::handout(Language::English, Paper::A4, Print::Normal);
    bencher.bench(|| handout_pdf(&handout));
}

#[divan::bench(sample_count = 10, sample_size = 1)]
fn cold(bencher: Bencher<'_, '_>) {
    bencher.with_inputs(|| typst::comemo::evict(0)).bench_values(|()| handout_pdf(&next(Print::Normal)));
}
