//! The invented people of the clinic.

use handrail_episode::Clinic as ClinicFact;

/// Name of the clinic; it says that it is invented.
pub const CLINIC_NAME: &str = "Lindenhof Physical Therapy (invented)";

/// A person of the clinic.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// Name to log in with.
    pub login: String,
    /// Name as printed.
    pub name: String,
    /// Title after the name; blank where there is none.
    pub title: String,
    /// Role: `therapist`, `assistant`, `front_desk`, `clinic_lead`, `administrator`.
    pub role: String,
}

impl Person {
    /// Name with title, as it stands under what the person enters.
    pub fn signature(&self) -> String {
        if self.title.is_empty() { self.name.clone() } else { format!("{}, {}", self.name, self.title) }
    }
}

const PEOPLE: [(&str, &str, &str, &str); 7] = [
    ("ines", "Ines Brandvold", "PT", "therapist"),
    ("matteo", "Matteo Quillfeather", "PT", "therapist"),
    ("anneke", "Anneke Dorvalle", "PT", "therapist"),
    ("noel", "Noel Tamworth-Reyes", "PTA", "assistant"),
    ("petra", "Petra Lindqvarn", "", "front_desk"),
    ("helena", "Helena Ostrowane", "PT", "clinic_lead"),
    ("joris", "Joris Vandermolt", "", "administrator"),
];

/// The assistant.
pub(crate) const ASSISTANT: usize = 3;
/// The front desk.
pub(crate) const FRONT_DESK: usize = 4;
/// The clinic lead.
pub(crate) const LEAD: usize = 5;

/// All people of the clinic.
pub fn people() -> Vec<Person> {
    let person = |(login, name, title, role): (&str, &str, &str, &str)| Person {
        login: login.into(),
        name: name.into(),
        title: title.into(),
        role: role.into(),
    };
    PEOPLE.map(person).into()
}

/// Name with title of a person.
pub(crate) fn signature(person: usize) -> String {
    let (_, name, title, _) = PEOPLE[person];
    if title.is_empty() { name.into() } else { format!("{name}, {title}") }
}

/// The clinic as patients see it.
pub(crate) fn clinic_fact(therapist: usize) -> ClinicFact {
    ClinicFact {
        name: CLINIC_NAME.into(),
        therapist: signature(therapist),
        phone: "555-0134".into(),
        out_of_hours: "555-0188".into(),
        emergency: "911".into(),
    }
}
