//! Screens: who needs attention today, the list of patients, one episode, its journal, the card with the limits of
//! today, and the documents made of it. Developed as a crate of its own; moves into the room `clinic` as a module.

pub mod documents;
mod episode;
mod facts;
pub mod head;
mod journal;
mod limits_card;
mod named;
mod patients;
pub mod reasons;
mod today;

pub(crate) use episode::{next_changes, until_words};

use crate::{Right, Route};

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![
        Route::get("/", Right::Account, today::first),
        Route::get("/patients", Right::Names, patients::page),
        Route::get("/e/{episode}", Right::Record, episode::page),
        Route::get("/e/{episode}/journal", Right::Record, journal::page),
        Route::get("/e/{episode}/limits", Right::Record, limits_card::page),
        Route::get("/e/{episode}/tight", Right::Record, episode::tight).data(),
        Route::get("/e/{episode}/handout.pdf", Right::Record, documents::handout),
        Route::get("/e/{episode}/calendar.ics", Right::Record, documents::calendar),
        Route::get("/e/{episode}/follow.html", Right::Record, documents::follow),
    ]
}
