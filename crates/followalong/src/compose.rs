//! From a plan and its session to the data of the page. Times, counts and pictures come from the checked
//! repetitions, sentences from the room `words`; this file only puts them in their places, entry by entry.

use std::collections::BTreeMap;

use handrail_anatomy::Device;
use handrail_episode::Plan;
use handrail_figures::exercise::Drawing;
use handrail_motion::{Posture, Span, SpanKind};
use handrail_program::dose::BREATH;
use handrail_program::{Care, Entry, Item, MoveKind, MoveRules, MoveStep, Session};
use handrail_protocol::{Limit, Status};
use handrail_words::{Arg, Words};

use crate::labels::Labels;
use crate::pictures::{Setting, Stills, convert};
use crate::session::{
    Clinic, Exercise, FollowSession, FollowStep, Move, MoveStage, Phase, PhaseKind, Rest, Side, Urgency,
    WarnGroup,
};

/// Shortest rest that the page can lead through, s: its closing count takes three.
const LEAST_REST: f64 = 4.0;
/// Between the id of an exercise and the number of its set, in the ids of sets done in rounds.
const ROUND: char = '.';

/// The exercise behind an id in a log: sets done in rounds have ids of their own, such as `great-toe-alone.2`.
pub fn exercise_of(log_id: &str) -> &str {
    log_id.split_once(ROUND).map_or(log_id, |(id, _)| id)
}

/// Lays out a session for the page, one step for each entry; the sets of an exercise done in place become one step
/// with its rests. What has no words stays empty and is refused by [`crate::check_session`] with its place.
pub fn compose(
    plan: &Plan<'_>,
    session: &Session,
    words: &Words,
    postures: &BTreeMap<String, Posture>,
) -> FollowSession {
    let leg = is_leg(plan);
    let composer = Composer { plan, session, words, leg, stills: Stills { plan, postures, leg } };
    composer.session()
}

/// Whether a leg was operated: the first restriction of the protocol that speaks of a limb decides.
fn is_leg(plan: &Plan<'_>) -> bool {
    let limb = plan.protocol.restrictions.iter().find_map(|it| match &it.limit {
        Limit::LegWeightBearing(_) => Some(true),
        Limit::ArmWeightBearing(_) => Some(false),
        Limit::Motion { motion, .. } if !motion.joint.is_axial() => Some(motion.joint.is_leg()),
        Limit::Drive { joint, .. } | Limit::Resistance { joint, .. } if !joint.is_axial() => {
            Some(joint.is_leg())
        }
        _ => None,
    });
    limb.unwrap_or(true)
}

struct Composer<'a> {
    plan: &'a Plan<'a>,
    session: &'a Session,
    words: &'a Words,
    leg: bool,
    stills: Stills<'a>,
}

/// Sets of one item that follow each other, as one step of the page.
struct Run {
    item: usize,
    /// First set, from 1.
    first: u32,
    sets: u32,
}

impl Composer<'_> {
    fn session(&self) -> FollowSession {
        let (plan, words) = (self.plan, self.words);
        let episode = plan.episode;
        let version = plan.program.as_ref().map_or(0, |it| it.version);
        let clinic = &episode.clinic;
        let (limits, limits_assumed) = self.limits();
        FollowSession {
            session_id: format!("{}-v{version}", episode.id),
            lang: words.lang().id().into(),
            title: self.say("handout-title"),
            patient_label: short_name(&episode.patient.name, &episode.patient.language),
            side: side(episode.operation.side),
            side_words: words.limb_title(self.leg, episode.operation.side),
            version,
            issued: plan.program.as_ref().map_or(plan.on(), |it| it.issued),
            date: plan.on(),
            valid_until: plan.valid_until(),
            clinic: Clinic {
                name: clinic.name.clone(),
                phone: clinic.phone.clone(),
                out_of_hours: clinic.out_of_hours.clone(),
                emergency: clinic.emergency.clone(),
            },
            draft_notice: self.is_draft().then(|| self.draft_notice()),
            pain_limit: None,
            limits,
            limits_assumed,
            stop_rules: words.stop_rules().iter().map(|it| self.fill(it)).collect(),
            after: self.after(),
            warnings: self.warnings(),
            labels: Labels::from_texts(|name| self.say(&format!("follow-{}", name.replace('_', "-")))),
            steps: self.steps(),
        }
    }

    /// A short text; empty when nobody wrote it, which the check of the page refuses.
    fn say(&self, key: &str) -> String {
        self.with(key, &[])
    }

    fn with(&self, key: &str, args: &[(&str, Arg)]) -> String {
        self.words.try_text(key, args).unwrap_or_default()
    }

    /// Puts the numbers to call into a text.
    fn fill(&self, text: &str) -> String {
        let clinic = &self.plan.episode.clinic;
        text.replace("{emergency}", &clinic.emergency).replace("{phone}", &clinic.phone)
    }

    /// A signed program beside draft content is told as such: "reviewed by nobody" would deny the signature.
    fn draft_notice(&self) -> String {
        let signed = self.plan.program.as_ref().is_some_and(|it| it.signed_by.is_some());
        if signed { self.say("p-draft-content") } else { self.words.draft_notice() }
    }

    /// Unsigned exercises, an unsigned protocol or an unsigned program: every screen says so.
    fn is_draft(&self) -> bool {
        let unsigned =
            |item: &Item| item.motion.review.as_ref().is_none_or(|it| it.version != item.motion.version);
        self.plan.protocol.is_draft()
            || self.session.items.iter().any(unsigned)
            || self.plan.program.as_ref().is_none_or(|it| it.signed_by.is_none())
    }

    /// The limits in force, each sentence once: those that stand on somebody's word, then those that nobody has
    /// confirmed.
    fn limits(&self) -> (Vec<String>, Vec<String>) {
        let mut in_force: Vec<_> = self.plan.envelope.in_force.iter().collect();
        in_force.sort_by_key(|it| it.status);
        let (mut sure, mut assumed): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
        for it in in_force {
            let sentence = self.words.limit_sentence(&it.limit, self.plan.episode.operation.side);
            if sure.contains(&sentence) || assumed.contains(&sentence) {
                continue;
            }
            if it.status == Status::Assumed {
                assumed.push(sentence);
            } else {
                sure.push(sentence);
            }
        }
        (sure, assumed)
    }

    /// What to call for after the session: the stop rules as they read when nothing is left to stop.
    fn after(&self) -> Vec<String> {
        let texts = (1..).map_while(|n| self.words.try_text(&format!("after-{n}"), &[]));
        texts.map(|it| self.fill(&it)).collect()
    }

    fn warnings(&self) -> Vec<WarnGroup> {
        let clinic = &self.plan.episode.clinic;
        let group = |it: handrail_words::WarnGroup| {
            let (urgency, phone) = match it.urgency {
                handrail_words::Urgency::Emergency => (Urgency::Emergency, &clinic.emergency),
                handrail_words::Urgency::SameDay => (Urgency::SameDay, &clinic.phone),
                handrail_words::Urgency::NextVisit => (Urgency::NextVisit, &clinic.phone),
            };
            WarnGroup {
                id: it.urgency.id().into(),
                urgency,
                question: it.title,
                signs: it.items.iter().map(|sign| self.fill(sign)).collect(),
                call: self.fill(&it.action),
                phone: Some(phone.clone()),
            }
        };
        self.words.warnings(&self.plan.episode.operation.protocol).into_iter().map(group).collect()
    }

    fn steps(&self) -> Vec<FollowStep> {
        let entries = &self.session.entries;
        let rules = MoveRules::of(&self.plan.envelope);
        let mut worn = rules.device;
        let mut out = Vec::new();
        let mut at = 0;
        while let Some(entry) = entries.get(at) {
            at += 1;
            match entry {
                Entry::Move(step) => {
                    match step.kind {
                        MoveKind::DeviceOn(device) => worn = Some(device),
                        MoveKind::DeviceOff(_) => worn = None,
                        _ => {}
                    }
                    let goes_on = matches!(entries.get(at), Some(Entry::Move(_)));
                    out.push(FollowStep::Move(self.change(step, worn, goes_on)));
                }
                Entry::Rest(seconds) => out.push(FollowStep::Rest(self.rest(*seconds, entries.get(at)))),
                Entry::Set { item, set } => {
                    let (sets, used) = sets_in_a_row(*item, &entries[at..]);
                    at += used;
                    out.push(FollowStep::Exercise(self.exercise(&Run {
                        item: *item,
                        first: *set,
                        sets: 1 + sets,
                    })));
                }
            }
        }
        out
    }

    fn rest(&self, seconds: f64, next: Option<&Entry>) -> Rest {
        let say = match next {
            Some(Entry::Set { item, set }) => Some(self.set_title(*item, *set)),
            _ => None,
        };
        Rest { title: self.say("dose-title-rest"), seconds: seconds.max(LEAST_REST) as f32, say }
    }

    /// Name of an exercise, and which set of it comes next where there are several.
    fn set_title(&self, item: usize, set: u32) -> String {
        let total = self.session.items[item].dose.sets;
        let title = self.title(&self.session.items[item]);
        if total < 2 {
            format!("{title}.")
        } else {
            format!("{title}. {}", self.set_of("follow-next-set", set, total))
        }
    }

    fn set_of(&self, key: &str, set: u32, total: u32) -> String {
        self.say(key).replace("{n}", &set.to_string()).replace("{total}", &total.to_string())
    }

    fn title(&self, item: &Item) -> String {
        let text = self.words.exercise(&item.motion.id, item.checked.verdict().side);
        text.map(|it| it.title).unwrap_or_default()
    }

    // ------------------------------------------------------------------ exercises

    fn exercise(&self, run: &Run) -> Exercise {
        let item = &self.session.items[run.item];
        let (words, motion) = (self.words, &item.motion);
        let (verdict, repetition) = (item.checked.verdict(), item.checked.repetition());
        let text = words.exercise(&motion.id, verdict.side);
        let text = text.as_ref();
        let worn = item.place.device_on.then(|| MoveRules::of(&self.plan.envelope)).and_then(|rules| {
            let device = rules.device?;
            Some((device, rules.side))
        });
        let drawing = Drawing::new(motion, repetition, &self.plan.body, worn);
        let mark = verdict.limit.as_ref().and_then(|_| drawing.limit_mark());
        let alt = text.map(|it| it.alt.clone()).unwrap_or_default();
        let whole = run.sets >= item.dose.sets;
        // The steps were told before the first set; a later round is only reminded of the start position.
        let told: Vec<&str> = match text {
            Some(it) if run.first == 1 => {
                std::iter::once(it.start.as_str()).chain(it.steps.iter().map(String::as_str)).collect()
            }
            Some(it) => vec![&it.start],
            None => Vec::new(),
        };
        Exercise {
            id: if whole { motion.id.clone() } else { format!("{}{ROUND}{}", motion.id, run.first) },
            title: text.map(|it| it.title.clone()).unwrap_or_default(),
            side: side(verdict.side),
            side_words: words.limb_title(self.leg, verdict.side),
            clip: convert(drawing.clip(&alt, mark.as_ref())),
            sets: small(run.sets),
            first_set: small(run.first),
            all_sets: small(item.dose.sets.max(1)),
            reps: small(item.dose.reps(repetition)),
            dose_words: self.dose_words(item, run, whole),
            phases: repetition.spans.iter().map(|span| self.phase(item, span)).collect(),
            breath_s: BREATH as f32,
            rest_s: item.dose.rest as f32,
            instructions: told.into_iter().flat_map(sentences).collect(),
            cues: self.cues(item, run),
            limit: verdict.limit.as_ref().map(|it| words.limit_cue(it, verdict)),
        }
    }

    /// Sets, amount and hold in one sentence; a set done in rounds says which one it is.
    fn dose_words(&self, item: &Item, run: &Run, whole: bool) -> String {
        let told = ["sets", "amount", "hold"].map(|it| self.say(&format!("dose-title-{it}")));
        let lines = self.words.dose_lines(&item.dose, item.checked.repetition());
        let mut pieces: Vec<String> =
            lines.into_iter().filter(|it| told.contains(&it.0)).map(|it| it.1).collect();
        if !whole {
            pieces[0] = self.set_of("follow-set-of", run.first, item.dose.sets);
        }
        format!("{}.", pieces.join(", "))
    }

    fn phase(&self, item: &Item, span: &Span) -> Phase {
        let side = item.checked.verdict().side;
        let keys = &item.motion.core.keys;
        // An exercise of one key pose is all hold: its verb says what is held.
        let verb = match span.kind {
            SpanKind::Move => span.verb.as_str(),
            SpanKind::Hold if keys.len() == 1 => keys[0].verb.as_str(),
            SpanKind::Hold => "hold_straight",
        };
        let hold = self.say("dose-title-hold");
        let say = self.words.verb(verb, side).unwrap_or(if span.kind == SpanKind::Hold {
            hold
        } else {
            String::new()
        });
        Phase {
            say,
            seconds: (span.end - span.start) as f32,
            kind: if span.kind == SpanKind::Hold { PhaseKind::Hold } else { PhaseKind::Move },
        }
    }

    /// What not to do, and what may be felt; in later rounds one reminder in turn.
    fn cues(&self, item: &Item, run: &Run) -> Vec<String> {
        let Some(text) = self.words.exercise(&item.motion.id, item.checked.verdict().side) else {
            return Vec::new();
        };
        let faults = item.motion.faults.iter().filter_map(|it| text.faults.get(&it.id).cloned());
        let all: Vec<String> = faults.chain([text.feel.clone()]).collect();
        if run.first == 1 {
            return all;
        }
        let turn = (run.first as usize - 1) % all.len();
        all.into_iter().skip(turn).take(1).collect()
    }

    // ------------------------------------------------------------------ moves

    fn change(&self, step: &MoveStep, worn: Option<Device>, goes_on: bool) -> Move {
        let words = self.words;
        let limit = step.care.iter().find(|it| !matches!(it, Care::HoldOn | Care::DeviceOn(_)));
        let limit = limit.map(|it| words.care_sentence(*it));
        let side_words = self.beside_side(step);
        // What is said first and shown all the time is not said a second time.
        let is_new = |it: &String| Some(it) != limit.as_ref() && *it != side_words;
        let told: Vec<String> = words.move_instructions(step).into_iter().filter(is_new).collect();
        let seconds = (step.seconds / told.len().max(1) as f64) as f32;
        let mut stages: Vec<MoveStage> =
            told.into_iter().map(|say| MoveStage { say, seconds, picture: None }).collect();
        self.place_pictures(step, worn, &mut stages);
        // On the feet with more to come, both hands are taken and nobody can tap: the words go on, and the move
        // that ends in a place to rest waits.
        let on_feet = matches!(step.kind, MoveKind::StandUp { .. } | MoveKind::WalkTo { .. });
        Move { title: words.move_title(&step.kind), side_words, stages, waits: !(on_feet && goes_on), limit }
    }

    /// What to mind in a move, beside the side: which side is up, the device, a hold for the hands, or the place.
    fn beside_side(&self, step: &MoveStep) -> String {
        let words = self.words;
        let care = |which: fn(&Care) -> bool| {
            step.care.iter().find(|it| which(it)).map(|it| words.care_sentence(*it))
        };
        match &step.kind {
            MoveKind::RollToSide { up } => self.with("how-roll-side-up", &[("side", (*up).into())]),
            MoveKind::DeviceOn(_) | MoveKind::DeviceOff(_) | MoveKind::Fetch(_) => {
                format!("{}.", words.posture_name(&step.to))
            }
            _ => care(|it| matches!(it, Care::DeviceOn(_)))
                .or_else(|| care(|it| matches!(it, Care::HoldOn)))
                .unwrap_or_else(|| words.limb_title(self.leg, self.plan.episode.operation.side)),
        }
    }

    /// The posture before at the first stage, the posture after at the stage that takes the body there.
    fn place_pictures(&self, step: &MoveStep, worn: Option<Device>, stages: &mut [MoveStage]) {
        let turning = self.turning_sentences(&step.kind);
        let turning = stages.iter().position(|it| turning.contains(&it.say)).unwrap_or_default();
        if turning > 0 {
            stages[0].picture = self.picture(step, &step.from, worn);
        }
        if let Some(stage) = stages.get_mut(turning) {
            stage.picture = self.picture(step, &step.to, worn);
        }
    }

    /// The sentences with which the body gets where a move leads; empty for moves of one action.
    fn turning_sentences(&self, kind: &MoveKind) -> Vec<String> {
        let on_legs = |key: &str| {
            let one_leg =
                |it: handrail_anatomy::Side| self.with(&format!("{key}-on-one-leg"), &[("side", it.into())]);
            let [left, right] = handrail_anatomy::Side::BOTH.map(one_leg);
            vec![self.say(key), left, right]
        };
        match kind {
            MoveKind::StandUp { .. } => on_legs("how-stand"),
            MoveKind::SitDown { .. } => on_legs("how-sit"),
            MoveKind::LieDown => vec![self.say("how-lie-down")],
            MoveKind::SitUp => vec![self.say("how-sit-up-legs")],
            _ => Vec::new(),
        }
    }

    fn picture(&self, step: &MoveStep, posture: &str, worn: Option<Device>) -> Option<crate::Clip> {
        let on_bed = match &step.kind {
            MoveKind::StandUp { from: place } | MoveKind::SitDown { on: place } => place == "bed",
            MoveKind::LieDown | MoveKind::SitUp => true,
            _ => false,
        };
        let no_weight = step.care.iter().any(|it| matches!(it, Care::NoWeightOnLeg(_)));
        let setting = match posture {
            "standing" if no_weight => Setting::OnOneLeg,
            "seated" if on_bed => Setting::BedEdge { lifted: no_weight },
            "seated" if no_weight => Setting::FootLifted,
            _ => Setting::Usual,
        };
        let alt = match setting {
            Setting::Usual | Setting::FootLifted => self.words.posture_name(posture),
            Setting::OnOneLeg => self.words.posture_name("standing_on_other_leg"),
            Setting::BedEdge { .. } => self.words.move_title(&MoveKind::SitUp),
        };
        self.stills.still(posture, setting, worn, &alt)
    }
}

/// How many further sets of an item follow in place, and how many entries they take with their rests.
fn sets_in_a_row(item: usize, rest: &[Entry]) -> (u32, usize) {
    let (mut sets, mut used) = (0, 0);
    loop {
        let pause = usize::from(matches!(rest.get(used), Some(Entry::Rest(_))));
        match rest.get(used + pause) {
            Some(Entry::Set { item: next, .. }) if *next == item => {
                sets += 1;
                used += pause + 1;
            }
            _ => return (sets, used),
        }
    }
}

/// A count as the page holds it; what is too large is refused by its check.
fn small(count: u32) -> u8 {
    u8::try_from(count).unwrap_or(u8::MAX)
}

fn side(side: handrail_anatomy::Side) -> Side {
    match side {
        handrail_anatomy::Side::Left => Side::Left,
        handrail_anatomy::Side::Right => Side::Right,
    }
}

/// First name and initial of the family name: a page on a phone, and a paper on a table, may be seen by others. Of two
/// family names in Spanish the first one is the one that a person goes by.
pub fn short_name(name: &str, language: &str) -> String {
    let parts: Vec<&str> = name.split_whitespace().collect();
    let Some((first, rest)) = parts.split_first() else { return String::new() };
    let two = language.starts_with("es") && rest.len() > 1;
    let family = if two { rest.iter().rev().nth(1) } else { rest.last() };
    match family.and_then(|it| it.chars().next()) {
        Some(initial) => format!("{first} {initial}."),
        None => (*first).to_string(),
    }
}

/// One sentence each: the page says and shows them one by one.
fn sentences(text: &str) -> Vec<String> {
    text.split_inclusive(". ").map(|it| it.trim().to_string()).filter(|it| !it.is_empty()).collect()
}
