//! One set as it was believed and as the coach judged it.

use crate::report::Lift;
use serde::{Deserialize, Serialize};

/// A coach's verdict on one set, beside what was believed of it at the time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Judged {
    /// The lift.
    pub lift: Lift,
    /// The causes as the coach sees them, first thing to fix first; none when there is no fault.
    pub causes: Vec<String>,
    /// Every cause in play with its probability as it stood, most probable first.
    pub beliefs: Vec<(String, f64)>,
    /// Signs taken as there.
    pub present: Vec<String>,
    /// Signs looked for and taken as not there.
    pub absent: Vec<String>,
}

impl Judged {
    /// Whether the coach named this cause.
    pub fn names(&self, cause: &str) -> bool {
        self.causes.iter().any(|named| named == cause)
    }

    /// Whether the cause could be believed in at all: a fact of the report may have ruled it out.
    pub fn in_play(&self, cause: &str) -> bool {
        self.beliefs.iter().any(|(known, _)| known == cause)
    }
}
