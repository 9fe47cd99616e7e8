//! Commands that write files write what they say, and the demo writes the whole set.

mod common;

use common::*;

#[test]
fn demo_makes_the_files_it_lists() {
    let folder = Folder::new("demo");
    let data = folder.file("made");
    let output = run(&["demo", "--data", text(&data)]);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    let made = Folder(data.clone());
    let mut wanted = Vec::new();
    for name in EPISODES {
        wanted.push(format!("{name}.toml"));
        for (lang, paper) in [("en", "letter"), ("es", "a4")] {
            wanted.push(format!("{name}-handout-{lang}-{paper}.pdf"));
            wanted.push(format!("{name}-handout-{lang}-{paper}-large.pdf"));
            wanted.push(format!("{name}-follow-{lang}.html"));
            wanted.push(format!("{name}-{lang}.ics"));
        }
    }
    wanted.sort();
    assert_eq!(made.names(), wanted);
    let listed = stdout(&output);
    for name in &wanted {
        assert!(listed.contains(text(&data.join(name))), "{name} is not listed");
        let bytes = std::fs::read(data.join(name)).unwrap();
        let starts: &[u8] = match name.rsplit('.').next().unwrap() {
            "pdf" => b"%PDF-",
            "html" => b"<!doctype html>",
            "ics" => b"BEGIN:VCALENDAR",
            _ => b"# Invented person",
        };
        assert!(bytes[..starts.len()].eq_ignore_ascii_case(starts), "{name} does not begin as such a file");
        assert!(bytes.len() > 500, "{name}: {} bytes", bytes.len());
    }
    // What it suggests to type next works.
    let first = data.join("achilles.toml");
    for command in ["today", "verify"] {
        assert!(listed.contains(&format!("handrail {command} {} --on 2026-11-25", text(&first))));
        assert_eq!(code(&run(&[command, text(&first), "--on", DAY])), 0);
    }
}

#[test]
fn an_output_says_where_it_is_and_until_when_it_is_valid() {
    let folder = Folder::new("calendar");
    let out = folder.file("a.ics");
    let args = ["calendar", "content/demo/achilles.toml", "--on", DAY, "--out", text(&out)];
    let output = run(&args);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    assert_eq!(stdout(&output), format!("{}: until 2026-12-03\n", text(&out)));
    let first = std::fs::read(&out).unwrap();
    // The same file again only on request.
    assert_eq!(code(&run(&args)), 2);
    assert_eq!(std::fs::read(&out).unwrap(), first);
    let again: Vec<&str> = args.iter().copied().chain(["--replace"]).collect();
    assert_eq!(code(&run(&again)), 0);
    assert_eq!(folder.names(), ["a.ics"]);
}

/// The handout and the guided session of one day are the same bytes every time.
#[test]
fn outputs_are_the_same_every_time() {
    let folder = Folder::new("same");
    for command in ["handout", "follow"] {
        let make = |name: &str| {
            let out = folder.file(name);
            let output = run(&[command, "content/demo/acl.toml", "--on", DAY, "--out", text(&out)]);
            assert_eq!(code(&output), 0, "{}", stderr(&output));
            std::fs::read(&out).unwrap()
        };
        assert!(make(&format!("{command}-one")) == make(&format!("{command}-two")), "{command} differs");
    }
}
