//! From the table of routes to a running server.

use std::net::SocketAddr;
use std::sync::Arc;
use std::time::Duration;

use axum::Router;
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse as _, Response};
use handrail_spans::Problems;
use handrail_store::StoreError;
use tower_http::CompressionLevel;
use tower_http::catch_panic::CatchPanicLayer;
use tower_http::compression::CompressionLayer;

use crate::app::App;
use crate::config::Config;
use crate::content::state;
use crate::fault::Fault;
use crate::gate::{Door, LONGEST, gate};
use crate::rights::Right;
use crate::routes::Route;
use crate::settings;

/// Why the server does not start or ends.
#[derive(Debug, thiserror::Error)]
pub enum ServeError {
    /// Mistakes in content files.
    #[error("the content has mistakes")]
    Content(Problems),
    /// The clinic's own content cannot be read.
    #[error("the clinic's own content cannot be read: {0}")]
    OwnContent(String),
    /// The records cannot be read.
    #[error("{0}")]
    Records(StoreError),
    /// The address cannot be used.
    #[error("cannot listen on {address}: {error}")]
    Listen {
        /// Address.
        address: SocketAddr,
        /// Why.
        error: std::io::Error,
    },
    /// Reachable from elsewhere without TLS.
    #[error(
        "{0} can be reached from other machines, and patients' data would go over the network in the clear"
    )]
    InTheClear(SocketAddr),
    /// Certificate or key cannot be read.
    #[error("TLS: {0}")]
    Tls(std::io::Error),
}

/// The router over routes: those of [`crate::routes::table`], in the program.
pub fn router(app: &App, routes: Vec<Route>) -> Router {
    router_within(app, routes, LONGEST)
}

/// The same with another longest time of an answer.
pub fn router_within(app: &App, routes: Vec<Route>, longest: Duration) -> Router {
    let mut router = Router::new();
    let door = |right, data, most| Arc::new(Door { app: app.clone(), right, data, most, longest });
    for route in routes {
        let door = door(route.right, route.data, route.most);
        // A panic behind the gate becomes a page as any other error.
        let answer = route.answer.layer(CatchPanicLayer::custom(broke_off));
        router = router.route(route.path, answer.layer(from_fn_with_state(door, gate)));
    }
    let nowhere = door(Right::Anyone, false, 0);
    let not_found = axum::routing::any(|| async { Fault::NotFound });
    router
        .fallback_service(not_found.layer(from_fn_with_state(nowhere, gate)).with_state(app.clone()))
        .layer(CatchPanicLayer::new())
        // The best level costs more of the processor than the rest of a page, for a tenth of its bytes.
        .layer(CompressionLayer::new().quality(CompressionLevel::Fastest))
        .with_state(app.clone())
}

/// The error of a request that panicked.
fn broke_off(panic: Box<dyn std::any::Any + Send>) -> Response {
    let words = panic.downcast_ref::<&str>().map(ToString::to_string);
    let words = words.or_else(|| panic.downcast_ref::<String>().cloned()).unwrap_or_default();
    Fault::Internal(format!("a request broke off: {words}")).into_response()
}

/// Serves until `until` is done, then ends open requests.
///
/// # Errors
/// See [`ServeError`].
pub async fn serve(
    config: Config,
    routes: Vec<Route>,
    ready: impl FnOnce(SocketAddr),
    until: impl Future<Output = ()> + Send + 'static,
) -> Result<(), ServeError> {
    let listen = config.listen.clone();
    if !listen.address.ip().is_loopback() && !listen.is_secure() {
        return Err(ServeError::InTheClear(listen.address));
    }
    let app = App::new(config).map_err(ServeError::Content)?;
    // The clinic's own content is there before the first page.
    state::in_use(&app).await.map_err(|fault| match fault {
        Fault::Store(error) => ServeError::Records(error),
        other => ServeError::OwnContent(format!("{other:?}")),
    })?;
    let latest = app.store().read(settings::latest).await;
    latest.map_err(ServeError::Records)?.into_iter().for_each(|it| app.config().clock.saw(it));
    // Ends with this function, however that ends.
    let mut beside = tokio::task::JoinSet::new();
    beside.spawn(state::keep_current(app.clone(), state::EVERY));
    let service = router(&app, routes).into_make_service_with_connect_info::<SocketAddr>();
    let failed = |error| ServeError::Listen { address: listen.address, error };
    let socket = std::net::TcpListener::bind(listen.address).map_err(failed)?;
    socket.set_nonblocking(true).map_err(failed)?;
    ready(socket.local_addr().map_err(failed)?);
    let handle = axum_server::Handle::new();
    let stop = handle.clone();
    tokio::spawn(async move {
        until.await;
        stop.graceful_shutdown(Some(Duration::from_secs(5)));
    });
    match &listen.tls {
        Some((certificate, key)) => {
            // A second call finds the provider set, which is as good.
            let _ = rustls::crypto::ring::default_provider().install_default();
            let tls = axum_server::tls_rustls::RustlsConfig::from_pem_file(certificate, key)
                .await
                .map_err(ServeError::Tls)?;
            let server = axum_server::from_tcp_rustls(socket, tls).map_err(ServeError::Tls)?;
            server.handle(handle).serve(service).await.map_err(failed)
        }
        None => {
            axum_server::from_tcp(socket).map_err(failed)?.handle(handle).serve(service).await.map_err(failed)
        }
    }
}
