//! What the operator sees: counters, and a log without anybody's words.

mod log;
mod metrics;

pub use log::{LogShape, start};
pub use metrics::{EventOutcome, MEDIA_TYPE, MessageOutcome, Metrics, ReloadOutcome};
