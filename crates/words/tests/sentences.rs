//! Sentences read aloud: one snapshot for each kind and language, to be reviewed like prose.

mod common;

use std::fmt::Write;
use std::sync::Arc;

use common::{assert_whole, motions, words};
use handrail_anatomy::{
    Body, Device, Drive, Joint, Landmark, LoadClass, Muscle, Person, Position, SegmentTable, Sex, Side,
    Tissue, clinical_motion, muscles::muscle_group,
};
use handrail_motion::{Along, Home, NotKnown, Parameters, Repetition, SolveError, solve};
use handrail_program::verdict::LandmarkCue;
use handrail_program::{
    Amount, Care, Dose, Kind, MoveKind, MoveStep, Reason, ReasonKind, SolvedLimit, Verdict,
};
use handrail_protocol::{
    ActNeeded, Beyond, Blocked, Change, ChangeWhat, ExposureOf, InForce, Known, Limit, Loading, Need, Note,
    Status, Superseded, Until, WeightBearing, Why,
};
use handrail_words::{Lang, Words};
use jiff::civil::date;

fn motion_limit(joint: Joint, motion: &str, max_deg: f64) -> Limit {
    let motion = clinical_motion(joint, motion).unwrap();
    Limit::Motion { motion, max_deg, drives: Drive::ALL.to_vec(), loading: Loading::Any }
}

fn limits() -> Vec<Limit> {
    let of = |joint, motion: &str| clinical_motion(joint, motion).unwrap();
    let mut out = vec![
        Limit::LegWeightBearing(WeightBearing::None),
        Limit::LegWeightBearing(WeightBearing::Kilograms(20.0)),
        Limit::LegWeightBearing(WeightBearing::PercentBodyWeight(50.0)),
        Limit::LegWeightBearing(WeightBearing::AsTolerated),
        Limit::LegWeightBearing(WeightBearing::Full),
        Limit::ArmWeightBearing(WeightBearing::None),
        Limit::ArmWeightBearing(WeightBearing::Kilograms(2.2)),
        Limit::ArmWeightBearing(WeightBearing::PercentBodyWeight(10.0)),
        Limit::ArmWeightBearing(WeightBearing::AsTolerated),
        Limit::ArmWeightBearing(WeightBearing::Full),
        motion_limit(Joint::Ankle, "dorsiflexion", 0.0),
        motion_limit(Joint::Ankle, "dorsiflexion", -10.0),
        motion_limit(Joint::Ankle, "dorsiflexion", 10.0),
        motion_limit(Joint::Knee, "flexion", 90.0),
        motion_limit(Joint::Knee, "extension", -30.0),
        motion_limit(Joint::Shoulder, "elevation", 90.0),
        motion_limit(Joint::Shoulder, "extension", 0.0),
        motion_limit(Joint::Shoulder, "external_rotation", 22.5),
        motion_limit(Joint::Neck, "rotation_left", 1.0),
    ];
    out.push(Limit::Motion {
        motion: of(Joint::Shoulder, "elevation"),
        max_deg: 155.0,
        drives: vec![Drive::Passive, Drive::Assisted],
        loading: Loading::Any,
    });
    out.push(Limit::Motion {
        motion: of(Joint::Shoulder, "elevation"),
        max_deg: 120.0,
        drives: vec![Drive::Isometric, Drive::Active, Drive::Resisted],
        loading: Loading::Any,
    });
    for loading in [Loading::Loaded, Loading::Unloaded] {
        out.push(Limit::Motion {
            motion: of(Joint::Knee, "flexion"),
            max_deg: 60.0,
            drives: vec![],
            loading,
        });
    }
    let ways: [&[Drive]; 6] = [
        &Drive::ALL,
        &[Drive::Assisted, Drive::Isometric, Drive::Active, Drive::Resisted],
        &[Drive::Isometric, Drive::Active, Drive::Resisted],
        &[Drive::Isometric, Drive::Resisted],
        &[Drive::Resisted],
        &[Drive::Passive],
    ];
    for forbidden in ways {
        out.push(Limit::Drive { joint: Joint::Ankle, motions: vec![], forbidden: forbidden.to_vec() });
    }
    out.push(Limit::Drive {
        joint: Joint::Elbow,
        motions: vec![of(Joint::Elbow, "flexion")],
        forbidden: vec![Drive::Assisted, Drive::Isometric, Drive::Active, Drive::Resisted],
    });
    for (muscles, allowed) in [
        (muscle_group("calf").unwrap(), vec![]),
        (muscle_group("rotator_cuff").unwrap(), vec![Drive::Assisted]),
        (vec![Muscle::Biceps], vec![]),
        (vec![Muscle::Hamstrings, Muscle::HipAdductors], vec![Drive::Active]),
    ] {
        out.push(Limit::Muscle { muscles, allowed });
    }
    for (device, off_for_exercise, worn_asleep, setting) in [
        (Device::Splint, false, true, "plantarflexion, about 20 degrees"),
        (Device::Boot, true, true, "2 cm heel lift"),
        (Device::KneeBrace, true, false, "unlocked 0-90 degrees"),
        (Device::Sling, false, true, ""),
        (Device::AbductionSling, false, true, "two wedges, as marked"),
    ] {
        out.push(Limit::Device {
            device,
            holds: vec![(of(Joint::Ankle, "plantarflexion"), 20.0)],
            off_for_exercise,
            worn_asleep,
            setting: setting.into(),
        });
    }
    out.extend(POSITIONS.map(Limit::Position));
    let edge = |joint, motion: &str, deg| Beyond { motion: of(joint, motion), deg };
    out.push(Limit::Combination(vec![
        edge(Joint::Ankle, "inversion", 5.0),
        edge(Joint::Ankle, "dorsiflexion", -5.0),
    ]));
    out.push(Limit::Combination(vec![
        edge(Joint::Hip, "flexion", 90.0),
        edge(Joint::Hip, "adduction", 0.0),
        edge(Joint::Hip, "internal_rotation", 0.0),
    ]));
    out.push(Limit::Resistance {
        joint: Joint::Knee,
        motions: vec![of(Joint::Knee, "flexion")],
        max_kg: 0.0,
    });
    out.push(Limit::Resistance { joint: Joint::Shoulder, motions: vec![], max_kg: 2.2 });
    out.push(Limit::Impact);
    out.extend(ceilings());
    out.push(Limit::Activity("driving".into()));
    out.push(Limit::Activity("horse_riding".into()));
    out
}

fn ceilings() -> Vec<Limit> {
    let load = |tissue, max| Limit::TissueLoad { tissue, max, class: None };
    let week = |tissue, per_week, of| Limit::Exposure { tissue, per_week, of };
    let mut out: Vec<Limit> = Tissue::ALL.iter().map(|&tissue| load(tissue, 2.25)).collect();
    out.push(load(Tissue::AchillesTendon, 0.0));
    let classes = LoadClass::ALL.map(|it| Limit::tissue_load_class(Tissue::Supraspinatus, it).unwrap());
    out.extend(classes);
    out.push(week(Tissue::AchillesTendon, 400.0, ExposureOf::Peaks));
    out.push(week(Tissue::Hamstrings, 1200.0, ExposureOf::Impulse));
    out.push(week(Tissue::Supraspinatus, 3000.0, ExposureOf::Impulse));
    out.push(week(Tissue::PatellarTendon, 0.0, ExposureOf::Peaks));
    out
}

const POSITIONS: [Position; 15] = [
    Position::Seated,
    Position::LongSitting,
    Position::Supine,
    Position::Prone,
    Position::SideLyingOperatedUp,
    Position::SideLyingOperatedDown,
    Position::Standing,
    Position::SingleLegStanceOperated,
    Position::SingleLegStanceOther,
    Position::Kneeling,
    Position::HandsAndKnees,
    Position::Floor,
    Position::WeightThroughArm,
    Position::HandBehindBack,
    Position::LeaningForward,
];

/// One snapshot per language of what `tell` says; no line may have a hole.
fn snapshot(name: &str, tell: impl Fn(&Words) -> Vec<String>) {
    for lang in Lang::ALL {
        let lines = tell(&words(lang));
        for line in lines.iter().flat_map(|it| it.lines()) {
            assert_whole(line.trim_start_matches("  "));
        }
        insta::assert_snapshot!(format!("{name}-{}", lang.id()), lines.join("\n"));
    }
}

#[test]
fn limits_for_the_patient() {
    snapshot("limits-patient", |words| {
        limits().iter().map(|it| words.limit_sentence(it, Side::Left)).collect()
    });
}

#[test]
fn sides_agree_in_gender() {
    let es = words(Lang::Es);
    let leg = es.limit_sentence(&Limit::LegWeightBearing(WeightBearing::None), Side::Right);
    let foot = es.limit_sentence(&motion_limit(Joint::Ankle, "dorsiflexion", 0.0), Side::Right);
    assert_eq!(leg, "No ponga peso en la pierna derecha.");
    assert!(foot.starts_with("No suba la punta del pie derecho más allá"), "{foot}");
}

fn in_force(limit: Limit, status: Status) -> InForce {
    InForce {
        id: "dorsiflexion-neutral".into(),
        limit,
        status,
        since: date(2026, 11, 2),
        until: Until {
            earliest: Some(date(2026, 12, 14)),
            act: ActNeeded::Release("dorsiflexion-neutral".into()),
            criteria: vec!["heel-rise".into()],
        },
        overdue: false,
        source: "Willits 2010".into(),
        known: Some(Known::Read),
        basis: None,
        by: None,
        document: None,
        note: None,
        superseded: vec![],
        unanswered: vec![],
    }
}

#[test]
fn limits_for_the_clinician() {
    snapshot("limits-clinician", |words| {
        let mut out: Vec<String> = limits()
            .into_iter()
            .map(|it| words.limit_line_clinician(&in_force(it, Status::Assumed)))
            .collect();
        let mut order = in_force(Limit::LegWeightBearing(WeightBearing::None), Status::Ordered);
        order.by = Some("Dr. Ibarra".into());
        order.document = Some("letter of 2 November".into());
        order.source = "letter of 2 November".into();
        order.known = None;
        order.overdue = true;
        order.superseded = [
            Why::Replaced,
            Why::OrderBeatsProtocol,
            Why::OrderBeatsProtocolInPart,
            Why::StricterHolds,
            Why::SameLimit,
        ]
        .map(|why| Superseded {
            id: "weight-20-kg".into(),
            limit: Limit::LegWeightBearing(WeightBearing::Kilograms(20.0)),
            why,
            source: "Willits 2010".into(),
        })
        .into();
        out.push(words.limit_line_clinician(&order));
        let mut kept = in_force(Limit::Impact, Status::Confirmed);
        kept.by = Some("A. Brandt, PT".into());
        kept.document = Some("call of 3 November".into());
        kept.unanswered = vec!["graft".into(), "meniscus".into()];
        kept.known = Some(Known::Practice);
        kept.until = Until { earliest: None, act: ActNeeded::BeginPhase("run".into()), criteria: vec![] };
        out.push(words.limit_line_clinician(&kept));
        out
    });
}

#[test]
fn until_changes_notes_and_missing_facts() {
    snapshot("envelope", |words| {
        let day = date(2026, 12, 14);
        let acts =
            [ActNeeded::None, ActNeeded::Release("boot-raised".into()), ActNeeded::BeginPhase("load".into())];
        let mut out = Vec::new();
        for act in &acts {
            for earliest in [Some(day), None] {
                let until = Until { earliest, act: act.clone(), criteria: vec![] };
                out.push(words.until_sentence(&until));
                out.push(words.until_clinician(&until));
            }
        }
        let until = Until { earliest: Some(day), act: acts[1].clone(), criteria: vec!["heel-rise".into()] };
        out.push(words.until_sentence(&until));
        let limit = motion_limit(Joint::Ankle, "dorsiflexion", 10.0);
        let whats = [
            ChangeWhat::Starts { id: "no-impact".into(), limit: Limit::Impact },
            ChangeWhat::Steps { from: "dorsiflexion-neutral".into(), to: "dorsiflexion-10".into(), limit },
            ChangeWhat::Ends { id: "no-floor".into() },
            ChangeWhat::Phase { id: "load".into() },
        ];
        let needs =
            [Need::Criterion("heel-rise".into()), Need::Act(acts[1].clone()), Need::Act(acts[2].clone())];
        for (index, what) in whats.into_iter().enumerate() {
            let needs = if index == 0 { vec![] } else { needs[..index].to_vec() };
            out.push(words.change_sentence(&Change { on: day, due: index % 2 == 1, what, needs }));
        }
        let (order, restriction) = ("order-1".to_string(), "weight-none".to_string());
        for note in [
            Note::Draft,
            Note::PhaseWaits { by_calendar: "load".into() },
            Note::PhaseEarly { phase: "load".into(), planned: day },
            Note::Contradiction { holds: order.clone(), yields: "order-2".into() },
            Note::BothHold { one: order.clone(), other: restriction.clone() },
            Note::OrderLooser { order: order.clone(), restriction: restriction.clone() },
            Note::ProtocolStricter { order, restriction: restriction.clone() },
            Note::ReleaseWithoutEffect { restriction },
        ] {
            out.push(words.note_sentence(&note));
        }
        for (variant, choices, joints) in [
            ("graft", vec!["hamstring", "patellar_tendon", "allograft"], vec![Joint::Knee, Joint::Hip]),
            ("own_question", vec!["one"], vec![]),
        ] {
            out.push(words.blocked_sentence(&Blocked {
                variant: variant.into(),
                question: "Which one?".into(),
                choices: choices.into_iter().map(Into::into).collect(),
                depends: vec!["no-hamstrings".into()],
                joints,
            }));
        }
        for status in [Status::Ordered, Status::Confirmed, Status::Assumed] {
            out.push(words.status_word(status));
        }
        out
    });
}

fn reason(kind: ReasonKind) -> Reason {
    Reason {
        kind,
        restriction: "dorsiflexion-neutral".into(),
        source: "Willits 2010".into(),
        status: Some(Status::Assumed),
        joint: Some(Joint::Ankle),
        motion: Some("dorsiflexion"),
        limit: Some(0.0),
        computed: Some(10.94),
        unit: "deg",
        at: Some(2.0),
    }
}

#[test]
fn reasons() {
    snapshot("reasons", |words| {
        let kinds = [
            ReasonKind::Motion,
            ReasonKind::Margin,
            ReasonKind::Drive(Drive::Active),
            ReasonKind::Muscle(Muscle::Soleus),
            ReasonKind::Device(Device::Boot),
            ReasonKind::Position(Position::Kneeling),
            ReasonKind::Combination,
            ReasonKind::Impact,
            ReasonKind::Activity("stairs".into()),
            ReasonKind::MissingVariant("graft".into()),
            ReasonKind::CannotBeDone(SolveError::Unreachable {
                key: 1,
                contact: "working.sole".into(),
                by: 0.034,
            }),
            ReasonKind::CannotBeDone(SolveError::Implausible {
                coordinate: "knee_flexion".into(),
                deg: 171.0,
            }),
            ReasonKind::NotDescribed("effort of soleus on the operated side".into()),
        ];
        let mut all: Vec<Reason> = kinds.map(reason).into();
        let bare = |kind| Reason { joint: None, motion: None, ..reason(kind) };
        for (limit, computed, unit) in [(0.0, 34.2, "kg"), (50.0, 100.0, "%BW")] {
            let kind = ReasonKind::WeightBearing;
            all.push(Reason { limit: Some(limit), computed: Some(computed), unit, ..bare(kind) });
        }
        let ordered = Reason {
            status: Some(Status::Ordered),
            restriction: "order-1".into(),
            ..reason(ReasonKind::Motion)
        };
        all.push(Reason { source: "letter of 2 November".into(), ..ordered });
        all.push(Reason {
            joint: Some(Joint::Shoulder),
            motion: None,
            limit: Some(0.0),
            computed: Some(2.0),
            unit: "kg",
            ..reason(ReasonKind::Resistance)
        });
        let unsourced = ReasonKind::MissingVariant("own_fact".into());
        all.push(Reason {
            restriction: String::new(),
            source: String::new(),
            status: None,
            motion: None,
            ..reason(unsourced)
        });
        for (tissue, limit, computed) in [
            (Tissue::AchillesTendon, 1.2, 1.783),
            (Tissue::LumbarSpine, 2.0, 2.4),
            (Tissue::AnteriorCruciate, 3.0, 3.64),
            (Tissue::Supraspinatus, 15.0, 40.0),
        ] {
            let kind = ReasonKind::TissueLoad(tissue);
            let unit = tissue.unit().id();
            all.push(Reason { limit: Some(limit), computed: Some(computed), unit, ..bare(kind) });
        }
        all.extend(NotKnown::ALL.map(|it| bare(ReasonKind::TissueLoadNotKnown(Tissue::AchillesTendon, it))));
        let mut out: Vec<String> = all.iter().map(|it| words.reason_sentence(it, Side::Left)).collect();
        for (tissue, of, computed, limit) in [
            (Tissue::AchillesTendon, ExposureOf::Peaks, 512.4, 400.0),
            (Tissue::Supraspinatus, ExposureOf::Impulse, 3999.6, 3000.0),
        ] {
            out.push(words.exposure_reason(tissue, of, computed, limit, Side::Left));
        }
        out.push(words.tight_clinician(0.034));
        out.push(words.tight_patient());
        out
    });
}

#[test]
fn a_reason_tells_both_numbers_the_time_and_the_source() {
    let text = words(Lang::En).reason_sentence(&reason(ReasonKind::Motion), Side::Left);
    assert!(text.starts_with("Left ankle dorsiflexion reaches 10.9 deg at 2.0 s; limit 0 deg ("), "{text}");
    assert!(text.contains("Willits 2010") && text.contains("not confirmed"), "{text}");
}

#[test]
fn a_tissue_load_tells_its_upper_bound_its_ceiling_and_its_unit() {
    let load = Reason {
        limit: Some(1.2),
        computed: Some(1.783),
        unit: "BW",
        ..reason(ReasonKind::TissueLoad(Tissue::AchillesTendon))
    };
    let en = words(Lang::En).reason_sentence(&load, Side::Left);
    assert!(
        en.starts_with(
            "Left Achilles tendon takes up to 1.78 BW in one repetition (upper bound); ceiling 1.2 BW"
        ),
        "{en}"
    );
    let es = words(Lang::Es).reason_sentence(&load, Side::Left);
    assert!(es.contains("1,78 PC") && es.contains("1,2 PC"), "{es}");
    let spine = reason(ReasonKind::TissueLoadNotKnown(Tissue::LumbarSpine, NotKnown::Impact));
    let en = words(Lang::En).reason_sentence(&spine, Side::Left);
    assert!(en.starts_with("Lumbar spine stands under a ceiling"), "{en}");
}

#[test]
fn a_ceiling_tells_the_patient_no_number_and_no_reassurance() {
    for lang in Lang::ALL {
        for limit in ceilings() {
            let text = words(lang).limit_sentence(&limit, Side::Left);
            assert!(!text.contains(|it: char| it.is_ascii_digit()), "{text}");
            assert_eq!(handrail_words::taboo::found(lang, &text), Vec::<&str>::new(), "{text}");
        }
    }
}

#[test]
fn moves() {
    snapshot("moves", |words| {
        let kinds = [
            MoveKind::DeviceOn(Device::Boot),
            MoveKind::DeviceOff(Device::Boot),
            MoveKind::DeviceOn(Device::Splint),
            MoveKind::DeviceOff(Device::Splint),
            MoveKind::DeviceOn(Device::KneeBrace),
            MoveKind::DeviceOff(Device::KneeBrace),
            MoveKind::DeviceOn(Device::Sling),
            MoveKind::DeviceOff(Device::Sling),
            MoveKind::DeviceOn(Device::AbductionSling),
            MoveKind::DeviceOff(Device::AbductionSling),
            MoveKind::StandUp { from: "chair".into() },
            MoveKind::WalkTo { spot: "bed".into() },
            MoveKind::WalkTo { spot: "standing".into() },
            MoveKind::SitDown { on: "bed".into() },
            MoveKind::LieDown,
            MoveKind::SitUp,
            MoveKind::RollToSide { up: Side::Left },
            MoveKind::RollToBack,
            MoveKind::RollToFront,
            MoveKind::Settle { posture: "hook_lying".into() },
            MoveKind::Fetch("towel".into()),
        ];
        let feet = [Care::NoWeightOnLeg(Side::Left), Care::DeviceOn(Device::Boot), Care::HoldOn];
        let part = [Care::PartWeightOnLeg(Side::Left), Care::DeviceOn(Device::KneeBrace), Care::HoldOn];
        let arm = [Care::DeviceOn(Device::Sling), Care::HoldOn, Care::NoPushWithArm(Side::Left)];
        let mut out = Vec::new();
        for kind in kinds {
            let on_feet =
                matches!(kind, MoveKind::StandUp { .. } | MoveKind::WalkTo { .. } | MoveKind::SitDown { .. });
            let cares: Vec<Vec<Care>> = match kind {
                _ if on_feet => vec![feet.into(), part.into(), arm.into()],
                MoveKind::SitUp | MoveKind::LieDown => vec![vec![], vec![Care::NoPushWithArm(Side::Left)]],
                _ => vec![vec![]],
            };
            for care in cares {
                let step = MoveStep {
                    kind: kind.clone(),
                    from: String::new(),
                    to: String::new(),
                    care,
                    seconds: 10.0,
                };
                let mut text = words.move_title(&step.kind);
                for line in words.move_instructions(&step) {
                    write!(text, "\n  {line}").unwrap();
                }
                out.push(text);
            }
        }
        for care in feet.into_iter().chain(part).chain(arm) {
            out.push(words.care_sentence(care));
        }
        out
    });
}

fn solved(id: &str) -> Repetition {
    let person = Person { stature: 1.68, mass: 70.0, sex: Sex::Female, measured: Default::default() };
    let body = Body::new(person, SegmentTable::Winter).unwrap();
    let motion = motions().into_iter().find(|it| it.id == id).unwrap();
    solve(&motion, &motion.core, &body, &Home::usual(1.68), Side::Left, &Parameters::new()).unwrap()
}

#[test]
fn doses() {
    let (slide, hang) = (solved("seated-heel-slide"), solved("pendulum"));
    snapshot("doses", |words| {
        let dose = Dose { sets: 2, amount: Amount::Reps(10), rest: 30.0, times_a_day: 2, days_a_week: 5 };
        let long =
            Dose { sets: 1, amount: Amount::Seconds(45.0), rest: 30.0, times_a_day: 1, days_a_week: 7 };
        let mut out = Vec::new();
        for (dose, repetition) in [
            (dose, &slide),
            (long, &hang),
            (Dose { days_a_week: 1, amount: Amount::Reps(1), ..dose }, &slide),
        ] {
            out.extend(
                words
                    .dose_lines(&dose, repetition)
                    .into_iter()
                    .map(|(title, text)| format!("{title}: {text}")),
            );
        }
        out
    });
}

fn limited(
    unit: &str,
    value: f64,
    cue: Option<LandmarkCue>,
    repetition: &Arc<Repetition>,
) -> (SolvedLimit, Verdict) {
    let limit = SolvedLimit {
        parameter: "slide".into(),
        value,
        unit: unit.into(),
        binds: "dorsiflexion-neutral".into(),
        cue,
    };
    let verdict = Verdict {
        exercise: "seated-heel-slide".into(),
        side: Side::Left,
        kind: Kind::Limited,
        reasons: vec![],
        limit: Some(limit.clone()),
        parameters: Parameters::new(),
        repetition: Some(repetition.clone()),
        waived: vec![],
    };
    (limit, verdict)
}

fn cue(point: Landmark, against: Landmark, along: Along, offset: f64) -> Option<LandmarkCue> {
    Some(LandmarkCue { point, against, along, offset })
}

#[test]
fn cues() {
    let slide = Arc::new(solved("seated-heel-slide"));
    snapshot("cues", |words| {
        let mut out = Vec::new();
        // The ankle slides back towards and under the knee; seen from the ankle, the knee goes forward.
        for offset in [0.112, 0.096, 0.031, 0.0004, -0.024, -0.096] {
            for (point, against) in
                [(Landmark::AnkleCentre, Landmark::KneeCentre), (Landmark::KneeCentre, Landmark::AnkleCentre)]
            {
                let (limit, verdict) = limited("m", 0.1, cue(point, against, Along::Forward, offset), &slide);
                out.push(format!("{offset:+.4} {}: {}", point.id(), words.limit_cue(&limit, &verdict)));
            }
        }
        for along in [Along::Up, Along::Outward] {
            for offset in [0.052, -0.052, 0.0] {
                let (limit, verdict) =
                    limited("m", 0.1, cue(Landmark::KneeCentre, Landmark::Heel, along, offset), &slide);
                out.push(format!("{along:?} {offset:+}: {}", words.limit_cue(&limit, &verdict)));
            }
        }
        for (unit, value) in [("deg", 31.9), ("m", 0.125), ("kg", 2.25)] {
            let (limit, verdict) = limited(unit, value, None, &slide);
            out.push(words.limit_cue(&limit, &verdict));
        }
        out
    });
}

#[test]
fn a_cue_never_lets_the_patient_pass_the_limit() {
    let slide = Arc::new(solved("seated-heel-slide"));
    let words = words(Lang::En);
    let tell = |offset| {
        let cue = cue(Landmark::AnkleCentre, Landmark::KneeCentre, Along::Forward, offset);
        let (limit, verdict) = limited("m", 0.1, cue, &slide);
        words.limit_cue(&limit, &verdict)
    };
    // The ankle comes back: it must stop farther in front than at the limit, or less far behind.
    assert!(tell(0.112).contains("still in front of") && tell(0.112).contains("12 cm"), "{}", tell(0.112));
    assert!(tell(-0.038).contains("behind") && tell(-0.038).contains("3 cm"), "{}", tell(-0.038));
    assert!(tell(-0.004).contains("in line with"), "{}", tell(-0.004));
}

#[test]
fn warnings() {
    snapshot("warnings", |words| {
        let mut out = Vec::new();
        for what in ["achilles-repair", "acl-reconstruction", "rotator-cuff-repair"] {
            for group in words.warnings(what) {
                out.push(format!("{what}: {} / {}", group.title, group.action));
                out.extend(group.items.into_iter().map(|it| format!("  {it}")));
            }
        }
        out
    });
}
