//! The twelve motions that strain the exercise format: what each of them must hold in every sample, on three
//! bodies and with either side working.

mod common;

use common::*;
use handrail_anatomy::tree::SegmentKind;
use handrail_anatomy::{Body, Coord, Dof, Kinematics, Landmark, N_COORDS, SegmentId, Side};
use handrail_motion::posture::Surface;
use handrail_motion::spec::Hold;
use handrail_motion::{Motion, Repetition, SpanKind};
use nalgebra::Vector3;

const STRAINING: [&str; 12] = [
    "seated-heel-slide",
    "side-lying-clam",
    "bridge",
    "stick-external-rotation",
    "table-slide",
    "wall-slide",
    "step-down",
    "heel-raise-wall",
    "prone-knee-bend",
    "pendulum",
    "quad-set",
    "sole-roll-ball",
];

/// Contacts are held to a micrometre.
const HELD: f64 = 1e-6;

/// Runs a check on every body and side.
fn everywhere(id: &str, check: impl Fn(&Motion, &Body, Side, &Repetition)) {
    let motion = exercise(id);
    for body in bodies() {
        for side in Side::BOTH {
            check(motion, &body, side, &solved(motion, &body, side));
        }
    }
}

#[test]
fn contacts_are_held_in_every_sample() {
    for id in STRAINING {
        everywhere(id, |motion, body, side, repetition| {
            for contact in &motion.core.contacts {
                let on = contact.limb.side(side);
                for &landmark in &contact.points {
                    let points = track(body, repetition, on, landmark);
                    let name = format!("{id}, {} m, {} {}", body.stature(), on.word(), landmark.id());
                    if contact.hold == Hold::Rests {
                        continue;
                    }
                    if let Some(surface) = contact.on.filter(|it| *it != Surface::Ball) {
                        let (high, low) = spread(&points, surface);
                        let wanted = surface_at(repetition, surface);
                        assert!(
                            high - wanted < HELD && wanted - low < HELD,
                            "{name}: {low}..{high}, not {wanted}"
                        );
                    }
                    if contact.hold == Hold::Stays {
                        assert!(drift(&points) < HELD, "{name} drifts {} m", drift(&points));
                    }
                }
                if let (Hold::Distance | Hold::Together, Some((limb, landmark))) =
                    (contact.hold, contact.with)
                {
                    let here = track(body, repetition, on, contact.points[0]);
                    let there = track(body, repetition, limb.side(side), landmark);
                    let apart: Vec<Vector3<f64>> = here.iter().zip(&there).map(|(a, b)| a - b).collect();
                    let change = match contact.hold {
                        Hold::Together => drift(&apart),
                        _ => apart.iter().map(|it| (it.norm() - apart[0].norm()).abs()).fold(0.0, f64::max),
                    };
                    assert!(change < HELD, "{id}: {} changes by {change} m", contact.name);
                }
            }
        });
    }
}

fn surface_at(repetition: &Repetition, surface: Surface) -> f64 {
    let room = &repetition.room;
    match surface {
        Surface::Floor | Surface::Ball => 0.0,
        Surface::Seat => room.seat,
        Surface::Bed => room.bed,
        Surface::Table => room.table,
        Surface::Step => room.step,
        Surface::Wall => room.wall.expect("a posture at a wall says where it is"),
    }
}

/// Highest and lowest of points across a surface.
fn spread(points: &[Vector3<f64>], surface: Surface) -> (f64, f64) {
    let across = points.iter().map(|it| if surface == Surface::Wall { it.x } else { it.y });
    across.fold((f64::NEG_INFINITY, f64::INFINITY), |(high, low), it| (high.max(it), low.min(it)))
}

#[test]
fn a_repetition_is_sampled_in_time_order_and_returns_to_its_start() {
    for id in STRAINING {
        everywhere(id, |_, _, _, repetition| {
            let samples = &repetition.samples;
            assert!(samples.len() >= 60, "{id}: {} samples", samples.len());
            assert!(samples.windows(2).all(|it| it[0].time < it[1].time), "{id}: time runs back");
            assert!(samples[0].time == 0.0, "{id}");
            let last = &samples[samples.len() - 1];
            assert!((last.time - repetition.duration()).abs() < 1e-9, "{id}");
            assert!(last.pose == samples[0].pose, "{id}: does not return to its start");
            let mut now = 0.0;
            for span in &repetition.spans {
                assert!((span.start - now).abs() < 1e-9 && span.end > span.start, "{id}: {span:?}");
                now = span.end;
            }
        });
    }
}

#[test]
fn held_spans_hold() {
    for id in STRAINING {
        everywhere(id, |_, _, _, repetition| {
            for span in repetition.spans.iter().filter(|it| it.kind == SpanKind::Hold) {
                let held: Vec<_> = repetition
                    .samples
                    .iter()
                    .filter(|it| (span.start..=span.end).contains(&it.time))
                    .collect();
                assert!(held.windows(2).all(|it| it[0].pose == it[1].pose), "{id}: moves while it holds");
            }
        });
    }
}

#[test]
fn neighbouring_samples_are_close() {
    for id in STRAINING {
        everywhere(id, |_, body, side, repetition| {
            for pair in repetition.samples.windows(2) {
                for index in 3..N_COORDS {
                    let step = (pair[1].pose[Coord(index)] - pair[0].pose[Coord(index)]).to_degrees().abs();
                    assert!(
                        step < 15.0,
                        "{id}, {} m, {}: coordinate {index} jumps {step} degrees at {} s",
                        body.stature(),
                        side.word(),
                        pair[1].time
                    );
                }
            }
        });
    }
}

/// The foot-flat exercise: the ankle follows from knee and chair, and the shin's lean is the ankle's angle.
#[test]
fn seated_heel_slide_keeps_the_sole_down_and_the_ankle_follows() {
    everywhere("seated-heel-slide", |_, body, side, repetition| {
        for sample in &repetition.samples {
            for landmark in [Landmark::Heel, Landmark::BallInner, Landmark::BallOuter] {
                assert!(place(body, sample, side, landmark).y.abs() < HELD);
            }
            let knee = place(body, sample, side, Landmark::KneeCentre);
            let foot = place(body, sample, side, Landmark::AnkleCentre);
            let lean = libm::atan2(knee.x - foot.x, knee.y - foot.y).to_degrees();
            assert!((lean - ankle(sample, side)).abs() < 0.01, "lean {lean}, ankle {}", ankle(sample, side));
        }
        let (low, high) = range(repetition, |it| ankle(it, side));
        assert!(low < -10.0 && high > 0.0, "usual slide runs from {low} to {high}");
    });
}

#[test]
fn side_lying_clam_keeps_the_heels_together_while_the_knees_part() {
    everywhere("side-lying-clam", |_, body, side, repetition| {
        let here = track(body, repetition, side, Landmark::HeelInner);
        let there = track(body, repetition, side.other(), Landmark::HeelInner);
        for (a, b) in here.iter().zip(&there) {
            assert!(((a - b) - (here[0] - there[0])).norm() < HELD);
        }
        let knees = track(body, repetition, side, Landmark::KneeCentre);
        let low_knee = track(body, repetition, side.other(), Landmark::KneeCentre);
        assert!(drift(&knees) > 0.10, "the upper knee lifts {} m", drift(&knees));
        assert!(drift(&low_knee) < HELD, "the lower leg lies still");
    });
}

#[test]
fn bridge_lifts_the_pelvis_over_two_fixed_feet() {
    everywhere("bridge", |_, body, side, repetition| {
        for on in Side::BOTH {
            for landmark in [Landmark::Heel, Landmark::BallInner, Landmark::BallOuter] {
                let points = track(body, repetition, on, landmark);
                assert!(drift(&points) < HELD, "{} {} drifts {}", on.word(), landmark.id(), drift(&points));
            }
            let back = track(body, repetition, on, Landmark::UpperBack);
            assert!(drift(&back) < HELD, "the upper back stays");
        }
        let sacrum = track(body, repetition, side, Landmark::Sacrum);
        let top = sacrum.iter().map(|it| it.y).fold(0.0, f64::max);
        assert!((top - sacrum[0].y - 0.14).abs() < 1e-5, "lifts {} m", top - sacrum[0].y);
    });
}

#[test]
fn stick_external_rotation_keeps_the_grips_apart_by_the_stick() {
    everywhere("stick-external-rotation", |_, body, side, repetition| {
        let here = track(body, repetition, side, Landmark::Grip);
        let there = track(body, repetition, side.other(), Landmark::Grip);
        let stick = (here[0] - there[0]).norm();
        assert!((0.2..1.2).contains(&stick), "a stick of {stick} m");
        for (a, b) in here.iter().zip(&there) {
            assert!(((a - b).norm() - stick).abs() < HELD);
        }
        let (low, high) = range(repetition, |it| it.pose.deg(side, Dof::ShoulderExternalRotation));
        assert!((low + 15.0).abs() < 1e-9 && (high - 40.0).abs() < 1e-9, "{low} to {high}");
    });
}

#[test]
fn table_slide_keeps_both_palms_on_the_table_and_raises_the_arm_by_the_trunk() {
    everywhere("table-slide", |_, body, side, repetition| {
        for on in Side::BOTH {
            for point in track(body, repetition, on, Landmark::Palm) {
                assert!((point.y - repetition.room.table).abs() < HELD, "palm at {}", point.y);
            }
        }
        let (low, high) = range(repetition, |it| it.pose.shoulder_elevation(side));
        assert!(high - low > 30.0, "elevation {low} to {high}");
        assert_eq!(
            repetition.drive(side, handrail_anatomy::Joint::Shoulder),
            Some(handrail_anatomy::Drive::Passive)
        );
    });
}

#[test]
fn wall_slide_keeps_the_palms_on_the_wall() {
    everywhere("wall-slide", |_, body, side, repetition| {
        let wall = repetition.room.wall.unwrap();
        for on in Side::BOTH {
            let palm = track(body, repetition, on, Landmark::Palm);
            assert!(palm.iter().all(|it| (it.x - wall).abs() < HELD));
        }
        let palm = track(body, repetition, side, Landmark::Palm);
        let rise = palm.iter().map(|it| it.y).fold(0.0, f64::max) - palm[0].y;
        assert!(rise > 0.2, "the palm slides up {rise} m");
    });
}

#[test]
fn step_down_stands_on_one_foot_and_lowers_the_other_heel_by_the_depth() {
    everywhere("step-down", |_, body, side, repetition| {
        let step = repetition.room.step;
        for landmark in [Landmark::Heel, Landmark::BallInner, Landmark::BallOuter] {
            for point in track(body, repetition, side, landmark) {
                assert!((point.y - step).abs() < HELD);
            }
        }
        let heel = track(body, repetition, side.other(), Landmark::Heel);
        let low = heel.iter().map(|it| it.y).fold(f64::INFINITY, f64::min);
        assert!((step - low - 0.13).abs() < 1e-4, "goes down {} m", step - low);
        let (least, most) = range(repetition, |it| it.leg_load[side as usize]);
        // One body weight, and what lowering and lifting it slowly adds and takes.
        assert!((0.95..1.0).contains(&least) && (1.0..1.05).contains(&most), "{least} to {most} BW");
    });
}

#[test]
fn heel_raise_keeps_the_balls_and_lifts_the_heels_by_the_parameter() {
    let motion = exercise("heel-raise-wall");
    for body in bodies() {
        for rise in [0.03, 0.05, 0.07] {
            let repetition = solved_with(motion, &body, Side::Left, &[("rise", rise)]);
            for side in Side::BOTH {
                let ball = track(&body, &repetition, side, Landmark::BallInner);
                assert!(drift(&ball) < HELD, "ball drifts {}", drift(&ball));
                let heel = track(&body, &repetition, side, Landmark::Heel);
                let top = heel.iter().map(|it| it.y).fold(0.0, f64::max);
                assert!((top - heel[0].y - rise).abs() < 1e-5, "rises {top}, asked {rise}");
            }
        }
    }
}

#[test]
fn prone_knee_bend_moves_the_knee_and_nothing_else() {
    everywhere("prone-knee-bend", |_, _, side, repetition| {
        let (low, high) = range(repetition, |it| it.pose.deg(side, Dof::KneeFlexion));
        assert!((high - 95.0).abs() < 1e-9 && low < 10.0, "{low} to {high}");
        for index in 0..N_COORDS {
            let coord = Coord(index);
            if coord == Coord::of(side, Dof::KneeFlexion) {
                continue;
            }
            let (low, high) = repetition.range(coord);
            assert!(high - low < 1e-6, "coordinate {index} moves {}", high - low);
        }
    });
}

#[test]
fn pendulum_hangs_plumb_and_swings_to_both_sides() {
    everywhere("pendulum", |_, body, side, repetition| {
        let lean = |sample: &handrail_motion::Sample| {
            let shoulder = place(body, sample, side, Landmark::ShoulderCentre);
            let hand = place(body, sample, side, Landmark::WristCentre);
            libm::atan2(hand.x - shoulder.x, shoulder.y - hand.y).to_degrees()
        };
        let (back, front) = range(repetition, lean);
        assert!((8.0..20.0).contains(&front) && (8.0..20.0).contains(&-back), "swings {back} to {front}");
        assert_eq!(
            repetition.drive(side, handrail_anatomy::Joint::Shoulder),
            Some(handrail_anatomy::Drive::Passive)
        );
        assert!(repetition.muscles.iter().all(|it| it.effort.iter().all(|effort| *effort == 0.0)));
    });
}

/// Pressed, not moved: the hollow of the knee sinks by a few degrees, and no joint but hip and knee stirs.
#[test]
fn quad_set_hardly_moves_but_its_muscle_works() {
    everywhere("quad-set", |_, _, side, repetition| {
        assert!(repetition.samples.len() >= 60);
        for index in 0..N_COORDS {
            let coord = Coord(index);
            let (low, high) = repetition.range(coord);
            let allowed = match coord.limb() {
                Some((on, Dof::KneeFlexion | Dof::HipFlexion)) if on == side => 6.0,
                _ => 1e-6,
            };
            assert!(high - low <= allowed, "coordinate {index} moves {}", high - low);
        }
        let quadriceps = &repetition.muscles[0];
        assert_eq!(quadriceps.muscle, handrail_anatomy::Muscle::Quadriceps);
        assert!(quadriceps.effort.iter().any(|it| *it > 0.9));
    });
}

/// A motion in which nothing moves at all still has its 60 samples, and all of them are the same pose.
#[test]
fn a_purely_held_motion_is_sampled_like_any_other() {
    let motion = exercise("plank");
    let body = &bodies()[1];
    let repetition = solved(motion, body, Side::Right);
    assert!(repetition.samples.len() >= 60, "{}", repetition.samples.len());
    assert!(repetition.samples.windows(2).all(|it| it[0].pose == it[1].pose && it[0].time < it[1].time));
}

#[test]
fn sole_roll_ball_keeps_the_sole_tangent_to_the_rolling_ball() {
    everywhere("sole-roll-ball", |_, body, side, repetition| {
        let radius = repetition.ball_radius.unwrap();
        for sample in &repetition.samples {
            let kinematics = Kinematics::of(body, &sample.pose);
            let foot = SegmentId::of(SegmentKind::Hindfoot, side);
            let up = kinematics.rotation[foot.index()].column(1).into_owned();
            let sole = Landmark::Midsole.place(body, &kinematics, side);
            let ball = sample.ball.unwrap();
            assert!((ball.y - radius).abs() < 1e-12, "the ball lies on the floor");
            assert!((up.dot(&(sole - ball)) - radius).abs() < HELD, "the sole leaves the ball");
        }
        // Rolling without slipping: the foot travels twice as far as the ball.
        let forward = |it: &handrail_motion::Sample| it.ball.unwrap().x;
        let (near, far) = range(repetition, forward);
        let foot = range(repetition, |it| place(body, it, side, Landmark::AnkleCentre).x);
        assert!((far - near - 0.035).abs() < 1e-9, "the ball rolls {}", far - near);
        assert!((foot.1 - foot.0 - 0.07).abs() < 1e-5, "the foot travels {}", foot.1 - foot.0);
    });
}
