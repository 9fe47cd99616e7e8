//! What must hold of simulated executions whatever the exercise: the same seed gives the same answer on one
//! core as on all, and a looser limit is never passed more often.

use handrail_anatomy::Side;
use handrail_motion::load::tissue_load;
use handrail_motion::{Load, Motion, Parameters};
use handrail_program::{Case, Robustness, robustness};
use handrail_protocol::{Envelope, InForce, Limit, WeightBearing};

/// Executions of each question; few, because every answer is asked for many times.
const EXECUTIONS: u32 = 40;
/// Steps by which a limit is loosened: degrees, share of a ceiling, kg.
const LOOSER: [(f64, f64, f64); 3] = [(2.0, 1.1, 2.0), (6.0, 1.4, 8.0), (20.0, 2.5, 40.0)];

/// Findings in words, and how many comparisons were made.
pub fn check(
    motion: &Motion,
    side: Side,
    case: &Case<'_>,
    parameters: &Parameters,
    peak_of: &handrail_motion::Repetition,
    seed: u64,
) -> (Vec<String>, u64) {
    let mut findings = Vec::new();
    let mut made = 1;
    let ask = |envelope: &Envelope| {
        robustness(motion, side, &Case { envelope, ..*case }, parameters, EXECUTIONS, seed)
    };
    let first = ask(case.envelope);
    if first != ask(case.envelope) || Some(&first) != on_one_core(|| ask(case.envelope)).as_ref() {
        findings.push("executions answer differently when asked again".into());
    }
    // Ceilings about the load itself, where executions pass and keep them.
    let mut envelope = case.envelope.clone();
    if let Some(pattern) = envelope.in_force.first().cloned() {
        for &tissue in handrail_anatomy::Tissue::ALL {
            if let Load::Known(load) = tissue_load(motion, case.body, peak_of, tissue, envelope.side) {
                let middle = (load.peak.low + load.peak.high) / 2.0;
                let limit = Limit::TissueLoad { tissue, max: middle, class: None };
                envelope.in_force.push(InForce { limit, ..pattern.clone() });
            }
        }
    }
    let tight = ask(&envelope);
    if tight.past < first.past {
        findings.push("fewer executions pass under more limits".into());
    }
    for index in 0..envelope.in_force.len() {
        let mut last = tight.clone();
        for step in LOOSER {
            let mut other = envelope.clone();
            let Some(limit) = loosened(&envelope.in_force[index].limit, step) else { break };
            other.in_force[index].limit = limit;
            let answer = ask(&other);
            made += 1;
            if is_worse(&answer, &last) {
                let id = &envelope.in_force[index].id;
                findings.push(format!("{} pass after {id} was loosened, {} before", answer.past, last.past));
            }
            last = answer;
        }
    }
    (findings, made)
}

fn is_worse(looser: &Robustness, tighter: &Robustness) -> bool {
    looser.past > tighter.past || looser.is_tight() && !tighter.is_tight()
}

fn on_one_core<T: Send>(ask: impl FnOnce() -> T + Send) -> Option<T> {
    rayon::ThreadPoolBuilder::new().num_threads(1).build().ok().map(|pool| pool.install(ask))
}

/// The same limit, milder; `None` for limits without an amount that executions change.
fn loosened(limit: &Limit, (deg, share, kg): (f64, f64, f64)) -> Option<Limit> {
    let mut out = limit.clone();
    match &mut out {
        Limit::Motion { max_deg, .. } => *max_deg += deg,
        Limit::Combination(edges) => edges.first_mut()?.deg += deg,
        Limit::TissueLoad { max, .. } => *max *= share,
        Limit::LegWeightBearing(allowed) | Limit::ArmWeightBearing(allowed) => match allowed {
            WeightBearing::None => *allowed = WeightBearing::Kilograms(kg),
            WeightBearing::Kilograms(now) => *now += kg,
            WeightBearing::PercentBodyWeight(now) => *now += kg,
            WeightBearing::AsTolerated | WeightBearing::Full => return None,
        },
        _ => return None,
    }
    Some(out)
}
