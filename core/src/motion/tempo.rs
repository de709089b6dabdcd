//! Times within a repetition: down, pause, up, top; dead stops and second dips.

use super::filter::NoiseGains;
use super::turns::{highest, lowest};
use super::{Motion, Path, Rep, TraceLimits};
use crate::report::Lift;

/// Times of one repetition, seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tempo {
    /// Way down; none where a deadlift was not lowered within the trace.
    pub down: Option<f64>,
    /// Still at the bottom: chest, lowest place of a squat, floor. 0 when there was no pause.
    pub pause: f64,
    /// Way up.
    pub up: f64,
    /// At the top before the next way down; none for the last repetition of squat and bench press.
    pub top: Option<f64>,
    /// Standard error of each: both ends are known to a sample, and to the time in which the
    /// movement grows out of the noise.
    pub error: f64,
}

/// Of a uniform law one wide, the standard deviation.
const UNIFORM: f64 = 0.288_675_134_594_812_9;

/// Acceleration at the beginning and end of an unhurried lift, m/s²: our choice, for errors only.
const SETTING_OFF: f64 = 0.5;

/// Times of one repetition of `reps`, by its place; none when there is no such repetition or the
/// bar was not followed.
pub fn tempo(motion: &Motion, reps: &[Rep], place: usize, limits: &TraceLimits) -> Option<Tempo> {
    let bar = motion.bar.as_ref()?;
    let rep = reps.get(place)?;
    let next = reps.get(place + 1);
    let seconds = |from: usize, to: usize| to.saturating_sub(from) as f64 / motion.fps;
    let still = still_at_bottom(motion, bar, reps, place, limits);
    let pause = still.map_or(0.0, |(from, to)| seconds(from, to));
    let (down, top) = if motion.lift == Lift::Deadlift {
        let leaves = leaves_top(bar, rep, limits);
        (
            leaves.map(|leaves| seconds(leaves, rep.end)),
            leaves.map(|leaves| seconds(rep.top, leaves)),
        )
    } else {
        let arrives = still.map_or(rep.bottom, |(from, _)| from);
        (
            Some(seconds(rep.start, arrives.min(rep.go))),
            next.map(|next| seconds(rep.top, next.start)),
        )
    };
    let speed_noise = bar.jitter * NoiseGains::of(motion.fps, motion.cutoff).speed;
    let end = (UNIFORM / motion.fps).hypot(speed_noise / SETTING_OFF);
    Some(Tempo {
        down,
        pause,
        up: seconds(rep.go, rep.top),
        top,
        error: end * std::f64::consts::SQRT_2,
    })
}

/// First and last still sample at the bottom, when there are enough of them for a pause. For the
/// deadlift this is the time on the floor before the repetition.
fn still_at_bottom(
    motion: &Motion,
    bar: &Path,
    reps: &[Rep],
    place: usize,
    limits: &TraceLimits,
) -> Option<(usize, usize)> {
    let rep = reps.get(place)?;
    let from = if motion.lift == Lift::Deadlift {
        place
            .checked_sub(1)
            .and_then(|before| reps.get(before))
            .map_or(0, |rep| rep.end)
    } else {
        rep.start
    };
    let low = *bar.y.get(rep.bottom)?;
    let noise = bar.jitter * NoiseGains::of(motion.fps, motion.cutoff).speed;
    let slow = limits.still_speed.max(limits.speed_sigmas * noise);
    let still = |at: &usize| {
        bar.vy.get(*at).is_some_and(|v| v.abs() < slow)
            && bar
                .y
                .get(*at)
                .is_some_and(|y| *y <= low + limits.pause_within_m)
    };
    let first = (from..=rep.go).find(still)?;
    let last = (first..=rep.go).rev().find(still)?;
    let lasts = (last - first) as f64 / motion.fps;
    (lasts + 1e-9 >= limits.pause_s).then_some((first, last))
}

/// Where a deadlift is lowered from: the last slow sample before its fastest way down.
fn leaves_top(bar: &Path, rep: &Rep, limits: &TraceLimits) -> Option<usize> {
    let fastest = lowest(&bar.vy, rep.top, rep.end);
    let fall = -bar.vy.get(fastest)?;
    if fall < limits.speed_on {
        return None;
    }
    let on = limits.speed_on.min(fall / 4.0).max(limits.speed_off);
    (rep.top..=fastest)
        .rev()
        .find(|at| bar.vy.get(*at).is_some_and(|v| *v > -on))
}

/// The bar lay still on the floor before this deadlift for long enough to be a dead stop; touch and
/// go otherwise. None for other lifts and for the first repetition, which always starts so.
pub fn dead_stop(
    motion: &Motion,
    reps: &[Rep],
    place: usize,
    limits: &TraceLimits,
) -> Option<bool> {
    if motion.lift != Lift::Deadlift || place == 0 {
        return None;
    }
    let bar = motion.bar.as_ref()?;
    reps.get(place)?;
    let still = still_at_bottom(motion, bar, reps, place, limits);
    let lasts = still.map_or(0.0, |(from, to)| (to - from) as f64 / motion.fps);
    Some(lasts + 1e-9 >= limits.dead_stop_s)
}

/// How far the bar came down again within the way up, metres, when that is more than noise; none
/// when it only went up.
pub fn second_dip(motion: &Motion, rep: &Rep, limits: &TraceLimits) -> Option<f64> {
    let bar = motion.bar.as_ref()?;
    let y = |at: usize| bar.y.get(at).copied().unwrap_or_default();
    let noise = bar.jitter * NoiseGains::of(motion.fps, motion.cutoff).place;
    let least = limits.dip_m.max(limits.dip_sigmas * noise);
    let peak = highest(&bar.y, rep.go, rep.top);
    let near_top = y(rep.bottom) + limits.top_from * (y(peak) - y(rep.bottom));
    let (mut high, mut deepest) = (f64::NEG_INFINITY, 0.0_f64);
    for at in rep.go..=peak {
        if high > near_top {
            break;
        }
        high = high.max(y(at));
        deepest = deepest.max(high - y(at));
    }
    (deepest >= least).then_some(deepest)
}
