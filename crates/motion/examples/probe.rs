//! Prints what an exercise file solves to: `probe CONTENT_DIR EXERCISE.toml...`
#![allow(
    clippy::disallowed_methods,
    clippy::disallowed_macros,
    reason = "a tool for authors, not part of the room"
)]
use std::collections::BTreeMap;
use std::path::Path;

use handrail_anatomy::{Body, Coord, Person, SegmentTable, Sex, Side};
use handrail_motion::{Home, MotionSpec, Repetition, compile, read_posture, solve};
use handrail_spans::SourceText;

fn main() {
    let args: Vec<String> = std::env::args().collect();
    let content = Path::new(&args[1]);
    let mut postures = BTreeMap::new();
    for entry in std::fs::read_dir(content.join("postures")).unwrap() {
        let path = entry.unwrap().path();
        let text = SourceText::new(path.display().to_string(), std::fs::read_to_string(&path).unwrap());
        match read_posture(&text) {
            Ok(posture) => drop(postures.insert(posture.id.clone(), posture)),
            Err(problems) => println!("{problems}"),
        }
    }
    let person = Person { stature: 1.72, mass: 70.0, sex: Sex::Male, measured: Default::default() };
    let body = Body::new(person, SegmentTable::Winter).unwrap();
    let home = Home::usual(1.72);
    let mut failed = 0;
    for path in &args[2..] {
        let text = SourceText::new(path.clone(), std::fs::read_to_string(path).unwrap());
        let motion = match text.parse::<MotionSpec>().and_then(|spec| compile(&text, &spec, &postures)) {
            Ok(motion) => motion,
            Err(problems) => {
                println!("{problems}");
                failed += 1;
                continue;
            }
        };
        println!("== {} ({})", motion.id, motion.posture.id);
        match solve(&motion, &motion.core, &body, &home, Side::Right, &BTreeMap::new()) {
            Ok(repetition) => report(&repetition),
            Err(error) => {
                println!("  CANNOT: {error}");
                failed += 1;
            }
        }
        for fault in &motion.faults {
            let mirrored = solve(&motion, &fault.core, &body, &home, Side::Left, &fault.parameters);
            if let Err(error) = mirrored {
                println!("  FAULT {} CANNOT: {error}", fault.id);
                failed += 1;
            }
        }
    }
    println!("{} files, {failed} failed", args.len() - 2);
}

fn report(repetition: &Repetition) {
    let keys: Vec<_> = repetition.key_samples.iter().map(|&it| &repetition.samples[it]).collect();
    for coord in (0..handrail_anatomy::N_COORDS).map(Coord) {
        let (low, high) = repetition.range(coord);
        let moves = if coord.is_position() { high - low > 0.3 } else { high - low > 1.5 };
        if !moves {
            continue;
        }
        let name = match coord.limb() {
            Some((side, dof)) => format!("{} {}", side.word(), dof.id()),
            None => Coord::AXIAL_IDS[coord.0].to_string(),
        };
        let at: Vec<String> = keys
            .iter()
            .map(|it| {
                if coord.is_position() {
                    format!("{:.3} m", it.pose[coord])
                } else {
                    format!("{:.1}", it.pose[coord].to_degrees())
                }
            })
            .collect();
        println!("  {name:34} keys [{}]  range {low:.1} .. {high:.1}", at.join(", "));
    }
    for (index, key) in keys.iter().enumerate() {
        println!(
            "  key {index} t={:.1}s leg load L {:.2} R {:.2} BW, arm L {:.2} R {:.2}, com margin {:.1} cm",
            key.time,
            key.leg_load[0],
            key.leg_load[1],
            key.arm_load[0],
            key.arm_load[1],
            key.com_margin * 100.0
        );
    }
    let drives: Vec<String> = repetition
        .drives
        .iter()
        .map(|(side, joint, drive)| format!("{} {}={}", side.word(), joint.id(), drive.id()))
        .collect();
    println!(
        "  drives: {}; {} samples, {:.1} s",
        drives.join(", "),
        repetition.samples.len(),
        repetition.duration()
    );
}
