//! The loads of the therapist's page, of whole invented episodes.

#![allow(missing_docs)]

mod sample;

use handrail_anatomy::{Coord, Dof};
use handrail_episode::{Content, Episode, Plan, plan, read_episode};
use handrail_library::Library;
use handrail_motion::Load;
use handrail_motion::load::tissue_load;
use handrail_papers::{Handout, LoadRow, Loads, Paper, Picture, Print, compose, page_count};
use handrail_program::Session;
use handrail_spans::SourceText;
use handrail_words::{Lang, Words};
use jiff::civil::date;
use sample::Language;

const EPISODES: [(&str, &str); 2] = [
    ("achilles", include_str!("../../../content/demo/achilles.toml")),
    ("acl", include_str!("../../../content/demo/acl.toml")),
];

fn episode(library: &Library, name: &str, text: &str) -> Episode {
    let content =
        Content { protocols: &library.protocols, exercises: &library.exercises, languages: &["en", "es"] };
    read_episode(&SourceText::new(name, text), content).unwrap_or_else(|it| panic!("{it}"))
}

/// Hands each episode in each language to a test.
fn each(test: impl Fn(&str, &Plan<'_>, &Session, &Words, &Handout)) {
    let library = Library::built_in().unwrap_or_else(|it| panic!("{it}"));
    for (name, text) in EPISODES {
        let episode = episode(&library, name, text);
        let protocol = &library.protocols[&episode.operation.protocol];
        let plan = plan(&episode, protocol, &library.exercises, date(2026, 11, 25)).unwrap();
        let session = plan.session(&library.postures).unwrap();
        let ladder = plan.protected_tissues().first().map(|&it| plan.ladder(&library.exercises, it));
        for lang in Lang::ALL {
            let words = Words::load(lang).unwrap_or_else(|it| panic!("{it}"));
            let handout = compose(&plan, &session, ladder.as_ref(), &words, Paper::Letter, Print::Normal);
            test(&format!("{name} {}", lang.id()), &plan, &session, &words, &handout);
        }
    }
}

fn row_text(row: &LoadRow) -> &str {
    match row {
        LoadRow::Stated { load, .. } => load,
        LoadRow::Order { order, .. } => order,
        LoadRow::NotKnown { why, .. } => why,
    }
}

#[test]
fn every_exercise_and_protected_tissue_has_the_load_of_its_checked_repetition() {
    each(|of, plan, session, words, handout| {
        let loads = &handout.therapist.loads;
        assert_eq!(loads.moments.len(), session.items.len(), "{of}");
        let tissues = plan.protected_tissues();
        assert_eq!(loads.tissues.len(), tissues.len(), "{of}");
        for (table, &tissue) in loads.tissues.iter().zip(&tissues) {
            assert_eq!(table.rows.len(), session.items.len(), "{of}");
            for (row, item) in table.rows.iter().zip(&session.items) {
                let (repetition, side) = (item.checked.repetition(), plan.envelope.side);
                match (tissue_load(&item.motion, &plan.body, repetition, tissue, side), row) {
                    (Load::Known(load), LoadRow::Stated { load: text, basis, known, .. }) => {
                        assert_eq!(*text, words.load_bounds(load.peak, load.unit()), "{of}");
                        assert_eq!(*basis, words.basis_name(load.basis), "{of}");
                        assert_eq!(*known, words.known_word(load.known), "{of}");
                    }
                    (Load::Order { .. }, LoadRow::Order { .. }) => {}
                    (Load::NotKnown(why), LoadRow::NotKnown { why: text, .. }) => {
                        assert!(text.contains(&words.load_not_known(why)), "{of}: {text}");
                    }
                    (load, row) => panic!("{of}: {load:?} is told as {row:?}"),
                }
            }
        }
    });
}

#[test]
fn marks_lead_to_sources_and_every_source_is_referred_to() {
    each(|of, _, _, _, handout| {
        let page = &handout.therapist;
        let mut told: Vec<String> = page.limits.iter().map(|it| it.source.clone()).collect();
        for table in &page.loads.tissues {
            told.extend(table.ceilings.iter().cloned());
            told.extend(table.rows.iter().filter_map(|row| match row {
                LoadRow::Stated { source, .. } | LoadRow::Order { source, .. } => Some(source.clone()),
                LoadRow::NotKnown { .. } => None,
            }));
        }
        let told = told.join(" ");
        let numbers = told.split('[').skip(1).filter_map(|it| it.split(']').next());
        for number in numbers {
            assert!(page.sources.iter().any(|it| it.mark == number), "{of}: no source [{number}]");
        }
        for source in page.sources.iter().filter(|it| it.text.starts_with("net joint moment")) {
            assert!(told.contains(&format!("[{}]", source.mark)), "{of}: nothing refers to {}", source.text);
        }
    });
}

#[test]
fn net_joint_moments_are_those_of_the_repetition_per_mass() {
    each(|of, plan, session, words, handout| {
        for (row, item) in handout.therapist.loads.moments.iter().zip(&session.items) {
            let text = row.moments.join("; ");
            let coordinate = Coord::of(plan.envelope.side, Dof::AnkleDorsiflexion).0;
            let joints = &item.checked.repetition().joints;
            let most = joints.iter().map(|it| it.by_coordinate[coordinate].abs()).fold(0.0, f64::max);
            // The ankle is told where its tendon is protected, or where the exercise drives it.
            if of.starts_with("achilles") {
                let figure = words.number(most / plan.body.mass(), 2);
                assert!(text.contains(&figure), "{of}: {text} lacks {figure}");
            }
            assert!(!text.contains("BW") && !text.contains("PC"), "{of}: a moment is no force: {text}");
        }
    });
}

#[test]
fn the_page_says_what_holds_and_what_is_not_established() {
    let sentences = [
        ("en", ["No injury threshold", "not a joint reaction", "not a contact force"]),
        ("es", ["ningún umbral de lesión", "No es una reacción articular", "ni una fuerza de contacto"]),
    ];
    each(|of, plan, _, words, handout| {
        let notes = handout.therapist.loads.notes.join(" ");
        let (_, sentences) = sentences.iter().find(|it| it.0 == words.lang().id()).unwrap();
        for sentence in sentences {
            assert!(notes.contains(sentence), "{of}: {notes}");
        }
        let ceilings = handout.therapist.loads.tissues[0].ceilings.join(" ");
        if of.starts_with("achilles") {
            // The protocol's early ceiling, with its status.
            assert!(ceilings.contains(&words.number(1.2, 1)), "{of}: {ceilings}");
            let it = plan.envelope.in_force.iter().find(|it| it.id == "tendon-load-seated").unwrap();
            assert!(ceilings.contains(&words.status_clinician(it.status)), "{of}: {ceilings}");
        } else {
            assert_eq!(ceilings, words.text("c-ladder-no-ceiling", &[]), "{of}");
        }
        for table in &handout.therapist.loads.tissues {
            assert!(!table.week.is_empty() && table.rows.iter().all(|it| !row_text(it).is_empty()), "{of}");
        }
    });
}

#[test]
fn patient_pages_have_no_figure_of_load() {
    each(|of, _, _, _, handout| {
        let mut value = serde_json::to_value(handout).unwrap();
        let fields = value.as_object_mut().unwrap();
        fields.remove("therapist");
        fields.remove("labels");
        for step in fields["steps"].as_array_mut().unwrap() {
            for picture in ["start", "end", "not_this"] {
                step.as_object_mut().unwrap().remove(picture);
            }
        }
        let text = value.to_string();
        for unit in [" BW", "N·m", "MVIC", " PC", "CIVM"] {
            assert!(!text.contains(unit), "{of}: {unit} on a patient's page");
        }
    });
}

#[test]
fn the_ladder_never_makes_the_sheet_longer() {
    let tall = |height: u32| Picture {
        svg: format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 720 {height}\">\
             <path d=\"M4 4H700V{}H4Z\"/></svg>",
            height - 4
        ),
        alt: "A ladder.".to_owned(),
    };
    for language in [Language::English, Language::Spanish] {
        for paper in [Paper::A4, Paper::Letter] {
            for print in [Print::Normal, Print::Large] {
                let mut handout = sample::handout(language, paper, print);
                let pages = |loads: &dyn Fn(&mut Loads), handout: &mut Handout| {
                    loads(&mut handout.therapist.loads);
                    page_count(handout).unwrap_or_else(|it| panic!("{language:?} {paper:?} {print:?}: {it}"))
                };
                let without = pages(&|it| it.ladder = None, &mut handout);
                for height in [60, 300, 500, 800, 1100] {
                    let with = pages(&|it| it.ladder = Some(tall(height)), &mut handout);
                    assert_eq!(with, without, "{language:?} {paper:?} {print:?}, height {height}");
                }
            }
        }
    }
}
