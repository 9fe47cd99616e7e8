use handrail_library::Library;
use jiff::civil::date;
#[test]
fn look() {
    let library = Library::built_in().unwrap();
    let t = std::time::Instant::now();
    let today = date(2026, 11, 25);
    let clinic = handrail_demo::clinic(&library, today, 7).unwrap();
    println!("clinic {:?}", t.elapsed());
    for it in &clinic.episodes {
        let entries = it.entries();
        let episode = handrail_episode::fold(&it.id, &entries).unwrap();
        let protocol = &library.protocols[&episode.operation.protocol];
        let plan = handrail_episode::plan(&episode, protocol, &library.exercises, today).unwrap();
        println!(
            "{} {} day {} phase {} entries {} programs {} diaries {} measures {} visits {} next {:?} session {:?}",
            it.id,
            protocol.id,
            plan.envelope.day,
            plan.envelope.phase.id,
            entries.len(),
            episode.programs.len(),
            episode.course.diaries.len(),
            episode.course.measures.len(),
            episode.course.visits.len(),
            episode.operation.next_visit,
            plan.session(&library.postures).map(|s| s.minutes()).map_err(|e| e.to_string())
        );
        for a in handrail_progress::attention(&episode, protocol, today).iter().filter(|a| a.holds_on(today))
        {
            println!("    {:?} {} {:?}", a.reason, a.about, a.detail);
        }
    }
}
#[test]
fn look_many() {
    let library = Library::built_in().unwrap();
    let today = date(2026, 11, 25);
    let t = std::time::Instant::now();
    let mut it = handrail_demo::many(&library, today, 7, 10_000, 200);
    println!("templates {:?}", t.elapsed());
    let t = std::time::Instant::now();
    let mut n = 0;
    let mut kinds = std::collections::BTreeMap::new();
    let mut reasons = std::collections::BTreeMap::new();
    for (i, e) in it.by_ref().enumerate() {
        n += e.entries.len();
        if i % 50 == 0 {
            for x in &e.entries {
                *kinds.entry(handrail_episode::journal::kind(&x.fact)).or_insert(0) += 1;
            }
            let episode = handrail_episode::fold(&e.id, &e.entries()).unwrap();
            let protocol = &library.protocols[&episode.operation.protocol];
            let list = handrail_progress::attention(&episode, protocol, today);
            let worst = handrail_progress::worst_on(&list, today);
            *reasons.entry(worst).or_insert(0) += 1;
        }
    }
    println!("many {n} {:?} {kinds:?}\n{reasons:?}", t.elapsed());
}
#[test]
fn look_seeds() {
    let library = Library::built_in().unwrap();
    for seed in [44u64, 52, 100, 101, 102, 103, 104, 105, 106, 107, 108, 109, 110, 111, 112] {
        let today = date(2026, 10, 1).saturating_add(jiff::Span::new().days(seed as i64 * 5));
        let clinic = handrail_demo::clinic(&library, today, seed * 31).unwrap();
        for it in clinic
            .episodes
            .iter()
            .filter(|it| ["philippa-rennard", "anselm-wetherby-cole"].contains(&it.id.as_str()))
        {
            let episode = handrail_episode::fold(&it.id, &it.entries()).unwrap();
            let protocol = &library.protocols[&episode.operation.protocol];
            let a = handrail_progress::attention(&episode, protocol, today);
            for x in a.iter().filter(|a| a.holds_on(today)) {
                println!("NOTQUIET {seed} {today} {} {x:?}", it.id);
            }
        }
    }
}
