//! Who needs attention and why, worst first.

use axum::response::{IntoResponse, Response};
use maud::html;

use crate::fault::Fault;
use crate::gate::{Desk, see_other};
use crate::layout::{Place, page};
use crate::rights::Right;
use crate::routes::Route;

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![Route::get("/", Right::Account, today)]
}

async fn today(desk: Desk) -> Result<Response, Fault> {
    if !desk.may(Right::Record) {
        let first = if desk.may(Right::Names) { "/patients" } else { "/settings" };
        return Ok(see_other(first));
    }
    let title = desk.say("c-today-title");
    Ok(page(&desk, Place::Today, &title, html! { h1 { (title) } }).into_response())
}
