//! Durable work: leased rows in, effects and messages out. Nothing here lives in memory only.
//!
//! Four loops run side by side: events of the inbox, dated asks, challenges with something to do, and
//! messages of the outbox; a fifth cleans out once a day what has grown too old to keep. Each leases
//! rows, works on them and writes through the lease's fence, so that a worker that was taken over
//! changes nothing any more.

mod challenges;
mod clean;
mod deliver;
mod draw;
mod events;
mod follow_ups;
mod numbers;
mod pace;

pub use clean::Retention;
pub use pace::{Pace, Paces};

use crate::brain::Live;
use crate::clock::Clock;
use crate::platform::ChatPlatform;
use crate::platform::backoff::Backoff;
use crate::store::{ClaimBatch, Store};
use crate::telemetry::Metrics;
use jiff::{SignedDuration, Timestamp};
use numbers::Numbers;
use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::Notify;
use tokio_util::sync::CancellationToken;
use tokio_util::task::TaskTracker;

/// What the loops go by.
#[derive(Clone, Copy, Debug)]
pub struct WorkSettings {
    /// Length of a lease.
    pub lease: SignedDuration,
    /// How often to look when nothing wakes a loop.
    pub poll: Duration,
    /// Most rows leased at once.
    pub at_once: u32,
    /// How long a message is tried.
    pub backoff: Backoff,
    /// How long people's data are kept.
    pub retention: Retention,
}

/// What the loops are built from.
#[derive(Debug)]
pub struct WorkParts {
    /// Name of this instance in leases.
    pub owner: String,
    /// Database.
    pub store: Arc<dyn Store>,
    /// Clock.
    pub clock: Arc<dyn Clock>,
    /// Catalog, texts and rules as they are now.
    pub brain: Arc<Live>,
    /// Platforms by their source.
    pub platforms: BTreeMap<String, Arc<dyn ChatPlatform>>,
    /// Counters.
    pub metrics: Arc<Metrics>,
    /// How fast messages may go out.
    pub paces: Paces,
    /// Settings.
    pub settings: WorkSettings,
    /// Rung when an event was stored.
    pub events_wake: Arc<Notify>,
    /// Rung when dates may have come due (the demo moves its clock).
    pub dates_wake: Arc<Notify>,
}

/// What the loops share.
#[derive(Debug)]
pub(crate) struct Shared {
    parts: WorkParts,
    numbers: Numbers,
    outbox_wake: Notify,
    challenges_wake: Notify,
}

impl Shared {
    /// A claim for this instance, now.
    fn batch(&self) -> ClaimBatch {
        let now = self.parts.clock.now();
        ClaimBatch {
            owner: self.parts.owner.clone(),
            now,
            until: later(now, self.parts.settings.lease),
            limit: self.parts.settings.at_once,
        }
    }

    /// When a row whose handling failed is tried again.
    fn again(&self, attempts: u32) -> Timestamp {
        let wait = self.parts.settings.backoff.wait(attempts, rand::random());
        let wait = SignedDuration::try_from(wait).unwrap_or(SignedDuration::from_secs(1));
        later(self.parts.clock.now(), wait)
    }
}

/// `at` plus `by`, held at the end of time.
fn later(at: Timestamp, by: SignedDuration) -> Timestamp {
    at.checked_add(by).unwrap_or(Timestamp::MAX)
}

/// Claims of an event or a dated ask without an end after which it is given up: whatever kills
/// the process must not do so for ever.
const MOST_CLAIMS: u32 = 5;

/// Runs the loops until `stop`; returns when the work at hand is done and its leases are free.
pub async fn run(parts: WorkParts, stop: CancellationToken) {
    let shared = Arc::new(Shared {
        parts,
        numbers: Numbers::default(),
        outbox_wake: Notify::new(),
        challenges_wake: Notify::new(),
    });
    let tasks = TaskTracker::new();
    tasks.spawn(events::run(shared.clone(), stop.clone()));
    tasks.spawn(follow_ups::run(shared.clone(), stop.clone()));
    tasks.spawn(challenges::run(shared.clone(), stop.clone()));
    tasks.spawn(deliver::run(shared.clone(), stop.clone()));
    tasks.spawn(clean::run(shared.clone(), stop.clone()));
    tasks.close();
    tasks.wait().await;
    if let Err(error) = shared.parts.store.release_all(&shared.parts.owner).await {
        tracing::warn!(%error, "leases could not be freed; they run out by themselves");
    }
}

/// Waits for a ring, the next look, or the end. False at the end.
async fn wait(wake: &Notify, poll: Duration, stop: &CancellationToken) -> bool {
    tokio::select! {
        () = stop.cancelled() => false,
        () = wake.notified() => true,
        () = tokio::time::sleep(poll) => true,
    }
}
