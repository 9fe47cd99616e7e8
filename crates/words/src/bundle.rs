//! The texts of one language, loaded and checked.

use std::collections::BTreeMap;

use fluent_bundle::concurrent::FluentBundle;
use fluent_bundle::{FluentArgs, FluentResource, FluentValue};
use handrail_anatomy::Side;
use handrail_spans::{Problems, SourceText};
use include_dir::{Dir, include_dir};

use crate::exercises::{ExerciseWords, read_exercise_words};
use crate::lang::Lang;
use crate::sayings::Sayings;

static WORDS: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../content/words");

/// A value put into a text.
#[derive(Clone, Debug, PartialEq)]
pub enum Arg {
    /// Words, put in as they are.
    Text(String),
    /// A number: written with the language's decimal sign, and choosing its plural form.
    Number(f64),
}

impl From<&str> for Arg {
    fn from(text: &str) -> Self {
        Arg::Text(text.into())
    }
}

impl From<String> for Arg {
    fn from(text: String) -> Self {
        Arg::Text(text)
    }
}

impl From<f64> for Arg {
    fn from(number: f64) -> Self {
        Arg::Number(number)
    }
}

impl From<u32> for Arg {
    fn from(number: u32) -> Self {
        Arg::Number(number.into())
    }
}

impl From<Side> for Arg {
    /// The selector `left` or `right`; texts turn it into the agreeing word.
    fn from(side: Side) -> Self {
        Arg::Text(side.word().into())
    }
}

/// All texts of one language.
pub struct Words {
    lang: Lang,
    bundle: FluentBundle<FluentResource>,
    keys: Vec<String>,
    pub(crate) exercises: ExerciseWords,
    pub(crate) sayings: Sayings,
}

impl std::fmt::Debug for Words {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "Words({})", self.lang.id())
    }
}

/// The built-in short texts of a language: every `.ftl` file of its folder, in the order of their names.
pub fn built_in_ui(lang: Lang) -> Vec<SourceText> {
    built_in(lang, "ftl")
}

/// The built-in exercise words of a language, in the order of their names.
pub fn built_in_exercises(lang: Lang) -> Vec<SourceText> {
    built_in(lang, "toml")
}

fn built_in(lang: Lang, extension: &str) -> Vec<SourceText> {
    let files = WORDS.get_dir(lang.id()).into_iter().flat_map(|dir| dir.files());
    let mut texts: Vec<SourceText> = files
        .filter(|file| file.path().extension().is_some_and(|it| it == extension))
        .filter_map(|file| {
            let text = file.contents_utf8()?;
            Some(SourceText::new(format!("content/words/{}", file.path().display()), text))
        })
        .collect();
    texts.sort_by(|a, b| a.name.cmp(&b.name));
    texts
}

impl Words {
    /// Loads the built-in texts of a language.
    ///
    /// # Errors
    /// All mistakes in its files, with their lines.
    pub fn load(lang: Lang) -> Result<Words, Problems> {
        Words::load_with(lang, &[])
    }

    /// The same, with exercise words of a clinic's own laid beside the built-in ones.
    ///
    /// # Errors
    /// All mistakes in all files, with their lines.
    pub fn load_with(lang: Lang, own_exercises: &[SourceText]) -> Result<Words, Problems> {
        let mut texts = built_in_exercises(lang);
        texts.extend_from_slice(own_exercises);
        Words::from_texts(lang, &built_in_ui(lang), &texts)
    }

    /// Loads from given texts.
    ///
    /// # Errors
    /// All mistakes in all files, with their lines.
    pub fn from_texts(lang: Lang, ui: &[SourceText], exercises: &[SourceText]) -> Result<Words, Problems> {
        let mut problems = Problems::default();
        let mut bundle = FluentBundle::new_concurrent(vec![lang.identifier()]);
        // Marks of writing direction would show as boxes in print; both languages run left to right.
        bundle.set_use_isolating(false);
        if lang == Lang::Es {
            bundle.set_formatter(Some(|value, _| match value {
                FluentValue::Number(number) => Some(number.as_string().replace('.', ",")),
                _ => None,
            }));
        }
        for text in ui {
            add_texts(&mut bundle, text, &mut problems);
        }
        let (exercises, sayings) = read_exercise_words(lang, exercises, &mut problems);
        let keys = ui.iter().flat_map(|it| keys_of(&it.text)).collect();
        problems.or(Words { lang, bundle, keys, exercises, sayings })
    }

    /// Language of these texts.
    pub fn lang(&self) -> Lang {
        self.lang
    }

    /// Keys of all short texts, in the order of the file.
    pub fn keys(&self) -> &[String] {
        &self.keys
    }

    /// True when a short text with this key exists.
    pub fn has(&self, key: &str) -> bool {
        self.bundle.has_message(key)
    }

    /// A short text with its values filled in. A key that does not exist, or a value that was not given,
    /// yields a visible mark with the key's name rather than a sentence with a hole; tests hold that no
    /// function of this room ever produces one.
    pub fn text(&self, key: &str, args: &[(&str, Arg)]) -> String {
        self.try_text(key, args).unwrap_or_else(|| format!("[no words: {key}]"))
    }

    /// The same, or `None`.
    pub fn try_text(&self, key: &str, args: &[(&str, Arg)]) -> Option<String> {
        let pattern = self.bundle.get_message(key)?.value()?;
        let mut values = FluentArgs::new();
        for (name, arg) in args {
            match arg {
                Arg::Text(text) => values.set(*name, text.clone()),
                Arg::Number(number) => values.set(*name, *number),
            }
        }
        let mut errors = Vec::new();
        let text = self.bundle.format_pattern(pattern, Some(&values), &mut errors).into_owned();
        errors.is_empty().then_some(text)
    }

    /// A short text without values.
    pub(crate) fn say(&self, key: &str) -> String {
        self.text(key, &[])
    }
}

fn add_texts(bundle: &mut FluentBundle<FluentResource>, text: &SourceText, problems: &mut Problems) {
    match FluentResource::try_new(text.text.to_string()) {
        Ok(resource) => {
            for error in bundle.add_resource(resource).err().unwrap_or_default() {
                let mend = "give each text one key only, over all files of the language";
                problems.0.push(text.problem(0..0, "", error.to_string(), mend));
            }
        }
        Err((_, errors)) => {
            for error in errors {
                let mend = "correct this text; the Fluent syntax is needed";
                problems.0.push(text.problem(error.pos.clone(), "", error.kind.to_string(), mend));
            }
        }
    }
}

/// Keys of a Fluent text: names at the beginning of a line, before `=`.
fn keys_of(text: &str) -> Vec<String> {
    let name = |line: &str| {
        let (name, _) = line.split_once('=')?;
        let name = name.trim_end();
        let is_key = name.starts_with(|c: char| c.is_ascii_lowercase())
            && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '-' || c == '_');
        is_key.then(|| name.to_string())
    };
    text.lines().filter_map(name).collect()
}

/// For each key the values its text asks for, those of texts it refers to included, and the places in braces
/// that it hands on (`{"{n}"}`). For comparing languages.
pub(crate) fn variables(text: &str) -> BTreeMap<String, std::collections::BTreeSet<String>> {
    let mut bodies: BTreeMap<String, String> = BTreeMap::new();
    let mut current = String::new();
    for line in text.lines() {
        if let Some(key) = keys_of(line).pop() {
            current = key;
        } else if !line.starts_with([' ', '}']) {
            current.clear();
        }
        if !current.is_empty() {
            let body = bodies.entry(current.clone()).or_default();
            body.push_str(line);
            body.push('\n');
        }
    }
    bodies.keys().map(|key| (key.clone(), variables_of(key, &bodies))).collect()
}

fn variables_of(key: &str, bodies: &BTreeMap<String, String>) -> std::collections::BTreeSet<String> {
    let mut found = std::collections::BTreeSet::new();
    let Some(body) = bodies.get(key) else { return found };
    let is_word = |c: &char| c.is_ascii_alphanumeric() || *c == '-' || *c == '_';
    for (at, _) in body.match_indices('$') {
        found.insert(format!("${}", body[at + 1..].chars().take_while(is_word).collect::<String>()));
    }
    for (at, _) in body.match_indices("{\"{") {
        found.insert(format!("{{{}}}", body[at + 3..].chars().take_while(is_word).collect::<String>()));
    }
    for (at, _) in body.match_indices('{') {
        let name: String = body[at + 1..].trim_start().chars().take_while(is_word).collect();
        if bodies.contains_key(&name) && name != key {
            found.extend(variables_of(&name, bodies));
        }
    }
    found
}
