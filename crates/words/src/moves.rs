//! Moves between exercises, told as steps of one action each.

use handrail_anatomy::{Device, Side};
use handrail_program::{Care, MoveKind, MoveStep};

use crate::bundle::{Arg, Words};
use crate::names::{key, uncapital};

/// What the cares of a step mean for its wording.
struct Cares<'a>(&'a [Care]);

impl Cares<'_> {
    /// The leg that takes no or only part of the weight.
    fn leg(&self) -> Option<(Side, bool)> {
        self.0.iter().find_map(|it| match it {
            Care::NoWeightOnLeg(side) => Some((*side, true)),
            Care::PartWeightOnLeg(side) => Some((*side, false)),
            _ => None,
        })
    }

    fn arm(&self) -> Option<Side> {
        self.0.iter().find_map(|it| if let Care::NoPushWithArm(side) = it { Some(*side) } else { None })
    }

    fn device(&self) -> Option<Device> {
        self.0.iter().find_map(|it| if let Care::DeviceOn(device) = it { Some(*device) } else { None })
    }

    fn hold_on(&self) -> bool {
        self.0.contains(&Care::HoldOn)
    }
}

impl Words {
    /// Name of a move: "Stand up from the chair".
    pub fn move_title(&self, kind: &MoveKind) -> String {
        match kind {
            MoveKind::DeviceOn(device) => self.say(&key("move-device-on", device.id())),
            MoveKind::DeviceOff(device) => self.say(&key("move-device-off", device.id())),
            MoveKind::StandUp { from } => {
                self.text("move-stand-up", &[("place", self.place_name(from).into())])
            }
            MoveKind::WalkTo { spot } => {
                self.text("move-walk-to", &[("place", self.place_name(spot).into())])
            }
            MoveKind::SitDown { on } => self.text("move-sit-down", &[("place", self.place_name(on).into())]),
            MoveKind::LieDown => self.say("move-lie-down"),
            MoveKind::SitUp => self.say("move-sit-up"),
            MoveKind::RollToSide { up } => self.text("move-roll-to-side", &[("side", up.other().into())]),
            MoveKind::RollToBack => self.say("move-roll-to-back"),
            MoveKind::RollToFront => self.say("move-roll-to-front"),
            MoveKind::Settle { posture } => {
                self.text("move-settle", &[("posture", uncapital(&self.posture_name(posture)).into())])
            }
            MoveKind::Fetch(item) => self.text("move-fetch", &[("item", self.equipment_name(item).into())]),
        }
    }

    /// How a move is done, one action a sentence, with what must be kept in mind.
    pub fn move_instructions(&self, step: &MoveStep) -> Vec<String> {
        let cares = Cares(&step.care);
        let mut out = Vec::new();
        match &step.kind {
            MoveKind::DeviceOn(device) => {
                out.push(self.say(&key("how-device-on", device.id())));
                out.push(self.say("how-device-check"));
            }
            MoveKind::DeviceOff(device) => out.push(self.say(&key("how-device-off", device.id()))),
            MoveKind::StandUp { from } => {
                out.push(self.text("how-stand-forward", &[("place", self.place_name(from).into())]));
                self.before_standing(&cares, &mut out);
                out.push(self.on_legs("how-stand", &cares));
                out.push(self.say("how-stand-wait"));
            }
            MoveKind::WalkTo { spot } => {
                self.before_standing(&cares, &mut out);
                out.push(self.text("how-walk", &[("place", self.place_name(spot).into())]));
            }
            MoveKind::SitDown { on } => {
                out.push(self.text("how-sit-back", &[("place", self.place_name(on).into())]));
                self.before_standing(&cares, &mut out);
                out.push(self.on_legs("how-sit", &cares));
            }
            MoveKind::LieDown => {
                self.arm_care(&cares, &mut out);
                out.push(self.say("how-lie-sit"));
                out.push(self.say("how-lie-down"));
            }
            MoveKind::SitUp => {
                self.arm_care(&cares, &mut out);
                out.push(self.say("how-sit-up-roll"));
                out.push(self.say("how-sit-up-legs"));
                out.push(self.say("how-sit-up-wait"));
            }
            MoveKind::RollToSide { up } => {
                out.push(self.text("how-roll-to-side", &[("side", up.other().into())]));
                out.push(self.text("how-roll-side-up", &[("side", (*up).into())]));
            }
            MoveKind::RollToBack => out.push(self.say("how-roll-to-back")),
            MoveKind::RollToFront => out.push(self.say("how-roll-to-front")),
            MoveKind::Settle { posture } => {
                out.push(
                    self.text("how-settle", &[("posture", uncapital(&self.posture_name(posture)).into())]),
                );
            }
            MoveKind::Fetch(item) => {
                out.push(self.text("how-fetch", &[("item", self.equipment_name(item).into())]))
            }
        }
        out
    }

    /// One care as a sentence.
    pub fn care_sentence(&self, care: Care) -> String {
        match care {
            Care::NoWeightOnLeg(side) => self.text("care-no-weight", &[("side", side.into())]),
            Care::PartWeightOnLeg(side) => self.text("care-part-weight", &[("side", side.into())]),
            Care::NoPushWithArm(side) => self.text("care-no-push", &[("side", side.into())]),
            Care::DeviceOn(device) => self.say(&key("care-device", device.id())),
            Care::HoldOn => self.say("care-hold-on"),
        }
    }

    /// What must be right before the body's weight goes onto the feet.
    fn before_standing(&self, cares: &Cares<'_>, out: &mut Vec<String>) {
        if let Some(device) = cares.device() {
            out.push(self.care_sentence(Care::DeviceOn(device)));
        }
        match (cares.hold_on(), cares.arm()) {
            (true, Some(side)) => {
                out.push(self.care_sentence(Care::NoPushWithArm(side)));
                out.push(self.text("care-hold-on-one-hand", &[("side", side.other().into())]));
            }
            (true, None) => out.push(self.care_sentence(Care::HoldOn)),
            (false, _) => self.arm_care(cares, out),
        }
        match cares.leg() {
            Some((side, true)) => out.push(self.care_sentence(Care::NoWeightOnLeg(side))),
            Some((side, false)) => out.push(self.care_sentence(Care::PartWeightOnLeg(side))),
            None => {}
        }
    }

    /// The arm that must not push, and the hand that may.
    fn arm_care(&self, cares: &Cares<'_>, out: &mut Vec<String>) {
        if let Some(side) = cares.arm() {
            out.push(self.care_sentence(Care::NoPushWithArm(side)));
            out.push(self.text("care-other-hand", &[("side", side.other().into())]));
        }
    }

    /// The move on the legs that may carry: on the other leg where the operated one takes no weight.
    fn on_legs(&self, key: &str, cares: &Cares<'_>) -> String {
        match cares.leg() {
            Some((side, true)) => {
                let other: Arg = side.other().into();
                self.text(&format!("{key}-on-one-leg"), &[("side", other)])
            }
            _ => self.say(key),
        }
    }
}
