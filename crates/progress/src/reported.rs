//! What the patient reported and a person must answer: warning signs, responses, messages.

use handrail_episode::{Contact, Diary, Episode, MessageFrom, Numbered, Sign};
use jiff::civil::Date;

use crate::attention::{Attention, Detail, Reason};
use crate::response::{PainLimits, Rule, worst_pain};

/// One window per diary with signs, open until a contact about that diary. A correction does not take a sign back:
/// only who has spoken with the patient knows that it was a slip.
pub(crate) fn signs(episode: &Episode, out: &mut Vec<Attention>) {
    let course = &episode.course;
    let kept = |it: &&Numbered<Diary>| {
        let again = |sign: &Sign| course.diaries.iter().any(|other| other.fact.signs.contains(sign));
        !it.fact.signs.iter().all(again)
    };
    for diary in course.diaries.iter().chain(course.corrected_signs.iter().filter(kept)) {
        let Some(worst) = diary.fact.worst_sign() else { continue };
        let told = episode.course.contacts.iter().filter(|it| answers(it, diary));
        let until = told.map(|it| it.fact.on).min();
        let mut signs: Vec<Sign> = diary.fact.signs.clone();
        signs.sort_by_key(|it| it.urgency);
        let detail = Detail::Signs { on: diary.fact.on, signs };
        let it = Attention::new(Reason::WarningSign(worst.urgency), diary.fact.on, until, detail);
        out.push(it.entry(diary.number).about(worst.says.clone()));
    }
}

/// A contact about this very entry; one dated before the diary answers nothing.
fn answers(contact: &Numbered<Contact>, diary: &Numbered<Diary>) -> bool {
    contact.fact.about == diary.number && contact.fact.on >= diary.fact.on
}

/// A diary with the rules it passes.
type Passed<'a> = (&'a Numbered<Diary>, Vec<Rule>);

/// Responses beyond the rules. Each stays until a person acts: a decision, a visit or a contact about it or a
/// later diary, put on record after it. Those that the same act answers (or none) are told together.
pub(crate) fn pain(episode: &Episode, out: &mut Vec<Attention>) {
    let mut groups: Vec<(Option<Date>, Vec<Passed<'_>>)> = Vec::new();
    let acts = acts(episode);
    for diary in &episode.course.diaries {
        let rules = PainLimits::STATED.passed(&diary.fact);
        if rules.is_empty() {
            continue;
        }
        let until = acts.iter().filter(|it| it.answers(diary)).map(|it| it.on).min();
        match groups.iter_mut().find(|(end, _)| *end == until) {
            Some((_, group)) => group.push((diary, rules)),
            None => groups.push((until, vec![(diary, rules)])),
        }
    }
    for (until, group) in groups {
        let (first, last) = (group[0].0, group[group.len() - 1].0);
        let mut rules: Vec<Rule> = group.iter().flat_map(|(_, rules)| rules.iter().copied()).collect();
        rules.sort_unstable();
        rules.dedup();
        let detail = Detail::Pain {
            entries: group.iter().map(|(it, _)| it.number).collect(),
            last: last.fact.on,
            worst: group.iter().filter_map(|(it, _)| worst_pain(&it.fact)).max(),
            rules,
        };
        out.push(Attention::new(Reason::PainResponse, first.fact.on, until, detail).entry(last.number));
    }
}

/// What a person did that can answer a response.
struct Acted {
    number: u64,
    on: Date,
    /// Day of the diary that a contact is about; `None` for what is about the whole course.
    about: Option<Date>,
}

impl Acted {
    fn answers(&self, diary: &Numbered<Diary>) -> bool {
        let later = self.number > diary.number && self.on >= diary.fact.on;
        later && self.about.is_none_or(|about| about >= diary.fact.on)
    }
}

fn acts(episode: &Episode) -> Vec<Acted> {
    let course = &episode.course;
    let mut out: Vec<Acted> = Vec::new();
    out.extend(course.decisions.iter().map(|it| Acted { number: it.number, on: it.fact.on, about: None }));
    out.extend(course.visits.iter().map(|it| Acted { number: it.number, on: it.fact.on, about: None }));
    for contact in &course.contacts {
        // A contact about something else (a message) has not answered a response.
        let Some(diary) = course.diaries.iter().find(|it| it.number == contact.fact.about) else { continue };
        out.push(Acted { number: contact.number, on: contact.fact.on, about: Some(diary.fact.on) });
    }
    out
}

/// Messages of the patient since the clinic last wrote; a contact about one of them answers it, too.
pub(crate) fn messages(episode: &Episode, out: &mut Vec<Attention>) {
    let messages = &episode.course.messages;
    let answer = |number: u64, on: Date| {
        let written =
            messages.iter().filter(|it| it.fact.1.from == MessageFrom::Clinic && it.number > number);
        let told = episode.course.contacts.iter().filter(|it| it.fact.about == number);
        written.map(|it| it.fact.0).chain(told.map(|it| it.fact.on)).filter(|it| *it >= on).min()
    };
    let mut groups: Vec<(Option<Date>, u64, Date, u32)> = Vec::new();
    for it in messages.iter().filter(|it| it.fact.1.from == MessageFrom::Patient) {
        let until = answer(it.number, it.fact.0);
        match groups.iter_mut().find(|(end, ..)| *end == until) {
            Some((.., first, count)) => {
                *first = it.fact.0.min(*first);
                *count += 1;
            }
            None => groups.push((until, it.number, it.fact.0, 1)),
        }
    }
    for (until, number, from, count) in groups {
        let it = Attention::new(Reason::MessageWaiting, from, until, Detail::Messages { count });
        out.push(it.entry(number));
    }
}
