//! What can go wrong with a database, by what the caller does about it.

use thiserror::Error;

/// A store error.
#[derive(Debug, Error)]
pub enum StoreError {
    /// Busy, unreachable, out of disk: try again later; at the edge 503.
    #[error("the database cannot be used right now: {0}")]
    Unavailable(String),
    /// A case, lifter or queue item was changed meanwhile: load again and decide again.
    #[error("changed meanwhile: {0}")]
    Conflict(String),
    /// The lease was lost to another worker: stop, write nothing.
    #[error("the lease on {0} was lost")]
    Stale(String),
    /// A kept row cannot be read back.
    #[error("a kept row cannot be read: {0}")]
    Corrupt(String),
    /// Anything else.
    #[error("the database refused: {0}")]
    Unexpected(String),
}
