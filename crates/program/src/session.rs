//! One session: the order that costs the fewest and least dangerous moves, sets in place or in rounds, moves
//! as steps of their own.

use std::collections::BTreeMap;
use std::sync::Arc;

use handrail_motion::compile::REGIONS;
use handrail_motion::{Motion, Posture};
use handrail_protocol::Limit;

use crate::dose::Dose;
use crate::moves::{MoveOver, MoveRules, MoveStep, Place, check_move, cost_of, moves};
use crate::order::{NO_REGION, OrderError, Problem, SetsItem, Way, sets_plan, solve};
use crate::verdict::{Case, Checked};

/// Charge for two exercises of one region in a row: the rest of one cannot be used by the other (set by
/// this program, seconds).
const SAME_REGION: u32 = 20;
/// Exercises that may take turns; more is hard to follow at home (set by this program).
const MOST_IN_ROUNDS: usize = 2;

/// A checked exercise with its dose and place.
#[derive(Clone, Debug)]
pub struct Item {
    /// Exercise.
    pub motion: Arc<Motion>,
    /// Its checked repetition.
    pub checked: Checked,
    /// Dose.
    pub dose: Dose,
    /// Place.
    pub place: Place,
}

/// One thing done in a session.
#[derive(Clone, Debug, PartialEq)]
pub enum Entry {
    /// A move between places.
    Move(MoveStep),
    /// One set of an item.
    Set {
        /// Index into [`Session::items`].
        item: usize,
        /// Which set, from 1.
        set: u32,
    },
    /// Rest before the next entry, s.
    Rest(f64),
}

/// A session in order.
#[derive(Clone, Debug)]
pub struct Session {
    /// Items in their order.
    pub items: Vec<Item>,
    /// Everything in sequence.
    pub entries: Vec<Entry>,
    /// Seconds from the first entry to the last.
    pub seconds: f64,
    /// Cost of the moves (seconds plus charge for danger).
    pub cost: u64,
    /// Limits that a move would pass; an honest session has none.
    pub moves_over: Vec<MoveOver>,
}

impl Session {
    /// Minutes of one session.
    pub fn minutes(&self) -> f64 {
        self.seconds / 60.0
    }

    /// How often the person has to stand up.
    pub fn stand_ups(&self) -> usize {
        self.entries
            .iter()
            .filter(|it| matches!(it, Entry::Move(step) if matches!(step.kind, crate::moves::MoveKind::StandUp { .. })))
            .count()
    }
}

/// Where an exercise happens. Where the worn device may come off for exercise, sitting and lying exercises
/// are done without it, standing ones with it unless they need it off.
pub(crate) fn place_of(motion: &Motion, checked: &Checked, rules: &MoveRules, case: &Case<'_>) -> Place {
    let may_come_off = case
        .envelope
        .in_force
        .iter()
        .all(|it| !matches!(it.limit, Limit::Device { off_for_exercise: false, .. }));
    let side = checked.verdict().side;
    let needs_off = rules.device.is_some_and(|it| motion.device_off.contains(&it)) && side == rules.side;
    let at_rest = matches!(motion.posture.place.as_str(), "chair" | "bed");
    let off = needs_off || (may_come_off && at_rest);
    let furniture = ["chair", "bed", "table", "wall", "step"];
    Place {
        spot: motion.posture.place.clone(),
        posture: motion.posture.id.clone(),
        side,
        device_on: rules.device.is_some() && !off,
        equipment: motion.equipment.iter().filter(|it| !furniture.contains(&it.as_str())).cloned().collect(),
    }
}

/// Puts checked exercises in order and lays out the session.
///
/// # Errors
/// More than 20 exercises.
pub fn session(
    chosen: Vec<(Arc<Motion>, Checked, Dose)>,
    case: &Case<'_>,
    postures: &BTreeMap<String, Posture>,
) -> Result<Session, OrderError> {
    let rules = MoveRules::of(case.envelope);
    let start = start_place(&rules);
    let items: Vec<Item> = chosen
        .into_iter()
        .map(|(motion, checked, dose)| {
            let place = place_of(&motion, &checked, &rules, case);
            Item { motion, checked, dose, place }
        })
        .collect();
    let way = |from: &Place, to: &Place| moves(from, to, &rules, postures);
    let problem = problem(&items, &start, &way);
    let solution = solve(&problem)?;
    let items: Vec<Item> = solution.order.iter().map(|&it| items[it].clone()).collect();
    let mut out =
        Session { items, entries: Vec::new(), seconds: 0.0, cost: solution.cost, moves_over: Vec::new() };
    lay_out(&mut out, &start, &way);
    out.moves_over = checked_moves(&out, case, postures);
    Ok(out)
}

/// Place at the start of a session: the chair, device on.
pub(crate) fn start_place(rules: &MoveRules) -> Place {
    Place {
        spot: "chair".into(),
        posture: "seated".into(),
        side: rules.side,
        device_on: rules.device.is_some(),
        equipment: Vec::new(),
    }
}

/// Place at the end of a session: same spot, device back on.
pub(crate) fn end_of(place: &Place, start: &Place) -> Place {
    Place { device_on: start.device_on, equipment: Vec::new(), ..place.clone() }
}

fn problem(items: &[Item], start: &Place, way: &impl Fn(&Place, &Place) -> Vec<MoveStep>) -> Problem {
    let n = items.len();
    let mut before = Vec::new();
    for (i, a) in items.iter().enumerate() {
        for (j, b) in items.iter().enumerate() {
            if a.motion.warm_up && !b.motion.warm_up {
                before.push((i, j));
            }
        }
    }
    Problem {
        n,
        start: items.iter().map(|it| cost_of(&way(start, &it.place))).collect(),
        end: items.iter().map(|it| cost_of(&way(&it.place, &end_of(&it.place, start)))).collect(),
        step: items
            .iter()
            .map(|a| items.iter().map(|b| cost_of(&way(&a.place, &b.place))).collect())
            .collect(),
        before,
        region: items.iter().map(region_code).collect(),
        same_region_penalty: SAME_REGION,
    }
}

fn region_code(item: &Item) -> u8 {
    REGIONS.iter().position(|it| *it == item.motion.region).map_or(NO_REGION, |it| it as u8)
}

fn lay_out(out: &mut Session, start: &Place, way: &impl Fn(&Place, &Place) -> Vec<MoveStep>) {
    let steps: Vec<Vec<MoveStep>> = std::iter::once(start)
        .chain(out.items.iter().map(|it| &it.place))
        .zip(out.items.iter().map(|it| &it.place))
        .map(|(from, to)| way(from, to))
        .collect();
    let seconds = |list: &[MoveStep]| list.iter().map(|it| it.seconds).sum::<f64>();
    let sets: Vec<SetsItem> = out
        .items
        .iter()
        .enumerate()
        .map(|(index, item)| SetsItem {
            place: place_number(out, index),
            region: region_code(item),
            sets: item.dose.sets.max(1),
            work_seconds: item.dose.set_seconds(item.checked.repetition()).round() as u32,
            rest_seconds: item.dose.rest.round() as u32,
        })
        .collect();
    let between: Vec<u32> = steps.iter().skip(1).map(|it| seconds(it).round() as u32).collect();
    let blocks = sets_plan(&sets, &between, MOST_IN_ROUNDS).map(|it| it.blocks).unwrap_or_default();

    let mut clock = Clock::default();
    for block in blocks {
        for index in block.items.clone() {
            for step in &steps[index] {
                clock.now += step.seconds;
                out.entries.push(Entry::Move(step.clone()));
            }
            if block.way == Way::InPlace {
                for set in 1..=sets[index].sets {
                    clock.set(&mut out.entries, index, set, &sets[index]);
                }
            }
        }
        if block.way == Way::InRounds {
            let most = block.items.clone().map(|it| sets[it].sets).max().unwrap_or(0);
            for set in 1..=most {
                for index in block.items.clone().filter(|&it| set <= sets[it].sets) {
                    clock.set(&mut out.entries, index, set, &sets[index]);
                }
            }
        }
    }
    if let Some(last) = out.items.last() {
        for step in way(&last.place, &end_of(&last.place, start)) {
            clock.now += step.seconds;
            out.entries.push(Entry::Move(step));
        }
    }
    out.seconds = clock.now;
}

/// Number of an item's place: equal for items that can take turns without any move.
fn place_number(session: &Session, index: usize) -> u32 {
    let place = &session.items[index].place;
    session.items.iter().position(|it| it.place == *place).unwrap_or(index) as u32
}

/// Time of the session, and when each region has rested.
#[derive(Default)]
struct Clock {
    now: f64,
    ready: BTreeMap<u8, f64>,
}

impl Clock {
    fn set(&mut self, entries: &mut Vec<Entry>, item: usize, set: u32, of: &SetsItem) {
        let ready = self.ready.get(&of.region).copied().unwrap_or(0.0);
        if of.region != NO_REGION && ready > self.now {
            entries.push(Entry::Rest(ready - self.now));
            self.now = ready;
        }
        entries.push(Entry::Set { item, set });
        self.now += f64::from(of.work_seconds);
        self.ready.insert(of.region, self.now + f64::from(of.rest_seconds));
    }
}

fn checked_moves(session: &Session, case: &Case<'_>, postures: &BTreeMap<String, Posture>) -> Vec<MoveOver> {
    let rules = MoveRules::of(case.envelope);
    let mut device_on = rules.device.is_some();
    let mut out = Vec::new();
    for entry in &session.entries {
        let Entry::Move(step) = entry else { continue };
        match step.kind {
            crate::moves::MoveKind::DeviceOn(_) => device_on = true,
            crate::moves::MoveKind::DeviceOff(_) => device_on = false,
            _ => {}
        }
        out.extend(check_move(step, device_on, case, postures));
    }
    out
}
