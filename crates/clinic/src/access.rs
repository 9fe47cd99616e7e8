//! Limits on tries: logins and patient doors, by address and by what is tried. Kept in memory; what must outlive
//! the process (locked accounts, tries of a link) stands in the database.

use std::num::NonZeroU32;
use std::time::Duration;

use governor::clock::{Clock as _, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};

use crate::fault::Fault;

/// Tries of one address in quick succession.
const BY_ADDRESS: u32 = 30;
/// Tries of one account or link in quick succession.
const BY_NAME: u32 = 8;
/// After those, one more try in this time.
const ONE_MORE: Duration = Duration::from_secs(15);

/// Limits on tries.
pub struct Limits {
    by_address: DefaultKeyedRateLimiter<String>,
    by_name: DefaultKeyedRateLimiter<String>,
}

impl Default for Limits {
    fn default() -> Self {
        let quota = |most: u32| {
            let most = NonZeroU32::new(most).unwrap_or(NonZeroU32::MIN);
            Quota::with_period(ONE_MORE).unwrap_or(Quota::per_minute(NonZeroU32::MIN)).allow_burst(most)
        };
        Limits {
            by_address: RateLimiter::keyed(quota(BY_ADDRESS)),
            by_name: RateLimiter::keyed(quota(BY_NAME)),
        }
    }
}

impl Limits {
    /// Counts a try.
    ///
    /// # Errors
    /// Too many, with the seconds to wait.
    pub fn try_once(&self, address: &str, name: &str) -> Result<(), Fault> {
        for (limiter, key) in [(&self.by_address, address), (&self.by_name, name)] {
            if let Err(until) = limiter.check_key(&key.to_string()) {
                let wait = until.wait_time_from(DefaultClock::default().now()).as_secs() + 1;
                return Err(Fault::TooMany { wait });
            }
        }
        // Old keys must not fill the memory.
        if self.by_name.len() > 10_000 {
            self.by_name.retain_recent();
            self.by_address.retain_recent();
        }
        Ok(())
    }
}
