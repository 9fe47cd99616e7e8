//! Load per week: what was planned and what was done, beside each other, with the jump from week to week.
//!
//! A bar is full up to the lower bound, hatched from there to the upper bound, which carries the cap. Planned
//! bars are hollow, done bars filled. On wide charts weeks stand side by side, on narrow ones below each other.
//! The chart is not drawn without its note: that no injury threshold for such jumps is established.

use handrail_anatomy::Interval;

use crate::chart::{
    Block, CEILING_WIDTH, CeilingLine, ChartError, Label, NARROW, NO_SIGN, QUIET, Type, UNIT, check_bounds,
    check_length, check_width, even_ticks, flag, grid_ink, hatching, no_sign, rule, sentences, span,
    tick_label, write, write_over,
};
use crate::palette::{INK, PAPER, Paint, STOP};
use crate::svg::{Anchor, Ink, Svg};

/// One week.
#[derive(Clone, Debug, PartialEq)]
pub struct WeekBar {
    /// Short name of the week.
    pub label: String,
    /// Load of the program as prescribed.
    pub planned: Option<Interval>,
    /// Load of what the diary says was done; `None` where there is no entry.
    pub done: Option<Interval>,
    /// Change from the week before, percent. The caller says in `ExposureWords::jump` of which of the two.
    pub jump_percent: Option<f64>,
    /// True when the jump is above the threshold that the therapist has set.
    pub flagged: bool,
}

/// The words of the chart in the reader's language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ExposureWords {
    /// Planned bars.
    pub planned: String,
    /// Done bars.
    pub done: String,
    /// The hatched part: from the lower to the upper bound.
    pub between: String,
    /// The row of jumps.
    pub jump: String,
    /// Word on a flagged jump.
    pub flagged: String,
    /// Word on a bar whose upper bound passes the ceiling.
    pub over: String,
    /// A week without an entry.
    pub no_entry: String,
    /// Decimal mark.
    pub decimal_mark: char,
}

/// Planned and done load over weeks.
#[derive(Clone, Debug, PartialEq)]
pub struct ExposureChart {
    /// Title.
    pub title: String,
    /// Date and day since surgery.
    pub today: String,
    /// Whose tissue, which side.
    pub subtitle: String,
    /// Unit, short, as it stands after a figure.
    pub unit: String,
    /// What the axis shows, with the unit in words.
    pub axis: String,
    /// Weeks in order of time.
    pub weeks: Vec<WeekBar>,
    /// The ceiling on a week's load.
    pub ceiling: Option<CeilingLine>,
    /// The therapist's threshold for jumps, who set it and when; empty when none is set.
    pub threshold: String,
    /// That no injury threshold for such jumps is established. Never empty.
    pub note: String,
    /// Words.
    pub words: ExposureWords,
}

const TITLE: Type = Type::new(19.0, true);
const STRONG: Type = Type::new(14.0, true);
const SMALL: Type = Type::new(13.0, false);
const SMALL_BOLD: Type = Type::new(13.0, true);

/// Height of the columns, picture units.
const TALL: f64 = 230.0;
/// Narrowest place of one week in columns, picture units.
const PLACE: f64 = 46.0;
/// Width of a bar.
const BAR: f64 = 15.0;
/// Room beyond the end of the axis, for a sign.
const BEYOND: f64 = 22.0;
/// Room for the words of the ceiling beside columns.
const BESIDE: f64 = 122.0;

impl ExposureChart {
    /// The chart as a complete SVG document, `width` picture units wide. `id` must be its own on a page.
    ///
    /// # Errors
    /// A load, jump or ceiling that is none, a missing note, or a width that cannot be read.
    pub fn svg(&self, id: &str, width: f64) -> Result<String, ChartError> {
        self.check(width)?;
        let margin = if width < NARROW { 12.0 } else { 16.0 };
        let mut drawing = Drawing { chart: self, svg: Svg::fragment(), width, margin, y: 14.0 };
        drawing.head();
        if !self.weeks.is_empty() {
            let (ticks, end) = even_ticks(self.highest());
            if width >= NARROW {
                drawing.columns(&ticks, end);
            } else {
                drawing.lines(&ticks, end);
            }
            drawing.key();
        }
        drawing.notes();
        let size = [width, libm::ceil(drawing.y + 14.0)];
        let mut svg = Svg::open(size, id, &self.title, &self.description());
        svg.rect([0.0, 0.0], size, 0.0, &Ink { fill: PAPER, ..Ink::default() });
        svg.raw(&drawing.svg.into_fragment());
        Ok(svg.close())
    }

    fn check(&self, width: f64) -> Result<(), ChartError> {
        check_width(width)?;
        check_length(&self.unit, UNIT)?;
        self.ceiling.as_ref().map_or(Ok(()), CeilingLine::check)?;
        for week in &self.weeks {
            for load in [week.planned, week.done].into_iter().flatten() {
                check_bounds(&week.label, load)?;
            }
            if week.jump_percent.is_some_and(|it| !it.is_finite()) {
                return Err(ChartError::Jump(week.label.clone()));
            }
        }
        if self.note.trim().is_empty() { Err(ChartError::NoNote) } else { Ok(()) }
    }

    /// True when the upper bound of a week's load passes the ceiling.
    pub fn is_over(&self, load: Interval) -> bool {
        self.ceiling.as_ref().is_some_and(|ceiling| ceiling.is_passed(load.high))
    }

    fn highest(&self) -> f64 {
        let loads = self.weeks.iter().flat_map(|week| [week.planned, week.done]).flatten();
        let ceiling = self.ceiling.iter().map(|it| it.value);
        let highest = loads.map(|it| it.high).chain(ceiling).fold(0.0, f64::max);
        if highest > 0.0 { highest } else { 1.0 }
    }

    fn figure(&self, load: Interval) -> String {
        format!("{} {}", span(load, self.words.decimal_mark), self.unit)
    }

    /// Everything the picture shows, for those who cannot see it.
    fn description(&self) -> String {
        let mut parts = vec![self.today.clone(), self.subtitle.clone(), self.axis.clone()];
        parts.extend(self.ceiling.iter().map(|it| it.label.clone()));
        for week in &self.weeks {
            let mut facts = Vec::new();
            for (load, word) in [(week.planned, &self.words.planned), (week.done, &self.words.done)] {
                if let Some(load) = load {
                    facts.push(format!("{word}: {}", self.figure(load)));
                    facts.extend(self.is_over(load).then(|| self.words.over.clone()));
                }
            }
            facts.extend(week.done.is_none().then(|| self.words.no_entry.clone()));
            facts.extend(week.jump_percent.map(|jump| format!("{}: {}", self.words.jump, percent(jump))));
            facts.extend(week.flagged.then(|| self.words.flagged.clone()));
            parts.push(format!("{}: {}", week.label, facts.join("; ")));
        }
        parts.extend([self.threshold.clone(), self.note.clone()]);
        sentences(parts.iter().map(String::as_str))
    }
}

/// A jump in whole percent with its sign. Beyond a hundredfold only that is told.
fn percent(jump: f64) -> String {
    let whole = libm::round(jump);
    if whole > 9999.0 {
        return "> +9999 %".to_owned();
    }
    let sign = if whole > 0.0 {
        "+"
    } else if whole < 0.0 {
        "−"
    } else {
        ""
    };
    format!("{sign}{:.0} %", libm::fabs(whole))
}

/// Where load runs on the page: from a zero upwards or to the right.
#[derive(Clone, Copy, Debug)]
struct Axis {
    upwards: bool,
    zero: f64,
    /// Picture units for one unit of load.
    scale: f64,
}

impl Axis {
    fn at(&self, load: f64) -> f64 {
        if self.upwards { self.zero - load * self.scale } else { self.zero + load * self.scale }
    }

    /// A rectangle between two loads, about a middle line.
    fn piece(&self, load: [f64; 2], middle: f64, wide: f64) -> ([f64; 2], [f64; 2]) {
        let (a, b) = (self.at(load[0]), self.at(load[1]));
        if self.upwards {
            ([middle - wide / 2.0, b], [wide, a - b])
        } else {
            ([a, middle - wide / 2.0], [b - a, wide])
        }
    }

    /// A line across at one load.
    fn across(&self, load: f64, from: f64, to: f64) -> [[f64; 2]; 2] {
        let at = self.at(load);
        if self.upwards { [[from, at], [to, at]] } else { [[at, from], [at, to]] }
    }
}

/// Draws one load.
fn draw_load(svg: &mut Svg, axis: &Axis, middle: f64, load: Interval, done: bool, over: bool) {
    let wide = if done { BAR } else { BAR - 2.0 };
    let edge = if over { STOP } else { INK };
    let fill = if done { Paint::Accent.fill() } else { PAPER };
    let (at, size) = axis.piece([0.0, load.low], middle, wide);
    if size[0] > 0.3 && size[1] > 0.3 {
        svg.rect(at, size, 0.0, &Ink { fill, stroke: edge, width: 1.4, class: "bar", ..Ink::default() });
    }
    let (at, size) = axis.piece([load.low, load.high], middle, wide);
    if size[0] > 0.3 && size[1] > 0.3 {
        let dash = if done { "" } else { "3 2.5" };
        svg.rect(at, size, 0.0, &Ink { fill: PAPER, stroke: edge, width: 1.4, dash, ..Ink::default() });
        if done {
            let ink = Ink { fill: "none", stroke: Paint::AccentFar.fill(), width: 1.8, ..Ink::default() };
            svg.path(&hatching(at, size, 5.5), &ink);
        }
    }
    let [from, to] = axis.across(load.high, middle - BAR / 2.0 - 1.5, middle + BAR / 2.0 + 1.5);
    rule(svg, from, to, if done { 3.6 } else { 2.4 }, edge, "");
    if over {
        let reach = 5.0 + NO_SIGN;
        let at = axis.at(load.high);
        no_sign(svg, if axis.upwards { [middle, at - reach] } else { [at + reach, middle] });
    }
}

/// Where the columns of a band stand.
#[derive(Clone, Copy, Debug)]
struct Band {
    sides: [f64; 2],
    /// Room of one week.
    place: f64,
    /// Height of the axis.
    tall: f64,
    /// Load at the end of the axis.
    end: f64,
}

impl Band {
    fn middle(&self, week: usize) -> f64 {
        self.sides[0] + self.place * (week as f64 + 0.5)
    }
}

struct Drawing<'a> {
    chart: &'a ExposureChart,
    svg: Svg,
    width: f64,
    margin: f64,
    /// Lower edge of what is drawn.
    y: f64,
}

impl Drawing<'_> {
    fn inner(&self) -> f64 {
        self.width - 2.0 * self.margin
    }

    fn head(&mut self) {
        let mut head = Block::default();
        head.push(TITLE, INK, &self.chart.title, self.inner());
        head.push(STRONG, INK, &self.chart.today, self.inner());
        head.push(SMALL, QUIET, &self.chart.subtitle, self.inner());
        self.y = head.draw(&mut self.svg, [self.margin, self.y], false) + 10.0;
    }

    /// Left and right edge of the columns.
    fn sides(&self, ticks: &[f64]) -> [f64; 2] {
        let beside = if self.chart.ceiling.is_some() { BESIDE } else { 0.0 };
        let mark = self.chart.words.decimal_mark;
        let labels = ticks.iter().map(|&it| SMALL.width(&tick_label(it, mark))).fold(30.0, f64::max);
        [self.margin + libm::ceil(labels) + 12.0, self.width - self.margin - beside]
    }

    /// Weeks side by side, in several bands of one scale where one would be too crowded.
    fn columns(&mut self, ticks: &[f64], end: f64) {
        let [left, right] = self.sides(ticks);
        let jumps = self.chart.weeks.iter().filter_map(|week| week.jump_percent);
        let place = jumps.map(|it| SMALL_BOLD.width(&percent(it)) + 8.0).fold(PLACE, f64::max);
        let most = libm::floor((right - left) / place).max(1.0) as usize;
        let bands = self.chart.weeks.len().div_ceil(most);
        let each = self.chart.weeks.len().div_ceil(bands);
        let band = Band {
            sides: [left, right],
            place: ((right - left) / each as f64).min(104.0),
            tall: if bands == 1 { TALL } else { TALL * 0.65 },
            end,
        };
        for (i, weeks) in self.chart.weeks.chunks(each).enumerate() {
            self.y += if i == 0 { 0.0 } else { 10.0 };
            self.jumps(&band, weeks, i == 0);
            self.band(&band, weeks, ticks, i == 0);
        }
    }

    /// The jumps above a band.
    fn jumps(&mut self, band: &Band, weeks: &[WeekBar], first: bool) {
        if !self.chart.weeks.iter().any(|week| week.jump_percent.is_some() || week.flagged) {
            return;
        }
        if first {
            let mut words = Block::default();
            words.push(SMALL, QUIET, &self.chart.words.jump, self.inner());
            self.y = words.draw(&mut self.svg, [self.margin, self.y], false) + 3.0;
        }
        let flags = if weeks.iter().any(|week| week.flagged) { 20.0 } else { 0.0 };
        for (i, week) in weeks.iter().enumerate() {
            let x = band.middle(i);
            if week.flagged {
                flag(&mut self.svg, [x, self.y + 9.0]);
            }
            if let Some(jump) = week.jump_percent {
                let kind = if week.flagged { SMALL_BOLD } else { SMALL };
                let at = [x, self.y + flags + 13.0];
                write(&mut self.svg, at, kind, Anchor::Middle, INK, &percent(jump));
            }
        }
        self.y += flags + 24.0;
    }

    /// One band of columns. The first carries the words of axis and ceiling.
    fn band(&mut self, band: &Band, weeks: &[WeekBar], ticks: &[f64], first: bool) {
        let ([left, right], chart) = (band.sides, self.chart);
        if first {
            let mut words = Block::default();
            words.push(SMALL_BOLD, INK, &chart.axis, self.inner());
            self.y = words.draw(&mut self.svg, [self.margin, self.y], false);
        }
        let top = self.y + 4.0;
        let bottom = top + BEYOND + band.tall;
        let axis = Axis { upwards: true, zero: bottom, scale: band.tall / band.end };
        for &tick in ticks {
            let y = axis.at(tick);
            rule(&mut self.svg, [left, y], [right, y], 1.0, grid_ink(), "");
            let label = tick_label(tick, chart.words.decimal_mark);
            write(&mut self.svg, [left - 8.0, y + 4.5], SMALL, Anchor::End, INK, &label);
        }
        if let Some(ceiling) = &chart.ceiling {
            let y = axis.at(ceiling.value);
            rule(&mut self.svg, [left, y], [right + 8.0, y], CEILING_WIDTH, STOP, "");
            if first {
                let label = Label::new(&ceiling.label, BESIDE - 10.0);
                let lowest = (bottom - label.size[1]).max(top);
                label.draw(&mut self.svg, [right + 8.0, (y - label.size[1] / 2.0).clamp(top, lowest)]);
            }
        }
        let room = band.place - 6.0;
        let crowded = chart.weeks.iter().any(|week| SMALL.wrap(&week.label, room).len() > 1);
        let words = || chart.weeks.iter().flat_map(|week| week.label.split(' '));
        // Where one label breaks, all do.
        let longest = words().map(|word| SMALL.width(word) * 1.02).fold(0.0, f64::max);
        let room = if crowded { longest.min(room) } else { room };
        let mut deepest: f64 = 0.0;
        for (i, week) in weeks.iter().enumerate() {
            let x = band.middle(i);
            self.week(&axis, [x - 10.0, x + 10.0], week);
            for (line, words) in SMALL.wrap(&week.label, room).iter().enumerate() {
                let y = 18.0 + line as f64 * SMALL.leading();
                write(&mut self.svg, [x, bottom + y], SMALL, Anchor::Middle, INK, words);
                deepest = deepest.max(y);
            }
        }
        rule(&mut self.svg, [left, bottom], [right, bottom], 2.0, INK, "");
        self.y = bottom + deepest + 16.0;
    }

    /// Weeks below each other.
    fn lines(&mut self, ticks: &[f64], end: f64) {
        let chart = self.chart;
        let (left, right) = (self.margin, self.width - self.margin);
        let axis = Axis { upwards: false, zero: left + 2.0, scale: (right - left - 2.0 - BEYOND) / end };
        let label = chart.ceiling.as_ref().map(|ceiling| {
            let label = Label::new(&ceiling.label, self.inner().min(330.0));
            let top = self.y;
            self.y += label.size[1] + Label::TIP;
            (label, axis.at(ceiling.value), top)
        });
        let top = self.y;
        let rows: Vec<LinesRow> = chart
            .weeks
            .iter()
            .map(|week| {
                let row = LinesRow::new(chart, week, self.y, self.inner());
                self.y += row.height;
                row
            })
            .collect();
        let bottom = self.y + 2.0;
        for row in &rows {
            let [from, to] = [row.bars - 4.0, row.bars + 2.0 * LANE + 4.0];
            for &tick in ticks {
                let [a, b] = axis.across(tick, from, to);
                rule(&mut self.svg, a, b, 1.0, grid_ink(), "");
            }
        }
        if let Some((label, x, edge)) = &label {
            // Between the bars it is thin, for words stand there.
            rule(&mut self.svg, [*x, edge + label.size[1]], [*x, bottom], 1.2, STOP, "");
            for row in &rows {
                let [from, to] = [row.bars - 4.0, row.bars + 2.0 * LANE + 4.0];
                rule(&mut self.svg, [*x, from], [*x, to], CEILING_WIDTH, STOP, "");
            }
            label.draw_over(&mut self.svg, *x, *edge, [left, right]);
        }
        for (row, week) in rows.iter().zip(&chart.weeks) {
            if row.top > top {
                rule(&mut self.svg, [left, row.top], [right, row.top], 0.8, grid_ink(), "");
            }
            let jump_left = right - row.jump_width;
            write_over(&mut self.svg, [left, row.top + 19.0], STRONG, Anchor::Start, INK, &week.label);
            if week.flagged {
                flag(&mut self.svg, [jump_left - 14.0, row.top + 14.0]);
            }
            write_over(&mut self.svg, [right, row.top + 19.0], row.jump_type, Anchor::End, INK, &row.jump);
            row.words.draw(&mut self.svg, [left, row.top + 25.0], true);
            let [from, to] = [row.bars - 4.0, row.bars + 2.0 * LANE + 4.0];
            rule(&mut self.svg, [axis.zero, from], [axis.zero, to], 2.0, INK, "");
            self.week(&axis, [row.bars + LANE / 2.0, row.bars + LANE * 1.5], week);
        }
        rule(&mut self.svg, [left, bottom], [right, bottom], 1.4, INK, "");
        let mut last_end = f64::MIN;
        for &tick in ticks {
            let (x, words) = (axis.at(tick), tick_label(tick, chart.words.decimal_mark));
            let half = SMALL.width(&words) / 2.0;
            let x_words = x.clamp(left + half, right - half);
            rule(&mut self.svg, [x, bottom], [x, bottom + 4.0], 1.4, INK, "");
            if x_words - half > last_end {
                write(&mut self.svg, [x_words, bottom + 17.0], SMALL, Anchor::Middle, INK, &words);
                last_end = x_words + half + 6.0;
            }
        }
        let mut words = Block::default();
        words.push(SMALL_BOLD, INK, &chart.axis, self.inner());
        self.y = words.draw(&mut self.svg, [left, bottom + 24.0], false) + 12.0;
    }

    /// The two loads of a week, about two middle lines.
    fn week(&mut self, axis: &Axis, middles: [f64; 2], week: &WeekBar) {
        for (load, middle, done) in [(week.planned, middles[0], false), (week.done, middles[1], true)] {
            match load {
                Some(load) => {
                    draw_load(&mut self.svg, axis, middle, load, done, self.chart.is_over(load));
                    if load.high == 0.0 {
                        let at = if axis.upwards {
                            [middle, axis.zero - 6.0]
                        } else {
                            [axis.zero + 10.0, middle + 4.6]
                        };
                        write(&mut self.svg, at, SMALL_BOLD, Anchor::Middle, INK, "0");
                    }
                }
                None if done => {
                    let at =
                        if axis.upwards { [middle, axis.zero - 8.0] } else { [axis.zero + 10.0, middle] };
                    draw_nothing(&mut self.svg, at);
                }
                None => {}
            }
        }
    }

    /// What bars and signs mean, as far as they occur.
    fn key(&mut self) {
        let (chart, words) = (self.chart, &self.chart.words);
        let loads = || chart.weeks.iter().flat_map(|week| [week.planned, week.done]).flatten();
        let below = self.width < NARROW;
        let entries = [
            (Key::Planned, &words.planned, chart.weeks.iter().any(|it| it.planned.is_some())),
            (Key::Done, &words.done, chart.weeks.iter().any(|it| it.done.is_some())),
            (Key::Between, &words.between, loads().any(|it| it.high > it.low)),
            (Key::Over, &words.over, loads().any(|it| chart.is_over(it))),
            (Key::Jump, &words.jump, below && chart.weeks.iter().any(|it| it.jump_percent.is_some())),
            (Key::Flag, &words.flagged, chart.weeks.iter().any(|it| it.flagged)),
            (Key::Nothing, &words.no_entry, chart.weeks.iter().any(|it| it.done.is_none())),
        ];
        let shown: Vec<(Key, &String)> =
            entries.into_iter().filter(|it| it.2).map(|it| (it.0, it.1)).collect();
        let columns = if self.width < NARROW { 1 } else { 2 };
        let wide = self.inner() / columns as f64;
        for pair in shown.chunks(columns) {
            let mut tall: f64 = 24.0;
            for (i, (key, words)) in pair.iter().enumerate() {
                let left = self.margin + wide * i as f64;
                self.sign(*key, [left + 4.0, self.y + 11.0]);
                let mut block = Block::default();
                block.push(SMALL, INK, words, wide - 62.0);
                block.draw(&mut self.svg, [left + 52.0, self.y + 2.5], false);
                tall = tall.max(block.height() + 7.0);
            }
            self.y += tall;
        }
    }

    fn sign(&mut self, key: Key, at: [f64; 2]) {
        let axis = Axis { upwards: false, zero: at[0], scale: 36.0 };
        let middle = [at[0] + 18.0, at[1]];
        let svg = &mut self.svg;
        match key {
            Key::Planned => draw_load(svg, &axis, at[1], Interval { low: 1.0, high: 1.0 }, false, false),
            Key::Done => draw_load(svg, &axis, at[1], Interval { low: 1.0, high: 1.0 }, true, false),
            Key::Between => draw_load(svg, &axis, at[1], Interval { low: 0.4, high: 1.0 }, true, false),
            Key::Over => no_sign(svg, middle),
            Key::Jump => write(svg, [middle[0], middle[1] + 4.6], SMALL, Anchor::Middle, INK, "± %"),
            Key::Flag => flag(svg, middle),
            Key::Nothing => draw_nothing(svg, middle),
        }
    }

    fn notes(&mut self) {
        let mut notes = Block::default();
        notes.push(SMALL, INK, &self.chart.threshold, self.inner());
        notes.push(SMALL_BOLD, INK, &self.chart.note, self.inner());
        self.y = notes.draw(&mut self.svg, [self.margin, self.y + 8.0], false);
    }
}

#[derive(Clone, Copy, Debug)]
enum Key {
    Planned,
    Done,
    Between,
    Over,
    Jump,
    Flag,
    Nothing,
}

/// The sign of a week without an entry: a short stroke, so that it is not taken for nothing done.
fn draw_nothing(svg: &mut Svg, c: [f64; 2]) {
    rule(svg, [c[0] - 4.0, c[1]], [c[0] + 4.0, c[1]], 2.4, QUIET, "");
}

/// Height of the lane of one bar where weeks stand below each other.
const LANE: f64 = 22.0;

/// A week below others, with its words laid out.
struct LinesRow {
    top: f64,
    height: f64,
    words: Block,
    jump: String,
    jump_type: Type,
    jump_width: f64,
    /// Upper edge of the bars.
    bars: f64,
}

impl LinesRow {
    fn new(chart: &ExposureChart, week: &WeekBar, top: f64, width: f64) -> LinesRow {
        let jump = week.jump_percent.map(percent).unwrap_or_default();
        let jump_type = if week.flagged { SMALL_BOLD } else { SMALL };
        let mut words = Block::default();
        for (load, word) in [(week.planned, &chart.words.planned), (week.done, &chart.words.done)] {
            if let Some(load) = load {
                let mut line = format!("{word}: {}", chart.figure(load));
                if chart.is_over(load) {
                    line = format!("{line}, {}", chart.words.over);
                }
                words.push(SMALL, INK, &line, width);
            }
        }
        if week.done.is_none() {
            words.push(SMALL, QUIET, &chart.words.no_entry, width);
        }
        if week.flagged {
            words.push(SMALL_BOLD, INK, &chart.words.flagged, width);
        }
        let bars = top + 25.0 + words.height() + 7.0;
        let jump_width = jump_type.width(&jump);
        LinesRow { top, height: bars + 2.0 * LANE + 8.0 - top, words, jump, jump_type, jump_width, bars }
    }
}
