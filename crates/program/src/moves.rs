//! Moves between exercises: the danger is often there, so they are steps of the session, with their own
//! instructions, cost and checks.

use std::collections::BTreeMap;

use handrail_anatomy::{Device, Joint, Position, Side};
use handrail_motion::posture::RootSpec;
use handrail_motion::{Detail, Motion, Parameters, Posture, solve_in};
use handrail_protocol::{Envelope, InForce, Limit, WeightBearing};

use crate::verdict::{Case, EPSILON_DEG};

/// One elementary move.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MoveKind {
    /// Put the device on.
    DeviceOn(Device),
    /// Take it off.
    DeviceOff(Device),
    /// Stand up from a chair or the bed's edge.
    StandUp {
        /// chair or bed.
        from: String,
    },
    /// Walk to a place.
    WalkTo {
        /// chair, bed, wall, table, step, standing.
        spot: String,
    },
    /// Sit down on a chair or the bed's edge.
    SitDown {
        /// chair or bed.
        on: String,
    },
    /// From sitting on the bed to lying.
    LieDown,
    /// From lying to sitting on the bed's edge.
    SitUp,
    /// Roll onto the side, with this side up.
    RollToSide {
        /// Upper side.
        up: Side,
    },
    /// Roll onto the back.
    RollToBack,
    /// Roll onto the front.
    RollToFront,
    /// Change how the legs lie or the seat is taken, without leaving the place.
    Settle {
        /// Posture reached.
        posture: String,
    },
    /// Put away or fetch equipment.
    Fetch(String),
}

/// What must be kept in mind during a move.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Care {
    /// No weight on this leg.
    NoWeightOnLeg(Side),
    /// Only the ordered weight on this leg.
    PartWeightOnLeg(Side),
    /// Do not push or lean on this arm.
    NoPushWithArm(Side),
    /// The device stays on.
    DeviceOn(Device),
    /// Hold on to something fixed or use the walking aid.
    HoldOn,
}

/// One move as a step.
#[derive(Clone, Debug, PartialEq)]
pub struct MoveStep {
    /// What is done.
    pub kind: MoveKind,
    /// Posture before and after, for the picture.
    pub from: String,
    /// Posture after.
    pub to: String,
    /// What to keep in mind.
    pub care: Vec<Care>,
    /// Seconds it takes (set by this program).
    pub seconds: f64,
}

/// Where the body is between exercises.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    /// chair, bed, standing, wall, table, step.
    pub spot: String,
    /// Posture.
    pub posture: String,
    /// Working side, where the posture depends on it.
    pub side: Side,
    /// Device is on.
    pub device_on: bool,
    /// Equipment at hand beyond the furniture.
    pub equipment: Vec<String>,
}

/// What the limits mean for moving about.
#[derive(Clone, Debug, PartialEq)]
pub struct MoveRules {
    /// Operated side.
    pub side: Side,
    /// Device worn when not exercising.
    pub device: Option<Device>,
    /// True when the leg takes no or only part of the weight.
    pub leg: Option<WeightBearing>,
    /// True when the arm may not push.
    pub no_arm_push: bool,
}

impl MoveRules {
    /// From the limits of the day. A device counts as worn for every move, also where it may come off for
    /// exercise.
    pub fn of(envelope: &Envelope) -> MoveRules {
        let mut rules = MoveRules { side: envelope.side, device: None, leg: None, no_arm_push: false };
        for it in &envelope.in_force {
            match &it.limit {
                Limit::Device { device, .. } => rules.device = Some(*device),
                Limit::LegWeightBearing(allowed) => {
                    let limited = matches!(
                        allowed,
                        WeightBearing::None
                            | WeightBearing::Kilograms(_)
                            | WeightBearing::PercentBodyWeight(_)
                    );
                    if limited && rules.leg != Some(WeightBearing::None) {
                        rules.leg = Some(*allowed);
                    }
                }
                Limit::ArmWeightBearing(
                    WeightBearing::None | WeightBearing::Kilograms(_) | WeightBearing::PercentBodyWeight(_),
                ) => {
                    rules.no_arm_push = true;
                }
                _ => {}
            }
        }
        rules
    }

    fn care(&self, kind: &MoveKind) -> Vec<Care> {
        let on_feet =
            matches!(kind, MoveKind::StandUp { .. } | MoveKind::WalkTo { .. } | MoveKind::SitDown { .. });
        let by_arms = on_feet || matches!(kind, MoveKind::SitUp | MoveKind::LieDown);
        let mut care = Vec::new();
        if on_feet {
            match self.leg {
                Some(WeightBearing::None) => care.push(Care::NoWeightOnLeg(self.side)),
                Some(_) => care.push(Care::PartWeightOnLeg(self.side)),
                None => {}
            }
            care.extend(self.device.map(Care::DeviceOn));
            care.push(Care::HoldOn);
        }
        if by_arms && self.no_arm_push {
            care.push(Care::NoPushWithArm(self.side));
        }
        care
    }

    fn step(&self, kind: MoveKind, from: &str, to: &str) -> MoveStep {
        let seconds = seconds(&kind);
        MoveStep { care: self.care(&kind), kind, from: from.into(), to: to.into(), seconds }
    }
}

/// Seconds a move takes, for someone on crutches or in a sling (set by this program, no source).
fn seconds(kind: &MoveKind) -> f64 {
    match kind {
        MoveKind::DeviceOn(_) | MoveKind::DeviceOff(_) => 40.0,
        MoveKind::StandUp { .. } | MoveKind::SitDown { .. } => 15.0,
        MoveKind::WalkTo { .. } => 30.0,
        MoveKind::LieDown | MoveKind::SitUp => 15.0,
        MoveKind::RollToSide { .. } | MoveKind::RollToBack | MoveKind::RollToFront => 10.0,
        MoveKind::Settle { .. } => 5.0,
        MoveKind::Fetch(_) => 8.0,
    }
}

/// Cost of a move: its seconds plus a charge for its danger (set by this program): leaving a seat on one
/// leg weighs more than anything else, so that it is done as rarely as possible.
fn cost(step: &MoveStep) -> u32 {
    let limited = step.care.iter().any(|it| matches!(it, Care::NoWeightOnLeg(_) | Care::PartWeightOnLeg(_)));
    let danger = match step.kind {
        MoveKind::StandUp { .. } | MoveKind::SitDown { .. } | MoveKind::WalkTo { .. } => {
            if limited {
                120
            } else {
                20
            }
        }
        MoveKind::RollToFront => 20,
        MoveKind::SitUp | MoveKind::LieDown => 10,
        _ => 0,
    };
    step.seconds as u32 + danger
}

/// Cost of a list of moves.
pub fn cost_of(steps: &[MoveStep]) -> u32 {
    steps.iter().map(cost).sum()
}

fn is_seat(spot: &str) -> bool {
    spot == "chair" || spot == "bed"
}

fn is_lying(posture: &Posture) -> bool {
    posture.place == "bed" && posture.root.tilt.abs().max(posture.root.list.abs()) > 60.0
}

/// Moves from one place to another, in order.
pub fn moves(
    from: &Place,
    to: &Place,
    rules: &MoveRules,
    postures: &BTreeMap<String, Posture>,
) -> Vec<MoveStep> {
    let mut out = Vec::new();
    let leaves = from.spot != to.spot;
    let device = rules.device;
    let put_on = |out: &mut Vec<MoveStep>| {
        if let Some(device) = device {
            out.push(rules.step(MoveKind::DeviceOn(device), &from.posture, &from.posture));
        }
    };
    if !from.device_on && (leaves || to.device_on) {
        put_on(&mut out);
    }
    let lying = |posture: &str| postures.get(posture).is_some_and(is_lying);
    if leaves {
        leave(&mut out, from, rules, lying(&from.posture));
        arrive(&mut out, to, rules, lying(&to.posture), postures);
    } else if from.posture != to.posture || (from.side != to.side && is_sided(to, postures)) {
        shift(&mut out, from, to, rules, postures);
    }
    if !to.device_on
        && (leaves || from.device_on)
        && let Some(device) = device
    {
        out.push(rules.step(MoveKind::DeviceOff(device), &to.posture, &to.posture));
    }
    for item in &to.equipment {
        if !from.equipment.contains(item) {
            out.push(rules.step(MoveKind::Fetch(item.clone()), &to.posture, &to.posture));
        }
    }
    out
}

fn leave(out: &mut Vec<MoveStep>, from: &Place, rules: &MoveRules, lying: bool) {
    if lying {
        out.push(rules.step(MoveKind::SitUp, &from.posture, "seated"));
    }
    if is_seat(&from.spot) {
        out.push(rules.step(MoveKind::StandUp { from: from.spot.clone() }, "seated", "standing"));
    }
}

fn arrive(
    out: &mut Vec<MoveStep>,
    to: &Place,
    rules: &MoveRules,
    lying: bool,
    postures: &BTreeMap<String, Posture>,
) {
    out.push(rules.step(MoveKind::WalkTo { spot: to.spot.clone() }, "standing", "standing"));
    if is_seat(&to.spot) {
        out.push(rules.step(MoveKind::SitDown { on: to.spot.clone() }, "standing", "seated"));
    }
    if lying {
        out.push(rules.step(MoveKind::LieDown, "seated", "supine"));
        let on_back = Place { posture: "supine".into(), ..to.clone() };
        if to.posture != "supine" {
            shift(out, &on_back, to, rules, postures);
        }
    } else if to.spot == "bed" {
        out.push(rules.step(MoveKind::Settle { posture: to.posture.clone() }, "seated", &to.posture));
    }
}

fn is_sided(place: &Place, postures: &BTreeMap<String, Posture>) -> bool {
    postures.get(&place.posture).is_some_and(|it| it.root.list.abs() > 60.0)
}

/// Side that is up when lying on a side. Postures are written for the right side working, and a list to the
/// right is positive: listed to the right, the working side is below.
fn upper_side(place: &Place, root: RootSpec) -> Side {
    if root.list < 0.0 { place.side } else { place.side.other() }
}

/// A change of posture without leaving the place.
fn shift(
    out: &mut Vec<MoveStep>,
    from: &Place,
    to: &Place,
    rules: &MoveRules,
    postures: &BTreeMap<String, Posture>,
) {
    let root = |place: &Place| postures.get(&place.posture).map(|it| it.root).unwrap_or_default();
    let (a, b) = (root(from), root(to));
    let kind = if b.list.abs() > 60.0 {
        let up = upper_side(to, b);
        if a.list.abs() > 60.0 && upper_side(from, a) == up {
            MoveKind::Settle { posture: to.posture.clone() }
        } else {
            MoveKind::RollToSide { up }
        }
    } else if b.tilt < -60.0 {
        if a.tilt < -60.0 { MoveKind::Settle { posture: to.posture.clone() } } else { MoveKind::RollToFront }
    } else if b.tilt > 60.0 {
        if a.tilt > 60.0 {
            MoveKind::Settle { posture: to.posture.clone() }
        } else if a.list.abs() > 60.0 || a.tilt < -60.0 {
            MoveKind::RollToBack
        } else {
            MoveKind::LieDown
        }
    } else if to.spot == "bed" && (a.list.abs() > 60.0 || a.tilt.abs() > 60.0) {
        MoveKind::SitUp
    } else {
        MoveKind::Settle { posture: to.posture.clone() }
    };
    out.push(rules.step(kind, &from.posture, &to.posture));
}

/// A move that would pass a limit.
#[derive(Clone, Debug, PartialEq)]
pub struct MoveOver {
    /// Move.
    pub kind: MoveKind,
    /// Restriction; empty when none is behind it.
    pub restriction: String,
    /// What is past the limit.
    pub what: Over,
}

/// In what a move passes a limit.
#[derive(Clone, Debug, PartialEq)]
pub enum Over {
    /// An angle.
    Angle {
        /// Joint.
        joint: Joint,
        /// Motion.
        motion: &'static str,
        /// Allowed, degrees.
        limit: f64,
        /// Reached, degrees.
        computed: f64,
    },
    /// All of a forbidden combination at once.
    Combination,
    /// A forbidden position is taken.
    Position(Position),
    /// This body cannot rest in the posture before or after, so the move cannot be checked.
    NotChecked,
}

/// Samples along a move between two resting poses.
pub const MOVE_SAMPLES: usize = 21;

/// Poses along a move: from the resting pose before to the one after, each joint by the straight way.
pub fn move_poses(
    step: &MoveStep,
    side: Side,
    case: &Case<'_>,
    postures: &BTreeMap<String, Posture>,
) -> Vec<handrail_anatomy::Pose> {
    let rest = |posture: &str| {
        let motion = Motion::at_rest(postures.get(posture)?);
        let solved =
            solve_in(&motion, &motion.core, case.body, case.home, side, &Parameters::new(), Detail::Coarse)
                .ok()?;
        solved.samples.first().map(|it| it.pose)
    };
    let (Some(a), Some(b)) = (rest(&step.from), rest(&step.to)) else { return Vec::new() };
    (0..MOVE_SAMPLES)
        .map(|i| {
            let u = i as f64 / (MOVE_SAMPLES - 1) as f64;
            let mut pose = a;
            for (value, end) in pose.0.iter_mut().zip(&b.0) {
                *value += (end - *value) * u;
            }
            pose
        })
        .collect()
}

/// Limits that a move passes. Joints that a worn device holds do not follow the pose and are left out when
/// the device is on; every other joint is checked on its straight way.
pub fn check_move(
    step: &MoveStep,
    device_on: bool,
    case: &Case<'_>,
    postures: &BTreeMap<String, Posture>,
) -> Vec<MoveOver> {
    let side = case.envelope.side;
    let held: Vec<Joint> = case
        .envelope
        .in_force
        .iter()
        .filter_map(|it| match &it.limit {
            Limit::Device { device, holds, .. } if device_on => {
                Some(holds.iter().map(|(m, _)| m.joint).chain(device.immobilises()))
            }
            _ => None,
        })
        .flatten()
        .collect();
    let over = |restriction: &str, what: Over| MoveOver {
        kind: step.kind.clone(),
        restriction: restriction.into(),
        what,
    };
    let poses = move_poses(step, side, case, postures);
    if poses.is_empty() {
        return vec![over("", Over::NotChecked)];
    }
    let taken = postures.get(&step.to).map(|it| it.positions.as_slice()).unwrap_or_default();
    case.envelope
        .in_force
        .iter()
        .filter_map(|it| move_over(it, side, &held, &poses, taken).map(|what| over(&it.id, what)))
        .collect()
}

/// In what the poses of a move pass one limit.
fn move_over(
    in_force: &InForce,
    side: Side,
    held: &[Joint],
    poses: &[handrail_anatomy::Pose],
    taken: &[Position],
) -> Option<Over> {
    match &in_force.limit {
        Limit::Motion { motion, max_deg, .. } if !held.contains(&motion.joint) => {
            let computed = poses.iter().map(|pose| motion.read(pose, side)).fold(f64::NEG_INFINITY, f64::max);
            (computed > max_deg + EPSILON_DEG).then_some(Over::Angle {
                joint: motion.joint,
                motion: motion.motion,
                limit: *max_deg,
                computed,
            })
        }
        Limit::Combination(edges) if edges.iter().all(|edge| !held.contains(&edge.motion.joint)) => poses
            .iter()
            .any(|pose| edges.iter().all(|edge| edge.motion.read(pose, side) > edge.deg + EPSILON_DEG))
            .then_some(Over::Combination),
        // Side-lying is always with the operated side up here; the exercise's own verdict checks the rest.
        Limit::Position(position) => taken.contains(position).then_some(Over::Position(*position)),
        _ => None,
    }
}
