//! What a choice says of itself: why each exercise is in, what was left out, which limits bind.

use super::price::{Prices, keeps};
use super::{ChoiceError, Problem, choose};

/// A limit of the program.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Limit {
    /// Seconds of a day.
    Minutes,
    /// Number of exercises.
    Number,
    /// A ceiling on exposure, by its number.
    Ceiling(usize),
}

/// The best program and its reasons.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// Chosen options in the order of the session: place after place, within a place as given.
    pub options: Vec<usize>,
    /// Value of the program.
    pub value: f64,
    /// Share of it that is expected to be done (0 for a program without exercises).
    pub share: f64,
    /// Seconds a day, moves included.
    pub seconds: f64,
    /// Seconds a day of the moves.
    pub move_seconds: f64,
    /// Amount a week for each target, if all is done.
    pub amounts: Vec<f64>,
    /// Exposure a week to each ceiling, upper bound.
    pub exposure: Vec<f64>,
    /// Why each option is in, in the order of `options`.
    pub reasons: Vec<Reason>,
    /// The exercise left out that would add most to the training.
    pub left_out: Option<LeftOut>,
    /// Limits that alone stand between the program and a better one that is one change away.
    pub binding: Vec<Binding>,
    /// Targets that nothing among the options may train.
    pub untrained: Vec<usize>,
}

/// Why an option is in.
#[derive(Debug, Clone, PartialEq)]
pub struct Reason {
    /// The option.
    pub option: usize,
    /// Whether the therapist pinned it.
    pub pinned: bool,
    /// Value lost when it is taken out and the rest is kept; below zero for a pin that costs more than it
    /// gives (more of a shorter program is done).
    pub marginal: f64,
    /// Targets it serves.
    pub serves: Vec<Served>,
}

/// What an option does for a target.
#[derive(Debug, Clone, PartialEq)]
pub struct Served {
    /// The target.
    pub target: usize,
    /// Part of the weekly target.
    pub part: f64,
    /// Value that the target loses when the option is taken out, at the share that is done now.
    pub adds: f64,
}

/// An exercise left out.
#[derive(Debug, Clone, PartialEq)]
pub struct LeftOut {
    /// The option.
    pub option: usize,
    /// Value that it would add if the share done stayed as it is and moves were free.
    pub adds: f64,
    /// What the value of the program would change by with it: the share done with one more exercise and the
    /// moves counted, the limits not.
    pub change: f64,
    /// Limits that the program would pass with it. Where there are none, it is left out because more
    /// exercises are done less, or for its moves.
    pub passes: Vec<Limit>,
}

/// One option in, another out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Change {
    /// Taken out.
    pub out: Option<usize>,
    /// Taken in.
    pub into: usize,
}

/// A limit that binds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Binding {
    /// The limit.
    pub limit: Limit,
    /// The best change that this limit alone forbids.
    pub change: Change,
    /// Value that the change would add.
    pub gain: f64,
    /// How far it would pass the limit (seconds, exercises, exposure).
    pub over: f64,
}

/// The best program without one limit: what lifting it is worth is the difference of the values.
///
/// Without the number of exercises, as many are allowed as `share` has entries for.
///
/// # Errors
/// Those of [`choose`].
pub fn without(problem: &Problem, limit: Limit) -> Result<Choice, ChoiceError> {
    let mut lifted = problem.clone();
    match limit {
        Limit::Minutes => lifted.seconds = f64::INFINITY,
        Limit::Number => lifted.most = problem.share.len().saturating_sub(1).min(super::MOST_EXERCISES),
        Limit::Ceiling(ceiling) => {
            let (number, of) = (ceiling, problem.ceilings.len());
            let unknown = ChoiceError::Unknown { field: "ceilings", number, of };
            *lifted.ceilings.get_mut(ceiling).ok_or(unknown)? = f64::INFINITY;
        }
    }
    choose(&lifted)
}

/// The choice of a set, with its reasons.
pub(super) fn explain(prices: &Prices<'_>, set: &[usize]) -> Choice {
    let problem = prices.problem;
    let way = prices.best_way(prices.places(set)).0;
    let mut options = Vec::new();
    for place in way {
        options.extend(set.iter().copied().filter(|&it| prices.option(it).place == place));
    }
    let move_seconds = prices.move_seconds(set);
    let met = prices.met(set);
    Choice {
        value: prices.value(set),
        share: prices.share(set.len()),
        seconds: prices.work_seconds(set) + move_seconds,
        move_seconds,
        amounts: met.iter().zip(&problem.targets).map(|it| it.0 * it.1.weekly).collect(),
        exposure: (0..problem.ceilings.len()).map(|it| prices.exposure(set, it)).collect(),
        reasons: options.iter().map(|&it| reason(prices, set, &met, it)).collect(),
        left_out: left_out(prices, set),
        binding: binding(prices, set),
        untrained: untrained(prices),
        options,
    }
}

fn reason(prices: &Prices<'_>, set: &[usize], met: &[f64], option: usize) -> Reason {
    let rest: Vec<usize> = set.iter().copied().filter(|&it| it != option).collect();
    let without = prices.met(&rest);
    let share = prices.share(set.len());
    let serves = prices
        .parts(option)
        .iter()
        .map(|&(target, part)| {
            let lost = prices.returns(met[target]) - prices.returns(without[target]);
            Served { target, part, adds: share * prices.problem.targets[target].weight * lost }
        })
        .collect();
    Reason {
        option,
        pinned: prices.pinned[prices.option(option).exercise],
        marginal: prices.value(set) - prices.value(&rest),
        serves,
    }
}

/// Options of exercises that are neither banned nor in the set.
fn outside<'a>(prices: &'a Prices<'_>, set: &'a [usize]) -> impl Iterator<Item = usize> + 'a {
    let inside = |exercise: usize| set.iter().any(|&it| prices.option(it).exercise == exercise);
    (0..prices.problem.options.len()).filter(move |&it| {
        let exercise = prices.option(it).exercise;
        !prices.problem.bans.contains(&exercise) && !inside(exercise)
    })
}

fn left_out(prices: &Prices<'_>, set: &[usize]) -> Option<LeftOut> {
    let met = prices.met(set);
    let share = prices.share(set.len().max(1));
    let mut best: Option<(f64, usize)> = None;
    for option in outside(prices, set) {
        let adds = share * prices.adds(&met, option);
        if adds > prices.grain && best.is_none_or(|it| adds > it.0) {
            best = Some((adds, option));
        }
    }
    let (adds, option) = best?;
    let with = changed(set, Change { out: None, into: option });
    let change = prices.value(&with) - prices.value(set);
    Some(LeftOut { option, adds, change, passes: passed(prices, &with).into_iter().map(|it| it.0).collect() })
}

fn changed(set: &[usize], change: Change) -> Vec<usize> {
    let mut with: Vec<usize> = set.iter().copied().filter(|&it| change.out != Some(it)).collect();
    with.push(change.into);
    with.sort_unstable();
    with
}

/// Limits that a set passes, and by how much.
fn passed(prices: &Prices<'_>, set: &[usize]) -> Vec<(Limit, f64)> {
    let problem = prices.problem;
    let seconds = prices.work_seconds(set) + prices.move_seconds(set);
    let sums =
        [(Limit::Minutes, seconds, problem.seconds), (Limit::Number, set.len() as f64, problem.most as f64)];
    let ceilings = problem
        .ceilings
        .iter()
        .enumerate()
        .map(|(it, &ceiling)| (Limit::Ceiling(it), prices.exposure(set, it), ceiling));
    sums.into_iter()
        .chain(ceilings)
        .filter(|it| !keeps(it.1, it.2))
        .map(|(limit, sum, most)| (limit, sum - most))
        .collect()
}

/// For each limit the best change of one exercise or dose that it alone forbids.
fn binding(prices: &Prices<'_>, set: &[usize]) -> Vec<Binding> {
    let value = prices.value(set);
    let mut out: Vec<Binding> = Vec::new();
    for change in changes(prices, set) {
        let with = changed(set, change);
        let gain = prices.value(&with) - value;
        let passed = passed(prices, &with);
        let &[(limit, over)] = passed.as_slice() else { continue };
        if gain <= prices.grain {
            continue;
        }
        match out.iter_mut().find(|it| it.limit == limit) {
            Some(known) if known.gain >= gain => {}
            Some(known) => *known = Binding { limit, change, gain, over },
            None => out.push(Binding { limit, change, gain, over }),
        }
    }
    out.sort_by_key(|it| it.limit);
    out
}

/// All ways to take in one more exercise, to exchange one for another, or to change a dose.
fn changes(prices: &Prices<'_>, set: &[usize]) -> Vec<Change> {
    let mut out: Vec<Change> = outside(prices, set).map(|into| Change { out: None, into }).collect();
    for &gone in set {
        let exercise = prices.option(gone).exercise;
        if !prices.pinned[exercise] {
            out.extend(outside(prices, set).map(|into| Change { out: Some(gone), into }));
        }
        let doses = (0..prices.problem.options.len()).filter(|&it| prices.option(it).exercise == exercise);
        out.extend(doses.filter(|&it| it != gone).map(|into| Change { out: Some(gone), into }));
    }
    out
}

/// Targets with a value that no usable option serves.
fn untrained(prices: &Prices<'_>) -> Vec<usize> {
    let served =
        |target: usize| prices.usable.iter().any(|&it| prices.parts(it).iter().any(|part| part.0 == target));
    let targets = &prices.problem.targets;
    (0..targets.len()).filter(|&it| targets[it].weight > 0.0 && !served(it)).collect()
}
