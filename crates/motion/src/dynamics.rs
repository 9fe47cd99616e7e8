//! Inverse dynamics of the whole body by the recursive Newton-Euler method.
//!
//! Outward: velocity and acceleration of every segment, and the force and moment that its inertia and weight
//! demand. Inward: what each joint must carry so that the demands and the outside forces are met. Everything
//! is written in the world frame (ISB: X forward, Y up, Z right), moments about the segment's own joint.
//!
//! Three quantities, never mixed:
//! - **net joint moment**: the moment about a joint that all muscles, ligaments and bones across it give
//!   together, N m ([`Dynamics::moment`]);
//! - **joint reaction**: the net force across a joint, N ([`Dynamics::reaction`]). It is not the force with
//!   which the joint surfaces press on each other: muscles pull across the joint and add to that;
//! - **contact force**: what floor, chair, bed, wall or hand support gives ([`crate::statics`]).

use handrail_anatomy::tree::{SegmentKind, Twists, swing_bias};
use handrail_anatomy::{Body, Coord, Kinematics, N_COORDS, N_SEGMENTS, Pose, SegmentId};
use nalgebra::Vector3;

/// Acceleration of gravity, m/s^2.
pub const GRAVITY: f64 = 9.81;

/// A force from outside on a segment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct External {
    /// Segment it acts on.
    pub segment: SegmentId,
    /// World place, m.
    pub point: Vector3<f64>,
    /// World force, N.
    pub force: Vector3<f64>,
    /// Free moment beside the force, N m.
    pub moment: Vector3<f64>,
}

/// Working store and result of inverse dynamics at one instant. Made once, used for many instants; nothing
/// is allocated while it is used.
#[derive(Clone, Debug)]
pub struct Dynamics {
    /// Kinematics of the instant, with all twists of the computed segments.
    pub kinematics: Kinematics,
    /// Net joint moment that the parent gives the segment about its own joint, world, N m.
    pub moment: [Vector3<f64>; N_SEGMENTS],
    /// Joint reaction: net force that the parent gives the segment at its joint, world, N.
    pub reaction: [Vector3<f64>; N_SEGMENTS],
    /// Net moment by coordinate, N m: positive pushes the coordinate up. Root translations: N.
    pub by_coordinate: [f64; N_COORDS],
    omega: [Vector3<f64>; N_SEGMENTS],
    alpha: [Vector3<f64>; N_SEGMENTS],
    acceleration: [Vector3<f64>; N_SEGMENTS],
    parents: [usize; N_SEGMENTS],
    shoulders: [bool; N_SEGMENTS],
}

impl Default for Dynamics {
    fn default() -> Self {
        let mut parents = [usize::MAX; N_SEGMENTS];
        let mut shoulders = [false; N_SEGMENTS];
        for segment in SegmentId::all() {
            parents[segment.index()] = segment.parent().map_or(usize::MAX, SegmentId::index);
            shoulders[segment.index()] = segment.kind() == SegmentKind::UpperArm;
        }
        let zero = [Vector3::zeros(); N_SEGMENTS];
        Self {
            kinematics: Kinematics::default(),
            moment: zero,
            reaction: zero,
            by_coordinate: [0.0; N_COORDS],
            omega: zero,
            alpha: zero,
            acceleration: zero,
            parents,
            shoulders,
        }
    }
}

impl Dynamics {
    /// Inverse dynamics of one instant: pose (m, rad), its velocity and acceleration, outside forces. Only
    /// the segments in `mask` take part (it must hold the ancestors of its members, and every segment with
    /// mass).
    pub fn solve(
        &mut self,
        body: &Body,
        pose: &Pose,
        velocity: &Pose,
        acceleration: &Pose,
        externals: &[External],
        mask: u64,
    ) {
        self.outward(body, pose, Some((velocity, acceleration)), mask);
        self.inward(externals, mask);
    }

    /// First half: kinematics, and the force and moment that inertia and weight of each segment demand. A
    /// body at rest is given as `rates = None`.
    pub fn outward(&mut self, body: &Body, pose: &Pose, rates: Option<(&Pose, &Pose)>, mask: u64) {
        self.kinematics.update(body, pose, mask, Twists::All);
        if let Some((velocity, acceleration)) = rates {
            self.propagate(pose, velocity, acceleration, mask);
        }
        for segment in SegmentId::all() {
            let i = segment.index();
            self.reaction[i] = Vector3::zeros();
            self.moment[i] = Vector3::zeros();
            let mass = body.segment_mass(segment);
            if mask & (1 << i) == 0 || mass.mass == 0.0 {
                continue;
            }
            let rotation = &self.kinematics.rotation[i];
            let com = rotation * mass.com;
            let mut force = Vector3::new(0.0, mass.mass * GRAVITY, 0.0);
            let mut moment = Vector3::zeros();
            if rates.is_some() {
                let (omega, alpha) = (&self.omega[i], &self.alpha[i]);
                force +=
                    (self.acceleration[i] + alpha.cross(&com) + omega.cross(&omega.cross(&com))) * mass.mass;
                // Euler's equation in the segment's own frame, where its inertia is constant.
                let (local_omega, local_alpha) = (rotation.tr_mul(omega), rotation.tr_mul(alpha));
                let spin = mass.inertia * local_omega;
                moment += rotation * (mass.inertia * local_alpha + local_omega.cross(&spin));
            }
            self.reaction[i] = force;
            self.moment[i] = moment + com.cross(&force);
        }
    }

    /// Force and moment (about the world's origin) that everything outside the body must give together, N
    /// and N m. Valid between [`Dynamics::outward`] and [`Dynamics::inward`].
    pub fn demand(&self) -> (Vector3<f64>, Vector3<f64>) {
        let mut force = Vector3::zeros();
        let mut moment = Vector3::zeros();
        for i in 0..N_SEGMENTS {
            force += self.reaction[i];
            moment += self.moment[i] + self.kinematics.origin[i].cross(&self.reaction[i]);
        }
        (force, moment)
    }

    /// Velocity and acceleration of every segment from those of the coordinates.
    fn propagate(&mut self, pose: &Pose, velocity: &Pose, acceleration: &Pose, mask: u64) {
        let mut next = 0;
        for segment in SegmentId::all() {
            let i = segment.index();
            if mask & (1 << i) == 0 {
                continue;
            }
            let parent = self.parents[i];
            let (mut omega, mut alpha) = if parent == usize::MAX {
                self.acceleration[i] = Vector3::new(
                    acceleration[Coord::ROOT_X],
                    acceleration[Coord::ROOT_Y],
                    acceleration[Coord::ROOT_Z],
                );
                (Vector3::zeros(), Vector3::zeros())
            } else {
                let (omega, alpha) = (self.omega[parent], self.alpha[parent]);
                let arm = self.kinematics.origin[i] - self.kinematics.origin[parent];
                self.acceleration[i] =
                    self.acceleration[parent] + alpha.cross(&arm) + omega.cross(&omega.cross(&arm));
                (omega, alpha)
            };
            if self.shoulders[i] {
                // The two swing axes share one frame: they act together, the twist after them.
                let bias =
                    swing_bias(pose, velocity, segment.side().unwrap_or(handrail_anatomy::Side::Right));
                let [first, second] = [self.kinematics.twists[next], self.kinematics.twists[next + 1]];
                let swing = first.axis * velocity[first.coord] + second.axis * velocity[second.coord];
                alpha += first.axis * acceleration[first.coord]
                    + second.axis * acceleration[second.coord]
                    + self.kinematics.rotation[parent] * bias
                    + omega.cross(&swing);
                omega += swing;
                next += 2;
            }
            while let Some(twist) = self.kinematics.twists.get(next).filter(|it| it.segment == segment) {
                let turn = twist.axis * velocity[twist.coord];
                alpha += twist.axis * acceleration[twist.coord] + omega.cross(&turn);
                omega += turn;
                next += 1;
            }
            self.omega[i] = omega;
            self.alpha[i] = alpha;
        }
    }

    /// Second half: net moment and reaction of every joint under these outside forces.
    pub fn inward(&mut self, externals: &[External], mask: u64) {
        for it in externals {
            let i = self.carrier(it.segment, mask);
            let arm = it.point - self.kinematics.origin[i];
            self.reaction[i] -= it.force;
            self.moment[i] -= it.moment + arm.cross(&it.force);
        }
        for i in (0..N_SEGMENTS).rev() {
            let parent = self.parents[i];
            if mask & (1 << i) == 0 || parent == usize::MAX {
                continue;
            }
            let arm = self.kinematics.origin[i] - self.kinematics.origin[parent];
            let (force, moment) = (self.reaction[i], self.moment[i]);
            self.reaction[parent] += force;
            self.moment[parent] += moment + arm.cross(&force);
        }
        self.by_coordinate.fill(0.0);
        for c in 0..3 {
            self.by_coordinate[c] = self.reaction[0][c];
        }
        for twist in &self.kinematics.twists {
            self.by_coordinate[twist.coord.0] += twist.axis.dot(&self.moment[twist.segment.index()]);
        }
    }

    /// The nearest computed segment towards the root: a force on a toe acts on the foot that carries it.
    fn carrier(&self, segment: SegmentId, mask: u64) -> usize {
        let mut i = segment.index();
        while mask & (1 << i) == 0 {
            i = self.parents[i];
        }
        i
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use handrail_anatomy::tree::ALL_SEGMENTS;
    use handrail_anatomy::{Person, SegmentTable, Sex};

    fn body() -> Body {
        let person = Person { stature: 1.72, mass: 70.0, sex: Sex::Male, measured: Default::default() };
        Body::new(person, SegmentTable::Winter).unwrap()
    }

    fn noise(seed: u64, scale: f64) -> Pose {
        let mut state = seed;
        let mut pose = Pose::default();
        for slot in &mut pose.0 {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            *slot = scale * ((state >> 11) as f64 / (1u64 << 53) as f64 - 0.5);
        }
        pose
    }

    /// Power of the net moments equals the rate of kinetic and potential energy: an independent way to the
    /// same answer.
    #[test]
    fn power_of_the_moments_is_the_rate_of_energy() {
        let body = body();
        for seed in 1..20 {
            let (q, v, a) = (noise(seed, 1.6), noise(seed + 100, 3.0), noise(seed + 200, 8.0));
            let mut dynamics = Dynamics::default();
            dynamics.solve(&body, &q, &v, &a, &[], ALL_SEGMENTS);
            let power: f64 = (0..N_COORDS).map(|i| dynamics.by_coordinate[i] * v.0[i]).sum();
            let energy = |t: f64| {
                let at = |s: f64| {
                    let mut pose = q;
                    for i in 0..N_COORDS {
                        pose.0[i] += v.0[i] * s + 0.5 * a.0[i] * s * s;
                    }
                    Kinematics::of(&body, &pose)
                };
                let h = 1e-5;
                let (before, now, after) = (at(t - h), at(t), at(t + h));
                SegmentId::all()
                    .map(|segment| {
                        let mass = body.segment_mass(segment);
                        let place = |k: &Kinematics| k.point(segment, &mass.com);
                        let speed = (place(&after) - place(&before)) / (2.0 * h);
                        let i = segment.index();
                        let spin = (after.rotation[i] - before.rotation[i]) * now.rotation[i].transpose()
                            / (2.0 * h);
                        let omega = Vector3::new(spin[(2, 1)], spin[(0, 2)], spin[(1, 0)]);
                        let local = now.rotation[i].tr_mul(&omega);
                        0.5 * mass.mass * speed.norm_squared()
                            + 0.5 * local.dot(&(mass.inertia * local))
                            + mass.mass * GRAVITY * place(&now).y
                    })
                    .sum::<f64>()
            };
            let rate = (energy(1e-3) - energy(-1e-3)) / 2e-3;
            // The difference quotient over 2 ms is good to about 1e-5 here.
            assert!((power - rate).abs() < 3e-4 * (1.0 + power.abs()), "{seed}: {power} {rate}");
        }
    }

    /// Weight of a held limb acts at its centre of mass; an outside force that carries the body leaves none.
    #[test]
    fn a_body_held_at_its_centre_of_mass_needs_no_root_force() {
        let body = body();
        let pose = noise(7, 1.0);
        let mut dynamics = Dynamics::default();
        dynamics.outward(&body, &pose, None, ALL_SEGMENTS);
        let (force, moment) = dynamics.demand();
        let com = body.centre_of_mass(&dynamics.kinematics);
        let up = External {
            segment: SegmentId::axial(SegmentKind::Pelvis),
            point: com,
            force,
            moment: Vector3::zeros(),
        };
        assert!((force.y / GRAVITY - 70.0).abs() < 0.03);
        assert!((com.cross(&force) - moment).norm() < 1e-9);
        dynamics.inward(&[up], ALL_SEGMENTS);
        assert!(dynamics.reaction[0].norm() < 1e-9 && dynamics.moment[0].norm() < 1e-9);
    }
}
