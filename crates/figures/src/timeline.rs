//! What was done and how it was answered, day by day: a small strip for one line of a list, and the response
//! strip of a page of its own.
//!
//! Every sign differs in shape, so that both read in black and white. A day without a diary is a sign of its own
//! and never looks like a day on which nothing was done or nothing hurt.

use crate::chart::{Block, NARROWEST, QUIET, Type, disc, flag, grid_ink, rule, sentences, shape, write};
use crate::palette::{ARROW, GHOST_INK, INK, PAPER, Paint, STOP};
use crate::svg::{Anchor, Ink, PathData, Svg};

/// Days that the small strip shows at most.
pub const SMALL_DAYS: usize = 14;
/// Days that the response strip shows at most.
pub const RESPONSE_DAYS: usize = 60;
/// Sessions of one day at most.
pub const MOST_SESSIONS: u8 = 12;

/// Why a strip is not drawn.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum TimelineError {
    /// No day, too many days, or days out of order.
    #[error("a strip shows 1 to {most} days in their order without gaps; it was given {given}")]
    Days {
        /// Days given.
        given: usize,
        /// Most days.
        most: usize,
    },
    /// A pain that is none.
    #[error("pain {0} is not on the scale of 0 to 10")]
    Pain(u8),
    /// More sessions in a day than there can be.
    #[error("{0} sessions in one day; at most {MOST_SESSIONS} are shown")]
    Sessions(u8),
    /// A visit that is not within the next week.
    #[error("a visit in {0} days is not shown; leave out what is more than 7 days ahead")]
    Visit(u8),
    /// Too narrow to be read.
    #[error("a strip {0} wide cannot be read; give it {NARROWEST} or more")]
    Width(f64),
}

// ------------------------------------------------------------------------------------------------ small strip

/// What the diary says of one day.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DiaryMark {
    /// All that was planned was done.
    Done,
    /// A part of it, or none of it.
    Partly,
    /// Nothing was planned.
    NonePlanned,
    /// Something was planned and there is no diary.
    Missing,
}

/// One day of the small strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SmallDay {
    /// Diary.
    pub diary: DiaryMark,
    /// Worst pain, 0 to 10; `None`: not told.
    pub pain: Option<u8>,
    /// True when a warning sign was reported.
    pub warning: bool,
    /// True when a program version began on this day.
    pub new_version: bool,
}

/// Width of a small strip.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SmallSize {
    /// 200 by 36.
    Wide,
    /// 120 by 36.
    Narrow,
}

/// The last days of one patient and the visit ahead, for one line of a list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SmallTimeline {
    /// Name, in words.
    pub title: String,
    /// What it shows, in words; built by the caller from [`SmallTimeline::counts`].
    pub description: String,
    /// Days in order of time, at most [`SMALL_DAYS`]; the last one is today.
    pub days: Vec<SmallDay>,
    /// Days until the next visit to the surgeon, 0 (today) to 7; `None`: none within a week.
    pub visit_in: Option<u8>,
}

/// What a small strip shows, in numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SmallCounts {
    /// Days shown.
    pub days: usize,
    /// Days on which all was done.
    pub done: usize,
    /// Days on which a part was done.
    pub partly: usize,
    /// Days on which nothing was planned.
    pub none_planned: usize,
    /// Days without a diary.
    pub missing: usize,
    /// Days on which pain was told.
    pub pain_days: usize,
    /// Pain last told.
    pub pain_latest: Option<u8>,
    /// Days since then.
    pub pain_latest_days_ago: Option<usize>,
    /// Highest pain told.
    pub pain_highest: Option<u8>,
    /// Days with a warning sign.
    pub warnings: usize,
    /// Days since the last warning sign.
    pub last_warning_days_ago: Option<usize>,
    /// Program versions that began.
    pub new_versions: usize,
    /// Days until the visit.
    pub visit_in: Option<u8>,
}

impl SmallSize {
    /// Width of the strip and of one day up to today, picture units.
    fn widths(self) -> [f64; 2] {
        match self {
            SmallSize::Wide => [200.0, 10.0],
            SmallSize::Narrow => [120.0, 7.0],
        }
    }
}

/// Height of a small strip.
const SMALL_TALL: f64 = 36.0;

impl SmallTimeline {
    /// Counts of what is shown.
    pub fn counts(&self) -> SmallCounts {
        let count = |mark| self.days.iter().filter(|it| it.diary == mark).count();
        let ago = |test: fn(&SmallDay) -> bool| self.days.iter().rev().position(test);
        SmallCounts {
            days: self.days.len(),
            done: count(DiaryMark::Done),
            partly: count(DiaryMark::Partly),
            none_planned: count(DiaryMark::NonePlanned),
            missing: count(DiaryMark::Missing),
            pain_days: self.days.iter().filter(|it| it.pain.is_some()).count(),
            pain_latest: self.days.iter().rev().find_map(|it| it.pain),
            pain_latest_days_ago: ago(|it| it.pain.is_some()),
            pain_highest: self.days.iter().filter_map(|it| it.pain).max(),
            warnings: self.days.iter().filter(|it| it.warning).count(),
            last_warning_days_ago: ago(|it| it.warning),
            new_versions: self.days.iter().filter(|it| it.new_version).count(),
            visit_in: self.visit_in,
        }
    }

    /// The strip as a complete SVG document. `id` must be its own on a page.
    ///
    /// # Errors
    /// No day or too many, a pain that is none, a visit more than a week ahead.
    pub fn svg(&self, id: &str, size: SmallSize) -> Result<String, TimelineError> {
        self.check()?;
        let [width, day] = size.widths();
        // Places are whole or half units wherever they can be: short numbers keep it small.
        let edge = 2.5 + day * SMALL_DAYS as f64;
        let ahead = (width - edge - 10.0) / 7.0;
        // Fewer days stand at the right, so that today is in one column all over a list.
        let left = edge - day * self.days.len() as f64;
        let mut svg = Svg::open([width, SMALL_TALL], id, &self.title, &self.description);
        let x = |i: usize| left + day * (i as f64 + 0.5);
        self.draw_pain(&mut svg, x, left, edge);
        self.draw_diary(&mut svg, x, day);
        self.draw_versions(&mut svg, |i| left + day * i as f64);
        rule(&mut svg, [edge, 0.5], [edge, SMALL_TALL - 0.5], 1.4, INK, "");
        rule(&mut svg, [edge + 3.0, 27.5], [width - 2.0, 27.5], 1.0, GHOST_INK, "1 3");
        if let Some(visit) = self.visit_in {
            let at = edge + 5.5 + f64::from(visit) * ahead;
            let points = [[at - 4.0, 1.0], [at + 4.0, 1.0], [at, 8.5]];
            shape(&mut svg, &points, &Ink { fill: PAPER, stroke: INK, width: 1.3, ..Ink::default() });
            rule(&mut svg, [at, 8.5], [at, 31.5], 1.0, INK, "2 2");
        }
        let mut signs = PathData::default();
        for i in (0..self.days.len()).filter(|&i| self.days[i].warning) {
            signs.move_to(x(i), 0.0);
            signs.line_to(x(i) + 4.5, 8.0);
            signs.line_to(x(i) - 4.5, 8.0);
            signs.close();
        }
        svg.path(&signs, &Ink { fill: STOP, ..Ink::default() });
        Ok(svg.close())
    }

    fn check(&self) -> Result<(), TimelineError> {
        if !(1..=SMALL_DAYS).contains(&self.days.len()) {
            return Err(TimelineError::Days { given: self.days.len(), most: SMALL_DAYS });
        }
        if let Some(visit) = self.visit_in.filter(|&it| it > 7) {
            return Err(TimelineError::Visit(visit));
        }
        self.days.iter().filter_map(|it| it.pain).try_for_each(check_pain)
    }

    /// Pain as a line that breaks where none was told, over a line at 0 and one at 5.
    fn draw_pain(&self, svg: &mut Svg, x: impl Fn(usize) -> f64, left: f64, edge: f64) {
        let y = |pain: u8| 21.0 - 1.2 * f64::from(pain);
        let mut marks = PathData::default();
        for pain in [0, 5] {
            marks.move_to(left, y(pain));
            marks.line_to(edge, y(pain));
        }
        svg.path(&marks, &Ink { fill: "none", stroke: grid_ink(), width: 0.6, ..Ink::default() });
        // A warning reaches down to what was done and told that day.
        let mut stems = PathData::default();
        for i in (0..self.days.len()).filter(|&i| self.days[i].warning) {
            stems.move_to(x(i), 8.0);
            stems.line_to(x(i), 22.0);
        }
        svg.path(&stems, &Ink { fill: "none", stroke: STOP, width: 1.2, ..Ink::default() });
        let (mut line, mut points) = (PathData::default(), PathData::default());
        let mut before = false;
        for (i, pain) in self.days.iter().map(|it| it.pain).enumerate() {
            if let Some(pain) = pain {
                if before {
                    line.line_to(x(i), y(pain))
                } else {
                    line.move_to(x(i), y(pain))
                }
                // A line of no length and round ends is a point.
                points.move_to(x(i), y(pain));
                points.line_to(x(i) + 0.1, y(pain));
            }
            before = pain.is_some();
        }
        svg.path(&line, &Ink { fill: "none", stroke: INK, width: 1.1, ..Ink::default() });
        svg.path(&points, &Ink { fill: "none", stroke: INK, width: 3.0, ..Ink::default() });
    }

    /// The diary: full square done, half one partly, hollow one missing, dash none planned.
    fn draw_diary(&self, svg: &mut Svg, x: impl Fn(usize) -> f64, day: f64) {
        let half = if day < 10.0 { 2.5 } else { 3.5 };
        let (top, bottom) = (27.5 - half, 27.5 + half);
        let (mut full, mut outlines, mut dashes) =
            (PathData::default(), PathData::default(), PathData::default());
        let square = |path: &mut PathData, x: f64, top: f64| {
            path.move_to(x - half, top);
            path.line_to(x + half, top);
            path.line_to(x + half, bottom);
            path.line_to(x - half, bottom);
            path.close();
        };
        for (i, it) in self.days.iter().enumerate() {
            match it.diary {
                DiaryMark::Done => square(&mut full, x(i), top),
                DiaryMark::Partly => {
                    square(&mut full, x(i), 27.5);
                    square(&mut outlines, x(i), top);
                }
                DiaryMark::Missing => square(&mut outlines, x(i), top),
                DiaryMark::NonePlanned => {
                    dashes.move_to(x(i) - half * 0.5, 27.5);
                    dashes.line_to(x(i) + half * 0.5, 27.5);
                }
            }
        }
        svg.path(&full, &Ink { fill: ARROW, stroke: ARROW, width: 1.0, ..Ink::default() });
        svg.path(&outlines, &Ink { fill: "none", stroke: INK, width: 1.0, ..Ink::default() });
        svg.path(&dashes, &Ink { fill: "none", stroke: INK, width: 1.2, ..Ink::default() });
    }

    /// A wedge below the day on which a version began.
    fn draw_versions(&self, svg: &mut Svg, x: impl Fn(usize) -> f64) {
        let mut wedges = PathData::default();
        for i in (0..self.days.len()).filter(|&i| self.days[i].new_version) {
            wedges.move_to(x(i), 22.5);
            wedges.line_to(x(i), 35.5);
            wedges.line_to(x(i) + 4.0, 35.5);
            wedges.line_to(x(i), 32.5);
        }
        svg.path(&wedges, &Ink { fill: INK, stroke: INK, width: 0.9, ..Ink::default() });
    }
}

fn check_pain(pain: u8) -> Result<(), TimelineError> {
    if pain <= 10 { Ok(()) } else { Err(TimelineError::Pain(pain)) }
}

// --------------------------------------------------------------------------------------------- response strip

/// The morning after a session, against the patient's usual.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MorningMark {
    /// Back to usual.
    Usual,
    /// More pain or stiffness than usual.
    Worse,
}

/// Swelling against the day before.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SwellingMark {
    /// Less.
    Less,
    /// The same.
    Same,
    /// More.
    More,
}

/// One day of the response strip.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResponseDay {
    /// Day since surgery.
    pub day: i32,
    /// Its date, short; for the table and the axis.
    pub date: String,
    /// Pain before, 0 to 10.
    pub pain_before: Option<u8>,
    /// Worst pain during.
    pub pain_during: Option<u8>,
    /// Pain right after.
    pub pain_after: Option<u8>,
    /// The morning after.
    pub morning: Option<MorningMark>,
    /// Swelling.
    pub swelling: Option<SwellingMark>,
    /// Sessions planned.
    pub planned: u8,
    /// Sessions done; `None`: no diary.
    pub done: Option<u8>,
    /// True when a warning sign was reported.
    pub warning: bool,
    /// Short name of the program version that began on this day.
    pub version: Option<String>,
}

/// The words of the response strip in the reader's language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResponseWords {
    /// What runs across: complete weeks since surgery.
    pub weeks: String,
    /// Pain, 0 to 10.
    pub pain: String,
    /// Before the session.
    pub before: String,
    /// During.
    pub during: String,
    /// Right after.
    pub after: String,
    /// Row of the mornings.
    pub morning: String,
    /// Back to usual.
    pub usual: String,
    /// Worse than usual.
    pub worse: String,
    /// Row of swelling.
    pub swelling: String,
    /// Less.
    pub less: String,
    /// The same.
    pub same: String,
    /// More.
    pub more: String,
    /// Row of sessions.
    pub sessions: String,
    /// Planned sessions.
    pub planned: String,
    /// Done sessions.
    pub done: String,
    /// Sessions beyond those planned.
    pub extra: String,
    /// A day without a diary.
    pub missing: String,
    /// Row of warning signs.
    pub warning: String,
    /// Program version, before its name.
    pub version: String,
}

/// Pain, morning, swelling and sessions in aligned rows.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResponseStrip {
    /// Title.
    pub title: String,
    /// From when until when, whose.
    pub subtitle: String,
    /// Days in order of time without gaps, at most [`RESPONSE_DAYS`].
    pub days: Vec<ResponseDay>,
    /// Words.
    pub words: ResponseWords,
}

/// Which pain of a day.
type Told = fn(&ResponseDay) -> Option<u8>;

/// A row of the strip's table: one day. Empty text where nothing was told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResponseRow {
    /// Day since surgery.
    pub day: i32,
    /// Date.
    pub date: String,
    /// Pain before, during and after.
    pub pain: [Option<u8>; 3],
    /// Morning.
    pub morning: String,
    /// Swelling.
    pub swelling: String,
    /// Sessions done; the word for a missing diary where there is none.
    pub done: String,
    /// Sessions planned.
    pub planned: u8,
    /// Warning sign; empty: none was reported.
    pub warning: String,
    /// Version that began.
    pub version: String,
}

const TITLE: Type = Type::new(19.0, true);
const SMALL: Type = Type::new(13.0, false);
const SMALL_BOLD: Type = Type::new(13.0, true);
/// From this width on rows have their names beside them.
const BESIDE_FROM: f64 = 680.0;
/// Height of the scale of pain.
const PAIN_TALL: f64 = 120.0;
/// Height of the sessions.
const SESSIONS_TALL: f64 = 46.0;

impl ResponseStrip {
    /// The strip as a complete SVG document, `width` picture units wide. `id` must be its own on a page.
    ///
    /// # Errors
    /// No day or too many, days out of order, a pain that is none, a width that cannot be read.
    pub fn svg(&self, id: &str, width: f64) -> Result<String, TimelineError> {
        self.check(width)?;
        Ok(Strip::new(self, width).draw(id))
    }

    fn check(&self, width: f64) -> Result<(), TimelineError> {
        if !(width.is_finite() && width >= NARROWEST) {
            return Err(TimelineError::Width(width));
        }
        let in_order = self.days.windows(2).all(|pair| pair[1].day == pair[0].day.wrapping_add(1));
        if !in_order || !(1..=RESPONSE_DAYS).contains(&self.days.len()) {
            return Err(TimelineError::Days { given: self.days.len(), most: RESPONSE_DAYS });
        }
        for it in &self.days {
            [it.pain_before, it.pain_during, it.pain_after].into_iter().flatten().try_for_each(check_pain)?;
            let most = it.planned.max(it.done.unwrap_or(0));
            if most > MOST_SESSIONS {
                return Err(TimelineError::Sessions(most));
            }
        }
        Ok(())
    }

    fn morning(&self, it: MorningMark) -> &str {
        if it == MorningMark::Usual { &self.words.usual } else { &self.words.worse }
    }

    fn swelling(&self, it: SwellingMark) -> &str {
        match it {
            SwellingMark::Less => &self.words.less,
            SwellingMark::Same => &self.words.same,
            SwellingMark::More => &self.words.more,
        }
    }

    /// Everything that the strip shows, one row for each day.
    pub fn rows(&self) -> Vec<ResponseRow> {
        let row = |it: &ResponseDay| ResponseRow {
            day: it.day,
            date: it.date.clone(),
            pain: [it.pain_before, it.pain_during, it.pain_after],
            morning: it.morning.map_or(String::new(), |it| self.morning(it).to_owned()),
            swelling: it.swelling.map_or(String::new(), |it| self.swelling(it).to_owned()),
            done: it.done.map_or(self.words.missing.clone(), |done| done.to_string()),
            planned: it.planned,
            warning: if it.warning { self.words.warning.clone() } else { String::new() },
            version: it.version.clone().unwrap_or_default(),
        };
        self.days.iter().map(row).collect()
    }

    /// The strip in words, as sums. The rows tell all of it.
    pub fn description(&self) -> String {
        let words = &self.words;
        let sum = |of: fn(&ResponseDay) -> u32| self.days.iter().map(of).sum::<u32>();
        let mut parts = vec![self.subtitle.clone()];
        let planned = sum(|it| u32::from(it.planned));
        let done = sum(|it| u32::from(it.done.unwrap_or(0)));
        parts.push(format!("{}: {} {done}, {} {planned}", words.sessions, words.done, words.planned));
        parts.push(format!("{}: {}", words.missing, self.days.iter().filter(|it| it.done.is_none()).count()));
        let series: [(&str, Told); 3] = [
            (&words.before, |it| it.pain_before),
            (&words.during, |it| it.pain_during),
            (&words.after, |it| it.pain_after),
        ];
        for (name, of) in series {
            let told: Vec<u8> = self.days.iter().filter_map(of).collect();
            if let (Some(low), Some(high)) = (told.iter().min(), told.iter().max()) {
                parts.push(format!("{}, {name}: {low}–{high}", words.pain));
            }
        }
        let worse = self.days.iter().filter(|it| it.morning == Some(MorningMark::Worse)).count();
        parts.push(format!("{}, {}: {worse}", words.morning, words.worse));
        let more = self.days.iter().filter(|it| it.swelling == Some(SwellingMark::More)).count();
        parts.push(format!("{}, {}: {more}", words.swelling, words.more));
        let warnings: Vec<&str> = self.days.iter().filter(|it| it.warning).map(|it| &*it.date).collect();
        if !warnings.is_empty() {
            parts.push(format!("{}: {}", words.warning, warnings.join(", ")));
        }
        sentences(parts.iter().map(String::as_str))
    }
}

/// Signs of the strip's key.
#[derive(Clone, Copy, Debug)]
enum Sign {
    Before,
    During,
    After,
    Usual,
    Worse,
    Less,
    Same,
    More,
    Planned,
    Done,
    Extra,
    Missing,
    Warning,
}

struct Strip<'a> {
    chart: &'a ResponseStrip,
    /// Lines below all rows.
    back: Svg,
    svg: Svg,
    width: f64,
    margin: f64,
    beside: bool,
    left: f64,
    /// Picture units for one day.
    day: f64,
    y: f64,
}

impl<'a> Strip<'a> {
    fn new(chart: &'a ResponseStrip, width: f64) -> Strip<'a> {
        let beside = width >= BESIDE_FROM;
        let margin = if beside { 16.0 } else { 12.0 };
        let left = margin + 24.0 + if beside { 150.0 } else { 0.0 };
        let day = ((width - margin - left) / chart.days.len() as f64).min(60.0);
        Strip {
            chart,
            back: Svg::fragment(),
            svg: Svg::fragment(),
            width,
            margin,
            beside,
            left,
            day,
            y: 14.0,
        }
    }

    fn x(&self, i: usize) -> f64 {
        self.left + self.day * (i as f64 + 0.5)
    }

    fn right(&self) -> f64 {
        self.left + self.day * self.chart.days.len() as f64
    }

    fn inner(&self) -> f64 {
        self.width - 2.0 * self.margin
    }

    fn draw(mut self, id: &str) -> String {
        let chart = self.chart;
        let mut head = Block::default();
        head.push(TITLE, INK, &chart.title, self.inner());
        head.push(SMALL, QUIET, &chart.subtitle, self.inner());
        self.y = head.draw(&mut self.svg, [self.margin, self.y], false) + 8.0;
        self.versions();
        let top = self.y;
        self.pain();
        self.morning();
        self.swelling();
        self.sessions();
        self.warnings();
        self.time(top);
        self.key();
        let size = [self.width, libm::ceil(self.y + 12.0)];
        let mut svg = Svg::open(size, id, &chart.title, &chart.description());
        svg.rect([0.0, 0.0], size, 0.0, &Ink { fill: PAPER, ..Ink::default() });
        svg.raw(&self.back.into_fragment());
        svg.raw(&self.svg.into_fragment());
        svg.close()
    }

    /// The name of a row, beside it or above it.
    fn name(&mut self, name: &str) {
        let mut block = Block::default();
        if self.beside {
            block.push(SMALL_BOLD, INK, name, self.left - self.margin - 30.0);
            block.draw(&mut self.svg, [self.margin, self.y], false);
        } else {
            block.push(SMALL_BOLD, INK, name, self.inner());
            self.y = block.draw(&mut self.svg, [self.margin, self.y], true) + 2.0;
        }
    }

    /// Names of the versions, above lines through all rows.
    fn versions(&mut self) {
        let mut free = 0.0;
        let mut any = false;
        for (i, it) in self.chart.days.iter().enumerate() {
            let Some(version) = &it.version else { continue };
            let text = format!("{} {version}", self.chart.words.version);
            let x = self.left + self.day * i as f64;
            let wide = SMALL.width(&text) * 1.01;
            let at = (x + 3.0).min(self.width - 4.0 - wide);
            if at >= free {
                write(&mut self.svg, [at, self.y + 13.0], SMALL, Anchor::Start, INK, &text);
                free = at + wide + 6.0;
            }
            any = true;
        }
        self.y += if any { 20.0 } else { 0.0 };
    }

    fn pain(&mut self) {
        let chart = self.chart;
        self.name(&chart.words.pain);
        let top = self.y + 5.0;
        let y = |pain: u8| top + PAIN_TALL * (1.0 - f64::from(pain) / 10.0);
        for pain in [0, 2, 4, 6, 8, 10] {
            let right = self.right();
            rule(&mut self.svg, [self.left, y(pain)], [right, y(pain)], 1.0, grid_ink(), "");
            let at = [self.left - 5.0, y(pain) + 4.5];
            write(&mut self.svg, at, SMALL, Anchor::End, INK, &pain.to_string());
        }
        let series: [(Sign, f64, Told); 3] = [
            (Sign::Before, -0.22, |it| it.pain_before),
            (Sign::After, 0.22, |it| it.pain_after),
            (Sign::During, 0.0, |it| it.pain_during),
        ];
        for (sign, shift, of) in series {
            let at = |i: usize, pain: u8| [self.x(i) + shift * self.day, y(pain)];
            let told: Vec<Option<[f64; 2]>> =
                chart.days.iter().enumerate().map(|(i, it)| of(it).map(|pain| at(i, pain))).collect();
            let mut line = PathData::default();
            for (i, it) in told.iter().enumerate() {
                let Some([x, y]) = *it else { continue };
                if i > 0 && told[i - 1].is_some() { line.line_to(x, y) } else { line.move_to(x, y) }
            }
            self.svg.path(&line, &pain_line(sign));
            for (i, at) in told.iter().enumerate() {
                let Some(at) = *at else { continue };
                let alone = (i == 0 || told[i - 1].is_none()) && told.get(i + 1).is_none_or(Option::is_none);
                // Close together the kind of line tells them apart; points would hide each other.
                if self.day >= 11.0 || alone {
                    pain_point(&mut self.svg, sign, at, if self.day >= 11.0 { 1.0 } else { 0.7 });
                }
            }
        }
        self.y = top + PAIN_TALL + 12.0;
    }

    /// A row of signs.
    fn signs(&mut self, name: &str, of: impl Fn(&ResponseDay) -> Option<Sign>) {
        self.name(name);
        let y = self.y + 9.0;
        let right = self.right();
        rule(&mut self.svg, [self.left, y + 10.0], [right, y + 10.0], 1.0, grid_ink(), "");
        let size = (self.day / 12.0).clamp(0.42, 1.0);
        for i in 0..self.chart.days.len() {
            if let Some(sign) = of(&self.chart.days[i]) {
                let x = self.x(i);
                draw_sign(&mut self.svg, sign, [x, y], size);
            }
        }
        self.y += 26.0;
    }

    fn morning(&mut self) {
        let chart = self.chart;
        self.signs(&chart.words.morning, |it| {
            it.morning.map(|it| if it == MorningMark::Usual { Sign::Usual } else { Sign::Worse })
        });
    }

    fn swelling(&mut self) {
        let chart = self.chart;
        self.signs(&chart.words.swelling, |it| {
            it.swelling.map(|it| match it {
                SwellingMark::Less => Sign::Less,
                SwellingMark::Same => Sign::Same,
                SwellingMark::More => Sign::More,
            })
        });
    }

    fn warnings(&mut self) {
        let chart = self.chart;
        if chart.days.iter().any(|it| it.warning) {
            self.signs(&chart.words.warning, |it| it.warning.then_some(Sign::Warning));
        }
    }

    /// Planned sessions as hollow bars, done ones filled in them; more than planned stands out above.
    fn sessions(&mut self) {
        let chart = self.chart;
        self.name(&chart.words.sessions);
        let most = chart.days.iter().map(|it| it.planned.max(it.done.unwrap_or(0))).max().unwrap_or(1).max(1);
        let bottom = self.y + SESSIONS_TALL + 4.0;
        let unit = SESSIONS_TALL / f64::from(most);
        for n in [0, most] {
            let y = bottom - unit * f64::from(n);
            let right = self.right();
            rule(&mut self.svg, [self.left, y], [right, y], 1.0, grid_ink(), "");
            let at = [self.left - 5.0, y + 4.5];
            write(&mut self.svg, at, SMALL, Anchor::End, INK, &n.to_string());
        }
        let wide = (self.day - 1.6).min(14.0);
        for (i, it) in chart.days.iter().enumerate() {
            let x = self.x(i) - wide / 2.0;
            let mut bar = |from: u8, to: u8, ink: &Ink<'_>| {
                if to > from {
                    let at = [x, bottom - unit * f64::from(to)];
                    self.svg.rect(at, [wide, unit * f64::from(to - from)], 0.0, ink);
                }
            };
            let done = it.done.unwrap_or(0);
            bar(
                0,
                done.min(it.planned),
                &Ink { fill: Paint::Accent.fill(), class: "done", ..Ink::default() },
            );
            bar(
                it.planned,
                done,
                &Ink { fill: INK, stroke: INK, width: 1.0, class: "extra", ..Ink::default() },
            );
            let dash = if it.done.is_none() { "2 2" } else { "" };
            bar(0, it.planned, &Ink { fill: "none", stroke: INK, width: 1.0, dash, ..Ink::default() });
            if it.done.is_none() {
                let at = [self.x(i), bottom - 7.0];
                draw_sign(&mut self.svg, Sign::Missing, at, (self.day / 12.0).clamp(0.45, 1.0));
            }
        }
        self.y = bottom + 10.0;
    }

    /// Lines where weeks and versions begin, and the figures of the weeks.
    fn time(&mut self, top: f64) {
        let bottom = self.y;
        let mut free = 0.0;
        for i in 0..self.chart.days.len() {
            let it = &self.chart.days[i];
            let x = self.left + self.day * i as f64;
            if it.version.is_some() {
                rule(&mut self.back, [x, top - 16.0], [x, bottom], 1.3, INK, "5 3");
            }
            if it.day.rem_euclid(7) == 0 {
                rule(&mut self.svg, [x, bottom - 4.0], [x, bottom + 3.0], 1.3, INK, "");
                let text = (it.day / 7).to_string();
                let half = SMALL.width(&text) / 2.0;
                if x - half >= free {
                    write(&mut self.svg, [x, bottom + 16.0], SMALL, Anchor::Middle, INK, &text);
                    free = x + half + 6.0;
                }
            }
        }
        let right = self.right();
        rule(&mut self.svg, [self.left, bottom], [right, bottom], 1.3, INK, "");
        let mut words = Block::default();
        words.push(SMALL, QUIET, &self.chart.words.weeks, self.width - self.margin - self.left);
        self.y = words.draw(&mut self.svg, [self.left, bottom + 20.0], false) + 8.0;
    }

    fn key(&mut self) {
        let words = &self.chart.words;
        let named = |row: &str, it: &str| format!("{row}: {it}");
        let mut all = vec![
            (Sign::Before, named(&words.pain, &words.before)),
            (Sign::During, named(&words.pain, &words.during)),
            (Sign::After, named(&words.pain, &words.after)),
            (Sign::Usual, named(&words.morning, &words.usual)),
            (Sign::Worse, named(&words.morning, &words.worse)),
            (Sign::Less, named(&words.swelling, &words.less)),
            (Sign::Same, named(&words.swelling, &words.same)),
            (Sign::More, named(&words.swelling, &words.more)),
            (Sign::Planned, named(&words.sessions, &words.planned)),
            (Sign::Done, named(&words.sessions, &words.done)),
        ];
        if self.chart.days.iter().any(|it| it.done.is_some_and(|done| done > it.planned)) {
            all.push((Sign::Extra, named(&words.sessions, &words.extra)));
        }
        if self.chart.days.iter().any(|it| it.done.is_none()) {
            all.push((Sign::Missing, words.missing.clone()));
        }
        if self.chart.days.iter().any(|it| it.warning) {
            all.push((Sign::Warning, words.warning.clone()));
        }
        let right = self.width - self.margin;
        let mut x = self.margin;
        for (sign, text) in all {
            let wide = 34.0 + SMALL.width(&text) * 1.01;
            if x > self.margin && x + wide > right {
                x = self.margin;
                self.y += 22.0;
            }
            draw_sign(&mut self.svg, sign, [x + 13.0, self.y + 9.0], 1.0);
            let mut block = Block::default();
            block.push(SMALL, INK, &text, right - x - 34.0);
            let bottom = block.draw(&mut self.svg, [x + 34.0, self.y], false);
            self.y = self.y.max(bottom - SMALL.leading());
            x += wide + 16.0;
        }
        self.y += 22.0;
    }
}

/// Line of a kind of pain: each has its own width and dashes.
fn pain_line(sign: Sign) -> Ink<'static> {
    let (width, dash, stroke) = match sign {
        Sign::Before => (1.3, "0.1 3.4", QUIET),
        Sign::After => (1.4, "5 3", Paint::AccentFar.fill()),
        _ => (2.0, "", INK),
    };
    Ink { fill: "none", stroke, width, dash, ..Ink::default() }
}

/// Point of a kind of pain.
fn pain_point(svg: &mut Svg, sign: Sign, at: [f64; 2], size: f64) {
    match sign {
        Sign::Before => {
            disc(svg, at, 2.8 * size, &Ink { fill: PAPER, stroke: QUIET, width: 1.3, ..Ink::default() });
        }
        Sign::After => {
            let half = 2.9 * size;
            let ink = Ink { fill: PAPER, stroke: Paint::AccentFar.fill(), width: 1.5, ..Ink::default() };
            svg.rect([at[0] - half, at[1] - half], [2.0 * half, 2.0 * half], 0.0, &ink);
        }
        _ => disc(svg, at, 3.3 * size, &Ink { fill: INK, ..Ink::default() }),
    }
}

/// A sign about its middle.
fn draw_sign(svg: &mut Svg, sign: Sign, at: [f64; 2], size: f64) {
    let [x, y] = at;
    let triangle = |svg: &mut Svg, up: f64, fill: &str| {
        let points = [
            [x - 5.5 * size, y + 4.5 * up * size],
            [x + 5.5 * size, y + 4.5 * up * size],
            [x, y - 5.5 * up * size],
        ];
        shape(svg, &points, &Ink { fill, stroke: INK, width: 1.4 * size.max(0.7), ..Ink::default() });
    };
    let bar = |svg: &mut Svg, ink: &Ink<'_>| svg.rect([x - 6.0, y - 7.0], [12.0, 14.0], 0.0, ink);
    match sign {
        Sign::Before | Sign::During | Sign::After => {
            rule_with(svg, [x - 13.0, y], [x + 13.0, y], &pain_line(sign));
            pain_point(svg, sign, at, 1.0);
        }
        Sign::Usual => {
            disc(svg, at, 3.4 * size, &Ink { fill: PAPER, stroke: INK, width: 1.2, ..Ink::default() })
        }
        Sign::Worse | Sign::More => triangle(svg, 1.0, INK),
        Sign::Less => triangle(svg, -1.0, PAPER),
        Sign::Same => rule(svg, [x - 3.4 * size, y], [x + 3.4 * size, y], 1.8 * size.max(0.6), INK, ""),
        Sign::Planned => bar(svg, &Ink { fill: "none", stroke: INK, width: 1.0, ..Ink::default() }),
        Sign::Done => {
            bar(svg, &Ink { fill: Paint::Accent.fill(), stroke: INK, width: 1.0, ..Ink::default() });
        }
        Sign::Extra => bar(svg, &Ink { fill: INK, stroke: INK, width: 1.0, ..Ink::default() }),
        Sign::Missing => {
            let r = 3.0 * size;
            let mut cross = PathData::default();
            for s in [1.0, -1.0] {
                cross.move_to(x - r, y - r * s);
                cross.line_to(x + r, y + r * s);
            }
            svg.path(&cross, &Ink { fill: "none", stroke: INK, width: 1.4, ..Ink::default() });
        }
        Sign::Warning => flag(svg, at),
    }
}

fn rule_with(svg: &mut Svg, from: [f64; 2], to: [f64; 2], ink: &Ink<'_>) {
    rule(svg, from, to, ink.width, ink.stroke, ink.dash);
}
