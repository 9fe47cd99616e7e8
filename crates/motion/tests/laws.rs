//! Laws that hold for every exercise: mirror, weight, and what the trade knows of foot, shin and ankle.

mod common;

use common::*;
use handrail_anatomy::{Coord, Landmark, N_COORDS, Position, Sex, Side};
use handrail_motion::posture::Surface;
use handrail_motion::{Bears, Home, Parameters, solve};
use proptest::prelude::*;

/// Left working is right working seen in a mirror.
#[test]
fn left_is_the_mirror_image_of_right() {
    let body = body(1.71, 73.0, Sex::Female);
    for motion in LIBRARY.exercises.values() {
        let right = solved(motion, &body, Side::Right);
        let left = solved(motion, &body, Side::Left);
        assert_eq!(right.samples.len(), left.samples.len(), "{}", motion.id);
        for (r, l) in right.samples.iter().zip(&left.samples) {
            assert!((r.time - l.time).abs() < 1e-12);
            for index in 0..N_COORDS {
                let (other, sign) = mirrored(Coord(index));
                let apart = (r.pose[Coord(index)] - sign * l.pose[other]).abs();
                assert!(apart < 1e-6, "{}: coordinate {index} differs by {apart} at {} s", motion.id, r.time);
            }
            for side in Side::BOTH {
                let (one, two) = (r.leg_load[side as usize], l.leg_load[side.other() as usize]);
                assert!((one - two).abs() < 1e-4, "{}: leg load {one} and {two}", motion.id);
                let (one, two) = (r.arm_load[side as usize], l.arm_load[side.other() as usize]);
                assert!((one - two).abs() < 1e-4, "{}: arm load {one} and {two}", motion.id);
            }
        }
    }
}

/// Every exercise: at least 60 samples, time order, start equals end, no pull, and a whole body weight that
/// balances wherever the centre of mass is over the supports.
#[test]
fn the_supports_push_and_leave_nothing_over() {
    let mut weighed = 0;
    for body in bodies() {
        for motion in LIBRARY.exercises.values() {
            let repetition = solved(motion, &body, Side::Right);
            assert!(repetition.samples.len() >= 60, "{}: {}", motion.id, repetition.samples.len());
            assert!(repetition.samples.windows(2).all(|it| it[0].time < it[1].time), "{}", motion.id);
            assert!(
                repetition.samples[0].pose == repetition.samples[repetition.samples.len() - 1].pose,
                "{}",
                motion.id
            );
            for (index, sample) in repetition.samples.iter().enumerate() {
                if sample.com_margin < 0.0 {
                    continue;
                }
                weighed += 1;
                for track in &repetition.contacts {
                    let force = track.force[index];
                    let push = if track.on == Some(Surface::Wall) { force.x.abs() } else { force.y };
                    assert!(push >= -1e-6, "{}: {} pulls {push}", motion.id, track.landmark.id());
                }
                // What no support gives would have to come from nowhere: it shows at the root.
                let joints = &repetition.joints[index];
                let root = &joints.by_coordinate[..3];
                let weight = body.mass() * 9.81;
                assert!(
                    root.iter().all(|it| it.abs() < 2e-3 * weight),
                    "{} at {} s: {root:?} N",
                    motion.id,
                    sample.time
                );
                assert!(
                    joints.unbalanced < 5e-3,
                    "{} at {} s: {} BW m",
                    motion.id,
                    sample.time,
                    joints.unbalanced
                );
            }
        }
    }
    assert!(weighed > 5000, "only {weighed} samples were in balance");
}

#[test]
fn standing_on_one_leg_puts_about_all_weight_on_it() {
    let mut seen = 0;
    for body in bodies() {
        for motion in LIBRARY.exercises.values() {
            let stands = |position| motion.positions.contains(&position);
            let side =
                match (stands(Position::SingleLegStanceOperated), stands(Position::SingleLegStanceOther)) {
                    (true, false) => Side::Right,
                    (false, true) => Side::Left,
                    _ => continue,
                };
            if motion.impact {
                continue;
            }
            let repetition = solved(motion, &body, Side::Right);
            let (peak, _) = repetition.peak_leg_load(side);
            // Body weight, and a little more while it is lifted.
            assert!((0.9..1.15).contains(&peak), "{}: {peak} BW on the standing leg", motion.id);
            seen += 1;
        }
    }
    assert!(seen >= 6, "{seen}");
}

/// Contacts that only rest a limb do not count as load on it.
#[test]
fn a_resting_limb_is_not_loaded() {
    let body = &bodies()[1];
    for motion in LIBRARY.exercises.values() {
        let repetition = solved(motion, body, Side::Right);
        for side in Side::BOTH {
            let bears = repetition
                .contacts
                .iter()
                .any(|it| it.side == side && it.bears == Bears::Body && is_foot(it.landmark));
            if !bears {
                assert!(repetition.peak_leg_load(side).0 < 1e-9, "{}", motion.id);
            }
        }
    }
}

fn is_foot(landmark: Landmark) -> bool {
    let trunk_and_arm = [
        Landmark::Seat,
        Landmark::ThighBack,
        Landmark::ThighOuter,
        Landmark::HipOuter,
        Landmark::HipCentre,
        Landmark::Sacrum,
        Landmark::Belly,
        Landmark::LowBack,
        Landmark::UpperBack,
        Landmark::Chest,
        Landmark::RibSide,
        Landmark::HeadBack,
        Landmark::HeadSide,
        Landmark::Forehead,
        Landmark::Chin,
        Landmark::ShoulderCentre,
        Landmark::ShoulderTop,
        Landmark::ShoulderOuter,
        Landmark::ElbowCentre,
        Landmark::ElbowTip,
        Landmark::ElbowInner,
        Landmark::ForearmUnder,
        Landmark::ForearmFront,
        Landmark::WristCentre,
        Landmark::Palm,
        Landmark::HandEdge,
        Landmark::Grip,
        Landmark::Fingertip,
        Landmark::KneeInner,
        Landmark::KneeOuter,
    ];
    !trunk_and_arm.contains(&landmark)
}

/// What a therapist knows without measuring (common practice, no source): with the foot flat, a shin that
/// stands upright means a neutral ankle; a knee behind the ankle means it points down; a knee ahead of the
/// ankle means it is bent past neutral.
#[test]
fn foot_flat_and_shin_upright_is_neutral() {
    let motion = exercise("seated-heel-slide");
    for body in bodies() {
        // The foot starts 16 cm before the knee: drawn back as far, the ankle is below the knee.
        let repetition = solved_with(motion, &body, Side::Right, &[("slide", 0.16)]);
        let far = &repetition.samples[repetition.key_samples[1]];
        let knee = place(&body, far, Side::Right, Landmark::KneeCentre);
        let foot = place(&body, far, Side::Right, Landmark::AnkleCentre);
        assert!((knee.x - foot.x).abs() < 1e-5, "the shin stands upright");
        assert!(ankle(far, Side::Right).abs() <= 0.01, "ankle {}", ankle(far, Side::Right));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, ..ProptestConfig::default() })]

    #[test]
    fn knee_over_foot_tells_the_ankle(
        stature in 1.45..2.0f64,
        mass in 45.0..120.0f64,
        male in any::<bool>(),
        lift in -0.04..0.05f64,
        slide in 0.02..0.26f64,
        left in any::<bool>(),
    ) {
        let body = body(stature, mass, if male { Sex::Male } else { Sex::Female });
        let mut home = Home::usual(stature);
        home.seat_height += lift;
        let side = if left { Side::Left } else { Side::Right };
        let motion = exercise("seated-heel-slide");
        let parameters = Parameters::from([("slide".to_string(), slide)]);
        let repetition = solve(motion, &motion.core, &body, &home, side, &parameters).unwrap();
        for sample in &repetition.samples {
            let knee = place(&body, sample, side, Landmark::KneeCentre);
            let foot = place(&body, sample, side, Landmark::AnkleCentre);
            let ahead = knee.x - foot.x;
            let deg = ankle(sample, side);
            if ahead < -1e-3 { prop_assert!(deg < 0.0, "knee {ahead} m behind the ankle, {deg} degrees"); }
            if ahead > 1e-3 { prop_assert!(deg > 0.0, "knee {ahead} m ahead of the ankle, {deg} degrees"); }
            if ahead.abs() < 5e-5 { prop_assert!(deg.abs() < 0.01, "shin upright, {deg} degrees"); }
        }
    }

    /// A longer slide bends the ankle further, never less: what a limit on the slide relies on.
    #[test]
    fn a_longer_slide_bends_the_ankle_further(stature in 1.5..1.95f64, short in 0.02..0.24f64, more in 0.005..0.02f64) {
        let body = body(stature, 70.0, Sex::Female);
        let motion = exercise("seated-heel-slide");
        let peak = |slide: f64| {
            let repetition = solved_with(motion, &body, Side::Right, &[("slide", slide)]);
            range(&repetition, |it| ankle(it, Side::Right)).1
        };
        prop_assert!(peak(short + more) > peak(short));
    }

    /// Two runs of the same question give the same bits.
    #[test]
    fn solving_twice_gives_the_same_bits(pick in 0usize..94, stature in 1.5..1.95f64) {
        let list: Vec<_> = LIBRARY.exercises.values().collect();
        let motion = list[pick % list.len()];
        let body = body(stature, 70.0, Sex::Male);
        let home = Home::usual(stature);
        let run = || solve(motion, &motion.core, &body, &home, Side::Left, &Parameters::new());
        match (run(), run()) {
            (Ok(a), Ok(b)) => {
                for (x, y) in a.samples.iter().zip(&b.samples) {
                    prop_assert!(x.pose.0.iter().zip(&y.pose.0).all(|(p, q)| p.to_bits() == q.to_bits()));
                }
            }
            (a, b) => prop_assert_eq!(a.err(), b.err()),
        }
    }
}
