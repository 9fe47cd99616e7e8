//! The choice of exercises: which of the allowed ones, in which dose, make the best program.
//!
//! A program is worth what it trains, times the share of it that is expected to be done, less a charge for
//! the seconds of getting from place to place. [`choose`] finds the best program within the minutes of a
//! day, the number of exercises, the ceilings on what a tissue may meet in a week, and the therapist's pins
//! and bans. It prices each set of exercises with the best order of its places, and it says why each exercise
//! is in, what the best one left out would have added, and which limits bind ([`Choice`]).
//!
//! The choice is exact: no program is better by more than a ten-millionth of the best single exercise, and
//! programs closer than that count as equal. Among equals it takes the one with fewer exercises, then the one
//! whose options come first. The way to it:
//!
//! 0. Options that others are never worse than are set aside (`price`).
//! 1. `good` finds a good program by improving simple ones step by step.
//! 2. For each number of exercises (the share done is then a constant), `narrow` drops every option that
//!    cannot be in a program as good: what any set adds is at most the sum of what its members add alone.
//! 3. `mip` asks a mixed-integer program over the rest for a program as good as the best one known, the way
//!    between the places inside it. Each answer is priced anew by `price` and raises the bar, until there is
//!    none. The solver's own numbers decide nothing but which set is looked at next.

mod check;
mod good;
mod mip;
mod narrow;
mod price;
mod reasons;
#[cfg(test)]
mod tests;

use std::fmt;

use mip::{Found, Question};
use price::Prices;
pub use reasons::{Binding, Change, Choice, LeftOut, Limit, Reason, Served, without};

/// The most exercises that a program may be asked to have.
pub const MOST_EXERCISES: usize = 12;

/// The most places that the options may be in.
pub const MOST_PLACES: usize = 64;

/// How the value of a target grows with what is done for it: the usual setting (set by this program).
///
/// Half of the weekly target is worth seven tenths of it, the whole is worth all of it, half as much again a
/// tenth more, and what goes beyond is worth nothing: the first sets of a muscle or motion give most, and a
/// program that pours everything into one target leaves the others untrained.
pub const USUAL_RETURNS: [Return; 3] =
    [Return { up_to: 0.5, slope: 1.4 }, Return { up_to: 1.0, slope: 0.6 }, Return { up_to: 1.5, slope: 0.2 }];

/// A stretch of diminishing returns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Return {
    /// End of the stretch, as a multiple of the weekly target.
    pub up_to: f64,
    /// Value per weekly target on the stretch.
    pub slope: f64,
}

/// Something the phase asks to be trained.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Name of the region, motion or muscle.
    pub name: String,
    /// Value of meeting it.
    pub weight: f64,
    /// Amount a week that meets it, in any unit that the options share (repetitions, seconds).
    pub weekly: f64,
}

/// One exercise in one dose.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseOption {
    /// Number of the exercise; at most one option of each is chosen.
    pub exercise: usize,
    /// Number of the place in which it is done.
    pub place: usize,
    /// Seconds a day, rests included.
    pub seconds_per_day: f64,
    /// Amount a week for each target that it serves, as (number of the target, amount).
    pub weekly: Vec<(usize, f64)>,
    /// What it puts on each ceiling in a week, upper bound; infinite where it is not known, which a finite
    /// ceiling then refuses.
    pub exposure: Vec<f64>,
    /// Value added for reasons of its own (named by the phase, liked by the patient).
    pub bonus: f64,
}

/// What is to be chosen from, and within which limits.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// What is to be trained.
    pub targets: Vec<Target>,
    /// Options; among equal programs the one whose options come first is taken.
    pub options: Vec<DoseOption>,
    /// Number of exercises: options name 0 to this, exclusive.
    pub exercises: usize,
    /// Most exercises in the program, at most [`MOST_EXERCISES`].
    pub most: usize,
    /// Diminishing returns, the same for all targets; slopes must not rise.
    pub returns: Vec<Return>,
    /// `share[n]`: share that is expected to be done of a program of n exercises; entry 0 is not read.
    pub share: Vec<f64>,
    /// Seconds a day for exercises and moves; infinite for no limit.
    pub seconds: f64,
    /// `place_cost[p][q]`: seconds a day to go from place p to place q; the diagonal is not read. Costs need
    /// be neither symmetric nor obey the triangle inequality.
    pub place_cost: Vec<Vec<f64>>,
    /// Seconds a day to reach each place from where the session starts; empty for none.
    pub start_cost: Vec<f64>,
    /// Seconds a day to end the session from each place; empty for none.
    pub end_cost: Vec<f64>,
    /// Most exposure a week for each ceiling; infinite for no limit.
    pub ceilings: Vec<f64>,
    /// Exercises that must be in.
    pub pins: Vec<usize>,
    /// Exercises that must not be in.
    pub bans: Vec<usize>,
    /// Value lost per second of moves.
    pub move_charge: f64,
}

/// Why there is no choice.
#[derive(Debug, Clone, PartialEq)]
pub enum ChoiceError {
    /// A list does not have the entries that it must have.
    Shape {
        /// The field of [`Problem`].
        field: &'static str,
        /// Entries that it must have (at least, for `share`).
        expected: usize,
        /// Entries that it has.
        found: usize,
    },
    /// A number that the field cannot hold.
    Number {
        /// The field.
        field: &'static str,
        /// What it must be.
        expected: &'static str,
        /// The number given.
        found: f64,
    },
    /// An exercise, place or target that is not there.
    Unknown {
        /// The field that names it.
        field: &'static str,
        /// The number given.
        number: usize,
        /// How many there are.
        of: usize,
    },
    /// More exercises or places than can be handled.
    TooMany {
        /// The field.
        field: &'static str,
        /// The number given.
        number: usize,
        /// The most.
        most: usize,
    },
    /// An exercise both pinned and banned.
    PinnedAndBanned {
        /// The exercise.
        exercise: usize,
    },
    /// A pinned exercise without any option.
    PinWithoutOption {
        /// The exercise.
        exercise: usize,
    },
    /// More pins than the program may have exercises.
    TooManyPins {
        /// Exercises pinned.
        pins: usize,
        /// Exercises allowed.
        most: usize,
    },
    /// The pinned exercises do not fit into the minutes even in their shortest doses.
    PinsTooLong {
        /// Least seconds a day with moves.
        least: f64,
        /// Seconds allowed.
        allowed: f64,
    },
    /// The pinned exercises pass a ceiling even in their lightest doses; infinite where a load is not known.
    PinsOverCeiling {
        /// Number of the ceiling.
        ceiling: usize,
        /// Least exposure a week.
        least: f64,
        /// Exposure allowed.
        allowed: f64,
    },
    /// The pinned exercises can meet each limit by itself, but no choice of doses meets all of them.
    PinsTogether,
    /// The mixed-integer solver gave up.
    Solver {
        /// What it said.
        message: String,
    },
}

impl fmt::Display for ChoiceError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            ChoiceError::Shape { field, expected, found } => {
                write!(f, "`{field}` has {found} entries where {expected} are expected")
            }
            ChoiceError::Number { field, expected, found } => {
                write!(f, "`{field}` is {found}; it must be {expected}")
            }
            ChoiceError::Unknown { field, number, of } => {
                write!(f, "`{field}` names number {number}, but there are only 0 to {}", of.saturating_sub(1))
            }
            ChoiceError::TooMany { field, number, most } => {
                write!(f, "`{field}`: {number} are more than can be handled; at most {most}")
            }
            ChoiceError::PinnedAndBanned { exercise } => {
                write!(f, "exercise {exercise} is pinned and banned; take one of the two back")
            }
            ChoiceError::PinWithoutOption { exercise } => {
                write!(f, "exercise {exercise} is pinned, but no dose of it may be chosen")
            }
            ChoiceError::TooManyPins { pins, most } => {
                write!(f, "{pins} exercises are pinned, but the program may have {most} at most")
            }
            ChoiceError::PinsTooLong { least, allowed } => {
                write!(
                    f,
                    "the pinned exercises take at least {least:.0} s a day with their moves; {allowed:.0} s are \
                     allowed"
                )
            }
            ChoiceError::PinsOverCeiling { ceiling, least, allowed } if least.is_finite() => {
                write!(
                    f,
                    "the pinned exercises put at least {least:.1} a week on ceiling {ceiling}; {allowed:.1} are \
                     allowed"
                )
            }
            ChoiceError::PinsOverCeiling { ceiling, .. } => {
                write!(f, "what a pinned exercise puts on ceiling {ceiling} is not known, so it is refused")
            }
            ChoiceError::PinsTogether => {
                f.write_str("no doses of the pinned exercises meet the minutes and all ceilings at once")
            }
            ChoiceError::Solver { message } => write!(f, "the solver gave up: {message}"),
        }
    }
}

impl std::error::Error for ChoiceError {}

/// The best program, with its reasons.
///
/// A program without any exercise (value 0) is the answer where nothing may be chosen or nothing is worth it.
///
/// # Errors
/// A problem that is not well formed (see the fields of [`Problem`]), pins that no program can hold (the error
/// says which limit they pass), or a failure of the solver.
pub fn choose(problem: &Problem) -> Result<Choice, ChoiceError> {
    check::check(problem)?;
    let prices = Prices::new(problem);
    let mut fewer = Prices::new(problem);
    fewer.usable = prices.worth_looking_at();
    let best = best_set(&fewer)?.ok_or_else(|| check::why_no_set(&prices))?;
    Ok(reasons::explain(&prices, &best.set))
}

/// A set of options and its value.
#[derive(Debug, Clone, PartialEq)]
struct Priced {
    set: Vec<usize>,
    value: f64,
}

/// The first of the best sets, or none where no set holds the pins.
fn best_set(prices: &Prices<'_>) -> Result<Option<Priced>, ChoiceError> {
    let most = prices.problem.most.min(prices.exercises());
    let best = good::start(prices, most);
    let top = best.as_ref().map_or(f64::NEG_INFINITY, |it| it.value);
    // The number of exercises of the good start first: the higher the bar, the less is left of the others.
    let first = best.as_ref().map_or(0, |it| it.set.len());
    let mut search = Search { prices, narrow: narrow::Narrow::new(prices), best, top, only: false };
    let numbers = (1..=most).filter(|&n| n == first).chain((1..=most).filter(|&n| n != first));
    for n in numbers {
        search.improve(n)?;
    }
    search.first_of_the_best()?;
    Ok(search.best)
}

struct Search<'a> {
    prices: &'a Prices<'a>,
    narrow: narrow::Narrow,
    best: Option<Priced>,
    /// Highest value seen; the best has it, less a grain at most.
    top: f64,
    /// Whether no other set of its size is as good as the best.
    only: bool,
}

impl Search<'_> {
    /// Looks for a better set of `n` exercises (or one as good, if it has fewer than the best) until none is
    /// left.
    fn improve(&mut self, n: usize) -> Result<(), ChoiceError> {
        let mut question = Question { n, ..Question::default() };
        let mut as_good = Vec::new();
        loop {
            // Sets of the size of the best are asked for from its value on, other than itself: mostly there
            // are none, and then it is the only best one.
            let known = self.best.clone().filter(|it| it.set.len() == n);
            question.floor = if known.is_some() { self.top - self.prices.grain } else { self.floor(n) };
            question.not.clone_from(&as_good);
            question.not.extend(known.iter().map(|it| it.set.clone()));
            let left = self.narrow.left(self.prices, n, question.floor);
            if self.take(good::among(self.prices, &left, n)) {
                continue;
            }
            let found = self.ask(&left, &mut question)?;
            let Some(found) = found else {
                self.only |= known.is_some();
                return Ok(());
            };
            if self.take(Some(good::improve(self.prices, found.clone()))) {
                continue;
            }
            if known.is_some() && found.value >= question.floor {
                // As good as the best, and the solver has no better one.
                return Ok(());
            }
            as_good.push(found.set);
        }
    }

    /// Least value at which a set of `n` exercises is taken for the best.
    fn floor(&self, n: usize) -> f64 {
        let size = self.best.as_ref().map_or(usize::MAX, |it| it.set.len());
        if n < size { self.top - self.prices.grain } else { self.top + self.prices.grain }
    }

    /// Takes a set for the best if it is.
    fn take(&mut self, found: Option<Priced>) -> bool {
        let Some(found) = found.filter(|it| it.value >= self.floor(it.set.len())) else { return false };
        self.top = self.top.max(found.value);
        self.best = Some(found);
        self.only = false;
        true
    }

    /// Goes on to the first of the sets that are as good and as small as the best.
    fn first_of_the_best(&mut self) -> Result<(), ChoiceError> {
        let Some(best) = self.best.clone().filter(|it| !it.set.is_empty() && !self.only) else {
            return Ok(());
        };
        let floor = self.top - self.prices.grain;
        let mut question = Question { n: best.set.len(), floor, ..Question::default() };
        let left = self.narrow.left(self.prices, question.n, floor);
        let mut first = good::move_forward(self.prices, best, floor);
        loop {
            question.before = Some(first.set.clone());
            let Some(found) = self.ask(&left, &mut question)? else { break };
            if found.value >= floor {
                first = good::move_forward(self.prices, found, floor);
            } else {
                question.not.push(found.set);
            }
        }
        self.best = Some(first);
        Ok(())
    }

    /// The answer to a question, priced; sets that the limits do not allow after all are put aside.
    fn ask(&self, left: &narrow::Left, question: &mut Question) -> Result<Option<Priced>, ChoiceError> {
        loop {
            match mip::find(self.prices, left, question)? {
                Found::Nothing => return Ok(None),
                Found::Rings(rings) => question.rings.extend(rings),
                Found::Set(set) => match self.prices.price(&set) {
                    Some(value) => return Ok(Some(Priced { set, value })),
                    None => question.not.push(set),
                },
            }
        }
    }
}
