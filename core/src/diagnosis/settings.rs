//! The figures that the choice goes by, as the coach may set them.

use serde::{Deserialize, Serialize};

/// Thresholds of the choice (starting values of the trade's practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Settings {
    /// A cause at or above this probability is probable.
    pub probable: f64,
    /// Where no cause is probable, the leading one or two are named from this probability on.
    pub leading: f64,
    /// Where no cause is probable, causes within this many natural-log units lead together; with
    /// more of them than `most_changes` none is named.
    pub clear: f64,
    /// Natural-log units by which what is there must have raised the odds of a cause before it can
    /// be named. How common it is accuses nobody.
    pub raised: f64,
    /// A cause and one that feeds it within this many natural-log units of odds are tied, and the
    /// upstream one is named; for causes that have nothing to do with each other, half of it.
    pub margin: f64,
    /// How often a cause brings about one that it feeds, 0 to 1.
    pub link: f64,
    /// From this chance on a post that tells as a whole of no fault is taken at its word...
    pub fine: f64,
    /// ...and from this one where the figures, ticks or answers bear it out.
    pub fine_supported: f64,
    /// Most changes given at once.
    pub most_changes: usize,
    /// Most questions asked in a case: with this many answered, none is asked any more.
    pub most_questions: usize,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            probable: 0.5,
            leading: 0.25,
            clear: 0.25,
            raised: 0.6,
            margin: 1.0,
            link: 0.05,
            fine: 0.16,
            fine_supported: 0.1,
            most_changes: 2,
            most_questions: 2,
        }
    }
}
