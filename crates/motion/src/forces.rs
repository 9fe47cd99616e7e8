//! What acts on the body from outside at one instant, and what every joint must carry then.
//!
//! Order of the rule: (1) weight and inertia of the segments say what the body needs; (2) a weight, band or
//! cord gives its part; (3) a limb that only rests stands on its own contacts; (4) the contacts that bear the
//! body share what is left ([`crate::statics`]); (5) inverse dynamics gives net moments and reactions.

use handrail_anatomy::tree::{SegmentKind, Twists};
use handrail_anatomy::{Body, Coord, Dof, Kinematics, N_COORDS, Pose, SegmentId, Side};
use nalgebra::Vector3;

use crate::compile::Motion;
use crate::dynamics::{Dynamics, External, GRAVITY};
use crate::posture::Surface;
use crate::repetition::{ContactTrack, Joints, Room, Sample};
use crate::spec::{Bears, Hold};
use crate::statics::{Support, margin, share};

/// Most contact points of one pose.
const MOST: usize = 64;
/// A resting contact that has risen by more than this no longer bears, m (own choice: what flesh and cushion
/// give).
const IN_THE_AIR: f64 = 0.015;
/// Two feet may rub against each other with this share of the smaller push (own choice; published push and
/// brake forces in lunges and stance are of that order, from memory, unconfirmed).
const RUBBING: f64 = 0.15;

/// Velocity and acceleration of all coordinates.
pub(crate) type Rates<'a> = Option<(&'a Pose, &'a Pose)>;

/// A point of the body that touches something.
struct Touch {
    segment: SegmentId,
    local: Vector3<f64>,
    normal: Vector3<f64>,
    bears: Bears,
    side: Side,
    leg: bool,
    /// On the lower leg or foot (forearm or hand): counts as load through the limb.
    far: bool,
    /// On the foot (hand).
    end: bool,
    /// Lowest place along the normal in the key poses, m, for a contact that only rests: it bears while it
    /// lies there, not in the air. `None` for one that an equation holds on its surface.
    lies_at: Option<f64>,
}

/// A force that resists.
enum Pull {
    /// Straight down.
    Weight,
    /// Towards a fixed place in the room.
    Anchor(Vector3<f64>),
    /// Towards another point of the body, which feels the opposite.
    Body(SegmentId, Vector3<f64>),
}

/// A weight, band or cord on this body.
struct Resisting {
    segment: SegmentId,
    local: Vector3<f64>,
    pull: Pull,
    /// Largest force, N.
    most: f64,
    /// Share of it at the shortest length.
    at_shortest: f64,
    /// Shortest and longest length, m; equal for a force that does not change.
    lengths: (f64, f64),
}

/// Everything outside the body, with the working stores for one instant after another.
pub(crate) struct Outside<'a> {
    body: &'a Body,
    touches: Vec<Touch>,
    resisting: Option<Resisting>,
    mask: u64,
    dynamics: Dynamics,
    externals: Vec<External>,
    places: Vec<Vector3<f64>>,
    forces: Vec<Vector3<f64>>,
    supports: Vec<Support>,
    shared: Vec<Vector3<f64>>,
    bearing: Vec<usize>,
}

impl<'a> Outside<'a> {
    /// For the contacts of a solved motion. The key poses say where a band is fastened, how far it stretches and
    /// where a resting contact lies.
    pub fn new(
        motion: &Motion,
        body: &'a Body,
        side: Side,
        contacts: &[ContactTrack],
        room: &Room,
        keys: &[Pose],
        kg: Option<f64>,
    ) -> Outside<'a> {
        let mut touches: Vec<Touch> = contacts.iter().map(|it| touch(it, body, room)).collect();
        let mut kinematics = Kinematics::default();
        for (it, track) in touches.iter_mut().zip(contacts).filter(|it| it.1.hold == Hold::Rests) {
            let mut lowest = f64::INFINITY;
            for pose in keys {
                kinematics.update(body, pose, it.segment.chain_mask(), Twists::Skip);
                lowest = lowest.min(kinematics.point(it.segment, &it.local).dot(&push(track.on, room)));
            }
            it.lies_at = Some(lowest);
        }
        let n = touches.len();
        let bearing = (0..n).filter(|&i| touches[i].bears == Bears::Body).collect();
        let mut out = Outside {
            body,
            touches,
            resisting: None,
            mask: crate::solve::mass_mask(),
            dynamics: Dynamics::default(),
            externals: Vec::with_capacity(n + 2),
            places: vec![Vector3::zeros(); n],
            forces: vec![Vector3::zeros(); n],
            supports: Vec::with_capacity(n),
            shared: vec![Vector3::zeros(); n],
            bearing,
        };
        for it in &out.touches {
            out.mask |= it.segment.chain_mask();
        }
        out.resisting = out.resist(motion, side, room, keys, kg);
        out
    }

    /// True when the size and direction of the resistance are known, or there is none.
    pub fn resistance_is_known(&self, motion: &Motion) -> bool {
        self.resisting.is_some() || motion.resistance.as_ref().is_none_or(|it| it.kind == "body_weight")
    }

    fn resist(
        &mut self,
        motion: &Motion,
        side: Side,
        room: &Room,
        keys: &[Pose],
        kg: Option<f64>,
    ) -> Option<Resisting> {
        let it = motion.resistance.as_ref().filter(|it| it.kind != "body_weight")?;
        let (limb, landmark) = it.at?;
        let (segment, local) = landmark.local(self.body, limb.side(side));
        self.mask |= segment.chain_mask();
        let mut kinematics = Kinematics::default();
        let body = self.body;
        let mut place = |pose: &Pose, segment: SegmentId, local: &Vector3<f64>| {
            kinematics.update(body, pose, segment.chain_mask(), Twists::Skip);
            kinematics.point(segment, local)
        };
        let pull = match (it.kind.as_str(), it.to, it.anchor) {
            ("weight", _, _) => Pull::Weight,
            ("band" | "cord", Some((limb, landmark)), _) => {
                let (segment, local) = landmark.local(self.body, limb.side(side));
                self.mask |= segment.chain_mask();
                Pull::Body(segment, local)
            }
            ("band" | "cord", None, Some([forward, up, outward])) => {
                let from = place(&keys[0], segment, &local);
                Pull::Anchor(from + Vector3::new(forward, up, outward * side.outward()))
            }
            // It runs to the wall or door at the height of the hand, as it is drawn.
            ("band" | "cord", None, None) => {
                let from = place(&keys[0], segment, &local);
                Pull::Anchor(Vector3::new(room.wall?, from.y, from.z))
            }
            _ => return None,
        };
        let mut lengths = (f64::INFINITY, 0.0f64);
        for pose in keys {
            let at = place(pose, segment, &local);
            let end = match &pull {
                Pull::Weight => at,
                Pull::Anchor(end) => *end,
                Pull::Body(segment, local) => place(pose, *segment, local),
            };
            let length = (end - at).norm();
            lengths = (lengths.0.min(length), lengths.1.max(length));
        }
        if it.kind != "band" {
            lengths = (1.0, 1.0);
        }
        Some(Resisting {
            segment,
            local,
            pull,
            most: kg? * GRAVITY,
            at_shortest: it.pull_at_shortest,
            lengths,
        })
    }

    /// All forces from outside at the last instant.
    pub fn externals(&self) -> &[External] {
        &self.externals
    }

    /// Stiffness of the band, N/m; `None` when there is none or it is not stretched.
    pub fn stiffness(&self) -> Option<f64> {
        let it = self.resisting.as_ref()?;
        let stretch = it.lengths.1 - it.lengths.0;
        (stretch > 1e-3).then(|| it.most * (1.0 - it.at_shortest) / stretch)
    }

    /// One instant: fills place and force of every contact and returns loads and joints.
    pub fn instant(
        &mut self,
        time: f64,
        pose: &Pose,
        rates: Rates<'_>,
        contacts: &mut [ContactTrack],
    ) -> (Sample, Joints) {
        let newton = self.body.mass() * GRAVITY;
        self.dynamics.outward(self.body, pose, rates, self.mask);
        let com = self.body.centre_of_mass(&self.dynamics.kinematics);
        for (place, it) in self.places.iter_mut().zip(&self.touches) {
            *place = self.dynamics.kinematics.point(it.segment, &it.local);
        }
        self.externals.clear();
        self.apply_resistance();
        self.rest_limbs();
        let (at, missing) = self.share_rest();
        for (i, track) in contacts.iter_mut().enumerate() {
            let (force, point) = (self.forces[i], self.places[i]);
            track.place.push(point);
            track.force.push(force / newton);
            if force != Vector3::zeros() {
                let segment = self.touches[i].segment;
                self.externals.push(External { segment, point, force, moment: Vector3::zeros() });
            }
        }
        self.dynamics.inward(&self.externals, self.mask);
        let mut places = [Vector3::zeros(); MOST];
        for (slot, support) in places.iter_mut().zip(&self.supports) {
            *slot = support.place;
        }
        let sample = Sample {
            time,
            pose: *pose,
            leg_load: Side::BOTH.map(|side| self.carried(true, side) / newton),
            arm_load: Side::BOTH.map(|side| self.carried(false, side) / newton),
            com,
            com_margin: margin(&places[..self.supports.len().min(MOST)], (at.x, at.z)),
            ball: None,
        };
        (sample, self.joints(missing / newton))
    }

    fn joints(&self, unbalanced: f64) -> Joints {
        let pelvis = SegmentId::axial(SegmentKind::Pelvis).index();
        let lumbar = SegmentId::axial(SegmentKind::Abdomen).index();
        let rotation = &self.dynamics.kinematics.rotation[pelvis];
        Joints {
            by_coordinate: self.dynamics.by_coordinate,
            spread: self.spread(),
            reaction: self.dynamics.reaction,
            lumbar_moment: rotation.tr_mul(&self.dynamics.moment[lumbar]),
            lumbar_reaction: rotation.tr_mul(&self.dynamics.reaction[lumbar]),
            unbalanced,
        }
    }

    /// True when a contact that only rests lies on its surface now.
    fn touches_at(&self, i: usize) -> bool {
        let it = &self.touches[i];
        it.lies_at.is_none_or(|lowest| self.places[i].dot(&it.normal) - lowest < IN_THE_AIR)
    }

    /// What rubbing of the feet against each other, along the line between them, may change at the joints of
    /// both legs.
    fn spread(&self) -> [f64; N_COORDS] {
        let mut out = [0.0; N_COORDS];
        let foot = |side: Side| {
            let (mut push, mut place) = (0.0, Vector3::zeros());
            for (i, it) in self.touches.iter().enumerate() {
                if it.bears == Bears::Body && it.side == side && it.leg && it.far {
                    push += self.forces[i].y;
                    place += self.places[i] * self.forces[i].y;
                }
            }
            (push, place / push)
        };
        let [(left, at_left), (right, at_right)] = Side::BOTH.map(foot);
        if left <= 0.0 || right <= 0.0 {
            return out;
        }
        let between = Vector3::new(at_right.x - at_left.x, 0.0, at_right.z - at_left.z);
        let force = between * (RUBBING * left.min(right) / between.norm().max(1e-6));
        for twist in &self.dynamics.kinematics.twists {
            let at = match twist.segment.side() {
                Some(Side::Left) => at_left,
                Some(Side::Right) => at_right,
                None => continue,
            };
            out[twist.coord.0] += twist.axis.dot(&(at - twist.origin).cross(&force)).abs();
        }
        // Arms have no part in it.
        for side in Side::BOTH {
            for dof in Dof::ALL.iter().filter(|it| !it.joint().is_leg()) {
                out[Coord::of(side, *dof).0] = 0.0;
            }
        }
        out
    }

    fn apply_resistance(&mut self) {
        let Some(it) = &self.resisting else { return };
        let kinematics = &self.dynamics.kinematics;
        let at = kinematics.point(it.segment, &it.local);
        let external = |segment, point, force| External { segment, point, force, moment: Vector3::zeros() };
        let towards = |end: Vector3<f64>| {
            let apart = end - at;
            let length = apart.norm();
            let stretch = it.lengths.1 - it.lengths.0;
            let share = if stretch > 1e-3 {
                let u = ((length - it.lengths.0) / stretch).clamp(0.0, 1.0);
                it.at_shortest + (1.0 - it.at_shortest) * u
            } else {
                1.0
            };
            apart * (it.most * share / length.max(1e-6))
        };
        match &it.pull {
            Pull::Weight => {
                self.externals.push(external(it.segment, at, Vector3::new(0.0, -it.most, 0.0)));
            }
            Pull::Anchor(end) => {
                let force = towards(*end);
                self.externals.push(external(it.segment, at, force));
            }
            Pull::Body(segment, local) => {
                let end = kinematics.point(*segment, local);
                let force = towards(end);
                self.externals.push(external(it.segment, at, force));
                self.externals.push(external(*segment, end, -force));
            }
        }
    }

    /// Contacts of a limb that only rests carry the limb: its two far segments, the share of the near one
    /// that hangs on its far end, and what lies on them; under the ankle as far as the contacts allow.
    fn rest_limbs(&mut self) {
        self.forces.fill(Vector3::zeros());
        for side in Side::BOTH {
            for leg in [true, false] {
                self.supports.clear();
                let mut indices = [0; MOST];
                let mut foot = false;
                for (i, it) in self.touches.iter().enumerate() {
                    if it.bears == Bears::Limb && it.side == side && it.leg == leg && self.touches_at(i) {
                        indices[self.supports.len()] = i;
                        self.supports.push(Support { place: self.places[i], normal: it.normal });
                        foot |= it.end;
                    }
                }
                let n = self.supports.len();
                if n == 0 {
                    continue;
                }
                let (weight, com) = self.resting_weight(leg, side);
                let end = if leg { SegmentKind::Hindfoot } else { SegmentKind::Hand };
                let under = if foot {
                    self.dynamics.kinematics.origin[SegmentId::of(end, side).index()]
                } else {
                    com
                };
                let force = Vector3::new(0.0, weight, 0.0);
                share(&self.supports, force, under.cross(&force), &mut self.shared[..n]);
                for (slot, &i) in indices[..n].iter().enumerate() {
                    self.forces[i] = self.shared[slot];
                }
            }
        }
    }

    /// Weight that a resting limb puts on its contacts, N, and the centre of its far segments.
    fn resting_weight(&self, leg: bool, side: Side) -> (f64, Vector3<f64>) {
        let [near, far, end] = if leg {
            [SegmentKind::Thigh, SegmentKind::Shank, SegmentKind::Hindfoot]
        } else {
            [SegmentKind::UpperArm, SegmentKind::Forearm, SegmentKind::Hand]
        }
        .map(|kind| SegmentId::of(kind, side));
        let kinematics = &self.dynamics.kinematics;
        let [far_mass, end_mass] = [far, end].map(|it| self.body.segment_mass(it));
        let mass = far_mass.mass + end_mass.mass;
        let com = (kinematics.point(far, &far_mass.com) * far_mass.mass
            + kinematics.point(end, &end_mass.com) * end_mass.mass)
            / mass;
        // The near segment is a beam between its two joints.
        let length = self.body.joint_offset(far).norm();
        let beam = |at: &Vector3<f64>| {
            let along = (at - kinematics.origin[near.index()])
                .dot(&(kinematics.origin[far.index()] - kinematics.origin[near.index()]));
            (along / (length * length)).clamp(0.0, 1.0)
        };
        let near_mass = self.body.segment_mass(near);
        let mut weight = (mass + near_mass.mass * beam(&kinematics.point(near, &near_mass.com))) * GRAVITY;
        for it in &self.externals {
            let chain = it.segment.chain_mask();
            if chain & (1 << far.index()) != 0 {
                weight -= it.force.y;
            } else if it.segment == near {
                weight -= it.force.y * beam(&it.point);
            }
        }
        (weight.max(0.0), com)
    }

    /// The contacts that bear the body share the rest. Returns the horizontal place where the rest acts and
    /// the moment that they cannot give, N m.
    fn share_rest(&mut self) -> (Vector3<f64>, f64) {
        let (mut force, mut moment) = self.dynamics.demand();
        for it in &self.externals {
            force -= it.force;
            moment -= it.point.cross(&it.force) + it.moment;
        }
        for (place, given) in self.places.iter().zip(&self.forces) {
            force -= given;
            moment -= place.cross(given);
        }
        self.supports.clear();
        let mut indices = [0; MOST];
        for slot in 0..self.bearing.len() {
            let i = self.bearing[slot];
            if self.touches_at(i) {
                indices[self.supports.len()] = i;
                self.supports.push(Support { place: self.places[i], normal: self.touches[i].normal });
            }
        }
        let n = self.supports.len();
        let missing = share(&self.supports, force, moment, &mut self.shared[..n]);
        for (slot, &i) in indices[..n].iter().enumerate() {
            self.forces[i] = self.shared[slot];
        }
        // Where a vertical force alone would give the moments about both horizontal axes.
        let weight = if force.y.abs() > 1e-9 { force.y } else { 1e-9 };
        (Vector3::new(moment.z / weight, 0.0, -moment.x / weight), missing)
    }

    /// Force through the far part of a limb from contacts that bear the body, N.
    fn carried(&self, leg: bool, side: Side) -> f64 {
        let mut sum = 0.0;
        for (it, force) in self.touches.iter().zip(&self.forces) {
            if it.bears == Bears::Body && it.side == side && it.leg == leg && it.far {
                sum += force.norm();
            }
        }
        sum
    }
}

fn touch(track: &ContactTrack, body: &Body, room: &Room) -> Touch {
    let (segment, local) = track.landmark.local(body, track.side);
    let chain = segment.chain_mask();
    let within = |kind| chain & (1 << SegmentId::of(kind, track.side).index()) != 0;
    let leg = within(SegmentKind::Thigh);
    let arm = within(SegmentKind::UpperArm);
    Touch {
        segment,
        local,
        normal: push(track.on, room),
        bears: track.bears,
        side: track.side,
        leg,
        far: within(SegmentKind::Shank) || within(SegmentKind::Forearm),
        end: (leg && within(SegmentKind::Hindfoot)) || (arm && within(SegmentKind::Hand)),
        lies_at: None,
    }
}

/// Direction in which a surface pushes: a wall before the person pushes back, one behind pushes forward.
fn push(surface: Option<Surface>, room: &Room) -> Vector3<f64> {
    match (surface, room.wall) {
        (Some(Surface::Wall), Some(place)) if place < 0.0 => Vector3::x(),
        (Some(Surface::Wall), _) => -Vector3::x(),
        _ => Vector3::y(),
    }
}
