//! Settings: one's own account, people, the clinic's numbers, the audit, backups, the log of near misses.

mod audit;
mod backups;
mod carry;
mod clinic;
mod clock;
mod csv;
mod home;
mod incidents;
mod job;
mod lines;
mod own;
mod parts;
mod people;
mod person;
mod secrets;
mod sentence;

use crate::{Right, Route};

pub use clock::latest;
pub use own::password_due;
pub(crate) use parts::moment;

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![
        Route::get("/settings", Right::Account, home::page),
        Route::post("/settings/password", Right::Account, own::change_password),
        Route::get("/settings/codes", Right::Account, own::codes_page),
        Route::post("/settings/codes/begin", Right::Account, own::begin_codes),
        Route::post("/settings/codes/confirm", Right::Account, own::confirm_codes),
        Route::post("/settings/codes/off", Right::Account, own::end_codes),
        Route::post("/settings/sessions/end", Right::Account, own::end_other_sessions),
        Route::get("/settings/people", Right::People, people::page),
        Route::post("/settings/people", Right::People, people::add),
        Route::get("/settings/people/{account}", Right::People, person::page),
        Route::post("/settings/people/{account}", Right::People, person::change),
        Route::post("/settings/people/{account}/active", Right::People, person::set_active),
        Route::post("/settings/people/{account}/password", Right::People, person::reset_password),
        Route::post("/settings/people/{account}/codes-off", Right::People, person::codes_off),
        Route::post("/settings/people/{account}/unlock", Right::People, person::unlock),
        Route::get("/settings/clinic", Right::Clinic, clinic::page),
        Route::post("/settings/clinic", Right::Clinic, clinic::save),
        Route::post("/settings/clinic/carry", Right::Clinic, clinic::carry_again),
        Route::post("/settings/clock", Right::Clinic, clock::is_right),
        Route::get("/settings/audit", Right::Audit, audit::page),
        Route::get("/settings/audit.csv", Right::Audit, audit::export),
        Route::get("/settings/audit/patient/{episode}", Right::Audit, audit::patient_page),
        Route::get("/settings/audit/patient/{episode}/audit.csv", Right::Audit, audit::patient_export),
        Route::post("/settings/audit/verify", Right::Audit, audit::verify),
        Route::get("/settings/backups", Right::Backup, backups::page),
        Route::post("/settings/backups", Right::Backup, backups::make),
        Route::get("/settings/incidents", Right::Account, incidents::page),
        Route::post("/settings/incidents", Right::Account, incidents::write),
    ]
}
