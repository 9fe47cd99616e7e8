//! Pictures for the page: clips of exercises, stills of the postures that a move leads through.

use std::collections::BTreeMap;

use handrail_anatomy::{Device, Dof, Kinematics, Landmark, Measure, Pose, Side};
use handrail_episode::Plan;
use handrail_figures::exercise::{Drawing, STILL};
use handrail_figures::{Accent, Crop, Framing, Prop, Subject, View, Worn};
use handrail_motion::{Detail, Home, Motion, Parameters, Posture, Repetition, solve_in};
use handrail_program::verdict::EPSILON_DEG;
use handrail_protocol::Limit;
use nalgebra::Vector3;

use crate::session::{Clip, Frame, Paint, Part};

/// Hip and knee bend that hold a foot clear of the floor while standing on the other leg, degrees (drawn only).
const LIFTED: (f64, f64) = (22.0, 50.0);
/// How much straighter the knee of a lifted foot is than the other one while sitting, degrees (drawn only).
const STRAIGHTER: f64 = 34.0;
/// Depth of the bed behind its edge, m (drawn only).
const BED_DEPTH: f64 = 0.85;
/// The edge of a bed lies this far behind the knee, m (drawn only).
const EDGE_BEHIND_KNEE: f64 = 0.06;

/// Where a posture is taken, as far as its picture differs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Setting {
    /// With the furniture of the posture.
    Usual,
    /// Sitting, the operated foot off the floor.
    FootLifted,
    /// Sitting on the edge of the bed.
    BedEdge {
        /// The operated foot is off the floor.
        lifted: bool,
    },
    /// Standing with the operated foot off the floor.
    OnOneLeg,
}

/// Draws the postures of moves for one patient.
pub(crate) struct Stills<'a> {
    pub plan: &'a Plan<'a>,
    pub postures: &'a BTreeMap<String, Posture>,
    /// True when a leg was operated.
    pub leg: bool,
}

impl Stills<'_> {
    fn side(&self) -> Side {
        self.plan.episode.operation.side
    }

    fn rest(&self, motion: &Motion, home: &Home) -> Option<Repetition> {
        let none = Parameters::new();
        solve_in(motion, &motion.core, &self.plan.body, home, self.side(), &none, Detail::Coarse).ok()
    }

    /// A still of a posture; `None` when this body cannot take it or nobody described it.
    pub fn still(&self, posture: &str, setting: Setting, worn: Option<Device>, alt: &str) -> Option<Clip> {
        let mut motion = Motion::at_rest(self.postures.get(posture)?);
        // The operated limb carries the accent.
        motion.region = if self.leg { "hip" } else { "shoulder" }.into();
        match setting {
            Setting::Usual | Setting::FootLifted => {
                let mut rest = self.rest(&motion, &self.plan.home)?;
                if setting == Setting::FootLifted {
                    rest.samples.iter_mut().for_each(|it| self.lift_sitting(&mut it.pose, worn));
                }
                let device = worn.map(|it| (it, self.side()));
                let drawing = Drawing::new(&motion, &rest, &self.plan.body, device).whole();
                let on_side = motion.posture.root.list.abs() > 60.0;
                let drawing = if on_side { drawing.seen(View::ThreeQuarter) } else { drawing };
                Some(only_first(convert(drawing.clip(alt, None))))
            }
            Setting::BedEdge { lifted } => {
                let bed = self.plan.home.bed_height;
                let rest = self.rest(&motion, &Home { seat_height: bed, ..self.plan.home })?;
                let mut pose = rest.samples[0].pose;
                let edge = self.bed_edge(&pose, bed);
                if lifted {
                    self.lift_sitting(&mut pose, worn);
                }
                Some(self.scene(&pose, vec![Prop::Floor, edge], worn, alt))
            }
            Setting::OnOneLeg => {
                let rest = self.rest(&motion, &self.plan.home)?;
                Some(self.on_one_leg(rest.samples[0].pose, worn, alt))
            }
        }
    }

    /// A joint that a worn device holds is drawn as held. A pose that would pass a limit is left as it was.
    fn move_leg(&self, pose: &mut Pose, worn: Option<Device>, angles: &[(Dof, f64)]) {
        let side = self.side();
        let mut moved = *pose;
        for &(dof, deg) in angles {
            moved.set_deg(side, dof, deg);
        }
        let mut held = Vec::new();
        for it in &self.plan.envelope.in_force {
            let Limit::Device { device, holds, .. } = &it.limit else { continue };
            for (motion, deg) in holds.iter().filter(|_| worn == Some(*device)) {
                held.push(motion.joint);
                if let Measure::Limb(dof) = motion.measure {
                    moved.set_deg(side, dof, deg * f64::from(motion.sign));
                }
            }
        }
        let passes = self.plan.envelope.in_force.iter().any(|it| match &it.limit {
            Limit::Motion { motion, max_deg, .. } if !held.contains(&motion.joint) => {
                motion.read(&moved, side) > max_deg + EPSILON_DEG
            }
            _ => false,
        });
        if !passes {
            *pose = moved;
        }
    }

    fn lift_sitting(&self, pose: &mut Pose, worn: Option<Device>) {
        let knee = pose.deg(self.side(), Dof::KneeFlexion) - STRAIGHTER;
        self.move_leg(pose, worn, &[(Dof::KneeFlexion, knee)]);
    }

    /// A bed across the picture, its edge behind the knees.
    fn bed_edge(&self, pose: &Pose, height: f64) -> Prop {
        let kinematics = Kinematics::of(&self.plan.body, pose);
        let place = |landmark: Landmark, side| landmark.place(&self.plan.body, &kinematics, side);
        let knee = place(Landmark::KneeCentre, Side::Left).x.min(place(Landmark::KneeCentre, Side::Right).x);
        let edge = knee - EDGE_BEHIND_KNEE;
        let (middle, out) = (place(Landmark::Seat, self.side()).z, self.side().outward());
        Prop::Bed { height, from: [edge - BED_DEPTH, middle - 0.9 * out], to: [edge, middle + 0.2 * out] }
    }

    /// The operated foot off the floor, a crutch under each hand.
    fn on_one_leg(&self, mut pose: Pose, worn: Option<Device>, alt: &str) -> Clip {
        let lifted =
            [(Dof::HipFlexion, LIFTED.0), (Dof::KneeFlexion, LIFTED.1), (Dof::AnkleDorsiflexion, -5.0)];
        self.move_leg(&mut pose, worn, &lifted);
        for arm in Side::BOTH {
            pose.set_deg(arm, Dof::ShoulderFlexion, 12.0);
            pose.set_deg(arm, Dof::ShoulderAbduction, 14.0);
            pose.set_deg(arm, Dof::ElbowFlexion, 26.0);
        }
        let kinematics = Kinematics::of(&self.plan.body, &pose);
        let crutch = |arm: Side| {
            let grip = Landmark::Grip.place(&self.plan.body, &kinematics, arm);
            let foot = Vector3::new(grip.x + 0.06, 0.01, grip.z + 0.08 * arm.outward());
            Prop::Stick { from: foot, to: grip + (grip - foot).normalize() * 0.06 }
        };
        let props = vec![Prop::Floor, crutch(Side::Left), crutch(Side::Right)];
        self.scene(&pose, props, worn, alt)
    }

    fn scene(&self, pose: &Pose, mut props: Vec<Prop>, worn: Option<Device>, alt: &str) -> Clip {
        props.extend(worn.map(|it| Prop::Worn(worn_prop(it, self.side()))));
        let accent = if self.leg { Accent::Leg } else { Accent::Arm };
        let subject = Subject { body: &self.plan.body, working: self.side(), accent };
        let frames = [handrail_figures::Frame { pose, props: &props, time: 0.0 }];
        let framing = Framing::fit(View::Side, Crop::Whole, &subject, &frames, STILL);
        convert(handrail_figures::clip(&framing, &subject, &frames, &[], alt))
    }
}

fn worn_prop(device: Device, side: Side) -> Worn {
    match device {
        Device::Boot | Device::Splint => Worn::Boot(side),
        Device::KneeBrace => Worn::KneeBrace(side),
        Device::Sling | Device::AbductionSling => Worn::Sling(side),
    }
}

/// A picture that does not move needs one frame only.
fn only_first(mut clip: Clip) -> Clip {
    clip.frames.truncate(1);
    clip
}

fn paint(class: &str) -> Paint {
    match class {
        "near" => Paint::Near,
        "far" => Paint::Far,
        "accent" => Paint::Accent,
        "cloth" => Paint::Cloth,
        "hair" => Paint::Hair,
        "ghost" => Paint::Ghost,
        "line" => Paint::Line,
        _ => Paint::Prop,
    }
}

/// A clip of the room `figures` as the page takes it.
pub(crate) fn convert(clip: handrail_figures::Clip) -> Clip {
    let part =
        |it: handrail_figures::Part| Part { layer: it.layer, paint: paint(it.paint), circles: it.circles };
    let frame = |it: handrail_figures::ClipFrame| Frame { t: it.t, order: it.order, v: it.v };
    Clip {
        view_box: clip.view_box,
        back_svg: clip.back_svg,
        front_svg: clip.front_svg,
        parts: clip.parts.into_iter().map(part).collect(),
        frames: clip.frames.into_iter().map(frame).collect(),
        alt: clip.alt,
    }
}
