//! An invented episode and ways to break it.
#![allow(dead_code)] // each test file uses a part of it

use std::sync::LazyLock;

use handrail_episode::{Content, Episode, read_episode};
use handrail_library::Library;
use handrail_protocol::Envelope;
use handrail_spans::{Problems, SourceText};
use jiff::civil::Date;

pub static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().unwrap_or_else(|problems| panic!("{problems}")));

pub const FILE: &str = r#"# Invented person, invented clinic.
id = "test"

[patient]
name = "Marta Okonjo"
language = "en"

[clinic]
name = "Lindenhof Physical Therapy"
therapist = "Ines Brandvold, PT"
phone = "555-0134"
out_of_hours = "555-0188"
emergency = "911"

[body]
stature = 1.68
mass = 71
sex = "female"

[home]
seat_height = 0.45
equipment = ["chair", "bed", "towel"]

[operation]
protocol = "achilles-repair"
side = "left"
surgery = "2026-11-06"
surgeon = "Dr. Teodor Aspinall"
next_visit = "2026-12-04"

[[confirmed]]
restriction = "dorsiflexion-neutral"
by = "Dr. Teodor Aspinall"
on = "2026-11-20"
document = "wound check"

[[act]]
begin_phase = "motion"
by = "Ines Brandvold, PT" # act
on = "2026-11-21" # act
reason = "two weeks complete"

[[program]]
version = 1
issued = "2026-11-21"
by = "Ines Brandvold, PT"

[[program.exercise]]
id = "side-lying-clam"

[[order]]
id = "no-weight"
replaces = "weight-none"
by = "Dr. Teodor Aspinall"
on = "2026-11-20"
document = "wound check" # order
from = "2026-11-20"
weight_bearing = { limb = "leg", amount = "none" }
"#;

/// The file without its order.
pub fn without_order() -> String {
    FILE.split("[[order]]").next().unwrap().to_string()
}

pub fn content() -> Content<'static> {
    Content { protocols: &LIBRARY.protocols, exercises: &LIBRARY.exercises, languages: &["en", "es"] }
}

pub fn read(text: &str) -> Result<Episode, Problems> {
    read_episode(&SourceText::new("test.toml", text), content())
}

pub fn date(text: &str) -> Date {
    text.parse().unwrap()
}

pub fn envelope_of(episode: &Episode, on: &str) -> Envelope {
    let protocol = &LIBRARY.protocols[&episode.operation.protocol];
    handrail_protocol::envelope(protocol, &episode.orders, date(on)).unwrap()
}

/// The file without a line.
pub fn without(line: &str) -> String {
    assert!(FILE.contains(line), "{line} is not in the file");
    FILE.replacen(line, "", 1)
}

/// Line (from 1) of the first occurrence.
pub fn line_of(text: &str, what: &str) -> usize {
    text[..text.find(what).unwrap_or_else(|| panic!("{what} is not in the text"))].matches('\n').count() + 1
}

/// The changed file has this one mistake, at the line where `at` stands.
#[track_caller]
pub fn one_mistake(from: &str, to: &str, at: &str, says: &str) {
    assert!(FILE.contains(from), "{from} is not in the file");
    let text = FILE.replacen(from, to, 1);
    let problems = match read(&text) {
        Ok(_) => panic!("`{to}` was accepted"),
        Err(problems) => problems,
    };
    assert_eq!(problems.0.len(), 1, "{problems}");
    let problem = &problems.0[0];
    assert!(problem.message.contains(says), "`{}` does not say `{says}`", problem.message);
    assert_eq!(problem.line, line_of(&text, at), "{problem}");
    assert!(!problem.mend.is_empty());
}
