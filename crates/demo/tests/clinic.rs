//! The invented clinic holds together: on every day, with every program, and whatever day it is made for.
#![allow(missing_docs)]

use std::collections::BTreeSet;
use std::sync::LazyLock;

use handrail_demo::{CLINIC_NAME, Clinic, DemoEpisode, Who, clinic};
use handrail_episode::journal::{FORM, decode, encode, kind};
use handrail_episode::{DecisionKind, Entry, Episode, Fact, Medium, SignUrgency, as_of, fold, plan};
use handrail_library::Library;
use handrail_measures::quantity;
use handrail_progress::{Reason, attention};
use handrail_protocol::{ActKind, Protocol, envelope};
use handrail_words::{Lang, Words, taboo};
use jiff::civil::{Date, date};

const TODAY: Date = date(2026, 11, 26);

static LIBRARY: LazyLock<Library> = LazyLock::new(|| Library::built_in().unwrap());
static MADE: LazyLock<Clinic> = LazyLock::new(|| clinic(&LIBRARY, TODAY, 1).unwrap());

fn folded(it: &DemoEpisode) -> Episode {
    fold(&it.id, &it.entries()).unwrap()
}

fn protocol<'a>(library: &'a Library, episode: &Episode) -> &'a Protocol {
    &library.protocols[&episode.operation.protocol]
}

fn reasons(library: &Library, it: &DemoEpisode, today: Date) -> BTreeSet<&'static str> {
    let episode = folded(it);
    let all = attention(&episode, protocol(library, &episode), today);
    all.iter().filter(|it| it.holds_on(today)).map(|it| it.reason.id()).collect()
}

/// A week of days and the ends of a leap February and a year, each with its own seed.
fn days() -> Vec<(Date, u64)> {
    let week = (0..7).map(|it| date(2026, 11, 22).saturating_add(jiff::Span::new().days(it)));
    let others = [date(2027, 1, 2), date(2028, 2, 29), date(2026, 8, 31)];
    week.chain(others).zip(1..).collect()
}

#[test]
fn every_record_folds_on_every_day_from_the_surgery_to_today() {
    let library = &*LIBRARY;
    for it in &MADE.episodes {
        let (entries, last) = (it.entries(), folded(it));
        let mut on = last.operation.surgery;
        while on <= TODAY {
            let episode = fold(&it.id, &as_of(&entries, on)).unwrap();
            let found = envelope(protocol(library, &episode), &episode.orders, on);
            assert!(found.is_ok(), "{} on {on}: {found:?}", it.id);
            on = on.tomorrow().unwrap();
        }
        assert!(plan(&last, protocol(library, &last), &library.exercises, TODAY).is_ok(), "{}", it.id);
    }
}

/// Holds for each version what the sheet asks for: verdicts, ceilings, the order and its moves.
fn check_programs(library: &Library, it: &DemoEpisode) -> usize {
    let entries = it.entries();
    let issued = entries.iter().enumerate().filter_map(|(at, entry)| match &entry.fact {
        Fact::Program(program) => Some((at, program)),
        _ => None,
    });
    let mut checked = 0;
    for (at, program) in issued {
        let episode = fold(&it.id, &entries[..=at]).unwrap();
        let protocol = protocol(library, &episode);
        let plan = plan(&episode, protocol, &library.exercises, program.issued).unwrap();
        assert_eq!(plan.program.as_ref(), Some(program), "{} version {}", it.id, program.version);
        let session = plan.session(&library.postures);
        assert!(session.is_ok(), "{} version {}: {:?}", it.id, program.version, session.err());
        assert!(!program.exercises.is_empty());
        assert!(plan.lines.iter().all(|line| line.missing_equipment.is_empty()), "{}", it.id);
        checked += 1;
    }
    checked
}

#[test]
fn every_issued_program_was_allowed_on_its_day() {
    let library = &*LIBRARY;
    let checked: usize = MADE.episodes.iter().map(|it| check_programs(library, it)).sum();
    assert!(checked > 60, "only {checked} programs in months of records");
}

#[test]
fn the_same_seed_makes_the_same_clinic_and_another_seed_another() {
    let library = &*LIBRARY;
    let one = &*MADE;
    assert_eq!(*one, clinic(&LIBRARY, TODAY, 1).unwrap());
    let other = clinic(library, TODAY, 2).unwrap();
    let differs = one.episodes.iter().zip(&other.episodes).filter(|(a, b)| a.entries != b.entries).count();
    assert_eq!(differs, one.episodes.len());
}

#[test]
fn between_them_the_twelve_show_every_reason_to_look_on_any_day() {
    let library = &*LIBRARY;
    for (today, seed) in days() {
        let clinic = clinic(library, today, seed).unwrap();
        assert_eq!(clinic.episodes.len(), 12);
        let of = |id: &str| {
            let it = clinic.episodes.iter().find(|it| it.id == id).unwrap();
            reasons(library, it, today)
        };
        let shows = |id: &str, reason: &str| {
            let found = of(id);
            assert!(found.contains(reason), "{id} on {today}, seed {seed}: {reason} is not in {found:?}");
        };
        shows("marta-okonjo", "message-waiting");
        shows("ruben-castellanos-vega", "pain-response");
        shows("greta-holloway", "sheet-out-of-date");
        shows("greta-holloway", "restriction-to-confirm");
        shows("yusuf-dankworth", "no-program");
        // The browser confirms one of these, on whatever day the clinic is made.
        shows("yusuf-dankworth", "restriction-to-confirm");
        shows("ilse-vanterpoole", "warning-sign-same-day");
        shows("nkechi-abernathy-lund", "restriction-changes");
        shows("caspian-thornquist", "criterion-met");
        shows("lucia-montoya-iriarte", "no-diary");
        shows("bertrand-ashgrove", "report-due");
        for quiet in ["philippa-rennard", "anselm-wetherby-cole"] {
            assert!(of(quiet).is_empty(), "{quiet} on {today}, seed {seed}: {:?}", of(quiet));
        }
        // What a story is not about must not drown it: a sign or a response shows where it was put only.
        for it in &clinic.episodes {
            let found = reasons(library, it, today);
            let only = |reason: &str, id: &str| {
                assert!(it.id == id || !found.contains(reason), "{}: {reason}", it.id)
            };
            only("warning-sign-same-day", "ilse-vanterpoole");
            only("pain-response", "ruben-castellanos-vega");
            only("message-waiting", "marta-okonjo");
            only("no-diary", "lucia-montoya-iriarte");
            only("sheet-out-of-date", "greta-holloway");
            only("no-program", "yusuf-dankworth");
            only("report-due", "bertrand-ashgrove");
            only("warning-sign-emergency", "");
            only("warning-sign-next-visit", "");
            only(Reason::RestrictionsNotKnown.id(), "");
        }
    }
}

#[test]
fn the_emergency_was_answered_by_a_call_and_the_closed_record_is_closed() {
    let clinic = &*MADE;
    let of = |id: &str| folded(clinic.episodes.iter().find(|it| it.id == id).unwrap());
    let osric = of("osric-pellington");
    let emergency = |it: &&handrail_episode::Numbered<handrail_episode::Diary>| {
        it.fact.worst_sign().is_some_and(|it| it.urgency == SignUrgency::Emergency)
    };
    let sign = osric.course.diaries.iter().find(emergency).expect("an emergency sign");
    assert!(
        osric.course.contacts.iter().any(|it| it.fact.about == sign.number && it.fact.on >= sign.fact.on)
    );
    assert!(of("anselm-wetherby-cole").course.closed.is_some());
    assert_eq!(clinic.episodes.iter().filter(|it| folded(it).course.closed.is_some()).count(), 1);
    let yusuf = of("yusuf-dankworth");
    let day = handrail_protocol::day_after_surgery(yusuf.operation.surgery, TODAY);
    assert!(day == 3 && yusuf.programs.is_empty() && yusuf.course.issued.is_empty());
}

#[test]
fn nothing_is_recorded_today_or_later_and_only_planned_visits_lie_ahead() {
    let library = &*LIBRARY;
    for (today, seed) in days() {
        let clinic = clinic(library, today, seed).unwrap();
        for it in &clinic.episodes {
            let mut before = None;
            for (number, entry) in (1u64..).zip(&it.entries) {
                let at = entry.recorded;
                assert!(at.date() < today && entry.on <= at.date(), "{} {number}: {entry:?}", it.id);
                assert!(before.is_none_or(|it| it <= at), "{} {number} is out of order", it.id);
                assert!(entry.supersedes.is_none_or(|it| it < number));
                before = Some(at);
                if let Fact::Contact(contact) = &entry.fact {
                    assert!(contact.about >= 1 && contact.about < number, "{} {number}", it.id);
                    let about = &it.entries[contact.about as usize - 1].fact;
                    assert!(matches!(about, Fact::Diary(diary) if !diary.signs.is_empty()), "{}", it.id);
                }
                if let Who::Person(person) = entry.by {
                    assert!(person < clinic.people.len());
                }
            }
            let episode = folded(it);
            let closed = episode.course.closed.is_some();
            assert!(closed || episode.operation.next_visit.is_some_and(|it| it > today), "{}", it.id);
            let days = handrail_protocol::day_after_surgery(episode.operation.surgery, today);
            assert!(days >= 3, "{}", it.id);
        }
    }
}

#[test]
fn diaries_are_for_most_planned_days_and_tell_more_than_numbers() {
    let clinic = &*MADE;
    let episodes: Vec<Episode> = clinic.episodes.iter().map(folded).collect();
    let diaries = || episodes.iter().flat_map(|it| &it.course.diaries).map(|it| &it.fact);
    assert!(diaries().count() > 200);
    assert!(diaries().any(|it| it.extra.is_some()) && diaries().any(|it| it.left_out.is_some()));
    assert!(diaries().any(|it| it.done.iter().any(|done| done.sets == 0)));
    let sources: BTreeSet<&str> = diaries().map(|it| it.source.id()).collect();
    assert_eq!(sources.len(), 4, "{sources:?}");
    let mediums: BTreeSet<Medium> =
        episodes.iter().flat_map(|it| &it.course.issued).map(|it| it.fact.1.medium).collect();
    assert_eq!(mediums.len(), 3);
    // A corrected and a withdrawn entry stand in the journal and no longer count.
    let all = || clinic.episodes.iter().flat_map(|it| &it.entries);
    assert!(all().any(|it| it.supersedes.is_some() && matches!(it.fact, Fact::Diary(_))));
    assert!(all().any(|it| it.supersedes.is_some() && matches!(it.fact, Fact::Withdrawn(_))));
    for (it, episode) in clinic.episodes.iter().zip(&episodes) {
        let written = it.entries.iter().filter(|it| matches!(it.fact, Fact::Diary(_))).count();
        let corrected = it.entries.iter().filter(|it| it.supersedes.is_some());
        let corrected = corrected.filter(|it| matches!(it.fact, Fact::Diary(_))).count();
        assert_eq!(episode.course.diaries.len() + corrected, written, "{}", it.id);
    }
}

#[test]
fn planned_days_with_a_diary_are_six_to_nine_in_ten() {
    let library = &*LIBRARY;
    for it in &MADE.episodes {
        let episode = folded(it);
        let (held, on) = (episode.course.issued.first(), episode.operation.surgery);
        let Some(first) = held.map(|it| it.fact.0) else { continue };
        let until = TODAY.saturating_sub(jiff::Span::new().days(12));
        let found = handrail_progress::adherence(&episode, protocol(library, &episode), first.max(on), until);
        let planned = found.days.iter().filter(|it| it.planned > 0).count();
        let told = found.days.iter().filter(|it| it.planned > 0 && it.done.is_some()).count();
        if planned >= 30 {
            let share = told as f64 / planned as f64;
            assert!((0.5..=0.97).contains(&share), "{}: {told} of {planned}", it.id);
        }
    }
}

#[test]
fn phases_begin_with_a_decision_by_a_named_person_and_a_reason() {
    let mut begun = 0;
    for it in &MADE.episodes {
        let episode = folded(it);
        for act in &episode.orders.acts {
            assert!(act.reason.is_some() && !act.by.trim().is_empty(), "{}", it.id);
            if !matches!(act.kind, ActKind::BeginPhase { .. }) {
                continue;
            }
            begun += 1;
            let from_file = ["marta-okonjo", "greta-holloway"].contains(&it.id.as_str());
            let decisions = &episode.course.decisions;
            let decided =
                decisions.iter().any(|it| it.fact.on == act.on && it.fact.kind == DecisionKind::Advance);
            assert!(from_file || decided, "{} on {}", it.id, act.on);
        }
    }
    assert!(begun >= 12, "{begun}");
}

#[test]
fn measures_are_plausible_and_comparisons_have_both_sides() {
    let mut both = 0;
    for it in &MADE.episodes {
        let episode = folded(it);
        for measure in episode.course.measures.iter().map(|it| &it.fact) {
            let quantity = quantity(&measure.what).expect("a quantity of the table");
            assert!(quantity.is_plausible(measure.value), "{}: {measure:?}", it.id);
            assert_eq!(measure.unit, quantity.unit);
            both += usize::from(measure.side == Some(episode.operation.side.other()));
        }
    }
    assert!(both > 50);
}

#[test]
fn a_recovery_goes_forward() {
    let clinic = &*MADE;
    let philippa = folded(clinic.episodes.iter().find(|it| it.id == "philippa-rennard").unwrap());
    for (what, more) in [("knee_flexion", true), ("quadriceps_torque", true), ("knee_effusion_grade", false)]
    {
        let of = philippa.course.measures.iter().map(|it| &it.fact);
        let own: Vec<f64> = of
            .filter(|it| it.what == what && it.side == Some(philippa.operation.side))
            .map(|it| it.value)
            .collect();
        let (first, last) = (own[0], own[own.len() - 1]);
        assert!(if more { last > first } else { last < first }, "{what}: {own:?}");
    }
}

#[test]
fn the_clinic_says_that_it_is_invented_and_its_people_fill_every_role() {
    let clinic = &*MADE;
    let roles: BTreeSet<&str> = clinic.people.iter().map(|it| it.role.as_str()).collect();
    assert_eq!(
        roles.into_iter().collect::<Vec<_>>(),
        ["administrator", "assistant", "clinic_lead", "front_desk", "therapist"]
    );
    assert!(clinic.people.iter().any(|it| it.signature() == "Ines Brandvold, PT" && it.role == "therapist"));
    assert!(clinic.people.iter().filter(|it| it.role == "therapist").count() >= 2);
    let mut spanish = 0;
    let mut protocols = BTreeSet::new();
    for it in &clinic.episodes {
        let episode = folded(it);
        assert_eq!(episode.clinic.name, CLINIC_NAME);
        assert!(CLINIC_NAME.ends_with("(invented)"));
        assert!(!episode.patient.name.is_empty() && episode.patient.born.is_some(), "{}", it.id);
        spanish += usize::from(episode.patient.language == "es");
        protocols.insert(episode.operation.protocol.clone());
        // Who writes under a name also entered it, or entered it for the surgeon.
        let names: Vec<String> = clinic.people.iter().map(|it| it.signature()).collect();
        assert!(names.contains(&episode.clinic.therapist));
    }
    assert!(spanish >= 2 && protocols.len() >= 3);
}

#[test]
fn every_fact_reads_back_and_no_text_promises() {
    for it in MADE.episodes.iter().flat_map(|it| &it.entries) {
        let text = encode(&it.fact).unwrap();
        assert_eq!(decode(kind(&it.fact), FORM, &text).unwrap(), it.fact);
        for lang in [Lang::En, Lang::Es] {
            assert_eq!(taboo::found(lang, &text), Vec::<&str>::new(), "{text}");
        }
    }
}

#[test]
fn signs_are_in_the_words_in_which_they_are_asked() {
    for it in &MADE.episodes {
        let episode = folded(it);
        let lang = if episode.patient.language == "es" { Lang::Es } else { Lang::En };
        let groups = Words::load(lang).unwrap().warnings(&episode.operation.protocol);
        for sign in episode.course.diaries.iter().flat_map(|it| &it.fact.signs) {
            let asked = groups.iter().flat_map(|it| &it.items).any(|it| *it == sign.says);
            assert!(asked, "{}: {}", it.id, sign.says);
        }
    }
}

#[test]
fn entries_are_numbered_as_the_journal_numbers_them() {
    let clinic = &*MADE;
    let entries: Vec<Entry> = clinic.episodes[0].entries();
    assert!(entries.iter().zip(1u64..).all(|(it, number)| it.number == number));
}
