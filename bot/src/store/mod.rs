//! One door to two databases: embedded `SQLite` by default, `PostgreSQL` when the URL says so.
//!
//! The trait is named by what the service needs. Whatever must be atomic is one method. SQL and
//! `sqlx` live in this folder only.
//!
//! `database` implements the trait once, over the few calls of `engine` that `sqlite` and
//! `postgres` each provide: one text of SQL for both wherever the engines allow it (`sql/NAME.sql`),
//! two where they do not (`sql/NAME.ENGINE.sql`). Times are kept as whole milliseconds.

mod apply;
mod backup;
mod challenges;
mod claim;
mod database;
mod desk;
mod desk_database;
mod engine;
mod error;
mod files;
mod forget;
mod intake;
mod migrations;
mod open;
mod postgres;
mod privacy;
mod rows;
mod sqlite;

pub use backup::{About, BackupError, Restored, about_path, backup, restore};
pub use challenges::ChallengeStore;
pub use desk::DeskStore;
pub use error::StoreError;
pub use files::{FileStore, MOST_OF_A_PERSON};
pub use open::{OpenOptions, open};
pub use privacy::{Ageing, PrivacyStore, SuppressionList};

use crate::record::{
    Case, CoachVerdict, DeadLetter, Effects, Entry, Event, EventKey, FollowUp, Lifter, MessageMark,
    Outgoing, PersonKey, QueueItem, QueueLine, SheetLine,
};
use async_trait::async_trait;
use jiff::Timestamp;

/// An event as accepted at the edge.
#[derive(Clone, Debug, PartialEq)]
pub struct NewEvent {
    /// The typed event.
    pub event: Event,
    /// SHA-256 of the raw body, hexadecimal.
    pub body_hash: String,
    /// When it was received.
    pub received_at: Timestamp,
}

/// What became of an accepted event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Accepted {
    /// Stored now; the commit is durable.
    Stored,
    /// Seen before with the same body.
    Duplicate,
    /// Seen before with another body; nothing was changed.
    Conflict,
}

/// A signed body that could not be read, kept for a person to look at.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Quarantined {
    /// Platform whose signature was good.
    pub source: String,
    /// `webhook-id` header.
    pub id: String,
    /// Raw body, lossily decoded.
    pub body: String,
    /// Why it could not be read.
    pub reason: String,
    /// When it was received.
    pub received_at: Timestamp,
}

/// Which leased row a piece of work holds; every later write names it and is refused when stale.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Claim {
    /// An event of the inbox.
    Event {
        /// Its key.
        key: EventKey,
        /// The fence it was claimed with.
        fence: i64,
    },
    /// A dated ask.
    FollowUp {
        /// Its id.
        id: String,
        /// The fence it was claimed with.
        fence: i64,
    },
    /// A challenge with something to do.
    Challenge {
        /// Its number.
        number: i64,
        /// The fence it was claimed with.
        fence: i64,
    },
    /// A message of the outbox.
    Outgoing {
        /// Its key.
        key: String,
        /// The fence it was claimed with.
        fence: i64,
    },
}

/// A leased thing to work on.
#[derive(Clone, Debug, PartialEq)]
pub struct Leased<T> {
    /// The lease.
    pub claim: Claim,
    /// How often it was claimed, this time included.
    pub attempts: u32,
    /// When it was first written.
    pub created_at: Timestamp,
    /// The thing itself.
    pub item: T,
}

/// Who claims, when, for how long and how much at once.
#[derive(Clone, Debug)]
pub struct ClaimBatch {
    /// Name of the instance.
    pub owner: String,
    /// The time now.
    pub now: Timestamp,
    /// When the lease ends.
    pub until: Timestamp,
    /// At most this many.
    pub limit: u32,
}

/// Counts for the metrics page.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Depths {
    /// Events waiting or leased.
    pub inbox: i64,
    /// Messages waiting or leased.
    pub outbox: i64,
    /// Given up for good: messages, events and dated asks together.
    pub dead: i64,
    /// Cases in the queue.
    pub queue: i64,
    /// Dated asks open.
    pub follow_ups: i64,
}

/// Everything the service asks of a database.
#[async_trait]
pub trait Store: DeskStore {
    /// Stores an event unless its key is known; returns only after a durable commit.
    async fn accept(&self, event: NewEvent) -> Result<Accepted, StoreError>;

    /// Keeps a signed body that could not be read.
    async fn quarantine(&self, body: Quarantined) -> Result<(), StoreError>;

    /// Leases waiting events whose room has no earlier unfinished event, oldest first.
    /// A row whose lease has run out counts as waiting.
    async fn claim_events(&self, batch: &ClaimBatch) -> Result<Vec<Leased<Event>>, StoreError>;

    /// Leases dated asks that are due, earliest first.
    async fn claim_follow_ups(
        &self,
        batch: &ClaimBatch,
    ) -> Result<Vec<Leased<FollowUp>>, StoreError>;

    /// Leases messages to send, in order within a room, rooms side by side.
    async fn claim_outgoing(&self, batch: &ClaimBatch)
    -> Result<Vec<Leased<Outgoing>>, StoreError>;

    /// Writes everything one input changes and marks the input done, in one transaction.
    /// `StoreError::Stale` when the lease was lost, `StoreError::Conflict` when a case or lifter
    /// was changed meanwhile, or when a case to be taken is held by another coach or no longer in
    /// the queue: nothing is written then. A stored version is one higher than the one written.
    ///
    /// With the claim on a message of the outbox the effects are written (an alert before a message
    /// is given up, say) and the message's own row is left as it is; `mark_sent`, `retry_at` or
    /// `give_up` tell how its sending ended.
    async fn apply(
        &self,
        claim: &Claim,
        effects: &Effects,
        now: Timestamp,
    ) -> Result<(), StoreError>;

    /// Marks a message sent, with the platform's id for it.
    async fn mark_sent(
        &self,
        claim: &Claim,
        message_id: &str,
        now: Timestamp,
    ) -> Result<(), StoreError>;

    /// Gives a leased row back, to be tried again at `at`.
    async fn retry_at(&self, claim: &Claim, at: Timestamp, error: &str) -> Result<(), StoreError>;

    /// Takes a leased message back: it is not wanted any more.
    async fn withdraw(&self, claim: &Claim, now: Timestamp) -> Result<(), StoreError>;

    /// Gives a leased row up for good, kept and visible.
    async fn give_up(&self, claim: &Claim, error: &str, now: Timestamp) -> Result<(), StoreError>;

    /// Extends a lease.
    async fn extend(&self, claim: &Claim, until: Timestamp) -> Result<(), StoreError>;

    /// Frees every lease of an instance (on a graceful stop).
    async fn release_all(&self, owner: &str) -> Result<(), StoreError>;

    /// The lifter, if known.
    async fn lifter(&self, key: &PersonKey) -> Result<Option<Lifter>, StoreError>;

    /// A lifter's cases, stopped ones first, then the newest; at most `limit`.
    async fn cases_of(&self, key: &PersonKey, limit: u32) -> Result<Vec<Case>, StoreError>;

    /// The case with this id.
    async fn case(&self, id: &str) -> Result<Option<Case>, StoreError>;

    /// The case with this number.
    async fn case_by_number(&self, number: i64) -> Result<Option<Case>, StoreError>;

    /// The newest case whose history holds this message of the platform.
    async fn case_of_message(
        &self,
        source: &str,
        room_id: &str,
        message_id: &str,
    ) -> Result<Option<Case>, StoreError>;

    /// A number for a new case; gaps are fine, repeats never happen.
    async fn reserve_case_number(&self) -> Result<i64, StoreError>;

    /// History of a case, oldest first, the newest `limit` entries.
    async fn entries(&self, case_id: &str, limit: u32) -> Result<Vec<Entry>, StoreError>;

    /// The queue in order: urgency, then promised date, then longest waiting, then fewest minutes;
    /// whoever waits longer than `aging_hours` moves up one class for each such span, but never as
    /// high as emergency words: those are always first.
    async fn queue(
        &self,
        now: Timestamp,
        aging_hours: u32,
        limit: u32,
    ) -> Result<Vec<QueueLine>, StoreError>;

    /// What a review sheet of one platform may choose from: at most `limit` that wait, longest
    /// first, then at most `limit` answered since `since` that no earlier sheet has shown since.
    /// Sheets made from `earlier` on do not count as earlier ones.
    async fn sheet_lines(
        &self,
        source: &str,
        earlier: Timestamp,
        since: Timestamp,
        limit: u32,
    ) -> Result<Vec<SheetLine>, StoreError>;

    /// The queue item of a case.
    async fn queue_item(&self, case_id: &str) -> Result<Option<QueueItem>, StoreError>;

    /// The mark on a platform's message.
    async fn message_mark(
        &self,
        source: &str,
        room_id: &str,
        message_id: &str,
    ) -> Result<Option<MessageMark>, StoreError>;

    /// The message we sent that the platform knows by this id.
    async fn sent_message(
        &self,
        source: &str,
        message_id: &str,
    ) -> Result<Option<Outgoing>, StoreError>;

    /// Messages that could not be delivered, newest first.
    async fn dead_letters(&self, limit: u32) -> Result<Vec<DeadLetter>, StoreError>;

    /// The newest verdict on a set of this case.
    async fn verdict_of_case(&self, case_id: &str) -> Result<Option<CoachVerdict>, StoreError>;

    /// Verdicts of all cases, newest first, at most `limit`.
    async fn verdicts(&self, limit: u32) -> Result<Vec<CoachVerdict>, StoreError>;

    /// Number of verdicts and time of the newest: the same for as long as none was given, changed
    /// or erased.
    async fn verdicts_mark(&self) -> Result<(i64, i64), StoreError>;

    /// Counts for the metrics page.
    async fn depths(&self) -> Result<Depths, StoreError>;

    /// Answers when the database does.
    async fn ping(&self) -> Result<(), StoreError>;

    /// What it does about people's data.
    fn privacy(&self) -> &dyn PrivacyStore;
    /// What it does about pictures and traces.
    fn files(&self) -> &dyn FileStore;
    /// What it does about challenges.
    fn challenges(&self) -> &dyn ChallengeStore;

    /// Closes every connection, after a checkpoint where there is one.
    async fn close(&self);
}
