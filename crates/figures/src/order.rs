//! What hides what: the sheets of a figure in layers from far to near, one order for a whole motion.

use handrail_anatomy::{Body, Kinematics, Landmark, SegmentId, Side, tree::SegmentKind as K};
use nalgebra::Vector3;

use crate::camera::Camera;
use crate::figure::Sheet;

/// Mean depths of a motion, m towards the viewer; all relative to the chest.
#[derive(Clone, Debug, Default)]
struct Depths {
    pelvis: f64,
    head: f64,
    leg: [f64; 2],
    upper: [f64; 2],
    fore: [f64; 2],
    hand: [f64; 2],
    /// Share of the thigh's length that points to the viewer.
    thigh_end_on: [f64; 2],
    upper_end_on: [f64; 2],
    fore_end_on: [f64; 2],
    /// Toes' direction to the viewer: 1 end-on.
    toes_end_on: [f64; 2],
    /// Fingertips and thumb before the palm, m.
    fingers: [f64; 2],
    thumb: [f64; 2],
    /// Side of the chest to the viewer.
    chest_side: f64,
    /// Sideways axis of the pelvis along the view.
    pelvis_side: f64,
    /// Inner side of the foot to the viewer.
    inner_foot: [f64; 2],
    toe: [[f64; 5]; 2],
    face: f64,
    /// Directions of the two thighs against each other: 1 parallel.
    parallel: f64,
    /// Sideways axis of the pelvis against the vertical: 0 level.
    rolled: f64,
}

/// Order of the sheets of one motion from one camera.
#[derive(Clone, Debug, PartialEq)]
pub struct Order {
    /// Layers from far to near; the sheets of a layer share their outline.
    pub layers: Vec<Vec<Sheet>>,
    /// Sides whose arm and leg are drawn a shade darker.
    pub far_arm: Option<Side>,
    /// The same for the legs.
    pub far_leg: Option<Side>,
    /// Sleeves that are one piece with the shirt.
    pub sewn: [bool; 2],
    /// True when both legs of the shorts are one piece.
    pub one_pair: bool,
    /// True for a foot whose inner side is seen.
    pub inner_foot: [bool; 2],
    /// Index of the first layer in front of the trunk.
    pub front: usize,
}

/// Limbs nearer than this to the chest's depth count as level with it, m.
const LEVEL: f64 = 0.03;
/// Limbs that differ by more than this are shaded as near and far, m.
const SHADE: f64 = 0.05;

/// Elevation (sine) up to which the camera's tilt is left out of the order: it only helps the eye, and without
/// it what stands lower on the picture would count as farther away.
const TILTED: f64 = 0.57;

/// Direction to the viewer for the order of trunk and limbs.
fn level(camera: &Camera) -> Vector3<f64> {
    let sine = camera.toward.y;
    if libm::fabs(sine) > TILTED {
        return camera.toward;
    }
    let mut flat = camera.toward;
    flat.y *= 0.12;
    flat.normalize()
}

fn measure(body: &Body, frames: &[Kinematics], camera: &Camera, toward: &Vector3<f64>) -> Depths {
    use Landmark as L;
    let mut d = Depths::default();
    let share = 1.0 / frames.len().max(1) as f64;
    for k in frames {
        let thorax = SegmentId::axial(K::Thorax);
        let chest_at = k.point(thorax, &(Vector3::new(0.0, 0.07, 0.0) * body.stature()));
        let depth = |p: &Vector3<f64>| toward.dot(&(p - chest_at)) * share;
        let at = |l: L, side| l.place(body, k, side);
        let mean = |list: &[(L, f64)], side: Side| -> f64 {
            let weight: f64 = list.iter().map(|it| it.1).sum();
            list.iter().map(|&(l, w)| depth(&at(l, side)) * w / weight).sum()
        };
        let along = |a: Vector3<f64>, b: Vector3<f64>| (b - a).normalize().dot(&camera.toward) * share;
        let pelvis = k.origin[SegmentId::axial(K::Pelvis).index()];
        let head = SegmentId::axial(K::Head);
        let thigh = |side| k.rotation[SegmentId::of(K::Thigh, side).index()].column(1).into_owned();
        d.parallel += thigh(Side::Left).dot(&thigh(Side::Right)) * share;
        d.chest_side += k.rotation[thorax.index()].column(2).dot(&camera.toward).abs() * share;
        let sideways = k.rotation[SegmentId::axial(K::Pelvis).index()].column(2).dot(&camera.toward);
        d.pelvis_side += libm::fabs(sideways) * share;
        d.rolled += k.rotation[SegmentId::axial(K::Pelvis).index()].column(2).y.abs() * share;
        d.pelvis += depth(&pelvis);
        d.head += depth(&k.point(head, &(Vector3::new(0.0, 0.09, 0.0) * body.stature())));
        d.face += k.rotation[head.index()].column(0).dot(&camera.toward) * share;
        for side in Side::BOTH {
            let i = side as usize;
            let kind = |kind| SegmentId::of(kind, side).index();
            d.leg[i] += mean(&[(L::HipCentre, 1.0), (L::KneeCentre, 1.0), (L::AnkleCentre, 0.6)], side);
            d.upper[i] += mean(&[(L::ShoulderCentre, 1.0), (L::ElbowCentre, 1.0)], side);
            d.fore[i] += mean(&[(L::ElbowCentre, 0.6), (L::WristCentre, 1.0), (L::Fingertip, 0.6)], side);
            d.hand[i] += mean(&[(L::WristCentre, 1.0), (L::Fingertip, 1.0)], side);
            d.thigh_end_on[i] += along(at(L::HipCentre, side), at(L::KneeCentre, side));
            d.upper_end_on[i] += along(at(L::ShoulderCentre, side), at(L::ElbowCentre, side));
            d.fore_end_on[i] += along(at(L::ElbowCentre, side), at(L::WristCentre, side));
            d.toes_end_on[i] += k.rotation[kind(K::Forefoot)].column(0).dot(&camera.toward) * share;
            let palm = depth(&at(L::WristCentre, side)) * 0.3 + depth(&k.origin[kind(K::Fingers)]) * 0.7;
            d.fingers[i] += depth(&at(L::Fingertip, side)) - palm;
            let thumb = Vector3::new(0.0, -0.030, 0.0) * body.stature();
            d.thumb[i] += depth(&k.point(SegmentId::of(K::Thumb, side), &thumb)) - palm;
            d.inner_foot[i] -=
                k.rotation[kind(K::Hindfoot)].column(2).dot(&camera.toward) * side.outward() * share;
            for (number, toe) in [K::GreatToe, K::Toe2, K::Toe3, K::Toe4, K::Toe5].into_iter().enumerate() {
                let tip =
                    k.point(SegmentId::of(toe, side), &(Vector3::new(0.012, 0.0, 0.0) * body.stature()));
                d.toe[i][number] += depth(&tip);
            }
        }
    }
    d
}

#[derive(Clone, Copy, Debug, PartialEq)]
enum Group {
    Head,
    Leg(Side),
    Arm(Side),
    /// A forearm that lies on the other side of the trunk than its upper arm.
    Fore(Side),
}

/// How the hands are layered.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Hands {
    /// One outline with the forearm.
    Joined,
    /// Fingers over the palm, so that a stick or a weight can go under them.
    Holding,
    /// Fingers and thumb by their own depth.
    Fine,
}

/// The order for all frames of a motion. With `toes` the feet are drawn toe by toe.
pub fn order(
    body: &Body,
    frames: &[Kinematics],
    camera: &Camera,
    working: Side,
    hands: Hands,
    toes: bool,
) -> Order {
    let mut d = measure(body, frames, camera, &level(camera));
    let full = measure(body, frames, camera, &camera.toward);
    // Between left and right the tilt does count: of two stacked legs the upper one is nearer.
    for (flat, full) in [(&mut d.leg, full.leg), (&mut d.upper, full.upper), (&mut d.fore, full.fore)] {
        let (middle, full_middle) = ((flat[0] + flat[1]) / 2.0, (full[0] + full[1]) / 2.0);
        *flat = full.map(|it| middle + it - full_middle);
    }
    d.toe = full.toe;
    d.fingers = full.fingers;
    d.thumb = full.thumb;
    // On equal depth the working side lies on top, so that a mirrored pose gives the mirrored picture.
    let tie = |side: Side| if side == working { 1e-6 } else { 0.0 };
    let split = |side: Side| {
        let i = side as usize;
        let behind = |x: f64| x < -0.05;
        d.upper_end_on[i].abs() < 0.8
            && behind(d.fore[i]) != behind(d.upper[i])
            && (d.fore[i] - d.upper[i]).abs() > 0.07
    };
    // Seen from the front or from behind, sleeves and shirt are one piece over the arms.
    let sewn = |side: Side| {
        let i = side as usize;
        d.chest_side < 0.45 && d.upper_end_on[i].abs() < 0.6 && d.upper[i].abs() < 0.14
    };
    let sewn = [sewn(Side::Left), sewn(Side::Right)];
    // A forearm before the chest lies over the shirt.
    let over = |side: Side| d.fore[side as usize] > 0.05 + d.upper[side as usize].max(0.0);
    let mut groups: Vec<(f64, bool, Group)> = vec![(d.head, d.head > -0.15, Group::Head)];
    for side in Side::BOTH {
        let i = side as usize;
        let leg = d.leg[i] + tie(side);
        groups.push((leg, leg > -LEVEL, Group::Leg(side)));
        if sewn[i] {
            groups.push((d.upper[i].min(-0.05) + tie(side), false, Group::Arm(side)));
            if over(side) || split(side) {
                let fore = d.fore[i] + tie(side);
                groups.push((fore + 0.05, fore > -0.05, Group::Fore(side)));
            }
        } else if split(side) {
            let (upper, fore) = (d.upper[i] + tie(side), d.fore[i] + tie(side));
            groups.push((upper + 0.04, upper > -0.05, Group::Arm(side)));
            groups.push((fore + 0.04, fore > -0.05, Group::Fore(side)));
        } else {
            let arm = (d.upper[i] + d.fore[i]) / 2.0 + tie(side);
            // Hands rest on things: an arm level with a leg lies on it.
            groups.push((arm + 0.05, arm > -0.05, Group::Arm(side)));
        }
    }
    groups.sort_by(|a, b| a.1.cmp(&b.1).then(a.0.total_cmp(&b.0)));
    let nearer_leg =
        if d.leg[0] + tie(Side::Left) > d.leg[1] + tie(Side::Right) { Side::Left } else { Side::Right };
    // With a thigh pointing at the viewer the pelvis lies behind both legs, else over the far one.
    let end_on = |side: Side| d.thigh_end_on[side as usize] > 0.8;
    let pelvis_leg = if end_on(nearer_leg) { nearer_leg.other() } else { nearer_leg };
    // Legs side by side wear one pair of shorts; a farther or crossing thigh shows its own edge.
    let one_pair = (d.leg[0] - d.leg[1]).abs() < 0.06
        && d.parallel > 0.9
        && d.rolled < 0.5
        && d.thigh_end_on.iter().all(|&it| it < 0.7);
    let mut layers: Vec<Vec<Sheet>> = Vec::new();
    let mut front = None;
    for (_, in_front, group) in &groups {
        if *in_front && front.is_none() {
            push_trunk(&mut layers, sewn);
            layers.retain(|layer| !layer.is_empty());
            front = Some(layers.len());
        }
        match *group {
            Group::Head => push_head(&mut layers, d.face),
            Group::Leg(side) => {
                let shorts = if one_pair && side == nearer_leg {
                    vec![Sheet::Pelvis, Sheet::ShortsLeg(side.other()), Sheet::ShortsLeg(side)]
                } else if one_pair {
                    Vec::new()
                } else if side == pelvis_leg {
                    vec![Sheet::Pelvis, Sheet::ShortsLeg(side)]
                } else {
                    vec![Sheet::ShortsLeg(side)]
                };
                if end_on(side) {
                    layers.push(shorts);
                    push_leg(&mut layers, &d, side, toes);
                } else {
                    push_leg(&mut layers, &d, side, toes);
                    layers.push(shorts);
                }
            }
            Group::Arm(side) => {
                let sewn = sewn[side as usize];
                let apart = split(side) || (sewn && over(side));
                if sewn && apart {
                    layers.push(vec![Sheet::UpperArm(side)]);
                } else if sewn {
                    push_forearm(&mut layers, &d, side, hands, Some((Sheet::UpperArm(side), None)));
                } else if apart {
                    layers.push(vec![Sheet::UpperArm(side)]);
                    layers.push(vec![Sheet::Sleeve(side)]);
                } else {
                    push_arm(&mut layers, &d, side, hands);
                }
            }
            Group::Fore(side) => push_forearm(&mut layers, &d, side, hands, None),
        }
    }
    layers.retain(|layer| !layer.is_empty());
    let front = front.unwrap_or_else(|| {
        push_trunk(&mut layers, sewn);
        layers.len()
    });
    // Seen from the front a leg that steps forward is not the near side.
    let far = |depths: [f64; 2], along: f64| {
        let difference = depths[0] - depths[1];
        let apart = difference.abs() > SHADE && (along > 0.3 || d.rolled > 0.5);
        apart.then_some(if difference < 0.0 { Side::Left } else { Side::Right })
    };
    let arms = [d.upper[0] + d.fore[0], d.upper[1] + d.fore[1]].map(|x| x / 2.0);
    let (far_arm, far_leg) = (far(arms, d.chest_side), far(d.leg, d.pelvis_side));
    Order { layers, far_arm, far_leg, sewn, one_pair, inner_foot: d.inner_foot.map(|it| it > 0.0), front }
}

fn push_trunk(layers: &mut Vec<Vec<Sheet>>, sewn: [bool; 2]) {
    layers.push(vec![Sheet::Neck]);
    let mut shirt = vec![Sheet::Shirt];
    let mut folds = Vec::new();
    for side in Side::BOTH {
        if sewn[side as usize] {
            shirt.push(Sheet::Sleeve(side));
            folds.push(Sheet::Fold(side));
        }
    }
    layers.push(shirt);
    layers.push(folds);
    layers.push(vec![Sheet::Blade(Side::Left), Sheet::Blade(Side::Right)]);
}

/// Hair lies over the skull unless the face looks at the viewer.
fn push_head(layers: &mut Vec<Vec<Sheet>>, face: f64) {
    if face > 0.45 {
        layers.extend([vec![Sheet::Skull], vec![Sheet::Hair], vec![Sheet::Face], vec![Sheet::Features]]);
    } else {
        layers.extend([vec![Sheet::Skull, Sheet::Face], vec![Sheet::Features], vec![Sheet::Hair]]);
    }
    layers.push(vec![Sheet::Ear(Side::Left), Sheet::Ear(Side::Right)]);
}

fn push_leg(layers: &mut Vec<Vec<Sheet>>, d: &Depths, side: Side, toes: bool) {
    let i = side as usize;
    if !toes {
        layers.push(vec![Sheet::Leg(side)]);
    } else {
        // Toes turned from the viewer start behind the foot.
        let mut order: Vec<u8> = (0..5).collect();
        order.sort_by(|a, b| d.toe[i][*a as usize].total_cmp(&d.toe[i][*b as usize]));
        let toes: Vec<Vec<Sheet>> =
            order.iter().flat_map(|&n| [vec![Sheet::Toe(side, n)], vec![Sheet::Nail(side, n)]]).collect();
        let foot = if d.inner_foot[i] > 0.0 {
            [vec![Sheet::Border(side)], vec![Sheet::Leg(side)]]
        } else {
            [vec![], vec![Sheet::Border(side), Sheet::Leg(side)]]
        };
        if d.toes_end_on[i] < -0.35 {
            layers.extend(toes);
            layers.extend(foot);
        } else {
            layers.extend(foot);
            layers.extend(toes);
        }
        layers.push(vec![Sheet::ArchLine(side)]);
        layers.retain(|layer| !layer.is_empty());
    }
    layers.push(vec![Sheet::Brace(side)]);
    layers.push(vec![Sheet::Straps(side)]);
}

fn push_arm(layers: &mut Vec<Vec<Sheet>>, d: &Depths, side: Side, hands: Hands) {
    let i = side as usize;
    let upper = vec![Sheet::UpperArm(side)];
    let sleeve = vec![Sheet::Sleeve(side)];
    // A forearm that points at the viewer shows its own round edge at the elbow.
    let apart = d.fore_end_on[i] > 0.8;
    let sleeve_under = d.upper_end_on[i] > 0.8;
    if sleeve_under {
        layers.push(sleeve.clone());
    }
    if apart {
        layers.push(upper);
        if !sleeve_under {
            layers.push(sleeve);
        }
        push_forearm(layers, d, side, hands, None);
    } else {
        let over = if sleeve_under { None } else { Some(Sheet::Sleeve(side)) };
        push_forearm(layers, d, side, hands, Some((Sheet::UpperArm(side), over)));
    }
}

/// Forearm and hand; joined to the upper arm (with what lies over its upper end) where that is given.
fn push_forearm(
    layers: &mut Vec<Vec<Sheet>>,
    d: &Depths,
    side: Side,
    hands: Hands,
    upper: Option<(Sheet, Option<Sheet>)>,
) {
    let i = side as usize;
    let (fingers, thumb) = (vec![Sheet::Fingers(side)], vec![Sheet::Thumb(side)]);
    let mut skin: Vec<Sheet> = upper.iter().map(|it| it.0).collect();
    skin.push(Sheet::Forearm(side));
    let fine = hands == Hands::Fine;
    match hands {
        Hands::Joined => skin.extend([Sheet::Fingers(side), Sheet::Thumb(side)]),
        Hands::Holding => {}
        Hands::Fine => {
            let mut behind = [(d.fingers[i], &fingers), (d.thumb[i], &thumb)];
            behind.sort_by(|a, b| a.0.total_cmp(&b.0));
            layers.extend(behind.iter().filter(|it| it.0 < 0.0).map(|it| it.1.clone()));
        }
    }
    layers.push(skin);
    layers.extend(upper.and_then(|it| it.1).map(|sheet| vec![sheet]));
    layers.push(vec![Sheet::Sling(side)]);
    if hands == Hands::Holding {
        layers.push(vec![Sheet::Fingers(side), Sheet::Thumb(side)]);
    }
    if fine {
        let mut front = [(d.fingers[i], fingers), (d.thumb[i], thumb)];
        front.sort_by(|a, b| a.0.total_cmp(&b.0));
        layers.extend(front.into_iter().filter(|it| it.0 >= 0.0).map(|it| it.1));
    }
}
