//! The journal's form of facts: what was written reads back as it was.

use handrail_episode::journal::{FORM, KINDS, decode, encode, kind};
use handrail_episode::{Content, read_entries};
use handrail_library::Library;
use handrail_spans::SourceText;

const DEMO: [&str; 3] = [
    include_str!("../../../content/demo/achilles.toml"),
    include_str!("../../../content/demo/acl.toml"),
    include_str!("../../../content/demo/cuff.toml"),
];

#[test]
fn every_fact_of_an_episode_file_reads_back_from_the_journal() {
    let library = Library::built_in().expect("content");
    let content =
        Content { protocols: &library.protocols, exercises: &library.exercises, languages: &["en", "es"] };
    for text in DEMO {
        let (_, entries) = read_entries(&SourceText::new("demo", text), content).expect("demo");
        for entry in entries {
            let json = encode(&entry.fact).expect("finite numbers");
            let back = decode(kind(&entry.fact), FORM, &json).unwrap_or_else(|it| panic!("{it}: {json}"));
            assert_eq!(back, entry.fact, "{json}");
        }
    }
}

#[test]
fn an_unknown_kind_a_newer_form_and_a_limit_that_limits_nothing_are_refused() {
    assert!(KINDS.contains(&"order"));
    assert!(decode("rumour", FORM, "{}").is_err());
    let newer = decode("note", FORM + 1, "{}").expect_err("newer");
    assert!(newer.to_string().contains("newer"), "{newer}");
    let order = r#"{"id":"x","limit":{},"replaces":null,"by":"Dr. A","on":"2026-11-20","document":"letter",
        "from":"2026-11-20","until":null,"note":null}"#;
    assert!(decode("order", FORM, order).is_err(), "a blank limit is not no limit");
}
