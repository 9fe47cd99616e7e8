//! Net joint moments of a solved repetition by free bodies: everything beyond a joint is cut off and its weight,
//! inertia, contacts and resistance are summed about the joint.
//!
//! Shares no formula with the recursive method: velocities and accelerations are differences of the solved
//! places and orientations of neighbouring samples, never rates of coordinates; each joint is its own sum.

use handrail_anatomy::tree::SegmentKind;
use handrail_anatomy::{Body, Kinematics, SegmentId};
use handrail_motion::posture::Surface;
use handrail_motion::{Motion, Repetition, SpanKind};
use nalgebra::{Matrix3, Vector3};

/// m/s^2.
const G: f64 = 9.81;
/// A force along a surface's push that still counts as none, body weights.
const PULL: f64 = 1e-6;
/// By how much a solved place may jump between neighbouring samples, m: the solver stops once its last step was
/// below 0.3 mm, and how many steps it needs changes from sample to sample (the largest jump found is 5e-6).
const JITTER: f64 = 6e-6;
/// So many times the difference between three- and five-sample accelerations covers the error of both methods.
/// Where a path is curved, the least-squares parabolas of the recursive method are off by 4.4 times that
/// difference; where the solver's path jumps between two samples, the two methods differ by 6.2 times it.
const TRUNCATION: f64 = 10.0;

/// A force on a place of a segment, N.
#[derive(Clone, Copy, Debug)]
struct Force {
    segment: SegmentId,
    place: Vector3<f64>,
    force: Vector3<f64>,
}

/// What a segment's weight and inertia ask for at one sample.
#[derive(Clone, Copy, Debug, Default)]
struct Demand {
    com: Vector3<f64>,
    force: Vector3<f64>,
    spin: Vector3<f64>,
}

/// A repetition cut into free bodies.
pub struct FreeBodies {
    kinematics: Vec<Kinematics>,
    /// Of the segments with mass.
    demands: Vec<Vec<(SegmentId, Demand)>>,
    forces: Vec<Vec<Force>>,
    doubt: Vec<f64>,
    /// True when size and direction of the resistance can be read from the exercise, or there is none.
    pub resistance_is_known: bool,
    weight: f64,
}

/// What a joint carries: the force and the moment about it that the near side gives to the far side.
#[derive(Clone, Copy, Debug)]
pub struct Carried {
    /// N, world.
    pub force: Vector3<f64>,
    /// N m, world.
    pub moment: Vector3<f64>,
}

impl FreeBodies {
    /// Cuts a repetition, which should be solved finely.
    pub fn new(motion: &Motion, body: &Body, repetition: &Repetition) -> FreeBodies {
        let kinematics: Vec<Kinematics> =
            repetition.samples.iter().map(|it| Kinematics::of(body, &it.pose)).collect();
        let heavy: Vec<SegmentId> = SegmentId::all().filter(|it| body.segment_mass(*it).mass > 0.0).collect();
        let demands = (0..kinematics.len())
            .map(|i| {
                let stencil = stencil(repetition, i);
                let demand = |it: &SegmentId| (*it, demand(body, &kinematics, *it, i, stencil.as_ref()));
                heavy.iter().map(demand).collect()
            })
            .collect();
        let doubt = (0..kinematics.len())
            .map(|i| {
                let stencil = stencil(repetition, i);
                let of =
                    |it: &SegmentId| stencil.as_ref().map_or(0.0, |s| doubt(body, &kinematics, *it, i, s));
                heavy.iter().map(of).fold(0.0, f64::max)
            })
            .collect();
        let weight = body.mass() * G;
        let mut forces: Vec<Vec<Force>> = (0..kinematics.len())
            .map(|i| {
                let contact = |it: &handrail_motion::repetition::ContactTrack| Force {
                    segment: it.landmark.local(body, it.side).0,
                    place: it.landmark.place(body, &kinematics[i], it.side),
                    force: it.force[i] * weight,
                };
                repetition.contacts.iter().map(contact).collect()
            })
            .collect();
        let resistance_is_known = match resistance(motion, body, repetition, &kinematics) {
            Some(pulls) => {
                forces.iter_mut().zip(pulls).for_each(|(all, pulls)| all.extend(pulls));
                true
            }
            None => motion.resistance.as_ref().is_none_or(|it| it.kind == "body_weight"),
        };
        FreeBodies { kinematics, demands, forces, doubt, resistance_is_known, weight }
    }

    /// Kinematics of a sample.
    pub fn kinematics(&self, sample: usize) -> &Kinematics {
        &self.kinematics[sample]
    }

    /// How far accelerations at a sample are in doubt, m/s^2: what the solver's last digits make of them, and
    /// what a stop within a few samples makes of any difference.
    pub fn doubt(&self, sample: usize) -> f64 {
        self.doubt[sample]
    }

    /// Cut at the near joint of a segment: all that lies beyond it.
    pub fn cut(&self, segment: SegmentId, sample: usize) -> Carried {
        let joint = self.kinematics[sample].origin[segment.index()];
        let mut out = Carried { force: Vector3::zeros(), moment: Vector3::zeros() };
        for (_, demand) in self.demands[sample].iter().filter(|it| is_beyond(it.0, segment)) {
            out.force += demand.force;
            out.moment += (demand.com - joint).cross(&demand.force) + demand.spin;
        }
        for it in self.forces[sample].iter().filter(|it| is_beyond(it.segment, segment)) {
            out.force -= it.force;
            out.moment -= (it.place - joint).cross(&it.force);
        }
        out
    }

    /// What is left over of force (body weights) and moment (body weights times metres, about the pelvis) when
    /// the whole body is cut free: zero by Newton's laws.
    pub fn left_over(&self, sample: usize) -> (f64, f64) {
        let cut = self.cut(SegmentId::axial(SegmentKind::Pelvis), sample);
        (cut.force.norm() / self.weight, cut.moment.norm() / self.weight)
    }
}

/// True when the segment is the other one or hangs on it.
fn is_beyond(segment: SegmentId, joint: SegmentId) -> bool {
    std::iter::successors(Some(segment), |it| it.parent()).any(|it| it == joint)
}

/// How to differentiate at a sample: five samples of one move at even steps, and the weights of the first and
/// second derivative (textbook formulas of the fourth and third order).
struct Stencil {
    first_sample: usize,
    step: f64,
    speed: [f64; 5],
    growth: [f64; 5],
}

/// The stencil of a sample inside a move; `None` where the body rests or a move begins or ends (smooth steps
/// begin and end at rest).
fn stencil(repetition: &Repetition, sample: usize) -> Option<Stencil> {
    let time = repetition.samples[sample].time;
    let span = repetition
        .spans
        .iter()
        .find(|it| it.kind == SpanKind::Move && it.start + 1e-9 < time && time < it.end - 1e-9)?;
    let within = |it: &usize| {
        repetition
            .samples
            .get(*it)
            .is_some_and(|it| span.start - 1e-9 <= it.time && it.time <= span.end + 1e-9)
    };
    // Samples of a hold share their time with the end of a move: only neighbours count.
    let before = (1..=2).take_while(|it| sample.checked_sub(*it).as_ref().is_some_and(within)).count();
    let after = (1..=2).take_while(|it| within(&(sample + it))).count();
    let step = repetition.samples[sample + 1].time - time;
    let (speed, growth) = match (before, after) {
        (2, 2) => ([1.0, -8.0, 0.0, 8.0, -1.0], [-1.0, 16.0, -30.0, 16.0, -1.0]),
        (1, _) => ([-3.0, -10.0, 18.0, -6.0, 1.0], [11.0, -20.0, 6.0, 4.0, -1.0]),
        (_, 1) => ([-1.0, 6.0, -18.0, 10.0, 3.0], [-1.0, 4.0, 6.0, -20.0, 11.0]),
        _ => return None,
    };
    let first_sample = if after == 1 { sample - 3 } else { sample - before };
    Some(Stencil {
        first_sample,
        step,
        speed: speed.map(|it| it / (12.0 * step)),
        growth: growth.map(|it| it / (12.0 * step * step)),
    })
}

impl Stencil {
    /// First and second derivative of a vector over time.
    fn derivatives(&self, at: impl Fn(usize) -> Vector3<f64>) -> (Vector3<f64>, Vector3<f64>) {
        let (mut speed, mut growth) = (Vector3::zeros(), Vector3::zeros());
        for i in 0..5 {
            let value = at(self.first_sample + i);
            speed += value * self.speed[i];
            growth += value * self.growth[i];
        }
        (speed, growth)
    }
}

fn demand(
    body: &Body,
    kinematics: &[Kinematics],
    segment: SegmentId,
    sample: usize,
    stencil: Option<&Stencil>,
) -> Demand {
    let mass = body.segment_mass(segment);
    let com = |it: usize| kinematics[it].point(segment, &mass.com);
    let mut out = Demand { com: com(sample), force: Vector3::y() * (mass.mass * G), spin: Vector3::zeros() };
    let Some(stencil) = stencil else { return out };
    out.force += stencil.derivatives(com).1 * mass.mass;
    // Turns away from the present orientation: there their derivatives are the angular velocity and acceleration.
    let turned = |it: usize| &kinematics[it].rotation[segment.index()];
    let (omega, alpha) = stencil.derivatives(|it| turn(turned(sample), turned(it)));
    let inertia = turned(sample) * mass.inertia * turned(sample).transpose();
    out.spin = inertia * alpha + omega.cross(&(inertia * omega));
    out
}

/// Doubt about the acceleration of a segment's centre of mass.
fn doubt(
    body: &Body,
    kinematics: &[Kinematics],
    segment: SegmentId,
    sample: usize,
    stencil: &Stencil,
) -> f64 {
    let com = |it: usize| kinematics[it].point(segment, &body.segment_mass(segment).com);
    let three = (com(sample + 1) - com(sample) * 2.0 + com(sample - 1)) / (stencil.step * stencil.step);
    let truncation = (stencil.derivatives(com).1 - three).norm();
    let jitter = JITTER * stencil.growth.iter().map(|it| it.abs()).sum::<f64>() / 2.0;
    TRUNCATION * truncation + jitter
}

/// Turn from one orientation to the next as a vector along its axis, radians (less than a quarter turn).
fn turn(from: &Matrix3<f64>, to: &Matrix3<f64>) -> Vector3<f64> {
    let r = to * from.transpose();
    let axis = Vector3::new(r[(2, 1)] - r[(1, 2)], r[(0, 2)] - r[(2, 0)], r[(1, 0)] - r[(0, 1)]) / 2.0;
    let sine = axis.norm();
    if sine < 1e-12 { axis } else { axis * (libm::asin(sine.min(1.0)) / sine) }
}

/// Forces of a weight, band or cord at each sample, as the exercise describes them; `None` where size or
/// direction is missing or there is no such resistance.
fn resistance(
    motion: &Motion,
    body: &Body,
    repetition: &Repetition,
    kinematics: &[Kinematics],
) -> Option<Vec<Vec<Force>>> {
    let it = motion.resistance.as_ref()?;
    let kg = it.kg.as_ref().and(repetition.resistance_kg)?;
    let (limb, landmark) = it.at?;
    let side = limb.side(repetition.side);
    let (segment, _) = landmark.local(body, side);
    let at = |k: &Kinematics| landmark.place(body, k, side);
    if it.kind == "weight" {
        let down = |k| vec![Force { segment, place: at(k), force: Vector3::y() * (-kg * G) }];
        return Some(kinematics.iter().map(down).collect());
    }
    if it.kind != "band" && it.kind != "cord" {
        return None;
    }
    let first = at(&kinematics[0]);
    let far = |k: &Kinematics| match (it.to, it.anchor) {
        (Some((limb, landmark)), _) => Some(landmark.place(body, k, limb.side(repetition.side))),
        (None, Some([x, y, z])) => Some(first + Vector3::new(x, y, z * repetition.side.outward())),
        (None, None) => repetition.room.wall.map(|x| Vector3::new(x, first.y, first.z)),
    };
    far(&kinematics[0])?;
    let length = |k: &Kinematics| far(k).map_or(0.0, |end| (end - at(k)).norm());
    let keys: Vec<f64> = repetition.key_samples.iter().map(|&it| length(&kinematics[it])).collect();
    let shortest = keys.iter().copied().fold(f64::INFINITY, f64::min);
    let longest = keys.iter().copied().fold(0.0, f64::max);
    let pull = |k: &Kinematics| {
        let stretched = longest - shortest;
        if it.kind == "cord" || stretched < 1e-3 {
            return kg * G;
        }
        // A line from the share at the shortest to the whole at the longest.
        let share = ((length(k) - shortest) / stretched).clamp(0.0, 1.0);
        kg * G * (it.pull_at_shortest * (1.0 - share) + share)
    };
    let both = |k: &Kinematics| {
        let Some(end) = far(k) else { return Vec::new() };
        let force = (end - at(k)).normalize() * pull(k);
        let mut out = vec![Force { segment, place: at(k), force }];
        if let Some((limb, landmark)) = it.to {
            let (segment, _) = landmark.local(body, limb.side(repetition.side));
            out.push(Force { segment, place: end, force: -force });
        }
        out
    };
    Some(kinematics.iter().map(both).collect())
}

/// Contacts that pull the body instead of pushing it, in words.
pub fn pulling_contacts(repetition: &Repetition) -> Vec<String> {
    let behind = repetition.room.wall.is_some_and(|it| it < 0.0);
    let mut out = Vec::new();
    for it in &repetition.contacts {
        let push = match it.on {
            Some(Surface::Wall) if behind => Vector3::x(),
            Some(Surface::Wall) => -Vector3::x(),
            _ => Vector3::y(),
        };
        if let Some(force) = it.force.iter().find(|force| force.dot(&push) < -PULL) {
            out.push(format!("{} {} is pulled with {force:?}", it.side.word(), it.landmark.id()));
        }
    }
    out
}
