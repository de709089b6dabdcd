//! How fast messages may go out: to one room, and to one platform.

use governor::clock::{Clock as _, DefaultClock};
use governor::{DefaultKeyedRateLimiter, Quota, RateLimiter};
use std::num::NonZeroU32;
use std::time::Duration;

/// Messages a minute, with a burst up to a quarter of them.
#[derive(Clone, Copy, Debug)]
pub struct Pace(pub u32);

impl Pace {
    fn quota(self) -> Quota {
        let minute = NonZeroU32::new(self.0).unwrap_or(NonZeroU32::MIN);
        let burst = NonZeroU32::new(self.0 / 4).unwrap_or(NonZeroU32::MIN);
        Quota::per_minute(minute).allow_burst(burst)
    }
}

/// The two limits on messages out.
#[derive(Debug)]
pub struct Paces {
    rooms: DefaultKeyedRateLimiter<String>,
    platforms: DefaultKeyedRateLimiter<String>,
    clock: DefaultClock,
}

impl Paces {
    /// Limits for one room and one platform.
    pub fn new(room: Pace, platform: Pace) -> Self {
        Self {
            rooms: RateLimiter::keyed(room.quota()),
            platforms: RateLimiter::keyed(platform.quota()),
            clock: DefaultClock::default(),
        }
    }

    /// Takes a place for one message; else how long to wait.
    pub(super) fn take(&self, source: &str, room: &str) -> Result<(), Duration> {
        let wait = |negative: governor::NotUntil<_>| negative.wait_time_from(self.clock.now());
        // The platform first: a full platform must not use up a room's places.
        self.platforms.check_key(&source.to_owned()).map_err(wait)?;
        self.rooms
            .check_key(&format!("{source}\n{room}"))
            .map_err(wait)
    }

    /// Forgets rooms that are quiet, so that memory stays bounded.
    pub(super) fn forget_quiet(&self) {
        self.rooms.retain_recent();
        self.platforms.retain_recent();
    }
}
