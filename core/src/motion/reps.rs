//! A set cut into repetitions by the height of the bar.
//!
//! First the turns that are meant are found (by the way between them), then each movement's
//! beginning and end by its speed. Squat and bench press go down first, the deadlift up first.

use super::filter::NoiseGains;
use super::grid::whole;
use super::turns::{Turn, highest, lowest, turns};
use super::{BRIDGED, Camera, Motion, Path, Rep, TraceLimits};
use crate::report::Lift;

/// Share of a way that counts as its beginning or end.
const END_PART: f64 = 0.1;

/// A movement's own limits of speed are at most this share of its fastest.
const OF_FASTEST: f64 = 0.25;

/// A set's floor is the height that so much of it lies under.
const FLOOR_SHARE: f64 = 0.05;

/// Cuts a set into its repetitions, in order; none when the bar, or what stands for it, was not
/// followed.
pub fn reps(motion: &Motion, limits: &TraceLimits) -> Vec<Rep> {
    let Some(bar) = &motion.bar else {
        return Vec::new();
    };
    let cutter = Cutter::new(motion, bar, limits);
    let mut reps = if motion.lift == Lift::Deadlift {
        cutter.pulls()
    } else {
        cutter.lowered()
    };
    if motion.camera == Camera::Side && motion.lift != Lift::Deadlift {
        cutter.leave_out_walking(&mut reps);
    }
    reps
}

struct Cutter<'a> {
    bar: &'a Path,
    limits: &'a TraceLimits,
    fps: f64,
    /// Speeds at which movements begin and end.
    on: f64,
    off: f64,
    turns: Vec<Turn>,
    /// Middle way between two turns.
    usual: f64,
}

/// Middle of some lengths; 0 when there are none.
fn middle(mut lengths: Vec<f64>) -> f64 {
    super::grid::median(&mut lengths).unwrap_or_default()
}

impl<'a> Cutter<'a> {
    fn new(motion: &Motion, bar: &'a Path, limits: &'a TraceLimits) -> Self {
        let noise = bar.jitter * NoiseGains::of(motion.fps, motion.cutoff).speed;
        let noise = limits.speed_sigmas * noise;
        let between = |turns: &[Turn]| {
            let ways = turns.windows(2);
            middle(
                ways.map(|two| (bar.y[two[1].at] - bar.y[two[0].at]).abs())
                    .collect(),
            )
        };
        let first = between(&turns(&bar.y, limits.least_range_m));
        let least = limits.least_range_m.max(limits.least_range_share * first);
        let turns = turns(&bar.y, least);
        Self {
            bar,
            limits,
            fps: motion.fps,
            on: limits.speed_on.max(noise),
            off: limits.speed_off.max(noise),
            usual: between(&turns),
            turns,
        }
    }

    fn y(&self, at: usize) -> f64 {
        self.bar.y.get(at).copied().unwrap_or_default()
    }

    fn v(&self, at: usize) -> f64 {
        self.bar.vy.get(at).copied().unwrap_or_default()
    }

    fn last(&self) -> usize {
        self.bar.y.len().saturating_sub(1)
    }

    /// Samples in so many seconds, at least one.
    fn samples(&self, seconds: f64) -> usize {
        whole((seconds * self.fps).round()).max(1)
    }

    /// Squat and bench press.
    fn lowered(&self) -> Vec<Rep> {
        let mut tops: Vec<f64> = self
            .turns
            .iter()
            .filter(|one| one.high)
            .map(|one| self.y(one.at))
            .collect();
        tops.sort_unstable_by(f64::total_cmp);
        let level = tops.get(tops.len() * 3 / 4).copied().unwrap_or_default();
        let mut reps = Vec::new();
        for (place, two) in self.turns.windows(2).enumerate() {
            let (high, low) = (two[0], two[1]);
            let near_top = self.y(high.at) >= level - self.limits.begin_within * self.usual;
            if !high.high || !near_top {
                continue;
            }
            let next = self.turns.get(place + 2).map(|turn| turn.at);
            let after = self.turns.get(place + 3).map(|turn| turn.at);
            let descent = self.y(high.at) - self.y(low.at);
            if next.is_none() && descent < self.usual / 2.0 {
                continue;
            }
            reps.push(self.lowered_rep(high.at, low.at, next, after));
        }
        reps
    }

    /// One repetition from its highest sample over its lowest to the highest after, if it rose.
    fn lowered_rep(
        &self,
        high: usize,
        low: usize,
        next: Option<usize>,
        after: Option<usize>,
    ) -> Rep {
        let descent = self.y(high) - self.y(low);
        let start = self.leaves_top(high, low, descent);
        let arrived = self.arrives(high, low, descent);
        let peak = next.unwrap_or_else(|| highest(&self.bar.y, low, self.last()));
        let go = self.goes(arrived, low, peak);
        let bottom = lowest(&self.bar.y, arrived.min(go), go);
        let rise = self.y(peak) - self.y(bottom);
        let missed = rise < self.limits.missed_below * descent;
        let top = if missed {
            peak
        } else {
            self.reaches_top(go, peak, bottom, rise)
        };
        let end = if missed {
            after.unwrap_or(self.last()).max(top)
        } else {
            top
        };
        self.rep([start, bottom, go, top, end], missed)
    }

    fn rep(&self, [start, bottom, go, top, end]: [usize; 5], missed: bool) -> Rep {
        let trust = self.bar.trust.get(start..=end).unwrap_or_default();
        let missing = trust.iter().filter(|one| **one <= BRIDGED).count() as f64;
        let bridged = trust.iter().all(|one| *one > 0.0);
        Rep {
            start,
            bottom,
            go,
            top,
            end,
            range: self.y(top) - self.y(bottom),
            missed,
            measured: bridged && missing <= self.limits.missing_share * trust.len() as f64,
        }
    }

    /// First sample of the way down: after the last slow one near the top.
    fn leaves_top(&self, high: usize, low: usize, descent: f64) -> usize {
        let fastest = lowest(&self.bar.vy, high, low);
        let on = self.on.min(-OF_FASTEST * self.v(fastest));
        let slow = |at: &usize| self.v(*at) > -on;
        let near = |at: &usize| self.y(*at) >= self.y(high) - END_PART * descent;
        let way = (high..fastest).rev();
        let found = way
            .clone()
            .find(|at| slow(at) && near(at))
            .or_else(|| way.clone().find(slow));
        found.map_or(high, |at| at + 1)
    }

    /// Where the way down ends: the first slow sample near the bottom.
    fn arrives(&self, high: usize, low: usize, descent: f64) -> usize {
        let fastest = lowest(&self.bar.vy, high, low);
        let off = self.off.min(-OF_FASTEST * self.v(fastest));
        let near = self.limits.pause_within_m.max(END_PART * descent);
        (fastest..low)
            .find(|at| self.v(*at) > -off && self.y(*at) <= self.y(low) + near)
            .unwrap_or(low)
    }

    /// Where the way up begins: the first sample that is fast, and stays so for a while.
    fn goes(&self, arrived: usize, low: usize, peak: usize) -> usize {
        let fastest = highest(&self.bar.vy, low, peak);
        let on = self.on.min(OF_FASTEST * self.v(fastest));
        let stays = self.samples(self.limits.dwell_s);
        let lasting = |at: &usize| (*at..at + stays).all(|one| one > peak || self.v(one) >= on);
        (arrived..=fastest).find(lasting).unwrap_or(low)
    }

    /// Where the way up ends: the first slow sample near the top.
    fn reaches_top(&self, go: usize, peak: usize, bottom: usize, rise: f64) -> usize {
        let fastest = highest(&self.bar.vy, go, peak);
        let off = self.off.min(OF_FASTEST * self.v(fastest));
        let near = self.y(bottom) + self.limits.top_from * rise;
        (fastest..peak)
            .find(|at| self.v(*at) < off && self.y(*at) >= near)
            .unwrap_or(peak)
    }

    /// Deadlifts.
    fn pulls(&self) -> Vec<Rep> {
        let mut heights: Vec<f64> = self.bar.y.clone();
        heights.sort_unstable_by(f64::total_cmp);
        let place = whole(heights.len() as f64 * FLOOR_SHARE);
        let floor = heights.get(place).copied().unwrap_or_default();
        let mut reps: Vec<Rep> = Vec::new();
        for (place, two) in self.turns.windows(2).enumerate() {
            let (low, high) = (two[0], two[1]);
            let on_floor = self.y(low.at) <= floor + self.limits.begin_within * self.usual;
            if low.high || !on_floor {
                continue;
            }
            let after = self.turns.get(place + 2).map(|turn| turn.at);
            reps.push(self.pull(low.at, high.at, after, floor));
        }
        let whole = reps.iter().map(|rep| rep.range).fold(0.0, f64::max);
        for rep in &mut reps {
            rep.missed = rep.range < self.limits.missed_below * whole
                || rep.range < self.limits.least_pull_m;
            if rep.missed {
                rep.top = highest(&self.bar.y, rep.go, rep.end);
                rep.range = self.y(rep.top) - self.y(rep.bottom);
            }
        }
        reps
    }

    fn pull(&self, low: usize, high: usize, after: Option<usize>, floor: f64) -> Rep {
        let rise = self.y(high) - self.y(low);
        let fastest = highest(&self.bar.vy, low, high);
        let on = self.on.min(OF_FASTEST * self.v(fastest));
        let near = |at: &usize| self.y(*at) <= self.y(low) + END_PART * rise;
        let slow = |at: &usize| self.v(*at) < on;
        let way = (low..fastest).rev();
        let still = way
            .clone()
            .find(|at| slow(at) && near(at))
            .or_else(|| way.clone().find(slow));
        let bottom = still.unwrap_or(low);
        let go = (bottom + 1).min(high);
        let top = self.reaches_top(go, high, bottom, rise);
        let last = after.unwrap_or(self.last());
        let down = lowest(&self.bar.vy, high, last);
        let end = (down..last)
            .find(|at| {
                self.v(*at).abs() < self.on && self.y(*at) <= floor + self.limits.pause_within_m
            })
            .unwrap_or(last);
        self.rep([go, bottom, go, top, end.max(top)], false)
    }

    /// A first or last repetition that begins a step away from where the others do is somebody
    /// getting under a bar, or out from under it.
    fn leave_out_walking(&self, reps: &mut Vec<Rep>) {
        let x = |rep: &Rep| self.bar.x.get(rep.start).copied().unwrap_or_default();
        let largest = reps
            .iter()
            .max_by(|one, other| one.range.total_cmp(&other.range));
        let Some(home) = largest.map(x) else {
            return;
        };
        let walked =
            |rep: Option<&Rep>| rep.is_some_and(|rep| (x(rep) - home).abs() > self.limits.walk_m);
        if walked(reps.last()) {
            reps.pop();
        }
        if walked(reps.first()) {
            reps.remove(0);
        }
    }
}
