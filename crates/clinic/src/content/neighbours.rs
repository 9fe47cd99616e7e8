//! Easier and harder neighbours of an exercise: from the load ladder of each tissue that a protocol protects, on the
//! usual body, without limits in force.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::{Arc, LazyLock, Mutex};

use handrail_anatomy::Tissue;
use handrail_library::Library;
use handrail_motion::Home;
use handrail_program::verdict::{Case, Margins};
use handrail_program::{Ladder, ladder};
use handrail_protocol::{Envelope, PhaseRef};
use jiff::civil::Date;

use crate::content::body::Choice;

/// Ladders by tissue.
pub type Ladders = BTreeMap<Tissue, Ladder>;

/// Ladders with the library they were made from; one server of the process each.
type Known = Vec<(Arc<Library>, Arc<Ladders>)>;
static KNOWN: LazyLock<Mutex<Known>> = LazyLock::new(Mutex::default);
const KEPT: usize = 4;

/// Tissues that some protocol of the library protects.
pub fn protected(library: &Library) -> BTreeSet<Tissue> {
    library.protocols.values().flat_map(|it| it.protects.iter().copied()).collect()
}

/// The ladders of all protected tissues; solved once for each library (some tenths of a second).
pub fn ladders(library: &Arc<Library>, today: Date) -> Arc<Ladders> {
    let find = || {
        let known = KNOWN.lock().unwrap_or_else(|it| it.into_inner());
        known.iter().find(|it| Arc::ptr_eq(&it.0, library)).map(|it| it.1.clone())
    };
    if let Some(it) = find() {
        return it;
    }
    let made = Arc::new(make(library, today));
    let mut known = KNOWN.lock().unwrap_or_else(|it| it.into_inner());
    if known.len() >= KEPT {
        known.remove(0);
    }
    known.push((library.clone(), made.clone()));
    made
}

fn make(library: &Library, today: Date) -> Ladders {
    let choice = Choice::usual();
    let Ok(body) = choice.body() else { return Ladders::new() };
    let home = Home::usual(body.stature());
    let envelope = Envelope {
        on: today,
        day: 0,
        week: 1,
        side: choice.side,
        protocol: (String::new(), String::new()),
        phase: PhaseRef {
            id: String::new(),
            index: 0,
            title: String::new(),
            since: today,
            by_calendar: String::new(),
        },
        in_force: Vec::new(),
        lifted: Vec::new(),
        blocked: Vec::new(),
        precautions: Vec::new(),
        notes: Vec::new(),
        next: Vec::new(),
    };
    let case = Case { body: &body, home: &home, envelope: &envelope, margins: Margins::STATED };
    let one = |tissue: Tissue| (tissue, ladder(library.exercises.values(), tissue, &case, &BTreeSet::new()));
    let tissues: Vec<Tissue> = protected(library).into_iter().collect();
    let (first, second) = tissues.split_at(tissues.len() / 2);
    std::thread::scope(|scope| {
        let other = scope.spawn(|| second.iter().map(|it| one(*it)).collect::<Vec<_>>());
        let mut all: Ladders = first.iter().map(|it| one(*it)).collect();
        all.extend(other.join().unwrap_or_default());
        all
    })
}
