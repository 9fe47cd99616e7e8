//! The load ladder: the exercises of a region as rungs, ordered by the load on the protected tissue.
//!
//! The lightest exercise stands at the foot, the heaviest at the top; load runs to the right on a log scale.
//! A bar spans the bounds of a load. A rung whose *upper* bound passes the ceiling stands in the upper group,
//! hatched, with a sign and a word, whatever the caller says of it: the chart can call a rung too heavy, never
//! light enough. An exercise of which only an order is known gets no bar; one of which nothing is known stands
//! below the ladder.

use handrail_anatomy::Interval;
use handrail_motion::LoadBasis;

use crate::chart::{
    Block, CEILING_WIDTH, CeilingLine, ChartError, FINEST, Label, NARROW, NO_SIGN, QUIET, Type, UNIT,
    check_bounds, check_length, check_width, disc, grid_ink, hatching, log_ticks, nice_below, no_sign, rule,
    sentences, shape, span, tick_label, write, write_over,
};
use crate::palette::{ARROW, INK, PAPER, Paint, STOP};
use crate::svg::{Anchor, Ink, Svg};

/// Where a rung stands in the program.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Within the ceiling and not in the program.
    Within,
    /// Above the ceiling.
    Over,
    /// In the program now. Above the ceiling it keeps its mark and gets the sign as well.
    Current,
    /// The next one up: within the ceiling it may be taken in; above it, it opens when the ceiling rises.
    Next,
}

/// An exercise whose load is stated.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// Name.
    pub name: String,
    /// Bounds of the load, in the unit of the chart.
    pub load: Interval,
    /// Where it stands.
    pub standing: Standing,
    /// Where the load comes from.
    pub basis: LoadBasis,
    /// A further line: dose, variant, source. May be empty.
    pub detail: String,
}

/// An exercise of which only an order is known. It needs one neighbour at least.
#[derive(Clone, Debug, PartialEq)]
pub struct OrderedRung {
    /// Name.
    pub name: String,
    /// Rungs that load the tissue less, by their place in [`LadderChart::rungs`].
    pub lighter: Vec<usize>,
    /// Rungs that load the tissue more. It is within a ceiling only when one of these is.
    pub heavier: Vec<usize>,
    /// Where it stands.
    pub standing: Standing,
    /// A further line, such as the names of its neighbours.
    pub detail: String,
}

/// An exercise whose load is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnknownRung {
    /// Name.
    pub name: String,
    /// Why it is not known.
    pub why: String,
}

/// The words of the chart in the reader's language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LadderWords {
    /// Heading of the rungs above the ceiling.
    pub over_heading: String,
    /// Heading of the rungs within the ceiling.
    pub within_heading: String,
    /// Word on a rung above the ceiling.
    pub over: String,
    /// Word on the next rung when it is above the ceiling: it opens when the ceiling rises.
    pub opens: String,
    /// Word on a rung of the program.
    pub current: String,
    /// Word on the next rung when it is within the ceiling.
    pub next: String,
    /// Sign of a rung of which only an order is known.
    pub order_only: String,
    /// Heading of the exercises whose load is not known.
    pub unknown_heading: String,
    /// What a computed load is; its letter stands before it.
    pub computed: String,
    /// Letter of computed loads.
    pub computed_letter: String,
    /// What a measured load is.
    pub measured: String,
    /// Letter of measured loads.
    pub measured_letter: String,
    /// What a load is that is common practice.
    pub practice: String,
    /// Letter of such loads.
    pub practice_letter: String,
    /// What a load is that was both computed and measured; both letters stand before it.
    pub both: String,
    /// What the heavy end of a bar is: the upper bound, which decides.
    pub upper_bound: String,
    /// Decimal mark.
    pub decimal_mark: char,
}

/// The ladder of one region and tissue on one day.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderChart {
    /// Title.
    pub title: String,
    /// Date and day since surgery.
    pub today: String,
    /// Whose tissue, which side, which protocol.
    pub subtitle: String,
    /// Unit, short, as it stands after a figure.
    pub unit: String,
    /// What the axis shows, with the unit in words.
    pub axis: String,
    /// Exercises with a stated load, in any order.
    pub rungs: Vec<Rung>,
    /// Exercises with an order only.
    pub ordered: Vec<OrderedRung>,
    /// Exercises without either.
    pub unknown: Vec<UnknownRung>,
    /// The ceiling of the day.
    pub ceiling: Option<CeilingLine>,
    /// Lines below the chart.
    pub notes: Vec<String>,
    /// Words.
    pub words: LadderWords,
}

const TITLE: Type = Type::new(19.0, true);
const TODAY: Type = Type::new(14.0, true);
const HEADING: Type = Type::new(14.0, true);
const NAME: Type = Type::new(14.0, false);
const NAME_CURRENT: Type = Type::new(14.0, true);
const FIGURE: Type = Type::new(14.0, true);
const SMALL: Type = Type::new(13.0, false);
const SMALL_BOLD: Type = Type::new(13.0, true);

/// From this many rows on the scale is repeated above the ladder.
const MANY: usize = 12;
/// Height of a bar.
const BAR: f64 = 12.0;
/// Height of the caps at its ends.
const CAP: f64 = 18.0;
/// Radius of the point at the upper end of a measured load.
const POINT: f64 = 6.0;
/// Most characters of the sign of an order.
const SIGN: usize = 20;
/// Most characters of the letter of a basis.
const LETTER: usize = 2;
/// A log scale does not reach further down than this share of its top.
const SMALLEST_SHARE: f64 = 1.0 / 2000.0;

impl LadderChart {
    /// The chart as a complete SVG document, `width` picture units wide; its height follows from its rows.
    /// `id` must be its own on a page.
    ///
    /// # Errors
    /// A load, ceiling or neighbour that is none, or a width that cannot be read.
    pub fn svg(&self, id: &str, width: f64) -> Result<String, ChartError> {
        self.check(width)?;
        Ok(Drawing::new(self, width).draw(id))
    }

    fn check(&self, width: f64) -> Result<(), ChartError> {
        check_width(width)?;
        check_length(&self.unit, UNIT)?;
        check_length(&self.words.order_only, SIGN)?;
        check_length(&self.words.computed_letter, LETTER)?;
        check_length(&self.words.measured_letter, LETTER)?;
        check_length(&self.words.practice_letter, LETTER)?;
        self.ceiling.as_ref().map_or(Ok(()), CeilingLine::check)?;
        for rung in &self.rungs {
            check_bounds(&rung.name, rung.load)?;
        }
        for it in &self.ordered {
            let mut neighbours = it.lighter.iter().chain(&it.heavier);
            let none = it.lighter.is_empty() && it.heavier.is_empty();
            if none || neighbours.any(|&n| n >= self.rungs.len()) {
                return Err(ChartError::Neighbour(it.name.clone()));
            }
        }
        Ok(())
    }

    fn passes(&self, high: f64) -> bool {
        self.ceiling.as_ref().is_some_and(|ceiling| ceiling.is_passed(high))
    }

    /// True when a rung is drawn as too heavy: its upper bound passes the ceiling, or the caller says so.
    pub fn is_over(&self, rung: &Rung) -> bool {
        rung.standing == Standing::Over || self.passes(rung.load.high)
    }

    /// True when an exercise with an order only is drawn as too heavy: it is not lighter than a rung whose
    /// upper bound is within the ceiling.
    pub fn is_ordered_over(&self, it: &OrderedRung) -> bool {
        let held = it.heavier.iter().any(|&n| !self.is_over(&self.rungs[n]));
        it.standing == Standing::Over || (self.ceiling.is_some() && !held)
    }

    /// All rows from the lightest to the heaviest; those above the ceiling after all others.
    fn order(&self) -> Vec<Step<'_>> {
        let mut known: Vec<usize> = (0..self.rungs.len()).collect();
        known.sort_by(|&a, &b| {
            let (a, b) = (&self.rungs[a], &self.rungs[b]);
            let over = self.is_over(a).cmp(&self.is_over(b));
            over.then(a.load.high.total_cmp(&b.load.high)).then(a.load.low.total_cmp(&b.load.low))
        });
        let mut places = vec![0; self.rungs.len()];
        for (place, &rung) in known.iter().enumerate() {
            places[rung] = place;
        }
        // Above the heaviest of the lighter ones; where the orders disagree, on the heavy side.
        let mut steps: Vec<(usize, u8, Step<'_>)> = known
            .iter()
            .enumerate()
            .map(|(place, &rung)| (place, 1, Step::Known(&self.rungs[rung])))
            .collect();
        for it in &self.ordered {
            let above = it.lighter.iter().map(|&n| (places[n], 2)).max();
            let below = it.heavier.iter().map(|&n| (places[n], 0)).min();
            if let Some((place, side)) = above.or(below) {
                steps.push((place, side, Step::Ordered(it)));
            }
        }
        steps.sort_by_key(|it| (self.is_step_over(it.2), it.0, it.1));
        steps.into_iter().map(|it| it.2).collect()
    }

    fn is_step_over(&self, step: Step<'_>) -> bool {
        match step {
            Step::Known(rung) => self.is_over(rung),
            Step::Ordered(it) => self.is_ordered_over(it),
        }
    }

    /// Words on where a rung stands.
    fn status(&self, standing: Standing, over: bool) -> Vec<&str> {
        let words = &self.words;
        match (standing, over) {
            (Standing::Current, true) => vec![&words.over, &words.current],
            (Standing::Current, false) => vec![&words.current],
            (Standing::Next, true) => vec![&words.opens],
            (Standing::Next, false) => vec![&words.next],
            (_, true) => vec![&words.over],
            (_, false) => vec![],
        }
    }

    fn figure(&self, load: Interval) -> String {
        format!("{} {}", span(load, self.words.decimal_mark), self.unit)
    }

    /// Letters of a basis.
    fn letters(&self, basis: LoadBasis) -> Vec<Letter<'_>> {
        let computed = Letter { text: &self.words.computed_letter, full: true };
        let measured = Letter { text: &self.words.measured_letter, full: false };
        match basis {
            LoadBasis::Computed => vec![computed],
            LoadBasis::Measured => vec![measured],
            LoadBasis::ComputedAndMeasured => vec![computed, measured],
            LoadBasis::Practice => vec![Letter { text: &self.words.practice_letter, full: false }],
        }
    }

    fn basis(&self, basis: LoadBasis) -> &str {
        match basis {
            LoadBasis::Computed => &self.words.computed,
            LoadBasis::Measured => &self.words.measured,
            LoadBasis::ComputedAndMeasured => &self.words.both,
            LoadBasis::Practice => &self.words.practice,
        }
    }

    /// Width of letters and figure, or of the sign of an order.
    fn figure_width(&self, step: Step<'_>) -> f64 {
        match step {
            Step::Known(rung) => {
                letters_width(&self.letters(rung.basis)) + 6.0 + FIGURE.width(&self.figure(rung.load))
            }
            Step::Ordered(_) => order_width(&self.words.order_only) + 6.0 + 2.0 * NO_SIGN,
        }
    }

    /// Everything the picture shows, for those who cannot see it: from the lightest rung up.
    fn description(&self) -> String {
        let mut parts = vec![self.today.clone(), self.subtitle.clone(), self.axis.clone()];
        parts.extend(self.ceiling.iter().map(|it| it.label.clone()));
        let mut heading = None;
        for step in self.order() {
            let over = self.is_step_over(step);
            if self.ceiling.is_some() && heading != Some(over) {
                heading = Some(over);
                let words = if over { &self.words.over_heading } else { &self.words.within_heading };
                parts.push(words.clone());
            }
            let (name, standing, detail, mut facts) = match step {
                Step::Known(it) => {
                    let basis = self.basis(it.basis).to_owned();
                    (&it.name, it.standing, &it.detail, vec![self.figure(it.load), basis])
                }
                Step::Ordered(it) => (&it.name, it.standing, &it.detail, vec![self.words.order_only.clone()]),
            };
            facts.extend(self.status(standing, over).into_iter().map(str::to_owned));
            facts.extend((!detail.is_empty()).then(|| detail.clone()));
            parts.push(format!("{name}: {}", facts.join("; ")));
        }
        if !self.unknown.is_empty() {
            parts.push(self.words.unknown_heading.clone());
        }
        parts.extend(self.unknown.iter().map(|it| format!("{}: {}", it.name, it.why)));
        parts.extend(self.notes.iter().cloned());
        sentences(parts.iter().map(String::as_str))
    }
}

/// One row of the ladder.
#[derive(Clone, Copy, Debug)]
enum Step<'a> {
    Known(&'a Rung),
    Ordered(&'a OrderedRung),
}

impl Step<'_> {
    fn name(&self) -> &str {
        match self {
            Step::Known(it) => &it.name,
            Step::Ordered(it) => &it.name,
        }
    }

    fn detail(&self) -> &str {
        match self {
            Step::Known(it) => &it.detail,
            Step::Ordered(it) => &it.detail,
        }
    }

    fn standing(&self) -> Standing {
        match self {
            Step::Known(it) => it.standing,
            Step::Ordered(it) => it.standing,
        }
    }
}

/// The log scale, with a gutter from nothing to its lowest value where a load reaches below that.
#[derive(Clone, Copy, Debug)]
struct Scale {
    left: f64,
    right: f64,
    gutter: f64,
    floor: f64,
    top: f64,
}

impl Scale {
    fn new(chart: &LadderChart, left: f64, right: f64) -> Scale {
        let bounds = || {
            let ceiling = chart.ceiling.iter().map(|it| it.value);
            chart.rungs.iter().flat_map(|it| [it.load.low, it.load.high]).chain(ceiling)
        };
        let highest = bounds().fold(FINEST, f64::max);
        let lowest = bounds().filter(|&it| it > 0.0).fold(highest, f64::min);
        let floor = nice_below(lowest.max(highest * SMALLEST_SHARE).max(FINEST));
        let gutter = if bounds().any(|it| it < floor * (1.0 - 1e-9)) { 46.0 } else { 0.0 };
        // Room for the cap and the sign of the heaviest bar.
        Scale { left, right: right - 28.0, gutter, floor, top: (highest * 1.02).max(floor * 4.0) }
    }

    /// Where the log part begins.
    fn start(&self) -> f64 {
        self.left + if self.gutter > 0.0 { self.gutter } else { 6.0 }
    }

    /// Place of a load. In the gutter equal steps are equal distances, so that order holds there as well.
    fn x(&self, value: f64) -> f64 {
        if value < self.floor {
            return self.left + 4.0 + (self.gutter - 4.0).max(0.0) * value / self.floor;
        }
        let share = libm::log(value / self.floor) / libm::log(self.top / self.floor);
        self.start() + share * (self.right - self.start())
    }

    fn ticks(&self, mark: char) -> Vec<(f64, String)> {
        let fits = |ticks: &[f64]| {
            ticks.windows(2).all(|pair| {
                let [a, b] = [pair[0], pair[1]].map(|v| SMALL.width(&tick_label(v, mark)) / 2.0);
                self.x(pair[1]) - self.x(pair[0]) > a + b + 6.0
            })
        };
        log_ticks(self.floor, self.top, fits).into_iter().map(|v| (self.x(v), tick_label(v, mark))).collect()
    }
}

/// A row with its words laid out.
struct Row<'a> {
    step: Step<'a>,
    over: bool,
    /// Name and further line.
    words: Block,
    /// Words on where it stands, below the figure or on its line.
    status: Block,
    status_beside: Option<String>,
    top: f64,
    height: f64,
    /// Height of the middle of its bar.
    bar: f64,
}

/// The heading of a group.
struct Heading {
    /// True above the ceiling.
    over: bool,
    words: Block,
    top: f64,
}

impl Heading {
    fn new(chart: &LadderChart, over: bool, width: f64, top: f64) -> Heading {
        let words = if over { &chart.words.over_heading } else { &chart.words.within_heading };
        let mut block = Block::default();
        block.push(HEADING, INK, words, width - 20.0);
        Heading { over, words: block, top }
    }

    fn height(&self) -> f64 {
        self.words.height() + 9.0
    }
}

/// Columns of the drawing.
#[derive(Clone, Copy, Debug)]
struct Columns {
    narrow: bool,
    width: f64,
    margin: f64,
    names: [f64; 2],
    plot: [f64; 2],
    facts: [f64; 2],
}

impl Columns {
    /// `facts` is the width that the longest figure needs.
    fn new(width: f64, facts: f64) -> Columns {
        if width < NARROW {
            let margin = 12.0;
            let right = width - margin;
            let names = [margin + 20.0, right];
            Columns { narrow: true, width, margin, names, plot: [margin, right], facts: names }
        } else {
            let margin = 16.0;
            let facts = [width - margin - facts.clamp(158.0, 220.0), width - margin];
            let names = [margin + 20.0, libm::round(width * 0.31)];
            let plot = [names[1] + 12.0, facts[0] - 12.0];
            Columns { narrow: false, width, margin, names, plot, facts }
        }
    }

    fn inner(&self) -> f64 {
        self.width - 2.0 * self.margin
    }
}

struct Drawing<'a> {
    chart: &'a LadderChart,
    columns: Columns,
    scale: Scale,
    head: Block,
    label: Option<Label>,
    rows: Vec<Row<'a>>,
    headings: Vec<Heading>,
    /// Upper and lower edge of the ladder.
    plot: [f64; 2],
}

impl<'a> Drawing<'a> {
    /// Lays everything out down to the axis.
    fn new(chart: &'a LadderChart, width: f64) -> Drawing<'a> {
        let steps = chart.order();
        let widest = steps.iter().map(|&step| chart.figure_width(step)).fold(0.0, f64::max);
        let columns = Columns::new(width, widest * 1.01);
        let scale = Scale::new(chart, columns.plot[0], columns.plot[1]);
        let mut head = Block::default();
        head.push(TITLE, INK, &chart.title, columns.inner());
        head.push(TODAY, INK, &chart.today, columns.inner());
        head.push(SMALL, QUIET, &chart.subtitle, columns.inner());
        let mut y = 14.0 + head.height() + 12.0;
        let most = columns.inner().min(330.0);
        let label = chart.ceiling.as_ref().map(|ceiling| Label::new(&ceiling.label, most));
        y += label.as_ref().map_or(0.0, |label| label.size[1] + Label::TIP);
        let top = y;
        if steps.len() >= MANY {
            y += 22.0;
        }
        let mut rows: Vec<Row<'a>> = Vec::new();
        let mut headings = Vec::new();
        for step in steps.into_iter().rev() {
            let over = chart.is_step_over(step);
            if chart.ceiling.is_some() && rows.last().is_none_or(|row| row.over != over) {
                // The line between the groups needs air.
                y += if rows.is_empty() { 0.0 } else { 4.0 };
                let heading = Heading::new(chart, over, columns.inner(), y);
                y += heading.height();
                headings.push(heading);
            }
            let row = Row::new(chart, &columns, step, over, y);
            y += row.height;
            rows.push(row);
        }
        Drawing { chart, columns, scale, head, label, rows, headings, plot: [top, y + 4.0] }
    }

    fn draw(&self, id: &str) -> String {
        // The height is known only when all is drawn.
        let mut body = Svg::fragment();
        let bottom = self.draw_below(&mut body);
        let height = libm::ceil(bottom + 14.0);
        let size = [self.columns.width, height];
        let mut svg = Svg::open(size, id, &self.chart.title, &self.chart.description());
        svg.rect([0.0, 0.0], size, 0.0, &Ink { fill: PAPER, ..Ink::default() });
        self.head.draw(&mut svg, [self.columns.margin, 14.0], false);
        if !self.rows.is_empty() {
            self.draw_ground(&mut svg);
            self.draw_axis(&mut svg);
            self.draw_ceiling(&mut svg);
            self.draw_headings(&mut svg);
            for row in &self.rows {
                self.draw_row(&mut svg, row);
            }
        }
        svg.raw(&body.into_fragment());
        svg.close()
    }

    /// The upper and lower edges between which the scale is ruled: each group, or each bar alone where names
    /// stand between them.
    fn lanes(&self) -> Vec<[f64; 2]> {
        if self.columns.narrow {
            let known = self.rows.iter().filter(|row| matches!(row.step, Step::Known(_)));
            return known.map(|row| [row.bar - 13.0, row.bar + 13.0]).collect();
        }
        let mut lanes: Vec<[f64; 2]> = Vec::new();
        let mut group = None;
        for row in &self.rows {
            match lanes.last_mut() {
                Some(lane) if group == Some(row.over) || self.headings.is_empty() => {
                    lane[1] = row.top + row.height;
                }
                _ => lanes.push([row.top, row.top + row.height]),
            }
            group = Some(row.over);
        }
        if let Some(lane) = lanes.last_mut() {
            lane[1] = self.plot[1];
        }
        lanes
    }

    fn draw_ground(&self, svg: &mut Svg) {
        let [left, right] = self.columns.plot;
        let scale = &self.scale;
        let tint = Ink { fill: Paint::Room.fill(), ..Ink::default() };
        let band = Ink { fill: Paint::Cloth.fill(), ..Ink::default() };
        for row in &self.rows {
            if row.step.standing() == Standing::Current && !self.columns.narrow {
                let at = [self.columns.margin - 6.0, row.top + 1.0];
                svg.rect(at, [self.columns.inner() + 12.0, row.height - 2.0], 3.0, &band);
            }
        }
        let ticks = scale.ticks(self.chart.words.decimal_mark);
        for [top, bottom] in self.lanes() {
            if let Some(ceiling) = &self.chart.ceiling {
                let x = scale.x(ceiling.value);
                svg.rect([x, top], [right - x, bottom - top], 0.0, &tint);
            }
            if scale.gutter > 0.0 {
                svg.rect([left, top], [scale.gutter, bottom - top], 0.0, &tint);
                rule(svg, [scale.start(), top], [scale.start(), bottom], 1.2, QUIET, "1.5 3.5");
            }
            for (x, _) in &ticks {
                rule(svg, [*x, top], [*x, bottom], 1.0, grid_ink(), "");
            }
        }
        for row in &self.rows {
            // The rung: a quiet line from rail to rail, so that the eye finds the way from name to bar.
            match row.step {
                Step::Known(_) => rule(svg, [left, row.bar], [right, row.bar], 1.0, grid_ink(), ""),
                Step::Ordered(_) if self.columns.narrow => {}
                Step::Ordered(_) => rule(svg, [left, row.bar], [right, row.bar], 1.2, QUIET, "1.5 5"),
            }
        }
        for [top, bottom] in self.lanes() {
            for x in [left, right] {
                rule(svg, [x, top], [x, bottom], 2.2, QUIET, "");
            }
        }
    }

    fn draw_axis(&self, svg: &mut Svg) {
        let mark = self.chart.words.decimal_mark;
        let ticks = self.scale.ticks(mark);
        let gutter = (self.scale.gutter > 0.0).then(|| format!("< {}", tick_label(self.scale.floor, mark)));
        let gutter_x = self.columns.plot[0] + self.scale.gutter / 2.0 - 3.0;
        let gutter_end = if gutter.is_some() { self.scale.start() + 1.0 } else { 0.0 };
        let ceiling = self.chart.ceiling.as_ref().map(|it| self.scale.x(it.value));
        let mut lines = vec![(self.plot[1], self.plot[1] + 17.0)];
        if self.rows.len() >= MANY {
            lines.push((self.plot[0] + 20.0, self.plot[0] + 14.0));
        }
        for (i, (edge, base)) in lines.into_iter().enumerate() {
            let [left, right] = self.columns.plot;
            rule(svg, [left, edge], [right, edge], 1.4, INK, "");
            for (x, label) in &ticks {
                let half = SMALL.width(label) / 2.0;
                let below = if i == 0 { 4.0 } else { -4.0 };
                rule(svg, [*x, edge], [*x, edge + below], 1.4, INK, "");
                // The ceiling's line runs through the scale above the ladder.
                let crossed = i == 1 && ceiling.is_some_and(|c| libm::fabs(c - x) < half + 5.0);
                // The gutter names its own edge.
                if *x > gutter_end && !crossed {
                    write(svg, [*x, base], SMALL, Anchor::Middle, INK, label);
                }
            }
            if let Some(words) = &gutter {
                let crossed = i == 1 && ceiling.is_some_and(|c| c < gutter_end);
                if !crossed {
                    write(svg, [gutter_x, base], SMALL, Anchor::Middle, INK, words);
                }
                // A break in the axis: below it the scale is another one.
                for dx in [-2.5, 2.5] {
                    let x = self.scale.start() + dx;
                    rule(svg, [x - 2.0, edge + 5.0], [x + 2.0, edge - 5.0], 1.4, INK, "");
                }
            }
        }
    }

    fn draw_ceiling(&self, svg: &mut Svg) {
        let (Some(ceiling), Some(label)) = (&self.chart.ceiling, &self.label) else { return };
        let x = self.scale.x(ceiling.value);
        let [top, bottom] = self.plot;
        let y = top - Label::TIP - label.size[1];
        // Between the lanes it is thin, for words stand there.
        rule(svg, [x, y + label.size[1]], [x, bottom], 1.2, STOP, "");
        for [from, to] in self.lanes() {
            rule(svg, [x, from], [x, to], CEILING_WIDTH, STOP, "");
        }
        label.draw_over(svg, x, y, [self.columns.margin, self.columns.width - self.columns.margin]);
    }

    fn draw_headings(&self, svg: &mut Svg) {
        let (left, width) = (self.columns.margin - 6.0, self.columns.inner() + 12.0);
        for heading in &self.headings {
            let y = heading.top;
            if !heading.over && self.headings.len() > 1 {
                rule(svg, [left, y], [left + width, y], 2.6, INK, "");
            }
            let c = [self.columns.margin + 6.0, y + 13.0];
            let up = if heading.over { 1.0 } else { -1.0 };
            let triangle =
                [[c[0] - 5.0, c[1] + 4.0 * up], [c[0] + 5.0, c[1] + 4.0 * up], [c[0], c[1] - 5.0 * up]];
            shape(svg, &triangle, &Ink { fill: INK, ..Ink::default() });
            heading.words.draw(svg, [self.columns.margin + 20.0, y + 4.0], true);
        }
    }

    fn draw_row(&self, svg: &mut Svg, row: &Row<'_>) {
        let columns = &self.columns;
        if !columns.narrow && row.top > self.plot[0] {
            let edge = row.top;
            rule(svg, [columns.margin, edge], [columns.names[1], edge], 0.8, grid_ink(), "");
            rule(svg, [columns.facts[0], edge], [columns.facts[1], edge], 0.8, grid_ink(), "");
        } else if columns.narrow {
            rule(
                svg,
                [columns.margin, row.top],
                [columns.width - columns.margin, row.top],
                0.8,
                grid_ink(),
                "",
            );
        }
        let (names, mut facts) = if columns.narrow {
            let names = row.top + 5.0;
            (names, names + row.words.height() + 2.0)
        } else {
            let middle = row.top + row.height / 2.0;
            (middle - row.words.height() / 2.0, middle - row.facts_height() / 2.0)
        };
        draw_mark(svg, [columns.margin + 6.0, names + 9.5], row.step.standing());
        row.words.draw(svg, [columns.names[0], names], columns.narrow);
        let end = match row.step {
            Step::Known(rung) => {
                self.draw_bar(svg, rung, row);
                self.draw_figure(svg, rung, facts)
            }
            Step::Ordered(_) => self.draw_order_only(svg, row, facts),
        };
        if let Some(words) = &row.status_beside {
            let at = [end + BESIDE, facts + FIGURE.size];
            write_over(svg, at, SMALL, Anchor::Start, INK, words);
        }
        facts += FACTS_LINE;
        row.status.draw(svg, [columns.facts[0], facts], columns.narrow);
    }

    /// Letter and figure; returns where they end.
    fn draw_figure(&self, svg: &mut Svg, rung: &Rung, top: f64) -> f64 {
        let left = self.columns.facts[0];
        let wide = draw_letters(svg, [left, top + 1.0], &self.chart.letters(rung.basis));
        let (at, figure) = ([left + wide + 6.0, top + FIGURE.size], self.chart.figure(rung.load));
        let put = if self.columns.narrow { write_over } else { write };
        put(svg, at, FIGURE, Anchor::Start, INK, &figure);
        at[0] + FIGURE.width(&figure)
    }

    fn draw_bar(&self, svg: &mut Svg, rung: &Rung, row: &Row<'_>) {
        let (low, high) = (self.scale.x(rung.load.low), self.scale.x(rung.load.high));
        // A load known to a point is still seen.
        let low = low.min(high - 5.0).max(self.columns.plot[0] + 1.0);
        let look = BarLook {
            basis: rung.basis,
            over: row.over,
            current: rung.standing == Standing::Current,
            class: "bar",
        };
        draw_interval(svg, low, high, row.bar, look);
        if row.over {
            no_sign(svg, [high + SIGN_GAP + NO_SIGN, row.bar]);
        }
    }

    /// The sign of an order in the place of a figure, for any place on the scale would claim a load. Returns
    /// where it ends.
    fn draw_order_only(&self, svg: &mut Svg, row: &Row<'_>, top: f64) -> f64 {
        let (left, line) = (self.columns.facts[0], &self.chart.words.order_only);
        let (size, middle) = ([order_width(line), 20.0], top + 8.5);
        let ink = Ink { fill: PAPER, stroke: INK, width: 1.3, dash: "4 3", ..Ink::default() };
        svg.rect([left, middle - 10.0], size, 10.0, &ink);
        // Between a rung below and one above: an arrow each way.
        for s in [1.0, -1.0] {
            let (tip, base) = ([left + 12.0, middle - 7.0 * s], middle - 1.6 * s);
            shape(svg, &[tip, [left + 8.0, base], [left + 16.0, base]], &Ink { fill: INK, ..Ink::default() });
        }
        write(svg, [left + 21.0, middle + 4.6], SMALL_BOLD, Anchor::Start, INK, line);
        let end = left + size[0];
        if !row.over {
            return end;
        }
        no_sign(svg, [end + 6.0 + NO_SIGN, middle]);
        end + 6.0 + 2.0 * NO_SIGN
    }

    /// Everything below the ladder; returns its lower edge.
    fn draw_below(&self, svg: &mut Svg) -> f64 {
        let columns = &self.columns;
        let mut y = self.plot[1];
        if !self.rows.is_empty() {
            y += 26.0;
            let left = columns.plot[0];
            let mut axis = Block::default();
            axis.push(SMALL, INK, &self.chart.axis, columns.width - columns.margin - left);
            y = axis.draw(svg, [left, y], false) + 12.0;
            y = self.draw_key(svg, y);
        }
        if !self.chart.unknown.is_empty() {
            y = self.draw_unknown(svg, y + 4.0);
        }
        let mut notes = Block::default();
        for note in &self.chart.notes {
            notes.push(SMALL, QUIET, note, columns.inner());
        }
        notes.draw(svg, [columns.margin, y + 8.0], false)
    }

    /// What bars and signs mean, as far as they occur.
    fn draw_key(&self, svg: &mut Svg, top: f64) -> f64 {
        let known = || {
            self.rows.iter().filter_map(|row| match row.step {
                Step::Known(rung) => Some((rung.basis, row.over)),
                Step::Ordered(_) => None,
            })
        };
        let words = &self.chart.words;
        let mut entries: Vec<(KeySign, &str)> = Vec::new();
        for basis in LoadBasis::ALL {
            if known().any(|it| it.0 == basis) {
                let over = !known().any(|it| it == (basis, false));
                entries.push((
                    KeySign::Basis(BarLook { basis, over, current: false, class: "key" }),
                    self.chart.basis(basis),
                ));
            }
        }
        if let Some((basis, _)) = known().find(|it| it.1) {
            entries.push((
                KeySign::Over(BarLook { basis, over: true, current: false, class: "key" }),
                &words.over,
            ));
        }
        if known().next().is_some() {
            entries.push((KeySign::HeavyEnd, &words.upper_bound));
        }
        let columns = if self.columns.narrow { 1 } else { 2 };
        let wide = self.columns.inner() / f64::from(columns);
        let mut y = top;
        for pair in entries.chunks(columns as usize) {
            let mut tall: f64 = 22.0;
            for (i, (sign, text)) in pair.iter().enumerate() {
                let left = self.columns.margin + i as f64 * wide;
                let (mut x, middle) = (left + 52.0, y + 11.0);
                match sign {
                    KeySign::Basis(look) => {
                        draw_interval(svg, left + 4.0, left + 40.0, middle, *look);
                        x += draw_letters(svg, [x, y + 2.0], &self.chart.letters(look.basis)) + 6.0;
                    }
                    KeySign::Over(look) => {
                        draw_interval(svg, left + 4.0, left + 24.0, middle, *look);
                        no_sign(svg, [left + 24.0 + SIGN_GAP + NO_SIGN, middle]);
                    }
                    KeySign::HeavyEnd => {
                        if known().any(|it| !is_line(it.0)) {
                            draw_cap(svg, left + 14.0, middle, INK);
                        }
                        if known().any(|it| it.0 != LoadBasis::Computed) {
                            let ink = Ink { fill: PAPER, stroke: INK, width: 1.8, ..Ink::default() };
                            disc(svg, [left + 30.0, middle], POINT, &ink);
                        }
                    }
                }
                let mut block = Block::default();
                block.push(SMALL, INK, text, left + wide - 8.0 - x);
                block.draw(svg, [x, y + 2.5], false);
                tall = tall.max(block.height() + 6.0);
            }
            y += tall;
        }
        y
    }

    fn draw_unknown(&self, svg: &mut Svg, top: f64) -> f64 {
        let columns = &self.columns;
        let mut heading = Block::default();
        heading.push(HEADING, INK, &self.chart.words.unknown_heading, columns.inner());
        rule(svg, [columns.margin - 6.0, top], [columns.width - columns.margin + 6.0, top], 2.4, INK, "4 4");
        let mut y = heading.draw(svg, [columns.margin, top + 7.0], false) + 4.0;
        for it in &self.chart.unknown {
            let ink = Ink { fill: PAPER, stroke: INK, width: 1.3, dash: "3 2.4", ..Ink::default() };
            svg.rect([columns.margin, y + 1.0], [16.0, 16.0], 2.0, &ink);
            write(svg, [columns.margin + 8.0, y + 14.0], SMALL_BOLD, Anchor::Middle, INK, "?");
            let (mut name, mut why) = (Block::default(), Block::default());
            let left = columns.margin + 24.0;
            if columns.narrow {
                name.push(NAME, INK, &it.name, columns.width - columns.margin - left);
                name.push(SMALL, QUIET, &it.why, columns.width - columns.margin - left);
            } else {
                name.push(NAME, INK, &it.name, columns.names[1] - left);
                why.push(SMALL, QUIET, &it.why, columns.width - columns.margin - columns.plot[0]);
            }
            let a = name.draw(svg, [left, y], false);
            let b = why.draw(svg, [columns.plot[0], y], false);
            y = a.max(b) + 6.0;
        }
        y
    }
}

/// Height of the line with letter and figure.
const FACTS_LINE: f64 = 20.0;
/// Distance of words from the figure before them.
const BESIDE: f64 = 12.0;
/// Distance of the sign from the heavy end of a bar.
const SIGN_GAP: f64 = 8.0;

fn order_width(line: &str) -> f64 {
    SMALL_BOLD.width(line) * 1.01 + 31.0
}

impl<'a> Row<'a> {
    fn new(chart: &'a LadderChart, columns: &Columns, step: Step<'a>, over: bool, top: f64) -> Row<'a> {
        let [left, right] = columns.names;
        let mut words = Block::default();
        let kind = if step.standing() == Standing::Current { NAME_CURRENT } else { NAME };
        words.push_even(kind, INK, step.name(), right - left);
        words.push_even(SMALL, QUIET, step.detail(), right - left);
        let status_words = chart.status(step.standing(), over).join(" · ");
        // Where there is room, on the line of the figure.
        let room = columns.facts[1] - columns.facts[0] - chart.figure_width(step) - BESIDE;
        let beside = !status_words.is_empty() && SMALL.width(&status_words) * 1.01 <= room;
        let mut status = Block::default();
        if !beside {
            status.push(SMALL, INK, &status_words, columns.facts[1] - columns.facts[0]);
        }
        let status_beside = beside.then_some(status_words);
        let mut row = Row { step, over, words, status, status_beside, top, height: 0.0, bar: 0.0 };
        if columns.narrow {
            let lane = if matches!(step, Step::Known(_)) { 32.0 } else { 2.0 };
            row.height = row.words.height() + row.facts_height() + 8.0 + lane;
            row.bar = top + row.height - 18.0;
        } else {
            let air = if matches!(step, Step::Known(_)) { 10.0 } else { 15.0 };
            row.height = row.words.height().max(row.facts_height()).max(CAP) + air;
            row.bar = top + row.height / 2.0;
        }
        row
    }

    fn facts_height(&self) -> f64 {
        FACTS_LINE + self.status.height()
    }
}

/// What an entry of the key shows.
#[derive(Clone, Copy, Debug)]
enum KeySign {
    Basis(BarLook),
    Over(BarLook),
    HeavyEnd,
}

/// How a bar is drawn.
#[derive(Clone, Copy, Debug)]
struct BarLook {
    basis: LoadBasis,
    over: bool,
    current: bool,
    /// Class of its shape: `bar`, or `key` in the key.
    class: &'static str,
}

/// A block for what is computed, a line between two points for what was measured, points on a block for both;
/// hatched or broken when too heavy. The upper end is the heavier one in all of them.
/// What was not computed for this body is a line between two points, not a bar.
fn is_line(basis: LoadBasis) -> bool {
    matches!(basis, LoadBasis::Measured | LoadBasis::Practice)
}

fn draw_interval(svg: &mut Svg, low: f64, high: f64, y: f64, look: BarLook) {
    let (fill, edge) = match (look.over, look.current) {
        (true, _) => (PAPER, STOP),
        (false, true) => (ARROW, INK),
        (false, false) => (Paint::Accent.fill(), INK),
    };
    if is_line(look.basis) {
        rule(svg, [low, y], [high, y], 7.0, PAPER, "");
        let (stroke, dash) = if look.over { (STOP, "5 4") } else { (fill, "") };
        rule(svg, [low, y], [high, y], 3.4, stroke, dash);
    } else {
        let (at, size) = ([low, y - BAR / 2.0], [high - low, BAR]);
        let ink = Ink { fill, stroke: edge, width: 1.4, class: look.class, ..Ink::default() };
        svg.rect(at, size, 0.0, &ink);
        if look.over {
            let lines = hatching(at, size, 6.0);
            svg.path(&lines, &Ink { fill: "none", stroke: STOP, width: 1.3, ..Ink::default() });
        }
        rule(svg, [low, y - CAP / 2.0 + 1.0], [low, y + CAP / 2.0 - 1.0], 1.4, edge, "");
        draw_cap(svg, high, y, edge);
    }
    if look.basis != LoadBasis::Computed {
        let ink = Ink { fill: PAPER, stroke: edge, width: 1.6, ..Ink::default() };
        disc(svg, [low, y], POINT / 2.0, &ink);
        disc(svg, [high, y], POINT, &Ink { fill, width: 1.8, ..ink });
    }
}

/// The heavy end of a bar.
fn draw_cap(svg: &mut Svg, x: f64, y: f64, stroke: &str) {
    rule(svg, [x, y - CAP / 2.0], [x, y + CAP / 2.0], 3.6, stroke, "");
}

/// The letter of a basis.
#[derive(Clone, Copy, Debug)]
struct Letter<'a> {
    text: &'a str,
    /// In a full box rather than a hollow one.
    full: bool,
}

impl Letter<'_> {
    fn width(&self) -> f64 {
        (SMALL_BOLD.width(self.text) + 8.0).max(17.0)
    }
}

fn letters_width(letters: &[Letter<'_>]) -> f64 {
    letters.iter().map(|it| it.width() + 3.0).sum::<f64>() - 3.0
}

/// Letters in their boxes. Returns their width.
fn draw_letters(svg: &mut Svg, at: [f64; 2], letters: &[Letter<'_>]) -> f64 {
    let mut x = at[0];
    for letter in letters {
        let (fill, ink) = if letter.full { (INK, PAPER) } else { (PAPER, INK) };
        let wide = letter.width();
        svg.rect([x, at[1]], [wide, 17.0], 3.0, &Ink { fill, stroke: INK, width: 1.4, ..Ink::default() });
        write(svg, [x + wide / 2.0, at[1] + 13.2], SMALL_BOLD, Anchor::Middle, ink, letter.text);
        x += wide + 3.0;
    }
    letters_width(letters)
}

/// The mark before a name: a full triangle for the program's own rungs, a hollow one pointing up for the next.
fn draw_mark(svg: &mut Svg, c: [f64; 2], standing: Standing) {
    match standing {
        Standing::Current => {
            let points = [[c[0] - 4.0, c[1] - 6.0], [c[0] - 4.0, c[1] + 6.0], [c[0] + 6.0, c[1]]];
            shape(svg, &points, &Ink { fill: ARROW, stroke: INK, width: 1.0, ..Ink::default() });
        }
        Standing::Next => {
            let points = [[c[0] - 6.0, c[1] + 5.0], [c[0] + 6.0, c[1] + 5.0], [c[0], c[1] - 6.0]];
            shape(svg, &points, &Ink { fill: PAPER, stroke: INK, width: 1.8, ..Ink::default() });
        }
        Standing::Within | Standing::Over => {}
    }
}
