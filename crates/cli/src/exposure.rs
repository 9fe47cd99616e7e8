//! Load on a tissue over the weeks, as text, JSON or a picture.

use std::fmt::Write as _;
use std::process::ExitCode;

use handrail_anatomy::{Interval, LoadUnit, Side, Tissue};
use handrail_episode::{Exposures, Plan, Week, exposures};
use handrail_figures::{CeilingLine, ExposureChart, ExposureWords, WeekBar};
use handrail_motion::NotKnown;
use handrail_program::Exposure;
use handrail_protocol::{ExposureOf, InForce, Limit};
use handrail_words::Words;
use serde_json::{Value, json};

use crate::args::OfTissue;
use crate::files::write_picture;
use crate::ladder::{
    ceiling_words, day_line, decimal_mark, drawing_failed, patient_line, width, with_tissue,
};
use crate::loads::{exposure_json, week_head};
use crate::room::{Stop, print, print_json};

/// `exposure`.
pub fn exposure(args: &OfTissue) -> Result<ExitCode, Stop> {
    with_tissue(args, |plan, library, words, tissue| {
        let found = exposures(plan.episode, plan.protocol, &library.exercises, tissue, plan.on())
            .map_err(|error| Stop::new(format!("{}: {error}", plan.episode.id), "mend the episode file"))?;
        let shown = Shown { plan, words, exposures: found };
        if let Some(path) = &args.out {
            let svg = shown.chart().svg("exposure", width(args)).map_err(drawing_failed)?;
            write_picture(Some(path), &svg, args.replace)?;
        }
        if args.of.json {
            print_json(&shown.json());
        } else if let Some(path) = &args.out {
            print(&format!("{}: {} weeks", path.display(), shown.exposures.weeks.len()));
        } else {
            print(&shown.text());
        }
        Ok(ExitCode::SUCCESS)
    })
}

/// Weeks and the words they are shown in.
struct Shown<'a> {
    plan: &'a Plan<'a>,
    words: &'a Words,
    exposures: Exposures,
}

impl Shown<'_> {
    fn tissue(&self) -> Tissue {
        self.exposures.tissue
    }

    fn unit(&self) -> LoadUnit {
        self.tissue().unit()
    }

    fn side(&self) -> Side {
        self.plan.envelope.side
    }

    fn say(&self, key: &str) -> String {
        self.words.text(key, &[])
    }

    fn heading(&self) -> String {
        let tissue = self.words.tissue_name_on_side(self.tissue(), self.side());
        self.words.text("c-exposure-title", &[("tissue", tissue.into())])
    }

    /// The strictest ceiling in force on a week of this tissue.
    fn ceiling(&self) -> Option<(ExposureOf, f64, &InForce)> {
        let of_limit = |it| -> Option<(ExposureOf, f64, &InForce)> {
            let it: &InForce = it;
            match it.limit {
                Limit::Exposure { tissue, per_week, of } if tissue == self.tissue() => {
                    Some((of, per_week, it))
                }
                _ => None,
            }
        };
        self.plan.envelope.in_force.iter().filter_map(of_limit).min_by(|a, b| a.1.total_cmp(&b.1))
    }

    fn ceiling_line(&self) -> Option<String> {
        let (of, value, by) = self.ceiling()?;
        let value = self.words.exposure_amount(value, self.tissue(), of);
        Some(ceiling_words("c-exposure-ceiling", value, by, self.words))
    }

    fn threshold(&self) -> String {
        let Some(jump) = &self.plan.episode.jump else { return self.say("c-exposure-no-threshold") };
        let percent = self.words.number(jump.percent, 1);
        let args = [("percent", percent.into()), ("by", jump.by.as_str().into())];
        self.words.text("c-exposure-threshold", &args)
    }

    /// What is not established; it stands first and apart.
    fn not_established(&self) -> String {
        self.say("c-exposure-not-established")
    }

    /// What else must stand beside every such sum, the gaps of these ones first.
    fn notes(&self) -> Vec<String> {
        let mut out = self.gaps();
        out.extend(["c-exposure-over-report", "c-exposure-only-program"].map(|it| self.say(it)));
        if self.plan.protocol.is_draft() {
            out.push(self.words.draft_notice());
        }
        out.push(self.words.closing());
        out
    }

    /// Exercises that the sums lack.
    fn gaps(&self) -> Vec<String> {
        let sums = || self.exposures.weeks.iter().flat_map(|it| [&it.planned, &it.done]).flatten();
        let titles = |ids: Vec<&str>| {
            let mut names: Vec<String> = Vec::new();
            for id in ids {
                let title = self.words.quoted(&self.words.exercise_title(id, self.side()));
                if !names.contains(&title) {
                    names.push(title);
                }
            }
            names
        };
        let mut out = Vec::new();
        for why in NotKnown::ALL {
            let ids = sums().flat_map(|it| &it.not_known).filter(|it| it.1 == why).map(|it| it.0.as_str());
            let names = titles(ids.collect());
            if !names.is_empty() {
                let exercises = self.words.all_of(&names).into();
                let args = [("exercises", exercises), ("why", self.words.load_not_known(why).into())];
                out.push(self.words.text("c-exposure-lacks", &args));
            }
        }
        let names = titles(sums().flat_map(|it| &it.no_impulse).map(String::as_str).collect());
        if !names.is_empty() {
            let args = [("exercises", self.words.all_of(&names).into())];
            out.push(self.words.text("c-exposure-lacks-impulse", &args));
        }
        out
    }

    // ------------------------------------------------------------------------------------------------ text

    fn text(&self) -> String {
        let mut out = format!(
            "{}\n{}\n{}\n{}\n{}\n",
            self.heading(),
            day_line(self.plan, self.words),
            patient_line(self.plan, self.words),
            self.ceiling_line().unwrap_or_else(|| self.say("c-exposure-no-ceiling")),
            self.threshold(),
        );
        for week in &self.exposures.weeks {
            self.write_week(&mut out, week);
        }
        let _ = writeln!(out, "\n{}", self.not_established());
        for note in self.notes() {
            let _ = writeln!(out, "{note}");
        }
        out
    }

    fn write_week(&self, out: &mut String, week: &Week) {
        let date = self.words.date_short(week.from);
        let args = [("n", week.number.to_string().into()), ("date", date.into())];
        let _ = writeln!(out, "\n{}", self.words.text("c-exposure-week-from", &args));
        let rows = [
            (&week.planned, "c-exposure-planned", "c-exposure-no-program"),
            (&week.done, "c-exposure-done", "c-exposure-no-entry"),
        ];
        for (sum, key, none) in rows {
            let _ = match sum {
                Some(sum) => writeln!(out, "  {}: {}{}", self.say(key), self.sums(sum), self.over(week, sum)),
                None => writeln!(out, "  {}", self.say(none)),
            };
        }
        if let Some((of, value)) = week.ceiling {
            let value = self.words.exposure_amount(value, self.tissue(), of).into();
            let _ = writeln!(out, "  {}", self.words.text("c-exposure-ceiling-week", &[("value", value)]));
        }
        if let Some(jump) = week.jump_percent {
            let flag =
                if week.flagged { format!("; {}", self.say("c-exposure-flagged")) } else { String::new() };
            let sign = if jump > 0.0 { "+" } else { "" };
            let _ = writeln!(
                out,
                "  {}: {sign}{} %{flag}",
                self.say("c-exposure-jump"),
                self.words.number(jump, 0)
            );
        }
    }

    fn sums(&self, sum: &Exposure) -> String {
        let args = [
            ("peaks", self.sum(sum, ExposureOf::Peaks).into()),
            ("impulse", self.sum(sum, ExposureOf::Impulse).into()),
        ];
        self.words.text("c-exposure-sums", &args)
    }

    /// Bounds of a sum; a sum that lacks exercises says so, and one that lacks all that loads is not known.
    fn sum(&self, sum: &Exposure, of: ExposureOf) -> String {
        let Some(known) = stated(sum, of) else { return self.say("c-exposure-not-known") };
        let bounds = self.words.exposure_bounds(known, self.unit(), of);
        match sum.upper(of) {
            Some(_) => bounds,
            None => self.words.text("c-exposure-not-whole", &[("sum", bounds.into())]),
        }
    }

    /// A mark on a sum that passes the ceiling of its week; what is known of it is enough to pass.
    fn over(&self, week: &Week, sum: &Exposure) -> String {
        let passes = week.ceiling.is_some_and(|(of, value)| bounds(sum, of).high > value * (1.0 + 1e-9));
        if passes { format!("; {}", self.say("c-exposure-over")) } else { String::new() }
    }

    // ------------------------------------------------------------------------------------------------ JSON

    fn json(&self) -> Value {
        let mut out = week_head(self.tissue(), self.side());
        let jump = self.plan.episode.jump.as_ref();
        let ceiling = self.ceiling().map(|(of, value, by)| {
            json!({
                "of": of.id(),
                "value": value,
                "unit": of.unit(self.tissue()),
                "restriction": by.id,
                "source": by.source,
                "status": format!("{:?}", by.status).to_lowercase(),
            })
        });
        let rest = json!({
            "episode": self.plan.episode.id,
            "on": self.plan.on().to_string(),
            "ceiling": ceiling,
            "threshold": jump.map(|it| json!({ "percent": it.percent, "by": it.by })),
            "weeks": self.exposures.weeks.iter().map(week_json).collect::<Vec<_>>(),
            "not_established": self.not_established(),
            "notes": self.notes(),
        });
        if let Value::Object(rest) = rest {
            out.extend(rest);
        }
        Value::Object(out)
    }

    // --------------------------------------------------------------------------------------------- picture

    fn chart(&self) -> ExposureChart {
        // A ceiling and the bars under it must speak of the same sum.
        let of = self.ceiling().map_or(ExposureOf::Peaks, |it| it.0);
        let unit = self.words.exposure_unit_short(self.unit(), of);
        let axis = match of {
            ExposureOf::Peaks => "c-exposure-axis-peaks",
            ExposureOf::Impulse => "c-exposure-axis-impulse",
        };
        let bar = |week: &Week| WeekBar {
            label: self.words.text("c-exposure-week", &[("n", week.number.to_string().into())]),
            planned: week.planned.as_ref().and_then(|it| stated(it, of)),
            done: week.done.as_ref().and_then(|it| stated(it, of)),
            jump_percent: week.jump_percent,
            flagged: week.flagged,
        };
        let mut beside = vec![self.threshold()];
        beside.extend(self.notes());
        ExposureChart {
            title: self.heading(),
            today: day_line(self.plan, self.words),
            subtitle: patient_line(self.plan, self.words),
            axis: self.words.text(axis, &[("unit", unit.as_str().into())]),
            unit,
            weeks: self.exposures.weeks.iter().map(bar).collect(),
            ceiling: self
                .ceiling_line()
                .zip(self.ceiling())
                .map(|(label, (_, value, _))| CeilingLine { value, label }),
            threshold: beside.join(" "),
            note: self.not_established(),
            words: ExposureWords {
                planned: self.say("c-exposure-planned"),
                done: self.say("c-exposure-done"),
                between: self.say("c-exposure-between"),
                jump: self.say("c-exposure-jump"),
                flagged: self.say("c-exposure-flagged"),
                over: self.say("c-exposure-over"),
                no_entry: self.say("c-exposure-no-entry"),
                decimal_mark: decimal_mark(self.words),
            },
        }
    }
}

/// A sum that says something: whole, or at least more than nothing.
fn stated(sum: &Exposure, of: ExposureOf) -> Option<Interval> {
    let known = bounds(sum, of);
    (sum.upper(of).is_some() || known.high > 0.0).then_some(known)
}

fn bounds(sum: &Exposure, of: ExposureOf) -> Interval {
    match of {
        ExposureOf::Peaks => sum.peaks,
        ExposureOf::Impulse => sum.impulse,
    }
}

fn week_json(week: &Week) -> Value {
    json!({
        "week": week.number,
        "from": week.from.to_string(),
        "planned": week.planned.as_ref().map(exposure_json),
        "done": week.done.as_ref().map(exposure_json),
        "jump_percent": week.jump_percent.map(|it| (it * 10.0).round() / 10.0),
        "flagged": week.flagged,
        "ceiling": week.ceiling.map(|(of, value)| json!({ "of": of.id(), "value": value })),
    })
}
