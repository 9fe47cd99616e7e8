//! Ceilings on tissue load, the ladder, the weekly sum, simulated executions and the proposal: one question
//! each.

mod common;

use std::collections::BTreeSet;

use Expect::*;
use common::*;
use handrail_anatomy::{Side, Tissue};
use handrail_program::propose::{Candidate, ProposeError, Wish, propose};
use handrail_program::robustness::robustness;
use handrail_program::{Bound, Dose, Kind, ladder};
use handrail_protocol::limits::ExposureOf;
use handrail_protocol::{Envelope, Limit, Phase};

fn ceiling(max: f64) -> Envelope {
    only(&[("tendon", Limit::TissueLoad { tissue: Tissue::AchillesTendon, max, class: None })])
}

fn week(per_week: f64) -> Envelope {
    let of = ExposureOf::Peaks;
    only(&[("week", Limit::Exposure { tissue: Tissue::AchillesTendon, per_week, of })])
}

#[test]
fn the_ceiling_lets_pass_the_rungs_below_it() {
    for (max, below, above) in [
        (0.35, "seated-heel-raise", "heel-raise-wall"),
        (2.0, "heel-raise-wall", "single-leg-heel-raise"),
        (4.0, "single-leg-heel-raise", "forward-hop"),
    ] {
        let envelope = ceiling(max);
        check(&envelope, below, Within);
        let refused = check(&envelope, above, Refused(&["tissue_load"]));
        let reason = &refused.reasons[0];
        assert_eq!((reason.limit, reason.unit), (Some(max), "BW"));
        assert!(reason.computed.unwrap() > max);
    }
}

#[test]
fn what_cannot_be_stated_is_refused_and_what_rests_is_not() {
    let envelope = ceiling(9.9);
    check(&envelope, "towel-calf-stretch", Refused(&["tissue_load_not_known"]));
    check(&envelope, "two-leg-hop", Refused(&["tissue_load_not_known"]));
    check(&envelope, "wrist-bend", Within);
    let tissue = Tissue::Supraspinatus;
    let cuff = only(&[("cuff", Limit::TissueLoad { tissue, max: 15.0, class: None })]);
    check(&cuff, "fist-open", Within);
    check(&cuff, "toe-wiggle", Within);
    check(&cuff, "isometric-abduction", Refused(&["tissue_load_not_known"]));
    check(&cuff, "standing-scaption", Refused(&["tissue_load"]));
}

/// No method waives a ceiling on a tissue.
#[test]
fn a_tissue_load_cannot_be_waived() {
    let setting = Setting::default();
    let refusal = setting.ask(&ceiling(1.0), "heel-raise-wall").into_checked().unwrap_err();
    let refusal = refusal.accept_margin("A. Person", "because").unwrap_err();
    assert!(refusal.override_position("A. Person", "because").is_err());
}

#[test]
fn the_ladder_is_in_order_and_gives_the_neighbours() {
    let setting = Setting::default();
    let envelope = ceiling(2.0);
    let program = BTreeSet::from(["seated-heel-raise".to_string()]);
    let found =
        ladder(LIBRARY.exercises.values(), Tissue::AchillesTendon, &setting.case(&envelope), &program);
    assert!(found.rungs.len() > 10, "{}", found.rungs.len());
    assert!(found.rungs.windows(2).all(|it| it[0].load.peak.high <= it[1].load.peak.high));
    let at = |id: &str| found.rungs.iter().position(|it| it.exercise == id).unwrap();
    // Published order (Revak 2017; Sancho 2023): seated, two legs, one leg, hop.
    let order = ["seated-heel-raise", "heel-raise-wall", "single-leg-heel-raise", "forward-hop"].map(at);
    assert!(order.windows(2).all(|it| it[0] < it[1]), "{order:?}");
    for rung in &found.rungs {
        assert_eq!(rung.over, rung.load.peak.high > 2.005, "{}", rung.exercise);
        assert!(!rung.over || rung.kind == Kind::Refused, "{}", rung.exercise);
    }
    let (easier, harder) = found.neighbours("heel-raise-wall");
    assert!(easier.unwrap().load.peak.high < harder.unwrap().load.peak.high);
    let next = found.next().unwrap();
    assert!(!next.in_program && next.load.peak.high > found.rungs[order[0]].load.peak.high);
    assert_ne!(next.kind, Kind::Refused);
}

// ---------------------------------------------------------------- simulated executions

#[test]
fn executions_depend_on_the_seed_alone_and_a_looser_limit_never_makes_them_worse() {
    let setting = Setting::default();
    let motion = exercise("seated-heel-slide");
    let past = |max, seed| {
        let envelope = motion_limit(max);
        let case = setting.case(&envelope);
        robustness(
            motion,
            Side::Left,
            &case,
            &setting.ask(&envelope, "seated-heel-slide").parameters,
            300,
            seed,
        )
    };
    assert_eq!(past(2.0, 5), past(2.0, 5));
    let parameters = setting.ask(&only(&[]), "seated-heel-slide").parameters;
    let mut last = u32::MAX;
    for max in [-12.0, -8.0, -4.0, 0.0, 4.0, 8.0, 12.0] {
        let envelope = motion_limit(max);
        let found = robustness(motion, Side::Left, &setting.case(&envelope), &parameters, 300, 5);
        assert!(found.past <= last, "{max}: {} after {last}", found.past);
        last = found.past;
    }
    assert!(last < 300);
}

/// What the stated margins let pass, corner by corner, is rarely past its limit; but the corners are not the
/// whole of it (thigh and shank vary one by one), and the executions show what they leave.
#[test]
fn what_the_margins_let_pass_is_rarely_past_its_limit() {
    let setting = Setting::default();
    for max in [-8.0, 0.0, 6.0] {
        let envelope = motion_limit(max);
        let verdict = setting.ask(&envelope, "seated-heel-slide");
        if verdict.kind == Kind::Refused {
            continue;
        }
        let case = setting.case(&envelope);
        let found =
            robustness(exercise("seated-heel-slide"), Side::Left, &case, &verdict.parameters, 1000, 3);
        assert!(found.share() < 0.05, "{max}: {found:?}");
    }
}

fn motion_limit(max_deg: f64) -> Envelope {
    only(&[("df", at_most(handrail_anatomy::Joint::Ankle, "dorsiflexion", max_deg))])
}

// ---------------------------------------------------------------- proposal

fn phase(id: &str) -> &'static Phase {
    protocol("achilles-repair").phase(id).unwrap().1
}

fn candidates(envelope: &Envelope, phase: &Phase) -> Vec<Candidate> {
    let setting = Setting::default();
    LIBRARY
        .exercises
        .values()
        .filter_map(|motion| {
            let checked = setting.ask(envelope, &motion.id).into_checked().ok()?;
            Some(Candidate { motion: motion.clone(), checked, dose: Dose::usual(motion, phase) })
        })
        .collect()
}

fn proposed(envelope: &Envelope, wish: &Wish) -> Result<handrail_program::Proposal, ProposeError> {
    let setting = Setting::default();
    let phase = phase("load");
    propose(&candidates(envelope, phase), phase, &setting.case(envelope), &LIBRARY.postures, wish)
}

fn names(proposal: &handrail_program::Proposal) -> Vec<&str> {
    proposal.session.items.iter().map(|it| it.motion.id.as_str()).collect()
}

#[test]
fn a_proposal_keeps_to_minutes_number_and_places_and_says_why() {
    let found = proposed(&only(&[]), &Wish::new(20.0, 4)).unwrap();
    assert!((1..=4).contains(&found.session.items.len()));
    assert!(found.session.minutes() <= 20.0 + 1e-9, "{}", found.session.minutes());
    assert_eq!(found.why.len(), found.session.items.len());
    for why in &found.why {
        assert!(why.marginal > 0.0 && !why.serves.is_empty(), "{why:?}");
    }
    assert!(found.left_out.is_some());
    let short = proposed(&only(&[]), &Wish::new(5.0, 4)).unwrap();
    assert!(short.value <= found.value && short.session.minutes() <= 5.0 + 1e-9);
    assert!(short.binds.iter().any(|it| it.bound == Bound::Minutes), "{:?}", short.binds);
}

#[test]
fn the_therapist_keeps_and_leaves_out() {
    let envelope = only(&[]);
    let free = proposed(&envelope, &Wish::new(20.0, 4)).unwrap();
    let mut wish = Wish::new(20.0, 4);
    wish.without = vec![names(&free)[0].to_string()];
    wish.keep = vec!["toe-spread".into()];
    let found = proposed(&envelope, &wish).unwrap();
    assert!(names(&found).contains(&"toe-spread") && !names(&found).contains(&names(&free)[0]));
    assert!(found.why.iter().any(|it| it.kept && it.exercise == "toe-spread"));
    assert!(found.value <= free.value + 1e-9);
    wish.keep = vec!["no-such-exercise".into()];
    assert!(matches!(proposed(&envelope, &wish), Err(ProposeError::NotAllowed(_))));
}

#[test]
fn a_ceiling_on_the_week_changes_the_choice_and_is_named() {
    let free = proposed(&only(&[]), &Wish::new(30.0, 4)).unwrap();
    let load = |proposal: &handrail_program::Proposal| {
        let setting = Setting::default();
        let lines =
            proposal.session.items.iter().map(|it| (&*it.motion, Some(&**it.checked.repetition()), &it.dose));
        let sum =
            handrail_program::exposure::planned(lines, &setting.body, Tissue::AchillesTendon, Side::Left);
        sum.upper(ExposureOf::Peaks)
    };
    let most = load(&free).unwrap_or(500.0) / 2.0;
    let found = proposed(&week(most), &Wish::new(30.0, 4)).unwrap();
    assert!(load(&found).is_some_and(|it| it <= most + 1e-6), "{:?} of {most}", load(&found));
    assert!(found.value <= free.value + 1e-9);
}
