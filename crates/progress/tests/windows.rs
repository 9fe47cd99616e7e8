//! What was stored on one day says on every later day what would be found on that day.

mod common;

use common::*;
use handrail_anatomy::Side;
use handrail_episode::*;
use handrail_progress::{Attention, Phases, Summary, summary, tiny, worst_on};
use handrail_protocol::limits::WeightBearing;
use handrail_protocol::{Limit, Order};
use proptest::prelude::*;

/// Something that is put on record.
#[derive(Clone, Debug)]
enum Event {
    Diary { pain: u8, after: u8, sign: Option<u8>, worse: bool },
    Visit,
    Contact(u8),
    Hold,
    Phase(u8),
    Release(u8),
    Confirm(u8),
    Program { days: u32, given: bool },
    Knee(u8),
    Stance(u8),
    NextVisit(u8),
    Letter,
    Progress,
    Message(bool),
    Order { from: u8, days: Option<u8>, replaces: Option<u8> },
    Closed,
}

fn event() -> impl Strategy<Value = Event> {
    prop_oneof![
        6 => (0u8..=10, 0u8..=10, proptest::option::weighted(0.1, 0u8..3), any::<bool>())
            .prop_map(|(pain, after, sign, worse)| Event::Diary { pain, after, sign, worse }),
        2 => Just(Event::Visit),
        2 => any::<u8>().prop_map(Event::Contact),
        1 => Just(Event::Hold),
        1 => (1u8..4).prop_map(Event::Phase),
        1 => any::<u8>().prop_map(Event::Release),
        2 => any::<u8>().prop_map(Event::Confirm),
        2 => (1u32..=7, any::<bool>()).prop_map(|(days, given)| Event::Program { days, given }),
        2 => (80u8..140).prop_map(Event::Knee),
        1 => (0u8..20).prop_map(Event::Stance),
        1 => (5u8..60).prop_map(Event::NextVisit),
        1 => Just(Event::Letter),
        1 => Just(Event::Progress),
        1 => any::<bool>().prop_map(Event::Message),
        2 => (0u8..30, proptest::option::of(1u8..30), proptest::option::of(any::<u8>()))
            .prop_map(|(from, days, replaces)| Event::Order { from, days, replaces }),
        1 => proptest::option::weighted(0.2, Just(())).prop_map(|it| it.map_or(Event::Visit, |()| Event::Closed)),
    ]
}

fn record(case: &mut Case, on: i64, event: &Event, version: &mut u32) {
    let ids: Vec<String> = case.protocol.restrictions.iter().map(|it| it.id.clone()).collect();
    let pick = |n: u8| ids[usize::from(n) % ids.len()].clone();
    match event {
        Event::Diary { pain, after, sign: reported, worse } => {
            let urgency = [SignUrgency::Emergency, SignUrgency::SameDay, SignUrgency::NextVisit];
            case.diary(on, |it| {
                (it.pain_during, it.pain_after) = (Some(*pain), Some(*after));
                it.morning = worse.then_some(Morning::Worse);
                it.signs = reported.iter().map(|it| sign(urgency[usize::from(*it)])).collect();
            });
        }
        Event::Visit => drop(case.visit(on)),
        Event::Contact(n) => {
            let about = u64::from(*n) % case.entries.len() as u64 + 1;
            case.contact(on, about);
        }
        Event::Hold => drop(case.decision(on, DecisionKind::Hold, &["flexion-110", "single-leg-stance"])),
        Event::Phase(n) => {
            let phase = case.protocol.phases[usize::from(*n) % case.protocol.phases.len()].id.clone();
            case.begin_phase(on, &phase);
        }
        Event::Release(n) => drop(case.release(on, &pick(*n))),
        Event::Confirm(n) => {
            let (by, document) = ("Dr. Teodor Aspinall".to_string(), "letter".to_string());
            let restriction = pick(*n);
            let fact = handrail_protocol::Confirmation { restriction, by, on: day(on), document };
            case.add(on, Fact::Confirmation(fact));
        }
        Event::Program { days, given } => {
            *version += 1;
            case.program(*version, on, *days);
            if *given {
                case.issued(*version, on, on + 13);
            }
        }
        Event::Knee(n) => drop(case.measure(on, "knee_flexion", Some(Side::Left), f64::from(*n), "deg")),
        Event::Stance(n) => drop(case.measure(on, "single_leg_stance", Some(Side::Left), f64::from(*n), "s")),
        Event::NextVisit(n) => {
            let variants: Vec<(String, String)> = case.episode().operation.variants.into_iter().collect();
            let variants: Vec<(&str, &str)> =
                variants.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
            let operation = case.operation(Some(on + i64::from(*n)), &variants);
            case.add(on, Fact::Operation(operation));
        }
        Event::Letter => drop(case.report(on, "letter before the visit", "Dr. Teodor Aspinall")),
        Event::Progress => drop(case.report(on, "progress report", "the payer")),
        Event::Message(patient) => {
            let from = if *patient { MessageFrom::Patient } else { MessageFrom::Clinic };
            case.message(on, from);
        }
        Event::Order { from, days, replaces } => {
            let from = on + i64::from(*from);
            let fact = Order {
                id: format!("order-{}", case.entries.len()),
                limit: Limit::LegWeightBearing(WeightBearing::None),
                replaces: replaces.map(pick),
                by: "Dr. Teodor Aspinall".into(),
                on: day(on),
                document: "letter".into(),
                from: day(from),
                until: days.map(|it| day(from + i64::from(it))),
                note: None,
            };
            case.add(on, Fact::Order(fact));
        }
        Event::Closed => {
            case.add(
                on,
                Fact::Closed(Closed { reason: "discharged".into(), by: "Ines Brandvold, PT".into() }),
            );
        }
    }
}

/// An episode with up to 60 entries in the first 80 days, some of them dated ahead of those before.
fn case() -> impl Strategy<Value = Case> {
    let protocol =
        prop_oneof![Just("acl-reconstruction"), Just("achilles-repair"), Just("rotator-cuff-repair")];
    let events = proptest::collection::vec((0i64..80, event()), 0..60);
    (protocol, any::<bool>(), any::<bool>(), events).prop_map(
        |(protocol, answered, confirmed, mut events)| {
            let choices = LIBRARY.protocols[protocol].variants.iter().filter(|_| answered);
            let answers: Vec<(&str, &str)> =
                choices.map(|it| (it.name.as_str(), it.choices[0].as_str())).collect();
            let mut case = Case::bare(protocol, &answers);
            if confirmed {
                case = case.all_confirmed(1);
            }
            // Mostly in the order of days; a tenth is written down late.
            let late: Vec<(i64, Event)> = events.split_off(events.len() * 9 / 10);
            events.sort_by_key(|it| it.0);
            let mut version = 0;
            for (on, event) in events.iter().chain(&late) {
                record(&mut case, *on, event, &mut version);
            }
            case
        },
    )
}

fn told(list: &[Attention], on: i64) -> Vec<String> {
    let holds = list.iter().filter(|it| it.holds_on(day(on)));
    let mut out: Vec<String> = holds
        .map(|it| format!("{} {:?} {:?} {} {:?}", it.rank, it.until, it.entry, it.about, it.detail))
        .collect();
    out.sort();
    out
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(150))]

    #[test]
    fn a_day_asked_of_stored_windows_equals_that_day_made_anew(case in case(), from in 0i64..90) {
        let stored = case.windows(from);
        for on in (from..from + 50).chain([from + 90, from + 200]) {
            prop_assert_eq!(told(&stored, on), told(&case.windows(on), on), "stored on {}, asked for {}", from, on);
        }
    }

    #[test]
    fn a_stored_timeline_equals_that_day_made_anew(case in case(), from in 0i64..90) {
        let episode = case.episode();
        let stored = summary(&episode, case.protocol, day(from));
        for on in from..from + 42 {
            prop_assert_eq!(stored.tiny_on(day(on)), tiny(&episode, case.protocol, day(on)));
        }
    }

    #[test]
    fn a_summary_reads_back_as_it_was(case in case(), from in 0i64..90) {
        let made = summary(&case.episode(), case.protocol, day(from));
        let text = serde_json::to_string(&made).expect("numbers are finite");
        prop_assert_eq!(serde_json::from_str::<Summary>(&text).expect("reads"), made);
        for reason in case.windows(from) {
            let text = serde_json::to_string(&reason).expect("numbers are finite");
            prop_assert_eq!(serde_json::from_str::<Attention>(&text).expect("reads"), reason);
        }
    }

    /// Adding a diary that is worse never lets a patient sink in the list.
    #[test]
    fn a_worse_diary_never_lowers_the_top_rank(case in case(), on in 80i64..90, pain in 6u8..=10) {
        let before = case.windows(on);
        let closed = case.episode().course.closed.is_some();
        let mut worse = case.clone();
        worse.diary(on, |it| it.pain_during = Some(pain));
        let after = worse.windows(on);
        let rank = |it: &[Attention], on| worst_on(it, day(on)).unwrap_or(u8::MAX);
        for later in on..on + 42 {
            if !closed {
                prop_assert!(rank(&after, later) <= rank(&before, later).min(3));
            }
        }
        worse.diary(on, |it| it.signs = vec![sign(SignUrgency::Emergency)]);
        for later in on..on + 42 {
            prop_assert_eq!(worst_on(&worse.windows(on), day(later)), Some(0));
        }
    }

    /// Every sign on record without a contact about it is open on every later day, whatever else is on record.
    #[test]
    fn no_sign_is_lost(case in case(), from in 80i64..200) {
        let episode = case.episode();
        let open = case.windows(from);
        for diary in episode.course.diaries.iter().filter(|it| !it.fact.signs.is_empty()) {
            let heard = episode.course.contacts.iter().any(|it| it.fact.about == diary.number);
            let listed = open.iter().any(|it| it.rank < 3 && it.entry == Some(diary.number));
            prop_assert!(heard || listed, "entry {}", diary.number);
        }
    }

    /// Two independent ways to the phase of a day.
    #[test]
    fn phases_agree_with_the_envelope(case in case()) {
        let phases = Phases::of(case.protocol, &case.episode().orders);
        for on in 0..100 {
            prop_assert_eq!(phases.on(day(on)), case.phase_of_envelope(on), "day {}", on);
        }
    }
}
