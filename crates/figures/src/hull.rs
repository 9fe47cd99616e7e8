//! The convex hull of circles: the one shape that all limbs, clothes and furniture are made of.

use crate::svg::PathData;

/// A circle in the picture plane (y down), picture units.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Circle {
    /// Centre, to the right.
    pub x: f64,
    /// Centre, down.
    pub y: f64,
    /// Radius.
    pub r: f64,
}

impl Circle {
    /// How far the circle reaches in a direction.
    fn support(&self, (sin, cos): (f64, f64)) -> f64 {
        self.x * cos + self.y * sin + self.r
    }

    fn at(&self, angle: f64) -> (f64, f64) {
        let (sin, cos) = libm::sincos(angle);
        (self.x + self.r * cos, self.y + self.r * sin)
    }
}

/// A piece of the hull's edge: an arc of one circle, from one angle to a larger one (radians, y down).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Arc {
    /// Index of the circle.
    pub circle: usize,
    /// First angle.
    pub from: f64,
    /// Last angle.
    pub to: f64,
}

const TURN: f64 = std::f64::consts::TAU;

/// Directions in which two circles reach equally far: where the edge may pass from one to the other.
fn change_angles(a: &Circle, b: &Circle) -> Option<[f64; 2]> {
    let (dx, dy) = (a.x - b.x, a.y - b.y);
    let distance = libm::sqrt(dx * dx + dy * dy);
    if distance < 1e-9 || libm::fabs(b.r - a.r) >= distance {
        return None;
    }
    let towards = libm::atan2(dy, dx);
    let half = libm::acos((b.r - a.r) / distance);
    Some([towards - half, towards + half])
}

/// The arcs of the hull in the order of growing angle. Straight lines join them.
pub fn hull_arcs(circles: &[Circle]) -> Vec<Arc> {
    let mut angles = vec![0.0, TURN];
    for (i, a) in circles.iter().enumerate() {
        for b in &circles[i + 1..] {
            for angle in change_angles(a, b).into_iter().flatten() {
                angles.push(angle - TURN * libm::floor(angle / TURN));
            }
        }
    }
    angles.sort_by(f64::total_cmp);
    let mut arcs: Vec<Arc> = Vec::new();
    for pair in angles.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        if to - from < 1e-9 {
            continue;
        }
        let direction = libm::sincos((from + to) / 2.0);
        // The first of equals wins, so that coinciding circles give one arc.
        let mut best = 0;
        for (i, circle) in circles.iter().enumerate().skip(1) {
            if circle.support(direction) > circles[best].support(direction) + 1e-9 {
                best = i;
            }
        }
        match arcs.last_mut() {
            Some(last) if last.circle == best => last.to = to,
            _ => arcs.push(Arc { circle: best, from, to }),
        }
    }
    // The cut at angle zero is ours, not the hull's.
    if arcs.len() > 1 && arcs[0].circle == arcs[arcs.len() - 1].circle {
        let last = arcs.remove(arcs.len() - 1);
        arcs[0].from = last.from - TURN;
    }
    arcs
}

/// Adds the outline of the hull, grown by `grow` on all sides, to a path.
pub fn push_hull(path: &mut PathData, circles: &[Circle], grow: f64) {
    let grown: Vec<Circle> = circles.iter().map(|c| Circle { r: c.r + grow, ..*c }).collect();
    let mut first = true;
    for arc in hull_arcs(&grown) {
        let circle = &grown[arc.circle];
        let (x, y) = circle.at(arc.from);
        if first {
            path.move_to(x, y);
            first = false;
        } else {
            path.line_to(x, y);
        }
        push_arc(path, circle, &arc);
    }
    if !first {
        path.close();
    }
}

/// Below this many picture units a curve is drawn as a line.
const STRAIGHT: f64 = 0.5;
/// A parabola stands in for an arc, in fewer bytes, while it is off by less than this, picture units.
const PARABOLA: f64 = 0.1;

fn push_arc(path: &mut PathData, circle: &Circle, arc: &Arc) {
    let sweep = arc.to - arc.from;
    // Middle of the parabola with the arc's ends and tangents, against the arc's own.
    let cos = libm::cos(sweep / 2.0);
    let bulge = circle.r * ((cos + 1.0 / cos) / 2.0 - 1.0);
    if sweep * circle.r < STRAIGHT {
        let (x, y) = circle.at(arc.to);
        path.line_to(x, y);
    } else if sweep < 1.6 && bulge < PARABOLA {
        let (x, y) = circle.at(arc.to);
        let corner = Circle { r: circle.r / cos, ..*circle };
        let (cx, cy) = corner.at(arc.from + sweep / 2.0);
        path.quad_to(cx, cy, x, y);
    } else {
        // An SVG arc of more than half a circle needs a flag, and a whole one cannot be written at all.
        let pieces = libm::ceil(sweep / (TURN * 0.45)) as u32;
        for piece in 1..=pieces {
            let (x, y) = circle.at(arc.from + sweep * f64::from(piece) / f64::from(pieces));
            path.arc_to(circle.r, x, y);
        }
    }
}

/// How far a point lies outside the hull (negative inside), by its support in `steps` directions.
pub fn distance_outside(circles: &[Circle], x: f64, y: f64) -> f64 {
    const STEPS: u32 = 32;
    (0..STEPS)
        .map(|i| {
            let direction = libm::sincos(TURN * f64::from(i) / f64::from(STEPS));
            let reach = circles.iter().map(|c| c.support(direction)).fold(f64::MIN, f64::max);
            x * direction.1 + y * direction.0 - reach
        })
        .fold(f64::MIN, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn circles() -> impl Strategy<Value = Vec<Circle>> {
        prop::collection::vec(
            (-200.0..200.0f64, -200.0..200.0f64, 0.0..60.0f64).prop_map(|(x, y, r)| Circle { x, y, r }),
            1..9,
        )
    }

    proptest! {
        /// In every direction the edge reaches exactly as far as the circle that reaches farthest.
        #[test]
        fn the_hull_holds_all_circles_and_no_more(circles in circles()) {
            let arcs = hull_arcs(&circles);
            for step in 0..360 {
                let angle = f64::from(step) * TURN / 360.0 + 0.0017;
                let direction = libm::sincos(angle);
                let all = circles.iter().map(|c| c.support(direction)).fold(f64::MIN, f64::max);
                let on_arc = arcs.iter().find(|a| {
                    [angle - TURN, angle, angle + TURN].iter().any(|t| (a.from..=a.to).contains(t))
                });
                let arc = on_arc.expect("arcs cover the whole turn");
                prop_assert!((circles[arc.circle].support(direction) - all).abs() < 1e-6);
            }
        }

        #[test]
        fn arcs_cover_one_turn(circles in circles()) {
            let sum: f64 = hull_arcs(&circles).iter().map(|a| a.to - a.from).sum();
            prop_assert!((sum - TURN).abs() < 1e-6);
        }
    }

    #[test]
    fn one_circle_is_drawn_in_arcs_below_half_a_turn() {
        let mut path = PathData::default();
        push_hull(&mut path, &[Circle { x: 5.0, y: 5.0, r: 2.0 }], 0.0);
        assert!(path.as_str().matches('a').count() >= 3, "{}", path.as_str());
        assert!(path.as_str().ends_with('z'));
    }
}
