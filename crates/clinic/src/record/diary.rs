//! A diary on paper or told: what was done, how it hurt, and the warning signs, asked in plain words.

use crate::fields::Fields;
use crate::gate::Desk;
use crate::layout::put_back;
use crate::records::{Loaded, New};
use handrail_episode::{
    Diary, DiaryDone, DiarySource, Episode, Fact, Morning, Prescription, Program, Sign, SignUrgency, Swelling,
};
use handrail_library::Library;
use handrail_program::{Amount, Dose};
use handrail_protocol::{Phase, Protocol};
use handrail_words::{Urgency, WarnGroup, Words};
use maud::{Markup, html};

use crate::record::asked::{Asked, Wrong};
use crate::record::parts::{Kind, choose, field, hidden, options, radios, typed, typed_or};

const MOST_SETS: u32 = 40;
const MOST_REPS: u32 = 2_000;

/// The program that the patient holds; before any was given, the newest.
pub fn held(episode: &Episode) -> Option<&Program> {
    let version = episode.held().map(|it| it.fact.1.version);
    let held = episode.programs.iter().find(|it| Some(it.version) == version);
    held.or_else(|| episode.programs.last().filter(|_| version.is_none()))
}

/// Name of the draft of the form: another version of the program is another form.
pub fn draft(id: &str, program: Option<&Program>) -> String {
    format!("diary-{id}-v{}", program.map_or(0, |it| it.version))
}

/// Sets, and repetitions of all sets together, as the program asks for them in one session.
fn planned(library: &Library, phase: &Phase, it: &Prescription) -> Option<(u32, u32)> {
    let motion = library.exercises.get(&it.exercise)?;
    let usual = Dose::usual(motion, phase);
    let sets = it.sets.unwrap_or(usual.sets);
    let reps = match (it.seconds, it.reps, usual.amount) {
        // Seconds of work count as one repetition a set.
        (Some(_), _, _) | (None, None, Amount::Seconds(_)) => 1,
        (None, Some(reps), _) | (None, None, Amount::Reps(reps)) => reps,
    };
    Some((sets, sets * reps))
}

/// Name of an exercise in the reader's language.
pub fn exercise(words: &Words, episode: &Episode, id: &str) -> String {
    words.exercise(id, episode.operation.side).map_or_else(|| id.replace('-', " "), |it| it.title)
}

/// Warning signs as fields of a form: a key and the words in which it is asked.
pub fn signs(words: &Words, protocol: &str) -> Vec<(WarnGroup, Vec<(String, String)>)> {
    let one = |group: WarnGroup| {
        let keyed = group.items.iter().enumerate();
        let keyed = keyed.map(|(at, says)| (format!("{}:{at}", group.urgency.id()), says.clone())).collect();
        (group, keyed)
    };
    words.warnings(protocol).into_iter().map(one).collect()
}

/// Urgency of a sign on record.
pub fn urgency(it: Urgency) -> SignUrgency {
    match it {
        Urgency::Emergency => SignUrgency::Emergency,
        Urgency::SameDay => SignUrgency::SameDay,
        Urgency::NextVisit => SignUrgency::NextVisit,
    }
}

/// End of the keys of the texts on an urgency.
pub fn urgency_key(it: SignUrgency) -> &'static str {
    match it {
        SignUrgency::Emergency => "emergency",
        SignUrgency::SameDay => "same-day",
        SignUrgency::NextVisit => "next-visit",
    }
}

/// An urgency as clinicians name it.
pub fn urgency_name(desk: &Desk, it: SignUrgency) -> String {
    desk.say(&format!("c-record-urgency-{}", urgency_key(it)))
}

/// What the clinician does about a sign; the patient's page tells the patient something else.
pub fn to_do(desk: &Desk, episode: &Episode, it: SignUrgency) -> String {
    let args = [
        ("emergency", episode.clinic.emergency.as_str().into()),
        ("surgeon", episode.operation.surgeon.as_str().into()),
    ];
    desk.words().text(&format!("c-record-call-do-{}", urgency_key(it)), &args)
}

/// What the patient's page tells the patient to do, with the numbers filled in.
pub fn action(group: &WarnGroup, episode: &Episode) -> String {
    group.action.replace("{emergency}", &episode.clinic.emergency).replace("{phone}", &episode.clinic.phone)
}

fn pain(desk: &Desk, label: &str, name: &str, fields: &Fields) -> Markup {
    let items: Vec<(String, String)> = (0..=10).map(|it| (it.to_string(), it.to_string())).collect();
    choose(&desk.say(label), name, typed(fields, name), Some(&desk.say("c-record-not-told")), &items)
}

/// The form.
pub fn form(desk: &Desk, loaded: &Loaded, protocol: &Protocol, fields: &Fields) -> Markup {
    let words = desk.words();
    let episode = &loaded.episode;
    let today = desk.app.today().to_string();
    let sources = options(desk, "c-record-source", &["paper", "told"]);
    html! {
        form class="stack" method="post" action={ "/e/" (loaded.id) "/record/diary" } data-draft=(draft(&loaded.id, held(episode))) {
            (hidden(desk, fields))
            (put_back(desk.words()))
            div class="fields" {
                (field(&desk.say("c-record-diary-day"), "on", Kind::Date, typed_or(fields, "on", &today), true))
                (radios(&desk.say("c-record-source"), "source", typed_or(fields, "source", "told"), &sources))
            }
            (sign_fields(desk, episode, fields))
            (done_fields(desk, episode, protocol, fields))
            div class="fields" {
                (pain(desk, "c-record-pain-before", "pain_before", fields))
                (pain(desk, "c-record-pain-during", "pain_during", fields))
                (pain(desk, "c-record-pain-after", "pain_after", fields))
                (choose(&desk.say("c-record-morning"), "morning", typed(fields, "morning"), Some(&desk.say("c-record-not-told")), &options(desk, "c-record-morning", &["usual", "worse"])))
                (choose(&desk.say("c-record-swelling"), "swelling", typed(fields, "swelling"), Some(&desk.say("c-record-not-told")), &options(desk, "c-record-swelling", &["less", "same", "more"])))
            }
            div class="fields" {
                (field(&desk.say("c-record-extra"), "extra", Kind::Long, typed(fields, "extra"), false))
                (field(&desk.say("c-record-left-out"), "left_out", Kind::Long, typed(fields, "left_out"), false))
                (field(&desk.say("c-record-note"), "note", Kind::Long, typed(fields, "note"), false))
            }
            p class="quiet small" { (words.text("c-record-over-report", &[])) }
            div { button class="main" { (desk.say("c-record-write")) } }
        }
    }
}

/// The warning signs: one yes shows at once whom to call.
pub fn sign_fields(desk: &Desk, episode: &Episode, fields: &Fields) -> Markup {
    let words = desk.words();
    let given = fields.all("sign");
    let groups = signs(words, &episode.operation.protocol);
    html! {
        fieldset class="rec-signs" {
            legend { (desk.say("c-record-signs")) }
            p class="hint" { (desk.say("c-record-signs-hint")) }
            @for (group, items) in &groups {
                details open[group.urgency == Urgency::Emergency || items.iter().any(|it| given.contains(&it.0))] {
                    summary { (urgency_name(desk, urgency(group.urgency))) " (" (items.len()) ")" }
                    div class="rec-ticks" {
                        @for (key, says) in items {
                            label class="tick" { input type="checkbox" name="sign" value=(key) class=(group.urgency.id()) checked[given.contains(key)]; (says) }
                        }
                    }
                }
            }
            div class="fields" {
                (field(&desk.say("c-record-sign-other"), "sign_other", Kind::Text, typed(fields, "sign_other"), false))
                (choose(&desk.say("c-record-sign-urgency"), "sign_urgency", typed_or(fields, "sign_urgency", "same_day"), None, &options(desk, "c-record-urgency", &["emergency", "same_day", "next_visit"])))
            }
            @for (group, _) in &groups {
                div class={ "alert stop rec-call " (group.urgency.id()) } {
                    p { strong { (urgency_name(desk, urgency(group.urgency))) } }
                    p { (to_do(desk, episode, urgency(group.urgency))) }
                }
            }
        }
    }
}

fn done_fields(desk: &Desk, episode: &Episode, protocol: &Protocol, fields: &Fields) -> Markup {
    let words = desk.words();
    let library = desk.library();
    let Some(program) = held(episode) else {
        return html! { p class="quiet" { (desk.say("c-record-no-program")) } };
    };
    let phase = phase_of(episode, protocol, program);
    let states = options(desk, "c-record-done", &["all", "part", "none"]);
    html! {
        input type="hidden" name="version" value=(program.version);
        table class="rec-rows" {
            caption { (words.text("c-record-done-of", &[("version", program.version.into())])) }
            thead { tr {
                th scope="col" { (desk.say("c-record-exercise")) }
                th scope="col" { (desk.say("c-record-done")) }
                th scope="col" { (desk.say("c-record-sets")) }
                th scope="col" { (desk.say("c-record-reps")) }
            } }
            tbody {
                @for (index, it) in program.exercises.iter().enumerate() {
                    @let name = exercise(words, episode, &it.exercise);
                    @let plan = planned(library, phase, it);
                    @let (state, sets, reps) = (format!("done-{index}"), format!("sets-{index}"), format!("reps-{index}"));
                    tr {
                        th scope="row" {
                            (name) input type="hidden" name={ "exercise-" (index) } value=(it.exercise);
                            @if let Some((sets, reps)) = plan {
                                span class="hint rec-block" { (words.text("c-record-planned", &[("sets", sets.into()), ("reps", reps.into())])) }
                            }
                        }
                        td data-label=(desk.say("c-record-done")) {
                            select name=(state) aria-label={ (name) ": " (desk.say("c-record-done")) } {
                                option value="" { (desk.say("c-record-not-told")) }
                                @for (value, says) in &states { @if value != "all" || plan.is_some() { option value=(value) selected[typed(fields, &state) == value] { (says) } } }
                            }
                        }
                        td data-label=(desk.say("c-record-sets")) { input name=(sets) inputmode="numeric" autocomplete="off" aria-label={ (name) ": " (desk.say("c-record-sets")) } value=(typed(fields, &sets)); }
                        td data-label=(desk.say("c-record-reps")) { input name=(reps) inputmode="numeric" autocomplete="off" aria-label={ (name) ": " (desk.say("c-record-reps")) } value=(typed(fields, &reps)); }
                    }
                }
            }
        }
    }
}

fn phase_of<'a>(episode: &Episode, protocol: &'a Protocol, program: &Program) -> &'a Phase {
    let phases = handrail_progress::Phases::of(protocol, &episode.orders);
    &protocol.phases[phases.on(program.issued)]
}

fn read_done(asked: &mut Asked<'_>, episode: &Episode, protocol: &Protocol) -> (u32, Vec<DiaryDone>) {
    let version = asked.count("version", "c-record-version", u32::MAX).unwrap_or(0);
    let Some(program) = episode.programs.iter().find(|it| it.version == version) else {
        if version != 0 {
            asked.refuse("c-record-unknown-version", "c-record-look-again");
        }
        return (0, Vec::new());
    };
    let library = asked.desk.library();
    let phase = phase_of(episode, protocol, program);
    let mut done = Vec::new();
    for (index, it) in program.exercises.iter().enumerate() {
        let sets = asked.count(&format!("sets-{index}"), "c-record-sets", MOST_SETS);
        let reps = asked.count(&format!("reps-{index}"), "c-record-reps", MOST_REPS);
        let exercise = it.exercise.clone();
        // Numbers that were typed count before the word beside them.
        let amount = match (asked.fields.opt(&format!("done-{index}")), sets, reps) {
            (Some("none"), _, _) => Some((0, 0)),
            (_, Some(sets), Some(reps)) => Some((sets, reps)),
            (Some("all"), None, None) => planned(library, phase, it),
            (None, None, None) => None,
            _ => {
                let name = self::exercise(asked.desk.words(), episode, &exercise);
                let what = asked.desk.words().text("c-record-done-half", &[("exercise", name.into())]);
                asked.wrong.push((what, asked.desk.say("c-record-done-half-mend")));
                None
            }
        };
        done.extend(amount.map(|(sets, reps)| DiaryDone { exercise, sets, reps }));
    }
    (version, done)
}

/// Warning signs of a form, most urgent first.
pub fn read_signs(asked: &mut Asked<'_>, episode: &Episode) -> Vec<Sign> {
    let groups = signs(asked.desk.words(), &episode.operation.protocol);
    let given = asked.fields.all("sign");
    let mut out: Vec<Sign> = Vec::new();
    for key in given {
        let found = groups.iter().find_map(|(group, items)| {
            let (_, says) = items.iter().find(|it| it.0 == *key)?;
            Some(Sign { urgency: urgency(group.urgency), says: says.clone() })
        });
        match found {
            Some(sign) => out.push(sign),
            None => asked.refuse("c-record-unknown-sign", "c-record-look-again"),
        }
    }
    if let Some(says) = asked.text_opt("sign_other") {
        let urgency = match asked.fields.opt("sign_urgency") {
            Some("emergency") => SignUrgency::Emergency,
            Some("next_visit") => SignUrgency::NextVisit,
            _ => SignUrgency::SameDay,
        };
        out.push(Sign { urgency, says });
    }
    out.sort_by_key(|it| it.urgency);
    out
}

/// Pain, morning, swelling and texts of a form into a diary.
pub fn read_response(asked: &mut Asked<'_>, diary: &mut Diary) {
    let mut pain =
        |name: &str, label: &str| asked.count(name, label, 10).and_then(|it| u8::try_from(it).ok());
    diary.pain_before = pain("pain_before", "c-record-pain-before");
    diary.pain_during = pain("pain_during", "c-record-pain-during");
    diary.pain_after = pain("pain_after", "c-record-pain-after");
    diary.morning = match asked.fields.opt("morning") {
        Some("usual") => Some(Morning::Usual),
        Some("worse") => Some(Morning::Worse),
        _ => None,
    };
    diary.swelling = match asked.fields.opt("swelling") {
        Some("less") => Some(Swelling::Less),
        Some("same") => Some(Swelling::Same),
        Some("more") => Some(Swelling::More),
        _ => None,
    };
    diary.extra = asked.text_opt("extra");
    diary.left_out = asked.text_opt("left_out");
    diary.note = asked.text_opt("note");
}

/// A diary of a form.
///
/// # Errors
/// What is missing or cannot be read; a form that says nothing.
pub fn read(desk: &Desk, episode: &Episode, protocol: &Protocol, fields: &Fields) -> Result<Diary, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let on = asked.day("on", "c-record-diary-day", episode.operation.surgery);
    let sources = [("paper", DiarySource::Paper), ("told", DiarySource::Told)];
    let source = asked.one_of("source", "c-record-source", &sources).unwrap_or(DiarySource::Told);
    let mut diary = Diary::new(on, source);
    (diary.version, diary.done) = read_done(&mut asked, episode, protocol);
    diary.signs = read_signs(&mut asked, episode);
    read_response(&mut asked, &mut diary);
    let empty = Diary { version: diary.version, ..Diary::new(on, source) };
    if diary == empty && asked.wrong.is_empty() {
        asked.refuse("c-record-diary-empty", "c-record-diary-empty-mend");
    }
    asked.or(diary)
}

/// The fact.
pub fn fact(diary: Diary) -> New {
    New::fact(diary.on, Fact::Diary(diary))
}
