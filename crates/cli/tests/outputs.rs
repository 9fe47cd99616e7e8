//! Commands that write files write what they say, and the demo writes the whole set.

mod common;

use common::*;

#[test]
fn demo_makes_the_files_it_lists() {
    let folder = Folder::new("demo");
    let data = folder.file("made");
    let output = run(&["demo", "--no-serve", "--data", text(&data)]);
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
    let listed = stdout(&output);
    let files = wanted.clone();
    // And the invented clinic: records, key, and the mark that they may be made anew.
    wanted.extend(["INVENTED.txt", "clinic.db", "clinic.key"].map(String::from));
    wanted.sort();
    assert_eq!(made.names(), wanted);
    let records = run(&["journal", "verify", "--json", "--data", text(&data)]);
    assert_eq!(code(&records), 0, "{}", stderr(&records));
    assert!(stdout(&records).contains("\"fault_count\": 0"), "{}", stdout(&records));
    for name in &files {
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

/// Charts of load: SVG and PNG by the name of the file, wide and narrow, in each language, the same every time.
#[test]
fn charts_are_drawn_wide_and_narrow_in_each_language() {
    let folder = Folder::new("charts");
    for (command, title) in [
        ("ladder", ["Load ladder: right supraspinatus", "Escala de carga: supraespinoso, lado derecho"]),
        ("exposure", ["Load per week: right supraspinatus", "Carga por semana: supraespinoso, lado derecho"]),
    ] {
        for (lang, title) in ["en", "es"].into_iter().zip(title) {
            let make = |name: &str, more: &[&str]| {
                let out = folder.file(name);
                let args =
                    [command, "content/demo/cuff.toml", "--on", DAY, "--lang", lang, "--out", text(&out)];
                let output = run(&[&args[..], more].concat());
                assert_eq!(code(&output), 0, "{}", stderr(&output));
                assert!(stdout(&output).starts_with(text(&out)), "{}", stdout(&output));
                std::fs::read(&out).unwrap()
            };
            let wide = make(&format!("{command}-{lang}.svg"), &[]);
            assert!(wide == make(&format!("{command}-{lang}-again.svg"), &[]));
            let wide = String::from_utf8(wide).unwrap();
            assert!(wide.starts_with("<svg") && wide.contains(&format!(">{title}</title>")), "{wide:.300}");
            let narrow =
                String::from_utf8(make(&format!("{command}-{lang}-narrow.svg"), &["--narrow"])).unwrap();
            assert!(wide.contains("viewBox=\"0 0 760 ") && narrow.contains("viewBox=\"0 0 360 "));
            let png = make(&format!("{command}-{lang}.png"), &[]);
            assert!(png.starts_with(b"\x89PNG"));
        }
    }
}

#[test]
fn a_clinic_that_is_not_invented_is_never_made_anew_by_the_demo() {
    let folder = Folder::new("real");
    let data = folder.file("clinic");
    let new = ["clinic", "new", "--data", text(&data), "--login", "Ada", "--name", "Ada Invented"];
    let output = run_with(&new, b"four long quiet words\n");
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    let before = std::fs::read(data.join("clinic.db")).unwrap();
    let output = run(&["demo", "--no-serve", "--data", text(&data)]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("not an invented one"), "{}", stderr(&output));
    assert_eq!(std::fs::read(data.join("clinic.db")).unwrap(), before);
    // A copy restores into an empty place and nowhere else.
    let (copy, again) = (folder.file("copy.backup"), folder.file("again"));
    let output = run(&["backup", text(&copy), "--data", text(&data)]);
    assert_eq!(code(&output), 0, "{}", stderr(&output));
    let key = data.join("clinic.key");
    let restore = ["restore", text(&copy), "--data", text(&again), "--key-file", text(&key)];
    assert_eq!(code(&run(&restore)), 0);
    assert_eq!(code(&run(&restore)), 2, "there is a clinic now");
}
