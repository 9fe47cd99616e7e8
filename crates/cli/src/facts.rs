//! Commands that print facts.

use std::fmt::Write as _;
use std::process::ExitCode;

use handrail_anatomy::{Side, Tissue, clinical_motions};
use handrail_episode::{Line, Plan};
use handrail_library::Texts;
use handrail_motion::{Home, solve};
use handrail_program::robustness::{EXECUTIONS, SEED};
use handrail_program::session::Item;
use handrail_program::{
    Bound, Entry, Kind, Proposal, Reason, Robustness, Session, Verdict, Wish, robustness,
};
use handrail_protocol::{Change, InForce};
use handrail_spans::{Problems, SourceText};
use handrail_words::Words;
use serde_json::{Value, json};

use crate::args::{ContentCheck, ContentList, Motion, OfEpisode, Propose};
use crate::input;
use crate::loads::{Done, over_exposure_json, program_exposure_json, robustness_json};
use crate::room::{Stop, capital, print, print_json, round};

type Answer = Result<ExitCode, Stop>;

/// Episode, its library and words: what every command on an episode begins with.
pub fn with_plan<T>(
    of: &OfEpisode,
    run: impl FnOnce(&Plan<'_>, &handrail_library::Library, &Words) -> Result<T, Stop>,
) -> Result<T, Stop> {
    let library = input::library()?;
    let episode = input::episode(&of.episode, &library)?;
    let plan = input::plan_of(&episode, &library, of.on)?;
    // Facts are for the clinician: always in English.
    let words = input::words(Some("en"), None)?;
    run(&plan, &library, &words)
}

fn head(plan: &Plan<'_>) -> String {
    let (episode, envelope) = (plan.episode, &plan.envelope);
    let mut out = format!(
        "{}: {}, {} side, surgery {}\n{}: day {}, week {}, phase `{}` ({})\n",
        episode.patient.name,
        plan.protocol.title,
        episode.operation.side.word(),
        episode.operation.surgery,
        envelope.on,
        envelope.day,
        envelope.week,
        envelope.phase.id,
        envelope.phase.title,
    );
    if plan.protocol.is_draft() {
        out.push_str("Protocol: draft, not yet reviewed by a clinician of this clinic.\n");
    }
    out
}

/// `today`.
pub fn today(of: &OfEpisode) -> Answer {
    with_plan(of, |plan, _, words| {
        let envelope = &plan.envelope;
        if of.json {
            print_json(&json!({
                "episode": plan.episode.id,
                "on": envelope.on.to_string(),
                "day": envelope.day,
                "week": envelope.week,
                "side": envelope.side.word(),
                "phase": envelope.phase.id,
                "in_force": envelope.in_force.iter().map(|it| in_force_json(it, words)).collect::<Vec<_>>(),
                "blocked": envelope.blocked.iter().map(|it| json!({
                    "variant": it.variant, "question": it.question, "choices": it.choices, "depends": it.depends,
                })).collect::<Vec<_>>(),
                "notes": envelope.notes.iter().map(|it| words.note_sentence(it)).collect::<Vec<_>>(),
                "next": envelope.next.iter().map(|it| change_json(it, words)).collect::<Vec<_>>(),
                "valid_until": plan.valid_until().to_string(),
            }));
            return Ok(ExitCode::SUCCESS);
        }
        let mut out = head(plan);
        out.push_str("\nIn force\n");
        for it in &envelope.in_force {
            let _ = writeln!(out, "- {}", words.limit_line_clinician(it));
            for gone in &it.superseded {
                let _ = writeln!(out, "    in place of `{}` ({:?})", gone.id, gone.why);
            }
        }
        if !envelope.blocked.is_empty() {
            out.push_str("\nMissing: what depends on it is refused\n");
            for it in &envelope.blocked {
                let _ = writeln!(out, "- {}", words.blocked_sentence(it));
            }
        }
        if !envelope.notes.is_empty() {
            out.push_str("\nTo see\n");
            for it in &envelope.notes {
                let _ = writeln!(out, "- {}", words.note_sentence(it));
            }
        }
        if !envelope.precautions.is_empty() {
            out.push_str("\nPrecautions\n");
            for it in &envelope.precautions {
                let _ = writeln!(out, "- {} ({})", it.says, it.basis.known.id());
            }
        }
        out.push_str("\nNext changes\n");
        for it in &envelope.next {
            let _ = writeln!(out, "- {}", words.change_sentence(it));
        }
        out.push('\n');
        let _ = writeln!(out, "{}", words.closing());
        print(&out);
        Ok(ExitCode::SUCCESS)
    })
}

fn in_force_json(it: &InForce, words: &Words) -> Value {
    json!({
        "id": it.id,
        "limit_on": words.limit_on(&it.limit),
        "value": words.limit_value(&it.limit),
        "status": format!("{:?}", it.status).to_lowercase(),
        "since": it.since.to_string(),
        "until": words.until_clinician(&it.until),
        "earliest": it.until.earliest.map(|it| it.to_string()),
        "overdue": it.overdue,
        "source": it.source,
        "known": it.known.map(|it| it.id()),
        "by": it.by,
        "document": it.document,
    })
}

fn change_json(it: &Change, words: &Words) -> Value {
    json!({ "on": it.on.to_string(), "due": it.due, "what": words.change_sentence(it) })
}

/// `verify`.
pub fn verify(of: &OfEpisode) -> Answer {
    with_plan(of, |plan, library, words| {
        if plan.program.is_none() {
            return Err(no_program(plan));
        }
        // The moves between the exercises and the whole program's size are part of the answer.
        let session_problem = plan.session(&library.postures).err().map(|it| it.to_string());
        // A refused exercise is not simulated: it stays refused whatever came of it.
        let simulated: Vec<Option<Robustness>> =
            plan.lines.iter().map(|it| is_allowed(it).then(|| plan.robustness(it))).collect();
        let lines = plan.lines.iter().zip(&simulated);
        if of.json {
            print_json(&json!({
                "on": plan.on().to_string(),
                "session": session_problem,
                "exercises": lines.map(|(it, robust)| line_json(plan, it, robust.as_ref(), words)).collect::<Vec<_>>(),
                "exposure": program_exposure_json(plan),
                "over_exposure": over_exposure_json(&plan.over_exposure()),
            }));
        } else {
            let mut out = head(plan);
            for (line, robust) in lines {
                write_verdict(&mut out, line, words, plan.envelope.side);
                write_loads(&mut out, plan, line, robust.as_ref(), words);
            }
            if let Some(problem) = &session_problem {
                let _ = writeln!(out, "\nsession: {problem}");
            }
            out.push('\n');
            let _ = writeln!(out, "{}", words.closing());
            print(&out);
        }
        Ok(if session_problem.is_none() { ExitCode::SUCCESS } else { ExitCode::from(1) })
    })
}

fn no_program(plan: &Plan<'_>) -> Stop {
    Stop::new(
        format!("{}: no program was issued on or before {}", plan.episode.id, plan.on()),
        "add a [[program]] table, or look at `handrail propose`",
    )
}

fn write_verdict(out: &mut String, line: &Line, words: &Words, operated: Side) {
    let verdict = &line.verdict;
    let _ = writeln!(out, "\n{} ({}): {}", verdict.exercise, verdict.side.word(), verdict.kind.id());
    for reason in &verdict.reasons {
        let _ = writeln!(out, "  - {}", words.reason_sentence(reason, operated));
    }
    if let Some(limit) = &verdict.limit {
        let _ = writeln!(
            out,
            "  up to {} = {} {}: {}",
            limit.parameter,
            round(limit.value, 3),
            limit.unit,
            words.limit_cue(limit, verdict)
        );
    }
    for over in &line.over {
        let _ =
            writeln!(out, "  - {}: {} asked, the phase's ceiling is {}", over.what, over.asked, over.ceiling);
    }
    for waiver in &verdict.waived {
        let _ = writeln!(out, "  override of {} by {}: {}", waiver.restriction, waiver.by, waiver.reason);
    }
    if !line.missing_equipment.is_empty() {
        let _ = writeln!(out, "  not at home: {}", line.missing_equipment.join(", "));
    }
}

fn is_allowed(line: &Line) -> bool {
    line.verdict.kind != Kind::Refused
}

/// The solved repetition of a line, with the body that does it.
fn done<'a>(plan: &'a Plan<'_>, line: &'a Line) -> Option<Done<'a>> {
    let repetition = line.verdict.repetition.as_deref()?;
    Some(Done { motion: &line.motion, repetition, body: &plan.body })
}

/// Loads on the protected tissues, and whether a limit is tight.
fn write_loads(out: &mut String, plan: &Plan<'_>, line: &Line, robust: Option<&Robustness>, words: &Words) {
    let tissues = plan.protected_tissues();
    if let Some(done) = done(plan, line).filter(|_| !tissues.is_empty()) {
        let _ = writeln!(out, "  load: {}", done.loads_line(&tissues, plan.envelope.side, words));
    }
    if let Some(robust) = robust.filter(|it| it.is_tight()) {
        let most = robust.most.as_ref().map_or(String::new(), |it| format!(" Most often: {}.", it.0));
        let _ = writeln!(out, "  {}{most}", words.tight_clinician(robust.share()));
    }
}

fn line_json(plan: &Plan<'_>, line: &Line, robust: Option<&Robustness>, words: &Words) -> Value {
    let mut value = verdict_json(&line.verdict, words);
    let side = plan.envelope.side;
    let done = done(plan, line);
    value["loads"] = done.map_or(Value::Null, |it| it.loads_json(&plan.protected_tissues(), side));
    value["joints"] = done.map_or(Value::Null, |it| it.joints_json(side));
    value["robustness"] = robust.map_or(Value::Null, robustness_json);
    value["over_ceiling"] = line
        .over
        .iter()
        .map(|it| json!({"what": it.what, "asked": it.asked, "ceiling": it.ceiling}))
        .collect();
    value["not_at_home"] = json!(line.missing_equipment);
    value
}

fn verdict_json(verdict: &Verdict, words: &Words) -> Value {
    json!({
        "id": verdict.exercise,
        "side": verdict.side.word(),
        "verdict": verdict.kind.id(),
        "reasons": verdict.reasons.iter().map(reason_json).collect::<Vec<_>>(),
        "limit": verdict.limit.as_ref().map(|limit| json!({
            "parameter": limit.parameter,
            "value": round(limit.value, 4),
            "unit": limit.unit,
            "binds": limit.binds,
            "cue": words.limit_cue(limit, verdict),
        })),
    })
}

fn reason_json(reason: &Reason) -> Value {
    json!({
        "kind": reason.kind.id(),
        "restriction": reason.restriction,
        "source": reason.source,
        "joint": reason.joint.map(|it| it.id()),
        "motion": reason.motion,
        "limit": reason.limit.map(|it| round(it, 2)),
        "computed": reason.computed.map(|it| round(it, 2)),
        "unit": reason.unit,
        "at": reason.at.map(|it| round(it, 2)),
        "basis": if reason.computed.is_some() { "computed" } else { "described" },
    })
}

/// `propose`.
pub fn propose(args: &Propose) -> Answer {
    if !(args.minutes.is_finite() && args.minutes > 0.0) || args.most == 0 {
        return Err(Stop::new("nothing can be proposed in no time", "give --minutes and --most above 0"));
    }
    with_plan(&args.of, |plan, library, words| {
        for id in args.keep.iter().chain(&args.without) {
            if !library.exercises.contains_key(id) {
                return Err(Stop::new(
                    format!("there is no exercise `{id}`"),
                    "`handrail content list` shows all",
                ));
            }
        }
        let candidates = plan.candidates(&library.exercises);
        let most = args.most.min(plan.phase().ceiling.max_exercises as usize);
        let mut wish = Wish::new(args.minutes, most);
        wish.keep.clone_from(&args.keep);
        wish.without.clone_from(&args.without);
        let proposal =
            handrail_program::propose(&candidates, plan.phase(), &plan.case(), &library.postures, &wish)
                .map_err(|error| {
                    let mend = "look at `handrail verify` and `handrail ladder`, keep fewer exercises, give \
                                more minutes, or record the order that allows it";
                    Stop::new(error.to_string(), mend)
                })?;
        let tight: Vec<Robustness> = proposal
            .session
            .items
            .iter()
            .map(|it| {
                let (verdict, case) = (it.checked.verdict(), plan.case());
                robustness(&it.motion, verdict.side, &case, &verdict.parameters, EXECUTIONS, SEED)
            })
            .collect();
        if args.of.json {
            print_json(&proposal_json(plan, &proposal, &tight, candidates.len()));
            return Ok(ExitCode::SUCCESS);
        }
        let allowed = (candidates.len(), library.exercises.len());
        print(&proposal_text(plan, words, &proposal, &tight, allowed));
        Ok(ExitCode::SUCCESS)
    })
}

fn bound_id(bound: &Bound) -> String {
    match bound {
        Bound::Minutes => "minutes".into(),
        Bound::Number => "number_of_exercises".into(),
        Bound::Ceiling(restriction) => restriction.clone(),
    }
}

fn proposal_json(plan: &Plan<'_>, proposal: &Proposal, tight: &[Robustness], allowed: usize) -> Value {
    let exercises: Vec<Value> = proposal
        .session
        .items
        .iter()
        .zip(&proposal.why)
        .zip(tight)
        .map(|((it, why), robust)| {
            json!({
                "id": it.motion.id,
                "side": it.checked.verdict().side.word(),
                "sets": it.dose.sets,
                "kept": why.kept,
                "value_lost_without": round(why.marginal, 3),
                "serves": why.serves.iter().map(|s| json!({
                    "goal": s.goal,
                    "part_of_weekly_target": round(s.part, 2),
                    "adds": round(s.adds, 3),
                })).collect::<Vec<_>>(),
                "tight": robust.is_tight(),
                "share_past_a_limit": round(robust.share(), 3),
            })
        })
        .collect();
    json!({
        "on": plan.on().to_string(),
        "phase": plan.phase().id,
        "allowed": allowed,
        "exercises": exercises,
        "value": round(proposal.value, 3),
        "goals": proposal.goals.iter().map(|(goal, part)| json!({
            "goal": goal, "part_of_weekly_target": round(*part, 2),
        })).collect::<Vec<_>>(),
        "uncovered": proposal.untrained,
        "minutes": round(proposal.session.minutes(), 1),
        "expected_share_done": proposal.share,
        "expected_share_source": "Eckard 2015, secondary",
        "best_left_out": proposal.left_out.as_ref().map(|it| json!({
            "id": it.exercise,
            "sets": it.sets,
            "would_add": round(it.adds, 3),
            "would_change_the_program_by": round(it.change, 3),
            "would_pass": it.passes.iter().map(bound_id).collect::<Vec<_>>(),
        })),
        "binds": proposal.binds.iter().map(|it| json!({
            "limit": bound_id(&it.bound),
            "forbids": it.exercise,
            "gain": round(it.gain, 3),
            "over": round(it.over, 2),
        })).collect::<Vec<_>>(),
    })
}

fn proposal_text(
    plan: &Plan<'_>,
    words: &Words,
    proposal: &Proposal,
    tight: &[Robustness],
    (allowed, all): (usize, usize),
) -> String {
    let mut out = head(plan);
    let _ = writeln!(out, "\n{allowed} of {all} exercises are allowed today and can be done at home.");
    out.push_str("\nProposed (the therapist decides)\n");
    for ((item, why), robust) in proposal.session.items.iter().zip(&proposal.why).zip(tight) {
        let goals: Vec<String> = why
            .serves
            .iter()
            .map(|it| format!("{} ({:.0} % of the week)", words.goal_by_id(&it.goal), it.part * 100.0))
            .collect();
        let kept = if why.kept { "; kept by the therapist" } else { "" };
        let _ = writeln!(
            out,
            "- {}, {} sets: {}; without it the program is worth {:.2} less{kept}",
            item.motion.id,
            item.dose.sets,
            goals.join(", "),
            why.marginal
        );
        if robust.is_tight() {
            let _ = writeln!(out, "  {}", words.tight_clinician(robust.share()));
        }
    }
    let _ = writeln!(
        out,
        "\nAbout {:.0} minutes with moves and rests; {} stand-ups.",
        proposal.session.minutes(),
        proposal.session.stand_ups()
    );
    let _ = writeln!(
        out,
        "Worth {:.2}: what it trains times the share expected to be done with {} exercises, {:.0} % (Eckard \
         2015, secondary), less the moves.",
        proposal.value,
        proposal.session.items.len(),
        proposal.share * 100.0
    );
    if !proposal.untrained.is_empty() {
        let names: Vec<String> = proposal.untrained.iter().map(|it| words.goal_by_id(it)).collect();
        let _ = writeln!(out, "No allowed exercise trains: {}.", names.join(", "));
    }
    if let Some(it) = &proposal.left_out {
        let passes: Vec<String> = it.passes.iter().map(bound_words).collect();
        let why =
            if passes.is_empty() { String::new() } else { format!("; it passes {}", passes.join(" and ")) };
        let _ = writeln!(
            out,
            "Best left out: {} would add {:.2} if as much were done; with it the program changes by {:+.2}{why}.",
            it.exercise, it.adds, it.change
        );
    }
    for it in &proposal.binds {
        let _ = writeln!(
            out,
            "{} binds: {} instead would add {:.2}.",
            capital(&bound_words(&it.bound)),
            it.exercise,
            it.gain
        );
    }
    let _ = writeln!(out, "{}", words.closing());
    out
}

fn bound_words(bound: &Bound) -> String {
    match bound {
        Bound::Minutes => "the minutes of a session".into(),
        Bound::Number => "the number of exercises".into(),
        Bound::Ceiling(restriction) => format!("the weekly ceiling {restriction}"),
    }
}

/// The session of the program, or why there is none.
pub fn session_of(plan: &Plan<'_>, library: &handrail_library::Library) -> Result<Session, Stop> {
    plan.session(&library.postures).map_err(|error| {
        Stop::new(
            format!("{} on {}: {error}", plan.episode.id, plan.on()),
            "look at `handrail verify`, change the program or record the order that allows it",
        )
    })
}

/// `session`.
pub fn session(of: &OfEpisode) -> Answer {
    with_plan(of, |plan, library, words| {
        let session = session_of(plan, library)?;
        if of.json {
            print_json(&session_json(plan, &session, words));
            return Ok(ExitCode::SUCCESS);
        }
        let mut out = head(plan);
        out.push('\n');
        for entry in &session.entries {
            match entry {
                Entry::Move(step) => {
                    let _ = writeln!(out, "move      {}", words.move_title(&step.kind));
                }
                Entry::Set { item, set } => {
                    let item = &session.items[*item];
                    let reps = item.dose.reps(item.checked.repetition());
                    let _ = writeln!(
                        out,
                        "exercise  {} set {set} of {}: {reps} times",
                        item.motion.id, item.dose.sets
                    );
                }
                Entry::Rest(seconds) => {
                    let _ = writeln!(out, "rest      {seconds:.0} s");
                }
            }
        }
        let _ = writeln!(
            out,
            "\n{:.1} minutes, {} stand-ups, move cost {}",
            session.minutes(),
            session.stand_ups(),
            session.cost
        );
        print(&out);
        Ok(ExitCode::SUCCESS)
    })
}

fn session_json(plan: &Plan<'_>, session: &Session, words: &Words) -> Value {
    let entries: Vec<Value> = session
        .entries
        .iter()
        .map(|entry| match entry {
            Entry::Move(step) => json!({
                "move": words.move_title(&step.kind),
                "instructions": words.move_instructions(step),
                "seconds": step.seconds,
            }),
            Entry::Set { item, set } => {
                let it = &session.items[*item];
                json!({
                    "exercise": it.motion.id,
                    "set": set,
                    "reps": it.dose.reps(it.checked.repetition()),
                    "seconds": round(it.dose.set_seconds(it.checked.repetition()), 1),
                })
            }
            Entry::Rest(seconds) => json!({ "rest": round(*seconds, 1) }),
        })
        .collect();
    json!({
        "on": plan.on().to_string(),
        "minutes": round(session.minutes(), 2),
        "stand_ups": session.stand_ups(),
        "move_cost": session.cost,
        "entries": entries,
        "exercises": session.items.iter().map(|it| item_json(plan, it)).collect::<Vec<_>>(),
    })
}

/// What the tissues and joints of the operated side carry in one repetition of an exercise.
fn item_json(plan: &Plan<'_>, item: &Item) -> Value {
    let side = plan.envelope.side;
    let done = Done { motion: &item.motion, repetition: item.checked.repetition(), body: &plan.body };
    json!({
        "id": item.motion.id,
        "side": item.checked.verdict().side.word(),
        "loads": done.loads_json(&plan.protected_tissues(), side),
        "joints": done.joints_json(side),
    })
}

/// `motion`.
pub fn motion(args: &Motion) -> Answer {
    let library = input::library()?;
    let motion = exercise(&library, &args.exercise)?;
    let body = input::body(&args.body)?;
    let home = Home::usual(args.body.stature);
    let side: Side = args.side.into();
    if let Some((name, _)) =
        args.set.iter().find(|(name, _)| !motion.parameters.iter().any(|it| it.name == *name))
    {
        let known: Vec<&str> = motion.parameters.iter().map(|it| it.name.as_str()).collect();
        let mend = format!("its parameters: {}", known.join(", "));
        return Err(Stop::new(format!("{} has no parameter `{name}`", motion.id), mend));
    }
    let parameters = args.set.iter().cloned().collect();
    let repetition = solve(motion, &motion.core, &body, &home, side, &parameters).map_err(|error| {
        Stop::new(format!("{}: {error}", motion.id), "try another body or another parameter")
    })?;
    let done = Done { motion, repetition: &repetition, body: &body };
    let mut rows = Vec::new();
    for clinical in clinical_motions().iter().filter(|it| it.sign > 0) {
        let sides: &[Side] = if clinical.joint.is_axial() { &[Side::Right] } else { &Side::BOTH };
        for &on in sides {
            let reversed = handrail_anatomy::ClinicalMotion { sign: -1, ..*clinical };
            let (high, low) = (repetition.extreme(clinical, on), repetition.extreme(&reversed, on));
            if high.deg + low.deg > 1.5 {
                rows.push((clinical.joint, clinical.motion, on, -low.deg, high.deg, high.at));
            }
        }
    }
    if args.json {
        print_json(&json!({
            "exercise": motion.id,
            "side": side.word(),
            "seconds": round(repetition.duration(), 2),
            "samples": repetition.samples.len(),
            "ranges": rows.iter().map(|(joint, name, on, low, high, at)| json!({
                "joint": joint.id(), "motion": name, "side": if joint.is_axial() { "both" } else { on.word() },
                "low": round(*low, 2), "high": round(*high, 2), "unit": "deg", "high_at": round(*at, 2),
            })).collect::<Vec<_>>(),
            "leg_load_bw": {"left": round(repetition.peak_leg_load(Side::Left).0, 3), "right": round(repetition.peak_leg_load(Side::Right).0, 3)},
            "basis": "computed",
            "loads": done.loads_json(Tissue::ALL, side),
            "joints": done.joints_json(side),
        }));
        return Ok(ExitCode::SUCCESS);
    }
    let mut out = format!(
        "{} ({} side working), {:.1} s a repetition, {} samples\n",
        motion.id,
        side.word(),
        repetition.duration(),
        repetition.samples.len()
    );
    for (joint, name, on, low, high, at) in rows {
        let on = if joint.is_axial() { "" } else { on.word() };
        let _ = writeln!(
            out,
            "  {on:5} {:16} {name:18} {low:7.1} to {high:6.1} deg, highest at {at:.1} s",
            joint.id()
        );
    }
    let _ = writeln!(
        out,
        "  peak load: left leg {:.2}, right leg {:.2}, left arm {:.2}, right arm {:.2} of body weight",
        repetition.peak_leg_load(Side::Left).0,
        repetition.peak_leg_load(Side::Right).0,
        repetition.peak_arm_load(Side::Left).0,
        repetition.peak_arm_load(Side::Right).0
    );
    out.push_str("  basis: computed by the motion solver\n");
    let words = input::words(Some("en"), None)?;
    let _ = writeln!(out, "  load of one repetition:");
    for &tissue in Tissue::ALL {
        let _ = writeln!(out, "    {}", done.loads_line(&[tissue], side, &words));
    }
    print(&out);
    Ok(ExitCode::SUCCESS)
}

/// An exercise by its name.
pub fn exercise<'a>(
    library: &'a handrail_library::Library,
    id: &str,
) -> Result<&'a std::sync::Arc<handrail_motion::Motion>, Stop> {
    library
        .exercises
        .get(id)
        .ok_or_else(|| Stop::new(format!("there is no exercise `{id}`"), "`handrail content list` shows all"))
}

/// `content check`.
pub fn content_check(args: &ContentCheck) -> Answer {
    let texts = match &args.folder {
        None => Texts::built_in(),
        Some(folder) => texts_of(folder)?,
    };
    let count = texts.postures.len() + texts.exercises.len() + texts.protocols.len();
    let mut problems = Problems::default();
    match texts.check() {
        Ok(library) => {
            problems.0.extend(library.dangling(&texts).0);
            let motions: Vec<&handrail_motion::Motion> =
                library.exercises.values().map(AsRef::as_ref).collect();
            if args.folder.is_none() {
                problems.0.extend(handrail_words::check_all(motions.into_iter()).0);
            }
            if problems.0.is_empty() && !args.json {
                let draft = library.exercises.values().filter(|it| it.review.is_none()).count();
                print(&format!(
                    "{count} files: {} postures, {} exercises, {} protocols; no problems. {draft} exercises are unsigned drafts.",
                    library.postures.len(),
                    library.exercises.len(),
                    library.protocols.len()
                ));
            }
        }
        Err(found) => problems.0.extend(found.0),
    }
    if args.json {
        print_json(&json!({
            "files": count,
            "problems": problems.0.iter().map(|it| json!({
                "file": it.file, "line": it.line, "column": it.column, "field": it.field,
                "message": it.message, "mend": it.mend,
            })).collect::<Vec<_>>(),
        }));
        return Ok(ExitCode::from(if problems.0.is_empty() { 0 } else { 2 }));
    }
    if problems.0.is_empty() { Ok(ExitCode::SUCCESS) } else { Err(problems.into()) }
}

fn texts_of(folder: &std::path::Path) -> Result<Texts, Stop> {
    if !folder.is_dir() {
        return Err(Stop::new(
            format!("{}: there is no such folder", folder.display()),
            "name the content folder",
        ));
    }
    let read = |name: &str| -> Result<Vec<SourceText>, Stop> {
        let dir = folder.join(name);
        if !dir.is_dir() {
            return Ok(Vec::new());
        }
        let entries = std::fs::read_dir(&dir)
            .map_err(|error| Stop::new(format!("{}: {error}", dir.display()), "check the folder"))?;
        let mut paths: Vec<_> = entries.filter_map(|it| it.ok().map(|it| it.path())).collect();
        paths.retain(|it| it.extension().is_some_and(|it| it == "toml"));
        paths.sort();
        paths.iter().map(|it| input::read(it)).collect()
    };
    Ok(Texts { postures: read("postures")?, exercises: read("exercises")?, protocols: read("protocols")? })
}

/// `content list`.
pub fn content_list(args: &ContentList) -> Answer {
    let library = input::library()?;
    if args.json {
        let list: Vec<Value> = library
            .exercises
            .values()
            .map(|it| {
                json!({"id": it.id, "region": it.region, "posture": it.posture.id, "drive": it.drive.id(),
                "trains": it.trains, "signed": it.review.is_some()})
            })
            .collect();
        print_json(&Value::Array(list));
        return Ok(ExitCode::SUCCESS);
    }
    let mut out = String::new();
    for it in library.exercises.values() {
        let _ = writeln!(out, "{:32} {:9} {:10} {}", it.id, it.region, it.drive.id(), it.trains.join(", "));
    }
    print(&out);
    Ok(ExitCode::SUCCESS)
}
