//! From the episode file to an episode: everything that can be wrong is said at once, with its line.

use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::Arc;

use handrail_anatomy::{Body, Person, SegmentTable};
use handrail_motion::Motion;
use handrail_protocol::{Orders, OrdersEntry, Protocol, check_orders};
use handrail_spans::{Problems, SourceText, Spanned};
use jiff::civil::Date;

use crate::fold::{
    Clinic, Done, Entry, Episode, Fact, HEIGHTS, HomeFacts, Jump, Operation, Patient, Prescription, Program,
    WaiverFact, fold,
};
use crate::spec::{DoneSpec, EpisodeSpec, JumpSpec, PrescriptionSpec, ProgramSpec};

/// The content an episode refers to.
#[derive(Clone, Copy)]
pub struct Content<'a> {
    /// Protocols by id.
    pub protocols: &'a BTreeMap<String, Protocol>,
    /// Exercises by id.
    pub exercises: &'a BTreeMap<String, Arc<Motion>>,
    /// Languages of the outputs.
    pub languages: &'a [&'a str],
}

struct Reader<'a> {
    source: &'a SourceText,
    spec: &'a EpisodeSpec,
    content: Content<'a>,
    problems: Problems,
}

/// Reads and checks an episode file.
///
/// # Errors
/// All problems of the file.
pub fn read_episode(source: &SourceText, content: Content<'_>) -> Result<Episode, Problems> {
    let (id, entries) = read_entries(source, content)?;
    fold(&id, &entries).map_err(|missing| {
        let message = format!("facts are missing: {}", missing.0.join(", "));
        Problems(vec![source.problem(0..0, "", message, "add the tables named")])
    })
}

/// Reads and checks an episode file, as the name of the episode and its entries.
///
/// # Errors
/// All problems of the file.
pub fn read_entries(source: &SourceText, content: Content<'_>) -> Result<(String, Vec<Entry>), Problems> {
    let spec: EpisodeSpec = source.parse()?;
    let mut reader = Reader { source, spec: &spec, content, problems: Problems::default() };
    let entries = reader.entries();
    reader.check_against_protocol(&entries);
    reader.problems.or((spec.id, entries))
}

impl<'a> Reader<'a> {
    fn report(&mut self, span: Range<usize>, field: &str, message: String, mend: &str) {
        self.problems.0.push(self.source.problem(span, field, message, mend));
    }

    fn entries(&mut self) -> Vec<Entry> {
        let spec = self.spec;
        let surgery = spec.operation.surgery.get_ref().0;
        let mut facts = vec![
            (surgery, Fact::Patient(self.patient())),
            (surgery, Fact::Clinic(clinic(spec))),
            (surgery, self.body()),
            (surgery, Fact::Home(self.home())),
            (surgery, Fact::Operation(self.operation())),
        ];
        for it in &spec.confirmed {
            if let Some(confirmation) = it.check(self.source, &mut self.problems) {
                facts.push((confirmation.on, Fact::Confirmation(confirmation)));
            }
        }
        for it in &spec.order {
            if let Some(order) = it.check(self.source, &mut self.problems) {
                facts.push((order.on, Fact::Order(order)));
            }
        }
        for it in &spec.act {
            if let Some(act) = it.check(self.source, &mut self.problems) {
                facts.push((act.on, Fact::Act(act)));
            }
        }
        for it in &spec.program {
            let program = self.program(it, surgery);
            facts.push((program.issued, Fact::Program(program)));
        }
        for it in &spec.waiver {
            self.known_exercise(&it.exercise, "waiver.exercise");
            if it.by.trim().is_empty() || it.reason.trim().is_empty() {
                self.report(
                    it.exercise.span(),
                    "waiver",
                    "an override needs a person and a reason".into(),
                    "fill in `by` and `reason`",
                );
            }
            let on = it.on.get_ref().0;
            let waiver = WaiverFact {
                exercise: it.exercise.get_ref().clone(),
                restriction: it.restriction.clone(),
                by: it.by.clone(),
                on,
                reason: it.reason.clone(),
            };
            facts.push((on, Fact::Waiver(waiver)));
        }
        for it in &spec.done {
            let done = self.done(it, surgery);
            facts.push((done.on, Fact::Done(done)));
        }
        if let Some(it) = &spec.jump {
            facts.push((surgery, Fact::Jump(self.jump(it))));
        }
        let number = |at: usize| at as u64 + 1;
        let entry = |(at, (on, fact))| Entry { number: number(at), on, fact, supersedes: None };
        facts.into_iter().enumerate().map(entry).collect()
    }

    fn done(&mut self, spec: &DoneSpec, surgery: Date) -> Done {
        self.known_exercise(&spec.exercise, "done.exercise");
        let on = spec.on.get_ref().0;
        if on < surgery {
            let message = format!("{on} is before the surgery on {surgery}");
            self.report(spec.on.span(), "done.on", message, "correct one of the dates");
        }
        Done { on, exercise: spec.exercise.get_ref().clone(), reps: spec.reps, from: spec.from.clone() }
    }

    fn jump(&mut self, spec: &JumpSpec) -> Jump {
        let percent = *spec.percent.get_ref();
        if !(percent.is_finite() && percent > 0.0) || spec.by.trim().is_empty() {
            self.report(
                spec.percent.span(),
                "jump",
                "a threshold needs a percentage above 0 and the name of who set it".into(),
                "write `percent` and `by`, or leave it out",
            );
        }
        Jump { percent, by: spec.by.clone() }
    }

    fn patient(&mut self) -> Patient {
        let spec = &self.spec.patient;
        let language = spec.language.get_ref();
        if !self.content.languages.contains(&language.as_str()) {
            let known = self.content.languages.join(", ");
            self.report(
                spec.language.span(),
                "patient.language",
                format!("there are no words in `{language}`"),
                &format!("use one of: {known}"),
            );
        }
        Patient {
            name: spec.name.clone(),
            language: language.clone(),
            born: spec.born.as_ref().map(|it| it.get_ref().0),
            record: spec.record.clone(),
            helper: spec.helper.clone(),
        }
    }

    fn body(&mut self) -> Fact {
        let spec = self.spec.body.get_ref();
        let person =
            Person { stature: spec.stature, mass: spec.mass, sex: spec.sex, measured: spec.measured };
        let table = spec.table.unwrap_or(SegmentTable::Winter);
        if let Err(error) = Body::new(person, table) {
            let span = self.field_span(self.spec.body.span(), error.field.trim_start_matches("measured."));
            self.report(
                span,
                &format!("body.{}", error.field),
                error.message,
                "check the number and its unit",
            );
        }
        Fact::Body(person, table)
    }

    /// Span of `field = ...` inside a table's span, or the table's own.
    fn field_span(&self, within: Range<usize>, field: &str) -> Range<usize> {
        let from = within.start.min(self.source.text.len());
        match self.source.text[from..].find(&format!("{field} =")) {
            Some(at) => {
                let start = from + at;
                let length = self.source.text[start..].find('\n').unwrap_or(field.len());
                start..start + length
            }
            None => within,
        }
    }

    fn home(&mut self) -> HomeFacts {
        let spec = &self.spec.home;
        let mut check = |value: &Option<Spanned<f64>>, at: usize| -> Option<f64> {
            let value = value.as_ref()?;
            let (field, low, high) = HEIGHTS[at];
            if !(low..=high).contains(value.get_ref()) {
                let message = format!("{} m is not a height between {low} and {high} m", value.get_ref());
                self.problems.0.push(self.source.problem(
                    value.span(),
                    format!("home.{field}"),
                    message,
                    "write the height in metres, e.g. 0.45",
                ));
            }
            Some(*value.get_ref())
        };
        HomeFacts {
            seat_height: check(&spec.seat_height, 0),
            bed_height: check(&spec.bed_height, 1),
            table_height: check(&spec.table_height, 2),
            step_height: check(&spec.step_height, 3),
            equipment: spec.equipment.as_ref().map(|it| it.iter().cloned().collect()),
            stairs: spec.stairs,
        }
    }

    fn operation(&mut self) -> Operation {
        let spec = &self.spec.operation;
        let surgery = spec.surgery.get_ref().0;
        if let Some(visit) = &spec.next_visit
            && visit.get_ref().0 < surgery
        {
            self.report(
                visit.span(),
                "operation.next_visit",
                format!("{} is before the surgery on {surgery}", visit.get_ref().0),
                "correct one of the dates",
            );
        }
        Operation {
            protocol: spec.protocol.get_ref().clone(),
            side: spec.side,
            surgery,
            surgeon: spec.surgeon.clone(),
            next_visit: spec.next_visit.as_ref().map(|it| it.get_ref().0),
            variants: spec.variants.iter().map(|(name, it)| (name.clone(), it.get_ref().clone())).collect(),
        }
    }

    fn program(&mut self, spec: &ProgramSpec, surgery: Date) -> Program {
        let issued = spec.issued.get_ref().0;
        if issued < surgery {
            self.report(
                spec.issued.span(),
                "program.issued",
                format!("{issued} is before the surgery on {surgery}"),
                "correct one of the dates",
            );
        }
        let valid_until = spec.valid_until.as_ref().map(|it| it.get_ref().0);
        if let Some(until) = &spec.valid_until
            && until.get_ref().0 < issued
        {
            self.report(
                until.span(),
                "program.valid_until",
                "is before the day of issue".into(),
                "correct one of the dates",
            );
        }
        Program {
            version: spec.version,
            issued,
            by: spec.by.clone(),
            signed_by: spec.signed_by.clone(),
            valid_until,
            times_a_day: spec.times_a_day,
            days_a_week: spec.days_a_week,
            exercises: spec.exercise.iter().map(|it| self.prescription(it)).collect(),
        }
    }

    fn prescription(&mut self, spec: &PrescriptionSpec) -> Prescription {
        if let Some(motion) = self.known_exercise(&spec.id, "program.exercise.id") {
            let known: Vec<&str> = motion.parameters.iter().map(|it| it.name.as_str()).collect();
            for (name, value) in &spec.parameters {
                let found = motion.parameters.iter().find(|it| it.name == *name);
                let fits = found.is_some_and(|it| (it.low..=it.high).contains(value));
                if !fits {
                    let message = match found {
                        Some(it) => {
                            format!("{name} = {value} is outside {} to {} {}", it.low, it.high, it.unit)
                        }
                        None => format!("`{name}` is not a parameter of this exercise"),
                    };
                    let mend = format!("parameters are: {}", known.join(", "));
                    self.report(spec.id.span(), "program.exercise.parameters", message, &mend);
                }
            }
        }
        Prescription {
            exercise: spec.id.get_ref().clone(),
            side: spec.side.unwrap_or(self.spec.operation.side),
            sets: spec.sets,
            reps: spec.reps,
            seconds: spec.seconds,
            rest: spec.rest,
            parameters: spec.parameters.clone(),
        }
    }

    fn known_exercise(&mut self, id: &Spanned<String>, field: &str) -> Option<&'a Arc<Motion>> {
        let exercises: &'a BTreeMap<String, Arc<Motion>> = self.content.exercises;
        let found = exercises.get(id.get_ref());
        if found.is_none() {
            let near = nearest(id.get_ref(), exercises.keys());
            let message = format!("there is no exercise `{}`", id.get_ref());
            self.problems.0.push(self.source.problem(
                id.span(),
                field,
                message,
                format!("did you mean `{near}`? `handrail content list` shows all"),
            ));
        }
        found
    }

    fn check_against_protocol(&mut self, entries: &[Entry]) {
        let spec = self.spec;
        let name = &spec.operation.protocol;
        let Some(protocol) = self.content.protocols.get(name.get_ref()) else {
            let known: Vec<&str> = self.content.protocols.keys().map(String::as_str).collect();
            let message = format!("there is no protocol `{}`", name.get_ref());
            self.report(
                name.span(),
                "operation.protocol",
                message,
                &format!("use one of: {}", known.join(", ")),
            );
            return;
        };
        let Some(orders) = orders_of(entries) else { return };
        for mistake in check_orders(protocol, &orders) {
            let span = match &mistake.entry {
                OrdersEntry::Variant(name) => spec.operation.variants.get(name).map(Spanned::span),
                OrdersEntry::Confirmation(i) => spec.confirmed.get(*i).map(|it| it.restriction.span()),
                OrdersEntry::Order(i) => spec.order.get(*i).map(|it| it.id.span()),
                OrdersEntry::Act(i) => spec.act.get(*i).map(|it| it.by.span()),
            };
            self.problems.0.push(self.source.problem(
                span.unwrap_or(0..0),
                mistake.field,
                mistake.message,
                mistake.mend,
            ));
        }
    }
}

fn clinic(spec: &EpisodeSpec) -> Clinic {
    let clinic = &spec.clinic;
    Clinic {
        name: clinic.name.clone(),
        therapist: clinic.therapist.clone(),
        phone: clinic.phone.clone(),
        out_of_hours: clinic.out_of_hours.clone(),
        emergency: clinic.emergency.clone(),
    }
}

fn orders_of(entries: &[Entry]) -> Option<Orders> {
    fold("", entries).ok().map(|it| it.orders)
}

/// The known name with the most letters in common places (a slip of the pen, not a search).
fn nearest<'a>(name: &str, known: impl Iterator<Item = &'a String>) -> &'a str {
    let pairs = |text: &str| -> Vec<(char, char)> { text.chars().zip(text.chars().skip(1)).collect() };
    let wanted = pairs(name);
    known
        .max_by_key(|it| {
            let has = pairs(it);
            let common = wanted.iter().filter(|p| has.contains(p)).count();
            (1000 * 2 * common) / (wanted.len() + has.len()).max(1)
        })
        .map_or("", String::as_str)
}
