//! Verdicts, one clinical question each. All limits come through the fold of a real protocol with orders.

mod common;

use Expect::*;
use common::*;
use handrail_anatomy::{Device, Drive, Joint, Muscle, Position, Side};
use handrail_motion::solve;
use handrail_program::{Kind, ReasonKind};
use handrail_protocol::{Beyond, Envelope, Limit, Loading, Status, WeightBearing};

// ---------------------------------------------------------------- weight bearing

fn no_weight() -> Envelope {
    only(&[("nwb", Limit::LegWeightBearing(WeightBearing::None))])
}

#[test]
fn without_limits_nearly_everything_is_within() {
    let envelope = only(&[]);
    let setting = Setting::default();
    for id in LIBRARY.exercises.keys() {
        assert_eq!(setting.ask(&envelope, id).kind, Kind::Within, "{id}");
    }
}

#[test]
fn no_weight_refuses_bridge_and_standing_but_not_the_seated_slide() {
    let envelope = no_weight();
    let refused = check(&envelope, "bridge", Refused(&["weight_bearing"]));
    let reason = &refused.reasons[0];
    assert_eq!((reason.limit, reason.unit), (Some(0.0), "kg"));
    assert!(reason.computed.unwrap() > 5.0, "{reason:?}");
    assert_eq!((reason.restriction.as_str(), reason.source.as_str()), ("nwb", "letter 1"));
    assert_eq!(reason.status, Some(Status::Ordered));
    check(&envelope, "heel-raise-wall", Refused(&["weight_bearing"]));
    check(&envelope, "mini-squat", Refused(&["weight_bearing"]));
    check(&envelope, "weight-shift", Refused(&["weight_bearing"]));
    check(&envelope, "seated-heel-slide", Within);
    check(&envelope, "side-lying-clam", Within);
    check(&envelope, "straight-leg-raise", Within);
    check(&envelope, "toe-wiggle", Within);
}

/// The rule and not a list of names: whatever puts the operated foot under the body is refused.
#[test]
fn no_weight_refuses_exactly_what_loads_the_operated_leg() {
    let envelope = no_weight();
    let setting = Setting::default();
    let (mut refused, mut allowed) = (0, 0);
    for (id, motion) in &LIBRARY.exercises {
        let repetition =
            solve(motion, &motion.core, &setting.body, &setting.home, Side::Left, &Default::default())
                .unwrap();
        let loads = repetition.peak_leg_load(Side::Left).0 > 0.005;
        let verdict = setting.ask(&envelope, id);
        assert_eq!(verdict.kind == Kind::Refused, loads, "{id}: {:?}", verdict.reasons);
        if loads {
            refused += 1
        } else {
            allowed += 1
        }
        let stands = |it: &Position| matches!(it, Position::Standing | Position::SingleLegStanceOperated);
        let on_both = motion.positions.iter().any(stands)
            && !motion.positions.contains(&Position::SingleLegStanceOther);
        if on_both && motion.posture.id != "standing_on_other_leg" {
            assert_eq!(verdict.kind, Kind::Refused, "{id} stands on the leg");
        }
    }
    assert!(refused > 20 && allowed > 30, "{refused} refused, {allowed} allowed");
}

#[test]
fn part_weight_has_a_number_and_it_is_compared() {
    let kg = |max| only(&[("pwb", Limit::LegWeightBearing(WeightBearing::Kilograms(max)))]);
    let percent = |max| only(&[("pwb", Limit::LegWeightBearing(WeightBearing::PercentBodyWeight(max)))]);
    // Standing on both legs is half of 75 kg on each.
    check(&kg(20.0), "calf-stretch-wall", Refused(&["weight_bearing"]));
    check(&kg(60.0), "heel-raise-wall", Within);
    check(&kg(30.0), "heel-raise-wall", Refused(&["weight_bearing"]));
    check(&percent(60.0), "heel-raise-wall", Within);
    let refused = check(&percent(40.0), "heel-raise-wall", Refused(&["weight_bearing"]));
    assert_eq!(refused.reasons[0].unit, "%BW");
    assert!((refused.reasons[0].computed.unwrap() - 50.0).abs() < 3.0, "{:?}", refused.reasons[0]);
    check(&percent(75.0), "single-leg-heel-raise", Refused(&["weight_bearing"]));
    check(
        &only(&[("wbat", Limit::LegWeightBearing(WeightBearing::AsTolerated))]),
        "single-leg-heel-raise",
        Within,
    );
}

#[test]
fn the_other_leg_may_stand() {
    let setting = Setting::default();
    // The working leg stands; worked by the other side, the operated leg hangs free.
    let verdict = setting.ask_side(&no_weight(), "single-leg-stance", Side::Right);
    assert_eq!(verdict.kind, Kind::Within, "{:?}", verdict.reasons);
}

#[test]
fn no_weight_through_the_arm_refuses_planks_and_push_ups() {
    let envelope = only_on(
        protocol("rotator-cuff-repair"),
        &CUFF,
        &[("arm", Limit::ArmWeightBearing(WeightBearing::None))],
    );
    check(&envelope, "plank", Refused(&["weight_bearing"]));
    check(&envelope, "pendulum", Within);
    check(&envelope, "fist-open", Within);
}

// ---------------------------------------------------------------- joint motion

fn not_past_neutral() -> Envelope {
    only(&[("neutral", at_most(Joint::Ankle, "dorsiflexion", 0.0))])
}

#[test]
fn ankle_to_neutral_limits_the_heel_slide_and_shows_the_ankle_in_front_of_the_knee() {
    let limited = check(&not_past_neutral(), "seated-heel-slide", Limited);
    let limit = limited.limit.unwrap();
    assert_eq!(
        (limit.parameter.as_str(), limit.unit.as_str(), limit.binds.as_str()),
        ("slide", "m", "neutral")
    );
    // 16 cm bring the ankle under the knee; the stated margins of slide and proportions stay before it.
    assert!((0.08..0.16).contains(&limit.value), "{}", limit.value);
    let cue = limit.cue.unwrap();
    assert_eq!((cue.point.id(), cue.against.id()), ("ankle_centre", "knee_centre"));
    assert!(cue.offset >= 0.0, "the ankle is {} m before the knee", cue.offset);
    assert!((cue.offset - (0.16 - limit.value)).abs() < 1e-3);
    // What is handed out is the smaller repetition itself.
    assert_eq!(limited.parameters["slide"], limit.value);
    let peak = limited.repetition.unwrap().extreme(&clinical(Joint::Ankle, "dorsiflexion"), Side::Left);
    assert!(peak.deg <= 0.0, "{}", peak.deg);
    // The reasons say what the usual slide would do.
    assert!(limited.reasons.iter().any(|it| it.kind == ReasonKind::Motion && it.computed > Some(0.0)));
}

#[test]
fn a_tighter_ankle_limit_gives_a_smaller_slide_and_then_none() {
    let slide = |deg: f64| {
        let envelope = only(&[("ankle", at_most(Joint::Ankle, "dorsiflexion", deg))]);
        Setting::default().ask(&envelope, "seated-heel-slide").limit.map(|it| it.value)
    };
    let (ten, zero, minus_ten) = (slide(10.0), slide(0.0), slide(-10.0));
    assert!(zero < ten || ten.is_none(), "{zero:?} {ten:?}");
    assert!(minus_ten < zero, "{minus_ten:?} {zero:?}");
    check(&only(&[("ankle", at_most(Joint::Ankle, "dorsiflexion", 25.0))]), "seated-heel-slide", Within);
    check(
        &only(&[("ankle", at_most(Joint::Ankle, "dorsiflexion", -30.0))]),
        "seated-heel-slide",
        Refused(&["motion"]),
    );
}

fn at_seat(height: f64, envelope: &Envelope) -> Option<f64> {
    let mut setting = Setting::default();
    setting.home.seat_height = height;
    let verdict = setting.ask(envelope, "seated-heel-slide");
    assert_ne!(verdict.kind, Kind::Refused, "seat {height}: {:?}", verdict.reasons);
    verdict.limit.map(|it| it.value)
}

/// A low chair bends the knee more: under a limit of the knee the slide gets smaller with the chair.
#[test]
fn a_lower_chair_gives_a_smaller_slide() {
    let envelope = only(&[("knee", at_most(Joint::Knee, "flexion", 92.0))]);
    let (low, middle, high) = (at_seat(0.41, &envelope), at_seat(0.45, &envelope), at_seat(0.49, &envelope));
    let value = |it: Option<f64>| it.unwrap_or(0.20);
    assert!(value(low) < value(middle) && value(middle) < value(high), "{low:?} {middle:?} {high:?}");
}

/// The slide is measured from the knee: where the ankle is neutral does not depend on the chair.
#[test]
fn the_ankle_limit_of_the_slide_is_the_same_on_every_chair() {
    let envelope = not_past_neutral();
    let values: Vec<f64> = [0.40, 0.44, 0.48].iter().filter_map(|it| at_seat(*it, &envelope)).collect();
    assert_eq!(values.len(), 3);
    assert!(values.windows(2).all(|it| (it[0] - it[1]).abs() < 0.011), "{values:?}");
}

#[test]
fn a_limit_of_one_way_of_moving_does_not_speak_of_another() {
    let passive_only = Limit::Motion {
        motion: clinical(Joint::Shoulder, "elevation"),
        max_deg: 60.0,
        drives: vec![Drive::Passive, Drive::Assisted],
        loading: Loading::Any,
    };
    let envelope = only_on(protocol("rotator-cuff-repair"), &CUFF, &[("elevation", passive_only)]);
    check(&envelope, "supine-active-elevation", Within);
    let limited = check(&envelope, "supine-passive-elevation", Limited);
    assert!(limited.limit.unwrap().value <= 60.0);
}

#[test]
fn a_limit_of_the_loaded_joint_does_not_speak_of_the_unloaded_one() {
    let loaded = |loading| Limit::Motion {
        motion: clinical(Joint::Knee, "flexion"),
        max_deg: 45.0,
        drives: Drive::ALL.to_vec(),
        loading,
    };
    let envelope = only(&[("loaded", loaded(Loading::Loaded))]);
    check(&envelope, "prone-knee-bend", Within);
    let squat = Setting::default().ask(&envelope, "mini-squat");
    assert!(squat.kind != Kind::Within, "a squat is loaded");
    let envelope = only(&[("unloaded", loaded(Loading::Unloaded))]);
    check(&envelope, "mini-squat", Within);
    check(&envelope, "prone-knee-bend", Limited);
}

#[test]
fn a_limit_speaks_of_the_operated_side_only() {
    let envelope = only(&[("knee", at_most(Joint::Knee, "flexion", 40.0))]);
    let setting = Setting::default();
    assert_eq!(setting.ask_side(&envelope, "prone-knee-bend", Side::Left).kind, Kind::Limited);
    assert_eq!(setting.ask_side(&envelope, "prone-knee-bend", Side::Right).kind, Kind::Within);
    // But a pose that bends the operated knee at rest is refused, whichever side works.
    assert_eq!(setting.ask_side(&envelope, "long-arc-quad", Side::Right).kind, Kind::Refused);
}

/// Of two limits the one that is reached first binds.
#[test]
fn the_limit_that_binds_is_the_one_reached_first() {
    let of = |ankle: f64, knee: f64| {
        let envelope = only(&[
            ("ankle", at_most(Joint::Ankle, "dorsiflexion", ankle)),
            ("knee", at_most(Joint::Knee, "flexion", knee)),
        ]);
        check(&envelope, "seated-heel-slide", Limited).limit.unwrap()
    };
    assert_eq!(of(-8.0, 95.0).binds, "ankle");
    assert_eq!(of(2.0, 85.0).binds, "knee");
}

// ---------------------------------------------------------------- muscles and drives

#[test]
fn calf_not_tensed_refuses_every_heel_raise() {
    let envelope = only(&[("calf", muscles("calf"))]);
    for id in ["heel-raise-wall", "seated-heel-raise", "single-leg-heel-raise", "eccentric-heel-lowering"] {
        let refused = check(&envelope, id, Refused(&["muscle"]));
        assert!(refused.reasons.iter().any(|it| it.kind == ReasonKind::Muscle(Muscle::Soleus)), "{id}");
    }
    check(&envelope, "band-plantarflexion", Refused(&["muscle"]));
    check(&envelope, "quad-set", Within);
    check(&envelope, "side-lying-hip-abduction", Within);
}

#[test]
fn cuff_not_tensed_refuses_raising_the_arm_and_lets_it_hang() {
    let envelope = only_on(protocol("rotator-cuff-repair"), &CUFF, &[("cuff", muscles("rotator_cuff"))]);
    for id in
        ["supine-active-elevation", "standing-scaption", "full-can-raise", "isometric-external-rotation"]
    {
        check(&envelope, id, Refused(&["muscle"]));
    }
    for id in
        ["pendulum", "pendulum-side", "supine-passive-elevation", "stick-external-rotation", "fist-open"]
    {
        check(&envelope, id, Within);
    }
}

#[test]
fn assisted_may_be_allowed_where_active_is_not() {
    let limit = Limit::Muscle {
        muscles: handrail_anatomy::muscles::muscle_group("rotator_cuff").unwrap(),
        allowed: vec![Drive::Assisted],
    };
    let envelope = only_on(protocol("rotator-cuff-repair"), &CUFF, &[("cuff", limit)]);
    check(&envelope, "wall-slide", Within);
    check(&envelope, "supine-active-elevation", Refused(&["muscle"]));
}

/// The other leg works, and nobody wrote what the operated calf does meanwhile: a gap, and a gap refuses.
#[test]
fn an_undescribed_muscle_on_the_other_side_refuses() {
    let envelope = only(&[("calf", muscles("calf"))]);
    let setting = Setting::default();
    let verdict = setting.ask_side(&envelope, "heel-raise-wall", Side::Right);
    assert_eq!((verdict.kind, kinds(&verdict)), (Kind::Refused, vec!["not_described"]));
    let ReasonKind::NotDescribed(missing) = &verdict.reasons[0].kind else { panic!() };
    assert!(missing.contains("operated side"), "{missing}");
    // Where the operated leg rests, there is no gap.
    assert_eq!(setting.ask_side(&envelope, "side-lying-hip-abduction", Side::Right).kind, Kind::Within);
}

#[test]
fn an_ankle_that_must_be_still_is_not_moved_in_any_way() {
    let still = Limit::Drive { joint: Joint::Ankle, motions: Vec::new(), forbidden: Drive::ALL.to_vec() };
    let envelope = only(&[("still", still)]);
    check(&envelope, "ankle-pumps", Refused(&["drive"]));
    check(&envelope, "towel-calf-stretch", Refused(&["drive"]));
    check(&envelope, "seated-heel-slide", Refused(&["drive"]));
    check(&envelope, "straight-leg-raise", Within);
    check(&envelope, "toe-wiggle", Within);
}

// ---------------------------------------------------------------- device, position, combination, resistance

#[test]
fn a_device_that_stays_on_refuses_what_needs_it_off() {
    let boot = |off| Limit::Device {
        device: Device::Boot,
        holds: vec![(clinical(Joint::Ankle, "plantarflexion"), 20.0)],
        off_for_exercise: off,
        worn_asleep: true,
        setting: "2 cm heel lift".into(),
    };
    check(&only(&[("boot", boot(false))]), "ankle-pumps", Refused(&["device"]));
    check(&only(&[("boot", boot(true))]), "ankle-pumps", Within);
    check(&only(&[("boot", boot(false))]), "straight-leg-raise", Within);
}

#[test]
fn positions_turn_with_the_working_side() {
    let setting = Setting::default();
    let envelope = only(&[("lying", Limit::Position(Position::SideLyingOperatedDown))]);
    assert_eq!(setting.ask_side(&envelope, "side-lying-clam", Side::Left).kind, Kind::Within);
    let verdict = setting.ask_side(&envelope, "side-lying-clam", Side::Right);
    assert_eq!(kinds(&verdict), ["position"], "worked by the other side, the operated one is below");
    check(&only(&[("prone", Limit::Position(Position::Prone))]), "prone-knee-bend", Refused(&["position"]));
    check(
        &only(&[("back", Limit::Position(Position::HandBehindBack))]),
        "towel-behind-back",
        Refused(&["position"]),
    );
}

#[test]
fn a_combination_needs_all_of_it_at_once() {
    let both = |flexion: f64, turn: f64| {
        let edges = vec![
            Beyond { motion: clinical(Joint::Hip, "flexion"), deg: flexion },
            Beyond { motion: clinical(Joint::Hip, "external_rotation"), deg: turn },
        ];
        only(&[("combination", Limit::Combination(edges))])
    };
    let limited = check(&both(20.0, 25.0), "side-lying-clam", Limited);
    assert_eq!(limited.limit.as_ref().unwrap().binds, "combination");
    // Turned out by 25 at most, less the 5 degrees that the eye may be wrong by.
    assert!(limited.limit.unwrap().value <= 20.0);
    assert!(limited.reasons.iter().any(|it| it.kind == ReasonKind::Combination));
    // Bent alone, or turned alone, is not the combination.
    check(&both(120.0, 25.0), "side-lying-clam", Within);
    check(&both(20.0, 60.0), "side-lying-clam", Within);
}

#[test]
fn resistance_has_a_ceiling_in_kilograms() {
    let at_most_kg =
        |joint, max_kg| only(&[("kg", Limit::Resistance { joint, motions: Vec::new(), max_kg })]);
    check(&at_most_kg(Joint::Elbow, 2.0), "biceps-curl", Within);
    let limited = check(&at_most_kg(Joint::Elbow, 0.75), "biceps-curl", Limited);
    let limit = limited.limit.unwrap();
    assert_eq!((limit.parameter.as_str(), limit.unit.as_str()), ("load", "kg"));
    assert!((limit.value - 0.75).abs() < 1e-9, "{}", limit.value);
    check(&at_most_kg(Joint::Elbow, 0.25), "biceps-curl", Refused(&["resistance"]));
    check(&at_most_kg(Joint::Elbow, 0.0), "elbow-bend", Within);
    // Own weight is a resistance too: half of 75 kg on each leg.
    check(&at_most_kg(Joint::Knee, 20.0), "sit-to-stand", Refused(&["resistance"]));
    check(&at_most_kg(Joint::Knee, 80.0), "sit-to-stand", Within);
}

#[test]
fn landing_and_activities_are_refused_by_name() {
    check(&only(&[("impact", Limit::Impact)]), "two-leg-hop", Refused(&["impact"]));
    check(&only(&[("impact", Limit::Impact)]), "heel-raise-wall", Within);
    check(&only(&[("stairs", Limit::Activity("stairs".into()))]), "step-down", Refused(&["activity"]));
}

// ---------------------------------------------------------------- unknown is refused

#[test]
fn a_missing_fact_about_the_operation_refuses_what_depends_on_it() {
    let envelope = envelope_on(protocol("acl-reconstruction"), patient(&[]), 30);
    assert!(!envelope.blocked.is_empty());
    let verdict = Setting::default().ask(&envelope, "quad-set");
    assert_eq!(verdict.kind, Kind::Refused);
    assert!(kinds(&verdict).contains(&"missing_variant"), "{:?}", verdict.reasons);
    let known = envelope_on(protocol("acl-reconstruction"), patient(&ACL), 30);
    assert!(known.blocked.is_empty());
    assert!(!kinds(&Setting::default().ask(&known, "quad-set")).contains(&"missing_variant"));
    // A joint that does not depend on it is free.
    assert!(!kinds(&Setting::default().ask(&envelope, "fist-open")).contains(&"missing_variant"));
}

#[test]
fn what_a_body_cannot_do_is_refused() {
    let envelope = only(&[]);
    let mut setting = Setting::default();
    setting.home.table_height = 1.6;
    let verdict = setting.ask(&envelope, "table-slide");
    assert_eq!((verdict.kind, kinds(&verdict)), (Kind::Refused, vec!["cannot_be_done"]));
    assert!(verdict.repetition.is_none() && verdict.into_checked().is_err());
}

// ---------------------------------------------------------------- overrides

#[test]
fn a_position_can_be_waived_by_a_named_person_with_a_reason() {
    let mut envelope = only(&[("prone", Limit::Position(Position::Prone))]);
    let ordered = *Setting::default().ask(&envelope, "prone-knee-bend").into_checked().unwrap_err();
    assert!(
        ordered.override_position("I. Brandvold, PT", "sleeps prone").is_err(),
        "an order is the surgeon's"
    );
    envelope.in_force[0].status = handrail_protocol::Status::Assumed;
    let refuse = || *Setting::default().ask(&envelope, "prone-knee-bend").into_checked().unwrap_err();
    assert!(refuse().override_position("", "lies prone at home daily").is_err());
    assert!(refuse().override_position("I. Brandvold, PT", "  ").is_err());
    assert!(refuse().accept_margin("I. Brandvold, PT", "a reason").is_err(), "the wrong method");
    let checked = refuse().override_position("I. Brandvold, PT", "sleeps prone").unwrap();
    let waiver = &checked.verdict().waived[0];
    assert_eq!((waiver.restriction.as_str(), waiver.by.as_str()), ("prone", "I. Brandvold, PT"));
    assert_eq!(waiver.reason, "sleeps prone");
    assert!(!checked.verdict().reasons.is_empty(), "what was waived stays on record");
}

#[test]
fn weight_bearing_motion_muscle_and_device_cannot_be_waived() {
    let limits = [
        ("weight", Limit::LegWeightBearing(WeightBearing::None), "bridge"),
        ("motion", at_most(Joint::Knee, "flexion", -10.0), "prone-knee-bend"),
        ("muscle", muscles("calf"), "heel-raise-wall"),
    ];
    for (id, limit, exercise) in limits {
        let refuse = || {
            let envelope = only(&[(id, limit.clone())]);
            *Setting::default().ask(&envelope, exercise).into_checked().unwrap_err()
        };
        assert!(refuse().override_position("A", "b").is_err(), "{id}");
        assert!(refuse().accept_margin("A", "b").is_err(), "{id}");
    }
    // Nor can a position be waived that comes with something else.
    let envelope = only(&[
        ("standing", Limit::Position(Position::Standing)),
        ("nwb", Limit::LegWeightBearing(WeightBearing::None)),
    ]);
    let refusal = Setting::default().ask(&envelope, "heel-raise-wall").into_checked().unwrap_err();
    assert_eq!(kinds(refusal.verdict()), ["position", "weight_bearing"]);
    assert!(refusal.override_position("A", "b").is_err());
}

#[test]
fn a_margin_alone_can_be_accepted() {
    // 20 degrees of bend stay inside 22, but the eye may be wrong by 5; smaller than 20 the exercise is not.
    let envelope = only(&[("knee", at_most(Joint::Knee, "flexion", 22.0))]);
    let verdict = Setting::default().ask_with(&envelope, "prone-knee-bend", &[("bend", 20.0)]);
    assert_eq!((verdict.kind, kinds(&verdict)), (Kind::Refused, vec!["margin"]));
    let refusal = verdict.into_checked().unwrap_err();
    assert!(refusal.clone().accept_margin("", "").is_err());
    let checked = refusal.accept_margin("I. Brandvold, PT", "goniometer strapped on").unwrap();
    assert_eq!(checked.verdict().waived[0].restriction, "knee");
}

// ---------------------------------------------------------------- protocols as they stand

#[test]
fn achilles_in_the_first_two_weeks_moves_no_ankle() {
    let envelope = envelope_on(protocol("achilles-repair"), patient(&[]), 3);
    for id in ["ankle-pumps", "seated-heel-slide", "towel-calf-stretch", "foot-up-relax"] {
        let verdict = Setting::default().ask(&envelope, id);
        assert_eq!(verdict.kind, Kind::Refused, "{id}");
        assert!(kinds(&verdict).contains(&"drive"), "{id}: {:?}", kinds(&verdict));
    }
    check(&envelope, "quad-set", Within);
    check(&envelope, "straight-leg-raise", Within);
}

#[test]
fn cuff_in_week_four_hangs_and_is_raised_for_and_does_not_raise_itself() {
    let envelope = envelope_on(protocol("rotator-cuff-repair"), patient(&CUFF), 24);
    let pendulum = Setting::default().ask(&envelope, "pendulum");
    let active = Setting::default().ask(&envelope, "supine-active-elevation");
    assert_eq!(active.kind, Kind::Refused);
    assert!(kinds(&active).contains(&"muscle") && kinds(&active).contains(&"drive"));
    assert!(
        !kinds(&pendulum).contains(&"muscle") && !kinds(&pendulum).contains(&"drive"),
        "{:?}",
        pendulum.reasons
    );
}
