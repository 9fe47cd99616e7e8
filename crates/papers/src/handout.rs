//! The handout: its data, and the two functions that make paper of it.
//!
//! All texts arrive finished, in the patient's language, for the patient's side. A field that is a list holds one short
//! sentence (or one line) each. Everything that is not an `Option` must say something: see [`PaperError`].

use serde::Serialize;
use serde_json::json;

use crate::check::{self, PaperError};
use crate::world::{self, Template};

/// Everything that a handout shows.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Handout {
    /// Language of all texts as a BCP 47 tag: `en`, `es`, `es-MX`.
    pub lang: String,
    /// Size of the sheet.
    pub paper: Paper,
    /// Size of the letters.
    pub print: Print,
    /// The fixed words of the page.
    pub labels: Labels,
    /// Whose sheet this is, which version of it, and who answers for it.
    pub head: Head,
    /// First page.
    pub overview: Overview,
    /// Page of warning signs.
    pub warnings: Warnings,
    /// The session in its order: exercises, and the moves between them.
    pub steps: Vec<Step>,
    /// The week to tick.
    pub week: WeekChart,
    /// Last page, for the therapist.
    pub therapist: TherapistPage,
}

/// Sheet size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Paper {
    /// ISO A4, 210 mm x 297 mm.
    A4,
    /// US Letter, 8.5 in x 11 in.
    Letter,
}

/// Letter size of the patient's pages. The therapist's page is the same in both.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Print {
    /// 12 pt.
    Normal,
    /// 17 pt.
    Large,
}

/// A vector picture.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Picture {
    /// The SVG document. About 3 wide to 2 high fills its place best. Text inside is set in the sheet's own face.
    pub svg: String,
    /// What the picture shows, for a person who cannot see it.
    pub alt: String,
}

/// The fixed words of the page. Each is one short phrase; none carries a number of this patient.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Labels {
    /// Page number with the places `{page}` and `{pages}`: "Page {page} of {pages}".
    pub page: String,
    /// "Patient".
    pub patient: String,
    /// "Side".
    pub side: String,
    /// "Operation".
    pub operation: String,
    /// "Version".
    pub version: String,
    /// "Date".
    pub date: String,
    /// "Valid until".
    pub valid_until: String,
    /// "Clinic".
    pub clinic: String,
    /// Title of the limits on the first page: "Your limits today".
    pub limits: String,
    /// Before the act that ends a limit: "Until".
    pub until: String,
    /// Before the source of a limit: "From".
    pub from: String,
    /// Mark of a limit that nobody has confirmed: "Assumed, not confirmed".
    pub assumed: String,
    /// Title of the stop box: "Stop and call".
    pub stop: String,
    /// Title of the session's order: "Your session".
    pub session: String,
    /// Before the duration: "Time".
    pub time: String,
    /// Before the list of things: "You need".
    pub needs: String,
    /// Column of the numbers in the order of the session: "Step".
    pub step: String,
    /// Column of the exercises (session, week chart, therapist's table): "Exercise".
    pub exercise: String,
    /// Column of the doses: "How much".
    pub how_much: String,
    /// Title of the exercise pages: "Exercises".
    pub exercises: String,
    /// Before a move between two exercises: "Move".
    pub change: String,
    /// Under the first picture: "Start".
    pub start: String,
    /// Under the second picture: "End".
    pub end: String,
    /// Under the crossed picture: "Not like this".
    pub not_like_this: String,
    /// Over the numbered steps: "How".
    pub how: String,
    /// Over the limit of an exercise: "Limit".
    pub limit: String,
    /// Over the reason: "Why".
    pub why: String,
    /// Over the list of mistakes: "Do not".
    pub do_not: String,
    /// Title of the page of warning signs: "Warning signs".
    pub warnings: String,
    /// Title of the week chart: "Your week".
    pub week: String,
    /// Written in the chart where nothing is to be done: "rest".
    pub rest: String,
    /// Title of the last page: "For the therapist".
    pub therapist: String,
    /// Title of the table of angles: "Angles checked".
    pub angles: String,
    /// Column: "Quantity".
    pub quantity: String,
    /// Column: "Reached".
    pub reached: String,
    /// Column: "Basis".
    pub basis: String,
    /// Title of the net joint moments, with side and unit: "Peak net joint moments, left side, N·m per kg".
    pub net_moments: String,
    /// Title of the loads: "Load on protected tissues in one repetition".
    pub loads: String,
    /// Column: "Peak load".
    pub peak_load: String,
    /// Column: "Tissue".
    pub tissue: String,
    /// Title of the table of limits: "Limits in force".
    pub limits_in_force: String,
    /// Column: "Limit on".
    pub limit_on: String,
    /// Column: "Value".
    pub value: String,
    /// Column: "Source".
    pub source: String,
    /// Title of the notes on how this was worked out: "How this was checked".
    pub how_checked: String,
    /// Title of the overrides: "Overrides".
    pub overrides: String,
    /// Said where there is no override: "None".
    pub none: String,
    /// Title of the source list: "Sources".
    pub sources: String,
    /// Column of the numbers of the sources: "No.".
    pub mark: String,
    /// Column: "Known".
    pub known: String,
    /// Title of the list of what nobody checked: "Not checked".
    pub not_checked: String,
}

/// The patient, the version, and who answers for the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Head {
    /// Title of the document: "Home exercise program".
    pub title: String,
    /// The clinic that hands it out.
    pub clinic: String,
    /// The patient's name.
    pub patient: String,
    /// Operated side and body part in words: "Left leg".
    pub side: String,
    /// Operation, its date, and the day since: one or two short sentences.
    pub operation: String,
    /// Version of the sheet: "3".
    pub version: String,
    /// Date of the sheet, written out.
    pub date: String,
    /// Last day on which the sheet holds, written out.
    pub valid_until: String,
    /// Who signed it and when, as a sentence. `None` only together with a draft notice.
    pub signed: Option<String>,
    /// Draft notice, shown on every page: "draft, not yet reviewed by a clinician of this clinic".
    pub draft: Option<String>,
    /// Foot of every page: emergency line, clinic's and surgeon's number. No line breaks within a piece.
    pub foot: Vec<String>,
}

/// The first page.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Overview {
    /// The sentence that puts the surgeon's order before this sheet.
    pub surgeon_first: String,
    /// When to stop and whom to call. `{warnings_page}` becomes the number of the page of warning signs.
    pub stop: Vec<String>,
    /// Limits in force on the date of the sheet.
    pub limits: Vec<Limit>,
    /// Duration of a session: "about 25 minutes, 2 times a day".
    pub time: String,
    /// Things needed: "a firm chair, a towel".
    pub needs: String,
}

/// One limit in plain words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Limit {
    /// What must not be met: "Do not put weight on the left leg."
    pub text: String,
    /// The act that ends it: "your surgeon changes it".
    pub until: String,
    /// Who ordered it and when, or the protocol it is taken from.
    pub source: String,
    /// True if it comes from a general protocol and nobody has confirmed it.
    pub assumed: bool,
}

/// One step of the session.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
#[expect(clippy::large_enum_variant, reason = "a session has about ten steps, most of them exercises")]
pub enum Step {
    /// An exercise. Exercises are numbered on the page in their order.
    Exercise(Exercise),
    /// A move between two places.
    Move(Move),
}

/// One exercise: a block that no page break divides.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Exercise {
    /// Name of the exercise, without a number.
    pub title: String,
    /// Place and position: "On the bed, on your back".
    pub position: String,
    /// Pose at the start.
    pub start: Picture,
    /// Pose at the end; `None` if it is held in the start pose.
    pub end: Option<Picture>,
    /// The mistake to avoid; the page adds the cross and the word.
    pub not_this: Option<NotThis>,
    /// Steps in order, one action each, without numbers.
    pub steps: Vec<String>,
    /// The dose in short pieces: "10 times", "3 sets", "hold 5 seconds".
    pub dose: Vec<String>,
    /// The limit within this exercise.
    pub limit: Vec<String>,
    /// Why it is done.
    pub why: String,
    /// What not to do.
    pub do_not: Vec<String>,
}

/// A picture of a mistake.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NotThis {
    /// The wrong pose, drawn without a cross: the page draws it.
    pub picture: Picture,
    /// What is wrong in it: "The knee bends."
    pub caption: String,
}

/// A move between two exercises.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Move {
    /// The move: "Stand up with both crutches."
    pub text: String,
    /// How it is done, one action each; may be empty for a plain move.
    pub how: Vec<String>,
    /// A picture, if there is one.
    pub picture: Option<Picture>,
}

/// The page of warning signs. There are three groups and never more.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Warnings {
    /// One or two sentences over the groups.
    pub intro: String,
    /// Emergency, now.
    pub emergency: WarningGroup,
    /// Call on the same day.
    pub same_day: WarningGroup,
    /// Tell at the next visit.
    pub next_visit: WarningGroup,
}

/// Warning signs of one urgency.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WarningGroup {
    /// Name of the urgency: "Emergency".
    pub title: String,
    /// What to do: "Call 911 now. Do not drive yourself."
    pub action: String,
    /// Numbers to call; only the last group may have none.
    pub phones: Vec<Phone>,
    /// The signs, one each.
    pub signs: Vec<String>,
}

/// A number to call.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Phone {
    /// Who answers, and when: "Surgeon's team, 8 am to 5 pm".
    pub who: String,
    /// The number.
    pub number: String,
}

/// A week to tick: one row for each exercise, one column for each time of each day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeekChart {
    /// How to fill it in.
    pub intro: String,
    /// The days: "Mon 16". One to seven.
    pub days: Vec<String>,
    /// Times of a day, the same for all days, at most five letters each: "am", "noon", "pm". One to four.
    pub times: Vec<String>,
    /// The exercises, in the order of the session.
    pub rows: Vec<ChartRow>,
    /// Rows with one empty field a day, to be written in: "Pain after, 0 to 10". May be empty.
    pub diary: Vec<String>,
}

/// One exercise in the week.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChartRow {
    /// Name of the exercise.
    pub exercise: String,
    /// One entry for each day of the chart.
    pub days: Vec<ChartDay>,
}

/// One exercise on one day.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", content = "times", rename_all = "snake_case")]
pub enum ChartDay {
    /// A rest day for this exercise: the word is written, there is nothing to tick.
    Rest,
    /// One entry for each time of the day: `true` makes a box to tick, `false` a dash.
    Do(Vec<bool>),
}

/// The last page: what the sheet rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TherapistPage {
    /// Extremes that the motions reach, against the limit of the day.
    pub angles: Vec<AngleRow>,
    /// Limits in force, as ordered.
    pub limits: Vec<LimitRow>,
    /// What joints and tissues of the operated side carry.
    pub loads: Loads,
    /// How the numbers were worked out, one sentence each.
    pub basis: Vec<String>,
    /// Overrides with person and reason; empty if there is none, and the page says so.
    pub overrides: Vec<String>,
    /// Sources that the page refers to.
    pub sources: Vec<SourceRow>,
    /// What was not checked. Never empty.
    pub not_checked: Vec<String>,
}

/// What one exercise reaches in one quantity.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AngleRow {
    /// The exercise.
    pub exercise: String,
    /// The quantity: "Ankle dorsiflexion, left".
    pub quantity: String,
    /// What the motion reaches, with its unit.
    pub reached: String,
    /// The limit of the day, with its unit.
    pub limit: String,
    /// `measured`, `computed`, `ordered` or `set`, in words.
    pub basis: String,
}

/// What joints and protected tissues of the operated side carry. No patient page shows any of it.
///
/// Net joint moment, joint reaction and contact force are three different quantities: each text names the one
/// it means.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Loads {
    /// One row for each exercise.
    pub moments: Vec<MomentRow>,
    /// One table for each protected tissue; none where the protocol protects none.
    pub tissues: Vec<TissueTable>,
    /// What the figures are and are not, one sentence each.
    pub notes: Vec<String>,
    /// Small load ladder of the first tissue. It is set only where the last page has room for it.
    pub ladder: Option<Picture>,
}

/// Peak net joint moments of one exercise.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MomentRow {
    /// The exercise.
    pub exercise: String,
    /// One piece for each direction, or for a joint whose moment is not known: "knee extension 0.35".
    pub moments: Vec<String>,
}

/// Loads on one tissue.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TissueTable {
    /// The tissue with its side: "Left Achilles tendon".
    pub title: String,
    /// Ceilings of the day with their source and status; or that there is none.
    pub ceilings: Vec<String>,
    /// One row for each exercise, in the order of the session.
    pub rows: Vec<LoadRow>,
    /// What a week of the program adds up to, and what the sums lack.
    pub week: Vec<String>,
}

/// Load on a tissue in one repetition of one exercise.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum LoadRow {
    /// Stated with bounds.
    Stated {
        /// The exercise.
        exercise: String,
        /// Bounds with their unit: "0.12 to 0.3 BW".
        load: String,
        /// Computed, measured or both, in words.
        basis: String,
        /// How well it is known, in words.
        known: String,
        /// Short form of the source with its mark: `Uhl et al. 2010 [5]`.
        source: String,
    },
    /// Only an order is known.
    Order {
        /// The exercise.
        exercise: String,
        /// Between which exercises it stands.
        order: String,
        /// How well that is known, in words.
        known: String,
        /// Short form of the source with its mark.
        source: String,
    },
    /// Not known.
    NotKnown {
        /// The exercise.
        exercise: String,
        /// That it is not known, and why.
        why: String,
    },
}

/// One limit in clinical terms.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LimitRow {
    /// What it limits.
    pub limit_on: String,
    /// Its value with the unit.
    pub value: String,
    /// The act that ends it.
    pub until: String,
    /// Who ordered it, in which document, or the mark of a source; with its status.
    pub source: String,
}

/// One source.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SourceRow {
    /// The mark by which the page refers to it: "1".
    pub mark: String,
    /// The source.
    pub text: String,
    /// How it is known: read, secondary or memory, in words.
    pub known: String,
}

impl Handout {
    /// All pictures, in the order of the page, each with the place it stands at.
    pub(crate) fn pictures_mut(&mut self) -> Vec<(String, &mut Picture)> {
        let mut found = Vec::new();
        for (n, step) in self.steps.iter_mut().enumerate() {
            match step {
                Step::Exercise(exercise) => {
                    found.push((format!("steps[{n}].start"), &mut exercise.start));
                    if let Some(end) = &mut exercise.end {
                        found.push((format!("steps[{n}].end"), end));
                    }
                    if let Some(wrong) = &mut exercise.not_this {
                        found.push((format!("steps[{n}].not_this.picture"), &mut wrong.picture));
                    }
                }
                Step::Move(change) => {
                    if let Some(picture) = &mut change.picture {
                        found.push((format!("steps[{n}].picture"), picture));
                    }
                }
            }
        }
        if let Some(ladder) = &mut self.therapist.loads.ladder {
            found.push(("therapist.loads.ladder".to_owned(), ladder));
        }
        found
    }
}

/// Sets the handout and writes it as tagged PDF/UA-1.
///
/// # Errors
/// Nothing is left out to make a sheet fit: a missing text or alternative text, a character that no font here has, a
/// chart whose rows do not match its days, or an exercise too long for one page is a [`PaperError`] that names the place.
pub fn handout_pdf(handout: &Handout) -> Result<Vec<u8>, PaperError> {
    let job = job(handout)?;
    world::pdf(&job)
}

/// Number of pages that the handout fills.
///
/// # Errors
/// As [`handout_pdf`].
pub fn page_count(handout: &Handout) -> Result<usize, PaperError> {
    let job = job(handout)?;
    world::page_count(&job)
}

/// Checks the data and packs it as files of a Typst world: the texts as JSON, each picture as a file of its own, so that
/// the (long) pictures are not dragged through the template as strings.
fn job(handout: &Handout) -> Result<world::Job, PaperError> {
    check::handout(handout)?;
    let mut texts = handout.clone();
    let mut pictures = Vec::new();
    for (n, (place, picture)) in texts.pictures_mut().into_iter().enumerate() {
        let svg = std::mem::replace(&mut picture.svg, world::picture_path(n));
        pictures.push(world::PictureFile { place, svg });
    }
    let head = json!({ "labels": texts.labels, "head": texts.head }).to_string();
    let value =
        serde_json::to_value(&texts).map_err(|e| PaperError::Typeset { messages: vec![e.to_string()] })?;
    check::texts(&value)?;
    Ok(world::Job { template: Template::Handout, data: value.to_string(), head, pictures })
}
