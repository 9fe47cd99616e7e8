use std::sync::Arc;
use std::time::Instant;
use handrail_clinic::{Clock, Config, Listen, App, seed, records};
use handrail_desk_program::{basis, form::Form, study::{Base, Study}};
use handrail_library::Library;
use handrail_store::{Config as StoreConfig, Key, Place, Store};
use jiff::Timestamp;
use jiff::tz::TimeZone;
fn main() {
    let folder = tempfile::tempdir().unwrap();
    let store = Store::open(&StoreConfig::new(Place::Sqlite(folder.path().join("c.db")), Some(Key::random().unwrap()))).unwrap();
    let library = Arc::new(Library::built_in().unwrap());
    let (zone, now) = (TimeZone::UTC, Timestamp::now());
    let today = now.to_zoned_datetime(zone.clone()).date();
    let clinic = handrail_demo::clinic(&library, today, 1).unwrap();
    tokio::runtime::Runtime::new().unwrap().block_on(async {
        seed::fill(&store, &library, &clinic, today, &zone, now).await.unwrap();
        let app = App::new(Config { store, listen: Listen::loopback(0), clock: Clock::system(), zone, content: None }).unwrap();
        for id in ["marta-okonjo", "greta-holloway"] {
            let loaded = records::load(&app, id).await.unwrap();
            let words = app.words(handrail_words::Lang::En);
            let form = Form::of_program(loaded.episode.programs.last(), &app.library(), words, basis::plan_number(&loaded));
            let base = Base::of(&app, &loaded).unwrap();
            let t = |name: &str, f: &mut dyn FnMut()| { f(); let a = Instant::now(); for _ in 0..10 { f() } println!("{id} {name} {:?}", a.elapsed() / 10); };
            t("load", &mut || {});
            t("base.of", &mut || { Base::of(&app, &loaded).unwrap(); });
            t("plan", &mut || { base.plan(None, Vec::new()); });
            let study = Study::of(base.clone(), &loaded, &form, "x");
            t("study", &mut || { Study::of(base.clone(), &loaded, &form, "x"); });
            t("study.plan", &mut || { study.plan(); });
            let plan = study.plan();
            t("plan.session", &mut || { plan.session(&base.library().postures).unwrap(); });
            t("over_exposure", &mut || { plan.over_exposure(); });
            let chosen: Vec<_> = study.rows.iter().map(|it| (it.line.motion.clone(), it.line.verdict.clone().into_checked().unwrap(), it.line.dose)).collect();
            t("session", &mut || { handrail_program::session(chosen.clone(), &plan.case(), &base.library().postures).unwrap(); });
            let mut k = 0.0;
            t("solve new", &mut || { k += 0.001; let mut p = study.rows[1].line.prescription.clone(); let m = study.rows[1].line.motion.clone(); let q = &m.parameters[0]; p.parameters.insert(q.name.clone(), (q.low + q.usual) / 2.0 + k); base.solve(&p, &m, None); });
            t("drawing", &mut || { for it in &study.rows { let r = it.line.verdict.repetition.as_deref().unwrap(); let d = handrail_figures::exercise::Drawing::new(&it.line.motion, r, &base.body, None); std::hint::black_box(d.end("x", &Default::default(), None)); } });
            t("ladder clone", &mut || { base.ladders().to_vec(); });
            t("reasons", &mut || { for it in base.all() { for r in &it.verdict.reasons { std::hint::black_box(words.reason_sentence(r, base.envelope.side)); } } });
            t("limit lines", &mut || { for it in &base.envelope.in_force { std::hint::black_box(words.limit_line_clinician(it)); } });
        }
    });
}
