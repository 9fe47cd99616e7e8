//! A new episode: operation, what must be asked, what the protocol assumes, body and home, on one page.

mod facts;
mod page;

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::records::{self, author};
use crate::rights::Right;
use crate::{Route, numbers};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use handrail_store::{accounts, caseload, drafts};
use maud::Markup;

use crate::intake::page::Typed;

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![
        Route::get("/new", Right::Intake, form),
        Route::post("/new/orders", Right::Intake, orders).data(),
        Route::post("/new", Right::Intake, create),
    ]
}

/// Name under which a half-filled form is kept.
const DRAFT: &str = "new-episode";

/// People who may plan: names as they stand on sheets.
async fn therapists(desk: &Desk) -> Result<Vec<String>, Fault> {
    let all = desk.app.store().read(accounts::list).await?;
    let plans = |role: &str| crate::Role::of(role).is_some_and(|it| it.may(Right::Plan));
    let names = all.into_iter().filter(|it| it.active && plans(&it.role)).map(|it| match it.title.as_str() {
        "" => it.name,
        title => format!("{}, {title}", it.name),
    });
    Ok(names.collect())
}

async fn form(desk: Desk) -> Result<Markup, Fault> {
    let typed = Typed::default();
    Ok(page::page(&desk, &typed, &therapists(&desk).await?))
}

/// The part of the form that depends on operation, side and date.
async fn orders(desk: Desk, fields: Fields) -> Markup {
    page::orders(&desk, &Typed { fields, ..Typed::default() })
}

async fn create(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    let people = therapists(&desk).await?;
    let numbers = desk.app.store().read(numbers::read).await?.filter(numbers::Numbers::is_whole);
    let read = facts::Reader::new(&desk, &fields, &people, numbers).facts();
    let facts = match read {
        Ok(facts) => facts,
        Err(mistakes) => {
            let typed = Typed { fields, mistakes, twin: false };
            let page = page::page(&desk, &typed, &people);
            return Ok((StatusCode::UNPROCESSABLE_ENTITY, page).into_response());
        }
    };
    if !fields.ticked("anyway")
        && let Some(twin) = twin(&desk, &fields).await?
    {
        let mistakes = vec![("patient_name", desk.words().text("c-new-twin", &[("who", twin.into())]))];
        let page = page::page(&desk, &Typed { fields, mistakes, twin: true }, &people);
        return Ok((StatusCode::CONFLICT, page).into_response());
    }
    let loaded = records::create(&desk.app, author(&desk), facts).await?;
    let account = desk.staff.account.clone();
    desk.app.store().write(move |tx| drafts::discard(tx, &account, DRAFT)).await?;
    let to = match (desk.may(Right::Plan), desk.may(Right::Record)) {
        (true, _) => format!("/e/{}/program?propose=1", loaded.id),
        (false, true) => format!("/e/{}", loaded.id),
        (false, false) => "/patients".into(),
    };
    Ok(see_other(&to))
}

/// An open episode of somebody with the same name and birth date.
async fn twin(desk: &Desk, fields: &Fields) -> Result<Option<String>, Fault> {
    let name = fields.text("patient_name")?.to_string();
    let born = fields.text("born")?.to_string();
    let found = desk.app.store().read(move |tx| caseload::search(tx, &name, 20)).await?;
    let twin = found.into_iter().find(|it| it.open && it.born.as_deref() == Some(&born));
    Ok(twin.map(|it| it.name))
}
