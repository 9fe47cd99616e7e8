//! Every route, with the right it needs. A route that is not in this table does not exist.

use axum::http::Method;
use axum::routing::MethodRouter;

use crate::app::App;
use crate::rights::Right;

/// One route.
#[derive(Clone)]
pub struct Route {
    /// Method.
    pub method: Method,
    /// Path; `{episode}` in it is the id of an episode.
    pub path: &'static str,
    /// What it needs.
    pub right: Right,
    /// Whether it is spoken to by scripts: errors come as JSON, not as pages.
    pub data: bool,
    /// Most bytes it takes.
    pub most: usize,
    /// What answers.
    pub answer: MethodRouter<App>,
}

/// Bytes of a form.
const FORM: usize = 256 * 1024;

impl Route {
    /// A page.
    pub fn get<H, T>(path: &'static str, right: Right, handler: H) -> Route
    where
        H: axum::handler::Handler<T, App>,
        T: 'static,
    {
        let answer = axum::routing::get(handler);
        Route { method: Method::GET, path, right, data: false, most: FORM, answer }
    }

    /// A form.
    pub fn post<H, T>(path: &'static str, right: Right, handler: H) -> Route
    where
        H: axum::handler::Handler<T, App>,
        T: 'static,
    {
        let answer = axum::routing::post(handler);
        Route { method: Method::POST, path, right, data: false, most: FORM, answer }
    }

    /// The same route, spoken to by a script.
    pub fn data(mut self) -> Route {
        self.data = true;
        self
    }

    /// The same route, taking so many bytes.
    pub fn most(mut self, bytes: usize) -> Route {
        self.most = bytes;
        self
    }
}

/// All routes.
pub fn table() -> Vec<Route> {
    let mut all = Vec::new();
    all.extend(crate::assets::routes());
    all.extend(crate::login::routes());
    all.extend(crate::chart::routes());
    all.extend(crate::intake::routes());
    all.extend(crate::record::routes());
    all.extend(crate::program::routes());
    all.extend(crate::home::routes());
    all.extend(crate::settings::routes());
    all.extend(crate::content::routes());
    all
}
