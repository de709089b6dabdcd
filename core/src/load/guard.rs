//! Guard rails: what a load given without a person looking may not exceed.
//!
//! The steps between sessions lie inside what is published (2 to 10 % once one or two
//! repetitions over the target are done, American College of Sports Medicine stand on
//! progression); the rest is careful practice, no source.

use crate::quantity::Span;
use crate::report::{Lift, SetReport};

/// Share of the lower end of the estimate that no load given here exceeds.
pub const CEILING: f64 = 0.80;

/// Effort that no work given here exceeds, as RPE.
pub const EFFORT_CAP: f64 = 8.0;

/// Above this spread loads are taken from the lower end of the estimate.
pub const WIDE_SIGMA: f64 = 0.06;

/// Step since the last session, as a share, above which it is pointed out.
pub const fn step_flagged(lift: Lift) -> f64 {
    match lift {
        Lift::Bench => 0.025,
        Lift::Squat | Lift::Deadlift => 0.05,
    }
}

/// Step since the last session, as a share, above which it is held back.
pub const STEP_BLOCKED: f64 = 0.10;

/// How serious a jump is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum JumpLevel {
    /// Point it out.
    Flag,
    /// Hold it back until the coach says otherwise.
    Block,
}

/// A load that rises faster than it should.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct JumpWarning {
    /// How serious.
    pub level: JumpLevel,
    /// The rise in percent.
    pub percent: f64,
    /// The rise in percent that passes without a word.
    pub accepted_percent: f64,
}

/// The rise from `from` to `to` as a share; none when either is no load.
fn rise(from: f64, to: f64) -> Option<f64> {
    (from.is_finite() && to.is_finite() && from > 0.0 && to > 0.0).then(|| to / from - 1.0)
}

/// A hair, so that 105 over 100 is five percent and not more.
const HAIR: f64 = 1e-9;

/// Rise in load since the last session, same lift and repetitions: pointed out over 5 % (bench
/// 2.5 %), held back over 10 %.
pub fn jump_since_last(last_load_kg: f64, new_load_kg: f64, lift: Lift) -> Option<JumpWarning> {
    let share = rise(last_load_kg, new_load_kg)?;
    let accepted = step_flagged(lift);
    warn(share, accepted, share > STEP_BLOCKED + HAIR)
}

/// Rise between two work sets: pointed out over 10 % once above 70 % of the best single, over
/// 5 % once above 85 %.
pub fn jump_between_sets(first_kg: f64, next_kg: f64, best_single_kg: f64) -> Option<JumpWarning> {
    let share = rise(first_kg, next_kg)?;
    let height = next_kg / best_single_kg;
    let accepted = if height > 0.85 {
        0.05
    } else if height > 0.70 {
        0.10
    } else {
        return None;
    };
    warn(share, accepted, false)
}

/// Rise of the estimated best single since the last level: asked about when over 15 % within four
/// weeks, which nobody trained gains.
pub fn jump_of_estimate(last_kg: f64, new_kg: f64, weeks: f64) -> Option<JumpWarning> {
    let share = rise(last_kg, new_kg)?;
    if weeks > 4.0 {
        return None;
    }
    warn(share, 0.15, false)
}

/// A warning when `share` is over what is accepted.
fn warn(share: f64, accepted: f64, block: bool) -> Option<JumpWarning> {
    (share > accepted + HAIR).then_some(JumpWarning {
        level: if block {
            JumpLevel::Block
        } else {
            JumpLevel::Flag
        },
        percent: 100.0 * share,
        accepted_percent: 100.0 * accepted,
    })
}

/// Percent of the old loads to come back with after `weeks` without training (common practice,
/// no source): 90 after two weeks, 80 after four, 60 to 70 after more than eight; none before two.
pub fn percent_after_layoff(weeks: f64) -> Option<Span> {
    if weeks > 8.0 {
        Some(Span::new(60.0, 70.0))
    } else if weeks >= 4.0 {
        Some(Span::exactly(80.0))
    } else if weeks >= 2.0 {
        Some(Span::exactly(90.0))
    } else {
        None
    }
}

/// A load that is heavier than what may be given without a person looking.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OverRail {
    /// Over [`CEILING`] of the lower end of the estimate; the most, kg.
    Share(f64),
    /// Over what was done and one step that passes unflagged; the most, kg.
    Step(f64),
}

impl OverRail {
    /// The most that may be given, kg.
    pub const fn most_kg(self) -> f64 {
        match self {
            Self::Share(most) | Self::Step(most) => most,
        }
    }
}

/// Holds a load that a person wants to give against the rails: the tighter one it is over, if any.
/// `low_kg` is the lower end of the estimated best single. Nothing known, nothing said.
pub fn over_rail(load_kg: f64, low_kg: Option<f64>, report: &SetReport) -> Option<OverRail> {
    let share = low_kg.map(|low| OverRail::Share(CEILING * low));
    let step = demonstrated_kg(report).map(|done| OverRail::Step(most_after_kg(done, report.lift)));
    share
        .into_iter()
        .chain(step)
        .filter(|rail| load_kg > rail.most_kg() * (1.0 + HAIR))
        .min_by(|a, b| a.most_kg().total_cmp(&b.most_kg()))
}

/// The heaviest load the report shows as done, kg: the set, or a best single that was lifted.
pub(super) fn demonstrated_kg(report: &SetReport) -> Option<f64> {
    let set = report
        .load
        .filter(|_| report.reps.is_some_and(|reps| reps > 0))
        .map(crate::quantity::Mass::kg);
    let best = report
        .best
        .as_ref()
        .filter(|best| best.tested == Some(true))
        .map(|best| best.mass().kg());
    set.into_iter().chain(best).reduce(f64::max)
}

/// The most that may be given in view of what was done: that and one step that passes unflagged.
pub(super) fn most_after_kg(demonstrated_kg: f64, lift: Option<Lift>) -> f64 {
    demonstrated_kg * (1.0 + step_flagged(lift.unwrap_or(Lift::Bench)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Mass, MassUnit};

    fn squat(load_kg: f64) -> SetReport {
        SetReport {
            lift: Some(Lift::Squat),
            load: Some(Mass::new(load_kg, MassUnit::Kg)),
            reps: Some(3),
            ..SetReport::default()
        }
    }

    #[test]
    fn a_coach_s_load_is_held_against_the_tighter_rail() {
        // 80 % of 155 is 124; 140 and a step of 5 % is 147.
        let over = |load| over_rail(load, Some(155.0), &squat(140.0));
        assert_eq!(over(124.0), None);
        assert_eq!(over(125.0), Some(OverRail::Share(CEILING * 155.0)));
        // Without an estimate the step from what was done is all there is.
        let over = |load| over_rail(load, None, &squat(100.0));
        assert_eq!(over(105.0), None);
        assert_eq!(over(106.0), Some(OverRail::Step(100.0 * 1.05)));
    }

    #[test]
    fn with_nothing_known_nothing_is_said_of_a_load() {
        assert_eq!(over_rail(300.0, None, &SetReport::default()), None);
    }
}
