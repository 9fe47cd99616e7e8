//! From a solved repetition to its pictures: which way to look, what stands in the room, what moves.
//!
//! The same repetition that was checked is drawn; nothing here chooses an angle.

use handrail_anatomy::{Body, Device, Dof, Drive, Kinematics, Landmark, SegmentId, Side, tree::SegmentKind};
use handrail_motion::posture::Surface;
use handrail_motion::repetition::PropPlace;
use handrail_motion::spec::Hold;
use handrail_motion::{Along, Motion, Repetition, Sample};
use nalgebra::{Vector2, Vector3};

use crate::camera::{Camera, Crop, Framing, View};
use crate::clip::Clip;
use crate::figure::Worn;
use crate::marks::{Arrow, LimitMark};
use crate::picture::{Picture, svg};
use crate::props::Prop;
use crate::{Accent, Frame, Subject};

/// Size of a still, picture units.
pub const STILL: [f64; 2] = [420.0, 300.0];
/// Frames of a clip.
const CLIP_FRAMES: usize = 16;
/// A path shorter than this gets no arrow, m.
const SHORT: f64 = 0.012;
/// Two points go different ways from this angle between them on, degrees.
const ANOTHER_WAY: f64 = 30.0;
/// Middle of the shoulder blade in the frame of the shoulder girdle (forward, up, outward), share of stature.
const BLADE: [f64; 3] = [-0.070, -0.035, 0.045];

/// Words that go into a picture.
#[derive(Clone, Debug, Default)]
pub struct Captions {
    /// Short name.
    pub title: String,
    /// What it shows.
    pub alt: String,
    /// "Not like this".
    pub not: String,
}

/// A repetition ready to be drawn.
pub struct Drawing<'a> {
    motion: &'a Motion,
    repetition: &'a Repetition,
    subject: Subject<'a>,
    worn: Vec<Worn>,
    view: View,
    crop: Crop,
    /// The reader chose the view or the crop: pictures of faults keep to it.
    chosen: bool,
}

impl<'a> Drawing<'a> {
    /// Prepares a repetition. `device` is what is worn during the exercise, on `device_side`.
    pub fn new(
        motion: &'a Motion,
        repetition: &'a Repetition,
        body: &'a Body,
        device: Option<(Device, Side)>,
    ) -> Drawing<'a> {
        let side = repetition.side;
        let close_up = motion.camera.close_up.as_deref();
        let crop = match close_up {
            Some("foot") => Crop::Foot(side),
            Some("knee") => Crop::Knee(side),
            Some("shoulder") => Crop::Shoulder(side),
            Some("hand") => Crop::Hand(side),
            Some("toes") => Crop::Toes(side),
            Some("legs") => Crop::Lower,
            Some("arms") => Crop::Upper,
            _ => Crop::Whole,
        };
        let device = device.map(|(device, side)| match device {
            Device::Boot | Device::Splint => Worn::Boot(side),
            Device::KneeBrace => Worn::KneeBrace(side),
            Device::Sling | Device::AbductionSling => Worn::Sling(side),
        });
        let worn = device.into_iter().chain(ankle_cuffs(motion, side)).collect();
        let subject = Subject { body, working: side, accent: Accent::Nothing };
        let view = view(&motion.camera.view);
        Drawing { motion, repetition, subject, worn, view, crop, chosen: false }.accented()
    }

    /// Looks another way.
    pub fn seen(mut self, view: View) -> Drawing<'a> {
        self.view = view;
        self.chosen = true;
        self.accented()
    }

    /// Shows the whole body even where the exercise asks for a close-up.
    pub fn whole(mut self) -> Drawing<'a> {
        self.crop = Crop::Whole;
        self.chosen = true;
        self
    }

    /// Where only the shoulder blades move and the back is seen, they carry the accent.
    fn accented(mut self) -> Drawing<'a> {
        let blades = !self.gliding_blades().is_empty();
        self.subject.accent =
            if blades { Accent::Blades } else { accent(self.motion, self.repetition, self.subject.body) };
        self
    }

    /// Sample at which the motion is farthest from the start: the first of equals.
    pub fn far_sample(&self) -> usize {
        self.way().1
    }

    /// Samples between which the arrow runs, and whether it goes to both sides of the start.
    fn way(&self) -> (usize, usize, bool) {
        /// Keys within this share of the farthest count as equally far.
        const EQUAL: f64 = 0.97;
        /// A key counts as the other side of the start when it goes back at least this share.
        const BACK: f64 = 0.5;
        let path = self.arrow_path();
        let keys = self.repetition.key_samples.get(1..).unwrap_or(&[]);
        let Some(start) = path.first() else { return (0, 0, false) };
        let away = |key: usize| path.get(key).map_or_else(Vector3::zeros, |p| p - start);
        let longest = keys.iter().map(|&key| away(key).norm()).fold(0.0, f64::max);
        let Some(far) = keys.iter().copied().find(|&key| away(key).norm() >= EQUAL * longest) else {
            return (0, 0, false);
        };
        let back = |key: usize| away(key).dot(&away(far)) < -BACK * away(far).norm_squared();
        match keys.iter().copied().find(|&key| longest > SHORT && back(key)) {
            Some(opposite) => (opposite, far, true),
            None => (0, far, false),
        }
    }

    fn props(&self, sample: &Sample) -> Vec<Prop> {
        let mut out = self.furniture();
        out.extend(self.things(sample));
        out.extend(self.worn.iter().copied().map(Prop::Worn));
        out
    }

    /// Furniture stands where the start pose needs it, and stays there.
    fn furniture(&self) -> Vec<Prop> {
        let mut out = vec![Prop::Floor];
        for name in &self.motion.posture.furniture {
            let piece = match name.as_str() {
                "chair" => Some(self.chair()),
                "bed" => Some(self.bed(false)),
                "bed_to_knees" => Some(self.bed(true)),
                "mat" => Some(self.mat()),
                "pillow_head" => Some(self.head_pillow()),
                "back_rest" => Some(self.back_rest()),
                "table" => Some(self.table()),
                "wall" => self.repetition.room.wall.map(|x| Prop::Wall { x }),
                "step" => self.step(),
                "rail" => Some(self.rail()),
                _ => None,
            };
            out.extend(piece);
        }
        if self.has_pulley() {
            out.push(self.door());
        }
        out
    }

    fn kinematics(&self, sample: usize) -> Kinematics {
        Kinematics::of(self.subject.body, &self.repetition.samples[sample].pose)
    }

    fn place(&self, kinematics: &Kinematics, landmark: Landmark, side: Side) -> Vector3<f64> {
        landmark.place(self.subject.body, kinematics, side)
    }

    /// Middle between left and right.
    fn middle(&self, kinematics: &Kinematics, landmark: Landmark) -> Vector3<f64> {
        (self.place(kinematics, landmark, Side::Left) + self.place(kinematics, landmark, Side::Right)) / 2.0
    }

    /// The chair stands under the lowest place of the seat: where one sits, or would.
    fn chair(&self) -> Prop {
        let low = (0..self.repetition.samples.len())
            .map(|it| self.kinematics(it))
            .min_by(|a, b| self.middle(a, Landmark::Seat).y.total_cmp(&self.middle(b, Landmark::Seat).y))
            .unwrap_or_else(|| self.kinematics(0));
        let (seat, thigh) = (self.middle(&low, Landmark::Seat), self.middle(&low, Landmark::ThighBack));
        // Who only comes near the seat does so over its front half.
        let seated = seat.y < self.repetition.room.seat + 0.02;
        let share = if seated { 0.55 } else { 0.30 };
        let at = Vector3::new(seat.x * (1.0 - share) + thigh.x * share - 0.02, 0.0, seat.z);
        Prop::Chair { at, seat_height: self.repetition.room.seat, facing: 0.0 }
    }

    /// The bed under the lying body; cut short of the feet where they hang over its end.
    fn bed(&self, to_knees: bool) -> Prop {
        let k = self.kinematics(0);
        let (low, high) = extent(self.subject.body, &k);
        let mut from = [low.x - 0.10, (low.z - 0.14).min(-0.42)];
        let mut to = [high.x + 0.10, (high.z + 0.14).max(0.42)];
        if to_knees {
            // A hand's breadth below the knee: the thigh lies on the bed, the lower leg is free.
            let (knee, ankle) =
                (self.middle(&k, Landmark::KneeCentre), self.middle(&k, Landmark::AnkleCentre));
            let end = knee * 0.75 + ankle * 0.25;
            if end.x < self.middle(&k, Landmark::Chest).x { from[0] = end.x } else { to[0] = end.x }
        }
        if self.motion.posture.furniture.iter().any(|it| it == "back_rest") {
            to[0] += BACK_REST_DEPTH;
        }
        // What hangs over the edge hangs beside the bed: it makes it no wider.
        from[1] = from[1].max(-BED_HALF_WIDTH);
        to[1] = to[1].min(BED_HALF_WIDTH);
        Prop::Bed { height: self.repetition.room.bed, from, to }
    }

    fn mat(&self) -> Prop {
        let (low, high) = extent(self.subject.body, &self.kinematics(0));
        Prop::Mat { from: [low.x - 0.1, low.z - 0.12], to: [high.x + 0.1, high.z + 0.12] }
    }

    /// As thick as the gap between head and bed.
    fn head_pillow(&self) -> Prop {
        let k = self.kinematics(0);
        let bed = self.repetition.room.bed;
        let head = (self.middle(&k, Landmark::HeadBack) + self.middle(&k, Landmark::HeadSide)) / 2.0;
        let lowest = self
            .place(&k, Landmark::HeadBack, Side::Left)
            .y
            .min(self.place(&k, Landmark::HeadSide, Side::Left).y)
            .min(self.place(&k, Landmark::HeadSide, Side::Right).y);
        let half = ((lowest - bed) / 2.0).max(0.025);
        Prop::HeadPillow {
            at: Vector3::new(head.x, bed + half, head.z),
            half: Vector3::new(0.16, half, 0.24),
        }
    }

    fn back_rest(&self) -> Prop {
        let k = self.kinematics(0);
        let (low, high) = (self.middle(&k, Landmark::Sacrum), self.middle(&k, Landmark::UpperBack));
        let along = (high - low).normalize();
        let bed = self.repetition.room.bed;
        Prop::Wedge {
            low: low - along * ((low.y - bed - 0.03) / along.y.max(0.3)),
            high: high + along * 0.04,
            half: 0.26,
        }
    }

    /// The table under the hands; beside the body where only one hand is on it.
    fn table(&self) -> Prop {
        let on_table = || self.repetition.contacts.iter().filter(|it| it.on == Some(Surface::Table));
        let places: Vec<Vector3<f64>> = on_table().flat_map(|it| it.place.iter().copied()).collect();
        let near = places.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
        let near = if near.is_finite() { near - 0.10 } else { 0.35 };
        let far = places.iter().map(|p| p.x).fold(near + 0.5, f64::max) + 0.12;
        let mut across = [-0.5, 0.5];
        let one_side = on_table().map(|it| it.side).reduce(|a, b| if a == b { a } else { a.other() });
        let both = Side::BOTH.iter().all(|&side| on_table().any(|it| it.side == side));
        if let (Some(side), false) = (one_side, both) {
            let out = |p: &Vector3<f64>| p.z * side.outward();
            let inner = places.iter().map(out).fold(f64::INFINITY, f64::min) - 0.13;
            let outer = places.iter().map(out).fold(0.0, f64::max) + 0.25;
            across = [inner.max(0.10) * side.outward(), outer.max(0.6) * side.outward()];
        }
        Prop::Table { height: self.repetition.room.table, from: [near, across[0]], to: [far, across[1]] }
    }

    fn step(&self) -> Option<Prop> {
        let on_step = self.repetition.contacts.iter().filter(|it| it.on == Some(Surface::Step));
        let places: Vec<Vector3<f64>> = on_step.filter_map(|it| it.place.first().copied()).collect();
        let low = places.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
        let high = places.iter().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max);
        let z = places.iter().map(|p| p.z).sum::<f64>() / places.len().max(1) as f64;
        low.is_finite().then_some(Prop::Step {
            height: self.repetition.room.step,
            from: [low - 0.09, z - 0.22],
            to: [high + 0.07, z + 0.22],
        })
    }

    /// A rail within reach of the other hand.
    fn rail(&self) -> Prop {
        let hip = self.middle(&self.kinematics(0), Landmark::HipCentre);
        let z = hip.z - 0.36 * self.subject.working.outward();
        Prop::Rail { from: Vector3::new(hip.x - 0.42, 0.0, z), to: Vector3::new(hip.x + 0.42, 0.0, z) }
    }

    fn has_pulley(&self) -> bool {
        self.motion.equipment.iter().any(|it| it == "pulley")
    }

    /// The door behind the chair over which a pulley's rope runs.
    fn door(&self) -> Prop {
        let seat = self.middle(&self.kinematics(0), Landmark::Seat);
        Prop::Door { x: seat.x - 0.38, height: DOOR_HEIGHT }
    }

    /// Small things. What is held or stood on goes with the body, what lies under it stays where it lies.
    fn things(&self, sample: &Sample) -> Vec<Prop> {
        let body = self.subject.body;
        let now = Kinematics::of(body, &sample.pose);
        let start = self.kinematics(0);
        let places =
            |k: &Kinematics| handrail_motion::solve::prop_places(self.motion, body, k, self.subject.working);
        let mut out = Vec::new();
        for ((spec, now_at), start_at) in self.motion.props.iter().zip(places(&now)).zip(places(&start)) {
            let side = spec.at.limb.side(self.subject.working);
            out.extend(self.thing(spec.at.point, side, &now, &now_at, &start_at));
        }
        out.extend(self.pads(&now));
        if self.has_pulley() {
            let grip = |side| self.place(&now, Landmark::Grip, side);
            let seat = self.middle(&start, Landmark::Seat);
            for side in Side::BOTH {
                let over = Vector3::new(seat.x - 0.38, DOOR_HEIGHT, 0.03 * side.outward());
                out.push(Prop::Band { points: vec![grip(side), over] });
            }
        }
        if let (Some(at), Some(radius)) = (sample.ball, self.repetition.ball_radius) {
            out.push(Prop::Ball { at, radius });
        }
        out
    }

    fn thing(
        &self,
        landmark: Landmark,
        side: Side,
        kinematics: &Kinematics,
        now: &PropPlace,
        start: &PropPlace,
    ) -> Vec<Prop> {
        let down = |by: f64| Vector3::y() * -by;
        let room = &self.repetition.room;
        let lying = self.motion.posture.place == "bed";
        let held = landmark == Landmark::Grip;
        let wall = room.wall.filter(|_| self.on_wall(landmark));
        match (now.kind.as_str(), now.to) {
            ("towel", Some(to)) | ("band", Some(to)) => vec![Prop::Band { points: vec![now.at, to] }],
            ("towel", None) if wall.is_some() => {
                let middle = self.middle(kinematics, landmark);
                let at = Vector3::new(room.wall.unwrap_or(now.at.x), middle.y, middle.z);
                let thick = 0.012 * (at.x - self.middle(kinematics, Landmark::Chest).x).signum();
                vec![Prop::WallTowel { at, half: [0.15, 0.30], thick }]
            }
            ("towel", None) => vec![Prop::Towel { at: now.at + down(0.009), half: [0.13, 0.09] }],
            ("pillow", _) => {
                // As thick as what it fills: from the bed up to the limb.
                let (below, thick) = if lying {
                    (room.bed, (start.at.y - room.bed).clamp(0.05, 0.16))
                } else {
                    (start.at.y - 0.09, 0.09)
                };
                let at = Vector3::new(start.at.x, below + thick / 2.0, start.at.z);
                vec![Prop::Pillow { at, half: Vector3::new(0.15, thick / 2.0, 0.17) }]
            }
            ("rolled_towel", _) if held => {
                vec![Prop::HeldRoll { at: now.at, axis: across(kinematics, side) }]
            }
            ("rolled_towel", _) if landmark == Landmark::ElbowInner => {
                vec![Prop::Roll { at: now.at, radius: 0.035, half: 0.02 }]
            }
            ("rolled_towel", _) => {
                let below = if lying { room.bed } else { room.seat };
                let radius = ((start.at.y - below) / 2.0).clamp(0.03, 0.07);
                let at = Vector3::new(start.at.x, below + radius, start.at.z);
                vec![Prop::Roll { at, radius, half: 0.13 }]
            }
            ("stick", Some(to)) => {
                let along = (to - now.at).normalize() * 0.12;
                vec![Prop::Stick { from: now.at - along, to: to + along }]
            }
            ("band", None) => {
                // Without a second end the band runs to the wall or door at the height of the hand at the start.
                let x = room.wall.unwrap_or(now.at.x + 0.5);
                let fixed = Vector3::new(x, start.at.y, start.at.z);
                let knob = Prop::Ball { at: fixed, radius: 0.022 };
                vec![knob, Prop::Band { points: vec![now.at, fixed] }]
            }
            // A cuff at the ankle is worn, see `ankle_cuffs`.
            ("weight", _) if at_ankle(landmark) => Vec::new(),
            ("weight", _) => {
                let kg = self.repetition.resistance_kg.unwrap_or(1.0);
                if held {
                    return vec![Prop::Weight { at: now.at, axis: across(kinematics, side), kg }];
                }
                // On the thigh, just short of the knee.
                let knee = self.place(kinematics, Landmark::KneeCentre, side);
                let thigh = (self.place(kinematics, Landmark::HipCentre, side) - knee).normalize();
                vec![Prop::Weight { at: knee + thigh * 0.05 - down(0.10), axis: Vector3::z(), kg }]
            }
            _ => Vec::new(),
        }
    }

    fn on_wall(&self, landmark: Landmark) -> bool {
        let contacts = &self.repetition.contacts;
        contacts.iter().any(|it| it.on == Some(Surface::Wall) && it.landmark == landmark)
    }

    /// A folded towel between the wall and the arm that presses against it.
    fn pads(&self, kinematics: &Kinematics) -> Vec<Prop> {
        let (Some(x), Some(from)) = (self.repetition.room.wall, self.press_point(kinematics)) else {
            return Vec::new();
        };
        let thick = (x - from.x).abs().clamp(0.02, 0.06) * (x - from.x).signum();
        vec![Prop::WallTowel { at: Vector3::new(x, from.y, from.z), half: [0.06, 0.06], thick }]
    }

    /// Where an arm presses against the wall without moving.
    fn press_point(&self, kinematics: &Kinematics) -> Option<Vector3<f64>> {
        let arm = matches!(self.motion.region.as_str(), "shoulder" | "elbow");
        if self.motion.drive != Drive::Isometric || !arm || self.repetition.room.wall.is_none() {
            return None;
        }
        let side = self.subject.working;
        let touching =
            [Landmark::ElbowCentre, Landmark::WristCentre].into_iter().find(|&it| self.on_wall(it));
        Some(self.place(kinematics, touching.unwrap_or(Landmark::Grip), side))
    }

    /// Landmark whose way is shown: the exercise's own, or the one of the working part that travels most.
    fn arrow_landmark(&self) -> (Landmark, Side) {
        let working = self.subject.working;
        let candidates: &[Landmark] = match self.motion.region.as_str() {
            "foot" => &[Landmark::GreatToePad, Landmark::LesserToePad, Landmark::AnkleFront],
            "ankle" => &[Landmark::ToeTip, Landmark::Heel, Landmark::AnkleCentre],
            "knee" => &[Landmark::AnkleCentre, Landmark::HipCentre, Landmark::KneeCentre],
            "hip" => &[Landmark::KneeCentre, Landmark::AnkleCentre, Landmark::HipCentre],
            "shoulder" => &[Landmark::WristCentre, Landmark::ElbowCentre, Landmark::ShoulderTop],
            "elbow" => &[Landmark::WristCentre],
            "hand" => &[Landmark::Fingertip, Landmark::Palm],
            _ => &[Landmark::Chin, Landmark::ShoulderCentre, Landmark::HipCentre],
        };
        let longest = candidates.iter().copied().max_by(|a, b| {
            let travel = |it: Landmark| travel(&self.path(it, working));
            travel(*a).total_cmp(&travel(*b))
        });
        let own = (longest.unwrap_or(candidates[0]), working);
        // A working part that nearly holds still while another moves far is not the motion.
        let moves = |it: &(Landmark, Side)| travel(&self.path(it.0, it.1));
        let others = [
            (Landmark::KneeCentre, working),
            (Landmark::HipCentre, working),
            (Landmark::ShoulderCentre, working),
            (Landmark::HandEdge, working),
            (Landmark::AnkleCentre, working.other()),
        ];
        let most = others.into_iter().max_by(|a, b| moves(a).total_cmp(&moves(b)));
        let (seen, wide) = (moves(&own), most.as_ref().map_or(0.0, moves));
        let minor = seen < SHORT || (seen < 2.5 * SHORT && wide > 4.0 * seen);
        let followed = most.filter(|_| minor && wide >= SHORT).unwrap_or(own);
        self.slid(followed).or_else(|| self.carried(followed)).unwrap_or(followed)
    }

    /// A point of the working limb that slides along a surface, where the followed point goes another way: in a
    /// heel slide the heel is drawn along the bed and the knee rises only because of it.
    fn slid(&self, followed: (Landmark, Side)) -> Option<(Landmark, Side)> {
        /// A slide is the motion from this share of the followed point's travel on; less is a shift beside it.
        const SHARE: f64 = 0.4;
        let way = stretch(&self.path(followed.0, followed.1));
        let slides = self.repetition.contacts.iter().filter(|it| {
            let on_surface = it.on.is_some_and(|on| on != Surface::Ball);
            it.hold == Hold::Slides && it.side == self.subject.working && on_surface
        });
        slides
            .map(|it| (it.landmark, it.side, stretch(&self.path(it.landmark, it.side))))
            .filter(|it| it.2.norm() >= SHORT.max(SHARE * way.norm()) && apart_deg(&it.2, &way) > ANOTHER_WAY)
            .max_by(|a, b| a.2.norm().total_cmp(&b.2.norm()))
            .map(|it| (it.0, it.1))
    }

    /// The shoulder's top, where the girdle alone moves and the followed point, which it only carries along, goes
    /// another way.
    fn carried(&self, followed: (Landmark, Side)) -> Option<(Landmark, Side)> {
        let top = (Landmark::ShoulderTop, self.subject.working);
        if !self.only_girdle_moves(top.1) {
            return None;
        }
        let ways = [top, followed].map(|it| stretch(&self.path(it.0, it.1)));
        (ways[0].norm() >= SHORT && apart_deg(&ways[0], &ways[1]) > ANOTHER_WAY).then_some(top)
    }

    /// True where of an arm's joints the shoulder girdle alone moves.
    fn only_girdle_moves(&self, side: Side) -> bool {
        /// Turn of the girdle that can be seen, degrees.
        const SEEN: f64 = 4.0;
        /// The rest of the arm is at rest up to this share of the girdle's turn.
        const REST: f64 = 0.3;
        let turn = |dof: Dof| {
            let angles = self.repetition.samples.iter().map(|it| it.pose.deg(side, dof));
            let (low, high) = angles
                .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), it| (low.min(it), high.max(it)));
            high - low
        };
        let most = |dofs: &[Dof]| dofs.iter().map(|&it| turn(it)).fold(0.0, f64::max);
        let girdle = most(&[Dof::GirdleElevation, Dof::GirdleProtraction]);
        let arm = most(&[
            Dof::ShoulderFlexion,
            Dof::ShoulderAbduction,
            Dof::ShoulderExternalRotation,
            Dof::ElbowFlexion,
            Dof::ForearmSupination,
            Dof::WristFlexion,
        ]);
        girdle >= SEEN && arm <= REST * girdle
    }

    /// Sides whose shoulder blade alone moves, where the back is seen.
    fn gliding_blades(&self) -> Vec<Side> {
        /// Least share of the back's direction towards the viewer.
        const SEEN: f64 = 0.5;
        let thorax = SegmentId::axial(SegmentKind::Thorax).index();
        let forward = self.kinematics(0).rotation[thorax].column(0).into_owned();
        if -forward.dot(&Camera::of(self.view, self.subject.working).toward) < SEEN {
            return Vec::new();
        }
        Side::BOTH.into_iter().filter(|&side| self.only_girdle_moves(side)).collect()
    }

    fn blade_path(&self, side: Side) -> Vec<Vector3<f64>> {
        let [x, y, z] = BLADE;
        let local = Vector3::new(x, y, z * side.outward()) * self.subject.body.stature();
        let girdle = SegmentId::of(SegmentKind::Girdle, side);
        let samples = 0..self.repetition.samples.len();
        samples.map(|it| self.kinematics(it).point(girdle, &local)).collect()
    }

    /// The path that tells where the motion is farthest: that of the first arrow.
    fn arrow_path(&self) -> Vec<Vector3<f64>> {
        if let Some(&side) = self.gliding_blades().first() {
            return self.blade_path(side);
        }
        let (landmark, side) = self.arrow_landmark();
        self.path(landmark, side)
    }

    fn path(&self, landmark: Landmark, side: Side) -> Vec<Vector3<f64>> {
        self.repetition
            .samples
            .iter()
            .map(|it| landmark.place(self.subject.body, &Kinematics::of(self.subject.body, &it.pose), side))
            .collect()
    }

    fn arrows(&self) -> Vec<Arrow> {
        let (from, to, both_ways) = self.way();
        let arrow = |path: &[Vector3<f64>]| {
            let mut path = path[from.min(to)..=from.max(to)].to_vec();
            if from > to {
                path.reverse();
            }
            Arrow { path, both_ways }
        };
        let blades = self.gliding_blades();
        if !blades.is_empty() {
            return blades.into_iter().map(|side| arrow(&self.blade_path(side))).collect();
        }
        let arrow = arrow(&self.arrow_path());
        if travel(&arrow.path) >= SHORT {
            return vec![arrow];
        }
        // A push without motion: a short arrow to the wall.
        let (Some(x), Some(at)) = (self.repetition.room.wall, self.press_point(&self.kinematics(0))) else {
            return Vec::new();
        };
        let back = Vector3::x() * (0.16 * (x - at.x).signum());
        vec![Arrow { path: vec![at - back, at - back * 0.5, at], both_ways: false }]
    }

    fn framing(&self) -> Framing {
        let samples = &self.repetition.samples;
        let picks = [0, self.far_sample()];
        let props: Vec<Vec<Prop>> = picks.iter().map(|&it| self.props(&samples[it])).collect();
        let frames: Vec<Frame<'_>> = picks
            .iter()
            .zip(&props)
            .map(|(&it, props)| Frame { pose: &samples[it].pose, props, time: samples[it].time })
            .collect();
        Framing::fit(self.view, self.crop, &self.subject, &frames, STILL)
    }

    /// The start pose.
    pub fn start(&self, id: &str, captions: &Captions) -> String {
        self.still(id, 0, None, captions, Vec::new(), Vec::new())
    }

    /// The far pose with the start as a thin ghost, the way as an arrow, and the limit where there is one.
    pub fn end(&self, id: &str, captions: &Captions, limit: Option<&LimitMark>) -> String {
        let limits = limit.cloned().into_iter().collect();
        self.still(id, self.far_sample(), Some(0), captions, self.arrows(), limits)
    }

    /// A fault: its own repetition at its far pose, framed and crossed out with the word.
    pub fn not_like_this(&self, id: &str, fault: &Repetition, captions: &Captions) -> String {
        self.wrong(id, fault, captions, true)
    }

    /// A fault without cross and word, for a page that adds its own.
    pub fn mistake(&self, id: &str, fault: &Repetition, captions: &Captions) -> String {
        self.wrong(id, fault, captions, false)
    }

    fn wrong(&self, id: &str, fault: &Repetition, captions: &Captions, crossed: bool) -> String {
        let far = Drawing { repetition: fault, worn: self.worn.clone(), ..*self };
        let sample = &fault.samples[*fault.key_samples.last().unwrap_or(&0)];
        // The room is that of the right way.
        let mut props = self.furniture();
        props.extend(far.things(sample));
        props.extend(self.worn.iter().copied().map(Prop::Worn));
        let frame = Frame { pose: &sample.pose, props: &props, time: sample.time };
        // A fault may leave the frame of the right way: one that holds both.
        let right = &self.repetition.samples[self.far_sample()];
        let right_props = self.props(right);
        let right = Frame { pose: &right.pose, props: &right_props, time: right.time };
        let (view, crop) = self.fault_view(fault);
        let looked = view == self.view;
        let plain = || accent(self.motion, self.repetition, self.subject.body);
        let subject = Subject { accent: if looked { self.subject.accent } else { plain() }, ..self.subject };
        let framing = Framing::fit(view, crop, &subject, &[right, frame], STILL);
        let mut picture = Picture::new(framing, frame, &captions.title, &captions.alt);
        picture.not_like_this = crossed;
        picture.word = crossed.then(|| captions.not.clone());
        svg(id, &picture, &subject)
    }

    /// How a fault is looked at: as the exercise is, unless little of the fault is to be seen from there. A fault
    /// of foot or hand alone that is too small for a picture of the body is shown close up.
    fn fault_view(&self, fault: &Repetition) -> (View, Crop) {
        /// The exercise's own view is kept while it shows this share of what the best one shows.
        const KEPT: f64 = 0.7;
        /// Views that show this share of what the best one shows are as good.
        const EQUAL: f64 = 0.9;
        if self.chosen {
            return (self.view, self.crop);
        }
        let apart = self.apart(fault);
        let close_up = self.fault_close_up(&apart);
        let crop = close_up.unwrap_or(self.crop);
        let shown = |view: View| -> f64 {
            let camera = Camera::of(view, self.subject.working);
            apart.iter().map(|it| flat(&camera, &it.2).norm()).sum()
        };
        let close = !matches!(crop, Crop::Whole | Crop::Lower | Crop::Upper);
        let views: Vec<View> = FAULT_VIEWS.into_iter().filter(|&view| self.open_to(view, close)).collect();
        let best = views.iter().map(|&view| shown(view)).fold(0.0, f64::max);
        if shown(self.view) >= KEPT * best {
            return (self.view, crop);
        }
        (views.into_iter().find(|&view| shown(view) >= EQUAL * best).unwrap_or(self.view), crop)
    }

    /// Where the body of a fault is, against that of the right way: at the end of the last move.
    fn apart(&self, fault: &Repetition) -> Vec<(Landmark, Side, Vector3<f64>)> {
        let body = self.subject.body;
        let end = |it: &Repetition| {
            Kinematics::of(body, &it.samples[it.key_samples.last().copied().unwrap_or(0)].pose)
        };
        let (right, wrong) = (end(self.repetition), end(fault));
        let points = FAULT_POINTS.into_iter().flat_map(|it| Side::BOTH.map(|side| (it, side)));
        points
            .map(|(it, side)| (it, side, it.place(body, &wrong, side) - it.place(body, &right, side)))
            .collect()
    }

    /// A close-up for a fault that a picture of the body would show too small.
    fn fault_close_up(&self, apart: &[(Landmark, Side, Vector3<f64>)]) -> Option<Crop> {
        /// Smaller differences are not seen, picture units.
        const SEEN: f64 = 7.0;
        if !matches!(self.crop, Crop::Whole | Crop::Lower | Crop::Upper) {
            return None;
        }
        let (landmark, side, most) = apart.iter().max_by(|a, b| a.2.norm().total_cmp(&b.2.norm()))?;
        if most.norm() * self.framing().scale >= SEEN {
            return None;
        }
        match landmark {
            Landmark::Heel
            | Landmark::BallInner
            | Landmark::BallOuter
            | Landmark::ToeTip
            | Landmark::LesserToePad => Some(Crop::Foot(*side)),
            Landmark::Grip | Landmark::HandEdge | Landmark::Fingertip => Some(Crop::Hand(*side)),
            _ => None,
        }
    }

    /// True where a view looks neither along the trunk nor through wall, table or back of a chair; for a close-up
    /// of a limb only wall and table count.
    fn open_to(&self, view: View, close: bool) -> bool {
        /// Least share of the trunk's length that must be seen.
        const TRUNK: f64 = 0.5;
        /// A view from a direction with more than this share looks through what stands there.
        const THROUGH: f64 = 0.2;
        let k = self.kinematics(0);
        let camera = Camera::of(view, self.subject.working);
        let (low, high) = (self.middle(&k, Landmark::Sacrum), self.middle(&k, Landmark::UpperBack));
        let along_trunk = flat(&camera, &(high - low).normalize()).norm() < TRUNK;
        let has = |name: &str| self.motion.posture.furniture.iter().any(|it| it == name);
        let forward = camera.toward.x;
        let through_wall =
            self.repetition.room.wall.is_some_and(|x| forward * (x - low.x).signum() > THROUGH);
        let through_back = (has("chair") || has("back_rest")) && forward < -THROUGH;
        let through_table = has("table") && forward > THROUGH;
        !(through_wall || through_table || (!close && (along_trunk || through_back)))
    }

    fn still(
        &self,
        id: &str,
        sample: usize,
        ghost: Option<usize>,
        captions: &Captions,
        arrows: Vec<Arrow>,
        limits: Vec<LimitMark>,
    ) -> String {
        let samples = &self.repetition.samples;
        let props = self.props(&samples[sample]);
        let ghost_props = ghost.map(|it| self.props(&samples[it]));
        let frame = Frame { pose: &samples[sample].pose, props: &props, time: samples[sample].time };
        let mut picture = Picture::new(self.framing(), frame, &captions.title, &captions.alt);
        picture.ghost = ghost.zip(ghost_props.as_ref()).map(|(it, props)| Frame {
            pose: &samples[it].pose,
            props,
            time: samples[it].time,
        });
        if self.gliding_blades().is_empty() {
            picture.arrows = arrows;
        } else {
            picture.arrows_on_body = arrows;
        }
        picture.limits = limits;
        svg(id, &picture, &self.subject)
    }

    /// The whole repetition for a player.
    pub fn clip(&self, alt: &str, limit: Option<&LimitMark>) -> Clip {
        let samples = &self.repetition.samples;
        let mut picks = self.repetition.key_samples.clone();
        let last = samples.len() - 1;
        picks.extend((0..CLIP_FRAMES).map(|it| it * last / (CLIP_FRAMES - 1)));
        picks.sort_unstable();
        picks.dedup();
        let props: Vec<Vec<Prop>> = picks.iter().map(|&it| self.props(&samples[it])).collect();
        let frames: Vec<Frame<'_>> = picks
            .iter()
            .zip(&props)
            .map(|(&it, props)| Frame { pose: &samples[it].pose, props, time: samples[it].time })
            .collect();
        let limits: Vec<LimitMark> = limit.cloned().into_iter().collect();
        crate::clip::clip(&self.framing(), &self.subject, &frames, &limits, alt)
    }

    /// Line in the room that the moving landmark may not pass, where the exercise names such a landmark.
    pub fn limit_mark(&self) -> Option<LimitMark> {
        /// Half the length of a line, m.
        const HALF: f64 = 0.17;
        /// Free space between limb and line, m.
        const GAP: f64 = 0.012;
        let spec = self.motion.landmark.as_ref()?;
        let far = self.kinematics(self.far_sample());
        let side = spec.point.limb.side(self.subject.working);
        let at = self.place(&far, spec.point.point, side);
        let moved = at - self.place(&self.kinematics(0), spec.point.point, side);
        // Beside the limb, on the side to which it comes.
        let beside = limb_radius(spec.point.point) * self.subject.body.stature() + GAP;
        let across = Camera::of(self.view, self.subject.working).right * HALF;
        let upright = Vector3::y() * HALF;
        let (from, to) = match spec.along {
            Along::Forward => {
                let floor = if self.motion.posture.place == "bed" { self.repetition.room.bed } else { 0.0 };
                let edge = self
                    .foot_edge(&far, side, spec.point.point, moved.x)
                    .unwrap_or(at.x + beside * moved.x.signum());
                (Vector3::new(edge, floor, at.z), Vector3::new(edge, floor + 2.0 * HALF, at.z))
            }
            Along::Up => {
                let line = at + Vector3::y() * (beside * moved.y.signum());
                let line = line + across * self.free_way(&far, side, &line, &across);
                (line - across, line + across)
            }
            Along::Outward => {
                let line = at + Vector3::z() * (beside * moved.z.signum());
                (line - upright, line + upright)
            }
        };
        Some(LimitMark { points: vec![from, to] })
    }

    /// How far (in half lengths) a line goes along itself so that the limb does not cover it.
    fn free_way(&self, far: &Kinematics, side: Side, line: &Vector3<f64>, across: &Vector3<f64>) -> f64 {
        use Landmark as L;
        const NEAR: f64 = 0.055;
        let camera = Camera::of(self.view, self.subject.working);
        let flat = |p: &Vector3<f64>| flat(&camera, p);
        let chains = [
            [L::HipCentre, L::KneeCentre, L::AnkleCentre, L::ToeTip],
            [L::ShoulderCentre, L::ElbowCentre, L::WristCentre, L::Fingertip],
        ];
        let limb: Vec<Vector2<f64>> = chains
            .iter()
            .flat_map(|chain| chain.windows(2))
            .flat_map(|bone| {
                let (a, b) = (self.place(far, bone[0], side), self.place(far, bone[1], side));
                (0..=8).map(move |i| a + (b - a) * (f64::from(i) / 8.0))
            })
            .map(|p| flat(&p))
            .collect();
        let covered = |by: f64| {
            let points = (-8..=8).map(|i| flat(&(line + across * (by + f64::from(i) / 8.0))));
            points.filter(|p| limb.iter().any(|q| (p - q).norm() < NEAR)).count()
        };
        [0.0, -0.8, 0.8].into_iter().min_by_key(|&by| covered(by)).unwrap_or(0.0)
    }

    /// Where the foot ends in the direction in which it slides, m forward.
    fn foot_edge(&self, kinematics: &Kinematics, side: Side, point: Landmark, way: f64) -> Option<f64> {
        const GAP: f64 = 0.02;
        let foot = matches!(point, Landmark::AnkleCentre | Landmark::Heel | Landmark::HeelBack);
        foot.then(|| {
            let ends = [Landmark::HeelBack, Landmark::Heel, Landmark::ToeTip];
            let places = ends.map(|it| self.place(kinematics, it, side).x * way.signum());
            (places.into_iter().fold(f64::NEG_INFINITY, f64::max) + GAP) * way.signum()
        })
    }
}

/// Views a fault may be shown from, the plainest first.
const FAULT_VIEWS: [View; 9] = [
    View::Side,
    View::Front,
    View::Back,
    View::Above,
    View::ThreeQuarter,
    View::BackThreeQuarter,
    View::OtherSide,
    View::OtherThreeQuarter,
    View::InnerFoot,
];

/// Points by which a fault is told from the right way.
const FAULT_POINTS: [Landmark; 18] = [
    Landmark::Forehead,
    Landmark::ShoulderCentre,
    Landmark::ShoulderTop,
    Landmark::Chest,
    Landmark::ElbowCentre,
    Landmark::WristCentre,
    Landmark::Grip,
    Landmark::HandEdge,
    Landmark::Fingertip,
    Landmark::LowBack,
    Landmark::HipCentre,
    Landmark::KneeCentre,
    Landmark::AnkleCentre,
    Landmark::Heel,
    Landmark::BallInner,
    Landmark::BallOuter,
    Landmark::ToeTip,
    Landmark::LesserToePad,
];

/// Half the width of a wide bed, m.
const BED_HALF_WIDTH: f64 = 0.55;
/// Height of a door, m.
const DOOR_HEIGHT: f64 = 2.0;
/// How far a back rest reaches behind the person, m.
const BACK_REST_DEPTH: f64 = 0.20;

/// Half the width of the limb at a landmark, share of stature.
fn limb_radius(landmark: Landmark) -> f64 {
    match landmark {
        Landmark::HipCentre => 0.055,
        Landmark::KneeCentre => 0.036,
        Landmark::ElbowCentre => 0.024,
        Landmark::AnkleCentre | Landmark::WristCentre => 0.022,
        _ => 0.010,
    }
}

fn at_ankle(landmark: Landmark) -> bool {
    matches!(
        landmark,
        Landmark::AnkleFront | Landmark::AnkleCentre | Landmark::AnkleInner | Landmark::AnkleOuter
    )
}

/// Weights that are strapped to an ankle.
fn ankle_cuffs(motion: &Motion, working: Side) -> impl Iterator<Item = Worn> {
    let cuffs = motion.props.iter().filter(|it| it.kind == "weight" && at_ankle(it.at.point));
    cuffs.map(move |it| Worn::AnkleCuff(it.at.limb.side(working)))
}

/// Direction of a bar held in the fist.
fn across(kinematics: &Kinematics, side: Side) -> Vector3<f64> {
    kinematics.rotation[SegmentId::of(SegmentKind::Hand, side).index()].column(2).into_owned()
}

/// A direction as the picture shows it.
fn flat(camera: &Camera, direction: &Vector3<f64>) -> Vector2<f64> {
    Vector2::new(camera.right.dot(direction), camera.up.dot(direction))
}

/// From the start of a path to its farthest point.
fn stretch(path: &[Vector3<f64>]) -> Vector3<f64> {
    let Some(start) = path.first() else { return Vector3::zeros() };
    let ways = path.iter().map(|it| it - start);
    ways.max_by(|a, b| a.norm().total_cmp(&b.norm())).unwrap_or_else(Vector3::zeros)
}

fn travel(path: &[Vector3<f64>]) -> f64 {
    stretch(path).norm()
}

/// Angle between two directions, degrees; 0 where one of them has no length.
fn apart_deg(a: &Vector3<f64>, b: &Vector3<f64>) -> f64 {
    let lengths = a.norm() * b.norm();
    if lengths < 1e-12 { 0.0 } else { libm::acos((a.dot(b) / lengths).clamp(-1.0, 1.0)).to_degrees() }
}

/// Box around all landmarks.
fn extent(body: &Body, kinematics: &Kinematics) -> (Vector3<f64>, Vector3<f64>) {
    let mut low = Vector3::repeat(f64::INFINITY);
    let mut high = Vector3::repeat(f64::NEG_INFINITY);
    for &landmark in Landmark::ALL {
        for side in Side::BOTH {
            let p = landmark.place(body, kinematics, side);
            low = low.zip_map(&p, f64::min);
            high = high.zip_map(&p, f64::max);
        }
    }
    (low, high)
}

/// Direction of view by its name in exercise files; unknown names look from the side.
pub fn view(name: &str) -> View {
    match name {
        "front" => View::Front,
        "back" => View::Back,
        "three_quarter" => View::ThreeQuarter,
        "other_three_quarter" => View::OtherThreeQuarter,
        "back_three_quarter" => View::BackThreeQuarter,
        "other_back_three_quarter" => View::OtherBackThreeQuarter,
        "above" => View::Above,
        "other_side" => View::OtherSide,
        "toes" => View::Toes,
        "inner_foot" => View::InnerFoot,
        _ => View::Side,
    }
}

fn accent(motion: &Motion, repetition: &Repetition, body: &Body) -> Accent {
    match motion.region.as_str() {
        "foot" => Accent::Foot,
        "ankle" | "knee" | "hip" => Accent::Leg,
        "shoulder" | "elbow" => Accent::Arm,
        "hand" => Accent::Hand,
        _ if only_head_moves(repetition, body) => Accent::Neck,
        _ => Accent::Trunk,
    }
}

fn only_head_moves(repetition: &Repetition, body: &Body) -> bool {
    let path = |landmark: Landmark| -> Vec<Vector3<f64>> {
        let place = |it: &Sample| landmark.place(body, &Kinematics::of(body, &it.pose), repetition.side);
        repetition.samples.iter().map(place).collect()
    };
    travel(&path(Landmark::Chin)) > 2.0 * SHORT && travel(&path(Landmark::ShoulderCentre)) < SHORT
}

#[cfg(test)]
mod tests {
    use super::*;
    use handrail_anatomy::body::MeasuredLengths;
    use handrail_anatomy::{Person, SegmentTable, Sex};
    use handrail_motion::{Home, MotionSpec, compile, read_posture, solve};
    use handrail_spans::SourceText;
    use std::collections::BTreeMap;

    struct Case {
        motion: Motion,
        repetition: Repetition,
        body: Body,
    }

    fn case(exercise: &str, posture: &str, side: Side, stature: f64) -> Case {
        let posture = read_posture(&SourceText::new("posture", posture)).unwrap();
        let postures = BTreeMap::from([(posture.id.clone(), posture)]);
        let text = SourceText::new("exercise", exercise);
        let motion = text.parse::<MotionSpec>().and_then(|spec| compile(&text, &spec, &postures)).unwrap();
        let measured = MeasuredLengths::default();
        let person = Person { stature, mass: 70.0, sex: Sex::Female, measured };
        let body = Body::new(person, SegmentTable::Winter).unwrap();
        let home = Home::usual(person.stature);
        let repetition = solve(&motion, &motion.core, &body, &home, side, &BTreeMap::new()).unwrap();
        Case { motion, repetition, body }
    }

    macro_rules! case {
        ($exercise:literal, $posture:literal, $side:expr) => {
            case!($exercise, $posture, $side, 1.7)
        };
        ($exercise:literal, $posture:literal, $side:expr, $stature:expr) => {
            case(
                include_str!(concat!("../../../content/exercises/", $exercise, ".toml")),
                include_str!(concat!("../../../content/postures/", $posture, ".toml")),
                $side,
                $stature,
            )
        };
    }

    impl Case {
        fn drawing(&self) -> Drawing<'_> {
            Drawing::new(&self.motion, &self.repetition, &self.body, None)
        }

        fn fault(&self, id: &str) -> Repetition {
            let fault = self.motion.faults.iter().find(|it| it.id == id).unwrap();
            let home = Home::usual(self.body.stature());
            let side = self.repetition.side;
            solve(&self.motion, &fault.core, &self.body, &home, side, &fault.parameters).unwrap()
        }
    }

    /// The knee of a tall body rises by more than the heel slides; the heel is what the patient draws.
    #[test]
    fn the_arrow_of_a_heel_slide_lies_along_the_bed() {
        for (side, stature) in
            [(Side::Left, 1.55), (Side::Right, 1.7), (Side::Left, 1.8), (Side::Right, 1.95)]
        {
            let case = case!("heel-slide-supine", "supine", side, stature);
            let arrows = case.drawing().arrows();
            let way = stretch(&arrows[0].path);
            assert!(way.x < -0.15 && way.y.abs() < 0.25 * way.x.abs(), "{stature}: {way:?}");
        }
    }

    /// A lift that a contact only slides beside keeps its own arrow.
    #[test]
    fn a_lift_is_no_slide() {
        let case = case!("straight-leg-raise", "hook_lying", Side::Left);
        let way = stretch(&case.drawing().arrows()[0].path);
        assert!(way.y > 0.5 * way.norm(), "{way:?}");
    }

    /// The blades carry accent and arrows, both towards the spine; from where they are not seen, the shoulder goes
    /// back.
    #[test]
    fn shoulder_blades_are_drawn_to_the_spine() {
        for side in Side::BOTH {
            let case = case!("shoulder-blade-squeeze", "seated_forearm_on_pillow", side);
            let drawing = case.drawing();
            assert_eq!(drawing.subject.accent, Accent::Blades);
            let arrows = drawing.arrows();
            assert_eq!(arrows.len(), 2);
            let spine = drawing.middle(&drawing.kinematics(0), Landmark::UpperBack).z;
            for Arrow { path, .. } in &arrows {
                let out = |p: &Vector3<f64>| (p.z - spine).abs();
                assert!(out(&path[path.len() - 1]) < out(&path[0]) - 0.02);
            }
            let beside = case.drawing().seen(View::Side);
            assert_eq!(beside.subject.accent, Accent::Arm);
            let way = stretch(&beside.arrows()[0].path);
            assert!(way.x < -0.02 && way.x.abs() > way.z.abs(), "{way:?}");
        }
    }

    /// A knee that falls towards the viewer is shown from where it is seen to fall, claws of the toes close up.
    #[test]
    fn a_fault_is_shown_from_where_it_is_seen() {
        for side in Side::BOTH {
            let slide = case!("heel-slide-supine", "supine", side);
            let (wrong, drawing) = (slide.fault("knee_falls_out"), slide.drawing());
            assert_eq!(drawing.fault_view(&wrong), (View::Above, Crop::Whole));
            assert_eq!(slide.drawing().seen(View::Side).fault_view(&wrong), (View::Side, Crop::Whole));
            let clam = case!("side-lying-clam", "side_lying_bent", side);
            assert_eq!(clam.drawing().fault_view(&clam.fault("toes_claw")).1, Crop::Foot(side));
            let seated = case!("seated-heel-slide", "seated", side);
            let kept = seated.drawing().fault_view(&seated.fault("foot_behind_knee"));
            assert_eq!(kept, (View::Side, Crop::Whole));
        }
    }

    /// Nobody is shown through the wall he stands before.
    #[test]
    fn a_fault_is_not_shown_through_a_wall() {
        let case = case!("heel-raise-wall", "standing_at_wall", Side::Left);
        let drawing = case.drawing();
        let wall = case.repetition.room.wall.unwrap();
        assert!(wall > 0.0 && !drawing.open_to(View::Front, false) && !drawing.open_to(View::Front, true));
        assert!(drawing.open_to(View::Back, false) && !drawing.open_to(View::Above, false));
    }

    /// A swing to both sides has two heads, and its end is the pose that is pictured.
    #[test]
    fn a_swing_has_an_arrow_both_ways_that_ends_at_the_pictured_pose() {
        for side in Side::BOTH {
            let case = case!("pendulum-side", "leaning_forward", side);
            let drawing = case.drawing();
            let arrows = drawing.arrows();
            assert!(arrows[0].both_ways);
            let (landmark, of) = drawing.arrow_landmark();
            let far = drawing.place(&drawing.kinematics(drawing.far_sample()), landmark, of);
            assert!((arrows[0].path.last().unwrap() - far).norm() < 1e-9);
        }
    }

    /// A lift and its way back are one way.
    #[test]
    fn a_lift_has_an_arrow_one_way() {
        let case = case!("long-arc-quad", "seated", Side::Left);
        let arrows = case.drawing().arrows();
        assert!(!arrows[0].both_ways && arrows[0].path[0].y < arrows[0].path.last().unwrap().y);
    }

    #[test]
    fn a_weight_at_the_ankle_is_a_cuff() {
        let case = case!("leg-extension-arc", "seated", Side::Right);
        let props = case.drawing().props(&case.repetition.samples[0]);
        assert!(props.contains(&Prop::Worn(Worn::AnkleCuff(Side::Right))));
        assert!(!props.iter().any(|it| matches!(it, Prop::Weight { .. })));
    }

    /// The elbow leaves its pillow; the pillow stays on the bed.
    #[test]
    fn a_pillow_stays_where_it_lies() {
        let case = case!("supine-active-elevation", "hook_lying", Side::Left);
        let drawing = case.drawing();
        let pillow = |sample: usize| {
            let props = drawing.props(&case.repetition.samples[sample]);
            props.into_iter().find(|it| matches!(it, Prop::Pillow { .. })).unwrap()
        };
        assert_eq!(pillow(0), pillow(drawing.far_sample()));
        let Prop::Pillow { at, half } = pillow(0) else { unreachable!() };
        assert!((at.y - half.y - case.repetition.room.bed).abs() < 1e-9);
    }

    /// The line of a limit lies beside the limb, on the side to which it comes.
    #[test]
    fn a_limit_lies_beyond_the_limb() {
        let case = case!("seated-heel-slide", "seated", Side::Right);
        let drawing = case.drawing();
        let mark = drawing.limit_mark().unwrap();
        let heel = drawing.place(&drawing.kinematics(drawing.far_sample()), Landmark::HeelBack, Side::Right);
        assert!(mark.points.iter().all(|p| p.x < heel.x));
        assert!(mark.points[0].y.abs() < 1e-9);
    }

    /// A band without a second end is fixed to the door, at one place all the time.
    #[test]
    fn a_band_ends_at_the_door() {
        let case = case!("band-internal-rotation", "standing_beside_door", Side::Left);
        let drawing = case.drawing();
        for sample in [0, drawing.far_sample()] {
            let props = drawing.props(&case.repetition.samples[sample]);
            let end = props.iter().find_map(|it| match it {
                Prop::Band { points } => points.last().copied(),
                _ => None,
            });
            assert!((end.unwrap().x - case.repetition.room.wall.unwrap()).abs() < 1e-9);
        }
    }
}
