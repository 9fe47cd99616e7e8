//! Whether a problem is well formed, and why its pins cannot be held.

use super::price::{Prices, keeps};
use super::{ChoiceError, MOST_EXERCISES, MOST_PLACES, Problem};

/// Refuses a problem that is not well formed.
pub(super) fn check(problem: &Problem) -> Result<(), ChoiceError> {
    check_shape(problem)?;
    check_names(problem)?;
    check_numbers(problem)?;
    check_pins(problem)
}

fn check_shape(problem: &Problem) -> Result<(), ChoiceError> {
    for (field, number, most) in
        [("most", problem.most, MOST_EXERCISES), ("place_cost", problem.place_cost.len(), MOST_PLACES)]
    {
        if number > most {
            return Err(ChoiceError::TooMany { field, number, most });
        }
    }
    let places = problem.place_cost.len();
    let or_none = |list: &[f64]| if list.is_empty() { 0 } else { places };
    let exact = [
        ("start_cost", or_none(&problem.start_cost), problem.start_cost.len()),
        ("end_cost", or_none(&problem.end_cost), problem.end_cost.len()),
    ];
    let rows = problem.place_cost.iter().map(|it| ("place_cost", places, it.len()));
    let exposures = problem.options.iter().map(|it| ("exposure", problem.ceilings.len(), it.exposure.len()));
    for (field, expected, found) in exact.into_iter().chain(rows).chain(exposures) {
        if expected != found {
            return Err(ChoiceError::Shape { field, expected, found });
        }
    }
    let (expected, found) = (problem.most + 1, problem.share.len());
    if found < expected { Err(ChoiceError::Shape { field: "share", expected, found }) } else { Ok(()) }
}

fn check_names(problem: &Problem) -> Result<(), ChoiceError> {
    let exercises = problem.options.iter().map(|it| ("exercise", it.exercise, problem.exercises));
    let places = problem.options.iter().map(|it| ("place", it.place, problem.place_cost.len()));
    let targets = problem.options.iter().flat_map(|it| &it.weekly);
    let targets = targets.map(|it| ("weekly", it.0, problem.targets.len()));
    let pins = problem.pins.iter().map(|&it| ("pins", it, problem.exercises));
    let bans = problem.bans.iter().map(|&it| ("bans", it, problem.exercises));
    for (field, number, of) in exercises.chain(places).chain(targets).chain(pins).chain(bans) {
        if number >= of {
            return Err(ChoiceError::Unknown { field, number, of });
        }
    }
    Ok(())
}

fn check_numbers(problem: &Problem) -> Result<(), ChoiceError> {
    const SOME: &str = "zero or more, and finite";
    const ANY: &str = "zero or more";
    let some = |field, list: &[f64]| number(field, SOME, list, |it| it >= 0.0 && it.is_finite());
    let any = |field, list: &[f64]| number(field, ANY, list, |it| it >= 0.0);
    for target in &problem.targets {
        some("weight", &[target.weight])?;
        number("weekly", "above zero, and finite", &[target.weekly], |it| it > 0.0 && it.is_finite())?;
    }
    for option in &problem.options {
        some("seconds_per_day", &[option.seconds_per_day])?;
        any("exposure", &option.exposure)?;
        number("bonus", "finite", &[option.bonus], f64::is_finite)?;
        for &(_, amount) in &option.weekly {
            some("weekly", &[amount])?;
        }
    }
    for (from, row) in problem.place_cost.iter().enumerate() {
        for (_, cost) in row.iter().enumerate().filter(|it| it.0 != from) {
            some("place_cost", &[*cost])?;
        }
    }
    some("start_cost", &problem.start_cost)?;
    some("end_cost", &problem.end_cost)?;
    some("share", problem.share.get(1..).unwrap_or_default())?;
    some("move_charge", &[problem.move_charge])?;
    any("seconds", &[problem.seconds])?;
    any("ceilings", &problem.ceilings)?;
    let mut before = (0.0, f64::INFINITY);
    for stretch in &problem.returns {
        some("slope", &[stretch.slope])?;
        number("slope", "no more than the slope before", &[stretch.slope], |it| it <= before.1)?;
        let rises = |it: f64| it > before.0 && it.is_finite();
        number("up_to", "above the one before, and finite", &[stretch.up_to], rises)?;
        before = (stretch.up_to, stretch.slope);
    }
    Ok(())
}

fn number(
    field: &'static str,
    expected: &'static str,
    list: &[f64],
    holds: impl Fn(f64) -> bool,
) -> Result<(), ChoiceError> {
    match list.iter().find(|it| !holds(**it)) {
        Some(&found) => Err(ChoiceError::Number { field, expected, found }),
        None => Ok(()),
    }
}

fn check_pins(problem: &Problem) -> Result<(), ChoiceError> {
    for &exercise in &problem.pins {
        if problem.bans.contains(&exercise) {
            return Err(ChoiceError::PinnedAndBanned { exercise });
        }
        if problem.options.iter().all(|it| it.exercise != exercise) {
            return Err(ChoiceError::PinWithoutOption { exercise });
        }
    }
    let pins = pinned(problem).len();
    if pins > problem.most { Err(ChoiceError::TooManyPins { pins, most: problem.most }) } else { Ok(()) }
}

/// The pinned exercises, each once.
fn pinned(problem: &Problem) -> Vec<usize> {
    let mut pins = problem.pins.clone();
    pins.sort_unstable();
    pins.dedup();
    pins
}

/// Which limit the pins pass, where no set can hold them.
pub(super) fn why_no_set(prices: &Prices<'_>) -> ChoiceError {
    let problem = prices.problem;
    let pins = pinned(problem);
    let doses = |exercise: usize| problem.options.iter().filter(move |it| it.exercise == exercise);
    for (ceiling, &allowed) in problem.ceilings.iter().enumerate() {
        let least: f64 = pins
            .iter()
            .map(|&pin| doses(pin).map(|it| it.exposure[ceiling]).fold(f64::INFINITY, f64::min))
            .sum();
        if !keeps(least, allowed) {
            return ChoiceError::PinsOverCeiling { ceiling, least, allowed };
        }
    }
    let least = least_seconds(prices, &pins, &mut Vec::new());
    let allowed = problem.seconds;
    if keeps(least, allowed) {
        ChoiceError::PinsTogether
    } else {
        ChoiceError::PinsTooLong { least, allowed }
    }
}

/// Least seconds a day of the pins, over the shortest dose of each in each of its places.
fn least_seconds(prices: &Prices<'_>, pins: &[usize], set: &mut Vec<usize>) -> f64 {
    let [pin, rest @ ..] = pins else {
        return prices.work_seconds(set) + prices.move_seconds(set);
    };
    let options = &prices.problem.options;
    let mut least = f64::INFINITY;
    for (number, option) in options.iter().enumerate().filter(|it| it.1.exercise == *pin) {
        let shorter = |other: &super::DoseOption| {
            other.exercise == *pin
                && other.place == option.place
                && other.seconds_per_day < option.seconds_per_day
        };
        if !options.iter().any(shorter) {
            set.push(number);
            least = least.min(least_seconds(prices, rest, set));
            set.pop();
        }
    }
    least
}
