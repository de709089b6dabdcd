//! Chat platforms, outward: one trait, the generic platform of the contract, and the pure rules
//! around them (how long to wait, when to try again).

pub mod backoff;
pub mod door;
mod generic;
pub mod retry_after;

pub use generic::{BearerToken, GenericPlatform, GenericSettings, PlatformSettingsError};

use crate::record::Outgoing;
use async_trait::async_trait;
use std::time::Duration;
use thiserror::Error;

/// A message the platform has taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Posted {
    /// The platform's id of the message.
    pub message_id: String,
}

/// Why a message was not posted, by what the worker does about it. The texts are short, cleaned
/// of control characters and fit to be shown to the coach.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum PostFault {
    /// Try again later with the same key; the message may have been posted.
    #[error("try again later: {why}")]
    Retry {
        /// What the platform asked for, at most one hour; never wait less.
        after: Option<Duration>,
        /// What happened.
        why: String,
    },
    /// The same key is still being worked on (409): try again in 1 to 5 seconds.
    #[error("the platform is still working on this message")]
    Busy409,
    /// Trying again cannot help (400, 413, 422 and the like).
    #[error("refused: {why}")]
    Refused {
        /// The platform's status; none when the message was not fit to be sent at all.
        status: Option<u16>,
        /// What the platform said.
        why: String,
    },
    /// Our token is not accepted (401, 403): pause this platform and tell the operator.
    #[error("the platform does not accept our token")]
    Unauthorised,
    /// The room or person is gone (404, 410).
    #[error("the room or person is gone")]
    Gone,
}

/// A chat platform, outward.
#[async_trait]
pub trait ChatPlatform: Send + Sync + std::fmt::Debug {
    /// Posts one message. Safe to repeat with the same [`Outgoing::key`].
    async fn post(&self, message: &Outgoing) -> Result<Posted, PostFault>;

    /// Deletes a message of ours, by the platform's id. Safe to repeat; one that is gone already is no
    /// fault.
    async fn unpost(&self, message_id: &str) -> Result<(), PostFault>;
}
