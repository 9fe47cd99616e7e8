//! What the envelope says of limits by their identifiers, with names that a person reads in their place.

use handrail_protocol::{ActNeeded, Blocked, EnvelopeError, InForce, Note, Until};

use super::reasons::Teller;

impl Teller<'_> {
    /// Something a clinician must see, in a sentence.
    pub fn note(&self, note: &Note) -> String {
        let limit = |id: &str| self.limit_text(id);
        let phase = |id: &str| self.words.quoted(&self.phase(id));
        self.words.note_sentence(&match note {
            Note::Draft => Note::Draft,
            Note::PhaseWaits { by_calendar } => Note::PhaseWaits { by_calendar: phase(by_calendar) },
            Note::PhaseEarly { phase: of, planned } => {
                Note::PhaseEarly { phase: phase(of), planned: *planned }
            }
            Note::Contradiction { holds, yields } => {
                Note::Contradiction { holds: limit(holds), yields: limit(yields) }
            }
            Note::BothHold { one, other } => Note::BothHold { one: limit(one), other: limit(other) },
            Note::OrderLooser { order, restriction } => {
                Note::OrderLooser { order: limit(order), restriction: limit(restriction) }
            }
            Note::ProtocolStricter { order, restriction } => {
                Note::ProtocolStricter { order: limit(order), restriction: limit(restriction) }
            }
            Note::ReleaseWithoutEffect { restriction } => {
                Note::ReleaseWithoutEffect { restriction: limit(restriction) }
            }
        })
    }

    /// A fact that must be known and is not, in a sentence.
    pub fn blocked(&self, it: &Blocked) -> String {
        let name = |id: &String| match self.protocol.is_some_and(|it| it.restriction(id).is_some()) {
            true => self.limit_text(id),
            false => self.words.quoted(&self.criterion_name(id)),
        };
        let depends = it.depends.iter().map(name).collect();
        self.words.blocked_sentence(&Blocked { depends, ..it.clone() })
    }

    /// Why the limits of a day are not known, in sentences.
    pub fn no_envelope(&self, error: &EnvelopeError) -> Vec<String> {
        match error {
            EnvelopeError::BeforeSurgery { surgery, on } => {
                let args = [("surgery", self.date(*surgery).into()), ("date", self.date(*on).into())];
                vec![self.words.text("c-today-before-surgery", &args)]
            }
            EnvelopeError::Orders(mistakes) => {
                let one = |it: &handrail_protocol::OrdersMistake| format!("{} ({}).", it.message, it.mend);
                let first = self.words.text("c-today-orders-do-not-fit", &[]);
                std::iter::once(first).chain(mistakes.iter().map(one)).collect()
            }
        }
    }

    /// A limit in one line: what, on whose word, since when, until what act.
    pub fn limit_line(&self, it: &InForce) -> String {
        self.words.limit_line_clinician(&self.named(it))
    }

    /// Source of a limit, and until what act it holds.
    pub fn source_and_until(&self, it: &InForce) -> String {
        format!("{}; {}", self.words.source_line(it), self.words.until_clinician(&self.named(it).until))
    }

    fn named(&self, it: &InForce) -> InForce {
        let mut out = it.clone();
        out.until = Until {
            earliest: it.until.earliest,
            act: match &it.until.act {
                ActNeeded::None => ActNeeded::None,
                ActNeeded::Release(id) => ActNeeded::Release(self.limit_name(id)),
                ActNeeded::BeginPhase(id) => ActNeeded::BeginPhase(self.words.quoted(&self.phase(id))),
            },
            criteria: (it.until.criteria.iter())
                .map(|id| self.words.quoted(&self.criterion_name(id)))
                .collect(),
        };
        for gone in &mut out.superseded {
            gone.id = self.limit_name(&gone.id);
        }
        out
    }
}
