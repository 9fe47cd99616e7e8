//! Time of one caseload line, which is made within each durable write.

#![allow(clippy::disallowed_macros)] // a bench may print

#[path = "../tests/common/mod.rs"]
mod common;

use common::{LIBRARY, day, long_case};
use divan::{Bencher, black_box};
use handrail_episode::fold;
use handrail_progress::{Summary, attention, summary};
use handrail_protocol::envelope;

const PROTOCOLS: [&str; 3] = ["achilles-repair", "acl-reconstruction", "rotator-cuff-repair"];

fn main() {
    for protocol in PROTOCOLS {
        let case = long_case(protocol);
        let made = summary(&case.episode(), case.protocol, day(120));
        let windows = attention(&case.episode(), case.protocol, day(120)).len();
        let size = serde_json::to_string(&made).map_or(0, |it| it.len());
        println!("{protocol}: {} entries, {windows} windows, {size} bytes", case.entries.len());
    }
    divan::main();
}

#[divan::bench(args = PROTOCOLS)]
fn one_envelope(bencher: Bencher, protocol: &str) {
    let case = long_case(protocol);
    let episode = case.episode();
    bencher.bench(|| envelope(case.protocol, black_box(&episode.orders), day(20)));
}

#[divan::bench(args = PROTOCOLS)]
fn fold_of_entries(bencher: Bencher, protocol: &str) {
    let case = long_case(protocol);
    bencher.bench(|| fold("test", black_box(&case.entries)));
}

#[divan::bench(args = PROTOCOLS)]
fn windows_on_day_20(bencher: Bencher, protocol: &str) {
    let mut case = long_case(protocol);
    case.entries.retain(|it| it.on <= day(20));
    let episode = case.episode();
    bencher.bench(|| attention(black_box(&episode), &LIBRARY.protocols[protocol], day(20)));
}

#[divan::bench(args = PROTOCOLS)]
fn summary_on_day_120(bencher: Bencher, protocol: &str) {
    let case = long_case(protocol);
    let episode = case.episode();
    bencher.bench(|| summary(black_box(&episode), case.protocol, day(120)));
}

#[divan::bench(args = PROTOCOLS)]
fn summary_to_json_and_back(bencher: Bencher, protocol: &str) {
    let case = long_case(protocol);
    let made = summary(&case.episode(), case.protocol, day(120));
    bencher.bench(|| {
        let text = serde_json::to_string(black_box(&made)).unwrap_or_default();
        serde_json::from_str::<Summary>(&text)
    });
}
