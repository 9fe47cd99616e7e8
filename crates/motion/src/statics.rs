//! How body weight is shared among the supports of one instant.
//!
//! Rule (own, stated because the forces are indeterminate): contacts that bear only a resting limb carry the
//! weight of that limb's last two segments. What is left of body weight is shared by the contacts that bear
//! the body: vertical forces, none pulling, that balance weight and its moments with the least sum of
//! squares. When the centre of mass is outside the supports no such forces exist; then the nearest support
//! carries all of it and the margin is negative.

use nalgebra::{Matrix3, Vector3};

/// Vertical forces (in body weights, sum `weight`) on support points that balance `weight` acting at the
/// horizontal place `at` (x, z in metres). Fills `force` and returns false when no balance without pulling
/// exists.
pub fn share(points: &[Vector3<f64>], weight: f64, at: (f64, f64), force: &mut [f64]) -> bool {
    force.fill(0.0);
    if points.is_empty() {
        return false;
    }
    let mut active: u64 = (1u64 << points.len()) - 1;
    for _ in 0..points.len() {
        if !least_squares(points, active, weight, at, force) {
            break;
        }
        let worst = (0..points.len())
            .filter(|&i| active & (1 << i) != 0)
            .min_by(|&a, &b| force[a].total_cmp(&force[b]));
        match worst {
            Some(i) if force[i] < -1e-12 => active &= !(1 << i),
            _ => return balanced(points, weight, at, force),
        }
    }
    force.fill(0.0);
    let nearest =
        (0..points.len()).min_by(|&a, &b| distance(points[a], at).total_cmp(&distance(points[b], at)));
    if let Some(i) = nearest {
        force[i] = weight;
    }
    false
}

fn distance(point: Vector3<f64>, at: (f64, f64)) -> f64 {
    libm::hypot(point.x - at.0, point.z - at.1)
}

/// Least-norm forces of the active points; false when the points cannot balance (a singular system).
fn least_squares(
    points: &[Vector3<f64>],
    active: u64,
    weight: f64,
    at: (f64, f64),
    force: &mut [f64],
) -> bool {
    force.fill(0.0);
    let mut normal = Matrix3::zeros();
    let row = |p: &Vector3<f64>| Vector3::new(1.0, p.x - at.0, p.z - at.1);
    for (i, p) in points.iter().enumerate() {
        if active & (1 << i) != 0 {
            let a = row(p);
            normal += a * a.transpose();
        }
    }
    // A little on the diagonal lets two or one points (a line, a point) balance what they can.
    let scale = normal[(0, 0)].max(1.0);
    let Some(inverse) = (normal + Matrix3::from_diagonal_element(scale * 1e-12)).try_inverse() else {
        return false;
    };
    let lambda = inverse * Vector3::new(weight, 0.0, 0.0);
    for (i, p) in points.iter().enumerate() {
        if active & (1 << i) != 0 {
            force[i] = row(p).dot(&lambda);
        }
    }
    active != 0
}

fn balanced(points: &[Vector3<f64>], weight: f64, at: (f64, f64), force: &[f64]) -> bool {
    let mut sum = Vector3::zeros();
    for (p, f) in points.iter().zip(force) {
        sum += Vector3::new(1.0, p.x - at.0, p.z - at.1) * *f;
    }
    (sum - Vector3::new(weight, 0.0, 0.0)).norm() < 1e-3 * weight.max(0.1)
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

    fn feet() -> Vec<Vector3<f64>> {
        vec![
            Vector3::new(0.0, 0.0, -0.1),
            Vector3::new(0.2, 0.0, -0.1),
            Vector3::new(0.0, 0.0, 0.1),
            Vector3::new(0.2, 0.0, 0.1),
        ]
    }

    #[test]
    fn a_level_stance_shares_evenly() {
        let mut force = [0.0; 4];
        assert!(share(&feet(), 1.0, (0.1, 0.0), &mut force));
        for f in force {
            assert!((f - 0.25).abs() < 1e-9);
        }
    }

    #[test]
    fn weight_over_one_corner_goes_there() {
        let mut force = [0.0; 4];
        assert!(share(&feet(), 1.0, (0.2, 0.1), &mut force));
        assert!((force[3] - 1.0).abs() < 1e-3, "{force:?}");
    }

    #[test]
    fn outside_the_supports_is_said() {
        let mut force = [0.0; 4];
        assert!(!share(&feet(), 1.0, (0.5, 0.0), &mut force));
        assert!((margin(&feet(), (0.5, 0.0)) + 0.3).abs() < 1e-12);
        assert!((margin(&feet(), (0.1, 0.0)) - 0.1).abs() < 1e-12);
    }
}
