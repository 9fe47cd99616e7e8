//! All texts of all languages: complete, in step with each other, plain, and free of promises.

mod common;

use std::collections::BTreeSet;

use common::{assert_whole, motions, postures, protocols, words};
use handrail_anatomy::{Device, Drive, Interval, Joint, LoadClass, Muscle, Side, Tissue, clinical_motions};
use handrail_motion::{LoadBasis, NotKnown};
use handrail_program::Kind;
use handrail_protocol::{ExposureOf, Goal, Limit};
use handrail_words::reading::{flesch_kincaid_grade, sentences, szigriszt, words as words_of};
use handrail_words::{Lang, Urgency, check_all, taboo};

/// Most words that one sentence of a patient text may have; longer ones are hard to keep in mind while moving.
const LONGEST: usize = 20;

#[test]
fn content_has_words_for_every_exercise_verb_and_fault_in_every_language() {
    let motions = motions();
    let problems = check_all(motions.iter());
    assert!(problems.0.is_empty(), "{} problems\n{problems}", problems.0.len());
    assert!(motions.len() > 60, "{}", motions.len());
}

#[test]
fn every_sentence_of_the_protocols_has_a_translation_and_none_is_left_over() {
    let protocols = protocols();
    let sentences: BTreeSet<&str> = protocols.iter().flat_map(|it| it.sentences()).collect();
    assert!(sentences.len() > 200, "{}", sentences.len());
    for lang in Lang::ALL.into_iter().filter(|it| *it != Lang::En) {
        let words = words(lang);
        let translated: BTreeSet<&str> = words.translated().collect();
        let missing: Vec<&&str> = sentences.difference(&translated).collect();
        let left_over: Vec<&&str> = translated.difference(&sentences).collect();
        assert!(missing.is_empty() && left_over.is_empty(), "missing {missing:#?}, left over {left_over:#?}");
        for text in sentences.iter().map(|it| words.said(it)) {
            assert_eq!((text.lang, taboo::found(lang, text.text)), (lang, vec![]), "{}", text.text);
        }
    }
}

#[test]
fn no_text_promises_or_reassures() {
    for lang in Lang::ALL {
        let words = words(lang);
        for key in words.keys() {
            let Some(text) = words.try_text(key, &[("side", Side::Left.into())]) else { continue };
            assert_eq!(taboo::found(lang, &text), Vec::<&str>::new(), "{key}: {text}");
        }
        for text in patient_corpus(lang) {
            assert_eq!(taboo::found(lang, &text), Vec::<&str>::new(), "{text}");
        }
    }
}

/// Everything that a patient may read: texts without values, and sentences put together from them.
fn patient_corpus(lang: Lang) -> Vec<String> {
    let words = words(lang);
    let mut out: Vec<String> = Vec::new();
    // Names and pieces are no sentences; they are read within the sentences below.
    let pieces = [
        "c-", "month", "weekday", "do-", "neutral-", "mark-", "point-", "span-", "joint-", "muscle-",
        "setting-", "tissue-",
    ];
    for key in words.keys().iter().filter(|key| !pieces.iter().any(|it| key.starts_with(it))) {
        out.extend(words.try_text(key, &[("side", Side::Left.into())]));
    }
    for protocol in protocols() {
        for restriction in &protocol.restrictions {
            out.push(words.limit_sentence(&restriction.limit, Side::Left));
        }
    }
    for &tissue in Tissue::ALL {
        for max in [0.0, 1.0] {
            let load = Limit::TissueLoad { tissue, max, class: None };
            let week = Limit::Exposure { tissue, per_week: max, of: ExposureOf::Peaks };
            out.extend([load, week].map(|it| words.limit_sentence(&it, Side::Left)));
        }
    }
    for id in words.exercise_ids().map(str::to_string).collect::<Vec<_>>() {
        let text = words.exercise(&id, Side::Right).unwrap();
        out.extend(text.all().map(str::to_string));
    }
    out
}

#[test]
#[expect(clippy::disallowed_macros, reason = "the measured levels are worth reading in the log")]
fn patients_can_read_it() {
    // Labels and titles would only make the average look better.
    let sentences_of = |lang| -> String {
        let all: Vec<String> =
            patient_corpus(lang).into_iter().filter(|it| it.ends_with(['.', '?', '!'])).collect();
        all.join("\n")
    };
    let (en, es) = (sentences_of(Lang::En), sentences_of(Lang::Es));
    let (grade, ease) = (flesch_kincaid_grade(&en), szigriszt(&es));
    println!(
        "English: grade {grade:.2} over {} words; Spanish: Szigriszt {ease:.1} over {} words",
        words_of(&en).count(),
        words_of(&es).count()
    );
    assert!(grade <= 6.0, "grade {grade:.2}");
    assert!(ease >= 65.0, "Szigriszt {ease:.1}");
}

#[test]
fn no_single_patient_text_is_far_harder_than_the_rest() {
    for lang in Lang::ALL {
        let mut hard: Vec<String> = Vec::new();
        for text in patient_corpus(lang) {
            for sentence in sentences(&text) {
                let count = words_of(sentence).count();
                if count > LONGEST {
                    hard.push(format!("{count} words: {sentence}"));
                }
            }
            // The formulas waver below a hundred words; on a few words they say nothing.
            if words_of(&text).count() >= 16 {
                let (grade, ease) = (flesch_kincaid_grade(&text), szigriszt(&text));
                if lang == Lang::En && grade > 7.0 || lang == Lang::Es && ease < 50.0 {
                    hard.push(format!("grade {grade:.1}, ease {ease:.1}: {text}"));
                }
            }
        }
        assert!(hard.is_empty(), "{}:\n{}", lang.id(), hard.join("\n"));
    }
}

#[test]
fn every_name_of_the_model_has_words() {
    for lang in Lang::ALL {
        let words = words(lang);
        for side in Side::BOTH {
            for motion in clinical_motions() {
                assert_whole(&words.motion_patient(motion.joint, motion.motion, side));
                assert_whole(&words.motion_on_side(motion.joint, motion.motion, side));
                assert!(
                    words.has(&format!("c-motion-{}", motion.motion.replace('_', "-"))),
                    "{}",
                    motion.motion
                );
            }
            for joint in Joint::ALL {
                assert_whole(&words.joint_on_side(joint, side));
                assert_whole(&words.joint_name(joint));
                assert_whole(&words.limb_of(joint, side));
            }
        }
        for &muscle in Muscle::ALL {
            assert_whole(&words.muscle_patient(muscle));
            assert_whole(&words.muscle_name(muscle));
        }
        for &tissue in Tissue::ALL {
            for side in Side::BOTH {
                assert_whole(&words.tissue_on_side(tissue, side));
                assert_whole(&words.tissue_name_on_side(tissue, side));
            }
        }
        for class in LoadClass::ALL {
            assert_whole(&words.load_class_name(class));
        }
        for why in NotKnown::ALL {
            assert_whole(&words.load_not_known(why));
        }
        for basis in LoadBasis::ALL {
            assert_whole(&words.basis_name(basis));
        }
        for kind in [Kind::Within, Kind::Limited, Kind::Refused] {
            assert_whole(&words.kind_name(kind));
        }
        assert_whole(&words.closing());
        for device in [Device::Splint, Device::Boot, Device::KneeBrace, Device::Sling, Device::AbductionSling]
        {
            assert_whole(&words.device_name(device));
        }
        for drive in Drive::ALL {
            assert_whole(&words.drive_name(drive));
        }
        for &goal in Goal::ALL {
            assert_whole(&words.goal_name(goal));
            assert_eq!(words.goal_by_id(goal.id()), words.goal_name(goal));
        }
        for &landmark in handrail_anatomy::Landmark::ALL {
            let key = format!("point-{}", landmark.id().replace('_', "-"));
            assert_whole(&words.text(&key, &[("side", Side::Left.into())]));
        }
    }
}

/// Names from content files fall back to themselves for a clinic's own content; the built-in content has words.
#[test]
fn every_name_of_the_content_has_words() {
    let slug = |id: &str| {
        let parts: Vec<String> = id
            .split(|c: char| !c.is_ascii_alphanumeric())
            .filter(|it| !it.is_empty())
            .map(str::to_lowercase)
            .collect();
        parts.join("-")
    };
    let mut keys: Vec<String> = postures().keys().map(|it| format!("posture-{}", slug(it))).collect();
    keys.extend(postures().values().map(|it| format!("place-{}", slug(&it.place))));
    for protocol in protocols() {
        keys.push(format!("operation-{}", slug(&protocol.id)));
        keys.extend(protocol.phases.iter().map(|it| format!("phase-{}", slug(&it.id))));
        for variant in &protocol.variants {
            keys.push(format!("c-variant-{}", slug(&variant.name)));
            keys.push(format!("c-question-{}", slug(&variant.name)));
            keys.extend(variant.choices.iter().map(|it| format!("c-choice-{}", slug(it))));
        }
        for restriction in &protocol.restrictions {
            match &restriction.limit {
                Limit::Device { setting, .. } if !setting.is_empty() => {
                    keys.push(format!("setting-{}", slug(setting)))
                }
                Limit::Activity(it) => {
                    keys.extend([format!("activity-{}", slug(it)), format!("c-activity-{}", slug(it))]);
                }
                _ => {}
            }
        }
    }
    keys.sort();
    keys.dedup();
    for lang in Lang::ALL {
        let words = words(lang);
        let missing: Vec<&String> = keys.iter().filter(|it| !words.has(it)).collect();
        assert!(missing.is_empty(), "{}: {missing:#?}", lang.id());
    }
}

#[test]
fn every_restriction_of_the_content_reads_whole_in_every_language() {
    for lang in Lang::ALL {
        let words = words(lang);
        for protocol in protocols() {
            for restriction in &protocol.restrictions {
                for side in Side::BOTH {
                    let text = words.limit_sentence(&restriction.limit, side);
                    assert_whole(&text);
                    assert!(text.ends_with(['.', ')']), "{text}");
                }
                assert_whole(&words.limit_on(&restriction.limit));
                assert_whole(&words.limit_value(&restriction.limit));
            }
        }
    }
}

#[test]
fn warnings_have_three_groups_that_name_a_number_and_know_the_operation() {
    for lang in Lang::ALL {
        let words = words(lang);
        for protocol in protocols() {
            let groups = words.warnings(&protocol.id);
            assert_eq!(groups.iter().map(|it| it.urgency).collect::<Vec<_>>(), Urgency::ALL);
            assert!(groups[0].action.contains("{emergency}"));
            assert!(groups[1].action.contains("{phone}"));
            // Signs of a failed repair come first among those of the same day.
            let own = words.text(&format!("warn-same-day-{}-1", protocol.id), &[]);
            assert_eq!(groups[1].items[0], own);
            assert!(groups.iter().all(|it| it.items.len() >= 5), "{}", protocol.id);
        }
        // An operation nobody has described gets the signs of arm and leg.
        let unknown = words.warnings("hip-replacement");
        let (leg, arm) = (words.warnings("leg"), words.warnings("arm"));
        for item in leg[0].items.iter().chain(&arm[0].items) {
            assert!(unknown[0].items.contains(item), "{item}");
        }
    }
}

#[test]
fn standing_texts_are_there() {
    for lang in Lang::ALL {
        let words = words(lang);
        assert!(words.stop_rules().len() >= 6);
        assert!(words.stop_rules().iter().any(|it| it.contains("{emergency}")));
        assert!(words.stop_rules().iter().any(|it| it.contains("{phone}")));
        assert!(words.not_checked().len() >= 5 && words.not_checked_clinician().len() >= 5);
        assert!(!words.basis_notes().is_empty());
        assert_whole(&words.surgeon_first());
        assert_whole(&words.draft_notice());
        assert_whole(&words.warnings_intro());
    }
}

#[test]
fn words_can_be_shared_between_threads() {
    fn is_shared<T: Send + Sync>() {}
    is_shared::<handrail_words::Words>();
}

#[test]
fn a_missing_text_or_value_is_seen() {
    let words = words(Lang::En);
    assert_eq!(words.text("no-such-key", &[]), "[no words: no-such-key]");
    assert_eq!(words.text("degrees", &[]), "[no words: degrees]");
}

#[test]
fn bounds_are_rounded_outwards_and_an_order_names_its_neighbours() {
    use handrail_anatomy::LoadUnit::{BodyWeights, PercentMvic};
    let (en, es) = (words(Lang::En), words(Lang::Es));
    let it = Interval { low: 0.316, high: 0.5201 };
    assert_eq!(en.load_bounds(it, BodyWeights), "0.31 to 0.53 BW");
    assert_eq!(es.load_bounds(it, BodyWeights), "0,31 a 0,53 PC");
    // A stated bound stays what it is, whatever its last bits say.
    let it = Interval { low: 15.0 - 1e-12, high: 20.0 + 1e-12 };
    assert_eq!(en.load_bounds(it, PercentMvic), "15 to 20 % MVIC");
    assert_eq!(en.load_bounds(Interval::default(), BodyWeights), "0 BW");
    let week = Interval { low: 120.9, high: 230.1 };
    assert_eq!(en.exposure_bounds(week, BodyWeights, ExposureOf::Impulse), "120 to 231 BW·s");
    let small = Interval { low: 0.216, high: 0.3515 };
    assert_eq!(es.exposure_bounds(small, BodyWeights, ExposureOf::Peaks), "0,21 a 0,36 PC");
    let name = |it: &str| vec![it.to_string()];
    assert_eq!(en.load_order(&name("quad-set"), &[], Side::Left), "more than “Press the knee down”");
    let between = es.load_order(&name("quad-set"), &name("own-exercise"), Side::Left);
    assert!(between.starts_with("más que «") && between.ends_with("menos que «own-exercise»"), "{between}");
    assert!(en.load_order(&[], &name("quad-set"), Side::Left).starts_with("less than “"));
}
