//! What a person at the clinic adds to a record: measurements, diaries on paper or told, codes of guided sessions,
//! calls, messages, notes, visits, reports, decisions, corrections; and the restrictions: confirming, ordering,
//! lifting, beginning a phase.

use crate::{Right, Route};

mod asked;
mod call;
mod code;
mod compare;
mod correct;
mod describe;
mod diary;
mod forms;
mod head;
mod measures;
mod names;
mod orders;
mod parts;
mod restrictions;
mod texts;
mod write;

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![
        Route::get("/e/{episode}/record", Right::Report, forms::page),
        Route::post("/e/{episode}/record/measure", Right::Report, forms::measure),
        Route::post("/e/{episode}/record/diary", Right::Report, forms::diary),
        Route::post("/e/{episode}/record/code", Right::Report, forms::code),
        Route::post("/e/{episode}/record/contact", Right::Report, forms::contact),
        Route::post("/e/{episode}/record/message", Right::Report, forms::message),
        Route::post("/e/{episode}/record/note", Right::Report, forms::note),
        Route::post("/e/{episode}/record/visit", Right::Report, forms::visit),
        Route::post("/e/{episode}/record/report", Right::Report, forms::report),
        Route::post("/e/{episode}/record/decision", Right::Release, forms::decision),
        Route::get("/e/{episode}/record/call/{number}", Right::Report, call::page),
        Route::post("/e/{episode}/record/call/{number}", Right::Report, call::answer),
        Route::get("/e/{episode}/record/correct/{number}", Right::Report, correct::page),
        Route::post("/e/{episode}/record/correct/{number}", Right::Report, correct::change),
        Route::get("/e/{episode}/restrictions", Right::Record, restrictions::page),
        Route::post("/e/{episode}/restrictions/confirm", Right::Restrict, restrictions::confirm),
        Route::post("/e/{episode}/restrictions/order", Right::Restrict, restrictions::order),
        Route::post("/e/{episode}/restrictions/release", Right::Release, restrictions::release),
        Route::post("/e/{episode}/restrictions/phase", Right::Release, restrictions::phase),
        Route::post("/e/{episode}/restrictions/answers", Right::Restrict, restrictions::answers),
        Route::post("/e/{episode}/restrictions/visit", Right::Restrict, restrictions::visit),
        Route::post("/e/{episode}/restrictions/look", Right::Restrict, restrictions::look),
        Route::post("/e/{episode}/restrictions/preview", Right::Restrict, restrictions::preview).data(),
    ]
}
