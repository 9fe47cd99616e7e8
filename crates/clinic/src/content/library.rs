//! The content in use: the built-in texts, over them the files of the clinic's content folder, over these what the
//! database holds. The newest text of an identifier counts; a signature counts for exactly the text it was given under.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use handrail_anatomy::Side;
use handrail_library::{Library, Texts};
use handrail_motion::Motion;
use handrail_motion::spec::ReviewSpec;
use handrail_protocol::{Protocol, Review};
use handrail_spans::{Problem, Problems, SourceText};
use handrail_store::content::{Content, SignOff, text_hash};
use handrail_words::{Lang, Words, built_in_exercises, built_in_ui};
use jiff::Timestamp;

use crate::content::sections;

/// What a person signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// An exercise with its words.
    Exercise,
    /// A protocol.
    Protocol,
}

impl Kind {
    /// Both.
    pub const ALL: [Kind; 2] = [Kind::Exercise, Kind::Protocol];

    /// Name in paths and in the database.
    pub fn id(self) -> &'static str {
        match self {
            Kind::Exercise => "exercise",
            Kind::Protocol => "protocol",
        }
    }

    /// Kind of this name.
    pub fn of(id: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|it| it.id() == id)
    }

    /// Name of the file that a text stands for in messages.
    pub fn file(self, id: &str) -> String {
        format!("clinic/{}s/{id}.toml", self.id())
    }
}

/// Kind of words in the database; their identifier is `en/quad-set`.
pub const WORDS_KIND: &str = "words";

/// Identifier of the words of an exercise in the database.
pub fn words_id(lang: Lang, exercise: &str) -> String {
    format!("{}/{exercise}", lang.id())
}

/// Name of the file that words stand for in messages.
pub fn words_file(lang: Lang, exercise: &str) -> String {
    format!("clinic/words/{}/{exercise}.toml", lang.id())
}

/// Where a text comes from.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Built in.
    BuiltIn,
    /// A file of the clinic's content folder.
    Folder,
    /// Written on these screens.
    Database {
        /// 1, 2, 3, ...
        version: u64,
        /// Who saved it.
        by: String,
        /// When.
        saved: Timestamp,
    },
}

/// A text with where it comes from.
#[derive(Clone, Debug)]
pub struct Text {
    /// Text.
    pub source: SourceText,
    /// Where it comes from.
    pub origin: Origin,
}

/// All texts in use, before they are read.
#[derive(Clone, Debug, Default)]
pub struct Layers {
    /// Postures by identifier.
    pub postures: BTreeMap<String, Text>,
    /// Exercises by identifier.
    pub exercises: BTreeMap<String, Text>,
    /// Protocols by identifier.
    pub protocols: BTreeMap<String, Text>,
    /// Files of exercise words by language; a later file takes the place of what an earlier one says of the same
    /// exercise.
    pub words: BTreeMap<Lang, Vec<Text>>,
}

/// Identifier of a file: its name without ending.
fn stem(name: &str) -> String {
    let name = name.rsplit('/').next().unwrap_or(name);
    name.strip_suffix(".toml").unwrap_or(name).to_string()
}

impl Layers {
    /// The built-in texts.
    pub fn built_in() -> Layers {
        let texts = Texts::built_in();
        let by_id = |texts: Vec<SourceText>| {
            let text = |source: SourceText| (stem(&source.name), Text { source, origin: Origin::BuiltIn });
            texts.into_iter().map(text).collect()
        };
        let words = |lang| {
            let texts = built_in_exercises(lang).into_iter();
            (lang, texts.map(|source| Text { source, origin: Origin::BuiltIn }).collect())
        };
        Layers {
            postures: by_id(texts.postures),
            exercises: by_id(texts.exercises),
            protocols: by_id(texts.protocols),
            words: Lang::ALL.into_iter().map(words).collect(),
        }
    }

    /// Lays the files of a folder over them: `postures/`, `exercises/`, `protocols/` and `words/en/`, `words/es/`
    /// inside it. A part that is not there is left as it is.
    ///
    /// # Errors
    /// Files that cannot be read.
    pub fn lay_folder(&mut self, folder: &Path) -> Result<(), Problems> {
        let mut problems = Problems::default();
        let mut read = |part: &str| {
            let mut texts = Vec::new();
            for path in toml_files(&folder.join(part)) {
                let name = path.display().to_string();
                match std::fs::read_to_string(&path) {
                    Ok(text) => {
                        texts.push(Text { source: SourceText::new(name, text), origin: Origin::Folder })
                    }
                    Err(error) => {
                        let mend = "let the server read this file (text in UTF-8), or take it away";
                        let nothing = SourceText::new(name, "");
                        problems.0.push(nothing.problem(0..0, "", format!("cannot be read: {error}"), mend));
                    }
                }
            }
            texts
        };
        let by_id = |it: Text| (stem(&it.source.name), it);
        self.postures.extend(read("postures").into_iter().map(by_id));
        self.exercises.extend(read("exercises").into_iter().map(by_id));
        self.protocols.extend(read("protocols").into_iter().map(by_id));
        for lang in Lang::ALL {
            self.words.entry(lang).or_default().extend(read(&format!("words/{}", lang.id())));
        }
        problems.or(())
    }

    /// Lays the newest texts of the database over them.
    pub fn lay_database(&mut self, newest: &[Content]) {
        for it in newest {
            let origin = Origin::Database { version: it.version, by: it.by.name.clone(), saved: it.saved };
            self.lay(&it.kind, &it.id, &it.body, origin);
        }
    }

    /// Lays one text over them; an unknown kind changes nothing.
    pub fn lay(&mut self, kind: &str, id: &str, body: &str, origin: Origin) {
        if let Some(kind) = Kind::of(kind) {
            let text = Text { source: SourceText::new(kind.file(id), body), origin };
            self.of_mut(kind).insert(id.to_string(), text);
        } else if kind == WORDS_KIND
            && let Some((lang, exercise)) = id.split_once('/')
            && let Ok(lang) = lang.parse::<Lang>()
        {
            let name = words_file(lang, exercise);
            let files = self.words.entry(lang).or_default();
            files.retain(|it| it.source.name != name);
            files.push(Text { source: SourceText::new(name, body), origin });
        }
    }

    /// Texts of a kind.
    pub fn of(&self, kind: Kind) -> &BTreeMap<String, Text> {
        match kind {
            Kind::Exercise => &self.exercises,
            Kind::Protocol => &self.protocols,
        }
    }

    fn of_mut(&mut self, kind: Kind) -> &mut BTreeMap<String, Text> {
        match kind {
            Kind::Exercise => &mut self.exercises,
            Kind::Protocol => &mut self.protocols,
        }
    }

    /// The words of one exercise as a text of their own, with where they come from.
    pub fn words_of(&self, lang: Lang, exercise: &str) -> Option<(String, Origin)> {
        let name = words_file(lang, exercise);
        self.words.get(&lang)?.iter().rev().find_map(|it| {
            if it.source.name == name {
                return Some((it.source.text.to_string(), it.origin.clone()));
            }
            Some((sections::cut_out(&it.source.text, exercise)?, it.origin.clone()))
        })
    }

    fn texts(&self) -> Texts {
        let all = |texts: &BTreeMap<String, Text>| texts.values().map(|it| it.source.clone()).collect();
        Texts {
            postures: all(&self.postures),
            exercises: all(&self.exercises),
            protocols: all(&self.protocols),
        }
    }

    /// Files of words of a language in which each exercise has one text: the last one.
    fn word_texts(&self, lang: Lang) -> Vec<SourceText> {
        let mut taken: BTreeSet<String> = BTreeSet::new();
        let mut out = Vec::new();
        for it in self.words.get(&lang).into_iter().flatten().rev() {
            out.push(SourceText::new(it.source.name.clone(), sections::blank(&it.source.text, &taken)));
            taken.extend(sections::ids(&it.source.text));
        }
        out.reverse();
        out
    }

    /// Reads and checks all of it. Signatures are not looked at yet: nothing is signed.
    ///
    /// # Errors
    /// All mistakes of all files with their lines, names that lead nowhere and own exercises without words included.
    pub fn check(&self) -> Result<(Library, BTreeMap<Lang, Words>), Problems> {
        let texts = self.texts();
        let library = texts.check()?;
        let mut problems = library.dangling(&texts);
        let mut words = BTreeMap::new();
        for lang in Lang::ALL {
            match Words::from_texts(lang, &built_in_ui(lang), &self.word_texts(lang)) {
                Ok(it) => {
                    words.insert(lang, it);
                }
                Err(found) => problems.0.extend(found.0),
            }
        }
        let problems = problems.or(()).err().map_or_else(Vec::new, |it| it.0);
        let mut problems = Problems(problems);
        if words.len() == Lang::ALL.len() {
            for motion in library.exercises.values().filter(|it| self.is_own_exercise(&it.id)) {
                for (lang, words) in &words {
                    let place = self.word_place(*lang, &motion.id);
                    problems.0.extend(missing_words(
                        motion,
                        words,
                        &self.exercises[&motion.id].source,
                        &place,
                    ));
                }
            }
        }
        problems.or((library, words))
    }

    fn is_own_exercise(&self, id: &str) -> bool {
        let own_text = self.exercises.get(id).is_some_and(|it| it.origin != Origin::BuiltIn);
        let own_words = |lang| self.words_of(lang, id).is_some_and(|it| it.1 != Origin::BuiltIn);
        own_text || Lang::ALL.into_iter().any(own_words)
    }

    /// The text to which a mistake in an exercise's words is ascribed.
    fn word_place(&self, lang: Lang, exercise: &str) -> SourceText {
        let own = words_file(lang, exercise);
        let files = self.words.get(&lang).into_iter().flatten().rev();
        let found = files
            .map(|it| &it.source)
            .find(|it| it.name == own || sections::ids(&it.text).contains(exercise));
        found.cloned().unwrap_or_else(|| SourceText::new(own, ""))
    }
}

fn toml_files(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries
        .filter_map(|it| Some(it.ok()?.path()))
        .filter(|it| it.extension().is_some_and(|it| it == "toml"))
        .collect();
    paths.sort();
    paths
}

/// What the words of an exercise lack: `source` is the exercise's own text, `place` the text of its words.
pub fn missing_words(
    motion: &Motion,
    words: &Words,
    source: &SourceText,
    place: &SourceText,
) -> Vec<Problem> {
    let lang = words.lang().own_name();
    let mut out = Vec::new();
    let at = |text: &SourceText, what: &str| {
        let from = text.text.find(what).unwrap_or(0);
        from..from + if from == 0 { 0 } else { what.len() }
    };
    let Some(text) = words.exercise(&motion.id, Side::Left) else {
        let field = format!("exercise.{}", motion.id);
        let message = format!("`{}` has no words in {lang}", motion.id);
        out.push(place.problem(0..0, &field, message, format!("write them under [{field}]")));
        return out;
    };
    let header = format!("[exercise.{}", motion.id);
    for fault in motion.faults.iter().filter(|it| !text.faults.contains_key(&it.id)) {
        let field = format!("exercise.{}.faults.{}", motion.id, fault.id);
        let message = format!("the fault `{}` has no words in {lang}", fault.id);
        out.push(place.problem(at(place, &header), field, message, "say what not to do"));
    }
    for id in text.faults.keys().filter(|id| !motion.faults.iter().any(|it| it.id == **id)) {
        let field = format!("exercise.{}.faults.{id}", motion.id);
        let message = format!("the exercise has no fault `{id}`");
        out.push(place.problem(at(place, id), field, message, "delete these words, or correct the name"));
    }
    let verbs: BTreeSet<&str> = motion.core.keys.iter().map(|it| it.verb.as_str()).collect();
    for verb in verbs.into_iter().filter(|it| !it.is_empty() && words.verb(it, Side::Left).is_none()) {
        let message = format!("the verb `{verb}` has no words in {lang}");
        let mend = format!("use a verb that has words, or add `{verb} = \"...\"` under [verbs]");
        out.push(source.problem(at(source, &format!("\"{verb}\"")), "verb", message, mend));
    }
    let key = |kind: &str, id: &str| format!("{kind}-{}", id.replace('_', "-"));
    for thing in motion.equipment.iter().filter(|it| !words.has(&key("equipment", it))) {
        let message = format!("`{thing}` has no name in {lang}");
        let mend = "use the name of a thing that other exercises use";
        out.push(source.problem(at(source, &format!("\"{thing}\"")), "equipment", message, mend));
    }
    out
}

/// A signature and whether it stands under the text in use.
#[derive(Clone, Debug)]
pub struct Signature {
    /// Signature.
    pub signed: SignOff,
    /// It was given under exactly the text in use.
    pub counts: bool,
}

/// The checked content with signatures: what [`library_of`] makes.
#[derive(Debug)]
pub struct Shelf {
    /// What all rooms use.
    pub library: Arc<Library>,
    /// The texts it was read from.
    pub layers: Layers,
    /// Words by language, the clinic's own included.
    pub words: BTreeMap<Lang, Words>,
    /// Hash of what is signed.
    pub hashes: BTreeMap<(Kind, String), [u8; 32]>,
    /// Signatures under each text, oldest first.
    pub signatures: BTreeMap<(Kind, String), Vec<Signature>>,
}

/// The effective library of a clinic: built-in texts, the folder over them, the database over that; checked as a
/// whole; each exercise and protocol carries the newest signature given under exactly its text.
///
/// # Errors
/// All mistakes of all texts. Nothing is partly taken.
pub fn library_of(folder: Option<&Path>, newest: &[Content], signed: &[SignOff]) -> Result<Shelf, Problems> {
    let mut layers = Layers::built_in();
    if let Some(folder) = folder {
        layers.lay_folder(folder)?;
    }
    layers.lay_database(newest);
    shelf_of(layers, signed)
}

/// The same from layers.
///
/// # Errors
/// As [`library_of`].
pub fn shelf_of(layers: Layers, signed: &[SignOff]) -> Result<Shelf, Problems> {
    let (mut library, words) = layers.check()?;
    let mut hashes = BTreeMap::new();
    for motion in library.exercises.values() {
        let text = signed_exercise(motion, &layers, &words);
        hashes.insert((Kind::Exercise, motion.id.clone()), text_hash(&text));
    }
    for protocol in library.protocols.values() {
        let text = &layers.protocols[&protocol.id].source.text;
        hashes.insert((Kind::Protocol, protocol.id.clone()), text_hash(text));
    }
    let mut signatures: BTreeMap<(Kind, String), Vec<Signature>> = BTreeMap::new();
    for it in signed {
        let Some(kind) = Kind::of(&it.kind) else { continue };
        let key = (kind, it.id.clone());
        let counts = hashes.get(&key) == Some(&it.text_hash);
        signatures.entry(key).or_default().push(Signature { signed: it.clone(), counts });
    }
    let newest = |kind: Kind, id: &str| {
        let all = signatures.get(&(kind, id.to_string()))?;
        all.iter().rev().find(|it| it.counts).map(|it| &it.signed)
    };
    for motion in library.exercises.values_mut() {
        // A file's own word on who signed it is not a signature by an account of this clinic.
        let review = newest(Kind::Exercise, &motion.id).map(|it| ReviewSpec {
            signed_by: it.by.name.clone(),
            on: it.on.to_string(),
            version: motion.version,
        });
        Arc::make_mut(motion).review = review;
    }
    for protocol in library.protocols.values_mut() {
        let review = newest(Kind::Protocol, &protocol.id).map(|it| Review {
            signed_by: it.by.name.clone(),
            on: it.on,
            version: protocol.version.clone(),
        });
        protocol.review = review;
    }
    Ok(Shelf { library: Arc::new(library), layers, words, hashes, signatures })
}

/// What is signed of an exercise: its text, the text of its posture, and its words in all languages for both sides,
/// the spoken verbs included.
fn signed_exercise(motion: &Motion, layers: &Layers, words: &BTreeMap<Lang, Words>) -> String {
    let mut out = layers.exercises[&motion.id].source.text.to_string();
    out.push_str("\n--- posture\n");
    if let Some(posture) = layers.postures.get(&motion.posture.id) {
        out.push_str(&posture.source.text);
    }
    for (lang, words) in words {
        for side in Side::BOTH {
            out.push_str(&format!("\n--- words {} {}\n", lang.id(), side.word()));
            if let Some(text) = words.exercise(&motion.id, side) {
                out.push_str(&text.all().collect::<Vec<_>>().join("\n"));
            }
            for key in &motion.core.keys {
                out.push_str(&format!("\n{}", words.verb(&key.verb, side).unwrap_or_default()));
            }
        }
    }
    out
}

impl Shelf {
    /// Words of a language.
    pub fn words(&self, lang: Lang) -> &Words {
        &self.words[&lang]
    }

    /// Signatures under a text, oldest first.
    pub fn signatures(&self, kind: Kind, id: &str) -> &[Signature] {
        self.signatures.get(&(kind, id.to_string())).map_or(&[], Vec::as_slice)
    }

    /// The newest signature that counts.
    pub fn signed(&self, kind: Kind, id: &str) -> Option<&SignOff> {
        self.signatures(kind, id).iter().rev().find(|it| it.counts).map(|it| &it.signed)
    }

    /// Hash of what is signed, as the form carries it.
    pub fn hash(&self, kind: Kind, id: &str) -> String {
        let hash = self.hashes.get(&(kind, id.to_string())).copied().unwrap_or_default();
        hash.iter().map(|it| format!("{it:02x}")).collect()
    }

    /// Version as the text names it.
    pub fn version(&self, kind: Kind, id: &str) -> Option<String> {
        match kind {
            Kind::Exercise => self.library.exercises.get(id).map(|it| it.version.to_string()),
            Kind::Protocol => self.library.protocols.get(id).map(|it| it.version.clone()),
        }
    }

    /// Number of the version in the database; 0 when it is not the database's.
    pub fn stored(&self, kind: Kind, id: &str) -> u64 {
        self.layers.of(kind).get(id).map_or(0, |it| stored(&it.origin))
    }

    /// The same for words.
    pub fn stored_words(&self, lang: Lang, exercise: &str) -> u64 {
        self.layers.words_of(lang, exercise).map_or(0, |it| stored(&it.1))
    }

    /// A protocol.
    pub fn protocol(&self, id: &str) -> Option<&Protocol> {
        self.library.protocols.get(id)
    }
}

fn stored(origin: &Origin) -> u64 {
    match origin {
        Origin::Database { version, .. } => *version,
        _ => 0,
    }
}
