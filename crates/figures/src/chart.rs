//! What the charts of load share: widths of words, lines of text that fit, scales, rounding, hatching, signs.
//!
//! Charts carry no words of their own: every word comes from the caller, in the reader's language. Numbers are
//! rounded outwards, so that a chart never states a load more exactly than it is known.

use handrail_anatomy::Interval;

use crate::hull::{Circle, push_hull};
use crate::palette::{INK, PAPER, Paint, STOP};
use crate::svg::{Anchor, Ink, Letters, PathData, Svg};

/// The face of all words in charts; its widths are known here, so that text can be laid out without a font.
pub const FACE: &str = "Atkinson Hyperlegible, sans-serif";

/// Below this width, picture units, names stand above their bars and weeks below each other.
pub const NARROW: f64 = 560.0;
/// Narrowest chart that can be read, picture units.
pub const NARROWEST: f64 = 320.0;

/// Largest load that a chart shows, in its unit.
pub const MOST: f64 = 1e6;

/// Why a chart is not drawn. Nothing is drawn in part.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum ChartError {
    /// A load that is negative, beyond all measure, or whose bounds are in the wrong order.
    #[error("`{name}`: {low} to {high} is not a load; both bounds are from 0 to {MOST} and in order")]
    Bounds {
        /// Exercise or week.
        name: String,
        /// Lower bound.
        low: f64,
        /// Upper bound.
        high: f64,
    },
    /// A ceiling that is negative or beyond all measure.
    #[error("the ceiling {0} is not a load; it is from 0 to {MOST}")]
    Ceiling(f64),
    /// A jump that is not a number.
    #[error("`{0}`: the jump from the week before is not a number; leave it out where it is not known")]
    Jump(String),
    /// An exercise of which only an order is known, without a neighbour that the ladder has.
    #[error("`{0}`: no neighbour in the ladder; list it with those whose load is not known")]
    Neighbour(String),
    /// No word on what is established about jumps.
    #[error("the chart of weeks has no note; say that no injury threshold for jumps in load is established")]
    NoNote,
    /// A unit, letter or sign that its place does not hold.
    #[error("`{words}` is too long for its place in the chart; use at most {most} characters")]
    TooLong {
        /// The words.
        words: String,
        /// Most characters.
        most: usize,
    },
    /// Too narrow to be read.
    #[error("a chart {0} wide cannot be read; give it {NARROWEST} or more")]
    Width(f64),
}

/// A ceiling on the load.
#[derive(Clone, Debug, PartialEq)]
pub struct CeilingLine {
    /// Value, in the unit of the chart.
    pub value: f64,
    /// Words beside the line, with the value, its unit and whose it is.
    pub label: String,
}

impl CeilingLine {
    /// True when an upper bound passes the ceiling. Rounding of the last bits does not count as passing.
    pub fn is_passed(&self, high: f64) -> bool {
        high > self.value * (1.0 + 1e-9)
    }

    pub(crate) fn check(&self) -> Result<(), ChartError> {
        if self.value.is_finite() && self.value >= 0.0 {
            Ok(())
        } else {
            Err(ChartError::Ceiling(self.value))
        }
    }
}

pub(crate) fn check_bounds(name: &str, load: Interval) -> Result<(), ChartError> {
    let fine = load.low >= 0.0 && load.low <= load.high && load.high <= MOST;
    if fine {
        Ok(())
    } else {
        Err(ChartError::Bounds { name: name.to_owned(), low: load.low, high: load.high })
    }
}

pub(crate) fn check_width(width: f64) -> Result<(), ChartError> {
    if width.is_finite() && width >= NARROWEST { Ok(()) } else { Err(ChartError::Width(width)) }
}

/// Most characters of a unit.
pub(crate) const UNIT: usize = 12;

pub(crate) fn check_length(words: &str, most: usize) -> Result<(), ChartError> {
    if words.chars().count() <= most {
        return Ok(());
    }
    Err(ChartError::TooLong { words: words.to_owned(), most })
}

// ---------------------------------------------------------------------------------------------------- words

/// Advance widths of the printable ASCII characters, thousandths of the font size.
const REGULAR: [u16; 95] = [
    280, 281, 301, 655, 594, 927, 705, 160, 300, 300, 433, 602, 205, 368, 205, 377, 648, 402, 549, 574, 614,
    583, 598, 510, 615, 598, 205, 205, 553, 602, 553, 520, 780, 626, 619, 656, 673, 567, 548, 710, 690, 414,
    510, 627, 539, 820, 689, 727, 601, 753, 618, 596, 558, 690, 589, 840, 623, 595, 607, 315, 377, 315, 552,
    396, 268, 526, 566, 500, 564, 539, 311, 560, 546, 278, 254, 490, 239, 841, 546, 552, 566, 576, 340, 471,
    324, 536, 441, 654, 461, 429, 460, 319, 233, 319, 555,
];
const BOLD: [u16; 95] = [
    320, 283, 410, 783, 619, 977, 702, 222, 366, 366, 434, 618, 243, 374, 243, 442, 652, 448, 586, 605, 626,
    612, 632, 543, 625, 561, 243, 243, 573, 618, 573, 614, 754, 690, 639, 673, 686, 580, 544, 719, 679, 458,
    560, 659, 537, 842, 700, 764, 626, 781, 654, 619, 617, 663, 656, 883, 699, 687, 621, 333, 442, 333, 589,
    430, 314, 553, 596, 520, 596, 566, 367, 597, 572, 315, 259, 567, 314, 886, 572, 573, 596, 601, 372, 534,
    379, 570, 526, 723, 533, 518, 516, 370, 234, 370, 533,
];

/// The ASCII letter of the same width, or of a little more: the one that an accented one is drawn from.
fn plain(c: char) -> char {
    match c {
        'À'..='Å' => 'A',
        'Ç' => 'C',
        'È'..='Ë' => 'E',
        'Ì'..='Ï' => 'I',
        'Ñ' => 'N',
        'Ò'..='Ö' => 'O',
        'Ù'..='Ü' => 'U',
        'à'..='å' => 'a',
        'ç' => 'c',
        'è'..='ë' => 'e',
        'ì'..='ï' => 'i',
        'ñ' => 'n',
        'ò'..='ö' => 'o',
        'ù'..='ü' => 'u',
        '\u{a0}' => ' ',
        '¡' => '!',
        '¿' => '?',
        '·' | '‘' | '’' => 'l',
        '–' | '“' | '”' => 'c',
        '×' => 'e',
        '−' | '±' | '÷' => '+',
        other => other,
    }
}

/// Width of a line of text in [`FACE`], picture units. Characters that the table lacks count as wide ones.
pub fn text_width(words: &str, size: f64, bold: bool) -> f64 {
    let table = if bold { &BOLD } else { &REGULAR };
    let thousandths: u32 = words
        .chars()
        .map(|c| {
            let index = (plain(c) as usize).wrapping_sub(32);
            table.get(index).map_or(1000, |&width| u32::from(width))
        })
        .sum();
    f64::from(thousandths) * size / 1000.0
}

/// Splits words into lines no wider than `width`. A word that is wider is cut, never left out.
pub fn wrap(words: &str, size: f64, bold: bool, width: f64) -> Vec<String> {
    // Renderers round each advance a little.
    let fits = |line: &str| text_width(line, size, bold) * 1.01 <= width;
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in words.split([' ', '\n', '\t']).filter(|word| !word.is_empty()) {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if fits(&longer) {
            line = longer;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            line.push(c);
            if line.chars().count() > 1 && !fits(&line) {
                line.pop();
                lines.push(std::mem::replace(&mut line, c.to_string()));
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Letters of one size and weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Type {
    pub size: f64,
    pub bold: bool,
}

impl Type {
    pub const fn new(size: f64, bold: bool) -> Type {
        Type { size, bold }
    }

    pub fn width(self, words: &str) -> f64 {
        text_width(words, self.size, self.bold)
    }

    pub fn wrap(self, words: &str, width: f64) -> Vec<String> {
        wrap(words, self.size, self.bold, width)
    }

    /// Lines of about equal width.
    pub fn wrap_even(self, words: &str, width: f64) -> Vec<String> {
        let lines = self.wrap(words, width);
        let mut best = lines.clone();
        let mut narrower = width;
        while narrower > width * 0.4 {
            narrower -= 4.0;
            let tried = self.wrap(words, narrower);
            if tried.len() > lines.len() {
                break;
            }
            best = tried;
        }
        best
    }

    /// Distance of base lines.
    pub fn leading(self) -> f64 {
        libm::round(self.size * 1.28)
    }

    fn letters(self, anchor: Anchor, fill: &str) -> Letters<'_> {
        Letters { family: FACE, size: self.size, bold: self.bold, anchor, fill, rim: false }
    }
}

/// Writes a line of text.
pub(crate) fn write(svg: &mut Svg, at: [f64; 2], kind: Type, anchor: Anchor, fill: &str, words: &str) {
    svg.line_of_text(at, &kind.letters(anchor, fill), words);
}

/// Writes a line of text with a rim of paper, where lines may pass below it.
pub(crate) fn write_over(svg: &mut Svg, at: [f64; 2], kind: Type, anchor: Anchor, fill: &str, words: &str) {
    svg.line_of_text(at, &Letters { rim: true, ..kind.letters(anchor, fill) }, words);
}

/// Lines of text set below each other from a top edge.
#[derive(Clone, Debug, Default)]
pub(crate) struct Block {
    lines: Vec<(Type, &'static str, String)>,
}

impl Block {
    /// Adds words, broken into lines.
    pub fn push(&mut self, kind: Type, fill: &'static str, words: &str, width: f64) {
        self.lines.extend(kind.wrap(words, width).into_iter().map(|line| (kind, fill, line)));
    }

    /// Adds words, broken into lines of about equal width.
    pub fn push_even(&mut self, kind: Type, fill: &'static str, words: &str, width: f64) {
        self.lines.extend(kind.wrap_even(words, width).into_iter().map(|line| (kind, fill, line)));
    }

    pub fn height(&self) -> f64 {
        self.lines.iter().map(|line| line.0.leading()).sum()
    }

    /// Draws it, with rims where lines pass below; returns the lower edge.
    pub fn draw(&self, svg: &mut Svg, at: [f64; 2], rims: bool) -> f64 {
        let mut y = at[1];
        for (kind, fill, line) in &self.lines {
            let letters = Letters { rim: rims, ..kind.letters(Anchor::Start, fill) };
            svg.line_of_text([at[0], y + kind.size], &letters, line);
            y += kind.leading();
        }
        y
    }
}

/// Sentences of a description, each with one full stop.
pub(crate) fn sentences<'a>(parts: impl IntoIterator<Item = &'a str>) -> String {
    let mut out = String::new();
    for part in parts.into_iter().map(str::trim).filter(|part| !part.is_empty()) {
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(part);
        if !part.ends_with(['.', '!', '?']) {
            out.push('.');
        }
    }
    out
}

// -------------------------------------------------------------------------------------------------- numbers

/// The finest step that a chart tells, in the unit of a load.
pub(crate) const FINEST: f64 = 0.01;

/// Digits after the decimal mark: whole numbers from ten on, never finer than [`FINEST`].
fn decimals(value: f64) -> usize {
    match value {
        v if v >= 10.0 || v <= 0.0 => 0,
        v if v >= 1.0 => 1,
        _ => 2,
    }
}

fn trimmed(text: &str) -> &str {
    if text.starts_with("0.") { text.trim_end_matches('0').trim_end_matches('.') } else { text }
}

/// A bound with the decimal mark of the reader, rounded down or up.
pub(crate) fn bound(value: f64, up: bool, mark: char) -> String {
    let digits = decimals(value);
    let unit = libm::pow(10.0, digits as f64);
    // What the last bits of a sum add does not move a bound.
    let scaled = value * unit;
    let whole = if up { libm::ceil(scaled * (1.0 - 1e-9)) } else { libm::floor(scaled * (1.0 + 1e-9)) };
    let text = format!("{:.*}", digits, whole / unit);
    trimmed(&text).replace('.', &mark.to_string())
}

/// An interval, rounded outwards.
pub(crate) fn span(load: Interval, mark: char) -> String {
    let (low, high) = (bound(load.low, false, mark), bound(load.high, true, mark));
    if low == high { high } else { format!("{low}–{high}") }
}

/// A mark on an axis, without needless digits.
pub(crate) fn tick_label(value: f64, mark: char) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').replace('.', &mark.to_string())
}

// --------------------------------------------------------------------------------------------------- scales

/// The largest of 1, 2, 5 times a power of ten that is not above a value.
pub(crate) fn nice_below(value: f64) -> f64 {
    let decade = libm::pow(10.0, libm::floor(libm::log10(value) + 1e-9));
    [5.0, 2.0].into_iter().map(|m| m * decade).find(|&it| it <= value * (1.0 + 1e-9)).unwrap_or(decade)
}

/// Marks on a log axis: as many as fit beside each other, from one of the usual sets.
pub(crate) fn log_ticks(low: f64, high: f64, fits: impl Fn(&[f64]) -> bool) -> Vec<f64> {
    const SETS: [&[f64]; 4] = [&[1.0, 2.0, 5.0], &[1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 7.0], &[1.0, 3.0], &[1.0]];
    let marks = |set: &[f64]| -> Vec<f64> {
        let (from, to) = (libm::floor(libm::log10(low)) as i32, libm::ceil(libm::log10(high)) as i32);
        (from..=to)
            .flat_map(|e| set.iter().map(move |m| m * libm::pow(10.0, f64::from(e))))
            .filter(|v| (low * (1.0 - 1e-9)..=high * (1.0 + 1e-9)).contains(v))
            .collect()
    };
    let all: Vec<Vec<f64>> = SETS.iter().map(|set| marks(set)).filter(|it| fits(it)).collect();
    let many = all.iter().find(|it| it.len() >= 4);
    many.or_else(|| all.iter().max_by_key(|it| it.len())).cloned().unwrap_or_default()
}

/// Marks on an even axis from zero up, and the end of the axis.
pub(crate) fn even_ticks(high: f64) -> (Vec<f64>, f64) {
    let rough = high / 4.0 * (1.0 - 1e-9);
    let decade = libm::pow(10.0, libm::floor(libm::log10(rough)));
    let steps = [1.0, 2.0, 2.5, 5.0].into_iter().map(|m| m * decade);
    let step = steps.into_iter().find(|&step| step >= rough).unwrap_or(10.0 * decade);
    let count = libm::ceil(high / step * (1.0 - 1e-9)).max(1.0) as u32;
    ((0..=count).map(|i| f64::from(i) * step).collect(), f64::from(count) * step)
}

// --------------------------------------------------------------------------------------------------- shapes

/// A straight line.
pub(crate) fn rule(svg: &mut Svg, from: [f64; 2], to: [f64; 2], width: f64, stroke: &str, dash: &str) {
    let mut path = PathData::default();
    path.move_to(from[0], from[1]);
    path.line_to(to[0], to[1]);
    svg.path(&path, &Ink { fill: "none", stroke, width, dash, ..Ink::default() });
}

/// Slanted lines that fill a rectangle, as one path; cut by hand, for clips and patterns need names on a page.
pub(crate) fn hatching(at: [f64; 2], size: [f64; 2], gap: f64) -> PathData {
    let mut path = PathData::default();
    let [w, h] = size;
    let mut c = gap / 2.0;
    while c < w + h {
        // The line x + y = c, from its lower left to its upper right end.
        let (x0, x1) = ((c - h).max(0.0), c.min(w));
        if x1 - x0 > 0.4 {
            path.move_to(at[0] + x0, at[1] + c - x0);
            path.line_to(at[0] + x1, at[1] + c - x1);
        }
        c += gap;
    }
    path
}

/// A filled or hollow disc.
pub(crate) fn disc(svg: &mut Svg, at: [f64; 2], r: f64, ink: &Ink<'_>) {
    let mut path = PathData::default();
    push_hull(&mut path, &[Circle { x: at[0], y: at[1], r }], 0.0);
    svg.path(&path, ink);
}

/// Half the size of [`no_sign`], picture units.
pub(crate) const NO_SIGN: f64 = 7.5;

/// The sign of what is above a ceiling: a ring with a cross.
pub(crate) fn no_sign(svg: &mut Svg, at: [f64; 2]) {
    disc(
        svg,
        at,
        NO_SIGN - 1.0,
        &Ink { fill: PAPER, stroke: STOP, width: 2.0, class: "over", ..Ink::default() },
    );
    let mut cross = PathData::default();
    for s in [1.0, -1.0] {
        cross.move_to(at[0] - 2.9, at[1] - 2.9 * s);
        cross.line_to(at[0] + 2.9, at[1] + 2.9 * s);
    }
    svg.path(&cross, &Ink { fill: "none", stroke: STOP, width: 2.2, ..Ink::default() });
}

/// A triangle with a stroke and a dot: something is due. 14 by 13 about its middle.
pub(crate) fn flag(svg: &mut Svg, c: [f64; 2]) {
    let points = [[c[0] - 7.0, c[1] + 6.0], [c[0] + 7.0, c[1] + 6.0], [c[0], c[1] - 6.5]];
    shape(
        svg,
        &points,
        &Ink { fill: STOP, stroke: PAPER, width: 1.4, under: true, class: "due", ..Ink::default() },
    );
    rule(svg, [c[0], c[1] - 2.0], [c[0], c[1] + 1.4], 1.9, PAPER, "");
    rule(svg, [c[0], c[1] + 4.0], [c[0] + 0.1, c[1] + 4.0], 1.9, PAPER, "");
}

/// The closed shape through some points.
pub(crate) fn shape(svg: &mut Svg, points: &[[f64; 2]], ink: &Ink<'_>) {
    let mut path = PathData::default();
    for (i, p) in points.iter().enumerate() {
        if i == 0 {
            path.move_to(p[0], p[1]);
        } else {
            path.line_to(p[0], p[1]);
        }
    }
    path.close();
    svg.path(&path, ink);
}

/// Quiet lines: grid, rows.
pub(crate) fn grid_ink() -> &'static str {
    Paint::ClothFar.fill()
}

/// Words of second rank. As dark as contrast asks for, still not the first thing seen.
pub(crate) const QUIET: &str = "#46535e";

/// The words of a ceiling in their box.
#[derive(Clone, Debug)]
pub(crate) struct Label {
    lines: Vec<String>,
    /// Size of the box.
    pub size: [f64; 2],
}

impl Label {
    const TYPE: Type = Type::new(13.0, true);
    /// Height of the tip below the box.
    pub const TIP: f64 = 8.0;

    /// Lays the words out in a box of at most this width.
    pub fn new(words: &str, width: f64) -> Label {
        let lines = Label::TYPE.wrap_even(words, width - 16.0);
        let widest = lines.iter().map(|line| Label::TYPE.width(line)).fold(0.0, f64::max);
        let size = [widest * 1.01 + 16.0, lines.len() as f64 * Label::TYPE.leading() + 9.0];
        Label { lines, size }
    }

    /// Draws the box with its upper left corner at a place.
    pub fn draw(&self, svg: &mut Svg, at: [f64; 2]) {
        svg.rect(at, self.size, 3.0, &Ink { fill: PAPER, stroke: STOP, width: 1.6, ..Ink::default() });
        for (i, line) in self.lines.iter().enumerate() {
            let y = at[1] + 3.0 + Label::TYPE.size + i as f64 * Label::TYPE.leading();
            write(svg, [at[0] + self.size[0] / 2.0, y], Label::TYPE, Anchor::Middle, INK, line);
        }
    }

    /// Draws the box between two sides with a tip at `x` below it.
    pub fn draw_over(&self, svg: &mut Svg, x: f64, top: f64, sides: [f64; 2]) {
        let most = (sides[1] - self.size[0]).max(sides[0]);
        self.draw(svg, [(x - self.size[0] / 2.0).clamp(sides[0], most), top]);
        let y = top + self.size[1];
        let tip = [[x - 6.0, y], [x + 6.0, y], [x, y + Label::TIP]];
        shape(svg, &tip, &Ink { fill: STOP, ..Ink::default() });
    }
}

/// Width of a ceiling's line.
pub(crate) const CEILING_WIDTH: f64 = 3.4;

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn bounds_are_rounded_away_from_the_middle() {
        let text = |low, high| span(Interval { low, high }, '.');
        assert_eq!(text(1.27, 2.41), "1.2–2.5");
        assert_eq!(text(0.0, 0.05), "0–0.05");
        assert_eq!(text(0.5, 7.3), "0.5–7.3");
        assert_eq!(text(15.2, 41.1), "15–42");
        assert_eq!(text(2.0, 2.0 + 1e-15), "2.0");
        assert_eq!(span(Interval { low: 0.123, high: 1.01 }, ','), "0,12–1,1");
    }

    #[test]
    fn marks_are_the_usual_ones() {
        let any = |_: &[f64]| true;
        assert_eq!(log_ticks(0.05, 8.0, any), vec![0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0]);
        assert_eq!(log_ticks(1.0, 4.2, any), vec![1.0, 1.5, 2.0, 3.0, 4.0]);
        assert_eq!(even_ticks(930.0), (vec![0.0, 250.0, 500.0, 750.0, 1000.0], 1000.0));
        assert_eq!(tick_label(0.05, ','), "0,05");
        assert_eq!(tick_label(500.0, '.'), "500");
    }

    /// Text that may be drawn over a bar's end is as wide as the face makes it.
    #[test]
    fn widths_are_those_of_the_face() {
        use resvg::usvg;
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../content/fonts");
        let mut options = usvg::Options::default();
        options.fontdb_mut().load_fonts_dir(folder);
        for words in
            ["Heel raise, seated (4.5 kg)", "Elevación de talón: ¿cuánto? 12–16 × 3", "ÁÉÍÓÚÑáéíóúñü"]
        {
            for bold in [false, true] {
                let kind = Type::new(100.0, bold);
                let mut svg = Svg::open([4000.0, 200.0], "a", "", "");
                write(&mut svg, [10.0, 120.0], kind, Anchor::Start, INK, words);
                let tree = usvg::Tree::from_str(&svg.close(), &options).unwrap();
                let real = f64::from(tree.root().abs_bounding_box().width());
                let ours = kind.width(words);
                // Side bearings and kerning make the ink a little narrower than the advances.
                assert!((0.0..0.03 * ours).contains(&(ours - real)), "{words} {bold}: {ours} {real}");
            }
        }
    }

    proptest! {
        #[test]
        fn lines_fit_and_nothing_is_lost(words in "[a-zA-Zñé0-9 ]{0,120}", width in 20.0..400.0f64) {
            let lines = wrap(&words, 14.0, false, width);
            let squeeze = |s: &str| s.replace(' ', "");
            prop_assert_eq!(squeeze(&lines.concat()), squeeze(&words));
            for line in &lines {
                prop_assert!(text_width(line, 14.0, false) <= width, "{}", line);
            }
        }

        #[test]
        fn a_rounded_interval_holds_the_real_one(low in 0.0..300.0f64, add in 0.0..50.0f64) {
            let load = Interval { low, high: low + add };
            let read = |up, v| bound(v, up, '.').parse::<f64>().unwrap();
            prop_assert!(read(false, load.low) <= load.low * (1.0 + 1e-8));
            prop_assert!(read(true, load.high) >= load.high * (1.0 - 1e-8));
        }

        #[test]
        fn hatching_stays_in_its_rectangle(w in 1.0..300.0f64, h in 1.0..60.0f64, gap in 2.0..9.0f64) {
            let path = hatching([0.0, 0.0], [w, h], gap);
            // Absolute starts only; each line runs up to the right by as much as it starts from the left edge.
            for start in path.as_str().split('M').skip(1) {
                let first = start.split('l').next().unwrap();
                let (x, y) = first.split_once([' ', '-']).unwrap();
                prop_assert!((-0.11..=w + 0.11).contains(&x.parse::<f64>().unwrap()));
                prop_assert!((-0.11..=h + 0.11).contains(&y.parse::<f64>().unwrap()));
            }
        }
    }
}
