//! Load on a tissue during one repetition, with its basis and honest bounds.
//!
//! `computed`: net joint moment of the solved repetition over the published range of moment arms. `measured`: a
//! published figure for this exercise, written in its file; where both exist the bounds span them. `practice`:
//! common practice, for a muscle that only steadies. What none of them gives is not known, and says why; a ceiling on
//! it then refuses the exercise.

use handrail_anatomy::arms::{
    ArmOf, PATELLOFEMORAL_KNOWN, PATELLOFEMORAL_SOURCE, moment_arm, patellofemoral_ratio,
};
use handrail_anatomy::tree::SegmentKind;
use handrail_anatomy::{
    Body, Coord, Dof, Drive, Interval, Joint, Known, Limb, LoadClass, LoadUnit, SegmentId, Side, Tissue,
};

use crate::compile::Motion;
use crate::dynamics::GRAVITY;
use crate::measured::{Measured, Published};
use crate::repetition::{Joints, Repetition, Sample};
use crate::spec::Bears;

/// Where a load comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LoadBasis {
    /// From the solved repetition.
    Computed,
    /// Published for the exercise.
    Measured,
    /// Both; the bounds span them.
    ComputedAndMeasured,
    /// Common practice; there is no source.
    Practice,
}

impl LoadBasis {
    /// Every basis.
    pub const ALL: [LoadBasis; 4] =
        [LoadBasis::Computed, LoadBasis::Measured, LoadBasis::ComputedAndMeasured, LoadBasis::Practice];

    /// Word used in JSON.
    pub fn id(self) -> &'static str {
        match self {
            LoadBasis::Computed => "computed",
            LoadBasis::Measured => "measured",
            LoadBasis::ComputedAndMeasured => "computed_and_measured",
            LoadBasis::Practice => "practice",
        }
    }
}

/// Load on one tissue in one repetition.
#[derive(Clone, Debug, PartialEq)]
pub struct TissueLoad {
    /// Tissue.
    pub tissue: Tissue,
    /// Side.
    pub side: Side,
    /// Basis.
    pub basis: LoadBasis,
    /// Largest load of the repetition, in the tissue's unit.
    pub peak: Interval,
    /// Seconds into the repetition at which it is largest; `None` for measured loads.
    pub at: Option<f64>,
    /// Load summed over the time of one repetition, unit times seconds; `None` where the course over time is
    /// not known.
    pub impulse: Option<Interval>,
    /// Where the bounds come from.
    pub source: String,
    /// How well that is known; of several sources the weakest.
    pub known: Known,
}

impl TissueLoad {
    /// Unit of peak (and of impulse, times seconds).
    pub fn unit(&self) -> LoadUnit {
        self.tissue.unit()
    }
}

/// Why a load cannot be stated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NotKnown {
    /// A foot lands; the forces of landing are not in the model.
    Impact,
    /// The muscle is tensed without motion, as hard as the patient tenses it.
    Isometric,
    /// Another hand, a strap or a pulley moves the joint with a force that is not known.
    MovedFromOutside,
    /// The resistance has no stated size or direction.
    Resistance,
    /// The supports do not balance the body in this pose, so the forces are not known.
    NotBalanced,
    /// This body cannot take the pose in this home.
    CannotBeDone,
    /// No figure is published for this exercise, and the model does not reach this tissue.
    NotPublished,
}

impl NotKnown {
    /// Every reason.
    pub const ALL: [NotKnown; 7] = [
        NotKnown::Impact,
        NotKnown::Isometric,
        NotKnown::MovedFromOutside,
        NotKnown::Resistance,
        NotKnown::NotBalanced,
        NotKnown::CannotBeDone,
        NotKnown::NotPublished,
    ];

    /// Key used in JSON and by `words`.
    pub fn id(self) -> &'static str {
        match self {
            NotKnown::Impact => "impact",
            NotKnown::Isometric => "isometric",
            NotKnown::MovedFromOutside => "moved_from_outside",
            NotKnown::Resistance => "resistance",
            NotKnown::NotBalanced => "not_balanced",
            NotKnown::CannotBeDone => "cannot_be_done",
            NotKnown::NotPublished => "not_published",
        }
    }
}

/// What can be said of the load on a tissue in one repetition.
#[derive(Clone, Debug, PartialEq)]
pub enum Load {
    /// Stated with bounds.
    Known(TissueLoad),
    /// Only an order is known: more than in each exercise of `above`, less than in each of `below`.
    Order {
        /// Tissue.
        tissue: Tissue,
        /// Exercises that load it less.
        above: Vec<String>,
        /// Exercises that load it more.
        below: Vec<String>,
        /// Where the order comes from.
        source: String,
        /// How well that is known.
        known: Known,
    },
    /// Not known.
    NotKnown(NotKnown),
}

impl Load {
    /// The load where it is stated.
    pub fn stated(&self) -> Option<&TissueLoad> {
        match self {
            Load::Known(load) => Some(load),
            _ => None,
        }
    }
}

/// Moment that the supports may leave over before the forces count as not known, body weights times metres.
/// It is small against the levers that matter (ankle to ball about 0.12 m).
const UNBALANCED: f64 = 0.03;
/// An arm lower than this hangs, degrees of elevation (own choice: hands in the lap are below it).
const HANGS_DEG: f64 = 45.0;
/// Frontal hip moment that may be left without an arm, N m per kg of body mass (own choice: less than a lying
/// leg's own weight gives).
const SMALL_MOMENT: f64 = 0.05;

/// Load on a tissue of one side in a repetition. Computed from the net joint moments where that can be done;
/// where a figure is also published for this very exercise, the bounds span both. What cannot be computed has
/// its published figure, its published order, or the reason why it is not known.
pub fn tissue_load(
    motion: &Motion,
    body: &Body,
    repetition: &Repetition,
    tissue: Tissue,
    side: Side,
) -> Load {
    let limb = if side == repetition.side { Limb::Working } else { Limb::Other };
    let row = motion.measured.iter().find(|it| it.tissue == tissue && it.limb.list().contains(&limb));
    let published = row.map(|it| published_load(it, side));
    let computed = if tissue.unit() == LoadUnit::BodyWeights {
        obstacle(motion, repetition, tissue, side)
            .map_or_else(|| computed_load(motion, body, repetition, tissue, side), Load::NotKnown)
    } else if rests(motion, repetition, tissue, side) {
        at_rest(repetition, tissue, side)
    } else {
        Load::NotKnown(NotKnown::NotPublished)
    };
    match (computed, published) {
        (Load::Known(computed), Some(Load::Known(published))) => Load::Known(TissueLoad {
            basis: LoadBasis::ComputedAndMeasured,
            peak: computed.peak.hull(published.peak),
            source: format!("{}; published for this exercise: {}", computed.source, published.source),
            known: computed.known.max(published.known),
            ..computed
        }),
        (Load::NotKnown(_), Some(published)) => published,
        (computed, _) => computed,
    }
}

fn published_load(row: &Measured, side: Side) -> Load {
    let (tissue, source, known) = (row.tissue, row.source.clone(), row.known);
    let peak = match &row.load {
        Published::Order { above, below } => {
            return Load::Order { tissue, above: above.clone(), below: below.clone(), source, known };
        }
        Published::Range(range) => *range,
        Published::Class(class) => class.percent_mvic(),
    };
    let basis = LoadBasis::Measured;
    Load::Known(TissueLoad { tissue, side, basis, peak, at: None, impulse: None, source, known })
}

/// A tissue whose joint rests: nothing is asked of it. A muscle beside joints that work (shoulder blade, elbow,
/// hand) steadies a little, so for it no less than the lowest band of activity is claimed.
fn at_rest(repetition: &Repetition, tissue: Tissue, side: Side) -> Load {
    let leg = tissue.joints()[0].is_leg();
    let beside = repetition.drives.iter().any(|&(of, joint, drive)| {
        of == side && !joint.is_axial() && joint.is_leg() == leg && drive != Drive::Passive
    });
    let steadies = beside && tissue.unit() == LoadUnit::PercentMvic;
    let source = if steadies {
        "the joint rests while others of the limb work; common practice, no source: the lowest band"
    } else {
        "the limb rests: nothing drives its joints and nothing pulls or stands on it"
    };
    Load::Known(TissueLoad {
        tissue,
        side,
        basis: if steadies { LoadBasis::Practice } else { LoadBasis::Computed },
        peak: if steadies { LoadClass::Low.percent_mvic() } else { Interval::default() },
        at: None,
        impulse: (!steadies).then(Interval::default),
        source: source.into(),
        known: Known::Practice,
    })
}

/// Why net joint moments do not say what the tissue bears in this exercise.
fn obstacle(motion: &Motion, repetition: &Repetition, tissue: Tissue, side: Side) -> Option<NotKnown> {
    if motion.impact {
        return Some(NotKnown::Impact);
    }
    let bears = bears_body(repetition, tissue, side);
    for &joint in tissue.pulled_at() {
        match repetition.drive(side, joint) {
            Some(Drive::Passive) => return Some(NotKnown::MovedFromOutside),
            // Held against body weight the moment is known; held against nothing it is what the patient makes it.
            Some(Drive::Isometric) if !bears => return Some(NotKnown::Isometric),
            _ => {}
        }
    }
    if !repetition.resistance_is_known {
        return Some(NotKnown::Resistance);
    }
    let unbalanced = repetition.joints.iter().map(|it| it.unbalanced).fold(0.0, f64::max);
    (bears && unbalanced > UNBALANCED).then_some(NotKnown::NotBalanced)
}

/// True when body weight goes through the limb of the tissue (through any limb, for the trunk).
fn bears_body(repetition: &Repetition, tissue: Tissue, side: Side) -> bool {
    let joint = tissue.joints()[0];
    repetition.samples.iter().any(|it| {
        let legs = it.leg_load[side as usize] > 0.0;
        let arms = it.arm_load[side as usize] > 0.0;
        if joint.is_axial() {
            it.leg_load.iter().chain(&it.arm_load).any(|load| *load > 0.0)
        } else if joint.is_leg() {
            legs
        } else {
            arms
        }
    })
}

/// True when the limb only lies, stands or hangs there: nothing drives the tissue's joints, no body weight goes
/// through it and no resistance acts on it.
fn rests(motion: &Motion, repetition: &Repetition, tissue: Tissue, side: Side) -> bool {
    let driven = tissue.joints().iter().any(|&it| repetition.drive(side, it).is_some());
    let limb = if side == repetition.side { Limb::Working } else { Limb::Other };
    let leg = tissue.joints()[0].is_leg();
    let resisted = motion
        .resistance
        .as_ref()
        .and_then(|it| it.at)
        .is_some_and(|(at, point)| at == limb && point.is_on_leg() == leg);
    let lies = repetition
        .contacts
        .iter()
        .any(|it| it.side == side && it.bears == Bears::Limb && it.landmark.is_on_leg() == leg);
    // An arm without support hangs; held up it does not rest. A leg without support is computed.
    let hangs = !leg && repetition.samples.iter().all(|it| it.pose.shoulder_elevation(side) < HANGS_DEG);
    !driven && !resisted && (lies || hangs) && !bears_body(repetition, tissue, side)
}

fn computed_load(motion: &Motion, body: &Body, repetition: &Repetition, tissue: Tissue, side: Side) -> Load {
    let weight = body.mass() * GRAVITY;
    let assisted = tissue.joints().iter().any(|&it| repetition.drive(side, it) == Some(Drive::Assisted));
    let resting = rests(motion, repetition, tissue, side);
    let mut peak = Interval::default();
    let (mut at, mut before): (f64, Option<(f64, Interval)>) = (0.0, None);
    let mut impulse = Interval::default();
    for (sample, joints) in repetition.samples.iter().zip(&repetition.joints) {
        // As the supports share it, and with the feet rubbing against each other either way.
        let rubbing =
            [0.0, 1.0, -1.0].map(|rub| State { sample, joints, side, mass: body.mass(), rub }.force(tissue));
        let force = match rubbing {
            _ if resting => Interval::default(),
            [Some(a), Some(b), Some(c)] => a.hull(b).hull(c).times(1.0 / weight),
            _ => return Load::NotKnown(NotKnown::NotPublished),
        };
        // Another hand or stick takes an unknown part.
        let force = if assisted { Interval { low: 0.0, ..force } } else { force };
        if force.high > peak.high {
            at = sample.time;
        }
        peak = Interval { low: peak.low.max(force.low), high: peak.high.max(force.high) };
        if let Some((time, last)) = before {
            let half = (sample.time - time) / 2.0;
            impulse.low += half * (last.low + force.low);
            impulse.high += half * (last.high + force.high);
        }
        before = Some((sample.time, force));
    }
    let (source, known) = basis_of(tissue);
    Load::Known(TissueLoad {
        tissue,
        side,
        basis: LoadBasis::Computed,
        peak,
        at: Some(at),
        impulse: Some(impulse),
        source,
        known,
    })
}

/// Source of a computed load.
fn basis_of(tissue: Tissue) -> (String, Known) {
    let arms: &[(ArmOf, Joint)] = match tissue {
        Tissue::PatellofemoralJoint => &[(ArmOf::Tissue(Tissue::QuadricepsTendon), Joint::Knee)],
        Tissue::HipJoint => &[
            (ArmOf::HipExtensors, Joint::Hip),
            (ArmOf::HipFlexors, Joint::Hip),
            (ArmOf::HipAbductors, Joint::Hip),
            (ArmOf::HipAdductors, Joint::Hip),
        ],
        Tissue::LumbarSpine => {
            &[(ArmOf::LumbarExtensors, Joint::Trunk), (ArmOf::LumbarFlexors, Joint::Trunk)]
        }
        Tissue::Hamstrings => &[
            (ArmOf::Tissue(Tissue::Hamstrings), Joint::Knee),
            (ArmOf::Tissue(Tissue::Hamstrings), Joint::Hip),
        ],
        Tissue::AchillesTendon => &[(ArmOf::Tissue(Tissue::AchillesTendon), Joint::Ankle)],
        Tissue::BicepsLongHead => &[(ArmOf::Tissue(Tissue::BicepsLongHead), Joint::Elbow)],
        Tissue::PatellarTendon => &[(ArmOf::Tissue(Tissue::PatellarTendon), Joint::Knee)],
        Tissue::QuadricepsTendon => &[(ArmOf::Tissue(Tissue::QuadricepsTendon), Joint::Knee)],
        Tissue::AnteriorCruciate | Tissue::Supraspinatus | Tissue::Infraspinatus | Tissue::Subscapularis => {
            &[]
        }
    };
    let mut source = String::from("net joint moment over moment arm: ");
    let mut known = Known::Read;
    for (index, (of, joint)) in arms.iter().enumerate() {
        let Some(arm) = moment_arm(*of, *joint) else { continue };
        if index > 0 {
            source.push_str("; ");
        }
        source.push_str(arm.source);
        known = known.max(arm.known);
    }
    if tissue == Tissue::PatellofemoralJoint {
        source.push_str("; contact over quadriceps force: ");
        source.push_str(PATELLOFEMORAL_SOURCE);
        known = known.max(PATELLOFEMORAL_KNOWN);
    }
    (source, known)
}

/// One instant, seen from one side.
struct State<'a> {
    sample: &'a Sample,
    joints: &'a Joints,
    side: Side,
    mass: f64,
    /// -1 to 1: which way the feet rub against each other.
    rub: f64,
}

impl State<'_> {
    /// Net moment that pushes a coordinate up, N m.
    fn moment(&self, dof: Dof) -> f64 {
        let coord = Coord::of(self.side, dof).0;
        self.joints.by_coordinate[coord] + self.rub * self.joints.spread[coord]
    }

    fn deg(&self, dof: Dof) -> f64 {
        self.sample.pose.deg(self.side, dof)
    }

    /// A moment over the arm of that muscle; nothing when the moment goes the other way.
    fn pull(&self, moment: f64, of: impl Into<ArmOf>, joint: Joint, deg: f64) -> Option<Interval> {
        let arm = moment_arm(of, joint)?.at(deg);
        let moment = moment.max(0.0);
        Some(Interval { low: moment / arm.high, high: moment / arm.low })
    }

    /// Force on a tissue, N; `None` where no arm is published for this pose.
    fn force(&self, tissue: Tissue) -> Option<Interval> {
        let knee = self.deg(Dof::KneeFlexion);
        let extending = -self.moment(Dof::KneeFlexion);
        match tissue {
            Tissue::AchillesTendon => {
                let (moment, deg) = (-self.moment(Dof::AnkleDorsiflexion), self.deg(Dof::AnkleDorsiflexion));
                self.pull(moment, tissue, Joint::Ankle, deg)
            }
            Tissue::PatellarTendon | Tissue::QuadricepsTendon => {
                self.pull(extending, tissue, Joint::Knee, knee)
            }
            Tissue::PatellofemoralJoint => {
                let tendon = self.pull(extending, Tissue::QuadricepsTendon, Joint::Knee, knee)?;
                let ratio = patellofemoral_ratio(knee);
                Some(Interval { low: tendon.low * ratio.low, high: tendon.high * ratio.high })
            }
            Tissue::Hamstrings => {
                let hip = self.deg(Dof::HipFlexion);
                let at_knee = self.pull(-extending, tissue, Joint::Knee, knee)?;
                let at_hip = self.pull(-self.moment(Dof::HipFlexion), tissue, Joint::Hip, hip)?;
                // Calf and buttock may take any part of it.
                Some(Interval { low: 0.0, high: at_knee.high.max(at_hip.high) })
            }
            Tissue::BicepsLongHead => {
                let (moment, deg) = (self.moment(Dof::ElbowFlexion), self.deg(Dof::ElbowFlexion));
                let whole = self.pull(moment, tissue, Joint::Elbow, deg)?;
                Some(Interval { low: 0.0, high: whole.high })
            }
            Tissue::HipJoint => self.hip(),
            Tissue::LumbarSpine => self.lumbar(),
            Tissue::AnteriorCruciate
            | Tissue::Supraspinatus
            | Tissue::Infraspinatus
            | Tissue::Subscapularis => None,
        }
    }

    /// Hip contact force: at least the joint reaction; at most reaction and the pull of the muscles that give
    /// the sagittal and the frontal moment, as if all pulled along it. Muscles that tense against each other
    /// are not in it.
    fn hip(&self) -> Option<Interval> {
        let reaction = self.joints.reaction[SegmentId::of(SegmentKind::Thigh, self.side).index()].norm();
        let (flexion, abduction) = (self.deg(Dof::HipFlexion), self.deg(Dof::HipAbduction));
        let (sagittal, frontal) = (self.moment(Dof::HipFlexion), self.moment(Dof::HipAbduction));
        let in_sagittal = if sagittal > 0.0 { ArmOf::HipFlexors } else { ArmOf::HipExtensors };
        let sagittal = self.pull(sagittal.abs(), in_sagittal, Joint::Hip, flexion)?;
        let choices: &[ArmOf] = if frontal > 0.0 {
            &[ArmOf::HipAbductors, ArmOf::HipAbductorsBent]
        } else {
            &[ArmOf::HipAdductors]
        };
        let in_frontal =
            choices.iter().find(|&&it| moment_arm(it, Joint::Hip).is_some_and(|arm| arm.holds_at(flexion)));
        let frontal = match in_frontal {
            Some(&of) => self.pull(frontal.abs(), of, Joint::Hip, abduction)?,
            None if frontal.abs() < SMALL_MOMENT * self.mass => Interval::default(),
            None => return None,
        };
        Some(Interval { low: reaction, high: reaction + sagittal.high + frontal.high })
    }

    /// Lumbar compression: what presses along the spine, and the pull of the muscles behind or before it.
    fn lumbar(&self) -> Option<Interval> {
        let press = self.joints.lumbar_reaction.y.max(0.0);
        let moment = self.joints.lumbar_moment.z;
        let of = if moment > 0.0 { ArmOf::LumbarExtensors } else { ArmOf::LumbarFlexors };
        let bend = self.sample.pose[Coord::TRUNK_FLEXION].to_degrees();
        let pull = self.pull(moment.abs(), of, Joint::Trunk, bend)?;
        Some(Interval { low: press + pull.low, high: press + pull.high })
    }
}
