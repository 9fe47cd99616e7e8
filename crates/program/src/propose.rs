//! Choosing a program: what the phase wants trained, times what will be done, within the minutes.
//!
//! Exact over all sets of allowed exercises up to the stated number: value of the goals covered (a second
//! exercise for the same goal counts less), times the share that is expected to be done with that many
//! exercises, less a charge for every further place and every exercise in standing on a limited leg.

use std::collections::BTreeMap;
use std::sync::Arc;

use handrail_motion::Motion;
use handrail_protocol::Phase;

use crate::dose::Dose;
use crate::verdict::Checked;

/// Value of the first, second, third exercise for one goal (set by this program).
const DIMINISHING: [f64; 3] = [1.0, 0.35, 0.1];
/// Charge for each place beyond the first (set by this program).
const PLACE_CHARGE: f64 = 0.15;
/// Bonus for an exercise that the phase names (set by this program).
const NAMED_BONUS: f64 = 0.2;
/// Candidates kept for the exact search, best first.
const MOST_CANDIDATES: usize = 32;

/// Share of a program that is expected to be done, by number of exercises: 86 % with two or fewer, 54 % with
/// four or more (Eckard 2015, known: secondary), linear between; beyond four it falls on by 4 points each
/// (own extension).
pub fn expected_share(exercises: usize) -> f64 {
    match exercises {
        0..=2 => 0.86,
        3 => 0.70,
        n => (0.54 - 0.04 * (n as f64 - 4.0)).max(0.2),
    }
}

/// An allowed exercise with its usual dose.
#[derive(Clone, Debug)]
pub struct Candidate {
    /// Exercise.
    pub motion: Arc<Motion>,
    /// Checked.
    pub checked: Checked,
    /// Dose.
    pub dose: Dose,
}

impl Candidate {
    /// Seconds in one session: sets, rests between them.
    pub fn seconds(&self) -> f64 {
        let sets = f64::from(self.dose.sets);
        sets * self.dose.set_seconds(self.checked.repetition()) + (sets - 1.0).max(0.0) * self.dose.rest
    }
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// Minutes of one session.
    pub minutes: f64,
    /// Most exercises.
    pub most: usize,
}

/// The choice and its reasons.
#[derive(Clone, Debug)]
pub struct Proposal {
    /// Chosen candidates (indices), in the order of the candidates.
    pub chosen: Vec<usize>,
    /// Goals covered, with the exercises that cover them.
    pub covers: BTreeMap<String, Vec<String>>,
    /// Goals of the phase that no allowed exercise covers.
    pub uncovered: Vec<String>,
    /// Value of the choice.
    pub value: f64,
    /// Best exercise left out and what it would have added in goals (before the loss in what is done).
    pub best_left_out: Option<(String, f64)>,
}

struct Weighed {
    goals: u64,
    seconds: f64,
    bonus: f64,
    place: u8,
}

/// Chooses the exact best set.
pub fn propose(candidates: &[Candidate], phase: &Phase, wish: &Wish) -> Proposal {
    let goals: Vec<&str> = phase.goals.iter().map(|it| it.id()).collect();
    let places: Vec<&str> = candidates.iter().map(|it| it.motion.posture.place.as_str()).collect();
    let weighed: Vec<Weighed> = candidates
        .iter()
        .map(|it| Weighed {
            goals: goals
                .iter()
                .enumerate()
                .filter(|(_, goal)| it.motion.trains.iter().any(|t| t == *goal))
                .fold(0, |mask, (i, _)| mask | 1 << i),
            seconds: it.seconds(),
            bonus: if phase.exercises.contains(&it.motion.id) { NAMED_BONUS } else { 0.0 },
            place: places.iter().position(|p| *p == it.motion.posture.place).unwrap_or(0) as u8,
        })
        .collect();
    let mut usable: Vec<usize> = (0..candidates.len()).filter(|&it| weighed[it].goals != 0).collect();
    usable.sort_by(|&a, &b| {
        let worth = |it: usize| f64::from(weighed[it].goals.count_ones()) + weighed[it].bonus;
        worth(b).total_cmp(&worth(a)).then(candidates[a].motion.id.cmp(&candidates[b].motion.id))
    });
    usable.truncate(MOST_CANDIDATES);
    let mut search = Search {
        weighed: &weighed,
        usable: &usable,
        goals: goals.len(),
        seconds: wish.minutes * 60.0,
        most: wish.most,
        best: (0.0, Vec::new()),
        now: Vec::new(),
    };
    search.extend(0, 0.0);
    let (value, mut chosen) = search.best;
    chosen.sort_unstable();
    explain(candidates, &weighed, &goals, chosen, value)
}

struct Search<'a> {
    weighed: &'a [Weighed],
    usable: &'a [usize],
    goals: usize,
    seconds: f64,
    most: usize,
    best: (f64, Vec<usize>),
    now: Vec<usize>,
}

impl Search<'_> {
    fn extend(&mut self, from: usize, used: f64) {
        let value = self.value(&self.now);
        if value > self.best.0 + 1e-12 {
            self.best = (value, self.now.clone());
        }
        if self.now.len() == self.most {
            return;
        }
        for next in from..self.usable.len() {
            let item = self.usable[next];
            let seconds = used + self.weighed[item].seconds;
            if seconds <= self.seconds {
                self.now.push(item);
                self.extend(next + 1, seconds);
                self.now.pop();
            }
        }
    }

    fn value(&self, set: &[usize]) -> f64 {
        let covered = goal_value(self.weighed, set, self.goals);
        let bonus: f64 = set.iter().map(|&it| self.weighed[it].bonus).sum();
        let places = set.iter().fold(0u64, |mask, &it| mask | 1 << self.weighed[it].place).count_ones();
        (covered + bonus) * expected_share(set.len()) - PLACE_CHARGE * f64::from(places.saturating_sub(1))
    }
}

fn goal_value(weighed: &[Weighed], set: &[usize], goals: usize) -> f64 {
    (0..goals)
        .map(|goal| {
            let count = set.iter().filter(|&&it| weighed[it].goals & (1 << goal) != 0).count();
            DIMINISHING.iter().take(count).sum::<f64>()
        })
        .sum()
}

fn explain(
    candidates: &[Candidate],
    weighed: &[Weighed],
    goals: &[&str],
    chosen: Vec<usize>,
    value: f64,
) -> Proposal {
    let mut covers: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (index, goal) in goals.iter().enumerate() {
        for &it in &chosen {
            if weighed[it].goals & (1 << index) != 0 {
                covers.entry(goal.to_string()).or_default().push(candidates[it].motion.id.clone());
            }
        }
    }
    let reachable = weighed.iter().fold(0, |mask, it| mask | it.goals);
    let uncovered = goals
        .iter()
        .enumerate()
        .filter(|(index, _)| reachable & (1 << index) == 0)
        .map(|(_, goal)| goal.to_string())
        .collect();
    let now = goal_value(weighed, &chosen, goals.len());
    let best_left_out = (0..candidates.len())
        .filter(|it| !chosen.contains(it))
        .map(|it| {
            let mut with = chosen.clone();
            with.push(it);
            (it, goal_value(weighed, &with, goals.len()) - now)
        })
        .max_by(|a, b| a.1.total_cmp(&b.1).then(b.0.cmp(&a.0)))
        .map(|(it, added)| (candidates[it].motion.id.clone(), added));
    Proposal { chosen, covers, uncovered, value, best_left_out }
}
