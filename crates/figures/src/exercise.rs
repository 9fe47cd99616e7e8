//! From a solved repetition to its pictures: which way to look, what stands in the room, what moves.
//!
//! The same repetition that was checked is drawn; nothing here chooses an angle.

use handrail_anatomy::{Body, Device, Kinematics, Landmark, Side};
use handrail_motion::posture::Surface;
use handrail_motion::{Along, Motion, Repetition, Sample};
use nalgebra::Vector3;

use crate::camera::{Crop, Framing, View};
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
            _ => Crop::Whole,
        };
        let worn = device
            .and_then(|(device, side)| match device {
                Device::Boot | Device::Splint => Some(Worn::Boot(side)),
                Device::KneeBrace => Some(Worn::KneeBrace(side)),
                Device::Sling | Device::AbductionSling => Some(Worn::Sling(side)),
            })
            .into_iter()
            .collect();
        let subject = Subject { body, working: side, accent: accent(motion) };
        Drawing { motion, repetition, subject, worn, view: view(&motion.camera.view), crop }
    }

    /// Looks another way.
    pub fn seen(mut self, view: View) -> Drawing<'a> {
        self.view = view;
        self
    }

    /// Shows the whole body even where the exercise asks for a close-up.
    pub fn whole(mut self) -> Drawing<'a> {
        self.crop = Crop::Whole;
        self
    }

    /// Sample at which the motion is farthest from the start.
    pub fn far_sample(&self) -> usize {
        let path = self.arrow_path_of(self.repetition.samples.len() - 1);
        let Some(start) = path.first().copied() else { return self.repetition.samples.len() / 2 };
        let keys = &self.repetition.key_samples;
        keys.iter()
            .copied()
            .skip(1)
            .max_by(|&a, &b| {
                let away = |i: usize| path.get(i).map_or(0.0, |it| (it - start).norm());
                away(a).total_cmp(&away(b))
            })
            .unwrap_or(0)
    }

    fn props(&self, sample: &Sample) -> Vec<Prop> {
        let mut out = self.furniture();
        out.extend(self.things(sample));
        out.extend(self.worn.iter().copied().map(Prop::Worn));
        out
    }

    /// Furniture stands where the start pose needs it, and stays there.
    fn furniture(&self) -> Vec<Prop> {
        let first = &self.repetition.samples[0];
        let body = self.subject.body;
        let kinematics = Kinematics::of(body, &first.pose);
        let place = |landmark: Landmark, side| landmark.place(body, &kinematics, side);
        let both = |landmark| (place(landmark, Side::Left) + place(landmark, Side::Right)) / 2.0;
        let room = &self.repetition.room;
        let mut out = vec![Prop::Floor];
        for furniture in &self.motion.posture.furniture {
            match furniture.as_str() {
                "chair" => {
                    let seat = both(Landmark::Seat);
                    let thigh = both(Landmark::ThighBack);
                    let at = Vector3::new((seat.x * 0.45 + thigh.x * 0.55) - 0.02, 0.0, seat.z);
                    out.push(Prop::Chair { at, seat_height: room.seat, facing: 0.0 });
                }
                "bed" => {
                    let (low, high) = extent(body, &kinematics);
                    out.push(Prop::Bed {
                        height: room.bed,
                        from: [low.x - 0.10, (low.z - 0.14).min(-0.42)],
                        to: [high.x + 0.10, (high.z + 0.14).max(0.42)],
                    });
                }
                "mat" => {
                    let (low, high) = extent(body, &kinematics);
                    out.push(Prop::Mat {
                        from: [low.x - 0.1, low.z - 0.12],
                        to: [high.x + 0.1, high.z + 0.12],
                    });
                }
                "pillow_head" => {
                    let head = both(Landmark::HeadBack) * 0.5 + both(Landmark::HeadSide) * 0.5;
                    let lowest = place(Landmark::HeadBack, Side::Left)
                        .y
                        .min(place(Landmark::HeadSide, Side::Left).y)
                        .min(place(Landmark::HeadSide, Side::Right).y);
                    let half = ((lowest - room.bed) / 2.0).max(0.025);
                    out.push(Prop::Pillow {
                        at: Vector3::new(head.x, room.bed + half, head.z),
                        half: Vector3::new(0.16, half, 0.24),
                    });
                }
                "back_rest" => {
                    let back = both(Landmark::UpperBack);
                    out.push(Prop::Pillow {
                        at: Vector3::new(back.x - 0.09, (back.y + room.bed) / 2.0, back.z),
                        half: Vector3::new(0.08, (back.y - room.bed) / 2.0 + 0.06, 0.26),
                    });
                }
                "table" => {
                    let hands: Vec<f64> = self
                        .repetition
                        .contacts
                        .iter()
                        .filter(|it| it.on == Some(Surface::Table))
                        .flat_map(|it| it.place.iter().map(|p| p.x))
                        .collect();
                    let near = hands.iter().copied().fold(f64::INFINITY, f64::min);
                    let near = if near.is_finite() { near - 0.10 } else { 0.35 };
                    let far = hands.iter().copied().fold(near + 0.5, f64::max) + 0.12;
                    out.push(Prop::Table { height: room.table, from: [near, -0.5], to: [far, 0.5] });
                }
                "wall" => {
                    if let Some(x) = room.wall {
                        out.push(Prop::Wall { x });
                    }
                }
                "step" => {
                    let on_step = self.repetition.contacts.iter().filter(|it| it.on == Some(Surface::Step));
                    let places: Vec<Vector3<f64>> =
                        on_step.filter_map(|it| it.place.first().copied()).collect();
                    let low = places.iter().map(|p| p.x).fold(f64::INFINITY, f64::min);
                    let high = places.iter().map(|p| p.x).fold(f64::NEG_INFINITY, f64::max);
                    let z = places.iter().map(|p| p.z).sum::<f64>() / places.len().max(1) as f64;
                    if low.is_finite() {
                        out.push(Prop::Step {
                            height: room.step,
                            from: [low - 0.09, z - 0.22],
                            to: [high + 0.07, z + 0.22],
                        });
                    }
                }
                _ => {}
            }
        }
        out
    }

    /// Small things that go with the body.
    fn things(&self, sample: &Sample) -> Vec<Prop> {
        let kinematics = Kinematics::of(self.subject.body, &sample.pose);
        let mut out = Vec::new();
        let places = handrail_motion::solve::prop_places(
            self.motion,
            self.subject.body,
            &kinematics,
            self.subject.working,
        );
        for prop in places {
            let (at, to) = (prop.at, prop.to);
            match (prop.kind.as_str(), to) {
                ("towel", _) => out.push(Prop::Towel { at: at - Vector3::y() * 0.006, half: [0.15, 0.09] }),
                ("pillow", _) => out.push(Prop::Pillow {
                    at: at - Vector3::y() * 0.045,
                    half: Vector3::new(0.15, 0.045, 0.17),
                }),
                ("rolled_towel", _) => {
                    out.push(Prop::Roll { at: at - Vector3::y() * 0.045, radius: 0.045, half: 0.13 });
                }
                ("stick", Some(to)) => {
                    let along = (to - at).normalize() * 0.12;
                    out.push(Prop::Stick { from: at - along, to: to + along });
                }
                ("band", Some(to)) => out.push(Prop::Band { points: vec![at, to] }),
                ("band", None) => {
                    // Without a second end the band runs to the wall or door at hand height.
                    let x = self.repetition.room.wall.unwrap_or(at.x + 0.5);
                    out.push(Prop::Band { points: vec![at, Vector3::new(x, at.y, at.z)] });
                }
                ("weight", _) => out.push(Prop::Weight {
                    at,
                    axis: Vector3::z(),
                    kg: self.repetition.resistance_kg.unwrap_or(1.0),
                }),
                _ => {}
            }
        }
        if let (Some(at), Some(radius)) = (sample.ball, self.repetition.ball_radius) {
            out.push(Prop::Ball { at, radius });
        }
        out
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
        (longest.unwrap_or(candidates[0]), working)
    }

    fn path(&self, landmark: Landmark, side: Side) -> Vec<Vector3<f64>> {
        self.repetition
            .samples
            .iter()
            .map(|it| landmark.place(self.subject.body, &Kinematics::of(self.subject.body, &it.pose), side))
            .collect()
    }

    fn arrow_path_of(&self, last: usize) -> Vec<Vector3<f64>> {
        let (landmark, side) = self.arrow_landmark();
        let mut path = self.path(landmark, side);
        path.truncate(last + 1);
        path
    }

    fn arrows(&self) -> Vec<Arrow> {
        let path = self.arrow_path_of(self.far_sample());
        if travel(&path) < SHORT {
            return Vec::new();
        }
        vec![Arrow { path, both_ways: false }]
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
        let props = far.props(sample);
        let frame = Frame { pose: &sample.pose, props: &props, time: sample.time };
        let mut framing = self.framing();
        // A fault that leaves the frame of the right way gets one that holds both.
        if self.crop == Crop::Whole {
            let right = &self.repetition.samples[self.far_sample()];
            let right_props = self.props(right);
            let right = Frame { pose: &right.pose, props: &right_props, time: right.time };
            framing = Framing::fit(self.view, self.crop, &self.subject, &[right, frame], STILL);
        }
        let mut picture = Picture::new(framing, frame, &captions.title, &captions.alt);
        picture.not_like_this = crossed;
        picture.word = crossed.then(|| captions.not.clone());
        svg(id, &picture, &self.subject)
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
        picture.arrows = arrows;
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
        let spec = self.motion.landmark.as_ref()?;
        let far = *self.repetition.key_samples.last()?;
        let kinematics = Kinematics::of(self.subject.body, &self.repetition.samples[far].pose);
        let side = spec.point.limb.side(self.subject.working);
        let at = spec.point.point.place(self.subject.body, &kinematics, side);
        let line = |from: Vector3<f64>, to: Vector3<f64>| Some(LimitMark { points: vec![from, to] });
        match spec.along {
            Along::Forward => {
                let floor = if self.motion.posture.place == "bed" { self.repetition.room.bed } else { 0.0 };
                line(Vector3::new(at.x, floor, at.z), Vector3::new(at.x, floor + 0.42, at.z))
            }
            Along::Up => line(Vector3::new(at.x - 0.18, at.y, at.z), Vector3::new(at.x + 0.18, at.y, at.z)),
            Along::Outward => {
                line(Vector3::new(at.x, at.y - 0.18, at.z), Vector3::new(at.x, at.y + 0.18, at.z))
            }
        }
    }
}

fn travel(path: &[Vector3<f64>]) -> f64 {
    let Some(start) = path.first() else { return 0.0 };
    path.iter().map(|it| (it - start).norm()).fold(0.0, f64::max)
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
        "above" => View::Above,
        "other_side" => View::OtherSide,
        _ => View::Side,
    }
}

fn accent(motion: &Motion) -> Accent {
    match motion.region.as_str() {
        "foot" => Accent::Foot,
        "ankle" | "knee" | "hip" => Accent::Leg,
        "shoulder" | "elbow" => Accent::Arm,
        "hand" => Accent::Hand,
        _ => Accent::Trunk,
    }
}
