//! The load ladder of a tissue on a day, as a table, JSON or a picture.

use std::fmt::Write as _;
use std::process::ExitCode;

use handrail_anatomy::{LoadUnit, Tissue};
use handrail_episode::Plan;
use handrail_figures::{self as figures, CeilingLine, LadderChart, LadderWords, Standing};
use handrail_library::Library;
use handrail_motion::{LoadBasis, NotKnown};
use handrail_program::ladder::{OrderedRung, Rung};
use handrail_program::{Kind, Ladder};
use handrail_protocol::InForce;
use handrail_words::{Lang, Words};
use serde_json::{Value, json};

use crate::args::OfTissue;
use crate::files::write_picture;
use crate::input;
use crate::loads::{interval_json, side_word};
use crate::room::{Stop, capital, print, print_json};

/// Width of a picture, and of one for a narrow screen, picture units.
pub const WIDTHS: (f64, f64) = (760.0, 360.0);

/// Most exercises with one reason that have a row each in the picture.
const OWN_ROWS: usize = 3;

/// `ladder`.
pub fn ladder(args: &OfTissue) -> Result<ExitCode, Stop> {
    with_tissue(args, |plan, library, words, tissue| {
        let shown = Shown { plan, words, ladder: plan.ladder(&library.exercises, tissue) };
        if let Some(path) = &args.out {
            let svg = shown.chart().svg("ladder", width(args)).map_err(drawing_failed)?;
            write_picture(Some(path), &svg, args.replace)?;
        }
        if args.of.json {
            print_json(&shown.json());
        } else if let Some(path) = &args.out {
            let count = shown.ladder.rungs.len();
            print(&format!("{}: {count} rungs", path.display()));
        } else {
            print(&shown.text());
        }
        Ok(ExitCode::SUCCESS)
    })
}

/// Width of the picture that was asked for.
pub fn width(args: &OfTissue) -> f64 {
    if args.narrow { WIDTHS.1 } else { WIDTHS.0 }
}

/// A chart that cannot be drawn.
pub fn drawing_failed(error: figures::ChartError) -> Stop {
    Stop::new(format!("picture: {error}"), "look at the numbers with --json")
}

/// What a command on a tissue begins with: plan, library, words and the tissue that is meant.
pub fn with_tissue<T>(
    args: &OfTissue,
    run: impl FnOnce(&Plan<'_>, &Library, &Words, Tissue) -> Result<T, Stop>,
) -> Result<T, Stop> {
    let words = input::words(Some(&args.lang), None)?;
    let library = input::library()?;
    let episode = input::episode(&args.of.episode, &library)?;
    let plan = input::plan_of(&episode, &library, args.of.on)?;
    let tissue = tissue_of(&plan, args.tissue.as_deref())?;
    run(&plan, &library, &words, tissue)
}

/// The tissue named, or the first that the protocol protects.
fn tissue_of(plan: &Plan<'_>, name: Option<&str>) -> Result<Tissue, Stop> {
    let list = |tissues: &[Tissue]| tissues.iter().map(|it| it.id()).collect::<Vec<_>>().join(", ");
    let all = format!("name one with --tissue: {}", list(Tissue::ALL));
    match name {
        Some(name) => Tissue::by_id(name).ok_or_else(|| {
            let protected = plan.protected_tissues();
            let mend = format!("{all}; protected here: {}", list(&protected));
            Stop::new(format!("there is no tissue `{name}`"), mend)
        }),
        None => plan.protected_tissues().first().copied().ok_or_else(|| {
            Stop::new(format!("protocol {} names no tissue to protect", plan.protocol.id), all)
        }),
    }
}

/// Lines that stand above text and picture: title, day, patient.
pub fn day_line(plan: &Plan<'_>, words: &Words) -> String {
    let envelope = &plan.envelope;
    let args = [
        ("date", words.date_long(envelope.on).into()),
        ("day", envelope.day.to_string().into()),
        ("week", envelope.week.to_string().into()),
    ];
    capital(&words.text("c-day", &args))
}

/// Patient and operation.
pub fn patient_line(plan: &Plan<'_>, words: &Words) -> String {
    let operation = words.operation_name(&plan.protocol.id);
    let args = [("name", plan.episode.patient.name.as_str().into()), ("operation", operation.into())];
    words.text("c-of-patient", &args)
}

/// Decimal mark of a language.
pub fn decimal_mark(words: &Words) -> char {
    if words.lang() == Lang::Es { ',' } else { '.' }
}

/// A ladder and the words it is shown in.
struct Shown<'a> {
    plan: &'a Plan<'a>,
    words: &'a Words,
    ladder: Ladder,
}

impl Shown<'_> {
    fn unit(&self) -> LoadUnit {
        self.ladder.tissue.unit()
    }

    fn say(&self, key: &str) -> String {
        self.words.text(key, &[])
    }

    /// Title of an exercise in the language; its id where it has none.
    fn title(&self, id: &str) -> String {
        self.words.exercise_title(id, self.ladder.side)
    }

    fn heading(&self) -> String {
        let tissue = self.words.tissue_name_on_side(self.ladder.tissue, self.ladder.side);
        self.words.text("c-ladder-title", &[("tissue", tissue.into())])
    }

    fn ceiling_line(&self) -> Option<String> {
        let (value, by) = self.ladder.ceiling.as_ref()?;
        Some(ceiling_words("c-ladder-ceiling", self.words.load_amount(*value, self.unit()), by, self.words))
    }

    fn unknown_heading(&self) -> String {
        let ceiling = self.ladder.ceiling.is_some();
        self.say(if ceiling { "c-ladder-unknown-heading-ceiling" } else { "c-ladder-unknown-heading" })
    }

    /// What else is to be said of a rung than its load.
    fn detail(&self, rung: &Rung) -> String {
        match rung.kind {
            Kind::Refused if !rung.over => self.say("c-ladder-refused"),
            Kind::Limited => self.say("c-ladder-limited"),
            _ => String::new(),
        }
    }

    fn letters(&self, basis: LoadBasis) -> String {
        let (computed, measured) =
            (self.say("c-ladder-computed-letter"), self.say("c-ladder-measured-letter"));
        match basis {
            LoadBasis::Computed => computed,
            LoadBasis::Measured => measured,
            LoadBasis::ComputedAndMeasured => format!("{computed}+{measured}"),
            LoadBasis::Practice => self.say("c-ladder-practice-letter"),
        }
    }

    fn notes(&self) -> Vec<String> {
        let mut out = vec![self.say("c-ladder-all-limits")];
        if self.plan.protocol.is_draft() {
            out.push(self.words.draft_notice());
        }
        out.push(self.words.closing());
        out
    }

    // ------------------------------------------------------------------------------------------------ text

    fn text(&self) -> String {
        let mut out = format!(
            "{}\n{}\n{}\n{}\n\n",
            self.heading(),
            day_line(self.plan, self.words),
            patient_line(self.plan, self.words),
            self.ceiling_line().unwrap_or_else(|| self.say("c-ladder-no-ceiling")),
        );
        let mut sources: Vec<String> = Vec::new();
        self.write_rungs(&mut out, &mut sources);
        self.write_ordered(&mut out, &mut sources);
        self.write_unknown(&mut out);
        out.push('\n');
        let legend = [
            ("computed", "c-ladder-computed"),
            ("measured", "c-ladder-measured"),
            ("practice", "c-ladder-practice"),
        ];
        for (letter, what) in legend {
            let _ = writeln!(out, "{}: {}", self.say(&format!("c-ladder-{letter}-letter")), self.say(what));
        }
        let _ = writeln!(out, "{}", self.say("c-ladder-sources"));
        for (index, source) in sources.iter().enumerate() {
            let _ = writeln!(out, "[{}] {source}", index + 1);
        }
        out.push('\n');
        for note in self.notes() {
            let _ = writeln!(out, "{note}");
        }
        out
    }

    fn write_rungs(&self, out: &mut String, sources: &mut Vec<String>) {
        if self.ladder.rungs.is_empty() {
            let _ = writeln!(out, "{}", self.say("c-ladder-none"));
        }
        let ceiling = self.ceiling_line().map(|it| format!("---- {it} ----"));
        let next = self.ladder.next().map(|it| it.exercise.as_str());
        let bounds: Vec<String> =
            self.ladder.rungs.iter().map(|it| self.words.load_bounds(it.load.peak, self.unit())).collect();
        let wide = bounds.iter().map(|it| it.chars().count()).max().unwrap_or(0);
        let mut below = true;
        for (rung, bounds) in self.ladder.rungs.iter().zip(&bounds) {
            if rung.over && below {
                below = false;
                let _ = writeln!(out, "{}", ceiling.as_deref().unwrap_or_default());
            }
            let source = format!("{} ({})", rung.load.source, self.words.known_word(rung.load.known));
            let _ = write!(
                out,
                "{bounds:>wide$}  {:3}  {:9}  {} ({}) [{}]",
                self.letters(rung.load.basis),
                self.words.kind_name(rung.kind),
                self.title(&rung.exercise),
                rung.exercise,
                place(sources, source),
            );
            for mark in self.marks(rung, next) {
                let _ = write!(out, "; {mark}");
            }
            out.push('\n');
        }
        if let (true, Some(line)) = (below, ceiling) {
            let _ = writeln!(out, "{line}");
        }
    }

    /// Words after the name of a rung.
    fn marks(&self, rung: &Rung, next: Option<&str>) -> Vec<String> {
        let is_next = next == Some(rung.exercise.as_str());
        let mut out = Vec::new();
        if rung.in_program {
            out.push(self.say("c-ladder-current"));
        }
        if is_next {
            out.push(self.say(if rung.over { "c-ladder-opens" } else { "c-ladder-next" }));
        } else if rung.over {
            out.push(self.say("c-ladder-over"));
        }
        out.extend(Some(self.detail(rung)).filter(|it| !it.is_empty()));
        out
    }

    fn write_ordered(&self, out: &mut String, sources: &mut Vec<String>) {
        if self.ladder.ordered.is_empty() {
            return;
        }
        let _ = writeln!(out, "\n{}", self.say("c-ladder-order-heading"));
        for it in &self.ladder.ordered {
            let order = self.words.load_order(&it.above, &it.below, self.ladder.side);
            let source = place(sources, it.source.clone());
            let _ = write!(out, "- {} ({}): {order} [{source}]", self.title(&it.exercise), it.exercise);
            if it.in_program {
                let _ = write!(out, "; {}", self.say("c-ladder-current"));
            }
            out.push('\n');
        }
    }

    fn write_unknown(&self, out: &mut String) {
        if self.ladder.unknown.is_empty() {
            return;
        }
        let _ = writeln!(out, "\n{}", self.unknown_heading());
        for why in NotKnown::ALL {
            let one = |it: &handrail_program::ladder::UnknownRung| {
                let current =
                    if it.in_program { format!(", {}", self.say("c-ladder-current")) } else { String::new() };
                format!("{} ({}{current})", self.title(&it.exercise), it.exercise)
            };
            let names: Vec<String> = self.ladder.unknown.iter().filter(|it| it.why == why).map(one).collect();
            if !names.is_empty() {
                let _ = writeln!(out, "- {}: {}", capital(&self.words.load_not_known(why)), names.join("; "));
            }
        }
    }

    // ------------------------------------------------------------------------------------------------ JSON

    fn json(&self) -> Value {
        let ladder = &self.ladder;
        let neighbours: serde_json::Map<String, Value> = ladder
            .rungs
            .iter()
            .map(|it| {
                let (easier, harder) = ladder.neighbours(&it.exercise);
                let name = |it: Option<&Rung>| it.map(|it| it.exercise.clone());
                (it.exercise.clone(), json!({ "easier": name(easier), "harder": name(harder) }))
            })
            .collect();
        json!({
            "episode": self.plan.episode.id,
            "on": self.plan.on().to_string(),
            "tissue": ladder.tissue.id(),
            "side": side_word(ladder.tissue, ladder.side),
            "unit": self.unit().id(),
            "ceiling": ladder.ceiling.as_ref().map(|(value, by)| json!({
                "value": value,
                "restriction": by.id,
                "source": by.source,
                "status": format!("{:?}", by.status).to_lowercase(),
            })),
            "rungs": ladder.rungs.iter().map(|it| json!({
                "exercise": it.exercise,
                "low": interval_json(it.load.peak)["low"],
                "high": interval_json(it.load.peak)["high"],
                "basis": it.load.basis.id(),
                "known": it.load.known.id(),
                "source": it.load.source,
                "at_s": it.load.at.map(|it| (it * 100.0).round() / 100.0),
                "impulse": it.load.impulse.map(interval_json),
                "verdict": it.kind.id(),
                "over": it.over,
                "in_program": it.in_program,
            })).collect::<Vec<_>>(),
            "ordered": ladder.ordered.iter().map(|it| json!({
                "exercise": it.exercise,
                "above": it.above,
                "below": it.below,
                "source": it.source,
                "in_program": it.in_program,
            })).collect::<Vec<_>>(),
            "unknown": ladder.unknown.iter().map(|it| json!({
                "exercise": it.exercise,
                "not_known": it.why.id(),
                "in_program": it.in_program,
            })).collect::<Vec<_>>(),
            "next": ladder.next().map(|it| it.exercise.clone()),
            "neighbours": neighbours,
        })
    }

    // --------------------------------------------------------------------------------------------- picture

    fn chart(&self) -> LadderChart {
        let ladder = &self.ladder;
        let next = ladder.next().map(|it| it.exercise.as_str());
        let rungs = ladder.rungs.iter().map(|it| figures::Rung {
            name: self.title(&it.exercise),
            load: it.load.peak,
            standing: match it {
                it if it.in_program => Standing::Current,
                it if next == Some(it.exercise.as_str()) => Standing::Next,
                it if it.over => Standing::Over,
                _ => Standing::Within,
            },
            basis: it.load.basis,
            detail: self.detail(it),
        });
        let (placed, apart): (Vec<&OrderedRung>, Vec<&OrderedRung>) =
            ladder.ordered.iter().partition(|it| self.has_neighbour(it));
        let mut unknown: Vec<figures::UnknownRung> = apart.into_iter().map(|it| self.apart(it)).collect();
        unknown.extend(NotKnown::ALL.into_iter().flat_map(|it| self.unknown_rows(it)));
        LadderChart {
            title: self.heading(),
            today: day_line(self.plan, self.words),
            subtitle: patient_line(self.plan, self.words),
            unit: self.words.load_unit_short(self.unit()),
            axis: self.say(match self.unit() {
                LoadUnit::BodyWeights => "c-ladder-axis-body-weights",
                LoadUnit::PercentStrain => "c-ladder-axis-percent-strain",
                LoadUnit::PercentMvic => "c-ladder-axis-percent-mvic",
            }),
            rungs: rungs.collect(),
            ordered: placed.into_iter().map(|it| self.ordered_rung(it)).collect(),
            unknown,
            ceiling: self
                .ceiling_line()
                .zip(ladder.ceiling.as_ref())
                .map(|(label, (value, _))| CeilingLine { value: *value, label }),
            notes: self.notes(),
            words: self.chart_words(),
        }
    }

    /// Places of these exercises among the rungs.
    fn places(&self, ids: &[String]) -> Vec<usize> {
        let place = |id: &String| self.ladder.rungs.iter().position(|it| it.exercise == *id);
        ids.iter().filter_map(place).collect()
    }

    /// An order can be drawn only beside a rung.
    fn has_neighbour(&self, it: &OrderedRung) -> bool {
        !self.places(&it.above).is_empty() || !self.places(&it.below).is_empty()
    }

    /// A row for an exercise whose order does not touch this ladder.
    fn apart(&self, it: &OrderedRung) -> figures::UnknownRung {
        let why = self.words.load_order(&it.above, &it.below, self.ladder.side);
        figures::UnknownRung { name: self.marked(&it.exercise, it.in_program), why: capital(&why) }
    }

    /// Rows for the exercises not known for one reason; many of them share a row.
    fn unknown_rows(&self, why: NotKnown) -> Vec<figures::UnknownRung> {
        let of_reason = self.ladder.unknown.iter().filter(|it| it.why == why);
        let names: Vec<String> = of_reason.map(|it| self.marked(&it.exercise, it.in_program)).collect();
        let why = capital(&self.words.load_not_known(why));
        if names.len() > OWN_ROWS {
            return vec![figures::UnknownRung { name: why, why: names.join("; ") }];
        }
        names.into_iter().map(|name| figures::UnknownRung { name, why: why.clone() }).collect()
    }

    /// Title of an exercise, with a word when it is in the program.
    fn marked(&self, id: &str, in_program: bool) -> String {
        let title = self.title(id);
        if !in_program {
            return title;
        }
        let args = [("what", title.into()), ("mark", self.say("c-ladder-current").into())];
        self.words.text("c-ladder-with-mark", &args)
    }

    fn ordered_rung(&self, it: &OrderedRung) -> figures::OrderedRung {
        figures::OrderedRung {
            name: self.title(&it.exercise),
            lighter: self.places(&it.above),
            heavier: self.places(&it.below),
            standing: if it.in_program { Standing::Current } else { Standing::Within },
            detail: self.words.load_order(&it.above, &it.below, self.ladder.side),
        }
    }

    fn chart_words(&self) -> LadderWords {
        LadderWords {
            over_heading: self.say("c-ladder-over-heading"),
            within_heading: self.say("c-ladder-within-heading"),
            over: self.say("c-ladder-over"),
            opens: self.say("c-ladder-opens"),
            current: self.say("c-ladder-current"),
            next: self.say("c-ladder-next"),
            order_only: self.say("c-ladder-order-only"),
            unknown_heading: self.unknown_heading(),
            computed: self.say("c-ladder-computed"),
            computed_letter: self.say("c-ladder-computed-letter"),
            measured: self.say("c-ladder-measured"),
            measured_letter: self.say("c-ladder-measured-letter"),
            practice: self.say("c-ladder-practice"),
            practice_letter: self.say("c-ladder-practice-letter"),
            both: self.say("c-ladder-both"),
            upper_bound: self.say("c-ladder-upper-bound"),
            decimal_mark: decimal_mark(self.words),
        }
    }
}

/// A ceiling with the restriction or order behind it and on whose word it stands.
pub fn ceiling_words(key: &str, value: String, by: &InForce, words: &Words) -> String {
    let args = [
        ("value", value.into()),
        ("id", by.id.as_str().into()),
        ("status", words.status_clinician(by.status).into()),
    ];
    words.text(key, &args)
}

/// Number of a source in the list; new ones are added.
fn place(sources: &mut Vec<String>, source: String) -> usize {
    if let Some(at) = sources.iter().position(|it| *it == source) {
        return at + 1;
    }
    sources.push(source);
    sources.len()
}
