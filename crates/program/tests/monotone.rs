//! A tighter limit never allows more: drawn limits, exercises and bodies.

mod common;

use common::*;
use handrail_anatomy::{ClinicalMotion, Drive, Joint, Side};
use handrail_motion::{Home, Motion};
use handrail_program::{Kind, Verdict, verdict};
use handrail_protocol::{Limit, Loading, WeightBearing};
use proptest::prelude::*;

fn rank(kind: Kind) -> u8 {
    match kind {
        Kind::Within => 2,
        Kind::Limited => 1,
        Kind::Refused => 0,
    }
}

/// Motions that orders speak of; the range a limit on them is drawn from.
fn motions() -> Vec<(ClinicalMotion, f64, f64)> {
    [
        (Joint::Ankle, "dorsiflexion", -25.0, 25.0),
        (Joint::Ankle, "plantarflexion", -10.0, 40.0),
        (Joint::Knee, "flexion", 0.0, 120.0),
        (Joint::Hip, "flexion", 0.0, 110.0),
        (Joint::Hip, "external_rotation", -5.0, 40.0),
        (Joint::Hip, "abduction", -5.0, 40.0),
        (Joint::Shoulder, "elevation", 10.0, 160.0),
        (Joint::Shoulder, "external_rotation", -20.0, 60.0),
        (Joint::Elbow, "flexion", 0.0, 140.0),
    ]
    .into_iter()
    .map(|(joint, name, low, high)| (clinical(joint, name), low, high))
    .collect()
}

/// Exercises that move the joint of a motion in its plane: the others answer the same whatever the limit.
fn moved_by(motion: &ClinicalMotion) -> Vec<&'static Motion> {
    let all: Vec<&Motion> = LIBRARY.exercises.values().map(AsRef::as_ref).collect();
    let region = match motion.joint {
        Joint::Ankle => ["ankle", "foot", "knee"],
        Joint::Knee => ["knee", "ankle", "hip"],
        Joint::Hip => ["hip", "knee", "trunk"],
        _ => ["shoulder", "elbow", "hand"],
    };
    all.into_iter().filter(|it| region.contains(&it.region.as_str())).collect()
}

/// The stricter verdict allows no more than the looser one: no better answer, no larger value.
fn no_more(strict: &Verdict, loose: &Verdict) -> Result<(), String> {
    if rank(strict.kind) > rank(loose.kind) {
        return Err(format!(
            "{}: {} under the stricter, {} under the looser limit ({:?})",
            strict.exercise,
            strict.kind.id(),
            loose.kind.id(),
            loose.reasons
        ));
    }
    if let (Some(a), Some(b)) = (&strict.limit, &loose.limit)
        && a.parameter == b.parameter
        && a.value > b.value + 1e-9
    {
        return Err(format!(
            "{}: {} {} under the stricter, {} under the looser limit",
            strict.exercise, a.parameter, a.value, b.value
        ));
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, ..ProptestConfig::default() })]

    #[test]
    fn a_tighter_motion_limit_never_allows_more(
        which in 0usize..9,
        exercise in any::<prop::sample::Index>(),
        a in 0.0..1.0f64,
        b in 0.0..1.0f64,
        seat in -0.05..0.05f64,
    ) {
        let (motion, low, high) = motions()[which];
        let list = moved_by(&motion);
        let chosen = list[exercise.index(list.len())];
        let (tight, loose) = (low + a.min(b) * (high - low), low + a.max(b) * (high - low));
        let limit = |max_deg| Limit::Motion { motion, max_deg, drives: Drive::ALL.to_vec(), loading: Loading::Any };
        let setting = Setting { body: body(), home: Home { seat_height: 0.44 + seat, ..home() } };
        let ask = |max_deg| {
            let envelope = only(&[("limit", limit(max_deg))]);
            verdict(chosen, Side::Left, &setting.case(&envelope))
        };
        if let Err(message) = no_more(&ask(tight), &ask(loose)) {
            prop_assert!(false, "{} at most {tight} or {loose}: {message}", motion.motion);
        }
    }

    #[test]
    fn a_further_limit_never_allows_more(
        one in 0usize..9,
        two in 0usize..9,
        exercise in any::<prop::sample::Index>(),
        a in 0.0..1.0f64,
        b in 0.0..1.0f64,
        other_kind in 0u8..4,
    ) {
        let limit = |which: usize, share: f64| {
            let (motion, low, high) = motions()[which];
            at_most(motion.joint, motion.motion, low + share * (high - low))
        };
        let list: Vec<&Motion> = LIBRARY.exercises.values().map(AsRef::as_ref).collect();
        let chosen = list[exercise.index(list.len())];
        let first = limit(one, a);
        let second = match other_kind {
            0 => Limit::LegWeightBearing(WeightBearing::Kilograms(b * 60.0)),
            1 => muscles("calf"),
            2 => Limit::Drive { joint: Joint::Shoulder, motions: Vec::new(), forbidden: vec![Drive::Active, Drive::Resisted] },
            _ => limit(if two == one { (two + 1) % 9 } else { two }, b),
        };
        let setting = Setting::default();
        let loose = only(&[("first", first.clone())]);
        let strict = only(&[("first", first), ("second", second)]);
        let found = no_more(
            &verdict(chosen, Side::Left, &setting.case(&strict)),
            &verdict(chosen, Side::Left, &setting.case(&loose)),
        );
        if let Err(message) = found {
            prop_assert!(false, "{message}");
        }
    }

    #[test]
    fn less_weight_never_allows_more(exercise in any::<prop::sample::Index>(), a in 0.0..90.0f64, b in 0.0..90.0f64) {
        let list: Vec<&Motion> = LIBRARY.exercises.values().map(AsRef::as_ref).collect();
        let chosen = list[exercise.index(list.len())];
        let setting = Setting::default();
        let ask = |kg: f64| {
            let envelope = only(&[("weight", Limit::LegWeightBearing(WeightBearing::Kilograms(kg)))]);
            verdict(chosen, Side::Left, &setting.case(&envelope))
        };
        if let Err(message) = no_more(&ask(a.min(b)), &ask(a.max(b))) {
            prop_assert!(false, "{message}");
        }
    }

    /// What a limited verdict hands out is itself within: asked again with that value it needs no smaller one.
    #[test]
    fn a_limited_exercise_is_within_at_its_limit(which in 0usize..9, exercise in any::<prop::sample::Index>(), share in 0.0..1.0f64) {
        let (motion, low, high) = motions()[which];
        let list = moved_by(&motion);
        let chosen = list[exercise.index(list.len())];
        let envelope = only(&[("limit", at_most(motion.joint, motion.motion, low + share * (high - low)))]);
        let setting = Setting::default();
        let found = verdict(chosen, Side::Left, &setting.case(&envelope));
        if let Some(limit) = found.limit {
            let again = setting.ask_with(&envelope, &chosen.id, &[(limit.parameter.as_str(), limit.value)]);
            prop_assert_eq!(again.kind, Kind::Within, "{}: {:?}", chosen.id, again.reasons);
        }
    }
}
