//! The coach's desk: links to sign in with, sessions, and the log of who saw and did what.

use super::PersonKey;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A link that signs a coach in, once.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct SignInLink {
    /// SHA-256 of its token, hexadecimal; the token itself is kept nowhere.
    pub hash: String,
    /// The coach.
    pub person: PersonKey,
    /// When it was asked for.
    pub created_at: Timestamp,
    /// When it stops working.
    pub expires_at: Timestamp,
}

/// A coach signed in at the desk.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Session {
    /// SHA-256 of its token, hexadecimal; the token itself is in the browser alone.
    pub hash: String,
    /// The coach.
    pub person: PersonKey,
    /// When it began.
    pub created_at: Timestamp,
    /// When it was last used, to the minute.
    pub seen_at: Timestamp,
    /// When it ends, used or not.
    pub ends_at: Timestamp,
}

/// One line of the access log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Access {
    /// When.
    pub at: Timestamp,
    /// The coach.
    pub person: PersonKey,
    /// What: `signed-in`, `signed-out`, `case`, or an action's word such as `say`.
    pub what: String,
    /// The case, when it was about one.
    pub case_id: Option<String>,
    /// The case's number as long as the case is kept.
    pub number: Option<i64>,
    /// An action's id.
    pub action_id: Option<String>,
    /// What came of an action, in words.
    pub outcome: Option<String>,
}

/// What came of an action at the desk; written together with what it changed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outcome {
    /// The coach.
    pub person: PersonKey,
    /// The action's id.
    pub action_id: String,
    /// Its word.
    pub what: String,
    /// The case.
    pub case_id: Option<String>,
    /// In words, for the coach.
    pub text: String,
}

/// How much waits at one urgency.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct QueueCount {
    /// The urgency.
    pub urgency: super::Urgency,
    /// How many.
    pub number: i64,
    /// How many of them are past what was promised.
    pub overdue: i64,
}

/// A case in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct CaseLine {
    /// The case.
    pub case: super::Case,
    /// Name of the lifter as last shown.
    pub lifter_name: String,
}
