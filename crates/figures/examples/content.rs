//! Draws every exercise of a content folder: `cargo run --example content -- CONTENT FOLDER [left|right]`.
//!
//! `page-*.svg` files lay the end pictures side by side, to be looked at after each change of figure or content.
#![allow(clippy::disallowed_methods, clippy::disallowed_macros)]

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Person, SegmentTable, Sex, Side};
use handrail_figures::exercise::{Captions, Drawing, STILL};
use handrail_motion::{Home, MotionSpec, compile, read_posture, solve};
use handrail_spans::SourceText;

fn files(folder: &Path) -> Vec<PathBuf> {
    let mut all: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("folder").map(|entry| entry.expect("entry").path()).collect();
    all.sort();
    all
}

fn read(path: &Path) -> SourceText {
    SourceText::new(path.display().to_string(), std::fs::read_to_string(path).expect("text"))
}

/// Lays pictures with their names on one page.
fn page(pictures: &[(String, String)], columns: usize) -> String {
    let (w, h) = (STILL[0] + 8.0, STILL[1] + 26.0);
    let rows = pictures.len().div_ceil(columns);
    let (width, height) = (w * columns as f64, h * rows as f64);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{width}\" \
         height=\"{height}\"><rect width=\"100%\" height=\"100%\" fill=\"#ccc\"/>"
    );
    for (i, (name, picture)) in pictures.iter().enumerate() {
        let (x, y) = ((i % columns) as f64 * w + 4.0, (i / columns) as f64 * h + 22.0);
        let _ = write!(out, "<text x=\"{x}\" y=\"{}\" font-size=\"15\">{name}</text>", y - 6.0);
        out.push_str(&picture.replacen("<svg ", &format!("<svg x=\"{x}\" y=\"{y}\" "), 1));
    }
    out.push_str("</svg>");
    out
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let (content, out) = (Path::new(&arguments[1]), Path::new(&arguments[2]));
    let side = if arguments.get(3).is_some_and(|it| it == "left") { Side::Left } else { Side::Right };
    std::fs::create_dir_all(out).expect("folder");
    let mut postures = BTreeMap::new();
    for path in files(&content.join("postures")) {
        match read_posture(&read(&path)) {
            Ok(posture) => drop(postures.insert(posture.id.clone(), posture)),
            Err(problems) => println!("{problems}"),
        }
    }
    let person = Person { stature: 1.70, mass: 70.0, sex: Sex::Female, measured: MeasuredLengths::default() };
    let body = Body::new(person, SegmentTable::Winter).expect("a plain person");
    let home = Home::usual(person.stature);
    let mut pictures = Vec::new();
    for path in files(&content.join("exercises")) {
        let text = read(&path);
        let Ok(motion) = text.parse::<MotionSpec>().and_then(|spec| compile(&text, &spec, &postures)) else {
            println!("{}: not read", path.display());
            continue;
        };
        let Ok(repetition) = solve(&motion, &motion.core, &body, &home, side, &BTreeMap::new()) else {
            println!("{}: not solved", path.display());
            continue;
        };
        let drawing = Drawing::new(&motion, &repetition, &body, None);
        let captions =
            Captions { title: motion.id.clone(), alt: motion.id.clone(), not: "Not like this".into() };
        let limit = drawing.limit_mark();
        let picture = drawing.end(&motion.id, &captions, limit.as_ref());
        std::fs::write(out.join(format!("{}.svg", motion.id)), &picture).expect("write");
        let start = drawing.start(&format!("{}-start", motion.id), &captions);
        std::fs::write(out.join(format!("{}-start.svg", motion.id)), &start).expect("write");
        pictures.push((motion.id.clone(), picture));
        for fault in motion.faults.iter().take(1) {
            if let Ok(wrong) = solve(&motion, &fault.core, &body, &home, side, &fault.parameters) {
                let picture = drawing.not_like_this(&format!("{}-not", motion.id), &wrong, &captions);
                std::fs::write(out.join(format!("{}-not.svg", motion.id)), &picture).expect("write");
            }
        }
    }
    for (i, chunk) in pictures.chunks(12).enumerate() {
        std::fs::write(out.join(format!("page-{i}.svg")), page(chunk, 3)).expect("write");
    }
    let mut sizes: Vec<usize> = pictures.iter().map(|it| it.1.len()).collect();
    sizes.sort_unstable();
    if let (Some(last), Some(middle)) = (sizes.last(), sizes.get(sizes.len() / 2)) {
        println!("{} pictures, median {middle} bytes, largest {last}", sizes.len());
    }
}
