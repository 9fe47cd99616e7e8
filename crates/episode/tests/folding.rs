//! An episode is a fold over its entries: earlier days can be made again, later facts take their place; and
//! until when a program is valid.

mod common;

use common::*;
use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Drive, Person, SegmentTable, Sex, Side};
use handrail_episode::fold::as_of;
use handrail_episode::{
    Clinic, Diary, DiaryDone, DiarySource, Entry, Fact, HomeFacts, Measure, Operation, Patient, PlanError,
    Program, Withdrawn, fold, plan,
};
use handrail_protocol::{Act, ActKind};
use jiff::civil::Date;

fn operation(next_visit: Option<&str>) -> Operation {
    Operation {
        protocol: "achilles-repair".into(),
        side: Side::Left,
        surgery: date("2026-11-06"),
        surgeon: "Dr. Sample".into(),
        next_visit: next_visit.map(date),
        variants: Default::default(),
    }
}

fn home(seat_height: Option<f64>) -> HomeFacts {
    HomeFacts {
        seat_height,
        bed_height: None,
        table_height: None,
        step_height: None,
        equipment: None,
        stairs: None,
    }
}

fn program(version: u32, issued: &str) -> Program {
    Program {
        version,
        issued: date(issued),
        by: "I. Brandvold, PT".into(),
        signed_by: None,
        valid_until: None,
        times_a_day: None,
        days_a_week: None,
        exercises: Vec::new(),
    }
}

fn entry(on: &str, fact: Fact) -> Entry {
    Entry { number: 0, on: date(on), fact, supersedes: None }
}

fn facts() -> Vec<Entry> {
    let clinic = Clinic {
        name: "Lindenhof".into(),
        therapist: "I. Brandvold, PT".into(),
        phone: "555-0134".into(),
        out_of_hours: "555-0188".into(),
        emergency: "911".into(),
    };
    let person = Person { stature: 1.68, mass: 71.0, sex: Sex::Female, measured: MeasuredLengths::default() };
    vec![
        entry(
            "2026-11-06",
            Fact::Patient(Patient {
                name: "Marta Okonjo".into(),
                language: "en".into(),
                born: None,
                record: None,
                helper: None,
            }),
        ),
        entry("2026-11-06", Fact::Clinic(clinic)),
        entry("2026-11-06", Fact::Body(person, SegmentTable::Winter)),
        entry("2026-11-06", Fact::Home(home(None))),
        entry("2026-11-06", Fact::Operation(operation(None))),
    ]
}

#[test]
fn later_entries_of_one_kind_take_the_place_of_earlier_ones() {
    let mut entries = facts();
    entries.push(entry("2026-11-10", Fact::Home(home(Some(0.43)))));
    entries.push(entry("2026-11-20", Fact::Operation(operation(Some("2026-12-04")))));
    let now = fold("test", &entries).unwrap();
    assert_eq!((now.home.seat_height, now.operation.next_visit), (Some(0.43), Some(date("2026-12-04"))));
    // Seen from an earlier day, the later facts were not known yet.
    let then = fold("test", &as_of(&entries, date("2026-11-12"))).unwrap();
    assert_eq!((then.home.seat_height, then.operation.next_visit), (Some(0.43), None));
    let first = fold("test", &as_of(&entries, date("2026-11-09"))).unwrap();
    assert_eq!(first.home.seat_height, None);
}

#[test]
fn as_of_includes_its_own_day_and_keeps_the_order() {
    let mut entries = facts();
    entries.push(entry("2026-11-10", Fact::Home(home(Some(0.43)))));
    assert_eq!(as_of(&entries, date("2026-11-10")).len(), 6);
    assert_eq!(as_of(&entries, date("2026-11-09")).len(), 5);
    assert_eq!(as_of(&entries, date("2026-11-05")).len(), 0);
    assert_eq!(as_of(&entries, date("2030-01-01")), entries);
}

#[test]
fn programs_and_acts_add_up() {
    let mut entries = facts();
    let begin = Act {
        kind: ActKind::BeginPhase { phase: "motion".into() },
        by: "I. Brandvold, PT".into(),
        on: date("2026-11-21"),
        document: None,
        reason: Some("planned".into()),
    };
    entries.push(entry("2026-12-05", Fact::Program(program(2, "2026-12-05"))));
    entries.push(entry("2026-11-21", Fact::Act(begin)));
    entries.push(entry("2026-11-21", Fact::Program(program(1, "2026-11-21"))));
    let episode = fold("test", &entries).unwrap();
    let versions: Vec<u32> = episode.programs.iter().map(|it| it.version).collect();
    assert_eq!((versions, episode.orders.acts.len()), (vec![1, 2], 1));
    let on = |text: &str| episode.program_on(date(text)).map(|it| it.version);
    assert_eq!(
        [on("2026-11-20"), on("2026-11-21"), on("2026-12-04"), on("2026-12-05")],
        [None, Some(1), Some(1), Some(2)]
    );
}

#[test]
fn the_fold_of_the_file_is_the_same_every_time() {
    assert_eq!(read(FILE).unwrap(), read(FILE).unwrap());
}

#[test]
fn without_the_first_facts_there_is_no_episode() {
    let missing = fold("test", &[] as &[Entry]).unwrap_err();
    assert_eq!(missing.0, ["patient", "clinic", "body", "home", "operation"]);
    let entries: Vec<Entry> = facts().into_iter().filter(|it| !matches!(it.fact, Fact::Body(..))).collect();
    assert_eq!(fold("test", &entries).unwrap_err().0, ["body"]);
}

// ---------------------------------------------------------------- valid until

fn valid(next_visit: Option<&str>, on: &str, set: Option<&str>) -> Date {
    let mut entries = facts();
    entries.push(entry("2026-11-06", Fact::Operation(operation(next_visit))));
    fold("test", &entries).unwrap().valid_until(date(on), set.map(date))
}

#[test]
fn a_program_is_valid_for_fourteen_days_counted_with_the_first() {
    assert_eq!(valid(None, "2026-11-25", None), date("2026-12-08"));
}

#[test]
fn it_ends_the_day_before_the_next_visit() {
    assert_eq!(valid(Some("2026-12-04"), "2026-11-25", None), date("2026-12-03"));
    // A later visit does not lengthen it.
    assert_eq!(valid(Some("2026-12-31"), "2026-11-25", None), date("2026-12-08"));
    // A visit that is over says nothing any more.
    assert_eq!(valid(Some("2026-11-20"), "2026-11-25", None), date("2026-12-08"));
    // On the day before the visit it is valid for that day.
    assert_eq!(valid(Some("2026-11-26"), "2026-11-25", None), date("2026-11-25"));
}

#[test]
fn a_day_that_was_set_holds_but_not_past_the_visit() {
    assert_eq!(valid(None, "2026-11-25", Some("2026-11-30")), date("2026-11-30"));
    assert_eq!(valid(Some("2026-12-04"), "2026-11-25", Some("2026-12-20")), date("2026-12-03"));
    assert_eq!(valid(Some("2026-12-04"), "2026-11-25", Some("2026-12-01")), date("2026-12-01"));
}

#[test]
fn a_day_that_was_set_does_not_outlast_fourteen_days() {
    assert_eq!(valid(None, "2026-11-25", Some("2027-03-01")), date("2026-12-08"));
}

// ---------------------------------------------------------------- plans

#[test]
fn a_day_before_the_surgery_has_no_plan() {
    let episode = read(FILE).unwrap();
    let protocol = &LIBRARY.protocols["achilles-repair"];
    let error = plan(&episode, protocol, &LIBRARY.exercises, date("2026-11-05")).unwrap_err();
    assert!(matches!(error, PlanError::Envelope(_)), "{error}");
    assert!(error.to_string().contains("before the surgery"), "{error}");
}

#[test]
fn before_the_program_is_issued_there_is_no_session() {
    let episode = read(FILE).unwrap();
    let protocol = &LIBRARY.protocols["achilles-repair"];
    let plan = plan(&episode, protocol, &LIBRARY.exercises, date("2026-11-20")).unwrap();
    assert!(plan.program.is_none());
    assert!(
        matches!(plan.session(&LIBRARY.postures), Err(PlanError::NoProgram(on)) if on == date("2026-11-20"))
    );
}

#[test]
fn an_expired_program_is_not_handed_out_again() {
    let text =
        FILE.replace("issued = \"2026-11-21\"", "issued = \"2026-11-21\"\nvalid_until = \"2026-11-24\"");
    let episode = read(&text).unwrap();
    let protocol = &LIBRARY.protocols["achilles-repair"];
    let on = |day: &str| {
        plan(&episode, protocol, &LIBRARY.exercises, date(day)).unwrap().session(&LIBRARY.postures)
    };
    assert!(on("2026-11-24").is_ok());
    match on("2026-11-25") {
        Err(PlanError::Expired(until)) => assert_eq!(until, date("2026-11-24")),
        other => panic!("{:?}", other.map(|it| it.seconds)),
    }
}

#[test]
fn a_refused_exercise_stops_the_whole_session() {
    let text = FILE.replace("\"side-lying-clam\"", "\"heel-raise-wall\"");
    let episode = read(&text).unwrap();
    let protocol = &LIBRARY.protocols["achilles-repair"];
    let plan = plan(&episode, protocol, &LIBRARY.exercises, date("2026-11-25")).unwrap();
    assert_eq!(plan.refused().len(), 1);
    match plan.session(&LIBRARY.postures) {
        Err(PlanError::Refused(names)) => assert_eq!(names, ["heel-raise-wall"]),
        other => panic!("{:?}", other.map(|it| it.seconds)),
    }
}

#[test]
fn a_dose_over_the_ceiling_stops_the_session() {
    let text = FILE.replace("id = \"side-lying-clam\"", "id = \"side-lying-clam\"\nreps = 40");
    let episode = read(&text).unwrap();
    let protocol = &LIBRARY.protocols["achilles-repair"];
    let plan = plan(&episode, protocol, &LIBRARY.exercises, date("2026-11-25")).unwrap();
    match plan.session(&LIBRARY.postures) {
        Err(PlanError::OverCeiling(list)) => {
            assert_eq!(
                (list[0].0.as_str(), list[0].1.what, list[0].1.asked),
                ("side-lying-clam", "reps", 40)
            );
        }
        other => panic!("{:?}", other.map(|it| it.seconds)),
    }
}

#[test]
fn an_override_on_record_waives_no_order_of_the_surgeon() {
    let order = |limit: &str| {
        format!(
            "\n[[order]]\nid = \"extra\"\nby = \"Dr. Sample\"\non = \"2026-11-20\"\ndocument = \"letter\"\n\
             from = \"2026-11-20\"\n{limit}\n\n[[waiver]]\nexercise = \"side-lying-clam\"\nrestriction = \"extra\"\n\
             by = \"I. B.\"\non = \"2026-11-21\"\nreason = \"lies so already\"\n"
        )
    };
    let kind = |limit: &str| {
        let episode =
            read(&format!("{FILE}{}", order(limit))).unwrap_or_else(|problems| panic!("{problems}"));
        let protocol = &LIBRARY.protocols["achilles-repair"];
        let plan = plan(&episode, protocol, &LIBRARY.exercises, date("2026-11-25")).unwrap();
        (plan.lines[0].verdict.kind.id(), plan.lines[0].verdict.waived.len())
    };
    // What the surgeon ordered for this patient is not a therapist's to waive, a position neither.
    assert_eq!(kind("position = \"side_lying_operated_up\""), ("refused", 0));
    assert_eq!(kind("muscle = { names = [\"gluteus_medius\"] }"), ("refused", 0));
}

#[test]
fn equipment_that_is_not_at_home_is_named() {
    let text = FILE.replace("\"side-lying-clam\"", "\"band-inversion\"");
    let episode = read(&text).unwrap();
    let protocol = &LIBRARY.protocols["achilles-repair"];
    let plan = plan(&episode, protocol, &LIBRARY.exercises, date("2026-11-25")).unwrap();
    assert_eq!(plan.lines[0].missing_equipment, ["band", "pillow"]);
    // Nobody asked: nothing is said to be missing.
    let unasked = read(&text.replace("equipment = [\"chair\", \"bed\", \"towel\"]\n", "")).unwrap();
    let plan = handrail_episode::plan(&unasked, protocol, &LIBRARY.exercises, date("2026-11-25")).unwrap();
    assert!(plan.lines[0].missing_equipment.is_empty());
}

#[test]
fn a_superseded_entry_no_longer_counts_and_a_withdrawn_one_is_gone() {
    let measure = |value: f64| Measure {
        on: date("2026-11-20"),
        what: "ankle_dorsiflexion_active".into(),
        side: Some(Side::Left),
        value,
        unit: "deg".into(),
        drive: Some(Drive::Active),
        method: Some("goniometer, sitting".into()),
        by: "I. Brandvold, PT".into(),
    };
    let number = |number, supersedes, fact| Entry { number, on: date("2026-11-20"), fact, supersedes };
    let mut entries = facts();
    entries.push(number(6, None, Fact::Measure(measure(-10.0))));
    entries.push(number(7, Some(6), Fact::Measure(measure(-1.0))));
    let values = |entries: &[Entry]| -> Vec<f64> {
        fold("a", entries).expect("whole").course.measures.iter().map(|it| it.fact.value).collect()
    };
    assert_eq!(values(&entries), [-1.0]);
    let withdrawn = Withdrawn { reason: "wrong patient".into(), by: "I. Brandvold, PT".into() };
    entries.push(number(8, Some(7), Fact::Withdrawn(withdrawn)));
    assert_eq!(values(&entries), [0.0; 0]);
}

#[test]
fn what_a_diary_counts_is_done() {
    let mut diary = Diary::new(date("2026-11-21"), DiarySource::Page);
    diary.done = vec![
        DiaryDone { exercise: "seated-heel-slide".into(), sets: 2, reps: 20 },
        DiaryDone { exercise: "side-lying-clam".into(), sets: 0, reps: 0 },
    ];
    let mut entries = facts();
    entries.push(entry("2026-11-21", Fact::Diary(diary)));
    let done = fold("a", &entries).expect("whole").done;
    assert_eq!(done.len(), 1, "an exercise that was not done adds nothing");
    assert_eq!((done[0].reps, done[0].from.as_str()), (20, "diary (page)"));
}
