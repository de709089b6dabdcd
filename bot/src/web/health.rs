//! Whether the process lives, whether it can take work, and its counters.

use super::problem::Problem;
use super::router::Edge;
use crate::telemetry::MEDIA_TYPE;
use axum::extract::State;
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use tokio::time::timeout;

/// `GET /health/live`: the process answers.
pub(super) async fn live() -> &'static str {
    "live\n"
}

/// `GET /health/ready`: the database answers and nothing is being shut down. An edit of the
/// configuration that was refused does not make it unready, and is said.
pub(super) async fn ready(State(edge): State<Arc<Edge>>) -> Result<String, Problem> {
    if edge.parts.draining.load(Ordering::SeqCst) {
        return Err(Problem::unavailable());
    }
    match timeout(edge.parts.limits.store_deadline, edge.parts.store.ping()).await {
        Ok(Ok(())) => Ok(match edge.parts.metrics.configuration_faults() {
            0 => "ready\n".to_owned(),
            faults => format!(
                "ready\nconfiguration: the last edit was refused, {faults} faults (see the log); the one \
                 before it is in use\n"
            ),
        }),
        Ok(Err(error)) => {
            tracing::warn!(%error, "not ready");
            Err(Problem::unavailable())
        }
        Err(_) => Err(Problem::unavailable()),
    }
}

/// `GET /metrics`. Answers also when the database does not, so that this can be seen.
pub(super) async fn metrics(State(edge): State<Arc<Edge>>) -> Result<Response, Problem> {
    let asked = timeout(edge.parts.limits.store_deadline, edge.parts.store.depths()).await;
    let depths = asked.ok().and_then(Result::ok);
    let page = edge
        .parts
        .metrics
        .text(depths)
        .map_err(|_| Problem::unavailable())?;
    Ok(([(CONTENT_TYPE, MEDIA_TYPE)], page).into_response())
}
