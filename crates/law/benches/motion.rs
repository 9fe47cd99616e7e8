//! Speed of the solver and of the verdicts. Bars: a repetition <= 0.5 ms median (closed chains <= 1 ms); the
//! whole library for one patient, limit searches and margins included, <= 150 ms.

use std::collections::BTreeMap;

use divan::Bencher;
use handrail_anatomy::{Body, Person, SegmentTable, Sex, Side};
use handrail_library::Library;
use handrail_motion::{Home, solve};
use handrail_program::{Case, Margins, verdict};
use handrail_protocol::{Orders, envelope};
use jiff::civil::date;

fn main() {
    divan::main();
}

fn library() -> Library {
    Library::built_in().unwrap_or_else(|problems| panic!("{problems}"))
}

fn body() -> Body {
    let person = Person { stature: 1.72, mass: 74.0, sex: Sex::Female, measured: Default::default() };
    Body::new(person, SegmentTable::Winter).expect("a plausible body")
}

/// One repetition of an open chain and of closed ones.
#[divan::bench(args = ["straight-leg-raise", "seated-heel-slide", "side-lying-clam", "bridge", "step-down", "wall-slide"], sample_count = 200)]
fn repetition(bencher: Bencher, exercise: &str) {
    let (library, body) = (library(), body());
    let home = Home::usual(body.stature());
    let motion = &library.exercises[exercise];
    bencher.bench_local(|| solve(motion, &motion.core, &body, &home, Side::Left, &BTreeMap::new()));
}

/// Median over the library, measured as the whole library solved once.
#[divan::bench(sample_count = 30)]
fn all_repetitions(bencher: Bencher) {
    let (library, body) = (library(), body());
    let home = Home::usual(body.stature());
    bencher.bench_local(|| {
        library
            .exercises
            .values()
            .filter(|it| solve(it, &it.core, &body, &home, Side::Left, &BTreeMap::new()).is_ok())
            .count()
    });
}

/// The whole library verified against one patient on one day of each protocol.
#[divan::bench(args = ["achilles-repair", "acl-reconstruction", "rotator-cuff-repair"], sample_count = 20)]
fn verify_library(bencher: Bencher, protocol: &str) {
    let (library, body) = (library(), body());
    let home = Home::usual(body.stature());
    let protocol = &library.protocols[protocol];
    let mut orders = Orders::new(date(2026, 11, 6), Side::Left);
    for variant in &protocol.variants {
        orders.variants.insert(variant.name.clone(), variant.choices[0].clone());
    }
    let envelope = envelope(protocol, &orders, date(2026, 11, 25)).expect("orders fit the protocol");
    let case = Case { body: &body, home: &home, envelope: &envelope, margins: Margins::STATED };
    bencher.bench_local(|| {
        library.exercises.values().map(|it| verdict(it, Side::Left, &case).kind as usize).sum::<usize>()
    });
}

/// Reading and checking all content: what every command begins with.
#[divan::bench(sample_count = 20)]
fn read_content(bencher: Bencher) {
    bencher.bench_local(library);
}
