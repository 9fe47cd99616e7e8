//! The record of one invented patient, day by day from the operation to the evening before `today`.

use std::collections::BTreeSet;

use fastrand::Rng;
use handrail_anatomy::{Device, Joint, Person, SegmentTable, Side, clinical_motions};
use handrail_episode::{
    Closed, Contact, Decision, DecisionKind, Diary, DiaryDone, DiarySource, Entry, Fact, HomeFacts, Issued,
    Measure, Medium, Message, MessageFrom, Morning, Note, Operation, Patient, Report, Sign, SignUrgency,
    Swelling, Visit, Withdrawn, plan,
};
use handrail_library::Library;
use handrail_measures::quantity;
use handrail_program::week_days;
use handrail_progress::{Reason, State, attention, criteria};
use handrail_protocol::limits::Loading;
use handrail_protocol::{
    Act, ActKind, ActNeeded, ChangeWhat, Confirmation, Envelope, Limit, Need, Order, Protocol, Status,
    Threshold, envelope,
};
use jiff::civil::{Date, DateTime, Weekday};

use crate::cast::{Role, Story};
use crate::drafts::{Drafts, Key};
use crate::planner::{Chosen, Planner};
use crate::recovery::{Pace, base, pain, take};
use crate::texts::{self, one, patients};
use crate::{DemoEpisode, DemoError, Who, days_after, days_between, files, staff};

/// Days after surgery on which the surgeon sees the patient.
const SURGEON_DAYS: [i64; 5] = [14, 42, 84, 126, 182];
/// Kinds of reports, as the room `progress` names them.
const PROGRESS_REPORT: &str = "progress report";
const LETTER_BEFORE_VISIT: &str = "letter before the visit";
/// Days from the emergency sign to `today`.
const EMERGENCY_AGO: i64 = 6;
/// Days without a diary in the record that has gone silent.
const SILENT: i64 = 6;

/// The program that the patient holds.
struct Held {
    version: u32,
    chosen: Chosen,
    issued: Date,
    valid_until: Date,
}

struct Course<'a> {
    library: &'a Library,
    protocol: &'a Protocol,
    role: &'a Role,
    today: Date,
    surgery: Date,
    side: Side,
    surgeon: String,
    language: String,
    name: String,
    rng: Rng,
    drafts: Drafts,
    planner: Planner<'a>,
    /// Time of the next entry of a visit.
    clock: DateTime,
    clinic_days: BTreeSet<Date>,
    surgeon_days: BTreeSet<Date>,
    next_visit: Option<Date>,
    held: Option<Held>,
    /// Something about restrictions was written down since the sheet was given.
    orders_changed: bool,
    /// Paper diaries that lie at home until the next visit.
    on_paper: Vec<Diary>,
    /// Diaries with signs that the next visit answers.
    to_answer: Vec<(Key, Date)>,
    corrected: bool,
    visits_since_report: u32,
    letter_for: Option<Date>,
}

/// Makes the record of one patient.
pub(crate) fn record(
    library: &Library,
    role: &Role,
    today: Date,
    seed: u64,
) -> Result<DemoEpisode, DemoError> {
    let mut course = Course::begin(library, role, today, seed)?;
    course.first_entries()?;
    let mut day = course.surgery;
    while day < today {
        course.day(day)?;
        day = days_after(day, 1);
    }
    Ok(DemoEpisode { id: role.id.into(), entries: course.drafts.finish() })
}

/// Seed of one patient: the clinic's, mixed with the name.
fn seed_of(seed: u64, name: &str) -> u64 {
    name.bytes().fold(seed ^ 0xcbf2_9ce4_8422_2325, |it, byte| {
        (it ^ u64::from(byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// The surgeon sees nobody at weekends.
fn weekday(on: Date) -> Date {
    match on.weekday() {
        Weekday::Saturday => days_after(on, 2),
        Weekday::Sunday => days_after(on, 1),
        _ => on,
    }
}

/// The clinic is closed on Sundays: the day after is taken, or the day before where that is too late.
fn open_day(on: Date, last: Date) -> Date {
    match on.weekday() {
        Weekday::Sunday if on < last => days_after(on, 1),
        Weekday::Sunday => days_after(on, -1),
        _ => on,
    }
}

/// Planned operations are on weekdays: one that would fall on a weekend was on the Friday before.
fn day_of_surgery(role: &Role, today: Date) -> Date {
    let on = days_after(today, -role.day);
    match on.weekday() {
        Weekday::Saturday if role.story != Story::Fresh => days_after(on, -1),
        Weekday::Sunday if role.story != Story::Fresh => days_after(on, -2),
        _ => on,
    }
}

/// Protocols that the twelve roles name, and others that take their places where a role may have any.
fn protocol_of<'a>(library: &'a Library, role: &Role) -> Result<&'a Protocol, DemoError> {
    let known: BTreeSet<&str> = crate::cast::CAST.iter().map(|it| it.protocol).collect();
    let others: Vec<&Protocol> =
        library.protocols.values().filter(|it| !known.contains(it.id.as_str())).collect();
    let flexible = crate::cast::CAST.iter().filter(|it| it.flexible);
    let place = flexible.enumerate().find(|(_, it)| it.id == role.id).map(|(place, _)| place);
    if let Some(other) = place.and_then(|it| others.get(it)) {
        return Ok(other);
    }
    library.protocols.get(role.protocol).ok_or_else(|| DemoError::NoProtocol(role.protocol.into()))
}

impl<'a> Course<'a> {
    fn begin(library: &'a Library, role: &'a Role, today: Date, seed: u64) -> Result<Course<'a>, DemoError> {
        let protocol = protocol_of(library, role)?;
        let surgery = day_of_surgery(role, today);
        Ok(Course {
            library,
            protocol,
            role,
            today,
            surgery,
            side: role.side,
            surgeon: role.surgeon.into(),
            language: role.language.into(),
            name: role.name.into(),
            rng: Rng::with_seed(seed_of(seed, role.id)),
            drafts: Drafts::default(),
            planner: Planner::new(library, protocol),
            clock: surgery.at(9, 0, 0, 0),
            clinic_days: BTreeSet::new(),
            surgeon_days: BTreeSet::new(),
            next_visit: None,
            held: None,
            orders_changed: false,
            on_paper: Vec::new(),
            to_answer: Vec::new(),
            corrected: false,
            visits_since_report: 0,
            letter_for: None,
        })
    }

    fn pace(&self) -> Pace {
        Pace(self.role.pace)
    }

    /// True where programs, acts and orders are planned here; a record from a file has its own.
    fn plans(&self) -> bool {
        self.role.file.is_none()
    }

    fn by(&self) -> String {
        staff::signature(self.role.therapist)
    }

    fn failed(&self, on: Date, message: impl ToString) -> DemoError {
        DemoError::Record { id: self.role.id.into(), on, message: message.to_string() }
    }

    /// An entry of a visit, a few minutes after the one before.
    fn write(&mut self, on: Date, by: usize, fact: Fact) -> Key {
        if matches!(
            fact,
            Fact::Operation(_) | Fact::Confirmation(_) | Fact::Order(_) | Fact::Act(_) | Fact::Withdrawn(_)
        ) {
            self.orders_changed = true;
        }
        let recorded = self.clock;
        self.clock = recorded.saturating_add(jiff::Span::new().minutes(self.rng.i64(1..=2)));
        self.drafts.add(on, recorded, Who::Person(by), fact)
    }

    /// An entry at its own time of a day.
    fn write_at(&mut self, on: Date, (hour, minute): (i8, i8), by: Who, fact: Fact) -> Key {
        self.drafts.add(on, on.at(hour, minute, 0, 0), by, fact)
    }

    fn note_of(&self, on: Date) -> String {
        format!("visit note of {on}")
    }

    // ------------------------------------------------------------ the first entries

    fn first_entries(&mut self) -> Result<(), DemoError> {
        let yesterday = days_after(self.today, -1);
        match self.role.file {
            Some(file) => self.begin_with(files::entries(file, self.library, self.today)?)?,
            None => {
                self.schedule(open_day(days_after(self.surgery, 2).min(yesterday), yesterday));
                self.intake();
            }
        }
        Ok(())
    }

    fn intake_day(&self) -> Date {
        self.clinic_days.first().copied().unwrap_or(self.surgery)
    }

    /// Days of visits at the clinic and at the surgeon's.
    fn schedule(&mut self, intake: Date) {
        let last =
            open_day(days_after(self.today, -self.role.last_seen), days_after(self.today, -1)).max(intake);
        let seen = |it: &i64| weekday(days_after(self.surgery, *it));
        if self.plans() {
            self.surgeon_days =
                SURGEON_DAYS.iter().map(seen).filter(|it| *it > intake && *it <= last).collect();
        }
        let fixed: BTreeSet<Date> = self.surgeon_days.iter().copied().chain([intake, last]).collect();
        self.clinic_days = fixed.clone();
        let mut on = intake;
        loop {
            let step = match days_between(self.surgery, on) {
                ..42 => self.rng.i64(3..=5),
                42..84 => self.rng.i64(5..=8),
                84..130 => self.rng.i64(8..=10),
                _ => self.rng.i64(10..=12),
            };
            on = open_day(days_after(on, step), last);
            if on >= last {
                break;
            }
            if fixed.iter().all(|it| days_between(*it, on).abs() > 1) {
                self.clinic_days.insert(on);
            }
        }
        let ahead = self.role.next_visit.map(|it| weekday(days_after(self.today, it)));
        self.next_visit = self.surgeon_days.first().copied().or(ahead);
    }

    fn intake(&mut self) {
        let (on, desk, therapist) = (self.intake_day(), staff::FRONT_DESK, self.role.therapist);
        self.clock = on.at(8 + therapist as i8, 5, 0, 0);
        let helper = self.role.helper.map(String::from);
        let record = format!("LH-{:05}", self.rng.u32(10_000..99_999));
        self.patient(desk, Some(record), helper);
        self.write(self.surgery, desk, Fact::Clinic(staff::clinic_fact(therapist)));
        let operation = self.operation();
        self.write(self.surgery, desk, Fact::Operation(operation));
        let (stature, mass) = self.role.body;
        let person = Person { stature, mass, sex: self.role.sex, measured: Default::default() };
        self.write(self.surgery, therapist, Fact::Body(person, SegmentTable::Winter));
        let home = self.home();
        self.write(self.surgery, therapist, Fact::Home(home));
    }

    fn patient(&mut self, by: usize, record: Option<String>, helper: Option<String>) {
        let year = self.surgery.year() - self.role.age;
        let born = Date::new(year, self.rng.i8(1..=12), self.rng.i8(1..=28)).ok();
        let (name, language) = (self.name.clone(), self.language.clone());
        self.write(self.surgery, by, Fact::Patient(Patient { name, language, born, record, helper }));
    }

    fn home(&mut self) -> HomeFacts {
        const ALL: [&str; 12] = [
            "chair", "bed", "table", "towel", "pillow", "wall", "step", "band", "stick", "ball", "weight",
            "pulley",
        ];
        // Chair, bed, table, towel, pillow and wall are in every home; the rest in most.
        let rng = &mut self.rng;
        let has = ALL.iter().enumerate().filter(|(index, _)| *index < 6 || rng.f64() < 0.7);
        let equipment = has.map(|(_, it)| (*it).to_string()).collect();
        let mut height = |low: u32, high: u32| Some(f64::from(self.rng.u32(low..=high)) / 100.0);
        HomeFacts {
            seat_height: height(43, 48),
            bed_height: height(48, 56),
            table_height: height(72, 76),
            step_height: height(14, 18),
            equipment: Some(equipment),
            stairs: self.role.stairs,
        }
    }

    fn operation(&self) -> Operation {
        let usual = self.role.variants.iter().map(|(name, it)| ((*name).to_string(), (*it).to_string()));
        let variants = if self.protocol.id == self.role.protocol {
            usual.collect()
        } else {
            let first = self
                .protocol
                .variants
                .iter()
                .filter_map(|it| Some((it.name.clone(), it.choices.first()?.clone())));
            first.collect()
        };
        Operation {
            protocol: self.protocol.id.clone(),
            side: self.side,
            surgery: self.surgery,
            surgeon: self.surgeon.clone(),
            next_visit: self.next_visit,
            variants,
        }
    }

    /// Begins with the entries of a file; what it does not tell (sheets given, visits) is added day by day.
    fn begin_with(&mut self, entries: Vec<Entry>) -> Result<(), DemoError> {
        let therapist = self.role.therapist;
        for entry in &entries {
            match &entry.fact {
                Fact::Operation(it) => {
                    (self.surgery, self.side) = (it.surgery, it.side);
                    (self.surgeon, self.next_visit) = (it.surgeon.clone(), it.next_visit);
                }
                Fact::Patient(it) => (self.name, self.language) = (it.name.clone(), it.language.clone()),
                _ => {}
            }
        }
        let intake = days_after(self.surgery, 1);
        self.schedule(intake);
        self.clock = intake.at(8, 30, 0, 0);
        let mut programs = Vec::new();
        for entry in entries {
            if entry.on > intake {
                // Later entries have their own day, in the order of the file.
                self.clock = self.clock.max(entry.on.at(8, 30, 0, 0));
            }
            match entry.fact {
                Fact::Patient(it) => {
                    let helper = it.helper.or(self.role.helper.map(String::from));
                    self.patient(staff::FRONT_DESK, it.record, helper);
                }
                Fact::Clinic(_) => {
                    self.write(entry.on, staff::FRONT_DESK, Fact::Clinic(staff::clinic_fact(therapist)));
                }
                Fact::Home(it) => {
                    let stairs = it.stairs.or(self.role.stairs);
                    self.write(entry.on, therapist, Fact::Home(HomeFacts { stairs, ..it }));
                }
                // What was done is told by diaries instead, which say more.
                Fact::Done(_) => {}
                Fact::Jump(_) => {
                    self.clock = intake.at(9, 30, 0, 0);
                    self.write(entry.on, therapist, entry.fact);
                }
                Fact::Program(it) => {
                    programs.push(it.clone());
                    self.write(entry.on, therapist, Fact::Program(it));
                }
                _ => {
                    self.write(entry.on, therapist, entry.fact);
                }
            }
        }
        for program in programs {
            let on = program.issued;
            let episode = self.drafts.episode().ok_or_else(|| self.failed(on, "facts are missing"))?;
            let valid_until = episode.valid_until(on, program.valid_until);
            let plan = plan(&episode, self.protocol, &self.library.exercises, on);
            let chosen = Chosen::of_plan(&plan.map_err(|it| self.failed(on, it))?);
            self.clock = on.at(16, 40, 0, 0);
            self.give(on, program.version, chosen, valid_until);
        }
        Ok(())
    }

    // ------------------------------------------------------------ one day

    fn day(&mut self, on: Date) -> Result<(), DemoError> {
        if self.clinic_days.contains(&on) {
            self.visit_day(on)?;
        }
        self.messages(on);
        self.diary(on);
        Ok(())
    }

    fn is_last(&self, on: Date) -> bool {
        self.clinic_days.last() == Some(&on)
    }

    fn visit_day(&mut self, on: Date) -> Result<(), DemoError> {
        let therapist = self.role.therapist;
        let start = on.at(9 + therapist as i8 * 2, 0, 0, 0);
        self.clock = if on == self.intake_day() { self.clock.max(start) } else { start };
        self.type_in();
        self.answer_signs(on);
        if self.plans() {
            self.orders(on)?;
        }
        self.measures(on)?;
        let mut assisted = self.rng.f64() < 0.35 && on != self.intake_day() && !self.is_last(on);
        if self.plans() && self.role.story != Story::Fresh {
            let decided = self.phase(on, true)?;
            if decided {
                // Of a phase that has just begun some criteria of the next may be met already.
                self.phase(on, false)?;
            }
            assisted &= !decided;
            assisted &= !self.program(on)?;
        }
        self.visit(on, if assisted { staff::ASSISTANT } else { therapist });
        self.reports(on);
        if self.is_last(on) {
            self.last_visit(on);
        }
        Ok(())
    }

    /// Paper diaries are typed in by the assistant; once one is typed wrong and corrected.
    fn type_in(&mut self) {
        for diary in std::mem::take(&mut self.on_paper) {
            let on = diary.on;
            if self.corrected || diary.done.first().is_none_or(|it| it.reps == 0) {
                self.write(on, staff::ASSISTANT, Fact::Diary(diary));
                continue;
            }
            let mut slip = diary.clone();
            slip.done[0].reps *= 10;
            let wrong = self.write(on, staff::ASSISTANT, Fact::Diary(slip));
            let right = self.write(on, staff::ASSISTANT, Fact::Diary(diary));
            self.drafts.supersede(right, wrong);
            self.corrected = true;
        }
    }

    fn answer_signs(&mut self, on: Date) {
        for (diary, _) in std::mem::take(&mut self.to_answer) {
            let contact = Contact {
                on,
                about: 0,
                told: "patient".into(),
                how: "in person".into(),
                outcome: "Looked at together; the dose of the next two days is halved; to be asked again."
                    .into(),
                by: self.by(),
            };
            let key = self.write(on, self.role.therapist, Fact::Contact(contact));
            self.drafts.about(key, diary);
        }
    }

    fn envelope(&self, on: Date) -> Result<Envelope, DemoError> {
        let episode = self.drafts.episode().ok_or_else(|| self.failed(on, "facts are missing"))?;
        envelope(self.protocol, &episode.orders, on).map_err(|it| self.failed(on, it))
    }

    // ------------------------------------------------------------ orders

    fn orders(&mut self, on: Date) -> Result<(), DemoError> {
        let at_surgeon = self.surgeon_days.contains(&on);
        if at_surgeon {
            self.order_of_first_visit(on);
        }
        if at_surgeon || (self.role.tidy && on != self.intake_day()) {
            self.releases(on, at_surgeon)?;
            self.confirm(on, if self.role.tidy { 1.0 } else { 0.5 })?;
        } else if self.role.story == Story::SameDaySign && !self.is_last(on) {
            self.confirm(on, 0.4)?;
        } else if on == self.intake_day() && self.role.story != Story::Fresh {
            self.confirm(on, 0.3)?;
        }
        if at_surgeon {
            let later = self.surgeon_days.range(days_after(on, 1)..).next().copied();
            self.next_visit = later.or(self.role.next_visit.map(|it| weekday(days_after(self.today, it))));
            let operation = self.operation();
            self.write(on, staff::FRONT_DESK, Fact::Operation(operation));
        }
        Ok(())
    }

    /// After an Achilles repair the boot may come off for exercise: the order that the protocol asks for.
    fn order_of_first_visit(&mut self, on: Date) {
        let until = days_after(self.surgery, 41);
        let stage = "boot-raised";
        let first = self.surgeon_days.first() == Some(&on);
        if !first || on > until || self.protocol.restriction(stage).is_none() {
            return;
        }
        let limit = Limit::Device {
            device: Device::Boot,
            holds: Vec::new(),
            off_for_exercise: true,
            worn_asleep: true,
            setting: "2 cm heel lift".into(),
        };
        let order = Order {
            id: "boot-off-to-exercise".into(),
            limit,
            replaces: Some(stage.into()),
            by: self.surgeon.clone(),
            on,
            document: self.note_of(on),
            from: on,
            until: Some(until),
            note: Some("off only sitting or lying; on for every move (invented)".into()),
        };
        self.write(on, self.role.therapist, Fact::Order(order));
    }

    /// Lifts what is past its weeks: the surgeon does, at the visit or by phone.
    fn releases(&mut self, on: Date, at_surgeon: bool) -> Result<(), DemoError> {
        let document = if at_surgeon { self.note_of(on) } else { format!("phone note of {on}") };
        // A release can uncover the next stage that is overdue, too.
        for _ in 0..4 {
            let due: Vec<String> = self.envelope(on)?.in_force.iter().filter_map(releasable).collect();
            // In a record that is not tidy something is always forgotten.
            let keep = usize::from(!self.role.tidy);
            for restriction in due.iter().skip(keep) {
                let act = Act {
                    kind: ActKind::Release { restriction: restriction.clone() },
                    by: self.surgeon.clone(),
                    on,
                    document: Some(document.clone()),
                    reason: Some("planned weeks are over; looked at and asked".into()),
                };
                self.write(on, self.role.therapist, Fact::Act(act));
            }
            if due.len() <= keep {
                break;
            }
        }
        Ok(())
    }

    fn confirm(&mut self, on: Date, share: f64) -> Result<(), DemoError> {
        let assumed: Vec<String> = self
            .envelope(on)?
            .in_force
            .iter()
            .filter(|it| it.status == Status::Assumed)
            .map(|it| it.id.clone())
            .collect();
        let letter = on == self.intake_day();
        let document = if letter {
            format!("discharge letter of {}", days_after(self.surgery, 1))
        } else {
            self.note_of(on)
        };
        for restriction in assumed {
            if self.rng.f64() >= share {
                continue;
            }
            let confirmation =
                Confirmation { restriction, by: self.surgeon.clone(), on, document: document.clone() };
            self.write(on, self.role.therapist, Fact::Confirmation(confirmation));
        }
        Ok(())
    }

    // ------------------------------------------------------------ measures

    fn measures(&mut self, on: Date) -> Result<(), DemoError> {
        let envelope = self.envelope(on)?;
        let present = envelope.phase.index;
        let concerns = |begins: usize| begins > present && begins <= present + 2;
        let of_criteria = self.protocol.criteria.iter().filter(|it| concerns(it.begins)).map(base);
        let of_ranges = self
            .protocol
            .milestones
            .iter()
            .map(|it| format!("{}_{}_{}", it.joint.id(), it.direction, it.drive.id()));
        let mut names: Vec<String> = vec!["pain".into()];
        for name in of_criteria.map(String::from).chain(of_ranges) {
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let target = self.target(present);
        for name in names {
            // Not everything is measured each time.
            let wanted = self.is_last(on) || self.rng.f64() < 0.75 || name == "pain";
            let pace = self.pace();
            let taken = take(&name, self.protocol, &envelope, pace, &mut self.rng);
            let (Some(mut taken), true) = (taken, wanted) else { continue };
            if let Some((measure, threshold)) = &target
                && *measure == name
            {
                taken.operated =
                    if self.is_last(on) { threshold + 1.0 } else { taken.operated.min(threshold - 1.0) };
            }
            self.measure(on, &name, taken);
        }
        Ok(())
    }

    /// What the record of a newly met criterion reaches at its last visit.
    fn target(&self, present: usize) -> Option<(String, f64)> {
        let next = self.protocol.criteria_for(present + 1);
        let mut direct = next.filter(|it| base(it) == it.measure);
        let reached = direct.find_map(|it| match it.threshold {
            Threshold::AtLeast(limit) => Some((it.measure.clone(), limit)),
            _ => None,
        });
        // Only in the phase that the calendar has today: the phases before it begin as they are planned.
        let from = |week: u32| days_after(self.surgery, i64::from(week) * 7);
        let now = self.protocol.phases.iter().rposition(|it| from(it.from_week) < self.today);
        reached.filter(|_| self.role.story == Story::CriterionMet && now == Some(present))
    }

    fn measure(&mut self, on: Date, name: &str, taken: crate::recovery::Taken) {
        let unit = quantity(name).map_or("", |it| it.unit);
        let one_side =
            taken.other.is_some() || taken.drive.is_some() || matches!(name, "knee_effusion_grade");
        let sides =
            [(one_side.then_some(self.side), Some(taken.operated)), (Some(self.side.other()), taken.other)];
        for (side, value) in sides {
            let Some(value) = value else { continue };
            let measure = Measure {
                on,
                what: name.into(),
                side,
                value,
                unit: unit.into(),
                drive: taken.drive,
                method: taken.method.map(String::from),
                by: self.by(),
            };
            self.write(on, self.role.therapist, Fact::Measure(measure));
        }
    }

    // ------------------------------------------------------------ phases and programs

    /// Decides about the next phase; true when something was decided.
    fn phase(&mut self, on: Date, may_advance: bool) -> Result<bool, DemoError> {
        if self.is_last(on) && self.role.story == Story::CriterionMet {
            return Ok(false);
        }
        let envelope = self.envelope(on)?;
        let change = envelope.next.iter().find_map(|it| match &it.what {
            ChangeWhat::Phase { id } => Some((id.clone(), it.due, it.needs.clone())),
            _ => None,
        });
        let Some((phase, due, needs)) = change else { return Ok(false) };
        let needed: Vec<String> = needs.into_iter().filter_map(criterion_of).collect();
        let episode = self.drafts.episode().ok_or_else(|| self.failed(on, "facts are missing"))?;
        let states = criteria(&episode, self.protocol, on);
        let is_met = |id: &String| {
            states.iter().any(|it| it.criterion == *id && matches!(it.state, State::Met { .. }))
        };
        let met: Vec<String> = needed.iter().filter(|it| is_met(it)).cloned().collect();
        let advance = may_advance && due && met.len() == needed.len();
        // What would ask for somebody is decided about, so that it does not ask any more.
        let asks = attention(&episode, self.protocol, on);
        let news = asks.iter().any(|it| it.reason == Reason::CriterionMet && it.holds_on(on));
        if !advance && !news {
            return Ok(false);
        }
        let reason = if advance {
            one(&mut self.rng, texts::REASONS)
        } else if due && met.len() < needed.len() {
            "other criteria of the phase are not met yet".into()
        } else if due {
            "met already; one phase at a time".into()
        } else {
            "met before the planned week: the week is waited for".into()
        };
        let kind = if advance { DecisionKind::Advance } else { DecisionKind::Hold };
        let decision = Decision { on, kind, criteria: met, by: self.by(), reason: reason.clone() };
        self.write(on, self.role.therapist, Fact::Decision(decision));
        if advance {
            let (by, document) = (self.by(), Some(self.note_of(on)));
            let act = Act { kind: ActKind::BeginPhase { phase }, by, on, document, reason: Some(reason) };
            self.write(on, self.role.therapist, Fact::Act(act));
            // What the phase lifts or looks different in is looked at once more.
            if self.role.tidy {
                self.releases(on, self.surgeon_days.contains(&on))?;
                self.confirm(on, 1.0)?;
            }
        }
        Ok(true)
    }

    /// Issues a new version where the old one does not last, or is out of date; true when it did.
    fn program(&mut self, on: Date) -> Result<bool, DemoError> {
        let next = self.clinic_days.range(days_after(on, 1)..).next().copied();
        let lasts_to = next.unwrap_or_else(|| days_after(self.today, 3));
        let old = self.held.as_ref();
        let lasts = old.is_some_and(|it| it.valid_until >= lasts_to && it.issued < on);
        if lasts && !self.orders_changed {
            return Ok(false);
        }
        let episode = self.drafts.episode().ok_or_else(|| self.failed(on, "facts are missing"))?;
        let Some(chosen) = self.planner.program(&episode, on, &mut self.rng) else { return Ok(false) };
        let version = old.map_or(1, |it| it.version + 1);
        let valid_until = episode.valid_until(on, None);
        let program = chosen.program(version, on, &self.by(), Some(valid_until));
        self.write(on, self.role.therapist, Fact::Program(program));
        self.give(on, version, chosen, valid_until);
        Ok(true)
    }

    fn give(&mut self, on: Date, version: u32, chosen: Chosen, valid_until: Date) {
        let medium = match self.rng.u8(0..10) {
            0..4 => Medium::Paper,
            4..9 => Medium::Page,
            _ => Medium::File,
        };
        let language = self.language.clone();
        let issued = Issued { version, medium, language, valid_until, by: self.by() };
        self.write(on, self.role.therapist, Fact::Issued(issued));
        self.held = Some(Held { version, chosen, issued: on, valid_until });
        self.orders_changed = false;
    }

    // ------------------------------------------------------------ the visit and its papers

    fn visit(&mut self, on: Date, by: usize) {
        let timed_minutes = 5 * self.rng.u32(5..=9);
        let visit = Visit {
            on,
            timed_minutes,
            minutes: timed_minutes + 5 * self.rng.u32(0..=3),
            says: one(&mut self.rng, texts::VISITS),
            teach_back: (self.rng.f64() < 0.8).then(|| self.rng.f64() < 0.85),
            by: staff::signature(by),
        };
        self.write(on, by, Fact::Visit(visit));
        self.visits_since_report += 1;
        if self.rng.f64() < 0.2 || on == self.intake_day() {
            let says = if on == self.intake_day() {
                texts::NOTES[0].into()
            } else {
                one(&mut self.rng, texts::NOTES)
            };
            self.write(on, by, Fact::Note(Note { says, by: staff::signature(by) }));
        }
        if self.role.story == Story::EmergencyAnswered && self.surgeon_days.first() == Some(&on) {
            self.withdrawn_note(on, by);
        }
    }

    /// A remark that belonged elsewhere, and was taken back before the next version was issued.
    fn withdrawn_note(&mut self, on: Date, by: usize) {
        let signed = staff::signature(by);
        let wrong = Note { says: "Bring the other brace next time. (invented)".into(), by: signed.clone() };
        let wrong = self.write(on, by, Fact::Note(wrong));
        let taken_back = Withdrawn { reason: "belongs to another record".into(), by: signed };
        let taken_back = self.write(on, by, Fact::Withdrawn(taken_back));
        self.drafts.supersede(taken_back, wrong);
    }

    fn reports(&mut self, on: Date) {
        let (by, therapist) = (self.by(), self.role.therapist);
        if self.visits_since_report >= 8 {
            let (to, kind) = ("payer".into(), PROGRESS_REPORT.into());
            self.write(on, therapist, Fact::Report(Report { to, kind, by: by.clone() }));
            self.visits_since_report = 0;
        }
        let Some(visit) = self.next_visit.filter(|it| (1..=13).contains(&days_between(on, *it))) else {
            return;
        };
        let forgotten = self.role.story == Story::ReportDue && visit >= self.today;
        if self.letter_for == Some(visit) || forgotten {
            return;
        }
        let (to, kind) = (self.surgeon.clone(), LETTER_BEFORE_VISIT.into());
        self.write(on, therapist, Fact::Report(Report { to, kind, by }));
        self.letter_for = Some(visit);
    }

    fn last_visit(&mut self, on: Date) {
        let therapist = self.role.therapist;
        match self.role.story {
            Story::SheetOutOfDate => self.order_after_the_sheet(on),
            Story::Closed => {
                let reason =
                    "discharged: goes on alone with the last sheet, comes back if running hurts".into();
                self.write(on, therapist, Fact::Closed(Closed { reason, by: self.by() }));
                self.held = None;
            }
            _ => {}
        }
    }

    /// The surgeon's office asks for less rotation, after the sheet was given.
    fn order_after_the_sheet(&mut self, on: Date) {
        let mut motions = clinical_motions().into_iter();
        let rotation = motions.find(|it| it.joint == Joint::Shoulder && it.motion == "external_rotation");
        let Some(motion) = rotation else { return };
        use handrail_anatomy::Drive::{Active, Assisted, Isometric, Passive, Resisted};
        let limit = Limit::Motion {
            motion,
            max_deg: 10.0,
            drives: vec![Passive, Assisted, Isometric, Active, Resisted],
            loading: Loading::Any,
        };
        let order = Order {
            id: "external-rotation-10".into(),
            limit,
            replaces: None,
            by: self.surgeon.clone(),
            on,
            document: format!("fax of {on}"),
            from: on,
            until: None,
            note: Some("front edge of the repair under tension; until the next visit (invented)".into()),
        };
        self.write(on, staff::LEAD, Fact::Order(order));
    }

    // ------------------------------------------------------------ the patient

    fn messages(&mut self, on: Date) {
        let ago = days_between(on, self.today);
        let words = patients(&self.language);
        let from_patient = |says: &str, by: &str| {
            Fact::Message(Message { from: MessageFrom::Patient, says: says.into(), by: by.into() })
        };
        let name = self.name.clone();
        if ago == 1 && self.role.story == Story::MessageWaiting {
            self.write_at(on, (20, 15), Who::Patient, from_patient(words.waiting, &name));
            return;
        }
        let silent = self.role.story == Story::Closed && self.held.is_none();
        if ago < 5 || on <= self.intake_day() || silent || self.rng.f64() >= 0.025 {
            return;
        }
        let (asks, answers) = words.messages[self.rng.usize(0..words.messages.len())];
        self.write_at(on, (20, 40), Who::Patient, from_patient(asks, &name));
        let (next, by) = (open_day(days_after(on, 1), self.today), self.by());
        let answer = Message { from: MessageFrom::Clinic, says: answers.into(), by };
        self.write_at(next, (8, 10), Who::Person(self.role.therapist), Fact::Message(answer));
    }

    fn diary(&mut self, on: Date) {
        let ago = days_between(on, self.today);
        // The first sheet is for the next day on; a later one takes over from one that was followed already.
        let holds = |it: &&Held| (it.issued < on || it.version > 1) && it.valid_until >= on;
        let Some(held) = self.held.as_ref().filter(holds) else { return };
        // Days back that hold at least two planned ones.
        let recent = 1 + 14 / i64::from(held.chosen.days_a_week.clamp(1, 7));
        let planned = week_days(held.chosen.days_a_week).contains(&on.weekday());
        match self.role.story {
            Story::NoDiary if ago <= SILENT => return,
            Story::EmergencyAnswered if ago == EMERGENCY_AGO => return self.emergency(on),
            Story::EmergencyAnswered if (3..EMERGENCY_AGO).contains(&ago) => return,
            Story::SameDaySign if ago == 1 => return self.same_day_sign(on),
            Story::PainResponse if ago <= 2 => return self.painful_session(on),
            _ => {}
        }
        // The last planned days have diaries, so that nobody is asked about them without a reason.
        let share = if ago <= recent { 1.0 } else { self.role.diaries };
        if !planned {
            if self.rng.f64() < 0.02 && ago > recent {
                let mut diary = self.session(on, DiarySource::Page);
                diary.extra = Some(one(&mut self.rng, patients(&self.language).extra));
                self.write_at(on, (19, 30), Who::Patient, Fact::Diary(diary));
            }
            return;
        }
        if self.rng.f64() < share {
            self.usual_diary(on);
        }
    }

    /// What was done and how it felt, on a usual day.
    fn session(&mut self, on: Date, source: DiarySource) -> Diary {
        let mut diary = Diary::new(on, source);
        let Some(held) = &self.held else { return diary };
        diary.version = held.version;
        let (rng, times) = (&mut self.rng, held.chosen.times_a_day);
        let mut skipped = false;
        for (exercise, sets, reps) in &held.chosen.amounts {
            // One session less, or an exercise that was left out.
            let sessions = if times > 1 && rng.f64() < 0.2 { times - 1 } else { times };
            let sets = if rng.f64() < 0.07 { 0 } else { sets * sessions };
            skipped |= sets == 0;
            diary.done.push(DiaryDone { exercise: exercise.clone(), sets, reps: sets * reps });
        }
        let words = patients(&self.language);
        if skipped {
            diary.left_out = Some(one(rng, words.left_out));
        }
        if rng.f64() < 0.12 {
            diary.note = Some(one(rng, words.notes));
        }
        if rng.f64() < 0.05 {
            diary.extra = Some(one(rng, words.extra));
        }
        let day = days_between(self.surgery, on) as i32;
        let before = pain(day, Pace(self.role.pace), rng).min(4);
        diary.pain_before = Some(before);
        diary.pain_during = Some((before + rng.u8(0..=1)).min(5));
        diary.pain_after = Some((before + u8::from(rng.f64() < 0.3)).min(5));
        diary.morning = (rng.f64() < 0.85).then_some(Morning::Usual);
        diary.swelling =
            (rng.f64() < 0.8).then(|| if rng.f64() < 0.4 { Swelling::Less } else { Swelling::Same });
        diary
    }

    fn usual_diary(&mut self, on: Date) {
        let later_visit = self.clinic_days.range(days_after(on, 1)..).next().is_some();
        let source = match self.rng.u8(0..100) {
            0..64 => DiarySource::Page,
            64..80 => DiarySource::Guided,
            80..92 if later_visit => DiarySource::Paper,
            _ if later_visit => DiarySource::Told,
            _ => DiarySource::Page,
        };
        let mut diary = self.session(on, source);
        // A response or a sign now and then; the next visit looks at it.
        let sign = later_visit && self.rng.f64() < 0.02;
        if later_visit && self.rng.f64() < 0.04 {
            diary.pain_during = Some(6);
            diary.pain_after = diary.pain_before.map(|it| it + 2);
        }
        if later_visit && self.rng.f64() < 0.03 {
            diary.morning = Some(Morning::Worse);
            diary.swelling = Some(Swelling::More);
        }
        if sign && source == DiarySource::Page {
            let says = patients(&self.language).next_visit.into();
            diary.signs.push(Sign { urgency: SignUrgency::NextVisit, says });
        }
        let asks = !diary.signs.is_empty();
        match source {
            DiarySource::Paper | DiarySource::Told => self.on_paper.push(diary),
            DiarySource::Page | DiarySource::Guided => {
                let at = (self.rng.i8(18..=21), self.rng.i8(0..=59));
                let key = self.write_at(on, at, Who::Patient, Fact::Diary(diary));
                if asks {
                    self.to_answer.push((key, on));
                }
            }
        }
    }

    fn painful_session(&mut self, on: Date) {
        let mut diary = self.session(on, DiarySource::Page);
        diary.pain_before = Some(3);
        diary.pain_during = Some(7);
        diary.pain_after = Some(6);
        diary.swelling = Some(Swelling::More);
        diary.morning = Some(if days_between(on, self.today) == 1 { Morning::Worse } else { Morning::Usual });
        diary.note = Some(patients(&self.language).pain.into());
        self.write_at(on, (20, 50), Who::Patient, Fact::Diary(diary));
    }

    fn same_day_sign(&mut self, on: Date) {
        let mut diary = self.session(on, DiarySource::Page);
        let says = patients(&self.language).same_day.into();
        diary.signs.push(Sign { urgency: SignUrgency::SameDay, says });
        self.write_at(on, (21, 12), Who::Patient, Fact::Diary(diary));
    }

    fn emergency(&mut self, on: Date) {
        let mut diary = Diary::new(on, DiarySource::Page);
        diary.version = self.held.as_ref().map_or(0, |it| it.version);
        let says = patients(&self.language).emergency.into();
        diary.signs.push(Sign { urgency: SignUrgency::Emergency, says });
        let key = self.write_at(on, (20, 5), Who::Patient, Fact::Diary(diary));
        let contact = Contact {
            on,
            about: 0,
            told: format!("patient, then {}", self.surgeon),
            how: "by phone".into(),
            outcome:
                "Called the emergency number while on the phone and went to hospital the same evening. The \
                      surgeon was told. No exercises until he has been seen at the clinic. (invented)"
                    .into(),
            by: staff::signature(staff::LEAD),
        };
        let call = self.write_at(on, (20, 20), Who::Person(staff::LEAD), Fact::Contact(contact));
        self.drafts.about(call, key);
    }
}

fn criterion_of(need: Need) -> Option<String> {
    match need {
        Need::Criterion(id) => Some(id),
        Need::Act(_) => None,
    }
}

/// Restriction or order that is past its planned time and waits for a release.
fn releasable(it: &handrail_protocol::InForce) -> Option<String> {
    match &it.until.act {
        ActNeeded::Release(id) if it.overdue => Some(id.clone()),
        _ => None,
    }
}
