//! Warning signs in plain words, in three groups and never more. They raise, they never clear.

use crate::bundle::Words;

/// How fast to act.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// Call the emergency number now.
    Emergency,
    /// Call the team the same day.
    SameDay,
    /// Tell the therapist at the next visit.
    NextVisit,
}

impl Urgency {
    /// Most urgent first.
    pub const ALL: [Urgency; 3] = [Urgency::Emergency, Urgency::SameDay, Urgency::NextVisit];

    /// Name used in keys and JSON.
    pub fn id(self) -> &'static str {
        match self {
            Urgency::Emergency => "emergency",
            Urgency::SameDay => "same_day",
            Urgency::NextVisit => "next_visit",
        }
    }
}

/// Warning signs of one urgency.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WarnGroup {
    /// How fast to act.
    pub urgency: Urgency,
    /// Name of the urgency.
    pub title: String,
    /// What to do; `{emergency}` and `{phone}` stand for the numbers.
    pub action: String,
    /// The signs, one each; those of the operation first.
    pub items: Vec<String>,
}

/// The regions whose signs apply to an operation or region; an unknown name gets all of them.
fn regions(what: &str) -> &'static [&'static str] {
    match what {
        "achilles-repair" | "acl-reconstruction" | "leg" | "foot" | "ankle" | "knee" | "hip" => &["leg"],
        "rotator-cuff-repair" | "arm" | "shoulder" | "elbow" | "hand" => &["arm"],
        _ => &["leg", "arm"],
    }
}

impl Words {
    /// One or two sentences over the warning signs.
    pub fn warnings_intro(&self) -> String {
        self.say("warn-intro")
    }

    /// Warning signs for an operation (protocol id) or a region (`leg`, `arm`), in three groups.
    pub fn warnings(&self, what: &str) -> Vec<WarnGroup> {
        let group = |urgency: Urgency| {
            let id = urgency.id().replace('_', "-");
            let mut items = self.numbered(&format!("warn-{id}-{what}"), &[]);
            for region in regions(what).iter().filter(|it| **it != what) {
                items.extend(self.numbered(&format!("warn-{id}-{region}"), &[]));
            }
            items.extend(self.numbered(&format!("warn-{id}-common"), &[]));
            WarnGroup {
                urgency,
                title: self.say(&format!("warn-{id}-title")),
                action: self.say(&format!("warn-{id}-action")),
                items,
            }
        };
        Urgency::ALL.map(group).into()
    }
}
