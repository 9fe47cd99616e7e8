//! The log that a page leaves: one line of compact JSON, as text or in a QR code.
//!
//! | field | meaning |
//! |---|---|
//! | `hr` | format, always 1 |
//! | `s` `v` `d` | session id, program version and day on which the session was checked |
//! | `t` | local start of the session; `s` with `t` names one run, so a code read twice is known as the same |
//! | `a` | active seconds, pauses left out |
//! | `p` | pain 0 to 10 before, worst during, and after; `null` when not asked yet |
//! | `e` | exercises: `i` id, `n` repetitions done in each set, `p` pain told during it, `w` what stopped it, `x` repetitions done again after "Back" |
//! | `q` | true when ended with the stop button |
//! | `f` | ids of the warning groups answered with yes |

use jiff::civil::{Date, DateTime};
use serde::{Deserialize, Serialize};

use crate::StopReason;
use crate::check::is_id;

/// Longest text read at once: the capacity of the largest QR code.
const MOST_BYTES: usize = 2953;
const MOST_EXERCISES: usize = 32;
const MOST_SETS: usize = 10;
const MOST_REPS: u8 = 100;
const MOST_AGAIN: u16 = 2000;
const MOST_SECONDS: u32 = 6 * 3600;
const MOST_FLAGS: usize = 16;

/// What was done in one run of a session.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SessionLog {
    /// Session id.
    pub session_id: String,
    /// Version of the program on the page.
    pub version: u32,
    /// Date of the program on the page.
    pub date: Date,
    /// Start of the run, by the device's clock. With the session id it names the run.
    pub started: DateTime,
    /// Seconds spent, pauses left out.
    pub active_seconds: u32,
    /// Pain before the session, 0 to 10.
    pub pain_before: Option<u8>,
    /// Worst pain during the session.
    pub pain_during: Option<u8>,
    /// Pain after the session.
    pub pain_after: Option<u8>,
    /// The exercises in the order of the session; empty when a warning sign kept it from starting.
    pub exercises: Vec<ExerciseLog>,
    /// Whether the patient ended it with the stop button.
    pub stopped: bool,
    /// Warning groups answered with yes.
    pub warnings: Vec<String>,
}

/// What was done of one exercise.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ExerciseLog {
    /// Exercise id.
    pub id: String,
    /// Repetitions done in each set.
    pub reps_per_set: Vec<u8>,
    /// Highest pain told during it.
    pub pain: Option<u8>,
    /// What stopped it.
    pub reason: Option<StopReason>,
    /// Repetitions done again after going back; they are not part of `reps_per_set`.
    pub repeated: u16,
}

/// Why a log was not read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LogError {
    /// The text is longer than any code holds.
    #[error("the log has {0} bytes, more than the {MOST_BYTES} that one code holds")]
    TooLong(usize),
    /// There is nothing to read.
    #[error("the log is empty")]
    Empty,
    /// Not the JSON of a log.
    #[error("this is not a session log: {0}")]
    Syntax(String),
    /// Another format number.
    #[error("log format {0} is not known; this version reads format 1")]
    Format(u32),
    /// A field with a value that no page writes.
    #[error("log field `{field}`: expected {expected}")]
    Value {
        /// The field as it is written in the log.
        field: &'static str,
        /// What it may be.
        expected: &'static str,
    },
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawLog {
    hr: u32,
    s: String,
    v: u32,
    d: String,
    t: String,
    a: u32,
    p: [Option<u8>; 3],
    e: Vec<RawExercise>,
    #[serde(default)]
    q: bool,
    #[serde(default)]
    f: Vec<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawExercise {
    i: String,
    n: Vec<u8>,
    #[serde(default)]
    p: Option<u8>,
    #[serde(default)]
    w: Option<StopReason>,
    #[serde(default)]
    x: u16,
}

fn require(holds: bool, field: &'static str, expected: &'static str) -> Result<(), LogError> {
    if holds { Ok(()) } else { Err(LogError::Value { field, expected }) }
}

fn pain_in_range(pain: Option<u8>) -> bool {
    pain.is_none_or(|n| n <= 10)
}

/// A date or time only in the very form that the page writes.
fn exact<T: std::str::FromStr + std::fmt::Display>(
    text: &str,
    field: &'static str,
    expected: &'static str,
) -> Result<T, LogError> {
    match text.parse::<T>() {
        Ok(value) if value.to_string() == text => Ok(value),
        _ => Err(LogError::Value { field, expected }),
    }
}

fn exercise(raw: RawExercise) -> Result<ExerciseLog, LogError> {
    require(is_id(&raw.i, 40), "e.i", "1 to 40 letters, digits, dots, dashes")?;
    require((1..=MOST_SETS).contains(&raw.n.len()), "e.n", "1 to 10 sets")?;
    require(raw.n.iter().all(|n| *n <= MOST_REPS), "e.n", "at most 100 repetitions in a set")?;
    require(pain_in_range(raw.p), "e.p", "0 to 10")?;
    require(raw.x <= MOST_AGAIN, "e.x", "at most 2000 repetitions done again")?;
    Ok(ExerciseLog { id: raw.i, reps_per_set: raw.n, pain: raw.p, reason: raw.w, repeated: raw.x })
}

/// Reads one log. Nothing is guessed: unknown fields, values out of range and ids given twice are refused.
///
/// # Errors
/// [`LogError`] names the first field that is not as a page writes it.
pub fn parse_log(text: &str) -> Result<SessionLog, LogError> {
    if text.len() > MOST_BYTES {
        return Err(LogError::TooLong(text.len()));
    }
    let text = text.trim();
    if text.is_empty() {
        return Err(LogError::Empty);
    }
    let raw: RawLog = serde_json::from_str(text).map_err(|error| LogError::Syntax(error.to_string()))?;
    if raw.hr != 1 {
        return Err(LogError::Format(raw.hr));
    }
    require(is_id(&raw.s, 64), "s", "1 to 64 letters, digits, dots, dashes")?;
    let date = exact(&raw.d, "d", "a date such as 2026-05-14")?;
    let started: DateTime = exact(&raw.t, "t", "a date and time such as 2026-05-14T08:31:00")?;
    require(started.date() >= date, "t", "a start on or after the date of the program")?;
    require(raw.a <= MOST_SECONDS, "a", "at most 6 hours")?;
    require(raw.p.iter().all(|n| pain_in_range(*n)), "p", "three numbers from 0 to 10, or null")?;
    require(raw.e.len() <= MOST_EXERCISES, "e", "at most 32 exercises")?;
    require(raw.f.len() <= MOST_FLAGS, "f", "at most 16 warning groups")?;
    require(raw.f.iter().all(|id| is_id(id, 40)), "f", "ids of warning groups")?;
    let exercises = raw.e.into_iter().map(exercise).collect::<Result<Vec<_>, _>>()?;
    for (k, entry) in exercises.iter().enumerate() {
        require(exercises[..k].iter().all(|other| other.id != entry.id), "e.i", "each exercise once")?;
    }
    let [pain_before, pain_during, pain_after] = raw.p;
    Ok(SessionLog {
        session_id: raw.s,
        version: raw.v,
        date,
        started,
        active_seconds: raw.a,
        pain_before,
        pain_during,
        pain_after,
        exercises,
        stopped: raw.q,
        warnings: raw.f,
    })
}

/// Reads a code that holds several logs, one in each line. One bad line refuses all.
///
/// # Errors
/// As [`parse_log`].
pub fn parse_logs(text: &str) -> Result<Vec<SessionLog>, LogError> {
    if text.len() > MOST_BYTES {
        return Err(LogError::TooLong(text.len()));
    }
    if text.trim().is_empty() {
        return Err(LogError::Empty);
    }
    text.trim().lines().map(parse_log).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = r#"{"hr":1,"s":"demo-7","v":3,"d":"2026-05-14","t":"2026-05-15T08:31:02","a":640,"p":[2,4,null],"e":[{"i":"heel-slide","n":[10,10]},{"i":"knee-straighten","n":[10,7],"p":4,"w":"pain","x":3}],"q":true}"#;

    #[test]
    fn a_log_is_read_field_by_field() {
        let log = parse_log(GOOD).unwrap();
        assert_eq!(log.session_id, "demo-7");
        assert_eq!(log.version, 3);
        assert_eq!(log.started, jiff::civil::date(2026, 5, 15).at(8, 31, 2, 0));
        assert_eq!((log.pain_before, log.pain_during, log.pain_after), (Some(2), Some(4), None));
        assert_eq!(log.exercises[0].reps_per_set, [10, 10]);
        assert_eq!(log.exercises[0].reason, None);
        assert_eq!(log.exercises[1].reason, Some(StopReason::Pain));
        assert_eq!(log.exercises[1].repeated, 3);
        assert!(log.stopped);
    }

    #[test]
    fn each_wrong_value_is_refused_at_its_field() {
        let cases = [
            ("\"hr\":1", "\"hr\":2", "log format 2"),
            ("\"s\":\"demo-7\"", "\"s\":\"demo 7\"", "`s`"),
            ("\"s\":\"demo-7\"", "\"s\":\"\"", "`s`"),
            ("2026-05-14", "2026-02-30", "`d`"),
            ("2026-05-14", "2026-5-14", "`d`"),
            ("2026-05-15T08:31:02", "2026-05-13T08:31:02", "`t`"),
            ("2026-05-15T08:31:02", "2026-05-15", "`t`"),
            ("\"a\":640", "\"a\":999999", "`a`"),
            ("[2,4,null]", "[2,11,null]", "`p`"),
            ("[2,4,null]", "[2,4]", "not a session log"),
            ("[10,7]", "[10,101]", "`e.n`"),
            ("[10,7]", "[10,-1]", "not a session log"),
            ("[10,7]", "[]", "`e.n`"),
            ("\"w\":\"pain\"", "\"w\":\"bored\"", "not a session log"),
            ("\"p\":4", "\"p\":40", "`e.p`"),
            ("\"x\":3", "\"x\":3000", "`e.x`"),
            ("\"i\":\"knee-straighten\"", "\"i\":\"heel-slide\"", "`e.i`"),
            ("\"q\":true", "\"q\":true,\"note\":\"hi\"", "not a session log"),
            ("\"q\":true", "\"q\":true,\"q\":true", "not a session log"),
            ("\"q\":true}", "\"q\":true} {}", "not a session log"),
            ("\"q\":true", "\"f\":[\"<b>\"]", "`f`"),
        ];
        for (from, to, said) in cases {
            let text = GOOD.replacen(from, to, 1);
            assert_ne!(text, GOOD, "the case {from} changes nothing");
            let error = parse_log(&text).unwrap_err().to_string();
            assert!(error.contains(said), "{to}: {error}");
        }
    }

    #[test]
    fn long_and_empty_texts_are_refused() {
        assert_eq!(parse_log(&" ".repeat(3000)), Err(LogError::TooLong(3000)));
        assert_eq!(parse_log("  \n"), Err(LogError::Empty));
        assert!(matches!(parse_log("https://example.org"), Err(LogError::Syntax(_))));
    }

    #[test]
    fn every_cut_of_a_log_is_refused() {
        for end in 0..GOOD.len() {
            assert!(parse_log(&GOOD[..end]).is_err(), "{}", &GOOD[..end]);
        }
    }

    #[test]
    fn several_logs_are_read_line_by_line_and_one_bad_line_refuses_all() {
        let later = GOOD.replace("T08:31", "T19:02");
        assert_eq!(parse_logs(&format!("{GOOD}\n{later}\n")).unwrap().len(), 2);
        assert!(parse_logs(&format!("{GOOD}\n{{}}\n{later}")).is_err());
    }
}
