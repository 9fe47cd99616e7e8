//! Who needs attention, one clinical question per test.

mod common;

use common::*;
use handrail_anatomy::Side;
use handrail_episode::*;
use handrail_progress::{ChangeKind, Detail, Needed, PROGRESS_REPORT, Rule, SheetWhy, worst_on};
use handrail_protocol::{Order, limits::WeightBearing};

#[test]
fn a_warning_sign_is_never_closed_by_time() {
    let mut case = Case::knee_at_home();
    let entry = case.diary(5, |it| it.signs = vec![sign(SignUrgency::SameDay)]);
    for on in [5, 6, 12, 60, 400, 4000] {
        let found = case.on(on).into_iter().find(|it| it.reason.id() == "warning-sign-same-day");
        let found = found.unwrap_or_else(|| panic!("day {on}"));
        assert_eq!((found.entry, found.until), (Some(entry), None));
        assert_eq!(found.about, "One calf is newly swollen.");
    }
    assert!(!case.has(4, "warning-sign-same-day"), "nobody knows of it the day before");
}

#[test]
fn nothing_but_a_contact_about_it_closes_a_warning_sign() {
    let mut case = Case::knee_at_home();
    let entry = case.diary(5, |it| it.signs = vec![sign(SignUrgency::Emergency)]);
    let quiet = case.diary(6, |_| {});
    case.visit(7);
    case.decision(7, DecisionKind::Hold, &[]);
    case.message(7, MessageFrom::Clinic);
    case.contact(7, quiet);
    case.program(2, 7, 7).issued(2, 7, 20);
    let closed = Fact::Closed(Closed { reason: "moved away".into(), by: "Ines Brandvold, PT".into() });
    case.add(8, closed);
    assert!(case.has(9, "warning-sign-emergency"));
    case.contact(9, entry);
    assert!(case.has(8, "warning-sign-emergency"), "it was open until the call");
    assert!(!case.has(9, "warning-sign-emergency"));
}

#[test]
fn a_correction_takes_no_sign_back_but_a_contact_about_it_does() {
    let mut case = Case::knee_at_home();
    let entry = case.diary(5, |it| it.signs = vec![sign(SignUrgency::SameDay)]);
    let corrected = case.diary(5, |it| it.pain_during = Some(2));
    case.entries.last_mut().expect("just added").supersedes = Some(entry);
    assert!(case.has(6, "warning-sign-same-day"), "typed over, not answered");
    case.contact(7, corrected);
    assert!(case.has(7, "warning-sign-same-day"), "a contact about the correction has not heard of the sign");
    case.contact(8, entry);
    assert!(!case.has(8, "warning-sign-same-day"));
}

#[test]
fn a_note_taken_back_leaves_the_sheet_as_it_is_and_an_order_taken_back_does_not() {
    let mut case = Case::knee_at_home();
    let taken_back = |case: &mut Case, number: u64| {
        let withdrawn = Withdrawn { reason: "wrong patient".into(), by: "Ines Brandvold, PT".into() };
        case.add(6, Fact::Withdrawn(withdrawn));
        case.entries.last_mut().expect("just added").supersedes = Some(number);
    };
    let note = case.add(6, Fact::Note(Note { says: "x".into(), by: "Ines Brandvold, PT".into() }));
    taken_back(&mut case, note);
    let before = case.episode().orders_changed;
    let act = case.release(6, "weight-as-tolerated");
    assert_ne!(case.episode().orders_changed, before);
    taken_back(&mut case, act);
    assert_eq!(case.episode().orders_changed.map(|it| it.0), Some(act + 1));
}

#[test]
fn a_contact_dated_before_the_diary_has_not_heard_of_its_sign() {
    let mut case = Case::knee_at_home();
    let entry = case.diary(5, |it| it.signs = vec![sign(SignUrgency::NextVisit)]);
    case.contact(4, entry);
    assert!(case.has(5, "warning-sign-next-visit"));
}

#[test]
fn the_most_urgent_of_several_signs_names_the_reason_and_all_are_told() {
    let mut case = Case::knee_at_home();
    case.diary(5, |it| {
        it.signs =
            vec![sign(SignUrgency::NextVisit), sign(SignUrgency::Emergency), sign(SignUrgency::SameDay)];
    });
    let top = &case.on(5)[0];
    assert_eq!((top.rank, top.reason.id()), (0, "warning-sign-emergency"));
    let Detail::Signs { signs, .. } = &top.detail else { panic!("{top:?}") };
    let order: Vec<SignUrgency> = signs.iter().map(|it| it.urgency).collect();
    assert_eq!(order, [SignUrgency::Emergency, SignUrgency::SameDay, SignUrgency::NextVisit]);
}

fn rules(change: impl Fn(&mut Diary)) -> Vec<Rule> {
    let mut case = Case::knee_at_home();
    case.diary(5, change);
    let found = case.on(5).into_iter().find(|it| it.reason.id() == "pain-response");
    match found.map(|it| it.detail) {
        Some(Detail::Pain { rules, .. }) => rules,
        None => Vec::new(),
        other => panic!("{other:?}"),
    }
}

#[test]
fn pain_of_five_is_within_the_rule_and_six_is_above() {
    assert!(rules(|it| it.pain_during = Some(5)).is_empty());
    assert_eq!(rules(|it| it.pain_during = Some(6)), [Rule::PainDuring]);
    assert!(rules(|it| it.pain_after = Some(5)).is_empty());
    assert_eq!(rules(|it| it.pain_after = Some(6)), [Rule::PainAfter]);
}

#[test]
fn pain_that_rises_by_two_is_raised_and_by_one_is_not() {
    let rise = |before, after| {
        rules(move |it| {
            it.pain_before = Some(before);
            it.pain_after = Some(after);
        })
    };
    assert!(rise(2, 3).is_empty());
    assert_eq!(rise(2, 4), [Rule::PainRises]);
    assert!(rise(5, 2).is_empty());
    assert_eq!(rise(9, 10), [Rule::PainAfter]);
}

#[test]
fn a_worse_morning_and_more_swelling_are_raised() {
    assert_eq!(rules(|it| it.morning = Some(Morning::Worse)), [Rule::MorningWorse]);
    assert!(rules(|it| it.morning = Some(Morning::Usual)).is_empty());
    assert_eq!(rules(|it| it.swelling = Some(Swelling::More)), [Rule::SwellingMore]);
    assert!(rules(|it| it.swelling = Some(Swelling::Same)).is_empty());
}

#[test]
fn a_quiet_diary_does_not_answer_a_painful_one_and_a_visit_does() {
    let mut case = Case::knee_at_home();
    case.visit(4);
    case.diary(5, |it| it.pain_during = Some(8));
    for n in 6..20 {
        case.diary(n, |it| it.pain_during = Some(0));
    }
    assert!(case.has(19, "pain-response"));
    case.visit(20);
    assert!(case.has(19, "pain-response") && !case.has(20, "pain-response"));
}

/// A visit on record before the diary came in cannot have answered it.
#[test]
fn a_visit_put_on_record_before_the_diary_does_not_answer_it() {
    let mut case = Case::knee_at_home();
    case.visit(5);
    case.diary(5, |it| it.pain_during = Some(8));
    assert!(case.has(5, "pain-response"));
}

#[test]
fn a_contact_answers_the_pain_it_is_about_and_earlier_pain_and_no_later_one() {
    let mut case = Case::knee_at_home();
    case.diary(5, |it| it.pain_during = Some(7));
    let second = case.diary(6, |it| it.pain_during = Some(8));
    case.diary(8, |it| it.pain_during = Some(6));
    let message = case.message(8, MessageFrom::Patient);
    case.contact(8, message);
    let open = |case: &Case| match &case.on(9)[0].detail {
        Detail::Pain { entries, worst, .. } => (entries.len(), *worst),
        other => panic!("{other:?}"),
    };
    assert_eq!(open(&case), (3, Some(8)), "a contact about a message answered no pain");
    case.contact(9, second);
    assert_eq!(open(&case), (1, Some(6)));
}

#[test]
fn a_restriction_asks_for_attention_from_a_week_before_its_planned_day_until_the_act() {
    let mut case = Case::knee_at_home();
    let holds = |case: &Case, on: i64| {
        let all = case.on(on);
        all.into_iter().find(|it| it.reason.id() == "restriction-changes" && it.about == "weight-tolerated")
    };
    assert!(holds(&case, 20).is_none());
    let found = holds(&case, 21).expect("a week before day 28");
    let Detail::Change { change, planned, needs } = found.detail else { panic!("no change") };
    assert_eq!(change, ChangeKind::Ends { id: "weight-tolerated".into() });
    assert_eq!(planned, day(28));
    assert_eq!(needs, [Needed::Release("weight-tolerated".into())]);
    for on in [28, 29, 100, 300] {
        assert!(holds(&case, on).is_some(), "overdue on day {on}");
    }
    case.release(35, "weight-tolerated");
    assert!(holds(&case, 34).is_some() && holds(&case, 35).is_none());
}

#[test]
fn a_phase_that_waits_stays_until_a_person_begins_it() {
    let mut case = Case::knee_at_home();
    let waits = |case: &Case, on: i64| {
        case.on(on).iter().any(|it| it.about == "motion" && it.reason.id() == "restriction-changes")
    };
    assert!(!waits(&case, 6) && waits(&case, 7) && waits(&case, 90));
    case.begin_phase(16, "motion");
    assert!(waits(&case, 15) && !waits(&case, 16));
}

#[test]
fn what_is_assumed_asks_to_be_confirmed_from_the_surgery_on() {
    let mut case = Case::knee();
    let assumed = |case: &Case, on: i64| -> usize {
        let all = case.on(on);
        let found = all.iter().filter_map(|it| match &it.detail {
            Detail::Assumed { restrictions } => Some(restrictions.len()),
            _ => None,
        });
        found.sum()
    };
    let all = assumed(&case, 0);
    assert!(all > 1);
    assert!(assumed(&case, 200) > 0, "no day confirms");
    let confirmation = handrail_protocol::Confirmation {
        restriction: "weight-tolerated".into(),
        by: "Dr. Teodor Aspinall".into(),
        on: day(3),
        document: "operation note".into(),
    };
    case.add(3, Fact::Confirmation(confirmation));
    assert_eq!((assumed(&case, 2), assumed(&case, 3)), (all, all - 1));
    assert_eq!(assumed(&case.clone().all_confirmed(5), 5), 0);
}

/// An order past its last day loosens nothing: what the protocol assumed is back, unconfirmed.
#[test]
fn what_an_expired_order_had_replaced_asks_to_be_confirmed_again() {
    let mut case = Case::knee();
    case.add(
        1,
        Fact::Order(Order {
            id: "full-weight".into(),
            limit: handrail_protocol::Limit::LegWeightBearing(WeightBearing::Full),
            replaces: Some("weight-tolerated".into()),
            by: "Dr. Teodor Aspinall".into(),
            on: day(1),
            document: "letter".into(),
            from: day(1),
            until: Some(day(10)),
            note: None,
        }),
    );
    let stored = case.windows(2);
    let assumed = |on: i64| {
        stored.iter().filter(|it| it.holds_on(day(on))).any(|it| match &it.detail {
            Detail::Assumed { restrictions } => restrictions.contains(&"weight-tolerated".to_string()),
            _ => false,
        })
    };
    assert!(!assumed(2) && !assumed(10));
    assert!(assumed(11));
}

#[test]
fn an_open_question_about_the_operation_is_told_by_itself() {
    let case = Case::bare("acl-reconstruction", &[("meniscus", "none")]).all_confirmed(0);
    let found = case.on(0).into_iter().find(|it| it.about == "graft").expect("open question");
    assert_eq!((found.reason.id(), found.until), ("restriction-to-confirm", None));
    assert!(matches!(found.detail, Detail::Variant { depends, .. } if !depends.is_empty()));
}

#[test]
fn a_criterion_at_its_threshold_is_met_and_one_below_is_not() {
    let met = |value: f64| {
        let mut case = Case::knee_at_home();
        case.measure(10, "knee_flexion", Some(Side::Left), value, "deg");
        case.on(10).into_iter().find(|it| it.about == "flexion-110")
    };
    assert!(met(109.0).is_none());
    let found = met(110.0).expect("met");
    assert_eq!(found.from, day(10));
    let Detail::Criterion { within_error, .. } = found.detail else { panic!("no criterion") };
    assert_eq!(within_error, Some(true), "at the threshold is within the error");
    let far = met(130.0).expect("met").detail;
    assert!(matches!(far, Detail::Criterion { within_error: Some(false), .. }), "{far:?}");
}

#[test]
fn the_other_knee_meets_no_criterion() {
    let mut case = Case::knee_at_home();
    case.measure(10, "knee_flexion", Some(Side::Right), 130.0, "deg");
    assert!(!case.has(10, "criterion-met"));
}

#[test]
fn a_decision_that_names_it_the_phase_or_a_worse_measurement_ends_a_newly_met_criterion() {
    let mut case = Case::knee_at_home();
    case.measure(10, "knee_flexion", Some(Side::Left), 115.0, "deg");
    let met = |case: &Case, on: i64| case.on(on).iter().any(|it| it.about == "flexion-110");
    assert!(met(&case, 10) && met(&case, 50));

    let mut other = case.clone();
    other.decision(12, DecisionKind::Hold, &["no-lag"]);
    assert!(met(&other, 12), "the decision did not speak of it");
    let mut decided = case.clone();
    decided.decision(12, DecisionKind::Hold, &["flexion-110"]);
    assert!(met(&decided, 11) && !met(&decided, 12));

    let mut begun = case.clone();
    begun.begin_phase(14, "motion");
    assert!(met(&begun, 13) && !met(&begun, 14));

    case.measure(15, "knee_flexion", Some(Side::Left), 100.0, "deg");
    assert!(met(&case, 14) && !met(&case, 15));
    case.measure(17, "knee_flexion", Some(Side::Left), 112.0, "deg");
    assert!(met(&case, 17));
}

#[test]
fn a_criterion_of_a_phase_after_the_next_is_not_told_yet() {
    let mut case = Case::knee_at_home();
    case.measure(10, "quadriceps_symmetry", None, 85.0, "%");
    assert!(!case.has(10, "criterion-met"), "it opens the phase after the next");
    case.begin_phase(14, "motion");
    let found = case.on(14).into_iter().find(|it| it.about == "quadriceps-60").expect("told now");
    assert_eq!(found.from, day(14));
}

#[test]
fn three_planned_days_without_a_diary_are_seen_on_the_day_after_the_third() {
    let mut case = Case::knee().all_confirmed(1);
    case.program(1, 2, 7).issued(1, 2, 15);
    assert!(!case.has(5, "no-diary"), "on the third day it may still come");
    assert!(case.has(6, "no-diary"));
    case.diary(5, |_| {});
    assert!(!case.has(8, "no-diary") && case.has(9, "no-diary"));
    case.diary(10, |_| {});
    assert!(case.has(9, "no-diary") && !case.has(10, "no-diary"));
}

/// Day 2 is a Wednesday; three days a week are Monday, Wednesday, Saturday: days 5, 7, 9.
#[test]
fn days_without_a_session_are_not_counted_as_silence() {
    let mut case = Case::knee().all_confirmed(1);
    case.program(1, 2, 3).issued(1, 2, 15);
    let planned = handrail_program::week_days(3);
    let is_planned = |n: i64| planned.contains(&day(n).weekday());
    let third = (3..).filter(|n| is_planned(*n)).nth(2).expect("third planned day");
    assert!(third > 6, "there are rest days between");
    assert!(!case.has(third, "no-diary") && case.has(third + 1, "no-diary"));
}

#[test]
fn without_a_program_in_hand_no_diary_is_missed() {
    let mut case = Case::knee().all_confirmed(1);
    case.program(1, 2, 7);
    assert!(!case.has(40, "no-diary"));
    assert!(case.has(40, "no-program"), "but the program was never given");
}

#[test]
fn a_letter_is_due_from_seven_days_before_the_surgeons_visit() {
    let mut case = Case::knee_at_home();
    let operation = case.operation(Some(40), &[("graft", "hamstring"), ("meniscus", "none")]);
    case.add(3, Fact::Operation(operation));
    assert!(!case.has(32, "report-due") && case.has(33, "report-due"));
    assert!(case.has(41, "report-due"), "the visit has passed and nothing was written");
    let mut early = case.clone();
    early.report(20, "letter before the visit", "Dr. Teodor Aspinall");
    assert!(early.has(33, "report-due"), "an old letter says nothing of today");
    case.report(35, "letter before the visit", "Dr. Teodor Aspinall");
    assert!(case.has(34, "report-due") && !case.has(35, "report-due"));
}

#[test]
fn the_progress_report_is_asked_for_so_that_it_is_there_by_the_tenth_treatment_day() {
    let mut case = Case::knee_at_home();
    for n in 1..=8 {
        case.visit(n * 2);
    }
    case.visit(16); // a second entry on one day is one treatment day
    assert!(!case.has(17, "report-due"));
    case.visit(18);
    assert!(case.has(18, "report-due"));
    case.report(20, "letter before the visit", "somebody else");
    assert!(case.has(20, "report-due"));
    case.report(20, PROGRESS_REPORT, "the payer");
    assert!(!case.has(20, "report-due"));
    for n in 11..=19 {
        assert!(!case.has(n * 2, "report-due"));
        case.visit(n * 2);
    }
    assert!(case.has(38, "report-due"));
}

fn causes(case: &Case, on: i64) -> Vec<SheetWhy> {
    let found = case.on(on).into_iter().find_map(|it| match it.detail {
        Detail::Sheet { causes, .. } => Some(causes),
        _ => None,
    });
    found.unwrap_or_default().into_iter().filter(|it| it.since <= day(on)).map(|it| it.why).collect()
}

#[test]
fn a_sheet_is_out_of_date_on_the_day_after_its_last_valid_one() {
    let case = Case::knee_at_home();
    assert!(causes(&case, 15).is_empty());
    assert_eq!(causes(&case, 16), [SheetWhy::Expired]);
}

#[test]
fn a_sheet_is_out_of_date_once_orders_or_the_program_changed_until_a_new_one_is_given() {
    let mut case = Case::knee_at_home();
    let act = case.release(8, "weight-tolerated");
    assert!(causes(&case, 7).is_empty());
    assert_eq!(causes(&case, 8), [SheetWhy::OrdersChanged { entry: act }]);
    case.program(2, 9, 7);
    assert!(causes(&case, 9).contains(&SheetWhy::NewerVersion { version: 2 }));
    case.issued(2, 10, 23);
    assert!(causes(&case, 10).is_empty() && causes(&case, 23).is_empty());
    assert_eq!(causes(&case, 24), [SheetWhy::Expired]);
}

#[test]
fn a_sheet_is_out_of_date_when_a_limit_begins_that_was_ordered_before() {
    let mut case = Case::knee().all_confirmed(1);
    case.add(
        1,
        Fact::Order(Order {
            id: "no-weight-for-a-week".into(),
            limit: handrail_protocol::Limit::LegWeightBearing(WeightBearing::None),
            replaces: None,
            by: "Dr. Teodor Aspinall".into(),
            on: day(1),
            document: "letter".into(),
            from: day(10),
            until: None,
            note: None,
        }),
    );
    case.program(1, 2, 7).issued(1, 2, 15);
    assert!(causes(&case, 9).is_empty());
    assert_eq!(causes(&case, 10), [SheetWhy::LimitBegan { id: "no-weight-for-a-week".into() }]);
}

#[test]
fn a_patient_without_a_program_is_seen_until_one_is_in_the_hands() {
    let mut case = Case::knee();
    assert!(case.has(0, "no-program") && case.has(90, "no-program"));
    case.program(1, 4, 7);
    let detail = |case: &Case, on: i64| {
        case.on(on).into_iter().find(|it| it.reason.id() == "no-program").map(|it| it.detail)
    };
    assert_eq!(detail(&case, 3), Some(Detail::NoProgram));
    assert_eq!(detail(&case, 4), Some(Detail::NotGiven { version: 1 }));
    case.issued(1, 6, 18);
    assert_eq!((detail(&case, 5), detail(&case, 6)), (Some(Detail::NotGiven { version: 1 }), None));
}

#[test]
fn a_message_waits_until_the_clinic_writes_or_somebody_calls() {
    let mut case = Case::knee_at_home();
    case.message(4, MessageFrom::Clinic);
    let first = case.message(5, MessageFrom::Patient);
    case.message(6, MessageFrom::Patient);
    let waiting = |case: &Case, on: i64| {
        let all = case.on(on);
        all.iter().find(|it| it.reason.id() == "message-waiting").map(|it| it.detail.clone())
    };
    assert_eq!(waiting(&case, 30), Some(Detail::Messages { count: 2 }));
    case.contact(8, first);
    assert_eq!(waiting(&case, 8), Some(Detail::Messages { count: 1 }), "the call was about the first one");
    case.message(9, MessageFrom::Clinic);
    assert_eq!(waiting(&case, 9), None);
}

#[test]
fn a_record_that_does_not_fit_its_protocol_is_raised_and_hides_no_sign() {
    let mut case = Case::knee_at_home();
    case.diary(5, |it| it.signs = vec![sign(SignUrgency::SameDay)]);
    case.release(6, "a-restriction-of-another-protocol");
    let reasons = case.reasons(7);
    assert!(reasons.contains(&"restrictions-not-known"), "{reasons:?}");
    assert_eq!(reasons[0], "warning-sign-same-day");
    assert!(reasons.contains(&"sheet-out-of-date"), "{reasons:?}");
}

#[test]
fn the_end_of_an_episode_ends_its_tasks() {
    let mut case = Case::knee_at_home();
    case.add(30, Fact::Closed(Closed { reason: "discharged".into(), by: "Ines Brandvold, PT".into() }));
    assert!(case.has(29, "no-diary") && case.has(29, "sheet-out-of-date"));
    assert!(case.reasons(30).is_empty(), "{:?}", case.reasons(30));
}

#[test]
fn reasons_come_worst_first() {
    let mut case = Case::knee();
    case.diary(3, |it| {
        it.pain_during = Some(9);
        it.signs = vec![sign(SignUrgency::NextVisit)];
    });
    case.message(3, MessageFrom::Patient);
    let all = case.on(9);
    assert!(all.is_sorted_by_key(|it| it.rank));
    assert_eq!(worst_on(&all, day(9)), Some(2));
    let reasons = case.reasons(9);
    assert_eq!(
        reasons,
        [
            "warning-sign-next-visit",
            "pain-response",
            "restriction-changes",
            "restriction-to-confirm",
            "no-program",
            "message-waiting"
        ]
    );
}
