//! Everything that is computed for an episode on one day: limits, verdicts, doses, session. Every output
//! (command line, paper, page) reads this one value, so no two outputs can disagree.

use std::collections::BTreeMap;
use std::sync::Arc;

use handrail_anatomy::{Body, BodyError, Tissue};
use handrail_motion::{Home, Motion, Posture};
use handrail_program::dose::OverCeiling;
use handrail_program::moves::Over;
use handrail_program::order::OrderError;
use handrail_program::robustness::{EXECUTIONS, Robustness, SEED, robustness};
use handrail_program::session::{Session, session};
use handrail_program::{
    Amount, Candidate, Case, Checked, Dose, Ladder, Margins, Verdict, ladder, verdict, verdict_from,
};
use handrail_protocol::limits::ExposureOf;
use handrail_protocol::{Envelope, EnvelopeError, Limit, Phase, Protocol, envelope};
use jiff::civil::Date;

use crate::exposures::planned_week;
use crate::fold::{Episode, Prescription, Program, WaiverFact};

/// A prescribed exercise with what was found about it.
#[derive(Clone, Debug)]
pub struct Line {
    /// As prescribed.
    pub prescription: Prescription,
    /// Exercise.
    pub motion: Arc<Motion>,
    /// Verdict.
    pub verdict: Verdict,
    /// Dose.
    pub dose: Dose,
    /// In what the dose passes the phase's ceiling.
    pub over: Vec<OverCeiling>,
    /// Equipment that is not at home; empty when nobody asked what there is.
    pub missing_equipment: Vec<String>,
}

/// An episode on a day.
#[derive(Clone, Debug)]
pub struct Plan<'a> {
    /// Episode.
    pub episode: &'a Episode,
    /// Protocol.
    pub protocol: &'a Protocol,
    /// Limits of the day.
    pub envelope: Envelope,
    /// Body.
    pub body: Body,
    /// Home.
    pub home: Home,
    /// Program in force.
    pub program: Option<Program>,
    /// Its exercises in the order prescribed.
    pub lines: Vec<Line>,
}

/// A ceiling on a week that the program passes.
#[derive(Clone, Debug, PartialEq)]
pub struct OverExposure {
    /// Tissue.
    pub tissue: Tissue,
    /// What is summed.
    pub of: ExposureOf,
    /// Upper bound of the sum; `None` where something in it is not known.
    pub sum: Option<f64>,
    /// Ceiling.
    pub ceiling: f64,
    /// Restriction or order.
    pub restriction: String,
}

/// Why there is no plan or no session.
#[derive(Clone, Debug)]
pub enum PlanError {
    /// No envelope on this day.
    Envelope(EnvelopeError),
    /// The body cannot be built.
    Body(BodyError),
    /// No program was issued on or before the day.
    NoProgram(Date),
    /// The program's last valid day is past; a sheet that is out of date is not handed out again.
    Expired(Date),
    /// Prescribed exercises are refused; nothing is handed out.
    Refused(Vec<String>),
    /// The dose passes the phase's ceiling.
    OverCeiling(Vec<(String, OverCeiling)>),
    /// The surgeon's visit has passed and nothing was recorded of it.
    VisitPassed(Date),
    /// The week of the program passes a ceiling on a tissue's exposure.
    Exposure(Vec<OverExposure>),
    /// A move between exercises would pass a limit.
    Move(Vec<String>),
    /// The session cannot be put in order.
    Order(OrderError),
}

impl std::fmt::Display for PlanError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            PlanError::Envelope(error) => error.fmt(f),
            PlanError::Body(error) => write!(f, "body: {error}"),
            PlanError::NoProgram(on) => write!(f, "no program was issued on or before {on}"),
            PlanError::Expired(until) => {
                write!(
                    f,
                    "the program was valid until {until}; issue a new version after looking at the limits"
                )
            }
            PlanError::Refused(names) => {
                write!(f, "refused today, so nothing is handed out: {}", names.join(", "))
            }
            PlanError::OverCeiling(list) => {
                write!(f, "more than the phase's ceiling: ")?;
                for (index, (name, over)) in list.iter().enumerate() {
                    let comma = if index > 0 { "; " } else { "" };
                    write!(f, "{comma}{name}: {} {} (ceiling {})", over.what, over.asked, over.ceiling)?;
                }
                Ok(())
            }
            PlanError::VisitPassed(visit) => {
                write!(f, "the surgeon's visit of {visit} has passed; a sheet made before it is out of date")
            }
            PlanError::Exposure(list) => {
                write!(f, "a ceiling on a week's load is passed, or the week's load is not known: ")?;
                for (index, it) in list.iter().enumerate() {
                    let comma = if index > 0 { "; " } else { "" };
                    let (tissue, unit) = (it.tissue.id(), it.of.unit(it.tissue));
                    match it.sum {
                        // Rounded up, so that a sum just over its ceiling does not look like it.
                        Some(sum) => {
                            write!(f, "{comma}{tissue} up to {} {unit}", (sum * 10.0).ceil() / 10.0)?
                        }
                        None => write!(f, "{comma}{tissue}, sum not known")?,
                    }
                    write!(f, " (at most {} {unit} a week, {})", it.ceiling, it.restriction)?;
                }
                write!(f, ". Give fewer sets, repetitions or days, or an exercise lower on the load ladder")
            }
            PlanError::Move(list) => {
                write!(f, "a move between exercises passes a limit: {}", list.join("; "))
            }
            PlanError::Order(error) => error.fmt(f),
        }
    }
}

impl std::error::Error for PlanError {}

/// Computes the plan of a day.
///
/// # Errors
/// A day before the surgery, orders that do not fit the protocol, an impossible body.
pub fn plan<'a>(
    episode: &'a Episode,
    protocol: &'a Protocol,
    exercises: &BTreeMap<String, Arc<Motion>>,
    on: Date,
) -> Result<Plan<'a>, PlanError> {
    let envelope = envelope(protocol, &episode.orders, on).map_err(PlanError::Envelope)?;
    let body = Body::new(episode.person, episode.table).map_err(PlanError::Body)?;
    let home = episode.home.home(episode.person.stature);
    let program = episode.program_on(on).cloned();
    let mut out = Plan { episode, protocol, envelope, body, home, program, lines: Vec::new() };
    let prescriptions = out.program.as_ref().map(|it| it.exercises.clone()).unwrap_or_default();
    out.lines = prescriptions
        .into_iter()
        .filter_map(|it| exercises.get(&it.exercise).cloned().map(|motion| out.line(it, motion)))
        .collect();
    Ok(out)
}

impl Plan<'_> {
    /// Day.
    pub fn on(&self) -> Date {
        self.envelope.on
    }

    /// Present phase of the protocol.
    pub fn phase(&self) -> &Phase {
        &self.protocol.phases[self.envelope.phase.index]
    }

    /// Case for verdicts.
    pub fn case(&self) -> Case<'_> {
        Case { body: &self.body, home: &self.home, envelope: &self.envelope, margins: Margins::STATED }
    }

    /// Last day on which what is made today is valid.
    pub fn valid_until(&self) -> Date {
        self.episode.valid_until(self.on(), self.program.as_ref().and_then(|it| it.valid_until))
    }

    fn line(&self, prescription: Prescription, motion: Arc<Motion>) -> Line {
        let verdict = verdict_from(&motion, prescription.side, &self.case(), &prescription.parameters);
        let verdict = self.waived(&prescription, verdict);
        let dose = self.dose(&prescription, &motion);
        let over = dose.over(self.phase());
        let missing_equipment = self.missing_equipment(&motion);
        Line { prescription, motion, verdict, dose, over, missing_equipment }
    }

    /// Applies the overrides on record; those that may not be waived stay refused.
    fn waived(&self, prescription: &Prescription, verdict: Verdict) -> Verdict {
        let on_record = |it: &&WaiverFact| {
            it.exercise == prescription.exercise
                && it.on <= self.on()
                && verdict.reasons.iter().all(|reason| reason.restriction == it.restriction)
        };
        let Some(waiver) = self.episode.waivers.iter().find(on_record) else {
            return verdict;
        };
        match verdict.into_checked() {
            Ok(checked) => checked.verdict().clone(),
            Err(refusal) => {
                let original = refusal.verdict().clone();
                let by_margin = refusal.clone().accept_margin(&waiver.by, &waiver.reason);
                by_margin
                    .or_else(|it| it.override_position(&waiver.by, &waiver.reason))
                    .map_or(original, |it| it.verdict().clone())
            }
        }
    }

    fn dose(&self, prescription: &Prescription, motion: &Motion) -> Dose {
        let mut dose = Dose::usual(motion, self.phase());
        if let Some(program) = &self.program {
            dose.times_a_day = program.times_a_day.unwrap_or(dose.times_a_day);
            dose.days_a_week = program.days_a_week.unwrap_or(dose.days_a_week);
        }
        dose.sets = prescription.sets.unwrap_or(dose.sets);
        dose.rest = prescription.rest.unwrap_or(dose.rest);
        if let Some(reps) = prescription.reps {
            dose.amount = Amount::Reps(reps);
        }
        if let Some(seconds) = prescription.seconds {
            dose.amount = Amount::Seconds(seconds);
        }
        dose
    }

    /// Equipment that an exercise needs and that is not at home.
    pub fn missing_equipment(&self, motion: &Motion) -> Vec<String> {
        let Some(at_home) = &self.episode.home.equipment else { return Vec::new() };
        motion.equipment.iter().filter(|it| !at_home.contains(*it)).cloned().collect()
    }

    /// Exercises of the program that are refused today.
    pub fn refused(&self) -> Vec<&Line> {
        self.lines.iter().filter(|it| it.verdict.kind == handrail_program::Kind::Refused).collect()
    }

    /// The session of the program.
    ///
    /// # Errors
    /// No program, an expired one, a refused exercise, a dose over its ceiling, a move past a limit.
    pub fn session(&self, postures: &BTreeMap<String, Posture>) -> Result<Session, PlanError> {
        let Some(program) = &self.program else { return Err(PlanError::NoProgram(self.on())) };
        if let Some(until) = program.valid_until.filter(|it| *it < self.on()) {
            return Err(PlanError::Expired(until));
        }
        if let Some(visit) = self.episode.operation.next_visit.filter(|it| *it < self.on()) {
            return Err(PlanError::VisitPassed(visit));
        }
        let (asked, ceiling) = (self.lines.len() as u32, self.phase().ceiling.max_exercises);
        if asked > ceiling {
            let over = OverCeiling { what: "exercises", asked, ceiling };
            return Err(PlanError::OverCeiling(vec![("program".into(), over)]));
        }
        let over: Vec<(String, OverCeiling)> = self
            .lines
            .iter()
            .flat_map(|line| line.over.iter().map(|it| (line.motion.id.clone(), it.clone())))
            .collect();
        if !over.is_empty() {
            return Err(PlanError::OverCeiling(over));
        }
        let mut chosen = Vec::new();
        let mut refused = Vec::new();
        for line in &self.lines {
            match line.verdict.clone().into_checked() {
                Ok(checked) => chosen.push((line.motion.clone(), checked, line.dose)),
                Err(_) => refused.push(line.motion.id.clone()),
            }
        }
        if !refused.is_empty() {
            return Err(PlanError::Refused(refused));
        }
        let over = self.over_exposure();
        if !over.is_empty() {
            return Err(PlanError::Exposure(over));
        }
        self.session_of(chosen, postures)
    }

    /// Ceilings on a week's exposure that the program passes, or whose sum is not known.
    pub fn over_exposure(&self) -> Vec<OverExposure> {
        let ceilings = self.envelope.in_force.iter().filter_map(|it| match it.limit {
            Limit::Exposure { tissue, per_week, of } => Some((it.id.clone(), tissue, per_week, of)),
            _ => None,
        });
        ceilings
            .filter_map(|(restriction, tissue, ceiling, of)| {
                let sum = planned_week(self, tissue).upper(of);
                let over = sum.is_none_or(|it| it > ceiling + 1e-9);
                over.then_some(OverExposure { tissue, of, sum, ceiling, restriction })
            })
            .collect()
    }

    /// How sure an allowed exercise of the program keeps its limits, by simulated executions.
    pub fn robustness(&self, line: &Line) -> Robustness {
        let (motion, side) = (&line.motion, line.prescription.side);
        robustness(motion, side, &self.case(), &line.verdict.parameters, EXECUTIONS, SEED)
    }

    /// Tissues whose load is shown: those that the protocol protects and those under a ceiling.
    pub fn protected_tissues(&self) -> Vec<Tissue> {
        let mut out = self.protocol.protects.clone();
        for it in &self.envelope.in_force {
            if let Limit::TissueLoad { tissue, .. } | Limit::Exposure { tissue, .. } = it.limit
                && !out.contains(&tissue)
            {
                out.push(tissue);
            }
        }
        out
    }

    /// The load ladder of a tissue today.
    pub fn ladder(&self, exercises: &BTreeMap<String, Arc<Motion>>, tissue: Tissue) -> Ladder {
        let program = self.lines.iter().map(|it| it.motion.id.clone()).collect();
        ladder(exercises.values(), tissue, &self.case(), &program)
    }

    /// A session of chosen, checked exercises.
    ///
    /// # Errors
    /// A move past a limit, or more exercises than can be ordered.
    pub fn session_of(
        &self,
        chosen: Vec<(Arc<Motion>, Checked, Dose)>,
        postures: &BTreeMap<String, Posture>,
    ) -> Result<Session, PlanError> {
        let session = session(chosen, &self.case(), postures).map_err(PlanError::Order)?;
        if session.moves_over.is_empty() {
            return Ok(session);
        }
        let list = session
            .moves_over
            .iter()
            .map(|it| {
                let what = match &it.what {
                    Over::Angle { joint, motion, limit, computed } => {
                        format!("{} {motion} reaches {computed:.0} of {limit:.0} degrees", joint.id())
                    }
                    Over::Combination => "a forbidden combination of motions".into(),
                    Over::Position(position) => format!("the position {position:?} is not allowed"),
                    Over::NotChecked => "this body cannot rest there with this furniture; not checked".into(),
                };
                format!("{:?}: {what} ({})", it.kind, it.restriction)
            })
            .collect();
        Err(PlanError::Move(list))
    }

    /// All exercises of the library that are allowed today and can be done with what is at home.
    pub fn candidates(&self, exercises: &BTreeMap<String, Arc<Motion>>) -> Vec<Candidate> {
        exercises
            .values()
            .filter(|motion| self.missing_equipment(motion).is_empty())
            .filter_map(|motion| {
                let checked =
                    verdict(motion, self.episode.operation.side, &self.case()).into_checked().ok()?;
                Some(Candidate { motion: motion.clone(), checked, dose: Dose::usual(motion, self.phase()) })
            })
            .collect()
    }
}
