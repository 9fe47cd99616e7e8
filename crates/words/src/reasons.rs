//! Why an exercise is limited or refused, for clinicians, and what would make it acceptable.

use handrail_anatomy::{Muscle, Side};
use handrail_motion::SolveError;
use handrail_program::{Reason, ReasonKind};
use handrail_protocol::Status;

use crate::bundle::{Arg, Words};
use crate::names::{capital, key};

impl Words {
    /// One reason in words: what was compared, on whose word the limit stands, and what would make the
    /// exercise acceptable. `side` is the operated side.
    pub fn reason_sentence(&self, reason: &Reason, side: Side) -> String {
        let mut out =
            vec![format!("{}{}.", capital(&self.reason_fact(reason, side)), self.reason_basis(reason))];
        out.push(self.reason_hint(reason));
        out.join(" ")
    }

    /// What would make the exercise acceptable.
    pub fn reason_hint(&self, reason: &Reason) -> String {
        self.say(&key("c-hint", reason.kind.id()))
    }

    fn reason_fact(&self, reason: &Reason, side: Side) -> String {
        let what = self.reason_subject(reason, side);
        let compared = self.compared(reason);
        let mut args: Vec<(&str, Arg)> = vec![("what", what.into()), ("side", side.into())];
        match &reason.kind {
            ReasonKind::Motion
            | ReasonKind::Margin
            | ReasonKind::Combination
            | ReasonKind::Resistance
            | ReasonKind::WeightBearing => args.extend(compared),
            ReasonKind::Drive(drive) => args.push(("drive", self.drive_name(*drive).into())),
            ReasonKind::Muscle(muscle) => args.push(("muscle", self.muscle_name(*muscle).into())),
            ReasonKind::Device(device) => args.push(("device", self.device_name(*device).into())),
            ReasonKind::Position(position) => args.push(("position", self.position_name(*position).into())),
            ReasonKind::Impact => {}
            ReasonKind::Activity(activity) => {
                args.push(("activity", self.term("c-activity", activity).into()))
            }
            ReasonKind::MissingVariant(variant) => {
                args.push(("variant", self.term("c-variant", variant).into()))
            }
            ReasonKind::CannotBeDone(error) => args.push(("error", self.solve_error(error).into())),
            ReasonKind::NotDescribed(missing) => args.push(("missing", self.missing(missing).into())),
            ReasonKind::TissueLoad(tissue) => {
                let amount = |it: Option<f64>| match it {
                    Some(it) => self.load_amount(it, tissue.unit()),
                    None => "?".into(),
                };
                args.push(("tissue", self.tissue_name_on_side(*tissue, side).into()));
                args.push(("computed", amount(reason.computed).into()));
                args.push(("limit", amount(reason.limit).into()));
            }
            ReasonKind::TissueLoadNotKnown(tissue, why) => {
                args.push(("tissue", self.tissue_name_on_side(*tissue, side).into()));
                args.push(("why", self.load_not_known(*why).into()));
            }
        }
        self.text(&key("c-reason", reason.kind.id()), &args)
    }

    /// The joint or motion with its side; the operated limb where none is named.
    fn reason_subject(&self, reason: &Reason, side: Side) -> String {
        match (reason.joint, reason.motion) {
            (Some(joint), Some(motion)) => self.motion_on_side(joint, motion, side),
            (Some(joint), None) if joint.is_axial() => self.joint_name(joint),
            (Some(joint), None) => {
                self.text("c-with-side", &[("what", self.joint_name(joint).into()), ("side", side.into())])
            }
            (None, _) => self.text("c-operated-limb", &[("side", side.into())]),
        }
    }

    fn compared(&self, reason: &Reason) -> Vec<(&'static str, Arg)> {
        let value = |it: Option<f64>| {
            self.text(
                "c-value",
                &[
                    ("n", it.map_or_else(|| "?".into(), |it| self.number(it, 1)).into()),
                    ("unit", self.unit(reason.unit).into()),
                ],
            )
        };
        vec![
            ("computed", value(reason.computed).into()),
            ("limit", value(reason.limit).into()),
            ("at", format!("{} s", self.decimal(reason.at.unwrap_or(0.0))).into()),
        ]
    }

    /// A number with one decimal, also when that is a zero.
    fn decimal(&self, value: f64) -> String {
        let text = format!("{value:.1}");
        if self.lang() == crate::lang::Lang::Es { text.replace('.', ",") } else { text }
    }

    fn unit(&self, unit: &str) -> String {
        match unit {
            "deg" => self.say("c-unit-deg"),
            "%BW" => self.say("c-unit-percent-body-weight"),
            other => other.into(),
        }
    }

    fn reason_basis(&self, reason: &Reason) -> String {
        if reason.restriction.is_empty() {
            return String::new();
        }
        let status = reason.status.map_or_else(String::new, |it| self.status_clinician(it));
        let key = if reason.status == Some(Status::Ordered) { "c-basis-order" } else { "c-basis-protocol" };
        let args = [
            ("status", status.into()),
            ("id", reason.restriction.as_str().into()),
            ("source", reason.source.as_str().into()),
        ];
        format!(" ({})", self.text(key, &args))
    }

    fn solve_error(&self, error: &SolveError) -> String {
        match error {
            SolveError::Unreachable { key, contact, by } => {
                let cm = self.number(by * 100.0, 1);
                let args = [
                    ("key", (*key as f64 + 1.0).into()),
                    ("contact", contact.as_str().into()),
                    ("cm", cm.into()),
                ];
                self.text("c-unreachable", &args)
            }
            SolveError::Implausible { coordinate, deg } => {
                let args = [("coordinate", coordinate.as_str().into()), ("deg", self.number(*deg, 0).into())];
                self.text("c-implausible", &args)
            }
        }
    }

    /// What the exercise does not describe. The verdict names a muscle's effort by its id.
    fn missing(&self, missing: &str) -> String {
        let muscle = missing.strip_prefix("effort of ").and_then(|it| it.split(' ').next());
        match muscle.and_then(|id| Muscle::ALL.iter().find(|it| it.id() == id)) {
            Some(&muscle) => self.text("c-effort-of", &[("muscle", self.muscle_name(muscle).into())]),
            None => missing.into(),
        }
    }
}
