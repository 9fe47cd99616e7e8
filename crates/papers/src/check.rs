//! What must hold before a sheet is set. A blank, a missing alternative text or a missing character would only show on
//! paper, in front of the patient; so they are errors here, with the place named.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::handout::{ChartDay, Handout, Step};
use crate::world;

/// Why there is no paper. `place` is the path of the field in the data: `steps[3].dose[0]`.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PaperError {
    /// A text, or a list that must not be empty, says nothing.
    #[error("{place}: this must say something, but it is empty")]
    MissingText {
        /// Field.
        place: String,
    },
    /// A picture without alternative text.
    #[error("{place}: the picture has no alternative text; say in one sentence what it shows")]
    MissingAlt {
        /// Field of the picture.
        place: String,
    },
    /// A picture that cannot be read.
    #[error("{place}: the picture is not an SVG that can be set: {message}")]
    Picture {
        /// Field of the picture.
        place: String,
        /// What is wrong in it.
        message: String,
    },
    /// A character that no font of the room has.
    #[error("{place}: no font here has the characters {characters:?}; use other characters or add a font")]
    MissingGlyph {
        /// Field.
        place: String,
        /// The characters, each once.
        characters: String,
    },
    /// A language tag that is not one.
    #[error("lang: {lang:?} is not a language tag; expected for example \"en\" or \"es-MX\"")]
    Language {
        /// The tag as given.
        lang: String,
    },
    /// Neither signed nor marked as a draft.
    #[error("head: the sheet is neither signed nor marked as a draft; give `signed`, `draft` or both")]
    NobodyAnswers,
    /// The page label lacks a place for a number.
    #[error("labels.page: {label:?} must hold {{page}} and {{pages}}")]
    PageLabel {
        /// The label as given.
        label: String,
    },
    /// The week chart does not add up.
    #[error("{place}: expected {expected} entries, found {found}")]
    ChartShape {
        /// Field.
        place: String,
        /// How many there must be.
        expected: String,
        /// How many there are.
        found: usize,
    },
    /// An exercise is longer than one page, even with the smallest pictures.
    #[error("the exercise {title:?} does not fit on one page; shorten its steps or use normal print")]
    TooLong {
        /// Title of the exercise.
        title: String,
    },
    /// The typesetter refused; the messages are its own.
    #[error("the sheet could not be set: {}", messages.join("; "))]
    Typeset {
        /// Messages with hints.
        messages: Vec<String>,
    },
}

/// Checks what the types leave open.
pub(crate) fn handout(handout: &Handout) -> Result<(), PaperError> {
    language(&handout.lang)?;
    if handout.head.signed.is_none() && handout.head.draft.is_none() {
        return Err(PaperError::NobodyAnswers);
    }
    let label = &handout.labels.page;
    if !(label.contains("{page}") && label.contains("{pages}")) {
        return Err(PaperError::PageLabel { label: label.clone() });
    }
    lists(handout)?;
    for (place, picture) in handout.clone().pictures_mut() {
        if picture.alt.trim().is_empty() {
            return Err(PaperError::MissingAlt { place });
        }
    }
    chart(handout)
}

/// A primary subtag of two or three letters, then subtags of letters and digits.
fn language(lang: &str) -> Result<(), PaperError> {
    let mut parts = lang.split('-');
    let primary = parts.next().unwrap_or_default();
    let primary_ok = matches!(primary.len(), 2 | 3) && primary.chars().all(|c| c.is_ascii_lowercase());
    let rest_ok = parts.all(|p| (2..=8).contains(&p.len()) && p.chars().all(|c| c.is_ascii_alphanumeric()));
    if primary_ok && rest_ok { Ok(()) } else { Err(PaperError::Language { lang: lang.to_owned() }) }
}

/// Lists that must not be empty, because an empty one would read as "there is nothing to know".
fn lists(handout: &Handout) -> Result<(), PaperError> {
    let Handout { head, overview, warnings, steps, week, therapist, .. } = handout;
    let mut must = vec![
        ("head.foot".to_owned(), head.foot.len()),
        ("overview.stop".to_owned(), overview.stop.len()),
        ("overview.limits".to_owned(), overview.limits.len()),
        ("warnings.emergency.phones".to_owned(), warnings.emergency.phones.len()),
        ("warnings.emergency.signs".to_owned(), warnings.emergency.signs.len()),
        ("warnings.same_day.phones".to_owned(), warnings.same_day.phones.len()),
        ("warnings.same_day.signs".to_owned(), warnings.same_day.signs.len()),
        ("warnings.next_visit.signs".to_owned(), warnings.next_visit.signs.len()),
        ("week.rows".to_owned(), week.rows.len()),
        ("therapist.angles".to_owned(), therapist.angles.len()),
        ("therapist.limits".to_owned(), therapist.limits.len()),
        ("therapist.loads.moments".to_owned(), therapist.loads.moments.len()),
        ("therapist.loads.notes".to_owned(), therapist.loads.notes.len()),
        ("therapist.basis".to_owned(), therapist.basis.len()),
        ("therapist.sources".to_owned(), therapist.sources.len()),
        ("therapist.not_checked".to_owned(), therapist.not_checked.len()),
        ("steps".to_owned(), steps.iter().filter(|s| matches!(s, Step::Exercise(_))).count()),
    ];
    for (n, step) in steps.iter().enumerate() {
        if let Step::Exercise(exercise) = step {
            must.push((format!("steps[{n}].steps"), exercise.steps.len()));
            must.push((format!("steps[{n}].dose"), exercise.dose.len()));
            must.push((format!("steps[{n}].limit"), exercise.limit.len()));
            must.push((format!("steps[{n}].do_not"), exercise.do_not.len()));
        }
    }
    for (n, row) in therapist.loads.moments.iter().enumerate() {
        must.push((format!("therapist.loads.moments[{n}].moments"), row.moments.len()));
    }
    for (n, table) in therapist.loads.tissues.iter().enumerate() {
        must.push((format!("therapist.loads.tissues[{n}].ceilings"), table.ceilings.len()));
        must.push((format!("therapist.loads.tissues[{n}].rows"), table.rows.len()));
        must.push((format!("therapist.loads.tissues[{n}].week"), table.week.len()));
    }
    match must.into_iter().find(|(_, len)| *len == 0) {
        Some((place, _)) => Err(PaperError::MissingText { place }),
        None => Ok(()),
    }
}

/// Every row has every day, every day every time.
fn chart(handout: &Handout) -> Result<(), PaperError> {
    let week = &handout.week;
    let shape =
        |place: String, expected: String, found: usize| PaperError::ChartShape { place, expected, found };
    if !(1..=7).contains(&week.days.len()) {
        return Err(shape("week.days".to_owned(), "1 to 7".to_owned(), week.days.len()));
    }
    if !(1..=4).contains(&week.times.len()) {
        return Err(shape("week.times".to_owned(), "1 to 4".to_owned(), week.times.len()));
    }
    for (r, row) in week.rows.iter().enumerate() {
        if row.days.len() != week.days.len() {
            return Err(shape(format!("week.rows[{r}].days"), week.days.len().to_string(), row.days.len()));
        }
        for (d, day) in row.days.iter().enumerate() {
            if let ChartDay::Do(times) = day
                && times.len() != week.times.len()
            {
                let place = format!("week.rows[{r}].days[{d}]");
                return Err(shape(place, week.times.len().to_string(), times.len()));
            }
        }
    }
    Ok(())
}

/// Walks all texts of the data: none is blank, and each character has a glyph.
pub(crate) fn texts(data: &Value) -> Result<(), PaperError> {
    walk(data, "")
}

fn walk(value: &Value, place: &str) -> Result<(), PaperError> {
    match value {
        Value::String(text) => text_at(text, place),
        Value::Array(items) => {
            items.iter().enumerate().try_for_each(|(n, item)| walk(item, &format!("{place}[{n}]")))
        }
        Value::Object(fields) => fields.iter().try_for_each(|(name, field)| {
            let dot = if place.is_empty() { "" } else { "." };
            walk(field, &format!("{place}{dot}{name}"))
        }),
        Value::Null | Value::Bool(_) | Value::Number(_) => Ok(()),
    }
}

fn text_at(text: &str, place: &str) -> Result<(), PaperError> {
    if text.trim().is_empty() {
        return Err(PaperError::MissingText { place: place.to_owned() });
    }
    let missing: BTreeSet<char> = text.chars().filter(|c| !world::has_glyph(*c)).collect();
    if missing.is_empty() {
        return Ok(());
    }
    Err(PaperError::MissingGlyph { place: place.to_owned(), characters: missing.into_iter().collect() })
}
