//! From a plan and its session to the handout's data. Every number and picture comes from the checked
//! repetitions; this file only puts sentences and pictures in their places.

use handrail_anatomy::{Device, Side};
use handrail_episode::{Line, Plan};
use handrail_figures::exercise::{Captions, Drawing};
use handrail_motion::{Parameters, solve};
use handrail_program::{Dose, Entry, Item, Ladder, MoveRules, Session, week_days};
use handrail_protocol::{InForce, Limit as LimitKind, Status};
use handrail_words::{Urgency, Words};

use crate::handout::{
    AngleRow, ChartDay, ChartRow, Exercise, Handout, Head, Labels, Limit, LimitRow, Move, NotThis, Overview,
    Paper, Phone, Picture, Print, SourceRow, Step, TherapistPage, WarningGroup, Warnings, WeekChart,
};

/// Texts of one language with what fills their open places.
pub(crate) struct Composer<'a> {
    pub(crate) plan: &'a Plan<'a>,
    pub(crate) session: &'a Session,
    pub(crate) words: &'a Words,
    pub(crate) side: Side,
}

/// The text with a capital first letter.
pub(crate) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |it| it.to_uppercase().chain(letters).collect())
}

/// Sources of the therapist's page, numbered from 1 in the order in which they are first named.
#[derive(Default)]
pub(crate) struct Sources(Vec<(String, String)>);

impl Sources {
    /// Number of a source; a new one joins the list. `known` is how well it is known, in words.
    pub(crate) fn mark(&mut self, text: &str, known: String) -> usize {
        self.number(text).unwrap_or_else(|| {
            self.0.push((text.into(), known));
            self.0.len()
        })
    }

    fn number(&self, text: &str) -> Option<usize> {
        self.0.iter().position(|it| it.0 == text).map(|it| it + 1)
    }

    fn rows(self) -> Vec<SourceRow> {
        let row = |(n, (text, known)): (usize, (String, String))| SourceRow {
            mark: (n + 1).to_string(),
            text,
            known,
        };
        self.0.into_iter().enumerate().map(row).collect()
    }
}

/// Puts a handout together. `ladder` is the load ladder of the first protected tissue, for the therapist's
/// page; without it the page has no picture.
pub fn compose(
    plan: &Plan<'_>,
    session: &Session,
    ladder: Option<&Ladder>,
    words: &Words,
    paper: Paper,
    print: Print,
) -> Handout {
    let composer = Composer { plan, session, words, side: plan.episode.operation.side };
    Handout {
        lang: words.lang().id().into(),
        paper,
        print,
        labels: composer.labels(),
        head: composer.head(),
        overview: composer.overview(),
        warnings: composer.warnings(),
        steps: composer.steps(),
        week: composer.week(),
        therapist: composer.therapist(ladder),
    }
}

impl Composer<'_> {
    pub(crate) fn say(&self, key: &str) -> String {
        self.words.text(key, &[])
    }

    /// Title of an exercise; its name where nobody wrote one.
    pub(crate) fn exercise_title(&self, id: &str, side: Side) -> String {
        self.words.exercise(id, side).map_or(id.into(), |it| it.title)
    }

    fn fill(&self, text: &str) -> String {
        let clinic = &self.plan.episode.clinic;
        text.replace("{emergency}", &clinic.emergency)
            .replace("{phone}", &clinic.phone)
            .replace("{out_of_hours}", &clinic.out_of_hours)
            .replace("{surgeon}", &self.plan.episode.operation.surgeon)
            .replace("{clinic}", &clinic.name)
    }

    fn labels(&self) -> Labels {
        let say = |key: &str| self.say(&format!("handout-{key}"));
        Labels {
            page: say("page"),
            patient: say("patient"),
            side: say("side"),
            operation: say("operation"),
            version: say("version"),
            date: say("date"),
            valid_until: say("valid-until"),
            clinic: say("clinic"),
            limits: say("limits"),
            until: say("until"),
            from: say("from"),
            assumed: say("assumed"),
            stop: say("stop"),
            session: say("session"),
            time: say("time"),
            needs: say("needs"),
            step: say("step"),
            exercise: say("exercise"),
            how_much: say("how-much"),
            exercises: say("exercises"),
            change: say("change"),
            start: say("start"),
            end: say("end"),
            not_like_this: say("not-like-this"),
            how: say("how"),
            limit: say("limit"),
            why: say("why"),
            do_not: say("do-not"),
            warnings: say("warnings"),
            week: say("week"),
            rest: say("rest"),
            therapist: say("therapist"),
            angles: say("angles"),
            quantity: say("quantity"),
            reached: say("reached"),
            basis: say("basis"),
            net_moments: self.words.text("c-load-moments", &[("side", self.side.into())]),
            loads: self.say("c-load-title"),
            peak_load: self.say("c-load-peak"),
            tissue: self.say("c-load-tissue"),
            mark: self.say("c-load-mark"),
            limits_in_force: say("limits-in-force"),
            limit_on: say("limit-on"),
            value: say("value"),
            source: say("source"),
            how_checked: say("how-checked"),
            overrides: say("overrides"),
            none: say("none"),
            sources: say("sources"),
            known: say("known"),
            not_checked: say("not-checked"),
        }
    }

    /// True when the working limb of the operation is a leg.
    fn is_leg(&self) -> bool {
        !self.plan.episode.operation.protocol.contains("cuff")
    }

    fn head(&self) -> Head {
        let (plan, words) = (self.plan, self.words);
        let operation = &plan.episode.operation;
        let program = plan.program.as_ref();
        let limb = if self.is_leg() { words.leg(self.side) } else { words.arm(self.side) };
        let operation_line = words.text(
            "handout-operation-day",
            &[
                ("operation", words.operation_name(&operation.protocol).into()),
                ("limb", limb.into()),
                ("date", words.date_long(operation.surgery).into()),
                ("day", f64::from(plan.envelope.day).into()),
                ("week", f64::from(plan.envelope.week).into()),
            ],
        );
        Head {
            title: self.say("handout-title"),
            clinic: plan.episode.clinic.name.clone(),
            patient: plan.episode.patient.name.clone(),
            side: words.limb_title(self.is_leg(), self.side),
            operation: operation_line,
            version: program.map_or(0, |it| it.version).to_string(),
            date: words.date_long(plan.on()),
            valid_until: words.date_long(plan.valid_until()),
            signed: program.and_then(|it| it.signed_by.clone()),
            draft: self.is_draft().then(|| words.draft_notice()),
            foot: vec![
                self.fill(&self.say("handout-foot-emergency")),
                self.fill(&self.say("handout-foot-clinic")),
                self.fill(&self.say("handout-foot-surgeon")),
            ],
        }
    }

    /// Unsigned content or an unsigned program: every page says so.
    fn is_draft(&self) -> bool {
        let unsigned_exercise = self
            .session
            .items
            .iter()
            .any(|it| it.motion.review.as_ref().is_none_or(|review| review.version != it.motion.version));
        let unsigned_program = self.plan.program.as_ref().is_none_or(|it| it.signed_by.is_none());
        unsigned_exercise || unsigned_program || self.plan.protocol.is_draft()
    }

    fn overview(&self) -> Overview {
        let words = self.words;
        let mut stop: Vec<String> = words.stop_rules().iter().map(|it| self.fill(it)).collect();
        stop.push(self.say("handout-warnings-page"));
        let times = self.session.items.iter().map(|it| it.dose.times_a_day).max().unwrap_or(1);
        let days = self.session.items.iter().map(|it| it.dose.days_a_week).max().unwrap_or(1);
        let time = [
            words.minutes_about(self.session.minutes()),
            words.text("dose-day", &[("n", times.into())]),
            words.text("dose-week", &[("n", days.into())]),
        ]
        .join(", ");
        Overview {
            surgeon_first: words.surgeon_first(),
            stop,
            limits: self.limits(),
            time,
            needs: words.equipment_list(&self.needs()),
        }
    }

    /// Limits a patient meets in daily life: all of them, each sentence once, ordered and confirmed ones first.
    fn limits(&self) -> Vec<Limit> {
        let words = self.words;
        let mut seen = Vec::new();
        let mut in_force: Vec<&InForce> = self.plan.envelope.in_force.iter().collect();
        in_force.sort_by_key(|it| it.status);
        let mut out = Vec::new();
        for it in in_force {
            let text = words.limit_sentence(&it.limit, self.side);
            if seen.contains(&text) {
                continue;
            }
            seen.push(text.clone());
            out.push(Limit {
                text,
                until: words.until_clause(&it.until),
                source: words.status_word(it.status),
                assumed: it.status == Status::Assumed,
            });
        }
        out
    }

    fn needs(&self) -> Vec<String> {
        let mut out: Vec<String> = Vec::new();
        for thing in self.session.items.iter().flat_map(|it| &it.motion.equipment) {
            if !out.contains(thing) {
                out.push(thing.clone());
            }
        }
        if out.is_empty() { vec!["chair".into()] } else { out }
    }

    fn warnings(&self) -> Warnings {
        let clinic = &self.plan.episode.clinic;
        let phone = |key: &str, number: &str| Phone { who: self.say(key), number: number.into() };
        let emergency = vec![phone("handout-phone-emergency", &clinic.emergency)];
        let same_day = vec![
            phone("handout-phone-clinic", &clinic.phone),
            phone("handout-phone-out-of-hours", &clinic.out_of_hours),
        ];
        let next = vec![phone("handout-phone-clinic", &clinic.phone)];
        let groups = self.words.warnings(&self.plan.episode.operation.protocol);
        let group = |urgency: Urgency, phones: Vec<Phone>| {
            let found = groups.iter().find(|it| it.urgency == urgency);
            WarningGroup {
                title: found.map(|it| it.title.clone()).unwrap_or_default(),
                action: found.map(|it| self.fill(&it.action)).unwrap_or_default(),
                phones,
                signs: found.map(|it| it.items.iter().map(|it| self.fill(it)).collect()).unwrap_or_default(),
            }
        };
        Warnings {
            intro: self.words.warnings_intro(),
            emergency: group(Urgency::Emergency, emergency),
            same_day: group(Urgency::SameDay, same_day),
            next_visit: group(Urgency::NextVisit, next),
        }
    }

    /// Moves and exercises in the order of the session; each exercise once, at its first set.
    fn steps(&self) -> Vec<Step> {
        let mut out = Vec::new();
        let mut told = Vec::new();
        for entry in &self.session.entries {
            match entry {
                Entry::Move(step) => out.push(Step::Move(Move {
                    text: self.words.move_title(&step.kind),
                    how: self.words.move_instructions(step),
                    picture: None,
                })),
                Entry::Set { item, .. } if !told.contains(item) => {
                    told.push(*item);
                    out.push(Step::Exercise(self.exercise(*item)));
                }
                _ => {}
            }
        }
        out
    }

    fn device(&self, item: &Item) -> Option<(Device, Side)> {
        let rules = MoveRules::of(&self.plan.envelope);
        rules.device.filter(|_| item.place.device_on).map(|it| (it, rules.side))
    }

    fn exercise(&self, index: usize) -> Exercise {
        let (words, item) = (self.words, &self.session.items[index]);
        let verdict = item.checked.verdict();
        let repetition = item.checked.repetition();
        let text = words.exercise(&item.motion.id, verdict.side);
        let text = text.as_ref();
        let title = text.map_or(item.motion.id.clone(), |it| it.title.clone());
        let alt = text.map_or(title.clone(), |it| it.alt.clone());
        let drawing = Drawing::new(&item.motion, repetition, &self.plan.body, self.device(item));
        let not = self.say("handout-not-like-this");
        let captions = |alt: &str| Captions { title: title.clone(), alt: alt.into(), not: not.clone() };
        let limit_mark = verdict.limit.as_ref().and_then(|_| drawing.limit_mark());
        let still = repetition.spans.iter().all(|it| it.kind == handrail_motion::SpanKind::Hold);
        let start_label = self.say("handout-start");
        let end_label = self.say("handout-end");
        let start = Picture {
            svg: drawing.start(&format!("s{index}"), &captions(&format!("{start_label}: {alt}"))),
            alt: format!("{start_label}: {alt}"),
        };
        let end = (!still).then(|| Picture {
            svg: drawing.end(
                &format!("e{index}"),
                &captions(&format!("{end_label}: {alt}")),
                limit_mark.as_ref(),
            ),
            alt: format!("{end_label}: {alt}"),
        });
        let do_not: Vec<String> = item
            .motion
            .faults
            .iter()
            .filter_map(|it| text.and_then(|text| text.faults.get(&it.id).cloned()))
            .collect();
        let mut limit: Vec<String> = verdict.limit.iter().map(|it| words.limit_cue(it, verdict)).collect();
        let room = 2usize.saturating_sub(limit.len());
        limit.extend(self.limits_of(item).into_iter().take(room));
        Exercise {
            title: title.clone(),
            position: format!(
                "{}. {}",
                words.limb_title(self.is_leg(), verdict.side),
                text.map(|it| it.start.clone()).unwrap_or_default()
            ),
            start,
            end,
            not_this: self.not_this(index, &drawing, &captions, &do_not),
            steps: text.map(|it| it.steps.clone()).unwrap_or_default(),
            dose: self.dose(item),
            limit,
            why: text.map(|it| format!("{} {}", it.why, it.feel)).unwrap_or_default(),
            do_not,
        }
    }

    /// Dose within a session. Times a day and days a week stand on the first page when they are the same for
    /// all exercises.
    fn dose(&self, item: &Item) -> Vec<String> {
        let same = self.session.items.iter().all(|it| {
            it.dose.times_a_day == item.dose.times_a_day && it.dose.days_a_week == item.dose.days_a_week
        });
        let mut lines: Vec<String> =
            self.words.dose_lines(&item.dose, item.checked.repetition()).into_iter().map(|it| it.1).collect();
        if same {
            lines.truncate(lines.len().saturating_sub(2));
        }
        lines
    }

    /// Limits that speak of the joints this exercise moves, two at most; else the first limit in force.
    fn limits_of(&self, item: &Item) -> Vec<String> {
        let repetition = item.checked.repetition();
        let in_force = &self.plan.envelope.in_force;
        let concerns = |it: &&InForce| {
            it.limit.joints().iter().any(|&joint| repetition.drive(self.side, joint).is_some())
                && matches!(
                    it.limit,
                    LimitKind::Motion { .. } | LimitKind::Resistance { .. } | LimitKind::Combination(_)
                )
        };
        let weight = |it: &&InForce| {
            matches!(it.limit, LimitKind::LegWeightBearing(_) | LimitKind::ArmWeightBearing(_))
        };
        let mut out = Vec::new();
        for it in in_force
            .iter()
            .filter(concerns)
            .chain(in_force.iter().filter(weight))
            .chain(in_force.iter().take(1))
        {
            let text = self.words.limit_sentence(&it.limit, self.side);
            if !out.contains(&text) && out.len() < 2 {
                out.push(text);
            }
        }
        out
    }

    /// The first fault that this body can be drawn with.
    fn not_this(
        &self,
        index: usize,
        drawing: &Drawing<'_>,
        captions: &impl Fn(&str) -> Captions,
        do_not: &[String],
    ) -> Option<NotThis> {
        let item = &self.session.items[index];
        let verdict = item.checked.verdict();
        let fault = item.motion.faults.first()?;
        let caption = do_not.first()?.clone();
        let mut parameters: Parameters = verdict.parameters.clone();
        parameters.extend(fault.parameters.clone());
        let solved =
            solve(&item.motion, &fault.core, &self.plan.body, &self.plan.home, verdict.side, &parameters)
                .ok()?;
        let alt = format!("{}: {caption}", self.say("handout-not-like-this"));
        let svg = drawing.mistake(&format!("f{index}"), &solved, &captions(&alt));
        Some(NotThis { picture: Picture { svg, alt }, caption })
    }

    fn week(&self) -> WeekChart {
        let words = self.words;
        let on = self.plan.on();
        let days: Vec<jiff::civil::Date> =
            (0..7i64).map(|it| on.saturating_add(jiff::Span::new().days(it))).collect();
        let times = self.session.items.iter().map(|it| it.dose.times_a_day).max().unwrap_or(1).clamp(1, 4);
        let valid = self.plan.valid_until();
        let rows = self
            .session
            .items
            .iter()
            .map(|item| ChartRow {
                exercise: self.exercise_title(&item.motion.id, item.checked.verdict().side),
                days: days.iter().map(|day| self.chart_day(&item.dose, *day, times, *day > valid)).collect(),
            })
            .collect();
        WeekChart {
            intro: format!("{} {}", self.say("week-intro"), self.say("week-rest-days")),
            days: days.iter().map(|it| words.chart_day(*it)).collect(),
            times: time_slots(times).iter().map(|it| self.say(&format!("week-time-{it}"))).collect(),
            rows,
            diary: vec![self.say("week-pain-row"), self.say("week-swelling-row")],
        }
    }

    fn chart_day(&self, dose: &Dose, day: jiff::civil::Date, times: u32, expired: bool) -> ChartDay {
        // Days count from the day of the sheet: the first day is a training day.
        let first = self.plan.on().weekday().to_monday_zero_offset();
        let offset = (i32::from(day.weekday().to_monday_zero_offset()) - i32::from(first)).rem_euclid(7);
        let trains =
            week_days(dose.days_a_week).iter().any(|it| i32::from(it.to_monday_zero_offset()) == offset);
        if expired || !trains {
            return ChartDay::Rest;
        }
        ChartDay::Do((0..times).map(|it| it < dose.times_a_day).collect())
    }

    fn therapist(&self, ladder: Option<&Ladder>) -> TherapistPage {
        let words = self.words;
        let mut sources = Sources::default();
        for it in &self.plan.envelope.in_force {
            if let Some(known) = it.known {
                sources.mark(&it.source, words.known_word(known));
            }
        }
        let limits = self
            .plan
            .envelope
            .in_force
            .iter()
            .map(|it| LimitRow {
                limit_on: words.limit_on(&it.limit),
                value: words.limit_value(&it.limit),
                until: words.until_clinician(&it.until),
                source: self.short_source(it, &sources),
            })
            .collect();
        TherapistPage {
            angles: self.angles(),
            limits,
            loads: self.loads(ladder, &mut sources),
            basis: words.basis_notes(),
            overrides: self.overrides(),
            not_checked: words.not_checked_clinician(),
            sources: sources.rows(),
        }
    }

    pub(crate) fn short_source(&self, limit: &InForce, sources: &Sources) -> String {
        let status = self.words.status_clinician(limit.status);
        let by = limit.by.clone().or_else(|| sources.number(&limit.source).map(|it| format!("[{it}]")));
        match (by, &limit.document) {
            (Some(by), Some(document)) => format!("{status}: {by}, {document}"),
            (Some(by), None) => format!("{status} {by}"),
            _ => status,
        }
    }

    fn overrides(&self) -> Vec<String> {
        let line = |line: &Line| {
            line.verdict
                .waived
                .iter()
                .map(|it| format!("{}: {} ({}): {}", line.motion.id, it.restriction, it.by, it.reason))
                .collect::<Vec<_>>()
        };
        self.plan.lines.iter().flat_map(line).collect()
    }

    /// For each exercise the limited motions that it comes nearest to, and what it carries.
    fn angles(&self) -> Vec<AngleRow> {
        let words = self.words;
        let computed = self.say("c-basis-computed");
        let mut out = Vec::new();
        for item in &self.session.items {
            let repetition = item.checked.repetition();
            let title = self.exercise_title(&item.motion.id, item.checked.verdict().side);
            for it in &self.plan.envelope.in_force {
                match &it.limit {
                    LimitKind::Motion { motion, max_deg, .. } => {
                        let extreme = repetition.extreme(motion, self.side);
                        out.push(AngleRow {
                            exercise: title.clone(),
                            quantity: words.motion_on_side(motion.joint, motion.motion, self.side),
                            reached: format!("{}°", words.number(extreme.deg, 1)),
                            limit: format!("{}°", words.number(*max_deg, 0)),
                            basis: computed.clone(),
                        });
                    }
                    LimitKind::LegWeightBearing(_) => {
                        let (load, _) = repetition.peak_leg_load(self.side);
                        out.push(AngleRow {
                            exercise: title.clone(),
                            quantity: self.words.limit_on(&it.limit),
                            reached: words.mass(load * self.plan.body.mass()),
                            limit: words.limit_value(&it.limit),
                            basis: computed.clone(),
                        });
                    }
                    _ => {}
                }
            }
            if !out.iter().any(|it: &AngleRow| it.exercise == title) {
                // An empty table would read as "nothing was looked at".
                out.push(AngleRow {
                    exercise: title,
                    quantity: self.say("c-no-angle-limit"),
                    reached: "–".into(),
                    limit: "–".into(),
                    basis: "–".into(),
                });
            }
        }
        out
    }
}

/// Which of the four times of a day (am, noon, pm, night) so many sessions take.
fn time_slots(times: u32) -> &'static [u32] {
    match times {
        1 => &[1],
        2 => &[1, 3],
        3 => &[1, 2, 3],
        _ => &[1, 2, 3, 4],
    }
}
