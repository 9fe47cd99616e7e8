//! A still picture as a complete SVG document.

use nalgebra::Vector3;

use crate::camera::Framing;
use crate::hull::Circle;
use crate::marks::{Arrow, LimitMark, draw_arrow, draw_fault, draw_limit, draw_not};
use crate::palette::{PAPER, Paint};
use crate::scene::{Scene, draw_layer, ghost_layer};
use crate::svg::{Ink, Svg};
use crate::{Frame, Subject};

/// Everything a still shows.
#[derive(Clone, Debug)]
pub struct Picture<'a> {
    /// Camera, scale and size; shared by the pictures of one exercise.
    pub framing: Framing,
    /// Start pose, drawn as a thin outline where it differs.
    pub ghost: Option<Frame<'a>>,
    /// The pose that is shown.
    pub main: Frame<'a>,
    /// Ways of the motion; best one. They stand beside the figure.
    pub arrows: Vec<Arrow>,
    /// Ways of what lies on the figure's surface; they stand where it is.
    pub arrows_on_body: Vec<Arrow>,
    /// Limits that can be seen in the room.
    pub limits: Vec<LimitMark>,
    /// "Not like this": framed, with a cross.
    pub not_like_this: bool,
    /// Where the mistake is, world, m.
    pub faults: Vec<Vector3<f64>>,
    /// Word beside the badge of a "not like this" picture, in the reader's language.
    pub word: Option<String>,
    /// Font family of the word.
    pub font_family: String,
    /// Short name.
    pub title: String,
    /// What the picture shows, in words.
    pub alt: String,
}

impl<'a> Picture<'a> {
    /// A plain picture of one pose.
    pub fn new(framing: Framing, main: Frame<'a>, title: &str, alt: &str) -> Picture<'a> {
        Picture {
            framing,
            ghost: None,
            main,
            arrows: Vec::new(),
            arrows_on_body: Vec::new(),
            limits: Vec::new(),
            not_like_this: false,
            faults: Vec::new(),
            word: None,
            font_family: "sans-serif".to_owned(),
            title: title.to_owned(),
            alt: alt.to_owned(),
        }
    }
}

/// The picture as a complete SVG document. `id` must be its own on a page.
pub fn svg(id: &str, picture: &Picture<'_>, subject: &Subject<'_>) -> String {
    let framing = &picture.framing;
    let mut svg = Svg::open(framing.size, id, &picture.title, &picture.alt);
    svg.rect([0.0, 0.0], framing.size, 0.0, &Ink { fill: PAPER, ..Ink::default() });
    let scene = Scene::new(framing, subject, std::slice::from_ref(&picture.main));
    let (back, front): (Vec<_>, Vec<_>) = scene.layers.iter().partition(|layer| layer.still_back);
    Scene::draw(&mut svg, back.into_iter(), 0, true);
    if let Some(ghost) = &picture.ghost {
        draw_layer(&mut svg, &ghost_layer(framing, subject, ghost, &picture.main), 0, true);
    }
    Scene::draw(&mut svg, front.iter().copied(), 0, true);
    for limit in &picture.limits {
        draw_limit(&mut svg, framing, limit);
    }
    let figure: Vec<Vec<Circle>> = front
        .iter()
        .filter(|layer| layer.figure)
        .flat_map(|layer| layer.parts.iter().map(|part| part.frames[0].clone()))
        .collect();
    for arrow in &picture.arrows {
        draw_arrow(&mut svg, framing, arrow, &figure);
    }
    for arrow in &picture.arrows_on_body {
        draw_arrow(&mut svg, framing, arrow, &[]);
    }
    for fault in &picture.faults {
        draw_fault(&mut svg, framing, fault);
    }
    if picture.not_like_this {
        let word = picture.word.as_deref().map(|word| (word, picture.font_family.as_str()));
        draw_not(&mut svg, framing.size, word, &figure, &furniture(&scene));
    }
    svg.close()
}

/// What stands in the room; the floor only bounds it.
fn furniture(scene: &Scene) -> Vec<Vec<Circle>> {
    let parts = scene.layers.iter().filter(|layer| !layer.figure).flat_map(|layer| &layer.parts);
    parts.filter(|part| part.paint != Paint::Room).map(|part| part.frames[0].clone()).collect()
}
