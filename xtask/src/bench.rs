//! Runs the benchmarks one after another.

use std::process::{Command, ExitCode};

/// Benchmarks by name: package and bench target.
const ALL: [(&str, &str, &str); 3] = [
    ("motion", "handrail-law", "motion"),
    ("order", "handrail-program", "order"),
    ("handout", "handrail-papers", "handout"),
];

/// Runs one or all.
pub fn bench(which: Option<&str>) -> ExitCode {
    let chosen: Vec<_> = ALL.iter().filter(|it| which.is_none_or(|name| name == it.0)).collect();
    if chosen.is_empty() {
        let names: Vec<&str> = ALL.iter().map(|it| it.0).collect();
        eprintln!("no such benchmark; there are: {}", names.join(", "));
        return ExitCode::from(2);
    }
    for (name, package, target) in chosen {
        println!("== {name}");
        let done = Command::new("cargo").args(["bench", "--package", package, "--bench", target]).status();
        if !done.is_ok_and(|it| it.success()) {
            return ExitCode::from(1);
        }
    }
    ExitCode::SUCCESS
}
