//! Prints random session-order instances with this program's answer and time, as JSON.
//!
//! `order_instances SEED COUNT N [typical|random]`; `tests/outside/order_cpsat.py` reads the output and
//! checks each cost with an outside solver.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)] // an example may time and print

#[path = "../benches/instances/mod.rs"]
mod instances;

use handrail_program::order::{Problem, solve};
use std::time::Instant;

const USAGE: &str = "usage: order_instances SEED COUNT N [typical|random]";

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let [seed, count, n, kind @ ..] = words.as_slice() else { return Err(USAGE.into()) };
    let (seed, count, n): (u64, u64, usize) = (seed.parse()?, count.parse()?, n.parse()?);
    let make = match kind.first().map(String::as_str) {
        None | Some("typical") => instances::typical,
        Some("random") => instances::random,
        Some(other) => return Err(format!("unknown kind {other:?}; {USAGE}").into()),
    };
    println!("[");
    for k in 0..count {
        let problem = make(seed + k, n);
        let begin = Instant::now();
        let solution = solve(&problem)?;
        let micros = begin.elapsed().as_secs_f64() * 1e6;
        let comma = if k + 1 == count { "" } else { "," };
        println!("{}{comma}", json(&problem, &solution.order, solution.cost, micros));
    }
    println!("]");
    Ok(())
}

/// Lists of whole numbers print as JSON lists as they are; pairs need square brackets.
fn json(p: &Problem, order: &[usize], cost: u64, micros: f64) -> String {
    let before: Vec<[usize; 2]> = p.before.iter().map(|&(a, b)| [a, b]).collect();
    format!(
        "{{\"n\": {}, \"start\": {:?}, \"end\": {:?}, \"step\": {:?}, \"before\": {before:?}, \"region\": {:?}, \
         \"no_region\": {}, \"same_region_penalty\": {}, \"order\": {order:?}, \"cost\": {cost}, \"micros\": {micros:.1}}}",
        p.n,
        p.start,
        p.end,
        p.step,
        p.region,
        handrail_program::order::NO_REGION,
        p.same_region_penalty
    )
}
