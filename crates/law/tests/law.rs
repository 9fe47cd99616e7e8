//! The law in the ordinary test run: 2,000 cases; `cargo xtask law --cases 100000` for more.

use handrail_law::run;
use handrail_library::Library;

#[test]
fn no_sample_of_an_allowed_repetition_or_move_passes_a_limit() {
    let library = Library::built_in().unwrap_or_else(|problems| panic!("{problems}"));
    let report = run(&library, 2_000, 20_261_125);
    println!("{report}");
    assert_eq!(report.past, 0, "{report}");
    // The run must have seen all three answers, or it shows nothing.
    assert!(report.verdicts.iter().all(|&it| it > 15), "{report}");
    assert!(report.moves > 500, "{report}");
    // Ceilings on loads too: computed and published ones, and executions asked about.
    let loads = &report.loads;
    assert!(loads.computed_ceilings > 50 && loads.published_ceilings > 20, "{report}");
    assert!(loads.moments > 1_000_000 && report.executions > 500, "{report}");
    // The loads that free bodies find come near the bounds, or the comparison shows nothing.
    assert!(loads.seen_ratio > 0.9, "{report}");
}
