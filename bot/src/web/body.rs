//! Reads a body with a limit on its size and a deadline for the whole of it.

use super::problem::Problem;
use axum::body::{Body, Bytes};
use futures::StreamExt as _;
use std::time::Duration;
use tokio::time::timeout;

/// Why a body was not read.
#[derive(Debug, PartialEq, Eq)]
pub(super) enum BodyFault {
    TooLarge,
    TooSlow,
    Broken,
}

impl BodyFault {
    pub(super) fn problem(&self, limit: usize, deadline: Duration) -> Problem {
        match self {
            Self::TooLarge => Problem::too_large(limit),
            Self::TooSlow => Problem::too_slow(deadline),
            Self::Broken => Problem::malformed("The body broke off before its end."),
        }
    }
}

/// The whole body, or nothing.
pub(super) async fn read(
    body: Body,
    announced: Option<usize>,
    limit: usize,
    deadline: Duration,
) -> Result<Bytes, BodyFault> {
    timeout(deadline, collect(body, announced, limit))
        .await
        .unwrap_or(Err(BodyFault::TooSlow))
}

async fn collect(body: Body, announced: Option<usize>, limit: usize) -> Result<Bytes, BodyFault> {
    let mut pieces = body.into_data_stream();
    let mut whole: Vec<u8> = Vec::new();
    while let Some(piece) = pieces.next().await {
        let piece = piece.map_err(|_| BodyFault::Broken)?;
        if whole.len() + piece.len() > limit {
            return Err(BodyFault::TooLarge);
        }
        // The usual event arrives in one piece and is not copied.
        if whole.is_empty() && announced == Some(piece.len()) {
            return Ok(piece);
        }
        whole.extend_from_slice(&piece);
    }
    Ok(whole.into())
}
