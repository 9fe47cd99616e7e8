//! The guided session on the patient's page. It is the same single file that can be given away; here it comes under
//! a policy that lets only its own script and style run, and with a way back.

use crate::fault::Fault;
use crate::gate::{PatientSession, Visitor, see_other};
use crate::{Right, Route, records};
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{Html, IntoResponse, Response};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use handrail_words::Words;
use sha2::{Digest, Sha256};

use crate::home::page::{AHEAD, MARK, note_view};
use crate::home::sheet;

/// Routes.
pub(crate) fn routes() -> Vec<Route> {
    vec![Route::get("/home/session", Right::Patient, guided)]
}

async fn guided(visitor: Visitor, session: PatientSession, headers: HeaderMap) -> Result<Response, Fault> {
    let app = &visitor.app;
    let loaded = records::load(app, &session.episode).await?;
    if !headers.contains_key(AHEAD) {
        note_view(app, &session, &loaded, "guided session").await?;
    }
    let (sheet, page) = sheet::guided(app, &visitor.content, &loaded, visitor.lang).await?;
    let Some(page) = page else { return Ok(see_other("/home")) };
    let page = with_way_back(&page, visitor.words());
    let policy =
        policy(&page).ok_or_else(|| Fault::Internal("the guided page has no script or style".into()))?;
    let mut answer = Html(page).into_response();
    let mut set = |name: header::HeaderName, value: &str| {
        if let Ok(value) = HeaderValue::from_str(value) {
            answer.headers_mut().insert(name, value);
        }
    };
    set(header::CONTENT_SECURITY_POLICY, &policy);
    set(MARK, &sheet.mark());
    Ok(answer)
}

/// Screens of the guided page that nobody exercises on: they get a link back.
const QUIET_SCREENS: [&str; 3] = ["screen-start", "screen-call", "screen-end"];

fn with_way_back(page: &str, words: &Words) -> String {
    let link =
        |to: &str, key: &str| format!("<p><a class=\"tel\" href=\"{to}\">{}</a></p>", words.text(key, &[]));
    let mut out = page.to_string();
    for id in QUIET_SCREENS {
        let (to, key) = if id == "screen-end" {
            ("/home#diary", "p-session-to-diary")
        } else {
            ("/home", "p-session-back")
        };
        let at = out.find(&format!("id=\"{id}\"")).and_then(|at| Some(at + out[at..].find('>')? + 1));
        if let Some(at) = at {
            out.insert_str(at, &link(to, key));
        }
    }
    out
}

/// The policy of the page: nothing is loaded or sent, and only the script and the style in it run. `None` when one
/// is missing, so that a changed template is noticed.
pub(crate) fn policy(page: &str) -> Option<String> {
    let hash = |text: &str| STANDARD.encode(Sha256::digest(text.as_bytes()));
    let between = |open: &str, close: &str| {
        let from = page.rfind(open)? + open.len();
        page[from..].split_once(close).map(|it| it.0)
    };
    let (style, script) = (between("<style>", "</style>")?, between("<script>", "</script>")?);
    Some(format!(
        "default-src 'none'; script-src 'sha256-{}'; style-src 'sha256-{}'; img-src data:; base-uri 'none'; \
         form-action 'none'; frame-ancestors 'none'",
        hash(script),
        hash(style)
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_policy_names_the_hash_of_what_stands_in_the_page() {
        let page = "<style>a</style><script type=\"application/json\">{}</script><script>abc</script>";
        let policy = policy(page).expect("both parts");
        // SHA-256 of `abc` (FIPS 180-4, example 1) in base64.
        assert!(
            policy.contains("script-src 'sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0='"),
            "{policy}"
        );
        assert!(super::policy("<style>a</style>").is_none());
    }
}
