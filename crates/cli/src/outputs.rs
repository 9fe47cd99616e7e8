//! Commands that write files. Nothing is written before everything that goes into it has been checked.

use std::fmt::Write as _;
use std::path::PathBuf;
use std::process::ExitCode;

use handrail_anatomy::Side;
use handrail_episode::Plan;
use handrail_figures::exercise::{Captions, Drawing, view};
use handrail_library::Library;
use handrail_motion::{Home, solve};
use handrail_program::Session;
use handrail_words::{Lang, Words};
use jiff::civil::Date;
use serde_json::json;

use crate::args::{Demo, Draw, Handout, Log, Output, Paper};
use crate::facts::{exercise, session_of};
use crate::files::{write, write_picture};
use crate::input;
use crate::room::{Stop, print, print_json};

type Answer = Result<ExitCode, Stop>;

/// Reads everything an output needs and hands it on.
fn with_session<T>(
    output: &Output,
    run: impl FnOnce(&Plan<'_>, &Session, &Words, &Library) -> Result<T, Stop>,
) -> Result<T, Stop> {
    let library = input::library()?;
    let episode = input::episode(&output.episode, &library)?;
    let plan = input::plan_of(&episode, &library, output.on)?;
    let words = input::words(output.lang.as_deref(), Some(&episode))?;
    let session = session_of(&plan, &library)?;
    run(&plan, &session, &words, &library)
}

fn handout_pdf(
    plan: &Plan<'_>,
    session: &Session,
    words: &Words,
    library: &Library,
    paper: Paper,
    large: bool,
) -> Result<Vec<u8>, Stop> {
    let paper = match paper {
        Paper::A4 => handrail_papers::Paper::A4,
        Paper::Letter => handrail_papers::Paper::Letter,
    };
    let print = if large { handrail_papers::Print::Large } else { handrail_papers::Print::Normal };
    let ladder = plan.protected_tissues().first().map(|&it| plan.ladder(&library.exercises, it));
    let handout = handrail_papers::compose(plan, session, ladder.as_ref(), words, paper, print);
    handrail_papers::handout_pdf(&handout)
        .map_err(|error| Stop::new(format!("handout: {error}"), "mend the texts or pictures named"))
}

/// `handout`.
pub fn handout(args: &Handout) -> Answer {
    with_session(&args.output, |plan, session, words, library| {
        let pdf = handout_pdf(plan, session, words, library, args.paper, args.large)?;
        write(&args.output.out, &pdf, args.output.replace)?;
        print(&format!(
            "{}: {} bytes, valid until {}",
            args.output.out.display(),
            pdf.len(),
            plan.valid_until()
        ));
        Ok(ExitCode::SUCCESS)
    })
}

fn follow_page(plan: &Plan<'_>, session: &Session, words: &Words, library: &Library) -> Result<String, Stop> {
    let page = handrail_followalong::compose(plan, session, words, &library.postures);
    handrail_followalong::follow_html(&page)
        .map_err(|faults| Stop::new(format!("follow: {faults}"), "mend the texts or pictures named"))
}

/// `follow`.
pub fn follow(args: &Output) -> Answer {
    with_session(args, |plan, session, words, library| {
        let page = follow_page(plan, session, words, library)?;
        write(&args.out, page.as_bytes(), args.replace)?;
        print(&format!("{}: {} bytes, valid until {}", args.out.display(), page.len(), plan.valid_until()));
        Ok(ExitCode::SUCCESS)
    })
}

fn calendar_of(plan: &Plan<'_>, session: &Session, words: &Words) -> Result<String, Stop> {
    handrail_clinic::chart::documents::calendar_of(plan, session, words, jiff::Timestamp::now())
        .map_err(|error| Stop::new(format!("calendar: {error}"), "check the program's days and dates"))
}

/// `calendar`.
pub fn calendar(args: &Output) -> Answer {
    with_session(args, |plan, session, words, _| {
        let text = calendar_of(plan, session, words)?;
        write(&args.out, text.as_bytes(), args.replace)?;
        print(&format!("{}: until {}", args.out.display(), plan.valid_until()));
        Ok(ExitCode::SUCCESS)
    })
}

/// `log`.
pub fn log(args: &Log) -> Answer {
    let text = if args.file.as_os_str() == "-" {
        std::io::read_to_string(std::io::stdin())
            .map_err(|error| Stop::new(format!("standard input: {error}"), "pipe the text of the code"))?
    } else {
        input::read(&args.file)?.text.to_string()
    };
    let logs = handrail_followalong::parse_logs(text.trim()).map_err(|error| {
        Stop::new(format!("not a session log: {error}"), "scan the code again, or copy its whole text")
    })?;
    let json: Vec<_> = logs
        .iter()
        .map(|it| {
            json!({
                "session": it.session_id,
                "version": it.version,
                "date": it.date.to_string(),
                "started": it.started.to_string(),
                "active_seconds": it.active_seconds,
                "pain": {"before": it.pain_before, "during": it.pain_during, "after": it.pain_after},
                "stopped": it.stopped,
                "warnings": it.warnings,
                "exercises": it.exercises.iter().map(|e| json!({
                    "id": e.id, "reps_per_set": e.reps_per_set, "pain": e.pain,
                    "reason": e.reason.map(|r| format!("{r:?}").to_lowercase()), "repeated": e.repeated,
                })).collect::<Vec<_>>(),
            })
        })
        .collect();
    if args.json {
        print_json(&serde_json::Value::Array(json));
        return Ok(ExitCode::SUCCESS);
    }
    let mut out = String::new();
    for it in &logs {
        let pain = |value: Option<u8>| value.map_or("-".to_string(), |it| it.to_string());
        let _ = writeln!(
            out,
            "{} (version {}), {}: {} s active; pain before {}, during {}, after {}",
            it.session_id,
            it.version,
            it.date,
            it.active_seconds,
            pain(it.pain_before),
            pain(it.pain_during),
            pain(it.pain_after)
        );
        for e in &it.exercises {
            let sets: Vec<String> = e.reps_per_set.iter().map(u8::to_string).collect();
            let reason = e.reason.map_or(String::new(), |r| format!("; not done: {r:?}"));
            let _ = writeln!(out, "  {}: {}{reason}", e.id, sets.join(" + "));
        }
        for sign in &it.warnings {
            let _ = writeln!(out, "  WARNING SIGN answered yes: {sign}. Call the patient.");
        }
        if it.stopped {
            let _ = writeln!(out, "  The session was stopped. Ask why.");
        }
    }
    print(&out);
    Ok(ExitCode::SUCCESS)
}

/// `draw`.
pub fn draw(args: &Draw) -> Answer {
    let library = input::library()?;
    let motion = exercise(&library, &args.exercise)?;
    let body = input::body(&args.body)?;
    let home = Home::usual(args.body.stature);
    let side: Side = args.side.into();
    let cannot = |error: handrail_motion::SolveError| {
        Stop::new(format!("{}: {error}", motion.id), "try another body or side")
    };
    let repetition = solve(motion, &motion.core, &body, &home, side, &Default::default()).map_err(cannot)?;
    let mut drawing = Drawing::new(motion, &repetition, &body, None);
    if let Some(name) = &args.view {
        drawing = drawing.seen(view(name));
    }
    let words = Words::load(Lang::En)?;
    let text = words.exercise(&motion.id, side);
    let captions = Captions {
        title: text.as_ref().map_or(motion.id.clone(), |it| it.title.clone()),
        alt: text.as_ref().map_or(motion.id.clone(), |it| it.alt.clone()),
        not: words.text("handout-not-like-this", &[]),
    };
    let svg = match &args.fault {
        None if args.start => drawing.start("p", &captions),
        None => drawing.end("p", &captions, None),
        Some(name) => {
            let known: Vec<&str> = motion.faults.iter().map(|it| it.id.as_str()).collect();
            let fault = motion.faults.iter().find(|it| it.id == *name).ok_or_else(|| {
                Stop::new(
                    format!("{} has no fault `{name}`", motion.id),
                    format!("its faults: {}", known.join(", ")),
                )
            })?;
            let solved = solve(motion, &fault.core, &body, &home, side, &fault.parameters).map_err(cannot)?;
            drawing.not_like_this("p", &solved, &captions)
        }
    };
    write_picture(args.out.as_deref(), &svg, args.replace)?;
    Ok(ExitCode::SUCCESS)
}

/// The three invented episodes.
const DEMO: [(&str, &str, Date); 3] = [
    ("achilles", include_str!("../../../content/demo/achilles.toml"), jiff::civil::date(2026, 11, 25)),
    ("acl", include_str!("../../../content/demo/acl.toml"), jiff::civil::date(2026, 11, 25)),
    ("cuff", include_str!("../../../content/demo/cuff.toml"), jiff::civil::date(2026, 11, 25)),
];

/// `demo`.
pub fn demo(args: &Demo) -> Answer {
    std::fs::create_dir_all(&args.data).map_err(|error| {
        Stop::new(format!("{}: {error}", args.data.display()), "choose another folder with --data")
    })?;
    let mut out = format!("Three invented episodes in {}:\n", args.data.display());
    let mut first_handout: Option<PathBuf> = None;
    for (name, text, on) in DEMO {
        let episode_path = args.data.join(format!("{name}.toml"));
        write(&episode_path, text.as_bytes(), true)?;
        let output = |lang: &str| Output {
            episode: episode_path.clone(),
            on: Some(on),
            out: PathBuf::new(),
            lang: Some(lang.into()),
            replace: true,
        };
        for lang in Lang::ALL {
            let lang = lang.id();
            with_session(&output(lang), |plan, session, words, library| {
                let folder = &args.data;
                let (paper, tag) = if lang == "es" { (Paper::A4, "a4") } else { (Paper::Letter, "letter") };
                let handout = folder.join(format!("{name}-handout-{lang}-{tag}.pdf"));
                write(&handout, &handout_pdf(plan, session, words, library, paper, false)?, true)?;
                let large = folder.join(format!("{name}-handout-{lang}-{tag}-large.pdf"));
                write(&large, &handout_pdf(plan, session, words, library, paper, true)?, true)?;
                let follow = folder.join(format!("{name}-follow-{lang}.html"));
                write(&follow, follow_page(plan, session, words, library)?.as_bytes(), true)?;
                let calendar = folder.join(format!("{name}-{lang}.ics"));
                write(&calendar, calendar_of(plan, session, words)?.as_bytes(), true)?;
                if lang == "en" {
                    let _ = writeln!(
                        out,
                        "\n{} ({}), day {}: {} exercises, {:.0} minutes, valid until {}",
                        plan.episode.patient.name,
                        plan.protocol.title,
                        plan.envelope.day,
                        session.items.len(),
                        session.minutes(),
                        plan.valid_until()
                    );
                    let _ = writeln!(out, "  {}", episode_path.display());
                }
                for path in [&handout, &large, &follow, &calendar] {
                    let _ = writeln!(out, "  {}", path.display());
                }
                first_handout.get_or_insert(handout);
                Ok(())
            })?;
        }
    }
    if let Some(path) = first_handout {
        let _ = writeln!(
            out,
            "\nOpen {} on paper or screen, and {} in a browser or on a phone.",
            path.display(),
            args.data.join("achilles-follow-en.html").display()
        );
    }
    let first = args.data.join("achilles.toml");
    crate::clinic::invented(&args.data)?;
    let _ = writeln!(
        out,
        "\nAn invented clinic with twelve patients: {} (log in as ines, password: {})",
        args.data.join(crate::clinic::FILE).display(),
        handrail_clinic::seed::PASSWORD
    );
    let _ = writeln!(
        out,
        "Then try: handrail today {0} --on 2026-11-25; handrail verify {0} --on 2026-11-25",
        first.display()
    );
    print(&out);
    if args.no_serve {
        return Ok(ExitCode::SUCCESS);
    }
    crate::clinic::serve_folder(&args.data, args.port)
}
