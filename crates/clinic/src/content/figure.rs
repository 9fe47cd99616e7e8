//! Pictures of an exercise for the pages: the moving figure as data, stills, and the small picture of the list.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::Desk;
use axum::extract::{Path, RawQuery};
use axum::http::header;
use axum::response::{IntoResponse, Response};
use handrail_figures::exercise::{Captions, Drawing};
use handrail_motion::Motion;
use serde_json::{Value, json};

use crate::content::body::{Choice, Solved, solved};

/// Query of an address as fields.
pub fn query_of(raw: Option<String>) -> Fields {
    Fields::read(raw.unwrap_or_default().as_bytes())
}

/// The drawing of a solved exercise as the address asks for it.
pub fn drawing<'a>(motion: &'a Motion, solved: &'a Solved, choice: &Choice) -> Drawing<'a> {
    let drawing = Drawing::new(motion, &solved.repetition, &solved.body, None);
    let drawing = if choice.view.is_some() { drawing.seen(choice.view_of(motion)) } else { drawing };
    if choice.whole { drawing.whole() } else { drawing }
}

/// The figure for the player: the repetition, and its start and end as stills.
pub fn figure_data(motion: &Motion, solved: &Solved, choice: &Choice, title: &str, alt: &str) -> Value {
    let drawing = drawing(motion, solved, choice);
    let captions = Captions { title: title.into(), alt: alt.into(), not: String::new() };
    json!({
        "clip": drawing.clip(alt, None),
        "start": drawing.start("still-start", &captions),
        "end": drawing.end("still-end", &captions, None),
    })
}

/// `GET /content/exercise/{id}/figure`: the figure from another side.
pub async fn figure(
    desk: Desk,
    Path(id): Path<String>,
    RawQuery(query): RawQuery,
) -> Result<axum::Json<Value>, Fault> {
    let in_use = desk.content.clone();
    let choice = Choice::read(&query_of(query));
    let motion = in_use.shelf.library.exercises.get(&id).ok_or(Fault::NotFound)?;
    let refused = |message: String| Fault::refused(message, "choose another stature or mass");
    let body = choice.body().map_err(refused)?;
    let solved = solved(motion, body, choice.side).map_err(|it| refused(it.to_string()))?;
    let text = in_use.shelf.words(desk.lang).exercise(&id, choice.side);
    let (title, alt) = text.map_or_else(|| (id.clone(), id.clone()), |it| (it.title, it.alt));
    Ok(axum::Json(figure_data(motion, &solved, &choice, &title, &alt)))
}

/// `GET /content/exercise/{id}/still`: the small picture of the list. Its address names the text it was drawn from, so
/// that a browser may keep it.
pub async fn still(desk: Desk, Path(id): Path<String>) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let motion = in_use.shelf.library.exercises.get(&id).ok_or(Fault::NotFound)?;
    let choice = Choice::usual();
    let body = choice.body().map_err(Fault::Internal)?;
    let solved = solved(motion, body, choice.side).map_err(|_| Fault::NotFound)?;
    let captions = Captions { title: id.clone(), ..Captions::default() };
    let svg = drawing(motion, &solved, &choice).end("still", &captions, None);
    let headers = [
        (header::CONTENT_TYPE, "image/svg+xml; charset=utf-8"),
        (header::CACHE_CONTROL, "private, max-age=86400"),
    ];
    Ok((headers, svg).into_response())
}
