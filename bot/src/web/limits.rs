//! How much is taken in: sizes, deadlines, and rates by sender address and by platform.

use governor::clock::{Clock as _, DefaultClock};
use governor::state::keyed::DefaultKeyedStateStore;
use governor::state::{InMemoryState, NotKeyed};
use governor::{Quota, RateLimiter};
use std::hash::Hash;
use std::net::IpAddr;
use std::num::NonZeroU32;
use std::sync::atomic::{AtomicBool, AtomicU32, Ordering};
use std::time::Duration;

/// A steady rate with a burst on top.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RateSetting {
    /// Events a second, steadily.
    pub per_second: NonZeroU32,
    /// Events at once.
    pub burst: NonZeroU32,
}

impl RateSetting {
    const fn quota(self) -> Quota {
        Quota::per_second(self.per_second).allow_burst(self.burst)
    }
}

/// All limits of the edge.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LimitSettings {
    /// Largest body, bytes.
    pub body_bytes: usize,
    /// Longest time for the whole body.
    pub body_deadline: Duration,
    /// Longest time for the database; after that 503.
    pub store_deadline: Duration,
    /// For one address (one /64 network in IPv6).
    pub per_address: RateSetting,
    /// For one platform.
    pub per_platform: RateSetting,
    /// Addresses remembered at once; further ones share a single allowance.
    pub addresses: usize,
}

/// A count that is at least one.
const fn at_least_one(count: u32) -> NonZeroU32 {
    match NonZeroU32::new(count) {
        Some(count) => count,
        None => NonZeroU32::MIN,
    }
}

impl Default for LimitSettings {
    /// 512 KiB, 10 s, 2 s, 300/s and 600 at once for an address, 500/s and 1,000 at once for a
    /// platform, 10,000 addresses.
    fn default() -> Self {
        Self {
            body_bytes: 524_288,
            body_deadline: Duration::from_secs(10),
            store_deadline: Duration::from_secs(2),
            per_address: RateSetting {
                per_second: at_least_one(300),
                burst: at_least_one(600),
            },
            per_platform: RateSetting {
                per_second: at_least_one(500),
                burst: at_least_one(1_000),
            },
            addresses: 10_000,
        }
    }
}

type Keyed<K> = RateLimiter<K, DefaultKeyedStateStore<K>, DefaultClock>;
type Single = RateLimiter<NotKeyed, InMemoryState, DefaultClock>;

/// Checks between two counts of the remembered keys.
const CHECKS_BETWEEN_COUNTS: u32 = 64;

/// A rate for each key, in bounded memory: when too many keys are fresh, new checks share one
/// allowance until old keys can be forgotten.
pub(super) struct BoundedRate<K: Hash + Eq + Clone> {
    keyed: Keyed<K>,
    shared: Single,
    most: usize,
    checks: AtomicU32,
    crowded: AtomicBool,
}

impl<K: Hash + Eq + Clone> BoundedRate<K> {
    fn new(rate: RateSetting, most: usize) -> Self {
        Self::with_quota(rate.quota(), most)
    }

    pub(super) fn with_quota(quota: Quota, most: usize) -> Self {
        Self {
            keyed: RateLimiter::keyed(quota),
            shared: RateLimiter::direct(quota),
            most,
            checks: AtomicU32::new(0),
            crowded: AtomicBool::new(false),
        }
    }

    /// Takes one event, or says how long to wait.
    pub(super) fn take(&self, key: &K) -> Result<(), Duration> {
        let checks = self.checks.fetch_add(1, Ordering::Relaxed);
        if checks.is_multiple_of(CHECKS_BETWEEN_COUNTS) {
            if self.keyed.len() >= self.most {
                self.keyed.retain_recent();
            }
            let crowded = self.keyed.len() >= self.most;
            self.crowded.store(crowded, Ordering::Relaxed);
        }
        let taken = if self.crowded.load(Ordering::Relaxed) {
            self.shared.check()
        } else {
            self.keyed.check_key(key)
        };
        taken.map_err(|until| until.wait_time_from(self.keyed.clock().now()))
    }
}

/// The rates in force.
pub(super) struct RateLimits {
    addresses: BoundedRate<IpAddr>,
    platforms: BoundedRate<usize>,
}

impl std::fmt::Debug for RateLimits {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("RateLimits").finish_non_exhaustive()
    }
}

impl RateLimits {
    pub(super) fn new(settings: &LimitSettings, platforms: usize) -> Self {
        Self {
            addresses: BoundedRate::new(settings.per_address, settings.addresses),
            platforms: BoundedRate::new(settings.per_platform, platforms.saturating_add(1)),
        }
    }

    pub(super) fn address(&self, address: IpAddr) -> Result<(), Duration> {
        self.addresses.take(&network(address))
    }

    pub(super) fn platform(&self, index: usize) -> Result<(), Duration> {
        self.platforms.take(&index)
    }
}

/// What counts as one sender: an IPv4 address, or the /64 network of an IPv6 one, since whoever
/// holds one IPv6 address usually holds them all.
fn network(address: IpAddr) -> IpAddr {
    match address.to_canonical() {
        IpAddr::V6(v6) => {
            let bits = v6.to_bits() & !u128::from(u64::MAX);
            IpAddr::V6(bits.into())
        }
        v4 @ IpAddr::V4(_) => v4,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::{BoundedRate, CHECKS_BETWEEN_COUNTS, RateSetting, at_least_one, network};
    use std::net::{IpAddr, Ipv4Addr};

    fn rate(count: u32) -> RateSetting {
        RateSetting {
            per_second: at_least_one(1),
            burst: at_least_one(count),
        }
    }

    #[test]
    fn one_sender_s_burst_does_not_use_up_another_s() {
        let limit = BoundedRate::new(rate(2), 10);
        assert!(limit.take(&1).is_ok() && limit.take(&1).is_ok());
        let wait = limit.take(&1).unwrap_err();
        assert!(wait.as_millis() > 0 && wait.as_secs() <= 1);
        assert!(limit.take(&2).is_ok());
    }

    #[test]
    fn a_flood_of_addresses_is_remembered_in_bounded_memory() {
        let limit = BoundedRate::new(rate(5), 100);
        let taken = (0..100_000_u32)
            .filter(|n| limit.take(&IpAddr::V4(Ipv4Addr::from_bits(*n))).is_ok())
            .count();
        let most = 100 + usize::try_from(CHECKS_BETWEEN_COUNTS).unwrap();
        assert!(limit.keyed.len() <= most, "{}", limit.keyed.len());
        assert!(taken < 1_000, "{taken}");
    }

    #[test]
    fn an_ipv6_network_counts_as_one_sender() {
        let one: IpAddr = "2001:db8:1:2::1".parse().unwrap();
        let two: IpAddr = "2001:db8:1:2:ffff::9".parse().unwrap();
        let other: IpAddr = "2001:db8:1:3::1".parse().unwrap();
        assert_eq!(network(one), network(two));
        assert_ne!(network(one), network(other));
        let mapped: IpAddr = "::ffff:192.0.2.1".parse().unwrap();
        let plain: IpAddr = "192.0.2.1".parse().unwrap();
        assert_eq!(network(mapped), plain);
    }
}
