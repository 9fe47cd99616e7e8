//! Where the picture is seen from, and how metres become picture units.

use handrail_anatomy::{Body, Kinematics, Landmark, SegmentId, Side, tree::SegmentKind as K};
use nalgebra::Vector3;

use crate::figure::Detail;
use crate::hull::Circle;
use crate::{Frame, Subject};

/// Direction of view. All are orthographic and follow the room's axes (X forward for the start posture, Y up,
/// Z to the right), so a lying body keeps its place in the room whichever way it rolls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum View {
    /// From the working side.
    Side,
    /// From the other side.
    OtherSide,
    /// From the front.
    Front,
    /// From behind.
    Back,
    /// From the front, half towards the working side.
    ThreeQuarter,
    /// From the front, half towards the other side.
    OtherThreeQuarter,
    /// From behind, half towards the working side.
    BackThreeQuarter,
    /// From behind the room's start direction, half towards the other side: a person who has turned the working
    /// side to the wall is seen from the front.
    OtherBackThreeQuarter,
    /// From above; the working side is at the bottom of the picture.
    Above,
    /// Toes from the front and above, half from the outside.
    Toes,
    /// Arch and great toe, low from the inner side.
    InnerFoot,
    /// Any other direction.
    Free {
        /// From the front (0) towards the working side (90), degrees.
        azimuth: f64,
        /// Up from the horizontal, degrees.
        elevation: f64,
    },
}

impl View {
    /// Of several views the one in which a path (world, m) runs longest: the first of equals.
    pub fn clearest(candidates: &[View], path: &[Vector3<f64>], working: Side) -> Option<View> {
        let mut best: Option<(f64, View)> = None;
        for &view in candidates {
            let camera = Camera::of(view, working);
            let flat = |p: &Vector3<f64>| nalgebra::Vector2::new(camera.right.dot(p), camera.up.dot(p));
            let run: f64 = path.windows(2).map(|pair| (flat(&pair[1]) - flat(&pair[0])).norm()).sum();
            if best.is_none_or(|(longest, _)| run > longest + 1e-9) {
                best = Some((run, view));
            }
        }
        best.map(|it| it.1)
    }

    /// Azimuth towards the working side and elevation, degrees.
    fn angles(self) -> (f64, f64) {
        match self {
            View::Side => (90.0, 9.0),
            View::OtherSide => (-90.0, 9.0),
            View::Front => (0.0, 9.0),
            View::Back => (180.0, 9.0),
            View::ThreeQuarter => (48.0, 14.0),
            View::OtherThreeQuarter => (-48.0, 14.0),
            View::BackThreeQuarter => (132.0, 14.0),
            View::OtherBackThreeQuarter => (-114.0, 14.0),
            View::Above => (90.0, 72.0),
            View::Toes => (30.0, 34.0),
            View::InnerFoot => (-62.0, 14.0),
            View::Free { azimuth, elevation } => (azimuth, elevation),
        }
    }
}

/// What part of the picture's subject fills it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Crop {
    /// The whole body and its furniture.
    Whole,
    /// Waist to feet, both sides.
    Lower,
    /// Waist to head and hands.
    Upper,
    /// One foot up to the shin.
    Foot(Side),
    /// The toes and the front half of one foot.
    Toes(Side),
    /// One knee from mid thigh to mid shin.
    Knee(Side),
    /// One shoulder, with head and forearm.
    Shoulder(Side),
    /// One hand up to mid forearm.
    Hand(Side),
}

/// An orthographic camera.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// World direction that points right in the picture.
    pub right: Vector3<f64>,
    /// World direction that points up in the picture.
    pub up: Vector3<f64>,
    /// World direction from the scene to the viewer.
    pub toward: Vector3<f64>,
}

impl Camera {
    /// The camera of a view for a working side.
    pub fn of(view: View, working: Side) -> Camera {
        let (azimuth, elevation) = view.angles();
        let (sa, ca) = libm::sincos((azimuth * working.outward()).to_radians());
        let (se, ce) = libm::sincos(elevation.to_radians());
        let toward = Vector3::new(ce * ca, se, ce * sa);
        let right = Vector3::new(sa, 0.0, -ca);
        Camera { right, up: toward.cross(&right), toward }
    }

    /// Nearness to the viewer, m.
    pub fn depth(&self, p: &Vector3<f64>) -> f64 {
        self.toward.dot(p)
    }
}

/// Camera, scale and place: computed once, then shared by every picture of an exercise, so that pairs and
/// frames never jump.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Framing {
    /// Camera.
    pub camera: Camera,
    /// Picture units per metre.
    pub scale: f64,
    /// Width and height, picture units.
    pub size: [f64; 2],
    /// Where in the camera's plane the picture's middle is, m.
    middle: (f64, f64),
    /// World box that holds the subject, m: floor and walls are cut to it.
    pub(crate) low: Vector3<f64>,
    pub(crate) high: Vector3<f64>,
    pub(crate) crop: Crop,
}

/// Scale from which toes and fingers are drawn one by one, picture units per metre.
const DETAIL_SCALE: f64 = 430.0;
/// Closest scale: a hand may not fill a poster.
const MAX_SCALE: f64 = 1500.0;
/// Free margin on each side, share of the shorter side.
const MARGIN: f64 = 0.07;

impl Framing {
    /// Fits a picture of the given size around all frames (and their furniture, for whole-body crops).
    pub fn fit(
        view: View,
        crop: Crop,
        subject: &Subject<'_>,
        frames: &[Frame<'_>],
        size: [f64; 2],
    ) -> Framing {
        let camera = Camera::of(view, subject.working);
        let mut low = Vector3::repeat(f64::MAX);
        let mut high = Vector3::repeat(f64::MIN);
        let mut plane = [f64::MAX, f64::MAX, f64::MIN, f64::MIN];
        for frame in frames {
            let kinematics = Kinematics::of(subject.body, frame.pose);
            for (point, radius) in whole_points(subject.body, &kinematics) {
                low = low.zip_map(&point, |a, b| a.min(b - radius));
                high = high.zip_map(&point, |a, b| a.max(b + radius));
            }
            let mut points = crop_points(crop, subject.body, &kinematics);
            if crop != Crop::Whole {
                points.extend(frame.props.iter().flat_map(|prop| prop.close_extent(crop)));
            }
            if crop == Crop::Whole {
                points.extend(frame.props.iter().flat_map(|prop| prop.extent(&low, &high)));
            }
            for (p, r) in points {
                let (x, y) = (camera.right.dot(&p), camera.up.dot(&p));
                plane = [plane[0].min(x - r), plane[1].min(y - r), plane[2].max(x + r), plane[3].max(y + r)];
            }
        }
        if frames.is_empty() {
            (low, high, plane) = (Vector3::zeros(), Vector3::zeros(), [-1.0, -1.0, 1.0, 1.0]);
        }
        let pad = 2.0 * MARGIN * size[0].min(size[1]);
        let scale = ((size[0] - pad) / (plane[2] - plane[0]).max(0.05))
            .min((size[1] - pad) / (plane[3] - plane[1]).max(0.05))
            .min(MAX_SCALE);
        let middle = ((plane[0] + plane[2]) / 2.0, (plane[1] + plane[3]) / 2.0);
        Framing { camera, scale, size, middle, low, high, crop }
    }

    /// Place of a world point in the picture.
    pub fn place(&self, p: &Vector3<f64>) -> (f64, f64) {
        (
            self.size[0] / 2.0 + (self.camera.right.dot(p) - self.middle.0) * self.scale,
            self.size[1] / 2.0 - (self.camera.up.dot(p) - self.middle.1) * self.scale,
        )
    }

    /// A ball of the world as a circle of the picture.
    pub fn circle(&self, p: &Vector3<f64>, radius: f64) -> Circle {
        let (x, y) = self.place(p);
        Circle { x, y, r: radius * self.scale }
    }

    /// How finely hands and feet are drawn.
    pub fn detail(&self) -> Detail {
        let fine = self.scale >= DETAIL_SCALE;
        Detail {
            toes: fine && !matches!(self.crop, Crop::Hand(_) | Crop::Shoulder(_)),
            fingers: fine && !matches!(self.crop, Crop::Foot(_) | Crop::Toes(_) | Crop::Knee(_)),
        }
    }

    /// True when a hull of circles may show in the picture.
    pub fn shows(&self, circles: &[Circle]) -> bool {
        const EDGE: f64 = 3.0;
        let fold = |f: fn(f64, f64) -> f64, start, get: &dyn Fn(&Circle) -> f64| {
            circles.iter().map(get).fold(start, f)
        };
        fold(f64::max, f64::MIN, &|c| c.x + c.r) > -EDGE
            && fold(f64::min, f64::MAX, &|c| c.x - c.r) < self.size[0] + EDGE
            && fold(f64::max, f64::MIN, &|c| c.y + c.r) > -EDGE
            && fold(f64::min, f64::MAX, &|c| c.y - c.r) < self.size[1] + EDGE
    }
}

/// Points with radii that bound a whole body.
fn whole_points(body: &Body, kinematics: &Kinematics) -> Vec<(Vector3<f64>, f64)> {
    use Landmark as L;
    let h = body.stature();
    let mut points = Vec::new();
    for side in Side::BOTH {
        for (landmark, radius) in [
            (L::HeelBack, 0.0),
            (L::Heel, 0.0),
            (L::ToeTip, 0.004),
            (L::BallOuter, 0.0),
            (L::AnkleCentre, 0.019),
            (L::KneeCentre, 0.033),
            (L::HipCentre, 0.055),
            (L::ShoulderCentre, 0.034),
            (L::ElbowCentre, 0.022),
            (L::WristCentre, 0.016),
            (L::Fingertip, 0.008),
        ] {
            points.push((landmark.place(body, kinematics, side), radius * h));
        }
    }
    let head = SegmentId::axial(K::Head);
    let skull = kinematics.point(head, &(Vector3::new(0.002, 0.102, 0.0) * h));
    points.push((skull, 0.062 * h));
    for landmark in [L::Chest, L::UpperBack, L::Belly, L::Sacrum] {
        points.push((landmark.place(body, kinematics, Side::Right), 0.0));
    }
    points
}

/// Points with radii that a crop must hold.
fn crop_points(crop: Crop, body: &Body, kinematics: &Kinematics) -> Vec<(Vector3<f64>, f64)> {
    use Landmark as L;
    let h = body.stature();
    let at = |landmark: L, side| landmark.place(body, kinematics, side);
    let between = |a: L, b: L, share: f64, side| at(a, side) * (1.0 - share) + at(b, side) * share;
    let fixed = |list: &[(L, f64)], side| -> Vec<(Vector3<f64>, f64)> {
        list.iter().map(|&(landmark, r)| (at(landmark, side), r * h)).collect()
    };
    match crop {
        Crop::Whole => whole_points(body, kinematics),
        Crop::Lower => Side::BOTH
            .iter()
            .flat_map(|&side| {
                let mut points = fixed(
                    &[
                        (L::HeelBack, 0.0),
                        (L::Heel, 0.0),
                        (L::ToeTip, 0.004),
                        (L::AnkleCentre, 0.02),
                        (L::KneeCentre, 0.033),
                        (L::HipCentre, 0.055),
                    ],
                    side,
                );
                points.push((at(L::LowBack, side), 0.01));
                points
            })
            .collect(),
        Crop::Upper => {
            let mut points = whole_points(body, kinematics);
            // The legs come first on each side: heel back to hip centre.
            points.drain(11..18);
            points.drain(0..7);
            points.push((at(L::HipCentre, Side::Left), 0.03 * h));
            points.push((at(L::HipCentre, Side::Right), 0.03 * h));
            points
        }
        Crop::Foot(side) => {
            let mut points = fixed(
                &[
                    (L::HeelBack, 0.006),
                    (L::Heel, 0.006),
                    (L::ToeTip, 0.010),
                    (L::BallInner, 0.014),
                    (L::BallOuter, 0.014),
                    (L::AnkleCentre, 0.024),
                ],
                side,
            );
            points.push((between(L::AnkleCentre, L::KneeCentre, 0.22, side), 0.02 * h));
            points
        }
        Crop::Toes(side) => {
            let mut points = fixed(
                &[(L::ToeTip, 0.010), (L::BallInner, 0.014), (L::BallOuter, 0.014), (L::LesserToePad, 0.010)],
                side,
            );
            points.push((between(L::BallInner, L::AnkleCentre, 0.6, side), 0.012 * h));
            points
        }
        Crop::Knee(side) => {
            let mut points = fixed(&[(L::KneeCentre, 0.05)], side);
            points.push((between(L::KneeCentre, L::HipCentre, 0.55, side), 0.045 * h));
            points.push((between(L::KneeCentre, L::AnkleCentre, 0.62, side), 0.04 * h));
            points
        }
        Crop::Shoulder(side) => {
            let mut points = fixed(
                &[(L::ShoulderCentre, 0.05), (L::ElbowCentre, 0.03), (L::RibSide, 0.01), (L::Chest, 0.01)],
                side,
            );
            points.push((at(L::WristCentre, side), 0.045 * h));
            let head = SegmentId::axial(K::Head);
            points.push((kinematics.point(head, &(Vector3::new(0.0, 0.10, 0.0) * h)), 0.062 * h));
            points.push((at(L::ShoulderCentre, side.other()), 0.02 * h));
            points
        }
        Crop::Hand(side) => {
            let mut points = fixed(
                &[(L::WristCentre, 0.03), (L::Fingertip, 0.02), (L::Palm, 0.035), (L::Grip, 0.03)],
                side,
            );
            points.push((between(L::WristCentre, L::ElbowCentre, 0.5, side), 0.025 * h));
            points
        }
    }
}
