//! What developers run: `cargo xtask law|poses|bench|shots|schema`.
#![forbid(unsafe_code)]

mod bench;
mod schema;
mod shots;

use std::path::PathBuf;
use std::process::ExitCode;

use clap::{Parser, Subcommand};
use handrail_law::run;
use handrail_library::Library;

#[derive(Parser)]
#[command(name = "cargo xtask")]
struct Cli {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// The law of the product over random cases; or a dump of cases for a physics engine.
    Law {
        /// Cases.
        #[arg(long, default_value_t = 2000)]
        cases: u64,
        /// Seed.
        #[arg(long, default_value_t = 20_261_125)]
        seed: u64,
        /// Write allowed repetitions with their limits to this file instead.
        #[arg(long)]
        dump: Option<PathBuf>,
    },
    /// Random poses of the body with the places of all segments, as JSON.
    Poses {
        /// Poses.
        #[arg(long, default_value_t = 200)]
        count: usize,
        /// Seed.
        #[arg(long, default_value_t = 1)]
        seed: u64,
    },
    /// Random states of bodies and instants of solved repetitions with inverse dynamics, as JSON for physics
    /// engines.
    Dynamics {
        /// States of each body.
        #[arg(long, default_value_t = 100)]
        cases: usize,
        /// Seed.
        #[arg(long, default_value_t = 1)]
        seed: u64,
        /// File.
        #[arg(long)]
        dump: PathBuf,
    },
    /// Benchmarks: motion, dynamics, order, choice, handout, clinic, or all.
    Bench {
        /// Which; all when left out.
        which: Option<String>,
    },
    /// Contact sheets of all exercises and pages of the demo's papers, to look at.
    Shots {
        /// Folder.
        #[arg(long, default_value = "target/shots")]
        out: PathBuf,
    },
    /// Write the JSON Schemas of the text formats to docs/schema; with --check only compare.
    Schema {
        /// Fail when a file is not fresh.
        #[arg(long)]
        check: bool,
    },
}

fn main() -> ExitCode {
    match Cli::parse().task {
        Task::Law { cases, seed, dump } => law(cases, seed, dump),
        Task::Poses { count, seed } => with_library(|library| {
            println!("{}", handrail_law::run::dump_poses(library, count, seed));
            ExitCode::SUCCESS
        }),
        Task::Dynamics { cases, seed, dump } => {
            with_library(|library| write(&dump, &handrail_law::dynamics::dump(library, cases, seed)))
        }
        Task::Bench { which } => bench::bench(which.as_deref()),
        Task::Shots { out } => shots::shots(&out),
        Task::Schema { check } => schema::schema(check),
    }
}

fn with_library(task: impl FnOnce(&Library) -> ExitCode) -> ExitCode {
    match Library::built_in() {
        Ok(library) => task(&library),
        Err(problems) => {
            eprintln!("{problems}");
            ExitCode::from(2)
        }
    }
}

fn law(cases: u64, seed: u64, dump: Option<PathBuf>) -> ExitCode {
    with_library(|library| match dump {
        Some(path) => write(&path, &handrail_law::run::dump(library, cases as usize, seed)),
        None => {
            let report = run(library, cases, seed);
            println!("{report}");
            ExitCode::from(u8::from(report.past > 0))
        }
    })
}

fn write(path: &std::path::Path, value: &impl std::fmt::Display) -> ExitCode {
    match std::fs::write(path, value.to_string()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("{}: {error}", path.display());
            ExitCode::from(2)
        }
    }
}
