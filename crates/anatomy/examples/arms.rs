//! Prints every moment arm over its angles, and the patellofemoral ratio, as JSON; angles in degrees, arms in
//! metres.
#![allow(clippy::disallowed_macros, reason = "a tool for checks from outside, not part of the room")]

use handrail_anatomy::{MOMENT_ARMS, patellofemoral_ratio};
use serde_json::{Map, Value, json};

fn main() {
    let arms: Vec<Value> = MOMENT_ARMS
        .iter()
        .map(|arm| {
            let over = (-60..=150).step_by(5).map(|deg| (deg, arm.at(f64::from(deg))));
            json!({
                "of": arm.of.id(),
                "joint": arm.joint.id(),
                "motion": arm.motion,
                "known": arm.known.id(),
                "at": over.map(|(deg, it)| (deg.to_string(), json!([it.low, it.high]))).collect::<Map<_, _>>(),
            })
        })
        .collect();
    let ratio = (0..=120).step_by(5).map(|deg| (deg.to_string(), patellofemoral_ratio(f64::from(deg))));
    let ratio: Map<_, _> = ratio.map(|(deg, it)| (deg, json!([it.low, it.high]))).collect();
    println!("{}", json!({ "arms": arms, "patellofemoral_ratio": ratio }));
}
