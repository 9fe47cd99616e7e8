//! Limits in words: for the patient as prohibitions, for the clinician with numbers, word and source.

use handrail_anatomy::{ClinicalMotion, Device, Drive, Joint, Muscle, Side};
use handrail_protocol::{
    ActNeeded, Beyond, Blocked, Change, ChangeWhat, InForce, Known, Limit, Loading, Need, Note, Status,
    Until, WeightBearing, Why,
};

use crate::bundle::{Arg, Words};
use crate::names::{capital, key, position_id};

/// From this many degrees on an edge of a forbidden combination is told with its number. Below it the whole
/// direction is forbidden to the patient: stricter, and it can be followed without measuring.
const EDGE_TOLD_FROM_DEG: f64 = 20.0;

fn is_every_drive(drives: &[Drive]) -> bool {
    drives.is_empty() || Drive::ALL.iter().all(|it| drives.contains(it))
}

/// Joints whose neutral position is not simply "straight", so that degrees alone tell a patient nothing.
fn is_neutral_worth_telling(motion: &ClinicalMotion) -> bool {
    let is_rotation = matches!(motion.motion, "external_rotation" | "internal_rotation");
    matches!(motion.joint, Joint::Ankle | Joint::Forearm) || is_rotation
}

impl Words {
    // ------------------------------------------------------------------ for the patient

    /// A limit on the operated side as one or a few short sentences.
    pub fn limit_sentence(&self, limit: &Limit, side: Side) -> String {
        match limit {
            Limit::LegWeightBearing(amount) => self.weight_sentence("leg", *amount, side),
            Limit::ArmWeightBearing(amount) => self.weight_sentence("arm", *amount, side),
            Limit::Motion { motion, max_deg, drives, loading } => {
                let mut out = self.motion_sentence(motion, *max_deg, side);
                out.extend(self.drives_sentence(drives));
                out.extend(self.loading_sentence(*loading));
                out.join(" ")
            }
            Limit::Drive { joint, motions, forbidden } => {
                self.drive_sentence(*joint, motions, forbidden, side)
            }
            Limit::Muscle { muscles, allowed } => self.muscle_sentence(muscles, allowed, side),
            Limit::Device { device, off_for_exercise, worn_asleep, setting, .. } => {
                self.device_sentence(*device, *off_for_exercise, *worn_asleep, setting, side)
            }
            Limit::Position(position) => {
                self.text(&key("position", position_id(*position)), &[("side", side.into())])
            }
            Limit::Combination(edges) => self.combination_sentence(edges, side),
            Limit::Resistance { joint, motions, max_kg } => {
                self.resistance_sentence(*joint, motions, *max_kg, side)
            }
            Limit::Impact => self.say("no-impact"),
            Limit::Activity(activity) => self.activity_sentence(activity),
            // A body weight or a percentage of it tells a patient nothing; the sheet's exercises keep to it.
            Limit::TissueLoad { tissue, max, .. } => self.load_sentence(*tissue, *max, side),
            Limit::Exposure { tissue, per_week, .. } => {
                self.exposure_limit_sentence(*tissue, *per_week, side)
            }
        }
    }

    fn weight_sentence(&self, limb: &str, amount: WeightBearing, side: Side) -> String {
        let (kind, args): (&str, Vec<(&str, Arg)>) = match amount {
            WeightBearing::None => ("none", vec![]),
            WeightBearing::Kilograms(kg) => ("mass", vec![("mass", self.mass(kg).into())]),
            WeightBearing::PercentBodyWeight(percent) => {
                ("percent", vec![("percent", self.number(percent, 1).into())])
            }
            WeightBearing::AsTolerated => ("as-tolerated", vec![]),
            WeightBearing::Full => ("full", vec![]),
        };
        let args: Vec<(&str, Arg)> = args.into_iter().chain([("side", side.into())]).collect();
        self.text(&format!("weight-{limb}-{kind}"), &args)
    }

    fn motion_sentence(&self, motion: &ClinicalMotion, max_deg: f64, side: Side) -> Vec<String> {
        let what = self.motion_patient(motion.joint, motion.motion, side);
        let neutral = self.neutral(motion);
        if max_deg == 0.0 {
            return vec![self.text("motion-to-neutral", &[("do", what.into()), ("neutral", neutral.into())])];
        }
        let degrees = self.degrees(max_deg);
        if max_deg < 0.0 {
            let args = [("do", what.into()), ("degrees", degrees.into()), ("neutral", neutral.into())];
            return vec![self.text("motion-short-of-neutral", &args)];
        }
        let mark = key("mark", &format!("{}-{}-{max_deg}", motion.joint.id(), motion.motion));
        let of = |extra: &'static str, text: String| {
            [("do", what.clone().into()), ("degrees", degrees.clone().into()), (extra, Arg::from(text))]
        };
        if let Some(mark) = self.try_text(&mark, &[]) {
            return vec![self.text("motion-to-mark", &of("mark", mark))];
        }
        if is_neutral_worth_telling(motion) {
            return vec![self.text("motion-past-neutral", &of("neutral", neutral))];
        }
        vec![self.text("motion-to-degrees", &of("neutral", neutral))]
    }

    /// Which ways of moving a limit speaks of. A mixed set is not told: the limit then reads as if it spoke of
    /// every way, which is stricter.
    fn drives_sentence(&self, drives: &[Drive]) -> Option<String> {
        let helped = [Drive::Passive, Drive::Assisted];
        if is_every_drive(drives) {
            None
        } else if drives.iter().all(|it| helped.contains(it)) {
            Some(self.say("motion-with-help"))
        } else if drives.iter().all(|it| !helped.contains(it)) {
            Some(self.say("motion-by-itself"))
        } else {
            None
        }
    }

    fn loading_sentence(&self, loading: Loading) -> Option<String> {
        match loading {
            Loading::Any => None,
            Loading::Loaded => Some(self.say("motion-loaded")),
            Loading::Unloaded => Some(self.say("motion-unloaded")),
        }
    }

    fn drive_sentence(
        &self,
        joint: Joint,
        motions: &[ClinicalMotion],
        forbidden: &[Drive],
        side: Side,
    ) -> String {
        let whole = [("side", side.into()), ("joint", self.joint_on_side(joint, side).into())];
        let what = if motions.is_empty() {
            self.text("do-move-joint", &whole)
        } else {
            let each: Vec<String> =
                motions.iter().map(|it| self.motion_patient(joint, it.motion, side)).collect();
            self.any_of(&each)
        };
        let args = [("do", what.into()), whole[1].clone()];
        if is_every_drive(forbidden) {
            return self.text("drive-none", &args);
        }
        let has = |it: Drive| forbidden.contains(&it);
        let mut out = Vec::new();
        if has(Drive::Passive) {
            out.push("drive-no-passive");
        }
        match (has(Drive::Active), has(Drive::Assisted)) {
            (true, true) => out.push("drive-no-own-strength"),
            (true, false) => out.push("drive-no-active"),
            (false, true) => out.push("drive-no-assisted"),
            (false, false) => {}
        }
        if has(Drive::Isometric) {
            out.push("drive-no-isometric");
        }
        if has(Drive::Resisted) && !has(Drive::Active) {
            out.push("drive-no-resisted");
        }
        let sentences: Vec<String> = out.into_iter().map(|it| self.text(it, &args)).collect();
        sentences.join(" ")
    }

    fn muscle_sentence(&self, muscles: &[Muscle], allowed: &[Drive], side: Side) -> String {
        let what = self.muscles_on_side(muscles, side);
        let mut out = self.text("muscle-not-tensed", &[("muscles", what.into())]);
        // Told is the least of what is allowed: the stricter reading.
        let least = allowed.iter().copied().filter(|it| *it != Drive::Passive).min();
        if let Some(drive) = least {
            out.push(' ');
            out.push_str(&self.say(&key("muscle-only", drive.id())));
        }
        out
    }

    fn device_sentence(&self, device: Device, off: bool, asleep: bool, setting: &str, side: Side) -> String {
        let args = [("side", side.into())];
        let mut out = vec![self.text(&key("wear", device.id()), &args)];
        if !setting.trim().is_empty() {
            out.push(self.text("device-setting", &[("setting", self.setting(setting).into())]));
        }
        out.push(self.say(if off { "device-off-for-exercise" } else { "device-on-for-exercise" }));
        out.push(self.say(if asleep { "device-on-asleep" } else { "device-not-asleep" }));
        out.join(" ")
    }

    /// A device's setting in words where they exist, else exactly as it was ordered: settings do not convert.
    pub fn setting(&self, setting: &str) -> String {
        self.try_text(&key("setting", setting), &[])
            .unwrap_or_else(|| setting.trim().trim_end_matches('.').into())
    }

    fn combination_sentence(&self, edges: &[Beyond], side: Side) -> String {
        let each: Vec<String> = edges
            .iter()
            .map(|edge| {
                let what = self.motion_patient(edge.motion.joint, edge.motion.motion, side);
                if edge.deg < EDGE_TOLD_FROM_DEG {
                    return what;
                }
                self.text(
                    "combination-beyond",
                    &[("do", what.into()), ("degrees", self.degrees(edge.deg).into())],
                )
            })
            .collect();
        // "When you (all but one), do not (that one)" forbids the same as "not all at once", and can be followed.
        let Some((first, others)) = each.split_first() else { return String::new() };
        if others.is_empty() {
            return self.text("motion-not", &[("do", first.as_str().into())]);
        }
        self.text("combination", &[("others", self.all_of(others).into()), ("do", first.as_str().into())])
    }

    fn resistance_sentence(
        &self,
        joint: Joint,
        motions: &[ClinicalMotion],
        max_kg: f64,
        side: Side,
    ) -> String {
        let what = if motions.is_empty() {
            let joint = self.joint_on_side(joint, side);
            self.text("do-move-joint", &[("side", side.into()), ("joint", joint.into())])
        } else {
            let each: Vec<String> =
                motions.iter().map(|it| self.motion_patient(joint, it.motion, side)).collect();
            self.any_of(&each)
        };
        if max_kg <= 0.0 {
            return self.text("resistance-none", &[("do", what.into())]);
        }
        self.text("resistance-at-most", &[("do", what.into()), ("mass", self.mass(max_kg).into())])
    }

    /// On whose word a limit stands, for the patient: "ordered by your surgeon".
    pub fn status_word(&self, status: Status) -> String {
        self.say(match status {
            Status::Ordered => "status-ordered",
            Status::Confirmed => "status-confirmed",
            Status::Assumed => "status-assumed",
        })
    }

    /// What ends a limit, as a clause after "until": "your surgeon or therapist ends it".
    pub fn until_clause(&self, until: &Until) -> String {
        match &until.act {
            ActNeeded::None => match until.earliest {
                Some(date) => self.text("until-date", &[("date", self.date_long(date).into())]),
                None => self.say("until-release"),
            },
            ActNeeded::Release(_) => self.say("until-release"),
            ActNeeded::BeginPhase(_) => self.say("until-phase"),
        }
    }

    /// Until when a limit stays, as sentences for the patient. A date is never told as an end, only as the
    /// day before which nothing changes.
    pub fn until_sentence(&self, until: &Until) -> String {
        let mut out = vec![self.text("until", &[("clause", self.until_clause(until).into())])];
        if let (Some(date), false) = (until.earliest, until.act == ActNeeded::None) {
            out.push(self.text("until-not-before", &[("date", self.date_long(date).into())]));
        }
        if !until.criteria.is_empty() {
            out.push(self.say("until-tests"));
        }
        out.join(" ")
    }

    // ------------------------------------------------------------------ for the clinician

    /// What a limit is about, in clinical terms: "Ankle dorsiflexion".
    pub fn limit_on(&self, limit: &Limit) -> String {
        let name = match limit {
            Limit::LegWeightBearing(_) => self.say("c-on-leg-weight"),
            Limit::ArmWeightBearing(_) => self.say("c-on-arm-weight"),
            Limit::Motion { motion, .. } => self.motion_name(motion.joint, motion.motion),
            Limit::Drive { joint, motions, .. } => {
                self.text("c-on-drive", &[("what", self.joint_or_motions(*joint, motions).into())])
            }
            Limit::Muscle { muscles, .. } => {
                self.text("c-on-muscle", &[("muscles", self.muscle_names(muscles).into())])
            }
            Limit::Device { device, .. } => self.device_name(*device),
            Limit::Position(_) => self.say("c-on-position"),
            Limit::Combination(_) => self.say("c-on-combination"),
            Limit::Resistance { joint, motions, .. } => {
                self.text("c-on-resistance", &[("what", self.joint_or_motions(*joint, motions).into())])
            }
            Limit::Impact => self.say("c-on-impact"),
            Limit::Activity(_) => self.say("c-on-activity"),
            Limit::TissueLoad { tissue, .. } => {
                self.text("c-on-tissue-load", &[("tissue", self.tissue_name(*tissue).into())])
            }
            Limit::Exposure { tissue, .. } => {
                self.text("c-on-exposure", &[("tissue", self.tissue_name(*tissue).into())])
            }
        };
        capital(&name)
    }

    fn joint_or_motions(&self, joint: Joint, motions: &[ClinicalMotion]) -> String {
        if motions.is_empty() {
            return self.joint_name(joint);
        }
        let each: Vec<String> = motions.iter().map(|it| self.motion_name(joint, it.motion)).collect();
        self.all_of(&each)
    }

    /// What a limit allows, in clinical terms with its number: "at most 0 deg".
    pub fn limit_value(&self, limit: &Limit) -> String {
        match limit {
            Limit::LegWeightBearing(amount) | Limit::ArmWeightBearing(amount) => self.weight_value(*amount),
            Limit::Motion { max_deg, drives, loading, .. } => {
                let mut out = self.text("c-at-most-deg", &[("deg", self.number(*max_deg, 1).into())]);
                if !is_every_drive(drives) {
                    out.push_str(", ");
                    out.push_str(&self.drive_names(drives));
                }
                if *loading != Loading::Any {
                    out.push_str(", ");
                    out.push_str(&self.say(if *loading == Loading::Loaded {
                        "c-loaded"
                    } else {
                        "c-unloaded"
                    }));
                }
                out
            }
            Limit::Drive { forbidden, .. } => {
                self.text("c-forbidden-drives", &[("drives", self.drive_names(forbidden).into())])
            }
            Limit::Muscle { allowed, .. } if allowed.is_empty() => self.say("c-not-tensed"),
            Limit::Muscle { allowed, .. } => {
                self.text("c-not-tensed-but", &[("drives", self.drive_names(allowed).into())])
            }
            Limit::Device { holds, off_for_exercise, worn_asleep, setting, .. } => {
                self.device_value(holds, *off_for_exercise, *worn_asleep, setting)
            }
            Limit::Position(position) => {
                self.text("c-not-allowed", &[("what", self.position_name(*position).into())])
            }
            Limit::Combination(edges) => {
                let each: Vec<String> = edges
                    .iter()
                    .map(|it| {
                        let motion = self.motion_name(it.motion.joint, it.motion.motion);
                        self.text(
                            "c-beyond",
                            &[("motion", motion.into()), ("deg", self.number(it.deg, 1).into())],
                        )
                    })
                    .collect();
                self.text("c-not-together", &[("all", self.all_of(&each).into())])
            }
            Limit::Resistance { max_kg, .. } if *max_kg <= 0.0 => self.say("c-none"),
            Limit::Resistance { max_kg, .. } => {
                self.text("c-at-most-kg", &[("kg", self.number(*max_kg, 2).into())])
            }
            Limit::Impact => self.say("c-none"),
            Limit::Activity(activity) => {
                self.text("c-not-allowed", &[("what", self.term("c-activity", activity).into())])
            }
            Limit::TissueLoad { tissue, max, class } => self.load_value(*tissue, *max, *class),
            Limit::Exposure { tissue, per_week, of } => self.exposure_value(*tissue, *per_week, *of),
        }
    }

    fn weight_value(&self, amount: WeightBearing) -> String {
        match amount {
            WeightBearing::None => self.say("c-none"),
            WeightBearing::Kilograms(kg) => self.text("c-at-most-kg", &[("kg", self.number(kg, 1).into())]),
            WeightBearing::PercentBodyWeight(percent) => {
                self.text("c-at-most-percent", &[("percent", self.number(percent, 1).into())])
            }
            WeightBearing::AsTolerated => self.say("c-as-tolerated"),
            WeightBearing::Full => self.say("c-full"),
        }
    }

    fn drive_names(&self, drives: &[Drive]) -> String {
        if is_every_drive(drives) {
            return self.say("c-every-drive");
        }
        let names: Vec<String> = drives.iter().map(|&it| self.drive_name(it)).collect();
        self.all_of(&names)
    }

    fn device_value(
        &self,
        holds: &[(ClinicalMotion, f64)],
        off: bool,
        asleep: bool,
        setting: &str,
    ) -> String {
        let mut out = Vec::new();
        if !setting.trim().is_empty() {
            out.push(self.text("c-setting", &[("setting", self.setting(setting).into())]));
        }
        for (motion, deg) in holds {
            let name = self.motion_name(motion.joint, motion.motion);
            out.push(self.text("c-holds", &[("motion", name.into()), ("deg", self.number(*deg, 1).into())]));
        }
        out.push(self.say(if off { "c-off-for-exercise" } else { "c-on-for-exercise" }));
        out.push(self.say(if asleep { "c-on-asleep" } else { "c-off-asleep" }));
        out.join("; ")
    }

    /// On whose word a limit stands, for clinicians: "assumed from the protocol, not confirmed".
    pub fn status_clinician(&self, status: Status) -> String {
        self.say(match status {
            Status::Ordered => "c-status-ordered",
            Status::Confirmed => "c-status-confirmed",
            Status::Assumed => "c-status-assumed",
        })
    }

    /// How well a figure is known to come from its source.
    pub fn known_word(&self, known: Known) -> String {
        self.say(&key("c-known", known.id()))
    }

    /// Where a limit comes from and on whose word it stands, for clinicians.
    pub fn source_line(&self, limit: &InForce) -> String {
        let mut out = self.status_clinician(limit.status);
        if let Some(by) = &limit.by {
            out.push_str(&self.text("c-by", &[("by", by.as_str().into())]));
        }
        if let Some(document) = limit.document.as_ref().filter(|it| **it != limit.source) {
            out.push_str(&self.text("c-in-document", &[("document", document.as_str().into())]));
        }
        out.push_str("; ");
        out.push_str(&limit.source);
        if let Some(known) = limit.known {
            out.push_str(&format!(" ({})", self.known_word(known)));
        }
        out
    }

    /// Until what act a limit holds, for clinicians: "until a release of `x`, not before Dec 14, 2026".
    pub fn until_clinician(&self, until: &Until) -> String {
        let mut out = vec![self.act(&until.act)];
        if let Some(date) = until.earliest {
            out.push(self.text("c-not-before", &[("date", self.date_short(date).into())]));
        }
        if !until.criteria.is_empty() {
            out.push(self.text("c-criteria", &[("criteria", until.criteria.join(", ").into())]));
        }
        out.join(", ")
    }

    fn act(&self, act: &ActNeeded) -> String {
        self.text(&format!("c-{}", act.key()), &[("about", act.about().unwrap_or_default().into())])
    }

    /// A limit in force in one line for clinicians: value, word, source, since when, until what act.
    pub fn limit_line_clinician(&self, limit: &InForce) -> String {
        let mut out = vec![
            format!("{}: {}.", self.limit_on(&limit.limit), self.limit_value(&limit.limit)),
            format!("{}.", capital(&self.source_line(limit))),
            self.text("c-since", &[("date", self.date_short(limit.since).into())]),
            format!("{}.", capital(&self.until_clinician(&limit.until))),
        ];
        if limit.overdue {
            out.push(self.say("c-overdue"));
        }
        if !limit.unanswered.is_empty() {
            let variants: Vec<String> =
                limit.unanswered.iter().map(|it| self.term("c-variant", it)).collect();
            out.push(self.text("c-kept-unanswered", &[("variants", variants.join(", ").into())]));
        }
        for gone in &limit.superseded {
            let args = [
                ("limit", self.limit_value(&gone.limit).into()),
                ("id", gone.id.as_str().into()),
                ("why", self.why(gone.why).into()),
            ];
            out.push(self.text("c-supersedes", &args));
        }
        out.join(" ")
    }

    fn why(&self, why: Why) -> String {
        self.say(match why {
            Why::Replaced => "c-why-replaced",
            Why::OrderBeatsProtocol => "c-why-order-beats-protocol",
            Why::OrderBeatsProtocolInPart => "c-why-order-beats-protocol-in-part",
            Why::StricterHolds => "c-why-stricter-holds",
            Why::SameLimit => "c-why-same-limit",
        })
    }

    /// One of the next changes, for clinicians.
    pub fn change_sentence(&self, change: &Change) -> String {
        let value = |limit: &Limit| -> Arg {
            format!("{}: {}", self.limit_on(limit), self.limit_value(limit)).into()
        };
        let what = match &change.what {
            ChangeWhat::Starts { id, limit } => {
                self.text("c-change-starts", &[("id", id.as_str().into()), ("limit", value(limit))])
            }
            ChangeWhat::Steps { from, to, limit } => {
                let args =
                    [("from", from.as_str().into()), ("to", to.as_str().into()), ("limit", value(limit))];
                self.text("c-change-steps", &args)
            }
            ChangeWhat::Ends { id } => self.text("c-change-ends", &[("id", id.as_str().into())]),
            ChangeWhat::Phase { id } => self.text("c-change-phase", &[("id", id.as_str().into())]),
        };
        let when = if change.due { "c-change-due" } else { "c-change-on" };
        let mut out = self.text(when, &[("date", self.date_short(change.on).into()), ("what", what.into())]);
        out.push(' ');
        if change.needs.is_empty() {
            out.push_str(&self.say("c-needs-nothing"));
        } else {
            let needs: Vec<String> = change.needs.iter().map(|it| self.need(it)).collect();
            out.push_str(&self.text("c-needs", &[("needs", self.all_of(&needs).into())]));
        }
        out
    }

    fn need(&self, need: &Need) -> String {
        match need {
            Need::Criterion(id) => self.text("c-need-criterion", &[("id", id.as_str().into())]),
            Need::Act(act) => self
                .text(&format!("c-need-{}", act.key()), &[("about", act.about().unwrap_or_default().into())]),
        }
    }

    /// Something a clinician must see.
    pub fn note_sentence(&self, note: &Note) -> String {
        let of = |key: &str, args: &[(&str, &str)]| {
            let args: Vec<(&str, Arg)> = args.iter().map(|(name, it)| (*name, (*it).into())).collect();
            self.text(key, &args)
        };
        match note {
            Note::Draft => of("c-note-draft", &[]),
            Note::PhaseWaits { by_calendar } => of("c-note-phase-waits", &[("phase", by_calendar)]),
            Note::PhaseEarly { phase, planned } => {
                of("c-note-phase-early", &[("phase", phase), ("date", &self.date_short(*planned))])
            }
            Note::Contradiction { holds, yields } => {
                of("c-note-contradiction", &[("holds", holds), ("yields", yields)])
            }
            Note::BothHold { one, other } => of("c-note-both-hold", &[("one", one), ("other", other)]),
            Note::OrderLooser { order, restriction } => {
                of("c-note-order-looser", &[("order", order), ("restriction", restriction)])
            }
            Note::ProtocolStricter { order, restriction } => {
                of("c-note-protocol-stricter", &[("order", order), ("restriction", restriction)])
            }
            Note::ReleaseWithoutEffect { restriction } => {
                of("c-note-release-without-effect", &[("restriction", restriction)])
            }
        }
    }

    /// A fact that must be known and is not, with the question, the answers and what waits for it.
    pub fn blocked_sentence(&self, blocked: &Blocked) -> String {
        let question = self.try_text(&key("c-question", &blocked.variant), &[]);
        let choices: Vec<String> = blocked.choices.iter().map(|it| self.term("c-choice", it)).collect();
        let joints: Vec<String> = blocked.joints.iter().map(|&it| self.joint_name(it)).collect();
        let joints = if joints.is_empty() { self.say("c-no-joint") } else { self.all_of(&joints) };
        let args = [
            ("question", question.unwrap_or_else(|| blocked.question.clone()).into()),
            ("choices", self.any_of(&choices).into()),
            ("depends", blocked.depends.join(", ").into()),
            ("joints", joints.into()),
        ];
        self.text("c-blocked", &args)
    }
}
