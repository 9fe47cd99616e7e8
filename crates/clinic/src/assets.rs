//! Styles, scripts, fonts and icons, embedded, named by their content so that browsers may keep them for ever.

use std::sync::LazyLock;

use axum::extract::Path;
use axum::http::header;
use axum::response::{IntoResponse, Response};

use crate::fault::Fault;
use crate::rights::Right;
use crate::routes::Route;

/// Name, type, bytes.
const ALL: &[(&str, &str, &[u8])] = &[
    ("clinic.css", "text/css; charset=utf-8", include_bytes!("../assets/clinic.css")),
    ("clinic.js", "text/javascript; charset=utf-8", include_bytes!("../assets/clinic.js")),
    ("new.css", "text/css; charset=utf-8", include_bytes!("../assets/new.css")),
    ("new.js", "text/javascript; charset=utf-8", include_bytes!("../assets/new.js")),
    ("patient.css", "text/css; charset=utf-8", include_bytes!("../assets/patient.css")),
    ("patient.js", "text/javascript; charset=utf-8", include_bytes!("../assets/patient.js")),
    ("patient-clinic.css", "text/css; charset=utf-8", include_bytes!("../assets/patient-clinic.css")),
    ("patient-door.js", "text/javascript; charset=utf-8", include_bytes!("../assets/patient-door.js")),
    ("patient-sw.js", "text/javascript; charset=utf-8", include_bytes!("../assets/patient-sw.js")),
    ("icon-192.png", "image/png", include_bytes!("../assets/icon-192.png")),
    ("icon-512.png", "image/png", include_bytes!("../assets/icon-512.png")),
    ("icon-maskable-512.png", "image/png", include_bytes!("../assets/icon-maskable-512.png")),
    ("program.css", "text/css; charset=utf-8", include_bytes!("../assets/program.css")),
    ("program.js", "text/javascript; charset=utf-8", include_bytes!("../assets/program.js")),
    ("today.css", "text/css; charset=utf-8", include_bytes!("../assets/today.css")),
    ("today.js", "text/javascript; charset=utf-8", include_bytes!("../assets/today.js")),
    ("record.css", "text/css; charset=utf-8", include_bytes!("../assets/record.css")),
    ("settings.css", "text/css; charset=utf-8", include_bytes!("../assets/settings.css")),
    ("record.js", "text/javascript; charset=utf-8", include_bytes!("../assets/record.js")),
    ("content.css", "text/css; charset=utf-8", include_bytes!("../assets/content.css")),
    ("content.js", "text/javascript; charset=utf-8", include_bytes!("../assets/content.js")),
    ("figure.js", "text/javascript; charset=utf-8", include_bytes!("../../followalong/assets/figure.js")),
    ("icon.svg", "image/svg+xml", include_bytes!("../assets/icon.svg")),
    ("atkinson-regular.woff2", "font/woff2", include_bytes!("../assets/atkinson-regular.woff2")),
    ("atkinson-bold.woff2", "font/woff2", include_bytes!("../assets/atkinson-bold.woff2")),
];

/// Name, type, path, bytes.
type Ready = (&'static str, &'static str, String, Vec<u8>);

/// Path and bytes of each asset; style sheets name fonts by their plain names, which are replaced here.
static READY: LazyLock<Vec<Ready>> = LazyLock::new(|| {
    let path = |name: &str, bytes: &[u8]| {
        let hash = blake3::hash(bytes).to_hex();
        format!("/assets/{}/{name}", &hash[..12])
    };
    let mut ready: Vec<Ready> = Vec::new();
    for (name, kind, bytes) in ALL.iter().filter(|it| it.1 != "text/css; charset=utf-8") {
        ready.push((name, kind, path(name, bytes), bytes.to_vec()));
    }
    for (name, kind, bytes) in ALL.iter().filter(|it| it.1 == "text/css; charset=utf-8") {
        let mut text = String::from_utf8_lossy(bytes).into_owned();
        for (font, _, at, _) in ready.iter().filter(|it| it.1 == "font/woff2") {
            text = text.replace(&format!("url({font})"), &format!("url({at})"));
        }
        let at = path(name, text.as_bytes());
        ready.push((name, kind, at, text.into_bytes()));
    }
    ready
});

/// Path of an asset; an unknown name gives a path that is not found (a test walks all pages).
pub fn asset(name: &str) -> String {
    READY.iter().find(|it| it.0 == name).map_or_else(|| format!("/assets/none/{name}"), |it| it.2.clone())
}

/// Routes.
pub fn routes() -> Vec<Route> {
    vec![Route::get("/assets/{hash}/{name}", Right::Anyone, answer)]
}

async fn answer(Path((hash, name)): Path<(String, String)>) -> Result<Response, Fault> {
    let at = format!("/assets/{hash}/{name}");
    let found = READY.iter().find(|it| it.2 == at).ok_or(Fault::NotFound)?;
    let headers =
        [(header::CONTENT_TYPE, found.1), (header::CACHE_CONTROL, "public, max-age=31536000, immutable")];
    Ok((headers, found.3.as_slice()).into_response())
}
