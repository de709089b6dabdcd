//! What the coach looks at: rows put together for reading.

use super::{Case, CoachVerdict, Entry, KeptFile, Lifter, Outgoing, QueueItem};
use jiff::Timestamp;

/// One case with everything the coach sees.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseFile {
    /// The case.
    pub case: Case,
    /// Its history, oldest first.
    pub entries: Vec<Entry>,
    /// Its place in the queue.
    pub queue_item: Option<QueueItem>,
    /// Its lifter.
    pub lifter: Option<Lifter>,
    /// The newest verdict a coach gave on a set of it.
    pub verdict: Option<CoachVerdict>,
    /// Pictures and traces kept with it, without their contents; empty where they were not asked for.
    pub files: Vec<KeptFile>,
}

/// One line of the queue.
#[derive(Clone, Debug, PartialEq)]
pub struct QueueLine {
    /// The item.
    pub item: QueueItem,
    /// The case it is about.
    pub case: Case,
    /// Name of the lifter as last shown.
    pub lifter_name: String,
}

/// A message that could not be delivered.
#[derive(Clone, Debug, PartialEq)]
pub struct DeadLetter {
    /// The message.
    pub message: Outgoing,
    /// What the platform said last.
    pub last_error: String,
    /// When it was given up.
    pub died_at: Timestamp,
}
