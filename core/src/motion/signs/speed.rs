//! How fast the bar goes up: fading from repetition to repetition, slowing within one, dips.

use super::super::Rep;
use super::super::evidence::probability_above;
use super::scene::{Scene, Seen, largest, mean};
use super::series::{Join, Ledger, Pool, Reading, Series, Shows};
use super::tempo::{arrival, passes};
use crate::load::normal_cdf;

/// How well the beginning and end of a movement are found, seconds. Our choice.
const EDGE_S: f64 = 0.03;

/// Fewest repetitions from which a fade is told.
const FADE_REPS: usize = 3;

/// How well a height of slowing is known, metres: slowing has no sharp place. Our choice.
const HEIGHT_M: f64 = 0.015;

/// No slowing is looked for above this share of the way: every lift ends slowly.
const BRAKING: f64 = 0.9;

/// Standard deviations of the speed that a slowing exceeds: the largest of many noisy drops is none.
const STALL_NOISE: f64 = 4.0;

/// Half the window over which speeds are averaged, seconds.
const SMOOTH_S: f64 = 0.05;

/// A first peak of speed has at least this share of the fastest.
const FIRST_PEAK: f64 = 0.5;

/// A dip begins from at least this above the bottom, metres: settling at the bottom is none.
const RISEN_M: f64 = 0.02;

/// Mean speed up of each repetition, m/s: the height gained over its time.
fn mean_speed(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let time = scene.seconds(rep.go, rep.top);
        if time <= 0.0 {
            return None;
        }
        let speed = (bar.y(rep.top) - bar.y(rep.go)) / time;
        let place = std::f64::consts::SQRT_2 * bar.noise / time;
        let edges = speed * std::f64::consts::SQRT_2 * EDGE_S / time;
        Some(Reading {
            value: speed,
            noise: place.hypot(edges),
            shared: scene.scale_part(speed),
            trust: bar.trust,
        })
    });
    Series::habit("rep-speed", "mean speed on the way up", "m/s", per_rep)
}

/// Loss of mean speed from the best to the last repetition, share of the best.
fn speed_loss(speeds: &Series) -> Option<Series> {
    let known: Vec<Reading> = speeds.per_rep.iter().flatten().copied().collect();
    if known.len() < FADE_REPS {
        return None;
    }
    let last = known.last()?;
    let best = known
        .iter()
        .max_by(|one, other| one.value.total_cmp(&other.value))?;
    if best.value <= 0.0 {
        return None;
    }
    let left = last.value / best.value;
    let noise = (last.noise / best.value).hypot(left * best.noise / best.value);
    let per_rep = speeds
        .per_rep
        .iter()
        .map(|one| one.map(|one| Reading::plain(1.0 - one.value / best.value, noise, one.trust)));
    Some(Series {
        id: "speed-loss",
        plain: "speed lost from the best to the last rep, as a share",
        unit: "",
        pool: Pool::Habit,
        per_rep: per_rep.collect(),
        whole: Some(Reading::plain(1.0 - left, noise, last.trust)),
    })
}

/// Speed of the best repetition, for a load that is light.
fn best_speed(speeds: &Series) -> Option<Series> {
    let best = speeds
        .per_rep
        .iter()
        .flatten()
        .copied()
        .reduce(
            |one, other| {
                if other.value > one.value { other } else { one }
            },
        )?;
    Some(Series {
        id: "light-speed",
        plain: "mean speed of the best rep with a light load",
        unit: "m/s",
        pool: Pool::Habit,
        per_rep: speeds.per_rep.clone(),
        whole: Some(best),
    })
}

/// Fading over the set, or slow with a load that is light.
pub(super) fn fade(
    scene: &Scene<'_>,
    ledger: &mut Ledger<'_>,
    sign: &'static str,
    light_speed: f64,
) {
    let speeds = mean_speed(scene);
    ledger.describe(&speeds);
    let loss = speed_loss(&speeds)
        .and_then(|loss| ledger.weigh(&loss, scene.limits.speed_loss, Shows::Above));
    let light = scene
        .about
        .load_share
        .is_some_and(|share| share <= scene.limits.light_share);
    let slow = best_speed(&speeds)
        .filter(|_| light)
        .and_then(|best| ledger.weigh(&best, light_speed, Shows::Below));
    ledger.sign(sign, Join::Either, &[loss, slow], 1.0);
}

/// Where the bar slowed on the way up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Slowing {
    /// Sample of the slowest moment between two faster ones.
    pub(super) at: usize,
    /// Height above the bottom, metres.
    pub(super) height: f64,
    /// Part of the speed before that was lost, 0 to 1; 1 when the bar came back.
    pub(super) depth: f64,
    /// Standard error of `depth`.
    pub(super) error: f64,
}

/// The deepest slowing of a repetition: the sticking point of van den Tillaar and Ettema 2010 (from
/// the first peak of speed to the least after it, with a second peak following). A missed
/// repetition slows where it turns back.
pub(super) fn slowing(scene: &Scene<'_>, bar: &Seen<'_>, rep: &Rep) -> Option<Slowing> {
    let bottom = bar.y(rep.bottom);
    // Averaged: a slowing lasts, and the noise of speeds is quick.
    let fast = |at: usize| mean(&bar.path.vy, scene.around(at, SMOOTH_S));
    let by_place = std::f64::consts::SQRT_2 * bar.noise / (2.0 * SMOOTH_S);
    let speed_noise = bar.speed_noise.min(by_place);
    if rep.missed {
        return Some(Slowing {
            at: rep.top,
            height: bar.y(rep.top) - bottom,
            depth: 1.0,
            error: 0.05,
        });
    }
    let (_, peak) = largest(rep.go..=rep.top, fast)?;
    let rise = bar.y(rep.top) - bottom;
    let mut first = f64::NEG_INFINITY;
    // The fastest still to come, from each sample on.
    let mut ahead: Vec<f64> = (rep.go..=rep.top).rev().map(fast).collect();
    for at in 1..ahead.len() {
        let fastest = ahead.get(at)?.max(*ahead.get(at - 1)?);
        *ahead.get_mut(at)? = fastest;
    }
    ahead.reverse();
    let mut deepest: Option<(usize, f64, f64)> = None;
    for (at, ahead) in (rep.go..=rep.top).zip(ahead) {
        let speed = fast(at);
        first = first.max(speed);
        let drop = first.min(ahead) - speed;
        let braking = bar.y(at) - bottom > BRAKING * rise;
        if !braking && deepest.is_none_or(|(_, most, _)| drop > most) {
            deepest = Some((at, drop, first));
        }
    }
    let (at, drop, first) = deepest?;
    let noise = std::f64::consts::SQRT_2 * speed_noise;
    // A first peak far below the fastest is noise at the beginning of the way.
    let peaked = first >= FIRST_PEAK * peak && first > 0.0;
    let real = drop > scene.limits.stall_drop.max(STALL_NOISE * speed_noise) && peaked;
    let (depth, error) = if real {
        (1.0 - fast(at) / first, noise / first)
    } else {
        (0.0, noise / peak)
    };
    Some(Slowing {
        at,
        height: bar.y(at) - bottom,
        depth,
        error,
    })
}

/// A stretch of the way up and the sign of slowing there.
pub(super) struct Stretch {
    pub(super) sign: &'static str,
    /// From this height above the bottom, metres.
    pub(super) from: f64,
    /// Up to this height.
    pub(super) to: f64,
    /// A slow start without a peak before it also shows the sign.
    pub(super) start: bool,
}

/// Mean speed of the first centimetres against the rest of the way up.
fn slow_start(scene: &Scene<'_>, first_m: f64) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let (low, high) = (bar.y(rep.bottom), bar.y(rep.top));
        if rep.missed || high - low < 2.0 * first_m {
            return None;
        }
        // From a little above the bottom: a bar that creeps is not told from one that rests.
        let begun = passes(&bar, rep.bottom, rep.top, low + RISEN_M, true)?;
        let passed = passes(&bar, rep.bottom, rep.top, low + first_m, true)?;
        let first = (passed - begun) / scene.motion.fps;
        let rest = (rep.top as f64 - passed) / scene.motion.fps;
        if first <= 0.0 || rest <= 0.0 {
            return None;
        }
        let ratio = (first_m - RISEN_M) / first * rest / (high - low - first_m);
        let relative = (EDGE_S / first).hypot(EDGE_S / rest) + bar.noise / first_m;
        Some(Reading::plain(ratio, ratio * relative, bar.trust))
    });
    Series::event(
        "slow-start",
        "speed of the first centimetres against the rest",
        "",
        per_rep,
    )
}

/// Height range of a whole repetition: missed ones do not show it.
pub(super) fn full_range(scene: &Scene<'_>) -> Option<f64> {
    let down = |rep: &Rep| {
        let bar = scene.bar(rep)?;
        (rep.bottom > rep.start).then(|| bar.y(rep.start) - bar.y(rep.bottom))
    };
    let up = |rep: &Rep| (!rep.missed).then_some(rep.range);
    scene
        .reps
        .iter()
        .filter_map(|rep| up(rep).or_else(|| down(rep)))
        .max_by(f64::total_cmp)
}

/// Slowing or stopping on the way up, sign by sign.
pub(super) fn stalls(scene: &Scene<'_>, ledger: &mut Ledger<'_>, stretches: &[Stretch]) {
    let found: Vec<Option<(Slowing, f64)>> = scene
        .reps
        .iter()
        .map(|rep| {
            let bar = scene.bar(rep).filter(|_| rep.measured)?;
            Some((slowing(scene, &bar, rep)?, bar.trust))
        })
        .collect();
    let series = |id, plain, unit, value: &dyn Fn(&Slowing) -> (f64, f64)| Series {
        id,
        plain,
        unit,
        pool: Pool::Event,
        per_rep: found
            .iter()
            .map(|one| {
                let (slow, trust) = one.as_ref()?;
                let (value, error) = value(slow);
                let reading = Reading::plain(value, error, *trust);
                reading.is_sound().then_some(reading)
            })
            .collect(),
        whole: None,
    };
    let depth = series(
        "slowing",
        "speed lost on the way up, as a share",
        "",
        &|slow| (slow.depth, slow.error),
    );
    ledger.weigh(&depth, scene.limits.stall_depth, Shows::Above);
    if found.iter().flatten().any(|(slow, _)| slow.depth > 0.0) {
        let mut height = series(
            "slowing-height",
            "height above the bottom where the bar slows most",
            "m",
            &|slow| (slow.height, HEIGHT_M),
        );
        for (one, slow) in height.per_rep.iter_mut().zip(&found) {
            *one = one.filter(|_| slow.is_some_and(|(slow, _)| slow.depth > 0.0));
        }
        height.pool = Pool::Habit;
        ledger.describe(&height);
    }
    for stretch in stretches {
        let chances: Vec<Option<f64>> = found
            .iter()
            .map(|one| {
                one.as_ref()
                    .map(|(slow, _)| in_stretch(scene, slow, stretch))
            })
            .collect();
        let slow = depth.judge_by(&chances, scene.limits);
        let start = if stretch.start {
            let series = slow_start(scene, stretch.to);
            ledger.weigh(&series, scene.limits.slow_start, Shows::Below)
        } else {
            None
        };
        ledger.sign(stretch.sign, Join::Either, &[slow, start], 1.0);
    }
}

/// Probability that a repetition slowed enough, and within a stretch.
fn in_stretch(scene: &Scene<'_>, slow: &Slowing, stretch: &Stretch) -> f64 {
    let enough = probability_above(slow.depth, scene.limits.stall_depth, slow.error);
    let below = |edge: f64| normal_cdf((edge - slow.height) / HEIGHT_M);
    let below_to = if stretch.to.is_finite() {
        below(stretch.to)
    } else {
        1.0
    };
    let below_from = if stretch.from > 0.0 {
        below(stretch.from)
    } else {
        0.0
    };
    enough * (below_to - below_from).max(0.0)
}

/// The largest drop of the bar within the way up, metres.
fn dips(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let from = if rep.bottom > rep.start {
            arrival(scene, &bar, rep)?
        } else {
            rep.start
        };
        let ceiling = bar.y(rep.bottom) + BRAKING * (bar.y(rep.top) - bar.y(rep.bottom));
        let (mut low, mut peak, mut drop) = (f64::INFINITY, f64::NEG_INFINITY, 0.0_f64);
        for at in from..=rep.top {
            let y = bar.y(at);
            low = low.min(y);
            if y - low >= RISEN_M {
                peak = peak.max(y);
            }
            if peak <= ceiling || rep.bottom == rep.start {
                drop = drop.max(peak - y);
            }
        }
        let noise = std::f64::consts::SQRT_2 * bar.noise;
        Some(Reading::plain(drop, noise, bar.trust))
    });
    Series::event("dip", "drop within the way up", "m", per_rep)
}

/// A drop within the way up.
pub(super) fn dip(scene: &Scene<'_>, ledger: &mut Ledger<'_>, sign: &'static str) {
    let series = dips(scene);
    // The largest of many noisy drops is no dip: four standard deviations are asked for.
    let noise = series
        .per_rep
        .iter()
        .flatten()
        .map(|one| one.noise / std::f64::consts::SQRT_2)
        .fold(0.0, f64::max);
    let limit = scene.limits.dip_m.max(4.0 * noise);
    ledger.simple(sign, &series, limit, Shows::Above);
}
