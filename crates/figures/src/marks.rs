//! What is drawn over the figure: the arrow of a motion, the limit in the room, the cross of "not like this".

use nalgebra::Vector3;

use crate::camera::Framing;
use crate::hull::{Circle, distance_outside};
use crate::palette::{ARROW, PAPER, STOP};
use crate::svg::{Ink, PathData, Svg};

/// The way of a motion.
#[derive(Clone, Debug, PartialEq)]
pub struct Arrow {
    /// Real path of a landmark, world, m, from start to end.
    pub path: Vec<Vector3<f64>>,
    /// A head at both ends (to and fro).
    pub both_ways: bool,
}

/// A limit as a line or arc that can be seen in the room.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitMark {
    /// Its points, world, m.
    pub points: Vec<Vector3<f64>>,
}

type Point = (f64, f64);

fn sub(a: Point, b: Point) -> Point {
    (a.0 - b.0, a.1 - b.1)
}

fn length(a: Point) -> f64 {
    libm::sqrt(a.0 * a.0 + a.1 * a.1)
}

fn unit(a: Point) -> Point {
    let l = length(a).max(1e-9);
    (a.0 / l, a.1 / l)
}

fn along(p: Point, d: Point, t: f64) -> Point {
    (p.0 + d.0 * t, p.1 + d.1 * t)
}

/// Total length of a polyline.
fn run(points: &[Point]) -> f64 {
    points.windows(2).map(|p| length(sub(p[1], p[0]))).sum()
}

/// `n` points at equal distances.
fn even(points: &[Point], n: usize) -> Vec<Point> {
    let total = run(points);
    let mut out = Vec::with_capacity(n);
    let (mut i, mut passed) = (0, 0.0);
    for k in 0..n {
        let want = total * k as f64 / (n - 1) as f64;
        while i + 2 < points.len() && passed + length(sub(points[i + 1], points[i])) < want {
            passed += length(sub(points[i + 1], points[i]));
            i += 1;
        }
        let step = sub(points[i + 1], points[i]);
        let share = if length(step) < 1e-9 { 0.0 } else { ((want - passed) / length(step)).clamp(0.0, 1.0) };
        out.push(along(points[i], step, share));
    }
    out
}

/// Moving average that keeps the ends.
fn smooth(points: &[Point]) -> Vec<Point> {
    let mut out = points.to_vec();
    for _ in 0..3 {
        let before = out.clone();
        for i in 1..out.len() - 1 {
            out[i].0 = (before[i - 1].0 + 2.0 * before[i].0 + before[i + 1].0) / 4.0;
            out[i].1 = (before[i - 1].1 + 2.0 * before[i].1 + before[i + 1].1) / 4.0;
        }
    }
    out
}

/// Normal (left of the direction, y down) at each point.
fn normals(points: &[Point]) -> Vec<Point> {
    (0..points.len())
        .map(|i| {
            let (a, b) = (points[i.saturating_sub(1)], points[(i + 1).min(points.len() - 1)]);
            let d = unit(sub(b, a));
            (d.1, -d.0)
        })
        .collect()
}

fn shifted(points: &[Point], by: f64) -> Vec<Point> {
    points.iter().zip(normals(points)).map(|(p, n)| along(*p, n, by)).collect()
}

/// Shortest arrow that can be read, picture units.
const SHORTEST: f64 = 30.0;
/// How far beside its path an arrow may go, steps of 6 picture units.
const FARTHEST: i32 = 8;
/// Steps along an arrow.
const STEPS: usize = 17;

/// The part of a path up to its farthest point from the start: the way there, without the way back.
fn way_there(path: &[Vector3<f64>]) -> &[Vector3<f64>] {
    let Some(start) = path.first() else { return path };
    let mut far = (0, 0.0);
    for (i, p) in path.iter().enumerate() {
        let distance = (p - start).norm();
        if distance > far.1 + 1e-9 {
            far = (i, distance);
        }
    }
    &path[..=far.0]
}

/// The path of an arrow in the picture: smoothed, long enough, and beside the limb rather than on it.
fn arrow_line(framing: &Framing, arrow: &Arrow, figure: &[Vec<Circle>]) -> Option<Vec<Point>> {
    let path = way_there(&arrow.path);
    let (first, last) = (path.first()?, path.last()?);
    let points: Vec<Point> = path.iter().map(|p| framing.place(p)).collect();
    let chord = sub(framing.place(last), framing.place(first));
    // A motion towards the viewer would give a misleading arrow.
    if points.len() < 2 || length(chord) < (0.4 * (last - first).norm() * framing.scale).max(1.5) {
        return None;
    }
    let mut line = smooth(&even(&points, STEPS));
    if length(chord) < SHORTEST {
        // Too short for its own shape: a straight arrow about its middle.
        let (a, d) = (points[0], unit(chord));
        let middle = along(a, chord, 0.5);
        line =
            (0..STEPS).map(|i| along(middle, d, SHORTEST * (i as f64 / (STEPS - 1) as f64 - 0.5))).collect();
    } else if !arrow.both_ways && run(&line) > 3.0 * SHORTEST {
        // Leave the first bit free: the ghost is there.
        line = even(&line[1..], STEPS);
    }
    let cost = |by: f64| {
        let candidate = shifted(&line, by);
        let mut sum = libm::fabs(by) * 0.040;
        // Shifted inwards past its own centre a curve would collapse.
        if run(&candidate) < 0.75 * run(&line) {
            return f64::MAX;
        }
        for p in &candidate {
            let depth = figure.iter().map(|c| -distance_outside(c, p.0, p.1)).fold(-40.0, f64::max);
            sum += (depth + 7.0).clamp(0.0, 14.0) * 0.32;
            let edge = p.0.min(p.1).min(framing.size[0] - p.0).min(framing.size[1] - p.1);
            sum += (10.0 - edge).clamp(0.0, 40.0) * 0.6;
        }
        sum
    };
    let mut best = (f64::MAX, 0.0);
    for step in 0..=FARTHEST {
        for sign in [1.0, -1.0] {
            let by = sign * f64::from(step) * 6.0;
            let c = cost(by);
            if c < best.0 - 1e-9 {
                best = (c, by);
            }
        }
    }
    Some(shifted(&line, best.1))
}

/// Draws an arrow, thin at its tail, with a head at its end.
pub(crate) fn draw_arrow(svg: &mut Svg, framing: &Framing, arrow: &Arrow, figure: &[Vec<Circle>]) {
    let Some(line) = arrow_line(framing, arrow, figure) else { return };
    let total = run(&line);
    let head = (total * 0.36).clamp(9.0, 15.0);
    let share = (head / total).min(0.45);
    let cut = |points: &[Point], from: f64, to: f64| -> Vec<Point> {
        let fine = even(points, 65);
        let (a, b) = ((from * 64.0) as usize, (to * 64.0) as usize);
        even(&fine[a..=b.max(a + 1)], 11)
    };
    let from = if arrow.both_ways { share } else { 0.0 };
    let shaft = cut(&line, from, 1.0 - share);
    let n = normals(&shaft);
    let half = |i: usize| {
        let t = i as f64 / (shaft.len() - 1) as f64;
        if arrow.both_ways { 2.4 } else { 1.0 + 1.9 * t }
    };
    let mut path = PathData::default();
    let left: Vec<Point> = (0..shaft.len()).map(|i| along(shaft[i], n[i], half(i))).collect();
    let right: Vec<Point> = (0..shaft.len()).map(|i| along(shaft[i], n[i], -half(i))).collect();
    path.move_to(left[0].0, left[0].1);
    let last = line[line.len() - 1];
    let join = shaft[shaft.len() - 1];
    for p in &left[1..] {
        path.line_to(p.0, p.1);
    }
    head_points(&mut path, join, last, head);
    for p in right.iter().rev() {
        path.line_to(p.0, p.1);
    }
    if arrow.both_ways {
        head_points(&mut path, shaft[0], line[0], head);
    }
    path.close();
    svg.path(&path, &Ink { fill: PAPER, stroke: PAPER, width: 3.4, ..Ink::default() });
    svg.path(&path, &Ink { fill: ARROW, class: "arrow", ..Ink::default() });
}

/// The three corners of a head from its left wing over the tip to the right wing.
fn head_points(path: &mut PathData, join: Point, tip: Point, head: f64) {
    let d = unit(sub(tip, join));
    let n = (d.1, -d.0);
    let base = along(tip, d, -head);
    let wing = head * 0.56;
    for p in [along(base, n, wing), tip, along(base, n, -wing)] {
        path.line_to(p.0, p.1);
    }
}

/// Draws a limit: a dashed line with a bar at each end, so that it reads without colour.
pub(crate) fn draw_limit(svg: &mut Svg, framing: &Framing, limit: &LimitMark) {
    let points: Vec<Point> = limit.points.iter().map(|p| framing.place(p)).collect();
    if points.len() < 2 {
        return;
    }
    let mut path = PathData::default();
    path.move_to(points[0].0, points[0].1);
    for p in &points[1..] {
        path.line_to(p.0, p.1);
    }
    svg.path(&path, &Ink { fill: "none", stroke: PAPER, width: 6.0, ..Ink::default() });
    svg.path(
        &path,
        &Ink { fill: "none", stroke: STOP, width: 2.8, dash: "8 5.5", class: "limit", under: false },
    );
    let mut bars = PathData::default();
    let last = points.len() - 1;
    for (end, next) in [(points[0], points[1]), (points[last], points[last - 1])] {
        let d = unit(sub(next, end));
        let n = (d.1, -d.0);
        let (a, b) = (along(end, n, 8.0), along(end, n, -8.0));
        bars.move_to(a.0, a.1);
        bars.line_to(b.0, b.1);
    }
    svg.path(&bars, &Ink { fill: "none", stroke: STOP, width: 2.8, class: "limit", ..Ink::default() });
}

fn cross(at: Point, half: f64) -> PathData {
    let mut path = PathData::default();
    for s in [1.0, -1.0] {
        path.move_to(at.0 - half, at.1 - half * s);
        path.line_to(at.0 + half, at.1 + half * s);
    }
    path
}

/// Marks the spot of a mistake with a cross.
pub(crate) fn draw_fault(svg: &mut Svg, framing: &Framing, at: &Vector3<f64>) {
    let path = cross(framing.place(at), 11.0);
    svg.path(&path, &Ink { fill: "none", stroke: PAPER, width: 9.0, ..Ink::default() });
    svg.path(&path, &Ink { fill: "none", stroke: STOP, width: 5.0, ..Ink::default() });
}

/// Left end and middle height of the corner in which a mark of this length hides least: rather furniture than
/// the figure.
fn free_corner([w, h]: [f64; 2], long: f64, figure: &[Vec<Circle>], furniture: &[Vec<Circle>]) -> Point {
    /// One probe on the figure counts as much as these on furniture.
    const FIGURE: usize = 4;
    let on = |hulls: &[Vec<Circle>], p: Point| hulls.iter().any(|c| distance_outside(c, p.0, p.1) < 4.0);
    let hidden = |left: f64, middle: f64| -> usize {
        let probes = (0..=24)
            .flat_map(|i| [-14.0, 0.0, 14.0].map(|dy| (left + long * f64::from(i) / 24.0, middle + dy)));
        probes.map(|p| FIGURE * usize::from(on(figure, p)) + usize::from(on(furniture, p))).sum()
    };
    let corners = [(15.0, 31.0), (w - 15.0 - long, 31.0), (15.0, h - 31.0), (w - 15.0 - long, h - 31.0)];
    corners.into_iter().min_by_key(|c| hidden(c.0, c.1)).unwrap_or((15.0, 31.0))
}

/// The frame of a "not like this" picture: a heavy double border, a badge with a cross, and the word, in the
/// corner where they hide least.
pub(crate) fn draw_not(
    svg: &mut Svg,
    size: [f64; 2],
    word: Option<(&str, &str)>,
    figure: &[Vec<Circle>],
    furniture: &[Vec<Circle>],
) {
    const LETTER: f64 = 19.0;
    let [w, h] = size;
    let none = Ink { fill: "none", stroke: STOP, ..Ink::default() };
    svg.rect([2.5, 2.5], [w - 5.0, h - 5.0], 6.0, &Ink { width: 5.0, ..none });
    svg.rect([8.5, 8.5], [w - 17.0, h - 17.0], 2.0, &Ink { width: 1.2, ..none });
    // Wide letters of a bold face; only the choice of the corner rests on this.
    let long = 40.0 + word.map_or(0.0, |(word, _)| 6.0 + word.chars().count() as f64 * LETTER * 0.56);
    let (left, middle) = free_corner(size, long, figure, furniture);
    let mut badge = PathData::default();
    crate::hull::push_hull(&mut badge, &[Circle { x: left + 16.0, y: middle, r: 16.0 }], 0.0);
    svg.path(&badge, &Ink { fill: PAPER, stroke: STOP, width: 3.6, ..Ink::default() });
    let strokes = cross((left + 16.0, middle), 7.5);
    svg.path(&strokes, &Ink { fill: "none", stroke: STOP, width: 5.0, ..Ink::default() });
    if let Some((word, family)) = word {
        svg.words([left + 39.0, middle + 7.0], LETTER, family, STOP, word);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::camera::{Crop, View};
    use crate::{Accent, Frame, Subject};
    use handrail_anatomy::body::MeasuredLengths;
    use handrail_anatomy::{Body, Person, Pose, SegmentTable, Sex, Side};

    fn framing(body: &Body) -> Framing {
        let subject = Subject { body, working: Side::Right, accent: Accent::Leg };
        let frame = Frame { pose: &Pose::default(), props: &[], time: 0.0 };
        Framing::fit(View::Side, Crop::Whole, &subject, &[frame], [420.0, 280.0])
    }

    fn body() -> Body {
        let measured = MeasuredLengths::default();
        let person = Person { stature: 1.7, mass: 70.0, sex: Sex::Female, measured };
        Body::new(person, SegmentTable::Winter).unwrap()
    }

    /// An arc around the origin, radius and sweep in m and radians, there and (maybe) back.
    fn arc(radius: f64, sweep: f64, back: bool) -> Vec<Vector3<f64>> {
        let at = |a: f64| Vector3::new(radius * libm::cos(a), radius * libm::sin(a), 0.0);
        let mut path: Vec<_> = (0..=20).map(|i| at(sweep * f64::from(i) / 20.0)).collect();
        if back {
            path.extend(path.clone().into_iter().rev());
        }
        path
    }

    /// Whatever stands in its way, an arrow stays long enough to be read.
    #[test]
    fn an_arrow_never_collapses() {
        let framing = framing(&body());
        for (radius, sweep) in [(0.25, 1.2), (0.1, 2.5), (0.03, 1.0), (0.6, 0.8)] {
            let arrow = Arrow { path: arc(radius, sweep, false), both_ways: false };
            // A wide block over the path and everything outside its curve.
            let (x, y) = framing.place(&Vector3::zeros());
            let block = vec![Circle { x: x + radius * framing.scale, y, r: 60.0 }];
            let line = arrow_line(&framing, &arrow, &[block]).unwrap();
            assert!(run(&line) > 0.7 * SHORTEST, "{radius} {sweep}: {}", run(&line));
        }
    }

    /// The mark goes where neither figure nor furniture is, and rather over a table than over the figure.
    #[test]
    fn a_mark_goes_to_the_free_corner() {
        let size = [420.0, 300.0];
        let ball = |x: f64, y: f64| vec![Circle { x, y, r: 50.0 }];
        let figure = [ball(60.0, 40.0)];
        let table = [ball(360.0, 40.0), ball(60.0, 260.0)];
        let corner = |figure: &[Vec<Circle>], table: &[Vec<Circle>]| free_corner(size, 160.0, figure, table);
        assert_eq!(corner(&[], &[]), (15.0, 31.0));
        assert_eq!(corner(&figure, &[]), (245.0, 31.0));
        assert_eq!(corner(&figure, &table), (245.0, 269.0));
        let everywhere = [ball(60.0, 40.0), ball(360.0, 40.0), ball(360.0, 260.0)];
        assert_eq!(corner(&everywhere, &table), (15.0, 269.0));
    }

    #[test]
    fn a_path_there_and_back_gives_the_way_there() {
        let framing = framing(&body());
        let line = |back| arrow_line(&framing, &Arrow { path: arc(0.4, 1.0, back), both_ways: false }, &[]);
        assert_eq!(line(false), line(true));
    }
}
