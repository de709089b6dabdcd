//! Effort of a set: rating of perceived exertion (RPE) or repetitions in reserve (RIR).
//!
//! The scale is the one of Zourdos et al. 2016 (RPE 10 = 0 in reserve, 9 = 1, and so on).

use super::Span;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// How hard the set was, as the lifter said it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase", deny_unknown_fields)]
pub enum Effort {
    /// Rating of perceived exertion, 1 to 10, one number or a range.
    Rpe(Span),
    /// Repetitions in reserve, 0 to 9, one number or a range.
    Rir(Span),
}

/// Why a figure is not an effort.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum EffortError {
    /// An RPE outside 1 to 10.
    #[error("effort.rpe: found {0}, accepted 1 to 10")]
    Rpe(f64),
    /// An RIR outside 0 to 9.
    #[error("effort.rir: found {0}, accepted 0 to 9")]
    Rir(f64),
}

impl Effort {
    /// Repetitions in reserve as a span: `10 - RPE` for RPE, the figure itself for RIR.
    pub fn reserve(self) -> Span {
        match self {
            Self::Rpe(rpe) => Span::new(10.0 - rpe.high, 10.0 - rpe.low),
            Self::Rir(rir) => rir,
        }
    }

    /// RPE as a span, whichever scale was used.
    pub fn rpe(self) -> Span {
        match self {
            Self::Rpe(rpe) => rpe,
            Self::Rir(rir) => Span::new(10.0 - rir.high, 10.0 - rir.low),
        }
    }

    /// Checks the figure against its scale.
    pub fn check(self) -> Result<(), EffortError> {
        match self {
            Self::Rpe(span) => [span.low, span.high]
                .into_iter()
                .find(|v| !(1.0..=10.0).contains(v))
                .map_or(Ok(()), |v| Err(EffortError::Rpe(v))),
            Self::Rir(span) => [span.low, span.high]
                .into_iter()
                .find(|v| !(0.0..=9.0).contains(v))
                .map_or(Ok(()), |v| Err(EffortError::Rir(v))),
        }
    }
}
