//! What the community said, counted, and where it differs from the coach.

use super::answer::{Answer, Key};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// How many answers name a cause.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Named {
    /// Cause id.
    pub cause: String,
    /// Answers that name it.
    pub by: usize,
    /// Answers that name it first.
    pub first: usize,
    /// Mean of how sure those are who name it, 0 to 1.
    pub sure: f64,
}

/// Every cause named, the most named first; equals by their ids.
pub fn named_by(answers: &[Answer]) -> Vec<Named> {
    let mut counts: BTreeMap<&str, (usize, usize, f64)> = BTreeMap::new();
    for answer in answers {
        for (place, (cause, sure)) in answer.forecast().enumerate() {
            let count = counts.entry(cause).or_default();
            count.0 += 1;
            count.1 += usize::from(place == 0);
            count.2 += sure;
        }
    }
    let mut named: Vec<Named> = counts
        .into_iter()
        .map(|(cause, (by, first, sure))| Named {
            cause: cause.to_owned(),
            by,
            first,
            sure: sure / by as f64,
        })
        .collect();
    named.sort_by_key(|named| std::cmp::Reverse(named.by));
    named
}

/// Where the community and the coach part.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Split {
    /// Causes the coach sees that fewer than half of the answers name.
    pub missed: Vec<String>,
    /// Causes that at least half of the answers name and the coach does not see.
    pub added: Vec<String>,
}

/// Compares what most say with the coach's verdict.
pub fn split(answers: &[Answer], key: &Key) -> Split {
    let named = named_by(answers);
    let half = |cause: &str| {
        named
            .iter()
            .any(|named| named.cause == cause && 2 * named.by >= answers.len())
    };
    Split {
        missed: key
            .causes
            .iter()
            .filter(|cause| !half(cause))
            .cloned()
            .collect(),
        added: named
            .iter()
            .filter(|named| half(&named.cause) && !key.holds(&named.cause))
            .map(|named| named.cause.clone())
            .collect(),
    }
}
