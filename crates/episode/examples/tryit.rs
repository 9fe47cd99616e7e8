//! Tries verdicts of an episode file.
use handrail_library::Library;
fn main() {
    let lib = match Library::built_in() { Ok(l) => l, Err(p) => { println!("{p}"); return; } };
    let path = std::env::args().nth(1).unwrap();
    let on: jiff::civil::Date = std::env::args().nth(2).unwrap().parse().unwrap();
    let src = handrail_spans::SourceText::new(path.clone(), std::fs::read_to_string(&path).unwrap());
    let ep = match handrail_episode::read_episode(&src, handrail_episode::Content { protocols: &lib.protocols, exercises: &lib.exercises, languages: &["en", "es"] }) { Ok(e) => e, Err(p) => { println!("{p}"); return; } };
    let protocol = &lib.protocols[&ep.operation.protocol];
    let env = handrail_protocol::envelope(protocol, &ep.orders, on).unwrap();
    println!("day {} phase {} in force {:?}", env.day, env.phase.id, env.in_force.iter().map(|i| (&i.id, i.status)).collect::<Vec<_>>());
    println!("blocked {:?}", env.blocked);
    let body = handrail_anatomy::Body::new(ep.person, ep.table).unwrap();
    let home = ep.home.home(ep.person.stature);
    let case = handrail_program::Case { body: &body, home: &home, envelope: &env, margins: handrail_program::Margins::STATED };
    let t = std::time::Instant::now();
    for m in lib.exercises.values() {
        let v = handrail_program::verdict(m, ep.operation.side, &case);
        println!("{:32} {:8} {:?} {}", m.id, v.kind.id(), v.limit.as_ref().map(|l| (l.parameter.clone(), l.value, l.cue.clone())), v.reasons.iter().map(|r| format!("{}:{}[{:?}>{:?}]", r.restriction, r.kind.id(), r.computed, r.limit)).collect::<Vec<_>>().join(" "));
    }
    println!("{} exercises in {:?}", lib.exercises.len(), t.elapsed());
}
