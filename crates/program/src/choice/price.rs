//! What a set of options is worth, and whether it keeps the limits.

use std::cell::RefCell;
use std::collections::BTreeMap;

use super::{DoseOption, MOST_PLACES, Problem};

/// Room for rounding when sums are held against limits, relative to the limit.
const ROUNDING: f64 = 1e-9;

/// Values closer than this part of the best single exercise count as equal.
pub(super) const GRAIN: f64 = 1e-7;

/// A problem made ready for pricing many sets.
pub(super) struct Prices<'a> {
    pub(super) problem: &'a Problem,
    /// Options that keep every limit by themselves and are not banned.
    pub(super) usable: Vec<usize>,
    /// `pinned[exercise]`.
    pub(super) pinned: Vec<bool>,
    /// Values closer than this count as equal.
    pub(super) grain: f64,
    /// Part of the weekly target that each option meets, by target.
    parts: Vec<Vec<(usize, f64)>>,
    /// Seconds of the best way through a set of places.
    ways: RefCell<BTreeMap<u64, f64>>,
}

/// Whether a sum keeps a limit.
pub(super) fn keeps(sum: f64, limit: f64) -> bool {
    sum <= limit + ROUNDING * (1.0 + limit.abs())
}

impl<'a> Prices<'a> {
    pub(super) fn new(problem: &'a Problem) -> Self {
        let parts = problem
            .options
            .iter()
            .map(|it| {
                let mut parts: BTreeMap<usize, f64> = BTreeMap::new();
                for &(target, amount) in &it.weekly {
                    *parts.entry(target).or_default() += amount / problem.targets[target].weekly;
                }
                parts.into_iter().filter(|it| it.1 > 0.0).collect()
            })
            .collect();
        let mut pinned = vec![false; problem.exercises];
        for &exercise in &problem.pins {
            pinned[exercise] = true;
        }
        let ways = RefCell::new(BTreeMap::new());
        let mut out = Prices { problem, usable: Vec::new(), pinned, grain: 0.0, parts, ways };
        out.usable = (0..problem.options.len()).filter(|&it| out.is_usable(it)).collect();
        let largest = out.usable.iter().map(|&it| out.training(&[it]).abs()).fold(0.0, f64::max);
        out.grain = if largest > 0.0 { GRAIN * largest } else { GRAIN };
        out
    }

    fn is_usable(&self, option: usize) -> bool {
        let it = self.option(option);
        !self.problem.bans.contains(&it.exercise)
            && keeps(it.seconds_per_day, self.problem.seconds)
            && (0..self.problem.ceilings.len())
                .all(|ceiling| keeps(it.exposure[ceiling], self.problem.ceilings[ceiling]))
    }

    /// Usable options without those that are never needed: as many other exercises as a program may have, or
    /// another dose of the same one, are as good in every respect and come first. Whatever set holds such an
    /// option, one of these can take its place; the set is worth no less, keeps every limit, and comes before.
    pub(super) fn worth_looking_at(&self) -> Vec<usize> {
        let most = self.problem.most.max(1);
        let kept = |&option: &usize| {
            let it = self.option(option);
            if self.pinned[it.exercise] {
                return true;
            }
            let mut better: Vec<usize> = Vec::new();
            for &other in self.usable.iter().take_while(|&&other| other < option) {
                let by = self.option(other).exercise;
                if by == it.exercise && self.is_as_good(other, option) {
                    return false;
                }
                if !better.contains(&by) && by != it.exercise && self.is_as_good(other, option) {
                    better.push(by);
                }
            }
            better.len() < most
        };
        self.usable.iter().copied().filter(kept).collect()
    }

    /// True when an option is in no respect worse than another: place, training, bonus, time and exposure.
    fn is_as_good(&self, option: usize, other: usize) -> bool {
        let (a, b) = (self.option(option), self.option(other));
        let part =
            |of: usize, target: usize| self.parts[of].iter().find(|it| it.0 == target).map_or(0.0, |it| it.1);
        let weight = |target: usize| self.problem.targets[target].weight;
        a.place == b.place
            && a.bonus >= b.bonus
            && a.seconds_per_day <= b.seconds_per_day
            && a.exposure.iter().zip(&b.exposure).all(|(a, b)| a <= b)
            && self.parts[other]
                .iter()
                .all(|&(target, part_b)| weight(target) >= 0.0 && part(option, target) >= part_b)
            && self.parts[option].iter().all(|&(target, _)| weight(target) >= 0.0)
    }

    pub(super) fn option(&self, option: usize) -> &DoseOption {
        &self.problem.options[option]
    }

    /// Part of the weekly target that an option meets, by target.
    pub(super) fn parts(&self, option: usize) -> &[(usize, f64)] {
        &self.parts[option]
    }

    /// Number of exercises with a usable option.
    pub(super) fn exercises(&self) -> usize {
        let mut exercises: Vec<usize> = self.usable.iter().map(|&it| self.option(it).exercise).collect();
        exercises.sort_unstable();
        exercises.dedup();
        exercises.len()
    }

    /// Value of a target of weight 1 of which `part` of the weekly amount is done.
    pub(super) fn returns(&self, part: f64) -> f64 {
        let mut from = 0.0;
        let mut value = 0.0;
        for stretch in &self.problem.returns {
            value += stretch.slope * (part.min(stretch.up_to) - from).max(0.0);
            from = stretch.up_to;
        }
        value
    }

    /// Parts of the weekly targets that a set meets.
    pub(super) fn met(&self, set: &[usize]) -> Vec<f64> {
        let mut met = vec![0.0; self.problem.targets.len()];
        for &option in set {
            for &(target, part) in &self.parts[option] {
                met[target] += part;
            }
        }
        met
    }

    /// What an option adds to the training where `met` is done already.
    pub(super) fn adds(&self, met: &[f64], option: usize) -> f64 {
        let gain: f64 = self.parts[option]
            .iter()
            .map(|&(target, part)| {
                let more = self.returns(met[target] + part) - self.returns(met[target]);
                self.problem.targets[target].weight * more
            })
            .sum();
        gain + self.option(option).bonus
    }

    /// Value of a set if all of it is done, without the charge for moves.
    pub(super) fn training(&self, set: &[usize]) -> f64 {
        let trained: f64 = self
            .met(set)
            .iter()
            .zip(&self.problem.targets)
            .map(|(&it, of)| of.weight * self.returns(it))
            .sum();
        trained + set.iter().map(|&it| self.option(it).bonus).sum::<f64>()
    }

    /// Share of a program of `n` exercises that is expected to be done; beyond the list as at its end.
    pub(super) fn share(&self, n: usize) -> f64 {
        let share = &self.problem.share;
        if n == 0 { 0.0 } else { share.get(n).or(share.last()).copied().unwrap_or(0.0) }
    }

    /// Value of a set, whether it keeps the limits or not.
    pub(super) fn value(&self, set: &[usize]) -> f64 {
        self.share(set.len()) * self.training(set) - self.problem.move_charge * self.move_seconds(set)
    }

    /// Value of a set that keeps the limits and holds the pins.
    pub(super) fn price(&self, set: &[usize]) -> Option<f64> {
        let pins = set.iter().filter(|&&it| self.pinned[self.option(it).exercise]).count();
        let all_pins = self.pinned.iter().filter(|it| **it).count();
        (pins == all_pins && self.keeps_limits(set)).then(|| self.value(set))
    }

    /// Whether a set keeps the minutes, the ceilings, the number, and one dose per exercise.
    pub(super) fn keeps_limits(&self, set: &[usize]) -> bool {
        let twice = |at: usize| {
            set[..at].iter().any(|&other| self.option(other).exercise == self.option(set[at]).exercise)
        };
        set.len() <= self.problem.most
            && !(1..set.len()).any(twice)
            && (0..self.problem.ceilings.len())
                .all(|it| keeps(self.exposure(set, it), self.problem.ceilings[it]))
            && self.keeps_minutes(set)
    }

    /// Whether a set and its moves fit into the day.
    pub(super) fn keeps_minutes(&self, set: &[usize]) -> bool {
        let work = self.work_seconds(set);
        keeps(work, self.problem.seconds) && keeps(work + self.move_seconds(set), self.problem.seconds)
    }

    /// Exposure of a set to a ceiling, a week.
    pub(super) fn exposure(&self, set: &[usize], ceiling: usize) -> f64 {
        set.iter().map(|&it| self.option(it).exposure[ceiling]).sum()
    }

    /// Seconds a day without the moves.
    pub(super) fn work_seconds(&self, set: &[usize]) -> f64 {
        set.iter().map(|&it| self.option(it).seconds_per_day).sum()
    }

    /// The places of a set, one bit each.
    pub(super) fn places(&self, set: &[usize]) -> u64 {
        set.iter().fold(0, |mask, &it| mask | 1 << self.option(it).place)
    }

    /// Seconds a day of the best way through the places of a set.
    pub(super) fn move_seconds(&self, set: &[usize]) -> f64 {
        self.way_seconds(self.places(set))
    }

    /// Seconds a day of the best way through some places.
    pub(super) fn way_seconds(&self, places: u64) -> f64 {
        if let Some(&known) = self.ways.borrow().get(&places) {
            return known;
        }
        let seconds = self.best_way(places).1;
        self.ways.borrow_mut().insert(places, seconds);
        seconds
    }

    /// The best way through some places and its seconds; the first one of several, place by place.
    ///
    /// A table over the sets of places still to come (Held and Karp 1962).
    pub(super) fn best_way(&self, places: u64) -> (Vec<usize>, f64) {
        let places: Vec<usize> = (0..MOST_PLACES).filter(|it| places & (1 << it) != 0).collect();
        let (count, cost) = (places.len(), &self.problem.place_cost);
        let at = |list: &[f64], place: usize| list.get(place).copied().unwrap_or(0.0);
        // rest[left][p]: least seconds from place p on, with the places of `left` still to come.
        let mut rest = vec![vec![0.0; count]; 1 << count];
        for left in 0..1usize << count {
            for (p, &place) in places.iter().enumerate() {
                rest[left][p] = if left == 0 {
                    at(&self.problem.end_cost, place)
                } else {
                    (0..count)
                        .filter(|q| left & (1 << q) != 0)
                        .map(|q| cost[place][places[q]] + rest[left & !(1 << q)][q])
                        .fold(f64::INFINITY, f64::min)
                };
            }
        }
        let (mut way, mut left, mut seconds): (Vec<usize>, usize, f64) = (Vec::new(), (1 << count) - 1, 0.0);
        while left != 0 {
            let step = |q: usize| match way.last() {
                None => at(&self.problem.start_cost, places[q]),
                Some(&last) => cost[last][places[q]],
            };
            let mut next = (0, f64::INFINITY);
            for q in (0..count).filter(|q| left & (1 << q) != 0) {
                let total = step(q) + rest[left & !(1 << q)][q];
                if total < next.1 - ROUNDING {
                    next = (q, total);
                }
            }
            seconds += step(next.0);
            left &= !(1 << next.0);
            way.push(places[next.0]);
        }
        if let Some(&last) = way.last() {
            seconds += at(&self.problem.end_cost, last);
        }
        (way, seconds)
    }
}
