//! Running the law over many cases.

use std::collections::BTreeMap;
use std::sync::Arc;

use fastrand::Rng;
use handrail_anatomy::{Kinematics, Side};
use handrail_library::Library;
use handrail_motion::solve::Detail;
use handrail_motion::{Bears, Motion, Repetition, solve_in};
use handrail_program::moves::{MoveKind, move_poses};
use handrail_program::{Case, Dose, Entry, Kind, Margins, Verdict, session, verdict};
use handrail_protocol::{Envelope, Limit, Loading, WeightBearing};
use serde_json::{Value, json};

use crate::cases::{RandomCase, draw};
use crate::executions;
use crate::freebody::FreeBodies;
use crate::loads::{Compared, Cut, check_ceilings, check_moments};
use crate::measured::measure;
use crate::mjcf;

/// Excess below this counts as rounding, degrees; the same figure that the verdict uses.
const EPSILON_DEG: f64 = 0.01;
/// Exercises drawn for each case.
const EXERCISES: usize = 4;
/// In every so-manieth case executions of an allowed exercise are simulated.
const EXECUTIONS_EVERY: u64 = 20;

/// What was found.
#[derive(Clone, Debug, Default)]
pub struct Report {
    /// Cases.
    pub cases: u64,
    /// Allowed repetitions checked again.
    pub repetitions: u64,
    /// Moves between exercises checked again.
    pub moves: u64,
    /// Samples measured.
    pub samples: u64,
    /// Loads and moments compared.
    pub loads: Compared,
    /// Questions asked of simulated executions.
    pub executions: u64,
    /// Verdicts by kind: within, limited, refused.
    pub verdicts: [u64; 3],
    /// Samples past a limit; the first few in words.
    pub past: u64,
    /// The first findings.
    pub findings: Vec<String>,
}

impl std::fmt::Display for Report {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(
            f,
            "cases {}, verdicts: within {}, limited {}, refused {}",
            self.cases, self.verdicts[0], self.verdicts[1], self.verdicts[2]
        )?;
        write!(
            f,
            "repetitions {}, moves {}, samples {}, samples past a limit {}",
            self.repetitions, self.moves, self.samples, self.past
        )?;
        let it = &self.loads;
        write!(
            f,
            "\nmoments compared {}, largest difference {:.2} of what is tolerated ({}), left over {:.2} of it",
            it.moments, it.moment_gap, it.moment_gap_at, it.left_over
        )?;
        write!(
            f,
            "\nloads compared {}, largest {:.3} of the stated upper bound, {:.3} at four times as many instants",
            it.loads, it.seen_ratio, it.fine_ratio
        )?;
        write!(
            f,
            "\nallowed under a load ceiling {}, of these {} with a computed and {} with a published load; questions \
             about executions {}",
            it.ceilings, it.computed_ceilings, it.published_ceilings, self.executions
        )?;
        for finding in &self.findings {
            write!(f, "\n  {finding}")?;
        }
        Ok(())
    }
}

/// Runs the law over `cases` cases.
pub fn run(library: &Library, cases: u64, seed: u64) -> Report {
    let mut random = Rng::with_seed(seed);
    let mut report = Report::default();
    let exercises: Vec<&Arc<Motion>> = library.exercises.values().collect();
    for _ in 0..cases {
        let drawn = draw(&mut random, &library.protocols);
        let case = case_of(&drawn);
        report.cases += 1;
        let mut allowed = Vec::new();
        let mut chosen: Vec<&Arc<Motion>> =
            (0..EXERCISES).map(|_| exercises[random.usize(..exercises.len())]).collect();
        // Few exercises have a published load: one of them where it matters.
        let published = exercises.iter().filter(|it| has_published_load(it, &drawn.envelope));
        chosen.extend(random.choice(published.collect::<Vec<_>>()));
        for motion in chosen {
            let side = if random.u8(..) < 220 { drawn.envelope.side } else { drawn.envelope.side.other() };
            let verdict = verdict(motion, side, &case);
            report.verdicts[verdict.kind as usize] += 1;
            if verdict.kind == Kind::Refused {
                continue;
            }
            check_repetition(motion, &verdict, &case, &mut report);
            allowed.push((motion.clone(), verdict));
        }
        if report.cases % EXECUTIONS_EVERY == 0
            && let Some((motion, verdict)) = allowed.first()
        {
            check_executions(motion, verdict, &case, random.u64(..), &mut report);
        }
        check_moves(library, allowed, &case, &mut report);
    }
    report
}

/// True when a figure is published for the exercise's load on a tissue under a ceiling.
fn has_published_load(motion: &Motion, envelope: &Envelope) -> bool {
    envelope.in_force.iter().any(|it| match it.limit {
        Limit::TissueLoad { tissue, .. } | Limit::Exposure { tissue, .. } => {
            motion.measured.iter().any(|it| it.tissue == tissue)
        }
        _ => false,
    })
}

fn case_of(drawn: &RandomCase) -> Case<'_> {
    Case { body: &drawn.body, home: &drawn.home, envelope: &drawn.envelope, margins: Margins::STATED }
}

fn note(report: &mut Report, text: String) {
    report.past += 1;
    if report.findings.len() < 20 {
        report.findings.push(text);
    }
}

fn check_repetition(motion: &Motion, verdict: &Verdict, case: &Case<'_>, report: &mut Report) {
    report.repetitions += 1;
    let fine =
        solve_in(motion, &motion.core, case.body, case.home, verdict.side, &verdict.parameters, Detail::Fine);
    let Ok(fine) = fine else {
        note(report, format!("{}: allowed, but cannot be solved finely", motion.id));
        return;
    };
    check_loads(motion, &fine, case, report);
    check_tissues(motion, verdict, &fine, case, report);
    for sample in &fine.samples {
        report.samples += 1;
        let kinematics = Kinematics::of(case.body, &sample.pose);
        for (limit, past) in past_limits(&kinematics, &fine, case.envelope) {
            note(
                report,
                format!("{} at {:.2} s passes {limit} by {past:.3} degrees", motion.id, sample.time),
            );
        }
    }
}

/// Joint moments and tissue loads by free bodies.
fn check_tissues(
    motion: &Motion,
    verdict: &Verdict,
    fine: &Repetition,
    case: &Case<'_>,
    report: &mut Report,
) {
    let Some(checked) = &verdict.repetition else { return };
    let [seen, fine] = [checked.as_ref(), fine]
        .map(|repetition| Cut { repetition, bodies: FreeBodies::new(motion, case.body, repetition) });
    let limits: Vec<(&str, &Limit)> =
        case.envelope.in_force.iter().map(|it| (it.id.as_str(), &it.limit)).collect();
    let compared = &mut report.loads;
    let before = compared.moment_gap;
    let mut findings = check_moments(motion, case.body, fine.repetition, &fine.bodies, compared);
    if compared.moment_gap > before {
        compared.moment_gap_at = format!("{}, {}", motion.id, compared.moment_gap_at);
    }
    let side = case.envelope.side;
    findings.extend(check_ceilings(motion, case.body, &seen, &fine, &limits, side, compared));
    for finding in findings {
        note(report, format!("{} ({} works): {finding}", motion.id, verdict.side.word()));
    }
}

fn check_executions(motion: &Motion, verdict: &Verdict, case: &Case<'_>, seed: u64, report: &mut Report) {
    let Some(checked) = &verdict.repetition else { return };
    let (findings, made) = executions::check(motion, verdict.side, case, &verdict.parameters, checked, seed);
    report.executions += made;
    for finding in findings {
        note(report, format!("{}: {finding}", motion.id));
    }
}

/// Limits that a pose passes, with the excess. A plain reading of the limits, apart from the verdicts'.
fn past_limits<'a>(
    kinematics: &Kinematics,
    repetition: &Repetition,
    envelope: &'a Envelope,
) -> Vec<(&'a str, f64)> {
    let side = envelope.side;
    let mut out = Vec::new();
    for it in &envelope.in_force {
        match &it.limit {
            Limit::Motion { motion, max_deg, drives, loading } => {
                let drive = repetition.drive(side, motion.joint);
                let speaks_of = drive.is_none_or(|it| {
                    drives.contains(&it) || drives.is_empty() || it == handrail_anatomy::Drive::Isometric
                });
                let loaded = limb_is_loaded(repetition, side, motion.joint);
                let counts = match loading {
                    Loading::Any => true,
                    Loading::Loaded => loaded,
                    Loading::Unloaded => !loaded,
                };
                let past = measure(kinematics, motion, side) - max_deg;
                if speaks_of && counts && past > EPSILON_DEG {
                    out.push((it.id.as_str(), past));
                }
            }
            Limit::Combination(edges) => {
                let least = edges
                    .iter()
                    .map(|edge| measure(kinematics, &edge.motion, side) - edge.deg)
                    .fold(f64::INFINITY, f64::min);
                if least > EPSILON_DEG {
                    out.push((it.id.as_str(), least));
                }
            }
            _ => {}
        }
    }
    out
}

fn limb_is_loaded(repetition: &Repetition, side: Side, joint: handrail_anatomy::Joint) -> bool {
    if repetition.drive(side, joint) == Some(handrail_anatomy::Drive::Resisted) {
        return true;
    }
    if joint.is_axial() {
        return false;
    }
    let peak = repetition
        .samples
        .iter()
        .map(|it| if joint.is_leg() { it.leg_load[side as usize] } else { it.arm_load[side as usize] })
        .fold(0.0, f64::max);
    peak > 0.02
}

/// Weight through the operated limb, summed from the contacts' forces.
fn check_loads(motion: &Motion, repetition: &Repetition, case: &Case<'_>, report: &mut Report) {
    let side = case.envelope.side;
    for it in &case.envelope.in_force {
        let (leg, allowed) = match &it.limit {
            Limit::LegWeightBearing(allowed) => (true, *allowed),
            Limit::ArmWeightBearing(allowed) => (false, *allowed),
            _ => continue,
        };
        let max_kg = match allowed {
            WeightBearing::None => 0.0,
            WeightBearing::Kilograms(kg) => kg,
            WeightBearing::PercentBodyWeight(percent) => case.body.mass() * percent / 100.0,
            WeightBearing::AsTolerated | WeightBearing::Full => continue,
        };
        for index in 0..repetition.samples.len() {
            let share: f64 = repetition
                .contacts
                .iter()
                .filter(|c| c.side == side && c.bears == Bears::Body && on_far_limb(c.landmark.id(), leg))
                .map(|c| c.force[index].norm())
                .sum();
            let kg = share * case.body.mass();
            if kg > max_kg + 0.006 * case.body.mass() {
                note(
                    report,
                    format!("{}: {kg:.1} kg through the limb, {} allows {max_kg:.1}", motion.id, it.id),
                );
                break;
            }
        }
    }
}

/// Landmarks of lower leg and foot, or of forearm and hand, by name.
pub(crate) fn on_far_limb(landmark: &str, leg: bool) -> bool {
    const LEG: [&str; 19] = [
        "heel",
        "heel_back",
        "heel_inner",
        "ball_inner",
        "ball_outer",
        "ball",
        "midsole",
        "toe_tip",
        "great_toe_pad",
        "lesser_toe_pad",
        "ankle_centre",
        "ankle_inner",
        "ankle_outer",
        "ankle_front",
        "calf_back",
        "shin_front",
        "knee_front",
        "knee_back",
        "knee_centre",
    ];
    const ARM: [&str; 8] = [
        "elbow_centre",
        "forearm_under",
        "forearm_front",
        "wrist_centre",
        "palm",
        "hand_edge",
        "grip",
        "fingertip",
    ];
    if leg { LEG.contains(&landmark) } else { ARM.contains(&landmark) }
}

fn check_moves(
    library: &Library,
    allowed: Vec<(Arc<Motion>, Verdict)>,
    case: &Case<'_>,
    report: &mut Report,
) {
    let chosen: Vec<_> = allowed
        .into_iter()
        .filter_map(|(motion, verdict)| {
            let checked = verdict.into_checked().ok()?;
            let phase = &library.protocols[&case.envelope.protocol.0].phases[case.envelope.phase.index];
            let dose = Dose::usual(&motion, phase);
            Some((motion, checked, dose))
        })
        .collect();
    let Ok(session) = session(chosen, case, &library.postures) else { return };
    // A session with a move past a limit is never handed out: only the others must hold.
    if !session.moves_over.is_empty() {
        return;
    }
    let held_by_device: Vec<handrail_anatomy::Joint> = case
        .envelope
        .in_force
        .iter()
        .filter_map(|it| match &it.limit {
            Limit::Device { device, holds, .. } => {
                Some(holds.iter().map(|(m, _)| m.joint).chain(device.immobilises()))
            }
            _ => None,
        })
        .flatten()
        .collect();
    let mut device_on = true;
    for entry in &session.entries {
        let Entry::Move(step) = entry else { continue };
        match step.kind {
            MoveKind::DeviceOff(_) => device_on = false,
            MoveKind::DeviceOn(_) => device_on = true,
            _ => {}
        }
        report.moves += 1;
        for pose in move_poses(step, case.envelope.side, case, &library.postures) {
            report.samples += 1;
            let kinematics = Kinematics::of(case.body, &pose);
            for it in &case.envelope.in_force {
                let Limit::Motion { motion, max_deg, .. } = &it.limit else { continue };
                let past = measure(&kinematics, motion, case.envelope.side) - max_deg;
                if past > EPSILON_DEG && !(device_on && held_by_device.contains(&motion.joint)) {
                    note(report, format!("move {:?} passes {} by {past:.3} degrees", step.kind, it.id));
                }
            }
        }
    }
}

/// Cases with allowed repetitions as JSON, for a physics engine to measure: the tree, joint positions of each
/// sample, and the motion limits that speak of it.
pub fn dump(library: &Library, cases: usize, seed: u64) -> Value {
    let mut random = Rng::with_seed(seed);
    let exercises: Vec<&Arc<Motion>> = library.exercises.values().collect();
    let mut out = Vec::new();
    while out.len() < cases {
        let drawn = draw(&mut random, &library.protocols);
        let case = case_of(&drawn);
        let motion = exercises[random.usize(..exercises.len())];
        let verdict = verdict(motion, drawn.envelope.side, &case);
        let Some(repetition) = verdict.repetition.as_ref().filter(|_| verdict.kind != Kind::Refused) else {
            continue;
        };
        let side = drawn.envelope.side;
        let limits: Vec<Value> = drawn
            .envelope
            .in_force
            .iter()
            .filter_map(|it| match &it.limit {
                Limit::Motion { motion, max_deg, drives, loading: Loading::Any } => {
                    let drive = repetition.drive(side, motion.joint);
                    drive.is_none_or(|it| drives.contains(&it)).then(|| {
                        json!({"id": it.id, "joint": motion.joint.id(), "motion": motion.motion, "max_deg": max_deg})
                    })
                }
                _ => None,
            })
            .collect();
        let qpos: BTreeMap<usize, Vec<f64>> = repetition
            .samples
            .iter()
            .enumerate()
            .step_by(3)
            .map(|(index, it)| (index, mjcf::positions(&it.pose)))
            .collect();
        out.push(json!({
            "exercise": motion.id,
            "verdict": verdict.kind.id(),
            "side": side.word(),
            "mjcf": mjcf::model(&drawn.body),
            "limits": limits,
            "qpos": qpos.values().collect::<Vec<_>>(),
        }));
    }
    Value::Array(out)
}

/// Random poses with the places of all segments, for a physics engine to compare.
pub fn dump_poses(library: &Library, poses: usize, seed: u64) -> Value {
    let mut random = Rng::with_seed(seed);
    let mut out = Vec::new();
    for _ in 0..poses {
        let drawn = draw(&mut random, &library.protocols);
        let mut pose = handrail_anatomy::Pose::default();
        for value in &mut pose.0 {
            *value = (random.f64() - 0.5) * 3.0;
        }
        let places: BTreeMap<String, [f64; 3]> = mjcf::places(&drawn.body, &pose)
            .into_iter()
            .map(|(name, at)| (name, [at.x, at.y, at.z]))
            .collect();
        out.push(json!({"mjcf": mjcf::model(&drawn.body), "qpos": mjcf::positions(&pose), "places": places}));
    }
    Value::Array(out)
}
