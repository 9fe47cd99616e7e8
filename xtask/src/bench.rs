//! Runs the benchmarks one after another.

mod clinic;
mod load;
mod rates;
mod server;

use std::path::Path;
use std::process::{Command, ExitCode};

use serde_json::Value;

/// Benchmarks by name: package and bench target.
const ALL: [(&str, &str, &str); 5] = [
    ("motion", "handrail-law", "motion"),
    ("dynamics", "handrail-law", "dynamics"),
    ("order", "handrail-program", "order"),
    ("choice", "handrail-program", "choice"),
    ("handout", "handrail-papers", "handout"),
];

/// The clinic's server under load, which is no bench target of a package.
const CLINIC: &str = "clinic";

/// Python with the rigid-body engines.
const PYTHON: &str = "target/outside/venv/bin/python";
/// Where the states for the engines go.
const STATES: &str = "target/dynamics-states.json";

/// Engine, key of its time, key of ours, and the largest ratio ours to theirs that is asked for.
const RATIOS: [(&str, &str, &str, Option<f64>); 4] = [
    ("Pinocchio rnea", "pinocchio_rnea_us", "inverse_us", Some(1.0)),
    ("MuJoCo mj_inverse", "mujoco_inverse_us", "inverse_us", Some(0.5)),
    ("Pinocchio forwardKinematics", "pinocchio_kinematics_us", "kinematics_us", None),
    ("MuJoCo mj_kinematics", "mujoco_kinematics_us", "kinematics_us", None),
];

/// Runs one or all.
pub fn bench(which: Option<&str>) -> ExitCode {
    let chosen: Vec<_> = ALL.iter().filter(|it| which.is_none_or(|name| name == it.0)).collect();
    let with_clinic = which.is_none_or(|name| name == CLINIC);
    if chosen.is_empty() && !with_clinic {
        let names: Vec<&str> = ALL.iter().map(|it| it.0).chain([CLINIC]).collect();
        eprintln!("no such benchmark; there are: {}", names.join(", "));
        return ExitCode::from(2);
    }
    let mut unmeasured = false;
    for (name, package, target) in chosen {
        println!("== {name}");
        let done = Command::new("cargo").args(["bench", "--package", package, "--bench", target]).status();
        if !done.is_ok_and(|it| it.success()) {
            return ExitCode::from(1);
        }
        if *name == "dynamics"
            && let Err(why) = against_engines()
        {
            eprintln!("not measured against the rigid-body engines: {why}");
            unmeasured = true;
        }
    }
    if with_clinic {
        println!("== {CLINIC}");
        let ended = clinic::clinic();
        if ended != ExitCode::SUCCESS {
            return ended;
        }
    }
    ExitCode::from(u8::from(unmeasured))
}

/// Prints our time of inverse dynamics and kinematics beside that of two rigid-body engines on the same tree,
/// taken in the same minute.
fn against_engines() -> Result<(), String> {
    if !Path::new(PYTHON).exists() {
        return Err(format!(
            "{PYTHON} is missing. Make it with\n  python3 -m venv target/outside/venv\n  \
             target/outside/venv/bin/pip install -r tests/outside/requirements.txt\n\
             (tests/all.sh does the same)"
        ));
    }
    let library = handrail_library::Library::built_in().map_err(|it| it.to_string())?;
    let states = handrail_law::dynamics::dump(&library, 16, 3);
    std::fs::write(STATES, states.to_string()).map_err(|error| format!("{STATES}: {error}"))?;
    // Built before and run without cargo: nothing stands between the measurements. Ours before and after theirs.
    let build = "build --release --package handrail-law --example dynamics_speed";
    let built = Command::new("cargo").args(build.split(' ')).status();
    if !built.is_ok_and(|it| it.success()) {
        return Err(format!("cargo {build} failed"));
    }
    let here = std::env::current_exe().map_err(|error| error.to_string())?;
    let example = here.with_file_name("examples").join("dynamics_speed");
    let own = || json_of(&mut Command::new(&example));
    let before = own()?;
    let theirs = json_of(Command::new(PYTHON).args(["tests/outside/dynamics_speed.py", STATES]))?;
    let after = own()?;
    for tree in ["whole", "massive"] {
        let count = |of: &str| &before[tree][of];
        println!("{tree} tree: {} segments, {} freedoms, µs per pose", count("segments"), count("freedoms"));
        for (engine, key, own, bar) in RATIOS {
            let number = |from: &Value, key: &str| {
                from[tree][key].as_f64().ok_or_else(|| format!("no `{tree}.{key}` was printed"))
            };
            let us = (number(&before, own)? + number(&after, own)?) / 2.0;
            let engine_us = number(&theirs, key)?;
            let ratio = us / engine_us;
            let verdict = match bar.filter(|_| tree == "whole") {
                Some(bar) if ratio <= bar => format!("; at most {bar} asked: kept"),
                Some(bar) => format!("; at most {bar} asked: MISSED"),
                None => String::new(),
            };
            println!("  {own:14} {us:.3}, {engine} {engine_us:.3}: ratio {ratio:.2}{verdict}");
        }
    }
    println!("  {}", theirs["method"].as_str().unwrap_or_default());
    Ok(())
}

fn json_of(command: &mut Command) -> Result<Value, String> {
    let output = command.output().map_err(|error| format!("{command:?}: {error}"))?;
    if !output.status.success() {
        return Err(format!("{command:?} failed\n{}", String::from_utf8_lossy(&output.stderr)));
    }
    serde_json::from_slice(&output.stdout).map_err(|error| format!("{command:?}: {error}"))
}
