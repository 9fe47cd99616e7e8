//! Who may what: one table, which the tests enumerate.

use serde::{Deserialize, Serialize};

/// What a person at the clinic is there for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Role {
    /// Licensed therapist: plans, decides, signs.
    Therapist,
    /// Assistant: treats within the plan, records; does not plan or decide.
    Assistant,
    /// Front desk: intake, appointments, links; no clinical record.
    FrontDesk,
    /// Leads the clinic: a therapist who also answers for content, people and audit.
    ClinicLead,
    /// Runs the machine: accounts, backups, settings; no clinical record.
    Administrator,
}

impl Role {
    /// All roles.
    pub const ALL: [Role; 5] =
        [Role::Therapist, Role::Assistant, Role::FrontDesk, Role::ClinicLead, Role::Administrator];

    /// Name in the database, in forms and in keys of texts.
    pub fn id(self) -> &'static str {
        match self {
            Role::Therapist => "therapist",
            Role::Assistant => "assistant",
            Role::FrontDesk => "front_desk",
            Role::ClinicLead => "clinic_lead",
            Role::Administrator => "administrator",
        }
    }

    /// Role of this name.
    pub fn of(id: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|it| it.id() == id)
    }

    /// Rights of the role.
    pub fn rights(self) -> &'static [Right] {
        use Right::*;
        match self {
            Role::Therapist => &[
                Account,
                Names,
                Intake,
                Record,
                Report,
                Plan,
                Restrict,
                Override,
                Release,
                Content,
                WriteContent,
                SignContent,
            ],
            Role::Assistant => &[Account, Names, Record, Report, Content],
            Role::FrontDesk => &[Account, Names, Intake],
            Role::ClinicLead => &[
                Account,
                Names,
                Intake,
                Record,
                Report,
                Plan,
                Restrict,
                Override,
                Release,
                Content,
                WriteContent,
                SignContent,
                People,
                Audit,
                Clinic,
            ],
            Role::Administrator => &[Account, People, Audit, Clinic, Backup, Content],
        }
    }

    /// Whether the role has a right.
    pub fn may(self, right: Right) -> bool {
        matches!(right, Right::Anyone | Right::Patient) || self.rights().contains(&right)
    }
}

/// What a route needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Right {
    /// Nothing: the login page, assets, the door of a patient's page. Shows nobody's data.
    Anyone,
    /// The session of one patient's link; sees that episode alone.
    Patient,
    /// Any person of the clinic: own account, own language, end of session.
    Account,
    /// Names of patients and their appointments, without clinical content.
    Names,
    /// Open an episode; make and revoke patient links.
    Intake,
    /// Read a patient's record.
    Record,
    /// Add to a record: diaries, measures, visits, notes, messages, calls.
    Report,
    /// Change and issue programs.
    Plan,
    /// Confirm restrictions, write down orders.
    Restrict,
    /// Override a verdict, with a reason.
    Override,
    /// Lift a restriction, begin a phase, decide.
    Release,
    /// Read exercises and protocols.
    Content,
    /// Write and change the clinic's own content.
    WriteContent,
    /// Sign content.
    SignContent,
    /// Accounts.
    People,
    /// The audit.
    Audit,
    /// The clinic's data and settings.
    Clinic,
    /// Backups.
    Backup,
}

impl Right {
    /// All rights.
    pub const ALL: [Right; 18] = [
        Right::Anyone,
        Right::Patient,
        Right::Account,
        Right::Names,
        Right::Intake,
        Right::Record,
        Right::Report,
        Right::Plan,
        Right::Restrict,
        Right::Override,
        Right::Release,
        Right::Content,
        Right::WriteContent,
        Right::SignContent,
        Right::People,
        Right::Audit,
        Right::Clinic,
        Right::Backup,
    ];

    /// Whether what it opens is exercises and protocols.
    pub fn is_of_content(self) -> bool {
        matches!(self, Right::Content | Right::WriteContent | Right::SignContent)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nobody_without_a_licence_plans_lifts_or_overrides_and_the_machine_room_reads_no_record() {
        for right in [Right::Plan, Right::Restrict, Right::Override, Right::Release, Right::SignContent] {
            let may: Vec<Role> = Role::ALL.into_iter().filter(|it| it.may(right)).collect();
            assert_eq!(may, [Role::Therapist, Role::ClinicLead], "{right:?}");
        }
        for role in [Role::FrontDesk, Role::Administrator] {
            assert!(!role.may(Right::Record) && !role.may(Right::Report), "{role:?}");
        }
    }

    #[test]
    fn names_of_roles_read_back() {
        for role in Role::ALL {
            assert_eq!(Role::of(role.id()), Some(role));
        }
        assert_eq!(Role::of("surgeon"), None);
    }
}
