//! The text format of exercises, as a therapist-minded author writes it.
//!
//! Plain structs, one optional field per thing, unknown fields refused: so every mistake keeps its line.

use std::collections::BTreeMap;

use handrail_anatomy::{Device, Drive, Known, Landmark, Limb, LoadClass, Muscle, Position, Tissue};
use handrail_spans::Spanned;
use serde::Deserialize;

use crate::quantity::QuantitySpec;

/// An exercise as written.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MotionSpec {
    /// Name of the exercise, equal to its file name; lower case with hyphens.
    #[schemars(with = "String")]
    pub id: Spanned<String>,
    /// Version of this text; raised with every change of the motion.
    pub version: u32,
    /// Body region, for alternating: ankle, foot, knee, hip, trunk, shoulder, elbow, hand.
    #[schemars(with = "String")]
    pub region: Spanned<String>,
    /// What it trains: goal tags as phases ask for them.
    pub trains: Vec<String>,
    /// Base posture (file name in `postures`).
    #[schemars(with = "String")]
    pub posture: Spanned<String>,
    /// What moves the joints that move.
    pub drive: Drive,
    /// Joints moved in another way, e.g. `"working.ankle" = "passive"`.
    #[serde(default)]
    pub drives: BTreeMap<String, Drive>,
    /// Muscles by role.
    #[serde(default)]
    pub muscles: MusclesSpec,
    /// Equipment that must be at hand: towel, ball, band, stick, weight, pillow, step, wall, table, pulley.
    #[serde(default)]
    pub equipment: Vec<String>,
    /// Devices that must be off to do it; none means it can be done in the device if the joint it holds is
    /// not moved.
    #[serde(default)]
    pub device_off: Vec<Device>,
    /// Positions it takes beyond those of its posture (hand behind the back, standing on one leg...).
    #[serde(default)]
    pub positions: Vec<Position>,
    /// Activities it contains that orders may forbid by name (stairs, running...).
    #[serde(default)]
    pub activities: Vec<String>,
    /// True when a foot lands (hop, jump, run).
    #[serde(default)]
    pub impact: bool,
    /// True when it belongs to the beginning of a session.
    #[serde(default)]
    pub warm_up: bool,
    /// What may be turned.
    #[serde(default)]
    pub parameter: Vec<ParameterSpec>,
    /// Coordinates that follow from the contacts, e.g. `"working.knee_flexion"`, `"root.up"`.
    #[serde(default)]
    #[schemars(with = "Vec<String>")]
    pub solve: Vec<Spanned<String>>,
    /// Contacts of the posture that this exercise gives up, e.g. `"working.sole"`.
    #[serde(default)]
    #[schemars(with = "Vec<String>")]
    pub lift: Vec<Spanned<String>>,
    /// Contacts held during the motion.
    #[serde(default)]
    pub contact: Vec<ContactSpec>,
    /// Ball under a sole or hand.
    #[serde(default)]
    pub ball: Option<BallSpec>,
    /// Resistance beyond gravity.
    #[serde(default)]
    pub resistance: Option<ResistanceSpec>,
    /// Things drawn with it that carry no constraint.
    #[serde(default)]
    pub prop: Vec<PropSpec>,
    /// Key poses in order; the first is the start, and the repetition returns to it.
    pub key: Vec<KeySpec>,
    /// Landmarks by which the patient sees the limit.
    #[serde(default)]
    pub landmark: Option<LandmarkSpec>,
    /// Common faults; each is a motion too.
    #[serde(default)]
    pub fault: Vec<FaultSpec>,
    /// How it is best seen.
    pub camera: CameraSpec,
    /// Usual dose where the phase does not say.
    #[serde(default)]
    pub dose: DoseSpec,
    /// Published loads on tissues in this very exercise.
    #[serde(default)]
    pub measured: Vec<MeasuredSpec>,
    /// Where the exercise is from: a source or "common practice, no source".
    pub sources: Vec<String>,
    /// Who reviewed it; absent means draft.
    #[serde(default)]
    pub review: Option<ReviewSpec>,
}

/// Muscles by role.
#[derive(Clone, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct MusclesSpec {
    /// Those the exercise is for.
    pub prime: Vec<Muscle>,
    /// Those that help.
    pub helping: Vec<Muscle>,
    /// Those that hold another part still.
    pub holding: Vec<Muscle>,
}

/// A value that may be turned.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ParameterSpec {
    /// Name used in expressions.
    #[schemars(with = "String")]
    pub name: Spanned<String>,
    /// Unit: m, deg, kg.
    pub unit: String,
    /// Least value: the easiest or smallest motion.
    pub low: f64,
    /// Greatest value.
    pub high: f64,
    /// Value when nothing limits it.
    pub usual: f64,
    /// Error of execution, same unit (slides: 0.02 m; angles by eye: 5 deg).
    #[serde(default)]
    pub tolerance: f64,
}

/// A contact.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ContactSpec {
    /// Whose point.
    pub limb: Limbs,
    /// A landmark, or `sole` for heel and ball together.
    #[schemars(with = "String")]
    pub point: Spanned<String>,
    /// Surface it is on: floor, seat, bed, wall, table, step, ball.
    #[serde(default)]
    #[schemars(with = "Option<String>")]
    pub on: Option<Spanned<String>>,
    /// Or the point of the other limb (or own body) it belongs to.
    #[serde(default)]
    pub with: Option<PointSpec>,
    /// `slides` on the surface, `stays` where it is at the start, `distance` keeps its distance to `with`,
    /// `together` keeps its place relative to `with`, `rests` only supports.
    pub hold: Hold,
    /// What it carries: `body` (a share of body weight), `limb` (only the resting limb), `none` (steadies).
    #[serde(default)]
    pub bears: Bears,
}

/// One point.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PointSpec {
    /// Whose point.
    pub limb: Limb,
    /// Landmark.
    pub point: Landmark,
}

/// One limb or both.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
#[allow(missing_docs)]
pub enum Limbs {
    Working,
    Other,
    Both,
}

impl Limbs {
    /// The limbs meant.
    pub fn list(self) -> &'static [Limb] {
        match self {
            Limbs::Working => &[Limb::Working],
            Limbs::Other => &[Limb::Other],
            Limbs::Both => &[Limb::Working, Limb::Other],
        }
    }
}

/// How a contact is held.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Hold {
    /// Keeps the surface, may move along it.
    Slides,
    /// Stays at its place of the start pose.
    Stays,
    /// Keeps its distance to the point in `with`.
    Distance,
    /// Keeps its place relative to the point in `with`.
    Together,
    /// Lies there by the posture's own geometry: a support without an equation.
    Rests,
}

/// What a contact carries.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Bears {
    /// Nothing: it guides or steadies.
    #[default]
    None,
    /// Only the weight of the resting lower leg and foot, or forearm and hand.
    Limb,
    /// A share of body weight.
    Body,
}

/// A ball that rolls between a limb and the floor or table.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct BallSpec {
    /// Radius, m.
    pub radius: f64,
    /// Point it lies under at the start.
    pub under: PointSpec,
}

/// Resistance beyond gravity.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ResistanceSpec {
    /// `band` (pulls more the longer it is), `cord` (over a pulley: always the same), `weight`, `body_weight`,
    /// `manual` (another hand).
    pub kind: String,
    /// Where it acts.
    #[serde(default)]
    pub at: Option<PointSpec>,
    /// Size in kg; may be a parameter. For a band the pull at its longest in the repetition. Absent for body
    /// weight.
    #[serde(default)]
    pub kg: Option<QuantitySpec>,
    /// Far end of a band or cord on the body: another hand, the other foot.
    #[serde(default)]
    pub to: Option<PointSpec>,
    /// Far end in the room: metres forward, up and outward (to the working side) of where it acts in the start
    /// pose.
    #[serde(default)]
    pub anchor: Option<[f64; 3]>,
    /// Share of a band's pull at its shortest in the repetition; 0.5 when left out.
    #[serde(default)]
    pub pull_at_shortest: Option<f64>,
}

/// A thing that is drawn.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PropSpec {
    /// towel, pillow, rolled_towel, stick, band, weight, cup.
    pub kind: String,
    /// Where it lies or is held.
    pub at: PointSpec,
    /// Second end, for a band or stick.
    #[serde(default)]
    pub to: Option<PointSpec>,
}

/// Angles of one key pose, degrees, by coordinate name.
pub type Angles = BTreeMap<String, QuantitySpec>;

/// A key pose.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KeySpec {
    /// Seconds to get here from the key before (for the first key: from the last one).
    pub seconds: f64,
    /// Seconds it is held.
    #[serde(default)]
    pub hold: f64,
    /// Short word for what is done on the way here: lift, lower, slide, bend, straighten, turn, press, ...
    #[serde(default)]
    pub verb: Option<String>,
    /// Angles of the working limb pair (leg and arm).
    #[serde(default)]
    #[schemars(with = "Angles")]
    pub working: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Angles of the other.
    #[serde(default)]
    #[schemars(with = "Angles")]
    pub other: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Angles of both.
    #[serde(default)]
    #[schemars(with = "Angles")]
    pub both: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Trunk, neck and root angles: trunk_flexion, neck_flexion, root_tilt, root_list, root_turn...
    /// Sideways ones are written for the right as the working side and mirrored.
    #[serde(default)]
    #[schemars(with = "Angles")]
    pub body: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Places that points must have here.
    #[serde(default)]
    pub place: Vec<PlaceSpec>,
    /// How far the ball has rolled forward from its start, m.
    #[serde(default)]
    pub ball: Option<QuantitySpec>,
}

/// Where a point must be in a key pose, along one direction.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct PlaceSpec {
    /// Whose point.
    pub limb: Limb,
    /// Landmark.
    pub point: Landmark,
    /// Direction.
    pub along: Along,
    /// Measured from this point of the body (`None`: from the posture's origin and the floor).
    #[serde(default)]
    pub from: Option<PointSpec>,
    /// Metres along that direction.
    #[schemars(with = "QuantitySpec")]
    pub at: Spanned<QuantitySpec>,
}

/// Directions of the room.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Along {
    /// The way a sitting or standing person faces.
    Forward,
    /// Up.
    Up,
    /// To the working side.
    Outward,
}

/// The landmark pair by which a patient sees how far to go.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct LandmarkSpec {
    /// Moving point.
    pub point: PointSpec,
    /// What it is compared with.
    pub against: PointSpec,
    /// Direction of the comparison.
    pub along: Along,
}

/// A common fault, as a change of the motion.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FaultSpec {
    /// Name within the exercise.
    pub id: String,
    /// Changed parameters.
    #[serde(default)]
    pub parameters: BTreeMap<String, f64>,
    /// Angles that replace those of all keys but the start.
    #[serde(default)]
    #[schemars(with = "Angles")]
    pub working: BTreeMap<String, Spanned<QuantitySpec>>,
    /// The same for the other limb.
    #[serde(default)]
    #[schemars(with = "Angles")]
    pub other: BTreeMap<String, Spanned<QuantitySpec>>,
    /// The same for trunk, neck and root.
    #[serde(default)]
    #[schemars(with = "Angles")]
    pub body: BTreeMap<String, Spanned<QuantitySpec>>,
    /// Contacts that are lost, e.g. `"working.sole"`.
    #[serde(default)]
    pub lift: Vec<String>,
    /// Coordinates that no longer follow from contacts.
    #[serde(default)]
    pub free: Vec<String>,
    /// True when the points of the key poses no longer have to be at their places.
    #[serde(default)]
    pub drop_places: bool,
}

/// How it is best seen.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CameraSpec {
    /// side, other_side, front, back, three_quarter, other_three_quarter, back_three_quarter,
    /// other_back_three_quarter, above, toes, inner_foot. Side is the working one; front is where the posture
    /// faces before any turn of it.
    pub view: String,
    /// foot, toes, knee, shoulder, hand: crop to that part of the working limb; legs, arms: the lower or upper
    /// half of the body.
    #[serde(default)]
    pub close_up: Option<String>,
}

/// Usual dose.
#[derive(Clone, Copy, Debug, Default, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields, default)]
pub struct DoseSpec {
    /// Sets.
    pub sets: Option<u32>,
    /// Repetitions in a set.
    pub reps: Option<u32>,
    /// Seconds of continuous work in a set, instead of repetitions.
    pub seconds: Option<f64>,
}

/// A published load on one tissue: low and high, or a class, or only an order.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MeasuredSpec {
    /// Tissue.
    #[schemars(with = "Tissue")]
    pub tissue: Spanned<Tissue>,
    /// Whose: of the working limb, the other one, or each of both. Without meaning for the spine.
    #[serde(default = "working")]
    pub limb: Limbs,
    /// Least load in the tissue's unit (body weights, % strain or % MVIC); 0 where only an upper bound is
    /// printed.
    #[serde(default)]
    pub low: Option<f64>,
    /// Greatest load. Where mean and SD are printed: mean less and more 2 SD.
    #[serde(default)]
    pub high: Option<f64>,
    /// Band of muscle activity; only for tissues in % MVIC.
    #[serde(default)]
    pub class: Option<LoadClass>,
    /// Exercises that load it less, where only an order is published.
    #[serde(default)]
    pub above: Vec<String>,
    /// Exercises that load it more.
    #[serde(default)]
    pub below: Vec<String>,
    /// Publication.
    pub source: String,
    /// How well the figure is known to come from it.
    pub known: Known,
    /// How the bounds follow from what is printed, and what differs from this exercise.
    #[serde(default)]
    pub why: Option<String>,
}

fn working() -> Limbs {
    Limbs::Working
}

/// Sign-off of content.
#[derive(Clone, Debug, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ReviewSpec {
    /// Name and qualification.
    pub signed_by: String,
    /// ISO date.
    pub on: String,
    /// Version that was signed.
    pub version: u32,
}
