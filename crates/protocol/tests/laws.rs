//! Laws of the envelope: what must hold whatever the orders, the acts and the day.

mod common;

use common::*;
use handrail_anatomy::{Device, Drive, Joint, LoadClass, Muscle, Position, Tissue, clinical_motion};
use handrail_protocol::*;
use proptest::prelude::*;

/// One thing a person might do.
#[derive(Clone, Debug)]
enum Probe {
    Angle {
        joint: Joint,
        direction: &'static str,
        deg: f64,
        drive: Drive,
        loaded: bool,
    },
    /// Percent of body weight of a person of 70 kg.
    LegWeight(f64),
    Tense(Muscle, Drive),
    Take(Position),
    Resist {
        joint: Joint,
        direction: &'static str,
        kg: f64,
    },
    /// Upper bound of the load of one repetition; `None`: not known.
    Load(Tissue, Option<f64>),
    /// A week's sum; `None`: not known.
    Expose(Tissue, ExposureOf, Option<f64>),
}

fn permits(limit: &Limit, probe: &Probe) -> bool {
    match (limit, probe) {
        (
            Limit::Motion { motion, max_deg, drives, loading },
            Probe::Angle { joint, direction, deg, drive, loaded },
        ) => {
            let concerned = motion.joint == *joint
                && motion.motion == *direction
                && drives.contains(drive)
                && (*loading == Loading::Any || (*loading == Loading::Loaded) == *loaded);
            !concerned || deg <= max_deg
        }
        (Limit::Drive { .. }, Probe::Angle { joint, direction, drive, .. }) => {
            !limit.forbids_drive(&clinical_motion(*joint, direction).unwrap(), *drive)
        }
        (Limit::LegWeightBearing(weight), Probe::LegWeight(percent)) => match weight {
            WeightBearing::None => *percent == 0.0,
            WeightBearing::Kilograms(kg) => percent * 0.7 <= *kg,
            WeightBearing::PercentBodyWeight(most) => percent <= most,
            WeightBearing::AsTolerated | WeightBearing::Full => true,
        },
        (Limit::Muscle { muscles, allowed }, Probe::Tense(muscle, drive)) => {
            !muscles.contains(muscle) || allowed.contains(drive)
        }
        (Limit::Position(forbidden), Probe::Take(position)) => forbidden != position,
        (Limit::Resistance { joint, motions, max_kg }, Probe::Resist { joint: at, direction, kg }) => {
            let concerned =
                joint == at && (motions.is_empty() || motions.iter().any(|it| it.motion == *direction));
            !concerned || kg <= max_kg
        }
        (Limit::TissueLoad { tissue, max, .. }, Probe::Load(of, load)) => {
            tissue != of || load.is_some_and(|it| it <= *max)
        }
        (Limit::Exposure { tissue, per_week, of }, Probe::Expose(at, sum_of, sum)) => {
            (tissue, of) != (at, sum_of) || sum.is_some_and(|it| it <= *per_week)
        }
        _ => true,
    }
}

fn allowed(envelope: &Envelope, probe: &Probe) -> bool {
    envelope.in_force.iter().all(|item| permits(&item.limit, probe))
}

fn probes() -> Vec<Probe> {
    let mut all = Vec::new();
    let motions = [
        (Joint::Ankle, "dorsiflexion"),
        (Joint::Ankle, "plantarflexion"),
        (Joint::Knee, "flexion"),
        (Joint::Knee, "extension"),
        (Joint::Shoulder, "elevation"),
        (Joint::Shoulder, "external_rotation"),
    ];
    for (joint, direction) in motions {
        for step in -8..=36 {
            for drive in Drive::ALL {
                for loaded in [false, true] {
                    all.push(Probe::Angle { joint, direction, deg: f64::from(step) * 5.0, drive, loaded });
                }
            }
        }
        all.extend([0.0, 1.0, 2.0, 3.0, 5.0, 50.0].map(|kg| Probe::Resist { joint, direction, kg }));
    }
    all.extend([0.0, 5.0, 20.0, 25.0, 30.0, 50.0, 60.0, 80.0, 100.0].map(Probe::LegWeight));
    for &muscle in Muscle::ALL {
        all.extend(Drive::ALL.map(|drive| Probe::Tense(muscle, drive)));
    }
    for &tissue in Tissue::ALL {
        let loads = [0.0, 0.5, 1.0, 1.2, 2.0, 2.5, 3.0, 5.0, 15.0, 20.0, 40.0, 60.0, 100.0];
        all.push(Probe::Load(tissue, None));
        all.extend(loads.map(|it| Probe::Load(tissue, Some(it))));
        for of in [ExposureOf::Peaks, ExposureOf::Impulse] {
            all.push(Probe::Expose(tissue, of, None));
            let sums = [0.0, 1.0, 1.2, 2.5, 15.0, 20.0, 400.0];
            all.extend(sums.map(|it| Probe::Expose(tissue, of, Some(it))));
        }
    }
    use Position::*;
    all.extend([Kneeling, Floor, SingleLegStanceOperated, Prone, HandBehindBack].map(Probe::Take));
    all
}

/// The first probe that is allowed after and was not allowed before.
fn loosened(before: &Envelope, after: &Envelope) -> Option<Probe> {
    probes().into_iter().find(|probe| allowed(after, probe) && !allowed(before, probe))
}

fn drives() -> impl Strategy<Value = Vec<Drive>> {
    proptest::sample::subsequence(Drive::ALL.to_vec(), 1..=5)
}

fn loading() -> impl Strategy<Value = Loading> {
    prop_oneof![Just(Loading::Any), Just(Loading::Loaded), Just(Loading::Unloaded)]
}

/// Ceilings on few tissues with few values, so that drawn ones can often be compared.
fn ceiling() -> impl Strategy<Value = Limit> {
    let tissue = || {
        proptest::sample::select(vec![
            Tissue::AchillesTendon,
            Tissue::PatellarTendon,
            Tissue::Supraspinatus,
            Tissue::AnteriorCruciate,
        ])
    };
    let of = prop_oneof![Just(ExposureOf::Peaks), Just(ExposureOf::Impulse)];
    let values = || proptest::sample::select(vec![0.0, 1.0, 1.2, 2.5, 15.0, 20.0]);
    prop_oneof![
        (tissue(), values()).prop_map(|(tissue, max)| Limit::TissueLoad { tissue, max, class: None }),
        proptest::sample::select(LoadClass::ALL.to_vec()).prop_map(|class| Limit::tissue_load_class(
            Tissue::Supraspinatus,
            class
        )
        .unwrap()),
        (tissue(), values(), of).prop_map(|(tissue, per_week, of)| Limit::Exposure { tissue, per_week, of }),
    ]
}

/// Limits that give a value to a quantity.
fn value_limit() -> impl Strategy<Value = Limit> {
    let weight = prop_oneof![
        Just(WeightBearing::None),
        (0.0..80.0).prop_map(WeightBearing::Kilograms),
        (0.0..100.0).prop_map(WeightBearing::PercentBodyWeight),
        Just(WeightBearing::AsTolerated),
        Just(WeightBearing::Full),
    ];
    let motion = prop_oneof![
        Just(clinical_motion(Joint::Ankle, "dorsiflexion").unwrap()),
        Just(clinical_motion(Joint::Knee, "flexion").unwrap()),
    ];
    let directions = prop_oneof![
        Just(vec![]),
        Just(vec![clinical_motion(Joint::Knee, "flexion").unwrap()]),
        Just(vec![clinical_motion(Joint::Knee, "extension").unwrap()]),
    ];
    prop_oneof![
        weight.prop_map(Limit::LegWeightBearing),
        (motion, -20.0..120.0, drives(), loading()).prop_map(|(motion, max_deg, drives, loading)| {
            Limit::Motion { motion, max_deg, drives, loading }
        }),
        (directions, 0.0..10.0).prop_map(|(motions, max_kg)| Limit::Resistance {
            joint: Joint::Knee,
            motions,
            max_kg
        }),
        ceiling(),
    ]
}

/// Plain prohibitions.
fn prohibition() -> impl Strategy<Value = Limit> {
    let muscles = proptest::sample::subsequence(Muscle::ALL.to_vec(), 1..=4);
    let allowed = proptest::sample::subsequence(Drive::ALL.to_vec(), 0..=3);
    prop_oneof![
        drives().prop_map(|forbidden| Limit::Drive { joint: Joint::Ankle, motions: vec![], forbidden }),
        (muscles, allowed).prop_map(|(muscles, allowed)| Limit::Muscle { muscles, allowed }),
        prop_oneof![Just(Position::Prone), Just(Position::Kneeling)].prop_map(Limit::Position),
        Just(Limit::Impact),
        Just(Limit::Activity("driving".into())),
    ]
}

/// Orders from the day of surgery on, each of which may replace something and may have a last day.
fn some_orders(replaceable: Vec<String>) -> impl Strategy<Value = Vec<Order>> {
    let one = (
        prop_oneof![value_limit(), prohibition()],
        proptest::option::of(0_i64..120),
        proptest::option::weighted(0.3, proptest::sample::select(replaceable)),
    );
    proptest::collection::vec(one, 0..4).prop_map(|drafts| {
        let made = drafts.into_iter().enumerate().map(|(index, (limit, until, replaces))| {
            let mut order = order(&format!("order-{index}"), limit, SURGERY);
            order.until = until.map(day);
            order.replaces = replaces;
            order
        });
        made.collect()
    })
}

fn some_acts(protocol: &Protocol) -> impl Strategy<Value = Vec<Act>> + use<> {
    let phases = protocol.phases.iter().map(|it| ActKind::BeginPhase { phase: it.id.clone() });
    let releases = protocol.restrictions.iter().map(|it| ActKind::Release { restriction: it.id.clone() });
    let kinds: Vec<ActKind> = phases.chain(releases).collect();
    proptest::collection::vec((proptest::sample::select(kinds), 0_i64..200), 0..8)
        .prop_map(|acts| acts.into_iter().map(|(kind, number)| act(kind, day(number))).collect())
}

fn ids(protocol: &Protocol) -> Vec<String> {
    protocol.restrictions.iter().map(|it| it.id.clone()).collect()
}

fn acl_knees() -> impl Strategy<Value = Orders> {
    let graft = proptest::sample::select(vec!["", "hamstring", "patellar_tendon", "allograft"]);
    let meniscus = proptest::sample::select(vec!["", "none", "repair"]);
    let tear = proptest::sample::select(vec!["", "peripheral", "complex", "root"]);
    (graft, meniscus, tear)
        .prop_map(|(a, b, c)| patient(&[("graft", a), ("meniscus", b), ("meniscus_tear", c)]))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn nothing_loosens_while_nobody_acts(
        mut base in acl_knees(), orders in some_orders(ids(&acl())), start in 0_i64..200, gap in 1_i64..60,
    ) {
        let protocol = acl();
        base.orders = orders;
        let before = envelope(&protocol, &base, day(start)).unwrap();
        let after = envelope(&protocol, &base, day(start + gap)).unwrap();
        let found = loosened(&before, &after);
        prop_assert!(found.is_none(), "{found:?}\n{}\n{}", compact(&before), compact(&after));
    }

    #[test]
    fn another_prohibition_never_loosens(
        mut base in acl_knees(), orders in some_orders(ids(&acl())), acts in some_acts(&acl()),
        more in prohibition(), on in 0_i64..250,
    ) {
        let protocol = acl();
        base.orders = orders;
        base.acts = acts;
        let before = envelope(&protocol, &base, day(on)).unwrap();
        base.orders.push(order("one-more", more, SURGERY));
        let after = envelope(&protocol, &base, day(on)).unwrap();
        let found = loosened(&before, &after);
        prop_assert!(found.is_none(), "{found:?}\n{}\n{}", compact(&before), compact(&after));
    }

    #[test]
    fn a_stricter_order_never_loosens_and_does_tighten(
        orders in some_orders(ids(&achilles())), acts in some_acts(&achilles()), on in 0_i64..250,
        drives in drives(), by in 1.0..30.0,
    ) {
        let protocol = achilles();
        let mut base = patient(&[]);
        base.orders = orders;
        base.acts = acts;
        let before = envelope(&protocol, &base, day(on)).unwrap();
        let dorsiflexion = clinical_motion(Joint::Ankle, "dorsiflexion").unwrap();
        let strictest = before.in_force.iter().filter_map(|item| match &item.limit {
            Limit::Motion { motion, max_deg, .. } if *motion == dorsiflexion => Some(*max_deg),
            _ => None,
        });
        let max_deg = strictest.fold(30.0, f64::min) - by;
        let limit =
            Limit::Motion { motion: dorsiflexion, max_deg, drives: drives.clone(), loading: Loading::Any };
        base.orders.push(order("one-more", limit, SURGERY));
        let after = envelope(&protocol, &base, day(on)).unwrap();
        let found = loosened(&before, &after);
        prop_assert!(found.is_none(), "{found:?}\n{}\n{}", compact(&before), compact(&after));
        let probe = Probe::Angle {
            joint: Joint::Ankle, direction: "dorsiflexion", deg: max_deg + 0.5, drive: drives[0], loaded: true,
        };
        prop_assert!(!allowed(&after, &probe));
    }

    #[test]
    fn an_order_beats_the_protocol_where_it_speaks_and_only_there(
        max_deg in -20.0..40.0_f64, spoken in drives(), on in 0_i64..100, deg in -30.0..50.0_f64,
    ) {
        let protocol = achilles();
        let mut base = patient(&[]);
        let before = envelope(&protocol, &base, day(on)).unwrap();
        let motion = clinical_motion(Joint::Ankle, "dorsiflexion").unwrap();
        let limit = Limit::Motion { motion, max_deg, drives: spoken.clone(), loading: Loading::Any };
        base.orders.push(order("surgeon", limit, SURGERY));
        let after = envelope(&protocol, &base, day(on)).unwrap();
        for drive in Drive::ALL {
            let probe = Probe::Angle { joint: Joint::Ankle, direction: "dorsiflexion", deg, drive, loaded: false };
            let angles = |envelope: &Envelope| {
                let motions = envelope.in_force.iter().filter(|it| matches!(it.limit, Limit::Motion { .. }));
                motions.into_iter().all(|it| permits(&it.limit, &probe))
            };
            let expected = if spoken.contains(&drive) { deg <= max_deg } else { angles(&before) };
            prop_assert_eq!(angles(&after), expected, "{:?} {}", drive, compact(&after));
        }
    }

    #[test]
    fn a_missing_answer_is_never_looser_than_any_answer(
        orders in some_orders(ids(&acl())), on in 0_i64..250,
        graft in proptest::sample::select(vec!["hamstring", "patellar_tendon", "quadriceps_tendon", "allograft"]),
        meniscus in proptest::sample::select(vec!["none", "repair", "resection"]),
        tear in proptest::sample::select(vec!["peripheral", "complex", "root"]),
    ) {
        let protocol = acl();
        let mut unknown = patient(&[]);
        let mut known = patient(&[("graft", graft), ("meniscus", meniscus), ("meniscus_tear", tear)]);
        unknown.orders = orders.clone();
        known.orders = orders;
        let unknown = envelope(&protocol, &unknown, day(on)).unwrap();
        let known = envelope(&protocol, &known, day(on)).unwrap();
        prop_assert_eq!(unknown.blocked.len(), 3);
        prop_assert!(known.blocked.is_empty());
        let found = loosened(&known, &unknown);
        prop_assert!(found.is_none(), "{found:?}\n{}\n{}", compact(&known), compact(&unknown));
    }

    #[test]
    fn what_keeps_to_a_stricter_ceiling_keeps_to_the_looser(a in ceiling(), b in ceiling()) {
        let ceilings = probes().into_iter().filter(|it| matches!(it, Probe::Load(..) | Probe::Expose(..)));
        let breach = ceilings.into_iter().find(|probe| permits(&a, probe) && !permits(&b, probe));
        if a.implies(&b) {
            prop_assert!(breach.is_none(), "{breach:?}");
        } else {
            prop_assert!(breach.is_some() || !a.same_quantity(&b), "comparable and not stricter: {a:?} {b:?}");
        }
    }

    #[test]
    fn stricter_than_stricter_is_stricter(
        a in prop_oneof![ceiling(), value_limit()], b in prop_oneof![ceiling(), value_limit()],
        c in prop_oneof![ceiling(), value_limit()],
    ) {
        prop_assert!(a.implies(&a));
        let chain = [&a, &b, &c];
        for (x, y, z) in [(0, 1, 2), (0, 2, 1), (1, 0, 2), (1, 2, 0), (2, 0, 1), (2, 1, 0)] {
            if chain[x].implies(chain[y]) && chain[y].implies(chain[z]) {
                prop_assert!(chain[x].implies(chain[z]), "{:?} {:?} {:?}", chain[x], chain[y], chain[z]);
            }
        }
    }

    #[test]
    fn an_ordered_ceiling_takes_the_place_of_the_protocols(max in 0.0..6.0_f64, on in 0_i64..150) {
        let protocol = achilles();
        let mut base = patient(&[]);
        let limit = Limit::TissueLoad { tissue: Tissue::AchillesTendon, max, class: None };
        base.orders.push(order("ordered-load", limit, SURGERY));
        let after = envelope(&protocol, &base, day(on)).unwrap();
        for load in [0.0, max, max + 0.1] {
            let probe = Probe::Load(Tissue::AchillesTendon, Some(load));
            prop_assert_eq!(allowed(&after, &probe), load <= max, "{} {}", load, compact(&after));
        }
        prop_assert!(!allowed(&after, &Probe::Load(Tissue::AchillesTendon, None)));
    }

    #[test]
    fn an_act_changes_nothing_before_its_day(acts in some_acts(&achilles()), on in 0_i64..200) {
        let protocol = achilles();
        let mut base = patient(&[]);
        base.acts = acts.iter().filter(|it| it.on <= day(on)).cloned().collect();
        let without = envelope(&protocol, &base, day(on)).unwrap();
        base.acts = acts;
        prop_assert_eq!(without, envelope(&protocol, &base, day(on)).unwrap());
    }
}

fn on_day(protocol: &Protocol, orders: &Orders, number: i64) -> Envelope {
    envelope(protocol, orders, day(number)).unwrap()
}

fn find<'a>(envelope: &'a Envelope, id: &str) -> Option<&'a InForce> {
    envelope.in_force.iter().find(|it| it.id == id)
}

fn dorsiflexion(max_deg: f64, drives: &[Drive]) -> Limit {
    let motion = clinical_motion(Joint::Ankle, "dorsiflexion").unwrap();
    Limit::Motion { motion, max_deg, drives: drives.to_vec(), loading: Loading::Any }
}

#[test]
fn a_day_before_the_surgery_has_no_envelope() {
    let error = envelope(&achilles(), &patient(&[]), day(-1)).unwrap_err();
    assert_eq!(error, EnvelopeError::BeforeSurgery { surgery: SURGERY, on: day(-1) });
    assert_eq!(on_day(&achilles(), &patient(&[]), 0).week, 1);
}

#[test]
fn week_three_is_days_14_to_20() {
    let weeks = [13, 14, 20, 21].map(|number| on_day(&achilles(), &patient(&[]), number).week);
    assert_eq!(weeks, [2, 3, 3, 4]);
}

#[test]
fn a_stage_holds_up_to_but_not_including_its_last_week() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    as_planned(&protocol, &mut orders);
    for (number, id) in [(13, "weight-none"), (14, "weight-20-kg"), (27, "weight-20-kg"), (28, "weight-half")]
    {
        assert!(find(&on_day(&protocol, &orders, number), id).is_some(), "day {number}");
    }
    for (number, id) in [(41, "dorsiflexion-neutral"), (42, "dorsiflexion-10"), (56, "dorsiflexion-20")] {
        assert!(find(&on_day(&protocol, &orders, number), id).is_some(), "day {number}");
    }
}

#[test]
fn past_its_weeks_a_restriction_stays_and_is_due_for_review() {
    let (protocol, orders) = (achilles(), patient(&[]));
    assert!(!find(&on_day(&protocol, &orders, 13), "splint").unwrap().overdue);
    for number in [14, 20, 300] {
        assert!(find(&on_day(&protocol, &orders, number), "splint").unwrap().overdue, "day {number}");
    }
}

#[test]
fn a_release_lifts_from_its_day_on_and_says_by_whom() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.acts.push(release("no-driving", day(50)));
    assert!(find(&on_day(&protocol, &orders, 49), "no-driving").is_some());
    let after = on_day(&protocol, &orders, 50);
    assert!(find(&after, "no-driving").is_none());
    assert_eq!((after.lifted[0].id.as_str(), after.lifted[0].by.as_str()), ("no-driving", "R. Example"));
}

#[test]
fn a_release_of_a_stage_gives_way_to_the_next_stage_only() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.acts.push(release("weight-none", day(10)));
    let after = on_day(&protocol, &orders, 60);
    let stage = find(&after, "weight-20-kg").unwrap();
    assert_eq!((stage.since, stage.overdue), (day(10), true));
}

#[test]
fn a_phase_begun_late_steps_its_ladders_late_and_a_step_back_tightens_again() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.acts.push(begin("load", day(50)));
    let held = on_day(&protocol, &orders, 49);
    assert!(find(&held, "dorsiflexion-neutral").unwrap().overdue);
    assert!(held.notes.contains(&Note::PhaseWaits { by_calendar: "load".into() }));
    let step = held
        .next
        .iter()
        .find(|it| matches!(&it.what, ChangeWhat::Steps { from, .. } if from == "dorsiflexion-neutral"));
    assert!(step.unwrap().needs.contains(&Need::Act(ActNeeded::BeginPhase("load".into()))));
    assert!(step.unwrap().needs.contains(&Need::Criterion("dorsiflexion-reaches-neutral".into())));
    let after = on_day(&protocol, &orders, 50);
    assert_eq!(find(&after, "dorsiflexion-10").unwrap().since, day(50));
    orders.acts.push(begin("motion", day(55)));
    let back = on_day(&protocol, &orders, 56);
    assert_eq!(back.phase.id, "motion");
    assert!(find(&back, "dorsiflexion-neutral").is_some());
}

#[test]
fn a_phase_begun_early_does_not_shorten_the_weeks() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.acts.push(begin("load", day(30)));
    let early = on_day(&protocol, &orders, 41);
    assert!(find(&early, "dorsiflexion-neutral").is_some());
    assert!(early.notes.contains(&Note::PhaseEarly { phase: "load".into(), planned: day(42) }));
    assert!(find(&on_day(&protocol, &orders, 42), "dorsiflexion-10").is_some());
}

#[test]
fn contradictory_orders_hold_the_stricter_and_say_so() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.orders.push(order("loose", dorsiflexion(10.0, &Drive::ALL), SURGERY));
    orders.orders.push(order("strict", dorsiflexion(5.0, &Drive::ALL), SURGERY));
    let today = on_day(&protocol, &orders, 3);
    assert!(find(&today, "loose").is_none());
    let strict = find(&today, "strict").unwrap();
    assert_eq!(strict.status, Status::Ordered);
    assert!(strict.superseded.iter().any(|it| it.id == "loose" && it.why == Why::StricterHolds));
    assert!(strict.superseded.iter().any(|it| it.id == "dorsiflexion-neutral"));
    assert!(today.notes.contains(&Note::Contradiction { holds: "strict".into(), yields: "loose".into() }));
    assert!(today.notes.iter().any(|it| matches!(it, Note::OrderLooser { .. })));
}

#[test]
fn orders_in_kilograms_and_percent_both_hold() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.orders.push(order("kg", Limit::LegWeightBearing(WeightBearing::Kilograms(20.0)), SURGERY));
    orders.orders.push(order(
        "half",
        Limit::LegWeightBearing(WeightBearing::PercentBodyWeight(50.0)),
        SURGERY,
    ));
    let today = on_day(&protocol, &orders, 3);
    assert!(find(&today, "kg").is_some() && find(&today, "half").is_some());
    assert!(find(&today, "weight-none").is_none());
    assert!(today.notes.contains(&Note::BothHold { one: "kg".into(), other: "half".into() }));
}

#[test]
fn an_order_on_one_way_of_moving_leaves_the_others_to_the_protocol() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.orders.push(order("passive", dorsiflexion(10.0, &[Drive::Passive]), SURGERY));
    let today = on_day(&protocol, &orders, 3);
    let rest = find(&today, "dorsiflexion-neutral").unwrap();
    assert_eq!(rest.limit, dorsiflexion(0.0, &Drive::ALL[1..]));
    let order = find(&today, "passive").unwrap();
    assert_eq!(order.superseded[0].why, Why::OrderBeatsProtocolInPart);
}

#[test]
fn a_looser_order_past_its_last_day_gives_way_and_a_stricter_one_stays() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    let mut looser = order("looser", dorsiflexion(10.0, &Drive::ALL), SURGERY);
    looser.until = Some(day(20));
    orders.orders.push(looser);
    assert!(find(&on_day(&protocol, &orders, 20), "dorsiflexion-neutral").is_none());
    let after = on_day(&protocol, &orders, 21);
    assert!(find(&after, "looser").is_none());
    assert!(find(&after, "dorsiflexion-neutral").is_some());
    orders.orders[0].limit = dorsiflexion(-10.0, &Drive::ALL);
    let stays = on_day(&protocol, &orders, 21);
    assert!(find(&stays, "looser").unwrap().overdue);
    orders.acts.push(release("looser", day(22)));
    assert!(find(&on_day(&protocol, &orders, 22), "dorsiflexion-neutral").is_some());
}

#[test]
fn a_prohibition_of_the_protocol_gives_way_only_to_an_order_that_replaces_it() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    let resisted = Limit::Drive { joint: Joint::Ankle, motions: vec![], forbidden: vec![Drive::Resisted] };
    orders.orders.push(order("surgeon", resisted, SURGERY));
    let held = on_day(&protocol, &orders, 3);
    assert!(find(&held, "ankle-still").is_some() && find(&held, "surgeon").is_none());
    let note = Note::ProtocolStricter { order: "surgeon".into(), restriction: "ankle-still".into() };
    assert!(held.notes.contains(&note));
    orders.orders[0].replaces = Some("ankle-still".into());
    let replaced = on_day(&protocol, &orders, 3);
    assert!(find(&replaced, "ankle-still").is_none());
    assert_eq!(find(&replaced, "surgeon").unwrap().superseded[0].why, Why::Replaced);
}

#[test]
fn the_boot_comes_off_for_exercise_by_order_only() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    let splint = on_day(&protocol, &orders, 3);
    assert!(matches!(find(&splint, "splint").unwrap().limit, Limit::Device { off_for_exercise: false, .. }));
    let limit = Limit::Device {
        device: Device::Splint,
        holds: vec![],
        off_for_exercise: true,
        worn_asleep: true,
        setting: "plantarflexion".into(),
    };
    orders.orders.push(order("off", limit, SURGERY));
    let ordered = on_day(&protocol, &orders, 3);
    assert!(find(&ordered, "splint").is_none());
    assert_eq!(find(&ordered, "off").unwrap().document.as_deref(), Some("letter 1"));
}

#[test]
fn a_later_order_that_replaces_an_earlier_one_ends_it_and_what_it_had_replaced() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    let mut first = order("first", Limit::Position(Position::Prone), SURGERY);
    first.replaces = Some("no-kneeling".into());
    let mut second = order("second", Limit::Impact, day(5));
    second.replaces = Some("first".into());
    orders.orders = vec![first, second];
    let before = on_day(&protocol, &orders, 4);
    assert!(find(&before, "first").is_some() && find(&before, "no-kneeling").is_none());
    assert!(before.next.iter().any(|it| matches!(&it.what, ChangeWhat::Starts { id, .. } if id == "second")));
    let after = on_day(&protocol, &orders, 5);
    assert!(find(&after, "first").is_none() && find(&after, "no-kneeling").is_none());
    assert!(find(&after, "second").is_some());
}

#[test]
fn assumed_until_confirmed() {
    let protocol = achilles();
    let mut orders = patient(&[]);
    orders.confirmed.push(Confirmation {
        restriction: "weight-none".into(),
        by: "Dr. Sample".into(),
        on: day(3),
        document: "operation note".into(),
    });
    assert_eq!(find(&on_day(&protocol, &orders, 2), "weight-none").unwrap().status, Status::Assumed);
    let confirmed = on_day(&protocol, &orders, 3);
    let item = find(&confirmed, "weight-none").unwrap();
    assert_eq!((item.status, item.by.as_deref()), (Status::Confirmed, Some("Dr. Sample")));
    assert_eq!(find(&confirmed, "splint").unwrap().status, Status::Assumed);
}

#[test]
fn a_blank_answer_blocks_like_a_missing_one() {
    let protocol = cuff();
    for answers in [vec![], vec![("tear_size", " ")]] {
        let today = on_day(&protocol, &patient(&answers), 3);
        let names: Vec<&str> = today.blocked.iter().map(|it| it.variant.as_str()).collect();
        assert_eq!(names, ["tear_size", "subscapularis", "biceps_tenodesis"]);
        assert!(today.blocked[0].joints.contains(&Joint::Shoulder));
        assert!(today.blocked[2].joints.contains(&Joint::Elbow));
    }
}

#[test]
fn a_question_that_another_answer_made_moot_does_not_block() {
    let today = on_day(&acl(), &patient(&[("graft", "hamstring"), ("meniscus", "none")]), 3);
    assert!(today.blocked.is_empty(), "{:?}", today.blocked);
}

#[test]
fn mistakes_in_orders_are_all_found() {
    let protocol = cuff();
    let mut orders = patient(&[("tear_size", "huge"), ("graft", "hamstring")]);
    let mut circle = order("circle", Limit::Impact, day(-3));
    circle.replaces = Some("circle".into());
    circle.until = Some(day(-5));
    circle.by = " ".into();
    orders.orders = vec![circle, order("sling", Limit::Impact, SURGERY)];
    orders.acts = vec![release("nothing", day(1)), begin("never", day(-1))];
    let EnvelopeError::Orders(found) = envelope(&protocol, &orders, day(1)).unwrap_err() else {
        panic!("orders do not fit")
    };
    let fields: Vec<_> = found.iter().map(|it| (it.entry.clone(), it.field)).collect();
    use OrdersEntry::{Act, Order, Variant};
    let expected = [
        (Variant("graft".into()), "variant"),
        (Variant("tear_size".into()), "variant"),
        (Order(0), "by"),
        (Order(0), "from"),
        (Order(0), "until"),
        (Order(0), "replaces"),
        (Order(1), "id"),
        (Act(0), "release"),
        (Act(1), "on"),
        (Act(1), "begin_phase"),
    ];
    assert_eq!(fields, expected);
}

#[test]
fn an_envelope_is_plain_json() {
    let today = on_day(&achilles(), &patient(&[]), 3);
    let json = serde_json::to_value(&today).unwrap();
    assert_eq!(json["in_force"][0]["limit"]["weight_bearing"]["amount"], "none");
    assert_eq!(json["in_force"][0]["until"]["act"]["release"], "weight-none");
    assert_eq!(json["on"], "2026-11-05");
}
