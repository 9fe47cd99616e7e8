//! Random persons, homes, days and orders, from a seed.

use std::collections::BTreeMap;

use fastrand::Rng;
use handrail_anatomy::{
    Body, Device, Drive, Joint, LoadUnit, Muscle, Person, Position, SegmentTable, Sex, Side, Tissue,
    clinical_motions,
};
use handrail_motion::Home;
use handrail_protocol::{
    Act, ActKind, Beyond, Envelope, ExposureOf, Limit, Loading, Order, Orders, Protocol, WeightBearing,
    envelope,
};
use jiff::civil::{Date, date};

/// One random case.
pub struct RandomCase {
    /// Body.
    pub body: Body,
    /// Home.
    pub home: Home,
    /// Limits.
    pub envelope: Envelope,
}

/// Draws a case; protocols take turns, orders are laid over them.
pub fn draw(random: &mut Rng, protocols: &BTreeMap<String, Protocol>) -> RandomCase {
    let stature = 1.45 + 0.55 * random.f64();
    let person = Person {
        stature,
        mass: 45.0 + 75.0 * random.f64(),
        sex: if random.bool() { Sex::Female } else { Sex::Male },
        measured: Default::default(),
    };
    let table = if random.bool() { SegmentTable::Winter } else { SegmentTable::DeLeva };
    let body = Body::new(person, table).expect("drawn within the plausible range");
    let usual = Home::usual(stature);
    let home = Home {
        seat_height: usual.seat_height + 0.12 * (random.f64() - 0.5),
        bed_height: 0.40 + 0.25 * random.f64(),
        table_height: usual.table_height,
        step_height: 0.10 + 0.10 * random.f64(),
    };
    let names: Vec<&String> = protocols.keys().collect();
    let protocol = &protocols[names[random.usize(..names.len())]];
    let orders = orders(random, protocol);
    let on = orders.surgery.saturating_add(jiff::Span::new().days(random.i64(0..=180)));
    let envelope = envelope(protocol, &orders, on).expect("drawn orders fit the protocol");
    RandomCase { body, home, envelope }
}

fn orders(random: &mut Rng, protocol: &Protocol) -> Orders {
    let side = if random.bool() { Side::Left } else { Side::Right };
    let surgery: Date = date(2026, 1, 5);
    let mut out = Orders::new(surgery, side);
    for variant in &protocol.variants {
        // Now and then a fact is missing.
        if random.u8(..) > 25 {
            let answer = variant.choices[random.usize(..variant.choices.len())].clone();
            out.variants.insert(variant.name.clone(), answer);
        }
    }
    let day = |random: &mut Rng| surgery.saturating_add(jiff::Span::new().days(random.i64(0..=60)));
    for number in 0..random.usize(0..4) {
        let from = day(random);
        out.orders.push(Order {
            id: format!("drawn-{number}"),
            limit: limit(random),
            replaces: None,
            by: "drawn".into(),
            on: from,
            document: "drawn".into(),
            from,
            until: None,
            note: None,
        });
    }
    for phase in protocol.phases.iter().skip(1) {
        if random.bool() {
            let week = i64::from(phase.from_week);
            out.acts.push(act(ActKind::BeginPhase { phase: phase.id.clone() }, surgery, week * 7));
        }
    }
    for restriction in &protocol.restrictions {
        if random.u8(..) < 60 {
            let week = i64::from(restriction.to_week.unwrap_or(restriction.from_week + 2));
            out.acts.push(act(ActKind::Release { restriction: restriction.id.clone() }, surgery, week * 7));
        }
    }
    out
}

fn act(kind: ActKind, surgery: Date, days: i64) -> Act {
    Act {
        kind,
        by: "drawn".into(),
        on: surgery.saturating_add(jiff::Span::new().days(days)),
        document: Some("drawn".into()),
        reason: None,
    }
}

fn limit(random: &mut Rng) -> Limit {
    let motions = clinical_motions();
    let motion = motions[random.usize(..motions.len())];
    let drives: Vec<Drive> = Drive::ALL.into_iter().filter(|_| random.u8(..) > 60).collect();
    match random.u8(0..14) {
        0 => Limit::LegWeightBearing(WeightBearing::None),
        1 => Limit::LegWeightBearing(WeightBearing::Kilograms(random.f64() * 60.0)),
        2 => Limit::ArmWeightBearing(WeightBearing::None),
        3 => {
            let joint = Joint::ALL[random.usize(..Joint::ALL.len())];
            Limit::Drive { joint, motions: Vec::new(), forbidden: vec![Drive::Active, Drive::Resisted] }
        }
        4 => Limit::Muscle {
            muscles: vec![Muscle::ALL[random.usize(..Muscle::ALL.len())]],
            allowed: Vec::new(),
        },
        5 => {
            let positions = [Position::Prone, Position::Standing, Position::LeaningForward, Position::Seated];
            Limit::Position(positions[random.usize(..positions.len())])
        }
        6 => {
            let other = motions[random.usize(..motions.len())];
            Limit::Combination(vec![
                Beyond { motion, deg: random.f64() * 40.0 },
                Beyond { motion: other, deg: random.f64() * 40.0 },
            ])
        }
        7 => Limit::Device {
            device: Device::Boot,
            holds: Vec::new(),
            off_for_exercise: random.bool(),
            worn_asleep: true,
            setting: "drawn".into(),
        },
        8..=9 => {
            let tissue = tissue(random);
            Limit::TissueLoad { tissue, max: ceiling(random, tissue), class: None }
        }
        10 => Limit::Exposure {
            tissue: tissue(random),
            per_week: 10.0 + 1000.0 * random.f64(),
            of: if random.bool() { ExposureOf::Peaks } else { ExposureOf::Impulse },
        },
        _ => Limit::Motion {
            motion,
            max_deg: -30.0 + 140.0 * random.f64(),
            drives: if drives.is_empty() { Drive::ALL.to_vec() } else { drives },
            loading: [Loading::Any, Loading::Loaded, Loading::Unloaded][random.usize(..3)],
        },
    }
}

fn tissue(random: &mut Rng) -> Tissue {
    Tissue::ALL[random.usize(..Tissue::ALL.len())]
}

/// Forces from a resting limb's to a hop's, evenly over their orders of magnitude; strains and activities over
/// what is published.
fn ceiling(random: &mut Rng, tissue: Tissue) -> f64 {
    match tissue.unit() {
        LoadUnit::BodyWeights => 0.05 * libm::pow(160.0, random.f64()),
        LoadUnit::PercentStrain => 5.0 * random.f64(),
        LoadUnit::PercentMvic => 100.0 * random.f64(),
    }
}
