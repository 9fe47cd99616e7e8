//! Home programs that are really asked for: the exercises go through the verdict of the day, the choice is the exact
//! one of the room `program`, and the session is put in order and checked before anything is issued.

use std::collections::BTreeMap;
use std::sync::Arc;

use fastrand::Rng;
use handrail_episode::{Episode, Plan, Prescription, Program, plan};
use handrail_library::Library;
use handrail_motion::Motion;
use handrail_program::{Amount, Candidate, Checked, Dose, Proposal, Wish, propose, verdict};
use handrail_protocol::{Limit, Protocol};
use jiff::civil::Date;

/// Exercises that are looked at for one program; more would take longer and look the same.
const MOST_LOOKED_AT: usize = 11;
/// Exercises that must be allowed before the looking stops.
const ENOUGH: usize = 6;

/// What decides about an exercise besides the body and the home, which stay the same in one episode.
#[derive(Clone, Debug, PartialEq)]
struct Question {
    phase: usize,
    limits: Vec<(String, Limit)>,
    open: Vec<String>,
}

impl Question {
    fn of(plan: &Plan<'_>) -> Question {
        Question {
            phase: plan.envelope.phase.index,
            limits: plan.envelope.in_force.iter().map(|it| (it.id.clone(), it.limit.clone())).collect(),
            open: plan.envelope.blocked.iter().map(|it| it.variant.clone()).collect(),
        }
    }
}

/// A program for a question, and what its sessions take.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Chosen {
    /// Exercises with their dose.
    pub exercises: Vec<Prescription>,
    /// Sets and repetitions of a set of each.
    pub amounts: Vec<(String, u32, u32)>,
    /// Sessions a day.
    pub times_a_day: u32,
    /// Days a week.
    pub days_a_week: u32,
}

/// Plans for one episode; what was asked once is remembered.
pub(crate) struct Planner<'a> {
    library: &'a Library,
    protocol: &'a Protocol,
    asked: Vec<(Question, Option<Chosen>)>,
}

impl<'a> Planner<'a> {
    pub fn new(library: &'a Library, protocol: &'a Protocol) -> Planner<'a> {
        Planner { library, protocol, asked: Vec::new() }
    }

    /// A program for the episode on a day; `None` when nothing may be done, or no session holds.
    pub fn program(&mut self, episode: &Episode, on: Date, rng: &mut Rng) -> Option<Chosen> {
        let plan = plan(episode, self.protocol, &self.library.exercises, on).ok()?;
        let question = Question::of(&plan);
        if let Some((_, known)) = self.asked.iter().find(|(it, _)| *it == question) {
            return known.clone();
        }
        let chosen = self.choose(&plan, rng);
        self.asked.push((question, chosen.clone()));
        chosen
    }

    fn choose(&self, plan: &Plan<'_>, rng: &mut Rng) -> Option<Chosen> {
        let candidates = self.candidates(plan, rng);
        let most = (plan.phase().ceiling.max_exercises as usize).min(rng.usize(3..=5));
        let wish = Wish::new([12.0, 15.0, 20.0][rng.usize(0..3)], most);
        let proposed = propose(&candidates, plan.phase(), &plan.case(), &self.library.postures, &wish).ok();
        let chosen = Chosen::of(&proposed?)?;
        self.holds(plan, &chosen).then_some(chosen)
    }

    /// Exercises to choose from, each allowed today: those that the phase names, then others that train its goals.
    fn candidates(&self, plan: &Plan<'_>, rng: &mut Rng) -> Vec<Candidate> {
        let phase = plan.phase();
        let at_home = |motion: &&Arc<Motion>| plan.missing_equipment(motion).is_empty();
        let exercises = &self.library.exercises;
        let named: Vec<&Arc<Motion>> = phase.exercises.iter().filter_map(|it| exercises.get(it)).collect();
        let mut others: Vec<&Arc<Motion>> = exercises.values().filter(|it| trains(it, phase)).collect();
        others.retain(|it| !phase.exercises.contains(&it.id));
        rng.shuffle(&mut others);
        let mut found: Vec<Candidate> = Vec::new();
        let all = named.into_iter().chain(others).filter(at_home);
        for (looked_at, motion) in all.enumerate() {
            if looked_at >= MOST_LOOKED_AT && found.len() >= ENOUGH {
                break;
            }
            let checked = verdict(motion, plan.episode.operation.side, &plan.case()).into_checked();
            if let Ok(checked) = checked {
                found.push(candidate(motion, checked, plan));
            }
        }
        found
    }

    /// Asks for the whole session, as the sheet would.
    fn holds(&self, plan: &Plan<'_>, chosen: &Chosen) -> bool {
        let mut episode = plan.episode.clone();
        let version = episode.programs.iter().map(|it| it.version).max().unwrap_or(0) + 1;
        episode.programs.push(chosen.program(version, plan.on(), "", None));
        let again = handrail_episode::plan(&episode, self.protocol, &self.library.exercises, plan.on());
        again.is_ok_and(|it| it.session(&self.library.postures).is_ok())
    }
}

fn trains(motion: &Motion, phase: &handrail_protocol::Phase) -> bool {
    phase.goals.iter().any(|goal| motion.trains.iter().any(|it| it == goal.id()))
}

fn candidate(motion: &Arc<Motion>, checked: Checked, plan: &Plan<'_>) -> Candidate {
    Candidate { motion: motion.clone(), checked, dose: Dose::usual(motion, plan.phase()) }
}

impl Chosen {
    fn of(proposal: &Proposal) -> Option<Chosen> {
        let items = &proposal.session.items;
        let first = items.first()?;
        let prescription = |it: &handrail_program::session::Item| Prescription {
            exercise: it.motion.id.clone(),
            side: it.checked.verdict().side,
            sets: Some(it.dose.sets),
            reps: match it.dose.amount {
                Amount::Reps(reps) => Some(reps),
                Amount::Seconds(_) => None,
            },
            seconds: match it.dose.amount {
                Amount::Reps(_) => None,
                Amount::Seconds(seconds) => Some(seconds),
            },
            rest: None,
            parameters: BTreeMap::new(),
        };
        // Seconds of work count as one repetition a set in a diary.
        let reps = |it: &handrail_program::session::Item| match it.dose.amount {
            Amount::Reps(reps) => reps,
            Amount::Seconds(_) => 1,
        };
        Some(Chosen {
            exercises: items.iter().map(prescription).collect(),
            amounts: items.iter().map(|it| (it.motion.id.clone(), it.dose.sets, reps(it))).collect(),
            times_a_day: first.dose.times_a_day,
            days_a_week: first.dose.days_a_week,
        })
    }

    /// The program that a plan checks, with the doses it gives.
    pub fn of_plan(plan: &Plan<'_>) -> Chosen {
        let reps = |dose: &Dose| match dose.amount {
            Amount::Reps(reps) => reps,
            Amount::Seconds(_) => 1,
        };
        let usual = &plan.phase().dosage;
        let dose = plan.lines.first().map(|it| it.dose);
        Chosen {
            exercises: plan.lines.iter().map(|it| it.prescription.clone()).collect(),
            amounts: plan
                .lines
                .iter()
                .map(|it| (it.motion.id.clone(), it.dose.sets, reps(&it.dose)))
                .collect(),
            times_a_day: dose.map_or(usual.times_a_day, |it| it.times_a_day),
            days_a_week: dose.map_or(usual.days_a_week, |it| it.days_a_week),
        }
    }

    /// The program version that is issued.
    pub fn program(&self, version: u32, on: Date, by: &str, valid_until: Option<Date>) -> Program {
        Program {
            version,
            issued: on,
            by: by.into(),
            signed_by: (!by.is_empty()).then(|| by.into()),
            valid_until,
            times_a_day: Some(self.times_a_day),
            days_a_week: Some(self.days_a_week),
            exercises: self.exercises.clone(),
        }
    }
}
