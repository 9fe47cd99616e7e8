//! Names: sides, limbs, joints, motions, muscles, devices, positions, goals, things and places.

use handrail_anatomy::{
    ClinicalMotion, Device, Drive, Joint, Landmark, Muscle, Position, Side, muscles::muscle_group,
};
use handrail_protocol::Goal;

use crate::bundle::Words;
use crate::lang::Lang;

/// Key of a text: a prefix and a name from a file (`seated_at_table` becomes `seated-at-table`). What is
/// neither letter nor digit becomes one hyphen, so that free text can be looked up too.
pub(crate) fn key(prefix: &str, id: &str) -> String {
    let mut out = prefix.to_string();
    for part in id.split(|c: char| !c.is_ascii_alphanumeric()).filter(|it| !it.is_empty()) {
        out.push('-');
        out.push_str(&part.to_ascii_lowercase());
    }
    out
}

/// The text with a small first letter, to stand within a sentence.
pub fn uncapital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |it| it.to_lowercase().chain(letters).collect())
}

/// The text with a capital first letter.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |it| it.to_uppercase().chain(letters).collect())
}

impl Words {
    /// Name from a file in words: the text of its key, or the name itself with spaces where nobody wrote one
    /// (a clinic's own content).
    pub(crate) fn term(&self, prefix: &str, id: &str) -> String {
        self.try_text(&key(prefix, id), &[]).unwrap_or_else(|| id.replace(['_', '-'], " "))
    }

    /// Items joined with commas and a last "or".
    pub(crate) fn any_of(&self, items: &[String]) -> String {
        self.join(items, "or")
    }

    /// Items joined with commas and a last "and".
    pub fn all_of(&self, items: &[String]) -> String {
        self.join(items, "and")
    }

    fn join(&self, items: &[String], word: &str) -> String {
        let Some((last, rest)) = items.split_last() else { return String::new() };
        if rest.is_empty() {
            return last.clone();
        }
        format!("{} {} {last}", rest.join(", "), self.joining(word, last))
    }

    /// "and" or "or"; Spanish changes them before the same sound.
    fn joining(&self, word: &str, next: &str) -> &'static str {
        let next = next.to_lowercase();
        match (self.lang(), word) {
            (Lang::En, "and") => "and",
            (Lang::En, _) => "or",
            (Lang::Es, "and")
                if next.starts_with(['i', 'í']) || next.starts_with("hi") && !next.starts_with("hie") =>
            {
                "e"
            }
            (Lang::Es, "and") => "y",
            (Lang::Es, _) if next.starts_with(['o', 'ó']) || next.starts_with("ho") => "u",
            (Lang::Es, _) => "o",
        }
    }

    /// "left", "izquierdo": the masculine form in Spanish.
    pub fn side_word(&self, side: Side) -> String {
        self.text("side-m", &[("side", side.into())])
    }

    /// "left", "izquierda": the feminine form in Spanish.
    pub fn side_word_feminine(&self, side: Side) -> String {
        self.text("side-f", &[("side", side.into())])
    }

    /// "left leg".
    pub fn leg(&self, side: Side) -> String {
        self.text("limb-leg", &[("side", side.into())])
    }

    /// "left arm".
    pub fn arm(&self, side: Side) -> String {
        self.text("limb-arm", &[("side", side.into())])
    }

    /// The leg or arm that a joint belongs to, with its article ("your left leg"); trunk and neck themselves.
    pub fn limb_of(&self, joint: Joint, side: Side) -> String {
        match joint {
            Joint::Trunk | Joint::Neck => self.joint_on_side(joint, side),
            _ if joint.is_leg() => self.text("the-leg", &[("side", side.into())]),
            _ => self.text("the-arm", &[("side", side.into())]),
        }
    }

    /// Plain name of a joint on a side, with its article: "your left ankle", "el tobillo izquierdo".
    pub fn joint_on_side(&self, joint: Joint, side: Side) -> String {
        self.text(&key("joint", joint.id()), &[("side", side.into())])
    }

    /// Clinical name of a joint, without a side: "ankle", "metatarsophalangeal joint of the great toe".
    pub fn joint_name(&self, joint: Joint) -> String {
        self.say(&key("c-joint", joint.id()))
    }

    /// Clinical name of a motion: "ankle dorsiflexion".
    pub fn motion_name(&self, joint: Joint, direction: &str) -> String {
        let motion = self.term("c-motion", direction);
        self.text("c-motion-of-joint", &[("joint", self.joint_name(joint).into()), ("motion", motion.into())])
    }

    /// The same with its side: "left ankle dorsiflexion"; trunk and neck have none.
    pub fn motion_on_side(&self, joint: Joint, direction: &str, side: Side) -> String {
        let motion = self.motion_name(joint, direction);
        if joint.is_axial() {
            return motion;
        }
        self.text("c-with-side", &[("what", motion.into()), ("side", side.into())])
    }

    /// What a motion is for the patient, as a command in lower case: "bend your left foot up".
    pub fn motion_patient(&self, joint: Joint, direction: &str, side: Side) -> String {
        self.text(&key("do", &format!("{}-{direction}", joint.id())), &[("side", side.into())])
    }

    /// Where a motion's neutral position is, for the patient: "foot at a right angle".
    pub(crate) fn neutral(&self, motion: &ClinicalMotion) -> String {
        let id = match (motion.joint, motion.motion) {
            (Joint::Hip, "external_rotation" | "internal_rotation") => "hip-turn",
            (Joint::Ankle, "inversion" | "eversion") => "ankle-turn",
            (Joint::Shoulder, "external_rotation" | "internal_rotation") => "shoulder-turn",
            (joint, _) => joint.id(),
        };
        self.say(&key("neutral", id))
    }

    /// Plain name of a muscle: "calf muscle".
    pub fn muscle_patient(&self, muscle: Muscle) -> String {
        self.say(&key("muscle", muscle.id()))
    }

    /// Clinical name of a muscle.
    pub fn muscle_name(&self, muscle: Muscle) -> String {
        self.say(&key("c-muscle", muscle.id()))
    }

    /// Plain name of several muscles on a side, by the name of their group if they are one: "left calf muscles".
    pub(crate) fn muscles_on_side(&self, muscles: &[Muscle], side: Side) -> String {
        let args = [("side", side.into())];
        for group in ["calf", "rotator_cuff", "quadriceps_group", "shoulder_muscles"] {
            let members = muscle_group(group).unwrap_or_default();
            if members.len() == muscles.len() && members.iter().all(|it| muscles.contains(it)) {
                return self.text(&key("muscle-group", group), &args);
            }
        }
        let names: Vec<String> = muscles.iter().map(|&it| self.muscle_patient(it)).collect();
        self.text("muscles-on-side", &[("muscles", self.all_of(&names).into()), ("side", side.into())])
    }

    /// Clinical names of several muscles.
    pub(crate) fn muscle_names(&self, muscles: &[Muscle]) -> String {
        let names: Vec<String> = muscles.iter().map(|&it| self.muscle_name(it)).collect();
        self.all_of(&names)
    }

    /// Name of a device: "boot".
    pub fn device_name(&self, device: Device) -> String {
        self.say(&key("device", device.id()))
    }

    /// Clinical word for a way of moving: "active".
    pub fn drive_name(&self, drive: Drive) -> String {
        self.say(&key("c-drive", drive.id()))
    }

    /// Clinical name of a position: "kneeling".
    pub fn position_name(&self, position: Position) -> String {
        self.say(&key("c-position", position_id(position)))
    }

    /// What a phase wants trained, for the patient: "knee bending".
    pub fn goal_name(&self, goal: Goal) -> String {
        self.say(&key("goal", goal.id()))
    }

    /// The same by its name in files; unknown names come back with spaces.
    pub fn goal_by_id(&self, id: &str) -> String {
        self.term("goal", id)
    }

    /// A thing that must be at hand, with its article: "a towel".
    pub fn equipment_name(&self, id: &str) -> String {
        self.term("equipment", id)
    }

    /// "a firm chair, a towel and a ball".
    pub fn equipment_list(&self, ids: &[String]) -> String {
        let names: Vec<String> = ids.iter().map(|it| self.equipment_name(it)).collect();
        self.all_of(&names)
    }

    /// Place and posture for the patient: "Sitting on the chair".
    pub fn posture_name(&self, id: &str) -> String {
        self.term("posture", id)
    }

    /// A place in the home with its article: "the bed".
    pub fn place_name(&self, spot: &str) -> String {
        self.term("place", spot)
    }

    /// Plain name of a phase of a protocol: "Protect the repair".
    pub fn phase_name(&self, protocol: &str, phase: &str) -> String {
        let own = self.try_text(&key(&key("phase", protocol), phase), &[]);
        own.unwrap_or_else(|| capital(&self.term("phase", phase)))
    }

    /// Plain name of a protocol's operation: "Achilles tendon repair".
    pub fn operation_name(&self, protocol: &str) -> String {
        capital(&self.term("operation", protocol))
    }

    /// Plain name of a landmark with "your": "your knee".
    pub(crate) fn landmark_name(&self, landmark: Landmark, side: Side) -> String {
        self.text(&key("point", landmark.id()), &[("side", side.into())])
    }

    /// An activity that is not allowed, as a command: "drive".
    pub(crate) fn activity_sentence(&self, activity: &str) -> String {
        let known = self.try_text(&key("activity", activity), &[]);
        known.unwrap_or_else(|| self.text("activity-other", &[("what", activity.replace('_', " ").into())]))
    }
}

/// Name of a position in files and keys.
pub(crate) fn position_id(position: Position) -> &'static str {
    match position {
        Position::Seated => "seated",
        Position::LongSitting => "long_sitting",
        Position::Supine => "supine",
        Position::Prone => "prone",
        Position::SideLyingOperatedUp => "side_lying_operated_up",
        Position::SideLyingOperatedDown => "side_lying_operated_down",
        Position::Standing => "standing",
        Position::SingleLegStanceOperated => "single_leg_stance_operated",
        Position::SingleLegStanceOther => "single_leg_stance_other",
        Position::Kneeling => "kneeling",
        Position::HandsAndKnees => "hands_and_knees",
        Position::Floor => "floor",
        Position::WeightThroughArm => "weight_through_arm",
        Position::HandBehindBack => "hand_behind_back",
        Position::LeaningForward => "leaning_forward",
    }
}
