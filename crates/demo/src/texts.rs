//! What the invented people write. Patients write in their own language.

use fastrand::Rng;

/// One of some texts.
pub(crate) fn one(rng: &mut Rng, texts: &[&str]) -> String {
    texts.get(rng.usize(0..texts.len().max(1))).map_or_else(String::new, |it| (*it).to_string())
}

/// What patients write, in one language.
pub(crate) struct Patients {
    /// Why something was left out.
    pub left_out: &'static [&'static str],
    /// Work beyond the program.
    pub extra: &'static [&'static str],
    /// Anything else.
    pub notes: &'static [&'static str],
    /// A message and the clinic's answer.
    pub messages: &'static [(&'static str, &'static str)],
    /// The message that waits.
    pub waiting: &'static str,
    /// The note beside sessions that hurt.
    pub pain: &'static str,
    /// A sign for the next visit, in the words in which it is asked.
    pub next_visit: &'static str,
    /// A same-day sign, in the words in which it is asked.
    pub same_day: &'static str,
    /// An emergency sign, in the words in which it is asked.
    pub emergency: &'static str,
}

const ENGLISH: Patients = Patients {
    left_out: &[
        "Ran out of time.",
        "Visitors all day.",
        "Too tired after work.",
        "Could not get the floor space.",
    ],
    extra: &[
        "Walked to the corner shop and back.",
        "Did one more set because it went well.",
        "Long day on my feet.",
    ],
    notes: &[
        "Went well.",
        "A bit stiff at first.",
        "My helper counted for me.",
        "Slept better.",
        "Slow but steady.",
    ],
    messages: &[
        (
            "Can I do the exercises in two parts, morning and evening?",
            "Yes. Keep the sets as they stand on your sheet.",
        ),
        (
            "I will be away next week. Do I take the sheet with me?",
            "Please do. Call us if the days on it run out.",
        ),
        (
            "The strap rubs. May I put a sock under it?",
            "A thin sock is fine. Show us the skin at your next visit.",
        ),
    ],
    waiting: "I lost one page of my sheet. Can I pick up a new one tomorrow?",
    pain: "It hurt much more than last week. I stopped early.",
    next_visit: "It is still sore or swollen the next day.",
    same_day: "The wound hurts more, smells, leaks or opens.",
    emergency: "You are suddenly short of breath.",
};

const SPANISH: Patients = Patients {
    left_out: &["No tuve tiempo.", "Tuve visitas todo el día.", "Llegué muy cansado del trabajo."],
    extra: &["Caminé hasta la tienda y volví.", "Hice una serie más.", "Pasé muchas horas de pie."],
    notes: &["Me fue bien.", "Un poco tieso al principio.", "Mi familia me ayudó a contar.", "Dormí mejor."],
    messages: &[
        ("¿Puedo hacer los ejercicios en dos partes?", "Sí. Haga las series que dice su hoja."),
        (
            "La próxima semana salgo de viaje. ¿Llevo la hoja?",
            "Sí, llévela. Llame si se acaban los días de la hoja.",
        ),
    ],
    waiting: "Perdí una página de mi hoja. ¿Puedo pasar mañana por otra?",
    pain: "Dolió mucho más que la semana pasada. Paré antes.",
    next_visit: "Al día siguiente sigue con dolor o hinchazón.",
    same_day: "La herida duele más, huele, gotea o se abre.",
    emergency: "De golpe le falta el aire.",
};

/// What patients write in a language.
pub(crate) fn patients(language: &str) -> &'static Patients {
    if language == "es" { &SPANISH } else { &ENGLISH }
}

/// What was done at a visit.
pub(crate) const VISITS: &[&str] = &[
    "Exercises gone through one by one; two cues corrected, then done without help. Pain as before the visit.",
    "Range worked on within the limits; swelling looked at; walking practised. Tired at the end, no more pain.",
    "New exercises shown, done back, and the limits said back. One exercise done slower to keep the range.",
    "Scar and skin looked at. Balance and stairs practised. No more pain an hour later by phone.",
    "Strength work by hand, rests as planned. Asked about work and sleep. Sheet gone through.",
];

/// Remarks.
pub(crate) const NOTES: &[&str] = &[
    "Invented record: this patient is made up.",
    "Works half days; prefers mornings. (invented)",
    "Came with a helper, who wants to watch the exercises once more. (invented)",
    "Has a long way to the clinic; prefers early appointments. (invented)",
    "Asked for larger print on the sheet. (invented)",
];

/// Why a phase begins.
pub(crate) const REASONS: &[&str] = &[
    "weeks complete and criteria met; session done without more pain",
    "criteria met on two looks; the surgeon's note agrees",
    "weeks complete, criteria met, limits said back by the patient",
];
