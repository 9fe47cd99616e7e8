//! Criteria, adherence, response, the small timeline and the comparison of programs.

mod common;

use common::*;
use handrail_anatomy::{Drive, Side};
use handrail_episode::*;
use handrail_progress::criteria::NotUsable;
use handrail_progress::*;

fn state(case: &Case, id: &str, on: i64) -> State {
    let all = criteria(&case.episode(), case.protocol, day(on));
    all.into_iter().find(|it| it.criterion == id).unwrap_or_else(|| panic!("no criterion {id}")).state
}

#[test]
fn a_criterion_without_a_measurement_is_not_taken_as_met() {
    let case = Case::knee();
    assert_eq!(state(&case, "flexion-110", 10), State::NotMeasured);
    assert_eq!(state(&case, "gait-normal", 10), State::NeedsPerson);
}

#[test]
fn the_last_measurement_counts_not_the_best() {
    let mut case = Case::knee();
    case.measure(8, "knee_flexion", Some(Side::Left), 118.0, "deg");
    case.measure(10, "knee_flexion", Some(Side::Left), 104.0, "deg");
    assert!(matches!(state(&case, "flexion-110", 9), State::Met { value, .. } if value == 118.0));
    assert!(matches!(state(&case, "flexion-110", 10), State::NotMet { value, .. } if value == 104.0));
    assert_eq!(state(&case, "flexion-110", 7), State::NotMeasured, "what is measured later is not known yet");
}

#[test]
fn a_measurement_older_than_fourteen_days_no_longer_decides() {
    let mut case = Case::knee();
    case.measure(10, "knee_flexion", Some(Side::Left), 130.0, "deg");
    assert!(matches!(state(&case, "flexion-110", 24), State::Met { .. }));
    assert!(matches!(state(&case, "flexion-110", 25), State::Stale { met_then: true, .. }));
}

#[test]
fn a_value_near_its_threshold_says_that_it_is_within_the_error() {
    let mut case = Case::knee();
    case.measure(10, "knee_flexion", Some(Side::Left), 105.0, "deg");
    let State::NotMet { near, .. } = state(&case, "flexion-110", 10) else { panic!("not met") };
    assert_eq!(near.within(), Some(true));
    case.measure(11, "knee_flexion", Some(Side::Left), 60.0, "deg");
    let State::NotMet { near, .. } = state(&case, "flexion-110", 11) else { panic!("not met") };
    assert_eq!(near.within(), Some(false));
    case.measure(11, "knee_effusion_grade", Some(Side::Left), 1.0, "grade");
    let State::Met { near, .. } = state(&case, "effusion-1-before-motion", 11) else { panic!("met") };
    assert_eq!(near, Near::ErrorNotKnown);
}

#[test]
fn an_actively_measured_angle_is_not_held_against_a_passive_criterion() {
    let mut case = Case::knee();
    let measure = |drive: Option<Drive>| Measure {
        on: day(10),
        what: "knee_extension_passive".into(),
        side: Some(Side::Left),
        value: 2.0,
        unit: "deg".into(),
        drive,
        method: None,
        by: "Ines Brandvold, PT".into(),
    };
    let entry = case.add(10, Fact::Measure(measure(Some(Drive::Active))));
    let why = NotUsable::Drive;
    assert_eq!(state(&case, "extension-full", 10), State::NotComparable { entry, why });
    case.add(10, Fact::Measure(measure(Some(Drive::Passive))));
    assert!(matches!(state(&case, "extension-full", 10), State::Met { .. }));
}

#[test]
fn another_unit_another_side_and_a_slip_of_typing_are_not_comparable() {
    for (side, value, unit, why) in [
        (Side::Left, 2.0, "rad", NotUsable::Unit),
        (Side::Right, 120.0, "deg", NotUsable::OtherSide),
        (Side::Left, 1200.0, "deg", NotUsable::Implausible),
    ] {
        let mut case = Case::knee();
        let entry = case.measure(10, "knee_flexion", Some(side), value, unit);
        assert_eq!(state(&case, "flexion-110", 10), State::NotComparable { entry, why });
    }
}

#[test]
fn a_comparison_of_sides_needs_both_within_two_weeks() {
    let mut case = Case::knee();
    case.measure(10, "hop_distance", Some(Side::Left), 72.0, "cm");
    assert_eq!(state(&case, "hop-70", 10), State::NeedsBothSides);
    let mut late = case.clone();
    late.measure(25, "hop_distance", Some(Side::Right), 100.0, "cm");
    assert_eq!(state(&late, "hop-70", 25), State::NeedsBothSides);
    case.measure(12, "hop_distance", Some(Side::Right), 100.0, "cm");
    assert!(matches!(state(&case, "hop-70", 12), State::Met { value, .. } if (value - 72.0).abs() < 1e-9));
    assert!(matches!(state(&case, "hop-70", 25), State::Stale { .. }), "as old as its older side");
}

#[test]
fn a_deficit_is_the_other_side_less_the_operated_one() {
    let mut case = Case::knee();
    case.measure(10, "knee_flexion", Some(Side::Left), 128.0, "deg");
    case.measure(10, "knee_flexion", Some(Side::Right), 140.0, "deg");
    let found = state(&case, "flexion-near-other-side", 10);
    assert!(matches!(found, State::NotMet { value, .. } if value == 12.0), "{found:?}");
}

#[test]
fn a_painful_diary_fails_a_criterion_on_pain_and_a_quiet_one_meets_none() {
    let mut case = Case::knee();
    case.diary(9, |it| it.pain_during = Some(0));
    assert_eq!(state(&case, "pain-below-2", 9), State::NotMeasured);
    case.measure(10, "pain", None, 1.0, "/10");
    assert!(matches!(state(&case, "pain-below-2", 10), State::Met { .. }));
    case.diary(11, |it| it.pain_after = Some(4));
    assert!(matches!(state(&case, "pain-below-2", 11), State::NotMet { value, .. } if value == 4.0));
}

#[test]
fn a_criterion_of_another_operation_does_not_apply_and_an_open_question_keeps_it() {
    let repair = [("graft", "hamstring"), ("meniscus", "repair"), ("meniscus_tear", "peripheral")];
    assert_eq!(state(&Case::bare("acl-reconstruction", &repair), "flexion-110", 5), State::NotApplicable);
    let open = Case::bare("acl-reconstruction", &[]);
    let all = criteria(&open.episode(), open.protocol, day(5));
    let kept = all.iter().find(|it| it.criterion == "flexion-110").expect("criterion");
    assert_eq!((&kept.state, &kept.unanswered[..]), (&State::NotMeasured, &["meniscus".to_string()][..]));
}

#[test]
fn a_missing_diary_is_neither_done_nor_not_done() {
    let mut case = Case::knee_at_home();
    for n in [3, 4, 5, 7] {
        case.diary(n, |_| {});
    }
    case.diary(6, |it| it.done.iter_mut().for_each(|it| (it.sets, it.reps) = (0, 0)));
    let found = adherence(&case.episode(), case.protocol, day(3), day(11));
    assert_eq!((found.planned, found.counted, found.beyond, found.not_known), (8, 4, 0, 3));
    assert_eq!(found.share(), Some((4.0 / 8.0, 7.0 / 8.0)));
}

#[test]
fn more_than_planned_is_too_much_and_makes_up_for_nothing() {
    let mut case = Case::knee_at_home();
    case.diary(3, |it| it.done.iter_mut().for_each(|it| (it.sets, it.reps) = (6, 60)));
    case.diary(4, |it| it.done.iter_mut().for_each(|it| (it.sets, it.reps) = (0, 0)));
    let found = adherence(&case.episode(), case.protocol, day(3), day(5));
    assert_eq!((found.planned, found.counted, found.beyond), (2, 1, 2));
    assert_eq!(found.share(), Some((0.5, 0.5)));
}

#[test]
fn work_on_a_day_without_a_plan_is_beyond_it() {
    let mut case = Case::knee().all_confirmed(1);
    case.program(1, 2, 3).issued(1, 2, 15);
    let rest = (3..10)
        .find(|n| !handrail_program::week_days(3).contains(&day(*n).weekday()))
        .expect("a day of rest");
    case.diary(rest, |_| {});
    let found = adherence(&case.episode(), case.protocol, day(rest), day(rest + 1));
    assert_eq!((found.planned, found.counted, found.beyond, found.share()), (0, 0, 1, None));
    let drawn = tiny(&case.episode(), case.protocol, day(rest));
    assert_eq!(drawn.last().expect("fourteen days").state, DayState::Extra);
}

#[test]
fn what_was_left_out_is_counted_and_what_was_not_spoken_of_is_not() {
    let mut case = Case::knee_at_home();
    case.diary(3, |it| it.done[0].sets = 0);
    case.diary(4, |it| (it.done[0].sets, it.done[0].reps) = (0, 0));
    case.diary(5, |it| it.done.truncate(1));
    let found = adherence(&case.episode(), case.protocol, day(3), day(6));
    let left_out: Vec<(&str, u32)> = found.left_out.iter().map(|(a, b)| (a.as_str(), *b)).collect();
    assert_eq!(left_out, [("quad-set", 1)]);
    assert!(found.over_report.factor == 1.25 && found.over_report.source.contains("Nicolson"));
}

#[test]
fn a_response_with_nothing_told_is_not_a_quiet_one() {
    let mut case = Case::knee_at_home();
    case.diary(3, |_| {});
    case.diary(4, |it| it.pain_during = Some(6));
    let found = response(&case.episode(), case.protocol, day(0), day(10));
    assert_eq!((found[0].told, found[0].passed.len()), (false, 0));
    assert_eq!((found[1].told, &found[1].passed[..]), (true, &[Rule::PainDuring][..]));
    assert!(found[0].protected, "the first phase of a repair");
    assert!(Rule::PainDuring.basis().source.contains("not validated for a fresh repair"));
}

#[test]
fn the_small_timeline_has_a_state_for_each_day() {
    let mut case = Case::knee_at_home();
    case.diary(3, |_| {});
    case.diary(4, |it| (it.done[0].sets, it.done[0].reps) = (0, 0));
    case.diary(5, |it| it.done.iter_mut().for_each(|it| (it.sets, it.reps) = (0, 0)));
    case.diary(6, |it| it.done.clear());
    case.diary(8, |it| {
        it.pain_after = Some(7);
        it.signs = vec![sign(SignUrgency::NextVisit), sign(SignUrgency::SameDay)];
    });
    let drawn = tiny(&case.episode(), case.protocol, day(9));
    assert_eq!(drawn.len(), 14);
    assert_eq!(drawn[13].on, day(9));
    let at = |n: i64| drawn.iter().find(|it| it.on == day(n)).expect("within fourteen days");
    let states: Vec<DayState> = (2..=9).map(|n| at(n).state).collect();
    use DayState::*;
    assert_eq!(states, [NotPlanned, Done, Partly, NotDone, Told, Missing, Done, Due]);
    assert_eq!((at(8).pain, at(8).sign), (Some(7), Some(SignUrgency::SameDay)));
    assert_eq!((at(2).version, at(3).version), (Some(1), None));
}

#[test]
fn a_second_diary_of_the_day_hides_neither_pain_nor_sign_nor_what_was_left_out() {
    let mut case = Case::knee_at_home();
    case.diary(3, |it| {
        (it.done[0].sets, it.done[0].reps) = (0, 0);
        it.pain_during = Some(8);
        it.signs = vec![sign(SignUrgency::Emergency)];
    });
    case.diary(3, |it| it.pain_during = Some(1));
    let drawn = tiny(&case.episode(), case.protocol, day(3));
    let today = drawn.last().expect("fourteen days");
    assert_eq!(
        (today.state, today.pain, today.sign),
        (DayState::Partly, Some(8), Some(SignUrgency::Emergency))
    );
}

#[test]
fn programs_are_compared_exercise_by_exercise() {
    let mut case = Case::knee();
    case.program(1, 2, 7).program(2, 9, 5);
    let episode = case.episode();
    let (old, mut new) = (episode.programs[0].clone(), episode.programs[1].clone());
    new.exercises.swap(0, 1);
    new.exercises[0].reps = Some(15);
    new.exercises[1].side = Side::Right;
    let found = compare_programs(&old, &new);
    let dose = |reps| DoseSet { sets: Some(2), reps: Some(reps), seconds: None, rest: None };
    assert_eq!(
        found,
        [
            ProgramChange::DaysAWeek { old: Some(7), new: Some(5) },
            ProgramChange::Removed { exercise: "quad-set".into(), side: Side::Left },
            ProgramChange::Added { exercise: "quad-set".into(), side: Side::Right, dose: dose(10) },
            ProgramChange::Dose {
                exercise: "heel-slide-supine".into(),
                side: Side::Left,
                old: dose(10),
                new: dose(15)
            },
        ]
    );
    assert!(compare_programs(&old, &old).is_empty());
    let mut swapped = old.clone();
    swapped.exercises.swap(0, 1);
    assert!(matches!(&compare_programs(&old, &swapped)[..], [ProgramChange::Order { .. }]));
}

#[test]
fn a_summary_holds_what_the_caseload_shows() {
    let mut case = Case::knee_at_home();
    case.diary(5, |it| it.signs = vec![sign(SignUrgency::SameDay)]);
    case.begin_phase(14, "motion");
    let made = summary(&case.episode(), case.protocol, day(14));
    assert_eq!((made.name.as_str(), made.record.as_deref()), ("Marta Okonjo", Some("M-1042")));
    assert_eq!((made.phase_on(day(13)), made.phase_on(day(14))), (Some("quiet"), Some("motion")));
    assert_eq!(made.held.as_ref().map(|it| (it.version, it.given)), Some((1, day(2))));
    assert_eq!((made.last_diary, made.newest_version), (Some(day(5)), Some(1)));
}

/// Days that a program leaves to the phase change when the next phase begins, as in the plan of the day.
#[test]
fn days_that_a_program_leaves_open_follow_the_phase() {
    let mut case = Case::knee().all_confirmed(1);
    case.program(1, 2, 7).issued(1, 2, 15);
    if let Fact::Program(program) = &mut case.entries.iter_mut().rev().nth(1).expect("program").fact {
        (program.days_a_week, program.times_a_day) = (None, None);
    }
    let planned = |case: &Case, from: i64| {
        let found = adherence(&case.episode(), case.protocol, day(from), day(from + 7));
        found.planned
    };
    let usual = |index: usize| {
        let dosage = &case.protocol.phases[index].dosage;
        dosage.days_a_week * dosage.times_a_day
    };
    let (quiet, motion) = (usual(0), usual(1));
    assert_ne!(quiet, motion);
    assert_eq!((planned(&case, 7), planned(&case, 14)), (quiet, quiet));
    case.begin_phase(14, "motion");
    assert_eq!((planned(&case, 7), planned(&case, 14)), (quiet, motion));
}

/// A criterion whose measurement has no entry in the table could never be compared with a measurement error.
#[test]
fn every_criterion_of_the_content_asks_for_a_known_quantity_in_its_unit() {
    let mut seen = 0;
    for protocol in LIBRARY.protocols.values() {
        for it in &protocol.criteria {
            let known = handrail_measures::quantity(&it.measure);
            let known = known.unwrap_or_else(|| panic!("{}: no quantity {}", protocol.id, it.measure));
            match it.threshold {
                handrail_protocol::Threshold::Judged => {
                    assert_eq!(known.kind, handrail_measures::Kind::Judged, "{}", it.id)
                }
                handrail_protocol::Threshold::AtLeast(limit)
                | handrail_protocol::Threshold::AtMost(limit) => {
                    assert_eq!(known.unit, it.unit, "{}", it.id);
                    assert!(known.is_plausible(limit), "{}: {limit}", it.id);
                }
            }
            seen += 1;
        }
    }
    assert!(seen > 30, "{seen}");
}
