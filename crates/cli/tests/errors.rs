//! Errors end with 2, say what to do, print nothing on standard output, and leave existing files alone.

mod common;

use common::*;
use insta::assert_snapshot;

#[track_caller]
fn stops(args: &[&str], says: &str) {
    let output = run(args);
    assert_eq!(code(&output), 2, "{args:?}: {}{}", stdout(&output), stderr(&output));
    assert!(output.stdout.is_empty(), "{args:?} prints {}", stdout(&output));
    // Long paths break the lines of a message anywhere.
    let said: Vec<String> =
        stderr(&output).split_whitespace().filter(|it| *it != "│").map(String::from).collect();
    assert!(said.join(" ").contains(says), "{args:?}: `{}` does not say `{says}`", stderr(&output));
}

#[test]
fn what_cannot_be_is_said() {
    let achilles = episode("achilles");
    stops(&["today", "no-such-file.toml"], "no-such-file.toml");
    stops(&["today", &achilles, "--on", "2026-10-01"], "before the surgery on 2026-11-06");
    stops(&["today", &achilles, "--on", "tomorrow"], "--on");
    stops(&["verify", &achilles, "--on", "2026-11-20"], "no program was issued on or before 2026-11-20");
    stops(&["propose", &achilles, "--on", DAY], "--minutes");
    stops(&["motion", "heel-raise"], "no exercise `heel-raise`");
    stops(&["motion", "seated-heel-slide", "--stature", "17"], "17 m is outside");
    stops(&["motion", "seated-heel-slide", "--set", "slide"], "name=value");
    stops(&["draw", "seated-heel-slide", "--fault", "falls_asleep"], "has no fault `falls_asleep`");
    for command in ["ladder", "exposure"] {
        let of = [command, &achilles, "--on", DAY];
        let with = |more: &[&'static str]| [&of[..], more].concat();
        stops(&with(&["--tissue", "heel"]), "there is no tissue `heel`");
        stops(&with(&["--tissue", "heel"]), "achilles_tendon, patellar_tendon");
        stops(&with(&["--tissue", "heel"]), "protected here: achilles_tendon");
        stops(&with(&["--lang", "fr"]), "no words in `fr`");
        stops(&with(&["--narrow"]), "--out");
        stops(&[command, &achilles, "--on", "2026-10-01"], "before the surgery on 2026-11-06");
        stops(&[command, "no-such-file.toml"], "no-such-file.toml");
    }
    stops(&["today"], "<EPISODE>");
    stops(&["dance"], "dance");
}

#[test]
fn a_parameter_that_is_none_is_said() {
    stops(&["motion", "seated-heel-slide", "--set", "slied=0.1"], "`slied`");
}

#[test]
fn no_command_shows_the_help() {
    let output = run(&[]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("Usage: handrail <COMMAND>"), "{}", stderr(&output));
}

#[test]
fn mistakes_of_an_episode_are_shown_with_their_lines() {
    let folder = Folder::new("mistakes");
    let path = folder.file("broken.toml");
    let original = std::fs::read_to_string(root().join(episode("achilles"))).unwrap();
    let broken = original
        .replace("stature = 1.68", "stature = 17")
        .replace("id = \"side-lying-clam\"", "id = \"side-lieing-clam\"")
        .replace("restriction = \"dorsiflexion-neutral\"", "restriction = \"dorsiflexion-netral\"");
    std::fs::write(&path, broken).unwrap();
    // From inside the folder: a long path would break the lines elsewhere.
    let output = run_in(&folder.0, &["verify", "broken.toml", "--on", DAY]);
    assert_eq!(code(&output), 2);
    assert!(output.stdout.is_empty());
    assert_snapshot!("mistakes-of-an-episode", stderr(&output));
}

/// Each output command, on an existing file: without --replace, with a broken episode, with a refused program.
#[test]
fn errors_leave_an_existing_output_alone() {
    let folder = Folder::new("outputs");
    let broken = changed(&folder, "acl", "stature = 1.79", "stature = 179");
    let refused = changed(&folder, "achilles", "id = \"long-arc-quad\"", "id = \"heel-raise-wall\"");
    let good = episode("achilles");
    let out = folder.file("output");
    std::fs::write(&out, "kept").unwrap();
    for command in ["handout", "follow", "calendar"] {
        stops(&[command, &good, "--on", DAY, "--out", text(&out)], "exists");
        stops(&[command, text(&broken), "--on", DAY, "--out", text(&out), "--replace"], "body.stature");
        stops(&[command, text(&refused), "--on", DAY, "--out", text(&out), "--replace"], "refused today");
        stops(
            &[command, &good, "--on", DAY, "--out", text(&out), "--replace", "--lang", "fr"],
            "no words in `fr`",
        );
        let nowhere = folder.file("no/such/folder/output");
        stops(&[command, &good, "--on", DAY, "--out", text(&nowhere)], "check that the folder exists");
    }
    assert_eq!(std::fs::read_to_string(&out).unwrap(), "kept");
    assert_eq!(folder.names(), ["achilles.toml", "acl.toml", "output"], "nothing half-written is left");
}

#[test]
fn draw_leaves_an_existing_picture_alone() {
    let folder = Folder::new("draw");
    let out = folder.file("picture.svg");
    std::fs::write(&out, "kept").unwrap();
    stops(&["draw", "seated-heel-slide", "--out", text(&out)], "exists");
    assert_eq!(std::fs::read_to_string(&out).unwrap(), "kept");
    let output = run(&["draw", "seated-heel-slide", "--out", text(&out), "--replace"]);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    assert!(std::fs::read_to_string(&out).unwrap().starts_with("<svg"));
}

#[test]
fn charts_leave_an_existing_picture_alone() {
    let folder = Folder::new("charts");
    for (command, kind) in [("ladder", "svg"), ("exposure", "png")] {
        let out = folder.file(&format!("{command}.{kind}"));
        std::fs::write(&out, "kept").unwrap();
        let args = [command, &episode("achilles"), "--on", DAY, "--out", text(&out)];
        stops(&args, "exists");
        assert_eq!(std::fs::read_to_string(&out).unwrap(), "kept");
        let output = run(&[&args[..], &["--replace"]].concat());
        assert_eq!(code(&output), 0, "{}", stderr(&output));
        assert!(std::fs::read(&out).unwrap().len() > 1000);
    }
    let nowhere = folder.file("no/such/folder/ladder.svg");
    let args = ["ladder", &episode("acl"), "--on", DAY, "--out", text(&nowhere)];
    stops(&args, "check that the folder exists");
    assert_eq!(folder.names(), ["exposure.png", "ladder.svg"]);
}

#[test]
fn an_expired_program_is_not_handed_out() {
    let folder = Folder::new("expired");
    let path = changed(
        &folder,
        "achilles",
        "issued = \"2026-11-21\"",
        "issued = \"2026-11-21\"\nvalid_until = \"2026-11-24\"",
    );
    stops(&["session", text(&path), "--on", DAY], "valid until 2026-11-24");
    let out = folder.file("handout.pdf");
    stops(&["handout", text(&path), "--on", DAY, "--out", text(&out)], "valid until 2026-11-24");
    assert!(!out.exists());
}

#[test]
fn a_log_that_is_none_is_said() {
    let folder = Folder::new("log");
    let path = folder.file("log.txt");
    std::fs::write(&path, "not a code").unwrap();
    stops(&["log", text(&path)], "not a session log");
}

#[test]
fn mistakes_of_content_are_shown_with_their_lines() {
    let folder = Folder::new("content");
    for name in ["postures", "exercises", "protocols"] {
        std::fs::create_dir(folder.file(name)).unwrap();
    }
    let copy = |from: &str| std::fs::copy(root().join("content").join(from), folder.file(from)).unwrap();
    copy("postures/seated.toml");
    copy("exercises/long-arc-quad.toml");
    let file = folder.file("exercises/long-arc-quad.toml");
    let exercise = std::fs::read_to_string(&file).unwrap();
    std::fs::write(&file, exercise.replace("region = \"knee\"", "region = \"nee\"")).unwrap();
    stops(&["content", "check", text(&folder.0)], "`nee` is not a region");
    let json = run(&["content", "check", text(&folder.0), "--json"]);
    assert_eq!(code(&json), 2);
    let value: serde_json::Value = serde_json::from_slice(&json.stdout).unwrap();
    let problem = &value["problems"][0];
    assert_eq!((problem["field"].as_str(), problem["line"].as_u64()), (Some("region"), Some(3)));
}
