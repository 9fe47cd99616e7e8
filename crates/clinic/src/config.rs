//! What the server is told when it starts.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;

use handrail_store::Store;
use jiff::Timestamp;
use jiff::tz::TimeZone;

/// Where the time comes from.
#[derive(Clone)]
pub struct Clock(Arc<dyn Fn() -> Timestamp + Send + Sync>);

impl Clock {
    /// The clock of the machine.
    pub fn system() -> Clock {
        Clock(Arc::new(Timestamp::now))
    }

    /// A clock of the caller's own, for tests and for looking at another day.
    pub fn of(now: impl Fn() -> Timestamp + Send + Sync + 'static) -> Clock {
        Clock(Arc::new(now))
    }

    /// Now.
    pub fn now(&self) -> Timestamp {
        (self.0)()
    }
}

impl std::fmt::Debug for Clock {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str("Clock")
    }
}

/// Address and transport.
#[derive(Clone, Debug)]
pub struct Listen {
    /// Address; loopback unless the operator says otherwise.
    pub address: SocketAddr,
    /// Certificate chain and private key (PEM files).
    pub tls: Option<(PathBuf, PathBuf)>,
    /// A proxy in front of the server ends TLS and sets `X-Forwarded-For`.
    pub behind_proxy: bool,
}

impl Listen {
    /// Loopback, without TLS.
    pub fn loopback(port: u16) -> Listen {
        Listen { address: SocketAddr::from(([127, 0, 0, 1], port)), tls: None, behind_proxy: false }
    }

    /// Whether browsers reach the server by https.
    pub fn is_secure(&self) -> bool {
        self.tls.is_some() || self.behind_proxy
    }
}

/// Everything the server needs.
#[derive(Clone)]
pub struct Config {
    /// Records.
    pub store: Store,
    /// Address and transport.
    pub listen: Listen,
    /// Time.
    pub clock: Clock,
    /// Zone in which the clinic's days begin and end.
    pub zone: TimeZone,
    /// Folder with the clinic's own content files, read beside what the database holds.
    pub content: Option<PathBuf>,
}
