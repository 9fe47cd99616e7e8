//! A text as it is typed: what is wrong with it and where, and for an exercise the figure redrawn from it.

use std::collections::BTreeMap;

use crate::fault::Fault;
use crate::gate::Desk;
use axum::Json;
use handrail_anatomy::Side;
use handrail_figures::exercise::{Captions, Drawing};
use handrail_library::{Library, Texts};
use handrail_motion::{Motion, MotionSpec, SolveError, compile};
use handrail_protocol::read_protocol;
use handrail_spans::{Problem, Problems, SourceText};
use handrail_words::{Lang, Words};
use serde::Deserialize;
use serde_json::{Value, json};

use crate::content::body::{Choice, Solved, solved};
use crate::content::library::{Kind, Shelf, WORDS_KIND, missing_words, shelf_of, words_file, words_id};
use crate::content::parts::{say, tell};

/// Longest identifier.
const LONGEST_ID: usize = 60;
/// Identifiers that are paths of pages.
const TAKEN: [&str; 4] = ["new", "check", "waiting", "edit"];

/// What somebody typed.
#[derive(Clone, Debug)]
pub struct Typed {
    /// What it is.
    pub kind: Kind,
    /// The identifier that a change keeps; `None` for a new text.
    pub id: Option<String>,
    /// Text.
    pub text: String,
    /// Words of an exercise by language.
    pub words: BTreeMap<Lang, String>,
}

/// What was found in it.
pub struct Found {
    /// Identifier as typed; blank when there is none.
    pub id: String,
    /// Mistakes with the field of the form that they stand in.
    pub problems: Vec<(&'static str, Problem)>,
    /// The exercise, when it can be read.
    pub motion: Option<(Motion, Result<Solved, SolveError>)>,
}

/// The value of a top-level entry and where its line begins: `id = "x"`, `version = 2`.
pub fn entry<'a>(text: &'a str, name: &str) -> Option<(std::ops::Range<usize>, &'a str)> {
    let mut at = 0;
    for line in text.split_inclusive('\n') {
        if line.trim_start().starts_with('[') {
            return None;
        }
        if let Some((key, value)) = line.split_once('=')
            && key.trim() == name
        {
            let value = value.split('#').next().unwrap_or("").trim();
            return Some((at..at + line.trim_end().len(), value.trim_matches('"')));
        }
        at += line.len();
    }
    None
}

/// The same text with its version raised by one: `1` becomes `2`, `"0.1.9"` becomes `"0.1.10"`.
pub fn raised(text: &str) -> String {
    let Some((at, version)) = entry(text, "version") else { return text.to_string() };
    let stem = version.trim_end_matches(|it: char| it.is_ascii_digit());
    let Ok(last) = version[stem.len()..].parse::<u64>() else { return text.to_string() };
    let line = text[at.clone()].replacen(version, &format!("{stem}{}", last + 1), 1);
    format!("{}{line}{}", &text[..at.start], &text[at.end..])
}

impl Typed {
    /// Fields of the form with their texts.
    fn source(&self, id: &str) -> SourceText {
        SourceText::new(self.kind.file(id), self.text.as_str())
    }

    /// Identifier as it stands in the text.
    pub fn typed_id(&self) -> String {
        entry(&self.text, "id").map_or_else(String::new, |it| it.1.to_string())
    }

    /// The field of the form that a file's mistake belongs to.
    fn field(&self, id: &str, file: &str) -> &'static str {
        if file == self.kind.file(id) {
            return "text";
        }
        match Lang::ALL.into_iter().find(|it| file == words_file(*it, id)) {
            Some(lang) => words_field(lang),
            None => "",
        }
    }
}

/// Name of the field with the words of a language.
pub fn words_field(lang: Lang) -> &'static str {
    match lang {
        Lang::En => "words-en",
        Lang::Es => "words-es",
    }
}

/// Looks at what was typed, against the content in use.
pub fn look(shelf: &Shelf, typed: &Typed) -> Found {
    let typed_id = typed.typed_id();
    let id = typed.id.clone().unwrap_or_else(|| typed_id.clone());
    let source = typed.source(&id);
    let mut problems = heads(shelf, typed, &id, &typed_id, &source);
    let motion = match typed.kind {
        Kind::Exercise => exercise(shelf, typed, &id, &source, &mut problems),
        Kind::Protocol => {
            protocol(shelf, &source, &mut problems);
            None
        }
    };
    let problems = problems.into_iter().map(|it| (typed.field(&id, &it.file), it)).collect();
    Found { id, problems, motion }
}

/// Identifier and version.
fn heads(shelf: &Shelf, typed: &Typed, id: &str, typed_id: &str, source: &SourceText) -> Vec<Problem> {
    let mut out = Vec::new();
    let at = |name: &str| entry(&typed.text, name).map_or(0..0, |it| it.0);
    let fine = |it: char| it.is_ascii_lowercase() || it.is_ascii_digit() || it == '-';
    let letters = typed_id.starts_with(|it: char| it.is_ascii_lowercase()) && typed_id.chars().all(fine);
    if !letters || typed_id.len() > LONGEST_ID || TAKEN.contains(&typed_id) {
        let mend = "write small letters, digits and hyphens, like `heel-slide-chair`, at most 60";
        out.push(source.problem(at("id"), "id", format!("`{typed_id}` cannot be an identifier"), mend));
        return out;
    }
    let there = shelf.layers.of(typed.kind).get(typed_id);
    match &typed.id {
        Some(kept) if kept != typed_id => {
            let mend = format!("write `id = \"{kept}\"`, or make a new one from it");
            out.push(source.problem(at("id"), "id", "a change keeps the identifier", mend));
        }
        None if there.is_some() => {
            let message = format!("there is already one called `{typed_id}`");
            out.push(source.problem(at("id"), "id", message, "write another identifier"));
        }
        _ => {}
    }
    if typed.id.is_some()
        && let Some(before) = shelf.version(typed.kind, id)
        && let Some((place, version)) = entry(&typed.text, "version")
        && !is_raised(typed.kind, &before, version)
    {
        let message = format!("a changed text has another version than `{before}`");
        out.push(source.problem(place, "version", message, "raise it"));
    }
    out
}

/// Exercises count up; protocols name their versions as they like.
fn is_raised(kind: Kind, before: &str, after: &str) -> bool {
    match (kind, before.parse::<u64>(), after.parse::<u64>()) {
        (Kind::Exercise, Ok(before), Ok(after)) => after > before,
        _ => after != before,
    }
}

fn exercise(
    shelf: &Shelf,
    typed: &Typed,
    id: &str,
    source: &SourceText,
    problems: &mut Vec<Problem>,
) -> Option<(Motion, Result<Solved, SolveError>)> {
    let library = &shelf.library;
    let motion = source.parse::<MotionSpec>().and_then(|spec| compile(source, &spec, &library.postures));
    let motion = match motion {
        Ok(it) => Some(it),
        Err(found) => {
            problems.extend(found.0);
            None
        }
    };
    for (lang, text) in &typed.words {
        let place = SourceText::new(words_file(*lang, id), text.as_str());
        match Words::from_texts(*lang, &[], std::slice::from_ref(&place)) {
            Ok(own) => {
                if let Some(motion) = &motion {
                    problems.extend(words_problems(shelf.words(*lang), &own, motion, source, &place));
                }
            }
            Err(found) => problems.extend(found.0),
        }
    }
    let motion = motion?;
    let mut with = Library::clone(library);
    with.exercises.insert(motion.id.clone(), std::sync::Arc::new(motion.clone()));
    let texts = Texts { exercises: vec![source.clone()], ..Texts::default() };
    problems.extend(with.dangling(&texts).0);
    let solved = Choice::usual().body().ok().map(|body| solved(&motion, body, Side::Left))?;
    let mut cannot = |error: &SolveError, what: &str, at: std::ops::Range<usize>| {
        let message = format!("{what} cannot be done by a body of 1.70 m and 70 kg: {error}");
        problems.push(source.problem(at, "key", message, "correct the angles, places or contacts"));
    };
    match &solved {
        Err(error) => cannot(error, "this motion", key_of(source, error)),
        Ok(it) => {
            for (fault, result) in &it.faults {
                if let Err(error) = result {
                    let at = source.text.find(&format!("id = \"{fault}\"")).unwrap_or(0);
                    cannot(error, &format!("the fault `{fault}`"), at..at);
                }
            }
        }
    }
    Some((motion, solved))
}

/// Where the key pose stands that an error speaks of.
fn key_of(source: &SourceText, error: &SolveError) -> std::ops::Range<usize> {
    let nth = if let SolveError::Unreachable { key, .. } = error { *key } else { 0 };
    let at = source.text.match_indices("[[key]]").nth(nth).map_or(0, |it| it.0);
    at..at + "[[key]]".len()
}

/// What typed words lack; verbs may also be those in use.
fn words_problems(
    in_use: &Words,
    own: &Words,
    motion: &Motion,
    source: &SourceText,
    place: &SourceText,
) -> Vec<Problem> {
    let named_elsewhere = |it: &Problem| {
        let known_verb = |verb: &str| in_use.verb(verb, Side::Left).is_some();
        let known_thing = |thing: &str| in_use.has(&format!("equipment-{}", thing.replace('_', "-")));
        (it.field == "verb" && quoted(&it.message).is_some_and(known_verb))
            || (it.field == "equipment" && quoted(&it.message).is_some_and(known_thing))
    };
    missing_words(motion, own, source, place).into_iter().filter(|it| !named_elsewhere(it)).collect()
}

fn quoted(message: &str) -> Option<&str> {
    message.split('`').nth(1)
}

fn protocol(shelf: &Shelf, source: &SourceText, problems: &mut Vec<Problem>) {
    match read_protocol(source) {
        Ok(protocol) => {
            let mut with = Library::clone(&shelf.library);
            with.protocols.insert(protocol.id.clone(), protocol);
            let texts = Texts { protocols: vec![source.clone()], ..Texts::default() };
            problems.extend(with.dangling(&texts).0);
        }
        Err(found) => problems.extend(found.0),
    }
}

/// The whole content with what was typed in its place.
///
/// # Errors
/// All mistakes of all texts.
pub fn whole(shelf: &Shelf, typed: &Typed, id: &str) -> Result<Shelf, Problems> {
    let mut layers = shelf.layers.clone();
    let origin = crate::content::library::Origin::Folder;
    layers.lay(typed.kind.id(), id, &typed.text, origin.clone());
    for (lang, text) in &typed.words {
        layers.lay(WORDS_KIND, &words_id(*lang, id), text, origin.clone());
    }
    shelf_of(layers, &[])
}

/// What a script sends.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Request {
    kind: String,
    id: Option<String>,
    text: String,
    #[serde(default)]
    words: BTreeMap<String, String>,
}

/// `POST /content/check`
pub async fn answer(desk: Desk, Json(request): Json<Request>) -> Result<Json<Value>, Fault> {
    let in_use = desk.content.clone();
    let kind = Kind::of(&request.kind).ok_or(Fault::NotFound)?;
    let words = request.words.into_iter().filter_map(|it| Some((it.0.parse::<Lang>().ok()?, it.1))).collect();
    let typed = Typed { kind, id: request.id.filter(|it| !it.is_empty()), text: request.text, words };
    let lang = desk.lang;
    tokio::task::spawn_blocking(move || {
        let found = look(&in_use.shelf, &typed);
        told(in_use.shelf.words(lang), &found)
    })
    .await
    .map(Json)
    .map_err(|error| Fault::Internal(format!("check: {error}")))
}

/// Mistakes and pictures as a script shows them.
fn told(words: &Words, found: &Found) -> Value {
    let problems: Vec<Value> = found
        .problems
        .iter()
        .map(|(field, it)| {
            let (line, column) = (it.line.to_string(), it.column.to_string());
            let at = [("line", line.into()), ("column", column.into())];
            json!({
                "in": field, "file": it.file, "line": it.line, "column": it.column, "field": it.field,
                "at": tell(words, "at", &at), "message": it.message, "mend": it.mend,
            })
        })
        .collect();
    let says = match problems.len() {
        0 => say(words, "checks"),
        n => tell(words, "mistakes", &[("n", (n as f64).into())]),
    };
    let pictures =
        found.motion.as_ref().and_then(|(motion, solved)| Some(pictures(motion, solved.as_ref().ok()?)));
    json!({ "ok": problems.is_empty(), "says": says, "problems": problems, "pictures": pictures })
}

/// Start and end of the exercise as typed.
pub fn pictures(motion: &Motion, solved: &Solved) -> Value {
    let drawing = Drawing::new(motion, &solved.repetition, &solved.body, None);
    let captions = Captions { title: motion.id.clone(), alt: motion.id.clone(), not: String::new() };
    json!({
        "start": drawing.start("typed-start", &captions),
        "end": drawing.end("typed-end", &captions, None),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn versions_are_raised_where_they_stand() {
        assert_eq!(raised("id = \"a\"\nversion = 9 # nine\n[x]\n"), "id = \"a\"\nversion = 10 # nine\n[x]\n");
        assert_eq!(raised("version = \"0.1.9\"\n"), "version = \"0.1.10\"\n");
        assert_eq!(raised("version = \"draft\"\n"), "version = \"draft\"\n");
        assert_eq!(raised("[x]\nversion = 1\n"), "[x]\nversion = 1\n");
        assert!(is_raised(Kind::Exercise, "9", "10") && !is_raised(Kind::Exercise, "10", "9"));
        assert!(is_raised(Kind::Protocol, "0.1.9", "0.1.10") && !is_raised(Kind::Protocol, "a", "a"));
    }
}
