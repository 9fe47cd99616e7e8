//! From a written exercise to a checked motion: every name resolved, every mistake reported with its line.

use std::collections::BTreeMap;

use handrail_anatomy::{
    ACTIVITIES, Coord, Device, Dof, Drive, Joint, Landmark, Limb, Muscle, Position, Side,
};
use handrail_spans::{Problems, SourceText, Spanned};

use crate::measured::{Measured, check_measured};
use crate::posture::{Posture, Surface};
use crate::quantity::{Quantity, QuantitySpec};
use crate::spec::{
    Along, Bears, CameraSpec, ContactSpec, DoseSpec, FaultSpec, Hold, KeySpec, LandmarkSpec, MotionSpec,
    PointSpec, PropSpec, ReviewSpec,
};

/// Coordinate before the side is known.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum CoordRef {
    /// Root, trunk or neck.
    Axial(Coord),
    /// Degree of freedom of the working or other limb.
    Limb(Limb, Dof),
}

impl CoordRef {
    /// The coordinate for a working side, and the sign by which a written value is mirrored.
    pub fn resolve(self, working: Side) -> (Coord, f64) {
        match self {
            CoordRef::Limb(limb, dof) => (Coord::of(limb.side(working), dof), 1.0),
            CoordRef::Axial(coord) => {
                let sideways = [
                    Coord::ROOT_Z,
                    Coord::ROOT_TURN,
                    Coord::ROOT_LIST,
                    Coord::TRUNK_SIDE_BEND,
                    Coord::TRUNK_ROTATION,
                    Coord::NECK_SIDE_BEND,
                    Coord::NECK_ROTATION,
                ];
                (coord, if sideways.contains(&coord) { working.outward() } else { 1.0 })
            }
        }
    }
}

/// Names that an expression may use.
pub struct Names<'a> {
    parameters: Vec<&'a str>,
}

/// Body and home lengths that expressions may use.
pub const LENGTH_NAMES: [&str; 13] = [
    "stature",
    "thigh",
    "shank",
    "foot",
    "upper_arm",
    "forearm",
    "hand",
    "knee_height",
    "shoulder_height_sitting",
    "seat_height",
    "bed_height",
    "table_height",
    "step_height",
];

impl<'a> Names<'a> {
    /// Lengths only.
    pub fn without_parameters() -> Names<'static> {
        Names { parameters: Vec::new() }
    }

    /// True when the name has a value.
    pub fn knows(&self, name: &str) -> bool {
        LENGTH_NAMES.contains(&name) || self.parameters.contains(&name)
    }
}

/// A checked contact.
#[derive(Clone, Debug, PartialEq)]
pub struct Contact {
    /// Whose.
    pub limb: Limb,
    /// Points: one landmark, or the three of a sole.
    pub points: Vec<Landmark>,
    /// Name as written (`sole` or the landmark).
    pub name: String,
    /// Surface.
    pub on: Option<Surface>,
    /// Other point.
    pub with: Option<(Limb, Landmark)>,
    /// How it is held.
    pub hold: Hold,
    /// What it carries.
    pub bears: Bears,
}

/// A target that a point has in the key poses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Target {
    /// Point.
    pub point: (Limb, Landmark),
    /// Direction.
    pub along: Along,
    /// Origin.
    pub from: Option<(Limb, Landmark)>,
}

/// A checked key pose.
#[derive(Clone, Debug)]
pub struct Key {
    /// Seconds to get here.
    pub seconds: f64,
    /// Seconds held.
    pub hold: f64,
    /// What is done on the way here.
    pub verb: String,
    /// All written angles, carried over from the key before; degrees (metres for root positions).
    pub angles: BTreeMap<CoordRef, Quantity>,
    /// Value per target, where given.
    pub targets: Vec<Option<Quantity>>,
    /// Travel of the ball.
    pub ball: Quantity,
}

/// The geometry of a motion (or of one of its faults).
#[derive(Clone, Debug)]
pub struct Core {
    /// Coordinates found by the solver.
    pub solve: Vec<CoordRef>,
    /// Contacts.
    pub contacts: Vec<Contact>,
    /// Targets of the keys.
    pub targets: Vec<Target>,
    /// Key poses.
    pub keys: Vec<Key>,
    /// The centre of mass stays over the feet.
    pub balance: bool,
    /// Ball: radius and the point it starts under.
    pub ball: Option<(f64, (Limb, Landmark))>,
}

/// A turnable parameter.
#[derive(Clone, Debug, PartialEq)]
pub struct Parameter {
    /// Name.
    pub name: String,
    /// m, deg or kg.
    pub unit: String,
    /// Range.
    pub low: f64,
    /// Range.
    pub high: f64,
    /// Value when nothing limits it.
    pub usual: f64,
    /// Error of execution.
    pub tolerance: f64,
}

/// Role of a muscle in an exercise.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// The exercise is for it.
    Prime,
    /// It helps.
    Helping,
    /// It holds a neighbouring part.
    Holding,
}

/// Resistance beyond gravity.
#[derive(Clone, Debug)]
pub struct Resistance {
    /// band, weight, body_weight, manual.
    pub kind: String,
    /// Where it acts.
    pub at: Option<(Limb, Landmark)>,
    /// kg; `None` for body weight.
    pub kg: Option<Quantity>,
    /// Far end of a band or cord on the body.
    pub to: Option<(Limb, Landmark)>,
    /// Far end in the room: metres forward, up and outward of where it acts in the start pose.
    pub anchor: Option<[f64; 3]>,
    /// Share of a band's pull at its shortest in the repetition.
    pub pull_at_shortest: f64,
}

/// A common fault.
#[derive(Clone, Debug)]
pub struct Fault {
    /// Name within the exercise.
    pub id: String,
    /// Changed parameters.
    pub parameters: BTreeMap<String, f64>,
    /// Its geometry.
    pub core: Core,
}

/// A checked exercise; constant.
#[derive(Clone, Debug)]
pub struct Motion {
    /// Name.
    pub id: String,
    /// Version of the text.
    pub version: u32,
    /// Body region.
    pub region: String,
    /// Goal tags.
    pub trains: Vec<String>,
    /// Posture.
    pub posture: Posture,
    /// What moves the moving joints.
    pub drive: Drive,
    /// Exceptions by joint.
    pub drives: BTreeMap<(Limb, Joint), Drive>,
    /// Muscles with roles.
    pub muscles: Vec<(Muscle, Role)>,
    /// Equipment.
    pub equipment: Vec<String>,
    /// Devices that must be off.
    pub device_off: Vec<Device>,
    /// Positions taken, posture's included.
    pub positions: Vec<Position>,
    /// Activities contained.
    pub activities: Vec<String>,
    /// A foot lands.
    pub impact: bool,
    /// Belongs to the beginning.
    pub warm_up: bool,
    /// Parameters; the first one is turned to stay inside a limit.
    pub parameters: Vec<Parameter>,
    /// Geometry.
    pub core: Core,
    /// Resistance.
    pub resistance: Option<Resistance>,
    /// Drawn things.
    pub props: Vec<PropSpec>,
    /// Landmark pair of the limit.
    pub landmark: Option<LandmarkSpec>,
    /// Faults.
    pub faults: Vec<Fault>,
    /// Camera.
    pub camera: CameraSpec,
    /// Usual dose.
    pub dose: DoseSpec,
    /// Published loads.
    pub measured: Vec<Measured>,
    /// Sources.
    pub sources: Vec<String>,
    /// Sign-off.
    pub review: Option<ReviewSpec>,
}

/// Regions an exercise may name.
pub const REGIONS: [&str; 8] = ["foot", "ankle", "knee", "hip", "trunk", "shoulder", "elbow", "hand"];

fn axial_by_name(name: &str) -> Option<Coord> {
    Coord::AXIAL_IDS.iter().position(|it| *it == name).map(Coord)
}

fn dof_by_name(name: &str) -> Option<Dof> {
    Dof::ALL.iter().copied().find(|it| it.id() == name)
}

/// Checks a table of angles; `limbs` is `None` for trunk, neck and root.
pub(crate) fn check_angles(
    source: &SourceText,
    names: &Names<'_>,
    table: &BTreeMap<String, Spanned<QuantitySpec>>,
    limbs: Option<&[Limb]>,
    out: &mut BTreeMap<CoordRef, Quantity>,
    problems: &mut Problems,
) {
    for (name, spec) in table {
        let quantity = match spec.get_ref().check(|it| names.knows(it)) {
            Ok(quantity) => quantity,
            Err(message) => {
                problems.0.push(source.problem(
                    spec.span(),
                    name,
                    message,
                    "write degrees or a sum of terms",
                ));
                continue;
            }
        };
        match limbs {
            None => match axial_by_name(name) {
                Some(coord) => {
                    out.insert(CoordRef::Axial(coord), quantity);
                }
                None => problems.0.push(source.problem(
                    spec.span(),
                    name,
                    "not a motion of trunk, neck or root",
                    format!("use one of {}", Coord::AXIAL_IDS.join(", ")),
                )),
            },
            Some(limbs) => match dof_by_name(name) {
                Some(dof) => {
                    check_plausible(source, spec, dof, problems);
                    for &limb in limbs {
                        out.insert(CoordRef::Limb(limb, dof), quantity.clone());
                    }
                }
                None => {
                    let all: Vec<_> = Dof::ALL.iter().map(|it| it.id()).collect();
                    problems.0.push(source.problem(
                        spec.span(),
                        name,
                        "not a motion of a limb",
                        format!("use one of {}", all.join(", ")),
                    ));
                }
            },
        }
    }
}

fn check_plausible(source: &SourceText, spec: &Spanned<QuantitySpec>, dof: Dof, problems: &mut Problems) {
    let QuantitySpec::Number(deg) = spec.get_ref() else { return };
    let (low, high) = dof.plausible();
    if !(low..=high).contains(deg) {
        problems.0.push(source.problem(
            spec.span(),
            dof.id(),
            format!("{deg} degrees is outside what a body can do ({low} to {high})"),
            "check the sign: positive is the first-named motion",
        ));
    }
}

fn limb_prefix(name: &str) -> Option<(&'static [Limb], &str)> {
    let (prefix, rest) = name.split_once('.')?;
    let limbs: &[Limb] = match prefix {
        "working" => &[Limb::Working],
        "other" => &[Limb::Other],
        "both" => &[Limb::Working, Limb::Other],
        _ => return None,
    };
    Some((limbs, rest))
}

pub(crate) fn check_solve(
    source: &SourceText,
    list: &[Spanned<String>],
    problems: &mut Problems,
) -> Vec<CoordRef> {
    let mut out = Vec::new();
    for name in list {
        let found = coords_by_name(name.get_ref());
        if found.is_empty() {
            problems.0.push(source.problem(
                name.span(),
                "solve",
                format!("`{}` names no coordinate", name.get_ref()),
                "write working.knee_flexion, other.hip_flexion, both.ankle_dorsiflexion, body.root_up, ...",
            ));
        }
        for coord in found {
            if !out.contains(&coord) {
                out.push(coord);
            }
        }
    }
    out
}

fn coords_by_name(name: &str) -> Vec<CoordRef> {
    if let Some((limbs, rest)) = limb_prefix(name) {
        return dof_by_name(rest)
            .map(|dof| limbs.iter().map(|&limb| CoordRef::Limb(limb, dof)).collect())
            .unwrap_or_default();
    }
    name.strip_prefix("body.").and_then(axial_by_name).map(CoordRef::Axial).into_iter().collect()
}

pub(crate) fn check_contacts(
    source: &SourceText,
    list: &[ContactSpec],
    problems: &mut Problems,
) -> Vec<Contact> {
    let mut out = Vec::new();
    for spec in list {
        let Some(points) = contact_points(spec.point.get_ref()) else {
            problems.0.push(source.problem(
                spec.point.span(),
                "point",
                format!("`{}` is not a landmark", spec.point.get_ref()),
                "use `sole` or a landmark of the glossary (heel, ball, palm, elbow_tip, ...)",
            ));
            continue;
        };
        let on = match &spec.on {
            None => None,
            Some(name) => match Surface::parse(name.get_ref()) {
                Some(surface) => Some(surface),
                None => {
                    problems.0.push(source.problem(
                        name.span(),
                        "on",
                        format!("`{}` is not a surface", name.get_ref()),
                        "use floor, seat, bed, wall, table, step or ball",
                    ));
                    continue;
                }
            },
        };
        let relative = matches!(spec.hold, Hold::Distance | Hold::Together);
        if relative != spec.with.is_some() || (on.is_none() && !relative && spec.hold == Hold::Slides) {
            problems.0.push(source.problem(
                spec.point.span(),
                "hold",
                "`distance` and `together` need `with`; `slides` needs `on`",
                "name the other point in `with`, or the surface in `on`",
            ));
            continue;
        }
        for &limb in spec.limb.list() {
            out.push(Contact {
                limb,
                points: points.clone(),
                name: spec.point.get_ref().clone(),
                on,
                with: spec.with.as_ref().map(|it| (it.limb, it.point)),
                hold: spec.hold,
                bears: spec.bears,
            });
        }
    }
    out
}

fn contact_points(name: &str) -> Option<Vec<Landmark>> {
    if name == "sole" {
        return Some(vec![Landmark::Heel, Landmark::BallInner, Landmark::BallOuter]);
    }
    Landmark::ALL.iter().copied().find(|it| it.id() == name).map(|it| vec![it])
}

/// Removes the contacts named like `working.sole`; says which names matched nothing.
fn lift_contacts(contacts: &mut Vec<Contact>, names: &[String]) -> Vec<String> {
    let mut missed = Vec::new();
    for name in names {
        let before = contacts.len();
        if let Some((limbs, point)) = limb_prefix(name) {
            contacts.retain(|it| !(limbs.contains(&it.limb) && it.name == point));
        }
        if contacts.len() == before {
            missed.push(name.clone());
        }
    }
    missed
}

struct Compiler<'a> {
    source: &'a SourceText,
    names: Names<'a>,
    problems: Problems,
}

impl Compiler<'_> {
    fn quantity(&mut self, spec: &Spanned<QuantitySpec>, field: &str) -> Option<Quantity> {
        match spec.get_ref().check(|it| self.names.knows(it)) {
            Ok(quantity) => Some(quantity),
            Err(message) => {
                self.problems.0.push(self.source.problem(
                    spec.span(),
                    field,
                    message,
                    "write a number or a sum of terms",
                ));
                None
            }
        }
    }

    fn angles(
        &mut self,
        working: &BTreeMap<String, Spanned<QuantitySpec>>,
        other: &BTreeMap<String, Spanned<QuantitySpec>>,
        both: &BTreeMap<String, Spanned<QuantitySpec>>,
        body: &BTreeMap<String, Spanned<QuantitySpec>>,
        out: &mut BTreeMap<CoordRef, Quantity>,
    ) {
        let (source, names, problems) = (self.source, &self.names, &mut self.problems);
        check_angles(source, names, both, Some(&[Limb::Working, Limb::Other]), out, problems);
        check_angles(source, names, working, Some(&[Limb::Working]), out, problems);
        check_angles(source, names, other, Some(&[Limb::Other]), out, problems);
        check_angles(source, names, body, None, out, problems);
    }

    fn targets(&mut self, keys: &[KeySpec]) -> Vec<Target> {
        let mut targets: Vec<Target> = Vec::new();
        for place in keys.iter().flat_map(|it| &it.place) {
            let target = target_of(place);
            if !targets.contains(&target) {
                targets.push(target);
            }
        }
        targets
    }

    fn keys(&mut self, spec: &MotionSpec, posture: &Posture, targets: &[Target]) -> Vec<Key> {
        let mut angles = posture.angles.clone();
        let mut ball = Quantity::default();
        let mut keys = Vec::new();
        for (index, key) in spec.key.iter().enumerate() {
            self.angles(&key.working, &key.other, &key.both, &key.body, &mut angles);
            let mut values = vec![None; targets.len()];
            for place in &key.place {
                let at = self.quantity(&place.at, "place.at");
                if let Some(slot) = targets.iter().position(|it| *it == target_of(place)) {
                    values[slot] = at;
                }
            }
            if let Some(travel) = &key.ball {
                match travel.check(|it| self.names.knows(it)) {
                    Ok(quantity) => ball = quantity,
                    Err(message) => {
                        self.problems.0.push(self.source.problem(0..0, "key.ball", message, "write metres"))
                    }
                }
            }
            if key.seconds < 0.0 || key.hold < 0.0 || key.seconds + key.hold > 600.0 {
                self.problems.0.push(self.source.problem(
                    spec.id.span(),
                    format!("key[{index}].seconds"),
                    format!("{} s and {} s held are not times of an exercise", key.seconds, key.hold),
                    "write seconds from 0 to 600",
                ));
            }
            keys.push(Key {
                seconds: key.seconds,
                hold: key.hold,
                verb: key.verb.clone().unwrap_or_default(),
                angles: angles.clone(),
                targets: values,
                ball: ball.clone(),
            });
        }
        keys
    }

    fn fault(&mut self, spec: &FaultSpec, core: &Core) -> Fault {
        let mut core = core.clone();
        let mut changes = BTreeMap::new();
        self.angles(&spec.working, &spec.other, &BTreeMap::new(), &spec.body, &mut changes);
        let start = usize::from(core.keys.len() > 1);
        for key in &mut core.keys[start..] {
            for (coord, quantity) in &changes {
                key.angles.insert(*coord, quantity.clone());
            }
        }
        if spec.drop_places {
            core.targets.clear();
            core.keys.iter_mut().for_each(|key| key.targets.clear());
        }
        for missed in lift_contacts(&mut core.contacts, &spec.lift) {
            self.miss(&format!("fault.{}.lift", spec.id), &missed);
        }
        for name in &spec.free {
            let coords = coords_by_name(name);
            if coords.is_empty() {
                self.miss(&format!("fault.{}.free", spec.id), name);
            }
            core.solve.retain(|it| !coords.contains(it));
        }
        for name in spec.parameters.keys() {
            if !self.names.parameters.contains(&name.as_str()) {
                self.miss(&format!("fault.{}.parameters", spec.id), name);
            }
        }
        Fault { id: spec.id.clone(), parameters: spec.parameters.clone(), core }
    }

    fn miss(&mut self, field: &str, name: &str) {
        let at = self.source.text.find(name).unwrap_or(0);
        self.problems.0.push(self.source.problem(
            at..at + name.len(),
            field,
            format!("`{name}` names nothing in this exercise or its posture"),
            "check the spelling against the contacts, coordinates and parameters above",
        ));
    }
}

fn target_of(place: &crate::spec::PlaceSpec) -> Target {
    Target {
        point: (place.limb, place.point),
        along: place.along,
        from: place.from.as_ref().map(|it| (it.limb, it.point)),
    }
}

fn point(spec: &PointSpec) -> (Limb, Landmark) {
    (spec.limb, spec.point)
}

/// Checks an exercise against its posture.
///
/// # Errors
/// All mistakes of the file, each with its line.
pub fn compile(
    source: &SourceText,
    spec: &MotionSpec,
    postures: &BTreeMap<String, Posture>,
) -> Result<Motion, Problems> {
    let mut compiler = Compiler {
        source,
        names: Names { parameters: spec.parameter.iter().map(|it| it.name.get_ref().as_str()).collect() },
        problems: Problems::default(),
    };
    let Some(posture) = postures.get(spec.posture.get_ref()) else {
        let known: Vec<_> = postures.keys().map(String::as_str).collect();
        return Err(Problems(vec![source.problem(
            spec.posture.span(),
            "posture",
            format!("`{}` is not a posture", spec.posture.get_ref()),
            format!("use one of {}", known.join(", ")),
        )]));
    };
    check_heads(&mut compiler, spec);
    let targets = compiler.targets(&spec.key);
    let keys = compiler.keys(spec, posture, &targets);

    let mut contacts = posture.contacts.clone();
    let lifted: Vec<String> = spec.lift.iter().map(|it| it.get_ref().clone()).collect();
    for missed in lift_contacts(&mut contacts, &lifted) {
        compiler.miss("lift", &missed);
    }
    contacts.extend(check_contacts(source, &spec.contact, &mut compiler.problems));
    let mut solve = posture.solve.clone();
    // A limb whose sole was lifted is no longer bound by the posture.
    solve.retain(|it| match it {
        CoordRef::Limb(limb, dof) if dof.joint().is_leg() => {
            contacts.iter().any(|contact| contact.limb == *limb && contact.hold != Hold::Rests)
        }
        _ => true,
    });
    for coord in check_solve(source, &spec.solve, &mut compiler.problems) {
        if !solve.contains(&coord) {
            solve.push(coord);
        }
    }
    let core = Core {
        solve,
        contacts,
        targets,
        keys,
        balance: posture.balance,
        ball: spec.ball.as_ref().map(|it| (it.radius, point(&it.under))),
    };
    let faults = spec.fault.iter().map(|it| compiler.fault(it, &core)).collect();
    let drives = check_drives(&mut compiler, spec);
    let resistance = check_resistance(&mut compiler, spec);
    let measured = check_measured(source, spec.id.get_ref(), &spec.measured, &mut compiler.problems);
    let mut positions = posture.positions.clone();
    positions.extend(spec.positions.iter().copied());

    let motion = Motion {
        id: spec.id.get_ref().clone(),
        version: spec.version,
        region: spec.region.get_ref().clone(),
        trains: spec.trains.clone(),
        posture: posture.clone(),
        drive: spec.drive,
        drives,
        muscles: muscles(spec),
        equipment: spec.equipment.clone(),
        device_off: spec.device_off.clone(),
        positions,
        activities: spec.activities.clone(),
        impact: spec.impact,
        warm_up: spec.warm_up,
        parameters: parameters(spec),
        core,
        resistance,
        props: spec.prop.clone(),
        landmark: spec.landmark.clone(),
        faults,
        camera: spec.camera.clone(),
        dose: spec.dose,
        measured,
        sources: spec.sources.clone(),
        review: spec.review.clone(),
    };
    compiler.problems.or(motion)
}

fn check_heads(compiler: &mut Compiler<'_>, spec: &MotionSpec) {
    let source = compiler.source;
    let mut report = |span, field: &str, message: String, mend: &str| {
        compiler.problems.0.push(source.problem(span, field, message, mend));
    };
    if !REGIONS.contains(&spec.region.get_ref().as_str()) {
        report(
            spec.region.span(),
            "region",
            format!("`{}` is not a region", spec.region.get_ref()),
            "use foot, ankle, knee, hip, trunk, shoulder, elbow or hand",
        );
    }
    if spec.key.is_empty() {
        report(spec.id.span(), "key", "an exercise needs at least one key pose".into(), "add [[key]]");
    }
    for name in spec.activities.iter().filter(|it| !ACTIVITIES.contains(&it.as_str())) {
        report(
            spec.id.span(),
            "activities",
            format!("`{name}` is not an activity that orders can forbid"),
            "use one of: driving, cycling, deep_squat, lifting, overhead_lifting, stairs, stairs_step_over_step, running, ...",
        );
    }
    let total: f64 = spec.key.iter().map(|it| it.seconds + it.hold).sum();
    if !spec.key.is_empty() && total <= 0.0 {
        report(
            spec.id.span(),
            "key.seconds",
            "the repetition takes no time".into(),
            "give seconds or a hold",
        );
    }
    if spec.sources.is_empty() {
        report(
            spec.id.span(),
            "sources",
            "no source is named".into(),
            "name the source, or \"common practice, no source\"",
        );
    }
    if spec.drive != Drive::Passive && spec.muscles.prime.is_empty() {
        report(
            spec.id.span(),
            "muscles.prime",
            "own muscles work, but none is named; orders on muscles could not be checked".into(),
            "name the muscles by role",
        );
    }
    for parameter in &spec.parameter {
        let ordered = parameter.low <= parameter.usual && parameter.usual <= parameter.high;
        if !ordered || parameter.tolerance < 0.0 || !["m", "deg", "kg"].contains(&parameter.unit.as_str()) {
            report(
                parameter.name.span(),
                "parameter",
                format!(
                    "low {} <= usual {} <= high {} must hold; unit m, deg or kg",
                    parameter.low, parameter.usual, parameter.high
                ),
                "correct the range or the unit",
            );
        }
    }
}

fn check_drives(compiler: &mut Compiler<'_>, spec: &MotionSpec) -> BTreeMap<(Limb, Joint), Drive> {
    let mut drives = BTreeMap::new();
    for (name, drive) in &spec.drives {
        let parsed = limb_prefix(name).and_then(|(limbs, rest)| {
            Joint::ALL.iter().find(|it| it.id() == rest).map(|joint| (limbs, *joint))
        });
        match parsed {
            Some((limbs, joint)) => {
                for &limb in limbs {
                    drives.insert((limb, joint), *drive);
                }
            }
            None => compiler.miss("drives", name),
        }
    }
    drives
}

/// Share of a band's pull at its shortest where the author gives none (own choice: taut from the start).
const USUAL_PULL_AT_SHORTEST: f64 = 0.5;

fn check_resistance(compiler: &mut Compiler<'_>, spec: &MotionSpec) -> Option<Resistance> {
    let resistance = spec.resistance.as_ref()?;
    let kg = resistance.kg.as_ref().and_then(|it| match it.check(|name| compiler.names.knows(name)) {
        Ok(quantity) => Some(quantity),
        Err(message) => {
            compiler.problems.0.push(compiler.source.problem(
                spec.id.span(),
                "resistance.kg",
                message,
                "write kilograms or a parameter",
            ));
            None
        }
    });
    if !["band", "cord", "weight", "body_weight", "manual"].contains(&resistance.kind.as_str()) {
        compiler.miss("resistance.kind", &resistance.kind);
    }
    if kg.is_none() && resistance.kind != "body_weight" {
        compiler.problems.0.push(compiler.source.problem(
            spec.id.span(),
            "resistance.kg",
            "the size of the resistance is not given; a ceiling on it could not be checked",
            "write kilograms or a parameter",
        ));
    }
    let share = resistance.pull_at_shortest.unwrap_or(USUAL_PULL_AT_SHORTEST);
    if !(0.0..=1.0).contains(&share) {
        compiler.problems.0.push(compiler.source.problem(
            spec.id.span(),
            "resistance.pull_at_shortest",
            format!("{share} is not a share"),
            "write a number from 0 (slack) to 1 (as taut as at its longest)",
        ));
    }
    if resistance.to.is_some() && resistance.anchor.is_some() {
        compiler.problems.0.push(compiler.source.problem(
            spec.id.span(),
            "resistance.anchor",
            "a band has one far end, but both `to` and `anchor` are given",
            "keep the one it is fastened to",
        ));
    }
    Some(Resistance {
        kind: resistance.kind.clone(),
        at: resistance.at.as_ref().map(point),
        kg,
        to: resistance.to.as_ref().map(point),
        anchor: resistance.anchor,
        pull_at_shortest: share,
    })
}

fn muscles(spec: &MotionSpec) -> Vec<(Muscle, Role)> {
    let with = |list: &[Muscle], role| list.iter().map(|&it| (it, role)).collect::<Vec<_>>();
    let mut all = with(&spec.muscles.prime, Role::Prime);
    all.extend(with(&spec.muscles.helping, Role::Helping));
    all.extend(with(&spec.muscles.holding, Role::Holding));
    all
}

fn parameters(spec: &MotionSpec) -> Vec<Parameter> {
    spec.parameter
        .iter()
        .map(|it| Parameter {
            name: it.name.get_ref().clone(),
            unit: it.unit.clone(),
            low: it.low,
            high: it.high,
            usual: it.usual,
            tolerance: it.tolerance,
        })
        .collect()
}

impl Motion {
    /// Resting in a posture: a motion of one held key pose, used to check places and moves between them.
    pub fn at_rest(posture: &Posture) -> Motion {
        let key = Key {
            seconds: 0.0,
            hold: 1.0,
            verb: String::new(),
            angles: posture.angles.clone(),
            targets: Vec::new(),
            ball: Quantity::default(),
        };
        let core = Core {
            solve: posture.solve.clone(),
            contacts: posture.contacts.clone(),
            targets: Vec::new(),
            keys: vec![key],
            balance: posture.balance,
            ball: None,
        };
        Motion {
            id: posture.id.clone(),
            version: 0,
            region: String::new(),
            trains: Vec::new(),
            posture: posture.clone(),
            drive: Drive::Passive,
            drives: BTreeMap::new(),
            muscles: Vec::new(),
            equipment: Vec::new(),
            device_off: Vec::new(),
            positions: posture.positions.clone(),
            activities: Vec::new(),
            impact: false,
            warm_up: false,
            parameters: Vec::new(),
            core,
            resistance: None,
            props: Vec::new(),
            landmark: None,
            faults: Vec::new(),
            camera: CameraSpec { view: "side".into(), close_up: None },
            dose: DoseSpec::default(),
            measured: Vec::new(),
            sources: Vec::new(),
            review: None,
        }
    }
}
