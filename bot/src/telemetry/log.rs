//! The log: one line an event, with request and event ids, never a person's words or health.

use tracing_subscriber::EnvFilter;
use tracing_subscriber::layer::SubscriberExt as _;
use tracing_subscriber::util::SubscriberInitExt as _;

/// How lines look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LogShape {
    /// One JSON object a line, line breaks in fields escaped: for collectors.
    Json,
    /// Text, for a person at a terminal.
    Text,
}

/// Starts the log on standard error. `CUELINE_LOG` sets what is shown (`info` by default).
/// A second start changes nothing.
pub fn start(shape: LogShape, default: &str) {
    let filter = EnvFilter::try_from_env("CUELINE_LOG").unwrap_or_else(|_| EnvFilter::new(default));
    let registry = tracing_subscriber::registry().with(filter);
    let fmt = tracing_subscriber::fmt::layer().with_writer(std::io::stderr);
    // Only fails when a log is running already, as when tests start several services.
    let _ = match shape {
        LogShape::Json => registry.with(fmt.json()).try_init(),
        LogShape::Text => registry.with(fmt.with_target(false)).try_init(),
    };
}
