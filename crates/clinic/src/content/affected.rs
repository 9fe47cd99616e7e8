//! The open episodes that a protocol's text reaches, and what a new text would change in their limits today. Nothing in
//! an episode changes without a person having seen it.

use crate::fault::Fault;
use crate::gate::Desk;
use crate::{App, layout, records};
use handrail_episode::Program;
use handrail_protocol::{Envelope, Protocol, envelope};
use handrail_store::caseload;
use handrail_words::{Lang, Words};
use jiff::Timestamp;
use jiff::civil::Date;
use maud::{Markup, html};

use crate::content::library::Origin;
use crate::content::parts::{say, tell};
use crate::content::state::InUse;

/// Episodes read at once from the list.
const PAGE: u64 = 500;

/// An open episode.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Open {
    /// Episode.
    pub episode: String,
    /// Patient.
    pub name: String,
}

/// What a new text does to an episode today.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Effect {
    /// The same limits.
    None,
    /// Other limits; their number before and after.
    Changes(usize, usize),
    /// The episode's orders no longer fit: why.
    Breaks(String),
}

/// Exercises of a program whose text, or whose words in a language, were saved on these screens after a moment. When a
/// file of the folder was changed is not on record, so those are not among them.
pub fn changed_after<'a>(
    content: &InUse,
    program: &'a Program,
    lang: Lang,
    moment: Timestamp,
) -> Vec<&'a handrail_episode::Prescription> {
    let later = |origin: &Origin| matches!(origin, Origin::Database { saved, .. } if *saved > moment);
    let layers = &content.shelf.layers;
    let changed = |id: &str| {
        layers.exercises.get(id).is_some_and(|it| later(&it.origin))
            || layers.words_of(lang, id).is_some_and(|it| later(&it.1))
    };
    program.exercises.iter().filter(|it| changed(&it.exercise)).collect()
}

/// Open episodes with this protocol, by name.
///
/// # Errors
/// Database errors.
pub async fn open(app: &App, protocol: &str) -> Result<Vec<Open>, Fault> {
    let protocol = protocol.to_string();
    let found = app
        .store()
        .read(move |tx| {
            let mut out = Vec::new();
            let mut offset = 0;
            loop {
                let page = caseload::list(tx, None, true, PAGE, offset)?;
                offset += PAGE;
                let last = (page.len() as u64) < PAGE;
                let own = page.into_iter().filter(|it| it.protocol == protocol);
                out.extend(own.map(|it| Open { episode: it.episode, name: it.name }));
                if last {
                    return Ok(out);
                }
            }
        })
        .await?;
    Ok(found)
}

/// What the new text would change today in each open episode.
///
/// # Errors
/// Database errors.
pub async fn effects(
    app: &App,
    open: &[Open],
    before: &Protocol,
    after: &Protocol,
) -> Result<Vec<(Open, Effect)>, Fault> {
    let today = app.today();
    let mut out = Vec::with_capacity(open.len());
    for it in open {
        let loaded = records::load(app, &it.episode).await?;
        let day = |protocol: &Protocol| {
            envelope(protocol, &loaded.episode.orders, on(&loaded.episode.orders, today))
        };
        let effect = match (day(before), day(after)) {
            (_, Err(error)) => Effect::Breaks(error.to_string()),
            (Ok(before), Ok(after)) if same(&before, &after) => Effect::None,
            (Ok(before), Ok(after)) => Effect::Changes(before.in_force.len(), after.in_force.len()),
            (Err(_), Ok(after)) => Effect::Changes(0, after.in_force.len()),
        };
        out.push((it.clone(), effect));
    }
    Ok(out)
}

/// Today, or the day of a surgery that is still to come.
fn on(orders: &handrail_protocol::Orders, today: Date) -> Date {
    today.max(orders.surgery)
}

fn same(a: &Envelope, b: &Envelope) -> bool {
    let limits = |it: &Envelope| -> Vec<_> {
        it.in_force.iter().map(|it| (it.id.clone(), it.limit.clone(), it.until.clone())).collect()
    };
    a.phase.id == b.phase.id && limits(a) == limits(b) && a.blocked == b.blocked
}

/// The list on the page on which a change is saved.
pub fn before_saving(desk: &Desk, words: &Words, open: &[Open]) -> Markup {
    html! {
        section class="card" aria-labelledby="affected-title" {
            h2 id="affected-title" { (tell(words, "affected", &[("n", (open.len() as f64).into())])) }
            p { (say(words, "affected-lead")) }
            (names(desk, open))
        }
    }
}

/// The same after it was saved.
pub fn after_saving(desk: &Desk, words: &Words, open: &[Open]) -> Markup {
    layout::alert(
        "care",
        html! {
            p { b { (say(words, "saved")) } " " (tell(words, "affected", &[("n", (open.len() as f64).into())])) }
            @if !open.is_empty() { p { (say(words, "affected-after")) } (names(desk, open)) }
        },
    )
}

fn names(desk: &Desk, open: &[Open]) -> Markup {
    let may = desk.may(crate::Right::Record);
    html! { ul class="columns" { @for it in open { li {
        @if may { a href={ "/e/" (it.episode) } { (it.name) } } @else { (it.name) }
    } } } }
}

/// What would change, to be looked at before it is taken.
pub fn effect_list(words: &Words, effects: &[(Open, Effect)]) -> Markup {
    let said = |it: &Effect| match it {
        Effect::None => say(words, "effect-none"),
        Effect::Changes(before, after) => tell(
            words,
            "effect-changes",
            &[("before", (*before as f64).into()), ("after", (*after as f64).into())],
        ),
        Effect::Breaks(why) => tell(words, "effect-breaks", &[("why", why.as_str().into())]),
    };
    html! {
        table class="stacked" {
            caption { (say(words, "effects-caption")) }
            thead { tr { th scope="col" { (say(words, "patient")) } th scope="col" { (say(words, "today")) } } }
            tbody { @for (open, effect) in effects { tr { th scope="row" { a href={ "/e/" (open.episode) } { (open.name) } } td data-name=(say(words, "today")) { (said(effect)) } } } }
        }
    }
}
