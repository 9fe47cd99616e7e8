//! Loads on the therapist's page: net joint moments, loads on protected tissues with their basis and source,
//! what a week adds up to, and a small load ladder.
//!
//! Every figure is read from the checked repetitions of the session, the same that are drawn and told.

use handrail_anatomy::{Coord, Dof, Drive, Interval, Joint, Known, LoadUnit, Tissue};
use handrail_episode::exposures::planned_week;
use handrail_figures::ladder as chart;
use handrail_figures::{CeilingLine, LadderChart, LadderWords, Standing};
use handrail_motion::load::tissue_load;
use handrail_motion::{Load, LoadBasis, Motion, NotKnown, Repetition, TissueLoad};
use handrail_program::{Item, Kind, Ladder};
use handrail_protocol::{ExposureOf, InForce, Limit};
use handrail_words::Lang;

use crate::compose::{Composer, Sources, capital};
use crate::handout::{LoadRow, Loads, MomentRow, Picture, TissueTable};

/// Joints whose net moments are shown, with the coordinates they are read about, and a tissue that tells by
/// its load whether the moment of the joint is known.
const SHOWN: [(Joint, &[Dof], Tissue); 5] = [
    (Joint::Hip, &[Dof::HipFlexion, Dof::HipAbduction], Tissue::HipJoint),
    (Joint::Knee, &[Dof::KneeFlexion], Tissue::PatellarTendon),
    (Joint::Ankle, &[Dof::AnkleDorsiflexion], Tissue::AchillesTendon),
    (
        Joint::Shoulder,
        &[Dof::ShoulderFlexion, Dof::ShoulderAbduction, Dof::ShoulderExternalRotation],
        Tissue::BicepsLongHead,
    ),
    (Joint::Elbow, &[Dof::ElbowFlexion], Tissue::BicepsLongHead),
];

/// Least net joint moment that is shown as more than 0, N·m per kg: half of the last digit.
const SMALLEST_MOMENT: f64 = 0.005;

/// Width of the small load ladder in picture units; on a page's width its letters then come out at about 9 points.
const LADDER_WIDTH: f64 = 720.0;

/// Rungs of the small load ladder, unless the program and the next rung are more.
const LADDER_RUNGS: usize = 5;

/// The motion as if nothing were published of it: its loads are then those of the solved repetition alone.
fn unpublished(motion: &Motion) -> Motion {
    Motion { measured: Vec::new(), ..motion.clone() }
}

/// First authors and years of a source: what stands before the first comma of each of its parts.
fn short_form(source: &str) -> String {
    let parts = source.split(';').filter_map(|it| it.split(',').next()).map(str::trim);
    parts.filter(|it| !it.is_empty()).collect::<Vec<_>>().join(", ")
}

impl Composer<'_> {
    /// The loads of the therapist's page. Their sources are added to those of the page.
    pub(crate) fn loads(&self, ladder: Option<&Ladder>, sources: &mut Sources) -> Loads {
        let tissues = self.plan.protected_tissues();
        Loads {
            moments: self.session.items.iter().map(|it| self.moments(it, &tissues)).collect(),
            tissues: tissues.iter().map(|&it| self.tissue_table(it, sources)).collect(),
            notes: self.notes(),
            ladder: ladder.and_then(|it| self.ladder(it)),
        }
    }

    /// Texts `c-load-note-1`, `c-load-note-2`, ... as far as they go.
    fn notes(&self) -> Vec<String> {
        let keys = (1..).map(|n| format!("c-load-note-{n}"));
        keys.take_while(|it| self.words.has(it)).map(|it| self.say(&it)).collect()
    }

    fn title(&self, item: &Item) -> String {
        self.exercise_title(&item.motion.id, item.checked.verdict().side)
    }

    // ------------------------------------------------------------------ net joint moments

    /// The joints that matter: those of the protected tissues, and those that the exercise drives.
    fn moments(&self, item: &Item, tissues: &[Tissue]) -> MomentRow {
        let repetition = item.checked.repetition();
        let motion = unpublished(&item.motion);
        let matters = |joint: Joint| {
            tissues.iter().any(|it| it.joints().contains(&joint))
                || repetition.drive(self.side, joint).is_some()
        };
        let mut moments: Vec<String> = Vec::new();
        // Joints whose moment is not known for the same reason are told together.
        let mut unknown: Vec<(NotKnown, Vec<String>)> = Vec::new();
        for (joint, coordinates, tissue) in SHOWN.into_iter().filter(|it| matters(it.0)) {
            let load = tissue_load(&motion, &self.plan.body, repetition, tissue, self.side);
            match load {
                // A missing moment arm hides the tissue's load, not the moment.
                Load::NotKnown(why) if why != NotKnown::NotPublished => {
                    let name = self.words.joint_name(joint);
                    match unknown.iter_mut().find(|it| it.0 == why) {
                        Some((_, names)) => names.push(name),
                        None => unknown.push((why, vec![name])),
                    }
                }
                _ => moments.extend(self.moments_of(repetition, joint, coordinates)),
            }
        }
        for (why, names) in unknown {
            let args = [
                ("joints", self.words.all_of(&names).into()),
                ("why", self.words.load_not_known(why).into()),
            ];
            moments.push(self.words.text("c-load-moment-not-known", &args));
        }
        if moments.is_empty() {
            moments.push(self.say("c-load-moment-none"));
        }
        MomentRow { exercise: self.title(item), moments }
    }

    /// For each coordinate the direction into which the joint is pushed hardest.
    fn moments_of(&self, repetition: &Repetition, joint: Joint, coordinates: &[Dof]) -> Vec<String> {
        let words = self.words;
        let assisted = repetition.drive(self.side, joint) == Some(Drive::Assisted);
        let mut out = Vec::new();
        for &dof in coordinates {
            let coordinate = Coord::of(self.side, dof).0;
            let moments = repetition.joints.iter().map(|it| it.by_coordinate[coordinate]);
            let most = moments.fold(0.0, |most: f64, it| if it.abs() > most.abs() { it } else { most });
            let per_kg = most.abs() / self.plan.body.mass();
            if per_kg < SMALLEST_MOMENT {
                continue;
            }
            let (positive, negative) = dof.directions();
            let direction = words.motion_name(joint, if most > 0.0 { positive } else { negative });
            let key = if assisted { "c-load-moment-at-most" } else { "c-load-moment" };
            let args = [("direction", direction.into()), ("n", words.number(per_kg, 2).into())];
            out.push(words.text(key, &args));
        }
        if out.is_empty() {
            let args = [("direction", words.joint_name(joint).into()), ("n", "0".into())];
            out.push(words.text("c-load-moment", &args));
        }
        out
    }

    // ------------------------------------------------------------------ loads on a tissue

    fn tissue_table(&self, tissue: Tissue, sources: &mut Sources) -> TissueTable {
        TissueTable {
            title: capital(&self.words.tissue_name_on_side(tissue, self.side)),
            ceilings: self.ceilings(tissue, sources),
            rows: self.session.items.iter().map(|it| self.load_row(it, tissue, sources)).collect(),
            week: self.week_sums(tissue),
        }
    }

    /// Ceilings of the day on the tissue, with their source and status; or that there is none.
    fn ceilings(&self, tissue: Tissue, sources: &Sources) -> Vec<String> {
        let on_tissue = |it: &&InForce| match it.limit {
            Limit::TissueLoad { tissue: of, .. } | Limit::Exposure { tissue: of, .. } => of == tissue,
            _ => false,
        };
        let line = |it: &InForce| {
            let args = [
                ("value", self.words.limit_value(&it.limit).into()),
                ("source", self.short_source(it, sources).into()),
            ];
            self.words.text("c-load-ceiling", &args)
        };
        let out: Vec<String> = self.plan.envelope.in_force.iter().filter(on_tissue).map(line).collect();
        if out.is_empty() { vec![self.say("c-ladder-no-ceiling")] } else { out }
    }

    fn load_row(&self, item: &Item, tissue: Tissue, sources: &mut Sources) -> LoadRow {
        let (words, exercise) = (self.words, self.title(item));
        let repetition = item.checked.repetition();
        match tissue_load(&item.motion, &self.plan.body, repetition, tissue, self.side) {
            Load::Known(load) => LoadRow::Stated {
                exercise,
                load: words.load_bounds(load.peak, load.unit()),
                basis: words.basis_name(load.basis),
                known: words.known_word(load.known),
                source: self.load_source(item, tissue, &load, sources),
            },
            Load::Order { above, below, source, known, .. } => LoadRow::Order {
                exercise,
                order: words
                    .text("c-load-order", &[("order", words.load_order(&above, &below, self.side).into())]),
                known: words.known_word(known),
                source: self.marked(short_form(&source), &source, known, sources),
            },
            Load::NotKnown(why) => LoadRow::NotKnown {
                exercise,
                why: words.text("c-load-not-known", &[("why", words.load_not_known(why).into())]),
            },
        }
    }

    /// Short form of a source with its mark: "Uhl et al. 2010 [5]".
    fn marked(&self, short: String, source: &str, known: Known, sources: &mut Sources) -> String {
        format!("{short} [{}]", sources.mark(source, self.words.known_word(known)))
    }

    /// Sources of a stated load. Of one that was both computed and published, each has its own mark.
    fn load_source(&self, item: &Item, tissue: Tissue, load: &TissueLoad, sources: &mut Sources) -> String {
        let computed = |it: &TissueLoad, sources: &mut Sources| {
            // Only what is computed along the repetition has a time of its peak; the others rest.
            let short = self.say(if it.at.is_some() { "c-load-by-arm" } else { "c-load-at-rest" });
            self.marked(short, &it.source, it.known, sources)
        };
        match load.basis {
            LoadBasis::Computed | LoadBasis::Practice => computed(load, sources),
            LoadBasis::Measured => self.marked(short_form(&load.source), &load.source, load.known, sources),
            LoadBasis::ComputedAndMeasured => {
                let repetition = item.checked.repetition();
                let alone =
                    tissue_load(&unpublished(&item.motion), &self.plan.body, repetition, tissue, self.side);
                let mut out: Vec<String> =
                    alone.stated().map(|it| computed(it, sources)).into_iter().collect();
                // The row whose figure the load spans, whichever limb it speaks of.
                let row = item
                    .motion
                    .measured
                    .iter()
                    .find(|it| it.tissue == tissue && load.source.ends_with(&it.source));
                out.extend(row.map(|it| self.marked(short_form(&it.source), &it.source, it.known, sources)));
                out.join("; ")
            }
        }
    }

    /// What one week of the program adds up to, and what the sums lack. A sum that is 0 only because something
    /// is missing is not shown.
    fn week_sums(&self, tissue: Tissue) -> Vec<String> {
        let words = self.words;
        let week = planned_week(self.plan, tissue);
        let names = |ids: &[String]| {
            let titles: Vec<String> = ids.iter().map(|id| self.exercise_title(id, self.side)).collect();
            [("exercises", words.all_of(&titles).into())]
        };
        let lacking: Vec<String> = week.not_known.iter().map(|it| it.0.clone()).collect();
        if lacking.len() >= self.session.items.len() {
            return vec![self.say("c-load-week-none")];
        }
        if !lacking.is_empty() && week.peaks.high <= 0.0 {
            return vec![words.text("c-load-week-not-known", &names(&lacking))];
        }
        let sum = |it: Interval, of| words.exposure_bounds(it, tissue.unit(), of);
        let impulse_known = week.no_impulse.is_empty() || week.impulse.high > 0.0;
        let impulse = if impulse_known {
            sum(week.impulse, ExposureOf::Impulse)
        } else {
            self.say("c-load-impulse-not-known")
        };
        let args = [("peaks", sum(week.peaks, ExposureOf::Peaks).into()), ("impulse", impulse.into())];
        let mut out = vec![words.text("c-load-week", &args)];
        if !lacking.is_empty() {
            out.push(words.text("c-load-week-lacks", &names(&lacking)));
        }
        if impulse_known && !week.no_impulse.is_empty() {
            out.push(words.text("c-exposure-lacks-impulse", &names(&week.no_impulse)));
        }
        out
    }

    // ------------------------------------------------------------------ the small load ladder

    /// The program's exercises on the ladder, the next rung, and the nearest neighbours as far as there is
    /// room. `None` where no exercise of the program has a stated load.
    fn ladder(&self, ladder: &Ladder) -> Option<Picture> {
        let words = self.words;
        let (tissue, unit) = (ladder.tissue, ladder.tissue.unit());
        let of_program: Vec<chart::Rung> =
            self.session.items.iter().filter_map(|it| self.program_rung(it, tissue)).collect();
        if of_program.is_empty() {
            return None;
        }
        let name = words.tissue_name_on_side(tissue, self.side);
        let chart = LadderChart {
            title: words.text("c-ladder-title", &[("tissue", name.into())]),
            today: words.date_long(self.plan.on()),
            subtitle: self.say("c-load-ladder-part"),
            unit: words.load_unit_short(unit),
            axis: self.say(match unit {
                LoadUnit::BodyWeights => "c-ladder-axis-body-weights",
                LoadUnit::PercentStrain => "c-ladder-axis-percent-strain",
                LoadUnit::PercentMvic => "c-ladder-axis-percent-mvic",
            }),
            rungs: self.with_neighbours(of_program, ladder),
            ordered: Vec::new(),
            unknown: Vec::new(),
            ceiling: ladder.ceiling.as_ref().map(|(max, it)| CeilingLine {
                value: *max,
                label: words.text(
                    "c-load-ladder-ceiling",
                    &[
                        ("value", words.load_amount(*max, unit).into()),
                        ("status", words.status_clinician(it.status).into()),
                    ],
                ),
            }),
            notes: Vec::new(),
            words: self.ladder_words(),
        };
        // What it shows, for those who cannot see it.
        let rung = |it: &chart::Rung| format!("{} {}", it.name, words.load_bounds(it.load, unit));
        let ceiling = chart.ceiling.iter().map(|it| it.label.clone());
        let told: Vec<String> = ceiling.chain(chart.rungs.iter().map(rung)).collect();
        let alt = format!("{}. {}.", chart.title, told.join("; "));
        // The tables have the same figures: a chart that cannot be drawn is left out.
        chart.svg("load-ladder", LADDER_WIDTH).ok().map(|svg| Picture { svg, alt })
    }

    /// Adds the next rung, and harder and easier neighbours while the ladder is short.
    fn with_neighbours(&self, mut rungs: Vec<chart::Rung>, ladder: &Ladder) -> Vec<chart::Rung> {
        let program = || self.session.items.iter().map(|it| it.motion.id.as_str());
        let next = ladder.next().filter(|next| !program().any(|it| it == next.exercise));
        rungs.extend(next.map(|it| self.library_rung(it, Standing::Next)));
        let mut shown: Vec<&str> = program().chain(next.map(|it| it.exercise.as_str())).collect();
        let (easier, harder): (Vec<_>, Vec<_>) = program().map(|it| ladder.neighbours(it)).unzip();
        for it in harder.into_iter().chain(easier).flatten() {
            if rungs.len() < LADDER_RUNGS && !shown.contains(&it.exercise.as_str()) {
                shown.push(&it.exercise);
                rungs.push(self.library_rung(it, if it.over { Standing::Over } else { Standing::Within }));
            }
        }
        rungs
    }

    /// Rung of an exercise that is not in the program.
    fn library_rung(&self, rung: &handrail_program::Rung, standing: Standing) -> chart::Rung {
        let by_another_limit = rung.kind == Kind::Refused && !rung.over;
        chart::Rung {
            name: self.exercise_title(&rung.exercise, self.side),
            load: rung.load.peak,
            standing,
            basis: rung.load.basis,
            detail: if by_another_limit { self.say("c-ladder-refused") } else { String::new() },
        }
    }

    /// Rung of an exercise of the program: the figure of its table row.
    fn program_rung(&self, item: &Item, tissue: Tissue) -> Option<chart::Rung> {
        let load = tissue_load(&item.motion, &self.plan.body, item.checked.repetition(), tissue, self.side);
        let load = load.stated()?;
        Some(chart::Rung {
            name: self.title(item),
            load: load.peak,
            standing: Standing::Current,
            basis: load.basis,
            detail: String::new(),
        })
    }

    fn ladder_words(&self) -> LadderWords {
        let say = |key: &str| self.say(&format!("c-ladder-{key}"));
        LadderWords {
            over_heading: say("over-heading"),
            within_heading: say("within-heading"),
            over: say("over"),
            opens: say("opens"),
            current: say("current"),
            next: say("next"),
            order_only: say("order-only"),
            unknown_heading: say("unknown-heading"),
            computed: say("computed"),
            computed_letter: say("computed-letter"),
            measured: say("measured"),
            measured_letter: say("measured-letter"),
            practice: say("practice"),
            practice_letter: say("practice-letter"),
            both: say("both"),
            upper_bound: say("upper-bound"),
            decimal_mark: match self.words.lang() {
                Lang::En => '.',
                Lang::Es => ',',
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_is_cut_to_authors_and_years() {
        assert_eq!(short_form("Uhl et al. 2010, PM&R (10.1016/x), 12 exercises"), "Uhl et al. 2010");
        assert_eq!(
            short_form("Revak et al. 2017, J Athl Train 52(2):89-96; Sancho et al. 2023, Phys Ther Sport"),
            "Revak et al. 2017, Sancho et al. 2023"
        );
        assert_eq!(short_form("common practice"), "common practice");
    }
}
