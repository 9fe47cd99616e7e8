//! Sets in place or in rounds.
//!
//! In place, all sets of an exercise are done one after another, with a full rest between. In rounds, a few
//! exercises take turns, and the rest of one is filled by the work of the others. Rounds may save minutes,
//! but only where going round costs no move and the exercises load different regions.

use super::NO_REGION;
use std::collections::BTreeMap;
use std::fmt;

/// One exercise of an ordered session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetsItem {
    /// Where it is done. Only neighbours with the same number can be done in rounds.
    pub place: u32,
    /// The region that it loads, or [`NO_REGION`].
    pub region: u8,
    /// Number of sets, at least one.
    pub sets: u32,
    /// Length of one set, in seconds.
    pub work_seconds: u32,
    /// Rest that the region needs after a set before it is loaded again, in seconds. Moving is resting.
    pub rest_seconds: u32,
}

/// How the sets of a block are done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// One exercise, all its sets, resting in between.
    InPlace,
    /// First sets of all exercises of the block, then second sets, and so on.
    InRounds,
}

/// Consecutive items that are done together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Block {
    /// The items by their position in the session.
    pub items: std::ops::Range<usize>,
    /// How their sets are done; a block of one item is always in place.
    pub way: Way,
}

/// The plan of least time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetsPlan {
    /// All items in order, block by block.
    pub blocks: Vec<Block>,
    /// From the first set to the end of the last one, moves and rests included.
    pub seconds: u64,
    /// What it would be with every exercise in place.
    pub seconds_in_place: u64,
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SetsError {
    /// There must be one move between each two neighbours.
    Moves {
        /// Moves that there must be.
        expected: usize,
        /// Moves given.
        found: usize,
    },
    /// An item of no sets.
    NoSets {
        /// Its position in the session.
        item: usize,
    },
}

impl fmt::Display for SetsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SetsError::Moves { expected, found } => {
                write!(f, "`moves` has {found} entries where {expected} are expected, one between neighbours")
            }
            SetsError::NoSets { item } => write!(f, "item {item} has no sets; each item needs at least one"),
        }
    }
}

impl std::error::Error for SetsError {}

/// The plan of least time for a session in this order; `moves[k]` is the move, in seconds, from item `k` to
/// the next one.
///
/// A block in rounds is made of at most `most_in_rounds` neighbours in one place with no seconds of move
/// between them, so that it never adds a move. Of two plans of equal time the one with fewer items in rounds
/// is taken, being the easier one to follow. The same session always has the same plan.
///
/// # Errors
/// The wrong number of moves, or an item without sets.
pub fn sets_plan(items: &[SetsItem], moves: &[u32], most_in_rounds: usize) -> Result<SetsPlan, SetsError> {
    let expected = items.len().saturating_sub(1);
    if moves.len() != expected {
        return Err(SetsError::Moves { expected, found: moves.len() });
    }
    if let Some(item) = items.iter().position(|item| item.sets == 0) {
        return Err(SetsError::NoSets { item });
    }
    let in_place = best_line(items, moves, 1);
    let best = best_line(items, moves, most_in_rounds.max(1));
    Ok(SetsPlan { seconds: best.now, seconds_in_place: in_place.now, blocks: best.blocks })
}

/// Where a plan stands after some items.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Line {
    now: u64,
    /// When each region may be loaded again, where that is later than now.
    ready: BTreeMap<u8, u64>,
    items_in_rounds: usize,
    blocks: Vec<Block>,
}

impl Line {
    fn then(&self, items: &[SetsItem], moves: &[u32], block: std::ops::Range<usize>) -> Line {
        let mut line = self.clone();
        let way = if block.len() > 1 { Way::InRounds } else { Way::InPlace };
        line.blocks.push(Block { items: block.clone(), way });
        if way == Way::InRounds {
            line.items_in_rounds += block.len();
        }
        if block.start > 0 {
            line.now += u64::from(moves[block.start - 1]);
        }
        line.work_through(&items[block]);
        let now = line.now;
        line.ready.retain(|_, ready| *ready > now);
        line
    }

    fn work_through(&mut self, items: &[SetsItem]) {
        // An item without a region rests for itself alone.
        let mut own_ready = vec![0; items.len()];
        let rounds = items.iter().map(|item| item.sets).max().unwrap_or_default();
        for round in 0..rounds {
            for (item, own_ready) in items.iter().zip(&mut own_ready).filter(|(item, _)| item.sets > round) {
                let region_ready = self.ready.get(&item.region).copied().unwrap_or_default();
                let end = self.now.max(region_ready).max(*own_ready) + u64::from(item.work_seconds);
                self.now = end;
                *own_ready = end + u64::from(item.rest_seconds);
                if item.region != NO_REGION {
                    self.ready.insert(item.region, *own_ready);
                }
            }
        }
    }

    /// True if whatever follows, this line ends no later and with no more items in rounds.
    fn is_as_good_as(&self, other: &Line) -> bool {
        let ready = |line: &Line, region: &u8| line.ready.get(region).copied().unwrap_or_default();
        self.now <= other.now
            && self.items_in_rounds <= other.items_in_rounds
            && self.ready.iter().all(|(region, &at)| at <= ready(other, region).max(other.now))
    }
}

/// Walks through the items and keeps, after each, the lines of which none is as good as another.
fn best_line(items: &[SetsItem], moves: &[u32], most_in_rounds: usize) -> Line {
    let mut lines: Vec<Vec<Line>> = vec![Vec::new(); items.len() + 1];
    lines[0].push(Line::default());
    for begin in 0..items.len() {
        for line in std::mem::take(&mut lines[begin]) {
            for end in begin + 1..=items.len().min(begin.saturating_add(most_in_rounds)) {
                if end > begin + 1 && !turns_without_a_move(items, moves, end - 2) {
                    break;
                }
                keep(&mut lines[end], line.then(items, moves, begin..end));
            }
        }
    }
    let ended = lines.pop().unwrap_or_default();
    let lengths = |line: &Line| line.blocks.iter().map(|block| block.items.len()).collect::<Vec<_>>();
    ended.into_iter().min_by_key(|line| (line.now, line.items_in_rounds, lengths(line))).unwrap_or_default()
}

fn turns_without_a_move(items: &[SetsItem], moves: &[u32], first: usize) -> bool {
    items[first].place == items[first + 1].place && moves[first] == 0
}

fn keep(lines: &mut Vec<Line>, new: Line) {
    if lines.iter().any(|line| line.is_as_good_as(&new)) {
        return;
    }
    lines.retain(|line| !new.is_as_good_as(line));
    lines.push(new);
}
