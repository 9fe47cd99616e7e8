//! From a protocol file to a checked [`Protocol`]: every mistake is found in one run, with its place.

use std::collections::{BTreeMap, BTreeSet};

use handrail_anatomy::{Known, clinical_motion};
use handrail_spans::{Problems, SourceText, Spanned};

use crate::limit_spec::is_name;
use crate::limits::Limit;
use crate::model::{
    Basis, Ceiling, Condition, Criterion, Dosage, Ends, Milestone, Phase, Precaution, Protocol, Restriction,
    Review, Spread, SpreadStatement, Threshold, Variant,
};
use crate::spec::{
    CeilingSpec, ConditionSpec, CriterionSpec, DosageSpec, EndsBy, MilestoneSpec, PhaseSpec, PrecautionSpec,
    ProtocolSpec, RestrictionSpec, SpreadSpec, VariantSpec,
};

/// Reads and checks a protocol file.
///
/// # Errors
/// Every mistake of the file with its line, field and mend; a text that is not TOML, or has a field of the
/// wrong name or kind, yields the first such mistake only.
pub fn read_protocol(source: &SourceText) -> Result<Protocol, Problems> {
    let spec: ProtocolSpec = source.parse()?;
    let mut checker = Checker { source, spec: &spec, problems: Problems::default() };
    let protocol = checker.protocol();
    match protocol {
        Some(protocol) => checker.problems.or(protocol),
        None => Err(checker.problems),
    }
}

struct Checker<'a> {
    source: &'a SourceText,
    spec: &'a ProtocolSpec,
    problems: Problems,
}

impl Checker<'_> {
    fn add<T>(&mut self, at: &Spanned<T>, field: &str, message: impl Into<String>, mend: impl Into<String>) {
        self.problems.0.push(self.source.problem(at.span(), field, message, mend));
    }

    fn protocol(&mut self) -> Option<Protocol> {
        let spec = self.spec;
        self.name("id", &spec.id);
        self.not_blank("title", &spec.title);
        self.not_blank("version", &spec.version);
        let review = self.review();
        let variants: Vec<_> = spec.variants.iter().map(|it| self.variant(it)).collect();
        self.unique("variant.name", spec.variants.iter().map(|it| &it.name));
        self.unique("phase.id", spec.phases.iter().map(|it| &it.id));
        self.phase_weeks();
        let phases: Vec<_> = spec.phases.iter().map(|it| self.phase(it)).collect();
        let ids = spec.restrictions.iter().map(|it| &it.id).chain(spec.criteria.iter().map(|it| &it.id));
        let ids = ids.chain(spec.milestones.iter().map(|it| &it.id));
        self.unique("id", ids.chain(spec.precautions.iter().map(|it| &it.id)));
        let restrictions: Vec<_> = spec.restrictions.iter().map(|it| self.restriction(it)).collect();
        let checked: Option<Vec<_>> = restrictions.into_iter().collect();
        if let Some(restrictions) = &checked {
            self.ladders(restrictions);
        }
        let criteria: Vec<_> = spec.criteria.iter().map(|it| self.criterion(it)).collect();
        let milestones: Vec<_> = spec.milestones.iter().map(|it| self.milestone(it)).collect();
        let precautions: Vec<_> = spec.precautions.iter().map(|it| self.precaution(it)).collect();
        let spreads: Vec<_> = spec.spreads.iter().map(|it| self.spread(it)).collect();
        Some(Protocol {
            id: spec.id.get_ref().clone(),
            title: spec.title.get_ref().clone(),
            version: spec.version.get_ref().clone(),
            review,
            variants: variants.into_iter().collect::<Option<_>>()?,
            phases: phases.into_iter().collect::<Option<_>>()?,
            restrictions: checked?,
            criteria: criteria.into_iter().collect::<Option<_>>()?,
            milestones: milestones.into_iter().collect::<Option<_>>()?,
            precautions: precautions.into_iter().collect::<Option<_>>()?,
            spreads: spreads.into_iter().collect::<Option<_>>()?,
            protects: spec.protects.clone(),
            sources: spec.sources.clone(),
        })
    }

    fn name(&mut self, field: &str, name: &Spanned<String>) {
        if !is_name(name.get_ref()) {
            let message = format!("{:?} is not a name", name.get_ref());
            self.add(name, field, message, "use small letters, digits, `-` and `_`, starting with a letter");
        }
    }

    fn not_blank(&mut self, field: &str, text: &Spanned<String>) {
        if text.get_ref().trim().is_empty() {
            self.add(text, field, "is blank", "write it out");
        }
    }

    fn unique<'s>(&mut self, field: &str, names: impl Iterator<Item = &'s Spanned<String>>) {
        let mut seen = BTreeMap::new();
        for name in names {
            let (line, _) = self.source.line_column(name.span().start);
            if let Some(first) = seen.insert(name.get_ref().clone(), line) {
                let message = format!("{:?} is already used in line {first}", name.get_ref());
                self.add(name, field, message, "give each entry its own name");
            }
        }
    }

    /// `None` for a missing or blank signature: the file is a draft then.
    fn review(&mut self) -> Option<Review> {
        let review = self.spec.review.as_ref()?;
        if review.signed_by.get_ref().trim().is_empty() {
            return None;
        }
        self.not_blank("review.version", &review.version);
        Some(Review {
            signed_by: review.signed_by.get_ref().clone(),
            on: review.on.0,
            version: review.version.get_ref().clone(),
        })
    }

    fn basis(
        &mut self,
        field: &str,
        source: &Spanned<String>,
        known: Known,
        why: Option<&String>,
    ) -> Option<Basis> {
        let Some(words) = self.spec.sources.get(source.get_ref()) else {
            let keys: Vec<&str> = self.spec.sources.keys().map(String::as_str).collect();
            let message = format!("no source is called {:?}", source.get_ref());
            self.add(
                source,
                field,
                message,
                format!("add it under [sources], or use one of: {}", keys.join(", ")),
            );
            return None;
        };
        Some(Basis { key: source.get_ref().clone(), source: words.clone(), known, why: why.cloned() })
    }

    fn variant(&mut self, it: &VariantSpec) -> Option<Variant> {
        self.name("variant.name", &it.name);
        self.not_blank("variant.question", &it.question);
        let distinct: BTreeSet<&String> = it.choices.get_ref().iter().collect();
        if distinct.len() < 2 || distinct.len() != it.choices.get_ref().len() {
            self.add(
                &it.choices,
                "variant.choices",
                "needs two or more different answers",
                "list every answer once",
            );
        }
        Some(Variant {
            name: it.name.get_ref().clone(),
            question: it.question.get_ref().clone(),
            choices: it.choices.get_ref().clone(),
            basis: self.basis("variant.source", &it.source, it.known, None)?,
        })
    }

    fn condition(&mut self, written: &ConditionSpec) -> Option<Condition> {
        let mut condition = Condition::new();
        let mut good = true;
        for (name, answers) in written {
            let Some(variant) = self.spec.variants.iter().find(|it| it.name.get_ref() == name) else {
                good = false;
                let names: Vec<&str> =
                    self.spec.variants.iter().map(|it| it.name.get_ref().as_str()).collect();
                let mend = format!("add a [[variant]] of this name, or use one of: {}", names.join(", "));
                self.add(answers, "only_if", format!("no variant is called {name:?}"), mend);
                continue;
            };
            let choices = variant.choices.get_ref();
            for answer in &answers.get_ref().0 {
                if !choices.contains(answer) {
                    good = false;
                    let message = format!("{answer:?} is not an answer to {name:?}");
                    self.add(answers, "only_if", message, format!("write one of: {}", choices.join(", ")));
                }
            }
            if answers.get_ref().0.is_empty() {
                good = false;
                let message = format!("no answer to {name:?} would fit");
                self.add(answers, "only_if", message, format!("write one of: {}", choices.join(", ")));
            }
            condition.insert(name.clone(), answers.get_ref().0.iter().cloned().collect());
        }
        good.then_some(condition)
    }

    fn phase_index(&mut self, field: &str, id: &Spanned<String>) -> Option<usize> {
        let found = self.spec.phases.iter().position(|it| it.id.get_ref() == id.get_ref());
        if found.is_none() {
            let ids: Vec<&str> = self.spec.phases.iter().map(|it| it.id.get_ref().as_str()).collect();
            let message = format!("no phase is called {:?}", id.get_ref());
            self.add(id, field, message, format!("write one of: {}", ids.join(", ")));
        }
        found
    }

    /// Phases start at week 0 and follow each other without gap or overlap.
    fn phase_weeks(&mut self) {
        let phases = &self.spec.phases;
        if phases.is_empty() {
            self.add(&self.spec.id, "phase", "the protocol has no phase", "write at least one [[phase]]");
        }
        let mut expected = 0;
        for (index, phase) in phases.iter().enumerate() {
            if *phase.from_week.get_ref() != expected {
                self.add(
                    &phase.from_week,
                    "phase.from_week",
                    format!("the phase before it reaches to week {expected}"),
                    format!("write `from_week = {expected}`, or correct the phase before"),
                );
            }
            let last = index + 1 == phases.len();
            match &phase.to_week {
                Some(to) if to.get_ref() <= phase.from_week.get_ref() => {
                    self.add(to, "phase.to_week", "is not after `from_week`", "write a later week");
                    expected = *to.get_ref();
                }
                Some(to) => expected = *to.get_ref(),
                None if last => {}
                None => self.add(
                    &phase.id,
                    "phase.to_week",
                    "only the last phase may leave it out",
                    "write the week at which the next phase is planned",
                ),
            }
        }
    }

    fn phase(&mut self, it: &PhaseSpec) -> Option<Phase> {
        self.name("phase.id", &it.id);
        self.not_blank("phase.title", &it.title);
        if it.goals.get_ref().is_empty() {
            self.add(&it.goals, "phase.goals", "names nothing to train", "list at least one goal");
        }
        self.within_ceiling(&it.dosage, &it.ceiling);
        let dosage = self.dosage(&it.dosage);
        let ceiling = self.ceiling(&it.ceiling);
        Some(Phase {
            id: it.id.get_ref().clone(),
            title: it.title.get_ref().clone(),
            from_week: *it.from_week.get_ref(),
            to_week: it.to_week.as_ref().map(|to| *to.get_ref()),
            goals: it.goals.get_ref().clone(),
            dosage: dosage?,
            ceiling: ceiling?,
            exercises: it.exercises.clone(),
        })
    }

    fn dosage(&mut self, it: &DosageSpec) -> Option<Dosage> {
        Some(Dosage {
            sets: *it.sets.get_ref(),
            reps: *it.reps.get_ref(),
            times_a_day: *it.times_a_day.get_ref(),
            days_a_week: *it.days_a_week.get_ref(),
            basis: self.basis("phase.dosage.source", &it.source, it.known, None)?,
        })
    }

    fn ceiling(&mut self, it: &CeilingSpec) -> Option<Ceiling> {
        Some(Ceiling {
            sets: *it.sets.get_ref(),
            reps: *it.reps.get_ref(),
            times_a_day: *it.times_a_day.get_ref(),
            days_a_week: *it.days_a_week.get_ref(),
            max_exercises: *it.max_exercises.get_ref(),
            basis: self.basis("phase.ceiling.source", &it.source, it.known, None)?,
        })
    }

    fn within_ceiling(&mut self, dosage: &DosageSpec, ceiling: &CeilingSpec) {
        let pairs = [
            ("sets", &dosage.sets, &ceiling.sets),
            ("reps", &dosage.reps, &ceiling.reps),
            ("times_a_day", &dosage.times_a_day, &ceiling.times_a_day),
            ("days_a_week", &dosage.days_a_week, &ceiling.days_a_week),
        ];
        for (name, value, most) in pairs {
            let field = format!("phase.dosage.{name}");
            if *value.get_ref() == 0 {
                self.add(value, &field, "is 0, so nothing would be done", "write 1 or more");
            }
            if value.get_ref() > most.get_ref() {
                let message =
                    format!("{} is above the phase's ceiling of {}", value.get_ref(), most.get_ref());
                self.add(value, &field, message, "lower the default or raise the ceiling");
            }
        }
        if *ceiling.days_a_week.get_ref() > 7 {
            self.add(
                &ceiling.days_a_week,
                "phase.ceiling.days_a_week",
                "a week has 7 days",
                "write 7 or less",
            );
        }
        if *ceiling.max_exercises.get_ref() == 0 {
            let at = &ceiling.max_exercises;
            self.add(at, "phase.ceiling.max_exercises", "is 0, so nothing could be done", "write 1 or more");
        }
    }

    fn limit(&mut self, it: &RestrictionSpec) -> Option<Limit> {
        let written = it.limit_spec();
        if written.is_empty() {
            self.add(
                &it.id,
                "restriction",
                "limits nothing",
                "add one of: weight_bearing, motion, drive, muscle, device, position, combination, resistance, \
                 no_impact, activity, tissue_load, exposure",
            );
            return None;
        }
        written.check(self.source, &mut self.problems)
    }

    fn restriction(&mut self, it: &RestrictionSpec) -> Option<Restriction> {
        self.name("restriction.id", &it.id);
        let phase = self.phase_index("restriction.phase", &it.phase);
        if let Some(to) = &it.to_week
            && to.get_ref() <= it.from_week.get_ref()
        {
            self.add(to, "restriction.to_week", "is not after `from_week`", "write a later week");
        }
        let ends = self.ends(it, phase);
        let only_if = self.condition(&it.only_if);
        let limit = self.limit(it);
        let basis = self.basis("restriction.source", &it.source, it.known, it.basis.as_ref());
        Some(Restriction {
            id: it.id.get_ref().clone(),
            phase: phase?,
            from_week: *it.from_week.get_ref(),
            to_week: it.to_week.as_ref().map(|to| *to.get_ref()),
            ends: ends?,
            ladder: it.ladder.as_ref().map(|ladder| ladder.get_ref().clone()),
            only_if: only_if?,
            limit: limit?,
            basis: basis?,
            note: it.note.clone(),
        })
    }

    fn ends(&mut self, it: &RestrictionSpec, phase: Option<usize>) -> Option<Ends> {
        if let Some(until) = &it.until_phase
            && *it.ends_by.get_ref() != EndsBy::Phase
        {
            self.add(
                until,
                "restriction.until_phase",
                "is only read with `ends_by = \"phase\"`",
                "delete it, or write `ends_by = \"phase\"`",
            );
        }
        match (it.ends_by.get_ref(), &it.until_phase) {
            (EndsBy::Release, _) => Some(Ends::Release),
            (EndsBy::Week, _) if it.ladder.is_none() => {
                self.add(
                    &it.ends_by,
                    "restriction.ends_by",
                    "a restriction never ends by the calendar alone",
                    "write `release` or `phase`, or make it a stage of a `ladder` whose next stage holds then",
                );
                None
            }
            (EndsBy::Week, _) => Some(Ends::Week),
            (EndsBy::Phase, None) => {
                self.add(
                    &it.ends_by,
                    "restriction.ends_by",
                    "does not say which phase ends it",
                    "add `until_phase = \"...\"`",
                );
                None
            }
            (EndsBy::Phase, Some(until)) => {
                let index = self.phase_index("restriction.until_phase", until)?;
                if phase.is_some_and(|phase| index <= phase) {
                    let mend = "name a later phase";
                    self.add(
                        until,
                        "restriction.until_phase",
                        "is not after the restriction's own phase",
                        mend,
                    );
                }
                Some(Ends::Phase(index))
            }
        }
    }

    /// The written entry of a checked restriction, for the place of a mistake.
    fn written(&self, id: &str) -> Option<&RestrictionSpec> {
        self.spec.restrictions.iter().find(|it| it.id.get_ref() == id)
    }

    /// Stages of a ladder are about one thing, apply under the same variants and follow each other without a
    /// gap, so that at every moment exactly one of them holds.
    fn ladders(&mut self, restrictions: &[Restriction]) {
        for stages in ladders_of(restrictions).values() {
            for pair in stages.windows(2) {
                let (before, after) = (&restrictions[pair[0]], &restrictions[pair[1]]);
                self.ladder_step(before, after);
            }
            if let Some(&last) = stages.last()
                && restrictions[last].ends == Ends::Week
                && let Some(written) = self.written(&restrictions[last].id).map(|it| it.ends_by.clone())
            {
                self.add(
                    &written,
                    "restriction.ends_by",
                    "the last stage of a ladder has no next stage, so it cannot end by weeks",
                    "write `release` or `phase`",
                );
            }
        }
    }

    fn ladder_step(&mut self, before: &Restriction, after: &Restriction) {
        let Some(written) = self.written(&after.id).cloned() else { return };
        if before.to_week != Some(after.from_week) {
            self.add(
                &written.from_week,
                "restriction.from_week",
                format!("the stage before it, {:?}, does not end in week {}", before.id, after.from_week),
                "let `to_week` of a stage and `from_week` of the next be the same week",
            );
        }
        if before.only_if != after.only_if {
            let message = format!("{:?} and {:?} apply under different variants", before.id, after.id);
            self.add(
                &written.id,
                "restriction.only_if",
                message,
                "give all stages of a ladder the same `only_if`",
            );
        }
        if !before.limit.same_subject(&after.limit) {
            let message = format!("{:?} and {:?} are not about the same thing", before.id, after.id);
            self.add(&written.id, "restriction.ladder", message, "a ladder is one quantity in stages");
        }
        if after.phase < before.phase {
            let message = format!("{:?} belongs to a later phase than this next stage", before.id);
            self.add(
                &written.phase,
                "restriction.phase",
                message,
                "let the phases of a ladder never go back",
            );
        }
        let opens_phase = self.spec.phases.get(after.phase).map(|it| *it.from_week.get_ref());
        if before.ends == Ends::Week && opens_phase != Some(after.from_week) {
            self.add(
                &written.from_week,
                "restriction.from_week",
                format!(
                    "{:?} ends with the beginning of the next stage's phase, but that phase begins in another week",
                    before.id
                ),
                "let the stage before end by `release`, or start this stage with its phase",
            );
        }
        if let Ends::Phase(_) = before.ends {
            self.add(
                &written.id,
                "restriction.ends_by",
                format!("{:?} is followed by a stage, so it ends by `week` or `release`", before.id),
                "write `week` or `release` in the stage before",
            );
        }
    }

    fn criterion(&mut self, it: &CriterionSpec) -> Option<Criterion> {
        self.name("criterion.id", &it.id);
        self.name("criterion.measure", &it.measure);
        self.not_blank("criterion.says", &it.says);
        let begins = self.phase_index("criterion.begins", &it.begins);
        if begins == Some(0) {
            let mend = "name a later phase";
            self.add(&it.begins, "criterion.begins", "the first phase begins with the surgery", mend);
        }
        let threshold = match (it.at_least, it.at_most) {
            (Some(value), None) => Threshold::AtLeast(value),
            (None, Some(value)) => Threshold::AtMost(value),
            (None, None) => Threshold::Judged,
            (Some(_), Some(_)) => {
                let mend = "write two criteria";
                self.add(&it.id, "criterion", "has both `at_least` and `at_most`", mend);
                return None;
            }
        };
        if (threshold == Threshold::Judged) != it.unit.is_none() {
            self.add(
                &it.id,
                "criterion.unit",
                "a number and its unit belong together",
                "write both, or neither for a criterion that a clinician judges",
            );
        }
        let only_if = self.condition(&it.only_if);
        let basis = self.basis("criterion.source", &it.source, it.known, it.basis.as_ref());
        Some(Criterion {
            id: it.id.get_ref().clone(),
            begins: begins?,
            says: it.says.get_ref().clone(),
            measure: it.measure.get_ref().clone(),
            threshold,
            unit: it.unit.clone().unwrap_or_default(),
            only_if: only_if?,
            basis: basis?,
        })
    }

    fn milestone(&mut self, it: &MilestoneSpec) -> Option<Milestone> {
        self.name("milestone.id", &it.id);
        let motion = clinical_motion(it.joint, it.direction.get_ref());
        if motion.is_none() {
            let message = format!("the {} has no motion called {:?}", it.joint.id(), it.direction.get_ref());
            self.add(&it.direction, "milestone.direction", message, "write a motion of this joint");
        }
        if !(-190.0..=190.0).contains(it.at_least_deg.get_ref()) {
            let mend = "write degrees between -190 and 190";
            self.add(&it.at_least_deg, "milestone.at_least_deg", "is not an angle of a joint", mend);
        }
        let only_if = self.condition(&it.only_if);
        let basis = self.basis("milestone.source", &it.source, it.known, it.basis.as_ref());
        Some(Milestone {
            id: it.id.get_ref().clone(),
            joint: it.joint,
            direction: motion?.motion,
            drive: it.drive,
            at_least_deg: *it.at_least_deg.get_ref(),
            by_week: it.by_week,
            only_if: only_if?,
            basis: basis?,
        })
    }

    fn precaution(&mut self, it: &PrecautionSpec) -> Option<Precaution> {
        self.name("precaution.id", &it.id);
        self.not_blank("precaution.says", &it.says);
        if let Some(to) = &it.to_week
            && to.get_ref() <= it.from_week.get_ref()
        {
            self.add(to, "precaution.to_week", "is not after `from_week`", "write a later week");
        }
        let only_if = self.condition(&it.only_if);
        let basis = self.basis("precaution.source", &it.source, it.known, None);
        Some(Precaution {
            id: it.id.get_ref().clone(),
            from_week: *it.from_week.get_ref(),
            to_week: it.to_week.as_ref().map(|to| *to.get_ref()),
            says: it.says.get_ref().clone(),
            only_if: only_if?,
            basis: basis?,
        })
    }

    fn spread(&mut self, it: &SpreadSpec) -> Option<Spread> {
        self.not_blank("spread.topic", &it.topic);
        self.not_blank("spread.taken", &it.taken);
        if it.statements.get_ref().len() < 2 {
            let mend = "add the statement that differs";
            self.add(&it.statements, "spread.statements", "a spread needs two or more statements", mend);
        }
        for id in &it.concerns {
            let known = self.spec.restrictions.iter().any(|other| other.id.get_ref() == id.get_ref())
                || self.spec.criteria.iter().any(|other| other.id.get_ref() == id.get_ref());
            if !known {
                let message = format!("no restriction or criterion is called {:?}", id.get_ref());
                self.add(id, "spread.concerns", message, "write the id of a restriction or criterion");
            }
        }
        let statements: Vec<_> = (it.statements.get_ref().iter())
            .map(|statement| {
                let basis =
                    self.basis("spread.statements.source", &statement.source, statement.known, None)?;
                Some(SpreadStatement { says: statement.says.clone(), basis })
            })
            .collect();
        Some(Spread {
            topic: it.topic.get_ref().clone(),
            concerns: it.concerns.iter().map(|id| id.get_ref().clone()).collect(),
            taken: it.taken.get_ref().clone(),
            statements: statements.into_iter().collect::<Option<_>>()?,
        })
    }
}

/// Indices of the stages of each ladder, by their first week.
pub(crate) fn ladders_of(restrictions: &[Restriction]) -> BTreeMap<&str, Vec<usize>> {
    let mut ladders: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (index, restriction) in restrictions.iter().enumerate() {
        if let Some(ladder) = &restriction.ladder {
            ladders.entry(ladder).or_default().push(index);
        }
    }
    for stages in ladders.values_mut() {
        stages.sort_by_key(|&index| restrictions[index].from_week);
    }
    ladders
}
