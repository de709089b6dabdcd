//! Samples put on an even grid: gaps bridged where they are short, and left out where not.

use super::trace::Series;
use super::{BRIDGED, TraceLimits};

/// An even grid of `count` samples from `start`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grid {
    pub(super) start: f64,
    pub(super) fps: f64,
    pub(super) count: usize,
}

/// A sample of the grid this near to a frame, in steps, is that frame: times are often rounded.
const NEAR: f64 = 0.1;

/// Steps longer than this many usual ones are gaps.
const GAP: f64 = 1.5;

/// A count, rounded down; 0 for what is no count.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to what a trace can have"
)]
pub(super) fn whole(value: f64) -> usize {
    value.clamp(0.0, 1e6) as usize
}

/// Middle of a list, which is put into another order; none when empty.
pub(super) fn median(values: &mut [f64]) -> Option<f64> {
    let middle = values.len() / 2;
    if values.is_empty() {
        return None;
    }
    Some(*values.select_nth_unstable_by(middle, f64::total_cmp).1)
}

/// Frames a second: the mean step of those that are no gaps. None with fewer than two frames.
pub(super) fn rate(times: &[f64]) -> Option<f64> {
    let steps: Vec<f64> = times.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let usual = median(&mut steps.clone())?;
    let even = steps.iter().filter(|step| **step <= GAP * usual);
    let (sum, count) = even.fold((0.0, 0.0), |(sum, count), step| (sum + step, count + 1.0));
    (sum > 0.0).then(|| count / sum)
}

/// One point on the grid, and how far each sample can be trusted.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub(super) x: Vec<f64>,
    pub(super) y: Vec<f64>,
    pub(super) trust: Vec<f64>,
}

/// Puts a series on the grid, evenly between the samples before and after. `own_rate` is that of
/// the series' own frames.
pub(super) fn place(
    series: &Series,
    times: &[f64],
    own_rate: f64,
    grid: &Grid,
    limits: &TraceLimits,
) -> Placed {
    let step = 1.0 / own_rate;
    let seen: Vec<[f64; 4]> = times
        .iter()
        .zip(&series.x)
        .zip(&series.y)
        .zip(&series.trust)
        .filter(|(_, trust)| **trust > 0.0)
        .map(|(((t, x), y), trust)| [*t, *x, *y, *trust])
        .collect();
    let longest = limits.bridge_s.min(limits.bridge_samples as f64 * step) + step;
    let mut placed = Placed {
        x: Vec::with_capacity(grid.count),
        y: Vec::with_capacity(grid.count),
        trust: Vec::with_capacity(grid.count),
    };
    let mut next = 0;
    for sample in 0..grid.count {
        let t = grid.start + sample as f64 / grid.fps;
        while seen.get(next).is_some_and(|[at, ..]| *at < t - 1e-6 * step) {
            next += 1;
        }
        let after = seen.get(next);
        let before = next.checked_sub(1).and_then(|at| seen.get(at));
        let [x, y, trust] = between(before, after, t, step, longest);
        placed.x.push(x);
        placed.y.push(y);
        placed.trust.push(trust);
    }
    placed
}

/// Place and trust at `t` between two samples.
fn between(
    before: Option<&[f64; 4]>,
    after: Option<&[f64; 4]>,
    t: f64,
    step: f64,
    longest: f64,
) -> [f64; 3] {
    let near = [before, after].into_iter().flatten();
    let near = near.min_by(|one, other| (one[0] - t).abs().total_cmp(&(other[0] - t).abs()));
    let near = near.filter(|one| (one[0] - t).abs() <= NEAR * step);
    match (before, after) {
        (Some(one), Some(other)) => {
            let apart = other[0] - one[0];
            let share = (t - one[0]) / apart;
            let mix = |axis: usize| one[axis] + (other[axis] - one[axis]) * share;
            let bridged = apart <= longest + 1e-6 * step;
            match near {
                Some(near) if bridged => [mix(1), mix(2), near[3]],
                Some(near) => [near[1], near[2], near[3]],
                None if apart <= GAP * step => [mix(1), mix(2), one[3].min(other[3])],
                None if bridged => [mix(1), mix(2), BRIDGED],
                None => [mix(1), mix(2), 0.0],
            }
        }
        (Some(one), None) | (None, Some(one)) if near.is_some() => [one[1], one[2], one[3]],
        // Before the first and after the last there is nothing to go by.
        (Some(one), None) | (None, Some(one)) => [one[1], one[2], 0.0],
        (None, None) => [0.0; 3],
    }
}
