//! Furniture and tools as hulls of balls, in one quiet colour.

use nalgebra::Vector3;

use crate::camera::{Camera, Crop, Framing};
use crate::figure::{Ball, Worn};
use crate::palette::Paint;

/// A thing in the room, in world coordinates, m.
#[derive(Clone, Debug, PartialEq)]
pub enum Prop {
    /// The floor, cut to the picture.
    Floor,
    /// A mat on the floor.
    Mat {
        /// One corner on the floor (x, z).
        from: [f64; 2],
        /// The opposite corner.
        to: [f64; 2],
    },
    /// A chair with a back.
    Chair {
        /// Floor point under the middle of the seat.
        at: Vector3<f64>,
        /// Top of the seat above the floor.
        seat_height: f64,
        /// Direction in which a person sitting on it looks: turn to the left from X forward, degrees.
        facing: f64,
    },
    /// A stool or bench without a back.
    Stool {
        /// Floor point under the middle of the seat.
        at: Vector3<f64>,
        /// Top of the seat above the floor.
        seat_height: f64,
    },
    /// A bed or a treatment couch.
    Bed {
        /// Top of the mattress.
        height: f64,
        /// One corner (x, z).
        from: [f64; 2],
        /// The opposite corner.
        to: [f64; 2],
    },
    /// A table or a kitchen counter.
    Table {
        /// Top.
        height: f64,
        /// One corner (x, z).
        from: [f64; 2],
        /// The opposite corner.
        to: [f64; 2],
    },
    /// A step.
    Step {
        /// Top.
        height: f64,
        /// One corner (x, z).
        from: [f64; 2],
        /// The opposite corner.
        to: [f64; 2],
    },
    /// A wall across the X axis, cut to the picture.
    Wall {
        /// Its surface.
        x: f64,
    },
    /// A shut door across the X axis, up to its top.
    Door {
        /// Its surface.
        x: f64,
        /// Top.
        height: f64,
    },
    /// A hand rail along the X axis on two posts.
    Rail {
        /// Its start on the floor.
        from: Vector3<f64>,
        /// Its end on the floor.
        to: Vector3<f64>,
    },
    /// A cushion in the form of a wedge, behind a person who sits in bed.
    Wedge {
        /// Middle of the lower edge of the face that is leaned on.
        low: Vector3<f64>,
        /// Middle of the upper edge.
        high: Vector3<f64>,
        /// Half width along Z.
        half: f64,
    },
    /// A pillow under a head: always behind the figure.
    HeadPillow {
        /// Middle.
        at: Vector3<f64>,
        /// Half length, half thickness, half width along X, Y, Z.
        half: Vector3<f64>,
    },
    /// A towel flat on a wall, or folded as a pad against it.
    WallTowel {
        /// Middle of its face on the wall.
        at: Vector3<f64>,
        /// Half height and half width.
        half: [f64; 2],
        /// Thickness; negative towards X.
        thick: f64,
    },
    /// A pillow.
    Pillow {
        /// Middle.
        at: Vector3<f64>,
        /// Half length, half thickness, half width along X, Y, Z.
        half: Vector3<f64>,
    },
    /// A folded towel or slide sheet, for instance under a heel.
    Towel {
        /// Middle of its lower face.
        at: Vector3<f64>,
        /// Half length along X and half width along Z.
        half: [f64; 2],
    },
    /// A rolled towel along Z.
    Roll {
        /// Middle.
        at: Vector3<f64>,
        /// Radius.
        radius: f64,
        /// Half its length.
        half: f64,
    },
    /// A rolled towel in a fist.
    HeldRoll {
        /// Middle of the grip.
        at: Vector3<f64>,
        /// Direction of the grip.
        axis: Vector3<f64>,
    },
    /// A ball.
    Ball {
        /// Centre.
        at: Vector3<f64>,
        /// Radius.
        radius: f64,
    },
    /// An elastic band or a belt through points.
    Band {
        /// Points from end to end.
        points: Vec<Vector3<f64>>,
    },
    /// A stick.
    Stick {
        /// One end.
        from: Vector3<f64>,
        /// The other end.
        to: Vector3<f64>,
    },
    /// A hand weight along an axis.
    Weight {
        /// Middle of its grip.
        at: Vector3<f64>,
        /// Direction of the grip.
        axis: Vector3<f64>,
        /// Mass; the discs grow with it.
        kg: f64,
    },
    /// Something worn; it follows the pose.
    Worn(Worn),
}

/// Where a prop is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Place {
    /// Behind the figure.
    Back,
    /// Under the fingers of the nearest hand.
    Held,
    /// By its own depth: before or behind the trunk.
    Loose,
}

/// A hull of balls with its paint; sub-layers keep upper faces over sides.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Piece {
    pub balls: Vec<Ball>,
    pub paint: Paint,
    pub sub: u8,
    /// Before the figure, whatever the rest of the prop does.
    pub over: bool,
}

fn piece(points: &[Vector3<f64>], radius: f64, paint: Paint, sub: u8) -> Piece {
    Piece { balls: points.iter().map(|&at| Ball { at, radius }).collect(), paint, sub, over: false }
}

fn corners(low: Vector3<f64>, high: Vector3<f64>) -> Vec<Vector3<f64>> {
    let mut all = Vec::with_capacity(8);
    for x in [low.x, high.x] {
        for y in [low.y, high.y] {
            for z in [low.z, high.z] {
                all.push(Vector3::new(x, y, z));
            }
        }
    }
    all
}

/// A box with soft edges and a lighter top.
fn slab(low: Vector3<f64>, high: Vector3<f64>, edge: f64, sub: u8) -> [Piece; 2] {
    let inset = Vector3::repeat(edge);
    let (a, b) = (low + inset, high - inset);
    let top: Vec<Vector3<f64>> = corners(a, b).into_iter().filter(|p| p.y >= b.y - 1e-9).collect();
    [piece(&corners(a, b), edge, Paint::Prop, sub), piece(&top, edge * 0.9, Paint::PropTop, sub + 1)]
}

fn sorted(from: [f64; 2], to: [f64; 2]) -> ([f64; 2], [f64; 2]) {
    ([from[0].min(to[0]), from[1].min(to[1])], [from[0].max(to[0]), from[1].max(to[1])])
}

impl Prop {
    pub(crate) fn place(&self) -> Place {
        match self {
            Prop::Stick { .. } | Prop::Weight { .. } | Prop::HeldRoll { .. } => Place::Held,
            Prop::Band { .. } | Prop::Ball { .. } | Prop::Pillow { .. } => Place::Loose,
            _ => Place::Back,
        }
    }

    /// Points with radii that the picture must hold. Of long furniture only what lies near the body (whose
    /// box is given) counts: a bed may run out of the picture.
    pub(crate) fn extent(&self, low: &Vector3<f64>, high: &Vector3<f64>) -> Vec<(Vector3<f64>, f64)> {
        const NEAR: f64 = 0.10;
        let pieces = match self {
            Prop::Floor | Prop::Wall { .. } | Prop::Worn(_) => Vec::new(),
            _ => self.shape(),
        };
        let points = pieces.iter().flat_map(|p| p.balls.iter().map(|b| (b.at, b.radius)));
        match self {
            Prop::Bed { height, .. } | Prop::Table { height, .. } => points
                .map(|(p, r)| {
                    let x = p.x.clamp(low.x - NEAR, (high.x + NEAR).max(low.x - NEAR));
                    let z = p.z.clamp(low.z - NEAR, (high.z + NEAR).max(low.z - NEAR));
                    let below = if matches!(self, Prop::Bed { .. }) { 0.34 } else { f64::MAX };
                    (Vector3::new(x, p.y.max(height - below), z), r)
                })
                .collect(),
            _ => points.collect(),
        }
    }

    /// Points that a close-up must hold: small things at the limb.
    pub(crate) fn close_extent(&self, crop: Crop) -> Vec<(Vector3<f64>, f64)> {
        let shown = match crop {
            Crop::Foot(_) => matches!(self, Prop::Ball { .. } | Prop::Roll { .. }),
            Crop::Hand(_) => matches!(self, Prop::Ball { .. } | Prop::Weight { .. } | Prop::HeldRoll { .. }),
            _ => false,
        };
        let pieces = if shown { self.shape() } else { Vec::new() };
        pieces.iter().flat_map(|p| p.balls.iter().map(|b| (b.at, b.radius))).collect()
    }

    pub(crate) fn pieces(&self, framing: &Framing) -> Vec<Piece> {
        match self {
            Prop::Floor => vec![floor(framing)],
            Prop::Wall { x } => wall(*x, framing).into_iter().collect(),
            Prop::Chair { at, seat_height, facing } => {
                // Seen from behind, the back rest hides the sitter.
                let behind = framing.camera.toward.dot(&turned(Vector3::x(), *facing)) < -0.3;
                let mut pieces = self.shape();
                for piece in &mut pieces {
                    let above = |ball: &Ball| ball.at.y > at.y + seat_height - 0.03;
                    piece.over = behind && piece.sub < 2 && piece.balls.iter().all(above);
                }
                pieces
            }
            _ => self.shape(),
        }
    }

    fn shape(&self) -> Vec<Piece> {
        let v = Vector3::new;
        match self {
            Prop::Floor | Prop::Wall { .. } | Prop::Worn(_) => Vec::new(),
            Prop::Mat { from, to } => {
                let (a, b) = sorted(*from, *to);
                let points = [v(a[0], 0.0, a[1]), v(b[0], 0.0, a[1]), v(b[0], 0.0, b[1]), v(a[0], 0.0, b[1])];
                vec![piece(&points.map(|p| p - v(0.0, 0.006, 0.0)), 0.006, Paint::PropTop, 1)]
            }
            Prop::Chair { at, seat_height, facing } => chair(*at, *seat_height, *facing),
            Prop::Stool { at, seat_height } => stool(*at, *seat_height),
            Prop::Bed { height, from, to } => {
                let (a, b) = sorted(*from, *to);
                let mut all = Vec::new();
                for x in [a[0] + 0.07, b[0] - 0.07] {
                    for z in [a[1] + 0.06, b[1] - 0.06] {
                        all.push(piece(&[v(x, 0.02, z), v(x, height - 0.25, z)], 0.025, Paint::PropDark, 0));
                    }
                }
                let frame = height - 0.18;
                all.extend(slab(v(a[0] + 0.01, frame - 0.09, a[1]), v(b[0] - 0.01, frame, b[1]), 0.012, 0));
                all.extend(slab(v(a[0], frame, a[1]), v(b[0], *height, b[1]), 0.035, 2));
                all
            }
            Prop::Table { height, from, to } => {
                let (a, b) = sorted(*from, *to);
                let mut all = Vec::new();
                for x in [a[0] + 0.05, b[0] - 0.05] {
                    for z in [a[1] + 0.05, b[1] - 0.05] {
                        all.push(piece(&[v(x, 0.02, z), v(x, height - 0.03, z)], 0.020, Paint::Prop, 0));
                    }
                }
                all.extend(slab(v(a[0], height - 0.035, a[1]), v(b[0], *height, b[1]), 0.010, 1));
                all
            }
            Prop::Step { height, from, to } => {
                let (a, b) = sorted(*from, *to);
                slab(v(a[0], 0.0, a[1]), v(b[0], *height, b[1]), 0.008, 0).into()
            }
            Prop::Door { x, height } => {
                let (z, thick) = (0.40, 0.045 * x.signum());
                let slab_of =
                    |low: f64, high: f64| corners(v(x.min(x + thick), low, -z), v(x.max(x + thick), high, z));
                vec![piece(&slab_of(0.0, *height), 0.002, Paint::Prop, 0)]
            }
            Prop::Rail { from, to } => {
                let up = v(0.0, RAIL_HEIGHT, 0.0);
                let along = (to - from) * 0.08;
                let (a, b) = (from + along, to - along);
                vec![
                    piece(&[a, a + up], 0.016, Paint::Prop, 0),
                    piece(&[b, b + up], 0.016, Paint::Prop, 0),
                    piece(&[from + up, to + up], 0.022, Paint::Prop, 1),
                ]
            }
            Prop::Wedge { low, high, half } => {
                const SOFT: f64 = 0.03;
                let back = (high - low).cross(&Vector3::z()).normalize() * -SOFT;
                let (foot, top) = (low + back, high + back);
                let behind = v(top.x + (top.x - foot.x).signum() * 0.16, foot.y, foot.z);
                let side = v(0.0, 0.0, half - SOFT);
                let points: Vec<Vector3<f64>> =
                    [foot, top, behind].iter().flat_map(|p| [p - side, p + side]).collect();
                vec![piece(&points, SOFT, Paint::PropTop, 0)]
            }
            Prop::WallTowel { at, half, thick } => {
                let (a, b) =
                    (at - v(thick.max(0.0), half[0], half[1]), at + v((-thick).max(0.0), half[0], half[1]));
                vec![piece(&corners(a, b), 0.003, Paint::PropDark, 0)]
            }
            Prop::HeldRoll { at, axis } => {
                vec![piece(&[at - axis * 0.055, at + axis * 0.055], 0.024, Paint::PropTop, 0)]
            }
            Prop::Pillow { at, half } | Prop::HeadPillow { at, half } => {
                let r = half.y * 0.8;
                let (x, z) = ((half.x - r).max(0.0), (half.z - r).max(0.0));
                let points = [v(-x, 0.0, -z), v(x, 0.0, -z), v(x, 0.0, z), v(-x, 0.0, z)].map(|p| p + at);
                vec![piece(&points, r, Paint::PropTop, 0)]
            }
            Prop::Towel { at, half } => {
                let r = 0.006;
                let points = [
                    v(-half[0], r, -half[1]),
                    v(half[0], r, -half[1]),
                    v(half[0], r, half[1]),
                    v(-half[0], r, half[1]),
                ]
                .map(|p| p + at);
                vec![piece(&points, r, Paint::PropDark, 0)]
            }
            Prop::Roll { at, radius, half } => {
                let ends = [at - v(0.0, 0.0, *half), at + v(0.0, 0.0, *half)];
                vec![piece(&ends, *radius, Paint::PropTop, 0)]
            }
            Prop::Ball { at, radius } => vec![
                piece(&[*at], *radius, Paint::Prop, 0),
                piece(&[at + v(-0.12, 0.40, 0.0) * *radius], radius * 0.46, Paint::PropTop, 0),
            ],
            Prop::Band { points } => {
                points.windows(2).map(|pair| piece(pair, 0.0055, Paint::PropDark, 0)).collect()
            }
            Prop::Stick { from, to } => vec![piece(&[*from, *to], 0.013, Paint::Prop, 0)],
            Prop::Weight { at, axis, kg } => {
                let axis = axis.try_normalize(1e-9).unwrap_or_else(Vector3::z);
                // Discs of equal density: the radius grows with the cube root of the mass.
                let disc = 0.034 * libm::cbrt(kg.clamp(0.25, 20.0));
                let mut all = vec![piece(&[at - axis * 0.06, at + axis * 0.06], 0.013, Paint::PropDark, 0)];
                for end in [-1.0, 1.0] {
                    let (a, b) = (at + axis * (0.055 * end), at + axis * (0.085 * end));
                    all.push(piece(&[a, b], disc, Paint::PropDark, 1));
                }
                all
            }
        }
    }
}

/// Height of a hand rail, m.
const RAIL_HEIGHT: f64 = 0.92;

fn turned(p: Vector3<f64>, facing: f64) -> Vector3<f64> {
    let (s, c) = libm::sincos(facing.to_radians());
    Vector3::new(p.x * c + p.z * s, p.y, -p.x * s + p.z * c)
}

fn chair(at: Vector3<f64>, seat: f64, facing: f64) -> Vec<Piece> {
    let v = Vector3::new;
    let place = |x: f64, y: f64, z: f64| at + turned(v(x, y, z), facing);
    let (half_x, half_z, top) = (0.215, 0.215, 0.46);
    let mut all = Vec::new();
    for z in [-half_z + 0.02, half_z - 0.02] {
        // Front leg, then back leg running up into the back rest's post.
        all.push(piece(
            &[place(half_x - 0.03, 0.014, z), place(half_x - 0.03, seat - 0.03, z)],
            0.014,
            Paint::Prop,
            0,
        ));
        let back = place(-half_x + 0.015, seat - 0.02, z);
        all.push(piece(&[place(-half_x - 0.025, 0.014, z), back], 0.014, Paint::Prop, 0));
        all.push(piece(&[back, place(-half_x - 0.035, seat + top, z)], 0.014, Paint::Prop, 0));
    }
    let rest = |y: f64, x: f64| [place(x, y, -half_z + 0.02), place(x, y, half_z - 0.02)];
    let mut panel = Vec::new();
    panel.extend(rest(seat + 0.26, -half_x - 0.017));
    panel.extend(rest(seat + top, -half_x - 0.035));
    all.push(piece(&panel, 0.012, Paint::PropTop, 1));
    let ring = |y: f64| {
        [
            place(-half_x, y, -half_z),
            place(half_x, y, -half_z),
            place(half_x, y, half_z),
            place(-half_x, y, half_z),
        ]
    };
    let mut seat_box = ring(seat - 0.016).to_vec();
    seat_box.extend(ring(seat - 0.034));
    all.push(piece(&seat_box, 0.014, Paint::Prop, 2));
    all.push(piece(&ring(seat - 0.013), 0.011, Paint::PropTop, 3));
    all
}

fn stool(at: Vector3<f64>, seat: f64) -> Vec<Piece> {
    let v = Vector3::new;
    let half = 0.19;
    let mut all = Vec::new();
    for x in [-half + 0.03, half - 0.03] {
        for z in [-half + 0.03, half - 0.03] {
            all.push(piece(
                &[at + v(x * 1.1, 0.014, z * 1.1), at + v(x, seat - 0.03, z)],
                0.014,
                Paint::Prop,
                0,
            ));
        }
    }
    all.extend(slab(at + v(-half, seat - 0.05, -half), at + v(half, seat, half), 0.014, 1));
    all
}

/// The floor under the subject, as far as the picture shows; a line when seen from the side.
fn floor(framing: &Framing) -> Piece {
    let (low, high) = (framing.low, framing.high);
    let pad = 0.40;
    let v = Vector3::new;
    let points = [
        v(low.x - pad, -0.006, low.z - pad),
        v(high.x + pad, -0.006, low.z - pad),
        v(high.x + pad, -0.006, high.z + pad),
        v(low.x - pad, -0.006, high.z + pad),
    ];
    piece(&points, 0.004, Paint::Room, 0)
}

/// The wall as a slab, unless it stands between the viewer and the person.
fn wall(x: f64, framing: &Framing) -> Option<Piece> {
    let (low, high) = (framing.low, framing.high);
    let middle = (low.x + high.x) / 2.0;
    let side = if x > middle { 1.0 } else { -1.0 };
    if framing.camera.toward.x * side > 0.35 {
        return None;
    }
    let (near, far) = (x + 0.002 * side, x + 0.06 * side);
    let v = Vector3::new;
    let corners = corners(
        v(near.min(far), 0.0, low.z.min(-0.55) - 0.12),
        v(near.max(far), high.y + 0.12, high.z.max(0.55) + 0.12),
    );
    // Its face is large: the lighter paint.
    let paint = if framing.camera.toward.x.abs() > 0.35 { Paint::PropTop } else { Paint::Prop };
    Some(piece(&corners, 0.002, paint, 0))
}

/// Mean depth of pieces.
pub(crate) fn mean_depth(pieces: &[Piece], camera: &Camera) -> f64 {
    let balls: Vec<f64> = pieces.iter().flat_map(|p| p.balls.iter().map(|b| camera.depth(&b.at))).collect();
    balls.iter().sum::<f64>() / balls.len().max(1) as f64
}
