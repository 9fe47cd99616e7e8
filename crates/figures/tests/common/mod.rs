//! Where a renderer with the real face sets the words of a chart.
#![allow(dead_code)] // each test file uses a part of it

use std::sync::{Arc, LazyLock};

use proptest::prelude::*;
use resvg::usvg;

/// The face in which the charts are set.
pub static OPTIONS: LazyLock<usvg::Options<'static>> = LazyLock::new(|| {
    let mut fonts = usvg::fontdb::Database::new();
    fonts.load_fonts_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/../../content/fonts"));
    usvg::Options { fontdb: Arc::new(fonts), ..usvg::Options::default() }
});

pub fn tree(text: &str) -> usvg::Tree {
    usvg::Tree::from_str(text, &OPTIONS).expect("a picture")
}

/// Every line of text with its place as a renderer with the real face sets it.
pub fn texts(group: &usvg::Group, out: &mut Vec<(String, usvg::Rect)>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => texts(group, out),
            usvg::Node::Text(text) => {
                let words = text.chunks().iter().map(|chunk| chunk.text()).collect();
                out.push((words, text.abs_bounding_box()));
            }
            _ => {}
        }
    }
}

/// All text lies inside the picture and on no other text; nothing drawn reaches out of it.
pub fn check_places(svg: &str) -> Result<(), TestCaseError> {
    let tags = svg.split('<').map(|part| part.split('>').next().unwrap());
    for tag in tags {
        prop_assert!(!tag.contains("NaN") && !tag.contains("inf"), "{tag}");
    }
    let tree = tree(svg);
    let (w, h) = (tree.size().width(), tree.size().height());
    let mut all = Vec::new();
    texts(tree.root(), &mut all);
    for (words, place) in &all {
        let inside = place.left() >= 0.0 && place.right() <= w && place.top() >= 0.0 && place.bottom() <= h;
        prop_assert!(inside, "{words:?} at {place:?} of {w} by {h}");
    }
    for (i, (a, at)) in all.iter().enumerate() {
        for (b, bt) in &all[i + 1..] {
            let across = at.right().min(bt.right()) - at.left().max(bt.left());
            let down = at.bottom().min(bt.bottom()) - at.top().max(bt.top());
            // Line boxes reach into each other a little; letters do not.
            prop_assert!(across < 1.0 || down < 6.0, "{a:?} and {b:?}: {at:?} {bt:?}");
        }
    }
    let ink = tree.root().abs_stroke_bounding_box();
    prop_assert!(ink.left() > -0.5 && ink.right() < w + 0.5 && ink.bottom() < h + 0.5, "{ink:?}");
    Ok(())
}
