//! The form as it was typed. Texts stay as they were written, so that a mistake loses nothing; [`Form::program`]
//! makes a program of them and lists every mistake with its field.

use std::collections::BTreeMap;

use crate::fields::Fields;
use handrail_anatomy::Side;
use handrail_episode::{Prescription, Program};
use handrail_library::Library;
use handrail_motion::Parameters;
use handrail_motion::compile::Parameter;
use handrail_words::Words;
use jiff::civil::Date;

/// Most rows of a form; a session of more cannot be ordered.
pub const MOST_ROWS: usize = 20;
/// Most letters kept of a free text.
const MOST_TEXT: usize = 2_000;
/// Largest count taken from a field: far above every ceiling, and small enough to add up.
const MOST_COUNT: u32 = 500;
/// Longest set or rest, s.
const MOST_SECONDS: f64 = 1_800.0;
/// Minutes of a session where nobody asked for another number (common practice, no source).
const USUAL_MINUTES: &str = "15";

/// One chosen exercise as typed. Blank leaves a dose to the phase and a parameter to the exercise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Row {
    /// Number of the row in the names of its fields.
    pub n: usize,
    /// Exercise.
    pub exercise: String,
    /// Working side; `None` where the form names none: it is refused, never guessed.
    pub side: Option<Side>,
    /// Sets.
    pub sets: String,
    /// Repetitions.
    pub reps: String,
    /// Seconds of continuous work in a set.
    pub seconds: String,
    /// Rest between sets, s.
    pub rest: String,
    /// Parameters in the unit shown.
    pub parameters: BTreeMap<String, String>,
    /// Reason of an override.
    pub waive: String,
    /// Must stay in a proposal.
    pub keep: bool,
    /// Why a proposal took it, in words.
    pub why: String,
}

impl Row {
    /// A row with nothing set.
    pub fn new(n: usize, exercise: &str, side: Option<Side>) -> Row {
        let blank = String::new;
        Row {
            n,
            exercise: exercise.into(),
            side,
            sets: blank(),
            reps: blank(),
            seconds: blank(),
            rest: blank(),
            parameters: BTreeMap::new(),
            waive: blank(),
            keep: false,
            why: blank(),
        }
    }

    /// Name of one of its fields.
    pub fn name(&self, field: &str) -> String {
        format!("r{}.{field}", self.n)
    }
}

/// The whole form.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Form {
    /// Newest entry about program or limits that it is based on.
    pub seen: u64,
    /// Sessions a day.
    pub times: String,
    /// Days a week.
    pub days: String,
    /// Last valid day.
    pub until: String,
    /// Whether the person signs.
    pub sign: bool,
    /// Minutes of a proposal.
    pub minutes: String,
    /// Most exercises of a proposal.
    pub most: String,
    /// Exercises that a proposal leaves out.
    pub without: Vec<String>,
    /// The own form put aside for that of another person, as a draft.
    pub kept: String,
    /// Exercises in the order prescribed.
    pub rows: Vec<Row>,
}

/// A field that cannot be taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Mistake {
    /// Name of the field.
    pub field: String,
    /// What is wrong.
    pub what: Wrong,
}

/// What is wrong with a field.
#[derive(Clone, Debug, PartialEq)]
pub enum Wrong {
    /// Not a whole number from 1 to this.
    Count(u32),
    /// Not a number in this range; unit as shown.
    Range(f64, f64, String),
    /// Repetitions and seconds at once.
    Both,
    /// Not a date.
    NotADate,
    /// Later than a program may be valid, or before today.
    Until(Date, Date),
    /// The library has no such exercise.
    NoExercise(String),
    /// No side is named.
    NoSide,
    /// More rows than a session can hold.
    TooManyRows,
}

/// What a button of the form does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Do {
    /// Look again.
    Check,
    /// Take an exercise in.
    Add(String),
    /// Take a row out.
    Remove(usize),
    /// Take a row out, also of proposals.
    Without(usize),
    /// Forget what was typed and begin from the newest version.
    Discard,
    /// Begin from the newest version and put the own form aside.
    Theirs,
    /// Go on with the own form on top of the newest version.
    Mine,
    /// Back to the form that was put aside.
    Back,
}

impl Do {
    /// Reads the value of a button; what is not known looks again.
    pub fn read(text: &str) -> Do {
        let (what, of) = text.split_once(':').unwrap_or((text, ""));
        match (what, of.parse().ok()) {
            ("add", _) if !of.is_empty() => Do::Add(of.into()),
            ("remove", Some(n)) => Do::Remove(n),
            ("without", Some(n)) => Do::Without(n),
            ("discard", _) => Do::Discard,
            ("theirs", _) => Do::Theirs,
            ("mine", _) => Do::Mine,
            ("back", _) => Do::Back,
            _ => Do::Check,
        }
    }
}

/// Factor from the unit of a parameter to the one shown, and the unit shown: metres are typed as centimetres.
pub fn shown(parameter: &Parameter) -> (f64, &str) {
    match parameter.unit.as_str() {
        "m" => (100.0, "cm"),
        other => (1.0, other),
    }
}

impl Form {
    /// The form of a program version. It is not signed: the tick says that a person has checked what is new.
    pub fn of_program(program: Option<&Program>, library: &Library, words: &Words, seen: u64) -> Form {
        let mut out = Form { seen, minutes: USUAL_MINUTES.into(), ..Form::default() };
        let Some(program) = program else { return out };
        let count = |it: Option<u32>| it.map_or_else(String::new, |it| it.to_string());
        let number = |it: Option<f64>| it.map_or_else(String::new, |it| words.number(it, 1));
        out.times = count(program.times_a_day);
        out.days = count(program.days_a_week);
        for (n, it) in program.exercises.iter().enumerate() {
            let motion = library.exercises.get(&it.exercise);
            let parameter = |(name, value): (&String, &f64)| {
                let known = motion.and_then(|it| it.parameters.iter().find(|it| it.name == *name));
                let factor = known.map_or(1.0, |it| shown(it).0);
                (name.clone(), words.number(value * factor, 3))
            };
            out.rows.push(Row {
                sets: count(it.sets),
                reps: count(it.reps),
                seconds: number(it.seconds),
                rest: number(it.rest),
                parameters: it.parameters.iter().map(parameter).collect(),
                ..Row::new(n, &it.exercise, Some(it.side))
            });
        }
        out
    }

    /// The form as it was sent.
    pub fn read(fields: &Fields) -> Form {
        let text =
            |name: &str| -> String { fields.opt(name).unwrap_or_default().chars().take(MOST_TEXT).collect() };
        let mut numbers: Vec<usize> = fields.0.keys().filter_map(|it| row_number(it)).collect();
        numbers.sort_unstable();
        numbers.dedup();
        let rows = numbers.into_iter().filter(|n| fields.opt(&format!("r{n}.id")).is_some());
        let row = |n: usize| {
            let prefix = format!("r{n}.p.");
            let parameters = fields.0.keys().filter_map(|it| it.strip_prefix(&prefix));
            Row {
                sets: text(&format!("r{n}.sets")),
                reps: text(&format!("r{n}.reps")),
                seconds: text(&format!("r{n}.seconds")),
                rest: text(&format!("r{n}.rest")),
                parameters: parameters.map(|it| (it.to_string(), text(&format!("{prefix}{it}")))).collect(),
                waive: text(&format!("r{n}.waive")),
                keep: fields.ticked(&format!("r{n}.keep")),
                why: text(&format!("r{n}.why")),
                ..Row::new(n, &text(&format!("r{n}.id")), side_of(&text(&format!("r{n}.side"))))
            }
        };
        Form {
            seen: fields.opt("seen").and_then(|it| it.parse().ok()).unwrap_or(0),
            times: text("times"),
            days: text("days"),
            until: text("until"),
            sign: fields.ticked("sign"),
            minutes: text("minutes"),
            most: text("most"),
            without: fields.all("without").iter().filter(|it| !it.is_empty()).take(200).cloned().collect(),
            kept: fields.opt("kept").unwrap_or_default().into(),
            rows: rows.map(row).collect(),
        }
    }

    /// Names and values as the browser sends them; a draft is the same as JSON.
    pub fn pairs(&self) -> Vec<(String, String)> {
        let mut out: Vec<(String, String)> = vec![
            ("seen".into(), self.seen.to_string()),
            ("times".into(), self.times.clone()),
            ("days".into(), self.days.clone()),
            ("until".into(), self.until.clone()),
            ("minutes".into(), self.minutes.clone()),
            ("most".into(), self.most.clone()),
            ("kept".into(), self.kept.clone()),
        ];
        out.extend(self.sign.then(|| ("sign".into(), "1".into())));
        out.extend(self.without.iter().map(|it| ("without".into(), it.clone())));
        for row in &self.rows {
            let mut put = |field: &str, value: &str| out.push((row.name(field), value.into()));
            put("id", &row.exercise);
            put("side", row.side.map_or("", Side::word));
            put("sets", &row.sets);
            put("reps", &row.reps);
            put("seconds", &row.seconds);
            put("rest", &row.rest);
            put("waive", &row.waive);
            put("why", &row.why);
            for (name, value) in &row.parameters {
                put(&format!("p.{name}"), value);
            }
            if row.keep {
                put("keep", "1");
            }
        }
        out
    }

    /// The same as the text of a draft.
    pub fn draft(&self) -> String {
        serde_json::to_string(&self.pairs()).unwrap_or_default()
    }

    /// Reads a draft; `None` when it is none.
    pub fn of_draft(text: &str) -> Option<Form> {
        let pairs: Vec<(String, String)> = serde_json::from_str(text).ok()?;
        let mut fields = Fields::default();
        for (name, value) in pairs {
            fields.0.entry(name).or_default().push(value);
        }
        fields.0.contains_key("seen").then(|| Form::read(&fields))
    }

    /// Does what a button says; `newest` is the form of the newest version.
    pub fn apply(self, what: &Do, newest: &Form, operated: Side) -> Form {
        let mut out = self;
        match what {
            Do::Check => {}
            Do::Add(exercise) => {
                let n = out.rows.iter().map(|it| it.n + 1).max().unwrap_or(0);
                if out.rows.len() < MOST_ROWS {
                    out.rows.push(Row::new(n, exercise, Some(operated)));
                }
                out.without.retain(|it| it != exercise);
            }
            Do::Remove(n) => out.rows.retain(|it| it.n != *n),
            Do::Without(n) => {
                let gone = out.rows.iter().find(|it| it.n == *n).map(|it| it.exercise.clone());
                out.rows.retain(|it| it.n != *n);
                out.without.extend(gone.filter(|it| !out.without.contains(it)));
            }
            Do::Discard => out = newest.clone(),
            Do::Theirs => {
                let kept = Form { kept: String::new(), ..out }.draft();
                out = Form { kept, ..newest.clone() };
            }
            // What was checked and signed before the change is not what is issued now.
            Do::Mine => out = Form { seen: newest.seen, sign: false, ..out },
            Do::Back => {
                let seen = out.seen;
                if let Some(kept) = Form::of_draft(&out.kept) {
                    out = Form { seen, sign: false, kept: String::new(), ..kept };
                }
            }
        }
        out
    }

    /// Rows that have a place in the program, in its order.
    pub fn placed<'a>(&'a self, library: &'a Library) -> impl Iterator<Item = &'a Row> + 'a {
        self.rows.iter().filter(|it| it.side.is_some() && library.exercises.contains_key(&it.exercise))
    }

    /// Whether two forms ask for the same program, whatever they are based on.
    pub fn same_program(&self, other: &Form) -> bool {
        let program = |it: &Form| {
            let rows: Vec<Row> = it
                .rows
                .iter()
                .map(|row| {
                    let mut row =
                        Row { n: 0, keep: false, why: String::new(), waive: String::new(), ..row.clone() };
                    row.parameters.retain(|_, value| !value.is_empty());
                    row
                })
                .collect();
            (it.times.clone(), it.days.clone(), rows)
        };
        program(self) == program(other)
    }

    /// The program that is asked for. A field with a mistake counts as blank, so that the rest can be looked at.
    ///
    /// Rows without a known exercise and side have no place in it: [`Form::placed`].
    pub fn program(&self, of: &New<'_>) -> (Program, Vec<Mistake>) {
        let mut read = Reader { mistakes: Vec::new() };
        let mut exercises = Vec::new();
        for row in &self.rows {
            exercises.extend(read.row(row, of.library));
        }
        if self.rows.len() > MOST_ROWS {
            read.wrong("rows", Wrong::TooManyRows);
        }
        let program = Program {
            version: of.version,
            issued: of.today,
            by: of.by.into(),
            signed_by: self.sign.then(|| of.by.into()),
            valid_until: read.until(&self.until, of.today, of.last),
            times_a_day: read.count("times", &self.times),
            days_a_week: read.count("days", &self.days),
            exercises,
        };
        (program, read.mistakes)
    }
}

/// What a new version is made with.
pub struct New<'a> {
    /// Exercises.
    pub library: &'a Library,
    /// Its version.
    pub version: u32,
    /// Its day.
    pub today: Date,
    /// Last day it may be valid.
    pub last: Date,
    /// Who makes it.
    pub by: &'a str,
}

/// Reads fields and collects what is wrong with them.
struct Reader {
    mistakes: Vec<Mistake>,
}

impl Reader {
    fn wrong(&mut self, field: &str, what: Wrong) {
        self.mistakes.push(Mistake { field: field.into(), what });
    }

    fn count(&mut self, field: &str, text: &str) -> Option<u32> {
        if text.is_empty() {
            return None;
        }
        let value = text.parse().ok().filter(|it| (1..=MOST_COUNT).contains(it));
        if value.is_none() {
            self.wrong(field, Wrong::Count(MOST_COUNT));
        }
        value
    }

    fn number(&mut self, field: &str, text: &str, (low, high): (f64, f64), unit: &str) -> Option<f64> {
        if text.is_empty() {
            return None;
        }
        // What was shown is rounded; the last digit must not make the ends of the range unreachable.
        let near = (high - low).abs() * 1e-6 + 1e-9;
        let value: Option<f64> = text.replace(',', ".").parse().ok();
        let value = value.filter(|it| (low - near..=high + near).contains(it)).map(|it| it.clamp(low, high));
        if value.is_none() {
            self.wrong(field, Wrong::Range(low, high, unit.into()));
        }
        value
    }

    fn until(&mut self, text: &str, today: Date, last: Date) -> Option<Date> {
        if text.is_empty() {
            return Some(last);
        }
        match text.parse::<Date>() {
            Ok(date) if (today..=last).contains(&date) => Some(date),
            Ok(_) => {
                self.wrong("until", Wrong::Until(today, last));
                None
            }
            Err(_) => {
                self.wrong("until", Wrong::NotADate);
                None
            }
        }
    }

    fn row(&mut self, row: &Row, library: &Library) -> Option<Prescription> {
        let Some(motion) = library.exercises.get(&row.exercise) else {
            self.wrong(&row.name("id"), Wrong::NoExercise(row.exercise.clone()));
            return None;
        };
        let Some(side) = row.side else {
            self.wrong(&row.name("side"), Wrong::NoSide);
            return None;
        };
        let mut parameters = Parameters::new();
        for it in &motion.parameters {
            let Some(text) = row.parameters.get(&it.name) else { continue };
            let (factor, unit) = shown(it);
            let range = (it.low * factor, it.high * factor);
            if let Some(value) = self.number(&row.name(&format!("p.{}", it.name)), text, range, unit) {
                parameters.insert(it.name.clone(), value / factor);
            }
        }
        let out = Prescription {
            exercise: row.exercise.clone(),
            side,
            sets: self.count(&row.name("sets"), &row.sets),
            reps: self.count(&row.name("reps"), &row.reps),
            seconds: self.number(&row.name("seconds"), &row.seconds, (1.0, MOST_SECONDS), "s"),
            rest: self.number(&row.name("rest"), &row.rest, (0.0, MOST_SECONDS), "s"),
            parameters,
        };
        if out.reps.is_some() && out.seconds.is_some() {
            self.wrong(&row.name("seconds"), Wrong::Both);
        }
        Some(out)
    }
}

fn row_number(name: &str) -> Option<usize> {
    name.strip_prefix('r')?.split_once('.')?.0.parse().ok().filter(|it| *it < 10_000)
}

fn side_of(word: &str) -> Option<Side> {
    Side::BOTH.into_iter().find(|it| it.word() == word)
}
