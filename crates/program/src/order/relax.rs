//! How far from the best can a good order be? Bound by prices, and the arcs that no better order uses.
//!
//! The cheapest arborescence leaves some nodes often and others never, and knows nothing of precedence. A
//! price on leaving each node (a Lagrange multiplier of "left exactly once", Held and Karp 1970) and a reward
//! for crossing borders that precedence makes each order cross pull it towards an order, and the bound
//! towards the least cost. The bound also tells for each arc how much it would rise if that arc were used.

use super::Arcs;
use super::bound::{Arborescence, FORBIDDEN, Matrix, NODES};
use super::good::{Good, improve};

/// Costs are multiplied by this inside the relaxation, so that prices can be finer than one unit.
pub(super) const SCALE: i64 = 64;

/// Rounds of price adjustment.
const ROUNDS: usize = 250;

/// Rounds without a better bound after which the stride is halved.
const STALE_ROUNDS: usize = 6;

/// A good order is looked for along the prices once in so many rounds.
const ROUNDS_PER_ORDER: usize = 8;

/// The most cuts that are priced at one time.
const MAX_CUTS: usize = 24;

/// What the relaxation tells; all costs are in units of 1 / [`SCALE`].
pub(super) struct Relaxation {
    /// No order costs less than this.
    pub(super) bound: i64,
    /// `rise[v][u]`: no order that goes from `u` to `v` costs less than the bound and this.
    pub(super) rise: Matrix,
    end: usize,
    leave: [i64; NODES],
    /// What must be paid to enter each of these sets of nodes, however it is entered.
    tolls: Vec<(u32, i64)>,
    /// The cuts that count, and the reward for crossing each.
    rewards: Vec<(Cut, i64)>,
}

/// A bound on the cost of the first part of an order, from the start through all nodes but some.
pub(super) struct FirstPart<'a> {
    relaxation: &'a Relaxation,
    /// What holds whichever item the part ends with.
    common: i64,
    /// The cuts whose passage begins in this part and ends after it.
    open: [u8; MAX_CUTS],
    open_len: usize,
}

impl Relaxation {
    /// For the orders that end with the items of `rest`, in any order.
    pub(super) fn first_part(&self, rest: u32) -> FirstPart<'_> {
        let part = ((1_u32 << self.end) - 1) & !rest;
        let mut common = -bits(part).map(|u| self.leave[u]).sum::<i64>();
        for &(nodes, toll) in &self.tolls {
            common += if nodes & part != 0 { toll } else { 0 };
        }
        let (mut open, mut open_len) = ([0; MAX_CUTS], 0);
        for (k, (cut, reward)) in self.rewards.iter().enumerate() {
            if part >> cut.passage.destination & 1 == 1 {
                common += reward;
            } else if part >> cut.passage.origin & 1 == 1 {
                open[open_len] = k as u8;
                open_len += 1;
            }
        }
        FirstPart { relaxation: self, common, open, open_len }
    }
}

impl FirstPart<'_> {
    /// The bound if the part ends with this item.
    pub(super) fn ending_with(&self, last: usize) -> i64 {
        let Relaxation { leave, rewards, .. } = self.relaxation;
        let crossed = self.open[..self.open_len].iter().map(|&k| &rewards[k as usize]);
        let crossed = crossed.filter(|(cut, _)| cut.tails >> last & 1 == 0).map(|(_, reward)| reward);
        self.common + leave[last] + crossed.sum::<i64>()
    }
}

/// Bounds the cost from below; what orders it finds on the way improve `good`.
pub(super) fn relax(arcs: &Arcs, good: &mut Good) -> Relaxation {
    let mut ascent = Ascent::new(arcs);
    ascent.climb(good);
    ascent.best_relaxation()
}

/// The multipliers: of leaving each node and of each cut.
#[derive(Clone, Copy)]
struct Prices {
    leave: [i64; NODES],
    cut: [i64; MAX_CUTS],
}

/// A way that is part of every order: from one node to a later one, and never over certain others.
///
/// The way from the start to an item avoids all that comes after the item; the way from an item to the end
/// avoids all that comes before it.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Passage {
    origin: usize,
    destination: usize,
    avoids: u32,
}

/// A border on a passage: of the arcs across it every order uses at least one.
/// (The precedence inequalities of Balas, Fischetti and Pulleyblank, 1995.)
#[derive(Clone, Copy, PartialEq, Eq)]
struct Cut {
    passage: Passage,
    tails: u32,
    heads: u32,
}

struct Ascent<'a> {
    arcs: &'a Arcs,
    passages: Vec<Passage>,
    cuts: Vec<Cut>,
    prices: Prices,
    /// Scaled costs with the prices on them.
    priced: Matrix,
    tree: Arborescence,
    best: Prices,
    best_bound: i64,
}

impl<'a> Ascent<'a> {
    fn new(arcs: &'a Arcs) -> Self {
        let prices = Prices { leave: [0; NODES], cut: [0; MAX_CUTS] };
        let mut priced = arcs.cost;
        for cost in priced.iter_mut().flatten().filter(|cost| **cost < FORBIDDEN) {
            *cost *= SCALE;
        }
        Ascent {
            arcs,
            passages: passages(arcs),
            cuts: Vec::new(),
            prices,
            priced,
            tree: Arborescence::new(arcs.end + 1),
            best: prices,
            best_bound: i64::MIN,
        }
    }

    fn climb(&mut self, good: &mut Good) {
        let mut pace = 32;
        let mut stale = 0;
        for round in 0..ROUNDS {
            let Some(bound) = self.bound() else { return };
            stale += 1;
            if bound > self.best_bound {
                self.best_bound = bound;
                self.best = self.prices;
                stale = 0;
            }
            if round % ROUNDS_PER_ORDER == 0 {
                let order = self.arcs.nearest_neighbours(&self.priced);
                good.take_better(improve(self.arcs, order));
            }
            if self.best_bound > (good.cost - 1) * SCALE {
                return;
            }
            if stale == STALE_ROUNDS {
                stale = 0;
                pace /= 2;
                if pace == 0 {
                    return;
                }
            }
            let ahead = self.tree.ahead();
            self.find_cuts(&ahead);
            if !self.adjust(&ahead, good.cost * SCALE - bound, pace) {
                return;
            }
        }
    }

    /// The bound at the present prices: the cheapest arborescence less what each order pays at least.
    fn bound(&mut self) -> Option<i64> {
        let paid: i64 = self.prices.leave.iter().sum();
        let rewards: i64 = self.prices.cut.iter().sum();
        Some(self.tree.solve(&self.priced)? - paid + rewards)
    }

    fn best_relaxation(mut self) -> Relaxation {
        self.set_prices(self.best);
        let mut rise = [[FORBIDDEN; NODES]; NODES];
        // There is an arborescence, since there is an order.
        let bound = self.bound().unwrap_or_default();
        for v in 1..=self.arcs.end {
            for u in 0..self.arcs.end {
                if self.arcs.cost[v][u] < FORBIDDEN {
                    rise[v][u] = self.tree.rise(u, v, self.priced[v][u]);
                }
            }
        }
        let rewards =
            self.cuts.iter().copied().zip(self.best.cut).filter(|&(_, reward)| reward > 0).collect();
        Relaxation {
            bound,
            rise,
            end: self.arcs.end,
            leave: self.best.leave,
            tolls: self.tree.tolls(),
            rewards,
        }
    }

    fn set_prices(&mut self, prices: Prices) {
        for u in 0..self.arcs.end {
            self.change_leave(u, prices.leave[u] - self.prices.leave[u]);
        }
        for k in 0..self.cuts.len() {
            self.change_cut(k, prices.cut[k] - self.prices.cut[k]);
        }
    }

    fn change_leave(&mut self, u: usize, by: i64) {
        self.prices.leave[u] += by;
        for row in &mut self.priced[1..=self.arcs.end] {
            row[u] += by;
        }
    }

    fn change_cut(&mut self, k: usize, by: i64) {
        self.prices.cut[k] += by;
        let Cut { tails, heads, .. } = self.cuts[k];
        let tails: [i64; NODES] = std::array::from_fn(|u| if tails >> u & 1 == 1 { by } else { 0 });
        for v in bits(heads) {
            for (cost, reward) in self.priced[v].iter_mut().zip(tails) {
                *cost -= reward;
            }
        }
    }

    /// Moves the prices against arcs that leave a node too often, and towards cuts that are not crossed.
    /// False if there is nothing to move: the arborescence is an order.
    fn adjust(&mut self, ahead: &[u8; NODES], gap: i64, pace: i64) -> bool {
        let end = self.arcs.end;
        let mut surplus = [-1_i64; NODES];
        for &u in &ahead[1..=end] {
            surplus[u as usize] += 1;
        }
        let mut missing = [0_i64; MAX_CUTS];
        for ((cut, missing), &price) in self.cuts.iter().zip(&mut missing).zip(&self.prices.cut) {
            let crossed = bits(cut.heads).filter(|&v| cut.tails >> ahead[v] & 1 == 1).count() as i64;
            *missing = if price == 0 { (1 - crossed).max(0) } else { 1 - crossed };
        }
        let norm: i64 = surplus[..end].iter().chain(&missing).map(|x| x * x).sum();
        if norm == 0 {
            return false;
        }
        let stride = (gap * pace / (32 * norm)).max(1);
        for (u, &surplus) in surplus[..end].iter().enumerate() {
            if surplus != 0 {
                self.change_leave(u, stride * surplus);
            }
        }
        for (k, &missing) in missing.iter().enumerate() {
            if missing != 0 {
                self.change_cut(k, (stride * missing).max(-self.prices.cut[k]));
            }
        }
        true
    }

    /// Looks for passages that the arborescence does not take, and notes a border that it should cross.
    fn find_cuts(&mut self, ahead: &[u8; NODES]) {
        for k in 0..self.passages.len() {
            let passage = self.passages[k];
            let reached = reached(&passage, ahead, self.arcs.end);
            if reached >> passage.destination & 1 == 1 {
                continue;
            }
            let cut =
                Cut { passage, tails: reached, heads: self.arcs.all_nodes() & !reached & !passage.avoids };
            if self.cuts.contains(&cut) {
                continue;
            }
            if self.cuts.len() < MAX_CUTS {
                self.cuts.push(cut);
            } else if let Some(idle) =
                (0..MAX_CUTS).find(|&k| self.prices.cut[k] == 0 && self.best.cut[k] == 0)
            {
                self.cuts[idle] = cut;
            }
        }
    }
}

/// The nodes that the arborescence reaches from the origin of a passage without leaving the passage.
fn reached(passage: &Passage, ahead: &[u8; NODES], end: usize) -> u32 {
    let mut reached = 1_u32 << passage.origin;
    let mut known = reached | passage.avoids | 1;
    for v in 1..=end {
        let mut trail = 0_u32;
        let mut node = v;
        while known >> node & 1 == 0 {
            trail |= 1 << node;
            node = ahead[node] as usize;
        }
        known |= trail;
        if reached >> node & 1 == 1 {
            reached |= trail;
        }
    }
    reached
}

fn passages(arcs: &Arcs) -> Vec<Passage> {
    let mut passages = Vec::new();
    for i in 1..arcs.end {
        if arcs.after[i] != 0 {
            let avoids = arcs.after[i] | 1 << arcs.end;
            passages.push(Passage { origin: 0, destination: i, avoids });
        }
        if arcs.before[i] != 0 {
            passages.push(Passage { origin: i, destination: arcs.end, avoids: arcs.before[i] | 1 });
        }
    }
    passages
}

/// The members of a set, in ascending order.
pub(super) fn bits(mut set: u32) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        if set == 0 {
            return None;
        }
        let member = set.trailing_zeros() as usize;
        set &= set - 1;
        Some(member)
    })
}
