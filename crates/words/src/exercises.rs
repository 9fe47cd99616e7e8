//! The words of exercises, and what protocols say: read from text files, checked with their lines, filled in for a side.

use std::collections::BTreeMap;
use std::ops::Range;

use handrail_anatomy::Side;
use handrail_motion::Motion;
use handrail_spans::{Problems, SourceText, Spanned};
use serde::Deserialize;

use crate::bundle::{Words, built_in_exercises, built_in_ui, variables};
use crate::lang::Lang;
use crate::names::key;
use crate::sayings::{Sayings, add_sayings};
use crate::taboo;

/// A file of exercise words as written.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct FileSpec {
    /// Short spoken commands by verb.
    #[serde(default)]
    verbs: BTreeMap<String, Spanned<String>>,
    /// Exercises by id.
    #[serde(default)]
    exercise: BTreeMap<String, EntrySpec>,
    /// What protocols say to clinicians, by the protocol's sentence.
    #[serde(default)]
    says: BTreeMap<String, Spanned<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct EntrySpec {
    title: Spanned<String>,
    start: Spanned<String>,
    steps: Spanned<Vec<Spanned<String>>>,
    why: Spanned<String>,
    feel: Spanned<String>,
    alt: Spanned<String>,
    #[serde(default)]
    faults: BTreeMap<String, Spanned<String>>,
}

/// Words of one exercise, with their places still open.
#[derive(Clone, Debug)]
struct Entry {
    text: ExerciseText,
    file: usize,
    at: Range<usize>,
}

#[derive(Clone, Debug)]
struct Verb {
    text: String,
    file: usize,
    at: Range<usize>,
}

/// Merged words of all files of a language.
#[derive(Clone, Debug, Default)]
pub(crate) struct ExerciseWords {
    files: Vec<SourceText>,
    verbs: BTreeMap<String, Verb>,
    entries: BTreeMap<String, Entry>,
}

/// Words of one exercise for a side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExerciseText {
    /// Name.
    pub title: String,
    /// How to take the start position.
    pub start: String,
    /// Steps in order, one action each.
    pub steps: Vec<String>,
    /// Why it is done.
    pub why: String,
    /// What may be felt, and when to stop.
    pub feel: String,
    /// What the picture shows, for a person who cannot see it.
    pub alt: String,
    /// What not to do, by fault id.
    pub faults: BTreeMap<String, String>,
}

impl ExerciseText {
    fn map(&self, change: impl Fn(&str) -> String) -> ExerciseText {
        ExerciseText {
            title: change(&self.title),
            start: change(&self.start),
            steps: self.steps.iter().map(|it| change(it)).collect(),
            why: change(&self.why),
            feel: change(&self.feel),
            alt: change(&self.alt),
            faults: self.faults.iter().map(|(id, it)| (id.clone(), change(it))).collect(),
        }
    }

    /// All texts that a patient reads (the description of the picture included).
    pub fn all(&self) -> impl Iterator<Item = &str> {
        let parts = [&self.title, &self.start, &self.why, &self.feel, &self.alt];
        parts.into_iter().chain(&self.steps).chain(self.faults.values()).map(String::as_str)
    }
}

/// Reads and merges all files; mistakes are added to `problems`.
pub(crate) fn read_exercise_words(
    lang: Lang,
    texts: &[SourceText],
    problems: &mut Problems,
) -> (ExerciseWords, Sayings) {
    let mut sayings = Sayings::new();
    let mut out = ExerciseWords { files: texts.to_vec(), ..ExerciseWords::default() };
    for (file, source) in texts.iter().enumerate() {
        let spec = match source.parse::<FileSpec>() {
            Ok(spec) => spec,
            Err(found) => {
                problems.0.extend(found.0);
                continue;
            }
        };
        for (verb, text) in spec.verbs {
            check_text(lang, source, &format!("verbs.{verb}"), &text, problems);
            out.add_verb(file, verb, text, problems);
        }
        for (id, entry) in spec.exercise {
            check_entry(lang, source, &id, &entry, problems);
            out.add_entry(file, id, &entry, problems);
        }
        add_sayings(&mut sayings, source, spec.says, problems);
    }
    (out, sayings)
}

fn check_entry(lang: Lang, source: &SourceText, id: &str, entry: &EntrySpec, problems: &mut Problems) {
    let parts = [
        ("title", &entry.title),
        ("start", &entry.start),
        ("why", &entry.why),
        ("feel", &entry.feel),
        ("alt", &entry.alt),
    ];
    for (name, text) in parts {
        check_text(lang, source, &format!("exercise.{id}.{name}"), text, problems);
    }
    for text in entry.steps.get_ref() {
        check_text(lang, source, &format!("exercise.{id}.steps"), text, problems);
    }
    for (fault, text) in &entry.faults {
        check_text(lang, source, &format!("exercise.{id}.faults.{fault}"), text, problems);
    }
    if entry.steps.get_ref().is_empty() {
        let field = format!("exercise.{id}.steps");
        let mend = "write at least one step";
        problems.0.push(source.problem(entry.steps.span(), field, "there are no steps", mend));
    }
}

fn check_text(lang: Lang, source: &SourceText, field: &str, text: &Spanned<String>, problems: &mut Problems) {
    let mut report = |message: String, mend: &str| {
        problems.0.push(source.problem(text.span(), field, message, mend));
    };
    let words = text.get_ref();
    if words.trim().is_empty() {
        report("this text is empty".into(), "write it, in this language");
    }
    match placeholders(words) {
        None => report("a brace has no partner".into(), "write a place as {name}"),
        Some(names) => {
            for name in names.into_iter().filter(|it| !lang.placeholders().contains(it)) {
                let known: Vec<String> = lang.placeholders().iter().map(|it| format!("{{{it}}}")).collect();
                report(
                    format!("`{{{name}}}` is not a place that can be filled"),
                    &format!("use {}", known.join(", ")),
                );
            }
        }
    }
    for word in taboo::found(lang, words) {
        report(format!("`{word}` must not be said to a patient"), "say what to do and when to stop instead");
    }
}

/// Names in braces; `None` when braces do not pair.
fn placeholders(text: &str) -> Option<Vec<&str>> {
    let mut names = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find(['{', '}']) {
        let after = rest[open..].strip_prefix('{')?;
        let close = after.find(['{', '}']).filter(|&at| after[at..].starts_with('}'))?;
        names.push(&after[..close]);
        rest = &after[close + 1..];
    }
    Some(names)
}

impl ExerciseWords {
    /// The same verb may stand in several files as long as its words are the same.
    fn add_verb(&mut self, file: usize, verb: String, text: Spanned<String>, problems: &mut Problems) {
        let at = text.span();
        let text = text.into_inner();
        if let Some(other) = self.verbs.get(&verb) {
            if other.text != text {
                let (line, _) = self.files[other.file].line_column(other.at.start);
                let message = format!(
                    "the verb has other words (\"{}\") in {}, line {line}",
                    other.text, self.files[other.file].name
                );
                let mend = "give it the same words in both places, or rename one of the verbs";
                problems.0.push(self.files[file].problem(at, format!("verbs.{verb}"), message, mend));
            }
            return;
        }
        self.verbs.insert(verb, Verb { text, file, at });
    }

    fn add_entry(&mut self, file: usize, id: String, entry: &EntrySpec, problems: &mut Problems) {
        let at = entry.title.span();
        if let Some(other) = self.entries.get(&id) {
            let (line, _) = self.files[other.file].line_column(other.at.start);
            let message =
                format!("this exercise already has words in {}, line {line}", self.files[other.file].name);
            let mend = "delete one of the two";
            problems.0.push(self.files[file].problem(at, format!("exercise.{id}"), message, mend));
            return;
        }
        let text = ExerciseText {
            title: entry.title.get_ref().clone(),
            start: entry.start.get_ref().clone(),
            steps: entry.steps.get_ref().iter().map(|it| it.get_ref().clone()).collect(),
            why: entry.why.get_ref().clone(),
            feel: entry.feel.get_ref().clone(),
            alt: entry.alt.get_ref().clone(),
            faults: entry.faults.iter().map(|(id, it)| (id.clone(), it.get_ref().clone())).collect(),
        };
        self.entries.insert(id, Entry { text, file, at });
    }
}

impl Words {
    /// Words of an exercise for the working side; `None` when it has none in this language.
    pub fn exercise(&self, id: &str, working: Side) -> Option<ExerciseText> {
        Some(self.exercises.entries.get(id)?.text.map(|it| self.fill(it, working)))
    }

    /// Short spoken command of a verb, for the working side; `None` when it has none in this language.
    pub fn verb(&self, id: &str, working: Side) -> Option<String> {
        Some(self.fill(&self.exercises.verbs.get(id)?.text, working))
    }

    /// Ids of all exercises that have words.
    pub fn exercise_ids(&self) -> impl Iterator<Item = &str> {
        self.exercises.entries.keys().map(String::as_str)
    }

    /// Puts the words of the side into the open places.
    fn fill(&self, text: &str, working: Side) -> String {
        if !text.contains('{') {
            return text.to_string();
        }
        let mut out = text.to_string();
        for (place, key, side) in [
            ("{side}", "side-m", working),
            ("{other_side}", "side-m", working.other()),
            ("{side_m}", "side-m", working),
            ("{side_f}", "side-f", working),
            ("{other_m}", "side-m", working.other()),
            ("{other_f}", "side-f", working.other()),
        ] {
            if out.contains(place) {
                out = out.replace(place, &self.text(key, &[("side", side.into())]));
            }
        }
        crate::names::capital(&out)
    }
}

/// Checks the built-in texts of all languages against these exercises: every exercise, every verb and every
/// fault has words, and none speaks of an exercise or fault that does not exist; all languages have the same
/// short texts with the same values.
pub fn check_all<'a>(exercises: impl Iterator<Item = &'a Motion>) -> Problems {
    let motions: Vec<&Motion> = exercises.collect();
    let mut problems = Problems::default();
    for lang in Lang::ALL {
        let (ui, texts) = (built_in_ui(lang), built_in_exercises(lang));
        match Words::from_texts(lang, &ui, &texts) {
            Ok(words) => check_words(&words, main_of(&ui), &motions, &mut problems),
            Err(found) => problems.0.extend(found.0),
        }
        check_same_files(&built_in_ui(Lang::ALL[0]), &ui, &mut problems);
    }
    problems
}

/// Values that a language may leave out: English adds pounds and inches.
const OWN_UNITS: [&str; 2] = ["$lb", "$inch"];

/// The file in which names of verbs and places stand.
fn main_of(files: &[SourceText]) -> &SourceText {
    files.iter().find(|it| it.name.ends_with("/ui.ftl")).unwrap_or(&files[0])
}

/// Compares the files of short texts of a language with those of the first one, name by name.
fn check_same_files(first: &[SourceText], own: &[SourceText], problems: &mut Problems) {
    let name = |text: &SourceText| text.name.rsplit('/').next().map(str::to_string);
    for text in first {
        match own.iter().find(|it| name(it) == name(text)) {
            Some(it) => check_same_keys(text, it, problems),
            None => problems.0.push(text.problem(0..0, "", "this file is missing in a language", "add it")),
        }
    }
    for text in own.iter().filter(|it| !first.iter().any(|other| name(other) == name(it))) {
        problems.0.push(text.problem(0..0, "", "this file is missing in the first language", "add it"));
    }
}

/// Compares the short texts of a language with those of the first one: same keys, same values.
fn check_same_keys(first: &SourceText, own: &SourceText, problems: &mut Problems) {
    let (expected, found) = (variables(&first.text), variables(&own.text));
    let place = |text: &SourceText, key: &str| {
        let starts = text.text.starts_with(&format!("{key} ="));
        let at = if starts { 0 } else { text.text.find(&format!("\n{key} =")).map_or(0, |it| it + 1) };
        at..at + key.len()
    };
    for (key, wanted) in &expected {
        let Some(got) = found.get(key) else {
            let message = format!("the text `{key}` is missing in {}", own.name);
            problems.0.push(first.problem(
                place(first, key),
                key,
                message,
                format!("add it to {}", own.name),
            ));
            continue;
        };
        let same = |it: &&String| !OWN_UNITS.contains(&it.as_str());
        let (wanted, got): (Vec<_>, Vec<_>) =
            (wanted.iter().filter(same).collect(), got.iter().filter(same).collect());
        if wanted != got {
            let message = format!("this text uses {got:?}; {} uses {wanted:?}", first.name);
            problems.0.push(own.problem(
                place(own, key),
                key,
                message,
                "use the same values in all languages",
            ));
        }
    }
    for key in found.keys().filter(|it| !expected.contains_key(*it)) {
        let message = format!("the text `{key}` is missing in {}", first.name);
        problems.0.push(own.problem(place(own, key), key, message, format!("add it to {}", first.name)));
    }
}

/// Checks the words of one language against exercises.
pub(crate) fn check_words(words: &Words, ui: &SourceText, motions: &[&Motion], problems: &mut Problems) {
    let folder = format!("content/words/{}", words.lang().id());
    let store = &words.exercises;
    let nowhere = SourceText::new(format!("{folder}/exercises-*.toml"), "");
    for motion in motions {
        let id = &motion.id;
        let Some(entry) = store.entries.get(id) else {
            let mend = format!("add [exercise.{id}] to a file {folder}/exercises-*.toml");
            problems.0.push(nowhere.problem(
                0..0,
                format!("exercise.{id}"),
                "this exercise has no words",
                mend,
            ));
            continue;
        };
        let source = &store.files[entry.file];
        let mut report = |field: String, message: &str, mend: String| {
            problems.0.push(source.problem(entry.at.clone(), field, message, mend));
        };
        for fault in &motion.faults {
            if !entry.text.faults.contains_key(&fault.id) {
                let field = format!("exercise.{id}.faults.{}", fault.id);
                report(field, "this fault of the exercise has no words", "say what not to do".into());
            }
        }
        for fault in entry.text.faults.keys().filter(|it| !motion.faults.iter().any(|known| known.id == **it))
        {
            let field = format!("exercise.{id}.faults.{fault}");
            report(field, "the exercise has no fault of this name", "delete it, or correct its name".into());
        }
        for verb in motion.core.keys.iter().map(|it| &it.verb).filter(|it| !it.is_empty()) {
            if !store.verbs.contains_key(verb) {
                let message = "this verb of the exercise has no words";
                report(format!("verbs.{verb}"), message, format!("add `{verb}` to [verbs] in {folder}"));
            }
        }
        check_terms(words, ui, motion, problems);
    }
    for (id, entry) in &store.entries {
        if !motions.iter().any(|it| it.id == *id) {
            let source = &store.files[entry.file];
            let (message, mend) = ("there is no exercise of this name", "delete it, or correct its name");
            problems.0.push(source.problem(entry.at.clone(), format!("exercise.{id}"), message, mend));
        }
    }
}

/// Posture and equipment need names too; they stand in the short texts.
fn check_terms(words: &Words, ui: &SourceText, motion: &Motion, problems: &mut Problems) {
    let posture = ("posture", motion.posture.id.as_str());
    let equipment = motion.equipment.iter().map(|it| ("equipment", it.as_str()));
    for (kind, id) in std::iter::once(posture).chain(equipment) {
        let key = key(kind, id);
        let known = problems.0.iter().any(|it| it.file == ui.name && it.field == key);
        if !words.has(&key) && !known {
            let message = format!("the {kind} `{id}` of exercise {} has no words", motion.id);
            problems.0.push(ui.problem(0..0, key.clone(), message, format!("add `{key} = ...`")));
        }
    }
}

#[cfg(test)]
mod tests {
    use handrail_motion::compile::Fault;

    use super::*;

    const GOOD: &str = r#"[verbs]
slide = "Slide"
[exercise.a]
title = "Slide"
start = "Put your {side} foot flat."
steps = ["Slide the {other_side} foot."]
why = "Moves it."
feel = "Stop if it hurts."
alt = "A foot."
"#;

    fn load(text: &str) -> Result<Words, Problems> {
        Words::from_texts(Lang::En, &built_in_ui(Lang::En), &[SourceText::new("x.toml", text)])
    }

    #[test]
    fn places_are_filled_for_the_side() {
        let words = load(GOOD).unwrap();
        let text = words.exercise("a", Side::Left).unwrap();
        assert_eq!(text.start, "Put your left foot flat.");
        assert_eq!(text.steps, ["Slide the right foot."]);
        assert!(words.exercise("b", Side::Left).is_none());
        assert_eq!(words.verb("slide", Side::Right).as_deref(), Some("Slide"));
    }

    #[test]
    fn mistakes_are_found_at_their_line() {
        let cases = [
            ("{side} foot", "{seite} foot", 5, "place that can be filled"),
            ("{side} foot", "{side foot", 5, "no partner"),
            ("Moves it.", "It is safe.", 7, "must not be said"),
            ("Moves it.", " ", 7, "empty"),
            ("[\"Slide the {other_side} foot.\"]", "[]", 6, "no steps"),
            ("why = ", "wy = ", 7, "unknown field"),
        ];
        for (from, to, line, says) in cases {
            let problems = load(&GOOD.replace(from, to)).unwrap_err();
            let first = &problems.0[0];
            assert!(first.line == line && first.message.contains(says), "{from} -> {to}: {first}");
        }
    }

    #[test]
    fn one_verb_has_one_wording_and_one_exercise_one_text() {
        let two = |a: &str, b: &str| {
            let texts = [SourceText::new("a.toml", a), SourceText::new("b.toml", b)];
            Words::from_texts(Lang::En, &built_in_ui(Lang::En), &texts)
        };
        let verb = "[verbs]\nslide = \"Slide\"\n";
        assert!(two(verb, verb).is_ok());
        let problems = two(verb, "[verbs]\n\nslide = \"Slide it\"\n").unwrap_err();
        assert_eq!(problems.0[0].line, 3);
        assert!(problems.0[0].message.contains("a.toml, line 2"), "{problems}");
        assert!(two(GOOD, GOOD).unwrap_err().0[0].message.contains("already has words"));
    }

    #[test]
    fn languages_have_the_same_texts_with_the_same_values() {
        let first = SourceText::new(
            "a.ftl",
            "side = x\nleg = { side } { $n } {\"{page}\"}\nmass = { $kg } { $lb }\nonly = 1\n",
        );
        let good = "side = x\nleg = {\"{page}\"} { $n } { side }\nmass = { $kg }\nonly = 1\n";
        let found = |text: &str| {
            let mut problems = Problems::default();
            check_same_keys(&first, &SourceText::new("b.ftl", text), &mut problems);
            problems.0.iter().map(|it| format!("{}:{} {}", it.file, it.line, it.field)).collect::<Vec<_>>()
        };
        assert_eq!(found(good), Vec::<String>::new());
        assert_eq!(found(&good.replace("{ $n } ", "")), ["b.ftl:2 leg"]);
        assert_eq!(found(&good.replace("{\"{page}\"}", "")), ["b.ftl:2 leg"]);
        assert_eq!(found(&good.replace("{ $kg }", "")), ["b.ftl:3 mass"]);
        assert_eq!(found(&good.replace("only", "own")), ["a.ftl:4 only", "b.ftl:4 own"]);
    }

    #[test]
    fn an_exercise_a_verb_and_a_fault_without_words_are_found_and_so_are_words_without_an_exercise() {
        let posture = SourceText::new("supine.toml", include_str!("../../../content/postures/supine.toml"));
        let posture = handrail_motion::read_posture(&posture).unwrap();
        let motion = Motion::at_rest(&posture);
        let check = |text: &str, motion: &Motion| {
            let ui = main_of(&built_in_ui(Lang::En)).clone();
            let mut problems = Problems::default();
            check_words(&load(text).unwrap(), &ui, &[motion], &mut problems);
            problems
                .0
                .iter()
                .map(|it| format!("{} {}: {}", it.line, it.field, it.message))
                .collect::<Vec<_>>()
        };
        let mut named = Motion { id: "a".into(), ..motion };
        assert_eq!(check(GOOD, &named), Vec::<String>::new());
        named.core.keys[0].verb = "fly".into();
        named.faults.push(Fault {
            id: "drops".into(),
            parameters: Default::default(),
            core: named.core.clone(),
        });
        let found = check(GOOD, &named);
        assert_eq!(
            found,
            [
                "4 exercise.a.faults.drops: this fault of the exercise has no words",
                "4 verbs.fly: this verb of the exercise has no words",
            ]
        );
        named.id = "b".into();
        let found = check(GOOD, &named);
        assert!(found[0].contains("exercise.b: this exercise has no words"), "{found:?}");
        assert!(found[1].contains("4 exercise.a: there is no exercise of this name"), "{found:?}");
    }
}
