//! A typed program held against the limits of the day. Verdicts are solved once for each exercise, side, set-up and
//! override, and kept as long as nothing about the limits changes.

use std::collections::BTreeMap;
use std::sync::{Arc, LazyLock, Mutex, OnceLock};

use crate::chart::reasons::Teller;
use crate::content::state::InUse;
use crate::fault::Fault;
use crate::records::Loaded;
use handrail_anatomy::{Body, Tissue};
use handrail_episode::fold::Course;
use handrail_episode::{Episode, Line, OverExposure, Plan, Prescription, Program, WaiverFact, plan};
use handrail_library::Library;
use handrail_motion::{Home, Motion};
use handrail_program::dose::OverCeiling;
use handrail_program::moves::MoveOver;
use handrail_program::robustness::{EXECUTIONS, Robustness, SEED, robustness};
use handrail_program::{Amount, Dose, Entry, Kind, Ladder, Session, Verdict, ladder, session, verdict_from};
use handrail_protocol::{Envelope, Phase, Protocol};
use handrail_words::Words;
use jiff::civil::Date;
use rayon::prelude::*;

use crate::program::basis::limits_number;
use crate::program::form::{Form, Mistake, New};

/// Days of episodes whose verdicts are kept; the least recently used goes first.
const KEPT_DAYS: usize = 48;
/// Verdicts kept of one day of one episode.
const KEPT_VERDICTS: usize = 600;

/// Lists of what may be chosen kept of one day of one episode, by language and what is chosen.
const KEPT_SHELVES: usize = 8;

/// A map of bounded size; when it is full, the half that was used longest ago goes.
struct Kept<K: Ord + Clone, V: Clone> {
    most: usize,
    uses: u64,
    map: BTreeMap<K, (u64, V)>,
}

impl<K: Ord + Clone, V: Clone> Kept<K, V> {
    const fn new(most: usize) -> Self {
        Kept { most, uses: 0, map: BTreeMap::new() }
    }

    fn get(&mut self, key: &K) -> Option<V> {
        self.uses += 1;
        let uses = self.uses;
        let found = self.map.get_mut(key)?;
        found.0 = uses;
        Some(found.1.clone())
    }

    fn put(&mut self, key: K, value: V) {
        self.uses += 1;
        self.map.insert(key, (self.uses, value));
        if self.map.len() > self.most {
            let mut ages: Vec<u64> = self.map.values().map(|it| it.0).collect();
            ages.sort_unstable();
            let middle = ages[ages.len() / 2];
            self.map.retain(|_, it| it.0 > middle);
        }
    }
}

/// A verdict with what was found about it later.
pub struct Solved {
    /// Exercise.
    pub motion: Arc<Motion>,
    /// Verdict.
    pub verdict: Verdict,
    tight: OnceLock<Robustness>,
    /// Pictures by language and whether the device is on.
    stills: Mutex<BTreeMap<(&'static str, bool), Arc<str>>>,
}

impl Solved {
    fn new(motion: Arc<Motion>, verdict: Verdict) -> Solved {
        Solved { motion, verdict, tight: OnceLock::new(), stills: Mutex::default() }
    }

    /// A picture, if it was drawn before.
    pub fn known_still(&self, lang: &'static str, device_on: bool) -> Option<Arc<str>> {
        self.stills.lock().unwrap_or_else(|it| it.into_inner()).get(&(lang, device_on)).cloned()
    }

    /// A picture, drawn at most once.
    pub fn still(&self, lang: &'static str, device_on: bool, draw: impl FnOnce() -> String) -> Arc<str> {
        if let Some(known) = self.known_still(lang, device_on) {
            return known;
        }
        let drawn: Arc<str> = draw().into();
        self.stills.lock().unwrap_or_else(|it| it.into_inner()).insert((lang, device_on), drawn.clone());
        drawn
    }

    /// How sure it keeps its limits, if that was asked before.
    pub fn robustness(&self) -> Option<&Robustness> {
        self.tight.get()
    }
}

/// What a verdict depends on beyond the limits: exercise, side, parameters (as bits), override.
type Key = (String, &'static str, Vec<(String, u64)>, Option<(String, String)>);

/// Lists of what may be chosen, as markup, by language and what is chosen.
type Shelves = Kept<(&'static str, Vec<String>), Arc<str>>;

/// The limits of one episode on one day, with all that was solved under them.
pub struct Base {
    edition: u64,
    library: Arc<Library>,
    /// The episode without programs and without what happened since: verdicts do not depend on them.
    episode: Episode,
    /// Limits.
    pub envelope: Envelope,
    /// Body.
    pub body: Body,
    home: Home,
    solved: Mutex<Kept<Key, Arc<Solved>>>,
    all: OnceLock<Vec<Arc<Solved>>>,
    ladders: OnceLock<Vec<Ladder>>,
    shelves: Mutex<Shelves>,
}

/// Bases by episode, day and the number of the newest entry about limits.
type Bases = Kept<(String, Date, u64), Arc<Base>>;
static BASES: LazyLock<Mutex<Bases>> = LazyLock::new(|| Mutex::new(Kept::new(KEPT_DAYS)));

impl Base {
    /// The limits of an episode on a day, by the content of a request.
    ///
    /// # Errors
    /// A protocol that is not in the library, a day before the surgery, orders that do not fit.
    pub fn of(content: &InUse, today: Date, loaded: &Loaded) -> Result<Arc<Base>, Fault> {
        let (library, edition) = (content.library().clone(), content.edition());
        let key = (loaded.id.clone(), today, limits_number(loaded));
        let known = BASES.lock().unwrap_or_else(|it| it.into_inner()).get(&key);
        // Other content (it was changed; another server in this process): solve anew.
        if let Some(base) = known.filter(|it| it.edition == edition) {
            return Ok(base);
        }
        let episode = Episode {
            programs: Vec::new(),
            done: Vec::new(),
            course: Course::default(),
            ..loaded.episode.as_ref().clone()
        };
        let found = {
            let protocol = protocol(&library, &episode)?;
            let plan = plan(&episode, protocol, &library.exercises, today).map_err(not_planned)?;
            (plan.envelope, plan.body, plan.home)
        };
        let (envelope, body, home) = found;
        let base = Arc::new(Base {
            edition,
            library,
            episode,
            envelope,
            body,
            home,
            solved: Mutex::new(Kept::new(KEPT_VERDICTS)),
            all: OnceLock::new(),
            ladders: OnceLock::new(),
            shelves: Mutex::new(Kept::new(KEPT_SHELVES)),
        });
        BASES.lock().unwrap_or_else(|it| it.into_inner()).put(key, base.clone());
        Ok(base)
    }

    /// Content.
    pub fn library(&self) -> &Library {
        &self.library
    }

    /// Names of limits, phases, criteria and orders.
    pub fn teller<'a>(&'a self, words: &'a Words) -> Teller<'a> {
        Teller::of(words, &self.library, &self.episode, self.envelope.on)
    }

    /// Protocol.
    pub fn protocol(&self) -> &Protocol {
        // It was there when the base was made, and a base holds its library.
        &self.library.protocols[&self.episode.operation.protocol]
    }

    /// Episode without programs.
    pub fn episode(&self) -> &Episode {
        &self.episode
    }

    /// Present phase.
    pub fn phase(&self) -> &Phase {
        &self.protocol().phases[self.envelope.phase.index]
    }

    /// The plan of today with these exercises; the room `episode` does the rest.
    pub fn plan<'a>(&'a self, program: Option<Program>, lines: Vec<Line>) -> Plan<'a> {
        Plan {
            episode: &self.episode,
            protocol: self.protocol(),
            envelope: self.envelope.clone(),
            body: self.body.clone(),
            home: self.home,
            program,
            lines,
        }
    }

    /// Verdict on an exercise, solved at most once. `waiver`: name and reason of an override that is being typed.
    pub fn solve(
        &self,
        it: &Prescription,
        motion: &Arc<Motion>,
        waiver: Option<(&str, &str)>,
    ) -> Arc<Solved> {
        let parameters = it.parameters.iter().map(|(name, value)| (name.clone(), value.to_bits())).collect();
        let by = waiver.map(|(by, reason)| (by.to_string(), reason.to_string()));
        let key: Key = (it.exercise.clone(), it.side.word(), parameters, by);
        if let Some(known) = self.solved.lock().unwrap_or_else(|it| it.into_inner()).get(&key) {
            return known;
        }
        let plain = self.solve_new(it, motion, &self.episode);
        let verdict = match waiver.and_then(|waiver| self.waiver_fact(&plain, waiver)) {
            Some(fact) => {
                let mut episode = self.episode.clone();
                episode.waivers.push(fact);
                self.solve_new(it, motion, &episode)
            }
            None => plain,
        };
        let solved = Arc::new(Solved::new(motion.clone(), verdict));
        self.solved.lock().unwrap_or_else(|it| it.into_inner()).put(key, solved.clone());
        solved
    }

    /// Asks the room `episode`, which also knows the overrides on record.
    fn solve_new(&self, it: &Prescription, motion: &Arc<Motion>, episode: &Episode) -> Verdict {
        let today = self.envelope.on;
        let program = Program {
            version: 1,
            issued: today,
            by: String::new(),
            signed_by: None,
            valid_until: None,
            times_a_day: None,
            days_a_week: None,
            exercises: vec![it.clone()],
        };
        let mut episode = episode.clone();
        episode.programs = vec![program];
        let planned = plan(&episode, self.protocol(), &self.library.exercises, today);
        let line = planned.ok().and_then(|mut it| it.lines.pop());
        line.map_or_else(
            || verdict_from(motion, it.side, &self.plan(None, Vec::new()).case(), &it.parameters),
            |it| it.verdict,
        )
    }

    /// The override that would let a refused exercise in; `None` when nothing about it may be overridden.
    pub fn waiver_fact(&self, verdict: &Verdict, (by, reason): (&str, &str)) -> Option<WaiverFact> {
        if verdict.kind != Kind::Refused || !may_be_waived(verdict) {
            return None;
        }
        let restriction = verdict.reasons.first()?.restriction.clone();
        Some(WaiverFact {
            exercise: verdict.exercise.clone(),
            restriction,
            by: by.into(),
            on: self.envelope.on,
            reason: reason.into(),
        })
    }

    /// Verdicts on all exercises of the library on the operated side, as they are written.
    pub fn all(&self) -> &[Arc<Solved>] {
        self.all.get_or_init(|| {
            let motions: Vec<&Arc<Motion>> = self.library.exercises.values().collect();
            let side = self.episode.operation.side;
            motions.into_par_iter().map(|motion| self.solve(&bare(&motion.id, side), motion, None)).collect()
        })
    }

    /// Ladders of the protected tissues, no exercise marked as chosen.
    pub fn ladders(&self) -> &[Ladder] {
        self.ladders.get_or_init(|| {
            let plan = self.plan(None, Vec::new());
            let tissues: Vec<Tissue> = plan.protected_tissues();
            let none = Default::default();
            tissues
                .into_par_iter()
                .map(|tissue| ladder(self.library.exercises.values(), tissue, &plan.case(), &none))
                .collect()
        })
    }

    /// The list of what may be chosen, made at most once for what is chosen.
    pub fn shelf(&self, lang: &'static str, chosen: Vec<String>, make: impl FnOnce() -> String) -> Arc<str> {
        let key = (lang, chosen);
        if let Some(known) = self.shelves.lock().unwrap_or_else(|it| it.into_inner()).get(&key) {
            return known;
        }
        let made: Arc<str> = make().into();
        self.shelves.lock().unwrap_or_else(|it| it.into_inner()).put(key, made.clone());
        made
    }

    /// How sure an allowed exercise keeps its limits; simulated at most once.
    pub fn robustness<'a>(&self, solved: &'a Solved) -> &'a Robustness {
        solved.tight.get_or_init(|| {
            let (plan, verdict) = (self.plan(None, Vec::new()), &solved.verdict);
            robustness(&solved.motion, verdict.side, &plan.case(), &verdict.parameters, EXECUTIONS, SEED)
        })
    }
}

/// An exercise as it is written.
fn bare(exercise: &str, side: handrail_anatomy::Side) -> Prescription {
    Prescription {
        exercise: exercise.into(),
        side,
        sets: None,
        reps: None,
        seconds: None,
        rest: None,
        parameters: Default::default(),
    }
}

/// Whether a therapist may override a refusal: all its reasons come from one restriction, and the room `program`
/// lets a named person waive them.
pub fn may_be_waived(verdict: &Verdict) -> bool {
    let one = verdict.reasons.windows(2).all(|it| it[0].restriction == it[1].restriction);
    let Err(refusal) = verdict.clone().into_checked() else { return false };
    let (by, reason) = ("?", "?");
    one && (refusal.clone().accept_margin(by, reason).is_ok()
        || refusal.override_position(by, reason).is_ok())
}

fn protocol<'a>(library: &'a Library, episode: &Episode) -> Result<&'a Protocol, Fault> {
    let id = &episode.operation.protocol;
    library.protocols.get(id).ok_or_else(|| {
        Fault::refused(
            format!("there is no protocol `{id}`"),
            "put the protocol back into the clinic's content",
        )
    })
}

fn not_planned(error: handrail_episode::PlanError) -> Fault {
    Fault::refused(error.to_string(), "correct the operation or the orders of this episode")
}

/// Why a program cannot be issued as it stands.
#[derive(Clone, Debug)]
pub enum Problem {
    /// No exercise.
    Empty,
    /// A field cannot be taken.
    Mistake(Mistake),
    /// An exercise is refused; its reasons stand at it.
    Refused(usize),
    /// More exercises than the phase's ceiling.
    TooMany {
        /// Asked.
        asked: u32,
        /// Ceiling.
        ceiling: u32,
    },
    /// The dose of a row passes the phase's ceiling.
    Dose(usize, OverCeiling),
    /// A week passes a ceiling on a tissue, or its load is not known.
    Exposure(OverExposure),
    /// A move passes a limit.
    Move(MoveOver),
    /// The surgeon's visit has passed and nothing was recorded of it.
    VisitPassed(Date),
}

/// What was found about one row.
pub struct Studied {
    /// Number of the row.
    pub n: usize,
    /// Verdict.
    pub solved: Arc<Solved>,
    /// As the room `episode` holds it.
    pub line: Line,
    /// The override that goes on record with the program.
    pub waiver: Option<WaiverFact>,
    /// Whether a therapist may override the refusal.
    pub waivable: bool,
}

/// What was found about a form.
pub struct Study {
    /// Limits.
    pub base: Arc<Base>,
    /// Program that is asked for.
    pub program: Program,
    /// Rows with a known exercise and side.
    pub rows: Vec<Studied>,
    /// The allowed exercises in the order of the session; `None` when they cannot be put in order.
    pub session: Option<Session>,
    /// Number of the row of each item of the session.
    pub order: Vec<usize>,
    /// Everything that stands against issuing it.
    pub problems: Vec<Problem>,
}

impl Study {
    /// Holds a form against the limits of the day. `loaded` is the whole record, `by` the person who plans.
    pub fn of(base: Arc<Base>, loaded: &Loaded, form: &Form, by: &str) -> Study {
        let new = New {
            library: base.library(),
            version: loaded.episode.programs.iter().map(|it| it.version).max().unwrap_or(0) + 1,
            today: base.envelope.on,
            last: loaded.episode.valid_until(base.envelope.on, None),
            by,
        };
        let (program, mistakes) = form.program(&new);
        let rows = studied(&base, form, &program, by);
        let mut problems: Vec<Problem> = mistakes.into_iter().map(Problem::Mistake).collect();
        let lines = rows.iter().map(|it| it.line.clone()).collect();
        let plan = base.plan(Some(program.clone()), lines);
        if plan.lines.is_empty() {
            problems.push(Problem::Empty);
        }
        problems.extend(
            rows.iter().filter(|it| it.line.verdict.kind == Kind::Refused).map(|it| Problem::Refused(it.n)),
        );
        let (asked, ceiling) = (plan.lines.len() as u32, plan.phase().ceiling.max_exercises);
        if asked > ceiling {
            problems.push(Problem::TooMany { asked, ceiling });
        }
        for row in &rows {
            problems.extend(row.line.over.iter().map(|it| Problem::Dose(row.n, it.clone())));
        }
        problems.extend(plan.over_exposure().into_iter().map(Problem::Exposure));
        problems
            .extend(plan.episode.operation.next_visit.filter(|it| *it < plan.on()).map(Problem::VisitPassed));
        let chosen = rows.iter().filter_map(|it| {
            let checked = it.line.verdict.clone().into_checked().ok()?;
            Some((it.line.motion.clone(), checked, it.line.dose))
        });
        let found = session(chosen.collect(), &plan.case(), &base.library().postures).ok();
        problems.extend(found.iter().flat_map(|it| it.moves_over.iter().cloned()).map(Problem::Move));
        let order = found.as_ref().map_or_else(Vec::new, |it| order_of(it, &rows));
        drop(plan);
        Study { base, program, rows, session: found, order, problems }
    }

    /// What was found about a row.
    pub fn row(&self, n: usize) -> Option<&Studied> {
        self.rows.iter().find(|it| it.n == n)
    }

    /// The plan of today with this program.
    pub fn plan(&self) -> Plan<'_> {
        let lines = self.rows.iter().map(|it| it.line.clone()).collect();
        self.base.plan(Some(self.program.clone()), lines)
    }

    /// Overrides that go on record with the program.
    pub fn waivers(&self) -> Vec<WaiverFact> {
        let mut out: Vec<WaiverFact> = Vec::new();
        for it in self.rows.iter().filter_map(|it| it.waiver.as_ref()) {
            if !out.contains(it) {
                out.push(it.clone());
            }
        }
        out
    }

    /// Whether an item takes turns with the one before it.
    pub fn in_turns(&self, item: usize) -> bool {
        let Some(session) = self.session.as_ref().filter(|_| item > 0) else { return false };
        let first = |of: usize| {
            session.entries.iter().position(|it| matches!(it, Entry::Set { item, .. } if *item == of))
        };
        let last = |of: usize| {
            session.entries.iter().rposition(|it| matches!(it, Entry::Set { item, .. } if *item == of))
        };
        matches!((first(item), last(item - 1)), (Some(first), Some(last)) if first < last)
    }
}

fn studied(base: &Arc<Base>, form: &Form, program: &Program, by: &str) -> Vec<Studied> {
    let rows: Vec<(usize, &Prescription, &str)> = form
        .placed(base.library())
        .zip(&program.exercises)
        .map(|(row, prescription)| (row.n, prescription, row.waive.as_str()))
        .collect();
    let plan = base.plan(None, Vec::new());
    // One after the other: most are known, and the many threads may be busy with simulations of another form.
    rows.into_iter()
        .filter_map(|(n, prescription, waive)| {
            let motion = base.library().exercises.get(&prescription.exercise)?;
            let plain = base.solve(prescription, motion, None);
            let waivable = plain.verdict.kind == Kind::Refused && may_be_waived(&plain.verdict);
            let typed = Some((by, waive)).filter(|_| waivable && !waive.is_empty());
            let waiver = typed.and_then(|it| base.waiver_fact(&plain.verdict, it));
            let solved = match typed {
                Some(it) => base.solve(prescription, motion, Some(it)),
                None => plain,
            };
            let dose = dose(prescription, motion, program, base.phase());
            let line = Line {
                prescription: prescription.clone(),
                motion: motion.clone(),
                verdict: solved.verdict.clone(),
                dose,
                over: dose.over(base.phase()),
                missing_equipment: plan.missing_equipment(motion),
            };
            Some(Studied { n, solved, line, waiver, waivable })
        })
        .collect()
}

/// The dose of a line: what was set, over the phase's usual one (as in `Plan`; a test holds the two together).
fn dose(prescription: &Prescription, motion: &Motion, program: &Program, phase: &Phase) -> Dose {
    let usual = Dose::usual(motion, phase);
    let amount = match (prescription.seconds, prescription.reps) {
        (Some(seconds), _) => Amount::Seconds(seconds),
        (None, Some(reps)) => Amount::Reps(reps),
        (None, None) => usual.amount,
    };
    Dose {
        sets: prescription.sets.unwrap_or(usual.sets),
        amount,
        rest: prescription.rest.unwrap_or(usual.rest),
        times_a_day: program.times_a_day.unwrap_or(usual.times_a_day),
        days_a_week: program.days_a_week.unwrap_or(usual.days_a_week),
    }
}

/// Row of each item: an exercise that stands twice is taken in the order of the rows.
fn order_of(session: &Session, rows: &[Studied]) -> Vec<usize> {
    let mut taken = vec![false; rows.len()];
    let mut out = Vec::new();
    for item in &session.items {
        let verdict = item.checked.verdict();
        let fits = |row: &Studied| {
            let it = &row.line.verdict;
            it.exercise == verdict.exercise
                && it.side == verdict.side
                && it.parameters == verdict.parameters
                && row.line.dose == item.dose
        };
        if let Some(at) = (0..rows.len()).find(|&it| !taken[it] && fits(&rows[it])) {
            taken[at] = true;
            out.push(rows[at].n);
        }
    }
    out
}
