//! Texts that stand on every output: stop rules, the surgeon's order first, draft, what was not checked.

use handrail_anatomy::Side;

use crate::bundle::Words;

impl Words {
    /// Texts `prefix-1`, `prefix-2`, ... as far as they go.
    pub(crate) fn numbered(&self, prefix: &str, args: &[(&str, crate::bundle::Arg)]) -> Vec<String> {
        (1..)
            .map_while(|n| {
                self.has(&format!("{prefix}-{n}")).then(|| self.text(&format!("{prefix}-{n}"), args))
            })
            .collect()
    }

    /// When to stop an exercise and whom to call; `{emergency}` and `{phone}` stand for the numbers.
    pub fn stop_rules(&self) -> Vec<String> {
        self.numbered("stop", &[])
    }

    /// That the surgeon's order comes before this sheet.
    pub fn surgeon_first(&self) -> String {
        self.say("surgeon-first")
    }

    /// That no clinician of this clinic has signed the content.
    pub fn draft_notice(&self) -> String {
        self.say("draft-notice")
    }

    /// What nobody checked, one short sentence each. Never empty.
    pub fn not_checked(&self) -> Vec<String> {
        self.numbered("not-checked", &[])
    }

    /// The same for clinicians.
    pub fn not_checked_clinician(&self) -> Vec<String> {
        self.numbered("c-not-checked", &[])
    }

    /// How the numbers of the therapist's page were worked out, one sentence each.
    pub fn basis_notes(&self) -> Vec<String> {
        self.numbered("c-basis-note", &[])
    }

    /// Head of a sheet: operated limb with its side, in capitals where the language does: "Left leg".
    pub fn limb_title(&self, leg: bool, side: Side) -> String {
        crate::names::capital(&if leg { self.leg(side) } else { self.arm(side) })
    }
}
