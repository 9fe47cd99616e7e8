//! A small SVG writer: numbers in tenths, escaped text, path data with relative commands.
//!
//! Only presentation attributes are written, no style sheets, scripts or outside references, so that browsers,
//! PDF makers and rasterisers show the same picture. It knows nothing of bodies and serves charts as well.

use std::fmt::Write;

/// Rounds a length in picture units to tenths.
pub fn tenths(value: f64) -> i32 {
    debug_assert!(value.is_finite());
    libm::round(value * 10.0) as i32
}

/// Writes a number given in tenths in its shortest form: `-5` is `-.5`, `120` is `12`.
pub fn push_tenths(out: &mut String, value: i32) {
    let (whole, rest) = ((value / 10).unsigned_abs(), (value % 10).unsigned_abs());
    if value < 0 {
        out.push('-');
    }
    if whole > 0 || rest == 0 {
        let _ = write!(out, "{whole}");
    }
    if rest > 0 {
        let _ = write!(out, ".{rest}");
    }
}

/// Text for use between tags or in attributes.
pub fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            _ => out.push(c),
        }
    }
    out
}

/// Path data under construction. Positions are kept in tenths, so that rounding never adds up.
#[derive(Clone, Debug, Default)]
pub struct PathData {
    text: String,
    at: (i32, i32),
}

impl PathData {
    /// Starts a subpath.
    pub fn move_to(&mut self, x: f64, y: f64) {
        let to = (tenths(x), tenths(y));
        self.text.push('M');
        self.pair(to);
        self.at = to;
    }

    /// Straight line; left out when it is shorter than a tenth.
    pub fn line_to(&mut self, x: f64, y: f64) {
        let to = (tenths(x), tenths(y));
        if to == self.at {
            return;
        }
        let d = (to.0 - self.at.0, to.1 - self.at.1);
        if d.1 == 0 || d.0 == 0 {
            self.text.push(if d.1 == 0 { 'h' } else { 'v' });
            push_tenths(&mut self.text, d.0 + d.1);
            self.at = to;
        } else {
            self.text.push('l');
            self.pair((to.0 - self.at.0, to.1 - self.at.1));
            self.at = to;
        }
    }

    /// Arc of at most half a circle, in the direction of growing angles (clockwise on the screen).
    pub fn arc_to(&mut self, radius: f64, x: f64, y: f64) {
        let (to, r) = ((tenths(x), tenths(y)), tenths(radius));
        if to == self.at {
            return;
        }
        if r == 0 {
            self.line_to(x, y);
            return;
        }
        self.text.push('a');
        push_tenths(&mut self.text, r);
        self.text.push(' ');
        push_tenths(&mut self.text, r);
        self.text.push_str(" 0 0 1");
        let d = (to.0 - self.at.0, to.1 - self.at.1);
        if d.0 >= 0 {
            self.text.push(' ');
        }
        self.pair(d);
        self.at = to;
    }

    /// Quadratic curve.
    pub fn quad_to(&mut self, cx: f64, cy: f64, x: f64, y: f64) {
        let (c, to) = ((tenths(cx), tenths(cy)), (tenths(x), tenths(y)));
        self.text.push('q');
        self.pair((c.0 - self.at.0, c.1 - self.at.1));
        let d = (to.0 - self.at.0, to.1 - self.at.1);
        if d.0 >= 0 {
            self.text.push(' ');
        }
        self.pair(d);
        self.at = to;
    }

    /// Closes the subpath.
    pub fn close(&mut self) {
        self.text.push('z');
    }

    /// True when nothing was drawn.
    pub fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// The `d` attribute.
    pub fn as_str(&self) -> &str {
        &self.text
    }

    fn pair(&mut self, (x, y): (i32, i32)) {
        push_tenths(&mut self.text, x);
        if y >= 0 {
            self.text.push(' ');
        }
        push_tenths(&mut self.text, y);
    }
}

/// How a shape is painted; empty strings leave an attribute out.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ink<'a> {
    /// Fill colour, `none` or a colour.
    pub fill: &'a str,
    /// Stroke colour.
    pub stroke: &'a str,
    /// Stroke width, picture units.
    pub width: f64,
    /// Paints the stroke below the fill.
    pub under: bool,
    /// Dash pattern, as in SVG.
    pub dash: &'a str,
    /// Class, so that a page can restyle; the attributes alone are enough.
    pub class: &'a str,
}

/// Which point of a line of text lies at its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Its left end.
    Start,
    /// Its middle.
    Middle,
    /// Its right end.
    End,
}

/// How a line of text is set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Letters<'a> {
    /// Font family.
    pub family: &'a str,
    /// Font size, picture units.
    pub size: f64,
    /// Heavy letters.
    pub bold: bool,
    /// What lies at the place.
    pub anchor: Anchor,
    /// Colour.
    pub fill: &'a str,
    /// A rim of paper around the letters.
    pub rim: bool,
}

/// A document or a fragment of one.
#[derive(Clone, Debug, Default)]
pub struct Svg {
    text: String,
    /// Stroke, width and order that the open group hands down.
    handed: Option<(String, i32, bool)>,
}

impl Svg {
    /// A fragment without a root element.
    pub fn fragment() -> Svg {
        Svg::default()
    }

    /// Opens a complete picture with an accessible name and description. `id` keeps the names of several
    /// pictures on one page apart.
    pub fn open(size: [f64; 2], id: &str, title: &str, description: &str) -> Svg {
        let mut svg = Svg::default();
        let (mut w, mut h) = (String::new(), String::new());
        push_tenths(&mut w, tenths(size[0]));
        push_tenths(&mut h, tenths(size[1]));
        let id = escape(id);
        let _ = write!(
            svg.text,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" \
             role=\"img\" aria-labelledby=\"{id}-t {id}-d\"><title id=\"{id}-t\">{}</title>\
             <desc id=\"{id}-d\">{}</desc>",
            escape(title),
            escape(description)
        );
        svg
    }

    /// Opens a group that hands its stroke down to the paths in it.
    pub fn group(&mut self, ink: &Ink<'_>) {
        self.text.push_str("<g");
        self.ink(ink);
        self.text.push('>');
        self.handed = Some((ink.stroke.to_owned(), tenths(ink.width), ink.under));
    }

    /// Closes a group.
    pub fn end_group(&mut self) {
        self.text.push_str("</g>");
        self.handed = None;
    }

    /// A path.
    pub fn path(&mut self, d: &PathData, ink: &Ink<'_>) {
        if d.is_empty() {
            return;
        }
        let _ = write!(self.text, "<path d=\"{}\"", d.as_str());
        self.ink(ink);
        self.text.push_str("/>");
    }

    /// A rectangle with rounded corners.
    pub fn rect(&mut self, at: [f64; 2], size: [f64; 2], corner: f64, ink: &Ink<'_>) {
        self.text.push_str("<rect");
        for (name, value) in
            [("x", at[0]), ("y", at[1]), ("width", size[0]), ("height", size[1]), ("rx", corner)]
        {
            self.number(name, value);
        }
        self.ink(ink);
        self.text.push_str("/>");
    }

    /// A line of text with a white rim. Its family comes from the caller, who knows which fonts are at hand.
    pub fn words(&mut self, at: [f64; 2], size: f64, family: &str, fill: &str, words: &str) {
        self.text.push_str("<text");
        for (name, value) in [("x", at[0]), ("y", at[1]), ("font-size", size)] {
            self.number(name, value);
        }
        let _ = write!(
            self.text,
            " font-family=\"{}\" font-weight=\"700\" fill=\"{fill}\" stroke=\"#fff\" stroke-width=\"4\" \
             stroke-linejoin=\"round\" paint-order=\"stroke\">{}</text>",
            escape(family),
            escape(words)
        );
    }

    /// A line of text as a chart sets it, with or without a rim of paper that keeps it clear of lines below.
    pub fn line_of_text(&mut self, at: [f64; 2], letters: &Letters<'_>, words: &str) {
        self.text.push_str("<text");
        for (name, value) in [("x", at[0]), ("y", at[1]), ("font-size", letters.size)] {
            self.number(name, value);
        }
        let _ = write!(self.text, " font-family=\"{}\"", escape(letters.family));
        if letters.bold {
            self.text.push_str(" font-weight=\"700\"");
        }
        match letters.anchor {
            Anchor::Start => {}
            Anchor::Middle => self.text.push_str(" text-anchor=\"middle\""),
            Anchor::End => self.text.push_str(" text-anchor=\"end\""),
        }
        let _ = write!(self.text, " fill=\"{}\"", letters.fill);
        if letters.rim {
            self.text.push_str(
                " stroke=\"#fff\" stroke-width=\"4\" stroke-linejoin=\"round\" paint-order=\"stroke\"",
            );
        }
        let _ = write!(self.text, ">{}</text>", escape(words));
    }

    /// Appends a finished fragment.
    pub fn raw(&mut self, fragment: &str) {
        self.text.push_str(fragment);
    }

    /// Closes a picture opened by [`Svg::open`].
    pub fn close(mut self) -> String {
        self.text.push_str("</svg>");
        self.text
    }

    /// The text of a fragment.
    pub fn into_fragment(self) -> String {
        self.text
    }

    fn number(&mut self, name: &str, value: f64) {
        let _ = write!(self.text, " {name}=\"");
        push_tenths(&mut self.text, tenths(value));
        self.text.push('"');
    }

    fn ink(&mut self, ink: &Ink<'_>) {
        for (name, value) in [("class", ink.class), ("fill", ink.fill)] {
            if !value.is_empty() {
                let _ = write!(self.text, " {name}=\"{value}\"");
            }
        }
        let handed = self.handed.as_ref().is_some_and(|(stroke, width, under)| {
            stroke == ink.stroke && *width == tenths(ink.width) && *under == ink.under
        });
        if !ink.stroke.is_empty() && !handed {
            let _ = write!(self.text, " stroke=\"{}\"", ink.stroke);
            if ink.stroke != "none" {
                self.number("stroke-width", ink.width);
                self.stroke_shape(ink);
            }
        }
        if !ink.dash.is_empty() {
            let _ = write!(self.text, " stroke-dasharray=\"{}\"", ink.dash);
        }
    }

    /// Joins, ends and order of a stroke, as far as no group has set them.
    fn stroke_shape(&mut self, ink: &Ink<'_>) {
        let under = self.handed.as_ref().is_some_and(|it| it.2);
        if self.handed.is_none() {
            self.text.push_str(" stroke-linejoin=\"round\"");
        }
        // Ends only show on open lines.
        if ink.fill == "none" {
            self.text.push_str(" stroke-linecap=\"round\"");
        }
        if ink.under && !under {
            self.text.push_str(" paint-order=\"stroke\"");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_take_their_shortest_form() {
        let show = |v| {
            let mut s = String::new();
            push_tenths(&mut s, v);
            s
        };
        assert_eq!(["0", "-.5", ".5", "12", "-12.3"].map(str::to_owned), [0, -5, 5, 120, -123].map(show));
    }

    #[test]
    fn text_cannot_break_out_of_its_place() {
        let svg = Svg::open([10.0, 10.0], "a\"b", "<script>", "x & y").close();
        assert!(svg.contains("&lt;script&gt;") && svg.contains("x &amp; y") && svg.contains("a&quot;b-t"));
        assert!(!svg.contains("<script>"));
    }
}
