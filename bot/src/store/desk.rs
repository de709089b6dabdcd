//! What the coach's desk asks of a database.

use super::{Claim, DeadLetter, QueueLine, StoreError};
use crate::record::{
    Access, CaseLine, Outgoing, PersonKey, QueueCount, Session, SheetDrawn, SheetLine, SignInLink,
};
use async_trait::async_trait;
use jiff::{SignedDuration, Timestamp};

/// Links, sessions, access log, and the lists of one platform.
#[async_trait]
pub trait DeskStore: Send + Sync + std::fmt::Debug {
    /// Keeps a link; those of the same coach not used yet stop working.
    async fn put_sign_in(&self, link: &SignInLink) -> Result<(), StoreError>;

    /// Links a coach has asked for since `since`.
    async fn sign_ins_since(&self, person: &PersonKey, since: Timestamp)
    -> Result<i64, StoreError>;

    /// Uses a link up and begins a session for its coach, noted in the access log; none when the
    /// link is unknown, used or too old. `session` is the new session's hash, `ends_at` its end.
    async fn sign_in(
        &self,
        link_hash: &str,
        session: &str,
        now: Timestamp,
        ends_at: Timestamp,
    ) -> Result<Option<PersonKey>, StoreError>;

    /// The session with this hash, over or not.
    async fn session(&self, hash: &str) -> Result<Option<Session>, StoreError>;

    /// Notes that a session was used.
    async fn session_seen(&self, hash: &str, now: Timestamp) -> Result<(), StoreError>;

    /// Ends a session.
    async fn end_session(&self, hash: &str) -> Result<(), StoreError>;

    /// Writes a line of the access log. An action's id is noted once.
    async fn note_access(&self, access: &Access) -> Result<(), StoreError>;

    /// The line of an action, once it was handled.
    async fn action(&self, source: &str, action_id: &str) -> Result<Option<Access>, StoreError>;

    /// The newest lines of the access log, of one case when named; newest first.
    async fn access_log(
        &self,
        case_id: Option<&str>,
        limit: u32,
    ) -> Result<Vec<Access>, StoreError>;

    /// The access log of one platform, newest first, the lines below `below`; each with its place.
    async fn access_page(
        &self,
        source: &str,
        below: i64,
        limit: u32,
    ) -> Result<Vec<(i64, Access)>, StoreError>;

    /// The newest review sheet of one platform kept within `session` before `now`, with its cases in
    /// running order as they stand now. Sheets made within `session` before it are no earlier ones.
    async fn kept_sheet(
        &self,
        source: &str,
        now: Timestamp,
        session: SignedDuration,
    ) -> Result<Option<(SheetDrawn, Vec<SheetLine>)>, StoreError>;

    /// The queue of one platform in its order, from the line `first` (counted from 0) on; its cases
    /// come without their bodies.
    async fn desk_queue(
        &self,
        source: &str,
        now: Timestamp,
        aging_hours: u32,
        first: u32,
        limit: u32,
    ) -> Result<Vec<QueueLine>, StoreError>;

    /// How much waits on one platform.
    async fn queue_counts(
        &self,
        source: &str,
        now: Timestamp,
    ) -> Result<Vec<QueueCount>, StoreError>;

    /// Cases of one platform with numbers below `below`, newest first, without their bodies.
    async fn recent_cases(
        &self,
        source: &str,
        below: i64,
        limit: u32,
    ) -> Result<Vec<CaseLine>, StoreError>;

    /// Messages to one platform that could not be delivered, newest first.
    async fn dead_letters_of(
        &self,
        source: &str,
        limit: u32,
    ) -> Result<Vec<DeadLetter>, StoreError>;

    /// As `Store::mark_sent`, and keeps `kept` in the message's place: what was secret in it is gone
    /// once it was sent.
    async fn mark_sent_as(
        &self,
        claim: &Claim,
        message_id: &str,
        kept: &Outgoing,
        now: Timestamp,
    ) -> Result<(), StoreError>;
}
