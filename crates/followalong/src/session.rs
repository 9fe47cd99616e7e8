//! The plain data of a guided session.

use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::Labels;

/// Side of the body.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The patient's left.
    Left,
    /// The patient's right.
    Right,
}

/// Everything that one page tells, shows and asks. All words are in the language `lang`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FollowSession {
    /// Names this session in logs; 1 to 64 of `a-z A-Z 0-9 . _ -`.
    pub session_id: String,
    /// Language tag of all words, such as `en` or `es`.
    pub lang: String,
    /// Heading of the page.
    pub title: String,
    /// How the patient is called on the page, such as a first name and an initial.
    pub patient_label: String,
    /// The side that the program is for; an exercise of the other side is refused.
    pub side: Side,
    /// The side in words, such as "Right knee".
    pub side_words: String,
    /// Version of the home program.
    pub version: u32,
    /// Day on which this version of the program was issued, as every page and sheet of it tells.
    pub issued: Date,
    /// Day on which the session was checked against the limits; the page does not start before it (the device's date
    /// is wrong then).
    pub date: Date,
    /// Last day on which the page starts.
    pub valid_until: Date,
    /// Whom to call.
    pub clinic: Clinic,
    /// Shown on every screen when content has not been signed yet.
    pub draft_notice: Option<String>,
    /// Most pain (0 to 10) with which an exercise goes on, set by the therapist.
    pub pain_limit: Option<u8>,
    /// The limits in force that were ordered or confirmed, one sentence each.
    pub limits: Vec<String>,
    /// Those in force that nobody has confirmed.
    pub limits_assumed: Vec<String>,
    /// When to stop, one sentence each.
    pub stop_rules: Vec<String>,
    /// What to call for when it comes up after the session, one sentence each.
    pub after: Vec<String>,
    /// Warning signs asked before the start. One yes and no exercise begins.
    pub warnings: Vec<WarnGroup>,
    /// Words of the page itself.
    pub labels: Labels,
    /// The session in its order.
    pub steps: Vec<FollowStep>,
}

/// Whom to call. A value of digits, spaces and `+ ( ) . -` becomes a link to call; other words stay words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clinic {
    /// Name of the clinic.
    pub name: String,
    /// Number in office hours.
    pub phone: String,
    /// Number or words for nights and weekends.
    pub out_of_hours: String,
    /// Emergency number.
    pub emergency: String,
}

/// How fast to act on a warning sign.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Urgency {
    /// Call the emergency number now.
    Emergency,
    /// Call the surgeon's team today.
    SameDay,
    /// Tell the therapist before the next session.
    NextVisit,
}

/// Warning signs that lead to the same call.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WarnGroup {
    /// Names the group in logs; 1 to 40 of `a-z A-Z 0-9 . _ -`.
    pub id: String,
    /// How fast to act.
    pub urgency: Urgency,
    /// The yes/no question above the signs.
    pub question: String,
    /// What the patient may notice, in plain words.
    pub signs: Vec<String>,
    /// What to do after a yes.
    pub call: String,
    /// Number to call after a yes.
    pub phone: Option<String>,
}

/// One part of the session.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(clippy::large_enum_variant, reason = "a session has a few dozen steps; plain variants read better")]
pub enum FollowStep {
    /// Counted repetitions.
    Exercise(Exercise),
    /// Getting from one place or position to the next.
    Move(Move),
    /// A rest between exercises, counted down.
    Rest(Rest),
}

/// An exercise with its dose. One repetition is the row of `phases`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Exercise {
    /// Names the exercise in logs, once in a session; 1 to 40 of `a-z A-Z 0-9 . _ -`.
    pub id: String,
    /// Name of the exercise.
    pub title: String,
    /// The working side; it must be the session's side.
    pub side: Side,
    /// The side in words, such as "Right knee".
    pub side_words: String,
    /// The figure over one repetition; its last frame belongs to the end of the last phase.
    pub clip: Clip,
    /// Number of sets in this step, 1 to 10.
    pub sets: u8,
    /// Number of its first set among all sets of the exercise, from 1: sets done in rounds are steps of their own.
    pub first_set: u8,
    /// All sets of the exercise in the session.
    pub all_sets: u8,
    /// Repetitions in each set, 1 to 100.
    pub reps: u8,
    /// The dose in words, such as "2 sets of 10. Hold each for 5 seconds."
    pub dose_words: String,
    /// The parts of one repetition in order.
    pub phases: Vec<Phase>,
    /// Seconds between two repetitions, in which the count is said; less than 1.2 is played as 1.2.
    pub breath_s: f32,
    /// Seconds of rest between two sets; the last three are the "3, 2, 1" of the next set.
    pub rest_s: f32,
    /// How to take the start position and do the exercise, one sentence each.
    pub instructions: Vec<String>,
    /// Reminders, said once before the first set and one in each rest.
    pub cues: Vec<String>,
    /// The limit that this exercise meets, shown all the time.
    pub limit: Option<String>,
}

/// A timed part of a repetition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Phase {
    /// The word said when it begins, such as "Slide" or "Hold". Two words at most can be heard in time.
    pub say: String,
    /// Its length, 0.3 to 120 s.
    pub seconds: f32,
    /// Whether the limb moves or holds.
    pub kind: PhaseKind,
}

/// Kind of a [`Phase`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum PhaseKind {
    /// The limb moves. "Slower" stretches it.
    Move,
    /// The limb holds; the seconds are counted. "Slower" does not stretch it, for its length is the dose.
    Hold,
}

/// A move between two places or positions.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Move {
    /// Name of the move, such as "From bed to chair".
    pub title: String,
    /// What to mind about the side, such as "Boot on. Right foot off the floor."
    pub side_words: String,
    /// The stages in order, at least one.
    pub stages: Vec<MoveStage>,
    /// Whether the page waits at the end until the patient says that they are there.
    pub waits: bool,
    /// The limit that this move meets, shown and said first.
    pub limit: Option<String>,
}

/// One sentence of a move.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MoveStage {
    /// What to do.
    pub say: String,
    /// Seconds given to it at least, 0 to 120; the time to say it is added by the page when longer.
    pub seconds: f32,
    /// Its picture; without one the picture before it stays.
    pub picture: Option<Clip>,
}

/// A rest between two steps.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rest {
    /// Name of the rest.
    pub title: String,
    /// Its length with the closing "3, 2, 1", 4 to 600 s.
    pub seconds: f32,
    /// Said during the rest, such as what comes next.
    pub say: Option<String>,
}

/// A moving figure: parts made of circles, and their places over time.
///
/// A clip without parts and frames is a still picture made of `back_svg` and `front_svg` only.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clip {
    /// Left, top, width and height of the picture.
    pub view_box: [f32; 4],
    /// SVG elements behind the figure (floor, bed, chair). Classes as in [`Paint`]; no scripts or links.
    pub back_svg: String,
    /// SVG elements before the figure (limit line, arrow).
    pub front_svg: String,
    /// The parts of the figure.
    pub parts: Vec<Part>,
    /// Their places, in order of time, the first at 0 s.
    pub frames: Vec<Frame>,
    /// What the picture shows, in words.
    pub alt: String,
}

/// One part of the figure: the convex hull of its circles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Layers are drawn from 0 (far) upward; in each all outlines come first, then all fills.
    pub layer: u8,
    /// How it is painted.
    pub paint: Paint,
    /// Number of its circles, 1 to 4.
    pub circles: u8,
}

/// How a part is painted; also the CSS class of elements in `back_svg` and `front_svg`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Paint {
    /// Skin of the near side.
    Near,
    /// Skin of the far side, a shade darker.
    Far,
    /// The limb that works.
    Accent,
    /// Clothes.
    Cloth,
    /// Hair.
    Hair,
    /// Furniture and equipment.
    Prop,
    /// Another pose, dashed.
    Ghost,
    /// A dark line, such as a band or a cord.
    Line,
}

/// The figure at one moment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Frame {
    /// Seconds since the repetition began.
    pub t: f32,
    /// Layers of all parts from this frame on, when they differ from the parts' own.
    pub order: Option<Vec<u8>>,
    /// x, y and radius of every circle of every part, in tenths of a unit of the view box.
    pub v: Vec<i16>,
}
