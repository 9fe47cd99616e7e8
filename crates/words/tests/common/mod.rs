//! What several tests need: the texts of a language, the content's exercises and protocols, marks of holes.
#![allow(dead_code)]

use std::collections::BTreeMap;

use handrail_motion::{Motion, MotionSpec, Posture, compile, read_posture};
use handrail_protocol::{Protocol, read_protocol};
use handrail_spans::SourceText;
use handrail_words::{Lang, Words};
use include_dir::{Dir, include_dir};

static POSTURES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../content/postures");
static EXERCISES: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../content/exercises");
static PROTOCOLS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../content/protocols");

/// The built-in words.
pub fn words(lang: Lang) -> Words {
    Words::load(lang).unwrap_or_else(|problems| panic!("{problems}"))
}

fn texts(dir: &Dir<'_>) -> Vec<SourceText> {
    dir.files()
        .filter_map(|it| Some(SourceText::new(it.path().display().to_string(), it.contents_utf8()?)))
        .collect()
}

/// Postures by id.
pub fn postures() -> BTreeMap<String, Posture> {
    let read = texts(&POSTURES).into_iter().filter_map(|it| read_posture(&it).ok());
    read.map(|it| (it.id.clone(), it)).collect()
}

/// The content's exercises.
pub fn motions() -> Vec<Motion> {
    let postures = postures();
    let compile_one =
        |text: &SourceText| text.parse::<MotionSpec>().and_then(|spec| compile(text, &spec, &postures)).ok();
    texts(&EXERCISES).iter().filter_map(compile_one).collect()
}

/// The content's protocols.
pub fn protocols() -> Vec<Protocol> {
    texts(&PROTOCOLS)
        .iter()
        .map(|it| read_protocol(it).unwrap_or_else(|problems| panic!("{problems}")))
        .collect()
}

/// Fails when a text has a hole, an open place that nobody fills, or an untidy end.
pub fn assert_whole(text: &str) {
    assert!(!text.contains("[no words"), "{text}");
    assert!(
        !text.contains("  ") && !text.contains(" .") && !text.contains(" ,") && !text.contains(".."),
        "{text}"
    );
    assert!(text.trim() == text && !text.is_empty(), "`{text}`");
}
