//! The patient's side: the link that the clinic hands over, its door, and the patient's own page with the guided
//! session, limits, warning signs, diary and messages; works without a network.

mod clinic_side;
mod diary;
mod door;
mod frame;
mod guided;
mod offline;
mod page;
mod sheet;

use crate::Route;

pub(crate) use guided::policy;

/// Routes.
pub fn routes() -> Vec<Route> {
    let mut all = Vec::new();
    all.extend(clinic_side::routes());
    all.extend(door::routes());
    all.extend(page::routes());
    all.extend(guided::routes());
    all.extend(diary::routes());
    all.extend(offline::routes());
    all
}
