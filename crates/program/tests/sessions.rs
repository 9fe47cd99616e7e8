//! Doses, minutes, and the order of a session: what stands before what, and that no other order has fewer
//! stand-ups.

mod common;

use std::collections::BTreeMap;
use std::sync::Arc;

use common::*;
use handrail_anatomy::{Device, Side};
use handrail_motion::Motion;
use handrail_program::moves::moves;
use handrail_program::{
    Amount, Candidate, Care, Case, Checked, Dose, Entry, Item, MoveKind, MoveRules, MoveStep, Place, Session,
    session,
};
use handrail_protocol::{ActKind, Envelope, Limit, Orders, Phase, WeightBearing};

/// Achilles repair, day 19: no weight, the boot off only for exercises in sitting and lying.
fn in_a_boot() -> Envelope {
    let mut orders: Orders = patient(&[]);
    orders.acts.push(act(ActKind::BeginPhase { phase: "motion".into() }, day(14)));
    let mut weight = order("nwb", Limit::LegWeightBearing(WeightBearing::None), day(14));
    weight.replaces = Some("weight-none".into());
    let boot = Limit::Device {
        device: Device::Boot,
        holds: Vec::new(),
        off_for_exercise: true,
        worn_asleep: true,
        setting: "2 cm heel lift".into(),
    };
    let mut boot = order("boot", boot, day(14));
    boot.replaces = Some("boot-raised".into());
    orders.orders = vec![weight, boot];
    handrail_protocol::envelope(protocol("achilles-repair"), &orders, day(19)).unwrap()
}

fn phase(envelope: &Envelope) -> &'static Phase {
    &protocol(&envelope.protocol.0).phases[envelope.phase.index]
}

fn chosen(envelope: &Envelope, ids: &[&str]) -> Vec<(Arc<Motion>, Checked, Dose)> {
    let setting = Setting::default();
    ids.iter()
        .map(|id| {
            let verdict = setting.ask(envelope, id);
            let checked =
                verdict.clone().into_checked().unwrap_or_else(|_| panic!("{id}: {:?}", verdict.reasons));
            let motion = exercise(id).clone();
            let dose = Dose::usual(&motion, phase(envelope));
            (motion, checked, dose)
        })
        .collect()
}

fn session_of(envelope: &Envelope, ids: &[&str]) -> Session {
    let setting = Setting::default();
    session(chosen(envelope, ids), &setting.case(envelope), &LIBRARY.postures).unwrap()
}

fn steps(session: &Session) -> Vec<&MoveStep> {
    session
        .entries
        .iter()
        .filter_map(|it| if let Entry::Move(step) = it { Some(step) } else { None })
        .collect()
}

const MIXED: [&str; 6] = [
    "side-lying-clam",
    "great-toe-alone",
    "seated-heel-slide",
    "quad-set",
    "long-arc-quad",
    "prone-knee-bend",
];

// ---------------------------------------------------------------- dose

#[test]
fn a_usual_dose_never_passes_the_ceiling() {
    for protocol in LIBRARY.protocols.values() {
        for phase in &protocol.phases {
            for motion in LIBRARY.exercises.values() {
                let dose = Dose::usual(motion, phase);
                assert_eq!(dose.over(phase), [], "{} in {}", motion.id, phase.id);
                assert!(dose.sets >= 1 && dose.times_a_day >= 1 && dose.days_a_week >= 1, "{}", motion.id);
            }
        }
    }
}

#[test]
fn a_dose_past_the_ceiling_says_in_what() {
    let envelope = in_a_boot();
    let phase = phase(&envelope);
    let ceiling = &phase.ceiling;
    let dose = Dose {
        sets: ceiling.sets + 1,
        amount: Amount::Reps(ceiling.reps + 5),
        rest: 30.0,
        times_a_day: ceiling.times_a_day,
        days_a_week: ceiling.days_a_week + 1,
    };
    let over: Vec<(&str, u32, u32)> =
        dose.over(phase).iter().map(|it| (it.what, it.asked, it.ceiling)).collect();
    assert_eq!(
        over,
        [
            ("sets", ceiling.sets + 1, ceiling.sets),
            ("reps", ceiling.reps + 5, ceiling.reps),
            ("days_a_week", ceiling.days_a_week + 1, ceiling.days_a_week)
        ]
    );
}

/// Minutes follow from the solved tempo: sets x repetitions x (seconds of one repetition and a breath), rests
/// and moves.
#[test]
fn minutes_are_computed_from_the_tempo() {
    let envelope = in_a_boot();
    let (motion, checked, mut dose) = chosen(&envelope, &["side-lying-clam"]).remove(0);
    dose.sets = 3;
    dose.amount = Amount::Reps(7);
    dose.rest = 25.0;
    let one = checked.repetition().duration();
    // Close 2 s, open 2 s, hold 1 s.
    assert!((one - 5.0).abs() < 1e-9, "{one}");
    let set = 7.0 * (5.0 + handrail_program::dose::BREATH);
    assert!((dose.set_seconds(checked.repetition()) - set).abs() < 1e-9);
    let candidate = Candidate { motion, checked, dose };
    assert!((candidate.seconds(candidate.dose.sets) - (3.0 * set + 2.0 * 25.0)).abs() < 1e-9);
    // Continuous work counts the repetitions that fit.
    let rolling = Dose { amount: Amount::Seconds(45.0), ..dose };
    assert_eq!(rolling.reps(candidate.checked.repetition()), 7);
}

#[test]
fn the_session_lasts_as_long_as_its_entries() {
    let envelope = in_a_boot();
    let session = session_of(&envelope, &MIXED);
    let seconds: f64 = session
        .entries
        .iter()
        .map(|entry| match entry {
            Entry::Move(step) => step.seconds,
            Entry::Rest(seconds) => *seconds,
            Entry::Set { item, .. } => {
                let item = &session.items[*item];
                item.dose.set_seconds(item.checked.repetition()).round()
            }
        })
        .sum();
    assert!((seconds - session.seconds).abs() < 1e-6, "{seconds} {}", session.seconds);
    assert!((session.minutes() * 60.0 - session.seconds).abs() < 1e-9);
}

#[test]
fn every_set_is_done_once_in_order() {
    let envelope = in_a_boot();
    let session = session_of(&envelope, &MIXED);
    let mut done: BTreeMap<usize, u32> = BTreeMap::new();
    for entry in &session.entries {
        if let Entry::Set { item, set } = entry {
            let count = done.entry(*item).or_default();
            *count += 1;
            assert_eq!(set, count);
        }
    }
    for (index, item) in session.items.iter().enumerate() {
        assert_eq!(done.get(&index), Some(&item.dose.sets), "{}", item.motion.id);
    }
}

// ---------------------------------------------------------------- order and moves

#[test]
fn warm_up_comes_first() {
    let envelope = in_a_boot();
    let session = session_of(&envelope, &MIXED);
    let warm: Vec<bool> = session.items.iter().map(|it| it.motion.warm_up).collect();
    let mut sorted = warm.clone();
    sorted.sort_by_key(|it| !it);
    assert_eq!(warm, sorted);
    assert!(warm.contains(&true) && warm.contains(&false), "the choice has both kinds");
}

/// The boot is on before anybody stands up, and no step on the feet forgets boot, weight and hold.
#[test]
fn the_boot_is_on_for_every_step_on_the_feet() {
    let envelope = in_a_boot();
    let session = session_of(&envelope, &MIXED);
    let mut on = true;
    let mut on_feet = 0;
    for step in steps(&session) {
        match &step.kind {
            MoveKind::DeviceOn(device) => {
                assert!(!on && *device == Device::Boot);
                on = true;
            }
            MoveKind::DeviceOff(_) => {
                assert!(on);
                on = false;
            }
            MoveKind::StandUp { .. } | MoveKind::WalkTo { .. } | MoveKind::SitDown { .. } => {
                on_feet += 1;
                assert!(on, "{:?} without the boot", step.kind);
                for care in [Care::DeviceOn(Device::Boot), Care::NoWeightOnLeg(Side::Left), Care::HoldOn] {
                    assert!(step.care.contains(&care), "{:?} forgets {care:?}", step.kind);
                }
            }
            _ => {}
        }
    }
    assert!(on_feet >= 3, "chair and bed are two places");
    assert!(on, "the session ends with the boot on");
}

#[test]
fn rolling_turns_the_operated_side_up() {
    let envelope = in_a_boot();
    let session = session_of(&envelope, &MIXED);
    let rolls: Vec<&MoveKind> = steps(&session)
        .iter()
        .map(|it| &it.kind)
        .filter(|it| matches!(it, MoveKind::RollToSide { .. }))
        .collect();
    assert_eq!(rolls, [&MoveKind::RollToSide { up: Side::Left }]);
}

/// An exercise of the lower leg lies on the other side: the words must say which side is up in the picture.
#[test]
fn an_exercise_of_the_lower_leg_turns_the_other_side_up() {
    let envelope = only(&[]);
    let up = |id: &str| {
        let session = session_of(&envelope, &[id]);
        let roll = steps(&session).into_iter().find_map(|it| match it.kind {
            MoveKind::RollToSide { up } => Some(up),
            _ => None,
        });
        roll.unwrap_or_else(|| panic!("{id}: nobody rolls"))
    };
    assert_eq!(up("side-lying-clam"), Side::Left);
    assert_eq!(up("side-lying-hip-adduction"), Side::Right);
    // From one side to the other is a roll, not a shuffle of the legs.
    let session = session_of(&envelope, &["side-lying-clam", "side-lying-hip-adduction"]);
    let rolls = steps(&session).iter().filter(|it| matches!(it.kind, MoveKind::RollToSide { .. })).count();
    assert_eq!(rolls, 2);
}

fn chair(envelope: &Envelope) -> Place {
    let rules = MoveRules::of(envelope);
    Place {
        spot: "chair".into(),
        posture: "seated".into(),
        side: rules.side,
        device_on: rules.device.is_some(),
        equipment: Vec::new(),
    }
}

fn stand_ups_in(order: &[&Item], case: &Case<'_>) -> usize {
    let rules = MoveRules::of(case.envelope);
    let mut at = chair(case.envelope);
    let mut count = 0;
    for item in order {
        let steps = moves(&at, &item.place, &rules, &LIBRARY.postures);
        count += steps.iter().filter(|it| matches!(it.kind, MoveKind::StandUp { .. })).count();
        at = item.place.clone();
    }
    count
}

fn permutations(n: usize) -> Vec<Vec<usize>> {
    if n == 0 {
        return vec![Vec::new()];
    }
    let mut out = Vec::new();
    for shorter in permutations(n - 1) {
        for at in 0..=shorter.len() {
            let mut longer = shorter.clone();
            longer.insert(at, n - 1);
            out.push(longer);
        }
    }
    out
}

#[test]
fn no_order_has_fewer_stand_ups() {
    let sets: [&[&str]; 5] = [
        &MIXED,
        &["side-lying-clam", "long-arc-quad", "quad-set", "seated-heel-slide"],
        &["great-toe-alone", "prone-knee-bend", "straight-leg-raise", "seated-march", "sole-roll-ball"],
        &["toe-wiggle", "great-toe-alone", "quad-set", "long-arc-quad", "side-lying-hip-abduction"],
        &["side-lying-hip-abduction", "prone-hip-extension"],
    ];
    let envelope = in_a_boot();
    let setting = Setting::default();
    let case = setting.case(&envelope);
    for ids in sets {
        let session = session_of(&envelope, ids);
        let items: Vec<&Item> = session.items.iter().collect();
        let best = permutations(items.len())
            .into_iter()
            .map(|order| order.into_iter().map(|it| items[it]).collect::<Vec<_>>())
            .filter(|order| order.windows(2).all(|it| it[0].motion.warm_up || !it[1].motion.warm_up))
            .map(|order| stand_ups_in(&order, &case))
            .min()
            .unwrap();
        assert_eq!(session.stand_ups(), best, "{ids:?}");
    }
}

#[test]
fn a_session_of_nothing_is_empty_and_one_of_too_many_is_an_error() {
    let envelope = only(&[]);
    let empty = session_of(&envelope, &[]);
    assert!(empty.entries.is_empty() && empty.seconds == 0.0);
    let all: Vec<&str> = LIBRARY.exercises.keys().take(21).map(String::as_str).collect();
    let setting = Setting::default();
    assert!(session(chosen(&envelope, &all), &setting.case(&envelope), &LIBRARY.postures).is_err());
}
