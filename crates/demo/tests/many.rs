//! Mass data: cheap, valid, and not all alike.
#![allow(missing_docs)]

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use handrail_demo::{DemoEpisode, many};
use handrail_episode::journal::{encode, kind};
use handrail_episode::{Fact, fold, plan};
use handrail_library::Library;
use handrail_progress::{attention, worst_on};
use handrail_words::{Lang, taboo};
use jiff::civil::{Date, date};

static LIBRARY: LazyLock<Library> = LazyLock::new(|| Library::built_in().unwrap());
const TODAY: Date = date(2026, 11, 26);

#[test]
fn each_has_as_many_entries_as_asked_and_folds() {
    let library = &*LIBRARY;
    let mut worst = BTreeMap::new();
    let mut kinds = BTreeSet::new();
    let mut protocols = BTreeSet::new();
    for it in many(library, TODAY, 5, 300, 200) {
        assert_eq!(it.entries.len(), 200, "{}", it.id);
        let episode = fold(&it.id, &it.entries()).unwrap();
        let protocol = &library.protocols[&episode.operation.protocol];
        assert!(plan(&episode, protocol, &library.exercises, TODAY).is_ok());
        let list = attention(&episode, protocol, TODAY);
        *worst.entry(worst_on(&list, TODAY)).or_insert(0) += 1;
        protocols.insert(protocol.id.clone());
        for entry in &it.entries {
            assert!(entry.on <= entry.recorded.date() && entry.recorded.date() < TODAY);
            kinds.insert(kind(&entry.fact));
        }
        assert!(it.entries.windows(2).all(|it| it[0].recorded <= it[1].recorded));
    }
    assert_eq!(protocols.len(), library.protocols.len());
    assert!(worst.len() >= 6, "{worst:?}");
    assert!(worst.values().all(|it| *it < 200), "{worst:?}");
    for kind in
        ["view", "diary", "measure", "visit", "program", "issued", "act", "message", "closed", "report"]
    {
        assert!(kinds.contains(kind), "{kind} in {kinds:?}");
    }
}

#[test]
fn the_reused_programs_are_allowed_on_the_day_they_begin() {
    let library = &*LIBRARY;
    let mut seen = BTreeSet::new();
    let mut checked = 0;
    for it in many(library, TODAY, 5, 120, 200) {
        let entries = it.entries();
        for (at, entry) in entries.iter().enumerate() {
            let Fact::Program(program) = &entry.fact else { continue };
            let episode = fold(&it.id, &entries[..=at]).unwrap();
            let exercises: Vec<&str> = program.exercises.iter().map(|it| it.exercise.as_str()).collect();
            let day = handrail_protocol::day_after_surgery(episode.operation.surgery, program.issued);
            // The first of a row of equal sheets; the others repeat it.
            let name = format!("{} {:?} {day}", episode.operation.protocol, episode.person);
            if !seen.insert(format!("{name} {exercises:?}")) || checked > 80 {
                continue;
            }
            let protocol = &library.protocols[&episode.operation.protocol];
            let plan = plan(&episode, protocol, &library.exercises, program.issued).unwrap();
            let session = plan.session(&library.postures);
            assert!(session.is_ok(), "{name}: {:?}", session.err());
            checked += 1;
        }
    }
    assert!(checked > 20, "{checked}");
}

#[test]
fn the_same_seed_makes_the_same_and_an_episode_does_not_depend_on_the_others() {
    let library = &*LIBRARY;
    let make = |seed, episodes| many(library, TODAY, seed, episodes, 60).collect::<Vec<DemoEpisode>>();
    let few = make(3, 10);
    assert_eq!(few, make(3, 10));
    assert_eq!(few[..], make(3, 25)[..10]);
    assert_ne!(few, make(4, 10));
    let ids: BTreeSet<String> = make(3, 25).into_iter().map(|it| it.id).collect();
    assert_eq!(ids.len(), 25);
}

#[test]
fn short_records_still_fold() {
    let library = &*LIBRARY;
    for entries_each in [0, 5, 12, 40] {
        for it in many(library, TODAY, 9, 12, entries_each) {
            assert_eq!(it.entries.len(), entries_each.max(5));
            assert!(fold(&it.id, &it.entries()).is_ok());
        }
    }
}

#[test]
fn no_text_promises() {
    let library = &*LIBRARY;
    for it in many(library, TODAY, 5, 30, 200).flat_map(|it| it.entries) {
        let text = encode(&it.fact).unwrap();
        for lang in [Lang::En, Lang::Es] {
            assert_eq!(taboo::found(lang, &text), Vec::<&str>::new(), "{text}");
        }
    }
}
