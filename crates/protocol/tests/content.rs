//! The protocols of the content folder: they read, every statement has a source, and their envelopes on six
//! days are as reviewed.

mod common;

use common::*;
use handrail_protocol::*;

const DAYS: [i64; 6] = [0, 10, 20, 45, 90, 170];

/// Envelopes with nothing done, and with everything done on its planned day.
fn six_days(protocol: &Protocol, variants: &[(&str, &str)]) -> String {
    let idle = patient(variants);
    let mut planned = patient(variants);
    as_planned(protocol, &mut planned);
    let mut text = String::new();
    for (title, orders) in [("nothing done", &idle), ("as planned", &planned)] {
        for number in DAYS {
            let on_day = envelope(protocol, orders, day(number)).unwrap();
            text += &format!("== {title}, {}", compact(&on_day));
        }
    }
    text
}

#[test]
fn achilles_envelopes() {
    insta::assert_snapshot!(six_days(&achilles(), &[]));
}

#[test]
fn acl_envelopes_hamstring_graft_no_meniscus_work() {
    insta::assert_snapshot!(six_days(&acl(), &[("graft", "hamstring"), ("meniscus", "none")]));
}

#[test]
fn acl_envelopes_patellar_tendon_graft_root_repair() {
    let variants = [("graft", "patellar_tendon"), ("meniscus", "repair"), ("meniscus_tear", "root")];
    insta::assert_snapshot!(six_days(&acl(), &variants));
}

#[test]
fn acl_envelopes_nothing_known() {
    insta::assert_snapshot!(six_days(&acl(), &[]));
}

#[test]
fn cuff_envelopes_small_tear() {
    let variants = [("tear_size", "small_medium"), ("subscapularis", "no"), ("biceps_tenodesis", "no")];
    insta::assert_snapshot!(six_days(&cuff(), &variants));
}

#[test]
fn cuff_envelopes_massive_tear_with_subscapularis_and_biceps() {
    let variants = [("tear_size", "massive"), ("subscapularis", "yes"), ("biceps_tenodesis", "yes")];
    insta::assert_snapshot!(six_days(&cuff(), &variants));
}

#[test]
fn cuff_envelopes_nothing_known() {
    insta::assert_snapshot!(six_days(&cuff(), &[]));
}

#[test]
fn every_source_is_used_and_every_statement_has_one() {
    for protocol in [achilles(), acl(), cuff()] {
        let mut used: Vec<&Basis> = Vec::new();
        used.extend(protocol.variants.iter().map(|it| &it.basis));
        used.extend(protocol.phases.iter().flat_map(|it| [&it.dosage.basis, &it.ceiling.basis]));
        used.extend(protocol.restrictions.iter().map(|it| &it.basis));
        used.extend(protocol.criteria.iter().map(|it| &it.basis));
        used.extend(protocol.milestones.iter().map(|it| &it.basis));
        used.extend(protocol.precautions.iter().map(|it| &it.basis));
        used.extend(protocol.spreads.iter().flat_map(|it| &it.statements).map(|it| &it.basis));
        for (key, words) in &protocol.sources {
            assert!(used.iter().any(|it| it.key == *key), "{}: source {key} is not used", protocol.id);
            assert!(!words.trim().is_empty());
        }
        for basis in used {
            let practice = basis.key == "common";
            assert!(!(practice && basis.known == Known::Read), "{}: practice is not read", protocol.id);
            assert!(
                practice || basis.known != Known::Practice,
                "{}: {} has a source",
                protocol.id,
                basis.key
            );
        }
    }
}

#[test]
fn every_protocol_is_a_draft_until_signed() {
    for protocol in [achilles(), acl(), cuff()] {
        assert!(protocol.is_draft());
        let first_day = envelope(&protocol, &patient(&[]), SURGERY).unwrap();
        assert!(first_day.notes.contains(&Note::Draft));
    }
}

#[test]
fn every_answer_of_every_variant_changes_something() {
    for protocol in [acl(), cuff()] {
        for variant in &protocol.variants {
            let named = |it: &Restriction| it.only_if.contains_key(&variant.name);
            assert!(protocol.restrictions.iter().any(named), "{} {}", protocol.id, variant.name);
        }
    }
}

#[test]
fn no_limit_of_the_files_loosens_while_nobody_acts() {
    for protocol in [achilles(), acl(), cuff()] {
        let orders = patient(&[]);
        let mut before = envelope(&protocol, &orders, SURGERY).unwrap();
        for number in 1..=400 {
            let after = envelope(&protocol, &orders, day(number)).unwrap();
            for item in &before.in_force {
                let kept = after.in_force.iter().any(|it| it.limit.implies(&item.limit));
                assert!(kept, "{} day {number}: {} was loosened", protocol.id, item.id);
            }
            before = after;
        }
    }
}

#[test]
fn everything_ends_when_everything_is_done() {
    let answers: [(Protocol, Vec<(&str, &str)>); 3] = [
        (achilles(), vec![]),
        (acl(), vec![("graft", "hamstring"), ("meniscus", "repair"), ("meniscus_tear", "complex")]),
        (cuff(), vec![("tear_size", "large"), ("subscapularis", "yes"), ("biceps_tenodesis", "yes")]),
    ];
    for (protocol, variants) in answers {
        let mut orders = patient(&variants);
        as_planned(&protocol, &mut orders);
        let last = envelope(&protocol, &orders, day(400)).unwrap();
        let left: Vec<&str> = last.in_force.iter().map(|it| it.id.as_str()).collect();
        assert!(left.is_empty(), "{}: {left:?}", protocol.id);
        assert_eq!(last.next, []);
    }
}

#[test]
fn a_limit_reads_back_as_it_was_written() {
    for protocol in [achilles(), acl(), cuff()] {
        for restriction in &protocol.restrictions {
            let written = toml::to_string(&restriction.limit).unwrap();
            let source = handrail_spans::SourceText::new("written", written.as_str());
            let spec: LimitSpec = source.parse().unwrap();
            let mut problems = handrail_spans::Problems::default();
            assert_eq!(spec.check(&source, &mut problems), Some(restriction.limit.clone()), "{written}");
        }
    }
}

#[test]
fn the_words_we_never_use_are_not_used() {
    let texts = [
        include_str!("../../../content/protocols/achilles-repair.toml"),
        include_str!("../../../content/protocols/acl-reconstruction.toml"),
        include_str!("../../../content/protocols/rotator-cuff-repair.toml"),
    ];
    for text in texts {
        for word in ["diagnos", "treats", " safe", "cleared", "guarantee", "you may now"] {
            assert!(!text.to_lowercase().contains(word), "{word}");
        }
    }
}
