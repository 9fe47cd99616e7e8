//! From the forms of the restrictions page to facts. An order goes the same way whether it came from fields or was
//! written out: as the text of an order file, through the same checks.

use crate::fields::Fields;
use crate::gate::Desk;
use crate::records::{Loaded, New};
use handrail_anatomy::{ACTIVITIES, Device, Drive, Position, clinical_motions};
use handrail_episode::{Fact, Note};
use handrail_protocol::{
    Act, ActKind, Confirmation, Envelope, InForce, Limit, LimitSpec, Loading, Order, OrderSpec, Protocol,
    Status, WeightBearing,
};
use handrail_spans::{Problems, SourceText};
use handrail_words::capital;
use jiff::civil::Date;

use crate::record::asked::{Asked, Wrong};
use crate::record::names;

/// Devices an order may name.
pub const DEVICES: [Device; 5] =
    [Device::Splint, Device::Boot, Device::KneeBrace, Device::Sling, Device::AbductionSling];

/// Positions an order may forbid.
pub const POSITIONS: [Position; 15] = [
    Position::Seated,
    Position::LongSitting,
    Position::Supine,
    Position::Prone,
    Position::SideLyingOperatedUp,
    Position::SideLyingOperatedDown,
    Position::Standing,
    Position::SingleLegStanceOperated,
    Position::SingleLegStanceOther,
    Position::Kneeling,
    Position::HandsAndKnees,
    Position::Floor,
    Position::WeightThroughArm,
    Position::HandBehindBack,
    Position::LeaningForward,
];

/// What a form asks to be written: facts, and the day from which they change anything.
pub struct Planned {
    /// Facts.
    pub facts: Vec<New>,
    /// Day on which before and after are compared.
    pub day: Date,
}

/// Name of a position as a file writes it.
pub fn position_id(it: Position) -> String {
    serde_json::to_value(it).ok().and_then(|it| it.as_str().map(str::to_string)).unwrap_or_default()
}

/// A text as TOML writes it.
fn quoted(text: &str) -> String {
    toml::Value::String(text.into()).to_string()
}

/// A limit as a form writes it: the TOML of one entry.
fn limit_text(asked: &mut Asked<'_>) -> String {
    let kind = asked.text("kind", "c-record-order-kind");
    match kind.as_str() {
        "weight" => weight_text(asked),
        "motion" => motion_text(asked),
        "device" => device_text(asked),
        "position" => {
            let name = asked.text("position", "c-record-order-position");
            format!("position = {}", quoted(&name))
        }
        "activity" => {
            let name = asked.text("activity", "c-record-order-activity");
            if !name.is_empty() && !ACTIVITIES.contains(&name.as_str()) {
                asked.refuse("c-record-unknown-activity", "c-record-choose");
            }
            format!("activity = {}", quoted(&name))
        }
        "text" => asked.text("text", "c-record-order-text"),
        "" => String::new(),
        _ => {
            asked.refuse("c-record-unknown-kind", "c-record-choose");
            String::new()
        }
    }
}

fn weight_text(asked: &mut Asked<'_>) -> String {
    let limb = if asked.fields.opt("limb") == Some("arm") { "arm" } else { "leg" };
    let amount = asked.text("amount", "c-record-order-amount");
    let number = asked.number("number", "c-record-order-number");
    let says = match (amount.as_str(), number) {
        ("none" | "as_tolerated" | "full", None) => format!("amount = {}", quoted(&amount)),
        ("none" | "as_tolerated" | "full", Some(_)) => {
            asked.refuse("c-record-number-too-much", "c-record-number-too-much-mend");
            String::new()
        }
        ("kg", Some(kg)) => format!("max_kg = {kg:?}"),
        ("percent", Some(percent)) => format!("max_percent_body_weight = {percent:?}"),
        // "Partial" is not an amount, whatever else was typed.
        ("kg" | "percent" | "partial", _) => {
            asked.refuse("c-record-partial", "c-record-partial-mend");
            String::new()
        }
        _ => String::new(),
    };
    format!("weight_bearing = {{ limb = \"{limb}\", {says} }}")
}

fn motion_text(asked: &mut Asked<'_>) -> String {
    let motion = asked.text("motion", "c-record-order-motion");
    let (joint, direction) = motion.split_once('.').unwrap_or_default();
    let deg = asked.number("deg", "c-record-order-deg");
    if deg.is_none() {
        asked.text("deg", "c-record-order-deg");
    }
    let drives = asked.fields.all("drives");
    if drives.is_empty() {
        asked.refuse("c-record-drives-missing", "c-record-drives-missing-mend");
    }
    let drives: Vec<String> = drives.iter().map(|it| quoted(it)).collect();
    let loading = asked.fields.opt("loading").unwrap_or("any");
    format!(
        "motion = {{ joint = {}, direction = {}, max_deg = {:?}, drives = [{}], loading = {} }}",
        quoted(joint),
        quoted(direction),
        deg.unwrap_or(0.0),
        drives.join(", "),
        quoted(loading)
    )
}

fn device_text(asked: &mut Asked<'_>) -> String {
    let device = asked.text("device", "c-record-order-device");
    let setting = asked.text("setting", "c-record-order-setting");
    let yes_no = [("yes", true), ("no", false)];
    let off = asked.one_of("off", "c-record-order-off", &yes_no).unwrap_or(false);
    let asleep = asked.one_of("asleep", "c-record-order-asleep", &yes_no).unwrap_or(true);
    let holds = match (asked.fields.opt("hold_motion"), asked.number("hold_deg", "c-record-order-hold")) {
        (Some(motion), Some(deg)) => {
            let (joint, direction) = motion.split_once('.').unwrap_or_default();
            format!(
                ", holds = [{{ joint = {}, direction = {}, deg = {deg:?} }}]",
                quoted(joint),
                quoted(direction)
            )
        }
        (None, None) => String::new(),
        _ => {
            asked.refuse("c-record-hold-half", "c-record-hold-half-mend");
            String::new()
        }
    };
    format!(
        "device = {{ name = {}, setting = {}, off_for_exercise = {off}, worn_asleep = {asleep}{holds} }}",
        quoted(&device),
        quoted(&setting)
    )
}

/// The first free name of an order.
fn free_id(loaded: &Loaded, protocol: &Protocol) -> String {
    let taken = |id: &str| {
        protocol.restriction(id).is_some()
            || loaded.entries.iter().any(|it| matches!(&it.fact, Fact::Order(order) if order.id == id))
    };
    (1..).map(|n| format!("order-{n}")).find(|id| !taken(id)).unwrap_or_default()
}

/// Mistakes of the text of an order, each with the line of what was typed.
fn problems(desk: &Desk, found: &Problems, before: usize, written: bool) -> Wrong {
    let words = desk.words();
    let one = |it: &handrail_spans::Problem| {
        let line = it.line.saturating_sub(before);
        let says =
            if it.field.is_empty() { it.message.clone() } else { format!("`{}`: {}", it.field, it.message) };
        let what = if written && line > 0 {
            words.text("c-record-at-line", &[("line", (line as f64).into()), ("what", says.into())])
        } else {
            says
        };
        (what, it.mend.clone())
    };
    found.0.iter().map(one).collect()
}

/// An order.
///
/// # Errors
/// Everything that is wrong with it, with its line where it was written out.
pub fn order(desk: &Desk, loaded: &Loaded, protocol: &Protocol, fields: &Fields) -> Result<Planned, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let surgery = loaded.episode.operation.surgery;
    let limit = limit_text(&mut asked);
    let on = asked.day("on", "c-record-ordered-on", surgery.min(desk.app.today()));
    let from = asked.day_opt("from", "c-record-from-day").unwrap_or_else(|| on.max(surgery));
    let until = asked.day_opt("until", "c-record-until-day");
    let by = asked.text("by", "c-record-by-whom");
    let document = asked.text("document", "c-record-document");
    if !asked.wrong.is_empty() {
        return Err(asked.wrong);
    }
    let mut head = vec![
        format!("id = {}", quoted(&free_id(loaded, protocol))),
        format!("by = {}", quoted(&by)),
        format!("on = {on}"),
        format!("document = {}", quoted(&document)),
        format!("from = {from}"),
    ];
    head.extend(until.map(|it| format!("until = {it}")));
    head.extend(fields.opt("replaces").map(|it| format!("replaces = {}", quoted(it))));
    head.extend(fields.opt("note").map(|it| format!("note = {}", quoted(it))));
    let lines: usize = head.iter().map(|it| it.lines().count()).sum();
    let source = SourceText::new("order", format!("{}\n{limit}\n", head.join("\n")));
    let written = fields.opt("kind") == Some("text");
    let spec: OrderSpec = source.parse().map_err(|it| problems(desk, &it, lines, written))?;
    let mut found = Problems::default();
    let order: Option<Order> = spec.check(&source, &mut found);
    match order {
        Some(order) if found.0.is_empty() => {
            let day = order.from.max(desk.app.today());
            Ok(Planned { facts: vec![New::fact(order.on.max(surgery), Fact::Order(order))], day })
        }
        _ => Err(problems(desk, &found, lines, written)),
    }
}

/// Restrictions in force that are only assumed.
pub fn assumed(envelope: &Envelope) -> impl Iterator<Item = &InForce> {
    envelope.in_force.iter().filter(|it| it.status == Status::Assumed)
}

/// Confirmations.
///
/// # Errors
/// Nothing is ticked; person or document are missing; a restriction that is not assumed any more.
pub fn confirm(desk: &Desk, loaded: &Loaded, envelope: &Envelope, fields: &Fields) -> Result<Planned, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let on = asked.day("on", "c-record-on", loaded.episode.operation.surgery);
    let by = asked.text("by", "c-record-by-whom");
    let document = asked.text("document", "c-record-document");
    // Without scripts the one box stands for all that this page showed.
    let ticked = if fields.ticked("all") { fields.all("shown") } else { fields.all("restriction") };
    if ticked.is_empty() {
        asked.refuse("c-record-none-ticked", "c-record-none-ticked-mend");
    }
    if ticked.iter().any(|id| !assumed(envelope).any(|it| it.id == *id)) {
        asked.refuse("c-record-not-assumed", "c-record-look-again");
    }
    let confirmation = |id: &String| {
        let confirmation =
            Confirmation { restriction: id.clone(), by: by.clone(), on, document: document.clone() };
        New::fact(on, Fact::Confirmation(confirmation))
    };
    let facts = ticked.iter().map(confirmation).collect();
    asked.or(Planned { facts, day: desk.app.today() })
}

fn act(asked: &mut Asked<'_>, surgery: Date, kind: ActKind) -> Planned {
    let on = asked.day("on", "c-record-on", surgery);
    let by = asked.text("by", "c-record-by-whom");
    let (document, reason) = (asked.text_opt("document"), asked.text_opt("reason"));
    if document.is_none() && reason.is_none() {
        asked.refuse("c-record-document-or-reason", "c-record-document-or-reason-mend");
    }
    let day = asked.desk.app.today();
    Planned { facts: vec![New::fact(on, Fact::Act(Act { kind, by, on, document, reason }))], day }
}

/// A release.
///
/// # Errors
/// It is not in force; a person is missing, or both document and reason.
pub fn release(desk: &Desk, loaded: &Loaded, envelope: &Envelope, fields: &Fields) -> Result<Planned, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let restriction = asked.text("release", "c-record-restriction");
    if !restriction.is_empty() && !envelope.in_force.iter().any(|it| it.id == restriction) {
        asked.refuse("c-record-not-in-force", "c-record-look-again");
    }
    let planned = act(&mut asked, loaded.episode.operation.surgery, ActKind::Release { restriction });
    asked.or(planned)
}

/// The beginning of a phase. `open` tells whether a criterion of it is not met: then a reason is needed.
///
/// # Errors
/// No such phase; a person is missing, or what it rests on.
pub fn phase(
    desk: &Desk,
    loaded: &Loaded,
    protocol: &Protocol,
    open: impl Fn(usize) -> bool,
    fields: &Fields,
) -> Result<Planned, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let phase = asked.text("phase", "c-record-phase");
    match protocol.phase(&phase) {
        Some((index, _)) if open(index) && fields.opt("reason").is_none() => {
            asked.refuse("c-record-phase-open", "c-record-phase-open-mend");
        }
        Some(_) => {}
        None if phase.is_empty() => {}
        None => asked.refuse("c-record-unknown-phase", "c-record-choose"),
    }
    let planned = act(&mut asked, loaded.episode.operation.surgery, ActKind::BeginPhase { phase });
    asked.or(planned)
}

/// Answers to the questions about the operation: a new fact of the operation, and a note with who answered.
///
/// # Errors
/// An answer that the protocol does not know; nothing changed; who or where is missing.
pub fn answers(desk: &Desk, loaded: &Loaded, protocol: &Protocol, fields: &Fields) -> Result<Planned, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let words = desk.words();
    let mut operation = loaded.episode.operation.clone();
    let mut changed = Vec::new();
    for variant in &protocol.variants {
        let given = fields.opt(&format!("variant-{}", variant.name)).unwrap_or("");
        let old = loaded.episode.orders.answer(&variant.name).unwrap_or("");
        if given == old {
            continue;
        }
        if !given.is_empty() && !variant.choices.iter().any(|it| it == given) {
            asked.refuse("c-record-unknown-answer", "c-record-choose");
            continue;
        }
        operation.variants.insert(variant.name.clone(), given.to_string());
        let answer =
            if given.is_empty() { desk.say("c-record-not-known") } else { names::choice(words, given) };
        changed.push(format!("{} {answer}", names::question(words, &variant.name, &variant.question)));
    }
    if changed.is_empty() && asked.wrong.is_empty() {
        asked.refuse("c-record-no-answer", "c-record-choose");
    }
    let by = asked.text("by", "c-record-by-whom");
    let document = asked.text("document", "c-record-document");
    let args = [("answers", changed.join("; ").into()), ("by", by.into()), ("document", document.into())];
    let note = Note { says: words.text("c-record-answer-note", &args), by: desk.staff.name.clone() };
    let today = desk.app.today();
    let facts = vec![New::fact(today, Fact::Operation(operation)), New::fact(today, Fact::Note(note))];
    asked.or(Planned { facts, day: today })
}

/// The next visit to the surgeon.
///
/// # Errors
/// Not a date, or one that has passed.
pub fn visit(desk: &Desk, loaded: &Loaded, fields: &Fields) -> Result<Planned, Wrong> {
    let mut asked = Asked::new(desk, fields);
    let next = asked.day_opt("next_visit", "c-record-next-visit");
    let today = desk.app.today();
    if next.is_some_and(|it| it < today) {
        asked.refuse("c-record-visit-past", "c-record-visit-past-mend");
    }
    let mut operation = loaded.episode.operation.clone();
    operation.next_visit = next;
    asked.or(Planned { facts: vec![New::fact(today, Fact::Operation(operation))], day: today })
}

/// The fields of an order that takes the place of a limit, filled in with what it says now.
pub fn fields_of(limit: &Limit) -> Fields {
    let mut fields = Fields::default();
    let mut put = |name: &str, value: String| fields.0.entry(name.into()).or_default().push(value);
    match limit {
        Limit::LegWeightBearing(amount) | Limit::ArmWeightBearing(amount) => {
            put("kind", "weight".into());
            put("limb", if matches!(limit, Limit::ArmWeightBearing(_)) { "arm" } else { "leg" }.into());
            let (word, number) = match amount {
                WeightBearing::None => ("none", None),
                WeightBearing::Kilograms(kg) => ("kg", Some(*kg)),
                WeightBearing::PercentBodyWeight(percent) => ("percent", Some(*percent)),
                WeightBearing::AsTolerated => ("as_tolerated", None),
                WeightBearing::Full => ("full", None),
            };
            put("amount", word.into());
            if let Some(number) = number {
                put("number", number.to_string());
            }
        }
        Limit::Motion { motion, max_deg, drives, loading } => {
            put("kind", "motion".into());
            put("motion", format!("{}.{}", motion.joint.id(), motion.motion));
            put("deg", max_deg.to_string());
            drives.iter().for_each(|it| put("drives", it.id().into()));
            put(
                "loading",
                match loading {
                    Loading::Any => "any",
                    Loading::Loaded => "loaded",
                    Loading::Unloaded => "unloaded",
                }
                .into(),
            );
        }
        Limit::Device { device, holds, off_for_exercise, worn_asleep, setting } if holds.len() < 2 => {
            put("kind", "device".into());
            put("device", device.id().into());
            put("setting", setting.clone());
            put("off", if *off_for_exercise { "yes" } else { "no" }.into());
            put("asleep", if *worn_asleep { "yes" } else { "no" }.into());
            if let Some((motion, deg)) = holds.first() {
                put("hold_motion", format!("{}.{}", motion.joint.id(), motion.motion));
                put("hold_deg", deg.to_string());
            }
        }
        Limit::Position(position) => {
            put("kind", "position".into());
            put("position", position_id(*position));
        }
        Limit::Activity(name) => {
            put("kind", "activity".into());
            put("activity", name.clone());
        }
        other => {
            put("kind", "text".into());
            put("text", toml::to_string(&LimitSpec::from(other)).unwrap_or_default());
        }
    }
    fields
}

/// Motions of one joint: its name, and for each motion the value of the form and its name.
pub type JointMotions = (String, Vec<(String, String)>);

/// Joints and directions an order may name, with their names, joints of the restrictions in force first.
pub fn motions(words: &handrail_words::Words, envelope: &Envelope) -> Vec<JointMotions> {
    let limited: Vec<_> = envelope.in_force.iter().flat_map(|it| it.limit.joints()).collect();
    let (near, far): (Vec<_>, Vec<_>) =
        clinical_motions().into_iter().partition(|it| limited.contains(&it.joint));
    let mut groups: Vec<JointMotions> = Vec::new();
    for it in near.into_iter().chain(far) {
        let name = capital(&words.joint_name(it.joint));
        let value = format!("{}.{}", it.joint.id(), it.motion);
        let item = (value, capital(&words.motion_name(it.joint, it.motion)));
        match groups.iter_mut().find(|group| group.0 == name) {
            Some(group) => group.1.push(item),
            None => groups.push((name, vec![item])),
        }
    }
    groups
}

/// Ways of moving.
pub const DRIVES: [Drive; 5] = Drive::ALL;
