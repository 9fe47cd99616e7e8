//! Prints random problems of choice with this program's answer and time, as JSON.
//!
//! `choice_instances SEED COUNT N [typical|even_share|alike]`; `tests/outside/choice_cpsat.py` reads the output
//! and checks each value with an outside solver.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)] // an example may time and print

#[path = "../benches/choices/mod.rs"]
mod choices;

use handrail_program::choice::{Choice, Problem, choose};
use std::time::Instant;

const USAGE: &str = "usage: choice_instances SEED COUNT N [typical|even_share|alike]";

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [seed, count, n, kind @ ..] = words.as_slice() else { return Err(USAGE.into()) };
    let (seed, count, n): (u64, u64, usize) = (seed.parse()?, count.parse()?, n.parse()?);
    let make = match kind.first().map(String::as_str) {
        None | Some("typical") => choices::typical,
        Some("even_share") => choices::even_share,
        Some("alike") => choices::alike,
        Some(other) => return Err(format!("unknown kind {other:?}; {USAGE}").into()),
    };
    println!("[");
    for k in 0..count {
        let problem = make(seed + k, n);
        let begin = Instant::now();
        let choice = choose(&problem)?;
        let micros = begin.elapsed().as_secs_f64() * 1e6;
        let comma = if k + 1 == count { "" } else { "," };
        println!("{}{comma}", json(&problem, &choice, micros));
    }
    println!("]");
    Ok(())
}

/// Lists of numbers print as JSON lists as they are; pairs need square brackets.
fn json(p: &Problem, choice: &Choice, micros: f64) -> String {
    let targets: Vec<[f64; 2]> = p.targets.iter().map(|it| [it.weight, it.weekly]).collect();
    let returns: Vec<[f64; 2]> = p.returns.iter().map(|it| [it.up_to, it.slope]).collect();
    let options: Vec<String> = p
        .options
        .iter()
        .map(|it| {
            let weekly: Vec<[f64; 2]> = it.weekly.iter().map(|&(to, amount)| [to as f64, amount]).collect();
            format!(
                "{{\"exercise\": {}, \"place\": {}, \"seconds\": {:?}, \"weekly\": {weekly:?}, \
                 \"exposure\": {:?}, \"bonus\": {:?}}}",
                it.exercise, it.place, it.seconds_per_day, it.exposure, it.bonus
            )
        })
        .collect();
    format!(
        "{{\"targets\": {targets:?}, \"returns\": {returns:?}, \"options\": [{}], \"most\": {}, \"share\": {:?}, \
         \"seconds\": {:?}, \"place_cost\": {:?}, \"start_cost\": {:?}, \"end_cost\": {:?}, \"ceilings\": {:?}, \
         \"move_charge\": {:?}, \"chosen\": {:?}, \"value\": {:?}, \"micros\": {micros:.1}}}",
        options.join(", "),
        p.most,
        p.share,
        p.seconds,
        p.place_cost,
        p.start_cost,
        p.end_cost,
        p.ceilings,
        p.move_charge,
        choice.options,
        choice.value,
    )
}
