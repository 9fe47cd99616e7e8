//! What the surgeon and the therapist have put on record for one patient: the operation's facts, orders,
//! confirmations of the protocol, and the acts that lift a restriction or begin a phase.

use std::collections::{BTreeMap, BTreeSet};

use handrail_anatomy::{Position, Side};
use handrail_spans::{Problems, SourceText, Spanned};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

use crate::calendar::DateText;
use crate::limit_spec::{
    BeyondSpec, DeviceSpec, DriveSpec, ExposureSpec, LimitSpec, MotionSpec, MuscleSpec, ResistanceSpec,
    TissueLoadSpec, WeightBearingSpec, is_name,
};
use crate::limits::Limit;
use crate::model::Protocol;
use crate::spec::entry_with_limit;

/// A named person has confirmed that a restriction of the protocol applies to this patient.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Confirmation {
    /// Restriction of the protocol.
    pub restriction: String,
    /// Who.
    pub by: String,
    /// When; a confirmation holds from this day on.
    pub on: Date,
    /// In which document.
    pub document: String,
}

/// A surgeon's order.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Order {
    /// Name, different from every restriction's.
    pub id: String,
    /// What it limits.
    pub limit: Limit,
    /// Restriction or earlier order whose place it takes, whatever that says.
    pub replaces: Option<String>,
    /// Who ordered it.
    pub by: String,
    /// When it was given.
    pub on: Date,
    /// In which document.
    pub document: String,
    /// First day it holds.
    pub from: Date,
    /// Last day it was ordered for. After it the order no longer loosens anything, but what it forbids stays
    /// until a person releases it.
    pub until: Option<Date>,
    /// Remark.
    pub note: Option<String>,
}

/// What an act does.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ActKind {
    /// Lifts a restriction or an order; a stage of a ladder gives way to the next stage.
    Release {
        /// Restriction or order.
        restriction: String,
    },
    /// Begins a phase; an earlier phase than the present one is a step back.
    BeginPhase {
        /// Phase.
        phase: String,
    },
}

/// A decision by a named person.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Act {
    /// What it does.
    pub kind: ActKind,
    /// Who.
    pub by: String,
    /// When; it takes effect on this day.
    pub on: Date,
    /// In which document, if any.
    pub document: Option<String>,
    /// Why.
    pub reason: Option<String>,
}

/// Everything on record for one patient that an envelope needs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Orders {
    /// Date of the operation: day 0.
    pub surgery: Date,
    /// Operated side.
    pub side: Side,
    /// Answers to the protocol's variants. A missing or blank answer blocks.
    pub variants: BTreeMap<String, String>,
    /// Confirmed restrictions.
    pub confirmed: Vec<Confirmation>,
    /// Surgeon's orders.
    pub orders: Vec<Order>,
    /// Acts, in any order of dates; acts of one day take effect in the order given.
    pub acts: Vec<Act>,
}

impl Orders {
    /// Nothing on record but the operation itself.
    pub fn new(surgery: Date, side: Side) -> Orders {
        Orders {
            surgery,
            side,
            variants: BTreeMap::new(),
            confirmed: Vec::new(),
            orders: Vec::new(),
            acts: Vec::new(),
        }
    }

    /// The answer to a variant; blank counts as missing.
    pub fn answer(&self, variant: &str) -> Option<&str> {
        self.variants.get(variant).map(|it| it.trim()).filter(|it| !it.is_empty())
    }
}

/// Entry that a mistake is in.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum OrdersEntry {
    /// Answer to a variant.
    Variant(String),
    /// Index in `confirmed`.
    Confirmation(usize),
    /// Index in `orders`.
    Order(usize),
    /// Index in `acts`.
    Act(usize),
}

/// A mistake in the orders, found by holding them against the protocol.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct OrdersMistake {
    /// Where.
    pub entry: OrdersEntry,
    /// Field of the entry.
    pub field: &'static str,
    /// What is wrong, and what was expected.
    pub message: String,
    /// How to mend it.
    pub mend: String,
}

/// Holds orders against a protocol: unknown names, dates before the surgery, circular replacements, entries
/// without a person. Empty when all is well.
pub fn check_orders(protocol: &Protocol, orders: &Orders) -> Vec<OrdersMistake> {
    let mut check = OrdersCheck { protocol, orders, mistakes: Vec::new() };
    check.variants();
    check.confirmations();
    check.orders();
    check.acts();
    check.mistakes
}

struct OrdersCheck<'a> {
    protocol: &'a Protocol,
    orders: &'a Orders,
    mistakes: Vec<OrdersMistake>,
}

impl OrdersCheck<'_> {
    fn add(&mut self, entry: OrdersEntry, field: &'static str, message: String, mend: impl Into<String>) {
        self.mistakes.push(OrdersMistake { entry, field, message, mend: mend.into() });
    }

    fn named(&mut self, entry: OrdersEntry, by: &str) {
        if by.trim().is_empty() {
            self.add(entry, "by", "no person is named".into(), "write who decided it");
        }
    }

    fn not_before_surgery(&mut self, entry: OrdersEntry, field: &'static str, date: Date) {
        if date < self.orders.surgery {
            let message = format!("{date} is before the surgery on {}", self.orders.surgery);
            self.add(entry, field, message, "correct this date or the date of the surgery");
        }
    }

    fn variants(&mut self) {
        for (name, answer) in &self.orders.variants {
            let entry = OrdersEntry::Variant(name.clone());
            let Some(variant) = self.protocol.variant(name) else {
                let names: Vec<&str> = self.protocol.variants.iter().map(|it| it.name.as_str()).collect();
                let message = format!("the protocol has no variant {name:?}");
                self.add(entry, "variant", message, format!("it has: {}", names.join(", ")));
                continue;
            };
            let answer = answer.trim();
            if !answer.is_empty() && !variant.choices.iter().any(|it| it == answer) {
                let message = format!("{answer:?} is not an answer to {name:?}");
                self.add(entry, "variant", message, format!("write one of: {}", variant.choices.join(", ")));
            }
        }
    }

    fn confirmations(&mut self) {
        for (index, it) in self.orders.confirmed.iter().enumerate() {
            self.named(OrdersEntry::Confirmation(index), &it.by);
            if self.protocol.restriction(&it.restriction).is_none() {
                let message = format!("the protocol has no restriction {:?}", it.restriction);
                self.add(
                    OrdersEntry::Confirmation(index),
                    "restriction",
                    message,
                    "write a restriction's id",
                );
            }
        }
    }

    fn orders(&mut self) {
        let mut seen = BTreeSet::new();
        for (index, it) in self.orders.orders.iter().enumerate() {
            let entry = OrdersEntry::Order(index);
            self.named(entry.clone(), &it.by);
            if it.document.trim().is_empty() {
                let mend = "write the letter, note or call it was given in";
                self.add(entry.clone(), "document", "no document is named".into(), mend);
            }
            if !seen.insert(it.id.as_str()) || self.protocol.restriction(&it.id).is_some() {
                let message = format!("{:?} is already the name of another order or restriction", it.id);
                self.add(entry.clone(), "id", message, "give the order its own name");
            }
            self.not_before_surgery(entry.clone(), "from", it.from);
            if let Some(until) = it.until
                && until < it.from
            {
                let message = format!("{until} is before the order's first day {}", it.from);
                self.add(entry.clone(), "until", message, "correct one of the dates");
            }
            if let Some(target) = &it.replaces {
                let known = self.protocol.restriction(target).is_some()
                    || self.orders.orders.iter().any(|other| other.id == *target);
                if !known {
                    let message = format!("there is no restriction or order {target:?}");
                    self.add(entry.clone(), "replaces", message, "write the id of what it replaces");
                } else if replaced_by(&self.orders.orders, it).contains(&it.id) {
                    let message = format!("{:?} replaces itself, directly or in a circle", it.id);
                    self.add(entry, "replaces", message, "let only the later order replace the earlier one");
                }
            }
        }
    }

    fn acts(&mut self) {
        for (index, it) in self.orders.acts.iter().enumerate() {
            let entry = OrdersEntry::Act(index);
            self.named(entry.clone(), &it.by);
            self.not_before_surgery(entry.clone(), "on", it.on);
            match &it.kind {
                ActKind::Release { restriction } => {
                    let known = self.protocol.restriction(restriction).is_some()
                        || self.orders.orders.iter().any(|other| other.id == *restriction);
                    if !known {
                        let message = format!("there is no restriction or order {restriction:?}");
                        self.add(entry, "release", message, "write the id of what is released");
                    }
                }
                ActKind::BeginPhase { phase } => {
                    if self.protocol.phase(phase).is_none() {
                        let ids: Vec<&str> = self.protocol.phases.iter().map(|it| it.id.as_str()).collect();
                        let message = format!("the protocol has no phase {phase:?}");
                        self.add(entry, "begin_phase", message, format!("write one of: {}", ids.join(", ")));
                    }
                }
            }
        }
    }
}

/// Ids whose place an order takes: what it replaces, what that order replaced, and so on.
pub(crate) fn replaced_by(orders: &[Order], order: &Order) -> BTreeSet<String> {
    let mut replaced = BTreeSet::new();
    let mut next = order.replaces.clone();
    while let Some(id) = next {
        if !replaced.insert(id.clone()) {
            break;
        }
        next = orders.iter().find(|it| it.id == id).and_then(|it| it.replaces.clone());
    }
    replaced
}

entry_with_limit! {
    /// A surgeon's order as a text file writes it; the limit uses the words of protocol restrictions.
    pub struct OrderSpec {
        /// Name, different from every restriction's.
        #[schemars(with = "String")]
        pub id: Spanned<String>,
        /// Restriction or earlier order whose place it takes.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Option<String>")]
        pub replaces: Option<Spanned<String>>,
        /// Who ordered it.
        #[schemars(with = "String")]
        pub by: Spanned<String>,
        /// When it was given.
        #[schemars(with = "DateText")]
        pub on: Spanned<DateText>,
        /// In which document.
        #[schemars(with = "String")]
        pub document: Spanned<String>,
        /// First day it holds.
        #[schemars(with = "DateText")]
        pub from: Spanned<DateText>,
        /// Last day it was ordered for; left out: until released.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[schemars(with = "Option<DateText>")]
        pub until: Option<Spanned<DateText>>,
        /// Remark.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        pub note: Option<String>,
    }
}

/// A confirmation as a text file writes it.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ConfirmationSpec {
    /// Restriction of the protocol.
    #[schemars(with = "String")]
    pub restriction: Spanned<String>,
    /// Who.
    #[schemars(with = "String")]
    pub by: Spanned<String>,
    /// When.
    #[schemars(with = "DateText")]
    pub on: Spanned<DateText>,
    /// In which document.
    #[schemars(with = "String")]
    pub document: Spanned<String>,
}

/// An act as a text file writes it; exactly one of `release` and `begin_phase`.
#[derive(Clone, Debug, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ActSpec {
    /// Restriction or order that is lifted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub release: Option<Spanned<String>>,
    /// Phase that begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(with = "Option<String>")]
    pub begin_phase: Option<Spanned<String>>,
    /// Who.
    #[schemars(with = "String")]
    pub by: Spanned<String>,
    /// When.
    #[schemars(with = "DateText")]
    pub on: Spanned<DateText>,
    /// In which document. An act needs a document or a reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub document: Option<String>,
    /// Why.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reason: Option<String>,
}

fn require_text(
    source: &SourceText,
    problems: &mut Problems,
    field: &str,
    text: &Spanned<String>,
    mend: &str,
) -> Option<String> {
    if text.get_ref().trim().is_empty() {
        problems.0.push(source.problem(text.span(), field, "is blank", mend));
        return None;
    }
    Some(text.get_ref().clone())
}

impl OrderSpec {
    /// Checks the order by itself; [`check_orders`] holds it against the protocol afterwards.
    pub fn check(&self, source: &SourceText, problems: &mut Problems) -> Option<Order> {
        if !is_name(self.id.get_ref()) {
            problems.0.push(source.problem(
                self.id.span(),
                "order.id",
                format!("{:?} is not a name", self.id.get_ref()),
                "use small letters, digits, `-` and `_`, starting with a letter",
            ));
        }
        let limit = self.limit_spec();
        if limit.is_empty() {
            problems.0.push(source.problem(
                self.id.span(),
                "order",
                "orders nothing, and a blank is not \"no limit\"",
                "add one of: weight_bearing, motion, drive, muscle, device, position, combination, resistance, \
                 no_impact, activity, tissue_load, exposure",
            ));
        }
        let limit = limit.check(source, problems);
        let by = require_text(source, problems, "order.by", &self.by, "write who ordered it");
        let mend = "write the letter, note or call it was given in";
        let document = require_text(source, problems, "order.document", &self.document, mend);
        if let Some(until) = &self.until
            && until.get_ref().0 < self.from.get_ref().0
        {
            let message = "is before the order's first day";
            problems.0.push(source.problem(until.span(), "order.until", message, "correct one of the dates"));
        }
        Some(Order {
            id: self.id.get_ref().clone(),
            limit: limit?,
            replaces: self.replaces.as_ref().map(|it| it.get_ref().clone()),
            by: by?,
            on: self.on.get_ref().0,
            document: document?,
            from: self.from.get_ref().0,
            until: self.until.as_ref().map(|it| it.get_ref().0),
            note: self.note.clone(),
        })
    }
}

impl ConfirmationSpec {
    /// Checks the confirmation by itself; [`check_orders`] holds it against the protocol afterwards.
    pub fn check(&self, source: &SourceText, problems: &mut Problems) -> Option<Confirmation> {
        let by = require_text(source, problems, "confirmed.by", &self.by, "write who confirmed it");
        let mend = "write the letter, note or call it was given in";
        let document = require_text(source, problems, "confirmed.document", &self.document, mend);
        Some(Confirmation {
            restriction: self.restriction.get_ref().clone(),
            by: by?,
            on: self.on.get_ref().0,
            document: document?,
        })
    }
}

impl ActSpec {
    /// Checks the act by itself; [`check_orders`] holds it against the protocol afterwards.
    pub fn check(&self, source: &SourceText, problems: &mut Problems) -> Option<Act> {
        let kind = match (&self.release, &self.begin_phase) {
            (Some(it), None) => Some(ActKind::Release { restriction: it.get_ref().clone() }),
            (None, Some(it)) => Some(ActKind::BeginPhase { phase: it.get_ref().clone() }),
            _ => {
                problems.0.push(source.problem(
                    self.by.span(),
                    "act",
                    "needs exactly one of `release` and `begin_phase`",
                    "write one act for each decision",
                ));
                None
            }
        };
        let by = require_text(source, problems, "act.by", &self.by, "write who decided it");
        let given = |text: &Option<String>| text.as_ref().is_some_and(|it| !it.trim().is_empty());
        if !given(&self.document) && !given(&self.reason) {
            problems.0.push(source.problem(
                self.by.span(),
                "act.reason",
                "neither a document nor a reason is given",
                "write the document it rests on, or why it was decided",
            ));
            return None;
        }
        Some(Act {
            kind: kind?,
            by: by?,
            on: self.on.get_ref().0,
            document: self.document.clone(),
            reason: self.reason.clone(),
        })
    }
}
