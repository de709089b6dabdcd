//! What a member answers, and what the coach holds it against.

use crate::catalog::LiftBook;
use crate::quantity::Span;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Causes an answer or a verdict may name at most.
pub const MOST_CAUSES: usize = 3;

/// How sure somebody is taken to be who names causes in order and gives no figure: the first, the
/// second, the third (our judgement; no source).
const IMPLIED: [f64; MOST_CAUSES] = [0.6, 0.3, 0.15];

/// How sure a cause at this place of the order is taken to be when nothing is said; places count
/// from 0.
pub fn implied(place: usize) -> f64 {
    IMPLIED
        .get(place)
        .copied()
        .unwrap_or(IMPLIED[MOST_CAUSES - 1])
}

/// A cause somebody names.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct NamedCause {
    /// Cause id.
    pub cause: String,
    /// How sure, 0 to 1; absent when only the order was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confidence: Option<f64>,
}

/// An assistance exercise somebody proposes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct ExerciseAnswer {
    /// The exercise, in the words of the catalog when it was recognised.
    pub exercise: String,
    /// Cause whose correction has this exercise, when one has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub corrects: Option<String>,
    /// Percent of the lifter's best single, when a load was given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub percent: Option<Span>,
}

/// One member's answer to a challenge; also the form in which the service's own is sealed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Answer {
    /// Causes, the one to fix first in front; at most [`MOST_CAUSES`], none twice.
    pub causes: Vec<NamedCause>,
    /// One cue, in the member's words. Not marked; the coach reads it.
    #[serde(default)]
    pub cue: String,
    /// One assistance exercise.
    #[serde(default)]
    pub exercise: Option<ExerciseAnswer>,
}

/// Why an answer is not taken.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum AnswerFault {
    /// Nothing named.
    #[error("no cause named; accepted are one to three causes, the one to fix first in front")]
    Empty,
    /// Too many causes.
    #[error("{found} causes named; accepted are one to three, the one to fix first in front")]
    TooMany {
        /// How many.
        found: usize,
    },
    /// A cause twice.
    #[error("cause `{cause}` named twice; name each once")]
    Twice {
        /// Which.
        cause: String,
    },
    /// A cause the lift does not have.
    #[error("cause: found `{found}`, not one of this lift{}", near(.nearest.as_deref()))]
    Unknown {
        /// What was found.
        found: String,
        /// The known one it is nearest to.
        nearest: Option<String>,
    },
    /// A confidence out of bounds.
    #[error("how sure of `{cause}`: found {} %; accepted is 0 to 100 %", .found * 100.0)]
    Confidence {
        /// Of which cause.
        cause: String,
        /// What was found.
        found: f64,
    },
}

/// The end of a message that has a likely meaning to offer.
fn near(nearest: Option<&str>) -> String {
    nearest.map_or_else(String::new, |id| format!("; did you mean `{id}`?"))
}

impl Answer {
    /// Checks the answer against the causes of the lift.
    pub fn check(&self, book: &LiftBook) -> Result<(), AnswerFault> {
        match self.causes.len() {
            0 => return Err(AnswerFault::Empty),
            found if found > MOST_CAUSES => return Err(AnswerFault::TooMany { found }),
            _ => {}
        }
        for (at, named) in self.causes.iter().enumerate() {
            let cause = named.cause.as_str();
            if book.cause(cause).is_none() {
                let known = book.causes.iter().map(|known| known.id.as_str());
                return Err(AnswerFault::Unknown {
                    found: cause.to_owned(),
                    nearest: crate::catalog::nearest::nearest(cause, known).map(str::to_owned),
                });
            }
            if self
                .causes
                .iter()
                .take(at)
                .any(|other| other.cause == cause)
            {
                return Err(AnswerFault::Twice {
                    cause: cause.to_owned(),
                });
            }
            if let Some(found) = named.confidence
                && !(0.0..=1.0).contains(&found)
            {
                return Err(AnswerFault::Confidence {
                    cause: cause.to_owned(),
                    found,
                });
            }
        }
        Ok(())
    }

    /// How sure the answer is of the cause at each place: as said, or implied by the order.
    pub fn forecast(&self) -> impl Iterator<Item = (&str, f64)> {
        self.causes.iter().enumerate().map(|(place, named)| {
            let sure = named.confidence.unwrap_or_else(|| implied(place));
            (named.cause.as_str(), sure)
        })
    }
}

/// What the coach says it is, told at the reveal.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Key {
    /// The causes as the coach sees them, the one to fix first in front. Empty: no fault.
    pub causes: Vec<String>,
}

impl Key {
    /// The cause to fix first: the earliest link.
    pub fn first(&self) -> Option<&str> {
        self.causes.first().map(String::as_str)
    }

    /// Whether the coach sees this cause.
    pub fn holds(&self, cause: &str) -> bool {
        self.causes.iter().any(|named| named == cause)
    }
}
