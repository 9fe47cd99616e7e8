//! Names of what content files and tables call by ids.

use handrail_anatomy::Joint;
use handrail_measures::{Kind, Quantity, quantity};
use handrail_words::{Words, capital};

/// Key of a text: a prefix, and an id with hyphens.
fn key(prefix: &str, id: &str) -> String {
    format!("{prefix}-{}", id.replace('_', "-"))
}

/// Text of an id, or the id with spaces (a clinic's own content).
pub fn term(words: &Words, prefix: &str, id: &str) -> String {
    words.try_text(&key(prefix, id), &[]).unwrap_or_else(|| id.replace(['_', '-'], " "))
}

/// The question of a variant.
pub fn question(words: &Words, variant: &str, fallback: &str) -> String {
    words.try_text(&key("c-question", variant), &[]).unwrap_or_else(|| fallback.into())
}

/// An answer to a variant.
pub fn choice(words: &Words, answer: &str) -> String {
    term(words, "c-choice", answer)
}

/// A joint of the table of measurements.
pub fn joint(id: &str) -> Option<Joint> {
    Joint::ALL.into_iter().find(|it| it.id() == id)
}

/// Name of a measurement: its own words, or joint, direction and way of moving.
pub fn measure(words: &Words, id: &str) -> String {
    let own = words.try_text(&key("c-record-q", id), &[]);
    if let Some(own) = own {
        return capital(&own);
    }
    let angle = quantity(id).and_then(|it| match it.kind {
        Kind::Angle { joint: of, motion, drive } => Some((joint(of)?, motion, drive)),
        _ => None,
    });
    let Some((joint, motion, drive)) = angle else { return capital(&id.replace('_', " ")) };
    let motion = words.motion_name(joint, motion);
    if drive.is_empty() {
        capital(&motion)
    } else {
        capital(&format!("{motion}, {}", term(words, "c-drive", drive)))
    }
}

/// A unit in words: `deg` is the only one that is not written as it is.
pub fn unit(words: &Words, unit: &str) -> String {
    match unit {
        "deg" => "°".into(),
        "grade" | "reps" => words.text(&key("c-record-unit", unit), &[]),
        other => other.into(),
    }
}

/// A measured value with its unit; what is judged by a clinician is yes or no, a share a whole per cent.
pub fn measured(words: &Words, what: &str, value: f64, of: &str) -> String {
    match quantity(what).map(|it| &it.kind) {
        Some(Kind::Judged) => words.text(if value > 0.5 { "c-choice-yes" } else { "c-choice-no" }, &[]),
        _ if of == "%" => format!("{} %", words.number(value, 0)),
        _ => self::value(words, value, of),
    }
}

/// A value with its unit.
pub fn value(words: &Words, value: f64, of: &str) -> String {
    let number = words.number(value, 2);
    match of {
        "" => number,
        "deg" => format!("{number}°"),
        other => format!("{number} {}", unit(words, other)),
    }
}

/// Name of a group of measurements in a list: the joint, or the kind.
pub fn group(words: &Words, it: &Quantity) -> String {
    match it.kind {
        Kind::Angle { joint: of, .. } => {
            joint(of).map_or_else(String::new, |it| capital(&words.joint_name(it)))
        }
        Kind::Judged => words.text("c-record-group-judged", &[]),
        Kind::Score => words.text("c-record-group-scores", &[]),
        Kind::Percent => words.text("c-record-group-sides", &[]),
        Kind::Count | Kind::Time | Kind::Amount | Kind::Grade => words.text("c-record-group-tests", &[]),
    }
}
