//! The exact search: a table over sets of items, kept small by what the relaxation rules out.
//!
//! For each set of last items of an order and each first item among them: the least cost from that item
//! through the set to the end (Held and Karp 1962, Bellman 1962, from the end backwards). A set is only
//! looked at if it holds all that must come after its members, and an entry is only kept if the bound leaves
//! room for it within the cost that is looked for. Ties are kept, so the first of the best orders can be
//! read off.

use super::Arcs;
use super::bound::{FORBIDDEN, NODES};
use super::good::Good;
use super::relax::{Relaxation, SCALE, bits};

/// The least cost from `first` through the rest of its set to the end.
#[derive(Clone, Copy)]
struct Entry {
    first: u32,
    cost: i32,
}

/// All the sets of one size that are worth a look. The entries of a set stand together.
#[derive(Default)]
struct Layer {
    sets: Vec<u32>,
    /// Where the entries of each set begin, and a last one where those of the last set end.
    begins: Vec<u32>,
    entries: Vec<Entry>,
}

impl Layer {
    fn entries(&self, set: usize) -> &[Entry] {
        &self.entries[self.begins[set] as usize..self.begins[set + 1] as usize]
    }

    fn entries_of(&self, set: u32) -> &[Entry] {
        self.sets.iter().position(|&s| s == set).map_or(&[], |k| self.entries(k))
    }
}

/// The first, item by item, of the orders of least cost; `good` must be an order that keeps precedence.
///
/// The bound is most often close and the good order less so. So the table is first made for orders that cost
/// hardly more than the bound, then for more and more, until it holds one: none can be better.
pub(super) fn first_of_the_best(arcs: &Arcs, relaxation: &Relaxation, mut good: Good) -> Good {
    let least = (relaxation.bound + SCALE - 1) / SCALE;
    let mut more = 1 + least / FIRST_PART;
    loop {
        let target = good.cost.min(least + more);
        let table = Table::new(arcs, relaxation, target);
        let found = table.layers().and_then(|layers| read_off(arcs, &layers));
        if let Some(found) = found {
            if found.cost <= target {
                return found;
            }
            good.take_better(found);
        } else if target == good.cost {
            return good;
        }
        more *= GROWTH;
    }
}

/// The first table looks for orders that cost more than the bound by at most one part in so many.
const FIRST_PART: i64 = 256;

/// By how much the allowance grows from table to table.
const GROWTH: i64 = 2;

/// The makings of the table for orders of a cost up to `target`.
struct Table<'a> {
    arcs: &'a Arcs,
    relaxation: &'a Relaxation,
    target: i64,
    /// `cost[from][into]`, [`TOO_MUCH`] where no order within the target goes.
    cost: [[i32; NODES]; NODES],
}

/// Twice this is still a number.
const TOO_MUCH: i32 = i32::MAX / 2;

impl<'a> Table<'a> {
    fn new(arcs: &'a Arcs, relaxation: &'a Relaxation, target: i64) -> Self {
        let room = target * SCALE - relaxation.bound;
        let mut cost = [[TOO_MUCH; NODES]; NODES];
        for u in 0..arcs.end {
            for v in 1..=arcs.end {
                if relaxation.rise[v][u] <= room {
                    cost[u][v] = arcs.cost[v][u] as i32;
                }
            }
        }
        Table { arcs, relaxation, target, cost }
    }

    /// The layers from the sets of one item up to the set of all, or `None` if no entry is left on the way.
    fn layers(&self) -> Option<Vec<Layer>> {
        let mut layers = vec![self.last_items()];
        for _ in 2..self.arcs.end {
            let grown = self.grow(&layers[layers.len() - 1]);
            if grown.sets.is_empty() {
                return None;
            }
            layers.push(grown);
        }
        Some(layers)
    }

    fn last_items(&self) -> Layer {
        let mut layer = Layer::default();
        for first in 1..self.arcs.end {
            let cost = self.cost[first][self.arcs.end];
            if self.arcs.after[first] == 0 && cost < TOO_MUCH {
                layer.sets.push(1 << first);
                layer.begins.push(layer.entries.len() as u32);
                layer.entries.push(Entry { first: first as u32, cost });
            }
        }
        layer.begins.push(layer.entries.len() as u32);
        layer
    }

    /// The sets with one item more.
    fn grow(&self, layer: &Layer) -> Layer {
        let mut index = Index::with_room_for(layer.sets.len());
        let mut grown: Vec<(u32, Entry)> = Vec::with_capacity(2 * layer.entries.len());
        for (k, &set) in layer.sets.iter().enumerate() {
            let entries = layer.entries(k);
            let first_part = self.relaxation.first_part(set);
            for first in bits(self.arcs.items() & !set) {
                if self.arcs.after[first] & !set != 0 {
                    continue;
                }
                let cost = self.least(first, entries);
                if cost < TOO_MUCH
                    && i64::from(cost) * SCALE + first_part.ending_with(first) <= self.target * SCALE
                {
                    let slot = index.slot(set | 1 << first);
                    grown.push((slot, Entry { first: first as u32, cost }));
                }
            }
        }
        group(index.sets, &grown)
    }

    /// Least cost from an item on to any of the entries of the set that follows it.
    fn least(&self, first: usize, entries: &[Entry]) -> i32 {
        let costs = &self.cost[first];
        entries.iter().map(|entry| costs[entry.first as usize] + entry.cost).min().unwrap_or(TOO_MUCH)
    }
}

/// Brings the entries of each set together.
fn group(sets: Vec<u32>, grown: &[(u32, Entry)]) -> Layer {
    let mut begins = vec![0_u32; sets.len() + 1];
    for &(slot, _) in grown {
        begins[slot as usize + 1] += 1;
    }
    for k in 0..sets.len() {
        begins[k + 1] += begins[k];
    }
    let mut next = begins.clone();
    let mut entries = vec![Entry { first: 0, cost: 0 }; grown.len()];
    for &(slot, entry) in grown {
        let place = &mut next[slot as usize];
        entries[*place as usize] = entry;
        *place += 1;
    }
    Layer { sets, begins, entries }
}

/// Follows the table from the start, always to the smallest item from which the least cost can be had.
fn read_off(arcs: &Arcs, layers: &[Layer]) -> Option<Good> {
    let mut order = Vec::with_capacity(layers.len());
    let mut rest = arcs.items();
    let mut last = 0;
    for layer in layers.iter().rev() {
        let total = |entry: &Entry| arcs.cost[entry.first as usize][last] + i64::from(entry.cost);
        let next = layer.entries_of(rest).iter().min_by_key(|entry| (total(entry), entry.first))?;
        last = next.first as usize;
        order.push(last);
        rest &= !(1 << last);
    }
    let cost = arcs.cost_of(&order);
    (cost < FORBIDDEN).then_some(Good { order, cost })
}

/// Numbers sets in the order in which they are first met: a hash table with open addresses.
struct Index {
    sets: Vec<u32>,
    /// Number of a set plus one; zero is an empty place. The length is a power of two.
    places: Vec<u32>,
}

impl Index {
    fn with_room_for(sets: usize) -> Self {
        Index { sets: Vec::with_capacity(2 * sets), places: vec![0; (4 * sets).next_power_of_two().max(64)] }
    }

    fn slot(&mut self, set: u32) -> u32 {
        let mut place = self.first_place(set);
        loop {
            match self.places[place] {
                0 => break,
                number if self.sets[number as usize - 1] == set => return number - 1,
                _ => place = (place + 1) & (self.places.len() - 1),
            }
        }
        self.sets.push(set);
        self.places[place] = self.sets.len() as u32;
        if 2 * self.sets.len() > self.places.len() {
            self.spread();
        }
        self.sets.len() as u32 - 1
    }

    /// Fibonacci hashing: the high bits of the product are well mixed.
    fn first_place(&self, set: u32) -> usize {
        let mixed = u64::from(set).wrapping_mul(0x9E37_79B9_7F4A_7C15);
        (mixed >> 32) as usize & (self.places.len() - 1)
    }

    fn spread(&mut self) {
        self.places = vec![0; 2 * self.places.len()];
        for k in 0..self.sets.len() {
            let mut place = self.first_place(self.sets[k]);
            while self.places[place] != 0 {
                place = (place + 1) & (self.places.len() - 1);
            }
            self.places[place] = k as u32 + 1;
        }
    }
}
