//! Why a patient needs attention, in words, and where to act on it.
//!
//! Made of the reasons as they are stored with the caseload: no episode is folded for it.

use crate::Right;
use handrail_episode::Episode;
use handrail_library::Library;
use handrail_progress::{Attention, ChangeKind, Detail, Needed, ReachedValue, Reason, SheetCause, SheetWhy};
use handrail_protocol::{Limit, Order, Protocol, day_after_surgery};
use handrail_words::{Words, uncapital};
use jiff::civil::Date;

/// Where to act.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Act {
    /// Write down who was told of this entry.
    Call(u64),
    /// Write something down.
    Record,
    /// Confirm, order, lift; begin a phase.
    Restrictions,
    /// Change or issue the program.
    Program,
    /// Hand the program over.
    Home,
}

impl Act {
    /// Page of an episode on which it is done.
    pub fn path(self, episode: &str) -> String {
        match self {
            Act::Call(entry) => format!("/e/{episode}/record/call/{entry}"),
            Act::Record => format!("/e/{episode}/record"),
            Act::Restrictions => format!("/e/{episode}/restrictions"),
            Act::Program => format!("/e/{episode}/program"),
            Act::Home => format!("/e/{episode}/home"),
        }
    }

    /// What a person must be allowed to do there.
    pub fn right(self) -> Right {
        match self {
            Act::Call(_) | Act::Record => Right::Report,
            Act::Restrictions => Right::Record,
            Act::Program => Right::Plan,
            Act::Home => Right::Intake,
        }
    }
}

/// What to do about a reason: key of its name (`c-today-do-...`) and where.
pub fn to_do(it: &Attention) -> (&'static str, Act) {
    match (&it.reason, &it.detail) {
        (Reason::WarningSign(_), _) => ("c-today-do-sign", it.entry.map_or(Act::Record, Act::Call)),
        (Reason::PainResponse, _) => ("c-today-do-pain", Act::Record),
        (Reason::RestrictionsNotKnown, _) => ("c-today-do-not-known", Act::Restrictions),
        (Reason::RestrictionChanges, _) => ("c-today-do-change", Act::Restrictions),
        (Reason::RestrictionToConfirm, Detail::Variant { .. }) => ("c-today-do-answer", Act::Restrictions),
        (Reason::RestrictionToConfirm, _) => ("c-today-do-confirm", Act::Restrictions),
        (Reason::CriterionMet, _) => ("c-today-do-decide", Act::Record),
        (Reason::NoDiary, _) => ("c-today-do-ask", Act::Record),
        (Reason::ReportDue, _) => ("c-today-do-report", Act::Record),
        (Reason::NoProgram, Detail::NotGiven { .. }) => ("c-today-do-hand-over", Act::Home),
        (Reason::SheetOutOfDate, _) => ("c-today-do-sheet", Act::Program),
        (Reason::NoProgram, _) => ("c-today-do-plan", Act::Program),
        (Reason::MessageWaiting, _) => ("c-today-do-write-back", Act::Record),
    }
}

/// Short name of a reason, by [`Reason::id`].
pub fn tag(words: &Words, id: &str) -> String {
    words.text(&format!("c-today-reason-{id}"), &[])
}

/// How loud a reason is: class of its mark.
pub fn mark(reason: Reason) -> &'static str {
    match reason {
        Reason::WarningSign(_) | Reason::RestrictionsNotKnown => "stop",
        Reason::PainResponse | Reason::RestrictionChanges => "care",
        _ => "plain",
    }
}

/// What changes, on which planned day, and what that needs.
fn change_of(it: &Attention) -> Option<(&ChangeKind, Date, &[Needed])> {
    match &it.detail {
        Detail::Change { change, planned, needs } => Some((change, *planned, needs)),
        _ => None,
    }
}

/// What a sentence is made with.
#[derive(Clone, Copy)]
pub struct Teller<'a> {
    /// Words.
    pub words: &'a Words,
    /// Protocol of the episode; `None` when the library does not have it.
    pub protocol: Option<&'a Protocol>,
    /// Orders on record, to name them by what they say; none where no episode was read.
    pub orders: &'a [Order],
    /// Today.
    pub today: Date,
}

impl<'a> Teller<'a> {
    /// A teller for an episode under a protocol.
    pub fn new(words: &'a Words, library: &'a Library, protocol: &str, today: Date) -> Teller<'a> {
        Teller { words, protocol: library.protocols.get(protocol), orders: &[], today }
    }

    /// The same, knowing what was ordered.
    pub fn of(words: &'a Words, library: &'a Library, episode: &'a Episode, today: Date) -> Teller<'a> {
        let teller = Teller::new(words, library, &episode.operation.protocol, today);
        Teller { orders: &episode.orders.orders, ..teller }
    }

    /// The limit of a restriction or an order.
    fn limit(&self, id: &str) -> Option<&Limit> {
        let ordered = || self.orders.iter().find(|it| it.id == id).map(|it| &it.limit);
        self.protocol.and_then(|it| it.restriction(id)).map(|it| &it.limit).or_else(ordered)
    }

    /// A reason in one sentence.
    pub fn sentence(&self, it: &Attention) -> String {
        let words = self.words;
        match &it.detail {
            Detail::Signs { on, signs } => {
                let first = signs.first().map_or("", |it| it.says.as_str());
                let more = signs.len().saturating_sub(1) as u32;
                let args = [("date", self.date(*on).into()), ("sign", first.into()), ("more", more.into())];
                words.text("c-today-says-signs", &args)
            }
            Detail::Pain { entries, last, worst, rules } => {
                let rules: Vec<String> =
                    rules.iter().map(|it| words.text(&format!("c-today-rule-{}", it.id()), &[])).collect();
                let args = [
                    ("n", (entries.len() as u32).into()),
                    ("date", self.date(*last).into()),
                    ("worst", worst.map_or_else(|| "?".to_string(), |it| it.to_string()).into()),
                    ("rules", self.some(&rules, 2).into()),
                ];
                words.text("c-today-says-pain", &args)
            }
            Detail::NotKnown { mistakes } => {
                words.text("c-today-says-not-known", &[("mistakes", mistakes.join("; ").into())])
            }
            Detail::Change { change, planned, needs } => self.changes(&[change], *planned, needs),
            Detail::Assumed { restrictions } => {
                // "position" alone does not say which; of many the kinds are enough, the page lists them.
                let few = restrictions.len() <= 2;
                let name = |it: &String| if few { self.limit_text(it) } else { self.limit_name(it) };
                let names: Vec<String> = restrictions.iter().map(name).collect();
                let args = [("n", (names.len() as u32).into()), ("names", self.some(&names, 3).into())];
                words.text("c-today-says-assumed", &args)
            }
            Detail::Variant { variant, depends } => {
                let args =
                    [("question", self.question(variant).into()), ("n", (depends.len() as u32).into())];
                words.text("c-today-says-variant", &args)
            }
            Detail::Criterion { begins, value, unit, asked, within_error, on } => {
                let args = [
                    ("criterion", self.criterion_name(&it.about).into()),
                    ("value", self.value(*value, unit, *asked).into()),
                    ("asked", self.asked(*asked, unit).into()),
                    ("date", self.date(*on).into()),
                    ("phase", self.phase(begins).into()),
                ];
                // Of what is judged the sentence says that it is met; a "yes" after a "no ..." can be misread.
                let key = match asked {
                    ReachedValue::Judged => "c-today-says-criterion-judged",
                    _ => "c-today-says-criterion",
                };
                let mut out = words.text(key, &args);
                if *within_error == Some(true) {
                    out.push(' ');
                    out.push_str(&words.text("c-today-within-error", &[]));
                }
                out
            }
            Detail::NoDiary { last, planned_days, .. } => {
                let last = match last {
                    Some(on) => words.text("c-today-last-diary", &[("date", self.date(*on).into())]),
                    None => words.text("c-today-no-diary-yet", &[]),
                };
                words.text("c-today-says-no-diary", &[("n", (*planned_days).into()), ("last", last.into())])
            }
            Detail::SurgeonReport { visit, surgeon } => {
                let args = [("date", self.date(*visit).into()), ("surgeon", surgeon.as_str().into())];
                words.text("c-today-says-surgeon-report", &args)
            }
            Detail::ProgressReport { treatment_days, by_treatment_day } => {
                let args = [("n", (*treatment_days).into()), ("by", (*by_treatment_day).into())];
                words.text("c-today-says-progress-report", &args)
            }
            Detail::Sheet { held, valid_until, causes } => self.sheet(*held, *valid_until, causes),
            Detail::NoProgram => words.text("c-today-says-no-program", &[]),
            Detail::NotGiven { version } => {
                words.text("c-today-says-not-given", &[("version", (*version).into())])
            }
            Detail::Messages { count } => words.text("c-today-says-messages", &[("n", (*count).into())]),
        }
    }

    /// Reasons that one act answers, in one sentence: changes that are planned for the same day and need the same.
    pub fn together(&self, of: &[&Attention]) -> String {
        let changes: Vec<&ChangeKind> = of.iter().filter_map(|it| change_of(it).map(|it| it.0)).collect();
        match of.first().and_then(|it| change_of(it)) {
            Some((_, planned, needs)) => self.changes(&changes, planned, needs),
            None => of.iter().map(|it| self.sentence(it)).collect::<Vec<_>>().join(" "),
        }
    }

    /// Puts those of one act together, at the place of the first.
    pub fn by_act<'b>(&self, all: &'b [Attention]) -> Vec<Vec<&'b Attention>> {
        let act = |it: &Attention| {
            change_of(it).map(|(_, planned, needs)| {
                (planned, needs.iter().map(|it| self.need(it)).collect::<Vec<_>>())
            })
        };
        let mut out: Vec<Vec<&Attention>> = Vec::new();
        for it in all {
            let known = act(it).and_then(|own| out.iter_mut().find(|of| act(of[0]).as_ref() == Some(&own)));
            match known {
                Some(group) => group.push(it),
                None => out.push(vec![it]),
            }
        }
        out
    }

    fn changes(&self, changes: &[&ChangeKind], planned: Date, needs: &[Needed]) -> String {
        let words = self.words;
        let what: Vec<String> = changes.iter().map(|it| self.change(it)).collect();
        let days = day_after_surgery(self.today, planned);
        let key = match days {
            ..0 => "c-today-change-overdue",
            0 => "c-today-change-today",
            _ => "c-today-change-soon",
        };
        let args = [
            ("what", what.join("; ").into()),
            ("date", self.date(planned).into()),
            ("days", (days.unsigned_abs()).into()),
        ];
        let mut out = words.text(key, &args);
        if !needs.is_empty() {
            let needs: Vec<String> = needs.iter().map(|it| self.need(it)).collect();
            out.push(' ');
            out.push_str(&words.text("c-today-needs", &[("needs", words.all_of(&needs).into())]));
        }
        out
    }

    fn change(&self, change: &ChangeKind) -> String {
        let words = self.words;
        match change {
            ChangeKind::Starts { id } => {
                words.text("c-today-change-starts", &[("limit", self.limit_name(id).into())])
            }
            ChangeKind::Steps { from, to } => {
                let args = [("from", self.limit_text(from).into()), ("to", self.limit_value(to).into())];
                words.text("c-today-change-steps", &args)
            }
            ChangeKind::Ends { id } => {
                words.text("c-today-change-ends", &[("limit", self.limit_text(id).into())])
            }
            ChangeKind::Phase { id } => {
                words.text("c-today-change-phase", &[("phase", self.phase(id).into())])
            }
        }
    }

    fn need(&self, it: &Needed) -> String {
        match it {
            Needed::Criterion(id) => {
                self.words.text("c-today-need-criterion", &[("criterion", self.criterion_name(id).into())])
            }
            Needed::Release(_) => self.words.text("c-today-need-release", &[]),
            Needed::BeginPhase(id) => {
                self.words.text("c-today-need-phase", &[("phase", self.phase(id).into())])
            }
        }
    }

    fn sheet(&self, held: u32, valid_until: Date, causes: &[SheetCause]) -> String {
        let words = self.words;
        let come: Vec<String> = causes
            .iter()
            .filter(|it| it.since <= self.today)
            .map(|it| match &it.why {
                SheetWhy::NewerVersion { version } => {
                    words.text("c-today-sheet-newer", &[("version", (*version).into())])
                }
                SheetWhy::OrdersChanged { .. } => {
                    words.text("c-today-sheet-orders", &[("date", self.date(it.since).into())])
                }
                SheetWhy::LimitBegan { id } => {
                    words.text("c-today-sheet-limit", &[("limit", self.limit_name(id).into())])
                }
                SheetWhy::Expired => {
                    words.text("c-today-sheet-expired", &[("date", self.date(valid_until).into())])
                }
            })
            .collect();
        let args = [("version", held.into()), ("why", words.all_of(&come).into())];
        words.text("c-today-says-sheet", &args)
    }

    /// A date, short.
    pub fn date(&self, on: Date) -> String {
        self.words.date_short(on)
    }

    /// What a restriction or an order limits; an order that is not at hand by its own name.
    pub fn limit_name(&self, id: &str) -> String {
        match self.limit(id) {
            Some(it) => uncapital(&self.words.limit_on(it)),
            None => self.words.text("c-today-order", &[("id", id.into())]),
        }
    }

    /// The same with its value.
    pub fn limit_text(&self, id: &str) -> String {
        match self.limit(id) {
            Some(it) => format!("{} ({})", uncapital(&self.words.limit_on(it)), self.words.limit_value(it)),
            None => self.limit_name(id),
        }
    }

    fn limit_value(&self, id: &str) -> String {
        self.limit(id).map_or_else(|| self.limit_name(id), |it| self.words.limit_value(it))
    }

    /// A criterion in the words of its protocol, in the reader's language where they are translated.
    pub fn criterion_name(&self, id: &str) -> String {
        let found = self.protocol.and_then(|it| it.criteria.iter().find(|it| it.id == id));
        found.map_or_else(|| id.replace(['_', '-'], " "), |it| self.words.said(&it.says).text.to_string())
    }

    /// A phase by its plain name.
    pub fn phase(&self, id: &str) -> String {
        match self.protocol {
            Some(it) => self.words.phase_name(&it.id, id),
            None => id.into(),
        }
    }

    /// The question about an operation, in the reader's language where there is one.
    pub fn question(&self, variant: &str) -> String {
        let key = format!("c-question-{}", variant.replace('_', "-"));
        let own = || self.protocol.and_then(|it| it.variant(variant)).map(|it| it.question.clone());
        self.words.try_text(&key, &[]).or_else(own).unwrap_or_else(|| variant.replace('_', " "))
    }

    fn value(&self, value: f64, unit: &str, asked: ReachedValue) -> String {
        if asked == ReachedValue::Judged {
            return self.words.text("c-today-judged-yes", &[]);
        }
        format!("{} {}", self.words.number(value, 1), unit_word(self.words, unit)).trim().to_string()
    }

    fn asked(&self, asked: ReachedValue, unit: &str) -> String {
        let amount = |value: f64| {
            format!("{} {}", self.words.number(value, 1), unit_word(self.words, unit)).trim().to_string()
        };
        match asked {
            ReachedValue::AtLeast(value) => {
                self.words.text("c-today-at-least", &[("value", amount(value).into())])
            }
            ReachedValue::AtMost(value) => {
                self.words.text("c-today-at-most", &[("value", amount(value).into())])
            }
            ReachedValue::Judged => self.words.text("c-today-asked-judged", &[]),
        }
    }

    /// The first few of a list, and that there are others.
    fn some(&self, names: &[String], shown: usize) -> String {
        let mut names = names.to_vec();
        names.dedup();
        if names.len() > shown {
            names.truncate(shown);
            names.push(self.words.text("c-today-others", &[]));
        }
        self.words.all_of(&names)
    }
}

/// A unit as it is written out; units that are the same everywhere as they are.
pub fn unit_word(words: &Words, unit: &str) -> String {
    match unit {
        "deg" => words.text("c-unit-deg", &[]),
        other => words.try_text(&format!("c-record-unit-{other}"), &[]).unwrap_or_else(|| other.into()),
    }
}
