//! The page of a whole invented episode: what it holds, counts and weighs.

use handrail_episode::{Content, Episode, plan, read_episode};
use handrail_followalong::*;
use handrail_library::Library;
use handrail_program::{Entry, MoveKind};
use handrail_spans::SourceText;
use handrail_words::{Lang, Words};
use jiff::civil::date;

const EPISODE: &str = include_str!("../../../content/demo/achilles.toml");

fn episode(library: &Library) -> Episode {
    let source = SourceText::new("content/demo/achilles.toml", EPISODE);
    let content =
        Content { protocols: &library.protocols, exercises: &library.exercises, languages: &["en", "es"] };
    read_episode(&source, content).unwrap_or_else(|it| panic!("{it}"))
}

/// The composed page and the session behind it.
fn composed(lang: Lang) -> (FollowSession, handrail_program::Session) {
    let library = Library::built_in().unwrap_or_else(|it| panic!("{it}"));
    let episode = episode(&library);
    let protocol = &library.protocols[&episode.operation.protocol];
    let plan = plan(&episode, protocol, &library.exercises, date(2026, 11, 25)).unwrap();
    let session = plan.session(&library.postures).unwrap();
    let words = Words::load(lang).unwrap_or_else(|it| panic!("{it}"));
    (compose(&plan, &session, &words, &library.postures), session)
}

fn exercises(follow: &FollowSession) -> Vec<&Exercise> {
    follow
        .steps
        .iter()
        .filter_map(|it| if let FollowStep::Exercise(it) = it { Some(it) } else { None })
        .collect()
}

#[test]
fn the_page_of_an_episode_can_be_led_through_in_each_language() {
    for lang in Lang::ALL {
        let (follow, _) = composed(lang);
        check_session(&follow).unwrap_or_else(|it| panic!("{}: {it}", lang.id()));
        let page = follow_html(&follow).unwrap();
        println!("{}: {} steps, {} bytes", lang.id(), follow.steps.len(), page.len());
        assert!(page.len() <= 400_000, "{}: {} bytes", lang.id(), page.len());
        assert!(!page.contains("[no words"), "{}: a sentence has no words", lang.id());
        if let Some(folder) = std::env::var_os("FOLLOW_OUT") {
            let folder = std::path::Path::new(&folder);
            std::fs::write(folder.join(format!("{}.html", lang.id())), &page).unwrap();
            let counts = serde_json::to_string_pretty(&expected_counts(&follow)).unwrap();
            std::fs::write(folder.join(format!("{}.json", lang.id())), counts).unwrap();
        }
    }
}

#[test]
fn every_set_move_and_rest_of_the_session_is_led_through_once() {
    let (follow, session) = composed(Lang::En);
    let count = |holds: fn(&Entry) -> bool| session.entries.iter().filter(|it| holds(it)).count();
    let moves = follow.steps.iter().filter(|it| matches!(it, FollowStep::Move(_))).count();
    assert_eq!(moves, count(|it| matches!(it, Entry::Move(_))));
    let sets: usize = exercises(&follow).iter().map(|it| usize::from(it.sets)).sum();
    assert_eq!(sets, count(|it| matches!(it, Entry::Set { .. })));
    // A rest is a step of its own, or lies between two sets of one step.
    let rests = follow.steps.iter().filter(|it| matches!(it, FollowStep::Rest(_))).count();
    let between: usize = exercises(&follow).iter().map(|it| usize::from(it.sets) - 1).sum();
    assert_eq!(rests + between, count(|it| matches!(it, Entry::Rest(_))));

    for item in &session.items {
        let of_item: Vec<&Exercise> =
            exercises(&follow).into_iter().filter(|it| exercise_of(&it.id) == item.motion.id).collect();
        let sets: u32 = of_item.iter().map(|it| u32::from(it.sets)).sum();
        assert_eq!(sets, item.dose.sets, "{}", item.motion.id);
        let repetition = item.checked.repetition();
        for it in of_item {
            assert_eq!(u32::from(it.reps), item.dose.reps(repetition));
            let seconds: f32 = it.phases.iter().map(|phase| phase.seconds).sum();
            assert!((f64::from(seconds) - repetition.duration()).abs() < 1e-3, "{}: {seconds} s", it.id);
            let end = it.clip.frames.last().unwrap().t;
            assert!((end - seconds).abs() < 1e-3, "{}: the picture ends at {end} s", it.id);
        }
    }
}

#[test]
fn what_the_page_must_say_is_there() {
    let (follow, _) = composed(Lang::En);
    assert_eq!(follow.session_id, "achilles-v1");
    // The date that every other page of version 1 tells.
    assert_eq!(follow.issued, date(2026, 11, 21));
    assert_eq!((follow.date, follow.valid_until), (date(2026, 11, 25), date(2026, 12, 3)));
    assert_eq!((follow.side, follow.side_words.as_str()), (Side::Left, "Left leg"));
    assert_eq!(follow.patient_label, "Marta O.");
    assert!(follow.draft_notice.is_some(), "the program is not signed");
    assert_eq!(follow.pain_limit, None, "nobody ordered one");
    let urgencies: Vec<Urgency> = follow.warnings.iter().map(|it| it.urgency).collect();
    assert_eq!(urgencies, [Urgency::Emergency, Urgency::SameDay, Urgency::NextVisit]);
    assert!(follow.warnings[0].call.contains("911") && follow.warnings[1].call.contains("555-0134"));
    assert!(follow.limits.iter().any(|it| it == "Put no weight on your left leg."));
    let assumed = |it: &String| it.contains("Assumed");
    assert!(!follow.limits.iter().chain(&follow.limits_assumed).any(assumed), "the heading says it once");
    assert!(follow.limits_assumed.iter().all(|it| !follow.limits.contains(it)));
    assert!(!follow.limits_assumed.is_empty(), "the protocol alone stands behind some of them");
    assert!(follow.after.len() > 5 && !follow.after.iter().any(|it| it.starts_with("Stop")));
    assert!(follow.stop_rules.iter().chain(&follow.after).filter(|it| it.contains("555-0134")).count() >= 2);
    let text = serde_json::to_string(&follow.stop_rules).unwrap()
        + &serde_json::to_string(&follow.warnings).unwrap();
    assert!(!text.contains("{phone}") && !text.contains("{emergency}"));
}

#[test]
fn moves_on_the_feet_keep_the_weight_off_and_wait_only_where_a_hand_is_free() {
    let (follow, session) = composed(Lang::En);
    let moves: Vec<&Move> = follow
        .steps
        .iter()
        .filter_map(|it| if let FollowStep::Move(it) = it { Some(it) } else { None })
        .collect();
    let steps =
        session.entries.iter().filter_map(|it| if let Entry::Move(it) = it { Some(it) } else { None });
    let mut on_feet = 0;
    for (change, step) in moves.iter().zip(steps) {
        let no_weight = step.care.iter().any(|it| matches!(it, handrail_program::Care::NoWeightOnLeg(_)));
        assert_eq!(change.limit.as_deref().is_some_and(|it| it.contains("off the floor")), no_weight);
        on_feet += usize::from(no_weight);
        assert!(change.waits || step.to == "standing", "{}", change.title);
        // Getting up and down shows both ends of the way.
        let two_ends =
            matches!(step.kind, MoveKind::StandUp { .. } | MoveKind::SitDown { .. } | MoveKind::LieDown);
        let pictures = change.stages.iter().filter(|it| it.picture.is_some()).count();
        assert_eq!(pictures, 1 + usize::from(two_ends), "{}", change.title);
    }
    assert!(on_feet >= 3, "the session leads from the chair to the bed");
    assert!(moves.iter().any(|it| !it.waits));
}

#[test]
fn ids_of_rounds_lead_back_to_their_exercise() {
    assert_eq!(exercise_of("great-toe-alone.2"), "great-toe-alone");
    assert_eq!(exercise_of("great-toe-alone"), "great-toe-alone");
}

#[test]
fn a_short_name_keeps_the_name_that_a_person_goes_by() {
    assert_eq!(short_name("Marta Okonjo", "en"), "Marta O.");
    assert_eq!(short_name("Lucía Montoya Iriarte", "es"), "Lucía M.");
    assert_eq!(short_name("María José López Ruiz", "es"), "María L.");
    assert_eq!(short_name("Ann Mary Field", "en"), "Ann F.");
    assert_eq!(short_name("Ana", "es"), "Ana");
    assert_eq!(short_name("", "es"), "");
}
