//! Files and the clock.

use std::path::Path;

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Person, SegmentTable};
use handrail_episode::{Content, Episode, Plan, plan, read_episode};
use handrail_library::Library;
use handrail_spans::SourceText;
use handrail_words::{Lang, Words};
use jiff::civil::Date;

use crate::args::BodyArgs;
use crate::room::Stop;

/// The built-in library.
pub fn library() -> Result<Library, Stop> {
    Ok(Library::built_in()?)
}

/// A text file with its name.
pub fn read(path: &Path) -> Result<SourceText, Stop> {
    let text = std::fs::read_to_string(path).map_err(|error| {
        Stop::new(format!("{}: {error}", path.display()), "check the path; the file must be UTF-8 text")
    })?;
    Ok(SourceText::new(path.display().to_string(), text))
}

/// An episode, checked against the library.
pub fn episode(path: &Path, library: &Library) -> Result<Episode, Stop> {
    let languages: Vec<&str> = Lang::ALL.iter().map(|it| it.id()).collect();
    let content =
        Content { protocols: &library.protocols, exercises: &library.exercises, languages: &languages };
    Ok(read_episode(&read(path)?, content)?)
}

/// Today by the clock of this machine.
pub fn today() -> Date {
    jiff::ZonedDateTime::now().date()
}

/// The plan of an episode on a day.
pub fn plan_of<'a>(episode: &'a Episode, library: &'a Library, on: Option<Date>) -> Result<Plan<'a>, Stop> {
    let protocol = &library.protocols[&episode.operation.protocol];
    plan(episode, protocol, &library.exercises, on.unwrap_or_else(today)).map_err(|error| {
        Stop::new(
            format!("{}: {error}", episode.id),
            "give a day on or after the surgery with --on, or mend the file",
        )
    })
}

/// Words in a language; the patient's when none is given.
pub fn words(lang: Option<&str>, episode: Option<&Episode>) -> Result<Words, Stop> {
    let tag = lang.or(episode.map(|it| it.patient.language.as_str())).unwrap_or("en");
    let lang: Lang = tag.parse().map_err(|_| {
        let known: Vec<&str> = Lang::ALL.iter().map(|it| it.id()).collect();
        Stop::new(format!("there are no words in `{tag}`"), format!("use one of: {}", known.join(", ")))
    })?;
    Ok(Words::load(lang)?)
}

/// A body from the command line.
pub fn body(args: &BodyArgs) -> Result<Body, Stop> {
    let person = Person {
        stature: args.stature,
        mass: args.mass,
        sex: args.sex.into(),
        measured: MeasuredLengths::default(),
    };
    Body::new(person, SegmentTable::Winter)
        .map_err(|error| Stop::new(format!("body: {error}"), "give stature in metres and mass in kilograms"))
}
