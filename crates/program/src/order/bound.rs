//! The cheapest arborescence: the bound on the cost of an order.
//!
//! Every order of the items is a path from the start through all of them to the end. A path is an
//! arborescence (each node but the root has exactly one arc in, and all hang together), so the cheapest
//! arborescence (Chu and Liu 1965, Edmonds 1967) never costs more than the cheapest order.

/// Room for 20 items, the start and the end, rounded up to a multiple of four for the scans.
pub(super) const NODES: usize = 24;

/// Cost of an arc that no order can use. Far above any sum of costs, far below overflow.
pub(super) const FORBIDDEN: i64 = 1 << 56;

/// Costs above this hold a forbidden arc, whatever was subtracted from it on the way.
const OUT_OF_REACH: i64 = 1 << 55;

/// `matrix[v][u]` is the cost of the arc from `u` into `v`: a row holds all the ways into one node.
pub(super) type Matrix = [[i64; NODES]; NODES];

/// Contracted nodes: each contraction adds one to the original nodes and removes at least two.
const FOREST: usize = 2 * NODES;

const NONE: u8 = u8::MAX;

/// The cheapest arborescence last found, with the memory for finding it.
pub(super) struct Arborescence {
    size: usize,
    /// Working copy of the costs: rows and columns of swallowed nodes become out of reach.
    into: Matrix,
    /// The original arc (tail, head) behind each entry of `into`.
    arc: [[(u8, u8); NODES]; NODES],
    /// Nodes whose row and column in `arc` the last run changed.
    changed: u32,
    /// The name, in the forest of contractions, of the component that a node now stands for.
    name: [u8; NODES],
    named: usize,
    /// For each component: the arc chosen into it, its cost, the component that swallowed it, its nodes.
    chosen: [(u8, u8); FOREST],
    price: [i64; FOREST],
    parent: [u8; FOREST],
    members: [u32; FOREST],
}

impl Arborescence {
    pub(super) fn new(size: usize) -> Self {
        Arborescence {
            size,
            into: [[FORBIDDEN; NODES]; NODES],
            arc: std::array::from_fn(|v| std::array::from_fn(|u| (u as u8, v as u8))),
            changed: 0,
            name: [0; NODES],
            named: 0,
            chosen: [(0, 0); FOREST],
            price: [0; FOREST],
            parent: [NONE; FOREST],
            members: [0; FOREST],
        }
    }

    /// Cost of the cheapest arborescence out of node 0, or `None` if some node cannot be reached.
    ///
    /// From each node that does not hang on the root yet a path grows backwards along the cheapest arcs; it
    /// ends at a node that hangs on the root, and a cycle on it is contracted to one node.
    pub(super) fn solve(&mut self, costs: &Matrix) -> Option<i64> {
        let size = self.size;
        self.into[..size].copy_from_slice(&costs[..size]);
        self.name_nodes();
        let mut total = 0;
        let mut hangs = [false; NODES];
        let mut swallowed = [false; NODES];
        let mut place_on_path = [NONE; NODES];
        let mut cheapest = [0_i64; NODES];
        let mut path = [0_usize; NODES];
        hangs[0] = true;
        for first in 1..size {
            if hangs[first] || swallowed[first] {
                continue;
            }
            path[0] = first;
            place_on_path[first] = 0;
            let mut length = 1;
            loop {
                let v = path[length - 1];
                let (u, cost) = self.cheapest_into(v);
                if cost >= OUT_OF_REACH {
                    return None;
                }
                total += cost;
                cheapest[v] = cost;
                let name = self.name[v] as usize;
                self.chosen[name] = self.arc[v][u];
                self.price[name] = cost;
                if hangs[u] {
                    for &w in &path[..length] {
                        hangs[w] = true;
                        place_on_path[w] = NONE;
                    }
                    break;
                }
                if place_on_path[u] == NONE {
                    place_on_path[u] = length as u8;
                    path[length] = u;
                    length += 1;
                    continue;
                }
                let begin = place_on_path[u] as usize;
                self.contract(&path[begin..length], &cheapest, &swallowed);
                for &w in &path[begin + 1..length] {
                    swallowed[w] = true;
                    place_on_path[w] = NONE;
                }
                length = begin + 1;
            }
        }
        Some(total)
    }

    fn name_nodes(&mut self) {
        self.named = self.size;
        for v in 0..self.size {
            self.name[v] = v as u8;
            self.parent[v] = NONE;
            self.members[v] = 1 << v;
        }
        for v in (0..self.size).filter(|&v| self.changed >> v & 1 == 1) {
            for u in 0..self.size {
                self.arc[v][u] = (u as u8, v as u8);
                self.arc[u][v] = (v as u8, u as u8);
            }
        }
        self.changed = 0;
    }

    fn cheapest_into(&self, v: usize) -> (usize, i64) {
        let mut cost = i64::MAX;
        let mut from = 0;
        for (u, &c) in self.into[v][..self.size].iter().enumerate() {
            if c < cost {
                cost = c;
                from = u;
            }
        }
        (from, cost)
    }

    /// Makes one node of a cycle: its first member stands for all of them from now on. What was paid into
    /// each member is taken off the other arcs into it, so that a total counts each component once.
    fn contract(&mut self, cycle: &[usize], cheapest: &[i64; NODES], swallowed: &[bool; NODES]) {
        let size = self.size;
        let stands = cycle[0];
        for c in &mut self.into[stands][..size] {
            *c -= cheapest[stands];
        }
        for &w in &cycle[1..] {
            for u in 0..size {
                let cost = self.into[w][u] - cheapest[w];
                if cost < self.into[stands][u] {
                    self.into[stands][u] = cost;
                    self.arc[stands][u] = self.arc[w][u];
                }
            }
        }
        for x in (0..size).filter(|&x| !swallowed[x]) {
            for &w in &cycle[1..] {
                if self.into[x][w] < self.into[x][stands] {
                    self.into[x][stands] = self.into[x][w];
                    self.arc[x][stands] = self.arc[x][w];
                }
                self.into[x][w] = FORBIDDEN;
            }
        }
        for &w in cycle {
            self.into[stands][w] = FORBIDDEN;
        }
        let name = self.named;
        self.named += 1;
        self.parent[name] = NONE;
        self.members[name] = 0;
        for &w in cycle {
            let part = self.name[w] as usize;
            self.parent[part] = name as u8;
            self.members[name] |= self.members[part];
        }
        self.name[stands] = name as u8;
        self.changed |= 1 << stands;
    }

    /// The node ahead of each node but the root in the arborescence just found.
    pub(super) fn ahead(&self) -> [u8; NODES] {
        let mut ahead = [0; NODES];
        let mut entered = [false; FOREST];
        // From the outermost component inwards: the arc into it enters all components around its head.
        for component in (1..self.named).rev() {
            if entered[component] {
                continue;
            }
            let (tail, head) = self.chosen[component];
            ahead[head as usize] = tail;
            let mut inner = head as usize;
            while inner != component {
                entered[inner] = true;
                inner = self.parent[inner] as usize;
            }
        }
        ahead
    }

    /// By how much the bound just found rises if the arc from `u` into `v`, of cost `cost`, must be used.
    pub(super) fn rise(&self, u: usize, v: usize, cost: i64) -> i64 {
        let mut left = cost;
        let mut component = v;
        while self.members[component] >> u & 1 == 0 {
            left -= self.price[component];
            if self.parent[component] == NONE {
                break;
            }
            component = self.parent[component] as usize;
        }
        left
    }

    /// The components as sets of nodes, and what the arborescence just found pays to enter each.
    pub(super) fn tolls(&self) -> Vec<(u32, i64)> {
        (1..self.named).map(|k| (self.members[k], self.price[k])).filter(|&(_, price)| price != 0).collect()
    }
}
