//! Good orders, quickly: nearest neighbour, then exchange of neighbouring blocks.

use super::Arcs;
use super::bound::Matrix;
use super::relax::bits;

/// An order of nodes (without start and end) and its cost.
pub(super) struct Good {
    pub(super) order: Vec<usize>,
    pub(super) cost: i64,
}

impl Good {
    pub(super) fn take_better(&mut self, other: Good) {
        if other.cost < self.cost {
            *self = other;
        }
    }
}

impl Arcs {
    /// From the start always on to the nearest node that may come next, by the costs of `into`.
    pub(super) fn nearest_neighbours(&self, into: &Matrix) -> Vec<usize> {
        let mut order = Vec::with_capacity(self.end);
        let mut rest = self.items();
        let mut last = 0;
        while rest != 0 {
            let free = bits(rest).filter(|&i| self.before[i] & rest == 0);
            let Some(next) = free.min_by_key(|&i| into[i][last]) else { break };
            order.push(next);
            rest &= !(1 << next);
            last = next;
        }
        order
    }

    pub(super) fn cost_of(&self, order: &[usize]) -> i64 {
        let ends = [0, self.end];
        let from = ends[..1].iter().chain(order);
        let into = order.iter().chain(&ends[1..]);
        from.zip(into).map(|(&u, &v)| self.cost[v][u]).sum()
    }
}

/// Exchanges two neighbouring blocks as long as that saves cost (3-opt without turning a block round).
pub(super) fn improve(arcs: &Arcs, mut order: Vec<usize>) -> Good {
    while let Some((begin, middle, end)) = best_exchange(arcs, &order) {
        order[begin..end].rotate_left(middle - begin);
    }
    Good { cost: arcs.cost_of(&order), order }
}

fn best_exchange(arcs: &Arcs, order: &[usize]) -> Option<(usize, usize, usize)> {
    let cost = |u: usize, v: usize| arcs.cost[v][u];
    let mut best = None;
    let mut best_change = 0;
    for begin in 0..order.len() {
        let ahead = if begin == 0 { 0 } else { order[begin - 1] };
        let mut first_block = 0_u32;
        for middle in begin + 1..order.len() {
            first_block |= 1 << order[middle - 1];
            let opened = cost(ahead, order[begin]) + cost(order[middle - 1], order[middle]);
            for end in middle + 1..=order.len() {
                let last = order[end - 1];
                if arcs.before[last] & first_block != 0 {
                    break;
                }
                let behind = order.get(end).copied().unwrap_or(arcs.end);
                let closed =
                    cost(ahead, order[middle]) + cost(last, order[begin]) + cost(order[middle - 1], behind);
                let change = closed - opened - cost(last, behind);
                if change < best_change {
                    best_change = change;
                    best = Some((begin, middle, end));
                }
            }
        }
    }
    best
}
