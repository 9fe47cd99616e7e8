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
        "handout",
        "follow",
        "calendar",
        "log",
        "draw",
        "motion",
        "content",
        "content check",
        "content list",
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
        for command in ["today", "verify", "session"] {
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
    for args in [["today", "--json"], ["verify", "--json"], ["session", "--json"]] {
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
