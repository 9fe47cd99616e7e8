//! Proposing a program: the phase's goals, the patient's minutes, places and equipment, and the ceilings, put
//! to the exact choice ([`crate::choice`]), and the chosen exercises put in the order of a session.
//!
//! Settings of this program, each of which the therapist sees in the reasons: a goal is met in full by one
//! exercise in the phase's default dose all week; an exercise that the phase names is worth a fifth of a goal
//! more; a second of getting from place to place costs a two-hundredth of a goal.

use std::collections::BTreeMap;
use std::sync::Arc;

use handrail_anatomy::{Body, Side, Tissue};
use handrail_motion::load::tissue_load;
use handrail_motion::{Motion, Posture};
use handrail_protocol::limits::ExposureOf;
use handrail_protocol::{Limit, Phase};

use crate::choice::{self, Choice, ChoiceError, DoseOption, Problem, Target, USUAL_RETURNS, choose};
use crate::dose::Dose;
use crate::exposure::Exposure;
use crate::moves::{MoveRules, MoveStep, Place, moves};
use crate::order::OrderError;
use crate::session::{Session, end_of, place_of, session, start_place};
use crate::verdict::{Case, Checked};

/// Bonus for an exercise that the phase names (set by this program).
const NAMED_BONUS: f64 = 0.2;
/// Value lost for each second of moves: half a minute of getting up and over is worth about a seventh of a goal
/// (set by this program). The order of the session then also weighs how dangerous a move is.
const MOVE_CHARGE: f64 = 0.005;
/// Seconds that stand for a move which passes a limit: no program is worth it.
const FORBIDDEN: f64 = 1e6;
/// Most rounds of choosing around moves that turn out to pass a limit.
const MOST_ROUNDS: usize = 40;
/// Most numbers of exercises for which a share is computed.
const LONGEST: usize = choice::MOST_EXERCISES;

/// Share of a program that is expected to be done, by number of exercises: 86 % with two or fewer, 54 % with
/// four or more (Eckard 2015, known: secondary), linear between; beyond four it falls on by 4 points each
/// (own extension).
pub fn expected_share(exercises: usize) -> f64 {
    match exercises {
        0..=2 => 0.86,
        3 => 0.70,
        n => (0.54 - 0.04 * (n as f64 - 4.0)).max(0.2),
    }
}

/// An allowed exercise with its usual dose.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Exercise.
    pub motion: Arc<Motion>,
    /// Checked.
    pub checked: Checked,
    /// Dose.
    pub dose: Dose,
}

impl Candidate {
    /// Seconds in one session with so many sets: sets, rests between them.
    pub fn seconds(&self, sets: u32) -> f64 {
        let sets = f64::from(sets);
        sets * self.dose.set_seconds(self.checked.repetition()) + (sets - 1.0).max(0.0) * self.dose.rest
    }
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Wish {
    /// Minutes of one session.
    pub minutes: f64,
    /// Most exercises.
    pub most: usize,
    /// `share[n]`: share expected to be done of n exercises; entry 0 is not read. A setting of the clinic.
    pub share: Vec<f64>,
    /// Exercises that must be in.
    pub keep: Vec<String>,
    /// Exercises that must not be in.
    pub without: Vec<String>,
}

impl Wish {
    /// So many minutes and exercises, with the published share.
    pub fn new(minutes: f64, most: usize) -> Wish {
        let share = (0..=LONGEST).map(expected_share).collect();
        Wish { minutes, most: most.min(LONGEST), share, keep: Vec::new(), without: Vec::new() }
    }
}

/// A limit of the program that binds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Bound {
    /// Minutes of a session.
    Minutes,
    /// Number of exercises.
    Number,
    /// A ceiling on a week's exposure, by its restriction.
    Ceiling(String),
}

/// What a chosen exercise does for a goal.
#[derive(Clone, Debug, PartialEq)]
pub struct Serves {
    /// Goal.
    pub goal: String,
    /// Part of its weekly target.
    pub part: f64,
    /// Value that would be lost without the exercise.
    pub adds: f64,
}

/// Why an exercise is in.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// Exercise.
    pub exercise: String,
    /// The therapist asked for it.
    pub kept: bool,
    /// Value that the program would lose without it.
    pub marginal: f64,
    /// Goals that it serves.
    pub serves: Vec<Serves>,
}

/// The best exercise that is not in.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// Exercise.
    pub exercise: String,
    /// Sets in which it would add most.
    pub sets: u32,
    /// Value that it would add if just as much of the program were done.
    pub adds: f64,
    /// What the program's value would change by: more exercises are done less.
    pub change: f64,
    /// Limits that it would pass.
    pub passes: Vec<Bound>,
}

/// A limit that binds: what one change across it would add.
#[derive(Clone, Debug, PartialEq)]
pub struct Binds {
    /// Limit.
    pub bound: Bound,
    /// Exercise that would come in.
    pub exercise: String,
    /// Value that would be gained.
    pub gain: f64,
    /// How far the limit would be passed: seconds, exercises, or the ceiling's unit.
    pub over: f64,
}

/// The choice, its session and its reasons.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// The chosen exercises in order, with moves and rests.
    pub session: Session,
    /// Value of the choice.
    pub value: f64,
    /// Share that is expected to be done.
    pub share: f64,
    /// Part of each goal's weekly target, if all is done.
    pub goals: Vec<(String, f64)>,
    /// Goals of the phase that no allowed exercise trains.
    pub untrained: Vec<String>,
    /// Why each exercise is in, in the order of the session.
    pub why: Vec<Why>,
    /// The best exercise left out.
    pub left_out: Option<LeftOut>,
    /// Limits that bind.
    pub binds: Vec<Binds>,
}

/// Why there is no proposal.
#[derive(Clone, Debug)]
pub enum ProposeError {
    /// An exercise to keep is not among those allowed today.
    NotAllowed(String),
    /// No choice; the names are those of the ceilings and exercises by number.
    Choice(ChoiceError),
    /// The session cannot be put in order.
    Order(OrderError),
    /// No order of exercises was found whose moves keep the limits and the minutes.
    Moves,
}

impl std::fmt::Display for ProposeError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            ProposeError::NotAllowed(id) => {
                write!(f, "`{id}` is not allowed today or cannot be done at home, so it cannot be kept")
            }
            ProposeError::Choice(error) => error.fmt(f),
            ProposeError::Order(error) => error.fmt(f),
            ProposeError::Moves => {
                f.write_str("no way between the exercises keeps the limits and the minutes")
            }
        }
    }
}

impl std::error::Error for ProposeError {}

/// Chooses and orders the exact best program.
///
/// # Errors
/// An exercise to keep that is not allowed, exercises to keep that do not fit, or no way between them.
pub fn propose(
    candidates: &[Candidate],
    phase: &Phase,
    case: &Case<'_>,
    postures: &BTreeMap<String, Posture>,
    wish: &Wish,
) -> Result<Proposal, ProposeError> {
    let mut asked = Asked::new(candidates, phase, case, postures, wish)?;
    for _ in 0..MOST_ROUNDS {
        let choice = choose(&asked.problem).map_err(ProposeError::Choice)?;
        let chosen = asked.chosen(&choice);
        let session = session(chosen, case, postures).map_err(ProposeError::Order)?;
        if !session.moves_over.is_empty() {
            if !asked.forbid(&session) {
                break;
            }
            continue;
        }
        // The order of the session prefers the less dangerous moves and may take longer than the quickest way.
        let late = session.seconds - wish.minutes * 60.0;
        if late <= 1e-6 {
            return Ok(asked.explain(&choice, session));
        }
        asked.problem.seconds = choice.seconds - late.max(1.0);
    }
    Err(ProposeError::Moves)
}

/// The problem put to the choice, with what its numbers stand for.
struct Asked<'a> {
    candidates: &'a [Candidate],
    /// Candidate and sets of each option.
    meaning: Vec<(usize, u32)>,
    goals: Vec<String>,
    ceilings: Vec<String>,
    problem: Problem,
}

/// The places that differ in what it costs to get there or away, and the number of each item's place among
/// them: two seats at one table are one place for the choice.
fn distinct(at: &[Place], cost: impl Fn(&Place, &Place) -> f64) -> (Vec<Place>, Vec<usize>) {
    let mut all: Vec<&Place> = Vec::new();
    for place in at {
        if !all.contains(&place) {
            all.push(place);
        }
    }
    let table: Vec<Vec<f64>> = all.iter().map(|p| all.iter().map(|q| cost(p, q)).collect()).collect();
    let same = |a: usize, b: usize| {
        let others = (0..all.len()).filter(|&it| it != a && it != b);
        table[a][b] == 0.0
            && table[b][a] == 0.0
            && others.into_iter().all(|it| table[a][it] == table[b][it] && table[it][a] == table[it][b])
    };
    let mut kept: Vec<usize> = Vec::new();
    let mut number = vec![0; all.len()];
    for (a, number) in number.iter_mut().enumerate() {
        *number = kept.iter().position(|&b| same(a, b)).unwrap_or_else(|| {
            kept.push(a);
            kept.len() - 1
        });
    }
    let of = |place: &Place| all.iter().position(|it| *it == place).map_or(0, |it| number[it]);
    (kept.iter().map(|&it| all[it].clone()).collect(), at.iter().map(of).collect())
}

impl<'a> Asked<'a> {
    fn new(
        candidates: &'a [Candidate],
        phase: &Phase,
        case: &Case<'_>,
        postures: &BTreeMap<String, Posture>,
        wish: &Wish,
    ) -> Result<Asked<'a>, ProposeError> {
        let number = |id: &String| candidates.iter().position(|it| it.motion.id == *id);
        let mut pins = Vec::new();
        for id in &wish.keep {
            pins.push(number(id).ok_or_else(|| ProposeError::NotAllowed(id.clone()))?);
        }
        let goals: Vec<String> = phase.goals.iter().map(|it| it.id().to_string()).collect();
        let rules = MoveRules::of(case.envelope);
        let start = start_place(&rules);
        let at: Vec<Place> =
            candidates.iter().map(|it| place_of(&it.motion, &it.checked, &rules, case)).collect();
        let cost = |from: &Place, to: &Place| {
            moves(from, to, &rules, postures).iter().map(|it| it.seconds).sum::<f64>()
        };
        let (places, number_of) = distinct(&at, cost);
        let limits = ceilings(case);
        let mut out = Asked {
            candidates,
            meaning: Vec::new(),
            problem: Problem {
                targets: goals.iter().map(|it| target(it, phase)).collect(),
                options: Vec::new(),
                exercises: candidates.len(),
                most: wish.most,
                returns: USUAL_RETURNS.to_vec(),
                share: wish.share.clone(),
                seconds: wish.minutes * 60.0,
                place_cost: places.iter().map(|p| places.iter().map(|q| cost(p, q)).collect()).collect(),
                start_cost: places.iter().map(|it| cost(&start, it)).collect(),
                end_cost: places.iter().map(|it| cost(it, &end_of(it, &start))).collect(),
                ceilings: limits.iter().map(|it| it.3).collect(),
                pins,
                bans: wish.without.iter().filter_map(number).collect(),
                move_charge: MOVE_CHARGE,
            },
            goals,
            ceilings: limits.iter().map(|it| it.0.clone()).collect(),
        };
        for (index, candidate) in candidates.iter().enumerate() {
            let place = number_of[index];
            let bonus = if phase.exercises.contains(&candidate.motion.id) { NAMED_BONUS } else { 0.0 };
            // More sets first: of equal programs the fuller one is taken.
            for sets in (1..=candidate.dose.sets).rev() {
                let option = option(candidate, index, sets, &out.goals, &limits, case);
                out.problem.options.push(DoseOption { place, bonus, ..option });
                out.meaning.push((index, sets));
            }
        }
        Ok(out)
    }

    fn chosen(&self, choice: &Choice) -> Vec<(Arc<Motion>, Checked, Dose)> {
        choice
            .options
            .iter()
            .map(|&option| {
                let (candidate, sets) = self.meaning[option];
                let it = &self.candidates[candidate];
                (it.motion.clone(), it.checked.clone(), Dose { sets, ..it.dose })
            })
            .collect()
    }

    /// Forbids the ways whose moves pass a limit; false when there is nothing new to forbid.
    fn forbid(&mut self, session: &Session) -> bool {
        let place_of = |item: usize| {
            let id = &session.items[item].motion.id;
            let candidate = self.candidates.iter().position(|it| it.motion.id == *id)?;
            let option = self.meaning.iter().position(|it| it.0 == candidate)?;
            Some(self.problem.options[option].place)
        };
        let bad =
            |steps: &[MoveStep]| steps.iter().any(|it| session.moves_over.iter().any(|o| o.kind == it.kind));
        let mut changed = false;
        let (mut before, mut steps): (Option<usize>, Vec<MoveStep>) = (None, Vec::new());
        for entry in &session.entries {
            match entry {
                crate::session::Entry::Move(step) => steps.push(step.clone()),
                crate::session::Entry::Set { item, .. } => {
                    let here = place_of(*item);
                    if bad(&steps)
                        && let Some(here) = here
                    {
                        let slot = match before {
                            Some(from) => &mut self.problem.place_cost[from][here],
                            None => &mut self.problem.start_cost[here],
                        };
                        changed |= *slot < FORBIDDEN;
                        *slot = FORBIDDEN;
                    }
                    steps.clear();
                    before = here;
                }
                crate::session::Entry::Rest(_) => {}
            }
        }
        if bad(&steps)
            && let Some(last) = before
        {
            changed |= self.problem.end_cost[last] < FORBIDDEN;
            self.problem.end_cost[last] = FORBIDDEN;
        }
        changed
    }

    fn name(&self, option: usize) -> String {
        self.candidates[self.meaning[option].0].motion.id.clone()
    }

    fn bound(&self, limit: choice::Limit) -> Bound {
        match limit {
            choice::Limit::Minutes => Bound::Minutes,
            choice::Limit::Number => Bound::Number,
            choice::Limit::Ceiling(index) => Bound::Ceiling(self.ceilings[index].clone()),
        }
    }

    fn explain(&self, choice: &Choice, session: Session) -> Proposal {
        let mut why: Vec<Why> = choice
            .reasons
            .iter()
            .map(|it| Why {
                exercise: self.name(it.option),
                kept: it.pinned,
                marginal: it.marginal,
                serves: it
                    .serves
                    .iter()
                    .map(|s| Serves { goal: self.goals[s.target].clone(), part: s.part, adds: s.adds })
                    .collect(),
            })
            .collect();
        let rank = |it: &Why| session.items.iter().position(|item| item.motion.id == it.exercise);
        why.sort_by_key(rank);
        Proposal {
            value: choice.value,
            share: choice.share,
            goals: self
                .goals
                .iter()
                .zip(&choice.amounts)
                .zip(&self.problem.targets)
                .map(|((goal, amount), target)| (goal.clone(), amount / target.weekly))
                .collect(),
            untrained: choice.untrained.iter().map(|&it| self.goals[it].clone()).collect(),
            why,
            left_out: choice.left_out.as_ref().map(|it| LeftOut {
                exercise: self.name(it.option),
                sets: self.meaning[it.option].1,
                adds: it.adds,
                change: it.change,
                passes: it.passes.iter().map(|&limit| self.bound(limit)).collect(),
            }),
            binds: choice
                .binding
                .iter()
                .map(|it| Binds {
                    bound: self.bound(it.limit),
                    exercise: self.name(it.change.into),
                    gain: it.gain,
                    over: it.over,
                })
                .collect(),
            session,
        }
    }
}

/// A goal is met by one exercise in the phase's default dose all week.
fn target(goal: &str, phase: &Phase) -> Target {
    let it = &phase.dosage;
    let weekly = f64::from(it.sets * it.reps * it.times_a_day * it.days_a_week);
    Target { name: goal.to_string(), weight: 1.0, weekly }
}

/// Ceilings on a week: restriction, tissue, what is summed, most.
fn ceilings(case: &Case<'_>) -> Vec<(String, Tissue, ExposureOf, f64)> {
    case.envelope
        .in_force
        .iter()
        .filter_map(|it| match it.limit {
            Limit::Exposure { tissue, per_week, of } => Some((it.id.clone(), tissue, of, per_week)),
            _ => None,
        })
        .collect()
}

fn option(
    candidate: &Candidate,
    exercise: usize,
    sets: u32,
    goals: &[String],
    limits: &[(String, Tissue, ExposureOf, f64)],
    case: &Case<'_>,
) -> DoseOption {
    let (motion, repetition) = (&candidate.motion, candidate.checked.repetition());
    let dose = &candidate.dose;
    let a_week = f64::from(sets * dose.reps(repetition) * dose.times_a_day * dose.days_a_week);
    let trains = goals.iter().enumerate().filter(|(_, goal)| motion.trains.contains(*goal));
    DoseOption {
        exercise,
        place: 0,
        seconds_per_day: candidate.seconds(sets),
        weekly: trains.map(|(index, _)| (index, a_week)).collect(),
        exposure: limits
            .iter()
            .map(|(_, tissue, of, _)| {
                on_ceiling(candidate, case.body, *tissue, case.envelope.side, *of, a_week)
            })
            .collect(),
        bonus: 0.0,
    }
}

/// Upper bound of what so many repetitions put on a tissue; infinite where it is not known.
fn on_ceiling(
    candidate: &Candidate,
    body: &Body,
    tissue: Tissue,
    side: Side,
    of: ExposureOf,
    repetitions: f64,
) -> f64 {
    let mut sum = Exposure::default();
    let load = tissue_load(&candidate.motion, body, candidate.checked.repetition(), tissue, side);
    sum.add(&candidate.motion.id, &load, repetitions);
    sum.upper(of).unwrap_or(f64::INFINITY)
}
