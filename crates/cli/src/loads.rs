//! What loads the tissues and joints in one repetition or one week, as JSON and in short lines.
//!
//! Net joint moments, joint reactions and contact forces are three quantities with three names; a load on a
//! tissue is a fourth. Bounds are rounded outwards, so that no output states more than is known.

use handrail_anatomy::tree::SegmentKind;
use handrail_anatomy::{Coord, Dof, Interval, Joint, SegmentId, Side, Tissue};
use handrail_episode::exposures::planned_week;
use handrail_episode::{OverExposure, Plan};
use handrail_motion::dynamics::GRAVITY;
use handrail_motion::load::tissue_load;
use handrail_motion::{Bears, Load, Motion, NotKnown, Repetition};
use handrail_program::{Exposure, Robustness};
use handrail_protocol::ExposureOf;
use handrail_words::Words;
use serde_json::{Value, json};

use crate::room::round;

/// Peak moments below this are noise of the solver, N m.
const SHOWN_NM: f64 = 0.05;

/// A repetition and the body that does it.
#[derive(Clone, Copy)]
pub struct Done<'a> {
    /// Exercise.
    pub motion: &'a Motion,
    /// Solved repetition.
    pub repetition: &'a Repetition,
    /// Body.
    pub body: &'a handrail_anatomy::Body,
}

impl Done<'_> {
    /// Load on a tissue of one side.
    pub fn load(&self, tissue: Tissue, side: Side) -> Load {
        tissue_load(self.motion, self.body, self.repetition, tissue, side)
    }

    /// Loads on some tissues of one side.
    pub fn loads_json(&self, tissues: &[Tissue], side: Side) -> Value {
        tissues.iter().map(|&it| load_json(it, side, &self.load(it, side))).collect()
    }

    /// What the joints of one side and the contacts carry at most.
    pub fn joints_json(&self, side: Side) -> Value {
        json!({
            "net_joint_moments": self.moments_json(side),
            "joint_reactions": self.reactions_json(side),
            "contact_forces": self.contacts_json(),
            // Another hand, a strap or a pulley: what it gives or takes is not in these figures.
            "resistance_is_known": self.repetition.resistance_is_known,
            "basis": "computed",
        })
    }

    /// For each direction into which a net joint moment pushes, its peak.
    fn moments_json(&self, side: Side) -> Value {
        let mass = self.body.mass();
        let of_joint = |dof: &&Dof| REACTING.iter().any(|(joint, _)| *joint == dof.joint());
        let mut out = Vec::new();
        for &dof in Dof::ALL.iter().filter(of_joint) {
            let coordinate = Coord::of(side, dof).0;
            let (positive, negative) = dof.directions();
            for (direction, sign) in [(positive, 1.0), (negative, -1.0)] {
                let (peak, at) =
                    self.peak(|index| sign * self.repetition.joints[index].by_coordinate[coordinate]);
                if peak < SHOWN_NM {
                    continue;
                }
                out.push(json!({
                    "joint": dof.joint().id(),
                    "side": side.word(),
                    "pushes_into": direction,
                    "drive": self.repetition.drive(side, dof.joint()).map(|it| it.id()),
                    "peak_nm": round(peak, 2),
                    "peak_nm_per_kg": round(peak / mass, 4),
                    "at_s": round(at, 2),
                }));
            }
        }
        Value::Array(out)
    }

    fn reactions_json(&self, side: Side) -> Value {
        let one = |(joint, segment): &(Joint, SegmentKind)| {
            let segment = SegmentId::of(*segment, side).index();
            let (peak, at) = self.peak(|index| self.repetition.joints[index].reaction[segment].norm());
            json!({
                "joint": joint.id(), "side": side.word(), "peak_n": round(peak, 1), "at_s": round(at, 2),
            })
        };
        REACTING.iter().map(one).collect()
    }

    fn contacts_json(&self) -> Value {
        let weight = self.body.mass() * GRAVITY;
        let one = |it: &handrail_motion::repetition::ContactTrack| {
            let (peak, at) = self.peak(|index| it.force.get(index).map_or(0.0, |force| force.norm()));
            json!({
                "point": it.landmark.id(),
                "side": it.side.word(),
                "bears": match it.bears {
                    Bears::None => "nothing",
                    Bears::Limb => "limb",
                    Bears::Body => "body",
                },
                "peak_bw": round(peak, 4),
                "peak_n": round(peak * weight, 1),
                "at_s": round(at, 2),
            })
        };
        self.repetition.contacts.iter().map(one).collect()
    }

    /// Largest value over the samples, and when it is first reached: of a flat top, whose last bits differ, the
    /// beginning.
    fn peak(&self, read: impl Fn(usize) -> f64) -> (f64, f64) {
        const FLAT: f64 = 1.0 - 1e-6;
        let samples = &self.repetition.samples;
        let peak = (0..samples.len()).map(&read).fold(0.0, f64::max);
        let first = (0..samples.len()).find(|&index| read(index) >= peak * FLAT);
        (peak, first.map_or(0.0, |index| samples[index].time))
    }

    /// The loads in one line, without reasons: "Achilles tendon 0.31 to 0.52 BW (computed)".
    pub fn loads_line(&self, tissues: &[Tissue], side: Side, words: &Words) -> String {
        let one = |&tissue: &Tissue| {
            let name = words.tissue_name_on_side(tissue, side);
            match self.load(tissue, side) {
                Load::Known(load) => {
                    format!(
                        "{name} {} ({})",
                        words.load_bounds(load.peak, load.unit()),
                        words.basis_name(load.basis)
                    )
                }
                Load::Order { .. } => format!("{name} order only"),
                Load::NotKnown(_) => format!("{name} not known"),
            }
        };
        tissues.iter().map(one).collect::<Vec<_>>().join("; ")
    }
}

/// Joints whose moments and reactions are shown, with the segment below each.
const REACTING: [(Joint, SegmentKind); 5] = [
    (Joint::Hip, SegmentKind::Thigh),
    (Joint::Knee, SegmentKind::Shank),
    (Joint::Ankle, SegmentKind::Hindfoot),
    (Joint::Shoulder, SegmentKind::UpperArm),
    (Joint::Elbow, SegmentKind::Forearm),
];

/// Side of a tissue in JSON; the spine has none.
pub fn side_word(tissue: Tissue, side: Side) -> &'static str {
    if tissue.joints().iter().all(|it| it.is_axial()) { "both" } else { side.word() }
}

/// What is known of the load on a tissue.
fn load_json(tissue: Tissue, side: Side, load: &Load) -> Value {
    let (id, side) = (tissue.id(), side_word(tissue, side));
    match load {
        Load::Known(load) => json!({
            "tissue": id,
            "side": side,
            "unit": load.unit().id(),
            "basis": load.basis.id(),
            "low": outwards(load.peak).low,
            "high": outwards(load.peak).high,
            "at_s": load.at.map(|it| round(it, 2)),
            "impulse": load.impulse.map(interval_json),
            "source": load.source,
            "known": load.known.id(),
        }),
        Load::Order { above, below, source, known, .. } => json!({
            "tissue": id,
            "side": side,
            "order": { "above": above, "below": below, "source": source, "known": known.id() },
        }),
        Load::NotKnown(why) => json!({ "tissue": id, "side": side, "not_known": why.id() }),
    }
}

/// Both bounds.
pub fn interval_json(it: Interval) -> Value {
    let it = outwards(it);
    json!({ "low": it.low, "high": it.high })
}

/// Bounds with four decimals, rounded away from each other; the last bits of a sum do not count.
fn outwards(it: Interval) -> Interval {
    const STEPS: f64 = 1e4;
    // No negative zero in an output.
    Interval {
        low: (it.low * STEPS + 1e-6).floor() / STEPS + 0.0,
        high: (it.high * STEPS - 1e-6).ceil() / STEPS + 0.0,
    }
}

/// What came of the simulated executions.
pub fn robustness_json(it: &Robustness) -> Value {
    json!({
        "executions": it.executions,
        "past": it.past,
        "share": round(it.share(), 4),
        "tight": it.is_tight(),
        "most": it.most.as_ref().map(|(restriction, times)| json!({
            "restriction": restriction, "times": times,
        })),
    })
}

/// What a week puts on a tissue.
pub fn exposure_json(it: &Exposure) -> Value {
    let not_known =
        |(exercise, why): &(String, NotKnown)| json!({ "exercise": exercise, "not_known": why.id() });
    json!({
        "peaks": interval_json(it.peaks),
        "impulse": interval_json(it.impulse),
        "peaks_are_whole": it.upper(ExposureOf::Peaks).is_some(),
        "impulse_is_whole": it.upper(ExposureOf::Impulse).is_some(),
        "no_impulse": it.no_impulse,
        "not_known": it.not_known.iter().map(not_known).collect::<Vec<_>>(),
    })
}

/// Head of what is said of a tissue's week: tissue, side, units.
pub fn week_head(tissue: Tissue, side: Side) -> serde_json::Map<String, Value> {
    let mut out = serde_json::Map::new();
    out.insert("tissue".into(), tissue.id().into());
    out.insert("side".into(), side_word(tissue, side).into());
    out.insert("unit".into(), tissue.unit().id().into());
    out.insert("impulse_unit".into(), ExposureOf::Impulse.unit(tissue).into());
    out
}

/// What a week of the program puts on each tissue that is shown.
pub fn program_exposure_json(plan: &Plan<'_>) -> Value {
    let one = |tissue: Tissue| {
        let mut out = week_head(tissue, plan.envelope.side);
        if let Value::Object(sums) = exposure_json(&planned_week(plan, tissue)) {
            out.extend(sums);
        }
        Value::Object(out)
    };
    plan.protected_tissues().into_iter().map(one).collect()
}

/// Ceilings on a week that the program passes.
pub fn over_exposure_json(list: &[OverExposure]) -> Value {
    list.iter()
        .map(|it| {
            json!({
                "tissue": it.tissue.id(),
                "of": it.of.id(),
                "unit": it.of.unit(it.tissue),
                "sum": it.sum.map(|sum| outwards(Interval { low: 0.0, high: sum }).high),
                "ceiling": it.ceiling,
                "restriction": it.restriction,
            })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bounds_are_rounded_away_from_each_other() {
        let it = outwards(Interval { low: 0.123_46, high: 0.123_41 + 1.0 });
        assert_eq!((it.low, it.high), (0.1234, 1.1235));
        assert!(outwards(Interval { low: 0.0, high: 0.0 }).high.is_sign_positive());
        // A stated bound stays what it is, and so does a sum that misses it by its last bits.
        let it = outwards(Interval { low: 15.0 - 1e-12, high: 20.0 + 1e-12 });
        assert_eq!((it.low, it.high), (15.0, 20.0));
    }
}
