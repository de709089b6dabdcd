//! Repetitions left in the tank: how many, and how sure that is.
//!
//! The scale is that of Zourdos et al. 2016. People under-predict repetitions to failure by 0.95
//! on average with very uneven studies (Halperin et al. 2022) and by 0.17 when trained (Refalo
//! et al. 2023), so no bias is taken off; it goes into the spread instead.

use super::NoEstimate;
use crate::quantity::{Effort, Span};
use crate::report::SetReport;

/// Under this many months of training effort is judged worse (half as much again).
const NOVICE_MONTHS: u32 = 12;

/// Beyond this many repetitions effort is judged worse (Halperin et al. 2022).
const LONG_SET: u32 = 12;

/// RPE below which the scale says only "at least six left".
const LIGHTEST_RPE: f64 = 5.0;

/// Repetitions in reserve from which only a lower bound follows.
const LIGHTEST_RESERVE: f64 = 6.0;

/// Repetitions left when the set ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reserve {
    /// The range that was said, or assumed.
    pub range: Span,
    /// Standard deviation of a person's judgement, in repetitions.
    pub sd: f64,
    /// Where it comes from.
    pub source: ReserveSource,
}

/// Where the repetitions left come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReserveSource {
    /// A repetition was missed: none were left, and nobody had to judge it.
    Failed,
    /// The lifter said it.
    Stated,
    /// Nothing was said: 0 to 4 assumed.
    Assumed,
}

impl Reserve {
    /// Repetitions left: the middle of the range.
    pub fn middle(self) -> f64 {
        self.range.middle()
    }

    /// Variance in repetitions squared: judgement, plus that of an even spread over the range.
    pub fn variance(self) -> f64 {
        self.sd * self.sd + self.range.width() * self.range.width() / 12.0
    }
}

/// Reads how many repetitions were left from a report.
///
/// A missed repetition after completed ones is failure seen, whatever was said. `None` said is
/// 0 to 4. Fails with [`NoEstimate::TooLight`] when the effort was so light that only a lower
/// bound follows (RPE below 5, or six and more in reserve).
pub fn reserve(report: &SetReport) -> Result<Reserve, NoEstimate> {
    if report.missed.as_ref().is_some_and(|miss| miss.reps > 0) {
        return Ok(Reserve {
            range: Span::exactly(0.0),
            sd: 0.0,
            source: ReserveSource::Failed,
        });
    }
    let (range, source) = match report.effort {
        Some(effort) => (stated_range(effort)?, ReserveSource::Stated),
        None => (Span::new(0.0, 4.0), ReserveSource::Assumed),
    };
    Ok(Reserve {
        range,
        sd: judgement_sd(range.middle()) * if judged_worse(report) { 1.5 } else { 1.0 },
        source,
    })
}

/// True when the lifter trains under a year or the set was long: effort is judged half as well.
pub(super) fn judged_worse(report: &SetReport) -> bool {
    report.training_months.is_some_and(|m| m < NOVICE_MONTHS)
        || report.reps.is_some_and(|reps| reps > LONG_SET)
}

/// Standard deviation of judged repetitions in reserve: 0.8 at one left, 1.2 at three (average
/// 1.0 as in Refalo et al. 2023), 2.2 at eight (Hackett et al. 2017: over two at 7 to 10).
fn judgement_sd(left: f64) -> f64 {
    0.6 + 0.2 * left
}

/// The range of repetitions left that a stated effort means.
fn stated_range(effort: Effort) -> Result<Span, NoEstimate> {
    let range = match effort {
        Effort::Rpe(rpe) if rpe.low < LIGHTEST_RPE => return Err(NoEstimate::TooLight),
        Effort::Rpe(rpe) => rpe_range(rpe),
        Effort::Rir(left) => around_half(left),
    };
    let range = Span::new(range.low.max(0.0), range.high.max(0.0));
    if range.middle() < LIGHTEST_RESERVE {
        Ok(range)
    } else {
        Err(NoEstimate::TooLight)
    }
}

/// RPE to repetitions left: `10 - RPE` down to 6.5; 5 to 6 means 4 to 6 left.
fn rpe_range(rpe: Span) -> Span {
    let fewest = |rpe: f64| if rpe < 6.5 { 4.0 } else { 10.0 - rpe };
    let most = |rpe: f64| if rpe < 6.5 { 6.0 } else { 10.0 - rpe };
    let range = Span::new(fewest(rpe.high), most(rpe.low));
    if rpe.low < 6.5 {
        range
    } else {
        around_half(range)
    }
}

/// A single half point reads "surely one, maybe two": half a repetition either way. RPE 9.5 does
/// not: there it means no more repetitions, but a little more load.
fn around_half(range: Span) -> Span {
    let half_point = range.width() < 1e-9 && (range.low.fract() - 0.5).abs() < 1e-9;
    if half_point && range.low > 1.0 {
        Span::new(range.low - 0.5, range.high + 0.5)
    } else {
        range
    }
}
