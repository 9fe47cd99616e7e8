//! The clinical library as one checked value: postures, exercises and protocols of the content folder.
//!
//! The built-in content is embedded; a clinic's own files can be laid over it by the callers that know
//! files. Never: files, clock.
#![forbid(unsafe_code)]

use std::collections::BTreeMap;
use std::sync::Arc;

use handrail_motion::{Motion, MotionSpec, Posture, Published, compile, read_posture};
use handrail_protocol::{Goal, Protocol, read_protocol};
use handrail_spans::{Problems, SourceText};
use include_dir::{Dir, include_dir};

static CONTENT: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/../../content");

/// Everything that clinicians wrote.
#[derive(Clone, Debug)]
pub struct Library {
    /// Postures by id.
    pub postures: BTreeMap<String, Posture>,
    /// Exercises by id.
    pub exercises: BTreeMap<String, Arc<Motion>>,
    /// Protocols by id.
    pub protocols: BTreeMap<String, Protocol>,
}

/// The texts a library is made of.
#[derive(Clone, Debug, Default)]
pub struct Texts {
    /// Posture files.
    pub postures: Vec<SourceText>,
    /// Exercise files.
    pub exercises: Vec<SourceText>,
    /// Protocol files.
    pub protocols: Vec<SourceText>,
}

impl Texts {
    /// The built-in content.
    pub fn built_in() -> Texts {
        let read = |folder: &str| {
            let mut texts: Vec<SourceText> = CONTENT
                .get_dir(folder)
                .into_iter()
                .flat_map(|dir| dir.files())
                .filter(|file| file.path().extension().is_some_and(|it| it == "toml"))
                .filter_map(|file| {
                    let text = file.contents_utf8()?;
                    Some(SourceText::new(format!("content/{}", file.path().display()), text))
                })
                .collect();
            texts.sort_by(|a, b| a.name.cmp(&b.name));
            texts
        };
        Texts { postures: read("postures"), exercises: read("exercises"), protocols: read("protocols") }
    }

    /// Reads and checks all of it.
    ///
    /// # Errors
    /// All problems of all files in one run.
    pub fn check(&self) -> Result<Library, Problems> {
        let mut problems = Problems::default();
        let mut library =
            Library { postures: BTreeMap::new(), exercises: BTreeMap::new(), protocols: BTreeMap::new() };
        for text in &self.postures {
            match read_posture(text) {
                Ok(posture) => {
                    library.postures.insert(posture.id.clone(), posture);
                }
                Err(found) => problems.0.extend(found.0),
            }
        }
        for text in &self.exercises {
            let motion = text.parse::<MotionSpec>().and_then(|spec| compile(text, &spec, &library.postures));
            match motion {
                Ok(motion) => {
                    check_name(text, &motion.id, &mut problems);
                    library.exercises.insert(motion.id.clone(), Arc::new(motion));
                }
                Err(found) => problems.0.extend(found.0),
            }
        }
        for text in &self.protocols {
            match read_protocol(text) {
                Ok(protocol) => {
                    check_name(text, &protocol.id, &mut problems);
                    library.protocols.insert(protocol.id.clone(), protocol);
                }
                Err(found) => problems.0.extend(found.0),
            }
        }
        problems.or(library)
    }
}

/// A file's id must be its name, so that a reader finds it.
fn check_name(text: &SourceText, id: &str, problems: &mut Problems) {
    let stem = text.name.rsplit('/').next().and_then(|it| it.strip_suffix(".toml")).unwrap_or(&text.name);
    if stem != id {
        let at = text.text.find(id).unwrap_or(0);
        problems.0.push(text.problem(
            at..at + id.len(),
            "id",
            format!("`{id}` does not equal the file name `{stem}`"),
            "rename the file or correct the id",
        ));
    }
}

impl Library {
    /// Names in one file that lead to no other: exercises of a published order or a phase, goal tags.
    pub fn dangling(&self, texts: &Texts) -> Problems {
        let mut problems = Problems::default();
        let mut miss = |texts: &[SourceText], id: &str, name: &str, field: &str, mend: &str| {
            let file = format!("/{id}.toml");
            let Some(text) = texts.iter().find(|it| it.name.ends_with(&file)) else { return };
            let at = text.text.find(&format!("\"{name}\"")).unwrap_or(0);
            let message = format!("`{name}` names nothing in the content");
            problems.0.push(text.problem(at..at + name.len() + 2, field, message, mend));
        };
        for motion in self.exercises.values() {
            for row in &motion.measured {
                let Published::Order { above, below } = &row.load else { continue };
                for name in above.iter().chain(below).filter(|it| !self.exercises.contains_key(*it)) {
                    miss(&texts.exercises, &motion.id, name, "measured", "write the id of an exercise");
                }
            }
            for goal in &motion.trains {
                if !Goal::ALL.iter().any(|it| it.id() == goal) {
                    miss(&texts.exercises, &motion.id, goal, "trains", "write a goal tag that phases use");
                }
            }
        }
        for protocol in self.protocols.values() {
            for name in protocol.phases.iter().flat_map(|it| &it.exercises) {
                if !self.exercises.contains_key(name) {
                    miss(&texts.protocols, &protocol.id, name, "exercises", "write the id of an exercise");
                }
            }
        }
        problems
    }

    /// The built-in library.
    ///
    /// # Errors
    /// All problems of the embedded files (none in a released build: a test holds that).
    pub fn built_in() -> Result<Library, Problems> {
        Texts::built_in().check()
    }
}
