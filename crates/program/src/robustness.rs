//! How sure a limit is kept when a real person does the exercise: many simulated repetitions.
//!
//! Each execution draws the patient's error of execution, the furniture, the proportions of the body and the
//! moment arms anew, is solved again and held against the same limits by the same reasons. The stated margins
//! count as two standard deviations; a moment arm is drawn evenly over its published range. The draws depend
//! on the seed and the number of the execution alone, so the answer does not depend on how many cores work.

use fastrand::Rng;
use handrail_anatomy::body::Proportions;
use handrail_anatomy::{Body, Side};
use handrail_motion::load::tissue_load;
use handrail_motion::{Detail, Load, Motion, Parameters, Repetition, TissueLoad, solve_in};
use handrail_protocol::{InForce, Limit};
use rayon::prelude::*;

use crate::verdict::{Case, limit_reasons, raised};

/// Simulated executions where nobody asks for another number: one in a hundred is then ten of them.
pub const EXECUTIONS: u32 = 1000;
/// Seed where nobody asks for another one.
pub const SEED: u64 = 20_261_125;
/// An exercise is tight when more than one in so many executions passes a limit.
pub const ONE_IN: u32 = 100;

/// What came of the executions.
#[derive(Clone, Debug, PartialEq)]
pub struct Robustness {
    /// Executions.
    pub executions: u32,
    /// Executions that pass at least one limit.
    pub past: u32,
    /// Executions that the body cannot do; they pass nothing.
    pub impossible: u32,
    /// Restriction that is passed most often, and how often.
    pub most: Option<(String, u32)>,
}

impl Robustness {
    /// Share of the executions that passes a limit.
    pub fn share(&self) -> f64 {
        f64::from(self.past) / f64::from(self.executions.max(1))
    }

    /// More than one in a hundred passes a limit.
    pub fn is_tight(&self) -> bool {
        self.past * ONE_IN > self.executions
    }
}

/// Simulates executions of an exercise with these parameters.
pub fn robustness(
    motion: &Motion,
    side: Side,
    case: &Case<'_>,
    parameters: &Parameters,
    executions: u32,
    seed: u64,
) -> Robustness {
    let watched: Vec<&InForce> = case.envelope.in_force.iter().filter(|it| varies(&it.limit)).collect();
    let mut out = Robustness { executions, past: 0, impossible: 0, most: None };
    if watched.is_empty() {
        return out;
    }
    let execution = |index: u32| one(motion, side, case, parameters, &watched, seed, index);
    let answers: Vec<Option<u64>> = (0..executions).into_par_iter().map(execution).collect();
    let mut counts = vec![0u32; watched.len()];
    for answer in answers {
        let Some(passed) = answer else {
            out.impossible += 1;
            continue;
        };
        out.past += u32::from(passed != 0);
        for (index, count) in counts.iter_mut().enumerate() {
            *count += u32::from(passed & (1 << index.min(63)) != 0);
        }
    }
    out.most = (0..watched.len())
        .filter(|&it| counts[it] > 0)
        .max_by_key(|&it| (counts[it], std::cmp::Reverse(it)))
        .map(|it| (watched[it].id.clone(), counts[it]));
    out
}

/// Limits that an execution may pass although the exercise as written keeps them.
fn varies(limit: &Limit) -> bool {
    matches!(
        limit,
        Limit::Motion { .. }
            | Limit::Combination(_)
            | Limit::LegWeightBearing(_)
            | Limit::ArmWeightBearing(_)
            | Limit::TissueLoad { .. }
    )
}

/// Bits of the watched limits that one execution passes; `None` when this body cannot do it.
fn one(
    motion: &Motion,
    side: Side,
    case: &Case<'_>,
    parameters: &Parameters,
    watched: &[&InForce],
    seed: u64,
    index: u32,
) -> Option<u64> {
    // Spread so that neighbouring executions begin far apart.
    let mut random = Rng::with_seed(seed ^ u64::from(index).wrapping_mul(0x9E37_79B9_7F4A_7C15));
    let mut changed = parameters.clone();
    for parameter in motion.parameters.iter().filter(|it| it.tolerance > 0.0) {
        *changed.entry(parameter.name.clone()).or_default() +=
            half_normal_step(&mut random, parameter.tolerance);
    }
    let furniture = half_normal_step(&mut random, case.margins.furniture);
    let home = raised(case.home, furniture);
    let body = drawn(case.body, &mut random);
    let arm = random.f64();
    let solved = solve_in(motion, &motion.core, &body, &home, side, &changed, Detail::Coarse).ok()?;
    let case = Case { body: &body, home: &home, ..*case };
    let mut passed = 0;
    for (bit, limit) in watched.iter().enumerate() {
        if passes(motion, &solved, &case, limit, arm) {
            passed |= 1 << bit.min(63);
        }
    }
    Some(passed)
}

fn passes(motion: &Motion, repetition: &Repetition, case: &Case<'_>, limit: &InForce, arm: f64) -> bool {
    let Limit::TissueLoad { tissue, max, .. } = limit.limit else {
        return !limit_reasons(motion, repetition, case, limit).is_empty();
    };
    match tissue_load(motion, case.body, repetition, tissue, case.envelope.side) {
        Load::Known(load) => at_arm(&load, arm) > max,
        Load::Order { .. } | Load::NotKnown(_) => true,
    }
}

/// Peak with a moment arm that lies this share of the way from the least to the greatest: force is moment over
/// arm, so the share runs evenly over the inverse of the force. Published bounds are drawn the same way.
fn at_arm(load: &TissueLoad, share: f64) -> f64 {
    if load.peak.low <= 0.0 {
        return load.peak.high * (1.0 - share);
    }
    1.0 / ((1.0 - share) / load.peak.high + share / load.peak.low)
}

/// A normal draw whose two standard deviations are `margin`.
fn half_normal_step(random: &mut Rng, margin: f64) -> f64 {
    normal(random) * margin / 2.0
}

/// Standard normal draw (Box & Muller 1958, one of the pair).
fn normal(random: &mut Rng) -> f64 {
    let radius = libm::sqrt(-2.0 * libm::log(1.0 - random.f64()));
    radius * libm::cos(2.0 * std::f64::consts::PI * random.f64())
}

/// The same person with proportions drawn around the known ones.
fn drawn(body: &Body, random: &mut Rng) -> Body {
    let mut p = body.proportions;
    let (leg, arm) = (Proportions::LEG_SD, Proportions::ARM_SD);
    for (length, sd) in
        [(&mut p.thigh, leg), (&mut p.shank, leg), (&mut p.upper_arm, arm), (&mut p.forearm, arm)]
    {
        *length += normal(random) * sd;
    }
    Body::with_proportions(body.person, body.table, p)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn draws_have_the_stated_spread() {
        let mut random = Rng::with_seed(1);
        let values: Vec<f64> = (0..20_000).map(|_| half_normal_step(&mut random, 0.03)).collect();
        let mean = values.iter().sum::<f64>() / 20_000.0;
        let sd = libm::sqrt(values.iter().map(|it| (it - mean) * (it - mean)).sum::<f64>() / 20_000.0);
        assert!(mean.abs() < 5e-4 && (sd - 0.015).abs() < 3e-4, "{mean} {sd}");
    }

    #[test]
    fn one_in_a_hundred_is_not_yet_tight() {
        let found = |past| Robustness { executions: 1000, past, impossible: 0, most: None }.is_tight();
        assert!(!found(10) && found(11));
    }
}
