//! The HTTP edge: signed events in, health, metrics.
//!
//! Everything that arrives is untrusted until its signature is checked over the raw bytes, and is
//! bounded in size, time and number before that.

mod attachment;
mod body;
mod data;
mod data_page;
mod desk;
mod envelope;
mod fields;
mod health;
mod json;
mod limits;
mod problem;
mod receive;
mod router;
mod serve;

pub use desk::{Access, DESK_ROUTES, DeskParts, DeskRoute, IDLE, LONGEST, desk_router};
pub use limits::{LimitSettings, RateSetting};
pub use problem::{FieldFault, Problem};
pub use router::{Door, EVENTS_PATH, ROUTES, Route, RouteName, router, router_behind};
pub use serve::{ServeSettings, serve};

use crate::clock::Clock;
use crate::signing::Secret;
use crate::store::Store;
use crate::telemetry::Metrics;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;
use tokio::sync::Notify;

/// A chat platform that may send events.
#[derive(Clone, Debug)]
pub struct PlatformAccess {
    /// Its `CloudEvents` source, such as `/chat/demo`.
    pub source: String,
    /// Its active signing secrets; two while they are being changed over. The secret that fits
    /// tells the platform, so no two platforms may share one.
    pub secrets: Vec<Secret>,
}

/// What the edge is built from.
#[derive(Clone, Debug)]
pub struct WebParts {
    /// Where events are kept. A call may be dropped at its deadline, so it must leave either the
    /// whole event or nothing.
    pub store: Arc<dyn Store>,
    /// What time it is.
    pub clock: Arc<dyn Clock>,
    /// Who may send.
    pub platforms: Vec<PlatformAccess>,
    /// Sizes, deadlines and rates.
    pub limits: LimitSettings,
    /// Told after every stored event.
    pub wake: Arc<Notify>,
    /// Counters.
    pub metrics: Arc<Metrics>,
    /// Set when the service is stopping: nothing new is taken in.
    pub draining: Arc<AtomicBool>,
}

#[cfg(test)]
mod tests;
