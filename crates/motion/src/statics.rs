//! How the forces that the body needs from outside are shared among its supports at one instant.
//!
//! Rule (own, stated because the forces are indeterminate). A support may push along its surface's normal and
//! rub along the surface; it never pulls. Of all forces that give what the body needs (its weight, its inertia
//! and its resistance, in force and in moment) the ones with the least sum of squares are taken, where rubbing
//! counts a thousand times as much as pushing: it appears only where pushing cannot do it. Grip is not
//! limited. Feet that rub against each other change nothing in this balance; what they may change at the joints
//! of the legs stands beside it ([`crate::repetition::Joints::spread`]). When the supports cannot give the whole moment (the centre of mass is outside them, or they lie on
//! one line), the force is given in full, the moment as nearly as possible, and what is missing is reported.

use nalgebra::{Matrix3, Matrix6, Vector3, Vector6};

/// Square of a rubbing force counts so many times that of a pushing one.
const RUB: f64 = 1e3;
/// A newton that is missing counts like so many newton metres.
const FORCE_FIRST: f64 = 30.0;
/// Added to the diagonal so that supports on a line or a single point are solvable.
const SOFT: f64 = 1e-9;

/// A place where the body is supported.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Support {
    /// World place, m.
    pub place: Vector3<f64>,
    /// Direction in which the surface pushes, unit length.
    pub normal: Vector3<f64>,
}

/// Shares a force and a moment (about the world's origin) among the supports: fills `out` and returns the
/// length of the moment that could not be given. All forces in one unit (N or body weights), moments in that
/// unit times metres.
pub fn share(
    supports: &[Support],
    force: Vector3<f64>,
    moment: Vector3<f64>,
    out: &mut [Vector3<f64>],
) -> f64 {
    out.fill(Vector3::zeros());
    if supports.is_empty() {
        return moment.norm() + force.norm();
    }
    // Moments about the middle of the supports, where force and moment are least mixed.
    let middle = supports.iter().map(|it| it.place).sum::<Vector3<f64>>() / supports.len() as f64;
    let about_middle = moment - middle.cross(&force);
    let mut active: u64 = (1u64 << supports.len()) - 1;
    while active != 0 {
        least_squares(supports, active, &middle, force, about_middle, out);
        let pushes = |i: usize| out[i].dot(&supports[i].normal);
        let worst = (0..supports.len())
            .filter(|&i| active & (1 << i) != 0)
            .min_by(|&a, &b| pushes(a).total_cmp(&pushes(b)));
        match worst {
            Some(i) if pushes(i) < -1e-9 * force.norm() => active &= !(1 << i),
            _ => break,
        }
    }
    let given: Vector3<f64> =
        supports.iter().zip(out.iter()).map(|(it, f)| (it.place - middle).cross(f)).sum();
    (about_middle - given).norm()
}

/// Least weighted squares over the active supports; the others get nothing.
fn least_squares(
    supports: &[Support],
    active: u64,
    middle: &Vector3<f64>,
    force: Vector3<f64>,
    moment: Vector3<f64>,
    out: &mut [Vector3<f64>],
) {
    let mut normal_matrix = Matrix6::from_diagonal_element(SOFT);
    for (i, it) in supports.iter().enumerate() {
        if active & (1 << i) == 0 {
            continue;
        }
        let (give, lever) = (compliance(it), lever(it, middle));
        let cross = lever * give;
        let mut add = |r: usize, c: usize, block: Matrix3<f64>, factor: f64| {
            let mut view = normal_matrix.fixed_view_mut::<3, 3>(r, c);
            view += block * factor;
        };
        add(0, 0, give, FORCE_FIRST * FORCE_FIRST);
        add(3, 0, cross, FORCE_FIRST);
        add(0, 3, cross.transpose(), FORCE_FIRST);
        add(3, 3, cross * lever.transpose(), 1.0);
    }
    let wanted = Vector6::new(
        force.x * FORCE_FIRST,
        force.y * FORCE_FIRST,
        force.z * FORCE_FIRST,
        moment.x,
        moment.y,
        moment.z,
    );
    out.fill(Vector3::zeros());
    let Some(factor) = normal_matrix.cholesky() else { return };
    let lambda = factor.solve(&wanted);
    let (by_force, by_moment) =
        (lambda.fixed_rows::<3>(0) * FORCE_FIRST, lambda.fixed_rows::<3>(3).into_owned());
    for (i, it) in supports.iter().enumerate() {
        if active & (1 << i) != 0 {
            out[i] = compliance(it) * (by_force + lever(it, middle).tr_mul(&by_moment));
        }
    }
}

/// How readily a support gives force in each direction.
fn compliance(support: &Support) -> Matrix3<f64> {
    let n = support.normal;
    Matrix3::from_diagonal_element(1.0 / RUB) + n * n.transpose() * (1.0 - 1.0 / RUB)
}

/// Moment of a force at the support, as a matrix on the force.
fn lever(support: &Support, middle: &Vector3<f64>) -> Matrix3<f64> {
    (support.place - middle).cross_matrix()
}

/// Signed distance (m) of a horizontal place to the edge of the supports' convex hull: positive inside.
pub fn margin(points: &[Vector3<f64>], at: (f64, f64)) -> f64 {
    let hull = convex_hull(points);
    if hull.len() < 3 {
        // A line or a point has no inside.
        let near = |p: &(f64, f64)| libm::hypot(p.0 - at.0, p.1 - at.1);
        return match hull.as_slice() {
            [a, b] => -segment_distance(*a, *b, at),
            [a] => -near(a),
            _ => f64::NEG_INFINITY,
        };
    }
    let mut inside = true;
    let mut least = f64::INFINITY;
    for i in 0..hull.len() {
        let (a, b) = (hull[i], hull[(i + 1) % hull.len()]);
        let cross = (b.0 - a.0) * (at.1 - a.1) - (b.1 - a.1) * (at.0 - a.0);
        inside &= cross >= 0.0;
        least = least.min(segment_distance(a, b, at));
    }
    if inside { least } else { -least }
}

fn segment_distance(a: (f64, f64), b: (f64, f64), p: (f64, f64)) -> f64 {
    let (dx, dz) = (b.0 - a.0, b.1 - a.1);
    let length = dx * dx + dz * dz;
    let t = if length > 0.0 { ((p.0 - a.0) * dx + (p.1 - a.1) * dz) / length } else { 0.0 };
    let t = t.clamp(0.0, 1.0);
    libm::hypot(a.0 + t * dx - p.0, a.1 + t * dz - p.1)
}

/// Convex hull in the horizontal plane, counter-clockwise in (x, z) (Andrew's monotone chain).
fn convex_hull(points: &[Vector3<f64>]) -> Vec<(f64, f64)> {
    let mut sorted: Vec<(f64, f64)> = points.iter().map(|p| (p.x, p.z)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    sorted.dedup();
    if sorted.len() < 3 {
        return sorted;
    }
    let turn =
        |o: (f64, f64), a: (f64, f64), b: (f64, f64)| (a.0 - o.0) * (b.1 - o.1) - (a.1 - o.1) * (b.0 - o.0);
    let half = |points: &mut dyn Iterator<Item = (f64, f64)>| {
        let mut chain: Vec<(f64, f64)> = Vec::new();
        for p in points {
            while chain.len() >= 2 && turn(chain[chain.len() - 2], chain[chain.len() - 1], p) <= 1e-15 {
                chain.pop();
            }
            chain.push(p);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter().copied());
    hull.extend(half(&mut sorted.iter().rev().copied()));
    hull
}

#[cfg(test)]
mod tests {
    use super::*;

    fn feet() -> Vec<Support> {
        [(0.0, -0.1), (0.2, -0.1), (0.0, 0.1), (0.2, 0.1)]
            .map(|(x, z)| Support { place: Vector3::new(x, 0.0, z), normal: Vector3::y() })
            .to_vec()
    }

    fn places() -> Vec<Vector3<f64>> {
        feet().iter().map(|it| it.place).collect()
    }

    /// One body weight whose centre of mass is above this place.
    fn stand(supports: &[Support], x: f64, z: f64) -> (Vec<Vector3<f64>>, f64) {
        let mut out = vec![Vector3::zeros(); supports.len()];
        let missing = share(supports, Vector3::y(), Vector3::new(x, 1.0, z).cross(&Vector3::y()), &mut out);
        (out, missing)
    }

    #[test]
    fn a_level_stance_shares_evenly() {
        let (force, missing) = stand(&feet(), 0.1, 0.0);
        assert!(missing < 1e-6);
        for f in force {
            assert!((f - Vector3::y() * 0.25).norm() < 1e-6, "{f}");
        }
    }

    #[test]
    fn weight_over_one_corner_goes_there() {
        let (force, missing) = stand(&feet(), 0.2, 0.1);
        assert!((force[3].y - 1.0).abs() < 1e-3 && missing < 1e-3, "{force:?} {missing}");
    }

    #[test]
    fn outside_the_supports_is_said_and_the_weight_is_still_carried() {
        let (force, missing) = stand(&feet(), 0.5, 0.0);
        let sum: Vector3<f64> = force.iter().sum();
        assert!((sum - Vector3::y()).norm() < 1e-3, "{sum}");
        assert!((missing - 0.3).abs() < 1e-3, "{missing}");
        assert!((margin(&places(), (0.5, 0.0)) + 0.3).abs() < 1e-12);
        assert!((margin(&places(), (0.1, 0.0)) - 0.1).abs() < 1e-12);
    }

    /// A plank leaning on a wall: were the wall smooth, it would push with weight times lean over height (0.25;
    /// any textbook of statics). Both ends may rub here, so the wall takes a little weight and pushes less.
    #[test]
    fn leaning_on_a_wall_is_pushed_by_the_wall_and_held_by_the_feet() {
        let feet = [
            Support { place: Vector3::new(0.0, 0.0, -0.1), normal: Vector3::y() },
            Support { place: Vector3::new(0.0, 0.0, 0.1), normal: Vector3::y() },
            Support { place: Vector3::new(0.6, 1.2, 0.0), normal: -Vector3::x() },
        ];
        let (force, missing) = stand(&feet, 0.3, 0.0);
        assert!(missing < 1e-3, "{missing}");
        let wall = force[2];
        assert!((-0.25..-0.2).contains(&wall.x) && (0.0..0.1).contains(&wall.y), "{force:?}");
        // Moments about the feet, by hand.
        assert!((0.3 + 1.2 * wall.x - 0.6 * wall.y).abs() < 1e-3, "{force:?}");
        assert!((force[0].x + force[1].x + wall.x).abs() < 1e-3, "{force:?}");
    }
}
