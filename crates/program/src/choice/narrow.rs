//! Which options, and which two together, can be in a program that is good enough.
//!
//! What a set trains is submodular: an exercise adds at most as much to a larger set as to a smaller one. So
//! a set of n exercises with two options trains at most what the two train plus the n - 2 largest additions
//! of others to the two. Pairs that fall short are crossed out, options that lack partners with them, and
//! again, as long as that crosses out more. Pairs that are left are tried with each third option.
//!
//! Minutes and ceilings enter by tolls: a set that keeps a limit is worth no less when each unit of the limit
//! that it leaves unused is paid for and each unit that it uses is charged (Lagrange). The tolls are those
//! under which the bound over all sets is lowest.

use std::collections::BTreeMap;

use super::price::{Prices, keeps};

/// Times that all pairs are gone through.
const ROUNDS: usize = 4;

/// Options above which tolls are worth their time.
const FEW: usize = 12;

/// Ways between places that are worth going through one by one.
const MOST_WAYS: usize = 5000;

/// Passes over the tolls, and steps of the search for each.
const TOLL_PASSES: usize = 2;
const TOLL_STEPS: usize = 12;

/// What options train alone and in pairs.
pub(super) struct Narrow {
    /// What each usable option trains alone.
    alone: Vec<f64>,
    /// `adds[i][k]`: what usable option k adds to i.
    adds: Vec<Vec<f64>>,
    /// `met[i][target]`: part of each weekly target that the option meets.
    met: Vec<Vec<f64>>,
    /// `uses[limit][i]`: part of each finite limit that the option uses.
    uses: Vec<Vec<f64>>,
}

/// Charges for the use of limits.
struct Tolls {
    /// For the use of a whole limit.
    rates: Vec<f64>,
    /// For each usable option.
    each: Vec<f64>,
}

/// What is left of the options.
pub(super) struct Left {
    /// Options, sorted.
    pub(super) options: Vec<usize>,
    /// For each of them the options that can be in a program with it.
    pub(super) partners: Vec<Vec<usize>>,
    /// For each of them the toll for what it uses of the limits.
    pub(super) tolls: Vec<f64>,
}

impl Narrow {
    pub(super) fn new(prices: &Prices<'_>) -> Self {
        let usable = &prices.usable;
        let met: Vec<Vec<f64>> = usable.iter().map(|&it| prices.met(&[it])).collect();
        let adds: Vec<Vec<f64>> =
            met.iter().map(|met| usable.iter().map(|&it| prices.adds(met, it)).collect()).collect();
        let alone = usable.iter().map(|&it| prices.training(&[it])).collect();
        Narrow { alone, adds, met, uses: uses(prices) }
    }

    /// Options that may be in a set of `n` exercises whose value is `floor` or more.
    pub(super) fn left(&self, prices: &Prices<'_>, n: usize, floor: f64) -> Left {
        let count = prices.usable.len();
        let share = prices.share(n);
        // Least that a set must train; nothing can be crossed out where nothing is done of it.
        let least = if share > 0.0 { floor / share } else { f64::NEG_INFINITY };
        let mut pairs = Pairs { alive: vec![true; count], may: vec![vec![false; count]; count] };
        let limits = Least::new(prices, n);
        let mut aim = Aim { n, least, limits: &limits, tolls: self.tolls(vec![0.0; self.uses.len()]) };
        self.cross_out_far(prices, n, least, &mut pairs);
        if n > 1 {
            start_pairs(prices, n, &limits, &mut pairs);
            self.cross_out(prices, &aim, &mut pairs);
            let mut before = usize::MAX;
            while least.is_finite() && pairs.left() > FEW && pairs.left() < before {
                before = pairs.left();
                aim.tolls = self.best_tolls(prices, n, &pairs);
                self.cross_out(prices, &aim, &mut pairs);
                self.cross_out_without_third(prices, &aim, &mut pairs);
            }
        }
        let alive: Vec<usize> = (0..count).filter(|&it| pairs.alive[it]).collect();
        let partners = alive.iter().map(|&i| {
            let may = alive.iter().filter(|&&k| pairs.may[i][k]);
            may.map(|&k| prices.usable[k]).collect()
        });
        Left {
            partners: partners.collect(),
            options: alive.iter().map(|&it| prices.usable[it]).collect(),
            tolls: alive.iter().map(|&it| aim.tolls.each[it]).collect(),
        }
    }

    /// Crosses out options with which no set of `n` exercises trains `least`, from what others add to them.
    fn cross_out_far(&self, prices: &Prices<'_>, n: usize, least: f64, pairs: &mut Pairs) {
        let exercise = |it: usize| prices.option(prices.usable[it]).exercise;
        for i in 0..pairs.alive.len() {
            let mut top: Vec<(f64, usize)> = Vec::new();
            for k in (0..pairs.alive.len()).filter(|&k| n > 1 && exercise(k) != exercise(i)) {
                if top.len() < n - 1 || self.adds[i][k] > top[n - 2].0 {
                    insert(&mut top, n - 1, (self.adds[i][k], exercise(k)));
                }
            }
            let most = self.alone[i] + top.iter().map(|it| it.0).sum::<f64>();
            pairs.alive[i] = top.len() == n - 1 && most >= least;
        }
    }

    fn tolls(&self, rates: Vec<f64>) -> Tolls {
        let each = (0..self.alone.len())
            .map(|i| rates.iter().zip(&self.uses).map(|(rate, uses)| rate * uses[i]).sum())
            .collect();
        Tolls { rates, each }
    }

    /// The tolls with the lowest bound over all sets of `n` exercises, found limit by limit: the bound is
    /// convex in each.
    fn best_tolls(&self, prices: &Prices<'_>, n: usize, pairs: &Pairs) -> Tolls {
        let bound = |rates: &[f64]| self.bound(prices, n, pairs, &self.tolls(rates.to_vec()));
        let mut rates = vec![0.0; self.uses.len()];
        let highest = bound(&rates);
        for _ in 0..TOLL_PASSES {
            for limit in 0..rates.len() {
                let (mut low, mut high) = (0.0, highest);
                for _ in 0..TOLL_STEPS {
                    let thirds = [low + (high - low) / 3.0, high - (high - low) / 3.0];
                    let [a, b] = thirds.map(|it| {
                        rates[limit] = it;
                        bound(&rates)
                    });
                    if a <= b {
                        high = thirds[1];
                    } else {
                        low = thirds[0];
                    }
                }
                rates[limit] = low;
            }
        }
        self.tolls(rates)
    }

    /// The most that a set of `n` exercises of those left can train, with tolls.
    fn bound(&self, prices: &Prices<'_>, n: usize, pairs: &Pairs, tolls: &Tolls) -> f64 {
        let exercise = |it: usize| prices.option(prices.usable[it]).exercise;
        let mut most = f64::NEG_INFINITY;
        for i in (0..pairs.alive.len()).filter(|&it| pairs.alive[it]) {
            let mut top: Vec<(f64, usize)> = Vec::new();
            for k in (0..pairs.alive.len()).filter(|&k| pairs.may[i][k]) {
                let add = self.adds[i][k] - tolls.each[k];
                if top.len() < n - 1 || add > top[n - 2].0 {
                    insert(&mut top, n - 1, (add, exercise(k)));
                }
            }
            let sum: f64 = top.iter().map(|it| it.0).sum();
            most = most.max(self.alone[i] - tolls.each[i] + sum);
        }
        most + tolls.rates.iter().sum::<f64>()
    }

    /// Crosses out pairs and options until nothing more falls, or long enough.
    fn cross_out(&self, prices: &Prices<'_>, aim: &Aim<'_>, pairs: &mut Pairs) {
        let order = self.order(prices, pairs, &aim.tolls);
        for _ in 0..ROUNDS {
            while cross_out_options(prices, aim.n, pairs) {}
            let crossed = self.cross_out_pairs(prices, aim, pairs, &order);
            if !crossed || pairs.left() == 0 {
                break;
            }
        }
        while cross_out_options(prices, aim.n, pairs) {}
    }

    /// For each option its partners, by what they add to it, largest first.
    fn order(&self, prices: &Prices<'_>, pairs: &Pairs, tolls: &Tolls) -> Vec<Vec<usize>> {
        (0..prices.usable.len())
            .map(|i| {
                let mut order: Vec<usize> = (0..prices.usable.len()).filter(|&k| pairs.may[i][k]).collect();
                let adds = |k: usize| self.adds[i][k] - tolls.each[k];
                order.sort_by(|&a, &b| adds(b).total_cmp(&adds(a)).then(a.cmp(&b)));
                order
            })
            .collect()
    }

    /// Crosses out pairs with which no set is good enough; whether there were any.
    fn cross_out_pairs(
        &self,
        prices: &Prices<'_>,
        aim: &Aim<'_>,
        pairs: &mut Pairs,
        order: &[Vec<usize>],
    ) -> bool {
        let mut crossed = false;
        for (i, order) in order.iter().enumerate() {
            for j in 0..i {
                if pairs.may[i][j] && !self.may_be_enough(prices, aim, pairs, order, (i, j)) {
                    pairs.cross_out(i, j);
                    crossed = true;
                }
            }
        }
        crossed
    }

    /// Whether a set with a pair may be good enough; `order` holds the options by what they add to the first.
    fn may_be_enough(
        &self,
        prices: &Prices<'_>,
        aim: &Aim<'_>,
        pairs: &Pairs,
        order: &[usize],
        (i, j): (usize, usize),
    ) -> bool {
        let trained = self.alone[i] + self.adds[i][j] + aim.paid(prices, &[i, j]);
        let more = aim.n - 2;
        if more == 0 {
            return trained >= aim.least;
        }
        // The largest additions to the pair so far, largest first, one per exercise.
        let mut top: Vec<(f64, usize)> = Vec::new();
        let full = |top: &[(f64, usize)], add: f64| top.len() == more && top[more - 1].0 >= add;
        for &k in order {
            let toll = aim.tolls.each[k];
            if full(&top, self.adds[i][k] - toll) {
                break;
            }
            let set = [i, j, k].map(|it| prices.usable[it]);
            if !pairs.may[i][k]
                || !pairs.may[j][k]
                || full(&top, self.adds[i][k].min(self.adds[j][k]) - toll)
                || !aim.limits.may_keep(prices, &set, more - 1)
            {
                continue;
            }
            let add = self.adds_to_pair(prices, (i, j), k) - toll;
            insert(&mut top, more, (add, prices.option(set[2]).exercise));
            if top.len() == more && trained + top.iter().map(|it| it.0).sum::<f64>() >= aim.least {
                return true;
            }
        }
        false
    }

    /// Crosses out pairs that no third option makes good enough.
    fn cross_out_without_third(&self, prices: &Prices<'_>, aim: &Aim<'_>, pairs: &mut Pairs) {
        if aim.n < 4 {
            // A pair and the best third are all of three already.
            return;
        }
        for i in 0..pairs.alive.len() {
            for j in 0..i {
                if !pairs.may[i][j] {
                    continue;
                }
                // Options that may come to the pair, with what they add to it.
                let more: Vec<(usize, f64)> = (0..pairs.alive.len())
                    .filter(|&k| pairs.may[i][k] && pairs.may[j][k])
                    .map(|k| (k, self.adds_to_pair(prices, (i, j), k)))
                    .collect();
                if !more.iter().any(|&(k, _)| self.third_is_enough(prices, aim, pairs, [i, j, k], &more)) {
                    pairs.cross_out(i, j);
                }
            }
        }
        while cross_out_options(prices, aim.n, pairs) {}
    }

    /// Whether a set with three options may be good enough; `more` holds what options add to the first two.
    fn third_is_enough(
        &self,
        prices: &Prices<'_>,
        aim: &Aim<'_>,
        pairs: &Pairs,
        [i, j, k]: [usize; 3],
        more: &[(usize, f64)],
    ) -> bool {
        let [a, b, c] = [i, j, k].map(|it| prices.usable[it]);
        let missing = aim.n - 3;
        if !aim.limits.may_keep(prices, &[a, b, c], missing) {
            return false;
        }
        let mut top: Vec<(f64, usize)> = Vec::new();
        for &(l, to_pair) in more.iter().filter(|it| pairs.may[k][it.0]) {
            let add = to_pair.min(self.adds[k][l]) - aim.tolls.each[l];
            let option = prices.usable[l];
            if (top.len() < missing || add > top[missing - 1].0)
                && aim.limits.may_keep(prices, &[a, b, c, option], missing - 1)
            {
                insert(&mut top, missing, (add, prices.option(option).exercise));
            }
        }
        let trained = self.alone[i] + self.adds[i][j] + self.adds_to_pair(prices, (i, j), k);
        let trained = trained + aim.paid(prices, &[i, j, k]);
        top.len() == missing && trained + top.iter().map(|it| it.0).sum::<f64>() >= aim.least
    }

    fn adds_to_pair(&self, prices: &Prices<'_>, (i, j): (usize, usize), k: usize) -> f64 {
        let option = prices.usable[k];
        let gain: f64 = prices
            .parts(option)
            .iter()
            .map(|&(target, part)| {
                let met = self.met[i][target] + self.met[j][target];
                prices.problem.targets[target].weight * (prices.returns(met + part) - prices.returns(met))
            })
            .sum();
        gain + prices.option(option).bonus
    }
}

/// What a set must come to.
struct Aim<'a> {
    /// Number of exercises.
    n: usize,
    /// Least that it must train.
    least: f64,
    limits: &'a Least,
    tolls: Tolls,
}

struct Pairs {
    alive: Vec<bool>,
    may: Vec<Vec<bool>>,
}

/// Least seconds of a way through up to three places, whatever other places it goes through.
///
/// A way through more places can be shorter, for costs need not obey the triangle inequality.
struct Ways {
    least: BTreeMap<u64, f64>,
}

impl Ways {
    /// Over all ways through at most `most` of the places in use; none where these are too many to be worth it.
    fn new(prices: &Prices<'_>, most: usize) -> Self {
        let in_use = prices.places(&prices.usable);
        let places: Vec<u64> = (0..u64::BITS).map(|it| 1 << it).filter(|it| in_use & it != 0).collect();
        let mut out = Ways { least: BTreeMap::new() };
        if subsets(places.len(), most) <= MOST_WAYS {
            out.extend(prices, &places, 0, most);
        }
        out
    }

    fn extend(&mut self, prices: &Prices<'_>, places: &[u64], way: u64, most: usize) {
        if way != 0 {
            let seconds = prices.way_seconds(way);
            let here: Vec<u64> = (0..u64::BITS).map(|it| 1 << it).filter(|it| way & it != 0).collect();
            for &a in &here {
                for &b in &here {
                    for &c in &here {
                        let least = self.least.entry(a | b | c).or_insert(f64::INFINITY);
                        *least = least.min(seconds);
                    }
                }
            }
        }
        if most > 0 {
            for (at, &next) in places.iter().enumerate() {
                self.extend(prices, &places[at + 1..], way | next, most - 1);
            }
        }
    }

    fn least(&self, places: u64) -> f64 {
        self.least.get(&places).copied().unwrap_or(0.0)
    }
}

/// Number of subsets of at most `most` elements.
fn subsets(count: usize, most: usize) -> usize {
    let mut of_size = 1usize;
    (1..=most.min(count)).fold(1, |sum: usize, size| {
        of_size = of_size.saturating_mul(count + 1 - size) / size;
        sum.saturating_add(of_size)
    })
}

impl Aim<'_> {
    /// What is paid to a set for the limits, less what some of its options use of them and the charge for the
    /// least moves that come with these.
    fn paid(&self, prices: &Prices<'_>, some: &[usize]) -> f64 {
        let set: Vec<usize> = some.iter().map(|&it| prices.usable[it]).collect();
        let used: f64 = some.iter().map(|&it| self.tolls.each[it]).sum();
        let way = self.limits.ways.least(prices.places(&set));
        self.tolls.rates.iter().sum::<f64>() - used - self.limits.charge * way
    }
}

impl Pairs {
    fn cross_out(&mut self, i: usize, j: usize) {
        self.may[i][j] = false;
        self.may[j][i] = false;
    }

    fn left(&self) -> usize {
        self.alive.iter().filter(|it| **it).count()
    }
}

/// Pairs of different exercises that may keep the limits.
fn start_pairs(prices: &Prices<'_>, n: usize, limits: &Least, pairs: &mut Pairs) {
    let usable = &prices.usable;
    for (i, &a) in usable.iter().enumerate() {
        for (k, &b) in usable.iter().enumerate() {
            let differ = prices.option(a).exercise != prices.option(b).exercise;
            pairs.may[i][k] =
                pairs.alive[i] && pairs.alive[k] && differ && limits.may_keep(prices, &[a, b], n - 2);
        }
    }
}

/// Part of each finite limit that each usable option uses.
fn uses(prices: &Prices<'_>) -> Vec<Vec<f64>> {
    let part = |limit: f64, use_of: &dyn Fn(usize) -> f64| -> Option<Vec<f64>> {
        let finite = limit.is_finite() && limit > 0.0;
        finite.then(|| prices.usable.iter().map(|&it| use_of(it) / limit).collect())
    };
    let minutes = part(prices.problem.seconds, &|it| prices.option(it).seconds_per_day);
    let ceilings = prices.problem.ceilings.iter().enumerate();
    let ceilings = ceilings.map(|(number, &limit)| part(limit, &|it| prices.option(it).exposure[number]));
    std::iter::once(minutes).chain(ceilings).flatten().collect()
}

/// Crosses out options that lack partners for a set of `n` exercises, or for a pin; whether there were any.
fn cross_out_options(prices: &Prices<'_>, n: usize, pairs: &mut Pairs) -> bool {
    let exercise = |it: usize| prices.option(prices.usable[it]).exercise;
    let mut crossed = false;
    for i in 0..pairs.alive.len() {
        if !pairs.alive[i] {
            continue;
        }
        let mut partners: Vec<usize> =
            (0..pairs.alive.len()).filter(|&k| pairs.may[i][k]).map(exercise).collect();
        partners.sort_unstable();
        partners.dedup();
        let pins = (0..prices.pinned.len())
            .all(|it| !prices.pinned[it] || it == exercise(i) || partners.binary_search(&it).is_ok());
        if partners.len() < n - 1 || !pins {
            pairs.alive[i] = false;
            pairs.may[i].fill(false);
            for row in &mut pairs.may {
                row[i] = false;
            }
            crossed = true;
        }
    }
    crossed
}

/// Puts an addition in its place among the largest ones, one per exercise.
fn insert(top: &mut Vec<(f64, usize)>, most: usize, (add, exercise): (f64, usize)) {
    if let Some(at) = top.iter().position(|it| it.1 == exercise) {
        if top[at].0 >= add {
            return;
        }
        top.remove(at);
    }
    let at = top.partition_point(|it| it.0 >= add);
    top.insert(at, (add, exercise));
    top.truncate(most);
}

/// Least that the rest of a set must use of each limit.
struct Least {
    ways: Ways,
    /// Training that makes up for a second of moves.
    charge: f64,
    seconds: f64,
    exposure: Vec<f64>,
}

impl Least {
    fn new(prices: &Prices<'_>, n: usize) -> Self {
        let least = |use_of: &dyn Fn(usize) -> f64| {
            let least = prices.usable.iter().map(|&it| use_of(it)).fold(f64::INFINITY, f64::min);
            if least.is_finite() { least } else { 0.0 }
        };
        Least {
            ways: Ways::new(prices, n),
            charge: if prices.share(n) > 0.0 { prices.problem.move_charge / prices.share(n) } else { 0.0 },
            seconds: least(&|it| prices.option(it).seconds_per_day),
            exposure: (0..prices.problem.ceilings.len())
                .map(|number| least(&|it| prices.option(it).exposure[number]))
                .collect(),
        }
    }

    /// Whether a set may keep the minutes and ceilings when it is filled up by `more` options.
    fn may_keep(&self, prices: &Prices<'_>, set: &[usize], more: usize) -> bool {
        let more = more as f64;
        let seconds = prices.work_seconds(set) + self.ways.least(prices.places(set)) + more * self.seconds;
        keeps(seconds, prices.problem.seconds)
            && self.exposure.iter().enumerate().all(|(it, least)| {
                keeps(prices.exposure(set, it) + more * least, prices.problem.ceilings[it])
            })
    }
}
