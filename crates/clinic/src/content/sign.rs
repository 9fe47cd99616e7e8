//! Signatures: a named clinician signs exactly the text that the page shows, by its version and hash. A text that
//! changes is a draft again.

use crate::fault::Fault;
use crate::fields::Fields;
use crate::gate::{Desk, see_other};
use crate::layout::csrf;
use crate::people::audit;
use crate::records::author;
use crate::rights::Right;
use axum::extract::Path;
use axum::response::Response;
use handrail_store::content::{self, SignOff};
use maud::{Markup, html};

use crate::content::library::{Kind, Shelf};
use crate::content::parts::{path, say, tell};
use crate::content::state;

/// Signatures of a text, and the form for another one.
pub fn part(desk: &Desk, shelf: &Shelf, kind: Kind, id: &str) -> Markup {
    let words = shelf.words(desk.lang);
    let all = shelf.signatures(kind, id);
    let version = shelf.version(kind, id).unwrap_or_default();
    let own = all.iter().any(|it| it.counts && it.signed.by.id == desk.staff.account);
    let hash = shelf.hash(kind, id);
    html! {
        section class="card" id="sign" aria-labelledby="sign-title" {
            h2 id="sign-title" { (say(words, "signatures")) }
            @if all.is_empty() { p { (say(words, "no-signature")) } }
            @else {
                ul { @for it in all {
                    @let args = [("by", it.signed.by.name.as_str().into()), ("date", words.date_short(it.signed.on).into()), ("v", it.signed.version.as_str().into())];
                    li { (tell(words, "signature", &args)) " " @if it.counts { (say(words, "counts")) } @else { (say(words, "counts-not")) } }
                } }
            }
            @if desk.may(Right::SignContent) && !own {
                form method="post" action={ (path(kind, id)) "/sign" } class="stack" {
                    (csrf(desk))
                    input type="hidden" name="version" value=(version);
                    input type="hidden" name="hash" value=(hash);
                    p { (tell(words, "sign-lead", &[("name", desk.staff.name.as_str().into()), ("v", version.as_str().into())])) " " span class="small quiet" { (say(words, "sign-hash")) " " code { (&hash[..12]) } } }
                    label class="tick" { input type="checkbox" name="read" value="1" required; (say(words, "sign-read")) }
                    div { button class="main" { (say(words, "sign")) } }
                }
            }
        }
    }
}

/// `POST /content/exercise/{id}/sign`
pub async fn exercise(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    sign(desk, Kind::Exercise, id, fields).await
}

/// `POST /content/protocol/{id}/sign`
pub async fn protocol(desk: Desk, Path(id): Path<String>, fields: Fields) -> Result<Response, Fault> {
    sign(desk, Kind::Protocol, id, fields).await
}

async fn sign(desk: Desk, kind: Kind, id: String, fields: Fields) -> Result<Response, Fault> {
    let in_use = desk.content.clone();
    let shelf = &in_use.shelf;
    let words = shelf.words(desk.lang);
    let version = shelf.version(kind, &id).ok_or(Fault::NotFound)?;
    if !fields.ticked("read") {
        return Err(Fault::refused(say(words, "sign-unread"), say(words, "sign-unread-mend")));
    }
    if fields.text("version")? != version || fields.text("hash")? != shelf.hash(kind, &id) {
        return Err(Fault::Conflict(say(words, "sign-other-text")));
    }
    let hash = *shelf.hashes.get(&(kind, id.clone())).ok_or(Fault::NotFound)?;
    let (by, now) = (author(&desk), desk.app.now());
    let signed = SignOff {
        kind: kind.id().into(),
        id: id.clone(),
        version: version.clone(),
        text_hash: hash,
        by: by.clone(),
        on: desk.app.today(),
        recorded: now,
    };
    desk.app
        .store()
        .write(move |tx| {
            content::sign(tx, &signed)?;
            let what = format!("{} {} version {} signed by {}", signed.kind, signed.id, version, by.name);
            audit(tx, now, &by.id, "signature", &what)
        })
        .await?;
    state::in_use(&desk.app).await?;
    Ok(see_other(&format!("{}#sign", path(kind, &id))))
}
