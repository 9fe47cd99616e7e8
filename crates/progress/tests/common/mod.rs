//! Invented episodes, built entry by entry.
#![allow(dead_code)] // each test file and the bench use a part of it

use std::collections::BTreeMap;
use std::sync::LazyLock;

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Drive, Person, SegmentTable, Sex, Side};
use handrail_episode::*;
use handrail_library::Library;
use handrail_motion::Parameters;
use handrail_progress::{Attention, attention};
use handrail_protocol::{Act, ActKind, Confirmation, Protocol, envelope};
use jiff::civil::{Date, date};

pub static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().unwrap_or_else(|problems| panic!("{problems}")));

/// Day of surgery of all invented episodes: a Monday.
pub const SURGERY: Date = date(2026, 11, 2);

pub fn day(n: i64) -> Date {
    SURGERY.saturating_add(jiff::Span::new().days(n))
}

/// An episode under construction.
#[derive(Clone)]
pub struct Case {
    pub protocol: &'static Protocol,
    pub entries: Vec<Entry>,
}

/// Short enough to read in a failure: the protocol and what came after the first facts.
impl std::fmt::Debug for Case {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        writeln!(f, "{} {:?}", self.protocol.id, self.episode().operation.variants)?;
        for it in self.entries.iter().skip(5).filter(|it| !matches!(it.fact, Fact::Confirmation(_))) {
            writeln!(f, "{} {} {:?}", it.number, it.on, it.fact)?;
        }
        Ok(())
    }
}

impl Case {
    /// Patient, clinic, body, home and operation; nothing else.
    pub fn bare(protocol: &str, variants: &[(&str, &str)]) -> Case {
        let mut case = Case { protocol: &LIBRARY.protocols[protocol], entries: Vec::new() };
        case.add(
            0,
            Fact::Patient(Patient {
                name: "Marta Okonjo".into(),
                language: "en".into(),
                born: Some(date(1971, 5, 30)),
                record: Some("M-1042".into()),
                helper: None,
            }),
        );
        case.add(
            0,
            Fact::Clinic(Clinic {
                name: "Lindenhof Physical Therapy".into(),
                therapist: "Ines Brandvold, PT".into(),
                phone: "555-0134".into(),
                out_of_hours: "555-0188".into(),
                emergency: "911".into(),
            }),
        );
        let person =
            Person { stature: 1.68, mass: 71.0, sex: Sex::Female, measured: MeasuredLengths::default() };
        case.add(0, Fact::Body(person, SegmentTable::Winter));
        case.add(
            0,
            Fact::Home(HomeFacts {
                seat_height: Some(0.45),
                bed_height: None,
                table_height: None,
                step_height: None,
                equipment: None,
                stairs: Some(0),
            }),
        );
        case.add(0, Fact::Operation(case.operation(None, variants)));
        case
    }

    pub fn operation(&self, next_visit: Option<i64>, variants: &[(&str, &str)]) -> Operation {
        Operation {
            protocol: self.protocol.id.clone(),
            side: Side::Left,
            surgery: SURGERY,
            surgeon: "Dr. Teodor Aspinall".into(),
            next_visit: next_visit.map(day),
            variants: variants.iter().map(|(a, b)| (a.to_string(), b.to_string())).collect(),
        }
    }

    /// A knee with all questions answered.
    pub fn knee() -> Case {
        let answers: Vec<(String, String)> = LIBRARY.protocols["acl-reconstruction"]
            .variants
            .iter()
            .map(|it| (it.name.clone(), it.choices[0].clone()))
            .collect();
        let answers: Vec<(&str, &str)> = answers.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
        Case::bare("acl-reconstruction", &answers)
    }

    /// The same with all that the protocol assumes confirmed, a program, and its sheet in the patient's hands.
    pub fn knee_at_home() -> Case {
        let mut case = Case::knee().all_confirmed(1);
        case.program(1, 2, 7).issued(1, 2, 15);
        case
    }

    pub fn all_confirmed(mut self, on: i64) -> Case {
        let ids: Vec<String> = self.protocol.restrictions.iter().map(|it| it.id.clone()).collect();
        for restriction in ids {
            let (by, document) = ("Dr. Teodor Aspinall".to_string(), "operation note".to_string());
            self.add(on, Fact::Confirmation(Confirmation { restriction, by, on: day(on), document }));
        }
        self
    }

    /// Adds a fact and returns the number of its entry.
    pub fn add(&mut self, on: i64, fact: Fact) -> u64 {
        let number = self.entries.len() as u64 + 1;
        self.entries.push(Entry { number, on: day(on), fact, supersedes: None });
        number
    }

    pub fn program(&mut self, version: u32, on: i64, days_a_week: u32) -> &mut Case {
        let line = |exercise: &str| Prescription {
            exercise: exercise.into(),
            side: Side::Left,
            sets: Some(2),
            reps: Some(10),
            seconds: None,
            rest: None,
            parameters: Parameters::default(),
        };
        self.add(
            on,
            Fact::Program(Program {
                version,
                issued: day(on),
                by: "Ines Brandvold, PT".into(),
                signed_by: Some("Ines Brandvold, PT".into()),
                valid_until: None,
                times_a_day: Some(1),
                days_a_week: Some(days_a_week),
                exercises: vec![line("quad-set"), line("heel-slide-supine")],
            }),
        );
        self
    }

    pub fn issued(&mut self, version: u32, on: i64, valid_until: i64) -> u64 {
        self.add(
            on,
            Fact::Issued(Issued {
                version,
                medium: Medium::Paper,
                language: "en".into(),
                valid_until: day(valid_until),
                by: "Ines Brandvold, PT".into(),
            }),
        )
    }

    pub fn diary(&mut self, on: i64, change: impl FnOnce(&mut Diary)) -> u64 {
        let mut diary = Diary::new(day(on), DiarySource::Page);
        diary.version = 1;
        diary.done = ["quad-set", "heel-slide-supine"]
            .map(|it| DiaryDone { exercise: it.into(), sets: 2, reps: 20 })
            .into();
        change(&mut diary);
        self.add(on, Fact::Diary(diary))
    }

    pub fn contact(&mut self, on: i64, about: u64) -> u64 {
        self.add(
            on,
            Fact::Contact(Contact {
                on: day(on),
                about,
                told: "Dr. Teodor Aspinall".into(),
                how: "phone".into(),
                outcome: "seen the same day".into(),
                by: "Ines Brandvold, PT".into(),
            }),
        )
    }

    pub fn visit(&mut self, on: i64) -> u64 {
        self.add(
            on,
            Fact::Visit(Visit {
                on: day(on),
                timed_minutes: 38,
                minutes: 45,
                says: "range, gait".into(),
                teach_back: Some(true),
                by: "Ines Brandvold, PT".into(),
            }),
        )
    }

    pub fn decision(&mut self, on: i64, kind: DecisionKind, criteria: &[&str]) -> u64 {
        self.add(
            on,
            Fact::Decision(Decision {
                on: day(on),
                kind,
                criteria: criteria.iter().map(|it| it.to_string()).collect(),
                by: "Ines Brandvold, PT".into(),
                reason: "looked at".into(),
            }),
        )
    }

    pub fn begin_phase(&mut self, on: i64, phase: &str) -> u64 {
        let kind = ActKind::BeginPhase { phase: phase.into() };
        self.add(on, Fact::Act(act(on, kind)))
    }

    pub fn release(&mut self, on: i64, restriction: &str) -> u64 {
        let kind = ActKind::Release { restriction: restriction.into() };
        self.add(on, Fact::Act(act(on, kind)))
    }

    pub fn measure(&mut self, on: i64, what: &str, side: Option<Side>, value: f64, unit: &str) -> u64 {
        let drive = if what.ends_with("_passive") { Some(Drive::Passive) } else { None };
        self.add(
            on,
            Fact::Measure(Measure {
                on: day(on),
                what: what.into(),
                side,
                value,
                unit: unit.into(),
                drive,
                method: Some("goniometer, lying".into()),
                by: "Ines Brandvold, PT".into(),
            }),
        )
    }

    pub fn message(&mut self, on: i64, from: MessageFrom) -> u64 {
        let by = if from == MessageFrom::Patient { "Marta Okonjo" } else { "Ines Brandvold, PT" };
        self.add(on, Fact::Message(Message { from, says: "a question".into(), by: by.into() }))
    }

    pub fn report(&mut self, on: i64, kind: &str, to: &str) -> u64 {
        let by = "Ines Brandvold, PT".into();
        self.add(on, Fact::Report(Report { to: to.into(), kind: kind.into(), by }))
    }

    pub fn episode(&self) -> Episode {
        fold("test", &self.entries).unwrap_or_else(|it| panic!("{it:?}"))
    }

    /// Windows made on a day.
    pub fn windows(&self, from: i64) -> Vec<Attention> {
        attention(&self.episode(), self.protocol, day(from))
    }

    /// What holds on a day, made on that day.
    pub fn on(&self, on: i64) -> Vec<Attention> {
        self.windows(on).into_iter().filter(|it| it.holds_on(day(on))).collect()
    }

    /// Names of the reasons that hold on a day, without repetition.
    pub fn reasons(&self, on: i64) -> Vec<&'static str> {
        let mut out: Vec<&'static str> = self.on(on).iter().map(|it| it.reason.id()).collect();
        out.dedup();
        out
    }

    pub fn has(&self, on: i64, reason: &str) -> bool {
        self.reasons(on).contains(&reason)
    }

    pub fn phase_of_envelope(&self, on: i64) -> usize {
        envelope(self.protocol, &self.episode().orders, day(on)).expect("envelope").phase.index
    }
}

pub fn act(on: i64, kind: ActKind) -> Act {
    Act {
        kind,
        by: "Ines Brandvold, PT".into(),
        on: day(on),
        document: None,
        reason: Some("looked at".into()),
    }
}

pub fn sign(urgency: SignUrgency) -> Sign {
    Sign { urgency, says: "One calf is newly swollen.".into() }
}

/// An episode of a hundred and twenty days with about 200 entries: diaries almost daily, visits, measures, acts.
pub fn long_case(protocol: &str) -> Case {
    let answers: Vec<(String, String)> = LIBRARY.protocols[protocol]
        .variants
        .iter()
        .map(|it| (it.name.clone(), it.choices[0].clone()))
        .collect();
    let answers: Vec<(&str, &str)> = answers.iter().map(|(a, b)| (a.as_str(), b.as_str())).collect();
    let mut case = Case::bare(protocol, &answers);
    case = case.all_confirmed(1);
    let phases: Vec<String> = case.protocol.phases.iter().map(|it| it.id.clone()).collect();
    for n in 2..120 {
        if n % 14 == 2 {
            let version = (n / 14 + 1) as u32;
            case.program(version, n, 6).issued(version, n, n + 13);
        }
        if n % 5 != 0 {
            case.diary(n, |it| it.pain_during = Some((n % 8) as u8));
        }
        if n % 7 == 3 {
            case.visit(n);
            case.measure(n, "knee_flexion", Some(Side::Left), 60.0 + n as f64 / 2.0, "deg");
            case.measure(n, "pain", None, 2.0, "/10");
        }
        if n == 21 || n == 50 {
            case.begin_phase(n, &phases[if n == 21 { 1 } else { 2 }]);
        }
    }
    case
}

pub fn reasons_by_day(windows: &[Attention], on: Date) -> BTreeMap<&'static str, usize> {
    let mut out = BTreeMap::new();
    for it in windows.iter().filter(|it| it.holds_on(on)) {
        *out.entry(it.reason.id()).or_default() += 1;
    }
    out
}
