//! Speeds of the way up: mean, propulsive mean, fastest, what is lost over a set, where it sticks.

use super::filter::{NoiseGains, slopes};
use super::turns::turns;
use super::{Motion, Path, Rep, TraceLimits};

/// Free fall, m/s²: a bar that slows faster than this is no longer pushed.
const FREE_FALL: f64 = 9.81;

/// Speeds of one way up, from where it begins to where it ends by speed ([`Rep::go`] to
/// [`Rep::top`]), m/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Speeds {
    /// Height gained over the time it took.
    pub mean: f64,
    /// Mean up to where the bar first slows faster than free fall (Sanchez-Medina and others 2010,
    /// abstract; the definition is from memory). Equal to `mean` when it never does: heavy sets.
    pub propulsive: f64,
    /// Fastest.
    pub fastest: f64,
    /// Standard error of the means.
    pub error: f64,
    /// Standard error of the fastest.
    pub fastest_error: f64,
}

/// Speeds of a repetition; none when the bar was not followed or the repetition has no way up.
pub fn speeds(motion: &Motion, rep: &Rep) -> Option<Speeds> {
    let bar = motion.bar.as_ref()?;
    let up = bar.vy.get(rep.go..=rep.top)?;
    let y = bar.y.get(rep.go..=rep.top)?;
    let (first, last) = (y.first()?, y.last()?);
    let time = (rep.top.checked_sub(rep.go)?) as f64 / motion.fps;
    if time <= 0.0 {
        return None;
    }
    let gains = NoiseGains::of(motion.fps, motion.cutoff);
    let mean = (last - first) / time;
    let (push_time, push_height) = pushed(bar, rep, motion.fps)?;
    let propulsive = if push_time > 0.0 {
        push_height / push_time
    } else {
        mean
    };
    Some(Speeds {
        mean,
        propulsive,
        fastest: up.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        error: std::f64::consts::SQRT_2 * bar.jitter * gains.place / time,
        fastest_error: bar.jitter * gains.speed,
    })
}

/// Time and height from the beginning of the way up to where it first slows faster than free fall,
/// evenly between samples; all of it when it never does.
fn pushed(bar: &Path, rep: &Rep, fps: f64) -> Option<(f64, f64)> {
    let acceleration = slopes(&bar.vy, fps);
    let slowing = |at: usize| acceleration.get(at).copied().unwrap_or_default() + FREE_FALL;
    let y = |at: usize| bar.y.get(at).copied();
    // What the bar does before it is fast is noise.
    let crossing = (rep.go + 1..=rep.top).find(|at| slowing(*at) < 0.0 && slowing(*at - 1) >= 0.0);
    let first = y(rep.go)?;
    let Some(at) = crossing else {
        return Some(((rep.top - rep.go) as f64 / fps, y(rep.top)? - first));
    };
    let (before, after) = (slowing(at - 1), slowing(at));
    let share = before / (before - after);
    let height = y(at - 1)? + share * (y(at)? - y(at - 1)?);
    Some((((at - 1 - rep.go) as f64 + share) / fps, height - first))
}

/// What speed is lost over a set, as shares.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SpeedLoss {
    /// From the fastest repetition to the last.
    pub from_best: f64,
    /// From the first repetition to the last.
    pub from_first: f64,
    /// Standard error of `from_best`.
    pub error: f64,
}

/// Loss of mean speed over the repetitions of a set, in order; none with fewer than two, or when
/// they are no speeds up.
pub fn speed_loss(set: &[Speeds]) -> Option<SpeedLoss> {
    let (first, last) = (set.first()?, set.last()?);
    let best = set
        .iter()
        .max_by(|one, other| one.mean.total_cmp(&other.mean))?;
    if set.len() < 2 || first.mean <= 0.0 {
        return None;
    }
    let left = last.mean / best.mean;
    Some(SpeedLoss {
        from_best: 1.0 - left,
        from_first: 1.0 - last.mean / first.mean,
        error: (last.error / best.mean).hypot(left * best.error / best.mean),
    })
}

/// Where the bar slows within the way up, or where a missed repetition stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sticking {
    /// Sample of the first peak of speed, where the region begins (van den Tillaar and Ettema 2010,
    /// abstract). For a missed repetition without one the fastest.
    pub from: usize,
    /// Sample of the slowest moment after it: the sticking point.
    pub at: usize,
    /// Sample of the next peak of speed; none for a missed repetition.
    pub until: Option<usize>,
    /// Height of the sticking point as a share of the whole way.
    pub height: f64,
    /// Its standard error.
    pub height_error: f64,
    /// From `from` to `at`, seconds.
    pub seconds: f64,
    /// Share of the first peak's speed that is lost at the sticking point.
    pub depth: f64,
    /// Its standard error.
    pub depth_error: f64,
}

/// Sticking region of a repetition; none when the bar does not slow by more than noise. `whole` is
/// the way of a completed repetition, metres: it says how far a missed one came.
pub fn sticking(motion: &Motion, rep: &Rep, whole: f64, limits: &TraceLimits) -> Option<Sticking> {
    let bar = motion.bar.as_ref()?;
    let up = bar.vy.get(rep.go..=rep.top)?;
    let v = |at: usize| bar.vy.get(at).copied();
    let y = |at: usize| bar.y.get(at).copied();
    let gains = NoiseGains::of(motion.fps, motion.cutoff);
    let noise = bar.jitter * gains.speed;
    let low = y(rep.bottom)?;
    let least = limits.sticking_drop.max(limits.sticking_sigmas * noise);
    let found: Vec<_> = turns(up, least);
    let region = found.windows(3).find_map(|three| {
        let [from, at, until] = [three[0], three[1], three[2]].map(|turn| rep.go + turn.at);
        (three[0].high && y(at)? < low + limits.sticking_below * whole).then_some((
            from,
            at,
            Some(until),
        ))
    });
    let stopped = || {
        let fastest = found.iter().find(|turn| turn.high)?;
        Some((rep.go + fastest.at, rep.top, None))
    };
    let (from, at, until) = if rep.missed { stopped() } else { region }?;
    let (fast, slow) = (v(from)?, v(at)?);
    if whole <= 0.0 || fast <= 0.0 {
        return None;
    }
    Some(Sticking {
        from,
        at,
        until,
        height: (y(at)? - low) / whole,
        height_error: std::f64::consts::SQRT_2 * bar.jitter * gains.place / whole,
        seconds: at.saturating_sub(from) as f64 / motion.fps,
        depth: 1.0 - slow / fast,
        depth_error: (noise / fast).hypot(noise * slow / (fast * fast)),
    })
}
