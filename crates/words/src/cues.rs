//! Up to where: the solved limit of an exercise as something a patient can see in the room.

use handrail_anatomy::{Body, Kinematics, Landmark, Person, Pose, SegmentTable, Sex, Side};
use handrail_motion::{Along, Repetition};
use handrail_program::verdict::LandmarkCue;
use handrail_program::{SolvedLimit, Verdict};

use crate::amounts::Round;
use crate::bundle::Words;

/// Which way the moving landmark goes, along the cue's direction, on its way to the limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Course {
    /// The distance grows.
    Growing,
    /// The distance shrinks.
    Shrinking,
}

/// Distances that a patient can measure with the own hand, cm, with the key of their words (own, adult hand).
const BY_HAND: [(f64, &str); 5] = [
    (2.0, "span-finger"),
    (4.0, "span-two-fingers"),
    (6.0, "span-three-fingers"),
    (8.0, "span-four-fingers"),
    (10.0, "span-hand"),
];

impl Words {
    /// Up to where an exercise goes today, in one or two sentences. Distances are rounded so that the patient
    /// stops no later than at the limit. Without a landmark: the picture, and the figure.
    pub fn limit_cue(&self, limit: &SolvedLimit, verdict: &Verdict) -> String {
        let seen = limit.cue.as_ref().and_then(|cue| {
            let repetition = verdict.repetition.as_deref()?;
            Some(self.landmark_sentence(cue, course(cue, repetition, verdict.side)?, verdict.side))
        });
        seen.unwrap_or_else(|| self.figure_sentence(limit))
    }

    fn landmark_sentence(&self, cue: &LandmarkCue, course: Course, side: Side) -> String {
        // Shrinking distances stop earlier at a larger value, growing ones at a smaller.
        let round = if course == Course::Shrinking { Round::Up } else { Round::Down };
        let cm = round.to(cue.offset * 100.0, 1.0);
        let args = [
            ("point", self.landmark_name(cue.point, side).into()),
            ("against", self.landmark_name(cue.against, side).into()),
        ];
        let axis = match cue.along {
            Along::Forward => "forward",
            Along::Up => "up",
            Along::Outward => "outward",
        };
        if cm == 0.0 {
            return self.text(&format!("cue-{axis}-level"), &args);
        }
        // "Still" warns that the point has not yet passed; it fits only while the distance shrinks to zero.
        let still = matches!((course, cm > 0.0), (Course::Shrinking, true) | (Course::Growing, false));
        let sign = if cm > 0.0 { "plus" } else { "minus" };
        let key = format!("cue-{axis}-{sign}{}", if still { "-still" } else { "" });
        // The distance itself: beyond zero it must not become larger, before zero not smaller.
        let distance = if still { Round::Up } else { Round::Down };
        let [point, against] = args;
        self.text(&key, &[point, against, ("distance", self.by_hand(cm.abs(), distance).into())])
    }

    /// A distance in whole centimetres, by the width of fingers or hand where it is one.
    fn by_hand(&self, cm: f64, round: Round) -> String {
        match BY_HAND.iter().find(|it| (it.0 - cm).abs() < 0.01) {
            Some((_, key)) => self.text(key, &self.length_args(cm / 100.0, round)),
            None => self.length(cm / 100.0, round),
        }
    }

    fn figure_sentence(&self, limit: &SolvedLimit) -> String {
        match limit.unit.as_str() {
            "kg" => self.text("cue-mass", &[("mass", self.mass(limit.value).into())]),
            "m" => self.text("cue-length", &[("length", self.length(limit.value, Round::Down).into())]),
            _ => self
                .text("cue-degrees", &[("degrees", self.degrees(Round::Down.to(limit.value, 1.0)).into())]),
        }
    }
}

/// Way of the landmark from the start to the far key pose. The verdict does not carry the body; which way a
/// point goes is the same on every body, so a usual one serves. `None` when it hardly moves.
fn course(cue: &LandmarkCue, repetition: &Repetition, side: Side) -> Option<Course> {
    let person = Person { stature: 1.70, mass: 70.0, sex: Sex::Female, measured: Default::default() };
    let body = Body::new(person, SegmentTable::Winter).ok()?;
    let distance = |pose: &Pose| {
        let kinematics = Kinematics::of(&body, pose);
        let place = |point: Landmark| point.place(&body, &kinematics, side);
        let apart = place(cue.point) - place(cue.against);
        match cue.along {
            Along::Forward => apart.x,
            Along::Up => apart.y,
            Along::Outward => apart.z * side.outward(),
        }
    };
    let start = repetition.samples.first()?;
    let far = &repetition.samples[*repetition.key_samples.last()?];
    let change = distance(&far.pose) - distance(&start.pose);
    if change.abs() < 1e-3 {
        return None;
    }
    Some(if change > 0.0 { Course::Growing } else { Course::Shrinking })
}
