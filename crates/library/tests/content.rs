//! The built-in content as a whole: no problems, nothing that leads nowhere, and every exercise with every
//! fault can be solved on three bodies with either side working.

use std::sync::LazyLock;

use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, LoadUnit, Person, SegmentTable, Sex, Side, Tissue};
use handrail_library::{Library, Texts};
use handrail_motion::{Home, Parameters, Published, solve};
use handrail_spans::SourceText;

static LIBRARY: LazyLock<Library> =
    LazyLock::new(|| Library::built_in().unwrap_or_else(|problems| panic!("{problems}")));

fn bodies() -> Vec<Body> {
    [(1.54, 55.0, Sex::Female), (1.70, 75.0, Sex::Male), (1.90, 98.0, Sex::Male)]
        .into_iter()
        .map(|(stature, mass, sex)| {
            let person = Person { stature, mass, sex, measured: MeasuredLengths::default() };
            Body::new(person, SegmentTable::Winter).unwrap()
        })
        .collect()
}

#[test]
fn the_built_in_content_has_no_problems() {
    let texts = Texts::built_in();
    assert!(texts.exercises.len() > 80 && texts.postures.len() > 25 && texts.protocols.len() >= 3);
    let library = texts.check().unwrap_or_else(|problems| panic!("{problems}"));
    let dangling = library.dangling(&texts);
    assert!(dangling.0.is_empty(), "{dangling}");
    assert_eq!(library.exercises.len(), texts.exercises.len());
    assert_eq!(library.postures.len(), texts.postures.len());
    assert_eq!(library.protocols.len(), texts.protocols.len());
}

#[test]
fn every_exercise_with_all_its_faults_solves_on_three_bodies_and_both_sides() {
    let mut failed = Vec::new();
    let mut faults = 0;
    for body in bodies() {
        let home = Home::usual(body.stature());
        for motion in LIBRARY.exercises.values() {
            for side in Side::BOTH {
                let place = format!("{} ({}) on {} m", motion.id, side.word(), body.stature());
                match solve(motion, &motion.core, &body, &home, side, &Parameters::new()) {
                    Ok(it) => assert!(it.samples.len() >= 60, "{place}: {} samples", it.samples.len()),
                    Err(error) => failed.push(format!("{place}: {error}")),
                }
                for fault in &motion.faults {
                    faults += 1;
                    if let Err(error) = solve(motion, &fault.core, &body, &home, side, &fault.parameters) {
                        failed.push(format!("{place}, fault {}: {error}", fault.id));
                    }
                }
            }
        }
    }
    assert!(faults > 500, "{faults}");
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Whatever the parameter is turned to inside its range, a middle-sized body can do it.
#[test]
fn every_parameter_can_be_turned_through_its_range() {
    let body = &bodies()[1];
    let home = Home::usual(body.stature());
    let mut failed = Vec::new();
    for motion in LIBRARY.exercises.values() {
        for parameter in &motion.parameters {
            for value in [parameter.low, parameter.high] {
                let set = Parameters::from([(parameter.name.clone(), value)]);
                if let Err(error) = solve(motion, &motion.core, body, &home, Side::Right, &set) {
                    failed.push(format!("{} with {} = {value}: {error}", motion.id, parameter.name));
                }
            }
        }
    }
    assert!(failed.is_empty(), "{}", failed.join("\n"));
}

/// Published orders of load contradict neither each other nor themselves, tissue by tissue.
#[test]
fn published_orders_run_in_no_circle() {
    let mut orders = 0;
    for &tissue in Tissue::ALL {
        // From the exercise that loads less to the one that loads more.
        let mut steps: Vec<(&str, &str)> = Vec::new();
        for motion in LIBRARY.exercises.values() {
            for row in motion.measured.iter().filter(|it| it.tissue == tissue) {
                if let Published::Order { above, below } = &row.load {
                    steps.extend(above.iter().map(|it| (it.as_str(), motion.id.as_str())));
                    steps.extend(below.iter().map(|it| (motion.id.as_str(), it.as_str())));
                }
            }
        }
        orders += steps.len();
        // Whatever nothing is below can be taken away; what stays runs in a circle.
        while !steps.is_empty() {
            let before = steps.len();
            let reached: Vec<&str> = steps.iter().map(|it| it.1).collect();
            steps.retain(|it| reached.contains(&it.0));
            assert!(steps.len() < before, "{}: {steps:?}", tissue.id());
        }
    }
    assert!(orders >= 8, "{orders}");
}

/// A published figure stands for the load of its unit: strain of a ligament of a few percent, activity within
/// a maximal contraction, force of a tendon or joint below what was ever measured in people.
#[test]
fn published_loads_are_of_their_unit() {
    let mut figures = 0;
    for motion in LIBRARY.exercises.values() {
        for row in &motion.measured {
            let Some(interval) = row.interval() else { continue };
            figures += 1;
            let most = match row.tissue.unit() {
                LoadUnit::BodyWeights => 10.1,
                LoadUnit::PercentStrain => 5.0,
                LoadUnit::PercentMvic => 100.0,
            };
            assert!(interval.high <= most, "{}: {row:?}", motion.id);
            assert!(row.source.len() > 20, "{}: {row:?}", motion.id);
        }
    }
    assert!(figures >= 25, "{figures}");
}

fn changed(folder: &str, id: &str, from: &str, to: &str) -> (Texts, usize) {
    let mut texts = Texts::built_in();
    let list = if folder == "exercises" { &mut texts.exercises } else { &mut texts.protocols };
    let file = format!("/{id}.toml");
    let text = list.iter_mut().find(|it| it.name.ends_with(&file)).unwrap();
    let at = text.text.find(from).unwrap_or_else(|| panic!("{from} is not in {id}"));
    let line = text.line_column(at).0;
    *text = SourceText::new(text.name.clone(), text.text.replacen(from, to, 1));
    (texts, line)
}

#[test]
fn a_file_whose_name_is_not_its_id_is_reported() {
    let (texts, line) = changed("exercises", "bridge", "id = \"bridge\"", "id = \"brigde\"");
    let problems = texts.check().unwrap_err();
    assert_eq!(problems.0.len(), 1, "{problems}");
    assert_eq!((problems.0[0].line, problems.0[0].field.as_str()), (line, "id"));
    assert!(problems.0[0].file.ends_with("exercises/bridge.toml"));
}

#[test]
fn names_that_lead_nowhere_are_reported_with_their_line() {
    let cases = [
        ("exercises", "step-up", "\"mini-squat\"", "\"minisquat\"", "measured"),
        ("exercises", "bridge", "\"hip_extensors\"", "\"hip_stretchers\"", "trains"),
        ("protocols", "achilles-repair", "\"toe-wiggle\"", "\"toe-wigle\"", "exercises"),
    ];
    for (folder, id, from, to, field) in cases {
        let (texts, line) = changed(folder, id, from, to);
        let library = texts.check().unwrap_or_else(|problems| panic!("{problems}"));
        let problems = library.dangling(&texts);
        assert_eq!(problems.0.len(), 1, "{problems}");
        assert_eq!((problems.0[0].line, problems.0[0].field.as_str()), (line, field));
    }
}

#[test]
fn problems_of_all_files_are_reported_in_one_run() {
    let (mut texts, _) = changed("exercises", "bridge", "region = \"hip\"", "region = \"hipp\"");
    let other = texts.exercises.iter_mut().find(|it| it.name.ends_with("/clam-lifted.toml")).unwrap();
    *other = SourceText::new(other.name.clone(), format!("{}\nspeed = 3\n", other.text));
    let problems = texts.check().unwrap_err();
    let files: Vec<&str> = problems.0.iter().map(|it| it.file.rsplit('/').next().unwrap()).collect();
    assert_eq!(files, ["bridge.toml", "clam-lifted.toml"], "{problems}");
}
