//! The screen on which a home program is made: what may be trained today, the chosen exercises as a storyboard with
//! a verdict after each change, overrides by name and reason, and the issue of a new version.
//!
//! What is typed lives in a [`form::Form`]; [`study`] holds it against the limits of the day; [`page`] and its parts
//! show it. Two people at one program are kept apart by the number of the newest entry that a form was based on
//! ([`basis`]), which is looked at again inside the transaction that issues.

pub mod answers;
pub mod basis;
pub mod board;
pub mod changes;
pub mod form;
pub mod issue;
pub mod page;
pub mod shelf;
pub mod study;

use crate::{Right, Route};

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![
        Route::get("/e/{episode}/program", Right::Plan, answers::open),
        Route::post("/e/{episode}/program", Right::Plan, answers::again),
        Route::post("/e/{episode}/program/check", Right::Plan, answers::check).data(),
        Route::post("/e/{episode}/program/tight", Right::Plan, answers::tight).data(),
        Route::post("/e/{episode}/program/propose", Right::Plan, answers::propose),
        Route::post("/e/{episode}/program/issue", Right::Plan, issue::issue),
        Route::get("/e/{episode}/program/issued", Right::Record, issue::issued_page),
        Route::post("/e/{episode}/program/issued", Right::Report, issue::record_issued),
    ]
}
