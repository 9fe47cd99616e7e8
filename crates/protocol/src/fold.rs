//! The fold that makes an [`Envelope`] of a protocol, orders and a date. Its rules stand in
//! [`crate::envelope`], by number.

use std::collections::{BTreeMap, BTreeSet};

use handrail_anatomy::Joint;
use jiff::civil::Date;

use crate::calendar::{week_of_day, weeks_complete};
use crate::check::ladders_of;
use crate::envelope::{
    ActNeeded, Blocked, Change, ChangeWhat, Envelope, InForce, Lifted, Need, Note, PhaseRef, Status,
    Superseded, Until, Why,
};
use crate::limits::Limit;
use crate::model::{Condition, Ends, Precaution, Protocol, Restriction};
use crate::orders::{Act, ActKind, Order, Orders, replaced_by};
use crate::strictness::Outside;

/// Whether a condition on variants is met.
enum Applies {
    Yes,
    No,
    /// Not known, because these variants are unanswered.
    Unknown(Vec<String>),
}

/// A limit that may be in force, before orders and strictness have been applied.
struct Candidate {
    item: InForce,
    /// Order that may still loosen: within its days. `false` for protocol items.
    active_order: bool,
    alive: bool,
}

pub(crate) struct Fold<'a> {
    protocol: &'a Protocol,
    orders: &'a Orders,
    on: Date,
    /// Phases begun, in order: index and day.
    phases: Vec<(usize, Date)>,
    /// First release of each id up to the date.
    releases: BTreeMap<&'a str, &'a Act>,
    effective_releases: BTreeSet<&'a str>,
    notes: BTreeSet<Note>,
    next: Vec<Change>,
}

impl<'a> Fold<'a> {
    pub(crate) fn new(protocol: &'a Protocol, orders: &'a Orders, on: Date) -> Fold<'a> {
        let mut acts: Vec<&Act> = orders.acts.iter().filter(|it| it.on <= on).collect();
        acts.sort_by_key(|it| it.on);
        let mut phases = vec![(0, orders.surgery)];
        let mut releases = BTreeMap::new();
        for act in acts {
            match &act.kind {
                ActKind::Release { restriction } => {
                    releases.entry(restriction.as_str()).or_insert(act);
                }
                ActKind::BeginPhase { phase } => {
                    phases.extend(protocol.phase(phase).map(|(index, _)| (index, act.on)));
                }
            }
        }
        Fold {
            protocol,
            orders,
            on,
            phases,
            releases,
            effective_releases: BTreeSet::new(),
            notes: BTreeSet::new(),
            next: Vec::new(),
        }
    }

    pub(crate) fn envelope(mut self, day: i32) -> Envelope {
        let phase = self.present_phase();
        let mut candidates = self.order_candidates();
        let orders = candidates.len();
        self.protocol_candidates(&mut candidates);
        self.apply_orders(&mut candidates, orders);
        self.keep_the_stricter(&mut candidates, orders);
        self.drop_changes_of_superseded(&candidates);
        self.next_phase(&phase);
        self.note_idle_releases();
        let mut next = self.next;
        next.sort_by_key(|change| (change.on, change_rank(&change.what)));
        Envelope {
            on: self.on,
            day,
            week: week_of_day(day),
            side: self.orders.side,
            protocol: (self.protocol.id.clone(), self.protocol.version.clone()),
            phase,
            in_force: candidates.into_iter().filter(|it| it.alive).map(|it| it.item).collect(),
            lifted: lifted(&self.releases, &self.effective_releases),
            blocked: blocked(self.protocol, self.orders),
            precautions: precautions(self.protocol, self.orders, self.on),
            notes: self.notes.into_iter().collect(),
            next,
        }
    }

    fn date(&self, weeks: u32) -> Date {
        weeks_complete(self.orders.surgery, weeks)
    }

    fn released(&mut self, id: &str) -> Option<Date> {
        let (&key, act) = self.releases.get_key_value(id)?;
        self.effective_releases.insert(key);
        Some(act.on)
    }

    fn present_phase(&mut self) -> PhaseRef {
        let &(index, since) = self.phases.last().unwrap_or(&(0, self.orders.surgery));
        let phase = &self.protocol.phases[index];
        let due = self.protocol.phases.iter().rposition(|it| self.date(it.from_week) <= self.on).unwrap_or(0);
        let by_calendar = self.protocol.phases[due].id.clone();
        if due > index {
            self.notes.insert(Note::PhaseWaits { by_calendar: by_calendar.clone() });
        }
        if due < index {
            let planned = self.date(phase.from_week);
            self.notes.insert(Note::PhaseEarly { phase: phase.id.clone(), planned });
        }
        if self.protocol.is_draft() {
            self.notes.insert(Note::Draft);
        }
        PhaseRef { id: phase.id.clone(), index, title: phase.title.clone(), since, by_calendar }
    }

    /// Day since which the present phase has been this one or a later one without a step back; `None` when it
    /// is not now.
    fn phase_reached(&self, index: usize) -> Option<Date> {
        let begun = self.phases.iter().rev().take_while(|(phase, _)| *phase >= index);
        begun.last().map(|(_, since)| *since)
    }

    /// Criteria between the present phase and the given one.
    fn criteria_until(&self, phase: usize) -> Vec<String> {
        let present = self.phases.last().map_or(0, |(index, _)| *index);
        let open = self.protocol.criteria.iter().filter(|it| it.begins > present && it.begins <= phase);
        open.filter(|it| !matches!(applies(self.orders, &it.only_if), Applies::No))
            .map(|it| it.id.clone())
            .collect()
    }

    /// Orders that hold, and the next changes of the others.
    fn order_candidates(&mut self) -> Vec<Candidate> {
        let mut found = Vec::new();
        for order in &self.orders.orders {
            if self.released(&order.id).is_some() {
                continue;
            }
            if order.from > self.on {
                let what = ChangeWhat::Starts { id: order.id.clone(), limit: order.limit.clone() };
                self.next.push(Change { on: order.from, due: false, what, needs: Vec::new() });
                continue;
            }
            let expired = order.until.is_some_and(|until| until < self.on);
            let item = ordered(order, expired);
            self.change_of_end(&item);
            found.push(Candidate { item, active_order: !expired, alive: true });
        }
        found
    }

    /// Lists the end of an item among the next changes, when a day is named.
    fn change_of_end(&mut self, item: &InForce) {
        let Some(earliest) = item.until.earliest else { return };
        let mut needs: Vec<Need> = item.until.criteria.iter().cloned().map(Need::Criterion).collect();
        if item.until.act != ActNeeded::None {
            needs.push(Need::Act(item.until.act.clone()));
        }
        let what = ChangeWhat::Ends { id: item.id.clone() };
        self.next.push(Change { on: earliest.max(self.on), due: earliest <= self.on, what, needs });
    }

    fn protocol_candidates(&mut self, candidates: &mut Vec<Candidate>) {
        let restrictions = &self.protocol.restrictions;
        let ladders = ladders_of(restrictions);
        let mut found: Vec<(usize, InForce)> = Vec::new();
        for (index, restriction) in restrictions.iter().enumerate() {
            let unanswered = match applies(self.orders, &restriction.only_if) {
                Applies::No => continue,
                Applies::Yes => Vec::new(),
                Applies::Unknown(variants) => variants,
            };
            match &restriction.ladder {
                None => found.extend(self.single(restriction, unanswered).map(|item| (index, item))),
                Some(name) => {
                    let stages = &ladders[name.as_str()];
                    // Each ladder is handled once, at its first stage; its stages share their condition.
                    if stages.first() == Some(&index) {
                        found.extend(self.ladder(stages, unanswered));
                    }
                }
            }
        }
        found.sort_by_key(|(index, _)| *index);
        let items = found.into_iter();
        candidates.extend(items.map(|(_, item)| Candidate { item, active_order: false, alive: true }));
    }

    fn single(&mut self, restriction: &'a Restriction, unanswered: Vec<String>) -> Option<InForce> {
        if self.released(&restriction.id).is_some() {
            return None;
        }
        let start = self.date(restriction.from_week);
        if start > self.on {
            let what = ChangeWhat::Starts { id: restriction.id.clone(), limit: restriction.limit.clone() };
            self.next.push(Change { on: start, due: false, what, needs: Vec::new() });
            return None;
        }
        let until = self.until(restriction, None)?;
        let item = self.in_force(restriction, start, until, unanswered);
        self.change_of_end(&item);
        Some(item)
    }

    /// Until when a restriction holds; `None` when it has ended.
    fn until(&self, restriction: &Restriction, next: Option<&Restriction>) -> Option<Until> {
        let earliest = restriction.to_week.map(|week| self.date(week));
        let gate = match (restriction.ends, next) {
            (_, Some(next)) if next.limit.implies(&restriction.limit) => {
                return Some(Until { earliest, act: ActNeeded::None, criteria: Vec::new() });
            }
            (Ends::Phase(phase), _) => phase,
            (Ends::Week, Some(next)) => next.phase,
            (Ends::Release, _) | (Ends::Week, None) => {
                let act = ActNeeded::Release(restriction.id.clone());
                return Some(Until { earliest, act, criteria: Vec::new() });
            }
        };
        if self.phase_reached(gate).is_none() {
            let act = ActNeeded::BeginPhase(self.protocol.phases[gate].id.clone());
            return Some(Until { earliest, act, criteria: self.criteria_until(gate) });
        }
        let weeks_passed = earliest.is_none_or(|date| date <= self.on);
        (!weeks_passed).then_some(Until { earliest, act: ActNeeded::None, criteria: Vec::new() })
    }

    /// The stage of a ladder that holds, with its index in the file.
    fn ladder(&mut self, stages: &[usize], unanswered: Vec<String>) -> Option<(usize, InForce)> {
        let restrictions = &self.protocol.restrictions;
        let first = &restrictions[stages[0]];
        let mut since = self.date(first.from_week);
        if since > self.on {
            let what = ChangeWhat::Starts { id: first.id.clone(), limit: first.limit.clone() };
            self.next.push(Change { on: since, due: false, what, needs: Vec::new() });
            return None;
        }
        let mut position = 0;
        for candidate in 1..stages.len() {
            let (present, next) = (&restrictions[stages[position]], &restrictions[stages[candidate]]);
            if let Some(day) = self.takes_over(present, next) {
                position = candidate;
                since = since.max(day);
            }
        }
        let present = &restrictions[stages[position]];
        let next = stages.get(position + 1).map(|&index| &restrictions[index]);
        if next.is_none() && self.released(&present.id).is_some() {
            return None;
        }
        let until = self.until(present, next)?;
        let item = self.in_force(present, since, until, unanswered);
        match next {
            None => self.change_of_end(&item),
            Some(next) => self.change_of_stage(&item, next),
        }
        Some((stages[position], item))
    }

    /// Day on which the next stage of a ladder took over from the present one.
    fn takes_over(&mut self, present: &Restriction, next: &Restriction) -> Option<Date> {
        if let Some(day) = self.released(&present.id) {
            return Some(day);
        }
        let planned = self.date(next.from_week);
        if planned > self.on {
            return None;
        }
        if next.limit.implies(&present.limit) {
            return Some(planned);
        }
        match present.ends {
            Ends::Week => self.phase_reached(next.phase).map(|begun| begun.max(planned)),
            Ends::Release | Ends::Phase(_) => None,
        }
    }

    fn change_of_stage(&mut self, present: &InForce, next: &Restriction) {
        let planned = self.date(next.from_week);
        let mut needs: Vec<Need> = present.until.criteria.iter().cloned().map(Need::Criterion).collect();
        if present.until.act != ActNeeded::None {
            needs.push(Need::Act(present.until.act.clone()));
        }
        let what =
            ChangeWhat::Steps { from: present.id.clone(), to: next.id.clone(), limit: next.limit.clone() };
        self.next.push(Change { on: planned.max(self.on), due: planned <= self.on, what, needs });
    }

    fn in_force(&self, it: &Restriction, since: Date, until: Until, unanswered: Vec<String>) -> InForce {
        let mut confirmations = self.orders.confirmed.iter();
        let confirmed = confirmations.rfind(|other| other.restriction == it.id && other.on <= self.on);
        InForce {
            id: it.id.clone(),
            limit: it.limit.clone(),
            status: if confirmed.is_some() { Status::Confirmed } else { Status::Assumed },
            since,
            overdue: until.earliest.is_some_and(|date| date <= self.on),
            until,
            source: it.basis.source.clone(),
            known: Some(it.basis.known),
            basis: it.basis.why.clone(),
            by: confirmed.map(|other| other.by.clone()),
            document: confirmed.map(|other| other.document.clone()),
            note: it.note.clone(),
            superseded: Vec::new(),
            unanswered,
        }
    }

    /// Rule 4: orders take the place of what they replace, and of the protocol's values.
    fn apply_orders(&mut self, candidates: &mut [Candidate], orders: usize) {
        for index in 0..orders {
            if !candidates[index].active_order {
                continue;
            }
            let id = candidates[index].item.id.clone();
            let order = self.orders.orders.iter().find(|it| it.id == id);
            let replaced = order.map(|it| replaced_by(&self.orders.orders, it)).unwrap_or_default();
            for other in 0..candidates.len() {
                if other != index && candidates[other].alive && replaced.contains(&candidates[other].item.id)
                {
                    if other >= orders {
                        self.note_if_looser(&candidates[index].item, &candidates[other].item);
                    }
                    supersede(candidates, index, other, Why::Replaced);
                }
            }
        }
        for index in 0..orders {
            if !candidates[index].active_order || !candidates[index].alive {
                continue;
            }
            for other in orders..candidates.len() {
                if candidates[other].alive {
                    self.order_beats_protocol(candidates, index, other);
                }
            }
        }
    }

    fn order_beats_protocol(&mut self, candidates: &mut [Candidate], order: usize, other: usize) {
        let (ordered, written) = (&candidates[order].item, &candidates[other].item);
        if !ordered.limit.same_quantity(&written.limit) {
            return;
        }
        match written.limit.outside(&ordered.limit) {
            Outside::Nothing => {
                self.note_if_looser(ordered, written);
                supersede(candidates, order, other, Why::OrderBeatsProtocol);
            }
            Outside::Rest(rest) => {
                self.note_if_looser(ordered, written);
                let part = superseded(written, Why::OrderBeatsProtocolInPart);
                candidates[order].item.superseded.push(part);
                candidates[other].item.limit = rest;
            }
            Outside::Inseparable => {
                self.notes.insert(Note::BothHold { one: ordered.id.clone(), other: written.id.clone() });
            }
        }
    }

    fn note_if_looser(&mut self, order: &InForce, restriction: &InForce) {
        let spoken_of = order.limit.same_subject(&restriction.limit);
        let looser = match (&order.limit, &restriction.limit) {
            (Limit::Motion { max_deg, .. }, Limit::Motion { max_deg: other, .. }) => max_deg > other,
            (Limit::Resistance { max_kg, .. }, Limit::Resistance { max_kg: other, .. }) => max_kg > other,
            (order, restriction) => !order.implies(restriction),
        };
        if !spoken_of || looser {
            self.notes
                .insert(Note::OrderLooser { order: order.id.clone(), restriction: restriction.id.clone() });
        }
    }

    /// Rule 5: of two limits of which one implies the other, the stricter holds.
    fn keep_the_stricter(&mut self, candidates: &mut [Candidate], orders: usize) {
        self.note_contradictions(candidates, orders);
        while let Some((holds, yields, why)) = stricter_pair(candidates) {
            if holds >= orders && yields < orders && why == Why::StricterHolds {
                self.notes.insert(Note::ProtocolStricter {
                    order: candidates[yields].item.id.clone(),
                    restriction: candidates[holds].item.id.clone(),
                });
            }
            supersede(candidates, holds, yields, why);
        }
    }

    fn note_contradictions(&mut self, candidates: &[Candidate], orders: usize) {
        for one in 0..orders {
            for other in one + 1..orders {
                let (a, b) = (&candidates[one], &candidates[other]);
                if !a.alive || !b.alive || !a.item.limit.same_quantity(&b.item.limit) {
                    continue;
                }
                let (a, b) = (&a.item, &b.item);
                self.notes.extend(match (a.limit.implies(&b.limit), b.limit.implies(&a.limit)) {
                    (true, true) => None,
                    (true, false) => Some(Note::Contradiction { holds: a.id.clone(), yields: b.id.clone() }),
                    (false, true) => Some(Note::Contradiction { holds: b.id.clone(), yields: a.id.clone() }),
                    (false, false) => Some(Note::BothHold { one: a.id.clone(), other: b.id.clone() }),
                });
            }
        }
    }

    /// A change that ends or steps something not in force would announce nothing.
    fn drop_changes_of_superseded(&mut self, candidates: &[Candidate]) {
        let gone: BTreeSet<&str> =
            candidates.iter().filter(|it| !it.alive).map(|it| it.item.id.as_str()).collect();
        self.next.retain(|change| match &change.what {
            ChangeWhat::Ends { id } | ChangeWhat::Steps { from: id, .. } => !gone.contains(id.as_str()),
            ChangeWhat::Starts { .. } | ChangeWhat::Phase { .. } => true,
        });
    }

    fn next_phase(&mut self, present: &PhaseRef) {
        let Some(phase) = self.protocol.phases.get(present.index + 1) else { return };
        let planned = self.date(phase.from_week);
        let mut needs: Vec<Need> =
            self.criteria_until(present.index + 1).into_iter().map(Need::Criterion).collect();
        needs.push(Need::Act(ActNeeded::BeginPhase(phase.id.clone())));
        let what = ChangeWhat::Phase { id: phase.id.clone() };
        self.next.push(Change { on: planned.max(self.on), due: planned <= self.on, what, needs });
    }

    fn note_idle_releases(&mut self) {
        for id in self.releases.keys() {
            if !self.effective_releases.contains(id) {
                self.notes.insert(Note::ReleaseWithoutEffect { restriction: (*id).to_string() });
            }
        }
    }
}

fn change_rank(what: &ChangeWhat) -> (u8, String) {
    match what {
        ChangeWhat::Starts { id, .. } => (0, id.clone()),
        ChangeWhat::Phase { id } => (1, id.clone()),
        ChangeWhat::Steps { from, .. } => (2, from.clone()),
        ChangeWhat::Ends { id } => (3, id.clone()),
    }
}

fn applies(orders: &Orders, condition: &Condition) -> Applies {
    let mut unanswered = Vec::new();
    for (variant, answers) in condition {
        match orders.answer(variant) {
            Some(answer) if answers.contains(answer) => {}
            Some(_) => return Applies::No,
            None => unanswered.push(variant.clone()),
        }
    }
    if unanswered.is_empty() { Applies::Yes } else { Applies::Unknown(unanswered) }
}

fn ordered(order: &Order, expired: bool) -> InForce {
    InForce {
        id: order.id.clone(),
        limit: order.limit.clone(),
        status: Status::Ordered,
        since: order.from,
        until: Until {
            earliest: order.until.map(|date| date.tomorrow().unwrap_or(date)),
            act: ActNeeded::Release(order.id.clone()),
            criteria: Vec::new(),
        },
        overdue: expired,
        source: order.document.clone(),
        known: None,
        basis: None,
        by: Some(order.by.clone()),
        document: Some(order.document.clone()),
        note: order.note.clone(),
        superseded: Vec::new(),
        unanswered: Vec::new(),
    }
}

fn superseded(item: &InForce, why: Why) -> Superseded {
    Superseded { id: item.id.clone(), limit: item.limit.clone(), why, source: item.source.clone() }
}

/// Takes `yields` out of force, to be listed under `holds` with all that it had superseded itself.
fn supersede(candidates: &mut [Candidate], holds: usize, yields: usize, why: Why) {
    candidates[yields].alive = false;
    let mut gone = vec![superseded(&candidates[yields].item, why)];
    gone.append(&mut candidates[yields].item.superseded);
    candidates[holds].item.superseded.append(&mut gone);
}

/// A pair of which the first is stricter; or says the same on a better word, or for longer. `None` when every
/// limit counts.
fn stricter_pair(candidates: &[Candidate]) -> Option<(usize, usize, Why)> {
    let rank = |index: usize| {
        let item = &candidates[index].item;
        (item.status, std::cmp::Reverse(item.until.earliest.unwrap_or(Date::MAX)), index)
    };
    for (yields, b) in candidates.iter().enumerate().filter(|(_, it)| it.alive) {
        for (holds, a) in candidates.iter().enumerate().filter(|(_, it)| it.alive) {
            if holds == yields || !a.item.limit.implies(&b.item.limit) {
                continue;
            }
            if !b.item.limit.implies(&a.item.limit) {
                return Some((holds, yields, Why::StricterHolds));
            }
            if rank(holds) < rank(yields) {
                return Some((holds, yields, Why::SameLimit));
            }
        }
    }
    None
}

fn lifted(releases: &BTreeMap<&str, &Act>, effective: &BTreeSet<&str>) -> Vec<Lifted> {
    let counted = releases.iter().filter(|(id, _)| effective.contains(*id));
    let lifted = counted.map(|(id, act)| Lifted {
        id: (*id).to_string(),
        by: act.by.clone(),
        on: act.on,
        document: act.document.clone(),
        reason: act.reason.clone(),
    });
    lifted.collect()
}

fn blocked(protocol: &Protocol, orders: &Orders) -> Vec<Blocked> {
    let open = protocol.variants.iter().filter(|it| orders.answer(&it.name).is_none());
    let blocked = open.map(|variant| {
        let concerns = |condition: &Condition| {
            condition.contains_key(&variant.name) && !matches!(applies(orders, condition), Applies::No)
        };
        let restrictions: Vec<&Restriction> =
            protocol.restrictions.iter().filter(|it| concerns(&it.only_if)).collect();
        let joints: BTreeSet<Joint> = restrictions.iter().flat_map(|it| it.limit.joints()).collect();
        let criteria = protocol.criteria.iter().filter(|it| concerns(&it.only_if)).map(|it| it.id.clone());
        Blocked {
            variant: variant.name.clone(),
            question: variant.question.clone(),
            choices: variant.choices.clone(),
            depends: restrictions.iter().map(|it| it.id.clone()).chain(criteria).collect(),
            joints: joints.into_iter().collect(),
        }
    });
    blocked.filter(|it| !it.depends.is_empty()).collect()
}

fn precautions(protocol: &Protocol, orders: &Orders, on: Date) -> Vec<Precaution> {
    let date = |weeks| weeks_complete(orders.surgery, weeks);
    let now = protocol.precautions.iter().filter(|it| {
        date(it.from_week) <= on
            && it.to_week.is_none_or(|week| on < date(week))
            && !matches!(applies(orders, &it.only_if), Applies::No)
    });
    now.cloned().collect()
}
