//! The one place that asks what time it is, so that tests and the demo can set it.

use jiff::{SignedDuration, Timestamp};
use std::sync::Arc;
use std::sync::atomic::{AtomicI64, Ordering};

/// Tells the time.
pub trait Clock: Send + Sync + std::fmt::Debug {
    /// The time now, UTC.
    fn now(&self) -> Timestamp;
}

/// The system's clock.
#[derive(Clone, Copy, Debug, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    #[expect(
        clippy::disallowed_methods,
        reason = "this is the clock everything else asks"
    )]
    fn now(&self) -> Timestamp {
        Timestamp::now()
    }
}

/// The system's clock moved by a set amount: it goes on by itself and can be set forward.
#[derive(Clone, Debug, Default)]
pub struct MovableClock {
    /// Milliseconds ahead of the system's clock.
    ahead_ms: Arc<AtomicI64>,
}

impl MovableClock {
    /// Moves the clock on by `by` (back when negative).
    pub fn advance(&self, by: SignedDuration) {
        let ms = i64::try_from(by.as_millis()).unwrap_or(i64::MAX);
        self.ahead_ms.fetch_add(ms, Ordering::SeqCst);
    }

    /// Sets the clock to `time`, from where it goes on.
    pub fn set(&self, time: Timestamp) {
        let ahead = time.as_millisecond() - SystemClock.now().as_millisecond();
        self.ahead_ms.store(ahead, Ordering::SeqCst);
    }
}

impl Clock for MovableClock {
    fn now(&self) -> Timestamp {
        let now = SystemClock.now();
        let ahead = SignedDuration::from_millis(self.ahead_ms.load(Ordering::SeqCst));
        now.checked_add(ahead).unwrap_or(now)
    }
}
