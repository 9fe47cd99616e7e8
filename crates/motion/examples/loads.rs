//! Loads on every tissue in every exercise of a content folder, for a look: `loads CONTENT [TISSUE]`.
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a tool for authors, not part of the room"
)]
use std::collections::BTreeMap;
use std::path::Path;

use handrail_anatomy::{Body, Person, SegmentTable, Sex, Side, Tissue};
use handrail_motion::load::tissue_load;
use handrail_motion::{Home, Load, MotionSpec, Posture, compile, read_posture, solve};
use handrail_spans::SourceText;

fn main() {
    let folder = std::env::args().nth(1).unwrap_or_else(|| "content".into());
    let only = std::env::args().nth(2).and_then(|it| Tissue::by_id(&it));
    let read = |part: &str| {
        let mut files: Vec<_> =
            std::fs::read_dir(Path::new(&folder).join(part)).unwrap().map(|it| it.unwrap().path()).collect();
        files.sort();
        files
            .into_iter()
            .map(|it| SourceText::new(it.display().to_string(), std::fs::read_to_string(&it).unwrap()))
            .collect::<Vec<_>>()
    };
    let postures: BTreeMap<String, Posture> = read("postures")
        .iter()
        .map(|it| read_posture(it).unwrap_or_else(|error| panic!("{error}")))
        .map(|it| (it.id.clone(), it))
        .collect();
    let person = Person { stature: 1.72, mass: 74.0, sex: Sex::Female, measured: Default::default() };
    let body = Body::new(person, SegmentTable::Winter).unwrap();
    let home = Home::usual(body.stature());
    for source in read("exercises") {
        let motion = source
            .parse::<MotionSpec>()
            .and_then(|spec| compile(&source, &spec, &postures))
            .unwrap_or_else(|error| panic!("{error}"));
        let Ok(repetition) = solve(&motion, &motion.core, &body, &home, Side::Right, &BTreeMap::new()) else {
            println!("{:34} cannot be done", motion.id);
            continue;
        };
        let unbalanced = repetition.joints.iter().map(|it| it.unbalanced).fold(0.0, f64::max);
        print!("{:34} left over {unbalanced:.3} BW m", motion.id);
        for &tissue in Tissue::ALL.iter().filter(|it| only.is_none_or(|one| one == **it)) {
            for side in Side::BOTH {
                let text = match tissue_load(&motion, &body, &repetition, tissue, side) {
                    Load::Known(it) => format!("{:.2}-{:.2} {}", it.peak.low, it.peak.high, it.basis.id()),
                    Load::Order { .. } => "order".into(),
                    Load::NotKnown(why) => why.id().into(),
                };
                if only.is_some() || (side == Side::Right && text != "not_published") {
                    print!(" | {} {}: {text}", &side.word()[..1], tissue.id());
                }
            }
        }
        println!();
    }
}
