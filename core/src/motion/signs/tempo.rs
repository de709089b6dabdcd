//! How long the parts of a repetition take, and how evenly the bar goes down.

use super::super::Rep;
use super::scene::{Scene, Seen, largest, mean};
use super::series::{Join, Ledger, Reading, Series, Shows, Verdict};

/// How well the beginning and end of a movement are found, seconds. Our choice.
const EDGE_S: f64 = 0.05;

/// Within this of its lowest point the bar is down, metres.
pub(super) const NEAR_LOW_M: f64 = 0.03;

/// The first place within a window at which a height is passed, in samples and parts of one.
pub(super) fn passes(
    bar: &Seen<'_>,
    from: usize,
    to: usize,
    level: f64,
    rising: bool,
) -> Option<f64> {
    let beyond = |y: f64| if rising { y >= level } else { y <= level };
    let at = (from..=to).find(|at| beyond(bar.y(*at)))?;
    if at == from {
        return Some(at as f64);
    }
    let (before, after) = (bar.y(at - 1), bar.y(at));
    Some((at - 1) as f64 + (level - before) / (after - before))
}

/// Below this speed the bar stands, as far as the noise lets see, m/s.
pub(super) fn still_speed(scene: &Scene<'_>, bar: &Seen<'_>) -> f64 {
    scene.limits.still_speed.max(2.0 * bar.speed_noise)
}

/// The first sample at which the bar is down and has come to rest.
pub(super) fn arrival(scene: &Scene<'_>, bar: &Seen<'_>, rep: &Rep) -> Option<usize> {
    let still = still_speed(scene, bar);
    let low = bar.y(rep.bottom);
    let last = rep.go.max(rep.bottom);
    (rep.start..=last).find(|at| bar.y(*at) <= low + NEAR_LOW_M && bar.up(*at) >= -still)
}

/// Part of the way at each end of the way down that is not timed, or three standard deviations of
/// the place where those are more: where a slow movement begins and ends drowns in the noise, so the
/// time told is a little short.
const UNTIMED: f64 = 0.01;

/// How long before a movement stands out it may have begun, seconds.
const EARLIER_S: f64 = 1.5;

/// Half the window over which the height of rest is averaged, seconds.
const REST_S: f64 = 0.1;

/// Time down of squat and bench press, seconds.
fn descent_time(scene: &Scene<'_>) -> Series {
    let mut before = 0_usize;
    let per_rep = scene.each(|rep| {
        let earliest = std::mem::replace(&mut before, rep.top);
        let bar = scene.bar(rep)?;
        let from = earliest.max(rep.start.saturating_sub(scene.samples(EARLIER_S)));
        let rest = |at: usize| mean(&bar.path.y, scene.around(at, REST_S));
        let (from, high) = largest(from..=rep.start, rest)?;
        let low = bar.y(rep.bottom);
        let untimed = (UNTIMED * (high - low)).max(3.0 * bar.noise);
        let begun = passes(&bar, from, rep.bottom, high - untimed, false)?;
        let ended = passes(&bar, from, rep.bottom, low + untimed, false)?;
        let time = (ended - begun) / scene.motion.fps;
        let noise = EDGE_S.hypot(1.0 / scene.motion.fps);
        Some(Reading::plain(time, noise, bar.trust))
    });
    Series::habit("descent-time", "time on the way down", "s", per_rep)
}

/// How many times as fast the last third of the way down is as the first. The outermost twentieth
/// at each end is left out: where a movement begins and ends is hard to say.
fn descent_rush(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let (high, low) = (bar.y(rep.start), bar.y(rep.bottom));
        let time_to = |share: f64| {
            let level = high - share * (high - low);
            passes(&bar, rep.start, rep.bottom, level, false)
        };
        let first = (time_to(1.0 / 3.0)? - time_to(0.05)?) / scene.motion.fps;
        let last = (time_to(0.95)? - time_to(2.0 / 3.0)?) / scene.motion.fps;
        if first <= 0.0 || last <= 0.0 {
            return None;
        }
        // A place known to some millimetres is passed at a time known by the speed there.
        let third = (high - low).abs() * (1.0 / 3.0 - 0.05);
        let relative =
            2.0 * bar.noise / third + 0.5 / scene.motion.fps * (1.0 / first + 1.0 / last);
        let ratio = first / last;
        Some(Reading::plain(ratio, ratio * relative, bar.trust))
    });
    Series::habit(
        "descent-rush",
        "last third of the way down, times as fast as the first",
        "",
        per_rep,
    )
}

/// Fastest speed down, m/s.
fn descent_speed(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let down = |at: usize| -bar.up(at);
        let (_, speed) = largest(rep.start..=rep.bottom, down)?;
        Some(Reading {
            value: speed,
            noise: bar.speed_noise,
            shared: scene.scale_part(speed),
            trust: bar.trust,
        })
    });
    Series::habit(
        "descent-speed",
        "fastest speed on the way down",
        "m/s",
        per_rep,
    )
}

/// How long the bar stands at the bottom (squat, bench press), seconds.
pub(super) fn pause(scene: &Scene<'_>) -> Series {
    let per_rep = scene.each(|rep| {
        let bar = scene.bar(rep)?;
        let first = arrival(scene, &bar, rep)?;
        let blur = still_speed(scene, &bar) - scene.limits.still_speed;
        Some(Reading::plain(
            scene.seconds(first, rep.go),
            EDGE_S.hypot(1.0 / scene.motion.fps) + blur,
            bar.trust,
        ))
    });
    Series::habit("pause", "stop at the bottom", "s", per_rep)
}

/// The signs of the way down that squat and bench press share; `more` also shows a drop.
pub(super) fn descent(
    scene: &Scene<'_>,
    ledger: &mut Ledger<'_>,
    slow: &'static str,
    drop: &'static str,
    more: Option<Verdict>,
) {
    let limits = scene.limits;
    ledger.simple(
        slow,
        &descent_time(scene),
        limits.descent_long_s,
        Shows::Above,
    );
    let rush = ledger.weigh(&descent_rush(scene), limits.descent_rush, Shows::Above);
    ledger.sign(drop, Join::Either, &[rush, more], 1.0);
}

/// A dive: a fast way down, however even.
pub(super) fn dive(scene: &Scene<'_>, ledger: &mut Ledger<'_>) -> Option<Verdict> {
    ledger.weigh(
        &descent_speed(scene),
        scene.limits.squat.dive_speed,
        Shows::Above,
    )
}
