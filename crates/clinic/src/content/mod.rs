//! Exercises and protocols on screens: looking at them, signing them, writing and changing them as text.
//!
//! [`library`] lays the clinic's own texts over the built-in ones and checks the whole; [`state`] keeps the content in
//! use and gives its library to the server. The pages are [`list`], [`exercise`] and [`protocol`]; [`check`] and
//! [`edit`] are for writing; [`sign`] keeps signatures.

pub mod affected;
pub mod body;
pub mod check;
pub mod edit;
pub mod exercise;
pub mod figure;
pub mod library;
pub mod list;
pub mod neighbours;
pub mod parts;
pub mod protocol;
pub mod sections;
pub mod sign;
pub mod state;
pub mod weeks;

use crate::{Right, Route};

/// Most bytes of a text that is checked or saved.
const TEXT: usize = 1024 * 1024;

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![
        Route::get("/content", Right::Content, list::list),
        Route::get("/content/waiting", Right::Content, list::waiting),
        Route::post("/content/check", Right::WriteContent, check::answer).data().most(TEXT),
        Route::get("/content/exercise/new", Right::WriteContent, edit::new_exercise),
        Route::post("/content/exercise/new", Right::WriteContent, edit::save_new_exercise).most(TEXT),
        Route::get("/content/exercise/{id}", Right::Content, exercise::page),
        Route::post("/content/exercise/{id}", Right::WriteContent, edit::save_exercise).most(TEXT),
        Route::get("/content/exercise/{id}/edit", Right::WriteContent, edit::edit_exercise),
        Route::get("/content/exercise/{id}/figure", Right::Content, figure::figure).data(),
        Route::get("/content/exercise/{id}/still", Right::Content, figure::still),
        Route::post("/content/exercise/{id}/sign", Right::SignContent, sign::exercise),
        Route::get("/content/protocol/new", Right::WriteContent, edit::new_protocol),
        Route::post("/content/protocol/new", Right::WriteContent, edit::save_new_protocol).most(TEXT),
        Route::get("/content/protocol/{id}", Right::Content, protocol::page_of),
        Route::post("/content/protocol/{id}", Right::WriteContent, edit::save_protocol).most(TEXT),
        Route::get("/content/protocol/{id}/edit", Right::WriteContent, edit::edit_protocol),
        Route::post("/content/protocol/{id}/sign", Right::SignContent, sign::protocol),
    ]
}
