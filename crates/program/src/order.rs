//! The order of a session: which exercise comes after which.
//!
//! Every change of place (posture, device on or off, aid, equipment, side) costs seconds and, for a patient
//! who may not stand, is a risk of its own. [`solve`] finds an order of least total cost that keeps every
//! "this before that" (warm-up first). [`sets_plan`] then decides, stretch by stretch, whether sets are done
//! in place or in rounds.
//!
//! The order is exact, never a good guess. A relaxation (`relax`) finds a cost that no order can be below,
//! which is mostly the least cost itself or close to it, and what each step adds to it; a table over sets of
//! items (`table`) then looks only at what the relaxation leaves open. Items that cannot be told apart are
//! kept in the order in which they were given, so that 20 items in a few places are a small problem.
//!
//! The time of 20 items is about a millisecond for a home session and for random costs alike. It grows with
//! the distance between bound and cost (pairs that force a place to be left and taken again: up to a tenth of
//! a second) and with the number of equally good orders that no symmetry explains (costs drawn from two
//! values: up to two seconds).

#![allow(
    clippy::needless_range_loop,
    reason = "the indices name nodes, and most loops use them in two tables"
)]

mod bound;
mod good;
mod relax;
mod sets;
mod table;

use bound::{FORBIDDEN, Matrix, NODES};
pub use sets::{Block, SetsError, SetsItem, SetsPlan, Way, sets_plan};
use std::fmt;

/// The most items that [`solve`] takes.
pub const MAX_ITEMS: usize = 20;

/// The highest cost of one start, step, end or penalty that [`solve`] takes (19 days, in tenths of a second).
pub const MAX_COST: u32 = 1 << 24;

/// The region of an item that loads none (breathing, positioning): it never clashes with a neighbour.
pub const NO_REGION: u8 = u8::MAX;

/// The items of one session and what it costs to go from one to the next.
///
/// Costs are in any one unit (tenths of a second are meant), each at most [`MAX_COST`]; they need be neither
/// symmetric nor obey the triangle inequality.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Number of items, at most [`MAX_ITEMS`].
    pub n: usize,
    /// Cost to reach each item from the state in which the session starts.
    pub start: Vec<u32>,
    /// Cost to end the session after each item.
    pub end: Vec<u32>,
    /// `step[a][b]`: cost to go from item `a` to item `b` next. The diagonal is not read.
    pub step: Vec<Vec<u32>>,
    /// Pairs (a, b): item `a` comes somewhere before item `b`.
    pub before: Vec<(usize, usize)>,
    /// Body region that each item trains, or [`NO_REGION`].
    pub region: Vec<u8>,
    /// Added for each two consecutive items of one region: the rest of the first is then lost time.
    pub same_region_penalty: u32,
}

impl Problem {
    /// Cost of going from `a` to `b` next, with the region penalty.
    pub fn step_cost(&self, a: usize, b: usize) -> u64 {
        let clash = self.region[a] == self.region[b] && self.region[a] != NO_REGION;
        u64::from(self.step[a][b]) + if clash { u64::from(self.same_region_penalty) } else { 0 }
    }

    /// Cost of a whole order, from the start to the end. It does not look at [`Problem::before`].
    pub fn cost_of(&self, order: &[usize]) -> u64 {
        let (Some(&first), Some(&last)) = (order.first(), order.last()) else { return 0 };
        let steps: u64 = order.windows(2).map(|w| self.step_cost(w[0], w[1])).sum();
        u64::from(self.start[first]) + steps + u64::from(self.end[last])
    }
}

/// An order of least cost.
///
/// Among the orders of least cost it is the one that comes first when compared item by item, so the same
/// problem has the same answer everywhere and items that cost nothing to swap stay as they were given.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solution {
    /// The items in the order in which they are done.
    pub order: Vec<usize>,
    /// Total cost, in the unit of the problem.
    pub cost: u64,
}

/// Why there is no order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum OrderError {
    /// More than [`MAX_ITEMS`] items.
    TooMany {
        /// The number given.
        n: usize,
    },
    /// A list does not have one entry per item.
    Shape {
        /// The field of [`Problem`].
        field: &'static str,
        /// Entries that it must have.
        expected: usize,
        /// Entries that it has.
        found: usize,
    },
    /// A cost above [`MAX_COST`].
    TooDear {
        /// The field of [`Problem`].
        field: &'static str,
        /// The cost given.
        cost: u32,
    },
    /// A pair of `before` names an item that is not there.
    UnknownItem {
        /// The number given.
        item: usize,
        /// The number of items.
        n: usize,
    },
    /// Items that must each come before the next one, and the last before the first.
    Cycle {
        /// The items around the cycle, the smallest first.
        items: Vec<usize>,
    },
}

impl fmt::Display for OrderError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            OrderError::TooMany { n } => {
                write!(
                    f,
                    "a session of {n} items: at most {MAX_ITEMS} can be put in order; split the session"
                )
            }
            OrderError::Shape { field, expected, found } => {
                write!(f, "`{field}` has {found} entries where {expected} are expected, one per item")
            }
            OrderError::TooDear { field, cost } => {
                write!(f, "`{field}` has a cost of {cost}; costs go up to {MAX_COST}")
            }
            OrderError::UnknownItem { item, n } => {
                write!(
                    f,
                    "`before` names item {item}, but the items are numbered 0 to {}",
                    n.saturating_sub(1)
                )
            }
            OrderError::Cycle { items } => {
                f.write_str("these items must each come before the next, so none can come first: ")?;
                for item in items {
                    write!(f, "{item} before ")?;
                }
                write!(f, "{}", items.first().copied().unwrap_or_default())
            }
        }
    }
}

impl std::error::Error for OrderError {}

/// An order of least cost that keeps every pair of [`Problem::before`].
///
/// # Errors
/// More than [`MAX_ITEMS`] items, a list of the wrong length, a cost above [`MAX_COST`], an unknown item in
/// `before`, or pairs that form a cycle (the error names its items).
pub fn solve(problem: &Problem) -> Result<Solution, OrderError> {
    check_shape(problem)?;
    check_costs(problem)?;
    let mut before = direct_predecessors(problem)?;
    close(&mut before);
    if let Some(items) = cycle_in(problem, &before) {
        return Err(OrderError::Cycle { items });
    }
    if problem.n == 0 {
        return Ok(Solution { order: Vec::new(), cost: 0 });
    }
    keep_twins_in_order(problem, &mut before);
    let arcs = Arcs::new(problem, &before);
    let mut good = good::improve(&arcs, arcs.nearest_neighbours(&arcs.cost));
    let relaxation = relax::relax(&arcs, &mut good);
    let best = table::first_of_the_best(&arcs, &relaxation, good);
    let order: Vec<usize> = best.order.into_iter().map(|node| node - 1).collect();
    let cost = problem.cost_of(&order);
    Ok(Solution { order, cost })
}

fn check_shape(problem: &Problem) -> Result<(), OrderError> {
    let n = problem.n;
    if n > MAX_ITEMS {
        return Err(OrderError::TooMany { n });
    }
    let lists = [
        ("start", problem.start.len()),
        ("end", problem.end.len()),
        ("step", problem.step.len()),
        ("region", problem.region.len()),
    ];
    let rows = problem.step.iter().map(|row| ("step", row.len()));
    for (field, found) in lists.into_iter().chain(rows) {
        if found != n {
            return Err(OrderError::Shape { field, expected: n, found });
        }
    }
    Ok(())
}

fn check_costs(problem: &Problem) -> Result<(), OrderError> {
    let steps = problem.step.iter().flatten().map(|cost| ("step", cost));
    let start = problem.start.iter().map(|cost| ("start", cost));
    let end = problem.end.iter().map(|cost| ("end", cost));
    let penalty = [("same_region_penalty", &problem.same_region_penalty)];
    for (field, &cost) in start.chain(end).chain(steps).chain(penalty) {
        if cost > MAX_COST {
            return Err(OrderError::TooDear { field, cost });
        }
    }
    Ok(())
}

/// For each item the set (bit mask) of the items named to come before it.
fn direct_predecessors(problem: &Problem) -> Result<Vec<u32>, OrderError> {
    let mut before = vec![0_u32; problem.n];
    for &(a, b) in &problem.before {
        for item in [a, b] {
            if item >= problem.n {
                return Err(OrderError::UnknownItem { item, n: problem.n });
            }
        }
        before[b] |= 1 << a;
    }
    Ok(before)
}

/// Transitive closure: what must come before an item includes what must come before those.
fn close(before: &mut [u32]) {
    for k in 0..before.len() {
        for i in 0..before.len() {
            if before[i] >> k & 1 == 1 {
                before[i] |= before[k];
            }
        }
    }
}

/// The items of a shortest cycle through the smallest item that is on one.
fn cycle_in(problem: &Problem, closed: &[u32]) -> Option<Vec<usize>> {
    let first = (0..problem.n).find(|&i| closed[i] >> i & 1 == 1)?;
    // Breadth first along the pairs, from the first item until it is met again.
    let mut reached_from = vec![None; problem.n];
    let mut queue = vec![first];
    let mut next = 0;
    while next < queue.len() {
        let a = queue[next];
        next += 1;
        for &(from, b) in &problem.before {
            if from != a {
                continue;
            }
            if b == first {
                let mut items = vec![a];
                while let Some(earlier) = reached_from[items[items.len() - 1]] {
                    items.push(earlier);
                }
                items.reverse();
                return Some(items);
            }
            if reached_from[b].is_none() {
                reached_from[b] = Some(a);
                queue.push(b);
            }
        }
    }
    None
}

/// For each item the set of the items that must come after it.
fn successors(before: &[u32]) -> Vec<u32> {
    let after = |i: usize| (0..before.len()).filter(move |&j| before[j] >> i & 1 == 1);
    (0..before.len()).map(|i| after(i).fold(0, |set, j| set | 1 << j)).collect()
}

/// Items that cannot be told apart (same costs, region and precedence) are kept in the order given.
///
/// Swapping two such items changes neither cost nor precedence, so the smallest of the best orders has them
/// in this order already; the added pairs only spare the search the equal copies.
fn keep_twins_in_order(problem: &Problem, before: &mut [u32]) {
    let n = problem.n;
    let after = successors(before);
    let twins = |i: usize, j: usize| {
        before[i] == before[j]
            && after[i] == after[j]
            && problem.start[i] == problem.start[j]
            && problem.end[i] == problem.end[j]
            && problem.step_cost(i, j) == problem.step_cost(j, i)
            && (0..n).filter(|&k| k != i && k != j).all(|k| {
                problem.step_cost(i, k) == problem.step_cost(j, k)
                    && problem.step_cost(k, i) == problem.step_cost(k, j)
            })
    };
    let pairs: Vec<(usize, usize)> =
        (0..n).flat_map(|j| (0..j).map(move |i| (i, j))).filter(|&(i, j)| twins(i, j)).collect();
    for (i, j) in pairs {
        before[j] |= 1 << i;
    }
    close(before);
}

/// The problem as the search sees it: node 0 is the start, node `i + 1` is item `i`, the last one is the end.
/// Sets are bit masks of nodes.
struct Arcs {
    /// The number of the end node.
    end: usize,
    /// The nodes that must come before (after) each node.
    before: [u32; NODES],
    after: [u32; NODES],
    /// `cost[v][u]`: cost of going from `u` to `v` next; [`FORBIDDEN`] where precedence rules it out.
    cost: Matrix,
}

impl Arcs {
    fn new(problem: &Problem, item_before: &[u32]) -> Self {
        let n = problem.n;
        let end = n + 1;
        let mut before = [0; NODES];
        let mut after = [0; NODES];
        for (i, &set) in item_before.iter().enumerate() {
            before[i + 1] = set << 1;
            for j in relax::bits(set) {
                after[j + 1] |= 1 << (i + 1);
            }
        }
        let mut cost = [[FORBIDDEN; NODES]; NODES];
        for v in 1..end {
            if before[v] == 0 {
                cost[v][0] = i64::from(problem.start[v - 1]);
            }
            if after[v] == 0 {
                cost[end][v] = i64::from(problem.end[v - 1]);
            }
            for u in (1..end).filter(|&u| u != v) {
                let backwards = after[v] >> u & 1 == 1;
                let something_between = after[u] & before[v] != 0;
                if !backwards && !something_between {
                    cost[v][u] = problem.step_cost(u - 1, v - 1) as i64;
                }
            }
        }
        Arcs { end, before, after, cost }
    }

    /// All nodes but the start and the end.
    fn items(&self) -> u32 {
        self.all_nodes() & !1 & !(1 << self.end)
    }

    fn all_nodes(&self) -> u32 {
        (1 << (self.end + 1)) - 1
    }
}
