//! Writes sample charts of load as SVG files: `cargo run --example charts -- FOLDER`.
//!
//! Every exercise, figure and date here is invented; the charts are for looking at, not for use.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)]

#[path = "../tests/samples/mod.rs"]
mod samples;

use samples::Language::{English, Spanish};

/// Wide: a page or a desk screen. Narrow: a telephone.
const WIDTHS: [(&str, f64); 2] = [("wide", 760.0), ("narrow", 360.0)];

fn main() {
    let folder = std::env::args().nth(1).expect("give a folder");
    std::fs::create_dir_all(&folder).expect("folder");
    let save = |name: &str, text: &str| std::fs::write(format!("{folder}/{name}.svg"), text).expect("write");
    for (size, width) in WIDTHS {
        let ladders = [
            ("achilles-en", samples::achilles(English)),
            ("achilles-es", samples::achilles(Spanish)),
            ("cuff-en", samples::cuff()),
            ("three", samples::rungs(3)),
            ("forty", samples::rungs(40)),
            ("no-ceiling", samples::without_ceiling()),
        ];
        for (name, chart) in ladders {
            let text = chart.svg("ladder", width).expect("a ladder");
            println!("ladder-{name}-{size}: {} bytes", text.len());
            save(&format!("ladder-{name}-{size}"), &text);
        }
        let weeks = [
            ("en", samples::weeks(English)),
            ("es", samples::weeks(Spanish)),
            ("long", samples::many_weeks(26)),
        ];
        for (name, chart) in weeks {
            let text = chart.svg("weeks", width).expect("weeks");
            println!("weeks-{name}-{size}: {} bytes", text.len());
            save(&format!("weeks-{name}-{size}"), &text);
        }
    }
}
