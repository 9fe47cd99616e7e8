//! How the body responded: pain, stiffness and swelling of each diary, held against stated rules.
//!
//! The rules were made for tendons under load, not for a fresh repair; within the protected phases the surgeon's
//! limits come first. Passing a rule raises; keeping all of them is shown as "no rule passed" and never as more.

use handrail_episode::{Diary, Episode, Morning, Swelling};
use handrail_protocol::{Known, Protocol};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::phases::Phases;

/// A rule on the response to a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// Pain during the session is above the limit.
    PainDuring,
    /// Pain right after is above the limit.
    PainAfter,
    /// Pain after is higher than before by the limit or more.
    PainRises,
    /// The next morning was worse than usual.
    MorningWorse,
    /// Swelling is more than the day before.
    SwellingMore,
}

/// Where a rule comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct RuleBasis {
    /// Source, with the people it was made for.
    pub source: &'static str,
    /// How well it is known.
    pub known: Known,
}

const PAIN_MODEL: &str = "pain-monitoring model, Silbernagel 2007, Am J Sports Med 35(6):897-906, n = 38, \
                          tendinopathy; not validated for a fresh repair";

impl Rule {
    /// All rules.
    pub const ALL: [Rule; 5] =
        [Rule::PainDuring, Rule::PainAfter, Rule::PainRises, Rule::MorningWorse, Rule::SwellingMore];

    /// Name used in keys and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Rule::PainDuring => "pain-during",
            Rule::PainAfter => "pain-after",
            Rule::PainRises => "pain-rises",
            Rule::MorningWorse => "morning-worse",
            Rule::SwellingMore => "swelling-more",
        }
    }

    /// Source and how well it is known.
    pub fn basis(self) -> RuleBasis {
        match self {
            Rule::PainDuring | Rule::PainAfter | Rule::MorningWorse => {
                RuleBasis { source: PAIN_MODEL, known: Known::Memory }
            }
            Rule::PainRises => {
                RuleBasis { source: "own choice of this program, no source", known: Known::Practice }
            }
            Rule::SwellingMore => RuleBasis {
                source: "common practice, no source (stop rules of home sheets: swelling gone up)",
                known: Known::Practice,
            },
        }
    }
}

/// Limits of the rules, 0 to 10.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct PainLimits {
    /// Highest pain during a session.
    pub during: u8,
    /// Highest pain right after.
    pub after: u8,
    /// Rise from before to after at which the rule is passed.
    pub rise: u8,
}

impl PainLimits {
    /// 5 during and after as published; a rise of 2 is this program's own choice.
    pub const STATED: PainLimits = PainLimits { during: 5, after: 5, rise: 2 };

    /// Rules that a diary passes. What was not asked passes nothing, and says nothing.
    pub fn passed(&self, diary: &Diary) -> Vec<Rule> {
        let over = |pain: Option<u8>, limit: u8| pain.is_some_and(|it| it > limit);
        let rises = diary
            .pain_before
            .zip(diary.pain_after)
            .is_some_and(|(before, after)| after >= before.saturating_add(self.rise));
        let found = [
            (Rule::PainDuring, over(diary.pain_during, self.during)),
            (Rule::PainAfter, over(diary.pain_after, self.after)),
            (Rule::PainRises, rises),
            (Rule::MorningWorse, diary.morning == Some(Morning::Worse)),
            (Rule::SwellingMore, diary.swelling == Some(Swelling::More)),
        ];
        found.into_iter().filter_map(|(rule, passed)| passed.then_some(rule)).collect()
    }
}

/// Worst pain of a diary; `None` where none was asked or told.
pub fn worst_pain(diary: &Diary) -> Option<u8> {
    [diary.pain_before, diary.pain_during, diary.pain_after].into_iter().flatten().max()
}

/// The response that one diary tells.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Response {
    /// Entry of the diary.
    pub entry: u64,
    /// Day it is about.
    pub on: Date,
    /// Pain before.
    pub before: Option<u8>,
    /// Worst pain during.
    pub during: Option<u8>,
    /// Pain right after.
    pub after: Option<u8>,
    /// The morning after the session before this one.
    pub morning: Option<Morning>,
    /// Swelling.
    pub swelling: Option<Swelling>,
    /// Rules that it passes, with their sources in [`Rule::basis`].
    pub passed: Vec<Rule>,
    /// False when neither pain nor morning nor swelling was told: then an empty `passed` means nothing.
    pub told: bool,
    /// True before the protocol's last phase: limits of the surgeon come first, and the pain rules were not
    /// validated for a repair that heals.
    pub protected: bool,
}

/// The response of each diary within some days, oldest first.
pub fn response(episode: &Episode, protocol: &Protocol, from: Date, until: Date) -> Vec<Response> {
    let phases = Phases::of(protocol, &episode.orders);
    let within = episode.course.diaries.iter().filter(|it| (from..until).contains(&it.fact.on));
    let one = |it: &handrail_episode::Numbered<Diary>| {
        let diary = &it.fact;
        Response {
            entry: it.number,
            on: diary.on,
            before: diary.pain_before,
            during: diary.pain_during,
            after: diary.pain_after,
            morning: diary.morning,
            swelling: diary.swelling,
            passed: PainLimits::STATED.passed(diary),
            told: worst_pain(diary).is_some() || diary.morning.is_some() || diary.swelling.is_some(),
            protected: phases.on(diary.on) + 1 < protocol.phases.len(),
        }
    };
    within.map(one).collect()
}
