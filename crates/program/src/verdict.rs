//! Whether an exercise is within today's limits for this body, side and home; and up to where.
//!
//! Three answers: `within`; `limited`, with the largest value of the exercise's parameter at which it stays
//! inside under every stated tolerance; `refused`, with all reasons. Unknown is refused. Only an allowed
//! exercise becomes [`Checked`], and only `Checked` can enter a session.

use std::collections::BTreeMap;
use std::sync::Arc;

use handrail_anatomy::body::Proportions;
use handrail_anatomy::{
    Body, ClinicalMotion, Device, Drive, Joint, Landmark, Limb, Measure, Muscle, Position, Side, Tissue,
    clinical_motions,
};
use handrail_motion::load::tissue_load;
use handrail_motion::posture::Surface;
use handrail_motion::solve::MOVES_DEG;
use handrail_motion::{
    Along, Detail, Home, Load, Motion, NotKnown, Parameters, Repetition, Role, SolveError, TissueLoad,
    solve_in,
};
use handrail_protocol::{Beyond, Envelope, InForce, Limit, Loading, Status, WeightBearing};

/// Excess that still counts as inside, degrees: rounding, not tolerance.
pub const EPSILON_DEG: f64 = 0.01;
/// Load that still counts as none, body weights.
const EPSILON_LOAD: f64 = 0.005;
/// Above this load a leg or arm counts as loaded.
const LOADED: f64 = 0.02;

/// Stated margins for measuring and execution error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margins {
    /// Chair, bed and table height, +- m.
    pub furniture: f64,
    /// Body proportions, +- standard deviations.
    pub proportions_sd: f64,
}

impl Margins {
    /// Chair +-3 cm, proportions +-2 SD; slides and angles carry their own tolerance in the exercise.
    pub const STATED: Margins = Margins { furniture: 0.03, proportions_sd: 2.0 };
}

/// The person, home and day that exercises are checked for.
#[derive(Clone, Copy)]
pub struct Case<'a> {
    /// Body.
    pub body: &'a Body,
    /// Home.
    pub home: &'a Home,
    /// Limits of the day.
    pub envelope: &'a Envelope,
    /// Margins.
    pub margins: Margins,
}

/// Why an exercise is not simply within.
#[derive(Clone, Debug, PartialEq)]
pub enum ReasonKind {
    /// A joint passes its limit.
    Motion,
    /// Only with the stated margins does a joint pass its limit.
    Margin,
    /// More weight through the limb than allowed.
    WeightBearing,
    /// The joint may not be moved in this way.
    Drive(Drive),
    /// A muscle that must not be tensed works.
    Muscle(Muscle),
    /// The device must stay on, but the exercise needs it off.
    Device(Device),
    /// The position is not allowed.
    Position(Position),
    /// All of a forbidden combination at once.
    Combination,
    /// More resistance than allowed.
    Resistance,
    /// A foot lands.
    Impact,
    /// The activity is not allowed.
    Activity(String),
    /// A fact about the operation is missing on which a restriction of this joint depends.
    MissingVariant(String),
    /// This body cannot take the pose in this home.
    CannotBeDone(SolveError),
    /// The exercise does not describe what the restriction speaks of.
    NotDescribed(String),
    /// One repetition loads the tissue more than the ceiling allows, by its upper bound.
    TissueLoad(Tissue),
    /// A tissue stands under a ceiling and what this exercise does to it cannot be stated.
    TissueLoadNotKnown(Tissue, NotKnown),
}

impl ReasonKind {
    /// Key used in JSON and by `words`.
    pub fn id(&self) -> &'static str {
        match self {
            ReasonKind::Motion => "motion",
            ReasonKind::Margin => "margin",
            ReasonKind::WeightBearing => "weight_bearing",
            ReasonKind::Drive(_) => "drive",
            ReasonKind::Muscle(_) => "muscle",
            ReasonKind::Device(_) => "device",
            ReasonKind::Position(_) => "position",
            ReasonKind::Combination => "combination",
            ReasonKind::Resistance => "resistance",
            ReasonKind::Impact => "impact",
            ReasonKind::Activity(_) => "activity",
            ReasonKind::MissingVariant(_) => "missing_variant",
            ReasonKind::CannotBeDone(_) => "cannot_be_done",
            ReasonKind::NotDescribed(_) => "not_described",
            ReasonKind::TissueLoad(_) => "tissue_load",
            ReasonKind::TissueLoadNotKnown(..) => "tissue_load_not_known",
        }
    }

    /// True for reasons that a smaller motion can remove.
    fn is_reducible(&self) -> bool {
        matches!(
            self,
            ReasonKind::Motion
                | ReasonKind::Margin
                | ReasonKind::Combination
                | ReasonKind::Resistance
                | ReasonKind::TissueLoad(_)
        )
    }

    /// True for the few kinds that a therapist may waive with a name and a reason. Weight bearing, motion,
    /// muscle and device limits are not among them.
    pub fn is_waivable(&self) -> bool {
        matches!(self, ReasonKind::Margin | ReasonKind::Position(_))
    }
}

/// One reason, with what was compared.
#[derive(Clone, Debug, PartialEq)]
pub struct Reason {
    /// Kind.
    pub kind: ReasonKind,
    /// Restriction or order; empty when none is behind it.
    pub restriction: String,
    /// Its source.
    pub source: String,
    /// On whose word it stands.
    pub status: Option<Status>,
    /// Joint, where one is meant.
    pub joint: Option<Joint>,
    /// Motion, where one is meant.
    pub motion: Option<&'static str>,
    /// What is allowed.
    pub limit: Option<f64>,
    /// What the repetition does.
    pub computed: Option<f64>,
    /// Unit of both: deg, kg, BW.
    pub unit: &'static str,
    /// Seconds into the repetition.
    pub at: Option<f64>,
}

impl Reason {
    fn new(kind: ReasonKind, limit: &InForce) -> Reason {
        Reason {
            kind,
            restriction: limit.id.clone(),
            source: limit.source.clone(),
            status: Some(limit.status),
            joint: None,
            motion: None,
            limit: None,
            computed: None,
            unit: "",
            at: None,
        }
    }

    fn without_limit(kind: ReasonKind) -> Reason {
        Reason {
            kind,
            restriction: String::new(),
            source: String::new(),
            status: None,
            joint: None,
            motion: None,
            limit: None,
            computed: None,
            unit: "",
            at: None,
        }
    }

    fn compared(mut self, limit: f64, computed: f64, unit: &'static str, at: f64) -> Reason {
        self.limit = Some(limit);
        self.computed = Some(computed);
        self.unit = unit;
        self.at = Some(at);
        self
    }

    fn of(mut self, motion: &ClinicalMotion) -> Reason {
        self.joint = Some(motion.joint);
        self.motion = Some(motion.motion);
        self
    }

    fn at_joint(mut self, joint: Joint) -> Reason {
        self.joint = Some(joint);
        self
    }
}

/// Where the moving landmark is when the limit is reached.
#[derive(Clone, Debug, PartialEq)]
pub struct LandmarkCue {
    /// Moving point.
    pub point: Landmark,
    /// Compared with.
    pub against: Landmark,
    /// Direction of the comparison.
    pub along: Along,
    /// Metres beyond the other landmark in that direction at the limit (negative: not yet there).
    pub offset: f64,
}

/// Value of the turned parameter at which the repetition just stays inside all limits and margins.
#[derive(Clone, Debug, PartialEq)]
pub struct SolvedLimit {
    /// Parameter.
    pub parameter: String,
    /// Value, rounded to the smaller motion (0.5 cm, 1 degree, 0.25 kg).
    pub value: f64,
    /// m, deg or kg.
    pub unit: String,
    /// Restriction that binds.
    pub binds: String,
    /// Landmarks by which it can be seen.
    pub cue: Option<LandmarkCue>,
}

/// Answer for one exercise.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Within all limits as written.
    Within,
    /// Within, up to a solved limit.
    Limited,
    /// Not allowed.
    Refused,
}

impl Kind {
    /// Word used in JSON.
    pub fn id(&self) -> &'static str {
        match self {
            Kind::Within => "within",
            Kind::Limited => "limited",
            Kind::Refused => "refused",
        }
    }
}

/// Verdict on one exercise.
#[derive(Clone, Debug)]
pub struct Verdict {
    /// Exercise.
    pub exercise: String,
    /// Working side.
    pub side: Side,
    /// Answer.
    pub kind: Kind,
    /// All reasons; for `limited` those that the smaller motion removed.
    pub reasons: Vec<Reason>,
    /// For `limited`.
    pub limit: Option<SolvedLimit>,
    /// Parameters it is to be done with.
    pub parameters: Parameters,
    /// The repetition with these parameters; `None` when the body cannot do it.
    pub repetition: Option<Arc<Repetition>>,
    /// Waived reasons with who and why.
    pub waived: Vec<Waiver>,
}

/// A therapist's override of one reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Waiver {
    /// Restriction.
    pub restriction: String,
    /// Who.
    pub by: String,
    /// Why.
    pub reason: String,
}

/// An exercise that is allowed: the only thing a session is made of.
#[derive(Clone, Debug)]
pub struct Checked {
    verdict: Verdict,
    repetition: Arc<Repetition>,
}

impl Checked {
    /// The verdict behind it.
    pub fn verdict(&self) -> &Verdict {
        &self.verdict
    }

    /// The repetition that was checked; the same one is drawn, told and counted.
    pub fn repetition(&self) -> &Arc<Repetition> {
        &self.repetition
    }
}

/// A refused exercise with all its reasons.
#[derive(Clone, Debug)]
pub struct Refusal {
    verdict: Verdict,
}

impl Refusal {
    /// The verdict behind it.
    pub fn verdict(&self) -> &Verdict {
        &self.verdict
    }

    /// Waives a forbidden position (and nothing else) by a named person with a reason.
    ///
    /// # Errors
    /// The refusal itself when other reasons stand or no name and reason are given.
    pub fn override_position(self, by: &str, reason: &str) -> Result<Checked, Box<Refusal>> {
        // What the surgeon ordered for this patient is not a therapist's to waive.
        self.waive(by, reason, |it| {
            matches!(it.kind, ReasonKind::Position(_)) && it.status != Some(Status::Ordered)
        })
    }

    /// Accepts that only the stated margins, not the motion itself, pass a limit.
    ///
    /// # Errors
    /// The refusal itself when other reasons stand or no name and reason are given.
    pub fn accept_margin(self, by: &str, reason: &str) -> Result<Checked, Box<Refusal>> {
        self.waive(by, reason, |it| matches!(it.kind, ReasonKind::Margin))
    }

    fn waive(
        mut self,
        by: &str,
        reason: &str,
        which: impl Fn(&Reason) -> bool,
    ) -> Result<Checked, Box<Refusal>> {
        let named = !by.trim().is_empty() && !reason.trim().is_empty();
        let only = self.verdict.reasons.iter().all(|it| which(it) && it.kind.is_waivable());
        let Some(repetition) = self.verdict.repetition.clone().filter(|_| named && only) else {
            return Err(Box::new(self));
        };
        self.verdict.waived = self
            .verdict
            .reasons
            .iter()
            .map(|it| Waiver { restriction: it.restriction.clone(), by: by.into(), reason: reason.into() })
            .collect();
        self.verdict.kind = Kind::Within;
        Ok(Checked { verdict: self.verdict, repetition })
    }
}

impl Verdict {
    /// The allowed exercise, or the refusal with all reasons.
    ///
    /// # Errors
    /// The refusal.
    pub fn into_checked(self) -> Result<Checked, Box<Refusal>> {
        match (&self.kind, self.repetition.clone()) {
            (Kind::Within | Kind::Limited, Some(repetition)) => Ok(Checked { verdict: self, repetition }),
            _ => Err(Box::new(Refusal { verdict: self })),
        }
    }
}

/// Verdict on one exercise for a case, worked by the given side.
pub fn verdict(motion: &Motion, side: Side, case: &Case<'_>) -> Verdict {
    verdict_from(motion, side, case, &Parameters::new())
}

/// The same with some parameters set by the therapist (a smaller motion than usual, a heavier weight).
pub fn verdict_from(motion: &Motion, side: Side, case: &Case<'_>, set: &Parameters) -> Verdict {
    let mut parameters: Parameters = motion.parameters.iter().map(|it| (it.name.clone(), it.usual)).collect();
    parameters
        .extend(set.iter().filter(|(name, _)| parameters_know(motion, name)).map(|(n, v)| (n.clone(), *v)));
    let mut out = Verdict {
        exercise: motion.id.clone(),
        side,
        kind: Kind::Refused,
        reasons: Vec::new(),
        limit: None,
        parameters: parameters.clone(),
        repetition: None,
        waived: Vec::new(),
    };
    let repetition =
        match solve_in(motion, &motion.core, case.body, case.home, side, &parameters, Detail::Full) {
            Ok(repetition) => repetition,
            Err(error) => {
                out.reasons.push(Reason::without_limit(ReasonKind::CannotBeDone(error)));
                return out;
            }
        };
    out.reasons = reasons(motion, &repetition, case);
    out.repetition = Some(Arc::new(repetition));
    if out.reasons.iter().any(|it| !it.kind.is_reducible()) {
        // A position may be waived; the margins must then be known to hold, or stand beside it.
        if out.reasons.iter().all(|it| it.kind.is_waivable()) {
            out.reasons.extend(margin_reasons(motion, side, case, &parameters));
        }
        return out;
    }
    if out.reasons.is_empty() {
        out.reasons = margin_reasons(motion, side, case, &parameters);
    }
    if out.reasons.is_empty() {
        out.kind = Kind::Within;
        return out;
    }
    if let Some(limited) = reduce(motion, side, case, &out) {
        return limited;
    }
    out
}

fn parameters_know(motion: &Motion, name: &str) -> bool {
    motion.parameters.iter().any(|it| it.name == name)
}

/// Searches the largest value of the first parameter that passes no limit under any margin.
fn reduce(motion: &Motion, side: Side, case: &Case<'_>, refused: &Verdict) -> Option<Verdict> {
    // Resistance is turned down by the parameter in kg, motion by the first parameter.
    let by_weight = refused.reasons.iter().all(|it| it.kind == ReasonKind::Resistance);
    let parameter = motion.parameters.iter().find(|it| (it.unit == "kg") == by_weight)?;
    let with = |value: f64| {
        let mut parameters = refused.parameters.clone();
        parameters.insert(parameter.name.clone(), value);
        parameters
    };
    let passes = |value: f64| is_inside(motion, side, case, &with(value));
    let (low, high) = (parameter.low, refused.parameters[&parameter.name]);
    if high <= low || !passes(low) {
        return None;
    }
    let step = match parameter.unit.as_str() {
        "m" => 0.005,
        "kg" => 0.25,
        _ => 1.0,
    };
    // Bisection on the grid of sensible steps; the value found is itself checked.
    let (mut good, mut bad) = (0u32, ((high - low) / step).ceil() as u32);
    while bad - good > 1 {
        let middle = (good + bad) / 2;
        if passes(low + f64::from(middle) * step) { good = middle } else { bad = middle }
    }
    let mut value = low + f64::from(good) * step;
    // Full detail must agree with the coarse search; otherwise step back.
    loop {
        let parameters = with(value);
        let solved =
            solve_in(motion, &motion.core, case.body, case.home, side, &parameters, Detail::Full).ok()?;
        if reasons(motion, &solved, case).is_empty() {
            let binds = first_beyond(motion, side, case, &with((value + step).min(high)))
                .or_else(|| refused.reasons.first().map(|it| it.restriction.clone()))
                .unwrap_or_default();
            let cue = landmark_cue(motion, case.body, side, &solved);
            let mut out = refused.clone();
            out.kind = Kind::Limited;
            out.limit = Some(SolvedLimit {
                parameter: parameter.name.clone(),
                value,
                unit: parameter.unit.clone(),
                binds,
                cue,
            });
            out.parameters = parameters;
            out.repetition = Some(Arc::new(solved));
            return Some(out);
        }
        value -= step;
        if value < low {
            return None;
        }
    }
}

/// Where the moving landmark is at the far end of the motion (the key pose reached last before the return).
fn landmark_cue(motion: &Motion, body: &Body, side: Side, repetition: &Repetition) -> Option<LandmarkCue> {
    let spec = motion.landmark.as_ref()?;
    let far = *repetition.key_samples.last()?;
    let kinematics = handrail_anatomy::Kinematics::of(body, &repetition.samples[far].pose);
    let place = |limb: Limb, point: Landmark| point.place(body, &kinematics, limb.side(side));
    let apart = place(spec.point.limb, spec.point.point) - place(spec.against.limb, spec.against.point);
    let offset = match spec.along {
        Along::Forward => apart.x,
        Along::Up => apart.y,
        Along::Outward => apart.z * side.outward(),
    };
    Some(LandmarkCue { point: spec.point.point, against: spec.against.point, along: spec.along, offset })
}

/// True when neither the motion nor any of its margin variants passes a reducible limit.
fn is_inside(motion: &Motion, side: Side, case: &Case<'_>, parameters: &Parameters) -> bool {
    solve_in(motion, &motion.core, case.body, case.home, side, parameters, Detail::Coarse)
        .is_ok_and(|it| reasons(motion, &it, case).is_empty())
        && margin_reasons(motion, side, case, parameters).is_empty()
}

/// The restriction that the next larger motion passes: of several limits the one that is reached first.
fn first_beyond(motion: &Motion, side: Side, case: &Case<'_>, parameters: &Parameters) -> Option<String> {
    let solved =
        solve_in(motion, &motion.core, case.body, case.home, side, parameters, Detail::Coarse).ok()?;
    let mut found = reasons(motion, &solved, case);
    if found.is_empty() {
        found = margin_reasons(motion, side, case, parameters);
    }
    found.into_iter().next().map(|it| it.restriction)
}

/// Reasons of the variants that the stated margins allow for: furniture, execution and proportions.
fn margin_reasons(motion: &Motion, side: Side, case: &Case<'_>, parameters: &Parameters) -> Vec<Reason> {
    let watched = case
        .envelope
        .in_force
        .iter()
        .any(|it| matches!(it.limit, Limit::Motion { .. } | Limit::Combination(_)));
    if !watched {
        return Vec::new();
    }
    for variant in Variants::new(motion, case, parameters) {
        let solved = solve_in(
            motion,
            &motion.core,
            &variant.body,
            &variant.home,
            side,
            &variant.parameters,
            Detail::Coarse,
        );
        // A variant that cannot be reached cannot be done wrongly either.
        let Ok(solved) = solved else { continue };
        let mut found: Vec<Reason> = case
            .envelope
            .in_force
            .iter()
            .filter(|it| matches!(it.limit, Limit::Motion { .. } | Limit::Combination(_)))
            .flat_map(|it| limit_reasons(motion, &solved, case, it))
            .collect();
        if !found.is_empty() {
            found.iter_mut().for_each(|it| it.kind = ReasonKind::Margin);
            return found;
        }
    }
    Vec::new()
}

struct Variant {
    body: Body,
    home: Home,
    parameters: Parameters,
}

/// All corners of the margins that matter for this motion.
struct Variants;

impl Variants {
    #[allow(clippy::new_ret_no_self)]
    fn new(motion: &Motion, case: &Case<'_>, parameters: &Parameters) -> Vec<Variant> {
        let closed = !motion.core.solve.is_empty();
        let on_furniture = closed
            && (motion.posture.anchor.1 != Surface::Floor
                || motion.core.contacts.iter().any(|it| !matches!(it.on, Some(Surface::Floor) | None)));
        let slip =
            motion.parameters.first().map(|it| (it.name.clone(), it.tolerance)).filter(|it| it.1 > 0.0);
        let furniture: &[f64] = if on_furniture { &[-1.0, 1.0] } else { &[0.0] };
        let proportions: &[f64] = if closed { &[-1.0, 1.0] } else { &[0.0] };
        let slips: &[f64] = if slip.is_some() { &[-1.0, 1.0] } else { &[0.0] };
        let mut out = Vec::new();
        for &f in furniture {
            for &p in proportions {
                for &s in slips {
                    if f == 0.0 && p == 0.0 && s == 0.0 {
                        continue;
                    }
                    let mut changed = parameters.clone();
                    if let Some((name, tolerance)) = &slip {
                        *changed.entry(name.clone()).or_default() += s * tolerance;
                    }
                    out.push(Variant {
                        body: stretched(case.body, p * case.margins.proportions_sd),
                        home: raised(case.home, f * case.margins.furniture),
                        parameters: changed,
                    });
                }
            }
        }
        out
    }
}

/// A longer thigh and upper arm against a shorter shank and forearm (or the reverse), by so many SD.
fn stretched(body: &Body, sd: f64) -> Body {
    if sd == 0.0 {
        return body.clone();
    }
    let mut p = body.proportions;
    p.thigh += sd * Proportions::LEG_SD * 0.5;
    p.shank -= sd * Proportions::LEG_SD * 0.5;
    p.upper_arm += sd * Proportions::ARM_SD * 0.5;
    p.forearm -= sd * Proportions::ARM_SD * 0.5;
    Body::with_proportions(body.person, body.table, p)
}

pub(crate) fn raised(home: &Home, by: f64) -> Home {
    Home {
        seat_height: home.seat_height + by,
        bed_height: home.bed_height + by,
        table_height: home.table_height + by,
        step_height: home.step_height,
    }
}

/// All reasons against this repetition.
pub fn reasons(motion: &Motion, repetition: &Repetition, case: &Case<'_>) -> Vec<Reason> {
    let mut out: Vec<Reason> =
        case.envelope.in_force.iter().flat_map(|it| limit_reasons(motion, repetition, case, it)).collect();
    out.extend(missing_variants(repetition, case.envelope));
    out
}

/// Missing facts block every exercise that moves, tenses or loads a joint that depends on them.
fn missing_variants(repetition: &Repetition, envelope: &Envelope) -> Vec<Reason> {
    let side = envelope.side;
    let loaded = |joint: Joint| {
        let (leg, arm) = (repetition.peak_leg_load(side).0, repetition.peak_arm_load(side).0);
        if joint.is_leg() { leg > LOADED } else { !joint.is_axial() && arm > LOADED }
    };
    envelope
        .blocked
        .iter()
        .filter_map(|blocked| {
            let joint = blocked
                .joints
                .iter()
                .copied()
                .find(|&joint| repetition.drive(side, joint).is_some() || loaded(joint))?;
            let kind = ReasonKind::MissingVariant(blocked.variant.clone());
            let mut reason = Reason::without_limit(kind).at_joint(joint);
            reason.restriction = blocked.variant.clone();
            reason.source = blocked.question.clone();
            Some(reason)
        })
        .collect()
}

/// Reasons that one limit in force gives.
pub(crate) fn limit_reasons(
    motion: &Motion,
    repetition: &Repetition,
    case: &Case<'_>,
    in_force: &InForce,
) -> Vec<Reason> {
    let side = case.envelope.side;
    match &in_force.limit {
        Limit::Motion { motion: clinical, max_deg, drives, loading } => {
            motion_reason(repetition, side, in_force, clinical, *max_deg, drives, *loading)
                .into_iter()
                .collect()
        }
        Limit::LegWeightBearing(allowed) => {
            let (load, sample) = repetition.peak_leg_load(side);
            weight_reason(repetition, case, in_force, *allowed, load, sample).into_iter().collect()
        }
        Limit::ArmWeightBearing(allowed) => {
            let (load, sample) = repetition.peak_arm_load(side);
            weight_reason(repetition, case, in_force, *allowed, load, sample).into_iter().collect()
        }
        Limit::Drive { joint, motions, forbidden } => {
            drive_reason(repetition, side, in_force, *joint, motions, forbidden).into_iter().collect()
        }
        Limit::Muscle { muscles, allowed } => {
            muscle_reasons(motion, repetition, side, in_force, muscles, allowed)
        }
        Limit::Device { device, holds, off_for_exercise, .. } => {
            device_reason(motion, repetition, side, in_force, *device, holds, *off_for_exercise)
                .into_iter()
                .collect()
        }
        Limit::Position(position) => {
            let taken = positions(motion, repetition.side, side);
            let hit = taken.contains(position);
            hit.then(|| Reason::new(ReasonKind::Position(*position), in_force)).into_iter().collect()
        }
        Limit::Combination(edges) => {
            combination_reason(repetition, side, in_force, edges).into_iter().collect()
        }
        Limit::Resistance { joint, motions, max_kg } => {
            resistance_reason(motion, repetition, case, in_force, *joint, motions, *max_kg)
                .into_iter()
                .collect()
        }
        Limit::Impact => {
            motion.impact.then(|| Reason::new(ReasonKind::Impact, in_force)).into_iter().collect()
        }
        Limit::Activity(name) => motion
            .activities
            .iter()
            .filter(|it| *it == name)
            .map(|it| Reason::new(ReasonKind::Activity(it.clone()), in_force))
            .collect(),
        Limit::TissueLoad { tissue, max, .. } => {
            tissue_reason(motion, repetition, case, in_force, *tissue, Some(*max)).into_iter().collect()
        }
        // The sum over a week is the program's; but what cannot be summed refuses the exercise.
        Limit::Exposure { tissue, .. } => {
            tissue_reason(motion, repetition, case, in_force, *tissue, None).into_iter().collect()
        }
    }
}

/// True when a load's upper bound passes a ceiling by more than rounding.
pub(crate) fn is_over(load: &TissueLoad, max: f64) -> bool {
    load.peak.high > max + EPSILON_LOAD
}

/// The upper bound of the load on the operated side's tissue against its ceiling; a load that cannot be
/// stated refuses.
fn tissue_reason(
    motion: &Motion,
    repetition: &Repetition,
    case: &Case<'_>,
    in_force: &InForce,
    tissue: Tissue,
    max: Option<f64>,
) -> Option<Reason> {
    let joint = tissue.joints()[0];
    match tissue_load(motion, case.body, repetition, tissue, case.envelope.side) {
        Load::Known(load) => {
            let max = max.filter(|it| is_over(&load, *it))?;
            let reason = Reason::new(ReasonKind::TissueLoad(tissue), in_force).at_joint(joint);
            Some(reason.compared(max, load.peak.high, tissue.unit().id(), load.at.unwrap_or(0.0)))
        }
        Load::Order { .. } => {
            let kind = ReasonKind::TissueLoadNotKnown(tissue, NotKnown::NotPublished);
            Some(Reason::new(kind, in_force).at_joint(joint))
        }
        Load::NotKnown(why) => {
            let kind = ReasonKind::TissueLoadNotKnown(tissue, why);
            Some(Reason::new(kind, in_force).at_joint(joint))
        }
    }
}

/// Load through the limb of a joint, body weights, and whether resistance acts on it.
fn is_loaded(repetition: &Repetition, side: Side, joint: Joint) -> bool {
    let resisted = repetition.drive(side, joint) == Some(Drive::Resisted);
    let load =
        if joint.is_leg() { repetition.peak_leg_load(side).0 } else { repetition.peak_arm_load(side).0 };
    resisted || (!joint.is_axial() && load > LOADED)
}

fn motion_reason(
    repetition: &Repetition,
    side: Side,
    in_force: &InForce,
    clinical: &ClinicalMotion,
    max_deg: f64,
    drives: &[Drive],
    loading: Loading,
) -> Option<Reason> {
    // A joint that rests in a pose is covered whatever the restriction's ways of moving are.
    if let Some(drive) = repetition.drive(side, clinical.joint)
        && !drives.is_empty()
        && !drives.contains(&drive)
        && drive != Drive::Isometric
    {
        return None;
    }
    let loaded = is_loaded(repetition, side, clinical.joint);
    if loading == Loading::Loaded && !loaded || loading == Loading::Unloaded && loaded {
        return None;
    }
    let extreme = repetition.extreme(clinical, side);
    (extreme.deg > max_deg + EPSILON_DEG).then(|| {
        Reason::new(ReasonKind::Motion, in_force).of(clinical).compared(
            max_deg,
            extreme.deg,
            "deg",
            extreme.at,
        )
    })
}

fn weight_reason(
    repetition: &Repetition,
    case: &Case<'_>,
    in_force: &InForce,
    allowed: WeightBearing,
    load: f64,
    sample: usize,
) -> Option<Reason> {
    let kg = load * case.body.mass();
    let (limit, computed, unit) = match allowed {
        WeightBearing::None => (0.0, kg, "kg"),
        WeightBearing::Kilograms(max) => (max, kg, "kg"),
        WeightBearing::PercentBodyWeight(max) => (max, load * 100.0, "%BW"),
        WeightBearing::AsTolerated | WeightBearing::Full => return None,
    };
    let epsilon = if unit == "kg" { EPSILON_LOAD * case.body.mass() } else { EPSILON_LOAD * 100.0 };
    (computed > limit + epsilon).then(|| {
        let at = repetition.samples[sample].time;
        Reason::new(ReasonKind::WeightBearing, in_force).compared(limit, computed, unit, at)
    })
}

/// Range of a clinical motion over the repetition, degrees.
fn runs_through(repetition: &Repetition, side: Side, motion: &ClinicalMotion) -> f64 {
    let reversed = ClinicalMotion { sign: -motion.sign, ..*motion };
    match motion.measure {
        Measure::ShoulderElevation => {
            let values = repetition.samples.iter().map(|it| motion.read(&it.pose, side));
            let (low, high) = values
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| (low.min(it), high.max(it)));
            high - low
        }
        _ => repetition.extreme(motion, side).deg + repetition.extreme(&reversed, side).deg,
    }
}

fn drive_reason(
    repetition: &Repetition,
    side: Side,
    in_force: &InForce,
    joint: Joint,
    motions: &[ClinicalMotion],
    forbidden: &[Drive],
) -> Option<Reason> {
    let drive = repetition.drive(side, joint)?;
    if !forbidden.contains(&drive) {
        return None;
    }
    let concerned = motions.is_empty()
        || drive == Drive::Isometric
        || motions.iter().any(|it| runs_through(repetition, side, it) > MOVES_DEG);
    concerned.then(|| {
        let mut reason = Reason::new(ReasonKind::Drive(drive), in_force).at_joint(joint);
        reason.motion = motions.first().map(|it| it.motion);
        reason
    })
}

fn muscle_reasons(
    motion: &Motion,
    repetition: &Repetition,
    side: Side,
    in_force: &InForce,
    muscles: &[Muscle],
    allowed: &[Drive],
) -> Vec<Reason> {
    if repetition.side != side {
        return undescribed_muscles(repetition, side, in_force, muscles, allowed);
    }
    let mut out = Vec::new();
    for &(muscle, _) in &motion.muscles {
        if !muscles.contains(&muscle) {
            continue;
        }
        let drive = muscle
            .actions()
            .iter()
            .filter_map(|(joint, _)| repetition.drive(side, *joint))
            .max()
            .unwrap_or(motion.drive);
        if drive != Drive::Passive && !allowed.contains(&drive) {
            let mut reason = Reason::new(ReasonKind::Muscle(muscle), in_force);
            reason.joint = muscle.actions().first().map(|it| it.0);
            out.push(reason);
        }
    }
    out
}

/// The exercise is worked by the other side; it does not describe what the operated side's muscles do.
/// Where a joint they act on is driven or loaded, that is a gap, and a gap refuses.
fn undescribed_muscles(
    repetition: &Repetition,
    side: Side,
    in_force: &InForce,
    muscles: &[Muscle],
    allowed: &[Drive],
) -> Vec<Reason> {
    let works = |joint: Joint| {
        let driven =
            repetition.drive(side, joint).is_some_and(|it| it != Drive::Passive && !allowed.contains(&it));
        driven || is_loaded(repetition, side, joint)
    };
    muscles
        .iter()
        .filter_map(|muscle| {
            let joint = muscle.actions().iter().map(|it| it.0).find(|&it| works(it))?;
            let missing = format!("effort of {} on the operated side", muscle.id());
            Some(Reason::new(ReasonKind::NotDescribed(missing), in_force).at_joint(joint))
        })
        .take(1)
        .collect()
}

fn device_reason(
    motion: &Motion,
    repetition: &Repetition,
    side: Side,
    in_force: &InForce,
    device: Device,
    holds: &[(ClinicalMotion, f64)],
    off_for_exercise: bool,
) -> Option<Reason> {
    if off_for_exercise {
        return None;
    }
    let needs_off = motion.device_off.contains(&device) && repetition.side == side;
    let held_moves = holds.iter().find(|(it, _)| runs_through(repetition, side, it) > MOVES_DEG);
    let still = device.immobilises().filter(|&joint| joint_moves(repetition, side, joint));
    (needs_off || held_moves.is_some() || still.is_some()).then(|| {
        let mut reason = Reason::new(ReasonKind::Device(device), in_force);
        reason.joint = held_moves.or(holds.first()).map(|(it, _)| it.joint).or(device.immobilises());
        reason
    })
}

/// True when the joint moves in any of its motions.
fn joint_moves(repetition: &Repetition, side: Side, joint: Joint) -> bool {
    clinical_motions().iter().any(|it| it.joint == joint && runs_through(repetition, side, it) > MOVES_DEG)
}

/// Positions in terms of the operated side.
fn positions(motion: &Motion, working: Side, operated: Side) -> Vec<Position> {
    motion
        .positions
        .iter()
        .map(|&it| {
            if working == operated {
                return it;
            }
            match it {
                Position::SideLyingOperatedUp => Position::SideLyingOperatedDown,
                Position::SideLyingOperatedDown => Position::SideLyingOperatedUp,
                Position::SingleLegStanceOperated => Position::SingleLegStanceOther,
                Position::SingleLegStanceOther => Position::SingleLegStanceOperated,
                other => other,
            }
        })
        .collect()
}

fn combination_reason(
    repetition: &Repetition,
    side: Side,
    in_force: &InForce,
    edges: &[Beyond],
) -> Option<Reason> {
    let first = edges.first()?;
    let sample = repetition.samples.iter().find(|sample| {
        edges.iter().all(|edge| edge.motion.read(&sample.pose, side) > edge.deg + EPSILON_DEG)
    })?;
    let computed = first.motion.read(&sample.pose, side);
    let reason = Reason::new(ReasonKind::Combination, in_force).of(&first.motion);
    Some(reason.compared(first.deg, computed, "deg", sample.time))
}

fn resistance_reason(
    motion: &Motion,
    repetition: &Repetition,
    case: &Case<'_>,
    in_force: &InForce,
    joint: Joint,
    motions: &[ClinicalMotion],
    max_kg: f64,
) -> Option<Reason> {
    let side = case.envelope.side;
    if repetition.drive(side, joint) != Some(Drive::Resisted) {
        return None;
    }
    let concerned = motions.is_empty()
        || motion.muscles.iter().filter(|it| it.1 == Role::Prime).any(|(muscle, _)| {
            muscle
                .actions()
                .iter()
                .any(|(it, name)| motions.iter().any(|m| m.joint == *it && m.motion == *name))
        });
    if !concerned {
        return None;
    }
    let load =
        if joint.is_leg() { repetition.peak_leg_load(side).0 } else { repetition.peak_arm_load(side).0 };
    let kg = if repetition.body_weight {
        load * case.body.mass()
    } else {
        repetition.resistance_kg.unwrap_or(f64::INFINITY)
    };
    (kg > max_kg + 1e-9).then(|| {
        Reason::new(ReasonKind::Resistance, in_force).at_joint(joint).compared(max_kg, kg, "kg", 0.0)
    })
}

/// Verdicts on many exercises.
pub fn verdicts<'a>(
    motions: impl IntoIterator<Item = &'a Motion>,
    side: Side,
    case: &Case<'_>,
) -> BTreeMap<String, Verdict> {
    motions.into_iter().map(|it| (it.id.clone(), verdict(it, side, case))).collect()
}
