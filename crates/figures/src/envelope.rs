//! The envelope chart: what has been allowed, is allowed and may be allowed, against days since surgery.
//!
//! One panel per restricted joint axis shows the allowed band in degrees with its steps, the reach of today's
//! program inside it and the measured range as points; lanes above show weight bearing and devices. Two things
//! are told by two signs each, so that they never mix: *when* by the fill (in force: full; still to come and
//! unchanged: pale; the same past a planned end: pale and hatched; planned: hatched) and *on whose word* by the
//! outline (ordered or confirmed: unbroken; assumed: broken, and the word).
//!
//! The chart never draws a limit looser than it is: of several limits the strictest is the band, days are exact
//! tenths on the page, edges are rounded towards the inside of the band, and the outer side of an edge's line is
//! the limit. A side without a recorded limit is never filled. An overdue limit goes on until somebody ends it;
//! so does one whose planned end is still to come and which nothing is planned to follow.

use std::collections::BTreeSet;

use crate::chart::{NARROWEST, sentences};

mod draw;

/// Longest time that a chart shows, days.
pub const MOST_DAYS: i32 = 800;
/// Largest angle that a chart shows, degrees.
pub const MOST_DEGREES: f64 = 360.0;

/// Why an envelope is not drawn. Nothing is drawn in part.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum EnvelopeError {
    /// An angle that is none.
    #[error("`{name}`: {degrees} is not an angle; give degrees from -{MOST_DEGREES} to {MOST_DEGREES}")]
    Degrees {
        /// Panel.
        name: String,
        /// The value.
        degrees: f64,
    },
    /// Bounds in the wrong order.
    #[error("`{name}`: {low} to {high} is not a range; the lower end comes first")]
    Range {
        /// Panel.
        name: String,
        /// Lower end.
        low: f64,
        /// Upper end.
        high: f64,
    },
    /// A time that ends before it begins.
    #[error("`{name}`: it ends on day {end} and begins on day {from}")]
    Time {
        /// Lane or panel.
        name: String,
        /// First day.
        from: i32,
        /// First day on which it no longer holds.
        end: i32,
    },
    /// Today is not among the days shown, or there are too many of them.
    #[error("day {today} of {days}: today must be among the days shown, and these are at most {MOST_DAYS}")]
    Days {
        /// Today.
        today: i32,
        /// Number of days shown.
        days: i32,
    },
    /// Too narrow to be read.
    #[error("a chart {0} wide cannot be read; give it {NARROWEST} or more")]
    Width(f64),
}

/// On whose word something stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Status {
    /// Ordered for this patient.
    Ordered,
    /// From a protocol, confirmed for this patient.
    Confirmed,
    /// From a protocol, not confirmed.
    Assumed,
}

/// From when until when something holds, in days since surgery.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// First day. After today: the earliest day on which it is planned to begin.
    pub from: i32,
    /// First day on which it is planned to end, at the earliest and by an act. `None`: no time is named.
    pub planned_end: Option<i32>,
    /// First day on which it no longer held, because somebody ended it. `None`: nobody has.
    pub ended: Option<i32>,
    /// True when nothing is planned to take its place: past its planned end it goes on until somebody ends it.
    pub lingers: bool,
}

impl Span {
    /// From a day on, with a planned end on which something else is planned, and no act that ended it.
    pub fn open(from: i32, planned_end: Option<i32>) -> Span {
        Span { from, planned_end, ended: None, lingers: false }
    }

    /// From a day on, with a planned end on which nothing is planned to follow.
    pub fn lingering(from: i32, planned_end: i32) -> Span {
        Span { lingers: true, ..Span::open(from, Some(planned_end)) }
    }

    /// From a day on until an act ended it.
    pub fn ended(from: i32, ended: i32) -> Span {
        Span { from, planned_end: None, ended: Some(ended), lingers: false }
    }

    /// True when its planned end has come and nobody has ended it: it is in force, and due for review.
    pub fn is_overdue(&self, today: i32) -> bool {
        self.ended.is_none() && self.from <= today && self.planned_end.is_some_and(|end| end <= today)
    }

    /// True when it is planned to begin after today.
    pub fn is_planned(&self, today: i32) -> bool {
        self.from > today
    }

    /// First day on which it does not hold; `None` when it holds to the end of the chart. What is overdue, and
    /// what nothing is planned to follow, ends by an act only.
    pub fn end(&self, today: i32) -> Option<i32> {
        match self.ended {
            Some(day) => Some(day),
            None if self.lingers || self.is_overdue(today) => None,
            None => self.planned_end,
        }
    }

    /// First day after today from which it goes on past its planned end, until somebody ends it.
    pub fn lingers_from(&self, today: i32) -> Option<i32> {
        let open = self.lingers && self.ended.is_none() && !self.is_overdue(today);
        self.planned_end.filter(|_| open)
    }

    /// True when it goes on past its planned end on a day to come.
    pub fn lingers_on(&self, day: i32, today: i32) -> bool {
        self.lingers_from(today).is_some_and(|end| end <= day)
    }

    /// True when it holds on a day, as seen from today.
    pub fn holds_on(&self, day: i32, today: i32) -> bool {
        self.from <= day && self.end(today).is_none_or(|end| day < end)
    }
}

/// A part of a lane: what holds for some time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Segment {
    /// What holds: "20 kg", "boot, 2 cm lift".
    pub text: String,
    /// When.
    pub span: Span,
    /// On whose word.
    pub status: Status,
    /// Source, and what must happen for it to end; for the table. May be empty.
    pub note: String,
}

/// A lane above the panels: weight bearing, device. Segments that overlap stand below each other.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lane {
    /// Name.
    pub name: String,
    /// Segments in any order.
    pub segments: Vec<Segment>,
}

/// One of the two directions of an axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Toward {
    /// The first-named direction, drawn upwards, positive.
    Up,
    /// The other one, drawn downwards.
    Down,
}

/// A limit on one direction of a joint axis.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisLimit {
    /// Direction it limits.
    pub toward: Toward,
    /// Largest allowed degrees in that direction; negative: the joint must stop short of neutral.
    pub max_deg: f64,
    /// What way of moving it speaks of ("passive", "loaded"); empty: every way.
    pub way: String,
    /// When.
    pub span: Span,
    /// On whose word.
    pub status: Status,
    /// Source, and what must happen for it to end; for the table. May be empty.
    pub note: String,
}

impl AxisLimit {
    /// The limit on the axis: degrees, positive upwards.
    pub fn on_axis(&self) -> f64 {
        match self.toward {
            Toward::Up => self.max_deg,
            Toward::Down => -self.max_deg,
        }
    }
}

/// How far today's program moves the joint.
#[derive(Clone, Debug, PartialEq)]
pub struct Reach {
    /// Lower end, degrees on the axis, positive upwards.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// The way of moving, as in [`AxisLimit::way`]: it is held against limits of this way and of every way.
    /// Empty: against all limits.
    pub way: String,
}

/// How the joint was moved in a measurement.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Manner {
    /// By the patient.
    Active,
    /// By someone else.
    Passive,
    /// Not stated.
    Unstated,
}

/// A measured end of the range.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// Day since surgery.
    pub day: i32,
    /// Its date, short.
    pub date: String,
    /// Direction.
    pub toward: Toward,
    /// Degrees in that direction.
    pub degrees: f64,
    /// How.
    pub manner: Manner,
}

impl Measured {
    /// Degrees on the axis, positive upwards.
    pub fn on_axis(&self) -> f64 {
        match self.toward {
            Toward::Up => self.degrees,
            Toward::Down => -self.degrees,
        }
    }
}

/// One restricted axis of a joint.
#[derive(Clone, Debug, PartialEq)]
pub struct AxisPanel {
    /// Joint, with its side in words.
    pub title: String,
    /// Name of the first-named direction.
    pub up: String,
    /// Name of the other direction.
    pub down: String,
    /// Usual ends of the joint's range, degrees on the axis, the lower one first. Not a limit.
    pub usual: [f64; 2],
    /// Limits in any order.
    pub limits: Vec<AxisLimit>,
    /// What today's program does. One per way of moving.
    pub reach: Vec<Reach>,
    /// Measurements in any order.
    pub measured: Vec<Measured>,
}

/// A visit to the surgeon, past or planned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Visit {
    /// Day since surgery.
    pub day: i32,
    /// Its date, short.
    pub label: String,
}

/// The beginning of a phase, past or planned at the earliest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhaseStart {
    /// Day since surgery.
    pub day: i32,
    /// Name, short.
    pub label: String,
}

/// The words of the chart in the reader's language.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EnvelopeWords {
    /// Sign on the line of today: "today".
    pub today: String,
    /// What runs across: complete weeks since surgery.
    pub weeks: String,
    /// Days, before their numbers: "days".
    pub days: String,
    /// Name of the row of phases.
    pub phases: String,
    /// Name of the row of visits.
    pub visits: String,
    /// A visit that was.
    pub visit_past: String,
    /// A visit that is planned.
    pub visit_planned: String,
    /// In force.
    pub in_force: String,
    /// In force today and planned to go on: until an act ends it.
    pub goes_on: String,
    /// Planned, at the earliest, by an act.
    pub planned: String,
    /// Ended by an act.
    pub ended: String,
    /// Past a planned end that is still to come: it goes on until somebody ends it.
    pub lingers: String,
    /// Past its planned end and still in force.
    pub overdue: String,
    /// Status.
    pub ordered: String,
    /// Status.
    pub confirmed: String,
    /// Status; shown wherever it applies.
    pub assumed: String,
    /// The way of a limit on every way of moving, where others are on one way only.
    pub every_way: String,
    /// A further limit, for one way of moving only.
    pub other_limit: String,
    /// No limit on record on this side; the line is the usual end of the range. This is not "no limit".
    pub open_side: String,
    /// Nothing on record in a lane at this time.
    pub nothing: String,
    /// The limits leave no position.
    pub contradiction: String,
    /// Before what is allowed today.
    pub allowed_today: String,
    /// Before the reach of today's program.
    pub program: String,
    /// No program, or it does not move this joint.
    pub no_program: String,
    /// Word on a reach beyond a limit.
    pub beyond: String,
    /// Between the ends of a range.
    pub to: String,
    /// A measurement.
    pub measured: String,
    /// Before the last measurement.
    pub last_measured: String,
    /// No measurement.
    pub not_measured: String,
    /// Moved by the patient.
    pub active: String,
    /// Moved by someone else.
    pub passive: String,
    /// Not stated how it was moved.
    pub unstated: String,
    /// Decimal mark.
    pub decimal_mark: char,
}

/// What is allowed over time, on one page.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopeChart {
    /// Title, with the side in words.
    pub title: String,
    /// Date and day since surgery.
    pub today_label: String,
    /// Operation, protocol, version.
    pub subtitle: String,
    /// Today, days since surgery.
    pub today: i32,
    /// Number of days shown, from the day of surgery on.
    pub days: i32,
    /// Phases.
    pub phases: Vec<PhaseStart>,
    /// Visits to the surgeon.
    pub visits: Vec<Visit>,
    /// Lanes.
    pub lanes: Vec<Lane>,
    /// Panels.
    pub panels: Vec<AxisPanel>,
    /// Lines below the chart.
    pub notes: Vec<String>,
    /// Words.
    pub words: EnvelopeWords,
}

/// What a row of the table is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RowKind {
    /// Segment of a lane.
    Lane,
    /// Limit of a panel.
    Limit,
    /// A time without a recorded limit on one side.
    OpenSide,
    /// Reach of today's program.
    Program,
    /// Measurement.
    Measured,
    /// Beginning of a phase.
    Phase,
    /// Visit.
    Visit,
}

/// A row of the chart's table. The page puts dates to the days.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct EnvelopeRow {
    /// Kind.
    pub kind: RowKind,
    /// Lane or joint.
    pub subject: String,
    /// What holds or was found.
    pub what: String,
    /// First day.
    pub from: i32,
    /// First day on which it no longer holds, as far as is known or planned; `None`: it ends by an act only.
    pub until: Option<i32>,
    /// First day on which it was or is planned to end, at the earliest.
    pub planned_end: Option<i32>,
    /// In force, planned, overdue and the like; may be empty.
    pub state: String,
    /// On whose word; empty where it does not apply.
    pub status: String,
    /// Source and act needed.
    pub note: String,
}

/// When a piece of a band is, as seen from today.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum When {
    /// Up to and with today.
    InForce,
    /// After today, with the limits of today.
    GoesOn,
    /// After today, with the limits of today, past the planned end of one of them: only an act ends it.
    Lingers,
    /// After today, with other limits, at the earliest.
    Planned,
}

/// Some days with the same limits.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Piece {
    /// First day.
    pub from: i32,
    /// First day after it.
    pub until: i32,
    /// When.
    pub when: When,
    /// Strictest limit upwards, by its place.
    pub upper: Option<usize>,
    /// Strictest limit downwards.
    pub lower: Option<usize>,
    /// Further limits, each the strictest of its way.
    pub others: Vec<usize>,
}

impl Piece {
    /// True when the same holds in both.
    fn is_like(&self, other: &Piece) -> bool {
        let parts = |it: &Piece| (it.when, it.upper, it.lower, it.others.clone());
        parts(self) == parts(other)
    }
}

impl AxisPanel {
    /// Limits that hold on a day.
    fn holding(&self, day: i32, today: i32) -> Vec<usize> {
        (0..self.limits.len()).filter(|&i| self.limits[i].span.holds_on(day, today)).collect()
    }

    /// The strictest first; of equals the one on the better word, and not the overdue one.
    fn sort(&self, limits: &mut [usize], today: i32) {
        let key = |i: usize| (self.limits[i].status, self.limits[i].span.is_overdue(today), i);
        limits.sort_by(|&a, &b| {
            let by_angle = self.limits[a].max_deg.total_cmp(&self.limits[b].max_deg);
            by_angle.then(key(a).cmp(&key(b)))
        });
    }

    /// Of limits on one side, the strictest first: the further ones, each the strictest of its way.
    fn further(&self, these: &[usize]) -> Vec<usize> {
        let mut ways: BTreeSet<&str> = these.iter().take(1).map(|&i| &*self.limits[i].way).collect();
        these.iter().skip(1).copied().filter(|&i| ways.insert(&self.limits[i].way)).collect()
    }

    /// The band over time, in pieces without gaps.
    pub(crate) fn pieces(&self, today: i32, days: i32) -> Vec<Piece> {
        let mut cuts = BTreeSet::from([0, today + 1, days]);
        for limit in &self.limits {
            cuts.insert(limit.span.from);
            cuts.extend(limit.span.end(today));
            cuts.extend(limit.span.lingers_from(today));
        }
        let cuts: Vec<i32> = cuts.into_iter().filter(|day| (0..=days).contains(day)).collect();
        let sides = |holding: &[usize]| {
            [Toward::Up, Toward::Down].map(|toward| {
                let mut these: Vec<usize> =
                    holding.iter().copied().filter(|&i| self.limits[i].toward == toward).collect();
                self.sort(&mut these, today);
                these
            })
        };
        let firsts = |sides: &[Vec<usize>; 2]| [sides[0].first().copied(), sides[1].first().copied()];
        let now = firsts(&sides(&self.holding(today, today)));
        let lingers =
            |side: Option<usize>, day: i32| side.is_some_and(|i| self.limits[i].span.lingers_on(day, today));
        let mut pieces: Vec<Piece> = Vec::new();
        for pair in cuts.windows(2) {
            let (from, until) = (pair[0], pair[1]);
            let limits = sides(&self.holding(from, today));
            let [upper, lower] = firsts(&limits);
            let when = match from {
                day if day <= today => When::InForce,
                day if [upper, lower] == now && (lingers(upper, day) || lingers(lower, day)) => When::Lingers,
                _ if [upper, lower] == now => When::GoesOn,
                _ => When::Planned,
            };
            let others = limits.iter().flat_map(|these| self.further(these)).collect();
            let piece = Piece { from, until, when, upper, lower, others };
            match pieces.last_mut() {
                Some(last) if last.is_like(&piece) => last.until = until,
                _ => pieces.push(piece),
            }
        }
        pieces
    }

    /// Ends of the band in a piece, degrees on the axis.
    pub(crate) fn ends(&self, piece: &Piece) -> [Option<f64>; 2] {
        [piece.lower.map(|i| self.limits[i].on_axis()), piece.upper.map(|i| self.limits[i].on_axis())]
    }

    /// True when the program passes a limit of today.
    pub fn is_beyond(&self, reach: &Reach, today: i32) -> bool {
        self.passes(reach, today, Toward::Up) || self.passes(reach, today, Toward::Down)
    }

    /// True when the program passes a limit of today in one direction.
    pub(crate) fn passes(&self, reach: &Reach, today: i32, toward: Toward) -> bool {
        let mine = |it: &&AxisLimit| {
            let way = reach.way.is_empty() || it.way.is_empty() || it.way == reach.way;
            way && it.toward == toward && it.span.holds_on(today, today)
        };
        // The last bits of a solved angle do not make it pass.
        self.limits.iter().filter(mine).any(|it| match toward {
            Toward::Up => reach.high > it.on_axis() + 1e-6,
            Toward::Down => reach.low < it.on_axis() - 1e-6,
        })
    }

    /// True when limits of this direction speak of some ways of moving only.
    fn has_ways(&self, toward: Toward) -> bool {
        self.limits.iter().any(|it| it.toward == toward && !it.way.is_empty())
    }

    fn check(&self) -> Result<(), EnvelopeError> {
        let angle = |degrees: f64| {
            let fine = degrees.is_finite() && degrees.abs() <= MOST_DEGREES;
            if fine { Ok(()) } else { Err(EnvelopeError::Degrees { name: self.title.clone(), degrees }) }
        };
        let range = |low: f64, high: f64| {
            angle(low)?;
            angle(high)?;
            let name = || self.title.clone();
            if low <= high { Ok(()) } else { Err(EnvelopeError::Range { name: name(), low, high }) }
        };
        range(self.usual[0], self.usual[1])?;
        for limit in &self.limits {
            angle(limit.max_deg)?;
            check_span(&self.title, &limit.span)?;
        }
        self.reach.iter().try_for_each(|it| range(it.low, it.high))?;
        self.measured.iter().try_for_each(|it| angle(it.degrees))
    }
}

fn check_span(name: &str, span: &Span) -> Result<(), EnvelopeError> {
    for end in [span.ended, span.planned_end].into_iter().flatten() {
        if end < span.from {
            return Err(EnvelopeError::Time { name: name.to_owned(), from: span.from, end });
        }
    }
    Ok(())
}

/// Degrees with at most one decimal; `up` says where the rest goes.
fn degrees(value: f64, up: bool, mark: char) -> String {
    let scaled = value * 10.0;
    let whole = if up { libm::ceil(scaled - 1e-6) } else { libm::floor(scaled + 1e-6) };
    let sign = if whole < 0.0 { "−" } else { "" };
    let text = format!("{:.1}", libm::fabs(whole) / 10.0);
    format!("{sign}{}°", text.trim_end_matches(".0").replace('.', &mark.to_string()))
}

impl EnvelopeChart {
    /// The chart as a complete SVG document, `width` picture units wide; below 680 names stand above what they
    /// name. Its height follows from what it shows. `id` must be its own on a page.
    ///
    /// # Errors
    /// An angle, range or time that is none, today outside of the days shown, or a width that cannot be read.
    pub fn svg(&self, id: &str, width: f64) -> Result<String, EnvelopeError> {
        self.check(width)?;
        Ok(draw::draw(self, id, width))
    }

    fn check(&self, width: f64) -> Result<(), EnvelopeError> {
        if !(width.is_finite() && width >= NARROWEST) {
            return Err(EnvelopeError::Width(width));
        }
        if !(0..self.days).contains(&self.today) || self.days > MOST_DAYS {
            return Err(EnvelopeError::Days { today: self.today, days: self.days });
        }
        for lane in &self.lanes {
            lane.segments.iter().try_for_each(|it| check_span(&lane.name, &it.span))?;
        }
        self.panels.iter().try_for_each(AxisPanel::check)
    }

    fn status(&self, status: Status) -> &str {
        match status {
            Status::Ordered => &self.words.ordered,
            Status::Confirmed => &self.words.confirmed,
            Status::Assumed => &self.words.assumed,
        }
    }

    fn manner(&self, manner: Manner) -> &str {
        match manner {
            Manner::Active => &self.words.active,
            Manner::Passive => &self.words.passive,
            Manner::Unstated => &self.words.unstated,
        }
    }

    fn state(&self, span: &Span) -> &str {
        if span.ended.is_some_and(|day| day <= self.today) {
            &self.words.ended
        } else if span.is_overdue(self.today) {
            &self.words.overdue
        } else if span.is_planned(self.today) {
            &self.words.planned
        } else {
            &self.words.in_force
        }
    }

    /// Degrees of a limit, never more than it is.
    fn limit_degrees(&self, limit: &AxisLimit) -> String {
        degrees(limit.max_deg, false, self.words.decimal_mark)
    }

    /// The way of moving that a limit speaks of; empty where all limits speak of every way.
    fn way<'a>(&'a self, panel: &AxisPanel, limit: &'a AxisLimit) -> &'a str {
        if limit.way.is_empty() && panel.has_ways(limit.toward) { &self.words.every_way } else { &limit.way }
    }

    /// A limit with its direction and way.
    fn limit_text(&self, panel: &AxisPanel, limit: &AxisLimit) -> String {
        let name = if limit.toward == Toward::Up { &panel.up } else { &panel.down };
        let way = self.way(panel, limit);
        let comma = if way.is_empty() { "" } else { ", " };
        format!("{name} {}{comma}{way}", self.limit_degrees(limit))
    }

    /// An angle on the axis with the direction it is in, rounded outwards.
    fn angle_text(&self, panel: &AxisPanel, value: f64) -> String {
        let name = if value < 0.0 { &panel.down } else { &panel.up };
        format!("{name} {}", degrees(libm::fabs(value), true, self.words.decimal_mark))
    }

    fn measured_text(&self, panel: &AxisPanel, it: &Measured) -> String {
        let name = if it.toward == Toward::Up { &panel.up } else { &panel.down };
        let value = degrees(libm::round(it.degrees * 10.0) / 10.0, true, self.words.decimal_mark);
        format!("{name} {value}, {}", self.manner(it.manner))
    }

    fn reach_text(&self, panel: &AxisPanel, reach: &Reach) -> String {
        let ends = [reach.low, reach.high].map(|it| self.angle_text(panel, it));
        let way = if reach.way.is_empty() { String::new() } else { format!(", {}", reach.way) };
        let beyond = if panel.is_beyond(reach, self.today) {
            format!(", {}", self.words.beyond)
        } else {
            String::new()
        };
        format!("{} {} {}{way}{beyond}", ends[0], self.words.to, ends[1])
    }

    /// What is allowed today on an axis, part by part.
    fn allowed_today(&self, panel: &AxisPanel) -> Vec<String> {
        let pieces = panel.pieces(self.today, self.days);
        let Some(now) = pieces.iter().find(|it| (it.from..it.until).contains(&self.today)) else {
            return Vec::new();
        };
        let full = |limit: &AxisLimit| {
            let mut text = self.limit_text(panel, limit);
            if limit.status == Status::Assumed {
                text = format!("{text}, {}", self.words.assumed);
            }
            if limit.span.is_overdue(self.today) {
                text = format!("{text}, {}", self.words.overdue);
            }
            text
        };
        let side = |limit: Option<usize>, name: &str| match limit {
            None => format!("{name}: {}", self.words.open_side),
            Some(i) => full(&panel.limits[i]),
        };
        let mut parts = vec![side(now.upper, &panel.up), side(now.lower, &panel.down)];
        parts.extend(now.others.iter().map(|&i| full(&panel.limits[i])));
        if let [Some(low), Some(high)] = panel.ends(now)
            && low > high
        {
            parts.push(self.words.contradiction.clone());
        }
        parts
    }

    /// What the program does on an axis, way by way.
    fn program_today(&self, panel: &AxisPanel) -> Vec<String> {
        if panel.reach.is_empty() {
            return vec![self.words.no_program.clone()];
        }
        panel.reach.iter().map(|it| self.reach_text(panel, it)).collect()
    }

    /// The last measurement of each direction and manner.
    fn latest<'a>(&self, panel: &'a AxisPanel) -> Vec<&'a Measured> {
        let mut all: Vec<&Measured> = panel.measured.iter().collect();
        all.sort_by_key(|it| (it.toward, it.manner, -it.day));
        all.dedup_by_key(|it| (it.toward, it.manner));
        all
    }

    /// What was last measured on an axis.
    fn last_measured(&self, panel: &AxisPanel) -> Vec<String> {
        let latest = self.latest(panel);
        if latest.is_empty() {
            return vec![self.words.not_measured.clone()];
        }
        // A date is not broken at a line's end.
        let date = |it: &Measured| it.date.replace(' ', "\u{a0}");
        latest.iter().map(|it| format!("{} ({})", self.measured_text(panel, it), date(it))).collect()
    }

    /// What is to be said of an axis today: headings and their parts.
    fn facts(&self, panel: &AxisPanel) -> [(&str, Vec<String>); 3] {
        let words = &self.words;
        [
            (&words.allowed_today, self.allowed_today(panel)),
            (&words.program, self.program_today(panel)),
            (&words.last_measured, self.last_measured(panel)),
        ]
    }

    /// The chart in words, for those who cannot see it: what holds today. The rows tell all of it.
    pub fn description(&self) -> String {
        let mut parts = vec![self.today_label.clone(), self.subtitle.clone()];
        for lane in &self.lanes {
            let now = lane.segments.iter().filter(|it| it.span.holds_on(self.today, self.today));
            let fact = |it: &Segment| {
                let overdue = it.span.is_overdue(self.today).then_some(&*self.words.overdue);
                let parts = [Some(&*it.text), Some(self.status(it.status)), overdue];
                parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
            };
            let mut facts: Vec<String> = now.map(fact).collect();
            if facts.is_empty() {
                facts.push(self.words.nothing.clone());
            }
            parts.push(format!("{}: {}", lane.name, facts.join("; ")));
        }
        for panel in &self.panels {
            parts.push(panel.title.clone());
            parts.extend(
                self.facts(panel).iter().map(|(name, facts)| format!("{name}: {}", facts.join("; "))),
            );
        }
        sentences(parts.iter().map(String::as_str))
    }

    /// Everything that the chart shows, as rows of a table: lanes, then each panel, then phases and visits.
    pub fn rows(&self) -> Vec<EnvelopeRow> {
        let mut rows = Vec::new();
        for lane in &self.lanes {
            rows.extend(lane.segments.iter().map(|it| EnvelopeRow {
                kind: RowKind::Lane,
                subject: lane.name.clone(),
                what: it.text.clone(),
                from: it.span.from,
                until: it.span.end(self.today),
                planned_end: it.span.planned_end,
                state: self.state(&it.span).to_owned(),
                status: self.status(it.status).to_owned(),
                note: it.note.clone(),
            }));
        }
        for panel in &self.panels {
            self.panel_rows(panel, &mut rows);
        }
        let moment = |kind, subject: &str, what: &str, day: i32, state: &str| EnvelopeRow {
            kind,
            subject: subject.to_owned(),
            what: what.to_owned(),
            from: day,
            until: (kind == RowKind::Visit).then_some(day + 1),
            planned_end: None,
            state: state.to_owned(),
            status: String::new(),
            note: String::new(),
        };
        let words = &self.words;
        rows.extend(self.phases.iter().map(|it| {
            let state = if it.day > self.today { &words.planned } else { "" };
            moment(RowKind::Phase, &words.phases, &it.label, it.day, state)
        }));
        rows.extend(self.visits.iter().map(|it| {
            let state = if it.day > self.today { &words.visit_planned } else { &words.visit_past };
            moment(RowKind::Visit, &words.visits, &it.label, it.day, state)
        }));
        rows
    }

    fn panel_rows(&self, panel: &AxisPanel, rows: &mut Vec<EnvelopeRow>) {
        let row = |kind, what, from, until, state: &str| EnvelopeRow {
            kind,
            subject: panel.title.clone(),
            what,
            from,
            until,
            planned_end: None,
            state: state.to_owned(),
            status: String::new(),
            note: String::new(),
        };
        for limit in &panel.limits {
            let span = &limit.span;
            let until = span.end(self.today);
            rows.push(EnvelopeRow {
                status: self.status(limit.status).to_owned(),
                note: limit.note.clone(),
                planned_end: span.planned_end,
                ..row(RowKind::Limit, self.limit_text(panel, limit), span.from, until, self.state(span))
            });
        }
        let pieces = panel.pieces(self.today, self.days);
        for (toward, name) in [(Toward::Up, &panel.up), (Toward::Down, &panel.down)] {
            let is_open = |it: &Piece| (if toward == Toward::Up { it.upper } else { it.lower }).is_none();
            let mut open: Vec<[i32; 2]> = Vec::new();
            for piece in pieces.iter().filter(|it| is_open(it)) {
                match open.last_mut() {
                    Some(last) if last[1] == piece.from => last[1] = piece.until,
                    _ => open.push([piece.from, piece.until]),
                }
            }
            for [from, until] in open {
                let until = (until < self.days).then_some(until);
                rows.push(row(RowKind::OpenSide, name.clone(), from, until, &self.words.open_side));
            }
        }
        for reach in &panel.reach {
            let text = format!("{}: {}", self.words.program, self.reach_text(panel, reach));
            rows.push(row(RowKind::Program, text, self.today, Some(self.today + 1), ""));
        }
        let mut measured: Vec<&Measured> = panel.measured.iter().collect();
        measured.sort_by_key(|it| (it.day, it.toward, it.manner));
        for it in measured {
            let text = format!("{}: {} ({})", self.words.measured, self.measured_text(panel, it), it.date);
            rows.push(row(RowKind::Measured, text, it.day, Some(it.day + 1), ""));
        }
    }
}
