//! What makes the patient's page an app that works without a network: the manifest and the service worker. Neither
//! holds anything of a patient.

use crate::assets::asset;
use crate::gate::Visitor;
use crate::{Right, Route};
use axum::Json;
use axum::extract::Query;
use axum::http::{HeaderName, header};
use axum::response::{IntoResponse, Response};
use handrail_words::Lang;
use serde::Deserialize;
use serde_json::json;

use crate::home::frame::BAR_COLOR;

/// Routes.
pub(crate) fn routes() -> Vec<Route> {
    vec![
        Route::get("/home/sw.js", Right::Anyone, worker),
        Route::get("/home/manifest.webmanifest", Right::Anyone, manifest),
    ]
}

/// Files that the page needs without a network.
const FILES: [&str; 5] =
    ["patient.css", "patient.js", "icon.svg", "atkinson-regular.woff2", "atkinson-bold.woff2"];

async fn worker() -> Response {
    let files: Vec<String> = FILES.iter().map(|it| asset(it)).collect();
    // The names carry the files' hashes: a changed file makes a changed worker, which browsers then install.
    let script = format!("self.FILES={};importScripts({:?});\n", json!(files), asset("patient-sw.js"));
    let headers = [
        (header::CONTENT_TYPE, "text/javascript; charset=utf-8"),
        (HeaderName::from_static("service-worker-allowed"), "/home"),
    ];
    (headers, script).into_response()
}

#[derive(Debug, Default, Deserialize)]
struct Asked {
    #[serde(default)]
    lang: Option<String>,
}

async fn manifest(visitor: Visitor, Query(asked): Query<Asked>) -> Response {
    let lang: Lang = asked.lang.as_deref().and_then(|it| it.parse().ok()).unwrap_or(visitor.lang);
    let say = |key: &str| visitor.content.words(lang).text(key, &[]);
    let icon = |name: &str, size: u32, purpose: &str| json!({ "src": asset(name), "sizes": format!("{size}x{size}"), "type": "image/png", "purpose": purpose });
    let body = json!({
        "id": "/home",
        "name": say("p-app-name"),
        "short_name": say("p-app-short"),
        "description": say("p-description"),
        "lang": lang.id(),
        "dir": "ltr",
        // The secret of the link stays out: the app begins where the session is.
        "start_url": "/home",
        "scope": "/home",
        "display": "standalone",
        "theme_color": BAR_COLOR,
        "background_color": "#f4f1ea",
        "icons": [
            icon("icon-192.png", 192, "any"),
            icon("icon-512.png", 512, "any"),
            icon("icon-maskable-512.png", 512, "maskable"),
        ],
    });
    ([(header::CONTENT_TYPE, "application/manifest+json")], Json(body).into_response().into_body())
        .into_response()
}
