//! What a coach says is behind a set, beside what was believed of it.

use super::PersonKey;
use cueline_core::outcome::Judged;
use jiff::Timestamp;
use serde::{Deserialize, Serialize};

/// A coach's verdict on one set of a case. There is one for a set at most: a later one takes the
/// place of the former. It holds no words of the lifter.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct CoachVerdict {
    /// The case.
    pub case_id: String,
    /// The event the set came with; names the set within its case.
    pub event_id: String,
    /// When the coach said it.
    pub at: Timestamp,
    /// The coach.
    pub by: PersonKey,
    /// Edition of the catalog the beliefs were made with, `+` and a number behind it when that
    /// many verdicts had been learned from.
    pub edition: String,
    /// What the coach says, what was believed, and which signs were known.
    pub judged: Judged,
}
