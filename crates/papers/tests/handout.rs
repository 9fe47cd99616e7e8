//! What a handout must be, and what it must refuse.

#![allow(missing_docs)]

mod sample;

use handrail_papers::{
    ChartDay, Exercise, Handout, Paper, PaperError, Phone, Picture, Print, Step, handout_pdf, page_count,
};
use sample::Language;

fn english() -> Handout {
    sample::handout(Language::English, Paper::A4, Print::Normal)
}

fn first_exercise(handout: &mut Handout) -> &mut Exercise {
    let found = handout.steps.iter_mut().find_map(|step| match step {
        Step::Exercise(exercise) => Some(exercise),
        Step::Move(_) => None,
    });
    found.expect("the sample has exercises")
}

/// The error for the sample after one change.
fn refusal(change: impl FnOnce(&mut Handout)) -> PaperError {
    let mut handout = english();
    change(&mut handout);
    handout_pdf(&handout).expect_err("this must be refused")
}

fn contains(pdf: &[u8], text: &str) -> bool {
    count(pdf, text) > 0
}

fn count(pdf: &[u8], text: &str) -> usize {
    pdf.windows(text.len()).filter(|window| *window == text.as_bytes()).count()
}

#[test]
fn both_languages_papers_and_prints_are_tagged_pdf_ua() {
    for language in [Language::English, Language::Spanish] {
        for paper in [Paper::A4, Paper::Letter] {
            for print in [Print::Normal, Print::Large] {
                let handout = sample::handout(language, paper, print);
                let pdf =
                    handout_pdf(&handout).unwrap_or_else(|e| panic!("{language:?} {paper:?} {print:?}: {e}"));
                assert!(pdf.starts_with(b"%PDF-1.7"));
                assert!(contains(&pdf, "pdfuaid:part"), "the PDF/UA mark is missing");
                let pages = page_count(&handout).expect("it was set before");
                println!("{language:?} {paper:?} {print:?}: {pages} pages, {} bytes", pdf.len());
                match print {
                    Print::Normal => assert!((6..=11).contains(&pages), "{pages} pages"),
                    Print::Large => assert!((12..=18).contains(&pages), "{pages} pages"),
                }
            }
        }
    }
}

#[test]
fn the_same_data_give_the_same_bytes() {
    assert_eq!(handout_pdf(&english()), handout_pdf(&english()));
}

#[test]
fn texts_are_never_read_as_markup() {
    let mut handout = english();
    let pages = page_count(&handout).expect("the sample can be set");
    handout.head.patient = "#pagebreak() $x$ *Rosa* <warnings>".to_owned();
    assert_eq!(page_count(&handout), Ok(pages));
}

#[test]
fn a_picture_without_alternative_text_is_refused_with_its_place() {
    let error = refusal(|handout| first_exercise(handout).start.alt = "  ".to_owned());
    assert_eq!(error, PaperError::MissingAlt { place: "steps[0].start".to_owned() });
    assert!(error.to_string().contains("steps[0].start"), "{error}");
    assert!(error.to_string().contains("alternative text"), "{error}");
}

#[test]
fn a_picture_that_is_no_svg_is_refused_with_its_place() {
    let error =
        refusal(|handout| first_exercise(handout).end.as_mut().expect("has an end").svg = "<svg".to_owned());
    assert!(matches!(&error, PaperError::Picture { place, .. } if place == "steps[0].end"), "{error:?}");
}

#[test]
fn a_move_may_have_a_picture_and_an_exercise_may_lack_two() {
    let mut handout = english();
    let exercise = first_exercise(&mut handout);
    let picture: Picture = exercise.start.clone();
    exercise.end = None;
    exercise.not_this = None;
    for step in &mut handout.steps {
        if let Step::Move(change) = step {
            change.picture = Some(picture.clone());
            change.how.clear();
        }
    }
    assert!(handout_pdf(&handout).is_ok());
    for print in [Print::Normal, Print::Large] {
        handout.print = print;
        assert!(page_count(&handout).is_ok());
    }
}

#[test]
fn a_character_without_a_glyph_is_refused_by_name() {
    let error = refusal(|handout| first_exercise(handout).dose[0] = "10 раз".to_owned());
    let expected =
        PaperError::MissingGlyph { place: "steps[0].dose[0]".to_owned(), characters: "азр".to_owned() };
    assert_eq!(error, expected);
}

#[test]
fn signs_and_accents_have_glyphs() {
    let mut handout = english();
    handout.therapist.basis =
        vec!["← ↑ → ↓ ≈ ≤ ≥ ☐ ✓ ✗ Δ ± × ½ ° – — … “ ” « » ¿ ¡ áéíóúüñ ÁÉÍÓÚÜÑ ßøåęłčž".to_owned()];
    assert!(handout_pdf(&handout).is_ok());
}

#[test]
fn a_blank_text_is_refused_with_its_place() {
    let missing = |place: &str| PaperError::MissingText { place: place.to_owned() };
    assert_eq!(refusal(|h| h.labels.do_not = String::new()), missing("labels.do_not"));
    assert_eq!(refusal(|h| h.head.valid_until = " ".to_owned()), missing("head.valid_until"));
    assert_eq!(refusal(|h| h.head.foot.clear()), missing("head.foot"));
    assert_eq!(refusal(|h| h.overview.limits.clear()), missing("overview.limits"));
    assert_eq!(
        refusal(|h| h.warnings.emergency.phones = Vec::<Phone>::new()),
        missing("warnings.emergency.phones")
    );
    assert_eq!(refusal(|h| h.therapist.not_checked.clear()), missing("therapist.not_checked"));
    assert_eq!(refusal(|h| first_exercise(h).limit.clear()), missing("steps[0].limit"));
    assert_eq!(refusal(|h| h.steps.clear()), missing("steps"));
}

#[test]
fn a_sheet_that_is_neither_signed_nor_a_draft_is_refused() {
    let error = refusal(|handout| {
        handout.head.signed = None;
        handout.head.draft = None;
    });
    assert_eq!(error, PaperError::NobodyAnswers);
}

#[test]
fn a_signed_sheet_needs_no_draft_notice() {
    let mut handout = english();
    handout.head.draft = None;
    assert!(handout_pdf(&handout).is_ok());
}

#[test]
fn a_chart_that_does_not_add_up_is_refused() {
    let error = refusal(|handout| {
        handout.week.rows[2].days.pop();
    });
    let place = "week.rows[2].days".to_owned();
    assert_eq!(error, PaperError::ChartShape { place, expected: "7".to_owned(), found: 6 });
    let error = refusal(|handout| handout.week.rows[1].days[4] = ChartDay::Do(vec![true]));
    let place = "week.rows[1].days[4]".to_owned();
    assert_eq!(error, PaperError::ChartShape { place, expected: "3".to_owned(), found: 1 });
    let error = refusal(|handout| handout.week.days.push("Thu 26".to_owned()));
    assert!(matches!(error, PaperError::ChartShape { found: 8, .. }), "{error:?}");
}

#[test]
fn a_language_that_is_no_tag_is_refused() {
    for lang in ["", "English", "e", "en_US", "EN"] {
        assert_eq!(refusal(|h| h.lang = lang.to_owned()), PaperError::Language { lang: lang.to_owned() });
    }
}

#[test]
fn a_page_label_without_its_numbers_is_refused() {
    let error = refusal(|handout| handout.labels.page = "Page {page}".to_owned());
    assert_eq!(error, PaperError::PageLabel { label: "Page {page}".to_owned() });
}

#[test]
fn an_exercise_longer_than_a_page_is_refused_and_a_long_one_is_not() {
    let steps =
        |n: usize| vec!["Lift the straight leg as high as your right knee. Then lower it.".to_owned(); n];
    for (print, fits, too_many) in [(Print::Normal, 14, 40), (Print::Large, 8, 30)] {
        let mut handout = english();
        handout.print = print;
        first_exercise(&mut handout).steps = steps(fits);
        assert!(page_count(&handout).is_ok(), "{print:?}");
        first_exercise(&mut handout).steps = steps(too_many);
        assert_eq!(page_count(&handout), Err(PaperError::TooLong { title: "Toe bends".to_owned() }));
    }
}

/// A label that no template uses would be translated for nothing; one that is used but missing would fail above.
#[test]
fn every_label_is_used_by_a_template() {
    let templates = concat!(include_str!("../templates/look.typ"), include_str!("../templates/handout.typ"));
    let labels = serde_json::to_value(english().labels).expect("labels are plain texts");
    for name in labels.as_object().expect("labels are fields").keys() {
        let used = [format!("l.{name}"), format!("labels.{name}")].iter().any(|use_| {
            let follows = |at: usize| templates[at + use_.len()..].chars().next().unwrap_or(' ');
            templates
                .match_indices(use_.as_str())
                .any(|(at, _)| !(follows(at).is_alphanumeric() || follows(at) == '_'))
        });
        assert!(used, "no template uses the label {name}");
    }
}
