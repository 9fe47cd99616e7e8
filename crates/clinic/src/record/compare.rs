//! The limits of a day before and after a change, so that what becomes looser is seen before it is written.

use handrail_protocol::{
    Envelope, EnvelopeError, InForce, Limit, Note, Orders, Protocol, day_after_surgery, envelope,
};
use handrail_words::Words;
use jiff::civil::Date;
use maud::{Markup, html};

/// What a change does to a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Becomes {
    /// More is allowed.
    Looser,
    /// Nothing limits it any more.
    Free,
    /// Something is allowed that was not, and the other way round.
    Other,
    /// Less is allowed.
    Stricter,
    /// It was not limited.
    New,
}

impl Becomes {
    /// True when anything is allowed that was not before.
    pub fn loosens(self) -> bool {
        matches!(self, Becomes::Looser | Becomes::Free | Becomes::Other)
    }

    fn key(self) -> &'static str {
        match self {
            Becomes::Looser => "c-record-becomes-looser",
            Becomes::Free => "c-record-becomes-free",
            Becomes::Other => "c-record-becomes-other",
            Becomes::Stricter => "c-record-becomes-stricter",
            Becomes::New => "c-record-becomes-new",
        }
    }
}

/// One limit that changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// What it does.
    pub becomes: Becomes,
    /// Limit before.
    pub before: Option<Limit>,
    /// Limit after.
    pub after: Option<Limit>,
    /// Day before which the limit was not planned to give way, where it gives way before it.
    pub planned: Option<Date>,
}

/// Everything that changes on a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Comparison {
    /// Day.
    pub on: Date,
    /// Phase before and after.
    pub phase: (String, String),
    /// Planned first day of the phase after, where it begins before it.
    pub phase_planned: Option<Date>,
    /// Limits that change, the looser ones first.
    pub rows: Vec<Row>,
    /// Limits that stay as they are.
    pub same: usize,
}

/// Compares the limits of a day under two sets of orders.
///
/// # Errors
/// Orders that do not fit the protocol, or a day before the surgery.
pub fn compare(
    protocol: &Protocol,
    before: &Orders,
    after: &Orders,
    on: Date,
) -> Result<Comparison, EnvelopeError> {
    Ok(of(&envelope(protocol, before, on)?, &envelope(protocol, after, on)?))
}

fn of(before: &Envelope, after: &Envelope) -> Comparison {
    let covers = |list: &[InForce], limit: &Limit| list.iter().any(|it| it.limit.implies(limit));
    let lost: Vec<&InForce> =
        before.in_force.iter().filter(|it| !covers(&after.in_force, &it.limit)).collect();
    let gained: Vec<&Limit> =
        after.in_force.iter().map(|it| &it.limit).filter(|it| !covers(&before.in_force, it)).collect();
    let mut rows = Vec::new();
    let mut paired: Vec<&Limit> = Vec::new();
    for in_force in &lost {
        let old = &in_force.limit;
        let same_thing = |it: &&Limit| it.same_quantity(old) || it.same_subject(old);
        let weaker = after.in_force.iter().map(|it| &it.limit).find(|it| same_thing(it) && old.implies(it));
        let other = gained.iter().copied().find(same_thing);
        let (becomes, now) = match (weaker, other) {
            (Some(now), _) => (Becomes::Looser, Some(now)),
            (None, Some(now)) => (Becomes::Other, Some(now)),
            (None, None) => (Becomes::Free, None),
        };
        paired.extend(now);
        let planned = in_force.until.earliest.filter(|it| *it > before.on);
        rows.push(Row { becomes, before: Some(old.clone()), after: now.cloned(), planned });
    }
    for new in gained.iter().filter(|it| !paired.contains(it)) {
        let mut earlier = before.in_force.iter().map(|it| &it.limit);
        let earlier = earlier.find(|it| new.implies(it) && (it.same_quantity(new) || it.same_subject(new)));
        let becomes = if earlier.is_some() { Becomes::Stricter } else { Becomes::New };
        rows.push(Row { becomes, before: earlier.cloned(), after: Some((*new).clone()), planned: None });
    }
    rows.sort_by_key(|it| !it.becomes.loosens());
    Comparison {
        on: before.on,
        phase: (before.phase.id.clone(), after.phase.id.clone()),
        phase_planned: after.notes.iter().find_map(|it| match it {
            Note::PhaseEarly { phase, planned } if *phase == after.phase.id && *planned > after.on => {
                Some(*planned)
            }
            _ => None,
        }),
        rows,
        same: before.in_force.len() - lost.len(),
    }
}

impl Comparison {
    /// True when anything is allowed afterwards that was not before, or another phase begins.
    pub fn loosens(&self) -> bool {
        self.rows.iter().any(|it| it.becomes.loosens()) || self.phase.0 != self.phase.1
    }

    /// Names this comparison: what was seen is what is written.
    pub fn digest(&self) -> String {
        blake3::hash(format!("{self:?}").as_bytes()).to_hex()[..16].to_string()
    }

    /// As a table.
    pub fn shown(&self, words: &Words, protocol: &str) -> Markup {
        let date = words.date_long(self.on);
        html! {
            section class="rec-compare" aria-label=(words.text("c-record-compare", &[("date", date.clone().into())])) {
                h3 { (words.text("c-record-compare", &[("date", date.into())])) }
                @if self.phase.0 != self.phase.1 {
                    p { (words.text("c-record-compare-phase", &[
                        ("from", words.phase_name(protocol, &self.phase.0).into()),
                        ("to", words.phase_name(protocol, &self.phase.1).into()),
                    ])) @if let Some(planned) = self.phase_planned { " " strong { (early(words, self.on, planned)) } } }
                }
                @if self.rows.is_empty() { p { (words.text("c-record-compare-none", &[])) } }
                @else {
                    table class="rec-rows" {
                        thead { tr {
                            th scope="col" { (words.text("c-record-limit", &[])) }
                            th scope="col" { (words.text("c-record-before", &[])) }
                            th scope="col" { (words.text("c-record-after", &[])) }
                            th scope="col" { (words.text("c-record-becomes", &[])) }
                        } }
                        tbody { @for row in &self.rows { (row_shown(words, self.on, row)) } }
                    }
                }
                p class="quiet" { (words.text("c-record-compare-same", &[("n", (self.same as f64).into())])) }
            }
        }
    }
}

/// The planned day, and how many days before it something gives way.
fn early(words: &Words, on: Date, planned: Date) -> String {
    let days = day_after_surgery(on, planned).unsigned_abs();
    let args = [("date", words.date_short(planned).into()), ("n", days.into())];
    words.text("c-record-compare-early", &args)
}

fn row_shown(words: &Words, day: Date, row: &Row) -> Markup {
    let value = |it: &Option<Limit>| {
        it.as_ref().map_or_else(|| words.text("c-record-not-limited", &[]), |it| words.limit_value(it))
    };
    let on = row.after.as_ref().or(row.before.as_ref()).map_or_else(String::new, |it| words.limit_on(it));
    html! {
        tr class=[row.becomes.loosens().then_some("looser")] {
            th scope="row" { (on) }
            td data-label=(words.text("c-record-before", &[])) { (value(&row.before)) }
            td data-label=(words.text("c-record-after", &[])) { (value(&row.after)) }
            td data-label=(words.text("c-record-becomes", &[])) {
                span class={ "tag " (if row.becomes.loosens() { "stop" } else { "" }) } { (words.text(row.becomes.key(), &[])) }
                @if let Some(planned) = row.planned { " " strong class="rec-early" { (early(words, day, planned)) } }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use handrail_anatomy::Side;
    use handrail_protocol::{Act, ActKind, Order, WeightBearing};
    use jiff::civil::date;

    fn protocol() -> Protocol {
        handrail_library::Library::built_in().unwrap().protocols["achilles-repair"].clone()
    }

    fn order(id: &str, limit: Limit, replaces: &str) -> Order {
        let on = date(2026, 11, 20);
        Order {
            id: id.into(),
            limit,
            replaces: Some(replaces.into()),
            by: "Dr. Invented".into(),
            on,
            document: "letter".into(),
            from: on,
            until: None,
            note: None,
        }
    }

    #[test]
    fn more_weight_is_looser_and_less_is_stricter() {
        let protocol = protocol();
        let before = Orders::new(date(2026, 11, 1), Side::Left);
        let on = date(2026, 11, 25);
        let today = envelope(&protocol, &before, on).unwrap();
        let weight = today.in_force.iter().find(|it| matches!(it.limit, Limit::LegWeightBearing(_))).unwrap();
        let mut after = before.clone();
        after.orders.push(order("order-1", Limit::LegWeightBearing(WeightBearing::Full), &weight.id));
        let looser = compare(&protocol, &before, &after, on).unwrap();
        assert!(looser.loosens(), "{looser:?}");
        let back = compare(&protocol, &after, &before, on).unwrap();
        assert!(!back.loosens(), "{back:?}");
        assert_ne!(looser.digest(), back.digest());
    }

    #[test]
    fn nothing_changes_by_nothing_and_a_phase_counts_as_a_change() {
        let protocol = protocol();
        let before = Orders::new(date(2026, 11, 1), Side::Left);
        let on = date(2026, 11, 25);
        let same = compare(&protocol, &before, &before, on).unwrap();
        assert!(same.rows.is_empty() && !same.loosens());
        let mut after = before.clone();
        let phase = protocol.phases[1].id.clone();
        after.acts.push(Act {
            kind: ActKind::BeginPhase { phase },
            by: "Dr. Invented".into(),
            on,
            document: None,
            reason: Some("criteria met".into()),
        });
        assert!(compare(&protocol, &before, &after, on).unwrap().loosens());
    }

    #[test]
    fn what_gives_way_before_its_planned_day_says_so() {
        let protocol = protocol();
        let before = Orders::new(date(2026, 11, 1), Side::Left);
        let on = date(2026, 11, 3);
        let today = envelope(&protocol, &before, on).unwrap();
        let mut lifted = 0;
        for limit in today.in_force.iter().filter(|it| it.until.earliest.is_some_and(|day| day > on)) {
            let mut after = before.clone();
            after.acts.push(Act {
                kind: ActKind::Release { restriction: limit.id.clone() },
                by: "Dr. Invented".into(),
                on,
                document: None,
                reason: Some("heals as planned".into()),
            });
            let seen = compare(&protocol, &before, &after, on).unwrap();
            // Where another limit says the same, nothing gives way.
            let Some(row) = seen.rows.iter().find(|it| it.before.as_ref() == Some(&limit.limit)) else {
                continue;
            };
            assert_eq!(row.planned, limit.until.earliest, "{}", limit.id);
            lifted += 1;
            let back = compare(&protocol, &after, &before, on).unwrap();
            let early_and_tighter = |it: &Row| it.planned.is_some() && !it.becomes.loosens();
            assert!(
                !back.rows.iter().any(early_and_tighter),
                "what becomes stricter is never early: {back:?}"
            );
        }
        assert!(lifted > 0, "no limit of this protocol has a planned day");

        let phase = &protocol.phases[1];
        let mut begun = before.clone();
        begun.acts.push(Act {
            kind: ActKind::BeginPhase { phase: phase.id.clone() },
            by: "Dr. Invented".into(),
            on,
            document: None,
            reason: Some("criteria met".into()),
        });
        let seen = compare(&protocol, &before, &begun, on).unwrap();
        assert!(seen.phase_planned.is_some_and(|it| it > on), "{:?}", seen.phase_planned);
    }
}
