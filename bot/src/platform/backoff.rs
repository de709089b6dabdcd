//! How long to wait between tries: exponential backoff with full jitter,
//! `sleep = random(0, min(cap, base * 2^attempt))` (the formula of the AWS architecture blog's
//! "Exponential Backoff and Jitter"). Pure: chance is an argument.

use jiff::{SignedDuration, Timestamp};
use std::time::Duration;

/// The rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Backoff {
    /// Longest wait after the first failure.
    pub base: Duration,
    /// Longest wait ever.
    pub cap: Duration,
    /// Age at which a message is given up.
    pub give_up_after: Duration,
}

impl Default for Backoff {
    /// 1 second, 15 minutes, 24 hours.
    fn default() -> Self {
        Self {
            base: Duration::from_secs(1),
            cap: Duration::from_mins(15),
            give_up_after: Duration::from_hours(24),
        }
    }
}

impl Backoff {
    /// The longest wait after `failures` failures (0 counts as the first).
    pub fn ceiling(&self, failures: u32) -> Duration {
        let factor = 2_u32.checked_pow(failures).unwrap_or(u32::MAX);
        self.base.saturating_mul(factor).min(self.cap)
    }

    /// The wait after `failures` failures. `chance` lies in 0 to 1; anything else is brought there.
    pub fn wait(&self, failures: u32, chance: f64) -> Duration {
        let chance = if chance.is_finite() {
            chance.clamp(0.0, 1.0)
        } else {
            1.0
        };
        self.ceiling(failures).mul_f64(chance)
    }

    /// The wait when the platform may have named one: never shorter than what it asked for.
    pub fn wait_at_least(&self, failures: u32, chance: f64, asked: Option<Duration>) -> Duration {
        self.wait(failures, chance)
            .max(asked.unwrap_or(Duration::ZERO))
    }

    /// Whether a message first written at `created_at` is to be given up now.
    pub fn is_over(&self, created_at: Timestamp, now: Timestamp) -> bool {
        let limit = SignedDuration::try_from(self.give_up_after).unwrap_or(SignedDuration::MAX);
        now.duration_since(created_at) >= limit
    }
}

/// The wait before a key that is still being worked on is tried again: 1 to 5 seconds.
/// `chance` lies in 0 to 1.
pub fn busy_wait(chance: f64) -> Duration {
    let chance = if chance.is_finite() {
        chance.clamp(0.0, 1.0)
    } else {
        1.0
    };
    Duration::from_secs(1) + Duration::from_secs(4).mul_f64(chance)
}

#[cfg(test)]
mod tests {
    use super::{Backoff, busy_wait};
    use jiff::{SignedDuration, Timestamp};
    use proptest::prelude::*;
    use std::time::Duration;

    #[test]
    fn the_longest_wait_doubles_until_the_cap() {
        let rule = Backoff::default();
        let seconds: Vec<u64> = (0..12).map(|n| rule.ceiling(n).as_secs()).collect();
        assert_eq!(seconds, [1, 2, 4, 8, 16, 32, 64, 128, 256, 512, 900, 900]);
        assert_eq!(rule.ceiling(u32::MAX).as_secs(), 900);
    }

    #[test]
    fn a_reply_is_given_up_after_a_day_and_not_a_second_before() {
        let rule = Backoff::default();
        let written = Timestamp::UNIX_EPOCH;
        let day = SignedDuration::from_hours(24);
        assert!(rule.is_over(written, written + day));
        assert!(!rule.is_over(written, written + day - SignedDuration::from_secs(1)));
        assert!(!rule.is_over(written + day, written), "clock set back");
    }

    proptest! {
        #[test]
        fn a_wait_lies_between_nothing_and_its_ceiling(failures: u32, chance: f64) {
            let rule = Backoff::default();
            let wait = rule.wait(failures, chance);
            prop_assert!(wait <= rule.ceiling(failures));
            prop_assert!(rule.ceiling(failures) <= rule.cap);
        }

        #[test]
        fn a_wait_is_never_shorter_than_the_platform_asked(
            failures: u32, chance in 0.0..1.0_f64, asked in 0_u64..100_000,
        ) {
            let asked = Duration::from_secs(asked);
            let wait = Backoff::default().wait_at_least(failures, chance, Some(asked));
            prop_assert!(wait >= asked);
        }

        #[test]
        fn full_jitter_spreads_evenly(failures in 0_u32..20, chance in 0.0..=1.0_f64) {
            let rule = Backoff::default();
            let share = rule.wait(failures, chance).as_secs_f64() / rule.ceiling(failures).as_secs_f64();
            prop_assert!((share - chance).abs() < 1e-6);
        }

        #[test]
        fn a_busy_key_waits_one_to_five_seconds(chance: f64) {
            let wait = busy_wait(chance);
            prop_assert!(wait >= Duration::from_secs(1) && wait <= Duration::from_secs(5));
        }
    }
}
