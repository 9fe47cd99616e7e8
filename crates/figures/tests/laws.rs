//! Laws of the pictures: equal input gives equal text, mirrored poses give mirrored pictures, nothing is lost.
#![allow(missing_docs)]

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Coord, Dof, Person, Pose, SegmentTable, Sex, Side};
use handrail_figures::{
    Accent, Arrow, Clip, Crop, Frame, Framing, LimitMark, Picture, Prop, Subject, View, Worn, clip, svg,
};
use nalgebra::Vector3;
use proptest::prelude::*;

const SIZE: [f64; 2] = [420.0, 280.0];

fn body(sex: Sex) -> Body {
    let person = Person { stature: 1.70, mass: 68.0, sex, measured: MeasuredLengths::default() };
    Body::new(person, SegmentTable::Winter).unwrap()
}

fn mirrored(pose: &Pose) -> Pose {
    let mut out = *pose;
    for coord in [
        Coord::ROOT_Z,
        Coord::ROOT_TURN,
        Coord::ROOT_LIST,
        Coord::TRUNK_SIDE_BEND,
        Coord::TRUNK_ROTATION,
        Coord::NECK_SIDE_BEND,
        Coord::NECK_ROTATION,
    ] {
        out[coord] = -pose[coord];
    }
    for &dof in Dof::ALL {
        for side in Side::BOTH {
            out[Coord::of(side, dof)] = pose[Coord::of(side.other(), dof)];
        }
    }
    out
}

/// Layer, paint and circles (tenths) of every part, independent of the order within a layer.
fn shapes(clip: &Clip, mirror_at: Option<f64>) -> Vec<(u8, &'static str, Vec<[i16; 3]>)> {
    let mut at = 0;
    let v = &clip.frames[0].v;
    let mut all: Vec<_> = clip
        .parts
        .iter()
        .map(|part| {
            let n = usize::from(part.circles);
            let mut circles: Vec<[i16; 3]> = v[at..at + 3 * n]
                .chunks(3)
                .map(|c| {
                    let x = mirror_at.map_or(c[0], |width| (width * 10.0) as i16 - c[0]);
                    [x, c[1], c[2]]
                })
                .collect();
            at += 3 * n;
            circles.sort_unstable();
            (part.layer, part.paint, circles)
        })
        .collect();
    all.sort();
    all
}

fn still(body: &Body, working: Side, pose: &Pose, view: View, crop: Crop, props: &[Prop]) -> String {
    let subject = Subject { body, working, accent: Accent::Leg };
    let frame = Frame { pose, props, time: 0.0 };
    let framing = Framing::fit(view, crop, &subject, &[frame], SIZE);
    svg("t", &Picture::new(framing, frame, "Title", "What is seen."), &subject)
}

fn sitting() -> Pose {
    let mut pose = Pose::default();
    for side in Side::BOTH {
        pose.set_deg(side, Dof::HipFlexion, 85.0);
        pose.set_deg(side, Dof::KneeFlexion, 95.0);
        pose.set_deg(side, Dof::ElbowFlexion, 60.0);
    }
    pose.set_deg(Side::Right, Dof::KneeFlexion, 110.0);
    pose[Coord::ROOT_Y] = 0.55;
    pose
}

fn any_pose() -> impl Strategy<Value = Pose> {
    prop::collection::vec(-1.0..1.0f64, handrail_anatomy::N_COORDS).prop_map(|values| {
        let mut pose = Pose::default();
        for (i, value) in values.into_iter().enumerate() {
            let coord = Coord(i);
            pose[coord] = match coord.limb() {
                Some((_, dof)) => {
                    let (low, high) = dof.plausible();
                    (low + (high - low) * (value + 1.0) / 2.0).to_radians()
                }
                None if coord.is_position() => value,
                None => value * 1.2,
            };
        }
        pose
    })
}

const VIEWS: [View; 11] = [
    View::Toes,
    View::InnerFoot,
    View::Side,
    View::OtherSide,
    View::Front,
    View::Back,
    View::ThreeQuarter,
    View::OtherThreeQuarter,
    View::BackThreeQuarter,
    View::Above,
    View::Free { azimuth: 28.0, elevation: 38.0 },
];

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// The other side's picture comes from the mirrored pose, and it is the mirrored picture.
    #[test]
    fn a_mirrored_pose_gives_the_mirrored_picture(pose in any_pose(), view in 0..VIEWS.len()) {
        let body = body(Sex::Female);
        let mut clips = Vec::new();
        for (working, pose) in [(Side::Right, pose), (Side::Left, mirrored(&pose))] {
            let subject = Subject { body: &body, working, accent: Accent::Leg };
            let frame = Frame { pose: &pose, props: &[], time: 0.0 };
            let framing = Framing::fit(VIEWS[view], Crop::Whole, &subject, &[frame], SIZE);
            clips.push(clip(&framing, &subject, &[frame], &[], "x"));
        }
        let (right, left) = (shapes(&clips[0], None), shapes(&clips[1], Some(SIZE[0])));
        prop_assert_eq!(right.len(), left.len());
        // Tenths may round to either side: compare each shape with the nearest of its layer and paint.
        for (layer, paint, circles) in &right {
            let found = left.iter().any(|(l, p, c)| {
                l == layer && p == paint && c.len() == circles.len()
                    && c.iter().all(|a| circles.iter().any(|b| a.iter().zip(b).all(|(x, y)| (x - y).abs() <= 1)))
            });
            prop_assert!(found, "{layer} {paint} {circles:?}");
        }
    }

    /// Any pose can be drawn from everywhere, with finite numbers and in bounded space.
    #[test]
    fn every_pose_can_be_drawn(pose in any_pose(), view in 0..VIEWS.len(), crop in 0..7usize) {
        let side = Side::Left;
        let crops = [Crop::Whole, Crop::Lower, Crop::Upper, Crop::Foot(side), Crop::Knee(side),
            Crop::Shoulder(side), Crop::Hand(side)];
        let props = [Prop::Floor, Prop::Worn(Worn::Boot(side)), Prop::Worn(Worn::Sling(Side::Right))];
        let text = still(&body(Sex::Male), side, &pose, VIEWS[view], crops[crop], &props);
        prop_assert!(!text.contains("NaN") && !text.contains("inf"));
        prop_assert!(text.len() < 20_000, "{}", text.len());
        prop_assert!(text.contains("class=\"accent") || crops[crop] != Crop::Foot(side));
    }
}

#[test]
fn equal_input_gives_equal_text() {
    let (body, pose) = (body(Sex::Female), sitting());
    let draw = || still(&body, Side::Right, &pose, View::Side, Crop::Whole, &[Prop::Floor]);
    assert_eq!(draw(), draw());
}

#[test]
fn pictures_have_a_role_a_name_and_a_description() {
    let text = still(&body(Sex::Female), Side::Right, &sitting(), View::Side, Crop::Whole, &[]);
    for piece in [
        "role=\"img\"",
        "<title id=\"t-t\">Title</title>",
        "<desc id=\"t-d\">What is seen.</desc>",
        "aria-labelledby",
    ] {
        assert!(text.contains(piece), "{piece}");
    }
    for never in ["<script", "<style", "href", "url(", "<text", "<image"] {
        assert!(!text.contains(never), "{never}");
    }
}

#[test]
fn a_plain_still_stays_small() {
    for view in VIEWS {
        let text = still(&body(Sex::Female), Side::Right, &sitting(), view, Crop::Whole, &[Prop::Floor]);
        assert!(text.len() < 12_000, "{view:?}: {}", text.len());
    }
}

#[test]
fn left_and_right_differ_by_more_than_a_word() {
    let (body, pose) = (body(Sex::Female), sitting());
    let right = still(&body, Side::Right, &pose, View::Front, Crop::Whole, &[]);
    let left = still(&body, Side::Left, &pose, View::Front, Crop::Whole, &[]);
    assert_ne!(right, left);
}

/// The mark of a wrong way is a shape and a word, not only a colour.
#[test]
fn not_like_this_has_a_cross_a_frame_and_the_word() {
    let (body, pose) = (body(Sex::Female), sitting());
    let subject = Subject { body: &body, working: Side::Right, accent: Accent::Leg };
    let frame = Frame { pose: &pose, props: &[], time: 0.0 };
    let framing = Framing::fit(View::Side, Crop::Whole, &subject, &[frame], SIZE);
    let mut picture = Picture::new(framing, frame, "T", "D");
    let plain = svg("a", &picture, &subject);
    picture.not_like_this = true;
    picture.word = Some("Así no".to_owned());
    let crossed = svg("a", &picture, &subject);
    assert!(crossed.contains(">Así no</text>"));
    assert_eq!(crossed.matches("<rect").count(), plain.matches("<rect").count() + 2);
    assert_eq!(crossed.matches("<path").count(), plain.matches("<path").count() + 2);
}

#[test]
fn a_clip_keeps_one_list_of_parts_and_the_stills_framing() {
    let body = body(Sex::Female);
    let poses: Vec<Pose> = (0..24)
        .map(|i| {
            let mut pose = sitting();
            pose.set_deg(Side::Right, Dof::KneeFlexion, 80.0 + f64::from(i));
            pose
        })
        .collect();
    let props = [Prop::Floor, Prop::Chair { at: Vector3::zeros(), seat_height: 0.45, facing: 0.0 }];
    let frames: Vec<Frame<'_>> = poses
        .iter()
        .enumerate()
        .map(|(i, pose)| Frame { pose, props: &props, time: i as f64 / 12.0 })
        .collect();
    let subject = Subject { body: &body, working: Side::Right, accent: Accent::Leg };
    let framing = Framing::fit(View::Side, Crop::Whole, &subject, &frames, SIZE);
    let limit = LimitMark { points: vec![Vector3::new(0.4, 0.0, 0.1), Vector3::new(0.4, 0.5, 0.1)] };
    let moving = clip(&framing, &subject, &frames, &[limit], "A foot slides.");
    let numbers: usize = moving.parts.iter().map(|p| 3 * usize::from(p.circles)).sum();
    assert_eq!(moving.frames.len(), 24);
    assert!(moving.frames.iter().all(|f| f.v.len() == numbers));
    assert!(moving.parts.windows(2).all(|p| p[0].layer <= p[1].layer));
    assert!(moving.parts.iter().all(|p| (1..=4).contains(&p.circles)));
    let known = ["near", "far", "accent", "cloth", "hair", "prop", "ghost", "line"];
    assert!(moving.parts.iter().all(|p| known.contains(&p.paint)));
    assert!(moving.back_svg.contains("<path") && moving.front_svg.contains("limit"));
    // Only the leg moves.
    let moved = moving.parts.iter().scan(0, |at, part| {
        let range = *at..*at + 3 * usize::from(part.circles);
        *at = range.end;
        Some((part, range))
    });
    for (part, range) in moved {
        let still = moving.frames[0].v[range.clone()] == moving.frames[23].v[range];
        assert!(still || part.paint == "accent" || part.paint == "line", "{part:?}");
    }
}

#[test]
fn an_arrow_of_a_motion_towards_the_viewer_is_left_out() {
    let (body, pose) = (body(Sex::Female), sitting());
    let subject = Subject { body: &body, working: Side::Right, accent: Accent::Leg };
    let frame = Frame { pose: &pose, props: &[], time: 0.0 };
    let arrow = |view| {
        let framing = Framing::fit(view, Crop::Whole, &subject, &[frame], SIZE);
        let mut picture = Picture::new(framing, frame, "T", "D");
        let path = (0..9).map(|i| Vector3::new(f64::from(i) * 0.03, 0.1, 0.1)).collect();
        picture.arrows = vec![Arrow { path, both_ways: false }];
        svg("a", &picture, &subject).contains("class=\"arrow\"")
    };
    assert!(arrow(View::Side) && !arrow(View::Front));
}

/// A renderer without style sheets shows the figure: dark ink, the accent and paper are all there, also in grey.
#[test]
fn a_plain_renderer_shows_it() {
    use resvg::{tiny_skia, usvg};
    let text = still(&body(Sex::Female), Side::Right, &sitting(), View::Side, Crop::Whole, &[Prop::Floor]);
    let tree = usvg::Tree::from_str(&text, &usvg::Options::default()).unwrap();
    let mut pixels = tiny_skia::Pixmap::new(420, 280).unwrap();
    resvg::render(&tree, tiny_skia::Transform::identity(), &mut pixels.as_mut());
    let grey = |p: &tiny_skia::PremultipliedColorU8| {
        (u32::from(p.red()) * 30 + u32::from(p.green()) * 59 + u32::from(p.blue()) * 11) / 100
    };
    let count =
        |range: std::ops::Range<u32>| pixels.pixels().iter().filter(|p| range.contains(&grey(p))).count();
    assert!(count(0..70) > 800, "ink {}", count(0..70));
    assert!(count(112..132) > 800, "accent {}", count(112..132));
    assert!(count(215..235) > 800, "skin and shirt {}", count(215..235));
    assert!(count(254..256) > 60_000, "paper {}", count(254..256));
}

#[test]
fn the_clearest_view_shows_the_motion() {
    let forward = [Vector3::zeros(), Vector3::new(0.3, 0.0, 0.0)];
    let outward = [Vector3::zeros(), Vector3::new(0.0, 0.1, 0.3)];
    let views = [View::Side, View::Front];
    assert_eq!(View::clearest(&views, &forward, Side::Left), Some(View::Side));
    assert_eq!(View::clearest(&views, &outward, Side::Left), Some(View::Front));
    assert_eq!(View::clearest(&[], &forward, Side::Left), None);
}

#[test]
fn one_still_as_text() {
    insta::assert_snapshot!(still(
        &body(Sex::Female),
        Side::Right,
        &sitting(),
        View::ThreeQuarter,
        Crop::Whole,
        &[Prop::Floor, Prop::Chair { at: Vector3::new(0.0, 0.0, 0.0), seat_height: 0.45, facing: 0.0 }]
    ));
}
