//! A motion laid out for one picture: every part of figure and furniture in its layer, placed in each frame.

use handrail_anatomy::{Kinematics, Landmark, SegmentId, Side, tree::SegmentKind as K};
use nalgebra::Vector3;

use crate::camera::{Camera, Crop, Framing};
use crate::figure::{self, Ball, Detail, Parts, Sheet, Stuff, Worn};
use crate::hull::{Circle, push_hull};
use crate::order::{Hands, Order, order};
use crate::palette::Paint;
use crate::props::{Piece, Place, Prop, mean_depth};
use crate::svg::{Ink, PathData, Svg};
use crate::{Accent, Frame, Subject};

/// One hull over time.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct ScenePart {
    pub paint: Paint,
    /// Circles at each frame.
    pub frames: Vec<Vec<Circle>>,
}

/// Parts that share their outline.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Layer {
    pub parts: Vec<ScenePart>,
    /// Furniture that never moves and lies behind the figure.
    pub still_back: bool,
    /// Part of the figure, not of the furniture.
    pub figure: bool,
}

/// All layers from far to near.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Scene {
    pub layers: Vec<Layer>,
}

/// The leg, foot or arm that a sheet belongs to.
fn side_of(sheet: Sheet) -> Option<(Side, bool)> {
    match sheet {
        Sheet::UpperArm(s)
        | Sheet::Sleeve(s)
        | Sheet::Forearm(s)
        | Sheet::Fingers(s)
        | Sheet::Thumb(s)
        | Sheet::Fold(s)
        | Sheet::Sling(s) => Some((s, true)),
        Sheet::Leg(s)
        | Sheet::ShortsLeg(s)
        | Sheet::Border(s)
        | Sheet::Toe(s, _)
        | Sheet::Nail(s, _)
        | Sheet::ArchLine(s)
        | Sheet::Brace(s)
        | Sheet::Straps(s) => Some((s, false)),
        _ => None,
    }
}

fn paint_of(sheet: Sheet, stuff: Stuff, subject: &Subject<'_>, order: &Order, close: bool) -> Paint {
    let side = side_of(sheet);
    // In a close-up there is no nearer twin to be darker than.
    let far = !close
        && side.is_some_and(
            |(side, arm)| {
                if arm { order.far_arm == Some(side) } else { order.far_leg == Some(side) }
            },
        );
    let working = side.is_some_and(|(side, _)| side == subject.working);
    let arm = side.is_some_and(|(_, arm)| arm);
    let accent = match (subject.accent, stuff) {
        (Accent::Leg, Stuff::Skin | Stuff::Foot | Stuff::Shade) => working && !arm,
        (Accent::Foot, Stuff::Foot | Stuff::Shade) => working,
        // A close-up of the foot shows little more of the leg: no border across the shin.
        (Accent::Foot, Stuff::Skin) => close && working && !arm,
        (Accent::Arm, Stuff::Skin | Stuff::Hand) => working && arm,
        (Accent::Hand, Stuff::Hand) => working,
        (Accent::Trunk, Stuff::Shirt) => sheet == Sheet::Shirt,
        (Accent::Neck, Stuff::Skin) => sheet == Sheet::Neck,
        (Accent::Blades, Stuff::Blade) => true,
        _ => false,
    };
    // The outer border lies in shade only behind the arch.
    let stuff = match (stuff, side) {
        (Stuff::Shade, Some((side, _))) if !order.inner_foot[side as usize] => Stuff::Foot,
        _ => stuff,
    };
    match stuff {
        Stuff::Shade if accent => Paint::AccentFar,
        _ if accent && far => Paint::AccentFar,
        _ if accent => Paint::Accent,
        Stuff::Skin | Stuff::Foot | Stuff::Hand if far => Paint::Far,
        Stuff::Skin | Stuff::Foot | Stuff::Hand => Paint::Near,
        Stuff::Shade => Paint::Far,
        Stuff::Nail => Paint::Nail,
        Stuff::Shirt if far && !side.is_some_and(|(side, _)| order.sewn[side as usize]) => Paint::ClothFar,
        Stuff::Shirt | Stuff::Blade => Paint::Cloth,
        Stuff::Shorts if far && !order.one_pair => Paint::ShortsFar,
        Stuff::Shorts => Paint::Shorts,
        Stuff::Hair => Paint::Hair,
        Stuff::Line => Paint::Line,
        Stuff::Worn => Paint::Prop,
        Stuff::Strap => Paint::PropDark,
    }
}

fn worn(frames: &[Frame<'_>]) -> Vec<Worn> {
    let first = frames.first().map_or(&[][..], |f| f.props);
    first.iter().filter_map(|p| if let Prop::Worn(worn) = p { Some(*worn) } else { None }).collect()
}

fn circles(framing: &Framing, balls: &[Ball]) -> Vec<Circle> {
    balls.iter().map(|b| framing.circle(&b.at, b.radius)).collect()
}

/// Lines thinner than this (radius, picture units) are not drawn.
const TINY: f64 = 0.3;
/// Scale (units per metre) from which the fold of the sleeve would be a bar.
const FOLD_SCALE: f64 = 240.0;

impl Scene {
    /// Lays out all frames. One order of layers and one look of near and far hold for all of them.
    pub(crate) fn new(framing: &Framing, subject: &Subject<'_>, frames: &[Frame<'_>]) -> Scene {
        let kinematics: Vec<Kinematics> =
            frames.iter().map(|f| Kinematics::of(subject.body, f.pose)).collect();
        let detail = framing.detail();
        let worn = worn(frames);
        let built: Vec<Parts> = kinematics
            .iter()
            .map(|k| figure::build(subject.body, k, &worn, detail, framing.camera.toward))
            .collect();
        let held = frames.first().is_some_and(|f| f.props.iter().any(|p| p.place() == Place::Held));
        let hands = match (held, detail.fingers) {
            (true, _) => Hands::Holding,
            (false, true) => Hands::Fine,
            (false, false) => Hands::Joined,
        };
        let order = order(subject.body, &kinematics, &framing.camera, subject.working, hands, detail.toes);
        let close = matches!(framing.crop, Crop::Foot(_) | Crop::Toes(_) | Crop::Knee(_) | Crop::Hand(_));
        let mut layers: Vec<(Option<Sheet>, Layer)> = Vec::new();
        for sheets in &order.layers {
            let mut parts = Vec::new();
            for &sheet in sheets {
                if hides(framing.crop, sheet)
                    || (matches!(sheet, Sheet::Fold(_)) && framing.scale > FOLD_SCALE)
                    || (matches!(sheet, Sheet::Blade(_)) && subject.accent != Accent::Blades)
                {
                    continue;
                }
                parts.extend(sheet_parts(framing, &built, sheet, |stuff| {
                    paint_of(sheet, stuff, subject, &order, close)
                }));
            }
            layers.push((sheets.first().copied(), Layer { parts, still_back: false, figure: true }));
        }
        let mut back = Vec::new();
        let loose_at = loose_places(framing, subject, frames, &kinematics, &layers);
        let mut inserts: Vec<(usize, Vec<Layer>)> = Vec::new();
        for (index, place) in loose_at.into_iter().enumerate() {
            let (over, prop_layers): (Vec<_>, Vec<_>) =
                prop_layers(framing, frames, index).into_iter().partition(|it| it.0);
            let prop_layers: Vec<Layer> = prop_layers.into_iter().map(|it| it.1).collect();
            if !over.is_empty() {
                inserts.push((usize::MAX, over.into_iter().map(|it| it.1).collect()));
            }
            match place {
                None => back.extend(prop_layers.into_iter().map(|layer| {
                    let still = layer.parts.iter().all(|p| p.frames.iter().all(|f| *f == p.frames[0]));
                    Layer { still_back: still, ..layer }
                })),
                Some(at) => inserts.push((at, prop_layers)),
            }
        }
        let mut all = back;
        for (i, (_, layer)) in layers.into_iter().enumerate() {
            for (at, prop) in &inserts {
                if *at == i {
                    all.extend(prop.iter().cloned());
                }
            }
            all.push(layer);
        }
        for (at, prop) in inserts {
            if at == usize::MAX {
                all.extend(prop);
            }
        }
        for layer in &mut all {
            layer.parts.retain(|part| {
                part.frames.iter().any(|circles| {
                    framing.shows(circles)
                        && (part.paint != Paint::Line || circles.iter().any(|c| c.r >= TINY))
                })
            });
        }
        all.retain(|layer| !layer.parts.is_empty());
        Scene { layers: all }
    }

    /// Draws layers of one frame. The figure's outline is set once for all of them.
    pub(crate) fn draw<'a>(
        svg: &mut Svg,
        layers: impl Iterator<Item = &'a Layer>,
        frame: usize,
        classes: bool,
    ) {
        svg.group(&outline(Paint::Near));
        for layer in layers {
            draw_layer(svg, layer, frame, classes);
        }
        svg.end_group();
    }
}

/// Outline of a paint, below its fill.
fn outline(paint: Paint) -> Ink<'static> {
    let width = paint.outline_width();
    if width > 0.0 {
        Ink { stroke: paint.outline(), width: 2.0 * width, under: true, ..Ink::default() }
    } else {
        Ink { stroke: "none", ..Ink::default() }
    }
}

/// In a close-up of one limb the other one would only hide it.
fn hides(crop: Crop, sheet: Sheet) -> bool {
    let Some((side, arm)) = side_of(sheet) else { return false };
    match crop {
        Crop::Foot(shown) | Crop::Toes(shown) | Crop::Knee(shown) => arm || side != shown,
        Crop::Hand(shown) => arm && side != shown,
        _ => false,
    }
}

fn sheet_parts(
    framing: &Framing,
    built: &[Parts],
    sheet: Sheet,
    paint: impl Fn(Stuff) -> Paint,
) -> Vec<ScenePart> {
    let Some(first) = built.first().and_then(|parts| parts.get(&sheet)) else {
        return Vec::new();
    };
    // What is turned away half of the time is left out all the time: a part may not come and go.
    let hidden = |i: usize| 2 * built.iter().filter(|parts| parts[&sheet][i].hidden).count() > built.len();
    (0..first.len())
        .filter(|&i| !hidden(i))
        .map(|i| ScenePart {
            paint: paint(first[i].stuff),
            frames: built.iter().map(|parts| circles(framing, &parts[&sheet][i].balls)).collect(),
        })
        .collect()
}

/// Layers of one prop; true for those before the figure.
fn prop_layers(framing: &Framing, frames: &[Frame<'_>], index: usize) -> Vec<(bool, Layer)> {
    let pieces: Vec<Vec<Piece>> = frames
        .iter()
        .map(|f| f.props.get(index).map_or_else(Vec::new, |prop| prop.pieces(framing)))
        .collect();
    let Some(first) = pieces.first() else { return Vec::new() };
    let mut layers = Vec::new();
    let last = first.iter().map(|p| p.sub).max().unwrap_or(0);
    for (over, sub) in [false, true].into_iter().flat_map(|over| (0..=last).map(move |sub| (over, sub))) {
        let parts: Vec<ScenePart> = (0..first.len())
            .filter(|&i| first[i].sub == sub && first[i].over == over)
            .map(|i| ScenePart {
                paint: first[i].paint,
                frames: pieces
                    .iter()
                    .map(|frame| circles(framing, frame.get(i).map_or(&first[i].balls, |p| &p.balls)))
                    .collect(),
            })
            .collect();
        if !parts.is_empty() {
            layers.push((over, Layer { parts, still_back: false, figure: false }));
        }
    }
    layers
}

/// For each prop the layer it goes before: `None` behind everything, `usize::MAX` before everything.
fn loose_places(
    framing: &Framing,
    subject: &Subject<'_>,
    frames: &[Frame<'_>],
    kinematics: &[Kinematics],
    layers: &[(Option<Sheet>, Layer)],
) -> Vec<Option<usize>> {
    let (Some(frame), Some(k)) = (frames.first(), kinematics.first()) else { return Vec::new() };
    let camera = &framing.camera;
    let thorax = SegmentId::axial(K::Thorax);
    let chest = camera.depth(&k.point(thorax, &(Vector3::new(0.0, 0.07, 0.0) * subject.body.stature())));
    let find = |sheet: Sheet| layers.iter().position(|(s, _)| *s == Some(sheet));
    frame
        .props
        .iter()
        .map(|prop| {
            let pieces = prop.pieces(framing);
            let depth = mean_depth(&pieces, camera) - chest;
            match prop.place() {
                Place::Back => None,
                Place::Loose if matches!(prop, Prop::Band { .. }) => {
                    if depth < -0.35 {
                        find(Sheet::Neck)
                    } else {
                        Some(usize::MAX)
                    }
                }
                Place::Loose => beside(camera, subject, k, &pieces, &find),
                Place::Held => Side::BOTH
                    .iter()
                    .filter(|&&side| {
                        let grip = Landmark::Grip.place(subject.body, k, side);
                        pieces.iter().any(|p| distance(&p.balls, &grip) < 0.14)
                    })
                    .filter_map(|&side| find(Sheet::Fingers(side)))
                    .max()
                    .or(Some(usize::MAX)),
            }
        })
        .collect()
}

/// A ball or pillow lies before or behind the limb next to it.
fn beside(
    camera: &Camera,
    subject: &Subject<'_>,
    k: &Kinematics,
    pieces: &[Piece],
    find: &dyn Fn(Sheet) -> Option<usize>,
) -> Option<usize> {
    use Landmark as L;
    let body = subject.body;
    let first = pieces.first()?;
    let middle = first.balls.iter().map(|b| b.at).sum::<Vector3<f64>>() / first.balls.len().max(1) as f64;
    let mut nearest: Option<(f64, Vector3<f64>, Sheet)> = None;
    for side in Side::BOTH {
        let sole = |l: L| l.place(body, k, side);
        let foot = (sole(L::AnkleCentre) + sole(L::Ball)) / 2.0;
        for (touch, centre, sheet) in [
            (sole(L::Midsole), foot, Sheet::Leg(side)),
            (sole(L::Heel), foot, Sheet::Leg(side)),
            (sole(L::KneeCentre), sole(L::KneeCentre), Sheet::Leg(side)),
            (sole(L::Palm), sole(L::WristCentre), Sheet::Forearm(side)),
            (sole(L::HeadBack), sole(L::HeadBack), Sheet::Skull),
            (sole(L::LowBack), sole(L::LowBack), Sheet::Neck),
        ] {
            let distance = (touch - middle).norm();
            if nearest.is_none_or(|it| distance < it.0) {
                nearest = Some((distance, centre, sheet));
            }
        }
    }
    let (_, centre, sheet) = nearest?;
    // Under head or back: behind everything, like the bed.
    if matches!(sheet, Sheet::Skull | Sheet::Neck) {
        return None;
    }
    if camera.depth(&middle) > camera.depth(&centre) + 0.02 {
        return Some(usize::MAX);
    }
    match sheet {
        Sheet::Leg(side) => [Sheet::Border(side), sheet].into_iter().filter_map(find).min(),
        Sheet::Forearm(side) => [Sheet::UpperArm(side), sheet].into_iter().filter_map(find).min(),
        _ => None,
    }
}

/// Distance of a point from the line through the first and last ball.
fn distance(balls: &[Ball], p: &Vector3<f64>) -> f64 {
    let (Some(a), Some(b)) = (balls.first(), balls.last()) else { return f64::MAX };
    let along = b.at - a.at;
    let t = ((p - a.at).dot(&along) / along.norm_squared().max(1e-12)).clamp(0.0, 1.0);
    (p - (a.at + along * t)).norm()
}

/// The start pose: one outline around the sheets that move visibly.
pub(crate) fn ghost_layer(
    framing: &Framing,
    subject: &Subject<'_>,
    ghost: &Frame<'_>,
    main: &Frame<'_>,
) -> Layer {
    /// Smaller shifts than this are not worth a second outline, picture units.
    const SEEN: f64 = 7.0;
    let detail = Detail { ..framing.detail() };
    let build = |frame: &Frame<'_>| {
        let k = Kinematics::of(subject.body, frame.pose);
        figure::build(subject.body, &k, &worn(std::slice::from_ref(frame)), detail, framing.camera.toward)
    };
    let (from, to) = (build(ghost), build(main));
    let mut parts = Vec::new();
    for (sheet, solids) in &from {
        let mark = matches!(
            sheet,
            Sheet::Features
                | Sheet::Fold(_)
                | Sheet::Ear(_)
                | Sheet::Nail(..)
                | Sheet::ArchLine(_)
                | Sheet::Straps(_)
                | Sheet::Blade(_)
        );
        if mark || hides(framing.crop, *sheet) {
            continue;
        }
        let Some(ends) = to.get(sheet) else { continue };
        let shift = solids
            .iter()
            .zip(ends)
            .flat_map(|(a, b)| a.balls.iter().zip(&b.balls))
            .map(|(a, b)| {
                let ((ax, ay), (bx, by)) = (framing.place(&a.at), framing.place(&b.at));
                libm::fmax(libm::fabs(ax - bx), libm::fabs(ay - by))
            })
            .fold(0.0, f64::max);
        if shift >= SEEN {
            for solid in solids.iter().filter(|it| !it.hidden) {
                let circles = circles(framing, &solid.balls);
                if framing.shows(&circles) {
                    parts.push(ScenePart { paint: Paint::Ghost, frames: vec![circles] });
                }
            }
        }
    }
    Layer { parts, still_back: false, figure: true }
}

/// All outlines of a layer, then all its fills; neighbours of one colour share a path.
pub(crate) fn draw_layer(svg: &mut Svg, layer: &Layer, frame: usize, classes: bool) {
    let visible: Vec<&ScenePart> = layer.parts.iter().collect();
    let Some(first) = visible.first() else { return };
    let class = |paint: Paint| if classes { paint.class() } else { "" };
    let hulls = |parts: &[&ScenePart]| {
        let mut path = PathData::default();
        for part in parts {
            push_hull(&mut path, &part.frames[frame], 0.0);
        }
        path
    };
    if visible.iter().all(|part| part.paint == first.paint) {
        // One path whose stroke is painted below its fill is the same picture in half the bytes.
        let ink = Ink { fill: first.paint.fill(), class: class(first.paint), ..outline(first.paint) };
        svg.path(&hulls(&visible), &ink);
        return;
    }
    for run in visible.chunk_by(|a, b| outline(a.paint) == outline(b.paint)) {
        let ink = outline(run[0].paint);
        if ink.stroke != "none" {
            svg.path(&hulls(run), &Ink { fill: ink.stroke, ..ink });
        }
    }
    for run in visible.chunk_by(|a, b| a.paint == b.paint) {
        let paint = run[0].paint;
        svg.path(
            &hulls(run),
            &Ink { fill: paint.fill(), class: class(paint), stroke: "none", ..Ink::default() },
        );
    }
}
