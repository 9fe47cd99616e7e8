//! Drawing of the envelope chart.

use super::{AxisPanel, EnvelopeChart, Lane, Manner, Measured, Piece, Segment, Status, Toward, When};
use crate::chart::{
    Block, QUIET, Type, disc, flag, grid_ink, hatching, no_sign, rule, shape, write, write_over,
};
use crate::palette::{ARROW, INK, PAPER, Paint, STOP};
use crate::svg::{Anchor, Ink, Svg};

const TITLE: Type = Type::new(19.0, true);
const STRONG: Type = Type::new(14.0, true);
const SMALL: Type = Type::new(13.0, false);
const SMALL_BOLD: Type = Type::new(13.0, true);

/// From this width on names stand beside what they name.
const BESIDE_FROM: f64 = 680.0;
/// Width of the names beside the chart.
const COLUMN: f64 = 190.0;
/// Room for the figures of an axis of degrees.
const FIGURES: f64 = 34.0;

/// Band in force.
const BAND: &str = "#b9dcda";
/// Band that goes on after today.
const PALE: &str = "#e3f1f0";
/// Strips in which a band ends where no limit is on record.
const FADE: [&str; 3] = ["#cce5e4", "#deefee", "#f0f8f7"];
/// Height of such a strip.
const FADE_STEP: f64 = 3.0;
/// Lines of a planned part.
const HATCH: &str = "#6f9c9c";
/// Broken outline: assumed.
const BROKEN: &str = "6 4.5";
/// Thin edge where nothing is on record.
const DOTS: &str = "0.1 4.5";
/// Width of a band's edge.
const EDGE: f64 = 2.4;
/// Most lines of words in a segment of a lane, its status not counted.
const SEGMENT_LINES: usize = 2;

/// Where things are on the page.
#[derive(Clone, Copy, Debug)]
pub(super) struct Place {
    width: f64,
    margin: f64,
    /// Left edge of the days.
    pub left: f64,
    /// Picture units for one day: whole tenths, so that no day is rounded.
    pub day: f64,
    days: i32,
    /// True when names stand beside the chart.
    beside: bool,
}

impl Place {
    pub fn new(width: f64, days: i32) -> Place {
        let beside = width >= BESIDE_FROM;
        let margin = if beside { 16.0 } else { 12.0 };
        let left = margin + FIGURES + if beside { COLUMN } else { 0.0 };
        let day = libm::floor((width - margin - 4.0 - left) / f64::from(days) * 10.0 + 1e-9) / 10.0;
        Place { width, margin, left, day, days, beside }
    }

    /// Where a day begins.
    pub fn x(&self, day: i32) -> f64 {
        self.left + f64::from(day.clamp(0, self.days)) * self.day
    }

    fn middle(&self, day: i32) -> f64 {
        self.x(day) + self.day / 2.0
    }

    fn right(&self) -> f64 {
        self.x(self.days)
    }

    fn inner(&self) -> f64 {
        self.width - 2.0 * self.margin
    }
}

/// Degrees on the page.
#[derive(Clone, Copy, Debug)]
pub(super) struct Scale {
    pub top: f64,
    pub bottom: f64,
    pub low: f64,
    pub high: f64,
}

impl Scale {
    pub fn y(&self, degrees: f64) -> f64 {
        self.top + (self.high - degrees) / (self.high - self.low) * (self.bottom - self.top)
    }

    /// The tenth on the page that is not looser than a limit.
    pub fn edge(&self, degrees: f64, toward: Toward) -> f64 {
        let tenths = self.y(degrees) * 10.0;
        match toward {
            Toward::Up => libm::ceil(tenths - 1e-7) / 10.0,
            Toward::Down => libm::floor(tenths + 1e-7) / 10.0,
        }
    }
}

/// A rectangle: left, top, right, bottom.
type Box4 = [f64; 4];

fn meet(a: &Box4, b: &Box4) -> bool {
    a[0] < b[2] && b[0] < a[2] && a[1] < b[3] && b[1] < a[3]
}

/// A sign of the key.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Sign {
    InForce,
    GoesOn,
    Lingers,
    Planned,
    Assumed,
    Open,
    Other,
    Overdue,
    Program,
    Beyond,
    Closed,
    Point(Manner),
    Visit(bool),
}

fn visit_sign(svg: &mut Svg, c: [f64; 2], past: bool) {
    let points = [[c[0] - 5.5, c[1] - 5.0], [c[0] + 5.5, c[1] - 5.0], [c[0], c[1] + 5.5]];
    let fill = if past { INK } else { PAPER };
    shape(svg, &points, &Ink { fill, stroke: INK, width: 1.5, class: "visit", ..Ink::default() });
}

fn point(svg: &mut Svg, c: [f64; 2], manner: Manner) {
    let rim = Ink { fill: INK, stroke: PAPER, width: 1.6, under: true, class: "point", ..Ink::default() };
    let open = Ink { fill: PAPER, stroke: INK, width: 1.9, class: "point", ..Ink::default() };
    match manner {
        Manner::Active => disc(svg, c, 4.2, &rim),
        Manner::Passive => svg.rect([c[0] - 3.8, c[1] - 3.8], [7.6, 7.6], 0.0, &open),
        Manner::Unstated => {
            let points = [[c[0], c[1] - 5.4], [c[0] + 5.4, c[1]], [c[0], c[1] + 5.4], [c[0] - 5.4, c[1]]];
            shape(svg, &points, &open);
        }
    }
}

/// Letter that stands for words.
fn letter(place: usize) -> String {
    let (round, letter) = (place / 26, (b'A' + (place % 26) as u8) as char);
    if round == 0 { letter.to_string() } else { format!("{letter}{round}") }
}

/// A straight line with blunt ends, so that it ends where it says.
fn stroke(svg: &mut Svg, from: [f64; 2], to: [f64; 2], width: f64, stroke: &str, dash: &str) {
    if dash.is_empty() && (from[1] - to[1]).abs() < 1e-9 {
        let size = [to[0] - from[0], width];
        svg.rect([from[0], from[1] - width / 2.0], size, 0.0, &Ink { fill: stroke, ..Ink::default() });
    } else {
        rule(svg, from, to, width, stroke, dash);
    }
}

struct Drawing<'a> {
    chart: &'a EnvelopeChart,
    place: Place,
    /// Areas.
    svg: Svg,
    /// Words and signs, above the line of today.
    front: Svg,
    y: f64,
    /// Upper and lower edges of rows through which the line of today runs: not through lines of text.
    rows: Vec<[f64; 2]>,
    signs: Vec<Sign>,
}

/// The whole picture.
pub(super) fn draw(chart: &EnvelopeChart, id: &str, width: f64) -> String {
    let mut d = Drawing::new(chart, width);
    d.head();
    d.time_above();
    d.phases();
    d.visits();
    for lane in &chart.lanes {
        d.lane(lane);
    }
    for panel in &chart.panels {
        d.panel(panel);
    }
    d.time_below();
    d.key();
    d.notes();
    let size = [width, libm::ceil(d.y + 12.0)];
    let mut svg = Svg::open(size, id, &chart.title, &chart.description());
    svg.rect([0.0, 0.0], size, 0.0, &Ink { fill: PAPER, ..Ink::default() });
    svg.raw(&d.svg.into_fragment());
    svg.raw(&d.front.into_fragment());
    svg.close()
}

impl<'a> Drawing<'a> {
    fn new(chart: &'a EnvelopeChart, width: f64) -> Drawing<'a> {
        Drawing {
            chart,
            place: Place::new(width, chart.days),
            svg: Svg::fragment(),
            front: Svg::fragment(),
            y: 14.0,
            rows: Vec::new(),
            signs: Vec::new(),
        }
    }

    fn sign(&mut self, sign: Sign) {
        if !self.signs.contains(&sign) {
            self.signs.push(sign);
        }
    }

    fn head(&mut self) {
        let (chart, inner) = (self.chart, self.place.inner());
        let mut head = Block::default();
        head.push(TITLE, INK, &chart.title, inner);
        head.push(STRONG, INK, &chart.today_label, inner);
        head.push(SMALL, QUIET, &chart.subtitle, inner);
        self.y = head.draw(&mut self.front, [self.place.margin, self.y], false) + 8.0;
    }

    // ------------------------------------------------------------------------------------------------- time

    /// Complete weeks that get a figure.
    fn weeks(&self) -> Vec<i32> {
        let last = self.chart.days / 7;
        let room = |step: i32| f64::from(step * 7) * self.place.day >= 24.0;
        let step = [1, 2, 4, 8, 12, 26].into_iter().find(|&step| room(step)).unwrap_or(52);
        (0..=last).step_by(step as usize).collect()
    }

    /// Figures of the weeks with their base line at a place; those under something else are left out.
    fn week_figures(&mut self, y: f64, taken: Option<Box4>) {
        for week in self.weeks() {
            let text = week.to_string();
            let half = SMALL.width(&text) / 2.0;
            let x = self.place.x(week * 7);
            let mine = [x - half - 3.0, y - 11.0, x + half + 3.0, y + 3.0];
            if taken.is_none_or(|it| !meet(&it, &mine)) && x + half <= self.place.width {
                write_over(&mut self.front, [x, y], SMALL, Anchor::Middle, INK, &text);
            }
        }
    }

    fn time_above(&mut self) {
        let (place, chart) = (self.place, self.chart);
        // The sign of today is a line above the figures, so that neither hides the other.
        let text = &chart.words.today;
        let half = SMALL_BOLD.width(text) / 2.0 + 7.0;
        let x = place.middle(chart.today);
        let middle = x.clamp(place.margin + half, place.width - place.margin - half);
        let chip = [middle - half, self.y, middle + half, self.y + 19.0];
        self.front.rect([chip[0], chip[1]], [2.0 * half, 19.0], 3.0, &Ink { fill: INK, ..Ink::default() });
        write(&mut self.front, [middle, self.y + 14.0], SMALL_BOLD, Anchor::Middle, PAPER, text);
        let line_top = self.y + 19.0;
        // What runs across stands beside the figures, or on the line of the sign.
        let words = &chart.words.weeks;
        let y = self.y + 14.0;
        if place.beside {
            let mut block = Block::default();
            block.push(SMALL, QUIET, words, COLUMN - 8.0);
            let below = block.draw(&mut self.front, [place.margin, self.y + 19.0], false);
            self.y = below.max(self.y + 37.0);
            self.week_figures(y + 19.0, None);
        } else {
            let wide = SMALL.width(words) + 6.0;
            if place.margin + wide <= chip[0] {
                write(&mut self.front, [place.margin, y], SMALL, Anchor::Start, QUIET, words);
            } else if chip[2] + wide + 6.0 <= place.width - place.margin {
                write(&mut self.front, [place.width - place.margin, y], SMALL, Anchor::End, QUIET, words);
            } else {
                let mut block = Block::default();
                block.push(SMALL, QUIET, words, place.inner());
                let top = self.y + 20.0;
                self.y = block.draw(&mut self.front, [place.margin, top], true) - 20.0;
            }
            self.week_figures(self.y + 33.0, None);
            self.y += 37.0;
        }
        self.rows.push([line_top, self.y]);
        self.y += 3.0;
    }

    fn time_below(&mut self) {
        let (place, chart) = (self.place, self.chart);
        let x = place.middle(chart.today);
        let mut line: Vec<[f64; 2]> = Vec::new();
        for row in std::mem::take(&mut self.rows) {
            match line.last_mut() {
                // Small gaps between rows are bridged.
                Some(last) if row[0] - last[1] < 15.0 => last[1] = row[1],
                _ => line.push(row),
            }
        }
        for [top, bottom] in line {
            rule(&mut self.svg, [x, top], [x, bottom], 1.7, INK, "");
        }
        self.week_figures(self.y + 14.0, None);
        self.y += 17.0;
        let mut words = Block::default();
        words.push(SMALL, QUIET, &chart.words.weeks, place.right() - place.left);
        self.y = words.draw(&mut self.front, [place.left, self.y], false) + 10.0;
    }

    /// The name of a row. Beside the chart it takes no room; above, it moves the row down.
    fn name(&mut self, name: &str) -> f64 {
        let place = self.place;
        let mut block = Block::default();
        if place.beside {
            block.push(SMALL_BOLD, INK, name, COLUMN + FIGURES - 14.0);
            block.draw(&mut self.front, [place.margin, self.y + 1.0], false)
        } else {
            block.push(SMALL_BOLD, INK, name, place.inner());
            self.y = block.draw(&mut self.front, [place.margin, self.y], true) + 1.0;
            self.y
        }
    }

    fn phases(&mut self) {
        let (place, chart) = (self.place, self.chart);
        let mut phases: Vec<_> = chart.phases.iter().filter(|it| it.day < chart.days).collect();
        if phases.is_empty() {
            return;
        }
        phases.sort_by_key(|it| it.day);
        let named = self.name(&chart.words.phases);
        let top = self.y;
        let pieces: Vec<Words> = phases
            .iter()
            .enumerate()
            .map(|(i, it)| {
                let next = phases.get(i + 1).map(|it| it.day);
                Words {
                    from: place.x(it.day),
                    to: next.map_or(place.right(), |day| place.x(day)),
                    text: it.label.clone(),
                    under: String::new(),
                    days: self.days_text(it.day, next),
                    row: 0,
                }
            })
            .collect();
        for (piece, phase) in pieces.iter().zip(&phases) {
            let dash = if phase.day > chart.today { "3 3" } else { "" };
            rule(&mut self.svg, [piece.from, top], [piece.from, top + 18.0], 1.6, QUIET, dash);
        }
        self.rows.push([top, top + 18.0]);
        let bottom = self.fill_words(&pieces, top, 18.0);
        self.y = bottom.max(named) + 4.0;
    }

    fn visits(&mut self) {
        let (place, chart) = (self.place, self.chart);
        let mut visits: Vec<_> = chart.visits.iter().filter(|it| (0..chart.days).contains(&it.day)).collect();
        if visits.is_empty() {
            return;
        }
        visits.sort_by_key(|it| it.day);
        let named = self.name(&chart.words.visits);
        let y = self.y + 8.0;
        let mut free = place.left - 40.0;
        for (i, visit) in visits.iter().enumerate() {
            let x = place.middle(visit.day);
            let past = visit.day <= chart.today;
            visit_sign(&mut self.front, [x, y], past);
            self.sign(Sign::Visit(past));
            let wide = SMALL.width(&visit.label) + 4.0;
            let next = visits.get(i + 1).map_or(place.width - 2.0, |it| place.middle(it.day) - 8.0);
            if x + 9.0 >= free && x + 9.0 + wide <= next {
                write_over(&mut self.front, [x + 9.0, y + 4.5], SMALL, Anchor::Start, INK, &visit.label);
                free = x + 9.0 + wide;
            } else if x - 9.0 - wide >= free {
                write_over(&mut self.front, [x - 9.0, y + 4.5], SMALL, Anchor::End, INK, &visit.label);
                free = x + 8.0;
            } else {
                free = x + 8.0;
            }
        }
        self.rows.push([self.y, self.y + 18.0]);
        self.y = (self.y + 18.0).max(named) + 6.0;
    }

    /// Days in words, the last one included.
    fn days_text(&self, from: i32, until: Option<i32>) -> String {
        let last = until.map_or(String::new(), |day| (day - 1).to_string());
        format!("{} {from}–{last}", self.chart.words.days)
    }

    // ------------------------------------------------------------------------------------------------ lanes

    /// Words in boxes of one row; where they do not fit a letter stands for them, told below. Returns the lower
    /// edge.
    fn fill_words(&mut self, pieces: &[Words], top: f64, height: f64) -> f64 {
        let today = self.place.middle(self.chart.today);
        let mut told = Vec::new();
        let mut rows = 0;
        for piece in pieces {
            let y = top + piece.row as f64 * (height + 3.0);
            rows = rows.max(piece.row + 1);
            let Some((x, lines)) = piece.fit(today, height) else {
                told.push(piece);
                let name = letter(told.len() - 1);
                let middle = (piece.from + piece.to) / 2.0;
                if SMALL_BOLD.width(&name) + 2.0 <= piece.to - piece.from {
                    let at = [middle, y + height / 2.0 + 4.5];
                    write_over(&mut self.front, at, SMALL_BOLD, Anchor::Middle, INK, &name);
                }
                continue;
            };
            let mut base = y + (height - lines.len() as f64 * 16.0) / 2.0 + 12.5;
            for (kind, line) in lines {
                write_over(&mut self.front, [x, base], kind, Anchor::Start, INK, &line);
                base += 16.0;
            }
        }
        let mut bottom = top + rows as f64 * (height + 3.0);
        for (i, piece) in told.iter().enumerate() {
            let under = if piece.under.is_empty() { String::new() } else { format!(" · {}", piece.under) };
            let text = format!("{}{under} · {}", piece.text, piece.days);
            let left = self.place.left;
            let mut block = Block::default();
            block.push(SMALL, INK, &text, self.place.width - self.place.margin - left - 18.0);
            let at = [left, bottom + SMALL.size];
            write(&mut self.front, at, SMALL_BOLD, Anchor::Start, INK, &letter(i));
            bottom = block.draw(&mut self.front, [left + 18.0, bottom], false);
        }
        bottom
    }

    fn lane(&mut self, lane: &Lane) {
        let (place, chart) = (self.place, self.chart);
        let named = self.name(&lane.name);
        let top = self.y;
        let mut shown: Vec<(&Segment, i32, i32)> = lane
            .segments
            .iter()
            .map(|it| {
                (it, it.span.from.max(0), it.span.end(chart.today).unwrap_or(chart.days).min(chart.days))
            })
            .filter(|it| it.1 < it.2)
            .collect();
        shown.sort_by_key(|it| (it.1, it.2));
        // Where several hold at once they stand below each other.
        let mut ends: Vec<i32> = Vec::new();
        let mut pieces = Vec::new();
        for &(segment, from, until) in &shown {
            let row = ends.iter().position(|&end| end <= from).unwrap_or(ends.len());
            if row == ends.len() {
                ends.push(until);
            } else {
                ends[row] = until;
            }
            let overdue = segment.span.is_overdue(chart.today);
            let status = chart.status(segment.status);
            let under =
                if overdue { format!("{status}, {}", chart.words.overdue) } else { status.to_owned() };
            let days = self.days_text(segment.span.from, segment.span.end(chart.today));
            let (from, to) = (place.x(from), place.x(until));
            pieces.push(Words { from, to, text: segment.text.clone(), under, days, row });
        }
        // A lane is as high as its words ask for, and no higher.
        let today = place.middle(chart.today);
        let height = [22.0, 38.0, 54.0]
            .into_iter()
            .find(|&it| pieces.iter().all(|piece| piece.fit(today, it).is_some()))
            .unwrap_or(38.0);
        self.lane_gaps(&shown, top, height);
        for (&(segment, from, until), words) in shown.iter().zip(&pieces) {
            let y = top + words.row as f64 * (height + 3.0);
            self.segment(segment, [from, until], y, height);
        }
        let rows = ends.len().max(1) as f64;
        self.rows.push([top, top + rows * (height + 3.0)]);
        let bottom = self.fill_words(&pieces, top, height);
        self.y = bottom.max(named).max(top + height) + 5.0;
    }

    /// Where nothing is on record a lane is a row of dots.
    fn lane_gaps(&mut self, shown: &[(&Segment, i32, i32)], top: f64, height: f64) {
        let mut at = 0;
        let ends = [(self.chart.days, self.chart.days)];
        for (from, until) in shown.iter().map(|it| (it.1, it.2)).chain(ends) {
            if from > at {
                let y = top + height / 2.0;
                let (a, b) = (self.place.x(at) + 3.0, self.place.x(from) - 3.0);
                rule(&mut self.svg, [a, y], [b.max(a + 0.1), y], 1.8, QUIET, DOTS);
                let words = &self.chart.words.nothing;
                if SMALL.width(words) + 12.0 <= b - a {
                    let at = [(a + b) / 2.0, y + 4.5];
                    write_over(&mut self.front, at, SMALL, Anchor::Middle, QUIET, words);
                }
                self.sign(Sign::Open);
            }
            at = at.max(until);
        }
    }

    fn segment(&mut self, segment: &Segment, days: [i32; 2], y: f64, height: f64) {
        let (place, today) = (self.place, self.chart.today);
        let [a, b] = days.map(|day| place.x(day));
        let now = place.x(today + 1).clamp(a, b);
        let area = |svg: &mut Svg, from: f64, to: f64, fill| {
            if to - from > 0.05 {
                svg.rect([from, y], [to - from, height], 0.0, &Ink { fill, ..Ink::default() });
            }
        };
        if segment.span.is_planned(today) {
            area(&mut self.svg, a, b, PAPER);
            let ink = Ink { fill: "none", stroke: HATCH, width: 1.2, ..Ink::default() };
            self.svg.path(&hatching([a, y], [b - a, height], 7.0), &ink);
            self.sign(Sign::Planned);
        } else {
            let lingers = segment.span.lingers_from(today).map_or(b, |day| place.x(day).clamp(now, b));
            area(&mut self.svg, a, now, BAND);
            area(&mut self.svg, now, lingers, PALE);
            self.sign(Sign::InForce);
            if lingers > now {
                self.sign(Sign::GoesOn);
            }
            if b - lingers > 0.05 {
                area(&mut self.svg, lingers, b, PALE);
                let ink = Ink { fill: "none", stroke: HATCH, width: 1.2, ..Ink::default() };
                self.svg.path(&hatching([lingers, y], [b - lingers, height], 7.0), &ink);
                self.sign(Sign::Lingers);
            }
        }
        let dash = if segment.status == Status::Assumed { BROKEN } else { "" };
        if segment.status == Status::Assumed {
            self.sign(Sign::Assumed);
        }
        let ink = Ink { fill: "none", stroke: ARROW, width: 1.6, dash, class: "segment", ..Ink::default() };
        self.svg.rect([a + 0.8, y + 0.8], [(b - a - 1.6).max(0.4), height - 1.6], 0.0, &ink);
        if segment.span.is_overdue(today) {
            let from = place.x(segment.span.planned_end.unwrap_or(today).max(0));
            stroke(&mut self.svg, [from, y + height], [now, y + height], 3.4, STOP, "");
            let x = (from + 8.0).min(now - 8.0).max(a + 8.0);
            flag(&mut self.front, [x, y]);
            self.sign(Sign::Overdue);
        }
    }

    // ----------------------------------------------------------------------------------------------- panels

    /// Title of a panel and what is to be said of it today.
    fn facts(&self, panel: &AxisPanel) -> Block {
        let mut block = Block::default();
        let wide = if self.place.beside { COLUMN - 10.0 } else { self.place.inner() };
        block.push(STRONG, INK, &panel.title, wide);
        for (name, facts) in self.chart.facts(panel) {
            if self.place.beside {
                block.push(SMALL_BOLD, INK, name, wide);
                facts.iter().for_each(|fact| block.push(SMALL, INK, fact, wide));
            } else {
                block.push(SMALL, INK, &format!("{name}: {}", facts.join("; ")), wide);
            }
        }
        block
    }

    fn panel(&mut self, panel: &AxisPanel) {
        let place = self.place;
        self.y += 8.0;
        rule(&mut self.svg, [place.margin, self.y], [place.right(), self.y], 1.0, grid_ink(), "");
        self.y += 6.0;
        let alone = self.chart.panels.len() == 1;
        let mut tall = if alone { 240.0 } else { 168.0 };
        let facts = self.facts(panel);
        if place.beside {
            facts.draw(&mut self.front, [place.margin, self.y], false);
            tall = (facts.height() - 30.0).max(tall);
        } else {
            self.y = facts.draw(&mut self.front, [place.margin, self.y], true) + 4.0;
        }
        let top = self.y;
        self.direction(&panel.up, true);
        let scale = self.scale(panel, tall);
        self.plot(panel, &scale);
        self.y = scale.bottom;
        self.direction(&panel.down, false);
        self.rows.push([top, self.y]);
    }

    /// The name of a direction with its arrow, above or below the plot.
    fn direction(&mut self, name: &str, up: bool) {
        let x = self.place.left + 5.0;
        let (tip, foot) = if up { (3.0, 12.0) } else { (15.0, 6.0) };
        let points = [[x - 4.5, self.y + foot], [x + 4.5, self.y + foot], [x, self.y + tip]];
        shape(&mut self.front, &points, &Ink { fill: QUIET, ..Ink::default() });
        let mut block = Block::default();
        block.push(SMALL, QUIET, name, self.place.right() - x - 9.0);
        self.y = block.draw(&mut self.front, [x + 9.0, self.y], true) + 1.0;
    }

    fn scale(&self, panel: &AxisPanel, tall: f64) -> Scale {
        let limits = panel.limits.iter().map(super::AxisLimit::on_axis);
        let measured = panel.measured.iter().map(Measured::on_axis);
        let reach = panel.reach.iter().flat_map(|it| [it.low, it.high]);
        let all = limits.chain(measured).chain(reach).chain(panel.usual).chain([0.0]);
        let (low, high) = all.fold((0.0, 0.0), |(low, high): (f64, f64), it| (low.min(it), high.max(it)));
        // Room for a line of words beyond the ends.
        let more = ((high - low) * 21.0 / (tall - 42.0)).max(2.0);
        Scale { top: self.y, bottom: self.y + tall, low: low - more, high: high + more }
    }

    fn plot(&mut self, panel: &AxisPanel, scale: &Scale) {
        let (place, chart) = (self.place, self.chart);
        let pieces = panel.pieces(chart.today, chart.days);
        self.degrees(scale);
        for piece in &pieces {
            self.band(panel, piece, scale);
        }
        self.moments(scale);
        // Neutral.
        let zero = scale.y(0.0);
        rule(&mut self.svg, [place.left, zero], [place.right(), zero], 1.2, QUIET, "");
        let mut taken = self.points(panel, scale);
        taken.push([place.left, zero - 1.0, place.right(), zero + 1.0]);
        for piece in &pieces {
            for i in [piece.upper, piece.lower].into_iter().flatten().chain(piece.others.iter().copied()) {
                let y = scale.y(panel.limits[i].on_axis());
                taken.push([place.x(piece.from), y - 1.5, place.x(piece.until), y + 1.5]);
            }
        }
        self.reach(panel, scale, &mut taken);
        for toward in [Toward::Up, Toward::Down] {
            self.edges(panel, &pieces, scale, toward, &mut taken);
        }
        self.others(panel, &pieces, scale, &mut taken);
        for toward in [Toward::Up, Toward::Down] {
            self.open_side(panel, &pieces, scale, toward, &mut taken);
        }
        self.dates(panel, scale, &mut taken);
    }

    /// Grid and figures.
    fn degrees(&mut self, scale: &Scale) {
        let place = self.place;
        let unit = (scale.bottom - scale.top) / (scale.high - scale.low);
        let step =
            [5.0, 10.0, 15.0, 30.0, 45.0, 90.0].into_iter().find(|it| it * unit >= 21.0).unwrap_or(180.0);
        let mut value = libm::ceil(scale.low / step) * step;
        while value <= scale.high {
            let y = scale.y(value);
            rule(&mut self.svg, [place.left, y], [place.right(), y], 1.0, grid_ink(), "");
            let text = format!("{:.0}°", libm::fabs(value));
            let kind = if value == 0.0 { SMALL_BOLD } else { SMALL };
            write(&mut self.front, [place.left - 5.0, y + 4.5], kind, Anchor::End, INK, &text);
            value += step;
        }
    }

    /// Light lines where phases begin and visits are.
    fn moments(&mut self, scale: &Scale) {
        let (place, chart) = (self.place, self.chart);
        let phases = chart.phases.iter().map(|it| (it.day, place.x(it.day), ""));
        let visits = chart.visits.iter().map(|it| (it.day, place.middle(it.day), "2 4"));
        for (day, x, dash) in phases.chain(visits) {
            if (1..chart.days).contains(&day) {
                rule(&mut self.svg, [x, scale.top], [x, scale.bottom], 1.0, Paint::ShortsFar.fill(), dash);
            }
        }
    }

    /// The filled part of a piece.
    fn band(&mut self, panel: &AxisPanel, piece: &Piece, scale: &Scale) {
        let (a, b) = (self.place.x(piece.from), self.place.x(piece.until));
        let [low, high] = panel.ends(piece);
        let solid = match (low, high) {
            (None, None) => return,
            (Some(low), Some(high)) if low > high => {
                self.closed([a, b], scale.y(low), scale.y(high));
                return;
            }
            (Some(low), Some(high)) => [low, high],
            // On the other side of neutral nothing is said by a limit on this side.
            (None, Some(high)) => [high.min(0.0), high],
            (Some(low), None) => [low, low.max(0.0)],
        };
        let top = scale.edge(solid[1], Toward::Up);
        let bottom = scale.edge(solid[0], Toward::Down);
        let nothing_solid = bottom - top < 0.05;
        let open = if low.is_none() { Some(1.0) } else { high.is_none().then_some(-1.0) };
        let mut area = |top: f64, bottom: f64, fill: &str, class: &str| {
            if bottom - top < 0.05 {
                return;
            }
            let size = [b - a, bottom - top];
            if piece.when != When::Planned {
                self.svg.rect([a, top], size, 0.0, &Ink { fill, class, ..Ink::default() });
            }
            if matches!(piece.when, When::Planned | When::Lingers) {
                let ink = Ink { fill: "none", stroke: HATCH, width: 1.2, class, ..Ink::default() };
                self.svg.path(&hatching([a, top], size, 7.0), &ink);
            }
        };
        area(top, bottom, if piece.when == When::InForce { BAND } else { PALE }, "band");
        // It fades out where no limit is on record.
        if let Some(down) = open.filter(|_| nothing_solid || piece.when != When::Planned) {
            let from = if down > 0.0 { bottom } else { top };
            let strips = if piece.when == When::InForce { &FADE[..] } else { &FADE[1..] };
            for (i, fill) in strips.iter().enumerate() {
                let y = from + down * FADE_STEP * i as f64;
                area(y.min(y + down * FADE_STEP), y.max(y + down * FADE_STEP), fill, "fade");
            }
        }
        self.sign(match piece.when {
            When::InForce => Sign::InForce,
            When::GoesOn => Sign::GoesOn,
            When::Lingers => Sign::Lingers,
            When::Planned => Sign::Planned,
        });
    }

    /// Limits that leave no position.
    fn closed(&mut self, sides: [f64; 2], low: f64, high: f64) {
        let middle = [(sides[0] + sides[1]) / 2.0, (low + high) / 2.0];
        no_sign(&mut self.front, middle);
        self.sign(Sign::Closed);
    }

    /// The edges of a band on one side: lines, steps, what is overdue, figures.
    fn edges(
        &mut self,
        panel: &AxisPanel,
        pieces: &[Piece],
        scale: &Scale,
        toward: Toward,
        taken: &mut Vec<Box4>,
    ) {
        let (place, chart) = (self.place, self.chart);
        let side = |piece: &Piece| if toward == Toward::Up { piece.upper } else { piece.lower };
        let inward = if toward == Toward::Up { 1.0 } else { -1.0 };
        let line = |limit: usize| {
            let edge = scale.edge(panel.limits[limit].on_axis(), toward);
            edge + inward * EDGE / 2.0
        };
        let mut last: Option<(usize, i32)> = None;
        let mut runs: Vec<(usize, i32, i32, bool)> = Vec::new();
        for piece in pieces {
            let Some(i) = side(piece) else { continue };
            let limit = &panel.limits[i];
            let y = line(i);
            let (a, b) = (place.x(piece.from), place.x(piece.until));
            let assumed = limit.status == Status::Assumed;
            let dash = if assumed { BROKEN } else { "" };
            stroke(&mut self.svg, [a, y], [b, y], EDGE, ARROW, dash);
            if let Some((before, until)) = last
                && until == piece.from
                && (line(before) - y).abs() > EDGE
            {
                rule(&mut self.svg, [a, line(before)], [a, y], 1.2, ARROW, "");
            }
            if assumed {
                self.sign(Sign::Assumed);
            }
            last = Some((i, piece.until));
            let planned = piece.when == When::Planned;
            match runs.last_mut() {
                Some(run) if run.0 == i && run.2 == piece.from => run.2 = piece.until,
                _ => runs.push((i, piece.from, piece.until, planned)),
            }
        }
        for &(i, from, until, _) in &runs {
            let span = &panel.limits[i].span;
            let Some(end) = span.planned_end.filter(|_| span.is_overdue(chart.today)) else { continue };
            let a = place.x(end.max(from));
            let b = place.x((chart.today + 1).min(until));
            if b > a {
                let y = line(i);
                stroke(&mut self.svg, [a, y], [b, y], 3.6, STOP, "");
                let x = (a + 8.0).min(b - 8.0);
                let at = [x, y + inward * 12.0];
                flag(&mut self.front, at);
                taken.push([at[0] - 8.0, at[1] - 8.0, at[0] + 8.0, at[1] + 8.0]);
                self.sign(Sign::Overdue);
            }
        }
        for &(i, from, until, _) in &runs {
            let limit = &panel.limits[i];
            let figure = chart.limit_degrees(limit);
            let mut texts = Vec::new();
            let mut words = vec![figure.clone()];
            let way = chart.way(panel, limit);
            if !way.is_empty() {
                words.push(way.to_owned());
            }
            if limit.status == Status::Assumed {
                words.push(chart.words.assumed.clone());
            }
            if words.len() > 1 {
                texts.push(words.join(" "));
            }
            texts.push(figure);
            let sides = [place.x(from), place.x(until)];
            let edge = scale.edge(limit.on_axis(), toward);
            self.beside_line(&texts, sides, edge, toward, scale, taken);
        }
    }

    /// Sets the longest of some texts beside a level line where there is room for it: inside, then outside.
    fn beside_line(
        &mut self,
        texts: &[String],
        sides: [f64; 2],
        y: f64,
        toward: Toward,
        scale: &Scale,
        taken: &mut Vec<Box4>,
    ) {
        let inside_first = [toward == Toward::Up, toward != Toward::Up];
        for text in texts {
            let wide = SMALL_BOLD.width(text) * 1.01;
            let room = sides[1] - sides[0] - wide - 6.0;
            if room < 0.0 {
                continue;
            }
            let steps = libm::floor(room / 12.0).min(60.0) as i32;
            for below in inside_first {
                let base = if below { y + 15.0 } else { y - 6.0 };
                for step in 0..=steps {
                    let x = sides[0] + 3.0 + f64::from(step) * 12.0;
                    let mine = [x - 2.0, base - 11.0, x + wide + 2.0, base + 3.0];
                    if mine[1] < scale.top || mine[3] > scale.bottom || taken.iter().any(|it| meet(it, &mine))
                    {
                        continue;
                    }
                    taken.push(mine);
                    write_over(&mut self.front, [x, base], SMALL_BOLD, Anchor::Start, INK, text);
                    return;
                }
            }
        }
    }

    /// Further limits as thin lines with their words.
    fn others(&mut self, panel: &AxisPanel, pieces: &[Piece], scale: &Scale, taken: &mut Vec<Box4>) {
        let place = self.place;
        let mut runs: Vec<(usize, i32, i32)> = Vec::new();
        for piece in pieces {
            for &i in &piece.others {
                match runs.iter_mut().find(|run| run.0 == i && run.2 == piece.from) {
                    Some(run) => run.2 = piece.until,
                    None => runs.push((i, piece.from, piece.until)),
                }
            }
        }
        for (i, from, until) in runs {
            let limit = &panel.limits[i];
            let y = scale.edge(limit.on_axis(), limit.toward);
            let sides = [place.x(from), place.x(until)];
            let dash = if limit.status == Status::Assumed { BROKEN } else { "" };
            rule(&mut self.svg, [sides[0], y], [sides[1], y], 1.3, ARROW, dash);
            self.sign(Sign::Other);
            let figure = format!("{} {}", self.chart.limit_degrees(limit), self.chart.way(panel, limit));
            let mut texts = vec![figure.clone()];
            if limit.status == Status::Assumed {
                texts.insert(0, format!("{figure} {}", self.chart.words.assumed));
                self.sign(Sign::Assumed);
            }
            self.beside_line(&texts, sides, y, limit.toward, scale, taken);
        }
    }

    /// Where a side has no recorded limit: dots at the usual end of the range.
    fn open_side(
        &mut self,
        panel: &AxisPanel,
        pieces: &[Piece],
        scale: &Scale,
        toward: Toward,
        taken: &mut Vec<Box4>,
    ) {
        let end = panel.usual[if toward == Toward::Up { 1 } else { 0 }];
        let y = scale.y(end);
        let mut runs: Vec<[i32; 2]> = Vec::new();
        for piece in pieces {
            if (if toward == Toward::Up { piece.upper } else { piece.lower }).is_some() {
                continue;
            }
            match runs.last_mut() {
                Some(run) if run[1] == piece.from => run[1] = piece.until,
                _ => runs.push([piece.from, piece.until]),
            }
        }
        for run in runs {
            let sides = run.map(|day| self.place.x(day));
            rule(&mut self.svg, [sides[0] + 2.0, y], [sides[1] - 2.0, y], 1.8, QUIET, DOTS);
            self.sign(Sign::Open);
            let words = [self.chart.words.open_side.clone(), self.chart.words.nothing.clone()];
            // Beyond the end first, so that it is not read as a part of a band.
            let outward = if toward == Toward::Up { Toward::Down } else { Toward::Up };
            self.beside_line(&words, sides, y, outward, scale, taken);
        }
    }

    /// Points and the lines between them; returns the places they take.
    fn points(&mut self, panel: &AxisPanel, scale: &Scale) -> Vec<Box4> {
        let (place, chart) = (self.place, self.chart);
        let mut all: Vec<&Measured> =
            panel.measured.iter().filter(|it| (0..chart.days).contains(&it.day)).collect();
        all.sort_by_key(|it| (it.toward, it.manner, it.day));
        let at = |it: &Measured| [place.middle(it.day), scale.y(it.on_axis())];
        for pair in all.windows(2) {
            if (pair[0].toward, pair[0].manner) == (pair[1].toward, pair[1].manner) {
                rule(&mut self.front, at(pair[0]), at(pair[1]), 1.2, INK, "");
            }
        }
        for it in &all {
            point(&mut self.front, at(it), it.manner);
            self.sign(Sign::Point(it.manner));
        }
        all.iter().map(|it| at(it)).map(|[x, y]| [x - 7.0, y - 7.0, x + 7.0, y + 7.0]).collect()
    }

    /// Dates beside the points, the latest first, as long as there is room.
    fn dates(&mut self, panel: &AxisPanel, scale: &Scale, taken: &mut Vec<Box4>) {
        let (place, chart) = (self.place, self.chart);
        let mut all: Vec<&Measured> =
            panel.measured.iter().filter(|it| (0..chart.days).contains(&it.day)).collect();
        all.sort_by_key(|it| (-it.day, it.toward, it.manner));
        for it in all {
            let (x, y) = (place.middle(it.day), scale.y(it.on_axis()));
            let wide = SMALL.width(&it.date) * 1.01;
            let spots = [
                [x + 8.0, y + 4.5],
                [x - wide / 2.0, y + 19.0],
                [x - wide / 2.0, y - 9.0],
                [x - wide - 8.0, y + 4.5],
            ];
            self.one_of(&spots, &it.date, scale, taken);
        }
    }

    /// Bars at today: what the program does.
    fn reach(&mut self, panel: &AxisPanel, scale: &Scale, taken: &mut Vec<Box4>) {
        let (place, today) = (self.place, self.chart.today);
        let mut ways = Vec::new();
        for (i, reach) in panel.reach.iter().enumerate() {
            // The first lies on the line of today, further ones beside it.
            let x = (place.middle(today) + i as f64 * 15.0).min(place.width - 9.0);
            let (top, bottom) = (scale.y(reach.high), scale.y(reach.low));
            let beyond = panel.is_beyond(reach, today);
            reach_bar(&mut self.front, x, top, bottom, if beyond { STOP } else { ARROW });
            for (toward, y) in [(Toward::Up, top - 11.0), (Toward::Down, bottom + 11.0)] {
                if panel.passes(reach, today, toward) {
                    no_sign(&mut self.front, [x, y]);
                    taken.push([x - 9.0, y - 9.0, x + 9.0, y + 9.0]);
                }
            }
            taken.push([x - 9.0, top - 4.0, x + 9.0, bottom + 4.0]);
            self.sign(if beyond { Sign::Beyond } else { Sign::Program });
            ways.push((&reach.way, x, top, bottom));
        }
        for (way, x, top, bottom) in ways {
            let wide = SMALL.width(way) * 1.01;
            let spots = [
                [x + 11.0, top + 11.0],
                [x + 11.0, bottom - 2.0],
                [x - 11.0 - wide, top + 11.0],
                [x - 11.0 - wide, bottom - 2.0],
                [x + 11.0, (top + bottom) / 2.0],
                [x - 11.0 - wide, (top + bottom) / 2.0],
            ];
            self.one_of(&spots, way, scale, taken);
        }
    }

    /// Writes words at the first of some places that is free; not at all when none is.
    fn one_of(&mut self, spots: &[[f64; 2]], words: &str, scale: &Scale, taken: &mut Vec<Box4>) {
        let wide = SMALL.width(words) * 1.01;
        let (left, right) = (self.place.left, self.place.width - 2.0);
        let place = |at: &[f64; 2]| [at[0] - 2.0, at[1] - 11.0, at[0] + wide + 2.0, at[1] + 3.0];
        let is_free = |at: &&[f64; 2]| {
            let mine = place(at);
            let inside =
                mine[0] >= left && mine[2] <= right && mine[1] >= scale.top && mine[3] <= scale.bottom;
            inside && !taken.iter().any(|it| meet(it, &mine))
        };
        if let Some(at) = spots.iter().find(is_free).filter(|_| !words.is_empty()) {
            write_over(&mut self.front, *at, SMALL, Anchor::Start, INK, words);
            taken.push(place(at));
        }
    }

    // -------------------------------------------------------------------------------------------------- key

    fn key(&mut self) {
        let (place, words) = (self.place, &self.chart.words);
        let all = [
            (Sign::InForce, &words.in_force),
            (Sign::GoesOn, &words.goes_on),
            (Sign::Lingers, &words.lingers),
            (Sign::Planned, &words.planned),
            (Sign::Assumed, &words.assumed),
            (Sign::Overdue, &words.overdue),
            (Sign::Open, &words.open_side),
            (Sign::Other, &words.other_limit),
            (Sign::Program, &words.program),
            (Sign::Beyond, &words.beyond),
            (Sign::Closed, &words.contradiction),
            (Sign::Point(Manner::Active), &words.active),
            (Sign::Point(Manner::Passive), &words.passive),
            (Sign::Point(Manner::Unstated), &words.unstated),
            (Sign::Visit(true), &words.visit_past),
            (Sign::Visit(false), &words.visit_planned),
        ];
        let right = place.width - place.margin;
        let mut x = place.margin;
        for (sign, text) in all {
            if !self.signs.contains(&sign) {
                continue;
            }
            let text = match sign {
                Sign::Point(_) => format!("{}: {text}", words.measured),
                Sign::Beyond => format!("{}: {text}", words.program),
                _ => text.clone(),
            };
            let wide = 38.0 + SMALL.width(&text) * 1.01;
            if x > place.margin && x + wide > right {
                x = place.margin;
                self.y += 23.0;
            }
            draw_sign(&mut self.front, sign, [x, self.y]);
            let mut block = Block::default();
            block.push(SMALL, INK, &text, right - x - 38.0);
            let bottom = block.draw(&mut self.front, [x + 38.0, self.y], false);
            // Words of more than one line stand alone on theirs.
            self.y = self.y.max(bottom - SMALL.leading());
            x += wide + 18.0;
        }
        self.y += 24.0;
    }

    fn notes(&mut self) {
        let place = self.place;
        let mut block = Block::default();
        for note in &self.chart.notes {
            block.push(SMALL, QUIET, note, place.inner());
        }
        self.y = block.draw(&mut self.front, [place.margin, self.y], false);
    }
}

/// The reach of the program: a heavy bar with caps whose outer sides are its ends.
fn reach_bar(svg: &mut Svg, x: f64, top: f64, bottom: f64, ink: &str) {
    let tall = (bottom - top).max(2.4);
    let rim = |at: [f64; 2], size: [f64; 2]| {
        (at, size, Ink { fill: ink, stroke: PAPER, width: 1.6, under: true, ..Ink::default() })
    };
    for (at, size, ink) in [
        rim([x - 3.0, top], [6.0, tall]),
        rim([x - 8.0, top], [16.0, 2.4]),
        rim([x - 8.0, top + tall - 2.4], [16.0, 2.4]),
    ] {
        svg.rect(at, size, 0.0, &ink);
    }
    svg.rect([x - 3.0, top], [6.0, tall], 0.0, &Ink { fill: ink, class: "reach", ..Ink::default() });
}

/// A sign of the key in a place of 30 by 17.
fn draw_sign(svg: &mut Svg, sign: Sign, at: [f64; 2]) {
    let [x, y] = at;
    let middle = [x + 15.0, y + 9.0];
    let area = |svg: &mut Svg, fill: &str, dash: &str| {
        svg.rect(
            [x + 1.0, y + 2.0],
            [28.0, 14.0],
            0.0,
            &Ink { fill, stroke: ARROW, width: 1.6, dash, ..Ink::default() },
        );
    };
    match sign {
        Sign::InForce => area(svg, BAND, ""),
        Sign::GoesOn => area(svg, PALE, ""),
        Sign::Lingers => {
            area(svg, PALE, "");
            let ink = Ink { fill: "none", stroke: HATCH, width: 1.2, ..Ink::default() };
            svg.path(&hatching([x + 1.0, y + 2.0], [28.0, 14.0], 7.0), &ink);
        }
        Sign::Planned => {
            let ink = Ink { fill: "none", stroke: HATCH, width: 1.2, ..Ink::default() };
            svg.path(&hatching([x + 1.0, y + 2.0], [28.0, 14.0], 7.0), &ink);
            area(svg, "none", "");
        }
        Sign::Assumed => area(svg, PAPER, BROKEN),
        Sign::Open => rule(svg, [x + 1.0, y + 9.0], [x + 29.0, y + 9.0], 1.8, QUIET, DOTS),
        Sign::Other => rule(svg, [x + 1.0, y + 9.0], [x + 29.0, y + 9.0], 1.3, ARROW, ""),
        Sign::Overdue => {
            stroke(svg, [x + 1.0, y + 15.0], [x + 29.0, y + 15.0], 3.6, STOP, "");
            flag(svg, [x + 15.0, y + 7.0]);
        }
        Sign::Program => reach_bar(svg, x + 15.0, y + 1.0, y + 17.0, ARROW),
        Sign::Beyond => {
            reach_bar(svg, x + 8.0, y + 1.0, y + 17.0, STOP);
            no_sign(svg, [x + 23.0, y + 9.0]);
        }
        Sign::Closed => no_sign(svg, middle),
        Sign::Point(manner) => {
            rule(svg, [x + 1.0, y + 9.0], [x + 29.0, y + 9.0], 1.2, INK, "");
            point(svg, middle, manner);
        }
        Sign::Visit(past) => visit_sign(svg, middle, past),
    }
}

/// Words in a box.
#[derive(Clone, Debug)]
struct Words {
    from: f64,
    to: f64,
    text: String,
    /// A further line.
    under: String,
    /// The days of the box, for where its words do not fit.
    days: String,
    row: usize,
}

impl Words {
    /// Where the words stand in their box, clear of the line of today where that can be; `None`: no room.
    fn fit(&self, today: f64, height: f64) -> Option<(f64, Vec<(Type, String)>)> {
        let lines = |wide: f64| -> Option<Vec<(Type, String)>> {
            if wide < 12.0 {
                return None;
            }
            let text = SMALL_BOLD.wrap(&self.text, wide);
            // A cut word is not a fit.
            let longest = self.text.split(' ').map(|it| SMALL_BOLD.width(it)).fold(0.0, f64::max);
            let under = SMALL.wrap(&self.under, wide);
            let cut = longest * 1.01 > wide || self.under.split(' ').any(|it| SMALL.width(it) * 1.01 > wide);
            let one = if self.under.is_empty() {
                self.text.clone()
            } else {
                format!("{} · {}", self.text, self.under)
            };
            if SMALL_BOLD.width(&one) * 1.01 <= wide {
                return Some(vec![(SMALL_BOLD, one)]);
            }
            let fits = !cut
                && text.len() <= SEGMENT_LINES
                && under.len() <= SEGMENT_LINES
                && (text.len() + under.len()) as f64 * 16.0 + 4.0 <= height;
            let under = under.into_iter().map(|line| (SMALL, line));
            fits.then(|| text.into_iter().map(|line| (SMALL_BOLD, line)).chain(under).collect())
        };
        let crossed = (self.from..self.to).contains(&today);
        let pieces = if crossed {
            vec![
                [self.from + 5.0, today - 5.0],
                [today + 5.0, self.to - 4.0],
                [self.from + 5.0, self.to - 4.0],
            ]
        } else {
            vec![[self.from + 5.0, self.to - 4.0]]
        };
        pieces.into_iter().find_map(|[a, b]| lines(b - a).map(|it| (a, it)))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{AxisLimit, Span};
    use super::*;
    use crate::palette::contrast::{contrast, luminance};
    use proptest::prelude::*;

    /// WCAG 2.2, 1.4.3 and 1.4.11: words 4.5:1, lines 3:1 against what they lie on.
    #[test]
    fn words_and_lines_stand_out() {
        for ground in [BAND, PALE, PAPER] {
            assert!(contrast(INK, ground) >= 4.5, "{ground}: {}", contrast(INK, ground));
            for line in [INK, ARROW, STOP, QUIET] {
                assert!(contrast(line, ground) >= 3.0, "{line} on {ground}: {}", contrast(line, ground));
            }
        }
        assert!(contrast(QUIET, PAPER) >= 4.5);
        assert!(contrast(PAPER, INK) >= 4.5);
        assert!(contrast(HATCH, PAPER) >= 3.0, "{}", contrast(HATCH, PAPER));
    }

    /// In a black-and-white print what is in force is darker than what goes on, and that than what is open.
    #[test]
    fn fills_differ_in_grey() {
        assert!(contrast(BAND, PALE) >= 1.25, "{}", contrast(BAND, PALE));
        assert!(contrast(PALE, PAPER) >= 1.1, "{}", contrast(PALE, PAPER));
        let all = [BAND, FADE[0], FADE[1], FADE[2], PAPER].map(luminance);
        assert!(all.windows(2).all(|pair| pair[0] < pair[1]));
    }

    /// Rectangles of a class: left, top, width, height, in tenths.
    fn rects(svg: &str, class: &str) -> Vec<[i32; 4]> {
        let number = |tag: &str, name: &str| {
            let value = tag.split(&format!(" {name}=\"")).nth(1).unwrap().split('"').next().unwrap();
            libm::round(value.parse::<f64>().unwrap() * 10.0) as i32
        };
        let tags = svg.split("<rect").skip(1).filter(|tag| tag.contains(&format!("class=\"{class}\"")));
        tags.map(|tag| ["x", "y", "width", "height"].map(|name| number(tag, name))).collect()
    }

    fn panel(limits: Vec<AxisLimit>) -> AxisPanel {
        AxisPanel {
            title: String::new(),
            up: String::new(),
            down: String::new(),
            usual: [-60.0, 90.0],
            limits,
            reach: vec![],
            measured: vec![],
        }
    }

    fn limit(toward: Toward, max_deg: f64, span: Span) -> AxisLimit {
        AxisLimit { toward, max_deg, way: String::new(), span, status: Status::Ordered, note: String::new() }
    }

    fn chart(today: i32, days: i32) -> EnvelopeChart {
        let words = super::super::EnvelopeWords::default();
        EnvelopeChart {
            title: String::new(),
            today_label: String::new(),
            subtitle: String::new(),
            today,
            days,
            phases: vec![],
            visits: vec![],
            lanes: vec![],
            panels: vec![],
            notes: vec![],
            words,
        }
    }

    fn span() -> impl Strategy<Value = Span> {
        (0..150i32, prop::option::of(1..90i32), prop::option::of(1..90i32), any::<bool>()).prop_map(
            |(from, planned, ended, lingers)| Span {
                from,
                planned_end: planned.map(|it| from + it),
                ended: ended.map(|it| from + it),
                lingers,
            },
        )
    }

    proptest! {
        /// The filled part of a band, taken back from the page, is within the limits, to the tenth; and it is
        /// there on no day on which it is not drawn by them.
        #[test]
        fn a_limit_is_never_drawn_looser_than_it_is(
            ups in prop::collection::vec((-40.0..120.0f64, span()), 0..4),
            downs in prop::collection::vec((-30.0..80.0f64, span()), 0..4),
            today in 0..180i32,
            width in prop::sample::select(vec![320.0, 390.0, 800.0, 1100.0, 1111.3]),
        ) {
            let all = ups.iter().map(|&(max, span)| limit(Toward::Up, max, span));
            let panel = panel(all.chain(downs.iter().map(|&(max, span)| limit(Toward::Down, max, span))).collect());
            let chart = chart(today, 180);
            let place = Place::new(width, 180);
            let scale = Scale { top: 33.3, bottom: 201.7, low: -70.0, high: 123.0 };
            for piece in panel.pieces(today, 180) {
                let mut d = Drawing::new(&chart, width);
                d.band(&panel, &piece, &scale);
                let strictest = |toward| {
                    (piece.from..piece.until).flat_map(|day| panel.limits.iter().filter(move |it| {
                        it.toward == toward && it.span.holds_on(day, today)
                    })).map(AxisLimit::on_axis).collect::<Vec<f64>>()
                };
                for [x, y, w, h] in rects(&d.svg.into_fragment(), "band") {
                    let [x, y, w, h] = [x, y, w, h].map(|it| f64::from(it) / 10.0);
                    // Sums of tenths.
                    prop_assert!((x - place.x(piece.from)).abs() < 1e-6);
                    prop_assert!((x + w - place.x(piece.until)).abs() < 1e-6);
                    for upper in strictest(Toward::Up) {
                        prop_assert!(y >= scale.y(upper) - 1e-6, "{y} {}", scale.y(upper));
                    }
                    for lower in strictest(Toward::Down) {
                        prop_assert!(y + h <= scale.y(lower) + 1e-6, "{} {}", y + h, scale.y(lower));
                    }
                    // A side without a limit is not filled beyond neutral.
                    if piece.lower.is_none() {
                        prop_assert!(y + h <= scale.y(0.0) + 0.06);
                    }
                    if piece.upper.is_none() {
                        prop_assert!(y >= scale.y(0.0) - 0.06);
                    }
                }
            }
        }

        /// Pieces cover all days; the band is the strictest of what holds; nothing overdue ends by the clock.
        #[test]
        fn the_strictest_is_the_band(
            limits in prop::collection::vec((any::<bool>(), -40.0..120.0f64, 0..3usize, span()), 0..8),
            today in 0..180i32,
        ) {
            let make = |&(up, max, way, span): &(bool, f64, usize, Span)| AxisLimit {
                way: ["", "active", "passive"][way].to_owned(),
                ..limit(if up { Toward::Up } else { Toward::Down }, max, span)
            };
            let panel = panel(limits.iter().map(make).collect());
            let pieces = panel.pieces(today, 180);
            prop_assert_eq!((pieces[0].from, pieces.last().unwrap().until), (0, 180));
            prop_assert!(pieces.windows(2).all(|pair| pair[0].until == pair[1].from));
            for piece in &pieces {
                for day in piece.from..piece.until {
                    for (toward, shown) in [(Toward::Up, piece.upper), (Toward::Down, piece.lower)] {
                        let holds = panel.limits.iter().filter(|it| {
                            let ended = it.span.ended.is_some_and(|end| end <= day);
                            let overdue = it.span.is_overdue(today);
                            let planned = it.span.ended.is_none() && !overdue && !it.span.lingers
                                && it.span.planned_end.is_some_and(|end| end <= day);
                            it.toward == toward && it.span.from <= day && !ended && !planned
                        });
                        let least = holds.map(|it| it.max_deg).reduce(f64::min);
                        prop_assert_eq!(shown.map(|i| panel.limits[i].max_deg), least);
                    }
                    prop_assert_eq!(day <= today, piece.when == When::InForce);
                    let band = [piece.upper, piece.lower];
                    let lingers = band.iter().flatten().any(|&i| {
                        let span = &panel.limits[i].span;
                        span.lingers && span.ended.is_none()
                            && span.planned_end.is_some_and(|end| (today + 1..=day).contains(&end))
                    });
                    prop_assert!(!lingers || matches!(piece.when, When::Lingers | When::Planned));
                }
            }
        }
    }
}
