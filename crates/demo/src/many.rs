//! Mass data for benchmarks: many episodes, cheaply.
//!
//! A few patients per procedure are followed through the phases once, and a program is asked for in each. Every
//! mass episode takes the body, home, answers and programs of one of them and fills the rest with diaries, measures,
//! visits and views.

use fastrand::Rng;
use handrail_anatomy::{Person, SegmentTable, Sex, Side};
use handrail_episode::{
    Closed, Contact, Diary, DiaryDone, DiarySource, Entry, Fact, HomeFacts, Issued, Measure, Medium, Message,
    MessageFrom, Morning, Operation, Patient, Report, Sign, SignUrgency, Swelling, View, Visit, fold,
};
use handrail_library::Library;
use handrail_measures::quantity;
use handrail_program::week_days;
use handrail_protocol::{Act, ActKind, ActNeeded, Confirmation, Protocol, Status, envelope};
use jiff::civil::{Date, date};

use crate::drafts::Drafts;
use crate::planner::{Chosen, Planner};
use crate::recovery::{Pace, base, pain, take_up_to};
use crate::texts::{self, one, patients};
use crate::{DemoEpisode, Who, days_after, staff};

/// Patients that are followed per procedure.
const BODIES: [(f64, f64, Sex, Side); 3] = [
    (1.62, 60.0, Sex::Female, Side::Left),
    (1.71, 78.0, Sex::Female, Side::Right),
    (1.83, 86.0, Sex::Male, Side::Left),
];
/// Any day will do to follow them; the mass episodes keep the days after surgery.
const SURGERY: Date = date(2026, 1, 5);
/// Days after which a sheet is given again, within its 14 days.
const SHEET_DAYS: i64 = 13;
const SURGEON: &str = "Dr. Sample Halloran";

const FIRST_NAMES: [&str; 24] = [
    "Adela", "Bram", "Corin", "Delphine", "Edmund", "Farah", "Gideon", "Hollis", "Imre", "Junia", "Kasimir",
    "Leonie", "Marek", "Nadira", "Odette", "Piers", "Quilla", "Rosamund", "Stellan", "Tamsin", "Ulric",
    "Verena", "Wystan", "Zelda",
];
const LAST_NAMES: [&str; 24] = [
    "Ashdene",
    "Birchall-Moor",
    "Copperfen",
    "Dunmarrow",
    "Elderwick",
    "Fennimore-Vale",
    "Garrowby",
    "Hathersedge",
    "Inglenook",
    "Jessamy",
    "Kettlewell-Roe",
    "Larchmere",
    "Mossgrove",
    "Netherfold",
    "Oakhanger",
    "Pennyfeather",
    "Quarrington",
    "Rushbeck",
    "Silverthwaite",
    "Thistlewood",
    "Underhay",
    "Veldtman",
    "Winterbourne-Lee",
    "Yarrowdale",
];

/// What happens on a day after surgery.
enum Step {
    Confirm(String),
    Release(String),
    Begin(String),
    Program(Chosen),
}

/// One followed patient.
struct Followed {
    protocol: Protocol,
    person: Person,
    side: Side,
    home: HomeFacts,
    /// By day after surgery, ascending.
    steps: Vec<(i64, Step)>,
    /// What is measured.
    names: Vec<String>,
}

/// Invented episodes, `entries_each` entries in each (at least the five without which there is no episode), as they
/// stand in the morning of `today`: an even spread of procedures and days, some closed, some with signs, messages,
/// silences, late reports. Programs are reused: three per procedure and phase, each asked for once.
///
/// The same arguments give the same episodes; an episode does not depend on how many follow it.
pub fn many(
    library: &Library,
    today: Date,
    seed: u64,
    episodes: usize,
    entries_each: usize,
) -> impl Iterator<Item = DemoEpisode> + use<> {
    let of = |protocol| BODIES.iter().map(move |body| follow(library, protocol, *body));
    let followed: Vec<Followed> = library.protocols.values().flat_map(of).collect();
    let used = if followed.is_empty() { 0 } else { episodes };
    (0..used).map(move |index| {
        let it = &followed[index % followed.len()];
        let rng = Rng::with_seed(seed.wrapping_mul(0x9e37_79b9_7f4a_7c15).wrapping_add(index as u64));
        Mass { it, today, rng, drafts: Drafts::default() }.episode(index, entries_each)
    })
}

fn home() -> HomeFacts {
    let all = ["chair", "bed", "table", "towel", "pillow", "wall", "step", "band", "stick", "ball", "weight"];
    HomeFacts {
        seat_height: Some(0.45),
        bed_height: Some(0.52),
        table_height: Some(0.74),
        step_height: Some(0.16),
        equipment: Some(all.map(String::from).into()),
        stairs: Some(8),
    }
}

/// Follows one patient through the phases: each begins in its week, and a program is asked for the day after.
fn follow(
    library: &Library,
    protocol: &Protocol,
    (stature, mass, sex, side): (f64, f64, Sex, Side),
) -> Followed {
    let mut it = Followed {
        protocol: protocol.clone(),
        person: Person { stature, mass, sex, measured: Default::default() },
        side,
        home: home(),
        steps: Vec::new(),
        names: Vec::new(),
    };
    for criterion in &protocol.criteria {
        let name = base(criterion).to_string();
        if !it.names.contains(&name) && quantity(&name).is_some() {
            it.names.push(name);
        }
    }
    let mut planner = Planner::new(library, protocol);
    let mut rng = Rng::with_seed((mass * 100.0) as u64);
    for phase in &protocol.phases {
        let day = i64::from(phase.from_week) * 7;
        if day > 0 {
            it.steps.push((day, Step::Begin(phase.id.clone())));
        }
        it.lift_and_confirm(day);
        let (asked, on) = (day + 1, days_after(SURGERY, day + 1));
        let Ok(episode) = fold("", &it.core(asked)) else { continue };
        if let Some(chosen) = planner.program(&episode, on, &mut rng) {
            it.steps.push((asked, Step::Program(chosen)));
        }
    }
    it
}

impl Followed {
    /// Lifts what is past its weeks on a day, and confirms what is only assumed.
    fn lift_and_confirm(&mut self, day: i64) {
        let on = days_after(SURGERY, day);
        for _ in 0..3 {
            let Ok(episode) = fold("", &self.core(day)) else { return };
            let Ok(now) = envelope(&self.protocol, &episode.orders, on) else { return };
            let steps: Vec<(i64, Step)> = now
                .in_force
                .iter()
                .filter_map(|it| match &it.until.act {
                    ActNeeded::Release(id) if it.overdue => Some((day, Step::Release(id.clone()))),
                    _ if it.status == Status::Assumed => Some((day, Step::Confirm(it.id.clone()))),
                    _ => None,
                })
                .collect();
            if steps.is_empty() {
                return;
            }
            self.steps.extend(steps);
        }
    }

    fn operation(&self, surgery: Date, next_visit: Option<Date>) -> Operation {
        let first = self
            .protocol
            .variants
            .iter()
            .filter_map(|it| Some((it.name.clone(), it.choices.first()?.clone())));
        Operation {
            protocol: self.protocol.id.clone(),
            side: self.side,
            surgery,
            surgeon: SURGEON.into(),
            next_visit,
            variants: first.collect(),
        }
    }

    fn base(&self, surgery: Date, patient: Patient, next_visit: Option<Date>) -> [Fact; 5] {
        [
            Fact::Patient(patient),
            Fact::Clinic(staff::clinic_fact(0)),
            Fact::Body(self.person, SegmentTable::Winter),
            Fact::Home(self.home.clone()),
            Fact::Operation(self.operation(surgery, next_visit)),
        ]
    }

    /// The facts up to a day that a program depends on.
    fn core(&self, day: i64) -> Vec<Entry> {
        let patient =
            Patient { name: "Sample".into(), language: "en".into(), born: None, record: None, helper: None };
        let entry = |on, fact| Entry { number: 0, on, fact, supersedes: None };
        let mut out: Vec<Entry> =
            self.base(SURGERY, patient, None).into_iter().map(|it| entry(SURGERY, it)).collect();
        for (at, step) in self.steps.iter().filter(|it| it.0 <= day) {
            let on = days_after(SURGERY, *at);
            out.extend(step.fact(on).map(|it| entry(on, it)));
        }
        out
    }
}

impl Step {
    /// The fact, but for programs, which have a version.
    fn fact(&self, on: Date) -> Option<Fact> {
        let document = format!("visit note of {on}");
        let act = |kind, by: String| {
            let (document, reason) =
                (Some(document.clone()), Some("planned weeks are over (invented)".into()));
            Fact::Act(Act { kind, by, on, document, reason })
        };
        match self {
            Step::Confirm(it) => Some(Fact::Confirmation(Confirmation {
                restriction: it.clone(),
                by: SURGEON.into(),
                on,
                document: document.clone(),
            })),
            Step::Release(it) => Some(act(ActKind::Release { restriction: it.clone() }, SURGEON.into())),
            Step::Begin(it) => Some(act(ActKind::BeginPhase { phase: it.clone() }, staff::signature(0))),
            Step::Program(_) => None,
        }
    }
}

/// A sheet in hand: version, program, first and last day.
struct Sheet<'a> {
    version: u32,
    chosen: &'a Chosen,
    from: i64,
    to: i64,
}

/// One mass episode in the making.
struct Mass<'a> {
    it: &'a Followed,
    today: Date,
    rng: Rng,
    drafts: Drafts,
}

impl<'a> Mass<'a> {
    fn episode(mut self, index: usize, entries_each: usize) -> DemoEpisode {
        let day = self.rng.i64(3..240);
        let surgery = days_after(self.today, -day);
        let visit = self.rng.i64(2..42);
        self.first(surgery, days_after(self.today, visit));
        let sheets = self.steps(surgery, day);
        if self.rng.f64() < 0.6 {
            let (to, kind) = (SURGEON.into(), "letter before the visit".into());
            let letter = Report { to, kind, by: staff::signature(0) };
            self.write(days_after(self.today, -1), 11, 0, Fact::Report(letter));
        }
        let room = entries_each.saturating_sub(self.drafts.len());
        self.fill(surgery, day, &sheets, room);
        let mut entries = self.drafts.finish();
        // A short record is its beginning; what it lost was nothing that others refer to backwards.
        entries.truncate(entries_each.max(5));
        DemoEpisode { id: format!("mass-{index:06}"), entries }
    }

    fn write(&mut self, on: Date, hour: i8, minute: i8, fact: Fact) {
        let by = match fact {
            Fact::Diary(Diary { source: DiarySource::Page | DiarySource::Guided, .. }) => Who::Patient,
            Fact::Message(Message { from: MessageFrom::Patient, .. }) => Who::Patient,
            _ => Who::Person(0),
        };
        self.drafts.add(on, on.at(hour, minute, 0, 0), by, fact);
    }

    fn first(&mut self, surgery: Date, next_visit: Date) {
        let rng = &mut self.rng;
        let name = format!("{} {}", one(rng, &FIRST_NAMES), one(rng, &LAST_NAMES));
        let born = Date::new(surgery.year() - rng.i16(19..80), rng.i8(1..=12), rng.i8(1..=28)).ok();
        let language = if rng.f64() < 0.2 { "es" } else { "en" };
        let record = Some(format!("LH-{:06}", rng.u32(0..1_000_000)));
        let patient = Patient { name, language: language.into(), born, record, helper: None };
        let (minute, facts) = (0i8.., self.it.base(surgery, patient, Some(next_visit)));
        for (minute, fact) in minute.zip(facts) {
            self.write(surgery, 7, minute, fact);
        }
    }

    /// Acts and programs up to yesterday; the sheets that were given.
    fn steps(&mut self, surgery: Date, day: i64) -> Vec<Sheet<'a>> {
        let unconfirmed = self.rng.f64() < 0.2;
        let mut sheets: Vec<Sheet<'a>> = Vec::new();
        let past = self.it.steps.iter().filter(|it| it.0 < day);
        let mut current: Option<(&'a Chosen, i64)> = None;
        for (at, step) in past {
            if let Some((chosen, from)) = current {
                self.sheets(surgery, chosen, (from, *at), &mut sheets);
            }
            let on = days_after(surgery, *at);
            match step {
                Step::Program(chosen) => current = Some((chosen, *at)),
                Step::Confirm(_) if unconfirmed => current = None,
                other => {
                    // What was allowed before may not be now: the next sheet is that of the new phase.
                    current = None;
                    if let Some(fact) = other.fact(on) {
                        self.write(on, 9, 5, fact);
                    }
                }
            }
        }
        if let Some((chosen, from)) = current {
            self.sheets(surgery, chosen, (from, day), &mut sheets);
        }
        sheets
    }

    /// The same program given again and again from one day up to, but not including, another.
    fn sheets(
        &mut self,
        surgery: Date,
        chosen: &'a Chosen,
        (from, to): (i64, i64),
        out: &mut Vec<Sheet<'a>>,
    ) {
        let mut at = from;
        while at < to {
            let (version, on) = (out.len() as u32 + 1, days_after(surgery, at));
            let (by, last) = (staff::signature(0), at + SHEET_DAYS);
            let valid_until = days_after(surgery, last);
            self.write(on, 9, 20, Fact::Program(chosen.program(version, on, &by, Some(valid_until))));
            let issued = Issued { version, medium: Medium::Page, language: "en".into(), valid_until, by };
            self.write(on, 9, 25, Fact::Issued(issued));
            out.push(Sheet { version, chosen, from: at, to: last });
            at = last;
        }
    }

    /// Diaries, measures, visits, messages and views, so many in all.
    fn fill(&mut self, surgery: Date, day: i64, sheets: &[Sheet<'a>], room: usize) {
        let before = self.drafts.len();
        let end = |it: &Mass<'a>, share: f64| (room as f64 * share) as usize > it.drafts.len() - before;
        let silent = if self.rng.f64() < 0.12 { self.rng.i64(4..9) } else { 1 };
        for ago in silent..day {
            if !end(self, 0.55) {
                break;
            }
            self.diary(days_after(self.today, -ago), day - ago, sheets);
        }
        for ago in (2..day).step_by(7) {
            if !end(self, 0.65) {
                break;
            }
            self.visit(days_after(self.today, -ago), day - ago);
        }
        for ago in (2..day).step_by(9) {
            if !end(self, 0.85) {
                break;
            }
            self.measures(days_after(self.today, -ago), day - ago);
        }
        self.endings(room - (self.drafts.len() - before).min(room));
        let what = ["record", "program", "restrictions", "diaries", "measures"];
        while self.drafts.len() - before < room {
            let on = days_after(surgery, self.rng.i64(0..day));
            let says = one(&mut self.rng, &what);
            let (hour, minute) = (self.rng.i8(17..18), self.rng.i8(0..60));
            self.write(on, hour, minute, Fact::View(View { what: says }));
        }
    }

    fn diary(&mut self, on: Date, day: i64, sheets: &[Sheet<'a>]) {
        let Some(sheet) = sheets.iter().rev().find(|it| it.from < day && day <= it.to) else { return };
        if !week_days(sheet.chosen.days_a_week).contains(&on.weekday()) || self.rng.f64() > 0.8 {
            return;
        }
        let rng = &mut self.rng;
        let source = if rng.f64() < 0.8 { DiarySource::Page } else { DiarySource::Paper };
        let mut diary = Diary::new(on, source);
        diary.version = sheet.version;
        let times = sheet.chosen.times_a_day;
        diary.done = sheet
            .chosen
            .amounts
            .iter()
            .map(|(exercise, sets, reps)| {
                let sets = if rng.f64() < 0.1 { 0 } else { sets * times };
                DiaryDone { exercise: exercise.clone(), sets, reps: sets * reps }
            })
            .collect();
        let before = pain(day as i32, Pace(1.0), rng);
        diary.pain_before = Some(before);
        diary.pain_during = Some((before + rng.u8(0..=1)).min(10));
        diary.pain_after = Some((before + u8::from(rng.f64() < 0.05) * 2).min(10));
        diary.morning = Some(if rng.f64() < 0.04 { Morning::Worse } else { Morning::Usual });
        diary.swelling = Some(if rng.f64() < 0.03 { Swelling::More } else { Swelling::Same });
        if rng.f64() < 0.1 {
            diary.note = Some(one(rng, patients("en").notes));
        }
        if rng.f64() < 0.002 {
            let urgency = if rng.f64() < 0.2 { SignUrgency::Emergency } else { SignUrgency::SameDay };
            let says = if urgency == SignUrgency::Emergency {
                patients("en").emergency
            } else {
                patients("en").same_day
            };
            diary.signs.push(Sign { urgency, says: says.into() });
            self.sign(on, diary);
            return;
        }
        let (hour, minute) = (rng.i8(18..22), rng.i8(0..60));
        self.write(on, hour, minute, Fact::Diary(diary));
    }

    /// Most signs are answered by a call the same evening.
    fn sign(&mut self, on: Date, diary: Diary) {
        let by = Who::Patient;
        let key = self.drafts.add(on, on.at(20, 0, 0, 0), by, Fact::Diary(diary));
        if self.rng.f64() < 0.3 {
            return;
        }
        let contact = Contact {
            on,
            about: 0,
            told: "patient".into(),
            how: "by phone".into(),
            outcome: "told whom to call; the surgeon's office was told (invented)".into(),
            by: staff::signature(staff::LEAD),
        };
        let call = self.drafts.add(on, on.at(20, 20, 0, 0), Who::Person(staff::LEAD), Fact::Contact(contact));
        self.drafts.about(call, key);
    }

    fn visit(&mut self, on: Date, day: i64) {
        if day < 1 {
            return;
        }
        let timed_minutes = 5 * self.rng.u32(5..=9);
        let visit = Visit {
            on,
            timed_minutes,
            minutes: timed_minutes + 10,
            says: one(&mut self.rng, texts::VISITS),
            teach_back: Some(true),
            by: staff::signature(0),
        };
        self.write(on, 10, 0, Fact::Visit(visit));
        let report = Report { to: "payer".into(), kind: "progress report".into(), by: staff::signature(0) };
        if self.rng.f64() < 0.15 {
            self.write(on, 10, 10, Fact::Report(report));
        }
    }

    fn measures(&mut self, on: Date, day: i64) {
        let it = self.it;
        for name in &it.names {
            let taken = take_up_to(name, &it.protocol, day as i32, f64::INFINITY, Pace(1.0), &mut self.rng);
            let Some(taken) = taken.filter(|_| day > 0) else { continue };
            let paired = taken.other.is_some() || taken.drive.is_some();
            let sides =
                [(paired.then_some(it.side), Some(taken.operated)), (Some(it.side.other()), taken.other)];
            for (side, value) in sides {
                let Some(value) = value else { continue };
                let measure = Measure {
                    on,
                    what: name.clone(),
                    side,
                    value,
                    unit: quantity(name).map_or("", |it| it.unit).into(),
                    drive: taken.drive,
                    method: taken.method.map(String::from),
                    by: staff::signature(0),
                };
                self.write(on, 10, 20, Fact::Measure(measure));
            }
        }
    }

    /// A message that waits, or the end; as long as there is room.
    fn endings(&mut self, room: usize) {
        let yesterday = days_after(self.today, -1);
        if room == 0 {
            return;
        }
        match self.rng.u8(0..100) {
            0..8 => {
                let says = patients("en").waiting.into();
                let message = Message { from: MessageFrom::Patient, says, by: "patient".into() };
                self.write(yesterday, 21, 58, Fact::Message(message));
            }
            8..20 => {
                let reason = "discharged: goes on alone with the last sheet".into();
                self.write(yesterday, 21, 59, Fact::Closed(Closed { reason, by: staff::signature(0) }));
            }
            _ => {}
        }
    }
}
