//! What the joints carry and what the tissues bear in every exercise, for several bodies, as JSON, for a check
//! against published figures: `loads_dump OUT`.
//!
//! Beside every exercise as it is there are variants: the same motion as a study did it (other parameters, other
//! knee angle), and one thing changed at a time (where the body is balanced, how upright the trunk is), so that a
//! disagreement can be led back to its cause.

use handrail_anatomy::tree::SegmentKind;
use handrail_anatomy::{
    Body, Coord, Dof, Joint, Kinematics, Landmark, SegmentId, SegmentTable, Sex, Side, Tissue,
};
use handrail_law::dynamics::person;
use handrail_library::Texts;
use handrail_motion::dynamics::GRAVITY;
use handrail_motion::load::tissue_load;
use handrail_motion::{Home, Load, Motion, Parameters, Repetition, solve};
use handrail_spans::SourceText;
use nalgebra::Vector3;
use serde_json::{Map, Value, json};

/// A motion done another way.
struct Variant {
    name: &'static str,
    exercise: &'static str,
    parameters: &'static [(&'static str, f64)],
    /// Height of the step, m; otherwise that of [`Home::usual`].
    step: Option<f64>,
    /// Text in the exercise or its posture, and what stands there instead.
    edits: &'static [(&'static str, &'static str)],
}

/// The motion with other parameters.
const fn set(
    name: &'static str,
    exercise: &'static str,
    parameters: &'static [(&'static str, f64)],
    step: Option<f64>,
) -> Variant {
    Variant { name, exercise, parameters, step, edits: &[] }
}

/// The motion with other words in its file.
const fn edit(
    name: &'static str,
    exercise: &'static str,
    parameters: &'static [(&'static str, f64)],
    edits: &'static [(&'static str, &'static str)],
) -> Variant {
    Variant { name, exercise, parameters, step: None, edits }
}

const VARIANTS: &[Variant] = &[
    set("step-up 10 cm", "step-up", &[("height", 0.10)], Some(0.20)),
    set("step-up 17 cm", "step-up", &[("height", 0.17)], Some(0.20)),
    set("step-down 10 cm", "step-down", &[("depth", 0.10)], Some(0.20)),
    set("step-down 20 cm", "step-down", &[("depth", 0.20)], Some(0.20)),
    set("lateral-step 18 cm", "lateral-step", &[("depth", 0.18)], Some(0.20)),
    set("squat 4 cm", "mini-squat", &[("depth", 0.04)], None),
    set("squat to 60 deg", "mini-squat", &[("depth", 0.12)], None),
    set("squat 16 cm", "mini-squat", &[("depth", 0.16)], None),
    set("lunge 8 cm", "lunge", &[("depth", 0.08)], None),
    set("lunge 22 cm", "lunge", &[("depth", 0.22)], None),
    set("split-squat 20 cm", "split-squat", &[("depth", 0.20)], None),
    set("wall-sit 14 cm", "wall-sit", &[("depth", 0.14)], None),
    // Knees bent more or less on the bed, as in the study of bridges.
    edit(
        "bridge 60 deg",
        "bridge",
        &[],
        &[("hip_flexion = 52, knee_flexion = 92", "hip_flexion = 32, knee_flexion = 60")],
    ),
    edit("bridge 90 deg", "bridge", &[], &[]),
    edit(
        "bridge 120 deg",
        "bridge",
        &[],
        &[("hip_flexion = 52, knee_flexion = 92", "hip_flexion = 68, knee_flexion = 120")],
    ),
    // How far the hips stay behind the ankle for every metre they sink: one rule for three exercises.
    edit("step-up, hips back", "step-up", &[], &[("-0.4*height", "-1.0*height")]),
    edit("step-down, hips back", "step-down", &[], &[("-0.3*depth", "-1.0*depth")]),
    edit("lunge, hips back", "lunge", &[], &[("-0.35*depth", "-1.0*depth")]),
    edit("squat, hips over the feet", "mini-squat", &[], &[("-1.0*depth", "-0.4*depth")]),
    edit(
        "squat 12 cm, hips over the feet",
        "mini-squat",
        &[("depth", 0.12)],
        &[("-1.0*depth", "-0.4*depth")],
    ),
    // Trunk upright or leaning.
    edit(
        "step-up, upright",
        "step-up",
        &[],
        &[("root_tilt = -14, trunk_flexion = 6", "root_tilt = -2, trunk_flexion = 0")],
    ),
    edit(
        "lunge, upright",
        "lunge",
        &[],
        &[("root_tilt = -16, trunk_flexion = 8", "root_tilt = -2, trunk_flexion = 0")],
    ),
];

fn bodies() -> Vec<Body> {
    let mut out = Vec::new();
    for (stature, mass) in [(1.50, 50.0), (1.60, 110.0), (1.72, 74.0), (1.84, 62.0), (1.95, 110.0)] {
        for sex in [Sex::Female, Sex::Male] {
            for table in [SegmentTable::Winter, SegmentTable::DeLeva] {
                out.push(person(stature, mass, sex, table));
            }
        }
    }
    out
}

/// The built-in library with the variants' edits in its texts.
fn edited(variant: &Variant, texts: &Texts) -> Motion {
    let id = variant.exercise;
    let file = texts.exercises.iter().find(|it| it.name.ends_with(&format!("/{id}.toml")));
    let file = file.unwrap_or_else(|| panic!("no exercise {id}"));
    let mut text = file.text.to_string();
    let mut postures = texts.postures.clone();
    for (from, to) in variant.edits {
        let mut hits = usize::from(text.contains(from));
        text = text.replace(from, to);
        // Only the posture that the exercise names.
        let posture = text.lines().find_map(|it| it.strip_prefix("posture = \"")?.strip_suffix('"'));
        let posture = format!("/{}.toml", posture.unwrap_or_default());
        for it in postures.iter_mut().filter(|it| it.name.ends_with(&posture) && it.text.contains(from)) {
            hits += 1;
            *it = SourceText::new(it.name.clone(), it.text.replace(from, to));
        }
        assert!(hits == 1, "{}: {from} stands in {hits} files", variant.name);
    }
    let texts =
        Texts { postures, exercises: vec![SourceText::new(file.name.clone(), text)], protocols: Vec::new() };
    let mut library = texts.check().unwrap_or_else(|problems| panic!("{}: {problems}", variant.name));
    let motion = library.exercises.remove(id).unwrap_or_else(|| panic!("no exercise {id}"));
    Motion::clone(&motion)
}

fn main() {
    let out = std::env::args().nth(1).expect("usage: loads_dump OUT");
    // Protocols are of no matter here.
    let texts = Texts { protocols: Vec::new(), ..Texts::built_in() };
    let library = texts.check().unwrap_or_else(|problems| panic!("{problems}"));
    let variants: Vec<(&Variant, Motion)> = VARIANTS.iter().map(|it| (it, edited(it, &texts))).collect();
    let list: Vec<Value> = bodies()
        .iter()
        .map(|body| {
            let home = Home::usual(body.stature());
            let usual = Parameters::new();
            let mut exercises = Map::new();
            for motion in library.exercises.values() {
                exercises.insert(motion.id.clone(), told(motion, body, &home, &usual));
            }
            let mut other = Map::new();
            for (variant, motion) in &variants {
                let home = Home { step_height: variant.step.unwrap_or(home.step_height), ..home };
                let parameters = variant.parameters.iter().map(|(name, value)| ((*name).to_string(), *value));
                other.insert(variant.name.into(), told(motion, body, &home, &parameters.collect()));
            }
            json!({
                "stature": body.stature(),
                "mass": body.mass(),
                "sex": body.person.sex,
                "table": body.table,
                "foot": body.length("foot"),
                "exercises": exercises,
                "variants": other,
            })
        })
        .collect();
    let text = serde_json::to_string(&json!({ "gravity": GRAVITY, "bodies": list })).expect("plain numbers");
    std::fs::write(&out, text).unwrap_or_else(|error| panic!("{out}: {error}"));
}

/// One motion on one body.
fn told(motion: &Motion, body: &Body, home: &Home, parameters: &Parameters) -> Value {
    match solve(motion, &motion.core, body, home, Side::Right, parameters) {
        Ok(repetition) => describe(motion, body, &repetition),
        Err(error) => json!({ "cannot": error.to_string() }),
    }
}

fn describe(motion: &Motion, body: &Body, repetition: &Repetition) -> Value {
    let unbalanced = repetition.joints.iter().map(|it| it.unbalanced).fold(0.0, f64::max);
    let mut sides = Map::new();
    for (name, side) in [("working", Side::Right), ("other", Side::Left)] {
        sides.insert(name.into(), one_side(motion, body, repetition, side));
    }
    let vertical: Vec<f64> = (0..repetition.samples.len())
        .map(|i| repetition.contacts.iter().map(|it| it.force[i].y).sum())
        .collect();
    json!({
        "impact": motion.impact,
        "seconds": repetition.duration(),
        "unbalanced": unbalanced,
        "com_margin": repetition.samples.iter().map(|it| it.com_margin).fold(f64::INFINITY, f64::min),
        "vertical_force": { "low": least(&vertical), "high": greatest(&vertical) },
        "sides": sides,
    })
}

fn least(list: &[f64]) -> f64 {
    list.iter().copied().fold(f64::INFINITY, f64::min)
}

fn greatest(list: &[f64]) -> f64 {
    list.iter().copied().fold(f64::NEG_INFINITY, f64::max)
}

/// Net moments of the leg's and the shoulder's degrees of freedom, reactions and loads of one side.
fn one_side(motion: &Motion, body: &Body, repetition: &Repetition, side: Side) -> Value {
    let loads = |motion: &Motion| -> Map<String, Value> {
        let of = |tissue: Tissue| load(motion, body, repetition, tissue, side);
        Tissue::ALL.iter().map(|&tissue| (tissue.id().into(), of(tissue))).collect()
    };
    let unpublished = Motion { measured: Vec::new(), ..motion.clone() };
    let weight = body.mass() * GRAVITY;
    let mut moments: Map<String, Value> = [
        Dof::HipFlexion,
        Dof::HipAbduction,
        Dof::HipExternalRotation,
        Dof::KneeFlexion,
        Dof::AnkleDorsiflexion,
        Dof::ElbowFlexion,
    ]
    .into_iter()
    .map(|dof| {
        let coord = Coord::of(side, dof).0;
        (dof.id().to_string(), span(repetition, |i| repetition.joints[i].by_coordinate[coord] / body.mass()))
    })
    .collect();
    moments.insert("shoulder_elevation".into(), span(repetition, |i| elevation(repetition, i, side, body)));
    let twist = Coord::of(side, Dof::ShoulderExternalRotation).0;
    moments.insert(
        "shoulder_external_rotation".into(),
        span(repetition, |i| repetition.joints[i].by_coordinate[twist] / body.mass()),
    );
    let reactions: Map<String, Value> =
        [("hip", SegmentKind::Thigh), ("knee", SegmentKind::Shank), ("ankle", SegmentKind::Hindfoot)]
            .into_iter()
            .map(|(name, kind)| {
                let i = SegmentId::of(kind, side).index();
                (name.to_string(), span(repetition, |at| repetition.joints[at].reaction[i].norm() / weight))
            })
            .collect();
    let extending = Coord::of(side, Dof::KneeFlexion).0;
    let peak = (0..repetition.samples.len())
        .min_by(|&a, &b| {
            let read = |i: usize| repetition.joints[i].by_coordinate[extending];
            read(a).total_cmp(&read(b))
        })
        .unwrap_or(0);
    let drives: Map<String, Value> = Joint::ALL
        .into_iter()
        .filter_map(|joint| Some((joint.id().to_string(), json!(repetition.drive(side, joint)?.id()))))
        .collect();
    json!({
        "loads": loads(motion),
        "computed": loads(&unpublished),
        "moment_per_kg": moments,
        "reaction": reactions,
        "leg_load": span(repetition, |i| repetition.samples[i].leg_load[side as usize]),
        "drives": drives,
        "knee_flexion_deg": span(repetition, |i| repetition.samples[i].pose.deg(side, Dof::KneeFlexion)),
        "at_peak_of_knee": posture(body, repetition, side, peak),
    })
}

/// Least and greatest value over the repetition.
fn span(repetition: &Repetition, read: impl Fn(usize) -> f64) -> Value {
    let list: Vec<f64> = (0..repetition.samples.len()).map(read).collect();
    json!([least(&list), greatest(&list)])
}

/// Moment that lifts the arm in the plane in which it is lifted, N m per kg. The swing of the shoulder is a
/// rotation vector, so the moment about its direction is the sum of its parts along it.
fn elevation(repetition: &Repetition, at: usize, side: Side, body: &Body) -> f64 {
    let pose = &repetition.samples[at].pose;
    let [a, b] = [Dof::ShoulderFlexion, Dof::ShoulderAbduction].map(|dof| Coord::of(side, dof));
    let size = libm::hypot(pose[a], pose[b]);
    if size < 1e-6 {
        return 0.0;
    }
    let moments = &repetition.joints[at].by_coordinate;
    (pose[a] * moments[a.0] + pose[b] * moments[b.0]) / size / body.mass()
}

/// What the body looks like at a sample, as far as it decides the moment about the knee.
fn posture(body: &Body, repetition: &Repetition, side: Side, at: usize) -> Value {
    let sample = &repetition.samples[at];
    let kinematics = Kinematics::of(body, &sample.pose);
    let place = |landmark: Landmark| landmark.place(body, &kinematics, side);
    let [hip, knee, ankle] = [Landmark::HipCentre, Landmark::KneeCentre, Landmark::AnkleCentre].map(place);
    let lean = |low: Vector3<f64>, high: Vector3<f64>| {
        let line = high - low;
        libm::atan2(line.x, line.y).to_degrees()
    };
    let thorax = SegmentId::axial(SegmentKind::Thorax).index();
    let up = kinematics.rotation[thorax].column(1).into_owned();
    // Ground force of this leg: its size and where it acts.
    let (mut force, mut moment) = (Vector3::zeros(), 0.0);
    for it in repetition.contacts.iter().filter(|it| it.side == side && it.landmark.is_on_leg()) {
        force += it.force[at];
        moment += it.place[at].x * it.force[at].y;
    }
    let pressure = if force.y > 1e-6 { moment / force.y } else { f64::NAN };
    let knee_moment = repetition.joints[at].by_coordinate[Coord::of(side, Dof::KneeFlexion).0];
    json!({
        "time": sample.time,
        "knee_extension_moment_per_kg": -knee_moment / body.mass(),
        "knee_flexion_deg": sample.pose.deg(side, Dof::KneeFlexion),
        "hip_flexion_deg": sample.pose.deg(side, Dof::HipFlexion),
        "ankle_dorsiflexion_deg": sample.pose.deg(side, Dof::AnkleDorsiflexion),
        "trunk_lean_deg": libm::atan2(up.x, up.y).to_degrees(),
        "shin_lean_deg": lean(ankle, knee),
        "ground_force_up": force.y,
        "ground_force_forward": force.x,
        "pressure_from_ankle": pressure - ankle.x,
        "knee_from_ankle": knee.x - ankle.x,
        "hip_from_ankle": hip.x - ankle.x,
        "mass_from_ankle": sample.com.x - ankle.x,
        "hip_over_ankle": hip.y - ankle.y,
    })
}

fn load(motion: &Motion, body: &Body, repetition: &Repetition, tissue: Tissue, side: Side) -> Value {
    match tissue_load(motion, body, repetition, tissue, side) {
        Load::Known(it) => json!({
            "basis": it.basis.id(), "low": it.peak.low, "high": it.peak.high, "known": it.known,
            "impulse": it.impulse.map(|it| [it.low, it.high]),
        }),
        Load::Order { above, below, .. } => json!({ "above": above, "below": below }),
        Load::NotKnown(why) => json!({ "not_known": why.id() }),
    }
}
