//! Frames for a page's player: the same parts as in the stills, with their circles at each instant.

use serde::Serialize;

use crate::camera::Framing;
use crate::marks::{LimitMark, draw_limit};
use crate::scene::Scene;
use crate::svg::{Svg, tenths};
use crate::{Frame, Subject};

/// A moving figure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Clip {
    /// Left, top, width and height of the picture.
    pub view_box: [f32; 4],
    /// SVG elements behind the figure: furniture that does not move.
    pub back_svg: String,
    /// SVG elements before the figure: limits.
    pub front_svg: String,
    /// The parts of the figure and of what moves with it.
    pub parts: Vec<Part>,
    /// Their places in order of time.
    pub frames: Vec<ClipFrame>,
    /// What the picture shows, in words.
    pub alt: String,
}

/// One part: the convex hull of its circles.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Part {
    /// Layers are drawn from 0 (far) upward; in each all outlines come first, then all fills.
    pub layer: u8,
    /// One of near, far, accent, cloth, hair, prop, ghost, line.
    pub paint: &'static str,
    /// Number of its circles, 1 to 4.
    pub circles: u8,
}

/// The figure at one moment.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ClipFrame {
    /// Seconds since the repetition began.
    pub t: f32,
    /// Layers of all parts from this frame on; one order holds for a whole clip, so always `None`.
    pub order: Option<Vec<u8>>,
    /// x, y and radius of every circle of every part, in tenths of a picture unit.
    pub v: Vec<i16>,
}

/// Lays out a whole motion for a player.
pub fn clip(
    framing: &Framing,
    subject: &Subject<'_>,
    frames: &[Frame<'_>],
    limits: &[LimitMark],
    alt: &str,
) -> Clip {
    let scene = Scene::new(framing, subject, frames);
    let mut back = Svg::fragment();
    // No classes: the page's own paint classes would override the finer shades of furniture.
    Scene::draw(&mut back, scene.layers.iter().filter(|l| l.still_back), 0, false);
    let mut front = Svg::fragment();
    for limit in limits {
        draw_limit(&mut front, framing, limit);
    }
    let mut parts = Vec::new();
    let mut out: Vec<ClipFrame> =
        frames.iter().map(|f| ClipFrame { t: f.time as f32, order: None, v: Vec::new() }).collect();
    for (number, layer) in scene.layers.iter().filter(|l| !l.still_back).enumerate() {
        for part in &layer.parts {
            // Furniture that moves may have more corners than a part may have circles.
            for chunk in chunks(part.frames[0].len()) {
                parts.push(Part {
                    layer: u8::try_from(number).unwrap_or(u8::MAX),
                    paint: part.paint.basic().class(),
                    circles: chunk.len() as u8,
                });
                for (frame, circles) in out.iter_mut().zip(&part.frames) {
                    for circle in &circles[chunk.clone()] {
                        frame.v.extend([circle.x, circle.y, circle.r].map(short));
                    }
                }
            }
        }
    }
    Clip {
        view_box: [0.0, 0.0, framing.size[0] as f32, framing.size[1] as f32],
        back_svg: back.into_fragment(),
        front_svg: front.into_fragment(),
        parts,
        frames: out,
        alt: alt.to_owned(),
    }
}

/// Ranges of at most four circles; neighbours share one so that no gap opens.
fn chunks(n: usize) -> Vec<std::ops::Range<usize>> {
    let mut out = Vec::new();
    let mut start = 0;
    loop {
        let end = n.min(start + 4);
        out.push(start..end);
        if end == n {
            return out;
        }
        start = end - 1;
    }
}

fn short(value: f64) -> i16 {
    tenths(value).clamp(i32::from(i16::MIN), i32::from(i16::MAX)) as i16
}
