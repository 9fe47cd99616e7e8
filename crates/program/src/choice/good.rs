//! A good program to start from: simple ones, improved one exchange at a time.

use super::Priced;
use super::narrow::Left;
use super::price::Prices;

/// Options tried as the first one of a start, best first.
const STARTS: usize = 6;

/// Dose combinations of the pins that are looked at for a start.
const PIN_TRIES: usize = 4096;

/// A good program of at most `most` exercises, or none where none is found that holds the pins.
pub(super) fn start(prices: &Prices<'_>, most: usize) -> Option<Priced> {
    let mut tries = PIN_TRIES;
    let seed = hold_pins(prices, &mut Vec::new(), &mut tries)?;
    let mut firsts = prices.usable.clone();
    firsts.sort_by(|&a, &b| prices.training(&[b]).total_cmp(&prices.training(&[a])).then(a.cmp(&b)));
    let mut best = priced(prices, seed.clone());
    for first in firsts.into_iter().take(STARTS) {
        let mut set = seed.clone();
        if fits(prices, &set, first) {
            set.push(first);
        }
        while set.len() <= most && !set.is_empty() {
            if let Some(found) = priced(prices, set.clone()) {
                let found = improve(prices, found);
                if best.as_ref().is_none_or(|it| found.value > it.value) {
                    best = Some(found);
                }
            }
            let Some(next) = best_addition(prices, &set) else { break };
            set.push(next);
        }
    }
    best
}

/// Doses of the pins that keep all limits together, richest doses first.
fn hold_pins(prices: &Prices<'_>, set: &mut Vec<usize>, tries: &mut usize) -> Option<Vec<usize>> {
    *tries = tries.checked_sub(1)?;
    let held = |pin: usize| set.iter().any(|&it| prices.option(it).exercise == pin);
    let Some(pin) = (0..prices.pinned.len()).find(|&it| prices.pinned[it] && !held(it)) else {
        return prices.keeps_limits(set).then(|| set.clone());
    };
    let mut doses: Vec<usize> =
        prices.usable.iter().copied().filter(|&it| prices.option(it).exercise == pin).collect();
    doses.sort_by(|&a, &b| prices.training(&[b]).total_cmp(&prices.training(&[a])).then(a.cmp(&b)));
    for dose in doses {
        set.push(dose);
        let found = hold_pins(prices, set, tries);
        set.pop();
        if found.is_some() {
            return found;
        }
    }
    None
}

fn priced(prices: &Prices<'_>, mut set: Vec<usize>) -> Option<Priced> {
    set.sort_unstable();
    let value = prices.price(&set)?;
    Some(Priced { set, value })
}

/// Whether a set keeps its limits with one more option.
fn fits(prices: &Prices<'_>, set: &[usize], option: usize) -> bool {
    let mut with = set.to_vec();
    with.push(option);
    prices.keeps_limits(&with)
}

fn best_addition(prices: &Prices<'_>, set: &[usize]) -> Option<usize> {
    let met = prices.met(set);
    let mut best: Option<(f64, usize)> = None;
    for &option in &prices.usable {
        let adds = prices.adds(&met, option);
        if best.is_none_or(|it| adds > it.0) && fits(prices, set, option) {
            best = Some((adds, option));
        }
    }
    best.map(|it| it.1)
}

/// Exchanges one option for another as long as that makes the program better.
pub(super) fn improve(prices: &Prices<'_>, mut now: Priced) -> Priced {
    loop {
        let mut best: Option<Priced> = None;
        for at in 0..now.set.len() {
            let rest = without(&now.set, at);
            let (met, trained) = (prices.met(&rest), prices.training(&rest));
            let share = prices.share(now.set.len());
            for &option in &prices.usable {
                let bar = best.as_ref().map_or(now.value + prices.grain, |it| it.value);
                // The charge for moves can only take away from this.
                if share * (trained + prices.adds(&met, option)) > bar {
                    let found = exchanged(prices, &rest, option).filter(|it| it.value > bar);
                    best = found.or(best);
                }
            }
        }
        match best {
            Some(better) => now = better,
            None => return now,
        }
    }
}

/// A good program of `n` exercises of what is left, or none where none is found: each option is filled up with
/// those that add most after tolls, and the best of these programs is improved by exchanges.
pub(super) fn among(prices: &Prices<'_>, left: &Left, n: usize) -> Option<Priced> {
    let mut best: Option<Priced> = None;
    for first in 0..left.options.len() {
        let found = fill_up(prices, left, first, n).and_then(|it| priced(prices, it));
        if found.as_ref().is_some_and(|it| best.as_ref().is_none_or(|best| it.value > best.value)) {
            best = found;
        }
    }
    let mut best = improve(prices, best?);
    while let Some(better) = exchange_two(prices, left, &best) {
        best = improve(prices, better);
    }
    Some(best)
}

fn fill_up(prices: &Prices<'_>, left: &Left, first: usize, n: usize) -> Option<Vec<usize>> {
    let mut set = vec![left.options[first]];
    let mut partners = left.partners[first].clone();
    while set.len() < n {
        let met = prices.met(&set);
        let mut best: Option<(f64, usize)> = None;
        for (at, &option) in left.options.iter().enumerate() {
            let adds = prices.adds(&met, option) - left.tolls[at];
            if best.is_none_or(|it| adds > it.0)
                && partners.binary_search(&option).is_ok()
                && fits(prices, &set, option)
            {
                best = Some((adds, at));
            }
        }
        let (_, at) = best?;
        set.push(left.options[at]);
        partners.retain(|it| left.partners[at].binary_search(it).is_ok());
    }
    Some(set)
}

/// The best program that differs in two options, if that is better.
fn exchange_two(prices: &Prices<'_>, left: &Left, now: &Priced) -> Option<Priced> {
    let share = prices.share(now.set.len());
    let mut best: Option<Priced> = None;
    for a in 1..now.set.len() {
        for b in 0..a {
            let rest = without(&without(&now.set, a), b);
            let (met, trained) = (prices.met(&rest), prices.training(&rest));
            let adds: Vec<f64> = left.options.iter().map(|&it| prices.adds(&met, it)).collect();
            for (i, partners) in left.partners.iter().enumerate() {
                for (j, &other) in left.options.iter().enumerate().take(i) {
                    let bar = best.as_ref().map_or(now.value + prices.grain, |it| it.value);
                    if share * (trained + adds[i] + adds[j]) > bar && partners.binary_search(&other).is_ok() {
                        let mut set = rest.clone();
                        set.extend([left.options[i], other]);
                        best = priced(prices, set).filter(|it| it.value > bar).or(best);
                    }
                }
            }
        }
    }
    best
}

/// Exchanges one option for an earlier one as long as the value stays at `floor` or above.
pub(super) fn move_forward(prices: &Prices<'_>, mut now: Priced, floor: f64) -> Priced {
    'again: loop {
        for at in 0..now.set.len() {
            let rest = without(&now.set, at);
            for &option in prices.usable.iter().filter(|&&it| it < now.set[at]) {
                if let Some(found) = exchanged(prices, &rest, option).filter(|it| it.value >= floor) {
                    now = found;
                    continue 'again;
                }
            }
        }
        return now;
    }
}

fn without(set: &[usize], at: usize) -> Vec<usize> {
    let mut rest = set.to_vec();
    rest.remove(at);
    rest
}

fn exchanged(prices: &Prices<'_>, rest: &[usize], option: usize) -> Option<Priced> {
    let mut set = rest.to_vec();
    set.push(option);
    priced(prices, set)
}
