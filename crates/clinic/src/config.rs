//! What the server is told when it starts.

use std::net::SocketAddr;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

use handrail_store::Store;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

/// Where the time comes from, and the latest moment that is known to have been: so that a clock that was set back is
/// noticed.
#[derive(Clone)]
pub struct Clock {
    read: Arc<dyn Fn() -> Timestamp + Send + Sync>,
    /// Milliseconds.
    latest: Arc<AtomicI64>,
}

/// A clock that stands no further behind than this was not set back: two servers differ by seconds.
const SLACK: SignedDuration = SignedDuration::from_mins(1);

impl Clock {
    /// The clock of the machine.
    pub fn system() -> Clock {
        Clock::of(Timestamp::now)
    }

    /// A clock of the caller's own, for tests and for looking at another day.
    pub fn of(now: impl Fn() -> Timestamp + Send + Sync + 'static) -> Clock {
        Clock { read: Arc::new(now), latest: Arc::new(AtomicI64::new(i64::MIN)) }
    }

    /// Now.
    pub fn now(&self) -> Timestamp {
        let now = (self.read)();
        self.saw(now);
        now
    }

    /// Takes note of a moment that has been: at which something was recorded.
    pub fn saw(&self, moment: Timestamp) {
        self.latest.fetch_max(moment.as_millisecond(), Ordering::Relaxed);
    }

    /// A person says that the clock goes right: what it noted before counts no longer.
    pub fn is_right(&self) {
        self.latest.store((self.read)().as_millisecond(), Ordering::Relaxed);
    }

    /// The latest moment that has been, when the clock stands well before it.
    pub fn behind(&self) -> Option<Timestamp> {
        let now = (self.read)();
        let latest = Timestamp::from_millisecond(self.latest.load(Ordering::Relaxed)).ok()?;
        (latest.duration_since(now) > SLACK).then_some(latest)
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_was_set_back_is_noticed_and_one_that_goes_on_is_not() {
        let seconds = Arc::new(AtomicI64::new(1_800_000_000));
        let shown = seconds.clone();
        let at = |s: i64| Timestamp::from_second(s).expect("a moment");
        let clock = Clock::of(move || at(shown.load(Ordering::SeqCst)));
        assert_eq!((clock.behind(), clock.now()), (None, at(1_800_000_000)));
        seconds.fetch_sub(50, Ordering::SeqCst);
        assert_eq!((clock.behind(), clock.now()), (None, at(1_799_999_950)));
        seconds.fetch_sub(3600, Ordering::SeqCst);
        assert_eq!(clock.behind(), Some(at(1_800_000_000)));
        seconds.fetch_add(7200, Ordering::SeqCst);
        assert_eq!(clock.behind(), None);
        clock.saw(at(1_900_000_000));
        assert_eq!(clock.behind(), Some(at(1_900_000_000)));
    }
}
