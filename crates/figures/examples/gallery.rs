//! Writes a gallery of hand-set poses as SVG files: `cargo run --example gallery -- FOLDER`.
//!
//! `sheet-*.svg` files lay many pictures side by side for a look at a glance.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)]

use std::fmt::Write as _;

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Coord, Dof, Kinematics, Landmark, Person, Pose, SegmentTable, Sex, Side};
use handrail_figures::{
    Accent, Arrow, Crop, Frame, Framing, LimitMark, Picture, Prop, Subject, View, Worn, clip, svg,
};
use nalgebra::Vector3;

type V = Vector3<f64>;

fn v(x: f64, y: f64, z: f64) -> V {
    Vector3::new(x, y, z)
}

fn body(sex: Sex, stature: f64) -> Body {
    let person = Person { stature, mass: 70.0, sex, measured: MeasuredLengths::default() };
    Body::new(person, SegmentTable::Winter).expect("a plain person")
}

/// A pose from root angles (turn, list, tilt) and limb angles.
fn pose(root: [f64; 3], axial: &[(Coord, f64)], limbs: &[(Side, Dof, f64)]) -> Pose {
    let mut p = Pose::default();
    for (coord, deg) in [Coord::ROOT_TURN, Coord::ROOT_LIST, Coord::ROOT_TILT].into_iter().zip(root) {
        p[coord] = deg.to_radians();
    }
    for &(coord, deg) in axial {
        p[coord] = deg.to_radians();
    }
    for &(side, dof, deg) in limbs {
        p.set_deg(side, dof, deg);
    }
    p
}

fn at(body: &Body, pose: &Pose, landmark: Landmark, side: Side) -> V {
    landmark.place(body, &Kinematics::of(body, pose), side)
}

/// Moves the root so that a landmark lies at a place.
fn put(body: &Body, pose: &mut Pose, landmark: Landmark, side: Side, place: V) {
    let d = place - at(body, pose, landmark, side);
    pose[Coord::ROOT_X] += d.x;
    pose[Coord::ROOT_Y] += d.y;
    pose[Coord::ROOT_Z] += d.z;
}

/// Sets the hip so that the heel is at a height, the foot level, for a given knee angle.
fn flat_foot(body: &Body, pose: &mut Pose, side: Side, knee: f64, height: f64, range: (f64, f64)) {
    pose.set_deg(side, Dof::KneeFlexion, knee);
    let tilt = pose[Coord::ROOT_TILT].to_degrees();
    let level = |pose: &mut Pose, hip: f64| {
        pose.set_deg(side, Dof::HipFlexion, hip);
        pose.set_deg(side, Dof::AnkleDorsiflexion, knee - hip - tilt);
        at(body, pose, Landmark::Heel, side).y - height
    };
    let (mut low, mut high) = range;
    let sign = level(pose, low);
    for _ in 0..40 {
        let middle = (low + high) / 2.0;
        if (level(pose, middle) > 0.0) == (sign > 0.0) { low = middle } else { high = middle }
    }
    level(pose, (low + high) / 2.0);
}

fn mix(a: &Pose, b: &Pose, t: f64) -> Pose {
    let mut out = *a;
    for i in 0..out.0.len() {
        out.0[i] = a.0[i] + (b.0[i] - a.0[i]) * t;
    }
    out
}

/// Arms hanging loosely.
fn hanging(side: Side) -> Vec<(Side, Dof, f64)> {
    vec![
        (side, Dof::ShoulderAbduction, 7.0),
        (side, Dof::ElbowFlexion, 12.0),
        (side, Dof::FingersFlexion, 18.0),
        (side, Dof::ThumbFlexion, 10.0),
    ]
}

fn both(f: impl Fn(Side) -> Vec<(Side, Dof, f64)>) -> Vec<(Side, Dof, f64)> {
    let mut all = f(Side::Left);
    all.extend(f(Side::Right));
    all
}

/// What stands around a pose.
type Furnish = Box<dyn Fn(&Pose) -> Vec<Prop>>;

/// Start, end, furniture and what is to be shown of it.
struct Exercise {
    name: &'static str,
    start: Pose,
    end: Pose,
    props: Furnish,
    track: Option<(Landmark, Side)>,
    both_ways: bool,
    limits: Vec<LimitMark>,
    accent: Accent,
    shots: Vec<(View, Crop)>,
}

fn exercises(body: &Body, w: Side) -> Vec<Exercise> {
    let h = body.stature();
    let o = w.other();
    let out = w.outward();
    let mut all = Vec::new();

    // Standing.
    let mut stand = pose([0.0; 3], &[], &both(hanging));
    put(body, &mut stand, Landmark::Heel, w, v(0.0, 0.0, 0.09 * out));
    let stand_shots = vec![
        (View::Front, Crop::Whole),
        (View::Side, Crop::Whole),
        (View::Back, Crop::Whole),
        (View::ThreeQuarter, Crop::Whole),
        (View::Above, Crop::Whole),
    ];
    all.push(Exercise {
        name: "stand",
        start: stand,
        end: stand,
        props: Box::new(|_| vec![Prop::Floor]),
        track: None,
        both_ways: false,
        limits: vec![],
        accent: Accent::Leg,
        shots: stand_shots.clone(),
    });

    // Seated slide of the foot.
    let seat = 0.45;
    let sitting = |knee: f64| {
        let mut limbs = both(|s| {
            vec![
                (s, Dof::ShoulderAbduction, 8.0),
                (s, Dof::ShoulderFlexion, 14.0),
                (s, Dof::ElbowFlexion, 62.0),
                (s, Dof::ForearmSupination, -70.0),
                (s, Dof::FingersFlexion, 15.0),
                (s, Dof::HipAbduction, 4.0),
            ]
        });
        limbs.push((w, Dof::HipFlexion, 85.0));
        let mut p = pose([0.0; 3], &[], &limbs);
        put(body, &mut p, Landmark::Seat, w, v(-0.03, seat, 0.08 * out));
        flat_foot(body, &mut p, o, 88.0, 0.0, (50.0, 110.0));
        flat_foot(body, &mut p, w, knee, 0.0, (60.0, 110.0));
        p
    };
    let (start, end) = (sitting(78.0), sitting(108.0));
    let knee_line = at(body, &end, Landmark::KneeFront, w);
    all.push(Exercise {
        name: "seated-slide",
        start,
        end,
        props: Box::new(move |p| {
            vec![
                Prop::Floor,
                Prop::Chair { at: v(0.02, 0.0, 0.0), seat_height: seat, facing: 0.0 },
                Prop::Towel {
                    at: {
                        let b = body_of(p);
                        let ball = at(&b, p, Landmark::Midsole, w);
                        v(ball.x, 0.0, ball.z)
                    },
                    half: [0.15, 0.07],
                },
            ]
        }),
        track: Some((Landmark::HeelBack, w)),
        both_ways: false,
        limits: vec![LimitMark {
            points: vec![v(knee_line.x + 0.06, 0.0, knee_line.z), v(knee_line.x + 0.06, 0.62, knee_line.z)],
        }],
        accent: Accent::Leg,
        shots: vec![
            (View::Side, Crop::Whole),
            (View::ThreeQuarter, Crop::Whole),
            (View::Front, Crop::Whole),
            (View::Side, Crop::Knee(w)),
        ],
    });

    // Side-lying clam on the other side.
    let bed = 0.5;
    let clam = |open: f64| {
        let mut limbs = both(|s| vec![(s, Dof::HipFlexion, 48.0), (s, Dof::KneeFlexion, 82.0)]);
        limbs.extend([
            (w, Dof::HipExternalRotation, open),
            (w, Dof::HipAbduction, open * 0.4),
            (w, Dof::ShoulderFlexion, 42.0),
            (w, Dof::ElbowFlexion, 30.0),
            (w, Dof::FingersFlexion, 20.0),
            (o, Dof::ShoulderFlexion, 95.0),
            (o, Dof::ElbowFlexion, 80.0),
            (o, Dof::ShoulderAbduction, 10.0),
        ]);
        let mut p = pose([0.0, -90.0 * out, 0.0], &[(Coord::NECK_SIDE_BEND, -8.0 * out)], &limbs);
        put(body, &mut p, Landmark::HipOuter, o, v(0.0, bed, 0.0));
        p
    };
    let (start, end) = (clam(0.0), clam(38.0));
    let head = at(body, &start, Landmark::HeadSide, o);
    all.push(Exercise {
        name: "clam",
        start,
        end,
        props: Box::new(move |_| {
            vec![
                Prop::Bed { height: bed, from: [-0.42, -1.15], to: [0.55, 1.0] },
                Prop::Pillow { at: v(head.x - 0.01, bed + 0.055, head.z), half: v(0.2, 0.06, 0.16) },
            ]
        }),
        track: Some((Landmark::KneeOuter, w)),
        both_ways: false,
        limits: vec![],
        accent: Accent::Leg,
        shots: vec![
            (View::Front, Crop::Whole),
            (View::Free { azimuth: 25.0, elevation: 25.0 }, Crop::Whole),
            (View::Back, Crop::Whole),
            (View::Above, Crop::Whole),
        ],
    });

    // Supine straight-leg raise.
    let supine = |limbs: &[(Side, Dof, f64)]| {
        let mut all = both(|s| {
            vec![
                (s, Dof::ShoulderAbduction, 18.0),
                (s, Dof::ShoulderFlexion, -4.0),
                (s, Dof::ElbowFlexion, 14.0),
                (s, Dof::ForearmSupination, -60.0),
                (s, Dof::FingersFlexion, 12.0),
            ]
        });
        all.extend_from_slice(limbs);
        let mut p = pose([0.0, 0.0, 90.0], &[(Coord::NECK_FLEXION, 12.0)], &all);
        put(body, &mut p, Landmark::Sacrum, w, v(0.0, bed, 0.0));
        p
    };
    let slr = |angle: f64| {
        let mut p = supine(&[(w, Dof::HipFlexion, angle), (w, Dof::AnkleDorsiflexion, 4.0)]);
        flat_foot(body, &mut p, o, 88.0, bed, (20.0, 80.0));
        p
    };
    let bed_props = move |p: &Pose| {
        let b = body_of(p);
        let head = at(&b, p, Landmark::HeadBack, w);
        vec![
            Prop::Bed { height: bed, from: [-0.95, -0.45], to: [1.05, 0.45] },
            Prop::Pillow { at: v(head.x + 0.02, bed + 0.03, 0.0), half: v(0.17, 0.05, 0.26) },
        ]
    };
    let lying_shots = vec![
        (View::Side, Crop::Whole),
        (View::ThreeQuarter, Crop::Whole),
        (View::Above, Crop::Whole),
        (View::OtherSide, Crop::Whole),
    ];
    let (start, end) = (slr(3.0), slr(38.0));
    let hip = at(body, &start, Landmark::HipCentre, w);
    let arc = (0..=12)
        .map(|i| {
            let a = (30.0 + f64::from(i) * 1.7_f64).to_radians();
            hip + v(libm::cos(a), libm::sin(a), 0.0) * (0.50 * h)
        })
        .collect();
    all.push(Exercise {
        name: "straight-leg-raise",
        start,
        end,
        props: Box::new(bed_props),
        track: Some((Landmark::HeelBack, w)),
        both_ways: false,
        limits: vec![LimitMark { points: arc }],
        accent: Accent::Leg,
        shots: lying_shots.clone(),
    });

    // Bridge.
    let bridge = |up: f64| {
        let mut p = supine(&[]);
        p[Coord::ROOT_TILT] = (90.0 + up * 14.0).to_radians();
        p[Coord::TRUNK_FLEXION] = 0.0;
        put(body, &mut p, Landmark::UpperBack, w, v(-0.45, bed, 0.0));
        for s in Side::BOTH {
            flat_foot(body, &mut p, s, 96.0 - 4.0 * up, bed, (-20.0, 90.0));
            p.set_deg(s, Dof::ShoulderFlexion, -4.0 - 14.0 * up);
        }
        p[Coord::NECK_FLEXION] = (12.0 + 14.0 * up).to_radians();
        p
    };
    all.push(Exercise {
        name: "bridge",
        start: bridge(0.0),
        end: bridge(1.6),
        props: Box::new(bed_props),
        track: Some((Landmark::Belly, w)),
        both_ways: false,
        limits: vec![],
        accent: Accent::Leg,
        shots: lying_shots.clone(),
    });

    // Prone knee bend.
    let prone = |knee: f64| {
        let mut limbs = both(|s| {
            vec![
                (s, Dof::ShoulderAbduction, 75.0),
                (s, Dof::ShoulderExternalRotation, 80.0),
                (s, Dof::ElbowFlexion, 95.0),
                (s, Dof::AnkleDorsiflexion, -35.0),
            ]
        });
        limbs.push((w, Dof::KneeFlexion, knee));
        limbs.push((w, Dof::AnkleDorsiflexion, -30.0 + knee * 0.3));
        let mut p = pose(
            [0.0, 0.0, -90.0],
            &[(Coord::NECK_FLEXION, -8.0), (Coord::NECK_ROTATION, -70.0 * out)],
            &limbs,
        );
        put(body, &mut p, Landmark::Belly, w, v(0.0, bed, 0.0));
        p
    };
    all.push(Exercise {
        name: "prone-knee-bend",
        start: prone(4.0),
        end: prone(95.0),
        props: Box::new(move |_| vec![Prop::Bed { height: bed, from: [-1.1, -0.45], to: [0.95, 0.45] }]),
        track: Some((Landmark::AnkleFront, w)),
        both_ways: false,
        limits: vec![],
        accent: Accent::Leg,
        shots: lying_shots.clone(),
    });

    // Pendulum, other hand on a table.
    let pendulum = |swing: f64| {
        let mut limbs = vec![
            (w, Dof::ShoulderFlexion, 62.0 + swing),
            (w, Dof::FingersFlexion, 20.0),
            (w, Dof::ElbowFlexion, 4.0),
            (o, Dof::ShoulderFlexion, 92.0),
            (o, Dof::ElbowFlexion, 12.0),
            (o, Dof::ForearmSupination, -85.0),
            (o, Dof::WristFlexion, -45.0),
            (o, Dof::ShoulderAbduction, 8.0),
        ];
        limbs.extend(both(|s| {
            vec![(s, Dof::HipFlexion, 48.0), (s, Dof::KneeFlexion, 8.0), (s, Dof::AnkleDorsiflexion, 5.0)]
        }));
        let mut p =
            pose([0.0, 0.0, -45.0], &[(Coord::TRUNK_FLEXION, 20.0), (Coord::NECK_FLEXION, -10.0)], &limbs);
        put(body, &mut p, Landmark::Heel, w, v(0.0, 0.0, 0.09 * out));
        p
    };
    let palm = at(body, &pendulum(0.0), Landmark::Palm, o);
    all.push(Exercise {
        name: "pendulum",
        start: pendulum(-18.0),
        end: pendulum(18.0),
        props: Box::new(move |_| {
            vec![
                Prop::Floor,
                Prop::Table {
                    height: palm.y - 0.012,
                    from: [palm.x - 0.14, palm.z - 0.3],
                    to: [palm.x + 0.42, palm.z + 0.3],
                },
            ]
        }),
        track: Some((Landmark::Fingertip, w)),
        both_ways: true,
        limits: vec![],
        accent: Accent::Arm,
        shots: vec![
            (View::Side, Crop::Whole),
            (View::ThreeQuarter, Crop::Whole),
            (View::Front, Crop::Whole),
            (View::Back, Crop::Whole),
        ],
    });

    // Wall slide of the arm, facing the wall.
    let wall_slide = |up: f64| {
        let mut limbs = hanging(o);
        limbs.extend([
            (w, Dof::ShoulderFlexion, 60.0 + 80.0 * up),
            (w, Dof::ElbowFlexion, 70.0 - 52.0 * up),
            (w, Dof::ForearmSupination, 0.0),
            (w, Dof::FingersFlexion, 4.0),
        ]);
        let mut p = pose([0.0; 3], &[], &limbs);
        put(body, &mut p, Landmark::Heel, w, v(0.0, 0.0, 0.09 * out));
        p
    };
    let wall_x = at(body, &wall_slide(0.0), Landmark::HandEdge, w).x + 0.05;
    all.push(Exercise {
        name: "wall-slide",
        start: wall_slide(0.0),
        end: wall_slide(1.0),
        props: Box::new(move |_| vec![Prop::Floor, Prop::Wall { x: wall_x }]),
        track: Some((Landmark::Fingertip, w)),
        both_ways: false,
        limits: vec![LimitMark {
            points: vec![v(wall_x - 0.01, 1.75, 0.05 * out), v(wall_x - 0.01, 1.75, 0.4 * out)],
        }],
        accent: Accent::Arm,
        shots: vec![
            (View::Side, Crop::Whole),
            (View::BackThreeQuarter, Crop::Whole),
            (View::Back, Crop::Whole),
            (View::Side, Crop::Upper),
        ],
    });

    // Stick external rotation, supine.
    let stick = |turn: f64| {
        let limbs = [
            (w, Dof::ShoulderAbduction, 20.0),
            (w, Dof::ShoulderFlexion, 10.0),
            (w, Dof::ShoulderExternalRotation, turn),
            (w, Dof::ElbowFlexion, 88.0),
            (w, Dof::ForearmSupination, 0.0),
            (w, Dof::FingersFlexion, 70.0),
            (w, Dof::ThumbFlexion, 40.0),
            (o, Dof::ShoulderAbduction, 20.0),
            (o, Dof::ShoulderFlexion, 10.0),
            (o, Dof::ShoulderExternalRotation, -turn),
            (o, Dof::ElbowFlexion, 88.0),
            (o, Dof::FingersFlexion, 70.0),
            (o, Dof::ThumbFlexion, 40.0),
        ];
        let mut p = supine(&limbs);
        for s in Side::BOTH {
            flat_foot(body, &mut p, s, 88.0, bed, (20.0, 80.0));
        }
        p
    };
    all.push(Exercise {
        name: "stick-rotation",
        start: stick(-5.0),
        end: stick(35.0),
        props: Box::new(move |p| {
            let b = body_of(p);
            let (a, c) = (at(&b, p, Landmark::Grip, Side::Left), at(&b, p, Landmark::Grip, Side::Right));
            let d = (c - a).normalize() * 0.12;
            let mut props = bed_props(p);
            props.push(Prop::Stick { from: a - d, to: c + d });
            props
        }),
        track: Some((Landmark::Grip, w)),
        both_ways: false,
        limits: vec![],
        accent: Accent::Arm,
        shots: vec![
            (View::Above, Crop::Upper),
            (View::Free { azimuth: 60.0, elevation: 35.0 }, Crop::Upper),
            (View::Side, Crop::Whole),
            (View::Free { azimuth: 20.0, elevation: 40.0 }, Crop::Whole),
        ],
    });

    // Heel raise with a hand on the wall.
    let raise = |up: f64| {
        let mut limbs = hanging(w);
        limbs.extend([
            (o, Dof::ShoulderFlexion, 70.0 - up * 4.0),
            (o, Dof::ElbowFlexion, 18.0),
            (o, Dof::ForearmSupination, -88.0),
            (o, Dof::WristFlexion, -60.0),
            (w, Dof::AnkleDorsiflexion, -34.0 * up),
            (w, Dof::GreatToeExtension, 34.0 * up),
            (w, Dof::LesserToesExtension, 34.0 * up),
            (o, Dof::KneeFlexion, 70.0),
            (o, Dof::AnkleDorsiflexion, -10.0),
        ]);
        let mut p = pose([0.0; 3], &[], &limbs);
        put(body, &mut p, Landmark::Ball, w, v(0.12, 0.0, 0.09 * out));
        p
    };
    let wall_x = at(body, &raise(0.0), Landmark::Palm, o).x + 0.012;
    all.push(Exercise {
        name: "heel-raise",
        start: raise(0.0),
        end: raise(1.0),
        props: Box::new(move |_| vec![Prop::Floor, Prop::Wall { x: wall_x }]),
        track: Some((Landmark::HeelBack, w)),
        both_ways: false,
        limits: vec![],
        accent: Accent::Leg,
        shots: vec![
            (View::Side, Crop::Whole),
            (View::ThreeQuarter, Crop::Whole),
            (View::Side, Crop::Foot(w)),
            (View::Side, Crop::Lower),
            (View::BackThreeQuarter, Crop::Whole),
        ],
    });

    // Step-down: the working leg stays on the step.
    let step = 0.15;
    let step_down = |down: f64| {
        let mut limbs = both(|s| {
            let mut a = hanging(s);
            a.push((s, Dof::ShoulderFlexion, 20.0 * down));
            a
        });
        limbs.extend([
            (w, Dof::HipFlexion, 52.0 * down),
            (w, Dof::KneeFlexion, 60.0 * down),
            (w, Dof::AnkleDorsiflexion, 22.0 * down),
            (o, Dof::HipFlexion, 24.0 * down + 4.0),
            (o, Dof::KneeFlexion, 8.0),
            (o, Dof::AnkleDorsiflexion, 8.0),
        ]);
        let mut p = pose([0.0, 0.0, -14.0 * down], &[(Coord::TRUNK_FLEXION, 8.0 * down)], &limbs);
        put(body, &mut p, Landmark::Heel, w, v(0.0, step, 0.09 * out));
        p
    };
    all.push(Exercise {
        name: "step-down",
        start: step_down(0.05),
        end: step_down(1.0),
        props: Box::new(move |_| {
            vec![Prop::Floor, Prop::Step { height: step, from: [-0.3, -0.3], to: [0.22, 0.3] }]
        }),
        track: Some((Landmark::Heel, o)),
        both_ways: false,
        limits: vec![],
        accent: Accent::Leg,
        shots: vec![
            (View::Side, Crop::Whole),
            (View::ThreeQuarter, Crop::Whole),
            (View::Front, Crop::Whole),
            (View::OtherSide, Crop::Lower),
        ],
    });

    // Worn things.
    all.push(Exercise {
        name: "worn",
        start: stand,
        end: {
            let mut p = stand;
            p.set_deg(o, Dof::ElbowFlexion, 88.0);
            p.set_deg(o, Dof::ShoulderExternalRotation, -50.0);
            p
        },
        props: Box::new(move |_| {
            vec![
                Prop::Floor,
                Prop::Worn(Worn::Boot(w)),
                Prop::Worn(Worn::KneeBrace(o)),
                Prop::Worn(Worn::Sling(o)),
            ]
        }),
        track: None,
        both_ways: false,
        limits: vec![],
        accent: Accent::Leg,
        shots: stand_shots,
    });
    all
}

/// The gallery's props need landmarks; its people all have one body.
fn body_of(_: &Pose) -> Body {
    body(Sex::Female, 1.70)
}

fn feet(body: &Body, w: Side) -> Vec<Exercise> {
    let flat = |limbs: &[(Side, Dof, f64)]| {
        let mut all = both(|s| {
            vec![
                (s, Dof::HipFlexion, 90.0),
                (s, Dof::KneeFlexion, 95.0),
                (s, Dof::AnkleDorsiflexion, 5.0),
                (s, Dof::HipAbduction, 5.0),
            ]
        });
        all.extend_from_slice(limbs);
        let mut p = pose([0.0; 3], &[], &all);
        put(body, &mut p, Landmark::Heel, w, v(0.0, 0.0, 0.1 * w.outward()));
        p
    };
    let rest = flat(&[]);
    let top = View::Free { azimuth: 28.0, elevation: 38.0 };
    let inner_top = View::Free { azimuth: -30.0, elevation: 32.0 };
    let front = View::Free { azimuth: 8.0, elevation: 30.0 };
    let inner = View::Free { azimuth: -88.0, elevation: 8.0 };
    let crop = Crop::Foot(w);
    let floor = || -> Furnish { Box::new(|_| vec![Prop::Floor]) };
    let simple = |name, start, end, track, shots| Exercise {
        name,
        start,
        end,
        props: floor(),
        track,
        both_ways: false,
        limits: vec![],
        accent: Accent::Foot,
        shots,
    };
    let tops = vec![(View::Toes, crop), (View::InnerFoot, crop), (front, crop), (View::Side, crop)];
    let _ = inner_top;
    let mut all = vec![
        simple("foot-rest", rest, rest, None, tops.clone()),
        simple(
            "great-toe-up",
            rest,
            flat(&[(w, Dof::GreatToeExtension, 45.0), (w, Dof::LesserToesExtension, -4.0)]),
            Some((Landmark::ToeTip, w)),
            tops.clone(),
        ),
        simple(
            "lesser-toes-up",
            rest,
            flat(&[(w, Dof::GreatToeExtension, -4.0), (w, Dof::LesserToesExtension, 40.0)]),
            Some((Landmark::LesserToePad, w)),
            tops.clone(),
        ),
        simple(
            "toe-spread",
            rest,
            flat(&[(w, Dof::GreatToeAbduction, 16.0), (w, Dof::LesserToesSpread, 22.0)]),
            None,
            tops.clone(),
        ),
        simple(
            "toe-curl",
            rest,
            flat(&[
                (w, Dof::LesserToesCurl, 60.0),
                (w, Dof::LesserToesExtension, 12.0),
                (w, Dof::GreatToeExtension, -20.0),
            ]),
            None,
            tops.clone(),
        ),
    ];
    // Arch lift with heel and ball on the floor: the hindfoot follows the forefoot's turn.
    let lift = |deg: f64| {
        let mut p = flat(&[
            (w, Dof::ArchLift, deg),
            (w, Dof::AnkleDorsiflexion, 5.0 + deg * 0.45),
            (w, Dof::GreatToeExtension, deg * 0.5),
            (w, Dof::LesserToesExtension, deg * 0.5),
        ]);
        put(body, &mut p, Landmark::Heel, w, v(0.0, 0.0, 0.1 * w.outward()));
        p
    };
    all.push(simple(
        "arch-lift",
        lift(-2.0),
        lift(16.0),
        Some((Landmark::Midsole, w)),
        vec![
            (inner, crop),
            (View::Free { azimuth: -60.0, elevation: 14.0 }, crop),
            (inner_top, crop),
            (View::Side, crop),
        ],
    ));
    // Sole rolling on a ball.
    let roll = |x: f64| {
        let mut p = flat(&[(w, Dof::AnkleDorsiflexion, 2.0)]);
        put(body, &mut p, Landmark::Midsole, w, v(x, 0.07, 0.1 * w.outward()));
        p
    };
    let mut sole = simple(
        "sole-on-ball",
        roll(-0.04),
        roll(0.05),
        Some((Landmark::ToeTip, w)),
        vec![(View::Side, crop), (inner, crop), (top, crop), (View::ThreeQuarter, crop)],
    );
    sole.props = Box::new(move |p| {
        let b = body_of(p);
        let m = at(&b, p, Landmark::Midsole, w);
        vec![Prop::Floor, Prop::Ball { at: v(m.x / 2.0, 0.035, m.z), radius: 0.035 }]
    });
    sole.both_ways = true;
    all.push(sole);
    // Hand: open and fist.
    let hand = |f: f64| {
        pose(
            [0.0; 3],
            &[],
            &[
                (w, Dof::ShoulderAbduction, 10.0),
                (w, Dof::ElbowFlexion, 90.0),
                (w, Dof::FingersFlexion, f),
                (w, Dof::ThumbFlexion, f * 0.5),
            ],
        )
    };
    let mut fist = simple(
        "fist",
        hand(0.0),
        hand(85.0),
        None,
        vec![
            (View::Side, Crop::Hand(w)),
            (View::ThreeQuarter, Crop::Hand(w)),
            (View::Front, Crop::Hand(w)),
            (View::OtherSide, Crop::Hand(w)),
        ],
    );
    fist.accent = Accent::Hand;
    all.push(fist);
    all
}

fn render(body: &Body, w: Side, exercise: &Exercise, shot: usize, size: [f64; 2], not: bool) -> String {
    let (view, crop) = exercise.shots[shot];
    let subject = Subject { body, working: w, accent: exercise.accent };
    let start_props = (exercise.props)(&exercise.start);
    let end_props = (exercise.props)(&exercise.end);
    let start = Frame { pose: &exercise.start, props: &start_props, time: 0.0 };
    let end = Frame { pose: &exercise.end, props: &end_props, time: 1.0 };
    let framing = Framing::fit(view, crop, &subject, &[start, end], size);
    let mut picture = Picture::new(framing, end, exercise.name, "A person shows an exercise.");
    if exercise.start != exercise.end && exercise.name != "worn" {
        picture.ghost = Some(start);
    }
    if let Some((landmark, side)) = exercise.track {
        let path = (0..=16)
            .map(|i| at(body, &mix(&exercise.start, &exercise.end, f64::from(i) / 16.0), landmark, side))
            .collect();
        picture.arrows = vec![Arrow { path, both_ways: exercise.both_ways }];
    }
    picture.limits = exercise.limits.clone();
    if not {
        picture.not_like_this = true;
        picture.word = Some("Not like this".to_owned());
        picture.arrows.clear();
        if let Some((landmark, side)) = exercise.track {
            picture.faults = vec![at(body, &exercise.end, landmark, side)];
        }
    }
    svg(&format!("{}-{}-{shot}", exercise.name, w.word()), &picture, &subject)
}

/// Lays pictures side by side.
fn sheet(pictures: &[String], columns: usize, size: [f64; 2]) -> String {
    let rows = pictures.len().div_ceil(columns);
    let (w, h) = (size[0] + 8.0, size[1] + 8.0);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {0} {1}\" width=\"{0}\" height=\"{1}\"><rect width=\"100%\" height=\"100%\" fill=\"#bbb\"/>",
        w * columns as f64,
        h * rows as f64
    );
    for (i, picture) in pictures.iter().enumerate() {
        let (x, y) = ((i % columns) as f64 * w + 4.0, (i / columns) as f64 * h + 4.0);
        let _ = write!(out, "{}", picture.replacen("<svg ", &format!("<svg x=\"{x}\" y=\"{y}\" "), 1));
    }
    out.push_str("</svg>");
    out
}

fn main() {
    let folder = std::env::args().nth(1).expect("give a folder");
    std::fs::create_dir_all(&folder).expect("folder");
    let save = |name: &str, text: &str| std::fs::write(format!("{folder}/{name}.svg"), text).expect("write");
    let size = [420.0, 280.0];
    let mut largest = (0, String::new());
    let mut sizes = Vec::new();
    for side in Side::BOTH {
        let body = body(Sex::Female, 1.70);
        for (group, list) in [("body", exercises(&body, side)), ("feet", feet(&body, side))] {
            let mut pictures = Vec::new();
            for exercise in &list {
                for shot in 0..exercise.shots.len() {
                    let text = render(&body, side, exercise, shot, size, false);
                    let name = format!("{}-{}-{shot}", exercise.name, side.word());
                    save(&name, &text);
                    sizes.push(text.len());
                    if text.len() > largest.0 {
                        largest = (text.len(), name);
                    }
                    pictures.push(text);
                }
            }
            for (i, chunk) in pictures.chunks(12).enumerate() {
                save(&format!("sheet-{group}-{}-{i}", side.word()), &sheet(chunk, 3, size));
            }
        }
    }
    let body = body(Sex::Male, 1.80);
    let list = exercises(&body, Side::Right);
    let pair: Vec<String> = list
        .iter()
        .take(6)
        .flat_map(|e| [false, true].map(|not| render(&body, Side::Right, e, 0, size, not)))
        .collect();
    save("sheet-pairs", &sheet(&pair, 2, size));
    let exercise = &list[3];
    let poses: Vec<Pose> =
        (0..24).map(|i| mix(&exercise.start, &exercise.end, f64::from(i) / 23.0)).collect();
    let props = (exercise.props)(&exercise.start);
    let frames: Vec<Frame<'_>> = poses
        .iter()
        .enumerate()
        .map(|(i, pose)| Frame { pose, props: &props, time: i as f64 / 12.0 })
        .collect();
    let subject = Subject { body: &body, working: Side::Right, accent: Accent::Leg };
    let framing = Framing::fit(View::Side, Crop::Whole, &subject, &frames, size);
    let moving = clip(&framing, &subject, &frames, &exercise.limits, "A leg is lifted.");
    let json = serde_json::to_string(&moving).expect("json");
    save("clip", &json);
    sizes.sort_unstable();
    println!("median {} bytes, nine in ten below {}", sizes[sizes.len() / 2], sizes[sizes.len() * 9 / 10]);
    println!("largest still {} bytes ({}), clip {} bytes", largest.0, largest.1, json.len());
}
