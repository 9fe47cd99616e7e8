//! The body that an exercise is shown on: chosen in the address of the page, else a middling one.

use std::collections::BTreeMap;

use crate::fields::Fields;
use handrail_anatomy::body::MeasuredLengths;
use handrail_anatomy::{Body, Person, SegmentTable, Sex, Side};
use handrail_figures::View;
use handrail_motion::{Home, Motion, Parameters, Repetition, SolveError, solve};

/// Stature of the body shown where none is chosen, m.
pub const STATURE: f64 = 1.70;
/// Its mass, kg.
pub const MASS: f64 = 70.0;

/// Directions of view that a page offers, by their names in exercise files.
pub const VIEWS: [&str; 10] = [
    "side",
    "other_side",
    "front",
    "back",
    "three_quarter",
    "other_three_quarter",
    "back_three_quarter",
    "other_back_three_quarter",
    "above",
    "toes",
];

/// What the address of a page chooses.
#[derive(Clone, Debug, PartialEq)]
pub struct Choice {
    /// Side that works.
    pub side: Side,
    /// Stature, m.
    pub stature: f64,
    /// Mass, kg.
    pub mass: f64,
    /// Sex, for the masses of segments.
    pub sex: Sex,
    /// Direction of view; `None` takes that of the exercise.
    pub view: Option<&'static str>,
    /// Shows the whole body where the exercise asks for a close-up.
    pub whole: bool,
    /// What was typed and cannot be taken, by field.
    pub wrong: BTreeMap<&'static str, String>,
}

impl Choice {
    /// Nothing chosen.
    pub fn usual() -> Choice {
        Choice {
            side: Side::Left,
            stature: STATURE,
            mass: MASS,
            sex: Sex::Female,
            view: None,
            whole: false,
            wrong: BTreeMap::new(),
        }
    }

    /// Reads the query of an address; what cannot be taken is left at its usual value and named.
    pub fn read(query: &Fields) -> Choice {
        let mut out = Choice::usual();
        out.side = if query.opt("side") == Some("right") { Side::Right } else { Side::Left };
        out.sex = if query.opt("sex") == Some("male") { Sex::Male } else { Sex::Female };
        out.view = query.opt("view").and_then(|it| VIEWS.into_iter().find(|known| *known == it));
        out.whole = query.ticked("whole");
        for (name, (low, high)) in [("stature", (1.3, 2.2)), ("mass", (35.0, 200.0))] {
            let Some(typed) = query.opt(name) else { continue };
            let value = query.number_opt(name).ok().flatten().filter(|it| (low..=high).contains(it));
            match (value, name) {
                (Some(value), "stature") => out.stature = value,
                (Some(value), _) => out.mass = value,
                (None, _) => {
                    out.wrong.insert(name, typed.to_string());
                }
            }
        }
        out
    }

    /// The same as a query, with another direction of view.
    pub fn query(&self, view: &str) -> String {
        let sex = if self.sex == Sex::Male { "male" } else { "female" };
        let whole = if self.whole { "&whole=1" } else { "" };
        format!(
            "view={view}&side={}&stature={}&mass={}&sex={sex}{whole}",
            self.side.word(),
            self.stature,
            self.mass
        )
    }

    /// The body.
    ///
    /// # Errors
    /// A stature or mass no table covers, in words.
    pub fn body(&self) -> Result<Body, String> {
        let person = Person {
            stature: self.stature,
            mass: self.mass,
            sex: self.sex,
            measured: MeasuredLengths::default(),
        };
        Body::new(person, SegmentTable::Winter).map_err(|error| error.message)
    }

    /// Direction of view for an exercise.
    pub fn view_of(&self, motion: &Motion) -> View {
        handrail_figures::exercise::view(self.view.unwrap_or(&motion.camera.view))
    }
}

/// One repetition of the exercise, and of each of its faults, on a body with usual furniture.
pub struct Solved {
    /// Body.
    pub body: Body,
    /// The exercise.
    pub repetition: Repetition,
    /// Faults by identifier.
    pub faults: Vec<(String, Result<Repetition, SolveError>)>,
}

/// Solves an exercise on the chosen body.
///
/// # Errors
/// What this body cannot do.
pub fn solved(motion: &Motion, body: Body, side: Side) -> Result<Solved, SolveError> {
    let home = Home::usual(body.stature());
    let repetition = solve(motion, &motion.core, &body, &home, side, &Parameters::new())?;
    let faults = motion
        .faults
        .iter()
        .map(|it| (it.id.clone(), solve(motion, &it.core, &body, &home, side, &it.parameters)))
        .collect();
    Ok(Solved { body, repetition, faults })
}
