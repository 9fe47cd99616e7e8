//! A clock that was once too far ahead. What was recorded then lies in the future of the right clock, which therefore
//! looks as if it had been set back; only a person can say which of the two is wrong.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::csrf;
use crate::people::audit;
use axum::response::Response;
use handrail_store::journal::{self, CLINIC, Filter};
use handrail_store::{StoreError, Tx, settings};
use jiff::Timestamp;
use jiff::civil::Date;
use maud::{Markup, html};

use crate::settings::parts::{moment, refused, refused_with};

/// Setting: milliseconds of the last moment that a wrong clock recorded.
const WRONG_UNTIL: &str = "clock.wrong-until";

/// The latest moment that is known to have been. Moments of which a person said that the clock was wrong do not count;
/// then the last entry of the clinic's own stream does.
///
/// # Errors
/// Database errors.
pub fn latest(tx: &mut dyn Tx) -> Result<Option<Timestamp>, StoreError> {
    let wrong = settings::get_json::<i64>(tx, WRONG_UNTIL)?.unwrap_or(i64::MIN);
    let latest = journal::latest(tx)?;
    if latest.is_none_or(|it| it.as_millisecond() > wrong) {
        return Ok(latest);
    }
    let newest = Filter { limit: Some(1), newest_first: true, ..Filter::default() };
    Ok(journal::read(tx, CLINIC, newest)?.first().map(|it| it.recorded))
}

/// The part of the clinic's page; nothing while the clock goes right.
pub(crate) fn part(desk: &Desk) -> Markup {
    let Some(last) = desk.app.config().clock.behind() else { return html! {} };
    let args = [("now", moment(desk, desk.app.now()).into()), ("last", moment(desk, last).into())];
    html! {
        section class="card" aria-labelledby="clock-title" {
            h2 id="clock-title" { (desk.say("c-settings-clock")) }
            p { (desk.words().text("c-settings-clock-about", &args)) }
            form class="stack" method="post" action="/settings/clock" {
                (csrf(desk))
                label { (desk.say("c-settings-clock-today")) " " span class="hint" { (desk.say("c-settings-clock-today-hint")) }
                    input name="today" type="date" required; }
                p { button { (desk.say("c-settings-clock-right")) } }
            }
        }
    }
}

/// A person says what day it is; if the clock shows the same day, it counts as right from here on.
pub(crate) async fn is_right(desk: Desk, fields: Fields) -> Result<Response, Fault> {
    let Some(last) = desk.app.config().clock.behind() else {
        return Err(refused(&desk, "c-settings-clock-not-behind"));
    };
    let said: Option<Date> = fields.opt("today").and_then(|it| it.parse().ok());
    let today = desk.app.today();
    if said != Some(today) {
        let args = [("today", desk.words().date_long(today).into())];
        return Err(refused_with(&desk, "c-settings-clock-other-day", &args));
    }
    let (id, now) = (desk.staff.account.clone(), desk.app.now());
    desk.app
        .store()
        .write(move |tx| {
            settings::put_json(tx, WRONG_UNTIL, &last.as_millisecond())?;
            audit(tx, now, &id, "setting", &format!("clock: right at {now}, was ahead until {last}"))
        })
        .await?;
    desk.app.config().clock.is_right();
    Ok(see_other("/settings/clinic?done=changed"))
}
