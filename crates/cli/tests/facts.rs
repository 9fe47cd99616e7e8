//! Whole outputs of the commands that print facts, for the three invented episodes.

mod common;

use common::*;
use insta::assert_snapshot;

#[test]
fn today() {
    for name in EPISODES {
        assert_snapshot!(format!("today-{name}"), seen(&["today", &episode(name), "--on", DAY]));
        assert_snapshot!(
            format!("today-{name}-json"),
            seen(&["today", &episode(name), "--on", DAY, "--json"])
        );
    }
}

#[test]
fn verify() {
    for name in EPISODES {
        assert_snapshot!(format!("verify-{name}"), seen(&["verify", &episode(name), "--on", DAY]));
        assert_snapshot!(
            format!("verify-{name}-json"),
            seen(&["verify", &episode(name), "--on", DAY, "--json"])
        );
    }
}

#[test]
fn session() {
    for name in EPISODES {
        assert_snapshot!(format!("session-{name}"), seen(&["session", &episode(name), "--on", DAY]));
        assert_snapshot!(
            format!("session-{name}-json"),
            seen(&["session", &episode(name), "--on", DAY, "--json"])
        );
    }
}

#[test]
fn ladder() {
    for name in EPISODES {
        assert_snapshot!(format!("ladder-{name}"), seen(&["ladder", &episode(name), "--on", DAY]));
    }
    let of = episode("achilles");
    assert_snapshot!("ladder-achilles-json", seen(&["ladder", &of, "--on", DAY, "--json"]));
    let args = ["ladder", &episode("acl"), "--on", DAY, "--tissue", "hamstrings", "--lang", "es"];
    assert_snapshot!("ladder-acl-hamstrings-es", seen(&args));
}

#[test]
fn exposure() {
    for name in EPISODES {
        assert_snapshot!(format!("exposure-{name}"), seen(&["exposure", &episode(name), "--on", DAY]));
    }
    let of = episode("achilles");
    assert_snapshot!("exposure-achilles-json", seen(&["exposure", &of, "--on", DAY, "--json"]));
    // A week later the plan has grown by more than the therapist's threshold.
    let args = ["exposure", &of, "--on", "2026-12-02", "--lang", "es"];
    assert_snapshot!("exposure-achilles-later-es", seen(&args));
}

/// What the weekly load is said beside it, in each language: no threshold is established, diaries say too much.
#[test]
fn exposure_says_what_is_not_established() {
    for (lang, says) in [
        ("en", ["No injury threshold for such sums", "over-report by about a quarter (Nicolson 2018)"]),
        ("es", ["No está establecido ningún umbral de lesión", "cerca de una cuarta parte (Nicolson 2018)"]),
    ] {
        let args = ["exposure", &episode("achilles"), "--on", DAY, "--lang", lang];
        let words = stdout(&run(&args));
        let json = stdout(&run(&[&args[..], &["--json"]].concat()));
        let folder = Folder::new(&format!("exposure-{lang}"));
        let out = folder.file("weeks.svg");
        assert_eq!(code(&run(&[&args[..], &["--out", text(&out)]].concat())), 0);
        let svg = std::fs::read_to_string(&out).unwrap();
        let picture = svg.split("<desc").nth(1).unwrap().split("</desc>").next().unwrap();
        for it in says {
            assert!(words.contains(it) && json.contains(it) && picture.contains(it), "{lang}: {it}");
        }
    }
}

/// The ceiling on a week stops a session as the other limits of a program do, and says what passes it.
#[test]
fn a_week_over_its_ceiling_is_not_handed_out() {
    let folder = Folder::new("week");
    let ceiling = |value: &str| {
        let order = format!(
            "[[order]]\nid = \"little-a-week\"\nby = \"Dr. Teodor Aspinall\"\non = \"2026-11-20\"\n\
             document = \"wound check note of 2026-11-20\"\nfrom = \"2026-11-20\"\n\
             exposure = {{ tissue = \"achilles_tendon\", peaks_bw = {value} }}\n\n[[program]]"
        );
        changed(&folder, "achilles", "[[program]]", &order)
    };
    let path = ceiling("0.1");
    let verify = run(&["verify", text(&path), "--on", DAY, "--json"]);
    assert_eq!(code(&verify), 1, "{}", stderr(&verify));
    let value: serde_json::Value = serde_json::from_slice(&verify.stdout).unwrap();
    let over = &value["over_exposure"][0];
    assert_eq!((over["restriction"].as_str(), over["ceiling"].as_f64()), (Some("little-a-week"), Some(0.1)));
    assert_eq!(over["sum"], value["exposure"][0]["peaks"]["high"]);
    let session = run(&["session", text(&path), "--on", DAY]);
    assert_eq!(code(&session), 2);
    let said = stderr(&session);
    assert!(
        said.contains("a ceiling on a week's load is passed") && said.contains("little-a-week"),
        "{said}"
    );
    assert!(said.contains("(at most 0.1 BW a week, little-a-week)"), "{said}");
    let weeks = stdout(&run(&["exposure", text(&path), "--on", DAY]));
    assert!(weeks.contains("Ceiling: 0.1 BW (little-a-week, ordered)"), "{weeks}");
    assert!(weeks.contains("; above the ceiling"), "{weeks}");
    // Under a ceiling that holds it the session stands.
    assert_eq!(code(&run(&["session", text(&ceiling("50")), "--on", DAY])), 0);
}

#[test]
fn propose() {
    for name in EPISODES {
        let of = episode(name);
        let args = ["propose", &of, "--on", DAY, "--minutes", "20"];
        assert_snapshot!(format!("propose-{name}"), seen(&args));
        let json: Vec<&str> = args.iter().copied().chain(["--json"]).collect();
        assert_snapshot!(format!("propose-{name}-json"), seen(&json));
    }
}

#[test]
fn motion() {
    let args = ["motion", "seated-heel-slide", "--side", "left", "--stature", "1.68", "--mass", "71"];
    assert_snapshot!("motion-seated-heel-slide", seen(&args));
    let args = ["motion", "step-down", "--set", "depth=0.1", "--json"];
    assert_snapshot!("motion-step-down-json", seen(&args));
    assert_snapshot!("motion-heel-raise", seen(&["motion", "single-leg-heel-raise"]));
}

#[test]
fn content() {
    assert_snapshot!("content-check", seen(&["content", "check"]));
    assert_snapshot!("content-list", seen(&["content", "list"]));
}

#[test]
fn help_of_every_command() {
    let commands = [
        "",
        "demo",
        "today",
        "verify",
        "propose",
        "session",
        "ladder",
        "exposure",
        "handout",
        "follow",
        "calendar",
        "log",
        "draw",
        "motion",
        "content",
        "content check",
        "content list",
        "serve",
        "clinic",
        "clinic new",
        "account",
        "account add",
        "key",
        "key new",
        "journal",
        "journal verify",
        "backup",
        "restore",
    ];
    let all: Vec<String> = commands
        .iter()
        .map(|command| {
            let mut args: Vec<&str> = command.split_whitespace().collect();
            args.push("--help");
            seen(&args)
        })
        .collect();
    assert_snapshot!("help", all.join("\n\n"));
    // Every command that --help lists is among them.
    let listed = stdout(&run(&["--help"]));
    let (_, rest) = listed.split_once("Commands:\n").unwrap();
    for line in rest.lines().take_while(|it| !it.trim().is_empty()) {
        let name = line.split_whitespace().next().unwrap();
        assert!(name == "help" || commands.contains(&name), "`{name}` has no snapshot");
    }
}

/// JSON is JSON, on standard output alone, and says the same as the text.
#[test]
fn json_is_whole_and_agrees_with_the_text() {
    for name in EPISODES {
        for command in ["today", "verify", "session", "ladder", "exposure"] {
            let json = run(&[command, &episode(name), "--on", DAY, "--json"]);
            assert!(json.stderr.is_empty(), "{command} {name}: {}", stderr(&json));
            let value: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
            assert_eq!(value["on"], DAY);
            let text = run(&[command, &episode(name), "--on", DAY]);
            assert_eq!(code(&text), code(&json), "{command} {name}");
            if command == "verify" {
                for exercise in value["exercises"].as_array().unwrap() {
                    let (id, side) = (exercise["id"].as_str().unwrap(), exercise["side"].as_str().unwrap());
                    let line = format!("{id} ({side}): {}\n", exercise["verdict"].as_str().unwrap());
                    assert!(stdout(&text).contains(&line), "{line}");
                }
            }
        }
    }
}

/// Two runs of one command print the same bytes.
#[test]
fn the_same_question_has_the_same_answer() {
    for args in ["today", "verify", "session", "ladder", "exposure"].map(|it| [it, "--json"]) {
        let file = episode("cuff");
        let ask = || run(&[args[0], &file, "--on", DAY, args[1]]).stdout;
        assert_eq!(ask(), ask());
    }
}

#[test]
fn a_refused_program_ends_with_one() {
    let folder = Folder::new("refused");
    let path = changed(&folder, "achilles", "id = \"long-arc-quad\"", "id = \"heel-raise-wall\"");
    let verify = run(&["verify", text(&path), "--on", DAY]);
    assert_eq!(code(&verify), 1);
    assert!(stdout(&verify).contains("heel-raise-wall (left): refused"), "{}", stdout(&verify));
    // Nothing is handed out for it: that is an error of what was given.
    let session = run(&["session", text(&path), "--on", DAY]);
    assert_eq!(code(&session), 2);
    assert!(
        stderr(&session).contains("refused today, so nothing is handed out: heel-raise-wall"),
        "{}",
        stderr(&session)
    );
    assert!(session.stdout.is_empty());
}
