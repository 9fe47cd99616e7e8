//! A realistic handout for tests, bench and example. Patient, clinic, numbers and orders are invented; the pictures are
//! rough stand-ins of the size that real ones have.

// Each user of this module uses a part of it.
#![allow(dead_code, missing_docs)]

mod picture;
mod texts_en;
mod texts_es;

use handrail_papers::*;

/// Language of the sample.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Language {
    English,
    Spanish,
}

/// The sample: 8 exercises with three pictures each, three moves, a week with three times a day.
pub fn handout(language: Language, paper: Paper, print: Print) -> Handout {
    let mut handout = match language {
        Language::English => texts_en::handout(),
        Language::Spanish => texts_es::handout(),
    };
    handout.paper = paper;
    handout.print = print;
    handout
}

/// The same sheet for another patient: what a warm process meets all day.
pub fn for_patient(mut handout: Handout, number: u32) -> Handout {
    handout.head.patient = format!("{} {number}", handout.head.patient);
    handout.head.version = (number % 9 + 1).to_string();
    for (n, step) in handout.steps.iter_mut().enumerate() {
        if let Step::Exercise(exercise) = step {
            let degrees = f64::from(number % 17) + n as f64;
            exercise.limit = vec![format!("{} ({number}.{n})", exercise.limit[0])];
            exercise.start.svg = picture::leg(4.0 + degrees, -10.0, false);
            exercise.end = Some(Picture {
                svg: picture::leg(20.0 + degrees, 0.0, true),
                alt: exercise.end.as_ref().map_or_else(String::new, |p| p.alt.clone()),
            });
        }
    }
    handout
}

fn texts(items: &[&str]) -> Vec<String> {
    items.iter().map(|s| (*s).to_owned()).collect()
}

/// One exercise of the sample: title, position, three alternative texts, caption of the mistake, then the lists.
struct Plain<'a> {
    title: &'a str,
    position: &'a str,
    alt: [&'a str; 3],
    wrong: &'a str,
    steps: &'a [&'a str],
    dose: &'a [&'a str],
    limit: &'a [&'a str],
    why: &'a str,
    do_not: &'a [&'a str],
    /// Hip angle of start and end, ankle angle of start and end, in degrees, for the stand-in picture.
    pose: [f64; 4],
}

fn exercise(plain: &Plain<'_>) -> Step {
    let [hip0, hip1, ankle0, ankle1] = plain.pose;
    let picture = |svg, alt: &str| Picture { svg, alt: alt.to_owned() };
    Step::Exercise(Exercise {
        title: plain.title.to_owned(),
        position: plain.position.to_owned(),
        start: picture(picture::leg(hip0, ankle0, false), plain.alt[0]),
        end: Some(picture(picture::leg(hip1, ankle1, true), plain.alt[1])),
        not_this: Some(NotThis {
            picture: picture(picture::leg(hip1 + 18.0, ankle1 + 25.0, true), plain.alt[2]),
            caption: plain.wrong.to_owned(),
        }),
        steps: texts(plain.steps),
        dose: texts(plain.dose),
        limit: texts(plain.limit),
        why: plain.why.to_owned(),
        do_not: texts(plain.do_not),
    })
}

fn change(text: &str, how: &[&str]) -> Step {
    Step::Move(Move { text: text.to_owned(), how: texts(how), picture: None })
}

/// Seven days; the exercise rests on the days named, and is due at the times of day marked.
fn row(exercise: &str, rest: &[usize], due: [bool; 3]) -> ChartRow {
    let day = |d| if rest.contains(&d) { ChartDay::Rest } else { ChartDay::Do(due.to_vec()) };
    ChartRow { exercise: exercise.to_owned(), days: (0..7).map(day).collect() }
}

fn angle(cells: [&str; 5]) -> AngleRow {
    let [exercise, quantity, reached, limit, basis] = cells.map(str::to_owned);
    AngleRow { exercise, quantity, reached, limit, basis }
}

/// Net joint moments of one exercise.
fn moments(exercise: &str, moments: &[&str]) -> MomentRow {
    MomentRow { exercise: exercise.to_owned(), moments: texts(moments) }
}

/// Exercise, load, basis, known, source.
fn stated(cells: [&str; 5]) -> LoadRow {
    let [exercise, load, basis, known, source] = cells.map(str::to_owned);
    LoadRow::Stated { exercise, load, basis, known, source }
}

/// Exercise, order, known, source.
fn ordered(cells: [&str; 4]) -> LoadRow {
    let [exercise, order, known, source] = cells.map(str::to_owned);
    LoadRow::Order { exercise, order, known, source }
}

fn unstated(exercise: &str, why: &str) -> LoadRow {
    LoadRow::NotKnown { exercise: exercise.to_owned(), why: why.to_owned() }
}

/// A stand-in of the ladder's shape: some bars and the line of a ceiling.
fn ladder(alt: &str) -> Option<Picture> {
    let bars: String = (0..6)
        .map(|n| format!("<rect x=\"{}\" y=\"{}\" width=\"90\" height=\"12\"/>", 240 + n * 40, 30 + n * 28))
        .collect();
    let svg = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 720 220\">{bars}\
         <path d=\"M480 10V200\" stroke=\"#16191c\" stroke-width=\"4\"/></svg>"
    );
    Some(Picture { svg, alt: alt.to_owned() })
}

fn limit_row(cells: [&str; 4]) -> LimitRow {
    let [limit_on, value, until, source] = cells.map(str::to_owned);
    LimitRow { limit_on, value, until, source }
}

fn source(cells: [&str; 3]) -> SourceRow {
    let [mark, text, known] = cells.map(str::to_owned);
    SourceRow { mark, text, known }
}

fn limit(text: &str, until: &str, source: &str, assumed: bool) -> Limit {
    Limit { text: text.to_owned(), until: until.to_owned(), source: source.to_owned(), assumed }
}

fn phone(who: &str, number: &str) -> Phone {
    Phone { who: who.to_owned(), number: number.to_owned() }
}
