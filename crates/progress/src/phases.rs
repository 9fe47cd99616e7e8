//! Since when which phase: the acts that begin phases, in the order of their days.

use handrail_protocol::{ActKind, Orders, Protocol};
use jiff::civil::Date;

/// Phases of one patient by the day they began. [`handrail_protocol::Envelope::phase`] says the same for one day.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Phases(Vec<(Date, usize)>);

impl Phases {
    /// The first phase begins with the surgery, every other by an act.
    pub fn of(protocol: &Protocol, orders: &Orders) -> Phases {
        let begun = orders.acts.iter().filter_map(|act| match &act.kind {
            ActKind::BeginPhase { phase } => protocol.phase(phase).map(|(index, _)| (act.on, index)),
            ActKind::Release { .. } => None,
        });
        let mut all: Vec<(Date, usize)> = begun.collect();
        all.sort_by_key(|(on, _)| *on);
        all.insert(0, (orders.surgery, 0));
        Phases(all)
    }

    /// Position of the phase on a day; the first one before the surgery.
    pub fn on(&self, on: Date) -> usize {
        self.0.iter().rev().find(|(since, _)| *since <= on).map_or(0, |(_, index)| *index)
    }

    /// Each stretch of one phase: first day, first day of the next stretch, position of the phase.
    pub fn stretches(&self) -> impl Iterator<Item = (Date, Option<Date>, usize)> + '_ {
        let ends = self.0.iter().skip(1).map(|(on, _)| Some(*on)).chain([None]);
        self.0.iter().zip(ends).map(|((from, index), until)| (*from, until, *index))
    }
}
