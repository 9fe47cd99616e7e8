//! No room knows a higher one: the dependencies between the workspace's crates are exactly those that
//! ARCHITECTURE.md allows, in its block that begins with three backticks and `arrows`.

use std::collections::{BTreeMap, BTreeSet};
use std::path::PathBuf;
use std::process::Command;

type Arrows = BTreeMap<String, BTreeSet<String>>;

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// Lines like `papers -> anatomy episode words`; a room that uses none ends after the arrow.
fn allowed(text: &str) -> Result<Arrows, String> {
    let (_, rest) = text.split_once("```arrows\n").ok_or("ARCHITECTURE.md has no block ```arrows")?;
    let (block, _) = rest.split_once("```").ok_or("the block ```arrows does not end")?;
    let mut arrows = Arrows::new();
    for line in block.lines().map(str::trim).filter(|it| !it.is_empty()) {
        let (room, uses) = line.split_once("->").ok_or(format!("`{line}` has no arrow"))?;
        let uses = uses.split_whitespace().map(String::from).collect();
        if arrows.insert(room.trim().into(), uses).is_some() {
            return Err(format!("`{}` stands twice", room.trim()));
        }
    }
    Ok(arrows)
}

/// Normal dependencies (not those of tests and build scripts) between the workspace's own crates.
fn present() -> Arrows {
    let out = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--format-version", "1", "--offline"])
        .current_dir(root())
        .output()
        .unwrap();
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    let json: serde_json::Value = serde_json::from_slice(&out.stdout).unwrap();
    let short = |name: &str| name.strip_prefix("handrail-").map(String::from);
    let mut arrows = Arrows::new();
    for package in json["packages"].as_array().unwrap() {
        let Some(room) = short(package["name"].as_str().unwrap()) else { continue };
        let uses = package["dependencies"]
            .as_array()
            .unwrap()
            .iter()
            .filter(|it| it["kind"].is_null())
            .filter_map(|it| short(it["name"].as_str().unwrap()))
            .collect();
        arrows.insert(room, uses);
    }
    arrows
}

fn faults(allowed: &Arrows, present: &Arrows) -> Vec<String> {
    let mut out = Vec::new();
    for (room, uses) in present {
        let Some(may) = allowed.get(room) else {
            out.push(format!("`{room}` is not in ARCHITECTURE.md"));
            continue;
        };
        for used in uses.difference(may) {
            out.push(format!("`{room}` uses `{used}`, which ARCHITECTURE.md does not allow"));
        }
    }
    for room in allowed.keys().filter(|it| !present.contains_key(*it)) {
        out.push(format!("ARCHITECTURE.md speaks of `{room}`, which is no crate"));
    }
    out
}

/// The block as it would have to be for the present dependencies.
fn block(arrows: &Arrows) -> String {
    let lines: Vec<String> = arrows
        .iter()
        .map(|(room, uses)| {
            let uses: Vec<&str> = uses.iter().map(String::as_str).collect();
            format!("{room} -> {}", uses.join(" ")).trim_end().to_string()
        })
        .collect();
    format!("```arrows\n{}\n```", lines.join("\n"))
}

#[test]
fn rooms_use_only_what_architecture_md_allows() {
    let present = present();
    let text = std::fs::read_to_string(root().join("ARCHITECTURE.md")).unwrap_or_default();
    let allowed =
        allowed(&text).unwrap_or_else(|error| panic!("{error}; as things are:\n{}", block(&present)));
    let faults = faults(&allowed, &present);
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Whatever the document allows: the domain rooms stand below, and no arrow leads back.
#[test]
fn no_room_is_below_itself() {
    let present = present();
    assert!(present.len() >= 12, "{present:?}");
    for room in present.keys() {
        let mut seen = BTreeSet::new();
        let mut open: Vec<&String> = present[room].iter().collect();
        while let Some(next) = open.pop() {
            assert_ne!(next, room, "an arrow leads back to `{room}`");
            if seen.insert(next) {
                open.extend(present.get(next).into_iter().flatten());
            }
        }
    }
    for (low, high) in
        [("anatomy", "motion"), ("motion", "program"), ("protocol", "program"), ("program", "episode")]
    {
        assert!(!present[low].contains(high), "`{low}` uses `{high}`");
        assert!(present[high].contains(low));
    }
}

#[test]
fn an_arrow_that_is_not_shown_is_found() {
    let text = "# Rooms\n```arrows\nanatomy ->\nmotion -> anatomy\nlow -> anatomy\n```\n";
    let allowed = allowed(text).unwrap();
    let arrow = |room: &str, uses: &[&str]| {
        (room.to_string(), uses.iter().map(|it| it.to_string()).collect::<BTreeSet<_>>())
    };
    let right = Arrows::from([arrow("anatomy", &[]), arrow("motion", &["anatomy"]), arrow("low", &[])]);
    assert_eq!(faults(&allowed, &right), Vec::<String>::new());
    let wrong =
        Arrows::from([arrow("anatomy", &["motion"]), arrow("motion", &["anatomy"]), arrow("new", &[])]);
    assert_eq!(faults(&allowed, &wrong).len(), 3);
    assert!(a_block_is_read_again(&right));
}

fn a_block_is_read_again(arrows: &Arrows) -> bool {
    allowed(&block(arrows)).as_ref() == Ok(arrows)
}
