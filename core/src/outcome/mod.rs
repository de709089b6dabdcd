//! What came of it: did one correction work, what works for many, and what does the coach say?
//!
//! [`compare`] judges one set against the one before; [`spoken_causes`] reads a coach's verdict,
//! [`calibrate`] holds beliefs against verdicts, and [`learned`] lets verdicts move the catalog's
//! figures. [`survival`] counts how soon signs are gone where many were followed, some of them not to
//! the end. [`works`] is the coach's table of it.

mod calibration;
mod judged;
mod learning;
pub(crate) mod spoken;
pub mod survival;
#[cfg(test)]
mod tests;
mod verdict;
pub mod works;

pub use calibration::{BINS, Bin, Brier, Calibration, Forecast, Scores, Share, calibrate, score};
pub use judged::Judged;
pub use learning::{Counts, LearningSettings, Moved, Tally, learned, moved};
pub use spoken::{MOST_CAUSES, SpokenFault, spoken_causes};
pub use verdict::{MeasuredChange, Seen, Verdict, compare, compare_measured};
