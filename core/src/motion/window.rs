//! Which stretch of time is measured: what all traces share, without what lies idle at its ends.

use super::Joint;
use super::TraceLimits;
use super::grid::{Grid, whole};
use super::scale::of_joint;
use super::trace::{Point, Samples, Series};
use crate::report::{FieldError, Lift};

/// Seconds kept before and after what moves, when a trace is too long.
const MARGIN_S: f64 = 3.0;

/// Stillness: up and down by less than this within a second, metres. Our choice.
const IDLE_M: f64 = 0.08;

/// The scale is believed when the bar's way up and down, but for the last hundredth at either end,
/// is one a lift can have.
pub(super) fn check_travel(samples: &Samples, limits: &TraceLimits) -> Result<(), Vec<FieldError>> {
    for series in &samples.series {
        let seen = series.y.iter().zip(&series.trust);
        let mut heights: Vec<f64> = seen.filter(|(_, t)| **t > 0.0).map(|(y, _)| *y).collect();
        if heights.is_empty() {
            return Err(vec![FieldError::new(
                format!("{}.data", samples.field),
                "no frame with a place of the bar",
                "x and y of the bar's end",
            )]);
        }
        heights.sort_unstable_by(f64::total_cmp);
        let cut = heights.len() / 100;
        let travel = heights[heights.len() - 1 - cut] - heights[cut];
        if travel > limits.most_travel_m {
            return Err(vec![FieldError::new(
                format!("{}.data", samples.field),
                format!("a bar that moves {travel:.2} m up and down"),
                format!("at most {} m: look at the scale", limits.most_travel_m),
            )]);
        }
    }
    Ok(())
}

/// The even grid over the time that all traces share.
pub(super) fn grid(
    all: &[Samples],
    rates: &[f64],
    lift: Lift,
    limits: &TraceLimits,
) -> Result<Grid, Vec<FieldError>> {
    let fps = rates.iter().copied().fold(0.0, f64::max);
    let start = all.iter().filter_map(|one| one.times.first());
    let end = all.iter().filter_map(|one| one.times.last());
    let mut start = start.copied().fold(f64::NEG_INFINITY, f64::max);
    let mut end = end.copied().fold(f64::INFINITY, f64::min);
    if end - start > limits.longest_s
        && let Some((first, last)) = moving(all, lift)
    {
        start = start.max(first - MARGIN_S);
        end = end.min(last + MARGIN_S);
    }
    let lasts = end - start;
    if !(limits.shortest_s..=limits.longest_s).contains(&lasts) {
        let field = all.first().map_or("traces", |one| one.field.as_str());
        return Err(vec![FieldError::new(
            if all.len() > 1 { "traces" } else { field },
            format!("{lasts:.1} s that all traces show"),
            format!("{} to {} s of one set", limits.shortest_s, limits.longest_s),
        )]);
    }
    Ok(Grid {
        start,
        fps,
        count: whole(lasts * fps + 1e-6) + 1,
    })
}

/// From when to when the bar, or what stands for it, goes up or down.
fn moving(all: &[Samples], lift: Lift) -> Option<(f64, f64)> {
    let samples = all.iter().find(|one| one.is_bar).or_else(|| all.first())?;
    let series = followed(samples, lift)?;
    let mut first = None;
    let mut last = None;
    let (mut low, mut high, mut since) = (f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY);
    for ((t, y), trust) in samples.times.iter().zip(&series.y).zip(&series.trust) {
        if t - since > 1.0 {
            (low, high, since) = (f64::INFINITY, f64::NEG_INFINITY, *t);
        }
        if *trust > 0.0 {
            (low, high) = (low.min(*y), high.max(*y));
        }
        if high - low > IDLE_M {
            first = first.or(Some(*t));
            last = Some(*t);
        }
    }
    first.zip(last)
}

fn followed(samples: &Samples, lift: Lift) -> Option<&Series> {
    if samples.is_bar {
        return samples.series.iter().find(|one| one.point == Point::Bar);
    }
    let pair = if lift == Lift::Squat {
        [Joint::LeftShoulder, Joint::RightShoulder]
    } else {
        [Joint::LeftWrist, Joint::RightWrist]
    };
    let seen = |series: &&Series| series.trust.iter().filter(|trust| **trust > 0.0).count();
    let pair = pair
        .into_iter()
        .filter_map(|joint| of_joint(&samples.series, joint));
    pair.max_by_key(seen)
}
