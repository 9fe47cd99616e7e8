//! Writes sample envelope charts, small timelines and response strips as SVG files:
//! `cargo run --example gallery_envelope -- FOLDER`.
//!
//! Every patient, order, figure and date here is invented; the charts are for looking at, not for use.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)]

#[path = "../tests/envelopes/mod.rs"]
mod envelopes;

use handrail_figures::timeline::SmallSize;

/// A desk screen and a telephone.
const WIDTHS: [(&str, f64); 2] = [("wide", 1100.0), ("narrow", 390.0)];

fn main() {
    let folder = std::env::args().nth(1).expect("give a folder");
    std::fs::create_dir_all(&folder).expect("folder");
    let save = |name: &str, text: &str| {
        println!("{name}: {} bytes", text.len());
        std::fs::write(format!("{folder}/{name}.svg"), text).expect("write");
    };
    for (size, width) in WIDTHS {
        for (name, chart) in [
            ("ankle", envelopes::ankle()),
            ("knee", envelopes::knee()),
            ("shoulder", envelopes::shoulder()),
            ("tobillo", envelopes::tobillo()),
            ("odd", envelopes::odd()),
        ] {
            save(&format!("envelope-{name}-{size}"), &chart.svg("envelope", width).expect("a chart"));
        }
        for days in [14, 60] {
            let text = envelopes::response(days).svg("response", width).expect("a strip");
            save(&format!("response-{days}-{size}"), &text);
        }
    }
    for (name, strip) in envelopes::small() {
        for (size, width) in [("wide", SmallSize::Wide), ("narrow", SmallSize::Narrow)] {
            save(&format!("small-{name}-{size}"), &strip.svg("small", width).expect("a strip"));
        }
    }
}
