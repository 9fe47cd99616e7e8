//! A plausible recovery: what a measurement would show on a day, and how much a session would hurt.
//!
//! The curves are invented: they approach their end by exponentials, so that records look like records. No figure
//! here is a norm, and nothing outside of this crate reads them.

use fastrand::Rng;
use handrail_anatomy::Drive;
use handrail_measures::{Kind, Quantity, quantity};
use handrail_protocol::{Criterion, Envelope, Limit, Protocol, Threshold};

/// How fast this patient recovers: 1 is usual, more is faster.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Pace(pub f64);

/// A measurement as it would be taken: both values in the unit of the quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Taken {
    /// Operated side, or the person where there are no sides.
    pub operated: f64,
    /// Other side, where it is measured for comparison.
    pub other: Option<f64>,
    /// How the joint was moved.
    pub drive: Option<Drive>,
    /// Instrument and position.
    pub method: Option<&'static str>,
}

/// One curve: from `start` on day `from` towards `end`, two thirds of the way in `days`.
struct Curve {
    from: f64,
    start: f64,
    end: f64,
    days: f64,
    noise: f64,
    step: f64,
    other: Option<f64>,
    method: &'static str,
}

const GONIOMETER: &str = "goniometer, lying";

/// Curve of a quantity; `None` where this crate has none.
fn curve(name: &str) -> Option<Curve> {
    let it = |from, start, end, days, noise, step, other, method| {
        Some(Curve { from, start, end, days, noise, step, other, method })
    };
    match name {
        "ankle_dorsiflexion_active" => it(14.0, -20.0, 16.0, 25.0, 1.5, 1.0, Some(16.0), GONIOMETER),
        "ankle_plantarflexion_active" => it(14.0, 25.0, 52.0, 30.0, 2.0, 1.0, Some(54.0), GONIOMETER),
        "single_leg_stance" => it(56.0, 1.0, 32.0, 28.0, 1.5, 1.0, Some(31.0), "stopwatch, eyes open"),
        "heel_rise_count" => {
            it(84.0, 0.0, 27.0, 55.0, 1.0, 1.0, Some(29.0), "single leg, full height, paced")
        }
        "heel_rise_height" => it(84.0, 3.0, 12.0, 40.0, 0.3, 0.1, Some(12.4), "tape at the wall"),
        "heel_rise_work" => {
            it(98.0, 250.0, 1900.0, 95.0, 40.0, 10.0, Some(2150.0), "height by count by weight")
        }
        "knee_extension_passive" => it(0.0, -9.0, 1.5, 6.0, 0.6, 1.0, Some(2.0), GONIOMETER),
        "knee_extension_active" => it(0.0, -12.0, 1.0, 10.0, 0.6, 1.0, Some(1.0), GONIOMETER),
        "knee_flexion" | "knee_flexion_active" => {
            it(0.0, 62.0, 141.0, 12.0, 2.0, 1.0, Some(142.0), GONIOMETER)
        }
        "knee_extension_lag" => it(0.0, 10.0, -2.0, 9.0, 0.4, 1.0, None, GONIOMETER),
        "knee_effusion_grade" => it(0.0, 3.0, -0.4, 20.0, 0.1, 0.5, None, "stroke test"),
        "quadriceps_torque" => it(30.0, 1.25, 2.72, 62.0, 0.05, 0.01, Some(2.75), "hand-held device, seated"),
        "hamstrings_torque" => it(30.0, 0.75, 1.5, 50.0, 0.03, 0.01, Some(1.52), "hand-held device, prone"),
        "hop_distance" => it(80.0, 82.0, 137.0, 70.0, 2.5, 1.0, Some(140.0), "single hop, best of three"),
        "knee_score" => it(20.0, 45.0, 96.0, 75.0, 2.0, 1.0, None, "questionnaire"),
        "shoulder_elevation_passive" => it(14.0, 62.0, 168.0, 30.0, 3.0, 1.0, Some(172.0), GONIOMETER),
        "shoulder_elevation_active" => {
            it(42.0, 64.0, 164.0, 32.0, 3.0, 1.0, Some(170.0), "goniometer, sitting")
        }
        "shoulder_external_rotation_passive" => it(14.0, 6.0, 58.0, 45.0, 2.0, 1.0, Some(64.0), GONIOMETER),
        _ => None,
    }
}

/// Day from which a judged quantity is answered with yes.
fn judged_from(name: &str) -> f64 {
    match name {
        "wound" => 8.0,
        "substitution" => 38.0,
        "night_pain" => 60.0,
        "gait" => 72.0,
        _ => 30.0,
    }
}

/// What is measured for a criterion: the quantity of both sides where it compares sides.
pub(crate) fn base(criterion: &Criterion) -> &str {
    quantity(&criterion.measure).and_then(|it| it.derived).map_or(criterion.measure.as_str(), |it| it.of())
}

/// Takes a measurement on the day of an envelope, within its limits; `None` before it can be taken, and for names
/// that are in no table.
pub(crate) fn take(
    name: &str,
    protocol: &Protocol,
    envelope: &Envelope,
    pace: Pace,
    rng: &mut Rng,
) -> Option<Taken> {
    let most = allowed(quantity(name)?, envelope);
    take_up_to(name, protocol, envelope.day, most, pace, rng)
}

/// The same for a day after surgery and a highest value.
pub(crate) fn take_up_to(
    name: &str,
    protocol: &Protocol,
    day: i32,
    most: f64,
    pace: Pace,
    rng: &mut Rng,
) -> Option<Taken> {
    let quantity = quantity(name)?;
    let drive = drive(quantity);
    if name == "pain" {
        let operated = f64::from(pain(day, pace, rng));
        return Some(Taken { operated, other: None, drive, method: Some("0 to 10, now") });
    }
    let day = f64::from(day);
    if quantity.kind == Kind::Judged {
        let yes = day * pace.0 >= judged_from(name);
        return Some(Taken { operated: f64::from(u8::from(yes)), other: None, drive, method: None });
    }
    let curve = curve(name).or_else(|| from_threshold(name, protocol))?;
    if day < curve.from {
        return None;
    }
    let left = libm::exp(-(day - curve.from) * pace.0 / curve.days);
    let value = curve.end + (curve.start - curve.end) * left + noise(rng) * curve.noise;
    let other = curve.other.map(|it| rounded(it + noise(rng) * curve.noise, curve.step, quantity));
    let operated = rounded(value.min(most), curve.step, quantity);
    Some(Taken { operated, other, drive, method: Some(curve.method) })
}

/// A curve through the threshold of the criterion, for quantities without one of their own.
fn from_threshold(name: &str, protocol: &Protocol) -> Option<Curve> {
    let criterion = protocol.criteria.iter().rfind(|it| base(it) == name && it.measure == name)?;
    let from = f64::from(protocol.phases[criterion.begins.saturating_sub(1)].from_week * 7);
    let span = f64::from(protocol.phases[criterion.begins].from_week * 7) - from;
    let (start, end) = match criterion.threshold {
        Threshold::AtLeast(it) => (0.6 * it, 1.12 * it),
        Threshold::AtMost(it) => (2.0 * it + 1.0, 0.6 * it),
        Threshold::Judged => return None,
    };
    let (days, method) = (span.max(14.0) / 2.2, "as in the clinic's instructions");
    Some(Curve { from, start, end, days, noise: 0.02 * end.abs(), step: 1.0, other: None, method })
}

fn drive(quantity: &Quantity) -> Option<Drive> {
    match quantity.kind {
        Kind::Angle { drive: "passive", .. } => Some(Drive::Passive),
        Kind::Angle { .. } => Some(Drive::Active),
        _ => None,
    }
}

/// Degrees up to which the joint may be moved today: nobody measures beyond a limit.
fn allowed(quantity: &Quantity, envelope: &Envelope) -> f64 {
    let Kind::Angle { joint, motion, .. } = quantity.kind else { return f64::INFINITY };
    let driven = drive(quantity);
    let limits = envelope.in_force.iter().filter_map(|it| match &it.limit {
        Limit::Motion { motion: of, max_deg, drives, .. } => {
            let same = of.joint.id() == joint && of.motion == motion;
            (same && driven.is_some_and(|it| drives.contains(&it))).then_some(*max_deg)
        }
        _ => None,
    });
    limits.fold(f64::INFINITY, f64::min)
}

fn rounded(value: f64, step: f64, quantity: &Quantity) -> f64 {
    let (low, high) = quantity.plausible;
    // Whole steps, without the tail that a step of a tenth leaves.
    let steps = (value.clamp(low, high) / step).round();
    // Adding zero makes a plain 0 of a negative one.
    ((steps * step) * 100.0).round() / 100.0 + 0.0
}

/// Roughly normal, standard deviation about 1.
fn noise(rng: &mut Rng) -> f64 {
    (rng.f64() + rng.f64() + rng.f64() + rng.f64() - 2.0) * 1.73
}

/// Usual pain of a day, 0 to 10.
pub(crate) fn pain(day: i32, pace: Pace, rng: &mut Rng) -> u8 {
    let level = 0.4 + 5.0 * libm::exp(-f64::from(day) * pace.0 / 24.0) + 0.5 * noise(rng);
    level.round().clamp(0.0, 6.0) as u8
}
